// Package craft turns a build into an aircraft: geometry, mass properties,
// the parts in their places, and the provenance of every number. It fills in
// what the user did not give, says so, and widens the doubt. It computes no
// aerodynamics.
//
// Geometry is in build axes from the user's datum: x aft, y right, z up,
// metres, radians. Inertia is about the centre of gravity in body axes: x
// forward, y right, z down. An Aircraft is made by [New] only and is never
// changed; [Aircraft.With] gives a changed copy.
package craft

import (
	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/power/typical"
	"fledge/internal/tune"
)

// Aircraft is one aeroplane with its launch gear and its day, in SI.
type Aircraft struct {
	Name      string
	Surfaces  []Surface
	Body      []BodyStation // nose first; empty when there is no body
	Extras    []Extra
	Parts     []Part // with the propeller; mirrored parts stand twice
	Linkages  []Linkage
	Spar      Spar
	Joiner    Spar
	HookPad   HookPad
	Bolts     []Bolt
	WingTest  WingTest
	Power     Power
	Radios    []Radio
	Circuit   Circuit
	Course    Course
	Obstacles []Obstacle
	Launch    Launch
	Flight    Flight
	Landing   Landing
	Day       Day
	Limits    Limits
	Claims    []Claim

	Inside     Inside
	Weighing   Weighing
	Ballast    []BallastSpot
	Deviations []Deviation

	Trial   Trial
	Ref     Reference
	Factors Factors  // values of the model factors, in the order of Tune
	Tune    tune.Set // what they are
	Mass    Mass

	Inputs  []Input      // every number with doubt, in file order
	Knobs   []Knob       // every number, for searches: see Turn
	Assumed []Assumption // what was filled in, and why
	Hash    string       // of the build and its attachments, and of what was taught

	Taught      []Taught // learned factors in use: see Teach
	TaughtHash  string   // of them; "" untaught
	Unlearned   []string // why learned factors are not used
	BenchTaught bool     // the bench rows are in what was taught
	mixes       []mix
}

// Reference lengths of the main wing: the surface with the largest area.
type Reference struct {
	Wing  int     // index of the main wing in Surfaces
	Area  float64 // projected on the x-y plane, both halves, m²
	Span  float64 // m
	Chord float64 // mean aerodynamic chord, m
	XLE   float64 // leading edge of the mean aerodynamic chord, build x, m
	Point r3.Vec  // quarter point of the mean aerodynamic chord, build axes: aero moments are about this point
}

// Surface is one lifting surface. When Mirrored, the stations are the right half.
type Surface struct {
	Name     string
	Mirrored bool
	Stations []Station
	Controls []Control
}

// Station is one section of a surface at its leading edge.
type Station struct {
	LE        r3.Vec
	Chord     float64
	Twist     float64 // nose up positive, against the datum line
	Section   string  // designation, or the name of an attached file; "" when unknown
	Text      []byte  // content of the attached file
	Polar     []byte  // measured polars, CSV; nil when none
	Thickness float64 // over chord; 0 when taken from the section
	ThickAt   float64 // where an unknown section is thickest, over chord; 0 when the section is known
}

// Control is a hinged part of a surface.
type Control struct {
	Name       string
	From, To   float64 // along y (along z for an upright surface), m
	ChordShare float64
	// Share of each axis command that this control takes, 0 or 1.
	Pitch, Roll, Yaw, Brake float64
	ThrowUp, ThrowDown      float64 // rad at full stick, both positive
	Trim                    float64 // neutral, trailing edge up positive
	Sealed                  bool
	Mass                    float64 // of one side, 0 when not known
	Balance                 float64 // centre of mass behind the hinge
	BalanceKnown            bool    // it was found
	Heights                 Heights
}

// BodyStation is one cross section of the body.
type BodyStation struct{ X, Z, Width, Height float64 }

// Extra is a small thing in the air stream.
type Extra struct {
	Name, Kind            string
	At                    r3.Vec
	Length, Width, Height float64
	DragArea              float64 // 0 when to be computed
	Count                 int
}

