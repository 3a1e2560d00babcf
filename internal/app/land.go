package app

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/assess"
	"fledge/internal/perform"
	"fledge/internal/report"
)

// Land answers the seventh question.
func Land(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	ac := o.Aircraft
	d := chain.Nominal()
	pl := chain.Plane(&d)
	wind := ac.Day.Wind * math.Cos(ac.Day.OffAxis)
	p := report.Landed{Subject: s, Height: 10, Friction: ac.Landing.Friction}
	if !(pl.Stall > 0) {
		n := math.NaN()
		p.Nominal = perform.Landing{Approach: n, Angle: n, Touchdown: n, GroundSpeed: n, ApproachRun: n, FlareRun: n, Slide: n, SlideTime: n, Distance: n, Deceleration: n, SinkTouchdown: n,
			Status: "no stall speed was found: the pitch control cannot hold the wing at its highest lift"}
		return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Notes: o.RenderNotes()}, nil
	}
	p.Nominal = pl.Land(p.Height, wind, ac.Landing.Margin, ac.Landing.Friction)
	p.Best = pl.BestGlide()
	way := func(say string, margin, w float64) {
		p.Ways = append(p.Ways, report.LandRow{Say: say, Margin: margin, Wind: w, Landing: pl.Land(p.Height, w, margin, ac.Landing.Friction)})
	}
	way("as planned", ac.Landing.Margin, wind)
	for _, m := range []float64{1.2, 1.3, 1.5} {
		if math.Abs(m-ac.Landing.Margin) > 1e-9 {
			way(fmt.Sprintf("at %.1f times the stall", m), m, wind)
		}
	}
	way("in still air", ac.Landing.Margin, 0)
	way("with the wind", ac.Landing.Margin, -wind)
	way("3 m/s more wind, into it", ac.Landing.Margin, wind+3)
	if pl.Drag != nil {
		braked := *pl
		base := pl.Drag
		const extra = 0.002 // m2: a hand's breadth of brake
		braked.Drag = func(v, n float64) float64 { return base(v, n) + 0.5*d.Air.Rho*v*v*extra }
		p.Ways = append(p.Ways, report.LandRow{Say: "20 cm2 more drag (a brake)", Margin: ac.Landing.Margin, Wind: wind, Landing: braked.Land(p.Height, wind, ac.Landing.Margin, ac.Landing.Friction)})
	}
	return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Chart: report.LandChart(p), Notes: o.RenderNotes()}, nil
}
