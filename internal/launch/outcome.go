package launch

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/motion"
	"fledge/internal/num"
)

// Class is how a launch ended. Classes exclude each other; the first thing to
// happen decides.
type Class uint8

const (
	// Airborne: past release by 3 s or 30 m it is above its start, at 1.1
	// times stall speed or more, banked less than 60°, not stalled, not diving
	// more steeply than 20°, and has touched nothing. The only success.
	Airborne Class = iota
	// NeverLeft: it did not leave the hand, grass or ramp (no pull, too much
	// friction, ring not to be hung on), or fell at the feet within a metre.
	NeverLeft
	// GroundBeforeRelease: a corner of the airframe met the ground with the
	// ring still on the hook.
	GroundBeforeRelease
	// HookNotReleased: it passed the stake with the ring on, or hung on the
	// line until the time was up.
	HookNotReleased
	// LineSnag: the line crossed the turning propeller's disc, or lay over
	// the tail, while attached, or the falling ring met a turning pusher
	// propeller.
	LineSnag
	// Departure: beyond the angle of stall for more than 0.3 s with a sinking
	// path, the line no longer pulling.
	Departure
	// GroundAfterRelease: a corner met the ground after release.
	GroundAfterRelease
	// OverStress: load factor or line tension over a limit.
	OverStress
	// NotEstablished: none of these, yet 5 s after release still below its
	// start, too slow or banked too far.
	NotEstablished
	// NoResult: the numbers broke down, or the setup is not of this world;
	// Status says why. Not to be counted as a launch.
	NoResult
	// Classes is the number of classes.
	Classes int = iota
)

var classWords = [Classes]string{
	"airborne", "never left", "ground strike before release", "hook not released", "line snag",
	"stall or departure", "ground strike after release", "over-stress", "not established", "no result",
}

// String says it in words.
func (c Class) String() string {
	if int(c) >= Classes {
		return fmt.Sprintf("Class(%d)", int(c))
	}
	return classWords[c]
}

// Key is the word of the class for tables and JSON: kebab-case, stable.
func (c Class) Key() string { return strings.ReplaceAll(c.String(), " ", "-") }

// Status flags what a result rests on; 0 is clean.
type Status uint32

const (
	// CordBeyondTest: the rubber was stretched beyond its pull test.
	CordBeyondTest Status = 1 << iota
	// CordBeyondRubber: stretched beyond 5.2 times its length.
	CordBeyondRubber
	// CordWaves: the line end moved faster than a third of the cord's wave
	// speed: the lumped cord loses accuracy.
	CordWaves
	// AirBeyond: the aerodynamic model was outside its range at some time
	// other than a plain stall.
	AirBeyond
	// LineThroughDisc: the taut line crossed the disc of the standing
	// propeller: park the blades across.
	LineThroughDisc
	// SlackOnTheHook: the line went slack with the ring on.
	SlackOnTheHook
	// Retautened: the line came taut again with the ring on.
	Retautened
	// NoTrim: the held stick trims at no positive lift; TrimRatio is NaN.
	NoTrim
	// NoStall: no stall speed was found; ratios to it are NaN.
	NoStall
	// Impossible: the setup cannot be flown (see Setup.Check).
	Impossible
	// BrokeDown: the integration broke down.
	BrokeDown
)

var statusWords = []struct {
	s   Status
	say string
}{
	{CordBeyondTest, "the rubber was pulled further than its pull test went"},
	{CordBeyondRubber, "the rubber was pulled beyond 5.2 times its length"},
	{CordWaves, "the line ran faster than a third of the cord's wave speed: expect some ten percent of error in speed"},
	{AirBeyond, "the airflow left the range in which the aerodynamic model is valid"},
	{LineThroughDisc, "the taut line crosses the standing propeller's disc: park the blades across it"},
	{Retautened, "the line came taut again with the ring on"},
	{NoTrim, "the held stick trims at no positive lift"},
	{NoStall, "no stall speed was found"},
	{Impossible, "the setup cannot be flown"},
	{BrokeDown, "the integration broke down"},
}

// Words lists the flags in plain words.
func (s Status) Words() []string {
	var out []string
	for _, w := range statusWords {
		if s&w.s != 0 {
			out = append(out, w.say)
		}
	}
	return out
}

// Leaving is how the ring left the hook.
type Leaving uint8

const (
	// Attached: it did not.
	Attached Leaving = iota
	// SlidOff under tension.
	SlidOff
	// FellOff a slack line by its own weight and drag.
	FellOff
	// PulledBack: slid off with the line pulling backwards.
	PulledBack
	// Thrown: there was no ring: a hand launch.
	Thrown
)

// String says it in words.
func (l Leaving) String() string {
	return [...]string{"still on", "slid off", "fell off the slack line", "pulled off backwards", "left the hand"}[l]
}

// Moment is the motion at one instant.
type Moment struct {
	T          float64
	Speed      float64 // airspeed, m/s
	StallRatio float64 // Speed over the level stall speed
	// TrimRatio is Speed over the trimmed level speed at the stick then held;
	// NaN when it trims at none, and at the end of a launch that was released.
	TrimRatio float64
	Pitch     float64 // rad
	Bank      float64
	Heading   float64 // off the launch direction
	Path      float64 // climb angle over ground, rad
	Alpha     float64
	Height    float64 // of the c.g. over ground, m
	Along     float64 // m past the start
	Tension   float64 // N
	// LineShort is how far the line was from the angle at which the ring
	// slides off, rad: positive while it holds; NaN without a ring or with a
	// slack line.
	LineShort float64
	LineAngle float64 // depression of the line below the body x axis, rad
	Stretch   float64 // of the rubber, m
}

