package app

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/launch"
	"fledge/internal/paper"
	"fledge/internal/perform"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/unit"
)

// CardRequest asks for a flight card.
type CardRequest struct {
	Request
	Out    string // PDF to write; empty: the build's name with -card.pdf, in the folder of now
	Sheet  string // PDF of the build sheet besides; empty: none
	Paper  string // "a4", "letter"; empty: A4, or letter with imperial units
	TwoUp  bool
	Screen string // unit of speed on the pilot's screen; empty: km/h or mph
	Looks  int    // launches a look; 0: 128
}

// screens are the units a pilot's screen shows speeds in.
var screens = []string{"km/h", "m/s", "mph", "kn", "ft/s"}

// sheet is the paper asked for.
func sheetOf(name string, units unit.System) (paper.Size, error) {
	if name == "" && units == unit.Imperial {
		return paper.Letter, nil
	}
	s, ok := paper.SizeNamed(name)
	if !ok {
		return s, Bad("paper", diag.DidYouMean(name, []string{"a4", "letter"}, "a4 or letter"), fmt.Sprintf("--paper %s is not known", diag.Quote(name)))
	}
	return s, nil
}

// pdfName checks the name of a PDF to write, or makes one from the build's.
func pdfName(flag, name, build, ending string) (string, error) {
	if name == "" {
		base := filepath.Base(build)
		return strings.TrimSuffix(base, filepath.Ext(base)) + ending, nil
	}
	if !strings.HasSuffix(strings.ToLower(name), ".pdf") {
		return "", Bad("file-name", "end the name in .pdf", fmt.Sprintf("%s %s: pages are written as PDF", flag, diag.Quote(name)))
	}
	return name, nil
}

// Card makes the flight card, and the build sheet when asked.
func Card(ctx context.Context, q CardRequest) (*Answer, error) {
	size, err := sheetOf(q.Paper, q.Units)
	if err != nil {
		return nil, err
	}
	if q.Screen == "" {
		q.Screen = "km/h"
		if q.Units == unit.Imperial {
			q.Screen = "mph"
		}
	}
	known := false
	for _, s := range screens {
		known = known || s == q.Screen
	}
	if !known {
		return nil, Bad("units", diag.DidYouMean(q.Screen, screens, strings.Join(screens, ", ")), fmt.Sprintf("--screen %s is no unit of speed that screens show", diag.Quote(q.Screen)))
	}
	out, err := pdfName("--out", q.Out, q.Path, "-card.pdf")
	if err != nil {
		return nil, err
	}
	if q.Sheet != "" {
		if _, err := pdfName("--build-sheet", q.Sheet, "", ""); err != nil {
			return nil, err
		}
		if filepath.Clean(q.Sheet) == filepath.Clean(out) {
			return nil, Bad("file-name", "choose another name", "card and build sheet name the same file")
		}
	}
	in, o, chain, err := cardIn(ctx, q)
	if err != nil {
		return nil, err
	}
	card := report.MakeCard(*in)
	shown, err := paper.CardShown(&card, paper.Options{Paper: size, TwoUp: q.TwoUp})
	if err != nil {
		return nil, err
	}
	a := &Answer{Doc: card.Doc(), Notes: o.RenderNotes(), Files: []File{{Name: out, Text: shown.PDF, Over: true}}, Drawn: pictures(out, shown)}
	files := []string{out}
	if q.Sheet != "" {
		a.Files = append(a.Files, File{Name: q.Sheet, Text: buildSheet(in, chain, size), Over: true})
		files = append(files, q.Sheet)
	}
	kind := size.Name
	if q.TwoUp {
		kind += ", two-up"
	}
	a.Doc.Lead = append(a.Doc.Lead, fmt.Sprintf("Written, on %s: %s.", kind, strings.Join(files, ", ")))
	a.Body = report.CardBody(*in, &card, kind, files)
	return a, nil
}

