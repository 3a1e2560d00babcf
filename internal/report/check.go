package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/learn"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Measure is one thing to measure next.
type Measure = verdict.Measure

// Checked is everything a check's page shows.
type Checked struct {
	Results *assess.Results
	Verdict verdict.Verdict
	Measure []Measure
	Record  *learn.Record // of launches at these settings; nil: none
	Units   unit.System
	Quick   bool // remedies were not looked for
}

var words = map[verdict.Word]string{verdict.Go: "GO", verdict.Hold: "HOLD", verdict.NoGo: "NO-GO"}

// marks stand before a finding: a word, never colour alone.
var marks = map[verdict.Status]string{
	verdict.Pass: "ok", verdict.Doubtful: "doubt", verdict.Fail: "FAIL", verdict.Unknown: "?", verdict.NotAsked: "-",
}

// Check is the page of the main job.
func Check(c Checked) (page *Doc) {
	defer func() { page.told(c.Units, c.Results.Slowest) }()
	r, v := c.Results, c.Verdict
	ac := r.Aircraft
	d := &Doc{Headline: words[v.Word], Title: ac.Name}
	d.Lead = append(d.Lead, sentence(v.Because))
	d.Lead = append(d.Lead, fmt.Sprintf("Build %s, %s; air %.3f kg/m3, wind %s gusting %s; %d launches, %d draws, seed %d.",
		r.Hash, c.show(r.Get(assess.Mass), unit.Mass), r.Air.Rho, unit.Format(ac.Day.Wind, unit.Speed, c.Units), unit.Format(ac.Day.Gust, unit.Speed, c.Units), r.Launches, r.Draws, r.Seed))
	d.Lead = append(d.Lead, taughtLines(ac)...)
	if c.Record != nil {
		d.Lead = append(d.Lead, recordLine(c.Record))
	}
	if s := c.remedies(); len(s.Blocks) > 0 {
		d.Sections = append(d.Sections, s)
	}
	if len(c.Measure) > 0 {
		s := Section{Title: "Measure next"}
		for _, m := range c.Measure {
			s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("%s: %s. It is %.0f %% of the doubt in the odds.", upper(m.Label), m.How, 100*m.Share)}})
		}
		d.Sections = append(d.Sections, s)
	}
	for q := 1; q <= 9; q++ {
		if s := c.question(q); len(s.Blocks) > 0 {
			d.Sections = append(d.Sections, s)
		}
	}
	d.Sections = append(d.Sections, c.notAsked())
	if len(ac.Assumed) > 0 {
		d.Sections = append(d.Sections, c.assumed())
	}
	d.Sections = append(d.Sections, noteSection(append(rests(r), r.Notes...)))
	d.Sections = append(d.Sections, Section{Title: "Cautions", Blocks: []Block{{List: v.Cautions}}})
	return d
}

// sentence is s with a capital and one full stop.
func sentence(s string) string {
	s = upper(strings.TrimRight(s, ". "))
	if s == "" || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// show prints a quantity with its interval.
func (c *Checked) show(q assess.Quantity, d unit.Dim) string {
	if q.Status != "" {
		return "unknown"
	}
	return show(q, d, c.Units)
}

func (c *Checked) remedies() Section {
	s := Section{Title: "What would make it go"}
	for _, f := range c.Verdict.ByWeight() {
		if f.Status != verdict.Fail && !(f.Safety && f.Status == verdict.Doubtful) {
			continue
		}
		if len(f.Remedies) == 0 {
			say := f.Release
			switch {
			case say != "":
			case c.Quick:
				say = "changes were not looked for; without --quick the smallest that cure it are found and proved"
			default:
				say = "none of the changes tried within their ranges cures it, alone or in pairs; fledge launch looks at all settings together"
			}
			s.Blocks = append(s.Blocks, para("%s (%s now): %s", upper(f.Label), f.Print(f.Value.Value, c.Units), sentence(say)))
			continue
		}
		lead := "any one of"
		if !anyVerified(f.Remedies) {
			lead = "the nearest found"
		}
		s.Blocks = append(s.Blocks, para("%s (%s now, %s wanted), %s:", upper(f.Label), f.Print(f.Value.Value, c.Units), c.limit(f), lead))
		t := &Table{Wrap: 1, Right: []bool{false, false, true}}
		var but []string
		for k, m := range f.Remedies {
			state := "verified"
			if !m.Verified {
				state = "then " + string(m.StatusAfter)
			}
			if len(m.Spoils) > 0 {
				state += ", but see below"
				but = append(but, fmt.Sprintf("%c makes another safety question fail: %s", 'a'+k, strings.Join(m.Spoils, "; ")))
			}
			g := *f
			g.Value = m.After
			t.Rows = append(t.Rows, []string{fmt.Sprintf(" %c", 'a'+k), m.Say, c.value(&g), state})
		}
		s.Blocks = append(s.Blocks, Block{Table: t})
		if len(but) > 0 {
			s.Blocks = append(s.Blocks, Block{List: but})
		}
		if !anyVerified(f.Remedies) && f.Release != "" {
			s.Blocks = append(s.Blocks, para("None of these is sure to do; besides: %s", sentence(f.Release)))
		}
	}
	return s
}

// anyVerified tells whether a remedy is verified.
func anyVerified(list []verdict.Remedy) bool {
	for i := range list {
		if list[i].Verified {
			return true
		}
	}
	return false
}

func (c *Checked) limit(f *verdict.Finding) string {
	lo, hi := !math.IsNaN(f.Limit.Min), !math.IsNaN(f.Limit.Max)
	switch {
	case lo && hi:
		return f.Print(f.Limit.Min, c.Units) + " to " + f.Print(f.Limit.Max, c.Units)
	case lo:
		return "at least " + f.Print(f.Limit.Min, c.Units)
	case hi:
		return "at most " + f.Print(f.Limit.Max, c.Units)
	}
	return ""
}

// value prints a finding's value with its interval.
func (c *Checked) value(f *verdict.Finding) string {
	q := f.Value
	if q.Status != "" || math.IsNaN(q.Value) {
		return "unknown"
	}
	v, lo, hi := f.Print(q.Value, c.Units), f.Print(q.Low, c.Units), f.Print(q.High, c.Units)
	if math.IsInf(q.Low, -1) && math.IsInf(q.High, 1) {
		return v + unsure
	}
	if lo == hi {
		return v
	}
	return v + " (" + number(lo) + " to " + number(hi) + ")"
}

// number drops the unit of a printed value, for the ends of an interval.
func number(s string) string {
	if i := strings.IndexByte(s, ' '); i > 0 {
		return s[:i]
	}
	return s
}

// question is the findings of one question as a table, the sentences of those
// that do not pass below.
func (c *Checked) question(q int) Section {
	s := Section{Title: fmt.Sprintf("%d  %s", q, verdict.Questions[q])}
	t := &Table{Wrap: 1}
	var why []string
	more := 0
	for i := range c.Verdict.Findings {
		f := &c.Verdict.Findings[i]
		if f.Question != q || f.Status == verdict.NotAsked && math.IsNaN(f.Value.Value) {
			continue
		}
		if q == 4 && f.Status == verdict.NotAsked {
			more++ // for information: the strength page has them
			continue
		}
		t.Rows = append(t.Rows, []string{marks[f.Status], f.Label, c.value(f), c.limit(f)})
		if f.Status != verdict.Pass && f.Status != verdict.NotAsked && f.ID != "launch-odds" {
			why = append(why, sentence(f.Because))
		}
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t})
	}
	if more > 0 {
		s.Blocks = append(s.Blocks, para("%d more numbers for information: fledge strength.", more))
	}
	if q == 5 {
		s.Blocks = append(s.Blocks, c.launch()...)
	}
	if len(why) > 0 {
		s.Blocks = append(s.Blocks, Block{List: why})
	}
	return s
}

