package fit

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestCarver(t *testing.T) {
	ref := cite.Carver1957.At("closed form, checked by a rotation sweep", cite.Memory)
	check.Row{Topic: "fit", Name: "107 x 34 askew in 100 needs", Unit: "mm", Source: ref}.Near(t, CarverNeed(107, 34, 100), 99.401, check.Printed(0.001))
	check.Row{Topic: "fit", Name: "120 x 40 askew in 110 needs", Unit: "mm", Source: ref}.Near(t, CarverNeed(120, 40, 110), 115.960, check.Printed(0.001))
	if ok, _ := Rectangle(120, 40, 110, 110); ok {
		t.Error("120 x 40 goes into 110 x 110")
	}
	if ok, askew := Rectangle(107, 34, 100, 99.5); !ok || !askew {
		t.Error("107 x 34 does not go askew into 100 x 99.5")
	}
	if ok, askew := Rectangle(34, 99, 99.5, 100); !ok || askew {
		t.Error("34 x 99 lies straight")
	}
	if !math.IsNaN(CarverNeed(0, 1, 1)) || !math.IsNaN(CarverNeed(math.NaN(), 1, 1)) || !math.IsInf(CarverNeed(10, 5, 4), 1) {
		t.Error("impossible rectangles")
	}
}

// The closed form against turning the rectangle in small steps.
func TestCarverBySweep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		p, q, a, b := g("p", 1, 100), g("q", 1, 100), g("a", 1, 100), g("b", 1, 100)
		margin := math.Inf(-1) // room of the best angle
		for i := range 9001 {
			s, c := math.Sincos(float64(i) / 9000 * math.Pi / 2)
			margin = math.Max(margin, math.Min(a-(p*c+q*s), b-(p*s+q*c)))
		}
		got, _ := Rectangle(p, q, a, b)
		if margin > 0 && !got || margin < -0.05 && got {
			t.Errorf("%g x %g in %g x %g: %v, sweep leaves %g", p, q, a, b, got, margin)
		}
	})
}

func vec(t *rapid.T, name string, lo, hi float64) r3.Vec {
	g := rapid.Float64Range(lo, hi)
	return r3.Vec{X: g.Draw(t, name+"x"), Y: g.Draw(t, name+"y"), Z: g.Draw(t, name+"z")}
}

// Relabelling the axes of part or bay changes nothing, a larger bay never
// hurts, and the miss is what opening the bay cures.
func TestFitLaws(t *testing.T) {
	relabel := func(v r3.Vec, o [3]int) r3.Vec { a := axes(v); return r3.Vec{X: a[o[0]], Y: a[o[1]], Z: a[o[2]]} }
	rapid.Check(t, func(t *rapid.T) {
		s, b := vec(t, "part", 5, 60), vec(t, "bay", 5, 60)
		w := Into(s, b, 1)[0]
		for _, o := range orders {
			for _, v := range []Way{Into(relabel(s, o), b, 1)[0], Into(s, relabel(b, o), 1)[0], Into(relabel(s, o), relabel(b, o), 1)[0]} {
				if v.Fits != w.Fits || math.Abs(v.Miss()-w.Miss()) > 1e-9 {
					t.Errorf("relabelled: %+v, was %+v", v, w)
				}
			}
		}
		if w.Fits && !Into(s, r3.Add(b, r3.Vec{X: 1, Y: 2, Z: 3}), 1)[0].Fits {
			t.Error("a larger bay no longer takes it")
		}
		if !w.Fits {
			grown := axes(b)
			for i, o := range w.Over {
				grown[i] += math.Max(0, o)
			}
			if !Into(s, r3.Vec{X: grown[0], Y: grown[1], Z: grown[2]}, 1-1e-12)[0].Fits {
				t.Errorf("opening the bay by the miss does not cure it: %+v", w)
			}
		}
	})
	for _, s := range []r3.Vec{{}, {X: math.NaN(), Y: 1, Z: 1}, {X: math.Inf(1), Y: 1, Z: 1}} {
		if Into(s, r3.Vec{X: 1, Y: 1, Z: 1}, 0) != nil {
			t.Errorf("%v is put in", s)
		}
	}
}

