package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/seek"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Offered is one part that could go in.
type Offered struct {
	Name, Kind, For string
	Own             bool
	Cost            float64 // of all pieces it needs
}

// Final is a choice checked in full; Checked is nil when it cannot be built.
type Final struct {
	Trade   int
	Checked *Checked
	Moved   string   // setting that moves a part to hold the balance
	Set     []string // what to type
	Leave   []string // what to leave out of the build
}

// Blade is a propeller tried.
type Blade struct {
	Name                                       string
	Own                                        bool
	Cost                                       float64
	TopSpeed, Endurance, Odds, Thrust, Current assess.Quantity
	Over                                       []string // limits it passes
	Why                                        string   // why it cannot be tried
}

// Effect is the change of launch odds (with its standard error, launches
// paired), top speed (m/s) and endurance (s); NaN where there is none.
type Effect struct {
	Odds, OddsSE, Speed, Time float64
	SpeedSpan, TimeSpan       [2]float64 // 90 % intervals; NaN where not drawn
	MassSpan, BalanceSpan     [2]float64 // of the change of mass, kg, and of the balance point's x, m
	N                         int
}

// Reverse is the effect the other way round.
func (e Effect) Reverse() Effect {
	e.Odds, e.Speed, e.Time = -e.Odds, -e.Speed, -e.Time
	for _, s := range []*[2]float64{&e.SpeedSpan, &e.TimeSpan, &e.MassSpan, &e.BalanceSpan} {
		s[0], s[1] = -s[1], -s[0]
	}
	return e
}

// giveSpan prints two standard deviations of a drawn change, k times as large, with
// the decimals; "" where it was not drawn or is less than the last of them.
func giveSpan(span [2]float64, k float64, places int) string {
	low, high := span[0], span[1]
	switch {
	case math.IsNaN(low) || math.IsNaN(high):
		return ""
	case math.IsInf(high-low, 0):
		return " ± open"
	}
	s := col(k*(high-low)/half90, places)
	if strings.Trim(s, "0.") == "" {
		return ""
	}
	return " ± " + s
}

// drawnQ is a change with its 90 % interval.
func drawnQ(v float64, span [2]float64, u string) Quantity {
	if math.IsNaN(v) {
		return absent(u, "there is none")
	}
	return Q(assess.Quantity{Value: v, Low: span[0], High: span[1], Unit: u})
}

// Carried is what carrying one set of equipment does.
type Carried struct {
	Set     string
	Parts   []string
	Mass    float64
	Balance float64 // shift of the balance point without it that no part could hold, m aft
	Moved   string  // what held it
	Effect  Effect  // of carrying it
}

// Chosen is what the page of parts shows.
type Chosen struct {
	Now       Checked
	File      string
	Currency  string
	Units     unit.System
	Offers    []Offered
	Trades    []seek.Trade
	Left      int // choices not looked at
	Finals    map[int]Final
	Cheapest  int // index of the cheapest choice that goes, in full; -1
	Nearest   int // else the nearest
	Unchecked int // choices that looked hopeful and were not checked in full
	Front     []int
	Hidden    int // of the trade-off list, not shown
	Blades    []Blade
	Carried   []Carried
}

func (p *Chosen) names(picks []int) string {
	if len(picks) == 0 {
		return "as it is"
	}
	var s []string
	for _, i := range picks {
		s = append(s, p.Offers[i].Name)
	}
	return strings.Join(s, ", ")
}

func (p *Chosen) money(v float64) string {
	if v == 0 {
		return "nothing"
	}
	return fmt.Sprintf("%.2f %s", v, p.Currency)
}

// Parts is the page of choosing parts.
func Parts(p Chosen) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	ac := p.Now.Results.Aircraft
	d := &Doc{Title: ac.Name + ": which parts to put in"}
	d.Lead = append(d.Lead, p.answer(), fmt.Sprintf("Build %s as it is: %s%s. %d offers in %s, %d choices looked at%s.",
		p.Now.Results.Hash, words[p.Now.Verdict.Word], p.held(), len(p.Offers), p.File, len(p.Trades), p.left()))
	d.Sections = append(d.Sections, p.how(), p.front(), p.blades(), p.carried())
	d.Sections = append(d.Sections, noteSection([]string{
		"Choices meet the same gusts, hands and unknowns. All are looked at quickly; what the page shows is checked in full.",
		"A part put in takes the place of the old one; what its line does not say is assumed anew, not carried over. The part that may move is moved so that the balance stays, or comes into the band.",
		"In doubt about a label? Weigh and measure before you buy on its strength.",
	}), cautionSection(careful("propeller", "lithium", "law")))
	return d
}

