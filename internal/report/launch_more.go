package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/seek"
	"fledge/internal/unit"
)

// LaunchMore is what the launch page shows beyond the odds: best settings,
// the map of odds, the levers ranked, the ring. Nil parts were not asked.
type LaunchMore struct {
	Best     *seek.Best
	Settings []seek.Lever // what the search could turn
	Map      *seek.Map
	Levers   []seek.Effect
	LeversN  int
	Ring     *seek.Ring // as set
	RingBest *seek.Ring // at the best settings
}

var leverDims = map[string]unit.Dim{"%": unit.Ratio, "deg": unit.Angle, "m": unit.Length, "mm": unit.Length, "s": unit.Time, "m/s": unit.Speed, "g": unit.Mass}

// lever prints a value of a lever.
func (s *Subject) lever(l seek.Lever, v float64) string {
	if d, ok := leverDims[l.Unit]; ok && s.Units != unit.Metric && l.Unit != "%" && l.Unit != "deg" && l.Unit != "s" {
		return unit.Format(v, d, s.Units)
	}
	at := seek.Setting{Lever: l, Value: v}
	return strings.Replace(at.Text(), " deg", "°", 1)
}

func percent(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

// points prints a change of odds in percentage points.
func points(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	if math.Abs(v) < 0.005 {
		return "0"
	}
	return fmt.Sprintf("%+.0f", 100*v)
}

func oddsOf(q assess.Quantity) string {
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*q.Value, 100*q.Low, 100*q.High)
}

// AddLaunchMore puts the sections into a launch page, before its notes and
// cautions.
func AddLaunchMore(d *Doc, p Subject, m LaunchMore) {
	var add []Section
	if m.Best != nil {
		add = append(add, bestSection(&p, m))
	}
	if m.Levers != nil {
		add = append(add, leverSection(m))
	}
	if m.Map != nil {
		add = append(add, mapSection(&p, m.Map))
	}
	if m.Ring != nil {
		add = append(add, ringSection(&p, m))
	}
	at := len(d.Sections)
	for i, s := range d.Sections {
		if s.Title == "As flown" || s.Title == "Cautions" || s.Title == "How deep this goes" {
			at = i
			break
		}
	}
	d.Sections = append(d.Sections[:at:at], append(add, d.Sections[at:]...)...)
}

