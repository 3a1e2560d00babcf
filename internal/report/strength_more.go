package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/strength"
	"fledge/internal/verdict"
)

// settles is what would settle or change each finding that does not pass,
// with its remedies when they were sought.
func (p *Strong) settles() Section {
	var list []string
	for i := range p.Verdict.Findings {
		f := &p.Verdict.Findings[i]
		if f.Question != 4 || f.Status == verdict.Pass || f.Status == verdict.NotAsked || f.Release == "" {
			continue
		}
		list = append(list, upper(f.Label)+": "+f.Release+".")
	}
	if len(list) == 0 {
		return Section{}
	}
	return Section{Title: "What would settle it or change it", Blocks: []Block{{List: list}}}
}

// cautions are those of the findings that were judged, each once.
func (p *Strong) cautions() []string {
	var out []string
	seen := map[string]bool{}
	for _, r := range p.Results.Strength {
		c := r.Caution
		if i := strings.Index(c, "A printed, glued or repaired part"); i >= 0 {
			c = strings.TrimSpace(c[:i]) // the page says it anyway
		}
		if c == "" || r.Status == control.NotAsked || seen[c] {
			continue
		}
		seen[c] = true
		out = append(out, c)
	}
	return out
}

// restOn is one limit with what it rests on.
type restOn struct {
	id, what, value, why, source string
	number                       float64
	least                        bool
	unit                         string
}

// restsOn lists the limits of the questions asked here: the rooms' own and,
// of the build's, those that strength uses.
func restsOn(ac *craft.Aircraft) []restOn {
	var out []restOn
	own := map[string]float64{"servo_share": ac.Limits.ServoShare, "safety_factor": ac.Limits.SafetyFactor, "load_factor": ac.Limits.LoadFactor}
	for _, l := range craft.DefaultLimits() {
		v, ok := own[l.Key]
		if !ok {
			continue
		}
		src := ""
		if s, ok := cite.Lookup(l.Ref); ok {
			src = s.Text
		}
		why := l.Why
		if v != l.Value {
			why, src = "as the build says (limits)", "the build"
		}
		out = append(out, restOn{id: l.Key, what: l.What, value: fmt.Sprintf("%.3g", v), why: why, source: src, number: v, least: l.Key != "servo_share", unit: "1"})
	}
	for _, l := range strength.Limits {
		v := fmt.Sprintf("%.3g", l.Value)
		switch l.Unit {
		case "rad":
			v = fmt.Sprintf("%.2f deg", l.Value*180/math.Pi)
		case "1":
		default:
			v += " " + l.Unit
		}
		src := l.Ref.String()
		if l.Ref.Key == cite.Choice.Key {
			src = cite.Choice.Text
			if l.Ref.Mark == cite.Derived {
				src += ", derived"
			}
		}
		out = append(out, restOn{id: l.ID, what: l.What, value: v, why: l.Why, source: src, number: l.Value, least: l.Least, unit: l.Unit})
	}
	return out
}

func (p *Strong) limits() Section {
	var list []string
	for _, r := range restsOn(p.Results.Aircraft) {
		word := "at most"
		if r.least {
			word = "at least"
		}
		what := strings.TrimSuffix(strings.TrimSuffix(r.what, ", at least"), ", at most")
		line := fmt.Sprintf("%s: %s %s; %s", upper(what), word, r.value, strings.TrimSuffix(r.why, "."))
		if r.source != "" {
			line += " (" + strings.TrimSuffix(r.source, ".") + ")"
		}
		list = append(list, line+".")
	}
	return Section{Title: "What the limits are and rest on", Blocks: []Block{{List: list}, para("What each sum assumes stands in docs/method-strength.md.")}}
}

// LimitRowJSON is one limit with what it rests on.
type LimitRowJSON struct {
	ID     string `json:"id"`
	What   string `json:"what"`
	Value  Float  `json:"value"`
	Unit   string `json:"unit"`
	Least  bool   `json:"at_least"`
	Why    string `json:"why"`
	Source string `json:"source"`
}

func limitsJSON(ac *craft.Aircraft) []LimitRowJSON {
	out := []LimitRowJSON{}
	for _, r := range restsOn(ac) {
		out = append(out, LimitRowJSON{r.id, r.what, Float(r.number), r.unit, r.least, r.why, r.source})
	}
	return out
}
