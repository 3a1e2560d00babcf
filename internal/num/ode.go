package num

import (
	"fmt"
	"math"
)

// Derivative is the right-hand side of y' = f(t, y). It must fill dydt (same
// length as y) and keep neither slice. Between located events f must be
// smooth: where a force switches (a cord goes slack, a motor starts), hold
// the branch fixed, let a terminal event find the switching instant, change
// the branch there and call [Integrator.Resume].
type Derivative func(t float64, y, dydt []float64)

// Event is a scalar function whose sign changes mark an instant to locate.
type Event struct {
	// Value is the event function; it must be continuous along a solution.
	Value func(t float64, y []float64) float64
	// Direction: +1 only from negative to positive, -1 only from positive to
	// negative, 0 both.
	Direction int
	// Terminal stops the run at the instant; others are counted and passed
	// to the observer.
	Terminal bool
}

// Tolerance sets accuracy and limits of an integration. The zero value of a
// field means its default.
type Tolerance struct {
	Rel       float64   // relative error per step, default 1e-7
	Abs       []float64 // absolute error per step: one per component, or one for all; default 1e-9
	MaxStep   float64   // largest step, default none
	FirstStep float64   // first trial step, default chosen from f
	// Grid, when positive, makes steps end on whole multiples of it, so that
	// kinks of an input given as a broken line (sampled turbulence) never lie
	// inside a step. It also caps the step.
	Grid float64
	// EventTime is the width to which an event instant is bracketed on the
	// dense output, default 1e-10.
	EventTime float64
	// EventLooks is the number of places per step where the sign of each
	// event function is looked at (the last is the step's end), default 4:
	// an excursion shorter than a quarter step may be missed.
	EventLooks int
	// MaxEvals bounds evaluations of f per Run, default 2 000 000.
	MaxEvals int
}

// Why says why a run ended.
type Why int

const (
	// Reached: the end time was reached.
	Reached Why = iota
	// Stopped: a terminal event fired; the state is the one at the event.
	Stopped
	// Asked: the observer returned false.
	Asked
	// TooLong: MaxEvals evaluations were used up.
	TooLong
	// TooStiff: the step needed for the accuracy fell below the resolution of time.
	TooStiff
	// NotFinite: f gave NaN or infinity even for tiny steps.
	NotFinite
)

// String says it in words.
func (w Why) String() string {
	switch w {
	case Reached:
		return "reached the end"
	case Stopped:
		return "stopped by an event"
	case Asked:
		return "stopped on request"
	case TooLong:
		return "too many evaluations"
	case TooStiff:
		return "step size fell below the resolution of time"
	case NotFinite:
		return "the derivative is not finite"
	}
	return fmt.Sprintf("Why(%d)", int(w))
}

// Stop is how a run ended: why, when, and for [Stopped] which event.
type Stop struct {
	Why   Why
	T     float64
	Event int // index into the events of the run, -1 when none
}

// Integrator solves y' = f(t, y) by the explicit Runge-Kutta pair of order
// 5(4) of Dormand and Prince (1980) with local extrapolation, a
// proportional-integral step controller, the free fourth-order interpolant
// of the pair as dense output, and event location on that interpolant.
//
// One Integrator owns all its workspace: it serves any number of runs of the
// same dimension without allocating. It is not safe for concurrent use;
// give each worker its own.
//
// Accuracy: per step the RMS over components of error/(Abs+Rel*|y|) is held
// below 1. Event instants are located to Tolerance.EventTime on the
// interpolant, whose own error is of the order of the step's error; the
// state returned at a terminal event is the interpolant's, too. Checked on the Arenstorf orbit, Kepler orbits,
// scalar problems, bouncing ball and spring launch (see the tests).
type Integrator struct {
	n   int
	f   Derivative
	tol Tolerance

	t, told  float64
	tdense   float64 // length of the step the interpolant belongs to
	y        []float64
	k        [7][]float64
	ytmp     []float64
	ynew     []float64
	rc       [5][]float64 // interpolant coefficients
	abs      []float64
	h        float64 // next trial step
	errOld   float64
	haveK1   bool
	denseOK  bool
	rejected bool

	gsign []int8 // sign of each event function at the last look
	ye    []float64
	fired []int // events that stopped the last run: their sign is forgotten on resume

	// Counters since Start.
	Evals, Accepted, RejectedSteps int
}

