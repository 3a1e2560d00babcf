package launch

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
)

type pull struct{ l, p float64 } // stretch ratio, nominal stress MPa

func treloar(t testing.TB) []pull {
	var out []pull
	for _, row := range check.CSV(t, check.RefFile("flight-treloar-uniaxial.csv")) {
		out = append(out, pull{check.Number(t, row, "stretch"), check.Number(t, row, "nominal_stress_MPa")})
	}
	return out
}

func TestRubberAgainstMeasurement(t *testing.T) {
	src := cite.Treloar1944.At("uniaxial extension", cite.Seen)
	data := treloar(t)
	for _, d := range data {
		if d.l < 1.1 || d.l > 6.9 {
			continue
		}
		p, _ := NaturalRubber.Stress(d.l)
		tol := check.Model(0.12, "Ogden's three terms, recalled; stated by the reference up to a stretch of 2.2")
		if d.l >= 2.4 {
			tol = check.Model(0.06, "Ogden's three terms, recalled; stated by the reference from 2.4 to 6.9")
		}
		check.Row{Topic: "rubber", Name: fmt.Sprintf("stress at stretch %g", d.l), Unit: "MPa", Source: src}.Near(t, p/1e6, d.p, tol)
	}
	// The working shape, our Mooney-Rivlin fit, over its range.
	for _, d := range data {
		if d.l <= 1.1 || d.l > 3.1 {
			continue
		}
		p, _ := workingRubber.Stress(d.l)
		check.Row{Topic: "rubber", Name: fmt.Sprintf("working shape at stretch %g", d.l), Unit: "MPa", Source: src}.
			Near(t, p/1e6, d.p, check.ModelAbs(0.03, "two and a half times the rms of the fit, 0.0135 MPa"))
	}
}

func TestRubberFits(t *testing.T) {
	src := cite.Ours.At("least squares on nominal stress of Treloar's data", cite.Derived)
	data := treloar(t)
	for _, w := range []struct{ lim, mu, rms, c1, c2, rms2 float64 }{
		{1.6, 0.35699, 0.0122, 0.10166, 0.11118, 0.00034},
		{3.1, 0.30624, 0.0311, 0.11999, 0.07604, 0.0135},
		{4.1, 0.30569, 0.0289, 0.14132, 0.03391, 0.0234},
	} {
		var use []pull
		for _, d := range data {
			if d.l > 1 && d.l <= w.lim {
				use = append(use, d)
			}
		}
		var saa, sap float64
		for _, d := range use {
			a := d.l - 1/(d.l*d.l)
			saa, sap = saa+a*a, sap+a*d.p
		}
		mu := sap / saa
		fit := num.Fit(func(c, r []float64) {
			m := Mooney(c[0], c[1])
			for i, d := range use {
				p, _ := m.Stress(d.l)
				r[i] = p - d.p
			}
		}, []float64{0.1, 0.1}, len(use), num.FitOptions{})
		rms := func(r Rubber) float64 {
			s := 0.0
			for _, d := range use {
				p, _ := r.Stress(d.l)
				s += (p - d.p) * (p - d.p)
			}
			return math.Sqrt(s / float64(len(use)))
		}
		tol := check.ModelAbs(1e-3, "stated by the reference")
		name := fmt.Sprintf("fit to stretch %g, ", w.lim)
		check.Row{Topic: "rubber", Name: name + "neo-Hookean modulus", Unit: "MPa", Source: src}.Near(t, mu, w.mu, tol)
		check.Row{Topic: "rubber", Name: name + "neo-Hookean rms", Unit: "MPa", Source: src}.Near(t, rms(NeoHookean(mu)), w.rms, tol)
		check.Row{Topic: "rubber", Name: name + "Mooney C1", Unit: "MPa", Source: src}.Near(t, fit.P[0], w.c1, tol)
		check.Row{Topic: "rubber", Name: name + "Mooney C2", Unit: "MPa", Source: src}.Near(t, fit.P[1], w.c2, tol)
		check.Row{Topic: "rubber", Name: name + "Mooney rms", Unit: "MPa", Source: src}.Near(t, rms(Mooney(fit.P[0], fit.P[1])), w.rms2, tol)
	}
}

