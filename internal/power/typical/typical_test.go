package typical

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestWire(t *testing.T) {
	for _, c := range []struct {
		awg           int
		diameter, ohm float64
	}{{10, 2.5882, 3.277}, {12, 2.0525, 5.211}, {14, 1.6277, 8.285}, {16, 1.2908, 13.174}, {18, 1.0237, 20.948}, {20, 0.8118, 33.308}, {22, 0.6438, 52.962}} {
		row := check.Row{Topic: "wiring", Name: "diameter of AWG " + string(rune('0'+c.awg/10)) + string(rune('0'+c.awg%10)), Unit: "mm", Source: cite.ASTMB258.At("geometric law", cite.Seen)}
		d, _ := WireDiameter(c.awg)
		row.Near(t, d*1e3, c.diameter, check.Printed(1e-4))
		row.Name = "resistance of " + row.Name[len("diameter of "):]
		row.Unit = "mohm/m"
		row.Near(t, SolidWire(c.awg)*1e3, c.ohm, check.Printed(1e-3))
	}
}

func TestUnknownIsSaid(t *testing.T) {
	for name, v := range map[string]Value{
		"resistance": MotorResistance(0, 0.03), "idle": IdleCurrent(math.NaN(), 1), "cell": CellResistance(-1, LiPo),
		"gauge": WireResistance(99), "propeller": PropellerMass(0, 2, "sport"),
	} {
		if !math.IsNaN(v.Value) || v.Why == "" {
			t.Errorf("%s: %+v, want NaN with a reason", name, v)
		}
	}
	if a, b := MotorResistance(250, 0), MotorResistance(250, 0.03); a.Sigma <= b.Sigma {
		t.Error("an unknown mass must widen the doubt")
	}
}

func TestEveryDefaultIsCited(t *testing.T) {
	dr, ti, ta, si := PropellerDoubt(Drawn), PropellerDoubt(Tied), PropellerDoubt(Tabled), PropellerDoubt(Sized)
	for _, v := range []Value{
		KVTrue(), MotorResistance(250, 0.03), IdleVoltage(), IdleCurrent(250, 0.03), MotorThermal(0.03),
		WindingLimit(), MagnetLimit(), CellResistance(5400, LiHV),
		Cutoff(LiIon), Charge(), BatteryTemperature(280), ControllerResistance(40),
		WireResistance(14), WireLimit(14), PropellerMass(0.127, 2, "sport"), dr.Thrust, dr.Torque, dr.Advance, dr.Efficiency, ti.Thrust, ti.Torque, ti.Advance, ta.Thrust, ta.Torque, ta.Advance, si.Thrust, si.Torque, si.Advance, si.Efficiency,
	} {
		if _, ok := cite.Lookup(v.Cite); !ok || v.Why == "" || !(v.Value > 0) || v.Sigma < 0 {
			t.Errorf("%+v", v)
		}
	}
}

func TestCells(t *testing.T) {
	src := cite.Ours.At("arithmetic", cite.Derived)
	mean, worst, times := Cells([]float64{4e-3, 4.2e-3, 7.5e-3, 3.9e-3})
	check.Row{Topic: "packs", Name: "mean of four cells", Unit: "ohm", Source: src}.Near(t, mean.Value, 4.9e-3, check.Model(1e-9, "sum over four"))
	check.Row{Topic: "packs", Name: "the worst of them over the mean", Source: src}.Near(t, times, 7.5/4.9, check.Model(1e-9, "ratio"))
	check.Row{Topic: "packs", Name: "doubt of their mean", Unit: "ohm", Source: src}.Near(t, mean.Sigma, 0.8980e-3, check.Model(1e-3, "0.1 x 4.9 and a scatter of 1.505 over two, added in squares"))
	if worst != 2 {
		t.Error(worst)
	}
	for _, bad := range [][]float64{nil, {4e-3, 0}, {4e-3, math.NaN()}, {-1}} {
		if m, _, _ := Cells(bad); !math.IsNaN(m.Value) || m.Why == "" {
			t.Errorf("%v: %+v", bad, m)
		}
	}
}

// A degree of the blade is more of a flat propeller's advance ratio.
func TestFlatPropellers(t *testing.T) {
	d := PropellerDoubt(Drawn)
	for _, p := range []float64{0, -1, math.NaN(), math.Inf(1), 0.75, 1.1} {
		if got := d.At(p); got != d {
			t.Errorf("pitch %g: %+v", p, got)
		}
	}
	last := d.Advance.Sigma
	for _, p := range []float64{0.7, 0.5, 0.3, 0.15} {
		if s := d.At(p).Advance.Sigma; !(s > last) || s > 0.15 {
			t.Errorf("pitch %g: %g after %g", p, s, last)
		} else {
			last = s
		}
	}
	// One printed shape at two settings, as read at 0.75 R: 0.81 and 0.46.
	check.Row{Topic: "propellers", Name: "doubt of the zero-thrust advance ratio of a blade at 13.5 deg over one at 20 deg", Source: cite.Ours.At("dphi/(sin phi cos phi)", cite.Derived)}.
		Near(t, d.At(0.459).Advance.Sigma/d.Advance.Sigma, 0.6472/0.4544, check.Model(0.01, "sines of twice the angles, to four digits"))
}
