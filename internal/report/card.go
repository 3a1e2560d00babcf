package report

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/seek"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// CardRange is how far one launch setting may stray, all others as set.
type CardRange struct {
	Lever     seek.Lever
	Now       float64
	Low, High float64 // odds of the limit or more; NaN when they are short as it is set
	// FreeLow, FreeHigh: the odds hold to the end of the range looked at.
	FreeLow, FreeHigh bool
}

// CardWind is the launch in one wind.
type CardWind struct {
	Wind, Gust float64 // m/s
	Odds       float64 // as set, counted
	Change     []seek.Setting
	Then       float64 // odds with the change; NaN without one
	Today      bool
}

// CardIn is what a card is made of: a check, the set-up sheet, looks at the
// launch around its settings, and the battery at the end of the flight.
type CardIn struct {
	Checked
	Sheet    *control.Sheet
	Ranges   []CardRange
	Winds    []CardWind
	Looks    int     // launches a look
	LandVolt float64 // per cell, loaded at cruise, reserve left; NaN when not known
	RestVolt float64 // per cell, at rest, reserve left; NaN
	Slides   float64 // depression of the line at which the ring slides off by hand, rad; NaN without a hook
	Screen   string  // unit of speed on the pilot's screen
}

// Pair is a name and what stands beside it; an empty Is is a blank to fill in.
type Pair struct {
	Say string `json:"say"`
	Is  string `json:"is"`
}

// Tick is one thing to check, with the reason it is on this list.
type Tick struct {
	Do  string `json:"do"`
	Why string `json:"why"`
}

// Drawing is what a plan view shows besides the outline, build axes, m; NaN
// where there is nothing.
type Drawing struct {
	Aircraft         *craft.Aircraft
	Balance          float64
	BandLow, BandAft float64
	HookX            float64
	HoldY, HoldEdge  float64 // where fingers hold: y, and the leading edge there
}

// Card is the flight card, ready to be set: all numbers printed, all blanks
// named.
type Card struct {
	Name, Headline, Because string
	ToGo                    []string
	Code                    string
	Made                    string // hash, seed, launches
	Day                     []Pair
	DayMore                 []string
	Balance                 []Pair
	Launch                  *Table
	LaunchSay               []string
	Wind                    *Table
	WindSay                 string
	Speeds                  *Table
	SpeedSay                string
	Land                    []Pair
	Radio                   []Pair
	Home                    []Pair
	Ticks                   []Tick
	Cautions                []string
	Blanks                  []string
	Draw                    Drawing
	Imperial                bool
}

// edgeAt is the leading edge (build x) and chord of a surface at y; ok is false
// outside it.
func edgeAt(s *craft.Surface, y float64) (x, chord float64, ok bool) {
	for i := 1; i < len(s.Stations); i++ {
		a, b := &s.Stations[i-1], &s.Stations[i]
		if y < a.LE.Y || y > b.LE.Y || b.LE.Y <= a.LE.Y {
			continue
		}
		t := (y - a.LE.Y) / (b.LE.Y - a.LE.Y)
		return a.LE.X + t*(b.LE.X-a.LE.X), a.Chord + t*(b.Chord-a.Chord), true
	}
	return math.NaN(), math.NaN(), false
}

// Drawing finds balance, its band and where to hold the wing.
func (c *CardIn) Drawing() Drawing {
	r := c.Results
	ac := r.Aircraft
	nan := math.NaN()
	d := Drawing{Aircraft: ac, Balance: ac.Mass.CG.X, BandLow: nan, BandAft: nan, HookX: nan, HoldY: nan, HoldEdge: nan}
	if np := r.Get(assess.NeutralX); np.Status == "" {
		d.BandLow = np.Value - ac.Limits.StaticMarginMax*ac.Ref.Chord
		d.BandAft = np.Value - ac.Limits.StaticMarginMin*ac.Ref.Chord
		if l := &ac.Limits; l.BalanceMax > l.BalanceMin {
			d.BandLow, d.BandAft = math.Max(d.BandLow, l.BalanceMin), math.Min(d.BandAft, l.BalanceMax)
		}
		if d.BandAft < d.BandLow {
			d.BandLow, d.BandAft = nan, nan
		}
	}
	if ac.Launch.By == "bungee" {
		d.HookX = ac.Launch.Bungee.Hook.X
	}
	wide := 0.0
	for _, b := range ac.Body {
		wide = math.Max(wide, b.Width/2)
	}
	w := &ac.Surfaces[ac.Ref.Wing]
	y := math.Min(wide+0.02, 0.25*ac.Ref.Span)
	if x, _, ok := edgeAt(w, y); ok {
		d.HoldY, d.HoldEdge = y, x
	}
	return d
}

