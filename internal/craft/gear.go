package craft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/build"
)

// launch reads the launch gear. What the hand does (height, attitude, aim,
// stretch, timing) scatters from launch to launch; the rest is ignorance.
func (m *maker) launch() {
	b, a := &m.b.Launch, m.ac
	a.Launch.By = b.By.S
	bungee := b.Bungee.Stretch.Given || len(b.Bungee.PullTest) > 0 || b.Bungee.Cord.Slack.Given || b.Bungee.Cord.Outer.Given
	if !b.By.Given {
		switch {
		case bungee:
			a.Launch.By = "bungee"
		case b.Throw.Speed.Given || b.Held.Height.Given || b.MotorDelay.Given:
			a.Launch.By = "hand"
		default:
			return // nothing said of a launch: not asked
		}
	}
	m.held(&b.Held)
	ratio := func(v build.Value, path, label string, field func(*Aircraft) *float64) {
		f := guess(0, 0, "stick left in the middle")
		m.put(v, path, label, "ratio", "transmitter's display", Scatter, -1, 1, false, f, field)
	}
	ratio(b.Stick.Pitch, "launch.stick.pitch", "up stick held", func(a *Aircraft) *float64 { return &a.Launch.StickPitch })
	ratio(b.Stick.Roll, "launch.stick.roll", "roll stick held", func(a *Aircraft) *float64 { return &a.Launch.StickRoll })
	ratio(b.Stick.Yaw, "launch.stick.yaw", "yaw stick held", func(a *Aircraft) *float64 { return &a.Launch.StickYaw })
	a.Launch.StickUntil = math.Inf(1)
	if b.Stick.Until.Given {
		a.Launch.StickUntil = b.Stick.Until.Value
	}
	a.Launch.MotorOff = b.MotorDelay.Off || a.Power.Place == ""
	if !a.Launch.MotorOff {
		m.put(b.MotorDelay.Value, "launch.motor_delay", "motor delay after release", "time", "practise it with a stop watch, propeller off", Scatter, -5, 20, false, guess(0.5, 0.15, "the motor is started half a second after release"), func(a *Aircraft) *float64 { return &a.Launch.MotorDelay })
		m.put(b.Throttle, "launch.throttle", "throttle at launch", "ratio", "transmitter's display", Ignorance, 0, 1, false, guess(1, 0, "full throttle"), func(a *Aircraft) *float64 { return &a.Launch.Throttle })
	}
	a.Launch.Damper = b.Damper.Value
	if a.Launch.By == "hand" {
		m.throw(&b.Throw)
		return
	}
	m.bungee(&b.Bungee)
}

func (m *maker) held(h *build.Held) {
	m.ac.Launch.Held.By = h.By.S
	if !h.By.Given {
		m.ac.Launch.Held.By = "hand"
		m.say("launch.held.by", "held by", "hand", "not said", "our-choice")
	}
	byHand := m.ac.Launch.Held.By == "hand"
	height, nose, sd := guess(0.15, 0.03, "lying on the grass"), guess(5*deg, 2*deg, "lying on the grass"), 1.0*deg
	if byHand {
		height, nose, sd = guess(1.4, 0.1, "breast high"), guess(10*deg, 3*deg, "held a little nose up"), 2.5*deg
	}
	m.put(h.Height, "launch.held.height", "height of the hand", "length", "tape", Scatter, 0.02, 10, false, height, func(a *Aircraft) *float64 { return &a.Launch.Held.Height })
	m.put(h.NoseUp, "launch.held.nose_up", "nose-up angle at the start", "angle", "a photograph from the side", Scatter, -60*deg, 80*deg, false, nose, func(a *Aircraft) *float64 { return &a.Launch.Held.NoseUp })
	m.put(h.Roll, "launch.held.roll", "bank at the start", "angle", "a photograph from behind", Scatter, -80*deg, 80*deg, false, guess(0, sd, "held level"), func(a *Aircraft) *float64 { return &a.Launch.Held.Roll })
	m.put(h.Aim, "launch.held.aim", "aim off the line to the stake", "angle", "a photograph from behind", Scatter, -80*deg, 80*deg, false, guess(0, sd, "aimed along the line"), func(a *Aircraft) *float64 { return &a.Launch.Held.Aim })
	m.ac.Launch.Held.Ramp = h.Ramp.Value
}

