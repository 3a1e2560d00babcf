package prop

import (
	"fmt"
	"math"
)

// Status says what the result of a propeller computation is worth; 0 is ok.
type Status uint16

// The bits of a Status.
const (
	// LowRe: the blade at three quarters of the radius works below the
	// Reynolds numbers that the section data stand on.
	LowRe Status = 1 << iota
	// Transonic: the tip passes Mach 0.85; the section data end there.
	Transonic
	// Reverse: the air comes from behind; not modelled, the values are NaN.
	Reverse
	// Backwards: the propeller turns backwards; not modelled, NaN.
	Backwards
	// Ring: more than a fifth of the disc works against its own wake, where
	// momentum theory does not hold.
	Ring
	// Stalled: more than half of the blade is past stall, as at rest with much
	// pitch.
	Stalled
	// Braking: thrust is negative.
	Braking
	// Stopped: the propeller stands still.
	Stopped
	// Beyond: outside the measured table, carried on by blade elements.
	Beyond
	// Bad: an input is not a finite number, or the air is none.
	Bad
)

var statusWords = []string{
	"Reynolds number below the section data", "transonic tips", "air from behind: not modelled", "turning backwards: not modelled",
	"vortex ring: momentum theory does not hold", "stalled", "braking", "stopped", "beyond the measured table", "bad input",
}

// String is "ok" or the words of the set bits, separated by "; ".
func (s Status) String() string {
	if s == 0 {
		return "ok"
	}
	out := ""
	for i, w := range statusWords {
		if s&(1<<i) != 0 {
			if out != "" {
				out += "; "
			}
			out += w
		}
	}
	if out == "" {
		return fmt.Sprintf("status %d", uint16(s))
	}
	return out
}

// Gas is the air a propeller works in: density kg/m³, dynamic viscosity Pa s,
// speed of sound m/s.
type Gas struct{ Rho, Mu, A float64 }

// Options of a [Rotor]. The zero value is the full model.
type Options struct {
	Section  Section // nil: Generic
	Elements int     // 0: 24
	Uniform  bool    // elements of equal width instead of finer towards the tip
	NoTip    bool    // without Prandtl's tip factor
	NoHub    bool    // without the hub factor (taken at half the first station's radius: blades are drawn from outside the hub)
	NoDelay  bool    // without stall delay by rotation
	Blockage Blockage
}

// Blockage is a body in front of or behind the disc.
type Blockage struct {
	Spinner float64 // radius over tip radius, 0: none
	Body    float64 // equivalent radius of the body over tip radius, 0: none
	Gap     float64 // distance from the disc to the body's widest part over tip radius
	Pusher  bool    // the disc works in the wake of the body
	// WakeLoss is the share of the speed lost in the middle of the body's
	// wake where a pusher works, 0..0.5.
	WakeLoss float64
}

// inflow is the axial speed at radius x over the free speed.
//
// Tractor: the body stands behind; its nose is taken as the half body of a
// point source (slender, potential flow): 1 - (b²/4) g/(g²+x²)^1.5.
// Pusher: a bell-shaped wake 1 - w exp(-(x/(1.3 b))²) that keeps its momentum.
func (b Blockage) inflow(x float64) float64 {
	if b.Body <= 0 {
		return 1
	}
	if b.Pusher {
		s := x / (1.3 * b.Body)
		return 1 - b.WakeLoss*math.Exp(-s*s)
	}
	g := math.Max(b.Gap, 0.5*b.Body)
	d := g*g + x*x
	return math.Max(1-b.Body*b.Body/4*g/(d*math.Sqrt(d)), 0.5)
}

type element struct {
	x, dx, c, beta, thick float64 // over tip radius; rad
	sigma                 float64 // solidity
	cr                    float64 // 2.2 c/r
	in, zero              float64
	sin2, cos2            float64 // of beta + 2 deg
	tip, hub              float64 // Prandtl's exponents times |sin phi|
}

