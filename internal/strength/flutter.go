package strength

import (
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/mat"
)

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

// Outcome says what a flutter computation found.
type Outcome uint8

const (
	// Found: a crossing lies within the speeds looked at.
	Found Outcome = iota
	// Clear: none lies there.
	Clear
	// Unsound: masses or stiffness are not those of a sprung body (zero,
	// negative or not a number).
	Unsound
)

// Crossing is a speed at which one mode's damping passes through zero.
type Crossing struct {
	V, Omega float64 // m/s, rad/s
	K        float64 // reduced frequency on the (reference) semichord
	Onset    bool    // true: it grows above this speed; false: it dies down again
}

// Stability is the result of a flutter computation, crossings by rising speed.
type Stability struct {
	Outcome    Outcome
	Crossings  []Crossing
	Divergence float64 // m/s; +Inf when it has none
}

// Flutter is the lowest onset, ok false when there is none.
func (s Stability) Flutter() (Crossing, bool) {
	for _, c := range s.Crossings {
		if c.Onset {
			return c, true
		}
	}
	return Crossing{}, false
}

// system is n generalised coordinates on strips.
type system struct {
	n    int
	mass [][]float64
	stif [][]float64
	ref  float64                            // reference semichord
	aero func(kappa float64) [][]complex128 // adds to the mass
	div  [][]float64                        // aerodynamic stiffness over V²
}

func square(n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
	}
	return out
}

