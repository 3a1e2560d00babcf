package main

// Words of the propeller's intervals.
func init() {
	for k, v := range map[string]string{
		"ct_low": "lower end of the 90 % interval", "ct_high": "upper end", "cp_low": "lower end of the 90 % interval", "cp_high": "upper end",
		"efficiency_low": "lower end of the 90 % interval", "efficiency_high": "upper end, at most a loss-free disc's", "thrust_low": "lower end of the 90 % interval", "thrust_high": "upper end",
		"power_low": "lower end of the 90 % interval", "power_high": "upper end", "Doubt.efficiency": "absolute",
	} {
		words[k] = v
	}
}
