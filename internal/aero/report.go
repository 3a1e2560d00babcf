package aero

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

// Stability holds the derivatives of a flight state about a centre of
// gravity, per radian; rates as pb/2V, qc/2V, rb/2V; body axes (Cl right wing
// down, Cn nose right, Cm nose up, CY right, positive).
type Stability struct {
	CLAlpha, CDAlpha, CmAlpha float64
	CLQ, CmQ                  float64
	CmAlphaDot                float64 // lag of the downwash at the tail, per alpha-dot c/2V; in Lag, not in Eval
	CYBeta, ClBeta, CnBeta    float64
	CYP, ClP, CnP             float64
	CYR, ClR, CnR             float64
	CLPitch, CmPitch          float64 // per rad of pitch deflection, nose up
	ClRoll, CnRoll            float64 // per rad of roll deflection
	CYYaw, ClYaw, CnYaw       float64 // per rad of yaw deflection
}

// Stability differences Eval about a flow (central, steps of 0.1 to 0.2
// degrees).
func (m *Model) Stability(f Flow, k *Factors, cg r3.Vec) Stability {
	diff := func(set func(*Flow, float64), h float64) Coefficients {
		a, b := f, f
		set(&a, h)
		set(&b, -h)
		ca, _ := m.Coefficients(&a, k, cg)
		cb, _ := m.Coefficients(&b, k, cg)
		d := 1 / (2 * h)
		return Coefficients{(ca.CL - cb.CL) * d, (ca.CD - cb.CD) * d, (ca.CY - cb.CY) * d, (ca.Cl - cb.Cl) * d, (ca.Cm - cb.Cm) * d, (ca.Cn - cb.Cn) * d}
	}
	var s Stability
	const h = 2e-3
	c := diff(func(f *Flow, d float64) { f.Alpha += d }, h)
	s.CLAlpha, s.CDAlpha, s.CmAlpha = c.CL, c.CD, c.Cm
	c = diff(func(f *Flow, d float64) { f.Beta += d }, h)
	s.CYBeta, s.ClBeta, s.CnBeta = c.CY, c.Cl, c.Cn
	b, l := 2*f.V/m.Span, 2*f.V/m.Chord
	c = diff(func(f *Flow, d float64) { f.Q += d * l }, h)
	s.CLQ, s.CmQ = c.CL, c.Cm
	c = diff(func(f *Flow, d float64) { f.P += d * b }, h)
	s.CYP, s.ClP, s.CnP = c.CY, c.Cl, c.Cn
	c = diff(func(f *Flow, d float64) { f.R += d * b }, h)
	s.CYR, s.ClR, s.CnR = c.CY, c.Cl, c.Cn
	c = diff(func(f *Flow, d float64) { f.Pitch += d }, h)
	s.CLPitch, s.CmPitch = c.CL, c.Cm
	c = diff(func(f *Flow, d float64) { f.Roll += d }, h)
	s.ClRoll, s.CnRoll = c.Cl, c.Cn
	c = diff(func(f *Flow, d float64) { f.Yaw += d }, h)
	s.CYYaw, s.ClYaw, s.CnYaw = c.CY, c.Cl, c.Cn
	s.CmAlphaDot = m.downwashLag(cg)
	return s
}

// DownwashLag is the pitching moment of a tail by the rate of the angle of
// attack, per alpha-dot c/2V: the downwash that reaches the tail left the wing
// l/V earlier,
//
//	Cm = -2 a V (l/c) de/da
//
// with the tail's lift slope a (per rad, on its own area), its volume V = St l/(S
// c), its arm over the mean chord and the slope of the downwash there. Source:
// Nelson, Flight Stability and Automatic Control (formula from memory).
func DownwashLag(slope, volume, arm, wash float64) float64 { return -2 * slope * volume * arm * wash }

// downwashLag is the sum of [DownwashLag] over the surfaces behind the neutral
// point that carry lift.
func (m *Model) downwashLag(cg r3.Vec) float64 {
	sum := 0.0
	for i := range m.groups {
		g := &m.groups[i]
		x := m.point.X - g.x // build
		if g.main || x < m.np || math.Abs(g.nz) < 0.3 {
			continue
		}
		eps := m.mainWash(r3.Vec{X: x, Y: g.y, Z: m.point.Z - g.z})
		if eps > 0.95 {
			continue
		}
		area := pairs(g.twin) * g.s
		slope := 2 * g.gs[1] / (1 - eps) * g.nz / g.c // per w without the wing
		arm := (x - cg.X) / m.Chord
		sum += DownwashLag(slope, area/m.Area*arm, arm, eps)
	}
	return sum
}

// Lag is the pitching moment, N m, that a change of the velocity across the
// wing of 1 m/s² (downwards through the air positive) makes: the lag of the
// downwash at a tail, less than 0 there, 0 without one. It does not depend on
// the speed. Eval has no part of it: it needs the acceleration.
func (m *Model) Lag(rho float64, cg r3.Vec) float64 {
	return m.downwashLag(cg) * rho * m.Area * m.Chord * m.Chord / 4
}

// mainWash is the slope of the downwash behind the main wing.
func (m *Model) mainWash(p r3.Vec) float64 {
	return wing.DownwashSlope(m.Span*m.Span/m.Area, m.wake.taper, m.wake.sweep, (p.Z-m.point.Z)/m.Span, math.Max(p.X-m.point.X, 0.1*m.Span)/m.Span)
}

// Traits is the summary of an aeroplane for a report.
type Traits struct {
	CLAlpha      float64 // per rad
	CLMax        float64 // untrimmed
	CLMaxTrimmed float64
	CD0, K       float64 // CD = CD0 + K CL², trimmed, fitted over the useful range of lift
	BestLD       float64 // trimmed
	BestLDCL     float64
	NeutralPoint float64 // build x, m
	StaticMargin float64 // mean chords
	Efficiency   float64 // span efficiency of the lattice
}

// Traits computes the summary for a mass (kg) and centre of gravity at the
// model's reference speed, in the air it was built for.
func (m *Model) Traits(mass float64, cg r3.Vec, k *Factors) Traits {
	s := m.Stall(mass, cg, m.air.rho, m.air.mu, k)
	return m.TraitsAt(&s, cg, k)
}

// TraitsAt is [Model.Traits] where the stall is known already.
func (m *Model) TraitsAt(s *StallPoint, cg r3.Vec, k *Factors) Traits {
	t := Traits{
		CLAlpha: m.clAlpha, CLMax: s.Untrimmed, CLMaxTrimmed: s.CLMax, NeutralPoint: m.np,
		StaticMargin: m.StaticMargin(cg.X), Efficiency: m.derive.SpanEfficiency,
	}
	// Least squares on CD over CL².
	var n, sx, sy, sxx, sxy float64
	for i := range 9 {
		cl := s.CLMax * (0.15 + 0.07*float64(i))
		v := m.vRef
		tr := m.Trim(Balance{V: v, Rho: m.air.rho, Mu: m.air.mu, Lift: cl * 0.5 * m.air.rho * v * v * m.Area, CG: cg}, k)
		if !tr.OK {
			continue
		}
		x := tr.CL * tr.CL
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+tr.CD, sxx+x*x, sxy+x*tr.CD
		if ld := tr.CL / tr.CD; ld > t.BestLD {
			t.BestLD, t.BestLDCL = ld, tr.CL
		}
	}
	if d := n*sxx - sx*sx; n >= 3 && d > 0 {
		t.K = (n*sxy - sx*sy) / d
		t.CD0 = (sy - t.K*sx) / n
	} else {
		t.K, t.CD0 = math.NaN(), math.NaN()
	}
	return t
}