// MakeCard fills the card.
func MakeCard(c CardIn) Card {
	r, v := c.Results, &c.Verdict
	ac := r.Aircraft
	out := Card{Name: ac.Name, Headline: words[v.Word], Because: sentence(v.Because), Draw: c.Drawing(), Imperial: c.Units == unit.Imperial}
	out.Code = c.code().String()
	out.Made = fmt.Sprintf("build %s, seed %d, %d launches", r.Hash, r.Seed, r.Launches)
	if n := len(ac.Taught); n > 0 {
		out.Made += fmt.Sprintf(", %d learned factors", n)
	}
	out.ToGo, _ = c.toGo()
	out.Day, out.DayMore = c.day()
	out.Balance = c.balance(&out.Draw)
	out.Launch, out.LaunchSay = c.launchTable()
	out.Wind, out.WindSay = c.windTable()
	out.Speeds, out.SpeedSay = c.speeds()
	out.Land = c.land()
	out.Radio = c.radio()
	out.Home = c.home()
	out.Ticks = c.ticks()
	out.Cautions = v.Cautions
	out.Blanks = []string{"date, place", "wind, gust as read", "mass weighed", "balance as found", "outcome", "stretch, stick as flown", "volts left per cell", "charge put back", "what to change"}
	out.told(c.Units, r.Slowest)
	return out
}

func (c *CardIn) fmt(v float64, d unit.Dim) string { return unit.Format(v, d, c.Units) }

// toGo is the best remedies of what fails, at most three a finding; told is
// the findings spoken of.
func (c *CardIn) toGo() (out []string, told map[string]bool) {
	told = map[string]bool{}
	for _, f := range c.Verdict.ByWeight() {
		if f.Status != verdict.Fail && !(f.Safety && (f.Status == verdict.Doubtful || f.Status == verdict.Unknown)) {
			continue
		}
		var say []string
		for i, m := range f.Remedies {
			if i == 3 {
				break
			}
			t := m.Say
			switch {
			case m.Verified && len(m.Spoils) > 0:
				t += " (verified, but then it fails in " + strings.Join(m.Spoils, ", ") + ")"
			case m.Verified:
				t += " (verified)"
			}
			say = append(say, t)
		}
		switch {
		case len(say) > 1:
			out = append(out, upper(f.Label)+", any one of: "+strings.Join(say, "; "))
		case len(say) > 0:
			out = append(out, upper(f.Label)+": "+say[0])
		case f.Release != "":
			out = append(out, upper(f.Label)+": "+f.Release)
		default:
			continue
		}
		told[f.ID] = true
	}
	return out, told
}

func (c *CardIn) day() ([]Pair, []string) {
	d := &c.Results.Aircraft.Day
	cross := c.fmt(math.Abs(d.Wind*math.Sin(d.OffAxis)), unit.Speed)
	from := "along the launch line"
	if d.OffAxis != 0 {
		side := "right"
		if d.OffAxis < 0 {
			side = "left"
		}
		from = fmt.Sprintf("%s from the %s of the line: %s across", c.fmt(math.Abs(d.OffAxis), unit.Angle), side, cross)
	}
	list := []Pair{
		{"wind, gust", c.fmt(d.Wind, unit.Speed) + ", " + c.fmt(d.Gust, unit.Speed)},
		{"from", from},
		{"air", fmt.Sprintf("%s, %s, %.3f kg/m³", c.fmt(d.Temperature, unit.Temperature), c.fmt(d.Pressure, unit.Pressure), c.Results.Air.Rho)},
	}
	var more []string
	limit := c.Results.Aircraft.Limits.LaunchOdds
	worst, today := "", true
	for _, w := range c.Winds {
		if w.Today && w.Odds < limit {
			today = false
		}
		if today && w.Odds < limit && w.Wind > d.Wind {
			worst = fmt.Sprintf("From %s of wind the launch as set falls below %.0f %%", c.fmt(w.Wind, unit.Speed), 100*limit)
			break
		}
	}
	if worst != "" {
		more = append(more, worst+".")
	}
	low := false
	for _, w := range c.Winds {
		low = low || w.Wind < d.Wind && w.Odds < limit
	}
	switch {
	case !today:
		more = append(more, fmt.Sprintf("In today's wind the launch as set falls short of %.0f %%.", 100*limit))
	case low:
		more = append(more, "In less wind than today's it falls short, too: see the table.")
	}
	if da := c.Results.DensityAltitude; !math.IsNaN(da) {
		more = append(more, fmt.Sprintf("10 °C warmer raises all airspeeds by 1.7 %%; density height now %s.", c.fmt(da, unit.Length)))
	}
	return list, more
}

