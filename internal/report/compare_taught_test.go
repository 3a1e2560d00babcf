package report

import (
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/craft"
)

// Columns that fly with learned factors say so, each with its letter.
func TestCompareSaysWhatWasTaught(t *testing.T) {
	plain := &craft.Aircraft{Name: "Plain"}
	odd := &craft.Aircraft{Name: "Odd", Unlearned: []string{"what was learned of the propeller stays behind: its pitch is another"}}
	p := Comparison{Columns: []Compared{
		{Path: "a.yaml", Checked: Checked{Results: &assess.Results{Aircraft: plain}}},
		{Path: "b.yaml", Checked: Checked{Results: &assess.Results{Aircraft: odd}}},
	}}
	text := strings.Join(strings.Fields(Compare(p).Text()), " ")
	if !strings.Contains(text, "B: what was learned of the propeller stays behind") || strings.Contains(text, "A: what") {
		t.Errorf("%s", text)
	}
}
