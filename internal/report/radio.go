package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/radio"
	"fledge/internal/unit"
)

// RangeRow is how far a link keeps a margin.
type RangeRow struct {
	Margin  float64 // dB
	Free    float64 // m, in free space, both antennas at their best
	Ground  float64 // m over this ground at the circuit's height, first place where it is lost; NaN when lost from the start
	Reached bool    // it holds to Most
	Most    float64
}

// RadioStep is one change and what it does to the worst margin.
type RadioStep struct {
	Say    string
	Set    string // a --set string; "" when it is none
	Margin float64
	Gain   float64 // dB
}

// Watched is one link as the page shows it.
type Watched struct {
	assess.LinkResult
	Radio    craft.Radio
	Link     radio.Link
	Along    []radio.Budget // at the places of the way
	Ranges   []RangeRow
	Steps    []RadioStep
	Fades    []float64 // m, ground distances of the nulls by the ground at the circuit's height, nearest last
	Intended float64   // dB that the power set lies over the power intended; NaN when none is said
	Draws    []WatchedDraw
	known    *watchedRows // with their intervals; nil until asked
}

// WatchedDraw is a link in one draw of what is not known: at the nominal worst
// place, its ranges, fades and what changes buy.
type WatchedDraw struct {
	Link   radio.Link
	Budget radio.Budget
	Ranges []RangeRow
	Fades  []float64
	Gains  []float64 // of Steps
}

// watchedRows are a link's rows, nominal or of a draw.
type watchedRows struct {
	Budget BudgetJSON
	Ranges []RangeJSON
	Fades  []fadeRow
	Steps  []gainRow
}

type fadeRow struct {
	At       Float `json:"at_m"`
	Interval Spans
}

type gainRow struct {
	Gain     Float `json:"gain_db"`
	Interval Spans
}

func watchedOf(l *radio.Link, b *radio.Budget, ranges []RangeRow, fades, gains []float64, capped []bool) watchedRows {
	t := watchedRows{Budget: BudgetJSON{Distance: Float(b.Distance), Power: Float(l.Power), Loss: Float(l.Loss), Air: Float(b.Air), Station: Float(b.Station), Free: Float(b.Free), Mismatch: Float(b.Mismatch), Ground: Float(b.Ground), Edge: Float(b.Edge), Behind: b.Behind, Body: Float(b.Body), Shade: b.Shade, Level: Float(b.Level), Needed: Float(l.Threshold)}}
	for i, k := range ranges {
		ground := k.Ground
		if k.Reached && i < len(capped) && !capped[i] {
			ground = math.Inf(1) // farther than was looked
		}
		t.Ranges = append(t.Ranges, RangeJSON{Margin: Float(k.Margin), Free: Float(k.Free), Ground: Float(ground), Beyond: k.Reached})
	}
	for _, f := range fades {
		t.Fades = append(t.Fades, fadeRow{At: Float(f)})
	}
	for _, g := range gains {
		t.Steps = append(t.Steps, gainRow{Gain: Float(g)})
	}
	return t
}

// rows are the link's rows with their intervals.
func (l *Watched) rows() *watchedRows {
	if l.known != nil {
		return l.known
	}
	capped := make([]bool, len(l.Ranges))
	var gains []float64
	for i := range l.Ranges {
		capped[i] = l.Ranges[i].Reached
	}
	for _, s := range l.Steps {
		gains = append(gains, s.Gain)
	}
	t := watchedOf(&l.Link, &l.Budget, l.Ranges, l.Fades, gains, capped)
	all := make([]watchedRows, len(l.Draws))
	for i := range l.Draws {
		d := &l.Draws[i]
		all[i] = watchedOf(&d.Link, &d.Budget, d.Ranges, d.Fades, d.Gains, capped)
	}
	Doubt(&t, all)
	l.known = &t
	return l.known
}

// off is how far the worst margin may be off, dB: down (below 0) and up. Changes
// of the link keep it. NaN when the margin is not known.
func (l *Watched) off() (down, up float64) {
	q := l.Margin
	if q.Status != "" || math.IsInf(q.High-q.Low, 0) {
		return math.NaN(), math.NaN()
	}
	return q.Low - q.Value, q.High - q.Value
}

