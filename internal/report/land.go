package report

import (
	"fmt"
	"math"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/perform"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// LandRow is one way to land.
type LandRow struct {
	Say    string
	Margin float64 // approach speed over stall speed
	Wind   float64 // headwind, m/s
	perform.Landing
}

// Landed is what the landing page shows.
type Landed struct {
	Subject
	Height   float64         // m from which the distance counts
	Nominal  perform.Landing // as planned
	Ways     []LandRow
	Friction float64
	Best     perform.Glide
}

// Land is the page of the seventh question.
func Land(p Landed) *Doc {
	r := p.Results
	ac := r.Aircraft
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[7]}
	l := &p.Nominal
	if l.Status == perform.OK {
		d.Lead = append(d.Lead, fmt.Sprintf("Motor off, from %s over the edge of the field: approach at %s, touch at %s over the ground, stand still after %s.",
			p.fmt(p.Height, unit.Length), p.fmt(l.Approach, unit.Speed), p.fmt(l.GroundSpeed, unit.Speed), p.fmt(l.Distance, unit.Length)))
	} else {
		d.Lead = append(d.Lead, "No landing: "+string(l.Status)+".")
	}
	d.Lead = append(d.Lead, p.conditions())
	d.Sections = append(d.Sections, p.findings("Judged", ofQuestion(7)))
	rows := [][]string{
		{"approach speed", p.speed(r.Get(assess.ApproachSpeed))},
		{"touchdown speed over the ground", p.speed(r.Get(assess.Touchdown))},
		{fmt.Sprintf("distance from %s", p.fmt(p.Height, unit.Length)), p.show(r.Get(assess.LandingRun), unit.Length)},
		{"mean deceleration on the ground", p.show(r.Get(assess.Deceleration), unit.Acceleration)},
		{"pitch stick that trims the approach", p.show(r.Get(assess.TrimApproach), unit.Ratio)},
		{"best glide ratio, motor off", span(r.Get(assess.GlideRatio))},
	}
	d.Sections = append(d.Sections, Section{Title: "The numbers, with their 90 % intervals", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: 1}}}})
	if l.Status == perform.OK {
		d.Sections = append(d.Sections, Section{Title: "Piece by piece, as planned", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
			{"path below level, still air", p.fmt(l.Angle, unit.Angle)},
			{"approach to the flare", p.fmt(l.ApproachRun, unit.Length)},
			{"flare and float", p.fmt(l.FlareRun, unit.Length)},
			{"slide on the belly", p.fmt(l.Slide, unit.Length) + " in " + p.fmt(l.SlideTime, unit.Time)},
			{"sink at touchdown", p.fmt(l.SinkTouchdown, unit.Speed)},
		}}}, para("Friction of the belly on %s: %.2f.", surfaceWord(ac.Landing.Surface), p.Friction)}})
	}
	t := &Table{Head: []string{"way", "approach", "path, deg", "touch, ground", "distance", "change"}, Wrap: 0, Right: rights(6, 0)}
	for _, w := range p.Ways {
		if w.Status != perform.OK {
			t.Rows = append(t.Rows, []string{w.Say, string(w.Status), "-", "-", "-", "-"})
			continue
		}
		t.Rows = append(t.Rows, []string{w.Say, p.fmt(w.Approach, unit.Speed), col(deg(w.Angle), 1), p.fmt(w.GroundSpeed, unit.Speed), p.fmt(w.Distance, unit.Length), fmt.Sprintf("%+.0f %%", 100*(w.Distance/l.Distance-1))})
	}
	if len(t.Rows) > 0 {
		d.Sections = append(d.Sections, Section{Title: "Ways to come down shorter, or longer", Blocks: []Block{{Table: t}}})
	}
	d.Sections = append(d.Sections, noteSection([]string{
		"The approach is a steady glide with the propeller standing; the flare pulls 1.2 times the weight and touches at 1.1 times the stall speed; the ground is level.",
		"No brake flaps are computed here yet: a steeper approach by a brake shows only as the drag you set with trial.drag_area.",
	}), cautionSection(careful("law", "speed", "lithium")))
	return d
}

func surfaceWord(s string) string {
	if s == "" {
		return "the ground"
	}
	return s
}

