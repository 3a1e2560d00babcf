package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/perform"
	"fledge/internal/power"
	"fledge/internal/unit"
)

// Aloft is the manoeuvring part of the performance page.
type Aloft struct {
	Lap      perform.Lap
	Round    assess.Round
	LandBy   assess.LandBy
	Holds    []perform.Hold // circles: by speed, then by bank
	Wanted   float64        // radius wanted, m; 0: none said
	WantBank float64        // bank at cruise that gives it
	WantFast float64        // speed at the bank set that gives it
	Envelope []perform.Envelope
	Gust     float64 // m/s, of the diagram
	Limit    float64 // pull-up it must stand
	Powers   []PowerRow
	Buys     []assess.Effect
	Days     []assess.Effect
	Winds    []WindRow
	Density  float64        // density altitude, m
	Stalls   []perform.Turn // stall speed by bank: Speed, Bank, Load
}

// PowerRow is where the power goes at one airspeed, W.
type PowerRow struct {
	Name  string
	Speed float64
	power.Chain
}

// WindRow is the air at one height.
type WindRow struct {
	Height, Wind, Rho float64
	air.Dryden
}

func (p *Flight) aloft() []Section {
	a := &p.Aloft
	var out []Section
	out = append(out, p.circuit(), p.circles())
	if len(a.Envelope) > 0 {
		t := &Table{Head: []string{"airspeed", "stalls at", "held level", "gust up", "gust down"}, Wrap: -1, Right: rights(5)}
		for i, e := range a.Envelope {
			if i%3 != 0 {
				continue // the diagram and the JSON have them
			}
			up := col(e.Up, 1)
			if e.StallsUp {
				up += " (stalls)"
			}
			t.Rows = append(t.Rows, []string{p.fmt(e.V, unit.Speed), col(e.Stall, 1), col(e.Held, 1), up, col(e.Down, 1)})
			if row, ok := p.tabled().Envelope[i].Interval.under("", cell{"stall_load", 1, 1}, cell{"held_load", 1, 1}, cell{"gust_up_load", 1, 1}, cell{"gust_down_load", 1, 1}); ok {
				t.Rows = append(t.Rows, row)
			}
		}
		out = append(out, Section{Title: "Load factors", Blocks: []Block{{Table: t},
			para(plusMinus+" Gusts of %s by Pratt's formula (14 CFR 23.341); held level is what full throttle holds without losing height; the wing must stand %.1f (limits.load_factor). The stall upside down is not computed.", p.fmt(a.Gust, unit.Speed), a.Limit)}})
	}
	if len(a.Powers) > 0 {
		t := &Table{Head: []string{"W", "from the cells", "pack", "wires", "controller", "motor", "propeller", "against the air", "whole"}, Wrap: -1, Right: rights(9, 0)}
		for i, k := range a.Powers {
			t.Rows = append(t.Rows, []string{k.Name, col(k.Source, 0), col(k.Battery, 0), col(k.Wiring, 0), col(k.Controller+k.Ripple, 0), col(k.Copper+k.Iron, 0), col(k.Slip, 0), col(k.Chain.Thrust, 0), share(k.EtaWhole)})
			if row, ok := p.tabled().Powers[i].Interval.under("", cell{"source_w", 1, 0}, cell{"battery_w", 1, 0}, cell{"wiring_w", 1, 0}, cell{"controller_w", 1, 0}, cell{"motor_w", 1, 0}, cell{"propeller_w", 1, 0}, cell{"thrust_w", 1, 0}, cell{"efficiency", 100, 0}); ok {
				t.Rows = append(t.Rows, row)
			}
		}
		out = append(out, Section{Title: "Where the power goes", Blocks: []Block{{Table: t}, para(plusMinus)}})
	}
	out = append(out, p.effects("What a change buys", a.Buys, p.tabled().Buys), p.day())
	return out
}

