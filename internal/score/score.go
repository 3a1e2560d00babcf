// Package score holds our own forecasts against what happened: odds against
// launches achieved, speeds against speeds measured. With the few launches a
// person makes, most differences are luck; so each score comes with what it
// would be if the forecasts were exactly right, and says when the data are
// too few to tell.
package score

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"fledge/internal/doubt"
	"fledge/internal/num"
)

// Few is the number of forecasts below which no interval of the score is
// given: a resample of fewer repeats single launches too often to mean
// anything (our choice).
const Few = 10

const conf = 0.9

// Launch is one forecast of odds and what came of it.
type Launch struct {
	Name string
	P    float64 // forecast, 0 to 1
	Hit  bool
}

// Bin is one row of the reliability table.
type Bin struct {
	From, To  float64
	N, Hits   int
	Mean      float64 // forecast
	Rate      float64 // achieved
	Low, High float64 // exact 90 % interval of the true rate (Clopper and Pearson)
}

// Odds is the score of forecasts of odds.
type Odds struct {
	N, Hits      int
	ExpectedHits float64
	FewTail      float64 // chance of so few hits or fewer if the forecasts are right
	ManyTail     float64 // of so many or more

	Brier                   float64 // mean of (p - hit)², 0 is perfect
	BrierLow, BrierHigh     float64 // 90 % interval by resampling; NaN below Few
	Right, RightLow, RightH float64 // the score if the forecasts are right: mean and 90 % interval
	Tail                    float64 // chance of a score as bad or worse if the forecasts are right

	// Brier = Reliability - Resolution + Uncertainty + Within: Murphy's parts
	// over the bins, and what forecasts differ within them (Stephenson).
	Reliability, Resolution, Uncertainty, Within float64
	Skill                                        float64 // 1 - Brier/Uncertainty; NaN when all ended alike

	Bins []Bin // those with launches
	Say  []string
}

// edges of the reliability table.
var edges = []float64{0, 0.5, 0.7, 0.8, 0.9, 0.95, 1}

// OfOdds scores forecasts of odds. It panics on odds outside 0 to 1.
func OfOdds(list []Launch, seed uint64) Odds {
	n := len(list)
	o := Odds{N: n, BrierLow: math.NaN(), BrierHigh: math.NaN(), Skill: math.NaN()}
	if n == 0 {
		o.Brier, o.Right, o.RightLow, o.RightH, o.Tail, o.FewTail, o.ManyTail = math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()
		o.Say = []string{"no launch has a forecast yet"}
		return o
	}
	p := make([]float64, n)
	for i, l := range list {
		if !(l.P >= 0 && l.P <= 1) {
			panic(fmt.Sprintf("score: odds of %g", l.P))
		}
		p[i] = l.P
		if l.Hit {
			o.Hits++
		}
		o.ExpectedHits += l.P
		o.Brier += one(l) / float64(n)
	}
	pm := hits(p)
	for k, q := range pm {
		if k <= o.Hits {
			o.FewTail += q
		}
		if k >= o.Hits {
			o.ManyTail += q
		}
	}
	o.FewTail, o.ManyTail = math.Min(1, o.FewTail), math.Min(1, o.ManyTail)
	o.parts(list)
	o.right(p, seed)
	if n >= Few {
		b := doubt.Bootstrap(n, 2000, num.Hash(seed, 1), func(idx []int) float64 {
			s := 0.0
			for _, i := range idx {
				s += one(list[i])
			}
			return s / float64(n)
		})
		o.BrierLow, o.BrierHigh = b.Interval(conf)
	}
	o.say()
	return o
}

func one(l Launch) float64 {
	d := l.P
	if l.Hit {
		d--
	}
	return d * d
}

// hits is the distribution of the number of hits of independent launches,
// exactly (Poisson's binomial), by adding one launch at a time.
func hits(p []float64) []float64 {
	out := make([]float64, 1, len(p)+1)
	out[0] = 1
	for _, q := range p {
		out = append(out, 0)
		for k := len(out) - 1; k >= 0; k-- {
			v := out[k] * (1 - q)
			if k > 0 {
				v += out[k-1] * q
			}
			out[k] = v
		}
	}
	return out
}

