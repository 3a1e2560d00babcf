package power

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/power/typical"
)

func TestFirstOrderMotor(t *testing.T) {
	tol := check.Model(1e-3, "closed form, stated")
	for _, c := range []struct {
		kv, r, i0, v          float64
		i, rpm, q, shaft, eta float64
		best, etaBest, stall  float64
	}{
		{2400, 0.060, 1.2, 14.8, 10, 34080, 0.03501, 124.96, 0.8443, 17.205, 0.8654, 246.7},
		{2400, 0.060, 1.2, 14.8, 30, 31200, 0.11459, 374.40, 0.8432, 17.205, 0.8654, 246.7},
		{1900, 0.045, 1.5, 22.2, 10, 41325, 0.04272, 184.88, 0.8328, 27.203, 0.8928, 493.3},
		{1900, 0.045, 1.5, 22.2, 30, 39615, 0.14324, 594.22, 0.8922, 27.203, 0.8928, 493.3},
	} {
		m := Motor{KV: c.kv * rpm, Resistance: c.r, Iron: [3]float64{c.i0}, Winding: room, Magnets: room}
		p := m.At(c.v, c.i)
		best, eta, stall, most := m.Best(c.v)
		for _, x := range []struct {
			name, unit string
			got, want  float64
		}{
			{"speed", "rpm", p.Omega / rpm, c.rpm}, {"torque", "N m", p.Torque, c.q}, {"shaft power", "W", p.Shaft, c.shaft}, {"efficiency", "", p.Efficiency, c.eta},
			{"current of best efficiency", "A", best, c.best}, {"best efficiency", "", eta, c.etaBest}, {"stall current", "A", stall, c.stall},
			{"current of most power", "A", most, (c.v/c.r + c.i0) / 2},
		} {
			check.Row{Topic: "motor, first order", Name: fmt.Sprintf("%s, %g rpm/V at %g A", x.name, c.kv, c.i), Unit: x.unit, Source: cite.DrelaMotor1.At("the same equations", cite.Derived)}.
				Near(t, x.got, x.want, tol)
		}
	}
}

func TestSecondOrderMotor(t *testing.T) {
	m := Motor{KV: 2400 * rpm, Resistance: 0.060, Iron: [3]float64{1.2}, Winding: 273.15 + 100, Magnets: room}
	check.Row{Topic: "motor, second order", Name: "winding resistance from 20 to 100 degC", Source: cite.IEC60028.At("0.00393 per K", cite.Derived)}.Near(t, m.Hot()/0.060, 1.3144, check.Printed(1e-4))
	check.Row{Topic: "motor, second order", Name: "speed with a hot winding, 14.8 V, 30 A", Unit: "rpm", Source: cite.DrelaMotor2.At("form; own sum", cite.Derived)}.Near(t, m.At(14.8, 30).Omega/rpm, 29841, check.Model(1e-3, "closed form"))
	m.Magnets = room + 10
	if g := m.HotKV()/m.KV - 1; g < 0.010 || g > 0.012 {
		t.Errorf("KV rises by %.3f %% in 10 K, want 1.0 to 1.2 (remanence 0.10 to 0.12 %% per K)", 100*g)
	}
	// Idle current over voltage: local exponent 0.5 to 1.
	i := SplitIron(1.3, 10, 1700*rpm, 0.045)
	q := Motor{KV: 1700 * rpm, Iron: i}
	w := 1700 * rpm * (10 - 1.3*0.045)
	check.Row{Topic: "motor, second order", Name: "idle current at its reading", Unit: "A", Source: cite.Ours.At("split into three terms", cite.Derived)}.Near(t, q.Idle(w), 1.3, check.Exact(1000))
	check.Row{Topic: "motor, second order", Name: "exponent of idle current over voltage", Source: cite.DrelaMotor2.At("practice 0.5 to 1", cite.Memory)}.
		Near(t, math.Log(q.Idle(1.05*w)/q.Idle(w))/math.Log(1.05), 0.75, check.ModelAbs(0.25, "range of practice"))
	// Heat: a motor of 28 to 32 g.
	c, r := 0.030*(windingShare*copperHeat+(1-windingShare)*ironHeat), typical.MotorThermal(0.030).Value
	check.Row{Topic: "motor heat", Name: "heat capacity of 30 g", Unit: "J/K", Source: cite.PropulsionReference.At("3.2, mass times specific heat", cite.Derived)}.Near(t, c, 13.5, check.ModelAbs(1.5, "12 to 15"))
	check.Row{Topic: "motor heat", Name: "time constant of 30 g", Unit: "s", Source: cite.PropulsionReference.At("3.2", cite.Derived)}.Near(t, c*r, 52.5, check.ModelAbs(12.5, "40 to 65"))
}

