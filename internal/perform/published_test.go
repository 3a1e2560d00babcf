package perform

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// ApproachRun is the ground distance from height h at airspeed v, glide angle
// γ and headwind w.
func ApproachRun(h, v, gamma, w float64) float64 {
	return h * (v*math.Cos(gamma) - w) / (v * math.Sin(gamma))
}

// Slide is SlideOn over level ground.
func Slide(m, area, mu, cl, cd, rho, v, w float64) (distance, time float64) {
	return SlideOn(m, area, mu, cl, cd, rho, v, w, 0)
}
