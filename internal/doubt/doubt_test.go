package doubt

import (
	"math"
	"sort"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
)

func must(d Dist, err error) Dist {
	if err != nil {
		panic(err)
	}
	return d
}

func anyDists() map[string]Dist {
	return map[string]Dist{
		"exact":           Exactly(3),
		"normal":          must(Normal(2, 0.5)),
		"truncated":       must(Truncated(1, 0.8, 0, 5)),
		"mirrored normal": must(Normal(2, 0.5)).Mirror(),
		"mirrored, cut":   must(Truncated(1, 0.8, 0, 5)).Mirror(),
	}
}

// Mean and deviation by brute quantiles must agree with the closed forms;
// quantiles rise; the mirror is the exact mirror.
func TestDistributions(t *testing.T) {
	for name, d := range anyDists() {
		const n = 50000
		var m, m2 float64
		last := math.Inf(-1)
		if d.mirrored {
			last = math.Inf(1)
		}
		for i := range n {
			v := d.At((float64(i) + 0.5) / n)
			if !d.mirrored && v < last || d.mirrored && v > last {
				t.Fatalf("%s: quantiles are not in order at %d", name, i)
			}
			last = v
			m += v / n
			m2 += v * v / n
		}
		sd := math.Sqrt(math.Max(0, m2-m*m))
		if math.Abs(m-d.Mean()) > 2e-4*(1+math.Abs(m)) || math.Abs(sd-d.SD()) > 1e-3*d.SD()+1e-5 {
			t.Errorf("%s: mean %g sd %g, by quantiles %g %g", name, d.Mean(), d.SD(), m, sd)
		}
		lo, hi := d.Interval(0.9)
		if !(lo <= d.Nominal() && d.Nominal() <= hi) {
			t.Errorf("%s: nominal %g outside [%g, %g]", name, d.Nominal(), lo, hi)
		}
		if x := d.Mirror(); x.At(0.3) != -d.At(0.3) || x.Nominal() != -d.Nominal() || x.Mirror() != d {
			t.Errorf("%s: not mirrored", name)
		}
	}
	// known points
	src := cite.GUM.At("coverage factor k = 2: 95.45 % of a normal", cite.Memory)
	d := must(Normal(10, 2.0/2))
	check.Row{Topic: "distributions", Name: "share within ± of a normal", Source: src}.Near(t, phi((12-10)/d.SD())-phi((8-10)/d.SD()), 0.9545, check.Printed(1e-4))
}

