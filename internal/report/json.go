package report

import (
	"encoding/json"
	"math"

	"fledge/internal/assess"
	"fledge/internal/cite"
	"fledge/internal/verdict"
)

// Schema is the version of all JSON bodies.
const Schema = 1

// Float is a number whose not-a-number and infinities become null.
type Float float64

// MarshalJSON writes null for what is not a finite number.
func (f Float) MarshalJSON() ([]byte, error) {
	if v := float64(f); math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(f))
}

// Quantity is a number with its 90 % interval of ignorance, SI or degrees.
type Quantity struct {
	Value  Float  `json:"value"`
	Low    Float  `json:"low"`
	High   Float  `json:"high"`
	Unit   string `json:"unit"`
	Status string `json:"status,omitempty"`
}

// Q converts a quantity; angles become degrees, and what has no value has no
// interval.
func Q(q assess.Quantity) Quantity {
	if math.IsNaN(q.Value) {
		q.Low, q.High = math.NaN(), math.NaN()
	}
	k, u := 1.0, q.Unit
	if u == "rad" {
		k, u = 180/math.Pi, "deg"
	}
	return Quantity{Float(k * q.Value), Float(k * q.Low), Float(k * q.High), u, q.Status}
}

// LimitJSON is what a finding must meet.
type LimitJSON struct {
	Min Float `json:"min"`
	Max Float `json:"max"`
}

// RemedyJSON is one remedy.
type RemedyJSON struct {
	Set        []string `json:"set"`
	Say        string   `json:"say"`
	Verified   bool     `json:"verified"`
	ValueAfter Float    `json:"value_after"`
	WordAfter  string   `json:"verdict_after"`
	Spoils     []string `json:"spoils"`
}

// FindingJSON is one finding.
type FindingJSON struct {
	ID       string `json:"id"`
	Stage    string `json:"stage"`
	Question string `json:"question"`
	Label    string `json:"label"`
	Safety   bool   `json:"safety"`
	Status   string `json:"status"`
	Quantity
	Limit    LimitJSON    `json:"limit"`
	Margin   Float        `json:"margin"`
	Because  string       `json:"because"`
	Remedies []RemedyJSON `json:"remedies"`
	Sources  []string     `json:"sources"`
	Caution  string       `json:"caution,omitempty"`
}

// MeasureJSON is one thing to measure next.
type MeasureJSON struct {
	Input string `json:"input"`
	Label string `json:"label"` // the input in words
	Share Float  `json:"share"`
	How   string `json:"how"`
}

// CheckJSON is the body of `check`.
type CheckJSON struct {
	Schema      int           `json:"schema"`
	Build       string        `json:"build"`
	Hash        string        `json:"hash"`
	Seed        uint64        `json:"seed"`
	Verdict     string        `json:"verdict"`
	Because     string        `json:"because"`
	Findings    []FindingJSON `json:"findings"`
	MeasureNext []MeasureJSON `json:"measure_next"`
	Cautions    []string      `json:"cautions"`
	Assumed     []AssumedJSON `json:"assumed"`
	Notes       []string      `json:"notes"`
	Taught      []TaughtJSON  `json:"taught"`
	Record      *RecordJSON   `json:"launch_record"`
	SlowBy      string        `json:"slowest_flight_by,omitempty"` // "wing", "pitch throw"
	RestsOn     []RestJSON    `json:"rests_on"`
}

// AssumedJSON is a number the build did not give.
type AssumedJSON struct {
	Path   string `json:"path"`
	Label  string `json:"label"`
	Value  string `json:"value"`
	Why    string `json:"why"`
	Source string `json:"source"`
}

// CheckBody is the JSON of a check.
func CheckBody(c Checked) CheckJSON {
	r, v := c.Results, c.Verdict
	out := CheckJSON{
		Schema: Schema, Build: r.Aircraft.Name, Hash: r.Hash, Seed: r.Seed, Verdict: string(v.Word), Because: v.Because,
		Findings: []FindingJSON{}, MeasureNext: []MeasureJSON{}, Cautions: v.Cautions, Assumed: []AssumedJSON{}, Notes: r.Notes, Taught: taughtJSON(r.Aircraft), Record: recordJSON(c.Record),
		RestsOn: restJSON(), SlowBy: slowBy(r),
	}
	for i := range v.Findings {
		out.Findings = append(out.Findings, finding(&v.Findings[i]))
	}
	for _, m := range c.Measure {
		out.MeasureNext = append(out.MeasureNext, MeasureJSON{m.Input, m.Label, Float(m.Share), m.How})
	}
	for _, a := range r.Aircraft.Assumed {
		out.Assumed = append(out.Assumed, AssumedJSON{a.Path, a.Label, a.Value, a.Why, a.Ref})
	}
	return out
}

func finding(f *verdict.Finding) FindingJSON {
	k := 1.0
	if f.Value.Unit == "rad" {
		k = 180 / math.Pi
	}
	j := FindingJSON{
		ID: f.ID, Stage: f.Stage, Question: verdict.Questions[f.Question], Label: f.Label, Safety: f.Safety, Status: string(f.Status),
		Quantity: Q(f.Value), Limit: LimitJSON{Float(k * f.Limit.Min), Float(k * f.Limit.Max)}, Margin: Float(k * f.Margin()),
		Because: f.Because, Remedies: []RemedyJSON{}, Sources: []string{}, Caution: f.Caution,
	}
	if c, ok := verdict.Cautions[f.Caution]; ok {
		j.Caution = c
	}
	for _, m := range f.Remedies {
		j.Remedies = append(j.Remedies, RemedyJSON{m.Set, m.Say, m.Verified, Float(m.ValueAfter), string(m.WordAfter), append([]string{}, m.Spoils...)})
	}
	for _, key := range f.Sources {
		if s, ok := cite.Lookup(key); ok {
			j.Sources = append(j.Sources, s.Text)
		}
	}
	return j
}
