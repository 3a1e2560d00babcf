package launch

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// turning is a motor at a fixed point.
type turning struct{ thrust, torque, omega float64 }

func (m turning) At(_, _ float64, _ *PowerFactors) Point {
	return Point{Thrust: m.thrust, Torque: m.torque, Omega: m.omega}
}
func (turning) Stopped(float64) float64 { return 0 }

func loadAt(s *Setup, w *Workspace, st motion.State, t float64) motion.Load {
	var start motion.State
	if !w.begin(s, &start) {
		panic("cannot begin")
	}
	w.sim.Start(&w.body, w, s.Gravity, 0, &start, s.Accuracy)
	return *w.sim.Ask(t, &st)
}

func TestPropellerMoments(t *testing.T) {
	w := NewWorkspace()
	src := cite.Ours.At("torque P/omega and gyroscopic moment J omega q, reference flight 7.5", cite.Derived)
	omega := 20000 * 2 * math.Pi / 60
	s := Defaults()
	s.Way, s.Speed, s.Height = Hand, 10, 5
	s.Mass, s.Inertia = 0.6, [3][3]float64{{0.01, 0, 0}, {0, 0.01, 0}, {0, 0, 0.015}}
	s.Motor = turning{0, 500 / omega, omega}
	s.Prop.Inertia, s.Prop.Turn = 2e-5, 1
	s.MotorDelay, s.Spool = -1, 0
	st := motion.State{Att: motion.Attitude(0, 0, 0), Pos: r3.Vec{Z: -5}, Rate: r3.Vec{Y: 2}}
	l := loadAt(&s, w, st, 1)
	check.Row{Topic: "propeller moments", Name: "torque of 500 W at 20000 rpm on the airframe, rolls left", Unit: "N m", Source: src}.Near(t, l.M.X, -0.23873, check.Printed(1e-5))
	check.Row{Topic: "propeller moments", Name: "gyroscopic moment at 2 rad/s nose-up, yaws right", Unit: "N m", Source: src}.Near(t, l.M.Z, 0.083776, check.Printed(1e-6))
	s.Prop.Turn = -1
	l = loadAt(&s, w, st, 1)
	if math.Abs(l.M.X-0.23873) > 1e-5 || math.Abs(l.M.Z+0.083776) > 1e-6 {
		t.Errorf("left-hand propeller: %v", l.M)
	}
	// Thrust line: 10 N pulled 2 cm above the c.g. pushes the nose down; three
	// degrees of down thrust at an arm of 0.3 m push it down too.
	s.Motor = turning{10, 0, 0}
	s.CG = r3.Vec{X: 0.3}
	s.Prop.At = r3.Vec{X: 0, Z: 0.02}
	st.Rate = r3.Vec{}
	l = loadAt(&s, w, st, 1)
	check.Row{Topic: "propeller moments", Name: "thrust 2 cm above the c.g.", Unit: "N m", Source: src}.Near(t, l.M.Y, -0.2, check.Exact(1000))
	s.Prop.At.Z, s.Prop.Down = 0, 3*degree
	l = loadAt(&s, w, st, 1)
	check.Row{Topic: "propeller moments", Name: "3° of down thrust 0.3 m ahead", Unit: "N m", Source: src}.Near(t, l.M.Y, -10*math.Sin(3*degree)*0.3, check.Exact(1000))
	// Spool-up adds the rotor's own acceleration to the torque.
	s.Prop.Down = 0
	s.Motor = turning{0, 0, omega}
	s.Spool, s.MotorDelay, s.Prop.Inertia, s.Prop.Turn = 0.4, 0, 2e-5, 1
	l = loadAt(&s, w, st, 0)
	if l.M.X != 0 {
		t.Errorf("torque %g before it turns", l.M.X)
	}
}

// The tether's tension on a free body matches what an explicit mass on the
// line would feel; here: at the start of a pull straight ahead.
func TestFirstTension(t *testing.T) {
	s := good()
	s.Aero, s.Motor = nil, nil
	s.FlagDrag, s.LineDiameter = 0, 0
	w := NewWorkspace()
	var st motion.State
	w.begin(&s, &st)
	w.sim.Start(&w.body, w, s.Gravity, 0, &st, s.Accuracy)
	l := *w.sim.Ask(0, &st)
	f, _, _ := s.Cord.At(s.Stretch)
	me := s.Cord.Mass/3 + s.LineMass
	// acceleration of the hook towards the stake from Newton on the line end
	fr := motion.FrameOf(st.Att)
	hook := r3.Add(l.Accel, fr.Earth(cross(l.Turn, w.hook)))
	a := dot(hook, l.Tether.Dir)
	check.Row{Topic: "tether", Name: "held pull less tension is the line's mass times its acceleration", Unit: "N", Source: cite.Ours.At("Newton's law on the moving end", cite.Derived)}.
		Near(t, f-l.Tension, me*a, check.Model(1e-12, "closed form"))
}

