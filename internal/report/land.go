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

// IdleRow is the glide with the propeller in one state.
type IdleRow struct {
	Way     string
	Glide   perform.Glide // at the approach speed
	Best    perform.Glide
	Planned bool
}

// GroundRow is the slide on one surface.
type GroundRow struct {
	Surface                             string
	Friction, Slide, Time, Deceleration float64
	Why                                 string
}

// Landed is what the landing page shows.
type Landed struct {
	Subject
	Plan    perform.Approach
	Nominal perform.Landing // as planned
	Ways    []LandRow
	Best    perform.Glide
	Idle    []IdleRow
	Brakes  []assess.Brake
	Grounds []GroundRow
	Scatter assess.Landings
	Again   perform.GoRound
	Slow    []assess.Slow
	Excess  float64     // m/s over the approach speed
	tables  *landTables // with their intervals; nil until Doubted
}

// Land is the page of the seventh question.
func Land(p Landed) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	r := p.Results
	ac := r.Aircraft
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[7]}
	l := &p.Nominal
	if l.Status == perform.OK {
		d.Lead = append(d.Lead, fmt.Sprintf("Motor off, from %s over the edge of the field: approach at %s, touch at %s over the ground, stand still after %s.",
			p.fmt(p.Plan.Height, unit.Length), p.fmt(l.Approach, unit.Speed), p.fmt(l.GroundSpeed, unit.Speed), p.fmt(l.Distance, unit.Length)))
	} else {
		d.Lead = append(d.Lead, "No landing: "+string(l.Status)+".")
	}
	d.Lead = append(d.Lead, p.conditions())
	d.Sections = append(d.Sections, p.findings("Judged", ofQuestion(7)))
	rows := [][]string{
		{"approach speed", p.speed(r.Get(assess.ApproachSpeed))},
		{"touchdown speed over the ground", p.speed(r.Get(assess.Touchdown))},
		{fmt.Sprintf("distance from %s", p.fmt(p.Plan.Height, unit.Length)), p.show(r.Get(assess.LandingRun), unit.Length)},
		{"mean deceleration on the ground", p.show(r.Get(assess.Deceleration), unit.Acceleration)},
		{"pitch stick that trims the approach", p.show(r.Get(assess.TrimApproach), unit.Ratio)},
		{"steepest path at that speed, motor off", p.show(r.Get(assess.GlideAngle), unit.Angle)},
		{"best glide ratio, motor off", span(r.Get(assess.GlideRatio))},
	}
	d.Sections = append(d.Sections, Section{Title: "The numbers, with their 90 % intervals", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: 1}}}})
	if l.Status == perform.OK {
		d.Sections = append(d.Sections, Section{Title: "Piece by piece, as planned", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
			{"path below level, still air", p.show(r.Get(assess.ApproachAngle), unit.Angle)},
			{"approach to the flare", p.show(r.Get(assess.ApproachRun), unit.Length)},
			{"flare and float", p.show(r.Get(assess.FlareRun), unit.Length)},
			{"slide on the belly", p.show(r.Get(assess.SlideRun), unit.Length) + " in " + p.show(r.Get(assess.SlideTime), unit.Time)},
			{"sink at touchdown", p.show(r.Get(assess.TouchdownSink), unit.Speed)},
		}}}, para("Friction of the belly on %s: %s.", surfaceWord(ac.Landing.Surface), span(r.Get(assess.Friction)))}})
	}
	t := &Table{Head: []string{"way", "approach", "path, deg", "touch, ground", "distance", ""}, Wrap: 0, Right: rights(6, 0)}
	v := p.in(1, unit.Speed)
	for i, w := range p.Ways {
		if w.Status != perform.OK {
			t.Rows = append(t.Rows, []string{w.Say, string(w.Status), "-", "-", "-", "-"})
			continue
		}
		t.Rows = append(t.Rows, []string{w.Say, p.fmt(w.Approach, unit.Speed), col(deg(w.Angle), 1), p.fmt(w.GroundSpeed, unit.Speed), p.fmt(w.Distance, unit.Length) + p.tabled().Ways[i].Interval.ends("distance_m", p.in(w.Distance, unit.Length).k, 0), fmt.Sprintf("%+.0f %%", 100*(w.Distance/l.Distance-1))})
		if row, ok := p.tabled().Ways[i].Interval.under("", cell{"approach_m_s", v.k, 1}, cell{"path_deg", 1, 1}, cell{"touchdown_ground_m_s", v.k, 1}, cell{}, cell{}); ok && i == 0 {
			t.Rows = append(t.Rows, row)
		}
	}
	if len(t.Rows) > 0 {
		d.Sections = append(d.Sections, Section{Title: "Ways to come down shorter, or longer", Blocks: []Block{{Table: t}, para(plusMinus + " The speeds and paths below the first are known as well as its own.")}})
	}
	if l.Status == perform.OK {
		d.Sections = append(d.Sections, p.idle(), p.slowing(), p.scatter(), p.grounds(), p.loads(), p.again())
	}
	d.Sections = append(d.Sections, noteSection([]string{
		"The approach is a steady glide; the flare pulls 1.2 times the weight and touches at 1.1 times the stall speed; raised ailerons and slips are balanced flights of the whole model at the approach speed, their drag kept as an area.",
		"No published slide of a model's belly was found: measure one, or drag her by a luggage scale.",
	}), cautionSection(careful("law", "speed", "lithium")))
	return d
}