// NewIntegrator makes an integrator for n components.
func NewIntegrator(n int) *Integrator {
	if n <= 0 {
		panic("num: integrator of no components")
	}
	in := &Integrator{n: n}
	buf := make([]float64, n*(7+5+5))
	next := func() []float64 { s := buf[:n:n]; buf = buf[n:]; return s }
	in.y, in.ytmp, in.ynew, in.abs, in.ye = next(), next(), next(), next(), next()
	for i := range in.k {
		in.k[i] = next()
	}
	for i := range in.rc {
		in.rc[i] = next()
	}
	in.gsign = make([]int8, 0, 16)
	in.fired = make([]int, 0, 16)
	return in
}

// Start sets the problem: f, start time, start state (copied) and tolerances.
func (in *Integrator) Start(f Derivative, t float64, y []float64, tol Tolerance) {
	if len(y) != in.n {
		panic(fmt.Sprintf("num: state of %d components for an integrator of %d", len(y), in.n))
	}
	if len(tol.Abs) > 1 && len(tol.Abs) != in.n {
		panic(fmt.Sprintf("num: %d absolute tolerances for %d components", len(tol.Abs), in.n))
	}
	if tol.Rel == 0 {
		tol.Rel = 1e-7
	}
	for i := range in.abs {
		switch len(tol.Abs) {
		case 0:
			in.abs[i] = 1e-9
		case 1:
			in.abs[i] = tol.Abs[0]
		default:
			in.abs[i] = tol.Abs[i]
		}
	}
	if tol.EventTime == 0 {
		tol.EventTime = 1e-10
	}
	if tol.EventLooks == 0 {
		tol.EventLooks = 4
	}
	if tol.MaxEvals == 0 {
		tol.MaxEvals = 2_000_000
	}
	in.f, in.tol, in.t, in.told = f, tol, t, t
	copy(in.y, y)
	in.h = tol.FirstStep
	in.Evals, in.Accepted, in.RejectedSteps = 0, 0, 0
	in.fired = in.fired[:0]
	in.gsign = in.gsign[:0]
	in.forget()
}

// forget drops what is carried from step to step, as at a discontinuity.
func (in *Integrator) forget() {
	in.haveK1, in.denseOK, in.rejected = false, false, false
	in.errOld = 1e-4
}

// T is the current time.
func (in *Integrator) T() float64 { return in.t }

// Y is the current state. It may be changed in place if Resume is called
// before the next Run.
func (in *Integrator) Y() []float64 { return in.y }

// Resume prepares to go on after the state or the branch of f was changed
// (a bounce, a released cord). The event that stopped the run does not fire
// again at the same instant: its sign is taken anew just after it. A positive first sets the next trial step, zero keeps the last.
func (in *Integrator) Resume(first float64) {
	in.forget()
	if first > 0 {
		in.h = first
	}
}

// Limit changes the largest step and the grid of the tolerance between runs
// (0 switches either off), as when a cord is released or the air turns rough.
func (in *Integrator) Limit(maxStep, grid float64) { in.tol.MaxStep, in.tol.Grid = maxStep, grid }

// Span is the interval the dense output covers: the last accepted step (up to
// the event if one stopped it).
func (in *Integrator) Span() (from, to float64) { return in.told, in.t }

// At evaluates the dense output of the last step at t, which should lie in
// Span, into y.
func (in *Integrator) At(t float64, y []float64) {
	if !in.denseOK {
		copy(y, in.y)
		return
	}
	in.dense((t-in.told)/in.tdense, y)
}

func (in *Integrator) dense(s float64, y []float64) {
	s1 := 1 - s
	r0, r1, r2, r3, r4 := in.rc[0], in.rc[1], in.rc[2], in.rc[3], in.rc[4]
	y = y[:len(r0)]
	r1, r2, r3, r4 = r1[:len(r0)], r2[:len(r0)], r3[:len(r0)], r4[:len(r0)]
	for i := range r0 {
		y[i] = r0[i] + s*(r1[i]+s1*(r2[i]+s*(r3[i]+s1*r4[i])))
	}
}

