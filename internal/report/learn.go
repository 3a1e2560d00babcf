package report

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/learn"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// HeldBack is evidence of the logbook or a log that was not used.
type HeldBack struct{ What, Why string }

// RecordedLaunch is one launch on record; Other says why it does not count
// for the build as it is set now.
type RecordedLaunch struct {
	ID    int64
	Day   string
	Flew  bool
	Other string
}

// NextFlight is the plan of the next flight or bench test.
type NextFlight struct {
	Aims  []learn.Aim
	Cards []learn.Card      // the best first
	Tells map[string]string // factor to the card that tells it best
}

// Learning is what the learn page shows.
type Learning struct {
	Aircraft, Before *craft.Aircraft // as taught, and untaught
	Result           *learn.Result
	Heirs            []string
	Held             []HeldBack
	Launches         []RecordedLaunch
	Record           *learn.Record
	Untaught, Now    *assess.Results // nil when not asked
	Verdict          verdict.Verdict
	Next             *NextFlight
	Kept             bool
	KeptReadings     int
	NotKept          string
	Forget           bool
	Forgotten        int
	Seed             uint64
	Units            unit.System
}

// LearnPage is the page of what the evidence teaches.
func LearnPage(p Learning) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	d := &Doc{Title: p.Aircraft.Name + ": what the evidence teaches"}
	if p.Forget {
		d.Title = p.Aircraft.Name + ": forgotten"
		d.Lead = append(d.Lead, fmt.Sprintf("%d learned factors of this aeroplane count no more. The readings stay in the logbook: fledge learn fits them anew.", p.Forgotten))
		return d
	}
	r := p.Result
	d.Lead = append(d.Lead, p.lead())
	d.Lead = append(d.Lead, p.kept())
	d.Sections = append(d.Sections, p.factors(), p.moves(), p.untold(), p.readings(), p.refused(), p.forecasts(), p.record(), p.next())
	if r.Word == learn.Learned && len(p.Heirs) > 0 {
		d.Lead = append(d.Lead, "Its prior holds what was learned on "+strings.Join(p.Heirs, ", ")+".")
	}
	d.Sections = append(d.Sections, cautionSection(careful("propeller")))
	return d
}

func (p *Learning) lead() string {
	r := p.Result
	n := len(r.Readings)
	switch r.Word {
	case learn.Nothing:
		return "There is no evidence yet: every factor is what the models and the build say."
	case learn.Learned:
		told := 0
		for _, f := range r.Factors {
			if f.Told {
				told++
			}
		}
		return fmt.Sprintf("Learned from %s: %s told by the data. Chance of a misfit as large, if model and doubts are right: %.2f.", r.Lesson.Say, numbered(told, "factor is", "factors are"), r.P)
	case learn.Untold:
		return "Not learned: " + r.Why + "."
	case learn.Failed:
		return "Not learned: " + r.Why + "."
	}
	return fmt.Sprintf("Not learned: %s (%s, chance of such a misfit %.1g)", r.Why, numbered(n, "reading", "readings"), r.P)
}

func (p *Learning) kept() string {
	readings := ""
	if p.KeptReadings > 0 {
		readings = fmt.Sprintf(" %s kept in the logbook.", numbered(p.KeptReadings, "new reading is", "new readings are"))
	}
	switch {
	case p.Kept:
		return "Kept in the hangar: every verb uses it from now on, or not with --untaught." + readings
	case p.NotKept != "":
		return upper(p.NotKept) + "."
	case p.Result.Word == learn.Learned:
		return "Only looked at: nothing is kept." + readings
	}
	return "What was learned before stays as it was." + readings
}

