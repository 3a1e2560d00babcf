package power

import "math"

// Copper's temperature coefficient of resistance at 20 degC (IEC 60028), and
// the gain of KV per kelvin as the magnets weaken.
const (
	copperPerK = 0.00393
	magnetPerK = 0.0011
	room       = 293.15
)

// Motor is a brushless motor seen from its controller as a direct-current
// machine: V = omega/KV + I (R + Inductance omega) and Q = (I - I0(omega))/KV.
// Inductance stands for the voltage that commutation costs: it grows with the
// phases' inductance and poles, and falls with advanced timing; 0 (the
// default) leaves it in R, as a bench fit does.
//
// The iron current is I0 = Iron[0] + Iron[1] w + Iron[2] w² with w = omega:
// friction and hysteresis, and eddy currents. Resistance and KV are at 20
// degC; Winding and Magnets are the temperatures (K) in the run. First order
// is the case of a constant I0 and 20 degC. (Drela 2006, 2007.)
type Motor struct {
	KV, Resistance   float64 // rad/s per volt, ohm
	Iron             [3]float64
	Inductance       float64 // ohm per rad/s
	Winding, Magnets float64
	Limit            float64 // A, 0: not known
	Mass             float64
}

// SplitIron spreads an idle current read at a voltage over the three terms:
// 55 % constant, 35 % with speed, 10 % with its square at the reading, which
// gives the idle current a local exponent of 0.55 in voltage (0.5 to 1 is
// practice).
func SplitIron(idle, volts, kv, resistance float64) [3]float64 {
	w := kv * math.Max(volts-idle*resistance, 0.2*volts)
	if !(w > 0) {
		return [3]float64{idle, 0, 0}
	}
	return [3]float64{0.55 * idle, 0.35 * idle / w, 0.10 * idle / (w * w)}
}

// HotKV is KV at the magnets' temperature.
func (m *Motor) HotKV() float64 { return m.KV * (1 + magnetPerK*(m.Magnets-room)) }

// Hot is the winding's resistance at its temperature.
func (m *Motor) Hot() float64 { return m.Resistance * (1 + copperPerK*(m.Winding-room)) }

// Idle is the current (A) that iron and friction take at omega.
func (m *Motor) Idle(omega float64) float64 {
	return m.Iron[0] + omega*(m.Iron[1]+omega*m.Iron[2])
}

// Turning is what the motor does at a voltage and a current.
type Turning struct{ Omega, Torque, Shaft, Efficiency float64 }

// At gives speed, torque (N m), shaft power (W) and efficiency at the motor's
// terminals.
func (m *Motor) At(volts, current float64) Turning {
	kv := m.HotKV()
	w := kv * (volts - current*m.Hot())
	if m.Inductance != 0 {
		// V = w/kv + I (R + L w)
		w = (volts - current*m.Hot()) / (1/kv + m.Inductance*current)
	}
	q := (current - m.Idle(w)) / kv
	t := Turning{Omega: w, Torque: q, Shaft: q * w}
	if volts*current > 0 {
		t.Efficiency = t.Shaft / (volts * current)
	}
	return t
}

// Best is the current of best efficiency, that efficiency, the stall current
// and the current of most shaft power at a voltage, first order:
// sqrt(I0 V/R), (1-sqrt(I0 R/V))², V/R, (V/R + I0)/2, with I0 taken at the
// unloaded speed.
func (m *Motor) Best(volts float64) (best, eta, stall, most float64) {
	r := m.Hot()
	i0 := m.Idle(m.HotKV() * volts)
	s := 1 - math.Sqrt(i0*r/volts)
	return math.Sqrt(i0 * volts / r), s * s, volts / r, (volts/r + i0) / 2
}

// Controller is the speed controller: its on-resistance, and what chopping
// costs. With d the duty (share of the time it is on), V the voltage at its
// input, I the motor current and R the whole resistance of the motor's side:
//
//	P = I² Ron + (Chop V I + Ripple R I²)(1-d) + Idle V
//
// Chop stands for switching and freewheeling, Ripple for the copper and iron
// losses of a pulsed current, which the motor has and the controller causes.
// The form follows Green and McDonald (2015), the values a bench on which the
// same load was driven from two supplies.
type Controller struct {
	Resistance float64 // ohm
	Chop       float64 // share
	Ripple     float64
	Start      float64 // duty at the smallest throttle that turns the motor
	Idle       float64 // A
	Limit      float64 // A, 0: not known
	Mass       float64
}

// Default chopping losses and least duty. Twelve power ratios of the bench
// come within 0.045 with them; the duty at the foot of the throttle lies
// between 0.08 and 0.13 there.
const (
	Chop   = 0.075
	Ripple = 5.0
	Start  = 0.10
)

// Duty is the share of the time the controller is on, from the throttle:
// Start + (1-Start) throttle; nothing under 3 % throttle.
func (c *Controller) Duty(throttle float64) float64 {
	if throttle < minThrottle {
		return 0
	}
	return c.Start + (1-c.Start)*throttle
}
