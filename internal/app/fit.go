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
	return &Answer{Doc: report.Fit(p), Body: report.FitBody(p), Chart: report.FitChart(p), More: []*chart.Chart{report.FitSide(p)}, Notes: o.RenderNotes()}, nil
}