func numbered(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// factorValue prints a factor with two standard deviations.
func factorValue(f *learn.Factor, v, sd float64) string {
	if f.Shift {
		return fmt.Sprintf("%+.4f ± %.4f", v, 2*sd)
	}
	return fmt.Sprintf("%.3f ± %.3f", v, 2*sd)
}

func (p *Learning) factors() Section {
	s := Section{Title: "Before and after"}
	t := &Table{Head: []string{"factor", "before", "after", "told"}, Right: []bool{false, true, true, true}, Wrap: 0, Least: 24}
	for i := range p.Result.Factors {
		f := &p.Result.Factors[i]
		if p.Result.Word == learn.Learned && f.Share < 0.05 && math.Abs(f.After-f.Before) < 0.1*f.BeforeSD {
			continue
		}
		if p.Result.Word != learn.Learned && p.Result.Word != learn.Untold {
			continue
		}
		told := fmt.Sprintf("%.0f %%", 100*math.Max(0, f.Share))
		if f.Told {
			told = "yes, " + told
		}
		t.Rows = append(t.Rows, []string{f.Label, factorValue(f, f.Before, f.BeforeSD), factorValue(f, f.After, f.AfterSD), told})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t}, para("Multipliers on what the build or the model says (moments and neutral point: shifts), ± two standard deviations. Told: the share of the variance that the data took away; from 60 %% the data tell the factor, below it is carried along with the others."))
	}
	return s
}

// moves says which reading moved what.
func (p *Learning) moves() Section {
	s := Section{Title: "Which reading moved what"}
	var list []string
	for i := range p.Result.Readings {
		var by []string
		for k := range p.Result.Factors {
			f := &p.Result.Factors[k]
			for _, m := range f.Moves {
				switch {
				case m.Reading != i:
				case math.Abs(m.By) > 0.05:
					by = append(by, fmt.Sprintf("%s %+.1f", f.Label, m.By))
				case m.Widens > 0.1:
					by = append(by, f.Label+" (confirms it)")
				}
			}
		}
		if len(by) > 0 {
			list = append(list, upper(p.Result.Readings[i].Key())+": "+strings.Join(by, ", ")+".")
		}
	}
	if len(list) > 0 && p.Result.Word == learn.Learned {
		s.Blocks = append(s.Blocks, Block{List: list}, para("In standard deviations of before: by how much the factor would lie elsewhere without the reading."))
	}
	return s
}

// untold says which factors wait for which test.
func (p *Learning) untold() Section {
	s := Section{Title: "Not told yet"}
	r := p.Result
	if r.Word == learn.Quarrel || r.Word == learn.Stranger {
		return s
	}
	var list []string
	for _, f := range r.Factors {
		if f.Told {
			continue
		}
		how := ""
		if p.Next != nil {
			how = p.Next.Tells[f.Name]
		}
		if how == "" {
			if how = telling[f.Name]; how == "" {
				continue
			}
		}
		list = append(list, upper(f.Label)+": "+how+".")
	}
	if len(list) > 0 {
		s.Blocks = append(s.Blocks, Block{List: list})
	}
	return s
}

// telling is what tells a factor, where no plan was asked for.
var telling = map[string]string{
	"drag": "glides with the motor off at three speeds, with their sink", "lift-max": "stalls at height", "pitch-trim": "the stick that holds level flight at a known airspeed",
	"thrust": "static pull with the luggage scale, with volts", "torque": "static volts, amps and rpm together", "advance": "level speed passes at full throttle, with the propeller's static run known",
	"kv": "static volts, amps and rpm together", "resistance": "static runs at two loads", "cord": "a pull test on the day", "friction": "the tilt at which the ring slides off the hook",
	"throw": "a film of the throw from the side", "cell": "volts of the pack at two currents",
}

func (p *Learning) readings() Section {
	s := Section{Title: "The readings"}
	t := &Table{Head: []string{"reading", "read", "untaught", "as learned", "off by"}, Right: []bool{false, true, true, true, true}, Wrap: 0, Least: 20}
	for i := range p.Result.Readings {
		u := &p.Result.Readings[i]
		t.Rows = append(t.Rows, []string{u.Key(), readingValue(u.Kind, u.Value, u.SD, p.Units), readingValue(u.Kind, u.Was, u.WasSD, p.Units), readingValue(u.Kind, u.Predicted, u.PredictedSD, p.Units), fmt.Sprintf("%+.1f", u.Score)})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t}, para("Untaught and as learned: what the model says, ± two standard deviations of what is not known of it. Off by: against what the other readings say, in standard deviations."))
	}
	return s
}