func squareC(n int) [][]complex128 {
	out := make([][]complex128, n)
	for i := range out {
		out[i] = make([]complex128, n)
	}
	return out
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

// Options of a flutter computation.
type Options struct {
	Damping float64                  // structural damping g of every mode (twice the damping ratio)
	Fastest float64                  // crossings above this speed are left out; 0: none are
	Lag     func(float64) complex128 // nil: [LagFunction]
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

func (o Options) lag() func(float64) complex128 {
	if o.Lag != nil {
		return o.Lag
	}
	return LagFunction
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

// mode is one eigenvalue at a κ: λ = (1+ig)/ω².
type mode struct{ omega, g float64 }

func toMode(mu complex128) mode {
	l := 1 / mu // mu = ω²/(1+ig)
	return mode{omega: 1 / math.Sqrt(real(l)), g: imag(l) / real(l)}
}

// modes solves K x = μ (M+A) x: μ = ω²/(1+ig).
func (sys *system) modes(kappa float64) []complex128 {
	n := sys.n
	a := sys.aero(kappa)
	for i := range n {
		for j := range n {
			a[i][j] += complex(sys.mass[i][j], 0)
		}
	}
	z, ok := solveComplex(a, sys.stif)
	if !ok {
		return nil
	}
	if n <= 3 {
		return eigenSmall(z)
	}
	return eigenComplex(z)
}

// eigenSmall returns the eigenvalues of a complex matrix of order 2 or 3 as
// the roots of its characteristic polynomial: by the quadratic formula, or by
// Newton's method on all roots at once (Weierstrass), to 1e-14 of the largest
// root; nil when it holds a number that is not finite.
func eigenSmall(z [][]complex128) []complex128 {
	for _, r := range z {
		for _, v := range r {
			if !isFinite(v) {
				return nil
			}
		}
	}
	if len(z) == 2 {
		t, d := (z[0][0]+z[1][1])/2, z[0][0]*z[1][1]-z[0][1]*z[1][0]
		r := cmplx.Sqrt(t*t - d)
		if real(t)*real(r)+imag(t)*imag(r) < 0 {
			r = -r
		}
		big := t + r // no cancellation; the other from the product
		if big == 0 {
			return []complex128{0, 0}
		}
		return []complex128{big, d / big}
	}
	minor := func(i, j int) complex128 { return z[i][i]*z[j][j] - z[i][j]*z[j][i] }
	c1 := z[0][0] + z[1][1] + z[2][2]
	c2 := minor(0, 1) + minor(0, 2) + minor(1, 2)
	c3 := z[0][0]*(z[1][1]*z[2][2]-z[1][2]*z[2][1]) - z[0][1]*(z[1][0]*z[2][2]-z[1][2]*z[2][0]) + z[0][2]*(z[1][0]*z[2][1]-z[1][1]*z[2][0])
	// No root is larger than twice this (Fujiwara).
	size := math.Max(cmplx.Abs(c1), math.Max(math.Sqrt(cmplx.Abs(c2)), math.Cbrt(cmplx.Abs(c3))))
	if size == 0 {
		return []complex128{0, 0, 0}
	}
	s := complex(size, 0)
	c1, c2, c3 = c1/s, c2/(s*s), c3/(s*s*s)
	// Start from the diagonal, pushed apart.
	x := []complex128{z[0][0]/s + 1e-3i, z[1][1]/s - 2e-3i, z[2][2]/s + (3e-3 + 1e-3i)}
	for range 300 {
		worst := 0.0
		for i := range x {
			v := x[i]
			p := ((v-c1)*v+c2)*v - c3
			q := (v - x[(i+1)%3]) * (v - x[(i+2)%3])
			if q == 0 {
				q = 1e-30
			}
			d := p / q
			x[i] -= d
			worst = math.Max(worst, cmplx.Abs(d))
		}
		if worst < 1e-15 {
			break
		}
	}
	for i := range x {
		x[i] *= s
	}
	return x
}

// solveComplex returns a⁻¹ b by elimination with row exchanges; a is destroyed.
func solveComplex(a [][]complex128, b [][]float64) ([][]complex128, bool) {
	n := len(a)
	x := squareC(n)
	for i := range n {
		for j := range n {
			x[i][j] = complex(b[i][j], 0)
		}
	}
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if cmplx.Abs(a[r][c]) > cmplx.Abs(a[p][c]) {
				p = r
			}
		}
		if a[p][c] == 0 || !isFinite(a[p][c]) {
			return nil, false
		}
		a[p], a[c] = a[c], a[p]
		x[p], x[c] = x[c], x[p]
		for r := range n {
			if r == c {
				continue
			}
			f := a[r][c] / a[c][c]
			for j := c; j < n; j++ {
				a[r][j] -= f * a[c][j]
			}
			for j := range n {
				x[r][j] -= f * x[c][j]
			}
		}
	}
	for i := range n {
		for j := range n {
			x[i][j] /= a[i][i]
		}
	}
	return x, true
}

// eigenComplex returns the eigenvalues of a complex matrix Z = P + iQ from
// the real matrix [P -Q; Q P], whose eigenvalues are those of Z and their
// conjugates: an eigenvector (u, v) belongs to Z when v = -iu.
func eigenComplex(z [][]complex128) []complex128 {
	n := len(z)
	d := mat.NewDense(2*n, 2*n, nil)
	for i := range n {
		for j := range n {
			p, q := real(z[i][j]), imag(z[i][j])
			if math.IsNaN(p+q) || math.IsInf(p+q, 0) {
				return nil
			}
			d.Set(i, j, p)
			d.Set(i, j+n, -q)
			d.Set(i+n, j, q)
			d.Set(i+n, j+n, p)
		}
	}
	var e mat.Eigen
	if !e.Factorize(d, mat.EigenRight) {
		return nil
	}
	vals := e.Values(nil)
	var vec mat.CDense
	e.VectorsTo(&vec)
	type scored struct {
		v     complex128
		share float64
	}
	list := make([]scored, 0, 2*n)
	for c, v := range vals {
		var own, other float64
		for i := range n {
			u, w := vec.At(i, c), vec.At(i+n, c)
			x, y := u+1i*w, u-1i*w
			own += real(x)*real(x) + imag(x)*imag(x)
			other += real(y)*real(y) + imag(y)*imag(y)
		}
		list = append(list, scored{v, own / (own + other)})
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].share > list[j].share })
	out := make([]complex128, n)
	for i := range n {
		out[i] = list[i].v
	}
	return out
}

// match orders the next step's eigenvalues so that each follows the nearest
// of the last, relative to its size; greedy from the closest pair.
func match(last, next []complex128) []complex128 {
	n := len(last)
	out := make([]complex128, n)
	usedL, usedN := make([]bool, n), make([]bool, n)
	for range n {
		bi, bj, best := -1, -1, math.Inf(1)
		for i := range n {
			for j := range n {
				if usedL[i] || usedN[j] {
					continue
				}
				if d := cmplx.Abs(last[i]-next[j]) / (cmplx.Abs(last[i]) + cmplx.Abs(next[j]) + 1e-300); d < best {
					bi, bj, best = i, j, d
				}
			}
		}
		if bi < 0 {
			return next
		}
		out[bi] = next[bj]
		usedL[bi], usedN[bj] = true, true
	}
	return out
}

