package build

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// Every leaf that is given is one that Leaves lists, in the same order; each
// path of Every can be read back by Get; the next item of a list can be set.
func TestEvery(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	b, ds := Parse("tern.yaml", text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	all, lists := Every(b)
	var given []string
	for _, l := range all {
		if l.Given() {
			given = append(given, l.Path)
		}
		if got, ds := Get(b, l.Path); ds.HasErrors() || got.Path != l.Path {
			t.Errorf("%s reads back as %q: %v", l.Path, got.Path, ds)
		}
	}
	var want []string
	for _, l := range Leaves(b) {
		want = append(want, l.Path)
	}
	slices.Sort(given)
	slices.Sort(want)
	if !slices.Equal(given, want) {
		t.Errorf("given leaves differ: %d and %d", len(given), len(want))
	}
	if len(all) < 2*len(given) {
		t.Errorf("%d leaves, %d of them given: the open ones are missing", len(all), len(given))
	}
	for _, l := range lists {
		if l.Path != "parts" {
			continue
		}
		if len(l.Items) != len(b.Parts) || len(l.Keys) < 5 {
			t.Errorf("parts: %d items, %d keys", len(l.Items), len(l.Keys))
		}
		if _, ds := Set(text, l.Next+".name", "tail weight"); ds.HasErrors() {
			t.Errorf("the next part cannot be named: %v", ds)
		}
	}
}

// The bounds of a leaf are those of the format.
func TestLeafBounds(t *testing.T) {
	for _, c := range []struct {
		path string
		want Bounds
	}{
		{"launch.throttle", Bounds{0, 1, false, false}},
		{"power.motor.limit", Bounds{0, math.Inf(1), true, true}},
		{"flight.bank", Bounds{0, 1.5708, false, true}},
		{"aeroplane.name", Bounds{Low: math.Inf(-1), High: math.Inf(1)}},
	} {
		l, ds := Get(&Build{}, c.path)
		if ds.HasErrors() {
			t.Errorf("%s: %v", c.path, ds)
			continue
		}
		if got := l.Bounds(); got != c.want {
			t.Errorf("%s: %v, want %v", c.path, got, c.want)
		}
	}
}