// Part is a box with mass; its place is its centre.
type Part struct {
	Name, Kind   string
	Mass         float64
	At, Size     r3.Vec
	MinAt, MaxAt r3.Vec // room to move; equal to At where it may not
	Movable      bool
	Index        int  // of the build's part it comes from
	Twin         bool // the mirrored one
	SizeKnown    bool

	SizeSigma, AtSigma r3.Vec  // standard deviations of size and place
	Lugs, Plug         r3.Vec  // what they add to its size along each axis
	CutLugs            bool    // its lugs may be cut off
	Round              int     // 1, 2, 3: a cylinder along x, y, z; 0: a box
	Bend               float64 // least bend radius of its leads
	Bay, Equipment     string
	DragArea, Heat     float64 // m², W
	Price              float64
	Priced             bool
}

// Mass is the mass properties.
type Mass struct {
	Total   float64
	CG      r3.Vec        // build axes
	Inertia [3][3]float64 // about the c.g., body axes, kg m²; the off-diagonals are minus the products of inertia
}

// Linkage is servo, arm, rod and horn of one control.
type Linkage struct {
	Control, Servo              string
	Torque, Speed, Travel       float64
	Arm, Horn, Rod, RodDiameter float64
	RodMaterial, HornMaterial   string
	HornRoot, HornWidth, Play   float64
	Known                       bool // torque given or taken from the class of servo
	HolePlay, ServoPlay         float64
	StallCurrent                float64 // A, of one servo; 0 when not known
	Print                       string  // of a printed horn: "along", "across" its length; "" when not said
	HornHeat                    float64 // K, 0 when not said
	HornCycles                  int     // 0 when not said
	Stiffness, StiffnessDoubt   float64 // of the control about its hinge, N m/rad, 0 when not measured; relative standard deviation
	Pulse                       Pulse
	Place                       Linked
	Skin                        Skin
}

// Pulse is how a servo answers its pulse, s and s/rad; 0 where not said.
type Pulse struct{ Centre, PerRad, Low, High, Step float64 }

// Linked is how servo and hinge stand to each other; see build.Linked. Reach
// is 0 when it follows from the rod; Skew holds only when Skewed, else it is
// the hinge's sweep.
type Linked struct {
	ArmLean, HornLean, Drop, Aside, Reach, Skew float64
	Skewed                                      bool
}

// Skin is the room for arm and rod, from the servo's shaft; 0 where not said.
type Skin struct{ Above, Below, Slot float64 }

// Heights is a ruler behind a control, m up; NaN where not read. Chord is 0
// when nothing was measured.
type Heights struct {
	Chord, Sigma                 float64 // Sigma of one reading
	RightUp, RightMid, RightDown float64
	LeftUp, LeftMid, LeftDown    float64
}

// Bolt is a set of like screws; see build.Bolt.
type Bolt struct {
	Holds, Material, Into, Seat      string
	Count                            int
	Diameter, Lever, Engaged, Washer float64 // 0 where not said
}

// WingTest is what was measured of a wing half held at its root; 0 where not.
type WingTest struct {
	Bend, Twist             float64 // Hz
	Axis, Balance           float64 // shares of the chord
	HalfMass                float64
	Couple, Angle, CoupleAt float64 // of a twist test; CoupleAt 0: at the tip
	Load, Moves, LoadAt     float64 // of a bend test; LoadAt 0: at the tip
}

// Spar is the wing's main spar at its weakest place; Kind "" when not described.
type Spar struct {
	Kind, Material             string
	Outer, Inner, Width, Along float64
	Moment                     float64 // proof moment, 0 when none
}

// HookPad is how the launch hook is held; Known false when not described.
type HookPad struct {
	Known                             bool
	Material                          string
	Diameter, Proud, PadLong, PadWide float64
	Holds                             float64
}

// Power is the electric drive. Place is "tractor", "pusher" or "" (a glider).
type Power struct {
	Place    string
	Throttle float64 // most that the transmitter gives, 1: full
	// Down and Right tilt the thrust line, rad: the pull points below the datum
	// line, and to the right.
	Down, Right float64
	Battery     Battery
	Motor       Motor
	Controller  Controller
	Propeller   Propeller
	Wiring      Wiring
	Bench       []BenchRow
}

