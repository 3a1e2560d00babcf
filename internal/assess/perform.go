package assess

import (
	"context"
	"math"
	"strings"

	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/perform"
)

// Wind is the mean wind of a draw's day over its ground; ok is false when it
// cannot be (a wind measured within the roughness of the ground).
func Wind(ac *craft.Aircraft) (w air.Wind, ok bool) {
	z0 := air.DefaultZ0
	if r, found := air.Surface(ac.Day.Surface); found {
		z0 = r.Z0
	}
	w, err := air.NewWind(ac.Day.Wind, ac.Day.WindHeight, ac.Day.OffAxis, z0)
	return w, err == nil
}

// Change is one number of the build with another value.
type Change struct {
	Path  string
	Value float64
}

// Changed are the scalar results, all at nominal values, with some numbers of
// the build changed, in order. The airframe's model stays but where the shape changes. ok is false when the build lacks one of the
// numbers or the change cannot be modelled.
func (c *Chain) Changed(sets ...Change) (n Numbers, ok bool) {
	k, ok := c.changed(sets)
	if !ok {
		return n, false
	}
	d := k.Nominal()
	return k.numbers(&d, Everything), true
}

// changed is the chain of the changed build.
func (c *Chain) changed(sets []Change) (*Chain, bool) {
	ac := c.Aircraft
	rebuild := false
	for _, k := range sets {
		path := k.Path
		var found bool
		if ac, found = ac.Turn(path, k.Value); !found {
			return nil, false
		}
		rebuild = rebuild || strings.HasPrefix(path, "power.motor") || strings.HasPrefix(path, "power.propeller") || strings.HasPrefix(path, "power.battery.c") || strings.HasPrefix(path, "surfaces.") || strings.HasPrefix(path, "body.")
	}
	if rebuild {
		k, err := c.For(ac)
		return k, err == nil
	}
	// Day, mass and flying alone: the models stand, the air acts through its
	// density.
	k := *c
	k.Aircraft = ac
	return &k, true
}

// Step is one practical change of the build or the day.
type Step struct {
	Say     string
	Set     []string // --set strings; nil when it is none
	Changes []Change
}

// Effect is one change and what it does.
type Effect struct {
	Say                                               string
	Set                                               []string // --set strings; nil when it is none
	Stall, Top, Climb, Time, Circuit, Loiter, Landing float64  // changes, SI; NaN where either is not known
}

var effectIDs = []ID{StallSpeed, TopSpeed, ClimbRate, EnduranceTime, CircuitTime, LoiterRadius, LandingRun}

// effect compares two results.
func effect(s *Step, base, now *Numbers) Effect {
	e := Effect{Say: s.Say, Set: s.Set}
	for i, to := range []*float64{&e.Stall, &e.Top, &e.Climb, &e.Time, &e.Circuit, &e.Loiter, &e.Landing} {
		a, b := base[effectIDs[i]], now[effectIDs[i]]
		*to = math.NaN()
		if a.Known() && b.Known() {
			*to = b.V - a.V
		}
	}
	return e
}

// Effects is what each step does at nominal values, and in each of o.Draws
// draws of what is not known: the changed build with the same draw, each
// number that was changed as far from its value as it was before. Steps that
// the build cannot take are left out.
func (c *Chain) Effects(ctx context.Context, o Options, steps []Step) (nominal []Effect, draws [][]Effect, err error) {
	o = o.filled()
	base := []*Chain{c}
	var taken []Step
	for _, s := range steps {
		if k, ok := c.changed(s.Changes); ok && len(k.Aircraft.Inputs) == len(c.Aircraft.Inputs) {
			base, taken = append(base, k), append(taken, s)
		}
	}
	all := func(list []Drawn) []Effect {
		out := make([]Effect, len(taken))
		from := base[0].numbers(&list[0], Everything)
		for j := range taken {
			n := base[j+1].numbers(&list[j+1], Everything)
			out[j] = effect(&taken[j], &from, &n)
		}
		return out
	}
	now := make([]Drawn, len(base))
	for j, k := range base {
		now[j] = k.Nominal()
	}
	nominal = all(now)
	draws = make([][]Effect, o.Draws)
	err = c.Beside(ctx, o, base[1:], func(i int, list []Drawn) { draws[i] = all(list) })
	return nominal, draws, err
}

