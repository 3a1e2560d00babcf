package strength

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"

	"pgregory.net/rapid"
)

func TestLagFunction(t *testing.T) {
	ref := cite.TR496.At("C(k) by Hankel functions at 20 digits", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("strength-theodorsen.csv")) {
		k, f, g := check.Number(t, r, "k"), check.Number(t, r, "F"), check.Number(t, r, "G")
		c := LagFunction(k)
		tol := check.ModelAbs(1e-6, "Bessel functions, six digits printed")
		check.Row{Topic: "flutter", Name: fmt.Sprintf("F(%g)", k), Source: ref}.Near(t, real(c), f, tol)
		check.Row{Topic: "flutter", Name: fmt.Sprintf("G(%g)", k), Source: ref}.Near(t, imag(c), g, tol)
		check.Row{Topic: "flutter", Name: fmt.Sprintf("two-lag form at k = %g, distance from C(k)", k), Source: cite.Jones1940.At("two lags", cite.Memory)}.
			Near(t, cmplx.Abs(LagJones(k)-c), 0, check.ModelAbs(0.03, "accuracy of the two-lag form"))
	}
	for _, r := range [][3]float64{{0.1, 0.8320, -0.1723}, {0.2, 0.7276, -0.1886}, {0.5, 0.5979, -0.1507}, {1.0, 0.5394, -0.1003}} {
		ref := cite.BAH.At("table of C(k)", cite.Memory)
		tol := check.ModelAbs(1e-4, "old four-digit table")
		check.Row{Topic: "flutter", Name: fmt.Sprintf("F(%g), textbook", r[0]), Source: ref}.Near(t, real(LagFunction(r[0])), r[1], tol)
		check.Row{Topic: "flutter", Name: fmt.Sprintf("G(%g), textbook", r[0]), Source: ref}.Near(t, imag(LagFunction(r[0])), r[2], tol)
	}
	if LagFunction(0) != 1 || LagJones(0) != 1 {
		t.Error("steady flow has no lag")
	}
}

var sections = []struct {
	id                   string
	a, x, r2, s, mu      float64
	uf, wf, k, ud, quick float64
}{
	{"HP", -0.2, 0.1, 0.24, 0.4, 20, 2.1839, 0.6490, 0.2972, 2.8284, 2.449},
	{"TG", -0.4, 0.2, 0.25, 0.25, 4, 1.5448, 0.6280, 0.4065, 2.2361, 1.291},
	{"B1", -0.4, 0.2, 0.25, 0.3, 10, 1.9781, 0.6360, 0.3215, 3.5355, 2.041},
	{"B3", -0.2, 0.2, 0.25, 0.2, 30, 2.6774, 0.5451, 0.2036, 3.5355, 2.739},
	{"B5", -0.3, 0.1, 0.25, 0.4, 50, 3.7208, 0.6195, 0.1665, 5.5902, 4.564},
	{"M1", -0.34, 0.15, 0.22, 0.35, 6, 1.5381, 0.6401, 0.4162, 2.0310, 1.459},
	{"M3", -0.3, 0.05, 0.25, 0.4, 8, 2.0140, 0.6516, 0.3236, 2.2361, 2.000},
}

