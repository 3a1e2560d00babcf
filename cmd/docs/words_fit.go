package main

// Words of fitting, choosing and balancing parts.
func init() {
	for k, v := range map[string]string{
		"room": "clearance left, negative when it fouls; of a distance: what is left beyond the one wanted", "FitResultJSON.status": "`pass`, `doubtful`, `fail` or `unknown`", "place_m": "where on the aeroplane; null when nowhere", "CureJSON.set": "`--set` string that makes the change; empty when none does",
		"connector": "what it ends in", "LeadJSON.length": "the same with its doubt, 3 % of a way the build gives, a tenth of a square one", "LeadJSON.mass": "the same with its doubt", "LeadJSON.drop": "the same with its doubt", "LeadJSON.current": "the largest current with its doubt; what a part's label says has none", "routed": "its way is the build's, not square from part to part", "way_m": "its corners", "sweeps": "servo arms and rods inside a surface over their whole travel", "servo": "name of the part",
		"arm_inside_m": "how far the arm's pin stays inside the skin, negative: it stands out", "slot_m": "slot in the skin it needs, x; null when none", "closed_bays": "parts that make heat where no air passes", "bay": "its name", "power_w": "heat", "bay_air_k": "air in the bay",
		"case": "temperature of its case, still air", "assembly": "order of going in through each hatch", "hatch": "its name", "order": "deepest first",
		"currency": "of all money", "offers": "the parts on offer", "OfferJSON.cost": "of all pieces it needs, 0 when owned", "takes_the_place_of": "part of the build", "own": "it lies in the drawer", "choices_looked_at": "with common launches", "choices_left": "not looked at",
		"cheapest_go": "cheapest choice that is GO in a full check; null when none is", "nearest": "then the choice nearest to GO, in full", "trade_offs": "choices that no other beats in money, mass, odds, speed and time together, in full", "put_in": "names of the offers", "cost": "money",
		"ChoiceJSON.set": "`--set` strings that make it the build's own", "leave_out": "paths to delete: the new part does not say them", "propellers": "each on this motor and pack", "over_limits": "limits of current it passes", "best_propeller": "among those that pass no limit; null without propellers on offer",
		"LeadersJSON.speed": "name of the fastest", "LeadersJSON.time": "of the longest flying", "LeadersJSON.launch": "of the one with the best odds", "carrying": "what carrying each set of equipment costs", "equipment": "name of the set", "CarriedJSON.parts": "its parts",
		"odds_change": "with it less without it, launches paired", "top_speed_change": "with it less without it", "endurance_change": "with it less without it", "balance_shift_m": "of the balance point without it that no movable part can hold, aft", "CarriedJSON.say": "in a sentence",
		"cg_y": "right of the middle", "cg_z": "its height", "inertia_roll": "about the roll axis", "inertia_pitch": "about the pitch axis", "inertia_yaw": "about the yaw axis", "band_because": "why the band is where it is", "weighing_three": "three scales", "y_m": "right of the middle",
		"scales": "what the scales showed; null when nothing was weighed", "ScalesJSON.mass": "weighed", "ScalesJSON.cg_x": "weighed", "ScalesJSON.cg_y": "weighed, on scales side by side", "ScalesJSON.cg_z": "weighed, by tilting", "listed_mass": "of the same parts by the list", "listed_cg_x": "by the list",
		"disagreement": "weighed over listed, less one", "one_is_wrong": "they differ by more than 20 %", "missing_kg": "what the list lacks, negative: has too much", "missing_x_m": "where it sits if it is one thing; null when within the doubt", "without": "parts that were off", "flight_mass_kg": "with those put back by the list", "flight_cg_x_m": "the same",
		"swings": "swing tests", "about": "axis", "lines": "2 or 3", "SwingJSON.measured": "by the swing", "computed": "by the parts list", "apart": "measured over computed, less one", "agrees": "within their doubt, and a tenth for a list of boxes",
		"grams": "what a little mass at each place changes; empty with `--quick`", "GramJSON.where": "in words", "static_margin_change": "of the mean chord", "repairs": "what repairs and tape on it cost; null without any", "tip_ballast_kg": "at the lighter tip, to bring the balance point to the middle",
		"needed": "in all; `high` has the whole interval of the static margin in the band, null when the places hold too little", "BallastJSON.places": "the same spread over the allowed places", "BallastJSON.status": "`ok`, or why not", "BallastJSON.place": "the first", "PatchedJSON.parts": "their names",
		"KitJSON.file": "written; empty when printed", "KitJSON.text": "of the file, or of the sheet", "answers": "given", "open": "steps without an answer, the dozen first", "KitJSON.notes": "what does not hang together", "tool": "which tool is in hand", "ask": "the question", "taken_as": "where the answer is taken to come from when it does not say", "core": "one of the dozen",
		"PartsJSON.verdict": "of the build as it is", "PartsJSON.because": "the answer in a sentence",
	} {
		words[k] = v
	}
}
