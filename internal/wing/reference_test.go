package wing

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"

	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

// trapeze is a plane tapered wing of span 1 with the given aspect ratio,
// taper and quarter-chord sweep (degrees), moments about the quarter point
// of the mean aerodynamic chord.
func trapeze(ar, taper, sweep float64) (Surface, Reference) {
	cr := 2 / (ar * (1 + taper))
	ct := taper * cr
	tip := cr/4 + 0.5*math.Tan(sweep*deg) - ct/4
	s := Surface{Name: "wing", Mirrored: true, Stations: []Station{
		{Chord: cr}, {LE: r3.Vec{X: tip, Y: 0.5}, Chord: ct},
	}}
	mac := 2. / 3 * cr * (1 + taper + taper*taper) / (1 + taper)
	xle := tip * (1 + 2*taper) / (3 * (1 + taper))
	return s, Reference{Area: 1 / ar, Span: 1, Chord: mac, Point: r3.Vec{X: xle + mac/4}}
}

func build(t testing.TB, s []Surface, ref Reference, o Options) *Lattice {
	t.Helper()
	l, err := New(s, ref, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var ours = func(place string) cite.Ref { return cite.AeroReference.At(place, cite.Derived) }

func TestWarren12(t *testing.T) {
	s := Surface{Mirrored: true, Stations: []Station{
		{Chord: 1.5},
		{LE: r3.Vec{X: math.Sqrt2 * math.Tan(53.54*deg), Y: math.Sqrt2}, Chord: 0.5},
	}}
	ref := Reference{Area: 2 * math.Sqrt2, Span: 2 * math.Sqrt2, Chord: 1}
	src := cite.VortexLatticeSP405.At("Warren-12 wing", cite.Memory)
	for _, g := range [][2]int{{4, 12}, {6, 20}, {10, 36}} {
		d := build(t, []Surface{s}, ref, Options{Chordwise: g[0], Spanwise: g[1]}).Derivatives()
		name := func(q string) string { return fmt.Sprintf("Warren-12, %d x %d a side, %s", g[0], g[1], q) }
		check.Row{Topic: "lifting surfaces", Name: name("CL slope"), Unit: "/rad", Source: src}.
			Near(t, d.CLAlpha, 2.743, check.Model(0.01, "lattice of the order named by the reference"))
		check.Row{Topic: "lifting surfaces", Name: name("CM slope about the apex"), Unit: "/rad", Source: src}.
			Near(t, d.CmAlpha, -3.10, check.Model(0.015, "lattice of the order named by the reference"))
		check.Row{Topic: "lifting surfaces", Name: name("span efficiency"), Source: ours("1.1")}.
			Near(t, d.SpanEfficiency, 0.992, check.Model(0.01, "discretisation"))
		want := map[int][2]float64{4: {2.7415, -3.078}, 6: {2.7444, -3.089}, 10: {2.7466, -3.097}}[g[0]]
		check.Row{Topic: "lifting surfaces", Name: name("CL slope, same grid"), Source: ours("1.1")}.
			Near(t, d.CLAlpha, want[0], check.Model(0.002, "same method, other code"))
		check.Row{Topic: "lifting surfaces", Name: name("CM slope, same grid"), Source: ours("1.1")}.
			Near(t, d.CmAlpha, want[1], check.Model(0.002, "same method, other code"))
	}
	check.Row{Topic: "lifting surfaces", Name: "slope formula, Warren-12", Source: ours("1.1")}.
		Near(t, Polhamus(2*math.Sqrt2, 1./3, math.Atan(math.Tan(53.54*deg)-0.25/math.Sqrt2), 1), 2.746, check.Printed(0.001))
}

// Four equal panels a side right to the tip, a hand sum.
func TestBertinSmithHandSum(t *testing.T) {
	s := Surface{Mirrored: true, Stations: []Station{{Chord: 0.2}, {LE: r3.Vec{X: 0.5, Y: 0.5}, Chord: 0.2}}}
	l := build(t, []Surface{s}, Reference{Area: 0.2, Span: 1, Chord: 0.2}, Options{Spanwise: 4, Chordwise: 1, Spacing: Flush})
	src := cite.BertinSmith.At("swept wing, aspect ratio 5", cite.Memory)
	g := l.Circulation(Plunge)
	for i, w := range []float64{0.0273, 0.0287, 0.0286, 0.0250} {
		check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("hand sum, circulation of panel %d over 4 pi b V alpha", i+1), Source: src}.
			Near(t, g[i]/(4*math.Pi), w, check.Printed(0.0001))
		check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("hand sum, circulation of panel %d, derived", i+1), Source: ours("1.2")}.
			Near(t, g[i]/(4*math.Pi), []float64{0.02730, 0.02873, 0.02864, 0.02496}[i], check.Printed(0.00001))
	}
	cl := -2 / 0.2 * l.Load(Plunge, MoveX)[2]
	check.Row{Topic: "lifting surfaces", Name: "hand sum, CL slope", Source: src}.
		Near(t, cl, 3.443, check.Model(0.001, "the book sums rounded circulations"))
	check.Row{Topic: "lifting surfaces", Name: "hand sum, CL slope, derived", Source: ours("1.2")}.
		Near(t, cl, 3.4442, check.Printed(0.0001))
}

