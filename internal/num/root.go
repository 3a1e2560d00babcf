package num

import (
	"math"
)

// Found is the outcome of a scalar search.
type Found struct {
	X, F  float64
	Evals int
	// OK is false when the bracket holds no sign change (Root) or a value was
	// not a number; X is then the end with the smaller |F|.
	OK bool
}

// Root finds x in [a, b] with f(x) = 0 to within tol in x, by Brent's method
// (inverse quadratic interpolation and secants, guarded by bisection; Brent
// 1973, ch. 4). f(a) and f(b) must differ in sign; OK says whether they did.
// tol must be positive; the result is also never sharper than rounding.
func Root(f func(float64) float64, a, b, tol float64) Found {
	if !(tol > 0) {
		panic("num: Root needs a positive tolerance")
	}
	fa, fb := f(a), f(b)
	n := 2
	if math.IsNaN(fa) || math.IsNaN(fb) || (fa > 0) == (fb > 0) && fa != 0 && fb != 0 {
		if math.Abs(fb) < math.Abs(fa) || math.IsNaN(fa) {
			a, fa = b, fb
		}
		return Found{X: a, F: fa, Evals: n}
	}
	c, fc := a, fa
	d := b - a
	e := d
	for {
		if (fb > 0) == (fc > 0) {
			c, fc = a, fa
			d = b - a
			e = d
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, fa = b, fb
			b, fb = c, fc
			c, fc = a, fa
		}
		eps := 2*2.22e-16*math.Abs(b) + 0.5*tol
		m := 0.5 * (c - b)
		if math.Abs(m) <= eps || fb == 0 {
			return Found{X: b, F: fb, Evals: n, OK: true}
		}
		if math.Abs(e) < eps || math.Abs(fa) <= math.Abs(fb) {
			d, e = m, m
		} else {
			s := fb / fa
			var p, q float64
			if a == c {
				p, q = 2*m*s, 1-s
			} else {
				q0, r := fa/fc, fb/fc
				p = s * (2*m*q0*(q0-r) - (b-a)*(r-1))
				q = (q0 - 1) * (r - 1) * (s - 1)
			}
			if p > 0 {
				q = -q
			} else {
				p = -p
			}
			if 2*p < math.Min(3*m*q-math.Abs(eps*q), math.Abs(e*q)) {
				e, d = d, p/q
			} else {
				d, e = m, m
			}
		}
		a, fa = b, fb
		if math.Abs(d) > eps {
			b += d
		} else {
			b += math.Copysign(eps, m)
		}
		fb = f(b)
		n++
		if math.IsNaN(fb) || n > 400 {
			return Found{X: b, F: fb, Evals: n}
		}
	}
}
