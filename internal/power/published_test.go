package power

import (
	"fledge/internal/craft"
	"fledge/internal/power/typical"
	"math"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// ChargeAt is the share of charge of a cell that rests at the voltage.
func ChargeAt(chemistry string, volts float64) float64 {
	lo, hi := 0.0, 1.0
	for range 40 {
		m := (lo + hi) / 2
		if typical.RestVoltage(chemistry, m) < volts {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// Peukert is the time a pack lasts in closed form: rt (C/(rt i))^n, with the
// capacity C and the hour rt it is rated over in the same unit of time. n is
// 1.02 to 1.06 for today's polymer packs (1.033 measured between 1C and 5C);
// not needed where the resistance is modelled.
func Peukert(capacity, current, n, rt float64) float64 {
	return rt * math.Pow(capacity/(rt*current), n)
}

// MotorFit is KV and whole-path resistance from full-throttle readings.
type MotorFit struct {
	KV, Resistance           float64 // rad/s per volt; ohm, motor + controller + leads, at room temperature when warm
	SigmaKV, SigmaResistance float64
	RMS                      float64 // V
	OK                       bool
}

// FitMotor fits V = omega/KV + I R (1 + warm I² R) by least squares in the
// volts to rows with volts, amps and omega read at full throttle; warm (1/W)
// is the growth of the resistance per watt of copper loss: 0 for the plain
// first-order fit, about 0.003/W for a motor of 30 g some ten seconds into a
// test. At least two rows at different load, else OK is false.
func FitMotor(rows []craft.BenchRow, warm float64) MotorFit {
	var f MotorFit
	r := 0.1
	var n int
	for it := 0; it < 60; it++ {
		// Linear in 1/KV and R with the warm factor of the last R.
		var a11, a12, a22, b1, b2 float64
		n = 0
		for _, q := range rows {
			if !(q.Volts > 0 && q.Amps > 0 && q.Omega > 0) {
				continue
			}
			n++
			g := q.Amps * (1 + warm*q.Amps*q.Amps*r)
			a11 += q.Omega * q.Omega
			a12 += q.Omega * g
			a22 += g * g
			b1 += q.Omega * q.Volts
			b2 += g * q.Volts
		}
		det := a11*a22 - a12*a12
		if n < 2 || !(det > 1e-9*a11*a22) {
			return MotorFit{}
		}
		inv := (b1*a22 - b2*a12) / det
		nr := (a11*b2 - a12*b1) / det
		if !(inv > 0) {
			return MotorFit{}
		}
		done := math.Abs(nr-r) < 1e-10
		r = nr
		f.KV, f.Resistance = 1/inv, r
		if done || warm == 0 {
			s := 0.0
			for _, q := range rows {
				if q.Volts > 0 && q.Amps > 0 && q.Omega > 0 {
					e := q.Volts - q.Omega*inv - q.Amps*r*(1+warm*q.Amps*q.Amps*r)
					s += e * e
				}
			}
			f.RMS = math.Sqrt(s / float64(n))
			v := s / math.Max(float64(n-2), 1)
			f.SigmaKV = math.Sqrt(v*a22/det) / (inv * inv)
			f.SigmaResistance = math.Sqrt(v * a11 / det)
			f.OK = true
			return f
		}
	}
	return f
}

// PredictOmega is the speed (rad/s) from volts and amps.
func (f MotorFit) PredictOmega(volts, amps, warm float64) float64 {
	return f.KV * (volts - amps*f.Resistance*(1+warm*amps*amps*f.Resistance))
}
