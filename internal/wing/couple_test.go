package wing

import (
	"math"
	"testing"
)

// Sections of a lower slope, found by bending strips, must give what the
// matrix gives when the slope is put into it.
func TestCoupleLinear(t *testing.T) {
	s, ref := trapeze(6, 0.5, 20)
	s.Stations[1].Twist = -3 * deg
	line := func(x float64) float64 { return 0.05 * (1 - 2*x) }
	for i := range s.Stations {
		s.Stations[i].Slope = line
	}
	full := build(t, []Surface{s}, ref, Options{Spanwise: 14, Chordwise: 6})
	soft := s
	soft.Stations = append([]Station(nil), s.Stations...)
	for i := range soft.Stations {
		soft.Stations[i].LiftSlope = 0.85
	}
	want := build(t, []Surface{soft}, ref, Options{Spanwise: 14, Chordwise: 6})
	// -(1/pi) int z'(cos t - 1) dt with z' = 0.05 cos t: alpha_L0 = -0.025.
	c := full.Couple(4*deg, func(_ int, a float64) float64 { return 2 * math.Pi * 0.85 * (a + 0.025) }, nil)
	if !c.Converged {
		t.Fatalf("%+v", c)
	}
	f := want.Load(Shape, MoveX).plus(math.Tan(4*deg), want.Load(Plunge, MoveX))
	cl := -2 / ref.Area * f[2]
	if math.Abs(c.CL/cl-1) > 0.01 {
		t.Errorf("CL %g, lattice with soft sections %g", c.CL, cl)
	}
	g0, g1 := want.Circulation(Shape), want.Circulation(Plunge)
	for j, g := range c.Circulation {
		if w := g0[j] + math.Tan(4*deg)*g1[j]; math.Abs(g-w) > 0.02*math.Abs(w) {
			t.Errorf("strip %d: %g, want %g", j, g, w)
		}
	}
	if c.CDi <= 0 || c.CDi > c.CL*c.CL/(math.Pi*6*0.8) {
		t.Errorf("induced drag %g at CL %g", c.CDi, c.CL)
	}
}

// Through the stall: lift stays below the sections' most, and the strip that
// is full first is the one that the critical-section method names.
func TestCoupleStall(t *testing.T) {
	s, ref := trapeze(6, 0.5, 0)
	l := build(t, []Surface{s}, ref, Options{Spanwise: 14, Chordwise: 5})
	law := func(_ int, a float64) float64 {
		cl := 2 * math.Pi * a
		return cl - 0.1*math.Log1p(math.Exp((cl-1)/0.1)) // saturates at about 1
	}
	limit := make([]float64, len(l.Strips))
	for i := range limit {
		limit[i] = 1
	}
	_, first := l.Critical(0, limit)
	var last *Coupled
	best := 0.0
	for a := 2.0; a <= 24; a++ {
		c := l.Couple(a*deg, law, last)
		if !c.Converged {
			t.Fatalf("alpha %g: residual %g after %d", a, c.Residual, c.Sweeps)
		}
		best = math.Max(best, c.CL)
		for j, cl := range c.Cl {
			if cl > 1.001 {
				t.Errorf("alpha %g strip %d: cl %g", a, j, cl)
			}
			if a < 10 && cl > c.Cl[first]*1.03 {
				t.Errorf("alpha %g: strip %d is ahead of strip %d", a, j, first)
			}
		}
		last = &c
	}
	if best < 0.92 || best > 1 {
		t.Errorf("largest CL %g", best)
	}
}
