package control

import "math"

// Suggest finds the horn length and the arm's rake at neutral with which an
// arm and a rod of given lengths turn a servo travel (rad, to each side) into
// throws up and down (rad, both positive): differential by raking the arm.
// At neutral the horn stands square to the rod, which lies along x; rake is
// the arm's angle off square, positive towards the servo's back. The hinge's
// place follows. Positive servo angles give up. Found to 1e-6
// rad. Open: no horn of 0.3 to 8 times the arm with a rake up to 60° does it
// without a dead centre within the travel. Bad: an argument is not positive.
func Suggest(arm, rod, travel, up, down float64) (Planar, Status) {
	if !finite(arm, rod, travel, up, down) || !(arm > 0 && rod > 0 && travel > 0 && up > 0 && down > 0) || travel >= math.Pi/2 {
		return Planar{}, Bad
	}
	// The linkage of a horn and rake, and its throws.
	try := func(horn, rake float64) (p Planar, u, d float64, ok bool) {
		p = Planar{Arm: arm, Horn: horn, ArmAngle: math.Pi/2 + rake, HornAngle: math.Pi / 2, Rod: rod}
		s, c := math.Sincos(p.ArmAngle)
		p.HingeX, p.HingeY = arm*c+rod, arm*s-horn
		f, st := p.Linkage().frame()
		if st != OK || p.HingeX <= 0 {
			return p, 0, 0, false
		}
		// Dead centres show at an end or in between as a ratio that is not
		// positive; the result is searched finely before it is given.
		var a, b Position
		for i := -4; i <= 4; i++ {
			q, st := f.at(travel * float64(i) / 4)
			if st != OK || !(q.Ratio > 0) {
				return p, 0, 0, false
			}
			if i == -4 {
				b = q
			}
			a = q
		}
		return p, a.Delta, -b.Delta, true
	}
	// For a rake, the horn with the whole throw: a longer horn gives less.
	horn := func(rake float64) (float64, bool) {
		enough := func(h float64) bool {
			_, u, d, ok := try(h, rake)
			return ok && u+d >= up+down
		}
		const n = 90
		last := 0.0 // the longest so far that gives enough
		for i := range n + 1 {
			h := arm * 0.3 * math.Pow(8/0.3, float64(i)/n)
			_, u, d, ok := try(h, rake)
			switch {
			case ok && u+d >= up+down:
				last = h
			case ok && last > 0:
				return bisect(last, h, enough), true
			default:
				last = 0
			}
		}
		return 0, false
	}
	// Raking the arm shifts the throw from one side to the other.
	lean := func(rake float64) (float64, bool) {
		h, ok := horn(rake)
		if !ok {
			return 0, false
		}
		_, u, d, ok := try(h, rake)
		return (u - d) - (up - down), ok
	}
	sound := func(p Planar) Status {
		locks, st := p.Linkage().Locks(travel)
		if st == OK && len(locks) > 0 {
			return locks[0].Kind
		}
		_, u, d, ok := try(p.Horn, p.ArmAngle-math.Pi/2)
		if !ok || math.Abs(u-up) > 1e-6 || math.Abs(d-down) > 1e-6 {
			return Open // the edge of what can be closed, not a solution
		}
		return st
	}
	const limit, step = math.Pi / 3, math.Pi / 180
	if v, ok := lean(0); ok && v == 0 {
		h, _ := horn(0)
		p, _, _, _ := try(h, 0)
		return p, sound(p)
	}
	for _, side := range []float64{1, -1} {
		a, va, oka := 0.0, 0.0, false
		for r := 0.0; r <= limit+1e-9; r += step {
			v, ok := lean(side * r)
			if ok && oka && (v > 0) != (va > 0) {
				r := bisect(a, side*r, func(x float64) bool { w, ok := lean(x); return ok && (w > 0) == (va > 0) })
				h, ok := horn(r)
				if !ok {
					break
				}
				p, _, _, _ := try(h, r)
				return p, sound(p)
			}
			a, va, oka = side*r, v, ok
		}
	}
	return Planar{}, Open
}