func TestGrassRampCradle(t *testing.T) {
	w := NewWorkspace()
	// On the grass: slides, lifts, flies.
	s := good()
	s.Hold, s.NoseUp, s.Stretch = OnGrass, 4*degree, 10
	s.StickPitch = 0.25
	s.Record = 0.02
	o := Run(&s, w)
	if o.Class == NeverLeft || o.Class == NoResult {
		t.Fatalf("grass: %s", o.Sentence())
	}
	rows := w.Trajectory().Rows
	if rows[0].Lowest > 1e-9 || rows[0].Lowest < -1e-9 {
		t.Errorf("lies at %g m", rows[0].Lowest)
	}
	for _, r := range rows {
		if r.Lowest < -0.05 {
			t.Fatalf("sinks %g m into the ground at %g s", r.Lowest, r.T)
		}
	}
	if g := o.Ledger; math.Abs(g.Gap()) > 1e-3*g.Turnover() {
		t.Errorf("grass: ledger gap %g of %g", g.Gap(), g.Turnover())
	}
	if o.Ledger.In[3] >= 0 {
		t.Errorf("the ground took %g J", -o.Ledger.In[3])
	}
	// More grip, slower off.
	slick := s
	slick.GrassGrip = 0.1
	a := Run(&slick, w)
	rough := s
	rough.GrassGrip = 0.9
	b := Run(&rough, w)
	if a.Released && b.Released && !(b.AtRelease.Speed < a.AtRelease.Speed) {
		t.Errorf("rough grass releases at %g, slick at %g", b.AtRelease.Speed, a.AtRelease.Speed)
	}

	// On a ramp: guided for its length, then free, attitude kept.
	r := good()
	r.Hold, r.Ramp, r.RampFriction, r.Height, r.NoseUp = OnRamp, 1.5, 0.2, 0.5, 12*degree
	r.Record = 0.01
	o = Run(&r, w)
	guided := 0.0
	for _, q := range w.Trajectory().Rows {
		if q.OnRail {
			guided = math.Hypot(q.Pos.X, q.Pos.Z+0.5)
			if math.Abs(q.Pitch-12*degree) > 1e-9 || math.Abs(q.Path-12*degree) > 1e-9 && q.T > 0 {
				t.Fatalf("turned on the rail: pitch %g path %g", q.Pitch/degree, q.Path/degree)
			}
		}
	}
	if math.Abs(guided-1.5) > 0.2 {
		t.Errorf("left the rail after %g m: %s", guided, o.Sentence())
	}
	if g := o.Ledger; math.Abs(g.Gap()) > 1e-3*g.Turnover() {
		t.Errorf("ramp: ledger gap %g of %g", g.Gap(), g.Turnover())
	}
	// A cradle is a hand that gives no rates.
	c := good()
	c.Hold = InCradle
	h := good()
	x, y := Run(&c, w), Run(&h, w)
	if x.T != y.T {
		t.Errorf("cradle %g, hand %g", x.T, y.T)
	}
}

func TestDamper(t *testing.T) {
	w := NewWorkspace()
	bank := func(d float64) float64 {
		s := good()
		s.Damper = d
		s.RateP = 1.5
		o := Run(&s, w)
		if !o.Released {
			t.Fatal(o.Sentence())
		}
		return math.Abs(o.AtRelease.Bank)
	}
	a, b, c := bank(0), bank(0.1), bank(0.3)
	if !(c < b && b < a) {
		t.Errorf("bank at release %g, %g, %g with more damping", a/degree, b/degree, c/degree)
	}
}

// streamTape listens to what the airframe is told of the propeller.
type streamTape struct {
	Airframe
	on, off, wrong int
	most           float64
}

func (r *streamTape) Eval(f *Flow, k *AeroFactors, out *Loads) {
	if f.PropOn {
		r.on++
	} else {
		r.off++
		if f.Thrust != 0 {
			r.wrong++
		}
	}
	r.most = max(r.most, f.Thrust)
	r.Airframe.Eval(f, k, out)
}

func TestSlipstreamAndMotorDelay(t *testing.T) {
	w := NewWorkspace()
	s := good()
	s.MotorDelay = 0.2
	s.Accuracy = Fine
	a := Run(&s, w)
	// The airframe is told of the running propeller, and only of that.
	air := &streamTape{Airframe: s.Aero}
	s.Aero = air
	b := Run(&s, w)
	s.Aero = air.Airframe
	if a.AtEnd.Pitch != b.AtEnd.Pitch || a.AtEnd.Speed != b.AtEnd.Speed {
		t.Error("a tape that listens changes the launch")
	}
	if air.off == 0 || air.on == 0 || air.wrong != 0 || !(air.most > 3) {
		t.Errorf("%d evaluations with the propeller still, %d turning, %d turning before its time or still with thrust; most thrust %g", air.off, air.on, air.wrong, air.most)
	}
	s.MotorDelay = 1.5
	c := Run(&s, w)
	if !(c.Ledger.In[1] < a.Ledger.In[1]) {
		t.Errorf("a later motor gave %g J, an earlier one %g J", c.Ledger.In[1], a.Ledger.In[1])
	}
	// running since let go
	s.MotorDelay = -0.1
	s.Prop.Radius = 0.02 // clear of the line
	d := Run(&s, w)
	if !(d.AtRelease.Speed > a.AtRelease.Speed) {
		t.Errorf("motor on the line: %g m/s at release, without %g", d.AtRelease.Speed, a.AtRelease.Speed)
	}
}

