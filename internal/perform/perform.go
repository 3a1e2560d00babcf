// Package perform is the steady and manoeuvring rest of the flight: stall,
// top and cruise speed, climb, turns, endurance, glide, approach, landing. It
// works on a [Plane]: the airframe and the drive as plain functions of
// airspeed and load factor, so that each answer can be checked against closed
// forms and each draw costs microseconds.
//
// Point performance: path steady, thrust along the path, L = n W. Speeds are
// true airspeeds in m/s, forces N, angles rad. Nothing is clipped: where an
// answer does not exist the [Status] says so and the value is NaN.
package perform

import (
	"math"
)

// Gravity is standard gravity, m/s² (ISO 80000-3 note; 3rd CGPM 1901).
const Gravity = 9.80665

// Status says whether a number could be computed.
type Status string

// Why there is no number, in the words that are shown; OK and Extrapolated have one.
const (
	OK             Status = "ok"
	NoLevelFlight  Status = "no level flight: thrust is below drag at every speed"
	NotHeld        Status = "no level flight at this speed: full throttle does not hold it"
	NoPower        Status = "no motor"
	Extrapolated   Status = "outside the models' validity"
	NeverDescends  Status = "does not descend at this speed"
	NotDescribed   Status = "not described"
	BelowStall     Status = "below stall speed"
	BatteryTooWeak Status = "the battery cannot hold the current"
)

// Value is a number with its status; NaN unless OK or Extrapolated.
type Value struct {
	V      float64
	Status Status
}

func ok(v float64) Value { return Value{v, OK} }
func no(s Status) Value  { return Value{math.NaN(), s} }

// Known tells whether there is a number.
func (v Value) Known() bool { return v.Status == OK || v.Status == Extrapolated }

// Draw is what the drive takes to give a thrust.
type Draw struct {
	Throttle, Current, Volts float64
	Status                   Status
}

// Plane is one aeroplane on one day.
type Plane struct {
	Mass  float64 // kg
	Area  float64 // m²
	Rho   float64 // kg/m³
	Stall float64 // 1 g stall speed, trimmed, m/s

	// Drag at airspeed v and load factor n, trimmed, N, propeller apart.
	Drag func(v, n float64) float64
	// Thrust at full throttle and airspeed v, N, with the pack as at launch; nil without a motor.
	Thrust func(v float64) float64
	// Settle gives the throttle and current that hold a thrust at airspeed v and charge left.
	Settle func(v, thrust, charge float64) Draw
	// Stream is what a propeller that pulls so many N adds to Drag at airspeed v
	// and load factor n, N: its stream over what it meets. About in proportion
	// to the pull; nil for none.
	Stream func(v, n, pull float64) float64
	// Idle is the drag of the stopped (or windmilling) propeller at v, N; nil without a motor.
	Idle func(v float64) float64

	Capacity        float64 // C, usable when full
	Charge, Reserve float64 // shares of Capacity
}

// Weight is m g.
func (p *Plane) Weight() float64 { return p.Mass * Gravity }

// Powered is the drag under a pull, N: that of the airframe and what the
// propeller's stream adds.
func (p *Plane) Powered(v, n, pull float64) float64 {
	d := p.Drag(v, n)
	if p.Stream != nil && pull > 0 {
		d += p.Stream(v, n, pull)
	}
	return d
}

// LevelPull is the pull that holds the speed in level flight, N.
func (p *Plane) LevelPull(v, n float64) float64 { return p.against(v, n, p.Drag(v, n)) }

// against is the pull of which net is left after its own stream's drag.
func (p *Plane) against(v, n, net float64) float64 {
	t := net
	if p.Stream != nil && net > 0 {
		for range 3 { // exact where the stream's drag is in proportion
			t = net / (1 - p.Stream(v, n, t)/t)
		}
	}
	return t
}

// excess is full throttle's pull less the drag under it.
func (p *Plane) excess(v, n float64) float64 {
	t := p.Thrust(v)
	return t - p.Powered(v, n, t)
}

// TopSpeed returns the highest level airspeed at full throttle: the largest v
// for which T(v) = D(v, 1), the drag of the stream with it. It scans upward from the stall in steps of 2 %
// and closes the last crossing by bisection to 1e-9.
// Laws: v falls when mass or drag rises; v² ∝ T at vanishing lift.
func (p *Plane) TopSpeed() Value {
	if p.Thrust == nil {
		return no(NoPower)
	}
	return p.fastest(func(v float64) float64 { return p.excess(v, 1) })
}