// Rotor is a propeller ready for computation; pure and safe for parallel use.
type Rotor struct {
	Blade Blade
	opt   Options
	sec   Section
	el    []element
	xhub  float64
	c75   float64
	wide  float64
	t75   float64
}

// New prepares a rotor. A blade that [Blade.Check] refuses panics: it is the
// caller's business to check what a user gave.
func New(b *Blade, o Options) *Rotor {
	if d := b.Check(); d.HasErrors() {
		panic("prop: " + d.Err().Error())
	}
	r := &Rotor{Blade: *b, opt: o, sec: o.Section}
	if r.sec == nil {
		r.sec = Generic
	}
	n := o.Elements
	if n == 0 {
		n = 24
	}
	r.xhub = math.Max(b.X[0], o.Blockage.Spinner)
	if r.xhub > 0.9 {
		r.xhub = 0.9
	}
	edge := func(i int) float64 {
		s := float64(i) / float64(n)
		if !o.Uniform {
			s = math.Sin(s * math.Pi / 2)
		}
		return r.xhub + (1-r.xhub)*s
	}
	for i := range n {
		a, z := edge(i), edge(i+1)
		x := (a + z) / 2
		c, beta, thick := b.At(x)
		r.el = append(r.el, element{
			x: x, dx: z - a, c: c, beta: beta, thick: thick,
			sigma: float64(b.Blades) * c / (2 * math.Pi * x),
			cr:    2.2 * c / x,
			in:    o.Blockage.inflow(x),
			zero:  b.zero(x),
			sin2:  math.Sin(beta + 2*deg), cos2: math.Cos(beta + 2*deg),
			tip: float64(b.Blades) / 2 * (1 - x) / x,
			hub: float64(b.Blades) / 2 * (x - 0.5*r.xhub) / (0.5 * r.xhub),
		})
	}
	r.c75, _, r.t75 = b.At(0.75)
	r.wide = surface(b)
	return r
}

// surface is the lift slope of a blade of this aspect ratio by Helmbold's
// formula over that by lifting-line theory, which momentum theory with
// Prandtl's factor stands for: (1+q)/(q+sqrt(1+q²)), q = 2/A, A the radius
// over the mean chord of the outer half, less one.
func surface(b *Blade) float64 {
	sum, n := 0.0, 0.0
	for x := 0.5; x < 0.951; x += 0.05 {
		c, _, _ := b.At(x)
		sum += c
		n++
	}
	q := 2 * sum / n
	return (1+q)/(q+math.Sqrt(1+q*q)) - 1
}

// Load is what the propeller does at one point. Thrust N (forward positive),
// Torque N m (to be driven, positive), coefficients with n in rev/s; Eta is
// J CT/CP where both are positive, else NaN. Re75: Reynolds number at three
// quarters of the radius with the whole local speed. TipMach helical.
type Load struct {
	Thrust, Torque float64
	J, CT, CP, Eta float64
	Re75, TipMach  float64
	Status         Status
}

// loss is Prandtl's factor (2/pi) acos exp(-f), f = (B/2)(1-x)/(x |sin phi|) at
// the tip of B blades, at radius x over the tip's; from a table over the root of
// f, in which it is smooth: within 1e-10 of the closed form (TestLoss).
func loss(f float64) float64 {
	if !(f <= lossEnd) {
		return min(f, 1) // no number stays none
	}
	s := math.Sqrt(max(f, 1e-9)) * lossN
	i := int(s)
	t := s - float64(i)
	a, b := &lossTable[i], &lossTable[i+1]
	d := b[0] - a[0]
	return a[0] + t*(a[1]+t*(3*d-2*a[1]-b[1]+t*(a[1]+b[1]-2*d)))
}

const (
	lossEnd = 18
	lossN   = 120 // stations over one
)