// throw assumes a careful, level throw: 8 m/s at 0.6 kg, falling with mass as
// in overarm throwing (speed ~ mass^-0.2138), reference flight 3.5.
func (m *maker) throw(t *build.Throw) {
	mass := 0.0
	for i := range m.ac.Parts {
		mass += m.ac.Parts[i].Mass
	}
	v := 8 * math.Pow(math.Max(mass, 0.05)/0.6, -0.2138)
	f := &fill{value: v, sigma: 0.18 * v, why: "a careful level throw of this mass", ref: "cross-2004"}
	m.put(t.Speed, "launch.throw.speed", "speed of the throw", "speed", "a video from the side, a known length in the picture", Scatter, 2, 25, false, f, func(a *Aircraft) *float64 { return &a.Launch.Throw.Speed })
	m.put(t.PathUp, "launch.throw.path_up", "climb angle of the throw", "angle", "a video from the side", Scatter, -30*deg, 60*deg, false, guess(10*deg, 4*deg, "a little upwards"), func(a *Aircraft) *float64 { return &a.Launch.Throw.PathUp })
	sp, sq, sr := 20*deg, 10*deg, 20*deg
	if t.Rates.Given {
		sp, sq, sr = t.Rates.Value, t.Rates.Value/2, t.Rates.Value
	}
	rate := func(path, label string, sigma float64, field func(*Aircraft) *float64) {
		m.ac.Inputs = append(m.ac.Inputs, Input{Path: path, Label: label, Sigma: sigma, Low: -6 * sigma, High: 6 * sigma, Kind: Scatter, How: "a video", Unit: "angular rate", Set: func(a *Aircraft, x float64) { *field(a) = x }})
	}
	rate("launch.throw.rates.p", "roll rate given by the hand", sp, func(a *Aircraft) *float64 { return &a.Launch.Throw.RateP })
	rate("launch.throw.rates.q", "pitch rate given by the hand", sq, func(a *Aircraft) *float64 { return &a.Launch.Throw.RateQ })
	rate("launch.throw.rates.r", "yaw rate given by the hand", sr, func(a *Aircraft) *float64 { return &a.Launch.Throw.RateR })
}