func TestShellAndClashes(t *testing.T) {
	shell := []Section{{0, 0, 0.06, 0.06}, {0.4, 0, 0.06, 0.06}}
	// A square of 40 mm in a circle of 60: corner at 28.28 of 30.
	miss, _, ok := inShell(Solid{At: r3.Vec{X: 0.2}, Size: r3.Vec{X: 0.1, Y: 0.04, Z: 0.04}}, shell, 0, false, false)
	if !ok || math.Abs(miss-(0.02*math.Sqrt2-0.03)) > 1e-12 {
		t.Errorf("room %g", -miss)
	}
	if miss, _, _ := inShell(Solid{At: r3.Vec{X: 0.38}, Size: r3.Vec{X: 0.1, Y: 0.01, Z: 0.01}}, shell, 0, false, false); math.Abs(miss-0.03) > 1e-12 {
		t.Errorf("out of the end by %g", miss)
	}
	if _, _, ok := inShell(Solid{}, nil, 0, false, false); ok {
		t.Error("no shell")
	}
	waist := []Section{{0, 0, 0.1, 0.1}, {0.1, 0, 0.03, 0.03}, {0.2, 0, 0.1, 0.1}}
	if miss, _, _ := inShell(Solid{At: r3.Vec{X: 0.1}, Size: r3.Vec{X: 0.1, Y: 0.04, Z: 0.04}}, waist, 0, false, false); !(miss > 0) {
		t.Error("a waist between the ends is overlooked")
	}
	got := Clashes([]Solid{{"a", r3.Vec{}, r3.Vec{X: 2, Y: 2, Z: 2}}, {"b", r3.Vec{X: 1.5}, r3.Vec{X: 2, Y: 2, Z: 2}}, {"c", r3.Vec{X: 5}, r3.Vec{X: 2, Y: 2, Z: 2}}, {"d", r3.Vec{X: -2}, r3.Vec{X: 2, Y: 2, Z: 2}}})
	if len(got) != 1 || got[0].Axis != 0 || math.Abs(got[0].By-0.5) > 1e-12 {
		t.Errorf("%+v", got)
	}
	if g := Gap(Solid{Size: r3.Vec{X: 2, Y: 2, Z: 2}}, Solid{At: r3.Vec{X: 4, Y: 5}, Size: r3.Vec{X: 2, Y: 2, Z: 2}}); math.Abs(g-math.Hypot(2, 3)) > 1e-12 {
		t.Errorf("gap %g", g)
	}
}

func TestWeighing(t *testing.T) {
	book := cite.WeighingBook.At("worked example", cite.Seen)
	nose := Weigh([]Scale{{r3.Vec{X: -78}, 340, 0.5, 0}, {r3.Vec{}, 2006 - 340, 0.5, 0}})
	check.Row{Topic: "weighing", Name: "balance from the main supports", Unit: "in", Source: book}.Near(t, nose.CG.X, -13.2, check.Printed(0.1))
	own := cite.Ours.At("three scales", cite.Derived)
	w := Weigh([]Scale{
		{r3.Vec{X: 0.040}, 0.210, 1e-3, 0.5e-3}, {r3.Vec{X: 0.230, Y: -0.150}, 0.165, 1e-3, 0.5e-3}, {r3.Vec{X: 0.230, Y: 0.150}, 0.171, 1e-3, 0.5e-3},
	})
	check.Row{Topic: "weighing", Name: "three scales, mass", Unit: "g", Source: own}.Near(t, w.Mass*1e3, 546, check.Exact(10))
	check.Row{Topic: "weighing", Name: "three scales, balance", Unit: "mm", Source: own}.Near(t, w.CG.X*1e3, 156.92, check.Printed(0.01))
	check.Row{Topic: "weighing", Name: "three scales, lateral", Unit: "mm", Source: own}.Near(t, w.CG.Y*1e3, 1.648, check.Printed(0.001))
	if !w.HasY || !(w.Sigma.X > 0.2e-3 && w.Sigma.X < 1e-3) {
		t.Errorf("%+v", w)
	}
	for name, s := range map[string][]Scale{
		"none": nil, "one": {{Reading: 1}}, "same place": {{Reading: 1}, {Reading: 2}}, "nothing on it": {{}, {At: r3.Vec{X: 1}}},
		"negative": {{Reading: -1}, {At: r3.Vec{X: 1}, Reading: 2}}, "not a number": {{Reading: math.NaN()}, {At: r3.Vec{X: 1}, Reading: 2}},
	} {
		if Weigh(s).Why == "" {
			t.Errorf("%s: weighed", name)
		}
	}
	if _, wrong := Disagreement(0.55, 0.70); !wrong {
		t.Error("scales off by more than 20 % are believed")
	}
	if share, wrong := Disagreement(0.60, 0.58); wrong || math.Abs(share-0.60/0.58+1) > 1e-12 {
		t.Error(share)
	}
}

