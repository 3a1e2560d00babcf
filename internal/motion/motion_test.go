package motion

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

const deg = math.Pi / 180

type forceFunc func(t float64, s *State, f *Frame, l *Load)

func (g forceFunc) Forces(t float64, s *State, f *Frame, l *Load) { g(t, s, f, l) }

var free = forceFunc(func(float64, *State, *Frame, *Load) {})

type guardFunc func(t float64, s *State, f *Frame) (float64, int)

func (g guardFunc) Guard(t float64, s *State, f *Frame) (float64, int) { return g(t, s, f) }

func diagonal(a, b, c float64) [3][3]float64 { return [3][3]float64{{a}, {0, b}, {0, 0, c}} }

func body(t testing.TB, m float64, i [3][3]float64) *Body {
	t.Helper()
	b, ok := NewBody(m, i)
	if !ok {
		t.Fatal("not a body")
	}
	return &b
}

func level() State { return State{Att: quat.Number{Real: 1}} }

func TestFlatEarthCheckCases(t *testing.T) {
	const ft = 0.3048
	const slug = 14.593903
	src := cite.NESC2015.At("case 2 (rates do not depend on the earth), flat-earth values", cite.Derived)
	seen := cite.NESC2015.At("vol. II, case 2, end state", cite.Seen)
	brick := body(t, 0.155404754*slug, diagonal(0.001894220*slug*ft*ft, 0.006211019*slug*ft*ft, 0.007194665*slug*ft*ft))
	s := level()
	s.Pos.Z = -9144
	s.Rate = r3.Vec{X: 10 * deg, Y: 20 * deg, Z: 30 * deg}
	m := NewSim()
	m.Start(brick, free, StandardGravity, 0, &s, Accuracy{})
	for _, w := range []struct{ t, p, q, r float64 }{
		{5, -16.93949, 9.63194, 33.40663}, {15, 18.43725, 2.38688, 34.31071}, {30, 12.61839, -17.39747, 31.11959},
	} {
		if e := m.Run(w.t, nil, nil); e.Reason != TimeUp || e.T != w.t {
			t.Fatalf("run ended %+v", e)
		}
		m.State(&s)
		tol := check.ModelAbs(0.01, "stated by the reference for a flat earth")
		for _, c := range []struct {
			n         string
			got, want float64
		}{{"p", s.Rate.X, w.p}, {"q", s.Rate.Y, w.q}, {"r", s.Rate.Z, w.r}} {
			check.Row{Topic: "rigid body", Name: fmt.Sprintf("brick %s at %g s", c.n, w.t), Unit: "deg/s", Source: src}.Near(t, c.got/deg, c.want, tol)
		}
	}
	for i, w := range []struct{ got, want float64 }{{s.Rate.X, 12.61842}, {s.Rate.Y, -17.39744}, {s.Rate.Z, 31.11960}} {
		check.Row{Topic: "rigid body", Name: "brick rate " + "pqr"[i:i+1] + " at 30 s, published end state", Unit: "deg/s", Source: seen}.Near(t, w.got/deg, w.want, check.ModelAbs(0.01, "spread between independent codes"))
	}
	roll, pitch, yaw := s.Euler()
	for _, w := range []struct {
		n         string
		got, want float64
	}{{"roll", roll, -56.0260}, {"pitch", pitch, -3.8103}, {"yaw", yaw, -4.2977}} {
		check.Row{Topic: "rigid body", Name: "brick " + w.n + " at 30 s, no earth rate", Unit: "deg", Source: src}.Near(t, w.got/deg, w.want, check.ModelAbs(0.1, "stated by the reference"))
	}
	if g := m.Ledger(); math.Abs(g.Gap()) > 1e-7*g.Turnover() {
		t.Errorf("energy gap %g of %g", g.Gap(), g.Turnover())
	}

	// The five-second history: rates of the brick, and of the sphere (constant).
	for _, c := range []string{"2", "4"} {
		b := brick
		if c == "4" {
			b = body(t, slug, diagonal(3.6*slug*ft*ft, 3.6*slug*ft*ft, 3.6*slug*ft*ft))
		}
		s := level()
		s.Rate = r3.Vec{X: 10 * deg, Y: 20 * deg, Z: 30 * deg}
		m.Start(b, free, StandardGravity, 0, &s, Accuracy{})
		for _, row := range check.CSV(t, check.RefFile("flight-nesc.csv")) {
			if row["case"] != c {
				continue
			}
			if tt := check.Number(t, row, "t_s"); tt > 0 {
				m.Run(tt, nil, nil)
			}
			m.State(&s)
			for _, k := range []struct {
				col string
				got float64
			}{{"p_deg_s", s.Rate.X}, {"q_deg_s", s.Rate.Y}, {"r_deg_s", s.Rate.Z}} {
				check.Row{Topic: "rigid body", Name: fmt.Sprintf("case %s %s at %s s", c, k.col[:1], row["t_s"]), Unit: "deg/s", Source: src}.
					Near(t, k.got/deg, check.Number(t, row, k.col), check.ModelAbs(0.01, "stated by the reference for a flat earth"))
			}
		}
	}

	// Sphere without drag: constant apparent gravity.
	ball := body(t, slug, diagonal(3.6*slug*ft*ft, 3.6*slug*ft*ft, 3.6*slug*ft*ft))
	s = level()
	s.Pos.Z = -9144
	m.Start(ball, free, 31.9951*ft, 0, &s, Accuracy{})
	m.Run(30, nil, nil)
	m.State(&s)
	check.Row{Topic: "rigid body", Name: "sphere without drag, height at 30 s", Unit: "ft", Source: src}.Near(t, -s.Pos.Z/ft, 15602.2, check.Printed(0.1))
	check.Row{Topic: "rigid body", Name: "sphere without drag, height at 30 s, round turning earth", Unit: "ft", Source: cite.NESC2015.At("vol. II, case 1, end state", cite.Seen)}.
		Near(t, -s.Pos.Z/ft, 15598.90435, check.Model(3e-4, "constant gravity of a flat earth"))

	// Sphere with drag falling through the standard atmosphere.
	const S = 0.01824146
	drag := forceFunc(func(_ float64, s *State, f *Frame, l *Load) {
		v := r3.Norm(s.Vel)
		rho := standardDensity(-s.Pos.Z)
		fe := r3.Scale(-0.5*rho*v*S*0.1, s.Vel)
		l.F = f.Body(fe)
		l.Power[0] = dot(fe, s.Vel)
	})
	s = level()
	s.Pos.Z = -9144
	s.Rate = r3.Vec{X: 10 * deg, Y: 20 * deg, Z: 30 * deg}
	m.Start(ball, drag, StandardGravity, 0, &s, Accuracy{})
	for _, w := range []struct{ t, h, v float64 }{{5, 9021.561, 48.9176}, {10, 8656.004, 97.1247}, {20, 7221.769, 188.0895}, {30, 4942.328, 264.5219}} {
		m.Run(w.t, nil, nil)
		m.State(&s)
		check.Row{Topic: "rigid body", Name: fmt.Sprintf("sphere with drag, height at %g s", w.t), Unit: "m", Source: src}.Near(t, -s.Pos.Z, w.h, check.ModelAbs(0.01, "reference printed to 1 mm; density from rounded constants"))
		check.Row{Topic: "rigid body", Name: fmt.Sprintf("sphere with drag, speed at %g s", w.t), Unit: "m/s", Source: src}.Near(t, s.Vel.Z, w.v, check.ModelAbs(0.001, "density from rounded constants"))
	}
	check.Row{Topic: "rigid body", Name: "sphere with drag, height at 30 s, round earth", Unit: "ft", Source: cite.NESC2015.At("vol. II, case 4, end state", cite.Seen)}.
		Near(t, -s.Pos.Z/ft, 16231.30691, check.Model(1.2e-3, "inverse-square gravity against constant"))
	if g := m.Ledger(); math.Abs(g.Gap()) > 1e-6*g.Turnover() {
		t.Errorf("energy gap %g of %g", g.Gap(), g.Turnover())
	}
}

