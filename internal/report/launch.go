package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/launch"
	"fledge/internal/learn"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Launched is what the launch page shows.
type Launched struct {
	Subject
	Measure []Measure
	Record  *learn.Record  // of launches at these settings; nil: none
	Fan     []assess.Flown // launches drawn for the chart
}

var launchIDs = ofIDs("launch-odds", "launch-warning")

// setting is one thing that was set for the launch.
type setting struct {
	path, label string
	value       float64
	dim         unit.Dim
	unit        string // of the JSON
	word        string // instead of a value
}

// settings lists the launch as flown.
func settings(ac *craft.Aircraft) []setting {
	l := &ac.Launch
	out := []setting{
		{"trial.mass", "mass added to the build", ac.Trial.Mass, unit.Mass, "kg", ""},
		{"launch.held.height", "height of the balance point at the start", l.Held.Height, unit.Length, "m", ""},
		{"launch.held.nose_up", "nose up", l.Held.NoseUp, unit.Angle, "rad", ""},
		{"launch.held.aim", "nose right of the line", l.Held.Aim, unit.Angle, "rad", ""},
		{"launch.stick.pitch", "pitch stick held, up", l.StickPitch, unit.Ratio, "1", ""},
		{"launch.stick.roll", "roll stick held, right", l.StickRoll, unit.Ratio, "1", ""},
	}
	if l.By == "bungee" {
		b := &l.Bungee
		out = append(out,
			setting{"launch.bungee.stretch", "pulled back beyond slack", b.Stretch, unit.Length, "m", ""},
			setting{"launch.bungee.hook.x", "hook aft of the datum", b.Hook.X, unit.Length, "m", ""},
			setting{"launch.bungee.hook.z", "hook above the datum", b.Hook.Z, unit.Length, "m", ""},
			setting{"launch.bungee.hook.rake", "rake of the hook", b.Rake, unit.Angle, "rad", ""},
			setting{"launch.bungee.hook.friction", "friction of ring and hook", b.Friction, unit.Ratio, "1", ""},
			setting{"launch.bungee.stake_height", "height of the stake", b.StakeHeight, unit.Length, "m", ""})
	} else {
		out = append(out,
			setting{"launch.throw.speed", "speed of the throw", l.Throw.Speed, unit.Speed, "m/s", ""},
			setting{"launch.throw.path_up", "path of the throw, up", l.Throw.PathUp, unit.Angle, "rad", ""})
	}
	if l.MotorOff {
		out = append(out, setting{path: "launch.motor_delay", label: "motor", value: math.NaN(), dim: unit.Time, unit: "s", word: "off"})
	} else {
		out = append(out, setting{"launch.motor_delay", "motor after release", l.MotorDelay, unit.Time, "s", ""},
			setting{"launch.throttle", "throttle", l.Throttle, unit.Ratio, "1", ""})
	}
	return append(out,
		setting{"day.wind", "mean wind", ac.Day.Wind, unit.Speed, "m/s", ""},
		setting{"day.gust", "gusts to", ac.Day.Gust, unit.Speed, "m/s", ""},
		setting{"day.off_axis", "wind from the right of the launch", ac.Day.OffAxis, unit.Angle, "rad", ""})
}

func plainClass(s string) string { return strings.ReplaceAll(s, "-", " ") }

