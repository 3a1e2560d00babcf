package evidence

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/track"
)

const (
	deg = math.Pi / 180
	kmh = 1 / 3.6
)

func logFile(n string) string { return "../track/testdata/logs/" + n }

func ours(topic, place string) func(name, unit string) check.Row {
	return func(name, unit string) check.Row {
		return check.Row{Topic: topic, Name: name, Unit: unit, Source: cite.Ours.At(place, cite.Derived)}
	}
}

func TestSoundClosedForms(t *testing.T) {
	r := ours("fly-by sound", "moving source, straight level path")
	for _, k := range [][2]float64{{15, 340.294}, {20, 343.234}, {30, 349.039}} {
		r(fmt.Sprintf("speed of sound at %g °C", k[0]), "m/s").Near(t, SoundSpeed(k[0]+273.15), k[1], check.ModelAbs(2e-3, "the factor 20.0468 has six digits"))
	}
	v, f0 := FlybySpeed(1173, 745, SoundSpeed(288.15))
	r("two tones 1173 and 745 Hz at 15 °C", "m/s").Near(t, v, 75.9363, check.ModelAbs(3e-4, "speed of sound to six digits"))
	r("two tones 1173 and 745 Hz: source", "Hz").Near(t, f0, 911.246, check.Printed(1e-3))
	v, f0 = FlybySpeed(1500, 1000, SoundSpeed(293.15))
	r("two tones 1500 and 1000 Hz at 20 °C", "m/s").Near(t, v, 68.6468, check.ModelAbs(3e-4, "speed of sound to six digits"))
	r("two tones 1500 and 1000 Hz: source", "Hz").Near(t, f0, 1200, check.Exact(10))
	c := 343.234
	for _, k := range []struct {
		v, d, f0, f1, f2, slope float64
		f                       [8]float64
	}{
		{73, 18, 850, 1079.616, 700.925, -733.166, [8]float64{1074.349, 1060.845, 1011.209, 890.271, 817.686, 769.333, 719.696, 706.193}},
		{62, 12, 1300, 1586.594, 1101.102, -1213.264, [8]float64{1582.312, 1570.708, 1519.679, 1343.848, 1230.960, 1168.018, 1116.988, 1105.385}},
		{50, 30, 600, 702.308, 523.710, -145.673, [8]float64{689.798, 670.538, 641.521, 613.008, 598.174, 584.496, 555.479, 536.219}},
	} {
		n := fmt.Sprintf("curve v %g, d %g", k.v, k.d)
		tol := check.ModelAbs(1e-3, "last printed digit; speed of sound to six digits")
		r(n+": far before", "Hz").Near(t, k.f0/(1-k.v/c), k.f1, tol)
		r(n+": far after", "Hz").Near(t, k.f0/(1+k.v/c), k.f2, tol)
		for i, s := range []float64{-1, -0.5, -0.2, 0, 0.1, 0.2, 0.5, 1} {
			r(fmt.Sprintf("%s at %g s", n, s), "Hz").Near(t, FlybyTone(s, k.v, k.d, k.f0, c), k.f[i], tol)
		}
		h := 1e-5
		at := k.d / c
		r(n+": slope at the source tone", "Hz/s").Near(t, (FlybyTone(at+h, k.v, k.d, k.f0, c)-FlybyTone(at-h, k.v, k.d, k.f0, c))/(2*h), k.slope, check.ModelAbs(2e-2, "central difference of 1e-5 s"))
	}
	v, _ = FlybySpeed(689.798, 536.219, c)
	r("asymptotes misread at ±1 s under-read", "m/s").Near(t, v, 42.996, check.Printed(1e-3))
	for _, k := range []struct {
		b        int
		rpm, ton float64
	}{{2, 27000, 900}, {3, 24000, 1200}, {2, 18500, 616.667}, {2, 31500, 1050}, {3, 21000, 1050}} {
		r(fmt.Sprintf("blade pass, %d blades %g rpm", k.b, k.rpm), "Hz").Near(t, BladePass(k.b, k.rpm*math.Pi/30), k.ton, check.Printed(1e-3))
	}
}