// TopSpeedNear is [Plane.TopSpeed] of an aeroplane little different from one
// whose top speed v is known: the crossing nearest to it within 20 %, found with
// a tenth of the work; the whole scan where there is none.
func (p *Plane) TopSpeedNear(v float64) Value {
	if p.Thrust == nil || !(v > p.Stall) {
		return p.TopSpeed()
	}
	f := func(v float64) float64 { return p.excess(v, 1) }
	up := f(v) > 0
	for a, by := v, 1.001; by < 1.1; by = 1 + 2*(by-1) {
		b := a * by
		if !up {
			b = a / by
		}
		if b < p.Stall {
			break
		}
		if now := f(b) > 0; now != up {
			if up {
				return ok(bisect(f, a, b))
			}
			return ok(bisect(f, b, a))
		}
		a = b
	}
	return p.TopSpeed()
}

// DiveSpeed is the steady speed at full throttle down a slope of the given
// angle (rad, positive down): T + W sin γ = D.
func (p *Plane) DiveSpeed(down float64) Value {
	thrust := p.Thrust
	switch {
	case thrust == nil && p.Idle == nil:
		thrust = func(float64) float64 { return 0 } // a glider
	case thrust == nil:
		thrust = func(v float64) float64 { return -p.Idle(v) }
	}
	return p.fastest(func(v float64) float64 {
		t := thrust(v)
		return t + p.Weight()*math.Sin(down) - p.Powered(v, math.Cos(down), t)
	})
}

// fastest is the largest root of an excess force that ends negative.
func (p *Plane) fastest(excess func(float64) float64) Value {
	const limit = 340 // m/s: beyond it no model here holds
	last, found := 0.0, false
	miss := 0
	for v := p.Stall; v < limit; v *= 1.02 {
		if excess(v) > 0 {
			last, found, miss = v, true, 0
		} else if miss++; found && miss > 25 || miss > 120 {
			break
		}
	}
	if !found {
		return no(NoLevelFlight)
	}
	return ok(bisect(excess, last, last*1.02))
}

func bisect(f func(float64) float64, a, b float64) float64 {
	fa := f(a)
	for range 60 {
		m := (a + b) / 2
		if fm := f(m); fm == 0 {
			return m
		} else if (fm > 0) == (fa > 0) {
			a, fa = m, fm
		} else {
			b = m
		}
		if b-a < 1e-9*b {
			break
		}
	}
	return (a + b) / 2
}

// least finds the place of the least value of f on [a, b]: a scan of 24
// points and a golden-section search between the neighbours of the best, to
// 1e-5 of the span.
func least(f func(float64) float64, a, b float64) (x, y float64) {
	const n = 24
	best, fb := a, math.Inf(1)
	for i := range n + 1 {
		t := a + (b-a)*float64(i)/n
		if v := f(t); v < fb {
			best, fb = t, v
		}
	}
	if math.IsInf(fb, 1) {
		return best, fb
	}
	lo, hi := math.Max(a, best-(b-a)/n), math.Min(b, best+(b-a)/n)
	const g = 0.6180339887498949
	c, d := hi-g*(hi-lo), lo+g*(hi-lo)
	fc, fd := f(c), f(d)
	for hi-lo > 1e-5*(b-a) {
		if fc < fd {
			hi, d, fd = d, c, fc
			c = hi - g*(hi-lo)
			fc = f(c)
		} else {
			lo, c, fc = c, d, fd
			d = lo + g*(hi-lo)
			fd = f(d)
		}
	}
	x = (lo + hi) / 2
	if y = f(x); y > fb {
		return best, fb
	}
	return x, y
}

// StallAt is the stall speed at load factor n: Vs √n.
func (p *Plane) StallAt(n float64) float64 { return p.Stall * math.Sqrt(n) }

// Climb is the best steady climb at full throttle.
type Climb struct {
	Rate, Speed, Angle float64
	Status             Status
}

// BestClimb maximises v sin γ with sin γ = (T − D)/W and L = W cos γ.
func (p *Plane) BestClimb() Climb {
	if p.Thrust == nil {
		return Climb{Rate: math.NaN(), Speed: math.NaN(), Angle: math.NaN(), Status: NoPower}
	}
	hi := p.Stall * 6
	v, _ := least(func(v float64) float64 { r, _ := p.ClimbAt(v); return -r }, p.Stall*1.1, hi)
	r, g := p.ClimbAt(v)
	return Climb{Rate: r, Speed: v, Angle: g, Status: OK}
}

