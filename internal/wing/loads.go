package wing

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// measure prepares the pull on every panel of unit circulation in every
// motion: [0] the panel itself, [1] its mirror image with the same
// circulation.
func (l *Lattice) measure() {
	l.pull = make([][motions][2]Six, len(l.panels))
	for i := range l.panels {
		p := &l.panels[i]
		type seg struct{ mid, vec r3.Vec }
		segs := [3]seg{
			{r3.Scale(0.5, r3.Add(p.a, p.b)), r3.Sub(p.b, p.a)},
			{r3.Add(p.a, r3.Vec{X: p.legA / 2}), r3.Vec{X: -p.legA}},
			{r3.Add(p.b, r3.Vec{X: p.legB / 2}), r3.Vec{X: p.legB}},
		}
		central := l.Strips[p.strip].Central
		for m := Motion(0); m < motions; m++ {
			for _, s := range segs {
				l.pull[i][m][0] = l.pull[i][m][0].plus(1, l.kutta(m, s.mid, s.vec))
				if l.Halved && !central {
					l.pull[i][m][1] = l.pull[i][m][1].plus(1, l.kutta(m, flip(s.mid), r3.Scale(-1, flip(s.vec))))
				}
			}
		}
	}
}

// kutta is the load on a vortex segment of unit circulation in a motion.
func (l *Lattice) kutta(m Motion, mid, vec r3.Vec) Six {
	r := r3.Sub(mid, l.Ref.Point)
	f := r3.Cross(stream(m, r), vec)
	t := r3.Cross(r, f)
	return Six{-f.X, f.Y, -f.Z, -t.X, t.Y, -t.Z}
}

func (l *Lattice) sum(gamma []float64, mirror float64, m Motion) Six {
	var out Six
	for i := range l.panels {
		g := gamma[i]
		if g == 0 {
			continue
		}
		out = out.plus(g, l.pull[i][m][0])
		if mirror != 0 {
			out = out.plus(g*mirror, l.pull[i][m][1])
		}
	}
	return out
}

func (l *Lattice) mirrorSign(c Case) float64 {
	switch {
	case !l.Halved:
		return 0
	case symmetric(c):
		return 1
	}
	return -1
}

// Load returns the load, per unit air density, that the circulation of one
// unit of case c feels in one unit of motion m. The load of a flight state
// is the sum over cases and motions of Load times the products; induced drag
// is not in it, see [Lattice.Induced].
func (l *Lattice) Load(c Case, m Motion) Six { return l.sum(l.gamma[c], l.mirrorSign(c), m) }

// Lean returns the load per unit of case c and per radian of sideslip, at
// the unit stream, from the wakes leaning with the sideslip; zero for cases
// that load the sides oppositely.
func (l *Lattice) Lean(c Case) Six {
	if l.lean[c] == nil {
		return Six{}
	}
	s := 0.0
	if l.Halved {
		s = -1
	}
	return l.sum(l.lean[c], s, MoveX)
}

// Circulation returns the circulation of each strip per unit of case c, m²/s
// per unit. On a halved lattice the left strip's is the same for cases that
// load both sides alike and minus that for the others.
func (l *Lattice) Circulation(c Case) []float64 { return l.strips(l.gamma[c]) }

// LeanCirculation is [Lattice.Circulation] per unit of case c and radian of
// sideslip from the wakes leaning, nil when the case has none.
func (l *Lattice) LeanCirculation(c Case) []float64 {
	if l.lean[c] == nil {
		return nil
	}
	return l.strips(l.lean[c])
}

func (l *Lattice) strips(gamma []float64) []float64 {
	out := make([]float64, len(l.Strips))
	for j := range out {
		st := &l.Strips[j]
		for k := range st.count {
			out[j] += gamma[st.first+k]
		}
	}
	return out
}

// StripLoad returns the load of one strip (not its image) for a case and a
// motion, as [Lattice.Load] does for all.
func (l *Lattice) StripLoad(j int, c Case, m Motion) Six {
	var out Six
	st := &l.Strips[j]
	for k := range st.count {
		out = out.plus(l.gamma[c][st.first+k], l.pull[st.first+k][m][0])
	}
	return out
}

