package control

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Linkage is servo arm, rod and horn in space: two hinged arms joined by a
// rod with a ball at each end. Build axes or any right-handed frame, metres.
// Angles of servo and surface are positive by the right-hand rule about
// their axes, zero at neutral.
type Linkage struct {
	Servo, ServoAxis, Arm r3.Vec  // a point on the axis, its direction, servo point to arm pin at neutral
	Hinge, HingeAxis      r3.Vec  // a point on the hinge line, its direction
	Horn                  r3.Vec  // hinge point to horn pin at neutral
	Rod                   float64 // length; 0: what closes the linkage at neutral
}

// Planar is a linkage in one plane: servo shaft at the origin, x aft, y up,
// angles counter-clockwise from +x, so that with the surface aft of its
// hinge a positive deflection is trailing edge up.
type Planar struct {
	Arm, Horn           float64 // lengths
	HingeX, HingeY      float64
	ArmAngle, HornAngle float64 // at neutral
	Rod                 float64 // 0: what closes the linkage at neutral
}

// Linkage is the same thing in space, in the x-z plane of build axes.
func (p Planar) Linkage() Linkage {
	axis := r3.Vec{Y: -1} // counter-clockwise seen with x right and z up
	pin := func(r, t float64) r3.Vec { s, c := math.Sincos(t); return r3.Vec{X: r * c, Z: r * s} }
	return Linkage{
		ServoAxis: axis, Arm: pin(p.Arm, p.ArmAngle),
		Hinge: r3.Vec{X: p.HingeX, Z: p.HingeY}, HingeAxis: axis, Horn: pin(p.Horn, p.HornAngle),
		Rod: p.Rod,
	}
}

// Position is one position of a linkage.
type Position struct {
	Theta, Delta float64 // servo and surface, rad from neutral
	// Ratio is the surface's rate over the servo's, and so the servo's
	// torque over the hinge moment (friction apart).
	Ratio float64
	// AtHorn and AtArm are the transmission angles: between the rod and the
	// arm it works on, 0..π/2; at 0 the linkage is at a dead centre.
	AtHorn, AtArm float64
	// SideHorn and SideArm are how far the rod leans out of the plane in
	// which each arm turns: what a fork must swallow.
	SideHorn, SideArm float64
	ArmPin, HornPin   r3.Vec
	// Lever is the rod's lever about the hinge, m: rod force = hinge moment / Lever.
	Lever float64
}

// frame is a checked linkage, ready to solve.
type frame struct {
	Linkage
	ka, kh, hp, hq r3.Vec // unit axes; horn across its axis; kh × hp
	foot           r3.Vec // centre of the horn pin's circle
	rod, side      float64
	zero           float64 // surface angle at servo neutral
	// a, b and c of [frame.roots] are linear in the servo's cosine and sine.
	ca, cb, cc [3]float64
}

// prepare computes the coefficients of a, b and c.
func (f *frame) prepare() {
	along := r3.Scale(r3.Dot(f.Arm, f.ka), f.ka)
	pc := r3.Sub(f.Arm, along)
	ps := r3.Cross(f.ka, pc)
	w := r3.Sub(f.foot, r3.Add(f.Servo, along)) // less pc cos + ps sin
	f.ca = [3]float64{r3.Dot(w, f.hp), -r3.Dot(pc, f.hp), -r3.Dot(ps, f.hp)}
	f.cb = [3]float64{r3.Dot(w, f.hq), -r3.Dot(pc, f.hq), -r3.Dot(ps, f.hq)}
	f.cc = [3]float64{
		(f.rod*f.rod - r3.Dot(w, w) - r3.Dot(pc, pc) - r3.Dot(f.hp, f.hp)) / 2,
		r3.Dot(w, pc), r3.Dot(w, ps),
	}
}

func turn(v, axis r3.Vec, t float64) r3.Vec {
	s, c := math.Sincos(t)
	along := r3.Scale(r3.Dot(v, axis), axis)
	across := r3.Sub(v, along)
	return r3.Add(along, r3.Add(r3.Scale(c, across), r3.Scale(s, r3.Cross(axis, across))))
}

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