// cardIn runs the check and looks around the settings of the launch.
func cardIn(ctx context.Context, q CardRequest) (*report.CardIn, *Opened, *assess.Chain, error) {
	q.memo = shared(q.Request)
	c, o, err := Check(ctx, q.Request)
	if err != nil {
		return nil, nil, nil, err
	}
	chain, err := models(ctx, o, q.Request)
	if err != nil {
		return nil, nil, nil, located(o, err)
	}
	in := &report.CardIn{Checked: *c, Screen: q.Screen, Looks: q.Looks, LandVolt: math.NaN(), RestVolt: math.NaN(), Slides: math.NaN()}
	if in.Looks == 0 {
		in.Looks = 128
	}
	in.Sheet = chain.Sheet(c.Results, false)
	d := chain.Nominal()
	ac := o.Aircraft
	if b := &ac.Power.Battery; ac.Power.Place != "" && b.Cells > 0 {
		in.RestVolt = b.RestVoltage(b.Reserve)
		if v := c.Results.Get(assess.CruiseSpeed); v.Status == "" {
			pl := chain.Plane(&d)
			if s := pl.Settle(v.Value, pl.LevelPull(v.Value, 1), b.Reserve); s.Status == perform.OK {
				in.LandVolt = math.Max(s.Volts/float64(b.Cells), b.Cutoff)
			} else if b.Cutoff > 0 {
				in.LandVolt = b.Cutoff
			}
		}
	}
	if !c.Results.Launch.Asked {
		return in, o, chain, nil
	}
	setup := chain.Setup(&d)
	if setup.Way == launch.Bungee {
		in.Slides = setup.Hook.SlideAngle()
	}
	find := &launcher{chain, q.Seed}
	bound := bounds(chain, c.Results, &c.Verdict)
	levers := seek.SettingLevers(ac, setup.Levers(2), bound)
	levers = append(levers, aimLever())
	if err := cardRanges(ctx, in, ac, levers, find, q); err != nil {
		return nil, nil, nil, err
	}
	if err := cardWinds(ctx, in, ac, levers, find, q); err != nil {
		return nil, nil, nil, err
	}
	return in, o, chain, nil
}

func aimLever() seek.Lever {
	const deg = math.Pi / 180
	return seek.Lever{Path: "launch.held.aim", Noun: "aim off the line", Low: -15 * deg, High: 15 * deg, Step: deg, Unit: "deg", Scale: deg}
}

// cardRanges looks how far each setting may stray with the odds at the limit or
// more, one at a time, on thirteen places between the lever's ends.
func cardRanges(ctx context.Context, in *report.CardIn, ac *craft.Aircraft, levers []seek.Lever, find *launcher, q CardRequest) error {
	limit := ac.Limits.LaunchOdds
	g, err := find.look(ctx, ac, assess.Ask{N: in.Looks})
	if err != nil {
		return err
	}
	for n, l := range levers {
		k, ok := ac.Knob(l.Path)
		if !ok || strings.HasPrefix(l.Path, "parts.") {
			continue
		}
		if q.Progress != nil {
			q.Progress("tolerances", n, len(levers))
		}
		r := report.CardRange{Lever: l, Now: k.Value, Low: math.NaN(), High: math.NaN()}
		if g.Odds >= limit {
			odds := func(v float64) (float64, error) {
				c, ok := ac.Turn(l.Path, v)
				if !ok {
					return 0, nil
				}
				g, err := find.look(ctx, c, assess.Ask{N: in.Looks})
				return g.Odds, err
			}
			var err error
			if r.Low, r.FreeLow, err = strays(k.Value, l.Low, l.Step, limit, odds); err != nil {
				return err
			}
			if r.High, r.FreeHigh, err = strays(k.Value, l.High, l.Step, limit, odds); err != nil {
				return err
			}
		}
		in.Ranges = append(in.Ranges, r)
	}
	return nil
}

// strays walks from a good value to the end of its range in six steps and, where
// the odds fall short, halves the last one down to the lever's own step.
func strays(now, end, step, limit float64, odds func(float64) (float64, error)) (float64, bool, error) {
	if (end-now)*(end-now) < 1e-18 {
		return now, true, nil
	}
	good := now
	for i := 1; i <= 6; i++ {
		v := now + (end-now)*float64(i)/6
		o, err := odds(v)
		if err != nil {
			return 0, false, err
		}
		if o >= limit {
			good = v
			continue
		}
		for bad := v; math.Abs(bad-good) > math.Max(step, math.Abs(end-now)/48); {
			mid := (good + bad) / 2
			o, err := odds(mid)
			if err != nil {
				return 0, false, err
			}
			if o >= limit {
				good = mid
			} else {
				bad = mid
			}
		}
		// Towards the good side, on the lever's step.
		n := math.Floor(math.Abs(good-now)/step + 1e-9)
		return now + math.Copysign(n*step, end-now), false, nil
	}
	return end, true, nil
}