func TestStuckRing(t *testing.T) {
	// Friction and burrs only ever lower the odds; a hook that must be pulled
	// off needs a nose-up line.
	base := trainer()
	base.Hook = Hook{At: r3.Vec{X: 0.2, Z: -0.02}, Rake: 10 * degree, Friction: 0.2, Depth: 0.008}
	base.StickPitch, base.Stretch = 0.05, 8.5
	base.FlagDrag, base.LineDiameter = 0, 1e-4 // nothing blows the ring off
	last := 2.0
	for _, mu := range []float64{0.1, 0.3, 0.5, 0.8, 1.2} {
		s := base
		s.Hook.Friction = mu
		odds, _ := share(s, 128, 2)
		if odds > last+0.02 {
			t.Errorf("friction %g raises the odds to %.2f from %.2f", mu, odds, last)
		}
		last = odds
	}
	if last > 0.5 {
		t.Errorf("a rusty straight hook still has odds %.2f", last)
	}
	first, _ := share(base, 128, 2)
	base.Hook.Burr = 60 * degree
	odds, classes := share(base, 128, 2)
	if odds > first || classes[HookNotReleased] == 0 {
		t.Errorf("a burr of 60°: odds %.2f from %.2f, %v", odds, first, classes)
	}
}

func TestBackRelease(t *testing.T) {
	w := NewWorkspace()
	s := good()
	s.Hook.Rake, s.Hook.Friction = 0, 1.2
	s.LineLength, s.FlagDrag, s.LineDiameter = 8, 0, 1e-4
	o := Run(&s, w)
	if o.Class != HookNotReleased {
		t.Fatalf("%s", o.Sentence())
	}
	s.BackRelease = true
	s.Rule.Wait = 12
	s.StickPitch = 0.12
	o = Run(&s, w)
	if !o.Released || o.By != PulledBack {
		t.Fatalf("allowed: %s", o.Sentence())
	}
	if o.AtRelease.Along < w.stake.X {
		t.Errorf("pulled back before the stake: %g of %g", o.AtRelease.Along, w.stake.X)
	}
}

// What may be set at the field stays inside what gear and structure allow.
func TestLevers(t *testing.T) {
	base := trainer()
	base.Hook.At = r3.Vec{X: 0.27, Z: -0.035}
	base.Stretch, base.MaxTension = 6.5, 160
	stretch := false
	for _, l := range base.Levers(2) {
		if !(l.Low < l.High) {
			t.Errorf("%s: from %g to %g", l.Path, l.Low, l.High)
		}
		s := base
		if l.Set(&s, l.High); l.Get(&s) != l.High {
			t.Errorf("%s: set to %g, read %g", l.Path, l.High, l.Get(&s))
		}
		if l.Path == "launch.bungee.stretch" {
			stretch = true
			if f, _, _ := base.Cord.At(l.High); f > 80+1e-6 {
				t.Errorf("stretch allowed to %g m, %g N of 160/2", l.High, f)
			}
		}
	}
	if !stretch {
		t.Error("the stretch cannot be set")
	}
}

// A ring on a slack line in still air falls when rake + pitch exceeds the
// friction angle, wings level; air on line and flag blows it off earlier.
func TestSlackRingFalls(t *testing.T) {
	w := NewWorkspace()
	s := good()
	s.Wind = windOf(0)
	s.Hook.Rake, s.Hook.Friction = 5*degree, 0.3
	var st motion.State
	w.begin(&s, &st)
	margin := func(pitch, speed float64) float64 {
		q := motion.State{Att: motion.Attitude(0, pitch, 0), Pos: r3.Vec{Z: -3}, Vel: r3.Vec{X: speed * math.Cos(pitch), Z: -speed * math.Sin(pitch)}}
		f := motion.FrameOf(q.Att)
		p := w.ringPull(&q, &f)
		return w.sinGrip*r3.Norm(p) - dot(p, w.pin)
	}
	lo, hi := -20*degree, 60*degree
	for range 60 {
		m := (lo + hi) / 2
		if margin(m, 0) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	check.Row{Topic: "hook and ring", Name: "pitch at which a slack ring falls, in the launch", Unit: "deg", Source: cite.Ours.At("beta + pitch > phi", cite.Derived)}.
		Near(t, lo/degree, s.Hook.FallPitch()/degree, check.ModelAbs(1e-9, "bisection"))
	if margin(lo-0.05, 0) < 0 || margin(lo-0.05, 15) > 0 {
		t.Error("the air on the line does not help the ring off")
	}
}