// LaunchPage is the page of the fifth question.
func LaunchPage(p Launched) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	r := p.Results
	ac, l := r.Aircraft, &r.Launch
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[5]}
	if !l.Asked {
		d.Lead = append(d.Lead, "No launch is described (launch.by: bungee or hand).")
		return d
	}
	d.Lead = append(d.Lead, fmt.Sprintf("Launch odds %.0f %%, between %.0f and %.0f %% for what is not known; at least %.0f %% are wanted.",
		100*l.Odds.Value, 100*l.Odds.Low, 100*l.Odds.High, 100*ac.Limits.LaunchOdds),
		fmt.Sprintf("%d launches flown; counting alone leaves %.1f to %.1f %%.", l.N, 100*l.Sampling[0], 100*l.Sampling[1]), p.conditions())
	if p.Record != nil {
		d.Lead = append(d.Lead, recordLine(p.Record))
	}
	if len(l.Warnings) > 0 {
		s := Section{Title: "First of all"}
		if l.Grave {
			s.Blocks = append(s.Blocks, para("As described no launch can come of it."))
		}
		list := make([]string, len(l.Warnings))
		for i, w := range l.Warnings {
			list[i] = sentence(w)
		}
		s.Blocks = append(s.Blocks, Block{List: list})
		d.Sections = append(d.Sections, s)
	}
	c := Checked{Results: r, Verdict: verdict.Verdict{}, Units: p.Units}
	for i := range p.Verdict.Findings {
		if f := &p.Verdict.Findings[i]; launchIDs(f) {
			c.Verdict.Findings = append(c.Verdict.Findings, *f)
		}
	}
	if l.Outcome != nil {
		s := Section{Title: "How they end"}
		t := &Table{Wrap: 0, Right: []bool{false, true}}
		ends := func(low, high float64) string {
			if !(high > low) {
				return ""
			}
			return fmt.Sprintf(" (%.1f to %.1f)", 100*low, 100*high)
		}
		up := float64(l.Outcome.Hits) / float64(max(1, l.N))
		t.Rows = append(t.Rows, []string{"airborne", share(up) + ends(l.Sampling[0], l.Sampling[1])})
		for _, f := range l.Outcome.Failures {
			t.Rows = append(t.Rows, []string{plainClass(f.Class), share(f.Share) + ends(f.Low, f.High)})
		}
		s.Blocks = append(s.Blocks, Block{Table: t}, para("In brackets what counting alone leaves, 90 %%."))
		if l.Typical != nil {
			s.Blocks = append(s.Blocks, para("Most failures are like this: %s.", l.Typical.Sentence()))
		}
		s.Blocks = append(s.Blocks, para("With everything at its nominal value: %s.", l.Nominal.Sentence()))
		if w := l.Nominal.Status.Words(); len(w) > 0 {
			s.Blocks = append(s.Blocks, para("Mind: %s.", strings.Join(w, "; ")))
		}
		d.Sections = append(d.Sections, s)
	}
	ring := "At release"
	if l.By == "hand" {
		ring = "Leaving the hand"
	}
	d.Sections = append(d.Sections, Section{Title: ring + ", over all launches", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
		{"airspeed", p.speed(l.Speed)},
		{"over the stall speed", times(l.StallRatio)},
		{"over the speed the held stick trims", times(l.TrimRatio)},
		{"nose above level", p.show(l.Pitch, unit.Angle)},
		{"path above level", p.show(l.Path, unit.Angle)},
		{"height of the balance point", p.show(l.Height, unit.Length)},
		{"largest pull on the hook", p.show(l.Tension, unit.Force)},
		{"largest load on the wing", times(l.LoadFactor)},
	}}}}})
	if s := c.remedies(); len(s.Blocks) > 0 && p.proved() {
		d.Sections = append(d.Sections, s)
	}
	if s := p.practice(); len(s.Blocks) > 0 {
		d.Sections = append(d.Sections, s)
	}
	if len(p.Measure) > 0 {
		s := Section{Title: "What the odds hang on"}
		for _, m := range p.Measure {
			s.Blocks = append(s.Blocks, Block{List: []string{fmt.Sprintf("%s: %.0f %% of the doubt. %s.", upper(m.Label), 100*m.Share, upper(m.How))}})
		}
		d.Sections = append(d.Sections, s)
	}
	s := Section{Title: "As flown"}
	t := &Table{Wrap: 0}
	for _, k := range settings(ac) {
		v := k.word
		if k.path == "launch.motor_delay" && k.value < 0 { // words say what comes first, a sign does not
			k.label, k.value = "motor before release", -k.value
		}
		if v == "" {
			v = p.fmt(k.value, k.dim)
		}
		t.Rows = append(t.Rows, []string{k.label, v, k.path})
	}
	s.Blocks = append(s.Blocks, Block{Table: t})
	d.Sections = append(d.Sections, s, noteSection(r.Notes), cautionSection(careful(p.cautions()...)))
	return d
}

