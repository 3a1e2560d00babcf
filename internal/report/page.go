package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Subject is what every one-question page is about: the results of a chain,
// in full or for that question alone, and the findings made of them.
type Subject struct {
	Results *assess.Results
	Verdict verdict.Verdict
	Units   unit.System
}

// Head is how every JSON body about a build begins.
type Head struct {
	Schema int          `json:"schema"`
	Build  string       `json:"build"`
	Hash   string       `json:"hash"`
	Seed   uint64       `json:"seed"`
	Taught []TaughtJSON `json:"taught"`
	SlowBy string       `json:"slowest_flight_by,omitempty"` // "wing", "pitch throw"
}

// Tail is how it ends.
type Tail struct {
	Findings []FindingJSON `json:"findings"`
	Notes    []string      `json:"notes"`
	Cautions []string      `json:"cautions"`
}

func (s *Subject) head() Head {
	return Head{Schema, s.Results.Aircraft.Name, s.Results.Hash, s.Results.Seed, taughtJSON(s.Results.Aircraft), slowBy(s.Results)}
}

// slowBy says what sets the slowest flight; "" when none was asked for.
func slowBy(r *assess.Results) string {
	if q := r.Get(assess.StallSpeed); q.Status != "" || !(q.Value > 0) {
		return ""
	}
	return r.Slowest.By()
}

// tail collects the findings that keep accepts.
func (s *Subject) tail(keep func(*verdict.Finding) bool, cautions ...string) Tail {
	t := Tail{Findings: []FindingJSON{}, Notes: []string{}, Cautions: careful(cautions...)}
	for i := range s.Verdict.Findings {
		if f := &s.Verdict.Findings[i]; keep(f) {
			t.Findings = append(t.Findings, finding(f))
		}
	}
	return t
}

func ofQuestion(q int) func(*verdict.Finding) bool {
	return func(f *verdict.Finding) bool { return f.Question == q }
}

func ofIDs(ids ...string) func(*verdict.Finding) bool {
	return func(f *verdict.Finding) bool {
		for _, id := range ids {
			if f.ID == id {
				return true
			}
		}
		return false
	}
}

// careful is the words of the cautions with these keys, the pilot's first.
func careful(keys ...string) []string {
	out := []string{verdict.Cautions["pilot"]}
	for _, k := range keys {
		out = append(out, verdict.Cautions[k])
	}
	return out
}

func cautionSection(list []string) Section {
	return Section{Title: "Cautions", Blocks: []Block{{List: list}}}
}

func noteSection(list []string) Section {
	if len(list) == 0 {
		return Section{}
	}
	return Section{Title: "How deep this goes", Blocks: []Block{{List: list}}}
}

// findings is the table of the findings that keep accepts, with the reason of
// each that does not pass and its remedies, if any.
func (s *Subject) findings(title string, keep func(*verdict.Finding) bool) Section {
	c := Checked{Results: s.Results, Verdict: s.Verdict, Units: s.Units}
	sec := Section{Title: title}
	t := &Table{Wrap: 1}
	var why []string
	for i := range s.Verdict.Findings {
		f := &s.Verdict.Findings[i]
		if !keep(f) {
			continue
		}
		if f.Status == verdict.NotAsked && math.IsNaN(f.Value.Value) {
			why = append(why, upper(f.Label)+": not asked, "+lower(strings.TrimSuffix(f.Because, "."))+".")
			continue
		}
		t.Rows = append(t.Rows, []string{marks[f.Status], f.Label, c.value(f), c.limit(f)})
		if f.Status != verdict.Pass && f.Status != verdict.NotAsked {
			why = append(why, upper(strings.TrimSuffix(f.Because, "."))+".")
		}
	}
	if len(t.Rows) > 0 {
		sec.Blocks = append(sec.Blocks, Block{Table: t})
	}
	if len(why) > 0 {
		sec.Blocks = append(sec.Blocks, Block{List: why})
	}
	return sec
}

// conditions says which build, air and seed the numbers are for.
func (s *Subject) conditions() string {
	r := s.Results
	d := r.Aircraft.Day
	say := fmt.Sprintf("Build %s, %s, at %s; air %.3f kg/m3, wind %s gusting %s; seed %d.", r.Hash,
		s.fmt(r.Aircraft.Mass.Total, unit.Mass), s.fmt(d.Temperature, unit.Temperature), r.Air.Rho,
		s.fmt(d.Wind, unit.Speed), s.fmt(d.Gust, unit.Speed), r.Seed)
	return strings.Join(append([]string{say}, taughtLines(r.Aircraft)...), "\n")
}