// ClimbAt returns the climb rate and angle at airspeed v and full throttle.
// Where thrust exceeds drag plus weight the climb is vertical and still
// accelerating: angle π/2, rate v.
func (p *Plane) ClimbAt(v float64) (rate, angle float64) {
	n := 1.0
	for range 30 {
		s := p.excess(v, n) / p.Weight()
		if s >= 1 {
			return v, math.Pi / 2
		}
		if s <= -1 {
			return -v, -math.Pi / 2
		}
		angle = math.Asin(s)
		next := math.Cos(angle)
		if math.Abs(next-n) < 1e-12 {
			break
		}
		n += 0.7 * (next - n)
	}
	return v * math.Sin(angle), angle
}

// Glide is a steady glide.
type Glide struct {
	Speed, Ratio, Angle, Sink float64
	Status                    Status
}

// GlideDrag is the drag with the motor off, N, at airspeed v and load factor n.
func (p *Plane) GlideDrag(v, n float64) float64 { return p.glideDrag(v, n) }

// glideDrag is the drag with the motor off.
func (p *Plane) glideDrag(v, n float64) float64 {
	d := p.Drag(v, n)
	if p.Idle != nil {
		d += p.Idle(v)
	}
	return d
}

// GlideAt is the steady glide at airspeed v, motor off: tan γ = D/L with
// L = W cos γ.
func (p *Plane) GlideAt(v float64) Glide {
	g := glideAngle(p.glideDrag, v, p.Weight())
	if g >= math.Pi/2 {
		return Glide{Speed: v, Ratio: 0, Angle: math.Pi / 2, Sink: v, Status: OK}
	}
	return Glide{Speed: v, Ratio: 1 / math.Tan(g), Angle: g, Sink: v * math.Sin(g), Status: OK}
}

// Descent is the sine of the path down in a steady turn of load factor n at
// airspeed v, motor off: D(v, n)/W.
func (p *Plane) Descent(v, n float64) float64 { return math.Min(1, p.glideDrag(v, n)/p.Weight()) }

// BestGlide is the flattest glide at or above the stall.
func (p *Plane) BestGlide() Glide {
	v, _ := least(func(v float64) float64 { return p.GlideAt(v).Angle }, p.Stall, p.Stall*4)
	return p.GlideAt(v)
}

// LeastSink is the glide of least sink at or above the stall (where the
// parabola's own optimum lies below the stall, the stall speed is returned
// with Status BelowStall).
func (p *Plane) LeastSink() Glide {
	v, _ := least(func(v float64) float64 { return p.GlideAt(v).Sink }, p.Stall, p.Stall*3)
	g := p.GlideAt(v)
	if v < p.Stall*1.0001 {
		g.Status = BelowStall
	}
	return g
}

// Turn is a steady level turn.
type Turn struct {
	Radius, Rate, Bank, Load, Speed float64
	Status                          Status
}

// TurnAt is the turn of bank at airspeed v: n = 1/cos φ, R = v²/(g tan φ).
// Status BelowStall when the wing cannot carry it.
func (p *Plane) TurnAt(v, bank float64) Turn {
	n := 1 / math.Cos(bank)
	t := Turn{Radius: v * v / (Gravity * math.Tan(bank)), Rate: Gravity * math.Tan(bank) / v, Bank: bank, Load: n, Speed: v, Status: OK}
	if v < p.StallAt(n) {
		t.Status = BelowStall
	}
	return t
}

// Sustained is the load factor that full throttle holds level at v: the
// largest n ≤ (v/Vs)² with D(v, n) ≤ T(v), D with the stream's.
func (p *Plane) Sustained(v float64) float64 {
	top := (v / p.Stall) * (v / p.Stall)
	if p.excess(v, top) >= 0 {
		return top
	}
	if p.excess(v, 0) < 0 {
		return math.NaN()
	}
	return bisect(func(n float64) float64 { return p.excess(v, n) }, 0, top)
}

// TightestTurn is the smallest sustained level turn.
func (p *Plane) TightestTurn() Turn {
	if p.Thrust == nil {
		return Turn{Radius: math.NaN(), Status: NoPower}
	}
	radius := func(v float64) float64 {
		n := p.Sustained(v)
		if !(n > 1.0001) {
			return math.Inf(1)
		}
		return v * v / (Gravity * math.Sqrt(n*n-1))
	}
	v, r := least(radius, p.Stall*1.02, p.Stall*5)
	if math.IsInf(r, 1) {
		return Turn{Radius: math.NaN(), Status: NoLevelFlight}
	}
	n := p.Sustained(v)
	return Turn{Radius: r, Rate: v / r, Bank: math.Acos(1 / n), Load: n, Speed: v, Status: OK}
}

