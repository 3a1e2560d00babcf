package build

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

func TestParseSample(t *testing.T) {
	b, l := Parse("puffin.yaml", puffin(t))
	if len(l) > 0 {
		t.Fatal(l.Render(nil))
	}
	for _, c := range []struct {
		path   string
		si     float64
		sigma  float64
		word   unit.Word
		at     string
		length int
	}{
		{"surfaces.wing.stations[0].chord", 0.19, -1, unit.Measured, "puffin.yaml:10:47", 15},
		{"surfaces.wing.stations[2].twist", -0.5 * math.Pi / 180, -1, "", "puffin.yaml:12:63", 8},
		{"surfaces.wing.controls.aileron.chord_share", 0.24, -1, "", "puffin.yaml:14:64", 4},
		{"parts.battery.mass", 0.182, 0.0015, "", "puffin.yaml:33:42", 11},
		{"parts.wing shell.size.y", 0.9, -1, "", "puffin.yaml:29:110", 6},
		{"power.motor.kv", 1700 * 2 * math.Pi / 60, -1, unit.Label, "puffin.yaml:38:28", 16},
		{"power.bench[0].pull", 11.2, -1, "", "puffin.yaml:42:59", 6},
		{"launch.bungee.stretch", 9, 0.25, "", "puffin.yaml:50:14", 11},
		{"day.pressure", 101300, -1, "", "puffin.yaml:55:83", 8},
		{"limits.launch_odds", 0.9, -1, "", "puffin.yaml:56:23", 4},
		{`claims.top speed.value`, 215 / 3.6, -1, "", "puffin.yaml:58:30", 8},
	} {
		leaf, l := Get(b, c.path)
		if l.HasErrors() {
			t.Errorf("%s: %v", c.path, l)
			continue
		}
		v := leaf.Any.(Value)
		if !v.Given || math.Abs(v.Value-c.si) > 1e-15*math.Abs(c.si) || v.Word != c.word || v.Stated != (c.sigma >= 0) || v.Stated && math.Abs(v.Sigma-c.sigma) > 1e-15 {
			t.Errorf("%s: %+v", c.path, v)
		}
		if v.Span.String() != c.at || v.Span.Len != c.length {
			t.Errorf("%s at %s length %d, want %s length %d", c.path, v.Span, v.Span.Len, c.at, c.length)
		}
	}
	for _, leaf := range Leaves(b) {
		if got := under(string(puffin(t)), leaf.Span()); got != fmt.Sprintf("%d:%s", leaf.Span().Line, leaf.Text()) {
			t.Errorf("%s: the span covers %q", leaf.Path, got)
		}
	}
	d := b.Launch.MotorDelay
	if d.Value.Value != 0.6 || d.Sigma != 0.075 || d.After != "release" || d.Off || d.Before {
		t.Errorf("%+v", d)
	}
	if m := b.Parts[4].MayMove.X; m.Low.Value != 0.12 || m.High.Value != 0.2 || !m.Given {
		t.Errorf("%+v", m)
	}
	if b.Surfaces[0].Controls[0].Trim.Given || b.Radio != nil || !b.Surfaces[1].Mirrored.On || b.Power.Battery.Cells.N != 4 {
		t.Error("given, flags or counts")
	}
	if a := Attachments(b); len(a) != 1 || a[0].Path != "sections/tip.txt" || a[0].Key != "surfaces.wing.stations[2].section" {
		t.Errorf("%+v", a)
	}
}

// sound is a build without faults; each bad row replaces one piece of it.
const sound = `fledge: 1
aeroplane: {name: Wren}
surfaces:
  - name: wing
    mirrored: true
    stations:
      - {x: 0 mm, y: 0 mm, chord: 180 mm, twist: 1 deg, section: NACA 2409}
      - {x: 20 mm, y: 400 mm, chord: 120 mm}
    controls:
      - {name: aileron, from: 200 mm, to: 380 mm, chord_share: 25 %, moves: roll}
body: {stations: [{x: 0 mm, width: 10 mm}, {x: 300 mm, width: 40 mm}]}
parts:
  - {name: motor, kind: motor, mass: 60 g, at: {x: 10 mm}}
  - {name: battery, kind: battery, mass: 120 g, at: {x: 90 mm}, may_move: {x: 60 mm to 120 mm}}
  - {name: servo, kind: servo, mass: 9 g}
linkages:
  - {control: aileron, servo: servo, torque: 2 kg cm}
power:
  battery: {part: battery, cells: 3, capacity: 1300 mAh label}
  motor: {part: motor, kv: 1800 rpm/V}
  propeller: {diameter: 6 in, pitch: 4 in, blades: 2}
launch:
  by: bungee
  bungee:
    pull_test: [{stretch: 2 m, pull: 9 N}, {stretch: 6 m, pull: 24 N}]
  motor_delay: 0.6 s after release
day: {wind: 3 m/s, gust: 5 m/s, surface: short grass}
claims:
  - {what: top speed, value: 150 km/h}
`

