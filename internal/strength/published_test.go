package strength

import (
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// EllipticTip is the tip deflection, m, of a uniform cantilever of stiffness
// ei (N m²) under elliptic lift. Closed form.
func EllipticTip(lift, s, ei float64) float64 {
	q0 := 2 * lift / (math.Pi * s)
	return q0 * s * s * s * s / (6 * ei) * (3*math.Pi/16 - 2.0/15)
}

// TubeI is the second moment of area, m⁴, of a round tube.
func TubeI(outer, inner float64) float64 { return TubeZ(outer, inner) * outer / 2 }

// TubeShear is the shear stress, Pa, at the outside of a round tube under
// torque t. Closed form.
func TubeShear(t, outer, inner float64) float64 { return t / (2 * TubeZ(outer, inner)) }

// Cell is a thin closed section in torsion.
type Cell struct {
	Area float64 // enclosed by the mid-line, m²
	Run  float64 // integral of ds/t around it
	Thin float64 // least wall thickness, m
}

// Box is the thin box of mid-line sides a and b and one wall thickness t.
func Box(a, b, t float64) Cell { return Cell{Area: a * b, Run: 2 * (a + b) / t, Thin: t} }

// Ring is the thin ring of mid-line radius r.
func Ring(r, t float64) Cell { return Cell{Area: math.Pi * r * r, Run: 2 * math.Pi * r / t, Thin: t} }

// Flow is the shear flow, N/m, under torque t: t/2A (Bredt).
func (c Cell) Flow(t float64) float64 { return t / (2 * c.Area) }

// Shear is the largest mean shear stress, Pa.
func (c Cell) Shear(t float64) float64 { return c.Flow(t) / c.Thin }

// J is the torsion constant, m⁴: 4A²/∮ds/t (Bredt).
func (c Cell) J() float64 { return 4 * c.Area * c.Area / c.Run }

// Slit is the torsion constant of a thin open section of developed length
// run and wall t: what is left of a cell when a seam opens.
func Slit(run, t float64) float64 { return run * t * t * t / 3 }

// Twist is the rate of twist, rad/m, under torque t for shear modulus g and
// torsion constant j.
func Twist(t, g, j float64) float64 { return t / (g * j) }

// HoleKt is the stress concentration on the net section of a hole of
// diameter d in a strip of width w under tension: 2 + (1 - d/w)³ (Heywood), d/w
// from 0 to 0.65 within 2 %; NaN outside 0..1.
func HoleKt(dw float64) float64 {
	if !(dw >= 0 && dw < 1) {
		return math.NaN()
	}
	c := 1 - dw
	return 2 + c*c*c
}

// Section is a strip of wing with plunge, pitch and, when it has a flap, flap
// rotation on springs, per unit span. Stiffness and mass are SI per metre.
// Positions A (elastic axis) and C (hinge) are in semichords aft of mid-chord.
type Section struct {
	B, A, C, Rho      float64
	Plunging          float64 // mass that moves in plunge, kg/m (a rig's mounts included)
	SAlpha, IAlpha    float64 // static moment and inertia about the elastic axis, kg and kg m
	SBeta, IBeta      float64 // of the flap about its hinge
	KH, KAlpha, KBeta float64
	Flap              bool
}

// Typical is a section by the usual ratios: mass per span m, centre of mass x
// and radius of gyration² r2 (semichords, from the elastic axis), frequencies
// ωh and ωα in rad/s.
func Typical(rho, b, a, x, r2, m, wh, wa float64) Section {
	return Section{
		B: b, A: a, Rho: rho, Plunging: m, SAlpha: m * b * x, IAlpha: m * b * b * r2,
		KH: m * wh * wh, KAlpha: m * b * b * r2 * wa * wa,
	}
}

// WithFlap adds a flap hinged at c with static moment xb and inertia rb2 in the
// same ratios and its own frequency wb, rad/s.
func (s Section) WithFlap(c, xb, rb2, wb float64) Section {
	s.Flap, s.C = true, c
	s.SBeta, s.IBeta = s.Plunging*s.B*xb, s.Plunging*s.B*s.B*rb2
	s.KBeta = s.IBeta * wb * wb
	return s
}

func (s Section) matrices() (m, k [3][3]float64, n int) {
	n = 2
	m = [3][3]float64{{s.Plunging, s.SAlpha, 0}, {s.SAlpha, s.IAlpha, 0}, {}}
	k = [3][3]float64{{s.KH, 0, 0}, {0, s.KAlpha, 0}, {}}
	if s.Flap {
		n = 3
		pab := s.IBeta + s.B*(s.C-s.A)*s.SBeta
		m[0][2], m[2][0], m[1][2], m[2][1], m[2][2] = s.SBeta, s.SBeta, pab, pab, s.IBeta
		k[2][2] = s.KBeta
	}
	return m, k, n
}

func (s Section) sound() bool {
	for _, v := range []float64{s.B, s.Rho, s.Plunging, s.IAlpha, s.KH, s.KAlpha} {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	if math.IsNaN(s.A+s.C+s.SAlpha+s.SBeta) || math.Abs(s.A) > 2 {
		return false
	}
	if s.Flap && (!(s.IBeta > 0) || !(s.KBeta > 0) || math.IsInf(s.KBeta, 0) || !(math.Abs(s.C) < 1)) {
		return false
	}
	m, _, n := s.matrices()
	d := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			d.SetSym(i, j, m[i][j])
		}
	}
	var c mat.Cholesky
	return c.Factorize(d) // masses must be those of a body
}

