package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Circle is a fitted circle: centre, radius, root mean square of the radial
// residuals, and the standard errors of X, Y and R with their covariance of X
// and Y.
type Circle struct {
	X, Y, R    float64
	RMS        float64
	XSE, YSE   float64
	RSE, XYCov float64
}

// CircleMethod names a fit.
type CircleMethod uint8

// The fits: Kåsa's, Pratt's and Taubin's algebraic ones, the algebraic one of
// unit norm (Gander, Golub and Strebel 1994), and the geometric one, which
// minimises the distances and is the maximum likelihood for equal noise
// (Chernov and Lesort 2005).
const (
	Kasa CircleMethod = iota
	Pratt
	Taubin
	UnitNorm
	Geometric
)

// FitCircle fits a circle to at least three points. On a short arc Kåsa's is
// biased small; no fit is to be trusted below half a turn. The standard
// errors are from the Jacobian and the residuals (n−3 degrees of freedom) and
// only the geometric fit gives them. NaN when the points are in line.
func FitCircle(x, y []float64, how CircleMethod) Circle {
	n := len(x)
	bad := Circle{X: math.NaN(), Y: math.NaN(), R: math.NaN()}
	if n < 3 || len(y) != n {
		return bad
	}
	var mx, my float64
	for i := range x {
		mx += x[i] / float64(n)
		my += y[i] / float64(n)
	}
	var c Circle
	if how == UnitNorm {
		d := mat.NewDense(n, 4, nil)
		for i := range x {
			d.SetRow(i, []float64{x[i]*x[i] + y[i]*y[i], x[i], y[i], 1})
		}
		var svd mat.SVD
		if !svd.Factorize(d, mat.SVDThin) {
			return bad
		}
		var v mat.Dense
		svd.VTo(&v)
		a, b1, b2, c0 := v.At(0, 3), v.At(1, 3), v.At(2, 3), v.At(3, 3)
		c.X, c.Y = -b1/(2*a), -b2/(2*a)
		c.R = math.Sqrt(c.X*c.X + c.Y*c.Y - c0/a)
		c.RMS = radialRMS(x, y, c)
		return c
	}
	// moments about the mean
	var mxx, myy, mxy, mxz, myz, mzz float64
	for i := range x {
		u, v := x[i]-mx, y[i]-my
		z := u*u + v*v
		mxx += u * u
		myy += v * v
		mxy += u * v
		mxz += u * z
		myz += v * z
		mzz += z * z
	}
	f := 1 / float64(n)
	mxx, myy, mxy, mxz, myz, mzz = mxx*f, myy*f, mxy*f, mxz*f, myz*f, mzz*f
	mz := mxx + myy
	det0 := mxx*myy - mxy*mxy
	if !(det0 > 1e-14*mz*mz) {
		return bad
	}
	// centre at the shifted problem's parameter eta:
	// (M − ηI) c = ½ m, radius² = |c|² + mean z + 2η or the like
	solve := func(eta float64) (cx, cy float64) {
		a, b := mxx-eta, myy-eta
		det := a*b - mxy*mxy
		return (mxz*b - myz*mxy) / det / 2, (myz*a - mxz*mxy) / det / 2
	}
	switch how {
	case Kasa:
		cx, cy := solve(0)
		c = Circle{X: cx, Y: cy, R: math.Sqrt(cx*cx + cy*cy + mz)}
	case Pratt, Taubin:
		// smallest non-negative root of the characteristic polynomial, by
		// Newton from zero, where it is monotone
		covXY := mxx*myy - mxy*mxy
		varZ := mzz - mz*mz
		var p func(e float64) (v, d float64)
		if how == Taubin {
			a3 := 4 * mz
			a2 := -3*mz*mz - mzz
			a1 := varZ*mz + 4*covXY*mz - mxz*mxz - myz*myz
			a0 := mxz*(mxz*myy-myz*mxy) + myz*(myz*mxx-mxz*mxy) - varZ*covXY
			p = func(e float64) (float64, float64) {
				return a0 + e*(a1+e*(a2+e*a3)), a1 + e*(2*a2+3*e*a3)
			}
		} else {
			a2 := 4*covXY - 3*mz*mz - mzz
			a1 := varZ*mz + 4*covXY*mz - mxz*mxz - myz*myz
			a0 := mxz*(mxz*myy-myz*mxy) + myz*(myz*mxx-mxz*mxy) - varZ*covXY
			p = func(e float64) (float64, float64) {
				return a0 + e*(a1+e*(a2+4*e*e)), a1 + e*(2*a2+16*e*e)
			}
		}
		eta := 0.0
		for i := 0; i < 100; i++ {
			v, d := p(eta)
			if d == 0 {
				break
			}
			step := v / d
			eta -= step
			if math.Abs(step) <= 1e-15*math.Abs(eta) || math.IsNaN(eta) {
				break
			}
		}
		if math.IsNaN(eta) || eta < 0 {
			eta = 0
		}
		cx, cy := solve(eta)
		r2 := cx*cx + cy*cy + mz
		if how == Pratt {
			r2 += 2 * eta
		}
		c = Circle{X: cx, Y: cy, R: math.Sqrt(r2)}
	case Geometric:
		c = FitCircle(x, y, Taubin)
		c.X -= mx
		c.Y -= my
		c = geometric(x, y, mx, my, c)
	default:
		panic("evidence: no such circle fit")
	}
	c.X += mx
	c.Y += my
	c.RMS = radialRMS(x, y, c)
	return c
}