// standardDensity is the 1976 troposphere with geometric height, kept apart
// from internal/air on purpose.
func standardDensity(z float64) float64 {
	const r = 6356766.0
	h := r * z / (r + z)
	T := 288.15 - 0.0065*h
	p := 101325 * math.Pow(T/288.15, 9.80665/(287.05287*0.0065))
	return p / (287.05287 * T)
}

func TestFreeTop(t *testing.T) {
	src := cite.LandauMechanics.At("closed form with Jacobi functions, our numbers in testdata/ref/flight-top.csv", cite.Derived)
	m := NewSim()
	var s State
	last := ""
	for _, row := range check.CSV(t, check.RefFile("flight-top.csv")) {
		c, tt := row["case"], check.Number(t, row, "t_s")
		w := r3.Vec{X: check.Number(t, row, "w1_rad_s"), Y: check.Number(t, row, "w2_rad_s"), Z: check.Number(t, row, "w3_rad_s")}
		if c != last {
			last = c
			s = level()
			s.Rate = w
			b := body(t, 1, diagonal(check.Number(t, row, "I1_kgm2"), check.Number(t, row, "I2_kgm2"), check.Number(t, row, "I3_kgm2")))
			m.Start(b, free, 0, 0, &s, Accuracy{Rel: 1e-9, Rate: 1e-9, Att: 1e-9})
		} else {
			m.Run(tt, nil, nil)
		}
		m.State(&s)
		name := fmt.Sprintf("case %s at %g s", c, tt)
		tol := check.ModelAbs(1e-6, "stated by the reference; integrator at 1e-9 a step")
		check.Row{Topic: "torque-free top", Name: name + ", w1", Unit: "rad/s", Source: src}.Near(t, s.Rate.X, w.X, tol)
		check.Row{Topic: "torque-free top", Name: name + ", w2", Unit: "rad/s", Source: src}.Near(t, s.Rate.Y, w.Y, tol)
		check.Row{Topic: "torque-free top", Name: name + ", w3", Unit: "rad/s", Source: src}.Near(t, s.Rate.Z, w.Z, tol)
		q := []float64{s.Att.Real, s.Att.Imag, s.Att.Jmag, s.Att.Kmag}
		for i, g := range q {
			check.Row{Topic: "torque-free top", Name: fmt.Sprintf("%s, q%d", name, i), Source: src}.Near(t, g, check.Number(t, row, fmt.Sprintf("q%d", i)), tol)
		}
	}
}

// jacobi gives sn, cn, dn by the descending Landen (arithmetic-geometric
// mean) method, Abramowitz and Stegun 16.4.
func jacobi(u, k float64) (sn, cn, dn float64) {
	a, b, c := []float64{1}, math.Sqrt(1-k*k), []float64{k}
	for math.Abs(c[len(c)-1]) > 1e-16 {
		an := a[len(a)-1]
		a, c = append(a, (an+b)/2), append(c, (an-b)/2)
		b = math.Sqrt(an * b)
	}
	n := len(a) - 1
	phi := math.Ldexp(a[n]*u, n)
	for i := n; i > 0; i-- {
		phi = (phi + math.Asin(math.Max(-1, math.Min(1, c[i]/a[i]*math.Sin(phi))))) / 2
	}
	sn, cn = math.Sincos(phi)
	return sn, cn, math.Sqrt(1 - k*k*sn*sn)
}

