package aero

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/section"
	"fledge/internal/wing"
)

func angles(from, to, step float64, f func(float64)) {
	for a := from; a <= to+1e-9; a += step {
		f(a * deg)
	}
}

// The mirrored flow makes the mirrored loads.
func TestMirror(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		rapid.Check(t, func(rt *rapid.T) {
			d := func(name string, a float64) float64 { return rapid.Float64Range(-a, a).Draw(rt, name) }
			f := Flow{
				V: rapid.Float64Range(0, 60).Draw(rt, "V"), Alpha: d("alpha", math.Pi), Beta: d("beta", math.Pi),
				P: d("p", 10), Q: d("q", 10), R: d("r", 10), Pitch: d("pitch", 0.6), Roll: d("roll", 0.6), Yaw: d("yaw", 0.6),
				Height: rapid.Float64Range(0.05, 3).Draw(rt, "h"), Rho: 1.2, Mu: 1.8e-5,
			}
			g := f
			g.Beta, g.P, g.R, g.Roll, g.Yaw = -f.Beta, -f.P, -f.R, -f.Roll, -f.Yaw
			var a, b Loads
			m.Eval(&f, &k, &a)
			m.Eval(&g, &k, &b)
			tol := 1e-9 * (1 + f.V*f.V)
			for _, e := range []float64{a.F.X - b.F.X, a.F.Y + b.F.Y, a.F.Z - b.F.Z, a.M.X + b.M.X, a.M.Y - b.M.Y, a.M.Z + b.M.Z} {
				if !(math.Abs(e) < tol) {
					rt.Fatalf("%s: %+v and mirrored %+v", ac.Name, a, b)
				}
			}
		})
	}
}

// No jumps anywhere, nor kinks: the largest change of any coefficient from
// step to step shrinks with the step and stays below a slope that a stalling
// section has, and the largest change of slope shrinks too. Handbook sections
// and a measured polar with a bucket, the propeller stopped and pulling.
func TestNoJumps(t *testing.T) {
	k := Neutral()
	tb := bucketTable(t)
	tractor := conventional()
	tractor.Name = "tractor, measured polar"
	tractor.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2, At: r3.Vec{X: -0.02}}
	pusher := tailless()
	pusher.Name = "pusher"
	pusher.Power.Propeller = craft.Propeller{Diameter: 0.15, Pitch: 0.12, Blades: 2, At: r3.Vec{X: 0.33}}
	for n, ac := range append(fleet(), tractor, pusher) {
		o := Options{}
		if ac == tractor {
			o.Sections = &Tables{Of: func(surface, _ int) *section.Table {
				if surface == 0 {
					return tb
				}
				return nil
			}}
		}
		m, err := New(ac, standard(), o)
		if err != nil {
			t.Fatal(err)
		}
		pulls := n >= len(fleet())
		read := func(f Flow) [6]float64 {
			if pulls {
				f.PropOn = true
				if f.Thrust == 0 {
					f.Thrust = 6
				}
			}
			var l Loads
			m.Eval(&f, &k, &l)
			q := 0.5 * f.Rho * f.V * f.V * m.Area
			if f.V < 3 {
				q = 0.5 * f.Rho * 20 * 20 * m.Area
			}
			return [6]float64{l.F.X / q, l.F.Y / q, l.F.Z / q, l.M.X / q / m.Span, l.M.Y / q / m.Chord, l.M.Z / q / m.Span}
		}
		type sweep struct {
			name string
			lo   float64
			hi   float64
			set  func(*Flow, float64)
			most float64 // per unit of the argument
		}
		sweeps := []sweep{}
		for _, beta := range []float64{0, 5, 20, 60, 120, 180} {
			sweeps = append(sweeps, sweep{"alpha", -math.Pi, math.Pi, func(f *Flow, x float64) { f.Alpha, f.Beta = x, beta*deg }, 25})
		}
		for _, alpha := range []float64{0, 8, 15, 40, 90, 170} {
			sweeps = append(sweeps, sweep{"beta", -math.Pi, math.Pi, func(f *Flow, x float64) { f.Beta, f.Alpha = x, alpha*deg }, 25})
		}
		sweeps = append(sweeps,
			sweep{"pitch", -0.8, 0.8, func(f *Flow, x float64) { f.Pitch, f.Alpha = x, 12*deg }, 25},
			sweep{"roll", -0.8, 0.8, func(f *Flow, x float64) { f.Roll, f.Alpha = x, 12*deg }, 25},
			sweep{"yaw", -0.8, 0.8, func(f *Flow, x float64) { f.Yaw, f.Alpha = x, 8*deg }, 25},
			sweep{"brake", 0, 0.8, func(f *Flow, x float64) { f.Brake, f.Alpha = x, 8*deg }, 25},
			sweep{"height", 0.01, 4, func(f *Flow, x float64) { f.Height, f.Alpha = x, 5*deg }, 12},
			sweep{"p", -20, 20, func(f *Flow, x float64) { f.P, f.Alpha = x, 10*deg }, 0.5},
			sweep{"q", -20, 20, func(f *Flow, x float64) { f.Q, f.Alpha = x, 4*deg }, 0.5},
			sweep{"r", -20, 20, func(f *Flow, x float64) { f.R, f.Alpha = x, 4*deg }, 0.5},
			sweep{"V, slow", 0.01, 2.9, func(f *Flow, x float64) { f.V, f.Alpha, f.Beta = x, 14*deg, 3*deg }, 1.2},
			sweep{"V, near the stall", 3, 90, func(f *Flow, x float64) { f.V, f.Alpha, f.Beta = x, 14*deg, 3*deg }, 2},
			sweep{"V", 3, 90, func(f *Flow, x float64) { f.V, f.Alpha = x, 1*deg }, 1.2})
		if pulls {
			sweeps = append(sweeps,
				sweep{"thrust", 0.01, 20, func(f *Flow, x float64) { f.Thrust, f.Alpha, f.Pitch = x, 5*deg, 0.1 }, 0.2},
				sweep{"thrust at a standstill", 0.01, 20, func(f *Flow, x float64) { f.Thrust, f.V, f.Pitch = x, 0.5, 0.1 }, 0.2})
		}
		for _, s := range sweeps {
			most := func(n int) (step, bend float64) {
				var last, before [6]float64
				for i := 0; i <= n; i++ {
					f := m.Still(20)
					s.set(&f, s.lo+(s.hi-s.lo)*float64(i)/float64(n))
					c := read(f)
					for j := range c {
						if c[j] != c[j] {
							t.Fatalf("%s %s: not a number", ac.Name, s.name)
						}
						if i > 0 {
							step = math.Max(step, math.Abs(c[j]-last[j]))
						}
						if i > 1 {
							bend = math.Max(bend, math.Abs(c[j]-2*last[j]+before[j]))
						}
					}
					last, before = c, last
				}
				return step, bend / (s.hi - s.lo) * float64(n)
			}
			n := 3000
			if s.name == "beta" { // a swept fin goes over in a few tenths of a degree
				n = 8000
			}
			coarse, kink := most(n)
			fine, still := most(4 * n)
			if fine > 0.35*coarse {
				t.Errorf("%s, sweep of %s: step %g falls only to %g at a quarter of the step", ac.Name, s.name, coarse, fine)
			}
			slope := coarse / (s.hi - s.lo) * float64(n)
			if slope > s.most {
				t.Errorf("%s, sweep of %s: slope %g", ac.Name, s.name, slope)
			}
			// A kink keeps its change of slope at any step.
			if still > 0.5*kink && still > 2e-3*slope {
				t.Errorf("%s, sweep of %s: the slope, at most %g, changes by %g from step to step, by %g at a quarter of it", ac.Name, s.name, slope, kink, still)
			}
		}
	}
}