func (c *CardIn) balance(d *Drawing) []Pair {
	r := c.Results
	list := []Pair{
		{"mass", show(r.Get(assess.Mass), unit.Mass, c.Units)},
		{"balance point", c.small(d.Balance) + " behind " + "the datum"},
	}
	if !math.IsNaN(d.HoldEdge) {
		list = append(list, Pair{"mark under the wing", fmt.Sprintf("%s behind its leading edge, %s off the middle", c.small(d.Balance-d.HoldEdge), c.small(d.HoldY))})
	}
	if !math.IsNaN(d.BandLow) {
		list = append(list, Pair{"may lie between", c.small(d.BandLow) + " and " + c.small(d.BandAft)})
	}
	list = append(list, Pair{"static margin", show(r.Get(assess.StaticMargin), unit.Ratio, c.Units)})
	for i := range r.Aircraft.Parts {
		if p := &r.Aircraft.Parts[i]; p.Movable && p.Kind == "battery" && !p.Twin {
			list = append(list, Pair{p.Name + ", its middle", c.small(p.At.X)})
		}
	}
	return list
}

// small prints a length as a ruler reads it.
func (c *CardIn) small(m float64) string {
	switch {
	case math.IsNaN(m):
		return "-"
	case c.Units == unit.Imperial:
		return fmt.Sprintf("%.2f in", m/0.0254)
	}
	return fmt.Sprintf("%.0f mm", m*1e3)
}

func (c *CardIn) launchTable() (*Table, []string) {
	ac := c.Results.Aircraft
	l := &ac.Launch
	if l.By == "" {
		return nil, []string{"No launch is described: nothing is computed of it. Set, and write down:"}
	}
	s := Subject{Results: c.Results, Units: c.Units}
	t := &Table{Head: []string{"set", "to", fmt.Sprintf("may stray, for odds of %.0f %%", 100*ac.Limits.LaunchOdds)}, Wrap: 2}
	for _, k := range c.Ranges {
		within := "no room: odds are short as it is"
		lo, hi := s.lever(k.Lever, k.Low), s.lever(k.Lever, k.High)
		switch {
		case math.IsNaN(k.Low):
		case k.FreeLow && k.FreeHigh:
			within = lo + " to " + hi + ", anywhere tried"
		case k.FreeLow:
			within = "up to " + hi
		case k.FreeHigh:
			within = lo + " or more"
		default:
			within = lo + " to " + hi
		}
		t.Rows = append(t.Rows, []string{k.Lever.Noun, s.lever(k.Lever, k.Now), within})
	}
	var say []string
	if l.By == "bungee" {
		g := &l.Bungee
		pull := c.Results.Launch.Tension
		line := "Pull"
		if pull.Status == "" && !math.IsNaN(pull.Value) {
			line += " on the hook at most " + show(pull, unit.Force, c.Units) + "; the stake should hold twice that"
		} else {
			line += " not known"
		}
		say = append(say, line+".")
		if g.Limit > 0 {
			say = append(say, "Never beyond "+c.fmt(g.Limit, unit.Length)+" of stretch.")
		}
	}
	switch {
	case l.MotorOff:
		say = append(say, "Motor stays off through the launch.")
	case l.MotorDelay >= 0:
		say = append(say, fmt.Sprintf("Motor %s after release, throttle %s.", c.fmt(l.MotorDelay, unit.Time), c.fmt(l.Throttle, unit.Ratio)))
	default:
		say = append(say, fmt.Sprintf("Motor %s before release, throttle %s.", c.fmt(-l.MotorDelay, unit.Time), c.fmt(l.Throttle, unit.Ratio)))
	}
	if !math.IsInf(l.StickUntil, 1) && l.StickPitch != 0 {
		say = append(say, fmt.Sprintf("Hold the stick until %s after release.", c.fmt(l.StickUntil, unit.Time)))
	}
	if o := c.Results.Launch.Outcome; o != nil && len(o.Failures) > 0 && o.Failures[0].Share >= 0.005 {
		say = append(say, fmt.Sprintf("It fails most by: %s (%.0f %%).", strings.ReplaceAll(o.Failures[0].Class, "-", " "), 100*o.Failures[0].Share))
	}
	return t, say
}