// practice is what to try by hand without the motor where a hand launch is in
// doubt, what to read from it and how to type it in.
func (p *Launched) practice() Section {
	r := p.Results
	doubtful := false
	for i := range p.Verdict.Findings {
		f := &p.Verdict.Findings[i]
		doubtful = doubtful || f.ID == "launch-odds" && f.Status != verdict.Pass
	}
	if r.Launch.By != "hand" || !doubtful {
		return Section{}
	}
	glide := r.Get(assess.GlideSpeed)
	slow := r.Get(assess.StallSpeed)
	if glide.Status != "" || slow.Status != "" {
		return Section{}
	}
	fast := math.Max(glide.Value, 1.15*slow.Value)
	file := "BUILD"
	list := []string{
		"Over long grass, into the wind, propeller off or the motor unplugged, pack in its place: with a short run push her off level at the speed of her best glide, " + p.show(glide, unit.Speed) + ", nose a little down; never upwards, never faster than you can run and push.",
		fmt.Sprintf("By this computation she then glides some %s from shoulder height (1.5 m, best glide %s). Nose up and a drop: balance point or neutral too far up; a dive: the other way (fledge setup). Wings that drop: twist, side balance, neutral of the ailerons.", p.fmt(1.5*r.Get(assess.GlideRatio).Value, unit.Length), span(r.Get(assess.GlideRatio))),
		fmt.Sprintf("Film it from the side beside two sticks a known length apart: length over time, plus the wind, is the speed that left the hand. Three throws: --set \"launch.throw.speed=%.1f m/s ± 1 m/s\" with what you read, here or in the build.", r.Aircraft.Launch.Throw.Speed),
		fmt.Sprintf("A steady glide from higher up, by watch and height: fledge learn %s --reading \"glide_speed=%.0f m/s sink=%.1f m/s\" with what you read; drag and lift then follow it.", file, fast, fast/math.Max(1, r.Get(assess.GlideRatio).Value)),
		"How a throw ended: fledge debrief --build " + file + " --outcome \"stall or departure\", and it says what must have been otherwise.",
	}
	return Section{Title: "First without the motor: a practice throw", Blocks: []Block{{List: list}, para("It shows balance, neutral and glide before the motor can hurt anyone; it does not show torque, nor the climb away.")}}
}

// proved tells whether remedies were looked for.
func (p *Launched) proved() bool {
	for i := range p.Verdict.Findings {
		if len(p.Verdict.Findings[i].Remedies) > 0 {
			return true
		}
	}
	return false
}

func (p *Launched) cautions() []string {
	out := []string{"law", "launch"}
	switch p.Results.Aircraft.Launch.By {
	case "bungee":
		out = append(out, "bungee")
	case "hand":
		out = append(out, "hand")
	}
	if p.Results.Aircraft.Power.Place != "" {
		out = append(out, "propeller")
	}
	return append(out, "speed")
}

func times(q assess.Quantity) string {
	if q.Status != "" {
		return "none: " + q.Status
	}
	return span(q) + " times"
}

// SettingJSON is one thing set for the launch; angles in degrees.
type SettingJSON struct {
	Path  string `json:"path"`
	Label string `json:"label"`
	Value Float  `json:"value"`
	Unit  string `json:"unit"`
	Word  string `json:"word,omitempty"`
}

// ReleaseJSON is the moment of release.
type ReleaseJSON struct {
	Speed      Quantity `json:"speed"`
	StallRatio Quantity `json:"stall_ratio"`
	TrimRatio  Quantity `json:"trim_ratio"`
	Pitch      Quantity `json:"pitch_deg"`
	Height     Quantity `json:"height"`
	Path       Quantity `json:"path_deg"`
}

// NominalJSON is the launch with everything at its nominal value.
type NominalJSON struct {
	Class    string `json:"class"`
	Success  bool   `json:"success"`
	Sentence string `json:"sentence"`
	Time     Float  `json:"decided_s"`
}

// LaunchJSON is the body of `launch`.
type LaunchJSON struct {
	Head
	By          string              `json:"by"`
	Odds        Quantity            `json:"odds"`
	Sampling    [2]Float            `json:"sampling"`
	N           int                 `json:"n"`
	Failures    map[string]Float    `json:"failures"`
	FailShares  map[string]Quantity `json:"failure_shares"`
	AtRelease   ReleaseJSON         `json:"at_release"`
	HookPull    Quantity            `json:"hook_pull"`
	LoadFactor  Quantity            `json:"load_factor"`
	Nominal     *NominalJSON        `json:"nominal"`
	Typical     *NominalJSON        `json:"typical_failure"`
	Settings    []SettingJSON       `json:"settings"`
	MeasureNext []MeasureJSON       `json:"measure_next"`
	Record      *RecordJSON         `json:"launch_record"`
	Tail
}

