package main

// Words of the set-up and strength bodies.
func init() {
	for k, v := range map[string]string{
		"ControlJSON.linkage_detail": "the linkage in full; null when none works", "pulse_measured": "centre and slope are this servo's own", "pulse_centre_us": "arm at its neutral", "pulse_per_servo_deg_us": "slope",
		"midpoint_us": "at the control's neutral", "end_low_us": "shortest pulse of the settings within the servo's travel", "end_high_us": "longest pulse of them", "edge_per_pulse_step_most_deg": "where it is coarsest",
		"play_deg": "free play at the surface, stop to stop", "play_from": "`measured`, `clearances` (worst case) or `not given`", "skew_deg": "hinge line against the servo's shaft", "lean_most_deg": "rod out of the plane of arm or horn, most",
		"clearance_m": "arm and rod to the skin, least; negative when it fouls, null when no skin is described", "whole_travel_usable": "no dead centre within the servo's travel", "dead_centres": "first on either side, over half a turn",
		"LockJSON.kind": "`locks` (of the horn) or `goes over centre` (of the arm)", "LinkageJSON.table": "over the servo's travel", "SweepJSON.edge_per_servo": "there", "angle_at_arm_deg": "of rod and arm", "angle_at_horn_deg": "of rod and horn", "lean_deg": "rod out of their planes",
		"mix_shares": "of a mixed control: what to enter for each axis", "ShareJSON.axis": "`pitch`, `roll` or `yaw`", "ShareJSON.share": "of the transmitter's full travel", "mix_corners_over": "by how much both sticks ask more than the servo has",
		"ControlJSON.measured": "from trailing-edge heights back to what is set; null when none were read", "FoundJSON.sides": "which were read", "neutral_deg": "mean of the sides read", "FoundJSON.sigma_deg": "one standard deviation of one angle",
		"right_up_deg": "from its neutral", "right_down_deg": "from its neutral", "left_up_deg": "from its neutral", "left_down_deg": "from its neutral", "right_over_left_deg": "difference of the neutrals", "roll_held_deg": "roll set by that difference",
		"launch_sticks_us": "pulses of the held pitch, roll and yaw stick", "roll_throw_wanted": "to each side", "trims": "hands off over the speeds", "pitch_controls_deg": "trailing edge up positive",
		"lost_link": "what to store for a lost link when nothing flies it home", "stick_pitch": "share of full stick", "stick_roll": "share of full stick", "stick_yaw": "share of full stick", "positions": "of the controls there",
		"pulse_left_us": "microseconds, before a mirrored servo's channel is reversed", "SetupJSON.trim_speed": "at which it is set up",
		"ControlJSON.neutral_wanted": "the same with its doubt", "throw_up_wanted": "the same with its doubt", "throw_down_wanted": "the same with its doubt", "ControlJSON.midpoint": "servo's pulse at the control's neutral, microseconds: arm square to a degree, slope to 10 %, measured to 2 %",
		"HomeJSON.radius": "the same with its doubt", "speed_over_stall": "the same with its doubt", "LostJSON.pitch": "pitch stick with its doubt",
		"FindingJSON.caution": "what to beware of; left out when nothing special",
		"neutral_wanted_m":    "the edge there", "neutral_wanted_us": "servo midpoint there",
		"StrengthJSON.limits": "what the limits are and rest on", "LimitRowJSON.what": "in words", "LimitRowJSON.value": "of the limit", "at_least": "whether the value must be more", "LimitRowJSON.source": "published source, or our choice",
	} {
		words[k] = v
	}
}
