package launch

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/motion"
	"fledge/internal/power"

	"gonum.org/v1/gonum/spatial/r3"
)

// Airframe is what the launch asks of the aerodynamics: *aero.Model is one.
type Airframe interface {
	// Eval fills out with forces and moments about the setup's Point.
	Eval(f *Flow, k *AeroFactors, out *Loads)
	// Stick gives axis deflections, rad, for stick positions -1..1 (up, right,
	// nose right), neutral trim included.
	Stick(pitch, roll, yaw float64) (dPitch, dRoll, dYaw float64)
}

// Drive is what the launch asks of the power train: *power.Model is one.
type Drive interface {
	At(v, throttle float64, k *PowerFactors) Point
	Stopped(v float64) float64 // drag of the stopped propeller, N
}

// Types of the neighbouring rooms, under short names.
type (
	Flow         = aero.Flow
	Loads        = aero.Loads
	AeroFactors  = aero.Factors
	Point        = power.Point
	PowerFactors = power.Factors
)

// Way is how it leaves.
type Way uint8

const (
	// Bungee: pulled off by rubber.
	Bungee Way = iota
	// Hand: thrown.
	Hand
)

// Hold is what holds the aeroplane before it is let go.
type Hold uint8

const (
	// ByHand: held in the hand at Height, let go at rest.
	ByHand Hold = iota
	// OnGrass: lying on its belly; slides until it lifts.
	OnGrass
	// InCradle: in a cradle at Height that only carries; free at once.
	InCradle
	// OnRamp: guided along Ramp metres of rail at the angle NoseUp.
	OnRamp
)

// Setup is one launch in plain numbers: every field may be varied between
// runs. Lengths of geometry are in build axes. A Setup is not changed by Run;
// one Setup may serve several workspaces at once.
type Setup struct {
	Way Way

	// The aeroplane.
	Mass      float64
	Inertia   [3][3]float64 // about the c.g., body axes
	CG        r3.Vec        // build axes
	Reference r3.Vec        // build axes: the aero moments are about this point
	Corners   []r3.Vec      // build axes: what may touch the ground
	Tail      []r3.Vec      // build axes: corners of what a line may foul behind the hook
	Aero      Airframe      // nil: no air forces (checks)
	AeroK     AeroFactors
	// Lag is the pitching moment, N m, per m/s² of velocity across the wing
	// (aero.Model.Lag): the downwash that a tail feels is that of a moment ago.
	Lag float64
	// StallAngle is where the search of the stall begins, rad; 0: it begins
	// anew. It spares evaluations and changes the stall speed by 1e-3 at most.
	StallAngle float64

	// The drive. Motor nil or MotorOff: none.
	Motor      Drive
	MotorK     PowerFactors
	Prop       Propeller
	MotorOff   bool
	MotorDelay float64 // s after release; negative: running since it is let go
	Throttle   float64 // 0..1
	Spool      float64 // s from standing to speed

	// The stick: up, right, nose right, -1..1, held from the start until
	// StickUntil s after release (+Inf: to the end), then centred.
	StickPitch, StickRoll, StickYaw float64
	StickUntil                      float64
	Damper                          float64 // share of full stick per rad/s against roll, pitch and yaw rates
	// TakeOver is when the pilot begins to fly, s after release (after
	// StickUntil, if that is later and finite): eases the wings level and the
	// nose to a climb. +Inf: never. FromAircraft sets [Reaction].
	TakeOver float64
	Pilot    Pilot

	// The start.
	Hold                Hold
	Height              float64 // of the c.g. over ground (not OnGrass), m
	NoseUp, Roll, Aim   float64 // rad; Aim: heading off the line to the stake, right positive
	Ramp, RampFriction  float64 // m, -
	RateP, RateQ, RateR float64 // rad/s, what the hand gives at letting go
	Speed, PathUp       float64 // throw, over ground, m/s, rad
	// SpeedMass is the mass for which Speed is meant: the throw of another
	// mass follows [ThrowFactor]. 0: Speed as it stands.
	SpeedMass float64

	// The gear.
	Cord         *Cord
	CordFactor   float64 // on the pull: stiffness, warmth, ageing; 1
	Returned     float64 // share of the stored energy given back, 0..1
	Stretch      float64 // extension of the rubber at the start, m
	LineLength   float64 // m
	LineDiameter float64 // m
	LineMass     float64 // line and ring, kg
	RingMass     float64 // kg, of LineMass
	FlagDrag     float64 // drag area at the ring end, m²
	StakeHeight  float64 // m
	Hook         Hook

	// Limits, 0 when not known: over them the launch is over-stressed.
	MaxTension float64 // N: weakest of hook, line and stake
	MaxLoad    float64 // load factor along body z

	// The day.
	Gravity     float64
	Rho, Mu     float64
	Wind        air.Wind // From is measured from the launch direction
	Gust        Gust
	Turbulence  Turbulence
	Slope       float64 // of the ground, rising along the launch, rad
	GrassGrip   float64 // friction coefficient of the belly on the ground
	BackRelease bool    // passing the stake with the ring on is allowed: the line may pull it off backwards

	// What counts as success; see [Defaults].
	Rule Rule

	Accuracy motion.Accuracy
	Record   float64 // s between trajectory rows, 0: none

	shape *craft.Surface // whose corners these are
}

