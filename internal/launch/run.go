package launch

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// phase of the line.
type phase uint8

const (
	taut phase = iota
	slack
	free
)

// What the guard watches.
const (
	gGround = iota
	gSlack
	gSlide
	gFall
	gTaut
	gStake
	gRail
	gLift
	gDig
	gNone
)

// look is the interval, s, at which stall, line and success are looked at on
// the dense output: instants do not depend on the integrator's steps.
const look = 0.05

// plainStall is the flags of the air that only say what a stall or a low
// Reynolds number is.
const plainStall = aero.Stalled | aero.TipStall | aero.TailStalled | aero.BeyondAlpha | aero.LowRe

// Workspace holds what a run needs; give each worker its own. The zero value
// is not usable: [NewWorkspace].
type Workspace struct {
	sim *motion.Sim
	set *Setup
	see func(*motion.Sim) bool

	body            motion.Body
	rule            Rule
	ref, hook, prop r3.Vec // from the c.g., body axes
	axis            r3.Vec // thrust line
	corner, tail    []r3.Vec
	reach           float64 // of the farthest corner
	stake           r3.Vec
	sinGrip         float64
	pin             r3.Vec
	tanSlope        float64
	drift           float64 // of gust and turbulence along N, m/s
	turb            field

	// state of the launch
	phase        phase
	guided       bool
	grass        bool
	lineMass     float64 // moving with the line end
	full         float64 // distance at which the line is just straight
	top          float64 // energy of the cord at the start (factor included)
	dragArea     float64
	contactK     float64
	started      float64 // time at which the motor starts, +Inf never
	turning      bool
	dPitch       float64
	dRoll, dYaw  float64
	held         bool
	flying       bool // the pilot
	pilotAt      float64
	flown        float64 // m of path since release
	lastPos      r3.Vec
	guide        r3.Vec
	falling      bool
	fallAt       float64
	released     float64
	stall        float64
	alphaStall   float64
	stalledFor   float64
	nextLook     float64
	nextRow      float64
	startHeight  float64
	passed       bool
	lastTension  float64
	extra, steps int

	out  Outcome
	rows []Row

	// scratch
	flow   Flow
	loads  Loads
	fk     AeroFactors
	s, rs  motion.State
	thrust float64 // at the last evaluation
	air    r3.Vec  // wind at the last airspeed
}

// NewWorkspace makes one.
func NewWorkspace() *Workspace {
	w := &Workspace{sim: motion.NewSim()}
	w.see = w.observe
	return w
}

func bodyVec(p, cg r3.Vec) r3.Vec { return r3.Vec{X: cg.X - p.X, Y: p.Y - cg.Y, Z: cg.Z - p.Z} }

