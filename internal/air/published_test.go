package air

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Geopotential is the geopotential height of geometric height z above sea
// level, m; Geometric its inverse.
func Geopotential(z float64) float64 { return Earth * z / (Earth + z) }

// Geometric is the geometric height of geopotential height h, m.
func Geometric(h float64) float64 { return Earth * h / (Earth - h) }

// Gravity is the acceleration of gravity at geometric height z, m/s2.
func Gravity(z float64) float64 { k := Earth / (Earth + z); return G0 * k * k }

// DewPoint is the temperature (K) at which air of temperature t and relative
// humidity rh in (0, 1] would be saturated; -Inf K never: NaN for rh <= 0.
func DewPoint(t, rh float64) float64 {
	if !(rh > 0) {
		return math.NaN()
	}
	c := t - Celsius
	g := math.Log(rh) + 17.62*c/(243.12+c)
	return 243.12*g/(17.62-g) + Celsius
}

// QNH is the altimeter setting (Pa) at a station at height h (m) with
// pressure p (Pa): the inverse of [StationPressure].
func QNH(p, h float64) float64 {
	return P0 * math.Pow(math.Pow(p/P0, 1/pressureN)+Lapse*h/T0, pressureN)
}
