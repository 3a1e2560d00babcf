package aero

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/section"
	"fledge/internal/wing"
)

// Tables makes traits from section tables (the viscous solver's, or measured
// polars), so that the whole model runs on them instead of the handbook. Of
// gives the table of a station, nil to leave it to the handbook; it is called
// for every trait and must be cheap and pure. Safe for parallel use.
type Tables struct {
	Of func(surface, station int) *section.Table

	mu     sync.Mutex
	done   map[tableKey]section.Traits
	polars map[tableKey][][2]float64 // lift and drag, lift rising
}

type tableKey struct {
	table *section.Table
	re    float64
}

// Traits implements [Sections]: see [FitTraits].
func (t *Tables) Traits(surface, station int, re float64) (section.Traits, bool) {
	tb := t.Of(surface, station)
	if tb == nil {
		return section.Traits{}, false
	}
	k := tableKey{tb, re}
	t.mu.Lock()
	defer t.mu.Unlock()
	if got, ok := t.done[k]; ok {
		return got, got.ClAlpha > 0
	}
	got, ok := FitTraits(tb, re)
	if !ok {
		got = section.Traits{}
	}
	if t.done == nil {
		t.done = map[tableKey]section.Traits{}
	}
	t.done[k] = got
	return got, ok
}

// FitTraits reduces a table at one Reynolds number, flap at rest, to the few
// numbers that the whole model needs: lift slope and zero-lift angle by least
// squares between a fifth below zero lift and seven tenths of the maximum,
// mean moment there, the peaks as they stand, and a parabola of drag over
// lift between 70 % of the least and 90 % of the largest lift, weighted to
// equal relative errors. Outside the table's Reynolds numbers the nearest end
// is taken and Status says so. ok is false when the table has no attached
// range (no peak, or a slope outside 2 to 9 per radian).
func FitTraits(t *section.Table, re float64) (tr section.Traits, ok bool) {
	lo, hi, _, _ := t.Range()
	r := math.Min(math.Max(re, lo), hi)
	top, low := t.ClMax(r, 0), t.ClMin(r, 0)
	if !(top.Cl > 0.1) || !(top.Cl < 4) {
		return tr, false
	}
	if !(low.Cl < -0.05) {
		low = section.Peak{Cl: -0.6 * top.Cl, Alpha: top.Alpha - 1.6*top.Cl/5.8}
	}
	tr.Re, tr.Status = re, "ok"
	if r != re {
		tr.Status = "Reynolds number outside the section's table"
	}
	var n, sx, sy, sxx, sxy, cm float64
	var m [3][4]float64 // normal equations of drag
	const step = 0.25 * math.Pi / 180
	for a := low.Alpha; a <= top.Alpha; a += step {
		cl, cd, c, _, _ := t.At(a, r, 0)
		if !(cd > 0) || math.IsNaN(cl) || math.IsNaN(c) {
			continue
		}
		if cl > -0.2*math.Min(top.Cl, -low.Cl) && cl < 0.7*top.Cl {
			n, sx, sy, sxx, sxy, cm = n+1, sx+a, sy+cl, sxx+a*a, sxy+a*cl, cm+c
		}
		if cl > 0.7*low.Cl && cl < 0.9*top.Cl {
			w := 1 / (cd * cd)
			b := [3]float64{1, cl, cl * cl}
			for i := range 3 {
				for j := range 3 {
					m[i][j] += w * b[i] * b[j]
				}
				m[i][3] += w * b[i] * cd
			}
		}
	}
	if n < 4 {
		return tr, false
	}
	tr.ClAlpha = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	if !(tr.ClAlpha > 2 && tr.ClAlpha < 9) {
		return tr, false
	}
	tr.AlphaL0 = (sx - sy/tr.ClAlpha) / n
	tr.Cm0 = cm / n
	// What the comparison with tunnels shows, wider for a coarse or traced
	// outline.
	d := t.Doubt(r)
	tr.Doubt = section.TraitsDoubt{
		AlphaL0: d.AlphaL0, ClAlpha: 0.03 * tr.ClAlpha, Cm0: d.Cm, ClMax: d.ClMax, ClMin: math.Max(0.08, d.ClMax),
		AlphaStall: 1.5 * math.Pi / 180, ClCd0: 0.1,
	}
	tr.ClMax, tr.ClMin, tr.AlphaStall, tr.AlphaLow = top.Cl, low.Cl, top.Alpha, low.Alpha
	c, solved := solve3(m)
	if solved && c[2] > 1e-4 {
		tr.CdK = c[2]
		tr.ClCd0 = -c[1] / (2 * c[2])
		tr.Cd0 = c[0] - c[1]*c[1]/(4*c[2])
	}
	if !(tr.Cd0 > 0.002) || math.Abs(tr.ClCd0) > 1 {
		// No bowl: the least drag, at the lift where it stands.
		tr.Cd0, tr.CdK = math.Inf(1), 0.01
		for a := low.Alpha; a <= top.Alpha; a += step {
			if cl, cd, _, _, _ := t.At(a, r, 0); cd > 0 && cd < tr.Cd0 {
				tr.Cd0, tr.ClCd0 = cd, cl
			}
		}
		if math.IsInf(tr.Cd0, 1) {
			return tr, false
		}
	}
	tr.Doubt.Cd0, tr.Doubt.CdK = d.CdRel*tr.Cd0, 0.25*tr.CdK
	return tr, true
}

