package aero

import "math"

// Polars gives the profile drag of a station's section over its lift, at rest
// of its flap: cd is filled for every cl (in rising order). Sections that are
// Polars too bring their whole polar, drag bucket and all; for the others a
// parabola of their traits stands. It is asked only where Traits was ok.
type Polars interface {
	Drag(surface, station int, re float64, cl, cd []float64) bool
}

// bins of a group's polar, evenly over the lift that its sections carry
// attached.
const bins = 40

// bin is a piece of a polar: a parabola in the place within the bin at the
// lower Reynolds node, and what to add to it at the upper one.
type bin struct{ a0, a1, a2, b0, b1, b2 float64 }

// polar is the drag of one side of a group per unit of speed and density (half
// its area times cd) over its lift coefficient, apart from what all the
// sections of its surface have in common over the Reynolds number (skin.drag):
// quadratic splines over lift, blended between the Reynolds nodes, so that
// value and slope are continuous in lift and in speed. Beyond its ends it goes
// on straight.
type polar [nRe - 1][bins]bin

// at is the polar at a lift coefficient, between node and the next one by s,
// which is bent.
func (g *group) profile(cl float64, node int, s float64) float64 {
	x := (cl - g.clFrom) * g.perBin
	i := int(x)
	if uint(i) >= bins {
		i = bins - 1
		if !(x > 0) {
			i = 0
		}
	}
	x -= float64(i)
	b := &g.polar[node][i]
	return (b.a0 + x*(b.a1+x*b.a2)) + s*(b.b0+x*(b.b1+x*b.b2))
}

// polars makes the groups' polars from the sections' and the skins' drag: what
// the least drag of a surface's sections does over the Reynolds number.
// spans are the strips of each group.
func (b *builder) polars(spans [][2]int) {
	m, l := b.m, b.m.lattice
	const margin = 1 // controls beyond each end, for the straight ends
	type grid [nRe][bins + 2*margin]float64
	all := make([]grid, len(m.groups))
	least := make([][nRe]float64, len(b.ac.Surfaces)) // drag area
	asked, _ := b.o.Sections.(Polars)
	for gi := range m.groups {
		g := &m.groups[gi]
		up, low := &m.skins[g.surface].up, &m.skins[g.surface].low
		// The lift at which separation starts, over the nodes.
		var hi, lo [nRe]float64
		from, to := 0.0, 0.0
		for n := range nRe {
			hi[n], lo[n] = g.hi*up.node(n), g.lo*low.node(n)
			from, to = math.Min(from, lo[n]), math.Max(to, hi[n])
		}
		g.clFrom, g.perBin = from, bins/(to-from)
		// Weights of the stations, and the sweep's share of the lift.
		weight := make([]float64, len(b.ac.Surfaces[g.surface].Stations))
		cos2 := 0.0
		for j := spans[gi][0]; j < spans[gi][1]; j++ {
			st := &l.Strips[j]
			k, w := b.between(st)
			area := st.Area() / g.s
			weight[k] += area * (1 - w)
			if w > 0 {
				weight[k+1] += area * w
			}
			cos2 += area / (1 + st.Sweep*st.Sweep)
		}
		var cl, cd [bins + 2*margin]float64
		for n := range nRe {
			for i := range cl {
				// Control values stand in the middle of the bins. The drag of
				// separation that begins is the plate's: the polar goes on as
				// it comes to the limit.
				c := from + (float64(i-margin)+0.5)/g.perBin
				cl[i] = math.Max(lo[n], math.Min(hi[n], c)) / cos2
			}
			for j, w := range weight {
				if w == 0 {
					continue
				}
				t := &b.tr[g.surface][j][n]
				if asked == nil || !t.solved || !asked.Drag(g.surface, j, t.Re, cl[:], cd[:]) {
					for i := range cd {
						cd[i] = t.Cd0 + t.CdK*sq(cl[i]-t.ClCd0)
					}
				}
				for i := range cd {
					all[gi][n][i] += w * cd[i]
				}
			}
			sharpen(all[gi][n][:])
			straighten(all[gi][n][:], cl[:])
			small := lowest(all[gi][n][:])
			least[g.surface][n] += pairs(g.twin) * g.s * small
			if n == refNode {
				g.cd0 = small
			}
		}
		g.d0 = g.hs * g.cd0
	}
	for s := range least {
		var drag [nRe]float64
		for n := range drag {
			drag[n] = least[s][n] / least[s][refNode]
		}
		m.skins[s].drag = newCurve(drag)
	}
	for gi := range m.groups {
		g := &m.groups[gi]
		g.polar = new(polar)
		var c [nRe][bins][3]float64
		for n := range nRe {
			k := g.hs / m.skins[g.surface].drag.node(n)
			for i := range bins {
				for j, v := range piece(all[gi][n][i:]) {
					c[n][i][j] = k * v
				}
			}
		}
		for n := range nRe - 1 {
			for i := range bins {
				p, q := &c[n][i], &c[n+1][i]
				g.polar[n][i] = bin{p[0], p[1], p[2], q[0] - p[0], q[1] - p[1], q[2] - p[2]}
			}
		}
	}
}

