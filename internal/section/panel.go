package section

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// outline is a paneled section with everything of the inviscid flow that
// depends on the shape alone: the factored matrix of the vorticity
// distribution, its two unit solutions and its response to the displacement
// of the boundary layer.
//
// Method: linear vorticity on straight panels, the stream function constant
// on the surface (and so the fluid inside at rest and the vorticity equal to
// the edge speed), displacement effect as sources on surface and wake, as
// published by Drela 1989; integrals and branch cuts are our own: the angle
// under which a source element is seen is unwound walking along the surface.
type outline struct {
	n     int       // nodes: upper trailing edge over the nose to lower
	x, y  []float64 // nodes
	s     []float64 // arc length of the nodes
	sharp bool
	gap   float64    // thickness of the blunt base normal to its bisector
	along float64    // extent of the base along its bisector
	bis   [2]float64 // unit vector, downstream along the bisector
	lu    blas64.General
	piv   []int
	unit  [2][]float64 // vorticity for free stream along x and along y
	resp  []float64    // n x n: vorticity by signed defect of the surface nodes
	mu    sync.Mutex   // guards resp and wakes
	wakes map[int]*wake
	sh    *Shape
}

// wake is the viscous wake of an outline at one rounded angle of attack with
// its influence.
type wake struct {
	nw   int
	x, y []float64
	s    []float64 // arc length from the trailing edge
	// ue over all stations (surface then wake) = base(alpha) + e * signed
	// defect; surface rows are vorticity, wake rows speed along the wake.
	e     []float64    // m x m, m = n + nw
	sheet []float64    // m x nw: response to vorticity of the wake nodes
	phi   []float64    // direction of the wake
	unit  [2][]float64 // m: response to the unit free streams
}

// newOutline panels the shape with np panels. It returns nil when the system
// is singular (a degenerate shape).
func newOutline(sh *Shape, np int) *outline {
	x, y := sh.Repanel(np)
	o := &outline{n: len(x), x: x, y: y, wakes: map[int]*wake{}, sh: sh}
	n := o.n
	o.s = make([]float64, n)
	for i := 1; i < n; i++ {
		o.s[i] = o.s[i-1] + math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
	}
	// Bisector of the trailing edge.
	ux, uy := unitOf(x[0]-x[1], y[0]-y[1])
	lx, ly := unitOf(x[n-1]-x[n-2], y[n-1]-y[n-2])
	bx, by := unitOf(ux+lx, uy+ly)
	o.bis = [2]float64{bx, by}
	gx, gy := x[0]-x[n-1], y[0]-y[n-1]
	o.gap = math.Abs(bx*gy - by*gx)
	o.along = bx*gx + by*gy
	o.sharp = math.Hypot(gx, gy) < 1e-6

	// Rows: stream function at the nodes, last unknown the constant.
	m := n + 1
	a := make([]float64, m*m)
	for i := range n {
		row := a[i*m:]
		for j := 0; j+1 < n; j++ {
			p0, p1 := vortexPsi(x[j], y[j], x[j+1], y[j+1], x[i], y[i])
			row[j] += p0
			row[j+1] += p1
		}
		row[n] = -1
	}
	if !o.sharp {
		o.base(func(i int, up, low float64) { a[i*m] += up; a[i*m+n-1] += low })
	} else {
		// The node shared by both ends gives one equation only: the other
		// says that the mean speed of both sides runs on linearly.
		row := a[(n-1)*m : n*m]
		clear(row)
		row[0], row[1], row[2] = 1, -2, 1
		row[n-1], row[n-2], row[n-3] = -1, 2, -1
	}
	a[n*m], a[n*m+n-1] = 1, 1 // smooth departure
	o.lu = blas64.General{Rows: m, Cols: m, Stride: m, Data: a}
	o.piv = make([]int, m)
	if !lapack64.Getrf(o.lu, o.piv) {
		return nil
	}
	rhs := make([]float64, m*2)
	for i := range n {
		rhs[2*i], rhs[2*i+1] = -y[i], x[i]
	}
	if o.sharp {
		rhs[2*(n-1)], rhs[2*(n-1)+1] = 0, 0
	}
	o.solve(rhs, 2)
	for k := range o.unit {
		o.unit[k] = make([]float64, n)
		for i := range n {
			o.unit[k][i] = rhs[2*i+k]
		}
	}
	for i := range o.unit[0] {
		if math.IsNaN(o.unit[0][i] + o.unit[1][i]) {
			return nil
		}
	}
	return o
}

func unitOf(x, y float64) (float64, float64) {
	h := math.Hypot(x, y)
	if h == 0 {
		return 1, 0
	}
	return x / h, y / h
}

// solve overwrites k right-hand sides with the solutions.
func (o *outline) solve(rhs []float64, k int) {
	m := o.n + 1
	lapack64.Getrs(blas.NoTrans, o.lu, blas64.General{Rows: m, Cols: k, Stride: k, Data: rhs}, o.piv)
}

