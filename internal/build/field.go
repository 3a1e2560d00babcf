package build

import "math"

// The field is seen from where the pilot stands: ahead is the launch
// direction, right is to the right of it.

// Circuit is what is flown, lap after lap.
type Circuit struct {
	From    Mark  `key:"from" doc:"where the first leg begins, from where the pilot stands"`
	Heading Value `key:"heading" dim:"angle" is:"[-6.2832,6.2832]" doc:"of the first leg, to the right of the launch direction"`
	Height  Value `key:"height" dim:"length" is:"(0,3000]" doc:"at the beginning; flight.height when left out"`
	Legs    []Leg `key:"legs" doc:"in the order in which they are flown: straights and turns"`
}

// Mark is a place on the field.
type Mark struct {
	Ahead Value `key:"ahead" dim:"length" doc:"in the launch direction"`
	Right Value `key:"right" dim:"length" doc:"to the right of it"`
}

// Leg is one straight or one turn of the circuit.
type Leg struct {
	Name     Text  `key:"name" name:"yes"`
	Straight Value `key:"straight" dim:"length" is:"(0,20000]" doc:"length of a straight leg"`
	Turn     Value `key:"turn" dim:"angle" is:"[-12.5664,12.5664]" doc:"angle turned, right positive"`
	Bank     Value `key:"bank" dim:"angle" is:"(0,1.5533]" doc:"of the turn; flight.bank when left out"`
	Radius   Value `key:"radius" dim:"length" is:"(0,20000]" doc:"of the turn, instead of a bank"`
	Speed    Value `key:"speed" dim:"speed" is:"(0,)" doc:"airspeed; flight.cruise when left out"`
	Climb    Value `key:"climb" dim:"length" is:"[-1000,1000]" doc:"height gained on the leg"`
}

// Obstacle is an upright wall in the way of a radio wave or of an approach.
type Obstacle struct {
	Name   Text  `key:"name" name:"yes"`
	At     Mark  `key:"at" doc:"middle of its foot, from where the pilot stands"`
	Height Value `key:"height" dim:"length" is:"(0,300]"`
	Width  Value `key:"width" dim:"length" is:"(0,)" doc:"length of the wall; 50 m when left out"`
	Turned Value `key:"turned" dim:"angle" is:"[-3.1416,3.1416]" doc:"to the right; square to the launch direction when left out"`
	Leaves Value `key:"leaves" dim:"length" is:"(0,)" doc:"depth of leaves that let some of the wave through; nothing passes when left out"`
}

// Course is the straight base of a speed trial.
type Course struct {
	Base    Value `key:"base" dim:"length" is:"[10,5000]" doc:"length that is timed; 200 m when left out"`
	Heading Value `key:"heading" dim:"angle" is:"[-6.2832,6.2832]" doc:"to the right of the launch direction; square to it when left out"`
	Ahead   Value `key:"ahead" dim:"length" is:"(0,2000]" doc:"its middle ahead of where the pilot stands"`
	Height  Value `key:"height" dim:"length" is:"(0,1000]" doc:"flown at"`
	Entry   Value `key:"entry" dim:"length" is:"[0,5000]" doc:"level run before the base; what 99 % of the top speed takes when left out"`
	Passes  Count `key:"passes" is:"[1,50]" doc:"passes wanted, both ways counted; 4 when left out"`
	Timing  Value `key:"timing" dim:"time" is:"(0,2]" doc:"doubt of the time over the base, ±"`
	Ends    Value `key:"ends" dim:"length" is:"(0,50]" doc:"doubt of the base's length, ±"`
	Dive    Value `key:"dive" dim:"length" is:"[0,1000]" doc:"height given away before the base"`
}

// Touch is where and how it is to touch down.
type Touch struct {
	Ahead Value `key:"ahead" dim:"length" doc:"of where the pilot stands, along the launch direction"`
	Right Value `key:"right" dim:"length"`
}

// field checks circuit, obstacles and course.
func (v *validator) field() {
	for i := range v.b.Circuit.Legs {
		l := &v.b.Circuit.Legs[i]
		at := v.itemSpan("circuit.legs", i)
		for _, x := range []Value{l.Straight, l.Turn, l.Speed, l.Climb} {
			if x.Given {
				at = x.Span
				break
			}
		}
		switch {
		case l.Straight.Given && l.Turn.Given:
			v.fail("impossible", l.Turn.Span, "one leg for the straight, one for the turn", "leg %d is a straight and a turn at once", i)
		case !l.Straight.Given && !l.Turn.Given && !v.unread[&l.Straight] && !v.unread[&l.Turn]:
			v.fail("missing", at, `write "straight: 200 m" or "turn: 180 deg"`, "leg %d of the circuit is neither a straight nor a turn", i)
		case l.Turn.Given && l.Turn.Value == 0:
			v.fail("impossible", l.Turn.Span, "leave the leg out", "leg %d turns by nothing", i)
		case l.Straight.Given && (l.Bank.Given || l.Radius.Given):
			x := l.Bank
			if !x.Given {
				x = l.Radius
			}
			v.fail("impossible", x.Span, "bank and radius belong to a turn", "leg %d is straight and has a bank", i)
		case l.Bank.Given && l.Radius.Given:
			v.fail("twice", l.Radius.Span, "the speed and one of them give the other", "leg %d has a bank and a radius", i)
		}
	}
	if f := v.b.Flight.Bank; f.Given && f.Value == 0 {
		v.fail("impossible", f.Span, "20 to 60 deg are usual", "a bank of %s turns nothing: its circle has no end", f.Text)
	}
	v.names("obstacles", len(v.b.Obstacles), func(i int) Text { return v.b.Obstacles[i].Name }, false)
	for i := range v.b.Obstacles {
		o := &v.b.Obstacles[i]
		if v.missing(&o.Height) {
			v.fail("missing", v.itemSpan("obstacles", i), `add "height:"`, "obstacle %d has no height", i)
		}
		if math.Hypot(o.At.Ahead.Value, o.At.Right.Value) < 1 {
			at := o.At.Ahead.Span
			if !o.At.Ahead.Given {
				at = v.itemSpan("obstacles", i)
			}
			v.fail("impossible", at, `add "at: {ahead: 80 m}"`, "obstacle %d stands where the pilot stands", i)
		}
	}
}
