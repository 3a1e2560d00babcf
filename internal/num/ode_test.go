package num

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
)

const arenstorfPeriod = 17.0652165601579625588917206249

func arenstorf(_ float64, y, d []float64) {
	const mu, mup = 0.012277471, 1 - 0.012277471
	d1 := math.Pow((y[0]+mu)*(y[0]+mu)+y[1]*y[1], 1.5)
	d2 := math.Pow((y[0]-mup)*(y[0]-mup)+y[1]*y[1], 1.5)
	d[0], d[1] = y[2], y[3]
	d[2] = y[0] + 2*y[3] - mup*(y[0]+mu)/d1 - mu*(y[0]-mup)/d2
	d[3] = y[1] - 2*y[2] - mup*y[1]/d1 - mu*y[1]/d2
}

func arenstorfStart() []float64 { return []float64{0.994, 0, 0, -2.00158510637908252240537862224} }

func kepler(_ float64, y, d []float64) {
	r3 := math.Pow(y[0]*y[0]+y[1]*y[1], 1.5)
	d[0], d[1], d[2], d[3] = y[2], y[3], -y[0]/r3, -y[1]/r3
}

func keplerStart(e float64) []float64 { return []float64{1 - e, 0, 0, math.Sqrt((1 + e) / (1 - e))} }

// keplerState is the exact orbit at time t from Kepler's equation: position
// and velocity.
func keplerState(e, t float64) [4]float64 {
	u := t
	for i := 0; i < 60; i++ {
		u -= (u - e*math.Sin(u) - t) / (1 - e*math.Cos(u))
	}
	ud := 1 / (1 - e*math.Cos(u))
	q := math.Sqrt(1 - e*e)
	return [4]float64{math.Cos(u) - e, q * math.Sin(u), -math.Sin(u) * ud, q * math.Cos(u) * ud}
}

func TestArenstorf(t *testing.T) {
	const topic = "integrators"
	src := cite.HairerI.At("II.0, Arenstorf orbit", cite.Seen)
	in := NewIntegrator(4)
	for _, row := range []struct {
		tol, err float64
		evals    int
	}{{1e-6, 1.0e-4, 1004}, {1e-8, 1.0e-6, 2114}, {1e-10, 2.1e-8, 4772}} {
		in.Start(arenstorf, 0, arenstorfStart(), Tolerance{Rel: row.tol, Abs: []float64{row.tol}})
		if s := in.Run(arenstorfPeriod, nil, nil, nil); s.Why != Reached {
			t.Fatalf("tol %g: %v", row.tol, s)
		}
		got := math.Hypot(in.Y()[0]-0.994, in.Y()[1])
		check.Row{Topic: topic, Name: "Arenstorf return error", Source: src}.Near(t, got, 0, check.ModelAbs(20*row.err, "factor 20 of a reference Dormand-Prince run: the orbit amplifies errors"))
		t.Logf("tol %g: error %.2g, %d evaluations (reference %d), %d rejected", row.tol, got, in.Evals, row.evals, in.RejectedSteps)
		if in.Evals > 2*row.evals {
			t.Errorf("tol %g: %d evaluations, reference %d", row.tol, in.Evals, row.evals)
		}
	}
	for _, p := range []struct {
		at   float64
		want [4]float64
	}{{0.5, [4]float64{-1.2448221, 0, 0, 0.5539903}}, {0.25, [4]float64{-0.0887192, 1.1027758, 0.3654610, -0.1923429}}} {
		in.Start(arenstorf, 0, arenstorfStart(), Tolerance{Rel: 1e-12, Abs: []float64{1e-12}})
		in.Run(p.at*arenstorfPeriod, nil, nil, nil)
		for i, w := range p.want {
			check.Row{Topic: topic, Name: "Arenstorf state on the way", Source: src}.Near(t, in.Y()[i], w, check.ModelAbs(1.5e-7, "seven printed decimals, orbit error at tolerance 1e-12"))
		}
	}
}

