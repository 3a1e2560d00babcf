package launch

import "math"

// ThrowMassExponent is the exponent of thrown mass in the speed of an overarm
// throw: over a factor of 60 in mass the speed falls by 2.4 (Cross 2004):
// -ln 2.4/ln 60.
const ThrowMassExponent = -0.21382

// CarefulThrow is the speed, m/s, of a careful, level throw of a model of the
// given mass, kg, and its standard deviation from throw to throw: 8 m/s ± 1.5
// at 0.6 kg (our assumption, reference flight 3.5), truncated to 4-13 m/s.
func CarefulThrow(mass float64) (speed, sigma float64) {
	k := ThrowFactor(mass, 0.6)
	return math.Max(4, math.Min(13, 8*k)), 1.5 * k
}

// ThrowFactor is the speed of a throw of mass over one of the mass ref.
func ThrowFactor(mass, ref float64) float64 { return math.Pow(mass/ref, ThrowMassExponent) }