// readingDim is the dimension a kind is printed in.
func readingDim(k learn.Kind) unit.Dim {
	switch k {
	case learn.LevelRevs, learn.BenchRevs:
		return unit.Rotation
	case learn.LevelAmps, learn.BenchAmps:
		return unit.Current
	case learn.BenchPull, learn.CordPull:
		return unit.Force
	case learn.RingAngle, learn.Attitude:
		return unit.Angle
	case learn.Trim:
		return unit.Ratio
	case learn.PackOhms:
		return unit.Resistance
	}
	return unit.Speed
}

func readingValue(k learn.Kind, v, sd float64, sys unit.System) string {
	if math.IsNaN(v) {
		return "-"
	}
	d := readingDim(k)
	if sd > 0 {
		say, half := unit.Format(v, d, sys), unit.Format(2*sd, d, sys)
		if i, j := strings.LastIndexByte(say, ' '), strings.LastIndexByte(half, ' '); i > 0 && j > 0 && say[i:] == half[j:] {
			say = say[:i]
		}
		return say + " ± " + half
	}
	return unit.Format(v, d, sys)
}

func (p *Learning) refused() Section {
	s := Section{Title: "Not used"}
	var list []string
	for i := range p.Result.Refused {
		x := &p.Result.Refused[i]
		say := fmt.Sprintf("%s, %s: %s", x.Reading.Key(), readingValue(x.Reading.Kind, x.Reading.Value, 0, p.Units), x.Why)
		if !math.IsNaN(x.Expected) {
			say = fmt.Sprintf("%s, %s: set aside, it %s; expected %s", x.Reading.Key(), readingValue(x.Reading.Kind, x.Reading.Value, 0, p.Units), x.Why, readingValue(x.Reading.Kind, x.Expected, x.SD, p.Units))
		}
		list = append(list, say+".")
	}
	for _, h := range p.Held {
		list = append(list, h.What+": "+h.Why+".")
	}
	if len(list) > 0 {
		s.Blocks = append(s.Blocks, Block{List: list})
	}
	return s
}

// learnForecasts are the numbers shown before and after.
var learnForecasts = []struct {
	label string
	id    assess.ID
	dim   unit.Dim
}{
	{"top speed", assess.TopSpeed, unit.Speed}, {"stall speed", assess.StallSpeed, unit.Speed}, {"climb rate", assess.ClimbRate, unit.Speed},
	{"glide ratio", assess.GlideRatio, unit.Ratio}, {"endurance", assess.EnduranceTime, unit.Time}, {"static pull", assess.StaticThrust, unit.Force}, {"largest current", assess.CurrentMax, unit.Current},
}

func (p *Learning) forecasts() Section {
	s := Section{Title: "What it does to the forecasts"}
	if p.Now == nil || p.Now == p.Untaught {
		return s
	}
	t := &Table{Head: []string{"", "untaught", "as learned"}, Right: []bool{false, true, true}, Wrap: -1}
	bare := func(q assess.Quantity, d unit.Dim) string {
		if d == unit.Ratio && q.Status == "" {
			return fmt.Sprintf("%.1f (%.1f to %.1f)", q.Value, q.Low, q.High)
		}
		return show(q, d, p.Units)
	}
	for _, f := range learnForecasts {
		a, b := p.Untaught.Get(f.id), p.Now.Get(f.id)
		if a.Status != "" && b.Status != "" {
			continue
		}
		if was, now := bare(a, f.dim), bare(b, f.dim); was != now {
			t.Rows = append(t.Rows, []string{f.label, was, now})
		}
	}
	if p.Now.Launch.Asked {
		odds := func(q assess.Quantity) string { return fmt.Sprintf("%.2f (%.2f to %.2f)", q.Value, q.Low, q.High) }
		if was, now := odds(p.Untaught.Launch.Odds), odds(p.Now.Launch.Odds); was != now {
			t.Rows = append(t.Rows, []string{"launch odds", was, now})
		}
	}
	if len(t.Rows) == 0 {
		s.Blocks = append(s.Blocks, para("Nothing of speeds, climb, endurance, pull and odds changes in the digits printed."))
		return s
	}
	s.Blocks = append(s.Blocks, Block{Table: t}, para("In brackets: 90 %% of what is not known. What does not change is left out."))
	return s
}