func TestRubberClosedForms(t *testing.T) {
	g := NeoHookean(0.39)
	src := cite.Treloar1944.At("G = 4 kg/cm²", cite.Memory)
	for _, w := range []struct{ l, p, w float64 }{{1.5, 0.41167, 0.11375}, {2, 0.68250, 0.39}, {3, 1.12667, 1.3}, {4, 1.53563, 2.6325}} {
		p, _ := g.Stress(w.l)
		check.Row{Topic: "rubber", Name: fmt.Sprintf("neo-Hookean stress at %g", w.l), Unit: "MPa", Source: src}.Near(t, p, w.p, check.Printed(1e-5))
		check.Row{Topic: "rubber", Name: fmt.Sprintf("neo-Hookean energy at %g", w.l), Unit: "MJ/m³", Source: src}.Near(t, g.Energy(w.l), w.w, check.Printed(1e-5))
	}
	og := cite.Ogden1972.At("three-term rubber", cite.Memory)
	for _, w := range []struct{ l, p float64 }{{2.18, 0.64514}, {3.02, 0.86830}, {4.03, 1.19663}, {5.36, 1.96473}, {6.15, 2.72780}} {
		p, _ := NaturalRubber.Stress(w.l)
		check.Row{Topic: "rubber", Name: fmt.Sprintf("Ogden stress at %g", w.l), Unit: "MPa", Source: og}.Near(t, p/1e6, w.p, check.Printed(1e-5))
	}
	for _, w := range []struct{ l, w float64 }{{1.5, 0.11305}, {2, 0.36322}, {2.5, 0.69514}, {3, 1.09375}, {3.5, 1.56041}, {4, 2.10677}, {5, 3.52853}} {
		check.Row{Topic: "rubber", Name: fmt.Sprintf("Ogden energy at %g", w.l), Unit: "MJ/m³", Source: og}.Near(t, NaturalRubber.Energy(w.l)/1e6, w.w, check.ModelAbs(1e-5, "one unit of the last printed digit"))
	}
	// Energy under the measured curve by trapezoids.
	tr := cite.Treloar1944.At("area under the curve", cite.Derived)
	data := treloar(t)
	for _, w := range []struct{ l, e, kg float64 }{{2.18, 0.43609, 469}, {3.02, 1.04979, 1129}, {4.03, 2.09896, 2257}, {5.36, 4.18831, 4504}, {6.15, 6.02044, 6474}, {7.6, 11.86226, 12755}} {
		e := 0.0
		for i := 1; i < len(data) && data[i].l <= w.l+1e-9; i++ {
			e += (data[i].l - data[i-1].l) * (data[i].p + data[i-1].p) / 2
		}
		check.Row{Topic: "rubber", Name: fmt.Sprintf("measured energy to %g", w.l), Unit: "MJ/m³", Source: tr}.Near(t, e, w.e, check.Printed(1e-5))
		check.Row{Topic: "rubber", Name: fmt.Sprintf("measured energy to %g", w.l), Unit: "J/kg", Source: tr}.Near(t, e*1e6/RubberDensity, w.kg, check.Printed(1))
	}
	// slope and energy agree with stress
	for l := 1.05; l < 7; l += 0.37 {
		const h = 1e-5
		a, _ := NaturalRubber.Stress(l - h)
		b, _ := NaturalRubber.Stress(l + h)
		p, d := NaturalRubber.Stress(l)
		if e := math.Abs((b-a)/(2*h)-d) / d; e > 1e-7 {
			t.Errorf("slope of stress at %g off by %g", l, e)
		}
		if e := math.Abs((NaturalRubber.Energy(l+h)-NaturalRubber.Energy(l-h))/(2*h)-p) / p; e > 1e-7 {
			t.Errorf("slope of energy at %g off by %g", l, e)
		}
	}
}

