package report

import (
	"fmt"
	"maps"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/unit"
)

// Gram is what a little mass at one place changes.
type Gram struct {
	Say    string
	At     r3.Vec
	Mass   float64
	Margin float64 // of the static margin
	Effect Effect  // its BalanceSpan gives Margin's
}

// marginSpan is the 90 % interval of the change of static margin.
func (g *Gram) marginSpan(chord float64) [2]float64 {
	s := g.Effect.BalanceSpan
	return [2]float64{-s[1] / chord, -s[0] / chord}
}

// Patched is what repairs and tape on the aeroplane cost.
type Patched struct {
	Parts          []string
	Mass, DragArea float64
	Balance        float64 // shift of the balance point by them, m aft
	Effect         Effect
}

// whyBand gives the reason for the band of the balance point.
func (b *Balanced) whyBand() string {
	ac := b.Results.Aircraft
	why := map[string]string{}
	own := map[string]bool{}
	for _, l := range craft.DefaultLimits() {
		why[l.Key] = l.Why
		switch l.Key {
		case "static_margin_min":
			own[l.Key] = ac.Limits.StaticMarginMin != l.Value
		case "static_margin_max":
			own[l.Key] = ac.Limits.StaticMarginMax != l.Value
		}
	}
	say := func(key string) string {
		if own[key] {
			return "the build's own limit"
		}
		return why[key]
	}
	return fmt.Sprintf("The band: at least %s, %s; at most %s, %s. The fore end also asks the pitch control to hold the nose up at the approach (fledge setup).",
		b.fmt(ac.Limits.StaticMarginMin, unit.Ratio), say("static_margin_min"), b.fmt(ac.Limits.StaticMarginMax, unit.Ratio), say("static_margin_max"))
}

func total(list []fit.Share) float64 {
	m := 0.0
	for _, s := range list {
		m += s.Mass
	}
	return m
}

func (b *Balanced) shares(list []fit.Share) string {
	var s []string
	_, _, own := assess.BallastPlaces(b.Results.Aircraft)
	for _, k := range list {
		where := " at the " + k.Spot.Name
		if own {
			where = ", " + k.Spot.Name
		}
		s = append(s, fmt.Sprintf("%s%s (x = %s)", b.fmt(k.Mass, unit.Mass), where, b.fmt(k.Spot.X, unit.Length)))
	}
	return strings.Join(s, " and ")
}

func (b *Balanced) ballastBlocks() []Block {
	var out []Block
	list, own, why := b.Results.Ballast(false)
	hint := ""
	if !own {
		hint = " Say where ballast may go, and how much, under ballast:."
	}
	switch {
	case why != "" && len(list) > 0:
		out = append(out, para("Ballast: %s (%s).%s", why, b.shares(list), hint))
	case why != "":
		out = append(out, para("Ballast: %s.%s", why, hint))
	case len(list) > 0:
		say := "Or the least ballast that does it: " + b.shares(list)
		if sure, _, w := b.Results.Ballast(true); w == "" && total(sure) > total(list)*1.02 {
			say += fmt.Sprintf("; %s to have the whole interval in", b.fmt(total(sure), unit.Mass))
		}
		out = append(out, para("%s.%s", say, hint))
	}
	out = append(out, b.lateral()...)
	return out
}

// lateral is the balance from side to side, by the parts and by the scales.
func (b *Balanced) lateral() []Block {
	ac := b.Results.Aircraft
	y, sd := ac.Mass.CG.Y, b.Doubt.CG.Y
	from := "by the parts list"
	if b.Scales != nil && b.Scales.HasY && b.Scales.Why == "" {
		y, sd, from = b.Scales.CG.Y, b.Scales.Sigma.Y, "on the scales"
	}
	tip := 0.0
	for _, t := range ac.Surfaces[ac.Ref.Wing].Stations {
		tip = math.Max(tip, t.LE.Y)
	}
	if math.Abs(y) < 0.05e-3 || tip == 0 {
		if sd > 0 {
			from = fmt.Sprintf("%s, ± %s", from, b.fmt(2*sd, unit.Length))
		}
		return []Block{para("Side to side it balances in the middle %s; hang it by nose and tail to be sure: two halves of a wing seldom weigh the same.", from)}
	}
	side, heavy := "left", "right"
	if y < 0 {
		side, heavy = "right", "left"
	}
	limit := fit.MostSide * ac.Ref.Span / 2
	word := "well within"
	if math.Abs(y) > limit {
		word = "beyond"
	}
	cure := fit.Lateral(ac.Mass.Total, y, tip)
	return []Block{para("Side to side it is %s heavy by %s ± %s %s, %s the %s allowed (1 %% of the half span, our choice): %s ± %s at the %s tip cures it.",
		heavy, b.fmt(math.Abs(y), unit.Length), b.fmt(2*sd, unit.Length), from, word, b.fmt(limit, unit.Length), b.fmt(cure, unit.Mass), b.fmt(2*cureSigma(cure, y, sd), unit.Mass), side)}
}