// spanOf is a number that doubt takes from low to high, by its key; none where
// the doubt is not known.
func spanOf(key string, low, high float64) Spans {
	if math.IsNaN(low) || math.IsNaN(high) || !(high > low) {
		return nil
	}
	return Spans{key: {Float(low), Float(high)}}
}

// stands is the doubt of the worst margin after a change.
func (l *Watched) stands(s *RadioStep) Spans {
	down, up := l.off()
	return spanOf("margin_db", s.Margin+down, s.Margin+up)
}

// LostRow is what happens when a signal goes at one place of the circuit.
type LostRow struct {
	Leg      string
	Ahead    float64 // where it goes
	Right    float64
	Height   float64
	Margin   float64 // of the weakest safety link there, dB
	Say      string  // what she does
	Form     string  // the same with %s for Size; "" without
	Size     float64 // m
	EndAhead float64 // where that ends
	EndRight float64
	Time     float64
	Behind   bool // it ends behind the pilot
}

// Linked is what the radio page shows.
type Linked struct {
	Subject
	Links   []Watched
	Way     assess.Way
	Lost    []LostRow
	LostWhy string // what was taken where the build does not say
	// Lost in draws of what is not known, from the same places.
	LostDraws [][]LostRow
	lostKnown []SignalLostJSON // with their intervals; nil until asked
}

func lostJSON(rows []LostRow) []SignalLostJSON {
	out := []SignalLostJSON{}
	for _, k := range rows {
		size := k.Size
		if k.Form == "" {
			size = math.NaN()
		}
		out = append(out, SignalLostJSON{Leg: k.Leg, Margin: Float(k.Margin), Say: k.Say, Size: Float(size), Ahead: Float(k.EndAhead), Right: Float(k.EndRight), Time: Float(k.Time), Behind: k.Behind})
	}
	return out
}

// losses are the rows of what happens when a signal goes, with their intervals.
func (p *Linked) losses() []SignalLostJSON {
	if p.lostKnown == nil {
		t := lostJSON(p.Lost)
		all := make([][]SignalLostJSON, len(p.LostDraws))
		for i := range p.LostDraws {
			all[i] = lostJSON(p.LostDraws[i])
		}
		Doubt(&t, all)
		p.lostKnown = t
	}
	return p.lostKnown
}

var radioCautions = []string{"antenna", "law", "speed"}

// Radio is the page of the radio links.
func Radio(p Linked) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	r := p.Results
	d := &Doc{Title: r.Aircraft.Name + ": radio and video"}
	if len(p.Links) == 0 {
		d.Lead = append(d.Lead, "No radio link is described, so there is nothing to judge. Describe one under radio: name, use, frequency, power and antenna are enough to begin with.")
		d.Sections = append(d.Sections, cautionSection(careful(radioCautions...)))
		return d
	}
	if w := r.WorstLink(); w != nil && w.Margin.Status == "" {
		d.Lead = append(d.Lead, fmt.Sprintf("Weakest: %s with %s of margin, %s.", w.Name, p.show(w.Margin, unit.Gain), w.Where))
	}
	d.Lead = append(d.Lead, p.conditions())
	d.Sections = append(d.Sections, p.findings("Judged", ofIDs("link-margin")))
	t := &Table{Head: []string{"link", "worst margin", "on the circuit", "on the approach"}, Wrap: -1}
	var where []string
	for i := range p.Links {
		l := &p.Links[i]
		t.Rows = append(t.Rows, []string{l.Name, p.show(l.Margin, unit.Gain), p.show(l.Circuit, unit.Gain), p.show(l.Approach, unit.Gain)})
		if l.Margin.Status != "" {
			t.Rows[len(t.Rows)-1] = []string{l.Name, "unknown", "-", "-"}
			where = append(where, l.Name+": "+l.Margin.Status+".")
			continue
		}
		where = append(where, l.Name+": worst "+l.Where+".")
	}
	d.Sections = append(d.Sections, Section{Title: "Margins over the receivers' thresholds, with their 90 % intervals", Blocks: []Block{{Table: t}, {List: where}}})
	d.Sections = append(d.Sections, p.budgets(), p.ranges())
	for i := range p.Links {
		d.Sections = append(d.Sections, p.steps(&p.Links[i]))
	}
	d.Sections = append(d.Sections, p.lost(), noteSection(p.notes()), cautionSection(careful(radioCautions...)))
	return d
}

