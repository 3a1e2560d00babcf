package launch

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// linearCord is a cord that pulls k x: for closed forms only.
func linearCord(k, mass float64) *Cord {
	c := &Cord{Slack: 20, Mass: mass, Tested: math.Inf(1)}
	c.fill(30, func(x float64) (w, f, kk float64) { return 0.5 * k * x * x, k * x, k })
	return c
}

// dragOnly is air that only resists.
type dragOnly struct{ area float64 }

func (dragOnly) Stick(_, _, _ float64) (a, b, c float64) { return }
func (d dragOnly) Eval(f *Flow, _ *AeroFactors, out *Loads) {
	q := 0.5 * f.Rho * f.V * f.V * d.area
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	*out = Loads{F: r3.Vec{X: -q * ca * cb, Y: -q * sb, Z: -q * sa * cb}}
}

// constant thrust.
type constant float64

func (c constant) At(_, _ float64, _ *PowerFactors) Point { return Point{Thrust: float64(c)} }
func (constant) Stopped(float64) float64                  { return 0 }

// straight is a launch along a straight rail through the real code: no air,
// hook in the centre of gravity, line along the rail.
func straight(m, k, x0, mu, thrust, slope, mc float64) Setup {
	s := Defaults()
	s.Mass = m
	s.Inertia = [3][3]float64{{0.01, 0, 0}, {0, 0.01, 0}, {0, 0, 0.01}}
	s.Hold, s.Ramp, s.RampFriction = OnRamp, 1000, mu
	s.Height, s.StakeHeight = 1, 1
	s.Slope, s.NoseUp = slope, slope
	s.Cord = linearCord(k, mc)
	s.Returned = 1
	s.Stretch = x0
	s.LineLength = 40
	s.RingMass, s.LineMass = 0, 0
	s.Hook = Hook{Rake: 0, Friction: 0.2, Depth: 0.01}
	if thrust != 0 {
		s.Motor, s.MotorDelay, s.Spool = constant(thrust), -1, 0
	}
	s.Accuracy = Fine
	return s
}

func TestSpringLaunchClosedForm(t *testing.T) {
	w := NewWorkspace()
	src := cite.Ours.At("spring launch along a straight line, reference flight 3.3", cite.Derived)
	tol := check.Model(1e-6, "stated by the reference")
	for _, c := range []struct {
		name                          string
		m, mu, thrust, slope, mc, vel float64
		t, a                          float64
	}{
		{"L1", 0.6, 0, 0, 0, 0, 40.824829, 0.384764949, 16.99527},
		{"L2", 0.6, 0.3, 0, 0, 0, 40.097715, 0.389166714, 16.69527},
		{"L3", 0.6, 0.3, 0, 0, 0.3, 37.123271, 0.420348093, 14.31023},
		{"L4", 0.6, 0, 5, 10, 0, 42.417864, 0.375390801, 17.67139},
		{"L5", 1.2, 0.4, 0, 0, 0, 27.475082, 0.561258446, 8.09764},
	} {
		s := straight(c.m, 10, 10, c.mu, c.thrust, c.slope*degree, c.mc)
		o := Run(&s, w)
		check.Row{Topic: "spring launch", Name: c.name + " speed at slack", Unit: "m/s", Source: src}.Near(t, o.SlackSpeed, c.vel, tol)
		check.Row{Topic: "spring launch", Name: c.name + " time of slack", Unit: "s", Source: src}.Near(t, o.SlackAt, c.t, tol)
		var st motion.State
		if !w.begin(&s, &st) {
			t.Fatal("cannot begin")
		}
		w.sim.Start(&w.body, w, s.Gravity, 0, &st, s.Accuracy)
		a := r3.Norm(w.sim.Ask(0, &st).Accel) / motion.StandardGravity
		check.Row{Topic: "spring launch", Name: c.name + " first acceleration", Unit: "g", Source: src}.Near(t, a, c.a, tol)
		if g := o.Ledger; math.Abs(g.Gap()) > 1e-6*g.Turnover() {
			t.Errorf("%s: ledger gap %g of %g", c.name, g.Gap(), g.Turnover())
		}
	}
	// Event location of 2.8: the instant does not move when steps are halved.
	s := straight(0.6, 10, 10, 0.3, 0, 0, 0)
	s.Accuracy.MaxStep = 0.01
	a := Run(&s, w)
	s.Accuracy.MaxStep = 0.005
	b := Run(&s, w)
	check.Row{Topic: "events", Name: "slack of a spring launch", Unit: "s", Source: src}.Near(t, a.SlackAt, 0.389166714, check.ModelAbs(1e-6, "stated by the reference"))
	check.Row{Topic: "events", Name: "slack of a spring launch, step halved, moves", Unit: "s", Source: src}.Near(t, b.SlackAt-a.SlackAt, 0, check.ModelAbs(1e-6, "stated by the reference"))

	for _, c := range []struct{ c, v float64 }{{0.00275625, 38.881847}, {0.0055125, 37.711459}} {
		s := straight(0.6, 10, 10, 0.3, 0, 0, 0)
		s.Aero = dragOnly{2 * c.c / s.Rho}
		o := Run(&s, w)
		check.Row{Topic: "spring launch", Name: fmt.Sprintf("L2 with drag %g v²", c.c), Unit: "m/s", Source: src}.Near(t, o.SlackSpeed, c.v, tol)
	}
	for i, m := range []float64{0.4, 0.6, 0.8, 1.0, 1.2} {
		s := straight(m, 6, 6, 0.4, 0, 0, 0)
		o := Run(&s, w)
		name := fmt.Sprintf("k 6, 6 m, mass %g, ", m)
		v := []float64{22.2020, 17.6898, 14.9308, 12.9972, 11.5294}[i]
		vs := []float64{9.1797, 11.2428, 12.9821, 14.5144, 15.8998}[i]
		check.Row{Topic: "spring launch", Name: name + "speed", Unit: "m/s", Source: src}.Near(t, o.SlackSpeed, v, check.Printed(1e-4))
		st := math.Sqrt(2 * m * motion.StandardGravity / (1.225 * 0.08 * 0.95))
		check.Row{Topic: "spring launch", Name: name + "stall speed", Unit: "m/s", Source: src}.Near(t, st, vs, check.Printed(1e-4))
		check.Row{Topic: "spring launch", Name: name + "over stall", Source: src}.Near(t, o.SlackSpeed/st, []float64{2.419, 1.573, 1.150, 0.895, 0.725}[i], check.Printed(1e-3))
	}
}