// cureSigma is one standard deviation of the mass at a tip that cures a balance
// point off by y ± sd: it grows with it in proportion.
func cureSigma(cure, y, sd float64) float64 { return math.Abs(cure * sd / y) }

func (b *Balanced) gramsSection() Section {
	s := Section{Title: "What each gram costs, and where"}
	if len(b.Grams) == 0 {
		return s
	}
	t := &Table{Head: []string{b.fmt(b.Grams[0].Mass, unit.Mass) + " more", "x, " + b.small(), "static margin", "launch odds", "top speed"}, Wrap: 0, Right: rights(5, 0)}
	for _, g := range b.Grams {
		odds, speed := "-", "-"
		if e := g.Effect; !math.IsNaN(e.Odds) {
			odds = fmt.Sprintf("%+.3f ± %.3f", e.Odds, 2*e.OddsSE)
		}
		if v := g.Effect.Speed; !math.IsNaN(v) {
			speed = signedSpeed(v, g.Effect.SpeedSpan, b.Units)
		}
		t.Rows = append(t.Rows, []string{g.Say, b.millis(g.At.X), fmt.Sprintf("%+.1f%s %%", 100*g.Margin, giveSpan(g.marginSpan(b.Results.Aircraft.Ref.Chord), 100, 1)), odds, speed})
	}
	s.Blocks = []Block{{Table: t}, para("Each on the same %d launches as without it; ± of odds is two standard errors of the pairing, of speed two standard deviations of all that is not known. Without ± it is known to its last figure. A change smaller than its ± is none.", b.Grams[0].Effect.N)}
	return s
}

// signedSpeed is a change of speed with its doubt in the unit people use for
// small ones.
func signedSpeed(v float64, span [2]float64, sys unit.System) string {
	k, symbol := 3.6, "km/h"
	if sys == unit.Imperial {
		k, symbol = 1/0.44704, "mph"
	}
	return fmt.Sprintf("%+.2f%s %s", math.Round(100*k*v)/100+0, giveSpan(span, k, 2), symbol)
}

func (b *Balanced) patchedSection() Section {
	s := Section{Title: "Repairs and tape"}
	p := b.Patched
	if p == nil {
		return s
	}
	say := fmt.Sprintf("%s: %.1f%s g", upper(strings.Join(p.Parts, ", ")), 1e3*p.Mass, giveSpan(p.Effect.MassSpan, 1e3, 1))
	if p.DragArea > 0 {
		say += fmt.Sprintf(" and %.1f cm2 of drag area", p.DragArea*1e4)
	}
	say += fmt.Sprintf("; the balance point moved %.1f%s mm %s", math.Abs(p.Balance)*1e3, giveSpan(p.Effect.BalanceSpan, 1e3, 1), aftFore(p.Balance))
	if v := p.Effect.Speed; !math.IsNaN(v) {
		say += ", top speed " + signedSpeed(v, p.Effect.SpeedSpan, b.Units)
	}
	if e := p.Effect; !math.IsNaN(e.Odds) {
		say += fmt.Sprintf(", launch odds %+.3f ± %.3f", e.Odds, 2*e.OddsSE)
	}
	s.Blocks = []Block{para("%s.", say)}
	return s
}

// supports3 is where to put three scales: two under the wing, side by side, and
// one aft; with what they should show.
func (b *Balanced) supports3() (at []r3.Vec, show []float64) {
	ac := b.Results.Aircraft
	two, _ := b.supports()
	half := math.Round(0.15*ac.Ref.Span*200) / 200
	aft := ac.Mass.Total * (ac.Mass.CG.X - two[0]) / (two[1] - two[0])
	front := ac.Mass.Total - aft
	right := (front + ac.Mass.Total*ac.Mass.CG.Y/half) / 2
	return []r3.Vec{{X: two[0], Y: -half}, {X: two[0], Y: half}, {X: two[1]}}, []float64{front - right, right, aft}
}

