package aero

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

// throws holds the axis deflections at full stick.
type throws struct {
	pitchUp, pitchDown, roll, yawRight, yawLeft, brake float64
	trim                                               float64
}

// hinge is one control's hinge moment data, of one side.
type hinge struct {
	name           string
	groups         []int
	area, chord    float64 // behind the hinge, m² of one side, m
	alpha, delta   float64 // thin-section values per rad
	axis           axis
	works          float64
	upright, twice bool
}

// Measured plain flaps reach these shares of the thin-section hinge moments
// (DATCOM 6.1 and Hoerner give 0.4 to 0.7 and 0.55 to 0.75, from memory);
// one standard deviation is a quarter of the range's width.
const (
	hingeAlphaWorks, hingeAlphaDoubt = 0.55, 0.10
	hingeDeltaWorks, hingeDeltaDoubt = 0.65, 0.08
)

func (b *builder) controls() {
	m := b.m
	t := &m.throws
	var wp, wr, wy, wb float64
	for i, s := range b.ac.Surfaces {
		for c, ctl := range s.Controls {
			k := b.flap(i, c)
			f := &m.lattice.Controls[k]
			a := b.axis(i, c)
			d := m.derive.Control[k]
			h := hinge{name: ctl.Name, axis: a, works: a.works, twice: s.Mirrored, upright: math.Abs(a.yaw) > 0 && !s.Mirrored}
			chord2 := 0.0
			seen := map[int]bool{}
			for _, j := range f.Strips {
				st := &m.lattice.Strips[j]
				cf := st.Chord * ctl.ChordShare
				h.area += cf * st.Width
				chord2 += cf * cf * st.Width
				near, best := -1, math.Inf(1)
				for gi := range m.groups {
					g := &m.groups[gi]
					if d := math.Abs(g.eta - math.Abs(st.Eta)); g.surface == st.Surface && d < best {
						near, best = gi, d
					}
				}
				if near >= 0 && !seen[near] {
					seen[near] = true
					h.groups = append(h.groups, near)
				}
			}
			if h.area > 0 {
				h.chord = chord2 / h.area
			}
			thin := wing.ThinFlap(ctl.ChordShare)
			h.alpha, h.delta = thin.HingeAlpha, thin.HingeDelta
			m.hinges = append(m.hinges, h)
			if a.pitch != 0 {
				w := math.Abs(d.Cm*a.pitch) + 1e-9
				up, down := ctl.ThrowUp, ctl.ThrowDown
				if a.pitch > 0 { // a foreplane: nose up is trailing edge down
					up, down = down, up
				}
				t.pitchUp += w * up
				t.pitchDown += w * down
				t.trim += w * ctl.Trim * -a.pitch
				wp += w
			}
			if a.roll != 0 {
				w := math.Abs(d.Cl*a.roll) + 1e-9
				t.roll += w * (ctl.ThrowUp + ctl.ThrowDown) / 2
				wr += w
			}
			if a.yaw != 0 {
				w := math.Abs(d.Cn*a.yaw) + 1e-9
				t.yawRight += w * ctl.ThrowDown
				t.yawLeft += w * ctl.ThrowUp
				if s.Mirrored {
					t.yawRight += w * (ctl.ThrowUp - ctl.ThrowDown) / 2
					t.yawLeft += w * (ctl.ThrowDown - ctl.ThrowUp) / 2
				}
				wy += w
			}
			if a.brake != 0 {
				t.brake += ctl.ThrowDown
				wb++
			}
		}
	}
	div := func(p *float64, w float64) {
		if w > 0 {
			*p /= w
		}
	}
	div(&t.pitchUp, wp)
	div(&t.pitchDown, wp)
	div(&t.trim, wp)
	div(&t.roll, wr)
	div(&t.yawRight, wy)
	div(&t.yawLeft, wy)
	div(&t.brake, wb)
}

// Stick gives the axis deflections (rad) for stick positions -1 to 1 (up,
// right, right positive), from each control's throws; the neutral trim
// (reflex) is in the pitch. Positions beyond the ends are held at the ends.
func (m *Model) Stick(pitch, roll, yaw float64) (dPitch, dRoll, dYaw float64) {
	hold := func(v float64) float64 { return math.Max(-1, math.Min(1, v)) }
	pitch, roll, yaw = hold(pitch), hold(roll), hold(yaw)
	t := &m.throws
	two := func(s, up, down float64) float64 {
		if s > 0 {
			return s * up
		}
		return s * down
	}
	return t.trim + two(pitch, t.pitchUp, t.pitchDown), roll * t.roll, two(yaw, t.yawRight, t.yawLeft)
}

// StickFor is the stick position in pitch that gives an axis deflection
// (rad); ok is false when it lies beyond the throw (or there is no throw).
func (m *Model) StickFor(dPitch float64) (pitch float64, ok bool) {
	d := dPitch - m.throws.trim
	t := m.throws.pitchUp
	if d < 0 {
		t = m.throws.pitchDown
	}
	if t == 0 {
		return 0, d == 0
	}
	return d / t, math.Abs(d) <= t
}

// Brake is the brake deflection at full command, rad.
func (m *Model) Brake() float64 { return m.throws.brake }

// HingeLoad is the moment about one hinge, of one side.
type HingeLoad struct {
	Control    string
	Deflection float64 // of the worse side, trailing edge down positive, rad
	Moment     float64 // N m, trailing edge down positive, of the worse side
	Doubt      float64 // one standard deviation, N m
}

// Hinge returns the moment about the hinge of every control in a flow, of
// the side with the larger moment: thin-section theory at the local angle of
// attack times the share that plain flaps reach, with its doubt. The order
// is that of surfaces and controls in the build.
// Sources: Glauert R&M 1095; DATCOM 6.1 (shares, from memory).
func (m *Model) Hinge(f *Flow) []HingeLoad {
	out := make([]HingeLoad, len(m.hinges))
	q := 0.5 * f.Rho * f.V * f.V
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	u, v, w := f.V*ca*cb, f.V*sb, f.V*sa*cb
	for i := range m.hinges {
		h := &m.hinges[i]
		out[i].Control = h.name
		if h.area == 0 || f.V <= 0 {
			continue
		}
		for _, side := range []float64{1, -1} {
			if side < 0 && !h.twice {
				break
			}
			alpha := 0.0
			for _, gi := range h.groups {
				g := &m.groups[gi]
				gam := g.gs[0]*u + g.gs[1]*w + g.gs[2]*f.Q + side*(g.ga[0]*v+g.ga[1]*f.P+g.ga[2]*f.R)
				alpha += gam / (math.Pi * g.c * f.V)
			}
			if len(h.groups) > 0 {
				alpha /= float64(len(h.groups))
			}
			alpha = math.Max(-0.35, math.Min(0.35, alpha))
			a := h.axis
			d := a.pitch*f.Pitch + a.brake*f.Brake + side*(a.roll*f.Roll+a.yaw*f.Yaw)
			k := q * h.area * h.chord
			mom := k * (hingeAlphaWorks*h.alpha*alpha + hingeDeltaWorks*h.delta*d)
			if math.Abs(mom) >= math.Abs(out[i].Moment) {
				out[i].Moment, out[i].Deflection = mom, d
				out[i].Doubt = k * math.Hypot(hingeAlphaDoubt*h.alpha*alpha, hingeDeltaDoubt*h.delta*d)
			}
		}
	}
	return out
}

// toBody turns a build-axes difference into body axes.
func toBody(v r3.Vec) r3.Vec { return r3.Vec{X: -v.X, Y: v.Y, Z: -v.Z} }
