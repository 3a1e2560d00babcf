package seek

import (
	"context"
	"math"
	"sort"

	"fledge/internal/verdict"
)

// Trade is one choice among parts: at most one offer for each place, and what
// comes of it.
type Trade struct {
	Picks []int   // offers, rising; empty: the build as it is
	Cost  float64 // money
	// What the trade-offs are made of; NaN where there is none.
	Mass, Odds, TopSpeed, Endurance float64
	Word                            verdict.Word
	Failing                         []string // ids of findings that fail
	Open                            []string // safety findings in doubt or unknown
	Why                             string   // why it cannot be built; then all else is nothing
}

// Market is what can be chosen from.
type Market struct {
	Places [][]int // offers for each place
	Cost   func(offer int) float64
	Look   func(ctx context.Context, picks []int) (Trade, error) // quick, with common random numbers
	Most   int                                                   // looks allowed
}

// better orders trades by how near they are to GO: verdict, failing findings,
// doubts, launch odds, then money.
func better(a, b *Trade) bool {
	rank := map[verdict.Word]int{verdict.Go: 0, verdict.Hold: 1, verdict.NoGo: 2}
	switch {
	case (a.Why == "") != (b.Why == ""):
		return a.Why == ""
	case rank[a.Word] != rank[b.Word]:
		return rank[a.Word] < rank[b.Word]
	case len(a.Failing) != len(b.Failing):
		return len(a.Failing) < len(b.Failing)
	case len(a.Open) != len(b.Open):
		return len(a.Open) < len(b.Open)
	case math.IsNaN(a.Odds) != math.IsNaN(b.Odds):
		return math.IsNaN(b.Odds)
	case a.Odds > b.Odds || a.Odds < b.Odds:
		return a.Odds > b.Odds
	}
	return a.Cost < b.Cost
}

// Trades looks at every choice when there are few; else at every single swap,
// then at pairs and larger sets of the ones that come nearest to GO, until Most
// looks are used. The first is the build as it is. left is how many choices
// were not looked at.
func Trades(ctx context.Context, m Market, progress func(stage string, done, total int)) (all []Trade, left int, err error) {
	total := 1
	for _, p := range m.Places {
		total = min(total*(1+len(p)), 1<<20)
	}
	want := min(total, m.Most)
	seen := map[string]bool{}
	look := func(picks []int) error {
		picks = append([]int(nil), picks...)
		sort.Ints(picks)
		key := ""
		for _, p := range picks {
			key += string(rune('0' + p))
		}
		if seen[key] || len(all) >= m.Most {
			return nil
		}
		seen[key] = true
		t, err := m.Look(ctx, picks)
		if err != nil {
			return err
		}
		t.Picks = picks
		for _, p := range picks {
			t.Cost += m.Cost(p)
		}
		all = append(all, t)
		if progress != nil {
			progress("swaps", len(all), want)
		}
		return ctx.Err()
	}
	if err = look(nil); err != nil {
		return nil, 0, err
	}
	place := map[int]int{}
	var singles []int
	for i, p := range m.Places {
		for _, o := range p {
			place[o] = i
			singles = append(singles, o)
			if err = look([]int{o}); err != nil {
				return nil, 0, err
			}
		}
	}
	// Larger sets grow from the best so far by one offer at a time.
	front := append([]Trade(nil), all...)
	for size := 2; size <= len(m.Places) && len(all) < m.Most; size++ {
		sort.SliceStable(front, func(i, j int) bool { return better(&front[i], &front[j]) })
		from := len(all)
		for _, f := range front {
			if len(f.Picks) != size-1 || f.Why != "" {
				continue
			}
			for _, o := range singles {
				free := true
				for _, p := range f.Picks {
					free = free && place[p] != place[o]
				}
				if !free {
					continue
				}
				if err = look(append(append([]int(nil), f.Picks...), o)); err != nil {
					return nil, 0, err
				}
			}
		}
		front = append([]Trade(nil), all[from:]...)
	}
	return all, max(0, total-len(all)), nil
}

// ByCost orders the choices that may reach GO, cheapest first; among equals
// the best odds, by whole launches in a hundred, then the fewest swaps. Choices
// that fail outright are left out.
func ByCost(all []Trade) []int {
	var out []int
	for i := range all {
		if t := &all[i]; t.Why == "" && len(t.Failing) == 0 {
			out = append(out, i)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := &all[out[i]], &all[out[j]]
		if a.Cost != b.Cost {
			return a.Cost < b.Cost
		}
		if x, y := math.Round(100*a.Odds), math.Round(100*b.Odds); x > y || x < y {
			return x > y
		}
		return len(a.Picks) < len(b.Picks)
	})
	return out
}

// Nearest is the choice that comes nearest to GO; -1 when none can be built.
func Nearest(all []Trade) int {
	best := -1
	for i := range all {
		if all[i].Why == "" && (best < 0 || better(&all[i], &all[best])) {
			best = i
		}
	}
	return best
}

// least is the smallest difference that counts in a trade-off (our choice):
// 0.5 g, one launch in a hundred, 0.1 m/s, 3 s.
var least = [4]float64{0.5e-3, 0.01, 0.1, 3}

// Front lists the choices that no other beats: none is as good in money, mass,
// launch odds, top speed and endurance, and better in one by more than counts.
func Front(all []Trade) []int {
	goods := func(t *Trade) [4]float64 { return [4]float64{-t.Mass, t.Odds, t.TopSpeed, t.Endurance} }
	beats := func(a, b *Trade) bool {
		x, y := goods(a), goods(b)
		some := a.Cost < b.Cost
		if a.Cost > b.Cost {
			return false
		}
		for k := range x {
			switch {
			case math.IsNaN(x[k]) && !math.IsNaN(y[k]):
				return false
			case math.IsNaN(y[k]):
				some = some || !math.IsNaN(x[k])
			case x[k] < y[k]-1e-12:
				return false
			case x[k] > y[k]+least[k]:
				some = true
			}
		}
		return some
	}
	var out []int
	for i := range all {
		beaten := all[i].Why != ""
		for j := range all {
			if j != i && all[j].Why == "" && !beaten {
				beaten = beats(&all[j], &all[i])
			}
		}
		if !beaten {
			out = append(out, i)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return all[out[i]].Cost < all[out[j]].Cost })
	return out
}