func (m *maker) bungee(b *build.Bungee) {
	a := m.ac
	g := &a.Launch.Bungee
	n := len(b.PullTest)
	g.PullStretch, g.PullForce = make([]float64, n), make([]float64, n)
	// The readings of one scale on one day share their error: one input scales them all.
	for i, r := range b.PullTest {
		g.PullStretch[i], g.PullForce[i] = r.Stretch.Value, r.Pull.Value
	}
	if n > 0 {
		rel := m.pullDoubt(b.PullTest)
		base := append([]float64(nil), g.PullForce...)
		a.Inputs = append(a.Inputs, Input{
			Path: "launch.bungee.pull_test", Label: "pull of the bungee", Nominal: 1, Sigma: rel, Low: 0.2, High: 3,
			Kind: Ignorance, How: "pull-test the cord again: luggage scale at three stretches, on the day", Unit: "ratio",
			Set: func(a *Aircraft, x float64) {
				f := a.Launch.Bungee.PullForce
				for i := range f {
					f[i] = base[i] * x
				}
			},
		})
	}
	m.put(b.Stretch, "launch.bungee.stretch", "stretch of the bungee", "length", "paces or a mark on the grass", Scatter, 0.01, 200, n == 0, m.stretchGuess(g), func(a *Aircraft) *float64 { return &a.Launch.Bungee.Stretch })
	c := &b.Cord
	fromSize := c.Outer.Given
	if n == 0 && !(fromSize && c.Slack.Given) {
		m.errorf(b.Stretch.Span, "missing", "add launch.bungee.pull_test (a luggage scale at two or three stretches), or the cord's outer diameter and slack length", "the pull of the bungee is not described")
	}
	m.put(c.Slack, "launch.bungee.cord.slack", "slack length of the rubber", "length", "tape, cord lying loose", Ignorance, 0.1, 200, false, guess(g.Stretch/2, g.Stretch/8, "taken half the stretch: rubber works at about three times its length"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.Slack })
	if fromSize {
		m.put(c.Outer, "launch.bungee.cord.outer", "outer diameter of the cord", "length", "callipers", Ignorance, 0.001, 0.05, true, nil, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Outer })
		g.Bore = c.Bore.Value
	}
	g.Strands = max(1, c.Strands.N)
	m.put(c.Mass, "launch.bungee.cord.mass", "mass of the rubber", "mass", scale, Ignorance, 0.001, 20, false, cordMass(g), func(a *Aircraft) *float64 { return &a.Launch.Bungee.CordMass })
	ret := &fill{value: 0.85, sigma: 0.05, why: "unfilled rubber returns 75 to 95 % at such a stretch", ref: "our-choice"}
	switch c.Age.S {
	case "new":
		ret.value, ret.why = 0.88, "new rubber"
	case "old":
		ret.value, ret.sigma, ret.why = 0.78, 0.07, "old rubber"
	}
	m.put(c.Returned, "launch.bungee.cord.returned", "energy the rubber gives back", "ratio", "read the luggage scale going out and coming back", Ignorance, 0.4, 0.99, false, ret, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Returned })
	m.put(b.Line.Length, "launch.bungee.line.length", "length of the line", "length", "paces", Ignorance, 0, 300, false, guess(15, 3, "a usual line"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.LineLength })
	m.put(b.Line.Diameter, "launch.bungee.line.diameter", "diameter of the line", "length", "callipers", Ignorance, 1e-4, 0.02, false, guess(0.001, 0.0003, "a usual line"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.LineDiameter })
	lm := g.LineLength * math.Pi / 4 * g.LineDiameter * g.LineDiameter * 1100 // nylon, kg/m3
	m.put(b.Line.Mass, "launch.bungee.line.mass", "mass of line and ring", "mass", scale, Ignorance, 0, 2, false, guess(lm+0.005, 0.3*lm+0.002, "nylon line and a 5 g ring"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.LineMass })
	g.FlagDrag = b.Line.FlagDrag.Value
	m.put(b.StakeHeight, "launch.bungee.stake_height", "height of the stake", "length", rule, Ignorance, 0, 3, false, guess(0.05, 0.03, "a peg in the ground"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.StakeHeight })
	g.StakeHolds, g.Limit = b.StakeHolds.Value, b.Limit.Value
	h := &b.Hook
	m.put(h.X, "launch.bungee.hook.x", "place of the hook", "length", rule, Ignorance, -1, 5, true, nil, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Hook.X })
	m.put(h.Z, "launch.bungee.hook.z", "height of the hook", "length", rule, Ignorance, -1, 1, true, nil, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Hook.Z })
	if h.Y.Given {
		m.put(h.Y, "launch.bungee.hook.y", "side place of the hook", "length", rule, Ignorance, -1, 1, false, nil, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Hook.Y })
	}
	m.put(h.Rake, "launch.bungee.hook.rake", "droop of the hook's pin", "angle", "protractor on a photograph", Ignorance, -20*deg, 110*deg, false, guess(30*deg, 8*deg, "a usual open hook"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.Rake })
	m.put(h.Friction, "launch.bungee.hook.friction", "friction of the ring on the hook", "ratio", "tilt the hook until the hanging ring slides; the tangent of that angle", Ignorance, 0.01, 1.5, false, guess(0.2, 0.06, "a smooth metal ring on a smooth pin"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.Friction })
	m.put(h.Depth, "launch.bungee.hook.depth", "length of pin the ring slides over", "length", rule, Ignorance, 0.0005, 0.1, false, guess(0.008, 0.002, "a usual hook"), func(a *Aircraft) *float64 { return &a.Launch.Bungee.Depth })
	if h.Burr.Given {
		m.put(h.Burr, "launch.bungee.hook.burr", "burr of the hook", "angle", "the tilt at which the ring slides off, less that of a clean pin", Ignorance, 0, 1.2, false, nil, func(a *Aircraft) *float64 { return &a.Launch.Bungee.Burr })
	}
	g.HookCount = max(1, h.Count.N)
	if m.ds.HasErrors() {
		return
	}
	if mass := massOf(a.Parts, 0); mass.Total > 0 && g.Hook.X > mass.CG.X {
		m.warnf(h.X.Span, "hook-aft", "the hook belongs ahead of the balance point", "the hook (x = %.0f mm) is behind the centre of gravity (x = %.0f mm)", g.Hook.X*1000, mass.CG.X*1000)
	}
	if lambda := 1 + g.Stretch/g.Slack; g.Slack > 0 && lambda > 5.2 {
		m.warnf(b.Stretch.Span, "over-stretched", "pull back less, or use a longer cord", "the rubber is pulled to %.1f times its length; natural rubber stiffens and loses energy beyond about 5", lambda)
	}
	if n > 0 && g.Stretch > 1.3*g.PullStretch[n-1] {
		m.warnf(b.Stretch.Span, "beyond-test", fmt.Sprintf("pull-test it at %.1f m", g.Stretch), "the stretch lies far beyond the last reading of the pull test (%.1f m): its pull is extrapolated", g.PullStretch[n-1])
	}
}

// pullDoubt is the common relative doubt (one standard deviation) of a pull
// test: what the readings state, or 5 % (a luggage scale read by one person,
// cord warm-up and age between test and launch), and more for few readings.
func (m *maker) pullDoubt(rows []build.PullRow) float64 {
	rel, said := 0.0, 0
	for _, r := range rows {
		if r.Pull.Stated && r.Pull.Value > 0 {
			rel += r.Pull.Sigma / r.Pull.Value
			said++
		}
	}
	if said > 0 {
		return rel / float64(said)
	}
	if len(rows) < 2 {
		return 0.10
	}
	return 0.06
}

