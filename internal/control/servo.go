package control

import "math"

// Pulse is how a servo answers its pulse: Centre at the arm's neutral,
// PerRad seconds per radian of arm, Min and Max the ends the transmitter
// sends, Step its resolution.
type Pulse struct{ Centre, PerRad, Min, Max, Step float64 }

// Hobby is the usual servo: 1500 µs centre, 10 µs a degree, 1000 to 2000 µs,
// 1 µs steps. Common practice, no source; real servos differ by 20 % or more.
var Hobby = Pulse{Centre: 1500e-6, PerRad: 10e-6 * 180 / math.Pi, Min: 1000e-6, Max: 2000e-6, Step: 1e-6}

// Pulse is the pulse for an arm angle from the pulse centre, s. It may lie
// outside Min and Max: see [Pulse.Within].
func (p Pulse) Pulse(theta float64) float64 { return p.Centre + p.PerRad*theta }

// Angle is the arm angle for a pulse, rad.
func (p Pulse) Angle(pulse float64) float64 { return (pulse - p.Centre) / p.PerRad }

// Within says whether the transmitter can send the pulse.
func (p Pulse) Within(pulse float64) bool {
	const ns = 1e-9
	return pulse >= p.Min-ns && pulse <= p.Max+ns
}

// Play is the surface's free play, rad, total from stop to stop: the
// clearances of horn hole and arm hole along the rod (m, total) over the
// horn's length, and the servo's own play times the ratio. It returns the sum,
// which is the worst case, and the root sum of squares.
//
// It is exact for small play with the rod at right angles to the horn.
func Play(hornHole, armHole, horn, gear, ratio float64) (worst, likely float64) {
	a, b, c := hornHole/horn, armHole/horn, math.Abs(gear*ratio)
	return a + b + c, math.Sqrt(a*a + b*b + c*c)
}

// ServoRate is the linear torque-speed line of a direct-current servo:
// its speed, rad/s, under a load torque at a supply voltage, from the stall
// torque and no-load speed at the rated voltage, which both go as the voltage.
// Negative when the load is more than it can hold. Exact as a formula; within
// 15 % of real servos (resistance of the lead and regulation are left out).
func ServoRate(stall, free, rated, volts, load float64) float64 {
	k := volts / rated
	return free * k * (1 - load/(stall*k))
}
