package prop

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

const inch = 0.0254

func TestActuatorDisc(t *testing.T) {
	tol := check.Model(1e-3, "printed to four figures, closed form")
	for _, c := range []struct{ thrust, d, v, vi, wake, power, eta, narrow float64 }{
		{8, 0.127, 0, 16.055, 32.110, 128.44, 0, 0.7071},
		{5, 0.127, 40, 3.688, 47.375, 218.44, 0.9156, 0.9603},
		{3, 0.1524, 25, 2.446, 29.892, 82.34, 0.9109, 0.9582},
	} {
		q := IdealDisc(c.thrust, c.d, c.v, 1.225)
		row := func(name, unit string) check.Row {
			return check.Row{Topic: "actuator disc", Name: fmt.Sprintf("%s, %g N at %g m/s", name, c.thrust, c.v), Unit: unit, Source: cite.GlauertDisc.At("momentum theory", cite.Derived)}
		}
		row("induced speed", "m/s").Near(t, q.Induced, c.vi, tol)
		row("wake speed", "m/s").Near(t, q.Wake, c.wake, tol)
		row("power", "W").Near(t, q.Power, c.power, tol)
		row("efficiency", "").Near(t, q.Eta, c.eta, tol)
		row("contraction", "").Near(t, q.Narrow, c.narrow, tol)
		if c.v > 0 {
			a := math.Pi / 4 * c.d * c.d
			tc := c.thrust / (0.5 * 1.225 * c.v * c.v * a)
			row("Glauert's form", "").Near(t, q.Eta, 2/(1+math.Sqrt(1+tc)), check.Exact(10))
		}
	}
	check.Row{Topic: "actuator disc", Name: "figure of merit, 9x6.75 two-blader", Source: cite.PropulsionReference.At("2.1", cite.Derived)}.
		Near(t, FigureOfMerit(0.1404, 0.0801), 0.524, check.Printed(1e-3))
	check.Row{Topic: "actuator disc", Name: "mean swirl at 0.7 R", Unit: "m/s", Source: cite.PropulsionReference.At("2.5", cite.Derived)}.
		Near(t, Swirl(0.0853, 0.127, 45, 1.225), 2.75, check.Printed(0.01))
}

func TestPrandtlTip(t *testing.T) {
	for _, c := range []struct {
		b         int
		x, phi, f float64
	}{{2, 0.75, 12, 0.8710}, {2, 0.90, 10, 0.6464}, {2, 0.95, 8, 0.5195}, {3, 0.75, 15, 0.9074}, {3, 0.98, 9, 0.3854}} {
		check.Row{Topic: "blade elements", Name: fmt.Sprintf("Prandtl tip factor B=%d x=%g phi=%g", c.b, c.x, c.phi), Source: cite.PropulsionReference.At("2.2", cite.Derived)}.
			Near(t, PrandtlTip(c.b, c.x, c.phi*deg), c.f, check.ModelAbs(1e-4, "printed to four places"))
	}
}

// analytic is the polar of the reference solution.
var analytic = SectionFunc(func(a, _, _, _ float64) (cl, cd float64) {
	cl = math.Max(-1.2, math.Min(1.2, 0.9*2*math.Pi*(a+3*deg)))
	return cl, 0.02 + 0.03*cl*cl
})

