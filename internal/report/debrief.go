package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/evidence"
	"fledge/internal/unit"
)

// Debriefed is what the debrief page shows: one entry a log, and what is said
// of all of them together.
type Debriefed struct {
	Logs      []evidence.Debrief
	Overall   []evidence.Judged // each claim over all logs
	Build     string            // name; "" without a build
	BuildHash string
	Predicted *assess.Results // nil: not asked
	Compared  []Beside
	Mortem    *Mortem // nil: no launch failed
	Told      string  // the outcome in the person's words
	Given     []assess.Told
	SaveHint  bool // the column map was guessed and could be kept
	Units     unit.System
}

// Beside is one number predicted, measured and claimed; nil where not.
type Beside struct {
	What, By, Note               string
	Dim                          unit.Dim
	Predicted, Measured, Claimed *evidence.Quantity
}

func (p *Debriefed) show(q *evidence.Quantity, d unit.Dim) string {
	if q == nil || math.IsNaN(q.Value) {
		return "not known"
	}
	out := unit.FormatInterval(q.Value, q.Low, q.High, d, p.Units)
	if w := q.High - q.Low; d == unit.Speed && p.Units == unit.Metric && w > 0 && w < 0.3 { // a tenth would hide the doubt
		out = fmt.Sprintf("%.2f m/s (%.2f to %.2f)", q.Value, q.Low, q.High)
	}
	if d == unit.Speed && p.Units == unit.Metric {
		out += fmt.Sprintf(", %.0f km/h", 3.6*q.Value)
	}
	return out
}

// metres prints a height to a tenth of a metre, or a foot.
func (p *Debriefed) metres(v float64) string {
	if p.Units == unit.Imperial {
		return col(v/0.3048, 0) + " ft"
	}
	return col(v, 1) + " m"
}

// reach prints a distance with its interval in whole metres, or feet.
func (p *Debriefed) reach(q *evidence.Quantity) string {
	if q == nil || math.IsNaN(q.Value) {
		return "not known"
	}
	k, u, digits := 1.0, "m", 0
	if p.Units == unit.Imperial {
		k, u = 1/0.3048, "ft"
	}
	if math.Abs(q.Value) < 100 {
		digits = 1
	}
	return fmt.Sprintf("%.*f %s (%.*f to %.*f)", digits, k*q.Value, u, digits, k*q.Low, digits, k*q.High)
}

func (p *Debriefed) fmt(v float64, d unit.Dim) string { return unit.Format(v, d, p.Units) }

// DebriefPage is the page of the eighth question.
func DebriefPage(p Debriefed) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	d := &Doc{Title: "What really happened"}
	many := len(p.Logs) > 1
	if !many && len(p.Logs) == 1 {
		name := p.Logs[0].Name
		if p.Logs[0].Format == "readings" && p.Build != "" {
			name = p.Build
		}
		d.Title = name + ": what really happened"
	}
	p.claims(d)
	p.compared(d)
	p.mortem(d)
	for i := range p.Logs {
		p.one(d, &p.Logs[i], many)
	}
	list := []string{}
	if len(p.Logs) > 0 {
		list = append(list, p.Logs[0].Cautions...)
	}
	if p.Mortem != nil {
		list = append(list, mortemCautions()...)
	}
	d.Sections = append(d.Sections, cautionSection(list))
	return d
}