func TestCordFromSize(t *testing.T) {
	src := cite.Ogden1972.At("cord of natural rubber, 930 kg/m³", cite.Derived)
	tol := check.Model(1e-3, "stated by the reference; table lookup")
	for _, w := range []struct{ outer, bore, l0, l, a0, f, k, ks, e, m float64 }{
		{8, 0, 5, 3.0, 50.265, 43.375, 2.7027, 4.3375, 274.89, 0.23373},
		{10, 5, 6, 3.5, 58.905, 59.355, 3.1024, 3.9570, 551.49, 0.32869},
	} {
		c, ok := CordFromSize(w.outer*mm, w.bore*mm, w.l0, 1, 0, NaturalRubber)
		if !ok {
			t.Fatal("not a cord")
		}
		x := (w.l - 1) * w.l0
		f, e, k := c.At(x)
		name := fmt.Sprintf("cord %g/%g mm at %g, ", w.outer, w.bore, w.l)
		check.Row{Topic: "cord", Name: name + "pull", Unit: "N", Source: src}.Near(t, f, w.f, tol)
		check.Row{Topic: "cord", Name: name + "stiffness", Unit: "N/m", Source: src}.Near(t, k, w.k, tol)
		check.Row{Topic: "cord", Name: name + "secant", Unit: "N/m", Source: src}.Near(t, f/x, w.ks, tol)
		check.Row{Topic: "cord", Name: name + "energy", Unit: "J", Source: src}.Near(t, e, w.e, tol)
		check.Row{Topic: "cord", Name: name + "mass", Unit: "kg", Source: src}.Near(t, c.Mass, w.m, tol)
	}
	a, _ := CordFromSize(6*mm, 0, 5, 1, 0, NaturalRubber)
	b, _ := CordFromSize(8*mm, 0, 5, 1, 0, NaturalRubber)
	fa, _, _ := a.At(7)
	fb, _, _ := b.At(7)
	check.Row{Topic: "cord", Name: "6 to 8 mm", Source: src}.Near(t, fb/fa, 1.7778, check.Printed(1e-4))
	two, _ := CordFromSize(6*mm, 0, 5, 2, 0, NaturalRubber)
	f2, _, _ := two.At(7)
	if math.Abs(f2-2*fa) > 1e-9 || math.Abs(two.Mass-2*a.Mass) > 1e-12 {
		t.Error("two strands are not twice one")
	}
	long, _ := CordFromSize(6*mm, 0, 10, 1, 0, NaturalRubber)
	_, _, kl := long.At(14)
	_, _, ka := a.At(7)
	if math.Abs(kl/ka-0.5) > 1e-3 {
		t.Errorf("stiffness of double length %g of single, want half", kl/ka)
	}

	// Speed limits.
	check.Row{Topic: "cord", Name: "small-strain wave, E 1.2 MPa", Unit: "m/s", Source: src}.Near(t, math.Sqrt(1.2e6/RubberDensity), 35.92, check.Printed(0.01))
	check.Row{Topic: "cord", Name: "bare end from stretch 3", Unit: "m/s", Source: src}.Near(t, b.RetractSpeed(10), 41.79, check.ModelAbs(0.05, "quadrature of a tabulated stiffness"))
	check.Row{Topic: "cord", Name: "energy bound from stretch 3", Unit: "m/s", Source: src}.Near(t, math.Sqrt(2*NaturalRubber.Energy(3)/RubberDensity), 48.50, check.Printed(0.01))
	_, d0 := NaturalRubber.Stress(1)
	check.Row{Topic: "cord", Name: "small-strain wave from the cord", Unit: "m/s", Source: src}.Near(t, b.WaveSpeed(0), math.Sqrt(d0/RubberDensity), check.Model(1e-4, "table lookup"))
}

func TestCordMassOnASpring(t *testing.T) {
	src := cite.Ours.At("mass on a heavy spring: b tan b = mc/M", cite.Derived)
	for _, w := range []struct{ r, b, exact, third, err float64 }{
		{0.1, 0.31105285, 0.98363547, 0.98373875, 0.010},
		{0.5, 0.65327119, 0.92386497, 0.92582010, 0.212},
		{1.0, 0.86033359, 0.86033359, 0.86602540, 0.662},
	} {
		b := num.Root(func(x float64) float64 { return x*math.Tan(x) - w.r }, 1e-6, 1.5, 1e-14).X
		exact := b / math.Sqrt(w.r)
		third := 1 / math.Sqrt(1+w.r/3)
		name := fmt.Sprintf("cord over model mass %g, ", w.r)
		check.Row{Topic: "cord", Name: name + "b", Source: src}.Near(t, b, w.b, check.Printed(1e-8))
		check.Row{Topic: "cord", Name: name + "exact frequency", Source: src}.Near(t, exact, w.exact, check.Printed(1e-8))
		check.Row{Topic: "cord", Name: name + "with a third of the mass", Source: src}.Near(t, third, w.third, check.Printed(1e-8))
		check.Row{Topic: "cord", Name: name + "error of a third", Unit: "%", Source: src}.Near(t, 100*(third/exact-1), w.err, check.Printed(1e-3))
	}
}