func bestSection(p *Subject, m LaunchMore) Section {
	b := m.Best
	s := Section{Title: "Best settings found"}
	limit := p.Results.Aircraft.Limits.LaunchOdds
	if len(b.Settings) == 0 {
		s.Blocks = append(s.Blocks, para("Nothing of this launch can be turned within the limits of gear and balance."))
		return s
	}
	switch {
	case b.Held:
		s.Blocks = append(s.Blocks, para("Nothing found beats what is set now: odds %s.", oddsOf(b.Odds)))
	default:
		if b.Before.Low >= limit {
			s.Blocks = append(s.Blocks, para("She passes as she is set, %s: nothing need change. What follows adds margin only.", oddsOf(b.Before)))
		}
		q, word := b.Odds, "not yet rerun"
		if b.Verified {
			q, word = b.After, "verified by a full rerun"
		} else if b.After.Unit != "" {
			q, word = b.After, "by a full rerun, short of the odds wanted"
		}
		s.Blocks = append(s.Blocks, para("Odds %s with these settings, %s now; %s.", oddsOf(q), oddsOf(b.Before), word))
	}
	t := &Table{Head: []string{"setting", "now", "best", fmt.Sprintf("stay between, for odds of %s", percent(b.Least))}, Wrap: 0}
	tight, tightness := -1, math.Inf(1)
	for i := range b.Settings {
		k := &b.Settings[i]
		l := k.Setting.Lever
		best := "as it is"
		if k.Changes() {
			best = p.lever(l, k.Setting.Value)
		}
		lo, hi := p.lever(l, k.Low), p.lever(l, k.High)
		within := lo + " to " + hi
		if k.FreeLow && k.FreeHigh {
			within += ", anywhere tried"
		} else if k.FreeLow {
			within = "up to " + hi
		} else if k.FreeHigh {
			within = lo + " or more"
		}
		t.Rows = append(t.Rows, []string{l.Noun, p.lever(l, k.Now), best, within})
		if room, free := k.Room(); !free {
			if r := room / (l.High - l.Low); r < tightness {
				tight, tightness = i, r
			}
		}
	}
	s.Blocks = append(s.Blocks, Block{Table: t})
	if tight >= 0 {
		k := &b.Settings[tight]
		room, _ := k.Room()
		s.Blocks = append(s.Blocks, para("The touchiest is the %s: stay within ±%s. Each range holds all others at their best, and comes on top of the scatter already counted.", k.Setting.Lever.Noun, strings.TrimPrefix(p.lever(k.Setting.Lever, room), "+")))
	}
	flat := &Table{Head: []string{"setting", fmt.Sprintf("not told from the best by %d launches", b.LookN)}, Wrap: -1}
	for i := range b.Settings {
		k := &b.Settings[i]
		l := k.Setting.Lever
		lo, hi := p.lever(l, k.EvenLow), p.lever(l, k.EvenHigh)
		within := lo + " to " + hi
		switch {
		case k.EvenEndLow && k.EvenEndHigh:
			within += ", anywhere tried"
		case lo == hi:
			within = lo + " alone, of those tried"
		}
		flat.Rows = append(flat.Rows, []string{l.Noun, within})
	}
	s.Blocks = append(s.Blocks, Block{Table: flat}, para("So flat it is there, each setting alone: within these the odds differ by no more than counting (90 %% of the pairing, under the same draws), and what is best lies somewhere in them."))
	if b.Balance != "" {
		s.Blocks = append(s.Blocks, para("%s", sentence(b.Balance)))
	}
	if b.Limit != "" {
		s.Blocks = append(s.Blocks, para("%s", sentence(b.Limit)))
	}
	if !b.Held && !b.Verified && !(b.After.Low >= limit) {
		s.Blocks = append(s.Blocks, para("Even so the odds do not hold %s over all that is unknown: measure what they hang on, or change more than settings.", percent(limit)))
	}
	if len(b.Spoils) > 0 {
		s.Blocks = append(s.Blocks, para("Beware: with these settings %s would no longer pass.", strings.Join(b.Spoils, ", ")))
	}
	if sets := b.Sets(); len(sets) > 0 {
		quoted := make([]string, len(sets))
		for i, v := range sets {
			quoted[i] = fmt.Sprintf("--set '%s'", v)
		}
		s.Blocks = append(s.Blocks, para("To try them: %s", strings.Join(quoted, " ")))
	}
	s.Blocks = append(s.Blocks, para("%d settings tried, %d launches flown; the best found, not proved the best.", b.Evals, b.Launches))
	return s
}

func leverSection(m LaunchMore) Section {
	s := Section{Title: "What one step of each lever does"}
	t := &Table{Head: []string{"step", "up, points", "down, points", "raises the odds"}, Right: []bool{false, true, true, false}, Wrap: 3}
	side := func(k seek.Move) string {
		if !k.Tried {
			return "-"
		}
		return fmt.Sprintf("%s ±%.0f", points(k.Change), math.Ceil(100*1.645*k.SE))
	}
	mass := -1
	for i, e := range m.Levers {
		better := e.Better
		if better == "" {
			better = "neither, beyond its doubt"
		}
		t.Rows = append(t.Rows, []string{e.Say, side(e.Up), side(e.Down), better})
		if e.Lever.Path == "trial.mass" {
			mass = i
		}
	}
	s.Blocks = append(s.Blocks, Block{Table: t})
	if mass >= 0 {
		e := &m.Levers[mass]
		s.Blocks = append(s.Blocks, para("Weight is lever %d of %d here: 50 g less is worth %s points. Points of odds, all else as it is now, %d launches each under the same draws; ± is the 90 %% range of counting.", mass+1, len(m.Levers), points(e.Down.Change), m.LeversN))
	}
	return s
}