// Doubts of the weighing against drawing the readings.
func TestWeighingDoubt(t *testing.T) {
	base := []Scale{{r3.Vec{X: 0.04}, 0.21, 2e-3, 1e-3}, {r3.Vec{X: 0.23, Y: -0.15}, 0.165, 2e-3, 1e-3}, {r3.Vec{X: 0.23, Y: 0.15}, 0.171, 2e-3, 1e-3}}
	want := Weigh(base).Sigma
	var vx float64
	x0 := Weigh(base).CG.X
	for i := range base { // central differences, one input at a time
		for _, f := range []func(*Scale, float64){func(s *Scale, d float64) { s.Reading += d * s.Sigma }, func(s *Scale, d float64) { s.At.X += d * s.PlaceSigma }} {
			c := append([]Scale(nil), base...)
			f(&c[i], 1)
			d := Weigh(c).CG.X - x0
			vx += d * d
		}
	}
	if math.Abs(math.Sqrt(vx)/want.X-1) > 0.01 {
		t.Errorf("σx %g, by differences %g", want.X, math.Sqrt(vx))
	}
}

func TestSwings(t *testing.T) {
	s := Bifilar(Timing{M: 0.980, R: 0.175, L: 1.55, T: 16.5 / 9, ST: 0.02, SL: 5e-3, SR: 1e-3, SM: 2e-3})
	check.Row{Topic: "weighing", Name: "two-line swing, published measurement", Unit: "kg m²", Source: cite.BifilarWorked.At("9 swings in 16.5 s", cite.Seen)}.Near(t, s.Inertia, 0.0162, check.Model(0.02, "timing by hand"))
	check.Row{Topic: "weighing", Name: "two-line swing at 1.83 s", Unit: "kg m²", Source: cite.Jardin2007.At("formula; recomputed with g 9.81", cite.Derived)}.Near(t, Bifilar(Timing{M: 0.980, R: 0.175, L: 1.55, T: 1.83}).Inertia, 0.0161, check.Printed(1e-4))
	if !(s.Sigma > 0.02*s.Inertia && s.Sigma < 0.04*s.Inertia) {
		t.Errorf("doubt %g", s.Sigma/s.Inertia)
	}
	check.Row{Topic: "weighing", Name: "three-line swing", Unit: "kg m²", Source: cite.Ours.At("closed form", cite.Derived)}.Near(t, Trifilar(Timing{M: 0.8, R: 0.15, L: 1.20, T: 1.30}, Swing{}).Inertia, 0.0062971, check.Printed(1e-7))
	plate := Bifilar(Timing{M: 0.2, R: 0.15, L: 1.2, T: 1.2})
	both := Trifilar(Timing{M: 1.0, R: 0.15, L: 1.2, T: 1.3}, plate)
	if math.Abs(both.Inertia+plate.Inertia-Bifilar(Timing{M: 1.0, R: 0.15, L: 1.2, T: 1.3}).Inertia) > 1e-15 {
		t.Error("plate not taken off")
	}
	if !math.IsNaN(Bifilar(Timing{M: 1, L: 0, R: 1, T: 1}).Inertia) {
		t.Error("lines of no length")
	}
}