// topAt is the closed form for a start at w2 = 0 with w1, w3 > 0.
func topAt(i1, i2, i3, w1, w3, t float64) (w r3.Vec, lambda, k2, period float64) {
	T2 := i1*w1*w1 + i3*w3*w3
	h2 := i1*w1*i1*w1 + i3*w3*i3*w3
	a1 := math.Sqrt((T2*i3 - h2) / (i1 * (i3 - i1)))
	a3 := math.Sqrt((h2 - T2*i1) / (i3 * (i3 - i1)))
	if h2 > T2*i2 {
		lambda = math.Sqrt((i3 - i2) * (h2 - T2*i1) / (i1 * i2 * i3))
		k2 = (i2 - i1) * (T2*i3 - h2) / ((i3 - i2) * (h2 - T2*i1))
		a2 := math.Sqrt((T2*i3 - h2) / (i2 * (i3 - i2)))
		sn, cn, dn := jacobi(lambda*t, math.Sqrt(k2))
		w = r3.Vec{X: a1 * cn, Y: a2 * sn, Z: a3 * dn}
	} else {
		lambda = math.Sqrt((i2 - i1) * (T2*i3 - h2) / (i1 * i2 * i3))
		k2 = (i3 - i2) * (h2 - T2*i1) / ((i2 - i1) * (T2*i3 - h2))
		a2 := math.Sqrt((h2 - T2*i1) / (i2 * (i2 - i1)))
		sn, cn, dn := jacobi(lambda*t, math.Sqrt(k2))
		w = r3.Vec{X: a1 * dn, Y: a2 * sn, Z: a3 * cn}
	}
	return w, lambda, k2, 4 * mathext.CompleteK(k2) / lambda
}

func TestTopClosedForm(t *testing.T) {
	src := cite.LandauMechanics.At("section 37", cite.Derived)
	const i1, i2, i3 = 0.006, 0.010, 0.0155
	_, lam, k2, per := topAt(i1, i2, i3, 6, 1, 0)
	check.Row{Topic: "torque-free top", Name: "case B lambda", Unit: "rad/s", Source: src}.Near(t, lam, 2.97082589, check.Printed(1e-8))
	check.Row{Topic: "torque-free top", Name: "case B k²", Source: src}.Near(t, k2, 0.09866898, check.Printed(1e-8))
	check.Row{Topic: "torque-free top", Name: "case B period", Unit: "s", Source: src}.Near(t, per, 2.17024300, check.Printed(1e-8))
	m := NewSim()
	b := body(t, 1, diagonal(i1, i2, i3))
	s := level()
	s.Rate = r3.Vec{X: 6, Z: 1}
	m.Start(b, free, 0, 0, &s, Accuracy{Rel: 1e-10, Rate: 1e-10, Att: 1e-10})
	for i := 1; i <= 20; i++ {
		tt := float64(i) * 0.25
		m.Run(tt, nil, nil)
		m.State(&s)
		w, _, _, _ := topAt(i1, i2, i3, 6, 1, tt)
		check.Row{Topic: "torque-free top", Name: fmt.Sprintf("Jacobi form against run at %g s, worst rate", tt), Unit: "rad/s", Source: src}.
			Near(t, r3.Norm(r3.Sub(s.Rate, w)), 0, check.ModelAbs(1e-8, "integrator at 1e-10 a step over two periods"))
	}
	// Case A: the flip of the intermediate axis; case C stays.
	s = level()
	s.Rate = r3.Vec{X: 0.5, Y: 3, Z: 0.2}
	m.Start(b, free, 0, 0, &s, Accuracy{})
	flip := 0
	prev := 3.0
	m.Run(20, nil, func(m *Sim) bool {
		var s State
		m.State(&s)
		if s.Rate.Y*prev < 0 {
			flip++
			prev = s.Rate.Y
		}
		return true
	})
	if flip != 4 { // period 9.736 s: twice a period
		t.Errorf("intermediate axis flipped %d times in 20 s, want 4", flip)
	}
	s = level()
	s.Rate = r3.Vec{Y: 0.02, Z: 5}
	m.Start(b, free, 0, 0, &s, Accuracy{})
	var m1, m2 float64
	m.Run(10, nil, func(m *Sim) bool {
		from, to := m.Span()
		for i := 0; i <= 8; i++ {
			var s State
			m.At(from+(to-from)*float64(i)/8, &s)
			m1, m2 = math.Max(m1, math.Abs(s.Rate.X)), math.Max(m2, math.Abs(s.Rate.Y))
		}
		return true
	})
	check.Row{Topic: "torque-free top", Name: "case C largest |w2|", Unit: "rad/s", Source: src}.Near(t, m2, 0.0200, check.ModelAbs(1e-5, "stays stable"))
	check.Row{Topic: "torque-free top", Name: "case C largest |w1|", Unit: "rad/s", Source: src}.Near(t, m1, 0.01965, check.ModelAbs(1e-5, "printed digit"))

	// NESC brick.
	// starts with w2 not zero: only the constants of the motion are compared
	w0 := [3]float64{10 * deg, 20 * deg, 30 * deg}
	I := [3]float64{0.001894220, 0.006211019, 0.007194665}
	var T2, h2 float64
	for i := range I {
		T2 += I[i] * w0[i] * w0[i]
		h2 += I[i] * w0[i] * I[i] * w0[i]
	}
	lam = math.Sqrt((I[2] - I[1]) * (h2 - T2*I[0]) / (I[0] * I[1] * I[2]))
	check.Row{Topic: "torque-free top", Name: "check-case brick lambda", Unit: "rad/s", Source: src}.Near(t, lam, 0.39932230, check.Printed(1e-7))

	// Symmetric top: the body-frame precession.
	sym := body(t, 1, diagonal(0.008, 0.008, 0.014))
	s = level()
	s.Rate = r3.Vec{X: 1, Z: 10}
	m.Start(sym, free, 0, 0, &s, Accuracy{Rel: 1e-10, Rate: 1e-10})
	m.Run(0.837758, nil, nil)
	m.State(&s)
	check.Row{Topic: "torque-free top", Name: "symmetric top back after one precession", Unit: "rad/s", Source: src}.
		Near(t, math.Hypot(s.Rate.X-1, s.Rate.Y), 0, check.ModelAbs(5e-6, "period printed to 1e-6 s"))
}

