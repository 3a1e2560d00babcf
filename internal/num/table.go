package num

import (
	"fmt"
	"math"
	"sort"
)

// Curve is a cubic Hermite curve through points with rising x: C1, exact at
// the points. Made by [Monotone]. Immutable, safe for concurrent
// use, no allocation on evaluation. Outside the first and last point it goes
// on straight with the end slope; At says so by inside = false.
type Curve struct {
	x, y, m []float64
}

// Monotone makes the Fritsch-Carlson monotone curve through (x, y), in the
// three-point harmonic form of Fritsch & Butland (1984): between two points
// the curve never leaves their range, so a monotone table stays monotone.
// Second-order accurate near extremes, third elsewhere. Needs at least two
// points, x strictly rising, all finite: else an error says which is not.
func Monotone(x, y []float64) (*Curve, error) {
	c, err := newCurve(x, y)
	if err != nil {
		return nil, err
	}
	n := len(x)
	d := make([]float64, n-1)
	for i := range d {
		d[i] = (y[i+1] - y[i]) / (x[i+1] - x[i])
	}
	if n == 2 {
		c.m[0], c.m[1] = d[0], d[0]
		return c, nil
	}
	for i := 1; i < n-1; i++ {
		if d[i-1]*d[i] <= 0 {
			continue
		}
		h0, h1 := x[i]-x[i-1], x[i+1]-x[i]
		w0, w1 := 2*h1+h0, h1+2*h0
		c.m[i] = (w0 + w1) / (w0/d[i-1] + w1/d[i])
	}
	end := func(h0, h1, d0, d1 float64) float64 {
		m := ((2*h0+h1)*d0 - h0*d1) / (h0 + h1)
		switch {
		case m*d0 <= 0:
			return 0
		case d0*d1 <= 0 && math.Abs(m) > 3*math.Abs(d0):
			return 3 * d0
		}
		return m
	}
	c.m[0] = end(x[1]-x[0], x[2]-x[1], d[0], d[1])
	c.m[n-1] = end(x[n-1]-x[n-2], x[n-2]-x[n-3], d[n-2], d[n-3])
	return c, nil
}

func newCurve(x, y []float64) (*Curve, error) {
	if len(x) != len(y) {
		panic("num: curve of unequal lengths")
	}
	if len(x) < 2 {
		return nil, fmt.Errorf("a curve needs at least two points, not %d", len(x))
	}
	for i := range x {
		if !finite(x[i:i+1]) || !finite(y[i:i+1]) {
			return nil, fmt.Errorf("point %d of the curve is not finite", i+1)
		}
		if i > 0 && !(x[i] > x[i-1]) {
			return nil, fmt.Errorf("x must rise: point %d at %g follows %g", i+1, x[i], x[i-1])
		}
	}
	n := len(x)
	return &Curve{append([]float64(nil), x...), append([]float64(nil), y...), make([]float64, n)}, nil
}

// At returns the value and slope at x, and whether x is inside the points.
func (c *Curve) At(x float64) (y, slope float64, inside bool) {
	n := len(c.x)
	switch {
	case x < c.x[0]:
		return c.y[0] + c.m[0]*(x-c.x[0]), c.m[0], false
	case x > c.x[n-1]:
		return c.y[n-1] + c.m[n-1]*(x-c.x[n-1]), c.m[n-1], false
	case x != x:
		return x, x, false
	}
	i := sort.SearchFloat64s(c.x, x) - 1
	if i < 0 {
		i = 0
	}
	h := c.x[i+1] - c.x[i]
	s := (x - c.x[i]) / h
	dy := c.y[i+1] - c.y[i]
	a := h*c.m[i] - dy
	b := dy - h*c.m[i+1]
	y = c.y[i] + s*(dy+(1-s)*(a*(1-s)+b*s))
	slope = (dy + a*(1-s)*(1-3*s) + b*s*(2-3*s)) / h
	return y, slope, true
}

// Y is the value of At alone.
func (c *Curve) Y(x float64) float64 { y, _, _ := c.At(x); return y }

// Axis is a row of equally spaced stations: N of them from Min by Step.
type Axis struct {
	Min, Step float64
	N         int
}

// Span makes the axis of n stations from lo to hi; n >= 2, hi > lo.
func Span(lo, hi float64, n int) Axis {
	if n < 2 || !(hi > lo) {
		panic(fmt.Sprintf("num: axis of %d stations from %g to %g", n, lo, hi))
	}
	return Axis{lo, (hi - lo) / float64(n-1), n}
}

// At is station i.
func (a Axis) At(i int) float64 { return a.Min + float64(i)*a.Step }

// Max is the last station.
func (a Axis) Max() float64 { return a.At(a.N - 1) }

// axis with what evaluation needs.
type fastAxis struct {
	min, inv float64
	last     int // index of the last cell
	top      float64
}

func (a Axis) fast() fastAxis {
	if a.N < 2 || !(a.Step > 0) {
		panic(fmt.Sprintf("num: axis %+v", a))
	}
	return fastAxis{a.Min, 1 / a.Step, a.N - 2, float64(a.N - 1)}
}

// cell finds the cell and the place in it. Outside the axis the place is held
// at the end (nearest table value) and inside is false; NaN too.
func (a *fastAxis) cell(x float64) (i int, s float64, inside bool) {
	u := (x - a.min) * a.inv
	if u >= 0 && u <= a.top {
		i = int(u)
		if i > a.last {
			i = a.last
		}
		return i, u - float64(i), true
	}
	if u > a.top {
		// rounding of the last station itself is inside
		return a.last, 1, u <= a.top*(1+1e-14)+1e-12
	}
	return 0, 0, u >= -1e-12
}

