package app

import (
	"context"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/learn"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/verdict"
)

// next plans the flight or bench test that would settle the most.
func (l *learning) next(_ context.Context, m *learn.Model, r *learn.Result) (*report.NextFlight, error) {
	if l.page.Now == nil {
		return nil, Bad("next", "leave --quick out", "--next needs the forecasts that --quick leaves out")
	}
	res := l.page.Now
	number := func(id assess.ID) float64 {
		if q := res.Get(id); q.Status == "" {
			return q.Value
		}
		return math.NaN()
	}
	x := m.Most(r)
	stall, cruise, top := number(assess.StallSpeed), number(assess.CruiseSpeed), number(assess.TopSpeed)
	runIn := math.NaN()
	if cruise > 0 && top > 0 {
		runIn, _, _ = m.PlaneAt(x).RunIn(cruise, 0.98)
	}
	aims := l.aims(m, res)
	cards := m.Tests(stall, cruise, top, runIn)
	tells := m.TellsAlone(r, cards)
	for _, u := range measureNext(res) {
		cards = append(cards, learn.Card{Name: "measure the " + u.Label, Where: "bench or field", Steps: []string{u.How, "write it into the build with its doubt: half of what it is now is assumed"}, Halves: u.Input})
	}
	out := &report.NextFlight{Aims: aims, Cards: m.Plan(r, aims, cards), Tells: tells}
	return out, nil
}

// measureNext are the inputs that the odds hang on and no test of a factor
// tells.
func measureNext(res *assess.Results) []seek.Measure {
	var out []seek.Measure
	for _, u := range seek.MeasureNext(res) {
		if u.Input != "launch.bungee.pull_test" && u.Input != "launch.bungee.hook.friction" && !strings.HasPrefix(u.Input, "factor.") {
			out = append(out, u)
		}
	}
	return out
}

// aims are the numbers the verdict hangs on that a factor can move, the top
// speed first.
func (l *learning) aims(m *learn.Model, res *assess.Results) []learn.Aim {
	nan := math.NaN()
	sd := func(q assess.Quantity) float64 { return (q.High - q.Low) / (2 * 1.6448536269514722) }
	var out []learn.Aim
	if q := res.Get(assess.TopSpeed); q.Status == "" {
		out = append(out, learn.Aim{ID: "top-speed", Label: "top speed", Value: q.Value, SD: sd(q), Min: nan, Max: nan, Of: m.TopAt})
	}
	approach, cruise := res.Get(assess.ApproachSpeed), res.Get(assess.CruiseSpeed)
	models := map[string]func(x []float64) float64{
		"never-exceed":  func(x []float64) float64 { return m.PlaneAt(x).DiveSpeed(30 * math.Pi / 180).V },
		"control-power": func(x []float64) float64 { return m.TrimAt(x, approach.Value) },
		"trim":          func(x []float64) float64 { return m.TrimAt(x, cruise.Value) },
		"balance":       func(x []float64) float64 { v, _ := m.ValueOf("neutral-point", x); return v },
		"reserve":       func(x []float64) float64 { return m.PlaneAt(x).EnduranceAt(cruise.Value, 1).Time },
	}
	for i := range l.page.Verdict.Findings {
		f := &l.page.Verdict.Findings[i]
		q := f.Value
		if q.Status != "" || math.IsNaN(q.Value) || f.Status == verdict.NotAsked || math.IsNaN(f.Limit.Min) && math.IsNaN(f.Limit.Max) {
			continue
		}
		s := sd(q)
		if !(s > 0) || math.IsInf(s, 0) {
			continue
		}
		a := learn.Aim{ID: f.ID, Label: f.Label, Value: q.Value, SD: s, Min: f.Limit.Min, Max: f.Limit.Max}
		switch of, ok := models[f.ID]; {
		case f.ID == "launch-odds" && res.Launch.Outcome != nil:
			a.Shares = map[string]float64{}
			for _, u := range res.Launch.Outcome.Unknowns {
				a.Shares[u.Input.Path] = math.Max(0, u.Total)
			}
		case ok:
			a.Of = of
		default:
			continue
		}
		out = append(out, a)
	}
	return out
}