func TestParseBad(t *testing.T) {
	if _, l := Parse("f", []byte(sound)); len(l) > 0 {
		t.Fatal(l.Render(func(string) []byte { return []byte(sound) }))
	}
	for _, c := range []struct{ old, new, code, under, hint string }{
		{"fledge: 1\n", "fledge: 2\n", "version", "1:2", "this Fledge reads formats up to 1: use a newer Fledge"},
		{"fledge: 1\n", "fledge: one\n", "not-whole", "1:one", ""},
		{"fledge: 1\n", "", "version", "1:a", `make "fledge: 1" the first line`},
		{"twist:", "twst:", "unknown-key", "7:twst", `did you mean "twist"?`},
		{"day: {", "day: {kv: 3, ", "unknown-key", "27:kv", `"kv" belongs under power.motor`},
		{"chord: 180 mm", "chord: -180 mm", "impossible", "7:-180 mm", "it must be more than zero"},
		{"chord: 180 mm", "chord: 0 mm", "impossible", "7:0 mm", "it must be more than zero"},
		{"chord: 180 mm, ", "", "missing", "7:0 mm", `add "chord:"`},
		{"chord: 180 mm", "chord: 180", "no-unit", "7:180", `write it like "780 mm"`},
		{"chord: 180 mm", "chord: 180 g", "wrong-unit", "7:g", `write it like "780 mm"`},
		{"chord: 180 mm", "chord: '180 g'", "wrong-unit", "7:g", `write it like "780 mm"`},
		{"chord: 180 mm", `chord: "180 g"`, "wrong-unit", "7:g", `write it like "780 mm"`},
		{"chord: 180 mm", "chord: [1, 2]", "wrong-kind", "7:[", ""},
		{"chord: 180 mm", "chord: .nan", "no-number", "7:.nan", "leave the key out when the value is not known"},
		{"chord: 180 mm", "chord: 1e300 m", "out-of-range", "7:1e300 m", "check the unit"},
		{"twist: 1 deg", "twist: 100 deg", "impossible", "7:100 deg", "it must be from -60.0 deg to 60.0 deg"},
		{"y: 400 mm", "y: 0 mm", "crossing", "8:0 mm", "each station lies farther out than the one before"},
		{"y: 0 mm", "y: 500 mm", "crossing", "8:400 mm", "order the stations from root to tip"},
		{"y: 0 mm", "y: -5 mm", "impossible", "7:-5 mm", "a mirrored surface is given by its right half: y from 0 upwards"},
		{"from: 200 mm", "from: 390 mm", "impossible", "10:390 mm", `"from" is the inner end, "to" the outer one`},
		{"to: 380 mm", "to: 480 mm", "impossible", "10:480 mm", "wing reaches from 0 mm to 400 mm"},
		{"25 %", "100 %", "impossible", "10:100 %", "it must lie between 0 and 1"},
		{"25 %", "0", "impossible", "10:0", "it must lie between 0 and 1"},
		{"moves: roll", "moves: rool", "unknown-word", "10:rool", `did you mean "roll"?`},
		{"x: 300 mm, width", "x: 0 mm, width", "crossing", "11:0 mm", "order the stations from nose to tail"},
		{"mass: 60 g", "mass: 0 g", "impossible", "13:0 g", "it must be more than zero"},
		{"mass: 60 g", "mass: -60 g", "impossible", "13:-60 g", "it must be more than zero"},
		{"mass: 60 g", "mass: NaN g", "no-number", "13:NaN g", "leave the key out when the value is not known"},
		{"mass: 60 g", "mass: 60 g, mass: 61 g", "duplicate-key", "13:mass", "keep one of them"},
		{"kind: motor", "kind: engine", "unknown-word", "13:engine", "one of: structure, motor, controller, battery, propeller, servo, receiver, autopilot, satellite receiver, compass, camera, video transmitter, antenna, wiring, ballast, repair, tape, other"},
		{"kind: motor", "kind: servo", "wrong-part", "20:motor", "its kind should be motor"},
		{"name: wing\n", "name: wing\n    stations: [{x: 0 m, chord: 1 m}, {x: 0 m, y: 1 m, chord: 1 m}]\n  - name: wing\n", "duplicate-name", "6:wing", "names address the items, so each needs its own"},
		{"name: aileron", "name: wing", "unknown-control", "17:aileron", "controls: wing"},
		{"{name: motor, kind: motor, mass: 60 g, at: {x: 10 mm}}", "{name: motor, mass: 60 g}\n  - {kind: other}", "missing", "14:{", `add "name:"`},
		{"at: {x: 90 mm}", "at: {x: 190 mm}", "impossible", "14:190 mm", "it stands outside the room it may move in: 60 mm to 120 mm"},
		{"60 mm to 120 mm", "60 mm", "no-range", "14:60 mm", `write it as "120 mm to 200 mm"`},
		{"60 mm to 120 mm", "100 mm to 60 mm", "out-of-range", "14:100 mm to 60 mm", "write the lower value first"},
		{"control: aileron", "control: ailerons", "unknown-control", "17:ailerons", `did you mean "aileron"?`},
		{"part: battery", "part: batery", "unknown-part", "19:batery", `did you mean "battery"?`},
		{"part: battery", "part: pack", "unknown-part", "19:pack", `did you mean "battery"?`},
		{"cells: 3", "cells: 0", "impossible", "19:0", "it must be from 1 to 24"},
		{"cells: 3", "cells: 3.5", "not-whole", "19:3.5", "write a number without unit, point or words"},
		{"blades: 2", "blades: 7", "impossible", "21:7", "it must be from 1 to 6"},
		{"pitch: 4 in", "pitch: 4 m", "impossible", "21:4 m", "check the units of diameter and pitch"},
		{"by: bungee", "by: bungy", "unknown-word", "23:bungy", `did you mean "bungee"?`},
		{"stretch: 6 m", "stretch: 1 m", "impossible", "25:1 m", "order the rows by stretch, each once"},
		{"pull: 24 N", "pull: 4 N", "impossible", "25:4 N", "rubber pulls harder the farther it is stretched: read the scale again"},
		{"pull: 24 N", "pull: 2.4 kg", "wrong-unit", "25:kg", `a pull read off a scale is written "2.4 kgf"`},
		{"0.6 s after release", "soon", "bad-delay", "26:soon", `write "0.6 s after release", "before release" or "off"`},
		{"0.6 s after release", "0.6 m after release", "wrong-unit", "26:m", `write it like "0.6 s"`},
		{"gust: 5 m/s", "gust: 2 m/s", "impossible", "27:2 m/s", "a gust is the peak speed, not what comes on top of the mean wind"},
		{"gust: 5 m/s", "gust:", "no-value", "27:,", "give it a value or delete the key"},
		{"150 km/h", "150 kmph", "unknown-unit", "29:kmph", `did you mean "km/h"?`},
		{"NACA 2409", "../../tip.txt", "outside", "7:../../tip.txt", "put the file beside the build and name it relative to it, with forward slashes"},
		{"NACA 2409", "/etc/passwd", "outside", "7:/etc/passwd", "put the file beside the build and name it relative to it, with forward slashes"},
		{"NACA 2409", `a\b.txt`, "outside", "7:a\\b.txt", "put the file beside the build and name it relative to it, with forward slashes"},
		{"NACA 2409", "C:/tip.txt", "outside", "7:C:/tip.txt", "put the file beside the build and name it relative to it, with forward slashes"},
		{"{name: Wren}", "&a {name: Wren}", "alias", "2:&", "remove it; a text that starts with & or * needs quotes"},
		{"{name: Wren}", "{name: !!binary Wren}", "tag", "2:!!bi", "remove it; a text that starts with ! needs quotes"},
		{"{name: Wren}", "Wren", "wrong-kind", "2:Wren", "known here: name, datum, note"},
		{"{name: Wren}", "{name: ''}", "no-value", "2:''", "give it a value or delete the key"},
		{"mirrored: true", "mirrored: perhaps", "not-a-flag", "5:perhaps", "write true or false"},
		{"aeroplane: {name: Wren}", "aeroplane: {name: Wren\n", "syntax", "4::", ""},
		{"aeroplane: {name: Wren}", "aeroplane:\n\tname: Wren", "syntax", "3:\t", "indent with spaces, not tabs"},
		{"aeroplane: {name: Wren}", "aeroplane: name: Wren", "syntax", "2::", `a second ": " on one line; put a text that holds ": " into quotes`},
		{"body:", "---\nbody:", "syntax", "11:---", `one aeroplane per file: remove the line "---"`},
	} {
		bad := strings.Replace(sound, c.old, c.new, 1)
		if bad == sound {
			t.Fatalf("%q is not in the text", c.old)
		}
		_, l := Parse("f", []byte(bad))
		if len(l) != 1 {
			t.Errorf("%q for %q: %d diagnostics\n%s", c.new, c.old, len(l), l.Render(nil))
			continue
		}
		if l[0].Code != c.code || under(bad, l[0].Span) != c.under || c.hint != "" && l[0].Hint != c.hint {
			t.Errorf("%q for %q:\n%s[%s]", c.new, c.old, l.Render(func(string) []byte { return []byte(bad) }), l[0].Code)
		}
	}
}