func (b *Balanced) weighing() Section {
	at, kg := b.supports()
	t := &Table{Head: []string{"scale under", "should show", "shows"}, Wrap: -1, Right: []bool{false, true, true}}
	for i := range at {
		t.Rows = append(t.Rows, []string{"x = " + b.fmt(at[i], unit.Length), b.fmt(kg[i], unit.Mass) + " ± " + b.fmt(b.scaleDoubt(at)[i]/half90*2, unit.Mass), "________"})
	}
	three := &Table{Head: []string{"or on three", "should show", "shows"}, Wrap: -1, Right: []bool{false, true, true}}
	at3, kg3 := b.supports3()
	half3 := b.scaleDoubt3(at3)
	for i := range at3 {
		where := "x = " + b.fmt(at3[i].X, unit.Length)
		switch {
		case at3[i].Y < 0:
			where += ", left, y = " + b.fmt(at3[i].Y, unit.Length)
		case at3[i].Y > 0:
			where += ", right, y = " + b.fmt(at3[i].Y, unit.Length)
		}
		three.Rows = append(three.Rows, []string{where, b.fmt(kg3[i], unit.Mass) + " ± " + b.fmt(half3[i]/half90*2, unit.Mass), "________"})
	}
	return Section{Title: "Weighing sheet", Blocks: []Block{
		para("Level on two scales, battery in, propeller off its shaft or blocked. If the parts list is right they show:"),
		{Table: t}, {Table: three},
		para("Balance point = (each reading x its place, added) / all readings. One degree off level shifts it by 1.7 %% of its height over the supports' line. Write the readings under weighing: and Fledge compares them, with their doubt."),
	}}
}

// scalesSection is what the scales showed against the parts list.
func (b *Balanced) scalesSection() Section {
	c := b.Scales
	s := Section{Title: "Weighed against the parts list"}
	if c == nil {
		return s
	}
	if c.Why != "" {
		s.Blocks = []Block{para("The weighing tells nothing: %s.", c.Why)}
		return s
	}
	pm := func(v, sd float64, d unit.Dim) string {
		return unit.FormatInterval(v, v-1.645*sd, v+1.645*sd, d, b.Units)
	}
	t := &Table{Head: []string{"", "scales", "parts list"}, Wrap: -1, Right: []bool{false, true, true}, Rows: [][]string{
		{"mass", pm(c.Mass, c.MassSigma, unit.Mass), pm(c.Listed, c.ListedSigma, unit.Mass)},
		{"balance point x", pm(c.CG.X, c.Sigma.X, unit.Length), pm(c.ListedX, c.ListedXSigma, unit.Length)},
	}}
	if c.HasY {
		t.Rows = append(t.Rows, []string{"balance point y", pm(c.CG.Y, c.Sigma.Y, unit.Length), pm(c.ListedY, c.ListedYSigma, unit.Length)})
	}
	if !math.IsNaN(c.Height) {
		t.Rows = append(t.Rows, []string{"its height z", pm(c.Height, c.HeightSigma, unit.Length), pm(b.Results.Aircraft.Mass.CG.Z, b.Doubt.CG.Z, unit.Length)})
	}
	s.Blocks = []Block{{Table: t}}
	if len(c.Without) > 0 {
		s.Blocks = append(s.Blocks, para("Weighed without %s; with it put back by the list: %s, balance point at %s.", strings.Join(c.Without, ", "), pm(c.FlightMass, c.FlightMassSigma, unit.Mass), pm(c.FlightX, c.FlightXSigma, unit.Length)))
	}
	switch {
	case c.Wrong:
		s.Blocks = append(s.Blocks, para("They disagree by %.0f %% ± %.0f: one of the two is wrong. A part may be missing from the list, listed twice or in the wrong unit, or the aeroplane touched something beside the scales. Find it before you trust any number here.", 100*c.Share, 200*c.ShareSigma))
	case !math.IsNaN(c.MissingAt):
		word := "lacks"
		if c.Missing < 0 {
			word = "has too much:"
		}
		lo, hi := assess.Ends(b.Results.Aircraft)
		where := fmt.Sprintf("; as one thing it would sit at x = %s", pm(c.MissingAt, c.MissingAtSigma, unit.Length))
		if c.MissingAt < lo || c.MissingAt > hi {
			where = "; no single thing inside the aeroplane explains the balance: look for two, or for a place read wrong"
		}
		s.Blocks = append(s.Blocks, para("The list %s %s%s (glue, paint, screws, wire?).", word, pm(math.Abs(c.Missing), c.MissingSigma, unit.Mass), where))
	default:
		s.Blocks = append(s.Blocks, para("They agree within their doubt."))
	}
	if ac := b.Results.Aircraft; len(ac.Weighing.Tilted) > 0 && c.HeightWhy != "" {
		s.Blocks = append(s.Blocks, para("The height cannot be told: %s.", c.HeightWhy))
	}
	return s
}

