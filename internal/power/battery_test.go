package power

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
	"fledge/internal/power/typical"
)

func TestChenCell(t *testing.T) {
	for _, c := range []struct{ s, voc, r0, rs, rl float64 }{
		{1.0, 4.1029, 0.07446, 0.04669, 0.04984}, {0.8, 3.9460, 0.07446, 0.04669, 0.04984}, {0.5, 3.8034, 0.07446, 0.04669, 0.04984},
		{0.2, 3.7250, 0.07565, 0.04763, 0.04984}, {0.1, 3.6746, 0.08812, 0.06410, 0.04984}, {0.05, 3.5164, 0.12064, 0.12142, 0.05266},
	} {
		voc, r0, rs, _, rl, _ := typical.ChenCell(c.s)
		for _, x := range []struct {
			name             string
			got, want, digit float64
		}{{"rest voltage", voc, c.voc, 1e-4}, {"series resistance", r0, c.r0, 1e-5}, {"short relaxation", rs, c.rs, 1e-5}, {"long relaxation", rl, c.rl, 1e-5}} {
			check.Row{Topic: "lithium cell", Name: fmt.Sprintf("%s at charge %g", x.name, c.s), Source: cite.ChenRincon2006.At("coefficients", cite.Seen)}.
				Near(t, x.got, x.want, check.Printed(x.digit*1.2))
		}
		check.Row{Topic: "lithium cell", Name: fmt.Sprintf("resistance at charge %g over that at half charge", c.s), Source: cite.ChenRincon2006.At("three resistances together", cite.Seen)}.
			Near(t, typical.ResistanceByCharge(c.s), (r0+rs+rl)/(0.07446+0.04669+0.04984), check.Model(0.22, "20 % more at full charge after Ecker 2015"))
	}
}

func TestRestVoltage(t *testing.T) {
	for _, c := range [][2]float64{{1, 4.20}, {0.9, 4.08}, {0.8, 3.98}, {0.7, 3.92}, {0.6, 3.87}, {0.5, 3.83}, {0.4, 3.79}, {0.3, 3.76}, {0.2, 3.72}, {0.1, 3.66}, {0.05, 3.55}, {0, 3.27}} {
		check.Row{Topic: "lithium cell", Name: fmt.Sprintf("rest voltage of a hobby cell at %g", c[0]), Unit: "V", Source: cite.Common.At("rest, 25 degC", cite.Practice)}.
			Near(t, typical.RestVoltage("LiPo", c[0]), c[1], check.ModelAbs(0.03, "stated"))
	}
	for _, chem := range []string{"LiPo", "LiHV", "LiIon", "LiFe", ""} {
		last := 0.0
		for s := -0.1; s <= 1.1; s += 0.01 {
			v := typical.RestVoltage(chem, s)
			if v < last || v < 2 || v > 4.4 {
				t.Errorf("%s at %g: %g after %g", chem, s, v, last)
			}
			last = v
			if s > 0.02 && s < 0.98 && math.Abs(ChargeAt(chem, v)-s) > 0.01 {
				t.Errorf("%s: %g V is charge %g, not %g", chem, v, ChargeAt(chem, v), s)
			}
		}
	}
	for _, c := range [][2]float64{{273.15, 2}, {298.15, 1}, {318.15, 0.75}} {
		check.Row{Topic: "lithium cell", Name: fmt.Sprintf("resistance at %g K over that at 25 degC", c[0]), Source: cite.Common.At("", cite.Practice)}.
			Near(t, ResistanceByTemperature(c[0]), c[1], check.Model(0.01, "curve through the stated points"))
	}
}

func pouch(t *testing.T) (slow, fast Run) {
	slow.Current, fast.Current = 7.5, 37.5
	for _, r := range check.CSV(t, check.RefFile("propulsion-battery-pouch75.csv")) {
		run := &slow
		if r["rate"] == "5C" {
			run = &fast
		}
		run.Taken = append(run.Taken, check.Number(t, r, "discharged_Ah")*3600)
		run.Volts = append(run.Volts, check.Number(t, r, "cell_V"))
	}
	return
}

