package craft

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"fledge/internal/build"
	"fledge/internal/tune"
)

// TestTeach: a lesson acts on its own components only, keeps its correlation
// in draws, changes the hash, and leaves the original alone.
func TestTeach(t *testing.T) {
	ac := ternWith(t)
	lesson := tune.Lesson{Aeroplane: "Tern", Say: "3 runs", Factors: tune.Set{
		{Name: "drag", Component: ac.Component("airframe"), Value: 1.1, Sigma: 0.03},
		{Name: "thrust", Component: ac.Component("propeller"), Value: 0.95, Sigma: 0.02},
		{Name: "resistance", Component: ac.Component("motor"), Value: 1.5, Sigma: 0.1},
		{Name: "torque", Component: "propeller of another", Value: 2, Sigma: 0.1},
	}, Corr: [][]float64{{1, 0.9, 0, 0}, {0.9, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}}}
	got := ac.Teach([]tune.Lesson{lesson})
	if len(got.Taught) != 3 || got.Factor("drag") != 1.1 || got.Factor("torque") != ac.Factor("torque") || ac.Factor("drag") != 1 {
		t.Fatalf("%+v", got.Taught)
	}
	if got.Power.Motor.Resistance != 1.5*ac.Power.Motor.Resistance || ac.Power.Motor.Resistance != 0.032 {
		t.Errorf("resistance %g from %g", got.Power.Motor.Resistance, ac.Power.Motor.Resistance)
	}
	if got.Hash == ac.Hash || len(got.Hash) != len(ac.Hash) || ac.Teach(nil).Hash != ac.Hash {
		t.Errorf("hash %s of %s", got.Hash, ac.Hash)
	}
	index := []int{}
	for i := range got.Inputs {
		if p := got.Inputs[i].Path; p == "factor.drag" || p == "factor.thrust" || p == "day.wind" {
			index = append(index, i)
		}
	}
	// Independent scores z = (1, 1) become (1, 0.9 + √(1−0.81)).
	value := make([]float64, len(index))
	for k, i := range index {
		in := &got.Inputs[i]
		value[k] = in.Nominal + in.Sigma
	}
	mixed := got.Mixed(index, value)
	for k, i := range index {
		in := &got.Inputs[i]
		want := 1.0
		if in.Path == "factor.thrust" {
			want = 0.9 + math.Sqrt(1-0.81)
		}
		if z := (mixed[k] - in.Nominal) / in.Sigma; math.Abs(z-want) > 1e-9 {
			t.Errorf("%s: score %g, want %g", in.Path, z, want)
		}
	}
	if same := ac.Mixed(index, value); &same[0] != &value[0] {
		t.Error("untaught, values are changed")
	}
}

// TestImpossibleLesson: what cannot be is not applied, and said.
func TestImpossibleLesson(t *testing.T) {
	ac := ternWith(t)
	for _, v := range []float64{1.3, 1.16} { // of 0.85: beyond all energy, and at its edge
		got := ac.Teach([]tune.Lesson{{Factors: tune.Set{{Name: "returned", Component: ac.Component("cord"), Value: v, Sigma: 0.1, Label: "energy given back"}}}})
		if len(got.Taught) != 0 || len(got.Unlearned) != 1 || got.Hash != ac.Hash {
			t.Errorf("%g: %+v %q", v, got.Taught, got.Unlearned)
		}
	}
}

// TestComponents: what voids a learned factor and what does not.
func TestComponents(t *testing.T) {
	base := ternWith(t)
	for _, c := range []struct {
		set, kind string
		same      bool
	}{
		{"parts.battery.at.x=150 mm", "airframe", true}, {"day.wind=4 m/s", "airframe", true},
		{"surfaces.wing.controls.aileron.trim=1 deg", "airframe", true}, {"surfaces.wing.stations[0].chord=200 mm", "airframe", false},
		{"power.propeller.pitch=5 in", "airframe", true}, {"power.propeller.pitch=5 in", "propeller", false},
		{"power.battery.charge=80 %", "pack", true}, {"power.battery.capacity=2200 mAh", "pack", false},
		{"power.motor.resistance=40 mohm", "motor", false}, {"launch.bungee.stretch=8 m", "cord", true},
		{"launch.bungee.hook.x=300 mm", "hook", true}, {"launch.bungee.pull_test[2].pull=50 N", "cord", false},
	} {
		ac := ternWith(t, c.set)
		if (ac.Component(c.kind) == base.Component(c.kind)) != c.same {
			t.Errorf("%s: %s is %q, was %q", c.set, c.kind, ac.Component(c.kind), base.Component(c.kind))
		}
	}
}

// TestStaleBench: the drive's lessons give way to bench rows they do not hold.
func TestStaleBench(t *testing.T) {
	ac := ternWith(t, "power.bench[0].volts=15 V", "power.bench[0].amps=40 A", "power.bench[0].pull=14 N")
	f := tune.Set{{Name: "thrust", Component: ac.Component("propeller"), Value: 0.9, Sigma: 0.02}, {Name: "drag", Component: ac.Component("airframe"), Value: 1.1, Sigma: 0.02}}
	got := ac.Teach([]tune.Lesson{{Factors: f, Say: "2 runs"}})
	if got.Factor("thrust") != ac.Factor("thrust") || got.Factor("drag") != 1.1 || len(got.Unlearned) != 1 || got.BenchTaught {
		t.Errorf("%+v %q", got.Taught, got.Unlearned)
	}
	got = ac.Teach([]tune.Lesson{{Factors: f, Say: "2 runs", From: []string{ac.BenchPrint()}}})
	if got.Factor("thrust") != 0.9 || !got.BenchTaught || len(got.Unlearned) != 0 {
		t.Errorf("%+v %q", got.Taught, got.Unlearned)
	}
}

// ternWith is the example with settings.
func ternWith(t *testing.T, sets ...string) *Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var list []build.Setting
	for _, s := range sets {
		one, ds := build.ParseSetting(s)
		if ds.HasErrors() {
			t.Fatal(s, ds)
		}
		list = append(list, one)
	}
	text, ds := build.SetAll(text, list)
	b, more := build.Parse("tern.yaml", text)
	if ds.HasErrors() || more.HasErrors() {
		t.Fatal(sets, ds, more)
	}
	ac, ds := New(b, nil)
	if ac == nil {
		t.Fatal(sets, ds)
	}
	return ac
}