func TestConservationOfPlainRungeKutta(t *testing.T) {
	src := cite.Ours.At("fixed-step Runge-Kutta on case A, 10 s", cite.Derived)
	b := body(t, 1, diagonal(0.006, 0.010, 0.0155))
	m := NewSim()
	s := level()
	s.Rate = r3.Vec{X: 0.5, Y: 3, Z: 0.2}
	m.Start(b, free, 0, 0, &s, Accuracy{})
	k0, h0 := b.Kinetic(&s), r3.Norm(b.Momentum(s.Rate))
	for _, w := range []struct{ dt, dT, dH, dq float64 }{{0.02, -1.3e-9, -6.6e-10, -4.0e-9}, {0.01, -3.6e-11, -1.8e-11, -1.2e-10}} {
		y := make([]float64, Size)
		Pack(&s, y)
		rk := num.NewRK4(Size)
		n := int(math.Round(10 / w.dt))
		for i := 0; i < n; i++ {
			rk.Step(m.Derivative(), float64(i)*w.dt, y, w.dt)
		}
		var e State
		Unpack(y, &e)
		tol := check.Model(0.1, "one or two printed digits")
		check.Row{Topic: "torque-free top", Name: fmt.Sprintf("energy drift, step %g s", w.dt), Source: src}.Near(t, b.Kinetic(&e)/k0-1, w.dT, tol)
		check.Row{Topic: "torque-free top", Name: fmt.Sprintf("momentum drift, step %g s", w.dt), Source: src}.Near(t, r3.Norm(b.Momentum(e.Rate))/h0-1, w.dH, tol)
		check.Row{Topic: "torque-free top", Name: fmt.Sprintf("quaternion drift, step %g s", w.dt), Source: src}.Near(t, quat.Abs(e.Att)-1, w.dq, tol)
	}
}

func TestFrames(t *testing.T) {
	src := cite.Ours.At("3-2-1 Euler angles to quaternion", cite.Derived)
	for _, w := range []struct{ r, p, y, q0, q1, q2, q3, gx, gy, gz float64 }{
		{10, 20, 30, 0.95154852, 0.03813458, 0.18930786, 0.23929834, -3.354072, 1.600209, 9.075236},
		{-45, 60, 120, 0.23434479, -0.56575836, -0.05604269, 0.78858051, -8.492808, -3.467174, 3.467174},
	} {
		q := Attitude(w.r*deg, w.p*deg, w.y*deg)
		tol := check.Printed(1e-8)
		name := fmt.Sprintf("(%g, %g, %g)°", w.r, w.p, w.y)
		check.Row{Topic: "attitude", Name: name + " q0", Source: src}.Near(t, q.Real, w.q0, tol)
		check.Row{Topic: "attitude", Name: name + " q1", Source: src}.Near(t, q.Imag, w.q1, tol)
		check.Row{Topic: "attitude", Name: name + " q2", Source: src}.Near(t, q.Jmag, w.q2, tol)
		check.Row{Topic: "attitude", Name: name + " q3", Source: src}.Near(t, q.Kmag, w.q3, tol)
		f := FrameOf(q)
		g := r3.Scale(StandardGravity, f.Down())
		check.Row{Topic: "attitude", Name: name + " gravity x", Unit: "m/s²", Source: src}.Near(t, g.X, w.gx, check.Printed(1e-6))
		check.Row{Topic: "attitude", Name: name + " gravity y", Unit: "m/s²", Source: src}.Near(t, g.Y, w.gy, check.Printed(1e-6))
		check.Row{Topic: "attitude", Name: name + " gravity z", Unit: "m/s²", Source: src}.Near(t, g.Z, w.gz, check.Printed(1e-6))
		s := State{Att: q}
		r, p, y := s.Euler()
		if math.Abs(r-w.r*deg)+math.Abs(p-w.p*deg)+math.Abs(y-w.y*deg) > 1e-14 {
			t.Errorf("%s comes back as %g %g %g", name, r/deg, p/deg, y/deg)
		}
		v := r3.Vec{X: 1, Y: -2, Z: 3}
		if d := r3.Norm(r3.Sub(f.Body(f.Earth(v)), v)); d > 1e-14 {
			t.Errorf("frame is not orthogonal: %g", d)
		}
		if d := r3.Norm(r3.Sub(f.Earth(v), r3.Rotation(q).Rotate(v))); d > 1e-14 {
			t.Errorf("frame differs from the library's rotation by %g", d)
		}
	}
	// Constant rate: exact exponential.
	b := body(t, 1, diagonal(1, 1, 1))
	m := NewSim()
	s := State{Att: Attitude(0.1, 0.2, 0.3), Rate: r3.Vec{X: 1, Y: -2, Z: 0.5}}
	q0, w := s.Att, s.Rate
	m.Start(b, free, 0, 0, &s, Accuracy{Rel: 1e-10, Att: 1e-10})
	m.Run(2, nil, nil)
	m.State(&s)
	n := r3.Norm(w)
	sn, cs := math.Sincos(n)
	want := quat.Mul(q0, quat.Number{Real: cs, Imag: w.X / n * sn, Jmag: w.Y / n * sn, Kmag: w.Z / n * sn})
	check.Row{Topic: "attitude", Name: "constant rate for 2 s", Source: src}.Near(t, quat.Abs(quat.Sub(s.Att, want)), 0, check.ModelAbs(1e-9, "integrator at 1e-10 a step"))
}

