package air

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
)

func TestLogLaw(t *testing.T) {
	src := cite.Ours.At("U(z) = U10 ln(z/z0)/ln(10/z0), u* = 0.4 U10/ln(10/z0)", cite.Derived)
	heights := []float64{0.5, 1, 2, 5, 20, 50, 100}
	for _, r := range []struct {
		z0       float64
		want     [7]float64
		friction float64
	}{
		{0.005, [7]float64{0.60587, 0.69706, 0.78826, 0.90881, 1.09119, 1.21174, 1.30294}, 0.26313},
		{0.03, [7]float64{0.48431, 0.60363, 0.72295, 0.88068, 1.11932, 1.27705, 1.39637}, 0.34428},
		{0.1, [7]float64{0.34949, 0.50000, 0.65051, 0.84949, 1.15051, 1.34949, 1.50000}, 0.43429},
	} {
		w, err := NewWind(5, 10, 0, r.z0)
		if err != nil {
			t.Fatal(err)
		}
		for i, z := range heights {
			check.Row{Topic: "mean wind", Name: "logarithmic law, U(z)/U10", Source: src}.Near(t, w.At(z)/5, r.want[i], check.Printed(1e-5))
		}
		check.Row{Topic: "mean wind", Name: "friction velocity", Unit: "m/s", Source: src}.Near(t, w.Friction(), r.friction, check.Printed(1e-5))
	}
	for z0, want := range map[float64]float64{0.03: 0.2016, 0.005: 0.1478} {
		w, _ := NewWind(1, 10, 0, z0)
		check.Row{Topic: "mean wind", Name: "matching power-law exponent, 2 to 10 m", Source: cite.Ours.At("log law", cite.Derived)}.Near(t, -math.Log(w.At(2))/math.Log(5), want, check.Printed(1e-4))
	}
	src = cite.MIL8785C.At("wind shear, z0 = 0.15 ft", cite.Memory)
	w, _ := NewWind(1, 20*foot, 0, 0.15*foot)
	for ft, want := range map[float64]float64{3: 0.61227, 10: 0.85833, 50: 1.18727, 100: 1.32894} {
		check.Row{Topic: "mean wind", Name: "low-altitude shear, U(h)/u20", Source: src}.Near(t, w.At(ft*foot), want, check.Printed(1e-5))
	}
}

func TestLn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Exp(rapid.Float64Range(0, 20).Draw(t, "ln x"))
		if d := ln(x) - math.Log(x); math.Abs(d) > 1e-13 {
			t.Fatalf("ln %g is off by %g", x, d)
		}
	})
}

func TestSurfaces(t *testing.T) {
	src := cite.Davenport.At("classes", cite.Seen)
	for word, z0 := range map[string]float64{"sea": 0.0002, "mud": 0.005, "Snow": 0.005, "grass": 0.03, "low  crops": 0.10, "high crops": 0.25, "parkland": 0.5, "bushes": 0.5, "suburb": 1, "forest": 1, "city": 2} {
		s, ok := Surface(word)
		if !ok {
			t.Fatalf("no surface %q", word)
		}
		check.Row{Topic: "mean wind", Name: "roughness of " + word, Unit: "m", Source: src}.Near(t, s.Z0, z0, check.Exact(0))
	}
	m, _ := Surface("mown grass")
	l, _ := Surface("long grass")
	hs := cite.HydrologyZ0.At("mown and long grass", cite.Seen)
	check.Row{Topic: "mean wind", Name: "roughness of mown grass", Unit: "m", Source: hs}.Near(t, m.Z0, 0.014, check.ModelAbs(0.006, "the table's range 0.008 to 0.02"))
	check.Row{Topic: "mean wind", Name: "roughness of long grass", Unit: "m", Source: hs}.Near(t, l.Z0, 0.04, check.ModelAbs(0.02, "the table's range 0.02 to 0.06"))
	last := 0.0
	for _, s := range surfaces {
		if s.Low > s.Z0 || s.Top < s.Z0 || s.Z0 < last || s.From == "" {
			t.Errorf("%+v", s)
		}
		last = s.Z0
	}
	if _, ok := Surface("cheese"); ok {
		t.Error("cheese is a surface")
	}
}

