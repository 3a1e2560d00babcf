package seek

import (
	"context"
	"math"
	"slices"
	"testing"

	"fledge/internal/verdict"
)

// market is a made-up one: each offer adds to the odds, the mass and the speed.
func market(most int) Market {
	odds := []float64{0.05, 0.2, 0.1, 0.3, -0.1}
	cost := []float64{0, 10, 3, 40, 0}
	return Market{
		Places: [][]int{{0, 1}, {2, 3}, {4}}, Most: most,
		Cost: func(o int) float64 { return cost[o] },
		Look: func(_ context.Context, picks []int) (Trade, error) {
			t := Trade{Mass: 1, Odds: 0.6, TopSpeed: 40, Endurance: 300, Word: verdict.NoGo}
			for _, p := range picks {
				t.Odds += odds[p]
				t.Mass += 0.01 * float64(p)
			}
			if t.Odds >= 0.9 {
				t.Word = verdict.Go
			} else {
				t.Failing = []string{"launch-odds"}
			}
			return t, nil
		},
	}
}

func TestTrades(t *testing.T) {
	all, left, err := Trades(context.Background(), market(1000), nil)
	if err != nil || len(all) != 3*3*2 || left != 0 {
		t.Fatalf("%d trades, %d left, %v", len(all), left, err)
	}
	// Slow and plain: every choice, the cheapest that goes.
	want := math.Inf(1)
	m := market(0)
	for _, a := range [][]int{nil, {0}, {1}} {
		for _, b := range [][]int{nil, {2}, {3}} {
			for _, c := range [][]int{nil, {4}} {
				picks := slices.Concat(a, b, c)
				x, _ := m.Look(context.Background(), picks)
				for _, p := range picks {
					x.Cost += m.Cost(p)
				}
				if x.Word == verdict.Go {
					want = math.Min(want, x.Cost)
				}
			}
		}
	}
	got := ByCost(all)
	if len(got) == 0 || all[got[0]].Cost != want || all[got[0]].Word != verdict.Go {
		t.Errorf("cheapest %+v, want %g", all[got[0]], want)
	}
	for _, i := range got {
		if len(all[i].Failing) > 0 {
			t.Errorf("%+v fails", all[i])
		}
	}
	// Few looks: singles first, and what is left is said.
	few, left, _ := Trades(context.Background(), market(8), nil)
	if len(few) != 8 || left != 10 || len(few[0].Picks) != 0 || len(few[5].Picks) != 1 {
		t.Errorf("%d looks, %d left", len(few), left)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := Trades(ctx, market(100), nil); err == nil {
		t.Error("cancelled, and went on")
	}
}

func TestFront(t *testing.T) {
	n := math.NaN()
	all := []Trade{
		{Cost: 0, Mass: 1, Odds: 0.6, TopSpeed: 40, Endurance: 300},
		{Cost: 5, Mass: 1, Odds: 0.6, TopSpeed: 40, Endurance: 300},     // dearer for nothing
		{Cost: 5, Mass: 1, Odds: 0.9, TopSpeed: 40, Endurance: 300},     // odds for money
		{Cost: 5, Mass: 1, Odds: 0.905, TopSpeed: 39.9, Endurance: 300}, // another trade
		{Cost: 0, Mass: 1.1, Odds: n, TopSpeed: 50, Endurance: 300},
		{Cost: 0, Why: "no mass"},
	}
	f := Front(all)
	if slices.Contains(f, 1) || slices.Contains(f, 5) || !slices.Contains(f, 0) || !slices.Contains(f, 2) || !slices.Contains(f, 4) {
		t.Errorf("%v", f)
	}
	for _, i := range f { // nothing on the front is beaten in all
		for j := range all {
			a, b := all[j], all[i]
			if a.Why == "" && a.Cost < b.Cost && a.Mass <= b.Mass && a.Odds >= b.Odds && a.TopSpeed >= b.TopSpeed && a.Endurance >= b.Endurance {
				t.Errorf("%d beats %d", j, i)
			}
		}
	}
	if Nearest([]Trade{{Why: "x"}}) != -1 || Nearest(all) != 3 {
		t.Errorf("nearest %d", Nearest(all))
	}
}
