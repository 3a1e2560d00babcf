package launch

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// FrictionFromTilt reads a bench test: hang the ring on the hook, pull on it
// with the line at a depression that is slowly increased, and note the
// depression delta (rad, below the datum line) at which it slides off. With the
// pin drooped by rake the grip is rake + delta - 90°, its tangent the
// friction. ok is false when the ring did not hold at all (a grip below 0)
// or the reading is not possible (90° or more).
func FrictionFromTilt(rake, delta float64) (friction float64, ok bool) {
	g := rake + delta - math.Pi/2
	if !(g >= 0 && g < math.Pi/2) {
		return 0, false
	}
	return math.Tan(g), true
}

// RoundAPeg is the ratio of tensions of a line that slips round a peg over the
// angle, rad: exp(friction angle).
func RoundAPeg(friction, angle float64) float64 { return math.Exp(friction * angle) }

// NeoHookean is the rubber P = g (l - l^-2), Pa.
func NeoHookean(g float64) Rubber {
	return Rubber{Mu: [3]float64{g, 0, 0}, Alpha: [3]float64{2, 1, 1}}
}

// CarefulThrow is the speed, m/s, of a careful, level throw of a model of the
// given mass, kg, and its standard deviation from throw to throw: 8 m/s ± 1.5
// at 0.6 kg (our assumption, reference flight 3.5), truncated to 4-13 m/s.
func CarefulThrow(mass float64) (speed, sigma float64) {
	k := ThrowFactor(mass, 0.6)
	return math.Max(4, math.Min(13, 8*k)), 1.5 * k
}