func TestImpossibleDoubts(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, f := range map[string]func() (Dist, error){
		"negative spread":      func() (Dist, error) { return Normal(1, -0.1) },
		"NaN":                  func() (Dist, error) { return Normal(nan, 1) },
		"infinite spread":      func() (Dist, error) { return Normal(1, inf) },
		"value outside bounds": func() (Dist, error) { return Truncated(5, 1, 0, 4) },
		"mostly impossible":    func() (Dist, error) { return Truncated(0.5, 100, 0, 1) },
	} {
		_, err := f()
		imp, ok := err.(Impossible)
		if !ok || imp.Why == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	// zero doubt is exact, for every family
	for _, d := range []Dist{must(Normal(3, 0)), must(Truncated(3, 0, 0, 5))} {
		if !d.Fixed() || d.At(0.01) != 3 || d.Nominal() != 3 || d.SD() != 0 {
			t.Errorf("zero doubt: %+v", d)
		}
	}
}

func space(t testing.TB) *Space {
	s, err := NewSpace([]Input{
		{Path: "a", Kind: Ignorance, Dist: must(Normal(1, 0.1))},
		{Path: "hand", Kind: Scatter, Dist: must(Normal(0, 2))},
		{Path: "b", Kind: Ignorance, Dist: Exactly(7)},
		{Path: "c", Kind: Ignorance, Dist: must(Truncated(0.5, 0.3, 0, 1))},
		{Path: "gust", Kind: Scatter, Dist: must(Normal(0, 0.6))},
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSpace(t *testing.T) {
	s := space(t)
	var ign, ign2 [3]float64
	var sca, sca2 [2]float64
	s.Nominal(Ignorance, ign[:])
	s.Nominal(Scatter, sca[:])
	if ign != [3]float64{1, 7, 0.5} || sca != [2]float64{0, 0} || s.Len(Scatter) != 2 || s.Certain() {
		t.Errorf("nominal %v %v", ign, sca)
	}
	m := NewSampler(s, 42, 2)
	m.Draw(10, ign[:], sca[:])
	m.Draw(11, ign2[:], sca2[:])
	if ign != ign2 || sca == sca2 || ign[1] != 7 {
		t.Errorf("repeats of one world: %v %v, %v %v", ign, ign2, sca, sca2)
	}
	// alone, again, with another input narrowed: the others stay as they were
	n := NewSampler(s.With("c", Exactly(0.25)), 42, 2)
	n.Draw(10, ign2[:], sca2[:])
	if ign2[0] != ign[0] || ign2[2] != 0.25 || sca2 != sca {
		m.Draw(10, ign[:], sca[:])
		if ign2[0] != ign[0] || sca2 != sca {
			t.Errorf("narrowing one input moved others: %v %v", ign, ign2)
		}
	}
	if NewSampler(s, 43, 2).Draw(10, ign2[:], sca2[:]); ign2[0] == ign[0] {
		t.Error("another seed, the same draw")
	}
	if a := testing.AllocsPerRun(100, func() { m.Draw(5, ign[:], sca[:]) }); a != 0 {
		t.Errorf("%v allocations per draw", a)
	}
	for _, bad := range [][]Input{{{Path: "x"}, {Path: "x"}}, {{Path: ""}}, make([]Input, 300)} {
		if _, err := NewSpace(bad); err == nil {
			t.Error("accepted a bad space")
		}
	}
	if z, _ := NewSpace([]Input{{Path: "x", Dist: Exactly(1)}}); !z.Certain() {
		t.Error("exact inputs are in doubt")
	}
	// sample means of the draws
	const N = 4096
	var sum [5]float64
	for i := range N {
		m.Draw(i, ign[:], sca[:])
		for k, v := range []float64{ign[0], ign[1], ign[2], sca[0], sca[1]} {
			sum[k] += v / N
		}
	}
	for k, want := range []float64{1, 7, 0.5, 0, 0} {
		if math.Abs(sum[k]-want) > 2e-3 {
			t.Errorf("input %d: mean of draws %g, want %g", k, sum[k], want)
		}
	}
	// repeats given the world are uncorrelated
	var c float64
	for w := range N / 2 {
		m.Points(2*w, ign[:], sca[:])
		m.Points(2*w+1, ign[:], sca2[:])
		c += (sca[0] - 0.5) * (sca2[0] - 0.5) * 12 / (N / 2)
	}
	if math.Abs(c) > 4/math.Sqrt(N/2) {
		t.Errorf("repeats are correlated: %g", c)
	}
}

func TestBinomialIntervals(t *testing.T) {
	src := cite.ClopperPearson.At("closed forms, with Wilson 1927", cite.Derived)
	tol := check.ModelAbs(1e-5, "stated tolerance; printed to 1e-6")
	for _, r := range check.CSV(t, check.RefFile("flight-binomial.csv")) {
		k, n, c := int(check.Number(t, r, "k")), int(check.Number(t, r, "n")), check.Number(t, r, "confidence")
		wl, wh := Wilson(k, n, c)
		cl, ch := ClopperPearson(k, n, c)
		jl, jh := Beta{0.5, 0.5}.Seen(k, n).Interval(c)
		for _, q := range []struct {
			name, col string
			got       float64
		}{{"Wilson low", "wilson_lo", wl}, {"Wilson high", "wilson_hi", wh}, {"Clopper-Pearson low", "clopper_pearson_lo", cl}, {"Clopper-Pearson high", "clopper_pearson_hi", ch}, {"Jeffreys low", "jeffreys_beta_lo", jl}, {"Jeffreys high", "jeffreys_beta_hi", jh}} {
			check.Row{Topic: "binomial intervals", Name: q.name, Source: src}.Near(t, q.got, check.Number(t, r, q.col), tol)
		}
	}
	src = cite.Newcombe98.At("table I, method 3", cite.Seen)
	exact := cite.Newcombe98.At("table I, method 5", cite.Memory)
	for _, r := range []struct {
		k, n           int
		wl, wh, cl, ch float64
	}{{81, 263, 0.2553, 0.3662, 0.2527, 0.3676}, {15, 148, 0.0624, 0.1605, 0.0578, 0.1617}} {
		wl, wh := Wilson(r.k, r.n, 0.95)
		cl, ch := ClopperPearson(r.k, r.n, 0.95)
		check.Row{Topic: "binomial intervals", Name: "score interval, low", Source: src}.Near(t, wl, r.wl, check.Printed(1e-4))
		check.Row{Topic: "binomial intervals", Name: "score interval, high", Source: src}.Near(t, wh, r.wh, check.Printed(1e-4))
		check.Row{Topic: "binomial intervals", Name: "exact interval, low", Source: exact}.Near(t, cl, r.cl, check.Printed(1e-4))
		check.Row{Topic: "binomial intervals", Name: "exact interval, high", Source: exact}.Near(t, ch, r.ch, check.Printed(1e-4))
	}
	for n, want := range map[int]float64{10: 0.25887, 30: 0.09503, 100: 0.029513, 300: 0.0099361} {
		check.Row{Topic: "binomial intervals", Name: "no failures: 95 % upper bound", Source: cite.Ours.At("1 - 0.05^(1/n)", cite.Derived)}.Near(t, ClopperPearsonUpper(0, n, 0.95), want, tol)
	}
}

func TestBetaBinomial(t *testing.T) {
	src := cite.Ours.At("Beta(a+k, b+n-k)", cite.Derived)
	for _, r := range []struct {
		a, b                        float64
		k, n                        int
		mean, sd, lo, hi, next3, p8 float64
	}{
		{1, 1, 7, 10, 0.666667, 0.130744, 0.435626, 0.864925, 0.329670, 0.161139},
		{0.5, 0.5, 9, 10, 0.863636, 0.099066, 0.669437, 0.982108, 0.668488, 0.773635},
		{8, 2, 0, 3, 0.615385, 0.130024, 0.390862, 0.818975, 0.263736, 0.072555},
		{12, 3, 4, 5, 0.800000, 0.087287, 0.640574, 0.924706, 0.529870, 0.544911},
	} {
		b := Beta{r.a, r.b}.Seen(r.k, r.n)
		lo, hi := b.Interval(0.9)
		for name, v := range map[string][2]float64{"mean": {b.Mean(), r.mean}, "sd": {b.SD(), r.sd}, "5 %": {lo, r.lo}, "95 %": {hi, r.hi}, "next three": {b.NextAll(3), r.next3}, "above 0.8": {b.Above(0.8), r.p8}} {
			check.Row{Topic: "posterior of a proportion", Name: name, Source: src}.Near(t, v[0], v[1], check.Printed(1e-6))
		}
	}
}

func TestTailMeans(t *testing.T) {
	src := cite.TailMean.At("closed forms", cite.Derived)
	const n = 100000
	normal, uniform, expo := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		u := (float64(i) + 0.5) / n
		normal[i], uniform[i], expo[i] = num.NormalQuantile(u), u, -math.Log1p(-u)
	}
	for _, r := range [][3]float64{{0.90, 1.754983, 3.302585}, {0.95, 2.062713, 3.995732}, {0.99, 2.665214, 5.605170}} {
		check.Row{Topic: "tail means", Name: "normal", Source: src}.Near(t, UpperTailMean(normal, r[0]), r[1], check.Model(1e-3, "100 000 mid-point quantiles: the last is at 4.4 sigma"))
		check.Row{Topic: "tail means", Name: "exponential", Source: src}.Near(t, UpperTailMean(expo, r[0]), r[2], check.Model(1e-3, "100 000 mid-point quantiles"))
		check.Row{Topic: "tail means", Name: "uniform", Source: src}.Near(t, UpperTailMean(uniform, r[0]), (1+r[0])/2, check.Exact(1e3))
		if l := LowerTailMean(normal, r[0]); math.Abs(l+UpperTailMean(normal, r[0])) > 1e-12 {
			t.Errorf("lower tail %g", l)
		}
	}
	// a share that cuts a value in two
	check.Row{Topic: "tail means", Name: "fractional share", Source: cite.Ours.At("(5 + 0.5*4)/1.5", cite.Derived)}.Near(t, UpperTailMean([]float64{1, 2, 3, 4, 5}, 0.7), 7/1.5, check.Exact(10))
}

func TestQuantiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 40).Draw(t, "v")
		s := append([]float64(nil), v...)
		sort.Float64s(s)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := Quantile(s, p)
		if q < s[0] || q > s[len(s)-1] || Quantile(s, 0) != s[0] || Quantile(s, 1) != s[len(s)-1] {
			t.Fatalf("quantile %g of %v is %g", p, s, q)
		}
		lo, hi := Interval(v, 0.9)
		if lo > hi || lo < s[0] || hi > s[len(s)-1] {
			t.Fatalf("[%g %g]", lo, hi)
		}
	})
}