func (p *Chosen) left() string {
	s := ", all there are"
	if p.Left > 0 {
		s = fmt.Sprintf(", %d not (the least hopeful)", p.Left)
	}
	if p.Unchecked > 0 {
		s += fmt.Sprintf("; %d that looked hopeful were not checked in full", p.Unchecked)
	}
	return s
}

// held names what holds the build as it is.
func (p *Chosen) held() string {
	t := &p.Trades[0]
	return ids(t.Failing, t.Open)
}

func ids(failing, open []string) string {
	s := ""
	if len(failing) > 0 {
		s += ", fails " + strings.Join(failing, ", ")
	}
	if len(open) > 0 {
		s += ", in doubt " + strings.Join(open, ", ")
	}
	return s
}

// answer is the cheapest way to GO in a sentence.
func (p *Chosen) answer() string {
	if p.Cheapest >= 0 {
		t := &p.Trades[p.Cheapest]
		if len(t.Picks) == 0 {
			return "GO as it is: nothing need be bought."
		}
		return fmt.Sprintf("GO for %s: put in %s. Checked in full.", p.money(t.Cost), p.names(t.Picks))
	}
	if p.Nearest < 0 {
		return "None of the choices can be built."
	}
	t := &p.Trades[p.Nearest]
	what := "still fails: " + strings.Join(t.Failing, ", ")
	if len(t.Failing) == 0 {
		what = "still in doubt: " + strings.Join(t.Open, ", ")
	}
	if len(t.Picks) == 0 {
		return fmt.Sprintf("No choice among these parts reaches GO, and none comes nearer than the build as it is (%s). Settings, not parts, are the way: fledge check lists them.", what)
	}
	return fmt.Sprintf("No choice among these parts reaches GO by itself. The nearest is %s, for %s; %s. Set the rest as fledge check says, then ask again.", p.names(t.Picks), p.money(t.Cost), what)
}

func (p *Chosen) how() Section {
	i := p.Cheapest
	if i < 0 {
		i = p.Nearest
	}
	f, ok := p.Finals[i]
	if !ok || len(p.Trades[i].Picks) == 0 {
		return Section{}
	}
	s := Section{Title: "To make it so"}
	for _, k := range p.Trades[i].Picks {
		o := &p.Offers[k]
		price := "it lies in the drawer"
		if !o.Own {
			price = p.money(o.Cost)
		}
		s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("%s in place of %s: %s.", o.Name, o.For, price)}})
	}
	if f.Moved != "" {
		s.Blocks = append(s.Blocks, Block{List: []string{"And " + f.Moved + ", so that the balance holds."}})
	}
	say := "In the build: " + strings.Join(f.Set, "; ") + "."
	if len(f.Leave) > 0 {
		say += " Leave out, for the new part does not say it: " + strings.Join(f.Leave, ", ") + "."
	}
	s.Blocks = append(s.Blocks, para("%s", say))
	return s
}

