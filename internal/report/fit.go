package report

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Fitted is what the fit page shows.
type Fitted struct {
	Subject
	Sheet *fit.Sheet
	Most  assess.Quantity // the largest current at the pack, A; no unit: there is no drive
}

var fitMarks = map[fit.Judgement]string{fit.Pass: "ok", fit.Fail: "FAIL", fit.Unknown: "?", fit.Doubtful: "in doubt"}
var fitWords = map[fit.Judgement]string{fit.Pass: "pass", fit.Fail: "fail", fit.Unknown: "unknown", fit.Doubtful: "doubtful"}

// fitLead is the answer in a sentence.
func fitLead(sh *fit.Sheet) string {
	n := map[fit.Judgement]int{}
	for i := range sh.Results {
		n[sh.Results[i].Status]++
	}
	all := len(sh.Results)
	rest := ""
	if n[fit.Doubtful] > 0 {
		rest += fmt.Sprintf("; %d in doubt", n[fit.Doubtful])
	}
	if n[fit.Unknown] > 0 {
		rest += fmt.Sprintf("; %d cannot be told for want of a size", n[fit.Unknown])
	}
	switch {
	case all == 0:
		return "Nothing to judge: give the parts their size, and the body its stations or bays (inside.bays)."
	case n[fit.Fail] > 0:
		return fmt.Sprintf("%d of %d do not fit%s.", n[fit.Fail], all, rest)
	case rest != "":
		return fmt.Sprintf("All that can be told of %d things fits%s.", all, rest)
	}
	return fmt.Sprintf("All %d things judged fit.", all)
}