func TestReferenceSolution(t *testing.T) {
	b := &Blade{
		Diameter: 0.127, Blades: 2, X: []float64{0.2, 0.4, 0.6, 0.8, 1},
		Chord: []float64{0.16, 0.16, 0.15, 0.13, 0.08}, Beta: []float64{45 * deg, 30 * deg, 22 * deg, 17 * deg, 14 * deg},
	}
	r := New(b, Options{Section: analytic, Elements: 200, Uniform: true, NoHub: true, NoDelay: true})
	omega := 20000 * 2 * math.Pi / 60
	src := cite.Ning2014.At("own 200-element solution of its equations", cite.Derived)
	tol := check.Model(0.015, "integration and interpolation")
	for _, c := range []struct{ j, thrust, torque, ct, cp, eta, phi1, phi2 float64 }{
		{0.2, 3.653, 0.04006, 0.1032, 0.0560, 0.369, 13.76, 10.16},
		{0.4, 2.915, 0.03918, 0.0823, 0.0547, 0.602, 18.11, 12.87},
		{0.6, 1.813, 0.03009, 0.0512, 0.0420, 0.731, 22.26, 15.90},
		{0.8, 0.578, 0.01392, 0.0163, 0.0195, 0.671, 26.52, 19.08},
		{1e-4, 3.960, 0.03483, 0.1118, 0.0487, 0, 9.56, 7.62},
	} {
		v := c.j * 20000 / 60 * 0.127
		l, bands := r.Bands(v, omega, Gas{Rho: 1.225, Mu: 1.8e-5, A: 340.3})
		row := func(name, unit string) check.Row {
			return check.Row{Topic: "blade elements", Name: fmt.Sprintf("%s at J=%g, analytic polar", name, c.j), Unit: unit, Source: src}
		}
		row("thrust", "N").Near(t, l.Thrust, c.thrust, tol)
		row("torque", "N m").Near(t, l.Torque, c.torque, tol)
		row("CT", "").Near(t, l.CT, c.ct, tol)
		row("CP", "").Near(t, l.CP, c.cp, tol)
		if c.eta > 0 {
			row("efficiency", "").Near(t, l.Eta, c.eta, tol)
		}
		for k, want := range []float64{c.phi1, c.phi2} {
			x := []float64{0.522, 0.762}[k]
			best := bands[0]
			for _, e := range bands {
				if math.Abs(e.X-x) < math.Abs(best.X-x) {
					best = e
				}
			}
			row(fmt.Sprintf("inflow angle at x=%g", x), "deg").Near(t, best.Phi/deg, want, check.ModelAbs(0.1, "integration and interpolation"))
		}
	}
	// The crude polar on a measured blade.
	blade := loadBlade(t, "da4002_5.0x3.75_B2", 5*inch, 2)
	crude := SectionFunc(func(a, _, _, _ float64) (cl, cd float64) {
		cl, _ = analytic(a, 0, 0, 0)
		return cl, 0.035 + 0.04*cl*cl
	})
	cr := New(blade, Options{Section: crude, Elements: 200, Uniform: true, NoHub: true, NoDelay: true})
	for _, c := range []struct{ j, ct, cp float64 }{{0.3, 0.1170, 0.0828}, {0.5, 0.0839, 0.0713}, {0.7, 0.0448, 0.0492}} {
		l := cr.At(c.j*6045/60*5*inch, 6045*2*math.Pi/60, lab)
		row := check.Row{Topic: "blade elements", Name: fmt.Sprintf("CT at J=%g, crude polar on a measured blade", c.j), Source: src}
		// The blade's table ends at 0.15; the reference's at 0.2.
		row.Near(t, l.CT, c.ct, check.Model(0.02, "the root from 0.15 to 0.2 is not in the reference"))
		row.Name = fmt.Sprintf("CP at J=%g, crude polar on a measured blade", c.j)
		row.Near(t, l.CP, c.cp, check.Model(0.02, "the root from 0.15 to 0.2 is not in the reference"))
	}
}

