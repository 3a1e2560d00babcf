// Package assess is the whole chain in one place: from an aircraft, the day
// and the learned factors to results, nominal and with their doubt. It calls
// the rooms in order and knows no physics of its own; what the results mean
// is verdict's business.
package assess

import (
	"fledge/internal/air"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/launch"
	"fledge/internal/odds"
	"fledge/internal/perform"
	"fledge/internal/strength"
)

// Quantity is a number with its 90 % interval of ignorance, in SI. Low and
// High equal Value when there is no doubt. When Status is not empty the number
// could not be computed and Value is NaN.
type Quantity struct {
	Value, Low, High float64
	Unit             string
	Status           string
}

// ID names one scalar result that is drawn.
type ID int

// The scalar results.
const (
	Mass          ID = iota // kg
	BalanceX                // c.g. from the datum, m
	NeutralX                // neutral point from the datum, m
	StaticMargin            // share of the mean chord
	StallSpeed              // m/s
	TopSpeed                // level, m/s
	DiveSpeed               // full throttle, 30 degrees down, m/s
	CruiseSpeed             // m/s
	ClimbRate               // m/s
	ClimbAngle              // rad
	EnduranceTime           // s, at cruise
	Range                   // m
	FastEndurance           // s, at full throttle
	TurnRadius              // tightest sustained, m
	LoiterRadius            // at cruise and the bank set, m
	StaticThrust            // N
	CurrentMax              // A
	CurrentCruise           // A
	GlideRatio              // -
	ApproachSpeed           // m/s
	Touchdown               // over the ground, m/s
	LandingRun              // m, from 10 m height
	Deceleration            // m/s²
	TrimApproach            // pitch stick to trim the approach, share of full
	TrimCruise              // pitch stick to trim cruise
	GustLoad                // load factor in the day's gust at top speed
	MotorTime               // s at full throttle to the motor's limit temperature
	RunIn95                 // m from cruise to 95 % of the top speed, level
	RunIn99                 // m to 99 %
	RunTime95               // s of that run
	RunTime99
	GlideSpeed    // m/s, of the best glide
	LeastSink     // m/s, motor off; at the stall where the optimum lies below it
	ClimbSpeed    // m/s, of the best climb
	LapTime       // s, of the circuit
	LapEnergy     // J out of the pack, with it half way to the reserve
	CircuitTime   // s of the circuit to the reserve
	CircuitLaps   // laps to the reserve
	GoRoundClimb  // m/s at approach speed, full throttle, pack at its reserve
	ApproachAngle // rad below level in still air
	ApproachRun   // m to the flare
	FlareRun      // m, flare and float
	SlideRun      // m on the belly
	SlideTime     // s
	TouchdownSink // m/s, after the flare
	Friction      // of the belly
	GlideAngle    // rad, steepest it comes down at the approach speed, motor off
	TrimThrottle  // pitch stick that opening the throttle from nothing to full asks for at cruise, share of full
	idCount
)

// meta describes a scalar result.
var meta = [idCount]struct{ key, unit string }{
	Mass: {"mass", "kg"}, BalanceX: {"cg_x", "m"}, NeutralX: {"neutral_point_x", "m"}, StaticMargin: {"static_margin", "1"},
	StallSpeed: {"stall_speed", "m/s"}, TopSpeed: {"top_speed", "m/s"}, DiveSpeed: {"dive_speed", "m/s"}, CruiseSpeed: {"cruise_speed", "m/s"},
	ClimbRate: {"climb_rate", "m/s"}, ClimbAngle: {"climb_angle", "rad"}, EnduranceTime: {"endurance", "s"}, Range: {"range", "m"}, FastEndurance: {"endurance_full_throttle", "s"},
	TurnRadius: {"turn_radius", "m"}, LoiterRadius: {"loiter_radius", "m"}, StaticThrust: {"static_thrust", "N"},
	CurrentMax: {"current_max", "A"}, CurrentCruise: {"current_cruise", "A"}, GlideRatio: {"glide_ratio", "1"},
	ApproachSpeed: {"approach_speed", "m/s"}, Touchdown: {"touchdown_speed", "m/s"}, LandingRun: {"distance", "m"}, Deceleration: {"deceleration", "m/s2"},
	TrimThrottle: {"trim_by_throttle", "1"},
	TrimApproach: {"trim_approach", "1"}, TrimCruise: {"trim_cruise", "1"}, GustLoad: {"gust_load", "1"}, MotorTime: {"motor_time_to_limit", "s"},
	RunIn95: {"run_in_95", "m"}, RunIn99: {"run_in_99", "m"}, RunTime95: {"run_in_95_time", "s"}, RunTime99: {"run_in_99_time", "s"},
	GlideSpeed: {"best_glide_speed", "m/s"}, LeastSink: {"least_sink", "m/s"}, ClimbSpeed: {"climb_speed", "m/s"}, LapTime: {"lap_time", "s"}, LapEnergy: {"lap_energy", "J"},
	CircuitTime: {"circuit_time", "s"}, CircuitLaps: {"circuit_laps", "1"}, GoRoundClimb: {"go_round_climb", "m/s"}, ApproachAngle: {"approach_angle", "rad"}, GlideAngle: {"approach_glide_angle", "rad"},
	ApproachRun: {"approach_run", "m"}, FlareRun: {"flare_run", "m"}, SlideRun: {"slide", "m"}, SlideTime: {"slide_time", "s"}, TouchdownSink: {"sink_at_touchdown", "m/s"}, Friction: {"friction", "1"},
}

// Key is the stable name of a scalar result, as in the JSON.
func (i ID) Key() string { return meta[i].key }

// Unit is its unit.
func (i ID) Unit() string { return meta[i].unit }

// IDs lists all scalar results in order.
func IDs() []ID {
	out := make([]ID, idCount)
	for i := range out {
		out[i] = ID(i)
	}
	return out
}

// Numbers holds all scalar results of one draw.
type Numbers [idCount]perform.Value

// Launch is the launch's result.
type Launch struct {
	Asked    bool
	By       string   // "bungee", "hand"
	Grave    bool     // no launch can come of this setup
	Odds     Quantity // chance of success; Low and High hold ignorance and sampling
	Sampling [2]float64
	N        int
	Outcome  *odds.Outcome
	Nominal  launch.Outcome  // with everything at its nominal value
	Typical  *launch.Outcome // a launch that stands for the most frequent failure; nil when none failed
	Warnings []string
	// Medians and 90 % ranges over all draws that got a release.
	Speed, StallRatio, TrimRatio, Pitch, Height, Path Quantity
	Tension                                           Quantity // largest pull on the hook, N
	LoadFactor                                        Quantity
}

// Results is everything verdict and report need.
type Results struct {
	Aircraft *craft.Aircraft
	Hash     string
	Seed     uint64
	Draws    int // of ignorance, for intervals
	Launches int

	Air             air.State
	DensityAltitude float64

	Numbers  [idCount]Quantity
	Launch   Launch
	Heat     []strength.Warmth // of the drive at full throttle
	Links    []LinkResult      // in the order of the build; none when none is described
	Way      Way               // what the links were watched along
	Sortie   *Sortie           // nil when not asked
	Strength []strength.Result
	Fit      *fit.Sheet       // nil when not asked
	Setup    []control.Result // linkages and throws, nominal
	Slowest  Slowest          // what sets the slowest flight, nominal
	Notes    []string         // what is coarse in these results
}

// Get returns one scalar result.
func (r *Results) Get(id ID) Quantity { return r.Numbers[id] }
