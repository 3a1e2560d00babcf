package radio

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/check"
	"fledge/internal/cite"
)

const deg = math.Pi / 180

func TestFreeSpace(t *testing.T) {
	src := cite.ITUP525.At("free-space loss", cite.Derived)
	for _, r := range []struct {
		mhz  float64
		want [7]float64
	}{
		{433.92, [7]float64{45.196, 65.196, 74.738, 79.175, 85.196, 91.217, 99.175}},
		{868, [7]float64{51.218, 71.218, 80.761, 85.198, 91.218, 97.239, 105.198}},
		{2440, [7]float64{60.196, 80.196, 89.738, 94.175, 100.196, 106.216, 114.175}},
		{5800, [7]float64{67.716, 87.716, 97.259, 101.696, 107.716, 113.737, 121.696}},
	} {
		for i, d := range []float64{10, 100, 300, 500, 1000, 2000, 5000} {
			check.Row{Topic: "radio", Name: fmt.Sprintf("free-space loss, %g MHz, %g m", r.mhz, d), Unit: "dB", Source: src}.
				Near(t, FreeSpace(r.mhz*1e6, d), r.want[i], check.Printed(0.0011))
		}
		if got := FreeRange(r.mhz*1e6, FreeSpace(r.mhz*1e6, 321)); math.Abs(got-321) > 1e-9 {
			t.Errorf("range of the loss at 321 m: %g", got)
		}
	}
	// The practical form of the recommendation, 0.048 dB low by its rounded constant.
	check.Row{Topic: "radio", Name: "practical form, 2440 MHz, 1 km", Unit: "dB", Source: cite.ITUP525.At("32.4 + 20 log f + 20 log d", cite.Memory)}.
		Near(t, FreeSpace(2440e6, 1000), 32.4+20*math.Log10(2440), check.ModelAbs(0.05, "the recommendation rounds 32.4478 to 32.4"))
	check.Row{Topic: "radio", Name: "twice the distance", Unit: "dB", Source: src}.Near(t, FreeSpace(1e9, 200)-FreeSpace(1e9, 100), 6.0206, check.Printed(1e-4))
	check.Row{Topic: "radio", Name: "6 dB in range", Source: src}.Near(t, FreeRange(1e9, 106)/FreeRange(1e9, 100), 1.99526, check.Printed(1e-5))
}

func TestFresnelAndEdges(t *testing.T) {
	zone := cite.ITUP526.At("2.1", cite.Seen)
	for _, r := range []struct{ mhz, d1, d2, want, digit float64 }{
		{868, 250, 250, 6.5706, 1e-4}, {868, 500, 500, 9.2922, 1e-4}, {2440, 500, 500, 5.5422, 1e-4},
		{5800, 50, 50, 1.1368, 1e-4}, {5800, 500, 500, 3.5947, 1e-4}, {5800, 50, 950, 1.56691, 1e-5},
	} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("first Fresnel zone, %g MHz, %g + %g m", r.mhz, r.d1, r.d2), Unit: "m", Source: zone}.
			Near(t, Fresnel(r.mhz*1e6, 1, r.d1, r.d2), r.want, check.Printed(r.digit))
		km := 550 * math.Sqrt(r.d1*r.d2/1e6/((r.d1+r.d2)/1e3*r.mhz))
		check.Row{Topic: "radio", Name: fmt.Sprintf("its practical form, %g MHz, %g + %g m", r.mhz, r.d1, r.d2), Unit: "m", Source: zone}.
			Near(t, Fresnel(r.mhz*1e6, 1, r.d1, r.d2), km, check.Model(0.005, "the constant 550 is 0.45 % high"))
	}
	check.Row{Topic: "radio", Name: "second zone, 5800 MHz, 50 + 950 m", Unit: "m", Source: zone}.Near(t, Fresnel(5800e6, 2, 50, 950), 2.21594, check.Printed(1e-5))

	edge := cite.ITUP526.At("4.1", cite.Derived)
	for _, r := range []struct{ nu, j, exact float64 }{
		{-0.5, 1.9592, 1.8586}, {0, 6.0329, 6.0206}, {0.5, 10.2878, 10.2338}, {1, 13.9257, 13.8641}, {1.5, 16.7844, 16.7773},
		{2, 19.0429, 19.0910}, {3, 22.4160, 22.5218}, {5, 26.8136, 26.9362}, {10, 32.8554, 32.9535},
	} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("knife edge, nu %g", r.nu), Unit: "dB", Source: edge}.Near(t, KnifeEdge(r.nu), r.j, check.Printed(1e-4))
		check.Row{Topic: "radio", Name: fmt.Sprintf("knife edge against the Fresnel integrals, nu %g", r.nu), Unit: "dB", Source: edge}.
			Near(t, KnifeEdge(r.nu), r.exact, check.ModelAbs(0.15, "what the fit of the recommendation gives away"))
	}
	check.Row{Topic: "radio", Name: "knife edge, nu 51.640", Unit: "dB", Source: cite.ITUP526.At("4.1, a published worked case", cite.Seen)}.Near(t, KnifeEdge(51.640), 47.165, check.ModelAbs(0.001, "the case prints its number to three decimals"))
	for _, r := range []struct{ mhz, h, d1, d2, nu, j float64 }{
		{5800, 5, 400, 100, 3.4773, 23.676}, {5800, -0.5, 400, 100, -0.3477, 3.130}, {5800, 2, 250, 250, 1.1127, 14.634},
		{868, 2, 250, 250, 0.4305, 9.721}, {868, 5, 400, 100, 1.3452, 15.973},
	} {
		nu := EdgeNumber(r.mhz*1e6, r.h, r.d1, r.d2)
		name := fmt.Sprintf("edge %g m high, %g MHz, %g + %g m", r.h, r.mhz, r.d1, r.d2)
		check.Row{Topic: "radio", Name: name + ": nu", Source: edge}.Near(t, nu, r.nu, check.Printed(1e-4))
		check.Row{Topic: "radio", Name: name + ": loss", Unit: "dB", Source: edge}.Near(t, KnifeEdge(nu), r.j, check.Printed(0.0011))
	}
	if KnifeEdge(-0.79) != 0 || KnifeEdge(-5) != 0 || KnifeEdge(math.Inf(-1)) != 0 {
		t.Error("a line well clear of the edge loses something")
	}
}