func (s Section) system(lag func(float64) complex128) system {
	m, k, n := s.matrices()
	c := s.C
	if !s.Flap {
		c = 0.5 // any: its rows are left out
	}
	l := stripLoads(s.Rho, s.B, s.A, c)
	sys := system{n: n, mass: square(n), stif: square(n), div: square(n), ref: s.B}
	st := l.steady()
	for i := range n {
		for j := range n {
			sys.mass[i][j], sys.stif[i][j], sys.div[i][j] = m[i][j], k[i][j], st[i][j]
		}
	}
	sys.aero = func(kappa float64) [][]complex128 {
		a := l.matrix(kappa, s.B, lag)
		out := squareC(n)
		for i := range n {
			copy(out[i], a[i][:n])
		}
		return out
	}
	return sys
}

// Solve finds where the section's modes lose and regain their damping, and
// its divergence speed. At each ω/V the modes of K(1+ig) x = ω² (M+A) x are
// traced, and each zero of their damping less the structural damping is
// refined to 1e-10: exact at the crossing, though the damping in between means
// nothing. Two-dimensional incompressible flow: on the low side for a real
// wing tip, by 15 to 20 % against tunnels.
func (s Section) Solve(o Options) Stability {
	if !s.sound() {
		return Stability{Outcome: Unsound, Divergence: math.NaN()}
	}
	sys := s.system(o.lag())
	return sys.solve(o)
}

// Frequencies are the coupled frequencies in still air, without air's mass,
// rad/s, rising; nil when the section is unsound.
func (s Section) Frequencies() []float64 {
	if !s.sound() {
		return nil
	}
	m, k, n := s.matrices()
	a, b := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, k[i][j])
			b.Set(i, j, m[i][j])
		}
	}
	var x mat.Dense
	if x.Solve(b, a) != nil {
		return nil
	}
	var e mat.Eigen
	if !e.Factorize(&x, mat.EigenNone) {
		return nil
	}
	var out []float64
	for _, v := range e.Values(nil) {
		out = append(out, math.Sqrt(real(v)))
	}
	sort.Float64s(out)
	return out
}

// Cantilever is a uniform wing half fixed at its root.
type Cantilever struct {
	Span, Chord      float64 // half span, chord, m
	Axis, Mass       float64 // elastic axis and centre of mass as shares of the chord
	PerSpan, Inertia float64 // kg/m; kg m about the elastic axis
	EI, GJ, Rho      float64 // N m², N m², kg/m³
}