func mapSection(p *Subject, m *seek.Map) Section {
	s := Section{Title: fmt.Sprintf("Odds over %s and %s, %%", m.X.Noun, m.Y.Noun)}
	t := &Table{Wrap: -1}
	t.Head = append(t.Head, m.Y.Noun)
	t.Right = append(t.Right, true)
	for _, x := range m.XS {
		t.Head = append(t.Head, p.lever(m.X, x))
		t.Right = append(t.Right, true)
	}
	for j := len(m.YS) - 1; j >= 0; j-- {
		row := []string{p.lever(m.Y, m.YS[j])}
		for _, v := range m.Odds[j] {
			c := "x"
			if !math.IsNaN(v) {
				c = fmt.Sprintf("%.0f", 100*v)
			}
			row = append(row, c)
		}
		t.Rows = append(t.Rows, row)
	}
	s.Blocks = append(s.Blocks, Block{Table: t}, para("Across: %s. All else %s, %d launches a cell under the same draws; x: no launch can come of it. %s Neighbours meet the same draws and are told apart better than that; what is not known moves all cells together, by as much as the range of the odds above.", m.X.Noun, m.Base, m.N, countedWords(m.N, m.Odds...)))
	return s
}

// countedWords says what counting leaves of shares of n launches, in points: of
// the most doubtful one shown and of one near an end.
func countedWords(n int, rows ...[]float64) string {
	most, least := 0.0, math.Inf(1)
	for _, row := range rows {
		for _, v := range row {
			low, high := counted(v, n)
			if h := 100 * float64(high-low) / 2; h > 0 {
				most, least = math.Max(most, h), math.Min(least, h)
			}
		}
	}
	if most == 0 {
		return ""
	}
	return fmt.Sprintf("Counting leaves ±%.0f to ±%.0f points (90 %%; the middle ones most).", math.Ceil(least), math.Ceil(most))
}

func ringSection(p *Subject, m LaunchMore) Section {
	r := m.Ring
	s := Section{Title: "The ring on the hook"}
	say := fmt.Sprintf("Pin drooped %.0f°, friction %.2f", deg(r.Rake), r.Friction)
	if r.Burr > 0 {
		say += fmt.Sprintf(", burr %.0f°", deg(r.Burr))
	}
	s.Blocks = append(s.Blocks, para("%s: under a taut line the ring slides off once the line points %.0f° or more below the body's axis.", say, deg(r.Slides)))
	both := m.RingBest
	t := &Table{Head: []string{"state", "odds now", "ring still on"}, Right: []bool{false, true, true, true, true}, Wrap: 0}
	if both != nil {
		t.Head = append(t.Head, "odds at best", "ring still on")
	}
	row := func(say string, a seek.RingCase, b *seek.RingCase) {
		c := []string{say, percent(a.Odds), percent(a.Stuck)}
		if b != nil {
			c = append(c, percent(b.Odds), percent(b.Stuck))
		}
		t.Rows = append(t.Rows, c)
	}
	pair := func(i int, a, b []seek.RingCase, say string) {
		if both != nil && i < len(b) {
			row(say, a[i], &b[i])
			return
		}
		row(say, a[i], nil)
	}
	var kb, bb, wb []seek.RingCase
	if both != nil {
		kb, bb, wb = both.Known[:], both.Bench, both.WhatIf
	}
	for i, k := range r.Known {
		pair(i, r.Known[:], kb, fmt.Sprintf("%s (friction %.2f)", k.Say, k.Friction))
	}
	for i, k := range r.Bench {
		pair(i, r.Bench, bb, fmt.Sprintf("bench test: slides at %.0f° (friction %.2f)", deg(k.Grip), k.Friction))
	}
	for i, k := range r.WhatIf {
		pair(i, r.WhatIf, wb, k.Say)
	}
	s.Blocks = append(s.Blocks, Block{Table: t},
		para("Bench test, with a scale and a protractor: hang a bag of about a kilogram from the ring on the hook, propeller off, battery out, the pin level. Tilt the model so that the free end of the pin points down, slowly, until the ring slides off; read the tilt of the pin below level. Repeat five times, also with the bag pulled a hand's breadth to the side, and after a wipe with oil. The tangent of the tilt is launch.bungee.hook.friction; what a burr adds beyond a clean pin is launch.bungee.hook.burr."))
	var odds, stuck []float64
	for _, list := range [][]seek.RingCase{r.Known[:], r.Bench, r.WhatIf} {
		for _, k := range list {
			odds, stuck = append(odds, k.Odds), append(stuck, k.Stuck)
		}
	}
	s.Blocks = append(s.Blocks, para("%d launches each. %s", r.N, countedWords(r.N, odds, stuck)))
	if d := r.Known[0].Odds - r.Known[1].Odds; math.Abs(d) >= 0.03 {
		s.Blocks = append(s.Blocks, para("What is not known of the friction is worth %.0f ±%.0f points of the odds: do the test.", 100*math.Abs(d), math.Ceil(100*1.645*math.Hypot(r.Known[0].SE, r.Known[1].SE))))
	} else {
		s.Blocks = append(s.Blocks, para("What is not known of the friction moves the odds by less than three points as she is set now."))
	}
	return s
}

