package section

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"sync"
)

// Spec says what a table covers.
type Spec struct {
	Re    []float64 // rising; nil means DefaultRe
	Flaps []float64 // flap angles in radians, rising; nil means {0}
	Hinge float64   // hinge place in chords; needed when Flaps has other than zero
	// AlphaFrom, AlphaTo and AlphaStep of the solved points, radians; all
	// zero means -20 to 20 degrees by 1.
	AlphaFrom, AlphaTo, AlphaStep float64
	Cond                          Condition // its Re is not used; Panels zero means 100
	AspectRatio                   float64   // of the wing, for the flow past stall; zero is infinite
	Workers                       int       // parallel solvers; zero means 1
	Progress                      func(done, total int)
}

// DefaultRe are the Reynolds numbers of a table when none are asked for.
var DefaultRe = []float64{3e4, 4.5e4, 6.5e4, 9e4, 1.25e5, 1.75e5, 2.5e5, 3.5e5, 5e5, 7.5e5, 1.1e6, 2e6}

// version is part of every key: raise it when any number may change.
const version = "section 6"

func (s Spec) filled() Spec {
	if len(s.Re) == 0 {
		s.Re = DefaultRe
	}
	if len(s.Flaps) == 0 {
		s.Flaps = []float64{0}
	}
	if s.AlphaFrom == 0 && s.AlphaTo == 0 && s.AlphaStep == 0 {
		s.AlphaFrom, s.AlphaTo, s.AlphaStep = -20*fineStep, 20*fineStep, fineStep
	}
	if s.Cond.Panels == 0 {
		s.Cond.Panels = 100 // drag within 1 % of 240 panels
	}
	s.Cond = s.Cond.filled()
	s.Workers = max(s.Workers, 1)
	return s
}

func (s Spec) check(sh *Shape) error {
	rising := func(v []float64, lo, hi float64) bool {
		for i, x := range v {
			if !(x >= lo && x <= hi) || i > 0 && x <= v[i-1] {
				return false
			}
		}
		return true
	}
	switch {
	case !rising(s.Re, 1e4, 2e7):
		return fmt.Errorf("section: Reynolds numbers must rise from at least 10,000 to at most 20 million")
	case !rising(s.Flaps, -math.Pi/3, math.Pi/3):
		return fmt.Errorf("section: flap angles must rise within 60 degrees either way")
	case (len(s.Flaps) > 1 || s.Flaps[0] != 0) && !(s.Hinge >= 0.05 && s.Hinge <= 0.98):
		return fmt.Errorf("section: flaps need a hinge at 0.05 to 0.98 chords")
	case (len(s.Flaps) > 1 || s.Flaps[0] != 0) && sh.FlapSet().Hinge != 0:
		return fmt.Errorf("section: the shape has a flap set already")
	case !(s.AlphaStep >= 0.1*fineStep) || !(s.AlphaTo-s.AlphaFrom >= 4*fineStep) || s.AlphaFrom < -maxAlpha || s.AlphaTo > maxAlpha:
		return fmt.Errorf("section: angles must span at least 4 degrees within 30 degrees either way, by steps of at least 0.1")
	}
	c := s.Cond
	c.Re = s.Re[0]
	return c.Check()
}

// Key returns the content hash under which Build keeps a table.
func (s Spec) Key(sh *Shape) string {
	s = s.filled()
	h := sha256.New()
	fmt.Fprintf(h, "%s|%s|%x|%x|%x|%x %x %x|%x %x %x %d|%x", version, sh.Hash(), s.Re, s.Flaps, s.Hinge, s.AlphaFrom, s.AlphaTo, s.AlphaStep,
		s.Cond.Turbulence, s.Cond.TripUpper, s.Cond.TripLower, s.Cond.Panels, s.AspectRatio)
	return hex.EncodeToString(h.Sum(nil)[:20])
}