// base hands out the influence on node i of the speeds of the upper and
// lower end through the blunt base: a source that lets the mean speed pass,
// and vorticity where the base is askew.
func (o *outline) base(put func(i int, up, low float64)) {
	n := o.n
	l := math.Hypot(o.x[0]-o.x[n-1], o.y[0]-o.y[n-1])
	src := o.sourceAngles(o.x[n-1], o.y[n-1], o.x[0], o.y[0], 0)
	for i := range n {
		p0, p1 := vortexPsi(o.x[n-1], o.y[n-1], o.x[0], o.y[0], o.x[i], o.y[i])
		// Mean speed = (gamma_0 - gamma_(n-1))/2; strength = speed x gap/l.
		w := 0.5 * ((src[2*i]+src[2*i+1])*o.gap + (p0+p1)*o.along) / l
		put(i, w, -w)
	}
}

// vortexPsi returns the stream function at (px, py) of a panel from a to b
// whose clockwise vorticity falls linearly from one at a to zero at b, and
// the other way round.
func vortexPsi(ax, ay, bx, by, px, py float64) (pa, pb float64) {
	tx, ty := bx-ax, by-ay
	l := math.Hypot(tx, ty)
	if l == 0 {
		return 0, 0
	}
	tx, ty = tx/l, ty/l
	x1 := (px-ax)*tx + (py-ay)*ty
	h := -(px-ax)*ty + (py-ay)*tx
	x2 := x1 - l
	r1, r2 := x1*x1+h*h, x2*x2+h*h
	var g1, g2 float64
	if r1 > 1e-24 {
		g1 = math.Log(r1)
	}
	if r2 > 1e-24 {
		g2 = math.Log(r2)
	}
	b := math.Atan2(h*l, x1*x2+h*h) // angle subtended
	// The angle belongs to atan(x1/h) - atan(x2/h), of the sign of h.
	i0 := 0.5*(x1*g1-x2*g2) - l + h*b
	i1 := x1*i0 - (r1*g1-r1-r2*g2+r2)/4
	const k = 1 / (2 * math.Pi)
	pb = k * i1 / l
	return k*i0 - pb, pb
}

// sourceAngles returns, for every node, the stream function of a source
// element from a to b, linear between its ends, for unit strength at a
// (even places) and at b (odd places), each up to one constant for all
// nodes. first is the node where the walk round the surface starts: the one
// after the element on the surface, node 0 for elements in the wake.
func (o *outline) sourceAngles(ax, ay, bx, by float64, first int) []float64 {
	tx, ty := bx-ax, by-ay
	l := math.Hypot(tx, ty)
	out := make([]float64, 2*o.n)
	if l == 0 {
		return out
	}
	tx, ty = tx/l, ty/l
	var t1, t2 float64
	started1, started2 := false, false
	var both [2]bool
	const k = 1 / (2 * math.Pi)
	for c := range o.n {
		i := first + c
		if i >= o.n {
			i -= o.n
		}
		dx, dy := o.x[i]-ax, o.y[i]-ay
		x1 := dx*tx + dy*ty
		h := -dx*ty + dy*tx
		x2 := x1 - l
		r1, r2 := x1*x1+h*h, x2*x2+h*h
		var g1, g2 float64
		if r1 > 1e-24 {
			t1 = unwind(math.Atan2(h, x1), t1, started1)
			started1 = true
			g1 = math.Log(r1)
		}
		if r2 > 1e-24 {
			t2 = unwind(math.Atan2(h, x2), t2, started2)
			started2 = true
			g2 = math.Log(r2)
		}
		if was1, was2 := both[0], both[1]; started1 && started2 && !(was1 && was2) {
			// Both ends on one branch, that of the one seen first.
			if was2 {
				t1 += 2 * math.Pi * math.Round((t2-t1)/(2*math.Pi))
			} else {
				t2 += 2 * math.Pi * math.Round((t1-t2)/(2*math.Pi))
			}
		}
		both = [2]bool{started1, started2}
		j0 := x1*t1 - x2*t2 + 0.5*h*(g1-g2)
		m := 0.5*(r1*t1-r2*t2) + 0.5*h*(x1-x2)
		j1 := x1*j0 - m
		pb := k * j1 / l
		out[2*i], out[2*i+1] = k*j0-pb, pb
	}
	return out
}

func unwind(a, last float64, started bool) float64 {
	if !started {
		return a
	}
	return a + 2*math.Pi*math.Round((last-a)/(2*math.Pi))
}

// vortexSpeed and sourceSpeed return the velocity at p of a linear element,
// per unit strength at a and at b: (ua, va, ub, vb).
func vortexSpeed(ax, ay, bx, by, px, py float64) (ua, va, ub, vb float64) {
	sa, ca, sb, cb, tx, ty := kernel(ax, ay, bx, by, px, py)
	// Clockwise vortex at the origin: (y, -x)/(2 pi r^2).
	ua, va = ca*tx+sa*ty, ca*ty-sa*tx
	ub, vb = cb*tx+sb*ty, cb*ty-sb*tx
	return
}