func TestPouchCell(t *testing.T) {
	slow, fast := pouch(t)
	capacity := 7.754 * 3600
	src := cite.Ecker2015.At("1C and 5C at 25 degC, digitised", cite.Seen)
	mean := func(r Run) (v, wh float64) {
		for i := 1; i < len(r.Taken); i++ {
			wh += 0.5 * (r.Volts[i] + r.Volts[i-1]) * (r.Taken[i] - r.Taken[i-1]) / 3600
		}
		return wh / (r.Taken[len(r.Taken)-1] - r.Taken[0]) * 3600, wh
	}
	v1, _ := mean(slow)
	v5, _ := mean(fast)
	check.Row{Topic: "discharges", Name: "mean voltage at 1C", Unit: "V", Source: src}.Near(t, v1, 3.686, check.Printed(2e-3))
	check.Row{Topic: "discharges", Name: "mean voltage at 5C", Unit: "V", Source: src}.Near(t, v5, 3.479, check.Printed(2e-3))
	curve, ok := FromRuns(slow, fast, capacity)
	if !ok {
		t.Fatal("no curve from the two runs")
	}
	for _, c := range [][2]float64{{0.75, 8.3}, {1.5, 8.0}, {3.0, 6.75}, {3.75, 6.6}, {5.25, 8.4}, {6.75, 10.0}, {7.0, 11.5}} {
		_, r := curve.at(1 - c[0]*3600/capacity)
		check.Row{Topic: "discharges", Name: fmt.Sprintf("apparent resistance at %g Ah", c[0]), Unit: "mohm", Source: src}.
			Near(t, r*1e3, c[1], check.ModelAbs(0.35, "two digitised curves, 5 mV each over 30 A"))
	}
	c1, _ := num.Monotone(slow.Taken, slow.Volts)
	c5, _ := num.Monotone(fast.Taken, fast.Volts)
	worst := 0.0
	for q := 0.3; q < 7.2; q += 0.05 {
		v, r := curve.at(1 - q*3600/capacity)
		worst = math.Max(worst, math.Abs(v-37.5*r-c5.Y(q*3600)))
	}
	check.Row{Topic: "discharges", Name: "5C curve from the cell's curve, worst", Unit: "V", Source: src}.Near(t, worst, 0, check.ModelAbs(0.010, "stated: by construction"))
	v, r := curve.at(1 - 3.75*3600/capacity)
	check.Row{Topic: "discharges", Name: "3C foretold at 3.75 Ah", Unit: "V", Source: cite.Ecker2015.At("own sum", cite.Derived)}.Near(t, v-22.5*r, 3.608, check.ModelAbs(0.003, "reading of the curves"))
	worst = 0
	for q := 0.5; q < 6; q += 0.05 {
		worst = math.Max(worst, math.Abs(c1.Y(q*3600)-30*7.5e-3-c5.Y(q*3600)))
	}
	check.Row{Topic: "discharges", Name: "a constant 7.5 mohm between 0.5 and 6 Ah, worst", Unit: "V", Source: src}.Near(t, worst, 0, check.ModelAbs(0.040, "stated"))
	// The two runs typed off as a user would, a dozen readings each, and the
	// pack model then discharging that cell.
	var rows []typical.Reading
	for _, r := range []Run{slow, fast} {
		for q := 0.4; q < 7.3; q += 0.6 {
			c := c1
			if r.Current > 20 {
				c = c5
			}
			rows = append(rows, typical.Reading{Amps: r.Current, Taken: q * 3600, Volts: c.Y(q * 3600)})
		}
	}
	told := func(rows []typical.Reading) Pack {
		e := typical.FromDischarge(rows, 1, 1, "LiPo", typical.CellResistance(7.5*3600, "LiPo"), typical.Value{Value: 7.5 * 3600, Sigma: 0.05 * 7.5 * 3600})
		if !e.OK {
			t.Fatalf("%+v", e)
		}
		t.Logf("%.2f mohm, %.0f mAh, shift %.3f, %.3f V left", 1e3*e.Resistance.Value, e.Capacity.Value/3.6, e.Shift, e.RMS)
		return Pack{Chemistry: "LiPo", Cells: 1, Parallel: 1, Capacity: e.Capacity.Value, Cell: e.Resistance.Value, Shift: e.Shift, Age: 1, Temperature: 298.15, Cutoff: 2.75}
	}
	p := told(rows)
	d := p.Constant(37.5, 1, 0)
	check.Row{Topic: "discharges", Name: "energy of the 5C discharge, fitted to readings", Unit: "Wh", Source: src}.Near(t, d.Energy/3600, 25.59, check.Model(0.03, "shape of the rest voltage by three numbers"))
	s := 1 - 3.75*3600/p.Capacity
	check.Row{Topic: "discharges", Name: "3C foretold at 3.75 Ah, fitted to readings", Unit: "V", Source: cite.Ecker2015.At("own sum", cite.Derived)}.
		Near(t, p.Rest(s)-22.5*p.Steady(s), 3.608, check.ModelAbs(0.03, "shape of the rest voltage by three numbers"))
	// One run alone tells little of the resistance, and says so.
	if e := typical.FromDischarge(rows[:len(rows)/2], 1, 1, "LiPo", typical.CellResistance(7.5*3600, "LiPo"), typical.Value{Value: 7.5 * 3600, Sigma: 0.05 * 7.5 * 3600}); !e.OK || e.Resistance.Sigma < 0.25*e.Resistance.Value {
		t.Errorf("one current: %+v", e)
	}
	// Known only by label, chemistry and the charger's resistance.
	p = Pack{Chemistry: "LiPo", Cells: 1, Parallel: 1, Capacity: 7.5 * 3600, Cell: 7.0e-3 / (1 + RelaxShare), Age: 1, Temperature: 298.15, Cutoff: 2.75}
	for _, c := range []struct{ i, volts, ah float64 }{{7.5, 3.686, 7.754}, {37.5, 3.479, 7.354}} {
		d := p.Constant(c.i, 1, 0)
		check.Row{Topic: "discharges", Name: fmt.Sprintf("mean voltage at %g A from the label", c.i), Unit: "V", Source: src}.
			Near(t, d.Energy/d.Taken, c.volts, check.ModelAbs(0.13, "the default rest curve is a high-voltage-at-half cell's, 0.1 V over this one"))
		check.Row{Topic: "discharges", Name: fmt.Sprintf("capacity at %g A from the label", c.i), Unit: "Ah", Source: src}.
			Near(t, d.Taken/3600, c.ah, check.Model(0.06, "label against measured 3 %"))
	}
	// Peukert's exponent.
	n := math.Log(3722.0/706) / math.Log(5)
	check.Row{Topic: "discharges", Name: "Peukert exponent between 1C and 5C", Source: src}.Near(t, n, 1.033, check.Printed(1e-3))
	if _, ok := FromRuns(slow, slow, capacity); ok {
		t.Error("a curve from one run")
	}
	if _, ok := FromRuns(Run{}, fast, capacity); ok {
		t.Error("a curve from nothing")
	}
}