// claims is what matters most, and comes first.
func (p *Debriefed) claims(d *Doc) {
	if len(p.Overall) == 0 {
		return
	}
	c := Section{Title: "The claims, judged"}
	for _, k := range p.Overall {
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

// compared sets predicted beside measured beside claimed.
func (p *Debriefed) compared(d *Doc) {
	if len(p.Compared) == 0 {
		return
	}
	t := &Table{Head: []string{"", "predicted", "measured", "claimed"}, Wrap: 0}
	var notes []string
	cell := func(q *evidence.Quantity, dim unit.Dim) string {
		if q == nil {
			return "-"
		}
		if q.Low == q.High {
			return p.fmt(q.Value, dim)
		}
		if dim == unit.Speed {
			return strings.Split(p.show(q, dim), ", ")[0]
		}
		return unit.FormatInterval(q.Value, q.Low, q.High, dim, p.Units)
	}
	for _, k := range p.Compared {
		t.Rows = append(t.Rows, []string{k.What, cell(k.Predicted, k.Dim), cell(k.Measured, k.Dim), cell(k.Claimed, k.Dim)})
		if k.Measured != nil && k.Note != "" {
			notes = append(notes, upper(k.What)+", by "+k.By+": "+k.Note+".")
		}
	}
	s := Section{Title: "Predicted, measured, claimed", Blocks: []Block{{Table: t}}}
	if len(notes) > 0 {
		s.Blocks = append(s.Blocks, Block{List: notes})
	}
	s.Blocks = append(s.Blocks, para("Predicted from build %s as it is now, before anything is learned from these logs. Brackets hold 90 in 100.", p.BuildHash))
	d.Sections = append(d.Sections, s)
}

func (p *Debriefed) one(d *Doc, b *evidence.Debrief, many bool) {
	name := ""
	if many {
		name = b.Name + ": "
	}
	title := func(s string) string {
		if many {
			return name + s
		}
		return upper(s)
	}
	s := Section{Title: title("the record"), Blocks: []Block{para("%s.", p.record(b))}}
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
		s.Blocks = append(s.Blocks, para("Set aside, and why:"), Block{Table: t})
	}
	s.Blocks = append(s.Blocks, p.columns(b)...)
	if b.Format == "readings" {
		if b.Samples > 0 {
			if len(b.Typed) == 0 {
				s.Blocks = append(s.Blocks, para("Without a log they tell neither the wind nor a level airspeed. A speed read or timed both ways (direction=240 and direction=60, or with and against the wind) tells both along the way flown."))
			}
			d.Sections = append(d.Sections, s)
		}
		p.typed(d, b, title)
		p.items(d, b, title)
		return
	}
	d.Sections = append(d.Sections, s)
	sp := &Table{Wrap: 1}
	add := func(what, v string) { sp.Rows = append(sp.Rows, []string{what, v}) }
	if b.Wind != nil {
		add("wind", p.show(&b.Wind.Speed, unit.Speed)+fmt.Sprintf(" from %.0f deg, give or take %s, by %s", b.Wind.FromDeg, few(1.645*b.Wind.FromSD), b.Wind.Method))
	} else if b.WindRefused != "" {
		add("wind", "not told: "+b.WindRefused)
	}
	if b.PeakGround != nil {
		add("peak over the ground", p.show(b.PeakGround, unit.Speed))
	}
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
			say := fmt.Sprintf("%d blades at %.0f rpm", g.Blades, g.RPM)
			if half, ok := g.In.Half("rpm"); ok {
				say += fmt.Sprintf(" ± %.0f", math.Ceil(half))
			}
			add("its tone means", say)
		}
	}
	sec := Section{Title: title("speeds"), Blocks: []Block{{Table: sp}}}
	if b.Peak != nil && b.Peak.Kind != "" {
		sec.Blocks = append(sec.Blocks, para("%s", p.peak(b.Peak)))
	}
	if b.Peak != nil && b.Peak.Say != "" {
		sec.Blocks = append(sec.Blocks, para("%s.", strings.TrimSuffix(upper(b.Peak.Say), ".")))
	}
	if len(sp.Rows) > 0 {
		d.Sections = append(d.Sections, sec)
	}
	if b.BestPair >= 0 && b.BestPair < len(b.Pairs) {
		pr := &b.Pairs[b.BestPair]
		bt := &Table{Head: []string{"doubt of the two-way speed", "m/s"}, Wrap: 0, Right: []bool{false, true}}
		for _, k := range pr.Budget {
			bt.Rows = append(bt.Rows, []string{k.What, col(k.Sigma, 2)})
		}
		q := Section{Title: title("the two passes"), Blocks: []Block{
			para("Base %s at %.0f deg: %s one way, %s the other; wind along it %s.", p.fmt(pr.Base, unit.Length), pr.AzimuthDeg, p.show(&pr.Passes[0].Ground, unit.Speed), p.show(&pr.Passes[1].Ground, unit.Speed), p.spanned(pr.AlongWind, pr.In, "wind_along_m_s", unit.Speed)),
			{Table: bt}}}
		if len(pr.Remarks) > 0 {
			q.Blocks = append(q.Blocks, Block{List: pr.Remarks})
		}
		d.Sections = append(d.Sections, q)
	}
	p.typed(d, b, title)
	p.flight(d, b, title)
	p.items(d, b, title)
}