func TestRectangleOfTwo(t *testing.T) {
	s, ref := trapeze(2, 1, 0)
	src := cite.Garner1968.At("rectangular wing, aspect ratio 2", cite.Memory)
	for _, g := range [][2]int{{6, 20}, {8, 24}, {12, 30}} {
		d := build(t, []Surface{s}, ref, Options{Chordwise: g[0], Spanwise: g[1]}).Derivatives()
		check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("rectangle AR 2, %d x %d, CL slope", g[0], g[1]), Source: src}.
			Near(t, d.CLAlpha, 2.4744, check.Model(0.003, "discretisation"))
		check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("rectangle AR 2, %d x %d, a.c.", g[0], g[1]), Unit: "chords", Source: src}.
			Near(t, d.NeutralPoint/0.5, 0.2094, check.ModelAbs(0.003, "discretisation"))
	}
}

func TestEllipse(t *testing.T) {
	for _, r := range []struct{ ar, ll, helm, cla, llp, clp float64 }{
		{4, 4.1888, 3.8832, 3.736, -0.3927, -0.318},
		{6, 4.7124, 4.5287, 4.395, -0.4712, -0.409},
		{10, 5.2360, 5.1510, 5.062, -0.5610, -0.520},
	} {
		name := func(q string) string { return fmt.Sprintf("ellipse AR %g, %s", r.ar, q) }
		s, ref := elliptic(r.ar, 40)
		d := build(t, []Surface{s}, ref, Options{Spanwise: 40, Chordwise: 8, Spacing: Cosine}).Derivatives()
		check.Row{Topic: "lifting surfaces", Name: name("CL slope"), Source: ours("1.4")}.
			Near(t, d.CLAlpha, r.cla, check.Model(0.01, "the reference's own discretisation"))
		check.Row{Topic: "lifting surfaces", Name: name("roll damping"), Source: ours("1.4")}.
			Near(t, d.ClP, r.clp, check.Model(0.01, "the reference's own discretisation"))
		check.Row{Topic: "lifting surfaces", Name: name("slope, Helmbold"), Source: cite.Helmbold1942.At("", cite.Memory)}.
			Near(t, Helmbold(r.ar), r.helm, check.Printed(0.0001))
		if d.SpanEfficiency > 1.02 || d.SpanEfficiency < 0.99 {
			t.Errorf("%s: e %g", name("e"), d.SpanEfficiency)
		}
		// The closed forms themselves, and the lattice below them.
		ll := 2 * math.Pi / (1 + 2/r.ar)
		check.Row{Topic: "lifting surfaces", Name: name("slope, lifting line"), Source: cite.GlauertAerofoil.At("ch. XI", cite.Derived)}.
			Near(t, ll, r.ll, check.Printed(0.0001))
		check.Row{Topic: "lifting surfaces", Name: name("roll damping, lifting line"), Source: cite.GlauertAerofoil.At("ch. XI", cite.Derived)}.
			Near(t, -(math.Pi/4)*r.ar/(r.ar+4), r.llp, check.Printed(0.0001))
		if d.CLAlpha > Helmbold(r.ar) {
			t.Errorf("lattice above Helmbold: %g", d.CLAlpha)
		}
	}
}