func TestMotorFits(t *testing.T) {
	rows := stand(t, "propulsion-bench-fullthrottle.csv")
	want := map[string]struct{ kv, r, worst float64 }{
		"a": {2378, 0.096, 1.0}, "b": {2421, 0.194, 1.3}, "c": {2403, 0.118, 1.5}, "d": {2268, 0.315, 2.9},
		"e": {2318, 0.224, 4.0}, "f": {2119, 0.206, 2.5}, "g": {1808, 0.272, 2.1}, "h": {2670, 0.454, 5.0},
	}
	// The growth of the resistance with its own heat: copper's 0.393 %/K times
	// the bench's rise per watt.
	const warm = copperPerK * benchWarm
	for _, mo := range standMotors {
		var all, fit, rest []craft.BenchRow
		for _, r := range rows {
			if r.motor != mo {
				continue
			}
			all = append(all, r.BenchRow)
			switch r.prop {
			case "P1", "P3", "P5", "P7":
				fit = append(fit, r.BenchRow)
			default:
				rest = append(rest, r.BenchRow)
			}
		}
		src := cite.ThrustStand.At("motor "+mo, cite.Seen)
		f := FitMotor(all, 0)
		check.Row{Topic: "motors on the stand", Name: mo + ": fitted KV", Unit: "rpm/V", Source: src}.Near(t, f.KV/rpm, want[mo].kv, check.Model(0.01, "stated"))
		check.Row{Topic: "motors on the stand", Name: mo + ": fitted resistance", Unit: "ohm", Source: src}.Near(t, f.Resistance, want[mo].r, check.Model(0.05, "stated"))
		worst := func(warm float64) float64 {
			g, w := FitMotor(fit, warm), 0.0
			for _, r := range rest {
				w = math.Max(w, math.Abs(g.PredictOmega(r.Volts, r.Amps, warm)/r.Omega-1))
			}
			return w
		}
		plain, hot := worst(0), worst(warm)
		check.Row{Topic: "motors on the stand", Name: mo + ": worst rpm predicted for four other propellers, one resistance, %", Source: src}.
			Near(t, 100*plain, want[mo].worst, check.ModelAbs(0.1, "the reference's own fit, printed to 0.1"))
		check.Row{Topic: "motors on the stand", Name: mo + ": worst rpm predicted for four other propellers, resistance growing with its heat, %", Source: src}.
			Near(t, 100*hot, 0, check.ModelAbs(3.6, "rpm and volts read to 0.5 %; the duration of a test is not known"))
		if hot > plain {
			t.Errorf("%s: heat makes the prediction worse, %.2f to %.2f %%", mo, 100*plain, 100*hot)
		}
		t.Logf("%s: worst %.1f %% with one resistance, %.1f %% with heat", mo, 100*plain, 100*hot)
	}
	if FitMotor(nil, 0).OK || FitMotor(make([]craft.BenchRow, 5), 0).OK || FitMotor([]craft.BenchRow{{Volts: 10, Amps: 5, Omega: 1000}, {Volts: 10, Amps: 5, Omega: 1000}}, 0).OK {
		t.Error("a fit to nothing, or to one point twice, is called good")
	}
}

// The same load from two supplies: what chopping costs.
func TestPartThrottle(t *testing.T) {
	m := standModel(t, "c", "P1")
	m.Train.Motor.KV = 2403 * rpm
	m.Train.Motor.Winding, m.Train.Motor.Magnets = room, room
	m.Train.Motor.Resistance, m.Train.Controller.Resistance = 0.118-5e-3, 5e-3
	d := m.driveAtLaunch(&neutral)
	d.kv = 2403 * rpm
	d.rm = 0.118
	for _, c := range []struct {
		prop   string
		lo, hi [4]float64
	}{
		{"P1", [4]float64{14.8, 23.9, 35.2, 50.4}, [4]float64{17.2, 28.2, 42.5, 60.9}},
		{"P4", [4]float64{13.9, 21.3, 30.5, 41.3}, [4]float64{15.5, 24.6, 36.7, 50.5}},
		{"P6", [4]float64{15.5, 24.3, 35.5, 50.3}, [4]float64{16.9, 27.6, 41.8, 60.3}},
	} {
		for k, n := range []float64{8000, 10000, 12000, 14000} {
			power := func(volts, i float64) float64 {
				d.voc, d.pack, d.rb = volts, 0, 0
				d.heat = d.ripple * d.rm / d.voc
				duty := (i*d.rm + n/2403) / volts
				o := d.open((duty - d.start) / (1 - d.start))
				return volts * (i*(o.gain+o.heap*i) + d.idle)
			}
			// The motor current from the lower supply's power.
			lo, hi := 0.0, 40.0
			for range 60 {
				if mid := (lo + hi) / 2; power(7.3, mid) < c.lo[k] {
					lo = mid
				} else {
					hi = mid
				}
			}
			check.Row{Topic: "part throttle", Name: fmt.Sprintf("%s at %g rpm: power from 11 V over that from 7.3 V", c.prop, n), Source: cite.ThrustStand.At("motor c, interpolated", cite.Derived)}.
				Near(t, power(11, lo)/power(7.3, lo), c.hi[k]/c.lo[k], check.ModelAbs(0.05, "stated"))
		}
	}
}

