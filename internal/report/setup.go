package report

import (
	"fmt"
	"math"

	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// SetUp is what the set-up page shows.
type SetUp struct {
	Subject
	Sheet  *control.Sheet
	tables *setupTables // with their intervals; nil until Doubted
}

// setupTables are the rows of the page's tables, nominal or of a draw.
type setupTables struct {
	Trims    []TrimJSON
	Controls []ControlJSON
	Launch   []LaunchRowJSON
	Lost     *LostJSON
}

// rows lists the rows of the tables of a sheet.
func (p *SetUp) rows(sh *control.Sheet) setupTables {
	t := setupTables{Trims: trimsJSON(sh.Trims), Controls: controlsJSON(sh, p.Results.Aircraft), Launch: rowsJSON(sh.Launch)}
	if len(sh.Lost) > 0 {
		k := sh.LostSticks
		t.Lost = &LostJSON{Pitch: Float(k[0]), Roll: Float(k[1]), Yaw: Float(k[2]), Positions: rowsJSON(sh.Lost), Trim: spread(k[0], sh.LostSigma, "1")}
	}
	return t
}

// Doubted gives every number of the page's tables its interval, by the sheets
// of draws of what is not known.
func (p *SetUp) Doubted(draws []*control.Sheet) {
	t := p.rows(p.Sheet)
	all := make([]setupTables, len(draws))
	for i := range draws {
		all[i] = p.rows(draws[i])
	}
	Doubt(&t, all)
	p.tables = &t
}

// tabled are the rows with their intervals, where there are any.
func (p *SetUp) tabled() *setupTables {
	if p.tables == nil {
		t := p.rows(p.Sheet)
		p.tables = &t
	}
	return p.tables
}

func micro(s float64) string {
	if math.IsNaN(s) || s == 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f", s*1e6)
}

// Setup is the page of the third question.
func Setup(p SetUp) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	sh, ac := p.Sheet, p.Results.Aircraft
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[3]}
	if sh.Trim.Why == "" && sh.Speed > 0 {
		d.Lead = append(d.Lead, fmt.Sprintf("Hands off at %s (%s) it wants the pitch controls %s deg (%s; trailing edge up positive), nose %s deg to the air (%s).",
			p.fmt(sh.Speed, unit.Speed), sh.SpeedFrom, degrees(sh.Trim.Pitch), within(sh.Trim.Pitch, sh.TrimSigma), degrees(sh.Trim.Alpha), within(sh.Trim.Alpha, sh.AlphaSigma)))
	} else {
		d.Lead = append(d.Lead, "No hands-off trim: "+sh.Trim.Why+".")
	}
	d.Lead = append(d.Lead, p.pulseWords(), p.conditions())
	d.Sections = append(d.Sections, p.findings("Judged by flight", ofIDs("control-power", "trim")))
	d.Sections = append(d.Sections, p.trims())
	for i := range sh.Controls {
		d.Sections = append(d.Sections, p.control(i))
	}
	d.Sections = append(d.Sections, p.results(), p.launchRows(), p.failsafes(), p.lost(), p.home())
	if len(sh.Notes) > 0 {
		var list []string
		for _, n := range sh.Notes {
			list = append(list, upper(n)+".")
		}
		d.Sections = append(d.Sections, Section{Title: "Mind", Blocks: []Block{{List: list}}})
	}
	d.Sections = append(d.Sections, cautionSection(careful("propeller", "proof")))
	return d
}

