package control

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

const deg = math.Pi / 180

var printed = func(digit float64) check.Tol { return check.Printed(digit) }

func TestFourBarTable(t *testing.T) {
	norton := cite.NortonMachinery.At("position example; recomputed", cite.Memory)
	own := cite.Ours.At("loop closure residual 3e-14", cite.Derived)
	for _, r := range []struct {
		a, b, c, d, t2                 float64
		o3, o4, x3, x4, mu, ratio, dig float64
		ref                            cite.Ref
	}{
		{40, 120, 80, 100, 40, 20.298, 57.325, -60.978, -98.005, 37.027, 0.27992, 0.001, norton},
		{40, 90, 70, 100, 45, 27.2605, 83.2000, -70.3085, -126.2480, 55.940, 0.21016, 0.0001, own},
		{30, 100, 60, 110, 60, 19.8839, 90.9183, -50.4746, -121.5090, 71.034, 0.34066, 0.0001, own},
	} {
		open, crossed, s := FourBar{r.a, r.b, r.c, r.d}.At(r.t2 * deg)
		if s != OK {
			t.Fatal(s)
		}
		row := func(name string, got, want, digit float64) {
			check.Row{Topic: "linkages", Name: fmt.Sprintf("four-bar %g,%g,%g,%g at %g°: %s", r.a, r.b, r.c, r.d, r.t2, name), Unit: "°", Source: r.ref}.Near(t, got, want, printed(digit))
		}
		row("open coupler", open.Coupler/deg, r.o3, r.dig)
		row("open rocker", open.Rocker/deg, r.o4, r.dig)
		row("crossed coupler", crossed.Coupler/deg, r.x3, r.dig)
		row("crossed rocker", crossed.Rocker/deg, r.x4, r.dig)
		row("transmission angle", open.Transmission/deg, r.mu, 0.001)
		row("velocity ratio", open.Ratio, r.ratio, 0.00001)
	}
	if _, _, s := (FourBar{10, 20, 10, 100}).At(math.Pi); s != Open {
		t.Errorf("bars that cannot meet: %v", s)
	}
	if _, _, s := (FourBar{10, 20, 0, 100}).At(1); s != Bad {
		t.Errorf("a bar of no length: %v", s)
	}
}

func TestPlanarTable(t *testing.T) {
	ref := cite.Ours.At("two-circle intersection, strength-linkage.csv", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("strength-linkage.csv")) {
		n := func(c string) float64 { return check.Number(t, r, c) }
		l := Planar{Arm: n("arm_mm"), Horn: n("horn_mm"), HingeX: n("hinge_x_mm"), HingeY: n("hinge_y_mm"), ArmAngle: n("arm_neutral_deg") * deg, HornAngle: n("horn_neutral_deg") * deg}.Linkage()
		f, s := l.frame()
		if s != OK {
			t.Fatal(s)
		}
		th := n("servo_theta_deg")
		q, s := l.At(th * deg)
		if s != OK {
			t.Fatalf("case %s at %g: %v", r["case"], th, s)
		}
		row := func(name string, got float64, col string, digit float64) {
			check.Row{Topic: "linkages", Name: fmt.Sprintf("arm-rod-horn case %s at %g°: %s", r["case"], th, name), Source: ref}.Near(t, got, n(col), check.ModelAbs(digit*0.5000001, "six digits printed; the file does not always round its last one"))
		}
		row("rod length, mm", f.rod, "rod_length_mm", 0.001)
		row("surface angle, °", q.Delta/deg, "surface_delta_deg", 0.0002)
		row("ratio", q.Ratio, "ddelta_dtheta", 0.00002)
		row("transmission angle at horn, °", q.AtHorn/deg, "transmission_angle_at_horn_deg", 0.0001)
		row("transmission angle at arm, °", q.AtArm/deg, "transmission_angle_at_arm_deg", 0.0001)
		row("pulse, µs", Hobby.Pulse(th*deg)*1e6, "pulse_us", 1e-6)
	}
}

