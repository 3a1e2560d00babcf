package strength

import "math"

const (
	gravity = 9.80665
	rho0    = 1.225
)

// Gust is the load factor of a sharp-edged gust with its alleviation.
type Gust struct {
	Mu, Kg   float64 // mass ratio, alleviation factor
	Up, Down float64 // load factors in an upward and a downward gust
}

// GustLoad gives the load factors in a gust of derived velocity u (m/s) at
// equivalent airspeed v, for wing loading ws (N/m²), mean chord c (m), lift slope a
// (per rad) and air density rho: 1 ± ½ ρ0 v a Kg u/ws, Kg = 0.88 μ/(5.3+μ)
// (14 CFR 23.341). Full-size formula: within 30 % at a model's mass ratio (μ
// under 15). The wing cannot pull more than (v/vs)²: see [Capped].
func GustLoad(ws, v, u, c, a, rho float64) Gust {
	g := Gust{Mu: 2 * ws / (rho * c * a * gravity)}
	g.Kg = 0.88 * g.Mu / (5.3 + g.Mu)
	d := 0.5 * rho0 * v * a * g.Kg * u / ws
	g.Up, g.Down = 1+d, 1-d
	return g
}

// Capped is the load factor n, but not more than the wing can lift at speed v
// with stall speed vs: (v/vs)².
func Capped(n, v, vs float64) float64 { return math.Min(n, v*v/(vs*vs)) }

// Descent is the design descent velocity at touchdown, m/s, from wing
// loading ws in N/m²: 0.51 ws^¼ (CS-VLA 473; the full-size floor of 2.13 m/s is
// left out at model size).
func Descent(ws float64) float64 { return 0.51 * math.Pow(ws, 0.25) }

// LandingLoad is the load factor when a descent v (m/s) is stopped within a
// crush s (m) at constant deceleration with lift equal to weight: v²/(2 g s).
func LandingLoad(v, s float64) float64 { return v * v / (2 * gravity * s) }

// TipCatch is what a wing bolt sees when a tip catches: the force at the
// wing half's centre of mass, its moment about the bolt, and the pull on the
// bolt as a couple over the distance couple (m) to the dowel; m in kg, arm in
// m, n the load factor at that centre.
func TipCatch(m, arm, n, couple float64) (force, moment, bolt float64) {
	force = m * n * gravity
	moment = force * arm
	return force, moment, moment / couple
}

// Hook is the loads on a launch hook's glued pad.
type Hook struct {
	Axial, Down float64 // N
	Moment      float64 // on the pad, N m
	Peel, Shear float64 // peak peel and mean shear, Pa
}

// HookLoad gives the loads of a pull t (N) at an angle below the body axis
// (rad) on a hook whose line stands proud of a glued pad (long along the body, wide; m).
// The peel is 6 M/(b l²), the pad taken as stiff.
func HookLoad(t, below, proud, long, wide float64) Hook {
	s, c := math.Sincos(below)
	h := Hook{Axial: t * c, Down: t * s}
	h.Moment = h.Axial * proud
	h.Peel = 6 * h.Moment / (wide * long * long)
	h.Shear = h.Axial / (wide * long)
	return h
}

// HookWire is the bending stress, Pa, at the root of a round wire hook of
// diameter d that carries f at a distance proud.
func HookWire(f, proud, d float64) float64 { return BentEnd(f, proud, d) }

// AlongHinge is the load parallel to the hinge line, N, for which a control
// of mass m is held: 12 times its weight on horizontal surfaces, 24 on vertical
// ones (14 CFR 23.393).
func AlongHinge(m float64, vertical bool) float64 {
	if vertical {
		return 24 * m * gravity
	}
	return 12 * m * gravity
}
