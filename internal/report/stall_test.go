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
		Doubt:      aero.StallDoubt{Speed: 0.3, CLMax: 0.05, Untrimmed: 0.05, TrimCost: 0.02, Alpha: 0.02}, Chord: "wing",
		Spread: []aero.StationLoad{{Eta: 0.2, Cl: 0.8, Start: 1, Room: 0.2}, {Eta: 0.8, Cl: 1, Start: 0.9, Room: -0.1}, {Eta: 0.8, Left: true}},
	}
	text := func(s Stall) string {
		d := &Doc{Title: "t", Sections: []Section{s.section(Subject{Units: unit.Metric})}}
		return d.Text()
	}
	got := text(s)
	for _, want := range []string{"9.0 m/s (8.5 to 9.5)", "0.10 (0.07 to 0.13), 0.5 m/s of stall speed", "wing, 80 % of the half span", "is gone", "expect it to drop a", "-0.100"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	for _, line := range strings.Split(got, "\n") {
		if len([]rune(line)) > 80 {
			t.Errorf("wide: %s", line)
		}
	}
	if b := s.body(); b == nil || !b.Tip || !b.Drops || float64(b.TrimCost.Low) >= 0.1 || float64(b.TrimCost.High) <= 0.1 {
		t.Errorf("%+v", b)
	}
	c := s
	c.Limit = "control"
	if got := text(c); !strings.Contains(got, "nearest to letting go") || !strings.Contains(got, "The elevator runs out") {
		t.Error(got)
	}
	c.Limit = "none found"
	if got := text(c); !strings.Contains(got, "No trimmed flight") || c.body() != nil {
		t.Error(got)
	}
}
