package doubt

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mathext"

	"fledge/internal/num"
)

// Range is a value with the interval around it.
type Range struct{ Value, Low, High float64 }

// Quantile of a sample at p in [0, 1]: linear between the ordered values taken
// as the (i-1/2)/n points; the ends beyond them. sorted must be in order and
// not empty.
func Quantile(sorted []float64, p float64) float64 {
	n := len(sorted)
	h := p*float64(n) - 0.5
	switch {
	case n == 0:
		panic("doubt: quantile of nothing")
	case !(h > 0):
		return sorted[0]
	case h >= float64(n-1):
		return sorted[n-1]
	}
	i := int(h)
	return math.Min(sorted[i]+(h-float64(i))*(sorted[i+1]-sorted[i]), sorted[i+1])
}

// Interval is the central interval of a sample that holds the share conf. It
// sorts a copy; NaN counts as an error of the caller and panics.
func Interval(values []float64, conf float64) (lo, hi float64) {
	s := sortedCopy(values)
	return Quantile(s, (1-conf)/2), Quantile(s, (1+conf)/2)
}

func sortedCopy(values []float64) []float64 {
	for _, v := range values {
		if math.IsNaN(v) {
			panic("doubt: NaN in a sample")
		}
	}
	s := append([]float64(nil), values...)
	sort.Float64s(s)
	return s
}

// Wilson is the score interval of a proportion, k hits in n (Wilson 1927).
func Wilson(k, n int, conf float64) (lo, hi float64) {
	binomial(k, n, conf)
	return Score(float64(k)/float64(n), float64(n), conf)
}

// Score is the score interval of a proportion p seen in n trials, where n need
// not be whole: the trials that even draws are worth.
func Score(p, n, conf float64) (lo, hi float64) {
	if !(p >= 0 && p <= 1 && n > 0 && conf > 0 && conf < 1) {
		panic(fmt.Sprintf("doubt: %g of %g at confidence %g", p, n, conf))
	}
	z := num.NormalQuantile(0.5 + conf/2)
	z2 := z * z
	mid := (p + z2/(2*n)) / (1 + z2/n)
	half := z / (1 + z2/n) * math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	lo, hi = mid-half, mid+half
	if p == 0 {
		lo = 0
	}
	if p == 1 {
		hi = 1
	}
	return math.Max(0, lo), math.Min(1, hi)
}

// ClopperPearson is the exact interval of a proportion (1934): it covers at
// least conf, often more.
func ClopperPearson(k, n int, conf float64) (lo, hi float64) {
	binomial(k, n, conf)
	a := (1 - conf) / 2
	hi = 1
	if k > 0 {
		lo = BetaQuantile(float64(k), float64(n-k+1), a)
	}
	if k < n {
		hi = BetaQuantile(float64(k+1), float64(n-k), 1-a)
	}
	return lo, hi
}

func binomial(k, n int, conf float64) {
	if n < 1 || k < 0 || k > n || !(conf > 0 && conf < 1) {
		panic(fmt.Sprintf("doubt: %d of %d at confidence %g", k, n, conf))
	}
}

// BetaQuantile is the p quantile of the beta distribution with parameters
// a, b > 0, found by bracketing its distribution function, to 1e-13.
func BetaQuantile(a, b, p float64) float64 {
	if !(a > 0 && b > 0 && p >= 0 && p <= 1) {
		panic(fmt.Sprintf("doubt: quantile %g of beta(%g, %g)", p, a, b))
	}
	if p == 0 || p == 1 {
		return p
	}
	return num.Root(func(x float64) float64 { return mathext.RegIncBeta(a, b, x) - p }, 0, 1, 1e-14).X
}

// Beta is a beta distribution of a probability: what is believed of a
// proportion. Beta{1, 1} knows nothing, Beta{0.5, 0.5} is Jeffreys' start.
type Beta struct{ A, B float64 }

// Seen is the belief after k hits in n more trials.
func (b Beta) Seen(k, n int) Beta {
	if k < 0 || k > n {
		panic(fmt.Sprintf("doubt: %d of %d", k, n))
	}
	return Beta{b.A + float64(k), b.B + float64(n-k)}
}

// Mean of the probability.
func (b Beta) Mean() float64 { return b.A / (b.A + b.B) }

// Quantile of the probability.
func (b Beta) Quantile(p float64) float64 { return BetaQuantile(b.A, b.B, p) }

// Interval is the central interval holding the share conf of the belief.
func (b Beta) Interval(conf float64) (lo, hi float64) {
	return b.Quantile((1 - conf) / 2), b.Quantile((1 + conf) / 2)
}

// NextAll is the chance that the next m trials all succeed.
func (b Beta) NextAll(m int) float64 {
	q := 1.0
	for i := range m {
		q *= (b.A + float64(i)) / (b.A + b.B + float64(i))
	}
	return q
}

// Bootstrapped is the result of [Bootstrap].
type Bootstrapped struct {
	SE     float64   // standard error
	Values []float64 // of the statistic over resamples, sorted
}

// Interval is the percentile interval.
func (b Bootstrapped) Interval(conf float64) (lo, hi float64) {
	return Quantile(b.Values, (1-conf)/2), Quantile(b.Values, (1+conf)/2)
}

// Bootstrap resamples n observations with replacement, times over, and takes
// the statistic of each resample, given as the indices drawn.
func Bootstrap(n, times int, seed uint64, statistic func(index []int) float64) Bootstrapped {
	if n < 2 || times < 2 {
		panic(fmt.Sprintf("doubt: bootstrap of %d observations, %d times", n, times))
	}
	idx := make([]int, n)
	out := Bootstrapped{Values: make([]float64, times)}
	var m, m2 float64
	for b := range times {
		r := num.NewStream(num.Hash(seed, uint64(b)))
		for i := range idx {
			idx[i] = r.IntN(n)
		}
		v := statistic(idx)
		out.Values[b] = v
		d := v - m
		m += d / float64(b+1)
		m2 += d * (v - m)
	}
	out.SE = math.Sqrt(m2 / float64(times-1))
	sort.Float64s(out.Values)
	return out
}
