package report

import (
	"math"

	"fledge/internal/assess"
)

// winds gives the gusts by height their 90 % intervals over draws of what is
// not known, along, across and up together; without draws they are as exact
// as the day.
func (t *flyTables) winds(draws []flyTables) {
	for i := range t.Winds {
		w := &t.Winds[i]
		w.Low, w.High = w.Sigma, w.Sigma
		for k, v := range w.Sigma {
			var xs []float64
			for j := range draws {
				if i < len(draws[j].Winds) {
					xs = append(xs, float64(draws[j].Winds[i].Sigma[k]))
				}
			}
			if len(xs) > 1 {
				low, high := assess.Interval90(float64(v), xs)
				w.Low[k], w.High[k] = Float(low), Float(high)
			}
		}
	}
}

// densityAltitude is that of the field with its interval.
func densityAltitude(p *Flight, draws []Flight) assess.Quantity {
	v := p.Results.DensityAltitude
	q := assess.Quantity{Value: v, Low: v, High: v, Unit: "m"}
	if math.IsNaN(v) {
		q.Status = "no standard day is so thin or so dense"
		return q
	}
	if len(draws) > 1 {
		xs := make([]float64, len(draws))
		for i := range draws {
			xs[i] = draws[i].Aloft.Density
		}
		q.Low, q.High = assess.Interval90(v, xs)
	}
	return q
}
