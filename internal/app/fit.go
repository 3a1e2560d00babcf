package app

import (
	"context"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/report"
)

// Fit answers the first question, as far as sizes are given.
func Fit(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true, Cheap: true})
	if err != nil {
		return nil, err
	}
	p := report.Fitted{Subject: s, Sheet: chain.Fit()}
	if chain.Power != nil {
		amps := func(d *assess.Drawn) float64 { return chain.Power.At(0, d.Aircraft.Power.Throttle, &d.PowerK).Current }
		draws := make([]float64, tableDraws)
		if err := chain.Draws(ctx, assess.Options{Seed: q.Seed, Draws: tableDraws, Workers: workers()}, func(i int, d *assess.Drawn) { draws[i] = amps(d) }); err != nil {
			return nil, located(o, err)
		}
		d := chain.Nominal()
		p.Most = assess.Quantity{Value: amps(&d), Unit: "A"}
		p.Most.Low, p.Most.High = assess.Interval90(p.Most.Value, draws)
	}
	return &Answer{Doc: report.Fit(p), Body: report.FitBody(p), Chart: report.FitChart(p), More: []*chart.Chart{report.FitSide(p)}, Notes: o.RenderNotes()}, nil
}
