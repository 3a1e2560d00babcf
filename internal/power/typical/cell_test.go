package typical

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Whatever is typed off a charger: an answer or none, never a wider doubt than
// before, a rest voltage that falls with the charge, no fault.
func TestAnyDischarge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells, capacity := rapid.IntRange(1, 8).Draw(t, "cells"), 3600*rapid.Float64Range(0.1, 10).Draw(t, "Ah")
		r, c := CellResistance(capacity, LiPo), Value{Value: capacity, Sigma: 0.05 * capacity}
		var rows []Reading
		for range rapid.IntRange(0, 9).Draw(t, "rows") {
			rows = append(rows, Reading{
				Amps:  capacity / 3600 * rapid.Float64Range(0, 30).Draw(t, "C"),
				Taken: capacity * rapid.Float64Range(0, 1.3).Draw(t, "taken"),
				Volts: float64(cells) * rapid.Float64Range(1.5, 4.6).Draw(t, "volts"),
			})
		}
		e := FromDischarge(rows, cells, 1, LiPo, r, c)
		if !e.OK {
			if e.Resistance != r || e.Capacity != c || e.Shift != [3]float64{} {
				t.Fatalf("no answer, yet changed: %+v", e)
			}
			return
		}
		if !(e.Resistance.Value > 0 && e.Capacity.Value > 0) || math.IsInf(e.Resistance.Value+e.Capacity.Value, 0) ||
			e.Resistance.Sigma/e.Resistance.Value > r.Sigma/r.Value*1.0001 || e.Capacity.Sigma/e.Capacity.Value > c.Sigma/c.Value*1.0001 {
			t.Fatalf("%+v", e)
		}
		last := 0.0
		for s := 0.0; s <= 1; s += 0.1 {
			v := RestVoltage(LiPo, s) + RestShift(e.Shift, s)
			if v <= last {
				t.Fatalf("rest voltage %g V at charge %g after %g V: %+v", v, s, last, e)
			}
			last = v
		}
	})
	r, c := CellResistance(3600, LiPo), Value{Value: 3600, Sigma: 180}
	for name, e := range map[string]Emptied{
		"no reading":  FromDischarge(nil, 3, 1, LiPo, r, c),
		"no cells":    FromDischarge([]Reading{{1, 100, 12}}, 0, 1, LiPo, r, c),
		"no capacity": FromDischarge([]Reading{{1, 100, 12}}, 3, 1, LiPo, r, Value{}),
		"no number":   FromDischarge([]Reading{{1, 100, math.NaN()}}, 3, 1, LiPo, r, c),
	} {
		if e.OK {
			t.Errorf("%s: %+v", name, e)
		}
	}
	// A pack at rest tells its level and leaves the resistance as it was.
	if e := FromDischarge([]Reading{{0, 1800, 3 * (RestVoltage(LiPo, 0.5) + 0.03)}}, 3, 1, LiPo, r, c); !e.OK || math.Abs(e.Resistance.Sigma/e.Resistance.Value-r.Sigma/r.Value) > 0.01 || !(RestShift(e.Shift, 0.5) > 0.02) {
		t.Errorf("at rest: %+v", e)
	}
}