// Fit is the page of the first question.
func Fit(p Fitted) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	ac, sh := p.Results.Aircraft, p.Sheet
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[1]}
	how := fmt.Sprintf("The body's stations are taken as ellipses less %s of wall.", p.fmt(ac.Inside.Wall, unit.Length))
	if sh.Bays {
		how = fmt.Sprintf("%d bays described; %s kept round every part; a surface's bay has the true thickness of its section less %s of skin.", len(ac.Inside.Bays), p.fmt(ac.Inside.Clearance, unit.Length), p.fmt(ac.Inside.Wall, unit.Length))
	}
	d.Lead = append(d.Lead, fitLead(sh), fmt.Sprintf("Build %s. %s", p.Results.Hash, how))
	t := &Table{Head: []string{"", "", "room", "wanted"}, Wrap: 1, Right: rights(4, 0, 1)}
	var why []string
	said := map[string]bool{}
	for i := range sh.Results {
		r := &sh.Results[i]
		room, least := "-", "-"
		if !math.IsNaN(r.Room) {
			low, high := r.Interval()
			room = p.fmt(r.Room, unit.Length)
			if r.Sigma > 0 {
				room = p.show(assess.Quantity{Value: r.Room, Low: low, High: high}, unit.Length)
			}
			least = p.fmt(r.Least, unit.Length)
			if strings.HasPrefix(r.ID, "apart.") { // the distance itself reads better than what is left of it
				if room = p.fmt(r.Room+r.Least, unit.Length); r.Sigma > 0 {
					room = p.show(assess.Quantity{Value: r.Room + r.Least, Low: low + r.Least, High: high + r.Least}, unit.Length)
				}
			}
		}
		t.Rows = append(t.Rows, []string{fitMarks[r.Status], r.Label, room, least})
		if r.Status == fit.Pass {
			continue
		}
		say := upper(r.Label) + ": " + r.Because
		for _, c := range r.Cures {
			say += " Cure: " + c.Say()
			if c.Weakens != "" {
				say += " (it weakens " + c.Weakens + ")"
			}
			say += "."
		}
		// A mirrored part says what its twin has said.
		if both := strings.ReplaceAll(say, " (left)", ""); !said[both] {
			said[both] = true
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
	d.Sections = append(d.Sections, p.sweeps(), p.warmths(), p.harness(), p.assembly())
	if sh.Turn != "" {
		d.Sections = append(d.Sections, Section{Title: "Which way round", Blocks: []Block{para("%s. Try it without the propeller.", upper(sh.Turn))}})
	}
	keys := []string{"propeller", "lithium", "dust"}
	if len(sh.Heats) > 0 {
		keys = append(keys, "antenna")
	}
	d.Sections = append(d.Sections, cautionSection(careful(keys...)))
	return d
}

// sweeps is the room that servo arms sweep.
func (p *Fitted) sweeps() Section {
	s := Section{Title: "Arms and rods inside the skin"}
	t := &Table{Head: []string{"control", "servo", "arm inside by", "slot from, to, x " + p.small()}, Wrap: 1, Right: rights(4, 0, 1)}
	for _, w := range p.Sheet.Sweeps {
		arm, slot := p.fmt(w.Arm, unit.Length), "none"
		switch {
		case math.IsNaN(w.Arm):
			arm = "off the section"
		case w.Arm < 0:
			arm = "out by " + p.fmt(-w.Arm, unit.Length)
		}
		if w.From < w.To {
			slot = p.millis(w.From) + ", " + p.millis(w.To)
		}
		if w.Guessed {
			slot += " (rod guessed)"
		}
		t.Rows = append(t.Rows, []string{w.Control, w.Servo, arm, slot})
	}
	if len(t.Rows) > 0 {
		s.Blocks = []Block{{Table: t}, para("Over the whole travel, in the true section. Where arm or rod stands out, cut the slot and keep it off the spar; a slot across the skin weakens it in twist: frame it.")}
	}
	return s
}

// warmths is the heat of what stands in closed bays.
func (p *Fitted) warmths() Section {
	s := Section{Title: "Heat in closed bays"}
	t := &Table{Head: []string{"part", "bay", "heat", "air in it", "its case"}, Wrap: 0, Right: rights(5, 0, 1)}
	for _, w := range p.Sheet.Heats {
		t.Rows = append(t.Rows, []string{w.Part, w.Bay, p.fmt(w.Power, unit.Power), p.fmt(w.Inside, unit.Temperature),
			p.show(assess.Quantity{Value: w.Case, Low: w.CaseLow, High: w.CaseHigh}, unit.Temperature)})
	}
	if len(t.Rows) > 0 {
		s.Blocks = []Block{{Table: t}, para("Steady, in still air at the bench at %s; in flight it is cooler.", p.fmt(p.Sheet.Heats[0].Air, unit.Temperature))}
	}
	return s
}

// harness is the wires to cut, and what to do about each.
func (p *Fitted) harness() Section {
	s := Section{Title: "Wires to cut"}
	if len(p.Sheet.Harness) == 0 {
		return s
	}
	h := &Table{Head: []string{"lead", "from, to", "wires", "AWG", "cut", "mass", "current", "drop"}, Wrap: 1, Right: rights(8, 0, 1)}
	mass := 0.0
	for _, l := range p.Sheet.Harness {
		drop, amps := "-", "-"
		if l.Current > 0 {
			drop, amps = p.fmt(l.Drop, unit.Voltage), p.fmt(l.Current, unit.Current)
		}
		mass += l.Mass
		h.Rows = append(h.Rows, []string{l.Name, l.From + ", " + l.To, fmt.Sprint(l.Wires), fmt.Sprint(l.Gauge), p.fmt(l.Length, unit.Length), p.fmt(l.Mass, unit.Mass), amps, drop})
	}
	e := &Table{Head: []string{"lead", "ends in", "bends no sharper", "solder it"}, Wrap: 3, Right: rights(4, 0, 1, 3)}
	seen := map[string]bool{}
	for _, l := range p.Sheet.Harness {
		k := l.Name + l.Ends + l.Solder
		if seen[k] {
			continue
		}
		seen[k] = true
		e.Rows = append(e.Rows, []string{l.Name, l.Ends, p.fmt(l.Bend, unit.Length), l.Solder})
	}
	s.Blocks = []Block{{Table: h},
		para("%s of wire in all. Ways the build does not give (inside.routes) are taken square from part to part; a tenth of slack unless said, and 15 mm at each end. Cut, mass and drop are good to ± 20 %% on such a way, to ± 6 %% on one given (our choice).%s Lay them in with a string first.", p.fmt(mass, unit.Mass), p.mostCurrent()),
		{Table: e}}
	return s
}

// mostCurrent says how well the current of pack and motor leads is known.
func (p *Fitted) mostCurrent() string {
	q := p.Most
	if q.Status != "" || !(q.Value > 0) {
		return ""
	}
	return fmt.Sprintf(" Pack and motor leads carry the largest current, %s; the others what their part's label says.", p.show(q, unit.Current))
}

// assembly is what goes in first.
func (p *Fitted) assembly() Section {
	s := Section{Title: "What goes in first"}
	for _, l := range p.Sheet.Assembly {
		s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("Through the hatch %s, deepest first: %s.", l.Through, strings.Join(l.Parts, ", "))}})
	}
	return s
}

