package section

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// BenchmarkAgainstLU holds one step of the solver, which writes and solves the
// equations of panels, layers and wake, against the least that work can cost:
// the factors of a full matrix of its order and one substitution. Both in
// turns, the least of each, the machine being shared.
func BenchmarkAgainstLU(b *testing.B) {
	sh := refShape(b, "aerodynamics-sd7003-coordinates.csv")
	s := newSolver(sh, Condition{Re: 2e5}.filled())
	base := s.reach(s.start(2*deg), 2*deg, 4*deg)
	s.o.wakeFor(4.5 * deg)
	m := len(base.rhs)
	a := make([]float64, m*m)
	for i := range a {
		a[i] = math.Sin(float64(i))
	}
	for i := range m {
		a[i*m+i] = 20
	}
	work, rhs, piv := make([]float64, m*m), make([]float64, m), make([]int, m)
	step, floor := time.Hour, time.Hour
	for b.Loop() {
		p := base.clone()
		p.set(4.5*deg, s.f, s.trip)
		t0 := time.Now()
		p.newton()
		step = min(step, time.Since(t0))
		copy(work, a)
		for i := range rhs {
			rhs[i] = 1
		}
		t0 = time.Now()
		if !lapack64.Getrf(blas64.General{Rows: m, Cols: m, Stride: m, Data: work}, piv) {
			b.Fatal("a matrix with a strong diagonal has no factors")
		}
		substitute(work, piv, rhs)
		floor = min(floor, time.Since(t0))
	}
	b.ReportMetric(step.Seconds()/floor.Seconds(), "times-LU")
	b.ReportMetric(step.Seconds()*1e3, "ms-step")
	b.ReportMetric(floor.Seconds()*1e3, "ms-LU")
	b.ReportMetric(float64(m), "order")
}
