package report

import (
	"fmt"
	"math"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/perform"
	"fledge/internal/unit"
)

// Tried is what the page of a planned speed trial shows.
type Tried struct {
	Subject
	Trial  assess.Trial
	Claims []ClaimRow
	spans  Spans // 90 % intervals of what is computed
}

// ClaimRow is a claim of top speed against what the trial could show.
type ClaimRow struct {
	By, Text string
	Value    float64
	Chance   float64 // that the result would show it at 95 %
	Say      string
}

// Trial is the page of a planned speed trial.
func Trial(p Tried) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	t := &p.Trial
	ac := p.Results.Aircraft
	d := &Doc{Title: ac.Name + ": a speed trial, planned"}
	if t.Status != perform.OK {
		d.Lead = append(d.Lead, "No trial can be planned: "+string(t.Status)+".")
		d.Sections = append(d.Sections, cautionSection(careful("law", "speed")))
		return d
	}
	of := func(x float64, key string) string {
		q := assess.Quantity{Value: x, Low: x, High: x}
		if low, high, ok := p.spans.Span(key); ok {
			q.Low, q.High = low, high
		}
		return p.speed(q)
	}
	m := func(x float64) string { return p.fmt(x, unit.Length) }
	speeds := p.in(1, unit.Speed)
	ends := func(key string) string { return p.spans.ends(key, speeds.k, 1) }
	far := func(key string, x float64) string { return p.spans.ends(key, p.in(x, unit.Length).k, 0) }
	d.Lead = append(d.Lead, fmt.Sprintf("Two ways over %s at %s height: %s to be expected, measured to ± %s; that could show a claim of %s at most.", m(t.Base), m(t.Height), of(t.TwoWay, "two_way_m_s"), p.fmt(2*t.Sigma, unit.Speed), of(t.Shows, "shows_at_most_m_s")), p.conditions())
	k := ac.Course
	rows := [][]string{
		{"base", fmt.Sprintf("%s, %.0f deg to the right of the launch direction, %s ahead of the pilot", m(t.Base), deg(k.Heading), m(k.Ahead))},
		{"wind at that height", fmt.Sprintf("%s along the base%s, %s across", p.fmt(math.Abs(t.Along), unit.Speed), map[bool]string{true: " (against the first pass)", false: " (with the first pass)"}[t.Along > 0], p.fmt(math.Abs(t.Across), unit.Speed))},
		{"level entry before the base", fmt.Sprintf("%s; from %s, 99 %% of the top speed takes %s%s", m(t.Entry), p.fmt(t.EntrySpeed, unit.Speed), m(t.Run99), far("run_in_99_m", t.Run99))},
		{"airspeed into, over, out of the base", fmt.Sprintf("%.1f, %.1f%s, %.1f %s; the top speed is %.1f", speeds.k*t.Start, speeds.k*t.Mean, ends("speed_over_m_s"), speeds.k*t.End, speeds.name, speeds.k*t.Top)},
	}
	if t.Dive > 0 {
		rows = append(rows, []string{"entry energy", fmt.Sprintf("%s given away before the entry leave %.1f m/s at the base", m(t.Dive), t.DiveGain)})
	} else {
		rows = append(rows, []string{"entry energy", "none: a level entry"})
	}
	rows = append(rows,
		[]string{"a surplus falls to 1/e in", m(t.Decay) + far("decay_m", t.Decay) + ": enter level for twice that, or the dive is in the result"},
		[]string{"ground speed out, back", fmt.Sprintf("%.1f%s, %.1f%s %s: %.3f, %.3f s over the base", speeds.k*t.Out, ends("ground_speed_out_m_s"), speeds.k*t.Back, ends("ground_speed_back_m_s"), speeds.name, t.TimeOut, t.TimeBack)},
		[]string{"mean of the speeds", of(t.TwoWay, "two_way_m_s")},
		[]string{"mean of the times", of(t.Harmonic, "two_way_by_times_m_s") + ": always lower in wind; say which one you quote"},
		[]string{"passes", fmt.Sprintf("%d wanted, %s each with the turn round; the pack affords %d", t.Wanted, p.fmt(t.PassTime, unit.Time), t.Passes)},
		[]string{"top speed, with its doubt", p.speed(t.TopDoubt)},
	)
	d.Sections = append(d.Sections, Section{Title: "The course", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: 1}}}})
	d.Sections = append(d.Sections, Section{Title: "What the result will be worth, one standard deviation", Blocks: []Block{{Table: &Table{Wrap: -1, Right: rights(2, 0), Rows: [][]string{
		{"timing", fmt.Sprintf("%.2f m/s", t.SigmaTime)}, {"ends of the base", fmt.Sprintf("%.2f m/s", t.SigmaEnds)}, {"gusts between the passes", fmt.Sprintf("%.2f m/s", t.SigmaWind)},
		{"height not held (3 m)", fmt.Sprintf("%.2f m/s", t.SigmaHeight)}, {"together", fmt.Sprintf("%.2f m/s", t.Sigma)},
	}}}, para("A claim counts as shown when it is met with 95 %% probability (JCGM 106): the result must lie 1.645 standard deviations above it.")}})
	if len(p.Claims) > 0 {
		var list []string
		for _, c := range p.Claims {
			list = append(list, fmt.Sprintf("%s says %s: %s", c.By, c.Text, c.Say))
		}
		d.Sections = append(d.Sections, Section{Title: "The claims", Blocks: []Block{{List: list}}})
	}
	side := trialSide(t)
	code := []string{
		"200 m base, flown both ways within 30 min without landing between, 5 to 35 m above the pilot over the base and 100 m before it (FAI sporting code, section 4, as seen).",
		"Two timekeepers to 1/100 s who agree within 0.05 s; above 300 km/h automatic timing only; a motor that stops by radio.",
	}
	if t.Base != 200 {
		code = append(code, fmt.Sprintf("Your base of %s is not the code's 200 m.", m(t.Base)))
	}
	if t.Height < 5 || t.Height > 35 {
		code = append(code, fmt.Sprintf("Your height of %s lies outside the code's 5 to 35 m.", m(t.Height)))
	}
	if t.Dive > 0 {
		code = append(code, "A dive before the base: inside the 35 m the code allows it, but it is not level speed.")
	}
	if s := float64(t.Wanted) * t.PassTime; s > 1800 {
		code = append(code, "The passes wanted take longer than 30 min.")
	}
	d.Sections = append(d.Sections, Section{Title: "What the sporting code asks", Blocks: []Block{{List: code}}})
	d.Sections = append(d.Sections, Section{Title: "Where to stand, and what is overflown", Blocks: []Block{{List: []string{
		fmt.Sprintf("Pilot at the middle of the base, %s off its line; timekeepers in line with its ends, on the pilot's side, never under the line.", m(k.Ahead)),
		fmt.Sprintf("Straight ground of %s to each side of the middle is overflown, with the turns: %s long, %s deep; keep people, roads and houses out of all of it and of what lies beyond the ends.", m(side), m(2*side), m(2*t.TurnRadius+k.Ahead)),
		fmt.Sprintf("If it goes silent at %.0f m/s and %s height it lands within some %s%s straight on.", t.Mean, m(t.Height), m(t.Coast), far("coasts_m", t.Coast)),
	}}}})
	d.Sections = append(d.Sections, cautionSection(careful("law", "speed", "lithium")))
	return d
}