func (p *SetUp) control(i int) Section {
	ac, c, known := p.Results.Aircraft, &p.Sheet.Controls[i], &p.tabled().Controls[i]
	s := Section{Title: upper(c.Name) + ", on the " + ac.Surfaces[c.Surface].Name}
	t := &Table{Head: []string{"setting", "edge, deg", "edge, " + p.small(), "servo, deg", "pulse, us", ""}, Wrap: 5, Least: 12, Right: rights(6, 0, 5)}
	for _, k := range c.Stops {
		say := ""
		switch {
		case c.Described && k.Status != control.OK:
			say = k.Status.String()
		case c.Described && c.State == control.OK && !k.Within:
			say = "beyond the servo's travel"
		}
		edge := p.millis(k.Edge)
		if p.Units == unit.Metric {
			edge = col(k.Edge*1e3, 1)
		}
		t.Rows = append(t.Rows, []string{k.Name, degrees(k.Delta), edge, degrees(k.Servo), micro(k.Pulse), say})
	}
	s.Blocks = append(s.Blocks, Block{Table: t})
	if line := stopsKnown(known.Stops); line != "" {
		s.Blocks = append(s.Blocks, para("%s", line))
	}
	var say []string
	switch {
	case !c.Described:
		say = append(say, "No linkage is described, so there are no servo angles (linkages).")
	case c.State != control.OK:
		say = append(say, "The linkage "+c.State.String()+".")
	default:
		say = append(say, p.linkage(c, known)...)
	}
	say = append(say, p.found(c)...)
	if !math.IsNaN(c.WantPitch) {
		line := fmt.Sprintf("Wanted for hands-off trim: neutral at %s deg (%s), the edge %s%s off", degrees(c.WantPitch), within(c.WantPitch, p.Sheet.TrimSigma), p.fine(c.Want.Edge), p.fineDoubt(known.Interval, "neutral_wanted_m"))
		if !math.IsNaN(c.Want.Pulse) {
			line += fmt.Sprintf(", servo midpoint %s%s us", micro(c.Want.Pulse), givenAfter(known.Interval, "neutral_wanted_us", 0))
			if n := c.Stops[0].Pulse; !math.IsNaN(n) {
				line += fmt.Sprintf(" (%+.0f us from what is set)", (c.Want.Pulse-n)*1e6)
			}
		}
		say = append(say, line+".")
	}
	if !math.IsNaN(c.WantUp) {
		say = append(say, fmt.Sprintf("Wanted throws, from that neutral: %.1f deg up (%s), %.1f deg down (%s), give or take %.1f deg.", deg(c.WantUp), p.fine(control.EdgeHeight(c.Flap.Widest, c.WantUp)), deg(c.WantDown), p.fine(control.EdgeHeight(c.Flap.Widest, c.WantDown)), 2*deg(throwSigma(p.Sheet, c))))
	}
	if c.Differential != 0 && !math.IsNaN(c.Differential) { // none where it goes one way only
		say = append(say, fmt.Sprintf("Differential %.0f %%.", 100*c.Differential))
	}
	s.Blocks = append(s.Blocks, Block{List: say})
	if c.Described && c.State == control.OK {
		s.Blocks = append(s.Blocks, Block{Table: p.sweep(c)}, para("Ratio: edge per servo. At arm, at horn: the rod's angle to them, deg; lean: out of their planes, deg.%s", sweepKnown(known.More)))
	}
	if len(c.Table) > 0 {
		m := &Table{Head: []string{"stick", "right edge, deg", "left edge, deg"}, Wrap: 0, Right: rights(3, 0)}
		for _, r := range c.Table {
			m.Rows = append(m.Rows, []string{r.Stick, degrees(r.Right), degrees(r.Left)})
		}
		s.Blocks = append(s.Blocks, Block{Table: m})
	}
	return s
}

func (p *SetUp) results() Section {
	s := Section{Title: "Linkages and throws, judged"}
	t := &Table{Wrap: 1}
	var why []string
	for _, r := range p.Sheet.Results {
		f := verdict.FromResult(r, 3)
		c := Checked{Results: p.Results, Units: p.Units}
		if f.Status == verdict.NotAsked && math.IsNaN(f.Value.Value) {
			continue
		}
		t.Rows = append(t.Rows, []string{marks[f.Status], f.Label, c.value(&f), c.limit(&f)})
		if f.Status != verdict.Pass && f.Status != verdict.NotAsked {
			line := upper(f.Label) + ": " + f.Because
			if f.Release != "" && f.Status != verdict.Pass {
				line += " What would change it: " + f.Release + "."
			}
			why = append(why, line)
		}
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t})
	}
	if len(why) > 0 {
		s.Blocks = append(s.Blocks, Block{List: why})
	}
	return s
}

func (p *SetUp) launchRows() Section {
	s := Section{Title: "For the launch"}
	t := &Table{Head: []string{"control", "right, deg", "left, deg", "right, us", "left, us"}, Wrap: 0, Right: rights(5, 0)}
	for _, r := range p.Sheet.Launch {
		t.Rows = append(t.Rows, []string{r.Control, degrees(r.Right), degrees(r.Left), micro(r.PulseR), micro(r.PulseL)})
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	if line := pulsesKnown(p.tabled().Launch); line != "" {
		s.Blocks = append(s.Blocks, para("%s", line))
	}
	l := &p.Results.Aircraft.Launch
	s.Blocks = append([]Block{{Table: t}}, append(s.Blocks, para("Sticks held: pitch %.0f %% up (%s us on its channel), roll %.0f %% right (%s us), yaw %.0f %% right (%s us).", 100*l.StickPitch, micro(p.Sheet.Sticks[0]), 100*l.StickRoll, micro(p.Sheet.Sticks[1]), 100*l.StickYaw, micro(p.Sheet.Sticks[2])))...)
	return s
}

func (p *SetUp) home() Section {
	if !p.Sheet.HomeKnown {
		return Section{}
	}
	h := &p.Sheet.Home
	rows := [][]string{
		{"airspeed", p.fmt(h.Speed, unit.Speed)}, {"bank", p.fmt(h.Bank, unit.Angle)},
		{"loiter radius", unit.FormatInterval(h.Radius, h.Radius-1.6449*h.RadiusSigma, h.Radius+1.6449*h.RadiusSigma, unit.Length, p.Units)}, {"height", p.fmt(h.Height, unit.Length)},
	}
	if !math.IsNaN(h.StallMargin) {
		rows = append(rows, []string{"airspeed over the stall in that turn", fmt.Sprintf("%.2f (%.2f to %.2f)", h.StallMargin, h.StallMargin-1.6449*h.MarginSigma, h.StallMargin+1.6449*h.MarginSigma)})
	}
	s := Section{Title: "Return home, if an autopilot is fitted", Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}}
	var list []string
	for _, x := range h.Say {
		list = append(list, upper(x)+".")
	}
	if len(list) > 0 {
		s.Blocks = append(s.Blocks, Block{List: list})
	}
	return s
}