func TestConing(t *testing.T) {
	src := cite.Ours.At("coning motion, half angle 5°, 2 Hz", cite.Derived)
	const bb, W = 5 * deg, 2 * math.Pi * 2
	rate := func(t float64) r3.Vec {
		s, c := math.Sincos(W * t)
		h := math.Sin(bb / 2)
		return r3.Vec{X: -W * math.Sin(bb) * s, Y: W * math.Sin(bb) * c, Z: -2 * W * h * h}
	}
	r := rate(0.37)
	check.Row{Topic: "attitude", Name: "coning rate x", Unit: "rad/s", Source: src}.Near(t, r.X, 1.09307018, check.Printed(1e-8))
	check.Row{Topic: "attitude", Name: "coning rate y", Unit: "rad/s", Source: src}.Near(t, r.Y, -0.06877015, check.Printed(1e-8))
	check.Row{Topic: "attitude", Name: "coning rate z", Unit: "rad/s", Source: src}.Near(t, r.Z, -0.04781883, check.Printed(1e-8))
	// The moment that makes a sphere of unit inertia follow the coning rate,
	// with and without the third component.
	for _, keep := range []float64{1, 0} {
		b := body(t, 1, diagonal(1, 1, 1))
		torque := forceFunc(func(t float64, _ *State, _ *Frame, l *Load) {
			s, c := math.Sincos(W * t)
			l.M = r3.Vec{X: -W * W * math.Sin(bb) * c, Y: -W * W * math.Sin(bb) * s}
		})
		s := State{Att: quat.Number{Real: math.Cos(bb / 2), Imag: math.Sin(bb / 2)}, Rate: rate(0)}
		s.Rate.Z *= keep
		q0 := s.Att
		m := NewSim()
		m.Start(b, torque, 0, 0, &s, Accuracy{Rel: 1e-10, Att: 1e-11, Rate: 1e-10})
		m.Run(1, nil, nil)
		m.State(&s)
		d := quat.Mul(quat.Conj(q0), s.Att)
		turn := 2 * math.Asin(math.Sqrt(d.Imag*d.Imag+d.Jmag*d.Jmag+d.Kmag*d.Kmag)) / deg
		if keep == 1 {
			check.Row{Topic: "attitude", Name: "coning returns after two turns", Unit: "deg", Source: src}.Near(t, turn, 0, check.ModelAbs(1e-6, "integrator at 1e-11 a step"))
		} else {
			// The reference gives the dropped component itself, 2.7398; over whole
			// turns the exact drift is W(sqrt(1+sin²b)-1), as seen from axes that
			// turn with the cone.
			exact := W * (math.Sqrt(1+math.Pow(math.Sin(bb), 2)) - 1) / deg
			check.Row{Topic: "attitude", Name: "coning without the third rate, drift", Unit: "deg/s", Source: src}.Near(t, turn, exact, check.ModelAbs(1e-6, "integrator at 1e-11 a step"))
			check.Row{Topic: "attitude", Name: "coning without the third rate, drift, first order", Unit: "deg/s", Source: src}.Near(t, turn, 2.7398, check.Model(4e-3, "the reference is first order in the squared cone angle"))
		}
	}
}

func TestProjectile(t *testing.T) {
	src := cite.Ours.At("quadratic drag, relative tolerance 1e-13", cite.Derived)
	for _, w := range []struct{ m, cda, rho, v0, ang, wind, rng, time, apex, tapex, vi, gi float64 }{
		{0.145, 0.47 * math.Pi * 0.0366 * 0.0366, 1.2, 40, 45, 0, 85.51460, 4.723631, 27.63010, 2.194119, 23.47155, -59.4772},
		{0.6, 0.0018, 1.225, 30, 20, 0, 54.98454, 2.054744, 5.176854, 1.018541, 27.28421, -21.2903},
		{0.6, 0.0018, 1.225, 30, 20, -5, 53.77206, 2.048749, 5.147209, 1.014179, 26.35966, -21.9519},
		{1.0, 0.01, 1.225, 100, 45, 0, 225.59474, 8.553026, 92.48158, 3.624325, 33.77367, -71.2405},
		{1, 0, 1.2, 40, 45, 0, 163.154594, 2 * 40 * math.Sin(45*deg) / StandardGravity, 800 / 2 / StandardGravity, 40 * math.Sin(45*deg) / StandardGravity, 40, -45},
	} {
		b := body(t, w.m, diagonal(0.01, 0.01, 0.01))
		f := forceFunc(func(_ float64, s *State, f *Frame, l *Load) {
			va := r3.Sub(s.Vel, r3.Vec{X: w.wind})
			fe := r3.Scale(-0.5*w.rho*w.cda*r3.Norm(va), va)
			l.F = f.Body(fe)
			l.Power[0] = dot(fe, s.Vel)
		})
		s := level()
		s.Vel = r3.Vec{X: w.v0 * math.Cos(w.ang*deg), Z: -w.v0 * math.Sin(w.ang*deg)}
		m := NewSim()
		m.Start(b, f, StandardGravity, 0, &s, Accuracy{})
		if e := m.Run(100, guardFunc(func(_ float64, s *State, _ *Frame) (float64, int) { return -s.Vel.Z, 7 }), nil); e.Reason != Guarded || e.Which != 7 {
			t.Fatalf("no apex: %+v", e)
		}
		tol := check.Model(1e-4, "stated by the reference")
		name := fmt.Sprintf("projectile %g kg %g m/s wind %g, ", w.m, w.v0, w.wind)
		m.State(&s)
		check.Row{Topic: "projectile", Name: name + "apex", Unit: "m", Source: src}.Near(t, -s.Pos.Z, w.apex, tol)
		check.Row{Topic: "projectile", Name: name + "time of apex", Unit: "s", Source: src}.Near(t, m.T(), w.tapex, tol)
		m.Change(nil, 0)
		m.Run(100, guardFunc(func(_ float64, s *State, _ *Frame) (float64, int) { return -s.Pos.Z, 0 }), nil)
		m.State(&s)
		check.Row{Topic: "projectile", Name: name + "range", Unit: "m", Source: src}.Near(t, s.Pos.X, w.rng, tol)
		check.Row{Topic: "projectile", Name: name + "time", Unit: "s", Source: src}.Near(t, m.T(), w.time, tol)
		check.Row{Topic: "projectile", Name: name + "impact speed", Unit: "m/s", Source: src}.Near(t, r3.Norm(s.Vel), w.vi, tol)
		check.Row{Topic: "projectile", Name: name + "impact angle", Unit: "deg", Source: src}.Near(t, s.PathAngle()/deg, w.gi, tol)
		if g := m.Ledger(); math.Abs(g.Gap()) > 1e-6*g.Turnover() {
			t.Errorf("%senergy gap %g of %g", name, g.Gap(), g.Turnover())
		}
	}
}