func TestTwoDegreeSections(t *testing.T) {
	ref := cite.Ours.At("two independent codings of TR-496's loads", cite.Derived)
	for _, r := range sections {
		s := Typical(1, 1, r.a, r.x, r.r2, math.Pi*r.mu, r.s, 1)
		st := s.Solve(Options{})
		f, ok := st.Flutter()
		if !ok {
			t.Fatalf("%s: no flutter: %+v", r.id, st)
		}
		tol := check.Model(0.0005, "root finding in k; the reference allows 0.5 %")
		row := func(name string, got, want float64, tol check.Tol) {
			check.Row{Topic: "flutter", Name: "section " + r.id + ": " + name, Source: ref}.Near(t, got, want, tol)
		}
		row("flutter speed / bωα", f.V, r.uf, tol)
		row("flutter frequency / ωα", f.Omega, r.wf, tol)
		row("reduced frequency", f.K, r.k, tol)
		row("divergence speed / bωα", st.Divergence, r.ud, check.Printed(1e-4))
		row("divergence, closed form", SectionDivergence(r.mu, r.r2, r.a), r.ud, check.Printed(1e-4))
		check.Row{Topic: "flutter", Name: "section " + r.id + ": quick formula", Source: cite.TR685.At("closed form", cite.Memory)}.Near(t, QuickFlutter(r.mu, r.r2, r.a, r.x), r.quick, check.Printed(0.001))
		j, ok := s.Solve(Options{Lag: LagJones}).Flutter()
		if !ok {
			t.Fatal(r.id)
		}
		row("flutter speed by the two-lag form", j.V, r.uf, check.Model(0.03, "accuracy of the two-lag form"))
		if r.id == "HP" {
			check.Row{Topic: "flutter", Name: "textbook example, flutter speed / bωα", Source: cite.HodgesPierce.At("example with unsteady aerodynamics", cite.Memory)}.Near(t, f.V, 2.17, check.Model(0.01, "the book's finite-state loads"))
			check.Row{Topic: "flutter", Name: "textbook example, divergence / bωα", Source: cite.HodgesPierce.At("example", cite.Memory)}.Near(t, st.Divergence, 2.828, check.Printed(0.001))
		}
	}
}

func conner() Section {
	return Section{
		B: 0.127, A: -0.5, C: 0.5, Rho: 1.225, Plunging: 3.3843, SAlpha: 0.08587, IAlpha: 0.01347,
		SBeta: 0.00395, IBeta: 0.0003264, KH: 2818.8, KAlpha: 37.3, KBeta: 3.9, Flap: true,
	}
}

func TestThreeDegreeRig(t *testing.T) {
	s := conner()
	own := cite.Ours.At("rig of Conner and others 1997", cite.Derived)
	tol := check.Model(0.001, "frequencies to 0.1 %; the reference allows 1 %")
	for i, want := range []float64{4.449, 9.209, 19.442} {
		check.Row{Topic: "flutter", Name: fmt.Sprintf("measured rig, still-air frequency %d", i+1), Unit: "Hz", Source: own}.Near(t, s.Frequencies()[i]/(2*math.Pi), want, tol)
	}
	f, ok := s.Solve(Options{}).Flutter()
	if !ok {
		t.Fatal("no flutter")
	}
	tol = check.Model(0.01, "the reference's own tolerance")
	check.Row{Topic: "flutter", Name: "measured rig, flutter speed", Unit: "m/s", Source: own}.Near(t, f.V, 23.892, tol)
	check.Row{Topic: "flutter", Name: "measured rig, flutter frequency", Unit: "Hz", Source: own}.Near(t, f.Omega/(2*math.Pi), 6.091, tol)
	check.Row{Topic: "flutter", Name: "measured rig, reduced frequency", Source: own}.Near(t, f.K, 0.2034, tol)
	check.Row{Topic: "flutter", Name: "measured rig, the paper's theory", Unit: "m/s", Source: cite.Conner1997.At("linear flutter speed, theory", cite.Memory)}.Near(t, f.V, 23.9, check.Printed(0.1))
	tunnel := cite.Conner1997.At("linear flutter in the tunnel", cite.Memory)
	check.Row{Topic: "flutter", Name: "measured rig, the tunnel's flutter speed", Unit: "m/s", Source: tunnel}.Near(t, f.V, 20.6, check.Model(0.2, "strip theory against a tunnel: 15 to 20 %"))
	check.Row{Topic: "flutter", Name: "measured rig, the tunnel's flutter frequency", Unit: "Hz", Source: tunnel}.Near(t, f.Omega/(2*math.Pi), 5.47, check.Model(0.2, "strip theory against a tunnel: 15 to 20 %"))
}

