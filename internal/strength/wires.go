package strength

import "math"

// Copper's properties: resistivity of annealed copper at 20 °C (IEC 60028),
// its temperature coefficient, and heat capacity by volume.
const (
	copperResistivity = 1.7241e-8
	copperPerKelvin   = 0.00393
	copperHeat        = 3.45e6
)

// WireDiameter is the diameter, m, of a solid wire of an American gauge:
// 0.127 mm · 92^((36-n)/39) (ASTM B258). 0, -1, -2, -3 are 1/0 to 4/0.
func WireDiameter(awg int) float64 { return 0.127e-3 * math.Pow(92, float64(36-awg)/39) }

// WireArea is its cross section, m².
func WireArea(awg int) float64 { d := WireDiameter(awg); return math.Pi * d * d / 4 }

// WireResistance is the resistance per metre, Ω/m, of solid annealed copper
// at a temperature (K). Stranded tinned wire may have up to 28 % more.
func WireResistance(awg int, temperature float64) float64 {
	return copperResistivity / WireArea(awg) * (1 + copperPerKelvin*(temperature-293.15))
}

// AdiabaticRise is how fast a wire heats at first, K/s, with no cooling.
func AdiabaticRise(awg int, current float64) float64 {
	j := current / WireArea(awg)
	return j * j * copperResistivity / copperHeat
}

// WireRise is the steady temperature rise, K, of one level wire in still
// air, in silicone insulation of 0.6 mm wall: I²R, with the copper's rising
// resistance, against natural convection (Morgan's correlation for a thin
// cylinder) and radiation (emissivity 0.9); the insulation's own drop is
// left out. ±25 %; +Inf above 1000 K. Steady state takes a minute or two: a
// short burst starts with [AdiabaticRise].
func WireRise(awg int, current, ambient float64) float64 {
	const wall, top = 0.6e-3, 1000.0
	d := WireDiameter(awg) + 2*wall
	heat := current * current
	cool := func(rise float64) float64 { // W/m
		film := ambient + rise/2
		nu, k := 1.59e-5*math.Pow(film/300, 1.7), 0.0263*math.Pow(film/300, 0.8)
		ra := 0.71 * gravity / film * rise * d * d * d / (nu * nu)
		c, n := 1.02, 0.148 // Ra 0.01 to 100
		switch {
		case ra < 1e-2:
			c, n = 0.675, 0.058
		case ra > 1e4:
			c, n = 0.480, 0.250
		case ra > 1e2:
			c, n = 0.850, 0.188
		}
		hot := ambient + rise
		radiate := 0.9 * 5.670374e-8 * (hot*hot*hot*hot - ambient*ambient*ambient*ambient)
		return math.Pi * (c*math.Pow(ra, n)*k*rise + d*radiate)
	}
	over := func(rise float64) bool { return heat*WireResistance(awg, ambient+rise) > cool(rise) }
	if !(heat > 0) {
		return 0
	}
	if over(top) {
		return math.Inf(1)
	}
	lo, hi := 0.0, top
	for range 60 {
		if m := (lo + hi) / 2; over(m) {
			lo = m
		} else {
			hi = m
		}
	}
	return hi
}

// Ampacity is one row of the aircraft wire table: continuous current in a
// bundle of 33 or more at 70 °C and 60 000 ft, and the largest resistance.
type Ampacity struct {
	AWG              int
	A105, A150, A200 float64 // by the wire's temperature class, A
	Ohm1000ft        float64 // at 20 °C
}

// Ampacities is AC 43.13-1B, table 11-9: a floor for bundled wires.
var Ampacities = []Ampacity{
	{24, 2.5, 4, 5, 28.40},
	{22, 3, 5, 6, 16.20},
	{20, 4, 7, 9, 9.88},
	{18, 6, 9, 12, 6.23},
	{16, 7, 11, 14, 4.81},
	{14, 10, 14, 18, 3.06},
	{12, 13, 19, 25, 2.02},
	{10, 17, 26, 32, 1.26},
}

// FreeAir is the current, A, of a single wire in free air by MIL-W-5088B;
// NaN for a gauge that is not in its table.
func FreeAir(awg int) float64 {
	switch awg {
	case 22:
		return 5
	case 20:
		return 8.33
	case 18:
		return 15.4
	case 14:
		return 31.2
	case 12:
		return 40
	case 10:
		return 55
	case 8:
		return 75
	}
	return math.NaN()
}

// Drop is resistance (Ω), voltage drop (V) and heat (W) of a lead of the
// one-way length (m), there and back, at a current and copper temperature.
func Drop(awg int, length, current, temperature float64) (r, v, w float64) {
	r = WireResistance(awg, temperature) * 2 * length
	return r, r * current, r * current * current
}

// Onderdonk is the current, A, that melts copper of an area (m²) in t
// seconds from an ambient temperature (K), without cooling: good below about
// 10 s.
func Onderdonk(area, t, ambient float64) float64 {
	const cmil = math.Pi / 4 * 0.0254e-3 * 0.0254e-3
	ta := ambient - 273.15
	return area / cmil * math.Sqrt(math.Log10(1+(1083-ta)/(234+ta))/(33*t))
}

// Consumer is one thing on the receiver's supply.
type Consumer struct {
	Name       string
	Count      int
	Mean, Peak float64 // A, of one
}

// Budget sums mean and peak currents; the peak counts every consumer's peak
// at once.
func Budget(list []Consumer) (mean, peak float64) {
	for _, c := range list {
		mean += float64(c.Count) * c.Mean
		peak += float64(c.Count) * math.Max(c.Mean, c.Peak)
	}
	return mean, peak
}
