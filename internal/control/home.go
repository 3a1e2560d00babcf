package control

import "math"

const gravity = 9.80665

// LoiterRadius is the radius of a level turn, m: V²/(g tan bank).
// +Inf at no bank; NaN for a bank of 90° or more.
func LoiterRadius(v, bank float64) float64 {
	if bank < 0 || bank >= math.Pi/2 {
		return math.NaN()
	}
	return v * v / (gravity * math.Tan(bank))
}

// StallInTurn is the stall speed in a level turn, from the stall speed in
// level flight.
func StallInTurn(vs, bank float64) float64 { return vs / math.Sqrt(math.Cos(bank)) }

// Home is what to type into a return-home function, and what each lost
// signal should do.
type Home struct {
	Speed, Bank, Radius, Height float64
	StallMargin                 float64 // speed over the stall speed in that turn; NaN when the stall is not known
	Say                         []string
	RadiusSigma, MarginSigma    float64 // by the doubt of the stall speed; filled in by [Assess]
}

// PlanHome chooses return-home settings: speed is the larger of the wanted
// one and 1.3 times the stall speed in the turn (the approach margin of
// 14 CFR 23.73, applied to the turn: our choice); the bank the wanted one,
// reduced to 45°; the radius follows, made 1.5 times the exact one because an
// autopilot must be able to correct inwards (our choice). Zero for what is not
// known: bank then is 30°, height 60 m. ok is false when neither speed nor
// stall speed is known.
func PlanHome(speed, stall, bank, radius, height float64) (Home, bool) {
	if !(speed > 0) && !(stall > 0) {
		return Home{}, false
	}
	h := Home{Bank: bank, Height: height, StallMargin: math.NaN()}
	if !(h.Bank > 0) {
		h.Bank = math.Pi / 6
		h.Say = append(h.Say, "no bank was given: 30° is taken")
	}
	if h.Bank > math.Pi/4 {
		h.Bank = math.Pi / 4
		h.Say = append(h.Say, "the bank is cut to 45°: nobody may be looking")
	}
	if !(h.Height > 0) {
		h.Height = 60
		h.Say = append(h.Say, "no height was given: 60 m is taken; set it above every obstacle and below the lawful height")
	}
	h.Speed = speed
	if stall > 0 {
		if least := 1.3 * StallInTurn(stall, h.Bank); h.Speed < least {
			h.Speed = least
			h.Say = append(h.Say, "the speed is raised to 1.3 times the stall speed in the turn")
		}
		h.StallMargin = h.Speed / StallInTurn(stall, h.Bank)
	}
	h.Radius = 1.5 * LoiterRadius(h.Speed, h.Bank)
	if radius > 0 {
		if radius < LoiterRadius(h.Speed, h.Bank) {
			h.Say = append(h.Say, "the radius asked for is tighter than the bank allows at that speed: the larger one is given")
		} else {
			h.Radius = radius
		}
	}
	return h, true
}

// Failsafe is one line of the failsafe table.
type Failsafe struct{ When, Throttle, Surfaces, Why string }

// Failsafes are the positions to program for each way the signal can go.
// With return-home the receiver must stop its output or send the switch value
// of that mode, so that the autopilot takes over. home says one is carried.
// Common practice, no source; local rules may ask for something else.
func Failsafes(home bool) []Failsafe {
	out := []Failsafe{{
		"control link lost", "off (lowest pulse)", "neutral trim, a little up and a little bank into an open circle",
		"an aeroplane out of control must come down soon, slowly and near",
	}}
	if home {
		out[0] = Failsafe{
			"control link lost", "as return-home sets it", "as return-home sets them",
			"the receiver signals the loss and the autopilot flies home; test it on the ground, propeller off, by switching the transmitter off",
		}
	}
	return append(out,
		Failsafe{"picture lost, control link held", "cruise", "centre the sticks, climb gently straight ahead, then return-home or the spotter's word", "a stable aeroplane holds itself while eyes or picture come back"},
		Failsafe{"position lost", "cruise", "fly by hand; switch return-home off", "without a position it circles with the wind or flies away"},
		Failsafe{"pack at its cut-off", "off, then short bursts", "turn for the field at once", "the receiver feeds from the same pack"},
	)
}