func TestWindLaws(t *testing.T) {
	for _, bad := range [][4]float64{{-1, 10, 0, 0.03}, {3, 0.05, 0, 0.03}, {3, 10, 0, 0}, {math.NaN(), 10, 0, 0.03}, {3, 10, math.NaN(), 0.03}, {3, 10, 0, 50}} {
		if _, err := NewWind(bad[0], bad[1], bad[2], bad[3]); err == nil {
			t.Errorf("%v accepted", bad)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-7, 7).Draw(t, "from")
		w, err := NewWind(rapid.Float64Range(0.1, 20).Draw(t, "U"), 10, from, rapid.Float64Range(0.0002, 1).Draw(t, "z0"))
		if err != nil {
			t.Fatal(err)
		}
		z := rapid.Float64Range(0, 100).Draw(t, "z")
		if w.At(z) < 0 || w.At(z+1) < w.At(z) || math.Abs(w.At(10)-w.Speed) > 1e-12*w.Speed {
			t.Fatalf("not rising from zero through its reference: %+v", w)
		}
		n, e, d := w.NED(z)
		h, c := Components(w.At(z), from, from)
		if math.Abs(math.Hypot(n, e)-w.At(z)) > 1e-9 || d != 0 || math.Abs(h-w.At(z)) > 1e-9 || math.Abs(c) > 1e-9 {
			t.Fatal("vector and components disagree")
		}
		// flying into the wind: it blows along minus the heading
		if s, co := math.Sincos(from); math.Abs(n+w.At(z)*co) > 1e-9 || math.Abs(e+w.At(z)*s) > 1e-9 {
			t.Fatal("the wind does not blow away from where it comes from")
		}
		tn, te, td := w.Turn(1, 2, 3)
		if math.Abs(tn*tn+te*te-5) > 1e-9 || td != 3 {
			t.Fatal("turning changes lengths")
		}
		if w.At(z) > 0 && math.Abs((tn*n+te*e)/w.At(z)-1) > 1e-9 {
			t.Fatal("the part along the wind is lost")
		}
	})
	// wind from north blows south; its right-hand side is west
	w, _ := NewWind(3, 10, 0, 0.03)
	if n, e, _ := w.Turn(0, 1, 0); math.Abs(n) > 1e-15 || e != -1 {
		t.Errorf("right of a north wind is %g %g", n, e)
	}
	head, cross := Components(25, 270*degree, 240*degree)
	src := cite.Ours.At("cosine and sine of the angle between", cite.Derived)
	check.Row{Topic: "mean wind", Name: "headwind of 27025KT on heading 240", Unit: "kt", Source: src}.Near(t, head, 21.65, check.Printed(0.01))
	check.Row{Topic: "mean wind", Name: "crosswind from the right", Unit: "kt", Source: src}.Near(t, cross, 12.50, check.Printed(0.01))
	head, cross = Components(40, 270*degree, 240*degree)
	check.Row{Topic: "mean wind", Name: "gust headwind", Unit: "kt", Source: src}.Near(t, head, 34.64, check.Printed(0.01))
	check.Row{Topic: "mean wind", Name: "gust crosswind", Unit: "kt", Source: src}.Near(t, cross, 20.00, check.Printed(0.01))
}

func TestGusts(t *testing.T) {
	src := cite.CFR25341.At("(a)", cite.Seen)
	g := OneMinusCosine{5, 20}
	for s, want := range map[float64]float64{0: 0, 5: 0.732233, 10: 2.5, 20: 5, 30: 2.5, 40: 0, -1: 0, 50: 0} {
		check.Row{Topic: "gusts", Name: "full one-minus-cosine gust", Unit: "m/s", Source: src}.Near(t, g.At(s), want, check.Printed(1e-6))
	}
	rise := OneMinusCosine{4, 30} // the half gust goes on at its peak
	for s, want := range map[float64]float64{0: 0, 7.5: 0.585786, 15: 2, 30: 4} {
		check.Row{Topic: "gusts", Name: "half gust, its rise", Unit: "m/s", Source: cite.MIL8785C.At("3.7 discrete gust", cite.Memory)}.Near(t, rise.At(s), want, check.Printed(1e-6))
	}
}