// cardWinds looks at the launch in calm and up to four times today's wind (8 m/s
// at least), the gusts in today's proportion, and where the odds fall short at a few stronger settings
// of stick and stretch.
func cardWinds(ctx context.Context, in *report.CardIn, ac *craft.Aircraft, levers []seek.Lever, find *launcher, q CardRequest) error {
	limit := ac.Limits.LaunchOdds
	today, ok := ac.Knob("day.wind")
	gust, ok2 := ac.Knob("day.gust")
	if !ok || !ok2 {
		return nil
	}
	ratio := 1.5
	if today.Value > 0.1 && gust.Value >= today.Value {
		ratio = gust.Value / today.Value
	}
	steps := []float64{0, 2, 4, 6, 8, 10}
	if in.Units == unit.Imperial {
		for i := range steps {
			steps[i] = float64(5*i) * 0.44704
		}
	}
	list := append([]float64{}, steps...)
	near := -1
	for i, v := range list {
		if math.Abs(v-today.Value) < 0.26 {
			near = i
		}
	}
	if near >= 0 {
		list[near] = today.Value
	} else {
		list = append(list, today.Value)
		for i := len(list) - 1; i > 0 && list[i] < list[i-1]; i-- {
			list[i], list[i-1] = list[i-1], list[i]
		}
	}
	lever := func(path string) (seek.Lever, float64, bool) {
		for _, l := range levers {
			if l.Path == path {
				k, ok := ac.Knob(path)
				return l, k.Value, ok
			}
		}
		return seek.Lever{}, 0, false
	}
	stick, stickNow, hasStick := lever("launch.stick.pitch")
	pull, pullNow, hasPull := lever("launch.bungee.stretch")
	if !hasPull {
		pull, pullNow, hasPull = lever("launch.held.nose_up")
	}
	for n, w := range list {
		if q.Progress != nil {
			q.Progress("by wind", n, len(list))
		}
		row := report.CardWind{Wind: w, Gust: w * ratio, Then: math.NaN(), Today: w == today.Value}
		if row.Today {
			row.Gust = gust.Value
		}
		at, ok := ac.Turn("day.wind", w)
		if ok {
			at, ok = at.Turn("day.gust", row.Gust)
		}
		if !ok {
			continue
		}
		g, err := find.look(ctx, at, assess.Ask{N: in.Looks})
		if err != nil {
			return err
		}
		row.Odds = g.Odds
		if g.Odds < limit {
			if err := windChange(ctx, in, at, &row, find, choice{stick, stickNow, []float64{0, 0.1, 0.2, -0.1}, hasStick}, choice{pull, pullNow, nil, hasPull}); err != nil {
				return err
			}
		}
		in.Winds = append(in.Winds, row)
	}
	return nil
}

// choice is a lever with the changes to try.
type choice struct {
	lever seek.Lever
	now   float64
	by    []float64
	ok    bool
}

// windChange looks for the smallest change of two levers that carries the odds.
func windChange(ctx context.Context, in *report.CardIn, ac *craft.Aircraft, row *report.CardWind, find *launcher, a, b choice) error {
	if b.ok {
		b.by = []float64{0, (b.lever.High - b.now) / 2, b.lever.High - b.now, (b.lever.Low - b.now) / 4}
	}
	values := func(c choice) []float64 {
		if !c.ok {
			return []float64{c.now}
		}
		var out []float64
		for _, d := range c.by {
			v := math.Min(math.Max(c.now+d, c.lever.Low), c.lever.High)
			v = math.Round(v/c.lever.Step) * c.lever.Step
			if d == 0 {
				v = c.now
			}
			double := false
			for _, o := range out {
				double = double || math.Abs(o-v) < 0.5*c.lever.Step
			}
			if !double && v >= c.lever.Low-1e-9 && v <= c.lever.High+1e-9 {
				out = append(out, v)
			}
		}
		return out
	}
	limit := in.Results.Aircraft.Limits.LaunchOdds
	best := row.Odds
	for _, y := range values(b) {
		for _, x := range values(a) {
			at, sets := ac, []seek.Setting(nil)
			for _, s := range []struct {
				c choice
				v float64
			}{{a, x}, {b, y}} {
				if s.v == s.c.now || !s.c.ok {
					continue
				}
				t, ok := at.Turn(s.c.lever.Path, s.v)
				if !ok {
					continue
				}
				at, sets = t, append(sets, seek.Setting{Lever: s.c.lever, Value: s.v})
			}
			if len(sets) == 0 {
				continue
			}
			g, err := find.look(ctx, at, assess.Ask{N: in.Looks})
			if err != nil {
				return err
			}
			if g.Odds > best {
				best, row.Then, row.Change = g.Odds, g.Odds, sets
			}
			if g.Odds >= limit {
				return nil // the first that does is the smallest
			}
		}
	}
	return nil
}

// buildSheet is the sheet for the workshop wall.
func buildSheet(in *report.CardIn, chain *assess.Chain, size paper.Size) []byte {
	s := report.Subject{Results: in.Results, Verdict: in.Verdict, Units: in.Units}
	draw := in.Drawing()
	f := report.Fitted{Subject: s, Sheet: chain.Fit()}
	return paper.Pages(report.BuildSheet(s, in.Sheet, f.Sheet), &draw, []*chart.Chart{report.FitChart(f), report.FitSide(f)}, size)
}
