package aero

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

const g0 = 9.80665

// neutral is the build x of the neutral point, body included.
func (m *Model) neutral() float64 {
	cm := m.derive.CmAlpha + 2*m.munkY/(m.Area*m.Chord)
	return m.point.X - m.Chord*cm/m.derive.CLAlpha
}

// NeutralPoint is the build x (m aft of the datum) about which the pitching
// moment does not change with angle of attack, body included, stick fixed,
// small angles. Doubt about 0.03 chords.
func (m *Model) NeutralPoint() float64 { return m.np }

// StaticMargin is the distance of the neutral point behind a centre of
// gravity (build x), in mean chords.
func (m *Model) StaticMargin(cgX float64) float64 { return (m.np - cgX) / m.Chord }

// Lattice is the lattice behind the model.
func (m *Model) Lattice() *wing.Lattice { return m.lattice }

// Notes lists what was left out and why; empty when nothing was.
func (m *Model) Notes() []string { return m.notes }

// Point is the reference point of the moments, build axes.
func (m *Model) Point() r3.Vec { return m.point }

// ReferenceSpeed is the speed whose Reynolds numbers the sections' shapes
// were taken at, m/s.
func (m *Model) ReferenceSpeed() float64 { return m.vRef }

// About moves loads to another point (build axes): the moment becomes that
// about the point.
func (m *Model) About(l Loads, at r3.Vec) Loads {
	arm := toBody(r3.Sub(m.point, at))
	l.M = r3.Add(l.M, r3.Cross(arm, l.F))
	return l
}

// Coefficients are loads made dimensionless on the model's area, span and
// chord, along the wind: lift up, drag back, side force right, and moments
// in body axes about the point they were taken at.
type Coefficients struct{ CL, CD, CY, Cl, Cm, Cn float64 }

// Coefficients evaluates a flow about a point (build axes).
func (m *Model) Coefficients(f *Flow, k *Factors, at r3.Vec) (Coefficients, Flag) {
	var l Loads
	m.Eval(f, k, &l)
	l = m.About(l, at)
	q := 0.5 * f.Rho * f.V * f.V * m.Area
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	// Stability axes, then wind.
	xs, zs := l.F.X*ca+l.F.Z*sa, l.F.Z*ca-l.F.X*sa
	return Coefficients{
		CL: -zs / q, CD: -(xs*cb + l.F.Y*sb) / q, CY: (l.F.Y*cb - xs*sb) / q,
		Cl: l.M.X / (q * m.Span), Cm: l.M.Y / (q * m.Chord), Cn: l.M.Z / (q * m.Span),
	}, l.Flag
}

// Still is a flow at a speed in the air the model was built for, in free air.
func (m *Model) Still(v float64) Flow {
	return Flow{V: v, Height: math.Inf(1), Rho: m.air.rho, Mu: m.air.mu}
}

// Balance says what a trimmed state has to carry.
type Balance struct {
	V, Rho, Mu float64 // m/s, kg/m³, Pa s
	Lift       float64 // N, across the wind in the plane of symmetry
	CG         r3.Vec  // build axes
	Moment     float64 // N m, nose up, of thrust and the like about the c.g.
	PitchRate  float64 // rad/s
	Height     float64 // 0 means free air
	PropOn     bool    // the propeller turns
	Thrust     float64 // N, of the turning propeller: its stream; its moment is in Moment
}

// Trimmed is the answer of [Model.Trim].
type Trimmed struct {
	Alpha, Pitch   float64 // rad
	CL, CD         float64
	Drag           float64 // N
	Stick          float64 // pitch stick; beyond ±1 when the throw does not reach
	Flag           Flag
	OK             bool // lift and moment balance
	WithinThrow    bool
	SpareNoseUp    float64 // Cm left with full up stick
	SpareNoseDown  float64 // Cm left with full down stick
	LiftOfControls float64 // CL that the trim deflection makes (negative costs lift)
}

