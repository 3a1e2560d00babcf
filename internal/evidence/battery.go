package evidence

import (
	"math"

	"fledge/internal/track"

	"gonum.org/v1/gonum/mat"
)

// Battery is the pack as used in a flight.
type Battery struct {
	Charge     *Quantity `json:"charge"`           // A s, summed from the current
	Logged     *Quantity `json:"charge_as_logged"` // A s, the recorder's own count
	Energy     *Quantity `json:"energy"`           // J
	MeanPower  *Quantity `json:"mean_power"`       // W, over the time under current
	MostAmps   *Quantity `json:"highest_current"`
	LeastVolts *Quantity `json:"lowest_voltage"`
	Resistance *Quantity `json:"resistance"`     // ohm, whole pack with its leads
	RestBefore *Quantity `json:"voltage_before"` // at no load
	RestAfter  *Quantity `json:"voltage_after"`
	Remarks    []string  `json:"remarks,omitempty"`
}

// Coulombs sums charge (A s) and energy (J) by the trapezium over samples;
// steps longer than longest seconds are not bridged. With volts nil the
// energy is NaN.
func Coulombs(t, amps, volts []float64, longest float64) (charge, energy, time float64) {
	last := -1
	for i := range t {
		if !known(amps[i]) || volts != nil && !known(volts[i]) {
			continue
		}
		if last >= 0 {
			if dt := t[i] - t[last]; dt > 0 && dt <= longest {
				charge += dt * (amps[i] + amps[last]) / 2
				if volts != nil {
					energy += dt * (amps[i]*volts[i] + amps[last]*volts[last]) / 2
				}
				time += dt
			}
		}
		last = i
	}
	if volts == nil {
		energy = math.NaN()
	}
	return
}

// sensorGain is the doubt of a hobby current sensor's scale; common practice,
// no source. Charge and energy carry it whole.
const sensorGain = 0.03

func batteryOf(p *track.Path, f *flight, cells int) *Battery {
	n := len(p.Log.Fixes)
	t, amps, volts := make([]float64, 0, n), make([]float64, 0, n), make([]float64, 0, n)
	var count []float64
	hasA, hasV := 0, 0
	for i := range p.Log.Fixes {
		x := &p.Log.Fixes[i]
		if known(x.Amps) || known(x.Volts) {
			t, amps, volts = append(t, x.T), append(amps, x.Amps), append(volts, x.Volts)
			hasA += int(b2f(known(x.Amps)))
			hasV += int(b2f(known(x.Volts)))
		}
		if known(x.Charge) {
			count = append(count, x.Charge)
		}
	}
	if hasA < 5 && hasV < 5 && len(count) < 5 {
		return nil
	}
	b := &Battery{}
	longest := math.Max(5, 4*p.Step)
	if hasA >= 5 {
		q, _, _ := Coulombs(t, amps, nil, longest)
		Q := about(q, math.Abs(q)*sensorGain, "A s")
		b.Charge = &Q
		if hasV >= 5 {
			_, e, T := Coulombs(t, amps, volts, longest)
			E := about(e, math.Abs(e)*math.Hypot(sensorGain, 0.01), "J")
			b.Energy = &E
			if T > 0 {
				P := about(e/T, math.Abs(e/T)*math.Hypot(sensorGain, 0.01), "W")
				b.MeanPower = &P
			}
		}
		top := math.Inf(-1)
		for _, a := range amps {
			if known(a) {
				top = math.Max(top, a)
			}
		}
		A := about(top, math.Abs(top)*sensorGain, "A")
		b.MostAmps = &A
		b.Remarks = append(b.Remarks, "the current sensor's scale is taken as good to 3 %; the charge put back afterwards is the best check of it")
	}
	if hasV >= 5 {
		low := math.Inf(1)
		for _, v := range volts {
			if known(v) && v > 1 {
				low = math.Min(low, v)
			}
		}
		if known(low) {
			V := about(low, 0.01*low, "V")
			b.LeastVolts = &V
		}
	}
	if len(count) >= 5 {
		q := count[len(count)-1] - count[0]
		if q > 0 {
			Q := about(q, q*sensorGain, "A s")
			b.Logged = &Q
		}
	}
	if hasA >= 30 && hasV >= 30 {
		b.resistance(t, amps, volts, longest)
	}
	return b
}

// resistance fits V = V0 + V1 q + V2 q² − R I, q the charge taken: what is
// fast in the voltage is the resistance, what is slow the discharge.
func (b *Battery) resistance(t, amps, volts []float64, longest float64) {
	var q float64
	last := -1
	var rows [][4]float64
	var ys []float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range t {
		if !known(amps[i]) || !known(volts[i]) || volts[i] < 1 {
			continue
		}
		if last >= 0 {
			if dt := t[i] - t[last]; dt <= longest {
				q += dt * (amps[i] + amps[last]) / 2
			}
		}
		last = i
		rows = append(rows, [4]float64{1, q, q * q, -amps[i]})
		ys = append(ys, volts[i])
		lo, hi = math.Min(lo, amps[i]), math.Max(hi, amps[i])
	}
	if len(rows) < 30 || hi-lo < math.Max(2, 0.2*hi) {
		b.Remarks = append(b.Remarks, "the current hardly changes, so the resistance cannot be told")
		return
	}
	qs := math.Max(q, 1)
	ata := mat.NewSymDense(4, nil)
	atb := mat.NewVecDense(4, nil)
	for i, r := range rows {
		r[1] /= qs
		r[2] /= qs * qs
		for a := 0; a < 4; a++ {
			for c := a; c < 4; c++ {
				ata.SetSym(a, c, ata.At(a, c)+r[a]*r[c])
			}
			atb.SetVec(a, atb.AtVec(a)+r[a]*ys[i])
		}
	}
	for a := 0; a < 4; a++ {
		ata.SetSym(a, a, ata.At(a, a)*(1+1e-12)+1e-12)
	}
	var ch mat.Cholesky
	if !ch.Factorize(ata) {
		return
	}
	var x mat.VecDense
	if ch.SolveVecTo(&x, atb) != nil {
		return
	}
	var inv mat.SymDense
	if ch.InverseTo(&inv) != nil {
		return
	}
	var o []obs
	var res []float64
	ss := 0.0
	for i, r := range rows {
		e := ys[i] - (x.AtVec(0) + x.AtVec(1)*r[1]/qs + x.AtVec(2)*r[2]/(qs*qs) + x.AtVec(3)*r[3])
		ss += e * e
		res = append(res, e)
		o = append(o, obs{})
	}
	s2 := ss / float64(len(rows)-4) * inflation(o, res)
	r := x.AtVec(3)
	if r <= 0 {
		b.Remarks = append(b.Remarks, "the voltage does not fall with the current: the two may be logged at different times")
		return
	}
	R := about(r, math.Hypot(math.Sqrt(s2*inv.At(3, 3)), r*sensorGain), "ohm")
	b.Resistance = &R
	v0 := about(x.AtVec(0), math.Sqrt(s2*inv.At(0, 0)), "V")
	v1 := about(x.AtVec(0)+x.AtVec(1)+x.AtVec(2), math.Sqrt(s2*inv.At(0, 0)), "V")
	b.RestBefore, b.RestAfter = &v0, &v1
}