func TestKepler(t *testing.T) {
	src := cite.DETEST.At("class D", cite.Derived)
	in := NewIntegrator(4)
	for _, row := range []struct {
		e    float64
		want [4]float64
	}{
		{0.1, [4]float64{0.219883535, 0.942707685, -0.978765984, 0.328797799}},
		{0.5, [4]float64{-0.578043295, 0.863384001, -0.959508373, -0.065049151}},
		{0.9, [4]float64{-1.295266251, 0.400393896, -0.677539092, -0.127083815}},
	} {
		in.Start(kepler, 0, keplerStart(row.e), Tolerance{Rel: 1e-12, Abs: []float64{1e-12}})
		in.Run(20, nil, nil, nil)
		for i, w := range row.want {
			check.Row{Topic: "integrators", Name: "Kepler orbit at t = 20", Source: src}.Near(t, in.Y()[i], w, check.ModelAbs(1e-8, "nine printed decimals; error growth over three revolutions at tolerance 1e-12"))
		}
	}
}

// The dense output must be about as good as the steps themselves.
func TestDenseOutput(t *testing.T) {
	const e = 0.3
	in := NewIntegrator(4)
	y := make([]float64, 4)
	for _, tol := range []float64{1e-5, 1e-7, 1e-9} {
		var worstEnd, worstIn float64
		in.Start(kepler, 0, keplerStart(e), Tolerance{Rel: tol, Abs: []float64{tol}})
		in.Run(6, nil, func(in *Integrator) bool {
			a, b := in.Span()
			for j := 0; j <= 10; j++ {
				tt := a + (b-a)*float64(j)/10
				in.At(tt, y)
				w := keplerState(e, tt)
				err := math.Hypot(y[0]-w[0], y[1]-w[1])
				if j == 0 || j == 10 {
					worstEnd = math.Max(worstEnd, err)
				} else {
					worstIn = math.Max(worstIn, err)
				}
			}
			return true
		}, nil)
		t.Logf("tol %g: at step ends %.2g, inside %.2g", tol, worstEnd, worstIn)
		if worstIn > 5*worstEnd+tol {
			t.Errorf("tol %g: dense output %.2g, steps %.2g", tol, worstIn, worstEnd)
		}
	}
}

func TestScalars(t *testing.T) {
	in := NewIntegrator(1)
	src := cite.DETEST.At("class A", cite.Derived)
	for _, row := range []struct {
		name string
		f    Derivative
		want float64
	}{
		{"y' = -y^3/2", func(_ float64, y, d []float64) { d[0] = -0.5 * y[0] * y[0] * y[0] }, 1 / math.Sqrt(21)},
		{"y' = y cos t", func(t float64, y, d []float64) { d[0] = y[0] * math.Cos(t) }, math.Exp(math.Sin(20))},
		{"y' = (y/4)(1-y/20)", func(_ float64, y, d []float64) { d[0] = y[0] / 4 * (1 - y[0]/20) }, 20 / (1 + 19*math.Exp(-5))},
	} {
		in.Start(row.f, 0, []float64{1}, Tolerance{Rel: 1e-10, Abs: []float64{1e-10}})
		in.Run(20, nil, nil, nil)
		check.Row{Topic: "integrators", Name: row.name + " at 20", Source: src}.Near(t, in.Y()[0], row.want, check.Model(2e-8, "global error at tolerance 1e-10"))
	}
	for name, pair := range map[string][2]float64{
		"-y^3/2": {1 / math.Sqrt(21), 0.21821789}, "y cos t": {math.Exp(math.Sin(20)), 2.49165027}, "logistic": {20 / (1 + 19*math.Exp(-5)), 17.73016648},
	} {
		check.Row{Topic: "integrators", Name: "closed form of " + name, Source: src}.Near(t, pair[0], pair[1], check.Printed(1e-8))
	}
}

func TestRK4Order(t *testing.T) {
	const e = 0.3
	src := cite.DETEST.At("class D, e = 0.3, classical Runge-Kutta", cite.Derived)
	want := map[int]float64{500: 2.455e-5, 1000: 1.202e-6, 2000: 6.481e-8, 4000: 3.730e-9, 8000: 2.231e-10}
	r := NewRK4(4)
	w := keplerState(e, 20)
	for _, n := range []int{500, 1000, 2000, 4000, 8000} {
		y := keplerStart(e)
		h := 20 / float64(n)
		for i := 0; i < n; i++ {
			r.Step(kepler, float64(i)*h, y, h)
		}
		err := math.Sqrt(sq(y[0]-w[0]) + sq(y[1]-w[1]) + sq(y[2]-w[2]) + sq(y[3]-w[3]))
		check.Row{Topic: "integrators", Name: "fixed-step Runge-Kutta error, Kepler e = 0.3", Source: src}.Near(t, err, want[n], check.Model(0.01, "four printed digits and rounding at the smallest step"))
	}
}

