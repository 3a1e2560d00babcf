package assess

import (
	"math"

	"fledge/internal/craft"
	"fledge/internal/fit"
)

// Ballast is the least mass at the places where it may go (the build's, else
// nose and tail) that takes the balance point to the nearer end of the band
// of the static margin, or, with sure, its whole interval inside. The list is
// empty when it is inside; own tells whether the places are the build's; why
// says what stands against it.
func (r *Results) Ballast(sure bool) (list []fit.Share, own bool, why string) {
	ac := r.Aircraft
	spots, most, own := BallastPlaces(ac)
	sm := r.Get(StaticMargin)
	if sm.Status != "" || math.IsNaN(sm.Value) {
		return nil, own, "no neutral point was found"
	}
	low, high := sm.Value, sm.Value
	if sure {
		low, high = sm.Low, sm.High
	}
	cg := ac.Mass.CG.X
	target := cg
	switch {
	case low < ac.Limits.StaticMarginMin:
		target = cg - (ac.Limits.StaticMarginMin-low)*ac.Ref.Chord
	case high > ac.Limits.StaticMarginMax:
		target = cg + (high-ac.Limits.StaticMarginMax)*ac.Ref.Chord
	default:
		return nil, own, ""
	}
	list, why = fit.Spread(ac.Mass.Total, cg, target, spots, most)
	return list, own, why
}

// BallastPlaces are where ballast may go and how much, kg (0: no limit): the
// build's places, own then being true, else nose and tail.
func BallastPlaces(ac *craft.Aircraft) (spots []fit.Spot, most []float64, own bool) {
	for _, s := range ac.Ballast {
		spots = append(spots, fit.Spot{Name: s.Name, X: s.At.X})
		most = append(most, s.Most)
	}
	if len(spots) > 0 {
		return spots, most, true
	}
	lo, hi := Ends(ac)
	return []fit.Spot{{Name: "nose", X: lo}, {Name: "tail", X: hi}}, []float64{0, 0}, false
}

// Ends is the foremost and the aftmost x of body and surfaces, m.
func Ends(ac *craft.Aircraft) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	see := func(x float64) { lo, hi = math.Min(lo, x), math.Max(hi, x) }
	for _, s := range ac.Body {
		see(s.X)
	}
	for i := range ac.Surfaces {
		for _, t := range ac.Surfaces[i].Stations {
			see(t.LE.X)
			see(t.LE.X + t.Chord)
		}
	}
	return lo, hi
}
