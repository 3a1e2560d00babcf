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
	for i := range m.groups {
		g := &m.groups[i]
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
