package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// mover looks for the smallest move of a part.
type mover struct {
	sh   *Sheet
	ac   *craft.Aircraft
	all  []placed
	bays map[string]int
	skin Skin
	body Cavity
}

// parted is the smallest move of one of two things in one place (a part and
// another, or a solid of the airframe) that leaves both free.
func (m *mover) parted(a, b string) (Cure, bool) {
	return m.least(a, b, true, func(*placed, Solid) bool { return true })
}

// apart is the smallest move of one of two parts (or a part and a lead or a
// solid) after which they, and the one that moved and everything else it should
// keep from, are as far apart as they should be, or no nearer than they are.
func (m *mover) apart(a, b string) (Cure, bool) {
	return m.least(a, b, false, func(q *placed, t Solid) bool {
		for _, k := range m.keeps(q) {
			now, least := k.gap(q.solid), k.least
			switch {
			case k.with == a || k.with == b: // with its whole interval
				least += level95 * m.gapSigma(q.solid, k.solid)
			case now < least:
				least = now
			}
			if k.gap(t) < least-1e-9 {
				return false
			}
		}
		return true
	})
}

// least finds the smallest move of a or b that meets nothing, stays inside its
// bay (the body, where it has none) and satisfies ok: along x as far as it may
// move, else along x, in height or, off the middle, sideways by up to 300 mm,
// in whole millimetres. Nothing goes through the airframe: a way ends at what
// it meets there, but, with out, for a and b, which may stand in one place. ok
// is false when there is no such move.
func (m *mover) least(a, b string, out bool, ok func(*placed, Solid) bool) (best Cure, found bool) {
	best.By = math.Inf(1)
	for i := range m.all {
		q := &m.all[i]
		p := q.part
		if !q.sized && out || p.Twin || q.solid.Name != a && q.solid.Name != b { // without a size it is a point
			continue
		}
		was := m.within(q, q.solid)
		free := func(t Solid) bool {
			for j := range m.all {
				if o := &m.all[j]; j != i && o.sized && len(Clashes([]Solid{t, o.solid})) > 0 {
					return false
				}
			}
			for _, s := range m.ac.Inside.Solids {
				if len(Clashes([]Solid{t, {s.Name, s.At, s.Size}})) > 0 {
					return false
				}
			}
			_, bay := m.bays[p.Bay]
			return (m.within(q, t) || !was && !bay) && ok(q, t)
		}
		meets := func(t Solid) bool {
			for _, s := range m.ac.Inside.Solids {
				if !(out && (s.Name == a || s.Name == b)) && len(Clashes([]Solid{t, {s.Name, s.At, s.Size}})) > 0 {
					return true
				}
			}
			return false
		}
		for axis := range 3 {
			if axis == 1 && (out || p.At.Y == 0 || m.mirrored(p)) {
				continue
			}
			low, high := -0.3, 0.3
			if axis == 0 && p.MaxAt.X > p.MinAt.X {
				low, high = p.MinAt.X-p.At.X, p.MaxAt.X-p.At.X
			}
			now := axes(p.At)[axis]
			var ends [2]bool
			for mm := 1; mm <= 300 && float64(mm)*1e-3 < best.By; mm++ {
				for k, way := range []float64{1, -1} {
					to := math.Round((now+way*float64(mm)*1e-3)*1e3) / 1e3 // whole millimetres are written
					d := to - now
					if ends[k] || d < low-1e-9 || d > high+1e-9 || math.Abs(d) >= best.By {
						continue
					}
					by := [3]r3.Vec{{X: d}, {Y: d}, {Z: d}}[axis]
					t := q.solid
					t.At = r3.Add(t.At, by)
					if ends[k] = meets(t); ends[k] {
						continue
					}
					if free(t) {
						best, found = moveTo(p, by), true
					}
				}
			}
		}
	}
	return best, found
}