func surfaceWord(s string) string {
	if s == "" {
		return "the ground"
	}
	return s
}

func (p *Landed) idle() Section {
	if len(p.Idle) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"propeller", "glide at the approach speed", "path, deg", "sink", "best glide", "at"}, Wrap: -1, Right: rights(6, 0)}
	v := p.in(1, unit.Speed)
	for i, k := range p.Idle {
		name := k.Way
		if k.Planned {
			name += " (planned)"
		}
		t.Rows = append(t.Rows, []string{name, col(k.Glide.Ratio, 1), col(deg(k.Glide.Angle), 1), p.fmt(k.Glide.Sink, unit.Speed), col(k.Best.Ratio, 1), p.fmt(k.Best.Speed, unit.Speed)})
		if row, ok := p.tabled().Idle[i].Interval.under("", cell{"glide_ratio", 1, 1}, cell{"path_deg", 1, 1}, cell{"sink_m_s", v.k, 1}, cell{"best_glide_ratio", 1, 1}, cell{"best_glide_m_s", v.k, 1}); ok {
			t.Rows = append(t.Rows, row)
		}
	}
	b := []Block{{Table: t}, para(plusMinus)}
	if a, w := p.Idle[0].Glide.Angle, p.Idle[1].Glide.Angle; math.Abs(a-w) < 0.002 {
		b = append(b, para("At that speed the air does not turn the propeller against the motor's own drag: left free it stands still as well."))
	}
	return Section{Title: "Motor off: the propeller stopped, windmilling, braked", Blocks: b}
}

func (p *Landed) slowing() Section {
	if len(p.Slow) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"way", "distance", "time", ""}, Wrap: 0, Least: 24, Right: []bool{false, true, true, false}}
	var notes []string
	for i, k := range p.Slow {
		n := p.tabled().Slow[i].Interval
		if k.Why != "" {
			t.Rows = append(t.Rows, []string{k.Say, "-", "-", ""})
			notes = append(notes, upper(k.Say)+": not to be had, "+k.Why+".")
			continue
		}
		t.Rows = append(t.Rows, []string{k.Say, p.fmt(k.Distance, unit.Length) + n.ends("distance_m", p.in(k.Distance, unit.Length).k, 0), p.fmt(k.Time, unit.Time), ""})
		if k.Note != "" {
			notes = append(notes, upper(k.Say)+": "+k.Note+".")
		}
	}
	sec := Section{Title: fmt.Sprintf("To lose the last %s (from %s to %s), in order of what works", p.excess(), p.fmt(p.Nominal.Approach+p.Excess, unit.Speed), p.fmt(p.Nominal.Approach, unit.Speed)),
		Blocks: []Block{{Table: t}, para("Low and level in still air; a headwind shortens each over the ground. What works best is not to bring the excess along: begin the approach slower, farther out.")}}
	if len(notes) > 0 {
		sec.Blocks = append(sec.Blocks, Block{List: notes})
	}
	return sec
}

// suits is the length of the field that holds nine landings in ten, doubt and
// scatter together.
func (p *Landed) suits() float64 {
	d := p.Results.Get(assess.LandingRun)
	if d.Status != "" || math.IsInf(d.High, 0) {
		return math.NaN()
	}
	return d.Value + math.Hypot(d.High-d.Value, p.Scatter.Stop.High-p.Scatter.Stop.Value)
}

