package report

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/evidence"
	"fledge/internal/unit"
)

var formatWords = map[string]string{"gpx": "GPX track", "nmea": "NMEA 0183 sentences", "igc": "IGC flight record", "csv": "table of values", "wav": "sound recording", "readings": "typed readings"}

// record says in one breath what the log is.
func (p *Debriefed) record(b *evidence.Debrief) string {
	what := formatWords[b.Format]
	if what == "" {
		what = b.Format
	}
	if b.Format == "readings" {
		return fmt.Sprintf("%s, %s", count(b.Samples, "typed reading"), count(b.Used, "number")+" made of them")
	}
	s := upper(what)
	unitOf := "record"
	if b.Format == "wav" {
		unitOf = "sample"
	}
	s += fmt.Sprintf(": %s in %s", count(b.Samples, unitOf), p.fmt(b.Duration.Value, unit.Time))
	if b.Format != "wav" {
		s += fmt.Sprintf(", %d set aside", b.Dropped)
	}
	if b.Gaps > 0 {
		s += ", " + count(b.Gaps, "gap")
	}
	if b.Sections > 1 {
		s += fmt.Sprintf(", in %d unbroken stretches", b.Sections)
	}
	if b.Start != "" {
		s += "; it begins " + strings.NewReplacer("T", " at ", "Z", " UTC").Replace(b.Start)
	}
	if strings.HasPrefix(b.HeightsFrom, "no heights") {
		s += "; no heights"
	} else if b.HeightsFrom != "" {
		s += "; heights from " + b.HeightsFrom
	}
	return s
}

// count is "1 gap", "2 gaps".
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// few prints a small angle of doubt in degrees.
func few(v float64) string {
	if v < 1 {
		return "less than 1"
	}
	return fmt.Sprintf("%.0f", v)
}

// columns shows how a table was read.
func (p *Debriefed) columns(b *evidence.Debrief) []Block {
	m := b.Columns
	if m == nil {
		return nil
	}
	t := &Table{Head: []string{"column", "read as", "unit", "because"}, Wrap: 3}
	for _, c := range m.Columns {
		name := c.Name
		if name == "" {
			name = fmt.Sprintf("no. %d", c.Index+1)
		}
		u := c.Unit
		if u == "" {
			u = "-"
		}
		t.Rows = append(t.Rows, []string{clip(name, 24), string(c.Channel), u, c.Because})
	}
	out := []Block{para("Its columns were read so:"), {Table: t}}
	if len(m.Unused) > 0 {
		left := m.Unused
		if len(left) > 12 {
			left = append(append([]string(nil), left[:12]...), fmt.Sprintf("and %d more", len(m.Unused)-12))
		}
		for i := range left {
			left[i] = clip(left[i], 24)
		}
		out = append(out, para("Not used: %s.", strings.Join(left, ", ")))
	}
	if p.SaveHint {
		out = append(out, para("If that is wrong, keep the map with --save-columns FILE, change it and give it back with --columns FILE (of several logs: LOG=FILE in both, once each); the next log of this recorder is then read the same way."))
	}
	return out
}

func clip(s string, n int) string {
	r := []rune(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s))
	if len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return string(r)
}

// peak says whether the fastest moment was a dive.
func (p *Debriefed) peak(k *evidence.Peak) string {
	say := map[string]string{"level": "The fastest moment was in level flight.", "dive": "The fastest moment was a dive: it says nothing of level speed.",
		"climb": "The fastest moment was in a climb.", "in a turn": "The fastest moment was in a turn."}[k.Kind]
	if say == "" {
		say = "The fastest moment: " + k.Kind + "."
	}
	if k.Dive != nil && k.Dive.High > 0.5 {
		say += fmt.Sprintf(" Height gave between %.1f and %.1f m/s of it.", math.Max(0, k.Dive.Low), k.Dive.High)
	}
	return say
}

