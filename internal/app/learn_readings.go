package app

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/learn"
	"fledge/internal/unit"
)

// learnKeys are the words of a reading that learn takes; see docs/learn.md.
// The doubt is one standard deviation where none is stated: relative, for
// stick and angles absolute. Common practice, no source.
var learnKeys = map[string]struct {
	dim   unit.Dim
	doubt float64
	say   string
}{
	"level_speed": {unit.Speed, 0.03, "true airspeed that lasted, level"}, "throttle": {unit.Ratio, 0, "of it, or of the bench row"},
	"rpm": {unit.Rotation, 0.005, "on the bench, or in the level flight"}, "amps": {unit.Current, 0.025, "the same"}, "volts": {unit.Voltage, 0, "at the controller, under load"}, "pull": {unit.Force, 0.025, "of the propeller, standing"},
	"glide_speed": {unit.Speed, 0, "steady, motor off"}, "sink": {unit.Speed, 0.06, "in that glide"}, "stall_speed": {unit.Speed, 0.05, "slowest level"},
	"cord_pull": {unit.Force, 0.03, "of the bungee"}, "stretch": {unit.Length, 0, "at that pull, or at the release"}, "release_speed": {unit.Speed, 0.06, "airspeed leaving hook or hand"},
	"ring_angle": {unit.Angle, 0.10, "tilt of the hook at which the hanging ring slides"}, "pack_resistance": {unit.Resistance, 0.08, "whole pack, under load"},
	"stick": {unit.Ratio, 0.03, "pitch stick that holds level flight"}, "attitude": {unit.Angle, math.Pi / 180, "angle of attack in level flight"}, "at_speed": {unit.Speed, 0, "airspeed of stick or attitude"},
	"temperature": {unit.Temperature, 0, "of the air"}, "density": {unit.Density, 0, "of the air"}, "of": {unit.None, 0, "which flight or test it is"},
}