func sq(x float64) float64 { return x * x }

func TestDormandPrinceOrder(t *testing.T) {
	// Fixed steps forced by MaxStep under loose tolerances: halving must divide
	// the error by about 2^5.
	const e = 0.3
	in := NewIntegrator(4)
	last := 0.0
	for _, n := range []int{400, 800, 1600, 3200} {
		in.Start(kepler, 0, keplerStart(e), Tolerance{Rel: 1, Abs: []float64{1}, MaxStep: 20.0 / float64(n), FirstStep: 20.0 / float64(n)})
		in.Run(20, nil, nil, nil)
		w := keplerState(e, 20)
		var err float64
		for i := range w {
			err += sq(in.Y()[i] - w[i])
		}
		err = math.Sqrt(err)
		if last > 0 {
			order := math.Log2(last / err)
			t.Logf("n %d: error %.3g order %.2f", n, err, order)
			if order < 4.7 || order > 6.5 {
				t.Errorf("observed order %.2f, want about 5", order)
			}
		}
		last = err
	}
}

func TestBouncingBall(t *testing.T) {
	const g, rest = 9.80665, 0.8
	src := cite.Ours.At("closed form: t1 = sqrt(2h/g), then 2 e^n t1", cite.Derived)
	f := func(_ float64, y, d []float64) { d[0], d[1] = y[1], -g }
	ground := []Event{{Value: func(_ float64, y []float64) float64 { return y[0] }, Direction: -1, Terminal: true}}
	want := []float64{0.638659914, 1.660515775, 2.478000465, 3.131988216, 3.655178417}
	in := NewIntegrator(2)
	in.Start(f, 0, []float64{2, 0}, Tolerance{})
	for _, w := range want {
		s := in.Run(20, ground, nil, nil)
		if s.Why != Stopped {
			t.Fatalf("no bounce: %v at %g", s.Why, s.T)
		}
		check.Row{Topic: "event location", Name: "bouncing ball impact", Unit: "s", Source: src}.Near(t, s.T, w, check.ModelAbs(1e-8, "printed to 1e-9, located to 1e-10; required 1e-6"))
		in.Y()[0], in.Y()[1] = 0, -rest*in.Y()[1]
		in.Resume(0)
	}
	// Go on to the accumulation point: every bounce must be found until the
	// flights are shorter than a microsecond.
	bounces := 5
	for {
		s := in.Run(5.7479, ground, nil, nil)
		if s.Why != Stopped {
			break
		}
		bounces++
		in.Y()[0], in.Y()[1] = 0, -rest*in.Y()[1]
		in.Resume(1e-9)
	}
	check.Row{Topic: "event location", Name: "bounces before 5.7479 s", Source: src}.Near(t, float64(bounces), 53, check.ModelAbs(0, "a count: last n with t_n < 5.7479 s"))
}

// A mass pulled along the ground by a tension-only spring (case L2 of the
// launch cases): slack is where the extension reaches zero.
func TestSlack(t *testing.T) {
	const m, k, x0, f0 = 0.6, 10.0, 10.0, -0.3 * 0.6 * 9.80665
	src := cite.Ours.At("M s'' = k(x0-s)+F0: t = acos(1-x0/A)/w, v from energy; with drag u' + (2c/m)u = (2/m)(k(x0-s)+F0)", cite.Derived)
	in := NewIntegrator(2)
	ev := []Event{{Value: func(_ float64, y []float64) float64 { return x0 - y[0] }, Direction: -1, Terminal: true}}
	var c float64
	f := func(_ float64, y, d []float64) { d[0], d[1] = y[1], (k*(x0-y[0])+f0-c*y[1]*y[1])/m }
	for _, max := range []float64{0, 5e-3, 2.5e-3} {
		in.Start(f, 0, []float64{0, 0}, Tolerance{Rel: 1e-9, MaxStep: max})
		s := in.Run(10, ev, nil, nil)
		check.Row{Topic: "event location", Name: "cord slack, launch L2", Unit: "s", Source: src}.Near(t, s.T, 0.389166714, check.ModelAbs(2e-9, "printed to 1e-9; integration tolerance 1e-9 (required 1e-6)"))
		check.Row{Topic: "event location", Name: "speed at slack, launch L2", Unit: "m/s", Source: src}.Near(t, in.Y()[1], 40.097715, check.ModelAbs(1e-6, "printed to 1e-6"))
	}
	for drag, v := range map[float64]float64{0.00275625: 38.881847, 0.0055125: 37.711459} {
		c = drag
		in.Start(f, 0, []float64{0, 0}, Tolerance{Rel: 1e-9})
		in.Run(10, ev, nil, nil)
		check.Row{Topic: "event location", Name: "speed at slack with drag", Unit: "m/s", Source: src}.Near(t, in.Y()[1], v, check.ModelAbs(1e-6, "printed to 1e-6"))
	}
}