func TestPackRules(t *testing.T) {
	p := Pack{Chemistry: "LiPo", Cells: 4, Parallel: 1, Capacity: 1.3 * 3600, Cell: 6e-3 / 1.3, Age: 1, Temperature: 298.15, Cutoff: 3.3, Mass: 0.15}
	d := p.Constant(1.3, 1, 0)
	check.Row{Topic: "packs", Name: "energy of 4 cells of 1.3 Ah at 1C", Unit: "Wh", Source: cite.Common.At("nominal 3.7 V per cell", cite.Practice)}.
		Near(t, d.Energy/3600, 19.24, check.Model(0.06, "mean loaded voltage 3.5 to 3.85 V"))
	// Sag at 45C of a cell of 6 mohm Ah: 0.27 V, heat 12 W/Ah.
	sag := 45 * 1.3 * p.Cell
	check.Row{Topic: "packs", Name: "ohmic sag per cell at 45C", Unit: "V", Source: cite.PropulsionReference.At("4.3", cite.Derived)}.Near(t, sag, 0.27, check.Exact(100))
	check.Row{Topic: "packs", Name: "heat per ampere hour at 45C", Unit: "W", Source: cite.PropulsionReference.At("4.3", cite.Derived)}.Near(t, sag*45, 12, check.Printed(0.5))
	// Cold, hot, old, empty: always less.
	base := p.Constant(26, 1, 0.2)
	cold, old := p, p
	cold.Temperature, old.Age = 273.15, 2.5
	c, o := cold.Constant(26, 1, 0.2), old.Constant(26, 1, 0.2)
	if !(c.Energy < base.Energy && o.Energy < base.Energy && c.Volts[0] < base.Volts[0]) {
		t.Errorf("energy %g J, cold %g, old %g", base.Energy, c.Energy, o.Energy)
	}
	if base.End != AtReserve {
		t.Errorf("20C ends with %q", base.End)
	}
	frozen := p
	frozen.Temperature, frozen.Cell = 258.15, 3*p.Cell
	if f := frozen.Constant(40, 1, 0.2); f.End != AtCutoff {
		t.Errorf("a frozen pack at 30C ends with %q", f.End)
	}
	if e := p.Power(1e5, 1, 0); e.End != CannotGive {
		t.Errorf("100 kW: %q", e.End)
	}
	// Ledger: chemical energy is delivered energy and heat.
	sum := 0.0
	for i := 1; i < len(base.Time); i++ {
		sum += p.Rest(base.Charge[i-1]) * 26 * (base.Time[i] - base.Time[i-1])
	}
	check.Row{Topic: "packs", Name: "delivered energy and heat over the chemical energy", Source: cite.Ours.At("conservation", cite.Derived)}.
		Near(t, (base.Energy+base.Heat)/sum, 1, check.ModelAbs(1e-9, "one sum three ways"))
	if (&Pack{}).Constant(1, 1, 0).End != CannotGive {
		t.Error("an empty pack gives")
	}
}