func TestLocks(t *testing.T) {
	ref := cite.Ours.At("dead centres of cases C, E and F", cite.Derived)
	c := Planar{Arm: 12, Horn: 9, HingeX: 45, HingeY: -3, ArmAngle: 100 * deg, HornAngle: 80 * deg}
	e := Planar{Arm: 9, Horn: 9, HingeX: 120, HingeY: 0, ArmAngle: 70 * deg, HornAngle: 90 * deg}
	f := Planar{Arm: 11, Horn: 8, HingeX: 50, HingeY: 5, ArmAngle: 90 * deg, HornAngle: 100 * deg}
	tol := check.ModelAbs(0.05, "the reference's own tolerance on a lock")
	for _, r := range []struct {
		name   string
		p      Planar
		lo, hi float64 // NaN: none within the travel looked at
		limit  float64
	}{
		{"C", c, -46.04, math.NaN(), 60},
		{"E", e, math.NaN(), 59.55, 60},
		{"F", f, -58.31, 36.31, 60},
	} {
		locks, s := r.p.Linkage().Locks(r.limit * deg)
		if s != OK {
			t.Fatal(s)
		}
		got := map[bool]float64{true: math.NaN(), false: math.NaN()}
		for _, k := range locks {
			if k.Kind == Locked {
				got[k.Theta > 0] = k.Theta / deg
			}
		}
		for _, side := range []struct {
			pos  bool
			want float64
		}{{false, r.lo}, {true, r.hi}} {
			if math.IsNaN(side.want) {
				if g := got[side.pos]; !math.IsNaN(g) {
					t.Errorf("case %s: unexpected lock at %g°", r.name, g)
				}
				continue
			}
			check.Row{Topic: "linkages", Name: fmt.Sprintf("case %s locks (positive side %v)", r.name, side.pos), Unit: "°", Source: ref}.Near(t, got[side.pos], side.want, tol)
			// Closed form: rod and horn in line.
			d := math.Hypot(r.p.HingeX, r.p.HingeY)
			fr, _ := r.p.Linkage().frame()
			best := math.Inf(1)
			for _, b := range []float64{fr.rod + r.p.Horn, math.Abs(fr.rod - r.p.Horn)} {
				cos := (r.p.Arm*r.p.Arm + d*d - b*b) / (2 * r.p.Arm * d)
				for _, sg := range []float64{-1, 1} {
					th := wrap(math.Atan2(r.p.HingeY, r.p.HingeX) + sg*math.Acos(cos) - r.p.ArmAngle)
					if d := math.Abs(th/deg - got[side.pos]); d < best {
						best = d
					}
				}
			}
			if !(best < 1e-6) {
				t.Errorf("case %s: lock is %g° from the closed form", r.name, best)
			}
		}
	}
	// At the dead centre itself (-46.0417°) the surface stands at -98.512°;
	// the reference prints -97.95°, which is the surface at its rounded servo
	// angle of -46.04°, where the angle still rises as a square root.
	near, _ := c.Linkage().At(-46.04 * deg)
	check.Row{Topic: "linkages", Name: "case C, surface angle at the rounded lock angle", Unit: "°", Source: ref}.Near(t, near.Delta/deg, -97.95, check.ModelAbs(0.2, "servo angle printed to 0.01°, square-root singularity: 0.005° of servo is ±0.2° here"))
	locks, _ := c.Linkage().Locks(60 * deg)
	if math.Abs(locks[0].Delta/deg+98.51179) > 1e-4 {
		t.Errorf("case C locks at %g°", locks[0].Delta/deg)
	}
	if q, s := f.Linkage().At(45 * deg); s != Locked {
		t.Errorf("case F at 45°: %v %v", s, q)
	}
	fr, _ := f.Linkage().frame()
	check.Row{Topic: "linkages", Name: "case F rod length", Unit: "mm", Source: ref}.Near(t, fr.rod, 48.6471, printed(0.0001))
	w, s := f.Linkage().Travel(45*deg, 45*deg, 18)
	if s != OK || w.Complete || len(w.Locks) != 1 {
		t.Errorf("case F over ±45°: %v, complete %v, locks %v", s, w.Complete, w.Locks)
	}
	// Case D turns back before -45°.
	d := Planar{Arm: 10, Horn: 14, HingeX: 25, HingeY: 4, ArmAngle: 75 * deg, HornAngle: 95 * deg}.Linkage()
	locks, _ = d.Locks(45 * deg)
	if len(locks) != 1 || locks[0].Kind != OverCentre || locks[0].Theta > -40*deg {
		t.Errorf("case D: %v", locks)
	}
	if q, s := d.ThetaFor(-16*deg, 60*deg); s != OverCentre {
		t.Errorf("case D to -16°: %v %v", s, q)
	}
}