// trialSide is how far the ground is overflown to each side of the middle of
// the base, with the turns.
func trialSide(t *assess.Trial) float64 { return t.Base/2 + t.Entry + 50 + 2*t.TurnRadius }

// TrialJSON is the body of `fly --trial`.
type TrialJSON struct {
	Head
	Base      Float            `json:"base_m"`
	Height    Float            `json:"height_m"`
	Entry     Float            `json:"entry_m"`
	Run99     Float            `json:"run_in_99_m"`
	Along     Float            `json:"wind_along_m_s"`
	Across    Float            `json:"wind_across_m_s"`
	Start     Float            `json:"speed_in_m_s"`
	Mean      Float            `json:"speed_over_m_s"`
	End       Float            `json:"speed_out_m_s"`
	DiveGain  Float            `json:"dive_gain_m_s"`
	Decay     Float            `json:"decay_m"`
	Out       Float            `json:"ground_speed_out_m_s"`
	Back      Float            `json:"ground_speed_back_m_s"`
	TwoWay    Quantity         `json:"two_way_speed"`
	TwoWayAt  Float            `json:"two_way_m_s"`
	Harmonic  Float            `json:"two_way_by_times_m_s"`
	Shows     Float            `json:"shows_at_most_m_s"`
	Sigma     Float            `json:"sigma_m_s"`
	SigmaTime Float            `json:"sigma_timing_m_s"`
	SigmaEnds Float            `json:"sigma_ends_m_s"`
	SigmaWind Float            `json:"sigma_wind_m_s"`
	SigmaH    Float            `json:"sigma_height_m_s"`
	Coast     Float            `json:"coasts_m"`
	Passes    int              `json:"passes_afforded"`
	Wanted    int              `json:"passes_wanted"`
	PassTime  Float            `json:"pass_s"`
	TopSpeed  Quantity         `json:"top_speed"`
	Heading   Float            `json:"heading_deg"` // of the base, to the right of the launch direction
	Ahead     Float            `json:"ahead_m"`     // of the pilot, to the middle of the base
	Turn      Float            `json:"turn_radius_m"`
	Side      Float            `json:"overflown_m"` // to each side of the middle of the base
	Deep      Float            `json:"overflown_deep_m"`
	Interval  Spans            `json:"interval,omitempty"` // of what is computed; sigma_m_s is the doubt of the result itself
	Claims    []TrialClaimJSON `json:"claims"`
	Status    string           `json:"status"`
	Tail
}