// parts fills the table and the decomposition.
func (o *Odds) parts(list []Launch) {
	base := float64(o.Hits) / float64(o.N)
	o.Uncertainty = base * (1 - base)
	for b := 0; b+1 < len(edges); b++ {
		bin := Bin{From: edges[b], To: edges[b+1]}
		var in []Launch
		for _, l := range list {
			if l.P >= bin.From && (l.P < bin.To || b+2 == len(edges)) {
				in = append(in, l)
			}
		}
		if len(in) == 0 {
			continue
		}
		bin.N = len(in)
		for _, l := range in {
			bin.Mean += l.P / float64(bin.N)
			if l.Hit {
				bin.Hits++
			}
		}
		bin.Rate = float64(bin.Hits) / float64(bin.N)
		bin.Low, bin.High = doubt.ClopperPearson(bin.Hits, bin.N, conf)
		w := float64(bin.N) / float64(o.N)
		o.Reliability += w * (bin.Mean - bin.Rate) * (bin.Mean - bin.Rate)
		o.Resolution += w * (bin.Rate - base) * (bin.Rate - base)
		for _, l := range in { // within: variance of p minus twice its covariance with the outcome
			d := l.P - bin.Mean
			hit := 0.0
			if l.Hit {
				hit = 1
			}
			o.Within += (d*d - 2*d*(hit-bin.Rate)) / float64(o.N)
		}
		o.Bins = append(o.Bins, bin)
	}
	if o.Uncertainty > 0 {
		o.Skill = 1 - o.Brier/o.Uncertainty
	}
}

// right is the distribution of the score if each launch succeeds with just
// the odds forecast: all outcomes up to 14 launches, else 4000 drawn.
func (o *Odds) right(p []float64, seed uint64) {
	n := len(p)
	for _, q := range p {
		o.Right += q * (1 - q) / float64(n)
	}
	var s, w []float64
	if n <= 14 {
		for set := range 1 << n {
			score, weight := 0.0, 1.0
			for i, q := range p {
				if set>>i&1 == 1 {
					score += (1 - q) * (1 - q)
					weight *= q
				} else {
					score += q * q
					weight *= 1 - q
				}
			}
			if weight > 0 {
				s, w = append(s, score/float64(n)), append(w, weight)
			}
		}
	} else {
		const draws = 4000
		for d := range draws {
			r := num.NewStream(num.Hash(seed, 2, uint64(d)))
			score := 0.0
			for _, q := range p {
				score += one(Launch{P: q, Hit: r.Float64() < q})
			}
			s, w = append(s, score/float64(n)), append(w, 1.0/draws)
		}
	}
	for i, x := range s {
		if x >= o.Brier-1e-12 {
			o.Tail += w[i]
		}
	}
	o.Tail = math.Min(1, o.Tail)
	o.RightLow, o.RightH = quantiles(s, w)
}

// quantiles of a discrete distribution: the smallest values with at least 5 %
// and 95 % at or below.
func quantiles(s, w []float64) (lo, hi float64) {
	idx := make([]int, len(s))
	for i := range idx {
		idx[i] = i
	}
	sort.Slice(idx, func(a, b int) bool { return s[idx[a]] < s[idx[b]] })
	at := func(p float64) float64 {
		cum := 0.0
		for _, i := range idx {
			if cum += w[i]; cum >= p-1e-12 {
				return s[i]
			}
		}
		return s[idx[len(idx)-1]]
	}
	return at((1 - conf) / 2), at((1 + conf) / 2)
}

func (o *Odds) say() {
	if o.N < Few {
		o.Say = append(o.Say, fmt.Sprintf("too few launches to judge forecasts by (%d): from %d on the score gets an interval", o.N, Few))
	}
	switch {
	case o.FewTail < 0.05:
		o.Say = append(o.Say, fmt.Sprintf("fewer flew away than forecast (%d of %d, %.1f expected): if the forecasts were right, so few or fewer would come in %.2g %% of such records; the odds are too high, or the launches differ from what the build says", o.Hits, o.N, o.ExpectedHits, 100*o.FewTail))
	case o.ManyTail < 0.05:
		o.Say = append(o.Say, fmt.Sprintf("more flew away than forecast (%d of %d, %.1f expected): if the forecasts were right, so many or more would come in %.2g %% of such records; the odds are too low", o.Hits, o.N, o.ExpectedHits, 100*o.ManyTail))
	default:
		o.Say = append(o.Say, fmt.Sprintf("%d of %d flew away, %.1f were expected: no sign that the odds are wrong", o.Hits, o.N, o.ExpectedHits))
	}
	if o.Tail < 0.05 {
		o.Say = append(o.Say, fmt.Sprintf("the score is worse than right forecasts would give (%.2g %% of such records)", 100*o.Tail))
	}
	if o.Uncertainty == 0 {
		o.Say = append(o.Say, "all launches ended alike: whether the forecasts tell good from bad ones cannot be seen")
	}
}

