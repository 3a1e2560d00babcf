package assess

import (
	"context"
	"math"
	"testing"

	"fledge/internal/craft"
	"fledge/internal/doubt"
)

// Measuring the unknown that the odds hang on most (its sigma a tenth of what
// it was) takes away about the share of the doubt that was foretold. What the
// measurement will read is not known beforehand, so what is left is averaged
// over six places of the reading, each as likely; foretold is the first-order
// share, the fall of the variance on average, times 0.99 for what a tenth of
// the sigma leaves.
func TestMeasuringNarrows(t *testing.T) {
	o := Options{OnlyLaunch: true, Launches: 1024, Workers: 2}
	ac := example(t, "tern.yaml")
	const seeds, readings = 4, 6
	var was, told float64
	var lead doubt.Input
	for seed := range uint64(seeds) {
		o.Seed = seed + 1
		out := run(t, ac, o).Launch.Outcome
		if seed == 0 {
			most := 0.0
			for _, u := range out.Unknowns {
				if u.Input.Kind == doubt.Ignorance && u.Input.How != "" && u.Total > most {
					lead, most = u.Input, u.Total
				}
			}
		}
		for _, u := range out.Unknowns {
			if u.Input.Path == lead.Path {
				told += 0.99 * u.First / seeds
			}
		}
		t.Logf("seed %d: odds %.3f, sd over worlds %.3f (%s), pairs %.4f ± %.4f", seed+1, out.P, out.IgnoranceSD, out.Method, out.PairSD*out.PairSD, out.PairVarSE)
		was += out.IgnoranceSD * out.IgnoranceSD / seeds
	}
	if lead.Path == "" {
		t.Fatal("nothing to measure")
	}
	o.Brief = true
	var left, mean, square float64
	for i := range readings {
		measured := example(t, "tern.yaml")
		in := named(t, measured, lead.Path)
		in.Nominal = lead.Dist.At((float64(i) + 0.5) / readings)
		in.Sigma /= 10
		o.Seed = uint64(i + 1)
		out := run(t, measured, o).Launch.Outcome
		left += out.IgnoranceSD * out.IgnoranceSD / readings
		mean += out.P / readings
		square += out.P * out.P / readings
		t.Logf("%s measured as %.3f: odds %.3f, sd over worlds %.3f (%s), pairs %.4f ± %.4f", lead.Path, in.Nominal, out.P, out.IgnoranceSD, out.Method, out.PairSD*out.PairSD, out.PairVarSE)
	}
	fell, between := 1-left/was, (square-mean*mean)/was
	t.Logf("variance of the odds %.4f; measuring %s should take away %.2f of it, takes %.2f; the odds at the readings vary by %.2f of it", was, lead.Path, told, fell, between)
	// From seed to seed the variance of 1024 launches scatters by 17 %: the mean
	// of four and that of six are known to 8 and 7 %, so the fall to 0.11 of the
	// variance. Two such errors.
	if math.Abs(fell-told) > 0.22 {
		t.Errorf("foretold fall of the variance %.2f, found %.2f", told, fell)
	}
	// By the law of total variance the odds at the readings vary by as much,
	// which plain counts show without any response surface: six counts good to
	// 0.01 each give it to 0.02, the six middle places miss 0.02 of the tails.
	if math.Abs(between-told) > 0.08 {
		t.Errorf("foretold variance between readings %.2f, found %.2f", told, between)
	}
}

func named(t testing.TB, ac *craft.Aircraft, path string) *craft.Input {
	t.Helper()
	for i := range ac.Inputs {
		if ac.Inputs[i].Path == path {
			return &ac.Inputs[i]
		}
	}
	t.Fatal("no input " + path)
	return nil
}

// Error of the odds against that of plain draws of equal number, on the real
// launches of the example in doubt. The truth is 16384 launches of another
// seed; the error of plain draws is the binomial one and needs no run. 20
// seeds of 1024 launches gave, in turbulence: tern 0.52, tern-corrected 0.57,
// swift 0.91 of plain draws (its failures are rare and of three sorts on
// opposite sides).
func TestErrorAtEqualN(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	p := func(seed uint64, n int) float64 {
		r, err := c.Run(context.Background(), Options{Seed: seed, OnlyLaunch: true, Launches: n, Count: true, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		return r.Launch.Odds.Value
	}
	truth := p(1000, 16384)
	t.Logf("odds %.4f", truth)
	t.Logf("%8s %6s %12s %12s %6s", "launches", "runs", "even draws", "plain draws", "ratio")
	for _, r := range []struct {
		n, runs int
		most    float64
	}{
		// Aim: half. An RMS of 16 runs is itself known to 1/√32 = 18 %, so 0.68
		// is two such errors above the aim. A quarter of the launches, fewer than
		// any verdict uses, gains less: it need only beat plain draws.
		{256, 16, 1},
		{1024, 16, 0.68},
	} {
		e := 0.0
		for s := range r.runs {
			d := p(uint64(s+1), r.n) - truth
			e += d * d / float64(r.runs)
		}
		even, plain := math.Sqrt(e), math.Sqrt(truth*(1-truth)/float64(r.n))
		t.Logf("%8d %6d %12.4f %12.4f %6.2f", r.n, r.runs, even, plain, even/plain)
		if even/plain > r.most {
			t.Errorf("%d launches: error %.2f of that of plain draws, allowed %.2f", r.n, even/plain, r.most)
		}
	}
}