// Build solves all polars of the spec on a pool of Workers goroutines,
// extends them past stall and returns the table. A memo (may be nil) is asked
// first and told afterwards; the numbers are the same either way and do not
// depend on the number of workers. The error is a wrong spec, or that of the
// context.
func Build(ctx context.Context, sh *Shape, spec Spec, memo Memo) (*Table, error) {
	spec = spec.filled()
	if err := spec.check(sh); err != nil {
		return nil, err
	}
	key := spec.Key(sh)
	if memo != nil {
		if raw, ok := memo.Get(key); ok {
			if t := decode(raw); t != nil && t.key == key {
				t.Section, t.shape = sh.Name(), sh
				return t, nil
			}
		}
	}
	var alphas []float64
	for i := 0; ; i++ {
		a := spec.AlphaFrom + float64(i)*spec.AlphaStep
		if a > spec.AlphaTo+1e-9 {
			break
		}
		alphas = append(alphas, a)
	}
	shapes := make([]*Shape, len(spec.Flaps))
	outlines := make([]func() *outline, len(spec.Flaps))
	for i, f := range spec.Flaps {
		shapes[i] = sh
		if f != 0 {
			shapes[i] = sh.WithFlap(spec.Hinge, f)
		}
		outlines[i] = sync.OnceValue(func() *outline { return newOutline(shapes[i].opened(builtEdge), spec.Cond.Panels) })
	}
	t := newTable(sh.Name(), spec.Re, spec.Flaps)
	t.key = key
	jobs := len(spec.Re) * len(spec.Flaps)
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	var failed error
	done := 0
	for range min(spec.Workers, jobs) {
		wg.Go(func() {
			for j := range next {
				fi, ri := j/len(spec.Re), j%len(spec.Re)
				c := spec.Cond
				c.Re = spec.Re[ri]
				p := blank(shapes[fi], c, alphas)
				var err error
				if o := outlines[fi](); o != nil {
					s := &solver{o: o, f: flow{c.Re, CriticalN(c.Turbulence)}, trip: [2]float64{c.TripUpper, c.TripLower}, brief: true}
					err = s.sweep(ctx, shapes[fi], p.Points)
					p.edge = s.edge
				}
				p.peaks()
				mu.Lock()
				if err != nil && failed == nil {
					failed = err
				}
				t.fill(fi, ri, shapes[fi], p, PlateFor(shapes[fi], spec.AspectRatio), solved)
				done++
				if spec.Progress != nil {
					spec.Progress(done, jobs)
				}
				mu.Unlock()
			}
		})
	}
	for j := range jobs {
		select {
		case next <- j:
		case <-ctx.Done():
		}
		if ctx.Err() != nil {
			break
		}
	}
	close(next)
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if failed != nil {
		return nil, failed
	}
	if memo != nil {
		memo.Put(key, t.encode())
	}
	t.shape = sh
	return t, nil
}

// trend fills a column from the handbook. Hinge moments are 0.6 of the
// thin-airfoil values (a fit of Glauert's integrals, 2 % from 0.1 to 0.5
// chord).
func (t *Table) trend(col int, s *Shape, re float64, plate Plate) {
	tr := Handbook(s, re)
	f := s.FlapSet()
	e := 1 - f.Hinge
	var pts []Point
	for a := tr.AlphaLow - reachPast; a < tr.AlphaStall+reachPast; a += fineStep {
		cl, cd := tr.At(a)
		q := Point{Alpha: a, Cl: cl, Cd: cd, Cm: tr.Cm0}
		if f.Hinge != 0 {
			q.Ch = -0.6 * (1.11*math.Sqrt(e)*a + (0.845+0.42*e)*f.Angle)
		}
		pts = append(pts, q)
	}
	t.column(col, pts, plate, trendCode)
	t.top[col] = Peak{tr.ClMax, tr.AlphaStall, Trend}
	t.low[col] = Peak{tr.ClMin, tr.AlphaLow, Trend}
}

// blank is a polar with points to be solved.
func blank(sh *Shape, c Condition, alphas []float64) Polar {
	nan := math.NaN()
	p := Polar{Section: sh.Name(), Cond: c, Flap: sh.FlapSet(), ClMax: nan, AlphaMax: nan, ClMin: nan, AlphaMin: nan}
	for _, a := range alphas {
		p.Points = append(p.Points, Point{Alpha: a, Re: c.Re, Status: NotConverged})
	}
	return p
}