func TestGround(t *testing.T) {
	src := cite.ITUP527.At("Fresnel coefficients at 5.8 GHz", cite.Derived)
	grounds := []Ground{{Permittivity: 15, Conductivity: 0.005}, {Permittivity: 30, Conductivity: 0.02}, {Permittivity: 4, Conductivity: 0.001}}
	for _, r := range []struct {
		psi  float64
		want [6]float64
	}{
		{1, [6]float64{0.99071, 0.86922, 0.99354, 0.82278, 0.98005, 0.92252}},
		{2, [6]float64{0.98152, 0.75453, 0.98712, 0.67446, 0.96051, 0.85086}},
		{5, [6]float64{0.95449, 0.48224, 0.96815, 0.34638, 0.90430, 0.66525}},
		{10, [6]float64{0.91139, 0.17967, 0.93755, 0.01685, 0.81859, 0.42957}},
		{20, [6]float64{0.83313, 0.15449, 0.88079, 0.31071, 0.67543, 0.12683}},
		{45, [6]float64{0.68677, 0.47166, 0.76962, 0.59231, 0.45142, 0.20378}},
		{90, [6]float64{0.58957, 0.58957, 0.69123, 0.69123, 0.33333, 0.33333}},
	} {
		for i, g := range grounds {
			h, v := g.Reflect(5.8e9, r.psi*deg)
			name := fmt.Sprintf("permittivity %g, grazing %g deg", g.Permittivity, r.psi)
			check.Row{Topic: "radio", Name: "reflection along the ground, " + name, Source: src}.Near(t, cmplx.Abs(h), r.want[2*i], check.Printed(1e-5))
			check.Row{Topic: "radio", Name: "reflection upright, " + name, Source: src}.Near(t, cmplx.Abs(v), r.want[2*i+1], check.Printed(1e-5))
			// Phases: turned by 180 degrees along the ground at all angles, upright below the Brewster angle only.
			below := r.psi*deg < math.Atan(1/math.Sqrt(g.Permittivity))
			if real(h) > 0 || below != (real(v) < 0) {
				t.Errorf("%s: phases %v %v", name, h, v)
			}
		}
	}
	for _, r := range []struct{ eps, want, digit float64 }{{3, 30, 1e-3}, {4, 26.565, 1e-3}, {15, 14.4775, 1e-4}, {30, 10.3468, 1e-4}} {
		// The Brewster angle is where the upright coefficient of a lossless ground is nil.
		g := Ground{Permittivity: r.eps}
		_, v := g.Reflect(5.8e9, math.Atan(1/math.Sqrt(r.eps)))
		if cmplx.Abs(v) > 1e-12 {
			t.Errorf("permittivity %g: %v at its Brewster angle", r.eps, v)
		}
		check.Row{Topic: "radio", Name: fmt.Sprintf("Brewster angle, permittivity %g", r.eps), Unit: "deg", Source: src}.Near(t, math.Atan(1/math.Sqrt(r.eps))/deg, r.want, check.Printed(r.digit))
	}
}