// lossTable holds values and slopes by station: sqrt(18) lies within the last
// step.
var lossTable = func() (c [lossN*17/4 + 2][2]float64) {
	for i := range c {
		u := float64(i) / lossN
		e := math.Exp(-u * u)
		c[i] = [2]float64{2 / math.Pi * math.Acos(e), 4 / math.Pi * u * e / math.Sqrt(1-e*e) / lossN}
	}
	c[0][1] = 2 / math.Pi * math.Sqrt2 / lossN
	return c
}()

// flow is one element at one inflow angle.
type flow struct {
	cn, ct     float64 // normal and tangential force coefficient
	one        float64 // 1/(1+a), a the axial induction
	kp         float64 // swirl parameter
	phi        float64 // at which this was computed
	sin, cos   float64
	re, mach   float64
	alpha      float64
	share      float64 // tangential over whole speed, without induction
	fast       bool
	sec        ready
	stalled    bool
	vortexRing bool
}

type state struct {
	v, w    float64 // free axial speed, rotation speed times tip radius
	reScale float64 // rho R/mu
	invA    float64
}

// begin sets what does not change with the inflow angle. Reynolds and Mach
// number are taken without induction: the error is second order.
func (r *Rotor) begin(e *element, st *state, f *flow) {
	wr, v := st.w*e.x, st.v*e.in
	wl := math.Sqrt(wr*wr + v*v)
	f.re = math.Max(wl*e.c*st.reScale, 1)
	f.mach = wl * st.invA
	f.share = wr / wl
	f.phi = math.NaN()
	if f.fast = r.sec == Generic; f.fast {
		theGeneric.prepare(f.re, f.mach, e.thick, &f.sec)
	}
}

// eval computes the residual of the inflow angle:
// sin(phi) Ωr/(1+a) - V cos(phi)(1+kappa'), zero at the solution.
func (r *Rotor) eval(e *element, st *state, phi float64, f *flow) float64 {
	f.phi = phi
	f.sin, f.cos = math.Sincos(phi)
	wr := st.w * e.x
	v := st.v * e.in
	f.alpha = e.beta - phi
	var cl, cd float64
	if f.fast {
		cl, cd = f.sec.at(f.alpha + e.zero + slope(f.alpha+e.zero, r.wide))
	} else {
		cl, cd = r.sec.At(f.alpha, f.re, f.mach, e.thick)
	}
	f.stalled = f.alpha > 14*deg || f.alpha < -10*deg
	if !r.opt.NoDelay && f.alpha > 8*deg && f.alpha < 50*deg {
		if up := delay(e, f, cl); up > 0 {
			cl += up
			cd += up * math.Tan(f.alpha)
		}
	}
	f.cn = cl*f.cos - cd*f.sin
	f.ct = cl*f.sin + cd*f.cos
	F := 1.0
	s := f.sin
	if math.Abs(s) < 1e-9 {
		s = math.Copysign(1e-9, s)
	}
	across := 1 / math.Abs(s)
	if !r.opt.NoTip {
		F = loss(e.tip * across)
	}
	if !r.opt.NoHub {
		F *= loss(e.hub * across) // at half the first station
	}
	F = max(F, 1e-4)
	load := 0.25 * e.sigma / F * across
	kappa := load * f.cn / s
	c := f.cos
	if math.Abs(c) < 1e-9 {
		c = 1e-9
	}
	f.kp = load * f.ct / c
	f.vortexRing = false
	if phi > 0 && kappa < -2.0/3 && st.v > 0 {
		f.one = 1 / (1 - heavy(-kappa, F))
	} else {
		f.one = 1 - kappa
	}
	if phi < 0 {
		f.vortexRing = true
	}
	return f.sin*f.one*wr - v*f.cos*(1+f.kp)
}