func (p *Linked) notes() []string {
	var n []string
	if a := p.Way.Round.Assumption; a != "" {
		n = append(n, upper(a)+".")
	}
	return append(n,
		"Two rays over real ground, knife edges, patterns and polarisation by attitude; a link in the field is known to 3 to 6 dB beyond that, which the losses' doubt stands for.",
		"Antennas are taken to send a hundredth of their best in their nulls; leaves, wet skin, carbon beside the antenna and other transmitters are not computed unless described.",
		"The pilot's own body between the antennas costs 5 to 20 dB at 5.8 GHz (common practice): face the aeroplane.",
		"Powers and bands in a build are what is set, never what is allowed: local law decides.")
}

// budgets is each link at its worst place, item by item.
func (p *Linked) budgets() Section {
	head := []string{""}
	rows := [][]string{{"power, dBm"}, {"leads and mounting"}, {"antenna on the aeroplane, there"}, {"antenna on the ground, there"}, {"free space"}, {"polarisation"}, {"the ground's reflection"}, {"behind an obstacle"}, {"behind her own parts"}, {"level received, dBm"}, {"threshold, dBm"}, {"margin, as above"}}
	n := 0
	for i := range p.Links {
		l := &p.Links[i]
		if l.Margin.Status != "" {
			continue
		}
		n++
		b := &l.Budget
		head = append(head, l.Name, "±")
		in, keys := l.rows().Budget.Interval, []string{"power_dbm", "loss_db", "air_gain_db", "ground_gain_db", "free_space_db", "polarisation_db", "reflection_db", "obstacle_db", "body_db", "level_dbm", "threshold_dbm", ""}
		for k, v := range []float64{l.Link.Power, -l.Link.Loss, b.Air, b.Station, -b.Free, -b.Mismatch, b.Ground, -b.Edge, -b.Body, b.Level, l.Link.Threshold, b.Margin} {
			s := fmt.Sprintf("%+.1f", v)
			if k == 0 || k >= 9 {
				s = col(v, 1)
			} else if math.Abs(v) < 0.05 {
				s = "0"
			}
			give := strings.TrimPrefix(givenAfter(in, keys[k], 1), " ± ")
			if k == 11 { // over the whole way, not at this place alone
				if down, up := l.off(); up > down {
					give = col((up-down)/half90, 1)
				}
			}
			rows[k] = append(rows[k], s, give)
		}
	}
	if n == 0 {
		return Section{}
	}
	return Section{Title: "At the worst place, item by item, dB", Blocks: []Block{{Table: &Table{Head: head, Rows: rows, Wrap: 0, Right: rights(len(head), 0)}}, para("± is two standard deviations; without it an item is asked for, or nothing that is not known moves it at that place. The margin's holds the whole way, whichever place is then the worst.")}}
}

