package wing

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Helmbold returns the lift slope per radian of an elliptic wing of the
// given aspect ratio, 2 pi A/(2 + sqrt(A²+4)). Helmbold (1942).
func Helmbold(aspect float64) float64 { return 2 * math.Pi * aspect / (2 + math.Hypot(aspect, 2)) }

// LiftingLine solves Prandtl's equation by a Fourier series of n terms, even
// and odd, collocated at n points: aspect ratio, taper, section slope a0 per
// radian. Glauert, The Elements of Aerofoil and Airscrew Theory, ch. XI.
func LiftingLine(aspect, taper, a0 float64, n int) Line {
	m := mat.NewDense(n, n, nil)
	rhs := mat.NewDense(n, 2, nil)
	// mu = c a0/(4 b), on the whole span; points in (0, pi).
	for i := range n {
		t := math.Pi * (float64(i) + 0.5) / float64(n)
		y := math.Abs(math.Cos(t))
		mu := 2 / (aspect * (1 + taper)) * (1 - (1-taper)*y) * a0 / 4
		for j := range n {
			k := float64(j + 1)
			m.Set(i, j, math.Sin(k*t)*(mu*k+math.Sin(t)))
		}
		rhs.Set(i, 0, mu*math.Sin(t))
		rhs.Set(i, 1, mu*math.Sin(t)*math.Cos(t))
	}
	var x mat.Dense
	if err := x.Solve(m, rhs); err != nil {
		return Line{math.NaN(), math.NaN(), math.NaN(), math.NaN()}
	}
	a1 := x.At(0, 0)
	d := 0.0
	for j := 1; j < n; j++ {
		r := x.At(j, 0) / a1
		d += float64(j+1) * r * r
	}
	out := Line{LiftSlope: math.Pi * aspect * a1, Delta: d}
	out.Tau = (a0/out.LiftSlope-1)*math.Pi*aspect/a0 - 1
	// Local angle -p y/V = -(pb/2V) cos t here: Cl = -(pi A/4) A2.
	out.RollDamp = -math.Pi * aspect / 4 * x.At(1, 1)
	return out
}

// GroundWieselsberger is induced drag near the ground over that in free air
// at equal lift: 1 - (1-1.32 h/b)/(1.05+7.4 h/b), for 1/15 < h/b < 1/2;
// NaN outside. NACA TM 77.
func GroundWieselsberger(h float64) float64 {
	if !(h > 1./15 && h < 0.5) {
		return math.NaN()
	}
	return 1 - (1-1.32*h)/(1.05+7.4*h)
}

// GroundFactor is induced drag near the ground over that in free air at
// equal lift, 1 - exp(-2.48 (2h/b)^0.768), h/b the height of the quarter
// chord over the span, any positive; within 2 % of an image lattice from 0.05
// to 1. Quoted by Torenbeek.
func GroundFactor(h float64) float64 { return 1 - math.Exp(-2.48*math.Pow(2*h, 0.768)) }

// Washout is the total (aerodynamic) twist, washout positive, rad, that trims
// a swept tailless wing: static margin, lift coefficient, section moments at
// root and tip, sweep in radians. Closed form of Panknin (1989), within 8 %
// of a lattice.
func Washout(aspect, taper, sweep, margin, lift, cmRoot, cmTip float64) float64 {
	k1 := (3 + 2*taper + taper*taper) / (4 * (1 + taper + taper*taper))
	deg := (k1*cmRoot + (1-k1)*cmTip - margin*lift) / (1.4e-5 * math.Pow(aspect, 1.43) * sweep * 180 / math.Pi)
	return -deg * math.Pi / 180
}

// Polhamus returns the lift slope per radian of a swept tapered wing at low
// speed: 2 pi A/(2 + sqrt((A/k)²(1+tan²L50) + 4)), k the section's lift slope
// over 2 pi, sweep at the quarter chord in radians. It runs 1-8 % above a
// converged lattice. NACA TN 3911.
func Polhamus(aspect, taper, sweep, k float64) float64 {
	half := math.Tan(sweep) - (4/aspect)*0.25*(1-taper)/(1+taper)
	return 2 * math.Pi * aspect / (2 + math.Sqrt(aspect*aspect/(k*k)*(1+half*half)+4))
}

// Line is the classical lifting line of a straight tapered wing.
type Line struct {
	LiftSlope  float64 // per rad
	Delta, Tau float64 // CDi = CL²(1+delta)/(pi A); CLalpha = a0/(1+(a0/(pi A))(1+tau))
	RollDamp   float64 // Cl per pb/2V
}