func TestTrapezes(t *testing.T) {
	for _, r := range []struct{ ar, taper, sweep, pol, cla, xac, xroot, e, clp, cmq, clq, clb, dih float64 }{
		{6, 1, 0, 4.5287, 4.213, 0.239, 0.239, 0.984, -0.440, -0.741, 4.40, -0.082, -0.737},
		{4, 1, 0, 3.8832, 3.610, 0.2325, 0.2325, 0.994, -0.336, -0.716, 3.86, -0.147, -0.568},
		{8, 1, 0, 4.9058, 4.584, 0.242, 0.242, 0.972, -0.516, -0.739, 4.73, -0.054, -0.857},
		{6, 0.5, 0, 4.5238, 4.340, 0.240, 0.2426, 0.998, -0.419, -0.770, 4.53, -0.047, -0.709},
		{6, 0.5, 25, 4.2900, 4.145, 0.244, 0.712, 0.987, -0.406, -1.243, 4.03, -0.157, -0.700},
		{5, 0.6, 25, 4.0414, 3.882, 0.227, 0.659, 0.986, -0.372, -1.055, 3.88, -0.186, -0.638},
		{4, 0.5, 30, 3.6481, 3.533, 0.242, 0.6285, 0.992, -0.317, -0.962, 3.56, -0.226, -0.546},
		{3, 0.5, 0, 3.3535, 3.209, 0.225, 0.230, 1.000, -0.263, -0.739, 3.53, -0.146, -0.448},
	} {
		s, ref := trapeze(r.ar, r.taper, r.sweep)
		o := Options{Spanwise: 24, Chordwise: 8}
		d := build(t, []Surface{s}, ref, o).Derivatives()
		quarter := ref.Point.X
		ref.Point.X = d.NeutralPoint
		da := build(t, []Surface{s}, ref, o).Derivatives()
		tilted := s
		tilted.Stations = append([]Station(nil), s.Stations...)
		tilted.Stations[1].LE.Z = 0.5 * math.Tan(5*deg)
		dd := build(t, []Surface{tilted}, ref, o).Derivatives()
		row := func(q string, got, want float64, tol check.Tol) {
			check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("AR %g taper %g sweep %g: %s", r.ar, r.taper, r.sweep, q), Source: ours("1.5")}.Near(t, got, want, tol)
		}
		why := "another lattice, grids differ"
		row("CL slope", d.CLAlpha, r.cla, check.Model(0.01, why))
		row("a.c. behind the mac's nose", (d.NeutralPoint-quarter)/ref.Chord+0.25, r.xac, check.ModelAbs(0.005, why))
		row("a.c. behind the apex over root chord", d.NeutralPoint/s.Stations[0].Chord, r.xroot, check.ModelAbs(0.005, why))
		row("e", d.SpanEfficiency, r.e, check.ModelAbs(0.01, why))
		row("roll damping", d.ClP, r.clp, check.Model(0.03, why))
		row("pitch damping about the a.c.", da.CmQ, r.cmq, check.Model(0.06, why+", grid-sensitive"))
		row("CL of pitch rate about the a.c.", da.CLQ, r.clq, check.Model(0.06, why+", grid-sensitive"))
		row("Cl of sideslip over CL", d.ClBetaAlpha/d.CLAlpha, r.clb, check.Model(0.15, why+", second order"))
		row("Cl of sideslip per dihedral", dd.ClBeta/(5*deg), r.dih, check.Model(0.03, why))
		check.Row{Topic: "lifting surfaces", Name: fmt.Sprintf("AR %g taper %g sweep %g: slope formula", r.ar, r.taper, r.sweep), Source: cite.Polhamus1957.At("", cite.Memory)}.
			Near(t, Polhamus(r.ar, r.taper, r.sweep*deg, 1), r.pol, check.ModelAbs(0.0001, "the reference cuts the last digit"))
		if d.SpanEfficiency > 1.02 {
			t.Errorf("e %g above 1.02", d.SpanEfficiency)
		}
	}
}