// One bench row of a build file, at the low supply, then the high one foretold.
func TestBenchFit(t *testing.T) {
	rows := stand(t, "propulsion-bench-fullthrottle.csv")
	var raw, fit [3]float64
	worst := [3]float64{}
	n := 0.0
	for _, mo := range standMotors {
		for _, pr := range []string{"P1", "P2", "P4", "P5", "P6", "P8"} {
			var rr []craft.BenchRow
			for _, r := range rows {
				if r.motor == mo && r.prop == pr {
					rr = append(rr, r.BenchRow)
				}
			}
			if len(rr) < 2 {
				continue
			}
			m := standModel(t, mo, pr)
			dev := func(q, w craft.BenchRow) [3]float64 {
				return [3]float64{q.Omega/w.Omega - 1, q.Amps/w.Amps - 1, q.Pull/w.Pull - 1}
			}
			a := dev(m.OnBench(rr[1], nil), rr[1])
			b := m.Fit(rr[:1], m.DefaultSpread())
			if !b.OK {
				t.Errorf("%s %s: no fit", mo, pr)
			}
			z := dev(m.OnBench(rr[1], &b.Factors), rr[1])
			for j := range 3 {
				raw[j] += math.Abs(a[j])
				fit[j] += math.Abs(z[j])
				worst[j] = math.Max(worst[j], math.Abs(z[j]))
			}
			prior := m.DefaultSpread()
			if b.Spread.Thrust >= prior.Thrust || b.Spread.KV >= prior.KV || b.Spread.Torque > prior.Torque {
				t.Errorf("%s %s: a bench row does not narrow the doubt: %+v", mo, pr, b.Spread)
			}
			n++
		}
	}
	for j, name := range []string{"rpm", "amps", "pull"} {
		tol := []float64{0.02, 0.045, 0.04}[j]
		check.Row{Topic: "bench fit", Name: "mean deviation of " + name + " at the high supply, fitted to one row at the low one", Source: cite.ThrustStand.At("all motors, six propellers", cite.Seen)}.
			Near(t, fit[j]/n, 0, check.ModelAbs(tol, "scatter of the stand 2 to 4 %, winding temperature not known"))
		if fit[j] > 0.5*raw[j] {
			t.Errorf("%s: the fit only goes from %.3f to %.3f", name, raw[j]/n, fit[j]/n)
		}
		t.Logf("%s: from labels %.1f %%, fitted to one row %.1f %%, worst %.1f %%", name, 100*raw[j]/n, 100*fit[j]/n, 100*worst[j])
	}
}

// All rows of a motor in one bench block, eight propellers through one that is
// told: the motor's part must come out all the same.
func TestBenchOfMixedPropellers(t *testing.T) {
	rows := stand(t, "propulsion-bench-fullthrottle.csv")
	const warm = copperPerK * benchWarm
	for _, mo := range standMotors {
		var rr []craft.BenchRow
		for _, r := range rows {
			if r.motor == mo {
				rr = append(rr, r.BenchRow)
			}
		}
		m := standModel(t, mo, "P3")
		b, f := m.Fit(rr, m.DefaultSpread()), FitMotor(rr, warm*0.030/0.028)
		src := cite.ThrustStand.At("motor "+mo+", all propellers", cite.Seen)
		check.Row{Topic: "bench fit", Name: mo + ": KV from mixed propellers", Unit: "rpm/V", Source: src}.Near(t, b.KV/rpm, f.KV/rpm, check.Model(0.015, "1 % stated, and the priors' pull"))
		check.Row{Topic: "bench fit", Name: mo + ": resistance from mixed propellers", Unit: "ohm", Source: src}.Near(t, b.Resistance, f.Resistance, check.Model(0.10, "5 % stated, the priors' pull, and weights by speed instead of volts"))
		worst := 0.0
		for _, r := range rr {
			q, _ := m.atReading(r, &b.Factors)
			worst = math.Max(worst, math.Abs(q.Omega/r.Omega-1))
		}
		check.Row{Topic: "bench fit", Name: mo + ": worst rpm from volts and amps, mixed propellers, %", Source: src}.Near(t, 100*worst, 0, check.ModelAbs(4, "rpm and volts read to 0.5 %; warmth of the winding not known"))
		t.Logf("%s: KV %.0f (%.0f) R %.3f (%.3f) worst %.1f %%, chi %.2f", mo, b.KV/rpm, f.KV/rpm, b.Resistance, f.Resistance, 100*worst, b.Chi)
	}
}