func (p *Flight) circuit() Section {
	a := &p.Aloft
	if len(a.Lap.Legs) == 0 {
		return Section{}
	}
	far, v, f := p.in(100, unit.Length), p.in(1, unit.Speed), p.in(1, unit.Force)
	t := &Table{Head: []string{"leg", far.name, "s", v.name, "bank", "load", "pull " + f.name, "stick", "A", "over stall"}, Wrap: 0, Right: rights(10, 0)}
	var list []string
	for i, l := range a.Lap.Legs {
		t.Rows = append(t.Rows, []string{l.Name, col(far.k*l.Length, 0), col(l.Time, 1), col(v.k*l.Speed, 0), col(deg(math.Abs(l.Bank)), 0), col(l.Load, 2), col(f.k*l.Thrust, 1), col(100*l.Throttle, 0) + " %", col(l.Current, 1), col(l.Margin, 2)})
		if row, ok := p.tabled().Legs[i].Interval.under("", cell{"length_m", far.k, 0}, cell{"time_s", 1, 1}, cell{"speed_m_s", v.k, 0}, cell{"bank_deg", 1, 0}, cell{"load_factor", 1, 2}, cell{"thrust_n", f.k, 1}, cell{"throttle", 100, 0}, cell{"current_a", 1, 1}, cell{"stall_margin", 1, 2}); ok {
			t.Rows = append(t.Rows, row)
		}
		if l.Status != perform.OK {
			list = append(list, upper(l.Name)+": "+string(l.Status)+".")
		}
	}
	s := Section{Title: "The circuit, lap after lap, pack half way to its reserve", Blocks: []Block{{Table: t}}}
	r := p.Results
	sum := fmt.Sprintf("One lap: %s in %s", p.fmt(a.Lap.Length, unit.Length), p.fmt(a.Lap.Time, unit.Time))
	if q := r.Get(assess.LapEnergy); q.Status == "" {
		sum += fmt.Sprintf(", %s out of the pack", energy(q))
	}
	if q := r.Get(assess.CircuitLaps); q.Status == "" {
		sum += fmt.Sprintf("; %s laps to the reserve, %s", span(q), p.show(r.Get(assess.CircuitTime), unit.Time))
	}
	s.Blocks = append(s.Blocks, para("%s. "+plusMinus, sum))
	if l := a.LandBy; l.Status == perform.OK && !math.IsNaN(l.Time) {
		k := p.tabled().LandBy.Interval
		s.Blocks = append(s.Blocks, para("Land by %s%s after the launch, or when the pack shows %.2f V%s under the load of cruise (%.2f V a cell; %.2f V a cell at rest), whichever comes first; keep %s%s more for going round once.",
			p.fmt(l.Time, unit.Time), k.ends("time_s", unit.In(1, unit.Time, unit.PeopleUnit(l.Time, unit.Time, p.Units)), 1), l.Volts, k.ends("volts_under_load_v", 1, 2), l.Cell, l.Rest, p.fmt(l.Earlier, unit.Time), k.ends("going_round_s", unit.In(1, unit.Time, unit.PeopleUnit(l.Earlier, unit.Time, p.Units)), 0)))
	}
	if w := a.Round.Assumption; w != "" {
		list = append(list, upper(w)+".")
	}
	if a.Round.Given && a.Round.Open > 5 {
		list = append(list, fmt.Sprintf("The circuit does not close: a lap ends %s from where it began.", p.fmt(a.Round.Open, unit.Length)))
	}
	if len(list) > 0 {
		s.Blocks = append(s.Blocks, Block{List: list})
	}
	return s
}

// energy prints J as Wh with its interval.
func energy(q assess.Quantity) string {
	q.Value, q.Low, q.High = q.Value/3600, q.Low/3600, q.High/3600
	return span(q) + " Wh"
}

func (p *Flight) circles() Section {
	a := &p.Aloft
	if len(a.Holds) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"airspeed", "bank", "radius", "one round", "load", "stick", "A", "time to reserve"}, Wrap: -1, Right: rights(8)}
	for i, h := range a.Holds {
		row := []string{p.fmt(h.Speed, unit.Speed), col(deg(h.Bank), 0) + " deg", p.fmt(h.Radius, unit.Length), p.fmt(2*math.Pi/h.Rate, unit.Time), col(h.Load, 2)}
		if h.Status == perform.OK || h.Status == perform.BatteryTooWeak {
			row = append(row, col(100*h.Throttle, 0)+" %", col(h.Current, 1), p.fmt(h.Time, unit.Time))
		} else {
			row = append(row, string(h.Status), "", "")
			if h.Status == perform.BelowStall {
				row[5] = "stalls"
			}
		}
		t.Rows = append(t.Rows, row)
		if row, ok := p.tabled().Circles[i].Interval.under("", cell{}, cell{"radius_m", p.in(h.Radius, unit.Length).k, 1}, cell{}, cell{"load_factor", 1, 2}, cell{"throttle", 100, 0}, cell{"current_a", 1, 1}, cell{"endurance_s", 1. / 60, 1}); ok {
			t.Rows = append(t.Rows, row)
		}
	}
	s := Section{Title: "Circles: loiter radius by airspeed and bank", Blocks: []Block{{Table: t}}}
	if a.Wanted > 0 {
		s.Blocks = append(s.Blocks, para("For a circle of %s: %s of bank at cruise, or %s at the bank set.", p.fmt(a.Wanted, unit.Length), p.fmt(a.WantBank, unit.Angle), p.fmt(a.WantFast, unit.Speed)))
	}
	if len(a.Stalls) > 0 {
		say := "Stall speed in the turn: "
		for i, k := range a.Stalls {
			if i > 0 {
				say += ", "
			}
			q := p.Results.Get(assess.StallSpeed)
			up := math.Sqrt(k.Load)
			q.Value, q.Low, q.High = k.Speed, up*q.Low, up*q.High
			say += fmt.Sprintf("%s at %.0f deg", p.show(q, unit.Speed), deg(k.Bank))
		}
		s.Blocks = append(s.Blocks, para("%s.", say))
	}
	return s
}