// Beside calls do with each of o.Draws draws of what is not known, first of c,
// then the same draw of each other chain: of a changed aircraft with the same
// inputs, each number that was changed as far from its value as it was before.
// Like [Chain.Draws] otherwise.
func (c *Chain) Beside(ctx context.Context, o Options, others []*Chain, do func(i int, list []Drawn)) error {
	o = o.filled()
	space, index, err := c.space(false)
	if err != nil {
		return err
	}
	list := index[doubt.Ignorance]
	sampler := doubt.NewSampler(space, o.Seed, 1)
	return each(ctx, o.Draws, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		moved := make([]float64, len(ign))
		return func(i int) {
			sampler.Draw(i, ign, sca)
			out := []Drawn{c.Draw(list, ign)}
			for _, k := range others {
				for n, at := range list {
					was, is := c.Aircraft.Inputs[at].Nominal, k.Aircraft.Inputs[at].Nominal
					if moved[n] = ign[n] + is - was; is == 0 && was != 0 {
						moved[n] = 0 // made none: calm is calm
					}
				}
				out = append(out, k.Draw(list, moved))
			}
			do(i, out)
		}
	}, func(done int) { o.Progress("changes", done, o.Draws) })
}

// Buys is one practical step of each number that can be changed.
func (c *Chain) Buys() (out []Step) {
	add := func(say, set string, changes ...Change) {
		s := Step{Say: say, Changes: changes}
		if set != "" {
			s.Set = strings.Split(set, ";")
		}
		out = append(out, s)
	}
	ac := c.Aircraft
	add("50 g less at the balance point", "trial.mass=-50 g", Change{Path: "trial.mass", Value: ac.Trial.Mass - 0.05})
	add("2 cm2 less drag area", "trial.drag_area=-2 cm^2", Change{Path: "trial.drag_area", Value: ac.Trial.DragArea - 2e-4})
	if c.Power != nil {
		p := &ac.Power
		const inch = 0.0254
		add("half an inch more pitch", "", Change{Path: "power.propeller.pitch", Value: p.Propeller.Pitch + 0.5*inch})
		add("half an inch less pitch", "", Change{Path: "power.propeller.pitch", Value: p.Propeller.Pitch - 0.5*inch})
		add("half an inch less diameter", "", Change{Path: "power.propeller.diameter", Value: p.Propeller.Diameter - 0.5*inch})
		add("a motor constant 10 % higher", "", Change{Path: "power.motor.kv", Value: 1.1 * p.Motor.KV})
		cell := 0.2 * 0.7 // of a pack's mass the cells' share that grows with capacity
		mass := 0.0
		if i := ac.PartNamed(p.Battery.Part); i >= 0 {
			mass = ac.Parts[i].Mass * cell
		}
		add("a pack a fifth larger, its mass with it", "", Change{Path: "power.battery.capacity", Value: 1.2 * p.Battery.Capacity}, Change{Path: "trial.mass", Value: ac.Trial.Mass + mass})
		add("launched with a tenth less charge", "power.battery.charge=90 %", Change{Path: "power.battery.charge", Value: 0.9 * p.Battery.Charge})
	}
	if v := ac.Flight.Cruise; v > 0 {
		add("cruise a tenth slower", "", Change{Path: "flight.cruise", Value: 0.9 * v})
	}
	if b := ac.Flight.Bank; b > 0 && b < 65*math.Pi/180 {
		add("10 deg more bank in its turns", "", Change{Path: "flight.bank", Value: b + 10*math.Pi/180})
	}
	return out
}

// Days are other days.
func (c *Chain) Days() (out []Step) {
	add := func(say string, changes ...Change) { out = append(out, Step{Say: say, Changes: changes}) }
	day := &c.Aircraft.Day
	// The pressure at the field follows from its height when it is turned again.
	qnh := Change{Path: "day.pressure", Value: 101325}
	if k, ok := c.Aircraft.Knob(qnh.Path); ok {
		qnh.Value = k.Value
	}
	add("15 K warmer", Change{Path: "day.temperature", Value: day.Temperature + 15})
	add("15 K colder", Change{Path: "day.temperature", Value: day.Temperature - 15})
	add("a field 1000 m higher", Change{Path: "day.height", Value: day.Height + 1000}, qnh, Change{Path: "day.temperature", Value: day.Temperature - 1000*air.Lapse})
	add("calm", Change{Path: "day.wind", Value: 0}, Change{Path: "day.gust", Value: 0})
	add("3 m/s more wind and gust", Change{Path: "day.wind", Value: day.Wind + 3}, Change{Path: "day.gust", Value: day.Gust + 3})
	return out
}

