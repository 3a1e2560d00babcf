package report

import (
	"fmt"
	"math"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/perform"
	"fledge/internal/power"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// SpeedRow is the aeroplane in level flight at one airspeed, everything at
// its nominal value; NaN where there is no such flight.
type SpeedRow struct {
	Speed            float64
	Drag, Thrust     float64 // N; thrust at full throttle
	Throttle         float64 // to hold level
	Current          float64 // A, level
	Time, Distance   float64 // to the reserve
	Climb            float64 // m/s at full throttle
	Glide, Sink      float64 // motor off
	StallBank        float64 // bank at which it stalls, rad
	Radius           float64 // of the tightest sustained turn at this speed, m
	Status           string  // why it cannot fly level here, "" when it can
	Induced, Profile float64 // shares of the drag: N
	// 90 % intervals of ignorance.
	DragLow, DragHigh, ThrustLow, ThrustHigh float64
}

// DragRow is one contribution to the drag without lift at the top speed (or
// twice the stall speed without a motor).
type DragRow struct {
	aero.Item
	Force float64 // N
	Buys  float64 // top speed gained by its absence, m/s; NaN without a top speed
}

// Flight is what the performance page shows.
type Flight struct {
	Subject
	Rows      []SpeedRow
	DragSpeed float64 // at which Drags are
	Drags     []DragRow
	Lift      float64 // N of drag due to lift at that speed, in level flight
	Heat      []power.Warmth
	HeatTime  float64 // s at full throttle for Heat
	Limits    []power.Loads
	Climb     perform.Climb
	Best      perform.Glide
	LeastSink perform.Glide
	RunIn     float64 // m from cruise to 98 % of the top speed
	Bank      float64 // of the loiter circle, rad
	Aloft     Aloft
	Pack      PackSag
	runIn     Quantity   // RunIn with its interval; zero until Doubted
	tables    *flyTables // with their intervals; nil until Doubted
}

// PackSag is the pack's resistance as typed and as steady load meets it, ohm;
// zero without a drive.
type PackSag struct {
	Typed, Steady float64 // of one cell, of the whole pack
	Over          float64 // steady over typed, both of the whole pack
	Cells         int
}

// say tells what was typed from what is flown with, so that a sag measured by
// the builder is not counted twice.
func (k *PackSag) say(s Spans) string {
	return fmt.Sprintf("The pack: %d cells of %.1f mohm as typed, a charger's short pulse, are %.0f mohm%s under a steady load at that charge and temperature, %.2f times as much: the sag goes on growing for some 15 s. If you measured the sag yourself, volts at two currents held that long, type volts lost / amperes more / %d / %.2f as power.battery.cell_resistance, or it is counted twice.",
		k.Cells, 1e3*k.Typed, 1e3*k.Steady, s.ends("steady_ohm", 1e3, 0), k.Over, k.Cells, k.Over)
}

// PackSagJSON is the pack's resistance.
type PackSagJSON struct {
	Typed    Float `json:"typed_cell_ohm"`
	Steady   Float `json:"steady_ohm"`
	Over     Float `json:"steady_over_typed"`
	Interval Spans `json:"interval,omitempty"`
}

var flyIDs = []struct {
	id    assess.ID
	label string
	dim   unit.Dim
}{
	{assess.StallSpeed, "stall speed", unit.Speed},
	{assess.CruiseSpeed, "cruise speed", unit.Speed},
	{assess.TopSpeed, "top speed, level", unit.Speed},
	{assess.DiveSpeed, "speed in a 30 degree dive, full throttle", unit.Speed},
	{assess.ClimbRate, "best climb", unit.Speed},
	{assess.ClimbAngle, "climb angle at it", unit.Angle},
	{assess.ClimbSpeed, "airspeed of it", unit.Speed},
	{assess.EnduranceTime, "endurance at cruise, reserve kept", unit.Time},
	{assess.Range, "range at cruise, still air", unit.Length},
	{assess.FastEndurance, "endurance at full throttle", unit.Time},
	{assess.TurnRadius, "tightest sustained turn", unit.Length},
	{assess.LoiterRadius, "loiter radius", unit.Length},
	{assess.StaticThrust, "pull at rest", unit.Force},
	{assess.CurrentMax, "largest current", unit.Current},
	{assess.CurrentCruise, "current at cruise", unit.Current},
	{assess.GlideRatio, "best glide ratio, motor off", unit.None},
	{assess.GlideSpeed, "airspeed of it", unit.Speed},
	{assess.LeastSink, "least sink, motor off", unit.Speed},
	{assess.GustLoad, "load in the day's gust at top speed", unit.None},
	{assess.TrimCruise, "pitch stick that holds cruise", unit.Ratio},
	{assess.TrimThrottle, "stick as the throttle opens at cruise", unit.Ratio},
	{assess.RunIn95, "run from cruise to 95 % of the top speed", unit.Length},
	{assess.RunTime95, "its time", unit.Time},
	{assess.RunIn99, "run from cruise to 99 % of the top speed", unit.Length},
	{assess.RunTime99, "its time", unit.Time},
	{assess.GoRoundClimb, "climb when a landing is broken off", unit.Speed},
}

// Fly is the page of the sixth question.
func Fly(p Flight) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	r := p.Results
	ac := r.Aircraft
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[6]}
	d.Lead = append(d.Lead, p.conditions())
	t := &Table{Wrap: 1}
	for _, k := range flyIDs {
		q := r.Get(k.id)
		if q.Status == string(perform.NotDescribed) {
			continue
		}
		v := ""
		switch k.dim {
		case unit.Speed:
			v = p.speed(q)
			if k.id == assess.ClimbRate || k.id == assess.GoRoundClimb || k.id == assess.LeastSink {
				v = p.show(q, unit.Speed)
			}
		case unit.None:
			if v = times(q); k.id == assess.GlideRatio && q.Status == "" {
				v = span(q)
			}
		default:
			v = p.show(q, k.dim)
		}
		label := k.label
		if k.id == assess.StallSpeed {
			label = r.Slowest.Label()
		}
		t.Rows = append(t.Rows, []string{label, v})
	}
	d.Sections = append(d.Sections, Section{Title: "The numbers, with their 90 % intervals", Blocks: []Block{{Table: t}}})
	d.Sections = append(d.Sections, p.findings("Judged", func(f *verdict.Finding) bool {
		return f.Question == 6 && (f.ID == "never-exceed" || f.ID == "reserve" || f.ID == "loiter" && f.Status != verdict.NotAsked)
	}))
	d.Sections = append(d.Sections, p.levels())
	d.Sections = append(d.Sections, p.aloft()...)
	d.Sections = append(d.Sections, p.drags(), p.drive(), noteSection(r.Notes), cautionSection(careful("law", "speed", "lithium")))
	return d
}

