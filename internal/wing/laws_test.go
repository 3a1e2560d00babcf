package wing

import (
	"encoding/json"
	"math"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// conventional is a wing with dihedral and ailerons, a tail with elevator
// and a fin with rudder.
func conventional() ([]Surface, Reference) {
	w := Surface{Name: "wing", Mirrored: true, Stations: []Station{
		{Chord: 0.2, Twist: 1 * deg},
		{LE: r3.Vec{X: 0.02, Y: 0.3, Z: 0.02}, Chord: 0.17},
		{LE: r3.Vec{X: 0.06, Y: 0.5, Z: 0.05}, Chord: 0.1, Twist: -1 * deg},
	}, Controls: []Control{{Name: "aileron", From: 0.28, To: 0.47, ChordShare: 0.24}}}
	line := func(x float64) float64 {
		return 0.02 / 0.16 * 2 * (0.4 - x) * map[bool]float64{true: 1, false: 0.444}[x < 0.4]
	}
	for i := range w.Stations {
		w.Stations[i].Slope = line
		w.Stations[i].LiftSlope = 0.95
	}
	h := Surface{
		Name: "tail", Mirrored: true, Spanwise: 10, Stations: []Station{
			{LE: r3.Vec{X: 0.7, Z: 0.05}, Chord: 0.11}, {LE: r3.Vec{X: 0.72, Y: 0.18, Z: 0.05}, Chord: 0.07},
		},
		Controls: []Control{{Name: "elevator", From: 0, To: 0.18, ChordShare: 0.35}},
	}
	v := Surface{
		Name: "fin", Spanwise: 8, Stations: []Station{
			{LE: r3.Vec{X: 0.68, Z: 0.06}, Chord: 0.13}, {LE: r3.Vec{X: 0.74, Z: 0.2}, Chord: 0.08},
		},
		Controls: []Control{{Name: "rudder", From: 0.06, To: 0.2, ChordShare: 0.4}},
	}
	return []Surface{w, h, v}, Reference{Area: 0.16, Span: 1, Chord: 0.165, Point: r3.Vec{X: 0.06, Z: 0.02}}
}

// The two halves solved apart must give what one matrix of both sides gives.
func TestHalvedAgainstWhole(t *testing.T) {
	s, ref := conventional()
	o := Options{Spanwise: 12, Chordwise: 6}
	for _, ground := range []float64{0, 0.3} {
		o.Ground, o.Whole = ground, false
		a := build(t, s, ref, o)
		o.Whole = true
		b := build(t, s, ref, o)
		if !a.Halved || b.Halved {
			t.Fatal("halving")
		}
		if a.cases() != b.cases() {
			t.Fatal("cases differ")
		}
		for c := Case(0); int(c) < a.cases(); c++ {
			if symmetric(c) && c == a.Alike(2) {
				continue // the rudder alike: not asked of a halved lattice
			}
			for m := Motion(0); m < motions; m++ {
				x, y := a.Load(c, m), b.Load(c, m)
				for i := range x {
					if math.Abs(x[i]-y[i]) > 1e-9*(1+math.Abs(y[i])) {
						t.Errorf("ground %g case %d motion %d: %v, whole %v", ground, c, m, x, y)
						break
					}
				}
			}
			x, y := a.Lean(c), b.Lean(c)
			for i := range x {
				if math.Abs(x[i]-y[i]) > 1e-9*(1+math.Abs(y[i])) {
					t.Errorf("case %d lean: %v, whole %v", c, x, y)
					break
				}
			}
		}
		st := a.NewState()
		st[Plunge], st[Slip], st[RollRate], st[a.Opposed(2)] = 0.1, 0.05, 0.3, 0.2
		if x, y := a.Induced(st), b.Induced(st); math.Abs(x-y) > 1e-9*y {
			t.Errorf("induced drag %g, whole %g", x, y)
		}
	}
}

// Symmetric flow makes no lateral load, oppositely loaded cases no lift.
func TestMirrorSymmetry(t *testing.T) {
	s, ref := conventional()
	for _, whole := range []bool{false, true} {
		l := build(t, s, ref, Options{Spanwise: 10, Chordwise: 5, Whole: whole})
		for c := Case(0); int(c) < l.cases(); c++ {
			if c == l.Alike(2) {
				continue
			}
			f := l.Load(c, MoveX)
			zero := []int{1, 3, 5}
			if !symmetric(c) {
				zero = []int{0, 2, 4}
			}
			for _, i := range zero {
				if math.Abs(f[i]) > 1e-10 {
					t.Errorf("whole %v case %d: component %d is %g", whole, c, i, f[i])
				}
			}
		}
	}
}

// The signs that a pilot expects.
func TestSigns(t *testing.T) {
	s, ref := conventional()
	d := build(t, s, ref, Options{}).Derivatives()
	for _, r := range []struct {
		name string
		v    float64
		sign float64
	}{
		{"CL slope", d.CLAlpha, 1},
		{"CL of camber", d.CL0, 1},
		{"dihedral", d.ClBeta, -1},
		{"weathercock", d.CnBeta, 1},
		{"side force", d.CYBeta, -1},
		{"roll damping", d.ClP, -1},
		{"pitch damping", d.CmQ, -1},
		{"yaw damping", d.CnR, -1},
		{"roll of yaw rate, per alpha", d.ClRAlpha, 1},
		{"elevator down: lift", d.Control[1].CL, 1},
		{"elevator down: moment", d.Control[1].Cm, -1},
		{"right aileron down rolls left", d.Control[0].Cl, -1},
		{"rudder right: force left... nose right", d.Control[2].Cn, 1},
		{"rudder right: side force", d.Control[2].CY, -1},
		{"hinge", d.Control[0].Hinge, -1},
		{"stable", d.NeutralPoint - ref.Point.X, 1},
	} {
		if r.v*r.sign <= 0 {
			t.Errorf("%s: %g has the wrong sign", r.name, r.v)
		}
	}
}

func TestGridConvergence(t *testing.T) {
	s, ref := conventional()
	last := build(t, s, ref, Options{Chordwise: 12, Spanwise: 48}).Derivatives()
	prev := math.Inf(1)
	for _, g := range [][2]int{{3, 8}, {6, 16}, {8, 24}} {
		d := build(t, s, ref, Options{Chordwise: g[0], Spanwise: g[1]}).Derivatives()
		e := math.Abs(d.CLAlpha/last.CLAlpha-1) + math.Abs(d.ClP/last.ClP-1) + math.Abs(d.NeutralPoint-last.NeutralPoint)/ref.Chord
		if e > prev {
			t.Errorf("grid %v: error %g grew from %g", g, e, prev)
		}
		prev = e
	}
	if prev > 0.02 {
		t.Errorf("the working grid is off by %g", prev)
	}
}

// In two dimensions (a very long wing) the lattice gives thin-section theory.
func TestLongWing(t *testing.T) {
	s, ref := trapeze(2000, 1, 0)
	for i := range s.Stations {
		s.Stations[i].LiftSlope = 0.9
	}
	d := build(t, []Surface{s}, ref, Options{Spanwise: 40}).Derivatives()
	if math.Abs(d.CLAlpha/(2*math.Pi*0.9)-1) > 0.01 {
		t.Errorf("slope %g, section %g", d.CLAlpha, 2*math.Pi*0.9)
	}
}

func TestImpossible(t *testing.T) {
	s, ref := trapeze(6, 0.5, 0)
	for name, f := range map[string]func(*Surface, *Reference, *Options){
		"one station": func(s *Surface, _ *Reference, _ *Options) { s.Stations = s.Stations[:1] },
		"no chord":    func(s *Surface, _ *Reference, _ *Options) { s.Stations[1].Chord = 0 },
		"not finite":  func(s *Surface, _ *Reference, _ *Options) { s.Stations[1].LE.X = math.NaN() },
		"coincide":    func(s *Surface, _ *Reference, _ *Options) { s.Stations[1].LE = s.Stations[0].LE },
		"no area":     func(_ *Surface, r *Reference, _ *Options) { r.Area = 0 },
		"control off": func(s *Surface, _ *Reference, _ *Options) { s.Controls = []Control{{From: 2, To: 3, ChordShare: 0.2}} },
		"control share": func(s *Surface, _ *Reference, _ *Options) {
			s.Controls = []Control{{From: 0.1, To: 0.3, ChordShare: -0.2}}
		},
		"under ground": func(s *Surface, _ *Reference, o *Options) { s.Stations[1].LE.Z = -0.5; o.Ground = 0.1 },
		"left side":    func(s *Surface, _ *Reference, _ *Options) { s.Stations[1].LE.Y = -1 },
	} {
		a := s
		a.Stations = append([]Station(nil), s.Stations...)
		r, o := ref, Options{Spanwise: 4, Chordwise: 2}
		f(&a, &r, &o)
		if _, err := New([]Surface{a}, r, o); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := New(nil, ref, Options{}); err == nil {
		t.Error("no surface: no error")
	}
	if _, err := New([]Surface{s, s}, ref, Options{Spanwise: 6, Chordwise: 3}); err == nil {
		t.Log("coinciding surfaces solved: cores keep the matrix regular")
	}
}

func bench(b *testing.B) ([]Surface, Reference) {
	s, ref := trapeze(6, 0.6, 20)
	s.Controls = []Control{{Name: "elevon", From: 0.2, To: 0.45, ChordShare: 0.25}}
	return []Surface{s}, ref
}

// Lattice of 8 x 24 panels a side with all cases and derivatives, as a
// multiple of gonum's LU of the same order (384) in the same run.
func BenchmarkLattice(b *testing.B) {
	s, ref := bench(b)
	n := 8 * 24 * 2
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, math.Sin(float64(i*n+j)))
		}
		a.Set(i, i, 20)
	}
	var lu, full float64
	for range b.N {
		lu += timed(func() { var f mat.LU; f.Factorize(a) })
		full += timed(func() {
			l, err := New(s, ref, Options{Chordwise: 8, Spanwise: 24})
			if err != nil {
				b.Fatal(err)
			}
			sink = l.Derivatives().CLAlpha
		})
	}
	b.ReportMetric(lu/float64(b.N)*1e3, "ms-LU384")
	b.ReportMetric(full/float64(b.N)*1e3, "ms-lattice")
	b.ReportMetric(full/lu, "times-LU")
}

