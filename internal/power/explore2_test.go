package power

import (
	"fmt"
	"math"
	"os"
	"testing"

	"fledge/internal/air"
	"fledge/internal/check"
	"fledge/internal/craft"
	"fledge/internal/power/typical"
)

type standRow struct {
	motor, prop string
	supply      float64
	craft.BenchRow
}

func stand(t testing.TB, file string) (out []standRow) {
	for _, r := range check.CSV(t, check.RefFile(file)) {
		out = append(out, standRow{r["motor"], r["prop"], check.Number(t, r, "nominal_supply_V"), craft.BenchRow{
			Volts: check.Number(t, r, "voltage_V"), Amps: check.Number(t, r, "current_A"), Omega: check.Number(t, r, "rpm") * rpm,
			Pull: check.Number(t, r, "thrust_gf") * 9.80665e-3, Throttle: (check.Number(t, r, "esc_us") - 1000) / 1000,
		}})
	}
	return
}

func TestExploreMotor(t *testing.T) {
	if os.Getenv("EXPLORE") == "" {
		t.Skip()
	}
	rows := stand(t, "propulsion-bench-fullthrottle.csv")
	for _, warm := range []float64{0, 0.001, 0.002, 0.003, 0.004} {
		for _, m := range []string{"a", "b", "c", "d", "e", "f", "g", "h"} {
			var all, fit, test []craft.BenchRow
			for _, r := range rows {
				if r.motor == m {
					all = append(all, r.BenchRow)
					if r.prop == "P1" || r.prop == "P3" || r.prop == "P5" || r.prop == "P7" {
						fit = append(fit, r.BenchRow)
					} else {
						test = append(test, r.BenchRow)
					}
				}
			}
			f := FitMotor(all, warm)
			g := FitMotor(fit, warm)
			worst := 0.0
			for _, r := range test {
				worst = math.Max(worst, math.Abs(g.PredictOmega(r.Volts, r.Amps, warm)/r.Omega-1))
			}
			fmt.Printf("%s warm %.3f kv %.0f R %.4f rms %.3f  predict worst %.2f%%\n", m, warm, f.KV/rpm, f.Resistance, f.RMS, worst*100)
		}
	}
}

var standProps = map[string]struct {
	blades int
	pitch  float64
}{"P1": {3, 4}, "P2": {3, 4.5}, "P3": {3, 4.5}, "P4": {2, 4}, "P5": {4, 4}, "P6": {2, 4.5}, "P7": {3, 4}, "P8": {3, 5.3}}

var standKV = map[string]float64{"a": 2600, "b": 2500, "c": 2450, "d": 2300, "e": 2400, "f": 2350, "g": 2000, "h": 2400}

func standModel(t testing.TB, motor, prp string) *Model {
	ac := sample()
	ac.Body = nil
	p := &ac.Power
	kv := standKV[motor] * rpm
	p.Motor = craft.Motor{KV: kv, Resistance: typical.MotorResistance(kv, 0.028).Value, IdleCurrent: typical.IdleCurrent(kv, 0.028).Value, IdleVoltage: 10, Mass: 0.028, Poles: 14}
	p.Controller.Resistance = 5e-3
	p.Propeller = craft.Propeller{Diameter: 0.127, Pitch: standProps[prp].pitch * 0.0254, Blades: standProps[prp].blades, Style: "sport", Right: true}
	m, err := NewWith(ac, air.Moist(293.15, 101000, 0.4), Options{Plain: true})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestExploreBench(t *testing.T) {
	if os.Getenv("EXPLORE") == "" {
		t.Skip()
	}
	rows := stand(t, "propulsion-bench-fullthrottle.csv")
	var raw, fit [3]float64
	n := 0.0
	for _, mo := range []string{"a", "b", "c", "d", "e", "f", "g", "h"} {
		for i := 1; i <= 8; i++ {
			pr := fmt.Sprintf("P%d", i)
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
			err := func(q, w craft.BenchRow) [3]float64 {
				return [3]float64{q.Omega/w.Omega - 1, q.Amps/w.Amps - 1, q.Pull/w.Pull - 1}
			}
			e0 := err(m.OnBench(rr[1], nil), rr[1])
			b := m.Fit(rr[:1], m.DefaultSpread())
			e1 := err(m.OnBench(rr[1], &b.Factors), rr[1])
			fmt.Printf("%s %s raw %+.3f  fit %+.3f chi %.2f  %+.2f\n", mo, pr, e0, e1, b.Chi, b.Factors)
			for j := range 3 {
				raw[j] += math.Abs(e0[j])
				fit[j] += math.Abs(e1[j])
			}
			n++
		}
	}
	fmt.Printf("mean raw %.4f %.4f %.4f fit %.4f %.4f %.4f\n", raw[0]/n, raw[1]/n, raw[2]/n, fit[0]/n, fit[1]/n, fit[2]/n)
}