func TestSpatialTable(t *testing.T) {
	ref := cite.Ours.At("constant rod length in space, strength-linkage-spatial.csv", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("strength-linkage-spatial.csv")) {
		n := func(c string) float64 { return check.Number(t, r, c) }
		s, c := math.Sincos(n("hinge_sweep_s_deg") * deg)
		l := Linkage{ServoAxis: r3.Vec{Y: 1}, Arm: r3.Vec{Z: 10}, Hinge: r3.Vec{X: 60, Y: n("lateral_offset_dy_mm")}, HingeAxis: r3.Vec{X: s, Y: c}, Horn: r3.Vec{Z: 10}}
		f, _ := l.frame()
		th := n("servo_theta_deg")
		q, st := l.At(th * deg)
		if st != OK {
			t.Fatal(st)
		}
		name := fmt.Sprintf("skewed hinge %s°, offset %s mm, at %g°", r["hinge_sweep_s_deg"], r["lateral_offset_dy_mm"], th)
		check.Row{Topic: "linkages", Name: name, Unit: "°", Source: ref}.Near(t, q.Delta/deg, n("surface_delta_deg"), printed(0.0001))
		check.Row{Topic: "linkages", Name: name + ": rod", Unit: "mm", Source: ref}.Near(t, f.rod, n("rod_length_mm"), printed(0.0001))
		// The ready-made constructor says the same, with trailing edge up positive.
		k := Skewed(10, 10, 60, n("lateral_offset_dy_mm"), n("hinge_sweep_s_deg")*deg, 0)
		p, _ := k.At(-th * deg)
		if math.Abs(p.Delta+q.Delta) > 1e-12 {
			t.Errorf("%s: Skewed gives %g, want %g", name, -p.Delta, q.Delta)
		}
	}
	check.Row{Topic: "linkages", Name: "skewed hinge near neutral: ratio is 1/cos(sweep)", Source: cite.Ours.At("small angles", cite.Derived)}.
		Near(t, func() float64 { q, _ := Skewed(10, 10, 60, 0, 20*deg, 0).At(0); return q.Ratio }(), 1/math.Cos(20*deg), check.Exact(10))
}

// The planar solver against the textbook's half angles.
func TestPlanarAgainstFourBar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Planar{
			Arm: rapid.Float64Range(5, 20).Draw(t, "arm"), Horn: rapid.Float64Range(5, 20).Draw(t, "horn"),
			HingeX: rapid.Float64Range(25, 200).Draw(t, "x"), HingeY: rapid.Float64Range(-8, 8).Draw(t, "y"),
			ArmAngle: rapid.Float64Range(60, 120).Draw(t, "a") * deg, HornAngle: rapid.Float64Range(60, 120).Draw(t, "h") * deg,
		}
		th := rapid.Float64Range(-50, 50).Draw(t, "theta") * deg
		l := p.Linkage()
		f, s := l.frame()
		if s != OK {
			t.Fatal(s)
		}
		q, s := l.At(th)
		if s != OK {
			return
		}
		base := math.Atan2(p.HingeY, p.HingeX)
		open, crossed, fs := FourBar{p.Arm, f.rod, p.Horn, math.Hypot(p.HingeX, p.HingeY)}.At(p.ArmAngle + th - base)
		if fs != OK {
			t.Fatalf("four-bar: %v", fs)
		}
		miss := math.Inf(1)
		for _, b := range []Bars{open, crossed} {
			d := math.Abs(wrap(b.Rocker + base - p.HornAngle - q.Delta))
			if d < miss {
				miss = d
				if q.AtHorn > 5*deg && d < 1e-9 && math.Abs(b.Ratio-q.Ratio) > 1e-7*(1+math.Abs(q.Ratio)) {
					t.Errorf("ratio %g, four-bar %g", q.Ratio, b.Ratio)
				}
			}
		}
		if !(miss < 1e-6) {
			t.Errorf("surface at %g°, off by %g rad", q.Delta/deg, miss)
		}
	})
}

