package control

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// FourBar is a plane four-bar linkage in the textbook's frame: the ground
// link D runs along +x from the crank's pivot to the rocker's, crank A,
// coupler B, rocker C; lengths positive, any one unit.
type FourBar struct{ A, B, C, D float64 }

// Bars is one position of a four-bar linkage.
type Bars struct {
	Coupler, Rocker float64 // angles from +x, rad, in (-π, π]
	Ratio           float64 // rocker rate over crank rate
	Transmission    float64 // angle between coupler and rocker folded to 0..π/2
}

// At returns both ways of assembling the linkage at a crank angle t2 (from
// +x, counter-clockwise): open, then crossed. The status is Open when it
// cannot be assembled there, Bad when a length is not positive.
//
// Formula: Freudenstein's equation by half angles, as in Norton, Design of
// Machinery; exact.
func (f FourBar) At(t2 float64) (open, crossed Bars, s Status) {
	if !(f.A > 0) || !(f.B > 0) || !(f.C > 0) || !(f.D > 0) || math.IsInf(f.A+f.B+f.C+f.D, 0) || math.IsNaN(t2) {
		return Bars{}, Bars{}, Bad
	}
	k1, k2 := f.D/f.A, f.D/f.C
	k3 := (f.A*f.A - f.B*f.B + f.C*f.C + f.D*f.D) / (2 * f.A * f.C)
	sin, cos := math.Sincos(t2)
	a := cos - k1 - k2*cos + k3
	b := -2 * sin
	c := k1 - (k2+1)*cos + k3
	disc := b*b - 4*a*c
	if disc < 0 {
		return Bars{}, Bars{}, Open
	}
	root := math.Sqrt(disc)
	at := func(sign float64) Bars {
		// atan2 instead of a quotient: a = 0 is an ordinary position.
		t4 := 2 * math.Atan2(-b+sign*root, 2*a)
		s4, c4 := math.Sincos(t4)
		t3 := math.Atan2(f.C*s4-f.A*sin, f.D+f.C*c4-f.A*cos)
		return Bars{
			Coupler:      t3,
			Rocker:       wrap(t4),
			Ratio:        f.A * math.Sin(t3-t2) / (f.C * math.Sin(t3-t4)),
			Transmission: fold(t3 - t4),
		}
	}
	return at(-1), at(1), OK
}

// fold brings the angle between two lines into 0..π/2.
func fold(t float64) float64 {
	t = math.Abs(wrap(t))
	return math.Min(t, math.Pi-t)
}

// LoiterBank is the bank of a level turn of radius r at speed v, rad.
func LoiterBank(v, r float64) float64 { return math.Atan(v * v / (gravity * r)) }

// Square is the planar linkage with arm and horn both upright at neutral
// and a rod of the given length: the usual installation. It is Bad (see
// [Linkage.Neutral]) when the rod is shorter than the difference of the arms.
func Square(arm, horn, rod float64) Planar {
	return Planar{
		Arm: arm, Horn: horn, Rod: rod, ArmAngle: math.Pi / 2, HornAngle: math.Pi / 2,
		HingeX: math.Sqrt(rod*rod - (horn-arm)*(horn-arm)),
	}
}

// Skewed is the linkage of a swept hinge: the servo shaft lies along y at
// the origin (x aft, y right, z up) with its arm upright; the hinge line goes
// through (hingeX, hingeY, 0) along (sin sweep, cos sweep, 0) with an
// upright horn. Servo and surface angles are positive by the right-hand rule
// about those axes negated: a positive deflection is trailing edge up.
func Skewed(arm, horn, hingeX, hingeY, sweep, rod float64) Linkage {
	s, c := math.Sincos(sweep)
	return Linkage{
		ServoAxis: r3.Vec{Y: -1}, Arm: r3.Vec{Z: arm},
		Hinge: r3.Vec{X: hingeX, Y: hingeY}, HingeAxis: r3.Vec{X: -s, Y: -c}, Horn: r3.Vec{Z: horn},
		Rod: rod,
	}
}
