package aero

import (
	"fmt"
	"math"
	"testing"
	"time"
)

func BenchmarkEval(b *testing.B) {
	for _, ac := range fleet() {
		m := model(b, ac)
		k := Neutral()
		for _, a := range []float64{3, 12, 40} {
			b.Run(fmt.Sprintf("%s/alpha%g", ac.Name, a), func(b *testing.B) {
				f := m.Still(20)
				f.Alpha, f.Beta, f.P, f.Q, f.R, f.Pitch, f.Roll = a*deg, .05, .2, .1, .1, .05, .05
				var l Loads
				b.ReportAllocs()
				for b.Loop() {
					m.Eval(&f, &k, &l)
				}
				// The quietest of many short batches, spread over a second, and a
				// sine with cosine beside it: the machine is shared, and work on
				// the core's other thread slows this one by half.
				best, yard := math.Inf(1), math.Inf(1)
				for range 400 {
					t := time.Now()
					for range 200 {
						m.Eval(&f, &k, &l)
					}
					best = math.Min(best, float64(time.Since(t).Nanoseconds())/200)
					t = time.Now()
					x := 0.1
					for range 1000 {
						s, c := math.Sincos(x)
						x = s - 0.3*c
					}
					sink += x
					yard = math.Min(yard, float64(time.Since(t).Nanoseconds())/1000)
					time.Sleep(2 * time.Millisecond)
				}
				b.ReportMetric(yard, "ns-sincos")
				b.ReportMetric(best, "ns-quiet")
			})
		}
	}
}

func BenchmarkNew(b *testing.B) {
	ac := conventional()
	for b.Loop() {
		model(b, ac)
	}
}

var sink float64

func BenchmarkStallSpeed(b *testing.B) {
	ac := conventional()
	m, k := model(b, ac), Neutral()
	for b.Loop() {
		sink += m.StallSpeed(ac.Mass.Total, ac.Mass.CG, 1.225, 1.8e-5, &k)
	}
}

func BenchmarkTrim(b *testing.B) {
	ac := conventional()
	m, k := model(b, ac), Neutral()
	for b.Loop() {
		sink += m.Trim(Balance{V: 16, Rho: 1.225, Mu: 1.8e-5, Lift: ac.Mass.Total * g0, CG: ac.Mass.CG}, &k).Alpha
	}
}