func TestBootstrap(t *testing.T) {
	lsat := []float64{576, 635, 558, 578, 666, 580, 555, 661, 651, 605, 653, 575, 545, 572, 594}
	gpa := []float64{3.39, 3.30, 2.81, 3.03, 3.44, 3.07, 3.00, 3.43, 3.36, 3.13, 3.12, 2.74, 2.76, 2.88, 2.96}
	corr := func(idx []int) float64 {
		var mx, my, sxy, sx, sy float64
		for _, i := range idx {
			mx += lsat[i]
			my += gpa[i]
		}
		mx /= float64(len(idx))
		my /= float64(len(idx))
		for _, i := range idx {
			a, b := lsat[i]-mx, gpa[i]-my
			sxy += a * b
			sx += a * a
			sy += b * b
		}
		return sxy / math.Sqrt(sx*sy)
	}
	all := make([]int, 15)
	for i := range all {
		all[i] = i
	}
	src := cite.EfronLaw.At("correlation of LSAT and GPA", cite.Derived)
	check.Row{Topic: "bootstrap", Name: "correlation", Source: src}.Near(t, corr(all), 0.776374, check.Printed(1e-6))
	check.Row{Topic: "bootstrap", Name: "jackknife standard error", Source: src}.Near(t, Jackknife(15, corr), 0.142519, check.Printed(1e-6))
	b := Bootstrap(15, 20000, 1, corr)
	check.Row{Topic: "bootstrap", Name: "bootstrap standard error", Source: src}.Near(t, b.SE, 0.1337, check.ModelAbs(0.003, "stated: 20 000 resamples"))
	check.Row{Topic: "bootstrap", Name: "bootstrap standard error, book", Source: cite.EfronLaw.At("B = 3200", cite.Memory)}.Near(t, b.SE, 0.132, check.ModelAbs(0.004, "3200 resamples: 1.3 % each way, and rounding"))
	lo, hi := b.Interval(0.95)
	check.Row{Topic: "bootstrap", Name: "percentile interval, low", Source: src}.Near(t, lo, 0.46, check.ModelAbs(0.01, "stated"))
	check.Row{Topic: "bootstrap", Name: "percentile interval, high", Source: src}.Near(t, hi, 0.96, check.ModelAbs(0.01, "stated"))
	again := Bootstrap(15, 100, 1, corr)
	for _, v := range again.Values {
		i := sort.SearchFloat64s(b.Values, v)
		if i == len(b.Values) || b.Values[i] != v {
			t.Fatal("resamples depend on their number")
		}
	}
}