func (p *Learning) record() Section {
	s := Section{Title: "The record of launches"}
	if len(p.Launches) == 0 || p.Record == nil {
		return s
	}
	var flown, other []string
	for _, l := range p.Launches {
		if l.Other != "" {
			other = append(other, fmt.Sprintf("flight %d (%s)", l.ID, l.Other))
			continue
		}
		flown = append(flown, fmt.Sprint(l.ID))
	}
	if len(flown) > 0 {
		s.Blocks = append(s.Blocks, para("%s", recordLine(p.Record)))
	}
	if len(other) > 0 {
		s.Blocks = append(s.Blocks, para("Not counted, flown with other settings: %s.", strings.Join(other, ", ")))
	}
	return s
}

// recordLine sets the record beside what physics says.
func recordLine(r *learn.Record) string {
	if r.Flown == 0 {
		return ""
	}
	say := fmt.Sprintf("Launch record: %d of %d flew at these settings. Physics says %.2f (%.2f to %.2f); with the record %.2f (%.2f to %.2f), and %.2f that the next three all fly.",
		r.Flew, r.Flown, r.Physics[0], r.Physics[1], r.Physics[2], r.Value, r.Low, r.High, r.NextThree)
	if r.Odd {
		say += fmt.Sprintf(" The record does not fit the forecast (chance %.1g): something is other than the build says.", r.AsOdd)
	}
	return say
}

func (p *Learning) next() Section {
	s := Section{Title: "What to do next"}
	if p.Next == nil {
		return s
	}
	if len(p.Next.Cards) == 0 {
		s.Blocks = append(s.Blocks, para("No single flight or bench test of those known would narrow the doubt of the verdict by much."))
		return s
	}
	best := &p.Next.Cards[0]
	s.Blocks = append(s.Blocks, para("%s (%s).", upper(best.Name), best.Where), Block{List: best.Steps})
	var gains []string
	for _, g := range best.Gain {
		a := &p.Next.Aims[g.Aim]
		if g.SDThen > 0.98*g.SDNow {
			continue
		}
		say := fmt.Sprintf("%s: doubt down by %.0f %%", a.Label, 100*(1-g.SDThen/g.SDNow))
		if g.WrongNow-g.WrongThen > 0.005 {
			say += fmt.Sprintf(", chance to be judged wrongly from %.2f to %.2f", g.WrongNow, g.WrongThen)
		}
		gains = append(gains, say)
	}
	if len(gains) > 0 {
		s.Blocks = append(s.Blocks, para("What it would do, whatever is read:"), Block{List: gains})
	}
	if len(best.Factors) > 0 {
		s.Blocks = append(s.Blocks, para("It tells %s.", strings.Join(best.Factors, ", ")))
	}
	var others []string
	for _, c := range p.Next.Cards[1:min(6, len(p.Next.Cards))] {
		most := c.Gain[0]
		for _, g := range c.Gain {
			if g.SDThen/g.SDNow < most.SDThen/most.SDNow {
				most = g
			}
		}
		others = append(others, fmt.Sprintf("%s (%s): %.0f %% off the doubt in the %s.", upper(c.Name), c.Where, 100*(1-most.SDThen/most.SDNow), p.Next.Aims[most.Aim].Label))
	}
	if len(others) > 0 {
		s.Blocks = append(s.Blocks, para("After it, or instead:"), Block{List: others})
	}
	return s
}

// LearnFactorJSON is one factor before and after.
type LearnFactorJSON struct {
	Name      string          `json:"name"`
	Label     string          `json:"label"`
	Component string          `json:"component"`
	Input     string          `json:"input"`
	Shift     bool            `json:"shift"`
	Before    Quantity        `json:"before"`
	After     Quantity        `json:"after"`
	Share     Float           `json:"share"`
	Told      bool            `json:"told"`
	MovedBy   []LearnMoveJSON `json:"moved_by"`
}

// LearnMoveJSON is what one reading did to a factor.
type LearnMoveJSON struct {
	Reading string `json:"reading"`
	By      Float  `json:"by_sigmas"`
	Widens  Float  `json:"widens"`
}