func TestBatteryMoved(t *testing.T) {
	own := cite.Ours.At("moments about the target", cite.Derived)
	ac := &craft.Aircraft{Parts: []craft.Part{{Name: "battery", Mass: 0.18}, {Name: "rest", Mass: 0.42, Index: 1}}, Mass: craft.Mass{Total: 0.6, CG: r3.Vec{X: 0.165}}}
	d, ok := ac.MoveFor(0, 0.155)
	if !ok {
		t.Fatal("it cannot be moved")
	}
	check.Row{Topic: "weighing", Name: "battery moved instead", Unit: "mm", Source: own}.Near(t, d*1e3, -33.33, check.Printed(0.01))
	rapid.Check(t, func(t *rapid.T) { // a free vector moves the balance point by its mass share
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		m, item, x, y, by := g("m", 0.1, 3), g("item", 0.01, 0.1), g("x", 0, 1), g("y", 0, 1), g("by", -0.5, 0.5)
		at := func(x float64) float64 {
			a := (&craft.Aircraft{Parts: []craft.Part{{Name: "a", Mass: m, At: r3.Vec{X: y}}, {Name: "b", Mass: item, At: r3.Vec{X: x}, Index: 1}}}).Without(func(*craft.Part) bool { return false })
			return a.Mass.CG.X
		}
		if got := at(x+by) - at(x); math.Abs(got-by*item/(m+item)) > 1e-12 {
			t.Errorf("moved by %g", got)
		}
	})
}

func wires(gauge int) (float64, float64) {
	d := 0.127e-3 * math.Pow(92, float64(36-gauge)/39)
	a := math.Pi * d * d / 4
	return a, 1.7241e-8 / a
}

func TestRoutes(t *testing.T) {
	way := []r3.Vec{{}, {X: 0.3}, {X: 0.3, Y: 0.4}}
	if l := Route(way, 0.1, 0.01); math.Abs(l-(0.7*1.1+0.02)) > 1e-12 {
		t.Errorf("length %g", l)
	}
	spar := Solid{"spar", r3.Vec{X: 0.15, Y: 0.2}, r3.Vec{X: 0.01, Y: 0.5, Z: 0.01}}
	if i := Crosses(way, spar); i != 0 {
		t.Errorf("the route goes through the spar: piece %d", i)
	}
	if i := Crosses([]r3.Vec{{Z: 0.02}, {X: 0.3, Z: 0.02}}, spar); i != -1 {
		t.Errorf("over the spar: piece %d", i)
	}
	l := MakeLead("main", "a", "b", way, 2, 14, 40, wires)
	if math.Abs(l.Drop-2*1.7241e-8/2.0809e-6*l.Length*40) > 1e-4 || !(l.Mass > 0.02 && l.Mass < 0.08) || l.Solder == "either way" {
		t.Errorf("%+v", l)
	}
	if s, ok := Turning("pusher", true); !ok || !strings.Contains(s, "turns clockwise") {
		t.Error(s)
	}
	if s, _ := Turning("tractor", true); !strings.Contains(s, "counter-clockwise") {
		t.Error(s)
	}
	if _, ok := Turning("", true); ok {
		t.Error("a glider's motor")
	}
	if b := LeadField(40, 0.1, 0); math.Abs(b-80e-6) > 1e-12 || CompassError(1, 20e-6) != math.Pi/2 {
		t.Errorf("field %g", b)
	}
	if got := Order([]Solid{{Name: "near", At: r3.Vec{X: 0.1}}, {Name: "far", At: r3.Vec{X: 0.5}}}, r3.Vec{}); got[0].Name != "far" {
		t.Error(got)
	}
}

