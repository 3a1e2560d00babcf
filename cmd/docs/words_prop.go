package main

// Words of the propeller's intervals.
func init() {
	for k, v := range map[string]string{
		"ct_low": "lower end of the 90 % interval", "ct_high": "upper end", "cp_low": "lower end of the 90 % interval", "cp_high": "upper end",
		"efficiency_low": "lower end of the 90 % interval", "efficiency_high": "upper end, at most a loss-free disc's", "ReportPoint.thrust_low_n": "lower end of the 90 % interval", "ReportPoint.thrust_high_n": "upper end",
		"power_low_w": "lower end of the 90 % interval", "power_high_w": "upper end", "Doubt.efficiency": "absolute",
		"torque_low_nm": "lower end of the 90 % interval", "torque_high_nm": "upper end", "ideal_efficiency_low": "at the upper end of the thrust", "ideal_efficiency_high": "at its lower end; 1 when it may not pull",
	} {
		words[k] = v
	}
}

// Words of the drive in the body of prop.
func init() {
	for k, v := range map[string]string{
		"PropJSON.drive": "of a build: the whole drive over airspeed; null for a blade by itself", "DriveJSON.throttle": "most that is given", "DriveJSON.at_speed": "one object an airspeed, at that throttle, the pack as at launch",
		"current_low_a": "lower end of the 90 % interval", "current_high_a": "upper end", "DriveRowJSON.airspeed_m_s": "along the axis", "DriveRowJSON.current_a": "out of the pack", "DriveRowJSON.thrust_n": "full throttle", "DriveRowJSON.thrust_low_n": "lower end of the 90 % interval", "DriveRowJSON.thrust_high_n": "upper end", "rpm_low": "lower end of the 90 % interval", "rpm_high": "upper end", "DriveRowJSON.power_w": "out of the pack", "shaft_power_w": "to the propeller", "DriveRowJSON.voltage_v": "of the pack under that load",
		"efficiency_controller": "of controller, leads and contacts", "efficiency_motor": "shaft power over what the motor is given", "efficiency_propeller": "thrust times airspeed over shaft power", "DriveRowJSON.efficiency": "thrust times airspeed over what the pack gives",
		"trim_cruise": "pitch stick that holds cruise under power, share of full", "trim_by_throttle": "more of the stick when the throttle opens at cruise, nothing to full",
		"cells_ohm": "resistance of each cell as read", "worst_cell_ratio": "resistance of the worst cell over the mean", "DriveJSON.remarks": "on the bench rows",
	} {
		words[k] = v
	}
}