func (p *Flight) levels() Section {
	f, far := p.in(1, unit.Force), p.in(3000, unit.Length)
	first, second := asked{"m/s", 1}, p.quick()
	if p.Units == unit.Imperial {
		first, second = second, asked{"ft/s", 1 / 0.3048}
	}
	up := first
	if p.Units == unit.Imperial {
		up = second
	}
	head := []string{first.name, second.name, "drag " + f.name, "pull " + f.name, "stick %", "A", "min", far.name, "climb " + up.name, "glide"}
	rows := p.tabled().At
	t := &Table{Head: head, Wrap: -1, Right: rights(len(head))}
	places := 2
	if p.Units == unit.Imperial {
		places = 1
	}
	for i, r := range p.Rows {
		if i%2 == 1 {
			continue // the plot and the JSON have them
		}
		t.Rows = append(t.Rows, []string{col(first.k*r.Speed, 1), col(second.k*r.Speed, 0), col(f.k*r.Drag, places), col(f.k*r.Thrust, places), col(100*r.Throttle, 0), col(r.Current, 1),
			col(r.Time/60, 1), col(far.k*r.Distance, 1), col(up.k*r.Climb, 1), col(r.Glide, 1)})
		if row, ok := rows[i].Interval.under("", cell{}, cell{"drag_n", f.k, places}, cell{"thrust_n", f.k, places}, cell{"throttle", 100, 0}, cell{"current_a", 1, 1}, cell{"endurance_s", 1. / 60, 1}, cell{"range_m", far.k, 1}, cell{"climb_m_s", up.k, 1}, cell{"glide_ratio", 1, 1}); ok {
			t.Rows = append(t.Rows, row)
		}
	}
	return Section{Title: "Level flight at each airspeed", Blocks: []Block{{Table: t},
		para(plusMinus + " Pull and climb are at full throttle with the pack as at launch; throttle, current and time (to the reserve) are what level flight takes; glide is with the motor off, propeller standing.")}}
}

