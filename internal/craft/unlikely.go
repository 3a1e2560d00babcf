package craft

import (
	"fmt"
	"math"

	"fledge/internal/build"
	"fledge/internal/power/typical"
)

// strange is how many times more or less than such parts have is remarked on:
// beyond four standard deviations of the typical values, which are coarse.
const strange = 8

// unlikely remarks on stated numbers of the drive that no such part has: a
// slipped unit or decimal more often than a marvel. They are used as stated.
func (m *maker) unlikely() {
	b, p := &m.b.Power, &m.ac.Power
	tell := func(v build.Value, got float64, usual typical.Value, code, what, of string, show func(float64) string) {
		if !v.Given || !(got > 0) || !(usual.Value > 0) || math.IsInf(usual.Value, 0) {
			return
		}
		word, times := "more", got/usual.Value
		if times < 1 {
			word, times = "less", 1/times
		}
		if times > strange {
			m.warnf(v.Span, code, fmt.Sprintf("such %s have about %s; it is used as it stands", of, show(usual.Value)),
				"%s of %s is %.0f times %s than usual for its size", what, show(got), times, word)
		}
	}
	milliohm := func(x float64) string { return fmt.Sprintf("%.3g mohm", 1000*x) }
	amps := func(x float64) string { return fmt.Sprintf("%.3g A", x) }
	mo := &p.Motor
	if mo.KV > 0 {
		tell(b.Motor.Resistance, mo.Resistance, typical.MotorResistance(mo.KV, mo.Mass), "motor-resistance", "a motor's resistance", "motors", milliohm)
		tell(b.Motor.IdleCurrent, mo.IdleCurrent, typical.IdleCurrent(mo.KV, mo.Mass), "motor-idle", "an idle current", "motors", amps)
	}
	if p.Battery.Capacity > 0 {
		side := float64(max(p.Battery.Parallel, 1))
		tell(b.Battery.CellResistance, p.Battery.CellResistance, typical.CellResistance(p.Battery.Capacity/side, p.Battery.Chemistry), "cell-resistance", "a cell's resistance", "cells", milliohm)
	}
}
