package assess

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/aero"
	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/perform"
)

// Brake is one way to make more drag on the approach.
type Brake struct {
	Say   string
	Area  float64 // drag area added at the approach speed, trimmed, m²
	Lift  float64 // change of the lift coefficient at the same angle, of a flap; 0 otherwise
	Angle float64 // rad: of the flap, or of the slip
	Known bool
	Why   string // why there is none
}

// Extra is the drag it adds at airspeed v, N.
func (b *Brake) Extra(rho float64) func(v float64) float64 {
	return func(v float64) float64 { return 0.5 * rho * v * v * b.Area }
}

// attitude is a steady flight with brakes out or the nose held aside.
type attitude struct {
	alpha, pitch, beta, roll float64
	cd, cl                   float64
	ok                       bool
}

// balanced finds angle of attack and pitch (and, with a yaw held, sideslip and
// roll) that carry the lift with no moment about the balance point: Newton's
// method on finite differences. ok is false when it does not settle inside 15
// degrees of sideslip and the throws.
func (c *Chain) balanced(m *aero.Model, d *Drawn, v, brake, yaw float64, slip bool) (a attitude) {
	ac := d.Aircraft
	q := 0.5 * d.Air.Rho * v * v * ac.Ref.Area
	want := ac.Mass.Total * perform.Gravity / q
	at := func(x []float64) (aero.Coefficients, aero.Flag) {
		f := m.Still(v)
		f.Rho, f.Mu = d.Air.Rho, d.Air.Mu
		f.Alpha, f.Pitch, f.Brake = x[0], x[1], brake
		if slip {
			f.Beta, f.Roll, f.Yaw = x[2], x[3], yaw
		}
		return m.Coefficients(&f, &d.AeroK, ac.Mass.CG)
	}
	n := 2
	if slip {
		n = 4
	}
	x := make([]float64, n)
	x[0] = 0.05
	misses := func(x []float64) []float64 {
		k, _ := at(x)
		out := []float64{k.CL - want, k.Cm}
		if slip {
			out = append(out, k.Cn, k.Cl)
		}
		return out
	}
	for range 25 {
		e := misses(x)
		j := mat.NewDense(n, n, nil)
		for i := range x {
			const h = 1e-4
			y := append([]float64(nil), x...)
			y[i] += h
			f := misses(y)
			for r := range e {
				j.Set(r, i, (f[r]-e[r])/h)
			}
		}
		var step mat.VecDense
		if step.SolveVec(j, mat.NewVecDense(n, e)) != nil {
			return a
		}
		most := 0.0
		for i := range x {
			s := math.Max(-0.1, math.Min(0.1, step.AtVec(i)))
			x[i] -= s
			most = math.Max(most, math.Abs(s))
		}
		if most < 1e-7 {
			k, flag := at(x)
			a.alpha, a.pitch, a.cd, a.cl = x[0], x[1], k.CD, k.CL
			a.ok = flag&(aero.Stalled|aero.NotFinite) == 0
			if slip {
				a.beta, a.roll = x[2], x[3]
				_, roll, _ := m.Stick(0, 1, 0)
				a.ok = a.ok && math.Abs(x[2]) < 15*math.Pi/180 && math.Abs(x[3]) <= math.Abs(roll)*1.001
			}
			up, _, _ := m.Stick(1, 0, 0)
			low, _, _ := m.Stick(-1, 0, 0)
			a.ok = a.ok && x[1] <= up+1e-6 && x[1] >= low-1e-6
			return a
		}
	}
	return a
}

