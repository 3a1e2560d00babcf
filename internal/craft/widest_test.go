package craft

import (
	"os"
	"strings"
	"testing"

	"fledge/internal/build"
)

// A place or an angle without bounds of its own is not doubted past what a
// model can be: a located error, in people's units.
func TestImpossiblePlaces(t *testing.T) {
	text, err := os.ReadFile("../../examples/swift.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct{ set, want string }{
		{"surfaces.wing.stations[1].twist=0 deg ± 400 deg", "a ± of more than 60.0 deg is no measurement"},
		{"surfaces.wing.stations[1].x=190 mm ± 3 m", "a ± of more than 500 mm is no measurement"},
		{"surfaces.wing.controls.elevon.trim=2 deg ± 200 deg", "a ± of more than 60.0 deg"},
		{"parts.battery.at.x=46 mm ± 720 mm", "a ± of more than 500 mm"},
		{"parts.battery.at.x=46 mm ± 40 mm", ""},
		{"surfaces.wing.stations[1].twist=0 deg ± 5 deg", ""},
	} {
		s, ds := build.ParseSetting(k.set)
		edited, more := build.Set(text, s.Path, s.Value)
		b, read := build.Parse("swift.yaml", edited)
		if ds.HasErrors() || more.HasErrors() || read.HasErrors() {
			t.Fatalf("%s: %v %v %v", k.set, ds, more, read)
		}
		_, found := New(b, nil)
		say := ""
		for _, d := range found {
			say += d.Message
		}
		if found.HasErrors() != (k.want != "") || !strings.Contains(say, k.want) {
			t.Errorf("%s: %q, want %q", k.set, say, k.want)
		}
	}
}
