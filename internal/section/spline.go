package section

import (
	"math"
	"sort"
)

// curve is a parametric cubic spline through points of the surface, with
// arc length along the chords as parameter and zero third derivative at
// both ends.
type curve struct {
	s, x, y, xs, ys []float64
}

// newCurve needs at least three points, no two neighbours equal.
func newCurve(x, y []float64) *curve {
	n := len(x)
	c := &curve{s: make([]float64, n), x: x, y: y}
	for i := 1; i < n; i++ {
		c.s[i] = c.s[i-1] + math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
	}
	c.xs = slopes(c.s, x)
	c.ys = slopes(c.s, y)
	return c
}

// slopes solves the tridiagonal system of the C2 cubic spline for the
// nodal derivatives.
func slopes(s, f []float64) []float64 {
	n := len(s)
	a, b, c, d := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := 1; i < n-1; i++ {
		h0, h1 := s[i]-s[i-1], s[i+1]-s[i]
		a[i], b[i], c[i] = h1, 2*(h0+h1), h0
		d[i] = 3 * (h1*(f[i]-f[i-1])/h0 + h0*(f[i+1]-f[i])/h1)
	}
	// Zero third derivative in the end intervals.
	b[0], c[0], d[0] = 1, 1, 2*(f[1]-f[0])/(s[1]-s[0])
	a[n-1], b[n-1], d[n-1] = 1, 1, 2*(f[n-1]-f[n-2])/(s[n-1]-s[n-2])
	for i := 1; i < n; i++ {
		w := a[i] / b[i-1]
		b[i] -= w * c[i-1]
		d[i] -= w * d[i-1]
	}
	d[n-1] /= b[n-1]
	for i := n - 2; i >= 0; i-- {
		d[i] = (d[i] - c[i]*d[i+1]) / b[i]
	}
	return d
}

func (c *curve) end() float64 { return c.s[len(c.s)-1] }

// at returns position, first and second derivative at arc length s.
func (c *curve) at(s float64) (p, d1, d2 [2]float64) {
	i := sort.SearchFloat64s(c.s, s) - 1
	i = min(max(i, 0), len(c.s)-2)
	h := c.s[i+1] - c.s[i]
	t := (s - c.s[i]) / h
	for k, f := range [2][]float64{c.x, c.y} {
		g := c.xs
		if k == 1 {
			g = c.ys
		}
		f0, f1, m0, m1 := f[i], f[i+1], g[i]*h, g[i+1]*h
		c2, c3 := 3*(f1-f0)-2*m0-m1, 2*(f0-f1)+m0+m1
		p[k] = f0 + t*(m0+t*(c2+t*c3))
		d1[k] = (m0 + t*(2*c2+t*3*c3)) / h
		d2[k] = (2*c2 + 6*c3*t) / (h * h)
	}
	return p, d1, d2
}

// curvature returns the signed curvature at s.
func (c *curve) curvature(s float64) float64 {
	_, d, e := c.at(s)
	q := d[0]*d[0] + d[1]*d[1]
	if q == 0 {
		return 0
	}
	return (d[0]*e[1] - d[1]*e[0]) / (q * math.Sqrt(q))
}

// nose returns the arc length where the surface turns round: the point of
// least x, found where dx/ds changes sign.
func (c *curve) nose() float64 {
	k := 0
	for i := range c.x {
		if c.x[i] < c.x[k] {
			k = i
		}
	}
	lo, hi := c.s[max(k-1, 0)], c.s[min(k+1, len(c.s)-1)]
	for range 60 {
		m := (lo + hi) / 2
		if _, d, _ := c.at(m); d[0] < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// find returns the arc length between lo and hi where x(s) = x, by
// bisection; x(s) is monotone there.
func (c *curve) find(x, lo, hi float64) float64 {
	p, _, _ := c.at(lo)
	q, _, _ := c.at(hi)
	rising := q[0] > p[0]
	for range 52 {
		m := (lo + hi) / 2
		if p, _, _ := c.at(m); (p[0] < x) == rising {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
