package launch

import (
	"fmt"
	"math"
	"os"
	"sync"
	"testing"
	"time"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/build"
	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/motion"
	"fledge/internal/num"
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
// evaluations of the models alone, measured in the same run (the least of
// many batches of ten).
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
	launch, model := time.Hour, time.Hour // the least of each: the machine is shared
	var out Loads
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
		launch = min(launch, t1.Sub(t0)/10)
		model = min(model, time.Since(t1)/10)
	}
	b.ReportMetric(launch.Seconds()/model.Seconds(), "launch/models")
	b.ReportMetric(float64(launch.Nanoseconds()), "ns/launch")
	b.ReportMetric(float64(model.Nanoseconds()), "ns/models")
	b.ReportMetric(1/launch.Seconds(), "launches/s")
	b.ReportMetric(float64(len(rec.flows)), "evals")
	b.ReportMetric(float64(len(rec.calls)), "powers")
}

// BenchmarkReal is one launch of the example with its real models: what
// cmd/bench counts the arithmetic of. The least of all is told besides.
func BenchmarkReal(b *testing.B) {
	_, am, pm, base := plover(b)
	base.Aero, base.Motor, base.StickPitch = am, pm, 0.35
	w := NewWorkspace()
	quiet := time.Hour
	b.ResetTimer()
	for range b.N {
		t0 := time.Now()
		if o := Run(&base, w); !o.Success {
			b.Fatal(o.Sentence())
		}
		quiet = min(quiet, time.Since(t0))
	}
	b.ReportMetric(float64(quiet.Nanoseconds()), "ns-quiet")
}

// Facts of the trade on the example of the class with its real models: pulled
// into the ground with the stick in the middle, clean with about a quarter of
// up stick, failing again 50 g heavier; every lever's trend up to its optimum.
// Common practice, no source.
func TestFactsOfTheTrade(t *testing.T) {
	_, _, _, base := plover(t)
	const n = 128
	odds := func(s Setup) float64 { o, _ := share(s, n, 1); return o }
	neutral, quarter, heavy := base, base, base
	neutral.StickPitch = 0
	heavy.Mass += 0.05
	a, b, c := odds(neutral), odds(quarter), odds(heavy)
	if a > 0.2 || b < 0.7 || c > b-0.15 {
		t.Errorf("odds neutral %.2f, quarter up stick %.2f, 50 g heavier %.2f", a, b, c)
	}
	base.StickPitch = 0.2
	for _, r := range []struct {
		name   string
		values []float64
		set    func(*Setup, float64)
	}{
		{"more up stick", []float64{-0.1, 0.1, 0.2, 0.3, 0.5}, func(s *Setup, v float64) { s.StickPitch = v }},
		{"less mass", []float64{0.55, 0.487, 0.437, 0.4}, func(s *Setup, v float64) { s.Mass = v }},
		{"higher hand", []float64{0.9, 1.3, 1.7, 2.1}, func(s *Setup, v float64) { s.Height = v }},
		{"more nose up", []float64{0, 8, 16, 24}, func(s *Setup, v float64) { s.NoseUp = v * degree }},
		{"hook nearer under the c.g.", []float64{0.02, 0.05, 0.08}, func(s *Setup, v float64) { s.Hook.At.X = v }},
		{"more headwind", []float64{0, 2, 4, 6}, func(s *Setup, v float64) { s.Wind = windOf(v) }},
		{"more stretch", []float64{2, 3, 4, 5}, func(s *Setup, v float64) { s.Stretch = v }},
		{"denser air", []float64{0.85, 0.95, 1.05}, func(s *Setup, v float64) { s.Rho *= v }},
		{"field falling away", []float64{3, 0, -3}, func(s *Setup, v float64) { s.Slope = v * degree }},
		{"less nose-heavy", []float64{0.140, 0.145, 0.150}, func(s *Setup, v float64) { s.CG.X = v }},
	} {
		last, first := -1.0, 0.0
		for i, v := range r.values {
			s := base
			r.set(&s, v)
			o := odds(s)
			check.Row{Topic: "launch trends", Name: fmt.Sprintf("Plover, %s: odds at step %d no lower than before", r.name, i), Source: cite.Common.At("", cite.Practice)}.
				Near(t, math.Min(0, o-last), 0, check.ModelAbs(0.03, "sampling error of 128 points"))
			if i == 0 {
				first = o
			}
			last = o
		}
		if last < first+0.15 {
			t.Errorf("%s: odds only from %.2f to %.2f", r.name, first, last)
		}
	}
	// Tail-heavy beyond the neutral point: stalls and departs.
	s := base
	s.CG.X = 0.165
	if o, cl := share(s, n, 1); o > 0.5 || cl[Departure] == 0 {
		t.Errorf("tail-heavy: odds %.2f, %v", o, cl)
	}
}

