package wing

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const fourPi = 4 * math.Pi

// washer computes the normal wash of all horseshoes at a point. Trailing
// legs shared by neighbouring strips are evaluated once.
type washer struct {
	l      *Lattice
	blocks []block
	deep   int
}

// block is the strips of one surface (one side) between consecutive legs.
type block struct {
	surface, first, strips, count int // first panel; count chordwise
	x, y, z                       []float64
	core                          []float64 // squared core of each spanwise edge, for other surfaces
}

func newWasher(l *Lattice) *washer {
	w := &washer{l: l}
	for i := 0; i < len(l.Strips); {
		j := i + 1
		for j < len(l.Strips) && l.Strips[j].Surface == l.Strips[i].Surface && l.Strips[j].a == l.Strips[j-1].b {
			j++
		}
		s := l.Strips[i]
		b := block{surface: s.Surface, first: s.first, strips: j - i, count: s.count}
		for e := range b.strips + 1 {
			k := i + min(e, b.strips-1)
			at := l.Strips[k].a
			if e == b.strips {
				at = l.Strips[k].b
			}
			b.core = append(b.core, l.legs[at].core)
			for c := range b.count {
				p := l.panels[l.Strips[k].first+c]
				v := p.a
				if e == b.strips {
					v = p.b
				}
				b.x, b.y, b.z = append(b.x, v.X), append(b.y, v.Y), append(b.z, v.Z)
			}
		}
		w.blocks = append(w.blocks, b)
		w.deep = max(w.deep, b.count)
		i = j
	}
	return w
}

// corner is a point seen from a bound vortex end.
type corner struct{ x, y, z, r, leg float64 }

// add adds sign times the wash at point along normal n to row, one entry a
// panel. Points on another surface than the vortex see its trailing legs
// with a core of a quarter of a strip, so that a tail in the plane of the
// wing's wake is not struck by single legs.
func (w *washer) add(row []float64, p, n r3.Vec, surface int, sign float64) {
	var store [2][64]corner
	one, two := store[0][:], store[1][:]
	if w.deep > len(one) {
		one, two = make([]corner, w.deep), make([]corner, w.deep)
	}
	sign /= fourPi
	for bi := range w.blocks {
		b := &w.blocks[bi]
		k := 0
		for e := 0; e <= b.strips; e++ {
			core := 1e-12
			if b.surface != surface {
				core = b.core[e]
			}
			for c := range b.count {
				q := &two[c]
				q.x, q.y, q.z = p.X-b.x[k], p.Y-b.y[k], p.Z-b.z[k]
				d := q.y*q.y + q.z*q.z
				q.r = math.Sqrt(q.x*q.x + d)
				q.leg = (n.Z*q.y - n.Y*q.z) / (d + core) * (1 + q.x/q.r)
				k++
			}
			if e > 0 {
				to := row[b.first+(e-1)*b.count : b.first+e*b.count]
				for c := range to {
					f, g := &one[c], &two[c]
					cross := n.X*(f.y*g.z-f.z*g.y) + n.Y*(f.z*g.x-f.x*g.z) + n.Z*(f.x*g.y-f.y*g.x)
					rr := f.r * g.r
					s := rr * (rr + f.x*g.x + f.y*g.y + f.z*g.z)
					bound := cross * (f.r + g.r) / (s + 1e-18)
					to[c] += sign * (g.leg - f.leg + bound)
				}
			}
			one, two = two, one
		}
	}
}

// leaning returns a function that gives, for circulations of panels, the
// change of the normal wash at every panel per radian of sideslip when the
// wakes lean with the stream. side is 0 for a lattice written out, 1 when a
// left half with the same circulation is understood (its wakes lean the
// other way as seen in the mirror).
func (l *Lattice) leaning() func(gamma []float64, side float64) []float64 {
	nl, np := len(l.legs), len(l.panels)
	own := make([]float64, nl*np)
	other := make([]float64, nl*np)
	grounded := !math.IsInf(l.ground, -1)
	for i := range l.panels {
		p := &l.panels[i]
		st := &l.Strips[p.strip]
		for e := range l.legs {
			g := &l.legs[e]
			core := 1e-12
			if g.surface != st.Surface {
				core = g.core
			}
			v := leanWash(r3.Sub(p.point, g.te), st.Normal, core)
			m := leanWash(r3.Sub(flip(p.point), g.te), flip(st.Normal), core)
			if grounded {
				v += leanWash(r3.Sub(l.sunk(p.point), g.te), drop(st.Normal), core)
				m += leanWash(r3.Sub(l.sunk(flip(p.point)), g.te), drop(flip(st.Normal)), core)
			}
			own[e*np+i] = v
			other[e*np+i] = m
		}
	}
	return func(gamma []float64, side float64) []float64 {
		out := make([]float64, np)
		for j := range l.Strips {
			st := &l.Strips[j]
			g := 0.0
			for k := range st.count {
				g += gamma[st.first+k]
			}
			if g == 0 {
				continue
			}
			a, b := st.a*np, st.b*np
			for i := range out {
				out[i] += g * (own[b+i] - own[a+i] - side*(other[b+i]-other[a+i]))
			}
		}
		return out
	}
}

// leanWash is the change of wash along n per radian of sideslip from a leg
// of unit circulation that leaves r before the point, downstream along
// (1, -beta, 0).
func leanWash(r, n r3.Vec, core float64) float64 {
	d := r.Y*r.Y + r.Z*r.Z + core
	rr := r3.Norm(r)
	g := (1 + r.X/rr) / d
	// c = d x r = (0, -z, y), its change (-z, 0, x)
	dg := (-r.Y/rr)/d - g/d*2*r.X*r.Y
	return (g*(-r.Z*n.X+r.X*n.Z) + dg*(-r.Z*n.Y+r.Y*n.Z)) / fourPi
}

// Wash returns the velocity, build axes, that the circulation of one unit of
// case c (both sides) makes at points of the flow, per unit of the case, at
// the unit stream; the ground's image is in it, the lean of wakes is not.
// Points on a surface or in its wake are not meaningful.
func (l *Lattice) Wash(c Case, points ...r3.Vec) []r3.Vec {
	w := newWasher(l)
	mirror := l.mirrorSign(c)
	grounded := !math.IsInf(l.ground, -1)
	row, other := make([]float64, len(l.panels)), make([]float64, len(l.panels))
	one := func(p, n r3.Vec) float64 {
		clear(row)
		clear(other)
		w.add(row, p, n, -1, 1)
		if grounded {
			w.add(row, l.sunk(p), drop(n), -1, 1)
		}
		if mirror != 0 {
			w.add(other, flip(p), flip(n), -1, mirror)
			if grounded {
				w.add(other, l.sunk(flip(p)), drop(flip(n)), -1, mirror)
			}
		}
		v := 0.0
		for i := range row {
			v += row[i] * l.gamma[c][i]
			if !l.Strips[l.panels[i].strip].Central {
				v += other[i] * l.gamma[c][i]
			}
		}
		return v
	}
	out := make([]r3.Vec, len(points))
	for i, p := range points {
		out[i] = r3.Vec{X: one(p, r3.Vec{X: 1}), Y: one(p, r3.Vec{Y: 1}), Z: one(p, r3.Vec{Z: 1})}
	}
	return out
}
