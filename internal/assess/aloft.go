package assess

import (
	"math"

	"fledge/internal/craft"
	"fledge/internal/perform"
	"fledge/internal/power"
)

// usualBank is the bank of turns when the build does not say (our choice).
const usualBank = 45 * math.Pi / 180

// Bank is the bank of its turns, rad.
func Bank(ac *craft.Aircraft) float64 {
	if ac.Flight.Bank > 0 {
		return ac.Flight.Bank
	}
	return usualBank
}

// Round is the circuit that is flown, laid out on the field.
type Round struct {
	Legs       []perform.Leg
	From       craft.Mark
	Heading    float64
	Height     float64
	Given      bool // described by the build, not made up
	Radius     float64
	Open       float64 // m from end to beginning of a lap
	Assumption string  // what was made up, in words; "" when nothing
}

// Round is the circuit of a draw at a cruise speed: as the build describes
// it, else an oval of two straights and two half turns that reaches as far as
// flight.radius (300 m when that is not said) at flight.height (50 m).
func (c *Chain) Round(d *Drawn, cruise float64) Round {
	ac := d.Aircraft
	k := &ac.Circuit
	bank := Bank(ac)
	r := Round{From: k.From, Heading: k.Heading, Height: k.Height, Given: len(k.Legs) > 0}
	if r.Given {
		for _, l := range k.Legs {
			g := perform.Leg{Name: l.Name, Straight: l.Straight, Turn: l.Turn, Bank: l.Bank, Radius: l.Radius, Speed: l.Speed, Climb: l.Climb}
			if g.Speed == 0 {
				g.Speed = cruise
			}
			if g.Turn != 0 && g.Bank == 0 && g.Radius == 0 {
				g.Bank = bank
			}
			r.Legs = append(r.Legs, g)
		}
		return r
	}
	far, height := ac.Flight.Radius, ac.Flight.Height
	switch {
	case far == 0 && height == 0:
		r.Assumption = "no circuit is described: an oval that reaches 300 m at 50 m height is taken"
	case far == 0:
		r.Assumption = "no circuit is described: an oval that reaches 300 m is taken"
	case height == 0:
		r.Assumption = "the height of the circuit is not given: 50 m is taken"
	default:
		r.Assumption = "no circuit is described: an oval that reaches flight.radius is taken"
	}
	if far == 0 {
		far = 300
	}
	if height == 0 {
		height = 50
	}
	r.Height = height
	turn := cruise * cruise / (perform.Gravity * math.Tan(bank))
	near := math.Min(40, far/4)
	half := 0.0
	if reach := far - turn; reach > near+turn {
		half = math.Sqrt(reach*reach - (near+turn)*(near+turn))
	}
	straight := math.Max(1, 2*half)
	r.From, r.Heading = craft.Mark{Ahead: near, Right: straight / 2}, -math.Pi/2
	r.Legs = []perform.Leg{
		{Name: "near straight", Straight: straight, Speed: cruise},
		{Name: "far turn out", Turn: math.Pi, Bank: bank, Speed: cruise},
		{Name: "far straight", Straight: straight, Speed: cruise},
		{Name: "turn home", Turn: math.Pi, Bank: bank, Speed: cruise},
	}
	return r
}

// Nodes lays the circuit out, a node every step metres.
func (r *Round) Nodes(step float64) []perform.Node {
	path, open := perform.Path(r.Legs, r.From.Ahead, r.From.Right, r.Height, r.Heading, step)
	r.Open = open
	r.Radius = 0
	for i := range path {
		r.Radius = math.Max(r.Radius, math.Hypot(path[i].X, path[i].Y))
	}
	return path
}

// Idle is the drag of the propeller on the approach by the build's word.
func (c *Chain) idle(way string) func(v float64) float64 {
	switch {
	case c.Power == nil:
		return nil
	case way == "windmilling":
		return func(v float64) float64 { drag, _ := c.Power.Windmill(v); return drag }
	case way == "braked":
		return c.Braked
	}
	return c.Power.Stopped
}

// Braked is the drag (N) of the propeller at airspeed v with the windings of
// the motor shorted by the controller's brake: it turns as fast as gives the
// shorted motor, omega/(KV² R), the torque of the air. Folding blades, so slow,
// lie back.
func (c *Chain) Braked(v float64) float64 {
	if c.Power.Folds() {
		return c.Power.Stopped(v)
	}
	m := &c.Power.Train.Motor
	k := 1 / (m.KV * m.KV * (m.Resistance + c.Power.Train.Controller.Resistance))
	drag, _ := c.Power.Prop.Windmill(v, func(omega float64) float64 { return k * omega })
	return drag
}

