package power

import (
	"math"

	"fledge/internal/power/typical"
)

// Voltage of one cell at rest, 25 degC, by charge 0, 0.05, 0.1, 0.2 .. 1.
// LiPo: common practice, 0.03 V. LiHV: the same curve stretched to 4.35 V at
// the top. LiIon: round cells with a nickel-rich cathode. LiFe: iron phosphate.
var restCharge = []float64{0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

var restVoltage = map[string][]float64{
	typical.LiPo:  {3.27, 3.55, 3.66, 3.72, 3.76, 3.79, 3.83, 3.87, 3.92, 3.98, 4.08, 4.20},
	typical.LiHV:  {3.27, 3.55, 3.67, 3.74, 3.79, 3.84, 3.90, 3.97, 4.05, 4.14, 4.24, 4.35},
	typical.LiIon: {2.80, 3.20, 3.36, 3.48, 3.56, 3.62, 3.69, 3.78, 3.88, 3.98, 4.07, 4.18},
	typical.LiFe:  {2.60, 3.05, 3.18, 3.23, 3.26, 3.28, 3.29, 3.30, 3.31, 3.33, 3.34, 3.45},
}

// RestVoltage is the open-circuit voltage (V) of one cell at the share of
// charge, held at 0 and 1; monotone, 0.03 V (common practice, no source). An
// unknown chemistry counts as LiPo.
func RestVoltage(chemistry string, charge float64) float64 {
	c, _ := typical.Chemistry(chemistry)
	v := restVoltage[c]
	if !(charge > 0) {
		return v[0]
	}
	for i := 1; i < len(v); i++ {
		if charge <= restCharge[i] {
			t := (charge - restCharge[i-1]) / (restCharge[i] - restCharge[i-1])
			return v[i-1] + t*(v[i]-v[i-1])
		}
	}
	return v[len(v)-1]
}

// ChenCell is the 850 mAh polymer cell of Chen and Rincon-Mora (2006):
// open-circuit voltage, series resistance and the two relaxations, by charge.
func ChenCell(s float64) (voc, r0, rs, cs, rl, cl float64) {
	return -1.031*math.Exp(-35*s) + 3.685 + 0.2156*s - 0.1178*s*s + 0.3201*s*s*s,
		0.1562*math.Exp(-24.37*s) + 0.07446,
		0.3208*math.Exp(-29.14*s) + 0.04669,
		-752.9*math.Exp(-13.51*s) + 703.6,
		6.603*math.Exp(-155.2*s) + 0.04984,
		-6056*math.Exp(-27.12*s) + 4475
}

// ResistanceByCharge is the resistance of a cell over that at half charge:
// flat, rising as the cell empties, after the shape of Chen and Rincon-Mora's
// three resistances together, and a little at the full end (Ecker 2015).
func ResistanceByCharge(s float64) float64 {
	s = math.Min(math.Max(s, 0), 1)
	_, a, b, _, c, _ := ChenCell(math.Max(s, 0.02))
	_, a5, b5, _, c5, _ := ChenCell(0.5)
	r := (a + b + c) / (a5 + b5 + c5)
	if s > 0.7 {
		r *= 1 + 0.2*(s-0.7)/0.3
	}
	return math.Min(r, 6)
}

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
	RelaxShare = 0.3
	RelaxTime  = 15.0 // s
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
	Curve           *CellCurve // measured rest voltage and resistance; nil: from the chemistry
}

// Rest is the pack's open-circuit voltage.
func (p *Pack) Rest(charge float64) float64 {
	if p.Curve != nil {
		v, _ := p.Curve.at(charge)
		return float64(p.Cells) * v
	}
	return float64(p.Cells) * RestVoltage(p.Chemistry, charge)
}

// Resistance is the pack's quick resistance (ohm), without relaxation.
func (p *Pack) Resistance(charge float64) float64 {
	n := float64(max(p.Parallel, 1))
	if p.Curve != nil {
		// The whole resistance was measured; the relaxation's share is in it.
		_, r := p.Curve.at(charge)
		return float64(p.Cells) / n * r / (1 + RelaxShare) * p.Age * ResistanceByTemperature(p.Temperature)
	}
	return float64(p.Cells) / n * p.Cell * p.Age * ResistanceByCharge(charge) * ResistanceByTemperature(p.Temperature)
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
