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
	slip bool    // its stream runs over surfaces
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
	if arm := -g.nzx; math.Abs(arm) > 0.2*m.Chord {
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
	}
	w := m.lattice.Wash(wing.Plunge, r3.Add(p.At, r3.Vec{Y: 1e-4}))[0].Z
	m.prop.up = math.Max(0.2, math.Min(1+w, 1.8))
	// How much of each group's area the stream covers: a tube of the disc's
	// diameter, less a tenth for its contraction.
	r := 0.45 * p.Diameter
	m.own = make([][5]float64, len(m.groups))
	for i := range m.groups {
		g := &m.groups[i]
		m.own[i] = b.ownParts(g)
		covered, all := 0.0, 0.0
		for _, st := range m.lattice.Strips {
			if st.Surface != g.surface || math.Abs(math.Abs(st.Eta)-g.eta) > g.reach || st.Mid.X < p.At.X {
				continue
			}
			// Sample the strip's width.
			for k := range 5 {
				d := st.Width * ((float64(k)+0.5)/5 - 0.5)
				q := r3.Add(st.Mid, r3.Scale(d, st.Along))
				all += st.Area()
				if math.Hypot(q.Y-p.At.Y, q.Z-p.At.Z) < r {
					covered += st.Area()
				}
			}
		}
		if all > 0 {
			g.slip = covered / all
			m.prop.slip = m.prop.slip || covered > 0
		}
	}
}
