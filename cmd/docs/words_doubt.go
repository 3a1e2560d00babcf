package main

// Words of the doubt of lattice, balance, set-up, strength, radio and launch.
func init() {
	for k, v := range map[string]string{
		"StallJSON.speed":            "stall speed",
		"StallJSON.cl_max_trimmed":   "highest trimmed lift coefficient",
		"trim_cost_speed":            "what trimming adds to the stall speed",
		"StallJSON.stations":         "the wing's stations at the stall",
		"best_lift_over_drag":        "trimmed, propeller apart",
		"best_lift_over_drag_at_cl":  "lift coefficient of it",
		"derivatives_interval":       "90 % intervals of the lattice's derivatives, by their names",
		"derivatives_whole_interval": "the same of the whole aeroplane's",
		"StationJSON.in_hand":        "lift coefficient left until the flow leaves; below 0 it has begun to",
		"wing_loading":               "mass over the reference area",
		"cg_on_mean_chord":           "balance point behind the leading edge of the mean chord, over it",
		"band_fore":                  "fore end of the band, as well as the neutral point is known",
		"band_aft":                   "aft end of the band",
		"share_of_stall":             "the servo's torque over its stall torque",
		"fades_interval_m":           "90 % interval of each",
		"SignalLostJSON.size_m":      "the number in its words: how far she glides, climbs or circles; null where there is none",
		"ToleranceJSON.interval":     "of the value: what the launches of a look do not tell from it (90 % of the pairing), all other settings at their best",
		"MapJSON.odds_low":           "lower end of each odds' 90 % interval of counting",
		"MapJSON.odds_high":          "upper end",
		"margin_along_db":            "margin at each place of the path; its doubt is that of margin_circuit and margin_approach",
	} {
		words[k] = v
	}
}
