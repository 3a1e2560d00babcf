package radio

import (
	"math"
	"math/cmplx"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Mismatch is the share of power that a receiver with field r takes of a wave
// with field e, of what two matched ones would exchange: 1 none lost. Both are
// fields as sent, e towards the receiver, r back along the same line.
func Mismatch(e, r *Field) float64 {
	dot := e[0]*r[0] + e[1]*r[1] + e[2]*r[2]
	a := cmplx.Abs(dot)
	return a * a / (e.Power() * r.Power())
}

// Helix is the gain (dBi, by Kraus and as measured since) and the half-power
// beamwidth (rad) of an axial helix of n turns, circumference c and spacing s
// in wavelengths: 15 c² n s, about 12 c² n s measured, 52/(c sqrt(n s)) degrees.
// Valid for 3/4 < c < 4/3 and pitch angles of 12 to 14 degrees; 1.5 dB.
func Helix(n int, c, s float64) (kraus, measured, width float64) {
	x := c * c * float64(n) * s
	return 10 * math.Log10(15*x), 10 * math.Log10(12*x), 52 / math.Sqrt(x) * math.Pi / 180
}

// BeamGain is the directivity (dBi) of a beam with half-power widths a and b
// (rad), by Tai and Pereira: 32 ln 2/(a² + b²). The bound 41253/(a b) in
// square degrees is 0.5 dB higher.
func BeamGain(a, b float64) float64 { return 10 * math.Log10(32*math.Ln2/(a*a+b*b)) }

// Reflect gives the Fresnel coefficients of the ground for waves polarised
// along the ground (h) and in the plane of incidence (v), at grazing angle psi
// (rad) and frequency f. Source: textbook; ground after ITU-R P.527.
func (g *Ground) Reflect(f, psi float64) (h, v complex128) {
	return g.reflect(f, math.Sin(psi))
}

// Smooth is the share of the reflected amplitude that stays coherent over the
// ground's roughness: exp(-2 (k rough sin psi)²). Source: Ament (1953). The
// rest arrives scattered, in no fixed phase: it is what fills nulls in the field.
func (g *Ground) Smooth(f, psi float64) float64 { return g.smooth(f, math.Sin(psi)) }

// TwoRay is the loss (dB) between isotropic antennas at heights h1 and h2, d
// apart over ground that reflects with coefficient gamma:
// -20 log10(lambda/4 pi |e^(-jks1)/s1 + gamma e^(-jks2)/s2|).
func TwoRay(f, d, h1, h2 float64, gamma complex128) float64 {
	s1, s2 := math.Hypot(d, h1-h2), math.Hypot(d, h1+h2)
	k := 2 * math.Pi / Wavelength(f)
	// The phase of the difference alone: s1 and s2 are nearly equal.
	diff := 4 * h1 * h2 / (s1 + s2)
	sum := complex(1/s1, 0) + gamma*cmplx.Exp(complex(0, -k*diff))*complex(1/s2, 0)
	return -20 * math.Log10(Wavelength(f)/(4*math.Pi)*cmplx.Abs(sum))
}

// Crossover is the distance from which the loss grows with the fourth power
// of the distance: 4 pi h1 h2/lambda.
func Crossover(f, h1, h2 float64) float64 { return 4 * math.Pi * h1 * h2 / Wavelength(f) }

// Wood is the loss (dB) d metres into a wood that saturates at most dB and
// begins with rate dB/m: most (1 - exp(-d rate/most)). Source: ITU-R P.833.
func Wood(d, rate, most float64) float64 { return most * (1 - math.Exp(-d*rate/most)) }

// Noise is the thermal noise (dBm) of a bandwidth b (Hz) at 290 K: kTB.
func Noise(b float64) float64 { return DBm(Boltzmann * 290 * b) }

// Threshold is the weakest usable level (dBm) of a receiver: noise of its
// bandwidth, its noise figure (dB) and the ratio of signal to noise it needs.
func Threshold(b, figure, ratio float64) float64 { return Noise(b) + figure + ratio }

// Watt is the power of a level in dBm.
func Watt(dbm float64) float64 { return math.Pow(10, (dbm-30)/10) }

// EIRP is the power (W) that makes a field e (V/m) at distance d: (e d)²/30.
func EIRP(e, d float64) float64 { return e * d * e * d / 30 }
