package wing

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surface is one lifting surface. When Mirrored, the stations are the right
// half, root first, and a left half is understood.
type Surface struct {
	Name     string
	Mirrored bool
	Stations []Station
	Controls []Control
	// Panels spanwise (of one half when mirrored) and chordwise; 0 takes
	// them from [Options].
	Spanwise, Chordwise int
}

// Station is one section: straight lines run between stations.
type Station struct {
	LE    r3.Vec
	Chord float64 // m
	Twist float64 // rad, nose up positive
	// Slope is dz/dx of the mean line at x chords behind the leading edge;
	// nil for a section without camber.
	Slope func(x float64) float64
	// LiftSlope is the section's own lift slope over 2 pi (viscosity and
	// thickness together); 0 means 1.
	LiftSlope float64
}

// Control is a plain flap of constant share of the chord. From and To are
// span coordinates: along y, or along z for an upright surface, m.
type Control struct {
	Name       string
	From, To   float64
	ChordShare float64
}

// Reference holds the lengths that make coefficients, and the point about
// which moments are taken (build axes).
type Reference struct {
	Area, Span, Chord float64
	Point             r3.Vec
}

// Spacing is the law by which panels are spread along the span.
type Spacing uint8

const (
	// Even panels with the free tips inset by a quarter of a panel.
	Even Spacing = iota
	// Cosine panels: narrow at the free tips.
	Cosine
	// Flush is even panels right to the tip (textbook hand sums).
	Flush
)

// Options sets the size of the lattice.
type Options struct {
	Spanwise, Chordwise int // of each surface that does not say; 0 means 24 and 8
	Spacing             Spacing
	// Ground is the height of the reference point above the ground, m;
	// 0 or +Inf is free air.
	Ground float64
	// Whole solves both sides in one matrix even when the aeroplane is
	// symmetric (the slow way, kept as the check of the fast one).
	Whole bool
}

// Strip is one column of panels, on the right half or on the plane of
// symmetry (or anywhere, when both sides are solved as one, see [Options]).
type Strip struct {
	Surface int
	Mid     r3.Vec  // quarter chord at mid strip, build axes
	Along   r3.Vec  // unit vector along the span in the y-z plane, root to tip
	Normal  r3.Vec  // unit normal, x cross Along
	Eta     float64 // place along the span, 0 root, 1 tip
	Chord   float64
	Width   float64 // along the span in the y-z plane, m
	Sweep   float64 // tangent of the quarter-chord sweep
	Twist   float64
	Central bool    // on the plane of symmetry: only asymmetric flow loads it
	share   float64 // where across the strip flow is tangent, 0.5 the middle
	first   int     // index of its first panel
	count   int
	a, b    int // trailing legs, indices into legs
}

// Area returns the area of the strip, m².
func (s Strip) Area() float64 { return s.Chord * s.Width }

type panel struct {
	strip      int
	a, b       r3.Vec  // bound vortex, root side first
	point      r3.Vec  // where the flow is tangent
	at         float64 // chord fraction of that point
	from, to   float64 // chord fractions of its edges
	legA, legB float64 // length of the on-surface legs
}

// leg is one spanwise edge of strips: a trailing vortex leaves at te.
type leg struct {
	surface int
	te      r3.Vec
	le      r3.Vec
	chord   float64
	core    float64 // squared, for points on other surfaces
}

// upright reports whether span coordinates run along z.
func (s *Surface) upright() bool {
	a, b := s.Stations[0].LE, s.Stations[len(s.Stations)-1].LE
	return math.Abs(b.Z-a.Z) > math.Abs(b.Y-a.Y) && !s.Mirrored || math.Abs(b.Y-a.Y) < 1e-9
}

func (s *Surface) coord(p r3.Vec) float64 {
	if s.upright() {
		return p.Z
	}
	return p.Y
}

// arc returns the places of the stations along the span in the y-z plane.
func (s *Surface) arc() []float64 {
	out := make([]float64, len(s.Stations))
	for i := 1; i < len(out); i++ {
		d := r3.Sub(s.Stations[i].LE, s.Stations[i-1].LE)
		out[i] = out[i-1] + math.Hypot(d.Y, d.Z)
	}
	return out
}

// arcOf turns a span coordinate into a place along the span (clamped to the
// surface).
func (s *Surface) arcOf(coord float64, arc []float64) float64 {
	n := len(s.Stations)
	c0, c1 := s.coord(s.Stations[0].LE), s.coord(s.Stations[n-1].LE)
	sign := 1.0
	if c1 < c0 {
		sign = -1
	}
	if (coord-c0)*sign <= 0 {
		return 0
	}
	for i := 1; i < n; i++ {
		a, b := s.coord(s.Stations[i-1].LE), s.coord(s.Stations[i].LE)
		if (b-coord)*sign >= 0 && a != b {
			return arc[i-1] + (arc[i]-arc[i-1])*math.Max(0, (coord-a)/(b-a))
		}
	}
	return arc[n-1]
}

// at interpolates leading edge and chord at a place along the span.
func (s *Surface) at(t float64, arc []float64) (le r3.Vec, chord, twist float64, i int, w float64) {
	n := len(arc)
	i = sort.SearchFloat64s(arc, t) - 1
	i = min(max(i, 0), n-2)
	w = (t - arc[i]) / (arc[i+1] - arc[i])
	a, b := s.Stations[i], s.Stations[i+1]
	le = r3.Add(r3.Scale(1-w, a.LE), r3.Scale(w, b.LE))
	return le, (1-w)*a.Chord + w*b.Chord, (1-w)*a.Twist + w*b.Twist, i, w
}

