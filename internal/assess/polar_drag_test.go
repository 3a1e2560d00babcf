package assess

import (
	"math"
	"testing"

	"fledge/internal/aero"
)

// The drag of a grid has an answer for any lift and speed: far past the largest
// lift it goes on, for what is no number or has no end it gives none.
func TestPolarDragAnywhere(t *testing.T) {
	p := &polar{area: 0.2, rho: 1.2, dcl: 0.1, lnv0: math.Log(9), dlnv: math.Log(12) / (polarSpeeds - 1), trim: func(float64, float64) aero.Trimmed {
		return aero.Trimmed{OK: true, CD: 0.03}
	}}
	for _, k := range []struct {
		v, lift float64
		want    bool // a number
	}{{20, 5, true}, {1e-9, 5, true}, {20, 1e12, true}, {20, math.NaN(), false}, {math.NaN(), 5, false}, {0, 5, false}} {
		if d := p.drag(k.v, k.lift); (!math.IsNaN(d) && !math.IsInf(d, 0)) != k.want {
			t.Errorf("drag at %g m/s carrying %g N: %g", k.v, k.lift, d)
		}
	}
}
