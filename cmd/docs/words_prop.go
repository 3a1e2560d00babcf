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

// Words of the drive in the body of prop.
func init() {
	for k, v := range map[string]string{
		"PropJSON.drive": "of a build: the whole drive over airspeed; null for a blade by itself", "DriveJSON.throttle": "most that is given", "DriveJSON.at_speed": "one object an airspeed, at that throttle, the pack as at launch",
		"current_low": "lower end of the 90 % interval", "current_high": "upper end", "rpm_low": "lower end of the 90 % interval", "rpm_high": "upper end", "DriveRowJSON.power": "out of the pack, W", "shaft_power": "W", "DriveRowJSON.voltage": "of the pack under that load",
		"efficiency_controller": "of controller, leads and contacts", "efficiency_motor": "shaft power over what the motor is given", "efficiency_propeller": "thrust times airspeed over shaft power", "DriveRowJSON.efficiency": "thrust times airspeed over what the pack gives",
		"trim_cruise": "pitch stick that holds cruise under power, share of full", "trim_by_throttle": "more of the stick when the throttle opens at cruise, nothing to full",
		"cells_ohm": "resistance of each cell as read", "worst_cell_ratio": "resistance of the worst cell over the mean", "DriveJSON.remarks": "on the bench rows",
	} {
		words[k] = v
	}
}
