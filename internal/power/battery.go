package power

import (
	"math"

	"fledge/internal/power/typical"
)

// ResistanceByTemperature is the resistance of a cell over that at 25 degC:
// an exponential of 1/T through 2 at 0 degC and 0.75 at 45 degC (common
// practice, no source), held below -20 and above 60 degC.
func ResistanceByTemperature(t float64) float64 {
	t = math.Min(math.Max(t, 253.15), 333.15)
	b := 2257.0
	if t > 298.15 {
		b = 1364
	}
	return math.Exp(b * (1/t - 1/298.15))
}

// Relaxation of a cell: after a change of current a further share of the
// resistance builds up with a time constant.
const (
	RelaxShare = typical.RelaxShare
	RelaxTime  = typical.RelaxTime
)

// Pack is a battery in working order.
type Pack struct {
	Chemistry       string
	Cells, Parallel int
	Capacity        float64    // C
	Cell            float64    // resistance of one cell at half charge and 25 degC, ohm: the mean of its cells
	Worst           float64    // resistance of the worst cell over the mean; 0: all alike
	Age             float64    // multiplier on the resistance, 1 new
	Temperature     float64    // K
	Cutoff          float64    // V per cell, loaded
	Mass            float64    // kg, 0 when not known
	Shift           [3]float64 // how one cell's rest voltage lies off its chemistry's (typical.RestShift)
}

// Rest is the pack's open-circuit voltage.
func (p *Pack) Rest(charge float64) float64 {
	return float64(p.Cells) * (typical.RestVoltage(p.Chemistry, charge) + typical.RestShift(p.Shift, charge))
}

// Resistance is the pack's quick resistance (ohm), without relaxation.
func (p *Pack) Resistance(charge float64) float64 {
	n := float64(max(p.Parallel, 1))
	return float64(p.Cells) / n * p.Cell * p.Age * typical.ResistanceByCharge(charge) * ResistanceByTemperature(p.Temperature)
}

// Steady is the resistance with the relaxation built up.
func (p *Pack) Steady(charge float64) float64 { return (1 + RelaxShare) * p.Resistance(charge) }

// Weakest is the voltage of the weakest cell when the pack, resting at rest
// (V), is dropped by so much (V) under load: its share grows with its
// resistance.
func (p *Pack) Weakest(rest, drop float64) float64 {
	return (rest - math.Max(p.Worst, 1)*drop) / float64(p.Cells)
}

// Why a discharge ended.
type End string

// The ends of a discharge.
const (
	AtReserve    End = "reserve reached"
	AtCutoff     End = "cut-off voltage reached"
	AtLimit      End = "time limit reached"
	CannotGive   End = "the pack cannot give the power"
	CannotThrust End = "the drive cannot give the thrust"
)

// Discharge is one run of a pack.
type Discharge struct {
	Time, Charge, Volts []float64 // s, share left, V at the pack
	Taken               float64   // C
	Energy              float64   // J delivered
	Heat                float64   // J lost inside
	Rise                float64   // K, of the pack without cooling; NaN without a mass
	End                 End
}

// Constant discharges the pack from the charge with a constant current (A)
// until its weakest cell falls to the cut-off or the charge to reserve, in steps of
// 1/400 of the capacity; the pack warms by its own heat when its mass is
// known.
func (p *Pack) Constant(current, charge, reserve float64) Discharge {
	return p.run(charge, reserve, 1e9, func(_, _, _, _ float64) (float64, bool) { return current, true })
}

// Power discharges with constant power (W).
func (p *Pack) Power(power, charge, reserve float64) Discharge {
	return p.run(charge, reserve, 1e9, func(_, _, voc, r float64) (float64, bool) {
		d := voc*voc - 4*r*power
		if d < 0 {
			return voc / (2 * r), false
		}
		return 2 * power / (voc + math.Sqrt(d)), true
	})
}

// run steps the charge; draw gives the current from charge, driving voltage
// and quick resistance.
func (p *Pack) run(charge, reserve, limit float64, draw func(t, s, voc, r float64) (current float64, ok bool)) Discharge {
	q := *p
	var d Discharge
	if !(p.Capacity > 0) || p.Cells < 1 {
		d.End = CannotGive
		return d
	}
	s, t, lag := charge, 0.0, 0.0
	for range 4000 {
		r := q.Resistance(s)
		voc := q.Rest(s)
		i, ok := draw(t, s, voc-lag, r)
		v := voc - lag - i*r
		d.Time = append(d.Time, t)
		d.Charge = append(d.Charge, s)
		d.Volts = append(d.Volts, v)
		switch {
		case !ok:
			d.End = CannotGive
		case q.Weakest(voc, voc-v) < q.Cutoff:
			d.End = AtCutoff
		case s <= reserve+1e-12:
			d.End = AtReserve
		case t >= limit:
			d.End = AtLimit
		case !(i > 0):
			d.End = AtLimit
		}
		if d.End != "" {
			return d
		}
		step := math.Min(1.0/400, s-reserve)
		dt := math.Min(step*q.Capacity/i, limit-t)
		if dt <= 0 {
			dt = 1e-9
		}
		if len(d.Time) < 30 {
			dt = math.Min(dt, 2) // the relaxation at the start
		}
		s -= i * dt / q.Capacity
		t += dt
		// Relaxation with a decay over the step.
		k := math.Exp(-dt / RelaxTime)
		lag = lag*k + RelaxShare*r*i*(1-k)
		h := (voc - v) * i * dt
		d.Heat += h
		d.Taken += i * dt
		d.Energy += v * i * dt
		if q.Mass > 0 {
			q.Temperature += h / (q.Mass * 1000)
			d.Rise = q.Temperature - p.Temperature
		} else {
			d.Rise = math.NaN()
		}
	}
	d.End = AtLimit
	return d
}