// under is "line:text": the line of a span and the text it covers.
func under(text string, s diag.Span) string {
	line := []rune(strings.Split(text, "\n")[s.Line-1])
	from := min(s.Col-1, len(line))
	return fmt.Sprintf("%d:%s", s.Line, string(line[from:min(from+s.Len, len(line))]))
}

// All problems in one pass, in the order of the file.
func TestParseManyProblems(t *testing.T) {
	bad := strings.NewReplacer("twist:", "twst:", "mass: 60 g", "mass: 0 g", "cells: 3", "cells: x", "by: bungee", "by: magic").Replace(sound)
	_, l := Parse("f", []byte(bad))
	var lines []int
	for _, d := range l {
		lines = append(lines, d.Span.Line)
	}
	if fmt.Sprint(lines) != "[7 13 19 23]" {
		t.Errorf("%v\n%s", lines, l.Render(nil))
	}
}

func bomb() string {
	var b strings.Builder
	b.WriteString("fledge: 1\na0: &a0 [x, x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < 9; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [*a%d, *a%d, *a%d, *a%d, *a%d, *a%d, *a%d, *a%d, *a%d, *a%d]\n", i, i, i-1, i-1, i-1, i-1, i-1, i-1, i-1, i-1, i-1, i-1)
	}
	return b.String()
}