// Propeller is what the launch needs to know of the propeller.
type Propeller struct {
	At          r3.Vec  // hub, build axes
	Radius      float64 // m
	Turn        float64 // +1 clockwise seen from behind, -1
	Inertia     float64 // of the rotating parts, kg m²
	Down, Right float64 // thrust line, rad
	Pusher      bool    // disc behind the hook and the wing
}

// Gust is a 1-cosine gust, m/s at its peak in launch axes, that begins Start
// metres of air after the start and lasts Length metres of air (twice the
// gradient distance of 14 CFR 25.341).
type Gust struct {
	Head, Right, Up float64 // against the launch; from the left to the right; upwards
	Start, Length   float64
}

// Turbulence is a frozen field of Dryden turbulence, if On. Its slow part may
// be given (Guided, see [air.Even]; a step is half a metre of air, the first
// begins 2 m behind the start); the rest comes from seed and sample.
type Turbulence struct {
	On           bool
	U20          float64 // mean wind at 6.1 m, m/s
	Scale        float64 // on all deviations
	Seed, Sample uint64
	Guided       bool
	Even         air.Even
}

// TurbulenceOf is the turbulence at the height of a launch whose deviation
// along the wind is sigma, m/s; the other axes in proportion ([air.DrydenAt]).
func TurbulenceOf(sigma float64, seed, sample uint64) Turbulence {
	d, _ := air.DrydenAt(0, 1)
	return Turbulence{On: sigma > 0, U20: sigma / d.SigmaU, Scale: 1, Seed: seed, Sample: sample}
}

// Rule is what counts as airborne; the zero value of a field means the default.
type Rule struct {
	After    float64 // s past release from when success may be declared, default 3 (reference flight 7.9: 3 to 5 s)
	Distance float64 // m flown past release (along the path), from when it may be declared too, default 30
	Least    float64 // but not before s past release, default 1 (our choice), and not before the motor has had 0.5 s when one is planned
	Until    float64 // s past release at which it must have succeeded, default 5
	Stall    float64 // airspeed over stall speed, default 1.1
	Bank     float64 // rad, default 60°
	Dive     float64 // rad: not while the path falls more steeply, default 20° (ours, added to the reference's rule: a dive from a great height is no success)
	Wait     float64 // s for the release, default 5
	Stalled  float64 // s beyond the stall, sinking, that count as departure, default 0.3
	Passed   float64 // m beyond the stake with the ring on, default 2
}

func (r Rule) filled() Rule {
	or := func(p *float64, v float64) {
		if *p == 0 {
			*p = v
		}
	}
	or(&r.After, 3)
	or(&r.Distance, 30)
	or(&r.Least, 1)
	or(&r.Until, 5)
	or(&r.Stall, 1.1)
	or(&r.Bank, 60*degree)
	or(&r.Dive, 20*degree)
	or(&r.Wait, 5)
	or(&r.Stalled, 0.3)
	or(&r.Passed, 2)
	return r
}

// Defaults gives a Setup with the neutral values that are not zero: factors of
// one, standard gravity and air, stick held to the end.
func Defaults() Setup {
	return Setup{
		AeroK: aero.Neutral(), MotorK: power.Neutral(),
		StickUntil: math.Inf(1), TakeOver: math.Inf(1), Pilot: CalmPilot(), CordFactor: 1, Returned: 0.85,
		Gravity: motion.StandardGravity, Rho: 1.225, Mu: 1.789e-5,
		GrassGrip: 0.45, Throttle: 1, Spool: 0.4, RingMass: 0.005,
		Prop:     Propeller{Turn: 1},
		Accuracy: Quick,
	}
}

// Accuracies of a run. Quick is meant for odds: against Fine it moves the speed
// at release by 4e-4 (rms; 5e-3 at worst) and the class of one launch
// in 200 (see the tests), far inside the model's own doubt. Fine is for
// single launches that are shown or compared; against ten times finer the
// speed at release moves by 5e-5 at most.
var (
	Quick = motion.Accuracy{Rel: 1e-4, Pos: 1e-3, Vel: 1e-3, Att: 1e-4, Rate: 3e-3, MaxStep: 0.1, Looks: 2}
	Fine  = motion.Accuracy{Rel: 1e-7, Pos: 1e-5, Vel: 1e-5, Att: 1e-7, Rate: 1e-6, MaxStep: 0.02, Looks: 4}
)

