package aero

import (
	"fmt"
	"testing"
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