// Air takes energy from a body that does not turn, at every attitude.
func TestDragPower(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		for _, pitch := range []float64{-0.3, 0, 0.3} {
			angles(-180, 180, 3, func(a float64) {
				angles(-180, 180, 6, func(b float64) {
					f := m.Still(20)
					f.Alpha, f.Beta, f.Pitch, f.Roll, f.Yaw = a, b, pitch, 0.1, -0.1
					var l Loads
					m.Eval(&f, &k, &l)
					v := r3.Vec{X: math.Cos(a) * math.Cos(b), Y: math.Sin(b), Z: math.Sin(a) * math.Cos(b)}
					if p := r3.Dot(l.F, v); p > 0 {
						t.Errorf("%s alpha %.0f beta %.0f pitch %.1f: the air pushes with %g N", ac.Name, a/deg, b/deg, pitch, p)
					}
				})
			})
		}
	}
}

// In attached flow the model is the lattice.
func TestIsTheLattice(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		d := m.derive
		f := m.Still(20)
		f.Alpha = 0
		// Body and sections aside: compare the parts that the lattice has.
		m.munkY, m.munkZ, m.bodyY, m.cross, m.fixed = 0, 0, 0, [2]cross{}, 0
		m.body = curve{}
		evenDrag(m, 0)
		s := m.Stability(f, &k, m.point)
		for _, r := range []struct {
			name      string
			got, want float64
			tol       float64
		}{
			{"CLalpha", s.CLAlpha, d.CLAlpha, 0.002},
			{"Cmalpha", s.CmAlpha, d.CmAlpha, 0.02},
			{"CLq", s.CLQ, d.CLQ, 0.02},
			{"Cmq", s.CmQ, d.CmQ, 0.02},
			{"Clp", s.ClP, d.ClP, 0.005},
			{"CYbeta", s.CYBeta, d.CYBeta, 0.04},
			{"Cnbeta", s.CnBeta, d.CnBeta, 0.05},
			{"Cnr", s.CnR, d.CnR, 0.08},
		} {
			if math.Abs(r.got-r.want) > r.tol*math.Max(math.Abs(r.want), 0.05) {
				t.Errorf("%s %s: %g, lattice %g", ac.Name, r.name, r.got, r.want)
			}
		}
		// Sideslip: dihedral and sweep, at lift.
		for _, a := range []float64{0, 4 * deg} {
			f.Alpha = a
			s = m.Stability(f, &k, m.point)
			if want := d.ClBeta + d.ClBetaAlpha*a; math.Abs(s.ClBeta-want) > 0.06*math.Abs(want)+0.002 {
				t.Errorf("%s at %.0f degrees: Clbeta %g, lattice %g", ac.Name, a/deg, s.ClBeta, want)
			}
			if want := d.ClR + d.ClRAlpha*a; math.Abs(s.ClR-want) > 0.12*math.Abs(want)+0.003 {
				t.Errorf("%s at %.0f degrees: Clr %g, lattice %g", ac.Name, a/deg, s.ClR, want)
			}
		}
		// Induced drag of the whole.
		l := m.lattice
		st := l.NewState()
		st[wing.Plunge] = 0.1
		f = m.Still(20)
		f.Alpha = math.Atan(0.1)
		c, _ := m.Coefficients(&f, &k, m.point)
		want := 2 / m.Area * l.Induced(st)
		if math.Abs(c.CD-want) > 0.03*want {
			t.Errorf("%s: induced drag %g, far wake %g", ac.Name, c.CD, want)
		}
	}
}

// The signs that a pilot expects, for all three layouts.
func TestSigns(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		f := m.Still(18)
		f.Alpha = 4 * deg
		s := m.Stability(f, &k, ac.Mass.CG)
		for name, v := range map[string]float64{
			"lift slope": s.CLAlpha, "stable": -s.CmAlpha, "pitch damping": -s.CmQ, "roll damping": -s.ClP, "yaw damping": -s.CnR,
			"weathercock": s.CnBeta, "dihedral effect": -s.ClBeta, "side force": -s.CYBeta, "up elevator": s.CmPitch, "right stick": s.ClRoll,
			"adverse yaw, stability axes": s.ClRoll*math.Sin(f.Alpha) - s.CnRoll*math.Cos(f.Alpha), "roll of yaw rate": s.ClR, "drag grows": s.CDAlpha,
		} {
			if v <= 0 {
				t.Errorf("%s: %s has the wrong sign (%g)", ac.Name, name, v)
			}
		}
		if ac.Name != "tailless" && (s.CnYaw <= 0 || s.CmAlphaDot >= 0) {
			t.Errorf("%s: rudder %g, downwash lag %g", ac.Name, s.CnYaw, s.CmAlphaDot)
		}
	}
}

func TestGroundEffect(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		f := m.Still(15)
		f.Alpha = 5 * deg
		free, _ := m.Coefficients(&f, &k, m.point)
		last := free
		for _, h := range []float64{1.4, 1, 0.5, 0.3, 0.2, 0.15} {
			f.Height = h * m.Span
			c, _ := m.Coefficients(&f, &k, m.point)
			if c.CL < last.CL {
				t.Errorf("%s: lift falls near the ground at %g b", ac.Name, h)
			}
			last = c
			if h == 0.2 {
				if r := c.CL / free.CL; r < 1.03 || r > 1.2 {
					t.Errorf("%s: lift ratio %g at a fifth of the span", ac.Name, r)
				}
			}
		}
	}
}