func (l Linkage) frame() (frame, Status) {
	f := frame{Linkage: l}
	for _, v := range []r3.Vec{l.Servo, l.ServoAxis, l.Arm, l.Hinge, l.HingeAxis, l.Horn} {
		if !finite(v.X, v.Y, v.Z) {
			return f, Bad
		}
	}
	if r3.Norm(l.ServoAxis) == 0 || r3.Norm(l.HingeAxis) == 0 || !finite(l.Rod) || l.Rod < 0 {
		return f, Bad
	}
	f.ka, f.kh = r3.Unit(l.ServoAxis), r3.Unit(l.HingeAxis)
	along := r3.Scale(r3.Dot(l.Horn, f.kh), f.kh)
	f.hp, f.foot = r3.Sub(l.Horn, along), r3.Add(l.Hinge, along)
	f.hq = r3.Cross(f.kh, f.hp)
	arm := r3.Sub(l.Arm, r3.Scale(r3.Dot(l.Arm, f.ka), f.ka))
	if r3.Norm(arm) < 1e-9 || r3.Norm(f.hp) < 1e-9 {
		return f, Bad
	}
	f.rod = l.Rod
	if f.rod == 0 {
		f.rod = r3.Norm(r3.Sub(r3.Add(l.Hinge, l.Horn), r3.Add(l.Servo, l.Arm)))
	}
	if f.rod < 1e-9 {
		return f, Bad
	}
	f.prepare()
	mid, half, s := f.roots(0)
	if s != OK {
		return f, s
	}
	up, down := wrap(mid+half), wrap(mid-half)
	f.side, f.zero = 1, up
	if math.Abs(down) < math.Abs(up) {
		f.side, f.zero = -1, down
	}
	return f, OK
}

// abc are the coefficients of a cos δ + b sin δ = c, which closes the linkage,
// with r = √(a² + b²).
func (f *frame) abc(theta float64) (a, b, c, r float64) {
	sin, cos := math.Sincos(theta)
	a = f.ca[0] + f.ca[1]*cos + f.ca[2]*sin
	b = f.cb[0] + f.cb[1]*cos + f.cb[2]*sin
	c = f.cc[0] + f.cc[1]*cos + f.cc[2]*sin
	return a, b, c, math.Sqrt(a*a + b*b)
}

func closes(c, r float64) bool { return math.Abs(c) <= r*(1+4e-16) && r > 0 }

// shut says whether the linkage closes at a servo angle.
func (f *frame) shut(theta float64) bool {
	_, _, c, r := f.abc(theta)
	return closes(c, r)
}

// roots gives the two surface angles mid ± half that close the linkage.
func (f *frame) roots(theta float64) (mid, half float64, s Status) {
	a, b, c, r := f.abc(theta)
	if !closes(c, r) {
		return 0, 0, Open
	}
	return math.Atan2(b, a), math.Acos(math.Max(-1, math.Min(1, c/r))), OK
}

func (f *frame) at(theta float64) (Position, Status) {
	mid, half, s := f.roots(theta)
	if s != OK {
		return Position{Theta: theta}, s
	}
	q := Position{Theta: theta, Delta: wrap(mid + f.side*half)}
	ra := turn(f.Arm, f.ka, theta)
	rh := turn(f.Horn, f.kh, q.Delta)
	q.ArmPin, q.HornPin = r3.Add(f.Servo, ra), r3.Add(f.Hinge, rh)
	u := r3.Scale(1/f.rod, r3.Sub(q.HornPin, q.ArmPin))
	va, vh := r3.Cross(f.ka, ra), r3.Cross(f.kh, rh)
	ua, uh := r3.Dot(u, va), r3.Dot(u, vh)
	q.Ratio, q.Lever = ua/uh, math.Abs(uh)
	unit := func(x float64) float64 { return math.Asin(math.Min(1, math.Abs(x))) }
	q.AtArm, q.AtHorn = unit(ua/r3.Norm(va)), unit(uh/r3.Norm(vh))
	q.SideArm, q.SideHorn = unit(r3.Dot(u, f.ka)), unit(r3.Dot(u, f.kh))
	return q, OK
}

// Neutral is the position at servo neutral: its Delta is what a rod of the
// given length leaves to trim away. Status Open: these lengths never meet.
func (l Linkage) Neutral() (Position, Status) { return l.At(0) }

// At is the exact position at a servo angle: constant rod length, closed
// form, on the branch that is nearest to neutral with the servo at neutral.
// Open or Bad where it cannot be assembled at neutral; Locked where the
// servo could only come by passing a dead centre of the horn.
func (l Linkage) At(theta float64) (Position, Status) {
	f, s := l.frame()
	if s != OK {
		return Position{Theta: theta}, s
	}
	if math.IsNaN(theta) || math.Abs(theta) > 2*math.Pi {
		return Position{Theta: theta}, Bad
	}
	if lock := f.lock(theta); !math.IsNaN(lock) {
		return Position{Theta: theta}, Locked
	}
	return f.at(theta)
}