// FitResultJSON is one judgement.
type FitResultJSON struct {
	ID      string     `json:"id"`
	Label   string     `json:"label"`
	Room    Quantity   `json:"room"`
	Least   Float      `json:"wanted_m"`
	Status  string     `json:"status"`
	Because string     `json:"because"`
	Cures   []CureJSON `json:"cures"`
	Place   *[3]Float  `json:"place_m"`
	Sources []string   `json:"sources"`
}

// CureJSON is one change that makes it fit.
type CureJSON struct {
	Say     string   `json:"say"`
	By      Float    `json:"by_m"`
	Weakens string   `json:"weakens"`
	Set     []string `json:"set"`
}

// LeadJSON is one wire of the harness.
type LeadJSON struct {
	Name    string     `json:"name"`
	From    string     `json:"from"`
	To      string     `json:"to"`
	Wires   int        `json:"wires"`
	Gauge   int        `json:"gauge_awg"`
	Length  Float      `json:"length_m"`
	Mass    Float      `json:"mass_kg"`
	Current Float      `json:"current_a"`
	Drop    Float      `json:"drop_v"`
	Bend    Float      `json:"bend_m"`
	Ends    string     `json:"connector"`
	Solder  string     `json:"solder"`
	Routed  bool       `json:"routed"`
	Way     [][3]Float `json:"way_m"`

	Cut   Quantity `json:"length"`
	Whole Quantity `json:"mass"`
	Lost  Quantity `json:"drop"`
	Amps  Quantity `json:"current"`
}

// SweptJSON is the room of a servo arm and its rod.
type SweptJSON struct {
	Control string   `json:"control"`
	Servo   string   `json:"servo"`
	Arm     Float    `json:"arm_inside_m"`
	Slot    [2]Float `json:"slot_m"`
	Guessed bool     `json:"rod_assumed"`
}

// WarmthJSON is a part that makes heat in a closed bay.
type WarmthJSON struct {
	Part  string   `json:"part"`
	Bay   string   `json:"bay"`
	Power Float    `json:"power_w"`
	Air   Float    `json:"bay_air_k"`
	Case  Quantity `json:"case"`
}

// AssemblyJSON is the order of going in through one hatch.
type AssemblyJSON struct {
	Hatch string   `json:"hatch"`
	Bay   string   `json:"bay"`
	Parts []string `json:"order"`
}

// FitJSON is the body of `fit`.
type FitJSON struct {
	Head
	Results  []FitResultJSON `json:"results"`
	Sweeps   []SweptJSON     `json:"sweeps"`
	Heats    []WarmthJSON    `json:"closed_bays"`
	Harness  []LeadJSON      `json:"harness"`
	Assembly []AssemblyJSON  `json:"assembly"`
	Turn     string          `json:"motor_turns"`
	Cautions []string        `json:"cautions"`
}

func vec(v r3.Vec) [3]Float { return [3]Float{Float(v.X), Float(v.Y), Float(v.Z)} }