// Battery is the flight pack.
type Battery struct {
	Part            string
	Cells, Parallel int
	Chemistry       string
	Capacity        float64   // coulomb, of the pack
	CellResistance  float64   // ohm, of one cell
	Worst           float64   // resistance of the worst cell read over the mean; 0: none were read
	Read            []float64 // ohm, each cell as read; nil: none were
	// RestShift is how the rest voltage lies off its chemistry's, by readings of
	// a discharge ([typical.RestShift]); zero: none were taken.
	RestShift                    [3]float64
	Limit                        float64 // ampere, 0 when not known
	Charge, Reserve, Temperature float64
	Cutoff                       float64 // volt per cell
}

// RestVoltage is what one cell shows at rest at the share of charge, V.
func (b *Battery) RestVoltage(charge float64) float64 {
	return typical.RestVoltage(b.Chemistry, charge) + typical.RestShift(b.RestShift, charge)
}

// Motor is the motor.
type Motor struct {
	Part                     string
	KV                       float64 // rad/s per volt
	Resistance               float64
	IdleCurrent, IdleVoltage float64
	Limit                    float64 // 0 when not known
	Mass                     float64
	Poles                    int
	Turns                    string // as wired, looking at its shaft; "" when not said
}

// Controller is the speed controller.
type Controller struct {
	Part              string
	Limit, Resistance float64 // Limit 0 when not known
	Supply            float64 // what its receiver supply may carry, A; 0 when not known
}

// Propeller is the propeller.
type Propeller struct {
	Diameter, Pitch    float64
	Blades             int
	Style              string // "sport", "thin", "slow", "folding"
	Right              bool   // clockwise seen from behind
	At                 r3.Vec
	Mass               float64
	Geometry, Measured []byte  // attached CSV files, nil when none
	Limit              float64 // rad/s, 0 when not known
	ZeroThrust         float64 // measured advance ratio at which it stops pulling, 0 when not known
}

// Wiring is the lead between battery and controller.
type Wiring struct {
	Gauge     int     // AWG
	Length    float64 // one way
	Connector float64 // ohm
	Limit     float64 // ampere, 0 when not known
}

// BenchRow is one reading on the bench; 0 means not read. Bare: the motor
// turned without its propeller.
type BenchRow struct {
	Volts, Amps, Omega, Pull, Throttle float64
	Bare                               bool
}

// Launch is the way it leaves.
type Launch struct {
	By                    string // "bungee", "hand"
	Bungee                Bungee
	Throw                 Throw
	Held                  Held
	StickPitch, StickRoll float64 // share of full stick, up and right positive
	StickYaw              float64
	StickUntil            float64 // s after release; +Inf when held to the end
	MotorDelay            float64 // s after release (negative: before)
	MotorOff              bool
	Throttle              float64
	Damper                float64 // share of full throw per rad/s
}

// Bungee is rubber, line, stake and hook.
type Bungee struct {
	PullStretch, PullForce   []float64 // pull test, rising
	Slack, CordMass          float64
	Outer, Bore              float64
	Strands                  int
	Returned                 float64
	LineLength, LineDiameter float64
	LineMass, FlagDrag       float64
	StakeHeight, StakeHolds  float64
	Stretch                  float64
	Hook                     r3.Vec
	Rake, Friction, Depth    float64
	Burr                     float64 // rad, beyond friction
	HookCount                int
	Limit                    float64
}

// Throw is a hand launch.
type Throw struct {
	Speed, PathUp       float64
	RateP, RateQ, RateR float64 // at leaving the hand; 0 nominal, scatter in Inputs
}

// Held is how it is held at the start.
type Held struct {
	By                              string
	Height, NoseUp, Roll, Aim, Ramp float64
}

// Flight is how it is meant to be flown; 0 when not said.
type Flight struct {
	Speed, Cruise, Time, Bank, Loiter, Radius, Height float64
	Pull, RollRate                                    float64 // wanted at full stick: load factor, rad/s
	Home                                              Home
}

// Home is what is wanted when a signal goes; 0 and "" when not said.
type Home struct {
	Speed, Bank, Radius, Height float64
	Link, Picture               string
}

