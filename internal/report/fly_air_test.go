package report

import "testing"

// The gusts' interval holds the day's own, is as wide as the draws are, and
// has no width where they are all alike.
func TestGustsDoubted(t *testing.T) {
	rows := func(s Float) flyTables {
		return flyTables{Winds: []WindJSON{{Height: 10, Sigma: [3]Float{s, s, s / 2}}}}
	}
	width := func(by Float) Float {
		n := rows(1)
		var draws []flyTables
		for i := range 65 {
			draws = append(draws, rows(1+by*Float(i-32)/32))
		}
		n.winds(draws)
		w := n.Winds[0]
		for k, v := range w.Sigma {
			if !(w.Low[k] <= v && v <= w.High[k]) {
				t.Errorf("%g is not within %g to %g", v, w.Low[k], w.High[k])
			}
		}
		return w.High[0] - w.Low[0]
	}
	if a, b, c := width(0), width(0.1), width(0.3); a != 0 || !(b > 0.15) || !(c > 2.9*b && c < 3.1*b) {
		t.Errorf("widths %g, %g, %g", a, b, c)
	}
	n := rows(1)
	if n.winds(nil); n.Winds[0].Low != n.Winds[0].Sigma || n.Winds[0].High != n.Winds[0].Sigma {
		t.Errorf("without draws: %+v", n.Winds[0])
	}
}