func TestHostile(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		code string
		at   string
	}{
		"empty":             {"", "empty", "f:1:1"},
		"only blanks":       {" \n\n", "empty", "f:1:1"},
		"only comments":     {"# nothing\n", "", ""},
		"10 MB":             {strings.Repeat("# padding\n", 1<<20), "too-large", "f"},
		"zero bytes":        {"fledge: 1\na\x00b\n", "not-text", "f:2:2"},
		"picture":           {"\x89PNG\r\n\x1a\n\x00\x00", "not-text", "f:1:1"},
		"latin-1":           {"fledge: 1\nname: M\xfcller\n", "not-text", "f:2:8"},
		"utf-16":            {"\xff\xfef\x00l\x00", "not-text", "f:1:1"},
		"old Mac":           {"fledge: 1\raeroplane: {}\r", "not-text", "f:1:10"},
		"alias bomb":        {bomb(), "alias", "f:2:5"},
		"merge key":         {"fledge: 1\nday: &d {wind: 1 m/s}\nflight:\n  <<: *d\n", "alias", "f:2:6"},
		"self reference":    {"fledge: 1\nday: &d\n  wind: *d\n", "", ""},
		"deep nesting":      {"fledge: 1\nday: " + strings.Repeat("[", 20000), "syntax", ""},
		"deep but closed":   {"fledge: 1\nday: " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), "wrong-kind", ""},
		"a list":            {"- 1\n- 2\n", "not-a-build", "f:1:1"},
		"a word":            {"hello\n", "not-a-build", "f:1:1"},
		"prose":             {"Dear Sir: I write: to you\n", "syntax", "f:1:18"},
		"key is a list":     {"fledge: 1\n? [a, b]\n: 3\n", "syntax", ""},
		"long key":          {"fledge: 1\n" + strings.Repeat("k", 900) + ": 1\n", "unknown-key", "f:2:1"},
		"many unknown keys": {"fledge: 1\n" + manyKeys(20000), "unknown-key", "f:2:1"},
		"long value":        {"fledge: 1\naeroplane: {name: " + strings.Repeat("n", 100000) + "}\n", "too-long", "f:2:19"},
		"long quantity":     {"fledge: 1\nday: {wind: " + strings.Repeat("9", 100000) + " m/s}\n", "too-long", "f:2:13"},
		"version overflow":  {"fledge: 99999999999999999999\n", "not-whole", "f:1:9"},
	} {
		b, l := Parse("f", []byte(c.text))
		if !l.HasErrors() {
			t.Errorf("%s: taken", name)
			continue
		}
		if c.code != "" && l[0].Code != c.code || c.at != "" && l[0].Span.String() != c.at {
			t.Errorf("%s: %s at %s: %s", name, l[0].Code, l[0].Span, l[0].Message)
		}
		_ = b
		for _, line := range strings.Split(l.Render(func(string) []byte { return []byte(c.text) }), "\n") {
			if utf8.RuneCountInString(line) > diag.Width && strings.Contains(strings.TrimSpace(line), " ") && !strings.Contains(line, "…") {
				t.Errorf("%s: a line of %d characters: %.100q", name, utf8.RuneCountInString(line), line)
			}
		}
	}
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "key%d: 1\n", i)
	}
	return b.String()
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sound))
	f.Add([]byte(little))
	f.Add(puffin(f))
	f.Add([]byte("fledge: 1\nday: {wind: 3 m/s ± 1 m/s, metar: |\n  x\n  y\n}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		b, l := Parse("f", text)
		l.Render(func(string) []byte { return text })
		lines := bytes.Count(text, []byte("\n")) + 1
		for _, d := range l {
			if d.Message == "" || d.Span.Line > lines || d.Span.Line < 1 || d.Span.Col < 1 {
				t.Fatalf("%+v", d)
			}
		}
		if b == nil || l.HasErrors() {
			return
		}
		printed := Print(b)
		c, l := Parse("printed", printed)
		if l.HasErrors() {
			t.Fatalf("%s\n%s", printed, l.Render(nil))
		}
		if d := sameBuild(b, c); d != "" {
			t.Fatalf("%s\n%s", printed, d)
		}
		for _, leaf := range Leaves(b) {
			if _, l := Get(b, leaf.Path); l.HasErrors() {
				t.Fatalf("%s: %v", leaf.Path, l)
			}
		}
	})
}