func (p *Flight) drags() Section {
	if len(p.Drags) == 0 {
		return Section{}
	}
	total := p.Lift
	for _, r := range p.Drags {
		total += r.Force
	}
	u, f, area := p.quick(), p.in(1, unit.Force), asked{"cm2", 1e4}
	if p.Units == unit.Imperial {
		area = asked{"in2", 1 / (0.0254 * 0.0254)}
	}
	t := &Table{Head: []string{"", "area, " + area.name, "drag, " + f.name, "share", "buys, " + u.name}, Wrap: 0, Least: 16, Right: rights(5, 0)}
	for i, r := range p.Drags {
		k := p.tabled().Drag[i].Interval
		t.Rows = append(t.Rows, []string{r.Name, col(area.k*r.DragArea, 2) + k.after("drag_area_m2", area.k, 2), col(f.k*r.Force, 2) + k.ends("drag_n", f.k, 2), share(r.Force / total), col(u.k*r.Buys, 1) + k.ends("buys_m_s", u.k, 1)})
	}
	t.Rows = append(t.Rows, []string{lifts, "", col(f.k*p.Lift, 2) + p.tabled().Drag[len(p.Drags)].Interval.ends("drag_n", f.k, 2), share(p.Lift / total), ""})
	var list []string
	for _, r := range p.Drags {
		if r.Why != "" {
			list = append(list, r.Name+": "+r.Why)
		}
	}
	s := Section{Title: "What holds it back at " + p.fmt(p.DragSpeed, unit.Speed), Blocks: []Block{{Table: t}}}
	if len(list) > 0 {
		s.Blocks = append(s.Blocks, Block{List: list})
	}
	return s
}

func (p *Flight) drive() Section {
	s := Section{Title: "The drive at full throttle and top speed"}
	if len(p.Limits) > 0 {
		t := &Table{Head: []string{"", "value", "limit", ""}, Wrap: -1, Right: rights(4, 0, 3)}
		for _, l := range p.Limits {
			say := "within"
			if l.Over {
				say = "OVER"
				if l.Part == "cell voltage" {
					say = "BELOW"
				}
			}
			v, m, u := l.Value, l.Limit, l.Unit
			if u == "rad/s" {
				v, m, u = v*30/math.Pi, m*30/math.Pi, "rpm"
			}
			places := 1
			if u == "V" {
				places = 2
			} else if u == "rpm" {
				places = 0
			}
			t.Rows = append(t.Rows, []string{l.Part, col(v, places) + " " + u, col(m, places) + " " + u, say})
		}
		s.Blocks = append(s.Blocks, Block{Table: t})
	}
	if p.Pack.Over > 0 {
		s.Blocks = append(s.Blocks, para("%s", p.Pack.say(p.tabled().Pack.Interval)))
	}
	if len(p.Heat) > 0 {
		t := &Table{Head: []string{"", fmt.Sprintf("after %.0f s", p.HeatTime), "in the end", "limit", "reaches it after"}, Wrap: -1, Right: rights(5, 0)}
		for _, h := range p.Heat {
			after := "never"
			if !math.IsInf(h.Time, 1) {
				after = p.fmt(h.Time, unit.Time)
			}
			t.Rows = append(t.Rows, []string{h.Part, p.fmt(h.After, unit.Temperature), p.fmt(h.Steady, unit.Temperature), p.fmt(h.Limit, unit.Temperature), after})
		}
		s.Blocks = append(s.Blocks, Block{Table: t}, para("Heat resistances are common practice for parts in the slipstream: the rise is known to 25 to 35 %%."))
	}
	return s
}