// Pilot is how the pilot flies from [Setup.TakeOver] on: stick in proportion to
// what is wrong, full stick only for gross errors. The pilot acts only well
// after release: what the launch does until then is the held stick's doing.
type Pilot struct {
	Ease        float64 // s over which the held stick goes over into flying
	Climb       float64 // pitch aimed at, rad
	Pitch, Roll float64 // stick per unit of the sine of what is wrong
	Rate        float64 // stick per rad/s
}

// CalmPilot is a calm sportsman (our choice).
func CalmPilot() Pilot {
	return Pilot{Ease: 0.3, Climb: 12 * degree, Pitch: 1.5, Roll: 1, Rate: 0.1}
}

// Reaction is how long after release the pilot takes over, s: seeing that the
// line is off, deciding, moving (our choice, about a driver's braking
// reaction).
const Reaction = 0.7

// Note is something about a Setup that its owner should hear before or with
// the result. Code is stable and kebab-case.
type Note struct {
	Code, Path, Say string
	// Grave: no launch can come of it.
	Grave bool
}

// Check lists what is odd or impossible about a setup. Run copes with all of
// it (its outcome's Status says what went wrong); nothing here panics.
func (s *Setup) Check() []Note {
	var out []Note
	add := func(grave bool, code, path, say string) { out = append(out, Note{code, path, say, grave}) }
	if _, ok := motion.NewBody(s.Mass, s.Inertia); !ok {
		add(true, "not-a-body", "parts", "mass and inertia are not those of a real body")
	}
	if s.Way == Hand {
		if !(s.Speed > 0) {
			add(true, "no-throw", "launch.throw.speed", "a throw of no speed")
		} else if s.Speed > 25 {
			add(false, "throw-fast", "launch.throw.speed", "no arm throws a model that fast")
		}
	} else {
		switch {
		case s.Cord == nil || len(s.Cord.w) == 0:
			add(true, "no-cord", "launch.bungee", "the pull of the rubber is not known")
		case !(s.Stretch > 0):
			add(true, "slack", "launch.bungee.stretch", "the rubber is slack at the start: nothing pulls")
		default:
			l := 1 + s.Stretch/s.Cord.Slack
			switch {
			case l > BreakingStretch:
				add(true, "breaks", "launch.bungee.stretch", "stretched beyond where natural rubber breaks (7.6 times its length)")
			case l > Crystallisation:
				add(false, "crystallises", "launch.bungee.stretch", "stretched beyond 5 times its length rubber stiffens and gives less back")
			case l > WorkingStretch:
				add(false, "long-stretch", "launch.bungee.stretch", "stretched beyond 4 times its length: good practice stays below")
			}
			if s.Stretch > 1.05*s.Cord.Tested {
				add(false, "beyond-test", "launch.bungee.stretch", "pulled further than the pull test went: the pull is extrapolated by the shape of rubber")
			}
		}
		if s.Hook.SlideAngle() <= 0 {
			add(true, "no-hold", "launch.bungee.hook.rake", "the hook droops so much that it will not hold a ring")
		}
		if !(s.Hook.Friction > 0) {
			add(false, "no-friction", "launch.bungee.hook.friction", "no ring slides without friction: measure it")
		}
		if s.Hook.At.X > s.CG.X {
			add(false, "hook-aft", "launch.bungee.hook.x", "the hook is behind the centre of gravity: the line turns the nose away from its pull")
		}
		if s.MaxTension > 0 && s.Cord != nil && len(s.Cord.w) > 0 {
			if f, _, _ := s.Cord.At(s.Stretch); f*s.CordFactor > s.MaxTension {
				add(true, "over-pull", "launch.bungee.stretch", "the held pull is more than hook, line or stake can take")
			}
		}
		if s.LineMass < s.RingMass {
			add(false, "ring-mass", "launch.bungee.line.mass", "line and ring weigh less than the ring alone")
		}
	}
	if h := s.Height; s.Hold != OnGrass && !(h > 0) {
		add(true, "no-height", "launch.held.height", "the start is at or below the ground")
	}
	if w := s.Wind.At(math.Max(s.Height, 0.5)); w > 12 {
		add(false, "strong-wind", "day.wind", "more wind than a small model should be launched into")
	}
	if s.Aero == nil {
		add(false, "no-air", "", "no air forces: a check of the mechanics only")
	}
	return out
}
