package main

// Words of how the wing lets go.
func init() {
	for k, v := range map[string]string{
		"LatticeJSON.stall":          "how the wing lets go, level, trimmed; null when no trimmed flight is found",
		"cl_max_untrimmed":           "highest lift coefficient, no matter the moment",
		"trim_cost":                  "what trimming takes of the highest lift coefficient; below 0 it adds",
		"StallJSON.angle":            "angle of attack at the stall",
		"StallJSON.pitch_deflection": "pitch deflection that holds it, nose up positive",
		"StallJSON.stick":            "pitch stick that holds it, 1: full up",
		"first_station":              "place of the wing that is first to let go, share of the half span",
		"tip_first":                  "it is outboard of 65 % of the half span",
		"roll_damping_past":          "rolling moment by pb/2V a degree past the stall; above 0 a roll drives itself",
		"drops_wing":                 "roll damping is gone a degree past the stall",
		"StallJSON.limited_by":       "`lift`, or `control` where the elevator's stop comes before the stall",
		"StallJSON.say":              "in words",
	} {
		words[k] = v
	}
}