// A hand throw with nothing but drag is the projectile of reference 2.4.
func TestThrowIsAProjectile(t *testing.T) {
	w := NewWorkspace()
	src := cite.Ours.At("quadratic drag, reference flight 2.4", cite.Derived)
	tol := check.Model(1e-4, "stated by the reference; the last 0.1 m of the arc fallen freely")
	for _, c := range []struct{ m, cda, rho, v, ang, wind, rng, time, vi, gi float64 }{
		{0.145, 0.00197793, 1.2, 40, 45, 0, 85.51460, 4.723631, 23.47155, -59.4772},
		{0.6, 0.0018, 1.225, 30, 20, 0, 54.98454, 2.054744, 27.28421, -21.2903},
	} {
		s := Defaults()
		s.Way = Hand
		s.Mass, s.Inertia = c.m, [3][3]float64{{0.01, 0, 0}, {0, 0.01, 0}, {0, 0, 0.01}}
		s.Rho = c.rho
		s.Aero = dragOnly{c.cda}
		s.Speed, s.PathUp = c.v, c.ang*degree
		s.Height = 1e-9
		s.Rule = Rule{After: 100, Distance: 1e9, Until: 100, Stalled: 100}
		s.Accuracy = Fine
		o := Run(&s, w)
		if o.Class != GroundAfterRelease {
			t.Fatalf("ended %v", o.Class)
		}
		name := fmt.Sprintf("throw of %g kg at %g m/s, ", c.m, c.v)
		check.Row{Topic: "projectile", Name: name + "range", Unit: "m", Source: src}.Near(t, o.AtEnd.Along, c.rng, tol)
		check.Row{Topic: "projectile", Name: name + "time", Unit: "s", Source: src}.Near(t, o.T, c.time, tol)
		check.Row{Topic: "projectile", Name: name + "impact speed", Unit: "m/s", Source: src}.Near(t, o.AtEnd.Speed, c.vi, tol)
		check.Row{Topic: "projectile", Name: name + "impact angle", Unit: "deg", Source: src}.Near(t, o.AtEnd.Path/degree, c.gi, tol)
	}
}

// The ring leaves the hook where the closed form says.
func TestRingLeavesAtTheAngle(t *testing.T) {
	w := NewWorkspace()
	for _, rake := range []float64{70, 78, 85} {
		s := trainer()
		s.Hook.Rake = rake * degree
		s.Hook.At = r3.Vec{X: 0.27, Z: -0.035}
		s.StickPitch = 0.5
		s.Accuracy = Fine
		o := Run(&s, w)
		if o.By != SlidOff {
			t.Errorf("rake %g: %s", rake, o.Sentence())
			continue
		}
		check.Row{Topic: "hook and ring", Name: fmt.Sprintf("flown: line angle at release, rake %g°", rake), Unit: "deg", Source: cite.Ours.At("beta + delta = 90° + phi, side angle small", cite.Derived)}.
			Near(t, o.AtRelease.LineAngle/degree, s.Hook.SlideAngle()/degree, check.ModelAbs(0.01, "event located to 1e-8 s"))
	}
}
