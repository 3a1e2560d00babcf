// Package tune is the fitted factors: what stands between a model and the
// aeroplane as it really is. Each factor belongs to a component, not to the
// whole aircraft, so that moving a battery voids nothing and a propeller
// learned on one aeroplane serves another. Untaught, every factor is neutral
// with the model's own doubt.
package tune

// Factor is one correction with its doubt.
type Factor struct {
	Name      string  // "drag", "thrust", ...
	Component string  // what it is bound to: "airframe", "propeller 6x6x2", ...
	Value     float64 // multiplier (neutral 1) or shift (neutral 0)
	Sigma     float64 // one standard deviation
	Shift     bool    // true: added; false: multiplied
	Label     string  // in words
	Why       string  // where the doubt comes from
	Ref       string  // cite key
	How       string  // what measurement would narrow it
}

// Neutral is the value that changes nothing.
func (f Factor) Neutral() float64 {
	if f.Shift {
		return 0
	}
	return 1
}

// Set is a list of factors, at most one of each name.
type Set []Factor

// Prior is the untaught set: neutral, with the doubt of the models at this
// scale. The figures are our reading of how far such methods miss in the
// published comparisons named in docs/accuracy.md.
func Prior() Set {
	return Set{
		{Name: "drag", Component: "airframe", Value: 1, Sigma: 0.12, Label: "drag factor of the airframe", Why: "a component build-up misses by 10 to 15 % at model size; published clean-up tests show why", Ref: "our-choice", How: "a glide or a level speed run with a log"},
		{Name: "lift", Component: "airframe", Value: 1, Sigma: 0.03, Label: "lift slope factor", Why: "a lattice with thin surfaces is within 3 %", Ref: "our-choice", How: "a log with angle of attack; hardly worth it"},
		{Name: "lift-max", Component: "airframe", Value: 1, Sigma: 0.08, Label: "maximum lift factor", Why: "0.07 to 0.1 in maximum lift at model Reynolds numbers", Ref: "our-choice", How: "a stall at height with a log"},
		{Name: "neutral-point", Component: "airframe", Value: 0, Sigma: 0.015, Shift: true, Label: "shift of the neutral point (share of the mean chord)", Why: "lattice with body correction: 1 to 2 % of the mean chord", Ref: "our-choice", How: "trim at two balance points"},
		{Name: "pitch-trim", Component: "airframe", Value: 0, Sigma: 0.008, Shift: true, Label: "shift of the pitching moment at no lift", Why: "camber, twist and section moment as built", Ref: "our-choice", How: "the trim setting in a steady glide"},
		{Name: "control", Component: "airframe", Value: 1, Sigma: 0.10, Label: "control effect factor", Why: "plain flaps at low Reynolds number keep 70 to 85 % of the thin-section value", Ref: "our-choice", How: "a logged pitch step"},
		{Name: "damping", Component: "airframe", Value: 1, Sigma: 0.10, Label: "damping factor", Why: "lattice damping is within 6 to 10 %", Ref: "our-choice", How: "hardly worth it"},
		{Name: "thrust", Component: "propeller", Value: 1, Sigma: 0.09, Label: "thrust factor of the propeller", Why: "blade sections and true pitch are not known from diameter and pitch", Ref: "our-choice", How: "luggage scale: static pull at full throttle, with volts and amps"},
		{Name: "advance", Component: "propeller", Value: 1, Sigma: 0.05, Label: "true pitch of the propeller (advance scale)", Why: "the angle of zero lift of the blade sections is not known to better than a degree", Ref: "our-choice", How: "a level speed run with a log and a tachometer"},
		{Name: "kv", Component: "motor", Value: 1, Sigma: 0, Label: "true motor constant over the one given", Why: "measured by the builder", Ref: "our-choice", How: "tachometer and voltmeter, propeller off"},
		{Name: "torque", Component: "propeller", Value: 1, Sigma: 0.11, Label: "torque factor of the propeller", Why: "blade sections and true pitch are not known from diameter and pitch", Ref: "our-choice", How: "wattmeter and tachometer at full throttle"},
	}
}