// Approach is the landing of a draw as the build describes it, from 10 m.
func (c *Chain) Approach(d *Drawn) perform.Approach {
	ac := d.Aircraft
	turn := ac.Landing.Heading
	return perform.Approach{
		Height: 10, Wind: ac.Day.Wind * math.Cos(ac.Day.OffAxis-turn), Margin: ac.Landing.Margin, Friction: ac.Landing.Friction,
		Slope: ac.Day.Slope * math.Cos(turn), Path: ac.Landing.Path,
	}
}

// lands is the plane with the propeller as on the approach.
func (c *Chain) lands(d *Drawn, p *perform.Plane) *perform.Plane {
	q := *p
	q.Idle = c.idle(d.Aircraft.Landing.Propeller)
	return &q
}

// Again is the approach broken off with the pack at its reserve.
func (c *Chain) Again(d *Drawn, p *perform.Plane, v, angle float64) perform.GoRound {
	if c.Power == nil {
		return perform.GoRound{Climb: math.NaN(), Sunk: math.NaN(), Angle: math.NaN(), Status: perform.NoPower}
	}
	t := c.Power.Solve(v, d.Aircraft.Power.Throttle, p.Reserve, &d.PowerK).Thrust
	return p.Again(v, angle, t, c.Power.SpoolTime())
}

// aloft fills the numbers of circuit, run-in and going round.
func (c *Chain) aloft(n *Numbers, d *Drawn, p *perform.Plane, l perform.Landing) {
	put := func(id ID, v float64, s perform.Status) { n[id] = perform.Value{V: v, Status: s} }
	put(ApproachAngle, l.Angle, perform.OK)
	put(ApproachRun, l.ApproachRun, l.Status)
	put(FlareRun, l.FlareRun, l.Status)
	put(SlideRun, l.Slide, l.Status)
	put(SlideTime, l.SlideTime, l.Status)
	put(TouchdownSink, l.SinkTouchdown, l.Status)
	put(Friction, d.Aircraft.Landing.Friction, perform.OK)
	put(GlideAngle, c.lands(d, p).GlideAt(l.Approach).Angle, perform.OK)
	if c.Power == nil {
		return
	}
	cruise := n[CruiseSpeed]
	if top := n[TopSpeed]; top.Known() && cruise.Known() {
		for _, k := range []struct {
			id, time ID
			share    float64
		}{{RunIn95, RunTime95, 0.95}, {RunIn99, RunTime99, 0.99}} {
			s, t, st := p.RunTo(cruise.V, k.share*top.V)
			put(k.id, s, st)
			put(k.time, t, st)
		}
		put(FastEndurance, c.flatOut(d, p, 0.97*top.V), perform.OK)
	}
	if cruise.Known() && (len(d.Aircraft.Circuit.Legs) > 0 || d.Aircraft.Flight.Radius > 0) {
		r := c.Round(d, cruise.V)
		lap := p.LapAt(r.Legs, (p.Charge+p.Reserve)/2)
		put(LapTime, lap.Time, lap.Status)
		put(LapEnergy, lap.Energy, lap.Status)
		t := p.LapsToReserve(r.Legs)
		put(CircuitTime, t.Time, t.Status)
		put(CircuitLaps, t.Number, t.Status)
	}
	if l.Status != perform.NeverDescends {
		g := c.Again(d, p, l.Approach, l.Angle)
		put(GoRoundClimb, g.Climb, perform.OK)
	}
}

// flatOut is the time at full throttle at airspeed v from the charge at
// launch to the reserve or, if sooner, to where the cells sag under their
// cut-off, s: Simpson's rule over four spans of charge. Nothing where they do
// so at once.
func (c *Chain) flatOut(d *Drawn, p *perform.Plane, v float64) float64 {
	at := func(charge float64) power.Point {
		return c.Power.Solve(v, d.Aircraft.Power.Throttle, charge, &d.PowerK)
	}
	low := func(charge float64) bool { return at(charge).Flag&(power.BelowCutoff|power.Collapsed) != 0 }
	end := p.Reserve
	if low(end) {
		if low(p.Charge) {
			return 0
		}
		over := p.Charge
		for range 8 {
			if m := (over + end) / 2; low(m) {
				end = m
			} else {
				over = m
			}
		}
		end = over
	}
	sum := 0.0
	for i, w := range []float64{1, 4, 2, 4, 1} {
		sum += w / at(p.Charge+(end-p.Charge)*float64(i)/4).Current
	}
	return sum / 12 * p.Capacity * (p.Charge - end)
}

// Numbers computes all scalar results of a draw.
func (c *Chain) Numbers(d *Drawn) Numbers { return c.numbers(d, Everything) }
