package app

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/perform"
	"fledge/internal/report"
)

// Land answers the seventh question.
func Land(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	d := chain.Nominal()
	pl := chain.Plane(&d)
	plan := chain.Approach(&d)
	p := report.Landed{Subject: s, Plan: plan}
	if !(pl.Stall > 0) {
		n := math.NaN()
		p.Nominal = perform.Landing{Approach: n, Angle: n, Touchdown: n, GroundSpeed: n, ApproachRun: n, FlareRun: n, Slide: n, SlideTime: n, Distance: n, Deceleration: n, SinkTouchdown: n,
			Status: "no stall speed was found: the pitch control cannot hold the wing at its highest lift"}
		return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Notes: o.RenderNotes()}, nil
	}
	brakes := chain.Brakes(&d, chain.Lands(&d, pl).LandAs(plan).Approach)
	p = landed(chain, &d, brakes)
	p.Subject = s
	opt := assess.Options{Seed: q.Seed, Draws: tableDraws, Workers: workers()}
	draws := make([]report.Landed, opt.Draws)
	err = chain.Draws(ctx, opt, func(i int, d *assess.Drawn) {
		own := make([]assess.Brake, len(brakes))
		for j, b := range brakes { // what a brake adds is drag like any other
			b.Area *= d.AeroK.Drag
			own[j] = b
		}
		draws[i] = landed(chain, d, own)
	})
	if err != nil {
		return nil, err
	}
	p.Doubted(draws)
	if p.Scatter, err = chain.Landings(&d, pl, q.Seed, 512); err != nil {
		return nil, err
	}
	return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Chart: report.LandChart(p), Notes: o.RenderNotes()}, nil
}

// landed are the tables of the page for one draw, with the brakes there are.
func landed(chain *assess.Chain, d *assess.Drawn, brakes []assess.Brake) report.Landed {
	ac := d.Aircraft
	pl := chain.Plane(d)
	plan := chain.Approach(d)
	p := report.Landed{Plan: plan, Excess: 20 / 3.6, Brakes: brakes}
	if !(pl.Stall > 0) {
		return p
	}
	lands := chain.Lands(d, pl)
	p.Nominal = lands.LandAs(plan)
	p.Best = pl.BestGlide()
	v := p.Nominal.Approach
	way := func(plane *perform.Plane, say string, change func(*perform.Approach)) {
		a := plan
		change(&a)
		p.Ways = append(p.Ways, report.LandRow{Say: say, Margin: a.Margin, Wind: a.Wind, Landing: plane.LandAs(a)})
	}
	way(lands, "as planned", func(*perform.Approach) {})
	for _, m := range []float64{1.2, 1.3, 1.5} {
		if math.Abs(m-plan.Margin) > 1e-9 {
			way(lands, fmt.Sprintf("at %.1f times the stall", m), func(a *perform.Approach) { a.Margin = m })
		}
	}
	up := "stick back, 5 % over the stall"
	if tailless(ac) {
		up = "up-elevon, 5 % over the stall"
	}
	way(lands, up, func(a *perform.Approach) { a.Margin = 1.05 })
	way(lands, "in still air", func(a *perform.Approach) { a.Wind = 0 })
	way(lands, "with the wind", func(a *perform.Approach) { a.Wind = -plan.Wind })
	way(lands, "3 m/s more wind, into it", func(a *perform.Approach) { a.Wind += 3 })
	way(lands, "up a slope of 3 deg", func(a *perform.Approach) { a.Slope += 3 * math.Pi / 180 })
	way(lands, "down a slope of 3 deg", func(a *perform.Approach) { a.Slope -= 3 * math.Pi / 180 })
	if chain.Power != nil {
		for _, w := range []string{"stopped", "windmilling", "braked"} {
			plane := chain.Idled(pl, w)
			p.Idle = append(p.Idle, report.IdleRow{Way: w, Glide: plane.GlideAt(v), Best: plane.BestGlide(), Planned: w == ac.Landing.Propeller})
			if w != ac.Landing.Propeller {
				way(plane, "propeller "+w, func(*perform.Approach) {})
			}
		}
	}
	for i := range brakes {
		if b := &brakes[i]; b.Known {
			way(lands, b.Say, func(a *perform.Approach) { a.Extra = b.Extra(d.Air.Rho) })
		}
	}
	const swing = 60 * math.Pi / 180
	way(lands, "S-turns, 60 deg to each side", func(a *perform.Approach) { a.Weave = swing })
	way(lands, "20 cm2 more drag (a brake)", func(a *perform.Approach) {
		a.Extra = func(v float64) float64 { return 0.5 * d.Air.Rho * v * v * 0.002 } // a hand's breadth
	})
	for _, g := range []string{"short grass", "long grass", "concrete", "dirt", "sand", "snow"} {
		a := plan
		mu, why := ac.FrictionOn(g)
		// What is not known of the friction here is not known of it there.
		if a.Friction = mu; g == ac.Landing.Surface {
			a.Friction = ac.Landing.Friction
		} else if at := chain.Aircraft.Landing.Friction; at > 0 {
			a.Friction = mu * ac.Landing.Friction / at
		}
		l := lands.LandAs(a)
		p.Grounds = append(p.Grounds, report.GroundRow{Surface: g, Friction: a.Friction, Slide: l.Slide, Time: l.SlideTime, Deceleration: l.Deceleration, Why: why})
	}
	p.Again = chain.Again(d, pl, v, p.Nominal.Angle)
	p.Slow = chain.Slowing(d, pl, v, p.Excess, brakes)
	return p
}

// tailless tells whether the controls that pitch her also roll her and nothing
// else pitches.
func tailless(ac *craft.Aircraft) bool {
	both := false
	for i := range ac.Surfaces {
		for _, k := range ac.Surfaces[i].Controls {
			if k.Pitch > 0 && k.Roll == 0 {
				return false
			}
			both = both || k.Pitch > 0 && k.Roll > 0
		}
	}
	return both
}