func TestDrydenParameters(t *testing.T) {
	src := cite.MIL8785C.At("3.7.3.4", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("flight-dryden.csv")) {
		d, ok := DrydenAt(check.Number(t, r, "h_m"), check.Number(t, r, "u20_m_s"))
		if !ok {
			t.Error("outside")
		}
		for _, q := range []struct {
			col string
			got float64
			d   float64
		}{{"Lu_m", d.Lu, 1e-4}, {"Lv_m", d.Lv, 1e-4}, {"Lw_m", d.Lw, 1e-4}, {"sigma_u_m_s", d.SigmaU, 1e-5}, {"sigma_v_m_s", d.SigmaV, 1e-5}, {"sigma_w_m_s", d.SigmaW, 1e-5}} {
			check.Row{Topic: "turbulence", Name: "Dryden " + q.col, Source: src}.Near(t, q.got, check.Number(t, r, q.col), check.Printed(q.d))
		}
	}
	a, _ := DrydenAt(0.5, 5)
	b, _ := DrydenAt(10*foot, 5)
	if a != b {
		t.Error("not held at 10 ft")
	}
	if _, ok := DrydenAt(400, 5); ok {
		t.Error("400 m is a low altitude")
	}
}

// The discrete filter against closed forms: decay and gain of one step, and
// over many seeds the variance, the autocorrelation and the spectrum.
func TestDrydenFilter(t *testing.T) {
	const v, dt, h, u20 = 20, 0.02, 10, 5
	tb := StartTurbulence(1, 2, u20, h)
	tb.Step(dt, v, h)
	src := cite.Ours.At("a = exp(-V dt/L), gain sigma sqrt(1-a^2)", cite.Derived)
	check.Row{Topic: "turbulence", Name: "decay of the along-wind filter", Source: src}.Near(t, tb.cu[0], 0.994080, check.Printed(1e-6))
	check.Row{Topic: "turbulence", Name: "noise gain of the along-wind filter", Source: src}.Near(t, tb.cu[1]*0.944, 0.102567, check.ModelAbs(2e-6, "printed for sigma 0.944, L 67.366"))
}

func TestDrydenStatistics(t *testing.T) {
	// one record per seed, long steps of 0.1 L: the filter is exact for any step
	const h, u20, v = 10.0, 5.0, 20.0
	d, _ := DrydenAt(h, u20)
	acf := func(get func(a, r, w float64) float64, l, sigma float64) (c [7]float64) {
		const seeds, n = 400, 300
		dt := 0.5 * l / v
		for s := range seeds {
			tb := StartTurbulence(7, uint64(s), u20, h)
			x := make([]float64, n)
			for i := range x {
				x[i] = get(tb.Step(dt, v, h)) / sigma
			}
			for lag := range c {
				var sum float64
				for i := lag; i < n; i++ {
					sum += x[i] * x[i-lag]
				}
				c[lag] += sum / float64(n-lag) / seeds
			}
		}
		return c
	}
	along := acf(func(a, _, _ float64) float64 { return a }, d.Lu, d.SigmaU)
	right := acf(func(_, r, _ float64) float64 { return r }, d.Lv, d.SigmaV)
	down := acf(func(_, _, w float64) float64 { return w }, d.Lw, d.SigmaW)
	// standard deviation of a variance estimate: sqrt(2/(seeds n_eff)), n_eff
	// about n/2 for steps of L/2
	tol := check.ModelAbs(4*math.Sqrt(2/(400*150.0)), "4 standard deviations of the estimate over 400 records (required 5 %)")
	src := cite.MIL8785C.At("autocorrelation of the Dryden forms", cite.Derived)
	for lag, w := range map[int][2]float64{0: {1, 1}, 1: {0.606531, 0.454898}, 2: {0.367879, 0.183940}, 4: {0.135335, 0}, 6: {0.049787, -0.024894}} {
		check.Row{Topic: "turbulence", Name: "autocorrelation, along", Source: src}.Near(t, along[lag], w[0], tol)
		check.Row{Topic: "turbulence", Name: "autocorrelation, across", Source: src}.Near(t, right[lag], w[1], tol)
		check.Row{Topic: "turbulence", Name: "autocorrelation, vertical", Source: src}.Near(t, down[lag], w[1], tol)
	}
}