// refNode is the Reynolds node of the reference speed.
const refNode = 2

// piece is the parabola of a quadratic spline over the bin between its first
// three control values, by the place within it.
func piece(v []float64) [3]float64 {
	return [3]float64{(v[0] + v[1]) / 2, v[1] - v[0], (v[0] - 2*v[1] + v[2]) / 2}
}

// lowest is the least value of the spline of the control values.
func lowest(v []float64) float64 {
	least := math.Inf(1)
	for i := range len(v) - 2 {
		c := piece(v[i:])
		x := 0.0
		if c[2] > 0 {
			x = math.Max(0, math.Min(1, -c[1]/(2*c[2])))
		}
		least = math.Min(least, c[0]+x*(c[1]+x*c[2]))
	}
	return least
}

// sharpen turns samples in the middle of the bins into control values whose
// spline goes through them where they lie on a parabola.
func sharpen(v []float64) {
	last := v[0]
	for i := 1; i < len(v)-1; i++ {
		here := v[i]
		v[i] -= (last - 2*here + v[i+1]) / 8
		last = here
	}
}

// straighten carries values on in a straight line where the argument is held
// at an end, and over two values at both ends in any case, with no slope that
// falls outward.
func straighten(v, at []float64) {
	n := len(v)
	i := 1
	for i < n-4 && at[i+1] == at[0] {
		i++
	}
	d := math.Min(v[i+2]-v[i+1], 0)
	for k := i; k >= 0; k-- {
		v[k] = v[k+1] - d
	}
	j := n - 2
	for j > 3 && at[j-1] == at[n-1] {
		j--
	}
	d = math.Max(v[j-1]-v[j-2], 0)
	for k := j; k < n; k++ {
		v[k] = v[k-1] + d
	}
}

// Drag implements [Polars]: the table's drag over its lift between its peaks.
func (t *Tables) Drag(surface, station int, re float64, cl, cd []float64) bool {
	tb := t.Of(surface, station)
	if tb == nil {
		return false
	}
	key := tableKey{tb, re}
	t.mu.Lock()
	curve, ok := t.polars[key]
	t.mu.Unlock()
	if !ok {
		curve = dragCurve(tb, re)
		t.mu.Lock()
		if t.polars == nil {
			t.polars = map[tableKey][][2]float64{}
		}
		t.polars[key] = curve
		t.mu.Unlock()
	}
	if len(curve) < 4 {
		return false
	}
	k := 0
	for i, c := range cl {
		for k < len(curve)-2 && curve[k+1][0] < c {
			k++
		}
		p, q := curve[k], curve[k+1]
		x := math.Max(0, math.Min(1, (c-p[0])/(q[0]-p[0])))
		cd[i] = p[1] + x*(q[1]-p[1])
	}
	return true
}