// nelson is the light aircraft of the textbook, small perturbations from
// level flight at u0 in its own units (ft, slug, s): forces linear in the
// body-axis states, with the downwash lag folded in algebraically.
func TestModesOfALightAircraft(t *testing.T) {
	const u0, g, S, bspan, c = 176.0, 32.2, 184.0, 33.4, 5.7
	const rho, mass = 0.002378, 85.4
	const Ix, Iy, Iz = 1048.0, 3000.0, 3530.0
	q := 0.5 * rho * u0 * u0
	Xu, Xw, Zu, Zw, Mw, Mwd, Mq := -0.04509, 0.03607, -0.36972, -2.02442, -0.049967, -0.0051652, -2.07668
	Yv := q * S * -0.564 / (mass * u0)
	L := func(cl float64) float64 { return q * S * bspan * cl / Ix }
	N := func(cn float64) float64 { return q * S * bspan * cn / Iz }
	hb := bspan / (2 * u0)
	f := forceFunc(func(_ float64, s *State, f *Frame, l *Load) {
		v := f.Body(s.Vel)
		u, vy, w := v.X-u0, v.Y, v.Z
		p, qq, r := s.Rate.X, s.Rate.Y, s.Rate.Z
		wdot := Zu*u + Zw*w + u0*qq // of the linear equations
		// trim: the lift that carries the weight stays along body z
		l.F = r3.Scale(mass, r3.Vec{X: Xu*u + Xw*w, Y: Yv * vy, Z: Zu*u + Zw*w - g})
		l.M = r3.Vec{
			X: Ix * (L(-0.074)*vy/u0 + L(-0.410)*hb*p + L(0.107)*hb*r),
			Y: Iy * (Mw*w + Mwd*wdot + Mq*qq),
			Z: Iz * (N(0.071)*vy/u0 + N(-0.0575)*hb*p + N(-0.125)*hb*r),
		}
	})
	b := body(t, mass, diagonal(Ix, Iy, Iz))
	s := level()
	s.Vel.X = u0
	m := NewSim()
	m.Start(b, f, g, 0, &s, Accuracy{})
	// Linearise the full right-hand side by central differences over velocity
	// (earth), quaternion vector part and rates: twice the vector part of a
	// small quaternion is the small rotation.
	idx := []int{3, 4, 5, 7, 8, 9, 10, 11, 12}
	y0 := make([]float64, Size)
	Pack(&s, y0)
	A := mat.NewDense(9, 9, nil)
	dp, dm := make([]float64, Size), make([]float64, Size)
	for j, cj := range idx {
		h := 1e-5
		if cj < 6 {
			h = 1e-3
		}
		y := append([]float64(nil), y0...)
		y[cj] += h
		m.Derivative()(0, y, dp)
		y[cj] -= 2 * h
		m.Derivative()(0, y, dm)
		for i, ci := range idx {
			A.Set(i, j, (dp[ci]-dm[ci])/(2*h))
		}
	}
	var eig mat.Eigen
	if !eig.Factorize(A, mat.EigenNone) {
		t.Fatal("no eigenvalues")
	}
	var lam []complex128
	for _, v := range eig.Values(nil) {
		if imag(v) >= 0 && cmplx.Abs(v) > 1e-4 { // heading is neutral
			lam = append(lam, v)
		}
	}
	slices.SortFunc(lam, func(a, b complex128) int { return cmp.Compare(cmplx.Abs(a), cmplx.Abs(b)) })
	if len(lam) != 5 {
		t.Fatalf("eigenvalues %v, want spiral, phugoid, dutch roll, short period, roll", lam)
	}
	src := cite.NelsonStability.At("examples 4.3 and 5.3", cite.Memory)
	own := cite.NelsonStability.At("from the dimensional derivatives", cite.Derived)
	half := check.Model(5e-3, "stated by the reference, same derivatives")
	two := check.Model(2e-2, "the book rounds the derivatives")
	row := func(n string, got, want float64, s cite.Ref, tol check.Tol) {
		t.Helper()
		check.Row{Topic: "small-perturbation modes", Name: n, Source: s}.Near(t, got, want, tol)
	}
	sp, ph, dr := lam[3], lam[1], lam[2]
	row("short period, real", real(sp), -2.5105, own, half)
	row("short period, imaginary", imag(sp), 2.5918, own, half)
	row("short period, natural frequency", cmplx.Abs(sp), 3.6083, own, half)
	row("short period, damping", -real(sp)/cmplx.Abs(sp), 0.69576, own, half)
	row("phugoid, real", real(ph), -0.017122, own, half)
	row("phugoid, imaginary", imag(ph), 0.213061, own, half)
	row("phugoid, period", 2*math.Pi/imag(ph), 29.490, own, half)
	row("roll", real(lam[4]), -8.43486, own, half)
	row("dutch roll, real", real(dr), -0.48702, own, half)
	row("dutch roll, imaginary", imag(dr), 2.34724, own, half)
	row("spiral", real(lam[0]), -0.00820, own, check.Model(0.05, "ill-conditioned: a difference of nearly equal products"))
	row("short period, real, printed", real(sp), -2.51, src, two)
	row("short period, imaginary, printed", imag(sp), 2.59, src, two)
	row("phugoid, real, printed", real(ph), -0.0171, src, two)
	row("phugoid, imaginary, printed", imag(ph), 0.213, src, two)
	row("roll, printed", real(lam[4]), -8.435, src, two)
	row("dutch roll, real, printed", real(dr), -0.487, src, two)
	row("dutch roll, imaginary, printed", imag(dr), 2.335, src, two)
	row("spiral, printed", real(lam[0]), -0.00877, src, check.Model(0.10, "spiral root is ill-conditioned"))
	if lan := math.Pi * math.Sqrt2 * u0 / g; lan >= 2*math.Pi/imag(ph) {
		t.Errorf("Lanchester's period %g should be shorter than the phugoid's", lan)
	}
}