func TestTwoRay(t *testing.T) {
	src := cite.Ours.At("two-ray model with isotropic antennas", cite.Derived)
	soil := Ground{Permittivity: 15, Conductivity: 0.005}
	for _, r := range []struct {
		d, h1, h2, mhz float64
		pol            string
		want           float64
	}{
		{1000, 1.5, 30, 5800, "V", 105.427}, {1000, 1.5, 30, 5800, "H", 104.529}, {2000, 2, 10, 5800, "V", 108.483},
		{10000, 2, 10, 5800, "-1", 134.065}, {500, 1.5, 20, 868, "V", 81.574}, {300, 2, 1, 5800, "V", 94.372}, {100, 2, 1, 5800, "V", 86.306},
	} {
		h, v := soil.Reflect(r.mhz*1e6, math.Atan2(r.h1+r.h2, r.d))
		g := map[string]complex128{"V": v, "H": h, "-1": -1}[r.pol]
		check.Row{Topic: "radio", Name: fmt.Sprintf("two rays, %g MHz, %g m, heights %g and %g m, %s", r.mhz, r.d, r.h1, r.h2, r.pol), Unit: "dB", Source: src}.
			Near(t, TwoRay(r.mhz*1e6, r.d, r.h1, r.h2, g), r.want, check.Printed(0.0011))
	}
	if null := TwoRay(5800e6, 773.6, 2, 10, -1); null < 150 {
		t.Errorf("in the null %g dB", null)
	}
	for _, r := range []struct {
		mhz, h1, h2   float64
		nulls, maxima []float64
		cross         float64
	}{
		{5800, 1.5, 30, []float64{1740.9455, 870.0840, 579.6237, 434.2636}, []float64{3482.2796, 1160.4144, 695.8338}, 10940.3},
		{5800, 2, 10, []float64{773.8015, 386.7999, 257.7546, 193.1982}, []float64{1547.7038, 515.8117, 309.3795}, 4862.4},
		{2440, 1.5, 20, []float64{487.9258, 243.3438, 161.5391, 120.4260}, []float64{976.4697, 324.9402, 194.3028}, 3068.3},
		{868, 1.5, 20, []float64{172.5586, 84.5136, 54.3250, 38.5279}, []float64{346.8610, 114.0639, 66.5322}, 1091.5},
	} {
		for i, want := range r.nulls {
			d, ok := TwoRayNull(r.mhz*1e6, r.h1, r.h2, float64(i+1))
			check.Row{Topic: "radio", Name: fmt.Sprintf("null %d, %g MHz, heights %g and %g m", i+1, r.mhz, r.h1, r.h2), Unit: "m", Source: src}.Near(t, d, want, check.Printed(1e-4))
			if !ok {
				t.Error("null not found")
			}
		}
		for i, want := range r.maxima {
			d, _ := TwoRayNull(r.mhz*1e6, r.h1, r.h2, float64(i)+0.5)
			check.Row{Topic: "radio", Name: fmt.Sprintf("maximum %d, %g MHz, heights %g and %g m", i+1, r.mhz, r.h1, r.h2), Unit: "m", Source: src}.Near(t, d, want, check.Printed(1e-4))
		}
		check.Row{Topic: "radio", Name: fmt.Sprintf("crossover, %g MHz, heights %g and %g m", r.mhz, r.h1, r.h2), Unit: "m", Source: src}.Near(t, Crossover(r.mhz*1e6, r.h1, r.h2), r.cross, check.Printed(0.1))
	}
	if _, ok := TwoRayNull(5800e6, 0.02, 0.02, 1); ok {
		t.Error("a null between antennas that low")
	}
	check.Row{Topic: "radio", Name: "far limit, 10 km, 2 and 10 m", Unit: "dB", Source: src}.
		Near(t, TwoRay(5800e6, 10000, 2, 10, -1), 133.979, check.ModelAbs(0.1, "40 log d - 20 log(h1 h2) is the limit beyond twice the crossover"))
}