// plain prints a measured value and its 90 % interval in people's units.
func (p *Debriefed) plain(v, sigma float64, u string) (value, in string) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "not known", "-"
	}
	if u == "m/s" && p.Units == unit.Metric && sigma > 0 && sigma < 0.09 { // a tenth would hide the doubt
		return fmt.Sprintf("%.2f m/s", v), fmt.Sprintf("%.2f to %.2f m/s", v-1.645*sigma, v+1.645*sigma)
	}
	d, ok := map[string]unit.Dim{"m/s": unit.Speed, "kg": unit.Mass, "s": unit.Time, "m": unit.Length, "N": unit.Force, "A": unit.Current, "V": unit.Voltage,
		"A s": unit.Charge, "J": unit.Energy, "W": unit.Power, "ohm": unit.Resistance}[u]
	if !ok {
		digits := 4 // or as many as the doubt tells
		if half := 1.645 * sigma; half > 0 && math.Abs(v) > half {
			digits = max(digits, min(9, 1+int(math.Floor(math.Log10(math.Abs(v))))-int(math.Floor(math.Log10(half)))))
		}
		value, in = strings.TrimSpace(fmt.Sprintf("%.*g %s", digits, v, u)), fmt.Sprintf("%.*g to %.*g", digits, v-1.645*sigma, digits, v+1.645*sigma)
	} else {
		value, in = p.fmt(v, d), p.fmt(v-1.645*sigma, d)+" to "+p.fmt(v+1.645*sigma, d)
	}
	if !(sigma > 0) {
		in = "-"
	}
	return value, in
}

// Mortem is why a launch failed, as the launch model sees it.
type Mortem struct {
	Model        *assess.PostMortem
	Told         string             // the outcome in the person's words
	From         string             // the log whose launch it is
	Logged       bool               // found in a log, not told
	Speed        *evidence.Quantity // airspeed at release as read off the log; nil not
	Signs        []assess.Told
	Next         []evidence.Telling
	FlewBefore   bool
	Luck, Change float64
	SameSay      string
}

func mortemCautions() []string {
	return careful("bungee", "launch", "lithium", "proof")
}