// LearnReadingJSON is one reading used.
type LearnReadingJSON struct {
	Reading  string `json:"reading"`
	Kind     string `json:"kind"`
	Value    Float  `json:"value"`
	Sigma    Float  `json:"sigma"`
	Unit     string `json:"unit"`
	Untaught Float  `json:"untaught"`
	Learned  Float  `json:"as_learned"`
	Score    Float  `json:"off_by_sigmas"`
	Spans    Spans  `json:"interval,omitempty"`
}

// LearnRefusedJSON is one reading not used.
type LearnRefusedJSON struct {
	Reading  string `json:"reading"`
	Why      string `json:"why"`
	Value    Float  `json:"value"`
	Expected Float  `json:"expected"`
	Sigma    Float  `json:"sigma"`
}

// LearnForecastJSON is one number before and after.
type LearnForecastJSON struct {
	What     string   `json:"what"`
	Untaught Quantity `json:"untaught"`
	Learned  Quantity `json:"as_learned"`
}

// RecordJSON is the record of launches beside what physics says.
type RecordJSON struct {
	Flown     int      `json:"flown"`
	Flew      int      `json:"flew"`
	Physics   Quantity `json:"physics"`
	With      Quantity `json:"with_record"`
	PriorA    Float    `json:"prior_a"`
	PriorB    Float    `json:"prior_b"`
	NextThree Float    `json:"next_three"`
	AsOdd     Float    `json:"chance_as_odd"`
	Fits      bool     `json:"fits"`
}

func recordJSON(r *learn.Record) *RecordJSON {
	if r == nil || r.Flown == 0 {
		return nil
	}
	q := func(v, lo, hi float64) Quantity { return Q(assess.Quantity{Value: v, Low: lo, High: hi, Unit: "1"}) }
	return &RecordJSON{r.Flown, r.Flew, q(r.Physics[0], r.Physics[1], r.Physics[2]), q(r.Value, r.Low, r.High), Float(r.Prior.A), Float(r.Prior.B), Float(r.NextThree), Float(r.AsOdd), !r.Odd}
}

// NextJSON is one flight or bench test that may come next.
type NextJSON struct {
	Name    string     `json:"name"`
	Where   string     `json:"where"`
	Steps   []string   `json:"steps"`
	Tells   []string   `json:"tells"`
	Gains   []GainJSON `json:"gains"`
	Wrongly Float      `json:"judged_wrongly"`
}

// GainJSON is what it would do to one number.
type GainJSON struct {
	What      string `json:"what"`
	Finding   string `json:"finding"`
	SigmaNow  Float  `json:"sigma_now"`
	SigmaThen Float  `json:"sigma_then"`
	WrongNow  Float  `json:"wrongly_now"`
	WrongThen Float  `json:"wrongly_then"`
}

// LearnJSON is the body of `learn`.
type LearnJSON struct {
	Schema    int                 `json:"schema"`
	Build     string              `json:"build"`
	Hash      string              `json:"hash"`
	Seed      uint64              `json:"seed"`
	Taught    []TaughtJSON        `json:"taught"`
	Status    string              `json:"status"`
	Because   string              `json:"because"`
	Kept      bool                `json:"kept"`
	NewKept   int                 `json:"readings_kept"`
	Forgotten int                 `json:"forgotten"`
	Chance    Float               `json:"chance"`
	Factors   []LearnFactorJSON   `json:"factors"`
	Together  map[string]Float    `json:"correlations"`
	Readings  []LearnReadingJSON  `json:"readings"`
	Refused   []LearnRefusedJSON  `json:"refused"`
	Bundle    []string            `json:"told_together"`
	Heirs     []string            `json:"prior_from"`
	Forecasts []LearnForecastJSON `json:"forecasts"`
	Record    *RecordJSON         `json:"launch_record"`
	Other     []string            `json:"launches_not_counted"`
	Next      []NextJSON          `json:"next"`
	Cautions  []string            `json:"cautions"`
}