// SpeedRowJSON is one airspeed.
type SpeedRowJSON struct {
	Speed    Float  `json:"speed_m_s"`
	Drag     Float  `json:"drag_n"`
	Lift     Float  `json:"drag_due_to_lift_n"`
	Thrust   Float  `json:"thrust_n"`
	DragLow  Float  `json:"drag_low_n"`
	DragHigh Float  `json:"drag_high_n"`
	PullLow  Float  `json:"thrust_low_n"`
	PullHigh Float  `json:"thrust_high_n"`
	Throttle Float  `json:"throttle"`
	Current  Float  `json:"current_a"`
	Time     Float  `json:"endurance_s"`
	Distance Float  `json:"range_m"`
	Climb    Float  `json:"climb_m_s"`
	Glide    Float  `json:"glide_ratio"`
	Sink     Float  `json:"sink_m_s"`
	Bank     Float  `json:"stall_bank_deg"`
	Radius   Float  `json:"turn_radius_m"`
	Status   string `json:"status"`
	Interval Spans  `json:"interval,omitempty"`
}

// DragJSON is one contribution to the drag.
type DragJSON struct {
	Name     string `json:"name"`
	Area     Float  `json:"drag_area_m2"`
	Buys     Float  `json:"buys_m_s"`
	Force    Float  `json:"drag_n"`
	Why      string `json:"why"`
	Interval Spans  `json:"interval,omitempty"`
}

// LimitOfJSON compares a part's load with its limit.
type LimitOfJSON struct {
	Part  string `json:"part"`
	Value Float  `json:"value"`
	Limit Float  `json:"limit"`
	Unit  string `json:"unit"`
	Over  bool   `json:"over"`
	Low   Float  `json:"value_low"`
	High  Float  `json:"value_high"`
}

// HeatJSON is one part's warming at full throttle.
type HeatJSON struct {
	Part     string `json:"part"`
	After    Float  `json:"after_k"`
	Steady   Float  `json:"steady_k"`
	Limit    Float  `json:"limit_k"`
	Time     Float  `json:"time_to_limit_s"`
	Low      Float  `json:"after_low_k"`
	High     Float  `json:"after_high_k"`
	Interval Spans  `json:"interval,omitempty"`
}

// FlyJSON is the body of `fly`.
type FlyJSON struct {
	Head
	StallSpeed    Quantity       `json:"stall_speed"`
	TopSpeed      Quantity       `json:"top_speed"`
	DiveSpeed     Quantity       `json:"dive_speed"`
	CruiseSpeed   Quantity       `json:"cruise_speed"`
	ClimbRate     Quantity       `json:"climb_rate"`
	ClimbAngle    Quantity       `json:"climb_angle"`
	Endurance     Quantity       `json:"endurance"`
	FastEndurance Quantity       `json:"endurance_full_throttle"`
	Range         Quantity       `json:"range"`
	TurnRadius    Quantity       `json:"turn_radius"`
	LoiterRadius  Quantity       `json:"loiter_radius"`
	StaticThrust  Quantity       `json:"static_thrust"`
	CurrentMax    Quantity       `json:"current_max"`
	CurrentCruise Quantity       `json:"current_cruise"`
	GlideRatio    Quantity       `json:"glide_ratio"`
	GlideSpeed    Quantity       `json:"best_glide_speed"`
	LeastSink     Quantity       `json:"least_sink"`
	ClimbSpeed    Quantity       `json:"climb_speed"`
	RunTime95     Quantity       `json:"run_in_95_time"`
	RunTime99     Quantity       `json:"run_in_99_time"`
	GustLoad      Quantity       `json:"gust_load"`
	TrimCruise    Quantity       `json:"trim_cruise"`
	TrimThrottle  Quantity       `json:"trim_by_throttle"`
	RunIn         Quantity       `json:"run_in"`
	At            []SpeedRowJSON `json:"at_speed"`
	DragSpeed     Float          `json:"drag_at_m_s"`
	Drag          []DragJSON     `json:"drag"`
	Limits        []LimitOfJSON  `json:"drive_limits"`
	Heat          []HeatJSON     `json:"heat"`
	HeatTime      Float          `json:"heat_after_s"`
	Pack          *PackSagJSON   `json:"pack"`
	AloftJSON
	Tail
}