// The Dormand-Prince 5(4) tableau (J. Comput. Appl. Math. 6, 1980), and the
// weights of its free interpolant of order 4 (Shampine 1986, in the form of
// Hairer, Norsett and Wanner, Solving ODE I, II.6).
const (
	a21 = 1.0 / 5
	a31 = 3.0 / 40
	a32 = 9.0 / 40
	a41 = 44.0 / 45
	a42 = -56.0 / 15
	a43 = 32.0 / 9
	a51 = 19372.0 / 6561
	a52 = -25360.0 / 2187
	a53 = 64448.0 / 6561
	a54 = -212.0 / 729
	a61 = 9017.0 / 3168
	a62 = -355.0 / 33
	a63 = 46732.0 / 5247
	a64 = 49.0 / 176
	a65 = -5103.0 / 18656
	a71 = 35.0 / 384
	a73 = 500.0 / 1113
	a74 = 125.0 / 192
	a75 = -2187.0 / 6784
	a76 = 11.0 / 84
	e1  = a71 - 5179.0/57600
	e3  = a73 - 7571.0/16695
	e4  = a74 - 393.0/640
	e5  = a75 + 92097.0/339200
	e6  = a76 - 187.0/2100
	e7  = -1.0 / 40
	d1  = -12715105075.0 / 11282082432
	d3  = 87487479700.0 / 32700410799
	d4  = -10690763975.0 / 1880347072
	d5  = 701980252875.0 / 199316789632
	d6  = -1453857185.0 / 822651844
	d7  = 69997945.0 / 29380423
)

// attempt takes the stages of a step h from (t, y) with k[0] known; it leaves
// the new state in ynew, f there in k[6], and returns the scaled error.
func (in *Integrator) attempt(h float64) float64 {
	n := in.n
	y, w, yn := in.y[:n], in.ytmp[:n], in.ynew[:n]
	k1, k2, k3, k4, k5, k6, k7 := in.k[0][:n], in.k[1][:n], in.k[2][:n], in.k[3][:n], in.k[4][:n], in.k[5][:n], in.k[6][:n]
	t := in.t
	for i := range y {
		w[i] = y[i] + h*(a21*k1[i])
	}
	in.f(t+h*(1.0/5), w, k2)
	for i := range y {
		w[i] = y[i] + h*(a31*k1[i]+a32*k2[i])
	}
	in.f(t+h*(3.0/10), w, k3)
	for i := range y {
		w[i] = y[i] + h*(a41*k1[i]+a42*k2[i]+a43*k3[i])
	}
	in.f(t+h*(4.0/5), w, k4)
	for i := range y {
		w[i] = y[i] + h*(a51*k1[i]+a52*k2[i]+a53*k3[i]+a54*k4[i])
	}
	in.f(t+h*(8.0/9), w, k5)
	for i := range y {
		w[i] = y[i] + h*(a61*k1[i]+a62*k2[i]+a63*k3[i]+a64*k4[i]+a65*k5[i])
	}
	in.f(t+h, w, k6)
	for i := range y {
		yn[i] = y[i] + h*(a71*k1[i]+a73*k3[i]+a74*k4[i]+a75*k5[i]+a76*k6[i])
	}
	in.f(t+h, yn, k7)
	in.Evals += 6
	var sum float64
	abs := in.abs[:n]
	for i := range y {
		e := h * (e1*k1[i] + e3*k3[i] + e4*k4[i] + e5*k5[i] + e6*k6[i] + e7*k7[i])
		sc := abs[i] + in.tol.Rel*math.Max(math.Abs(y[i]), math.Abs(yn[i]))
		e /= sc
		sum += e * e
	}
	return math.Sqrt(sum / float64(n))
}

