package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Compared is one column of a comparison.
type Compared struct {
	Name string // of the build, with what was set
	Path string
	Sets []string
	Checked
}

// Comparison is several builds, or one under several groups of settings.
type Comparison struct {
	Columns []Compared
	Units   unit.System
}

// compareRows are the lines of the table.
var compareRows = []struct {
	key, label string
	id         assess.ID
	dim        unit.Dim
}{
	{"mass", "mass", assess.Mass, unit.Mass},
	{"static_margin", "static margin", assess.StaticMargin, unit.Ratio},
	{"odds", "launch odds", -1, unit.Ratio},
	{"stall_speed", "stall speed", assess.StallSpeed, unit.Speed},
	{"top_speed", "top speed", assess.TopSpeed, unit.Speed},
	{"climb_rate", "climb", assess.ClimbRate, unit.Speed},
	{"endurance", "endurance", assess.EnduranceTime, unit.Time},
	{"current_max", "most current", assess.CurrentMax, unit.Current},
	{"touchdown_speed", "touchdown", assess.Touchdown, unit.Speed},
	{"distance", "landing", assess.LandingRun, unit.Length},
}

func (c *Compared) get(id assess.ID) assess.Quantity {
	if id >= 0 {
		return c.Results.Get(id)
	}
	if !c.Results.Launch.Asked {
		n := math.NaN()
		return assess.Quantity{Value: n, Low: n, High: n, Unit: "1", Status: "no launch is described"}
	}
	return c.Results.Launch.Odds
}

// abreast is how many columns stand side by side on a page.
const abreast = 3

// Compare is the page of a comparison.
func Compare(p Comparison) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	d := &Doc{Title: "Side by side"}
	names := &Table{Wrap: 1}
	for i := range p.Columns {
		c := &p.Columns[i]
		what := c.Results.Aircraft.Name + ", " + c.Path + " as it is"
		if len(c.Sets) > 0 {
			what = c.Results.Aircraft.Name + ", " + c.Path + " with " + strings.Join(c.Sets, "; ")
		}
		names.Rows = append(names.Rows, []string{letter(i), what})
	}
	which := Section{Title: "Which", Blocks: []Block{{Table: names}}}
	var taught []string
	for i := range p.Columns {
		for _, l := range taughtLines(p.Columns[i].Results.Aircraft) {
			taught = append(taught, letter(i)+": "+lower(l))
		}
	}
	if len(taught) > 0 {
		which.Blocks = append(which.Blocks, Block{List: taught})
	}
	d.Sections = append(d.Sections, which)
	s := Section{Title: "What comes of it"}
	for from := 0; from < len(p.Columns); from += abreast {
		cols := p.Columns[from:min(from+abreast, len(p.Columns))]
		t := &Table{Head: []string{""}, Wrap: -1}
		verdicts := []string{"verdict"}
		for i := range cols {
			t.Head = append(t.Head, letter(from+i))
			verdicts = append(verdicts, words[cols[i].Verdict.Word])
		}
		t.Rows = append(t.Rows, verdicts)
		for _, k := range compareRows {
			most := 0.0
			for i := range p.Columns {
				if v := math.Abs(p.Columns[i].get(k.id).Value); v > most && !math.IsInf(v, 0) {
					most = v
				}
			}
			symbol := unit.PeopleUnit(most, k.dim, p.Units)
			label := k.label
			for i := range p.Columns {
				if k.id == assess.StallSpeed && p.Columns[i].Results.Slowest.ByThrow {
					label = "slowest flight"
				}
			}
			row := []string{label + ", " + symbol}
			for i := range cols {
				row = append(row, bare(cols[i].get(k.id), k.dim, symbol))
			}
			t.Rows = append(t.Rows, row)
		}
		fails, doubts := []string{"fails"}, []string{"in doubt"}
		for i := range cols {
			f, n := cols[i].count()
			fails, doubts = append(fails, fmt.Sprint(f)), append(doubts, fmt.Sprint(n))
		}
		t.Rows = append(t.Rows, fails, doubts)
		s.Blocks = append(s.Blocks, Block{Table: t})
	}
	var slow []string
	for i := range p.Columns {
		r := p.Columns[i].Results
		if say := "the pitch throw sets the slowest flight, not the wing's stall"; r.Slowest.ByThrow {
			k := &r.Slowest
			say += fmt.Sprintf("; %.0f deg more up throw lowers it to %s", deg(k.More), unit.Format(k.Then, unit.Speed, p.Units))
			slow = append(slow, letter(i)+": "+say+".")
		}
	}
	if len(slow) > 0 {
		s.Blocks = append(s.Blocks, Block{List: slow})
	}
	d.Sections = append(d.Sections, s)
	w := Section{Title: "Why"}
	for i := range p.Columns {
		c := &p.Columns[i]
		w.Blocks = append(w.Blocks, Block{List: []string{letter(i) + ", " + words[c.Verdict.Word] + ": " + c.Verdict.Because + "."}})
		for j := range c.Verdict.Findings {
			if f := &c.Verdict.Findings[j]; f.ID == "fit" && f.Status == verdict.Fail && f.Release != "" {
				w.Blocks = append(w.Blocks, Block{List: []string{letter(i) + ", what does not fit: " + f.Release + "."}})
			}
		}
	}
	d.Sections = append(d.Sections, w, noteSection([]string{
		"All columns fly the same draws of gusts, hand and unknowns, so that differences between them are surer than their intervals look.",
	}), cautionSection(careful("law", "speed")))
	return d
}

