package assess

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"strings"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/launch"
	"fledge/internal/perform"
	"fledge/internal/power"
	"fledge/internal/section"
)

// Chain is the models of one aircraft on one day, built once. Draws vary it
// cheaply: mass properties, launch gear and day exactly, the shape through
// differences of the lattice, the models through factors.
type Chain struct {
	Aircraft *craft.Aircraft
	Air      air.State
	Aero     *aero.Model
	Power    *power.Model // nil without a motor
	set      Setting
	sections *aero.Tables // solved; nil: handbook
	solved   int          // distinct sections
	shifts   []aero.Shift // per input of the aircraft: what a change of it does to the factors

	bench power.Bench  // fit to the build's bench rows; OK false without
	joint *joint       // how its errors hang together; nil: they do not
	plain *power.Model // Power, its tables about the parts as they are
	slope float64      // lift slope, per rad
}

// Setting says how to build the models.
type Setting struct {
	Memo    section.Memo // keeps solved sections; nil: none kept
	Solve   bool         // solve the sections instead of handbook trends
	Workers int
}

// NewChain builds the models on handbook sections.
func NewChain(ac *craft.Aircraft) (*Chain, error) {
	return NewChainWith(context.Background(), ac, Setting{})
}

// NewChainWith builds the models.
func NewChainWith(ctx context.Context, ac *craft.Aircraft, set Setting) (*Chain, error) {
	return newChain(ctx, ac, set, nil)
}

// Renew is NewChainWith for another aircraft, mostly the same one edited: it
// takes over the models of c that nothing changed for, and the result is the
// same as NewChainWith's, bit for bit. c is not touched.
func (c *Chain) Renew(ctx context.Context, ac *craft.Aircraft) (*Chain, error) {
	return newChain(ctx, ac, c.set, c)
}

func newChain(ctx context.Context, ac *craft.Aircraft, set Setting, from *Chain) (*Chain, error) {
	c := &Chain{Aircraft: ac, Air: airOf(ac), set: set}
	if from != nil && c.Air == from.Air && sameFrame(ac, from.Aircraft) {
		c.sections, c.solved, c.Aero, c.slope = from.sections, from.solved, from.Aero, from.slope
		c.shifts = from.shiftsFor(ac)
	} else {
		if set.Solve {
			var err error
			if c.sections, c.solved, err = solveSections(ctx, ac, set.Memo, max(1, set.Workers)); err != nil {
				return nil, err
			}
		}
		if err := c.airframe(); err != nil {
			return nil, err
		}
		c.shifts = c.Aero.Shifts(ac, ac.Inputs)
	}
	if ac.Power.Place != "" {
		var old *power.Model
		if from != nil {
			old = from.plain
		}
		var err error
		if c.plain, err = old.Renew(ac, c.Air); err != nil {
			return nil, fmt.Errorf("drive: %w", err)
		}
		c.Power = c.plain
		if len(ac.Power.Bench) > 0 && !ac.BenchTaught {
			about := power.Neutral() // what the label is expected to fall short by
			about.KV = ac.Factor("kv")
			c.bench = c.Power.FitBench(&about)
			switch {
			case from != nil && c.plain == from.plain && reflect.DeepEqual(c.bench, from.bench):
				c.Power = from.Power
			case c.bench.OK && c.bench.Readings > 0:
				c.Power = c.plain.Around(&c.bench.Factors)
			}
		}
		c.joint = c.jointOf()
	}
	return c, nil
}

// airframe builds the aerodynamic model and what hangs on it.
func (c *Chain) airframe() error {
	ac := c.Aircraft
	var err error
	o := aero.Options{}
	if c.sections != nil {
		o.Sections = c.sections
	}
	if c.Aero, err = aero.New(ac, c.Air, o); err != nil {
		return fmt.Errorf("airframe: %w", err)
	}
	c.slope = c.Aero.Lattice().Derivatives().CLAlpha
	return nil
}

func airOf(ac *craft.Aircraft) air.State {
	return air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
}

// Drawn is one draw: an aircraft with its factors.
type Drawn struct {
	Aircraft *craft.Aircraft
	Air      air.State
	AeroK    aero.Factors
	PowerK   power.Factors
}

// Nominal is the draw with everything at its nominal value.
func (c *Chain) Nominal() Drawn { return c.Draw(nil, nil) }

