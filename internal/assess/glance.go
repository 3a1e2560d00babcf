package assess

import (
	"context"
	"math"

	"fledge/internal/doubt"
	"fledge/internal/launch"
	"fledge/internal/odds"
)

// Glance is a quick look at the launches of a chain, for searches, maps and
// what-ifs: counted odds and a score that still slopes where all odds are
// zero. Launch i of one seed meets the same gust, hand and ignorance whatever
// was changed (common random numbers), so that differences between glances
// are far surer than the odds themselves: see [Glance.Against].
type Glance struct {
	N, Hits  int // launches flown, and good ones
	Odds     float64
	Score    float64 // mean of [launch.Outcome.Score], -1..2
	Failures []odds.Share
	Success  []bool // per launch
	Scores   []float64
	Grave    bool // no launch can come of this setup
}

// Against is the difference of odds from another glance of the same seed and
// number, with its standard error: the launches are paired, so that only
// those count that one change saves or spoils.
func (g *Glance) Against(base *Glance) (d, se float64) {
	if g.N != base.N || g.N == 0 {
		return math.NaN(), math.NaN()
	}
	up, down := 0, 0
	for i, ok := range g.Success {
		switch {
		case ok && !base.Success[i]:
			up++
		case !ok && base.Success[i]:
			down++
		}
	}
	n := float64(g.N)
	d = float64(up-down) / n
	return d, math.Sqrt(math.Max(0, float64(up+down)/n-d*d) / n)
}

// Ask says what to look at.
type Ask struct {
	N     int   // the first N launches of the seed
	Draws []int // these launches instead
	// Pins holds inputs at exact values, whatever their doubt: paths that no
	// input has are left out.
	Pins map[string]float64
	// Enough, when set, is asked now and then whether so many launches and
	// failures tell enough; the rest is then not flown. When it is asked does not
	// depend on the number of workers.
	Enough func(flown, failed int) bool
}

// patience is how many launches are flown before [Ask.Enough] is asked again.
const patience = 40

// Glance flies the launches asked for and counts; of o it takes seed and
// workers. It errs on a cancelled context and on impossible doubts.
func (c *Chain) Glance(ctx context.Context, o Options, ask Ask) (Glance, error) {
	o = o.filled()
	if c.Aircraft.Launch.By == "" {
		return Glance{}, nil
	}
	space, index, err := c.space(true)
	if err != nil {
		return Glance{}, err
	}
	for _, in := range c.Aircraft.Inputs {
		if v, ok := ask.Pins[in.Path]; ok && !in.Shape() {
			space = space.With(in.Path, doubt.Exactly(v))
		}
	}
	n := c.Nominal()
	setup := c.Setup(&n)
	g := Glance{}
	for _, k := range setup.Check() {
		g.Grave = g.Grave || k.Grave
	}
	draws := ask.Draws
	if draws == nil {
		draws = make([]int, ask.N)
		for i := range draws {
			draws[i] = i
		}
	}
	g.Success, g.Scores = make([]bool, len(draws)), make([]float64, len(draws))
	classes := make([]launch.Class, len(draws))
	sampler := doubt.NewSampler(space, o.Seed, 1) // as odds.Run
	desks := make([]*desk, o.Workers)
	misses := 0
	for g.N < len(draws) {
		from, n := g.N, len(draws)-g.N
		if ask.Enough != nil {
			n = min(n, patience)
		}
		err = each(ctx, n, o.Workers, func(worker int) func(int) {
			if desks[worker] == nil {
				k := c.desk()
				desks[worker] = &k
			}
			k := desks[worker]
			ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
			return func(i int) {
				i += from
				sampler.Draw(draws[i], ign, sca)
				k.set(c, index, o.Seed, draws[i], ign, sca)
				f := launch.Run(&k.s, k.w)
				g.Success[i], g.Scores[i], classes[i] = f.Success, f.Score(), f.Class
			}
		}, nil)
		if err != nil {
			return Glance{}, err
		}
		g.N += n
		for _, ok := range g.Success[from:g.N] {
			if !ok {
				misses++
			}
		}
		if ask.Enough != nil && ask.Enough(g.N, misses) {
			break
		}
	}
	g.Success, g.Scores = g.Success[:g.N], g.Scores[:g.N]
	var failed [launch.Classes]int
	for i, ok := range g.Success {
		g.Score += g.Scores[i] / float64(g.N)
		if ok {
			g.Hits++
		} else {
			failed[classes[i]]++
		}
	}
	for k, n := range failed {
		if n > 0 {
			g.Failures = append(g.Failures, odds.Share{Class: launch.Class(k).Key(), Count: n, Share: float64(n) / float64(g.N)})
		}
	}
	g.Odds = float64(g.Hits) / math.Max(1, float64(g.N))
	return g, nil
}

// SafeStretch is the longest stretch that a pull of most N allows by the
// nominal cord; ok is false without a bungee or a limit.
func (c *Chain) SafeStretch(most float64) (stretch float64, ok bool) {
	n := c.Nominal()
	s := c.Setup(&n)
	if s.Way != launch.Bungee || s.Cord == nil || !(most > 0) || !(s.CordFactor > 0) {
		return 0, false
	}
	stretch, _, ok = s.Cord.SafePull(s.CordFactor, most)
	return stretch, ok
}

// HeldPull is the pull of the bungee before it is let go, all at its nominal
// value, N; 0 without one.
func (c *Chain) HeldPull() float64 {
	n := c.Nominal()
	s := c.Setup(&n)
	if s.Way != launch.Bungee || s.Cord == nil {
		return 0
	}
	f, _, _ := s.Cord.At(s.Stretch)
	return f * s.CordFactor
}
