// Package typical holds what is assumed of a power train's parts when the
// builder left something out: a value, one standard deviation, the reason in
// words and the cite key of the source. It is a leaf: craft fills in with it,
// power uses it for what craft does not carry.
//
// All quantities are SI: KV rad/s per volt, ohm, ampere, coulomb, kg, kelvin,
// rad/s. A standard deviation is absolute, in the unit of the value. Inputs
// that are not positive finite numbers are taken as "not known" where that
// makes sense, the spread then grows; otherwise the value is NaN.
package typical

import (
	"math"
	"strings"

	"fledge/internal/cite"
)

// Value is an assumed number with its doubt.
type Value struct {
	Value, Sigma float64
	Why          string
	Cite         string // cite key
}

const rpm = 2 * math.Pi / 60

// Names of cell chemistries, as in a build file.
const (
	LiPo  = "LiPo"
	LiHV  = "LiHV"
	LiIon = "LiIon"
	LiFe  = "LiFe"
)

func known(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

// KVTrue is the factor from a label KV to the one a bench would show.
// Eight bench motors: mean ratio 0.967, scatter 0.062.
func KVTrue() Value {
	return Value{0.97, 0.06, "labels read 3 % high on the mean of eight bench motors, scatter 6 %", cite.ThrustStand.Key}
}

// MotorResistance is the winding resistance, terminal to terminal, cold (20
// degC), from KV (rad/s per volt) and mass (kg).
//
// R = 0.12 ohm (251.3/KV)^2 (0.030/m)^(5/3): at one size R follows the
// square of the turns; over size the motor constant KV^-2/R grows as the
// fifth power of length. The constant is the middle of eight bench motors of
// about 30 g (whole path 0.1 to 0.4 ohm warm), controller, leads and the
// copper's warmth taken off. Mass not positive: 30 g is taken.
func MotorResistance(kv, mass float64) Value {
	if !known(kv) {
		return Value{math.NaN(), math.NaN(), "no KV to scale the resistance from", cite.Choice.Key}
	}
	spread, why := 0.5, "scaled from eight bench motors by KV and mass"
	if !known(mass) {
		mass, spread, why = 0.030, 0.8, "scaled from eight bench motors by KV, a mass of 30 g taken"
	}
	k := 2400 * rpm / kv
	r := 0.12 * k * k * math.Pow(0.030/mass, 5.0/3)
	return Value{r, spread * r, why, cite.ThrustStand.Key}
}

// IdleVoltage is the voltage an idle current without one is taken to be read at.
func IdleVoltage() Value {
	return Value{10, 1.5, "makers read the idle current at about 10 V", cite.Common.Key}
}

// IdleCurrent is the unloaded current at 10 V from KV (rad/s per volt) and
// mass (kg): 1.0 A (KV/251.3)(m/30 g), 35 %.
func IdleCurrent(kv, mass float64) Value {
	if !known(kv) {
		return Value{math.NaN(), math.NaN(), "no KV to scale the idle current from", cite.Choice.Key}
	}
	spread, why := 0.35, "scaled by KV and mass from small outrunners"
	if !known(mass) {
		mass, spread, why = 0.030, 0.6, "scaled by KV, a mass of 30 g taken"
	}
	i := kv / (2400 * rpm) * mass / 0.030
	return Value{i, spread * i, why, cite.Common.Key}
}

// MotorThermal is the heat resistance winding to air (K/W) in the slipstream
// and its spread, from the mass (kg): 4 K/W at 30 g, falling with the surface.
func MotorThermal(mass float64) Value {
	spread, why := 0.25, "4 K/W at 30 g in the slipstream, with the surface"
	if !known(mass) {
		mass, spread, why = 0.030, 0.5, "4 K/W, mass not known"
	}
	r := 4 * math.Pow(0.030/mass, 2.0/3)
	return Value{r, spread * r, why, cite.Common.Key}
}

// WindingLimit is the winding temperature (K) not to be passed.
func WindingLimit() Value {
	return Value{273.15 + 130, 10, "enamel of class B, 130 degC", cite.Common.Key}
}

// MagnetLimit is the magnet temperature (K) not to be passed.
func MagnetLimit() Value {
	return Value{273.15 + 80, 10, "NdFeB of the plain N grades weakens for good above 80 degC", cite.Common.Key}
}

// Chemistry reports whether the chemistry is one of the known names; the empty
// name stands for LiPo.
func Chemistry(name string) (string, bool) {
	if name == "" {
		return LiPo, true
	}
	for _, c := range []string{LiPo, LiHV, LiIon, LiFe} {
		if strings.EqualFold(name, c) {
			return c, true
		}
	}
	return LiPo, false
}

// CellResistance is the direct-current resistance (ohm) of one cell at 25 degC
// and half charge from its capacity (C) and chemistry.
func CellResistance(capacity float64, chemistry string) Value {
	if !known(capacity) {
		return Value{math.NaN(), math.NaN(), "no capacity to scale the resistance from", cite.Choice.Key}
	}
	c, _ := Chemistry(chemistry)
	k, spread, why := 7e-3, 0.35, "7 mohm Ah per cell for high-rate packs"
	switch c {
	case LiIon:
		k, spread, why = 50e-3, 0.35, "50 mohm Ah for round high-drain cells"
	case LiFe:
		k, spread, why = 14e-3, 0.35, "14 mohm Ah for iron phosphate power cells"
	}
	r := k / (capacity / 3600)
	return Value{r, spread * r, why, cite.Common.Key}
}

// Cells is what a charger's readings of each cell (ohm, in series order) say:
// the mean of one, with the doubt of the sum (the charger reads to some 10 %,
// the same at each cell, and what scatters between them over the root of their
// number), and how many times the mean the worst one (its index) has. No
// reading, or one that is no resistance: NaN.
func Cells(ohms []float64) (mean Value, worst int, times float64) {
	n := float64(len(ohms))
	sum, scatter := 0.0, 0.0
	for i, r := range ohms {
		if !known(r) {
			return Value{math.NaN(), math.NaN(), "a reading is no resistance", cite.Choice.Key}, 0, math.NaN()
		}
		sum += r
		if r > ohms[worst] {
			worst = i
		}
	}
	if n == 0 {
		return Value{math.NaN(), math.NaN(), "no cell was read", cite.Choice.Key}, 0, math.NaN()
	}
	m := sum / n
	for _, r := range ohms {
		scatter += (r - m) * (r - m)
	}
	return Value{m, math.Hypot(0.1*m, math.Sqrt(scatter)/n), "mean of the cells read", cite.Common.Key}, worst, ohms[worst] / m
}

// Cutoff is the loaded cell voltage (V) at which one lands.
func Cutoff(chemistry string) Value {
	c, _ := Chemistry(chemistry)
	switch c {
	case LiIon:
		return Value{3.0, 0.1, "loaded cut-off of round cells", cite.Common.Key}
	case LiFe:
		return Value{2.7, 0.1, "loaded cut-off of iron phosphate", cite.Common.Key}
	}
	return Value{3.3, 0.1, "loaded cut-off, never under 3.0 V", cite.Common.Key}
}

// Charge is the share of charge at launch.
func Charge() Value { return Value{0.98, 0.02, "a freshly charged pack", cite.Common.Key} }

// BatteryTemperature is the pack's temperature (K) at launch from that of the
// air: a pack carried in a pocket or box lies between 20 degC and the air.
func BatteryTemperature(air float64) Value {
	if !known(air) {
		return Value{293.15, 6, "20 degC, the air's temperature not known", cite.Choice.Key}
	}
	return Value{0.5*(293.15+air) + 2, 4, "between a warm room and the air", cite.Choice.Key}
}

// ControllerResistance is the total on-resistance (ohm) of a controller's path
// from its current limit (A, 0 when not known): 5 mohm at 40 A.
func ControllerResistance(limit float64) Value {
	if !known(limit) {
		return Value{5e-3, 2e-3, "3 to 6 mohm for 30 to 45 A controllers", cite.Common.Key}
	}
	r := 5e-3 * 40 / limit
	return Value{r, 0.4 * r, "5 mohm at 40 A, smaller for larger ones", cite.Common.Key}
}

// WireResistance is the resistance (ohm per metre) of stranded copper wire of
// the gauge (AWG) at 20 degC: solid wire by ASTM B258 and IEC 60028, 4 % more
// for stranding. Outside AWG 0 to 40: NaN.
func WireResistance(gauge int) Value {
	s := SolidWire(gauge)
	return Value{1.04 * s, 0.012 * s, "gauge and copper standards, stranded 2 to 6 % more", cite.ASTMB258.Key}
}

// SolidWire is the resistance (ohm per metre) at 20 degC of solid round copper
// wire of 100 % IACS. Outside AWG 0 to 40: NaN.
func SolidWire(gauge int) float64 {
	d, ok := WireDiameter(gauge)
	if !ok {
		return math.NaN()
	}
	return 1.7241e-8 / (math.Pi / 4 * d * d)
}

// WireDiameter is the conductor's diameter (m): 0.127 mm 92^((36-n)/39).
func WireDiameter(gauge int) (float64, bool) {
	if gauge < 0 || gauge > 40 {
		return math.NaN(), false
	}
	return 0.127e-3 * math.Pow(92, float64(36-gauge)/39), true
}

// WireLimit is the steady current (A) of a silicone lead of this gauge for a
// 60 K rise in still air: 9 A per mm^2 at AWG 14, thinner wire bears more.
func WireLimit(gauge int) Value {
	d, ok := WireDiameter(gauge)
	if !ok {
		return Value{math.NaN(), math.NaN(), "no such gauge", cite.Choice.Key}
	}
	i := 50 * math.Pow(d/1.6277e-3, 1.5)
	return Value{i, 0.2 * i, "50 A for AWG 14 silicone lead, with d^1.5", cite.Common.Key}
}

// PropellerMass is the mass (kg) from diameter (m), blades and style: 3.5 g for
// a two-bladed moulded 5-inch one, with the power 2.6 of the diameter.
func PropellerMass(diameter float64, blades int, style string) Value {
	if !known(diameter) || blades < 1 {
		return Value{math.NaN(), math.NaN(), "no diameter", cite.Choice.Key}
	}
	k := 1.0
	switch style {
	case "thin":
		k = 0.9
	case "slow":
		k = 0.7
	case "folding":
		k = 1.3
	}
	m := 3.5e-3 * k * math.Pow(diameter/0.127, 2.6) * (0.3 + 0.35*float64(blades))
	return Value{m, 0.25 * m, "scaled from a two-bladed moulded 5-inch propeller", cite.Common.Key}
}

// Knowledge is what is known of a propeller, from least to most.
type Knowledge int

// What may be known of a propeller.
const (
	Sized  Knowledge = iota // diameter x pitch and style
	Drawn                   // chord and angle of its blades
	Tied                    // the blades, and the advance ratio at which they stop pulling
	Tabled                  // measured coefficients
)

// PropellerSpread is what a propeller's computed values miss by: one standard
// deviation, relative, of thrust, torque and the advance ratio of zero thrust
// (its pitch in effect); absolute of the efficiency, for thrust and power err
// together.
type PropellerSpread struct{ Thrust, Torque, Advance, Efficiency Value }

// PropellerDoubt is the spread by what is known. With it 90 % intervals hold
// 92, 90 and 92 % of thrust, power and efficiency of eleven measured blades
// from their geometry, 91, 90 and 92 % with the zero-thrust point given
// (power.TestPropellerIntervals).
func PropellerDoubt(k Knowledge) PropellerSpread {
	const blades, sized, tables = "blade elements with generic sections, against eleven measured blades", "only diameter and pitch known: scatter over thirteen measured propellers", "spread of measured tables"
	v := func(sigma float64, why, key string) Value { return Value{1, sigma, why, key} }
	switch k {
	case Tabled:
		key := cite.BrandtSelig2011.Key
		return PropellerSpread{v(0.03, tables, key), v(0.04, tables, key), v(0.015, tables, key), v(0.02, tables, key)}
	case Tied:
		key := cite.DetersSelig2014.Key
		return PropellerSpread{v(0.07, blades, key), v(0.09, blades, key), v(0.015, "read at zero thrust", key), v(0.03, blades, key)}
	case Drawn:
		key := cite.DetersSelig2014.Key
		return PropellerSpread{v(0.10, blades, key), v(0.11, blades, key), v(0.045, "angle of zero lift of the sections not known to better than 1 deg", key), v(0.03, blades, key)}
	}
	key := cite.ThrustStand.Key
	return PropellerSpread{v(0.13, sized, key), v(0.15, sized, key), v(0.05, "only diameter and pitch known", cite.DetersSelig2014.Key), v(0.05, sized, key)}
}

// Together is the correlation of the errors of thrust and torque: that which
// leaves the efficiency, their ratio, as doubtful as the spread says, at an
// efficiency of 0.65, about what small propellers fly at.
// Drawn apart they would make propellers better than momentum allows. It is
// for flight: at rest, where blades stall, the two err apart, and bench rows
// are fitted without it (with it eight measured motors come out worse).
func (s PropellerSpread) Together() float64 {
	t, q, e := s.Thrust.Sigma, s.Torque.Sigma, s.Efficiency.Sigma/0.65
	if !(t > 0 && q > 0) {
		return 0
	}
	return math.Max(-0.99, math.Min((t*t+q*q-e*e)/(2*t*q), 0.99))
}

// At is the spread of a propeller of this pitch over diameter (nominal, or by
// the blade's angle at three quarters of the radius). What is not known is an
// angle of the blade, 0.8 deg for three quarters of a diameter of pitch; on a
// flatter blade it is more of the advance ratio of zero thrust: d ln J =
// dphi/(sin phi cos phi). Zero and what is no number leave it as it is, and so
// does a steeper blade.
func (s PropellerSpread) At(pitch float64) PropellerSpread {
	if !known(pitch) {
		return s
	}
	const flow = 2.5 * math.Pi / 180 // the zero-thrust inflow is so much steeper than the helix
	lever := func(p float64) float64 { return 1 / math.Sin(2*(math.Atan(p/(0.75*math.Pi))+flow)) }
	s.Advance.Sigma *= math.Max(lever(pitch)/lever(0.75), 1)
	return s
}