// A pack of unlike cells ends when its weakest cell does: earlier than the
// same mean of like cells, and as a pack whose every cell is the weakest one
// would by voltage alone.
func TestWeakCell(t *testing.T) {
	like := Pack{Chemistry: "LiPo", Cells: 4, Parallel: 1, Capacity: 1.5 * 3600, Cell: 5e-3, Age: 1, Temperature: 298.15, Cutoff: 3.4}
	weak := like
	weak.Worst = 2
	all := like
	all.Cell *= 2
	a, b, c := like.Constant(30, 1, 0), weak.Constant(30, 1, 0), all.Constant(30, 1, 0)
	if !(b.Taken < a.Taken) || b.End != AtCutoff {
		t.Errorf("a weak cell: %g C of %g, %s", b.Taken, a.Taken, b.End)
	}
	check.Row{Topic: "packs", Name: "charge to the cut-off of the weakest cell over that of a pack of such cells", Source: cite.Ours.At("each cell carries the same current", cite.Derived)}.
		Near(t, b.Taken/c.Taken, 1, check.Model(0.01, "one step of the discharge, 1/400, and the warmth"))
	// In the drive: the flag of the cut-off comes by the weakest cell.
	ac := sample()
	ac.Power.Battery.Cutoff = 3.75
	m := mustModel(t, ac)
	p := m.Solve(0, 1, 1, nil)
	drop := m.Train.Pack.Rest(1) - p.Voltage
	w := 1 + 1.02*(p.Voltage-4*3.75)/drop // a weak cell just too weak
	if w <= 1 || p.Flag&BelowCutoff != 0 {
		t.Fatalf("the sample sags by %g V to %g", drop, p.Voltage)
	}
	for _, k := range []struct {
		worst float64
		below bool
	}{{1, false}, {1 + 0.96*(w-1), false}, {w, true}} {
		ac.Power.Battery.Worst = k.worst
		m := mustModel(t, ac)
		if q := m.Solve(0, 1, 1, nil); q.Flag&BelowCutoff != 0 != k.below {
			t.Errorf("worst %g: %s", k.worst, q.Flag)
		}
		if q := m.At(0, 1, nil); q.Flag&BelowCutoff != 0 != k.below {
			t.Errorf("worst %g, by table: %s", k.worst, q.Flag)
		}
	}
}

// Peukert in closed-form endurance.
func TestTraub(t *testing.T) {
	const w, s, cd0, k, u, eta, n, rt, rho = 9.34, 0.32, 0.015, 0.13, 11.1, 0.5, 1.3, 1.0, 1.225
	speed := func(c float64) float64 { return math.Sqrt(2 * w / (rho * s) * math.Sqrt(k/c)) }
	amps := func(v float64) float64 {
		return (0.5*rho*v*v*v*s*cd0 + 2*w*w*k/(rho*v*s)) / (eta * u)
	}
	for _, c := range []struct{ ah, v, i, tE, ratio, vR, tR, ratioR float64 }{{1, 9.000, 1.545, 0.5683, 0.878, 11.844, 0.4794, 0.844}, {2, 9.000, 1.545, 1.3993, 1.081, 11.844, 1.1804, 1.039}} {
		v := speed(3 * cd0)
		src := cite.Traub2011.At("equations; inputs recalled", cite.Derived)
		row := func(name string) check.Row {
			return check.Row{Topic: "endurance, closed form", Name: fmt.Sprintf("%s, %g Ah", name, c.ah), Source: src}
		}
		row("speed of best endurance").Near(t, v, c.v, check.Model(1e-3, "printed"))
		row("current").Near(t, amps(v), c.i, check.Model(1e-3, "printed"))
		row("hours").Near(t, Peukert(c.ah, amps(v), n, rt), c.tE, check.Model(1e-3, "printed"))
		row("ratio to no effect").Near(t, Peukert(c.ah, amps(v), n, rt)/(c.ah/amps(v)), c.ratio, check.Model(1e-3, "printed"))
		vr := speed(cd0)
		row("speed of best range").Near(t, vr, c.vR, check.Model(1e-3, "printed"))
		row("hours at best range").Near(t, Peukert(c.ah, amps(vr), n, rt), c.tR, check.Model(1.5e-3, "printed"))
		row("ratio at best range").Near(t, Peukert(c.ah, amps(vr), n, rt)/(c.ah/amps(vr)), c.ratioR, check.Model(1.5e-3, "printed"))
	}
	check.Row{Topic: "endurance, closed form", Name: "loss of endurance at 1 Ah, %", Source: cite.Traub2011.At("abstract", cite.Seen)}.
		Near(t, 100*(1-Peukert(1, amps(speed(3*cd0)), n, rt)/(1/amps(speed(3*cd0)))), 12.5, check.ModelAbs(0.6, "inputs recalled"))
}
