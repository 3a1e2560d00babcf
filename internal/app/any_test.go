package app

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/build"
	"fledge/internal/report"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// anyAircraft draws a valid build file of any layout, size and drive, with
// settings on top: what `new` writes, then moved, warped, badly rigged or
// launched in a gale, as people do.
func anyAircraft(t *rapid.T) (text []byte, sets []string) {
	number := func(label string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, label) }
	quantity := func(label string, low, high float64, u string, d unit.Dim) unit.Quantity {
		q, err := unit.Parse(strconv.FormatFloat(number(label, low, high), 'g', 5, 64)+" "+u, d)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	a := build.Answers{
		Name:   rapid.SampledFrom([]string{"Lark", "Mövchen", "鳥", "O'Hare \"2\" <b>"}).Draw(t, "name"),
		Layout: rapid.SampledFrom(build.Layouts()).Draw(t, "layout"),
		Span:   quantity("span", 0.4, 1.5, "m", unit.Length),
		Cells:  rapid.IntRange(2, 6).Draw(t, "cells"),
		KV:     quantity("kv", 900, 3200, "rpm/V", unit.MotorConstant),
		Place:  rapid.SampledFrom([]string{"tractor", "pusher"}).Draw(t, "place"),
		Launch: rapid.SampledFrom([]string{"bungee", "hand"}).Draw(t, "launch"),
	}
	text, ds := build.Starter(a)
	if ds.HasErrors() {
		t.Fatalf("%+v: %v", a, ds)
	}
	set := func(path, format string, v ...any) { sets = append(sets, path+"="+fmt.Sprintf(format, v...)) }
	if rapid.Bool().Draw(t, "weather") {
		wind := number("wind", 0, 15)
		set("day.wind", "%.2f m/s", wind)
		set("day.gust", "%.2f m/s", 1.5*wind)
		set("day.temperature", "%.1f degC", number("temperature", -20, 45))
		set("day.height", "%.0f m", number("height", -300, 3500))
	}
	if rapid.Bool().Draw(t, "ballast") {
		set("trial.mass", "%.1f g", number("trial", 0, 900))
		set("trial.drag_area", "%.2f cm^2", number("drag", 0, 60))
	}
	if rapid.Bool().Draw(t, "stick") {
		set("launch.stick.pitch", "%.1f %%", number("pitch", -60, 60))
		set("launch.held.nose_up", "%.1f deg", number("aim", -10, 60))
	}
	if a.Launch == "bungee" && rapid.Bool().Draw(t, "gear") {
		set("launch.bungee.stretch", "%.2f m", number("stretch", 0.5, 25))
	}
	return text, sets
}

// laws holds every quantity of a body to what cannot be otherwise.
func laws(body any, at string) error {
	switch x := body.(type) {
	case map[string]any:
		v, isQuantity := x["value"]
		low, hasLow := x["low"].(float64)
		high, hasHigh := x["high"].(float64)
		if n, ok := v.(float64); isQuantity && ok && hasLow && hasHigh {
			slack := 1e-9 * (1 + math.Abs(low) + math.Abs(high))
			if low > high+slack {
				return fmt.Errorf("%s %v: %v with an interval from %v down to %v", at, x["id"], n, low, high)
			}
		}
		for k, v := range x {
			if err := laws(v, at+"."+k); err != nil {
				return err
			}
		}
	case []any:
		for i, v := range x {
			if err := laws(v, at+"["+strconv.Itoa(i)+"]"); err != nil {
				return err
			}
		}
	}
	return nil
}

// TestAnyAircraft checks whole builds that nobody drew up with care: no
// panic, no number that is none, intervals the right way round, odds between
// nought and one, parts that sum to the mass, and a verdict that a thousandth
// of a gram does not turn. A few builds in `make test`; FLEDGE_SOAK says how
// many in `make soak`.
func TestAnyAircraft(t *testing.T) {
	many := 5
	if n, err := strconv.Atoi(os.Getenv("FLEDGE_SOAK")); err == nil {
		many = n
	} else if testing.Short() {
		many = 2
	}
	shared := &memo{kept: map[string][]byte{}}
	checks := flag.Lookup("rapid.checks").Value
	defer checks.Set(checks.String())
	if err := checks.Set(strconv.Itoa(many)); err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		text, sets := anyAircraft(t)
		dir, err := os.MkdirTemp("", "fledge-any")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		file := filepath.Join(dir, "any.yaml")
		if err := os.WriteFile(file, text, 0o644); err != nil {
			t.Fatal(err)
		}
		run := func(more ...string) *report.Checked {
			q := Request{Path: file, Sets: append(append([]string(nil), sets...), more...), Seed: 1, Launches: 64, Draws: 16, Fast: true, memo: shared}
			c, _, err := Check(context.Background(), q)
			var bad *BadInput
			if errors.As(err, &bad) {
				t.Fatalf("refused: %s\n%s", bad.Render(), strings.Join(sets, " "))
			}
			if err != nil {
				t.Fatalf("%v\n%s\n%s", err, strings.Join(sets, " "), text)
			}
			return c
		}
		c := run()
		raw, err := json.Marshal(report.CheckBody(*c))
		if err != nil {
			t.Fatalf("%v\n%s\n%s", err, strings.Join(sets, " "), text)
		}
		var body any
		if err := json.Unmarshal(raw, &body); err != nil {
			t.Fatal(err)
		}
		if err := laws(body, ""); err != nil {
			t.Errorf("%v\n%s\n%s", err, strings.Join(sets, " "), text)
		}
		for _, f := range c.Verdict.Findings {
			if f.ID == "launch-odds" && f.Status != verdict.Unknown && f.Status != verdict.NotAsked && !(f.Value.Value >= 0 && f.Value.Value <= 1) {
				t.Errorf("launch odds %v", f.Value)
			}
		}
		again := run("trial.mass=" + nudge(sets))
		for i, f := range c.Verdict.Findings {
			g := again.Verdict.Findings[i]
			if f.Status != g.Status && !touching(f) && !touching(g) {
				t.Errorf("%s turns from %v (%+v) to %v (%+v) by a thousandth of a gram\n%s\n%s", f.ID, f.Status, f.Value, g.Status, g.Value, strings.Join(sets, " "), text)
			}
		}
	})
}

// nudge is the trial mass of the settings and a thousandth of a gram.
func nudge(sets []string) string {
	g := 0.0
	for _, s := range sets {
		if v, ok := strings.CutPrefix(s, "trial.mass="); ok {
			g, _ = strconv.ParseFloat(strings.TrimSuffix(v, " g"), 64)
		}
	}
	return strconv.FormatFloat(g+0.001, 'f', 4, 64) + " g"
}

// touching tells whether a finding sits so near its limit that it may turn: an
// end of its interval, or its value, within 3 % of the limit or, for odds
// counted on 64 launches, within three launches.
func touching(f verdict.Finding) bool {
	near := func(v, limit float64) bool {
		tol := 0.03 * math.Abs(limit)
		if f.ID == "launch-odds" {
			tol = 3.0 / 64
		}
		return math.Abs(v-limit) <= tol
	}
	for _, limit := range []float64{f.Limit.Min, f.Limit.Max} {
		for _, v := range []float64{f.Value.Value, f.Value.Low, f.Value.High} {
			if near(v, limit) {
				return true
			}
		}
	}
	return false
}