func (p *Landed) scatter() Section {
	k := &p.Scatter
	rows := [][]string{
		{"touches after", p.show(k.Touch, unit.Length)}, {"stands still after", p.show(k.Stop, unit.Length)}, {"touchdown speed over the ground", p.speed(k.Speed)},
	}
	s := Section{Title: "From one landing to the next: 90 % of them", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}},
		para("The speed held within 5 %%, the height over the edge within a fifth, the wind between lull and gust: our choice for a careful pilot.")}}
	if f := p.suits(); !math.IsNaN(f) {
		s.Blocks = append(s.Blocks, para("A field of %s suits: it holds the landing with its doubt and its scatter together.", p.fmt(5*math.Ceil(f/5), unit.Length)))
	}
	return s
}

func (p *Landed) grounds() Section {
	t := &Table{Head: []string{"surface", "friction", "slide", "time", "brakes"}, Wrap: -1, Right: rights(5, 0)}
	for i, k := range p.Grounds {
		n := p.tabled().Grounds[i].Interval
		t.Rows = append(t.Rows, []string{k.Surface, fmt.Sprintf("%.2f", k.Friction) + n.ends("friction", 1, 2), p.fmt(k.Slide, unit.Length) + n.ends("slide_m", p.in(k.Slide, unit.Length).k, 0), p.fmt(k.Time, unit.Time), fmt.Sprintf("%.2f", k.Deceleration/perform.Gravity)})
	}
	return Section{Title: "The slide by surface", Blocks: []Block{{Table: t}, para("Brakes: the mean deceleration in times her weight.")}}
}

func (p *Landed) loads() Section {
	l, v, n := &p.Nominal, p.in(1, unit.Speed), p.tabled().Asks.Interval
	rows := [][]string{
		{"sink at touchdown, after the flare", p.fmt(l.SinkTouchdown, unit.Speed) + n.ends("sink_m_s", v.k, 1)},
		{"without a flare", p.fmt(l.Approach*math.Sin(l.Angle), unit.Speed) + n.ends("sink_without_flare_m_s", v.k, 1)},
		{"braked on the ground", fmt.Sprintf("%.2f", l.Deceleration/perform.Gravity) + n.ends("braked_of_weight", 1, 2) + " times her weight"},
	}
	for i := range p.Verdict.Findings {
		switch f := &p.Verdict.Findings[i]; f.ID {
		case "belly", "tip-catch", "impact", "bolts.wing", "bolts-tip.wing":
			c := Checked{Results: p.Results, Verdict: p.Verdict, Units: p.Units}
			rows = append(rows, []string{f.Label, c.value(f)})
		}
	}
	return Section{Title: "What the landing asks of the airframe", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: 0, Least: 30}}, para("fledge strength says what it can take.")}}
}

