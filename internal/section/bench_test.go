package section

import (
	"testing"
)

// One converged point of 160 panels: warm from a neighbour half a degree
// away, as in a sweep, the panels and their factors not counted.
func BenchmarkPoint(b *testing.B) {
	sh := refShape(b, "aerodynamics-sd7003-coordinates.csv")
	s := newSolver(sh, Condition{Re: 2e5}.filled())
	base := s.reach(s.start(2*deg), 2*deg, 4*deg)
	iters := 0
	s.o.wakeFor(4.5 * deg)
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		p := base.clone()
		p.set(4.5*deg, s.f, s.trip)
		for range maxIter {
			iters++
			if p.newton() < tolerance {
				break
			}
		}
	}
	b.ReportMetric(float64(iters)/float64(b.N), "iterations/op")
}

// The whole polar of 25 angles, panels included.
func BenchmarkPolar(b *testing.B) {
	sh := refShape(b, "aerodynamics-sd7003-coordinates.csv")
	for i := 0; i < b.N; i++ {
		Solve(sh, Condition{Re: 2e5}, degrees(-6, 18, 1))
	}
}