// FlyBody is the JSON of a performance page.
func FlyBody(p Flight) FlyJSON {
	r := p.Results
	out := FlyJSON{
		Head: p.head(), StallSpeed: Q(r.Get(assess.StallSpeed)), TopSpeed: Q(r.Get(assess.TopSpeed)), DiveSpeed: Q(r.Get(assess.DiveSpeed)),
		CruiseSpeed: Q(r.Get(assess.CruiseSpeed)), ClimbRate: Q(r.Get(assess.ClimbRate)), ClimbAngle: Q(r.Get(assess.ClimbAngle)),
		Endurance: Q(r.Get(assess.EnduranceTime)), FastEndurance: Q(r.Get(assess.FastEndurance)), Range: Q(r.Get(assess.Range)),
		TurnRadius: Q(r.Get(assess.TurnRadius)), LoiterRadius: Q(r.Get(assess.LoiterRadius)), StaticThrust: Q(r.Get(assess.StaticThrust)),
		CurrentMax: Q(r.Get(assess.CurrentMax)), CurrentCruise: Q(r.Get(assess.CurrentCruise)), GlideRatio: Q(r.Get(assess.GlideRatio)), GlideSpeed: Q(r.Get(assess.GlideSpeed)), LeastSink: Q(r.Get(assess.LeastSink)), ClimbSpeed: Q(r.Get(assess.ClimbSpeed)), RunTime95: Q(r.Get(assess.RunTime95)), RunTime99: Q(r.Get(assess.RunTime99)), GustLoad: Q(r.Get(assess.GustLoad)), TrimCruise: Q(r.Get(assess.TrimCruise)), TrimThrottle: Q(r.Get(assess.TrimThrottle)),
		RunIn: p.ranIn(), At: []SpeedRowJSON{}, DragSpeed: Float(p.DragSpeed), Drag: []DragJSON{}, Limits: []LimitOfJSON{}, Heat: []HeatJSON{}, HeatTime: Float(p.HeatTime),
		AloftJSON: p.aloftBody(), Tail: p.tail(ofQuestion(6), "law", "speed", "lithium"),
	}
	out.Notes = append(out.Notes, r.Notes...)
	t := p.tabled()
	if p.Pack.Over > 0 {
		out.Pack = &t.Pack
	}
	out.At, out.Drag, out.Heat = append(out.At, t.At...), append(out.Drag, t.Drag...), append(out.Heat, t.Heat...)
	for _, k := range p.Limits {
		low, high := p.asDoubted(k.Value)
		out.Limits = append(out.Limits, LimitOfJSON{k.Part, Float(k.Value), Float(k.Limit), k.Unit, k.Over, low, high})
	}
	return out
}

// flyTables are the rows of the page's tables, nominal or of a draw.
type flyTables struct {
	At       []SpeedRowJSON
	Drag     []DragJSON
	Heat     []HeatJSON
	Legs     []LegJSON
	Circles  []CircleJSON
	Envelope []EnvelopeJSON
	Powers   []PowerJSON
	Buys     []EffectJSON
	Days     []EffectJSON
	Winds    []WindJSON
	Density  assess.Quantity // density altitude
	LandBy   LandByJSON
	Pack     PackSagJSON
}

// ranIn is the run from cruise to nearly the top speed.
func (p *Flight) ranIn() Quantity {
	if p.runIn.Unit != "" {
		return p.runIn
	}
	return known(p.RunIn, "m", "no top speed to run to")
}

