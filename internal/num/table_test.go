package num

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"
)

func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		x[0] = rapid.Float64Range(-5, 5).Draw(t, "x0")
		y[0] = rapid.Float64Range(-5, 5).Draw(t, "y0")
		for i := 1; i < n; i++ {
			x[i] = x[i-1] + rapid.Float64Range(0.01, 3).Draw(t, "dx")
			y[i] = rapid.Float64Range(-5, 5).Draw(t, "y")
		}
		c, err := Monotone(x, y)
		if err != nil {
			t.Fatal(err)
		}
		// the library's curve of the same paper is the oracle
		var fb interp.FritschButland
		if err := fb.Fit(x, y); err != nil {
			t.Fatal(err)
		}
		for i := 0; i < n-1; i++ {
			lo, hi := math.Min(y[i], y[i+1]), math.Max(y[i], y[i+1])
			for s := 0.0; s <= 1; s += 0.125 {
				xx := x[i] + s*(x[i+1]-x[i])
				v := c.Y(xx)
				if v < lo-1e-12 || v > hi+1e-12 {
					t.Fatalf("leaves the range of its neighbours: %g not in [%g, %g]", v, lo, hi)
				}
				if i > 0 && i < n-2 {
					if o := fb.Predict(xx); math.Abs(o-v) > 1e-9 {
						t.Fatalf("%g, library %g", v, o)
					}
				}
			}
		}
	})
	if _, err := Monotone([]float64{0, 1, 1}, []float64{0, 1, 2}); err == nil {
		t.Error("x that stands still accepted")
	}
	if _, err := Monotone([]float64{0, math.NaN()}, []float64{0, 1}); err == nil {
		t.Error("NaN accepted")
	}
}

// Grids reproduce products of parabolas exactly (also in the edge cells), are
// exact at stations, C1 across cells, third-order accurate, flagged outside.
func TestGrids(t *testing.T) {
	q := func(x float64) float64 { return 1 + x*(0.5-0.3*x) }
	ax, ay := Span(-1, 2, 5), Span(0, 1, 3)
	var out [2]float64
	g1 := NewGrid1(ax, 2, func(x float64, o []float64) { o[0], o[1] = q(x), x })
	g2 := NewGrid2(ax, ay, 2, func(x, y float64, o []float64) { o[0], o[1] = q(x)*q(y), x*y })
	g21 := NewGrid2(ax, ay, 1, func(x, y float64, o []float64) { o[0] = q(x) * q(y) })
	r := NewStream(4)
	for range 500 {
		x, y := -1+3*r.Float64(), r.Float64()
		near := func(name string, got, want float64, in bool) {
			t.Helper()
			if math.Abs(got-want) > 1e-12 || !in {
				t.Fatalf("%s at %g %g: %g, want %g, inside %v", name, x, y, got, want, in)
			}
		}
		in := g1.At(x, out[:])
		near("1", out[0], q(x), in)
		in = g2.At(x, y, out[:])
		near("2", out[0], q(x)*q(y), in)
		near("2b", out[1], x*y, in)
		in = g21.At(x, y, out[:])
		near("2k1", out[0], q(x)*q(y), in)
		in = g2.Linear(x, y, out[:])
		near("2 linear", out[1], x*y, in)
	}
	for _, p := range [][2]float64{{-1, 0}, {2, 1}} {
		if !g1.At(p[0], out[:]) || !g2.At(p[0], p[1], out[:]) {
			t.Errorf("corner %v is outside", p)
		}
	}
	if g1.At(2.1, out[:]) || out[1] != 2 {
		t.Errorf("beyond the end: inside or not the edge value: %v", out)
	}
	if g2.At(0, math.NaN(), out[:]) || g1.At(math.NaN(), out[:]) {
		t.Error("outside is inside")
	}
	// C1: slopes from both sides of a station agree
	s := NewGrid1(Span(0, 1, 6), 1, func(x float64, o []float64) { o[0] = math.Sin(7 * x) })
	at := func(x float64) float64 { s.At(x, out[:]); return out[0] }
	const h = 1e-6
	for _, x := range []float64{0.2, 0.4, 0.6, 0.8} {
		l, r := (at(x)-at(x-h))/h, (at(x+h)-at(x))/h
		if math.Abs(l-r) > 1e-3 {
			t.Errorf("slope jumps at %g: %g to %g", x, l, r)
		}
	}
	var last float64
	for _, n := range []int{11, 21, 41, 81} {
		g := NewGrid1(Span(0, 1, n), 1, func(x float64, o []float64) { o[0] = math.Sin(7 * x) })
		worst := 0.0
		for x := 0.0; x <= 1; x += 0.001 {
			g.At(x, out[:])
			worst = math.Max(worst, math.Abs(out[0]-math.Sin(7*x)))
		}
		if last > 0 && last/worst < 6 {
			t.Errorf("n %d: error %g after %g: not third order", n, worst, last)
		}
		last = worst
	}
}

func BenchmarkGrid2(b *testing.B) {
	g := NewGrid2(Span(0, 1, 60), Span(0, 1, 40), 1, func(x, y float64, o []float64) { o[0] = x * y })
	var out [1]float64
	x := 0.3
	b.ReportAllocs()
	for b.Loop() {
		x += 0.37
		if x > 1 {
			x--
		}
		g.At(x, 1-x, out[:])
	}
}

func BenchmarkGrid2x6(b *testing.B) {
	g := NewGrid2(Span(0, 1, 60), Span(0, 1, 40), 6, func(x, y float64, o []float64) { o[0] = x * y })
	var out [6]float64
	x := 0.3
	for b.Loop() {
		x += 0.37
		if x > 1 {
			x--
		}
		g.At(x, 1-x, out[:])
	}
}

func BenchmarkGrid2Linear(b *testing.B) {
	g := NewGrid2(Span(0, 1, 60), Span(0, 1, 40), 1, func(x, y float64, o []float64) { o[0] = x * y })
	var out [1]float64
	x := 0.3
	for b.Loop() {
		x += 0.37
		if x > 1 {
			x--
		}
		g.Linear(x, 1-x, out[:])
	}
}

func BenchmarkCurve(b *testing.B) {
	x, y := make([]float64, 30), make([]float64, 30)
	for i := range x {
		x[i], y[i] = float64(i), math.Sqrt(float64(i))
	}
	c, _ := Monotone(x, y)
	xx := 0.3
	for b.Loop() {
		xx += 0.37
		if xx > 29 {
			xx -= 29
		}
		c.Y(xx)
	}
}
