package report

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/fit"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Fitted is what the fit page shows.
type Fitted struct {
	Subject
	Sheet *fit.Sheet
}

var fitMarks = map[fit.Judgement]string{fit.Pass: "ok", fit.Fail: "FAIL", fit.Unknown: "?"}
var fitWords = map[fit.Judgement]string{fit.Pass: "pass", fit.Fail: "fail", fit.Unknown: "unknown"}

// Fit is the page of the first question.
func Fit(p Fitted) *Doc {
	ac, sh := p.Results.Aircraft, p.Sheet
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[1]}
	n := map[fit.Judgement]int{}
	for _, r := range sh.Results {
		n[r.Status]++
	}
	switch {
	case len(sh.Results) == 0:
		d.Lead = append(d.Lead, "Nothing to judge: give the parts their size and the body its stations.")
	case n[fit.Fail] > 0:
		d.Lead = append(d.Lead, fmt.Sprintf("%d of %d do not fit; %d cannot be told for want of a size.", n[fit.Fail], len(sh.Results), n[fit.Unknown]))
	case n[fit.Unknown] > 0:
		d.Lead = append(d.Lead, fmt.Sprintf("All that can be told fits; %d of %d cannot be told for want of a size.", n[fit.Unknown], len(sh.Results)))
	default:
		d.Lead = append(d.Lead, fmt.Sprintf("All %d things judged fit.", len(sh.Results)))
	}
	d.Lead = append(d.Lead, fmt.Sprintf("Build %s. The body's stations are taken as ellipses less %.1f mm of wall and padding.", p.Results.Hash, fit.Wall*1e3))
	t := &Table{Head: []string{"", "", "room", "wanted"}, Wrap: 1, Right: rights(4, 0, 1)}
	var why []string
	for _, r := range sh.Results {
		room := "-"
		if r.Status != fit.Unknown && !math.IsNaN(r.Room) {
			room = p.fmt(r.Room, unit.Length)
		}
		t.Rows = append(t.Rows, []string{fitMarks[r.Status], r.Label, room, p.fmt(r.Least, unit.Length)})
		if r.Status == fit.Fail {
			say := upper(r.Label) + ": " + r.Because
			for _, c := range r.Cures {
				say += " Cure: " + c.What
				if c.Weakens != "" {
					say += " (it weakens " + c.Weakens + ")"
				}
				say += "."
			}
			why = append(why, say)
		}
	}
	if len(t.Rows) > 0 {
		s := Section{Title: "Places", Blocks: []Block{{Table: t}}}
		if len(why) > 0 {
			s.Blocks = append(s.Blocks, Block{List: why})
		}
		d.Sections = append(d.Sections, s)
	}
	if len(sh.Harness) > 0 {
		h := &Table{Head: []string{"lead", "from, to", "wires", "AWG", "cut", "mass", "drop", "bend"}, Wrap: 1, Right: rights(8, 0, 1)}
		for _, l := range sh.Harness {
			drop := "-"
			if l.Current > 0 {
				drop = p.fmt(l.Drop, unit.Voltage)
			}
			h.Rows = append(h.Rows, []string{l.Name, l.From + ", " + l.To, fmt.Sprint(l.Wires), fmt.Sprint(l.Gauge), p.fmt(l.Length, unit.Length), p.fmt(l.Mass, unit.Mass), drop, p.fmt(l.Bend, unit.Length)})
		}
		d.Sections = append(d.Sections, Section{Title: "Wires to cut", Blocks: []Block{{Table: h}, para("Square routes with a tenth of slack and 15 mm at each end; bend is the least radius. Lay them in with a string first.")}})
	}
	if sh.Turn != "" {
		d.Sections = append(d.Sections, Section{Title: "Which way round", Blocks: []Block{para("%s. Try it without the propeller.", upper(sh.Turn))}})
	}
	d.Sections = append(d.Sections, cautionSection(careful("propeller", "lithium", "dust")))
	return d
}

