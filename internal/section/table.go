package section

import (
	"math"
	"slices"
)

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
	shape   *Shape // what was solved; nil for a measured polar
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

// Doubt returns the doubt of the table's numbers at a Reynolds number: that of
// [Doubt], and for a measured polar that of a good tunnel.
//
// A tunnel's own scatter is that of the two sections of the reference folder
// (Selig and others, 1995 and 1998; TestMeasuredDoubt): the standard error of
// drag over four span stations is 2 to 4 % at 200,000 and above, 3 to 4 % at
// 100,000 and 4 to 10 % at 60,000, and lift of two runs differs by 0.01, 0.02
// and 0.03. What another tunnel would give adds to it: maximum lift of one
// section in two good tunnels differs by 7 % (reference page, section 4), which
// is 0.05 a tunnel; the same for drag, from memory.
func (t *Table) Doubt(re float64) SolverDoubt {
	if t.shape == nil {
		low := between(math.Log2(2e5/math.Max(re, 1e4)), 0, 3) // octaves below 200,000
		return SolverDoubt{Cl: 0.02 + 0.01*low, AlphaL0: 0.2 * math.Pi / 180, CdRel: 0.04 + 0.04*low, Cm: 0.004, ClMax: 0.05, ChRel: 0.1}
	}
	return Doubt(t.shape, re)
}

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