func (p *Chosen) front() Section {
	s := Section{Title: "What each choice costs and brings"}
	speed, minutes := unit.PeopleUnit(30, unit.Speed, p.Units), unit.PeopleUnit(300, unit.Time, p.Units)
	t := &Table{Head: []string{"", "put in", "", "cost", "mass", "odds, %", speed, minutes}, Wrap: 1, Right: rights(8, 0, 1, 2), Least: 14}
	var why []string
	for n, i := range p.Front {
		tr := &p.Trades[i]
		f := p.Finals[i]
		row := []string{letter(n), p.names(tr.Picks), words[tr.Word], fmt.Sprintf("%.2f", tr.Cost)}
		if f.Checked == nil {
			continue
		}
		r := f.Checked.Results
		odds := "-"
		if r.Launch.Asked {
			odds = fmt.Sprintf("%.0f (%.0f to %.0f)", 100*r.Launch.Odds.Value, 100*r.Launch.Odds.Low, 100*r.Launch.Odds.High)
		}
		row = append(row, unit.Format(r.Get(assess.Mass).Value, unit.Mass, p.Units), odds, valued(r.Get(assess.TopSpeed), unit.Speed, speed), valued(r.Get(assess.EnduranceTime), unit.Time, minutes))
		t.Rows = append(t.Rows, row)
		if len(tr.Failing) > 0 && len(tr.Picks) > 0 {
			why = append(why, upper(p.names(tr.Picks))+": fails "+strings.Join(tr.Failing, ", ")+".")
		}
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	more, in := "", ""
	if p.Currency != "" {
		in = " in " + p.Currency
	}
	if p.Hidden > 0 {
		more = fmt.Sprintf(" %d more trade something for something, farther from GO.", p.Hidden)
	}
	s.Blocks = append(s.Blocks, Block{Table: t}, para("Cost%s, mass, launch odds, top speed in %s, time at cruise in %s. ± is two standard deviations. No choice looked at beats one of these in money, mass, odds, speed and time together.%s", in, speed, minutes, more))
	if len(why) > 0 {
		s.Blocks = append(s.Blocks, Block{List: why})
	}
	var ruled []string
	for i := range p.Trades {
		if tr := &p.Trades[i]; tr.Why != "" && len(tr.Picks) == 1 {
			ruled = append(ruled, upper(p.names(tr.Picks))+" cannot be put in: "+tr.Why+".")
		}
	}
	if len(ruled) > 0 {
		s.Blocks = append(s.Blocks, Block{List: ruled})
	}
	return s
}

// value is a number without its interval and unit.
func value(q assess.Quantity, d unit.Dim, symbol string) string {
	if q.Status != "" || math.IsNaN(q.Value) {
		return "-"
	}
	return strings.TrimSuffix(unit.FormatIn(q.Value, d, symbol, -1), " "+symbol)
}

// valued is a number with two standard deviations behind it, without its unit.
func valued(q assess.Quantity, d unit.Dim, symbol string) string {
	k := unit.In(1, d, symbol)
	v := value(q, d, symbol)
	if v == "-" || math.IsNaN(q.Low) || math.IsNaN(q.High) {
		return v
	}
	digits := 0
	if _, after, ok := strings.Cut(v, "."); ok {
		digits = len(after)
	}
	return v + giveSpan([2]float64{q.Low, q.High}, k, digits)
}

// best are the propellers that lead for each purpose, among those that pass
// no limit if there are any.
func (p *Chosen) best() (speed, time, odds int) {
	pick := func(of func(*Blade) float64) int {
		best := -1
		for pass := range 2 {
			for i := range p.Blades {
				b := &p.Blades[i]
				if b.Why != "" || pass == 0 && len(b.Over) > 0 || math.IsNaN(of(b)) {
					continue
				}
				if best < 0 || of(b) > of(&p.Blades[best]) {
					best = i
				}
			}
			if best >= 0 {
				break
			}
		}
		return best
	}
	val := func(q assess.Quantity) float64 {
		if q.Status != "" {
			return math.NaN()
		}
		return q.Value
	}
	return pick(func(b *Blade) float64 { return val(b.TopSpeed) }), pick(func(b *Blade) float64 { return val(b.Endurance) }), pick(func(b *Blade) float64 { return val(b.Odds) })
}

func (p *Chosen) blades() Section {
	if len(p.Blades) == 0 {
		return Section{}
	}
	s := Section{Title: "Propellers"}
	speed, minutes := unit.PeopleUnit(30, unit.Speed, p.Units), unit.PeopleUnit(300, unit.Time, p.Units)
	v, e, o := p.best()
	t := &Table{Head: []string{"propeller", "top, " + speed, "time, " + minutes, "odds", "A", "best for"}, Wrap: 0, Right: rights(6, 0, 5), Least: 12}
	for i := range p.Blades {
		b := &p.Blades[i]
		if b.Why != "" {
			t.Rows = append(t.Rows, []string{b.Name, "-", "-", "-", "-", b.Why})
			continue
		}
		var lead []string
		if i == v {
			lead = append(lead, "speed")
		}
		if i == e {
			lead = append(lead, "time")
		}
		if i == o {
			lead = append(lead, "launch")
		}
		for _, l := range b.Over {
			lead = append(lead, "over: "+l)
		}
		odds := "-"
		if b.Odds.Status == "" {
			odds = fmt.Sprintf("%.2f", b.Odds.Value)
		}
		t.Rows = append(t.Rows, []string{b.Name, valued(b.TopSpeed, unit.Speed, speed), valued(b.Endurance, unit.Time, minutes), odds, valued(b.Current, unit.Current, "A"), strings.Join(lead, ", ")})
	}
	s.Blocks = append(s.Blocks, Block{Table: t}, para("Each on this motor and pack; A is the most it draws; ± is two standard deviations. A lead smaller than the interval beside it is none: try both against the stop watch."))
	return s
}

func (p *Chosen) carried() Section {
	if len(p.Carried) == 0 {
		return Section{Title: "What carrying it costs", Blocks: []Block{para("No part says which set it belongs to (parts.<name>.equipment).")}}
	}
	s := Section{Title: "What carrying it costs"}
	for _, c := range p.Carried {
		s.Blocks = append(s.Blocks, Block{List: []string{p.carriedSay(c)}})
	}
	s.Blocks = append(s.Blocks, para("The same aeroplane without it, on the same launches; its own current is not in these times."))
	return s
}

func (p *Chosen) carriedSay(c Carried) string {
	var parts []string
	mass := unit.Format(c.Mass, unit.Mass, p.Units)
	if s := c.Effect.MassSpan; s[1] > s[0] {
		mass += " ± " + unit.Format((s[1]-s[0])/half90, unit.Mass, p.Units)
	}
	parts = append(parts, mass)
	if e := c.Effect; !math.IsNaN(e.Odds) {
		parts = append(parts, fmt.Sprintf("%.3f ± %.3f of launch odds", -e.Odds+0, 2*e.OddsSE))
	}
	if v := -c.Effect.Speed; !math.IsNaN(v) {
		parts = append(parts, speedWords(v, c.Effect.SpeedSpan, p.Units))
	}
	if v := -c.Effect.Time; !math.IsNaN(v) {
		parts = append(parts, lossOf(v, "%.0f%s s", 0.5, giveSpan(c.Effect.TimeSpan, 1, 0))+" of flight")
	}
	say := fmt.Sprintf("The %s set (%s) costs %s", c.Set, strings.Join(c.Parts, ", "), strings.Join(parts, ", "))
	switch {
	case c.Moved != "" && math.Abs(c.Balance) < 1e-3:
		say += "; without it " + c.Moved + " holds the balance"
	case math.Abs(c.Balance) >= 1e-3:
		say += fmt.Sprintf("; without it the balance point moves %.0f%s mm %s", math.Abs(c.Balance)*1e3, giveSpan(c.Effect.BalanceSpan, 1e3, 0), aftFore(c.Balance))
		if c.Moved != "" {
			say += ", even with " + c.Moved
		}
	}
	return say + "."
}

func aftFore(x float64) string {
	if x > 0 {
		return "aft"
	}
	return "forward"
}

// speedWords is a small loss of speed in the unit people use for it, with its
// doubt.
func speedWords(v float64, span [2]float64, sys unit.System) string {
	if sys == unit.Imperial {
		return lossOf(v/0.44704, "%.1f%s mph", 0.05, giveSpan(span, 1/0.44704, 1))
	}
	return lossOf(v*3.6, "%.1f%s km/h", 0.05, giveSpan(span, 3.6, 1))
}

// lossOf prints a loss with its doubt, "less than" what shows when it is
// nothing, and a gain as such.
func lossOf(v float64, format string, least float64, doubt string) string {
	switch {
	case math.Abs(v) < least && doubt == "":
		return "less than " + fmt.Sprintf(format, 2*least, "")
	case v < 0:
		return "(gains) " + fmt.Sprintf(format, -v, doubt)
	}
	return fmt.Sprintf(format, v, doubt)
}

// PartsChart is money against launch odds of all choices, the trade-off list marked.
func PartsChart(p Chosen) *chart.Chart {
	c := &chart.Chart{Title: "What the choices cost and bring", X: chart.Axis{Label: "cost, " + p.Currency}, Y: chart.Axis{Label: "launch odds", Min: 0, Max: 1}}
	if p.Currency == "" {
		c.X.Label = "cost"
	}
	odds := false
	for i := range p.Trades {
		odds = odds || !math.IsNaN(p.Trades[i].Odds)
	}
	of := func(t *seek.Trade) float64 { return t.Odds }
	if !odds {
		c.Y = chart.Axis{Label: "top speed, m/s"}
		of = func(t *seek.Trade) float64 { return t.TopSpeed }
	}
	var x, y, fx, fy []float64
	for i := range p.Trades {
		if t := &p.Trades[i]; t.Why == "" && !math.IsNaN(of(t)) {
			x, y = append(x, t.Cost), append(y, of(t))
		}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	right := 0.0
	for i := range y {
		lo, hi, right = math.Min(lo, y[i]), math.Max(hi, y[i]), math.Max(right, x[i])
	}
	if room := math.Max(0.02, 0.15*(hi-lo)); hi >= lo {
		c.Y.Min, c.Y.Max = lo-room, hi+room
		if odds {
			c.Y.Min, c.Y.Max = math.Max(0, c.Y.Min), math.Min(1, c.Y.Max)
		}
	}
	// Letters of the table; those that fall together share a note.
	type spot struct {
		x, y  float64
		names []string
	}
	var spots []spot
	for n, i := range p.Front {
		t := &p.Trades[i]
		if math.IsNaN(of(t)) {
			continue
		}
		fx, fy = append(fx, t.Cost), append(fy, of(t))
		near := false
		for k := range spots {
			if s := &spots[k]; math.Abs(s.x-t.Cost) <= 0.04*right && math.Abs(s.y-of(t)) <= 0.05*(c.Y.Max-c.Y.Min) {
				s.names, near = append(s.names, letter(n)), true
				break
			}
		}
		if !near {
			spots = append(spots, spot{t.Cost, of(t), []string{letter(n)}})
		}
	}
	for _, s := range spots {
		c.Notes = append(c.Notes, chart.Note{X: s.x, Y: s.y, Text: strings.Join(s.names, " ")})
	}
	c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: x, Y: y, Ink: 4}, chart.Series{Kind: chart.Dots, X: fx, Y: fy, Ink: 0})
	c.Caption = "Letters: the choices that no other beats, as in the table. All others are unnamed."
	return c
}