// heavy is the share of the speed taken out of the stream by a braking
// element beyond momentum theory (share over 0.4): Buhl's fit of Glauert's
// measurements, in Ning's form. k = sigma |cn|/(4 F sin²phi) > 2/3.
func heavy(k, f float64) float64 {
	g1 := 2*f*k - (10.0/9 - f)
	g2 := 2*f*k - f*(4.0/3-f)
	g3 := 2*f*k - (25.0/9 - 2*f)
	a := 0.0
	if math.Abs(g3) < 1e-6 {
		a = 1 - 1/(2*math.Sqrt(math.Max(g2, 1e-12)))
	} else {
		a = (g1 - math.Sqrt(math.Max(g2, 0))) / g3
	}
	return math.Min(math.Max(a, 0), 0.95)
}

// delay is the lift gained past stall by rotation: 2.2 (c/r) (Ωr/W)⁴ of the
// gap to potential flow (Chaviaropoulos and Hansen 2000), at most 0.8 of it,
// fading in from 8 to 14 deg and out from 30 to 50 deg. The drag that goes
// with it is that of a force normal to the chord.
func delay(e *element, f *flow, cl float64) float64 {
	w, alpha := 1.0, f.alpha
	switch {
	case alpha < 14*deg:
		w = (alpha - 8*deg) / (6 * deg)
	case alpha > 30*deg:
		w = (50*deg - alpha) / (20 * deg)
	}
	w = w * w * (3 - 2*w)
	gap := 2*math.Pi*(e.sin2*f.cos-e.cos2*f.sin) - cl // sin(alpha + 2 deg)
	if gap < 0 {
		return 0
	}
	s := f.share * f.share
	return w * min(e.cr*s*s, 0.8) * min(gap, 1.2)
}

// solve finds the inflow angle of one element: from the angle without
// induction it steps towards the side where the residual changes sign, and
// closes in by bisection-guarded secants. A solution always exists between
// -90 and 90 deg; not found is false (a section that jumps).
func (r *Rotor) solve(e *element, st *state, f *flow) (phi float64, found bool) {
	const eps = 1e-6
	v := st.v * e.in
	wr := st.w * e.x
	start := math.Max(math.Atan2(v, wr), eps)
	if start > math.Pi/2-eps {
		start = math.Pi/2 - eps
	}
	ra := r.eval(e, st, start, f)
	if ra == 0 {
		return start, true
	}
	a := start
	step, limit := 1.5*deg, math.Pi/2-eps
	if ra > 0 {
		step, limit = -step, -math.Pi/2+eps
	}
	for {
		b := a + step
		if (step > 0 && b > limit) || (step < 0 && b < limit) {
			b = limit
		}
		if a > 0 && b <= 0 { // step over the pole at zero
			b = -eps
			if a > eps {
				b = eps
			}
		}
		rb := r.eval(e, st, b, f)
		if (rb > 0) != (ra > 0) && !(a > 0 && b < 0) {
			return r.close(e, st, a, b, ra, rb, f), true
		}
		if b == limit {
			return b, false
		}
		a, ra = b, rb
		step *= 1.25
	}
}

// close refines a bracket by the Illinois secant, to 1e-8.
func (r *Rotor) close(e *element, st *state, a, b, ra, rb float64, f *flow) float64 {
	side := 0
	for range 80 {
		m := (a*rb - b*ra) / (rb - ra)
		lo, hi := math.Min(a, b), math.Max(a, b)
		if !(m > lo && m < hi) {
			m = (a + b) / 2
		}
		rm := r.eval(e, st, m, f)
		if rm == 0 || hi-lo < 1e-8 || math.Abs(rm) < 1e-8*(st.v+st.w) {
			return m
		}
		if (rm > 0) == (rb > 0) {
			b, rb = m, rm
			if side == 1 {
				ra /= 2
			}
			side = 1
		} else {
			a, ra = m, rm
			if side == -1 {
				rb /= 2
			}
			side = -1
		}
	}
	return (a + b) / 2
}

// Band is what one blade element does, for tables and plots.
type Band struct {
	X, Phi, Alpha, Re, Mach, CL, CD float64
	DThrust, DTorque                float64 // per element, N and N m
}