func TestTwoWay(t *testing.T) {
	r := ours("two-way mean", "track held on the line: g± = √(V²−w_c²) ± w_t")
	for _, k := range [][7]float64{
		{70, 5, 0, 75.0000, 65.0000, 70.0000, 69.6429},
		{70, 5, 5, 74.8212, 64.8212, 69.8212, 69.4631},
		{70, 0, 8, 69.5414, 69.5414, 69.5414, 69.5414},
		{75, 10, 3, 84.9400, 64.9400, 74.9400, 73.6056},
		{73, 4, 2, 76.9726, 68.9726, 72.9726, 72.7533},
	} {
		g1, g2, a, h := TwoWay(k[0], k[1], k[2])
		for i, v := range []float64{g1, g2, a, h} {
			r(fmt.Sprintf("V %g along %g across %g: %s", k[0], k[1], k[2], []string{"down wind", "up wind", "arithmetic", "harmonic"}[i]), "m/s").Near(t, v, k[3+i], check.Printed(1e-4))
		}
	}
	for _, k := range [][4]float64{{0.01, 0, 0.2813, 0}, {0, 0.5, 0, 0.1875}, {0.05, 0, 1.406, 0}} {
		a, b := Timed(75, 200, k[0], k[1])
		r(fmt.Sprintf("timing error %g s", k[0]), "m/s").Near(t, a, k[2], check.Printed(1e-3))
		r(fmt.Sprintf("base error %g m", k[1]), "m/s").Near(t, b, k[3], check.Printed(1e-4))
	}
}

func TestDive(t *testing.T) {
	r := ours("dive against level", "energy height")
	for _, k := range [][3]float64{{60, 50, 67.6806}, {70, 30, 74.0837}, {64, 20, 66.9945}} {
		r(fmt.Sprintf("no-drag gain from %g over %g m", k[0], k[1]), "m/s").Near(t, DiveSpeed(k[0], k[1]), k[2], check.Printed(1e-4))
	}
	for _, k := range [][8]float64{{0.7, 0.10, 0.020, 62, 74, 100, 285.714, 70.6686}, {0.7, 0.10, 0.020, 62, 74, 200, 285.714, 68.2234}, {0.5, 0.08, 0.025, 60, 75, 150, 204.082, 67.6092}} {
		l := Washout(k[0], 1.225, k[1], k[2])
		r(fmt.Sprintf("washout length of %g kg", k[0]), "m").Near(t, l, k[6], check.Printed(1e-3))
		r(fmt.Sprintf("speed %g m after a dive to %g", k[5], k[4]), "m/s").Near(t, AfterDive(k[3], k[4], k[5], l), k[7], check.Printed(1e-4))
	}
	for _, k := range [][4]float64{{75, -1.5, -4, -15.4718}, {75, 0, -3, -3}, {70, 0.5, 0, 3.5690}} {
		r(fmt.Sprintf("excess power at %g, %g, %g", k[0], k[1], k[2]), "m/s").Near(t, ExcessPower(k[0], k[1], k[2]), k[3], check.Printed(1e-4))
	}
	for _, k := range [][3]float64{{140, 25, 330.7}, {140, 45, 154.2}, {95, 25, 152.3}} {
		r(fmt.Sprintf("turn radius at %g km/h, %g° bank", k[0], k[1]), "m").Near(t, TurnRadius(k[0]*kmh, k[1]*deg), k[2], check.Printed(0.1))
	}
}