func dot(a, b r3.Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

// Run flies one launch. It allocates nothing after the first runs of the
// workspace (trajectory rows excepted) and depends on nothing but the setup:
// the same setup gives the same bits. The trajectory, if asked for, is read
// from the workspace before its next run.
func Run(s *Setup, w *Workspace) Outcome {
	st := motion.State{}
	if !w.begin(s, &st) {
		w.out.Class = NoResult
		w.out.Status |= Impossible
		nan := math.NaN()
		w.out.AtEnd = Moment{StallRatio: nan, TrimRatio: nan, LineShort: nan}
		return w.out
	}
	w.fly(&st)
	return w.out
}

// begin prepares the run and the first state.
func (w *Workspace) begin(s *Setup, st *motion.State) bool {
	w.set = s
	w.rule = s.Rule.filled()
	w.out = Outcome{Clearance: math.Inf(1), StallSpeed: math.NaN(), TrimSpeed: math.NaN()}
	w.rows = w.rows[:0]
	var ok bool
	if w.body, ok = motion.NewBody(s.Mass, s.Inertia); !ok {
		return false
	}
	if !(s.Gravity > 0) || !(s.Rho >= 0) || !finite(
		s.Height, s.NoseUp, s.Roll, s.Aim, s.Slope, s.Stretch, s.Speed, s.PathUp, s.RateP, s.RateQ, s.RateR,
		s.Rho, s.CG.X, s.CG.Y, s.CG.Z, s.StickPitch, s.StickRoll, s.StickYaw, s.Damper, s.Throttle, s.Spool, s.MotorDelay,
		s.Gust.Head, s.Gust.Right, s.Gust.Up, s.Gust.Start, s.Gust.Length, s.Ramp, s.RampFriction, s.GrassGrip) || math.IsNaN(s.StickUntil) {
		return false
	}
	w.ref = bodyVec(s.Reference, s.CG)
	w.hook = bodyVec(s.Hook.At, s.CG)
	w.prop = bodyVec(s.Prop.At, s.CG)
	sd, cd := math.Sincos(s.Prop.Down)
	sr, cr := math.Sincos(s.Prop.Right)
	w.axis = r3.Vec{X: cd * cr, Y: cd * sr, Z: sd}
	w.corner = w.corner[:0]
	w.reach = 0
	for _, c := range s.Corners {
		b := bodyVec(c, s.CG)
		w.corner = append(w.corner, b)
		w.reach = max(w.reach, r3.Norm(b))
	}
	w.tail = w.tail[:0]
	for _, c := range s.Tail {
		w.tail = append(w.tail, bodyVec(c, s.CG))
	}
	w.tanSlope = math.Tan(s.Slope)
	n, _, _ := s.Wind.NED(5)
	w.drift = n
	w.turb.make(&s.Turbulence, &s.Wind)

	// attitude and place
	st.Att = motion.Attitude(s.Roll, s.NoseUp, s.Aim)
	fr := motion.FrameOf(st.Att)
	st.Rate = r3.Vec{X: s.RateP, Y: s.RateQ, Z: s.RateR}
	w.grass = s.Hold == OnGrass
	w.guided = s.Hold == OnRamp && s.Ramp > 0
	h := s.Height
	if w.grass {
		h = 0
		for _, c := range w.corner {
			e := fr.Earth(c)
			h = max(h, e.Z+e.X*w.tanSlope)
		}
		st.Rate = r3.Vec{}
		w.contactK = s.Mass * s.Gravity / 0.008
	}
	if w.guided {
		st.Rate = r3.Vec{}
		sn, cn := math.Sincos(s.NoseUp)
		sa, ca := math.Sincos(s.Aim)
		w.guide = r3.Vec{X: cn * ca, Y: cn * sa, Z: -sn}
	}
	if !(h > 0) {
		return false
	}
	st.Pos = r3.Vec{Z: -h}
	st.Vel = r3.Vec{}
	w.startHeight = h

	// line and hook
	w.phase, w.falling, w.passed = free, false, false
	w.released, w.started, w.turning = math.NaN(), math.Inf(1), false
	w.stalledFor, w.lastTension = 0, 0
	w.nextLook, w.nextRow = look, 0
	w.extra, w.steps = 0, 0
	w.lineMass, w.full, w.top = 0, math.Inf(1), 0
	w.held, w.flying, w.flown = true, false, 0
	w.dPitch, w.dRoll, w.dYaw = w.stick()

	if s.Way == Bungee {
		if s.Cord == nil || len(s.Cord.w) == 0 || !(s.LineLength >= 0) || !(s.CordFactor > 0) || !(s.Returned > 0) || !(s.LineMass >= 0) || !(s.RingMass >= 0) || !finite(
			s.LineLength, s.CordFactor, s.Returned, s.LineMass, s.LineDiameter, s.FlagDrag, s.StakeHeight,
			s.Hook.At.X, s.Hook.At.Y, s.Hook.At.Z, s.Hook.Rake, s.Hook.Friction, s.Hook.Burr, s.Hook.Depth) {
			return false
		}
		w.phase = taut
		w.lineMass = s.Cord.Mass/3 + s.LineMass
		w.full = s.Cord.Slack + s.LineLength
		w.dragArea = s.FlagDrag + threadDrag*math.Pi*s.LineDiameter*s.LineLength
		stretch := max(0, s.Stretch)
		_, e, _ := s.Cord.At(stretch)
		w.top = e * s.CordFactor
		w.pin = s.Hook.Pin()
		w.sinGrip = math.Sin(min(s.Hook.Grip(), math.Pi/2))
		hp := r3.Add(st.Pos, fr.Earth(w.hook))
		R := w.full + stretch
		D := R
		for range 4 { // the stake's height depends on how far off it stands
			dz := -(D*w.tanSlope + s.StakeHeight) - hp.Z
			d2 := R*R - hp.Y*hp.Y - dz*dz
			if !(d2 > 0) {
				return false
			}
			D = hp.X + math.Sqrt(d2)
		}
		w.stake = r3.Vec{X: D, Z: -(D*w.tanSlope + s.StakeHeight)}
		if l := 1 + stretch/s.Cord.Slack; l > Crystallisation {
			w.out.Status |= CordBeyondRubber
		}
		if stretch > 1.05*s.Cord.Tested {
			w.out.Status |= CordBeyondTest
		}
	} else {
		sp := s.Speed
		if s.SpeedMass > 0 {
			sp *= ThrowFactor(s.Mass, s.SpeedMass)
		}
		sn, cn := math.Sincos(s.PathUp)
		sa, ca := math.Sincos(s.Aim)
		st.Vel = r3.Vec{X: sp * cn * ca, Y: sp * cn * sa, Z: -sp * sn}
		w.grass, w.guided = false, false
	}
	if s.Motor != nil && !s.MotorOff && s.MotorDelay < 0 {
		w.started = s.MotorDelay
		w.turning = true
	}
	w.findStall()
	return true
}

// threadDrag is the drag coefficient of a thread along the flow on its wetted
// area (Hoerner, from memory: 0.02 to 0.03 for smooth cord).
const threadDrag = 0.02

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// stick is the deflections of the stick now held, without the damper.
func (w *Workspace) stick() (p, r, y float64) {
	s := w.set
	if s.Aero == nil {
		return
	}
	if !w.held {
		return s.Aero.Stick(0, 0, 0)
	}
	return s.Aero.Stick(clip(s.StickPitch), clip(s.StickRoll), clip(s.StickYaw))
}

func clip(v float64) float64 { return max(-1, min(1, v)) }

// fly runs the phases until something decides.
func (w *Workspace) fly(st *motion.State) {
	s := w.set
	w.sim.Start(&w.body, w, s.Gravity, 0, st, s.Accuracy)
	// what is held at the start
	l := w.ask(0, st)
	if w.phase == taut {
		f, _, _ := s.Cord.At(max(0, s.Stretch))
		w.out.HookPull = f * s.CordFactor
		w.out.MaxTension = w.out.HookPull
		w.lastTension = l.Tension
		switch {
		case s.MaxTension > 0 && w.out.HookPull > s.MaxTension:
			w.finish(OverStress)
			return
		case w.hold(st) <= 0:
			w.finish(NeverLeft) // the ring would not hang on
			return
		case w.out.HookPull == 0:
			w.finish(NeverLeft)
			return
		}
	}
	if s.Way == Hand {
		w.release(Thrown)
	}
	for range 1000 {
		// A margin may lie below zero already when its watch begins (a ring
		// whose line went slack nose-up falls at once).
		w.sim.State(&w.s)
		fr := motion.FrameOf(w.s.Att)
		if m, which := w.Guard(w.sim.T(), &w.s, &fr); m <= 0 {
			if w.event(which) {
				return
			}
			continue
		}
		end, what := w.next()
		e := w.sim.Run(end, w, w.see)
		w.out.Why = e.Why
		switch e.Reason {
		case motion.Halted:
			return // observe has finished
		case motion.Broken:
			w.out.Status |= BrokeDown
			w.finish(NoResult)
			return
		case motion.TimeUp:
			if w.switched(what) {
				return
			}
		case motion.Guarded:
			if w.event(e.Which) {
				return
			}
		}
	}
	w.out.Status |= BrokeDown
	w.finish(NoResult)
}

// switching instants planned ahead.
const (
	swMotor = iota
	swSpun
	swStick
	swFall
	swWait
	swUntil
	swPilot
)

func (w *Workspace) next() (end float64, what int) {
	s, t := w.set, w.sim.T()
	end, what = math.Inf(1), swWait
	try := func(x float64, k int) {
		if x > t && x < end {
			end, what = x, k
		}
	}
	if math.IsNaN(w.released) {
		try(w.rule.Wait, swWait)
	} else {
		try(w.released+w.rule.Until, swUntil)
		if w.held && !w.flying {
			try(w.released+max(0, s.StickUntil), swStick)
		}
		if !w.flying {
			try(w.pilotAt, swPilot)
		}
	}
	if !math.IsInf(w.started, 1) {
		if !w.turning {
			try(w.started, swMotor)
		}
		try(w.started+s.Spool, swSpun)
	}
	if w.falling {
		try(w.fallAt, swFall)
	}
	return
}

// switched deals with a planned instant; true ends the launch.
func (w *Workspace) switched(what int) bool {
	switch what {
	case swMotor:
		w.turning = true
		w.sim.Change(nil, 0)
	case swSpun:
		w.sim.Change(nil, 0)
	case swStick:
		w.held = false
		w.dPitch, w.dRoll, w.dYaw = w.stick()
		w.sim.Change(nil, 0)
	case swPilot:
		w.flying = true
		w.sim.Change(nil, 0)
	case swFall:
		w.falling = false
		return w.release(FellOff)
	case swWait:
		if w.grass || w.guided {
			w.finish(NeverLeft)
		} else {
			w.finish(HookNotReleased)
		}
		return true
	case swUntil:
		w.finish(NotEstablished)
		return true
	}
	return false
}

// event deals with a margin that fell to zero; true ends the launch.
func (w *Workspace) event(which int) bool {
	w.sim.State(&w.s)
	switch which {
	case gGround, gDig:
		w.ground()
		return true
	case gSlack:
		w.phase = slack
		w.lineMass = 0 // the line has caught up: it pulls no more by its inertia
		w.out.Status |= SlackOnTheHook
		if w.out.SlackAt == 0 {
			w.out.SlackAt, w.out.SlackSpeed = w.sim.T(), r3.Norm(w.s.Vel)
		}
	case gTaut:
		w.phase = taut
		w.out.Status |= Retautened
	case gSlide:
		by := SlidOff
		if w.passed {
			by = PulledBack
		}
		return w.release(by)
	case gFall:
		w.falling = true
		fr := motion.FrameOf(w.s.Att)
		p := w.ringPull(&w.s, &fr)
		g := r3.Norm(p) // acceleration, m/s²
		w.fallAt = w.sim.T() + math.Sqrt(2*max(w.set.Hook.Depth, 0)/max(0.2*g, 0.5))
	case gStake:
		w.passed = true
		if !w.set.BackRelease {
			w.finish(HookNotReleased)
			return true
		}
	case gRail:
		w.guided = false
	case gLift:
		w.grass = false
	}
	w.sim.Change(nil, 0)
	return false
}

func (w *Workspace) ground() {
	switch {
	case w.s.Pos.X < 1 && w.set.Way == Bungee && math.IsNaN(w.released):
		w.finish(NeverLeft)
	case math.IsNaN(w.released):
		w.finish(GroundBeforeRelease)
	default:
		w.finish(GroundAfterRelease)
	}
}

// release frees it of the line (or the hand); true ends the launch.
func (w *Workspace) release(by Leaving) bool {
	s, t := w.set, w.sim.T()
	w.sim.State(&w.s)
	w.out.By, w.out.Released = by, true
	w.released = t
	w.lastPos = w.s.Pos
	w.pilotAt = math.Inf(1)
	if s.TakeOver >= 0 {
		w.pilotAt = t + s.TakeOver
		if !math.IsInf(s.StickUntil, 1) {
			w.pilotAt = t + max(s.TakeOver, s.StickUntil+1e-9)
		}
		w.pilotAt = max(w.pilotAt, t+1e-9)
	}
	w.moment(t, &w.s, &w.out.AtRelease)
	if w.phase == taut {
		w.out.Clearance = math.Inf(1)
	}
	w.phase = free
	if s.Motor != nil && !s.MotorOff && s.MotorDelay >= 0 {
		w.started = t + s.MotorDelay
		if s.MotorDelay == 0 {
			w.turning = true
		}
	}
	if by != Thrown && s.Prop.Pusher && !math.IsInf(w.started, 1) && w.prop.X < w.hook.X {
		// The ring falls from the hook and is blown aft: it must be below the
		// disc before the propeller turns.
		drop := s.Prop.Radius - (w.hook.Z - w.prop.Z)
		if drop > 0 && w.started < t+math.Sqrt(2*drop/s.Gravity) {
			w.finish(LineSnag)
			return true
		}
	}
	if t > 0 {
		w.sim.Change(nil, 0)
	}
	return false
}

// finish writes the end of the outcome.
func (w *Workspace) finish(c Class) {
	o := &w.out
	o.Class, o.Success = c, c == Airborne
	o.T = w.sim.T()
	w.sim.State(&w.s)
	w.finishAt(o.T, &w.s)
}

func (w *Workspace) finishAt(t float64, s *motion.State) {
	o := &w.out
	o.T = t
	w.moment(t, s, &o.AtEnd)
	if w.set.Record > 0 {
		w.row(t, s)
	}
	o.Ledger = w.sim.Ledger()
	o.Evals, o.Extra, o.Steps = w.sim.Evals, w.extra, w.steps
	if w.set.Way == Bungee {
		if c := w.set.Cord; o.MaxLine > c.WaveSpeed(max(0, w.set.Stretch))/3 {
			o.Status |= CordWaves
		}
	}
}

// wind is the velocity of the air, NED, at a place over ground.
func (w *Workspace) wind(t float64, p r3.Vec, h float64) r3.Vec {
	s := w.set
	n, e, d := s.Wind.NED(h)
	if s.Gust.Length > 0 || w.turb.on {
		x := p.X - w.drift*t
		if g := &s.Gust; g.Length > 0 {
			if b := (air.OneMinusCosine{Peak: 1, H: g.Length / 2}).At(x - g.Start); b > 0 {
				n -= b * g.Head
				e += b * g.Right
				d -= b * g.Up
			}
		}
		if w.turb.on {
			a, b, c := w.turb.at(x)
			n, e, d = n+a, e+b, d+c
		}
	}
	return r3.Vec{X: n, Y: e, Z: d}
}

// airspeed in body axes, and the height of the c.g. over ground.
func (w *Workspace) airspeed(t float64, s *motion.State, f *motion.Frame) (vb r3.Vec, h float64) {
	h = -s.Pos.Z - s.Pos.X*w.tanSlope
	w.air = w.wind(t, s.Pos, h)
	return f.Body(r3.Sub(s.Vel, w.air)), h
}

// arcsin is math.Asin held inside its range, by its series (error below
// 1e-12) where the angle is small.
func arcsin(x float64) float64 {
	if math.Abs(x) < 0.05 {
		y := x * x
		return x * (1 + y*(1.0/6+y*(3.0/40+y*(15.0/336+y*(105.0/3456)))))
	}
	return math.Asin(max(-1, min(1, x)))
}

// flowOf fills the flow without stick.
func (w *Workspace) flowOf(vb r3.Vec, s *motion.State, f *motion.Frame, h float64) *Flow {
	fl := &w.flow
	v := math.Sqrt(dot(vb, vb))
	fl.V, fl.Alpha, fl.Beta = v, 0, 0
	fl.P, fl.Q, fl.R = s.Rate.X, s.Rate.Y, s.Rate.Z
	fl.Brake, fl.Rho, fl.Mu = 0, w.set.Rho, w.set.Mu
	if v > 1e-9 {
		fl.Alpha = math.Atan2(vb.Z, vb.X)
		fl.Beta = arcsin(vb.Y / v)
	}
	fl.Height = max(0, h-(f[2][0]*w.ref.X+f[2][1]*w.ref.Y+f[2][2]*w.ref.Z))
	return fl
}

// Forces is for the equations of motion (see motion.Forces).
func (w *Workspace) Forces(t float64, s *motion.State, f *motion.Frame, l *motion.Load) {
	st := w.set
	vb, h := w.airspeed(t, s, f)
	vg := f.Body(s.Vel) // over ground

	// motor
	thrust := 0.0
	if st.Motor != nil {
		u := max(0, vb.X)
		var F, M r3.Vec
		if !w.turning {
			thrust = -st.Motor.Stopped(u)
			F = r3.Scale(thrust, w.axis)
		} else {
			x := 1.0
			dx := 0.0
			if st.Spool > 0 {
				if z := (t - w.started) / st.Spool; z < 1 {
					z = max(0, z)
					x = z * z * (3 - 2*z)
					dx = 6 * z * (1 - z) / st.Spool
				}
			}
			p := st.Motor.At(u, st.Throttle*max(x, 1e-3), &st.MotorK)
			blend := min(1, 4*x)
			thrust = p.Thrust
			if blend < 1 {
				thrust = blend*p.Thrust - (1-blend)*st.Motor.Stopped(u)
			}
			turn := st.Prop.Turn
			spin := p.Omega * blend
			accel := 0.0
			if x < 1 {
				accel = p.Omega / max(x, 0.05) * dx // speed follows the throttle about in proportion
			}
			F = r3.Scale(thrust, w.axis)
			M = r3.Scale(-turn*(blend*p.Torque+st.Prop.Inertia*accel), w.axis)
			M = r3.Sub(M, cross(s.Rate, r3.Scale(turn*st.Prop.Inertia*spin, w.axis)))
		}
		l.F = F
		l.M = r3.Add(M, cross(w.prop, F))
		l.Power[1] = dot(F, vg) + dot(l.M, s.Rate)
	}
	w.thrust = thrust

	// air
	if st.Aero != nil {
		fl := w.flowOf(vb, s, f, h)
		fl.Pitch, fl.Roll, fl.Yaw = w.dPitch, w.dRoll, w.dYaw
		if st.Damper != 0 || w.flying {
			sp, sr, sy := 0.0, 0.0, 0.0
			if w.held {
				sp, sr, sy = st.StickPitch, st.StickRoll, st.StickYaw
			}
			if w.flying {
				sp, sr, sy = w.pilot(t, s, f, sp, sr, sy)
			}
			fl.Pitch, fl.Roll, fl.Yaw = st.Aero.Stick(clip(sp-st.Damper*s.Rate.Y), clip(sr-st.Damper*s.Rate.X), clip(sy-st.Damper*s.Rate.Z))
		}
		k := &st.AeroK
		if st.Prop.Washed > 0 && thrust > 0 {
			area := math.Pi * st.Prop.Radius * st.Prop.Radius
			q := 0.5 * st.Rho * (fl.V*fl.V + 16) // bounded at a standstill: 4 m/s
			w.fk = *k
			g := 1 + st.Prop.Washed*thrust/(area*q)
			w.fk.Control *= g
			fl.Roll /= g // the ailerons stand beside the slipstream
			k = &w.fk
		}
		st.Aero.Eval(fl, k, &w.loads)
		M := r3.Add(w.loads.M, cross(w.ref, w.loads.F))
		l.F = r3.Add(l.F, w.loads.F)
		l.M = r3.Add(l.M, M)
		l.Power[0] = dot(w.loads.F, vg) + dot(M, s.Rate)
	}

	if w.grass {
		w.contact(s, f, l)
	}
	if w.guided {
		l.Guide = motion.Guide{On: true, Dir: w.guide, Friction: st.RampFriction}
	}
	if w.phase == taut {
		he := f.Earth(w.hook)
		to := r3.Sub(w.stake, r3.Add(s.Pos, he))
		L := math.Sqrt(dot(to, to))
		dir := r3.Scale(1/L, to)
		// The branch is held beyond the slack point, odd, so that the step that
		// finds it sees a smooth force; the guard ends it there.
		x := L - w.full
		F, W, _ := st.Cord.At(math.Abs(x))
		pull := math.Copysign(Recoil(F*st.CordFactor, W*st.CordFactor, w.top, st.Returned), x)
		// line and flag run with the hook towards the stake through the air
		vp := r3.Add(s.Vel, f.Earth(cross(s.Rate, w.hook)))
		run := dot(dir, r3.Sub(vp, w.air))
		pull -= 0.5 * st.Rho * w.dragArea * run * math.Abs(run)
		l.Tether = motion.Tether{On: true, OneWay: x > 0, At: w.hook, Dir: dir, Length: L, Pull: pull, Mass: w.lineMass}
	}
}

// pilot blends the stick from what is held to what the pilot does: wings level,
// nose to the climb. Only the frame's elements are used, so that it is smooth
// at any attitude but exactly inverted.
func (w *Workspace) pilot(t float64, s *motion.State, f *motion.Frame, sp, sr, sy float64) (p, r, y float64) {
	k := &w.set.Pilot
	x := 1.0
	if k.Ease > 0 {
		x = min(1, (t-w.pilotAt)/k.Ease)
	}
	b := x * x * (3 - 2*x)
	soft := func(v float64) float64 { return v / math.Sqrt(1+v*v) }
	nose := math.Sin(k.Climb) + f[2][0]
	p = soft(k.Pitch*nose*f[2][2] - k.Rate*s.Rate.Y)
	r = soft(-k.Roll*2*f[2][1]/math.Sqrt(2*(1+f[2][2])+0.02) - k.Rate*s.Rate.X)
	return sp + b*(p-sp), sr + b*(r-sr), sy * (1 - b)
}

// contact adds the ground's push and grip on sunken corners: springs in which
// the weight sinks 8 mm, damped (Hunt and Crossley's form), and dry friction
// smoothed over 0.1 m/s.
func (w *Workspace) contact(s *motion.State, f *motion.Frame, l *motion.Load) {
	for _, c := range w.corner {
		e := f.Earth(c)
		p := r3.Add(s.Pos, e)
		sink := p.Z + p.X*w.tanSlope
		if sink <= 0 {
			continue
		}
		v := r3.Add(s.Vel, f.Earth(cross(s.Rate, c)))
		down := v.Z + v.X*w.tanSlope
		n := w.contactK * sink * (1 + 3*down)
		if n <= 0 {
			continue
		}
		g := w.set.GrassGrip * n / math.Sqrt(v.X*v.X+v.Y*v.Y+0.01)
		fe := r3.Vec{X: -n*w.tanSlope - g*v.X, Y: -g * v.Y, Z: -n}
		fb := f.Body(fe)
		l.F = r3.Add(l.F, fb)
		l.M = r3.Add(l.M, cross(c, fb))
		l.Power[3] += dot(fe, v)
	}
}

// lowest is the least height of any corner over ground; a lower bound when
// that is enough to know it is clear.
func (w *Workspace) lowest(s *motion.State, f *motion.Frame, exact bool) float64 {
	h := -s.Pos.Z - s.Pos.X*w.tanSlope
	if clear := h - w.reach*(1+math.Abs(w.tanSlope)); !exact && clear > 0.5 {
		return clear
	}
	ax, ay, az := f[2][0]+w.tanSlope*f[0][0], f[2][1]+w.tanSlope*f[0][1], f[2][2]+w.tanSlope*f[0][2]
	low := math.Inf(1)
	for i := range w.corner {
		c := &w.corner[i]
		if v := h - (ax*c.X + ay*c.Y + az*c.Z); v < low {
			low = v
		}
	}
	if len(w.corner) == 0 {
		return h
	}
	return low
}

// line gives the vector from the hook to the stake, earth axes, and its length.
func (w *Workspace) line(s *motion.State, f *motion.Frame) (to r3.Vec, length float64) {
	to = r3.Sub(w.stake, r3.Add(s.Pos, f.Earth(w.hook)))
	return to, math.Sqrt(dot(to, to))
}

// hold is the margin, as a sine, by which the hook holds the ring of a taut line.
func (w *Workspace) hold(s *motion.State) float64 {
	f := motion.FrameOf(s.Att)
	to, L := w.line(s, &f)
	return w.sinGrip - dot(f.Body(to), w.pin)/L
}

// ringPull is what acts on a ring on a slack line, as an acceleration in body
// axes: its weight with that of the line that hangs from it, and the drag of
// line and flag, which blows it aft.
func (w *Workspace) ringPull(s *motion.State, f *motion.Frame) r3.Vec {
	st := w.set
	h := -s.Pos.Z - s.Pos.X*w.tanSlope
	hang := 0.0
	if st.LineLength > 0 {
		hang = min(1, max(0, h)/st.LineLength) * max(0, st.LineMass-st.RingMass)
	}
	m := max(st.RingMass, 1e-4) + hang
	g := r3.Scale(st.Gravity, f.Down())
	vb, _ := w.airspeed(w.sim.T(), s, f)
	return r3.Sub(g, r3.Scale(0.5*st.Rho*w.dragArea*r3.Norm(vb)/m, vb))
}

// Guard is for the equations of motion (see motion.Guard).
func (w *Workspace) Guard(_ float64, s *motion.State, f *motion.Frame) (float64, int) {
	m, which := math.Inf(1), gNone
	try := func(v float64, k int) {
		if v < m {
			m, which = v, k
		}
	}
	if w.grass {
		low := w.lowest(s, f, true)
		try(0.02-low, gLift)
		try(low+0.08, gDig)
	} else if !w.guided {
		try(w.lowest(s, f, false), gGround)
	} else {
		try(w.set.Ramp-dot(r3.Add(s.Pos, r3.Vec{Z: w.startHeight}), w.guide), gRail)
	}
	switch w.phase {
	case taut:
		to, L := w.line(s, f)
		try(L-w.full, gSlack)
		try(w.sinGrip-dot(f.Body(to), w.pin)/L, gSlide)
		if !w.passed {
			try(w.stake.X+w.rule.Passed-s.Pos.X, gStake)
		}
	case slack:
		_, L := w.line(s, f)
		try(w.full-L+1e-9, gTaut)
		if !w.falling {
			p := w.ringPull(s, f)
			try(w.sinGrip*r3.Norm(p)-dot(p, w.pin), gFall)
		}
		if !w.passed {
			try(w.stake.X+w.rule.Passed-s.Pos.X, gStake)
		}
	}
	return m, which
}

// observe is called after each step.
func (w *Workspace) observe(m *motion.Sim) bool {
	w.steps++
	o, st := &w.out, w.set
	l := m.Load()
	if w.phase == taut && l.Tension > o.MaxTension {
		o.MaxTension = l.Tension
	}
	if !w.grass && !w.guided {
		// load factor along body z from the felt acceleration
		fr := m.Frame()
		n := -(fr[0][2]*l.Accel.X + fr[1][2]*l.Accel.Y + fr[2][2]*(l.Accel.Z-st.Gravity)) / st.Gravity
		if math.Abs(n) > math.Abs(o.MaxLoad) {
			o.MaxLoad = n
		}
	}
	from, to := m.Span()
	if (st.MaxTension > 0 && o.MaxTension > st.MaxTension) || (st.MaxLoad > 0 && math.Abs(o.MaxLoad) > st.MaxLoad) {
		w.finish(OverStress)
		return false
	}
	for ; w.nextLook <= to; w.nextLook += look {
		if w.nextLook < from {
			continue
		}
		w.record(from, w.nextLook)
		m.At(w.nextLook, &w.s)
		if w.inspect(w.nextLook, &w.s) {
			return false
		}
	}
	w.record(from, to)
	return true
}

// record writes the rows due up to t, inside the last step.
func (w *Workspace) record(from, t float64) {
	if w.set.Record <= 0 {
		return
	}
	for ; w.nextRow <= t+1e-12; w.nextRow += w.set.Record {
		if w.nextRow >= from {
			w.sim.At(w.nextRow, &w.rs)
			w.row(w.nextRow, &w.rs)
		}
	}
}

// inspect looks at one instant of the regular grid; true when the launch is
// decided.
func (w *Workspace) inspect(t float64, s *motion.State) bool {
	o, st := &w.out, w.set
	f := motion.FrameOf(s.Att)
	vb, h := w.airspeed(t, s, &f)
	V := math.Sqrt(dot(vb, vb))
	o.MaxSpeed = max(o.MaxSpeed, V)
	o.MaxHeight = max(o.MaxHeight, h)
	if w.loads.Flag&^plainStall != 0 && V > 0.7*w.stall {
		o.Status |= AirBeyond
	}
	if w.phase == taut {
		to, L := w.line(s, &f)
		vp := r3.Add(s.Vel, f.Earth(cross(s.Rate, w.hook)))
		o.MaxLine = max(o.MaxLine, dot(to, vp)/L)
		if w.snag(f.Body(r3.Scale(1/L, to)), L) {
			w.decide(LineSnag, t, s)
			return true
		}
	}
	if (w.grass || w.guided) && t > 0.5 && dot(s.Vel, s.Vel) < 0.0025 {
		w.decide(NeverLeft, t, s)
		return true
	}
	// While the line still pulls her along, an angle of attack beyond the stall
	// passes as she gains speed; from then on it is a departure.
	if st.Aero != nil && w.phase != taut {
		if math.Atan2(vb.Z, vb.X) > w.alphaStall && s.Vel.Z > 0 {
			w.stalledFor += look
			if w.stalledFor > w.rule.Stalled+1e-9 {
				w.decide(Departure, t, s)
				return true
			}
		} else {
			w.stalledFor = 0
		}
	}
	if math.IsNaN(w.released) {
		return false
	}
	o.Clearance = min(o.Clearance, w.lowest(s, &f, true))
	since := t - w.released
	least := w.rule.Least
	if !math.IsInf(w.started, 1) {
		least = max(least, min(w.started-w.released+0.5, w.rule.After))
	}
	w.flown += r3.Norm(r3.Sub(s.Pos, w.lastPos))
	w.lastPos = s.Pos
	far := w.flown >= w.rule.Distance
	if since < least || !(far || since >= w.rule.After) {
		return false
	}
	bank := math.Atan2(f[2][1], f[2][2])
	if h > w.startHeight && V >= w.rule.Stall*w.stall && math.Abs(bank) < w.rule.Bank && w.stalledFor == 0 && s.PathAngle() > -w.rule.Dive {
		w.decide(Airborne, t, s)
		return true
	}
	return false
}

// decide ends the launch at an instant inside the last step.
func (w *Workspace) decide(c Class, t float64, s *motion.State) {
	w.out.Class, w.out.Success = c, c == Airborne
	at := *s
	w.finishAt(t, &at)
}

// snag tells whether the taut line (direction d from the hook to the stake in
// body axes, length L) runs through the propeller's disc or over the tail.
func (w *Workspace) snag(d r3.Vec, L float64) bool {
	st := w.set
	if R := st.Prop.Radius; R > 0 && math.Abs(d.X) > 1e-6 {
		if k := (w.prop.X - w.hook.X) / d.X; k > 0 && k < L {
			y, z := w.hook.Y+k*d.Y-w.prop.Y, w.hook.Z+k*d.Z-w.prop.Z
			if y*y+z*z < R*R {
				if w.turning || st.Prop.Pusher {
					return true
				}
				w.out.Status |= LineThroughDisc
			}
		}
	}
	if d.X < -1e-6 { // pulling backwards: over any corner of the tail it fouls
		for i := range w.tail {
			c := &w.tail[i]
			k := (c.X - w.hook.X) / d.X
			if k <= 0 || k > L {
				continue
			}
			if z := w.hook.Z + k*d.Z; z < c.Z && math.Abs(w.hook.Y+k*d.Y) < math.Abs(c.Y)+0.02 {
				return true
			}
		}
	}
	return false
}

// ask evaluates the forces outside the motion's own count.
func (w *Workspace) ask(t float64, s *motion.State) *motion.Load {
	n := w.sim.Evals
	l := w.sim.Ask(t, s)
	w.sim.Evals = n
	w.extra++
	return l
}

// moment fills m for the state at t.
func (w *Workspace) moment(t float64, s *motion.State, m *Moment) {
	f := motion.FrameOf(s.Att)
	vb, h := w.airspeed(t, s, &f)
	roll, pitch, yaw := s.Euler()
	V := r3.Norm(vb)
	*m = Moment{T: t, Speed: V, Pitch: pitch, Bank: roll, Heading: yaw, Path: s.PathAngle(), Height: h, Along: s.Pos.X,
		StallRatio: V / w.stall, TrimRatio: math.NaN(), LineShort: math.NaN(), LineAngle: math.NaN()}
	if V > 1e-9 {
		m.Alpha = math.Atan2(vb.Z, vb.X)
	}
	if w.set.Way == Bungee {
		to, L := w.line(s, &f)
		d := f.Body(r3.Scale(1/L, to))
		m.Stretch = max(0, L-w.full)
		if w.phase == taut {
			m.LineAngle = math.Atan2(d.Z, d.X)
			m.LineShort = w.set.Hook.Short(d)
			m.Tension = w.ask(t, s).Tension
		}
	}
	if w.set.Aero == nil || m == &w.out.AtEnd && w.out.Released {
		return // the trim of the launch is that at release
	}
	if v, ok := w.trimSpeed(); ok {
		w.out.TrimSpeed = v
		m.TrimRatio = V / v
	} else {
		w.out.Status |= NoTrim
	}
}
