package assess

import (
	"math"

	"fledge/internal/craft"
	"fledge/internal/power"
)

// DriveRow is the drive at one airspeed with the 90 % intervals of what a
// scale, a wattmeter and a tachometer would read.
type DriveRow struct {
	power.SpeedRow
	ThrustLow, ThrustHigh, CurrentLow, CurrentHigh, RPMLow, RPMHigh float64
	// Half the 90 % intervals of voltage, power out of the pack, shaft power and
	// the shares that controller, motor, propeller and all together pass on.
	Half [7]float64
}

// DriveAlong is the drive at a throttle and the launch charge over airspeeds
// (m/s). The intervals are the doubts of every number of the drive and the
// day, one at a time and added in squares, hanging together as learned or
// fitted: linear, so within a tenth of their width of what draws give. Nil
// without a motor.
func (c *Chain) DriveAlong(throttle float64, speeds []float64) []DriveRow {
	if c.Power == nil {
		return nil
	}
	at := func(d *Drawn) (out [][10]float64) {
		for _, r := range c.Power.Against(throttle, c.Power.Charge, speeds, &d.PowerK) {
			out = append(out, [10]float64{r.Thrust, r.Current, r.RPM, r.Voltage, r.Power, r.Shaft, r.Controller, r.Motor, r.Propeller, r.Whole})
		}
		return out
	}
	base := c.Nominal()
	out := make([]DriveRow, len(speeds))
	for i, r := range c.Power.Against(throttle, c.Power.Charge, speeds, &base.PowerK) {
		out[i].SpeedRow = r
	}
	spread := make([][10]float64, len(speeds))
	was := at(&base)
	// Every number that may move the drive is in each draw, so that those whose
	// errors hang together move together.
	var index []int
	var nominal []float64
	for j := range c.Aircraft.Inputs {
		in := &c.Aircraft.Inputs[j]
		if !(c.sigma(in) > 0) || in.Kind == craft.Scatter || in.Shape() {
			continue
		}
		if d := c.DrawPlain([]int{j}, []float64{in.Nominal + c.sigma(in)}); d.PowerK != base.PowerK {
			index, nominal = append(index, j), append(nominal, in.Nominal)
		}
	}
	for k, j := range index {
		value := append([]float64(nil), nominal...)
		value[k] += c.sigma(&c.Aircraft.Inputs[j])
		d := c.Draw(index, value)
		for i, x := range at(&d) {
			for q := range x {
				if y := (x[q] - was[i][q]) * (x[q] - was[i][q]); y >= 0 {
					spread[i][q] += y
				}
			}
		}
	}
	const z = 1.6449
	for i := range out {
		r := &out[i]
		var h [10]float64
		for q := range h {
			h[q] = z * math.Sqrt(spread[i][q])
		}
		copy(r.Half[:], h[3:])
		r.ThrustLow, r.ThrustHigh = r.Thrust-h[0], r.Thrust+h[0]
		r.CurrentLow, r.CurrentHigh = math.Max(r.Current-h[1], 0), r.Current+h[1]
		r.RPMLow, r.RPMHigh = math.Max(r.RPM-h[2], 0), r.RPM+h[2]
	}
	return out
}