// check says what is impossible about a surface.
func (s *Surface) check() error {
	if len(s.Stations) < 2 {
		return fmt.Errorf("surface %q: %d stations, at least 2 are needed", s.Name, len(s.Stations))
	}
	for i, st := range s.Stations {
		for _, v := range []float64{st.LE.X, st.LE.Y, st.LE.Z, st.Chord, st.Twist, st.LiftSlope} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("surface %q: station %d is not finite", s.Name, i)
			}
		}
		if st.Chord <= 0 {
			return fmt.Errorf("surface %q: station %d has chord %g m", s.Name, i, st.Chord)
		}
		if s.Mirrored && st.LE.Y < -1e-9 {
			return fmt.Errorf("surface %q: station %d of a mirrored surface lies on the left", s.Name, i)
		}
	}
	arc := s.arc()
	for i := 1; i < len(arc); i++ {
		if arc[i]-arc[i-1] < 1e-6 {
			return fmt.Errorf("surface %q: stations %d and %d coincide", s.Name, i-1, i)
		}
	}
	for _, c := range s.Controls {
		if !(c.ChordShare > 0 && c.ChordShare <= 1) {
			return fmt.Errorf("surface %q: control %q has a chord share of %g", s.Name, c.Name, c.ChordShare)
		}
		if s.arcOf(c.From, arc) == s.arcOf(c.To, arc) {
			return fmt.Errorf("surface %q: control %q has no span on it", s.Name, c.Name)
		}
	}
	return nil
}

// chordEdges puts n panels on the chord with every hinge on an edge.
func (s *Surface) chordEdges(n int) []float64 {
	cuts := []float64{0}
	for _, c := range s.Controls {
		cuts = append(cuts, 1-c.ChordShare)
	}
	cuts = append(cuts, 1)
	sort.Float64s(cuts)
	keep := cuts[:1]
	for _, c := range cuts[1:] {
		if c-keep[len(keep)-1] > 1e-3 {
			keep = append(keep, c)
		}
	}
	keep[len(keep)-1] = 1
	return spread(keep, n, func(u float64) float64 { return u }, func(x float64) float64 { return x })
}

// spread divides the pieces between cuts into n parts altogether, even in
// the variable u where place = f(u) and u = inv(place); each piece gets at
// least one.
func spread(cuts []float64, n int, f, inv func(float64) float64) []float64 {
	k := len(cuts) - 1
	n = max(n, k)
	count := make([]int, k)
	size := make([]float64, k)
	for i := range count {
		count[i] = 1
		size[i] = inv(cuts[i+1]) - inv(cuts[i])
	}
	for left := n - k; left > 0; left-- {
		worst := 0
		for i := range count {
			if size[i]/float64(count[i]) > size[worst]/float64(count[worst])*(1+1e-9) {
				worst = i
			}
		}
		count[worst]++
	}
	out := []float64{cuts[0]}
	for i := range count {
		u0, u1 := inv(cuts[i]), inv(cuts[i+1])
		for j := 1; j < count[i]; j++ {
			out = append(out, f(u0+(u1-u0)*float64(j)/float64(count[i])))
		}
		out = append(out, cuts[i+1])
	}
	return out
}

// spanEdges returns the strip edges along the span, and where between its
// edges each strip's flow is tangent.
func (s *Surface) spanEdges(n int, sp Spacing, arc []float64) (edges, share []float64) {
	total := arc[len(arc)-1]
	cuts := append([]float64(nil), arc...)
	for _, c := range s.Controls {
		cuts = append(cuts, s.arcOf(c.From, arc), s.arcOf(c.To, arc))
	}
	sort.Float64s(cuts)
	keep := cuts[:1]
	for _, c := range cuts[1:] {
		if c-keep[len(keep)-1] > total*4e-3 {
			keep = append(keep, c)
		}
	}
	keep[len(keep)-1] = total
	cuts = keep
	if sp == Cosine {
		// Even in angle; the flow is tangent at half angle, which takes the
		// place of the tip inset (Lan, Journal of Aircraft 1974).
		angle := func(x float64) float64 { return math.Acos(math.Max(-1, math.Min(1, 1-2*x/total))) / math.Pi }
		place := func(u float64) float64 { return total * (1 - math.Cos(math.Pi*u)) / 2 }
		if s.Mirrored { // even panels at the root, narrow ones at the tip
			angle = func(x float64) float64 { return math.Asin(math.Max(0, math.Min(1, x/total))) * 2 / math.Pi }
			place = func(u float64) float64 { return total * math.Sin(math.Pi/2*u) }
		}
		edges = spread(cuts, n, place, angle)
		for i := 1; i < len(edges); i++ {
			m := place((angle(edges[i-1]) + angle(edges[i])) / 2)
			share = append(share, (m-edges[i-1])/(edges[i]-edges[i-1]))
		}
		return edges, share
	}
	if sp == Even {
		// The free ends are inset by a quarter of a panel.
		inset := 0.25 * total / (float64(max(n, len(cuts)-1)) + 0.25)
		last := len(cuts) - 1
		inset = math.Min(inset, 0.2*(cuts[last]-cuts[last-1]))
		cuts[last] -= inset
		if !s.Mirrored {
			in := math.Min(inset, 0.2*(cuts[1]-cuts[0]))
			if last > 0 {
				cuts[0] += in
			}
		}
	}
	id := func(u float64) float64 { return u }
	edges = spread(cuts, n, id, id)
	share = make([]float64, len(edges)-1)
	for i := range share {
		share[i] = 0.5
	}
	return edges, share
}
