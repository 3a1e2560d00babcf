package odds

import (
	"math"
	"sort"

	"fledge/internal/doubt"
	"fledge/internal/num"
)

// Sizes of the cheap evaluation of the response surface.
const (
	worldPoints = 512
	innerPoints = 64
	shareBase   = 256
	disagree    = 2.6  // standard errors between surface and pairs
	misfit      = 0.15 // usual relative error of the surface's variance, from the tests
)

// ignorance estimates the range of the odds over worlds.
func (o *Outcome) ignorance() {
	space := o.space
	o.PairSD, o.PairVarSE = math.NaN(), math.NaN()
	unknowns := 0
	for _, in := range space.Inputs(doubt.Ignorance) {
		if !in.Dist.Fixed() {
			unknowns++
		}
	}
	defer o.together()
	if unknowns == 0 {
		o.Method = NoIgnorance
		o.IgnoranceLow, o.IgnoranceHigh = o.P, o.P
		return
	}
	pairVar := math.NaN()
	if o.Again >= 8 {
		pairVar, o.PairVarSE = o.pairs()
		o.PairSD = math.Sqrt(math.Max(0, pairVar))
	}
	u, y := o.points()
	ni := space.Len(doubt.Ignorance)
	r := doubt.FitResponse(u, y, ni, true)
	if r == nil {
		// Too few runs of one sort, or too few for so many unknowns, to tell
		// worlds apart by a surface: the worlds run twice still bound the spread.
		if rare := min(o.Hits, o.N-o.Hits); pairVar > 2*o.PairVarSE && rare >= 5 {
			o.Method, o.IgnoranceSD = ByPairs, math.Sqrt(pairVar)
			lo, hi := betaWithVariance(o.P, pairVar, (1-o.Confidence)/2)
			o.IgnoranceLow, o.IgnoranceHigh = math.Min(lo, o.P), math.Max(hi, o.P)
			return
		}
		o.Method = ByBound
		o.IgnoranceLow, o.IgnoranceHigh, o.IgnoranceSD = o.widest()
		return
	}
	w := r.Worlds(worldPoints, innerPoints, num.Hash(o.Seed, 11))
	o.Method = ByResponse
	o.IgnoranceSD = w.SD
	a := (1 - o.Confidence) / 2
	lo, hi := doubt.Quantile(w.Values, a), doubt.Quantile(w.Values, 1-a)
	if v := w.SD * w.SD; !math.IsNaN(pairVar) && o.PairVarSE > 0 {
		if math.Abs(pairVar-v) > disagree*math.Hypot(o.PairVarSE, misfit*v) && pairVar > 0 {
			o.Method = ByPairs
			o.IgnoranceSD = o.PairSD
			lo, hi = betaWithVariance(o.P, pairVar, a)
		} else if v > 0 {
			// both are right: mean by precision, the surface with its typical misfit
			ws, wp := 1/(misfit*misfit*v*v), 1/(o.PairVarSE*o.PairVarSE)
			joint := (ws*v + wp*math.Max(pairVar, 0)) / (ws + wp)
			lo, hi = spread(lo, w.Mean, math.Sqrt(joint/v)), spread(hi, w.Mean, math.Sqrt(joint/v))
			o.IgnoranceSD = math.Sqrt(joint)
		}
	}
	// the surface's own mean may differ a little from the count
	o.IgnoranceLow, o.IgnoranceHigh = math.Min(lo, o.P), math.Max(hi, o.P)
	if w.SD > 0 && !o.brief {
		o.Unknowns = o.shares(r, &w)
	}
}

// shares lists the unknowns by their share in the spread of worlds.
func (o *Outcome) shares(r *doubt.Response, w *doubt.Worlds) (out []InputShare) {
	s := w.Shares(shareBase, num.Hash(o.Seed, 12))
	for k, in := range o.space.Inputs(doubt.Ignorance) {
		if !in.Dist.Fixed() {
			out = append(out, InputShare{in, clip(s.First[k]), clip(s.Total[k]), r.Stands(k)})
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Total > out[b].Total })
	return out
}

// UnknownsOf lists what reported number j hangs on, largest first, from a
// response surface to its values (averaged over scatter), with the share of
// the variance that the surface explains: trust the list as far as that. Nil
// when there are too few runs that report the number, or it never changes.
func (o *Outcome) UnknownsOf(j int) (unknowns []InputShare, explained float64) {
	all, _ := o.points()
	var u [][]float64
	var y []float64
	same := true
	for i, v := range o.Values[j] {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			u, y = append(u, all[i]), append(y, v)
			same = same && v == y[0]
		}
	}
	if len(y) == 0 || same {
		return nil, 0
	}
	r := doubt.FitResponse(u, y, o.space.Len(doubt.Ignorance), false)
	if r == nil || o.space.Len(doubt.Ignorance) == 0 {
		return nil, 0
	}
	w := r.Worlds(worldPoints, innerPoints, num.Hash(o.Seed, 13))
	return o.shares(r, &w), r.R2
}

