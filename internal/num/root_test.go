package num

import (
	"math"
	"testing"
)

func TestRoot(t *testing.T) {
	for _, row := range []struct {
		name       string
		f          func(float64) float64
		a, b, want float64
		most       int
	}{
		{"cos x - x", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607, 12},
		{"x^3 - 2x - 5 (Wallis 1685)", func(x float64) float64 { return x*x*x - 2*x - 5 }, 2, 3, 2.0945514815423265, 12},
		{"steep", func(x float64) float64 { return math.Tanh(1e4 * (x - 0.123)) }, -1, 2, 0.123, 80},
		{"flat triple root", func(x float64) float64 { return math.Pow(x-1, 3) }, -3, 2.5, 1, 150},
		{"root at an end", func(x float64) float64 { return x }, 0, 5, 0, 5},
		{"step", func(x float64) float64 { return math.Copysign(1, x-math.Pi) }, 0, 10, math.Pi, 80},
	} {
		r := Root(row.f, row.a, row.b, 1e-12)
		tol := 2e-12
		if row.name == "flat triple root" {
			tol = 1e-5
		}
		if !r.OK || math.Abs(r.X-row.want) > tol || r.Evals > row.most {
			t.Errorf("%s: %+v, want %.16g", row.name, r, row.want)
		}
	}
	if r := Root(func(x float64) float64 { return 1 + x*x }, -1, 2, 1e-9); r.OK {
		t.Error("no sign change, yet OK")
	}
	if r := Root(func(x float64) float64 { return math.NaN() }, -1, 2, 1e-9); r.OK {
		t.Error("not a number, yet OK")
	}
}
