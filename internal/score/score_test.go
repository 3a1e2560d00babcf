package score

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
)

// record simulates launches: truth is the true odds of a launch that is
// forecast p.
func record(seed uint64, n int, truth func(p float64) float64) []Launch {
	r := num.NewStream(num.Hash(seed))
	out := make([]Launch, n)
	for i := range out {
		p := 0.55 + 0.44*r.Float64()
		out[i] = Launch{P: p, Hit: r.Float64() < truth(p)}
	}
	return out
}

func honest(p float64) float64 { return p }

func TestBrierTable(t *testing.T) {
	src := cite.Brier.At("score of certain and of even forecasts, halved to one class", cite.Memory)
	for _, c := range []struct {
		name string
		list []Launch
		want float64
	}{
		{"certain and right", []Launch{{P: 1, Hit: true}, {P: 0, Hit: false}}, 0},
		{"certain and wrong", []Launch{{P: 1, Hit: false}}, 1},
		{"even", []Launch{{P: 0.5, Hit: true}, {P: 0.5}}, 0.25},
		{"0.9 of which one in ten fails", append(many(9, 0.9, true), many(1, 0.9, false)...), 0.09},
	} {
		check.Row{Topic: "forecast scores", Name: "Brier score, " + c.name, Source: src}.Near(t, OfOdds(c.list, 1).Brier, c.want, check.Exact(4))
	}
}

func many(n int, p float64, hit bool) []Launch {
	out := make([]Launch, n)
	for i := range out {
		out[i] = Launch{P: p, Hit: hit}
	}
	return out
}

// The parts add up to the score, always.
func TestParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		list := make([]Launch, n)
		for i := range list {
			list[i] = Launch{P: rapid.Float64Range(0, 1).Draw(t, "p"), Hit: rapid.Bool().Draw(t, "hit")}
		}
		o := OfOdds(list, 1)
		if s := o.Reliability - o.Resolution + o.Uncertainty + o.Within; math.Abs(s-o.Brier) > 1e-12 {
			t.Fatalf("%g, parts add up to %g", o.Brier, s)
		}
		var sum int
		for _, b := range o.Bins {
			sum += b.N
			if !(b.Low <= b.Rate && b.Rate <= b.High) {
				t.Fatalf("%+v", b)
			}
		}
		if sum != n || len(o.Say) == 0 || o.Tail < 0 || o.Tail > 1 || o.RightLow > o.RightH {
			t.Fatalf("%+v", o)
		}
	})
}

// With equal odds the number of hits is binomial.
func TestHits(t *testing.T) {
	p := make([]float64, 20)
	for i := range p {
		p[i] = 0.83
	}
	b := distuv.Binomial{N: 20, P: 0.83}
	for k, q := range hits(p) {
		if math.Abs(q-b.Prob(float64(k))) > 1e-13 {
			t.Errorf("%d: %g %g", k, q, b.Prob(float64(k)))
		}
	}
	// Unequal odds against all outcomes, one by one.
	p = []float64{0.1, 0.5, 0.93, 0.7, 1, 0}
	want := make([]float64, len(p)+1)
	for set := range 1 << len(p) {
		w, k := 1.0, 0
		for i, q := range p {
			if set>>i&1 == 1 {
				w *= q
				k++
			} else {
				w *= 1 - q
			}
		}
		want[k] += w
	}
	for k, q := range hits(p) {
		if math.Abs(q-want[k]) > 1e-15 {
			t.Errorf("%d: %g %g", k, q, want[k])
		}
	}
}