func (p *Landed) again() Section {
	g := &p.Again
	s := Section{Title: "Going round"}
	switch {
	case g.Status == perform.NoPower:
		s.Blocks = []Block{para("No motor: the approach that is begun is flown to its end.")}
	case g.Status != perform.OK:
		s.Blocks = []Block{para("Not possible at the approach speed with the pack at its reserve: %s.", string(g.Status))}
	default:
		s.Blocks = []Block{para("Possible: with the pack at its reserve she climbs %s at the approach speed (path %s up), after losing %s%s while the motor runs up and the path bends. Decide above that height.", p.show(p.Results.Get(assess.GoRoundClimb), unit.Speed), p.fmt(g.Angle, unit.Angle)+p.tabled().Asks.Interval.ends("go_round_path_deg", 1, 0), p.fmt(g.Sunk, unit.Length), p.tabled().Asks.Interval.ends("go_round_sinks_m", p.in(g.Sunk, unit.Length).k, 0))}
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
	Interval Spans  `json:"interval,omitempty"`
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
	PathDeg      Float         `json:"path_deg"` // these four bare ones draw the nominal landing
	ApproachM    Float         `json:"approach_run_m"`
	FlareM       Float         `json:"flare_run_m"`
	SlideM       Float         `json:"slide_m"`
	Path         Quantity      `json:"path"`
	Steepest     Quantity      `json:"steepest_path"`
	ApproachRun  Quantity      `json:"approach_run"`
	FlareRun     Quantity      `json:"flare_run"`
	Slide        Quantity      `json:"slide"`
	SlideTime    Quantity      `json:"slide_time"`
	Sink         Quantity      `json:"sink_at_touchdown"`
	Friction     Quantity      `json:"friction"`
	Ways         []LandRowJSON `json:"ways"`
	Propeller    []IdleJSON    `json:"propeller"`
	Brakes       []BrakeJSON   `json:"brakes"`
	Slow         []SlowJSON    `json:"slowing"`
	ScatterTouch Quantity      `json:"scatter_touch"`
	ScatterStop  Quantity      `json:"scatter_stop"`
	ScatterSpeed Quantity      `json:"scatter_touchdown_speed"`
	Suits        Quantity      `json:"field_length"`
	Grounds      []GroundJSON  `json:"surfaces"`
	GoRound      Quantity      `json:"go_round_climb"`
	GoRoundSinks Float         `json:"go_round_sinks_m"`
	GoRoundSay   string        `json:"go_round_status"`
	Asks         LandAsksJSON  `json:"asks"`
	Tail
}

// IdleJSON is the glide with the propeller in one state.
type IdleJSON struct {
	State    string `json:"state"`
	Glide    Float  `json:"glide_ratio"`
	Path     Float  `json:"path_deg"`
	Sink     Float  `json:"sink_m_s"`
	Best     Float  `json:"best_glide_ratio"`
	At       Float  `json:"best_glide_m_s"`
	Interval Spans  `json:"interval,omitempty"`
}

// BrakeJSON is one way to make drag.
type BrakeJSON struct {
	Say      string `json:"say"`
	Area     Float  `json:"drag_area_m2"`
	Angle    Float  `json:"angle_deg"`
	Lift     Float  `json:"lift_change"`
	Status   string `json:"status"`
	Interval Spans  `json:"interval,omitempty"`
}

// SlowJSON is one way to lose speed.
type SlowJSON struct {
	Say      string `json:"say"`
	Distance Float  `json:"distance_m"`
	Time     Float  `json:"time_s"`
	Status   string `json:"status"`
	Interval Spans  `json:"interval,omitempty"`
}

// GroundJSON is the slide on one surface.
type GroundJSON struct {
	Surface  string `json:"surface"`
	Friction Float  `json:"friction"`
	Slide    Float  `json:"slide_m"`
	Time     Float  `json:"slide_s"`
	Braked   Float  `json:"braked_of_weight"`
	Interval Spans  `json:"interval,omitempty"`
}

// LandAsksJSON is what the landing asks of the airframe, and of going round.
type LandAsksJSON struct {
	Sink     Float `json:"sink_m_s"`
	Unflared Float `json:"sink_without_flare_m_s"`
	Braked   Float `json:"braked_of_weight"`
	Sunk     Float `json:"go_round_sinks_m"`
	Path     Float `json:"go_round_path_deg"`
	Interval Spans `json:"interval,omitempty"`
}

// landTables are the rows of the page's tables, nominal or of a draw.
type landTables struct {
	Ways    []LandRowJSON
	Idle    []IdleJSON
	Brakes  []BrakeJSON
	Slow    []SlowJSON
	Grounds []GroundJSON
	Asks    LandAsksJSON
}

// Doubted gives every number of the page's tables its interval, by the same
// page over draws of what is not known.
func (p *Landed) Doubted(draws []Landed) {
	t := p.rows()
	all := make([]landTables, len(draws))
	for i := range draws {
		all[i] = draws[i].rows()
	}
	Doubt(&t, all)
	p.tables = &t
}

// tabled are the rows with their intervals, where there are any.
func (p *Landed) tabled() *landTables {
	if p.tables == nil {
		t := p.rows()
		p.tables = &t
	}
	return p.tables
}

// rows lists the rows of the tables.
func (p *Landed) rows() (t landTables) {
	for _, w := range p.Ways {
		t.Ways = append(t.Ways, LandRowJSON{Say: w.Say, Margin: Float(w.Margin), Wind: Float(w.Wind), Approach: Float(w.Approach), Path: Float(-deg(w.Angle)), Ground: Float(w.GroundSpeed), Distance: Float(w.Distance), Status: string(w.Status)})
	}
	for _, k := range p.Idle {
		t.Idle = append(t.Idle, IdleJSON{State: k.Way, Glide: Float(k.Glide.Ratio), Path: Float(-deg(k.Glide.Angle)), Sink: Float(k.Glide.Sink), Best: Float(k.Best.Ratio), At: Float(k.Best.Speed)})
	}
	for _, k := range p.Brakes {
		b := BrakeJSON{Say: k.Say, Area: Float(k.Area), Angle: Float(deg(k.Angle)), Lift: Float(k.Lift), Status: "ok"}
		if !k.Known {
			b.Area, b.Status = Float(math.NaN()), k.Why
		}
		t.Brakes = append(t.Brakes, b)
	}
	for _, k := range p.Slow {
		st := "ok"
		if k.Why != "" {
			st = k.Why
		}
		t.Slow = append(t.Slow, SlowJSON{Say: k.Say, Distance: Float(k.Distance), Time: Float(k.Time), Status: st})
	}
	for _, k := range p.Grounds {
		t.Grounds = append(t.Grounds, GroundJSON{Surface: k.Surface, Friction: Float(k.Friction), Slide: Float(k.Slide), Time: Float(k.Time), Braked: Float(k.Deceleration / perform.Gravity)})
	}
	l := &p.Nominal
	t.Asks = LandAsksJSON{Sink: Float(l.SinkTouchdown), Unflared: Float(l.Approach * math.Sin(l.Angle)), Braked: Float(l.Deceleration / perform.Gravity), Sunk: Float(p.Again.Sunk), Path: Float(deg(p.Again.Angle))}
	return t
}

// LandBody is the JSON of a landing page.
func LandBody(p Landed) LandJSON {
	r, l := p.Results, &p.Nominal
	out := LandJSON{Head: p.head(), Approach: Q(r.Get(assess.ApproachSpeed)), Touchdown: Q(r.Get(assess.Touchdown)), Distance: Q(r.Get(assess.LandingRun)),
		Deceleration: Q(r.Get(assess.Deceleration)), GlideRatio: Q(r.Get(assess.GlideRatio)), TrimApproach: Q(r.Get(assess.TrimApproach)),
		Height: Float(p.Plan.Height), PathDeg: Float(-deg(l.Angle)), ApproachM: Float(l.ApproachRun), FlareM: Float(l.FlareRun), SlideM: Float(l.Slide),
		Path: Q(r.Get(assess.ApproachAngle)), Steepest: Q(r.Get(assess.GlideAngle)), ApproachRun: Q(r.Get(assess.ApproachRun)), FlareRun: Q(r.Get(assess.FlareRun)), Slide: Q(r.Get(assess.SlideRun)), SlideTime: Q(r.Get(assess.SlideTime)),
		Sink: Q(r.Get(assess.TouchdownSink)), Friction: Q(r.Get(assess.Friction)), Ways: []LandRowJSON{}, Tail: p.tail(ofQuestion(7), "law", "speed", "lithium")}
	out.Notes = append(out.Notes, r.Notes...)
	out.Propeller, out.Brakes, out.Slow, out.Grounds = []IdleJSON{}, []BrakeJSON{}, []SlowJSON{}, []GroundJSON{}
	t := p.tabled()
	out.Propeller, out.Brakes, out.Slow, out.Grounds, out.Ways = append(out.Propeller, t.Idle...), append(out.Brakes, t.Brakes...), append(out.Slow, t.Slow...), append(out.Grounds, t.Grounds...), append(out.Ways, t.Ways...)
	out.Asks = t.Asks
	out.ScatterTouch, out.ScatterStop, out.ScatterSpeed = Q(p.Scatter.Touch), Q(p.Scatter.Stop), Q(p.Scatter.Speed)
	out.Suits = known(p.suits(), "m", "the landing distance is not known")
	out.GoRound, out.GoRoundSinks, out.GoRoundSay = Q(r.Get(assess.GoRoundClimb)), Float(p.Again.Sunk), string(p.Again.Status)
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
		flare = math.Min(flare, p.Plan.Height)
		x := []float64{0, l.ApproachRun}
		y := []float64{p.Plan.Height, flare}
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
	add(&p.Nominal, "", 0, chart.Line)
	if p.Nominal.Status == perform.OK {
		c.Notes = append(c.Notes, chart.Note{X: p.Nominal.Distance, Y: p.Plan.Height / 25, Text: "stands still"})
	}
	if n := p.Results.Aircraft.Landing.Length; n > 0 {
		c.Series = append(c.Series, chart.Series{Name: "end of the field", X: []float64{n, n}, Y: []float64{0, p.Plan.Height / 2}, Ink: 1})
	}
	return c
}

// excess is the speed to be lost as people say it.
func (p *Landed) excess() string {
	if p.Units == unit.Imperial {
		return p.fmt(p.Excess, unit.Speed)
	}
	return fmt.Sprintf("%.0f km/h", 3.6*p.Excess)
}