// The ratio is the derivative, the rod keeps its length, the inverse inverts,
// and turning the whole thing in space changes nothing.
func TestLinkageLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		l := Skewed(g("arm", 6e-3, 15e-3), g("horn", 6e-3, 15e-3), g("x", 30e-3, 150e-3), g("y", -10e-3, 10e-3), g("sweep", -35, 35)*deg, 0)
		th := g("theta", -35, 35) * deg
		q, s := l.At(th)
		if s != OK {
			return
		}
		f, _ := l.frame()
		if d := math.Abs(r3.Norm(r3.Sub(q.ArmPin, q.HornPin)) - f.rod); d > 1e-12 {
			t.Errorf("rod changes by %g m", d)
		}
		const h = 1e-6
		a, sa := l.At(th - h)
		b, sb := l.At(th + h)
		if sa == OK && sb == OK && q.AtHorn > 10*deg {
			if num := (b.Delta - a.Delta) / (2 * h); math.Abs(num-q.Ratio) > 1e-5*(1+math.Abs(num)) {
				t.Errorf("ratio %g, difference quotient %g", q.Ratio, num)
			}
		}
		if p, s := l.ThetaFor(q.Delta, 90*deg); s == OK {
			if back, _ := l.At(p.Theta); math.Abs(back.Delta-q.Delta) > 1e-9 {
				t.Errorf("inverse of %g gives %g", q.Delta, back.Delta)
			}
		}
		axis := r3.Unit(r3.Vec{X: 0.3, Y: -0.5, Z: 0.7})
		ang := g("turn", -3, 3)
		m := Linkage{Rod: l.Rod}
		for _, v := range [][2]*r3.Vec{{&m.Servo, &l.Servo}, {&m.ServoAxis, &l.ServoAxis}, {&m.Arm, &l.Arm}, {&m.Hinge, &l.Hinge}, {&m.HingeAxis, &l.HingeAxis}, {&m.Horn, &l.Horn}} {
			*v[0] = turn(*v[1], axis, ang)
		}
		if w, s := m.At(th); s != OK || math.Abs(w.Delta-q.Delta) > 1e-9 || math.Abs(w.Lever-q.Lever) > 1e-12 {
			t.Errorf("turned in space: %v %g, want %g", s, w.Delta, q.Delta)
		}
	})
}

func TestLinkageBadInput(t *testing.T) {
	for _, r := range []struct {
		name string
		l    Linkage
		want Status
	}{
		{"zero value", Linkage{}, Bad},
		{"no arm", Square(0, 10e-3, 60e-3).Linkage(), Bad},
		{"no horn", Square(10e-3, 0, 60e-3).Linkage(), Bad},
		{"negative rod", Skewed(10, 10, 60, 0, 0, -5), Bad},
		{"not a number", Skewed(math.NaN(), 10, 60, 0, 0, 0), Bad},
		{"rod too short to meet", Skewed(10, 10, 60, 0, 0, 20), Open},
		{"rod too long to meet", Skewed(10, 10, 60, 0, 0, 200), Open},
		{"rod shorter than the difference of the arms", Square(5e-3, 40e-3, 20e-3).Linkage(), Bad},
	} {
		if _, s := r.l.At(0.1); s != r.want {
			t.Errorf("%s: %v, want %v", r.name, s, r.want)
		}
		if _, s := r.l.Travel(1, 1, 10); s != r.want {
			t.Errorf("%s: travel %v, want %v", r.name, s, r.want)
		}
		if _, s := r.l.ThetaFor(0.1, 1); s != r.want {
			t.Errorf("%s: inverse %v, want %v", r.name, s, r.want)
		}
	}
}