var sink float64

// The report's keys are those that the design promises.
func TestReport(t *testing.T) {
	s, ref := conventional()
	l := build(t, s, ref, Options{Spanwise: 10, Chordwise: 4})
	raw, err := json.Marshal(l.Report())
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"cl_alpha", "cm_alpha", "neutral_point_x", "span_efficiency", "derivatives"} {
		if _, ok := m[k]; !ok {
			t.Errorf("no key %q", k)
		}
	}
	r := l.Report()
	if r.Panels != len(l.panels)*2-8*4 || len(r.Controls) != 3 || len(r.Strips) != len(l.Strips) {
		t.Errorf("%d panels, %d controls, %d strips", r.Panels, len(r.Controls), len(r.Strips))
	}
}

// Plane wings of any shape: no more efficient than the ideal (within the
// grid's error), slope below the slope formula.
func TestPlaneWings(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		ar := rapid.Float64Range(2, 14).Draw(rt, "aspect ratio")
		taper := rapid.Float64Range(0.2, 1).Draw(rt, "taper")
		sweep := rapid.Float64Range(-10, 45).Draw(rt, "sweep")
		s, ref := trapeze(ar, taper, sweep)
		l, err := New([]Surface{s}, ref, Options{Spanwise: 16, Chordwise: 4})
		if err != nil {
			rt.Fatal(err)
		}
		d := l.Derivatives()
		if d.SpanEfficiency > 1.02 || d.SpanEfficiency < 0.6 {
			rt.Errorf("e %g", d.SpanEfficiency)
		}
		if p := Polhamus(ar, taper, sweep*deg, 1); d.CLAlpha > p*1.01 || d.CLAlpha < 0.88*p {
			rt.Errorf("slope %g, formula %g", d.CLAlpha, p)
		}
		if d.ClP >= 0 || d.CmQ >= 0 {
			rt.Errorf("damping %g %g", d.ClP, d.CmQ)
		}
	})
}

// The same bits on one core and on many.
func TestSameBits(t *testing.T) {
	s, ref := conventional()
	old := runtime.GOMAXPROCS(1)
	a := build(t, s, ref, Options{})
	runtime.GOMAXPROCS(max(old, 4))
	b := build(t, s, ref, Options{})
	runtime.GOMAXPROCS(old)
	for c := range a.gamma {
		for i := range a.gamma[c] {
			if math.Float64bits(a.gamma[c][i]) != math.Float64bits(b.gamma[c][i]) {
				t.Fatalf("case %d panel %d: %g and %g", c, i, a.gamma[c][i], b.gamma[c][i])
			}
		}
	}
}