func (p *Flight) effects(title string, list []assess.Effect, spans []EffectJSON) Section {
	if len(list) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"", "stall", "top", "climb", "time", "laps", "circle", "land"}, Wrap: 0, Least: 24, Right: rights(8, 0)}
	plus := func(v, k float64, places int) string {
		if math.IsNaN(v) {
			return "-"
		}
		s := fmt.Sprintf("%+.*f", places, k*v)
		if zero := fmt.Sprintf("%+.*f", places, 0.0); s == zero || s == "-"+zero[1:] {
			return "0"
		}
		return s
	}
	fast, climb, far := p.quick(), p.in(1, unit.Speed), p.in(100, unit.Length)
	if p.Units == unit.Imperial {
		climb = asked{"ft/s", 1 / 0.3048}
	}
	for i, e := range list {
		t.Rows = append(t.Rows, []string{p.inWords(e.Say), plus(e.Stall, fast.k, 1), plus(e.Top, fast.k, 1), plus(e.Climb, climb.k, 1), plus(e.Time, 1./60, 1), plus(e.Circuit, 1./60, 1), plus(e.Loiter, far.k, 0), plus(e.Landing, far.k, 0)})
		if row, ok := spans[i].Interval.under("", cell{"stall_speed_m_s", fast.k, 1}, cell{"top_speed_m_s", fast.k, 1}, cell{"climb_m_s", climb.k, 1}, cell{"endurance_s", 1. / 60, 1}, cell{"circuit_time_s", 1. / 60, 1}, cell{"loiter_radius_m", far.k, 0}, cell{"distance_m", far.k, 0}); ok && !nothing(row) {
			t.Rows = append(t.Rows, row)
		}
	}
	return Section{Title: title, Blocks: []Block{{Table: t}, para("Changes of stall and top speed in %s, of climb in %s, of endurance at cruise and in laps in minutes, of loiter radius and landing distance in %s. "+plusMinus+" Before and after are in the same draws.", fast.name, climb.name, far.name)}}
}

// nothing tells whether a row of ± rounds to none, and blanks what does.
func nothing(row []string) bool {
	none := true
	for i, c := range row {
		if strings.Trim(c, "±0.") == "" {
			row[i] = ""
		} else {
			none = false
		}
	}
	return none
}

func (p *Flight) day() Section {
	a := &p.Aloft
	s := p.effects("The day, and what another day does to the answers", a.Days, p.tabled().Days)
	if len(a.Winds) == 0 {
		return s
	}
	if s.Title == "" {
		s.Title = "The day"
	}
	t := &Table{Head: []string{"height", "wind", "density", "gusts along, across, up", "their lengths"}, Wrap: -1, Right: rights(5)}
	v, far := p.in(1, unit.Speed), p.in(100, unit.Length)
	for i, w := range a.Winds {
		in := &p.tabled().Winds[i]
		t.Rows = append(t.Rows, []string{p.fmt(w.Height, unit.Length), fmt.Sprintf("%.1f%s %s", v.k*w.Wind, in.Interval.after("wind_m_s", v.k, 1), v.name), col(w.Rho, 3) + in.Interval.after("density_kg_m3", 1, 3) + " kg/m3",
			fmt.Sprintf("%.1f, %.1f, %.1f %s", v.k*w.SigmaU, v.k*w.SigmaV, v.k*w.SigmaW, v.name), fmt.Sprintf("%.0f, %.0f, %.0f %s", far.k*w.Lu, far.k*w.Lv, far.k*w.Lw, far.name)})
		if twice := func(k int) float64 { return v.k * float64(in.High[k]-in.Low[k]) / half90 }; twice(0) > 0.05 {
			t.Rows = append(t.Rows, []string{"", "", "", fmt.Sprintf("± %.1f, %.1f, %.1f %s", twice(0), twice(1), twice(2), v.name), ""})
		}
	}
	s.Blocks = append([]Block{para("Density altitude %s.", p.show(p.tabled().Density, unit.Length)), {Table: t},
		para("Wind by the logarithmic law over this ground; gusts as standard deviations and scale lengths of the low-altitude turbulence model (MIL-F-8785C), scaled to the day's gust. ± is two standard deviations; the lengths are the model's.")}, s.Blocks...)
	return s
}