func TestPolarisation(t *testing.T) {
	src := cite.Balanis.At("polarisation loss", cite.Derived)
	along := r3.Vec{X: 1}
	wave := func(kind string, axis r3.Vec, left bool) Field {
		k, ok := KindOf(kind)
		if !ok {
			t.Fatal(kind)
		}
		a := Antenna{Kind: k, Axis: axis, Left: left}
		return a.Towards(along)
	}
	back := func(kind string, axis r3.Vec, left bool) Field {
		k, _ := KindOf(kind)
		a := Antenna{Kind: k, Axis: axis, Left: left}
		return a.Towards(r3.Scale(-1, along))
	}
	e := wave("dipole", r3.Vec{Z: 1}, false)
	for _, r := range []struct{ psi, want float64 }{{15, 0.3011}, {30, 1.2494}, {45, 3.0103}, {60, 6.0206}, {75, 11.7401}, {85, 21.1941}} {
		s, c := math.Sincos(r.psi * deg)
		f := back("dipole", r3.Vec{Y: s, Z: c}, false)
		check.Row{Topic: "radio", Name: fmt.Sprintf("two dipoles %g deg apart", r.psi), Unit: "dB", Source: src}.Near(t, -10*math.Log10(Mismatch(&e, &f)), r.want, check.Printed(1e-4))
	}
	// The limits of elliptic polarisation: linear on linear, circular on linear, same hand and opposite.
	for _, r := range []struct{ r1, r2, dtau, want float64 }{
		{0, 0, 0, 1}, {0, 0, math.Pi / 2, 0}, {0, 0, math.Pi / 4, 0.5}, {1, 0, 0.3, 0.5}, {1, 1, 0.7, 1}, {1, -1, 0.7, 0},
	} {
		if got := Elliptic(r.r1, r.r2, r.dtau); math.Abs(got-r.want) > 1e-12 {
			t.Errorf("elliptic %g %g %g: %g, want %g", r.r1, r.r2, r.dtau, got, r.want)
		}
	}
	ratio := func(db float64) float64 { return math.Pow(10, -db/20) }
	for _, r := range []struct{ a, b, same, worst, opp float64 }{{1, 1, 0, -0.0574, -18.8145}, {1, 3, -0.0545, -0.2253, -12.9618}, {2, 2, 0, -0.2283, -12.9073}} {
		name := fmt.Sprintf("axial ratios %g and %g dB", r.a, r.b)
		db := func(x float64) float64 { return 10 * math.Log10(x) }
		check.Row{Topic: "radio", Name: name + ", same hand, best", Unit: "dB", Source: src}.Near(t, db(Elliptic(ratio(r.a), ratio(r.b), 0)), r.same, check.Printed(1e-4))
		check.Row{Topic: "radio", Name: name + ", same hand, worst", Unit: "dB", Source: src}.Near(t, db(Elliptic(ratio(r.a), ratio(r.b), math.Pi/2)), r.worst, check.Printed(1e-4))
		check.Row{Topic: "radio", Name: name + ", opposite hand, best", Unit: "dB", Source: src}.Near(t, db(Elliptic(ratio(r.a), -ratio(r.b), 0)), r.opp, check.Printed(1e-4))
	}
	check.Row{Topic: "radio", Name: "axial ratios 1 and 3 dB, opposite hand, worst", Unit: "dB", Source: src}.
		Near(t, 10*math.Log10(Elliptic(ratio(1), -ratio(3), math.Pi/2)), -19.0399, check.Printed(1e-4))
	for _, r := range []struct{ ar, best, worst float64 }{{1, -2.539, -3.539}, {3, -1.764, -4.764}, {6, -0.973, -6.973}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("axial ratio %g dB on linear, best", r.ar), Unit: "dB", Source: src}.Near(t, 10*math.Log10(Elliptic(ratio(r.ar), 0, 0)), r.best, check.Printed(1e-3))
		check.Row{Topic: "radio", Name: fmt.Sprintf("axial ratio %g dB on linear, worst", r.ar), Unit: "dB", Source: src}.Near(t, 10*math.Log10(Elliptic(ratio(r.ar), 0, math.Pi/2)), r.worst, check.Printed(1e-3))
	}
	// The fields of the antennas obey the formula: cloverleaf on cloverleaf, both hands.
	up := r3.Vec{Z: 1}
	k, _ := KindOf("cloverleaf")
	ar := ratio(k.Axial)
	c := wave("cloverleaf", up, false)
	same, opposite := back("cloverleaf", up, false), back("cloverleaf", up, true)
	if got, want := Mismatch(&c, &same), Elliptic(ar, ar, 0); math.Abs(got-want) > 1e-12 {
		t.Errorf("same hand %g, formula %g", got, want)
	}
	if got, want := Mismatch(&c, &opposite), Elliptic(ar, -ar, 0); math.Abs(got-want) > 1e-12 {
		t.Errorf("opposite hand %g, formula %g", got, want)
	}
	if got, want := Mismatch(&c, &e), Elliptic(ar, 0, 0); math.Abs(got-want) > 1e-12 {
		t.Errorf("circular on linear %g, formula %g", got, want)
	}
}