func elevon(xb, fb float64) Section {
	const hz = 2 * math.Pi
	return Typical(1.225, 0.09, -0.3, 0.12, 0.22, 0.45, 12*hz, 40*hz).WithFlap(0.5, xb, 0.006, fb*hz)
}

func TestModelElevon(t *testing.T) {
	ref := cite.Ours.At("model-size elevon sets T1 and T3", cite.Derived)
	tol := check.Model(0.02, "the reference's own tolerance")
	row := func(name, unit string, got, want float64) {
		check.Row{Topic: "flutter", Name: name, Unit: unit, Source: ref}.Near(t, got, want, tol)
	}
	c := elevon(0.012, 35).Solve(Options{Fastest: 80}).Crossings
	if len(c) < 3 || !c[0].Onset || c[1].Onset || !c[2].Onset {
		t.Fatalf("T1: %+v", c)
	}
	const hz = 2 * math.Pi
	row("elevon T1: control-surface band begins", "m/s", c[0].V, 14.20)
	row("elevon T1: its frequency", "Hz", c[0].Omega/hz, 48.55)
	row("elevon T1: recovers", "m/s", c[1].V, 40.28)
	row("elevon T1: frequency there", "Hz", c[1].Omega/hz, 42.89)
	row("elevon T1: wing flutter", "m/s", c[2].V, 49.43)
	row("elevon T1: its frequency (wing)", "Hz", c[2].Omega/hz, 27.92)
	f, _ := elevon(0.012, 90).Solve(Options{Fastest: 80}).Flutter()
	row("elevon T3: stiff linkage", "m/s", f.V, 48.55)
	row("elevon T3: its frequency", "Hz", f.Omega/hz, 24.45)
	// Damping narrows the band; mass balance removes it.
	d := elevon(0.012, 35).Solve(Options{Fastest: 80, Damping: 0.04}).Crossings
	if len(d) > 0 && d[0].V <= c[0].V {
		t.Errorf("structural damping brought the onset down: %g", d[0].V)
	}
	loose, _ := elevon(0.012, 35).Solve(Options{Fastest: 80, Damping: 0.02}).Flutter()
	if f, _ := elevon(-0.004, 35).Solve(Options{Fastest: 80, Damping: 0.02}).Flutter(); f.V < 2*loose.V {
		t.Errorf("mass balance leaves an onset at %g, %g without", f.V, loose.V)
	}
	// A mode that grows from the lowest speed on is no recovery out of nothing.
	if f, ok := elevon(0, 35).Solve(Options{Fastest: 80}).Flutter(); !ok || f.V > 3 {
		t.Errorf("balanced, undamped: %+v %v", f, ok)
	}
}

var goland = Cantilever{Span: 6.096, Chord: 1.8288, Axis: 0.33, Mass: 0.43, PerSpan: 35.71, Inertia: 8.64, EI: 9.77e6, GJ: 0.987e6, Rho: 1.225}