// LandRowJSON is one way to land.
type LandRowJSON struct {
	Say      string `json:"say"`
	Margin   Float  `json:"margin"`
	Wind     Float  `json:"headwind_m_s"`
	Approach Float  `json:"approach_m_s"`
	Path     Float  `json:"path_deg"`
	Ground   Float  `json:"touchdown_ground_m_s"`
	Distance Float  `json:"distance_m"`
	Status   string `json:"status"`
}

// LandJSON is the body of `land`.
type LandJSON struct {
	Head
	Approach     Quantity      `json:"approach_speed"`
	Touchdown    Quantity      `json:"touchdown_speed"`
	Distance     Quantity      `json:"distance"`
	Deceleration Quantity      `json:"deceleration"`
	GlideRatio   Quantity      `json:"glide_ratio"`
	TrimApproach Quantity      `json:"trim_approach"`
	Height       Float         `json:"from_height_m"`
	Path         Float         `json:"path_deg"`
	ApproachRun  Float         `json:"approach_run_m"`
	FlareRun     Float         `json:"flare_run_m"`
	Slide        Float         `json:"slide_m"`
	SlideTime    Float         `json:"slide_s"`
	Sink         Float         `json:"sink_at_touchdown_m_s"`
	Friction     Float         `json:"friction"`
	Ways         []LandRowJSON `json:"ways"`
	Tail
}

// LandBody is the JSON of a landing page.
func LandBody(p Landed) LandJSON {
	r, l := p.Results, &p.Nominal
	out := LandJSON{Head: p.head(), Approach: Q(r.Get(assess.ApproachSpeed)), Touchdown: Q(r.Get(assess.Touchdown)), Distance: Q(r.Get(assess.LandingRun)),
		Deceleration: Q(r.Get(assess.Deceleration)), GlideRatio: Q(r.Get(assess.GlideRatio)), TrimApproach: Q(r.Get(assess.TrimApproach)),
		Height: Float(p.Height), Path: Float(-deg(l.Angle)), ApproachRun: Float(l.ApproachRun), FlareRun: Float(l.FlareRun), Slide: Float(l.Slide), SlideTime: Float(l.SlideTime),
		Sink: Float(l.SinkTouchdown), Friction: Float(p.Friction), Ways: []LandRowJSON{}, Tail: p.tail(ofQuestion(7), "law", "speed", "lithium")}
	out.Notes = append(out.Notes, r.Notes...)
	for _, w := range p.Ways {
		out.Ways = append(out.Ways, LandRowJSON{w.Say, Float(w.Margin), Float(w.Wind), Float(w.Approach), Float(-deg(w.Angle)), Float(w.GroundSpeed), Float(w.Distance), string(w.Status)})
	}
	return out
}

// LandChart is the approach from the side: height over distance from the
// edge of the field, for the planned approach and the other ways.
func LandChart(p Landed) *chart.Chart {
	c := &chart.Chart{Title: p.Results.Aircraft.Name + ": the approach from the side", X: chart.Axis{Label: "from the edge of the field, m"}, Y: chart.Axis{Label: "height, m"}, Ground: true}
	add := func(l *perform.Landing, name string, ink int, kind chart.Kind) {
		if l.Status != perform.OK {
			return
		}
		_, flare, _ := perform.FlareArc(l.Approach, l.Angle, 1.2)
		flare = math.Min(flare, p.Height)
		x := []float64{0, l.ApproachRun}
		y := []float64{p.Height, flare}
		const n = 12
		for i := 1; i <= n; i++ { // the flare, height falling as its square
			f := float64(i) / n
			x, y = append(x, l.ApproachRun+f*l.FlareRun), append(y, flare*(1-f)*(1-f))
		}
		x, y = append(x, l.Distance), append(y, 0)
		c.Series = append(c.Series, chart.Series{Name: name, Kind: kind, X: x, Y: y, Ink: ink})
	}
	for i := range p.Ways {
		add(&p.Ways[i].Landing, "", 4, chart.Thin)
	}
	add(&p.Nominal, "stands still", 0, chart.Line)
	if n := p.Results.Aircraft.Landing.Length; n > 0 {
		c.Series = append(c.Series, chart.Series{Name: "end of the field", X: []float64{n, n}, Y: []float64{0, p.Height / 2}, Ink: 1})
	}
	return c
}