// FitResultJSON is one judgement.
type FitResultJSON struct {
	ID      string     `json:"id"`
	Label   string     `json:"label"`
	Room    Float      `json:"room_m"`
	Least   Float      `json:"wanted_m"`
	Status  string     `json:"status"`
	Because string     `json:"because"`
	Cures   []CureJSON `json:"cures"`
	Sources []string   `json:"sources"`
}

// CureJSON is one change that makes it fit.
type CureJSON struct {
	Say     string `json:"say"`
	By      Float  `json:"by_m"`
	Weakens string `json:"weakens"`
}

// LeadJSON is one wire of the harness.
type LeadJSON struct {
	Name    string `json:"name"`
	From    string `json:"from"`
	To      string `json:"to"`
	Wires   int    `json:"wires"`
	Gauge   int    `json:"gauge_awg"`
	Length  Float  `json:"length_m"`
	Mass    Float  `json:"mass_kg"`
	Current Float  `json:"current_a"`
	Drop    Float  `json:"drop_v"`
	Bend    Float  `json:"bend_m"`
	Solder  string `json:"solder"`
}

// FitJSON is the body of `fit`.
type FitJSON struct {
	Head
	Results  []FitResultJSON `json:"results"`
	Harness  []LeadJSON      `json:"harness"`
	Turn     string          `json:"motor_turns"`
	Cautions []string        `json:"cautions"`
}

// FitBody is the JSON of the fit page.
func FitBody(p Fitted) FitJSON {
	out := FitJSON{Head: p.head(), Results: []FitResultJSON{}, Harness: []LeadJSON{}, Turn: p.Sheet.Turn, Cautions: careful("propeller", "lithium", "dust")}
	for _, r := range p.Sheet.Results {
		room := r.Room
		if r.Status == fit.Unknown {
			room = math.NaN()
		}
		j := FitResultJSON{r.ID, r.Label, Float(room), Float(r.Least), fitWords[r.Status], r.Because, []CureJSON{}, []string{}}
		for _, c := range r.Cures {
			j.Cures = append(j.Cures, CureJSON{c.What, Float(c.By), c.Weakens})
		}
		for _, s := range r.Refs {
			j.Sources = append(j.Sources, s.String())
		}
		out.Results = append(out.Results, j)
	}
	for _, l := range p.Sheet.Harness {
		out.Harness = append(out.Harness, LeadJSON{l.Name, l.From, l.To, l.Wires, l.Gauge, Float(l.Length), Float(l.Mass), Float(l.Current), Float(l.Drop), Float(l.Bend), l.Solder})
	}
	return out
}

// Sources is the page of all sources.
func Sources(list []cite.Source) *Doc {
	d := &Doc{Title: "Sources"}
	d.Lead = append(d.Lead, "What the numbers and checks rest on, by kind. docs/accuracy.md says which check uses which, and how far each was followed back.")
	for _, kind := range []cite.Kind{cite.Measured, cite.Published, cite.Own} {
		s := Section{Title: upper(string(kind))}
		for _, c := range list {
			if c.Kind != kind {
				continue
			}
			say := c.Text
			if c.Year > 0 {
				say += fmt.Sprintf(" (%d)", c.Year)
			}
			say += " [" + c.Key + "]"
			s.Blocks = append(s.Blocks, Block{List: []string{say}})
		}
		d.Sections = append(d.Sections, s)
	}
	return d
}

// SourceJSON is one source.
type SourceJSON struct {
	Key   string `json:"key"`
	Text  string `json:"text"`
	Year  *int   `json:"year"`
	Kind  string `json:"kind"`
	Where string `json:"where"`
}

// SourcesJSON is the body of `sources`.
type SourcesJSON struct {
	Schema  int          `json:"schema"`
	Sources []SourceJSON `json:"sources"`
}

// SourcesBody is the JSON of all sources.
func SourcesBody(list []cite.Source) SourcesJSON {
	out := SourcesJSON{Schema: Schema, Sources: []SourceJSON{}}
	for _, c := range list {
		j := SourceJSON{Key: c.Key, Text: c.Text, Kind: string(c.Kind), Where: c.Where}
		if c.Year > 0 {
			y := c.Year
			j.Year = &y
		}
		out.Sources = append(out.Sources, j)
	}
	return out
}
