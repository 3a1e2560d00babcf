package app

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/diag"
	"fledge/internal/evidence"
	"fledge/internal/unit"

	"go.yaml.in/yaml/v4"
)

// typedKey is one word a reading may use.
type typedKey struct {
	dim unit.Dim // None: words
	say string
}

// typedKeys are the words of a reading; see docs/debrief.md.
var typedKeys = map[string]typedKey{
	"speed": {unit.Speed, "read off a screen"}, "digit": {unit.Speed, "size of the screen's last digit"}, "direction": {unit.Angle, "flown, degrees from north, or with or against (the wind)"},
	"tail_wind": {unit.Speed, "along the flight, minus against"}, "level": {unit.None, "yes or no"}, "peak": {unit.None, "yes: the largest kept by the screen"},
	"base": {unit.Length, "between two marks"}, "base_doubt": {unit.Length, "one standard deviation"}, "time": {unit.Time, "between the marks by a watch"}, "watches": {unit.Ratio, "timekeepers"},
	"frames": {unit.Ratio, "of a film between the marks"}, "frame_rate": {unit.Ratio, "frames a second"}, "aside": {unit.Length, "flown beyond the marks"}, "to_marks": {unit.Length, "from the eye to the marks, with aside"},
	"volts_before": {unit.Voltage, "at rest, whole pack"}, "volts_after": {unit.Voltage, "at rest, whole pack"}, "cells": {unit.Ratio, "in series"}, "put_back": {unit.Charge, "charged afterwards"},
	"capacity": {unit.Charge, "of the pack"}, "flown": {unit.Time, "in the air"}, "mean_volts": {unit.Voltage, "under load"},
	"mass": {unit.Mass, "ready to fly"}, "build_time": {unit.Time, "hours of building"}, "endurance": {unit.Time, "flown to the reserve"}, "span": {unit.Length, "tip to tip"},
	"thrust": {unit.Force, "static pull"}, "current": {unit.Current, "highest"}, "range": {unit.Length, "flown to the reserve"}, "stall_speed": {unit.Speed, "slowest level"}, "how": {unit.None, "it was measured"},
	"outcome": {unit.None, "what happened"}, "release_speed": {unit.Speed, "airspeed when the hook or hand let go"}, "release_pitch": {unit.Angle, "nose up then"}, "release_time": {unit.Time, "from letting go to release"},
}

// byHand names the evidence a plain measurement becomes.
var byHand = []struct{ key, what, unit string }{
	{"mass", "take-off mass", "kg"}, {"build_time", "build time", "s"}, {"endurance", "endurance", "s"}, {"span", "span", "m"},
	{"thrust", "static thrust", "N"}, {"current", "highest current", "A"}, {"range", "range", "m"}, {"stall_speed", "stall speed", "m/s"},
}

// byHandDoubt is the doubt of a measurement by hand that states none: one
// standard deviation, relative. Common practice, no source.
var byHandDoubt = map[string]float64{"mass": 0.005, "build_time": 0.1, "endurance": 0.03, "span": 0.002, "thrust": 0.04, "current": 0.05, "range": 0.05, "stall_speed": 0.07}

// typed is what readings said, beside the evidence.
type typed struct {
	readings []evidence.Reading
	outcome  string
	release  assess.Ending // numbers read at release only
}

var keyAt = regexp.MustCompile(`(?:^|[\s,;]+)([A-Za-z][A-Za-z_-]*)\s*[=:]\s*`)

// pairs splits "speed=74 m/s direction=240" into keys and values.
func pairs(line string) (out [][2]string, rest string) {
	at := keyAt.FindAllStringSubmatchIndex(line, -1)
	if len(at) == 0 {
		return nil, strings.TrimSpace(line)
	}
	rest = strings.TrimSpace(line[:at[0][0]])
	for i, m := range at {
		end := len(line)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		out = append(out, [2]string{line[m[2]:m[3]], strings.Trim(line[m[1]:end], " \t\"'")})
	}
	return out, rest
}

// wayOf reads a direction said by the wind.
func wayOf(text string) evidence.Way {
	switch strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(text), "-", " ")), " ") {
	case "with", "with wind", "with the wind", "down wind", "downwind":
		return evidence.WithWind
	case "against", "against wind", "against the wind", "into wind", "into the wind", "up wind", "upwind":
		return evidence.AgainstWind
	}
	return evidence.WayUnknown
}

// mostReadings is how many readings are taken.
const mostReadings = 10000

