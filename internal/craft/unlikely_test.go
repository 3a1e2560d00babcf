package craft

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/build"
)

// A motor, cell or idle current that no such part has is remarked on at its
// place, and used; what is twice or half the usual is not.
func TestUnlikely(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct{ path, value, code string }{
		{"power.motor.resistance", "1 mohm", "motor-resistance"},
		{"power.motor.resistance", "32 ohm", "motor-resistance"},
		{"power.motor.resistance", "16 mohm", ""},
		{"power.motor.idle_current", "30 A", "motor-idle"},
		{"power.motor.idle_current", "3 A", ""},
		{"power.battery.cell_resistance", "0.1 mohm", "cell-resistance"},
		{"power.battery.cell_resistance", "8 mohm", ""},
	} {
		edited, ds := build.Set(text, r.path, r.value)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		b, ds := build.Parse("tern.yaml", edited)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		ac, ds := New(b, nil)
		if ac == nil {
			t.Fatalf("%s = %s refused: %v", r.path, r.value, ds)
		}
		found := ""
		for _, d := range ds {
			if strings.Contains(d.Message, "than usual for its size") {
				found = d.Code
				if d.Span.Line == 0 || d.Hint == "" {
					t.Errorf("%s: %+v", r.path, d)
				}
			}
		}
		if found != r.code {
			t.Errorf("%s = %s: remark %q, want %q", r.path, r.value, found, r.code)
		}
	}
}