// A tip that stalls first rolls the aeroplane towards it; raising the
// section's limits puts the stall off.
func TestStall(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		s := m.Stall(ac.Mass.Total, ac.Mass.CG, 1.225, 1.79e-5, &k)
		if !(s.Speed > 4 && s.Speed < 20) || !(s.CLMax > 0.4 && s.CLMax < 1.6) {
			t.Errorf("%s: stall %+v", ac.Name, s)
		}
		if s.CLMax > s.Untrimmed+0.03 {
			t.Errorf("%s: trim adds lift: %+v", ac.Name, s)
		}
		heavy := m.Stall(2*ac.Mass.Total, ac.Mass.CG, 1.225, 1.79e-5, &k)
		if r := heavy.Speed / s.Speed; r < 1.3 || r > math.Sqrt2+1e-6 {
			t.Errorf("%s: twice the weight stalls %g times as fast", ac.Name, r)
		}
		better := k
		better.ClMax = 1.1
		if b := m.Stall(ac.Mass.Total, ac.Mass.CG, 1.225, 1.79e-5, &better); b.Untrimmed < s.Untrimmed*1.03 {
			t.Errorf("%s: limits up a tenth: %g from %g", ac.Name, b.Untrimmed, s.Untrimmed)
		}
		// Rolling at the stall: the falling wing stalls first, damping is lost.
		f := m.Still(s.Speed)
		f.Alpha = s.Alpha + 4*deg
		deep := m.Stability(f, &k, ac.Mass.CG)
		f.Alpha = 4 * deg
		if low := m.Stability(f, &k, ac.Mass.CG); deep.ClP < 0.5*low.ClP {
			t.Errorf("%s: roll damping %g past the stall, %g below it", ac.Name, deep.ClP, low.ClP)
		}
	}
}

func TestTrim(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		for _, v := range []float64{12, 18, 30} {
			b := Balance{V: v, Rho: 1.225, Mu: 1.79e-5, Lift: ac.Mass.Total * g0, CG: ac.Mass.CG, Moment: 0.02}
			s := m.Trim(b, &k)
			if !s.OK {
				t.Errorf("%s at %g m/s: no trim: %+v", ac.Name, v, s)
				continue
			}
			f := m.Still(v)
			f.Rho, f.Mu, f.Alpha, f.Pitch = b.Rho, b.Mu, s.Alpha, s.Pitch
			var l Loads
			m.Eval(&f, &k, &l)
			l = m.About(l, b.CG)
			if math.Abs(l.M.Y+b.Moment) > 1e-5 {
				t.Errorf("%s: moment left %g", ac.Name, l.M.Y+b.Moment)
			}
			lift := l.F.X*math.Sin(s.Alpha) - l.F.Z*math.Cos(s.Alpha)
			if math.Abs(lift-b.Lift) > 1e-4 {
				t.Errorf("%s: lift %g for %g", ac.Name, lift, b.Lift)
			}
		}
		if s := m.Trim(Balance{V: 4, Rho: 1.225, Mu: 1.79e-5, Lift: ac.Mass.Total * g0, CG: ac.Mass.CG}, &k); s.OK {
			t.Errorf("%s: flies at 4 m/s: %+v", ac.Name, s)
		}
	}
}

func TestStick(t *testing.T) {
	m := model(t, conventional())
	for _, r := range []struct{ in, out [3]float64 }{
		{[3]float64{1, 0, 0}, [3]float64{15 * deg, 0, 0}},
		{[3]float64{-1, 0, 0}, [3]float64{-12 * deg, 0, 0}},
		{[3]float64{0, 1, 0}, [3]float64{0, 15 * deg, 0}},
		{[3]float64{0, 0, -0.5}, [3]float64{0, 0, -10 * deg}},
		{[3]float64{3, 0, 0}, [3]float64{15 * deg, 0, 0}},
	} {
		p, ro, y := m.Stick(r.in[0], r.in[1], r.in[2])
		if math.Abs(p-r.out[0])+math.Abs(ro-r.out[1])+math.Abs(y-r.out[2]) > 1e-9 {
			t.Errorf("stick %v: %g %g %g", r.in, p/deg, ro/deg, y/deg)
		}
	}
	m = model(t, tailless())
	if p, _, _ := m.Stick(0, 0, 0); math.Abs(p-3*deg) > 1e-9 {
		t.Errorf("neutral reflex %g", p/deg)
	}
	if s, ok := m.StickFor(23 * deg); math.Abs(s-1) > 1e-9 || !ok {
		t.Errorf("stick for full up: %g %v", s, ok)
	}
}

// Factors do what they say.
func TestFactors(t *testing.T) {
	m := model(t, conventional())
	f := m.Still(20)
	f.Alpha = 3 * deg
	n := Neutral()
	base, _ := m.Coefficients(&f, &n, m.point)
	with := func(set func(*Factors)) Coefficients {
		k := Neutral()
		set(&k)
		c, _ := m.Coefficients(&f, &k, m.point)
		return c
	}
	if c := with(func(k *Factors) { k.Cm0 = 0.01 }); math.Abs(c.Cm-base.Cm-0.01) > 2e-4 {
		t.Errorf("Cm0: %g", c.Cm-base.Cm)
	}
	if c := with(func(k *Factors) { k.CL0 = 0.05 }); math.Abs(c.CL-base.CL-0.05) > 1e-3 {
		t.Errorf("CL0: %g", c.CL-base.CL)
	}
	if c := with(func(k *Factors) { k.DragArea = 1e-3 }); math.Abs(c.CD-base.CD-1e-3/m.Area) > 1e-5 {
		t.Errorf("drag area: %g", c.CD-base.CD)
	}
	k := Neutral()
	k.NP = 0.01
	s0, s1 := m.Stability(f, &n, m.point), m.Stability(f, &k, m.point)
	if d := (s0.CmAlpha - s1.CmAlpha) / s0.CLAlpha * m.Chord; math.Abs(d-0.01) > 5e-4 {
		t.Errorf("neutral point moved %g", d)
	}
	k = Neutral()
	k.Damping, k.Control = 1.2, 0.8
	s1 = m.Stability(f, &k, m.point)
	if r := s1.ClRoll / s0.ClRoll; math.Abs(r-0.8) > 0.02 {
		t.Errorf("control %g", r)
	}
	if r := s1.CmQ / s0.CmQ; math.Abs(r-1.2) > 0.03 {
		t.Errorf("damping %g", r)
	}
}

