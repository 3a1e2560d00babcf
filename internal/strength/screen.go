package strength

import "math"

// PlateInertia is the inertia of a uniform flap about its leading edge: m c²/3.
func PlateInertia(m, c float64) float64 { return m * c * c / 3 }

// SurfaceFrequency is the frequency, rad/s, of a surface on its control
// stiffness k (N m/rad) with inertia i about its hinge.
func SurfaceFrequency(k, i float64) float64 { return math.Sqrt(k / i) }

// ControlStiffness is the stiffness at the surface, N m/rad, of a servo's
// (at its arm) and a rod's (N/m) in series: 1/K = 1/(Ks ratio⁻²) + 1/(kr r²), with
// the ratio of surface to servo angle and r the horn. A term that is +Inf is
// rigid. 0 when either is not positive.
func ControlStiffness(servo, ratio, rod, horn float64) float64 {
	a, b := servo/(ratio*ratio), rod*horn*horn
	if !(a > 0) || !(b > 0) {
		return 0
	}
	return 1 / (1/a + 1/b)
}

// PlayLimit is the published free play allowed of a control, rad, total,
// by the share of the half span to which it reaches (MIL-A-8870 family, recalled):
// 0.13° beyond 75 %, 0.57° to 75 %, 1.15° inboard of 50 %; 0.034° for a surface
// that moves as a whole. Full-size military limits: models commonly exceed them.
func PlayLimit(outer float64, whole bool) float64 {
	const d = math.Pi / 180
	switch {
	case whole:
		return 0.034 * d
	case outer > 0.75:
		return 0.13 * d
	case outer > 0.5:
		return 0.57 * d
	}
	return 1.15 * d
}

// FlexibilityLimit is the largest flexibility allowed for a dive speed v
// (m/s): 200/v², v in miles an hour (Report 45, recalled; below 260 knots,
// without large outboard masses).
func FlexibilityLimit(v float64) float64 {
	mph := v / 0.44704
	return 200 / (mph * mph)
}
