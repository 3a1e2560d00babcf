package verdict

import (
	"math"

	"fledge/internal/assess"
	"fledge/internal/unit"
)

// weighed judges the scales against the parts list, the static margin as
// weighed, and the balance from side to side; none is asked when nothing was
// weighed and the list is even.
func (j *judged) weighed() {
	r, ac := j.r, j.r.Aircraft
	if r.Fit == nil {
		return
	}
	none := Limit{math.NaN(), math.NaN()}
	c := r.Fit.Scales
	y, ySigma, from := ac.Mass.CG.Y, 0.0, "by the parts list"
	if c != nil {
		f := Finding{ID: "weighing", Stage: "bench", Question: 2, Safety: true, Label: "weighed mass over the parts list's, less one", Dim: unit.Ratio, Limit: Limit{-0.2, 0.2}, Sources: []string{"our-choice"},
			Release: "find what the list lacks or has twice, then weigh again"}
		switch {
		case c.Why != "":
			f.Value, f.Status, f.Limit = assess.Quantity{Value: math.NaN(), Low: math.NaN(), High: math.NaN(), Unit: "1", Status: c.Why}, Unknown, none
			f.Because = "the weighing tells nothing: " + c.Why
			j.add(f)
			return
		default:
			rel := 1.645 * math.Hypot(c.MassSigma/c.Listed, c.ListedSigma*c.Mass/(c.Listed*c.Listed))
			f.Value = assess.Quantity{Value: c.Share, Low: c.Share - rel, High: c.Share + rel, Unit: "1"}
			f.Because = sayf("the scales show %s, the parts list says %s", unit.Format(c.Mass, unit.Mass, j.units), unit.Format(c.Listed, unit.Mass, j.units))
			if c.Wrong {
				f.Because += ": one of the two is wrong, and nothing that rests on them can be trusted"
			}
		}
		j.add(f)
		if np := r.Get(assess.NeutralX); np.Status == "" && !c.Wrong {
			at := ac.Mass.CG
			at.X = c.FlightX
			m := (np.Value - c.FlightX) / ac.Ref.Chord
			d := math.Hypot((np.High-np.Low)/2, 1.645*c.FlightXSigma) / ac.Ref.Chord
			j.add(Finding{ID: "weighed-balance", Stage: "bench", Question: 2, Safety: true, Label: "static margin as weighed", Dim: unit.Ratio, Limit: Limit{ac.Limits.StaticMarginMin, ac.Limits.StaticMarginMax}, Sources: []string{"faa-weight-balance", "nickel-wohlfahrt"}, Place: &at,
				Value:   assess.Quantity{Value: m, Low: m - d, High: m + d, Unit: "1"},
				Because: sayf("the scales put the balance point at %s, the parts list at %s; the neutral point is at %s", unit.Format(c.FlightX, unit.Length, j.units), j.say(r.Get(assess.BalanceX), unit.Length), j.say(np, unit.Length)),
				Release: j.rebalance(m, d)})
		}
		if c.HasY {
			y, ySigma, from = c.CG.Y, c.Sigma.Y, "on the scales"
		}
	}
	if math.Abs(y) > 0.05e-3 {
		most := r.Fit.MostSide
		at := ac.Mass.CG
		at.Y = y
		j.add(Finding{ID: "lateral-balance", Stage: "bench", Question: 2, Label: "balance point off the middle", Dim: unit.Length, Limit: Limit{-most, most}, Sources: []string{"our-choice"}, Place: &at,
			Value:   assess.Quantity{Value: y, Low: y - 1.645*ySigma, High: y + 1.645*ySigma, Unit: "m"},
			Because: sayf("%s it lies %s to the %s", from, unit.Format(math.Abs(y), unit.Length, j.units), map[bool]string{true: "right", false: "left"}[y > 0]),
			Release: "a little ballast in the lighter tip (fledge balance says how much)"})
	}
}

// rebalance says how far the balance point as weighed has to go so that a
// static margin m, known to d either way, lies inside the band with all its
// interval (in its middle, where the interval is wider than the band), and how
// far the battery for that: the mass times the way over the battery's mass.
func (j *judged) rebalance(m, d float64) string {
	const again = "move the battery or ballast as fledge balance lists, and weigh again"
	ac := j.r.Aircraft
	low, high := ac.Limits.StaticMarginMin+d, ac.Limits.StaticMarginMax-d
	if low > high {
		low = (ac.Limits.StaticMarginMin + ac.Limits.StaticMarginMax) / 2
		high = low
	}
	by := (math.Min(math.Max(m, low), high) - m) * ac.Ref.Chord // forward
	if math.IsNaN(by) || math.Abs(by) < 0.5e-3 {
		return again
	}
	way := "forward"
	if by < 0 {
		way, by = "aft", -by
	}
	say := "move the balance point " + unit.Format(by, unit.Length, j.units) + " " + way
	for i := range ac.Parts {
		if p := &ac.Parts[i]; p.Kind == "battery" && p.Movable && !p.Twin && p.Mass > 0 {
			far := by * ac.Mass.Total / p.Mass
			room := p.At.X - p.MinAt.X // forward
			if way == "aft" {
				room = p.MaxAt.X - p.At.X
			}
			if far > room {
				return say + ", more than " + p.Name + " alone can do in its room: parts or ballast too (fledge balance), and weigh again"
			}
			return say + ", as " + p.Name + " " + unit.Format(far, unit.Length, j.units) + " " + way + " does, and weigh again"
		}
	}
	return say + " by battery or ballast, and weigh again"
}
