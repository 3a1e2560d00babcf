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

// peak climbs the lift curve at speed v with pitch deflection p from about the
// angle a in steps of one degree and fits a parabola through the top. ok is
// false when the lift still rises at 45°.
func (w *Workspace) peak(v, a, p float64) (alpha, lift float64, ok bool) {
	const step = 1 * degree
	l0, _ := w.level(v, a-step, p)
	l1, _ := w.level(v, a, p)
	l2, _ := w.level(v, a+step, p)
	for l2 > l1 {
		if a > 45*degree {
			return 0, 0, false
		}
		a, l0, l1 = a+step, l1, l2
		l2, _ = w.level(v, a+step, p)
	}
	for l0 > l1 {
		if a < -10*degree {
			return 0, 0, false
		}
		a, l1, l2 = a-step, l0, l1
		l0, _ = w.level(v, a-step, p)
	}
	lift = l1
	if c := l0 - 2*l1 + l2; c < 0 {
		x := 0.5 * (l0 - l2) / c
		lift -= 0.25 * (l0 - l2) * x
		a += x * step
	}
	return a, lift, lift > 0
}

// findStall finds the angle of greatest lift with the stick in the middle, and
// the level stall speed at the trimmed lift there: the lift with the pitch
// control where the moment about the c.g. vanishes, or, when that is more than
// full up stick, the lift at the angle that full up stick holds. Two rounds,
// the second at about the right Reynolds number. Linear in the deflection
// between the middle and full up: within about 1 % of aero's own search in
// speed on the example of the tests.
func (w *Workspace) findStall() {
	s := w.set
	w.stall, w.alphaStall = math.NaN(), math.Inf(1)
	if s.Aero == nil || !(s.Rho > 0) {
		return
	}
	mid, _, _ := s.Aero.Stick(0, 0, 0)
	up, _, _ := s.Aero.Stick(1, 0, 0)
	v := 12.0
	a := s.StallAngle
	if a == 0 { // a rough climb first
		last := math.Inf(-1)
		for a = 6 * degree; a < 45*degree; a += 3 * degree {
			l, _ := w.level(v, a, mid)
			if l < last {
				break
			}
			last = l
		}
		a -= 3 * degree
	}
	for range 2 {
		top, free, ok := w.peak(v, a, mid)
		if !ok {
			w.out.Status |= NoStall
			return
		}
		a = top
		lift := free
		if up != mid {
			l0, m0 := w.level(v, a, mid)
			l1, m1 := w.level(v, a, up)
			x := 0.0
			if m1 != m0 {
				x = -m0 / (m1 - m0) // 1: full up stick
			}
			switch {
			case m1 > m0 && x > 1: // out of up stick below the stall
				b := a - 6*degree
				_, mb := w.level(v, b, up)
				if mb > 0 && mb != m1 {
					c := a - m1*(a-b)/(m1-mb)
					lift, _ = w.level(v, c, up)
				} else {
					lift = l1
				}
			default:
				lift = free + (l1-l0)*math.Max(-1, math.Min(1, x))
			}
		}
		if !(lift > 0) {
			w.out.Status |= NoStall
			return
		}
		w.alphaStall = a
		v *= math.Sqrt(s.Mass * s.Gravity / lift)
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
	p := w.dPitch
	v := 1.3 * w.stall
	a, b := -12*degree, w.alphaStall
	for round := range 2 {
		la, fa := w.level(v, a, p)
		lb, fb := w.level(v, b, p)
		if fa*fb > 0 {
			return v, round == 1 // the first round's speed will do
		}
		small := 1e-3 * (math.Abs(fa) + math.Abs(fb))
		x, lift := b, lb
		if math.Abs(fa) < small {
			x, lift = a, la
		}
		for i := range 12 { // bracketed secant with halving of the stale end
			x = (a*fb - b*fa) / (fb - fa)
			l, m := w.level(v, x, p)
			lift = l
			if math.Abs(m) < small {
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
		a, b = x-3*degree, x+3*degree // the Reynolds number moves it little
	}
	return v, true
}