// Endurance is flight time and distance at one airspeed.
type Endurance struct {
	Speed, Time, Distance    float64
	Current, Volts, Throttle float64 // at the start
	Power                    float64 // W at the start
	Status                   Status
}

// EnduranceAt integrates dt = −dQ/I over the charge from launch to the
// reserve, level at airspeed v and load factor n, by Simpson's rule over
// eight spans of charge.
func (p *Plane) EnduranceAt(v, n float64) Endurance {
	if p.Settle == nil {
		return Endurance{Speed: v, Time: math.NaN(), Distance: math.NaN(), Status: NoPower}
	}
	d := p.LevelPull(v, n)
	first := p.Settle(v, d, p.Charge)
	e := Endurance{Speed: v, Current: first.Current, Volts: first.Volts, Throttle: first.Throttle, Power: first.Current * first.Volts, Status: OK}
	if first.Status != OK {
		e.Time, e.Distance, e.Status = math.NaN(), math.NaN(), first.Status
		return e
	}
	const spans = 8
	sum := 0.0
	for i := range spans + 1 {
		c := p.Charge + (p.Reserve-p.Charge)*float64(i)/spans
		s := p.Settle(v, d, c)
		if s.Status != OK || s.Current <= 0 {
			// The pack is too flat to hold this speed down to the reserve: count to here.
			e.Status = BatteryTooWeak
			break
		}
		w := 2.0
		if i == 0 || i == spans {
			w = 1
		} else if i%2 == 1 {
			w = 4
		}
		sum += w / s.Current
	}
	e.Time = sum / 3 * p.Capacity * (p.Charge - p.Reserve) / spans
	e.Distance = v * e.Time
	return e
}

// CruiseSpeed is the level speed of longest range: least charge per metre.
func (p *Plane) CruiseSpeed() Value {
	if p.Settle == nil {
		return no(NoPower)
	}
	cost := func(v float64) float64 {
		s := p.Settle(v, p.LevelPull(v, 1), (p.Charge+p.Reserve)/2)
		if s.Status != OK {
			return math.Inf(1)
		}
		return s.Current / v
	}
	v, c := least(cost, p.Stall*1.15, p.Stall*3.5)
	if math.IsInf(c, 1) {
		return no(NoLevelFlight)
	}
	return ok(v)
}

// GustLoad is the load factor in a sharp-edged up-gust of speed u met at v,
// alleviated by Pratt's factor:
//
//	n = 1 + ½ ρ v a Kg u /(W/S),  Kg = 0.88 μ/(5.3+μ),  μ = 2 (m/S)/(ρ c a)
//
// slope is the lift slope per rad, chord the mean chord. Capped where the
// wing stalls, (v/Vs)²; capped says so. Source: 14 CFR 23.341.
func (p *Plane) GustLoad(v, u, slope, chord float64) (n float64, capped bool) {
	ws := p.Mass / p.Area
	mu := 2 * ws / (p.Rho * chord * slope)
	n = 1 + 0.5*p.Rho*v*slope*0.88*mu/(5.3+mu)*u/(ws*Gravity)
	if top := (v / p.Stall) * (v / p.Stall); n > top {
		return top, true
	}
	return n, false
}

// RunIn is the distance and time to reach the given share of the top speed,
// level from speed v0 at full throttle.
func (p *Plane) RunIn(v0, share float64) (distance, time float64, s Status) {
	top := p.TopSpeed()
	if !top.Known() {
		return math.NaN(), math.NaN(), top.Status
	}
	return p.RunTo(v0, share*top.V)
}

// RunTo is the distance and time from airspeed v0 to v1, level at full
// throttle, by integrating m v dv/ds = T − D (midpoints of 200
// spans: 0.1 % up to 99 % of the top speed).
func (p *Plane) RunTo(v0, v1 float64) (distance, time float64, s Status) {
	if v0 >= v1 {
		return 0, 0, OK
	}
	const n = 200
	h := (v1 - v0) / n
	for i := range n {
		v := v0 + (float64(i)+0.5)*h
		f := p.excess(v, 1)
		if f <= 0 {
			return math.NaN(), math.NaN(), NoLevelFlight
		}
		dt := p.Mass * h / f
		time += dt
		distance += v * dt
	}
	return distance, time, OK
}