func TestCoordinatedTurn(t *testing.T) {
	src := cite.Ours.At("R = V²/(g tan bank), testdata/ref/flight-turn.csv", cite.Derived)
	m := NewSim()
	b := body(t, 0.6, diagonal(0.006, 0.010, 0.0155))
	for _, row := range check.CSV(t, check.RefFile("flight-turn.csv")) {
		V, bank := check.Number(t, row, "V_m_s"), check.Number(t, row, "bank_deg")*deg
		R, rate, period := check.Number(t, row, "radius_m"), check.Number(t, row, "rate_deg_s")*deg, check.Number(t, row, "period_s")
		n := 1 / math.Cos(bank)
		check.Row{Topic: "turn", Name: fmt.Sprintf("%g m/s, bank %.0f°: turn rate", V, bank/deg), Unit: "deg/s", Source: src}.
			Near(t, StandardGravity*math.Tan(bank)/V/deg, rate/deg, check.Printed(1e-4))
		rate = StandardGravity * math.Tan(bank) / V
		w := r3.Vec{Y: rate * math.Sin(bank), Z: rate * math.Cos(bank)}
		lift := forceFunc(func(_ float64, s *State, _ *Frame, l *Load) {
			l.F = r3.Vec{Z: -n * b.Mass * StandardGravity}
			l.M = cross(w, b.Momentum(w)) // holds the rates
		})
		s := State{Vel: r3.Vec{X: V}, Att: Attitude(bank, 0, 0), Rate: w}
		m.Start(b, lift, StandardGravity, 0, &s, Accuracy{})
		m.Run(period/2, nil, nil)
		m.State(&s)
		name := fmt.Sprintf("%g m/s, bank %.0f°: ", V, bank/deg)
		tol := check.Model(2e-5, "table printed to 5-6 digits")
		check.Row{Topic: "turn", Name: name + "radius", Unit: "m", Source: src}.Near(t, s.Pos.Y/2, R, tol)
		check.Row{Topic: "turn", Name: name + "load factor", Source: src}.Near(t, n, check.Number(t, row, "n"), check.Printed(1e-5))
		m.Run(period, nil, nil)
		m.State(&s)
		check.Row{Topic: "turn", Name: name + "closes after a period", Unit: "m", Source: src}.Near(t, math.Hypot(s.Pos.X, s.Pos.Y)/R, 0, check.ModelAbs(2e-4, "period printed to 4 decimals"))
		check.Row{Topic: "turn", Name: name + "stays level", Unit: "m", Source: src}.Near(t, s.Pos.Z, 0, check.ModelAbs(1e-4, "integrator: 1e-5 m a step"))
	}
}

func TestBouncingBall(t *testing.T) {
	src := cite.Ours.At("drop of 2.0 m, restitution 0.8", cite.Derived)
	b := body(t, 0.1, diagonal(1e-4, 1e-4, 1e-4))
	s := level()
	s.Pos.Z = -2
	m := NewSim()
	m.Start(b, free, StandardGravity, 0, &s, Accuracy{})
	floor := guardFunc(func(_ float64, s *State, _ *Frame) (float64, int) { return -s.Pos.Z, 0 })
	for i, want := range []float64{0.638659914, 1.660515775, 2.478000465, 3.131988216, 3.655178417} {
		if e := m.Run(10, floor, nil); e.Reason != Guarded {
			t.Fatalf("ended %+v", e)
		}
		check.Row{Topic: "events", Name: fmt.Sprintf("bounce %d", i+1), Unit: "s", Source: src}.Near(t, m.T(), want, check.ModelAbs(1e-6, "stated by the reference"))
		m.State(&s)
		s.Vel.Z *= -0.8
		s.Pos.Z = 0
		m.Change(&s, 0)
	}
	if g := m.Ledger(); math.Abs(g.Gap()) > 1e-6*g.Turnover() {
		t.Errorf("energy gap %g of %g", g.Gap(), g.Turnover())
	}
}

// A pendulum on a tether whose end has no inertia of its own, and one whose
// line carries mass: an anchored mass on a spring, with the added mass solved
// for in closed form, against the same system with the mass put on the body.
func TestTether(t *testing.T) {
	spring := func(k, x0, madd float64) Forces {
		return forceFunc(func(_ float64, s *State, f *Frame, l *Load) {
			L := r3.Norm(s.Pos)
			l.Tether = Tether{On: true, At: r3.Vec{}, Dir: r3.Scale(-1/L, s.Pos), Length: L, Pull: k * (L - x0), Mass: madd}
		})
	}
	// One dimension: motion along the line is that of mass m + madd.
	s := level()
	s.Pos.X = -5
	m := NewSim()
	b := body(t, 0.6, diagonal(0.01, 0.01, 0.01))
	m.Start(b, spring(10, 1, 0.1), 0, 0, &s, Accuracy{Rel: 1e-10, Pos: 1e-9, Vel: 1e-9})
	m.Run(0.3, nil, nil)
	m.State(&s)
	w := math.Sqrt(10 / 0.7)
	check.Row{Topic: "tether", Name: "added mass along the line", Unit: "m", Source: cite.Ours.At("x = x0 + A cos wt with w² = k/(m + added)", cite.Derived)}.
		Near(t, s.Pos.X, -(1 + 4*math.Cos(w*0.3)), check.ModelAbs(1e-8, "integrator"))
	// Off-centre point: the line's inertia must act through the lever. The
	// total energy, the line's own 1/2 madd L'^2 included, is conserved.
	at := r3.Vec{X: 0.05, Y: 0.01, Z: 0.03}
	const madd, k, x0 = 0.2, 12.0, 2.0
	f := forceFunc(func(_ float64, s *State, f *Frame, l *Load) {
		p := r3.Add(s.Pos, f.Earth(at))
		L := r3.Norm(p)
		l.Tether = Tether{On: true, At: at, Dir: r3.Scale(-1/L, p), Length: L, Pull: k * (L - x0), Mass: madd}
	})
	s = State{Pos: r3.Vec{X: -5, Y: 0.3, Z: -1}, Vel: r3.Vec{Y: 2, Z: -1}, Att: Attitude(0.2, 0.3, -0.1), Rate: r3.Vec{X: 0.5, Y: 1, Z: -0.7}}
	b = body(t, 0.6, [3][3]float64{{0.02, -0.001, 0.0005}, {-0.001, 0.03, 0.0007}, {0.0005, 0.0007, 0.045}})
	energy := func(s *State) float64 {
		fr := FrameOf(s.Att)
		p := r3.Add(s.Pos, fr.Earth(at))
		v := r3.Add(s.Vel, fr.Earth(cross(s.Rate, at)))
		L := r3.Norm(p)
		ld := dot(v, p) / L
		return b.Kinetic(s) - b.Mass*StandardGravity*s.Pos.Z + 0.5*k*(L-x0)*(L-x0) + 0.5*madd*ld*ld
	}
	e0 := energy(&s)
	m.Start(b, f, StandardGravity, 0, &s, Accuracy{Rel: 1e-10, Pos: 1e-9, Vel: 1e-9, Rate: 1e-9, Att: 1e-10})
	m.Run(0.6, nil, nil)
	m.State(&s)
	check.Row{Topic: "tether", Name: "energy with line inertia, off-centre hook", Unit: "J", Source: cite.Ours.At("conservation", cite.Derived)}.
		Near(t, energy(&s), e0, check.Model(1e-8, "integrator at 1e-10 a step"))
	if g := m.Ledger(); math.Abs(g.Gap()) > 1e-8*g.Turnover() {
		t.Errorf("ledger gap %g of %g", g.Gap(), g.Turnover())
	}
}