// swingSection is the swing tests, or what one would show.
func (b *Balanced) swingSection() Section {
	ac := b.Results.Aircraft
	s := Section{Title: "Swing test"}
	if len(b.Swings) == 0 {
		const line, half = 1.5, 0.15
		t := fit.Period(ac.Mass.Inertia[2][2], ac.Mass.Total, line, half)
		s.Blocks = []Block{para("Not done. Level on two parallel lines of %s, %s apart and either side of the balance point, turn it by 10 degrees and let go: if the parts list is right 20 swings about the upright axis take %.1f s. Write length, spacing, swings and time under weighing.swings; the inertia is then known to about 2 %%.",
			b.fmt(line, unit.Length), b.fmt(2*half, unit.Length), 20*t)}
		return s
	}
	t := &Table{Head: []string{"about", "lines", "measured", "computed", "apart"}, Wrap: -1, Right: rights(5, 0)}
	off := false
	for _, w := range b.Swings {
		t.Rows = append(t.Rows, []string{w.About, fmt.Sprint(w.Lines), inertia(w.Inertia, w.Sigma), inertia(w.Computed, w.Sigma2), fmt.Sprintf("%+.0f ± %.0f %%", 100*w.Apart, 200*apartSigma(&w))})
		off = off || !w.Agrees
	}
	s.Blocks = []Block{{Table: t}}
	if off {
		s.Blocks = append(s.Blocks, para("Where they part by more than their doubt (a parts list of boxes is good to about a tenth): look at the sizes of the shells first, they carry most of it; then at the spacing of the lines, which counts twice."))
	} else {
		s.Blocks = append(s.Blocks, para("They agree, as far as a parts list of boxes can (about a tenth)."))
	}
	return s
}

// apartSigma is one standard deviation of measured over computed.
func apartSigma(w *fit.SwingCheck) float64 {
	return (1 + w.Apart) * math.Hypot(w.Sigma/w.Inertia, w.Sigma2/w.Computed)
}

// BalanceMore is the rest of the balance body.
type BalanceMore struct {
	CGSide     Quantity      `json:"cg_y"`
	CGHeight   Quantity      `json:"cg_z"`
	Roll       Quantity      `json:"inertia_roll"`
	Pitch      Quantity      `json:"inertia_pitch"`
	Yaw        Quantity      `json:"inertia_yaw"`
	WhyBand    string        `json:"band_because"`
	Weighing3  []SupportJSON `json:"weighing_three"`
	Scales     *ScalesJSON   `json:"scales"`
	Swings     []SwingJSON   `json:"swings"`
	Grams      []GramJSON    `json:"grams"`
	Patched    *PatchedJSON  `json:"repairs"`
	TipBallast Float         `json:"tip_ballast_kg"`
	TipSpan    Spans         `json:"interval,omitempty"`
}

// BallastJSON is the least ballast.
type BallastJSON struct {
	Place  string      `json:"place"`
	X      Float       `json:"x_m"`
	Mass   Float       `json:"mass_kg"`
	Needed Quantity    `json:"needed"`
	Shares []ShareMass `json:"places"`
	Status string      `json:"status"`
}

// ShareMass is ballast at one place.
type ShareMass struct {
	Place string `json:"place"`
	X     Float  `json:"x_m"`
	Mass  Float  `json:"mass_kg"`
}

// SupportJSON is one scale of the weighing sheet.
type SupportJSON struct {
	X    Float `json:"x_m"`
	Y    Float `json:"y_m"`
	Show Float `json:"expected_kg"`
	Low  Float `json:"expected_low_kg"`
	High Float `json:"expected_high_kg"`
}