// Day is the weather and field of one day.
type Day struct {
	Wind, WindHeight, Gust float64 // m/s, m, m/s (Gust 0 when not reported)
	OffAxis                float64 // wind from the right of the launch direction
	Temperature            float64 // K
	Pressure               float64 // station pressure, Pa
	Humidity               float64 // 0..1
	Height                 float64 // m above sea level
	Surface                string
	Slope                  float64
}

// Limits are the limits in force; the maker's are 0 (or NaN ranges) when there are none.
type Limits struct {
	LaunchOdds, TakeoffMass          float64
	StaticMarginMin, StaticMarginMax float64
	BalanceMin, BalanceMax           float64 // 0,0 when none
	ServoShare, SafetyFactor         float64
	TopSpeed, Reserve, LinkMargin    float64
	FieldLength, LoadFactor          float64
}

// Claim is what somebody says of this aeroplane; Value in SI.
type Claim struct {
	What, By, Text string
	Value          float64
}

// Trial is a what-if with no owner.
type Trial struct{ Mass, DragArea float64 }

// Kind says whether an input scatters with each launch or is merely unknown.
type Kind uint8

const (
	// Ignorance: one true value that better knowledge would narrow.
	Ignorance Kind = iota
	// Scatter: changes with each launch (gusts, the hand).
	Scatter
)

// Input is one number with doubt. Set writes a value into an Aircraft that
// With has copied; it never touches the original.
type Input struct {
	Path    string
	Label   string // in words: "stretch of the cord"
	Nominal float64
	Sigma   float64 // one standard deviation
	Low     float64 // hard bounds of the quantity (-Inf, +Inf when none)
	High    float64
	Kind    Kind
	How     string // how to measure it at home
	Unit    string // a unit.Dim name, for printing
	Model   bool   // a factor of a model, not a number of the build
	Taught  bool   // learned: nominal and spread are those of the lesson
	Set     func(*Aircraft, float64)
	shape   bool
}

// Assumption is a number that the user did not give.
type Assumption struct {
	Path, Label, Why string
	Value            string // printed with its unit
	Ref              string // cite key
}

// Factors holds the model factors by their place in Aircraft.Tune.
type Factors [16]float64

// Factor returns the value of the model factor with that name; it panics on a
// name that tune does not list.
func (a *Aircraft) Factor(name string) float64 {
	for i := range a.Tune {
		if a.Tune[i].Name == name {
			return a.Factors[i]
		}
	}
	panic("craft: no model factor " + name)
}

// Shape reports whether the input is a number of the outer shape, so that a
// draw acts through differences of the lattice and not through Vary.
func (in *Input) Shape() bool { return in.shape }

// Knob is one number of the build that a search may turn.
type Knob struct {
	Path, Label, Dim string
	Value            float64
	Given            bool
	Low, High        float64
	Word             string // of a choice: 0 is what the build says, 1 is this word
	set              func(*Aircraft, float64)
}

// Knob returns the knob with that path.
func (a *Aircraft) Knob(path string) (Knob, bool) {
	for _, k := range a.Knobs {
		if k.Path == path {
			return k, true
		}
	}
	return Knob{}, false
}

// Turn returns a copy with the number at path set to v, as if the build said
// so: doubt stays what it was and is centred on v. It reports false when the
// build has no such number. The shape's numbers are turned too, but models
// built from the old shape are then no longer its own.
func (a *Aircraft) Turn(path string, v float64) (*Aircraft, bool) {
	k, ok := a.Knob(path)
	if !ok {
		return nil, false
	}
	c := a.copied(true)
	k.set(c, v)
	c.Inputs = append([]Input(nil), a.Inputs...)
	for i := range c.Inputs {
		if c.Inputs[i].Path == path {
			c.Inputs[i].Nominal = v
		}
	}
	c.Knobs = append([]Knob(nil), a.Knobs...)
	for i := range c.Knobs {
		if c.Knobs[i].Path == path {
			c.Knobs[i].Value = v
		}
	}
	c.Ref = reference(c.Surfaces)
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c, true
}
