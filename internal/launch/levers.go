package launch

import (
	"math"
)

// Lever is one setting that a person can change at the field.
type Lever struct {
	Path      string // of the build file
	Label     string
	Unit      string // a unit.Dim name
	Low, High float64
	Get       func(*Setup) float64
	Set       func(*Setup, float64)
}

// Levers lists the settings of a launch that can be searched, with the range
// that gear and structure allow: the stretch stays within the pull test,
// within a working stretch of the rubber and within the safe pull (factor
// over the weakest of hook, line and stake); the rest within what people do.
func (s *Setup) Levers(factor float64) []Lever {
	out := []Lever{
		{"launch.stick.pitch", "up stick held", "ratio", -0.2, 0.8, func(s *Setup) float64 { return s.StickPitch }, func(s *Setup, v float64) { s.StickPitch = v }},
		{"launch.held.nose_up", "nose-up angle at the start", "angle", 0, 30 * degree, func(s *Setup) float64 { return s.NoseUp }, func(s *Setup, v float64) { s.NoseUp = v }},
	}
	if s.Hold == ByHand || s.Way == Hand {
		out = append(out, Lever{"launch.held.height", "height of the hand", "length", 0.8, 2.1, func(s *Setup) float64 { return s.Height }, func(s *Setup, v float64) { s.Height = v }})
	}
	if s.Motor != nil && !s.MotorOff {
		low := 0.2
		if s.Way == Hand {
			low = -1
		}
		out = append(out, Lever{"launch.motor_delay", "motor delay after release", "time", low, 3, func(s *Setup) float64 { return s.MotorDelay }, func(s *Setup, v float64) { s.MotorDelay = v }})
	}
	if s.Way == Bungee && s.Cord != nil {
		high := math.Min((WorkingStretch-1)*s.Cord.Slack, 1.05*s.Cord.Tested)
		if safe, _, ok := s.Cord.SafePull(factor*s.CordFactor, s.MaxTension); ok {
			high = math.Min(high, safe)
		}
		if high > 0 {
			out = append(out, Lever{"launch.bungee.stretch", "stretch of the bungee", "length", 0.2 * high, high, func(s *Setup) float64 { return s.Stretch }, func(s *Setup, v float64) { s.Stretch = v }})
		}
	}
	if s.Way == Hand {
		out = append(out, Lever{"launch.throw.path_up", "climb angle of the throw", "angle", 0, 25 * degree, func(s *Setup) float64 { return s.PathUp }, func(s *Setup, v float64) { s.PathUp = v }})
	}
	return out
}

// Score is a number that rises from -1 (failed at once) over 0 (failed just
// before it would have been safe) to 1 to 2 (success; more with more
// clearance and speed in hand): for searches that need a slope where odds
// are all zero. It is not a probability.
func (o *Outcome) Score() float64 {
	if o.Success {
		c := math.Max(0, math.Min(o.Clearance, 2)) / 2
		v := math.Max(0, math.Min(o.AtEnd.StallRatio-1.1, 0.5)) / 0.5
		if math.IsNaN(v) {
			v = 0
		}
		return 1 + 0.7*c + 0.3*v
	}
	if o.Class == NoResult || o.Class == NeverLeft || o.Class == OverStress {
		return -1
	}
	return -1 / (1 + math.Max(0, o.T))
}
