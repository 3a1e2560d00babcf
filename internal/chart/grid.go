package chart

import (
	"math"
	"strconv"
)

// Grid is a table of shares drawn as cells: each carries its number, and the
// lower the share the denser its hatch, so that the map reads without colour.
// A heavy line runs round the cells that reach Limit.
type Grid struct {
	X, Y  []float64   // places of the cells' middles, rising, two at least
	Z     [][]float64 // Z[j][i] at X[i], Y[j], 0..1; NaN: crossed out
	Limit float64
}

// edges are the borders of cells between their middles.
func edges(at []float64) []float64 {
	n := len(at)
	if n == 0 {
		return []float64{0, 1}
	}
	if n == 1 {
		return []float64{at[0] - 0.5, at[0] + 0.5}
	}
	out := make([]float64, n+1)
	for i := 1; i < n; i++ {
		out[i] = (at[i-1] + at[i]) / 2
	}
	out[0], out[n] = at[0]-(at[1]-at[0])/2, at[n-1]+(at[n-1]-at[n-2])/2
	return out
}

// level is how dense a share is hatched: the distance of the strokes in
// points; 0: not at all.
func (g *Grid) level(v float64) float64 {
	switch {
	case v >= g.Limit:
		return 0
	case v >= 0.75*g.Limit:
		return 12
	case v >= 0.5*g.Limit:
		return 7
	case v >= 0.25*g.Limit:
		return 4.5
	}
	return 3
}

func (g *Grid) draw(to Canvas, px, py func(float64) float64) {
	ex, ey := edges(g.X), edges(g.Y)
	good := func(i, j int) bool {
		return j >= 0 && j < len(g.Z) && i >= 0 && i < len(g.Z[j]) && g.Z[j][i] >= g.Limit
	}
	fine, heavy := Pen{Ink: -1, Width: 0.3, Faint: true}, Pen{Ink: -1, Width: 2.2}
	for j := range g.Z {
		for i, v := range g.Z[j] {
			l, r := px(ex[i]), px(ex[i+1])
			b, t := py(ey[j]), py(ey[j+1])
			to.Path([]float64{l, r, r, l, l}, []float64{t, t, b, b, t}, fine)
			if math.IsNaN(v) {
				to.Path([]float64{l, r}, []float64{t, b}, fine)
				to.Path([]float64{l, r}, []float64{b, t}, fine)
				continue
			}
			if d := g.level(v); d > 0 {
				hatch(to, l, t, r, b, d)
			}
		}
	}
	size := 9.0
	if len(g.X) > 0 && math.Abs(px(ex[1])-px(ex[0])) < 22 {
		size = 7
	}
	for j := range g.Z {
		for i, v := range g.Z[j] {
			l, r := px(ex[i]), px(ex[i+1])
			b, t := py(ey[j]), py(ey[j+1])
			if !math.IsNaN(v) {
				to.Text((l+r)/2, (t+b)/2+size/3, size, Middle, false, g.number(v))
			}
			if !good(i, j) {
				continue
			}
			for _, e := range []struct {
				open           bool
				xa, ya, xb, yb float64
			}{{good(i-1, j), l, t, l, b}, {good(i+1, j), r, t, r, b}, {good(i, j-1), l, b, r, b}, {good(i, j+1), l, t, r, t}} {
				if !e.open {
					to.Path([]float64{e.xa, e.xb}, []float64{e.ya, e.yb}, heavy)
				}
			}
		}
	}
}

// hatch strokes a box at 45 degrees, d points apart measured along its sides.
func hatch(to Canvas, l, t, r, b, d float64) {
	pen := Pen{Ink: -1, Width: 0.5, Faint: true}
	w, h := r-l, b-t
	for s := d / 2; s < w+h; s += d {
		// from (l+s, t) down to the left
		x0, y0 := l+s, t
		if x0 > r {
			x0, y0 = r, t+(s-w)
		}
		x1, y1 := l, t+s
		if y1 > b {
			x1, y1 = l+(s-h), b
		}
		to.Path([]float64{x0, x1}, []float64{y0, y1}, pen)
	}
}

// number prints a share in per cent; one short of the limit is never rounded
// up to it.
func (g *Grid) number(v float64) string {
	n := math.Round(100 * v)
	if v < g.Limit && n >= math.Round(100*g.Limit) {
		n = math.Floor(100 * v)
	}
	return strconv.Itoa(int(n))
}