// mortem is the section of a launch that failed.
func (p *Debriefed) mortem(d *Doc) {
	m := p.Mortem
	if m == nil || m.Model == nil {
		return
	}
	k := m.Model
	s := Section{Title: "Why the launch failed"}
	say := func(format string, args ...any) { s.Blocks = append(s.Blocks, para(format, args...)) }
	switch {
	case m.Logged:
		say("%s holds a launch and then a few seconds of flight: taken as a launch that failed.", m.From)
	case m.Told != "":
		say("As told: %s.", strings.TrimSuffix(m.Told, "."))
	}
	if k.N > 0 {
		say("The model flew %d launches of this build on this day: %s in 100 fly, %s in 100 end like this one.", k.N, hundredOf(k.Flew), hundredOf(k.Share))
	}
	if len(m.Signs) > 0 {
		var words []string
		for _, t := range m.Signs {
			w := t.Name
			if !t.Seen {
				w = "not " + w
			}
			words = append(words, w)
		}
		say("Weighed by what was seen: %s.", strings.Join(words, ", "))
	}
	if m.Speed != nil {
		say("Weighed by its airspeed at release: %s, the day's wind put in where the log tells none.", p.show(m.Speed, unit.Speed))
	}
	if k.Status != "" {
		say("%s.", upper(k.Status))
		say("Check first what the build says of balance, hook, cord pull, stick and wind against the aeroplane as it stands; a film from the side tells most. If something gave way, fledge strength says what it could bear.")
		d.Sections = append(d.Sections, s)
		return
	}
	if k.Meant {
		if k.Odds < 0.9 {
			say("With everything as the build says, and no gust, it flies, but these settings leave little to spare: a small thing was enough.")
		} else {
			say("With everything as the build says, and no gust, it flies, and nearly always does: look for what was otherwise this time.")
		}
	} else {
		say("Even with everything as the build says, and no gust, it fails: the settings themselves are at fault, not luck.")
	}
	say("%s.", upper(strings.TrimSuffix(k.Typical, ".")))
	t := &Table{Head: []string{"cause", "had it been", "flown, in 100", "those launches had"}, Wrap: 3}
	shown := 0
	for i := range k.Reasons {
		r := &k.Reasons[i]
		if x := r.Explains(); shown >= 6 || x.Value < 0.05 && shown >= 3 {
			break
		}
		shown++
		how, q := "as the build says", r.ButFor
		if r.Other != nil && r.Other.Saves.Value > r.ButFor.Value {
			how, q = p.turned(r.Other), r.Other.Saves
		}
		t.Rows = append(t.Rows, []string{causeName(r.Name), how, hundredOf(q), p.shifts(r.Main)})
	}
	s.Blocks = append(s.Blocks, Block{Table: t})
	say("Each line says in how many of 100 such launches this alone would have saved it, all else as it was. The lines need not add up to 100: a launch may need two faults.")
	if m.FlewBefore {
		say("Same settings as last time, failed this time: after a launch that flew, %s in 100 still end so.", hundredOf(k.Before))
		if m.SameSay != "" {
			say("%s. Luck %.0f to something changed %.0f, if one launch in five has something unseen about it.", upper(m.SameSay), 100*m.Luck, 100*m.Change)
		}
	}
	var next []string
	for _, n := range m.Next {
		next = append(next, fmt.Sprintf("Was it %s? (%.2f of a yes-or-no answer; say so with --seen or --not-seen)", n.Sign, n.Bits))
	}
	for i := range k.Reasons {
		if r := &k.Reasons[i]; i < 4 && r.Explains().Value >= 0.05 && r.Check != "" {
			for _, in := range r.Main {
				if in.How != "" {
					next = append(next, upper(in.Label)+": "+in.How+".")
					break
				}
			}
		}
	}
	if len(next) > 0 {
		say("What would tell them apart:")
		s.Blocks = append(s.Blocks, Block{List: next})
	}
	d.Sections = append(d.Sections, s)
}

// causeName leaves out what the name spells out.
func causeName(s string) string {
	a, _, _ := strings.Cut(s, ":")
	return a
}

// turned says a setting otherwise.
func (p *Debriefed) turned(o *assess.Different) string {
	dim, _ := unit.DimNamed(o.Dim)
	by := unit.Format(math.Abs(o.To-o.From), dim, p.Units)
	if v := math.Abs(o.To - o.From); o.Dim == "length" && v >= 0.5 && p.Units == unit.Metric {
		by = fmt.Sprintf("%.1f m", v)
	}
	if o.Dim == "ratio" {
		by = fmt.Sprintf("%.2g", math.Abs(o.To-o.From))
	}
	word := "more"
	if o.To < o.From {
		word = "less"
	}
	switch {
	case strings.HasSuffix(o.Path, ".x"):
		word = "aft"
		if o.To < o.From {
			word = "forward"
		}
	case o.Path == "launch.stick.pitch":
		word = "more up stick"
		if o.To < o.From {
			word = "less up stick"
		}
	case o.Path == "launch.motor_delay":
		word = "later"
		if o.To < o.From {
			word = "earlier"
		}
	case o.Path == "day.wind":
		word = "more wind"
		if o.To < o.From {
			word = "less wind"
		}
	}
	return strings.TrimSpace(by) + " " + word
}

// shifts says how the inputs of a cause lay in those launches.
func (p *Debriefed) shifts(list []assess.Shift) string {
	var out []string
	for _, s := range list {
		word := "higher"
		if s.By < 0 {
			word = "lower"
		}
		switch a := math.Abs(s.By); {
		case a < 0.25 || len(out) == 2:
			continue
		case a < 0.6:
			word = "a little " + word
		case a > 1.2:
			word = "much " + word
		}
		out = append(out, s.Label+" "+word)
	}
	if len(out) == 0 {
		return "nothing stands out"
	}
	return strings.Join(out, ", ")
}

