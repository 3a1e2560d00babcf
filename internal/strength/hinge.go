package strength

import "math"

// Flap is the thin-section theory of a plain flap, per radian, trailing edge
// down and nose up positive.
type Flap struct {
	HingeAlpha, HingeDelta float64 // hinge-moment slopes on flap chord squared
	Tau                    float64 // effectiveness: change of zero-lift angle per deflection
	Lift                   float64 // lift slope with deflection
	Moment                 float64 // moment slope about the quarter chord
}

// ThinFlap gives the thin-section values for a flap of share e of the chord,
// 0 < e <= 1. All NaN outside that. Closed form (steady part of NACA TR-496,
// equal to Glauert, R&M 1095); exact for a thin section in inviscid flow.
// Hinge moments of real flaps are 0.5 to 1.0 of these.
func ThinFlap(e float64) Flap {
	nan := math.NaN()
	if !(e > 0) || e > 1 {
		return Flap{nan, nan, nan, nan, nan}
	}
	c := 1 - 2*e
	t := newTheodorsen(c, 0)
	chord := (1 - c) * (1 - c)
	th := math.Acos(2*e - 1) // from the leading edge
	sin, cos := math.Sincos(th)
	return Flap{
		HingeAlpha: -2 * t.t12 / chord,
		HingeDelta: -2 / math.Pi * (t.t5 - t.t4*t.t10 + t.t12*t.t10) / chord,
		Tau:        1 - (th-sin)/math.Pi,
		Lift:       2 * (math.Pi - th + sin),
		Moment:     -0.5 * sin * (1 - cos),
	}
}

// HingeFactor is the measured share of thin-section hinge moments by chord
// Reynolds number: mean and standard deviation. 0.75 ± 0.1 attached above 1e6
// and a band of 0.5 to 1.0 below 3e5 (NACA TR-721 and WR L-663, recalled),
// joined by a straight line in the logarithm.
func HingeFactor(re float64) (mean, sigma float64) {
	s := (math.Log(math.Max(re, 1)) - math.Log(3e5)) / (math.Log(1e6) - math.Log(3e5))
	s = math.Max(0, math.Min(1, s))
	return 0.75, 0.15 + s*(0.1-0.15)
}