// LaunchMapChart is the map of odds.
func LaunchMapChart(p Subject, m *seek.Map) *chart.Chart {
	ac := p.Results.Aircraft
	scale := func(l seek.Lever, v []float64) []float64 {
		out := make([]float64, len(v))
		for i := range v {
			out[i] = v[i] / l.Scale
		}
		return out
	}
	name := func(l seek.Lever) string {
		u := l.Unit
		if u == "deg" {
			u = "°"
		}
		return upper(l.Noun) + ", " + u
	}
	c := &chart.Chart{
		Title: ac.Name + ": launch odds, %", X: chart.Axis{Label: name(m.X)}, Y: chart.Axis{Label: name(m.Y)},
		Grid:    &chart.Grid{X: scale(m.X, m.XS), Y: scale(m.Y, m.YS), Z: m.Odds, Limit: ac.Limits.LaunchOdds},
		Caption: fmt.Sprintf("all else %s; within the heavy line %s or more", m.Base, percent(ac.Limits.LaunchOdds)),
	}
	x, y := m.At[0]/m.X.Scale, m.At[1]/m.Y.Scale
	c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: []float64{x}, Y: []float64{y}, Ink: 1})
	word := "best"
	if m.Base != seek.AtBest {
		word = "now"
	}
	c.Notes = append(c.Notes, chart.Note{X: x, Y: y, Text: word})
	return c
}

// ToleranceJSON is one best setting with how far it may stray; angles in degrees.
type ToleranceJSON struct {
	Path     string `json:"path"`
	Label    string `json:"label"`
	Unit     string `json:"unit"`
	Now      Float  `json:"now"`
	Value    Float  `json:"value"`
	Low      Float  `json:"low"`
	High     Float  `json:"high"`
	LowFree  bool   `json:"low_free"`
	HighFree bool   `json:"high_free"`
	Interval Spans  `json:"interval,omitempty"`
}

// BestJSON is the best settings found.
type BestJSON struct {
	Set         []string        `json:"set"`
	Settings    []ToleranceJSON `json:"settings"`
	Odds        Quantity        `json:"odds"`
	Before      Quantity        `json:"odds_before"`
	After       Quantity        `json:"odds_after_rerun"`
	Verified    bool            `json:"verified"`
	Spoils      []string        `json:"spoils"`
	ToleranceTo Float           `json:"tolerance_odds"`
	Limited     string          `json:"stretch_limited_by"`
	Balance     string          `json:"battery_limited_by"`
	Held        bool            `json:"as_set_is_best"`
	Tried       int             `json:"settings_tried"`
	Flown       int             `json:"launches_flown"`
}