func TestCordFromPull(t *testing.T) {
	xs, fs := []float64{2, 6, 10}, []float64{9, 24, 36}
	c, ok := CordFromPull(xs, fs, 10, 0.31)
	if !ok {
		t.Fatal("not a cord")
	}
	for i, x := range xs {
		f, _, _ := c.At(x)
		check.Row{Topic: "cord", Name: fmt.Sprintf("pull test reading at %g m", x), Unit: "N", Source: cite.Ours.At("the curve goes through the readings", cite.Derived)}.
			Near(t, f, fs[i], check.Model(2e-3, "table lookup between nodes where the correction bends"))
	}
	last, lastE := 0.0, 0.0
	for i := 1; i <= 3000; i++ {
		x := float64(i) * 0.02
		f, e, k := c.At(x)
		if !(f > last) || !(k > 0) || !(e > lastE) {
			t.Fatalf("pull does not rise at %g m: %g after %g, k %g", x, f, last, k)
		}
		fa, ea, _ := c.At(x - 1e-4)
		fb, eb, _ := c.At(x + 1e-4)
		if math.Abs((eb-ea)/2e-4-f) > 1e-5*f+1e-7 {
			t.Fatalf("energy and pull disagree at %g m: %g, %g", x, (eb-ea)/2e-4, f)
		}
		if math.Abs((fb-fa)/2e-4-k) > 0.02*k {
			t.Fatalf("pull and stiffness disagree at %g m: %g, %g", x, (fb-fa)/2e-4, k)
		}
		last, lastE = f, e
	}
	// A curve that is rubber exactly comes back from three readings.
	ref, _ := CordFromSize(8*mm, 0, 5, 1, 0, workingRubber)
	r := func(x float64) float64 { f, _, _ := ref.At(x); return f }
	back, ok := CordFromPull([]float64{2, 5, 9}, []float64{r(2), r(5), r(9)}, 5, ref.Mass)
	if !ok {
		t.Fatal("not a cord")
	}
	for x := 0.5; x < 12; x += 0.5 {
		f, _, _ := back.At(x)
		if e := math.Abs(f/r(x) - 1); e > 1e-4 {
			t.Errorf("rubber from three readings off by %g at %g m", e, x)
		}
	}
	if back.Doubt > 0.0301 {
		t.Errorf("doubt of a curve that is rubber exactly: %g", back.Doubt)
	}
	if c.Doubt < 0.05 {
		t.Errorf("readings that bend away from rubber have a doubt of %g only", c.Doubt)
	}
	// Readings that are not like rubber at all still give a rising curve.
	odd, ok := CordFromPull([]float64{1, 2, 3, 8}, []float64{10, 10.1, 10.2, 60}, 3, 0.2)
	if !ok {
		t.Fatal("not a cord")
	}
	last = 0
	for x := 0.01; x < 20; x += 0.01 {
		f, _, _ := odd.At(x)
		if f < last {
			t.Fatalf("falls at %g m", x)
		}
		last = f
	}
	for name, bad := range map[string]func() (Cord, bool){
		"falling":      func() (Cord, bool) { return CordFromPull([]float64{1, 2}, []float64{5, 4}, 3, 0.1) },
		"not rising x": func() (Cord, bool) { return CordFromPull([]float64{2, 2}, []float64{4, 5}, 3, 0.1) },
		"zero pull":    func() (Cord, bool) { return CordFromPull([]float64{2}, []float64{0}, 3, 0.1) },
		"NaN":          func() (Cord, bool) { return CordFromPull([]float64{2}, []float64{math.NaN()}, 3, 0.1) },
		"empty":        func() (Cord, bool) { return CordFromPull(nil, nil, 3, 0.1) },
		"no slack":     func() (Cord, bool) { return CordFromPull([]float64{2}, []float64{3}, 0, 0.1) },
		"bore":         func() (Cord, bool) { return CordFromSize(5*mm, 6*mm, 3, 1, 0, NaturalRubber) },
		"infinite":     func() (Cord, bool) { return CordFromSize(math.Inf(1), 0, 3, 1, 0, NaturalRubber) },
		"no strands":   func() (Cord, bool) { return CordFromSize(5*mm, 0, 3, 0, 0, NaturalRubber) },
	} {
		if _, ok := bad(); ok {
			t.Errorf("%s: accepted", name)
		}
	}
}

func TestRecoil(t *testing.T) {
	c, _ := CordFromSize(8*mm, 0, 5, 1, 0, NaturalRubber)
	f0, top, _ := c.At(10)
	for _, eta := range []float64{0.4, 0.75, 0.85, 0.95, 1} {
		// quadrature over the way back, substituting x = 10 u³ near slack
		n := 4000
		sum := 0.0
		for i := range n {
			u := (float64(i) + 0.5) / float64(n)
			f, w, _ := c.At(10 * u * u * u)
			sum += Recoil(f, w, top, eta) * 30 * u * u / float64(n)
		}
		check.Row{Topic: "cord", Name: fmt.Sprintf("energy given back, %g", eta), Source: cite.Ours.At("returned share of the stored energy", cite.Derived)}.
			Near(t, sum/top, eta, check.ModelAbs(2e-5, "midpoint quadrature"))
		if f := Recoil(f0, top, top, eta); f != f0 {
			t.Errorf("way back starts at %g, held %g", f, f0)
		}
	}
}