func TestRealLedgerAndOracle(t *testing.T) {
	_, _, _, s := plover(t)
	s.StickPitch = 0.35
	s.SetGust(2, 0.4)
	w := NewWorkspace()
	s.Accuracy = Fine
	o := Run(&s, w)
	if g := o.Ledger; math.Abs(g.Gap()) > 1e-5*g.Turnover() {
		t.Errorf("ledger gap %g J of %g J", g.Gap(), g.Turnover())
	}
	s.Accuracy = Quick
	q := Run(&s, w)
	if g := q.Ledger; math.Abs(g.Gap()) > 2e-3*g.Turnover() {
		t.Errorf("quick: ledger gap %g J of %g J", g.Gap(), g.Turnover())
	}
	if q.Class != o.Class || math.Abs(q.AtRelease.Speed/o.AtRelease.Speed-1) > 2e-3 {
		t.Errorf("quick %v %g, fine %v %g", q.Class, q.AtRelease.Speed, o.Class, o.AtRelease.Speed)
	}
	if n := testing.AllocsPerRun(20, func() { Run(&s, w) }); n != 0 {
		t.Errorf("%g allocations a launch", n)
	}
	// Our stall speed beside the aerodynamic model's own search.
	ac, am, _, _ := plover(t)
	st := am.Stall(s.Mass, ac.Mass.CG, s.Rho, s.Mu, &s.AeroK)
	check.Row{Topic: "launch laws", Name: "stall speed beside aero's own search", Unit: "m/s", Source: cite.Ours.At("two searches on the same model", cite.Derived)}.
		Near(t, q.StallSpeed, st.Speed, check.Model(0.02, "linear in the deflection, one-degree steps"))
	z := s
	z.StallAngle = 0
	if o := Run(&z, w); math.Abs(o.StallSpeed/q.StallSpeed-1) > 1e-3 {
		t.Errorf("stall %g from the hint, %g anew", q.StallSpeed, o.StallSpeed)
	}
	// Trimmed speed at the held stick beside aero's own trim.
	dp, _, _ := am.Stick(s.StickPitch, 0, 0)
	a, b := q.StallSpeed, 60.0
	for range 60 { // the speed whose trim asks for this deflection
		m := (a + b) / 2
		if tr := am.Trim(aero.Balance{V: m, Lift: s.Mass * s.Gravity, CG: s.CG, Rho: s.Rho, Mu: s.Mu}, &s.AeroK); tr.Pitch > dp {
			a = m
		} else {
			b = m
		}
	}
	check.Row{Topic: "launch laws", Name: "trimmed speed at the held stick beside aero's own trim", Unit: "m/s", Source: cite.Ours.At("two searches on the same model", cite.Derived)}.
		Near(t, q.TrimSpeed, a, check.Model(0.01, "search stops at 1e-3 of the moment"))
}

func TestRefill(t *testing.T) {
	ac, am, pm, s := plover(t)
	st := air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
	w := NewWorkspace()
	a := Run(&s, w)
	cord := s.Cord
	s.Refill(ac, am, pm, st)
	if s.Cord != cord {
		t.Error("the cord was made anew")
	}
	if b := Run(&s, w); b.T != a.T || b.AtRelease.Speed != a.AtRelease.Speed {
		t.Error("refilled, it flies otherwise")
	}
	// a draw that scales the pull is the same as a cord made from scaled readings
	i := -1
	for k := range ac.Inputs {
		if ac.Inputs[k].Path == "launch.bungee.pull_test" {
			i = k
		}
	}
	if i < 0 {
		t.Fatal("craft has no pull-test input")
	}
	d := ac.With([]int{i}, []float64{1.1})
	s.Refill(d, am, pm, st)
	if math.Abs(s.CordFactor-1.1) > 1e-12 {
		t.Fatalf("factor %g", s.CordFactor)
	}
	x := Run(&s, w)
	fresh := FromAircraft(d, am, pm, st)
	y := Run(&fresh, w)
	if math.Abs(x.AtRelease.Speed-y.AtRelease.Speed) > 1e-9 {
		t.Errorf("scaled %g, made anew %g", x.AtRelease.Speed, y.AtRelease.Speed)
	}
}

func BenchmarkRefill(b *testing.B) {
	ac, am, pm, s := plover(b)
	st := air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
	b.ReportAllocs()
	for b.Loop() {
		s.Refill(ac, am, pm, st)
	}
}

func BenchmarkFromAircraft(b *testing.B) {
	ac, am, pm, _ := plover(b)
	st := air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
	b.ReportAllocs()
	for b.Loop() {
		_ = FromAircraft(ac, am, pm, st)
	}
}