// spread moves odds p away from m by a factor, on the scale of log odds.
func spread(p, m, factor float64) float64 {
	if p <= 0 || p >= 1 || m <= 0 || m >= 1 {
		return p
	}
	lp, lm := math.Log(p/(1-p)), math.Log(m/(1-m))
	return 1 / (1 + math.Exp(-(lm + factor*(lp-lm))))
}

func clip(x float64) float64 { return math.Min(1, math.Max(0, x)) }

// points gathers the uniform points of all draws (exact inputs held at 1/2,
// so that they drop out) and successes as numbers.
func (o *Outcome) points() (u [][]float64, y []float64) {
	space, sampler := o.space, o.sampler
	ni, ns := space.Len(doubt.Ignorance), space.Len(doubt.Scatter)
	flat := make([]float64, o.N*(ni+ns))
	u, y = make([][]float64, o.N), make([]float64, o.N)
	inputs := append(space.Inputs(doubt.Ignorance), space.Inputs(doubt.Scatter)...)
	for i := range u {
		row := flat[i*(ni+ns) : (i+1)*(ni+ns)]
		sampler.Points(i, row[:ni], row[ni:])
		for k, in := range inputs {
			if in.Dist.Fixed() {
				row[k] = 0.5
			}
		}
		u[i] = row
		if o.Success[i] {
			y[i] = 1
		}
	}
	return u, y
}

// widest is the range of the odds of worlds when all that is known is how
// rare failures (or successes) are: a beta distribution with the mean seen,
// half a launch added to either side, and, for each end, the variance that puts
// it furthest out. More variance than that gathers the failures in so few
// worlds that the end misses them.
func (o *Outcome) widest() (lo, hi, sd float64) {
	mean := (float64(o.Hits) + 0.5) / float64(o.N+1)
	lo, hi = o.P, o.P
	a := (1 - o.Confidence) / 2
	for share := 1e-4; share < 0.9; share *= 1.5 { // of the variance that is between worlds
		v := share * mean * (1 - mean)
		l, h := betaWithVariance(mean, v, a)
		if l < lo {
			lo, sd = l, math.Max(sd, math.Sqrt(v))
		}
		if h > hi {
			hi, sd = h, math.Max(sd, math.Sqrt(v))
		}
	}
	return lo, hi, sd
}

// pairs estimates the variance of the odds over worlds without bias: the mean
// product of the two runs of a world, as deviations from the odds; with its
// standard error.
func (o *Outcome) pairs() (v, se float64) {
	var s, s2 float64
	dev := func(ok bool) float64 {
		if ok {
			return 1 - o.P
		}
		return -o.P
	}
	for w, ok := range o.again {
		c := dev(o.Success[w]) * dev(ok)
		s += c
		s2 += c * c
	}
	m := float64(o.Again)
	mean := s / m
	// P is the mean of more runs than these, evenly drawn: its own error is not
	// corrected for.
	return mean, math.Sqrt(math.Max(0, s2/m-mean*mean) / m)
}

// betaWithVariance gives the quantiles a and 1-a of the beta distribution
// with the given mean and variance.
func betaWithVariance(mean, v, a float64) (lo, hi float64) {
	most := mean * (1 - mean)
	if !(most > 0) {
		return mean, mean
	}
	v = math.Min(v, 0.98*most)
	s := most/v - 1
	return doubt.BetaQuantile(mean*s, (1-mean)*s, a), doubt.BetaQuantile(mean*s, (1-mean)*s, 1-a)
}

// together joins ignorance and sampling: their distances from P add in
// quadrature.
func (o *Outcome) together() {
	lo := math.Hypot(o.P-o.IgnoranceLow, o.P-o.SamplingLow)
	hi := math.Hypot(o.IgnoranceHigh-o.P, o.SamplingHigh-o.P)
	if o.Method == ByCount { // the same thing twice
		lo, hi = o.P-o.SamplingLow, o.SamplingHigh-o.P
	}
	o.Odds = doubt.Range{Value: o.P, Low: math.Max(0, o.P-lo), High: math.Min(1, o.P+hi)}
}
