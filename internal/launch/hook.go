package launch

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Hook is the launch hook: a pin in the plane of symmetry whose free end
// points aft and droops by Rake (0: straight aft, 90°: straight down).
//
// A ring under the pull of the line slides off when the pull lies within the
// complement of the friction angle of the free end: with psi the angle
// between the two and phi = atan(friction),
//
//	psi < 90° - phi;  in the plane of symmetry, the line depressed by delta
//	below the body x axis:  Rake + delta > 90° + phi.
//
// On a slack line it falls off by its own weight (and the drag of the line on
// it) under the same law with the weight in place of the pull: level wings,
// no drag: Rake + pitch > phi.
type Hook struct {
	At       r3.Vec  // build axes, m
	Rake     float64 // rad
	Friction float64 // of ring on pin
	// Burr is an added angle, rad, that the pull must go beyond: a burr, a
	// kink or a bent tip, what is left over when the ring is hung
	// on the pin and the pull on it tilted until it slides off.
	Burr  float64
	Depth float64 // length of pin that the ring travels, m
}

// Pin is the direction of the free end in body axes.
func (h *Hook) Pin() r3.Vec {
	s, c := math.Sincos(h.Rake)
	return r3.Vec{X: -c, Z: s}
}

// Grip is the angle phi that the friction and the burr hold, rad.
func (h *Hook) Grip() float64 { return math.Atan(h.Friction) + h.Burr }

// SlideAngle is the depression of the line below the body x axis beyond which
// the ring slides off under tension, rad: 90° + phi - Rake. Zero or negative:
// the hook will not hold a ring.
func (h *Hook) SlideAngle() float64 { return math.Pi/2 + h.Grip() - h.Rake }

// FallPitch is the pitch attitude above which a ring on a slack line falls off
// by its own weight, wings level, rad.
func (h *Hook) FallPitch() float64 { return h.Grip() - h.Rake }

// Short is how far the pull direction (body axes, unit) is from letting the
// ring slide off, rad: positive while it holds.
func (h *Hook) Short(pull r3.Vec) float64 {
	p := h.Pin()
	c := math.Max(-1, math.Min(1, p.X*pull.X+p.Y*pull.Y+p.Z*pull.Z))
	return math.Acos(c) - (math.Pi/2 - h.Grip())
}

// SlideTime is about how long the ring takes along the pin when the pull f, N,
// on the mass m, kg, of ring and line end makes the angle psi, rad, with the
// free end; +Inf when friction holds it.
func (h *Hook) SlideTime(f, m, psi float64) float64 {
	push := f * (math.Cos(psi) - math.Tan(h.Grip())*math.Sin(psi))
	if push <= 0 {
		return math.Inf(1)
	}
	return math.Sqrt(2 * h.Depth * m / push)
}
