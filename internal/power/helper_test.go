package power

import (
	"math"
	"testing"

	"fledge/internal/air"
	"fledge/internal/check"
	"fledge/internal/craft"
	"fledge/internal/power/typical"
)

const rpm = 2 * math.Pi / 60

// sample is an invented 1 kg tractor on four cells.
func sample() *craft.Aircraft {
	return &craft.Aircraft{
		Parts: []craft.Part{{Name: "battery", Mass: 0.182}, {Name: "motor", Mass: 0.058}, {Name: "controller", Mass: 0.034}},
		Body:  []craft.BodyStation{{X: 0, Width: 0.006, Height: 0.006}, {X: 0.12, Width: 0.062, Height: 0.07}, {X: 0.79, Width: 0.024, Height: 0.024}},
		Power: craft.Power{
			Place:      "tractor",
			Battery:    craft.Battery{Part: "battery", Cells: 4, Parallel: 1, Chemistry: "LiPo", Capacity: 1.8 * 3600, CellResistance: 3.5e-3, Charge: 1, Reserve: 0.2, Temperature: 293.15, Cutoff: 3.3},
			Motor:      craft.Motor{Part: "motor", KV: 1700 * rpm, Resistance: 0.045, IdleCurrent: 1.3, IdleVoltage: 10, Limit: 45, Mass: 0.058, Poles: 14},
			Controller: craft.Controller{Part: "controller", Limit: 60, Resistance: 3.5e-3},
			Propeller:  craft.Propeller{Diameter: 0.1524, Pitch: 0.1524, Blades: 2, Style: "sport", Right: true},
			Wiring:     craft.Wiring{Gauge: 14, Length: 0.15, Connector: 0.9e-3},
		},
	}
}

func sea() air.State { return air.Moist(288.15, 101325, 0) }

func mustModel(t testing.TB, ac *craft.Aircraft) *Model {
	t.Helper()
	m, err := New(ac, sea())
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// standRow is one reading of the thrust stand.
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

// What is told of the stand's propellers and motors: nominal pitch, blades,
// label KV. Masses are guessed from the stator class.
var standProps = map[string]struct {
	blades int
	pitch  float64
}{"P1": {3, 4}, "P2": {3, 4.5}, "P3": {3, 4.5}, "P4": {2, 4}, "P5": {4, 4}, "P6": {2, 4.5}, "P7": {3, 4}, "P8": {3, 5.3}}

var standKV = map[string]float64{"a": 2600, "b": 2500, "c": 2450, "d": 2300, "e": 2400, "f": 2350, "g": 2000, "h": 2400}

var standMotors = []string{"a", "b", "c", "d", "e", "f", "g", "h"}

func standModel(t testing.TB, motor, prp string) *Model {
	ac := sample()
	ac.Body = nil
	p := &ac.Power
	kv := standKV[motor] * typical.KVTrue().Value * rpm
	p.Motor = craft.Motor{KV: kv, Resistance: typical.MotorResistance(kv, 0.028).Value, IdleCurrent: typical.IdleCurrent(kv, 0.028).Value, IdleVoltage: 10, Mass: 0.028, Poles: 14}
	p.Controller.Resistance = 5e-3
	p.Propeller = craft.Propeller{Diameter: 0.127, Pitch: standProps[prp].pitch * 0.0254, Blades: standProps[prp].blades, Style: "sport", Right: true}
	m, err := NewWith(ac, air.Moist(293.15, 101000, 0.4), Options{Plain: true})
	if err != nil {
		t.Fatal(err)
	}
	return m
}