// FitBody is the JSON of the fit page.
func FitBody(p Fitted) FitJSON {
	out := FitJSON{Head: p.head(), Results: []FitResultJSON{}, Sweeps: []SweptJSON{}, Heats: []WarmthJSON{}, Harness: []LeadJSON{}, Assembly: []AssemblyJSON{},
		Turn: p.Sheet.Turn, Cautions: careful("propeller", "lithium", "dust")}
	for i := range p.Sheet.Results {
		r := &p.Sheet.Results[i]
		q := assess.Quantity{Value: r.Room, Unit: "m"}
		if q.Low, q.High = r.Interval(); math.IsNaN(r.Room) {
			q.Status = "no room is judged here"
			if r.Status == fit.Unknown {
				q.Status = r.Because
			}
		}
		j := FitResultJSON{r.ID, r.Label, Q(q), Float(r.Least), fitWords[r.Status], r.Because, []CureJSON{}, nil, []string{}}
		if r.At != nil {
			v := vec(*r.At)
			j.Place = &v
		}
		for _, c := range r.Cures {
			j.Cures = append(j.Cures, CureJSON{c.What, Float(c.By), c.Weakens, append([]string{}, c.Set...)})
		}
		for _, s := range r.Refs {
			j.Sources = append(j.Sources, s.String())
		}
		out.Results = append(out.Results, j)
	}
	for _, w := range p.Sheet.Sweeps {
		j := SweptJSON{w.Control, w.Servo, Float(w.Arm), [2]Float{Float(w.From), Float(w.To)}, w.Guessed}
		if !(w.From < w.To) {
			j.Slot = [2]Float{Float(math.NaN()), Float(math.NaN())}
		}
		out.Sweeps = append(out.Sweeps, j)
	}
	for _, w := range p.Sheet.Heats {
		out.Heats = append(out.Heats, WarmthJSON{w.Part, w.Bay, Float(w.Power), Float(w.Inside), Q(assess.Quantity{Value: w.Case, Low: w.CaseLow, High: w.CaseHigh, Unit: "K"})})
	}
	most := p.Most
	for _, l := range p.Sheet.Harness {
		j := LeadJSON{l.Name, l.From, l.To, l.Wires, l.Gauge, Float(l.Length), Float(l.Mass), Float(l.Current), Float(l.Drop), Float(l.Bend), l.Ends, l.Solder, l.Given, [][3]Float{}, Quantity{}, Quantity{}, Quantity{}, Quantity{}}
		// A way that was laid is known to 3 %, a square one to a tenth: our choice.
		k := 0.10
		if l.Given {
			k = 0.03
		}
		j.Cut, j.Whole, j.Lost = around(l.Length, k*l.Length, "m"), around(l.Mass, k*l.Mass, "kg"), around(l.Drop, k*l.Drop, "V")
		j.Amps = around(l.Current, 0, "A")
		if most.Status == "" && most.Value > 0 && math.Abs(l.Current-most.Value) < 1e-9*most.Value {
			j.Amps = Q(most)
			j.Lost = around(l.Drop, l.Drop*math.Hypot(k, (most.High-most.Low)/(2*half90*most.Value)), "V")
		}
		for _, v := range l.Way {
			j.Way = append(j.Way, vec(v))
		}
		out.Harness = append(out.Harness, j)
	}
	for _, l := range p.Sheet.Assembly {
		out.Assembly = append(out.Assembly, AssemblyJSON{l.Through, l.Bay, l.Parts})
	}
	return out
}

// FitChart is the aeroplane from above with its bays, parts, hatches, solid
// things and routed wires; what does not fit stands in the warning ink.
func FitChart(p Fitted) *chart.Chart {
	ac := p.Results.Aircraft
	c := &chart.Chart{Title: ac.Name + " from above, the parts in their places", X: chart.Axis{Label: "right of the middle, m"}, Y: chart.Axis{Label: "ahead of the datum, m"}, Equal: true}
	outline(c, ac)
	drawFit(c, p, false, func(v r3.Vec) (float64, float64) { return v.Y, -v.X })
	return c
}

// FitSide is the same from the left side.
func FitSide(p Fitted) *chart.Chart {
	ac := p.Results.Aircraft
	c := &chart.Chart{Title: ac.Name + " from the side", X: chart.Axis{Label: "aft of the datum, m"}, Y: chart.Axis{Label: "up, m"}, Equal: true}
	if len(ac.Body) > 1 {
		var x, y []float64
		for _, t := range ac.Body {
			x, y = append(x, t.X), append(y, t.Z+t.Height/2)
		}
		for j := len(ac.Body) - 1; j >= 0; j-- {
			x, y = append(x, ac.Body[j].X), append(y, ac.Body[j].Z-ac.Body[j].Height/2)
		}
		c.Series = append(c.Series, chart.Series{X: append(x, x[0]), Y: append(y, y[0]), Ink: 4})
	}
	lo, hi := assess.Ends(ac)
	c.Y.Min, c.Y.Max = -0.2*(hi-lo), 0.2*(hi-lo)
	drawFit(c, p, true, func(v r3.Vec) (float64, float64) { return v.X, v.Z })
	return c
}

