package learn

import (
	"math"
	"testing"
)

// What the model says of a reading has its doubt, before and after: by hand for
// one factor of prior spread 0.2 read by 10 x ± 1: 2 before, 2/sqrt(1+4) after.
func TestFitDoubt(t *testing.T) {
	q := Problem{Params: []Param{{Key: "a", Mean: 1, SD: 0.2}}, Data: []Datum{{Key: "r", Value: 11, SD: 1}}, Predict: func(x, y []float64) { y[0] = 10 * x[0] }}
	p := q.Solve()
	if len(p.Used) != 1 || math.Abs(p.PriorSD[0]-2) > 1e-6 || math.Abs(p.FitSD[0]-2/math.Sqrt(5)) > 1e-6 {
		t.Errorf("%v %v %v", p.Used, p.PriorSD, p.FitSD)
	}
}