// cubic gives the four weights of the cubic convolution (Catmull-Rom; Keys
// 1981) for the place s in a cell: C1, exact at stations, reproduces
// parabolas, third-order accurate.
func cubic(s float64) (w0, w1, w2, w3 float64) {
	r := 1 - s
	w0 = -0.5 * s * r * r
	w3 = -0.5 * r * s * s
	w1 = 1 + s*s*(1.5*s-2.5)
	w2 = 1 + r*r*(1.5*r-2.5)
	return
}

// Grid1 is a table of K values at each station of an axis, looked up C1 by
// cubic convolution. Immutable, safe for concurrent use, allocation-free.
//
// All grids: outside the axes the nearest edge value is returned and inside
// is false: the caller must flag it, not use it silently.
type Grid1 struct {
	x fastAxis
	k int
	v []float64 // stations padded by one on each side, K values together
}

// NewGrid1 tabulates f, which fills k values at x.
func NewGrid1(x Axis, k int, f func(x float64, out []float64)) *Grid1 {
	g := &Grid1{x: x.fast(), k: k, v: make([]float64, (x.N+2)*k)}
	for i := range x.N {
		f(x.At(i), g.v[(i+1)*k:(i+2)*k])
	}
	pad(g.v, k, x.N+2)
	return g
}

// pad fills the first and last of n blocks of length w by the parabola
// through the three next to them (the straight line when there are two).
func pad(v []float64, w, n int) {
	b := func(i int) []float64 { return v[i*w : (i+1)*w] }
	for j := range w {
		if n == 4 {
			b(0)[j] = 2*b(1)[j] - b(2)[j]
			b(3)[j] = 2*b(2)[j] - b(1)[j]
			continue
		}
		b(0)[j] = 3*b(1)[j] - 3*b(2)[j] + b(3)[j]
		b(n - 1)[j] = 3*b(n - 2)[j] - 3*b(n - 3)[j] + b(n - 4)[j]
	}
}

// At writes the K values at x to out and tells whether x is inside.
func (g *Grid1) At(x float64, out []float64) (inside bool) {
	i, s, in := g.x.cell(x)
	w0, w1, w2, w3 := cubic(s)
	k := g.k
	p := g.v[i*k : (i+4)*k]
	for j := range out[:k] {
		out[j] = w0*p[j] + w1*p[k+j] + w2*p[2*k+j] + w3*p[3*k+j]
	}
	return in
}

// Grid2 is a table over two axes with K values at each station; see Grid1.
type Grid2 struct {
	x, y fastAxis
	k    int
	row  int // values per x station: (Ny+2)*K
	v    []float64
}

// NewGrid2 tabulates f, which fills k values at (x, y).
func NewGrid2(x, y Axis, k int, f func(x, y float64, out []float64)) *Grid2 {
	g := &Grid2{x: x.fast(), y: y.fast(), k: k, row: (y.N + 2) * k}
	g.v = make([]float64, (x.N+2)*g.row)
	for i := range x.N {
		r := g.v[(i+1)*g.row : (i+2)*g.row]
		for j := range y.N {
			f(x.At(i), y.At(j), r[(j+1)*k:(j+2)*k])
		}
		pad(r, k, y.N+2)
	}
	pad(g.v, g.row, x.N+2)
	return g
}

// At writes the K values at (x, y) to out, C1 bicubic, and tells whether the
// place is inside.
func (g *Grid2) At(x, y float64, out []float64) (inside bool) {
	i, s, inx := g.x.cell(x)
	j, t, iny := g.y.cell(y)
	u0, u1, u2, u3 := cubic(s)
	w0, w1, w2, w3 := cubic(t)
	k, row := g.k, g.row
	o := i*row + j*k
	if k == 1 {
		v := g.v[o : o+3*row+4]
		a := v[0:4:4]
		b := v[row : row+4 : row+4]
		c := v[2*row : 2*row+4 : 2*row+4]
		d := v[3*row : 3*row+4 : 3*row+4]
		out[0] = u0*(w0*a[0]+w1*a[1]+w2*a[2]+w3*a[3]) +
			u1*(w0*b[0]+w1*b[1]+w2*b[2]+w3*b[3]) +
			u2*(w0*c[0]+w1*c[1]+w2*c[2]+w3*c[3]) +
			u3*(w0*d[0]+w1*d[1]+w2*d[2]+w3*d[3])
		return inx && iny
	}
	out = out[:k]
	a := g.v[o : o+4*k]
	b := g.v[o+row : o+row+4*k]
	c := g.v[o+2*row : o+2*row+4*k]
	d := g.v[o+3*row : o+3*row+4*k]
	for n := range out {
		out[n] = u0*(w0*a[n]+w1*a[k+n]+w2*a[2*k+n]+w3*a[3*k+n]) +
			u1*(w0*b[n]+w1*b[k+n]+w2*b[2*k+n]+w3*b[3*k+n]) +
			u2*(w0*c[n]+w1*c[k+n]+w2*c[2*k+n]+w3*c[3*k+n]) +
			u3*(w0*d[n]+w1*d[k+n]+w2*d[2*k+n]+w3*d[3*k+n])
	}
	return inx && iny
}

// Linear is At by bilinear interpolation: continuous, not smooth, about
// twice as fast; for tables already fine.
func (g *Grid2) Linear(x, y float64, out []float64) (inside bool) {
	i, s, inx := g.x.cell(x)
	j, t, iny := g.y.cell(y)
	k, row := g.k, g.row
	o := (i+1)*row + (j+1)*k
	a := g.v[o : o+2*k]
	b := g.v[o+row : o+row+2*k]
	for n := range out[:k] {
		lo := a[n] + t*(a[k+n]-a[n])
		hi := b[n] + t*(b[k+n]-b[n])
		out[n] = lo + s*(hi-lo)
	}
	return inx && iny
}