// Draw sets the inputs of the given indices (of Aircraft.Inputs) to values
// drawn independently, mixed as what was learned of them hangs together.
func (c *Chain) Draw(index []int, value []float64) Drawn {
	return c.DrawPlain(index, c.joint.mixed(c, index, c.Aircraft.Mixed(index, value)))
}

// DrawPlain is Draw with the values as they stand.
func (c *Chain) DrawPlain(index []int, value []float64) Drawn {
	base := c.Aircraft
	d := Drawn{Aircraft: base}
	if len(index) > 0 {
		d.Aircraft = base.Vary(index, value)
	}
	ac := d.Aircraft
	d.Air = airOf(ac)
	k := aero.Neutral()
	k.Drag, k.Lift, k.ClMax = ac.Factor("drag"), ac.Factor("lift"), ac.Factor("lift-max")
	k.Damping, k.Control = ac.Factor("damping"), ac.Factor("control")
	k.NP, k.Cm0 = ac.Factor("neutral-point")*base.Ref.Chord, ac.Factor("pitch-trim")
	k.DragArea = ac.Trial.DragArea
	if c.shifts != nil {
		for n, i := range index {
			if base.Inputs[i].Shape() {
				c.shifts[i].Apply(&k, value[n]-base.Inputs[i].Nominal)
			}
		}
	}
	d.AeroK = k
	p := power.Neutral()
	if c.Power != nil {
		if c.bench.OK && c.bench.Readings > 0 {
			p = c.bench.Factors
			p.KV /= base.Factor("kv") // the bench says what the label's optimism would
		}
		b, n := &base.Power, &ac.Power
		p.Thrust *= ac.Factor("thrust")
		p.Torque *= ac.Factor("torque")
		p.Advance *= ac.Factor("advance") * n.Propeller.Pitch / b.Propeller.Pitch
		p.KV *= ac.Factor("kv") * n.Motor.KV / b.Motor.KV
		p.Resistance *= n.Motor.Resistance / b.Motor.Resistance
		p.Idle *= n.Motor.IdleCurrent / b.Motor.IdleCurrent
		p.CellResistance *= n.Battery.CellResistance / b.Battery.CellResistance
		p.Capacity *= n.Battery.Capacity / b.Battery.Capacity
		p.Rho = d.Air.Rho / c.Air.Rho
		dia := n.Propeller.Diameter / b.Propeller.Diameter
		p.Thrust *= dia * dia * dia * dia
		p.Torque *= dia * dia * dia * dia * dia
	}
	d.PowerK = p
	return d
}

// Setup is the launch of a draw.
func (c *Chain) Setup(d *Drawn) launch.Setup {
	s := launch.FromAircraft(d.Aircraft, c.Aero, c.Power, d.Air)
	s.AeroK, s.MotorK = d.AeroK, d.PowerK
	return s
}

// Plane is the performance of a draw.
func (c *Chain) Plane(d *Drawn) *perform.Plane {
	ac := d.Aircraft
	p := &perform.Plane{
		Mass: ac.Mass.Total, Area: ac.Ref.Area, Rho: d.Air.Rho,
		Charge: ac.Power.Battery.Charge, Reserve: ac.Power.Battery.Reserve,
		Capacity: ac.Power.Battery.Capacity,
	}
	w := p.Weight()
	p.Stall = c.stall(d)
	polar := c.polar(d, p.Stall)
	p.Drag = func(v, n float64) float64 { return polar.drag(v, n*w) }
	if c.Power == nil {
		return p
	}
	k := d.PowerK
	most := ac.Power.Throttle
	var line power.Line // a draw asks a thousand times at one throttle
	p.Thrust = func(v float64) float64 {
		if !line.Held(c.Power, most, &k) {
			c.Power.Hold(&line, most, &k)
		}
		return line.At(v).Thrust
	}
	p.Settle = func(v, thrust, charge float64) perform.Draw {
		pt, flag := c.Power.ThrottleFor(v, thrust, charge, &k)
		out := perform.Draw{Throttle: pt.Throttle, Current: pt.Current, Volts: pt.Voltage, Status: perform.OK}
		switch {
		case flag&(power.CannotReach|power.BadInput|power.Collapsed) != 0 || pt.Throttle > most+1e-9:
			out.Status = perform.NotHeld
		case flag&power.BelowCutoff != 0:
			out.Status = perform.BatteryTooWeak
		}
		return out
	}
	if s := c.stream(d, polar); s != nil {
		p.Stream = func(v, n, pull float64) float64 { return s.drag(v, n*w, pull) }
	}
	p.Idle = c.Power.Stopped
	return p
}