// Trim finds angle of attack and pitch deflection that carry the lift with
// no moment about the centre of gravity, on the attached side of the stall.
// OK is false when there is no such state (not enough lift or control);
// the closest state found is returned all the same.
func (m *Model) Trim(b Balance, k *Factors) Trimmed {
	f := Flow{V: b.V, Rho: b.Rho, Mu: b.Mu, Q: b.PitchRate, Height: b.Height, PropOn: b.PropOn, Thrust: b.Thrust}
	if b.Height <= 0 {
		f.Height = math.Inf(1)
	}
	q := 0.5 * b.Rho * b.V * b.V * m.Area
	want := b.Lift / q
	miss := func() (float64, float64, Coefficients, Flag) {
		c, flag := m.Coefficients(&f, k, b.CG)
		return c.CL - want, c.Cm + b.Moment/(q*m.Chord), c, flag
	}
	f.Alpha = math.Max(-0.15, math.Min(0.2, (want-m.derive.CL0)/m.derive.CLAlpha))
	var out Trimmed
	for range 40 {
		e1, e2, c, flag := miss()
		out = Trimmed{Alpha: f.Alpha, Pitch: f.Pitch, CL: c.CL, CD: c.CD, Drag: c.CD * q, Flag: flag}
		if math.Abs(e1) < 1e-9 && math.Abs(e2) < 1e-9 {
			out.OK = true
			break
		}
		const h = 1e-4
		f.Alpha += h
		a1, a2, _, _ := miss()
		f.Alpha -= h
		f.Pitch += h
		p1, p2, _, _ := miss()
		f.Pitch -= h
		j11, j21, j12, j22 := (a1-e1)/h, (a2-e2)/h, (p1-e1)/h, (p2-e2)/h
		if j11 < 0.5 {
			j11 = 0.5 // past the top: step back
		}
		det := j11*j22 - j12*j21
		if math.Abs(det) < 1e-9 {
			break
		}
		da, dp := -(e1*j22-e2*j12)/det, -(e2*j11-e1*j21)/det
		lim := func(v, l float64) float64 { return math.Max(-l, math.Min(l, v)) }
		f.Alpha = lim(f.Alpha+lim(da, 0.05), 0.6)
		f.Pitch = lim(f.Pitch+lim(dp, 0.1), 0.8)
	}
	if !out.OK {
		e1, e2, _, _ := miss()
		out.OK = math.Abs(e1) < 1e-5 && math.Abs(e2) < 1e-5
	}
	out.Stick, out.WithinThrow = m.StickFor(out.Pitch)
	up, _, _ := m.Stick(1, 0, 0)
	down, _, _ := m.Stick(-1, 0, 0)
	g := f
	g.Pitch = up
	c, _ := m.Coefficients(&g, k, b.CG)
	out.SpareNoseUp = c.Cm + b.Moment/(q*m.Chord)
	g.Pitch = down
	c, _ = m.Coefficients(&g, k, b.CG)
	out.SpareNoseDown = c.Cm + b.Moment/(q*m.Chord)
	g.Pitch = 0
	c, _ = m.Coefficients(&g, k, b.CG)
	out.LiftOfControls = out.CL - c.CL
	return out
}

// StallPoint is the slowest level flight.
type StallPoint struct {
	Speed, CLMax, Alpha, Pitch float64 // m/s, -, rad, rad
	Limit                      string  // "lift", "control" (out of up elevator) or "none found"
	Eta                        float64 // where on the main wing separation is furthest, semispans
	Tip                        bool    // it starts outboard of 0.65: expect a wing drop
	Untrimmed                  float64 // CLmax without the demand for trim
	TrimCost                   float64 // what the trimming controls take from it (negative: they add)
	RollDamping                float64 // Cl per pb/2V one degree past the top: positive drives a roll on
	DropsWing                  bool    // roll damping is gone just past the top
}

// Stall finds the largest lift that can be trimmed about a centre of gravity
// (build axes) with the throws there are, and the level speed at which it
// carries a mass (kg). The Reynolds number is that of the stall itself.
// Accuracy: 0.07 to 0.1 in CLMax, 5 % in speed.
func (m *Model) Stall(mass float64, cg r3.Vec, rho, mu float64, k *Factors) StallPoint {
	v := math.Sqrt(2 * mass * g0 / (rho * m.Area))
	var s StallPoint
	for range 8 {
		s = m.top(v, cg, rho, mu, k)
		if !(s.CLMax > 0.05) {
			s.Limit = "none found"
			return s
		}
		n := math.Sqrt(2 * mass * g0 / (rho * m.Area * s.CLMax))
		done := math.Abs(n-v) < 2e-4*v
		v = n
		if done {
			break
		}
	}
	s.Speed = v
	m.describe(&s, v, cg, rho, mu, k)
	return s
}

// StallSpeed is the speed of [Model.Stall] alone, about 0.1 ms: for draws.
// NaN when no trimmed flight is found.
func (m *Model) StallSpeed(mass float64, cg r3.Vec, rho, mu float64, k *Factors) float64 {
	v := math.Sqrt(2 * mass * g0 / (rho * m.Area))
	for range 8 {
		s := m.top(v, cg, rho, mu, k)
		if !(s.CLMax > 0.05) {
			return math.NaN()
		}
		n := math.Sqrt(2 * mass * g0 / (rho * m.Area * s.CLMax))
		done := math.Abs(n-v) < 2e-4*v
		v = n
		if done {
			break
		}
	}
	return v
}

