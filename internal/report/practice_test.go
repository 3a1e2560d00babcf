package report

import (
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// A hand launch in doubt is first tried without the motor: what to do, what to
// read, how to type it; a sure one or a bungee is not.
func TestPracticeThrow(t *testing.T) {
	page := func(by string, status verdict.Status, units unit.System) string {
		r := &assess.Results{Aircraft: &craft.Aircraft{Name: "Plover"}}
		r.Aircraft.Launch.Throw.Speed = 8
		r.Launch.By, r.Launch.Asked = by, true
		r.Numbers[assess.GlideSpeed] = assess.Quantity{Value: 9, Low: 8.5, High: 9.6, Unit: "m/s"}
		r.Numbers[assess.StallSpeed] = assess.Quantity{Value: 7, Low: 6.5, High: 7.6, Unit: "m/s"}
		r.Numbers[assess.GlideRatio] = assess.Quantity{Value: 10, Low: 9, High: 11, Unit: "1"}
		p := Launched{Subject: Subject{Results: r, Units: units, Verdict: verdict.Verdict{Findings: []verdict.Finding{{ID: "launch-odds", Status: status}}}}}
		d := &Doc{Sections: []Section{p.practice()}}
		d.told(units, r.Slowest)
		return strings.Join(strings.Fields(d.Text()), " ")
	}
	got := page("hand", verdict.Doubtful, unit.Metric)
	for _, want := range []string{
		"Over long grass, into the wind, propeller off", "9.0 m/s (8.5 to 9.6)", "glides some 15.0 m from shoulder height (1.5 m",
		`--set "launch.throw.speed=8.0 m/s ± 1 m/s"`, `--reading "glide_speed=9 m/s sink=0.9 m/s"`, `--outcome "stall or departure"`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("not said: %s\n%s", want, got)
		}
	}
	if got := page("hand", verdict.Fail, unit.Imperial); !strings.Contains(got, "20.1 mph (19.0 to 21.5)") || !strings.Contains(got, `launch.throw.speed=8.0 m/s`) {
		t.Errorf("in imperial units: %s", got)
	}
	for _, none := range []string{page("hand", verdict.Pass, unit.Metric), page("bungee", verdict.Fail, unit.Metric)} {
		if strings.TrimSpace(none) != "" {
			t.Errorf("advice nobody needs: %s", none)
		}
	}
}

// A remedy that makes another safety question fail is shown with what it
// spoils, by its letter.
func TestRemedySpoils(t *testing.T) {
	f := verdict.Finding{
		ID: "balance", Label: "static margin", Safety: true, Status: verdict.Fail, Dim: unit.Ratio, Limit: verdict.Limit{Min: 0.05, Max: 0.25},
		Value: assess.Quantity{Value: 0.02, Low: 0.01, High: 0.03, Unit: "1"},
		Remedies: []verdict.Remedy{
			{Say: "battery 20 mm forward", Verified: true, StatusAfter: verdict.Pass, After: assess.Quantity{Value: 0.09, Low: 0.08, High: 0.1, Unit: "1"}},
			{Say: "40 g of lead in the nose", Verified: true, StatusAfter: verdict.Pass, After: assess.Quantity{Value: 0.09, Low: 0.08, High: 0.1, Unit: "1"}, Spoils: []string{"take-off mass", "launch odds"}},
		},
	}
	c := Checked{Results: &assess.Results{Aircraft: &craft.Aircraft{}}, Verdict: verdict.Verdict{Findings: []verdict.Finding{f}}}
	got := strings.Join(strings.Fields((&Doc{Sections: []Section{c.remedies()}}).Text()), " ")
	for _, want := range []string{"any one of:", "a battery 20 mm forward", "b 40 g of lead in the nose", "verified, but see below", "b makes another safety question fail: take-off mass; launch odds"} {
		if !strings.Contains(got, want) {
			t.Errorf("not said: %s\n%s", want, got)
		}
	}
	if strings.Contains(got, "a makes another") {
		t.Error("what spoils nothing is blamed")
	}
}