func TestGolandWing(t *testing.T) {
	own := cite.Ours.At("strip theory in exact beam modes", cite.Derived)
	pub := cite.Goland1945.At("flutter of the uniform wing", cite.Seen)
	b, tor := goland.Still()
	check.Row{Topic: "flutter", Name: "Goland wing, bending frequency", Unit: "rad/s", Source: own}.Near(t, b, 49.49, check.Printed(0.01))
	check.Row{Topic: "flutter", Name: "Goland wing, torsion frequency", Unit: "rad/s", Source: own}.Near(t, tor, 87.09, check.Printed(0.01))
	for _, r := range []struct {
		n    int
		v, w float64
	}{{1, 136.81, 69.98}, {3, 136.95, 70.02}} {
		st := goland.Solve(r.n, Options{Fastest: 300})
		f, ok := st.Flutter()
		if !ok {
			t.Fatalf("%d modes: %+v", r.n, st)
		}
		check.Row{Topic: "flutter", Name: fmt.Sprintf("Goland wing, %d+%d modes, speed", r.n, r.n), Unit: "m/s", Source: own}.Near(t, f.V, r.v, check.Model(0.002, "root finding and mode shapes; the reference allows 2 %"))
		check.Row{Topic: "flutter", Name: fmt.Sprintf("Goland wing, %d+%d modes, frequency", r.n, r.n), Unit: "rad/s", Source: own}.Near(t, f.Omega, r.w, check.Model(0.002, "root finding and mode shapes; the reference allows 2 %"))
		if r.n == 3 {
			check.Row{Topic: "flutter", Name: "Goland wing, published speed", Unit: "m/s", Source: pub}.Near(t, f.V, 137.2, check.Model(0.02, "strip theory in different modes"))
			check.Row{Topic: "flutter", Name: "Goland wing, published frequency", Unit: "rad/s", Source: pub}.Near(t, f.Omega, 70.7, check.Model(0.02, "strip theory in different modes"))
			check.Row{Topic: "flutter", Name: "Goland wing, divergence by modes", Unit: "m/s", Source: own}.Near(t, st.Divergence, 252.3, check.Model(0.01, "three torsion modes"))
		}
	}
}

func TestDivergence(t *testing.T) {
	got := DivergenceSpeed(12e6, 1.225, 1.2, 2.8, 8.0, 3.1)
	check.Row{Topic: "flutter", Name: "uniform wing divergence, textbook", Unit: "m/s", Source: cite.Megson.At("worked solution", cite.Seen)}.Near(t, got, 269.2, check.Model(0.0005, "the book rounds its density"))
	own := cite.Ours.At("closed form", cite.Derived)
	check.Row{Topic: "flutter", Name: "uniform wing divergence, recomputed", Unit: "m/s", Source: own}.Near(t, got, 269.29, check.Printed(0.01))
	check.Row{Topic: "flutter", Name: "model wing divergence", Unit: "m/s", Source: own}.Near(t, DivergenceSpeed(20, 1.225, 0.018, 0.18, 0.45, 4.5), 165.2, check.Printed(0.1))
	check.Row{Topic: "flutter", Name: "Goland wing divergence", Unit: "m/s", Source: own}.Near(t, DivergenceSpeed(0.987e6, 1.225, 0.08*1.8288, 1.8288, 6.096, 2*math.Pi), 252.3, check.Printed(0.1))
	if !math.IsInf(DivergenceSpeed(1, 1, 0, 1, 1, 1), 1) || !math.IsNaN(DivergenceSpeed(0, 1, 1, 1, 1, 1)) {
		t.Error("an axis at the aerodynamic centre; no stiffness")
	}
}

func TestSurfaceFrequency(t *testing.T) {
	own := cite.Ours.At("uniform plate about its edge", cite.Derived)
	i := PlateInertia(20e-3, 36e-3)
	check.Row{Topic: "flutter", Name: "flap inertia", Unit: "kg m²", Source: own}.Near(t, i, 8.64e-6, check.Exact(10))
	check.Row{Topic: "flutter", Name: "flap on its linkage", Unit: "Hz", Source: own}.Near(t, SurfaceFrequency(1.0, i)/(2*math.Pi), 54.15, check.Printed(0.01))
	if k := ControlStiffness(math.Inf(1), 1, 1e4, 0.01); math.Abs(k-1) > 1e-12 {
		t.Errorf("rigid servo: %g", k)
	}
	if k := ControlStiffness(0, 1, 1e4, 0.01); k != 0 {
		t.Errorf("no stiffness: %g", k)
	}
	if k := FingerTest(0.5, 0.03, 0.001); math.Abs(k-0.45) > 0.001 {
		t.Errorf("finger test %g", k)
	}
}