// typed is the pairs made of typed speeds in opposite directions.
func (p *Debriefed) typed(d *Doc, b *evidence.Debrief, title func(string) string) {
	more := 0
	for i := range b.Typed {
		k := &b.Typed[i]
		if !k.Best {
			more++
			continue
		}
		way := func(a *evidence.TypedPass) string {
			if a.CourseDeg != nil {
				return fmt.Sprintf("at %.0f deg", *a.CourseDeg)
			}
			return a.Way
		}
		f, g := &k.Passes[0], &k.Passes[1]
		t := &Table{Head: []string{"doubt of the mean", "one standard deviation"}, Wrap: 0, Right: []bool{false, true}}
		for _, x := range k.Budget {
			t.Rows = append(t.Rows, []string{x.What, p.small(x.Sigma)})
		}
		s := Section{Title: title("typed, both ways"), Blocks: []Block{
			para("Both ways: %s. The wind along them is not in it.", p.show(&k.TwoWay, unit.Speed)),
			para("Reading %d, %s, %s, %s over the ground; reading %d, %s, %s, %s. %s", f.Reading, f.How, way(f), p.fmt(f.Ground.Value, unit.Speed), g.Reading, g.How, way(g), p.fmt(g.Ground.Value, unit.Speed), p.alongTyped(k)),
			{Table: t}}}
		if n := k.Narrow(); n != "" {
			s.Blocks = append(s.Blocks, para("%s.", upper(n)))
		}
		for _, r := range k.Remarks {
			s.Blocks = append(s.Blocks, para("%s", upper(strings.TrimSuffix(r, "."))+endOf(r)))
		}
		d.Sections = append(d.Sections, s)
	}
	if more > 0 {
		last := &d.Sections[len(d.Sections)-1]
		last.Blocks = append(last.Blocks, para("%s more: --json has all.", upper(count(more, "slower pair"))))
	}
}

// endOf is what ends a sentence: nothing after a question.
func endOf(s string) string {
	if strings.HasSuffix(s, "?") {
		return ""
	}
	return "."
}

// small prints a doubt in metres a second or miles an hour, to two digits.
func (p *Debriefed) small(v float64) string {
	if p.Units == unit.Imperial {
		return fmt.Sprintf("%.2g mph", v/0.44704)
	}
	return col(v, 2) + " m/s"
}

// alongTyped says the wind along a typed pair.
func (p *Debriefed) alongTyped(k *evidence.TypedPair) string {
	w, from := k.AlongWind, &k.Passes[1]
	if w.Value < 0 {
		w.Value, w.Low, w.High, from = -w.Value, -w.High, -w.Low, &k.Passes[0]
	}
	if w.Low < 0 {
		return fmt.Sprintf("The wind along them: %s, too little to tell which way.", unit.FormatInterval(w.Value, w.Low, w.High, unit.Speed, p.Units))
	}
	say := "The wind along them: " + unit.FormatInterval(w.Value, w.Low, w.High, unit.Speed, p.Units)
	if c := from.CourseDeg; c != nil {
		say += fmt.Sprintf(", from about %.0f deg", *c)
	}
	return say + "."
}

