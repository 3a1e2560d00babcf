package strength

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

// Root is one mode at one speed: its frequency (rad/s) and its damping
// ratio, negative when it grows.
type Root struct{ Omega, Damping float64 }

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