func (s *Subject) fmt(v float64, d unit.Dim) string { return unit.Format(v, d, s.Units) }

// show prints a quantity with its interval, or why there is none.
func (s *Subject) show(q assess.Quantity, d unit.Dim) string { return show(q, d, s.Units) }

func show(q assess.Quantity, d unit.Dim, sys unit.System) string {
	switch {
	case q.Status != "":
		return "none: " + q.Status
	case math.IsNaN(q.Value):
		return "unknown"
	case math.IsInf(q.Low, -1) && math.IsInf(q.High, 1):
		return unit.Format(q.Value, d, sys) + unsure
	}
	return unit.FormatInterval(q.Value, q.Low, q.High, d, sys)
}

// unsure stands where an interval is open at both ends: in too many draws
// there is no such number.
const unsure = " (how sure is not known)"

// speed prints a speed as pilots compare it, with km/h beside m/s.
func (s *Subject) speed(q assess.Quantity) string {
	out := s.show(q, unit.Speed)
	if q.Status != "" || math.IsNaN(q.Value) || s.Units != unit.Metric {
		return out
	}
	return out + fmt.Sprintf(", %.0f km/h", q.Value*3.6)
}

// exact is a quantity without doubt.
func exact(v float64, u string) Quantity {
	return Q(assess.Quantity{Value: v, Low: v, High: v, Unit: u})
}

// absent is a quantity that could not be had.
func absent(u, why string) Quantity {
	n := math.NaN()
	return Q(assess.Quantity{Value: n, Low: n, High: n, Unit: u, Status: why})
}

// known makes a quantity of a number that may be missing.
func known(v float64, u, why string) Quantity {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return absent(u, why)
	}
	return exact(v, u)
}

// lower makes the first letter small, unless a word of capitals begins there.
func lower(s string) string {
	if len(s) < 2 || s[1] >= 'A' && s[1] <= 'Z' {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func deg(rad float64) float64 { return rad * 180 / math.Pi }

// degrees prints an angle with its sign: "+3.5".
func degrees(rad float64) string {
	if math.IsNaN(rad) {
		return "-"
	}
	return fmt.Sprintf("%+.1f", math.Round(deg(rad)*10)/10+0)
}

// millis prints a length in mm (or in): a bare number for a table.
func (s *Subject) millis(m float64) string {
	if math.IsNaN(m) {
		return "-"
	}
	if s.Units == unit.Imperial {
		return fmt.Sprintf("%.2f", m/0.0254)
	}
	return fmt.Sprintf("%.0f", m*1e3)
}

// inWords tells a metric sentence in the units asked for.
func (s *Subject) inWords(text string) string { return unit.Retell(text, s.Units) }

// asked is a unit of bare numbers in a table: its name and how many of it an
// SI unit is.
type asked struct {
	name string
	k    float64
}

// in is the unit of a table's bare numbers: the one Format would take for the
// size, in the units asked for.
func (s *Subject) in(size float64, d unit.Dim) asked {
	name := unit.PeopleUnit(size, d, s.Units)
	return asked{name, unit.In(1, d, name)}
}

// quick is the unit in which speeds are compared: km/h beside m/s, or mph.
func (s *Subject) quick() asked {
	if s.Units == unit.Imperial {
		return s.in(1, unit.Speed)
	}
	return asked{"km/h", 3.6}
}

// places is how many decimals three digits of a number leave, at most two.
func places(v, k float64) int {
	return min(2, max(0, 2-int(math.Floor(math.Log10(math.Max(math.Abs(k*v), 1))))))
}

func (s *Subject) small() string {
	if s.Units == unit.Imperial {
		return "in"
	}
	return "mm"
}

// col prints a number of a table with the given decimals, "-" for none.
func col(v float64, places int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	t := fmt.Sprintf("%.*f", places, v)
	if strings.Trim(t, "-0.") == "" {
		t = strings.TrimPrefix(t, "-")
	}
	return t
}

func rights(n int, left ...int) []bool {
	out := make([]bool, n)
	for i := range out {
		out[i] = true
	}
	for _, i := range left {
		out[i] = false
	}
	return out
}

func strs(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}
