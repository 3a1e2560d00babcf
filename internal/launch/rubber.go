package launch

import "math"

// Rubber is an incompressible hyperelastic material of the form of Ogden
// (1972) in plain tension to the stretch l = length/unstretched length:
//
//	P(l) = sum Mu_i (l^(Alpha_i - 1) - l^(-Alpha_i/2 - 1))          nominal stress, Pa
//	W(l) = sum Mu_i/Alpha_i (l^Alpha_i + 2 l^(-Alpha_i/2) - 3)      energy, J/m³
//
// Mooney-Rivlin and neo-Hookean rubber are the exponents 2 and -2.
type Rubber struct{ Mu, Alpha [3]float64 }

// NaturalRubber is Ogden's fit of Treloar's vulcanised natural rubber
// (recalled from the paper; it reproduces Treloar's measurements within 12 %
// up to a stretch of 2.2 and 6 % from 2.4 to 6.9, see the tests).
var NaturalRubber = Rubber{
	Mu:    [3]float64{6.3 * 98066.5, 0.012 * 98066.5, -0.1 * 98066.5},
	Alpha: [3]float64{1.3, 5, -2},
}

// Mooney is the Mooney-Rivlin rubber P = 2 (l - l^-2)(c1 + c2/l), Pa.
func Mooney(c1, c2 float64) Rubber {
	return Rubber{Mu: [3]float64{2 * c1, -2 * c2, 0}, Alpha: [3]float64{2, -2, 1}}
}

// workingRubber gives the shape of a pull curve between and beyond the
// readings of a pull test: our Mooney-Rivlin fit of Treloar's data for
// stretches up to 3.1 (rms 0.0135 MPa). Only its shape matters.
var workingRubber = Mooney(0.11999e6, 0.07604e6)

const (
	// RubberDensity of natural rubber, kg/m³.
	RubberDensity = 930
	// Crystallisation is the stretch at which natural rubber begins to
	// crystallise, stiffens and loses energy on its return (Hiraiwa 2023).
	Crystallisation = 5.2
	// WorkingStretch is the largest stretch we call good practice.
	WorkingStretch = 4.0
	// BreakingStretch is where Treloar's measurements end.
	BreakingStretch = 7.6
)

// Stress is P(l), Pa, and its slope dP/dl, Pa; l > 0.
func (r *Rubber) Stress(l float64) (p, slope float64) {
	for i, mu := range r.Mu {
		if mu == 0 {
			continue
		}
		a := r.Alpha[i]
		u, v := mu*math.Pow(l, a-1), mu*math.Pow(l, -a/2-1)
		p += u - v
		slope += ((a-1)*u + (a/2+1)*v) / l
	}
	return
}

// Energy is W(l), J/m³; l > 0.
func (r *Rubber) Energy(l float64) float64 {
	w := 0.0
	for i, mu := range r.Mu {
		if mu == 0 {
			continue
		}
		a := r.Alpha[i]
		w += mu / a * (math.Pow(l, a) + 2*math.Pow(l, -a/2) - 3)
	}
	return w
}

// Warmth is the factor on the pull of rubber at temperature T against that
// at reference temperature Tref, both K: rubber elasticity is entropic, its
// modulus goes with absolute temperature (3.4 % for 10 K). It does not hold
// near the glass transition (below about 240 K).
func Warmth(T, Tref float64) float64 { return T / Tref }
