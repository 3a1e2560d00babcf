package track

// ColumnUnit is a unit a column may be in; a value times Factor is SI.
type ColumnUnit struct {
	Unit   string
	Factor float64
}

// spelled are the spellings of units that are offered, the usual one first;
// all that are read stand in csvUnits.
var spelled = map[kindOf][]string{
	kTime: {"s", "ms", "us", "min"}, kAngle: {"deg", "rad", "dege7"}, kLength: {"m", "ft", "cm", "mm", "km"},
	kSpeed: {"m/s", "km/h", "mph", "knots", "cm/s", "ft/s", "ft/min"}, kShare: {"%"}, kVolt: {"v", "mv"}, kAmp: {"a", "ma"}, kCharge: {"mah", "ah"}, kTurn: {"rpm", "hz"},
}

// ColumnUnits lists the units that a column of the channel may be in; none for
// a channel that has no unit.
func ColumnUnits(c Channel) []ColumnUnit {
	k, ok := chKind[c]
	if !ok {
		return nil
	}
	var out []ColumnUnit
	for _, s := range spelled[k] {
		out = append(out, ColumnUnit{s, csvUnits[s].f})
	}
	if k == kShare {
		out = append(out, ColumnUnit{"", 1})
	}
	return out
}

// TimeForms lists how a time column may be written.
func TimeForms() []string { return []string{"seconds", "clock", "date and clock", "unix"} }