func TestPatterns(t *testing.T) {
	src := cite.Balanis.At("half-wave dipole", cite.Derived)
	k, _ := KindOf("dipole")
	dip := Antenna{Kind: k, Gain: 2.15088, Axis: r3.Vec{Z: 1}}
	at := func(a *Antenna, theta float64) float64 {
		s, c := math.Sincos(theta * deg)
		e := a.Towards(r3.Vec{X: s, Z: c})
		return 10 * math.Log10(e.Power())
	}
	for _, r := range []struct{ theta, want, digit float64 }{{60, -1.7609, 1e-4}, {45, -4.0417, 1e-4}, {30, -7.5808, 1e-4}, {15, -13.693, 1e-3}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("dipole %g deg off its wire", r.theta), Unit: "dB", Source: src}.Near(t, at(&dip, r.theta)-2.15088, r.want, check.Printed(r.digit))
	}
	check.Row{Topic: "radio", Name: "dipole half of its half-power beamwidth off the middle", Unit: "dB", Source: src}.Near(t, at(&dip, 90-78.078/2)-2.15088, 10*math.Log10(0.5), check.Printed(1e-3))
	if e := dip.Towards(r3.Vec{Z: 1}); e.Power() > 1e-20 {
		t.Error("a dipole sends along its wire")
	}
	// Directivity of what is drawn as ideal: the mean gain over the sphere is 1.
	for _, kind := range []struct {
		word string
		gain float64
		tol  float64
		why  string
	}{
		{"dipole", 10 * math.Log10(1.640922), 1e-4, "quadrature"}, {"short dipole", 10 * math.Log10(1.5), 1e-4, "quadrature"},
		{"cloverleaf", 10 * math.Log10(1.5), 1e-4, "quadrature"}, {"crossed dipoles", 10 * math.Log10(1.640922), 1e-4, "quadrature"},
	} {
		k, _ := KindOf(kind.word)
		a := Antenna{Kind: k, Gain: kind.gain, Axis: r3.Unit(r3.Vec{X: 0.3, Y: -0.2, Z: 0.8})}
		sum, n := 0.0, 200
		for i := range n {
			z := -1 + (float64(i)+0.5)*2/float64(n)
			for j := range n {
				s, c := math.Sincos(2 * math.Pi * (float64(j) + 0.5) / float64(n))
				rho := math.Sqrt(1 - z*z)
				e := a.Towards(r3.Vec{X: rho * c, Y: rho * s, Z: z})
				sum += e.Power()
			}
		}
		check.Row{Topic: "radio", Name: "mean gain over the sphere, " + kind.word, Source: cite.Balanis.At("directivity", cite.Derived)}.Near(t, sum/float64(n*n), 1, check.Model(kind.tol, kind.why))
	}
	helix := cite.KingWong.At("and Kraus: 15 and 12 c² n s", cite.Memory)
	for _, r := range []struct {
		n                        int
		pitch, width, kraus, low float64
	}{{3, 13, 62.48, 10.17, 9.20}, {5, 12.5, 49.39, 12.21, 11.24}, {10, 14, 32.93, 15.73, 14.76}} {
		g, m, w := Helix(r.n, 1, math.Tan(r.pitch*deg))
		name := fmt.Sprintf("helix of %d turns", r.n)
		check.Row{Topic: "radio", Name: name + ", Kraus", Unit: "dBi", Source: helix}.Near(t, g, r.kraus, check.Printed(0.011))
		check.Row{Topic: "radio", Name: name + ", measured", Unit: "dBi", Source: helix}.Near(t, m, r.low, check.Printed(0.011))
		check.Row{Topic: "radio", Name: name + ", beamwidth", Unit: "deg", Source: helix}.Near(t, w/deg, r.width, check.Printed(0.011))
	}
	for _, r := range []struct{ a, want float64 }{{70, 8.71}, {40, 13.57}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("beam %g x %g deg, Tai and Pereira", r.a, r.a), Unit: "dBi", Source: cite.Balanis.At("beamwidth to directivity", cite.Derived)}.Near(t, BeamGain(r.a*deg, r.a*deg), r.want, check.Printed(0.011))
	}
	// A beam is half as strong half of its width off its middle, and silent behind.
	p, _ := KindOf("patch")
	patch := Antenna{Kind: p, Gain: 7, Axis: r3.Vec{Z: 1}}
	if got := at(&patch, 37.5) - 7; math.Abs(got+3.0103) > 1e-4 {
		t.Errorf("patch at half its width: %g dB", got)
	}
	if e := patch.Towards(r3.Vec{Z: -1}); e.Power() != 0 {
		t.Error("a patch sends backwards")
	}
}

