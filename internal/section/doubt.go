package section

import "math"

// SolverDoubt is one standard deviation of computed results, taken from the
// comparison with tunnels in docs/accuracy.md.
type SolverDoubt struct {
	Cl      float64 // attached lift at given angle
	AlphaL0 float64 // angle of zero lift, radians
	CdRel   float64 // drag, relative, inside the bucket
	Cm      float64
	ClMax   float64
	ChRel   float64 // hinge moment, relative; it errs on the high side
}

// Doubt returns the doubt of [Solve] and [Build] for a shape at Reynolds
// number re. Drag: 4 % above 200,000, growing to 12 % at 100,000 and 25 % at
// 60,000. Maximum lift: 0.06, and 0.12 for noses sharper than 1 % of chord,
// where the solver is on the high side since it has no bursting of the
// bubble at the nose. Coarse and guessed shapes carry more.
func Doubt(sh *Shape, re float64) SolverDoubt {
	low := between(math.Log2(2e5/math.Max(re, 1e4)), 0, 4) // octaves below 200,000
	d := SolverDoubt{
		Cl:      0.03 + 0.03*low,
		AlphaL0: (0.2 + 0.15*low) * math.Pi / 180,
		CdRel:   0.04 + 0.08*low + 0.02*low*low,
		Cm:      0.006 + 0.006*low,
		ClMax:   0.06,
		ChRel:   0.2,
	}
	base := sh.WithoutFlap()
	if r := base.LeadingEdgeRadius(); r < 0.012 {
		d.ClMax += 0.06 * between((0.012-r)/0.004, 0, 1)
	}
	if f := sh.FlapSet(); f.Hinge != 0 { // gaps, and separation on the flap
		d.Cl += 0.1 * math.Abs(f.Angle)
		d.CdRel += 0.3 * math.Abs(f.Angle)
		d.ClMax += 0.1 * math.Abs(f.Angle)
	}
	if sh.Coarse() {
		d.ClMax = math.Hypot(d.ClMax, 0.08)
		d.CdRel = math.Hypot(d.CdRel, 0.08)
		d.Cl = math.Hypot(d.Cl, 0.03)
		d.AlphaL0 = math.Hypot(d.AlphaL0, 0.3*math.Pi/180)
	}
	if sh.Guessed() {
		d.ClMax = math.Hypot(d.ClMax, 0.2)
		d.CdRel = math.Hypot(d.CdRel, 0.25)
		d.Cl = math.Hypot(d.Cl, 0.12)
		d.AlphaL0 = math.Hypot(d.AlphaL0, 1.2*math.Pi/180)
		d.Cm = math.Hypot(d.Cm, 0.035)
	}
	return d
}
