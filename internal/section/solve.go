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
	Stalled      Status = "stalled: no steady flow found"  // past the last angle that has one
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

	edge [2]Point // see solver
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
	// edge is the last point of attached flow, above (0) and below (1), where
	// the nose lets go; without numbers where it does not.
	edge [2]Point
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

// start solves from scratch: at once, or by easing in.
func (s *solver) start(alpha float64) *couple {
	if p := s.fresh(alpha, s.f.nCrit); p != nil {
		return p
	}
	return s.ease(s.fresh(alpha, easyN), alpha, easyN)
}

// fresh solves from the inviscid flow at the exponent n.
func (s *solver) fresh(alpha, n float64) *couple {
	p := newCouple(s.o)
	p.set(alpha, flow{s.f.re, n}, s.trip)
	p.begin()
	if p.stag < 0 || !s.settle(p) {
		return nil
	}
	return p
}

// easyN is the exponent from which easing starts: layers that turn turbulent
// soon after disturbances start to grow separate less, and settle where
// laminar ones do not.
const easyN = 1

// ease follows a case that has settled at the exponent n (nil when it has
// not) to the exponent asked for.
func (s *solver) ease(p *couple, alpha, n float64) *couple {
	step := 2.0
	for tries := 0; p != nil && n < s.f.nCrit-1e-9; tries++ {
		if tries > 14 || step < 0.2 {
			return nil
		}
		to := math.Min(n+step, s.f.nCrit)
		q := p.clone()
		q.set(alpha, flow{s.f.re, to}, s.trip)
		if !s.settle(q) {
			step /= 2.5
			continue
		}
		p, n, step = q, to, 1.5*step
	}
	return p
}

// unbend reaches a section with a flap from the same section with the flap
// straight, by steps, at about the same lift.
func (s *solver) unbend(alpha float64) *couple {
	sh := s.o.sh
	f := sh.FlapSet()
	if f.Hinge == 0 || math.Abs(f.Angle) < 3*math.Pi/180 {
		return nil
	}
	plain, l0 := sh.WithoutFlap(), sh.Thin().AlphaL0
	var last *couple
	done, step := 0.0, math.Min(1, 5*math.Pi/180/math.Abs(f.Angle))
	for share := 0.0; ; share = math.Min(done+step, 1) {
		part := plain
		if share > 0 {
			part = plain.WithFlap(f.Hinge, share*f.Angle)
		}
		t := &solver{o: s.o, f: s.f, trip: s.trip, brief: s.brief}
		if share < 1 {
			if t.o = newOutline(part, s.o.n-1); t.o == nil {
				return nil
			}
		}
		a := alpha + part.Thin().AlphaL0 - l0
		var p *couple
		if last == nil {
			p = t.start(a)
		} else {
			p = last.onto(t.o)
			p.set(a, t.f, t.trip)
			if !t.settle(p) {
				if p = t.ease(t.eased(last.onto(t.o), a), a, easyN); p == nil {
					p = t.start(a)
				}
			}
		}
		switch {
		case p == nil && last == nil:
			return nil
		case p == nil:
			if step /= 2; step < 0.06 {
				return nil
			}
			continue
		case share == 1:
			return p
		}
		last, done = p, share
	}
}

// eased settles a guess at the exponent of [easyN].
func (s *solver) eased(p *couple, alpha float64) *couple {
	p.set(alpha, flow{s.f.re, easyN}, s.trip)
	if s.settle(p) {
		return p
	}
	return nil
}

