package report

import (
	"fmt"
	"math"

	"fledge/internal/chart"
	"fledge/internal/strength"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// HingeTable is the hinge moment of one control over speed.
type HingeTable struct {
	Control string
	Torque  float64 // of its servo at stall, N m; 0 when not known
	Rows    []strength.HingeRow
}

// Strong is what the strength page shows.
type Strong struct {
	Subject
	Loads  strength.Loads
	Hinge  []HingeTable
	tables []hingeRows // of each table with their intervals; nil until Doubted
}

// hingeRows are the rows of one table.
type hingeRows struct {
	Control string
	Rows    []HingeJSON
}

// hingesJSON are the rows of the tables.
func hingesJSON(list []HingeTable) (out []hingeRows) {
	for _, h := range list {
		stall := h.Torque
		if stall == 0 {
			stall = math.NaN()
		}
		t := hingeRows{Control: h.Control}
		for _, r := range h.Rows {
			t.Rows = append(t.Rows, HingeJSON{Control: h.Control, Speed: Float(r.Speed), Alpha: Float(deg(r.Alpha)), Delta: Float(deg(r.Delta)), Moment: Float(r.Moment), Sigma: Float(r.Sigma), Servo: Float(r.Servo), Stall: Float(stall), Share: Float(math.Abs(r.Servo) / stall)})
		}
		out = append(out, t)
	}
	return out
}

// Doubted gives every number of the hinge tables its interval, by the same
// tables over draws of what is not known.
func (p *Strong) Doubted(draws [][]HingeTable) {
	t := hingesJSON(p.Hinge)
	all := make([][]hingeRows, len(draws))
	for i := range draws {
		all[i] = hingesJSON(draws[i])
	}
	Doubt(&t, all)
	for i := range t {
		for j := range t[i].Rows {
			delete(t[i].Rows[j].Interval, "sigma_nm") // a doubt itself
		}
	}
	p.tables = t
}

// tabled are the rows with their intervals, where there are any.
func (p *Strong) tabled() []hingeRows {
	if p.tables == nil {
		p.tables = hingesJSON(p.Hinge)
	}
	return p.tables
}

// Strength is the page of the fourth question.
func Strength(p Strong) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	ac := p.Results.Aircraft
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[4]}
	n, bad := 0, 0
	for i := range p.Verdict.Findings {
		f := &p.Verdict.Findings[i]
		if f.Question == 4 && f.Status != verdict.NotAsked {
			n++
			if f.Status != verdict.Pass {
				bad++
			}
		}
	}
	switch bad {
	case 0:
		d.Lead = append(d.Lead, fmt.Sprintf("All %d things judged hold with their whole interval.", n))
	case 1:
		d.Lead = append(d.Lead, fmt.Sprintf("Of %d things judged, one does not pass.", n))
	default:
		d.Lead = append(d.Lead, fmt.Sprintf("Of %d things judged, %d do not pass.", n, bad))
	}
	d.Lead = append(d.Lead, p.conditions())
	d.Sections = append(d.Sections, p.loads())
	for _, k := range []struct {
		title string
		keep  func(*verdict.Finding) bool
	}{
		{"Does not pass", func(f *verdict.Finding) bool { return f.Status != verdict.Pass && f.Status != verdict.NotAsked }},
		{"Passes", func(f *verdict.Finding) bool { return f.Status == verdict.Pass }},
		{"For information, and not asked", func(f *verdict.Finding) bool { return f.Status == verdict.NotAsked }},
	} {
		s := p.findings(k.title, func(f *verdict.Finding) bool { return f.Question == 4 && k.keep(f) })
		if k.title == "Passes" {
			var why []string
			for i := range p.Verdict.Findings {
				if f := &p.Verdict.Findings[i]; f.Question == 4 && k.keep(f) && f.Because != "" {
					why = append(why, upper(f.Label)+": "+f.Because)
				}
			}
			if len(why) > 0 {
				s.Blocks = append(s.Blocks, Block{List: why})
			}
		}
		d.Sections = append(d.Sections, s)
		if k.title == "Does not pass" {
			d.Sections = append(d.Sections, p.settles())
		}
	}
	for i := range p.Hinge {
		d.Sections = append(d.Sections, p.hinge(i))
	}
	d.Sections = append(d.Sections, p.limits(), cautionSection(append(careful("propeller", "proof", "dust"), p.cautions()...)))
	return d
}

func (p *Strong) loads() Section {
	l := &p.Loads
	var rows [][]string
	add := func(name string, v, sd float64, dim unit.Dim) {
		if v > 0 {
			rows = append(rows, []string{name, unit.FormatInterval(v, v-1.6449*sd, v+1.6449*sd, dim, p.Units)})
		}
	}
	add("top speed, level", l.TopSpeed, l.TopSigma, unit.Speed)
	add(p.Results.Slowest.Label(), l.StallSpeed, l.StallSigma, unit.Speed)
	if n := p.Results.Aircraft.Limits.LoadFactor; n > 0 {
		rows = append(rows, []string{"pull-up it must stand", fmt.Sprintf("%.1f times its weight", n)})
	}
	add("largest pull on the launch hook", l.LaunchTension, l.TensionSigma, unit.Force)
	add("largest current", l.MaxCurrent, l.CurrentSigma, unit.Current)
	add("touchdown speed", l.TouchdownSpeed, l.TouchSigma, unit.Speed)
	return Section{Title: "The loads", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}}
}

