package section

import "math"

// Plate describes how a section behaves far past stall, where the flow no
// longer knows its details.
type Plate struct {
	Normal90    float64 // normal force at 90 degrees, infinite span
	AspectRatio float64 // of the wing it belongs to; zero is infinite
	Friction    float64 // chordwise force at small normal force
	Lean        float64 // mean inclination of the chord by a flap, radians
}

// PlateFor returns the flat-plate law of a shape: normal force at right
// angles falling with the nose radius r (chords),
//
//	1.98 - 0.64 (1 - exp(-20 r)),
//
// and leant by the share of the chord that a flap turns.
// Source: Lindenburg, ECN-C--03-025 (2003).
func PlateFor(sh *Shape, aspectRatio float64) Plate {
	f := sh.FlapSet()
	p := Plate{
		Normal90:    1.98 - 0.64*(1-math.Exp(-20*sh.WithoutFlap().LeadingEdgeRadius())),
		AspectRatio: aspectRatio,
		Friction:    0.02,
	}
	if f.Hinge != 0 {
		p.Lean = (1 - f.Hinge) * f.Angle
	}
	return p
}

// Normal returns the normal-force coefficient of a flat plate:
//
//	CN = CN90 (1/(0.56 + 0.44 sin a) - 0.41 (1 - exp(-17/AR))) sin a
//
// with a the angle to the flow, 0 to pi, odd below. Source: Lindenburg 2003.
func (p Plate) Normal(a float64) float64 {
	s := math.Sin(a)
	m := math.Abs(s)
	tip := 0.0
	if p.AspectRatio > 0 {
		tip = 0.41 * (1 - math.Exp(-17/p.AspectRatio))
	}
	return p.Normal90 * (1/(0.56+0.44*m) - tip) * s
}

// At returns lift, drag, moment about the quarter chord and, for a flap of
// any chord, the hinge moment, at angle of attack a (any, radians). With the
// trailing edge foremost (beyond about 150 degrees) lift rises on a lobe of
// attached flow; its size is our own drawing through SAND80-2114.
// The centre of pressure moves from 0.325 to 0.675 chord between 0 and 180
// degrees (Lindenburg 2003).
// Accuracy: 15 % on normal force above 30 degrees (NACA 0015).
func (p Plate) At(a float64) (cl, cd, cm, ch float64) {
	a = math.Remainder(a, 2*math.Pi)
	e := math.Remainder(a+p.Lean, 2*math.Pi)
	sn, cs := math.Sincos(e)
	n := p.Normal(e)
	back := math.Pi - math.Abs(e) // angle from reversed flow
	// Between stall and 35 degrees either way round the wake is still narrow
	// and the force below that of the plate; our own drawing through
	// SAND80-2114.
	d := (math.Min(back, math.Abs(e))*180/math.Pi - 22) / 14
	n *= 1 - 0.18*math.Exp(-d*d)
	// Attached lobe in reversed flow.
	lobe := math.Tanh(8*math.Sin(back)) * math.Copysign(1, e)
	w := 1 / (1 + math.Pow(back*180/math.Pi/12, 8))
	n += w * (lobe*math.Abs(cs) - n)
	t := -p.Friction * cs
	cl = n*cs + t*sn
	cd = n*sn - t*cs
	cd = math.Max(cd, p.Friction/2)
	cm = -n * (0.25 - 0.175*(1-2*math.Abs(e)/math.Pi))
	return cl, cd, cm, -n / 2
}