func TestEvalAllocatesNothing(t *testing.T) {
	m := model(t, conventional())
	f, k := m.Still(20), Neutral()
	var l Loads
	if n := testing.AllocsPerRun(100, func() { f.Alpha += 0.01; m.Eval(&f, &k, &l) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
	tractor := conventional()
	tractor.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2}
	m = model(t, tractor)
	for name, spoil := range map[string]func(*Flow){
		"alpha":     func(f *Flow) { f.Alpha = math.NaN() },
		"pitch":     func(f *Flow) { f.Pitch = math.Inf(1) },
		"viscosity": func(f *Flow) { f.Mu = math.NaN() },
		"thrust":    func(f *Flow) { f.PropOn, f.Thrust = true, math.NaN() },
		"no air":    func(f *Flow) { f.PropOn, f.Thrust, f.Rho = true, 1, 0 },
	} {
		f := m.Still(20)
		spoil(&f)
		m.Eval(&f, &k, &l)
		if l.Flag != NotFinite || l.F != (r3.Vec{}) {
			t.Errorf("%s not finite gives %+v", name, l)
		}
	}
}

func TestFlags(t *testing.T) {
	m := model(t, conventional())
	k := Neutral()
	var l Loads
	flag := func(set func(*Flow)) Flag {
		f := m.Still(15)
		f.Alpha = 3 * deg
		set(&f)
		m.Eval(&f, &k, &l)
		return l.Flag
	}
	if f := flag(func(*Flow) {}); f != 0 {
		t.Errorf("ordinary flight is flagged: %v", f)
	}
	for _, r := range []struct {
		want Flag
		set  func(*Flow)
	}{
		{Stalled, func(f *Flow) { f.Alpha = 22 * deg }},
		{BeyondAlpha, func(f *Flow) { f.Alpha = 40 * deg }},
		{BeyondAlpha, func(f *Flow) { f.Alpha = -170 * deg }},
		{BeyondBeta, func(f *Flow) { f.Beta = 30 * deg }},
		{LowRe, func(f *Flow) { f.V = 2 }},
		{BeyondControl, func(f *Flow) { f.Roll = 0.7 }},
	} {
		if f := flag(r.set); f&r.want == 0 {
			t.Errorf("flags %v, want %v", f, r.want)
		}
	}
}

// Shifts against a rebuilt model.
func TestShifts(t *testing.T) {
	ac := conventional()
	m := model(t, ac)
	inputs := []craft.Input{
		{Path: "surfaces.wing.stations[0].twist", Nominal: 1 * deg, Sigma: 0.5 * deg, Low: -1, High: 1, Set: func(a *craft.Aircraft, v float64) { a.Surfaces[0].Stations[0].Twist = v }},
		{Path: "surfaces.wing.stations[0].x", Nominal: 0.25, Sigma: 0.004, Low: 0, High: 1, Set: func(a *craft.Aircraft, v float64) { a.Surfaces[0].Stations[0].LE.X = v }},
		{Path: "surfaces.tail.stations[1].chord", Nominal: 0.085, Sigma: 0.004, Low: 0, High: 1, Set: func(a *craft.Aircraft, v float64) { a.Surfaces[1].Stations[1].Chord = v }},
		{Path: "parts.battery.mass", Nominal: 0.2, Sigma: 0.01, Set: func(a *craft.Aircraft, v float64) { panic("not geometry") }},
	}
	s := m.Shifts(ac, inputs)
	if s[3] != (Shift{Path: "parts.battery.mass"}) {
		t.Errorf("a mass moves the aerodynamics: %+v", s[3])
	}
	for i, in := range inputs[:3] {
		c := clone(ac)
		in.Set(c, in.Nominal+in.Sigma)
		c.Ref = ac.Ref
		full := model(t, c)
		k, n := Neutral(), Neutral()
		s[i].Apply(&k, in.Sigma)
		for _, a := range []float64{0, 4, 8} {
			f := m.Still(18)
			f.Alpha = a * deg
			base, _ := m.Coefficients(&f, &n, m.point)
			draw, _ := m.Coefficients(&f, &k, m.point)
			want, _ := full.Coefficients(&f, &n, m.point)
			if e := math.Abs(draw.CL - want.CL); e > 0.15*math.Abs(want.CL-base.CL)+0.002 {
				t.Errorf("%s alpha %g: CL %g by shift, %g rebuilt, %g before", in.Path, a, draw.CL, want.CL, base.CL)
			}
			if e := math.Abs(draw.Cm - want.Cm); e > 0.25*math.Abs(want.Cm-base.Cm)+0.002 {
				t.Errorf("%s alpha %g: Cm %g by shift, %g rebuilt, %g before", in.Path, a, draw.Cm, want.Cm, base.Cm)
			}
		}
	}
	if ac.Surfaces[0].Stations[0].Twist != 1*deg {
		t.Error("shifts changed the aircraft")
	}
}

func TestImpossible(t *testing.T) {
	for name, f := range map[string]func(*craft.Aircraft){
		"no surface":      func(a *craft.Aircraft) { a.Surfaces = nil },
		"no chord":        func(a *craft.Aircraft) { a.Surfaces[0].Stations[0].Chord = 0 },
		"one station":     func(a *craft.Aircraft) { a.Surfaces[1].Stations = a.Surfaces[1].Stations[:1] },
		"section":         func(a *craft.Aircraft) { a.Surfaces[0].Stations[0].Section = "no such" },
		"not finite":      func(a *craft.Aircraft) { a.Surfaces[0].Stations[0].LE.X = math.NaN() },
		"control nowhere": func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].From, a.Surfaces[0].Controls[0].To = 3, 4 },
	} {
		ac := conventional()
		f(ac)
		if _, err := New(ac, standard(), Options{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Hinge moments: against the deflection, with speed squared, and of the size
// of thin-section theory times the shares named.
func TestHinge(t *testing.T) {
	for _, ac := range fleet() {
		m := model(t, ac)
		f := m.Still(20)
		f.Alpha = 2 * deg
		f.Pitch, f.Yaw = 10*deg, 5*deg
		a := m.Hinge(&f)
		f.V = 40
		b := m.Hinge(&f)
		n := 0
		for i := range a {
			if a[i].Moment == 0 {
				continue
			}
			n++
			if r := b[i].Moment / a[i].Moment; math.Abs(r-4) > 0.01 {
				t.Errorf("%s %s: twice the speed, %g times the moment", ac.Name, a[i].Control, r)
			}
			if a[i].Deflection != 0 && a[i].Moment*a[i].Deflection > 0 {
				t.Errorf("%s %s: the air helps the servo: %+v", ac.Name, a[i].Control, a[i])
			}
			if !(a[i].Doubt > 0 && a[i].Doubt < math.Abs(a[i].Moment)) {
				t.Errorf("%s %s: doubt %g of %g", ac.Name, a[i].Control, a[i].Doubt, a[i].Moment)
			}
		}
		if n == 0 {
			t.Errorf("%s: no control moves", ac.Name)
		}
	}
	// Elevator of the conventional by hand: flap chord share 0.33.
	m := model(t, conventional())
	f := m.Still(20)
	f.Pitch = -10 * deg // trailing edge down
	f.Alpha = -m.derive.CL0 / m.derive.CLAlpha
	h := m.Hinge(&f)[1]
	s, c2 := 0.0, 0.0
	for k := range 100 {
		c := (0.12 + (0.085-0.12)*(float64(k)+0.5)/100) * 0.33
		s += c * 0.002
		c2 += c * c * 0.002
	}
	want := 0.65 * wing.ThinFlap(0.33).HingeDelta * 0.5 * m.air.rho * 400 * c2 * 10 * deg
	if math.Abs(h.Moment/want-1) > 0.15 { // the tail's own angle of attack is in it
		t.Errorf("elevator hinge moment %g, by hand %g", h.Moment, want)
	}
}

func TestDoubts(t *testing.T) {
	for _, ac := range fleet() {
		d := model(t, ac).Doubts()
		for name, v := range map[string][3]float64{
			"drag": {d.Drag, 0.1, 0.4}, "lift": {d.Lift, 0.01, 0.1}, "clmax": {d.ClMax, 0.05, 0.3}, "damping": {d.Damping, 0.05, 0.3},
			"control": {d.Control, 0.05, 0.3}, "cm0": {d.Cm0, 0.003, 0.05}, "cl0": {d.CL0, 0.01, 0.1}, "np": {d.NP, 0.002, 0.02},
		} {
			if !(v[0] >= v[1] && v[0] <= v[2]) {
				t.Errorf("%s: doubt of %s is %g", ac.Name, name, v[0])
			}
		}
	}
}

// Any aircraft that New accepts gives finite, drag-making loads.
func TestStrangeAircraft(t *testing.T) {
	k := Neutral()
	rapid.Check(t, func(rt *rapid.T) {
		r := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(rt, name) }
		ac := &craft.Aircraft{}
		for i := range rapid.IntRange(1, 3).Draw(rt, "surfaces") {
			s := craft.Surface{Name: "s", Mirrored: rapid.Bool().Draw(rt, "mirrored") || i == 0}
			x, y, z := r("x", -1, 1), 0.0, r("z", -0.3, 0.3)
			if !s.Mirrored {
				y = r("y", -0.5, 0.5)
			}
			for range rapid.IntRange(2, 4).Draw(rt, "stations") {
				s.Stations = append(s.Stations, station(x, y, z, r("chord", 0.01, 0.5), r("twist", -15, 15), "NACA 2412"))
				x, y, z = x+r("dx", -0.3, 0.3), y+r("dy", 0.01, 0.6), z+r("dz", -0.3, 0.3)
			}
			if rapid.Bool().Draw(rt, "control") {
				a := s.Stations[0].LE.Y
				s.Controls = []craft.Control{{Name: "c", From: a + r("from", 0, 0.3), To: a + r("to", 0.3, 2), ChordShare: r("share", 0.02, 0.95), Pitch: 1, Roll: 1, ThrowUp: 0.3, ThrowDown: 0.3}}
			}
			ac.Surfaces = append(ac.Surfaces, s)
		}
		reference(ac)
		ac.Mass.Total = 1
		ac.Mass.CG = ac.Ref.Point
		m, err := New(ac, standard(), Options{Spanwise: 6, Chordwise: 3})
		if err != nil {
			return // refused with a reason
		}
		for range 20 {
			f := m.Still(r("V", 0, 50))
			f.Alpha, f.Beta, f.P, f.Q, f.R, f.Pitch = r("alpha", -3.2, 3.2), r("beta", -3.2, 3.2), r("p", -9, 9), r("q", -9, 9), r("r", -9, 9), r("pitch", -0.5, 0.5)
			var l Loads
			m.Eval(&f, &k, &l)
			if s := l.F.X + l.F.Y + l.F.Z + l.M.X + l.M.Y + l.M.Z; math.IsNaN(s) || math.IsInf(s, 0) {
				rt.Fatalf("loads %+v at %+v", l, f)
			}
		}
		_ = m.Stall(1, ac.Mass.CG, 1.2, 1.8e-5, &k)
	})
}

// On tables instead of the handbook: a table made from the traits of a made-up
// section comes back, and the model runs on it.
func TestTables(t *testing.T) {
	text := "re,alpha_deg,cl,cd,cm\n"
	for _, re := range []float64{6e4, 2e5, 6e5} {
		for a := -10.0; a <= 14; a += 0.5 {
			cl := 5.7 * (a + 2) * deg
			cl = math.Min(cl, 1.2-0.02*math.Max(a-10, 0))
			cl = math.Max(cl, -0.7)
			cd := 0.012*math.Pow(1e5/re, 0.4) + 0.012*sq(cl-0.3)
			text += fmt.Sprintf("%g,%g,%.6f,%.6f,%.4f\n", re, a, cl, cd, -0.05)
		}
	}
	tb, err := section.FromMeasured("made up", []byte(text), nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	tr, ok := FitTraits(tb, 2e5)
	if !ok {
		t.Fatal("no traits")
	}
	for _, r := range []struct {
		name            string
		got, want, diff float64
	}{
		{"slope", tr.ClAlpha, 5.7, 0.03},
		{"zero lift", tr.AlphaL0 / deg, -2, 0.05},
		{"moment", tr.Cm0, -0.05, 0.002},
		{"most lift", tr.ClMax, 1.2, 0.03},
		{"least drag", tr.Cd0, 0.012 * math.Pow(0.5, 0.4), 0.0004},
		{"growth", tr.CdK, 0.012, 0.002},
		{"lift of least drag", tr.ClCd0, 0.3, 0.05},
	} {
		if math.Abs(r.got-r.want) > r.diff {
			t.Errorf("%s: %g, want %g", r.name, r.got, r.want)
		}
	}
	ac := conventional()
	m, err := New(ac, standard(), Options{Sections: &Tables{Of: func(surface, _ int) *section.Table {
		if surface == 0 {
			return tb
		}
		return nil
	}}})
	if err != nil {
		t.Fatal(err)
	}
	k := Neutral()
	s := m.Stall(ac.Mass.Total, ac.Mass.CG, 1.225, 1.79e-5, &k)
	if s.Untrimmed < 1 || s.Untrimmed > 1.25 {
		t.Errorf("wing of sections that stall at 1.2: %g", s.Untrimmed)
	}
}

// A turning propeller: a tractor ahead of the centre of gravity takes
// stability and yaw stiffness, a pusher behind gives them; a tractor's stream
// makes the tail work harder.
func TestPropeller(t *testing.T) {
	k := Neutral()
	ac := conventional()
	ac.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2, At: r3.Vec{X: -0.02}}
	m := model(t, ac)
	f := m.Still(15)
	f.Alpha = 3 * deg
	off := m.Stability(f, &k, ac.Mass.CG)
	f.PropOn = true
	mill := m.Stability(f, &k, ac.Mass.CG)
	if mill.CmAlpha <= off.CmAlpha || mill.CnBeta >= off.CnBeta || mill.CYBeta >= off.CYBeta {
		t.Errorf("tractor: Cm alpha %g from %g, Cn beta %g from %g", mill.CmAlpha, off.CmAlpha, mill.CnBeta, off.CnBeta)
	}
	f.Thrust = 8
	on := m.Stability(f, &k, ac.Mass.CG)
	if on.CmPitch < 1.02*mill.CmPitch || on.CnYaw < 1.02*mill.CnYaw {
		t.Errorf("in the stream: elevator %g from %g, rudder %g from %g", on.CmPitch, mill.CmPitch, on.CnYaw, mill.CnYaw)
	}
	tl := tailless()
	tl.Power.Propeller = craft.Propeller{Diameter: 0.15, Pitch: 0.12, Blades: 2, At: r3.Vec{X: 0.33}}
	m = model(t, tl)
	for i := range m.groups {
		// Its force across the axis alone: what it draws in over the inner
		// wing, ahead of the centre of gravity of a swept one, works against it.
		m.groups[i].slip = 0
	}
	f = m.Still(15)
	f.Alpha = 3 * deg
	off = m.Stability(f, &k, tl.Mass.CG)
	f.PropOn, f.Thrust = true, 4
	on = m.Stability(f, &k, tl.Mass.CG)
	if on.CmAlpha >= off.CmAlpha || on.CnBeta <= off.CnBeta || on.CmQ >= off.CmQ {
		t.Errorf("pusher: Cm alpha %g from %g, Cn beta %g from %g", on.CmAlpha, off.CmAlpha, on.CnBeta, off.CnBeta)
	}
	// No speed, full thrust: finite.
	f.V = 0
	var l Loads
	m.Eval(&f, &k, &l)
	if math.IsNaN(l.F.X + l.M.Y) {
		t.Error("standing still")
	}
	// Order of size: a quarter of the disc area of a wing's slope.
	if d := PropellerSideForce(2, 0.085, 0.28, 0); d < 0.1 || d > 0.3 {
		t.Errorf("side force %g", d)
	}
	if r := PropellerSideForce(2, 0.085, 0.28, 1e9) / PropellerSideForce(2, 0.085, 0.28, 0); r < 1e3 {
		t.Errorf("at rest the inflow carries it: %g", r)
	}
}

// In the stream of momentum theory, a fully covered tail's control works with
// 1 + T/(qA) times its force, the tail's slope with the root of it, and at a
// standstill the control has the pressure T/A and nothing else.
func TestSlipstream(t *testing.T) {
	k := Neutral()
	ac := conventional()
	ac.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2, At: r3.Vec{X: -0.02}}
	m := model(t, ac)
	cover := 0.0
	for i := range m.groups {
		g := &m.groups[i]
		if g.surface != ac.Ref.Wing && g.flapped && g.nz*g.nz > 0.9 {
			cover = math.Max(cover, g.slip)
		} else {
			g.slip = 0 // the elevator's groups alone
		}
	}
	if cover == 0 {
		t.Skip("no tail in the stream")
	}
	area := math.Pi / 4 * 0.25 * 0.25
	for i := range m.groups {
		if g := &m.groups[i]; g.slip > 0 {
			g.slip = 1
		}
	}
	lift := func(v, alpha, pitch, thrust float64) float64 {
		f := m.Still(v)
		f.Alpha, f.Pitch, f.PropOn, f.Thrust = alpha, pitch, true, thrust
		var l Loads
		m.Eval(&f, &k, &l)
		return -l.F.Z
	}
	elevator := func(v, thrust float64) float64 { return (lift(v, 0, 0.02, thrust) - lift(v, 0, -0.02, thrust)) }
	// The wing's own share of an elevator's lift does not grow: compare what
	// the thrust adds between two thrusts.
	const v = 15.0
	q := 0.5 * m.air.rho * v * v
	a, b, c := elevator(v, 0), elevator(v, q*area), elevator(v, 2*q*area)
	if r := (c - b) / (b - a); math.Abs(r-1) > 0.02 {
		t.Errorf("elevator: %g, %g, %g at loadings 0, 1, 2: not linear", a, b, c)
	}
	if s := elevator(0, q*area); math.Abs(s/(b-a)-1) > 0.1 {
		t.Errorf("standing still the elevator has %g, at speed the stream adds %g", s, b-a)
	}
	// A flat, untwisted tail in the wing's wash carries no more than the root
	// of the pressure's growth: the wash is no stronger in the stream.
	for i, g := range m.groups {
		if g.slip > 0 && math.Abs(m.own[i][0]) > 1e-9 {
			t.Errorf("a flat tail's own shape lifts: %g", m.own[i][0])
		}
	}
	// No jump at the change of direction.
	for _, x := range []float64{0.1, 1, 50} {
		h := 1e-6
		l, r := (inStream(0, x)-inStream(-h, x))/h, (inStream(h, x)-inStream(0, x))/h
		if math.Abs(l-r) > 1e-3 || math.Abs(inStream(-200, x)+200) > x/100 {
			t.Errorf("stream %g: slopes %g and %g, %g backwards", x, l, r, inStream(-200, x))
		}
	}
}

// The stream grows along its axis as the tube of ring vortices has it: half at
// the disc, all far behind, nothing far ahead; what a disc ahead of a body adds
// to its drag is T/A on the friction it passes, at a standstill too.
func TestStreamGrows(t *testing.T) {
	src := cite.Ours.At("axial velocity on the axis of a semi-infinite vortex tube, (1 + x/sqrt(x²+R²))/2 of its far value", cite.Derived)
	for _, r := range []struct{ x, grown float64 }{{-100, 0}, {-1, 0.14645}, {0, 0.5}, {1, 0.85355}, {100, 1}} {
		got, radius := stream(r.x, 1)
		check.Row{Topic: "propeller stream", Name: fmt.Sprintf("share of its pressure, %g radii behind the disc", r.x), Source: src}.Near(t, got, r.grown, check.ModelAbs(5e-5, "printed digits; 100 radii stand for infinity"))
		if radius < 0.89 || radius > 1.11 {
			t.Errorf("at %g the stream's radius is %g", r.x, radius)
		}
	}
	k := Neutral()
	ac := conventional()
	ac.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2, At: r3.Vec{X: -0.02}}
	m := model(t, ac)
	for i := range m.groups {
		m.groups[i].slip = 0 // the body alone
	}
	drag := func(v, thrust float64) float64 {
		f := m.Still(v)
		f.PropOn, f.Thrust = true, thrust
		var l Loads
		m.Eval(&f, &k, &l)
		return -l.F.X
	}
	friction := 0.0
	for _, it := range m.DragBreakdown(m.vRef) {
		if it.Name == bodyFriction {
			friction = it.DragArea
		}
	}
	full := friction * (1 + interference + roughness) / m.prop.area // over the thrust, all of it in the stream
	for _, v := range []float64{0, 10, 30} {
		got := (drag(v, 8) - drag(v, 0)) / 8
		if !(got > 0.6*full && got < full) {
			t.Errorf("at %g m/s the stream adds %g of the thrust to the body's drag, all of it would be %g", v, got, full)
		}
	}
	// A pusher at the tail meets the body with what it draws in, much less.
	tl := conventional()
	tl.Power.Propeller = ac.Power.Propeller
	tl.Power.Propeller.At.X = 0.95
	if p := model(t, tl).prop.scrub; !(p > 0 && p < 0.25*m.prop.scrub) {
		t.Errorf("drawn in along the body: %g m2, a tractor blows over %g", p, m.prop.scrub)
	}
}

