package fit

import (
	"math"
	"strings"
)

// Sum is a fit in one line: how many judgements of a kind fail, are in doubt
// or cannot be told, the one that is tightest, and what would cure it.
type Sum struct {
	N, Fails, Doubtful, Unknown int
	Tightest                    *Result // of those with a room; nil without any
	Worst                       *Result // the first that fails, else is in doubt, else unknown; nil when all pass
}

// Sum of the judgements whose id starts with one of the given words.
func (s *Sheet) Sum(words ...string) Sum {
	var out Sum
	rank := 0
	for i := range s.Results {
		r := &s.Results[i]
		mine := false
		for _, w := range words {
			mine = mine || strings.HasPrefix(r.ID, w)
		}
		if !mine {
			continue
		}
		out.N++
		k := 0
		switch r.Status {
		case Fail:
			out.Fails++
			k = 3
		case Doubtful:
			out.Doubtful++
			k = 2
		case Unknown:
			out.Unknown++
			k = 1
		}
		if k > rank || k == 3 && rank == 3 && r.Room < out.Worst.Room {
			rank, out.Worst = k, r
		}
		if !math.IsNaN(r.Room) && (out.Tightest == nil || r.Room < out.Tightest.Room) {
			out.Tightest = r
		}
	}
	return out
}

// Interval is the 90 % interval of the room.
func (r *Result) Interval() (low, high float64) {
	return r.Room - level95*r.Sigma, r.Room + level95*r.Sigma
}

// First is the cure to try first, in words; "" without one.
func (r *Result) First() string {
	if len(r.Cures) == 0 {
		return ""
	}
	return r.Cures[0].Say()
}

// Say is the cure in words, with the --set strings that make it.
func (c *Cure) Say() string {
	if len(c.Set) == 0 {
		return c.What
	}
	return c.What + " (--set \"" + strings.Join(c.Set, "\" --set \"") + "\")"
}

// Failed tells whether it does not fit.
func (r *Result) Failed() bool { return r.Status == Fail }