func (sys *system) solve(o Options) Stability {
	const (
		high, low = 20.0, 0.002 // reduced frequencies
		steps     = 700
	)
	out := Stability{Outcome: Clear, Divergence: sys.divergence()}
	at := func(i int) float64 { return high / sys.ref * math.Pow(low/high, float64(i)/steps) }
	excess := func(mu complex128) float64 { return toMode(mu).g - o.Damping }
	var last []complex128
	var lastK float64
	for i := 0; i <= steps; i++ {
		kappa := at(i)
		next := sys.modes(kappa)
		if next == nil {
			last = nil
			continue
		}
		if last == nil {
			last, lastK = next, kappa
			if i == 0 {
				// Growing already at the lowest speed looked at.
				for _, mu := range next {
					if q := toMode(mu); q.g-o.Damping > 1e-9 && (o.Fastest == 0 || q.omega/kappa <= o.Fastest) {
						out.Crossings = append(out.Crossings, Crossing{V: q.omega / kappa, Omega: q.omega, K: high, Onset: true})
					}
				}
			}
			continue
		}
		next = match(last, next)
		for m := range next {
			a, b := excess(last[m]), excess(next[m])
			if math.IsNaN(a) || math.IsNaN(b) || a > 0 == (b > 0) {
				continue
			}
			k0, k1, mu0 := lastK, kappa, last[m]
			for range 60 {
				mid := math.Sqrt(k0 * k1)
				mu, ok := nearest(sys.modes(mid), mu0)
				if !ok {
					break
				}
				mu0 = mu
				if excess(mu) > 0 == (a > 0) {
					k0 = mid
				} else {
					k1 = mid
				}
				if k0/k1-1 < 1e-11 {
					break
				}
			}
			// A jump of the tracing is no crossing: the damping must vanish there.
			if math.Abs(excess(mu0)) > 1e-5 {
				continue
			}
			w := toMode(mu0).omega
			v := w / k1
			if math.IsNaN(v) || o.Fastest > 0 && v > o.Fastest {
				continue
			}
			// Along a mode, falling κ is rising speed, unless the mode's
			// frequency falls faster.
			rising := toMode(next[m]).omega/kappa >= toMode(last[m]).omega/lastK
			out.Crossings = append(out.Crossings, Crossing{V: v, Omega: w, K: k1 * sys.ref, Onset: (b > 0) == rising})
		}
		last, lastK = next, kappa
	}
	sort.Slice(out.Crossings, func(i, j int) bool { return out.Crossings[i].V < out.Crossings[j].V })
	if len(out.Crossings) > 0 {
		out.Outcome = Found
	}
	return out
}

func nearest(list []complex128, to complex128) (complex128, bool) {
	best, ok := complex128(0), false
	for _, v := range list {
		if !ok || cmplx.Abs(v-to) < cmplx.Abs(best-to) {
			best, ok = v, true
		}
	}
	return best, ok
}

// divergence is the lowest speed at which K + V² D is singular: -1/V² is an
// eigenvalue of K⁻¹D. +Inf when there is none.
func (sys *system) divergence() float64 {
	n := sys.n
	k, d := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			k.Set(i, j, sys.stif[i][j])
			d.Set(i, j, sys.div[i][j])
		}
	}
	var x mat.Dense
	if x.Solve(k, d) != nil {
		return math.NaN()
	}
	var e mat.Eigen
	if !e.Factorize(&x, mat.EigenNone) {
		return math.NaN()
	}
	least := math.Inf(1)
	for _, v := range e.Values(nil) {
		if math.Abs(imag(v)) < 1e-9*cmplx.Abs(v) && real(v) < 0 {
			least = math.Min(least, math.Sqrt(-1/real(v)))
		}
	}
	return least
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

// betaL are the roots of cos x cosh x = -1.
var betaL = []float64{1.8751040687119611, 4.694091132974175, 7.854757438237613, 10.995540734875467}

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

// DivergenceSpeed of a uniform wing half: √(π² GJ/(2 ρ e c² s² a)) with arm =
// e·c the distance of the elastic axis behind the aerodynamic centre (m), chord c,
// half span s, lift slope a. +Inf when the axis is not behind; NaN for stiffness that is not positive.
func DivergenceSpeed(gj, rho, arm, chord, span, slope float64) float64 {
	if !(gj > 0) || !(rho > 0) || !(chord > 0) || !(span > 0) || !(slope > 0) {
		return math.NaN()
	}
	if arm <= 0 {
		return math.Inf(1)
	}
	return math.Sqrt(math.Pi * math.Pi * gj / (2 * rho * arm * chord * span * span * slope))
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