// Scope says which scalar results are wanted.
type Scope int

// The scopes. Those left out of a narrow one are not described.
const (
	Everything Scope = iota
	Weights          // mass, balance, neutral point, static margin
	Loading          // these and what strength hangs on: stall, top and touchdown speed, thrust, current
	Homecoming       // weights, stall speed, approach and landing
)

// numbers computes the scalar results of a draw.
func (c *Chain) numbers(d *Drawn, scope Scope) Numbers {
	var n Numbers
	for i := range n {
		n[i] = perform.Value{V: math.NaN(), Status: perform.NotDescribed}
	}
	ac := d.Aircraft
	set := func(id ID, v float64) { n[id] = perform.Value{V: v, Status: perform.OK} }
	set(Mass, ac.Mass.Total)
	set(BalanceX, ac.Mass.CG.X)
	np := c.Aero.NeutralPoint() + d.AeroK.NP
	set(NeutralX, np)
	set(StaticMargin, (np-ac.Mass.CG.X)/c.Aircraft.Ref.Chord)
	if scope == Weights {
		return n
	}
	p := c.Plane(d)
	if !(p.Stall > 0) {
		n[StallSpeed] = perform.Value{V: math.NaN(), Status: "the pitch control cannot hold the wing at its maximum lift"}
		return n
	}
	set(StallSpeed, p.Stall)
	if scope != Homecoming {
		n[TopSpeed] = p.TopSpeed()
		if c.Power != nil {
			static := c.Power.At(0, ac.Power.Throttle, &d.PowerK)
			set(StaticThrust, static.Thrust)
			set(CurrentMax, static.Current)
		}
	}
	if scope == Everything {
		c.flight(&n, d, p)
	}
	l := c.lands(d, p).LandAs(c.Approach(d))
	st := l.Status
	n[ApproachSpeed] = perform.Value{V: l.Approach, Status: perform.OK}
	n[Touchdown] = perform.Value{V: l.GroundSpeed, Status: st}
	n[LandingRun] = perform.Value{V: l.Distance, Status: st}
	n[Deceleration] = perform.Value{V: l.Deceleration, Status: st}
	if scope == Loading {
		return n
	}
	c.trim(&n, TrimApproach, l.Approach, d)
	c.aloft(&n, d, p, l)
	return n
}

// flight fills in glide, climb, turns, cruise and gusts.
func (c *Chain) flight(n *Numbers, d *Drawn, p *perform.Plane) {
	ac := d.Aircraft
	set := func(id ID, v float64) { n[id] = perform.Value{V: v, Status: perform.OK} }
	n[DiveSpeed] = p.DiveSpeed(30 * math.Pi / 180)
	best := p.BestGlide()
	set(GlideRatio, best.Ratio)
	set(GlideSpeed, best.Speed)
	set(LeastSink, p.LeastSink().Sink)
	cruise := p.CruiseSpeed()
	if v := ac.Flight.Cruise; v > 0 {
		cruise = perform.Value{V: v, Status: perform.OK}
	}
	n[CruiseSpeed] = cruise
	if c.Power != nil {
		b := p.BestClimb()
		set(ClimbRate, b.Rate)
		set(ClimbAngle, b.Angle)
		set(ClimbSpeed, b.Speed)
		t := p.TightestTurn()
		n[TurnRadius] = perform.Value{V: t.Radius, Status: t.Status}
	}
	if cruise.Known() {
		e := p.EnduranceAt(cruise.V, 1)
		n[EnduranceTime] = perform.Value{V: e.Time, Status: e.Status}
		n[Range] = perform.Value{V: e.Distance, Status: e.Status}
		n[CurrentCruise] = perform.Value{V: e.Current, Status: e.Status}
		l := p.TurnAt(cruise.V, Bank(ac))
		n[LoiterRadius] = perform.Value{V: l.Radius, Status: l.Status}
		if c.Power != nil {
			c.trimPulled(n, cruise.V, d)
		} else {
			c.trim(n, TrimCruise, cruise.V, d)
		}
	}
	if top := n[TopSpeed]; top.Known() {
		u := math.Max(1, ac.Day.Gust-ac.Day.Wind)
		g, _ := p.GustLoad(top.V, u, c.slope, ac.Ref.Chord)
		set(GustLoad, g)
	}
}

