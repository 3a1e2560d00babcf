package main

// Words of intervals beside numbers.
func init() {
	for k, v := range map[string]string{
		"failure_shares": "the ways to fail, with the 90 % interval that the number of launches leaves", "odds_low": "lower end of the 90 % interval of counting", "odds_high": "upper end",
		"ring_still_on_low": "lower end of the 90 % interval of counting", "ring_still_on_high": "upper end",
		"for_band_sure_m":  "places that keep the whole 90 % interval of the static margin in the band; null where none does",
		"expected_low_kg":  "lower end of the 90 % interval, by the doubt of the parts list",
		"expected_high_kg": "upper end", "value_low": "lower end of the 90 % interval", "value_high": "upper end",
		"interval":    "90 % intervals of the row's numbers, by key: low and high; a number that was asked for or is exact has none, an end that is null is open",
		"after_low_k": "lower end of the 90 % interval", "after_high_k": "upper end",
	} {
		words[k] = v
	}
}
