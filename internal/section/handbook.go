package section

import "math"

// Traits is a section at one Reynolds number in a handful of numbers, from
// published trends, without a solver: the first-depth answer and the
// fallback. All angles in radians, slopes per radian.
//
//	cl = ClAlpha (alpha - AlphaL0) up to stall
//	cd = Cd0 + CdK (cl - ClCd0)^2
type Traits struct {
	Re         float64
	AlphaL0    float64 // angle of zero lift
	ClAlpha    float64 // lift slope
	Cm0        float64 // moment about the quarter chord, nose up positive
	ClMax      float64 // maximum lift
	ClMin      float64 // least (negative) lift
	AlphaStall float64 // angle of ClMax
	AlphaLow   float64 // angle of ClMin
	Cd0        float64 // least drag
	CdK        float64 // growth of drag with the square of lift
	ClCd0      float64 // lift of least drag
	Doubt      TraitsDoubt
	// Status is "ok", or why the numbers are outside the trends' range
	// (Reynolds number 20,000 to 10 million, thickness 4 to 21 %).
	Status string
}

// TraitsDoubt holds one standard deviation of each trait: half the spread of
// the measured sections that the trend was drawn through, and wider for a
// section of unknown shape. Cd0 is in the unit of Cd0, not relative.
type TraitsDoubt struct {
	AlphaL0, ClAlpha, Cm0, ClMax, ClMin, AlphaStall, Cd0, CdK, ClCd0 float64
}

// plateTurbulent is the mean friction of a turbulent plate, one side
// (Prandtl-Schlichting 0.455/log10(Re)^2.58).
func plateTurbulent(re float64) float64 { return 0.455 / math.Pow(math.Log10(re), 2.58) }

// plateLaminar is Blasius' mean friction of a laminar plate, one side.
func plateLaminar(re float64) float64 { return 1.32824 / math.Sqrt(re) }

// PlateFriction returns the mean friction coefficient of one side of a plate
// with transition at the fraction xt of its length (0 to 1) at Reynolds
// number re (1e3 to 1e9), by Prandtl's substitution of the laminar stretch:
//
//	C(re) = Ct(re) - xt (Ct(re xt) - Cl(re xt)), never below laminar.
//
// Accuracy: the spread of the published laws, 5 to 10 % at 1e5 to 1e6.
// Source: Schlichting, Boundary-Layer Theory.
func PlateFriction(re, xt float64) float64 {
	cl, ct := plateLaminar(re), plateTurbulent(re)
	if xt <= 0 {
		return math.Max(cl, ct)
	}
	if xt >= 1 {
		return cl
	}
	rt := math.Max(re*xt, 1e3)
	return math.Max(cl, ct-xt*math.Max(plateTurbulent(rt)-plateLaminar(rt), 0))
}

// FormFactor returns the ratio of a section's drag to the friction of its
// wetted plate, 1 + 2t + 60t^4 (Hoerner, Fluid-Dynamic Drag); t is the
// thickness in chords.
func FormFactor(t float64) float64 { return 1 + 2*t + 60*t*t*t*t }

// FormFactorTorenbeek is 1 + 2.7t + 100t^4 (Torenbeek, Synthesis of Subsonic
// Airplane Design), the higher of the published laws.
func FormFactorTorenbeek(t float64) float64 { return 1 + 2.7*t + 100*t*t*t*t }