// Flutter scales: twice all frequencies, twice the speed; a similar section of
// another size and density has the same speed over bωα.
func TestFlutterLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := sections[rapid.IntRange(0, len(sections)-1).Draw(t, "section")]
		b, wa, rho := rapid.Float64Range(0.03, 0.3).Draw(t, "b"), rapid.Float64Range(50, 500).Draw(t, "wa"), rapid.Float64Range(0.8, 1.3).Draw(t, "rho")
		f, ok := Typical(rho, b, r.a, r.x, r.r2, math.Pi*rho*b*b*r.mu, r.s*wa, wa).Solve(Options{}).Flutter()
		if !ok || math.Abs(f.V/(b*wa)/r.uf-1) > 1e-3 {
			t.Errorf("%s: %g", r.id, f.V/(b*wa))
		}
	})
	// At the crossing the flutter determinant vanishes: an independent form, entry by entry.
	for _, s := range []Section{conner(), elevon(0.012, 35), Typical(1, 1, -0.2, 0.1, 0.24, 20*math.Pi, 0.4, 1)} {
		for _, c := range s.Solve(Options{Fastest: 80}).Crossings {
			sys := s.system(LagFunction)
			a := sys.aero(c.Omega / c.V)
			scale := 1.0
			n := sys.n
			for i := range n {
				for j := range n {
					a[i][j] = complex(sys.stif[i][j], 0) - complex(c.Omega*c.Omega, 0)*(complex(sys.mass[i][j], 0)+a[i][j])
				}
				scale *= cmplx.Abs(a[i][i]) + sys.stif[i][i]
			}
			det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
			if n == 3 {
				det = a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
			}
			if cmplx.Abs(det)/scale > 1e-6 {
				t.Errorf("determinant %g at %g m/s", cmplx.Abs(det)/scale, c.V)
			}
		}
	}
}

func TestFlutterBadInput(t *testing.T) {
	ok := Typical(1.225, 0.09, -0.3, 0.12, 0.22, 0.45, 75, 250)
	for name, s := range map[string]Section{
		"nothing":           {},
		"no stiffness":      func() Section { s := ok; s.KAlpha = 0; return s }(),
		"negative":          func() Section { s := ok; s.KH = -1; return s }(),
		"not a number":      func() Section { s := ok; s.IAlpha = math.NaN(); return s }(),
		"impossible masses": func() Section { s := ok; s.SAlpha = 10; return s }(),
		"free flap":         ok.WithFlap(0.5, 0.01, 0.006, 0),
		"hinge outside":     ok.WithFlap(1.5, 0.01, 0.006, 100),
	} {
		if st := s.Solve(Options{}); st.Outcome != Unsound {
			t.Errorf("%s: %+v", name, st)
		}
	}
	w := goland
	w.GJ = 0
	if st := w.Solve(2, Options{}); st.Outcome != Unsound {
		t.Errorf("wing without stiffness: %+v", st)
	}
	if st := goland.Solve(9, Options{}); st.Outcome != Unsound {
		t.Errorf("nine modes: %+v", st)
	}
}

func BenchmarkThreeDegree(b *testing.B) {
	s := elevon(0.012, 35)
	for b.Loop() {
		s.Solve(Options{Fastest: 80})
	}
}

