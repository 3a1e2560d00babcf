package power

import (
	"fmt"
	"math"
	"os"
	"testing"

	"fledge/internal/air"
	"fledge/internal/craft"
)

const rpm = 2 * math.Pi / 60

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

func TestExplore(t *testing.T) {
	if os.Getenv("EXPLORE") == "" {
		t.Skip()
	}
	st, _ := air.Standard(0)
	m, err := New(sample(), st)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []float64{0, 10, 20, 30, 40, 50, 60, 70} {
		p := m.Solve(v, 1, 1, nil)
		q := m.At(v, 1, nil)
		fmt.Printf("%3.0f %+.3v rpm %.0f %v\n   %+.3v\n", v, p, p.Omega/rpm, p.Flag, q)
	}
	fmt.Println(m.vTop, m.SpoolTime(), m.RotorInertia(), m.Stopped(30))
	fmt.Println(m.Windmill(30))
	worst := [3]float64{}
	for i := range 2000 {
		v := m.vTop * math.Mod(float64(i)*0.618034, 1)
		th := 0.05 + 0.95*math.Mod(float64(i)*0.414214, 1)
		k := Factors{1.1, 0.9, 1.03, 1.3, 1.2, 1, 1.2, 0.97}
		a, b := m.At(v, th, &k), m.Solve(v, th, m.Charge, &k)
		full := m.Solve(0, 1, m.Charge, &k)
		for j, e := range []float64{(a.Thrust - b.Thrust) / full.Thrust, (a.Omega - b.Omega) / full.Omega, (a.Current - b.Current) / full.Current} {
			if math.Abs(e) > worst[j] {
				worst[j] = math.Abs(e)
				fmt.Printf("%d %.2f %.3f %.5f  %v %v\n", j, v, th, e, a, b)
			}
		}
	}
}

func BenchmarkAt(b *testing.B) {
	st, _ := air.Standard(0)
	m, _ := New(sample(), st)
	k := Neutral()
	k.KV = 1.02
	b.Run("neutral", func(b *testing.B) {
		for b.Loop() {
			m.At(23, 0.8, nil)
		}
	})
	b.Run("factors", func(b *testing.B) {
		for b.Loop() {
			m.At(23, 0.8, &k)
		}
	})
	b.Run("solve", func(b *testing.B) {
		for b.Loop() {
			m.Solve(23, 0.8, 1, &k)
		}
	})
	b.Run("throttle", func(b *testing.B) {
		for b.Loop() {
			m.ThrottleFor(23, 3, 1, &k)
		}
	})
	b.Run("new", func(b *testing.B) {
		for b.Loop() {
			New(sample(), st)
		}
	})
}
