package wing

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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
