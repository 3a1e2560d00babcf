// Package verdict turns results into findings and a verdict. It is pure: the
// same results give the same findings, and nothing here computes physics.
//
// A finding passes when its whole 90 % interval meets the limit, is doubtful
// when the value meets it and the interval does not, fails when the value
// does not; it is unknown when an input it needs is missing with no honest
// default, and not asked when there is nothing to judge.
package verdict

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/unit"
)

// Status is the state of a finding.
type Status string

// The states.
const (
	Pass     Status = "pass"
	Doubtful Status = "doubtful"
	Fail     Status = "fail"
	Unknown  Status = "unknown"
	NotAsked Status = "not-asked"
)

// Word is the verdict.
type Word string

// The verdicts.
const (
	Go   Word = "go"
	Hold Word = "hold"
	NoGo Word = "no-go"
)

// Limit is what a finding must meet; NaN where there is none.
type Limit struct{ Min, Max float64 }

func atLeast(x float64) Limit { return Limit{x, math.NaN()} }
func atMost(x float64) Limit  { return Limit{math.NaN(), x} }

// Margin is how far v is inside the limit, in the unit of v: negative outside.
func (l Limit) Margin(v float64) float64 {
	m := math.Inf(1)
	if !math.IsNaN(l.Min) {
		m = v - l.Min
	}
	if !math.IsNaN(l.Max) {
		m = math.Min(m, l.Max-v)
	}
	if math.IsInf(m, 1) {
		return math.NaN()
	}
	return m
}

// Remedy is one change that would make a finding pass.
type Remedy struct {
	Set         []string // --set strings
	Say         string
	Verified    bool
	ValueAfter  float64
	WordAfter   Word     // of the whole check after it
	Spoils      []string // labels of safety findings that fail after it and do not now
	StatusAfter Status
	After       assess.Quantity
	Cost        float64 // what it costs the person, for the order; 1 is a moment's work
}

// Measure is one thing to measure next.
type Measure struct {
	Input, Label, How string
	Share             float64 // of the doubt that goes away
}

// Finding is one answer.
type Finding struct {
	ID       string
	Stage    string // "bench", "field", "debrief"
	Question int    // 1 to 9
	Safety   bool
	Label    string
	Status   Status
	Value    assess.Quantity
	Dim      unit.Dim // for printing, when Unit is empty
	Unit     string   // of the strength room's numbers
	Limit    Limit
	Because  string
	Release  string // for a doubtful, unknown or failing finding: what would settle it
	Remedies []Remedy
	Sources  []string // cite keys
	Caution  string   // key into Cautions
	Place    *r3.Vec  // where on the aeroplane, build axes
}

// Margin is the finding's margin to its limit.
func (f *Finding) Margin() float64 { return f.Limit.Margin(f.Value.Value) }

// Questions are the nine, in the order a person meets them.
var Questions = [10]string{
	1: "Which parts, and do they fit?",
	2: "Does it balance?",
	3: "How is it set up?",
	4: "Is it strong enough?",
	5: "Will it launch?",
	6: "How fast, how long, how far?",
	7: "Will it come home?",
	8: "What really happened?",
	9: "What do we know now?",
}

// Verdict is the whole answer.
type Verdict struct {
	Word     Word
	Because  string
	Findings []Finding
	Cautions []string
}

// Judge gives the status of a value with its interval against a limit.
func Judge(q assess.Quantity, l Limit) Status {
	if q.Status != "" || math.IsNaN(q.Value) {
		return Unknown
	}
	if math.IsNaN(l.Min) && math.IsNaN(l.Max) {
		return NotAsked
	}
	in := func(v float64) bool { return !(v < l.Min) && !(v > l.Max) }
	switch {
	case !in(q.Value):
		return Fail
	case in(q.Low) && in(q.High):
		return Pass
	}
	return Doubtful
}

// Of judges results, its sentences in metric units.
func Of(r *assess.Results) Verdict { return In(r, unit.Metric) }

// In judges results, its sentences in the units of a system: those of other
// rooms are told over.
func In(r *assess.Results, units unit.System) Verdict {
	j := &judged{r: r, units: units}
	j.bench()
	j.field()
	j.debrief()
	for i := range j.list {
		f := &j.list[i]
		f.Because, f.Release = r.Slowest.Tell(unit.Retell(f.Because, units)), r.Slowest.Tell(unit.Retell(f.Release, units))
	}
	v := Verdict{Findings: j.list}
	v.Word, v.Because = overall(j.list)
	v.Cautions = cautions(r)
	return v
}

// overall is the rule of design §1. NO-GO: a safety finding fails. HOLD: a
// safety finding is doubtful or unknown, or another one fails.
func overall(list []Finding) (Word, string) {
	pick := func(ok func(*Finding) bool) *Finding {
		var worst *Finding
		for i := range list {
			f := &list[i]
			if ok(f) && (worst == nil || rank(f) < rank(worst)) {
				worst = f
			}
		}
		return worst
	}
	if f := pick(func(f *Finding) bool { return f.Safety && f.Status == Fail }); f != nil {
		return NoGo, f.Because
	}
	if f := pick(func(f *Finding) bool { return f.Safety && (f.Status == Doubtful || f.Status == Unknown) }); f != nil {
		return Hold, strings.TrimRight(f.Because, ". ") + release(f)
	}
	if f := pick(func(f *Finding) bool { return f.Status == Fail }); f != nil {
		return Hold, strings.TrimRight(f.Because, ". ") + release(f)
	}
	return Go, "every safety question passes with its whole interval"
}

func release(f *Finding) string {
	if f.Release == "" {
		return ""
	}
	return "; to settle it: " + f.Release
}

// rank orders what to say first: the launch, then balance, then the rest by
// how far outside the limit they are.
func rank(f *Finding) float64 {
	base := map[string]float64{"launch-odds": 0, "balance": 1, "control-power": 2}
	if b, ok := base[f.ID]; ok {
		return b
	}
	m := f.Margin()
	if math.IsNaN(m) {
		return 5
	}
	return 4 + math.Atan(m)/math.Pi
}

// ByWeight lists the findings in the order in which to speak of them: the
// launch, balance, control, then the rest by margin; safety first.
func (v *Verdict) ByWeight() []*Finding {
	out := make([]*Finding, len(v.Findings))
	for i := range v.Findings {
		out[i] = &v.Findings[i]
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Safety != out[j].Safety {
			return out[i].Safety
		}
		return rank(out[i]) < rank(out[j])
	})
	return out
}

// judged collects findings.
type judged struct {
	r     *assess.Results
	units unit.System
	list  []Finding
}

// add judges one finding and keeps it.
func (j *judged) add(f Finding) *Finding {
	if f.Status == "" {
		f.Status = Judge(f.Value, f.Limit)
	}
	j.list = append(j.list, f)
	return &j.list[len(j.list)-1]
}

func (j *judged) ask(id, stage string, q int, label, why string) {
	j.add(Finding{ID: id, Stage: stage, Question: q, Label: label, Status: NotAsked, Because: why, Value: assess.Quantity{Value: math.NaN()}, Limit: Limit{math.NaN(), math.NaN()}})
}

func (j *judged) say(q assess.Quantity, d unit.Dim) string { return unit.Format(q.Value, d, j.units) }

func sayf(format string, args ...any) string { return fmt.Sprintf(format, args...) }