func (p *Strong) hinge(i int) Section {
	h, known := p.Hinge[i], p.tabled()[i].Rows
	s := Section{Title: "Hinge moment of " + h.Control + ", one side"}
	head := []string{"airspeed", "edge, deg", "hinge, N cm", "±", "at the servo, N cm", "±"}
	if h.Torque > 0 {
		head = append(head, "of its stall torque", "±")
	}
	t := &Table{Head: head, Wrap: -1, Right: rights(len(head))}
	for k, r := range h.Rows {
		in := known[k].Interval
		row := []string{p.fmt(r.Speed, unit.Speed), degrees(r.Delta), col(r.Moment*100, 1), unsigned(in.give("hinge_moment_nm", 100, 1)), col(r.Servo*100, 1), unsigned(in.give("servo_torque_nm", 100, 1))}
		if h.Torque > 0 {
			row = append(row, share(math.Abs(r.Servo)/h.Torque), unsigned(in.give("share_of_stall", 100, 0)))
		}
		t.Rows = append(t.Rows, row)
	}
	say := ""
	for _, r := range h.Rows {
		if r.Moment == 0 {
			say = " A tail is taken to carry nothing at neutral; how far that is true is not known."
			break
		}
	}
	s.Blocks = append(s.Blocks, Block{Table: t}, para("Positive: the air pushes the edge up. Thin-section theory times 0.75, as measured flaps have it, to about %.0f %% (one standard deviation); ± is two of that, of the linkage, the label's torque and all else that is not known.%s", p.doubt(h), say))
	return s
}

func share(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

func (p *Strong) doubt(h HingeTable) float64 {
	worst := 0.0
	for _, r := range h.Rows {
		if r.Moment != 0 {
			worst = math.Max(worst, math.Abs(r.Sigma/r.Moment))
		}
	}
	return 100 * math.Min(worst, 1)
}

// HingeJSON is one row of a hinge-moment table.
type HingeJSON struct {
	Control  string `json:"control"`
	Speed    Float  `json:"speed_m_s"`
	Alpha    Float  `json:"alpha_deg"`
	Delta    Float  `json:"edge_deg"`
	Moment   Float  `json:"hinge_moment_nm"`
	Sigma    Float  `json:"sigma_nm"`
	Servo    Float  `json:"servo_torque_nm"`
	Stall    Float  `json:"servo_stall_nm"`
	Share    Float  `json:"share_of_stall"`
	Interval Spans  `json:"interval,omitempty"`
}

// LoadsJSON is what the airframe was judged for; null when not known.
type LoadsJSON struct {
	TopSpeed   Quantity `json:"top_speed"`
	StallSpeed Quantity `json:"stall_speed"`
	LoadFactor Quantity `json:"load_factor"`
	HookPull   Quantity `json:"hook_pull"`
	Current    Quantity `json:"current_max"`
	Touchdown  Quantity `json:"touchdown_speed"`
}

// StrengthJSON is the body of `strength`.
type StrengthJSON struct {
	Head
	Loads  LoadsJSON      `json:"loads"`
	Hinge  []HingeJSON    `json:"hinge"`
	Limits []LimitRowJSON `json:"limits"`
	Tail
}

// StrengthBody is the JSON of a strength page.
func StrengthBody(p Strong) StrengthJSON {
	l := &p.Loads
	q := func(v, sd float64, u string) Quantity {
		if !(v > 0) {
			return absent(u, "not known")
		}
		return Quantity{Float(v), Float(v - 1.6449*sd), Float(v + 1.6449*sd), u, ""}
	}
	out := StrengthJSON{Head: p.head(), Hinge: []HingeJSON{}, Tail: p.tail(ofQuestion(4), "propeller", "proof", "dust"),
		Loads: LoadsJSON{q(l.TopSpeed, l.TopSigma, "m/s"), q(l.StallSpeed, l.StallSigma, "m/s"), q(p.Results.Aircraft.Limits.LoadFactor, 0, "1"),
			q(l.LaunchTension, l.TensionSigma, "N"), q(l.MaxCurrent, l.CurrentSigma, "A"), q(l.TouchdownSpeed, l.TouchSigma, "m/s")}}
	out.Notes = append(out.Notes, p.Results.Notes...)
	out.Cautions = append(out.Cautions, p.cautions()...)
	out.Limits = limitsJSON(p.Results.Aircraft)
	for _, t := range p.tabled() {
		out.Hinge = append(out.Hinge, t.Rows...)
	}
	return out
}

// StrengthChart draws the servo's share of each control against airspeed, at
// the stick that loads it most.
func StrengthChart(p Strong) *chart.Chart {
	c := &chart.Chart{Title: p.Results.Aircraft.Name + ": hinge load over the servo's stall torque", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "share of the stall torque, %"}}
	for i, h := range p.Hinge {
		if !(h.Torque > 0) {
			continue
		}
		var x, y []float64
		for _, r := range h.Rows {
			v := 100 * math.Abs(r.Servo) / h.Torque
			if n := len(x); n > 0 && x[n-1] == r.Speed {
				y[n-1] = math.Max(y[n-1], v)
				continue
			}
			x, y = append(x, r.Speed), append(y, v)
		}
		c.Series = append(c.Series, chart.Series{Name: h.Control, X: x, Y: y, Ink: i})
	}
	if l := p.Results.Aircraft.Limits.ServoShare; l > 0 && len(c.Series) > 0 {
		x := c.Series[0].X
		c.Series = append(c.Series, chart.Series{Name: "limit", X: []float64{x[0], x[len(x)-1]}, Y: []float64{100 * l, 100 * l}, Ink: 4})
	}
	return c
}
