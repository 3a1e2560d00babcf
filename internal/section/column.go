package section

import (
	"math"
	"slices"
)

// reachPast is how far past its maximum lift a computed polar is used, and
// mergeOver the range over which it is merged into the flat-plate law.
const (
	reachPast = 2 * math.Pi / 180
	mergeOver = 5 * math.Pi / 180
	// nearby is how near an angle where the nose lets go may come to the last
	// before it and still make a point of its own.
	nearby = 0.1 * math.Pi / 180
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
		if last >= 0 && i > last+7 { // too wide to bridge: keep the part with the middle
			if q.Alpha > 8*fineStep {
				break
			}
			use = use[:0]
		}
		use = append(use, q)
		last = i
	}
	if e := p.edge[1]; e.Status == OK && len(use) > 0 && e.Alpha < use[0].Alpha-nearby {
		use = slices.Insert(use, 0, e)
	}
	if e := p.edge[0]; e.Status == OK && len(use) > 0 && e.Alpha > use[len(use)-1].Alpha+nearby {
		use = append(use, e)
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
	// The outermost intervals end where the nose lets go.
	step := math.Inf(1)
	for i := min(2, n-1); i < max(n-1, 3); i++ {
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
