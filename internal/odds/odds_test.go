package odds

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/doubt"
	"fledge/internal/num"
)

// synthetic is a launch whose odds are known: it succeeds when a margin is
// positive. Inputs are standard normal.
type synthetic struct {
	name   string
	ni, ns int
	margin func(ign, sca []float64) float64
	noise  float64 // turbulence: normal, from the draw's own stream
	exact  func(ign []float64) float64
}

func (s synthetic) space(t testing.TB) *doubt.Space {
	var in []doubt.Input
	n, err := doubt.Normal(0, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.ni {
		in = append(in, doubt.Input{Path: fmt.Sprintf("unknown%d", i), Kind: doubt.Ignorance, Dist: n})
	}
	for i := range s.ns {
		in = append(in, doubt.Input{Path: fmt.Sprintf("scatter%d", i), Kind: doubt.Scatter, Dist: n})
	}
	sp, err := doubt.NewSpace(in)
	if err != nil {
		t.Fatal(err)
	}
	return sp
}

func (s synthetic) phase(seed uint64) Phase {
	return func(_ context.Context, d Draw) Result {
		m := s.margin(d.Ignorance, d.Scatter)
		if s.noise > 0 {
			r := num.NewStream(num.Hash(seed, uint64(d.Index), 99))
			m += s.noise * r.Normal()
		}
		if len(d.Values) > 0 {
			d.Values[0] = m
		}
		switch {
		case m > 0:
			return Result{Success: true}
		case m > -0.5:
			return Result{Class: "just failed"}
		}
		return Result{Class: "failed badly"}
	}
}

// truth is the odds in a world by brute force, or in closed form.
func (s synthetic) truth(ign []float64, r *num.Stream, n int) float64 {
	if s.exact != nil && n > 1 {
		return s.exact(ign)
	}
	sca := make([]float64, s.ns)
	hits := 0
	for range n {
		for k := range sca {
			sca[k] = r.Normal()
		}
		if s.margin(ign, sca)+s.noise*r.Normal() > 0 {
			hits++
		}
	}
	return float64(hits) / float64(n)
}

func lin(c float64, a, b []float64) func(i, s []float64) float64 {
	return func(i, s []float64) float64 {
		m := c
		for k, v := range a {
			m += v * i[k]
		}
		for k, v := range b {
			m += v * s[k]
		}
		return m
	}
}

func cases() []synthetic {
	a := []float64{1, 0.6, 0.4, 0.3, 0.2, 0.1, 0.05, 0.05, 0, 0}
	b := []float64{0.8, 0.6, 0.4, 0.3, 0.2, 0.1, 0, 0}
	scale := func(v []float64, k float64) []float64 {
		o := make([]float64, len(v))
		for i := range v {
			o[i] = k * v[i]
		}
		return o
	}
	line := func(name string, c float64, a, b []float64, noise float64) synthetic {
		v := noise * noise
		for _, x := range b {
			v += x * x
		}
		zero := make([]float64, len(b))
		return synthetic{name, len(a), len(b), lin(c, a, b), noise, func(i []float64) float64 {
			return 0.5 * math.Erfc(-lin(c, a, b)(i, zero)/math.Sqrt(2*v))
		}}
	}
	return []synthetic{
		line("even odds, much ignorance", 0, a, b, 0),
		line("good odds, much ignorance", 1.8, a, b, 0),
		line("good odds, little ignorance", 1.5, scale(a, 0.2), b, 0),
		line("hardly any ignorance", 1, scale(a, 0.05), b, 0),
		line("turbulence rules", 1.5, scale(a, 0.5), scale(b, 0.4), 1),
		line("good odds in turbulence", 2.2, append(scale(a, 0.7), make([]float64, 10)...), append(b, 0, 0), 0.8),
		{"two-sided: too little and too much fail", 10, 8, func(i, s []float64) float64 { return 1.6 - math.Abs(lin(0.3, a, scale(b, 0.7))(i, s)) }, 0.1, nil},
		{"product of two unknowns", 10, 8, func(i, s []float64) float64 { return lin(1, a, b)(i, s) + 0.6*i[0]*i[1] }, 0, nil},
		{"two ways to fail", 10, 8, func(i, s []float64) float64 {
			return math.Min(lin(1.6, a, b)(i, s), 1.4+0.9*i[8]+0.8*s[1]-0.5*s[6])
		}, 0.2, nil},
		line("almost sure", 4, a, b, 0.5),
	}
}

// Coverage: how often the odds of a world drawn at random lie in the 90 %
// interval said to hold them. The true worlds come from plain random numbers.
func TestIgnoranceCoverage(t *testing.T) {
	n, truths, runs := 1024, 300, 6
	var all, count float64
	for ci, c := range cases() {
		sp := c.space(t)
		r := num.NewStream(num.Hash(4, uint64(ci)))
		ps := make([]float64, truths)
		var mean, m2 float64
		for j := range ps {
			ign := make([]float64, c.ni)
			for k := range ign {
				ign[k] = r.Normal()
			}
			ps[j] = c.truth(ign, &r, 2000)
			mean += ps[j] / float64(truths)
			m2 += ps[j] * ps[j] / float64(truths)
		}
		sd := math.Sqrt(math.Max(0, m2-mean*mean-mean*(1-mean)/2000*blur(c)))
		tl, th := doubt.Interval(ps, 0.9)
		var cover, los, his, sds, pairs float64
		methods := map[Method]int{}
		for seed := range runs {
			o, err := Run(context.Background(), sp, Plan{N: n, Seed: uint64(seed + 1)}, c.phase(uint64(seed)))
			if err != nil {
				t.Fatal(err)
			}
			in := 0.0
			for _, p := range ps {
				if p >= o.Odds.Low && p <= o.Odds.High {
					in++
				}
			}
			cover += in / float64(truths) / float64(runs)
			los += o.Odds.Low / float64(runs)
			his += o.Odds.High / float64(runs)
			sds += o.IgnoranceSD / float64(runs)
			pairs += o.PairSD / float64(runs)
			methods[o.Method]++
		}
		t.Logf("%-42s true odds %.3f sd %.3f [%.3f %.3f] said sd %.3f (pairs %.3f) [%.3f %.3f] coverage %.3f %v", c.name, mean, sd, tl, th, sds, pairs, los, his, cover, methods)
		all += cover
		count++
	}
	t.Logf("mean coverage %.3f", all/count)
}

// Error of the odds against plain random draws of the same number.
func TestErrorAtEqualN(t *testing.T) {
	const runs = 24
	for ci, c := range cases() {
		sp := c.space(t)
		r := num.NewStream(num.Hash(14, uint64(ci)))
		const big = 400000
		hits := 0
		ign := make([]float64, c.ni)
		for range big {
			for k := range ign {
				ign[k] = r.Normal()
			}
			if c.truth(ign, &r, 1) > 0 {
				hits++
			}
		}
		p := float64(hits) / big
		for _, n := range []int{1024, 4096} {
			var e float64
			for seed := range runs {
				o, _ := Run(context.Background(), sp, Plan{N: n, Seed: uint64(100 + seed)}, c.phase(uint64(seed)))
				e += (o.P - p) * (o.P - p)
			}
			e = math.Sqrt(e / runs)
			plain := math.Sqrt(p * (1 - p) / float64(n))
			t.Logf("%-42s n %d: even draws %.4f plain %.4f ratio %.2f", c.name, n, e, plain, e/plain)
		}
	}
}

func blur(c synthetic) float64 {
	if c.exact != nil {
		return 0
	}
	return 1
}

var _ = check.Row{}
var _ = cite.Ours
var _ = reflect.DeepEqual
var _ = errors.Is
