package craft

import (
	"os"
	"path/filepath"
	"testing"

	"fledge/internal/build"
)

// load reads an example of the house.
func load(t testing.TB, name string) *Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", name))
	if err != nil {
		t.Fatal(err)
	}
	b, ds := build.Parse(name, text)
	if ds.HasErrors() {
		t.Fatalf("%v", ds)
	}
	ac, ds := New(b, nil)
	if ds.HasErrors() {
		t.Fatalf("%v", ds)
	}
	for _, d := range ds {
		t.Log(d)
	}
	return ac
}

// Every example makes an aircraft whose parts sum to the mass, with possible
// inertia, and says what it assumed.
func TestExamples(t *testing.T) {
	for _, name := range []string{"tern.yaml", "wren.yaml", "swift.yaml", "heron.yaml"} {
		t.Run(name, func(t *testing.T) {
			ac := load(t, name)
			sum := 0.0
			for _, p := range ac.Parts {
				sum += p.Mass
			}
			if d := sum - ac.Mass.Total; d > 1e-12 || d < -1e-12 {
				t.Errorf("parts sum to %g, mass is %g", sum, ac.Mass.Total)
			}
			t.Logf("mass %.3f kg, c.g. %.1f mm, S %.4f m2, mac %.1f mm at %.1f, W/S %.1f, %d inputs, %d assumed", ac.Mass.Total, ac.Mass.CG.X*1e3, ac.Ref.Area, ac.Ref.Chord*1e3, ac.Ref.XLE*1e3, ac.Mass.Total*9.81/ac.Ref.Area, len(ac.Inputs), len(ac.Assumed))
			if len(ac.Assumed) == 0 || len(ac.Inputs) < 20 {
				t.Error("nothing assumed or no doubt")
			}
		})
	}
}

// With changes a copy alone, and setting every input to its nominal value
// gives the same aircraft.
func TestWith(t *testing.T) {
	ac := load(t, "tern.yaml")
	index, value := make([]int, len(ac.Inputs)), make([]float64, len(ac.Inputs))
	for i, in := range ac.Inputs {
		index[i], value[i] = i, in.Nominal
	}
	same := ac.With(index, value)
	if same.Mass != ac.Mass || same.Ref != ac.Ref || same.Day != ac.Day {
		t.Errorf("nominal draw differs: %+v, %+v", same.Mass, ac.Mass)
	}
	before := ac.Mass
	for i, in := range ac.Inputs {
		ac.With([]int{i}, []float64{in.Nominal + in.Sigma})
	}
	if ac.Mass != before || ac.Surfaces[0].Stations[0].Chord != load(t, "tern.yaml").Surfaces[0].Stations[0].Chord {
		t.Error("the original changed")
	}
}

func BenchmarkVary(b *testing.B) {
	ac := load(b, "tern.yaml")
	var index []int
	var value []float64
	for i, in := range ac.Inputs {
		if !in.Shape() {
			index, value = append(index, i), append(value, in.Nominal+0.1*in.Sigma)
		}
	}
	for b.Loop() {
		ac.Vary(index, value)
	}
}

// Impossible doubts and numbers that have no default are located messages.
func TestRefuses(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct{ path, value, code string }{
		{"surfaces.wing.stations[0].chord", "192 mm ± 300 %", "doubt"},
		{"parts.battery.mass", "196 g ± 500 g", "doubt"},
		{"launch.bungee.stretch", "10 m ± 30 m", "doubt"},
	} {
		edited, ds := build.Set(text, r.path, r.value)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		b, ds := build.Parse("tern.yaml", edited)
		if ds.HasErrors() {
			continue // refused even earlier
		}
		ac, ds := New(b, nil)
		if ac != nil || !ds.HasErrors() {
			t.Errorf("%s = %s accepted", r.path, r.value)
			continue
		}
		if d := ds[0]; d.Code != r.code || d.Span.Line == 0 || d.Hint == "" {
			t.Errorf("%s: %+v", r.path, d)
		}
	}
}
