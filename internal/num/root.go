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

// Minimum finds a local minimum of f in [a, b] to within tol in x, by Brent's
// method (parabolas guarded by golden sections; Brent 1973, ch. 5). The ends
// themselves are tried too, so a minimum at a bound is found exactly there.
// tol below about 1e-8 of the interval is below what f can resolve.
func Minimum(f func(float64) float64, a, b, tol float64) Found {
	if !(tol > 0) || !(a <= b) {
		panic("num: Minimum needs a <= b and a positive tolerance")
	}
	lo, hi := a, b
	const gold = 0.3819660112501051
	x := a + gold*(b-a)
	w, v := x, x
	fx := f(x)
	fw, fv := fx, fx
	n := 1
	var d, e float64
	for n < 300 {
		m := 0.5 * (a + b)
		t := tol + 1.5e-8*math.Abs(x)*1e-3
		if math.Abs(x-m) <= 2*t-0.5*(b-a) {
			break
		}
		useGold := true
		if math.Abs(e) > t {
			r := (x - w) * (fx - fv)
			q := (x - v) * (fx - fw)
			p := (x-v)*q - (x-w)*r
			q = 2 * (q - r)
			if q > 0 {
				p = -p
			} else {
				q = -q
			}
			if math.Abs(p) < math.Abs(0.5*q*e) && p > q*(a-x) && p < q*(b-x) {
				e = d
				d = p / q
				u := x + d
				if u-a < 2*t || b-u < 2*t {
					d = math.Copysign(t, m-x)
				}
				useGold = false
			}
		}
		if useGold {
			if x < m {
				e = b - x
			} else {
				e = a - x
			}
			d = gold * e
		}
		u := x + d
		if math.Abs(d) < t {
			u = x + math.Copysign(t, d)
		}
		fu := f(u)
		n++
		if math.IsNaN(fu) {
			return Found{X: x, F: fx, Evals: n}
		}
		if fu <= fx {
			if u < x {
				b = x
			} else {
				a = x
			}
			v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
			continue
		}
		if u < x {
			a = u
		} else {
			b = u
		}
		if fu <= fw || w == x {
			v, fv, w, fw = w, fw, u, fu
		} else if fu <= fv || v == x || v == w {
			v, fv = u, fu
		}
	}
	for _, end := range []float64{lo, hi} {
		fe := f(end)
		n++
		if fe <= fx && !(fe == fx && end != x && math.Abs(end-x) > 2*tol) {
			x, fx = end, fe
		}
	}
	return Found{X: x, F: fx, Evals: n, OK: !math.IsNaN(fx)}
}