// Trial is a speed trial over a straight base, all at nominal values unless
// said otherwise.
type Trial struct {
	Base, Entry, Height, Dive float64
	Along, Across             float64 // wind along the base (from ahead on the way out) and across it, at its height, m/s
	EntrySpeed                float64 // airspeed at which the entry run begins
	Start, Mean, End          float64 // airspeed into the base, over it and out of it
	Top                       float64 // level top speed
	DiveGain                  float64 // what the dive adds at the start of the base, m/s
	Decay                     float64 // m, length over which an excess falls to 1/e
	Run99                     float64 // m from cruise to 99 %
	Out, Back                 float64 // ground speeds over the base
	TimeOut, TimeBack         float64 // s over the base
	TwoWay                    float64 // arithmetic mean of both ground speeds
	Harmonic                  float64 // base twice over both times
	PassTime, PassCharge      float64 // s and C for one pass with its turn round
	Passes                    int     // the pack affords, to its reserve
	Wanted                    int
	TurnRadius, TurnTime      float64 // of the turn round
	Session                   float64 // s for the wanted passes
	SigmaTime, SigmaEnds      float64 // m/s, one standard deviation of the two-way speed each
	SigmaWind, SigmaHeight    float64
	Sigma                     float64 // together
	Shows                     float64 // m/s: the highest claim that this result would show at 95 %
	Coast                     float64 // m she still flies when the motor stops over the base
	TopDoubt                  Quantity
	Status                    perform.Status
}

// Trial plans the speed trial of the build's course. The sporting code it
// refers to: 200 m base, both ways within 30 minutes, 5 to 35 m above the pilot
// over the entry of 100 m and the base. Uncertainty: two timings, base ends,
// gusts between the passes (a third of gust over wind), height held to 3 m.
func (c *Chain) Trial(r *Results) Trial {
	d := c.Nominal()
	return c.TrialOf(&d, r)
}

// TrialOf is the trial of one draw.
func (c *Chain) TrialOf(d *Drawn, r *Results) Trial {
	ac := d.Aircraft
	k := ac.Course
	t := Trial{Base: k.Base, Height: k.Height, Dive: k.Dive, Wanted: k.Passes, TopDoubt: r.Get(TopSpeed), Status: perform.OK}
	n := c.numbers(d, Everything)
	if !n[TopSpeed].Known() || !n[CruiseSpeed].Known() {
		t.Status = n[TopSpeed].Status
		return t
	}
	p := c.Plane(d)
	top, cruise := n[TopSpeed].V, n[CruiseSpeed].V
	t.Top, t.EntrySpeed = top, math.Min(cruise, 0.98*top)
	t.Run99, _, _ = p.RunTo(t.EntrySpeed, 0.99*top)
	t.Entry = k.Entry
	if math.IsNaN(k.Entry) {
		t.Entry = math.Max(100, t.Run99)
	}
	start, _ := p.Straight(t.EntrySpeed, t.Entry)
	level := start
	if k.Dive > 0 {
		// The dive's height becomes speed at the beginning of the entry.
		v0 := math.Sqrt(t.EntrySpeed*t.EntrySpeed + 2*perform.Gravity*k.Dive)
		start, _ = p.Straight(v0, t.Entry)
	}
	t.Start, t.DiveGain = start, start-level
	t.End, t.Mean = p.Straight(start, k.Base)
	t.Decay = p.DecayLength(top)
	w, ok := Wind(ac)
	if !ok {
		t.Status = "the wind at the height of the course is not known"
		return t
	}
	u := w.At(k.Height)
	t.Along, t.Across = air.Components(u, ac.Day.OffAxis, k.Heading)
	air2 := math.Sqrt(math.Max(0, t.Mean*t.Mean-t.Across*t.Across))
	t.Out, t.Back = air2-t.Along, air2+t.Along
	t.TimeOut, t.TimeBack = k.Base/t.Out, k.Base/t.Back
	t.TwoWay = (t.Out + t.Back) / 2
	t.Harmonic = 2 * k.Base / (t.TimeOut + t.TimeBack)

	// One pass: entry, base, a run out of 50 m, a turn round at cruise.
	bank := Bank(ac)
	turn := p.TurnAt(cruise, bank)
	t.TurnRadius, t.TurnTime = turn.Radius, 2*math.Pi/turn.Rate // half a circle and the way back to the line
	fast := t.Entry/((t.EntrySpeed+start)/2) + (k.Base+50)/t.Mean
	pt := c.Power.Solve(t.Mean, d.Aircraft.Power.Throttle, (p.Charge+p.Reserve)/2, &d.PowerK)
	hold := p.Settle(cruise, p.LevelPull(cruise, turn.Load), (p.Charge+p.Reserve)/2)
	t.PassTime = fast + t.TurnTime
	t.PassCharge = pt.Current*fast + hold.Current*t.TurnTime
	climb := p.Capacity * (p.Charge - p.Reserve) * 0.10 // launch, climb and landing
	if t.PassCharge > 0 {
		t.Passes = int((p.Capacity*(p.Charge-p.Reserve) - climb) / t.PassCharge)
	}
	t.Session = float64(k.Passes) * t.PassTime

	// Silent over the base: the surplus of speed, then the glide from that height.
	slow := 1.3 * p.Stall
	bleed, _ := p.Bleed(t.Mean, slow, func(v float64) float64 { return p.GlideDrag(v, 1) })
	t.Coast = bleed + k.Height/math.Tan(p.GlideAt(slow).Angle)

	pairs := math.Max(1, float64(k.Passes)/2)
	one := func(v, base float64) float64 { return v * v / base * k.Timing }
	t.SigmaTime = math.Hypot(one(t.Out, k.Base), one(t.Back, k.Base)) / 2 / math.Sqrt(pairs)
	t.SigmaEnds = t.TwoWay * k.Ends / k.Base
	t.SigmaWind = math.Max(0.2, (ac.Day.Gust-ac.Day.Wind)/3) / math.Sqrt2 / math.Sqrt(pairs)
	t.SigmaHeight = perform.Gravity * 3 / t.TwoWay / math.Sqrt2 / math.Sqrt(pairs)
	t.Sigma = math.Sqrt(t.SigmaTime*t.SigmaTime + t.SigmaEnds*t.SigmaEnds + t.SigmaWind*t.SigmaWind + t.SigmaHeight*t.SigmaHeight)
	t.Shows = t.TwoWay - 1.6449*t.Sigma
	return t
}