func (p *SetUp) failsafes() Section {
	s := Section{Title: "When a signal goes"}
	for _, f := range p.Sheet.Failsafe {
		s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("%s: throttle %s; surfaces %s (%s).", upper(f.When), f.Throttle, f.Surfaces, f.Why)}})
	}
	return s
}

// StopJSON is one setting of one control.
type StopJSON struct {
	Name     string `json:"name"`
	Delta    Float  `json:"edge_deg"`
	Edge     Float  `json:"edge_m"`
	Servo    Float  `json:"servo_deg"`
	Pulse    Float  `json:"pulse_us"`
	Status   string `json:"status"`
	Within   bool   `json:"within"`
	Interval Spans  `json:"interval,omitempty"`
}

// StickJSON is one line of a mixing table.
type StickJSON struct {
	Stick string `json:"stick"`
	Right Float  `json:"right_deg"`
	Left  Float  `json:"left_deg"`
}

// ControlJSON is the set-up of one control.
type ControlJSON struct {
	Name         string       `json:"name"`
	Surface      string       `json:"surface"`
	Linkage      string       `json:"linkage"` // "ok", "not described", or why not
	RodAssumed   bool         `json:"rod_assumed"`
	Ratio        Float        `json:"edge_per_servo"`
	Step         Float        `json:"edge_per_pulse_step_deg"`
	LeastHorn    Float        `json:"least_angle_at_horn_deg"`
	LeastArm     Float        `json:"least_angle_at_arm_deg"`
	NeutralWant  Float        `json:"neutral_wanted_deg"`
	UpWant       Float        `json:"throw_up_wanted_deg"`
	DownWant     Float        `json:"throw_down_wanted_deg"`
	Differential Float        `json:"differential"`
	Stops        []StopJSON   `json:"stops"`
	Sticks       []StickJSON  `json:"sticks"`
	WantEdge     Float        `json:"neutral_wanted_m"`
	WantPulse    Float        `json:"neutral_wanted_us"`
	More         *LinkageJSON `json:"linkage_detail"`
	Found        *FoundJSON   `json:"measured"`
	Neutral      Quantity     `json:"neutral_wanted"`
	Up           Quantity     `json:"throw_up_wanted"`
	Down         Quantity     `json:"throw_down_wanted"`
	Midpoint     Quantity     `json:"midpoint"`
	Interval     Spans        `json:"interval,omitempty"`
}

// LaunchRowJSON is one control at the launch.
type LaunchRowJSON struct {
	Control    string `json:"control"`
	Right      Float  `json:"right_deg"`
	Left       Float  `json:"left_deg"`
	PulseRight Float  `json:"pulse_right_us"`
	PulseLeft  Float  `json:"pulse_left_us"`
	Interval   Spans  `json:"interval,omitempty"`
}

// HomeJSON is what to type into a return-home function.
type HomeJSON struct {
	Speed       Float    `json:"speed_m_s"`
	Bank        Float    `json:"bank_deg"`
	Radius      Float    `json:"radius_m"`
	Height      Float    `json:"height_m"`
	StallMargin Float    `json:"stall_margin"`
	Say         []string `json:"say"`
	Circle      Quantity `json:"radius"`
	OverStall   Quantity `json:"speed_over_stall"`
}

// FailsafeJSON is one line of the failsafe table.
type FailsafeJSON struct {
	When     string `json:"when"`
	Throttle string `json:"throttle"`
	Surfaces string `json:"surfaces"`
	Why      string `json:"why"`
}

// SetupJSON is the body of `setup`.
type SetupJSON struct {
	Head
	Speed     Quantity        `json:"trim_speed"`
	TrimAlpha Quantity        `json:"trim_alpha"`
	TrimPitch Quantity        `json:"trim_pitch"`
	Controls  []ControlJSON   `json:"controls"`
	Launch    []LaunchRowJSON `json:"launch"`
	Sticks    [3]Float        `json:"launch_sticks_us"` // pitch, roll, yaw
	RollThrow Quantity        `json:"roll_throw_wanted"`
	Trims     []TrimJSON      `json:"trims"`
	Lost      *LostJSON       `json:"lost_link"`
	Home      *HomeJSON       `json:"home"`
	Failsafe  []FailsafeJSON  `json:"failsafe"`
	Tail
}