// Outcome is what became of a launch.
type Outcome struct {
	Class   Class
	Success bool
	Status  Status
	By      Leaving

	T         float64 // when it was decided, s after it was let go
	Released  bool
	AtRelease Moment // valid when Released
	AtEnd     Moment

	StallSpeed float64 // level, at this mass and air, m/s
	TrimSpeed  float64 // level, at the held stick; NaN when there is none
	HookPull   float64 // tension held at the start, N
	SlackAt    float64 // when the line first went slack with the ring on, s; 0 never
	SlackSpeed float64 // over ground then, m/s
	MaxTension float64 // N
	MaxLoad    float64 // load factor along body z, largest magnitude, with its sign
	MaxSpeed   float64 // airspeed, m/s
	MaxLine    float64 // speed of the line end towards the stake, m/s
	Clearance  float64 // least height of any corner after release, m
	MaxHeight  float64 // m

	Ledger motion.Ledger // accounts: 0 air, 1 motor, 2 line, 3 ground, rail
	Evals  int           // evaluations of the forces during the motion
	Extra  int           // of the aerodynamics besides: stall, trim, moments
	Steps  int
	Why    num.Why // of the last run
}

const degree = math.Pi / 180

// Sentence is the mechanism in one plain sentence.
func (o *Outcome) Sentence() string {
	e, r := &o.AtEnd, &o.AtRelease
	ratio := func(m *Moment) string {
		if math.IsNaN(m.StallRatio) {
			return fmt.Sprintf("%.1f m/s", m.Speed)
		}
		return fmt.Sprintf("%.1f times stall speed", m.StallRatio)
	}
	nose := func(m *Moment) string {
		switch {
		case m.Pitch < -5*degree:
			return "nose-down"
		case m.Pitch > 5*degree:
			return "nose-up"
		}
		return "level"
	}
	wing := func(m *Moment) string {
		if math.Abs(m.Bank) > 45*degree {
			return " on one wing"
		}
		return ""
	}
	ring := "the ring was still on"
	if !math.IsNaN(e.LineShort) && e.LineShort > 0 {
		ring += fmt.Sprintf(", the line %.0f° short of the angle at which it slides off", e.LineShort/degree)
	} else if o.Status&SlackOnTheHook != 0 {
		ring += " its slack line"
	}
	left := func() string {
		if o.By == Thrown {
			return fmt.Sprintf("she left the hand at %s", ratio(r))
		}
		return fmt.Sprintf("the ring %s at %.2f s at %s, %s, %.1f m up", o.By, r.T, ratio(r), nose(r), r.Height)
	}
	at := fmt.Sprintf("at %.2f s ", e.T)
	switch o.Class {
	case Airborne:
		away := "flying level"
		switch {
		case e.Path > 3*degree:
			away = "climbing away"
		case e.Path < -3*degree:
			away = "flying on, sinking,"
		}
		return fmt.Sprintf("%s; %s later she was %s at %s, %.1f m up", left(), seconds(e.T-r.T), away, ratio(e), e.Height)
	case NeverLeft:
		switch {
		case o.HookPull == 0 && o.By == Attached:
			return "the rubber did not pull: she never left"
		case e.Along > 0.05:
			return fmt.Sprintf("she moved %.1f m and came to rest or fell at the feet: the pull was too weak to fly her off", e.Along)
		}
		return "she never left: the ring would not hold or the pull did not move her"
	case GroundBeforeRelease:
		return fmt.Sprintf("%s%s; she met the ground %s%s at %s", at, ring, nose(e), wing(e), ratio(e))
	case HookNotReleased:
		return fmt.Sprintf("%s%s as she passed the stake %.1f m up at %s", at, ring, e.Height, ratio(e))
	case LineSnag:
		if o.Released {
			return fmt.Sprintf("%s; the motor turned before the falling ring was clear of the propeller", left())
		}
		return fmt.Sprintf("%sthe taut line ran through the propeller or over the tail", at)
	case Departure:
		if !o.Released {
			return fmt.Sprintf("%s%s; she had been stalled and sinking for a third of a second, %.1f m up at %s", at, ring, e.Height, ratio(e))
		}
		return fmt.Sprintf("%s; %sshe had been stalled and sinking for a third of a second, %.1f m up at %s", left(), at, e.Height, ratio(e))
	case GroundAfterRelease:
		return fmt.Sprintf("%s; %sshe met the ground %s%s at %s", left(), at, nose(e), wing(e), ratio(e))
	case OverStress:
		return fmt.Sprintf("%sthe load went over its limit: %.0f N in the line, %.1f times the weight on the wing", at, o.MaxTension, math.Abs(o.MaxLoad))
	case NotEstablished:
		return fmt.Sprintf("%s; %sshe was still up but not flying away: %s, %.1f m up, banked %.0f°", left(), at, ratio(e), e.Height, math.Abs(e.Bank)/degree)
	}
	return "no result: " + strings.Join(o.Status.Words(), "; ")
}

func seconds(t float64) string { return fmt.Sprintf("%.1f s", t) }