// keepDense computes the interpolant of the step just attempted.
func (in *Integrator) keepDense(h float64) {
	n := in.n
	k1, k3, k4, k5, k6, k7 := in.k[0][:n], in.k[2][:n], in.k[3][:n], in.k[4][:n], in.k[5][:n], in.k[6][:n]
	y, yn := in.y[:n], in.ynew[:n]
	r0, r1, r2, r3, r4 := in.rc[0][:n], in.rc[1][:n], in.rc[2][:n], in.rc[3][:n], in.rc[4][:n]
	for i := range y {
		dy := yn[i] - y[i]
		bspl := h*k1[i] - dy
		r0[i] = y[i]
		r1[i] = dy
		r2[i] = bspl
		r3[i] = dy - h*k7[i] - bspl
		r4[i] = h * (d1*k1[i] + d3*k3[i] + d4*k4[i] + d5*k5[i] + d6*k6[i] + d7*k7[i])
	}
	in.tdense = h
	in.denseOK = true
}

// firstStep chooses a start step by the rule of Hairer, Norsett and Wanner
// (II.4): one more evaluation of f.
func (in *Integrator) firstStep(span float64) float64 {
	n := float64(in.n)
	var d0, d1n float64
	for i, y := range in.y {
		sc := in.abs[i] + in.tol.Rel*math.Abs(y)
		d0 += (y / sc) * (y / sc)
		d1n += (in.k[0][i] / sc) * (in.k[0][i] / sc)
	}
	d0, d1n = math.Sqrt(d0/n), math.Sqrt(d1n/n)
	h0 := 1e-6
	if d0 >= 1e-5 && d1n >= 1e-5 {
		h0 = 0.01 * d0 / d1n
	}
	h0 = math.Min(h0, span)
	for i, y := range in.y {
		in.ytmp[i] = y + h0*in.k[0][i]
	}
	in.f(in.t+h0, in.ytmp, in.k[1])
	in.Evals++
	var d2 float64
	for i, y := range in.y {
		sc := in.abs[i] + in.tol.Rel*math.Abs(y)
		e := (in.k[1][i] - in.k[0][i]) / sc
		d2 += e * e
	}
	d2 = math.Sqrt(d2/n) / h0
	h1 := math.Max(1e-6, h0*1e-3)
	if m := math.Max(d1n, d2); m > 1e-15 {
		h1 = math.Pow(0.01/m, 0.2)
	}
	return math.Min(100*h0, h1)
}

// Run integrates from the current time up to end (later than now), looking
// for events. After each accepted step (cut short at a terminal event) each
// is called, if not nil: Span and At describe the step; returning false ends
// the run. hits, if not nil, is told of every event in time order, also the
// terminal one, with the state there (not to be kept).
func (in *Integrator) Run(end float64, events []Event, each func(*Integrator) bool, hits func(event int, t float64, y []float64)) Stop {
	if in.f == nil {
		panic("num: Run before Start")
	}
	if !(end >= in.t) {
		panic(fmt.Sprintf("num: Run to %g from %g", end, in.t))
	}
	if !in.haveK1 {
		in.f(in.t, in.y, in.k[0])
		in.Evals++
		in.haveK1 = true
		if !finite(in.k[0]) || !finite(in.y) {
			return Stop{NotFinite, in.t, -1}
		}
	}
	in.lookFirst(events)
	budget := in.Evals + in.tol.MaxEvals
	for in.t < end {
		if in.h <= 0 {
			in.h = in.firstStep(end - in.t)
		}
		h := in.h
		if m := in.tol.MaxStep; m > 0 && h > m {
			h = m
		}
		stretch := false // step cut by the grid or the end: do not let it shrink the next trial
		limit := end
		if g := in.tol.Grid; g > 0 {
			// next multiple of the grid strictly after t
			next := (math.Floor(in.t/g*(1+1e-13)+1e-9) + 1) * g
			limit = math.Min(limit, next)
		}
		if room := limit - in.t; h >= room*(1-1e-12) {
			stretch = h > room
			h = room
		} else if h > 0.5*room && in.tol.Grid == 0 {
			h = 0.5 * room // no tiny last step
			stretch = true
		}
		for {
			if in.Evals >= budget {
				return Stop{TooLong, in.t, -1}
			}
			if h <= 1e-14*math.Max(math.Abs(in.t), 1e-3) {
				if h >= (limit-in.t)*(1-1e-9) { // a sliver left before end or grid
					in.t = limit
					h = 0
					break
				}
				if in.rejected && in.errOld < 0 {
					return Stop{NotFinite, in.t, -1}
				}
				return Stop{TooStiff, in.t, -1}
			}
			err := in.attempt(h)
			if !(err <= 1) { // rejected, or NaN
				in.RejectedSteps++
				in.rejected = true
				stretch = false
				if math.IsNaN(err) || math.IsInf(err, 0) {
					in.errOld = -1
					h *= 0.1
				} else {
					in.errOld = math.Max(math.Abs(in.errOld), 1e-4)
					h *= math.Max(0.2, 0.9*math.Pow(err, -0.2))
				}
				in.h = h
				continue
			}
			// Proportional-integral controller, exponents 0.2-0.75*0.04 and 0.04.
			const beta = 0.04
			errOld := math.Max(math.Abs(in.errOld), 1e-4)
			fac := 0.9 * math.Pow(math.Max(err, 1e-10), -(0.2-0.75*beta)) * math.Pow(errOld, beta)
			fac = math.Min(10, math.Max(0.2, fac))
			if in.rejected {
				fac = math.Min(fac, 1)
			}
			in.rejected = false
			in.errOld = math.Max(err, 1e-4)
			if hn := h * fac; !stretch || hn > in.h {
				in.h = hn
			}
			break
		}
		if h == 0 {
			continue
		}
		in.Accepted++
		in.keepDense(h)
		in.told = in.t
		tnew := in.t + h
		if h == limit-in.t {
			tnew = limit
		}
		which, te := in.lookStep(tnew, h, events, hits)
		if which >= 0 {
			in.t = te
			copy(in.y, in.ye)
			in.haveK1 = false
			if each != nil {
				each(in)
			}
			return Stop{Stopped, te, which}
		}
		in.t = tnew
		in.y, in.ynew = in.ynew, in.y
		in.k[0], in.k[6] = in.k[6], in.k[0]
		if each != nil && !each(in) {
			return Stop{Asked, in.t, -1}
		}
	}
	return Stop{Reached, in.t, -1}
}

