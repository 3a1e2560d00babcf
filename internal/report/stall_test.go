package report

import (
	"strings"
	"testing"

	"fledge/internal/aero"
	"fledge/internal/unit"
)

// The stall's page says what it costs to trim, where it begins and what it
// does, in sentences; a stop that comes first is not called a stall; a stall
// that was not found is not a number.
func TestStallPage(t *testing.T) {
	s := Stall{
		StallPoint: aero.StallPoint{Speed: 9, CLMax: 0.9, Untrimmed: 1, TrimCost: 0.1, Alpha: 0.2, Limit: "lift", Eta: 0.8, Tip: true, RollDamping: 0.1, DropsWing: true},
		Chord:      "wing",
		Spread:     []aero.StationLoad{{Eta: 0.2, Cl: 0.8, Start: 1, Room: 0.2}, {Eta: 0.8, Cl: 1, Start: 0.9, Room: -0.1}, {Eta: 0.8, Left: true}},
	}
	var body *StallJSON
	text := func(s Stall) string {
		// Two draws either side of what is nominal, 0.1 in highest lift.
		row, more, less := s.row(), s, s
		more.CLMax, more.Untrimmed, more.TrimCost, more.Speed = 1, 1.13, 0.13, 8.5
		less.CLMax, less.Untrimmed, less.TrimCost, less.Speed = 0.8, 0.87, 0.07, 9.5
		Doubt(&row, []stallRow{more.row(), less.row(), more.row(), less.row()})
		body = s.body(&row)
		d := &Doc{Title: "t", Sections: []Section{s.section(Subject{Units: unit.Metric}, &row)}}
		return d.Text()
	}
	got := text(s)
	for _, want := range []string{"9.0 m/s (8.5 to 9.5)", "0.10 (0.07 to 0.13)", "0.5 m/s (", "wing, 80", "is gone: pb/2V +0.10", "expect it to drop a", "-0.100"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	for _, line := range strings.Split(got, "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("wide: %s", line)
		}
	}
	if b := body; b == nil || !b.Tip || !b.Drops || float64(b.TrimCost.Low) >= 0.1 || float64(b.TrimCost.High) <= 0.1 {
		t.Errorf("%+v", b)
	}
	c := s
	c.Limit = "control"
	if got := text(c); !strings.Contains(got, "nearest to letting go") || !strings.Contains(got, "The elevator runs out") {
		t.Error(got)
	}
	c.Limit = "none found"
	if got := text(c); !strings.Contains(got, "No trimmed flight") || body != nil {
		t.Error(got)
	}
}