func (c *CardIn) windTable() (*Table, string) {
	if len(c.Winds) == 0 {
		return nil, ""
	}
	s := Subject{Results: c.Results, Units: c.Units}
	limit := c.Results.Aircraft.Limits.LaunchOdds
	t := &Table{Head: []string{"wind", "gust", "odds as set", "then set"}, Wrap: 3, Right: []bool{true, true, true, false}}
	for _, w := range c.Winds {
		row := []string{c.fmt(w.Wind, unit.Speed), c.fmt(w.Gust, unit.Speed), percent(w.Odds), "as it is"}
		if w.Odds < limit {
			row[2] = fmt.Sprintf("%.0f %%", math.Floor(100*w.Odds))
		}
		if w.Today {
			row[3] = "as it is (today)"
		}
		switch {
		case w.Odds >= limit:
		case len(w.Change) == 0 || !(w.Then >= limit):
			row[3] = "do not launch"
			if w.Then > w.Odds+0.02 {
				row[3] += fmt.Sprintf(": best found %.0f %%", math.Floor(100*w.Then)) // short of the limit, never rounded up to it
			}
		default:
			var parts []string
			for _, k := range w.Change {
				parts = append(parts, k.Lever.Noun+" "+s.lever(k.Lever, k.Value))
			}
			row[3] = strings.Join(parts, ", ") + ": " + percent(w.Then)
		}
		t.Rows = append(t.Rows, row)
	}
	return t, fmt.Sprintf("%d launches a look, counted: ±%.0f points near 90 %%. The verdict's own odds rest on %d.", c.Looks, 100*1.645*math.Sqrt(0.09/float64(max(1, c.Looks))), c.Results.Launches)
}

func (c *CardIn) speeds() (*Table, string) {
	r := c.Results
	screen := c.Screen
	base := "m/s"
	if c.Units == unit.Imperial {
		base = "ft/s"
	}
	t := &Table{Head: []string{"airspeed", screen, base, ""}, Wrap: 3, Right: []bool{false, true, true, false}}
	add := func(say string, q assess.Quantity, why string) {
		if q.Status != "" || math.IsNaN(q.Value) {
			t.Rows = append(t.Rows, []string{say, "", "", "not known"})
			return
		}
		span := ""
		if q.High > q.Low && !math.IsInf(q.High-q.Low, 0) {
			span = unit.FormatIn(q.Low, unit.Speed, screen, 0)
			span = number(span) + " to " + number(unit.FormatIn(q.High, unit.Speed, screen, 0))
		}
		if why != "" && span != "" {
			why = span + "; " + why
		} else {
			why += span
		}
		t.Rows = append(t.Rows, []string{say, number(unit.FormatIn(q.Value, unit.Speed, screen, 0)), number(unit.FormatIn(q.Value, unit.Speed, base, 1)), why})
	}
	slow, why := "stall", ""
	if r.Slowest.ByThrow {
		slow, why = "slowest", "by the pitch throw"
	}
	add(slow, r.Get(assess.StallSpeed), why)
	if r.Launch.Asked {
		say := "leaves the ring"
		if r.Launch.By == "hand" {
			say = "leaves the hand"
		}
		add(say, r.Launch.Speed, "")
	}
	add("approach", r.Get(assess.ApproachSpeed), "")
	add("cruise", r.Get(assess.CruiseSpeed), "")
	add("top, level", r.Get(assess.TopSpeed), "")
	if v := r.Aircraft.Limits.TopSpeed; v > 0 {
		add("never exceed", assess.Quantity{Value: v, Low: v, High: v}, "")
	}
	return t, "Airspeeds. A screen that shows speed over the ground reads less against the wind and more with it."
}

