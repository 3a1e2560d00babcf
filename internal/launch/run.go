package launch

import (
	"math"

	"fledge/internal/aero"
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
