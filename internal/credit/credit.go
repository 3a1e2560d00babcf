// Package credit is our own assessment of how far each room's answers can be
// believed, on the published scale of NASA-STD-7009 (0 to 4 for each of its
// factors), with the reason for every level. docs/credibility.md prints it
// whole, each verdict in short. It is data; nothing is computed but the
// weakest link.
package credit

import "fledge/internal/cite"

// Factor is one of the scale's factors that a room is judged by.
type Factor int

// The factors, in the scale's order. What the scale asks beside of whole
// organisations (use history, management, people) is said once, in [Beside].
const (
	Verification Factor = iota // is the mathematics solved right
	Validation                 // is it the right mathematics
	Pedigree                   // where the constants and default inputs come from
	Uncertainty                // is the doubt of the result known
	Robustness                 // is it known what the result hangs on
	Factors
)

// Names of the factors.
var Names = [Factors]string{"verification", "validation", "input pedigree", "results uncertainty", "results robustness"}

// Scale says what a level of a factor asks for, in our words, after the
// standard's table; from memory.
var Scale = [Factors][5]string{
	Verification: {"no evidence", "the equations were checked", "the key features are under unit and regression tests", "the numerical error is estimated formally", "the numerical error is small for every important feature"},
	Validation:   {"no evidence", "the equations agree with simple referents", "agrees with measurements or other models on unit problems", "agrees with measurements on problems of interest", "agrees with measurements of the real system in its real use"},
	Pedigree:     {"no evidence", "traceable to common practice", "traceable to published documents", "agrees with measurements on problems of interest", "agrees with measurements of the real system"},
	Uncertainty:  {"no evidence", "in words", "by judgement, or for the nominal case", "by draws over the uncertain inputs", "by draws, with numerical and model error in them and coverage tested"},
	Robustness:   {"no evidence", "in words", "known for a few inputs", "known for many inputs", "known for most inputs, the key ones found and named"},
}

// Source of the scale.
var Source = cite.NASASTD7009.At("credibility assessment scale", cite.Memory)

// Room is one room's assessment.
type Room struct {
	Name    string // the package
	Answers string // what it contributes, in the user's words
	Level   [Factors]int
	Because [Factors]string
}

// Weakest is the lowest level and its factor, the first of equals.
func (r *Room) Weakest() (Factor, int) {
	f := Factor(0)
	for k := range Factors {
		if r.Level[k] < r.Level[f] {
			f = k
		}
	}
	return f, r.Level[f]
}

// Find looks a room up by its package's name.
func Find(name string) *Room {
	for i := range Rooms {
		if Rooms[i].Name == name {
			return &Rooms[i]
		}
	}
	return nil
}