// dragCurve is lift and drag of a table at one Reynolds number between its
// peaks, flap at rest, in rising lift; beyond its Reynolds numbers the nearest
// end's.
func dragCurve(t *section.Table, re float64) (out [][2]float64) {
	lo, hi, _, _ := t.Range()
	r := math.Min(math.Max(re, lo), hi)
	low, top := t.ClMin(r, 0), t.ClMax(r, 0)
	const step = 0.25 * math.Pi / 180
	n := int(math.Ceil((top.Alpha - low.Alpha) / step))
	for i := 0; i <= n; i++ {
		cl, cd, _, _, _ := t.At(low.Alpha+(top.Alpha-low.Alpha)*float64(i)/float64(n), r, 0)
		if !(cd > 0) || math.IsNaN(cl) || (len(out) > 0 && cl <= out[len(out)-1][0]+1e-4) {
			continue
		}
		out = append(out, [2]float64{cl, cd})
	}
	return out
}

// solve3 solves three equations by elimination with pivots.
func solve3(m [3][4]float64) (x [3]float64, ok bool) {
	for i := range 3 {
		p := i
		for j := i + 1; j < 3; j++ {
			if math.Abs(m[j][i]) > math.Abs(m[p][i]) {
				p = j
			}
		}
		m[i], m[p] = m[p], m[i]
		if math.Abs(m[i][i]) < 1e-12 {
			return x, false
		}
		for j := i + 1; j < 3; j++ {
			f := m[j][i] / m[i][i]
			for c := i; c < 4; c++ {
				m[j][c] -= f * m[i][c]
			}
		}
	}
	for i := 2; i >= 0; i-- {
		x[i] = m[i][3]
		for j := i + 1; j < 3; j++ {
			x[i] -= m[i][j] * x[j]
		}
		x[i] /= m[i][i]
	}
	return x, true
}

// Doubts returns one standard deviation of every factor, to draw from:
// relative for the multipliers, in their unit for the additions. Section
// doubts are the area means of the main wing's (handbook or solver); the
// rest is our choice inside the bands of the sources named here: parasite
// allowance and build-up 12 % (NASA TN D-8206 shows why it can't be less),
// lift slope 3 %, damping 10 %, control effectiveness 8 % (plain flaps reach
// 0.7 to 0.85 of theory), neutral point 2 % of the chord (body) with half of
// what separates the lattice's downwash at a tail from the handbook's fit to
// tests, induced drag 3 %.
func (m *Model) Doubts() Factors {
	return m.doubts
}

// SlipDoubts is one standard deviation of the body's part of side force and
// yawing moment by sideslip, per rad. It is slender-body theory as in pitch,
// and taken to be as doubtful by its share as it is there, where the doubt of
// the neutral point (0.02 chords, see [Model.Doubts]) stands for it; at most
// the whole part.
func (m *Model) SlipDoubts() (cy, cn float64) {
	if m.munkY == 0 {
		return 0, 0
	}
	share := math.Min(1, 0.02*m.clAlpha/math.Abs(2*m.munkY/(m.Area*m.Chord)))
	return share * math.Abs(2*m.bodyY/m.Area), share * math.Abs(2*m.munkZ/(m.Area*m.Span))
}

// WashDoubt is one standard deviation of the moment by the lag of the downwash,
// relative: what the handbook's slope is good to.
const WashDoubt = 0.1

func (b *builder) doubts() {
	m := b.m
	d := Factors{Lift: 0.03, Damping: 0.10, Control: 0.08, Induced: 0.03, NP: math.Hypot(0.02*m.Chord, 0.5*b.downwashGap()), Dihedral: 0.01}
	var area, cl, l0, cm, cd float64
	s := &b.ac.Surfaces[b.ac.Ref.Wing]
	for j, st := range s.Stations {
		t := b.ref[b.ac.Ref.Wing][j]
		w := st.Chord
		area += w
		cl += w * t.Doubt.ClMax / math.Max(t.ClMax, 0.2)
		l0 += w * t.Doubt.AlphaL0
		cm += w * t.Doubt.Cm0
		cd += w * t.Doubt.Cd0 / math.Max(t.Cd0, 1e-3)
	}
	sections := 0.0
	for _, it := range m.DragBreakdown(m.vRef) {
		if it.Name == s.Name+", sections" {
			sections = it.DragArea
		}
	}
	share := sections / math.Max(m.ZeroLiftDragArea(m.vRef), 1e-9)
	d.ClMax = math.Hypot(cl/area, 0.05)
	d.CL0 = math.Hypot(l0/area*m.clAlpha, 0.02)
	d.Cm0 = math.Hypot(cm/area, 0.006)
	d.Drag = math.Hypot(share*cd/area, 0.12)
	m.doubts = d
}

// downwashGap is how far the neutral point would move (m) if the tails felt
// the handbook's downwash instead of the lattice's flat wake.
func (b *builder) downwashGap() float64 {
	m := b.m
	all := b.surfaces()
	main := b.ac.Ref.Wing
	w := all[main]
	w.Controls = nil
	ref := wing.Reference{Area: m.Area, Span: m.Span, Chord: m.Chord, Point: m.point}
	alone, err := wing.New([]wing.Surface{w}, ref, wing.Options{Spanwise: 12, Chordwise: 4})
	if err != nil {
		return 0.02 * m.Chord
	}
	gap := 0.0
	for i := range m.groups {
		g := &m.groups[i]
		x := m.point.X - g.x
		if g.surface == main || !g.twin || math.Abs(g.nz) < 0.3 || x < m.point.X+0.1*m.Span {
			continue
		}
		p := r3.Vec{X: x, Y: g.y, Z: m.point.Z - g.z}
		lattice := -alone.Wash(wing.Plunge, p)[0].Z
		book := m.mainWash(p)
		if lattice > 0.9 {
			continue
		}
		slope := pairs(true) * 2 / m.Area * g.b * g.gs[1] * g.nz
		gap += (lattice - book) / (1 - lattice) * slope / m.clAlpha * (x - m.np)
	}
	return math.Abs(gap)
}