// Short steps: the variance over 64 seeds of 600 s at 20 ms, as the reference
// asks, and stationarity of the very first value.
func TestDrydenVariance(t *testing.T) {
	const h, u20, v, dt = 10.0, 5.0, 20.0, 0.02
	d, _ := DrydenAt(h, u20)
	seeds, n := 64, 30000
	if testing.Short() {
		n = 3000
	}
	var su, sv, sw float64
	for s := range seeds {
		tb := StartTurbulence(11, uint64(s), u20, h)
		for range n {
			a, r, w := tb.Step(dt, v, h)
			su += a * a
			sv += r * r
			sw += w * w
		}
	}
	k := 1 / float64(seeds*n)
	src := cite.MIL8785C.At("sigma; 64 records", cite.Derived)
	tol := check.Model(0.05, "four standard deviations of the estimate: 1.3 % for 64 records of 600 s")
	check.Row{Topic: "turbulence", Name: "variance ratio, along", Source: src}.Near(t, su*k/(d.SigmaU*d.SigmaU), 1, tol)
	check.Row{Topic: "turbulence", Name: "variance ratio, across", Source: src}.Near(t, sv*k/(d.SigmaV*d.SigmaV), 1, tol)
	check.Row{Topic: "turbulence", Name: "variance ratio, vertical", Source: src}.Near(t, sw*k/(d.SigmaW*d.SigmaW), 1, tol)
	// The start is stationary, and a guided turbulence with normal scores is the
	// same process: variances at the start, after every block and beyond them,
	// and the covariance inside one, are those of the free one.
	const starts, dx, lag = 20000, 0.5, 3 // steps inside the fifth block
	r := num.NewStream(8)
	for _, guided := range []bool{false, true} {
		var at [3][EvenBlocks + 2]float64
		var over [3]float64
		for s := range starts {
			tb := StartTurbulence(12, uint64(s), u20, h)
			if guided {
				var e Even
				for i := range e.Start {
					e.Start[i] = r.Normal()
				}
				for i := range e.Shocks {
					for j := range e.Shocks[i] {
						e.Shocks[i][j] = r.Normal()
					}
				}
				tb.Guide(&e)
			}
			for b := range at[0] {
				a, y, w := tb.Now()
				v := [3]float64{a / d.SigmaU, y / d.SigmaV, w / d.SigmaW}
				for k := range v {
					at[k][b] += v[k] * v[k] / starts
				}
				for i := range evenSteps[min(b, EvenBlocks-1)] {
					if a, y, w := tb.Step(dx, 1, h); b == 4 && i == lag-1 {
						then := [3]float64{a / d.SigmaU, y / d.SigmaV, w / d.SigmaW}
						for k := range v {
							over[k] += v[k] * then[k] / starts
						}
					}
				}
			}
		}
		for k := range at {
			for b, v := range at[k] {
				if math.Abs(v-1) > 5*math.Sqrt(2.0/starts) {
					t.Errorf("guided %v, axis %d, block %d: variance ratio %.4f", guided, k, b, v)
				}
			}
			x := dx * lag
			want := []float64{math.Exp(-x / d.Lu), math.Exp(-x/d.Lv) * (1 - x/(2*d.Lv)), math.Exp(-x/d.Lw) * (1 - x/(2*d.Lw))}[k]
			if math.Abs(over[k]-want) > 5/math.Sqrt(starts) {
				t.Errorf("guided %v, axis %d: correlation over %g m %.4f, want %.4f", guided, k, x, over[k], want)
			}
		}
	}
}

// Spectrum: share of variance below a wave number, by the discrete filter's
// own transfer function, against the closed form of the continuous one.
func TestDrydenSpectrum(t *testing.T) {
	src := cite.MIL8785C.At("spatial spectra and their integrals", cite.Derived)
	for _, r := range [][5]float64{{0.1, 0.630317, 0.321399, 0.063451, 0.031935}, {0.5, 0.509296, 0.356507, 0.295167, 0.167843}, {1, 0.318310, 0.318310, 0.5, 0.340845}, {2, 0.127324, 0.165521, 0.704833, 0.577509}, {5, 0.024485, 0.035786, 0.874334, 0.813121}} {
		// the spectrum of the sampled process: 2 dt/(2 pi) |H|^2 per rad/m,
		// with dt in lengths; short steps so that folding is small
		const h = 1e-3
		x := r[0]
		p := twoPole(h)
		z := complexExp(-x * h) // e^{-i w h}
		// x1 = l11 a z?/(1 - e z); values after the step
		one := complex(1, 0)
		h11 := complex(p.l11, 0) / (one - complex(p.e, 0)*z)
		h2a := (complex(p.l21, 0) + complex(p.eh, 0)*z*h11) / (one - complex(p.e, 0)*z)
		h2b := complex(p.l22, 0) / (one - complex(p.e, 0)*z)
		s3 := complex(math.Sqrt(3), 0)
		ya := s3*h11 + (one-s3)*h2a
		yb := (one - s3) * h2b
		phi := h / math.Pi * (abs2(ya) + abs2(yb)) / 2
		check.Row{Topic: "turbulence", Name: "spectrum, vertical, over sigma^2 L", Source: src}.Near(t, phi, r[2], check.Model(1e-4, "folding of a step of L/1000"))
		a := math.Exp(-h)
		hu := complex(math.Sqrt(1-a*a), 0) / (one - complex(a, 0)*z)
		check.Row{Topic: "turbulence", Name: "spectrum, along, over sigma^2 L", Source: src}.Near(t, h/math.Pi*abs2(hu), r[1], check.Model(1e-4, "folding of a step of L/1000"))
		check.Row{Topic: "turbulence", Name: "variance share, along", Source: src}.Near(t, 2/math.Pi*math.Atan(x), r[3], check.Printed(1e-6))
		check.Row{Topic: "turbulence", Name: "variance share, vertical", Source: src}.Near(t, (2*math.Atan(x)-x/(1+x*x))/math.Pi, r[4], check.Printed(1e-6))
	}
}