// items is all that was measured, and what is to be said of it.
func (p *Debriefed) items(d *Doc, b *evidence.Debrief, title func(string) string) {
	if len(b.Items) > 0 {
		it := &Table{Head: []string{"measured", "value", "90 in 100", "how"}, Wrap: 3}
		for _, k := range b.Items {
			how := k.Method
			if k.Remark != "" && !strings.Contains(k.What, "peak") {
				how += "; " + k.Remark
			}
			v, in := p.plain(k.Value, k.Sigma, k.Unit)
			it.Rows = append(it.Rows, []string{k.What, v, in, how})
		}
		d.Sections = append(d.Sections, Section{Title: title("all that was measured"), Blocks: []Block{{Table: it}}})
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

func (p *Debriefed) flight(d *Doc, b *evidence.Debrief, title func(string) string) {
	if l := b.LaunchPhase; l != nil {
		rows := [][]string{{"at", p.fmt(l.At, unit.Time)}, {"speed at the end of the push", p.show(&l.Speed, unit.Speed)}, {"mean push", p.spanned(l.Push, l.In, "mean_acceleration_m_s2", unit.Acceleration)}, {"course", p.course(l.CourseDeg, l.In)}}
		if l.HeadWind != nil {
			rows = append(rows, []string{"headwind", p.spanned(*l.HeadWind, l.In, "head_wind_m_s", unit.Speed)})
		}
		if l.Lowest != nil {
			low := p.metres(*l.Lowest)
			if v, ok := l.In["lowest_after_m"]; ok {
				low += fmt.Sprintf(" (%s to %s)", p.metres(v[0]), p.metres(v[1]))
			}
			rows = append(rows, []string{"lowest in the ten seconds after", low})
		}
		d.Sections = append(d.Sections, Section{Title: title("the launch as flown"), Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}})
	}
	if len(b.Phases) > 0 {
		k, u, m, long := 1.0, "m/s", 1.0, "m"
		if p.Units == unit.Imperial {
			k, u, m, long = 1/0.44704, "mph", 1/0.3048, "ft"
		}
		t := &Table{Head: []string{"phase", "from", "for", "mean, " + u, "fastest, " + u, "air, " + u, "height, " + long}, Wrap: -1, Right: rights(7, 0)}
		most := b.Phases
		if len(most) > 40 {
			most = most[:40]
		}
		for _, f := range most {
			of := func(v *float64, key string, k float64) string {
				if v == nil {
					return "-"
				}
				half, _ := f.In.Half(key)
				return plusOrMinus(k**v, k*half)
			}
			t.Rows = append(t.Rows, []string{string(f.Kind), col(f.T0, 0) + " s", col(f.T1-f.T0, 1) + " s", of(&f.Speed, "mean_ground_speed_m_s", k), of(&f.Top, "top_ground_speed_m_s", k), of(f.Air, "mean_airspeed_m_s", k), of(f.Rise, "height_change_m", m)})
		}
		s := Section{Title: title("the flight, phase by phase"), Blocks: []Block{{Table: t}, para("Mean and fastest over the ground; air: mean through the air; height: what it changed by. ± is two standard deviations of the smoothed log; --json has the 90 %% intervals.")}}
		if n := len(b.Phases) - len(most); n > 0 {
			s.Blocks = append(s.Blocks, para("And %d more (--json has all).", n))
		}
		d.Sections = append(d.Sections, s)
	}
	if l := b.LandingPhase; l != nil {
		d.Sections = append(d.Sections, Section{Title: title("the landing as flown"), Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
			{"at", p.fmt(l.At, unit.Time)}, {"approach over the ground", p.show(l.Approach, unit.Speed)}, {"touchdown over the ground", p.show(&l.Touchdown, unit.Speed)},
			{"slide", p.spanned(l.Slide, l.In, "slide_m", unit.Length)}, {"mean deceleration", p.spanned(l.Slowing, l.In, "mean_deceleration_m_s2", unit.Acceleration)},
		}}}}})
	}
	if r := b.Reach; r != nil {
		rows := [][]string{{"farthest", p.reach(&r.Farthest)}, {"highest", p.reach(r.Highest)}}
		s := Section{Title: title("how far and high"), Blocks: []Block{{Table: &Table{Rows: rows, Wrap: -1}}}}
		if len(r.Over) > 0 {
			s.Blocks = append(s.Blocks, Block{List: r.Over})
		}
		d.Sections = append(d.Sections, s)
	}
	if k := b.Battery; k != nil {
		t := &Table{Wrap: -1}
		for _, r := range []struct {
			what string
			q    *evidence.Quantity
			dim  unit.Dim
		}{
			{"charge used", k.Charge, unit.Charge}, {"charge as logged", k.Logged, unit.Charge}, {"energy used", k.Energy, unit.Energy}, {"mean power", k.MeanPower, unit.Power},
			{"highest current", k.MostAmps, unit.Current}, {"lowest voltage", k.LeastVolts, unit.Voltage}, {"at rest before", k.RestBefore, unit.Voltage},
			{"at rest after", k.RestAfter, unit.Voltage}, {"resistance, pack and leads", k.Resistance, unit.Resistance},
		} {
			if r.q != nil {
				t.Rows = append(t.Rows, []string{r.what, p.show(r.q, r.dim)})
			}
		}
		s := Section{Title: title("the battery")}
		if len(t.Rows) > 0 {
			s.Blocks = append(s.Blocks, Block{Table: t})
		}
		if len(k.Remarks) > 0 {
			s.Blocks = append(s.Blocks, Block{List: k.Remarks})
		}
		d.Sections = append(d.Sections, s)
	}
}

// spanned prints a number with its interval, where it has one.
func (p *Debriefed) spanned(v float64, in evidence.Spans, key string, d unit.Dim) string {
	s, ok := in[key]
	if !ok {
		return p.fmt(v, d)
	}
	q := evidence.Quantity{Value: v, Low: s[0], High: s[1]}
	if d == unit.Speed {
		return strings.Split(p.show(&q, d), ", ")[0]
	}
	return unit.FormatInterval(v, s[0], s[1], d, p.Units)
}

// course prints a course with its doubt.
func (p *Debriefed) course(v float64, in evidence.Spans) string {
	if half, ok := in.Half("course_deg"); ok {
		return fmt.Sprintf("%.0f ± %.0f deg", v, math.Ceil(half))
	}
	return fmt.Sprintf("%.0f deg", v)
}

// plusOrMinus prints a number and two standard deviations, with as many places
// as the doubt tells, at most two; a doubt too small to show is a hundredth.
func plusOrMinus(v, half float64) string {
	if !(half > 0) {
		return col(v, 1)
	}
	places := 2
	switch {
	case half >= 3:
		places = 0
	case half >= 0.095:
		places = 1
	}
	return col(v, places) + " ± " + col(math.Max(half, 0.01), places)
}
