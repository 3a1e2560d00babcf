// Package radio computes link budgets: what arrives over real ground, past
// edges and trees, with the patterns and the polarisation that the aeroplane's
// attitude of the moment gives its antenna, and what margin that leaves over
// the receiver's threshold along a path.
//
// SI inside: m, Hz, W, rad; levels in dBm (dB over 1 mW), gains in dBi (dB over
// an isotropic antenna), losses in dB, positive. The law of power, band and
// licence is no business of this room: local law decides.
//
// Accuracy: the closed forms hold to the last digit printed in their sources;
// a link in the field is known to some 3 to 6 dB, and [Link] carries that doubt.
package radio

import (
	"math"
	"math/cmplx"
)

// Constants of nature (CODATA 2018, exact) and the permittivity of vacuum.
const (
	C         = 299792458.0      // m/s
	Boltzmann = 1.380649e-23     // J/K
	Epsilon0  = 8.8541878128e-12 // F/m
)

// Wavelength of a frequency, m.
func Wavelength(f float64) float64 { return C / f }

// FreeSpace is the loss (dB) between isotropic antennas d apart:
// 20 log10(4 pi d f/c). 6.02 dB for twice the distance. Source: ITU-R P.525.
func FreeSpace(f, d float64) float64 { return 20 * math.Log10(4*math.Pi*d*f/C) }

// FreeRange is the distance (m) at which the free-space loss is l dB.
func FreeRange(f, l float64) float64 { return C / (4 * math.Pi * f) * math.Pow(10, l/20) }

// Fresnel is the radius (m) of the n-th Fresnel zone at d1 from one end and
// d2 from the other: sqrt(n lambda d1 d2/(d1+d2)). Source: ITU-R P.526, 2.1.
func Fresnel(f float64, n int, d1, d2 float64) float64 {
	return math.Sqrt(float64(n) * Wavelength(f) * d1 * d2 / (d1 + d2))
}

// EdgeNumber is the diffraction parameter of an edge that stands h above the
// line (negative: below), d1 from one end and d2 from the other:
// h sqrt(2 (d1+d2)/(lambda d1 d2)). Source: ITU-R P.526, 4.1.
func EdgeNumber(f, h, d1, d2 float64) float64 {
	return h * math.Sqrt(2*(d1+d2)/(Wavelength(f)*d1*d2))
}

// KnifeEdge is the loss (dB) behind a knife edge of number nu,
// 6.9 + 20 log10(sqrt((nu-0.1)²+1) + nu - 0.1) for nu > -0.78, else 0: within
// 0.15 dB of the Fresnel integrals. Source: ITU-R P.526, 4.1. A real hedge or
// bank: 3 to 6 dB.
func KnifeEdge(nu float64) float64 {
	if !(nu > -0.78) {
		return 0
	}
	x := nu - 0.1
	return math.Max(0, 6.9+20*math.Log10(math.Sqrt(x*x+1)+x))
}

// Ground is how a surface reflects: relative permittivity, conductivity (S/m)
// and the rms height of its roughness (m).
type Ground struct {
	Permittivity, Conductivity, Rough float64
	Why                               string
}

// grounds are middle values of wide ranges (ITU-R P.527 curves and Picquenard:
// soil 4 to 20 and 0.001 to 0.01 S/m by moisture); the roughness is the
// unevenness over one Fresnel zone, common practice.
var grounds = map[string]Ground{
	"short grass": {15, 0.005, 0.03, "medium dry soil under mown grass"},
	"long grass":  {15, 0.005, 0.10, "medium dry soil under long grass"},
	"crop":        {15, 0.005, 0.20, "medium dry soil under a crop"},
	"concrete":    {6, 0.005, 0.003, "dry concrete"},
	"dirt":        {8, 0.002, 0.03, "dry soil"},
	"sand":        {4, 0.001, 0.02, "dry sand"},
	"snow":        {2, 0.0001, 0.03, "dry snow"},
	"water":       {80, 0.05, 0.02, "fresh water with ripples"},
}

// GroundOf is the ground of a surface word of the build; one not known counts
// as short grass.
func GroundOf(surface string) Ground {
	if g, ok := grounds[surface]; ok {
		return g
	}
	return grounds["short grass"]
}

func (g *Ground) reflect(f, s float64) (h, v complex128) {
	eta := complex(g.Permittivity, -g.Conductivity/(2*math.Pi*f*Epsilon0))
	root := cmplx.Sqrt(eta - complex(1-s*s, 0))
	sin := complex(s, 0)
	return (sin - root) / (sin + root), (eta*sin - root) / (eta*sin + root)
}

func (g *Ground) smooth(f, s float64) float64 {
	x := 2 * math.Pi / Wavelength(f) * g.Rough * s
	return math.Exp(-2 * x * x)
}

// TwoRayNull is the ground distance (m) of the n-th null over ground that
// reflects with -1, counted from afar: path difference n lambda. With
// n = m - 1/2 it is that of a maximum. ok is false where there is none so high.
func TwoRayNull(f, h1, h2, n float64) (d float64, ok bool) {
	delta := n * Wavelength(f)
	s := (4*h1*h2/delta - delta) / 2
	d2 := s*s - (h1-h2)*(h1-h2)
	return math.Sqrt(d2), s > 0 && d2 > 0
}

// Foliage gives the loss (dB) through d metres of leaves by two empirical
// forms that differ by 2 to 6 dB: show both. Weissberger 1.33 f^0.284 d^0.588
// (f in GHz, 0.45 f^0.284 d below 14 m) and early CCIR 0.2 f^0.3 d^0.6 (MHz).
// Valid 0.2 to 95 GHz and to 400 m.
func Foliage(f, d float64) (low, high float64) {
	if !(d > 0) {
		return 0, 0
	}
	ghz := f / 1e9
	w := 1.33 * math.Pow(ghz, 0.284) * math.Pow(d, 0.588)
	if d < 14 {
		w = 0.45 * math.Pow(ghz, 0.284) * d
	}
	c := 0.2 * math.Pow(f/1e6, 0.3) * math.Pow(d, 0.6)
	return math.Min(w, c), math.Max(w, c)
}

// DBm is a power (W) in dB over 1 mW; Watt its inverse.
func DBm(w float64) float64 { return 10*math.Log10(w) + 30 }
