package report

// Term is a word of the trade, explained where it stands.
type Term struct {
	Term    string   `json:"term"`
	Also    []string `json:"also"` // other forms that mean the same
	Say     string   `json:"say"`
	Unit    string   `json:"unit,omitempty"`
	Symbol  string   `json:"symbol,omitempty"`
	Sources []string `json:"sources"` // cite keys
}

// Terms is every word of our pages that a builder need not know beforehand,
// in plain words; symbols as in docs/notation.md.
func Terms() []Term {
	out := make([]Term, len(terms))
	for i, t := range terms {
		out[i] = t
		if t.Also == nil {
			out[i].Also = []string{}
		}
		if t.Sources == nil {
			out[i].Sources = []string{}
		}
	}
	return out
}

var terms = []Term{
	// What a verdict says.
	{Term: "GO", Say: "Every safety question passes with its whole interval. It is advice: the pilot in command decides."},
	{Term: "HOLD", Say: "A safety question is doubtful or unknown, or another one fails. The page names the measurement or change that would settle it."},
	{Term: "NO-GO", Say: "A safety question fails. The page names the smallest changes that would make it pass, each proved by computing it again."},
	{Term: "finding", Also: []string{"findings"}, Say: "One question put to the aeroplane: a value, the limit it must meet, how far it is from it, how sure that is, and why."},
	{Term: "pass", Also: []string{"ok"}, Say: "The whole 90 % interval of the value meets the limit."},
	{Term: "doubtful", Also: []string{"doubt"}, Say: "The value meets the limit, but not the whole interval: a better measurement would settle it."},
	{Term: "fail", Also: []string{"fails"}, Say: "The value itself does not meet the limit."},
	{Term: "not asked", Say: "Nothing to be judged: no log, no claim, no link described. Listed, never counted."},
	{Term: "margin", Say: "How far a value is inside its limit; below zero it is outside."},
	{Term: "remedy", Also: []string{"remedies"}, Say: "A smallest single change that makes a finding pass. Verified means that the changed build was computed anew and passed."},
	{Term: "measure next", Say: "The one thing whose better measurement takes away most of the doubt.", Sources: []string{"saltelli-g"}},

	// Doubt.
	{Term: "90 % interval", Also: []string{"interval", "low", "high"}, Say: "By all that is known, the true value lies between these ends nine times in ten.", Sources: []string{"jcgm-100"}},
	{Term: "±", Also: []string{"expanded uncertainty"}, Say: "Two standard deviations: the value is within it nineteen times in twenty.", Symbol: "k = 2", Sources: []string{"jcgm-100"}},
	{Term: "ignorance", Say: "One true value that better knowledge would narrow: the stiffness of this cord, the drag of this aeroplane."},
	{Term: "scatter", Say: "What is different at each launch however well you measure: gusts, the hand."},
	{Term: "provenance", Also: []string{"weighed", "measured", "label", "guess", "maker"}, Say: "How a number was come by. The word after a value says how far it may be off when no ± is given."},
	{Term: "assumed", Say: "You did not give this number, so a usual one was taken with a wide doubt. Measuring it narrows the answer."},
	{Term: "draw", Also: []string{"draws"}, Say: "One possible world: every uncertain number drawn from its spread. An interval is what many draws give."},
	{Term: "seed", Say: "The number that all draws start from. Same build, day and seed: the same answer to the last digit."},
	{Term: "odds", Also: []string{"launch odds"}, Say: "The share of launches that succeed, over gusts, hand and all that is not known.", Unit: "%"},
	{Term: "sampling", Say: "The doubt that comes from having flown only so many launches in the computer; more launches narrow it.", Sources: []string{"clopper-pearson-1934"}},

	// Balance.
	{Term: "datum", Say: "Where x = 0 is, usually the nose. x counts aft, y to the right, z up.", Unit: "mm"},
	{Term: "balance point", Also: []string{"centre of gravity", "c.g.", "cg"}, Say: "Where the aeroplane hangs level. Too far aft and it will not hold its path; too far forward and it cannot be slowed.", Symbol: "x_cg", Unit: "mm", Sources: []string{"faa-weight-balance"}},
	{Term: "neutral point", Say: "The balance point at which the aeroplane would neither return to its attitude nor leave it.", Symbol: "x_n", Unit: "mm", Sources: []string{"anderson-neutral-point"}},
	{Term: "static margin", Say: "How far the balance point is ahead of the neutral point, as a share of the mean chord. More is calmer, less is livelier; below zero it is unstable.", Symbol: "(x_n - x_cg)/c", Unit: "%", Sources: []string{"anderson-neutral-point"}},
	{Term: "band", Also: []string{"balance band"}, Say: "Where the balance point may lie by the limits of the static margin."},
	{Term: "mean chord", Also: []string{"mean aerodynamic chord"}, Say: "The wing's chord averaged so that a straight wing of it would have the same moments.", Unit: "mm"},
	{Term: "inertia", Say: "How hard it is to start or stop a turn about an axis.", Symbol: "I", Unit: "kg m2"},
	{Term: "ballast", Say: "Mass added only to move the balance point."},
	{Term: "wing loading", Say: "Mass over wing area. More means faster in every respect, landing too.", Unit: "g/dm2"},

	// Shape and air.
	{Term: "station", Also: []string{"stations"}, Say: "One section of a wing or body whose place and size are given; straight lines between."},
	{Term: "section", Say: "The shape of the wing cut along the flight, as in NACA 2409: camber, its place, thickness.", Sources: []string{"naca-tr-460"}},
	{Term: "chord", Say: "From leading to trailing edge.", Symbol: "c", Unit: "mm"},
	{Term: "twist", Say: "The angle of a section against the datum line, nose up positive.", Unit: "deg"},
	{Term: "dihedral", Say: "The wing's rise from root to tip.", Unit: "deg"},
	{Term: "sweep", Say: "How far the wing leans back.", Unit: "deg"},
	{Term: "angle of attack", Say: "Between the chord and the oncoming air.", Symbol: "alpha", Unit: "deg"},
	{Term: "lift coefficient", Also: []string{"CL"}, Say: "Lift over dynamic pressure and area.", Symbol: "CL"},
	{Term: "drag coefficient", Also: []string{"CD"}, Say: "Drag over dynamic pressure and area.", Symbol: "CD"},
	{Term: "drag area", Say: "Drag over dynamic pressure: the size of a plate that would brake as much.", Unit: "cm2"},
	{Term: "Reynolds number", Also: []string{"Re"}, Say: "Speed times chord over the stickiness of air. Small models fly at low ones, where sections are worse than at full size.", Symbol: "Re"},
	{Term: "polar", Also: []string{"polars"}, Say: "Lift, drag and moment of a section over its angle, at one Reynolds number."},
	{Term: "transition", Say: "Where the smooth layer of air along the skin turns rough."},
	{Term: "span efficiency", Say: "How near the wing comes to the least induced drag its span allows.", Symbol: "e"},
	{Term: "induced drag", Say: "The drag that lift costs: greatest when slow and heavy.", Sources: []string{"glauert-elements"}},
	{Term: "vortex lattice", Say: "The way the lift of all surfaces together is computed: each is laid out in panels with a vortex each."},
	{Term: "stall", Also: []string{"stall speed"}, Say: "Beyond an angle the air lets go of the wing. Stall speed is the slowest level flight.", Unit: "m/s"},
	{Term: "density altitude", Say: "The height at which the standard atmosphere is as thin as today's air.", Unit: "m", Sources: []string{"nws-density-altitude"}},

	// Settings.
	{Term: "reflex", Say: "Trailing edges set up a little, so that a tailless aeroplane holds its nose up.", Unit: "mm at the edge"},
	{Term: "trim", Say: "The setting at which it flies level by itself."},
	{Term: "throw", Also: []string{"throws"}, Say: "How far a control moves at full stick.", Unit: "deg, mm"},
	{Term: "differential", Say: "Less throw down than up, so that a roll does not drag the nose the wrong way."},
	{Term: "horn", Say: "The lever on the control that the rod pushes."},
	{Term: "hinge moment", Say: "What the air asks of the servo, about the hinge.", Unit: "N m"},
	{Term: "transmission angle", Say: "Between rod and horn. Near a right angle the rod pushes well; near zero the linkage locks.", Unit: "deg", Sources: []string{"freudenstein-1954"}},
	{Term: "pulse", Also: []string{"servo midpoint"}, Say: "The signal that tells a servo where to stand.", Unit: "us"},
	{Term: "failsafe", Say: "What the receiver does when the signal goes."},

	// Strength.
	{Term: "spar", Say: "What carries the bending of the wing."},
	{Term: "load factor", Say: "Lift over weight. 1 in level flight, more in turns, pull-ups and gusts.", Symbol: "n"},
	{Term: "flutter", Also: []string{"flutter screen"}, Say: "Above some speed a surface shakes itself to pieces. The screen says whether that speed is near; it proves nothing."},
	{Term: "safety factor", Say: "Strength over the largest load expected."},
	{Term: "proof load", Say: "A load held on purpose, on the ground, before a part is trusted in the air."},

	// Launch.
	{Term: "bungee", Say: "Rubber cord and line that pull the aeroplane off, pegged down ahead."},
	{Term: "stretch", Say: "How far the rubber is pulled beyond its slack length.", Unit: "m"},
	{Term: "pull test", Say: "A luggage scale on the whole cord at a few stretches: it takes away most of the doubt in the odds."},
	{Term: "hook", Say: "What the ring of the line hangs on. Too far aft, the pull turns the nose up."},
	{Term: "rake", Say: "How far the free end of the hook's pin droops below straight aft.", Unit: "deg"},
	{Term: "release", Say: "The moment when the ring slides off the hook."},
	{Term: "stall ratio", Say: "Speed over stall speed. Below about 1.1 at release there is nothing in hand."},
	{Term: "trim ratio", Say: "Speed over the speed at which it would fly level with the stick as held."},
	{Term: "up stick", Say: "Share of full stick that is held through the launch, nose up positive.", Unit: "%"},
	{Term: "motor delay", Say: "From release to motor on.", Unit: "s"},
	{Term: "fan", Say: "Many launches drawn over one another, each under its own gust, hand and ignorance."},
	{Term: "odds map", Say: "The odds over two settings, all others as said."},
	{Term: "lever", Also: []string{"levers"}, Say: "A setting that can be turned, with what one step of it does to the odds."},

	// Flight.
	{Term: "top speed", Say: "Fastest level flight at full throttle.", Unit: "m/s"},
	{Term: "airspeed", Say: "Speed through the air; over the ground it is that plus the wind.", Symbol: "V", Unit: "m/s"},
	{Term: "two-way speed", Say: "The mean of passes in opposite directions over one course: the wind cancels.", Unit: "m/s", Sources: []string{"fai-sc4-speed"}},
	{Term: "cruise", Say: "The mean speed it is really flown at.", Unit: "m/s"},
	{Term: "endurance", Say: "How long it flies, the reserve kept.", Unit: "min"},
	{Term: "reserve", Say: "Share of the battery that is not flown away."},
	{Term: "glide ratio", Say: "Distance over height with the motor off."},
	{Term: "loiter radius", Say: "Of the circle it flies when it waits or comes home by itself.", Unit: "m"},
	{Term: "touchdown speed", Say: "Over the ground, at the first touch.", Unit: "m/s"},
	{Term: "motor constant", Also: []string{"Kv"}, Say: "Turns for each volt, without load.", Symbol: "Kv", Unit: "rpm/V"},
	{Term: "advance ratio", Say: "How far the propeller moves forward in one turn, in diameters.", Symbol: "J = V/(n D)"},
	{Term: "pitch", Also: []string{"propeller pitch"}, Say: "Of a propeller: how far it would screw itself forward in one turn. Of the aeroplane: nose up or down.", Unit: "in, deg"},
	{Term: "static thrust", Say: "Pull with the aeroplane held still.", Unit: "N"},
	{Term: "link margin", Say: "How much weaker the signal might get before the link fails.", Unit: "dB"},

	// Debrief.
	{Term: "claim", Also: []string{"claims"}, Say: "What somebody says of this aeroplane. Shown, not shown or refuted, by the evidence and its doubt."},
	{Term: "evidence", Say: "A measured quantity with its doubt, the time it was measured in, and how."},
	{Term: "learned factor", Also: []string{"factor", "factors"}, Say: "By how much what was measured differs from what was expected, with its doubt; later forecasts use it."},
	{Term: "energy height", Say: "Height plus what the speed would buy in height: a dive shows as speed bought with height.", Unit: "m"},
	{Term: "METAR", Say: "The weather report of an aerodrome, one line.", Sources: []string{"wmo-fm15"}},
	{Term: "gust", Also: []string{"gusts"}, Say: "The strongest wind of a few seconds, over the mean.", Unit: "m/s"},
}