func TestGuideHoldsAndSlides(t *testing.T) {
	const mu = 0.4
	b := body(t, 0.6, diagonal(0.006, 0.010, 0.0155))
	push := 0.0
	f := forceFunc(func(_ float64, _ *State, _ *Frame, l *Load) {
		l.F = r3.Vec{X: push}
		l.Guide = Guide{On: true, Dir: r3.Vec{X: 1}, Friction: mu}
		l.Power[0] = 0
	})
	m := NewSim()
	s := level()
	push = 0.99 * mu * 0.6 * StandardGravity
	m.Start(b, f, StandardGravity, 0, &s, Accuracy{})
	m.Run(2, nil, nil)
	m.State(&s)
	if s.Pos.X != 0 || s.Vel.X != 0 {
		t.Errorf("moved to %g below the friction", s.Pos.X)
	}
	push = 2 * mu * 0.6 * StandardGravity
	s = level()
	m.Start(b, f, StandardGravity, 0, &s, Accuracy{})
	m.Run(2, nil, nil)
	m.State(&s)
	check.Row{Topic: "tether", Name: "rail with friction, speed after 2 s", Unit: "m/s", Source: cite.Ours.At("v = mu g t", cite.Derived)}.
		Near(t, s.Vel.X, mu*StandardGravity*2, check.Exact(100))
}

func TestImpossibleBodies(t *testing.T) {
	for name, c := range map[string]struct {
		m float64
		i [3][3]float64
	}{
		"no mass":            {0, diagonal(1, 1, 1)},
		"NaN mass":           {math.NaN(), diagonal(1, 1, 1)},
		"infinite mass":      {math.Inf(1), diagonal(1, 1, 1)},
		"negative moment":    {1, diagonal(1, -1, 1)},
		"no moment":          {1, diagonal(0, 0, 0)},
		"not symmetric":      {1, [3][3]float64{{1, 0.2, 0}, {0, 1, 0}, {0, 0, 1}}},
		"triangle broken":    {1, diagonal(1, 1, 3)},
		"products too large": {1, [3][3]float64{{1, 0.9, 0.9}, {0.9, 1, -0.9}, {0.9, -0.9, 1}}},
		"NaN moment":         {1, diagonal(1, math.NaN(), 1)},
	} {
		if _, ok := NewBody(c.m, c.i); ok {
			t.Errorf("%s: accepted", name)
		}
	}
	if _, ok := NewBody(1, diagonal(1, 1, 2)); !ok {
		t.Error("a flat plate is a body")
	}
}

func TestBrokenRunSaysSo(t *testing.T) {
	b := body(t, 1, diagonal(1, 1, 1))
	bad := forceFunc(func(t float64, _ *State, _ *Frame, l *Load) {
		if t > 0.5 {
			l.F.X = math.NaN()
		}
	})
	s := level()
	m := NewSim()
	m.Start(b, bad, 9.8, 0, &s, Accuracy{})
	if e := m.Run(1, nil, nil); e.Reason != Broken || e.T > 0.51 {
		t.Errorf("ended %+v", e)
	}
	if e := func() (e End) {
		m.Start(b, free, 9.8, 0, &s, Accuracy{})
		return m.Run(1, nil, func(m *Sim) bool { return m.T() < 0.2 })
	}(); e.Reason != Halted || e.Which != -1 {
		t.Errorf("ended %+v", e)
	}
}

func TestNoAllocation(t *testing.T) {
	b := body(t, 0.6, diagonal(0.006, 0.010, 0.0155))
	m := NewSim()
	floor := guardFunc(func(_ float64, s *State, _ *Frame) (float64, int) { return -s.Pos.Z, 0 })
	var f Forces = free
	var g Guard = floor
	see := func(*Sim) bool { return true }
	s := level()
	s.Pos.Z = -2
	s.Rate = r3.Vec{X: 0.5, Y: 3, Z: 0.2}
	m.Start(b, f, StandardGravity, 0, &s, Accuracy{})
	m.Run(10, g, see)
	if n := testing.AllocsPerRun(20, func() {
		m.Start(b, f, StandardGravity, 0, &s, Accuracy{})
		m.Run(10, g, see)
		_ = m.Ledger()
	}); n != 0 {
		t.Errorf("%g allocations a run", n)
	}
}

func BenchmarkRightHandSide(b *testing.B) {
	bd := body(b, 0.6, diagonal(0.006, 0.010, 0.0155))
	m := NewSim()
	s := level()
	m.Start(bd, free, StandardGravity, 0, &s, Accuracy{})
	y, d := make([]float64, Size), make([]float64, Size)
	Pack(&s, y)
	f := m.Derivative()
	for b.Loop() {
		f(0, y, d)
	}
}
