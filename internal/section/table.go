package section

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
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
const version = "section 1"

// Node angles of a table: 1 degree up to 30, 5 degrees beyond.
const (
	fineStep   = math.Pi / 180
	fineLimit  = 30 * math.Pi / 180
	coarseStep = 5 * math.Pi / 180
	nCoarse    = 30 // nodes beyond the fine range on each side
	nFine      = 61
	nAlpha     = nFine + 2*nCoarse
)

func nodeAlpha(i int) float64 {
	switch k := i - nCoarse; {
	case k < 0:
		return -fineLimit + coarseStep*float64(k)
	case k >= nFine:
		return fineLimit + coarseStep*float64(k-nFine+1)
	default:
		return -fineLimit + fineStep*float64(k)
	}
}

// node holds values and slopes by alpha of cl, cd, cm, ch.
type node [8]float64

type code uint8

const (
	solved code = iota
	bridged
	extended
	trendCode
	measuredCode
)

// Bridged marks values between converged points over one that did not.
const Bridged Status = "bridged over points that did not converge"

// Measured marks values from a measured polar.
const Measured Status = "measured"

var codeStatus = [...]Status{OK, Bridged, PastStall, Trend, Measured}

// Peak is a largest or least lift of a table's column.
type Peak struct {
	Cl, Alpha float64
	Status    Status
}

// Table gives section forces over Reynolds number, angle of attack (all the
// way round) and flap angle. It is immutable and safe for parallel use.
type Table struct {
	Section string
	key     string
	re      []float64
	logRe   []float64
	flaps   []float64
	nodes   []node
	codes   []code
	top     []Peak // per column, flap-major
	low     []Peak
	curve   []curveInfo
}

type curveInfo struct{ failed int }

// Key returns the content hash of the table's inputs.
func (t *Table) Key() string { return t.key }

// Range returns the covered Reynolds numbers and flap angles.
func (t *Table) Range() (reLow, reHigh, flapLow, flapHigh float64) {
	return t.re[0], t.re[len(t.re)-1], t.flaps[0], t.flaps[len(t.flaps)-1]
}

// NotConverged returns how many of the solved points failed.
func (t *Table) NotConverged() int {
	n := 0
	for _, c := range t.curve {
		n += c.failed
	}
	return n
}

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
				t.Section = sh.Name()
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
	return t, nil
}

func newTable(name string, re, flaps []float64) *Table {
	t := &Table{Section: name, re: slices.Clone(re), flaps: slices.Clone(flaps)}
	for _, r := range re {
		t.logRe = append(t.logRe, math.Log(r))
	}
	n := len(re) * len(flaps)
	t.nodes, t.codes = make([]node, n*nAlpha), make([]code, n*nAlpha)
	t.top, t.low, t.curve = make([]Peak, n), make([]Peak, n), make([]curveInfo, n)
	return t
}

// reachPast is how far past its maximum lift a computed polar is used, and
// mergeOver the range over which it is merged into the flat-plate law.
const (
	reachPast = 2 * math.Pi / 180
	mergeOver = 5 * math.Pi / 180
)

// fill sets one column from a polar.
func (t *Table) fill(fi, ri int, sh *Shape, p Polar, plate Plate, good code) {
	col := fi*len(t.re) + ri
	var use []Point
	last := -1
	for i, q := range p.Points {
		if q.Status == NotConverged {
			t.curve[col].failed++
		}
		if q.Status != OK {
			continue
		}
		if !math.IsNaN(p.AlphaMax) && q.Alpha > p.AlphaMax+reachPast || !math.IsNaN(p.AlphaMin) && q.Alpha < p.AlphaMin-reachPast {
			continue
		}
		if last >= 0 && i > last+4 { // too wide to bridge: keep the part with the middle
			if q.Alpha > 8*fineStep {
				break
			}
			use = use[:0]
		}
		use = append(use, q)
		last = i
	}
	if len(use) < 3 { // nothing to go by: the trend, and said so
		t.trend(col, sh, t.re[ri], plate)
		return
	}
	t.column(col, use, plate, good)
	t.top[col] = Peak{p.ClMax, p.AlphaMax, p.MaxStatus}
	t.low[col] = Peak{p.ClMin, p.AlphaMin, p.MinStatus}
	// Not bracketed: the outermost point in use, with the reason.
	if e := use[len(use)-1]; math.IsNaN(p.ClMax) {
		t.top[col].Cl, t.top[col].Alpha = e.Cl, e.Alpha
	}
	if e := use[0]; math.IsNaN(p.ClMin) {
		t.low[col].Cl, t.low[col].Alpha = e.Cl, e.Alpha
	}
}