func TestNoiseAndLevels(t *testing.T) {
	src := cite.JohnsonTN.At("kTB at 290 K", cite.Derived)
	for _, r := range []struct{ b, want float64 }{{1, -173.975}, {125e3, -123.006}, {500e3, -116.985}, {1e6, -113.975}, {18e6, -101.422}, {20e6, -100.965}, {27e6, -99.662}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("noise in %g Hz", r.b), Unit: "dBm", Source: src}.Near(t, Noise(r.b), r.want, check.Printed(0.0011))
	}
	for _, r := range []struct{ b, nf, snr, want float64 }{{18e6, 7, 10, -84.42}, {20e6, 6, 5, -89.96}, {125e3, 6, -7.5, -124.51}, {500e3, 6, -10, -120.99}, {1e6, 6, 12, -95.98}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("threshold, %g Hz, figure %g dB, ratio %g dB", r.b, r.nf, r.snr), Unit: "dBm", Source: src}.Near(t, Threshold(r.b, r.nf, r.snr), r.want, check.Printed(0.011))
	}
	for _, r := range []struct{ mw, want float64 }{{1, 0}, {14, 11.461}, {25, 13.979}, {50, 16.990}, {200, 23.010}, {600, 27.782}, {1000, 30}} {
		check.Row{Topic: "radio", Name: fmt.Sprintf("%g mW", r.mw), Unit: "dBm", Source: cite.Ours.At("10 log10(P/1 mW)", cite.Derived)}.Near(t, DBm(r.mw/1e3), r.want, check.Printed(0.0011))
		if got := Watt(DBm(r.mw / 1e3)); math.Abs(got-r.mw/1e3) > 1e-12 {
			t.Errorf("%g mW there and back: %g", r.mw, got)
		}
	}
	check.Row{Topic: "radio", Name: "50 mV/m at 3 m", Unit: "mW", Source: cite.Ours.At("(E d)²/30", cite.Derived)}.Near(t, EIRP(0.05, 3)*1e3, 0.750, check.Printed(1e-3))
	for _, r := range []struct{ mhz, d, w, c float64 }{{868, 10, 4.32, 6.06}, {2440, 10, 5.80, 8.27}, {5800, 2, 1.48, 4.08}, {5800, 10, 7.41, 10.72}, {5800, 20, 12.75, 16.24}} {
		low, high := Foliage(r.mhz*1e6, r.d)
		name := fmt.Sprintf("%g m of leaves, %g MHz", r.d, r.mhz)
		check.Row{Topic: "radio", Name: name + ", the lesser form", Unit: "dB", Source: cite.Weissberg.At("and early CCIR", cite.Memory)}.Near(t, low, r.w, check.Printed(0.011))
		check.Row{Topic: "radio", Name: name + ", the greater form", Unit: "dB", Source: cite.ITUP833.At("its forerunner 0.2 f^0.3 d^0.6", cite.Memory)}.Near(t, high, r.c, check.Printed(0.011))
	}
	check.Row{Topic: "radio", Name: "10 m of wood", Unit: "dB", Source: cite.ITUP833.At("A = Am (1 - exp(-d g/Am))", cite.Memory)}.Near(t, Wood(10, 0.5, 30), 4.606, check.Printed(1e-3))
	check.Row{Topic: "radio", Name: "100 m of wood", Unit: "dB", Source: cite.ITUP833.At("A = Am (1 - exp(-d g/Am))", cite.Memory)}.Near(t, Wood(100, 0.5, 30), 24.334, check.Printed(1e-3))
}

func TestWholeBudgets(t *testing.T) {
	src := cite.ITUP525.At("link budgets in free space", cite.Derived)
	for _, r := range []struct{ p, gt, gr, sens, mhz, loss, r0, r10, r20, at1km float64 }{
		{13.979, 1.5, 1.5, -85, 5800, 101.979, 516.57, 163.36, 51.66, -90.74},
		{29.031, 1.5, 1.5, -85, 5800, 117.031, 2922.35, 924.13, 292.24, -75.69},
		{13.979, 1.5, 8, -85, 5800, 108.479, 1091.77, 345.25, 109.18, -84.24},
		{20, 2.15, 2.15, -105, 868, 129.300, 80184.6, 25356.6, 8018.5, -66.92},
	} {
		l := Link{Frequency: r.mhz * 1e6, Power: r.p, Threshold: r.sens, Air: Antenna{Gain: r.gt}, Station: Antenna{Gain: r.gr}}
		name := fmt.Sprintf("%.0f mW, %g and %g dBi, %g MHz", Watt(r.p)*1e3, r.gt, r.gr, r.mhz)
		tol := check.Model(1e-4, "the table prints five digits of level and power")
		check.Row{Topic: "radio", Name: "range, " + name, Unit: "m", Source: src}.Near(t, l.FreeSpaceRange(0), r.r0, tol)
		check.Row{Topic: "radio", Name: "range with 10 dB, " + name, Unit: "m", Source: src}.Near(t, l.FreeSpaceRange(10), r.r10, tol)
		check.Row{Topic: "radio", Name: "range with 20 dB, " + name, Unit: "m", Source: src}.Near(t, l.FreeSpaceRange(20), r.r20, tol)
		check.Row{Topic: "radio", Name: "level at 1 km, " + name, Unit: "dBm", Source: src}.Near(t, r.p+r.gt+r.gr-FreeSpace(r.mhz*1e6, 1000), r.at1km, check.Printed(0.011))
	}
	check.Row{Topic: "radio", Name: "25 to 800 mW", Unit: "dB", Source: src}.Near(t, DBm(0.8)-DBm(0.025), 15.0515, check.Printed(1e-4))
}