// ScalesJSON is the weighing against the parts list.
type ScalesJSON struct {
	Mass       Quantity `json:"mass"`
	X          Quantity `json:"cg_x"`
	Y          Quantity `json:"cg_y"`
	Z          Quantity `json:"cg_z"`
	ListedMass Quantity `json:"listed_mass"`
	ListedX    Quantity `json:"listed_cg_x"`
	Share      Float    `json:"disagreement"`
	Wrong      bool     `json:"one_is_wrong"`
	Missing    Float    `json:"missing_kg"`
	MissingAt  Float    `json:"missing_x_m"`
	Without    []string `json:"without"`
	FlightMass Float    `json:"flight_mass_kg"`
	FlightX    Float    `json:"flight_cg_x_m"`
	Status     string   `json:"status"`
	Interval   Spans    `json:"interval,omitempty"`
}

// SwingJSON is one swing test.
type SwingJSON struct {
	About    string   `json:"about"`
	Lines    int      `json:"lines"`
	Measured Quantity `json:"measured"`
	Computed Quantity `json:"computed"`
	Apart    Float    `json:"apart"`
	Agrees   bool     `json:"agrees"`
	Interval Spans    `json:"interval,omitempty"`
}

// GramJSON is what a little mass at one place changes.
type GramJSON struct {
	Where    string   `json:"where"`
	At       [3]Float `json:"at_m"`
	Mass     Float    `json:"mass_kg"`
	Margin   Float    `json:"static_margin_change"`
	Odds     Quantity `json:"odds_change"`
	TopSpeed Quantity `json:"top_speed_change"`
	Interval Spans    `json:"interval,omitempty"`
}

// PatchedJSON is what repairs and tape cost.
type PatchedJSON struct {
	Parts    []string `json:"parts"`
	Mass     Float    `json:"mass_kg"`
	DragArea Float    `json:"drag_area_m2"`
	Balance  Float    `json:"balance_shift_m"`
	Odds     Quantity `json:"odds_change"`
	TopSpeed Quantity `json:"top_speed_change"`
	Interval Spans    `json:"interval,omitempty"`
}

// and puts spans together.
func (s Spans) and(more Spans) Spans {
	if len(s)+len(more) == 0 {
		return nil
	}
	out := Spans{}
	maps.Copy(out, s)
	maps.Copy(out, more)
	return out
}

// spanIn is an interval by its key; none where it is not known or nil.
func spanIn(key string, s [2]float64) Spans { return spanOf(key, s[0], s[1]) }

// sigmaSpan is the 90 % interval of a number with a standard deviation, by its
// key.
func sigmaSpan(key string, v, sd float64) Spans { return spanOf(key, v-half90*sd, v+half90*sd) }

func around(v, sd float64, u string) Quantity {
	return Q(assess.Quantity{Value: v, Low: v - 1.645*sd, High: v + 1.645*sd, Unit: u})
}

func change(v, se float64, u string) Quantity {
	if math.IsNaN(v) {
		return absent(u, "there is none")
	}
	return around(v, se, u)
}