// column sets the nodes of a column from points of rising alpha, merging
// into the flat-plate law beyond them.
func (t *Table) column(col int, use []Point, plate Plate, good code) {
	val := make([][4]float64, nAlpha)
	mark := t.codes[col*nAlpha : (col+1)*nAlpha]
	law := func(a float64) [4]float64 {
		cl, cd, cm, ch := plate.At(a)
		return [4]float64{cl, cd, cm, ch}
	}
	if len(use) < 3 {
		for i := range val {
			val[i], mark[i] = law(nodeAlpha(i)), extended
		}
		t.store(col, val)
		return
	}
	x := make([]float64, len(use))
	y := make([][4]float64, len(use))
	wide := 0.0
	for i, q := range use {
		x[i], y[i] = q.Alpha, [4]float64{q.Cl, q.Cd, q.Cm, q.Ch}
		if i > 0 {
			wide = math.Max(wide, x[i]-x[i-1])
		}
	}
	n := len(x)
	first, end := x[0], x[n-1]
	edge := func(a, at float64, v [4]float64) [4]float64 {
		w := between(math.Abs(a-at)/mergeOver, 0, 1)
		w = w * w * (3 - 2*w)
		p := law(a)
		for k := range p {
			p[k] += (1 - w) * (v[k] - law(at)[k])
		}
		p[1] = math.Max(p[1], 0.004)
		return p
	}
	step := math.Inf(1)
	for i := 1; i < n; i++ {
		step = math.Min(step, x[i]-x[i-1])
	}
	for i := range val {
		a := nodeAlpha(i)
		switch {
		case a < first-1e-9:
			val[i], mark[i] = edge(a, first, y[0]), extended
		case a > end+1e-9:
			val[i], mark[i] = edge(a, end, y[n-1]), extended
		default:
			k := between(float64(sortSearch(x, a)), 1, float64(n-1))
			j := int(k)
			val[i] = hermite(x, y, j, a)
			mark[i] = good
			if x[j]-x[j-1] > 1.6*step && good == solved {
				mark[i] = bridged
			}
		}
	}
	t.store(col, val)
}

// sortSearch returns the first index with x >= a.
func sortSearch(x []float64, a float64) int {
	i, _ := slices.BinarySearch(x, a-1e-12)
	return i
}

// hermite interpolates between points j-1 and j with limited slopes.
func hermite(x []float64, y [][4]float64, j int, a float64) (out [4]float64) {
	h := x[j] - x[j-1]
	s := (a - x[j-1]) / h
	for k := range out {
		m0, m1 := pointSlope(x, y, j-1, k), pointSlope(x, y, j, k)
		out[k] = cubic(y[j-1][k], y[j][k], m0*h, m1*h, s)
	}
	return out
}

func cubic(f0, f1, m0, m1, s float64) float64 {
	c2, c3 := 3*(f1-f0)-2*m0-m1, 2*(f0-f1)+m0+m1
	return f0 + s*(m0+s*(c2+s*c3))
}

