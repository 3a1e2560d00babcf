package build

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fledge/internal/diag"
)

func puffin(t testing.TB) []byte {
	t.Helper()
	raw, err := os.ReadFile("testdata/puffin.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// sameBuild compares two builds, places in the file apart.
func sameBuild(a, b *Build) string {
	return cmp.Diff(a, b, cmpopts.IgnoreTypes(diag.Span{}), cmpopts.EquateEmpty())
}

const little = `# a comment that must stay
fledge: 1   # format
aeroplane: {name: Wren}
surfaces:
  - name: wing  # the only one
    mirrored: true
    stations:
      - {x: 0 mm, y: 0 mm, chord: 180 mm}   # root
      - {x: 20 mm, y: 400 mm, chord: 120 mm,}
    # end of the wing
parts:
  - name: servo 2.1
    kind: servo
    mass: 9 g
  - {name: "battery", kind: battery, mass: '120 g'} # heavy
power:
  battery:
    cells:   # not known yet
day:
radio: []
`

func TestSet(t *testing.T) {
	for _, c := range []struct {
		path, value string
		old, new    string // the change as a replacement in little
	}{
		{"parts.battery.mass", "130 g weighed", "'120 g'", "130 g weighed"},
		{"surfaces.wing.stations[1].chord", "110 mm", "chord: 120 mm", "chord: 110 mm"},
		{"surfaces[0].mirrored", "false", "mirrored: true", "mirrored: false"},
		{`parts."servo 2.1".mass`, "10 g ± 1 g", "mass: 9 g", "mass: 10 g ± 1 g"},
		{"parts[0].mass", "10 g", "mass: 9 g", "mass: 10 g"},
		{"aeroplane.name", "Wren: the 2nd, {x}", "Wren", `"Wren: the 2nd, {x}"`},
		// keys that were not there, in a block and in brackets
		{"surfaces.wing.stations[0].twist", "1 deg", "chord: 180 mm}", "chord: 180 mm, twist: 1 deg}"},
		{"surfaces.wing.stations[1].twist", "1 deg", "chord: 120 mm,}", "chord: 120 mm, twist: 1 deg,}"},
		{"parts.battery.at.x", "150 mm", "'120 g'}", "'120 g', at: {x: 150 mm}}"},
		{`parts."servo 2.1".at.x`, "150 mm", "    mass: 9 g\n", "    mass: 9 g\n    at: {x: 150 mm}\n"},
		{"power.battery.cells", "4", "cells:   #", "cells: 4   #"},
		{"power.battery.capacity", "1800 mAh", "cells:   # not known yet\n", "cells:   # not known yet\n    capacity: 1800 mAh\n"},
		{"power.motor.kv", "1700 rpm/V", "cells:   # not known yet\n", "cells:   # not known yet\n  motor: {kv: 1700 rpm/V}\n"},
		{"launch.by", "hand", "radio: []\n", "radio: []\nlaunch: {by: hand}\n"},
		{"launch.bungee.stretch", "9 m", "radio: []\n", "radio: []\nlaunch:\n  bungee: {stretch: 9 m}\n"},
		{"launch.bungee.hook.x", "280 mm", "radio: []\n", "radio: []\nlaunch:\n  bungee:\n    hook: {x: 280 mm}\n"},
		{"launch.bungee.pull_test[0].pull", "9 N", "radio: []\n", "radio: []\nlaunch:\n  bungee:\n    pull_test: [{pull: 9 N}]\n"},
		{"day.wind", "3 m/s", "day:\n", "day: {wind: 3 m/s}\n"},
		{"radio[0].name", "video", "[]", "[{name: video}]"},
		{"parts[2].name", "ballast", "# heavy\n", "# heavy\n  - {name: ballast}\n"},
		{"surfaces.wing.stations[2].x", "30 mm", "chord: 120 mm,}\n", "chord: 120 mm,}\n      - {x: 30 mm}\n"},
		{"surfaces.wing.controls[0].name", "aileron", "chord: 120 mm,}\n", "chord: 120 mm,}\n    controls: [{name: aileron}]\n"},
	} {
		for _, form := range []string{"", "crlf", "bom", "no last line end"} {
			text := little
			want := strings.Replace(little, c.old, c.new, 1)
			if want == little {
				t.Fatalf("%s: nothing to replace", c.path)
			}
			switch form {
			case "crlf":
				text, want = strings.ReplaceAll(text, "\n", "\r\n"), strings.ReplaceAll(want, "\n", "\r\n")
			case "bom":
				text, want = "\ufeff"+text, "\ufeff"+want
			case "no last line end":
				text, want = strings.TrimSuffix(text, "\n"), strings.TrimSuffix(want, "\n")
			}
			got, l := Set([]byte(text), c.path, c.value)
			if len(l) > 0 {
				t.Errorf("%s=%s (%s): %s", c.path, c.value, form, l.Render(nil))
				continue
			}
			if d := cmp.Diff(want, string(got)); d != "" {
				t.Errorf("%s=%s (%s):\n%s", c.path, c.value, form, d)
			}
		}
	}
}

func TestSetRefuses(t *testing.T) {
	for _, c := range []struct{ path, value, code, at, hint string }{
		{"parts.batery.mass", "1 g", "bad-path", "--set:1:7", `did you mean "battery"?`},
		{"parts.battery.mas", "1 g", "unknown-key", "--set:1:15", `did you mean "mass"?`},
		{"part.battery.mass", "1 g", "unknown-key", "--set:1:1", `did you mean "parts"?`},
		{"parts.battery.mass", "1 mm", "wrong-unit", "--set:1:22", `write it like "38 g"`},
		{"parts.battery.mass", "0 g", "impossible", "--set:1:20", "it must be more than zero"},
		{"parts.battery.mass", "", "no-value", "--set:1:19", ""},
		{"parts.battery.mass", "1\ng", "not-text", "--set:1:20", ""},
		{"parts.battery.mass.x", "1 g", "bad-path", "--set:1:20", ""},
		{"parts.battery", "1 g", "bad-path", "--set:1:1", "below it: name, kind, mass, at, size, may_move, mirrored, price, round, lugs, lugs_may_go, plug, bend, bay, equipment, drag_area, heat"},
		{"parts[4].mass", "1 g", "bad-path", "--set:1:6", "its items are [0] to [1]; [2] adds one"},
		{"surfaces.wing.stations[x].mass", "1 g", "bad-path", "--set:1:23", `a path looks like "parts.battery.at.x" or "surfaces.wing.stations[1].twist"`},
		{"aeroplane[0]", "1 g", "bad-path", "--set:1:10", ""},
		{"", "1 g", "bad-path", "--set:1:1", `a path looks like "parts.battery.at.x" or "surfaces.wing.stations[1].twist"`},
		{`parts."battery`, "1 g", "bad-path", "--set:1:7", `a path looks like "parts.battery.at.x" or "surfaces.wing.stations[1].twist"`},
		{"power.place", "tracter", "unknown-word", "--set:1:13", `did you mean "tractor"?`},
		{"launch.motor_delay", "later", "bad-delay", "--set:1:20", `write "0.6 s after release", "before release" or "off"`},
	} {
		got, l := Set([]byte(little), c.path, c.value)
		if string(got) != little || len(l) != 1 {
			t.Errorf("%s=%q: changed or %d diagnostics: %v", c.path, c.value, len(l), l)
			continue
		}
		if l[0].Code != c.code || l[0].Span.String() != c.at || l[0].Hint != c.hint {
			t.Errorf("%s=%q: %s at %s %q (%s)", c.path, c.value, l[0].Code, l[0].Span, l[0].Message, l[0].Hint)
		}
	}
	if _, l := ParseSetting("parts.battery"); !l.HasErrors() {
		t.Error("a setting without = was taken")
	}
	s, l := ParseSetting(`parts."a=b".mass = 3 g`)
	if l.HasErrors() || s.Path != `parts."a=b".mass` || s.Value != "3 g" {
		t.Errorf("%+v %v", s, l)
	}
	if got, l := SetAll([]byte(little), []Setting{{"day.wind", "3 m/s"}, {"day.gust", "5 g"}}); string(got) != little || !l.HasErrors() || l[0].Span.Line != 2 {
		t.Errorf("half of the settings were applied: %v", l)
	}
}

// Every scalar of the sample can be found, read, replaced by itself and by
// another of its kind, and nothing else changes.
func TestSetEveryPath(t *testing.T) {
	text := puffin(t)
	b, l := Parse("puffin.yaml", text)
	if len(l) > 0 {
		t.Fatal(l.Render(nil))
	}
	leaves := Leaves(b)
	if len(leaves) < 140 {
		t.Fatalf("only %d scalars found", len(leaves))
	}
	for _, leaf := range leaves {
		got, l := Get(b, leaf.Path)
		if l.HasErrors() || got.Text() != leaf.Text() {
			t.Errorf("Get(%s): %v", leaf.Path, l)
		}
		same, l := Set(text, leaf.Path, leaf.Text())
		if len(l) > 0 || !bytes.Equal(same, text) {
			t.Errorf("setting %s to itself: %v\n%s", leaf.Path, l, cmp.Diff(string(text), string(same)))
		}
		if _, ok := leaf.Any.(Value); ok {
			changed, l := Set(text, leaf.Path, leaf.Text()+" ")
			if len(l) > 0 || !bytes.Equal(changed, text) {
				t.Errorf("%s with a space behind: %v", leaf.Path, l)
			}
		}
	}
}

func TestPrintIsParsedBack(t *testing.T) {
	for _, text := range []string{string(puffin(t)), little,
		"fledge: 1\naeroplane: {name: 'a # b: c', note: \"two\\nlines\\t\\\"x\\\"\"}\nsurfaces: [{name: \"~\", stations: [{x: 0 m, chord: 1 m}, {x: 0 m, y: -1 m, chord: 1 m}]}]\nparts: [{name: '- x', may_move: {x: 120 to 200 mm}}]\nlaunch: {motor_delay: 0.3 s before release}\n",
		"fledge: 1\nsurfaces: [{name: w, stations: [{x: 0 m, chord: 1 m}, {x: 0 m, y: 1 m, chord: 1 m}]}]\nlaunch: {motor_delay: off}\n",
		"fledge: 1\nsurfaces: [{name: w, stations: [{x: 0 m, chord: 1 m}, {x: 0 m, y: 1 m, chord: 1 m}]}]\nlaunch: {motor_delay: before release}\n",
		"fledge: 1\nsurfaces: [{name: w, stations: [{x: 0 m, chord: 1 m}, {x: 0 m, y: 1 m, chord: 1 m}]}]\nlaunch: {motor_delay: 0.6 s ± 0.1 s}\n",
	} {
		a, l := Parse("a", []byte(text))
		if l.HasErrors() {
			t.Fatal(l.Render(nil))
		}
		printed := Print(a)
		b, l := Parse("b", printed)
		if l.HasErrors() {
			t.Fatalf("%s\n%s", printed, l.Render(nil))
		}
		if d := sameBuild(a, b); d != "" {
			t.Errorf("%s\n%s", printed, d)
		}
		if again := Print(b); !bytes.Equal(again, printed) {
			t.Errorf("printed twice differs:\n%s", cmp.Diff(string(printed), string(again)))
		}
	}
}

// Random edits, one after the other, on a file with comments: each changes
// what it says and keeps every comment.
func TestSetProperty(t *testing.T) {
	paths := []struct{ path, unit string }{
		{"parts.battery.mass", "g"}, {"parts.battery.at.x", "mm"}, {`parts."servo 2.1".at.z`, "mm"}, {"surfaces.wing.stations[1].twist", "deg"},
		{"power.battery.capacity", "mAh"}, {"power.motor.kv", "rpm/V"}, {"launch.bungee.hook.x", "mm"}, {"launch.bungee.stretch", "m"},
		{"launch.held.height", "m"}, {"day.wind", "m/s"}, {"limits.takeoff_mass", "kg"}, {"trial.mass", "g"}, {"parts.battery.size.x", "mm"},
		{"power.wiring.length", "mm"}, {"flight.cruise", "km/h"}, {"launch.bungee.pull_test[0].pull", "N"},
	}
	comments := strings.Count(little, "#")
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(little)
		want := map[string]string{}
		for range rapid.IntRange(1, 12).Draw(t, "edits") {
			p := rapid.SampledFrom(paths).Draw(t, "path")
			value := fmt.Sprintf("%d %s", rapid.IntRange(1, 30).Draw(t, "n"), p.unit)
			if rapid.Bool().Draw(t, "word") {
				value += " ± 5 % measured"
			}
			var l diag.List
			text, l = Set(text, p.path, value)
			if l.HasErrors() {
				t.Fatal(l.Render(nil))
			}
			want[p.path] = value
		}
		b, _ := Parse("", text)
		for path, value := range want {
			if got, l := Get(b, path); l.HasErrors() || got.Text() != value {
				t.Fatalf("%s is %q, want %q\n%s", path, got.Text(), value, text)
			}
		}
		if strings.Count(string(text), "#") != comments {
			t.Fatalf("comments lost:\n%s", text)
		}
	})
}