// clock prints a time as minutes and seconds.
func clock(s float64) string {
	if math.IsNaN(s) || s < 0 {
		return "-"
	}
	if math.IsInf(s, 0) || s > 1e6 {
		return "no limit"
	}
	n := int(math.Floor(s))
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

func (c *CardIn) land() []Pair {
	r := c.Results
	ac := r.Aircraft
	b := &ac.Power.Battery
	if ac.Power.Place == "" {
		return []Pair{{"no motor: land while it still glides in", ""}}
	}
	var list []Pair
	if q := r.Get(assess.EnduranceTime); q.Status == "" {
		list = append(list, Pair{"land by, at cruise", fmt.Sprintf("%s min:s (expected %s)", clock(q.Low), clock(q.Value))})
	} else {
		list = append(list, Pair{"land by, at cruise", ""})
	}
	if q := r.Get(assess.FastEndurance); q.Status == "" {
		list = append(list, Pair{"at full throttle all the way", fmt.Sprintf("%s min:s (expected %s)", clock(q.Low), clock(q.Value))})
	}
	if !math.IsNaN(c.LandVolt) {
		list = append(list, Pair{"land at, volts per cell at cruise", fmt.Sprintf("%.2f V, %.1f V the pack", c.LandVolt, c.LandVolt*float64(b.Cells))})
	} else {
		list = append(list, Pair{"land at, volts per cell", ""})
	}
	if !math.IsNaN(c.RestVolt) {
		list = append(list, Pair{"at rest after landing, no less than", fmt.Sprintf("%.2f V per cell", c.RestVolt)})
	}
	if b.Capacity > 0 {
		list = append(list, Pair{"charge used by then", fmt.Sprintf("%.0f mAh of %.0f", b.Capacity*(b.Charge-b.Reserve)/3.6, b.Capacity/3.6)})
	}
	if ac.Flight.Time > 0 {
		list = append(list, Pair{"planned", clock(ac.Flight.Time) + " min:s"})
	}
	if k := r.Sortie; k != nil && k.Chance.Status == "" && !math.IsNaN(k.Chance.Value) {
		list = append(list, Pair{"whole sortie ends well", show(k.Chance, unit.Ratio, c.Units)})
	}
	if q := r.Get(assess.LandingRun); q.Status == "" {
		list = append(list, Pair{"landing run from 10 m height", show(q, unit.Length, c.Units)})
	}
	return list
}

// hasPart says whether a part of the kind is on board.
func hasPart(ac *craft.Aircraft, kind string) bool {
	for i := range ac.Parts {
		if ac.Parts[i].Kind == kind {
			return true
		}
	}
	return false
}

func (c *CardIn) radio() []Pair {
	ac := c.Results.Aircraft
	var list []Pair
	seen := map[string]bool{}
	for i := range ac.Radios {
		k := &ac.Radios[i]
		seen[k.Use] = true
		say := k.Name
		if k.Use != "" && k.Use != k.Name {
			say += " (" + k.Use + ")"
		}
		is := ""
		if k.Power > 0 {
			is = fmt.Sprintf("%.0f mW (%.0f dBm)", k.Power*1e3, 10*math.Log10(k.Power*1e3))
		}
		if k.Frequency > 0 {
			is = strings.TrimPrefix(is+", ", ", ") + c.fmt(k.Frequency, unit.Frequency)
		}
		list = append(list, Pair{say + ", power set", is})
		if k.Intended > 0 && math.Abs(k.Intended-k.Power) > 1e-9 {
			list = append(list, Pair{"  allowed or intended for it", fmt.Sprintf("%.0f mW", k.Intended*1e3)})
		}
	}
	for i := range c.Results.Links {
		l := &c.Results.Links[i]
		if l.Margin.Status != "" || math.IsNaN(l.Margin.Value) {
			continue
		}
		where := strings.SplitN(l.Where, ",", 3) // what it is due to stands on the radio page
		list = append(list, Pair{l.Name + ", least margin " + strings.Join(where[:min(2, len(where))], ","), show(l.Margin, unit.Gain, c.Units)})
	}
	if !seen["control"] {
		list = append(list, Pair{"control link, power set", ""})
	}
	if !seen["video"] && hasPart(ac, "video transmitter") {
		list = append(list, Pair{"video transmitter, power set", ""})
	}
	return list
}

func (c *CardIn) home() []Pair {
	if c.Sheet == nil || !c.Sheet.HomeKnown {
		return []Pair{{"loiter radius, if an autopilot is fitted", ""}}
	}
	h := &c.Sheet.Home
	if set := c.Results.Aircraft.Flight.Loiter; set > 0 {
		q := c.Results.Get(assess.LoiterRadius)
		return []Pair{
			{"loiter radius set, as flown", c.fmt(set, unit.Length) + ", " + show(q, unit.Length, c.Units)},
			{"loiter bank at most", c.fmt(h.Bank, unit.Angle)},
			{"airspeed, height", unit.FormatIn(h.Speed, unit.Speed, c.Screen, 0) + ", " + c.fmt(h.Height, unit.Length)},
		}
	}
	return []Pair{
		{"loiter: radius, bank", c.fmt(h.Radius, unit.Length) + ", " + c.fmt(h.Bank, unit.Angle)},
		{"airspeed, height", unit.FormatIn(h.Speed, unit.Speed, c.Screen, 0) + ", " + c.fmt(h.Height, unit.Length)},
	}
}

// ticks are the checks before the flight, in the order of the work, each from
// this build's own parts, settings and findings.
func (c *CardIn) ticks() []Tick {
	r := c.Results
	ac := r.Aircraft
	var out []Tick
	add := func(why, format string, args ...any) {
		out = append(out, Tick{Do: fmt.Sprintf(format, args...), Why: why})
	}
	worst := map[string]*verdict.Finding{} // by what is looked at
	for i := range c.Verdict.Findings {
		f := &c.Verdict.Findings[i]
		kind, name, ok := strings.Cut(f.ID, ".")
		if !ok || math.IsNaN(f.Value.Value) || math.IsNaN(f.Limit.Min) {
			continue
		}
		if kind == "horn" || kind == "rod" || kind == "bolts" {
			if w := worst[kind+"."+name]; w == nil || f.Value.Low < w.Value.Low {
				worst[kind+"."+name] = f
			}
		}
	}
	// On the bench or before the walk.
	if ac.Power.Place != "" {
		add("", "Propeller OFF for what follows; its bolt tight, blades without nicks before it goes on")
	}
	keys := make([]string, 0, len(worst))
	for k := range worst {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		a, b := worst[keys[i]], worst[keys[j]]
		if x, y := a.Value.Low/a.Limit.Min, b.Value.Low/b.Limit.Min; x != y {
			return x < y
		}
		return keys[i] < keys[j]
	})
	for _, k := range keys {
		f := worst[k]
		kind, name, _ := strings.Cut(k, ".")
		what := map[string]string{"horn": "Horn of the %s: no crack at its root, glue whole", "rod": "Rod of the %s: straight, ends clipped", "bolts": "Bolts of the %s: tight, seats whole"}[kind]
		add(fmt.Sprintf("holds at least %.1f times its load, %.1f wanted", f.Value.Low, f.Limit.Min), what, name)
	}
	for i := range ac.Bolts {
		if _, ok := worst["bolts."+ac.Bolts[i].Holds]; !ok {
			add("", "Bolts of the %s: tight, seats whole", ac.Bolts[i].Holds)
		}
	}
	for i := range ac.Linkages {
		n := ac.Linkages[i].Control
		if _, ok := worst["horn."+n]; !ok {
			add("its strength is not known", "Horn of the %s: pull it by hand, no crack, no play", n)
		}
	}
	add("", "Wings, hinges, spar: no creak when lifted by the tips; hinges hold a firm tug")
	add("", "Weigh her; check the balance mark (%s behind the datum)", c.small(ac.Mass.CG.X))
	if r.Launch.Asked && ac.Launch.By == "bungee" {
		if !math.IsNaN(c.Slides) {
			add("a ring that sticks takes her back down", "Ring: pulled by hand it slides off the hook when the line points %.0f° below her axis or more; not before %.0f°", c.Slides*180/math.Pi, math.Max(0, c.Slides*180/math.Pi-5))
		}
		add("", "Cord, knots, line, ring: no nick; stake %s", stakeWords(c))
	}
	// Powered up, propeller still off.
	for i := range ac.Radios {
		if k := &ac.Radios[i]; k.Power > 0 {
			add("range and law hang on it", "%s: read back %.0f mW, antenna fitted before power", upper(k.Name), k.Power*1e3)
		}
	}
	if len(ac.Radios) == 0 && hasPart(ac, "video transmitter") {
		add("range and law hang on it", "Video transmitter: power set as written here, antenna fitted before power")
	}
	if c.Sheet != nil {
		for i := range c.Sheet.Controls {
			k := &c.Sheet.Controls[i]
			if !math.IsNaN(k.WantPitch) {
				add("", "%s: neutral at %+.1f° by the gauge (edge %s where it is widest)", upper(k.Name), deg(k.WantPitch), c.fine(k.Want.Edge))
			}
		}
	}
	add("a reversed surface ends it at once", "%s", c.rightWay())
	if l := &ac.Launch; r.Launch.Asked {
		if l.StickPitch != 0 {
			add("", "Launch stick: hold %.0f %% up; the edges stand where the set-up sheet says", 100*l.StickPitch)
		} else {
			add("", "Launch stick: middle")
		}
	}
	add("out of control she must come down near", "Failsafe: transmitter off, throttle goes to idle, surfaces to %s", c.lostWords())
	add("", "Range test as the maker of the radio says, all on board switched on")
	if ac.Power.Place != "" {
		b := &ac.Power.Battery
		add("", "Pack charged to %.0f %% (%s), strapped, not hot nor swollen", 100*b.Charge, volts(b))
	}
	// On the line.
	add("", "Wind read for two minutes: within the table? %s and gust %s today", c.fmt(ac.Day.Wind, unit.Speed), c.fmt(ac.Day.Gust, unit.Speed))
	if r.Launch.Asked && ac.Launch.By == "bungee" {
		add("", "Eye protection on; nobody in the line, ahead, or beside it; say it aloud")
	}
	if r.Launch.Asked && ac.Launch.By == "hand" {
		add("", "Nobody ahead; the hand stays out of the propeller's plane; motor by switch")
	}
	_, told := c.toGo()
	for i := range c.Verdict.Findings {
		f := &c.Verdict.Findings[i]
		if told[f.ID] {
			continue
		}
		if f.Safety && (f.Status == verdict.Fail || f.Status == verdict.Doubtful || f.Status == verdict.Unknown) {
			do := f.Release
			if do == "" {
				do = "not settled"
			}
			add(string(f.Status), "%s: %s", upper(f.Label), do)
		}
	}
	return out
}