func (p *Linked) ranges() Section {
	t := &Table{Head: []string{"link", "margin kept", "free space", "over this ground"}, Wrap: -1, Right: rights(4, 0)}
	var notes []string
	for i := range p.Links {
		l := &p.Links[i]
		for n, k := range l.Ranges {
			known := l.rows().Ranges[n].Interval
			to := func(key string, v float64) string {
				at := p.in(v, unit.Length).k
				return known.ends(key, at, places(v, at))
			}
			over := p.fmt(k.Ground, unit.Length) + to("over_ground_m", k.Ground)
			switch {
			case math.IsNaN(k.Ground):
				over = "nowhere"
			case k.Reached:
				over = "beyond " + p.fmt(k.Most, unit.Length)
				if low, _, ok := known.Span("over_ground_m"); ok && !math.IsInf(low, 0) {
					over += " (from " + p.fmt(low, unit.Length) + ")"
				}
			}
			t.Rows = append(t.Rows, []string{l.Name, p.fmt(k.Margin, unit.Gain), p.fmt(k.Free, unit.Length) + to("free_space_m", k.Free), over})
		}
		if len(l.Fades) > 0 {
			s := ""
			for k, f := range l.Fades {
				if k > 0 {
					s += ", "
				}
				s += fmt.Sprintf("%.0f%s", f, givenAfter(l.rows().Fades[k].Interval, "at_m", 0))
			}
			notes = append(notes, fmt.Sprintf("%s fades by the ground near %s m at the circuit's height.", l.Name, s))
		}
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	s := Section{Title: "How far it carries, wings level and broadside", Blocks: []Block{{Table: t}, para("In brackets the 90 %% interval. Over this ground a range is known better than in free space by its share: there the signal falls faster with distance.")}}
	if len(notes) > 0 {
		s.Blocks = append(s.Blocks, Block{List: notes})
	}
	return s
}

func (p *Linked) steps(l *Watched) Section {
	if len(l.Steps) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"change", "worst margin", "buys"}, Wrap: 0, Right: rights(3, 0)}
	for i, s := range l.Steps {
		t.Rows = append(t.Rows, []string{s.Say, col(s.Margin, 1) + l.stands(&s).ends("margin_db", 1, 1) + " dB", fmt.Sprintf("%+.1f%s dB", s.Gain, givenAfter(l.rows().Steps[i].Interval, "gain_db", 1))})
	}
	sec := Section{Title: "What a change buys: " + l.Name, Blocks: []Block{{Table: t}}}
	if !math.IsNaN(l.Intended) && math.Abs(l.Intended) > 0.1 {
		say := "stronger"
		if l.Intended < 0 {
			say = "weaker"
		}
		sec.Blocks = append(sec.Blocks, para("The power really set is %.1f dB %s than the one intended: %s against %s.", math.Abs(l.Intended), say, p.fmt(l.Radio.Power, unit.Power), p.fmt(l.Radio.Intended, unit.Power)))
	}
	return sec
}

// lost is what happens when picture or control goes, place by place.
func (p *Linked) lost() Section {
	if len(p.Lost) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"signal lost on", "margin", "she", "ends ahead, right", "after"}, Wrap: 2, Least: 18, Right: []bool{false, true, false, true, true}}
	behind := false
	for i, k := range p.Lost {
		in := p.losses()[i].Interval
		mark := ""
		if k.Behind {
			mark, behind = " *", true
		}
		say := k.Say
		if k.Form != "" {
			say = fmt.Sprintf(k.Form, fmt.Sprintf("%.0f%s", k.Size, givenAfter(in, "size_m", 0)))
		}
		t.Rows = append(t.Rows, []string{k.Leg, col(k.Margin, 0) + " dB", say, fmt.Sprintf("%.0f, %.0f m%s", k.EndAhead, k.EndRight, mark), p.fmt(k.Time, unit.Time)})
		ends := ""
		if a, r := in.give("ends_ahead_m", 1, 0), in.give("ends_right_m", 1, 0); a != "" || r != "" {
			ends = orNil(a) + ", " + orNil(r)
		}
		if row := []string{"", in.give("margin_db", 1, 0), "", ends, in.give("after_s", 1, 1)}; row[1]+row[3]+row[4] != "" {
			t.Rows = append(t.Rows, row)
		}
	}
	s := Section{Title: "If a signal goes", Blocks: []Block{{Table: t}, para(plusMinus + " The place where it goes is taken as planned.")}}
	if p.LostWhy != "" {
		s.Blocks = append(s.Blocks, para("%s", p.LostWhy))
	}
	if behind {
		s.Blocks = append(s.Blocks, para("* behind the pilot, where people stand: choose a failsafe or a circuit that ends elsewhere."))
	}
	return s
}

// orNil is a doubt, or that there is none.
func orNil(give string) string {
	if give == "" {
		return "±0"
	}
	return give
}

// BudgetJSON is a link at one place, dB.
type BudgetJSON struct {
	Distance Float  `json:"distance_m"`
	Power    Float  `json:"power_dbm"`
	Loss     Float  `json:"loss_db"`
	Air      Float  `json:"air_gain_db"`
	Station  Float  `json:"ground_gain_db"`
	Free     Float  `json:"free_space_db"`
	Mismatch Float  `json:"polarisation_db"`
	Ground   Float  `json:"reflection_db"`
	Edge     Float  `json:"obstacle_db"`
	Behind   string `json:"obstacle"`
	Body     Float  `json:"body_db"`
	Shade    string `json:"shaded_by"`
	Level    Float  `json:"level_dbm"`
	Needed   Float  `json:"threshold_dbm"`
	Interval Spans  `json:"interval,omitempty"`
}