// MapJSON is the odds over two settings; odds[j][i] at x.values[i], y.values[j].
type MapJSON struct {
	X    MapAxisJSON `json:"x"`
	Y    MapAxisJSON `json:"y"`
	Odds [][]Float   `json:"odds"`
	Low  [][]Float   `json:"odds_low"`
	High [][]Float   `json:"odds_high"`
	N    int         `json:"n"`
	Base string      `json:"all_else"`
}

// MapAxisJSON is one axis of the map.
type MapAxisJSON struct {
	Path   string  `json:"path"`
	Label  string  `json:"label"`
	Unit   string  `json:"unit"`
	Values []Float `json:"values"`
	At     Float   `json:"at"`
}

// LeverJSON is what one practical step of a lever does to the odds.
type LeverJSON struct {
	Path  string   `json:"path"`
	Label string   `json:"label"`
	Step  Float    `json:"step"`
	Unit  string   `json:"unit"`
	Up    StepJSON `json:"up"`
	Down  StepJSON `json:"down"`
	Size  Float    `json:"size"`
	Say   string   `json:"raises_the_odds"`
}

// StepJSON is one step; null change when it cannot be taken.
type StepJSON struct {
	Change Float `json:"odds_change"`
	SE     Float `json:"standard_error"`
}

// RingJSON is what the ring's grip does to the odds.
type RingJSON struct {
	Rake     Float          `json:"rake_deg"`
	Friction Float          `json:"friction"`
	Burr     Float          `json:"burr_deg"`
	Slides   Float          `json:"slides_off_at_deg"`
	Odds     Float          `json:"odds"`
	OddsLow  Float          `json:"odds_low"`
	OddsHigh Float          `json:"odds_high"`
	N        int            `json:"n"`
	Known    []RingCaseJSON `json:"known_ends"`
	Bench    []RingCaseJSON `json:"bench_test"`
	WhatIf   []RingCaseJSON `json:"what_if"`
}

// RingCaseJSON is one state of hook and ring.
type RingCaseJSON struct {
	Say       string `json:"say"`
	Tilt      Float  `json:"tilt_deg"`
	Friction  Float  `json:"friction"`
	Odds      Float  `json:"odds"`
	Change    Float  `json:"odds_change"`
	SE        Float  `json:"standard_error"`
	Stuck     Float  `json:"ring_still_on"`
	OddsLow   Float  `json:"odds_low"`
	OddsHigh  Float  `json:"odds_high"`
	StuckLow  Float  `json:"ring_still_on_low"`
	StuckHigh Float  `json:"ring_still_on_high"`
}

// LaunchMoreJSON is the body of `launch` with best settings, map, levers and ring.
type LaunchMoreJSON struct {
	LaunchJSON
	BestSettings  *BestJSON   `json:"best_settings"`
	Map           *MapJSON    `json:"map"`
	Levers        []LeverJSON `json:"levers"`
	StuckRing     *RingJSON   `json:"stuck_ring"`
	StuckRingBest *RingJSON   `json:"stuck_ring_at_best"`
}

// siUnit is the JSON unit of a lever with what its SI value is multiplied by.
func siUnit(l seek.Lever, ac *craft.Aircraft) (string, float64) {
	k, _ := ac.Knob(l.Path)
	switch k.Dim {
	case "angle":
		return "deg", 180 / math.Pi
	case "length":
		return "m", 1
	case "mass":
		return "kg", 1
	case "time":
		return "s", 1
	case "speed":
		return "m/s", 1
	}
	return "1", 1
}

