package launch

import (
	"os"
	"testing"
	"time"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/power"
)

// plover is the example of the class in testdata, with its real models.
func plover(t testing.TB) (*craft.Aircraft, *aero.Model, *power.Model, Setup) {
	t.Helper()
	return load(t, "testdata/swept.yaml")
}

func load(t testing.TB, file string) (*craft.Aircraft, *aero.Model, *power.Model, Setup) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, ds := build.Parse(file, text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	ac, ds := craft.New(b, nil)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	st := air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
	am, err := aero.New(ac, st, aero.Options{})
	if err != nil {
		t.Fatal(err)
	}
	pm, err := power.New(ac, st)
	if err != nil {
		t.Fatal(err)
	}
	return ac, am, pm, FromAircraft(ac, am, pm, st)
}

// tape records what a launch asks of its models, to play it back.
type tape struct {
	a     Airframe
	flows []Flow
	m     Drive
	calls [][2]float64
	stops []float64
}

func (r *tape) Stick(p, q, y float64) (a, b, c float64) { return r.a.Stick(p, q, y) }
func (r *tape) Eval(f *Flow, k *AeroFactors, out *Loads) {
	r.flows = append(r.flows, *f)
	r.a.Eval(f, k, out)
}

type driveTape struct{ *tape }

func (r driveTape) At(v, x float64, k *PowerFactors) Point {
	r.calls = append(r.calls, [2]float64{v, x})
	return r.m.At(v, x, k)
}
func (r driveTape) Stopped(v float64) float64 {
	r.stops = append(r.stops, v)
	return r.m.Stopped(v)
}

// BenchmarkAgainstModels prints the cost of a launch beside that of the same
// evaluations of the models alone, measured in the same run.
func BenchmarkAgainstModels(b *testing.B) {
	_, am, pm, base := plover(b)
	base.StickPitch = 0.35
	w := NewWorkspace()
	rec := &tape{a: am, m: pm}
	s := base
	s.Aero, s.Motor = rec, driveTape{rec}
	o := Run(&s, w)
	if !o.Success {
		b.Fatal(o.Sentence())
	}
	var launch, model time.Duration
	var out Loads
	n := 0
	for b.Loop() {
		t0 := time.Now()
		for range 10 {
			o = Run(&base, w)
		}
		t1 := time.Now()
		for range 10 {
			for i := range rec.flows {
				am.Eval(&rec.flows[i], &base.AeroK, &out)
			}
			for _, c := range rec.calls {
				pm.At(c[0], c[1], &base.MotorK)
			}
			for _, v := range rec.stops {
				pm.Stopped(v)
			}
		}
		launch += t1.Sub(t0)
		model += time.Since(t1)
		n += 10
	}
	b.ReportMetric(launch.Seconds()/model.Seconds(), "launch/models")
	b.ReportMetric(float64(launch.Nanoseconds())/float64(n), "ns/launch")
	b.ReportMetric(float64(model.Nanoseconds())/float64(n), "ns/models")
	b.ReportMetric(float64(n)/launch.Seconds(), "launches/s")
	b.ReportMetric(float64(len(rec.flows)), "evals")
	b.ReportMetric(float64(len(rec.calls)), "powers")
}
