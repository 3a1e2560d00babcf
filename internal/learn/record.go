package learn

import (
	"math"

	"fledge/internal/doubt"
)

// The weight of what physics says of the odds, in launches. Our choice: at
// least two, for no model is so vague that one launch should outweigh it, and
// at most 30, for no model is so sure that thirty launches should not.
const (
	leastWeight = 2
	mostWeight  = 30
)

// oddOut is the chance of a record as lopsided below which it is said not to
// fit the odds forecast.
const oddOut = 0.02

// Record is the odds of the next launch after those on record.
type Record struct {
	Flown, Flew int
	Prior, Post doubt.Beta
	Physics     [3]float64 // value, low, high of the model
	Value       float64
	Low, High   float64 // 90 %
	NextThree   float64 // chance that the next three all fly
	// AsOdd is the chance, if the model's odds and their doubt are right, of a
	// record at least as far to the side this one is on.
	AsOdd float64
	Odd   bool
}

// Odds updates the odds that the model gives (value with its 90 % interval of
// ignorance) by a record of launches at the same settings: k flew of n.
//
// The model's odds become a beta distribution of the same mean and, as far as
// its weight stays between 2 and 30 launches, the same spread; each launch
// that flew adds one to a, each other one to b (conjugate prior of the
// binomial; Gelman et al., Bayesian Data Analysis, ch. 2). No launch gives
// the model's odds back, as far as a beta can hold their interval.
func Odds(value, low, high float64, n, k int) Record {
	r := Record{Flown: n, Flew: k, Physics: [3]float64{value, low, high}}
	p := math.Min(math.Max(value, 0.005), 0.995)
	sd := (high - low) / (2 * 1.6448536269514722)
	weight := float64(mostWeight)
	if sd > 0 {
		weight = math.Min(math.Max(p*(1-p)/(sd*sd)-1, leastWeight), mostWeight)
	}
	r.Prior = doubt.Beta{A: p * weight, B: (1 - p) * weight}
	r.Post = r.Prior.Seen(k, n)
	r.Value = r.Post.Mean()
	r.Low, r.High = r.Post.Interval(0.90)
	r.NextThree = r.Post.NextAll(3)
	below, above := 0.0, 0.0
	for j := 0; j <= n; j++ {
		c := betaBinomial(r.Prior, j, n)
		if j <= k {
			below += c
		}
		if j >= k {
			above += c
		}
	}
	r.AsOdd = math.Min(1, math.Min(below, above))
	r.Odd = n > 0 && r.AsOdd < oddOut/2
	return r
}

// betaBinomial is the chance of j of n launches when the odds are doubtful.
func betaBinomial(b doubt.Beta, j, n int) float64 {
	l := func(x float64) float64 { v, _ := math.Lgamma(x); return v }
	choose := l(float64(n+1)) - l(float64(j+1)) - l(float64(n-j+1))
	return math.Exp(choose + l(b.A+float64(j)) + l(b.B+float64(n-j)) - l(b.A+b.B+float64(n)) - l(b.A) - l(b.B) + l(b.A+b.B))
}