// pointSlope is the parabola's slope at point j, limited so that the
// interpolant makes no new extremes (Fritsch and Carlson).
func pointSlope(x []float64, y [][4]float64, j, k int) float64 {
	n := len(x)
	d := func(i int) float64 { return (y[i+1][k] - y[i][k]) / (x[i+1] - x[i]) }
	switch {
	case n < 2:
		return 0
	case j == 0:
		return d(0)
	case j == n-1:
		return d(n - 2)
	}
	a, b := d(j-1), d(j)
	if a*b <= 0 {
		return 0
	}
	h0, h1 := x[j]-x[j-1], x[j+1]-x[j]
	m := (a*h1 + b*h0) / (h0 + h1)
	return math.Copysign(math.Min(math.Abs(m), 3*math.Min(math.Abs(a), math.Abs(b))), m)
}

// store keeps values and slopes of a column; it closes at 180 degrees.
func (t *Table) store(col int, val [][4]float64) {
	x := make([]float64, nAlpha+2)
	y := make([][4]float64, nAlpha+2)
	for i := range val {
		x[i+1], y[i+1] = nodeAlpha(i), val[i]
	}
	for k := range 4 { // both ends are the same place
		m := (val[0][k] + val[nAlpha-1][k]) / 2
		y[1][k], y[nAlpha][k] = m, m
	}
	x[0], y[0] = x[1]-coarseStep, y[nAlpha-1]
	x[nAlpha+1], y[nAlpha+1] = x[nAlpha]+coarseStep, y[2]
	for i := range val {
		nd := &t.nodes[col*nAlpha+i]
		for k := range 4 {
			nd[k] = y[i+1][k]
			nd[4+k] = pointSlope(x, y, i+1, k)
		}
	}
}

// At returns lift, drag, moment about the quarter chord and hinge moment at
// angle of attack alpha (radians, any), Reynolds number re and flap angle
// flap (radians). Between nodes it is cubic in alpha (slopes continuous),
// linear in log(re) and in the flap angle. Outside the covered Reynolds
// numbers or flap angles the nearest end is used and the status is
// [Outside]; it is [PastStall] where the flat-plate law has a part, and NaN
// with [BadInput] for NaN arguments.
func (t *Table) At(alpha, re, flap float64) (cl, cd, cm, ch float64, st Status) {
	// Angle to node.
	if alpha > math.Pi || alpha < -math.Pi {
		alpha = math.Remainder(alpha, 2*math.Pi)
	}
	if !(alpha >= -math.Pi && alpha <= math.Pi && re > 0 && flap == flap) {
		n := math.NaN()
		return n, n, n, n, BadInput
	}
	var i int
	var s, h float64
	switch {
	case alpha < -fineLimit:
		s = (alpha + math.Pi) * (1 / coarseStep)
		h = coarseStep
	case alpha > fineLimit:
		s = (alpha-fineLimit)*(1/coarseStep) + nCoarse + nFine - 1
		h = coarseStep
	default:
		s = (alpha+fineLimit)*(1/fineStep) + nCoarse
		h = fineStep
	}
	i = min(max(int(s), 0), nAlpha-2)
	s -= float64(i)
	b2, b3 := s*s, s*s*s
	w0 := 1 - 3*b2 + 2*b3
	w1 := 1 - w0
	m0, m1 := (s-2*b2+b3)*h, (b3-b2)*h

	outside := false
	ri, rw := 0, 0.0
	if n := len(t.re); n > 1 {
		if re <= t.re[0] || re >= t.re[n-1] {
			outside = re < t.re[0] || re > t.re[n-1]
			if re >= t.re[n-1] {
				ri, rw = n-2, 1
			}
		} else {
			for ri < n-2 && re > t.re[ri+1] {
				ri++
			}
			rw = (math.Log(re) - t.logRe[ri]) / (t.logRe[ri+1] - t.logRe[ri])
		}
	} else {
		outside = re < 0.5*t.re[0] || re > 2*t.re[0]
	}
	fi, fw := 0, 0.0
	if n := len(t.flaps); n > 1 {
		if flap <= t.flaps[0] || flap >= t.flaps[n-1] {
			outside = outside || flap < t.flaps[0] || flap > t.flaps[n-1]
			if flap >= t.flaps[n-1] {
				fi, fw = n-2, 1
			}
		} else {
			for fi < n-2 && flap > t.flaps[fi+1] {
				fi++
			}
			fw = (flap - t.flaps[fi]) / (t.flaps[fi+1] - t.flaps[fi])
		}
	} else {
		outside = outside || math.Abs(flap-t.flaps[0]) > 1e-9
	}
	var worst code
	nr := len(t.re)
	at := (fi*nr+ri)*nAlpha + i
	for k := range 4 {
		w, o := 1-fw, at
		if k >= 2 {
			w, o = fw, o+nr*nAlpha
		}
		if k&1 == 0 {
			w *= 1 - rw
		} else {
			w *= rw
			o += nAlpha
		}
		if w == 0 {
			continue
		}
		a, b := &t.nodes[o], &t.nodes[o+1]
		v0, v1, d0, d1 := w*w0, w*w1, w*m0, w*m1
		cl += v0*a[0] + v1*b[0] + d0*a[4] + d1*b[4]
		cd += v0*a[1] + v1*b[1] + d0*a[5] + d1*b[5]
		cm += v0*a[2] + v1*b[2] + d0*a[6] + d1*b[6]
		ch += v0*a[3] + v1*b[3] + d0*a[7] + d1*b[7]
		worst = max(worst, t.codes[o], t.codes[o+1])
	}
	if outside {
		return cl, cd, cm, ch, Outside
	}
	return cl, cd, cm, ch, codeStatus[worst]
}

