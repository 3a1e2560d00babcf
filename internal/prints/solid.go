package prints

import (
	"fmt"
	"math"
)

// Plate is a plate with raised letters and marks, m. Lean is how far the
// outline moves in x for each metre up: a plate cut for a swept wing leans with
// its leading edge.
type Plate struct {
	Name   string
	Notes  []string // what it is, for the file: angle, hash, load
	Base   Region
	Thick  float64
	Raised []Region // inside the base and apart
	Proud  float64  // height of the raised above the plate
	Lean   float64
}

// Solid is a closed surface: corners in steps of a micrometre, triangles that
// turn against the clock seen from outside.
type Solid struct {
	Name  string
	Notes []string
	at    [][3]int64
	tri   [][3]int
}

// Solid makes the plate's surface. The error is a [*BadOutline].
func (p *Plate) Solid() (*Solid, error) {
	base, err := onGrid(p.Base)
	if err != nil {
		return nil, err
	}
	t, h := int64(math.Round(p.Thick/grid)), int64(math.Round(p.Proud/grid))
	if t <= 0 || len(p.Raised) > 0 && h <= 0 {
		return nil, bad("a plate without thickness")
	}
	s := &Solid{Name: p.Name, Notes: p.Notes}
	lean := func(z int64) int64 { return int64(math.Round(p.Lean * float64(z))) }
	put := func(r rings, z int64) (first int) {
		first = len(s.at)
		for _, ring := range r {
			for _, q := range ring {
				s.at = append(s.at, [3]int64{q.x + lean(z), q.y, z})
			}
		}
		return first
	}
	wall := func(r rings, low, high int) {
		n := 0
		for _, ring := range r {
			m := len(ring)
			for i := range ring {
				a, b := n+i, n+(i+1)%m
				s.tri = append(s.tri, [3]int{low + a, low + b, high + b}, [3]int{low + a, high + b, high + a})
			}
			n += m
		}
	}
	face := func(r rings, id []int, up bool) error {
		list, err := triangles(r)
		if err != nil {
			return err
		}
		for _, f := range list {
			if up {
				s.tri = append(s.tri, [3]int{id[f[0]], id[f[1]], id[f[2]]})
			} else {
				s.tri = append(s.tri, [3]int{id[f[2]], id[f[1]], id[f[0]]})
			}
		}
		return nil
	}
	run := func(first, n int) []int {
		out := make([]int, n)
		for i := range out {
			out[i] = first + i
		}
		return out
	}
	count := func(r rings) (n int) {
		for _, ring := range r {
			n += len(ring)
		}
		return n
	}
	n := count(base)
	low, high := put(base, 0), put(base, t)
	if err := face(base, run(low, n), false); err != nil {
		return nil, err
	}
	wall(base, low, high)
	// The top face, cut where something rises; what shows in a letter's eye
	// is a face of its own.
	top, topID := append(rings(nil), base...), run(high, n)
	for _, raised := range p.Raised {
		q, err := onGrid(raised)
		if err != nil {
			return nil, err
		}
		m := count(q)
		foot, head := put(q, t), put(q, t+h)
		wall(q, foot, head)
		if err := face(q, run(head, m), true); err != nil {
			return nil, err
		}
		top = append(top, turned(q[0]))
		for i := range q[0] {
			topID = append(topID, foot+len(q[0])-1-i)
		}
		at := len(q[0])
		for _, eye := range q[1:] {
			id := make([]int, len(eye))
			for i := range eye {
				id[i] = foot + at + len(eye) - 1 - i
			}
			if err := face(rings{turned(eye)}, id, true); err != nil {
				return nil, err
			}
			at += len(eye)
		}
	}
	if err := top.sound(); err != nil {
		return nil, fmt.Errorf("raised marks: %w", err)
	}
	if err := face(top, topID, true); err != nil {
		return nil, err
	}
	return s, s.Closed()
}

// Closed proves that the surface is closed, its triangles all have area, and
// each side runs once each way: no gap, no doubled wall, one sense throughout.
func (s *Solid) Closed() error {
	type side struct{ a, b int }
	seen := make(map[side]int, 3*len(s.tri))
	for _, f := range s.tri {
		if n := s.normal(f); n == [3]float64{} {
			return bad("a triangle without area")
		}
		for i := range 3 {
			seen[side{f[i], f[(i+1)%3]}]++
		}
	}
	for e, n := range seen {
		if n != 1 || seen[side{e.b, e.a}] != 1 {
			return bad("the surface is not closed")
		}
	}
	if s.Volume() <= 0 {
		return bad("the surface is inside out")
	}
	return nil
}

// normal is the triangle's normal, in steps squared, not of length one.
func (s *Solid) normal(f [3]int) [3]float64 {
	a, b, c := s.at[f[0]], s.at[f[1]], s.at[f[2]]
	var u, v [3]float64
	for i := range 3 {
		u[i], v[i] = float64(b[i]-a[i]), float64(c[i]-a[i])
	}
	return [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

// Volume is the enclosed volume, m³: the sum of the tetrahedra over the
// triangles, positive when they face outwards.
func (s *Solid) Volume() float64 {
	v := 0.0
	for _, f := range s.tri {
		n := s.normal(f)
		a := s.at[f[0]]
		v += float64(a[0])*n[0] + float64(a[1])*n[1] + float64(a[2])*n[2]
	}
	return v / 6 * grid * grid * grid
}

// Box is the least and largest corner, m.
func (s *Solid) Box() (low, high [3]float64) {
	for i := range 3 {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
		for _, p := range s.at {
			low[i] = math.Min(low[i], float64(p[i])*grid)
			high[i] = math.Max(high[i], float64(p[i])*grid)
		}
	}
	return low, high
}

// Area is the area of a region, m²; the error says why it has none.
func (r Region) Area() (float64, error) {
	g, err := onGrid(r)
	if err != nil {
		return 0, err
	}
	return float64(g.area()) / 2 * grid * grid, nil
}