// LegJSON is one leg of the circuit.
type LegJSON struct {
	Name     string `json:"name"`
	Length   Float  `json:"length_m"`
	Time     Float  `json:"time_s"`
	Speed    Float  `json:"speed_m_s"`
	Bank     Float  `json:"bank_deg"`
	Radius   Float  `json:"radius_m"`
	Load     Float  `json:"load_factor"`
	Drag     Float  `json:"drag_n"`
	Thrust   Float  `json:"thrust_n"`
	Throttle Float  `json:"throttle"`
	Current  Float  `json:"current_a"`
	Energy   Float  `json:"energy_j"`
	Margin   Float  `json:"stall_margin"`
	Status   string `json:"status"`
	Interval Spans  `json:"interval,omitempty"`
}

// CircleJSON is one level circle.
type CircleJSON struct {
	Speed    Float  `json:"speed_m_s"`
	Bank     Float  `json:"bank_deg"`
	Radius   Float  `json:"radius_m"`
	Load     Float  `json:"load_factor"`
	Throttle Float  `json:"throttle"`
	Current  Float  `json:"current_a"`
	Time     Float  `json:"endurance_s"`
	Status   string `json:"status"`
	Interval Spans  `json:"interval,omitempty"`
}

// EnvelopeJSON is one airspeed of the load-factor diagram.
type EnvelopeJSON struct {
	Speed    Float `json:"speed_m_s"`
	Stall    Float `json:"stall_load"`
	Held     Float `json:"held_load"`
	Up       Float `json:"gust_up_load"`
	Down     Float `json:"gust_down_load"`
	Interval Spans `json:"interval,omitempty"`
}

// EffectJSON is one change and what it does to the answers.
type EffectJSON struct {
	Say      string `json:"say"`
	Stall    Float  `json:"stall_speed_m_s"`
	Top      Float  `json:"top_speed_m_s"`
	Climb    Float  `json:"climb_m_s"`
	Time     Float  `json:"endurance_s"`
	Circuit  Float  `json:"circuit_time_s"`
	Loiter   Float  `json:"loiter_radius_m"`
	Landing  Float  `json:"distance_m"`
	Interval Spans  `json:"interval,omitempty"`
}

// PowerJSON is where the power goes.
type PowerJSON struct {
	Name       string `json:"name"`
	Speed      Float  `json:"speed_m_s"`
	Source     Float  `json:"source_w"`
	Battery    Float  `json:"battery_w"`
	Wiring     Float  `json:"wiring_w"`
	Controller Float  `json:"controller_w"`
	Motor      Float  `json:"motor_w"`
	Propeller  Float  `json:"propeller_w"`
	Thrust     Float  `json:"thrust_w"`
	Whole      Float  `json:"efficiency"`
	Interval   Spans  `json:"interval,omitempty"`
}

// WindJSON is the air at one height.
type WindJSON struct {
	Height  Float    `json:"height_m"`
	Wind    Float    `json:"wind_m_s"`
	Density Float    `json:"density_kg_m3"`
	Sigma   [3]Float `json:"gust_sigma_m_s"`
	Length  [3]Float `json:"gust_length_m"`
	// 90 % intervals of the gusts; their lengths are the model's own.
	Low      [3]Float `json:"gust_sigma_low_m_s"`
	High     [3]Float `json:"gust_sigma_high_m_s"`
	Interval Spans    `json:"interval,omitempty"`
}

// LandByJSON is when to come home.
type LandByJSON struct {
	Time     Float `json:"time_s"`
	Laps     Float `json:"laps"`
	Volts    Float `json:"volts_under_load_v"`
	Cell     Float `json:"cell_under_load_v"`
	Rest     Float `json:"cell_at_rest_v"`
	Earlier  Float `json:"going_round_s"`
	Interval Spans `json:"interval,omitempty"`
}