// OfferJSON is one part on offer.
type OfferJSON struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
	For  string `json:"takes_the_place_of"`
	Own  bool   `json:"own"`
	Cost Float  `json:"cost"`
}

// ChoiceJSON is one choice among parts, checked in full.
type ChoiceJSON struct {
	Parts     []string `json:"put_in"`
	Cost      Float    `json:"cost"`
	Verdict   string   `json:"verdict"`
	Because   string   `json:"because"`
	Mass      Quantity `json:"mass"`
	Odds      Quantity `json:"odds"`
	TopSpeed  Quantity `json:"top_speed"`
	Endurance Quantity `json:"endurance"`
	Failing   []string `json:"failing"`
	Doubtful  []string `json:"doubtful"`
	Set       []string `json:"set"`
	LeaveOut  []string `json:"leave_out"`
}

// BladeJSON is a propeller tried.
type BladeJSON struct {
	Name      string   `json:"name"`
	Own       bool     `json:"own"`
	Cost      Float    `json:"cost"`
	TopSpeed  Quantity `json:"top_speed"`
	Endurance Quantity `json:"endurance"`
	Odds      Quantity `json:"odds"`
	Thrust    Quantity `json:"static_thrust"`
	Current   Quantity `json:"current_max"`
	Over      []string `json:"over_limits"`
	Status    string   `json:"status"`
}

