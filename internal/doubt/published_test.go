package doubt

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// UpperTailMean is the mean of the worst (largest) share 1-a of a sample, its
// conditional value at risk at level a in [0, 1).
func UpperTailMean(values []float64, a float64) float64 {
	s := sortedCopy(values)
	left := (1 - a) * float64(len(s))
	if !(a >= 0 && a < 1) || len(s) == 0 {
		panic(fmt.Sprintf("doubt: tail %g of %d values", a, len(s)))
	}
	want := left
	var sum float64
	for i := len(s) - 1; i >= 0 && left > 0; i-- {
		w := math.Min(1, left)
		sum += w * s[i]
		left -= w
	}
	return sum / want
}

// LowerTailMean is the mean of the smallest share 1-a of a sample.
func LowerTailMean(values []float64, a float64) float64 {
	n := make([]float64, len(values))
	for i, v := range values {
		n[i] = -v
	}
	return -UpperTailMean(n, a)
}

// Jackknife is the standard error of a statistic by leaving out one
// observation at a time.
func Jackknife(n int, statistic func(index []int) float64) float64 {
	vals := make([]float64, n)
	idx := make([]int, 0, n)
	var mean float64
	for i := range n {
		idx = idx[:0]
		for j := range n {
			if j != i {
				idx = append(idx, j)
			}
		}
		vals[i] = statistic(idx)
		mean += vals[i] / float64(n)
	}
	var s float64
	for _, v := range vals {
		s += (v - mean) * (v - mean)
	}
	return math.Sqrt(s * float64(n-1) / float64(n))
}

// SD is its standard deviation.
func (b Beta) SD() float64 {
	s := b.A + b.B
	return math.Sqrt(b.A * b.B / (s * s * (s + 1)))
}

// Above is the chance that the probability exceeds p.
func (b Beta) Above(p float64) float64 { return mathext.RegIncBeta(b.B, b.A, 1-p) }

// ClopperPearsonUpper is the exact one-sided upper bound: with confidence
// conf the proportion is at most this.
func ClopperPearsonUpper(k, n int, conf float64) float64 {
	binomial(k, n, conf)
	if k == n {
		return 1
	}
	return BetaQuantile(float64(k+1), float64(n-k), conf)
}
