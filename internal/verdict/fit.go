package verdict

import (
	"math"

	"fledge/internal/assess"
	"fledge/internal/unit"
)

// fit answers the first question: parts in their bays, distances kept, the
// motor's direction.
func (j *judged) fit() {
	sheet := j.r.Fit
	if sheet == nil || !sheet.Bays {
		j.ask("fit", "bench", 1, "parts in their places", "no bays are described")
	} else {
		s := sheet.Sum("inside.", "plug.", "through.", "clash.", "route.", "heat.")
		f := Finding{ID: "fit", Stage: "bench", Question: 1, Label: "room of the parts, tightest", Dim: unit.Length, Limit: atLeast(0), Sources: []string{"our-choice"},
			Value: assess.Quantity{Value: math.NaN(), Low: math.NaN(), High: math.NaN(), Unit: "m"}}
		if t := s.Tightest; t != nil {
			low, high := t.Interval()
			f.Value = assess.Quantity{Value: t.Room, Low: low, High: high, Unit: "m"}
			f.Because = t.Label + ": " + t.Because
			f.Place = t.At
		}
		switch {
		case s.Fails > 0:
			f.Status = Fail
		case s.Unknown > 0:
			f.Status = Unknown
		case s.Doubtful > 0:
			f.Status = Doubtful
		default:
			f.Status = Pass
		}
		if w := s.Worst; w != nil {
			f.Because, f.Place = w.Label+": "+w.Because, w.At
			f.Release = w.First()
			if f.Release == "" {
				f.Release = "give its size"
			}
			f.Release = w.Label + ": " + f.Release
		}
		if s.N > 0 {
			j.add(f)
		}
	}
	if sheet == nil {
		return
	}
	if s := sheet.Sum("apart."); s.N > 0 && sheet.Bays {
		f := Finding{ID: "clearances", Stage: "bench", Question: 1, Label: "distance beyond what is usual, least", Dim: unit.Length, Limit: atLeast(0), Sources: []string{"common-practice"}}
		t := s.Tightest
		low, high := t.Interval()
		f.Value = assess.Quantity{Value: t.Room, Low: low, High: high, Unit: "m"}
		f.Because, f.Place = t.Label+": "+t.Because, t.At
		if cure := t.First(); cure != "" {
			f.Release = t.Label + ": " + cure
		}
		j.add(f)
	}
	if s := sheet.Sum("motor-direction"); s.N > 0 {
		way := 1.0
		f := Finding{ID: "motor-direction", Stage: "bench", Question: 1, Safety: true, Label: "motor turns with the propeller (1) or against it (-1)", Unit: "1", Limit: atLeast(0), Caution: "propeller", Sources: []string{"our-choice"}, Because: "as wired"}
		if w := s.Worst; w != nil {
			way = -1
			f.Because, f.Release, f.Place = w.Because, w.First(), w.At
		}
		f.Value = assess.Quantity{Value: way, Low: way, High: way, Unit: "1"}
		j.add(f)
	}
}