// launch shows how the launches ended and the moment of release.
func (c *Checked) launch() []Block {
	l := &c.Results.Launch
	if !l.Asked || l.Outcome == nil {
		return nil
	}
	var out []Block
	if len(l.Outcome.Failures) > 0 {
		var parts []string
		for _, f := range l.Outcome.Failures {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", strings.ReplaceAll(f.Class, "-", " "), 100*f.Share))
		}
		out = append(out, para("Failures: %s.", strings.Join(parts, ", ")))
	}
	if l.Speed.Status == "" {
		ring := "At release"
		if l.By == "hand" {
			ring = "Leaving the hand"
		}
		out = append(out, para("%s: %s, %s times stall speed, %s times the speed the held stick trims, nose %s, path %s, %s up.", ring,
			c.show(l.Speed, unit.Speed), span(l.StallRatio), span(l.TrimRatio),
			c.show(l.Pitch, unit.Angle), c.show(l.Path, unit.Angle), c.show(l.Height, unit.Length)))
	}
	if l.Typical != nil {
		out = append(out, para("Most failures are like this: %s", sentence(l.Typical.Sentence())))
	}
	out = append(out, para("With everything at its nominal value: %s", sentence(l.Nominal.Sentence())))
	return out
}

func span(q assess.Quantity) string {
	if q.Status != "" {
		return "unknown"
	}
	n := func(v float64) string {
		if math.IsInf(v, 0) {
			return "unlimited"
		}
		return fmt.Sprintf("%.2f", v)
	}
	if math.IsInf(q.Low, -1) && math.IsInf(q.High, 1) {
		return n(q.Value) + unsure
	}
	return n(q.Value) + " (" + n(q.Low) + " to " + n(q.High) + ")"
}

func (c *Checked) notAsked() Section {
	s := Section{Title: "Not asked"}
	by := map[string][]string{}
	var order []string
	for i := range c.Verdict.Findings {
		f := &c.Verdict.Findings[i]
		if f.Status == verdict.NotAsked && math.IsNaN(f.Value.Value) {
			if len(by[f.Because]) == 0 {
				order = append(order, f.Because)
			}
			by[f.Because] = append(by[f.Because], f.Label)
		}
	}
	for _, b := range order {
		s.Blocks = append(s.Blocks, Block{List: []string{strings.Join(by[b], "; ") + ": " + b}})
	}
	return s
}

func (c *Checked) assumed() Section {
	s := Section{Title: "Assumed, since the build does not say"}
	list := append([]struct{ label, value, why string }(nil), nil...)
	group := map[string]int{}
	for _, a := range c.Results.Aircraft.Assumed {
		k := a.Value + a.Why
		if i, ok := group[k]; ok {
			list[i].label += ", " + a.Label
			continue
		}
		group[k] = len(list)
		list = append(list, struct{ label, value, why string }{a.Label, a.Value, a.Why})
	}
	for _, a := range list {
		s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("%s: %s (%s)", a.label, a.value, a.why)}})
	}
	return s
}
