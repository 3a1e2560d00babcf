package seek

import (
	"strings"

	"fledge/internal/assess"
	"fledge/internal/doubt"
	"fledge/internal/verdict"
)

// Measure is one thing to measure next.
type Measure = verdict.Measure

// MeasureNext lists what the doubt in the launch odds hangs on, largest share
// first: total effects above 5 % of the variance of the odds over worlds
// (reference flight 7.10) that stand out of chance, at most five, of what can be
// measured at home.
func MeasureNext(r *assess.Results) []Measure {
	if !r.Launch.Asked || r.Launch.Outcome == nil || r.Launch.Odds.Low >= r.Aircraft.Limits.LaunchOdds {
		return nil // nothing hangs on it
	}
	var out []Measure
	for _, u := range r.Launch.Outcome.Unknowns {
		if u.Input.Kind != doubt.Ignorance || !u.Stands || u.Total < 0.05 || u.Input.How == "" || strings.HasPrefix(u.Input.How, "hardly") {
			continue
		}
		out = append(out, Measure{Input: u.Input.Path, Label: u.Input.Label, How: u.Input.How, Share: u.Total})
		if len(out) == 5 {
			break
		}
	}
	return out
}