// Downwash returns the matrix of far-wake normal wash: element [i][j] is the
// velocity along the normal of strip i, in the cross plane far behind, per
// unit circulation of strip j; alike true when the left half mirrors it with
// equal sign. Images in the ground are in it. Half of it acts at the lifting
// line. Nil rows for central strips when alike.
func (l *Lattice) Downwash(alike bool) [][]float64 {
	n := len(l.Strips)
	sign := 0.0
	if l.Halved {
		sign = -1
		if alike {
			sign = 1
		}
	}
	grounded := !math.IsInf(l.ground, -1)
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
		a := &l.Strips[i]
		if a.Central && alike && l.Halved {
			continue
		}
		mid := r3.Add(r3.Scale(1-a.share, l.legs[a.a].le), r3.Scale(a.share, l.legs[a.b].le))
		for j := range l.Strips {
			b := &l.Strips[j]
			if b.Central && alike && l.Halved {
				continue
			}
			core := 0.0
			if b.Surface != a.Surface {
				core = 1
			}
			v := l.far(mid, a.Normal, b, core)
			if sign != 0 && !b.Central {
				v += sign * l.far(flip(mid), flip(a.Normal), b, core)
			}
			if grounded {
				v += l.far(l.sunk(mid), drop(a.Normal), b, 0)
				if sign != 0 && !b.Central {
					v += sign * l.far(l.sunk(flip(mid)), drop(flip(a.Normal)), b, 0)
				}
			}
			out[i][j] = v
		}
	}
	return out
}

// far is the wash along n at p of the two straight trailing vortices of
// strip b, unit circulation; core 1 gives them their cores, 0 none.
func (l *Lattice) far(p, n r3.Vec, b *Strip, core float64) float64 {
	one := func(g *leg) float64 {
		q, core := g.le, core*g.core
		y, z := p.Y-q.Y, p.Z-q.Z
		return (n.Z*y - n.Y*z) / (y*y + z*z + core) / (2 * math.Pi)
	}
	return one(&l.legs[b.b]) - one(&l.legs[b.a])
}

// State is how much of each case acts (at the unit stream), by case.
type State []float64

// NewState returns the state with Shape as built and nothing else.
func (l *Lattice) NewState() State {
	s := make(State, l.cases())
	s[Shape] = 1
	return s
}

// Span returns the circulation of the strips in a state: right (or all, when
// the lattice is whole) and left (nil then).
func (l *Lattice) Span(s State) (right, left []float64) {
	right = make([]float64, len(l.Strips))
	if l.Halved {
		left = make([]float64, len(l.Strips))
	}
	for c := range s {
		if s[c] == 0 {
			continue
		}
		g := l.Circulation(Case(c))
		sign := l.mirrorSign(Case(c))
		for j := range right {
			right[j] += s[c] * g[j]
			if left != nil && !l.Strips[j].Central {
				left[j] += s[c] * sign * g[j]
			}
		}
	}
	return right, left
}

// Induced returns the far-wake induced drag of a state at the unit stream,
// per unit air density: -(1/2) sum Gamma w_n ds over all wakes.
// Accuracy: 1 % of e against closed forms at 24 strips.
func (l *Lattice) Induced(s State) float64 {
	right, left := l.Span(s)
	n := len(right)
	d := 0.0
	part := func(alike bool, g []float64, times float64) {
		w := l.Downwash(alike)
		for i := range n {
			v := 0.0
			for j := range n {
				v += w[i][j] * g[j]
			}
			k := times
			if l.Strips[i].Central {
				k = 1
			}
			d -= 0.5 * k * g[i] * v * l.Strips[i].Width
		}
	}
	if left == nil {
		part(true, right, 1)
		return d
	}
	sym, anti := make([]float64, n), make([]float64, n)
	for i := range right {
		if l.Strips[i].Central {
			anti[i] = right[i]
			continue
		}
		sym[i], anti[i] = (right[i]+left[i])/2, (right[i]-left[i])/2
	}
	part(true, sym, 2)
	part(false, anti, 2)
	return d
}
