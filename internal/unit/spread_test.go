package unit

import (
	"math"
	"testing"

	"fledge/internal/cite"
)

func TestSpread(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dim
		want float64 // one standard deviation, SI
	}{
		{"182 g ± 3 g", Mass, 0.0015},
		{"182 g ± 3 g guess", Mass, 0.0015},
		{"182 g guess", Mass, 0.182 * 0.15},
		{"100 g weighed", Mass, math.Hypot(0.0005, 0.0002)},
		{"1700 rpm/V label", MotorConstant, 1700 * rpm * 0.04},
		{"1800 mAh label", Charge, 6480 * 0.06},
		{"100 mm measured", Length, math.Hypot(1e-4, 2e-4)},
		{"500 mm measured", Length, math.Hypot(5e-4, 5e-4)},
		{"12 degC", Temperature, 1.5},
		{"0 deg", Angle, 0.5 * degree},
		{"-2 deg measured", Angle, 0.25 * degree},
		{"0.25 guess", Ratio, 0.25 * 0.15},
		{"30 EUR", Money, 0},
	} {
		q, err := Parse(c.text, c.dim)
		if err != nil {
			t.Fatal(err)
		}
		got, why := q.Doubt()
		if math.Abs(got-c.want) > 1e-12*math.Max(1e-3, c.want) || why == "" {
			t.Errorf("%s: %g (%s), want %g", c.text, got, why, c.want)
		}
	}
}

// Laws of the table: every pair has a row, a measurement is never worse than
// a number without a word, and that never worse than a guess.
func TestSpreadTable(t *testing.T) {
	for _, row := range Spreads() {
		if row.Why == "" || row.Abs < 0 || row.Rel < 0 {
			t.Errorf("%+v", row)
		}
		if row.Source != (cite.Ref{}) {
			if _, ok := cite.Lookup(row.Source.Key); !ok {
				t.Errorf("no source %s", row.Source.Key)
			}
		}
	}
	for d := Ratio; d < dims; d++ {
		for _, v := range []float64{0, 1e-3, 0.1, 1, 50, 5000} {
			sigma := map[Word]float64{}
			for _, w := range append(Words(), Unmarked) {
				s, why := Spread(d, w, v)
				n, _ := Spread(d, w, -v)
				if math.IsNaN(s) || s < 0 || why == "" || n != s {
					t.Errorf("%s %q of %g: %g", d, w, v, s)
				}
				sigma[w] = s
			}
			if sigma[Measured] > sigma[Unmarked]*(1+1e-9) {
				t.Errorf("%s of %g: measured %g is worse than unmarked %g", d, v, sigma[Measured], sigma[Unmarked])
			}
			if sigma[Unmarked] > sigma[Guess]*(1+1e-9) {
				t.Errorf("%s of %g: unmarked %g is worse than guess %g", d, v, sigma[Unmarked], sigma[Guess])
			}
		}
	}
}