// SetupBody is the JSON of a set-up sheet.
func SetupBody(p SetUp) SetupJSON {
	sh := p.Sheet
	out := SetupJSON{Head: p.head(), Controls: []ControlJSON{}, Launch: []LaunchRowJSON{}, Failsafe: []FailsafeJSON{}, Tail: p.tail(ofIDs("control-power", "trim"), "propeller", "proof")}
	out.Notes = append(out.Notes, sh.Notes...)
	for _, r := range sh.Results {
		f := verdict.FromResult(r, 3)
		out.Findings = append(out.Findings, finding(&f))
	}
	out.Speed = known(sh.Speed, "m/s", "no speed to trim at")
	if sh.Trim.Why == "" {
		out.TrimAlpha, out.TrimPitch = spread(sh.Trim.Alpha, sh.AlphaSigma, "rad"), spread(sh.Trim.Pitch, sh.TrimSigma, "rad")
	} else {
		out.TrimAlpha, out.TrimPitch = absent("deg", sh.Trim.Why), absent("deg", sh.Trim.Why)
	}
	t := p.tabled()
	out.Controls = t.Controls
	out.Launch = t.Launch
	for i, v := range sh.Sticks {
		out.Sticks[i] = Float(v * 1e6)
	}
	out.Trims = t.Trims
	out.RollThrow = absent("rad", "no aerodynamics, speed or roll control")
	if !math.IsNaN(sh.RollThrow) {
		out.RollThrow = spread(sh.RollThrow, sh.RollSigma, "rad")
	}
	out.Lost = t.Lost
	if sh.HomeKnown {
		h := &sh.Home
		out.Home = &HomeJSON{Float(h.Speed), Float(deg(h.Bank)), Float(h.Radius), Float(h.Height), Float(h.StallMargin), strs(h.Say),
			spread(h.Radius, h.RadiusSigma, "m"), absent("1", "the stall speed is not known")}
		if !math.IsNaN(h.StallMargin) {
			out.Home.OverStall = spread(h.StallMargin, h.MarginSigma, "1")
		}
	}
	for _, f := range sh.Failsafe {
		out.Failsafe = append(out.Failsafe, FailsafeJSON{f.When, f.Throttle, f.Surfaces, f.Why})
	}
	return out
}

// controlsJSON are the controls of a sheet.
func controlsJSON(sh *control.Sheet, ac *craft.Aircraft) []ControlJSON {
	out := []ControlJSON{}
	for i := range sh.Controls {
		c := &sh.Controls[i]
		state := "not described"
		if c.Described {
			state = c.State.String()
		}
		j := ControlJSON{Name: c.Name, Surface: ac.Surfaces[c.Surface].Name, Linkage: state, RodAssumed: c.Guessed,
			Ratio: Float(math.Abs(c.Neutral.Ratio)), Step: Float(deg(c.Step)), LeastHorn: Float(deg(c.Travel.LeastAtHorn)), LeastArm: Float(deg(c.Travel.LeastAtArm)),
			NeutralWant: Float(deg(c.WantPitch)), UpWant: Float(deg(c.WantUp)), DownWant: Float(deg(c.WantDown)), Differential: Float(c.Differential),
			Neutral: wantedQ(c.WantPitch, sh.TrimSigma, "no hands-off trim, or it does not move pitch"), Up: wantedQ(c.WantUp, throwSigma(sh, c), "no throw is wanted of it"), Down: wantedQ(c.WantDown, throwSigma(sh, c), "no throw is wanted of it"), Midpoint: midpoint(c),
			Stops: []StopJSON{}, Sticks: []StickJSON{}, WantEdge: wanted(c, c.Want.Edge), WantPulse: wanted(c, c.Want.Pulse*1e6), More: linkageJSON(c), Found: foundJSON(c)}
		if state != "ok" {
			n := Float(math.NaN())
			j.Ratio, j.Step, j.LeastHorn, j.LeastArm = n, n, n, n
		}
		for _, k := range c.Stops {
			st := k.Status.String()
			if !c.Described {
				st = state
			}
			j.Stops = append(j.Stops, StopJSON{Name: k.Name, Delta: Float(deg(k.Delta)), Edge: Float(k.Edge), Servo: Float(deg(k.Servo)), Pulse: Float(k.Pulse * 1e6), Status: st, Within: k.Within})
		}
		for _, r := range c.Table {
			j.Sticks = append(j.Sticks, StickJSON{r.Stick, Float(deg(r.Right)), Float(deg(r.Left))})
		}
		out = append(out, j)
	}
	return out
}
