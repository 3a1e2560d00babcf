package aero

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

// prop is what a turning propeller does to the airframe besides its thrust.
type prop struct {
	area float64 // disc, m²; 0 when there is none
	side float64 // force across the stream per q, disc area and radian, no thrust
	at   r3.Vec  // body axes from the reference point
	up   float64 // angle of the flow at the disc over alpha
	// The disc's axis against the datum line: tangents of its tilt to the right
	// and downwards.
	right, down float64
	slip        bool // its stream runs over surfaces
	// Drag area of the body in the stream, each part times the share of the
	// stream's full pressure that it meets.
	scrub float64
}

// PropellerSideForce is the derivative of a propeller's normal force with the
// angle of the stream, per q, disc area and radian:
//
//	f(a) 4.25 se sin(beta + 8 deg)/(1 + 2 se),  se = (4 B/3 pi)(c/D),
//	f(a) = (1+a)((1+a) + (1+2a)²)/(1 + (1+2a)²),  a = (sqrt(1 + T/(q A)) - 1)/2
//
// with B blades of chord c over diameter D and angle beta (rad), both at
// three quarters of the radius, and T/(qA) the thrust over dynamic pressure
// and disc area (0 or more; below, 0 is taken). Accuracy about 20 %.
// Source: Ribner, NACA TR-819 (formula from memory).
func PropellerSideForce(blades, chord, beta, loading float64) float64 {
	se := 4 * blades / (3 * math.Pi) * chord
	return inflow(loading) * 4.25 * se * math.Sin(beta+8*math.Pi/180) / (1 + 2*se)
}

// inflow is f(a) of [PropellerSideForce].
func inflow(loading float64) float64 {
	a := (math.Sqrt(1+math.Max(loading, 0)) - 1) / 2
	b := (1 + 2*a) * (1 + 2*a)
	return (1 + a) * ((1 + a) + b) / (1 + b)
}

// ownParts is what of a group's circulation per forward speed comes of its own
// surface: shape, then deflections in pitch, brake, roll and yaw. The wash of
// the other surfaces does not grow in the stream. The main wing's is all
// taken as its own. Of another surface the shape's part is its twist against
// zero lift times its response to the normal velocity of a pitch rate, in
// which the wash of the wing near the reference point is least.
func (b *builder) ownParts(g *group) (own [5]float64) {
	m := b.m
	if g.main {
		return [5]float64{g.gs[0], g.gs[3], g.gs[4], g.ga[3], g.ga[4]}
	}
	if arm := -g.nz * g.x; math.Abs(arm) > 0.2*m.Chord {
		twist, area := 0.0, 0.0
		for _, st := range m.lattice.Strips {
			if st.Surface == g.surface && math.Abs(math.Abs(st.Eta)-g.eta) <= g.reach {
				twist += st.Area() * st.Twist
				area += st.Area()
			}
		}
		if area > 0 {
			own[0] = g.gs[2] / arm * g.nz * twist / area
		}
	}
	for _, c := range b.ac.Surfaces[g.surface].Controls {
		if c.Pitch != 0 {
			own[1] = g.gs[3]
		}
		if c.Brake != 0 {
			own[2] = g.gs[4]
		}
		if c.Roll != 0 {
			own[3] = g.ga[3]
		}
		if c.Yaw != 0 {
			own[4] = g.ga[4]
		}
	}
	return own
}