// Full and part throttle rows of the sweeps, fitted to three, the others foretold.
func TestBenchSweep(t *testing.T) {
	rows := stand(t, "propulsion-bench-sweep.csv")
	for _, c := range [][2]string{{"c", "P1"}, {"c", "P4"}, {"c", "P6"}, {"a", "P4"}} {
		m := standModel(t, c[0], c[1])
		var fit, rest []craft.BenchRow
		for _, r := range rows {
			if r.motor != c[0] || r.prop != c[1] || r.Omega < 7000*rpm {
				continue
			}
			if r.supply == 7 && (r.Throttle == 1 || math.Abs(r.Throttle-0.715) < 0.001) {
				fit = append(fit, r.BenchRow)
			} else {
				rest = append(rest, r.BenchRow)
			}
		}
		b := m.Fit(fit, m.DefaultSpread())
		var amps, pull float64
		for _, r := range rest {
			q, used := m.atReading(r, &b.Factors)
			if used == 0 {
				continue
			}
			amps += math.Abs(q.Amps/r.Amps - 1)
			pull += math.Abs(q.Pull/r.Pull - 1)
		}
		src := cite.ThrustStand.At("sweep, motor "+c[0]+", "+c[1], cite.Seen)
		check.Row{Topic: "bench fit", Name: c[0] + " " + c[1] + ": mean deviation of amps at the same rpm, part throttle", Source: src}.
			Near(t, amps/float64(len(rest)), 0, check.ModelAbs(0.12, "chopping loss 0.05, propeller torque over rpm 3 %, iron loss of these motors at low speed up to twice the default"))
		check.Row{Topic: "bench fit", Name: c[0] + " " + c[1] + ": mean deviation of pull at the same rpm, part throttle", Source: src}.
			Near(t, pull/float64(len(rest)), 0, check.ModelAbs(0.08, "scatter of the stand 2 to 4 %, 5 % over Reynolds number"))
		t.Logf("%v: amps %.1f %%, pull %.1f %% over %d rows", c, 100*amps/float64(len(rest)), 100*pull/float64(len(rest)), len(rest))
	}
}

func TestFitKnowsNothing(t *testing.T) {
	m := mustModel(t, sample())
	b := m.Fit(nil, m.DefaultSpread())
	if b.Factors != Neutral() || b.Spread != m.DefaultSpread() || !b.OK || b.Readings != 0 {
		t.Errorf("no rows: %+v", b)
	}
	// Made-up rows of known factors are found again.
	k := Factors{1.08, 0.93, 1.03, 1.2, 1, 1, 1, 1, 1, 1}
	var rows []craft.BenchRow
	for _, v := range []float64{10, 13, 16} {
		r := m.OnBench(craft.BenchRow{Volts: v}, &k)
		rows = append(rows, r)
	}
	wide := Spread{1, 1, 0.3, 2, 0.3, 1, 1e-3}
	b = m.Fit(rows, wide)
	for _, x := range []struct {
		name      string
		got, want float64
	}{{"thrust", b.Factors.Thrust, k.Thrust}, {"torque", b.Factors.Torque, k.Torque}, {"KV", b.Factors.KV, k.KV}, {"resistance", b.Factors.Resistance, k.Resistance}} {
		check.Row{Topic: "bench fit", Name: "factor on " + x.name + " found again", Source: cite.Ours.At("made-up rows", cite.Derived)}.
			Near(t, x.got, x.want, check.Model(0.02, "wide priors still pull a little"))
	}
	for _, bad := range []craft.BenchRow{{}, {Volts: 12}, {Amps: 1e6}, {Omega: 1e9, Volts: 12}, {Volts: 1e-3, Amps: 50, Omega: 3000, Pull: 10}} {
		b := m.Fit([]craft.BenchRow{bad}, m.DefaultSpread())
		if math.IsNaN(b.Factors.Thrust + b.Factors.KV + b.Spread.KV + b.Chi) {
			t.Errorf("%+v: %+v", bad, b)
		}
	}
}