func TestPeakBias(t *testing.T) {
	r := ours("peak picking", "exact integral")
	b := func(n, u string) check.Row {
		return check.Row{Topic: "peak picking", Name: n, Unit: u, Source: cite.Blom1958.At("plotting position", cite.Memory)}
	}
	for _, k := range [][4]float64{{2, .56419, .58946, 1.95451}, {5, 1.16296, 1.17976, 2.31868}, {10, 1.53875, 1.54664, 2.56788}, {25, 1.96531, 1.96422, 2.87042}, {50, 2.24907, 2.24333, 3.08279}, {100, 2.50759, 2.49859, 3.28341}, {250, 2.81918, 2.80736, 3.53337}, {1000, 3.24144, 3.22729, 3.88440}, {2500, 3.49571, 3.48078, 4.10158}, {10000, 3.85162, 3.83611, 4.41165}} {
		n := int(k[0])
		r(fmt.Sprintf("mean of the largest of %d", n), "σ").Near(t, PeakBias(n), k[1], check.Printed(1e-5))
		b(fmt.Sprintf("approximation for %d", n), "σ").Near(t, Blom(n), k[2], check.Printed(1e-5))
		r(fmt.Sprintf("95 %% of the largest of %d", n), "σ").Near(t, PeakQuantile(n, 0.95), k[3], check.Printed(1e-5))
	}
	// simulated: 20 000 repeats for n = 100
	rnd := newRand(7)
	sum := 0.0
	for i := 0; i < 20000; i++ {
		m := math.Inf(-1)
		for j := 0; j < 100; j++ {
			m = math.Max(m, rnd.NormFloat64())
		}
		sum += m
	}
	r("simulated mean of the largest of 100", "σ").Near(t, sum/20000, PeakBias(100), check.Model(0.03, "20 000 repeats, as the reference asks"))
	for _, k := range [][4]float64{{2.5, 1, 0, 3.5355}, {2.5, 0.1, 0, 35.355}, {2.5, 1, 0.99, 0.3536}, {2.5, 0.1, 0.999, 1.1180}, {1, 0.2, 0.98, 1}} {
		r(fmt.Sprintf("speed by differences, %g m, %g s, ρ %g", k[0], k[1], k[2]), "m/s").Near(t, DifferencedSpeedSD(k[0], k[1], k[2]), k[3], check.ModelAbs(5e-4, "last printed digit"))
	}
	r("filter lag of 0.3 s at 10 m/s²", "m/s").Near(t, FilterLag(10, 0.3), 3, check.Exact(4))
}

func TestGlidePolar(t *testing.T) {
	r := ours("glide polar", "steady glides, truth stated in the file")
	read := func(n string) (v, s []float64) {
		for _, row := range check.CSV(t, logFile(n)) {
			v = append(v, check.Number(t, row, "V_m_s"))
			s = append(s, check.Number(t, row, "sink_m_s"))
		}
		return
	}
	v, s := read("evidence-glide-exact.csv")
	cd0, k, _, _ := GlidePolar(v, s, 0.70, 0.115, 1.20, false)
	r("exact glides: C_D0", "").Near(t, cd0, 0.021, check.ModelAbs(1e-4, "sink rates to four decimals"))
	r("exact glides: k", "").Near(t, k, 0.085, check.ModelAbs(1e-4, "sink rates to four decimals"))
	v, s = read("evidence-glide-noisy.csv")
	cd0, k, _, _ = GlidePolar(v, s, 0.70, 0.115, 1.20, false)
	r("noisy glides, unweighted: C_D0", "").Near(t, cd0, 0.020092, check.Printed(1e-6))
	r("noisy glides, unweighted: k", "").Near(t, k, 0.092197, check.Printed(1e-6))
	cd0, k, e0, e1 := GlidePolar(v, s, 0.70, 0.115, 1.20, true)
	r("noisy glides, weighted: C_D0", "").Near(t, cd0, 0.021, check.ModelAbs(2*e0, "two standard errors, as the reference asks"))
	r("noisy glides, weighted: k", "").Near(t, k, 0.085, check.ModelAbs(2*e1, "two standard errors, as the reference asks"))
	a := func(n string) check.Row {
		return check.Row{Topic: "glide polar", Name: n, Source: cite.AndersonPolar.At("sample aircraft", cite.Memory)}
	}
	a("k for A 7.37, e 0.80").Near(t, InducedFactor(7.37, 0.80), 0.05399, check.Printed(1e-5))
	a("best L/D of the first").Near(t, BestGlide(0.025, InducedFactor(7.37, 0.80)), 13.6, check.ModelAbs(0.06, "the book prints three digits"))
	a("k for A 8.93, e 0.81").Near(t, InducedFactor(8.93, 0.81), 0.04401, check.Printed(1e-5))
	a("best L/D of the second").Near(t, BestGlide(0.020, InducedFactor(8.93, 0.81)), 16.9, check.ModelAbs(0.06, "the book prints three digits"))
}

