// Package prints makes plastic parts: plates cut to an outline with holes,
// with raised letters, as STL and 3MF files. Outlines are given in metres; a
// grid of one micrometre, on which all tests of sides and crossings are exact,
// carries everything from there on, so that a solid is closed by construction
// and the same bytes come out on every machine.
//
// A plate lies on the print bed, z up. Its letters are part of it: the top
// face is cut where a letter rises, so that the whole is one closed surface
// and not a heap of bodies that overlap.
package prints

import (
	"fmt"
	"math"
)

// Pt is a point of an outline, m.
type Pt struct{ X, Y float64 }

// Region is an outline with holes, m; turning sense does not matter, and the
// last point is not the first again.
type Region struct {
	Outer []Pt
	Holes [][]Pt
}

// grid is one step of the grid, m.
const grid = 1e-6

// far bounds coordinates, steps: products of two differences stay exact.
const far = 1 << 29

type pt struct{ x, y int64 }

// BadOutline says why an outline bounds no plate.
type BadOutline struct{ Why string }

func (e *BadOutline) Error() string { return "prints: " + e.Why }

func bad(format string, args ...any) error { return &BadOutline{fmt.Sprintf(format, args...)} }

// snap puts a ring on the grid and drops points that say nothing: doubles,
// and those on the straight line between their neighbours.
func snap(in []Pt) ([]pt, error) {
	ring := make([]pt, 0, len(in))
	for _, p := range in {
		x, y := math.Round(p.X/grid), math.Round(p.Y/grid)
		if !(math.Abs(x) < far && math.Abs(y) < far) {
			return nil, bad("a point lies at no place of the grid: %g, %g", p.X, p.Y)
		}
		q := pt{int64(x), int64(y)}
		if len(ring) == 0 || ring[len(ring)-1] != q {
			ring = append(ring, q)
		}
	}
	for again := true; again && len(ring) > 2; {
		again = false
		for i := 0; i < len(ring) && len(ring) > 2; i++ {
			a, b, c := ring[(i+len(ring)-1)%len(ring)], ring[i], ring[(i+1)%len(ring)]
			if a == b || side(a, b, c) == 0 {
				ring = append(ring[:i], ring[i+1:]...)
				again = true
				i--
			}
		}
	}
	if len(ring) < 3 {
		return nil, bad("an outline encloses nothing")
	}
	return ring, nil
}

// side is twice the area of a, b, c: positive when c lies left of a to b.
func side(a, b, c pt) int64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }

// doubled is twice the area of a ring, positive when it runs against the clock.
func doubled(ring []pt) (s int64) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		s += p.x*q.y - q.x*p.y
	}
	return s
}

func turned(ring []pt) []pt {
	out := make([]pt, len(ring))
	for i, p := range ring {
		out[len(ring)-1-i] = p
	}
	return out
}

// between says that p, on the line through a and b, lies on the segment.
func between(a, b, p pt) bool {
	return min(a.x, b.x) <= p.x && p.x <= max(a.x, b.x) && min(a.y, b.y) <= p.y && p.y <= max(a.y, b.y)
}

func sign(v int64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// meet says that two segments have a point in common, ends included.
func meet(a, b, c, d pt) bool {
	if max(a.x, b.x) < min(c.x, d.x) || max(c.x, d.x) < min(a.x, b.x) || max(a.y, b.y) < min(c.y, d.y) || max(c.y, d.y) < min(a.y, b.y) {
		return false
	}
	s1, s2 := sign(side(a, b, c)), sign(side(a, b, d))
	s3, s4 := sign(side(c, d, a)), sign(side(c, d, b))
	if s1*s2 < 0 && s3*s4 < 0 {
		return true
	}
	return s1 == 0 && between(a, b, c) || s2 == 0 && between(a, b, d) || s3 == 0 && between(c, d, a) || s4 == 0 && between(c, d, b)
}

// inside counts crossings: p in the ring, its border not included.
func inside(ring []pt, p pt) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.y > p.y) != (b.y > p.y) {
			s := side(a, b, p)
			if (b.y > a.y) == (s > 0) {
				in = !in
			}
		}
	}
	return in
}

// rings is a region on the grid: the outer ring against the clock, holes with
// it.
type rings [][]pt

// onGrid snaps a region and proves it sound: no side meets another but at the
// corner they share, holes lie inside and apart.
func onGrid(r Region) (rings, error) {
	outer, err := snap(r.Outer)
	if err != nil {
		return nil, err
	}
	if doubled(outer) < 0 {
		outer = turned(outer)
	}
	out := rings{outer}
	for _, h := range r.Holes {
		ring, err := snap(h)
		if err != nil {
			return nil, err
		}
		if doubled(ring) > 0 {
			ring = turned(ring)
		}
		out = append(out, ring)
	}
	return out, out.sound()
}

func (r rings) sound() error {
	type edge struct {
		ring, at int
		a, b     pt
	}
	var all []edge
	for k, ring := range r {
		for i, a := range ring {
			all = append(all, edge{k, i, a, ring[(i+1)%len(ring)]})
		}
	}
	for i, e := range all {
		for _, f := range all[i+1:] {
			if e.ring == f.ring {
				n := len(r[e.ring])
				if f.at == e.at+1 || e.at == 0 && f.at == n-1 { // they share a corner, and may share no more
					first, second := e, f
					if e.at == 0 && f.at == n-1 && n > 2 {
						first, second = f, e
					}
					if side(first.a, first.b, second.b) == 0 && between(first.a, first.b, second.b) {
						return bad("a side runs back over the one before it")
					}
					continue
				}
			}
			if meet(e.a, e.b, f.a, f.b) {
				return bad("two sides meet near x = %.2f mm, y = %.2f mm", float64(e.a.x)*grid*1e3, float64(e.a.y)*grid*1e3)
			}
		}
	}
	for k, h := range r[1:] {
		if !inside(r[0], h[0]) {
			return bad("hole %d lies outside its plate", k+1)
		}
		for j, g := range r[1:] {
			if j != k && inside(g, h[0]) {
				return bad("a hole lies in another")
			}
		}
	}
	return nil
}

// area is twice the area, in steps squared.
func (r rings) area() (s int64) {
	for _, ring := range r {
		s += doubled(ring)
	}
	return s
}