// CarriedJSON is what carrying a set of equipment costs.
type CarriedJSON struct {
	Set       string   `json:"equipment"`
	Parts     []string `json:"parts"`
	Mass      Float    `json:"mass_kg"`
	Odds      Quantity `json:"odds_change"`
	TopSpeed  Quantity `json:"top_speed_change"`
	Endurance Quantity `json:"endurance_change"`
	Balance   Float    `json:"balance_shift_m"`
	Say       string   `json:"say"`
	Interval  Spans    `json:"interval,omitempty"`
}

// PartsJSON is the body of `compare --parts`.
type PartsJSON struct {
	Head
	Verdict    string        `json:"verdict"`
	Currency   string        `json:"currency"`
	Because    string        `json:"because"`
	Offers     []OfferJSON   `json:"offers"`
	Looked     int           `json:"choices_looked_at"`
	Left       int           `json:"choices_left"`
	Cheapest   *ChoiceJSON   `json:"cheapest_go"`
	Nearest    *ChoiceJSON   `json:"nearest"`
	Front      []ChoiceJSON  `json:"trade_offs"`
	Propellers []BladeJSON   `json:"propellers"`
	Best       *LeadersJSON  `json:"best_propeller"`
	Carried    []CarriedJSON `json:"carrying"`
	Cautions   []string      `json:"cautions"`
}

