package main

// Words of fitting, choosing and balancing parts.
func init() {
	for k, v := range map[string]string{
		"room": "clearance left, negative when it fouls; of a distance: what is left beyond the one wanted", "FitResultJSON.status": "`pass`, `doubtful`, `fail` or `unknown`", "place_m": "where on the aeroplane; null when nowhere", "CureJSON.set": "`--set` string that makes the change; empty when none does",
		"connector": "what it ends in", "routed": "its way is the build's, not square from part to part", "way_m": "its corners", "sweeps": "servo arms and rods inside a surface over their whole travel", "servo": "name of the part",
		"arm_inside_m": "how far the arm's pin stays inside the skin, negative: it stands out", "slot_m": "slot in the skin it needs, x; null when none", "closed_bays": "parts that make heat where no air passes", "bay": "its name", "power_w": "heat", "bay_air_k": "air in the bay",
		"case": "temperature of its case, still air", "assembly": "order of going in through each hatch", "hatch": "its name", "order": "deepest first",
		"currency": "of all money", "offers": "the parts on offer", "OfferJSON.cost": "of all pieces it needs, 0 when owned", "takes_the_place_of": "part of the build", "own": "it lies in the drawer", "choices_looked_at": "with common launches", "choices_left": "not looked at",
		"cheapest_go": "cheapest choice that is GO in a full check; null when none is", "nearest": "then the choice nearest to GO, in full", "trade_offs": "choices that no other beats in money, mass, odds, speed and time together, in full", "put_in": "names of the offers", "cost": "money",
		"ChoiceJSON.set": "`--set` strings that make it the build's own", "leave_out": "paths to delete: the new part does not say them", "propellers": "each on this motor and pack", "over_limits": "limits of current it passes", "best_propeller": "among those that pass no limit; null without propellers on offer",
		"LeadersJSON.speed": "name of the fastest", "LeadersJSON.time": "of the longest flying", "LeadersJSON.launch": "of the one with the best odds", "carrying": "what carrying each set of equipment costs", "equipment": "name of the set", "CarriedJSON.parts": "its parts",
		"odds_change": "with it less without it, launches paired", "top_speed_change": "with it less without it", "endurance_change": "with it less without it", "balance_shift_m": "of the balance point without it that no movable part can hold, aft", "CarriedJSON.say": "in a sentence",
		"PartsJSON.verdict": "of the build as it is", "PartsJSON.because": "the answer in a sentence",
	} {
		words[k] = v
	}
}
