package perform

import "math"

// Leg is one straight (Turn 0) or one turn of a circuit, flown at one airspeed
// in still air.
type Leg struct {
	Name     string
	Straight float64 // m
	Turn     float64 // rad, right positive
	Bank     float64 // rad, of a turn; 0 when Radius is given
	Radius   float64 // m, of a turn
	Speed    float64 // m/s
	Climb    float64 // m gained along the leg
}

// Flown is a leg with what it takes.
type Flown struct {
	Leg
	Length, Time             float64 // m of path, s
	Load                     float64 // load factor
	Drag, Thrust             float64 // N, means; Thrust may be negative: the leg slows or sinks faster than drag alone would
	Throttle, Current, Volts float64
	Charge, Energy           float64 // C and J out of the pack
	Margin                   float64 // speed over the stall in it
	Status                   Status
}

// More states of a leg.
const (
	TooFast Status = "more than full throttle is wanted"
	TooSlow Status = "below the stall in this turn"
	Excess  Status = "it would have to brake: faster than the drag lets it slow down or sink"
	NoTurn  Status = "no bank, so no turn"
)

// shape is bank, radius and path length of a leg.
func (l *Leg) shape() (bank, radius, length float64, s Status) {
	if l.Turn == 0 {
		return 0, math.Inf(1), math.Hypot(l.Straight, l.Climb), OK
	}
	bank, radius = math.Abs(l.Bank), l.Radius
	switch {
	case bank > 0:
		radius = l.Speed * l.Speed / (Gravity * math.Tan(bank))
	case radius > 0:
		bank = math.Atan(l.Speed * l.Speed / (Gravity * radius))
	default:
		return 0, math.Inf(1), math.Inf(1), NoTurn
	}
	return bank, radius, math.Hypot(radius*math.Abs(l.Turn), l.Climb), OK
}

// Lap is one round of a circuit.
type Lap struct {
	Legs                         []Flown
	Length, Time, Charge, Energy float64
	Status                       Status
}

// LapAt flies one lap with the pack at the given charge. Mean thrust of a leg
// is drag at its speed and load factor (its stream's with it), plus weight times climb over length,
// plus the change of kinetic energy from the leg before (the last one, for the
// first: laps follow one another) over length; so that over a whole lap thrust
// and drag differ by the climb alone. A leg that wants less than no thrust is
// flown with the motor off and says Excess.
func (p *Plane) LapAt(legs []Leg, charge float64) Lap {
	lap := Lap{Status: OK}
	bad := func(f *Flown, s Status) {
		if f.Status == OK {
			f.Status = s
		}
		if lap.Status == OK && s != Excess {
			lap.Status = s
		}
	}
	for i, l := range legs {
		f := Flown{Leg: l, Status: OK}
		bank, radius, length, s := f.shape()
		f.Bank, f.Radius, f.Length = bank, radius, length
		if s != OK {
			bad(&f, s)
			lap.Legs = append(lap.Legs, f)
			continue
		}
		if l.Turn < 0 {
			f.Bank = -bank
		}
		f.Time = length / l.Speed
		slope := math.Asin(math.Max(-1, math.Min(1, l.Climb/length)))
		f.Load = math.Cos(slope) / math.Cos(bank)
		f.Margin = l.Speed / p.StallAt(f.Load)
		if f.Margin < 1 {
			bad(&f, TooSlow)
		}
		before := legs[(i+len(legs)-1)%len(legs)].Speed
		more := p.Weight()*l.Climb/length + p.Mass*(l.Speed*l.Speed-before*before)/(2*length)
		f.Thrust = p.against(l.Speed, f.Load, p.Drag(l.Speed, f.Load)+more)
		f.Drag = f.Thrust - more
		if f.Thrust <= 0 {
			bad(&f, Excess)
		} else if p.Settle == nil {
			bad(&f, NoPower)
		} else {
			d := p.Settle(l.Speed, f.Thrust, charge)
			f.Throttle, f.Current, f.Volts = d.Throttle, d.Current, d.Volts
			switch {
			case d.Status == BatteryTooWeak:
				bad(&f, BatteryTooWeak)
			case d.Status != OK:
				bad(&f, TooFast)
			}
			f.Charge, f.Energy = d.Current*f.Time, d.Current*d.Volts*f.Time
		}
		lap.Legs = append(lap.Legs, f)
		lap.Length += f.Length
		lap.Time += f.Time
		lap.Charge += f.Charge
		lap.Energy += f.Energy
	}
	return lap
}