// RangeJSON is how far a link keeps a margin.
type RangeJSON struct {
	Margin   Float `json:"margin_db"`
	Free     Float `json:"free_space_m"`
	Ground   Float `json:"over_ground_m"`
	Beyond   bool  `json:"beyond"`
	Interval Spans `json:"interval,omitempty"`
}

// LinkStepJSON is one change of a link.
type LinkStepJSON struct {
	Say      string `json:"say"`
	Set      string `json:"set"`
	Margin   Float  `json:"margin_db"`
	Gain     Float  `json:"gain_db"`
	Interval Spans  `json:"interval,omitempty"`
}

// LinkJSON is one link.
type LinkJSON struct {
	Name     string         `json:"name"`
	Use      string         `json:"use"`
	Safety   bool           `json:"safety"`
	Margin   Quantity       `json:"margin_worst"`
	Where    string         `json:"where"`
	AtM      [3]Float       `json:"where_m"`
	Circuit  Quantity       `json:"margin_circuit"`
	Approach Quantity       `json:"margin_approach"`
	Budget   BudgetJSON     `json:"budget"`
	Ranges   []RangeJSON    `json:"ranges"`
	Fades    []Float        `json:"fades_m"`
	FadeSpan [][2]Float     `json:"fades_interval_m"`
	Steps    []LinkStepJSON `json:"changes"`
	Along    []Float        `json:"margin_along_db"`
}

// PlaceJSON is one place of the way.
type PlaceJSON struct {
	Along   Float  `json:"along_m"`
	Ahead   Float  `json:"ahead_m"`
	Right   Float  `json:"right_m"`
	Height  Float  `json:"height_m"`
	Bank    Float  `json:"bank_deg"`
	Heading Float  `json:"heading_deg"`
	Leg     string `json:"leg"`
}

// SignalLostJSON is what happens when a signal goes.
type SignalLostJSON struct {
	Leg      string `json:"leg"`
	Margin   Float  `json:"margin_db"`
	Say      string `json:"say"`
	Size     Float  `json:"size_m"`
	Ahead    Float  `json:"ends_ahead_m"`
	Right    Float  `json:"ends_right_m"`
	Time     Float  `json:"after_s"`
	Behind   bool   `json:"behind_pilot"`
	Interval Spans  `json:"interval,omitempty"`
}

// RadioJSON is the body of `radio`.
type RadioJSON struct {
	Head
	Links []LinkJSON       `json:"links"`
	Way   []PlaceJSON      `json:"path"`
	Lost  []SignalLostJSON `json:"signal_lost"`
	Tail
}

// RadioBody is the JSON of a radio page.
func RadioBody(p Linked) RadioJSON {
	out := RadioJSON{Head: p.head(), Links: []LinkJSON{}, Way: []PlaceJSON{}, Lost: []SignalLostJSON{}, Tail: p.tail(ofIDs("link-margin"), radioCautions...)}
	if len(p.Links) > 0 {
		out.Notes = append(out.Notes, p.notes()...)
	}
	for i := range p.Links {
		l := &p.Links[i]
		j := LinkJSON{
			Name: l.Name, Use: l.Use, Safety: l.Safety, Margin: Q(l.Margin), Where: l.Where, Circuit: Q(l.Circuit), Approach: Q(l.Approach),
			AtM:    [3]Float{Float(l.At.Pos.X), Float(l.At.Pos.Y), Float(l.At.Pos.Z)},
			Budget: l.rows().Budget,
			Ranges: []RangeJSON{}, Fades: []Float{}, FadeSpan: [][2]Float{}, Steps: []LinkStepJSON{}, Along: []Float{},
		}
		j.Ranges = append(j.Ranges, l.rows().Ranges...)
		for n, f := range l.Fades {
			low, high, ok := l.rows().Fades[n].Interval.Span("at_m")
			if !ok {
				low, high = f, f
			}
			j.Fades, j.FadeSpan = append(j.Fades, Float(f)), append(j.FadeSpan, [2]Float{Float(low), Float(high)})
		}
		for n, s := range l.Steps {
			j.Steps = append(j.Steps, LinkStepJSON{s.Say, s.Set, Float(s.Margin), Float(s.Gain), l.stands(&s).and(l.rows().Steps[n].Interval)})
		}
		for k := range l.Along {
			j.Along = append(j.Along, Float(l.Along[k].Margin))
		}
		out.Links = append(out.Links, j)
	}
	for _, k := range p.Way.Places {
		out.Way = append(out.Way, PlaceJSON{Float(k.Along), Float(k.Pos.X), Float(k.Pos.Y), Float(k.Pos.Z), Float(deg(k.Bank)), Float(deg(k.Heading)), k.Name})
	}
	out.Lost = append(out.Lost, p.losses()...)
	return out
}