// LeadersJSON names the best propeller for each purpose.
type LeadersJSON struct {
	Speed  string `json:"speed"`
	Time   string `json:"time"`
	Launch string `json:"launch"`
}

func (p *Chosen) choice(i int) *ChoiceJSON {
	f, ok := p.Finals[i]
	if !ok || f.Checked == nil {
		return nil
	}
	t, r := &p.Trades[i], f.Checked.Results
	j := &ChoiceJSON{Parts: []string{}, Cost: Float(t.Cost), Verdict: string(f.Checked.Verdict.Word), Because: f.Checked.Verdict.Because, Mass: Q(r.Get(assess.Mass)), TopSpeed: Q(r.Get(assess.TopSpeed)), Endurance: Q(r.Get(assess.EnduranceTime)),
		Odds: absent("1", "no launch is described"), Failing: strs(t.Failing), Doubtful: []string{}, Set: strs(f.Set), LeaveOut: strs(f.Leave)}
	for _, k := range t.Picks {
		j.Parts = append(j.Parts, p.Offers[k].Name)
	}
	if r.Launch.Asked {
		j.Odds = Q(r.Launch.Odds)
	}
	for k := range f.Checked.Verdict.Findings {
		if g := &f.Checked.Verdict.Findings[k]; g.Status == verdict.Doubtful || g.Status == verdict.Unknown {
			j.Doubtful = append(j.Doubtful, g.ID)
		}
	}
	return j
}

// PartsBody is the JSON of choosing parts.
func PartsBody(p Chosen) PartsJSON {
	s := Subject{Results: p.Now.Results, Verdict: p.Now.Verdict, Units: p.Units}
	out := PartsJSON{Head: s.head(), Verdict: string(p.Now.Verdict.Word), Currency: p.Currency, Because: p.answer(), Offers: []OfferJSON{}, Looked: len(p.Trades), Left: p.Left,
		Front: []ChoiceJSON{}, Propellers: []BladeJSON{}, Carried: []CarriedJSON{}, Cautions: careful("propeller", "lithium", "law")}
	for _, o := range p.Offers {
		out.Offers = append(out.Offers, OfferJSON{o.Name, o.Kind, o.For, o.Own, Float(o.Cost)})
	}
	if p.Cheapest >= 0 {
		out.Cheapest = p.choice(p.Cheapest)
	} else if p.Nearest >= 0 {
		out.Nearest = p.choice(p.Nearest)
	}
	for _, i := range p.Front {
		if c := p.choice(i); c != nil {
			out.Front = append(out.Front, *c)
		}
	}
	for i := range p.Blades {
		b := &p.Blades[i]
		status := "ok"
		if b.Why != "" {
			status = b.Why
		}
		out.Propellers = append(out.Propellers, BladeJSON{b.Name, b.Own, Float(b.Cost), Q(b.TopSpeed), Q(b.Endurance), Q(b.Odds), Q(b.Thrust), Q(b.Current), strs(b.Over), status})
	}
	if len(p.Blades) > 0 {
		name := func(i int) string {
			if i < 0 {
				return ""
			}
			return p.Blades[i].Name
		}
		v, e, o := p.best()
		out.Best = &LeadersJSON{name(v), name(e), name(o)}
	}
	for _, c := range p.Carried {
		e := c.Effect
		diff := func(v, se float64, u string) Quantity {
			if math.IsNaN(v) {
				return absent(u, "there is none")
			}
			return Q(assess.Quantity{Value: v, Low: v - 1.645*se, High: v + 1.645*se, Unit: u})
		}
		out.Carried = append(out.Carried, CarriedJSON{c.Set, c.Parts, Float(c.Mass), diff(e.Odds, e.OddsSE, "1"), drawnQ(e.Speed, e.SpeedSpan, "m/s"), drawnQ(e.Time, e.TimeSpan, "s"), Float(c.Balance), p.carriedSay(c), spanIn("mass_kg", e.MassSpan).and(spanIn("balance_shift_m", e.BalanceSpan))})
	}
	return out
}