// add takes one reading.
func (t *typed) add(list *diag.List, at diag.Span, where string, pairs [][2]string) {
	if len(t.readings) >= mostReadings {
		if len(t.readings) == mostReadings {
			list.Errorf("too-many", at, "more than %d readings", mostReadings)
		}
		return
	}
	wrong := func(code, hint, format string, args ...any) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Span: at, Message: where + fmt.Sprintf(format, args...), Hint: hint})
	}
	num, sd, words := map[string]float64{}, map[string]float64{}, map[string]string{}
	var way evidence.Way
	before := list.Count(diag.Error)
	for _, p := range pairs {
		key := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(p[0])), "-", "_")
		key = strings.ReplaceAll(key, " ", "_")
		if key == "course" {
			key = "direction"
		}
		k, ok := typedKeys[key]
		if !ok {
			var names []string
			for n := range typedKeys {
				names = append(names, n)
			}
			wrong("unknown-key", diag.DidYouMean(key, names, "docs/debrief.md lists the words"), "no reading has a word %s", diag.Quote(p[0]))
			continue
		}
		if _, twice := words[key]; twice {
			wrong("twice", "give two readings", "%s is given twice", key)
			continue
		}
		words[key] = p[1]
		if p[1] == "" {
			wrong("missing", "", "%s has no value", key)
			continue
		}
		if k.dim == unit.None {
			continue
		}
		if w := strings.ToLower(p[1]); w == "unknown" || w == "?" {
			delete(words, key)
			continue
		}
		if key == "direction" {
			if way = wayOf(p[1]); way != evidence.WayUnknown {
				continue
			}
		}
		q, no := readQuantity(key, p[1], k.dim)
		if no != nil {
			if key == "direction" {
				no.hint = "direction=240 (degrees from north), or with or against (the wind)"
			}
			wrong("quantity", no.hint, "%s", no.why)
			continue
		}
		if q.Value < 0 && key != "tail_wind" && key != "release_pitch" && key != "direction" {
			wrong("range", "", "%s=%s is below nothing", key, diag.Quote(p[1]))
			continue
		}
		num[key] = q.Value
		if q.Stated {
			sd[key] = q.Sigma
		}
	}
	if list.Count(diag.Error) > before {
		return
	}
	has := func(keys ...string) bool {
		for _, k := range keys {
			if _, ok := words[k]; ok {
				return true
			}
		}
		return false
	}
	yes := func(key string) *bool {
		w := strings.ToLower(words[key])
		if w == "" || w == "unknown" || w == "?" {
			return nil
		}
		b := w == "yes" || w == "y" || w == "true"
		if !b && w != "no" && w != "n" && w != "false" {
			wrong("words", "yes, no or unknown", "%s=%s is neither yes nor no", key, diag.Quote(w))
		}
		return &b
	}
	var course *float64
	if has("direction") && way == evidence.WayUnknown {
		d := math.Mod(num["direction"]*180/math.Pi+360, 360)
		course = &d
	}
	kinds := 0
	if has("speed") {
		kinds++
		s := &evidence.SpeedReading{Speed: num["speed"], Digit: num["digit"], CourseDeg: course, Way: way, Level: yes("level")}
		if b := yes("peak"); b != nil {
			s.Peak = *b
		}
		if has("tail_wind") {
			w := num["tail_wind"]
			s.WindAlong = &w
		}
		t.readings = append(t.readings, evidence.Reading{Speed: s})
	}
	if has("base") {
		kinds++
		if !has("time") && !has("frames") {
			wrong("missing", "time=2.9 s, or frames=87 frame_rate=30", "a base needs the time over it, or the frames of a film")
			return
		}
		if has("frames") && !(num["frame_rate"] > 0) {
			wrong("missing", "frame_rate=30", "frames need the film's frame_rate")
			return
		}
		if has("aside") && !has("to_marks") {
			wrong("missing", "to_marks=40 m", "aside needs the distance to_marks")
			return
		}
		t.readings = append(t.readings, evidence.Reading{Pass: &evidence.TimedPass{
			Base: num["base"], BaseSD: num["base_doubt"], Seconds: num["time"], SecondsSD: sd["time"], Watches: int(math.Min(num["watches"], 100)),
			Frames: num["frames"], FrameRate: num["frame_rate"], CourseDeg: course, Way: way, Level: yes("level"), Aside: num["aside"], ToMarks: num["to_marks"],
		}})
	}
	if has("volts_before", "volts_after", "put_back") {
		kinds++
		if !has("put_back") && !(has("volts_before") && has("volts_after") && has("cells")) {
			wrong("missing", "volts_before=16.7 V volts_after=15.0 V cells=4, or put_back=1210 mAh", "volts tell the charge only in pairs and with the number of cells")
			return
		}
		t.readings = append(t.readings, evidence.Reading{Battery: &evidence.PackReading{
			VoltsBefore: num["volts_before"], VoltsAfter: num["volts_after"], Cells: int(math.Min(num["cells"], 100)), PutBack: num["put_back"],
			Capacity: num["capacity"], Seconds: num["flown"], MeanVolts: num["mean_volts"],
		}})
	}
	for _, h := range byHand {
		if !has(h.key) {
			continue
		}
		kinds++
		s, stated := sd[h.key]
		if !stated {
			s = byHandDoubt[h.key] * num[h.key]
		}
		t.readings = append(t.readings, evidence.Reading{Value: &evidence.Item{What: h.what, Value: num[h.key], Sigma: s, Unit: h.unit, Method: words["how"]}})
	}
	read := func(key string, to *assess.Read, least float64) {
		if !has(key) {
			return
		}
		kinds++
		*to = assess.Read{Value: num[key], SD: math.Max(sd[key], least)}
	}
	read("release_speed", &t.release.Speed, 1)
	read("release_pitch", &t.release.Pitch, 3*math.Pi/180)
	read("release_time", &t.release.Time, 0.05)
	if has("outcome") {
		kinds++
		t.outcome = words["outcome"]
		t.readings = append(t.readings, evidence.Reading{Outcome: t.outcome})
	}
	if kinds == 0 {
		wrong("missing", "speed=, base= with time=, volts_before= with volts_after=, mass=, outcome=", "the reading names nothing that was read")
	}
}

