package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/chart"
	"fledge/internal/evidence"
	"fledge/internal/unit"
)

// Debriefed is what the debrief page shows: one entry a log.
type Debriefed struct {
	Logs  []evidence.Debrief
	Units unit.System
}

func (p *Debriefed) show(q *evidence.Quantity, d unit.Dim) string {
	if q == nil || math.IsNaN(q.Value) {
		return "not known"
	}
	out := unit.FormatInterval(q.Value, q.Low, q.High, d, p.Units)
	if d == unit.Speed && p.Units == unit.Metric {
		out += fmt.Sprintf(", %.0f km/h", 3.6*q.Value)
	}
	return out
}

func (p *Debriefed) fmt(v float64, d unit.Dim) string { return unit.Format(v, d, p.Units) }

// DebriefPage is the page of the eighth question.
func DebriefPage(p Debriefed) *Doc {
	d := &Doc{Title: "What really happened"}
	for i := range p.Logs {
		p.one(d, &p.Logs[i], len(p.Logs) > 1)
	}
	if len(p.Logs) > 0 {
		d.Sections = append(d.Sections, cautionSection(p.Logs[0].Cautions))
	}
	return d
}

func (p *Debriefed) one(d *Doc, b *evidence.Debrief, many bool) {
	name := ""
	if many {
		name = b.Name + ": "
	} else {
		d.Title = b.Name + ": what really happened"
	}
	title := func(s string) string {
		if many {
			return name + s
		}
		return upper(s)
	}
	line := fmt.Sprintf("%d records in %s, %d set aside", b.Samples, p.fmt(b.Duration.Value, unit.Time), b.Dropped)
	if b.Gaps > 0 {
		line += fmt.Sprintf(", %d gaps", b.Gaps)
	}
	if b.Start != "" {
		line += "; begins " + b.Start
	}
	s := Section{Title: title("the record"), Blocks: []Block{para("%s.", line)}}
	t := &Table{Wrap: 2, Right: []bool{false, true}}
	for _, k := range b.DroppedBy {
		ex := ""
		if k.Line > 0 {
			ex = fmt.Sprintf("first in line %d", k.Line)
		}
		if k.Example != "" {
			ex = strings.TrimPrefix(ex+", "+k.Example, ", ")
		}
		t.Rows = append(t.Rows, []string{string(k.Reason), fmt.Sprint(k.Count), ex})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t})
	}
	d.Sections = append(d.Sections, s)
	sp := &Table{Wrap: 1}
	add := func(what, v string) { sp.Rows = append(sp.Rows, []string{what, v}) }
	if b.Wind != nil {
		add("wind", p.show(&b.Wind.Speed, unit.Speed)+fmt.Sprintf(" from %.0f deg (+- %.0f), by %s", b.Wind.FromDeg, 1.645*b.Wind.FromSD, b.Wind.Method))
	} else if b.WindRefused != "" {
		add("wind", "not told: "+b.WindRefused)
	}
	add("peak over the ground", p.show(b.PeakGround, unit.Speed))
	if b.LevelSpeed != nil {
		add("level airspeed", p.show(&b.LevelSpeed.Quantity, unit.Speed)+fmt.Sprintf(", held for %s from %s", p.fmt(b.LevelSpeed.WindowS, unit.Time), p.fmt(b.LevelSpeed.FromS, unit.Time)))
	} else if b.Refused != "" {
		add("level airspeed", "refused: "+b.Refused)
	}
	if b.TwoWay != nil {
		add("both ways over one base", p.show(b.TwoWay, unit.Speed))
		add("airspeed of the two passes", p.show(b.TwoWayAir, unit.Speed))
	} else if b.TwoWayRefused != "" {
		add("both ways over one base", "refused: "+b.TwoWayRefused)
	}
	if b.Flyby != nil {
		add("from the sound", p.show(&b.Flyby.Speed, unit.Speed))
		add("passed at", p.show(&b.Flyby.Distance, unit.Length))
		for _, g := range b.Flyby.Shafts {
			add("its tone means", fmt.Sprintf("%d blades at %.0f rpm", g.Blades, g.RPM))
		}
	}
	sec := Section{Title: title("speeds"), Blocks: []Block{{Table: sp}}}
	if b.Peak != nil && b.Peak.Say != "" {
		sec.Blocks = append(sec.Blocks, para("%s.", strings.TrimSuffix(upper(b.Peak.Say), ".")))
	}
	d.Sections = append(d.Sections, sec)
	if b.BestPair >= 0 && b.BestPair < len(b.Pairs) {
		pr := &b.Pairs[b.BestPair]
		bt := &Table{Head: []string{"doubt of the two-way speed", "m/s"}, Wrap: 0, Right: []bool{false, true}}
		for _, k := range pr.Budget {
			bt.Rows = append(bt.Rows, []string{k.What, col(k.Sigma, 2)})
		}
		q := Section{Title: title("the two passes"), Blocks: []Block{
			para("Base %s at %.0f deg: %s one way, %s the other; wind along it %s.", p.fmt(pr.Base, unit.Length), pr.AzimuthDeg, p.show(&pr.Passes[0].Ground, unit.Speed), p.show(&pr.Passes[1].Ground, unit.Speed), p.fmt(pr.AlongWind, unit.Speed)),
			{Table: bt}}}
		if len(pr.Remarks) > 0 {
			q.Blocks = append(q.Blocks, Block{List: pr.Remarks})
		}
		d.Sections = append(d.Sections, q)
	}
	if len(b.Claims) > 0 {
		c := Section{Title: title("claims, judged")}
		for _, k := range b.Claims {
			by := ""
			if k.By != "" {
				by = " (" + k.By + ")"
			}
			say := fmt.Sprintf("%s%s: %s. %s.", upper(k.Claim), by, strings.ToUpper(string(k.Status)), strings.TrimSuffix(upper(k.Because), "."))
			if k.Settle != "" {
				say += " To settle it: " + k.Settle + "."
			}
			c.Blocks = append(c.Blocks, Block{List: []string{say}})
		}
		d.Sections = append(d.Sections, c)
	}
	p.flight(d, b, title)
	if len(b.Items) > 0 {
		it := &Table{Head: []string{"measured", "value", "one sd", "how"}, Wrap: 3, Right: rights(4, 0, 3)}
		for _, k := range b.Items {
			how := k.Method
			if k.Remark != "" {
				how += "; " + k.Remark
			}
			it.Rows = append(it.Rows, []string{k.What, sensible(k.Value) + " " + k.Unit, sensible(k.Sigma), how})
		}
		d.Sections = append(d.Sections, Section{Title: title("evidence"), Blocks: []Block{{Table: it}}})
	}
	var notes []string
	if b.NoiseModel != "" {
		notes = append(notes, upper(b.NoiseModel)+".")
	}
	for _, r := range b.Remarks {
		notes = append(notes, upper(strings.TrimSuffix(r, "."))+".")
	}
	if len(notes) > 0 {
		d.Sections = append(d.Sections, Section{Title: title("remarks"), Blocks: []Block{{List: notes}}})
	}
}