// Brakes lists what can make drag on this aeroplane at airspeed v: ailerons
// raised together as spoilers, its brake flaps, a side-slip with full rudder.
func (c *Chain) Brakes(d *Drawn, v float64) []Brake {
	ac := d.Aircraft
	base := c.balanced(c.Aero, d, v, 0, 0, false)
	var out []Brake
	add := func(b Brake, a attitude) {
		if b.Why == "" && (!a.ok || !base.ok) {
			b.Why = "no balanced flight with it was found at that speed"
		}
		if b.Why == "" {
			b.Known, b.Area = true, math.Max(0, a.cd-base.cd)*ac.Ref.Area
		}
		out = append(out, b)
	}
	// Both ailerons up: those that do not trim her as well.
	pitchers := 0
	for i := range ac.Surfaces {
		for _, k := range ac.Surfaces[i].Controls {
			if k.Pitch > 0 && k.Roll == 0 {
				pitchers++
			}
		}
	}
	b := Brake{Say: "both ailerons up, full throw"}
	raised, up := withBrake(ac, pitchers > 0)
	switch {
	case up == 0 && pitchers == 0:
		b.Say, b.Why = "both elevons up", "the elevons trim her: raised together they pitch the nose up"
		add(b, attitude{})
	case up == 0:
		b.Why = "no ailerons"
		add(b, attitude{})
	default:
		o := aero.Options{}
		if c.sections != nil {
			o.Sections = c.sections
		}
		if m, err := aero.New(raised, c.Air, o); err != nil {
			b.Why = err.Error()
			add(b, attitude{})
		} else {
			b.Angle = up
			add(b, c.balanced(m, d, v, -up, 0, false))
			f := m.Still(v)
			f.Alpha = base.alpha
			k0, _ := m.Coefficients(&f, &d.AeroK, ac.Mass.CG)
			f.Brake = -up
			k1, _ := m.Coefficients(&f, &d.AeroK, ac.Mass.CG)
			out[len(out)-1].Lift = k1.CL - k0.CL
		}
	}
	if full := c.Aero.Brake(); full > 0 {
		add(Brake{Say: "brake flaps, full", Angle: full}, c.balanced(c.Aero, d, v, full, 0, false))
	}
	b = Brake{Say: "side-slip, full rudder"}
	if _, _, yaw := c.Aero.Stick(0, 0, 1); yaw == 0 {
		b.Why = "no rudder"
		add(b, attitude{})
	} else {
		// As much rudder as can be balanced: full, or less in steps of a fifth.
		var a attitude
		for share := 1.0; share > 0.1 && !a.ok; share -= 0.2 {
			if a = c.balanced(c.Aero, d, v, 0, share*yaw, true); a.ok && share < 1 {
				b.Say = "side-slip, as much rudder as she balances"
			}
		}
		b.Angle = math.Abs(a.beta)
		add(b, a)
	}
	return out
}

// withBrake is the aircraft with its ailerons made to move together, and their
// throw up; 0 when there are none to spare.
func withBrake(ac *craft.Aircraft, spare bool) (*craft.Aircraft, float64) {
	c := *ac
	c.Surfaces = append([]craft.Surface(nil), ac.Surfaces...)
	up := 0.0
	for i := range c.Surfaces {
		c.Surfaces[i].Controls = append([]craft.Control(nil), c.Surfaces[i].Controls...)
		for j := range c.Surfaces[i].Controls {
			k := &c.Surfaces[i].Controls[j]
			k.Brake = 0
			if k.Roll > 0 && (k.Pitch == 0 || spare) {
				k.Brake, up = 1, math.Max(up, k.ThrowUp)
			}
		}
	}
	return &c, up
}

// Slow is one way to lose the last of the speed.
type Slow struct {
	Say            string
	Distance, Time float64 // m, s; in still air
	Why            string  // why it cannot be had; "" when it can
	Note           string
}