// RadioCharts draws the margins along the way, and the way from above.
func RadioCharts(p Linked) []*chart.Chart {
	name := p.Results.Aircraft.Name
	c := &chart.Chart{Title: name + ": margin along the circuit and down the approach", X: chart.Axis{Label: "flown, m"}, Y: chart.Axis{Label: "margin, dB"}}
	first, last := math.Inf(1), math.Inf(-1)
	for i := range p.Links {
		l := &p.Links[i]
		if len(l.Along) == 0 {
			continue
		}
		var x, y []float64
		for k := range l.Along {
			if k == p.Way.Landing && k > 0 {
				x, y = append(x, p.Way.Places[k].Along), append(y, math.NaN())
			}
			x, y = append(x, p.Way.Places[k].Along), append(y, l.Along[k].Margin)
		}
		first, last = math.Min(first, x[0]), math.Max(last, x[len(x)-1])
		c.Series = append(c.Series, chart.Series{Name: l.Name, X: x, Y: y, Ink: i})
		c.Notes = append(c.Notes, chart.Note{X: l.At.Along, Y: l.Budget.Margin, Text: "worst"})
	}
	if len(c.Series) == 0 {
		return nil
	}
	want := p.Results.Aircraft.Limits.LinkMargin
	c.Series = append(c.Series, chart.Series{Name: "wanted", Kind: chart.Thin, X: []float64{first, last}, Y: []float64{want, want}, Ink: 4})
	return []*chart.Chart{c, wayChart(name+": the circuit and the approach from above", p.Results, &p.Way)}
}

// wayChart is a circuit and an approach from above: the pilot at the origin,
// the launch direction upwards.
func wayChart(title string, r *assess.Results, w *assess.Way) *chart.Chart {
	c := &chart.Chart{Title: title, X: chart.Axis{Label: "right of the pilot, m"}, Y: chart.Axis{Label: "ahead, m"}, Equal: true}
	add := func(places []radio.Place, name string, ink int, closed bool) {
		var x, y []float64
		for _, k := range places {
			x, y = append(x, k.Pos.Y), append(y, k.Pos.X)
		}
		if closed && len(x) > 0 {
			x, y = append(x, x[0]), append(y, y[0])
		}
		if len(x) > 1 {
			c.Series = append(c.Series, chart.Series{Name: name, X: x, Y: y, Ink: ink})
		}
	}
	add(w.Places[:w.Landing], "circuit", 0, w.Round.Open < 5)
	add(w.Places[w.Landing:], "approach", 1, false)
	for _, o := range r.Aircraft.Obstacles {
		s, k := math.Sincos(o.Turned)
		c.Series = append(c.Series, chart.Series{Name: o.Name, X: []float64{o.At.Right - k*o.Width/2, o.At.Right + k*o.Width/2}, Y: []float64{o.At.Ahead + s*o.Width/2, o.At.Ahead - s*o.Width/2}, Ink: 2})
	}
	c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: []float64{0}, Y: []float64{0}, Ink: 3})
	c.Notes = append(c.Notes, chart.Note{Text: "pilot"})
	for i := range r.Links {
		if l := &r.Links[i]; l.Margin.Status == "" {
			c.Notes = append(c.Notes, chart.Note{X: l.At.Pos.Y, Y: l.At.Pos.X, Text: "worst of " + l.Name})
		}
	}
	return c
}