func hundredOf(q assess.Quantity) string {
	return fmt.Sprintf("%.0f (%.0f to %.0f)", 100*q.Value, 100*q.Low, 100*q.High)
}

// DebriefJSON is the body of `debrief`: of one log, its keys at the top; of
// several, one object each under logs.
type DebriefJSON struct {
	Schema int `json:"schema"`
	*evidence.Debrief
	Claims     []evidence.Judged  `json:"claims"`
	Build      string             `json:"build,omitempty"`
	BuildHash  string             `json:"build_hash,omitempty"`
	Compared   []BesideJSON       `json:"compared,omitempty"`
	PostMortem *MortemJSON        `json:"post_mortem,omitempty"`
	Logs       []evidence.Debrief `json:"logs,omitempty"`
}

// BesideJSON is one number predicted, measured and claimed.
type BesideJSON struct {
	What      string             `json:"what"`
	Predicted *evidence.Quantity `json:"predicted"`
	Measured  *evidence.Quantity `json:"measured"`
	Claimed   *evidence.Quantity `json:"claimed"`
	By        string             `json:"by,omitempty"`
	Note      string             `json:"note,omitempty"`
}

// MortemJSON is the post-mortem of a launch.
type MortemJSON struct {
	Outcome  string             `json:"outcome,omitempty"`
	Log      string             `json:"log,omitempty"`
	N        int                `json:"n"`
	Odds     float64            `json:"odds"`
	OddsLow  Float              `json:"odds_low"`
	OddsHigh Float              `json:"odds_high"`
	Share    Quantity           `json:"share"`
	Matching float64            `json:"matching"`
	Meant    bool               `json:"flies_as_meant"`
	Status   string             `json:"status,omitempty"`
	Typical  string             `json:"typical,omitempty"`
	Causes   []CauseJSON        `json:"causes"`
	Ends     map[string]float64 `json:"ends,omitempty"`
	Signs    map[string]float64 `json:"signs,omitempty"`
	TellNext []string           `json:"tell_next"`
	Same     *SameJSON          `json:"same_settings,omitempty"`
}

// CauseJSON is one cause with its odds.
type CauseJSON struct {
	Key       string      `json:"key"`
	Cause     string      `json:"cause"`
	Explains  Quantity    `json:"explains"`
	AsMeant   Quantity    `json:"as_meant"`
	Otherwise *Quantity   `json:"otherwise"`
	Set       string      `json:"set,omitempty"`
	Inputs    []ShiftJSON `json:"inputs"`
	Check     string      `json:"check,omitempty"`
}

// ShiftJSON is how an input lay in the launches that ended so.
type ShiftJSON struct {
	Path  string  `json:"path"`
	Label string  `json:"label"`
	Meant float64 `json:"meant"`
	Mean  float64 `json:"mean"`
	Shift float64 `json:"shift_sd"`
}

// SameJSON is "same settings as last time, failed this time".
type SameJSON struct {
	After  Quantity `json:"share_after_success"`
	Luck   float64  `json:"luck"`
	Change float64  `json:"something_changed"`
	Say    string   `json:"say"`
}