func FuzzSet(f *testing.F) {
	f.Add([]byte(little), "parts.battery.mass", "38 g")
	f.Add([]byte(little), "launch.bungee.pull_test[0].pull", "9 N")
	f.Add([]byte(little), "aeroplane.note", "a: {b} # c")
	f.Add(puffin(f), `parts."wing shell".at.x`, "1 m ± 5 %")
	f.Fuzz(func(t *testing.T, text []byte, path, value string) {
		got, l := Set(text, path, value)
		if l.HasErrors() {
			if !bytes.Equal(got, text) {
				t.Fatal("changed in spite of an error")
			}
			return
		}
		if len(got) < len(text)-4*len(text) || !utf8.Valid(got) {
			t.Fatal("not a text any more")
		}
		again, l := Set(got, path, value)
		if l.HasErrors() || !bytes.Equal(again, got) {
			// A new list item was added by its number: the number now exists.
			t.Fatalf("set twice differs: %v\n%s\n%s", l, got, again)
		}
	})
}

func TestMotorDelay(t *testing.T) {
	for _, c := range []struct {
		text        string
		value       float64
		off, before bool
	}{
		{"0.6 s after release", 0.6, false, false},
		{"0.6 s ± 0.15 s after release", 0.6, false, false},
		{"0.6 s", 0.6, false, false},
		{"600 ms After Release", 0.6, false, false},
		{"at release", 0, false, false},
		{"0.3 s before release", -0.3, false, true},
		{"before release", -1, false, true},
		{"off", 0, true, false},
	} {
		text := []byte(strings.Replace(sound, "0.6 s after release", c.text, 1))
		b := mustParse(t, text)
		if d := b.Launch.MotorDelay; d.Value.Value != c.value || d.Off != c.off || d.Before != c.before || d.After != "release" || !d.Given {
			t.Errorf("%s: %+v", c.text, d)
		}
		// As a program would make it, without the user's text.
		b.Launch.MotorDelay.Text = ""
		again := mustParse(t, Print(b)).Launch.MotorDelay
		if d := b.Launch.MotorDelay; again.Value.Value != d.Value.Value || again.Sigma != d.Sigma || again.Off != d.Off || again.Before != d.Before {
			t.Errorf("%s: printed and read %+v", c.text, again)
		}
	}
}
