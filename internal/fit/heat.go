package fit

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/craft"
)

// Warmth is the temperature of a part that makes heat in a closed bay, in
// still air at the bench: value with 90 % interval, K.
type Warmth struct {
	Part, Bay                                   string
	Power, Case, CaseLow, CaseHigh, Inside, Air float64
}

// Heat transfer in still air, natural convection and radiation of dull
// surfaces together, W/m²K, and its relative doubt; conductivity of light foam,
// W/mK. Textbook ranges: 5 to 10 by convection of small bodies, about 6 by
// radiation near room temperature.
const (
	still     = 11.0
	stillPart = 0.25
	foamK     = 0.036
	// hottest case a small transmitter stands before it throttles or fails, K: common practice.
	hottest = 273.15 + 85
)

// Pod is the steady temperature rise over the outside air of a part that
// turns p watts into heat inside a closed bay: first over the air in the bay
// by its own surface, then over the outside by the bay's wall with foam of
// thickness t.
//
//	bay air  p (1/(h Aw) + t/(k Aw) + 1/(h Aw)),  case  + p/(h Ap)
//
// h holds for still air (about 11 W/m²K, a quarter either way): in flight it is
// cooler. Areas m²; +Inf for areas of nothing.
func Pod(p, part, wall, foam, h float64) (air, casing float64) {
	if p == 0 {
		return 0, 0
	}
	if !(part > 0) || !(wall > 0) {
		return math.Inf(1), math.Inf(1)
	}
	air = p * (2/(h*wall) + foam/(foamK*wall))
	return air, air + p/(h*part)
}

// faces is the surface of a box.
func faces(x, y, z float64) float64 { return 2 * (x*y + y*z + z*x) }

// wallOf is the outer surface of a bay.
func wallOf(b *craft.Bay) float64 {
	switch b.Kind {
	case craft.ShellBay:
		a := 0.0
		for i := 1; i < len(b.Sections); i++ {
			p, q := b.Sections[i-1], b.Sections[i]
			a += (q.X - p.X) * math.Pi * (p.Width + p.Height + q.Width + q.Height) / 4
		}
		return a
	case craft.SurfaceBay:
		return 2 * (b.To - b.From) * math.Max(b.Wide, b.To-b.From)
	}
	s := b.Box.Size
	return faces(s.X, s.Y, s.Z)
}

// heat judges parts that make heat in closed bays.
func (sh *Sheet) heat(ac *craft.Aircraft, bays map[string]int, all []placed, air float64) {
	if !(air > 0) {
		air = 288.15
	}
	for _, q := range all {
		i, ok := bays[q.part.Bay]
		if !ok || q.part.Heat == 0 || !ac.Inside.Bays[i].Closed {
			continue
		}
		b := &ac.Inside.Bays[i]
		total := 0.0
		for _, t := range all {
			if t.part.Bay == b.Name {
				total += t.part.Heat
			}
		}
		r := Result{ID: "heat." + q.solid.Name, Label: "heat of " + q.solid.Name + " in the closed " + b.Name, Room: math.NaN(), At: &q.solid.At,
			Refs: []cite.Ref{cite.Ours.At("two walls in still air", cite.Derived), cite.Common.At("85 degC at the case", cite.Practice)}}
		if !q.sized {
			r.Status, r.Because = Unknown, "Its size is not given, so nobody knows what cools it."
			sh.add(r)
			continue
		}
		area := faces(q.part.Size.X, q.part.Size.Y, q.part.Size.Z)
		at := func(h float64) (float64, float64) {
			in, _ := Pod(total, 1, wallOf(b), b.Foam, h)
			return air + in, air + in + q.part.Heat/(h*area)
		}
		w := Warmth{Part: q.solid.Name, Bay: b.Name, Power: q.part.Heat, Air: air}
		w.Inside, w.Case = at(still)
		_, w.CaseLow = at(still * (1 + level95*stillPart))
		_, w.CaseHigh = at(still * (1 - level95*stillPart))
		sh.Heats = append(sh.Heats, w)
		c := func(k float64) string { return fmt.Sprintf("%.0f", k-273.15) }
		r.Because = fmt.Sprintf("%.1f W with no air through it: its case reaches %s degC (%s to %s) in still air at the bench; 85 degC is the most.", q.part.Heat, c(w.Case), c(w.CaseLow), c(w.CaseHigh))
		switch {
		case w.Case > hottest:
			r.Status = Fail
		case w.CaseHigh > hottest:
			r.Status = Doubtful
		}
		if r.Status != Pass {
			// Power that stays below, at the value.
			most := q.part.Heat * (hottest - air) / (w.Case - air)
			r.Cures = []Cure{{What: fmt.Sprintf("let air through %s: an inlet ahead and an outlet behind of at least its size", b.Name), Weakens: "the shell a little, and it costs the drag of the hole", Set: []string{b.Path() + ".closed=no"}},
				{What: fmt.Sprintf("turn it down to %.1f W at the bench, or blow on it there", most)}}
		}
		sh.add(r)
	}
}