func (w Cantilever) sound() bool {
	for _, v := range []float64{w.Span, w.Chord, w.PerSpan, w.Inertia, w.EI, w.GJ, w.Rho} {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	x := (w.Mass - w.Axis) * w.Chord
	return w.Axis > 0 && w.Axis < 1 && w.Mass > 0 && w.Mass < 1 && w.PerSpan*x*x < w.Inertia
}

// Still are the uncoupled first bending and torsion frequencies, rad/s.
func (w Cantilever) Still() (bending, torsion float64) {
	x := betaL[0] / w.Span
	return x * x * math.Sqrt(w.EI/w.PerSpan), math.Pi / (2 * w.Span) * math.Sqrt(w.GJ/w.Inertia)
}

// Solve is flutter and divergence by strip theory in the exact modes of the
// uniform beam, n in bending and n in torsion (1 to 4); see [Section.Solve].
func (w Cantilever) Solve(n int, o Options) Stability {
	if !w.sound() || n < 1 || n > len(betaL) {
		return Stability{Outcome: Unsound, Divergence: math.NaN()}
	}
	b := w.Chord / 2
	a := 2*w.Axis - 1
	l := stripLoads(w.Rho, b, a, 0.5)
	salpha := w.PerSpan * (w.Mass - w.Axis) * w.Chord
	size := 2 * n
	sys := system{n: size, mass: square(size), stif: square(size), div: square(size), ref: b}

	// Mode shapes at Gauss points; plunge is down positive.
	bend := func(i int, y float64) float64 {
		x := betaL[i]
		sg := (math.Sinh(x) - math.Sin(x)) / (math.Cosh(x) + math.Cos(x))
		z := x * y
		return math.Cosh(z) - math.Cos(z) - sg*(math.Sinh(z)-math.Sin(z))
	}
	tors := func(i int, y float64) float64 { return math.Sin(float64(2*i+1) * math.Pi / 2 * y) }
	// Modal overlaps; both families are orthogonal.
	over := square(n) // bending i with torsion j
	var hh, tt []float64
	const panels = 400 // Simpson on smooth shapes: better than 1e-9
	simpson := func(f func(float64) float64) float64 {
		s := f(0) + f(1)
		for i := 1; i < panels; i++ {
			s += f(float64(i)/panels) * float64(2+2*(i%2))
		}
		return s / (3 * panels) * w.Span
	}
	for i := range n {
		hh = append(hh, simpson(func(y float64) float64 { return bend(i, y) * bend(i, y) }))
		tt = append(tt, w.Span/2)
		for j := range n {
			over[i][j] = simpson(func(y float64) float64 { return bend(i, y) * tors(j, y) })
		}
	}
	for i := range n {
		wb := betaL[i] / w.Span
		wt := float64(2*i+1) * math.Pi / (2 * w.Span)
		sys.mass[i][i], sys.mass[n+i][n+i] = w.PerSpan*hh[i], w.Inertia*tt[i]
		sys.stif[i][i], sys.stif[n+i][n+i] = w.EI*wb*wb*wb*wb*hh[i], w.GJ*wt*wt*tt[i]
		for j := range n {
			sys.mass[i][n+j], sys.mass[n+j][i] = salpha*over[i][j], salpha*over[i][j]
		}
	}
	spread := func(i, j int) float64 { // overlap of coordinates
		switch {
		case i < n && j < n:
			if i == j {
				return hh[i]
			}
			return 0
		case i >= n && j >= n:
			if i == j {
				return tt[i-n]
			}
			return 0
		case i < n:
			return over[i][j-n]
		}
		return over[j][i-n]
	}
	dof := func(i int) int { return i / n }
	st := l.steady()
	for i := range size {
		for j := range size {
			sys.div[i][j] = st[dof(i)][dof(j)] * spread(i, j)
		}
	}
	lag := o.lag()
	sys.aero = func(kappa float64) [][]complex128 {
		q := l.matrix(kappa, b, lag)
		out := squareC(size)
		for i := range size {
			for j := range size {
				out[i][j] = q[dof(i)][dof(j)] * complex(spread(i, j), 0)
			}
		}
		return out
	}
	return sys.solve(o)
}

// SectionDivergence is the divergence speed over bωα of a section:
// √(μ r²/(1+2a)); +Inf when the axis is at or ahead of the quarter chord.
func SectionDivergence(mu, r2, a float64) float64 {
	if a <= -0.5 {
		return math.Inf(1)
	}
	return math.Sqrt(mu * r2 / (1 + 2*a))
}

// QuickFlutter is the flutter speed over bωα by the old closed form of NACA
// TR-685, √(μ r² ½/(½+a+x)), for a plunge much slower than pitch. Within 25 %, and
// on the unsafe side when ωh/ωα is large or x small: never clear anything by it.
// NaN when the centre of mass is ahead of the quarter chord.
func QuickFlutter(mu, r2, a, x float64) float64 {
	if 0.5+a+x <= 0 {
		return math.NaN()
	}
	return math.Sqrt(mu * r2 * 0.5 / (0.5 + a + x))
}

// Growth traces the section's modes over rising speeds by the p-k method: at
// each speed the unsteady loads are taken at the mode's own frequency, and the
// root is iterated until they agree. It gives the damping between the crossings of
// [Section.Solve], with which it agrees where the damping is nil; a mode that
// stops oscillating has NaN. Speeds must rise from above zero. Nil for an
// unsound section.
func (s Section) Growth(speeds []float64) [][]Root {
	if !s.sound() {
		return nil
	}
	sys := s.system(LagFunction)
	still := s.Frequencies()
	n := sys.n
	last := make([]complex128, n)
	for i := range n {
		last[i] = complex(0, still[i])
	}
	out := make([][]Root, 0, len(speeds))
	for _, v := range speeds {
		row := make([]Root, n)
		for i := range n {
			row[i] = Root{math.NaN(), math.NaN()}
			if !isFinite(last[i]) || !(v > 0) {
				continue
			}
			p, ok := sys.follow(last[i], v)
			if !ok {
				last[i] = cmplx.NaN()
				continue
			}
			last[i] = p
			row[i] = Root{imag(p), -real(p) / cmplx.Abs(p)}
		}
		out = append(out, row)
	}
	return out
}

// follow iterates one root p from a start at speed v.
func (sys *system) follow(p complex128, v float64) (complex128, bool) {
	n := sys.n
	for range 60 {
		kappa := math.Abs(imag(p)) / v
		if kappa*sys.ref < 1e-4 {
			return p, false
		}
		a := sys.aero(kappa)
		m, k, c := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
		for i := range n {
			for j := range n {
				m.Set(i, j, sys.mass[i][j])
				k.Set(i, j, -(sys.stif[i][j] - kappa*kappa*v*v*real(a[i][j])))
				c.Set(i, j, kappa*v*imag(a[i][j]))
			}
		}
		var mk, mc mat.Dense
		if mk.Solve(m, k) != nil || mc.Solve(m, c) != nil {
			return p, false
		}
		z := mat.NewDense(2*n, 2*n, nil)
		for i := range n {
			z.Set(i, n+i, 1)
			for j := range n {
				z.Set(n+i, j, mk.At(i, j))
				z.Set(n+i, n+j, mc.At(i, j))
			}
		}
		var e mat.Eigen
		if !e.Factorize(z, mat.EigenNone) {
			return p, false
		}
		next, ok := complex128(0), false
		for _, q := range e.Values(nil) {
			if imag(q) > 0 && (!ok || cmplx.Abs(q-p) < cmplx.Abs(next-p)) {
				next, ok = q, true
			}
		}
		if !ok {
			return p, false
		}
		done := cmplx.Abs(next-p) < 1e-10*cmplx.Abs(next)
		p = next
		if done {
			return p, true
		}
	}
	return p, true
}

// HingeMoment is the aerodynamic moment about the hinge line, N m, trailing
// edge down positive: (Ch_alpha alpha + Ch_delta delta) q cf² b, with the flap's
// share e, dynamic pressure q (Pa), flap chord cf and span b (m), incidence and
// deflection (rad, trailing edge down positive). Thin-section theory times
// factor; 1 covers the scatter of measured flaps for sizing a servo.
func HingeMoment(e, q, cf, b, alpha, delta, factor float64) float64 {
	f := ThinFlap(e)
	return factor * (f.HingeAlpha*alpha + f.HingeDelta*delta) * q * cf * cf * b
}

// PullUp is the load factor at the bottom of a pull-up of radius r: 1 + v²/(g r).
func PullUp(v, r float64) float64 { return 1 + v*v/(gravity*r) }

// LevelTurn is the load factor of a level turn of radius r: √(1 + (v²/g r)²).
func LevelTurn(v, r float64) float64 { return math.Hypot(1, v*v/(gravity*r)) }

// TwoHooks is the pull on each of two hooks side by side whose lines spread
// by half (rad) to either side in plan.
func TwoHooks(t, half float64) float64 { return t / (2 * math.Cos(half)) }

// TorsionFrequency is the first torsion frequency of a uniform wing half,
// rad/s: (π/2s) √(GJ/I), I per span about the elastic axis.
func TorsionFrequency(gj, inertia, span float64) float64 {
	return math.Pi / (2 * span) * math.Sqrt(gj/inertia)
}

// FingerTest is the control stiffness, N m/rad, from a push f (N) square to
// the surface at a distance arm (m) behind the hinge that moves that place by
// move (m), the servo powered and holding; push past the play first.
func FingerTest(f, arm, move float64) float64 {
	if !(move > 0) || !(arm > 0) {
		return math.NaN()
	}
	return f * arm / math.Atan(move/arm)
}

// TorsionalFlexibility is the wing flexibility F = ∫ θ c² ds of Report 45 for
// a uniform wing half, rad ft²/(lbf ft) · ft: θ(y) per unit torque at the tip is
// y/GJ, so F = c² s²/(2 GJ), turned into feet and pounds.
func TorsionalFlexibility(gj, chord, span float64) float64 {
	const ft, lbf = 0.3048, 4.4482216152605
	c, s, g := chord/ft, span/ft, gj/(lbf*ft*ft)
	return c * c * s * s / (2 * g)
}

// LagJones is C(k) by R. T. Jones's two lags: within 3 % of [LagFunction].
func LagJones(k float64) complex128 {
	if k == 0 {
		return 1
	}
	return 1 - 0.165/complex(1, -0.0455/k) - 0.335/complex(1, -0.3/k)
}

// Uniform is a cantilever cut into n slices.
func (w Cantilever) Uniform(n int) Half {
	h := Half{Span: w.Span, Rho: w.Rho}
	for i := range n {
		h.Slices = append(h.Slices, Slice{
			Y: w.Span * (float64(i) + 0.5) / float64(n), Width: w.Span / float64(n), Chord: w.Chord,
			Axis: w.Axis, Balance: w.Mass, PerSpan: w.PerSpan, Inertia: w.Inertia, EI: w.EI, GJ: w.GJ,
		})
	}
	return h
}

// Bundle is the share of the free-air current that n wires side by side may
// carry (MIL-W-5088B, two to five wires); NaN outside 1..5.
func Bundle(n int) float64 {
	if n < 1 || n > 5 {
		return math.NaN()
	}
	return [...]float64{1, 0.94, 0.89, 0.83, 0.76}[n-1]
}

// Preece is the fusing current, A, of a bare wire of diameter d (m) in air:
// c d^1.5 with d in inches, c 10244 for copper, 7585 for aluminium (Preece
// 1884). Long wires only: a short one is cooled by its ends.
func Preece(d, c float64) float64 { return c * math.Pow(d/0.0254, 1.5) }

// Linear is the heat (W) and efficiency of a linear regulator from vin to
// vout at a current.
func Linear(vin, vout, i float64) (heat, efficiency float64) {
	return (vin - vout) * i, vout / vin
}

// Switching is the input current (A) and heat (W) of a switching regulator
// of an efficiency.
func Switching(vin, vout, i, efficiency float64) (input, heat float64) {
	p := vout * i / efficiency
	return p / vin, p - vout*i
}

// PairInductance is the inductance per metre, H/m, of two parallel round
// wires of radius r at spacing d: μ0/π (ln(d/r) + ¼).
func PairInductance(r, d float64) float64 { return 4e-7 * (math.Log(d/r) + 0.25) }

// LeadSurge is the voltage, V, over the supply when a current step meets the
// lead's inductance and the controller's capacitor: I √(L/C), without losses.
func LeadSurge(i, inductance, capacitance float64) float64 {
	return i * math.Sqrt(inductance/capacitance)
}

// Root is one mode at one speed: its frequency (rad/s) and its damping
// ratio, negative when it grows.
type Root struct{ Omega, Damping float64 }

// Preece's constants.
const (
	PreeceCopper    = 10244
	PreeceAluminium = 7585
)