// sensible prints a bare SI number with three digits.
func sensible(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	return fmt.Sprintf("%.4g", v)
}

func (p *Debriefed) flight(d *Doc, b *evidence.Debrief, title func(string) string) {
	if l := b.LaunchPhase; l != nil {
		rows := [][]string{{"at", p.fmt(l.At, unit.Time)}, {"speed at the end of the push", p.show(&l.Speed, unit.Speed)}, {"mean push", p.fmt(l.Push, unit.Acceleration)}, {"course", fmt.Sprintf("%.0f deg", l.CourseDeg)}}
		if l.HeadWind != nil {
			rows = append(rows, []string{"headwind", p.fmt(*l.HeadWind, unit.Speed)})
		}
		if l.Lowest != nil {
			rows = append(rows, []string{"lowest in the ten seconds after", p.fmt(*l.Lowest, unit.Length)})
		}
		d.Sections = append(d.Sections, Section{Title: title("the launch as flown"), Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}})
	}
	if len(b.Phases) > 0 {
		t := &Table{Head: []string{"phase", "from", "for", "mean", "fastest", "air", "height change"}, Wrap: -1, Right: rights(7, 0)}
		most := b.Phases
		if len(most) > 40 {
			most = most[:40]
		}
		or := func(v *float64, dim unit.Dim) string {
			if v == nil {
				return "-"
			}
			return p.fmt(*v, dim)
		}
		for _, k := range most {
			t.Rows = append(t.Rows, []string{string(k.Kind), col(k.T0, 0) + " s", col(k.T1-k.T0, 1) + " s", p.fmt(k.Speed, unit.Speed), p.fmt(k.Top, unit.Speed), or(k.Air, unit.Speed), or(k.Rise, unit.Length)})
		}
		s := Section{Title: title("the flight, phase by phase"), Blocks: []Block{{Table: t}}}
		if n := len(b.Phases) - len(most); n > 0 {
			s.Blocks = append(s.Blocks, para("And %d more (--json has all).", n))
		}
		d.Sections = append(d.Sections, s)
	}
	if l := b.LandingPhase; l != nil {
		d.Sections = append(d.Sections, Section{Title: title("the landing as flown"), Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
			{"at", p.fmt(l.At, unit.Time)}, {"approach", p.show(l.Approach, unit.Speed)}, {"touchdown over the ground", p.show(&l.Touchdown, unit.Speed)},
			{"slide", p.fmt(l.Slide, unit.Length)}, {"mean deceleration", p.fmt(l.Slowing, unit.Acceleration)},
		}}}}})
	}
	if r := b.Reach; r != nil {
		rows := [][]string{{"farthest", p.show(&r.Farthest, unit.Length)}, {"highest", p.show(r.Highest, unit.Length)}}
		s := Section{Title: title("how far and high"), Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}}
		if len(r.Over) > 0 {
			s.Blocks = append(s.Blocks, Block{List: r.Over})
		}
		d.Sections = append(d.Sections, s)
	}
	if k := b.Battery; k != nil {
		d.Sections = append(d.Sections, Section{Title: title("the battery"), Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
			{"charge used", p.show(k.Charge, unit.Charge)}, {"as logged", p.show(k.Logged, unit.Charge)}, {"energy used", p.show(k.Energy, unit.Energy)},
			{"mean power", p.show(k.MeanPower, unit.Power)}, {"highest current", p.show(k.MostAmps, unit.Current)}, {"lowest voltage", p.show(k.LeastVolts, unit.Voltage)},
			{"resistance, pack and leads", p.show(k.Resistance, unit.Resistance)},
		}}}}})
	}
}