// plain is a link with ideal upright dipoles over soil.
func plain(mhz, height float64) Link {
	k, _ := KindOf("dipole")
	up := r3.Vec{Z: 1}
	return Link{
		Name: "test", Frequency: mhz * 1e6, Power: 20, Threshold: -100, Height: height,
		Air: Antenna{Kind: k, Gain: 2.15, Axis: up}, Station: Antenna{Kind: k, Gain: 2.15, Axis: up},
		Ground: Ground{Permittivity: 15, Conductivity: 0.005},
	}
}

// The link in space agrees with the plain two-ray sum where the antennas are
// upright and the rays nearly level.
func TestLinkAgainstTwoRay(t *testing.T) {
	for _, r := range []struct{ mhz, d, h1, h2 float64 }{{5800, 2000, 2, 10}, {868, 500, 1.5, 20}, {2440, 900, 1.5, 12}} {
		l := plain(r.mhz, r.h1)
		got := l.At(&Place{Pos: r3.Vec{X: r.d * 0.6, Y: r.d * 0.8, Z: r.h2}, Heading: 1})
		_, v := l.Ground.Reflect(l.Frequency, math.Atan2(r.h1+r.h2, r.d))
		want := l.Power + 2*2.15 - TwoRay(l.Frequency, r.d, r.h1, r.h2, v)
		// The dipoles' own pattern over the few degrees between the rays: under 0.1 dB.
		if math.Abs(got.Level-want) > 0.1 {
			t.Errorf("%g MHz, %g m: %.3f dBm, two rays %.3f", r.mhz, r.d, got.Level, want)
		}
		if got.Mismatch > 1e-3 {
			t.Errorf("upright on upright loses %g dB by polarisation", got.Mismatch)
		}
	}
}

// Laws: reciprocity; 6 dB for twice the distance in free space; turning field
// and aeroplane together changes nothing; a mirrored flight of mirrored
// antennas is the same; a bank points the null.
func TestLaws(t *testing.T) {
	l := plain(5800, 1.8)
	l.Obstacles = []Obstacle{{Name: "hedge", Ahead: 80, Width: 400, Height: 4}}
	l.Boxes = []Box{{Name: "battery", At: r3.Vec{X: 0.2}, Size: r3.Vec{X: 0.08, Y: 0.04, Z: 0.03}}}
	p := Place{Pos: r3.Vec{X: 250, Y: 40, Z: 20}, Heading: 2, Pitch: 0.1, Bank: 0.7}
	up, down := l, l
	up.Up, down.Up = true, false
	if a, b := up.At(&p), down.At(&p); a != b {
		t.Errorf("the way up %+v is not the way down %+v", a, b)
	}
	free := plain(5800, 1.8)
	free.Ground = Ground{Permittivity: 1} // no reflection at all
	a := free.At(&Place{Pos: r3.Vec{X: 200, Z: 1.8}, Heading: 1})
	b := free.At(&Place{Pos: r3.Vec{X: 400, Z: 1.8}, Heading: 1})
	if d := a.Level - b.Level; math.Abs(d-6.0206) > 1e-4 {
		t.Errorf("twice the distance costs %g dB", d)
	}
	for _, turn := range []float64{0.3, 1.7, -2} {
		s, c := math.Sincos(turn)
		q := p
		q.Pos.X, q.Pos.Y = c*p.Pos.X-s*p.Pos.Y, s*p.Pos.X+c*p.Pos.Y
		q.Heading += turn
		m := l
		o := l.Obstacles[0]
		o.Ahead, o.Right, o.Turned = c*80, s*80, turn
		m.Obstacles = []Obstacle{o}
		if x, y := l.At(&p), m.At(&q); math.Abs(x.Level-y.Level) > 1e-8 {
			t.Errorf("turned by %g: %g dBm, was %g", turn, y.Level, x.Level)
		}
	}
	circ, _ := KindOf("cloverleaf")
	one := l
	one.Boxes, one.Obstacles = nil, nil
	one.Air.Kind, one.Station.Kind = circ, circ
	other := one
	other.Air.Left, other.Station.Left = true, true
	mirror := p
	mirror.Pos.Y, mirror.Heading, mirror.Bank = -p.Pos.Y, -p.Heading, -p.Bank
	if x, y := one.At(&p), other.At(&mirror); math.Abs(x.Level-y.Level) > 1e-9 {
		t.Errorf("mirrored %g dBm, was %g", y.Level, x.Level)
	}
	// Flying across at the height of the station, banked by 90 degrees towards it: the wire points at it.
	level := free.At(&Place{Pos: r3.Vec{X: 200, Z: 1.8}, Heading: math.Pi / 2})
	null := free.At(&Place{Pos: r3.Vec{X: 200, Z: 1.8}, Heading: math.Pi / 2, Bank: math.Pi / 2})
	if level.Level-null.Level < 60 {
		t.Errorf("an ideal null: %g dB below level flight", level.Level-null.Level)
	}
	built := free
	built.Air.Fill = Filled
	got := built.At(&Place{Pos: r3.Vec{X: 200, Z: 1.8}, Heading: math.Pi / 2, Bank: math.Pi / 2})
	if d := level.Level - got.Level; math.Abs(d-20) > 0.1 {
		t.Errorf("a built null: %g dB below level flight", d)
	}
	// Roughness takes from the bounced ray and never makes power: no ground
	// adds more than 6.03 dB.
	for _, rough := range []float64{0, 0.02, 0.1, 1} {
		for d := 30.0; d < 3000; d *= 1.07 {
			m := plain(5800, 1.8)
			m.Ground.Rough = rough
			if b := m.At(&Place{Pos: r3.Vec{X: d, Z: 15}, Heading: 1}); b.Ground > 6.03 {
				t.Errorf("roughness %g, %g m: the ground adds %g dB", rough, d, b.Ground)
			}
		}
	}
}