func ishigami(u []float64) float64 {
	x := func(i int) float64 { return math.Pi * (2*u[i] - 1) }
	s := math.Sin(x(1))
	return math.Sin(x(0)) + 7*s*s + 0.1*math.Pow(x(2), 4)*math.Sin(x(0))
}

func gfunction(u []float64) float64 {
	p := 1.0
	for i, a := range []float64{0, 1, 4.5, 9, 99, 99, 99, 99} {
		p *= (math.Abs(4*u[i]-2) + a) / (1 + a)
	}
	return p
}

func TestIndices(t *testing.T) {
	src := cite.Ishigami.At("a = 7, b = 0.1, closed form", cite.Derived)
	s := Indices(3, 4096, 5, ishigami)
	tol := check.ModelAbs(0.01, "4096 base points; 0.02 is usual at 1000")
	check.Row{Topic: "sensitivity", Name: "Ishigami mean", Source: src}.Near(t, s.Mean, 3.5, check.ModelAbs(0.02, "4096 base points"))
	check.Row{Topic: "sensitivity", Name: "Ishigami variance", Source: src}.Near(t, s.Variance, 13.8445879, check.Model(0.01, "4096 base points"))
	for i, w := range [][2]float64{{0.3139052, 0.5575889}, {0.4424111, 0.4424111}, {0, 0.2436837}} {
		check.Row{Topic: "sensitivity", Name: "Ishigami first-order index", Source: src}.Near(t, s.First[i], w[0], tol)
		check.Row{Topic: "sensitivity", Name: "Ishigami total index", Source: src}.Near(t, s.Total[i], w[1], tol)
	}
	src = cite.SaltelliG.At("a = 0, 1, 4.5, 9, 99 x 4, closed form", cite.Derived)
	g := Indices(8, 4096, 5, gfunction)
	check.Row{Topic: "sensitivity", Name: "g-function variance", Source: src}.Near(t, g.Variance, 0.4654244, check.Model(0.01, "4096 base points"))
	for i, w := range [][2]float64{{0.7161922, 0.7871441}, {0.1790480, 0.2421982}, {0.0236758, 0.0343169}, {0.0071619, 0.0104604}, {7.16e-5, 1.05e-4}, {7.16e-5, 1.05e-4}, {7.16e-5, 1.05e-4}, {7.16e-5, 1.05e-4}} {
		check.Row{Topic: "sensitivity", Name: "g-function first-order index", Source: src}.Near(t, g.First[i], w[0], check.ModelAbs(0.02, "Jansen's first-order estimator: noise of the total variance, 4096 base points"))
		check.Row{Topic: "sensitivity", Name: "g-function total index", Source: src}.Near(t, g.Total[i], w[1], tol)
	}
	c := Indices(2, 64, 1, func([]float64) float64 { return 4 })
	if c.Total[0] != 0 || c.First[1] != 0 || c.Mean != 4 {
		t.Errorf("a constant: %+v", c)
	}
	one := Indices(2, 256, 1, func(u []float64) float64 { return u[1] })
	if one.Total[0] != 0 || math.Abs(one.Total[1]-1) > 0.02 {
		t.Errorf("one input: %+v", one)
	}
}