// onto returns the layer of a case as a first guess on another outline of as
// many nodes.
func (p *couple) onto(o *outline) *couple {
	q := newCouple(o)
	q.set(0, p.flow, p.trip)
	copy(q.st, p.st)
	copy(q.kind, p.kind)
	q.stag, q.tau = p.stag, p.tau
	return q
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
// does not converge carry [NotConverged] and no numbers, or [Stalled] where the
// last that did shows the flow giving way or the suction at the nose passes
// what flow round it stands; angles beyond 30 degrees, and
// conditions outside the ranges of [Condition], carry [BadInput].
//
// Each point depends on the path of the sweep only where the flow has two
// states: the sweep starts near zero lift and goes both ways in steps of at
// most 1 degree.
//
// Accuracy (docs/accuracy.md, "section polars"): mean drag error 2 to 6 % at
// Reynolds numbers of 200,000 to 400,000, 9 to 13 % at 100,000, 9 to 27 % at
// 60,000; attached lift 0.05; maximum lift 0.11. See [Doubt].
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
	out.edge = s.edge
	out.peaks()
	return out, err
}

// sweep fills the points from the middle outwards.
func (s *solver) sweep(ctx context.Context, sh *Shape, pts []Point) error {
	if len(pts) == 0 {
		return nil
	}
	middle := sh.middle()
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
		} else if d < 4 {
			if first = s.unbend(pts[i].Alpha); first != nil {
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
		if err := s.outwards(ctx, pts, kept, k, dir); err != nil {
			return err
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
				if r := q.result(pts[i].Alpha); q.sound(r) {
					pts[i], kept[i] = r, q
					break
				}
			}
		}
	}
	s.ends(pts)
	return s.again(ctx, pts, kept)
}

