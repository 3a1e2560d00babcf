package launch

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// level evaluates lift, N, and pitching moment about the c.g., N m, in steady
// straight flight clear of the ground at speed v and angle of attack a.
func (w *Workspace) level(v, a, pitch float64) (lift, moment float64) {
	s := w.set
	w.extra++
	fl := &w.flow
	*fl = Flow{V: v, Alpha: a, Pitch: pitch, Height: math.Inf(1), Rho: s.Rho, Mu: s.Mu}
	s.Aero.Eval(fl, &s.AeroK, &w.loads)
	F := w.loads.F
	M := r3.Add(w.loads.M, cross(w.ref, F))
	sn, cs := math.Sincos(a)
	return F.X*sn - F.Z*cs, M.Y
}

// findStall finds the angle of greatest lift with the stick in the middle and
// the level stall speed there, climbing the lift curve from 8° in steps of 2°
// and fitting a parabola through the top.
func (w *Workspace) findStall() {
	s := w.set
	w.stall, w.alphaStall = math.NaN(), math.Inf(1)
	if s.Aero == nil || !(s.Rho > 0) {
		return
	}
	p, _, _ := s.Aero.Stick(0, 0, 0)
	const step = 2 * degree
	v := 12.0
	for range 2 { // the second time at about the right Reynolds number
		a := 8 * degree
		if !math.IsInf(w.alphaStall, 1) {
			a = w.alphaStall - step
		}
		l0, _ := w.level(v, a-step, p)
		l1, _ := w.level(v, a, p)
		l2 := l1
		for a < 40*degree {
			l2, _ = w.level(v, a+step, p)
			if l2 <= l1 {
				break
			}
			a, l0, l1 = a+step, l1, l2
		}
		top := l1
		if c := l0 - 2*l1 + l2; c < 0 {
			x := 0.5 * (l0 - l2) / c
			if math.Abs(x) <= 1 {
				top = l1 - 0.25*(l0-l2)*x
				a += x * step
			}
		}
		if !(top > 0) {
			w.out.Status |= NoStall
			return
		}
		w.alphaStall = a
		v *= math.Sqrt(s.Mass * s.Gravity / top)
	}
	w.stall = v
	w.out.StallSpeed = v
}

// trimSpeed is the level speed at which the stick now held trims, without
// power, below the stall; false when it trims at no positive lift.
func (w *Workspace) trimSpeed() (float64, bool) {
	s := w.set
	if s.Aero == nil || math.IsNaN(w.stall) {
		return 0, false
	}
	v := 1.3 * w.stall
	lo, hi := -12*degree, w.alphaStall
	for range 2 {
		_, m0 := w.level(v, lo, w.dPitch)
		l1, m1 := w.level(v, hi, w.dPitch)
		a, b, fa, fb := lo, hi, m0, m1
		lift := l1
		if fa*fb > 0 {
			return 0, false
		}
		x := hi
		for i := range 12 { // bracketed secant with halving of the stale end
			x = (a*fb - b*fa) / (fb - fa)
			l, m := w.level(v, x, w.dPitch)
			lift = l
			if math.Abs(m) < 1e-4*(math.Abs(m0)+math.Abs(m1)) {
				break
			}
			if m*fb < 0 {
				a, fa = b, fb
			} else if i > 0 {
				fa /= 2
			}
			b, fb = x, m
		}
		if !(lift > 0.02*s.Mass*s.Gravity) {
			return 0, false
		}
		v *= math.Sqrt(s.Mass * s.Gravity / lift)
	}
	return v, true
}
