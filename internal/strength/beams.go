package strength

import "math"

// EllipticMoment is the bending moment, N m, at share t = y/s of the half
// span of a cantilever wing under elliptic lift: lift is the whole
// aeroplane's (both halves), N; s the half span, m. The wing's own mass relieves
// it: see [Relief]. Closed form; zero outside 0..1 at the tip, NaN outside.
func EllipticMoment(lift, s, t float64) float64 {
	if !(t >= 0 && t <= 1) {
		return math.NaN()
	}
	r := math.Sqrt(1 - t*t)
	return 2 * lift * s / math.Pi * (r*r*r/3 - t*(math.Pi/2-math.Asin(t)-t*r)/2)
}

// Relief is the share of the elliptic-lift moment that a wing's own mass
// takes off: wing mass over total mass, when it is spread like the lift.
func Relief(wing, total float64) float64 { return wing / total }

// TubeZ is the section modulus in bending, m³, of a round tube (inner 0: a
// rod); NaN when inner is not below outer.
func TubeZ(outer, inner float64) float64 {
	if !(outer > 0) || !(inner >= 0 && inner < outer) {
		return math.NaN()
	}
	return math.Pi * (outer*outer*outer*outer - inner*inner*inner*inner) / (32 * outer)
}

// StripZ is the section modulus, m³, of a rectangle of depth h in the plane
// of bending and width b.
func StripZ(h, b float64) float64 { return b * h * h / 6 }

// FilletKt is the stress concentration of a fillet in bending at D/d = 2:
// 0.93232 (r/d)^-0.30304 (Peterson's data, Norton's fit). The fit holds for r/d from
// 0.02 to 0.3; NaN outside 0.01..0.35.
func FilletKt(rd float64) float64 {
	if !(rd >= 0.01 && rd <= 0.35) {
		return math.NaN()
	}
	return 0.93232 * math.Pow(rd, -0.30304)
}

// HornRoot is the nominal bending stress, Pa, at a horn's root: force f (N)
// at height h above it, root depth along the chord d and width w (m).
func HornRoot(f, h, d, w float64) float64 { return f * h / StripZ(d, w) }

// Column is the buckling of a rod.
type Column struct {
	Slenderness, Transition float64 // KL over radius of gyration; where Johnson's parabola takes over
	Euler, Critical         float64 // N
	Johnson                 bool    // Johnson governs
}

// Buckling gives the critical load of a round rod of diameter d and inside
// diameter di (0: solid), length l, end factor k (1: pinned), Young's modulus e
// and compressive yield strength y (Pa). Euler above the transition
// slenderness, Johnson's parabola below (Shigley). All NaN for dimensions that
// are not positive.
func Buckling(d, di, l, k, e, y float64) Column {
	nan := math.NaN()
	if !(d > 0 && di >= 0 && di < d && l > 0 && k > 0 && e > 0 && y > 0) {
		return Column{nan, nan, nan, nan, false}
	}
	area := math.Pi * (d*d - di*di) / 4
	r := math.Sqrt(d*d+di*di) / 4
	c := Column{Slenderness: k * l / r, Transition: math.Pi * math.Sqrt(2*e/y)}
	c.Euler = math.Pi * math.Pi * e * area / (c.Slenderness * c.Slenderness)
	c.Critical = c.Euler
	if c.Slenderness < c.Transition {
		c.Johnson = true
		c.Critical = area * y * (1 - y*c.Slenderness*c.Slenderness/(4*math.Pi*math.Pi*e))
	}
	return c
}

// BentEnd is the bending stress, Pa, in a round rod of diameter d whose end
// is loaded by p (N) at an offset e (m): a Z-bend. 32 p e/(π d³).
func BentEnd(p, e, d float64) float64 { return 32 * p * e / (math.Pi * d * d * d) }
