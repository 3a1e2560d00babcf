package strength

import (
	"math"
	"math/cmplx"
)

// LagFunction is Theodorsen's C(k) at reduced frequency k = ωb/V >= 0, by Hankel functions
// of the second kind: H1/(H1 + i H0). 1 at k = 0. Accurate to 1e-12.
func LagFunction(k float64) complex128 {
	if k == 0 {
		return 1
	}
	h0 := complex(math.J0(k), -math.Y0(k))
	h1 := complex(math.J1(k), -math.Y1(k))
	return h1 / (h1 + 1i*h0)
}

// theodorsen is the T-constants of NACA TR-496 for a hinge at c and an
// elastic axis at a (semichords aft of mid-chord).
type theodorsen struct {
	t1, t3, t4, t5, t7, t8, t9, t10, t11, t12, t13 float64
}

func newTheodorsen(c, a float64) theodorsen {
	var t theodorsen
	r := math.Sqrt(math.Max(0, 1-c*c))
	ac := math.Acos(c)
	t.t1 = -r*(2+c*c)/3 + c*ac
	t.t3 = -(1.0/8+c*c)*ac*ac + c*r*ac*(7+2*c*c)/4 - (1-c*c)*(5*c*c+4)/8
	t.t4 = -ac + c*r
	t.t5 = -(1 - c*c) - ac*ac + 2*c*r*ac
	t.t7 = -(1.0/8+c*c)*ac + c*r*(7+2*c*c)/8
	t.t8 = -r*(2*c*c+1)/3 + c*ac
	t.t9 = (r*r*r/3 + a*t.t4) / 2
	t.t10 = r + ac
	t.t11 = ac*(1-2*c) + r*(2-c)
	t.t12 = r*(2+c) - ac*(2*c+1)
	t.t13 = (-t.t7 - (c-a)*t.t1) / 2
	return t
}

// loads are the unsteady loads of a strip per unit span in plunge h (down
// positive, m), pitch α and flap β (rad), as generalised forces -D q:
//
//	D(ω, V) = -ω² m + iω V d + V² s + C(k) V r (V u + iω w)ᵀ
type loads struct {
	m, d, s [3][3]float64
	r, u, w [3]float64
}

func stripLoads(rho, b, a, c float64) loads {
	t := newTheodorsen(c, a)
	const pi = math.Pi
	q := rho * b * b
	var l loads
	l.m = [3][3]float64{
		{q * pi, -q * pi * b * a, -q * t.t1 * b},
		{-q * a * pi * b, q * pi * b * b * (1.0/8 + a*a), -q * (t.t7 + (c-a)*t.t1) * b * b},
		{-q * t.t1 * b, 2 * q * t.t13 * b * b, -q * t.t3 * b * b / pi},
	}
	l.d = [3][3]float64{
		{0, q * pi, -q * t.t4},
		{0, q * pi * (0.5 - a) * b, q * b * (t.t1 - t.t8 - (c-a)*t.t4 + t.t11/2)},
		{0, q * b * (-2*t.t9 - t.t1 + t.t4*(a-0.5)), -q * b * t.t4 * t.t11 / (2 * pi)},
	}
	l.s = [3][3]float64{
		{},
		{0, 0, q * (t.t4 + t.t10)},
		{0, 0, q * (t.t5 - t.t4*t.t10) / pi},
	}
	l.r = [3]float64{2 * pi * rho * b, -2 * pi * rho * b * b * (a + 0.5), rho * b * b * t.t12}
	l.u = [3]float64{0, 1, t.t10 / pi}
	l.w = [3]float64{1, b * (0.5 - a), b * t.t11 / (2 * pi)}
	return l
}

// matrix is the aerodynamic matrix divided by -ω², so that it adds to the
// mass matrix, at κ = ω/V (1/m).
func (l loads) matrix(kappa, b float64, lag func(float64) complex128) [3][3]complex128 {
	ck := lag(kappa * b)
	var out [3][3]complex128
	for i := range 3 {
		for j := range 3 {
			d := complex(-l.m[i][j]*kappa*kappa+l.s[i][j], kappa*l.d[i][j]) +
				ck*complex(l.r[i], 0)*complex(l.u[j], kappa*l.w[j])
			out[i][j] = -d / complex(kappa*kappa, 0)
		}
	}
	return out
}

// steady is the aerodynamic stiffness per V² at zero frequency.
func (l loads) steady() [3][3]float64 {
	out := l.s
	for i := range 3 {
		for j := range 3 {
			out[i][j] += l.r[i] * l.u[j]
		}
	}
	return out
}

func isFinite(z complex128) bool { return !cmplx.IsNaN(z) && !cmplx.IsInf(z) }