// LearnBody is the JSON of what the evidence teaches.
func LearnBody(p Learning) LearnJSON {
	r := p.Result
	out := LearnJSON{Schema: Schema, Build: p.Aircraft.Name, Hash: p.Aircraft.Hash, Seed: p.Seed, Taught: taughtJSON(p.Aircraft), Status: string(r.Word), Because: r.Why,
		Kept: p.Kept, NewKept: p.KeptReadings, Forgotten: p.Forgotten, Chance: Float(r.P), Factors: []LearnFactorJSON{}, Together: map[string]Float{}, Readings: []LearnReadingJSON{}, Refused: []LearnRefusedJSON{},
		Bundle: strs(r.Bundle), Heirs: strs(p.Heirs), Forecasts: []LearnForecastJSON{}, Record: recordJSON(p.Record), Other: []string{}, Next: []NextJSON{}, Cautions: careful("propeller")}
	for i := range r.Factors {
		f := &r.Factors[i]
		q := func(v, sd float64) Quantity {
			return Q(assess.Quantity{Value: v, Low: v - 1.6448536269514722*sd, High: v + 1.6448536269514722*sd, Unit: "1"})
		}
		j := LearnFactorJSON{Name: f.Name, Label: f.Label, Component: f.Component, Input: f.Path, Shift: f.Shift, Before: q(f.Before, f.BeforeSD), After: q(f.After, f.AfterSD), Share: Float(f.Share), Told: f.Told, MovedBy: []LearnMoveJSON{}}
		for _, m := range f.Moves {
			j.MovedBy = append(j.MovedBy, LearnMoveJSON{r.Readings[m.Reading].Key(), Float(m.By), Float(m.Widens)})
		}
		out.Factors = append(out.Factors, j)
	}
	if l := r.Lesson; l != nil {
		for i := range l.Factors {
			for k := range i {
				out.Together[l.Factors[k].Name+","+l.Factors[i].Name] = Float(l.Rho(i, k))
			}
		}
	}
	for i := range r.Readings {
		u := &r.Readings[i]
		out.Readings = append(out.Readings, LearnReadingJSON{u.Key(), string(u.Kind), Float(u.Value), Float(u.SD), u.Unit(), Float(u.Was), Float(u.Predicted), Float(u.Score), readingSpans(u)})
	}
	for i := range r.Refused {
		x := &r.Refused[i]
		out.Refused = append(out.Refused, LearnRefusedJSON{x.Reading.Key(), x.Why, Float(x.Reading.Value), Float(x.Expected), Float(x.SD)})
	}
	for _, h := range p.Held {
		out.Refused = append(out.Refused, LearnRefusedJSON{h.What, h.Why, Float(math.NaN()), Float(math.NaN()), Float(math.NaN())})
	}
	if p.Now != nil {
		for _, f := range learnForecasts {
			out.Forecasts = append(out.Forecasts, LearnForecastJSON{f.label, Q(p.Untaught.Get(f.id)), Q(p.Now.Get(f.id))})
		}
		if p.Now.Launch.Asked {
			out.Forecasts = append(out.Forecasts, LearnForecastJSON{"launch odds", Q(p.Untaught.Launch.Odds), Q(p.Now.Launch.Odds)})
		}
	}
	for _, l := range p.Launches {
		if l.Other != "" {
			out.Other = append(out.Other, fmt.Sprintf("flight %d: %s", l.ID, l.Other))
		}
	}
	sort.Strings(out.Other)
	if p.Next != nil {
		for _, c := range p.Next.Cards {
			j := NextJSON{c.Name, c.Where, strs(c.Steps), strs(c.Factors), []GainJSON{}, Float(c.Wrong)}
			for _, g := range c.Gain {
				a := &p.Next.Aims[g.Aim]
				j.Gains = append(j.Gains, GainJSON{a.Label, a.ID, Float(g.SDNow), Float(g.SDThen), Float(g.WrongNow), Float(g.WrongThen)})
			}
			out.Next = append(out.Next, j)
		}
	}
	return out
}

// readingSpans are the 90 % intervals of a reading and of what the model says of it.
func readingSpans(u *learn.Used) Spans {
	out := Spans{}
	for _, k := range []struct {
		key   string
		v, sd float64
	}{{"value", u.Value, u.SD}, {"untaught", u.Was, u.WasSD}, {"as_learned", u.Predicted, u.PredictedSD}} {
		if k.sd > 0 && !math.IsNaN(k.v) {
			out[k.key] = [2]Float{Float(k.v - 1.6449*k.sd), Float(k.v + 1.6449*k.sd)}
		}
	}
	return out
}