// more fills ballast, weighing and what follows.
func (b *Balanced) more(out *BalanceJSON) {
	ac := b.Results.Aircraft
	d := &b.Doubt
	in := ac.Mass.Inertia
	out.CGSide, out.CGHeight = around(ac.Mass.CG.Y, d.CG.Y, "m"), around(ac.Mass.CG.Z, d.CG.Z, "m")
	out.Roll, out.Pitch, out.Yaw = around(in[0][0], d.Inertia[0], "kg m2"), around(in[1][1], d.Inertia[1], "kg m2"), around(in[2][2], d.Inertia[2], "kg m2")
	out.WhyBand = b.whyBand()
	if list, _, why := b.Results.Ballast(false); len(list) > 0 {
		j := &BallastJSON{Place: list[0].Spot.Name, X: Float(list[0].Spot.X), Mass: Float(list[0].Mass), Shares: []ShareMass{}, Status: "ok"}
		if why != "" {
			j.Status = why
		}
		for _, k := range list {
			j.Shares = append(j.Shares, ShareMass{k.Spot.Name, Float(k.Spot.X), Float(k.Mass)})
		}
		q := assess.Quantity{Value: total(list), Low: total(list), High: total(list), Unit: "kg"}
		if sure, _, w := b.Results.Ballast(true); w == "" {
			q.High = math.Max(q.High, total(sure))
			q.Low = math.Max(0, 2*q.Value-q.High)
		} else {
			q.High = math.NaN()
		}
		j.Needed = Q(q)
		out.Ballast = j
	}
	at, kg := b.supports()
	out.Weighing = []SupportJSON{}
	for i := range at {
		half := b.scaleDoubt(at)[i]
		out.Weighing = append(out.Weighing, SupportJSON{Float(at[i]), 0, Float(kg[i]), Float(kg[i] - half), Float(kg[i] + half)})
	}
	at3, kg3 := b.supports3()
	half3 := b.scaleDoubt3(at3)
	for i := range at3 {
		out.Weighing3 = append(out.Weighing3, SupportJSON{Float(at3[i].X), Float(at3[i].Y), Float(kg3[i]), Float(kg3[i] - half3[i]), Float(kg3[i] + half3[i])})
	}
	if c := b.Scales; c != nil {
		j := &ScalesJSON{Status: "ok", Without: strs(c.Without), Share: Float(c.Share), Wrong: c.Wrong, Missing: Float(c.Missing), MissingAt: Float(c.MissingAt), FlightMass: Float(c.FlightMass), FlightX: Float(c.FlightX)}
		j.Mass, j.X, j.Y, j.Z = around(c.Mass, c.MassSigma, "kg"), around(c.CG.X, c.Sigma.X, "m"), absent("m", "the scales stood in one line"), absent("m", c.HeightWhy)
		if c.HasY {
			j.Y = around(c.CG.Y, c.Sigma.Y, "m")
		}
		if !math.IsNaN(c.Height) {
			j.Z = around(c.Height, c.HeightSigma, "m")
		}
		j.ListedMass, j.ListedX = around(c.Listed, c.ListedSigma, "kg"), around(c.ListedX, c.ListedXSigma, "m")
		j.Interval = sigmaSpan("disagreement", c.Share, c.ShareSigma).and(sigmaSpan("missing_kg", c.Missing, c.MissingSigma)).and(sigmaSpan("missing_x_m", c.MissingAt, c.MissingAtSigma)).and(sigmaSpan("flight_mass_kg", c.FlightMass, c.FlightMassSigma)).and(sigmaSpan("flight_cg_x_m", c.FlightX, c.FlightXSigma))
		if c.Why != "" {
			j.Interval = nil
			n := absent("kg", c.Why)
			j.Mass, j.X, j.Status = n, absent("m", c.Why), c.Why
		}
		out.Scales = j
	}
	out.Swings, out.Grams = []SwingJSON{}, []GramJSON{}
	for _, w := range b.Swings {
		out.Swings = append(out.Swings, SwingJSON{w.About, w.Lines, around(w.Inertia, w.Sigma, "kg m2"), around(w.Computed, w.Sigma2, "kg m2"), Float(w.Apart), w.Agrees, sigmaSpan("apart", w.Apart, apartSigma(&w))})
	}
	for _, g := range b.Grams {
		out.Grams = append(out.Grams, GramJSON{g.Say, vec(g.At), Float(g.Mass), Float(g.Margin), change(g.Effect.Odds, g.Effect.OddsSE, "1"), drawnQ(g.Effect.Speed, g.Effect.SpeedSpan, "m/s"), spanIn("static_margin_change", g.marginSpan(ac.Ref.Chord))})
	}
	if p := b.Patched; p != nil {
		out.Patched = &PatchedJSON{p.Parts, Float(p.Mass), Float(p.DragArea), Float(p.Balance), change(p.Effect.Odds, p.Effect.OddsSE, "1"), drawnQ(p.Effect.Speed, p.Effect.SpeedSpan, "m/s"),
			spanIn("mass_kg", p.Effect.MassSpan).and(spanIn("balance_shift_m", p.Effect.BalanceSpan))}
	}
	tip := 0.0
	for _, t := range ac.Surfaces[ac.Ref.Wing].Stations {
		tip = math.Max(tip, t.LE.Y)
	}
	out.TipBallast = Float(math.NaN())
	if tip > 0 {
		cure, y := fit.Lateral(ac.Mass.Total, ac.Mass.CG.Y, tip), ac.Mass.CG.Y
		out.TipBallast = Float(cure)
		if y != 0 {
			out.TipSpan = sigmaSpan("tip_ballast_kg", cure, cureSigma(cure, y, d.CG.Y))
		} else {
			out.TipSpan = sigmaSpan("tip_ballast_kg", cure, ac.Mass.Total*d.CG.Y/tip)
		}
	}
}
