package craft

import "fledge/internal/build"

// Limit is one default limit with its reason; docs/limits.md is made from this table.
type Limit struct {
	Key   string  // under limits: in the build file
	Value float64 // SI
	Dim   string  // a unit.Dim name
	What  string
	Why   string
	Ref   string // cite key
	field func(*Limits) *float64
	given func(*build.Limits) build.Value
}

// DefaultLimits is the one table of default limits.
func DefaultLimits() []Limit {
	return []Limit{
		{"launch_odds", 0.90, "ratio", "chance that the launch succeeds, at least", "weeks of work hang on one throw", "our-choice",
			func(l *Limits) *float64 { return &l.LaunchOdds }, func(b *build.Limits) build.Value { return b.LaunchOdds }},
		{"static_margin_min", 0.05, "ratio", "static margin over the mean chord, at least", "sporting practice is 5 to 10 % for swept tailless wings (Nickel and Wohlfahrt) and 5 to 15 % with a tail or a foreplane (common practice), and more for first flights", "nickel-wohlfahrt",
			func(l *Limits) *float64 { return &l.StaticMarginMin }, func(b *build.Limits) build.Value { return b.StaticMarginMin }},
		{"static_margin_max", 0.25, "ratio", "static margin over the mean chord, at most", "beyond it trim and flare cost too much elevator", "our-choice",
			func(l *Limits) *float64 { return &l.StaticMarginMax }, func(b *build.Limits) build.Value { return b.StaticMarginMax }},
		{"servo_share", 0.5, "ratio", "hinge load over the servo's stall torque, at most", "stall torque is a label value; the other half is speed and life", "our-choice",
			func(l *Limits) *float64 { return &l.ServoShare }, func(b *build.Limits) build.Value { return b.ServoShare }},
		{"safety_factor", 1.5, "ratio", "strength over limit load, at least", "the ultimate factor of the airworthiness codes (14 CFR 23.303)", "14-cfr-23-303",
			func(l *Limits) *float64 { return &l.SafetyFactor }, func(b *build.Limits) build.Value { return b.SafetyFactor }},
		{"reserve", 0.20, "ratio", "charge left at landing, at least", "a usual rule; lithium cells are harmed below it", "common-practice",
			func(l *Limits) *float64 { return &l.Reserve }, func(b *build.Limits) build.Value { return b.Reserve }},
		{"link_margin", 10, "gain", "radio link margin in dB, at least", "fading in a turn and a poor aim of the antenna cost as much", "our-choice",
			func(l *Limits) *float64 { return &l.LinkMargin }, func(b *build.Limits) build.Value { return b.LinkMargin }},
		{"load_factor", 8, "ratio", "pull-up it must stand", "a small fast model pulled hard; the code of light aerobatic aeroplanes asks 6", "our-choice",
			func(l *Limits) *float64 { return &l.LoadFactor }, func(b *build.Limits) build.Value { return b.LoadFactor }},
	}
}

// limits takes the limits in force: the build's where given, else the table's.
func (m *maker) limits() {
	l, b := &m.ac.Limits, &m.b.Limits
	for _, d := range DefaultLimits() {
		*d.field(l) = d.Value
		if v := d.given(b); v.Given {
			*d.field(l) = v.Value
		}
	}
	m.ac.Knobs = append(m.ac.Knobs, Knob{Path: "limits.load_factor", Label: "pull-up it must stand", Dim: "ratio", Value: l.LoadFactor, Given: b.LoadFactor.Given, Low: 1, High: 100, set: func(a *Aircraft, x float64) { a.Limits.LoadFactor = x }})
	l.TakeoffMass = b.TakeoffMass.Value
	l.TopSpeed = b.TopSpeed.Value
	l.FieldLength = b.FieldLength.Value
	if b.Balance.Given {
		l.BalanceMin, l.BalanceMax = b.Balance.Low.Value, b.Balance.High.Value
	}
}