// At computes the propeller at axial speed v (m/s, >= 0) and rotation speed
// omega (rad/s, >= 0). Air from behind or backward rotation: NaN with a status.
func (r *Rotor) At(v, omega float64, g Gas) Load { return r.at(v, omega, g, nil) }

// Bands is At with the single elements.
func (r *Rotor) Bands(v, omega float64, g Gas) (Load, []Band) {
	var out []Band
	l := r.at(v, omega, g, &out)
	return l, out
}

func (r *Rotor) at(v, omega float64, g Gas, bands *[]Band) Load {
	nan := math.NaN()
	l := Load{Thrust: nan, Torque: nan, J: nan, CT: nan, CP: nan, Eta: nan, Re75: nan, TipMach: nan}
	bad := func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }
	switch {
	case bad(v) || bad(omega) || !(g.Rho > 0) || !(g.Mu > 0) || !(g.A > 0) || bad(g.Rho+g.Mu+g.A):
		l.Status = Bad
		return l
	case v < 0:
		l.Status = Reverse
		return l
	case omega < 0:
		l.Status = Backwards
		return l
	}
	R := r.Blade.Diameter / 2
	// Stopped is the limit of slow turning: the blades slow and turn the air.
	st := state{v: v, w: math.Max(omega*R, 1e-6*v), reScale: g.Rho * R / g.Mu, invA: 1 / g.A}
	l.Thrust, l.Torque = 0, 0
	if v == 0 && omega == 0 {
		l.Status = Stopped
		return l
	}
	k := 0.5 * g.Rho * float64(r.Blade.Blades) * R * R
	var stalled, ring, all float64
	var f flow
	for i := range r.el {
		e := &r.el[i]
		r.begin(e, &st, &f)
		phi, ok := r.solve(e, &st, &f)
		if f.phi != phi {
			r.eval(e, &st, phi, &f)
		}
		// Local speed from the axial or the tangential part, whichever is larger.
		w := st.w * e.x / ((1 + f.kp) * f.cos)
		if f.cos <= 0.5 {
			w = v * e.in / (f.one * f.sin)
		}
		w2 := w * w
		if f.vortexRing || !ok {
			ring += e.x * e.dx
		}
		if f.stalled {
			stalled += e.dx
		}
		all += e.x * e.dx
		dT := k * w2 * e.c * f.cn * e.dx
		dQ := k * w2 * e.c * f.ct * e.dx * e.x * R
		l.Thrust += dT
		l.Torque += dQ
		if bands != nil {
			w := math.Abs(w)
			*bands = append(*bands, Band{
				X: e.x, Phi: phi, Alpha: f.alpha, Re: w * e.c * st.reScale, Mach: w * st.invA,
				CL: f.cn*f.cos + f.ct*f.sin, CD: f.ct*f.cos - f.cn*f.sin, DThrust: dT, DTorque: dQ,
			})
		}
	}
	n := omega / (2 * math.Pi)
	d := r.Blade.Diameter
	tip := math.Hypot(v, omega*R)
	l.TipMach = tip * st.invA
	l.Re75 = math.Hypot(v, 0.75*omega*R) * r.c75 * st.reScale
	if l.Re75 < ReLow {
		l.Status |= LowRe
	}
	if l.TipMach > 0.85 {
		l.Status |= Transonic
	}
	if stalled > 0.5*(1-r.xhub) {
		l.Status |= Stalled
	}
	if ring > 0.2*all {
		l.Status |= Ring
	}
	if l.Thrust < 0 {
		l.Status |= Braking
	}
	if omega == 0 {
		l.Status |= Stopped
		return l
	}
	l.J = v / (n * d)
	l.CT = l.Thrust / (g.Rho * n * n * d * d * d * d)
	l.CP = 2 * math.Pi * l.Torque / (g.Rho * n * n * d * d * d * d * d)
	if l.CT > 0 && l.CP > 0 {
		l.Eta = l.J * l.CT / l.CP
	}
	return l
}