func TestLiftingLine(t *testing.T) {
	src := cite.GlauertAerofoil.At("ch. XI", cite.Derived)
	for _, r := range []struct{ taper, ar, cla, delta, tau float64 }{
		{0, 5, 4.2496, 0.1133, 0.1964},
		{0, 6, 4.4758, 0.1292, 0.2114},
		{0, 10, 5.0250, 0.1766, 0.2519},
		{0.2, 5, 4.4349, 0.0150, 0.0419},
		{0.2, 6, 4.6577, 0.0185, 0.0469},
		{0.2, 10, 5.1822, 0.0309, 0.0623},
		{0.4, 5, 4.4458, 0.0067, 0.0332},
		{0.4, 6, 4.6677, 0.0088, 0.0383},
		{0.4, 10, 5.1879, 0.0172, 0.0557},
		{0.6, 5, 4.4126, 0.0132, 0.0598},
		{0.6, 6, 4.6327, 0.0169, 0.0688},
		{0.6, 10, 5.1509, 0.0321, 0.0991},
		{1, 5, 4.3141, 0.0384, 0.1411},
		{1, 6, 4.5304, 0.0483, 0.1607},
		{1, 10, 5.0468, 0.0859, 0.2249},
	} {
		g := LiftingLine(r.ar, r.taper, 2*math.Pi, 200)
		name := fmt.Sprintf("lifting line AR %g taper %g: ", r.ar, r.taper)
		tol := check.ModelAbs(0.002, "number of terms")
		if r.taper == 0 {
			tol = check.ModelAbs(0.01, "number of terms, pointed tip")
		}
		check.Row{Topic: "lifting line", Name: name + "CL slope", Source: src}.Near(t, g.LiftSlope, r.cla, check.Model(0.01, "number of terms"))
		check.Row{Topic: "lifting line", Name: name + "delta", Source: src}.Near(t, g.Delta, r.delta, tol)
		check.Row{Topic: "lifting line", Name: name + "tau", Source: src}.Near(t, g.Tau, r.tau, tol)
	}
	g := LiftingLine(2*math.Pi, 1, 2*math.Pi, 200)
	check.Row{Topic: "lifting line", Name: "rectangle, A = a0, tau", Source: cite.GlauertAerofoil.At("ch. XI", cite.Memory)}.Near(t, g.Tau, 0.17, check.Printed(0.01))
	check.Row{Topic: "lifting line", Name: "rectangle, A = a0, delta", Source: cite.GlauertAerofoil.At("ch. XI", cite.Memory)}.Near(t, g.Delta, 0.049, check.ModelAbs(0.0025, "the book sums four terms: 200 give 0.0511"))
	for _, r := range []struct{ ar, a0, taper, clp float64 }{
		{6, 2 * math.Pi, 0.25, -0.446},
		{6, 2 * math.Pi, 0.5, -0.487},
		{6, 2 * math.Pi, 0.6, -0.497},
		{6, 2 * math.Pi, 1, -0.523},
		{5, 2 * math.Pi, 0.25, -0.415},
		{5, 2 * math.Pi, 0.5, -0.449},
		{5, 2 * math.Pi, 0.6, -0.458},
		{5, 2 * math.Pi, 1, -0.480},
		{6, 5.7, 0.25, -0.420},
		{6, 5.7, 0.5, -0.459},
		{6, 5.7, 0.6, -0.470},
		{6, 5.7, 1, -0.496},
	} {
		check.Row{Topic: "lifting line", Name: fmt.Sprintf("roll damping, AR %g, a0 %.3g, taper %g", r.ar, r.a0, r.taper), Source: src}.
			Near(t, LiftingLine(r.ar, r.taper, r.a0, 200).RollDamp, r.clp, check.Model(0.01, "number of terms"))
	}
}