func FuzzLinkage(f *testing.F) {
	f.Add(10.0, 10.0, 60.0, 0.0, 0.0, 0.0, 0.5)
	f.Fuzz(func(t *testing.T, arm, horn, x, y, sweep, rod, th float64) {
		l := Skewed(arm, horn, x, y, sweep, rod)
		if q, s := l.At(th); s == OK && !finite(q.Delta) {
			t.Errorf("ok without an angle: %v", q)
		}
		l.Travel(th, th, 5)
		l.Locks(th)
		l.ThetaFor(th, 1)
	})
}

// A parallelogram: arm and rod rise together, so the clearance is known.
func TestClearance(t *testing.T) {
	l := Square(10e-3, 10e-3, 60e-3).Linkage()
	w, s := l.Travel(30*deg, 30*deg, 60)
	if s != OK || !w.Complete {
		t.Fatal(s)
	}
	skin := func(float64) (float64, float64) { return -12e-3, 12e-3 }
	if got := w.Clearance(skin, 0.5e-3, 1); math.Abs(got-1.5e-3) > 1e-9 {
		t.Errorf("clearance %g, want 1.5 mm under the skin at neutral", got)
	}
	tight := func(float64) (float64, float64) { return -12e-3, 9e-3 }
	if got := w.Clearance(tight, 0.5e-3, 1); math.Abs(got+1.5e-3) > 1e-9 {
		t.Errorf("fouls by %g", got)
	}
	if got := w.Clearance(skin, 0.5e-3, -1); !math.IsInf(got, 1) {
		t.Errorf("nothing ahead of the exit: %g", got)
	}
	if math.Abs(w.SlidesAft-5e-3) > 1e-9 || math.Abs(w.SlidesFore-5e-3) > 1e-9 {
		t.Errorf("pin slides %g %g", w.SlidesAft, w.SlidesFore)
	}
}

// What Suggest gives does what was asked.
func TestSuggest(t *testing.T) {
	for _, r := range []struct{ arm, rod, travel, up, down float64 }{
		{8e-3, 25e-3, 45, 20, 20}, {10e-3, 60e-3, 40, 25, 15}, {10e-3, 120e-3, 45, 12, 18}, {9e-3, 25e-3, 40, 18, 10}, {8e-3, 25e-3, 45, 30, 30},
	} {
		p, s := Suggest(r.arm, r.rod, r.travel*deg, r.up*deg, r.down*deg)
		if s != OK {
			t.Errorf("%+v: %v", r, s)
			continue
		}
		l := p.Linkage()
		a, sa := l.At(r.travel * deg)
		b, sb := l.At(-r.travel * deg)
		n, _ := l.Neutral()
		if sa != OK || sb != OK || math.Abs(a.Delta-r.up*deg) > 1e-7 || math.Abs(b.Delta+r.down*deg) > 1e-7 || math.Abs(n.Delta) > 1e-9 {
			t.Errorf("%+v: %+v gives %g up, %g down", r, p, a.Delta/deg, b.Delta/deg)
		}
	}
	if _, s := Suggest(10e-3, 60e-3, 45*deg, 150*deg, 20*deg); s == OK {
		t.Error("a throw of 150°")
	}
	if _, s := Suggest(0, 1, 1, 1, 1); s != Bad {
		t.Error(s)
	}
}

func BenchmarkLinkage(b *testing.B) {
	l := Skewed(10e-3, 12e-3, 60e-3, 5e-3, 20*deg, 0)
	for b.Loop() {
		l.At(0.4)
	}
}
