package section

import "math"

// jet is a number with its derivatives by the eight unknowns of one
// interval: (third, momentum thickness, mass defect, edge speed) at its
// upstream and downstream end. It carries exact Jacobians through the
// closures.
type jet struct {
	v float64
	d [8]float64
}

func fix(v float64) jet { return jet{v: v} }

// seed returns v as the k-th unknown.
func seed(v float64, k int) jet {
	j := jet{v: v}
	j.d[k] = 1
	return j
}

// chain returns f(a) given the value and slope of f at a.
func (a jet) chain(f, slope float64) jet {
	r := jet{v: f}
	for i := range a.d {
		r.d[i] = slope * a.d[i]
	}
	return r
}

// chain2 returns f(a, b) given value and partial slopes.
func chain2(a, b *jet, f, fa, fb float64) jet {
	r := jet{v: f}
	for i := range a.d {
		r.d[i] = fa*a.d[i] + fb*b.d[i]
	}
	return r
}

func (a jet) plus(b jet) jet      { return chain2(&a, &b, a.v+b.v, 1, 1) }
func (a jet) minus(b jet) jet     { return chain2(&a, &b, a.v-b.v, 1, -1) }
func (a jet) times(b jet) jet     { return chain2(&a, &b, a.v*b.v, b.v, a.v) }
func (a jet) over(b jet) jet      { return chain2(&a, &b, a.v/b.v, 1/b.v, -a.v/(b.v*b.v)) }
func (a jet) scale(k float64) jet { return a.chain(k*a.v, k) }
func (a jet) shift(k float64) jet { a.v += k; return a }
func (a jet) log() jet            { return a.chain(math.Log(a.v), 1/a.v) }
func (a jet) exp() jet            { e := math.Exp(a.v); return a.chain(e, e) }
func (a jet) sqrt() jet           { r := math.Sqrt(a.v); return a.chain(r, 0.5/r) }
func (a jet) square() jet         { return a.chain(a.v*a.v, 2*a.v) }
func (a jet) mix(b, w jet) jet    { return a.plus(w.times(b.minus(a))) }