// The lag of the downwash: a light aeroplane's by the tail's share of its
// pitch damping and the far downwash 2 CLalpha/(pi A), and the model's own
// sum over a tail by the same formula.
func TestDownwashLag(t *testing.T) {
	// Navion: Cmq -9.96 (all the tail's, -2 a V l/c), CLalpha 4.44, aspect ratio 33.4²/184.
	eps := 2 * 4.44 / (math.Pi * 33.4 * 33.4 / 184)
	check.Row{Topic: "whole model", Name: "light aeroplane: pitching moment by rate of angle of attack", Source: cite.NelsonDerivatives.At("Cm q -9.96, Cm alpha-dot -4.36", cite.Memory)}.
		Near(t, DownwashLag(9.96/2, 1, 1, eps), -4.36, check.Model(0.1, "far downwash of an elliptic wing for the one at the tail"))
	for _, ac := range fleet() {
		m := model(t, ac)
		got := m.downwashLag(ac.Mass.CG)
		if ac.Name == "tailless" {
			if got != 0 || m.Lag(1.2, ac.Mass.CG) != 0 {
				t.Errorf("%s: %g without a tail", ac.Name, got)
			}
			continue
		}
		// By hand: the tail's volume, its slope by Polhamus, the handbook's downwash.
		s := ac.Surfaces[1].Stations
		width := math.Hypot(s[1].LE.Y-s[0].LE.Y, s[1].LE.Z-s[0].LE.Z)
		flat := (s[1].LE.Y - s[0].LE.Y) / width
		area := width * (s[0].Chord + s[1].Chord)
		x := (s[0].LE.X+s[1].LE.X)/2 + (s[0].Chord+s[1].Chord)/8
		arm := (x - ac.Mass.CG.X) / m.Chord
		aspect := 4 * width * width / area
		bend := 0.3 / 1.7 / aspect // tan of the half chord's sweep, taper 0.7
		slope := 2 * math.Pi * aspect / (2 + math.Sqrt(aspect*aspect*(1+bend*bend)+4))
		eps := m.mainWash(r3.Vec{X: x, Y: (s[0].LE.Y + s[1].LE.Y) / 2, Z: (s[0].LE.Z + s[1].LE.Z) / 2})
		want := DownwashLag(slope*flat*flat, area/m.Area*arm, arm, eps)
		if math.Abs(got/want-1) > 0.15 {
			t.Errorf("%s: %g, by hand %g", ac.Name, got, want)
		}
		if l := m.Lag(1.2, ac.Mass.CG); math.Abs(l-got*1.2*m.Area*m.Chord*m.Chord/4) > 1e-12 {
			t.Errorf("%s: %g N m per m/s2", ac.Name, l)
		}
	}
}