// outwards fills the points beyond the k-th, which has settled, up to the next
// that has.
func (s *solver) outwards(ctx context.Context, pts []Point, kept []*couple, k, dir int) error {
	p, last, lost := kept[k], pts[k].Alpha, 0.0
	best, bestAt := pts[k].Cl, pts[k].Alpha
	for i := k + dir; i >= 0 && i < len(pts); i += dir {
		if err := ctx.Err(); err != nil {
			return err
		}
		if kept[i] != nil {
			return nil
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
		if q == nil && lost < 2.5*math.Pi/180 {
			if q = s.ease(s.eased(p.clone(), a), a, easyN); q == nil && lost == 0 {
				q = s.start(a)
			}
		}
		if q == nil {
			lost = math.Abs(a - last)
			continue
		}
		r := q.result(a)
		if !q.sound(r) {
			lost = math.Abs(a - last)
			continue
		}
		if q.drop() > noseLimit(s.f.re) && p.drop() <= noseLimit(s.f.re) {
			s.edge[(1-dir)/2] = s.letsGo(p, q, last, a)
			for ; i >= 0 && i < len(pts); i += dir {
				pts[i].Status = Stalled
				if math.Abs(pts[i].Alpha) > maxAlpha {
					pts[i].Status = BadInput
				}
			}
			break
		}
		p, last, lost = q, a, 0
		pts[i], kept[i] = r, q
		if c := pts[i].Cl; c*float64(dir) > best*float64(dir) {
			best, bestAt = c, a
		}
	}
	return nil
}

// again looks for flow past an end that was reached without a stall: a thick
// or cambered section at a low Reynolds number, or one with a flap, lets go
// of the attached flow near zero lift and takes hold of it again some degrees
// on, with nothing between that Newton's method could follow.
func (s *solver) again(ctx context.Context, pts []Point, kept []*couple) error {
	found := false
	for _, dir := range []int{1, -1} {
		i := 0
		if dir > 0 {
			i = len(pts) - 1
		}
		for i >= 0 && i < len(pts) && pts[i].Status == NotConverged {
			i -= dir
		}
		if i < 0 || i >= len(pts) || kept[i] == nil {
			continue
		}
		last, tries := pts[i], 0
		next := 2 * math.Pi / 180
		for j := i + dir; j >= 0 && j < len(pts); j += dir {
			a := pts[j].Alpha
			if d := math.Abs(a - last.Alpha); math.Abs(a) > maxAlpha || d > 8.5*math.Pi/180 {
				break
			} else if d < next {
				continue
			} else {
				next = d + 2*math.Pi/180
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			q := s.start(a)
			if q == nil && tries < 2 { // with a flap: from the plain section
				tries++
				q = s.unbend(a)
			}
			if q == nil {
				continue
			}
			r := q.result(a)
			if !q.sound(r) || q.drop() > noseLimit(s.f.re) || float64(dir)*(r.Cl-last.Cl) < 0 {
				continue
			}
			pts[j], kept[j] = r, q
			found = true
			for _, d := range []int{dir, -dir} {
				if err := s.outwards(ctx, pts, kept, j, d); err != nil {
					return err
				}
			}
			break
		}
	}
	if found {
		s.ends(pts)
	}
	return nil
}

// sound reports whether a case that settled is one that a flow can have: its
// lift does not exceed that of the flow without layers, which thin layers
// nearly reach and separation takes from. A fifth and 0.25 are allowed for
// layers that part from the lower side near the trailing edge and act as a
// flap. Newton's method can settle on others where the shape is bad.
func (p *couple) sound(r Point) bool {
	cl, _, _ := p.o.loads(p.o.vorticity(r.Alpha), r.Alpha)
	return r.Cd > 0 && math.Abs(r.Cl) < 1.2*math.Abs(cl)+0.25
}

// ends marks the points past the outermost that settled as stalled where that
// one shows that the flow is giving way: lift grows by less than three
// quarters of its fastest growth, or drag by more than a quarter in a degree.
// There the branch of attached flow ends in a fold, past which Newton's method
// finds nothing. So are those between two that settled, when from one to the
// other lift grows by less than 0.6 of that, or drag by more than a quarter a
// degree: they lie in the jump from the attached to the stalled branch.
func (s *solver) ends(pts []Point) {
	steepest := 0.0
	for i := 1; i < len(pts); i++ {
		if pts[i].Status == OK && pts[i-1].Status == OK {
			steepest = math.Max(steepest, (pts[i].Cl-pts[i-1].Cl)/(pts[i].Alpha-pts[i-1].Alpha))
		}
	}
	// A jump from one attached branch to another is no growth.
	steepest = math.Min(steepest, 2*math.Pi)
	giving := func(a, b Point, share float64) bool {
		d := b.Alpha - a.Alpha
		return (b.Cl-a.Cl)/d < share*steepest || math.Abs(math.Log(b.Cd/a.Cd)) > math.Log(1.25)*d*180/math.Pi
	}
	last := -1
	for i := range pts {
		if pts[i].Status != OK {
			continue
		}
		if last >= 0 && i > last+1 && giving(pts[last], pts[i], 0.6) {
			for k := last + 1; k < i; k++ {
				if pts[k].Status == NotConverged {
					pts[k].Status = Stalled
				}
			}
		}
		last = i
	}
	for _, dir := range []int{1, -1} {
		end := len(pts) - 1
		if dir < 0 {
			end = 0
		}
		i := end
		for i >= 0 && i < len(pts) && pts[i].Status != OK {
			if pts[i].Status != NotConverged {
				i = -2 // ended for another reason
				break
			}
			i -= dir
		}
		j := i - dir
		if i == end || i < 0 || j < 0 || i >= len(pts) || j >= len(pts) || pts[j].Status != OK {
			continue
		}
		if a, b := pts[min(i, j)], pts[max(i, j)]; (b.Cl-a.Cl)/(b.Alpha-a.Alpha) < 0.75*steepest || math.Log(pts[i].Cd/pts[j].Cd) > math.Log(1.25)*(b.Alpha-a.Alpha)*180/math.Pi {
			for k := i + dir; k >= 0 && k < len(pts); k += dir {
				pts[k].Status = Stalled
			}
		}
	}
}

// middle is an angle of attack where neither side is near its stall, radians:
// 4 degrees above zero lift by thin-airfoil theory. Of the change that a flap
// makes, a third: the stall of one side moves with the flap, that of the other
// hardly does.
func (s *Shape) middle() float64 {
	plain := s.WithoutFlap().Thin().AlphaL0
	return plain + (s.Thin().AlphaL0-plain)/3 + 4*math.Pi/180
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