func TestGround(t *testing.T) {
	for _, r := range []struct{ h, wies, exp float64 }{
		{0.10, 0.515, 0.514}, {0.15, 0.629, 0.626}, {0.20, 0.709, 0.707}, {0.30, 0.815, 0.813},
	} {
		check.Row{Topic: "ground effect", Name: fmt.Sprintf("induced-drag factor at h/b %g, Wieselsberger", r.h), Source: cite.Wieselsberger1922.At("", cite.Memory)}.
			Near(t, GroundWieselsberger(r.h), r.wies, check.Printed(0.001))
		check.Row{Topic: "ground effect", Name: fmt.Sprintf("induced-drag factor at h/b %g, exponential", r.h), Source: cite.TorenbeekGround.At("", cite.Memory)}.
			Near(t, GroundFactor(r.h), r.exp, check.ModelAbs(0.0006, "the reference rounds 0.5135 up"))
	}
	for _, w := range []struct {
		ar, taper, sweep float64
		phi, ratio       map[float64]float64
	}{
		{
			6, 1, 0,
			map[float64]float64{0.1: 0.524, 0.15: 0.639, 0.2: 0.718, 0.3: 0.817, 0.5: 0.909, 1: 0.972},
			map[float64]float64{0.1: 1.249, 0.15: 1.147, 0.2: 1.100, 0.3: 1.056, 0.5: 1.025, 1: 1.007},
		},
		{
			5, 0.6, 25,
			map[float64]float64{0.1: 0.522, 0.15: 0.638, 0.2: 0.718, 0.3: 0.817, 0.5: 0.909, 1: 0.972},
			map[float64]float64{0.1: 1.305, 0.15: 1.179, 0.2: 1.120, 0.3: 1.066, 0.5: 1.028, 1: 1.008},
		},
	} {
		s, ref := trapeze(w.ar, w.taper, w.sweep)
		free := build(t, []Surface{s}, ref, Options{}).Derivatives()
		for _, h := range []float64{0.1, 0.15, 0.2, 0.3, 0.5, 1} {
			d := build(t, []Surface{s}, ref, Options{Ground: h}).Derivatives()
			name := fmt.Sprintf("AR %g taper %g sweep %g, h/b %g: ", w.ar, w.taper, w.sweep, h)
			check.Row{Topic: "ground effect", Name: name + "induced-drag factor of the image lattice", Source: ours("1.7")}.
				Near(t, free.SpanEfficiency/d.SpanEfficiency, w.phi[h], check.Model(0.02, "another lattice"))
			check.Row{Topic: "ground effect", Name: name + "lift-slope ratio of the image lattice", Source: ours("1.7")}.
				Near(t, d.CLAlpha/free.CLAlpha, w.ratio[h], check.Model(0.03, "another lattice"))
			if h <= 0.3 {
				check.Row{Topic: "ground effect", Name: name + "image lattice against Wieselsberger", Source: cite.Wieselsberger1922.At("", cite.Memory)}.
					Near(t, free.SpanEfficiency/d.SpanEfficiency, GroundWieselsberger(h), check.Model(0.02, "fit to tests and theory"))
			}
		}
	}
}