func TestEventsInOneStep(t *testing.T) {
	// y = (cos t, sin t) with steps forced long: several events inside one
	// step come in time order, directions are respected, a terminal one ends.
	in := NewIntegrator(2)
	f := func(_ float64, y, d []float64) { d[0], d[1] = -y[1], y[0] }
	events := []Event{
		{Value: func(_ float64, y []float64) float64 { return y[0] - 0.5 }},                               // t = pi/3 falling, 5pi/3 rising
		{Value: func(_ float64, y []float64) float64 { return y[1] - 0.5 }, Direction: +1},                // pi/6 only
		{Value: func(_ float64, y []float64) float64 { return y[1] - 0.5 }, Direction: -1},                // 5pi/6 only
		{Value: func(_ float64, y []float64) float64 { return y[1] }, Direction: -1, Terminal: true},      // pi
		{Value: func(t float64, _ []float64) float64 { return t - 1.04 }, Direction: +1, Terminal: false}, // just before pi/3
	}
	for _, tol := range []float64{1e-3, 1e-6, 1e-10} {
		var got []float64
		var ids []int
		in.Start(f, 0, []float64{1, 0}, Tolerance{Rel: tol, Abs: []float64{tol}})
		s := in.Run(10, events, nil, func(i int, t float64, _ []float64) { got, ids = append(got, t), append(ids, i) })
		want := []float64{math.Pi / 6, 1.04, math.Pi / 3, 5 * math.Pi / 6, math.Pi}
		if len(got) != 5 || s.Why != Stopped || s.Event != 3 {
			t.Fatalf("tol %g: events %v at %v, %v", tol, ids, got, s)
		}
		for i := range want {
			if math.Abs(got[i]-want[i]) > 20*tol+1e-9 {
				t.Errorf("tol %g: event %d at %.10f, want %.10f", tol, ids[i], got[i], want[i])
			}
		}
		if in.T() != s.T {
			t.Errorf("time %g after an event at %g", in.T(), s.T)
		}
		// the second lap: the terminal event fires again once per turn
		in.Resume(0)
		if s = in.Run(20, events, nil, nil); s.Why != Stopped || math.Abs(s.T-3*math.Pi) > 100*tol+1e-8 {
			t.Errorf("tol %g: second lap %v", tol, s)
		}
	}
}

// A linear system against the matrix exponential of the library.
func TestLinearSystem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "n")
		a := mat.NewDense(n, n, nil)
		y := make([]float64, n)
		for i := range n {
			y[i] = rapid.Float64Range(-2, 2).Draw(t, "y")
			for j := range n {
				a.Set(i, j, rapid.Float64Range(-2, 2).Draw(t, "a"))
			}
		}
		in := NewIntegrator(n)
		in.Start(func(_ float64, y, d []float64) {
			for i := range n {
				d[i] = 0
				for j := range n {
					d[i] += a.At(i, j) * y[j]
				}
			}
		}, 0, y, Tolerance{Rel: 1e-10, Abs: []float64{1e-10}})
		if s := in.Run(1.5, nil, nil, nil); s.Why != Reached || s.T != 1.5 {
			t.Fatal(s)
		}
		var at, e mat.Dense
		at.Scale(1.5, a)
		e.Exp(&at)
		var w mat.VecDense
		w.MulVec(&e, mat.NewVecDense(n, y))
		big := mat.Norm(&e, 2)
		for i := range n {
			if d := math.Abs(w.AtVec(i) - in.Y()[i]); d > 1e-7*(1+big) {
				t.Fatalf("component %d is off by %g", i, d)
			}
		}
	})
}