// The screen's criterion on sections drawn over the ranges of small models:
// few control flutters begin above it. (500 gave 5 % and 4 %; 60 here.)
func TestScreenCriterion(t *testing.T) {
	const n = 60
	above, balanced := 0, 0
	for i := range n {
		k := 0
		u := func(lo, hi float64) float64 { // a Kronecker sequence
			k++
			_, f := math.Modf(float64(i+1) * math.Sqrt([]float64{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37}[k-1]))
			return lo + (hi-lo)*f
		}
		b, mu, wa := u(0.05, 0.12), u(8, 40), 2*math.Pi*u(25, 90)
		a, x, r2 := u(-0.4, -0.2), u(0.05, 0.2), u(0.2, 0.3)
		wh, e := wa*u(0.2, 0.6), u(0.18, 0.35)
		s := Typical(1.225, b, a, x, r2, mu*math.Pi*1.225*b*b, wh, wa)
		plain, ok := s.Solve(Options{Damping: 0.02}).Flutter()
		if !ok {
			continue
		}
		cf := e * 2 * b
		mf := u(0.5, 1.5) * cf
		wb := wa * math.Exp(u(math.Log(0.3), math.Log(4)))
		s.Flap, s.C, s.SBeta, s.IBeta = true, 1-2*e, mf*cf*u(0.3, 0.5), mf*cf*cf/3
		s.KBeta = s.IBeta * wb * wb
		if f, ok := s.Solve(Options{Damping: 0.02}).Flutter(); ok && f.V < 0.9*plain.V && wb*b/f.V > limit("flutter") {
			above++
		}
		s.SBeta = 0
		if f, ok := s.Solve(Options{Damping: 0.02}).Flutter(); ok && f.V < 0.9*plain.V && wb*b/f.V > limit("flutter.balanced") {
			balanced++
		}
	}
	// 5 % of 60 is 3; 7 and more happen once in thirty.
	if above > 7 || balanced > 7 {
		t.Errorf("%d and %d of %d sections flutter above the criterion", above, balanced, n)
	}
	t.Logf("%d and %d of %d", above, balanced, n)
}

// The small solver against the general one.
func TestEigenSmall(t *testing.T) {
	for _, s := range []Section{conner(), elevon(0.012, 35), elevon(0.012, 90), Typical(1, 1, -0.2, 0.1, 0.24, 20*math.Pi, 0.4, 1)} {
		sys := s.system(LagFunction)
		for _, k := range []float64{0.005, 0.05, 0.3, 1, 4, 20} {
			a := sys.aero(k / s.B)
			for i := range sys.n {
				for j := range sys.n {
					a[i][j] += complex(sys.mass[i][j], 0)
				}
			}
			z, _ := solveComplex(a, sys.stif)
			small, full := eigenSmall(z), eigenComplex(z)
			for _, v := range full {
				w, _ := nearest(small, v)
				if cmplx.Abs(w-v) > 1e-9*cmplx.Abs(v) {
					t.Errorf("k %g: %v, want %v", k, w, v)
				}
			}
		}
	}
}

// The rigidity rule: flexibility falls as stiffness rises, the limit as speed
// squared, and the tip's twist under a unit couple is the half span over GJ.
func TestRigidityRule(t *testing.T) {
	if r := TorsionalFlexibility(10, 0.2, 0.5) / TorsionalFlexibility(20, 0.2, 0.5); math.Abs(r-2) > 1e-12 {
		t.Error(r)
	}
	if r := FlexibilityLimit(30) / FlexibilityLimit(60); math.Abs(r-4) > 1e-12 {
		t.Error(r)
	}
	check.Row{Topic: "flutter", Name: "rigidity rule at 100 mph", Source: cite.Report45.At("F <= 200/V²", cite.Memory)}.Near(t, FlexibilityLimit(100*0.44704), 0.02, check.Exact(10))
	// 1 lbf ft of tip couple on 100 lbf ft² of GJ, 1 ft chord, 3 ft half span: ∫ y/GJ dy = 0.045.
	const ft, lbf = 0.3048, 4.4482216152605
	check.Row{Topic: "flutter", Name: "flexibility of a uniform wing", Unit: "rad ft²/lbf ft · ft", Source: cite.Ours.At("∫ θ c² ds with θ = y/GJ", cite.Derived)}.
		Near(t, TorsionalFlexibility(100*lbf*ft*ft, ft, 3*ft), 0.045, check.Exact(100))
	for _, r := range []struct {
		outer float64
		whole bool
		want  float64
	}{{0.9, false, 0.13}, {0.6, false, 0.57}, {0.4, false, 1.15}, {0.9, true, 0.034}} {
		check.Row{Topic: "flutter", Name: "published free play", Unit: "°", Source: cite.ControlPlay.At("free-play limits", cite.Memory)}.Near(t, PlayLimit(r.outer, r.whole)/deg, r.want, check.Exact(100))
	}
}