// LandBy is when to come home.
type LandBy struct {
	Time        float64 // s after launch, the way it is flown
	Laps        float64 // of the circuit; NaN without one
	Volts, Cell float64 // V under load at cruise, pack and one cell
	Rest        float64 // V of one cell at rest
	Earlier     float64 // s to keep for an approach and going round once
	Status      perform.Status
}

// LandBy is the moment at which the pack is at its reserve in the way it is
// flown, by the watch and by the voltmeter.
func (c *Chain) LandBy(d *Drawn, n *Numbers) LandBy {
	nan := math.NaN()
	l := LandBy{Time: nan, Laps: nan, Volts: nan, Cell: nan, Rest: nan, Earlier: nan, Status: perform.OK}
	v := n[CruiseSpeed]
	if c.Power == nil || !v.Known() {
		l.Status = perform.NoPower
		return l
	}
	p := c.Plane(d)
	t := n[CircuitTime]
	if t.Known() {
		l.Time, l.Laps = t.V, n[CircuitLaps].V
	} else if t = n[EnduranceTime]; t.Known() {
		l.Time = t.V
	} else {
		l.Status = t.Status
		return l
	}
	s := p.Settle(v.V, p.LevelPull(v.V, 1), p.Reserve)
	cells := float64(d.Aircraft.Power.Battery.Cells)
	l.Volts, l.Cell = s.Volts, s.Volts/cells
	l.Rest = c.rest(d, p.Reserve)
	// Going round once: a climb of 30 s at full throttle in the cruise's seconds.
	pt := c.Power.Solve(v.V, d.Aircraft.Power.Throttle, p.Reserve, &d.PowerK)
	if s.Current > 0 {
		l.Earlier = 30 * pt.Current / s.Current
	}
	return l
}

// rest is the resting voltage of one cell at a charge, V.
func (c *Chain) rest(d *Drawn, charge float64) float64 {
	return d.Aircraft.Power.Battery.RestVoltage(charge)
}

// LiftSlope is the lift slope of the whole aeroplane, per rad.
func (c *Chain) LiftSlope() float64 { return c.slope }