// Doubted gives every number of the page's tables its interval, by the same
// page over draws of what is not known; what changes do has draws of its own.
func (p *Flight) Doubted(draws, changed []Flight) {
	t := p.rows()
	buys, days := t.Buys, t.Days
	t.Buys, t.Days = nil, nil
	all := make([]flyTables, len(draws))
	for i := range draws {
		all[i] = draws[i].rows()
	}
	Doubt(&t, all)
	c := flyTables{Buys: buys, Days: days}
	of := make([]flyTables, len(changed))
	for i := range changed {
		of[i] = changed[i].rows()
	}
	Doubt(&c, of)
	t.Buys, t.Days = c.Buys, c.Days
	t.winds(all)
	t.Density = densityAltitude(p, draws)
	p.tables = &t
	run := make([]float64, len(draws))
	for i := range draws {
		run[i] = draws[i].RunIn
	}
	if p.runIn = known(p.RunIn, "m", "no top speed to run to"); p.runIn.Status == "" {
		low, high := assess.Interval90(p.RunIn, run)
		p.runIn.Low, p.runIn.High = Float(low), Float(high)
	}
	for i := range p.Rows {
		r := &p.Rows[i]
		r.DragLow, r.DragHigh, r.ThrustLow, r.ThrustHigh = r.Drag, r.Drag, r.Thrust, r.Thrust
		if low, high, ok := t.At[i].Interval.Span("drag_n"); ok {
			r.DragLow, r.DragHigh = low, high
		}
		if low, high, ok := t.At[i].Interval.Span("thrust_n"); ok {
			r.ThrustLow, r.ThrustHigh = low, high
		}
		k := &t.At[i]
		k.DragLow, k.DragHigh, k.PullLow, k.PullHigh = Float(r.DragLow), Float(r.DragHigh), Float(r.ThrustLow), Float(r.ThrustHigh)
	}
}

// tabled are the rows with their intervals, where there are any.
func (p *Flight) tabled() *flyTables {
	if p.tables == nil {
		t := p.rows()
		t.winds(nil)
		t.Density = densityAltitude(p, nil)
		p.tables = &t
	}
	return p.tables
}

// rows lists the rows of the tables.
func (p *Flight) rows() (t flyTables) {
	for _, k := range p.Rows {
		st := k.Status
		if st == "" {
			st = "ok"
		}
		t.At = append(t.At, SpeedRowJSON{Speed: Float(k.Speed), Drag: Float(k.Drag), Lift: Float(k.Induced), Thrust: Float(k.Thrust), DragLow: Float(k.DragLow), DragHigh: Float(k.DragHigh), PullLow: Float(k.ThrustLow), PullHigh: Float(k.ThrustHigh),
			Throttle: Float(k.Throttle), Current: Float(k.Current), Time: Float(k.Time), Distance: Float(k.Distance), Climb: Float(k.Climb), Glide: Float(k.Glide), Sink: Float(k.Sink), Bank: Float(deg(k.StallBank)), Radius: Float(k.Radius), Status: st})
	}
	for _, k := range p.Drags {
		t.Drag = append(t.Drag, DragJSON{Name: k.Name, Area: Float(k.DragArea), Buys: Float(k.Buys), Force: Float(k.Force), Why: k.Why})
	}
	if len(p.Drags) > 0 {
		t.Drag = append(t.Drag, DragJSON{Name: lifts, Area: Float(math.NaN()), Buys: Float(math.NaN()), Force: Float(p.Lift), Why: "trimmed drag in level flight less the drag without lift"})
	}
	for _, k := range p.Heat {
		h := HeatJSON{Part: k.Part, After: Float(k.After), Steady: Float(k.Steady), Limit: Float(k.Limit), Time: Float(k.Time), Low: Float(k.After), High: Float(k.After)}
		if p.Results != nil { // draws have none
			h.Low, h.High = p.warmed(k.Part, k.Start, k.After)
		}
		t.Heat = append(t.Heat, h)
	}
	t.Pack = PackSagJSON{Typed: Float(p.Pack.Typed), Steady: Float(p.Pack.Steady), Over: Float(p.Pack.Over)}
	a := &p.Aloft
	t.Buys, t.Days = effectsJSON(a.Buys), effectsJSON(a.Days)
	t.LandBy = LandByJSON{Time: Float(a.LandBy.Time), Laps: Float(a.LandBy.Laps), Volts: Float(a.LandBy.Volts), Cell: Float(a.LandBy.Cell), Rest: Float(a.LandBy.Rest), Earlier: Float(a.LandBy.Earlier)}
	for _, w := range a.Winds {
		t.Winds = append(t.Winds, WindJSON{Height: Float(w.Height), Wind: Float(w.Wind), Density: Float(w.Rho), Sigma: [3]Float{Float(w.SigmaU), Float(w.SigmaV), Float(w.SigmaW)}, Length: [3]Float{Float(w.Lu), Float(w.Lv), Float(w.Lw)}})
	}
	for _, l := range a.Lap.Legs {
		t.Legs = append(t.Legs, LegJSON{Name: l.Name, Length: Float(l.Length), Time: Float(l.Time), Speed: Float(l.Speed), Bank: Float(deg(l.Bank)), Radius: Float(l.Radius), Load: Float(l.Load), Drag: Float(l.Drag), Thrust: Float(l.Thrust), Throttle: Float(l.Throttle), Current: Float(l.Current), Energy: Float(l.Energy), Margin: Float(l.Margin), Status: string(l.Status)})
	}
	for _, h := range a.Holds {
		t.Circles = append(t.Circles, CircleJSON{Speed: Float(h.Speed), Bank: Float(deg(h.Bank)), Radius: Float(h.Radius), Load: Float(h.Load), Throttle: Float(h.Throttle), Current: Float(h.Current), Time: Float(h.Time), Status: string(h.Status)})
	}
	for _, e := range a.Envelope {
		t.Envelope = append(t.Envelope, EnvelopeJSON{Speed: Float(e.V), Stall: Float(e.Stall), Held: Float(e.Held), Up: Float(e.Up), Down: Float(e.Down)})
	}
	for _, k := range a.Powers {
		// Thrust and torque are drawn apart: a draw in which the propeller would
		// give more than it takes loses nothing in it.
		t.Powers = append(t.Powers, PowerJSON{Name: k.Name, Speed: Float(k.Speed), Source: Float(k.Source), Battery: Float(k.Battery), Wiring: Float(k.Wiring), Controller: Float(k.Controller + k.Ripple), Motor: Float(k.Copper + k.Iron), Propeller: Float(math.Max(0, k.Slip)), Thrust: Float(k.Chain.Thrust), Whole: Float(k.EtaWhole)})
	}
	return t
}

