package main

// sheetWords are keys that the workshop's sheets asked for.
var sheetWords = map[string]string{
	"TrialJSON.heading_deg": "of the base, to the right of the launch direction", "TrialJSON.ahead_m": "of the pilot, to the middle of the base", "TrialJSON.turn_radius_m": "of the turn round",
	"overflown_m": "to each side of the middle of the base, with the turns", "overflown_deep_m": "from the pilot outwards",
}

func init() {
	for k, v := range sheetWords {
		if _, there := words[k]; !there {
			words[k] = v
		}
	}
}
