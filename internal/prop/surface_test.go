package prop

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// vec is x forward, y and z in the plane of rotation, over the tip radius.
type vec [3]float64

func (a vec) minus(b vec) vec     { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) plus(b vec) vec      { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) times(s float64) vec { return vec{a[0] * s, a[1] * s, a[2] * s} }
func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// about turns it about the axis.
func (a vec) about(sin, cos float64) vec {
	return vec{a[0], a[1]*cos - a[2]*sin, a[1]*sin + a[2]*cos}
}

// straight is the speed at p by a vortex of unit strength from a to b.
func straight(p, a, b vec) vec {
	r1, r2, r0 := p.minus(a), p.minus(b), b.minus(a)
	c := r1.cross(r2)
	cc, n1, n2 := c.dot(c), math.Sqrt(r1.dot(r1)), math.Sqrt(r2.dot(r2))
	if cc < 1e-10*r0.dot(r0) || n1 < 1e-9 || n2 < 1e-9 {
		return vec{}
	}
	return c.times(r0.dot(r1.times(1/n1).minus(r2.times(1/n2))) / (4 * math.Pi * cc))
}

// turningLattice is the thrust and power coefficient of turning blades as
// lifting surfaces: rings of vortices on the mean surface (parabolic camber
// over the chord, laid on the cylinder of each radius), wakes on helices of
// the pitch given over the radius. Speed over tip speed v; no friction.
func turningLattice(b *Blade, camber, v float64, pitch func(x float64) float64) (ct, cp float64) {
	const (
		nc, ns = 4, 12
		n      = nc * ns
		step   = 12 * deg
		steps  = 75 // two and a half turns
	)
	edge := func(j int) float64 { return b.X[0] + (1-b.X[0])*math.Sin(float64(j)/ns*math.Pi/2) }
	point := func(r, u float64) vec {
		c, beta, _ := b.At(r)
		c = math.Max(c, 0.004)
		s, co := math.Sincos(beta)
		along, off := (0.25-u)*c, 4*camber*u*(1-u)*c
		sin, cos := math.Sincos((along*co - off*s) / r)
		return vec{along*s + off*co, r * cos, r * sin}
	}
	var grid [nc + 1][ns + 1]vec
	for i := range grid {
		for j := range grid[i] {
			u := (float64(i) + 0.25) / nc
			if i == nc {
				u = 1
			}
			grid[i][j] = point(edge(j), u)
		}
	}
	var at, normal [n]vec
	for i := range nc {
		for j := range ns {
			u, e0, e1 := (float64(i)+0.75)/nc, edge(j), edge(j+1)
			m := (e0 + e1) / 2
			at[i*ns+j] = point(m, u)
			h := 1e-3 * (e1 - e0)
			q := point(m+h, u).minus(point(m-h, u)).cross(point(m, u+0.005).minus(point(m, u-0.005)))
			normal[i*ns+j] = q.times(1 / math.Sqrt(q.dot(q)))
		}
	}
	var wake [ns + 1][steps + 1]vec
	for j := range wake {
		p := point(edge(j), 1)
		k := pitch(edge(j))
		for q := range wake[j] {
			s, c := math.Sincos(-float64(q) * step)
			wake[j][q] = p.about(s, c).plus(vec{-k * float64(q) * step, 0, 0})
		}
	}
	stream := func(p vec) vec { return vec{-v, p[2], -p[1]} } // seen from the blade
	by := func(p vec) (out [n]vec) {
		for k := range b.Blades {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(b.Blades))
			q := p.about(-sin, cos)
			var shed [ns + 1]vec
			for j := range shed {
				for m := 1; m <= steps; m++ {
					shed[j] = shed[j].plus(straight(q, wake[j][m-1], wake[j][m]))
				}
			}
			for i := range nc {
				for j := range ns {
					u := straight(q, grid[i][j], grid[i][j+1]).plus(straight(q, grid[i][j+1], grid[i+1][j+1])).plus(straight(q, grid[i+1][j], grid[i][j]))
					if i < nc-1 {
						u = u.plus(straight(q, grid[i+1][j+1], grid[i+1][j]))
					} else {
						u = u.plus(shed[j+1]).minus(shed[j])
					}
					out[i*ns+j] = out[i*ns+j].plus(u.about(sin, cos))
				}
			}
		}
		return
	}
	a, rhs := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for k := range n {
		for m, u := range by(at[k]) {
			a.Set(k, m, u.dot(normal[k]))
		}
		rhs.SetVec(k, -stream(at[k]).dot(normal[k]))
	}
	var g mat.VecDense
	if err := g.SolveVec(a, rhs); err != nil {
		panic(err)
	}
	ring := func(i, j int) float64 {
		if i < 0 || j < 0 || j >= ns {
			return 0
		}
		return g.AtVec(i*ns + j)
	}
	var force, moment vec
	pull := func(a, b vec, strength float64) {
		m := a.plus(b).times(0.5)
		u := stream(m)
		for k, w := range by(m) {
			u = u.plus(w.times(g.AtVec(k)))
		}
		f := u.cross(b.minus(a)).times(strength)
		force, moment = force.plus(f), moment.plus(m.cross(f))
	}
	for i := range nc {
		for j := range ns + 1 {
			if j < ns {
				pull(grid[i][j], grid[i][j+1], ring(i, j)-ring(i-1, j))
			}
			pull(grid[i][j], grid[i+1][j], ring(i, j-1)-ring(i, j))
		}
	}
	// In tip radii and tip speeds: n = 1/(2 pi), D = 2.
	k := float64(b.Blades) * math.Pi * math.Pi / 4
	return k * force[0], -k * math.Pi * moment[0]
}

