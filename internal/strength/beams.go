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

// EllipticTip is the tip deflection, m, of a uniform cantilever of stiffness
// ei (N m²) under elliptic lift. Closed form.
func EllipticTip(lift, s, ei float64) float64 {
	q0 := 2 * lift / (math.Pi * s)
	return q0 * s * s * s * s / (6 * ei) * (3*math.Pi/16 - 2.0/15)
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

// TubeI is the second moment of area, m⁴, of a round tube.
func TubeI(outer, inner float64) float64 { return TubeZ(outer, inner) * outer / 2 }

// StripZ is the section modulus, m³, of a rectangle of depth h in the plane
// of bending and width b.
func StripZ(h, b float64) float64 { return b * h * h / 6 }

// TubeShear is the shear stress, Pa, at the outside of a round tube under
// torque t. Closed form.
func TubeShear(t, outer, inner float64) float64 { return t / (2 * TubeZ(outer, inner)) }

// Cell is a thin closed section in torsion.
type Cell struct {
	Area float64 // enclosed by the mid-line, m²
	Run  float64 // integral of ds/t around it
	Thin float64 // least wall thickness, m
}

// Box is the thin box of mid-line sides a and b and one wall thickness t.
func Box(a, b, t float64) Cell { return Cell{Area: a * b, Run: 2 * (a + b) / t, Thin: t} }

// Ring is the thin ring of mid-line radius r.
func Ring(r, t float64) Cell { return Cell{Area: math.Pi * r * r, Run: 2 * math.Pi * r / t, Thin: t} }

// Flow is the shear flow, N/m, under torque t: t/2A (Bredt).
func (c Cell) Flow(t float64) float64 { return t / (2 * c.Area) }

// Shear is the largest mean shear stress, Pa.
func (c Cell) Shear(t float64) float64 { return c.Flow(t) / c.Thin }

// J is the torsion constant, m⁴: 4A²/∮ds/t (Bredt).
func (c Cell) J() float64 { return 4 * c.Area * c.Area / c.Run }

// Slit is the torsion constant of a thin open section of developed length
// run and wall t: what is left of a cell when a seam opens.
func Slit(run, t float64) float64 { return run * t * t * t / 3 }

// Twist is the rate of twist, rad/m, under torque t for shear modulus g and
// torsion constant j.
func Twist(t, g, j float64) float64 { return t / (g * j) }

// FilletKt is the stress concentration of a fillet in bending at D/d = 2:
// 0.93232 (r/d)^-0.30304 (Peterson's data, Norton's fit). The fit holds for r/d from
// 0.02 to 0.3; NaN outside 0.01..0.35.
func FilletKt(rd float64) float64 {
	if !(rd >= 0.01 && rd <= 0.35) {
		return math.NaN()
	}
	return 0.93232 * math.Pow(rd, -0.30304)
}

// HoleKt is the stress concentration on the net section of a hole of
// diameter d in a strip of width w under tension: 2 + (1 - d/w)³ (Heywood), d/w
// from 0 to 0.65 within 2 %; NaN outside 0..1.
func HoleKt(dw float64) float64 {
	if !(dw >= 0 && dw < 1) {
		return math.NaN()
	}
	c := 1 - dw
	return 2 + c*c*c
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
