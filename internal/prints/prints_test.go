package prints

import (
	"math"
	"math/rand/v2"
	"testing"
)

func circle(x, y, r float64, n int) []Pt {
	out := make([]Pt, n)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = Pt{x + r*c, y + r*s}
	}
	return out
}

func box(x, y, w, h float64) []Pt { return []Pt{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}} }

// A plate's volume is its area times its thickness, whatever is cut and however
// it leans: the oblique prism has that of the upright one (Cavalieri).
func TestVolume(t *testing.T) {
	hole := circle(0.03, 0.02, 0.005, 60)
	area := 0.1*0.04 - 30*0.005*0.005*math.Sin(2*math.Pi/60) // of the 60-cornered hole
	for _, lean := range []float64{0, 0.4, -1} {
		p := Plate{Name: "plate", Base: Region{box(0, 0, 0.1, 0.04), [][]Pt{hole}}, Thick: 0.004, Lean: lean}
		s, err := p.Solid()
		if err != nil {
			t.Fatal(err)
		}
		if got, want := s.Volume(), area*0.004; math.Abs(got-want) > 6.3e-11 { // the grid: the hole's 31.4 mm x 0.5 um x 4 mm at most
			t.Errorf("lean %v: volume %.12g, want %.12g", lean, got, want)
		}
		low, high := s.Box()
		if w := high[0] - low[0]; math.Abs(w-(0.1+math.Abs(lean)*0.004)) > 2e-6 {
			t.Errorf("lean %v: %.6f m wide", lean, w)
		}
	}
}

// Letters add their own area times their height, and the whole stays closed.
func TestLetters(t *testing.T) {
	all := "ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789 -+.,:/°=()?_'%"
	for _, h := range []float64{0.003, 0.005, 0.02} {
		letters, w, missing := Letters(all, 0.01, 0.01, h)
		if len(missing) > 0 {
			t.Errorf("no strokes for %q", string(missing))
		}
		p := Plate{Name: "letters", Base: Region{Outer: box(0, 0, w+0.02, h+0.02)}, Thick: 0.002, Raised: letters, Proud: 0.0006}
		s, err := p.Solid()
		if err != nil {
			t.Fatal(err)
		}
		want := (w + 0.02) * (h + 0.02) * 0.002
		for _, l := range letters {
			a, err := l.Area()
			if err != nil {
				t.Fatal(err)
			}
			want += a * 0.0006
		}
		if got := s.Volume(); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("%g m letters: volume %g, want %g", h, got, want)
		}
	}
}

// No stroke comes nearer to another than a third of its own width: a printer
// with a 0.4 mm nozzle keeps them apart at 5 mm height.
func TestStrokesApart(t *testing.T) {
	for r := range strokes {
		list, _, _ := Letters(string(r), 0, 0, 0.012)
		for i := range list {
			for j := range list[:i] {
				if d := apart(list[i].Outer, list[j].Outer); d < 0.0016/3 {
					t.Errorf("%q: strokes %.2f pens apart", r, d/0.0016)
				}
			}
		}
	}
}

func apart(a, b []Pt) float64 {
	d := math.Inf(1)
	near := func(p, q, r Pt) {
		l := (q.X-p.X)*(q.X-p.X) + (q.Y-p.Y)*(q.Y-p.Y)
		k := math.Max(0, math.Min(1, ((r.X-p.X)*(q.X-p.X)+(r.Y-p.Y)*(q.Y-p.Y))/l))
		d = math.Min(d, math.Hypot(p.X+k*(q.X-p.X)-r.X, p.Y+k*(q.Y-p.Y)-r.Y))
	}
	for i := range a {
		for j := range b {
			near(a[i], a[(i+1)%len(a)], b[j])
			near(b[j], b[(j+1)%len(b)], a[i])
		}
	}
	return d
}

func TestMissingLetters(t *testing.T) {
	list, _, missing := Letters("Möwe 鳥 ∆鳥", 0, 0, 0.01)
	if string(missing) != "鳥∆" || len(list) == 0 {
		t.Errorf("missing %q", string(missing))
	}
}

// Random stars with random holes: areas of the triangles add up to the area
// of the region, each against the clock.
func TestTriangles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for n := range 300 {
		k := 5 + rnd.IntN(40)
		star := make([]Pt, k)
		for i := range star {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.8*rnd.Float64()) / float64(k))
			r := 0.05 * (0.55 + 0.45*rnd.Float64())
			star[i] = Pt{r * c, r * s}
		}
		reg := Region{Outer: star}
		for x := -2; x <= 2; x++ {
			for y := -2; y <= 2; y++ {
				if rnd.IntN(2) == 0 && math.Hypot(float64(x), float64(y)) < 2.1 {
					reg.Holes = append(reg.Holes, circle(0.008*float64(x), 0.008*float64(y), 0.0008+0.0025*rnd.Float64(), 3+rnd.IntN(12)))
				}
			}
		}
		g, err := onGrid(reg)
		if err != nil {
			continue // a star whose arms came too near
		}
		list, err := triangles(g)
		if err != nil {
			t.Fatalf("%d: %v", n, err)
		}
		var all []pt
		for _, r := range g {
			all = append(all, r...)
		}
		sum := int64(0)
		for _, f := range list {
			a := side(all[f[0]], all[f[1]], all[f[2]])
			if a <= 0 {
				t.Fatalf("%d: a triangle of area %d", n, a)
			}
			sum += a
		}
		if sum != g.area() {
			t.Errorf("%d: areas add up to %d, not %d", n, sum, g.area())
		}
		if want := len(all) + 2*(len(g)-1) - 2; len(list) != want { // Euler
			t.Errorf("%d: %d triangles, want %d", n, len(list), want)
		}
	}
}

func TestBadOutlines(t *testing.T) {
	for name, r := range map[string]Region{
		"crossing":  {Outer: []Pt{{0, 0}, {1, 1}, {1, 0}, {0, 1}}},
		"flat":      {Outer: []Pt{{0, 0}, {1, 0}, {0.5, 0}}},
		"two":       {Outer: []Pt{{0, 0}, {1, 0}}},
		"far":       {Outer: []Pt{{0, 0}, {1e9, 0}, {0, 1}}},
		"nan":       {Outer: []Pt{{0, 0}, {math.NaN(), 0}, {0, 1}}},
		"hole out":  {Outer: box(0, 0, 0.1, 0.1), Holes: [][]Pt{box(0.2, 0.2, 0.01, 0.01)}},
		"hole over": {Outer: box(0, 0, 0.1, 0.1), Holes: [][]Pt{box(0.09, 0.02, 0.02, 0.01)}},
		"nested":    {Outer: box(0, 0, 0.1, 0.1), Holes: [][]Pt{box(0.01, 0.01, 0.05, 0.05), box(0.02, 0.02, 0.01, 0.01)}},
	} {
		if _, err := (&Plate{Base: r, Thick: 0.001}).Solid(); err == nil {
			t.Errorf("%s makes a plate", name)
		}
	}
}