// CLMax is the largest trimmed lift coefficient at a speed (m/s) in the air
// the model was built for.
func (m *Model) CLMax(v float64, cg r3.Vec, k *Factors) StallPoint {
	s := m.top(v, cg, m.air.rho, m.air.mu, k)
	s.Speed = v
	m.describe(&s, v, cg, m.air.rho, m.air.mu, k)
	return s
}

// describe fills in what happens at the stall.
func (m *Model) describe(s *StallPoint, v float64, cg r3.Vec, rho, mu float64, k *Factors) {
	f := Flow{V: v, Rho: rho, Mu: mu, Height: math.Inf(1), Alpha: s.Alpha, Pitch: s.Pitch}
	near := math.Inf(1)
	for _, st := range m.Spread(&f, k) {
		if st.Surface == m.mainSurface() && st.Room < near {
			near, s.Eta = st.Room, st.Eta
		}
	}
	s.Tip = s.Eta > 0.65
	f.Pitch = 0
	s.Untrimmed = math.Inf(-1)
	for i := 0; i <= 60; i++ {
		f.Alpha = 0.5 * float64(i) * math.Pi / 180
		c, _ := m.Coefficients(&f, k, cg)
		if c.CL < s.Untrimmed-0.03 {
			break
		}
		s.Untrimmed = math.Max(s.Untrimmed, c.CL)
	}
	s.TrimCost = s.Untrimmed - s.CLMax
	f.Alpha, f.Pitch = s.Alpha+math.Pi/180, s.Pitch
	s.RollDamping = m.Stability(f, k, cg).ClP
	s.DropsWing = s.RollDamping > 0
}

// top finds the largest trimmed lift at a speed: a scan in steps of a degree
// and a golden section about the best, or the angle where the elevator is at
// its stop.
func (m *Model) top(v float64, cg r3.Vec, rho, mu float64, k *Factors) StallPoint {
	out := StallPoint{Limit: "lift"}
	f := Flow{V: v, Rho: rho, Mu: mu, Height: math.Inf(1)}
	up, _, _ := m.Stick(1, 0, 0)
	down, _, _ := m.Stick(-1, 0, 0)
	if up == down { // no throws given: take what a plain flap still does
		up, down = 0.45, -0.45
	}
	trimmed := func(alpha float64) (cl, pitch float64, ok bool) {
		f.Alpha = alpha
		cm := func(p float64) (float64, float64) {
			f.Pitch = p
			c, _ := m.Coefficients(&f, k, cg)
			return c.Cm, c.CL
		}
		lo, hi := down, up
		mh, clh := cm(hi)
		if mh < 0 {
			return clh, hi, false // more nose-up moment is not to be had
		}
		ml, cll := cm(lo)
		if ml > 0 {
			return cll, lo, true // the nose goes up by itself
		}
		// Illinois: the moment is nearly linear in the deflection.
		side := 0
		for range 30 {
			p := (lo*mh - hi*ml) / (mh - ml)
			v, c := cm(p)
			pitch, cl = p, c
			if math.Abs(v) < 1e-8 || hi-lo < 1e-9 {
				break
			}
			if v > 0 {
				hi, mh = p, v
				if side > 0 {
					ml /= 2
				}
				side = 1
			} else {
				lo, ml = p, v
				if side < 0 {
					mh /= 2
				}
				side = -1
			}
		}
		return cl, pitch, true
	}
	const step = math.Pi / 180
	best, at := math.Inf(-1), 0.0
	try := func(a float64) (float64, bool) {
		cl, p, ok := trimmed(a)
		if ok && cl > best {
			best, at = cl, a
			out.Alpha, out.Pitch = a, p
		}
		return cl, ok
	}
	for i := -3; i <= 32; i++ {
		a := step * float64(i)
		cl, ok := try(a)
		if !ok {
			if math.IsInf(best, -1) {
				continue // the nose stays down even with full up: try further
			}
			if at > a-1.5*step {
				out.Limit = "control"
				lo, hi := a-step, a
				for range 24 {
					mid := (lo + hi) / 2
					if _, ok := try(mid); ok {
						lo = mid
					} else {
						hi = mid
					}
				}
				if out.Pitch < 0.98*up {
					out.Limit = "lift" // trim is lost for another reason: past here the nose goes up by itself
				}
				out.CLMax = best
				return out
			}
			break
		}
		if cl < best-0.03 {
			break // past the first top: lift far beyond it is no flight
		}
	}
	if math.IsInf(best, -1) {
		return out
	}
	lo, hi := at-step, at+step
	const g = 0.6180339887498949
	for range 16 {
		p, q := hi-g*(hi-lo), lo+g*(hi-lo)
		a, okA := try(p)
		b, okB := try(q)
		switch {
		case !okB || (okA && a > b):
			hi = q
		default:
			lo = p
		}
	}
	out.CLMax = best
	return out
}

