package main

// words say what each key is, by its name, or by type and name where one name
// means two things. A key that is not here says itself.
var words = map[string]string{
	"schema": "number of this set of keys", "build": "name of the aeroplane", "hash": "of the build, its attachments and the day", "seed": "of all draws",
	"verdict": "`go`, `hold` or `no-go`", "because": "why, in a sentence", "findings": "one object a finding", "measure_next": "what to measure first, the largest share of the doubt first",
	"cautions": "what to beware of, in plain words", "assumed": "numbers the build does not give", "notes": "what is coarse in these numbers", "status": "`ok`, or why there is none",
	"label": "in words", "path": "of the build, as `--set` takes it", "why": "the reason", "source": "key of the source", "sources": "published sources behind it",

	"FindingJSON.id": "stable name of the finding", "FindingJSON.stage": "`bench`, `field` or `debrief`", "FindingJSON.question": "which of the nine", "FindingJSON.safety": "whether a failure is a NO-GO",
	"FindingJSON.status": "`pass`, `doubtful`, `fail`, `unknown` or `not-asked`", "FindingJSON.value": "of the finding", "FindingJSON.limit": "what it must meet; null where there is none on that side",
	"FindingJSON.margin": "distance to the nearer limit, negative outside", "FindingJSON.remedies": "smallest changes that would do, cheapest first",
	"min": "at least", "max": "at most", "set": "`--set` strings that make the change", "say": "in words", "verified": "whether the whole check was run again and the finding passed", "value_after": "of the finding, after it",
	"input": "path of the number, or name of the model's factor", "share": "of the doubt that goes with it", "how": "how to measure it at home",
	"AssumedJSON.value": "as printed", "AssumedJSON.source": "key of its source",
	"diagnostics": "what is wrong, one object each", "severity": "`error`, `warning` or `note`", "code": "stable short word", "file": "as named", "line": "from 1", "column": "from 1, in characters", "length": "characters", "message": "one sentence", "hint": "what to do about it",
	"JSON.file": "as named",

	"mass": "ready to launch", "cg_m": "centre of gravity x, y, z", "cg_x": "its x, with doubt", "inertia_kgm2": "about the centre of gravity, rows by columns", "neutral_point_x": "where lift acts when the angle changes",
	"static_margin": "(neutral point - centre of gravity) over the mean chord", "mean_chord_m": "mean aerodynamic chord", "mean_chord_leading_edge_m": "x of its leading edge", "band_m": "allowed x of the centre of gravity, fore and aft end",
	"moves": "parts that may move", "x_m": "x from the datum", "for_band_m": "where it has to sit for the fore and the aft end of the band, all else staying", "room_m": "where it may sit", "FitResultJSON.room_m": "clearance, negative when it fouls",
	"reaches": "whether the two overlap", "ballast": "least ballast that does it; null when none is needed", "place": "nose or tail", "mass_kg": "one of it", "weighing": "two scales", "expected_kg": "what the scale should show",
	"parts": "every part", "at_m": "centre x, y, z", "size_m": "length, width, height", "left": "the mirrored one", "part": "its name", "name": "its name", "kind": "what kind",

	"trim_speed": "at which it is set up", "trim_alpha": "angle of attack there", "trim_pitch": "pitch deflection that trims hands off, trailing edge up positive", "controls": "one object a control", "surface": "on which surface",
	"linkage": "`ok`, `not described`, or why it does not work", "rod_assumed": "the rod's length is a guess", "edge_per_servo": "surface degrees a servo degree at neutral", "edge_per_pulse_step_deg": "a microsecond moves the edge so far",
	"least_angle_at_horn_deg": "smallest angle of rod and horn over the travel", "least_angle_at_arm_deg": "and of rod and arm", "neutral_wanted_deg": "for hands-off trim", "throw_up_wanted_deg": "from that neutral", "throw_down_wanted_deg": "from that neutral",
	"differential": "1 - down over up", "stops": "what is commanded and what it takes", "edge_deg": "trailing edge up positive", "edge_m": "height of the trailing edge at its widest place", "servo_deg": "from the pulse's centre", "pulse_us": "microseconds",
	"within": "the transmitter can send it", "sticks": "the mixing table", "stick": "which stick", "right_deg": "right side", "left_deg": "left side", "pulse_right_us": "microseconds", "pulse_left_us": "microseconds, servo mirrored",
	"SetupJSON.launch": "what to hold or program for the launch", "home": "for a return-home function; null when no speed is known", "failsafe": "what each lost signal should do", "speed_m_s": "airspeed", "bank_deg": "bank", "radius_m": "radius", "height_m": "height",
	"stall_margin": "speed over the stall in that turn", "when": "what is lost", "throttle": "throttle", "surfaces": "control surfaces",

	"loads": "what the airframe was judged for", "hook_pull": "largest pull on the launch hook", "load_factor": "times its weight", "hinge": "hinge moments over speed", "ControlDerivativesJSON.hinge": "moment about the hinge over dynamic pressure, flap area and chord",
	"alpha_deg": "angle of attack", "hinge_moment_nm": "air pushes the edge up: positive", "sigma_nm": "one standard deviation", "servo_torque_nm": "at the servo", "servo_stall_nm": "what the servo stalls at", "control": "which control",

	"by": "`bungee` or `hand`", "odds": "chance that the launch succeeds", "sampling": "90 % range of counting alone, low and high", "n": "launches flown", "failures": "share of all launches by how they end",
	"at_release": "medians and 90 % ranges over all launches that got a release", "speed": "airspeed", "stall_ratio": "over the stall speed", "trim_ratio": "over the speed that the held stick trims", "pitch_deg": "nose above level", "path_deg": "path above level",
	"ReleaseJSON.height": "of the centre of gravity", "nominal": "the launch with everything at its nominal value", "typical_failure": "one launch that stands for most failures; null when none failed", "class": "how it ended", "success": "airborne",
	"sentence": "what happened", "decided_s": "when it was decided", "settings": "as flown", "best_settings": "best settings found; null when not searched for", "word": "instead of a value", "SettingJSON.value": "SI or degrees", "unit": "of the value",

	"stall_speed": "level, trimmed", "top_speed": "level, full throttle", "dive_speed": "30 degrees down, full throttle", "cruise_speed": "as planned, or of longest range", "climb_rate": "best, full throttle", "climb_angle": "at the best climb",
	"endurance": "at cruise, to the reserve", "endurance_full_throttle": "to the reserve, or to where a cell sags under its cut-off", "range": "at cruise, still air", "turn_radius": "tightest sustained", "SpeedRowJSON.turn_radius_m": "tightest sustained at that speed", "loiter_radius": "at cruise and the bank set",
	"static_thrust": "at rest, full throttle", "current_max": "largest", "current_cruise": "at cruise", "glide_ratio": "motor off", "gust_load": "load factor in the day's gust at top speed", "run_in": "from cruise to 98 % of the top speed",
	"at_speed": "level flight at nominal values, one object an airspeed", "drag_n": "drag", "drag_due_to_lift_n": "of it, due to lift and trim", "thrust_n": "full throttle", "current_a": "to hold level", "endurance_s": "to the reserve", "range_m": "to the reserve",
	"SpeedRowJSON.climb_m_s": "full throttle", "sink_m_s": "motor off", "stall_bank_deg": "bank at which it stalls", "drag_at_m_s": "airspeed of the drag list", "drag": "piece by piece", "drag_area_m2": "drag over dynamic pressure",
	"drive_limits": "at full throttle and top speed", "limit": "of the part", "over": "whether it is passed", "heat": "at full throttle and top speed", "heat_after_s": "run that `after_k` is for", "after_k": "temperature after that run", "steady_k": "in the end", "limit_k": "not to be passed", "time_to_limit_s": "null when never",

	"approach_speed": "airspeed", "touchdown_speed": "over the ground", "distance": "from 10 m height to standing still", "deceleration": "mean, on the ground", "trim_approach": "share of the pitch stick", "from_height_m": "height that the distance counts from",
	"approach_run_m": "to the flare", "flare_run_m": "flare and float", "slide_m": "on the belly", "slide_s": "its time", "sink_at_touchdown_m_s": "after the flare", "friction": "of the belly on that ground", "ways": "other ways to land", "margin": "approach speed over stall speed",
	"headwind_m_s": "along the landing", "approach_m_s": "airspeed", "touchdown_ground_m_s": "over the ground", "distance_m": "from the same height",

	"columns": "one object a column", "ColumnMap.columns": "columns of the file and what they were taken for", "failing": "ids of findings that fail", "doubtful": "ids of findings in doubt or unknown",
	"results": "one object a judgement", "wanted_m": "clearance asked for", "cures": "smallest changes", "by_m": "how far", "weakens": "what the cure weakens", "harness": "wires to cut", "motor_turns": "which way", "from": "from which part", "to": "to which part",
	"wires": "how many", "gauge_awg": "AWG", "length_m": "cut length", "drop_v": "there and back", "bend_m": "least radius", "solder": "before or after it goes in", "id": "stable name",

	"section": "as named", "points": "one object a point", "clmax": "highest lift at each Reynolds number", "ReportMax.clmax": "null when the angles do not reach it", "re": "Reynolds number on the chord", "cl": "lift coefficient", "cd": "drag coefficient", "cm": "moment about the quarter chord, nose up positive",
	"ch": "hinge moment coefficient", "transition_upper": "where the flow turns turbulent, chords; 1: nowhere", "transition_lower": "the same, lower side", "separation_upper": "where it leaves for good, chords", "separation_lower": "the same, lower side",
	"thickness": "over the chord", "camber": "over the chord", "turbulence": "of the stream, over its speed",

	"cl_alpha": "lift slope, per radian", "cm_alpha": "moment slope about the reference point, per radian", "cl_0": "lift at no angle", "cm_0": "moment at no angle", "neutral_point_with_body_x": "with the body's share", "span_efficiency": "of the loading by angle of attack",
	"cd_0": "drag without lift, trimmed polar", "cd_by_cl2": "its slope by lift squared", "cl_max_trimmed": "highest trimmed lift", "area_m2": "reference area", "span_m": "reference span", "reference_point_m": "quarter point of the mean chord",
	"strips": "of vortices", "derivatives": "of the lattice about the reference point, per radian; rates as pb/2V, qc/2V, rb/2V", "derivatives_whole": "of the whole aeroplane about its centre of gravity, body and sections included", "derivatives_whole_at_m_s": "airspeed they are for",
	"stations": "along the span in level flight", "eta": "place along the half span, 0 to 1", "cl_separates": "lift at which it parts", "cy": "side force", "croll": "rolling moment", "cn": "yawing moment",

	"diameter_m": "diameter", "blades": "how many", "doubt": "one standard deviation, relative", "ct": "thrust / (density n2 D4)", "cp": "power / (density n3 D5)", "advance_ratio_of_zero_thrust": "of where thrust ends", "rpm": "turns a minute", "advance_ratio": "V / (n D)",
	"efficiency": "thrust x airspeed / power", "ReportPoint.airspeed_m_s": "along the axis", "ReportPoint.thrust_n": "forward", "ReportPoint.torque_nm": "on the shaft", "ReportPoint.power_w": "on the shaft", "re75": "Reynolds number at three quarters of the radius", "tip_mach": "tip speed over the speed of sound", "blade_pass_hz": "tone", "ideal_efficiency": "of a loss-free disc at that thrust",

	"bytes": "written", "text": "in words", "NewJSON.text": "of the file", "NewJSON.file": "written; empty when printed", "year": "null when undated", "where": "where a copy may be found", "key": "short name", "SourceJSON.kind": "measured elsewhere, published, or our own",
	"version": "of the program", "revision": "of the source", "changed": "built from a changed tree", "go": "of the compiler", "system": "it runs on", "build_format": "newest build file it reads",

	"logs": "when several logs are given: one object each, with the keys below at the top of each; then there are none at the top", "samples": "records with data", "used": "of them, kept", "dropped": "set aside", "dropped_by": "why, with counts", "reason": "why", "count": "how many",
	"first_line": "where the first was", "example": "of it", "gaps": "holes in the record", "sections": "unbroken stretches", "duration": "of the record", "air_time": "above walking pace", "peak_ground_speed": "after spikes are rejected", "peak": "the fastest moment and what made it fast",
	"wind": "null when the record does not tell it", "wind_refused": "why not", "from_deg": "where it blows from", "level_speed": "airspeed in a level stretch, or null", "refused": "why there is none", "two_way_speed": "mean of the ground speeds of paired level passes over 200 m", "two_way_airspeed": "the same with the cross wind put back",
	"two_way_refused": "why there is none", "window_s": "over which", "claims": "each claim judged", "claim": "what is claimed", "Judged.status": "`shown`, `not shown` or `refuted`", "claimed": "value claimed", "measured": "value measured", "predicted": "value predicted", "probability": "that the claim is met, by what was measured",
	"settle": "the flight or weighing that would settle it", "evidence": "everything measured", "what": "what was measured", "method": "how", "remark": "what to mind", "remarks": "what to mind", "quantity": "the value", "sigma": "one standard deviation", "budget": "what the doubt is made of", "airspeed_budget": "the same for the airspeed",
	"pairs": "two passes each", "best_pair": "index in pairs, -1 none", "runs": "straight stretches", "phases": "of the flight", "noise_model": "of the record", "latency": "of the receiver's velocities", "battery": "as used", "reach": "how far and high", "flyby": "the fastest passing in a sound", "flybys": "all passings in a sound",
	"value": "null with a status when it could not be had", "low": "lower end of the 90 % interval", "high": "upper end", "from_s": "since the start", "to_s": "since the start", "at_s": "since the start", "passes": "one each way",
	"FlybyResult.speed": "over the ground, past the listener", "FlybyResult.distance": "closest, slant", "FlybyResult.points": "of the curve", "tone": "at the source", "approach_tone_hz": "as heard", "receding_tone_hz": "as heard", "lines_hz": "source tones found", "shaft": "what the tone means for a propeller",
	"residual_hz": "of the fitted curve", "curve": "time and tone as heard", "Term.what": "which doubt", "WindWindow.speed_m_s": "of the wind", "sigma_m_s": "one standard deviation, m/s", "ground_speed": "over the base", "timed_speed_m_s": "base over the time between its ends", "course_deg": "flown, from true north", "climb_m_s": "m/s up",
	"excess_power_m_s": "climb plus V/g times the acceleration, m/s", "entry_m": "level flight before the base", "off_line_m": "beside the base's line", "accepted": "level over the base", "base_m": "length", "centre_deg": "latitude, longitude", "azimuth_deg": "of the base", "wind_along_m_s": "half the difference of the two",
	"as_the_code": "flown as the sporting code asks", "mean_of_times_m_s": "both bases over both times",
	"Debrief.launch": "as flown", "Debrief.landing": "as flown", "format": "of the log", "start": "first record, UTC",
}
