package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/report"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// anyAircraft draws a valid build file of any layout, size and drive, with
// settings on top: what `new` writes, then given flaps, rudders, a spar, links
// and a circuit, moved, warped, badly rigged or launched in a gale, as people
// do.
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
	half := a.Span.Value / 2 * 1000 // mm
	if rapid.Bool().Draw(t, "flaps") {
		text = under(t, text, `\n      - \{name: (aileron|elevon), from: (\d+)`, func(m []string) string {
			inner, _ := strconv.ParseFloat(m[2], 64)
			return fmt.Sprintf("\n      - {name: flap, from: %.0f mm, to: %.0f mm, chord_share: %.0f %%, moves: brake, throw_up: %.0f deg, throw_down: %.0f deg}%s",
				0.12*half, inner-3, number("flap chord", 10, 40), []float64{0, 20, 60}[rapid.IntRange(0, 2).Draw(t, "flap up")], number("flap down", 5, 60), m[0])
		})
	}
	if a.Layout == "conventional" && rapid.Bool().Draw(t, "rudder") {
		text = under(t, text, `(?s)- name: fin .*?stations:.*?\n.*?\{x.*?z: (\d+) mm.*?\{x.*?z: (\d+) mm.*?\n`, func(m []string) string {
			low, _ := strconv.ParseFloat(m[1], 64)
			high, _ := strconv.ParseFloat(m[2], 64)
			return m[0] + fmt.Sprintf("    controls:\n      - {name: rudder, from: %.0f mm, to: %.0f mm, chord_share: %.0f %%, moves: yaw, throw_up: 20 deg, throw_down: 20 deg}\n",
				low+0.05*(high-low), low+0.9*(high-low), number("rudder chord", 15, 50))
		})
	}
	if rapid.Bool().Draw(t, "spar") {
		d := number("spar", 4, 12)
		text = append(text, fmt.Sprintf("strength:\n  spar: {kind: tube, material: carbon, outer: %.1f mm, inner: %.1f mm}\n", d, 0.7*d)...)
	}
	if rapid.Bool().Draw(t, "planned") {
		text = append(text, fmt.Sprintf(`flight: {bank: %.0f deg ± 4 deg, height: %.0f m, cruise: %.0f m/s, time: %.0f min, home: {lost_link: circle down, lost_picture: climb}}
circuit:
  from: {ahead: 50 m, right: %.0f m}
  heading: -90 deg
  legs: [{straight: 200 m}, {turn: 180 deg}, {straight: 200 m}, {turn: 180 deg}]
landing: {length: %.0f m}
radio:
  - {name: control, use: control, frequency: 868 MHz, power: %.0f mW, sensitivity: -105 dBm, antenna: whip, aim: across, at: {x: 100 mm, z: 20 mm}, ground_antenna: dipole}
`, number("bank", 20, 70), number("circuit height", 10, 120), number("cruise", 8, 60), number("time", 1, 30), number("right", 20, 2000), number("landing", 15, 200), number("power", 1, 500))...)
	}
	set := func(path, format string, v ...any) { sets = append(sets, path+"="+fmt.Sprintf(format, v...)) }
	if rapid.Bool().Draw(t, "wing") {
		for i := range 2 {
			at := fmt.Sprintf("surfaces.wing.stations[%d].", i)
			set(at+"section", "%s", rapid.SampledFrom([]string{"NACA 2409", "NACA 0010", "NACA 4412", "NACA 1407"}).Draw(t, "section"))
			set(at+"twist", "%.2f deg", number("twist", -5, 4))
		}
		set("surfaces.wing.stations[1].z", "%.0f mm", number("tip height", -0.1, 0.3)*half)
		set("surfaces.wing.stations[1].chord", "%.0f mm", number("tip chord", 0.08, 0.4)*half)
	}
	if rapid.Bool().Draw(t, "weather") {
		wind := number("wind", 0, 15)
		set("day.wind", "%.2f m/s", wind)
		set("day.gust", "%.2f m/s", 1.5*wind)
		set("day.off_axis", "%.0f deg", number("off axis", -180, 180))
		set("day.temperature", "%.1f degC", number("temperature", -20, 45))
		set("day.height", "%.0f m", number("height", -300, 3500))
	}
	if rapid.Bool().Draw(t, "ballast") {
		set("trial.mass", "%.1f g", number("trial", 0, 900))
		set("trial.drag_area", "%.2f cm^2", number("drag", 0, 60))
	}
	if rapid.Bool().Draw(t, "rebalance") {
		set("parts.battery.may_move.x", "0 mm to %.0f mm", 1.2*half)
		set("parts.battery.at.x", "%.0f mm", number("battery", 0.02, 1.2)*half)
		set("parts.battery.mass", "%.0f g ± %.0f %%", number("battery mass", 40, 700), number("doubt", 0, 20))
	}
	if rapid.Bool().Draw(t, "propeller") {
		d := number("diameter", 3, 12)
		set("power.propeller.diameter", "%.2f in", d)
		set("power.propeller.pitch", "%.2f in", d*number("pitch", 0.4, 1.3))
		set("power.propeller.blades", "%d", rapid.IntRange(2, 4).Draw(t, "blades"))
		set("power.throttle", "%.0f %%", number("throttle", 20, 100))
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

// under rewrites the one place that a pattern finds in a starting file; the
// file is ours, so a place that is not there is a fault of this test.
func under(t *rapid.T, text []byte, pattern string, with func(m []string) string) []byte {
	re := regexp.MustCompile(pattern)
	at := re.FindSubmatchIndex(text)
	if at == nil {
		t.Fatalf("no %s in\n%s", pattern, text)
	}
	var m []string
	for i := 0; i < len(at); i += 2 {
		m = append(m, string(text[at[i]:at[i+1]]))
	}
	return []byte(string(text[:at[0]]) + with(m) + string(text[at[1]:]))
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

// bound holds results to what physics and counting allow, whatever the build:
// the list of what was broken.
func bound(c *report.Checked) (broken []string) {
	r := c.Results
	say := func(format string, v ...any) { broken = append(broken, fmt.Sprintf(format, v...)) }
	sum := r.Aircraft.Trial.Mass
	for _, p := range r.Aircraft.Parts {
		sum += p.Mass
	}
	if m := r.Get(assess.Mass).Value; math.Abs(sum-m) > 1e-9 {
		say("parts sum to %.6f kg, the mass is %.6f kg", sum, m)
	}
	margin := (r.Get(assess.NeutralX).Value - r.Get(assess.BalanceX).Value) * r.Get(assess.StaticMargin).Value
	if margin < 0 {
		say("margin %v with the balance point at %v and the neutral point at %v", r.Get(assess.StaticMargin), r.Get(assess.BalanceX), r.Get(assess.NeutralX))
	}
	for _, id := range assess.IDs() {
		q := r.Get(id)
		switch {
		case q.Status == "" && (math.IsNaN(q.Value) || math.IsInf(q.Value, 0)):
			say("%s is %v and does not say why", id.Key(), q.Value)
		case q.Status != "" && !math.IsNaN(q.Value):
			say("%s is %v though %s", id.Key(), q.Value, q.Status)
		case q.Status == "" && q.Value < 0 && positive[id]:
			say("%s is %v", id.Key(), q.Value)
		}
	}
	ordered := func(why string, less, more assess.ID, slack float64) {
		a, b := r.Get(less), r.Get(more)
		if a.Status == "" && b.Status == "" && a.Value > b.Value*(1+slack)+1e-9 {
			say("%s: %s %.4g, %s %.4g", why, less.Key(), a.Value, more.Key(), b.Value)
		}
	}
	const search = 0.02 // each is found by a search of its own
	ordered("no level flight is faster than the fastest", assess.StallSpeed, assess.TopSpeed, search)
	ordered("no climb is better than the best", assess.GoRoundClimb, assess.ClimbRate, search)
	if v, top, e := r.Get(assess.CruiseSpeed), r.Get(assess.TopSpeed), r.Get(assess.EnduranceTime); v.Status == "" && top.Status == "" && e.Status == "" && v.Value > top.Value*(1+search) {
		say("endurance %.0f s at a cruise of %.3g m/s, the top speed is %.3g m/s", e.Value, v.Value, top.Value)
	}
	ordered("a dive at full throttle is no slower than level", assess.TopSpeed, assess.DiveSpeed, search)
	// Who barely climbs ends her cruise when the sagging pack carries her no
	// longer, with charge above the reserve; full throttle draws on to it.
	if climb := r.Get(assess.ClimbRate); climb.Status == "" && climb.Value > 1 {
		ordered("full throttle empties the pack no later", assess.FastEndurance, assess.EnduranceTime, search)
	}
	ordered("95 % comes before 99 %", assess.RunIn95, assess.RunIn99, search)
	ordered("95 % comes before 99 %", assess.RunTime95, assess.RunTime99, search)
	ordered("no flight below the stall", assess.StallSpeed, assess.GlideSpeed, search)
	if v, k, w := r.Get(assess.GlideSpeed), r.Get(assess.GlideRatio), r.Get(assess.LeastSink); v.Status == "" && k.Status == "" && w.Status == "" {
		if sink := v.Value / math.Sqrt(1+k.Value*k.Value); w.Value > sink*(1+search) {
			say("least sink %.3g m/s, the best glide sinks %.3g m/s", w.Value, sink)
		}
	}
	if l := r.Launch; l.Asked && l.Odds.Status == "" {
		if !(0 <= l.Odds.Low && l.Odds.Low <= l.Odds.Value && l.Odds.Value <= l.Odds.High && l.Odds.High <= 1) {
			say("launch odds %v", l.Odds)
		}
		if o := l.Outcome; o != nil {
			lost := 0.0
			for _, f := range o.Failures {
				lost += f.Share
			}
			if math.Abs(o.P+lost-1) > 1e-9 {
				say("odds %v and failures %v", o.P, o.Failures)
			}
		}
	}
	word := verdict.Go
	for _, f := range c.Verdict.Findings {
		switch {
		case f.Safety && f.Status == verdict.Fail:
			word = verdict.NoGo
		case word == verdict.Go && (f.Status == verdict.Fail || f.Safety && (f.Status == verdict.Doubtful || f.Status == verdict.Unknown)):
			word = verdict.Hold
		}
		if f.Because == "" {
			say("finding %s gives no reason", f.ID)
		}
	}
	if word != c.Verdict.Word {
		say("verdict %s, its findings make it %s", c.Verdict.Word, word)
	}
	if len(c.Verdict.Cautions) == 0 {
		say("no cautions")
	}
	return broken
}

// positive are the results that cannot be below nought.
var positive = map[assess.ID]bool{
	assess.Mass: true, assess.StallSpeed: true, assess.TopSpeed: true, assess.DiveSpeed: true, assess.CruiseSpeed: true, assess.GlideSpeed: true, assess.ApproachSpeed: true,
	assess.EnduranceTime: true, assess.Range: true, assess.FastEndurance: true, assess.TurnRadius: true, assess.LoiterRadius: true, assess.CurrentMax: true, assess.CurrentCruise: true,
	assess.GlideRatio: true, assess.LeastSink: true, assess.Touchdown: true, assess.LandingRun: true, assess.Deceleration: true, assess.MotorTime: true,
	assess.RunIn95: true, assess.RunIn99: true, assess.RunTime95: true, assess.RunTime99: true, assess.LapTime: true, assess.LapEnergy: true, assess.CircuitTime: true, assess.CircuitLaps: true,
	assess.ApproachRun: true, assess.FlareRun: true, assess.SlideRun: true, assess.SlideTime: true, assess.TouchdownSink: true, assess.Friction: true,
}

// broken runs one build and lists what is wrong with the answer: a panic, a
// number that is none, an interval the wrong way round, a law not held, a
// finding that a thousandth of a gram turns.
func broken(dir string, text []byte, sets []string, shared *memo) (list []string) {
	defer func() {
		if p := recover(); p != nil {
			list = append(list, fmt.Sprintf("panic: %v\n%s", p, debug.Stack()))
		}
	}()
	file := filepath.Join(dir, "any.yaml")
	if err := os.WriteFile(file, text, 0o644); err != nil {
		return []string{err.Error()}
	}
	run := func(more ...string) (*report.Checked, error) {
		q := Request{Path: file, Sets: append(append([]string(nil), sets...), more...), Seed: 1, Launches: 64, Draws: 16, Fast: true, memo: shared}
		c, _, err := Check(context.Background(), q)
		var bad *BadInput
		if errors.As(err, &bad) {
			err = fmt.Errorf("refused: %s", bad.Render())
		}
		return c, err
	}
	c, err := run()
	if err != nil {
		return []string{err.Error()}
	}
	raw, err := json.Marshal(report.CheckBody(*c))
	if err != nil {
		return []string{err.Error()}
	}
	var body any
	if err := json.Unmarshal(raw, &body); err != nil {
		return []string{err.Error()}
	}
	if err := laws(body, ""); err != nil {
		list = append(list, err.Error())
	}
	list = append(list, bound(c)...)
	again, err := run("trial.mass=" + nudge(sets))
	if err != nil {
		return append(list, err.Error())
	}
	for i, f := range c.Verdict.Findings {
		g := again.Verdict.Findings[i]
		if f.Status != g.Status && !touching(f) && !touching(g) {
			list = append(list, fmt.Sprintf("%s turns from %v (%+v) to %v (%+v) by a thousandth of a gram", f.ID, f.Status, f.Value, g.Status, g.Value))
		}
	}
	return list
}

// TestAnyAircraft checks whole builds that nobody drew up with care; what is
// held stands at broken and bound. They come in a row that is the same each
// time: a few in `make test`, FLEDGE_SOAK of them in `make soak`. Every
// failure is listed, and its file kept in FLEDGE_FOUND where that is said.
func TestAnyAircraft(t *testing.T) {
	shared := &memo{kept: map[string][]byte{}}
	dir := t.TempDir()
	many, err := strconv.Atoi(os.Getenv("FLEDGE_SOAK"))
	if err != nil {
		many = 6
		if testing.Short() {
			many = 2
		}
	}
	type one struct {
		text []byte
		sets []string
	}
	drawn := rapid.Custom(func(t *rapid.T) one { text, sets := anyAircraft(t); return one{text, sets} })
	for i := range many {
		o := drawn.Example(i)
		list := broken(dir, o.text, o.sets, shared)
		for _, b := range list {
			t.Errorf("build %d: %s", i, b)
		}
		if found := os.Getenv("FLEDGE_FOUND"); found != "" && len(list) > 0 {
			name := filepath.Join(found, fmt.Sprintf("any-%d", i))
			said := fmt.Sprintf("%s\n\nfledge check any-%d.yaml --launches 64", strings.Join(list, "\n"), i)
			for _, s := range o.sets {
				said += fmt.Sprintf(" --set '%s'", s)
			}
			if err := errors.Join(os.WriteFile(name+".yaml", o.text, 0o644), os.WriteFile(name+".txt", []byte(said+"\n"), 0o644)); err != nil {
				t.Fatal(err)
			}
		}
		if i%100 == 99 {
			t.Logf("%d builds", i+1)
		}
	}
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