// Handbook returns the traits of a shape at Reynolds number re from
// published trends: thin-airfoil theory with the viscous losses measured on
// the NACA families (TR-824), mixed plate friction with the mean of
// Hoerner's and Torenbeek's form factors, and a trend of maximum lift with
// thickness, camber and Reynolds number drawn by us through NACA TR-586,
// TR-824 and the low-speed summaries. A flap enters through the mean line
// with the usual 80 % effectiveness.
//
// Accuracy: see Doubt; about 0.1 in maximum lift and 25 % in drag at 60,000
// to 400,000. Outside the range the numbers are those of the nearest end
// and Status says so. Panics when re is not positive.
func Handbook(sh *Shape, re float64) Traits {
	if !(re > 0) {
		panic("section: Reynolds number not positive")
	}
	thick, _ := sh.WithoutFlap().Thickness()
	t := Traits{Re: re, Status: "ok"}
	r := math.Min(math.Max(re, 2e4), 1e7)
	if r != re {
		t.Status = "Reynolds number outside 20,000 to 10 million"
	} else if thick < 0.04 || thick > 0.21 {
		t.Status = "thickness outside 4 to 21 %"
	}
	thin := sh.WithoutFlap().Thin()
	camber, _ := sh.WithoutFlap().Camber()
	t.AlphaL0 = 0.96 * thin.AlphaL0
	t.Cm0 = 0.89 * thin.Cm0
	t.ClCd0 = math.Min(math.Max(thin.IdealCl, -0.6), 0.6)
	t.ClAlpha = 2 * math.Pi * math.Max(0.96-0.08*math.Max(math.Log10(1e6/r), 0), 0.82)

	up, low := liftLimits(thick, camber, r)
	if f := sh.FlapSet(); f.Hinge != 0 {
		bent := sh.Thin()
		const works = 0.8 // DATCOM 6.1: 0.7 to 0.85 for plain flaps
		da := works * (bent.AlphaL0 - thin.AlphaL0)
		t.AlphaL0 += da
		t.Cm0 += works * (bent.Cm0 - thin.Cm0)
		// Half of the lift of the flap remains at the stall, up to 0.4.
		gain := 0.4 * math.Tanh(-0.5*t.ClAlpha*da/0.4)
		up, low = up+gain, low+gain
		t.ClCd0 += 0.5 * gain
	}
	t.ClMax, t.ClMin = up, low
	rounding := math.Min(math.Max(100*thick-8, 0), 5) * math.Pi / 180
	t.AlphaStall = t.AlphaL0 + up/t.ClAlpha + rounding
	t.AlphaLow = t.AlphaL0 + low/t.ClAlpha - rounding/2

	xt := math.Min(math.Max(0.62-0.30*math.Log10(r/2e5), 0.1), 0.75)
	ff := (FormFactor(thick) + FormFactorTorenbeek(thick)) / 2
	t.Cd0 = 2 * PlateFriction(r, xt) * ff * (1 + 0.12*math.Pow(1e5/r, 0.7))
	t.CdK = 0.019 * math.Pow(2e5/r, 0.3)
	if f := sh.FlapSet(); f.Hinge != 0 {
		s := math.Sin(f.Angle)
		t.Cd0 += 0.9 * math.Pow(1-f.Hinge, 1.38) * s * s // Young's law for plain flaps
	}

	slack := math.Sqrt(math.Min(1, 1e5/r)) // more scatter at low Reynolds numbers
	t.Doubt = TraitsDoubt{
		AlphaL0: (0.25 + 0.5*slack) * math.Pi / 180, ClAlpha: (0.03 + 0.05*slack) * t.ClAlpha,
		Cm0: 0.008 + 0.01*slack, ClMax: 0.09, ClMin: 0.15, AlphaStall: 2 * math.Pi / 180,
		Cd0: (0.12 + 0.2*slack) * t.Cd0, CdK: 0.4 * t.CdK, ClCd0: 0.15,
	}
	if sh.Guessed() { // camber anywhere from 0 to 3 %
		t.Doubt.AlphaL0 = 1.2 * math.Pi / 180
		t.Doubt.Cm0, t.Doubt.ClMax, t.Doubt.ClMin, t.Doubt.ClCd0 = 0.035, 0.2, 0.2, 0.2
		t.Doubt.Cd0 *= 1.4
	}
	return t
}

// liftLimits is our trend of the largest and least lift; see [Handbook].
func liftLimits(thick, camber, re float64) (up, low float64) {
	bare := 0.9
	if thick < 0.13 {
		d := (0.13 - thick) / 0.1
		bare *= math.Max(1-0.55*d*d, 0.4)
	} else {
		bare -= 2 * (math.Min(thick, 0.25) - 0.13)
	}
	gain := 0.62 * (1 - math.Exp(-math.Abs(camber)/0.02))
	grow := func(g float64) float64 {
		below := 0.04 * math.Log2(math.Min(re, 4e5)/2e5)
		above := 0.15 * math.Min(1, math.Pow(thick/0.12, 1.3)) * (1 - g/0.8) * math.Max(math.Log2(re/4e5), 0)
		return below + above
	}
	good := bare + gain + grow(gain)
	poor := 0.95*bare - 0.35*gain + grow(gain)
	if camber < 0 {
		return math.Max(poor, 0.2), -good
	}
	return good, -math.Max(poor, 0.2)
}

// At returns lift and drag at angle of attack a, radians: the straight line
// bent over smoothly into the largest and least lift, and the parabola.
// Beyond stall the lift stays at its limit; use a [Table] there.
func (t Traits) At(a float64) (cl, cd float64) {
	mid := (t.ClMax + t.ClMin) / 2
	half := (t.ClMax - t.ClMin) / 2
	x := (t.ClAlpha*(a-t.AlphaL0) - mid) / half
	// x for small, +-1 for large |x|: the eighth-power mean of both.
	cl = mid + half*x/math.Pow(1+math.Pow(math.Abs(x), 8), 1.0/8)
	d := cl - t.ClCd0
	cd = t.Cd0 + t.CdK*d*d
	if over := math.Abs(x) - 0.9; over > 0 {
		cd += 0.3 * over * over // separation drag, order only
	}
	return cl, cd
}