// A foreplane: nose up is its trailing edge down, and it is an aeroplane.
func TestForeplane(t *testing.T) {
	ac := &craft.Aircraft{Name: "canard", Surfaces: []craft.Surface{
		{
			Name: "wing", Mirrored: true, Stations: []craft.Station{station(0.55, 0, 0, 0.2, 0, "NACA 2410"), station(0.62, 0.45, 0.02, 0.12, -1, "NACA 2410")},
			Controls: []craft.Control{{Name: "aileron", From: 0.2, To: 0.43, ChordShare: 0.25, Roll: 1, ThrowUp: 0.3, ThrowDown: 0.3}},
		},
		{
			Name: "foreplane", Mirrored: true, Stations: []craft.Station{station(0.1, 0, 0.02, 0.09, 3, "NACA 2410"), station(0.11, 0.19, 0.02, 0.07, 3, "NACA 2410")},
			Controls: []craft.Control{{Name: "elevator", From: 0, To: 0.19, ChordShare: 0.3, Pitch: 1, ThrowUp: 0.2, ThrowDown: 0.3}},
		},
		{Name: "fin", Stations: []craft.Station{station(0.66, 0, 0, 0.14, 0, "NACA 0008"), station(0.72, 0, 0.16, 0.08, 0, "NACA 0008")}},
	}}
	reference(ac)
	ac.Mass.Total = 0.9
	m := model(t, ac)
	if m.np >= m.point.X {
		t.Errorf("the foreplane does not move the neutral point ahead: %g, wing alone %g", m.np, m.point.X)
	}
	cg := r3.Vec{X: m.np - 0.1*m.Chord}
	k := Neutral()
	f := m.Still(16)
	f.Alpha = 3 * deg
	s := m.Stability(f, &k, cg)
	if s.CmPitch <= 0 || s.CLPitch <= 0 || s.CmAlpha >= 0 {
		t.Errorf("foreplane: Cm %g and CL %g of nose-up deflection, Cm of alpha %g", s.CmPitch, s.CLPitch, s.CmAlpha)
	}
	if up, _, _ := m.Stick(1, 0, 0); math.Abs(up-0.3) > 1e-9 {
		t.Errorf("full up stick is %g: the foreplane's trailing edge goes down", up)
	}
	tr := m.Trim(Balance{V: 16, Rho: 1.225, Mu: 1.79e-5, Lift: 0.9 * g0, CG: cg}, &k)
	if !tr.OK || tr.LiftOfControls < -0.05 {
		t.Errorf("trim %+v", tr)
	}
	if st := m.Stall(0.9, cg, 1.225, 1.79e-5, &k); !(st.CLMax > 0.5) || st.StallReport() == "" {
		t.Errorf("stall %+v", st)
	}
}