func TestFlaps(t *testing.T) {
	for _, r := range []struct{ e, tau, cl, cm, ha, hd float64 }{
		{0.10, 0.39582, 2.48700, -0.54000, -0.34486, -0.88423},
		{0.20, 0.54982, 3.45459, -0.64000, -0.49938, -0.92288},
		{0.25, 0.60900, 3.82645, -0.64952, -0.56535, -0.94361},
		{0.30, 0.66075, 4.15159, -0.64156, -0.62741, -0.96540},
		{0.40, 0.74778, 4.69847, -0.58788, -0.74480, -1.01266},
		{0.50, 0.81831, 5.14159, -0.50000, -0.85841, -1.06582},
		{1.0, 1, 2 * math.Pi, 0, -math.Pi / 2, -math.Pi / 2},
	} {
		f := ThinFlap(r.e)
		src := cite.GlauertFlap.At("", cite.Derived)
		row := func(q string, got, want float64) {
			check.Row{Topic: "flaps", Name: fmt.Sprintf("thin section, chord share %g, %s", r.e, q), Source: src}.Near(t, got, want, check.Printed(0.00002))
		}
		row("effect", f.Effect, r.tau)
		row("cl", f.Lift, r.cl)
		row("cm", f.Moment, r.cm)
		row("hinge, alpha", f.HingeAlpha, r.ha)
		row("hinge, delta", f.HingeDelta, r.hd)
	}
	for _, r := range []struct {
		ar, taper, sweep, e float64
		half                bool
		cl, cm, roll        float64
	}{
		{5, 0.6, 25, 0.25, false, 2.401, -0.609, -0.417},
		{5, 0.6, 25, 0.20, true, 0.818, -0.403, -0.243},
		{5, 0.6, 25, 0.25, true, 0.908, -0.426, -0.268},
		{6, 1, 0, 0.25, false, 2.591, -0.623, -0.472},
		{6, 1, 0, 0.25, true, 1.132, -0.293, -0.326},
	} {
		s, ref := trapeze(r.ar, r.taper, r.sweep)
		from := 0.0
		if r.half {
			from = 0.495 * 0.5
		}
		s.Controls = []Control{{Name: "flap", From: from, To: 0.5, ChordShare: r.e}}
		d := build(t, []Surface{s}, ref, Options{Spanwise: 24, Chordwise: 20}).Derivatives()
		ref.Point.X = d.NeutralPoint
		d = build(t, []Surface{s}, ref, Options{Spanwise: 24, Chordwise: 20}).Derivatives()
		c := d.Control[0]
		row := func(q string, got, want float64) {
			check.Row{Topic: "flaps", Name: fmt.Sprintf("AR %g taper %g sweep %g, share %g, half span %v: %s", r.ar, r.taper, r.sweep, r.e, r.half, q), Source: ours("1.8")}.
				Near(t, got, want, check.Model(0.03, "another lattice"))
		}
		row("CL", c.CL, r.cl)
		row("Cm about the a.c.", c.Cm, r.cm)
		row("Cl opposed", c.Cl, r.roll)
		// The working grid against a fine one: 60 chordwise panels without
		// the two-dimensional correction miss 1 % (the reference's 20 miss
		// 2.7 %: its values are low by that).
		lf := build(t, []Surface{s}, ref, Options{Spanwise: 16, Chordwise: 60})
		fine, raw := lf.Derivatives().Control[0], lf.Controls[0].scale
		w := build(t, []Surface{s}, ref, Options{}).Derivatives().Control[0]
		for _, q := range []struct {
			name      string
			got, want float64
		}{{"CL", w.CL, fine.CL / raw}, {"Cl opposed", w.Cl, fine.Cl / raw}} {
			check.Row{Topic: "flaps", Name: fmt.Sprintf("AR %g sweep %g, share %g, half span %v: %s, 8 x 24 against 60 chordwise", r.ar, r.sweep, r.e, r.half, q.name), Source: ours("our own fine grid, uncorrected")}.
				Near(t, q.got, q.want, check.Model(0.02, "1 % left in the fine grid, 1 % in the working one"))
		}
	}
}

// elliptic returns an elliptic wing of span 1 with a straight quarter chord.
func elliptic(ar float64, n int) (Surface, Reference) {
	c0 := 4 / (math.Pi * ar)
	s := Surface{Mirrored: true}
	for i := 0; i <= n; i++ {
		y := math.Sin(math.Pi / 2 * float64(i) / float64(n))
		c := c0 * math.Sqrt(math.Max(1-y*y, 1e-6))
		s.Stations = append(s.Stations, Station{LE: r3.Vec{X: -c / 4, Y: y / 2}, Chord: c})
	}
	return s, Reference{Area: 1 / ar, Span: 1, Chord: 1 / ar}
}