func (m *Model) mainSurface() int {
	for i := range m.groups {
		if m.groups[i].main {
			return m.groups[i].surface
		}
	}
	return 0
}

// StationLoad is the state of one spanwise group.
type StationLoad struct {
	Surface int
	Eta     float64 // place along the (half) span, 0..1
	Left    bool
	Cl      float64 // attached lift coefficient on the local chord
	Start   float64 // lift coefficient at which separation starts, deflection included
	Room    float64 // Start less Cl: negative when it separates
}

// StallReport says in words where the stall starts and what it does.
func (s StallPoint) StallReport() string {
	if s.Limit == "none found" {
		return "no trimmed flight found"
	}
	if s.Limit == "control" {
		return "the elevator runs out before the wing stalls: it mushes and does not drop a wing"
	}
	where := "at the root"
	switch {
	case s.Eta > 0.75:
		where = "at the tip"
	case s.Eta > 0.6:
		where = "on the outer wing"
	case s.Eta > 0.3:
		where = "in mid span"
	}
	switch {
	case s.DropsWing && s.Eta > 0.6:
		return "stalls first " + where + ", and roll damping goes with it: expect it to drop a wing"
	case s.DropsWing:
		return "stalls first " + where + "; roll damping goes soon after: a wing may drop"
	case s.Eta > 0.6:
		return "stalls first " + where + "; roll damping remains just past it: more washout would be safer"
	}
	return "stalls first " + where + " and keeps its roll damping at first: it nods"
}

// Spread lists the spanwise groups in a flow: which station is nearest to
// its stall, and on which side.
func (m *Model) Spread(f *Flow, k *Factors) []StationLoad {
	var out []StationLoad
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	u, v, w := f.V*ca*cb, f.V*sb, f.V*sa*cb
	i, t := m.place(f.V, f.Rho, f.Mu)
	dp, dr, dy, db := bend(f.Pitch), bend(f.Roll), bend(f.Yaw), bend(f.Brake)
	for gi := range m.groups {
		g := &m.groups[gi]
		s := g.gs[0]*u + g.gs[1]*w + g.gs[2]*f.Q + u*k.Control*(g.gs[3]*dp+g.gs[4]*db)
		a := g.ga[0]*v + g.ga[1]*f.P + g.ga[2]*f.R + u*k.Control*(g.ga[3]*dr+g.ga[4]*dy)
		for _, side := range []float64{1, -1} {
			if side < 0 && !g.twin {
				break
			}
			de := k.Control * (g.dp*f.Pitch + g.db*f.Brake + side*(g.dr*f.Roll+g.dy*f.Yaw))
			cl := 2 * k.Lift * (s + side*a) / (g.c * math.Hypot(u-side*f.R*g.y, w))
			start := g.hi*m.skins[g.surface].up.at(i, t)*k.ClMax + 0.5*g.dcl*de
			out = append(out, StationLoad{Surface: g.surface, Eta: g.eta, Left: side < 0, Cl: cl, Start: start, Room: start - cl})
		}
	}
	return out
}

// StripLoad is the lift of one strip of the lattice.
type StripLoad struct {
	Surface int
	Eta     float64 // place along the (half) span, 0..1
	Cl      float64 // attached lift coefficient on the local chord
}

// Strips lists attached lift along the spans in a flow, strip by strip of the
// lattice, right sides only; surfaces on the plane of symmetry are left out.
func (m *Model) Strips(f *Flow, k *Factors) []StripLoad {
	var out []StripLoad
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	u, v, w := f.V*ca*cb, f.V*sb, f.V*sa*cb
	ku := u * k.Control
	alike := [5]float64{u, w, k.Damping * f.Q, ku * bend(f.Pitch), ku * bend(f.Brake)}
	opposed := [5]float64{v, k.Damping * f.P, k.Damping * f.R, ku * bend(f.Roll), ku * bend(f.Yaw)}
	for j, st := range m.lattice.Strips {
		if st.Central || st.Eta < 0 {
			continue
		}
		gam := 0.0
		for c := range alike {
			gam += m.columns[0][c][j]*alike[c] + m.columns[1][c][j]*opposed[c]
		}
		out = append(out, StripLoad{Surface: st.Surface, Eta: st.Eta, Cl: 2 * k.Lift * gam / (st.Chord * math.Hypot(u-f.R*st.Mid.Y, w))})
	}
	return out
}
