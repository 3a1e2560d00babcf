package power

import (
	"testing"

	"fledge/internal/air"
)

func BenchmarkMicro(b *testing.B) {
	st, _ := air.Standard(0)
	m, _ := New(sample(), st)
	var w, t, q float64
	b.Run("smooth", func(b *testing.B) {
		for b.Loop() {
			m.sheet.smooth(23, 0.8, &w, &t, &q)
		}
	})
	b.Run("point", func(b *testing.B) {
		op := m.base.open(0.8)
		for b.Loop() {
			m.point(&m.base, &op, 23, .8, 2000, 10, .1, 30)
		}
	})
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			op := m.base.open(0.8)
			w += op.e
		}
	})
	x := 1.0
	b.Run("div100", func(b *testing.B) {
		for b.Loop() {
			for range 100 {
				x = 1 / (1 + x)
			}
		}
	})
}
