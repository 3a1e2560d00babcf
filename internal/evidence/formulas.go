package evidence

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Gravity is standard gravity, m/s².
const Gravity = 9.80665

// SoundSpeed is the speed of sound in dry air, m/s, at a temperature in
// kelvin: 20.0468 √T. Good to 0.1 % in moist air up to 30 °C.
func SoundSpeed(kelvin float64) float64 { return 20.0468 * math.Sqrt(kelvin) }

// FlybyTone is the tone heard at time t (s after the closest point of the
// path was passed) from a source of tone f0 at speed v on a straight level
// path that passes the listener at distance d. c is the speed of sound; v < c.
func FlybyTone(t, v, d, f0, c float64) float64 {
	te := emission(t, v, d, c)
	return f0 / (1 + v*v*te/(c*math.Hypot(d, v*te)))
}

// emission is the time at which what is heard at t was sent.
func emission(t, v, d, c float64) float64 {
	b := v / c
	g := 1 - b*b
	return (t - math.Sqrt(b*b*t*t+g*d*d/(c*c))) / g
}

// EnergyHeight is h + V²/2g, m.
func EnergyHeight(h, v float64) float64 { return h + v*v/(2*Gravity) }

// Washout is the length over which an excess of V² in level flight at
// constant thrust falls to 1/e: m/(ρ S C_D), m.
func Washout(mass, density, area, cd float64) float64 { return mass / (density * area * cd) }

// PeakBias is the mean of the largest of n independent standard normal
// errors: what picking the peak of n equal readings adds, in their standard
// deviations. By quadrature; accuracy 1e-5 for 1 ≤ n ≤ 1e6.
func PeakBias(n int) float64 {
	if n <= 1 {
		return 0
	}
	N := distuv.UnitNormal
	// E max = ∫ [1−Φⁿ] over x>0 − ∫ Φⁿ over x<0
	k := float64(n)
	pos := quad.Fixed(func(x float64) float64 { return -math.Expm1(k * math.Log(N.CDF(x))) }, 0, 9, 120, nil, 0)
	neg := quad.Fixed(func(x float64) float64 { return math.Exp(k * math.Log(N.CDF(x))) }, -9, 0, 120, nil, 0)
	return pos - neg
}
