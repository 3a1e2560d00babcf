package main

// aloftWords are the keys of fly, land, radio and sortie.
var aloftWords = map[string]string{
	"run_in_95": "from cruise to 95 % of the top speed, level", "run_in_99": "to 99 %", "run_in_95_time": "of that run", "run_in_99_time": "of that run", "best_glide_speed": "airspeed of the best glide", "least_sink": "motor off, at the stall where the optimum lies below it", "climb_speed": "airspeed of the best climb", "lap_time": "of the circuit", "lap_energy": "out of the pack, with it half way to its reserve", "circuit_time": "of the circuit, to the reserve", "circuit_laps": "to the reserve",
	"AloftJSON.circuit": "leg by leg, pack half way to its reserve", "land_by": "when to come home", "circles": "level circles by airspeed and bank", "loiter_bank_deg": "that gives the circle wanted at cruise", "loiter_speed_m_s": "that gives it at the bank set",
	"load_factors": "the load-factor diagram", "load_factors_gust_m_s": "gust of the diagram", "FlyJSON.power": "where it goes", "AloftJSON.power": "where it goes, W", "AloftJSON.changes": "what one practical step of each number does", "other_days": "what another day does", "air": "wind, density and gusts by height", "density_altitude_m": "of the field",
	"LegJSON.name": "of the leg", "LegJSON.length_m": "of its path", "time_s": "it takes", "load_factor": "times her weight", "LegJSON.drag_n": "mean", "LegJSON.thrust_n": "mean; below zero she would have to brake", "energy_j": "out of the pack", "stall_margin": "airspeed over the stall in it", "LegJSON.radius_m": "of a turn; null when straight",
	"stall_load": "at which the wing stalls", "held_load": "that full throttle holds level; null when none", "gust_up_load": "in the gust upwards", "gust_down_load": "downwards",
	"EffectJSON.say": "the change", "stall_speed_m_s": "change of it", "top_speed_m_s": "change of it", "EffectJSON.climb_m_s": "change of it", "EffectJSON.endurance_s": "change of it", "circuit_time_s": "change of it", "loiter_radius_m": "change of it", "EffectJSON.distance_m": "change of the landing distance",
	"source_w": "out of the cells", "battery_w": "lost in the pack", "wiring_w": "in wires and contacts", "controller_w": "in the controller and by chopping", "motor_w": "in copper and iron", "propeller_w": "by the propeller", "thrust_w": "thrust times airspeed", "PowerJSON.efficiency": "of the whole",
	"wind_m_s": "mean", "density_kg_m3": "of the air", "gust_sigma_m_s": "standard deviations along, across, up", "gust_length_m": "their scale lengths", "gust_sigma_low_m_s": "lower ends of their 90 % intervals", "gust_sigma_high_m_s": "upper ends", "density_altitude": "of the field, with its interval",
	"LandByJSON.time_s": "after the launch", "laps": "of the circuit; null without one", "volts_under_load_v": "of the pack at the load of cruise", "cell_under_load_v": "of one cell then", "cell_at_rest_v": "of one cell with no load", "going_round_s": "to keep for one approach broken off",

	"LandJSON.path": "of the approach below level, still air", "steepest_path": "that she comes down at the approach speed, motor off", "approach_run": "to the flare", "flare_run": "flare and float", "slide": "on the belly", "slide_time": "its time", "sink_at_touchdown": "after the flare",
	"propeller": "the glide by its state", "brakes": "what can make drag", "slowing": "ways to lose the last 20 km/h, shortest first", "scatter_touch": "from the edge of the field to the touch; 90 % of landings", "scatter_stop": "to standing still; 90 % of landings", "scatter_touchdown_speed": "90 % of landings",
	"LandJSON.field_length": "that holds the landing with doubt and scatter", "surfaces": "the slide on each", "go_round_climb": "at the approach speed, full throttle, pack at its reserve", "go_round_sinks_m": "before it climbs", "go_round_status": "`ok` or why not",
	"state": "stopped, windmilling or braked", "IdleJSON.glide_ratio": "at the approach speed", "BrakeJSON.drag_area_m2": "added at the approach speed, balanced", "BrakeJSON.angle_deg": "of flap or slip", "lift_change": "of the lift coefficient at the same angle of attack", "SlowJSON.distance_m": "level, still air",
	"surface": "as in day.surface",

	"links": "one object a link, in the order of the build", "LinkJSON.name": "of the link", "use": "`control`, `video` or `telemetry`", "LinkJSON.safety": "whether its margin is a matter of safety", "margin_worst": "dB over the threshold at the worst place", "LinkJSON.where": "the worst place, in words", "where_m": "ahead, right, up from the pilot",
	"margin_circuit": "worst on the circuit", "margin_approach": "worst on the approach", "LinkJSON.budget": "there, item by item, nominal", "ranges": "how far it keeps a margin, broadside at the circuit's height", "fades_m": "distances of the ground's fades at that height", "LinkJSON.changes": "what each change does to the worst margin, best first",
	"BudgetJSON.distance_m": "slant", "power_dbm": "into the sender's antenna", "loss_db": "leads and mounting", "air_gain_db": "of the aeroplane's antenna in that direction, dBi", "ground_gain_db": "of the other", "free_space_db": "loss", "polarisation_db": "loss", "reflection_db": "what the ground adds (or takes)", "obstacle_db": "loss behind an edge", "obstacle": "which", "body_db": "loss behind her own parts", "shaded_by": "which", "level_dbm": "at the receiver", "threshold_dbm": "of the receiver",
	"margin_db": "over the threshold", "free_space_m": "antennas at their best", "over_ground_m": "first place where it is lost; null when lost from the start", "beyond": "it holds farther than that", "gain_db": "over the margin now",
	"RadioJSON.path": "circuit, then approach", "PlaceJSON.along_m": "flown", "ahead_m": "of the pilot", "right_m": "of the pilot", "heading_deg": "to the right of the launch direction", "leg": "of the circuit, or approach", "signal_lost": "what becomes of her when a signal goes", "ends_ahead_m": "where that ends", "ends_right_m": "where that ends", "after_s": "seconds", "behind_pilot": "where people stand",

	"chance": "that she comes home whole; low and high of the count", "SortieJSON.n": "sorties counted", "product": "what the four chances multiply to", "stages": "launch, link, reserve, landing", "stage": "which", "asked": "something is known to judge it by; else taken as sure", "SortieStageJSON.chance": "that it goes well", "first_to_fail": "share of sorties it is first to spoil", "chance_if_sure": "of the whole, were this one sure",
	"flights_per_loss": "mean; null when none was lost", "value_eur": "of the priced parts", "cost_per_flight_eur": "losses and wear of the pack",

	"TrialJSON.base_m": "timed", "TrialJSON.height_m": "over the pilot", "entry_m": "level run before the base", "run_in_99_m": "from cruise to 99 % of the top speed", "TrialJSON.wind_along_m_s": "against the first pass", "wind_across_m_s": "from the right", "speed_in_m_s": "airspeed into the base", "speed_over_m_s": "mean over it", "speed_out_m_s": "out of it", "dive_gain_m_s": "what a dive leaves at the base",
	"decay_m": "length over which a surplus falls to 1/e", "ground_speed_out_m_s": "first pass", "ground_speed_back_m_s": "second pass", "TrialJSON.two_way_speed": "mean of the speeds to be expected, with the trial's own doubt", "two_way_by_times_m_s": "mean of the times", "shows_at_most_m_s": "highest claim such a result would show at 95 %", "TrialJSON.sigma_m_s": "of the result, one standard deviation", "sigma_timing_m_s": "of it, timing", "sigma_ends_m_s": "ends of the base", "sigma_wind_m_s": "gusts between the passes", "sigma_height_m_s": "height not held",
	"coasts_m": "with the motor silent over the base", "passes_afforded": "by the pack", "passes_wanted": "by the build", "pass_s": "one pass with its turn round", "TrialJSON.claims": "of top speed", "chance_to_show": "that this trial would show it", "TrialClaimJSON.claim": "as given",
}

func init() {
	for k, v := range aloftWords {
		if _, there := words[k]; !there {
			words[k] = v
		}
	}
}
