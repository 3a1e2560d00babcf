package section

import (
	"fmt"
	"math"
)

// Gap is how far computed polars stood from measured ones in a band of
// Reynolds numbers: the largest mean over a polar, and the worst single
// point, of the relative drag error between zero lift and 85 % of the
// maximum; and the largest error of maximum lift. docs/accuracy.md has them
// by section and Reynolds number.
type Gap struct {
	ReFrom, ReTo        float64
	DragMean, DragWorst float64 // relative
	ClMax               float64
}

// Gaps are those of the comparisons with two sections in one tunnel (Lyon
// and others, 1997; Selig and others, 1995), lowest Reynolds numbers first.
// TestMeasuredPolars holds every number from both sides, so that they stay
// what the method does.
var Gaps = [...]Gap{
	{5e4, 8e4, 0.27, 0.35, 0.04},
	{8e4, 1.5e5, 0.13, 0.30, 0.08},
	{1.5e5, 5e5, 0.06, 0.13, 0.11},
}

// Accuracy says in one sentence how near computed polars came to measured
// ones.
func Accuracy() string {
	low, mid, high := Gaps[0], Gaps[1], Gaps[2]
	most := math.Max(low.ClMax, math.Max(mid.ClMax, high.ClMax))
	return fmt.Sprintf("against two sections in a tunnel (docs/accuracy.md) drag came within %.0f %% on the mean of a polar at 200,000 and above (%.0f %% at the worst point), %.0f %% at 100,000 (%.0f %%) and %.0f %% at 60,000 (%.0f %%); maximum lift within %.2f",
		100*high.DragMean, 100*high.DragWorst, 100*mid.DragMean, 100*mid.DragWorst, 100*low.DragMean, 100*low.DragWorst, most)
}

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
// number re. Drag: 6 % at 200,000 and above, 13 % at 100,000 and 22 % at
// 60,000 (the means of [Gaps]). Maximum lift: 0.07, and 0.14 for noses
// sharper than 1 % of chord, which at model Reynolds numbers let go up to a
// degree before the computed flow does. Coarse and guessed shapes carry
// more.
func Doubt(sh *Shape, re float64) SolverDoubt {
	low := between(math.Log2(2e5/math.Max(re, 1e4)), 0, 4) // octaves below 200,000
	d := SolverDoubt{
		Cl:      0.03 + 0.03*low,
		AlphaL0: (0.2 + 0.15*low) * math.Pi / 180,
		CdRel:   0.06 + 0.06*low + 0.02*low*low,
		Cm:      0.006 + 0.006*low,
		ClMax:   0.07,
		ChRel:   0.2,
	}
	base := sh.WithoutFlap()
	if r := base.LeadingEdgeRadius(); r < 0.012 {
		d.ClMax += 0.07 * between((0.012-r)/0.004, 0, 1)
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

// PointDoubt is one standard deviation of the numbers of one [Point], in
// their own units (not relative).
type PointDoubt struct {
	Cl, Cd, Cm, Ch float64
}

// DoubtOf returns the doubt of every point of a computed polar of the shape,
// in their order, and that of its maximum lift and the angle of it (radians).
// Points without numbers have NaN.
//
// Below 85 % of the largest (or least) lift it is that of [Doubt]; from there
// to the maximum lift goes over to the doubt of maximum lift and drag to a
// quarter more of itself, and past it lift is worth no more than 0.15:
// the comparisons in docs/accuracy.md stray so there. The angle of maximum
// lift is 2.4 degrees, the root mean square of those comparisons.
func DoubtOf(sh *Shape, p Polar) (points []PointDoubt, clMax, alphaMax float64) {
	d := Doubt(sh, p.Cond.Re)
	const pastStall, nearStallDrag = 0.15, 0.25
	points = make([]PointDoubt, len(p.Points))
	for i, q := range p.Points {
		if q.Status != OK {
			nan := math.NaN()
			points[i] = PointDoubt{nan, nan, nan, nan}
			continue
		}
		top, at, past := p.ClMax, p.AlphaMax, false
		if q.Cl < 0 {
			top, at = p.ClMin, p.AlphaMin
			past = q.Alpha < at
		} else {
			past = q.Alpha > at
		}
		w := 0.0
		if top*q.Cl > 0 {
			w = between((q.Cl/top-0.85)/0.15, 0, 1)
		}
		k := PointDoubt{
			Cl: d.Cl + w*math.Max(d.ClMax-d.Cl, 0),
			Cd: q.Cd * (d.CdRel + w*nearStallDrag),
			Cm: d.Cm * (1 + w),
			Ch: math.Abs(q.Ch) * d.ChRel,
		}
		if past {
			k.Cl, k.Cd = math.Max(d.ClMax, pastStall), q.Cd*(d.CdRel+nearStallDrag)
		}
		points[i] = k
	}
	return points, d.ClMax, 2.4 * math.Pi / 180
}