// DebriefJSON is the body of `debrief`: of one log, its keys at the top; of
// several, one object each under logs.
type DebriefJSON struct {
	Schema int `json:"schema"`
	*evidence.Debrief
	Logs []evidence.Debrief `json:"logs,omitempty"`
}

// DebriefBody is the JSON of a debrief.
func DebriefBody(p Debriefed) DebriefJSON {
	if len(p.Logs) == 1 {
		return DebriefJSON{Schema: Schema, Debrief: &p.Logs[0]}
	}
	return DebriefJSON{Schema: Schema, Logs: p.Logs}
}

// DebriefChart is speed against time with its doubt band, of the first log.
func DebriefChart(p Debriefed) *chart.Chart {
	b := &p.Logs[0]
	sheet := evidence.NewSheet(b.Name, b, nil, evidence.Provenance{})
	if len(sheet.Plots) == 0 {
		return nil
	}
	first := sheet.Plots[0]
	c := &chart.Chart{Title: b.Name + ": " + first.Name, X: chart.Axis{Label: "time, s"}, Y: chart.Axis{Label: first.YUnit}, Ground: true}
	c.Y.Label = "speed, m/s"
	if first.YUnit != "m/s" {
		c.Y.Label, c.Ground = first.Name+", "+first.YUnit, false
	}
	if len(first.Low) > 0 {
		c.Series = append(c.Series, chart.Series{Kind: chart.Band, X: first.X, Y: first.Low, Y2: first.High, Ink: 0})
	}
	c.Series = append(c.Series, chart.Series{Name: "over the ground", X: first.X, Y: first.Y, Ink: 0})
	if first.YUnit != "m/s" {
		c.Series[len(c.Series)-1].Name = ""
	}
	if b.Wind != nil && len(b.Air) == len(first.X) {
		c.Series = append(c.Series, chart.Series{Name: "through the air", X: first.X, Y: b.Air, Ink: 1})
	}
	for _, m := range first.Marks {
		best := 0
		for i, x := range first.X {
			if math.Abs(x-(m.From+m.To)/2) < math.Abs(first.X[best]-(m.From+m.To)/2) {
				best = i
			}
		}
		c.Notes = append(c.Notes, chart.Note{X: first.X[best], Y: first.Y[best], Text: m.Name})
	}
	return c
}
