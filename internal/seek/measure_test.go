package seek

import (
	"testing"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/odds"
)

// Only what is unknown and can be measured at home is named, largest first:
// what chance does at each launch is nobody's to measure.
func TestMeasureNextNamesIgnorance(t *testing.T) {
	in := func(path string, k doubt.Kind, how string, total float64, stands bool) odds.InputShare {
		return odds.InputShare{Input: doubt.Input{Path: path, Label: path, Kind: k, How: how}, Total: total, Stands: stands}
	}
	o := &odds.Outcome{Unknowns: []odds.InputShare{
		in("launch.throw.rates.p", doubt.Scatter, "practice throws", 0.5, true),
		in("launch.bungee.stretch", doubt.Ignorance, "tape", 0.4, true),
		in("factor.damping", doubt.Ignorance, "hardly at home", 0.3, true),
		in("factor.drag", doubt.Ignorance, "", 0.3, true),
		in("day.gust", doubt.Ignorance, "wind meter", 0.2, false),
		in("day.wind", doubt.Ignorance, "wind meter", 0.1, true),
		in("launch.bungee.hook.x", doubt.Ignorance, "ruler", 0.04, true),
	}}
	r := &assess.Results{Aircraft: &craft.Aircraft{}}
	r.Aircraft.Limits.LaunchOdds = 0.9
	r.Launch.Asked, r.Launch.Outcome = true, o
	r.Launch.Odds.Low = 0.7
	got := MeasureNext(r)
	if len(got) != 2 || got[0].Input != "launch.bungee.stretch" || got[1].Input != "day.wind" {
		t.Errorf("named %+v", got)
	}
	r.Launch.Odds.Low = 0.95
	if got := MeasureNext(r); got != nil {
		t.Errorf("sure odds hang on nothing: %+v", got)
	}
}