// DebriefBody is the JSON of a debrief.
func DebriefBody(p Debriefed) DebriefJSON {
	out := DebriefJSON{Schema: Schema, Claims: p.Overall, Build: p.Build, BuildHash: p.BuildHash}
	if out.Claims == nil {
		out.Claims = []evidence.Judged{}
	}
	if len(p.Logs) == 1 {
		out.Debrief = &p.Logs[0]
	} else {
		out.Logs = p.Logs
	}
	for _, k := range p.Compared {
		out.Compared = append(out.Compared, BesideJSON{k.What, k.Predicted, k.Measured, k.Claimed, k.By, k.Note})
	}
	if m := p.Mortem; m != nil {
		k := m.Model
		j := &MortemJSON{Outcome: m.Told, Log: m.From, N: k.N, Odds: k.Odds, OddsLow: Float(k.Flew.Low), OddsHigh: Float(k.Flew.High), Share: Q(k.Share), Matching: k.Matching, Meant: k.Meant, Status: k.Status,
			Typical: k.Typical, Ends: k.Classes, Signs: k.Signs, Causes: []CauseJSON{}, TellNext: []string{}}
		for i := range k.Reasons {
			r := &k.Reasons[i]
			c := CauseJSON{Key: r.Key, Cause: r.Name, Explains: Q(r.Explains()), AsMeant: Q(r.ButFor), Check: r.Check, Inputs: []ShiftJSON{}}
			if r.Other != nil {
				q := Q(r.Other.Saves)
				c.Otherwise = &q
				c.Set = fmt.Sprintf("%s=%.4g", r.Other.Path, r.Other.To)
			}
			for _, s := range r.Main {
				c.Inputs = append(c.Inputs, ShiftJSON{s.Path, s.Label, s.Meant, s.Mean, s.By})
			}
			j.Causes = append(j.Causes, c)
		}
		for _, n := range m.Next {
			j.TellNext = append(j.TellNext, n.Sign)
		}
		if m.FlewBefore && k.Status == "" {
			j.Same = &SameJSON{Q(k.Before), m.Luck, m.Change, m.SameSay}
		}
		out.PostMortem = j
	}
	return out
}

// NamedChart is a chart with the word its file is named by.
type NamedChart struct {
	Name  string
	Chart *chart.Chart
}

// holes picks points of a curve over a log's samples and breaks the curve
// where the record has a hole.
func holes(b *evidence.Debrief, s *evidence.Series, at []int) (x, y []float64) {
	whole := b.Path != nil && len(b.Path.Samples) == len(s.X)
	for i, k := range at {
		if whole && i > 0 {
			lim := math.Max(1, 3.5*b.Path.Step)
			for j := at[i-1] + 1; j <= k; j++ {
				if p, q := &b.Path.Samples[j-1], &b.Path.Samples[j]; q.Section != p.Section || q.T-p.T > lim {
					x, y = append(x, math.NaN()), append(y, math.NaN())
					break
				}
			}
		}
		x, y = append(x, s.X[k]), append(y, s.Y[k])
	}
	return x, y
}

// mostPoints of a drawn curve: more cannot be seen at the size of a page.
const mostPoints = 1600

// thin picks the points of a long curve that are drawn: of each of equal
// stretches the lowest and the highest, so that no peak is lost.
func thin(y []float64) []int {
	n := len(y)
	if n <= mostPoints {
		out := make([]int, n)
		for i := range out {
			out[i] = i
		}
		return out
	}
	var out []int
	bins := mostPoints / 2
	for b := range bins {
		lo, hi := b*n/bins, (b+1)*n/bins
		least, most := lo, lo
		for i := lo; i < hi; i++ {
			if y[i] < y[least] {
				least = i
			}
			if y[i] > y[most] {
				most = i
			}
		}
		if least > most {
			least, most = most, least
		}
		out = append(out, least)
		if most != least {
			out = append(out, most)
		}
	}
	return out
}

func pickAt(x []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for i, k := range at {
		out[i] = x[k]
	}
	return out
}

