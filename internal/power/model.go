// Package power solves the electric drive: battery, wiring, controller, motor
// and propeller together, at any forward airspeed, throttle and charge.
//
// The pack is a rest voltage with a resistance by charge, temperature and age
// and one relaxation; wires and contacts add theirs; the controller chops the
// voltage and loses for it; the motor is second order, with iron losses by
// speed and warm copper; the propeller comes from [fledge/internal/prop] as a
// map. One unknown, the speed of rotation, is found in a bracket.
//
// SI throughout; KV in rad/s per volt, omega in rad/s, v is the axial
// airspeed at the propeller, charge the share of the capacity left.
package power

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"

	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/num"
	"fledge/internal/power/typical"
	"fledge/internal/prop"
)

// Flag tells what is wrong or remarkable at a point; 0: nothing.
type Flag uint32

// The bits of a Flag.
const (
	OverMotor      Flag = 1 << iota // current over the motor's limit
	OverController                  // over the controller's
	OverBattery                     // over the pack's
	OverWire                        // over the connector's or wire's
	OverSpeed                       // propeller over its speed limit
	BelowCutoff                     // cell voltage under the cut-off
	Collapsed                       // pack under half of its rest voltage at half charge: no such operation
	Windmilling                     // the air drives; no current flows
	NotTurning                      // the motor cannot turn the propeller, or is off in still air
	AirFromBehind                   // v < 0: computed at v = 0, not valid
	BadThrottle                     // throttle outside 0..1 or not a number: held
	BadInput                        // not a number: values are NaN
	CannotReach                     // the thrust wanted cannot be had: the nearest is given
	Fast                            // propeller tip beyond the map (330 m/s)
	Off                             // throttle under the controller's start
)

var flagWords = []string{
	"current over the motor's limit", "current over the controller's limit", "current over the battery's limit", "current over the wiring's limit",
	"propeller over its speed limit", "cells under the cut-off voltage", "battery voltage collapsed", "driven by the air", "not turning",
	"air from behind: not modelled", "throttle outside 0 to 100 %", "bad input", "thrust cannot be reached", "propeller tip too fast", "motor off",
}

// String is "ok" or the set bits in words.
func (f Flag) String() string {
	if f == 0 {
		return "ok"
	}
	var out []string
	for i, w := range flagWords {
		if f&(1<<i) != 0 {
			out = append(out, w)
		}
	}
	return strings.Join(out, "; ")
}

// OverLimit are the bits that concern a part's limit.
const OverLimit = OverMotor | OverController | OverBattery | OverWire | OverSpeed | BelowCutoff

// Point is one operating point. Thrust N, Torque: shaft torque N m, >= 0 when
// driving; Voltage at the pack, Current from the pack; Omega rad/s;
// Efficiency: thrust times airspeed over battery power, 0 at rest.
type Point struct {
	Thrust, Torque, Omega, Current, Voltage, Throttle, Efficiency float64
	Flag                                                          Flag
}

// Factors are multipliers on the model, 1 neutral: propeller thrust and
// torque, advance ratio (Advance stretches CT and CP over J, and CP with it,
// as more pitch would: the doubt of the zero-thrust speed), motor KV, resistance of motor and controller, cell resistance,
// capacity, idle current, the pack's rest voltage (another charge than the
// model's: [Pack.Rest] over that at the model's), and the air's density over
// the model's. Start from [Neutral]: a zero is not neutral.
type Factors struct {
	Thrust, Torque, KV, Resistance, CellResistance, Capacity, Idle, Rest float64
	Advance, Rho                                                         float64
}

// Neutral changes nothing.
func Neutral() Factors { return Factors{1, 1, 1, 1, 1, 1, 1, 1, 1, 1} }

var neutral = Neutral()

// Train is the drive's parts.
type Train struct {
	Pack       Pack
	Motor      Motor
	Controller Controller
	Wire       float64 // ohm, both leads and contacts
	WireLimit  float64 // A, 0: not known
	PackLimit  float64
	SpeedLimit float64 // rad/s of the propeller, 0: not known
}