// The downwash of an elliptic load on a straight line, with a flat wake, has
// a closed form on the axis behind the wing: at xi semispans
//
//	w = (Gamma0/4s)(1 + (2/pi)(sqrt(1+xi²)/xi) E), E the complete elliptic
//	integral of the second kind, parameter 1/(1+xi²).
//
// The handbook formula is fitted to rolled-up, sunken wakes and is lower; the
// reference page expects 10 % between it and a lattice, but the closed form
// itself is 9 % above it for the elliptic load and a taper of one half adds
// the rest, so that bar can't be met by linear theory: 22 % in the wake's plane, 10 % off it, and the
// difference is a doubt of the tail's share, not a fault of the lattice.
func TestDownwash(t *testing.T) {
	formula := DownwashSlope(6, 0.5, 0, 0, 0.5)
	check.Row{Topic: "tail", Name: "downwash slope by formula", Source: cite.DatcomDownwash.At("", cite.Memory)}.Near(t, formula, 0.4544, check.Printed(0.0001))
	e, ref := elliptic(6, 40)
	l := build(t, []Surface{e}, ref, Options{Spanwise: 40, Spacing: Cosine})
	root := l.Circulation(Plunge)[0]
	for _, r := range []struct{ xi, e float64 }{{1, 1.3506438810}, {2, 1.4890355}} {
		want := root / 2 * (1 + 2/math.Pi*math.Sqrt(1+r.xi*r.xi)/r.xi*r.e)
		got := -l.Wash(Plunge, r3.Vec{X: r.xi / 2})[0].Z
		check.Row{Topic: "tail", Name: fmt.Sprintf("downwash of an elliptic wing %g semispans behind", r.xi), Source: ours("flat wake of an elliptic lifting line")}.
			Near(t, got, want, check.Model(0.03, "the bound vortices are spread over the chord"))
	}
	far := -l.Wash(Plunge, r3.Vec{X: 50})[0].Z
	d := l.Derivatives()
	check.Row{Topic: "tail", Name: "downwash far behind an elliptic wing, 2 CLalpha/(pi A)", Source: cite.GlauertAerofoil.At("", cite.Derived)}.
		Near(t, far, 2*d.CLAlpha/(6*math.Pi), check.Model(0.03, "the load at the root is not exactly elliptic"))
	for _, r := range []struct{ h, tol float64 }{{0, 0.22}, {0.1, 0.1}, {0.2, 0.1}} {
		// A small tail half a span behind: its own lift slope with and
		// without the wing gives the downwash it sees.
		s, ref := trapeze(6, 0.5, 0)
		x := ref.Point.X + 0.5 - 0.0125
		tail := Surface{Name: "tail", Mirrored: true, Spanwise: 12, Stations: []Station{
			{LE: r3.Vec{X: x, Z: r.h}, Chord: 0.05}, {LE: r3.Vec{X: x, Y: 0.08, Z: r.h}, Chord: 0.05},
		}}
		both := build(t, []Surface{s, tail}, ref, Options{})
		alone := build(t, []Surface{tail}, ref, Options{})
		sum := func(l *Lattice, i int) (f float64) {
			for j, st := range l.Strips {
				if st.Surface == i {
					f -= l.StripLoad(j, Plunge, MoveX)[2]
				}
			}
			return f
		}
		check.Row{Topic: "tail", Name: fmt.Sprintf("downwash slope, lattice with the tail in place, height %g b", r.h), Source: cite.DatcomDownwash.At("", cite.Memory)}.
			Near(t, 1-sum(both, 1)/sum(alone, 0), DownwashSlope(6, 0.5, 0, r.h, 0.5), check.Model(r.tol, "flat wake against fitted, rolled-up wakes"))
	}
}

func TestCriticalSection(t *testing.T) {
	for _, r := range []struct {
		ar, taper, sweep, wash float64
		cl, eta                float64
		share                  []float64
	}{
		{6, 1, 0, 0, 0.843, 0, []float64{1.183, 1.158, 1.097, 0.969, 0.650}},
		{6, 0.5, 0, 0, 0.925, 0.48, []float64{1.011, 1.063, 1.081, 1.040, 0.793}},
		{6, 0.5, 25, 0, 0.904, 0.60, []float64{0.943, 1.035, 1.094, 1.098, 0.879}},
		{5, 0.6, 25, 0, 0.907, 0.54, []float64{0.985, 1.062, 1.101, 1.071, 0.804}},
		{5, 0.6, 25, 3, 0.911, 0.45, nil},
	} {
		s, ref := trapeze(r.ar, r.taper, r.sweep)
		s.Stations[1].Twist = -r.wash * deg
		l := build(t, []Surface{s}, ref, Options{})
		limit := make([]float64, len(l.Strips))
		for i := range limit {
			limit[i] = 1
		}
		cl, at := l.Critical(0, limit)
		name := fmt.Sprintf("AR %g taper %g sweep %g washout %g: ", r.ar, r.taper, r.sweep, r.wash)
		check.Row{Topic: "maximum lift", Name: name + "CL at the first full section", Source: ours("1.10")}.
			Near(t, cl, r.cl, check.Model(0.02, "another lattice"))
		check.Row{Topic: "maximum lift", Name: name + "its place", Unit: "semispans", Source: ours("1.10")}.
			Near(t, l.Strips[at].Eta, r.eta, check.ModelAbs(0.08, "flat maximum"))
		share := l.LiftShare()
		for k, w := range r.share {
			eta := 0.1 + 0.2*float64(k)
			// between the two nearest strips
			for j := 1; j < len(share); j++ {
				a, b := l.Strips[j-1].Eta, l.Strips[j].Eta
				if a <= eta && eta < b {
					v := share[j-1] + (share[j]-share[j-1])*(eta-a)/(b-a)
					check.Row{Topic: "maximum lift", Name: fmt.Sprintf("%slocal share at %g", name, eta), Source: ours("1.10")}.
						Near(t, v, w, check.Model(0.02, "another lattice"))
				}
			}
		}
	}
}