// Rooms in the order of the flow.
var Rooms = []Room{
	{
		"air", "the day's air, wind and gusts",
		[Factors]int{4, 3, 2, 3, 3},
		[Factors]string{
			"table rows to the last printed digit, spectra recovered from long records",
			"the standard atmosphere is measured air; the wind's growth with height and its gusts are flat-country laws, not this field",
			"standards and published tables",
			"wind and gust scatter in every draw",
			"wind and gust stand among the inputs whose share of the doubt is computed",
		},
	},
	{
		"section", "section drag, moment and maximum lift",
		[Factors]int{3, 3, 2, 3, 2},
		[Factors]string{
			"closed-form flows, similar boundary layers, panel refinement",
			"tunnel polars of several sections at model Reynolds numbers, in docs/accuracy.md point by point; thin noses at low Reynolds numbers stall later than measured",
			"closures from the published literature",
			"deviation from the tunnel, by Reynolds number, is drawn as a factor",
			"drag and maximum lift are drawn as whole factors; the shape of the polar is not",
		},
	},
	{
		"wing", "lift, downwash, neutral point",
		[Factors]int{4, 3, 2, 3, 3},
		[Factors]string{
			"against independent lattices, closed forms and refinement",
			"published wings' slopes, centres and spans' efficiencies; few of them swept and tailless at this size",
			"geometry as measured by the user",
			"geometry's doubts through differences of the lattice",
			"neutral point and static margin stand in the shares of the doubt",
		},
	},
	{
		"aero", "the whole aircraft's forces at any attitude",
		[Factors]int{3, 2, 2, 3, 3},
		[Factors]string{
			"symmetry, limits, oracle comparisons, a sweep without jumps",
			"low-aspect-ratio wings measured at Re 100,000, a section through 180 degrees; no whole model of this kind in a tunnel",
			"drag of small parts from handbooks",
			"factors for drag, lift, maximum lift, damping, control in every draw",
			"total shares over all of them",
		},
	},
	{
		"prop", "the propeller's thrust and torque",
		[Factors]int{3, 3, 2, 3, 2},
		[Factors]string{
			"momentum bounds, closed-form optimum, refinement",
			"measured propellers of 4 to 9 in with their geometry, advancing and at rest; three of them miss their tolerance, and why is not settled",
			"blade families are drawn from diameter and pitch when no geometry is given",
			"factors for thrust, torque and advance in every draw",
			"known for these three",
		},
	},
	{
		"power", "motor, controller, battery, heat",
		[Factors]int{3, 3, 2, 3, 3},
		[Factors]string{
			"table against direct solution, energy balance, inversion",
			"eight motors on a stand, part throttle, a cell's discharges, a whole train in a tunnel; heat resistances are common practice only",
			"labels are read with the spread that measured ones show",
			"motor constant, resistances, cell and rest voltage in every draw",
			"shares over all of them",
		},
	},
	{
		"control", "trim, throws, linkage, servos",
		[Factors]int{4, 2, 2, 3, 2},
		[Factors]string{
			"planar and spatial linkages against exact kinematics",
			"hinge moments against thin-airfoil theory and a few measured flaps, none at this size",
			"the user's own arms, rods and labels",
			"hinge moments, servo torque and supply with their spreads",
			"known for the linkage's lengths",
		},
	},
	{
		"strength", "what breaks, what flutters",
		[Factors]int{4, 2, 2, 2, 2},
		[Factors]string{
			"closed forms for beams, cells, columns; published flutter cases",
			"closed forms only; no model of this kind was broken on purpose",
			"material data from handbooks and published tests; printed and glued parts scatter widely",
			"spreads by judgement on materials and loads",
			"each limit names what it assumes",
		},
	},
	{
		"radio", "margins of control, video and telemetry",
		[Factors]int{4, 1, 2, 3, 2},
		[Factors]string{
			"against published sums for free space, ground and edges",
			"no link was measured in the air",
			"powers and sensitivities as set and as labelled",
			"powers, thresholds, ground and attitude with their spreads",
			"what power, height and place of the antenna buy is computed",
		},
	},
	{
		"launch", "the launch and its odds",
		[Factors]int{4, 1, 2, 4, 4},
		[Factors]string{
			"energy ledger, published check cases of rigid-body motion, closed-form throws, step halving",
			"rubber against measured pulls, throws against measured throws; no launch of a model was logged against it",
			"cord, hand and hook from measured pulls and published throws",
			"ignorance and scatter apart, coverage tested on synthetic worlds",
			"total shares over all inputs; the largest is asked for by name",
		},
	},
	{
		"perform", "speeds, climb, endurance, landing",
		[Factors]int{3, 2, 2, 3, 2},
		[Factors]string{
			"energy balance along every path, closed-form turns and glides",
			"a power train in level flight; published landings in order of magnitude only",
			"friction of grounds is common practice",
			"draws over all inputs",
			"what each change buys is computed",
		},
	},
	{
		"evidence", "what a flight showed",
		[Factors]int{4, 3, 3, 4, 2},
		[Factors]string{
			"closed forms, exact and noisy synthetic flights and sounds",
			"recorded flights with airspeed and wind of their own, recorded cars and walkers",
			"the recorder's own data, what was dropped is counted",
			"uncertainty budget after the published guide, coverage tested",
			"by window and method",
		},
	},
	{
		"learn", "what flights and bench taught",
		[Factors]int{4, 2, 3, 4, 3},
		[Factors]string{
			"certified nonlinear fits, posterior tables, order of data does not matter",
			"motors and a tunnel train fitted on a part, the rest foretold",
			"readings with their stated uncertainty",
			"posterior with correlations, coverage tested",
			"what moved which factor is listed",
		},
	},
}

// Beside says what the scale asks beyond single results.
var Beside = []struct{ Name, Say string }{
	{"use history", "0: no record of use at a field is known to us; the logbook scores the tool's own forecasts from the first one on"},
	{"management", "2: every change is under version control and tests; sources of checks are listed; no outside audit"},
	{"people", "not judged by ourselves"},
}
