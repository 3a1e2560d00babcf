package seek

import (
	"context"
	"math"

	"fledge/internal/assess"
	"fledge/internal/craft"
)

// Ring is what the ring's grip on the hook does to the odds.
type Ring struct {
	Rake     float64 // droop of the pin, rad
	Friction float64 // nominal, burr not counted
	Burr     float64 // rad
	Slides   float64 // depression of the line below the body at which it slides off, rad
	Odds     float64 // as it is
	// Known is the odds at the two ends of what is known of the friction (its
	// 90 % interval): how much a bench test could tell.
	Known [2]RingCase
	// Bench is what each outcome of the bench test would mean.
	Bench []RingCase
	// WhatIf is the ways a ring sticks: burr, bent pin, side load.
	WhatIf []RingCase
	N      int
}

// RingCase is one state of hook and ring.
type RingCase struct {
	Say      string
	Grip     float64 // angle of the pin below level at which the ring slides off, rad
	Friction float64 // the number for launch.bungee.hook.friction (NaN: not that)
	Odds     float64
	Change   float64
	SE       float64
	Stuck    float64 // share of launches that end with the ring on
}

const (
	frictionPath = "launch.bungee.hook.friction"
	rakePath     = "launch.bungee.hook.rake"
	aimPath      = "launch.held.aim"
)

// stuck is the share of launches that ended with the ring on.
func stuck(g *assess.Glance) float64 {
	n := 0
	for _, f := range g.Failures {
		switch f.Class {
		case "ground-strike-before-release", "hook-not-released", "line-snag":
			n += f.Count
		}
	}
	return float64(n) / math.Max(1, float64(g.N))
}

// StuckRing asks what friction, burrs, a bent pin and a side load do to the
// odds; nil for a launch without a ring. A burr of angle b holds the ring as a
// friction of tan(atan(mu)+b) would ([launch.Hook.Grip]).
func StuckRing(ctx context.Context, ac *craft.Aircraft, n int, look Look) (*Ring, error) {
	kf, ok := ac.Knob(frictionPath)
	kr, ok2 := ac.Knob(rakePath)
	if ac.Launch.By != "bungee" || !ok || !ok2 {
		return nil, nil
	}
	const deg = math.Pi / 180
	base, err := look(ctx, ac, assess.Ask{N: n})
	if err != nil {
		return nil, err
	}
	burr := ac.Launch.Bungee.Burr
	grip := math.Atan(kf.Value) + burr
	r := &Ring{Rake: kr.Value, Friction: kf.Value, Burr: burr, Slides: math.Pi/2 + grip - kr.Value, Odds: base.Odds, N: base.N}
	var failure error
	see := func(c *craft.Aircraft, say string, friction float64, pins map[string]float64) RingCase {
		if failure != nil {
			return RingCase{}
		}
		g, err := look(ctx, c, assess.Ask{N: n, Pins: pins})
		if err != nil {
			failure = err
			return RingCase{}
		}
		d, se := g.Against(&base)
		f := RingCase{Say: say, Friction: friction, Odds: g.Odds, Change: d, SE: se, Stuck: stuck(&g), Grip: math.NaN()}
		if !math.IsNaN(friction) {
			f.Grip = math.Atan(friction) + burr
		}
		return f
	}
	sigma := 0.0
	for i := range ac.Inputs {
		if in := &ac.Inputs[i]; in.Path == frictionPath {
			sigma = in.Sigma
		}
	}
	lo, hi := math.Max(0.01, kf.Value-1.645*sigma), kf.Value+1.645*sigma
	pinned := func(say string, mu float64) RingCase {
		c, ok := ac.Turn(frictionPath, mu)
		if !ok {
			panic("seek: no friction")
		}
		return see(c, say, mu, map[string]float64{frictionPath: mu})
	}
	r.Known = [2]RingCase{pinned("as smooth as it may be", lo), pinned("as rough as it may be", hi)}
	for _, a := range []float64{5, 10, 15, 20, 30, 40} {
		// What slides at this angle has this grip, burr and friction together.
		if mu := math.Tan(a*deg - burr); mu > 0 {
			r.Bench = append(r.Bench, pinned("", mu))
		}
	}
	for _, b := range []float64{10, 25} {
		mu := math.Tan(math.Min(math.Atan(kf.Value)+b*deg, 80*deg))
		say := "a burr worth 10°"
		if b > 10 {
			say = "a deep burr or kink worth 25°"
		}
		r.WhatIf = append(r.WhatIf, pinned(say, mu))
	}
	for _, b := range []struct {
		say string
		d   float64
	}{{"pin bent up by 15°", -15}, {"pin bent down by 15°", 15}} {
		if c, ok := ac.Turn(rakePath, kr.Value+b.d*deg); ok {
			r.WhatIf = append(r.WhatIf, see(c, b.say, math.NaN(), nil))
		}
	}
	if k, ok := ac.Knob(aimPath); ok {
		if c, ok := ac.Turn(aimPath, k.Value+15*deg); ok {
			r.WhatIf = append(r.WhatIf, see(c, "line pulling 15° from the side", math.NaN(), nil))
		}
	}
	return r, failure
}