func TestTailless(t *testing.T) {
	for _, r := range []struct{ ar, taper, sweep, margin, cl, cm, wash, panknin, xac, dcm, dcl, alpha, e float64 }{
		{5, .6, 25, .08, .3, 0, 7.35, 6.86, 0.16475, 0.1872, -1.618, 7.49, 0.903},
		{5, .6, 25, .05, .2, .005, 1.53, 1.43, 0.16475, 0.1872, -1.618, 3.59, 0.999},
		{4.5, .45, 35, .10, .25, 0, 6.27, 5.94, 0.23204, 0.2285, -1.462, 6.52, 0.913},
	} {
		s, ref := trapeze(r.ar, r.taper, r.sweep)
		s.Stations[1].Twist = -1 // one radian of washout, linear
		d := build(t, []Surface{s}, ref, Options{}).Derivatives()
		ref.Point.X = d.NeutralPoint
		l := build(t, []Surface{s}, ref, Options{})
		d = l.Derivatives()
		name := fmt.Sprintf("AR %g taper %g sweep %g margin %g: ", r.ar, r.taper, r.sweep, r.margin)
		row := func(q string, got, want float64, tol check.Tol) {
			check.Row{Topic: "tailless", Name: name + q, Source: ours("7")}.Near(t, got, want, tol)
		}
		why := check.Model(0.03, "another lattice")
		wash := (r.margin*r.cl - r.cm) / d.Cm0
		row("washout", wash/deg, r.wash, why)
		row("a.c. from the apex over span", d.NeutralPoint, r.xac, check.ModelAbs(0.002, "another lattice"))
		row("Cm of washout", d.Cm0, r.dcm, why)
		row("CL of washout", d.CL0, r.dcl, why)
		alpha := (r.cl - d.CL0*wash) / d.CLAlpha
		row("root alpha", alpha/deg, r.alpha, why)
		st := l.NewState()
		st[Shape], st[Plunge] = wash, alpha
		e := r.cl * r.cl / (math.Pi * r.ar * 2 * r.ar * l.Induced(st))
		row("e at trim", e, r.e, check.Model(0.03, "another lattice"))
		check.Row{Topic: "tailless", Name: name + "washout by formula", Unit: "deg", Source: cite.Panknin1989.At("", cite.Derived)}.
			Near(t, Washout(r.ar, r.taper, r.sweep*deg, r.margin, r.cl, r.cm, r.cm)/deg, r.panknin, check.Printed(0.01))
	}
	// span 120 in, chords 13 and 11, the worked example.
	total := Washout(120./12, 11./13, 17*deg, 0.05, 0.6, -0.097, 0.053) / deg
	src := cite.Panknin1989.At("worked example, 120 in span", cite.Seen)
	check.Row{Topic: "tailless", Name: "worked example, total washout", Unit: "deg", Source: src}.Near(t, total, 8.6, check.ModelAbs(0.2, "printed K1 rounded to 0.52"))
	check.Row{Topic: "tailless", Name: "worked example, geometric washout", Unit: "deg", Source: src}.Near(t, total-(1.73+3.65), 3.2, check.ModelAbs(0.2, "printed K1 rounded to 0.52"))
	s, ref := trapeze(10, 11./13, 17)
	s.Stations[1].Twist = -1
	d := build(t, []Surface{s}, ref, Options{}).Derivatives()
	ref.Point.X = d.NeutralPoint
	d = build(t, []Surface{s}, ref, Options{}).Derivatives()
	l := 11. / 13
	k1 := (3 + 2*l + l*l) / (4 * (1 + l + l*l))
	check.Row{Topic: "tailless", Name: "worked example, washout by lattice", Unit: "deg", Source: ours("7")}.
		Near(t, (0.05*0.6-(k1*-0.097+(1-k1)*0.053))/d.Cm0/deg, 8.37, check.Model(0.03, "another lattice"))
}