// trim is the pitch stick that holds level flight at v.
func (c *Chain) trim(n *Numbers, id ID, v float64, d *Drawn) {
	t := c.trimmed(d, v, d.Aircraft.Mass.Total*perform.Gravity)
	if !t.OK {
		n[id] = perform.Value{V: math.NaN(), Status: "no position of the pitch control balances it"}
		return
	}
	n[id] = perform.Value{V: t.Stick, Status: perform.OK}
}

func (c *Chain) trimmed(d *Drawn, v, lift float64) aero.Trimmed {
	return c.Aero.Trim(aero.Balance{V: v, Rho: d.Air.Rho, Mu: d.Air.Mu, Lift: lift, CG: d.Aircraft.Mass.CG}, &d.AeroK)
}

// stall is the trimmed level stall speed of a draw; NaN when none is found.
func (c *Chain) stall(d *Drawn) float64 {
	ac := d.Aircraft
	return c.Aero.StallSpeed(ac.Mass.Total, ac.Mass.CG, d.Air.Rho, d.Air.Mu, &d.AeroK)
}

// polar is the trimmed drag of a draw on a grid of lift coefficients and
// speeds, linear in lift and parabolic in the logarithm of speed; within 1.5 % of
// Trim below 0.85 of the largest lift (tested). A point of the grid is trimmed
// when it is first asked for: most are never. Not for use by several at once.
type polar struct {
	trim      func(v, lift float64) aero.Trimmed
	area, rho float64
	dcl, lnv0 float64
	dlnv      float64
	cd        [polarSpeeds][polarLifts]float64
	known     [polarSpeeds]uint32 // a bit for each lift
}

const (
	polarSpeeds = 9
	polarLifts  = 16
)

func (c *Chain) polar(d *Drawn, stall float64) *polar {
	ac := d.Aircraft
	drawn := *d
	p := &polar{area: ac.Ref.Area, rho: d.Air.Rho, trim: func(v, lift float64) aero.Trimmed { return c.trimmed(&drawn, v, lift) }}
	if !(stall > 0) {
		return p
	}
	weight := ac.Mass.Total * perform.Gravity
	clmax := 2 * weight / (p.rho * stall * stall * p.area)
	p.dcl = clmax / (polarLifts - 1)
	p.lnv0, p.dlnv = math.Log(stall*0.9), math.Log(12)/(polarSpeeds-1)
	return p
}

// at is the drag coefficient at a point of the grid.
func (p *polar) at(i, j int) float64 {
	if p.known[i]&(1<<j) != 0 {
		return p.cd[i][j]
	}
	v := math.Exp(p.lnv0 + float64(i)*p.dlnv)
	q := 0.5 * p.rho * v * v * p.area
	t := p.trim(v, float64(j)*p.dcl*q)
	cd := t.CD
	if !t.OK && j > 0 { // past what can be trimmed: carry the slope on
		cd = 2*p.at(i, j-1) - p.at(i, max(0, j-2))
	}
	p.cd[i][j] = cd
	p.known[i] |= 1 << j
	return cd
}

// drag is the trimmed drag at airspeed v carrying lift; past the largest
// lift coefficient it grows as the last piece does.
func (p *polar) drag(v, lift float64) float64 {
	q := 0.5 * p.rho * v * v * p.area
	if p.dcl == 0 || !(v > 0) {
		return math.NaN()
	}
	x := math.Abs(lift) / q / p.dcl
	j := polarLifts - 2
	if x < float64(j) { // what is not a number, or has no end, stays so
		j = int(x)
	}
	fx := x - float64(j)
	at := func(i int) float64 {
		a, b := p.at(i, j), p.at(i, j+1)
		return a + fx*(b-a)
	}
	// A parabola through three speeds: section drag bends with the Reynolds number.
	y := (math.Log(v) - p.lnv0) / p.dlnv
	i := max(1, min(int(math.Round(y)), polarSpeeds-2))
	t := y - float64(i)
	lo, mid, hi := at(i-1), at(i), at(i+1)
	return q * (mid + t*((hi-lo)/2+t*((hi+lo)/2-mid)))
}