func TestLeastLossDesign(t *testing.T) {
	src := cite.AdkinsLiebeck1994.At("example, own solution of its equations", cite.Derived)
	ft, lbf, mph := 0.3048, 4.4482216, 0.44704
	base := Wish{Blades: 2, Diameter: 5.75 * ft, Hub: 0.5 * ft, V: 110 * mph, Omega: 2400 * 2 * math.Pi / 60, Power: 70 * 745.7, CL: 0.7, Rho: 1.225}
	tol := check.Model(0.003, "integration")
	for _, c := range []struct{ eps, zeta, tc, pc, eta, lb float64 }{
		{0.0125, 0.2048, 0.25939, 0.29709, 0.8731, 208.4}, {0.015, 0.2036, 0, 0, 0.8670, 206.9}, {0, 0, 0, 0, 0.9046, 0},
	} {
		w := base
		w.DragLift = c.eps
		p := Design(w)
		if !p.OK {
			t.Fatal("no design")
		}
		for _, x := range []struct {
			name      string
			got, want float64
		}{{"zeta", p.Zeta, c.zeta}, {"Tc", p.Tc, c.tc}, {"Pc", p.Pc, c.pc}, {"efficiency", p.Eta, c.eta}, {"thrust in lb", p.Thrust / lbf, c.lb}} {
			if x.want != 0 {
				check.Row{Topic: "least-loss design", Name: fmt.Sprintf("%s, cd/cl %g", x.name, c.eps), Source: src}.Near(t, x.got, x.want, tol)
			}
		}
		if c.eps == 0.0125 {
			for _, x := range [][3]float64{{0.41, 0.1320, 30.95}, {0.65, 0.0967, 20.86}, {0.88, 0.0528, 15.61}} {
				ch, phi := p.At(x[0])
				row := check.Row{Topic: "least-loss design", Name: fmt.Sprintf("chord at %g", x[0]), Unit: "m", Source: src}
				place := "the reference prints its station to two places: 0.005 in radius"
				row.Near(t, ch, x[1], check.Model(0.011, place))
				row.Name, row.Unit = fmt.Sprintf("inflow angle at %g", x[0]), "deg"
				row.Near(t, phi/deg, x[2], check.ModelAbs(0.15, place))
			}
		}
	}
	w := base
	w.DragLift = 0.0138
	check.Row{Topic: "least-loss design", Name: "thrust of the paper's example in lb, cd/cl 0.0138", Source: cite.AdkinsLiebeck1994.At("example", cite.Memory)}.
		Near(t, Design(w).Thrust/lbf, 207.6, check.Model(0.003, "integration"))
	p := Design(Wish{Blades: 2, Diameter: 0.127, Hub: 0.010, V: 45, Omega: 18000 * 2 * math.Pi / 60, Thrust: 6, CL: 0.6, DragLift: 0.04, Rho: 1.225})
	small := check.Model(0.005, "integration")
	for _, x := range []struct {
		name      string
		got, want float64
	}{{"zeta", p.Zeta, 0.4807}, {"Tc", p.Tc, 0.38188}, {"Pc", p.Pc, 0.51707}, {"efficiency", p.Eta, 0.7385}, {"power in W", p.Power, 365.6}} {
		check.Row{Topic: "least-loss design", Name: x.name + ", model size", Source: src}.Near(t, x.got, x.want, small)
	}
	for _, x := range [][3]float64{{0.25, 24.80, 61.89}, {0.50, 38.79, 43.02}, {0.75, 30.40, 31.86}, {0.95, 13.44, 26.13}} {
		ch, phi := p.At(x[0])
		check.Row{Topic: "least-loss design", Name: fmt.Sprintf("chord at %g, model size", x[0]), Unit: "mm", Source: src}.Near(t, ch*1e3, x[1], small)
		check.Row{Topic: "least-loss design", Name: fmt.Sprintf("inflow angle at %g, model size", x[0]), Unit: "deg", Source: src}.Near(t, phi/deg, x[2], small)
	}
	// What blade elements make of the designed blade: its lift is where it was
	// put, so thrust and efficiency come out near the plan.
	p = Design(Wish{Blades: 2, Diameter: 0.127, Hub: 0.010, V: 45, Omega: 18000 * 2 * math.Pi / 60, Thrust: 3, CL: 0.6, DragLift: 0.04, Alpha: 0.1, Rho: 1.225})
	flat := SectionFunc(func(a, _, _, _ float64) (float64, float64) { cl := 6 * a; return cl, 0.04 * math.Abs(cl) })
	l := New(p.Blade, Options{Section: flat, Elements: 100, NoHub: true, NoDelay: true}).At(45, 18000*2*math.Pi/60, lab)
	check.Row{Topic: "least-loss design", Name: "thrust by blade elements of the planned blade", Unit: "N", Source: cite.Ours.At("two methods of ours", cite.Derived)}.
		Near(t, l.Thrust, p.Thrust, check.Model(0.06, "light-loading swirl and tip terms differ between the methods"))
	if Design(Wish{}).OK || Design(Wish{Blades: 2, Diameter: 0.127, Hub: 0.01, V: 10, Omega: 1000, Thrust: 1e5, CL: 0.5, Rho: 1.2}).OK {
		t.Error("an impossible wish was granted")
	}
}

func TestRotor(t *testing.T) {
	check.Row{Topic: "rotor", Name: "inertia of a 3.5 g five-inch propeller", Unit: "1e-6 kg m²", Source: cite.PropulsionReference.At("2.5", cite.Derived)}.
		Near(t, Inertia(0.0035, 0.127)*1e6, 4.70, check.Printed(0.01))
	check.Row{Topic: "rotor", Name: "blade-pass tone of three blades at 12000 rpm", Unit: "Hz", Source: cite.Ours.At("B n", cite.Derived)}.
		Near(t, BladePass(3, 12000*2*math.Pi/60), 600, check.Exact(10))
}

func TestCompressibility(t *testing.T) {
	for _, c := range [][2]float64{{0, 1}, {0.5, 1.155}} {
		check.Row{Topic: "compressibility", Name: fmt.Sprintf("lift slope factor at Mach %g", c[0]), Source: cite.PropulsionReference.At("1.4", cite.Derived)}.
			Near(t, SlopeGain(c[0]), c[1], check.Printed(1e-3))
	}
	if SlopeGain(0.75) != 1.3 {
		t.Errorf("slope gain at Mach 0.75 is %g, want it held at 1.3", SlopeGain(0.75))
	}
	// Efficiency at tip Mach 0.6 to 0.75 against the same blade in air of a
	// higher speed of sound.
	b, _ := Family(10*inch, 7*inch, 2, "thin")
	b.Thick = make([]float64, len(b.X))
	for i := range b.Thick {
		b.Thick[i] = 0.085
	}
	r := New(b, Options{})
	fast := lab
	fast.A = 5000
	for _, mach := range []float64{0.6, 0.7, 0.75} {
		w := mach * lab.A / (5 * inch) * 0.97
		v := 0.5 * w / (2 * math.Pi) * 10 * inch
		a, z := r.At(v, w, lab), r.At(v, w, fast)
		check.Row{Topic: "compressibility", Name: fmt.Sprintf("change of efficiency at tip Mach %.2f", a.TipMach), Source: cite.NACATR302.At("summary: no effect to 0.9", cite.Seen)}.
			Near(t, a.Eta-z.Eta, 0, check.ModelAbs(0.02, "no measurable effect on thin tips"))
	}
	for _, c := range []struct{ d, rpm, v, mach float64 }{{5, 30000, 0, 0.586}, {5, 30000, 60, 0.612}, {5.1, 36000, 70, 0.746}} {
		f, _ := Family(c.d*inch, 4*inch, 2, "thin")
		l := New(f, Options{}).At(c.v, c.rpm*2*math.Pi/60, lab)
		check.Row{Topic: "compressibility", Name: fmt.Sprintf("tip Mach of %g in at %g rpm, %g m/s", c.d, c.rpm, c.v), Source: cite.PropulsionReference.At("1.4", cite.Derived)}.
			Near(t, l.TipMach, c.mach, check.Printed(1e-3))
	}
}

