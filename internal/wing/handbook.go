package wing

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Helmbold returns the lift slope per radian of an elliptic wing of the
// given aspect ratio, 2 pi A/(2 + sqrt(A²+4)). Helmbold (1942).
func Helmbold(aspect float64) float64 { return 2 * math.Pi * aspect / (2 + math.Hypot(aspect, 2)) }

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

// DownwashSlope is d(epsilon)/d(alpha) at a tail by the handbook formula
// 4.44 (KA Kl KH sqrt(cos L25))^1.19: height and distance of the tail over
// the wing's span. Accuracy: 10 % against a lattice with the tail in place.
func DownwashSlope(aspect, taper, sweep, height, distance float64) float64 {
	ka := 1/aspect - 1/(1+math.Pow(aspect, 1.7))
	kl := (10 - 3*taper) / 7
	kh := (1 - math.Abs(height)) / math.Cbrt(2*distance)
	return 4.44 * math.Pow(ka*kl*kh*math.Sqrt(math.Cos(sweep)), 1.19)
}

// FlapSection is thin-section theory of a plain flap of chord share e (0 to
// 1): per radian, trailing edge down and nose up positive, hinge moments on
// the flap chord squared. Glauert, ARC R&M 1095.
type FlapSection struct {
	Effect                 float64 // angle of attack worth a radian of flap
	Lift, Moment           float64 // cl and cm about the quarter chord per radian
	HingeAlpha, HingeDelta float64
}

// ThinFlap evaluates [FlapSection]; closed forms. Panics when e is outside
// (0, 1].
func ThinFlap(e float64) FlapSection {
	if !(e > 0 && e <= 1) {
		panic("wing: flap chord share outside 0 to 1")
	}
	th := math.Acos(2*e - 1)
	s, c := math.Sin(th), math.Cos(th)
	f := FlapSection{
		Effect: 1 - (th-s)/math.Pi,
		Lift:   2 * (math.Pi - th + s),
		Moment: -0.5 * s * (1 - c),
	}
	// Moment about the hinge of dCp integrated from th to pi, x = (1-cos t)/2.
	// For alpha: dCp dx = 2 alpha (1+cos t) dt, arm (c - cos t)/2.
	p := math.Pi - th
	intCos := -s              // of cos t from th to pi
	intCos2 := p/2 - s*c/2    // of cos² t
	arm := c*p + (c-1)*intCos // of (1+cos t)(c-cos t), less the square
	f.HingeAlpha = -(arm - intCos2) / (e * e)
	// The logarithm's part, by parts: (1/pi)(s/2)(c (pi-th) + s).
	f.HingeDelta = -(p*(arm-intCos2) + s/2*(c*p+s)) / (math.Pi * e * e)
	return f
}

// Washout is the total (aerodynamic) twist, washout positive, rad, that trims
// a swept tailless wing: static margin, lift coefficient, section moments at
// root and tip, sweep in radians. Closed form of Panknin (1989), within 8 %
// of a lattice.
func Washout(aspect, taper, sweep, margin, lift, cmRoot, cmTip float64) float64 {
	k1 := (3 + 2*taper + taper*taper) / (4 * (1 + taper + taper*taper))
	deg := (k1*cmRoot + (1-k1)*cmTip - margin*lift) / (1.4e-5 * math.Pow(aspect, 1.43) * sweep * 180 / math.Pi)
	return -deg * math.Pi / 180
}

// flapScale is what a flap's slope must be multiplied by so that the given
// chordwise panels, in two dimensions, give the lift of thin-section theory:
// the load has a logarithmic peak at the hinge that even panels miss (3 % of
// the lift at eight panels).
func flapScale(edges []float64, share float64) float64 {
	n := len(edges) - 1
	a := mat.NewDense(n, n, nil)
	b := mat.NewDense(n, 1, nil)
	for i := range n {
		x := edges[i] + 0.75*(edges[i+1]-edges[i])
		for j := range n {
			v := edges[j] + 0.25*(edges[j+1]-edges[j])
			a.Set(i, j, 1/(2*math.Pi*(x-v)))
		}
		if (edges[i]+edges[i+1])/2 > 1-share {
			b.Set(i, 0, 1)
		}
	}
	var g mat.Dense
	if err := g.Solve(a, b); err != nil {
		return 1
	}
	sum := 0.0
	for i := range n {
		sum += g.At(i, 0)
	}
	return ThinFlap(share).Lift / (2 * sum)
}