func complexExp(x float64) complex128 { s, c := math.Sincos(x); return complex(c, s) }
func abs2(z complex128) float64       { return real(z)*real(z) + imag(z)*imag(z) }

func TestTurbulenceRepeats(t *testing.T) {
	a, b := StartTurbulence(3, 5, 4, 2), StartTurbulence(3, 5, 4, 2)
	c := StartTurbulence(3, 6, 4, 2)
	same := 0
	for i := range 1000 {
		h := 2 + 0.02*float64(i)
		x, y, z := a.Step(0.005, 15, h)
		x2, y2, z2 := b.Step(0.005, 15, h)
		if x != x2 || y != y2 || z != z2 {
			t.Fatal("the same seed gives other bits")
		}
		if x3, _, _ := c.Step(0.005, 15, h); x3 == x {
			same++
		}
	}
	if same > 2 {
		t.Errorf("samples 5 and 6 agree in %d of 1000 values", same)
	}
	if n := testing.AllocsPerRun(100, func() { a.Step(0.005, 15, 3) }); n != 0 {
		t.Errorf("%v allocations per step", n)
	}
	// one long step has the same law as two short ones: transition and noise
	// covariance compose
	p1, p2 := twoPole(0.35), twoPole(0.7)
	e, eh := p1.e*p1.e, 2*p1.e*p1.eh
	q11 := p1.l11 * p1.l11 * (1 + p1.e*p1.e)
	q12s := p1.l11 * p1.l21
	q22s := p1.l21*p1.l21 + p1.l22*p1.l22
	q12 := q12s + p1.e*(p1.eh*p1.l11*p1.l11+p1.e*q12s)
	q22 := q22s + p1.eh*p1.eh*p1.l11*p1.l11 + 2*p1.eh*p1.e*q12s + p1.e*p1.e*q22s
	for _, d := range []float64{e - p2.e, eh - p2.eh, q11 - p2.l11*p2.l11, q12 - p2.l11*p2.l21, q22 - p2.l21*p2.l21 - p2.l22*p2.l22} {
		if math.Abs(d) > 1e-14 {
			t.Errorf("two half steps differ from one by %g", d)
		}
	}
}

func BenchmarkWindAt(b *testing.B) {
	w, _ := NewWind(3, 10, 1, 0.03)
	z := 1.0
	for b.Loop() {
		z += w.At(z) * 1e-9
	}
}

func BenchmarkTurbulenceStep(b *testing.B) {
	tb := StartTurbulence(1, 1, 4, 3)
	b.ReportAllocs()
	for b.Loop() {
		tb.Step(0.005, 15, 3)
	}
}

func BenchmarkTurbulenceStepVarying(b *testing.B) {
	tb := StartTurbulence(1, 1, 4, 3)
	v := 10.0
	for b.Loop() {
		v *= 1.02
		if v > 30 {
			v = 10
		}
		tb.Step(0.005, v, 3)
	}
}

// BenchmarkLog is the yardstick for BenchmarkWindAt: one math.Log alone.
func BenchmarkLog(b *testing.B) {
	z := 1.0
	for b.Loop() {
		z += math.Log(z*33) * 1e-9
	}
}
