package doubt

import (
	"fmt"
	"math"

	"fledge/internal/num"
)

// Sensitivity holds Sobol' indices of a function of independent inputs.
type Sensitivity struct {
	Mean, Variance float64
	// First is the share of the variance that goes with each input alone: what
	// knowing it would remove on average. Total adds all it does together with
	// others: what would stay if everything else were known. SE are their
	// standard errors by the spread of the terms (an upper bound for
	// low-discrepancy points).
	First, Total     []float64
	FirstSE, TotalSE []float64
	Evals            int
}

// Indices estimates the Sobol' indices of f over dim inputs, given as uniform
// points in (0, 1) (map them with [Dist.At]), by the two-matrix design of
// Saltelli with Jansen's estimators: n base points, n*(dim+2) evaluations.
// Points are one scrambled sequence of 2*dim dimensions; n should be a power
// of two, at least 64. Values must be finite; a constant f gives indices 0.
func Indices(dim, n int, seed uint64, f func(u []float64) float64) Sensitivity {
	if dim < 1 || n < 2 || 2*dim > num.SobolMaxDim {
		panic(fmt.Sprintf("doubt: indices of %d inputs from %d points", dim, n))
	}
	seq := num.NewSobol(2*dim, num.Hash(seed, 3))
	ab := make([]float64, 2*dim)
	x := make([]float64, dim)
	s := Sensitivity{First: make([]float64, dim), Total: make([]float64, dim), FirstSE: make([]float64, dim), TotalSE: make([]float64, dim)}
	f2, t2 := make([]float64, dim), make([]float64, dim)
	var sum, sum2 float64
	for j := range n {
		seq.Point(uint64(j), ab)
		a, b := ab[:dim], ab[dim:]
		copy(x, a)
		fa := f(x)
		copy(x, b)
		fb := f(x)
		sum += fa + fb
		sum2 += fa*fa + fb*fb
		copy(x, a)
		for i := range dim {
			x[i] = b[i]
			fi := f(x)
			x[i] = a[i]
			q := 0.5 * (fb - fi) * (fb - fi)
			s.First[i] += q
			f2[i] += q * q
			q = 0.5 * (fa - fi) * (fa - fi)
			s.Total[i] += q
			t2[i] += q * q
		}
	}
	N := float64(n)
	s.Evals = n * (dim + 2)
	s.Mean = sum / (2 * N)
	s.Variance = sum2/(2*N) - s.Mean*s.Mean
	if !(s.Variance > 1e-28*s.Mean*s.Mean) || s.Variance == 0 {
		s.Variance = math.Max(0, s.Variance)
		clear(s.First)
		clear(s.Total)
		return s
	}
	for i := range dim {
		se := func(m, m2 float64) float64 { return math.Sqrt(math.Max(0, m2/N-m*m)/N) / s.Variance }
		m, t := s.First[i]/N, s.Total[i]/N
		s.FirstSE[i], s.TotalSE[i] = se(m, f2[i]), se(t, t2[i])
		s.First[i], s.Total[i] = 1-m/s.Variance, t/s.Variance
	}
	return s
}