// The energy ledger of every launch closes to the integrator's tolerance,
// whatever the start, the air and the way it ends.
func TestEveryLedgerCloses(t *testing.T) {
	_, _, _, base := plover(t)
	w := NewWorkspace()
	sob := num.NewSobol(shaken, 11)
	u := make([]float64, shaken)
	worst := map[string]float64{}
	seen := [Classes]int{}
	for i := range 240 {
		sob.Point(uint64(i), u)
		s := base
		s.StickPitch = -0.1 + 0.8*u[3]
		shake(&s, u)
		switch i % 6 {
		case 1:
			s.Hold, s.NoseUp, s.Stretch = OnGrass, 4*degree, 3+6*u[0]
		case 2:
			s.Hold, s.Ramp = OnRamp, 1.5
		case 3:
			s.Way, s.Speed, s.PathUp, s.MotorDelay = Hand, 5+7*u[1], 10*degree, 0.3
		case 4:
			s.Turbulence = Turbulence{On: true, U20: 4, Scale: 1, Seed: 1, Sample: uint64(i)}
		case 5:
			s.Slope, s.Stretch = 4*degree*(u[2]-0.5), 2+6*u[0]
		}
		for name, a := range map[string]motion.Accuracy{"quick": Quick, "fine": Fine} {
			s.Accuracy = a
			o := Run(&s, w)
			if o.Class == NoResult {
				t.Fatalf("launch %d: %v", i, o.Status.Words())
			}
			seen[o.Class]++
			// one energy scale: what the launch turns over
			if g := math.Abs(o.Ledger.Gap()) / math.Max(o.Ledger.Turnover(), 1); g > worst[name] {
				worst[name] = g
			}
		}
	}
	src := cite.Ours.At("kinetic and potential energy less the work of every force", cite.Derived)
	check.Row{Topic: "launch laws", Name: "240 launches of six kinds, quick: worst ledger gap over turnover", Source: src}.Near(t, worst["quick"], 0, check.ModelAbs(3e-3, "tolerances of 1e-3 m/s on some 20 m/s, squared, over some 50 steps"))
	check.Row{Topic: "launch laws", Name: "240 launches of six kinds, fine: worst ledger gap over turnover", Source: src}.Near(t, worst["fine"], 0, check.ModelAbs(2e-5, "a hundred times finer"))
	if seen[Airborne] == 0 || seen[GroundAfterRelease] == 0 {
		t.Errorf("classes seen: %v", seen)
	}
}

// One setup, many workspaces at once: the same bits.
func TestParallel(t *testing.T) {
	_, _, _, base := plover(t)
	base.Turbulence = Turbulence{On: true, U20: 4, Scale: 1, Seed: 5, Sample: 9}
	want := Run(&base, NewWorkspace())
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			w := NewWorkspace()
			for range 5 {
				if o := Run(&base, w); math.Float64bits(o.AtRelease.Speed) != math.Float64bits(want.AtRelease.Speed) || o.T != want.T {
					t.Errorf("another launch on another worker: %v, %v", o.T, want.T)
				}
			}
		})
	}
	wg.Wait()
}

// Hand launches of the kind are more luck than skill (common practice, no
// source): thrown in calm air by a careful hand, the motor started only when
// clear of it, about as many go wrong as right; a motor already running, or
// some wind, helps.
func TestHandLaunchIsLuck(t *testing.T) {
	_, _, _, base := plover(t)
	base.Way, base.Height, base.PathUp = Hand, 1.7, 10*degree
	v, sd := CarefulThrow(base.Mass)
	w := NewWorkspace()
	odds := func(wind, delay float64) float64 {
		const n = 128
		sob := num.NewSobol(shaken+3, 1)
		u := make([]float64, shaken+3)
		hits := 0
		for i := range n {
			sob.Point(uint64(i), u)
			s := base
			s.Wind, s.MotorDelay = windOf(wind), delay
			shake(&s, u[:shaken])
			s.Speed = v + sd*num.NormalQuantile(u[shaken])
			s.PathUp += 4 * degree * num.NormalQuantile(u[shaken+1])
			s.RateR += 20 * degree * num.NormalQuantile(u[shaken+2])
			if o := Run(&s, w); o.Success {
				hits++
			}
		}
		return float64(hits) / n
	}
	calm, wind, running := odds(0, 0.6), odds(4, 0.6), odds(0, -1)
	if calm < 0.2 || calm > 0.8 || wind < calm+0.1 || running < calm+0.1 {
		t.Errorf("odds calm %.2f, 4 m/s of wind %.2f, motor running %.2f", calm, wind, running)
	}
}
