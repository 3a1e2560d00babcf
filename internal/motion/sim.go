package motion

import (
	"math"

	"fledge/internal/num"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Size is the number of components of the integrated state: position,
// velocity, quaternion, rates, ledger.
const Size = 13 + Accounts

// Pack writes a state into the first 13 components of y.
func Pack(s *State, y []float64) {
	_ = y[12]
	y[0], y[1], y[2] = s.Pos.X, s.Pos.Y, s.Pos.Z
	y[3], y[4], y[5] = s.Vel.X, s.Vel.Y, s.Vel.Z
	y[6], y[7], y[8], y[9] = s.Att.Real, s.Att.Imag, s.Att.Jmag, s.Att.Kmag
	y[10], y[11], y[12] = s.Rate.X, s.Rate.Y, s.Rate.Z
}

// Unpack reads a state; the quaternion is left as it stands.
func Unpack(y []float64, s *State) {
	_ = y[12]
	s.Pos = r3.Vec{X: y[0], Y: y[1], Z: y[2]}
	s.Vel = r3.Vec{X: y[3], Y: y[4], Z: y[5]}
	s.Att = quat.Number{Real: y[6], Imag: y[7], Jmag: y[8], Kmag: y[9]}
	s.Rate = r3.Vec{X: y[10], Y: y[11], Z: y[12]}
}

// Guard watches a run: it returns the smallest of its margins and which one
// that is. A run ends where the value falls from above zero to zero. Margins
// of different kind may be compared: only the sign counts. The guard is asked
// at places inside accepted steps, in no fixed order, and must depend on
// nothing but its arguments and what its owner switches between runs.
type Guard interface {
	Guard(t float64, s *State, f *Frame) (margin float64, which int)
}

// Accuracy of a run. The zero value of a field means its default.
type Accuracy struct {
	Rel     float64 // relative error a step, default 1e-7
	Pos     float64 // absolute error of positions, m, default 1e-5
	Vel     float64 // of velocities, m/s, default 1e-5
	Att     float64 // of the quaternion, default 1e-7
	Rate    float64 // of the rates, rad/s, default 1e-6
	MaxStep float64 // s, default none
	Grid    float64 // steps end on multiples of it (sampled inputs), 0 none
	Looks   int     // places a step at which the guard is asked, default 4
}

// Halved is the accuracy with every tolerance times k, for convergence tests.
func (a Accuracy) Halved(k float64) Accuracy {
	a = a.filled()
	a.Rel, a.Pos, a.Vel, a.Att, a.Rate = a.Rel*k, a.Pos*k, a.Vel*k, a.Att*k, a.Rate*k
	return a
}

func (a Accuracy) filled() Accuracy {
	or := func(p *float64, v float64) {
		if *p == 0 {
			*p = v
		}
	}
	or(&a.Rel, 1e-7)
	or(&a.Pos, 1e-5)
	or(&a.Vel, 1e-5)
	or(&a.Att, 1e-7)
	or(&a.Rate, 1e-6)
	if a.Looks == 0 {
		a.Looks = 4
	}
	return a
}

// Reason says why a run ended.
type Reason uint8

const (
	// TimeUp: the asked end time was reached.
	TimeUp Reason = iota
	// Guarded: a margin of the guard fell to zero; End.Which says which.
	Guarded
	// Halted: the observer asked for it.
	Halted
	// Broken: the integrator gave up (see End.Why); the numbers are not to be
	// used.
	Broken
)

// End is how a run ended: exactly one event with its reason.
type End struct {
	Reason Reason
	Which  int // of the guard's margins, -1 when none
	T      float64
	Why    num.Why
}

// Sim integrates one body. It owns its workspace: it serves any number of
// runs without allocating and is not for concurrent use.
type Sim struct {
	body    *Body
	forces  Forces
	guard   Guard
	gravity float64

	in     *num.Integrator
	abs    [Size]float64
	deriv  num.Derivative
	events []num.Event
	each   func(*num.Integrator) bool
	see    func(*Sim) bool

	y0     [Size]float64
	s      State // scratch of the right-hand side
	f      Frame
	load   Load // of the last evaluation
	gs     State
	gf     Frame
	gt, gv float64 // time and value of the guard's last answer
	which  int
	wst    [Size]float64

	start float64 // kinetic and potential energy at the start

	// Evals counts evaluations of the forces since Start.
	Evals int
}

// NewSim makes one.
func NewSim() *Sim {
	s := &Sim{in: num.NewIntegrator(Size)}
	s.deriv = s.derivative
	s.events = []num.Event{{Value: s.margin, Direction: -1, Terminal: true}}
	s.each = func(*num.Integrator) bool { return s.see(s) }
	return s
}

// Start sets body, forces, gravity (m/s², down), time, state and accuracy.
func (m *Sim) Start(b *Body, f Forces, gravity, t float64, s *State, a Accuracy) {
	if b == nil || f == nil {
		panic("motion: Start without body or forces")
	}
	a = a.filled()
	for i := range m.abs {
		switch {
		case i < 3:
			m.abs[i] = a.Pos
		case i < 6:
			m.abs[i] = a.Vel
		case i < 10:
			m.abs[i] = a.Att
		case i < 13:
			m.abs[i] = a.Rate
		default:
			m.abs[i] = 1e3 // the ledger rides along; it does not choose the step
		}
	}
	m.body, m.forces, m.gravity = b, f, gravity
	Pack(s, m.y0[:])
	for i := 13; i < Size; i++ {
		m.y0[i] = 0
	}
	m.Evals = 0
	m.in.Start(m.deriv, t, m.y0[:], num.Tolerance{Rel: a.Rel, Abs: m.abs[:], MaxStep: a.MaxStep, Grid: a.Grid, EventLooks: a.Looks, EventTime: 1e-8, MaxEvals: 400_000})
	m.start = b.Kinetic(s) - b.Mass*gravity*s.Pos.Z
}

// Run integrates to end, or to where guard (may be nil) falls to zero. see,
// if not nil, is called after each accepted step and returns false to stop.
func (m *Sim) Run(end float64, g Guard, see func(*Sim) bool) End {
	var events []num.Event
	if g != nil {
		m.guard = g
		m.gt = math.NaN()
		events = m.events
	}
	var each func(*num.Integrator) bool
	if see != nil {
		m.see = see
		each = m.each
	}
	stop := m.in.Run(end, events, each, nil)
	out := End{T: stop.T, Why: stop.Why, Which: -1}
	switch stop.Why {
	case num.Reached:
		out.Reason = TimeUp
	case num.Asked:
		out.Reason = Halted
	case num.Stopped:
		out.Reason = Guarded
		m.margin(m.in.T(), m.in.Y())
		out.Which = m.which
	default:
		out.Reason = Broken
	}
	return out
}

// Change replaces the state at the current time (a loss of contact, an
// impulse) and prepares to go on; the ledger is kept, and the step of energy
// goes to account GuideAccount. A nil state only tells that the forces were
// switched. first is the next trial step, 0 to keep the last.
func (m *Sim) Change(s *State, first float64) {
	if s != nil {
		var now State
		m.State(&now)
		m.in.Y()[13+GuideAccount] += m.body.Kinetic(s) - m.body.Mass*m.gravity*s.Pos.Z -
			m.body.Kinetic(&now) + m.body.Mass*m.gravity*now.Pos.Z
		Pack(s, m.in.Y())
	}
	m.in.Resume(first)
}

// T is the current time, s.
func (m *Sim) T() float64 { return m.in.T() }

// State fills s with the current state, quaternion renormalised.
func (m *Sim) State(s *State) { Unpack(m.in.Y(), s); normalise(&s.Att) }

// Span is the time the dense output covers: the last step.
func (m *Sim) Span() (from, to float64) { return m.in.Span() }

// At fills s from the dense output at t inside Span.
func (m *Sim) At(t float64, s *State) {
	m.in.At(t, m.wst[:])
	Unpack(m.wst[:], s)
	normalise(&s.Att)
}

func normalise(q *quat.Number) {
	n := 1 / math.Sqrt(q.Real*q.Real+q.Imag*q.Imag+q.Jmag*q.Jmag+q.Kmag*q.Kmag)
	q.Real, q.Imag, q.Jmag, q.Kmag = q.Real*n, q.Imag*n, q.Jmag*n, q.Kmag*n
}

// Load is what acted at the last evaluation of the forces: inside the
// observer of a run, at the end of the step just accepted.
func (m *Sim) Load() *Load { return &m.load }

// Frame is the frame of the state of Load.
func (m *Sim) Frame() *Frame { return &m.f }

// Ask evaluates the forces and accelerations at a state outside the run's
// own evaluations; it is counted.
func (m *Sim) Ask(t float64, s *State) *Load {
	m.s = *s
	m.f = FrameOf(s.Att)
	m.eval(t)
	return &m.load
}

// Ledger is the energy account of a run, J: what the body had at the start
// and has now (kinetic, potential to the level of height zero), and what each
// account put in.
type Ledger struct {
	Start, Now float64
	In         [Accounts]float64
}

// Gap is the energy not accounted for, J: zero to the integrator's tolerance.
func (l *Ledger) Gap() float64 {
	g := l.Now - l.Start
	for _, w := range l.In {
		g -= w
	}
	return g
}

// Turnover is the sum of the absolute values in the ledger, J: the scale of
// Gap.
func (l *Ledger) Turnover() float64 {
	g := math.Abs(l.Now) + math.Abs(l.Start)
	for _, w := range l.In {
		g += math.Abs(w)
	}
	return g
}

// Ledger is the account since Start.
func (m *Sim) Ledger() Ledger {
	y := m.in.Y()
	var s State
	m.State(&s)
	l := Ledger{Start: m.start, Now: m.body.Kinetic(&s) - m.body.Mass*m.gravity*s.Pos.Z}
	copy(l.In[:], y[13:])
	return l
}

func (m *Sim) eval(t float64) {
	m.Evals++
	l := &m.load
	*l = Load{}
	m.forces.Forces(t, &m.s, &m.f, l)
	accelerate(m.body, m.gravity, &m.s, &m.f, l)
}

// derivative is the right-hand side over the Size components.
func (m *Sim) derivative(t float64, y, d []float64) {
	s := &m.s
	Unpack(y, s)
	m.f.set(&s.Att)
	m.eval(t)
	l := &m.load
	_ = d[Size-1]
	d[0], d[1], d[2] = s.Vel.X, s.Vel.Y, s.Vel.Z
	d[3], d[4], d[5] = l.Accel.X, l.Accel.Y, l.Accel.Z
	q, w := s.Att, s.Rate
	d[6] = -0.5 * (q.Imag*w.X + q.Jmag*w.Y + q.Kmag*w.Z)
	d[7] = 0.5 * (q.Real*w.X + q.Jmag*w.Z - q.Kmag*w.Y)
	d[8] = 0.5 * (q.Real*w.Y + q.Kmag*w.X - q.Imag*w.Z)
	d[9] = 0.5 * (q.Real*w.Z + q.Imag*w.Y - q.Jmag*w.X)
	d[10], d[11], d[12] = l.Turn.X, l.Turn.Y, l.Turn.Z
	d[13], d[14], d[15], d[16] = l.Power[0], l.Power[1], l.Power[2], l.Power[3]
}

// Derivative is the right-hand side for integrators other than the Sim's own
// (fixed-step oracles): y and d have Size components. Start first.
func (m *Sim) Derivative() num.Derivative { return m.deriv }

func (m *Sim) margin(t float64, y []float64) float64 {
	// The integrator asks twice at each look.
	if t == m.gt && y[0] == m.gs.Pos.X && y[2] == m.gs.Pos.Z && y[5] == m.gs.Vel.Z && y[8] == m.gs.Att.Jmag {
		return m.gv
	}
	Unpack(y, &m.gs)
	m.gf.set(&m.gs.Att)
	v, w := m.guard.Guard(t, &m.gs, &m.gf)
	m.which, m.gt, m.gv = w, t, v
	return v
}

// Trajectory is the recorded rows of a run of some phase, which ended in
// exactly one event.
type Trajectory[R any] struct {
	Rows   []R
	T      float64 // of the end, s
	Reason string  // in words
	Ledger Ledger
}