// DebriefCharts draws a log: speed against time with its doubt, the path over
// the field, energy height, passes; a sound's tone.
func DebriefCharts(b *evidence.Debrief) []NamedChart {
	sheet := evidence.NewSheet(b.Name, b, nil, evidence.Provenance{})
	var out []NamedChart
	find := func(name string) *evidence.Series {
		for i := range sheet.Plots {
			if sheet.Plots[i].Name == name {
				return &sheet.Plots[i]
			}
		}
		return nil
	}
	air, height := find("airspeed"), find("height")
	for i := range sheet.Plots {
		s := &sheet.Plots[i]
		if s == air || s == height || len(s.X) < 2 {
			continue
		}
		at := thin(s.Y)
		c := &chart.Chart{Title: b.Name + ": " + s.Name, X: chart.Axis{Label: "time, s"}}
		x, y := pickAt(s.X, at), pickAt(s.Y, at)
		switch {
		case s.EqualScale:
			c.X.Label, c.Y.Label, c.Equal = "east of the start, m", "north of the start, m", true
			x, y = holes(b, s, at)
			c.Series = append(c.Series, chart.Series{Kind: chart.Thin, X: x, Y: y})
			c.Notes = append(c.Notes, chart.Note{X: x[0], Y: y[0], Text: "start"})
			if b.Wind != nil {
				c.Caption = fmt.Sprintf("Wind %.1f m/s from %.0f deg; north is up.", b.Wind.Speed.Value, b.Wind.FromDeg)
			} else {
				c.Caption = "North is up."
			}
			if b.Path != nil && b.BestPair >= 0 && b.BestPair < len(b.Pairs) {
				for k, q := range b.Pairs[b.BestPair].Passes {
					var px, py []float64
					for i := range b.Path.Samples {
						if t := b.Path.Samples[i].T; t >= q.T0 && t <= q.T1 {
							px, py = append(px, b.Path.Samples[i].Pos[0]), append(py, b.Path.Samples[i].Pos[1])
						}
					}
					if len(px) > 1 {
						c.Series = append(c.Series, chart.Series{X: px, Y: py})
						m := len(px) / 2
						c.Notes = append(c.Notes, chart.Note{X: px[m], Y: py[m], Text: fmt.Sprintf("pass %d", k+1)})
					}
				}
			}
		case s.YUnit == "Hz":
			c.Y.Label = "tone heard, Hz"
			c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: x, Y: y})
		case s.Name == "energy height":
			c.Y.Label, c.Ground = "m", true
			c.Series = append(c.Series, chart.Series{Name: "energy height", X: x, Y: y})
			if height != nil {
				h := thin(height.Y)
				c.Series = append(c.Series, chart.Series{Name: "height", X: pickAt(height.X, h), Y: pickAt(height.Y, h), Ink: 1})
			}
			c.Caption = "Falling: height or speed is being spent."
		default:
			c.Y.Label = "speed, m/s"
			if len(s.Low) == len(s.X) {
				c.Series = append(c.Series, chart.Series{Kind: chart.Band, X: x, Y: pickAt(s.Low, at), Y2: pickAt(s.High, at)})
			}
			gx, gy := holes(b, s, at)
			c.Series = append(c.Series, chart.Series{Name: "over the ground", X: gx, Y: gy})
			if air != nil && s.Name == "speed over the ground" && len(air.Y) == len(s.X) {
				ax, ay := holes(b, &evidence.Series{X: s.X, Y: air.Y}, at)
				c.Series = append(c.Series, chart.Series{Name: "through the air", X: ax, Y: ay, Ink: 1})
			}
			for _, m := range s.Marks {
				if strings.HasSuffix(s.Name, "over the base") {
					lo, hi := slices.Min(s.Low), slices.Max(s.High)
					c.Series = append(c.Series, chart.Series{X: []float64{m.From, m.From}, Y: []float64{lo, hi}, Ink: 2}, chart.Series{X: []float64{m.To, m.To}, Y: []float64{lo, hi}, Ink: 2})
					c.Notes = append(c.Notes, chart.Note{X: m.From, Y: hi, Text: m.Name})
					continue
				}
				best := sort.SearchFloat64s(s.X, (m.From+m.To)/2)
				best = min(best, len(s.X)-1)
				c.Notes = append(c.Notes, chart.Note{X: s.X[best], Y: s.Y[best], Text: m.Name})
			}
		}
		name := strings.Join(strings.Fields(strings.NewReplacer("speed over the ground", "speed", " over the field", "", " over the base", "", "tone heard", "tone").Replace(s.Name)), "-")
		out = append(out, NamedChart{name, c})
	}
	return out
}