// LaunchMoreBody is the whole JSON of a launch.
func LaunchMoreBody(base LaunchJSON, ac *craft.Aircraft, m LaunchMore) LaunchMoreJSON {
	out := LaunchMoreJSON{LaunchJSON: base, Levers: []LeverJSON{}, StuckRing: ringJSON(m.Ring), StuckRingBest: ringJSON(m.RingBest)}
	if b := m.Best; b != nil {
		j := &BestJSON{Set: strs(b.Sets()), Settings: []ToleranceJSON{}, Odds: Q(b.Odds), Before: Q(b.Before), Verified: b.Verified, Spoils: strs(b.Spoils),
			ToleranceTo: Float(b.Least), Limited: b.Limit, Balance: b.Balance, Held: b.Held, Tried: b.Evals, Flown: b.Launches}
		j.After = absent("1", "not rerun")
		if b.After.Unit != "" {
			j.After = Q(b.After)
		}
		for i := range b.Settings {
			t := &b.Settings[i]
			u, k := siUnit(t.Setting.Lever, ac)
			j.Settings = append(j.Settings, ToleranceJSON{t.Setting.Lever.Path, t.Setting.Lever.Noun, u, Float(k * t.Now), Float(k * t.Setting.Value), Float(k * t.Low), Float(k * t.High), t.FreeLow, t.FreeHigh, spanOf("value", k*t.EvenLow, k*t.EvenHigh)})
		}
		out.BestSettings = j
	}
	if g := m.Map; g != nil {
		axis := func(l seek.Lever, v []float64, at float64) MapAxisJSON {
			u, k := siUnit(l, ac)
			a := MapAxisJSON{Path: l.Path, Label: l.Noun, Unit: u, At: Float(k * at)}
			for _, x := range v {
				a.Values = append(a.Values, Float(k*x))
			}
			return a
		}
		j := &MapJSON{X: axis(g.X, g.XS, g.At[0]), Y: axis(g.Y, g.YS, g.At[1]), N: g.N, Base: g.Base}
		for _, row := range g.Odds {
			r := make([]Float, len(row))
			low, high := make([]Float, len(row)), make([]Float, len(row))
			for i, v := range row {
				r[i] = Float(v)
				low[i], high[i] = counted(v, g.N)
			}
			j.Odds, j.Low, j.High = append(j.Odds, r), append(j.Low, low), append(j.High, high)
		}
		out.Map = j
	}
	move := func(k seek.Move) StepJSON {
		if !k.Tried {
			return StepJSON{Float(math.NaN()), Float(math.NaN())}
		}
		return StepJSON{Float(k.Change), Float(k.SE)}
	}
	for _, e := range m.Levers {
		u, k := siUnit(e.Lever, ac)
		out.Levers = append(out.Levers, LeverJSON{e.Lever.Path, e.Say, Float(k * e.Step), u, move(e.Up), move(e.Down), Float(e.Size), e.Better})
	}
	return out
}

func ringJSON(r *seek.Ring) *RingJSON {
	if r == nil {
		return nil
	}
	list := func(cs []seek.RingCase) []RingCaseJSON {
		out := []RingCaseJSON{}
		for _, c := range cs {
			k := RingCaseJSON{Say: c.Say, Tilt: Float(deg(c.Grip)), Friction: Float(c.Friction), Odds: Float(c.Odds), Change: Float(c.Change), SE: Float(c.SE), Stuck: Float(c.Stuck)}
			k.OddsLow, k.OddsHigh = counted(c.Odds, r.N)
			k.StuckLow, k.StuckHigh = counted(c.Stuck, r.N)
			out = append(out, k)
		}
		return out
	}
	low, high := counted(r.Odds, r.N)
	return &RingJSON{Float(deg(r.Rake)), Float(r.Friction), Float(deg(r.Burr)), Float(deg(r.Slides)), Float(r.Odds), low, high, r.N, list(r.Known[:]), list(r.Bench), list(r.WhatIf)}
}
