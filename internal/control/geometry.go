package control

import (
	"math"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Flap is the geometry of one side of a control, in its panel's own plane.
type Flap struct {
	Span     float64 // along the panel, m
	Chord    float64 // mean chord behind the hinge, m
	Local    float64 // mean chord of the surface there, m
	Square   float64 // ∫ (chord behind the hinge)² ds, m³: hinge moment = Ch q Square
	Widest   float64 // largest chord behind the hinge, where a ruler reads best, m
	Sweep    float64 // of the hinge line against the panel's span, rad, positive aft outboard
	Dihedral float64 // of the panel, rad; π/2 upright
	Outer    float64 // share of the half span to which it reaches
	Sides    int     // 2 when mirrored
}

// axisOf is the coordinate along which a control's From and To are given: y,
// or z for an upright surface.
func axisOf(s *craft.Surface) func(r3.Vec) float64 {
	var dy, dz float64
	for i := 1; i < len(s.Stations); i++ {
		d := r3.Sub(s.Stations[i].LE, s.Stations[0].LE)
		dy, dz = math.Max(dy, math.Abs(d.Y)), math.Max(dz, math.Abs(d.Z))
	}
	if dy < 1e-3*dz {
		return func(v r3.Vec) float64 { return v.Z }
	}
	return func(v r3.Vec) float64 { return v.Y }
}

// FlapOf measures one control of a surface. why is not empty when the
// geometry is impossible: the hinge outside the surface, no span, a chord share
// outside 0..1.
func FlapOf(s *craft.Surface, c *craft.Control) (f Flap, why string) {
	if len(s.Stations) < 2 {
		return f, "the surface " + s.Name + " has less than two stations"
	}
	if !(c.ChordShare > 0) || c.ChordShare > 1 {
		return f, "the hinge of " + c.Name + " lies outside its surface: its chord share is not between 0 and 100 %"
	}
	at := axisOf(s)
	lo, hi := math.Min(c.From, c.To), math.Max(c.From, c.To)
	first, last := at(s.Stations[0].LE), at(s.Stations[len(s.Stations)-1].LE)
	low, high := math.Min(first, last), math.Max(first, last)
	const slack = 1e-6
	if !(hi > lo) || !finite(lo, hi) {
		return f, "the control " + c.Name + " has no length"
	}
	if lo < low-slack || hi > high+slack {
		return f, "the control " + c.Name + " reaches beyond the ends of " + s.Name
	}
	type cut struct{ hinge, le r3.Vec }
	var a, b cut
	have := false
	for i := 1; i < len(s.Stations); i++ {
		p, q := s.Stations[i-1], s.Stations[i]
		tp, tq := at(p.LE), at(q.LE)
		if tp == tq {
			continue
		}
		t0, t1 := tp, tq
		if t0 > t1 {
			t0, t1 = t1, t0
		}
		from, to := math.Max(lo, t0), math.Min(hi, t1)
		if to <= from {
			continue
		}
		frac := func(t float64) float64 { return (t - tp) / (tq - tp) }
		mix := func(t float64) (r3.Vec, float64) {
			k := frac(t)
			return r3.Add(p.LE, r3.Scale(k, r3.Sub(q.LE, p.LE))), p.Chord + k*(q.Chord-p.Chord)
		}
		le0, c0 := mix(from)
		le1, c1 := mix(to)
		d := r3.Sub(le1, le0)
		ds := math.Hypot(d.Y, d.Z)
		f0, f1 := c0*c.ChordShare, c1*c.ChordShare
		f.Span += ds
		f.Chord += (f0 + f1) / 2 * ds
		f.Local += (c0 + c1) / 2 * ds
		f.Square += (f0*f0 + f0*f1 + f1*f1) / 3 * ds
		f.Widest = math.Max(f.Widest, math.Max(f0, f1))
		h0, h1 := r3.Add(le0, r3.Vec{X: c0 - f0}), r3.Add(le1, r3.Vec{X: c1 - f1})
		if !have {
			a, have = cut{h0, le0}, true
		}
		b = cut{h1, le1}
	}
	if !(f.Span > 0) || !(f.Chord > 0) {
		return f, "the control " + c.Name + " has no area"
	}
	f.Chord /= f.Span
	f.Local /= f.Span
	d := r3.Sub(b.hinge, a.hinge)
	f.Sweep = math.Atan2(d.X, math.Hypot(d.Y, d.Z))
	f.Dihedral = math.Atan2(d.Z, math.Abs(d.Y))
	whole := math.Max(math.Abs(first), math.Abs(last))
	if whole > 0 {
		f.Outer = math.Max(math.Abs(lo), math.Abs(hi)) / whole
	}
	f.Sides = 1
	if s.Mirrored {
		f.Sides = 2
	}
	return f, ""
}

// LinkageOf is the space linkage of a described one: the servo's shaft lies
// along the panel; arm and horn stand upright unless the build leans them; the
// rod runs aft to a hinge line skewed by its sweep, or by the skew given. With
// reach and rod both given the linkage closes where it closes: the edge then
// stands off zero at the arm's neutral. A rod that is not given follows from
// the reach, or is taken as 60 mm, and assumed says so. Status Open or Bad: it
// cannot be built.
func LinkageOf(l *craft.Linkage, f Flap) (k Linkage, assumed bool, s Status) {
	p := &l.Place
	rod := l.Rod
	if rod == 0 && p.Reach == 0 {
		rod, assumed = math.Max(0.06, 1.5*math.Abs(l.Horn-l.Arm)), true
	}
	if !(rod >= 0) || !finite(rod, l.Arm, l.Horn, p.ArmLean, p.HornLean, p.Drop, p.Aside, p.Reach, p.Skew) {
		return Linkage{}, assumed, Bad
	}
	skew := f.Sweep
	if p.Skewed {
		skew = p.Skew
	}
	ss, cs := math.Sincos(skew)
	sa, ca := math.Sincos(p.ArmLean)
	sh, ch := math.Sincos(p.HornLean)
	k = Linkage{
		ServoAxis: r3.Vec{Y: -1}, Arm: r3.Vec{X: l.Arm * sa, Z: l.Arm * ca},
		Hinge: r3.Vec{X: p.Reach, Y: p.Aside, Z: -p.Drop}, HingeAxis: r3.Vec{X: -ss, Y: -cs},
		// Aft of upright, square to the hinge line.
		Horn: r3.Vec{X: l.Horn * sh * cs, Y: -l.Horn * sh * ss, Z: l.Horn * ch},
		Rod:  rod,
	}
	if p.Reach == 0 {
		d := r3.Sub(r3.Add(k.Hinge, k.Horn), k.Arm)
		x := rod*rod - d.Y*d.Y - d.Z*d.Z
		if !(x >= 0) {
			return Linkage{}, assumed, Open
		}
		k.Hinge.X = math.Sqrt(x) - d.X
	}
	_, s = k.Neutral()
	return k, assumed, s
}

// PulseOf is how the servo of a linkage answers: what the build says, else
// base. given says whether centre and slope are the servo's own.
func PulseOf(l *craft.Linkage, base Pulse) (p Pulse, given bool) {
	take := func(to *float64, v float64) {
		if v > 0 {
			*to = v
		}
	}
	p = base
	take(&p.Centre, l.Pulse.Centre)
	take(&p.PerRad, l.Pulse.PerRad)
	take(&p.Min, l.Pulse.Low)
	take(&p.Max, l.Pulse.High)
	take(&p.Step, l.Pulse.Step)
	return p, l.Pulse.Centre > 0 && l.Pulse.PerRad > 0
}

// PlayOf is the free play of the surface, rad, total: what was measured, else
// the worst case of the clearances given. known is false without either.
func PlayOf(l *craft.Linkage, ratio float64) (play float64, measured, known bool) {
	if l.Play > 0 {
		return l.Play, true, true
	}
	if !(l.HolePlay > 0 || l.ServoPlay > 0) || !(l.Horn > 0) {
		return 0, false, false
	}
	worst, _ := Play(l.HolePlay, l.HolePlay, l.Horn, l.ServoPlay, ratio)
	return worst, false, true
}

// Room is the least distance of arm and rod to the skin over a sweep, m;
// negative by how much it fouls. known is false when no skin is described.
func Room(l *craft.Linkage, w Sweep) (room float64, known bool) {
	sk := &l.Skin
	if !(sk.Above > 0 || sk.Below > 0) || len(w.Rows) == 0 {
		return 0, false
	}
	low, high := math.Inf(-1), math.Inf(1)
	if sk.Above > 0 {
		high = sk.Above
	}
	if sk.Below > 0 {
		low = -sk.Below
	}
	exit := sk.Slot
	if exit == 0 {
		exit = math.Inf(1)
	}
	d := l.RodDiameter
	if d == 0 {
		d = 1.5e-3 // a usual wire: our choice
	}
	return w.Clearance(func(float64) (float64, float64) { return low, high }, d/2, exit), true
}

// ServoTravel is the servo's travel to one side at full stick, rad: what is
// given, or 45°, a usual one (common practice, no source).
func ServoTravel(l *craft.Linkage) (travel float64, assumed bool) {
	if l.Travel > 0 {
		return l.Travel, false
	}
	return math.Pi / 4, true
}