func radialRMS(x, y []float64, c Circle) float64 {
	s := 0.0
	for i := range x {
		d := math.Hypot(x[i]-c.X, y[i]-c.Y) - c.R
		s += d * d
	}
	return math.Sqrt(s / float64(len(x)))
}

// geometric minimises Σ(distance−R)² by Levenberg's damped Gauss-Newton from
// a start relative to the mean.
func geometric(x, y []float64, mx, my float64, c Circle) Circle {
	n := len(x)
	cost := func(c Circle) float64 {
		s := 0.0
		for i := range x {
			d := math.Hypot(x[i]-mx-c.X, y[i]-my-c.Y) - c.R
			s += d * d
		}
		return s
	}
	lambda := 1e-3
	best := cost(c)
	var jtj [3][3]float64
	for it := 0; it < 500; it++ {
		jtj = [3][3]float64{}
		var g [3]float64
		for i := range x {
			u, v := x[i]-mx-c.X, y[i]-my-c.Y
			d := math.Hypot(u, v)
			if d == 0 {
				continue
			}
			j := [3]float64{-u / d, -v / d, -1}
			r := d - c.R
			for a := 0; a < 3; a++ {
				g[a] += j[a] * r
				for b := 0; b < 3; b++ {
					jtj[a][b] += j[a] * j[b]
				}
			}
		}
		m := jtj
		for a := 0; a < 3; a++ {
			m[a][a] *= 1 + lambda
		}
		inv, ok := inverse3(m)
		if !ok {
			break
		}
		var st [3]float64
		for a := 0; a < 3; a++ {
			for b := 0; b < 3; b++ {
				st[a] -= inv[a][b] * g[b]
			}
		}
		next := Circle{X: c.X + st[0], Y: c.Y + st[1], R: c.R + st[2]}
		if v := cost(next); v <= best {
			size := math.Abs(st[0]) + math.Abs(st[1]) + math.Abs(st[2])
			c, best = next, v
			lambda = math.Max(lambda/10, 1e-15)
			if size < 1e-13*(1+c.R) {
				break
			}
		} else {
			lambda *= 10
			if lambda > 1e12 {
				break
			}
		}
	}
	if inv, ok := inverse3(jtj); ok && n > 3 {
		s2 := best / float64(n-3)
		c.XSE, c.YSE, c.RSE = math.Sqrt(s2*inv[0][0]), math.Sqrt(s2*inv[1][1]), math.Sqrt(s2*inv[2][2])
		c.XYCov = s2 * inv[0][1]
	}
	return c
}

func inverse3(m [3][3]float64) (o [3][3]float64, ok bool) {
	c := func(a, b, d, e int) float64 { return m[a][b]*m[d][e] - m[a][e]*m[d][b] }
	det := m[0][0]*c(1, 1, 2, 2) - m[0][1]*c(1, 0, 2, 2) + m[0][2]*c(1, 0, 2, 1)
	scale := math.Abs(m[0][0]) * math.Abs(m[1][1]) * math.Abs(m[2][2])
	if !(math.Abs(det) > 1e-13*scale) {
		return o, false
	}
	o = [3][3]float64{
		{c(1, 1, 2, 2), -c(0, 1, 2, 2), c(0, 1, 1, 2)},
		{-c(1, 0, 2, 2), c(0, 0, 2, 2), -c(0, 0, 1, 2)},
		{c(1, 0, 2, 1), -c(0, 0, 2, 1), c(0, 0, 1, 1)},
	}
	for i := range o {
		for j := range o[i] {
			o[i][j] /= det
		}
	}
	return o, true
}

// FromDirection is the direction a wind towards (east, north) comes from,
// rad in [0, 2π).
func FromDirection(east, north float64) float64 {
	return math.Mod(math.Atan2(-east, -north)+2*math.Pi, 2*math.Pi)
}