// Blades as lifting surfaces in place of lifting lines, the tested ones with
// one cambered section. Where they stop pulling the surface moves the angle of
// zero lift by less than a quarter of a degree, alike for the narrow and the
// wide shape: flow bent along a wide chord is not what parts them by two. Under
// load it takes lift off as Helmbold's slope and Goldstein's circulation do.
func TestLiftingSurface(t *testing.T) {
	const camber = 0.03
	ps := loadTested(t)
	section := SectionFunc(func(a, _, _, _ float64) (float64, float64) { return 2 * math.Pi * math.Sin(a+2*camber), 0 })
	e := flown()
	e.section, e.delay, e.wide = section, nil, false
	var g goldstein
	better := e
	better.tip, better.section = g.factor, SectionFunc(func(a, re, m, th float64) (float64, float64) {
		return 2 * math.Pi * math.Sin(a+2*camber), 0
	})
	shift := map[string]float64{}
	for _, code := range []string{"da4002_9.0x6.75_B2", "da4022_9.0x6.75_B2", "da4022_9.0x6.75_B3", "nr640_9x5.68_B2", "nr640_9x5.68_B4"} {
		p := ps[code]
		b := loadBlade(t, code, p.d, p.blades)
		ends := e.ends(b, 1000)
		for _, f := range []float64{0.6, 1} {
			j := f * ends
			ct, _, xs, phis := e.at(b, j, 1000)
			pitch := func(x float64) float64 { // of the computed inflow
				i := 1
				for i < len(xs)-1 && xs[i] < x {
					i++
				}
				u := math.Min(math.Max((x-xs[i-1])/(xs[i]-xs[i-1]), 0), 1)
				return x * math.Tan(phis[i-1]+u*(phis[i]-phis[i-1]))
			}
			wing, _ := turningLattice(b, camber, j/math.Pi, pitch)
			up := e
			up.turn = func(*Blade, float64) float64 { return deg }
			steeper, _, _, _ := up.at(b, j, 1000)
			by := (wing - ct) / (steeper - ct)
			row := check.Row{Topic: "blades as lifting surfaces", Unit: "deg", Headline: true, Source: cite.Ours.At("turning vortex lattice, 4 x 12 rings a blade", cite.Derived)}
			if f == 1 {
				shift[code] = by
				row.Name = code + ": angle of zero lift, over that of the lifting line"
				row.Near(t, by, 0.15, check.ModelAbs(0.15, "a lattice of this size is within 0.05 deg of one three times as fine"))
				continue
			}
			gold, _, _, _ := better.at(b, j, 1000)
			t.Logf("%-20s J %.2f CT of the surface %.4f, elements %.4f, with Goldstein %.4f; as an angle %+.2f deg; at zero thrust see below", code, j, wing, ct, gold, by)
			row.Unit, row.Name = "", fmt.Sprintf("%s at 0.6 of zero thrust: CT over that of elements of Helmbold's slope and Prandtl's factor", code)
			whole := e
			w := surface(b)
			whole.section = SectionFunc(func(a, _, _, _ float64) (float64, float64) { return 2 * math.Pi * (1 + w) * math.Sin(a+2*camber), 0 })
			with, _, _, _ := whole.at(b, j, 1000)
			row.Near(t, wing/with, 0.97, check.ModelAbs(0.06, "Prandtl's plane picture of the wake takes 3 % too little off two blades at this advance (TestGoldstein)"))
		}
	}
	t.Logf("zero lift moved by %.2v", shift)
	row := check.Row{Topic: "blades as lifting surfaces", Unit: "deg", Headline: true, Name: "wide over narrow printed shape, angle of zero lift", Source: cite.Ours.At("turning vortex lattice", cite.Derived)}
	row.Near(t, shift["da4022_9.0x6.75_B2"]-shift["da4002_9.0x6.75_B2"], 0, check.ModelAbs(0.2, "measured 2 deg apart (TestTwins): a tenth of it"))
}