func sourceSpeed(ax, ay, bx, by, px, py float64) (ua, va, ub, vb float64) {
	sa, ca, sb, cb, tx, ty := kernel(ax, ay, bx, by, px, py)
	ua, va = sa*tx-ca*ty, sa*ty+ca*tx
	ub, vb = sb*tx-cb*ty, sb*ty+cb*tx
	return
}

// onElement is the distance, in lengths of an element, below which a point
// lies on it: far above the rounding of coordinates, far below a panel.
const onElement = 1e-9

// kernel returns the integrals of X/R (s) and h/R (c) over the element for
// unit strength at a and at b, over 2 pi, and its direction.
func kernel(ax, ay, bx, by, px, py float64) (sa, ca, sb, cb, tx, ty float64) {
	tx, ty = bx-ax, by-ay
	l := math.Hypot(tx, ty)
	if l == 0 {
		return 0, 0, 0, 0, 1, 0
	}
	tx, ty = tx/l, ty/l
	x1 := (px-ax)*tx + (py-ay)*ty
	h := -(px-ax)*ty + (py-ay)*tx
	x2 := x1 - l
	r1, r2 := math.Max(x1*x1+h*h, 1e-24), math.Max(x2*x2+h*h, 1e-24)
	b := math.Atan2(h*l, x1*x2+h*h)
	if math.Abs(h) < onElement*l {
		b = 0 // principal value on the element
	}
	g := 0.5 * math.Log(r1/r2)
	const k = 1 / (2 * math.Pi)
	sb = k * (x1*g - (l - h*b)) / l
	cb = k * (x1*b - h*g) / l
	return k*g - sb, k*b - cb, sb, cb, tx, ty
}

// speedAt returns the inviscid velocity at p for the vorticity gam and the
// free stream (ux, uy).
func (o *outline) speedAt(px, py, ux, uy float64, gam []float64) (u, v float64) {
	u, v = ux, uy
	for j := 0; j+1 < o.n; j++ {
		ua, va, ub, vb := vortexSpeed(o.x[j], o.y[j], o.x[j+1], o.y[j+1], px, py)
		u += ua*gam[j] + ub*gam[j+1]
		v += va*gam[j] + vb*gam[j+1]
	}
	bu, bv := o.baseSpeed(px, py)
	mean := (gam[0] - gam[o.n-1]) / 2
	return u + mean*bu, v + mean*bv
}

// baseSpeed returns the velocity at p that the blunt base induces per unit
// of mean trailing-edge speed.
func (o *outline) baseSpeed(px, py float64) (u, v float64) {
	if o.sharp {
		return 0, 0
	}
	n := o.n
	l := math.Hypot(o.x[0]-o.x[n-1], o.y[0]-o.y[n-1])
	ua, va, ub, vb := sourceSpeed(o.x[n-1], o.y[n-1], o.x[0], o.y[0], px, py)
	wa, za, wb, zb := vortexSpeed(o.x[n-1], o.y[n-1], o.x[0], o.y[0], px, py)
	f, g := o.gap/l, o.along/l
	return f*(ua+ub) + g*(wa+wb), f*(va+vb) + g*(za+zb)
}

// vorticity returns the inviscid vorticity at angle of attack alpha; its
// magnitude is the edge speed, positive where the flow runs from the nose
// over the upper side.
func (o *outline) vorticity(alpha float64) []float64 {
	sn, cs := math.Sincos(alpha)
	g := make([]float64, o.n)
	for i := range g {
		g[i] = cs*o.unit[0][i] + sn*o.unit[1][i]
	}
	return g
}

// loads integrates pressure over the surface for edge speeds g: lift, moment
// about the quarter chord, hinge moment (over the flap chord squared) about
// the hinge of the shape's flap (zero without one).
func (o *outline) loads(g []float64, alpha float64) (cl, cm, ch float64) {
	sn, cs := math.Sincos(alpha)
	f := o.sh.FlapSet()
	var yh, cf float64
	if f.Hinge != 0 {
		_, yh = o.sh.WithoutFlap().split(f.Hinge)
		cf = 1 - f.Hinge
	}
	n := o.n
	add := func(i, j int, gi, gj float64) {
		dx, dy := o.x[j]-o.x[i], o.y[j]-o.y[i]
		pi, pj := 1-gi*gi, 1-gj*gj
		p := (pi + pj) / 2
		// Force on the surface is -p times the outward normal (dy, -dx).
		fx, fy := -p*dy, p*dx
		cl += fy*cs - fx*sn
		// Linear pressure: its centre lies off the middle.
		d := (pj - pi) / 12
		mx, my := (o.x[i]+o.x[j])/2, (o.y[i]+o.y[j])/2
		corr := d * (dx*dx + dy*dy)
		cm -= fy*(mx-0.25) - fx*my + corr
		if cf > 0 && mx > f.Hinge {
			ch -= (fy*(mx-f.Hinge) - fx*(my-yh) + corr) / (cf * cf)
		}
	}
	for i := 0; i+1 < n; i++ {
		add(i, i+1, g[i], g[i+1])
	}
	if !o.sharp {
		add(n-1, 0, g[n-1], g[0])
	}
	return cl, cm, ch
}
