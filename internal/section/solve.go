package section

import (
	"context"
	"fmt"
	"math"
	"slices"
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
	// trailing edge down positive; zero without a flap. The flap is sealed:
	// expect 20 to 30 % more than a plain flap with a gap.
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

// Check reports why the condition is outside what the solver accepts, or nil.
func (c Condition) Check() error {
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
	tolerance = 1e-4 // rms of relative changes
	maxIter   = 32
)

// builtEdge is the least thickness of a trailing edge, chords: no builder
// makes a sharper one (0.2 mm on 200 mm), and the flow there stays regular.
const builtEdge = 0.001

// solver sweeps one outline.
type solver struct {
	o    *outline
	f    flow
	trip [2]float64
	// brief stops a sweep a little past maximum lift, and tries less hard.
	brief bool
}

// NotAsked marks points beyond the stall that a table does not need.
const NotAsked Status = "past stall, not solved"

func newSolver(sh *Shape, c Condition) *solver {
	o := newOutline(sh.opened(builtEdge), c.Panels)
	if o == nil {
		return nil
	}
	return &solver{o: o, f: flow{c.Re, CriticalN(c.Turbulence)}, trip: [2]float64{c.TripUpper, c.TripLower}}
}

// settle iterates to convergence and reports whether it got there.
func (s *solver) settle(p *couple) bool {
	p.cap = 1
	for i := range maxIter {
		if i == 14 {
			p.cap = 0.5 // steps out of a cycle
		} else if i == 19 {
			p.cap = 1
		}
		r := p.newton()
		if math.IsNaN(r) || r > 1e6 {
			return false
		}
		if r < tolerance {
			return true
		}
		if i == 12 && r > 3 || i == 22 && r > 0.02 {
			return false // lost
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
	q.sheet = append([]float64(nil), p.sheet...)
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
//
// Accuracy (docs/accuracy.md, "section polars"): mean drag error 2 to 6 % at
// Reynolds numbers of 200,000 to 400,000, 9 to 13 % at 100,000, 9 to 27 % at
// 60,000; attached lift 0.05; maximum lift 0.08 for round noses, up to 0.12
// too high for noses sharper than 1 % of chord. See [Doubt].
func Solve(sh *Shape, cond Condition, alphas []float64) Polar {
	p, _ := SolveContext(context.Background(), sh, cond, alphas)
	return p
}

// SolveContext is Solve with cancellation between points; the error is that
// of the context.
func SolveContext(ctx context.Context, sh *Shape, cond Condition, alphas []float64) (Polar, error) {
	c := cond.filled()
	list := append([]float64(nil), alphas...)
	slices.Sort(list)
	out := blank(sh, c, slices.Compact(list))
	out.Cond = cond
	all := func(s Status) (Polar, error) {
		for i := range out.Points {
			out.Points[i].Status = s
		}
		out.MaxStatus, out.MinStatus = s, s
		return out, nil
	}
	if cond.Check() != nil {
		return all(BadInput)
	}
	s := newSolver(sh, c)
	if s == nil {
		return all(Bad)
	}
	err := s.sweep(ctx, sh, out.Points)
	out.peaks()
	return out, err
}

// sweep fills the points from the middle outwards.
func (s *solver) sweep(ctx context.Context, sh *Shape, pts []Point) error {
	if len(pts) == 0 {
		return nil
	}
	middle := sh.Thin().AlphaL0 + 4*math.Pi/180
	k := 0
	for i := range pts {
		if math.Abs(pts[i].Alpha-middle) < math.Abs(pts[k].Alpha-middle) {
			k = i
		}
	}
	// The first converged point, tried outwards from the middle.
	var first *couple
	for d := 0; d < 2*len(pts) && d < 16 && first == nil; d++ {
		i := k + (d+1)/2
		if d%2 == 1 {
			i = k - (d+1)/2
		}
		if i < 0 || i >= len(pts) || math.Abs(pts[i].Alpha) > maxAlpha {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if first = s.start(pts[i].Alpha); first != nil {
			k = i
		} else if q := s.start(middle); q != nil {
			if first = s.reach(q, middle, pts[i].Alpha); first != nil {
				k = i
			}
		}
	}
	if first == nil {
		return nil
	}
	pts[k] = first.result(pts[k].Alpha)
	kept := make([]*couple, len(pts))
	kept[k] = first
	for _, dir := range []int{1, -1} {
		p, last, lost := first, pts[k].Alpha, 0.0
		best, bestAt := pts[k].Cl, pts[k].Alpha
		for i := k + dir; i >= 0 && i < len(pts); i += dir {
			if err := ctx.Err(); err != nil {
				return err
			}
			a := pts[i].Alpha
			if math.Abs(a) > maxAlpha {
				pts[i].Status = BadInput
				continue
			}
			if lost > 4*math.Pi/180 {
				continue // stopped for good
			}
			if s.brief && math.Abs(last-bestAt) > reachPast-1e-9 {
				pts[i].Status = NotAsked
				continue
			}
			var q *couple
			if lost == 0 {
				q = s.reach(p, last, a)
			} else {
				q = s.from(p, last, a, 0) // over the gap in one step
			}
			if q == nil {
				q = s.start(a)
			}
			if q == nil {
				lost = math.Abs(a - last)
				continue
			}
			p, last, lost = q, a, 0
			pts[i], kept[i] = q.result(a), q
			if c := pts[i].Cl; c*float64(dir) > best*float64(dir) {
				best, bestAt = c, a
			}
		}
	}
	// Gaps once more, from their far side.
	for i := range pts {
		if pts[i].Status != NotConverged || math.Abs(pts[i].Alpha) > maxAlpha {
			continue
		}
		for _, j := range []int{i + 1, i - 1} {
			if err := ctx.Err(); err != nil {
				return err
			}
			if j < 0 || j >= len(pts) || kept[j] == nil {
				continue
			}
			if q := s.from(kept[j], pts[j].Alpha, pts[i].Alpha, 2); q != nil {
				pts[i], kept[i] = q.result(pts[i].Alpha), q
				break
			}
		}
	}
	return nil
}

// reach goes from a converged case to another angle in steps of 1 degree.
func (s *solver) reach(p *couple, from, to float64) *couple {
	n := int(math.Ceil(math.Abs(to-from)/(1.01*math.Pi/180) - 1e-9))
	at := from
	for i := 1; i <= n; i++ {
		a := from + (to-from)*float64(i)/float64(n)
		depth := 2
		if s.brief {
			depth = 1
		}
		if p = s.from(p, at, a, depth); p == nil {
			return nil
		}
		at = a
	}
	return p
}