// Laps is how often and how long a circuit can be flown.
type Laps struct {
	Time, Number, Distance float64
	Status                 Status
}

// LapsToReserve flies laps from the charge at launch to the reserve:
// dt = −dQ (lap time/lap charge), Simpson's rule over six spans of charge.
func (p *Plane) LapsToReserve(legs []Leg) Laps { return p.LapsTo(legs, p.Charge, p.Reserve) }

// LapsTo is LapsToReserve between any two charges.
func (p *Plane) LapsTo(legs []Leg, from, to float64) Laps {
	first := p.LapAt(legs, from)
	l := Laps{Status: first.Status}
	if first.Status != OK || !(first.Charge > 0) {
		if l.Status == OK {
			l.Status = NotDescribed
		}
		l.Time, l.Number, l.Distance = math.NaN(), math.NaN(), math.NaN()
		return l
	}
	const spans = 6
	time, number := 0.0, 0.0
	for i := range spans + 1 {
		lap := first
		if i > 0 {
			lap = p.LapAt(legs, from+(to-from)*float64(i)/spans)
		}
		if lap.Status != OK || !(lap.Charge > 0) {
			l.Status = BatteryTooWeak // count to here
			break
		}
		w := 2.0
		if i == 0 || i == spans {
			w = 1
		} else if i%2 == 1 {
			w = 4
		}
		time += w * lap.Time / lap.Charge
		number += w / lap.Charge
	}
	k := p.Capacity * (from - to) / (3 * spans)
	l.Time, l.Number = time*k, number*k
	l.Distance = l.Number * first.Length
	return l
}

// Node is a moment of a path over the field: x ahead, y right, z up, m.
type Node struct {
	X, Y, Z              float64
	Heading, Pitch, Bank float64
	Along, Time          float64
	Leg                  int
}

// Path lays a circuit out in still air from a place, heading (right of ahead)
// and height, a node at least every step metres and at least three a leg.
// Closed says how far (m) the end is from the beginning.
func Path(legs []Leg, x, y, z, heading, step float64) (path []Node, open float64) {
	x0, y0, z0 := x, y, z
	along, time := 0.0, 0.0
	for i := range legs {
		l := &legs[i]
		bank, radius, length, s := l.shape()
		if s != OK {
			continue
		}
		if l.Turn < 0 {
			bank = -bank
		}
		n := max(3, int(math.Ceil(length/step)))
		pitch := math.Asin(math.Max(-1, math.Min(1, l.Climb/length)))
		for k := range n {
			f := (float64(k) + 0.5) / float64(n)
			px, py, ph := x, y, heading+f*l.Turn
			if l.Turn == 0 {
				s, c := math.Sincos(heading)
				px, py = x+f*l.Straight*c, y+f*l.Straight*s
			} else {
				px, py = turned(x, y, heading, f*l.Turn, radius)
			}
			path = append(path, Node{X: px, Y: py, Z: z + f*l.Climb, Heading: ph, Pitch: pitch, Bank: bank, Along: along + f*length, Time: time + f*length/l.Speed, Leg: i})
		}
		if l.Turn == 0 {
			s, c := math.Sincos(heading)
			x, y = x+l.Straight*c, y+l.Straight*s
		} else {
			x, y = turned(x, y, heading, l.Turn, radius)
			heading += l.Turn
		}
		z += l.Climb
		along += length
		time += length / l.Speed
	}
	return path, math.Sqrt((x-x0)*(x-x0) + (y-y0)*(y-y0) + (z-z0)*(z-z0))
}

// turned is where a turn of radius r leads from a place and heading.
func turned(x, y, heading, turn, r float64) (float64, float64) {
	if turn < 0 {
		r = -r
	}
	// The centre lies to the right of the heading by r.
	s0, c0 := math.Sincos(heading)
	s1, c1 := math.Sincos(heading + turn)
	return x - r*s0 + r*s1, y + r*c0 - r*c1
}

// BankFor is the bank that turns with radius r at airspeed v, and SpeedFor the
// airspeed that does with a bank: v² = g r tan(bank).
func BankFor(v, r float64) float64 { return math.Atan(v * v / (Gravity * r)) }