func TestGrid(t *testing.T) {
	// A broken-line input: with the grid on, every step ends on a kink at the
	// latest, nothing is rejected there and the answer is exact.
	dt := 0.01
	saw := func(t float64) float64 { // triangle wave of period 2 dt
		x := math.Mod(t, 2*dt) / dt
		if x > 1 {
			x = 2 - x
		}
		return x
	}
	in := NewIntegrator(1)
	in.Start(func(t float64, _, d []float64) { d[0] = saw(t) }, 0, []float64{0}, Tolerance{Rel: 1e-10, Abs: []float64{1e-12}, Grid: dt, FirstStep: dt})
	in.Run(1, nil, func(in *Integrator) bool {
		_, b := in.Span()
		if r := math.Abs(b/dt - math.Round(b/dt)); r > 1e-9 {
			t.Errorf("step ends at %.12f, off the grid", b)
		}
		return true
	}, nil)
	if math.Abs(in.Y()[0]-0.5) > 1e-12 || in.RejectedSteps > 0 || in.Accepted != 100 {
		t.Errorf("y = %.15f, %d steps, %d rejected", in.Y()[0], in.Accepted, in.RejectedSteps)
	}
}

func TestLimit(t *testing.T) {
	in := NewIntegrator(1)
	in.Start(func(_ float64, _, d []float64) { d[0] = 1 }, 0, []float64{0}, Tolerance{MaxStep: 0.01})
	in.Run(1, nil, nil, nil)
	if in.Accepted < 100 {
		t.Errorf("%d steps of at most 0.01", in.Accepted)
	}
	n := in.Accepted
	in.Limit(0, 0)
	in.Run(2, nil, nil, nil)
	if in.Accepted-n > 20 || math.Abs(in.Y()[0]-2) > 1e-12 {
		t.Errorf("%d steps without a limit, y = %g", in.Accepted-n, in.Y()[0])
	}
}

func TestStops(t *testing.T) {
	in := NewIntegrator(1)
	in.Start(func(_ float64, y, d []float64) { d[0] = y[0] * y[0] }, 0, []float64{1}, Tolerance{}) // blows up at t = 1
	if s := in.Run(2, nil, nil, nil); s.Why != TooStiff && s.Why != NotFinite || math.Abs(s.T-1) > 1e-6 {
		t.Errorf("explosion: %v at %g", s.Why, s.T)
	}
	in.Start(func(_ float64, y, d []float64) { d[0] = math.NaN() }, 0, []float64{1}, Tolerance{})
	if s := in.Run(2, nil, nil, nil); s.Why != NotFinite {
		t.Errorf("NaN: %v", s.Why)
	}
	in.Start(func(t float64, y, d []float64) { d[0] = math.Sqrt(1 - t) }, 0, []float64{1}, Tolerance{})
	if s := in.Run(2, nil, nil, nil); s.Why != NotFinite || math.Abs(s.T-1) > 1e-6 {
		t.Errorf("NaN after t = 1: %v at %g", s.Why, s.T)
	}
	in.Start(func(_ float64, y, d []float64) { d[0] = -1e7 * y[0] }, 0, []float64{1}, Tolerance{MaxEvals: 1000})
	if s := in.Run(10, nil, nil, nil); s.Why != TooLong {
		t.Errorf("stiff: %v", s.Why)
	}
	in.Start(func(_ float64, y, d []float64) { d[0] = 1 }, 0, []float64{1}, Tolerance{MaxStep: 0.1})
	if s := in.Run(10, nil, func(in *Integrator) bool { return in.T() < 0.35 }, nil); s.Why != Asked {
		t.Errorf("asked: %v", s.Why)
	}
}

func TestIntegratorDoesNotAllocate(t *testing.T) {
	in := NewIntegrator(4)
	ev := []Event{{Value: func(_ float64, y []float64) float64 { return y[1] }, Direction: -1, Terminal: true}, {Value: func(_ float64, y []float64) float64 { return y[0] }}}
	y0 := keplerStart(0.3)
	abs := []float64{1e-9}
	n := testing.AllocsPerRun(10, func() {
		in.Start(kepler, 0, y0, Tolerance{Abs: abs})
		in.Run(20, ev, nil, nil)
		in.Resume(0)
		in.Run(20, ev, nil, nil)
	})
	if n != 0 {
		t.Errorf("%v allocations per run", n)
	}
}

func BenchmarkIntegratorStep(b *testing.B) {
	// overhead per step at 13 states with a trivial right-hand side
	in := NewIntegrator(13)
	f := func(_ float64, y, d []float64) { copy(d, y) }
	y := make([]float64, 13)
	in.Start(f, 0, y, Tolerance{MaxStep: 1e-3, FirstStep: 1e-3})
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		in.Run(in.T()+1, nil, nil, nil)
		n = in.Accepted
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/step")
}