// volts is what the pack shows at rest, charged as the build launches it.
func volts(b *craft.Battery) string {
	return fmt.Sprintf("%.1f V at rest", b.RestVoltage(b.Charge)*float64(b.Cells))
}

func stakeWords(c *CardIn) string {
	q := c.Results.Launch.Tension
	if q.Status != "" || math.IsNaN(q.High) || math.IsInf(q.High, 0) {
		return "proved by a pull"
	}
	return "proved by a pull of " + c.fmt(2*q.High, unit.Force)
}

// fine prints an edge in tenths of a millimetre.
func (c *CardIn) fine(m float64) string {
	if c.Units == unit.Imperial {
		return fmt.Sprintf("%+.2f in", m/0.0254)
	}
	return fmt.Sprintf("%+.1f mm", m*1e3)
}

// rightWay says which way each control goes.
func (c *CardIn) rightWay() string {
	ac := c.Results.Aircraft
	var parts []string
	for i := range ac.Surfaces {
		s := &ac.Surfaces[i]
		aft := s.Stations[0].LE.X > ac.Mass.CG.X || i == ac.Ref.Wing
		for j := range s.Controls {
			k := &s.Controls[j]
			if k.Pitch != 0 {
				way := "up"
				if !aft {
					way = "down"
				}
				parts = append(parts, "stick back: "+k.Name+" edges "+way)
			}
			if k.Roll != 0 {
				parts = append(parts, "stick right: right "+k.Name+" up, left down")
			}
			if k.Yaw != 0 && s.Mirrored {
				parts = append(parts, "yaw right: "+k.Name+" edges to the right")
			} else if k.Yaw != 0 {
				parts = append(parts, "yaw right: "+k.Name+" to the right")
			}
		}
	}
	if len(parts) == 0 {
		return "Surfaces move the right way, seen from behind"
	}
	return "From behind, " + strings.Join(parts, "; ")
}

