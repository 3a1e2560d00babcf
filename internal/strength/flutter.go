package strength

import (
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/mat"
)

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

// Options of a flutter computation.
type Options struct {
	Damping float64                  // structural damping g of every mode (twice the damping ratio)
	Fastest float64                  // crossings above this speed are left out; 0: none are
	Lag     func(float64) complex128 // nil: [LagFunction]
}

func (o Options) lag() func(float64) complex128 {
	if o.Lag != nil {
		return o.Lag
	}
	return LagFunction
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
