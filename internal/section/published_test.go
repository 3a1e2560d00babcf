package section

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// FromHandbook returns a table of published trends ([Handbook]) in the same
// form, at once and without the solver; every value carries [Trend].
func FromHandbook(sh *Shape, spec Spec) (*Table, error) {
	spec = spec.filled()
	if err := spec.check(sh); err != nil {
		return nil, err
	}
	t := newTable(sh.Name(), spec.Re, spec.Flaps)
	t.key, t.shape = "handbook "+spec.Key(sh), sh
	for fi, f := range spec.Flaps {
		s := sh
		if f != 0 {
			s = sh.WithFlap(spec.Hinge, f)
		}
		plate := PlateFor(s, spec.AspectRatio)
		for ri, re := range spec.Re {
			t.trend(fi*len(spec.Re)+ri, s, re, plate)
		}
	}
	return t, nil
}

// Viterna holds the post-stall law of Viterna and Corrigan (1982), matched
// at one angle: cl = (CDmax/2) sin 2a + A2 cos^2 a/sin a,
// cd = CDmax sin^2 a + B2 cos a, for a from the match to 90 degrees.
type Viterna struct {
	CdMax, A2, B2 float64
}

// MatchViterna fits the law at angle a (radians, 5 to 45 degrees) with lift
// cl and drag cd for a wing of the aspect ratio (below 50).
func MatchViterna(aspectRatio, a, cl, cd float64) Viterna {
	m := 1.11 + 0.018*math.Min(aspectRatio, 50)
	sn, cs := math.Sincos(a)
	return Viterna{m, (cl - m*sn*cs) * sn / (cs * cs), (cd - m*sn*sn) / cs}
}

// At returns lift and drag at a, radians.
func (v Viterna) At(a float64) (cl, cd float64) {
	sn, cs := math.Sincos(a)
	return v.CdMax/2*math.Sin(2*a) + v.A2*cs*cs/sn, v.CdMax*sn*sn + v.B2*cs
}