// The response surface must recover a second-order polynomial exactly, and
// its indices those of the polynomial in closed form.
func TestResponse(t *testing.T) {
	seq := num.NewSobol(5, 3)
	const n = 512
	f := func(u []float64) float64 {
		a, b, c := num.NormalQuantile(u[0]), num.NormalQuantile(u[1]), num.NormalQuantile(u[3])
		return 1 + 2*a - b + 0.5*(c*c-1) + 0.8*a*b
	}
	u, y := make([][]float64, n), make([]float64, n)
	for i := range u {
		u[i] = make([]float64, 5)
		seq.Point(uint64(i), u[i])
		u[i][2] = 0.5 // an exact input
		y[i] = f(u[i])
	}
	r := FitResponse(u, y, 2, false)
	if r == nil || r.R2 < 0.999999 {
		t.Fatalf("%+v", r)
	}
	for i := range 20 {
		if d := r.At(u[i]) - y[i]; math.Abs(d) > 1e-6 {
			t.Errorf("draw %d is off by %g", i, d)
		}
	}
	s := r.Shares(4096, 1)
	v := 4 + 1 + 0.5 + 0.64
	src := cite.Ours.At("orthogonal terms: squares of the coefficients", cite.Derived)
	for i, w := range [][2]float64{{4 / v, 4.64 / v}, {1 / v, 1.64 / v}, {0, 0}, {0.5 / v, 0.5 / v}, {0, 0}} {
		check.Row{Topic: "sensitivity", Name: "response surface, first order", Source: src}.Near(t, s.First[i], w[0], check.ModelAbs(0.02, "4096 base points"))
		check.Row{Topic: "sensitivity", Name: "response surface, total", Source: src}.Near(t, s.Total[i], w[1], check.ModelAbs(0.02, "4096 base points"))
	}
	// worlds: the fast way of Shares against plain evaluation
	w := r.Worlds(64, 16, 4)
	zz, bb := make([]float64, 4), make([]float64, r.terms())
	plain := Indices(2, 256, 9, func(u []float64) float64 {
		for k := range 2 {
			zz[k] = num.NormalQuantile(u[k])
		}
		return w.world(zz, bb, nil)
	})
	fast := w.Shares(256, 9)
	for k := range 2 {
		if math.Abs(fast.Total[k]-plain.Total[k]) > 1e-9 || math.Abs(fast.Mean-plain.Mean) > 1e-9 {
			t.Errorf("shares of worlds: %+v, plainly %+v", fast, plain)
		}
	}
	if FitResponse(u[:20], y[:20], 2, false) != nil {
		t.Error("a response from 20 draws")
	}
	if FitResponse(u, make([]float64, n), 2, true) != nil {
		t.Error("a response to no hits at all")
	}
}

func BenchmarkDraw40(b *testing.B) {
	var in []Input
	for i := range 40 {
		in = append(in, Input{Path: string(rune('a' + i)), Kind: Kind(i % 2), Dist: must(Normal(1, 0.1))})
	}
	s, _ := NewSpace(in)
	m := NewSampler(s, 1, 2)
	ign, sca := make([]float64, 20), make([]float64, 20)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		m.Draw(i&0xfff, ign, sca)
		i++
	}
}

func BenchmarkFitResponse(b *testing.B) {
	seq := num.NewSobol(20, 3)
	const n = 1024
	u, y := make([][]float64, n), make([]float64, n)
	for i := range u {
		u[i] = make([]float64, 20)
		seq.Point(uint64(i), u[i])
		if u[i][0]+u[i][1]+0.3*u[i][5] > 0.6 {
			y[i] = 1
		}
	}
	for b.Loop() {
		FitResponse(u, y, 10, true)
	}
}
