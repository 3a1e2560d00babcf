package main

// Words of intervals beside numbers.
func init() {
	for k, v := range map[string]string{
		"failure_shares": "the ways to fail, with the 90 % interval that the number of launches leaves", "odds_low": "lower end of the 90 % interval of counting", "odds_high": "upper end",
		"ring_still_on_low": "lower end of the 90 % interval of counting", "ring_still_on_high": "upper end",
		"for_band_sure_m":  "places that keep the whole 90 % interval of the static margin in the band; null where none does",
		"expected_low_kg":  "lower end of the 90 % interval, by the doubt of the parts list",
		"expected_high_kg": "upper end", "value_low": "lower end of the 90 % interval", "value_high": "upper end",
		"two_way_m_s": "the same without the doubt of the measurement; its interval is of what is computed", "LandJSON.asks": "what the landing asks of the airframe, and going round", "sink_without_flare_m_s": "at the approach speed", "braked_of_weight": "mean deceleration on the ground over gravity", "go_round_path_deg": "up, at the approach speed", "best_glide_ratio": "with the propeller so", "best_glide_m_s": "airspeed of it", "slowest_flight_by": "what sets the slowest level flight: wing (its own stall) or pitch throw (full up stick comes first; more up throw lowers it)",
		"FlyJSON.pack": "the pack's resistance; null without a drive", "typed_cell_ohm": "one cell as typed, as a charger's short pulse reads it", "steady_ohm": "the whole pack under steady load, at its charge and temperature at launch",
		"steady_over_typed": "how many times as much: a sag you measured over 15 s or more is divided by it before it is typed",
		"interval":          "90 % intervals of the row's numbers, by key: low and high; a number that was asked for or is exact has none, an end that is null is open",
		"after_low_k":       "lower end of the 90 % interval", "after_high_k": "upper end",
	} {
		words[k] = v
	}
}