// TrialClaimJSON is a claim before a trial.
type TrialClaimJSON struct {
	By     string `json:"by"`
	Claim  string `json:"claim"`
	Chance Float  `json:"chance_to_show"`
	Say    string `json:"say"`
}

// Doubted gives what is computed of the trial its intervals, by the same trial
// over draws of what is not known.
func (p *Tried) Doubted(draws []assess.Trial) {
	body := TrialBody(*p)
	all := make([]TrialJSON, len(draws))
	for i := range draws {
		q := *p
		q.Trial = draws[i]
		all[i] = TrialBody(q)
	}
	Doubt(&body, all)
	p.spans = body.Interval
}

// TrialBody is the JSON of a planned trial.
func TrialBody(p Tried) TrialJSON {
	t := &p.Trial
	two := assess.Quantity{Value: t.TwoWay, Low: t.TwoWay - 1.6449*t.Sigma, High: t.TwoWay + 1.6449*t.Sigma, Unit: "m/s"}
	if t.Status != perform.OK {
		n := math.NaN()
		two = assess.Quantity{Value: n, Low: n, High: n, Unit: "m/s", Status: string(t.Status)}
	}
	out := TrialJSON{Head: p.head(), Base: Float(t.Base), Height: Float(t.Height), Entry: Float(t.Entry), Run99: Float(t.Run99), Along: Float(t.Along), Across: Float(t.Across),
		Start: Float(t.Start), Mean: Float(t.Mean), End: Float(t.End), DiveGain: Float(t.DiveGain), Decay: Float(t.Decay), Out: Float(t.Out), Back: Float(t.Back),
		TwoWay: Q(two), TwoWayAt: Float(t.TwoWay), Harmonic: Float(t.Harmonic), Shows: Float(t.Shows), Sigma: Float(t.Sigma), SigmaTime: Float(t.SigmaTime), SigmaEnds: Float(t.SigmaEnds), SigmaWind: Float(t.SigmaWind), SigmaH: Float(t.SigmaHeight), Coast: Float(t.Coast),
		Interval: p.spans, Passes: t.Passes, Wanted: t.Wanted, PassTime: Float(t.PassTime), TopSpeed: Q(t.TopDoubt), Heading: Float(deg(p.Results.Aircraft.Course.Heading)), Ahead: Float(p.Results.Aircraft.Course.Ahead), Turn: Float(t.TurnRadius), Side: Float(trialSide(t)), Deep: Float(2*t.TurnRadius + p.Results.Aircraft.Course.Ahead), Claims: []TrialClaimJSON{}, Status: string(t.Status),
		Tail: p.tail(ofIDs("top-speed", "never-exceed"), "law", "speed", "lithium")}
	for _, c := range p.Claims {
		out.Claims = append(out.Claims, TrialClaimJSON{c.By, c.Text, Float(c.Chance), c.Say})
	}
	return out
}

// TrialChart draws the course from above.
func TrialChart(p Tried) *chart.Chart {
	t := &p.Trial
	if t.Status != perform.OK {
		return nil
	}
	k := p.Results.Aircraft.Course
	c := &chart.Chart{Title: p.Results.Aircraft.Name + ": the course from above", X: chart.Axis{Label: "right of the pilot, m"}, Y: chart.Axis{Label: "ahead, m"}, Equal: true}
	s, co := math.Sincos(k.Heading)
	at := func(along float64) (x, y float64) { return along * s, k.Ahead + along*co }
	line := func(name string, a, b float64, ink int) {
		x0, y0 := at(a)
		x1, y1 := at(b)
		c.Series = append(c.Series, chart.Series{Name: name, X: []float64{x0, x1}, Y: []float64{y0, y1}, Ink: ink})
	}
	h := t.Base / 2
	line("", -h-t.Entry, -h, 2)
	line("", -h, h, 0)
	line("entry", h, h+t.Entry, 2)
	// The turns round beyond both ends, away from the pilot.
	for _, end := range []float64{-1, 1} {
		var x, y []float64
		for i := range 25 {
			a := math.Pi * float64(i) / 24
			along := end * (h + t.Entry + t.TurnRadius*math.Sin(a))
			off := t.TurnRadius * (1 - math.Cos(a))
			px, py := at(along)
			x, y = append(x, px-off*co), append(y, py+off*s)
		}
		c.Series = append(c.Series, chart.Series{X: x, Y: y, Ink: 4})
	}
	bx, by := at(0)
	c.Notes = append(c.Notes, chart.Note{X: bx, Y: by, Text: fmt.Sprintf("base %.0f m", t.Base)})
	c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: []float64{0}, Y: []float64{0}, Ink: 3})
	c.Notes = append(c.Notes, chart.Note{Text: "pilot"})
	return c
}