// learnReading reads one line. Every problem goes into the list.
func learnReading(list *diag.List, at diag.Span, where, line string, ac *craft.Aircraft) []learn.Reading {
	before := list.Count(diag.Error)
	wrong := func(code, hint, format string, args ...any) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Span: at, Message: where + fmt.Sprintf(format, args...), Hint: hint})
	}
	ps, rest := pairs(line)
	if rest != "" {
		wrong("words", `"glide_speed=16 m/s sink=1.2 m/s"`, "%s is not understood", diag.Quote(rest))
		return nil
	}
	val, sd, of := map[string]float64{}, map[string]float64{}, ""
	for _, p := range ps {
		key := strings.ReplaceAll(strings.ToLower(p[0]), "-", "_")
		k, ok := learnKeys[key]
		if !ok {
			var names []string
			for n := range learnKeys {
				names = append(names, n)
			}
			wrong("unknown-key", diag.DidYouMean(key, names, "docs/learn.md lists the words"), "no reading to learn from has a word %s", diag.Quote(p[0]))
			continue
		}
		if _, twice := val[key]; twice || key == "of" && of != "" {
			wrong("twice", "give two readings", "%s is given twice", key)
			continue
		}
		if k.dim == unit.None {
			of = p[1]
			continue
		}
		q, no := readQuantity(key, p[1], k.dim)
		if no != nil {
			wrong("quantity", no.hint, "%s", no.why)
			continue
		}
		if q.Value < 0 && key != "stick" && key != "attitude" {
			wrong("range", "", "%s=%s is below nothing", key, diag.Quote(p[1]))
			continue
		}
		if key == "throttle" && q.Value > 1 || key == "stick" && math.Abs(q.Value) > 1 {
			wrong("range", "at most 100 %", "%s=%s", key, diag.Quote(p[1]))
			continue
		}
		val[key], sd[key] = q.Value, k.doubt*math.Abs(q.Value)
		if key == "stick" || key == "attitude" {
			sd[key] = k.doubt
		}
		if q.Stated || q.Word != "" {
			sd[key], _ = q.Doubt()
		}
	}
	if list.Count(diag.Error) > before {
		return nil
	}
	has := func(key string) bool { _, ok := val[key]; return ok }
	rho := val["density"]
	if rho == 0 && has("temperature") {
		rho = air.Moist(val["temperature"], ac.Day.Pressure, ac.Day.Humidity).Rho
	}
	var out []learn.Reading
	add := func(k learn.Kind, key string, also func(*learn.Reading)) {
		r := learn.Reading{Kind: k, Value: val[key], SD: sd[key], Rho: rho, From: of}
		if also != nil {
			also(&r)
		}
		out = append(out, r)
	}
	need := func(key, example string) bool {
		if !has(key) {
			wrong("missing", example, "the reading needs its %s", key)
			return false
		}
		return true
	}
	flown := func(r *learn.Reading) {
		r.Throttle = val["throttle"]
		switch {
		case !has("throttle"):
			r.Suspicious = "its throttle is not told: add throttle=100 %"
		case r.Throttle == 0:
			r.Suspicious = "the motor was off: a speed in a dive or a glide, not one that lasts. A glide is read with glide_speed and sink"
		}
	}
	switch {
	case has("level_speed"):
		add(learn.LevelSpeed, "level_speed", flown)
		if has("rpm") {
			add(learn.LevelRevs, "rpm", flown)
		}
		if has("amps") {
			add(learn.LevelAmps, "amps", flown)
		}
	case has("volts") || has("pull") || has("rpm") || has("amps"):
		row := craft.BenchRow{Volts: val["volts"], Amps: val["amps"], Omega: val["rpm"], Pull: val["pull"], Throttle: val["throttle"]}
		if has("throttle") && row.Throttle == 0 {
			wrong("range", "leave it out at full throttle", "a bench row with the motor off tells nothing")
			return nil
		}
		rows := learn.OfRow(row, of, "")
		if len(rows) == 0 {
			wrong("missing", "volts=15 V amps=38 A rpm=21000 rpm pull=13 N", "a bench row needs rpm, amps or pull (at part throttle two of them)")
			return nil
		}
		for i := range rows {
			key := map[learn.Kind]string{learn.BenchRevs: "rpm", learn.BenchAmps: "amps", learn.BenchPull: "pull"}[rows[i].Kind]
			rows[i].SD = sd[key]
		}
		out = append(out, rows...)
	}
	if has("glide_speed") || has("sink") {
		if !need("glide_speed", "glide_speed=16 m/s sink=1.2 m/s") || !need("sink", "glide_speed=16 m/s sink=1.2 m/s") {
			return nil
		}
		add(learn.GlideSink, "sink", func(r *learn.Reading) { r.At = val["glide_speed"] })
	}
	if has("stick") || has("attitude") {
		if !need("at_speed", "stick=8 % at_speed=20 m/s") {
			return nil
		}
		at := func(r *learn.Reading) { r.At = val["at_speed"] }
		if has("stick") {
			add(learn.Trim, "stick", at)
		}
		if has("attitude") {
			add(learn.Attitude, "attitude", at)
		}
	}
	if has("cord_pull") {
		if !need("stretch", "cord_pull=44 N stretch=9 m") {
			return nil
		}
		add(learn.CordPull, "cord_pull", func(r *learn.Reading) { r.At = val["stretch"] })
	}
	if has("release_speed") {
		add(learn.Release, "release_speed", func(r *learn.Reading) { r.Stretch = val["stretch"] })
	}
	if has("stall_speed") {
		add(learn.Stall, "stall_speed", nil)
	}
	if has("ring_angle") {
		add(learn.RingAngle, "ring_angle", nil)
	}
	if has("pack_resistance") {
		add(learn.PackOhms, "pack_resistance", nil)
	}
	if len(out) == 0 {
		wrong("missing", "level_speed= with throttle=, glide_speed= with sink=, volts= amps= rpm= pull=, cord_pull= with stretch=, stall_speed=, ring_angle=", "the reading names nothing that was read")
	}
	return out
}

// learnLine writes what a log gave as the line that reads it back; "" for what
// no log gives. The numbers are those of the line: what is kept in the logbook
// and read again is what was learned from, bit for bit.
func learnLine(r *learn.Reading) string {
	six := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	with := func(key string, v, sd float64, u string) string {
		if sd > 0 {
			return fmt.Sprintf("%s=%s %s ± %s %s ", key, six(v), u, six(2*sd), u)
		}
		return fmt.Sprintf("%s=%s %s ", key, six(v), u)
	}
	s := ""
	switch r.Kind {
	case learn.LevelSpeed:
		s = with("level_speed", r.Value, r.SD, "m/s")
		if r.Suspicious == "" {
			s += with("throttle", 100*r.Throttle, 0, "%")
		}
	case learn.GlideSink:
		s = with("glide_speed", r.At, 0, "m/s") + with("sink", r.Value, r.SD, "m/s")
	case learn.Release:
		s = with("release_speed", r.Value, r.SD, "m/s")
	case learn.PackOhms:
		s = with("pack_resistance", 1000*r.Value, 1000*r.SD, "mohm")
	default:
		return ""
	}
	if r.Rho > 0 {
		s += with("density", r.Rho, 0, "kg/m^3")
	}
	return s + "of=" + r.From
}