// drawFit draws bays, solid things, parts and routed wires. From the side the
// names stand over the drawing, in steps, each with its leader.
func drawFit(c *chart.Chart, p Fitted, side bool, flat func(r3.Vec) (float64, float64)) {
	ac := p.Results.Aircraft
	box := func(at, size r3.Vec, s chart.Series) {
		var x, y []float64
		x0, y0 := flat(r3.Sub(at, r3.Scale(0.5, size)))
		x1, y1 := flat(r3.Add(at, r3.Scale(0.5, size)))
		x, y = append(x, x0, x1, x1, x0, x0), append(y, y0, y0, y1, y1, y0)
		s.X, s.Y = x, y
		c.Series = append(c.Series, s)
	}
	bad := map[string]bool{}
	for _, r := range p.Sheet.Results {
		if r.Status == fit.Fail && !strings.HasPrefix(r.ID, "apart.") {
			for _, w := range strings.Split(r.ID, ".")[1:] {
				bad[w] = true
			}
		}
	}
	for i := range ac.Inside.Bays {
		if b := &ac.Inside.Bays[i]; b.Kind == craft.BoxBay {
			box(b.Box.At, b.Box.Size, chart.Series{Kind: chart.Line, Ink: 2})
		}
	}
	for i := range ac.Inside.Bays {
		b := &ac.Inside.Bays[i]
		if b.Kind != craft.ShellBay {
			continue
		}
		var x, y []float64
		for k := range 2 * len(b.Sections) {
			t, sign := b.Sections[min(k, 2*len(b.Sections)-1-k)], 0.5
			if k >= len(b.Sections) {
				sign = -0.5
			}
			u, v := flat(r3.Vec{X: t.X, Y: sign * t.Width, Z: t.Z + sign*t.Height})
			x, y = append(x, u), append(y, v)
		}
		c.Series = append(c.Series, chart.Series{X: append(x, x[0]), Y: append(y, y[0]), Ink: 2})
	}
	for _, s := range ac.Inside.Solids {
		box(s.At, s.Size, chart.Series{Ink: 1})
	}
	names := map[string]bool{}
	var called []*craft.Part
	for i := range ac.Parts {
		q := &ac.Parts[i]
		if q.Kind == "structure" || q.Kind == "wiring" || q.Kind == "propeller" || !q.SizeKnown || q.Mass == 0 {
			continue
		}
		name := fit.Called(q)
		box(q.At, q.Size, chart.Series{Ink: 0, Fail: bad[name]})
		if !names[q.Name] {
			names[q.Name] = true
			called = append(called, q)
		}
	}
	sort.SliceStable(called, func(i, j int) bool { return called[i].At.X < called[j].At.X })
	for i, q := range called {
		x, y := flat(r3.Add(q.At, r3.Scale(0.5, q.Size)))
		if side {
			x, y = flat(r3.Add(q.At, r3.Vec{Z: q.Size.Z / 2}))
			top := c.Y.Max * (0.92 - 0.16*float64(i%4))
			c.Series = append(c.Series, chart.Series{Kind: chart.Thin, X: []float64{x, x}, Y: []float64{y, top}, Ink: 4})
			y = top
		}
		c.Notes = append(c.Notes, chart.Note{X: x, Y: y, Text: q.Name})
	}
	for _, l := range p.Sheet.Harness {
		if !l.Given {
			continue
		}
		var x, y []float64
		for _, v := range l.Way {
			a, b := flat(v)
			x, y = append(x, a), append(y, b)
		}
		c.Series = append(c.Series, chart.Series{Kind: chart.Thin, X: x, Y: y, Ink: 3})
	}
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
