package power

import (
	"math"
	"sort"

	"fledge/internal/num"
)

// CellCurve is one cell's rest voltage and resistance by charge, measured
// instead of taken from the chemistry.
type CellCurve struct {
	Charge []float64 // share left, rising
	Rest   []float64 // V
	Ohm    []float64 // at the temperature of the measurement
}

// at interpolates linearly, held at the ends.
func (c *CellCurve) at(charge float64) (rest, ohm float64) {
	n := len(c.Charge)
	i := sort.SearchFloat64s(c.Charge, charge)
	if i == 0 {
		return c.Rest[0], c.Ohm[0]
	}
	if i == n {
		return c.Rest[n-1], c.Ohm[n-1]
	}
	t := (charge - c.Charge[i-1]) / (c.Charge[i] - c.Charge[i-1])
	return c.Rest[i-1] + t*(c.Rest[i]-c.Rest[i-1]), c.Ohm[i-1] + t*(c.Ohm[i]-c.Ohm[i-1])
}

// Run is a discharge of one cell at constant current (A): voltage (V) by
// charge taken (C), rising.
type Run struct {
	Current float64
	Taken   []float64
	Volts   []float64
}

// FromRuns makes a cell's curve from two discharges at different currents of
// a cell of the given capacity (C): at each charge the resistance is the
// difference in voltage over that in current, and the rest voltage the
// straight line to no current. It needs two rising runs of at least three
// points that overlap in half of the capacity, and currents 20 % apart;
// otherwise ok is false. A constant-current discharge is reproduced by
// construction; between and a little beyond the two currents the error is
// that of taking resistance as independent of current (10 mV).
func FromRuns(a, b Run, capacity float64) (c CellCurve, ok bool) {
	if a.Current > b.Current {
		a, b = b, a
	}
	rising := func(r Run) bool {
		if len(r.Taken) < 3 || len(r.Volts) != len(r.Taken) || !(r.Current > 0) {
			return false
		}
		for i := range r.Taken {
			if math.IsNaN(r.Taken[i]+r.Volts[i]) || i > 0 && !(r.Taken[i] > r.Taken[i-1]) {
				return false
			}
		}
		return true
	}
	if !rising(a) || !rising(b) || !(b.Current > 1.2*a.Current) || !(capacity > 0) {
		return c, false
	}
	ca, err := num.Monotone(a.Taken, a.Volts)
	cb, err2 := num.Monotone(b.Taken, b.Volts)
	if err != nil || err2 != nil {
		return c, false
	}
	lo := math.Max(a.Taken[0], b.Taken[0])
	hi := math.Min(a.Taken[len(a.Taken)-1], b.Taken[len(b.Taken)-1])
	if hi-lo < 0.5*capacity {
		return c, false
	}
	const n = 160
	for i := n; i >= 0; i-- {
		q := lo + (hi-lo)*float64(i)/n
		va, _, _ := ca.At(q)
		vb, _, _ := cb.At(q)
		r := (va - vb) / (b.Current - a.Current)
		if !(r > 0) {
			return CellCurve{}, false
		}
		c.Charge = append(c.Charge, 1-q/capacity)
		c.Ohm = append(c.Ohm, r)
		c.Rest = append(c.Rest, va+r*a.Current)
	}
	return c, true
}