func TestSafePull(t *testing.T) {
	c, _ := CordFromSize(8*mm, 0, 5, 1, 0, NaturalRubber)
	x, which, ok := c.SafePull(2, 0, 120, 60)
	if !ok || which != 2 {
		t.Fatalf("limit %d %v", which, ok)
	}
	if f, _, _ := c.At(x); math.Abs(f-30) > 1e-6 {
		t.Errorf("pull at the safe stretch %g, want 30", f)
	}
	if _, _, ok := c.SafePull(2, 0, 0); ok {
		t.Error("nothing known, yet a safe pull")
	}
}

func TestHook(t *testing.T) {
	src := cite.Ours.At("beta + delta > 90° + phi", cite.Derived)
	for _, w := range []struct{ mu, phi float64 }{{0.10, 5.7106}, {0.15, 8.5308}, {0.20, 11.3099}, {0.30, 16.6992}, {0.50, 26.5651}} {
		h := Hook{Friction: w.mu}
		check.Row{Topic: "hook and ring", Name: fmt.Sprintf("friction angle at %g", w.mu), Unit: "deg", Source: src}.Near(t, h.Grip()/degree, w.phi, check.Printed(1e-4))
	}
	for _, w := range []struct {
		mu    float64
		angle [5]float64
	}{{0.15, [5]float64{98.531, 78.531, 53.531, 28.531, 8.531}}, {0.30, [5]float64{106.699, 86.699, 61.699, 36.699, 16.699}}} {
		for i, beta := range []float64{0, 20, 45, 70, 90} {
			h := Hook{Friction: w.mu, Rake: beta * degree}
			check.Row{Topic: "hook and ring", Name: fmt.Sprintf("release angle, friction %g, rake %g°", w.mu, beta), Unit: "deg", Source: src}.
				Near(t, h.SlideAngle()/degree, w.angle[i], check.Printed(1e-3))
			// the vector law says the same in the plane of symmetry
			for _, e := range []float64{-0.01, 0.01} {
				s, c := math.Sincos(w.angle[i]*degree + e)
				short := h.Short(r3Vec(c, 0, s))
				if (short > 0) != (e < 0) {
					t.Errorf("friction %g rake %g: short %g at %+g rad from the release angle", w.mu, beta, short, e)
				}
			}
		}
		h := Hook{Friction: w.mu, Rake: 110 * degree}
		if h.SlideAngle() > 0 {
			t.Errorf("rake 110° holds: %g", h.SlideAngle()/degree)
		}
	}
	h := Hook{Friction: 0.25, Rake: 30 * degree}
	mu, ok := FrictionFromTilt(h.Rake, h.SlideAngle())
	if !ok || math.Abs(mu-0.25) > 1e-12 {
		t.Errorf("bench test gives back %g", mu)
	}
	if _, ok := FrictionFromTilt(20*degree, 30*degree); ok {
		t.Error("a ring that does not hold has a friction")
	}
	check.Row{Topic: "hook and ring", Name: "line round a peg, 180° at 0.2", Source: cite.CapstanEquation.At("", cite.Derived)}.Near(t, RoundAPeg(0.2, math.Pi), 1.8745, check.Printed(1e-4))
	check.Row{Topic: "hook and ring", Name: "pitch at which a slack ring falls", Unit: "deg", Source: src}.Near(t, h.FallPitch()/degree, 14.0362-30, check.Printed(1e-4))
}

func TestThrow(t *testing.T) {
	src := cite.CrossThrow.At("a factor of 60 in mass slows the throw by 2.4", cite.Seen)
	check.Row{Topic: "hand throw", Name: "exponent", Source: src}.Near(t, ThrowMassExponent, -math.Log(2.4)/math.Log(60), check.Printed(1e-5))
	for _, w := range []struct{ m, f float64 }{{0.3, 1.2333}, {0.5, 1.1057}, {0.6, 1.0634}, {1.0, 0.9534}} {
		check.Row{Topic: "hand throw", Name: fmt.Sprintf("speed of %g kg over 0.8 kg", w.m), Source: src}.Near(t, ThrowFactor(w.m, 0.8), w.f, check.Printed(1e-4))
	}
	v, _ := CarefulThrow(0.6)
	check.Row{Topic: "hand throw", Name: "careful throw of 0.6 kg", Unit: "m/s", Source: cite.Choice.At("reference flight 3.5, assumption", cite.Practice)}.Near(t, v, 8, check.Exact(10))
}
