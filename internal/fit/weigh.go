package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const gravity = 9.80665

// Scale is one scale under the aeroplane: where it carries and what it
// shows (kg), with one standard deviation of each.
type Scale struct {
	At                r3.Vec
	Reading           float64
	Sigma, PlaceSigma float64
}

// Weighing is what the scales say.
type Weighing struct {
	Mass, MassSigma float64
	CG, Sigma       r3.Vec // x and y; z is not weighed
	HasY            bool   // the scales stand at different y
	Why             string // "" when it can be said
}

// Weigh turns scale readings into mass and centre of gravity with their
// doubt: Σ r x / Σ r, doubts propagated to first order, taken as independent.
// The aeroplane must be level: a tilt θ moves x by the height of the centre of
// gravity times θ.
func Weigh(scales []Scale) Weighing {
	var w Weighing
	if len(scales) < 2 {
		w.Why = "one scale weighs, but it takes two or three to find the balance"
		return w
	}
	var v float64
	for _, s := range scales {
		if !(s.Reading >= 0) || math.IsInf(s.Reading, 0) || math.IsNaN(s.At.X+s.At.Y) {
			w.Why = "a reading or place is not a number, or negative"
			return w
		}
		w.Mass += s.Reading
		v += s.Sigma * s.Sigma
		w.CG = r3.Add(w.CG, r3.Scale(s.Reading, s.At))
		w.HasY = w.HasY || math.Abs(s.At.Y-scales[0].At.Y) > 1e-9
	}
	spread := 0.0
	for _, s := range scales {
		spread = math.Max(spread, math.Hypot(s.At.X-scales[0].At.X, s.At.Y-scales[0].At.Y))
	}
	switch {
	case !(w.Mass > 0):
		w.Why = "the scales show nothing"
		return w
	case spread < 1e-6:
		w.Why = "the scales stand at the same place"
		return w
	}
	w.MassSigma = math.Sqrt(v)
	w.CG = r3.Scale(1/w.Mass, w.CG)
	w.CG.Z = math.NaN()
	var sx, sy float64
	for _, s := range scales {
		dx, dy := (s.At.X-w.CG.X)/w.Mass*s.Sigma, (s.At.Y-w.CG.Y)/w.Mass*s.Sigma
		p := s.Reading / w.Mass * s.PlaceSigma
		sx += dx*dx + p*p
		sy += dy*dy + p*p
	}
	w.Sigma = r3.Vec{X: math.Sqrt(sx), Y: math.Sqrt(sy), Z: math.NaN()}
	return w
}

// Disagreement is the weighed mass over the parts list's, less one; wrong is
// true beyond 20 %: then one of the two is wrong, and nothing should be
// computed before it is found.
func Disagreement(weighed, listed float64) (share float64, wrong bool) {
	share = weighed/listed - 1
	return share, !(math.Abs(share) <= 0.20)
}

// Swing is an inertia from a swing test with its standard deviation, kg m².
type Swing struct{ Inertia, Sigma float64 }

// Timing is one swing test: mass m (kg), length of the lines l (m), place of
// the lines r (m: half their spacing on two, radius on three), period t (s),
// with one standard deviation of each.
type Timing struct{ M, L, R, T, SM, SL, SR, ST float64 }

// Bifilar is the inertia about the vertical axis half way between two
// parallel lines: m g r² T²/(4π² L). Small swings: 10° are 0.2 % too long. The
// aeroplane hangs with its centre of gravity between the lines; surrounding air adds to the
// inertia of a large light wing. NaN for what is not positive.
func Bifilar(t Timing) Swing {
	if !(t.M > 0 && t.L > 0 && t.R > 0 && t.T > 0) {
		return Swing{math.NaN(), math.NaN()}
	}
	i := t.M * gravity * t.R * t.R * t.T * t.T / (4 * math.Pi * math.Pi * t.L)
	rel := math.Sqrt(sq(t.SM/t.M) + sq(t.SL/t.L) + sq(2*t.SR/t.R) + sq(2*t.ST/t.T))
	return Swing{i, i * rel}
}

// Trifilar is the same with three lines on a circle of radius r, with the
// plate that carries the aeroplane taken off: m is the mass of both, plate the
// inertia of the plate alone (its own swing with its own mass), 0 without one.
func Trifilar(t Timing, plate Swing) Swing {
	s := Bifilar(t)
	return Swing{s.Inertia - plate.Inertia, math.Hypot(s.Sigma, plate.Sigma)}
}

func sq(x float64) float64 { return x * x }

// Spot is an allowed place for ballast.
type Spot struct {
	Name string
	X    float64
}

// TiltHeight is the height of the centre of gravity, build z, from a second
// weighing with the nose up by tilt (rad) on supports whose places, z too, are
// given in build axes as before: nose up, a point moves to x cos tilt + z sin
// tilt along the floor. sigma is one standard deviation from the readings and
// places; small tilts make it large: 15° and more are worth it.
func TiltHeight(level Weighing, tilted []Scale, tilt float64) (z, sigma float64, why string) {
	sin, cos := math.Sincos(tilt)
	if level.Why != "" {
		return math.NaN(), 0, level.Why
	}
	if !(math.Abs(sin) > 0.02) || !(cos > 0.1) {
		return math.NaN(), 0, "tilt it by more than a degree and less than upright"
	}
	floor := make([]Scale, len(tilted))
	for i, s := range tilted {
		floor[i] = s
		floor[i].At = r3.Vec{X: s.At.X*cos + s.At.Z*sin, Y: s.At.Y}
	}
	w := Weigh(floor)
	if w.Why != "" {
		return math.NaN(), 0, w.Why
	}
	if _, wrong := Disagreement(w.Mass, level.Mass); wrong {
		return math.NaN(), 0, "the two weighings differ by more than 20 %: something carries beside the scales"
	}
	return (w.CG.X - level.CG.X*cos) / sin, math.Hypot(w.Sigma.X, level.Sigma.X*cos) / math.Abs(sin), ""
}
