package assess

import (
	"context"
	"math"
	"reflect"
	"slices"
	"testing"

	"fledge/internal/doubt"
	"fledge/internal/launch"
)

// A drawn launch does not show what its desk flew before: the same bits from
// a used desk and a fresh one, for hand and bungee, tractor and pusher.
func TestDrawsForgetEachOther(t *testing.T) {
	for _, name := range []string{"wren.yaml", "tern.yaml", "swift.yaml"} {
		c, err := NewChain(example(t, name))
		if err != nil {
			t.Fatal(err)
		}
		space, index, err := c.space(true)
		if err != nil {
			t.Fatal(err)
		}
		for _, in := range c.Aircraft.Inputs {
			if in.Path == "launch.bungee.cord.slack" && name == "swift.yaml" {
				space = space.With(in.Path, doubt.Exactly(in.Nominal)) // then the cord is kept from draw to draw
			}
		}
		sampler := doubt.NewSampler(space, 3, 2)
		used := c.desk()
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		for i := range 48 {
			sampler.Draw(i, ign, sca)
			used.set(c, index, 3, i, ign, sca)
			a := launch.Run(&used.s, used.w)
			fresh := c.desk()
			fresh.set(c, index, 3, i, ign, sca)
			b := launch.Run(&fresh.s, fresh.w)
			if a.Class != b.Class || math.Float64bits(a.AtEnd.Speed) != math.Float64bits(b.AtEnd.Speed) || math.Float64bits(a.T) != math.Float64bits(b.T) {
				t.Fatalf("%s, draw %d: %v at %.17g s, %.17g m/s; alone %v at %.17g s, %.17g m/s", name, i, a.Class, a.T, a.AtEnd.Speed, b.Class, b.T, b.AtEnd.Speed)
			}
		}
	}
}

// A glance is a count of the same launches as the odds, the same on any number
// of workers; chosen draws are the ones of the whole; pins hold.
func TestGlance(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	o := Options{Seed: 5, Launches: 64, OnlyLaunch: true, Count: true}
	r, err := c.Run(ctx, o)
	if err != nil {
		t.Fatal(err)
	}
	g, err := c.Glance(ctx, o, Ask{N: 64})
	if err != nil {
		t.Fatal(err)
	}
	if g.Hits != r.Launch.Outcome.Hits || !reflect.DeepEqual(g.Success, r.Launch.Outcome.Success) {
		t.Errorf("%d of %d, the odds count %d", g.Hits, g.N, r.Launch.Outcome.Hits)
	}
	o.Workers = 3
	h, err := c.Glance(ctx, o, Ask{N: 64})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(g, h) {
		t.Error("three workers see something else")
	}
	some, err := c.Glance(ctx, o, Ask{Draws: []int{3, 60, 17}})
	if err != nil {
		t.Fatal(err)
	}
	for k, i := range []int{3, 60, 17} {
		if some.Scores[k] != g.Scores[i] {
			t.Errorf("draw %d alone scores %g, in the row %g", i, some.Scores[k], g.Scores[i])
		}
	}
	if d, se := g.Against(&h); d != 0 || se != 0 {
		t.Errorf("against itself %g ± %g", d, se)
	}
	// A ring that hardly holds: all fall off before they are launched.
	p, err := c.Glance(ctx, o, Ask{N: 64, Pins: map[string]float64{"launch.bungee.hook.rake": 1.7}})
	if err != nil {
		t.Fatal(err)
	}
	if p.Hits != 0 {
		t.Errorf("%d launches with a pin that points down and forward", p.Hits)
	}
	d, se := p.Against(&g)
	if want := -g.Odds; math.Abs(d-want) > 1e-12 || !(se > 0) {
		t.Errorf("change %g ± %g, want %g", d, se, want)
	}
}

// A launch with no gear has no safe stretch; with gear the pull there is the
// pull asked for.
func TestSafeStretch(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	pull := c.HeldPull()
	if x, ok := c.SafeStretch(pull); !ok || math.Abs(x-c.Aircraft.Launch.Bungee.Stretch) > 1e-6 {
		t.Errorf("the pull held, %g N, at %g m; she is pulled to %g", pull, x, c.Aircraft.Launch.Bungee.Stretch)
	}
	w, err := NewChain(example(t, "wren.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := w.SafeStretch(10); ok || w.HeldPull() != 0 {
		t.Error("a hand launch has a safe stretch")
	}
}

// A look that is told when enough is known stops there, at the same launch on
// any number of workers, and what it flew is the beginning of the whole.
func TestEnough(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := c.Glance(context.Background(), Options{Seed: 5, Workers: 2}, Ask{N: 100})
	if err != nil {
		t.Fatal(err)
	}
	var n [2]int
	for k := range n {
		g, err := c.Glance(context.Background(), Options{Seed: 5, Workers: k + 1}, Ask{N: 100, Enough: func(_, failed int) bool { return failed > 5 }})
		if err != nil {
			t.Fatal(err)
		}
		n[k] = g.N
		if g.N >= 100 || !slices.Equal(g.Success, whole.Success[:g.N]) || g.Odds != float64(g.Hits)/float64(g.N) {
			t.Errorf("flew %d, odds %v of %d hits", g.N, g.Odds, g.Hits)
		}
	}
	if n[0] != n[1] {
		t.Errorf("one worker flew %d, two %d", n[0], n[1])
	}
}
