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

// LinkageOf is the space linkage of a described one: upright arm and horn on
// a servo whose shaft lies along the panel, the rod running straight aft, the
// hinge skewed by its sweep. A rod that is not given is taken as 60 mm, and
// assumed says so. Status Open or Bad: it cannot be built.
func LinkageOf(l *craft.Linkage, f Flap) (k Linkage, assumed bool, s Status) {
	rod := l.Rod
	if rod == 0 {
		rod, assumed = math.Max(0.06, 1.5*math.Abs(l.Horn-l.Arm)), true
	}
	if !(rod > 0) || !finite(rod, l.Arm, l.Horn) {
		return Linkage{}, assumed, Bad
	}
	x := math.Sqrt(rod*rod - (l.Horn-l.Arm)*(l.Horn-l.Arm))
	if math.IsNaN(x) {
		return Linkage{}, assumed, Open
	}
	k = Skewed(l.Arm, l.Horn, x, 0, f.Sweep, rod)
	_, s = k.Neutral()
	return k, assumed, s
}

// ServoTravel is the servo's travel to one side at full stick, rad: what is
// given, or 45°, a usual one (common practice, no source).
func ServoTravel(l *craft.Linkage) (travel float64, assumed bool) {
	if l.Travel > 0 {
		return l.Travel, false
	}
	return math.Pi / 4, true
}