// moveTo is the cure of moving a part along axes, by in build axes; the places
// are written in whole millimetres where they are some, else in tenths.
func moveTo(p *craft.Part, by r3.Vec) Cure {
	k := Cure{By: r3.Norm(by)}
	say := ""
	for i, d := range axes(by) {
		if math.Abs(d) < 0.05e-3 {
			continue
		}
		to := (axes(p.At)[i] + d) * 1e3
		if i == 1 && p.Twin { // the file has the right one
			to = -to
		}
		text := fmt.Sprintf("%.0f", to)
		if math.Abs(to-math.Round(to)) > 0.02 {
			text = fmt.Sprintf("%.1f", to)
		}
		axis := "xyz"[i : i+1]
		word := wayWord(i, d)
		if i == 1 && p.At.Y != 0 {
			if word = "outwards"; p.At.Y < 0 != (d < 0) {
				word = "inwards"
			}
		}
		if say != "" {
			say += ", "
		}
		say += fmt.Sprintf("%.4g mm %s to %s = %s mm", math.Abs(math.Round(d*1e4)/10), word, axis, text)
		k.Set = append(k.Set, fmt.Sprintf("%s.at.%s=%s mm", p.Path(), axis, text))
	}
	k.What = "move " + p.Name + " " + say
	return k
}

// mirrored tells whether a part has a twin on the other side.
func (m *mover) mirrored(p *craft.Part) bool {
	for i := range m.ac.Parts {
		if o := &m.ac.Parts[i]; o.Twin && o.Index == p.Index {
			return true
		}
	}
	return false
}

// within tells whether a part, standing at t, is inside its bay, or inside the
// body where that is its place; what has no such place is.
func (m *mover) within(q *placed, t Solid) bool {
	p := q.part
	c := &m.body
	if at, given := m.bays[p.Bay]; given {
		bay := BayCavity(m.ac, at, m.skin)
		c = &bay
	} else if !inside[p.Kind] || len(c.shell) < 2 {
		return true
	}
	o := c.Stands(t, p.Round)
	return o.OK && o.Miss <= 1e-9
}

// kept is one distance that a part should keep.
type kept struct {
	with  string
	solid Solid
	least float64
	gap   func(Solid) float64
}

// keeps lists the distances that a part should keep from parts, conductors and leads.
func (m *mover) keeps(q *placed) []kept {
	var out []kept
	to := func(s Solid, least float64) {
		out = append(out, kept{s.Name, s, least, func(t Solid) float64 { return Gap(t, s) }})
	}
	for i := range m.all {
		o := &m.all[i]
		for _, k := range Keeps {
			if o.part != q.part && (q.part.Kind == k.A && o.part.Kind == k.B || q.part.Kind == k.B && o.part.Kind == k.A) {
				to(o.solid, k.Least)
			}
		}
	}
	for _, s := range m.ac.Inside.Solids {
		if q.part.Kind == "antenna" && conducts(s.Material) {
			to(Solid{s.Name, s.At, s.Size}, carbonKeep)
		}
	}
	for n := range m.sh.Harness {
		l := &m.sh.Harness[n]
		if k, ok := keptFrom(l, q); ok {
			out = append(out, kept{l.Name, Solid{Name: l.Name}, k.least, func(t Solid) float64 { return wayGap(l.Way, t) }})
		}
	}
	return out
}

// gapSigma is the standard deviation of the distance of two solids along the
// line between their middles: of a part half its side and its place, of a lead
// or a solid of the airframe, whose places are as typed, nothing.
func (m *mover) gapSigma(a, b Solid) float64 {
	d := r3.Sub(b.At, a.At)
	if b.At == (r3.Vec{}) || !(r3.Norm(d) > 0) {
		d = r3.Vec{X: 1}
	}
	u := axes(r3.Unit(d))
	sum := 0.0
	for i := range m.all {
		if q := &m.all[i]; q.solid.Name == a.Name || q.solid.Name == b.Name {
			size, at := axes(q.part.SizeSigma), axes(q.part.AtSigma)
			for k := range 3 {
				sum += sq(u[k]) * (sq(size[k]/2) + sq(at[k]))
			}
		}
	}
	return math.Sqrt(sum)
}
