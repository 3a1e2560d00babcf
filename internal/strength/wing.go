package strength

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Slice is a short length of a wing half at y from the root, constant along
// Width. Shares are of its chord. PerSpan and Inertia (about the elastic axis)
// hold the flap too.
type Slice struct {
	Y, Width, Chord          float64 // m
	Axis, Balance            float64 // elastic axis, centre of mass
	PerSpan, Inertia, EI, GJ float64 // kg/m, kg m, N m², N m²
	// Flap of this share of the chord, 0 without one, with its static moment
	// (kg) and inertia (kg m) about the hinge per span.
	Flap, SBeta, IBeta float64
}

// betaL are the roots of cos x cosh x = -1.
var betaL = []float64{1.8751040687119611, 4.694091132974175, 7.854757438237613, 10.995540734875467}

// Half is a wing half fixed at its root, of any taper, with an optional
// control that turns as a rigid body on a spring.
type Half struct {
	Span   float64
	Slices []Slice
	Rho    float64
	KBeta  float64 // control stiffness, N m/rad of the whole control; used when a slice has a flap
}

// flap says whether any slice has one.
func (h Half) flap() bool {
	for _, s := range h.Slices {
		if s.Flap > 0 {
			return true
		}
	}
	return false
}

func (h Half) sound() bool {
	if len(h.Slices) == 0 {
		return false
	}
	for _, v := range []float64{h.Span, h.Rho} {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	for _, s := range h.Slices {
		for _, v := range []float64{s.Width, s.Chord, s.PerSpan, s.Inertia, s.EI, s.GJ} {
			if !(v > 0) || math.IsInf(v, 0) {
				return false
			}
		}
		x := (s.Balance - s.Axis) * s.Chord
		if !(s.Y >= 0 && s.Y <= h.Span) || !(s.Axis > 0 && s.Axis < 1) || !(s.PerSpan*x*x < s.Inertia) {
			return false
		}
		if s.Flap != 0 && (!(s.Flap > 0 && s.Flap < 1) || !(s.IBeta > 0) || math.IsNaN(s.SBeta)) {
			return false
		}
	}
	return !h.flap() || h.KBeta > 0 && !math.IsInf(h.KBeta, 0)
}

// shape is a uniform cantilever's bending mode i at z = y/s, and its second
// derivative by z.
func shape(i int, z float64) (v, curve float64) {
	x := betaL[i]
	sg := (math.Sinh(x) - math.Sin(x)) / (math.Cosh(x) + math.Cos(x))
	z *= x
	v = math.Cosh(z) - math.Cos(z) - sg*(math.Sinh(z)-math.Sin(z))
	curve = x * x * (math.Cosh(z) + math.Cos(z) - sg*(math.Sinh(z)+math.Sin(z)))
	return v, curve
}

// matrices are the Rayleigh-Ritz matrices in n bending and n torsion shapes
// of the uniform beam and, with a flap, its rotation; phi[k][i] is plunge,
// pitch or flap angle of slice k in coordinate i.
func (h Half) matrices(n int) (mass, stif [][]float64, phi [][3][]float64) {
	size := 2 * n
	if h.flap() {
		size++
	}
	mass, stif = square(size), square(size)
	for _, s := range h.Slices {
		z := s.Y / h.Span
		var p [3][]float64
		for d := range p {
			p[d] = make([]float64, size)
		}
		curve, twist := make([]float64, size), make([]float64, size)
		for i := range n {
			v, c := shape(i, z)
			p[0][i], curve[i] = v, c/(h.Span*h.Span)
			q := float64(2*i+1) * math.Pi / 2
			p[1][n+i], twist[n+i] = math.Sin(q*z), q/h.Span*math.Cos(q*z)
		}
		if s.Flap > 0 {
			p[2][size-1] = 1
		}
		x := (s.Balance - s.Axis) * s.Chord
		// Hinge behind the elastic axis, m.
		back := (1 - s.Flap - s.Axis) * s.Chord
		m := [3][3]float64{
			{s.PerSpan, s.PerSpan * x, s.SBeta},
			{s.PerSpan * x, s.Inertia, s.IBeta + back*s.SBeta},
			{s.SBeta, s.IBeta + back*s.SBeta, s.IBeta},
		}
		for i := range size {
			for j := range size {
				for a := range 3 {
					for b := range 3 {
						mass[i][j] += s.Width * p[a][i] * m[a][b] * p[b][j]
					}
				}
				stif[i][j] += s.Width * (s.EI*curve[i]*curve[j] + s.GJ*twist[i]*twist[j])
			}
		}
		phi = append(phi, p)
	}
	if h.flap() {
		stif[size-1][size-1] += h.KBeta
	}
	return mass, stif, phi
}

// Still are the lowest uncoupled bending and torsion frequencies, rad/s, by
// Rayleigh-Ritz in n shapes each (1 to 4): from above, within 1 % for usual
// tapers with 3. NaN when unsound.
func (h Half) Still(n int) (bending, torsion float64) {
	if !h.sound() || n < 1 || n > len(betaL) {
		return math.NaN(), math.NaN()
	}
	mass, stif, _ := h.matrices(n)
	low := func(from int) float64 {
		m, k := mat.NewSymDense(n, nil), mat.NewDense(n, n, nil)
		for i := range n {
			for j := range n {
				m.SetSym(i, j, (mass[from+i][from+j]+mass[from+j][from+i])/2)
				k.Set(i, j, stif[from+i][from+j])
			}
		}
		var c mat.Cholesky
		var x mat.Dense
		if !c.Factorize(m) || c.SolveTo(&x, k) != nil {
			return math.NaN()
		}
		var e mat.Eigen
		if !e.Factorize(&x, mat.EigenNone) {
			return math.NaN()
		}
		least := math.Inf(1)
		for _, v := range e.Values(nil) {
			least = math.Min(least, real(v))
		}
		return math.Sqrt(least)
	}
	return low(0), low(n)
}

// Tuned scales bending and torsion stiffness so that the uncoupled
// frequencies are those of a tap test, Hz.
func (h Half) Tuned(bendHz, twistHz float64, n int) Half {
	b, t := h.Still(n)
	kb, kt := 2*math.Pi*bendHz/b, 2*math.Pi*twistHz/t
	out := h
	out.Slices = append([]Slice(nil), h.Slices...)
	for i := range out.Slices {
		out.Slices[i].EI *= kb * kb
		out.Slices[i].GJ *= kt * kt
	}
	return out
}

// Solve is flutter and divergence of the half by strip theory, n bending and
// n torsion shapes (1 to 4): at each ω/V the modes of K(1+ig) x = ω² (M+A) x are
// traced, and each zero of their damping less the structural damping is refined
// to 1e-10. Tip relief is left out, which makes it come early; sweep is left out
// too. Strip theory comes 15 to 20 % above tunnels on measured sections.
func (h Half) Solve(n int, o Options) Stability {
	if !h.sound() || n < 1 || n > len(betaL) {
		return Stability{Outcome: Unsound, Divergence: math.NaN()}
	}
	mass, stif, phi := h.matrices(n)
	size := len(mass)
	sys := system{n: size, mass: mass, stif: stif, div: square(size)}
	ls := make([]loads, len(h.Slices))
	bs := make([]float64, len(h.Slices))
	for k, s := range h.Slices {
		b := s.Chord / 2
		c := 1 - 2*s.Flap
		if s.Flap == 0 {
			c = 0.5 // any: nothing moves there
		}
		ls[k], bs[k] = stripLoads(h.Rho, b, 2*s.Axis-1, c), b
		sys.ref = math.Max(sys.ref, b)
		st := ls[k].steady()
		for i := range size {
			for j := range size {
				for p := range 3 {
					for q := range 3 {
						sys.div[i][j] += s.Width * phi[k][p][i] * st[p][q] * phi[k][q][j]
					}
				}
			}
		}
	}
	lag := o.lag()
	sys.aero = func(kappa float64) [][]complex128 {
		out := squareC(size)
		half := make([]complex128, 3)
		for k := range ls {
			m := ls[k].matrix(kappa, bs[k], lag)
			w := complex(h.Slices[k].Width, 0)
			for j := range size {
				for p := range 3 {
					half[p] = 0
					for q := range 3 {
						half[p] += m[p][q] * complex(phi[k][q][j], 0)
					}
				}
				for i := range size {
					for p := range 3 {
						if f := phi[k][p][i]; f != 0 {
							out[i][j] += w * complex(f, 0) * half[p]
						}
					}
				}
			}
		}
		return out
	}
	return sys.solve(o)
}
