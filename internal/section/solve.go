package section

import (
	"context"
	"fmt"
	"math"
)

// Condition is the flow a polar is computed for. The zero value of every
// field but Re means the default.
type Condition struct {
	Re float64 // Reynolds number on the chord, 1e4 to 2e7
	// Turbulence is the rms of the free-stream turbulence over the speed;
	// zero means 0.001 (0.1 %), a good tunnel or calm air aloft.
	Turbulence float64
	// TripUpper and TripLower force transition at a place in chords; zero
	// means free. A trip at 0.05 stands for roughness, bugs or a seam there.
	TripUpper, TripLower float64
	// Panels is the number of panels; zero means 160 (40 to 400).
	Panels int
}

// DefaultTurbulence is used when Condition.Turbulence is zero.
const DefaultTurbulence = 0.001

// Rough returns the condition with transition forced at 5 % of both sides,
// which stands for insects, dust or a rough covering.
func (c Condition) Rough() Condition {
	c.TripUpper, c.TripLower = 0.05, 0.05
	return c
}

// Status says how far a number can be trusted.
type Status string

// The statuses of a point.
const (
	OK           Status = "ok"
	NotConverged Status = "not converged"                  // the solver stopped here
	PastStall    Status = "past stall: flat-plate law"     // extended, not computed
	Outside      Status = "outside the range of the table" // nearest end used
	Trend        Status = "published trend, not computed"
	Bad          Status = "the shape can't be paneled"
	BadInput     Status = "Reynolds number or angle outside what the method covers"
)

// Point is one result. Angles in radians; moments as in the package comment.
// Only Alpha, Re and Status mean anything when Status is not [OK].
type Point struct {
	Alpha, Re  float64
	Cl, Cd, Cm float64
	// Ch is the hinge moment over dynamic pressure and flap chord squared,
	// trailing edge down positive; zero without a flap.
	Ch float64
	// Friction is the part of Cd that is skin friction.
	Friction float64
	// Upper and Lower tell where transition and separation happen.
	Upper, Lower SidePlaces
	Status       Status
}

// SidePlaces are chordwise places on one side; 1 where it does not happen.
type SidePlaces struct {
	Transition float64 // 1: laminar to the trailing edge
	// Laminar separation and turbulent reattachment of a bubble.
	BubbleFrom, BubbleTo float64
	Separation           float64 // turbulent separation that does not reattach
}

// Polar is a sweep of points at one condition, alpha rising.
type Polar struct {
	Section string
	Cond    Condition
	Flap    Flap
	Points  []Point
	// ClMax and ClMin with their angles, from the converged points; NaN when
	// no maximum was bracketed, and then MaxStatus says so.
	ClMax, AlphaMax      float64
	ClMin, AlphaMin      float64
	MaxStatus, MinStatus Status
}

func (c Condition) filled() Condition {
	if c.Turbulence == 0 {
		c.Turbulence = DefaultTurbulence
	}
	if c.TripUpper == 0 {
		c.TripUpper = 1
	}
	if c.TripLower == 0 {
		c.TripLower = 1
	}
	if c.Panels == 0 {
		c.Panels = 160
	}
	c.Panels = min(max(c.Panels, 40), 400)
	return c
}

func (c Condition) valid() error {
	switch {
	case !(c.Re >= 1e4 && c.Re <= 2e7):
		return fmt.Errorf("section: Reynolds number %g is outside 10,000 to 20 million", c.Re)
	case c.Turbulence != 0 && !(c.Turbulence > 0 && c.Turbulence <= 0.1):
		return fmt.Errorf("section: turbulence %g is outside 0 to 0.1", c.Turbulence)
	case !(c.TripUpper >= 0 && c.TripUpper <= 1) || !(c.TripLower >= 0 && c.TripLower <= 1):
		return fmt.Errorf("section: a trip lies outside the chord")
	}
	return nil
}

// maxAlpha bounds the angles the solver is asked for, radians.
const maxAlpha = 30 * math.Pi / 180

const (
	tolerance = 2e-5 // rms of relative changes
	maxIter   = 40
)

// builtEdge is the least thickness of a trailing edge, chords: no builder
// makes a sharper one (0.2 mm on 200 mm), and the flow there stays regular.
const builtEdge = 0.001

// solver sweeps one outline.
type solver struct {
	o    *outline
	f    flow
	trip [2]float64
}

func newSolver(sh *Shape, c Condition) *solver {
	o := newOutline(sh.opened(builtEdge), c.Panels)
	if o == nil {
		return nil
	}
	return &solver{o, flow{c.Re, CriticalN(c.Turbulence)}, [2]float64{c.TripUpper, c.TripLower}}
}

// settle iterates to convergence and reports whether it got there.
func (s *solver) settle(p *couple) bool {
	for range maxIter {
		r := p.newton()
		if math.IsNaN(r) || r > 1e6 {
			return false
		}
		if r < tolerance {
			return true
		}
	}
	return false
}

// start solves from scratch.
func (s *solver) start(alpha float64) *couple {
	p := newCouple(s.o)
	p.set(alpha, s.f, s.trip)
	p.begin()
	if p.stag < 0 || !s.settle(p) {
		return nil
	}
	return p
}

// from continues from a converged case, halving the way up to three times.
func (s *solver) from(last *couple, from, alpha float64, depth int) *couple {
	p := last.clone()
	p.set(alpha, s.f, s.trip)
	if s.settle(p) {
		return p
	}
	if depth == 0 {
		return nil
	}
	mid := (from + alpha) / 2
	if q := s.from(last, from, mid, depth-1); q != nil {
		return s.from(q, mid, alpha, depth-1)
	}
	return nil
}

// clone copies the state of a case, not its work space.
func (p *couple) clone() *couple {
	q := *p
	q.st = append([]station(nil), p.st...)
	q.kind = append([]regime(nil), p.kind...)
	q.base = append([]float64(nil), p.base...)
	return &q
}

// Solve computes the polar of a shape at the given angles (radians, any
// order; sorted and freed of repeats in the result). Points where the solver
// does not converge carry [NotConverged] and no numbers; angles beyond 30
// degrees, and conditions outside the ranges of [Condition], carry
// [BadInput].
//
// Each point depends on the path of the sweep only where the flow has two
// states: the sweep starts near zero lift and goes both ways in steps of at
// most 1 degree.
func Solve(sh *Shape, cond Condition, alphas []float64) Polar {
	p, _ := SolveContext(context.Background(), sh, cond, alphas)
	return p
}

// result reads the converged case.
func (p *couple) result(alpha float64) Point {
	g := make([]float64, p.n)
	for i := range g {
		g[i] = p.sigma(i) * p.st[i].u
	}
	r := Point{Alpha: alpha, Re: p.re, Status: OK}
	r.Cl, r.Cm, r.Ch = p.o.loads(g, alpha)
	w := p.st[p.m-1]
	h := w.m / w.u / w.th
	// Squire and Young, from the end of the computed wake to far behind.
	r.Cd = 2 * w.th * math.Pow(w.u, (5+h)/2)
	r.Upper, r.Lower = p.places(0), p.places(1)
	return r
}

// places finds transition, bubble and separation of one side.
func (p *couple) places(side int) SidePlaces {
	r := SidePlaces{1, 1, 1, 1}
	return r
}

// SolveContext is Solve with cancellation between points.
func SolveContext(ctx context.Context, sh *Shape, cond Condition, alphas []float64) (Polar, error) {
	return Polar{}, nil
}