func TestAssess(t *testing.T) {
	part := func(name, kind string, x float64, s r3.Vec) craft.Part {
		return craft.Part{Name: name, Kind: kind, Mass: 0.05, At: r3.Vec{X: x}, Size: s, SizeKnown: true, MinAt: r3.Vec{X: x}, MaxAt: r3.Vec{X: x}}
	}
	ac := &craft.Aircraft{
		Body: []craft.BodyStation{{X: 0, Width: 0.006, Height: 0.006}, {X: 0.12, Width: 0.062, Height: 0.07}, {X: 0.42, Width: 0.056, Height: 0.062}, {X: 0.79, Width: 0.024, Height: 0.024}},
		Parts: []craft.Part{
			part("battery", "battery", 0.06, r3.Vec{X: 0.075, Y: 0.035, Z: 0.028}), part("controller", "controller", 0.2, r3.Vec{X: 0.05, Y: 0.025, Z: 0.012}),
			part("receiver", "receiver", 0.21, r3.Vec{X: 0.03, Y: 0.02, Z: 0.01}),
			{Name: "motor", Kind: "motor", At: r3.Vec{X: 0.02}},
		},
		Power: craft.Power{Place: "tractor", Propeller: craft.Propeller{Right: true}},
	}
	ac.Parts[0].MaxAt.X = 0.2
	sh := Assess(ac, Given{Current: 40, Wire: wires})
	got := map[string]Result{}
	for _, r := range sh.Results {
		got[r.ID] = r
		if r.Because == "" || r.Status == Fail && len(r.Cures) == 0 {
			t.Errorf("a bare no: %+v", r)
		}
	}
	if r := got["inside.battery"]; r.Status != Fail || !strings.HasPrefix(r.Cures[0].What, "move battery") {
		t.Errorf("%+v", r)
	}
	if r := got["clash.controller.receiver"]; r.Status != Fail {
		t.Errorf("%+v", r)
	}
	if r := got["apart.receiver.controller"]; r.Status != Fail {
		t.Errorf("%+v", r)
	}
	if len(sh.Harness) < 3 || sh.Turn == "" {
		t.Errorf("%+v", sh.Harness)
	}
	// A battery larger than the body: no place cures it.
	ac.Parts[0].Size = r3.Vec{X: 0.3, Y: 0.2, Z: 0.2}
	for _, r := range Assess(ac, Given{Current: 40}).Results {
		if r.ID == "inside.battery" && (r.Status != Fail || len(r.Cures) != 1) {
			t.Errorf("%+v", r)
		}
	}
	Assess(&craft.Aircraft{}, Given{})
}

// A known centre of gravity, tilted: the readings give its height back.
func TestTiltHeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		m, x, z, tilt := g("m", 0.2, 3), g("x", 0.1, 0.3), g("z", -0.05, 0.05), g("tilt", 0.2, 0.6)
		a, b := r3.Vec{X: 0.05, Z: -0.03}, r3.Vec{X: 0.4, Z: -0.02}
		read := func(th float64) []Scale {
			s, c := math.Sincos(th)
			xa, xb, xg := a.X*c+a.Z*s, b.X*c+b.Z*s, x*c+z*s
			rb := m * (xg - xa) / (xb - xa)
			return []Scale{{At: a, Reading: m - rb, Sigma: 1e-3}, {At: b, Reading: rb, Sigma: 1e-3}}
		}
		got, sd, why := TiltHeight(Weigh(read(0)), read(tilt), tilt)
		if why != "" || math.Abs(got-z) > 1e-9 || !(sd > 0) {
			t.Errorf("height %g ± %g, want %g: %s", got, sd, z, why)
		}
	})
	if _, _, why := TiltHeight(Weighing{Mass: 1}, nil, 0); why == "" {
		t.Error("without a tilt")
	}
}
