package radio

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// Field is what an antenna sends in one direction: the amplitude of the
// electric field along each axis, for a gain of 1 an amplitude of 1. It is
// square to the direction.
type Field [3]complex128

// Power is the gain that a field stands for (not in dB).
func (e *Field) Power() float64 {
	p := 0.0
	for _, c := range e {
		p += real(c)*real(c) + imag(c)*imag(c)
	}
	return p
}

// Kind is a generic kind of antenna; the table of kinds is craft's.
type Kind = craft.AntennaKind

// KindOf finds a kind by its word.
func KindOf(word string) (Kind, bool) { return craft.AntennaOf(word) }

// Antenna is one antenna in space: Axis is a unit vector along the wire (or the
// direction of a beam), in the axes in which directions are asked for.
type Antenna struct {
	Kind Kind
	Gain float64 // dBi, at its best
	Axis r3.Vec
	Left bool    // turns left, of a circular one
	Fill float64 // what a built antenna sends in its nulls, relative to its best gain; 0 in the ideal

	set                   bool
	amp, floor, power, ar float64 // set by ready
	e1, e2                r3.Vec
}

// ready computes what does not change with the direction.
func (a *Antenna) ready() {
	if !a.set {
		g := math.Pow(10, a.Gain/10)
		a.amp, a.floor = math.Sqrt(g), g*a.Fill
		a.ar = math.Pow(10, -a.Kind.Axial/20)
		if a.Left {
			a.ar = -a.ar
		}
		if a.Kind.Beam { // cos^power, half at half of the width
			a.power = math.Log(0.5) / math.Log(math.Cos(a.Kind.Width/2))
		}
		a.set = true
	}
	if a.Kind.Beam || a.Kind.Word == "crossed dipoles" {
		u := r3.Vec{Z: 1}
		if math.Abs(a.Axis.Z) > 0.9 {
			u = r3.Vec{X: 1}
		}
		a.e1 = r3.Unit(r3.Cross(a.Axis, u))
		a.e2 = r3.Cross(a.Axis, a.e1)
	}
}

// Towards is the field the antenna sends in the direction of the unit vector
// u, without its fill.
func (a *Antenna) Towards(u r3.Vec) (e Field) {
	if !a.set {
		a.ready()
	}
	c := r3.Dot(a.Axis, u)
	s2 := math.Max(0, 1-c*c)
	switch {
	case a.Kind.Beam:
		if c <= 0 {
			return e // the back: fill alone
		}
		amp := a.amp * math.Pow(c, a.power/2)
		// Field of a small source: e1 and, when circular, e2 a quarter wave behind,
		// both turned square to u.
		p, q := square(a.e1, u), square(a.e2, u)
		if !a.Kind.Circular {
			add(&e, r3.Unit(p), complex(amp, 0))
			return e
		}
		k := amp / math.Sqrt(1+a.ar*a.ar)
		add(&e, r3.Unit(p), complex(k, 0))
		add(&e, r3.Unit(q), complex(0, -k*a.ar))
	case a.Kind.Word == "crossed dipoles":
		// Along the axis both add to twice one dipole's power in two polarisations.
		k := a.amp / math.Sqrt2
		dipole(&e, a.e1, u, complex(k, 0))
		hand := complex(0, -k)
		if a.Left {
			hand = -hand
		}
		dipole(&e, a.e2, u, hand)
	default:
		if s2 < 1e-18 {
			return e
		}
		s := math.Sqrt(s2)
		f := s
		if a.Kind.Word == "dipole" || a.Kind.Word == "whip" {
			f = math.Cos(math.Pi/2*c) / s
		}
		along := r3.Scale(1/s, square(a.Axis, u))
		if !a.Kind.Circular {
			add(&e, along, complex(a.amp*f, 0))
			return e
		}
		k := a.amp * f / math.Sqrt(1+a.ar*a.ar)
		add(&e, along, complex(k, 0))
		add(&e, r3.Cross(u, along), complex(0, -k*a.ar))
	}
	return e
}

func dipole(e *Field, axis, u r3.Vec, k complex128) {
	c := r3.Dot(axis, u)
	s2 := 1 - c*c
	if s2 < 1e-18 {
		return
	}
	s := math.Sqrt(s2)
	add(e, r3.Scale(1/s, square(axis, u)), k*complex(math.Cos(math.Pi/2*c)/s, 0))
}

// square is the part of v square to the unit vector u.
func square(v, u r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(v, u), u)) }

func add(e *Field, v r3.Vec, k complex128) {
	e[0] += k * complex(v.X, 0)
	e[1] += k * complex(v.Y, 0)
	e[2] += k * complex(v.Z, 0)
}

// dot is the open-circuit voltage of an antenna with field r in a wave e.
func dot(e, r *Field) complex128 { return e[0]*r[0] + e[1]*r[1] + e[2]*r[2] }

// Elliptic is the share of power taken between two elliptic polarisations of
// signed axial ratios r1 and r2 (amplitudes, + right, - left) whose long axes
// stand dtau apart (rad):
// ((1+r1²)(1+r2²) + 4 r1 r2 + (1-r1²)(1-r2²) cos 2 dtau)/(2 (1+r1²)(1+r2²)).
// Source: Balanis (from memory; its limits are tested).
func Elliptic(r1, r2, dtau float64) float64 {
	a, b := 1+r1*r1, 1+r2*r2
	return (a*b + 4*r1*r2 + (1-r1*r1)*(1-r2*r2)*math.Cos(2*dtau)) / (2 * a * b)
}
