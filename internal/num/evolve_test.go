package num

import (
	"math"
	"sort"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func sphere(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v * v
	}
	return s
}

func rosenbrock(x []float64) float64 {
	var s float64
	for i := 0; i+1 < len(x); i++ {
		s += 100*sq(x[i+1]-x[i]*x[i]) + sq(1-x[i])
	}
	return s
}

func fill(n int, v float64) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = v
	}
	return s
}

func TestEvolveCounts(t *testing.T) {
	src := cite.HansenCMA.At("standard parameters, sigma 0.5, to f < 1e-10, 21 seeds", cite.Derived)
	for _, row := range []struct {
		name   string
		f      func([]float64) float64
		n      int
		start  float64
		median float64
	}{{"sphere", sphere, 5, 1, 840}, {"sphere", sphere, 10, 1, 1610}, {"Rosenbrock", rosenbrock, 2, -1, 636}, {"Rosenbrock", rosenbrock, 5, 0, 2168}} {
		var evals []float64
		trapped := 0
		for seed := range 21 {
			r := Evolve(row.f, fill(row.n, row.start), EvolveOptions{Seed: uint64(seed), Target: 1e-10, HasTarget: true})
			if r.F >= 1e-10 {
				// Rosenbrock's function has a second minimum from four variables on
				if row.name == "Rosenbrock" && row.n == 5 && math.Abs(r.F-3.93083943) < 1e-6 && r.OK {
					trapped++
					r = Evolve(row.f, fill(row.n, row.start), EvolveOptions{Seed: uint64(seed), Target: 1e-10, HasTarget: true, Restarts: 2})
				}
				if !r.OK || r.F >= 1e-10 {
					t.Errorf("%s n %d seed %d: %+v", row.name, row.n, seed, r)
				}
			}
			evals = append(evals, float64(r.Evals))
		}
		if trapped > 2 {
			t.Errorf("%s n %d: %d of 21 seeds in the local minimum", row.name, row.n, trapped)
		}
		sort.Float64s(evals)
		t.Logf("%s n %d: median %g (%g to %g), reference %g", row.name, row.n, evals[10], evals[0], evals[20], row.median)
		check.Row{Topic: "derivative-free search", Name: row.name + ", median evaluations (ratio)", Source: src}.Near(t, math.Log(evals[10]/row.median), 0, check.ModelAbs(math.Log(1.5), "log of the ratio; median of 21 random runs within a factor 1.5"))
	}
}

func TestEvolveBounds(t *testing.T) {
	// minimum of a tilted bowl outside the box: the answer lies on its wall
	f := func(x []float64) float64 { return sq(x[0]-3) + 2*sq(x[1]-1) + 0.5*(x[0]-3)*(x[1]-1) + 10*sq(x[2]) }
	asked := 0
	g := func(x []float64) float64 {
		asked++
		for i := range x {
			if x[i] < -1 || x[i] > 2 {
				t.Fatalf("asked outside: %v", x)
			}
		}
		return f(x)
	}
	r := Evolve(g, []float64{0, 0, 1}, EvolveOptions{Lower: fill(3, -1), Upper: fill(3, 2), Seed: 3})
	// on the wall x = 2: minimise over y: 4(y-1) - 0.5 = 0 -> y = 1.125
	if !r.OK || math.Abs(r.X[0]-2) > 1e-6 || math.Abs(r.X[1]-1.125) > 1e-5 || math.Abs(r.X[2]) > 1e-5 || asked != r.Evals {
		t.Errorf("%+v", r)
	}
	again := Evolve(f, []float64{0, 0, 1}, EvolveOptions{Lower: fill(3, -1), Upper: fill(3, 2), Seed: 3})
	if again.F != r.F || again.Evals != r.Evals || again.X[1] != r.X[1] {
		t.Error("the same seed gives another result")
	}
	batch := Evolve(nil, []float64{0, 0, 1}, EvolveOptions{Lower: fill(3, -1), Upper: fill(3, 2), Seed: 3, Batch: func(x [][]float64, v []float64) {
		for i := range x {
			v[i] = f(x[i])
		}
	}})
	if batch.F != r.F || batch.Evals != r.Evals {
		t.Error("a batch gives another result")
	}
	// a flat, a hopeless and a starved search end with a word
	if r := Evolve(func([]float64) float64 { return 7 }, fill(2, 0), EvolveOptions{}); !r.OK || r.F != 7 {
		t.Errorf("flat: %+v", r)
	}
	if r := Evolve(func([]float64) float64 { return math.NaN() }, fill(2, 0), EvolveOptions{}); r.OK {
		t.Errorf("NaN everywhere: %+v", r)
	}
	if r := Evolve(rosenbrock, fill(5, 0), EvolveOptions{MaxEvals: 100}); r.OK || r.Evals > 100 {
		t.Errorf("starved: %+v", r)
	}
	if r := Evolve(func(x []float64) float64 { return sq(x[0] - 0.3) }, []float64{0}, EvolveOptions{Lower: []float64{0}, Upper: []float64{1}}); !r.OK || math.Abs(r.X[0]-0.3) > 1e-6 {
		t.Errorf("one variable: %+v", r)
	}
}