func TestPlateNormal(t *testing.T) {
	src := cite.BladePlate.At("after Hoerner", cite.Memory)
	for _, c := range []struct{ ar, a, cn float64 }{{1, 90, 1.168}, {5, 20, 0.685}, {5, 30, 0.877}, {5, 45, 1.052}, {5, 90, 1.195}, {10, 90, 1.317}, {20, 90, 1.515}} {
		check.Row{Topic: "sections past stall", Name: fmt.Sprintf("normal force of a plate, AR %g at %g deg", c.ar, c.a), Source: src}.
			Near(t, PlateNormal(math.Sin(c.a*deg), c.ar), c.cn, check.Printed(1e-3))
	}
}

// The generic section against the two it is made of, undoing the blunt edge.
func TestGenericSection(t *testing.T) {
	for _, c := range []struct {
		name   string
		thick  float64
		re     float64
		a, cl  float64
		source cite.Ref
	}{
		{"SD7003", 0.085, 61200, 4.58, 0.613, cite.BladeSD7003.At("lift", cite.Seen)},
		{"SD7003", 0.085, 102200, 7.63, 0.907, cite.BladeSD7003.At("lift", cite.Seen)},
		{"SD7003", 0.085, 203400, 3.10, 0.478, cite.BladeSD7003.At("lift", cite.Seen)},
		{"Clark-Y", 0.117, 60900, 6.62, 0.804, cite.BladeClarkY.At("lift", cite.Seen)},
		{"Clark-Y", 0.117, 100700, 2.50, 0.513, cite.BladeClarkY.At("lift", cite.Seen)},
		{"Clark-Y", 0.117, 201100, 8.79, 1.146, cite.BladeClarkY.At("lift", cite.Seen)},
	} {
		cl, _ := Generic.At((c.a-moreCamber)*deg, c.re, 0, c.thick)
		check.Row{Topic: "propeller sections", Name: fmt.Sprintf("lift of %s at Re %.0f, %.2f deg", c.name, c.re, c.a), Source: c.source}.
			Near(t, cl/bluntLift, c.cl, check.ModelAbs(0.03, "table of 2 deg steps, mean of both sweeps"))
	}
	// Continuous over the whole circle.
	for _, thick := range []float64{0.085, 0.1, 0.117} {
		for _, re := range []float64{1e4, 5e4, 3e5, 2e6} {
			pl, pd := Generic.At(-math.Pi, re, 0.2, thick)
			for d := -180.0; d <= 180; d += 0.25 {
				l, g := Generic.At(d*deg, re, 0.2, thick)
				if math.Abs(l-pl) > 0.06 || math.Abs(g-pd) > 0.05 || g <= 0 || math.IsNaN(l+g) {
					t.Fatalf("thick %g Re %g alpha %g: cl %g -> %g, cd %g -> %g", thick, re, d, pl, l, pd, g)
				}
				pl, pd = l, g
			}
		}
	}
}

// The tabulated loss against its closed form, and its ends.
func TestLoss(t *testing.T) {
	worst := 0.0
	for f := 1e-9; f < 30; f *= 1.003 {
		want := 2 / math.Pi * math.Acos(math.Exp(-f))
		if f > lossEnd {
			want = 1
		}
		worst = math.Max(worst, math.Abs(loss(f)-want))
	}
	check.Row{Topic: "blade elements", Name: "Prandtl factor from the table, worst", Source: cite.Ours.At("closed form", cite.Derived)}.
		Near(t, worst, 0, check.ModelAbs(1e-10, "cubic through 511 stations"))
	if loss(0) <= 0 || loss(lossEnd) > 1 || loss(math.Inf(1)) != 1 {
		t.Error(loss(0), loss(lossEnd))
	}
}