// ClMax returns the largest lift and its angle, linear in log(re) and flap
// between the columns; outside the range the nearest end with [Outside].
func (t *Table) ClMax(re, flap float64) Peak { return t.peak(t.top, re, flap) }

// ClMin returns the least lift and its angle.
func (t *Table) ClMin(re, flap float64) Peak { return t.peak(t.low, re, flap) }

func (t *Table) peak(of []Peak, re, flap float64) Peak {
	place := func(x []float64, v float64) (int, float64, bool) {
		n := len(x)
		switch {
		case n == 1:
			return 0, 0, math.Abs(v-x[0]) <= 0.7*math.Abs(x[0])+1e-9
		case !(v > x[0]):
			return 0, 0, v == x[0]
		case v >= x[n-1]:
			return n - 2, 1, v == x[n-1]
		}
		i := 0
		for v > x[i+1] {
			i++
		}
		return i, (v - x[i]) / (x[i+1] - x[i]), true
	}
	ri, rw, ok1 := place(t.logRe, math.Log(re))
	fi, fw, ok2 := place(t.flaps, flap)
	var out Peak
	out.Status = OK
	add := func(f, r int, w float64) {
		if w == 0 {
			return
		}
		p := of[f*len(t.re)+r]
		out.Cl += w * p.Cl
		out.Alpha += w * p.Alpha
		if p.Status != OK {
			out.Status = p.Status
		}
	}
	add(fi, ri, (1-fw)*(1-rw))
	add(fi, ri+1, (1-fw)*rw)
	add(fi+1, ri, fw*(1-rw))
	add(fi+1, ri+1, fw*rw)
	if !ok1 || !ok2 {
		out.Status = Outside
	}
	return out
}

// FromHandbook returns a table of published trends ([Handbook]) in the same
// form, at once and without the solver; every value carries [Trend].
func FromHandbook(sh *Shape, spec Spec) (*Table, error) {
	spec = spec.filled()
	if err := spec.check(sh); err != nil {
		return nil, err
	}
	t := newTable(sh.Name(), spec.Re, spec.Flaps)
	t.key = "handbook " + spec.Key(sh)
	for fi, f := range spec.Flaps {
		s := sh
		if f != 0 {
			s = sh.WithFlap(spec.Hinge, f)
		}
		plate := PlateFor(s, spec.AspectRatio)
		for ri, re := range spec.Re {
			t.trend(fi*len(spec.Re)+ri, s, re, plate)
		}
	}
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