// bare prints a quantity without its unit: "41.2 (38.0 to 44.9)".
func bare(q assess.Quantity, d unit.Dim, symbol string) string {
	if q.Status != "" || math.IsNaN(q.Value) {
		return "-"
	}
	n := func(v float64) string { return strings.TrimSuffix(unit.FormatIn(v, d, symbol, -1), " "+symbol) }
	if !(q.Low < q.High) {
		return n(q.Value)
	}
	return n(q.Value) + " (" + n(q.Low) + " to " + n(q.High) + ")"
}

func letter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return fmt.Sprintf("%c%d", 'A'+i%26, i/26)
}

func (c *Compared) count() (fails, doubts int) {
	for i := range c.Verdict.Findings {
		switch c.Verdict.Findings[i].Status {
		case verdict.Fail:
			fails++
		case verdict.Doubtful, verdict.Unknown:
			doubts++
		}
	}
	return
}

// ComparedJSON is one column.
type ComparedJSON struct {
	Head
	Path         string   `json:"path"`
	Set          []string `json:"set"`
	Verdict      string   `json:"verdict"`
	Because      string   `json:"because"`
	Mass         Quantity `json:"mass"`
	StaticMargin Quantity `json:"static_margin"`
	Odds         Quantity `json:"odds"`
	StallSpeed   Quantity `json:"stall_speed"`
	TopSpeed     Quantity `json:"top_speed"`
	ClimbRate    Quantity `json:"climb_rate"`
	Endurance    Quantity `json:"endurance"`
	CurrentMax   Quantity `json:"current_max"`
	Touchdown    Quantity `json:"touchdown_speed"`
	Distance     Quantity `json:"distance"`
	Failing      []string `json:"failing"`
	Doubtful     []string `json:"doubtful"`
}

// CompareJSON is the body of `compare`.
type CompareJSON struct {
	Schema   int            `json:"schema"`
	Columns  []ComparedJSON `json:"columns"`
	Cautions []string       `json:"cautions"`
}

// CompareBody is the JSON of a comparison.
func CompareBody(p Comparison) CompareJSON {
	out := CompareJSON{Schema: Schema, Columns: []ComparedJSON{}, Cautions: careful("law", "speed")}
	for i := range p.Columns {
		c := &p.Columns[i]
		s := Subject{Results: c.Results, Verdict: c.Verdict, Units: p.Units}
		q := func(id assess.ID) Quantity { return Q(c.get(id)) }
		j := ComparedJSON{Head: s.head(), Path: c.Path, Set: strs(c.Sets), Verdict: string(c.Verdict.Word), Because: c.Verdict.Because,
			Mass: q(assess.Mass), StaticMargin: q(assess.StaticMargin), Odds: q(-1), StallSpeed: q(assess.StallSpeed), TopSpeed: q(assess.TopSpeed),
			ClimbRate: q(assess.ClimbRate), Endurance: q(assess.EnduranceTime), CurrentMax: q(assess.CurrentMax), Touchdown: q(assess.Touchdown), Distance: q(assess.LandingRun),
			Failing: []string{}, Doubtful: []string{}}
		for k := range c.Verdict.Findings {
			switch f := &c.Verdict.Findings[k]; f.Status {
			case verdict.Fail:
				j.Failing = append(j.Failing, f.ID)
			case verdict.Doubtful, verdict.Unknown:
				j.Doubtful = append(j.Doubtful, f.ID)
			}
		}
		out.Columns = append(out.Columns, j)
	}
	return out
}