func (m *maker) stretchGuess(g *Bungee) *fill {
	n := len(g.PullStretch)
	if n == 0 {
		return nil
	}
	v := 0.9 * g.PullStretch[n-1]
	return guess(v, 0.04*v, "nine tenths of the longest pull of the test")
}

// cordMass is the rubber that the measured energy needs: stored energy over
// the neo-Hookean energy of natural rubber at this stretch,
//
//	W = G/2 (λ² + 2/λ − 3),  G = 0.39 MPa (Treloar 1944), ρ = 930 kg/m³;
//
// from its size when that is known: ρ π/4 (outer² − bore²) L strands.
func cordMass(g *Bungee) *fill {
	const rho, shear = 930, 0.39e6
	if g.Outer > 0 {
		v := rho * math.Pi / 4 * (g.Outer*g.Outer - g.Bore*g.Bore) * g.Slack * float64(g.Strands)
		return &fill{value: v, sigma: 0.06 * v, why: "from its size at 930 kg/m3", ref: "treloar-1944"}
	}
	n := len(g.PullStretch)
	if n == 0 || g.Slack <= 0 {
		return guess(0.2, 0.1, "a usual cord")
	}
	energy, x0, f0 := 0.0, 0.0, 0.0
	for i := range g.PullStretch {
		energy += (g.PullStretch[i] - x0) * (g.PullForce[i] + f0) / 2
		x0, f0 = g.PullStretch[i], g.PullForce[i]
	}
	l := 1 + x0/g.Slack
	v := energy * rho / (shear / 2 * (l*l + 2/l - 3))
	return &fill{value: v, sigma: 0.3 * v, why: "the rubber that stores the energy of the pull test", ref: "treloar-1944"}
}

// With returns a copy of the aircraft with the inputs of the given indices
// set to the given values and the mass properties made anew. The original is
// untouched. Inputs of the shape are set too, and the reference lengths made
// anew: a full rebuild, for checks of [Aircraft.Vary].
func (a *Aircraft) With(index []int, value []float64) *Aircraft {
	c := a.copied(true)
	for k, i := range index {
		a.Inputs[i].Set(c, value[k])
	}
	c.Ref = reference(c.Surfaces)
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c
}

// Vary is With for draws: inputs of the shape are left alone, for they act
// through differences of the lattice computed once.
func (a *Aircraft) Vary(index []int, value []float64) *Aircraft {
	c := a.copied(false)
	for k, i := range index {
		if in := &a.Inputs[i]; !in.shape {
			in.Set(c, value[k])
		}
	}
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c
}

// copied is a copy whose numbers may be set; deep also copies the shape.
func (a *Aircraft) copied(deep bool) *Aircraft {
	c := *a
	c.Parts = append([]Part(nil), a.Parts...)
	c.Launch.Bungee.PullForce = append([]float64(nil), a.Launch.Bungee.PullForce...)
	c.Linkages = append([]Linkage(nil), a.Linkages...)
	c.Bolts = append([]Bolt(nil), a.Bolts...)
	c.Radios = append([]Radio(nil), a.Radios...)
	c.Obstacles = append([]Obstacle(nil), a.Obstacles...)
	if deep {
		c.Surfaces = append([]Surface(nil), a.Surfaces...)
		for i := range c.Surfaces {
			c.Surfaces[i].Stations = append([]Station(nil), a.Surfaces[i].Stations...)
			c.Surfaces[i].Controls = append([]Control(nil), a.Surfaces[i].Controls...)
		}
		c.Body = append([]BodyStation(nil), a.Body...)
	}
	return &c
}

// Corners returns the outermost points of the airframe in build axes, for
// ground contact: nose, tail, top and bottom of the body, tips of every
// surface at leading and trailing edge, the hook, the propeller's disc not.
func (a *Aircraft) Corners() []r3.Vec {
	var out []r3.Vec
	add := func(x, y, z float64) { out = append(out, r3.Vec{X: x, Y: y, Z: z}) }
	for _, b := range a.Body {
		add(b.X, 0, b.Z-b.Height/2)
	}
	if n := len(a.Body); n > 0 {
		add(a.Body[0].X, 0, a.Body[0].Z)
		add(a.Body[n-1].X, 0, a.Body[n-1].Z)
	}
	for i := range a.Surfaces {
		s := &a.Surfaces[i]
		for _, j := range []int{0, len(s.Stations) - 1} {
			st := &s.Stations[j]
			for _, x := range []float64{0, st.Chord} {
				add(st.LE.X+x*math.Cos(st.Twist), st.LE.Y, st.LE.Z-x*math.Sin(st.Twist))
				if s.Mirrored {
					add(st.LE.X+x*math.Cos(st.Twist), -st.LE.Y, st.LE.Z-x*math.Sin(st.Twist))
				}
			}
		}
	}
	return out
}