// Air takes energy from a body that turns, too: standing still with any
// rates, and in ordinary flight with ordinary ones.
func TestTurningPower(t *testing.T) {
	k := Neutral()
	for _, ac := range fleet() {
		m := model(t, ac)
		rapid.Check(t, func(rt *rapid.T) {
			r := func(name string, a float64) float64 { return rapid.Float64Range(-a, a).Draw(rt, name) }
			f := m.Still(0)
			f.P, f.Q, f.R = r("p", 20), r("q", 20), r("r", 20)
			if rapid.Bool().Draw(rt, "flying") {
				f.V, f.Alpha, f.Beta = 18, r("alpha", 0.25), r("beta", 0.25)
				f.P, f.Q, f.R = 0.15*f.P, 0.1*f.Q, 0.1*f.R
			}
			var l Loads
			m.Eval(&f, &k, &l)
			v := r3.Scale(f.V, r3.Vec{X: math.Cos(f.Alpha) * math.Cos(f.Beta), Y: math.Sin(f.Beta), Z: math.Sin(f.Alpha) * math.Cos(f.Beta)})
			if p := r3.Dot(l.F, v) + r3.Dot(l.M, r3.Vec{X: f.P, Y: f.Q, Z: f.R}); p > 1e-9 {
				rt.Errorf("%s: the air gives %g W at %+v", ac.Name, p, f)
			}
		})
	}
}