func TestObstacles(t *testing.T) {
	l := plain(5800, 2)
	at := func(z float64, o ...Obstacle) Budget {
		m := l
		m.Obstacles = o
		return m.At(&Place{Pos: r3.Vec{X: 500, Z: z}, Heading: math.Pi / 2})
	}
	// Reference evidence 1.3: an edge 5 m above the line at 400 + 100 m takes 23.7 dB of the direct ray.
	bank := Obstacle{Name: "bank", Ahead: 400, Width: 100, Height: 7}
	if b := at(2, bank); math.Abs(b.Edge-23.676) > 0.01 || b.Behind != "bank" || !(b.Clear < -1) {
		t.Errorf("behind the bank: %+v", b)
	}
	if b := at(60, bank); b.Edge != 0 || b.Clear < 1 {
		t.Errorf("high over the bank: %+v", b)
	}
	if b := at(2, Obstacle{Ahead: 400, Right: 80, Width: 100, Height: 7}); b.Edge != 0 {
		t.Errorf("beside the bank: %+v", b)
	}
	if b := at(2, Obstacle{Ahead: 600, Width: 100, Height: 7}); b.Edge != 0 {
		t.Errorf("before the bank: %+v", b)
	}
	leaves := bank
	leaves.Depth = 3
	if a, b := at(2, leaves), at(2, bank); !(a.Edge < b.Edge && a.Edge > 0) {
		t.Errorf("thin leaves %g dB, solid %g dB", a.Edge, b.Edge)
	}
	// The margin falls as she sinks behind it.
	last := math.Inf(1)
	for z := 12.0; z >= 1; z -= 0.5 {
		b := at(z, bank)
		if j := b.Free + b.Edge; j < 0 || b.Level > last+8 {
			t.Errorf("at %g m: %+v", z, b)
		}
		last = b.Level
	}
	// Shade: the battery between antenna and pilot takes something, behind nothing.
	l.AirAt = r3.Vec{X: 0.5}
	l.Boxes = []Box{{Name: "battery", At: r3.Vec{X: 0.3}, Size: r3.Vec{X: 0.1, Y: 0.05, Z: 0.04}}}
	toPilot := l.At(&Place{Pos: r3.Vec{X: 300, Z: 2}, Heading: math.Pi})
	away := l.At(&Place{Pos: r3.Vec{X: 300, Z: 2}})
	if !(toPilot.Body > 3 && toPilot.Shade == "battery" && away.Body == 0) {
		t.Errorf("shade %g dB nose on, %g dB tail on", toPilot.Body, away.Body)
	}
}

func TestRange(t *testing.T) {
	l := plain(5800, 1.8)
	l.Ground = Ground{Permittivity: 1}
	l.Power = 14
	l.Threshold = -85
	d, ok, reached := l.Range(1.8, 10, 1e5)
	if want := l.FreeSpaceRange(10); !ok || reached || d > want || d < want/1.03 {
		t.Errorf("range %g m, closed form %g m", d, want)
	}
	more := l
	more.Power += 20 * math.Log10(2)
	if e, _, _ := more.Range(1.8, 10, 1e5); math.Abs(e/d-2) > 0.04 {
		t.Errorf("6.02 dB more: %g m from %g m", e, d)
	}
	l.Power = -60
	if _, ok, _ := l.Range(1.8, 10, 1e5); ok {
		t.Error("a dead link has a range")
	}
}

func BenchmarkLink(b *testing.B) {
	l := plain(5800, 1.8)
	l.Obstacles = []Obstacle{{Name: "hedge", Ahead: 80, Width: 400, Height: 4}}
	l.Boxes = []Box{{Name: "battery", At: r3.Vec{X: 0.2}, Size: r3.Vec{X: 0.08, Y: 0.04, Z: 0.03}}}
	p := Place{Pos: r3.Vec{X: 250, Y: 40, Z: 20}, Heading: 2, Pitch: 0.1, Bank: 0.7}
	l.Ready()
	b.ReportAllocs()
	for b.Loop() {
		l.At(&p)
	}
}