// Slowing lists ways to lose an excess of speed over the approach speed close
// to the ground, motor off, shortest first.
func (c *Chain) Slowing(d *Drawn, p *perform.Plane, v, excess float64, brakes []Brake) []Slow {
	var out []Slow
	level := func(say string, idle func(v float64) float64, extra func(v float64) float64, n float64) {
		q := *p
		q.Idle = idle
		drag := func(v float64) float64 {
			x := q.GlideDrag(v, n)
			if extra != nil {
				x += extra(v)
			}
			return x
		}
		s := Slow{Say: say}
		s.Distance, s.Time = q.Bleed(v+excess, v, drag)
		out = append(out, s)
	}
	stopped := c.idle("stopped")
	level("level, propeller stopped", stopped, nil, 1)
	if c.Power != nil {
		level("level, propeller windmilling", c.idle("windmilling"), nil, 1)
		level("level, propeller braked by the motor", c.idle("braked"), nil, 1)
	}
	for i := range brakes {
		b := &brakes[i]
		if !b.Known {
			out = append(out, Slow{Say: b.Say, Why: b.Why, Distance: math.NaN(), Time: math.NaN()})
			continue
		}
		level(b.Say, stopped, b.Extra(d.Air.Rho), 1)
	}
	if v > p.StallAt(2) {
		level("a level turn at 60 deg of bank", stopped, nil, 2)
		out[len(out)-1].Note = "with height to spare only"
	}
	up := ((v+excess)*(v+excess) - v*v) / (2 * perform.Gravity)
	g := p.GlideAt(v)
	out = append(out, Slow{
		Say: "pulled up into height, then glided down", Distance: up / math.Tan(g.Angle), Time: up / g.Sink,
		Note: "the speed comes back as height: good far out, useless over the field",
	})
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i].Distance, out[j].Distance
		return a < b || !math.IsNaN(a) && math.IsNaN(b)
	})
	return out
}

// Landings is what landings scatter over, the aeroplane itself held at its
// nominal values: 90 % ranges.
type Landings struct {
	Touch, Stop, Speed Quantity // m from the edge of the field, m/s over the ground
}

// Landings flies n landings with the scatter of a pilot and of the wind (the
// same as a sortie's).
func (c *Chain) Landings(d *Drawn, p *perform.Plane, seed uint64, n int) (l Landings, err error) {
	var list []doubt.Input
	for _, k := range sortieScatter[2:5] {
		dist, err := doubt.Normal(0, k.sd)
		if err != nil {
			return l, err
		}
		list = append(list, doubt.Input{Path: k.path, Label: k.label, Kind: doubt.Scatter, Dist: dist})
	}
	space, err := doubt.NewSpace(list)
	if err != nil {
		return l, err
	}
	sampler := doubt.NewSampler(space, seed, 1)
	q := c.lands(d, p)
	plan := q.LandAs(c.Approach(d))
	x := make([]float64, 3)
	var touch, stop, speed []float64
	for i := range n {
		sampler.Draw(i, nil, x)
		k := q.LandAs(scattered(c.Approach(d), d.Aircraft, x))
		if k.Status != perform.OK {
			continue
		}
		touch, stop, speed = append(touch, k.ApproachRun+k.FlareRun), append(stop, k.Distance), append(speed, k.GroundSpeed)
	}
	put := func(v float64, xs []float64, u string) Quantity {
		if len(xs) < 2 {
			return Quantity{Value: v, Low: v, High: v, Unit: u, Status: string(plan.Status)}
		}
		lo, hi := doubt.Interval(xs, 0.90)
		return Quantity{Value: v, Low: math.Min(lo, v), High: math.Max(hi, v), Unit: u}
	}
	l.Touch, l.Stop, l.Speed = put(plan.ApproachRun+plan.FlareRun, touch, "m"), put(plan.Distance, stop, "m"), put(plan.GroundSpeed, speed, "m/s")
	return l, nil
}

// scattered is an approach as one pilot in one wind flies it: speed, height
// and wind off by the shares x.
func scattered(a perform.Approach, ac *craft.Aircraft, x []float64) perform.Approach {
	a.Margin = math.Max(1.02, a.Margin*(1+x[0]))
	a.Height *= math.Max(0.2, 1+x[1])
	a.Wind += x[2] * math.Max(0, ac.Day.Gust-ac.Day.Wind)
	return a
}

// Lands is the plane with the propeller as on the approach.
func (c *Chain) Lands(d *Drawn, p *perform.Plane) *perform.Plane { return c.lands(d, p) }

// Idled is the plane with the propeller stopped, windmilling or braked.
func (c *Chain) Idled(p *perform.Plane, way string) *perform.Plane {
	q := *p
	q.Idle = c.idle(way)
	return &q
}