func (c *CardIn) lostWords() string {
	if c.Sheet == nil || len(c.Sheet.Lost) == 0 {
		return "what was stored"
	}
	s := c.Sheet.LostSticks
	if s == [3]float64{} {
		return "neutral"
	}
	var parts []string
	for i, n := range []string{"pitch", "roll", "yaw"} {
		if math.Abs(s[i]) >= 0.005 {
			parts = append(parts, fmt.Sprintf("%s %+.0f %%", n, 100*s[i]))
		}
	}
	if len(parts) == 0 {
		return "neutral"
	}
	return strings.Join(parts, ", ") + " of stick"
}

// Doc is the card as a page of text.
func (c *Card) Doc() *Doc {
	d := &Doc{Headline: c.Headline, Title: c.Name + ": flight card", Lead: []string{c.Because, upper(c.Made) + "."}}
	sec := func(title string, b ...Block) {
		if len(b) > 0 {
			d.Sections = append(d.Sections, Section{Title: title, Blocks: b})
		}
	}
	pairs := func(list []Pair) Block {
		t := &Table{Wrap: 1}
		for _, p := range list {
			is := p.Is
			if is == "" {
				is = "(to fill in)"
			}
			t.Rows = append(t.Rows, []string{p.Say, is})
		}
		return Block{Table: t}
	}
	if len(c.ToGo) > 0 {
		sec("What would make it go", Block{List: c.ToGo})
	}
	sec("The day", pairs(c.Day), Block{List: c.DayMore})
	sec("Weigh and balance", pairs(c.Balance))
	var launch []Block
	if c.Launch != nil {
		launch = append(launch, Block{Table: c.Launch})
	}
	sec("Launch", append(launch, Block{List: c.LaunchSay})...)
	if c.Wind != nil {
		sec("By wind", Block{Table: c.Wind}, para("%s", c.WindSay))
	}
	sec("Speeds", Block{Table: c.Speeds}, para("%s", c.SpeedSay))
	sec("Land", pairs(c.Land))
	sec("Radio and loiter", pairs(append(append([]Pair(nil), c.Radio...), c.Home...)))
	var ticks []string
	for _, t := range c.Ticks {
		s := "[ ] " + t.Do
		if t.Why != "" {
			s += " (" + t.Why + ")"
		}
		ticks = append(ticks, s+".")
	}
	sec("Before the flight, in this order", Block{List: ticks})
	sec("To fill in", para("%s.", upper(strings.Join(c.Blanks, "; "))))
	sec("Code for the logbook", para("%s", c.Code), para("fledge logbook add flight --card CODE keeps the settings of this card with the flight."))
	d.Sections = append(d.Sections, cautionSection(c.Cautions))
	return d
}