func TestCircles(t *testing.T) {
	x := []float64{1, 2, 5, 7, 9, 3}
	y := []float64{7, 6, 8, 7, 5, 7}
	row := func(n, u string, own bool) check.Row {
		src := cite.GanderCircle.At("six points", cite.Memory)
		if own {
			src = cite.Ours.At("recomputed by two methods", cite.Derived)
		}
		return check.Row{Topic: "circle fit", Name: n, Unit: u, Source: src}
	}
	for _, k := range []struct {
		n   string
		how CircleMethod
		w   [3]float64
		tol float64
		own bool
	}{
		{"geometric, published", Geometric, [3]float64{4.7398, 2.9835, 4.7142}, 5e-5, false},
		{"unit norm, published", UnitNorm, [3]float64{5.3794, 7.2532, 3.0370}, 5e-5, false},
		{"geometric", Geometric, [3]float64{4.73978241, 2.98353270, 4.71422604}, 1e-7, true},
		{"unit norm", UnitNorm, [3]float64{5.37941332, 7.25319848, 3.03704146}, 1e-7, true},
		{"Kåsa", Kasa, [3]float64{4.74233129, 3.83512270, 4.10876152}, 1e-7, true},
		{"Pratt", Pratt, [3]float64{4.61548152, 2.80735440, 4.91130160}, 1e-7, true},
		{"Taubin", Taubin, [3]float64{4.61393269, 2.79520935, 4.87921285}, 1e-7, true},
	} {
		c := FitCircle(x, y, k.how)
		for i, g := range []float64{c.X, c.Y, c.R} {
			row(fmt.Sprintf("six points, %s: %s", k.n, []string{"x", "y", "r"}[i]), "", k.own).Near(t, g, k.w[i], check.ModelAbs(k.tol, "last printed digit"))
		}
	}
	c := FitCircle(x, y, Geometric)
	row("six points, geometric: rms", "", true).Near(t, c.RMS, 0.45232715, check.ModelAbs(1e-7, "last printed digit"))
	tol := check.ModelAbs(1e-5, "the reference's own tolerance")
	for _, f := range []struct {
		file string
		w    map[CircleMethod][3]float64
	}{
		{"exact", map[CircleMethod][3]float64{Kasa: {3, -4, 60}, Pratt: {3, -4, 60}, Taubin: {3, -4, 60}, Geometric: {3, -4, 60}}},
		{"noisy", map[CircleMethod][3]float64{Kasa: {4.99608764, 2.07479256, 65.01766280}, Pratt: {4.99608438, 2.07479337, 65.02172718}, Taubin: {4.99608438, 2.07479337, 65.01766280}, Geometric: {4.99400486, 2.07630311, 65.01562987}}},
		{"arc90", map[CircleMethod][3]float64{Kasa: {-2.96369571, 3.37530223, 54.05567868}, Pratt: {-3.49596085, 3.23285743, 54.55398346}, Taubin: {-3.49601332, 3.23284339, 54.54871598}, Geometric: {-3.47969711, 3.24122593, 54.53000358}}},
	} {
		var x, y []float64
		for _, r := range check.CSV(t, logFile("evidence-windcircle-"+f.file+".csv")) {
			x, y = append(x, check.Number(t, r, "ve_m_s")), append(y, check.Number(t, r, "vn_m_s"))
		}
		for how, w := range f.w {
			c := FitCircle(x, y, how)
			tl := tol
			if f.file == "exact" {
				tl = check.ModelAbs(5e-5, "the file has four decimals")
			}
			for i, g := range []float64{c.X, c.Y, c.R} {
				row(fmt.Sprintf("%s circle, method %d: %s", f.file, how, []string{"wind east", "wind north", "airspeed"}[i]), "m/s", true).Near(t, g, w[i], tl)
			}
		}
		if f.file == "arc90" {
			g := FitCircle(x, y, Geometric)
			if math.Abs(g.X+4) > 3*g.XSE {
				t.Errorf("the short arc's east wind %.3f ± %.3f misses the truth −4", g.X, g.XSE)
			}
		}
	}
	e, n, v := ThreeLegs([3]float64{63, 57.5, 68.2}, [3]float64{0, 120 * deg, 240 * deg})
	for i, k := range [][2]float64{{e, -6.19004}, {n, 0.25213}, {math.Hypot(e, n), 6.19517}, {FromDirection(e, n) / deg, 92.3325}, {v, 63.05245}} {
		row(fmt.Sprintf("three legs, %d", i), "", true).Near(t, k[0], k[1], check.ModelAbs(6e-5, "last printed digit"))
	}
	e, n, v = ThreeLegs([3]float64{70, 60, 66}, [3]float64{90 * deg, 180 * deg, 300 * deg})
	for i, k := range [][2]float64{{math.Hypot(e, n), 7.44312}, {FromDirection(e, n) / deg, 210.6998}, {v, 66.50864}} {
		row(fmt.Sprintf("three other legs, %d", i), "", true).Near(t, k[0], k[1], check.ModelAbs(6e-5, "last printed digit"))
	}
	_ = track.CSV
}
