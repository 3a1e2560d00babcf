// Package control is how an aeroplane is set up: trim and throws, the
// linkage between servo and surface, servo pulses, mixing, and what to type
// into a return-home function. It computes kinematics exactly and asks for
// aerodynamics through one function, [Airframe].
//
// Signs: a surface deflection is positive trailing edge up. Angles are
// radians, lengths metres, pulses seconds; linkage coordinates are those of
// each type's comment. A linkage that cannot do what is asked gives a
// [Status], never a clipped angle.
package control

import (
	"math"

	"fledge/internal/cite"
)

// Status says whether a computed position means anything.
type Status uint8

const (
	// OK: the position is exact.
	OK Status = iota
	// Open: rod, arm and horn cannot meet: the linkage cannot be closed here.
	Open
	// Locked: the position lies beyond a dead centre of the horn.
	Locked
	// OverCentre: the position lies beyond a dead centre of the arm, where the surface turns back.
	OverCentre
	// Bad: a length or axis is zero, negative or not a number.
	Bad
)

// String names the status in words.
func (s Status) String() string {
	switch s {
	case OK:
		return "ok"
	case Open:
		return "cannot close"
	case Locked:
		return "locks"
	case OverCentre:
		return "goes over centre"
	case Bad:
		return "impossible dimensions"
	}
	panic("control: no such status")
}

// Judgement is what a result says of its limit.
type Judgement uint8

const (
	// Pass: the whole 90 % interval meets the limit.
	Pass Judgement = iota
	// Doubtful: the value meets the limit, its interval does not.
	Doubtful
	// Fail: the value does not meet the limit.
	Fail
	// Unknown: an input is missing that has no honest default.
	Unknown
	// NotAsked: there is nothing to judge.
	NotAsked
	// Information: a number without a limit.
	Information
)

// String names the judgement.
func (j Judgement) String() string {
	return [...]string{"pass", "doubtful", "fail", "unknown", "not asked", "information"}[j]
}

// Result is one judged number of control or strength. Min and Max are NaN
// where there is no such limit. Margin is the distance to the nearer limit
// over the size of that limit, positive inside; NaN without a limit. Sigma is
// one standard deviation of Value; Ends, unless both are zero, are the ends of
// its 90 % interval where that is lopsided.
type Result struct {
	ID, Label, Unit       string
	Value, Sigma          float64
	Ends                  [2]float64
	Min, Max, Margin      float64
	Status                Judgement
	Safety                bool
	Because, Caution, How string // why; what to beware of; what would change it
	Refs                  []cite.Ref
}

// z90 is the half width of a 90 % interval in standard deviations.
const z90 = 1.6448536269514722

// Judge fills Margin and, unless the status is Unknown, NotAsked or
// Information, Status from Value, Sigma, Min and Max by the rule of the
// design: pass when the whole 90 % interval meets the limits, doubtful when
// only the value does, fail otherwise; a value that is not a number is unknown.
func (r Result) Judge() Result {
	lo, hi := !math.IsNaN(r.Min), !math.IsNaN(r.Max)
	r.Margin = math.NaN()
	if r.Status == NotAsked || r.Status == Unknown {
		r.Value, r.Sigma = math.NaN(), 0
		return r
	}
	if math.IsNaN(r.Value) {
		r.Status = Unknown
		return r
	}
	if lo {
		r.Margin = (r.Value - r.Min) / size(r.Min)
	}
	if hi {
		if m := (r.Max - r.Value) / size(r.Max); !lo || m < r.Margin {
			r.Margin = m
		}
	}
	if r.Status == Information || !lo && !hi {
		r.Status = Information
		return r
	}
	if math.IsNaN(r.Sigma) || r.Sigma < 0 {
		r.Sigma = math.Inf(1) // a doubt that is not known is no certainty
	}
	low, high := r.Interval()
	switch {
	case lo && r.Value < r.Min || hi && r.Value > r.Max:
		r.Status = Fail
	case lo && low < r.Min || hi && high > r.Max:
		r.Status = Doubtful
	default:
		r.Status = Pass
	}
	return r
}

// Interval is the 90 % interval of the value: Ends, else Value ± 1.645 Sigma.
// A quantity that cannot be negative (any but an angle) whose interval would
// reach below zero has the same spread on a log scale. NaN without a value.
func (r *Result) Interval() (low, high float64) {
	switch {
	case math.IsNaN(r.Value):
		return math.NaN(), math.NaN()
	case r.Ends != [2]float64{}:
		return r.Ends[0], r.Ends[1]
	}
	low, high = r.Value-z90*r.Sigma, r.Value+z90*r.Sigma
	if r.Value > 0 && low < 0 && !math.IsInf(r.Sigma, 1) && r.Unit != "rad" && r.Unit != "°" {
		k := math.Exp(z90 * r.Sigma / r.Value)
		low, high = r.Value/k, r.Value*k
	}
	return low, high
}

func size(limit float64) float64 {
	if limit == 0 {
		return 1
	}
	return math.Abs(limit)
}