// matters reports whether an input of the shape moves the aeroplane enough to
// be drawn by itself: more than a tenth of the model's own doubt in pitching
// moment (0.008), neutral point (1.5 % of the mean chord) or lift (0.03).
func (c *Chain) matters(i int) bool {
	if c.shifts == nil {
		return false
	}
	k, one := &c.shifts[i], c.Aircraft.Inputs[i].Sigma
	over := func(v, limit float64) bool { return math.Abs(v*one) > limit }
	return over(k.Cm0, 0.0008) || over(k.NP, 0.0015*c.Aircraft.Ref.Chord) || over(k.CL0, 0.003) || over(k.Lift, 0.003)
}

// For returns the chain of a changed aircraft (see craft.Turn), with the
// models that the change leaves valid taken over: a moved battery or hook
// needs no new lattice, a new stick no new propeller.
func (c *Chain) For(ac *craft.Aircraft) (*Chain, error) {
	shape, drive := false, false
	for i := range ac.Knobs {
		k := &ac.Knobs[i]
		if i >= len(c.Aircraft.Knobs) || k.Value != c.Aircraft.Knobs[i].Value {
			shape = shape || strings.HasPrefix(k.Path, "surfaces.") || strings.HasPrefix(k.Path, "body.")
			drive = drive || strings.HasPrefix(k.Path, "power.") && !limiting(k.Path)
		}
	}
	if shape && drive || c.sections != nil && (shape || drive) && !sameReach(ac, c.Aircraft) {
		return NewChainWith(context.Background(), ac, c.set)
	}
	n := *c
	n.Aircraft = ac
	n.Air = airOf(ac)
	var err error
	if shape {
		if err = n.airframe(); err != nil {
			return nil, err
		}
	}
	if drive && c.Power != nil {
		if n.Power, err = c.Power.Renew(ac, n.Air); err != nil {
			return nil, fmt.Errorf("drive: %w", err)
		}
	}
	return &n, nil
}

// limiting tells numbers of the drive that say how it is used or what its
// parts may carry: the models do not depend on them.
func limiting(path string) bool {
	return path == "power.throttle" || strings.HasSuffix(path, ".limit") || strings.HasSuffix(path, ".supply") || strings.HasSuffix(path, ".reserve")
}

// sigma is the doubt of an input, narrowed by the bench fit where there is one.
func (c *Chain) sigma(in *craft.Input) float64 {
	if in.Sigma == 0 {
		return 0 // said to be exact
	}
	if in.Taught {
		return in.Sigma
	}
	if s, ok := c.modelDoubt(in.Path); ok {
		return s
	}
	if !c.bench.OK || c.bench.Readings == 0 {
		return in.Sigma
	}
	if in.Path == "power.propeller.diameter" && c.bench.Spread.Torque < 0.6*c.Power.DefaultSpread().Torque {
		return 0 // pull and current were read of this very propeller, whatever its diameter
	}
	rel := map[string]float64{
		"factor.thrust": c.bench.Spread.Thrust, "factor.torque": c.bench.Spread.Torque, "factor.kv": c.bench.Spread.KV,
		"power.motor.kv": c.bench.Spread.KV, "power.motor.resistance": c.bench.Spread.Resistance,
		"power.motor.idle_current": c.bench.Spread.Idle, "power.battery.cell_resistance": c.bench.Spread.CellResistance,
	}
	if s, ok := rel[in.Path]; ok {
		return math.Min(in.Sigma, s*math.Abs(in.Nominal))
	}
	return in.Sigma
}

// modelDoubt is the doubt of the airframe's factors as the aircraft model
// itself states it, from the sections it was built on.
func (c *Chain) modelDoubt(path string) (float64, bool) {
	d := c.Aero.Doubts()
	switch path {
	case "factor.drag":
		return d.Drag, true
	case "factor.lift":
		return d.Lift, true
	case "factor.lift-max":
		return d.ClMax, true
	case "factor.neutral-point":
		return d.NP / c.Aircraft.Ref.Chord, true
	case "factor.pitch-trim":
		return d.Cm0, true
	case "factor.control":
		return d.Control, true
	case "factor.damping":
		return d.Damping, true
	}
	return 0, false
}