// AloftJSON is the manoeuvring part of `fly`.
type AloftJSON struct {
	RunIn95     Quantity       `json:"run_in_95"`
	RunIn99     Quantity       `json:"run_in_99"`
	LapTime     Quantity       `json:"lap_time"`
	LapEnergy   Quantity       `json:"lap_energy"`
	CircuitTime Quantity       `json:"circuit_time"`
	CircuitLaps Quantity       `json:"circuit_laps"`
	Legs        []LegJSON      `json:"circuit"`
	LandBy      LandByJSON     `json:"land_by"`
	Circles     []CircleJSON   `json:"circles"`
	WantBank    Float          `json:"loiter_bank_deg"`
	WantSpeed   Float          `json:"loiter_speed_m_s"`
	Envelope    []EnvelopeJSON `json:"load_factors"`
	Gust        Float          `json:"load_factors_gust_m_s"`
	Powers      []PowerJSON    `json:"power"`
	Buys        []EffectJSON   `json:"changes"`
	Days        []EffectJSON   `json:"other_days"`
	Winds       []WindJSON     `json:"air"`
	DensityAlt  Float          `json:"density_altitude_m"`
	Density     Quantity       `json:"density_altitude"`
}

func (p *Flight) aloftBody() AloftJSON {
	a, r, t := &p.Aloft, p.Results, p.tabled()
	out := AloftJSON{
		RunIn95: Q(r.Get(assess.RunIn95)), RunIn99: Q(r.Get(assess.RunIn99)), LapTime: Q(r.Get(assess.LapTime)), LapEnergy: Q(r.Get(assess.LapEnergy)),
		CircuitTime: Q(r.Get(assess.CircuitTime)), CircuitLaps: Q(r.Get(assess.CircuitLaps)),
		Legs: []LegJSON{}, Circles: []CircleJSON{}, Envelope: []EnvelopeJSON{}, Powers: []PowerJSON{}, Buys: []EffectJSON{}, Days: []EffectJSON{}, Winds: []WindJSON{},
		LandBy:   t.LandBy,
		WantBank: Float(math.NaN()), WantSpeed: Float(math.NaN()), Gust: Float(a.Gust), DensityAlt: Float(r.DensityAltitude),
	}
	if a.Wanted > 0 {
		out.WantBank, out.WantSpeed = Float(deg(a.WantBank)), Float(a.WantFast)
	}
	out.Legs, out.Circles, out.Envelope, out.Powers = append(out.Legs, t.Legs...), append(out.Circles, t.Circles...), append(out.Envelope, t.Envelope...), append(out.Powers, t.Powers...)
	out.Buys, out.Days = append(out.Buys, t.Buys...), append(out.Days, t.Days...)
	out.Winds = append(out.Winds, t.Winds...)
	out.Density = Q(t.Density)
	return out
}

func effectsJSON(list []assess.Effect) []EffectJSON {
	out := []EffectJSON{}
	for _, e := range list {
		out = append(out, EffectJSON{Say: e.Say, Stall: Float(e.Stall), Top: Float(e.Top), Climb: Float(e.Climb), Time: Float(e.Time), Circuit: Float(e.Circuit), Loiter: Float(e.Loiter), Landing: Float(e.Landing)})
	}
	return out
}

// EnvelopeChart draws the load-factor diagram.
func EnvelopeChart(p Flight) *chart.Chart {
	a := &p.Aloft
	if len(a.Envelope) == 0 {
		return nil
	}
	c := &chart.Chart{Title: p.Results.Aircraft.Name + ": load factors", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "load factor"}}
	var v, stall, held, up, down []float64
	most := a.Limit * 1.25
	for _, e := range a.Envelope {
		v = append(v, e.V)
		stall = append(stall, cap2(e.Stall, most))
		held = append(held, cap2(e.Held, most))
		up, down = append(up, cap2(e.Up, most)), append(down, e.Down)
	}
	c.Series = append(c.Series, chart.Series{Name: "the wing stalls", X: v, Y: stall, Ink: 0}, chart.Series{Name: "gust up", X: v, Y: up, Ink: 1}, chart.Series{Name: "gust down", X: v, Y: down, Ink: 1},
		chart.Series{Name: "must stand", Kind: chart.Thin, X: []float64{v[0], v[len(v)-1]}, Y: []float64{a.Limit, a.Limit}, Ink: 4})
	seen := 0
	for _, h := range held {
		if !math.IsNaN(h) {
			seen++
		}
	}
	if p.Results.Aircraft.Power.Place != "" && seen > 2 {
		c.Series = append(c.Series, chart.Series{Name: "held level", X: v, Y: held, Ink: 2})
	}
	return c
}

// cap2 leaves out of a drawing what lies above its top.
func cap2(v, most float64) float64 {
	if v > most {
		return math.NaN()
	}
	return v
}
