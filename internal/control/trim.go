package control

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Flow is the state in which [Airframe] is asked: airspeed m/s, incidence
// rad, roll and pitch rate rad/s in body axes, deflections of the pitch axis
// (trailing edge up positive) and of the roll axis (right wing down positive), rad.
type Flow struct{ V, Alpha, P, Q, Pitch, Roll float64 }

// Airframe gives the aerodynamic force (N) and the moment about the centre
// of gravity (N m), body axes x forward, y right, z down. ok is false outside
// the model's range (a stalled wing, say).
type Airframe func(Flow) (force, moment r3.Vec, ok bool)

// Trim is a steady flight state.
type Trim struct {
	V, Load      float64 // airspeed, load factor normal to the path
	Alpha, Pitch float64 // incidence; pitch-axis deflection, trailing edge up positive
	Why          string  // "" when found; else why there is none
}

// Level solves for the incidence and pitch deflection at which the aeroplane
// of weight (N) flies at airspeed v with the load factor n, turning in pitch at
// (n-1) g/v: lift n times the weight, no pitching moment. Thrust is
// taken along the path through the centre of gravity, and drag is left to the
// caller. Newton's method from α = 0; residuals below 1e-9 of the weight.
func Level(air Airframe, weight, v, n float64) Trim {
	t := Trim{V: v, Load: n}
	if air == nil || !(weight > 0) || !(v > 0) || !finite(n, v, weight) {
		t.Why = "no airframe, weight or speed to trim at"
		return t
	}
	const g = 9.80665
	q := (n - 1) * g / v
	residual := func(a, d float64) (float64, float64, bool) {
		f, m, ok := air(Flow{V: v, Alpha: a, Q: q, Pitch: d})
		s, c := math.Sincos(a)
		return (f.X*s-f.Z*c)/weight - n, m.Y / weight, ok
	}
	var a, d float64
	within := false
	for range 60 {
		var l, m float64
		l, m, within = residual(a, d)
		if math.Abs(l) < 1e-9 && math.Abs(m) < 1e-9 {
			if !within {
				t.Why = "the wing is stalled or outside the model's range there"
			}
			t.Alpha, t.Pitch = a, d
			return t
		}
		const h = 1e-5
		la, ma, _ := residual(a+h, d)
		ld, md, _ := residual(a, d+h)
		la, ma, ld, md = (la-l)/h, (ma-m)/h, (ld-l)/h, (md-m)/h
		det := la*md - ld*ma
		if !finite(det) || det == 0 {
			t.Why = "the surfaces have no hold on pitch there"
			return t
		}
		da, dd := (ld*m-md*l)/det, (ma*l-la*m)/det
		const step = 0.1 // keeps the path inside the linear range
		if k := math.Max(math.Abs(da), math.Abs(dd)) / step; k > 1 {
			da, dd = da/k, dd/k
		}
		a, d = a+da, d+dd
		if math.Abs(a) > 1.2 || math.Abs(d) > 1.2 {
			break
		}
	}
	t.Why = "no incidence and deflection hold it there"
	return t
}

// RollThrow is the roll-axis deflection that gives a steady roll rate p
// (rad/s) at airspeed v and incidence alpha: no rolling moment. ok is false when
// the surfaces have no hold on roll. Secant on a nearly linear function, to 1e-9.
func RollThrow(air Airframe, v, alpha, p float64) (float64, bool) {
	if air == nil || !(v > 0) || !finite(v, alpha, p) {
		return 0, false
	}
	moment := func(d float64) float64 {
		_, m, _ := air(Flow{V: v, Alpha: alpha, P: p, Roll: d})
		return m.X
	}
	d0, d1 := 0.0, 0.05
	m0, m1 := moment(d0), moment(d1)
	scale := math.Abs(m0) + math.Abs(m1)
	for range 40 {
		if m1 == m0 {
			return 0, false
		}
		d2 := d1 - m1*(d1-d0)/(m1-m0)
		if !finite(d2) || math.Abs(d2) > 1.5 {
			return 0, false
		}
		d0, m0, d1 = d1, m1, d2
		m1 = moment(d1)
		if math.Abs(m1) < 1e-9*scale || math.Abs(d1-d0) < 1e-12 {
			return d1, true
		}
	}
	return 0, false
}