// Synthetic launches with known truth: an honest forecaster is rarely
// blamed, a boaster and a pessimist are found out, and the interval of the
// score holds the true score about as often as it says.
func TestKnownTruth(t *testing.T) {
	const records = 400
	for _, n := range []int{8, 12, 30, 80} {
		var worse, few, held int
		var rates, inside int
		for s := range uint64(records) {
			o := OfOdds(record(s, n, honest), s)
			if o.Tail < 0.05 {
				worse++
			}
			if o.FewTail < 0.05 {
				few++
			}
			// The expected score of odds drawn as record draws them, all n equal
			// in law: mean of p(1-p) over 0.55 to 0.99.
			if o.BrierLow <= meanScore && meanScore <= o.BrierHigh {
				held++
			}
			for _, b := range o.Bins {
				rates++
				if b.Low <= b.Mean && b.Mean <= b.High {
					inside++
				}
			}
		}
		// 5 % of 400 is 20, standard deviation 4.4: four of them allowed. The
		// tests are conservative, being discrete.
		if worse > 38 || few > 38 {
			t.Errorf("n = %d: an honest forecaster was blamed %d and %d times of %d", n, worse, few, records)
		}
		if share := float64(inside) / float64(rates); share < 0.88 {
			t.Errorf("n = %d: 90 %% intervals of the rate held the truth %.3f of the time", n, share)
		}
		share := float64(held) / records
		if n >= 30 && (share < 0.83 || share > 0.96) {
			t.Errorf("n = %d: the score's interval held the true score %.3f of the time", n, share)
		}
		if n < Few && held > 0 {
			t.Errorf("an interval from %d launches", n)
		}
		t.Logf("n = %d: honest forecasters blamed for the score %.1f %%, for the number %.1f %%; score interval held %.1f %%, rate intervals %.1f %%", n, 100*float64(worse)/records, 100*float64(few)/records, 100*share, 100*float64(inside)/float64(rates))
	}
	var boaster, pessimist int
	for s := range uint64(100) {
		if OfOdds(record(s, 60, func(p float64) float64 { return p - 0.25 }), s).FewTail < 0.05 {
			boaster++
		}
		if OfOdds(record(s, 60, func(p float64) float64 { return p + (1-p)*0.8 }), s).ManyTail < 0.05 {
			pessimist++
		}
	}
	if boaster < 95 || pessimist < 90 {
		t.Errorf("found out: %d boasters, %d pessimists of 100", boaster, pessimist)
	}
}

// meanScore is the mean of p(1-p) for p even over 0.55 to 0.99.
var meanScore = (func(p float64) float64 { return p*p/2 - p*p*p/3 }(0.99) - func(p float64) float64 { return p*p/2 - p*p*p/3 }(0.55)) / 0.44

func TestSeededAlike(t *testing.T) {
	a, b := OfOdds(record(3, 40, honest), 9), OfOdds(record(3, 40, honest), 9)
	if a.BrierLow != b.BrierLow || a.RightH != b.RightH {
		t.Error("the same record has two scores")
	}
}

func speeds(seed uint64, n int, bias, blow float64) []Flight {
	r := num.NewStream(num.Hash(seed, 5))
	out := make([]Flight, n)
	for i := range out {
		v := 30 + 20*r.Float64()
		s := 0.05 * v
		out[i] = Flight{Value: v, Low: v - z90*s, High: v + z90*s, SD: 0.5, Measured: v*bias + blow*math.Hypot(s, 0.5)*r.Normal()}
	}
	return out
}

func TestSpeeds(t *testing.T) {
	var biased, wide, within int
	const records, n = 300, 15
	for s := range uint64(records) {
		o := OfSpeeds(speeds(s, n, 1, 1))
		if o.RatioLow > 1 || o.RatioHigh < 1 {
			biased++
		}
		if o.Spread > o.SpreadHigh || o.Spread < o.SpreadLow {
			wide++
		}
		within += o.Within
	}
	// 10 % each; 300 records: standard deviation 1.7 %.
	if biased < 10 || biased > 52 || wide < 10 || wide > 52 {
		t.Errorf("right forecasts blamed: bias %d, spread %d of %d", biased, wide, records)
	}
	if share := float64(within) / (records * n); math.Abs(share-0.9) > 0.02 {
		t.Errorf("%.3f within the 90 %% intervals", share)
	}
	if o := OfSpeeds(speeds(1, n, 0.85, 1)); !(o.RatioHigh < 1) || math.Abs(o.Ratio-0.85) > 0.05 {
		t.Errorf("%+v", o)
	}
	if o := OfSpeeds(speeds(2, 40, 1, 3)); !(o.Spread > o.SpreadHigh) || math.Abs(o.Spread-3) > 1 {
		t.Errorf("%+v", o)
	}
	if o := OfSpeeds(nil); o.N != 0 || len(o.Say) != 1 {
		t.Errorf("%+v", o)
	}
	if o := OfSpeeds([]Flight{{Value: 40, Low: 40, High: 40, Measured: 41}}); !math.IsNaN(o.Spread) || o.Within != 0 {
		t.Errorf("%+v", o)
	}
}

func TestPlot(t *testing.T) {
	for _, n := range []int{0, 3, 40} {
		svg := OfOdds(record(1, n, honest), 1).Plot().SVG(480, 480)
		d := xml.NewDecoder(bytes.NewReader(svg))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
	}
}
