package main

// launchWords are those of best settings, map, levers and ring.
var launchWords = map[string]string{
	"best_settings": "what the search found; null when not asked", "BestJSON.set": "`--set` strings of what changes", "BestJSON.settings": "each setting with how far it may stray, all others at their best",
	"BestJSON.odds": "at the settings, as searched", "odds_before": "as set now", "odds_after_rerun": "of the edited build file, all questions asked", "BestJSON.verified": "whether that rerun holds the odds wanted",
	"spoils": "safety findings that would fail and do not now", "tolerance_odds": "odds that the tolerances keep", "stretch_limited_by": "in words", "battery_limited_by": "what the balance asks of its place; empty when nothing", "as_set_is_best": "nothing found beats what is set",
	"settings_tried": "looks taken", "launches_flown": "for them", "now": "as set", "ToleranceJSON.value": "the best found", "ToleranceJSON.low": "least value that keeps the odds", "ToleranceJSON.high": "largest",
	"low_free": "the odds hold to the lower end of the range", "high_free": "and to the upper end", "ToleranceJSON.unit": "of the numbers beside it",
	"map": "odds over two settings; null when not asked", "MapJSON.x": "across", "MapJSON.y": "upwards", "MapJSON.odds": "`odds[j][i]` at the i-th value of x, the j-th of y; null where no launch can come of it", "MapJSON.n": "launches a cell",
	"all_else": "what the other settings are", "values": "of the axis", "at": "where the setting stands", "MapAxisJSON.unit": "of the values",
	"levers": "one practical step of each, the largest effect first", "LeverJSON.step": "its size", "LeverJSON.unit": "of the step", "LeverJSON.up": "the step upwards", "LeverJSON.down": "and downwards", "LeverJSON.size": "larger of the two changes",
	"raises_the_odds": "the way that does, in words; empty when neither does beyond its doubt", "odds_change": "of the odds, launches paired", "standard_error": "of the change",
	"stuck_ring": "what the ring's grip does as set; null for a hand launch", "stuck_ring_at_best": "and at the best settings", "rake_deg": "droop of the pin", "friction": "of ring and pin", "burr_deg": "beyond friction",
	"slides_off_at_deg": "depression of a taut line below the body axis", "RingJSON.odds": "counted", "RingJSON.n": "launches a case", "known_ends": "friction at both ends of its 90 % interval", "bench_test": "what each tilt would mean",
	"what_if": "burr, bent pin, side load", "RingCaseJSON.say": "in words", "tilt_deg": "of the pin below level at which the ring slides off", "RingCaseJSON.odds": "counted", "ring_still_on": "share of launches that end with the ring on",
}

func init() {
	for k, v := range launchWords {
		if _, there := words[k]; !there {
			words[k] = v
		}
	}
}
