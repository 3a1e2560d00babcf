package craft

import (
	"fmt"

	"fledge/internal/build"
	"fledge/internal/power/typical"
)

// emptied narrows the cell's resistance and the pack's capacity by the readings
// of a discharge, and sets how the rest voltage lies; both as they are where
// there is none or they fit no pack.
func (m *maker) emptied(cell, capacity build.Value) (build.Value, build.Value) {
	b, bat := &m.b.Power.Battery, &m.ac.Power.Battery
	if len(b.Discharge) == 0 || !(capacity.Value > 0) || b.Cells.N < 1 {
		return cell, capacity
	}
	var rows []typical.Reading
	for i := range b.Discharge {
		r := &b.Discharge[i]
		rows = append(rows, typical.Reading{Amps: r.Amps.Value, Taken: r.Taken.Value, Volts: r.Volts.Value})
	}
	before := typical.CellResistance(capacity.Value/float64(bat.Parallel), bat.Chemistry)
	if cell.Given {
		before = typical.Value{Value: cell.Value, Sigma: cell.Value * max(relative(cell), 0.01)}
	}
	e := typical.FromDischarge(rows, b.Cells.N, bat.Parallel, bat.Chemistry, before, typical.Value{Value: capacity.Value, Sigma: capacity.Value * max(relative(capacity), 0.005)})
	const path = "power.battery.discharge"
	at := b.Discharge[0].Volts.Span
	if !e.OK {
		m.warnf(at, "discharge", "amps, charge taken since full and volts of the whole pack; cells, chemistry and capacity", "the readings of the discharge fit no such pack and are left out")
		return cell, capacity
	}
	if e.RMS > 0.045 {
		m.warnf(at, "discharge", "is one of them misread, or the pack cold or warm?", "the readings of the discharge miss one another by %.2f V a cell; the doubt is wider for it", e.RMS)
	}
	bat.RestShift = e.Shift
	cell.Given, cell.Stated, cell.Value, cell.Sigma = true, true, e.Resistance.Value, e.Resistance.Sigma
	capacity.Stated, capacity.Value, capacity.Sigma = true, e.Capacity.Value, e.Capacity.Sigma
	m.say(path, "cells by their discharge", fmt.Sprintf("%.3g mohm ± %.0f %%, %.0f mAh, at rest half full %.2f V", 1000*e.Resistance.Value, 200*e.Resistance.Sigma/e.Resistance.Value,
		e.Capacity.Value/3.6, bat.RestVoltage(0.5)), e.Resistance.Why, e.Resistance.Cite)
	return cell, capacity
}