// propeller takes disc, place and immersed surfaces from the craft.
func (b *builder) propeller() {
	m, p := b.m, &b.ac.Power.Propeller
	if b.ac.Power.Place == "" || !(p.Diameter > 0) {
		return
	}
	// Blade chord at three quarters over the diameter, by style (common
	// practice, no source).
	chord := map[string]float64{"thin": 0.07, "slow": 0.095, "folding": 0.075}[p.Style]
	if chord == 0 {
		chord = 0.085
	}
	beta := math.Atan2(p.Pitch, math.Pi*0.75*p.Diameter)
	blades := math.Max(2, float64(p.Blades))
	m.prop = prop{
		area: math.Pi / 4 * p.Diameter * p.Diameter,
		side: PropellerSideForce(blades, chord, beta, 0),
		at:   toBody(r3.Sub(p.At, m.point)),
		// As far as it is tilted the disc meets the stream askew in level flight.
		right: math.Tan(b.ac.Power.Right), down: math.Tan(b.ac.Power.Down),
	}
	w := m.lattice.Wash(wing.Plunge, r3.Add(p.At, r3.Vec{Y: 1e-4}))[0].Z
	m.prop.up = math.Max(0.2, math.Min(1+w, 1.8))
	// How much of each group's area the stream covers, times how far it is
	// grown there, from the nose of the section to its tail.
	m.own = make([][5]float64, len(m.groups))
	for i := range m.groups {
		g := &m.groups[i]
		m.own[i] = b.ownParts(g)
		covered, all := 0.0, 0.0
		for _, st := range m.lattice.Strips {
			if st.Surface != g.surface || math.Abs(math.Abs(st.Eta)-g.eta) > g.reach {
				continue
			}
			// Sample the strip's width and, from the nose, its chord, weighed as
			// a plate carries its lift, the root of (1-x)/x.
			for k := range 5 {
				d := st.Width * ((float64(k)+0.5)/5 - 0.5)
				q := r3.Add(st.Mid, r3.Scale(d, st.Along))
				for x, w := range []float64{0.520, 0.254, 0.152, 0.074} {
					grown, r := stream(q.X+st.Chord*(float64(x)-0.5)/4-p.At.X, p.Diameter/2)
					all += st.Area() * w
					if math.Hypot(q.Y-p.At.Y, q.Z-p.At.Z) < r {
						covered += st.Area() * w * grown
					}
				}
			}
		}
		if all > 0 {
			if g.slip = covered / all; g.slip < 0.01 {
				g.slip = 0
			}
			m.prop.slip = m.prop.slip || g.slip > 0
		}
	}
	m.prop.scrub = b.scrub(m.prop.area)
	m.prop.slip = m.prop.slip || m.prop.scrub > 0
}

// stream is how far a propeller's stream is grown at a distance x behind the
// disc (negative: ahead of it), as a share of its full excess of dynamic
// pressure, and its radius: the axial velocity that a ring vortex tube of the
// disc's radius induces on its axis, (1 + x/sqrt(x²+R²))/2 of that far behind,
// and continuity at light loading, where the excess of pressure follows the
// velocity and the radius changes by a tenth at most. Source: momentum and
// vortex theory of the actuator disc, McCormick, Aerodynamics of V/STOL
// Flight (formula from memory).
func stream(x, radius float64) (grown, r float64) {
	grown = (1 + x/math.Hypot(x, radius)) / 2
	return grown, radius * (1.1 - 0.2*grown)
}

// scrub is the body's friction area at the reference speed, with its
// allowances, that the stream of a disc of the given area passes, each part by
// how far the stream is grown there and how much of the body's cross section
// lies within it.
func (b *builder) scrub(disc float64) float64 {
	body, p := b.ac.Body, &b.ac.Power.Propeller
	var friction float64
	for _, it := range b.m.itemsRaw {
		if it.name == bodyFriction {
			friction = it.skin.node(refNode) * (1 + interference + roughness)
		}
	}
	if friction == 0 {
		return 0
	}
	const n = 40
	x0, dx := body[0].X, (body[len(body)-1].X-body[0].X)/n
	met, all := 0.0, 0.0
	for i := range n {
		x := x0 + dx*(float64(i)+0.5)
		w, h, z := bodyAt(body, x)
		grown, r := stream(x-p.At.X, p.Diameter/2)
		// The share of the section's rim within the tube.
		in := 0.0
		const rim = 8
		for j := range rim {
			s, c := math.Sincos(2 * math.Pi * (float64(j) + 0.5) / rim)
			if math.Hypot(w/2*c-p.At.Y, z+h/2*s-p.At.Z) < r {
				in += 1. / rim
			}
		}
		met += (w + h) * in * grown
		all += w + h
	}
	if all == 0 {
		return 0
	}
	return friction * met / all
}

// Blown reports whether a turning propeller's stream meets anything.
func (m *Model) Blown() bool { return m.prop.slip }