// CardRangeJSON is one setting with how far it may stray.
type CardRangeJSON struct {
	Path     string `json:"path"`
	Unit     string `json:"unit"`
	Now      Float  `json:"now"`
	Low      Float  `json:"low"`
	High     Float  `json:"high"`
	FreeLow  bool   `json:"low_free"`
	FreeHigh bool   `json:"high_free"`
}

// CardWindJSON is the launch in one wind.
type CardWindJSON struct {
	Wind Float    `json:"wind_m_s"`
	Gust Float    `json:"gust_m_s"`
	Odds Float    `json:"odds"`
	Low  Float    `json:"odds_low"` // 90 % of what counting leaves
	High Float    `json:"odds_high"`
	Set  []string `json:"set"`
	Then Float    `json:"odds_then"`
	// Null without a change, as the odds then.
	ThenLow  Float `json:"odds_then_low"`
	ThenHigh Float `json:"odds_then_high"`
}

// CardJSON is the body of `card`.
type CardJSON struct {
	Head
	Verdict  string          `json:"verdict"`
	Because  string          `json:"because"`
	Files    []string        `json:"files"`
	Paper    string          `json:"paper"`
	Code     string          `json:"code"`
	Settings []CardRangeJSON `json:"settings"`
	Winds    []CardWindJSON  `json:"winds"`
	LandVolt Float           `json:"land_cell_v"`
	Checks   []Tick          `json:"checks"`
	Blanks   []string        `json:"blanks"`
	Cautions []string        `json:"cautions"`
}

// CardBody is the JSON of a card.
func CardBody(c CardIn, card *Card, paper string, files []string) CardJSON {
	s := Subject{Results: c.Results, Verdict: c.Verdict, Units: c.Units}
	out := CardJSON{Head: s.head(), Verdict: string(c.Verdict.Word), Because: c.Verdict.Because, Files: files, Paper: paper, Code: card.Code,
		Settings: []CardRangeJSON{}, Winds: []CardWindJSON{}, LandVolt: Float(c.LandVolt), Checks: card.Ticks, Blanks: card.Blanks, Cautions: card.Cautions}
	for _, k := range c.Ranges {
		u, scale := k.Lever.Unit, 1.0
		switch u {
		case "%":
			u = "1"
		case "mm":
			u = "m"
		case "deg":
			scale = k.Lever.Scale
		}
		out.Settings = append(out.Settings, CardRangeJSON{k.Lever.Path, u, Float(k.Now / scale), Float(k.Low / scale), Float(k.High / scale), k.FreeLow, k.FreeHigh})
	}
	for _, w := range c.Winds {
		j := CardWindJSON{Wind: Float(w.Wind), Gust: Float(w.Gust), Odds: Float(w.Odds), Then: Float(w.Then), Set: []string{}}
		j.Low, j.High = counted(w.Odds, c.Looks)
		j.ThenLow, j.ThenHigh = counted(w.Then, c.Looks)
		for _, k := range w.Change {
			j.Set = append(j.Set, k.Set())
		}
		out.Winds = append(out.Winds, j)
	}
	return out
}
