package app

import (
	"context"
	"math"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/report"

	"gonum.org/v1/gonum/spatial/r3"
)

// Balance answers the second question; unless it is asked to be quick it also
// flies what each gram where, repairs and tape cost.
func Balance(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true, Cheap: true})
	if err != nil {
		return nil, err
	}
	ac := o.Aircraft
	p := report.Balanced{Subject: s, Doubt: fit.DoubtOf(ac), Swings: fit.Swings(ac)}
	if c, ok := fit.Check(ac); ok {
		p.Scales = &c
	}
	if !q.Fast {
		if err := grams(ctx, chain, q, &p); err != nil {
			return nil, err
		}
	}
	return &Answer{Doc: report.Balance(p), Body: report.BalanceBody(p), Chart: report.BalanceChart(p), Notes: o.RenderNotes()}, nil
}

// gramFor is the mass tried at each place, kg: 10 g, and on small models the
// largest of 5, 2, 1, 0.5, 0.2, 0.1 g that is no more than 3 % of the whole:
// with more it would be another aeroplane.
func gramFor(mass float64) float64 {
	for _, g := range []float64{10, 5, 2, 1, 0.5, 0.2} {
		if g*1e-3 <= 0.03*mass {
			return g * 1e-3
		}
	}
	return 0.1e-3
}

// grams flies what a little mass at several places change, and what the repairs and
// tape on the aeroplane cost, each on the same launches.
func grams(ctx context.Context, chain *assess.Chain, q Request, p *report.Balanced) error {
	ac := chain.Aircraft
	lo, hi := assess.Ends(ac)
	cg := ac.Mass.CG
	gram := gramFor(ac.Mass.Total)
	tip := 0.0
	for _, t := range ac.Surfaces[ac.Ref.Wing].Stations {
		tip = math.Max(tip, t.LE.Y)
	}
	places := []report.Gram{{Say: "at the nose", At: r3.Vec{X: lo}}}
	for _, b := range ac.Ballast {
		places = append(places, report.Gram{Say: b.Name, At: b.At})
	}
	places = append(places, report.Gram{Say: "at the balance point", At: cg}, report.Gram{Say: "at the tail", At: r3.Vec{X: hi}})
	if tip > 0 {
		places = append(places, report.Gram{Say: "at the right tip", At: r3.Vec{X: ac.Ref.Point.X, Y: tip, Z: cg.Z}})
	}
	patch := func(k *craft.Part) bool { return k.Kind == "repair" || k.Kind == "tape" }
	patched := false
	for i := range ac.Parts {
		patched = patched || patch(&ac.Parts[i])
	}
	base, err := differ(ctx, chain, ac, nil, &q)
	if err != nil {
		return err
	}
	var all []*compared
	for i := range places {
		g := &places[i]
		c := ac.Added(craft.Part{Name: "trial gram", Kind: "ballast", Mass: gram, At: g.At})
		d, err := differ(ctx, chain, c, base, &q)
		if err != nil {
			return err
		}
		all = append(all, d)
		g.Mass = gram
		g.Margin = -(c.Mass.CG.X - cg.X) / ac.Ref.Chord
		if q.Progress != nil {
			q.Progress("grams", i+1, len(places))
		}
	}
	p.Grams = places
	var k *report.Patched
	if patched {
		c := ac.Without(patch)
		d, err := differ(ctx, chain, c, base, &q)
		if err != nil {
			return err
		}
		all = append(all, d)
		k = &report.Patched{Mass: ac.Mass.Total - c.Mass.Total, Balance: cg.X - c.Mass.CG.X}
		for i := range ac.Parts {
			if t := &ac.Parts[i]; patch(t) {
				k.DragArea += t.DragArea
				k.Parts = append(k.Parts, fit.Called(t))
			}
		}
		p.Patched = k
	}
	if err := paired(ctx, base, all, false, &q); err != nil {
		return err
	}
	for i := range places {
		places[i].Effect = all[i].Effect
	}
	if k != nil {
		k.Effect = all[len(places)].Effect.Reverse()
	}
	return nil
}
