package evidence

import (
	"encoding/json"
	"math"
)

// z90 makes a 90 % interval of a standard deviation.
const z90 = 1.6448536269514722

// Quantity is a value with its 90 % interval, SI or degrees.
type Quantity struct {
	Value, Low, High float64
	Unit             string
}

// about is the quantity of a value and its standard deviation.
func about(v, sd float64, unit string) Quantity {
	return Quantity{v, v - z90*sd, v + z90*sd, unit}
}

// exactly is a quantity without doubt.
func exactly(v float64, unit string) Quantity { return Quantity{v, v, v, unit} }

// unknown is a quantity nothing tells.
func unknown(unit string) Quantity { return Quantity{math.NaN(), math.NaN(), math.NaN(), unit} }

// SD is the standard deviation behind a symmetric interval.
func (q Quantity) SD() float64 { return (q.High - q.Low) / (2 * z90) }

type jsonQuantity struct {
	Value  *float64 `json:"value"`
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
	Unit   string   `json:"unit"`
	Status string   `json:"status,omitempty"`
}

func (q Quantity) json() jsonQuantity {
	f := func(x float64) *float64 {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
		return &x
	}
	j := jsonQuantity{Value: f(q.Value), Low: f(q.Low), High: f(q.High), Unit: q.Unit}
	if j.Value == nil {
		j.Status = "not known"
	}
	return j
}

// MarshalJSON writes {"value","low","high","unit"}; what is not a number is
// null with a status.
func (q Quantity) MarshalJSON() ([]byte, error) { return json.Marshal(q.json()) }

// UnmarshalJSON is the inverse.
func (q *Quantity) UnmarshalJSON(b []byte) error {
	var j jsonQuantity
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	f := func(p *float64) float64 {
		if p == nil {
			return math.NaN()
		}
		return *p
	}
	*q = Quantity{f(j.Value), f(j.Low), f(j.High), j.Unit}
	return nil
}

func sq(x float64) float64 { return x * x }

func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func clamp(x, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, x)) }