// scan is the step in which dead centres are looked for. Two that lie closer
// together than this can be overlooked.
const scan = 0.25 * math.Pi / 180

// lock is the first servo angle between neutral and theta at which the
// linkage can no longer be closed, or NaN.
func (f *frame) lock(theta float64) float64 {
	n := int(math.Ceil(math.Abs(theta) / scan))
	last := 0.0
	for i := 1; i <= n; i++ {
		t := theta * float64(i) / float64(n)
		if !f.shut(t) {
			return bisect(last, t, f.shut)
		}
		last = t
	}
	return math.NaN()
}

// over is the first servo angle between neutral and theta at which the ratio
// passes through zero, or NaN; it does not look past a lock.
func (f *frame) over(theta float64) float64 {
	q, s := f.at(0)
	if s != OK {
		return math.NaN()
	}
	sign := q.Ratio > 0
	n := int(math.Ceil(math.Abs(theta) / scan))
	last := 0.0
	for i := 1; i <= n; i++ {
		t := theta * float64(i) / float64(n)
		q, s := f.at(t)
		if s != OK {
			return math.NaN()
		}
		if q.Ratio > 0 != sign {
			return bisect(last, t, func(x float64) bool { q, s := f.at(x); return s == OK && q.Ratio > 0 == sign })
		}
		last = t
	}
	return math.NaN()
}

// bisect returns where good turns false between a (good) and b (not).
func bisect(a, b float64, good func(float64) bool) float64 {
	for range 60 {
		m := (a + b) / 2
		if good(m) {
			a = m
		} else {
			b = m
		}
	}
	return a
}

// Lock is a dead centre.
type Lock struct {
	Kind         Status // Locked (rod in line with horn) or OverCentre (rod in line with arm)
	Theta, Delta float64
}

// Locks returns the first dead centre on each side of neutral within a
// servo angle of limit (rad, at most π), negative side first. A dead centre
// of the arm may come before one of the horn; both are then listed.
// Bisected to 1e-12 rad.
func (l Linkage) Locks(limit float64) ([]Lock, Status) {
	f, s := l.frame()
	if s != OK {
		return nil, s
	}
	if !(limit > 0) || limit > math.Pi {
		return nil, Bad
	}
	var out []Lock
	for _, side := range []float64{-limit, limit} {
		lock := f.lock(side)
		if t := f.over(side); !math.IsNaN(t) {
			q, _ := f.at(t)
			out = append(out, Lock{OverCentre, t, q.Delta})
		}
		if !math.IsNaN(lock) {
			q, _ := f.at(lock)
			out = append(out, Lock{Locked, lock, q.Delta})
		}
	}
	return out, OK
}

// ThetaFor is the servo angle that gives a surface deflection: the inverse
// of [Linkage.At] between the dead centres on either side of neutral, within
// ±limit of servo angle; found to 1e-12 rad. Locked or OverCentre: the
// linkage ends before it gets there; Open: the servo's limit does.
func (l Linkage) ThetaFor(delta, limit float64) (Position, Status) {
	f, s := l.frame()
	if s != OK {
		return Position{}, s
	}
	if math.IsNaN(delta) || !(limit > 0) || limit > math.Pi {
		return Position{}, Bad
	}
	q, _ := f.at(0)
	if q.Delta == delta {
		return q, OK
	}
	if q.Ratio == 0 || !finite(q.Ratio) {
		return q, Locked
	}
	side := limit
	if (delta > q.Delta) != (q.Ratio > 0) {
		side = -limit
	}
	why, end := Open, side
	if t := f.over(side); !math.IsNaN(t) {
		why, end = OverCentre, t
	} else if t := f.lock(side); !math.IsNaN(t) {
		why, end = Locked, t
	}
	short := func(t float64) bool {
		p, s := f.at(t)
		return s == OK && p.Delta != delta && (p.Delta < delta) == (q.Delta < delta)
	}
	if short(end) {
		return Position{Theta: end, Delta: delta}, why
	}
	t := bisect(0, end, short)
	return f.at(t)
}