// Flight is one forecast of a speed and its measurement.
type Flight struct {
	Name             string
	Value, Low, High float64 // forecast with its 90 % interval
	Measured, SD     float64
}

// Speeds is the score of forecasts of speed.
type Speeds struct {
	N                          int
	Within                     int // measured inside the forecast's 90 % interval, measurement doubt added
	Share, ShareLow, ShareHigh float64
	Ratio, RatioLow, RatioHigh float64 // measured over forecast: geometric mean with 90 % interval; the ends NaN below 3
	Spread                     float64 // root mean square of (measured - forecast) over the standard deviation claimed: 1 is right
	SpreadLow, SpreadHigh      float64 // what it would be, 90 %, if the doubt is right
	Rows                       []Row
	Say                        []string
}

// Row is one flight with its miss in standard deviations.
type Row struct {
	Flight
	Z      float64
	Within bool
}

// z90 is half the 90 % interval of a normal distribution, in sigmas.
var z90 = num.NormalQuantile(0.95)

// OfSpeeds scores forecasts of speed. It panics unless speeds are positive
// and the intervals in order.
func OfSpeeds(list []Flight) Speeds {
	s := Speeds{N: len(list), Share: math.NaN(), ShareLow: math.NaN(), ShareHigh: math.NaN(), Ratio: math.NaN(), RatioLow: math.NaN(), RatioHigh: math.NaN(), Spread: math.NaN(), SpreadLow: math.NaN(), SpreadHigh: math.NaN()}
	if s.N == 0 {
		s.Say = []string{"no flight has a speed both forecast and measured yet"}
		return s
	}
	n := float64(s.N)
	var mean, sq, zz float64
	sharp := false
	for _, f := range list {
		if !(f.Value > 0 && f.Measured > 0 && f.Low <= f.High && f.SD >= 0) {
			panic(fmt.Sprintf("score: %+v", f))
		}
		sigma := math.Hypot((f.High-f.Low)/(2*z90), f.SD)
		if sigma == 0 {
			sharp = true
		}
		// Inside: of the interval as given, ends moved out by the measurement.
		var lo, hi = f.Value - math.Hypot(f.Value-f.Low, z90*f.SD), f.Value + math.Hypot(f.High-f.Value, z90*f.SD)
		r := Row{Flight: f, Z: (f.Measured - f.Value) / sigma, Within: f.Measured >= lo && f.Measured <= hi}
		if r.Within {
			s.Within++
		}
		zz += r.Z * r.Z
		mean += math.Log(f.Measured/f.Value) / n
		s.Rows = append(s.Rows, r)
	}
	for _, f := range list {
		d := math.Log(f.Measured/f.Value) - mean
		sq += d * d
	}
	s.Share = float64(s.Within) / n
	s.ShareLow, s.ShareHigh = doubt.ClopperPearson(s.Within, s.N, conf)
	s.Ratio = math.Exp(mean)
	if s.N >= 3 {
		half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile((1+conf)/2) * math.Sqrt(sq/(n-1)/n)
		s.RatioLow, s.RatioHigh = math.Exp(mean-half), math.Exp(mean+half)
	}
	if !sharp {
		s.Spread = math.Sqrt(zz / n)
		chi := distuv.ChiSquared{K: n}
		s.SpreadLow, s.SpreadHigh = math.Sqrt(chi.Quantile((1-conf)/2)/n), math.Sqrt(chi.Quantile((1+conf)/2)/n)
	}
	switch {
	case s.N < 3:
		s.Say = append(s.Say, fmt.Sprintf("too few flights to judge speeds by (%d)", s.N))
	case s.RatioLow > 1:
		s.Say = append(s.Say, fmt.Sprintf("faster than forecast by %.1f %% on the mean", 100*(s.Ratio-1)))
	case s.RatioHigh < 1:
		s.Say = append(s.Say, fmt.Sprintf("slower than forecast by %.1f %% on the mean", 100*(1-s.Ratio)))
	default:
		s.Say = append(s.Say, "no sign of a bias")
	}
	switch {
	case sharp || s.N < 3:
	case s.Spread > s.SpreadHigh:
		s.Say = append(s.Say, "the misses are larger than the doubt stated: the intervals are too narrow")
	case s.Spread < s.SpreadLow:
		s.Say = append(s.Say, "the misses are smaller than the doubt stated: the intervals are wider than need be")
	default:
		s.Say = append(s.Say, "the misses fit the doubt stated")
	}
	return s
}
