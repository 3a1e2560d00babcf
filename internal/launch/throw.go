package launch

import "math"

// ThrowMassExponent is the exponent of thrown mass in the speed of an overarm
// throw: over a factor of 60 in mass the speed falls by 2.4 (Cross 2004):
// -ln 2.4/ln 60.
const ThrowMassExponent = -0.21382

// ThrowFactor is the speed of a throw of mass over one of the mass ref.
func ThrowFactor(mass, ref float64) float64 { return math.Pow(mass/ref, ThrowMassExponent) }
