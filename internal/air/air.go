// Package air describes the air of one day at one field: its state, the mean
// wind above the ground, gusts and turbulence, and reads aerodrome reports.
//
// All in SI, temperatures in kelvin, pressures in pascal, wind directions in
// radians clockwise from true north and meaning where the wind comes from.
// A quantity that is not known is NaN in inputs and reports, never zero.
//
// Air is treated as an ideal mixture of dry air and water vapour, consistent
// with the standard atmosphere (ISO 2533): a standard day gives exactly the
// standard density. Against the metrological equation of state (CIPM-2007)
// the density is low by 3e-4 to 6e-4 above freezing and 8e-4 at -20 degC, less
// than a quarter of a kelvin.
package air

import "math"

// Constants of the standard atmosphere (ISO 2533, also the US Standard
// Atmosphere 1976) and of moist air.
const (
	G0        = 9.80665   // standard acceleration of gravity, m/s2
	R         = 287.05287 // gas constant of dry air, J/(kg K)
	T0        = 288.15    // sea level, K
	P0        = 101325.0  // sea level, Pa
	Rho0      = 1.225     // sea level, kg/m3
	Lapse     = 0.0065    // K/m
	Gamma     = 1.4       // ratio of specific heats of dry air
	Celsius   = 273.15    // K at 0 degC
	Earth     = 6356766.0 // m, nominal earth radius of the geopotential
	vapour    = 0.378     // 1 - ratio of molar masses of water and dry air
	suthBeta  = 1.458e-6  // Sutherland, kg/(m s K^0.5)
	suthS     = 110.4     // Sutherland, K
	lowestH   = -5000.0
	highestH  = 11000.0
	pressureN = G0 / (R * Lapse) // 5.25588
)

// State is the state of the air at one place.
type State struct {
	T   float64 // temperature, K
	P   float64 // pressure, Pa
	Rho float64 // density, kg/m3
	Mu  float64 // dynamic viscosity, Pa s
	Nu  float64 // kinematic viscosity, m2/s
	A   float64 // speed of sound, m/s
	RH  float64 // relative humidity over water, 0..1
}

// Standard is the dry standard atmosphere at geopotential height h (ISO 2533,
// troposphere). ok is false outside -5000..11000 m, where the formula is
// still evaluated but does not describe the standard atmosphere.
func Standard(h float64) (s State, ok bool) {
	t := T0 - Lapse*h
	p := P0 * math.Pow(t/T0, pressureN)
	return Moist(t, p, 0), h >= lowestH && h <= highestH
}

// Moist is the state of air at temperature t (K), pressure p (Pa) and
// relative humidity rh (0..1, NaN counts as dry).
//
// Density: (p - 0.378 e)/(R T) with e = rh * Saturation(t). Viscosity:
// Sutherland's formula of ISO 2533 for dry air (vapour lowers it by less than
// 1 % in flying weather). Speed of sound: sqrt(gamma R T) of the mixture,
// with cp = 3.5 and 4.04 gas constants for air and vapour; 0.04 % below
// measured values, as the standard atmosphere is.
func Moist(t, p, rh float64) State {
	if math.IsNaN(rh) {
		rh = 0
	}
	x := 0.0 // mole fraction of vapour
	if rh > 0 {
		x = rh * Saturation(t) / p
	}
	m := 1 - vapour*x // molar mass relative to dry air
	rho := p * m / (R * t)
	gamma := Gamma
	if x > 0 {
		cp := 3.5 + 0.54*x
		gamma = cp / (cp - 1)
	}
	mu := Viscosity(t)
	return State{T: t, P: p, Rho: rho, Mu: mu, Nu: mu / rho, A: math.Sqrt(gamma * R * t / m), RH: rh}
}

// Viscosity is Sutherland's dynamic viscosity of dry air, Pa s, t in K.
func Viscosity(t float64) float64 { return suthBeta * t * math.Sqrt(t) / (t + suthS) }

// Saturation is the vapour pressure of water, Pa, over a flat water surface
// at t (K): the Magnus formula of WMO-No. 8, within 0.3 % of the reference
// equation of Wagner & Pruss from 0 to 40 degC; below freezing over
// supercooled water, as weather services report humidity.
func Saturation(t float64) float64 {
	c := t - Celsius
	return 611.2 * math.Exp(17.62*c/(243.12+c))
}

// Humidity is the relative humidity (0..1) of air at t (K) with dew point
// dew (K); may come out slightly above 1 from rounded reports.
func Humidity(t, dew float64) float64 { return Saturation(dew) / Saturation(t) }

// StationPressure is the pressure (Pa) at geopotential height h (m) when the
// altimeter setting is qnh (Pa): the ICAO altimeter law.
func StationPressure(qnh, h float64) float64 {
	return P0 * math.Pow(math.Pow(qnh/P0, 1/pressureN)-Lapse*h/T0, pressureN)
}

// DensityAltitude is the geopotential height (m) in the standard atmosphere
// that has density rho (kg/m3, positive).
func DensityAltitude(rho float64) float64 {
	return T0 / Lapse * (1 - math.Pow(rho/Rho0, 1/(pressureN-1)))
}

// RhoAt is the air density (kg/m3) at height z (m) above where the state is
// that of, with temperature falling at the standard lapse rate:
// rho (1 - L z/T)^4.256 by its series to third order, better than 1e-6 up to
// 1000 m.
func (s State) RhoAt(z float64) float64 {
	const n = pressureN - 1
	u := Lapse * z / s.T
	return s.Rho * (1 - n*u*(1-(n-1)/2*u*(1-(n-2)/3*u)))
}