// Sweep is a linkage over its used travel.
type Sweep struct {
	Rows                    []Position // n+1 evenly spaced servo angles, up to a lock
	Locks                   []Lock     // those within the travel
	LeastAtHorn, LeastAtArm float64    // smallest transmission angles
	MostSide                float64    // largest lean of the rod out of an arm's plane
	LeastRatio, MostRatio   float64    // of |ratio|
	ArmHigh, ArmLow         float64    // reach of the arm pin along z
	HornHigh, HornLow       float64
	SlidesAft, SlidesFore   float64 // how far the horn pin moves along x from neutral, both positive
	Up, Down                float64 // surface deflections at the ends (positive servo, negative servo)
	Complete                bool    // the whole travel can be used
}

// Travel runs the servo from -down to +up (rad, both not negative, at most
// π) in n steps. It stops at locks and says so.
func (l Linkage) Travel(down, up float64, n int) (Sweep, Status) {
	f, s := l.frame()
	if s != OK {
		return Sweep{}, s
	}
	if !(down >= 0) || !(up >= 0) || down+up == 0 || down > math.Pi || up > math.Pi || n < 1 {
		return Sweep{}, Bad
	}
	w := Sweep{LeastAtHorn: math.Inf(1), LeastAtArm: math.Inf(1), LeastRatio: math.Inf(1), Complete: true}
	lo, hi := -down, up
	for _, end := range []*float64{&lo, &hi} {
		if *end == 0 {
			continue
		}
		lock := f.lock(*end)
		if t := f.over(*end); !math.IsNaN(t) {
			q, _ := f.at(t)
			w.Locks = append(w.Locks, Lock{OverCentre, t, q.Delta})
			w.Complete = false
		}
		if !math.IsNaN(lock) {
			q, _ := f.at(lock)
			w.Locks = append(w.Locks, Lock{Locked, lock, q.Delta})
			w.Complete = false
			*end = lock
		}
	}
	mid, _ := f.at(0)
	w.ArmHigh, w.ArmLow, w.HornHigh, w.HornLow = mid.ArmPin.Z, mid.ArmPin.Z, mid.HornPin.Z, mid.HornPin.Z
	for i := 0; i <= n; i++ {
		q, s := f.at(lo + (hi-lo)*float64(i)/float64(n))
		if s != OK {
			continue // the last bit of a lock's angle
		}
		w.Rows = append(w.Rows, q)
		w.LeastAtHorn = math.Min(w.LeastAtHorn, q.AtHorn)
		w.LeastAtArm = math.Min(w.LeastAtArm, q.AtArm)
		w.MostSide = math.Max(w.MostSide, math.Max(q.SideArm, q.SideHorn))
		w.LeastRatio = math.Min(w.LeastRatio, math.Abs(q.Ratio))
		w.MostRatio = math.Max(w.MostRatio, math.Abs(q.Ratio))
		w.ArmHigh, w.ArmLow = math.Max(w.ArmHigh, q.ArmPin.Z), math.Min(w.ArmLow, q.ArmPin.Z)
		w.HornHigh, w.HornLow = math.Max(w.HornHigh, q.HornPin.Z), math.Min(w.HornLow, q.HornPin.Z)
		w.SlidesAft = math.Max(w.SlidesAft, q.HornPin.X-mid.HornPin.X)
		w.SlidesFore = math.Max(w.SlidesFore, mid.HornPin.X-q.HornPin.X)
	}
	if len(w.Rows) > 0 {
		w.Down, w.Up = w.Rows[0].Delta, w.Rows[len(w.Rows)-1].Delta
	}
	return w, OK
}

// Clearance is the least distance, over a sweep, from the arm pin and the
// rod (radius r) to the skin: skin returns the inside of the lower and upper
// skin as heights z at a place x, in the linkage's frame. Only the part of
// the rod ahead of exit (the slot in the skin, an x) counts. A negative
// result is by how much it fouls; +Inf when nothing lies ahead of exit.
func (w Sweep) Clearance(skin func(x float64) (low, high float64), r, exit float64) float64 {
	least := math.Inf(1)
	const n = 24
	for _, q := range w.Rows {
		for i := 0; i <= n; i++ {
			p := r3.Add(q.ArmPin, r3.Scale(float64(i)/n, r3.Sub(q.HornPin, q.ArmPin)))
			if p.X > exit {
				break
			}
			low, high := skin(p.X)
			least = math.Min(least, math.Min(high-p.Z, p.Z-low)-r)
		}
	}
	return least
}

// wrap brings an angle into (-π, π].
func wrap(t float64) float64 {
	t = math.Mod(t, 2*math.Pi)
	if t > math.Pi {
		t -= 2 * math.Pi
	} else if t <= -math.Pi {
		t += 2 * math.Pi
	}
	return t
}