// A flat nose and a blunt stern cost drag, a slender body has neither.
func TestBluffBodies(t *testing.T) {
	area := func(body []craft.BodyStation) (all float64, names map[string]bool) {
		ac := conventional()
		ac.Body = body
		m := model(t, ac)
		names = map[string]bool{}
		for _, it := range m.DragBreakdown(15) {
			names[it.Name] = true
			all += it.DragArea
		}
		return all, names
	}
	slim, n := area([]craft.BodyStation{{X: 0, Width: 0.01, Height: 0.01}, {X: 0.2, Width: 0.07, Height: 0.07}, {X: 0.9, Width: 0.01, Height: 0.01}})
	if n["body, blunt nose"] || n["body, steep after body"] || n["body, blunt end"] {
		t.Errorf("a slender body is called blunt: %v", n)
	}
	flat, n := area([]craft.BodyStation{{X: 0, Width: 0.07, Height: 0.07}, {X: 0.2, Width: 0.07, Height: 0.07}, {X: 0.9, Width: 0.01, Height: 0.01}})
	if !n["body, blunt nose"] || flat-slim < 0.1*0.0038 {
		t.Errorf("flat nose: %g against %g, %v", flat, slim, n)
	}
	stub, n := area([]craft.BodyStation{{X: 0, Width: 0.01, Height: 0.01}, {X: 0.2, Width: 0.07, Height: 0.07}, {X: 0.85, Width: 0.07, Height: 0.07}, {X: 0.9, Width: 0.01, Height: 0.01}})
	if !n["body, steep after body"] || stub <= slim {
		t.Errorf("stub tail: %g against %g, %v", stub, slim, n)
	}
}

// All separated, the wing is a plate along its chord: a cambered section's
// place in the lattice, by its line of zero lift, is not its chord's.
func TestPlateAlongTheChord(t *testing.T) {
	ac := conventional()
	for i := range ac.Surfaces[0].Stations {
		ac.Surfaces[0].Stations[i].Section = "NACA 4412"
		ac.Surfaces[0].Stations[i].Twist = 2 * deg
	}
	m := model(t, ac)
	for i := range m.groups {
		if g := &m.groups[i]; g.main && math.Abs(g.phi-2*deg) > 0.2*deg {
			t.Errorf("plate at %g degrees, the chord at 2", g.phi/deg)
		}
	}
}

// A section known by callipers alone flies with a wider doubt, and the place
// of its thickness counts.
func TestUnknownSectionDoubt(t *testing.T) {
	known := model(t, conventional()).Doubts()
	ac := conventional()
	for i := range ac.Surfaces[0].Stations {
		s := &ac.Surfaces[0].Stations[i]
		s.Section, s.Thickness, s.ThickAt = "", 0.1, 0.35
	}
	d := model(t, ac).Doubts()
	if !(d.ClMax > 1.4*known.ClMax && d.CL0 > 1.4*known.CL0 && d.Cm0 > 1.8*known.Cm0 && d.Drag > known.Drag) {
		t.Errorf("unknown %+v, known %+v", d, known)
	}
	sh, err := ShapeOf(ac.Surfaces[0].Stations[0])
	if err != nil {
		t.Fatal(err)
	}
	if thick, at := sh.Thickness(); math.Abs(thick-0.1) > 1e-3 || math.Abs(at-0.35) > 0.02 {
		t.Errorf("thickness %g at %g", thick, at)
	}
}