// WindingRise is how much warmer (K) than the air the winding is taken to be
// in flight, and MagnetRise the magnets: a motor some ten seconds into its
// work. [Model.Heat] computes the course.
const (
	WindingRise = 35.0
	MagnetRise  = 12.0
)

// minThrottle is where controllers begin to turn a motor.
const minThrottle = 0.03

// Model is the drive of one aircraft in one air: immutable, safe for parallel
// use.
type Model struct {
	Train  Train
	Prop   *prop.Map
	Source prop.Source
	Blade  prop.Blade
	Gas    prop.Gas
	Charge float64 // at launch

	reserve float64
	inertia float64
	turn    float64
	folding bool
	swept   float64 // blade area over 1, m² (all blades)
	vTop    float64
	base    drive // at launch charge, neutral or about what a bench fit found
	moved   bool
	per     Factors // what base has of factors already, inverted
	sheet   *sheet
	off     *num.Grid1
	still   *num.Grid1 // drag over v² of the propeller held still
	rows    []craft.BenchRow
	spool   float64
	airT    float64
	key     key
	lim     struct{ motor, controller, pack, wire, least, speed, cutoff, half, weak float64 }
}

// setLimits turns the train's limits (0: none) into what flags compare with.
func (m *Model) setLimits() {
	train := &m.Train
	none := func(v float64) float64 {
		if v > 0 {
			return v
		}
		return math.Inf(1)
	}
	m.lim.motor, m.lim.controller, m.lim.pack = none(train.Motor.Limit), none(train.Controller.Limit), none(train.PackLimit)
	m.lim.wire, m.lim.speed = none(train.WireLimit), none(train.SpeedLimit)
	m.lim.least = min(m.lim.motor, m.lim.controller, m.lim.pack, m.lim.wire)
	m.lim.cutoff = train.Pack.Cutoff * float64(train.Pack.Cells)
	m.lim.weak = math.Max(train.Pack.Worst-1, 0) * train.Pack.Steady(m.Charge)
	m.lim.half = train.Pack.Rest(0.5) / 2
}

// Options for [NewWith].
type Options struct {
	VTop  float64 // airspeed up to which At is tabulated, m/s; 0: from the propeller's pitch and voltage
	Plain bool    // without the lookup tables (At then solves directly)
	from  *Model  // whose propeller map may be taken over
}

// New makes the drive of an aircraft in the air st. A glider (no place) gives
// nil and no error. The error lists everything that makes no drive, in words
// for the user.
func New(ac *craft.Aircraft, st air.State) (*Model, error) { return NewWith(ac, st, Options{}) }

// Renew is New for a changed aircraft or air that takes over from m what has
// not changed: the whole model when nothing that concerns the drive has, else
// the propeller's map when blade, body in the stream and air are the same. The
// result is the same as New's, bit for bit; m is not touched.
func (m *Model) Renew(ac *craft.Aircraft, st air.State) (*Model, error) {
	if m == nil {
		return New(ac, st)
	}
	k := keyOf(ac, st)
	if m.key.whole(&k) {
		return m, nil
	}
	return NewWith(ac, st, Options{from: m})
}

// key is all of an aircraft and its air that a model depends on.
type key struct {
	power  craft.Power
	body   []craft.BodyStation
	masses [3]float64
	gas    prop.Gas
	t      float64
	doubt  Spread
}

func keyOf(ac *craft.Aircraft, st air.State) key {
	p := &ac.Power
	return key{*p, ac.Body, [3]float64{mass(ac, p.Battery.Part), mass(ac, p.Motor.Part), mass(ac, p.Controller.Part)}, prop.Gas{Rho: st.Rho, Mu: st.Mu, A: st.A}, st.T, doubtOf(ac)}
}

func (a *key) whole(b *key) bool { return reflect.DeepEqual(a, b) }

// disc: the same blade in the same stream.
func (a *key) disc(b *key) bool {
	return a.gas == b.gas && a.power.Place == b.power.Place && reflect.DeepEqual(a.body, b.body) && reflect.DeepEqual(a.power.Propeller, b.power.Propeller)
}