// SpeedFor is the airspeed (m/s) that turns with radius r at a bank.
func SpeedFor(bank, r float64) float64 { return math.Sqrt(Gravity * r * math.Tan(bank)) }

// Hold is a circle flown level.
type Hold struct {
	Turn
	Thrust, Throttle, Current, Time float64 // N; to hold it at the launch charge; Time to the reserve
}

// HoldAt is the level circle of bank at airspeed v with what it takes. Status
// BelowStall when the wing, NotHeld when the drive cannot.
func (p *Plane) HoldAt(v, bank float64) Hold {
	h := Hold{Turn: p.TurnAt(v, bank), Throttle: math.NaN(), Current: math.NaN(), Time: math.NaN()}
	h.Thrust = p.LevelPull(v, h.Load)
	if h.Status != OK || p.Settle == nil {
		return h
	}
	e := p.EnduranceAt(v, h.Load)
	h.Throttle, h.Current, h.Time = e.Throttle, e.Current, e.Time
	if e.Status != OK && e.Status != BatteryTooWeak {
		h.Status = e.Status
	}
	return h
}

// Envelope is one airspeed of the load-factor diagram.
type Envelope struct {
	V        float64
	Stall    float64 // load factor at which the wing stalls
	Held     float64 // that full throttle holds level; NaN without a motor
	Up, Down float64 // in the gust upwards and downwards, flying level
	StallsUp bool    // the gust upwards stalls the wing: Up is the stall's
	Allowed  float64 // least of stall and the pull-up it must stand
}

// Envelope tabulates the load factors at the given airspeeds: stall, gusts
// of speed u by Pratt's formula (14 CFR 23.341), the limit. The wing's stall
// upside down is not computed: Down is bounded by it at small speeds.
func (p *Plane) Envelope(speeds []float64, u, slope, chord, limit float64) []Envelope {
	out := make([]Envelope, len(speeds))
	for i, v := range speeds {
		e := &out[i]
		e.V = v
		e.Stall = (v / p.Stall) * (v / p.Stall)
		e.Held = math.NaN()
		if p.Thrust != nil {
			e.Held = p.Sustained(v)
		}
		n, stalls := p.GustLoad(v, u, slope, chord)
		e.Up, e.StallsUp = n, stalls
		d, _ := p.GustLoad(v, -u, slope, chord)
		e.Down = d
		e.Allowed = math.Min(e.Stall, limit)
	}
	return out
}

// Straight flies level at full throttle over a distance from airspeed v0 by
// integrating m v dv/ds = T − D (RK4, 100 steps): speed at the end, and mean
// speed over it.
func (p *Plane) Straight(v0, distance float64) (v, mean float64) {
	const n = 100
	h := distance / n
	f := func(v float64) float64 { return p.excess(v, 1) / (p.Mass * v) }
	v = v0
	time := 0.0
	for range n {
		a := f(v)
		b := f(v + h/2*a)
		c := f(v + h/2*b)
		d := f(v + h*c)
		w := v + h/6*(a+2*b+2*c+d)
		time += h * 2 / (v + w)
		v = w
	}
	if distance == 0 {
		return v0, v0
	}
	return v, distance / time
}

// DecayLength is the distance over which an excess of speed squared falls to
// 1/e at constant thrust: m/(rho S CD) with CD of level flight at v.
func (p *Plane) DecayLength(v float64) float64 {
	return p.Mass * v * v / (2 * p.Drag(v, 1))
}

// Bleed is the distance and time in which level flight slows from v1 to v2
// against the drag given (N over airspeed): m v dv = −D ds, Simpson over 100
// spans.
func (p *Plane) Bleed(v1, v2 float64, drag func(v float64) float64) (distance, time float64) {
	if !(v1 > v2) {
		return 0, 0
	}
	const n = 50
	h := (v1 - v2) / n
	at := func(v float64) (float64, float64) { d := drag(v); return p.Mass * v / d, p.Mass / d }
	for i := range n {
		a := v2 + float64(i)*h
		s0, t0 := at(a)
		s1, t1 := at(a + h/2)
		s2, t2 := at(a + h)
		distance += h / 6 * (s0 + 4*s1 + s2)
		time += h / 6 * (t0 + 4*t1 + t2)
	}
	return distance, time
}