// readings reads those typed as flags and those of a file.
func readings(flags []string, file string) (*typed, *BadInput) {
	t := &typed{}
	var list diag.List
	for i, f := range flags {
		ps, rest := pairs(f)
		where := fmt.Sprintf("--reading %d: ", i+1)
		if rest != "" {
			list.Add(diag.Diagnostic{Severity: diag.Error, Code: "words", Message: where + diag.Quote(rest) + " is not understood", Hint: `"speed=74 m/s direction=240"`})
			continue
		}
		t.add(&list, diag.Span{}, where, ps)
	}
	if file == "" {
		if list.HasErrors() {
			return nil, &BadInput{List: list}
		}
		return t, nil
	}
	text, bad := readText(file, "a list of readings")
	if bad != nil {
		return nil, bad
	}
	switch {
	case strings.EqualFold(filepath.Ext(file), ".csv"):
		r := csv.NewReader(strings.NewReader(string(text)))
		r.Comment, r.FieldsPerRecord, r.TrimLeadingSpace = '#', -1, true
		var head []string
		for {
			rec, err := r.Read()
			if err != nil {
				var p *csv.ParseError
				if errors.As(err, &p) {
					list.Errorf("csv", diag.Span{File: file, Line: p.Line, Col: p.Column}, "the line cannot be read: %v", p.Err)
				}
				break
			}
			line, _ := r.FieldPos(0)
			if head == nil {
				head = rec
				continue
			}
			var ps [][2]string
			for i, v := range rec {
				if strings.TrimSpace(v) == "" {
					continue
				}
				if i >= len(head) {
					list.Errorf("csv", diag.Span{File: file, Line: line}, "more cells than the first line has names")
					break
				}
				ps = append(ps, [2]string{head[i], strings.TrimSpace(v)})
			}
			t.add(&list, diag.Span{File: file, Line: line}, "", ps)
		}
	default:
		var doc yaml.Node
		if err := yaml.Unmarshal(text, &doc); err != nil {
			list.Errorf("yaml", diag.Span{File: file}, "the readings cannot be read: %s", strings.TrimPrefix(strings.ReplaceAll(err.Error(), "\n", " "), "yaml: "))
			break
		}
		var seq *yaml.Node
		if len(doc.Content) == 1 {
			seq = doc.Content[0]
			if seq.Kind == yaml.MappingNode && len(seq.Content) == 2 && seq.Content[0].Value == "readings" {
				seq = seq.Content[1]
			}
		}
		if seq == nil || seq.Kind != yaml.SequenceNode {
			list.Add(diag.Diagnostic{Severity: diag.Error, Code: "words", Span: diag.Span{File: file}, Message: "readings are a list", Hint: "one a line: - {speed: 74 m/s, direction: 240}"})
			break
		}
		for _, n := range seq.Content {
			at := diag.Span{File: file, Line: n.Line, Col: n.Column}
			var ps [][2]string
			ok := n.Kind == yaml.MappingNode
			for i := 0; ok && i+1 < len(n.Content); i += 2 {
				if n.Content[i].Kind != yaml.ScalarNode || n.Content[i+1].Kind != yaml.ScalarNode {
					ok = false
					break
				}
				ps = append(ps, [2]string{n.Content[i].Value, n.Content[i+1].Value})
			}
			if !ok {
				list.Add(diag.Diagnostic{Severity: diag.Error, Code: "words", Span: at, Message: "a reading is names and values", Hint: "- {speed: 74 m/s, direction: 240}"})
				continue
			}
			t.add(&list, at, "", ps)
		}
	}
	if list.HasErrors() {
		return nil, &BadInput{List: list, Text: func(f string) []byte {
			if f == file {
				return text
			}
			return nil
		}}
	}
	return t, nil
}

// refused says why a typed quantity was not taken, with a hint.
type refused struct{ why, hint string }

// readQuantity reads the quantity of key=text; a plain number of an angle counts as
// degrees.
func readQuantity(key, text string, dim unit.Dim) (unit.Quantity, *refused) {
	said := key + "=" + diag.Quote(text)
	if f, err := strconv.ParseFloat(text, 64); err == nil {
		switch {
		case math.IsNaN(f) || math.IsInf(f, 0):
			return unit.Quantity{}, &refused{said + " is not a number", "a plain number"}
		case dim == unit.Angle:
			text += " deg"
		}
	}
	q, err := unit.Parse(text, dim)
	if err != nil {
		hint := "as in " + key + "=" + dim.Example()
		var e *unit.Error
		if errors.As(err, &e) && e.Hint != "" {
			hint = e.Hint
		}
		return q, &refused{said + " is not " + dim.Article(), hint}
	}
	return q, nil
}