// NewWith is New with options.
func NewWith(ac *craft.Aircraft, st air.State, o Options) (*Model, error) {
	p := &ac.Power
	if p.Place == "" {
		return nil, nil
	}
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	finite := func(name string, v float64, min float64) {
		if !(v >= min) || math.IsInf(v, 0) {
			bad("%s of %g makes no drive", name, v)
		}
	}
	if p.Battery.Cells < 1 || p.Battery.Cells > 24 {
		bad("%d cells in series are outside 1 to 24", p.Battery.Cells)
	}
	finite("a battery capacity (C)", p.Battery.Capacity, 1)
	finite("a cell resistance (ohm)", p.Battery.CellResistance, 0)
	finite("a motor KV (rad/s per volt)", p.Motor.KV, 1)
	finite("a motor resistance (ohm)", p.Motor.Resistance, 0)
	finite("an idle current (A)", p.Motor.IdleCurrent, 0)
	finite("a controller resistance (ohm)", p.Controller.Resistance, 0)
	finite("a connector resistance (ohm)", p.Wiring.Connector, 0)
	if p.Motor.Resistance+p.Controller.Resistance <= 0 {
		bad("motor and controller without any resistance make no drive")
	}
	if !(st.Rho > 0 && st.Mu > 0 && st.A > 0) {
		bad("no air to work in")
	}
	m := &Model{Gas: prop.Gas{Rho: st.Rho, Mu: st.Mu, A: st.A}, rows: p.Bench, turn: -1, airT: st.T}
	if p.Propeller.Right {
		m.turn = 1
	}
	if err := m.propeller(ac, p); err != nil {
		errs = append(errs, err)
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	m.parts(ac, st)
	m.setLimits()
	m.key = keyOf(ac, st)
	if o.from != nil && m.key.disc(&o.from.key) {
		m.Prop = o.from.Prop
	} else {
		m.Prop = prop.NewMap(m.Source, m.Blade.Diameter, m.Gas)
	}
	m.base, m.per = m.drive(m.Charge, &neutral), neutral
	m.tables(o)
	return m, nil
}

// propeller makes the source: measured table, else geometry, else family.
func (m *Model) propeller(ac *craft.Aircraft, p *craft.Power) error {
	pr := &p.Propeller
	blades := pr.Blades
	if blades == 0 {
		blades = 2
	}
	var b *prop.Blade
	if pr.Geometry != nil {
		g, l := prop.ReadBlade("propeller geometry", pr.Geometry, pr.Diameter, blades)
		if g == nil {
			return l.Err()
		}
		b = g
	} else {
		g, l := prop.Family(pr.Diameter, pr.Pitch, blades, pr.Style)
		if g == nil {
			return l.Err()
		}
		b = g
	}
	b.Style, b.Pitch, b.Mass = pr.Style, pr.Pitch, pr.Mass
	m.Blade = *b
	m.folding = pr.Style == "folding"
	o := prop.Options{Blockage: blockage(ac, p, b.Diameter)}
	if pr.ZeroThrust > 0 && pr.Measured == nil {
		// Read in free air, at a speed of rotation that is not told: tips at 0.3 of sound.
		t, l := b.Tie(pr.ZeroThrust, 0.3*m.Gas.A/(b.Diameter/2), m.Gas, prop.Options{})
		if t == nil {
			return l.Err()
		}
		t.Style, t.Pitch, t.Mass = b.Style, b.Pitch, b.Mass
		b, m.Blade = t, *t
	}
	r := prop.New(b, o)
	m.Source = r
	if pr.Measured != nil {
		t, l := prop.ReadMeasured("propeller coefficients", pr.Measured, r, m.Gas)
		if t == nil {
			return l.Err()
		}
		m.Source = t
	}
	for i := 1; i < len(b.X); i++ {
		m.swept += 0.5 * (b.Chord[i] + b.Chord[i-1]) * (b.X[i] - b.X[i-1]) * float64(b.Blades) * b.Diameter * b.Diameter / 4
	}
	return nil
}

// blockage takes the body's widest part as the round of equal area.
func blockage(ac *craft.Aircraft, p *craft.Power, diameter float64) prop.Blockage {
	var area, x float64
	for _, s := range ac.Body {
		if a := math.Pi / 4 * s.Width * s.Height; a > area {
			area, x = a, s.X
		}
	}
	r := diameter / 2
	b := prop.Blockage{Pusher: p.Place == "pusher"}
	if area <= 0 || !(r > 0) {
		return b
	}
	b.Body = math.Min(math.Sqrt(area/math.Pi)/r, 1.5)
	b.Gap = math.Abs(x-p.Propeller.At.X) / r
	if b.Pusher {
		// The wake behind a body of average fineness: a tenth of the speed in
		// the middle, spread over the body's width.
		b.WakeLoss = 0.1
	}
	return b
}

func mass(ac *craft.Aircraft, name string) float64 {
	for i := range ac.Parts {
		if ac.Parts[i].Name == name && name != "" {
			return ac.Parts[i].Mass
		}
	}
	return 0
}

func (m *Model) parts(ac *craft.Aircraft, st air.State) {
	p := &ac.Power
	b := &p.Battery
	train := &m.Train
	train.Pack = Pack{
		Chemistry: b.Chemistry, Cells: b.Cells, Parallel: max(b.Parallel, 1), Capacity: b.Capacity, Cell: b.CellResistance, Worst: b.Worst, Shift: b.RestShift,
		Age: 1, Temperature: b.Temperature, Cutoff: b.Cutoff, Mass: mass(ac, b.Part),
	}
	if !(train.Pack.Temperature > 0) {
		train.Pack.Temperature = typical.BatteryTemperature(st.T).Value
	}
	if !(train.Pack.Cutoff > 0) {
		train.Pack.Cutoff = typical.Cutoff(b.Chemistry).Value
	}
	m.Charge, m.reserve = b.Charge, b.Reserve
	if !(m.Charge > 0 && m.Charge <= 1) {
		m.Charge = typical.Charge().Value
	}
	train.PackLimit = b.Limit
	mo := &p.Motor
	volts := mo.IdleVoltage
	if !(volts > 0) {
		volts = typical.IdleVoltage().Value
	}
	mm := mo.Mass
	if !(mm > 0) {
		mm = mass(ac, mo.Part)
	}
	train.Motor = Motor{
		KV: mo.KV, Resistance: mo.Resistance, Iron: SplitIron(mo.IdleCurrent, volts, mo.KV, mo.Resistance),
		Winding: st.T + WindingRise, Magnets: st.T + MagnetRise, Limit: mo.Limit, Mass: mm,
	}
	train.Controller = Controller{Resistance: p.Controller.Resistance, Chop: Chop, Ripple: Ripple, Start: Start, Idle: 0.05, Limit: p.Controller.Limit, Mass: mass(ac, p.Controller.Part)}
	if r := typical.WireResistance(p.Wiring.Gauge).Value; p.Wiring.Gauge > 0 && r > 0 {
		train.Wire = 2 * r * math.Max(p.Wiring.Length, 0)
		train.WireLimit = typical.WireLimit(p.Wiring.Gauge).Value
	}
	if p.Wiring.Limit > 0 && (train.WireLimit == 0 || p.Wiring.Limit < train.WireLimit) {
		train.WireLimit = p.Wiring.Limit
	}
	train.Wire += p.Wiring.Connector
	train.SpeedLimit = p.Propeller.Limit
	pm := p.Propeller.Mass
	if !(pm > 0) {
		pm = typical.PropellerMass(m.Blade.Diameter, m.Blade.Blades, m.Blade.Style).Value
	}
	bm := mm
	if !(bm > 0) {
		bm = 0.03
	}
	// Bell: 0.47 of the motor at a radius of 12 mm for 30 g.
	rb := 0.012 * math.Cbrt(bm/0.030)
	m.inertia = prop.Inertia(pm, m.Blade.Diameter) + 0.47*bm*rb*rb
}

// drive is the electric side at one charge and set of factors, reduced to
// what the solution needs.
type drive struct {
	voc, pack, rb float64 // rest voltage, pack resistance, pack and wire resistance
	rm            float64 // motor and controller
	kv            float64
	chop, ripple  float64
	start, idle   float64
	heat          float64 // ripple rm/voc
	lag           float64 // resistance per speed
	i0, i1, i2    float64
	thrust, tau   float64 // on the map
	adv           float64 // the map is read at v/adv
}

func (m *Model) drive(charge float64, k *Factors) drive {
	if !(k.KV > 0 && k.Rest > 0 && k.Advance > 0 && k.Resistance > 0 && k.CellResistance >= 0 && k.Torque > 0 && k.Thrust > 0 && k.Rho > 0) {
		panic(fmt.Sprintf("power: factors %+v: they start from Neutral", *k))
	}
	train := &m.Train
	p := train.Pack.Steady(charge) * k.CellResistance
	d := drive{
		voc: train.Pack.Rest(charge) * k.Rest, pack: p, rb: p + train.Wire,
		rm: (train.Motor.Hot() + train.Controller.Resistance) * k.Resistance, kv: train.Motor.HotKV() * k.KV,
		chop: train.Controller.Chop, ripple: train.Controller.Ripple, start: train.Controller.Start, idle: train.Controller.Idle,
		thrust: k.Thrust * k.Rho, tau: k.Torque * k.Rho * k.Advance, adv: k.Advance, lag: train.Motor.Inductance * k.Resistance,
	}
	d.heat = d.ripple * d.rm / d.voc
	d.i0, d.i1, d.i2 = train.Motor.Iron[0]*k.Idle, train.Motor.Iron[1]*k.Idle, train.Motor.Iron[2]*k.Idle
	return d
}

// open is the drive at one duty. With the motor current i the pack gives
// gain i + heap i² + idle, and e - w/kv = r i + bend i².
type open struct{ duty, e, r, bend, gain, heap float64 }

func (d *drive) open(throttle float64) open {
	o := open{duty: d.start + (1-d.start)*throttle}
	off := 1 - o.duty
	o.gain = o.duty + d.chop*off
	o.heap = d.heat * off
	o.e = o.duty * (d.voc - d.rb*d.idle)
	o.r = d.rm + o.duty*o.gain*d.rb
	o.bend = o.duty * d.rb * o.heap
	return o
}

// current is the motor's (A, >= 0: the controller does not feed back) and its
// slope by omega.
func (d *drive) current(o *open, w float64) (i, slope float64) {
	c := o.e - w/d.kv
	if c <= 0 {
		return 0, 0
	}
	r := o.r + d.lag*w
	s := math.Sqrt(r*r + 4*o.bend*c)
	i = 2 * c / (r + s)
	return i, -(1/d.kv + d.lag*i) / s
}

func (d *drive) iron(w float64) float64 { return d.i0 + w*(d.i1+w*d.i2) }

// point fills in the electric side at the motor current i.
func (m *Model) point(d *drive, o *open, v, throttle, w, thrust, q, i float64) (p Point) {
	p.Throttle, p.Omega, p.Thrust, p.Torque = throttle, w, thrust, q
	ib := i*(o.gain+o.heap*i) + d.idle
	m.settle(v, i, o.duty, ib, d.voc-d.pack*ib, &p)
	return p
}

// settle sets current, voltage, efficiency and flags: i is the motor's
// current, ib and volts are the pack's.
func (m *Model) settle(v, i, duty, ib, volts float64, p *Point) {
	p.Current, p.Voltage = ib, volts
	if v > 0 && p.Thrust > 0 && volts*ib > 0 {
		p.Efficiency = p.Thrust * v / (volts * ib)
	}
	l := &m.lim
	if ib <= l.least && i*duty <= l.controller && p.Omega <= l.speed && volts-l.weak*ib >= l.cutoff && i != 0 {
		return
	}
	p.Flag |= m.flags(ib, volts, p.Omega, i, duty)
}

func (m *Model) flags(ib, volts, omega, motor, duty float64) Flag {
	var f Flag
	l := &m.lim
	if ib > l.motor {
		f |= OverMotor
	}
	if ib > l.controller || motor*duty > l.controller {
		f |= OverController
	}
	if ib > l.pack {
		f |= OverBattery
	}
	if ib > l.wire {
		f |= OverWire
	}
	if omega > l.speed {
		f |= OverSpeed
	}
	if volts-l.weak*ib < l.cutoff {
		f |= BelowCutoff
		if volts < l.half {
			f |= Collapsed
		}
	}
	if motor == 0 {
		f |= Windmilling
	}
	return f
}

var nanPoint = func() Point {
	n := math.NaN()
	return Point{n, n, n, n, n, n, n, BadInput}
}()

func inputs(v, throttle float64) (float64, float64, Flag) {
	var f Flag
	if v < 0 {
		v, f = 0, AirFromBehind
	}
	if !(throttle >= 0) {
		throttle, f = 0, f|BadThrottle
	} else if throttle > 1 {
		throttle, f = 1, f|BadThrottle
	}
	return v, throttle, f
}

// Solve is the direct solution of the drive at axial airspeed v (m/s),
// throttle (0..1) and charge (0..1). k nil: neutral. The flags tell limits
// and impossible wishes; a v below zero is computed at rest and flagged.
func (m *Model) Solve(v, throttle, charge float64, k *Factors) Point {
	if k == nil {
		k = &neutral
	}
	if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(charge) {
		return nanPoint
	}
	v, throttle, f := inputs(v, throttle)
	d := m.drive(math.Min(math.Max(charge, 0), 1), k)
	p := m.solve(&d, v, throttle)
	p.Flag |= f
	return p
}

func (m *Model) solve(d *drive, v, throttle float64) Point {
	if throttle < minThrottle {
		return m.coast(d, v, throttle)
	}
	o := d.open(throttle)
	inside := true
	vp := v / d.adv
	net := func(w float64) float64 { // > 0: speeds up
		_, q, in := m.Prop.At(vp, w)
		inside = in
		i, _ := d.current(&o, w)
		return (i-d.iron(w))/d.kv - d.tau*q
	}
	// From above any equilibrium downwards to the fastest one.
	hi := math.Max(o.e*d.kv, vp/m.Prop.Radius*6) * 1.02
	a, fa := hi, net(hi)
	w, found := 0.0, false
	const n = 16
	for i := n - 1; i >= 0; i-- {
		b := hi * float64(i) / n
		fb := net(b)
		if fb > 0 && fa <= 0 {
			s := num.Root(net, b, a, 1e-9*hi)
			w, found = s.X, true
			break
		}
		a, fa = b, fb
	}
	if !found {
		t, q, _ := m.Prop.At(vp, 0)
		i, _ := d.current(&o, 0)
		p := m.point(d, &o, v, throttle, 0, t*d.thrust, q*d.tau, i)
		p.Flag |= NotTurning
		return p
	}
	t, q, _ := m.Prop.At(vp, w)
	i, _ := d.current(&o, w)
	p := m.point(d, &o, v, throttle, w, t*d.thrust, q*d.tau, i)
	if !inside {
		p.Flag |= Fast
	}
	return p
}

// coast is the drive with the motor off: windmilling, stopped or folded.
func (m *Model) coast(d *drive, v, throttle float64) Point {
	p := Point{Current: d.idle, Voltage: d.voc - d.pack*d.idle, Throttle: throttle, Flag: Off}
	if m.folding {
		p.Thrust = -m.folded(v) * d.thrust
		p.Flag |= NotTurning
		return p
	}
	drag, w := m.Prop.Windmill(v/d.adv, func(w float64) float64 { return d.iron(w) / d.kv / d.tau })
	p.Thrust, p.Omega = -drag*d.thrust, w
	if w > 0 {
		p.Torque = -d.iron(w) / d.kv
		p.Flag |= Windmilling
	} else {
		p.Flag |= NotTurning
	}
	return p
}

// folded is the drag (N) of blades laid back along the body: friction on both
// sides at 0.012 and 30 % for their roots.
func (m *Model) folded(v float64) float64 {
	return 0.5 * m.Gas.Rho * v * v * 2 * m.swept * 0.012 * 1.3
}

// ThrottleFor is the point at which the drive gives the thrust (N) at airspeed
// v and charge; its Throttle is what it takes. When that is more than full
// throttle, the full-throttle point comes back with CannotReach; when less
// than the motor turning at idle gives (negative thrust included), the coasting one.
func (m *Model) ThrottleFor(v, thrust, charge float64, k *Factors) (Point, Flag) {
	if k == nil {
		k = &neutral
	}
	if math.IsNaN(v+thrust+charge) || math.IsInf(v+thrust, 0) {
		return nanPoint, BadInput
	}
	v, _, f := inputs(v, 0)
	d := m.drive(math.Min(math.Max(charge, 0), 1), k)
	fail := func(throttle float64) (Point, Flag) {
		p := m.solve(&d, v, throttle)
		p.Flag |= f | CannotReach
		return p, p.Flag
	}
	full := d.open(1)
	top := full.e * d.kv * 1.02
	vp := v / d.adv
	net := func(w float64) float64 {
		t, _, _ := m.Prop.At(vp, w)
		return t*d.thrust - thrust
	}
	if net(top) < 0 {
		return fail(1)
	}
	// The fastest speed of rotation with that thrust.
	a, w, found := top, 0.0, false
	const n = 16
	for i := n - 1; i >= 0; i-- {
		b := top * float64(i) / n
		if net(b) <= 0 {
			w, found = num.Root(net, b, a, 1e-9*top).X, true
			break
		}
		a = b
	}
	if !found || w <= 0 {
		return fail(0)
	}
	t, q, in := m.Prop.At(vp, w)
	q *= d.tau
	i := q*d.kv + d.iron(w)
	if i < 0 {
		return fail(0)
	}
	// With off = 1-duty: duty (voc - rb (idle + i (duty + chop off) + ripple rm off i²/voc)) = i rm + w/kv,
	// a quadratic in the duty.
	vm := i*(d.rm+d.lag*w) + w/d.kv
	x := d.ripple * d.rm * i * i / d.voc
	aa := d.rb * (i*(1-d.chop) - x)
	bb := d.voc - d.rb*(d.idle+i*d.chop+x)
	disc := bb*bb - 4*aa*vm
	if disc < 0 || bb <= 0 {
		return fail(1)
	}
	duty := 2 * vm / (bb + math.Sqrt(disc))
	throttle := (duty - d.start) / (1 - d.start)
	if throttle > 1 {
		return fail(1)
	}
	if throttle < minThrottle {
		return fail(0)
	}
	o := d.open(throttle)
	p := m.point(&d, &o, v, throttle, w, t*d.thrust, q, i)
	p.Flag |= f
	if !in {
		p.Flag |= Fast
	}
	return p, p.Flag
}

// Stopped is the drag (N) of the propeller at airspeed v with the motor off
// and held still, or folded away.
func (m *Model) Stopped(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	if m.folding {
		return m.folded(v)
	}
	if m.still != nil && v <= m.vTop {
		var c [1]float64
		m.still.At(v, c[:])
		return c[0] * v * v
	}
	t, _, _ := m.Prop.At(v, 0)
	return -t
}

// Windmill is drag (N) and speed (rad/s) with the motor off and free to turn:
// also of folding blades, which stay out while they turn and lie back when the
// air cannot turn them.
func (m *Model) Windmill(v float64) (drag, omega float64) {
	if !(v > 0) {
		return 0, 0
	}
	d := &m.base
	drag, omega = m.Prop.Windmill(v/d.adv, func(w float64) float64 { return d.iron(w) / d.kv / d.tau })
	if omega == 0 && m.folding {
		return m.folded(v), 0
	}
	return drag * d.thrust, omega
}

// Folds says whether the blades lie back when they stand still.
func (m *Model) Folds() bool { return m.folding }

// RotorInertia is the inertia (kg m²) of propeller and bell about the axis.
func (m *Model) RotorInertia() float64 { return m.inertia }

// Turn is +1 for a propeller turning right (clockwise from behind), else -1.
func (m *Model) Turn() float64 { return m.turn }

// SpoolTime is the time constant (s) of running up to full throttle: half of
// the angular momentum over the running torque, and 0.15 s that controllers
// take to ramp up; doubt 40 %.
func (m *Model) SpoolTime() float64 { return m.spool }

// Reserve is the share of the capacity meant to be left.
func (m *Model) Reserve() float64 { return m.reserve }