// LaunchBody is the JSON of a launch.
func LaunchBody(p Launched) LaunchJSON {
	r := p.Results
	l := &r.Launch
	out := LaunchJSON{Head: p.head(), By: l.By, N: l.N, Failures: map[string]Float{}, FailShares: map[string]Quantity{}, Settings: []SettingJSON{}, MeasureNext: []MeasureJSON{}, Record: recordJSON(p.Record),
		Tail: p.tail(launchIDs, p.cautions()...), Sampling: [2]Float{Float(l.Sampling[0]), Float(l.Sampling[1])}}
	out.Notes = append(out.Notes, r.Notes...)
	if !l.Asked {
		const why = "no launch is described"
		n := Float(math.NaN())
		out.Odds, out.Sampling = absent("1", why), [2]Float{n, n}
		out.AtRelease = ReleaseJSON{absent("m/s", why), absent("1", why), absent("1", why), absent("deg", why), absent("m", why), absent("deg", why)}
		out.HookPull, out.LoadFactor = absent("N", why), absent("1", why)
		return out
	}
	out.Odds = Q(l.Odds)
	if l.Outcome != nil {
		for _, f := range l.Outcome.Failures {
			out.Failures[f.Class] = Float(f.Share)
		}
		out.FailShares = failureShares(l.Outcome.Failures)
	}
	out.AtRelease = ReleaseJSON{Q(l.Speed), Q(l.StallRatio), Q(l.TrimRatio), Q(l.Pitch), Q(l.Height), Q(l.Path)}
	out.HookPull, out.LoadFactor = Q(l.Tension), Q(l.LoadFactor)
	told := func(o *launch.Outcome) *NominalJSON {
		return &NominalJSON{o.Class.Key(), o.Success, o.Sentence(), Float(o.T)}
	}
	out.Nominal = told(&l.Nominal)
	if l.Typical != nil {
		out.Typical = told(l.Typical)
	}
	for _, k := range settings(r.Aircraft) {
		v, u := k.value, k.unit
		if u == "rad" {
			v, u = deg(v), "deg"
		}
		out.Settings = append(out.Settings, SettingJSON{k.path, k.label, Float(v), u, k.word})
	}
	for _, m := range p.Measure {
		out.MeasureNext = append(out.MeasureNext, MeasureJSON{m.Input, m.Label, Float(m.Share), m.How})
	}
	return out
}

// LaunchChart is the launches from the side, the failed ones drawn to where
// they end and named there.
func LaunchChart(p Launched) *chart.Chart {
	ac := p.Results.Aircraft
	l := &p.Results.Launch
	c := &chart.Chart{Title: ac.Name + ": launches from the side", X: chart.Axis{Label: "along the launch, m"}, Y: chart.Axis{Label: "height of the balance point, m"}, Equal: true, Ground: true,
		Caption: fmt.Sprintf("odds %.0f %%, seed %d", 100*l.Odds.Value, p.Results.Seed)}
	named := map[string]bool{}
	for pass := range 2 { // the failures on top
		for i := range p.Fan {
			f := &p.Fan[i]
			if f.Outcome.Success == (pass == 1) {
				continue
			}
			x, _ := launch.Column(f.Rows, "along_m")
			y, _ := launch.Column(f.Rows, "height_m")
			s := chart.Series{Kind: chart.Thin, X: x, Y: y}
			if !f.Outcome.Success {
				s.Fail = true
				if name := f.Outcome.Class.String(); !named[name] {
					named[name] = true
					s.Name = name + shareOf(l, f.Outcome.Class.Key())
				}
			}
			c.Series = append(c.Series, s)
		}
	}
	return c
}

// shareOf is ", 29 %" for a class of failure.
func shareOf(l *assess.Launch, class string) string {
	if l.Outcome != nil {
		for _, f := range l.Outcome.Failures {
			if f.Class == class {
				return ", " + share(f.Share)
			}
		}
	}
	return ""
}