// lifts is the row of the drag that no part has to itself.
const lifts = "due to lift and trim"

// FlyChart draws thrust against drag over airspeed; where they cross is the
// top speed.
func FlyChart(p Flight) *chart.Chart {
	c := &chart.Chart{Title: p.Results.Aircraft.Name + ": pull against drag", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "force, N"}}
	var v, drag, pull, lift []float64
	for _, r := range p.Rows {
		v, drag, pull, lift = append(v, r.Speed), append(drag, r.Drag), append(pull, r.Thrust), append(lift, r.Induced)
	}
	band := func(low, high func(SpeedRow) float64, ink int) {
		s := chart.Series{Kind: chart.Band, X: v, Ink: ink}
		for _, r := range p.Rows {
			s.Y, s.Y2 = append(s.Y, low(r)), append(s.Y2, high(r))
		}
		c.Series = append(c.Series, s)
	}
	band(func(r SpeedRow) float64 { return r.DragLow }, func(r SpeedRow) float64 { return r.DragHigh }, 0)
	if p.Results.Aircraft.Power.Place != "" {
		band(func(r SpeedRow) float64 { return r.ThrustLow }, func(r SpeedRow) float64 { return r.ThrustHigh }, 1)
	}
	c.Series = append(c.Series, chart.Series{Name: "drag, level", X: v, Y: drag, Ink: 0}, chart.Series{Name: "due to lift", X: v, Y: lift, Ink: 2})
	if p.Results.Aircraft.Power.Place != "" {
		c.Series = append(c.Series, chart.Series{Name: "full throttle", X: v, Y: pull, Ink: 1})
	}
	if q := p.Results.Get(assess.TopSpeed); q.Status == "" {
		for i := 1; i < len(v); i++ {
			if v[i-1] <= q.Value && q.Value <= v[i] {
				f := (q.Value - v[i-1]) / (v[i] - v[i-1])
				c.Notes = append(c.Notes, chart.Note{X: q.Value, Y: drag[i-1] + f*(drag[i]-drag[i-1]), Text: fmt.Sprintf("top speed %.0f m/s", q.Value)})
			}
		}
	}
	return c
}