// lookFirst takes the signs of the event functions at the start of a run;
// for the event that stopped the run before, the sign just after it.
func (in *Integrator) lookFirst(events []Event) {
	in.gsign = in.gsign[:0]
	for i := range events {
		in.gsign = append(in.gsign, sign(events[i].Value(in.t, in.y)))
	}
	for _, i := range in.fired {
		if i < len(in.gsign) {
			// The function is zero here to within the location: take its sign a
			// little later, along the slope.
			d := 100 * in.tol.EventTime
			for j := range in.ytmp {
				in.ytmp[j] = in.y[j] + d*in.k[0][j]
			}
			in.gsign[i] = sign(events[i].Value(in.t+d, in.ytmp))
		}
	}
	in.fired = in.fired[:0]
}

func sign(v float64) int8 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

func finite(v []float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// crosses tells whether going from sign a to sign b is a crossing in the
// wanted direction. Touching zero counts on arrival, not on leaving.
func crosses(a, b int8, dir int) bool {
	switch {
	case a < 0 && b >= 0:
		return dir >= 0
	case a > 0 && b <= 0:
		return dir <= 0
	}
	return false
}

// lookStep searches the step just taken for events, reports them in time
// order and returns the terminal one that ends it, or -1. The state at that
// instant is left in ye.
func (in *Integrator) lookStep(tnew, h float64, events []Event, hits func(int, float64, []float64)) (int, float64) {
	if len(events) == 0 {
		return -1, 0
	}
	looks := in.tol.EventLooks
	prev := 0.0
	for j := 1; j <= looks; j++ {
		s := float64(j) / float64(looks)
		if j == looks {
			s = 1
			copy(in.ye, in.ynew)
		} else {
			in.dense(s, in.ye)
		}
		ts := in.told + s*h
		// Which functions changed sign in (prev, s]? Take them in time order.
		done := -1.0 // instants up to here have been reported
		var reported uint64
		any := false
		for i := range events {
			if crosses(in.gsign[i], sign(events[i].Value(ts, in.ye)), events[i].Direction) {
				any = true
				break
			}
		}
		if any {
			for {
				best, bs := -1, 2.0
				for i := range events {
					if i < 64 && reported&(1<<uint(i)) != 0 {
						continue
					}
					in.sampleAt(s, j == looks)
					b := sign(events[i].Value(ts, in.ye))
					if !crosses(in.gsign[i], b, events[i].Direction) {
						continue
					}
					x := in.locate(events[i], in.gsign[i], prev, s, h)
					if x < bs {
						best, bs = i, x
					}
				}
				if best < 0 {
					break
				}
				if best >= 64 {
					panic("num: more than 64 events")
				}
				reported |= 1 << uint(best)
				done = math.Max(done, bs)
				te := in.told + bs*h
				in.sampleAt(bs, false)
				if hits != nil {
					hits(best, te, in.ye)
					in.sampleAt(bs, false)
				}
				if events[best].Terminal {
					in.fired = append(in.fired[:0], best)
					return best, te
				}
			}
			in.sampleAt(s, j == looks)
		}
		for i := range events {
			if b := sign(events[i].Value(ts, in.ye)); b != 0 || in.gsign[i] == 0 {
				in.gsign[i] = b
			} else {
				// exactly zero on arrival: already reported as a crossing if it was
				// one; the sign after it decides the next
				in.gsign[i] = 0
			}
		}
		prev = s
	}
	return -1, 0
}

func (in *Integrator) sampleAt(s float64, end bool) {
	if end {
		copy(in.ye, in.ynew)
		return
	}
	in.dense(s, in.ye)
}

// locate finds where the event function e leaves the sign before, known to
// hold just after fraction a of the step and not at b, by false position
// guarded by halving, and returns the far end of the final bracket, so that
// the event has happened there.
func (in *Integrator) locate(e Event, before int8, a, b, h float64) float64 {
	fa, fb := in.eventAt(e, a, h), in.eventAt(e, b, h)
	tol := in.tol.EventTime / h
	side := 0
	for it := 0; it < 200 && b-a > tol && fb != 0; it++ {
		m := (a*fb - b*fa) / (fb - fa)
		// Halve every third time, and while the value at the near end is a
		// rounded zero whose sign is not to be trusted.
		if it%3 == 2 || sign(fa) != before || !(m > a && m < b) {
			m = 0.5 * (a + b)
		}
		// Stay a little away from the ends, so that the bracket really shrinks.
		m = math.Min(math.Max(m, a+0.25*tol), b-0.25*tol)
		if m <= a || m >= b {
			break
		}
		g := in.eventAt(e, m, h)
		if sign(g) == before {
			a, fa = m, g
			if side == -1 {
				fb *= 0.5
			}
			side = -1
		} else {
			b, fb = m, g
			if side == 1 {
				fa *= 0.5
			}
			side = 1
		}
	}
	return b
}

func (in *Integrator) eventAt(e Event, s, h float64) float64 {
	in.dense(s, in.ye)
	return e.Value(in.told+s*h, in.ye)
}

// RK4 is the classical Runge-Kutta method of order 4 with fixed steps: slow,
// plain and easy to repeat; the oracle of the tests. It owns its workspace.
type RK4 struct{ k1, k2, k3, k4, w []float64 }

// NewRK4 makes one for n components.
func NewRK4(n int) *RK4 {
	b := make([]float64, 5*n)
	return &RK4{b[0:n], b[n : 2*n], b[2*n : 3*n], b[3*n : 4*n], b[4*n : 5*n]}
}

// Step advances y in place from t by h: four evaluations of f.
func (r *RK4) Step(f Derivative, t float64, y []float64, h float64) {
	f(t, y, r.k1)
	for i := range y {
		r.w[i] = y[i] + 0.5*h*r.k1[i]
	}
	f(t+0.5*h, r.w, r.k2)
	for i := range y {
		r.w[i] = y[i] + 0.5*h*r.k2[i]
	}
	f(t+0.5*h, r.w, r.k3)
	for i := range y {
		r.w[i] = y[i] + h*r.k3[i]
	}
	f(t+h, r.w, r.k4)
	for i := range y {
		y[i] += h / 6 * (r.k1[i] + 2*r.k2[i] + 2*r.k3[i] + r.k4[i])
	}
}
