package wing

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/spatial/r3"
)

// Case names one right-hand side. Circulations of a case are per unit of it:
// Plunge and Slip per m/s of w and v, the rates per rad/s, all at the unit
// stream; Shape (twist and camber as built) and the controls at the unit
// stream, controls per radian of streamwise slope, trailing edge down (right
// side down for the opposed one; towards the right for an upright surface
// whose stations run up).
type Case int

// The cases that every lattice has; controls follow, see [Lattice.Alike].
const (
	Shape Case = iota
	Plunge
	PitchRate
	Slip
	RollRate
	YawRate
	fixedCases
)

// Motion is one rigid-body velocity component of the aeroplane, body axes.
type Motion int

// The six motions.
const (
	MoveX Motion = iota // u, m/s
	MoveY               // v
	MoveZ               // w
	MoveP               // p, rad/s
	MoveQ               // q
	MoveR               // r
	motions
)

// Six is a force (x, y, z) and a moment (x, y, z) in body axes, about the
// reference point, per unit of air density.
type Six [6]float64

// plus returns s + k t.
func (s Six) plus(k float64, t Six) Six {
	for i := range s {
		s[i] += k * t[i]
	}
	return s
}

// Lattice is a solved lattice. It is immutable and safe for parallel use.
type Lattice struct {
	Ref    Reference
	Strips []Strip
	// Halved reports that strips cover the right half and the plane of
	// symmetry, a left half being understood.
	Halved   bool
	Controls []Flap

	surfaces []Surface
	panels   []panel
	legs     []leg
	ground   float64  // build z of the ground, -Inf in free air
	sym      factored // of the alike system (of everything when whole)
	gamma    [][]float64
	lean     [][]float64 // circulation per unit of case and radian of sideslip, nil where not computed
	pull     [][motions][2]Six
}

// Flap is one control as the lattice holds it.
type Flap struct {
	Surface  int
	Name     string
	From, To float64 // places along the span, 0..1
	Share    float64
	Strips   []int   // that carry it
	Sweep    float64 // tangent of the sweep of the hinge line, mean over its strips
	scale    float64
}

// Alike is the case of control k moved alike on both sides.
func (l *Lattice) Alike(k int) Case { return fixedCases + Case(2*k) }

// Opposed is the case of control k moved oppositely on both sides.
func (l *Lattice) Opposed(k int) Case { return fixedCases + Case(2*k+1) }

func (l *Lattice) cases() int { return int(fixedCases) + 2*len(l.Controls) }

// symmetric reports whether a case loads both sides alike.
func symmetric(c Case) bool {
	if c < fixedCases {
		return c <= PitchRate
	}
	return (c-fixedCases)%2 == 0
}

// central reports whether a surface lies on the plane of symmetry.
func (s *Surface) central() bool {
	for _, st := range s.Stations {
		if math.Abs(st.LE.Y) > 1e-6 {
			return false
		}
	}
	return !s.Mirrored
}

// factored is a matrix in its factors, over the panels in rows.
type factored struct {
	m    blas64.General
	piv  []int
	rows []int
}

// New builds and solves the lattice: all fixed cases and both ways of every
// control. It returns an error when a surface is impossible (fewer than two
// stations, no chord, coinciding stations, a control off its surface, no
// area), never a panic on data. Cost: two factorisations of half the panels
// each when the aeroplane is symmetric, else one of all.
func New(surfaces []Surface, ref Reference, o Options) (*Lattice, error) {
	if len(surfaces) == 0 {
		return nil, errors.New("no lifting surface")
	}
	if !(ref.Area > 0 && ref.Span > 0 && ref.Chord > 0) {
		return nil, fmt.Errorf("reference area %g m², span %g m, chord %g m: all must be positive", ref.Area, ref.Span, ref.Chord)
	}
	if o.Spanwise == 0 {
		o.Spanwise = 24
	}
	if o.Chordwise == 0 {
		o.Chordwise = 8
	}
	l := &Lattice{Ref: ref, surfaces: surfaces, Halved: !o.Whole, ground: math.Inf(-1)}
	if o.Ground > 0 && !math.IsInf(o.Ground, 1) {
		l.ground = ref.Point.Z - o.Ground
	}
	for i := range surfaces {
		if err := surfaces[i].check(); err != nil {
			return nil, err
		}
		if !surfaces[i].Mirrored && !surfaces[i].central() {
			l.Halved = false
		}
	}
	for i := range surfaces {
		l.lay(i, o)
	}
	for _, p := range l.panels {
		if p.point.Z <= l.ground {
			return nil, fmt.Errorf("surface %q reaches into the ground", surfaces[l.Strips[p.strip].Surface].Name)
		}
	}
	if err := l.solve(); err != nil {
		return nil, err
	}
	l.measure()
	return l, nil
}

// lay puts panels on surface i.
func (l *Lattice) lay(i int, o Options) {
	s := &l.surfaces[i]
	arc := s.arc()
	ns, nc := s.Spanwise, s.Chordwise
	if ns == 0 {
		ns = o.Spanwise
	}
	if nc == 0 {
		nc = o.Chordwise
	}
	edges, share := s.spanEdges(ns, o.Spacing, arc)
	chord := s.chordEdges(nc)
	n := len(chord) - 1
	first := len(l.legs)
	for _, e := range edges {
		le, c, _, _, _ := s.at(e, arc)
		l.legs = append(l.legs, leg{surface: i, le: le, chord: c, te: r3.Add(le, r3.Vec{X: c})})
	}
	for j := range edges {
		w := 0.0
		if j > 0 {
			w = edges[j] - edges[j-1]
		}
		if j+1 < len(edges) {
			w = math.Max(w, edges[j+1]-edges[j])
		}
		l.legs[first+j].core = w * w / 16
	}
	firstStrip := len(l.Strips)
	central := s.central()
	total := arc[len(arc)-1]
	for j := 0; j+1 < len(edges); j++ {
		a, b := l.legs[first+j], l.legs[first+j+1]
		mid := (edges[j] + edges[j+1]) / 2
		_, c, twist, _, _ := s.at(mid, arc)
		st := Strip{
			Surface: i, Eta: mid / total, Chord: c, Twist: twist, Central: central,
			share: share[j], first: len(l.panels), count: n, a: first + j, b: first + j + 1,
		}
		d := r3.Sub(b.le, a.le)
		st.Width = math.Hypot(d.Y, d.Z)
		st.Along = r3.Vec{Y: d.Y / st.Width, Z: d.Z / st.Width}
		st.Normal = r3.Vec{Y: -st.Along.Z, Z: st.Along.Y}
		qa, qb := a.le.X+a.chord/4, b.le.X+b.chord/4
		st.Sweep = (qb - qa) / st.Width
		st.Mid = r3.Scale(0.5, r3.Add(a.le, b.le))
		st.Mid.X = (qa + qb) / 2
		for k := range n {
			p := panel{strip: len(l.Strips), from: chord[k], to: chord[k+1]}
			f := chord[k] + 0.25*(chord[k+1]-chord[k])
			p.at = chord[k] + 0.75*(chord[k+1]-chord[k])
			p.a = r3.Add(a.le, r3.Vec{X: f * a.chord})
			p.b = r3.Add(b.le, r3.Vec{X: f * b.chord})
			p.point = r3.Add(r3.Scale(1-share[j], a.le), r3.Scale(share[j], b.le))
			p.point.X += p.at * ((1-share[j])*a.chord + share[j]*b.chord)
			p.legA, p.legB = (1-f)*a.chord, (1-f)*b.chord
			l.panels = append(l.panels, p)
		}
		l.Strips = append(l.Strips, st)
	}
	for _, c := range s.Controls {
		t0, t1 := s.arcOf(c.From, arc), s.arcOf(c.To, arc)
		f := Flap{
			Surface: i, Name: c.Name, Share: c.ChordShare, From: math.Min(t0, t1) / total, To: math.Max(t0, t1) / total,
			scale: flapScale(chord, c.ChordShare),
		}
		for j := firstStrip; j < len(l.Strips); j++ {
			if st := l.Strips[j]; st.Eta > f.From && st.Eta < f.To {
				f.Strips = append(f.Strips, j)
				a, b := l.legs[st.a], l.legs[st.b]
				h := 1 - c.ChordShare
				f.Sweep += ((b.le.X + h*b.chord) - (a.le.X + h*a.chord)) / st.Width
			}
		}
		if n := len(f.Strips); n > 0 {
			f.Sweep /= float64(n)
		}
		l.Controls = append(l.Controls, f)
	}
	if !l.Halved && s.Mirrored {
		l.mirror(firstStrip)
	}
}

// mirror adds the left half of the strips from first on, written out.
func (l *Lattice) mirror(first int) {
	n := len(l.Strips)
	for j := first; j < n; j++ {
		st := l.Strips[j]
		a, b := l.legs[st.b], l.legs[st.a]
		a.le, a.te, b.le, b.te = flip(a.le), flip(a.te), flip(b.le), flip(b.te)
		old := st.first
		st.share = 1 - st.share
		st.first = len(l.panels)
		st.a = len(l.legs)
		l.legs = append(l.legs, a, b)
		st.b = st.a + 1
		st.Mid, st.Normal, st.Along, st.Sweep = flip(st.Mid), flip(st.Normal), r3.Scale(-1, flip(st.Along)), -st.Sweep
		st.Eta = -st.Eta
		for k := range st.count {
			p := l.panels[old+k]
			p.a, p.b, p.legA, p.legB = flip(p.b), flip(p.a), p.legB, p.legA
			p.point = flip(p.point)
			p.strip = len(l.Strips)
			l.panels = append(l.panels, p)
		}
		l.Strips = append(l.Strips, st)
	}
}

func flip(v r3.Vec) r3.Vec { v.Y = -v.Y; return v }

// tangency returns minus the velocity through panel p for a case.
func (l *Lattice) tangency(p *panel, c Case) float64 {
	st := &l.Strips[p.strip]
	n := st.Normal
	r := r3.Sub(p.point, l.Ref.Point)
	switch c {
	case Shape:
		return -l.slope(p)
	case Plunge:
		return -n.Z
	case Slip:
		return n.Y
	case RollRate:
		return -r3.Dot(n, spin(MoveP, r))
	case PitchRate:
		return -r3.Dot(n, spin(MoveQ, r))
	case YawRate:
		return -r3.Dot(n, spin(MoveR, r))
	}
	k := int(c-fixedCases) / 2
	f := &l.Controls[k]
	if f.Surface != st.Surface {
		return 0
	}
	eta := math.Abs(st.Eta)
	if eta <= f.From || eta >= f.To {
		return 0
	}
	hinge := 1 - f.Share
	// A panel is the flap's when its middle lies behind the hinge.
	if (p.from+p.to)/2 < hinge {
		return 0
	}
	if st.Eta < 0 && !symmetric(c) {
		return f.scale
	}
	return -f.scale
}

// slope is twist and camber at a panel: positive turns the flow down.
func (l *Lattice) slope(p *panel) float64 {
	st := &l.Strips[p.strip]
	s := &l.surfaces[st.Surface]
	arc := s.arc()
	_, _, twist, i, w := s.at(math.Abs(st.Eta)*arc[len(arc)-1], arc)
	v := twist
	if f := s.Stations[i].Slope; f != nil {
		v -= (1 - w) * f(p.at)
	}
	if f := s.Stations[i+1].Slope; f != nil {
		v -= w * f(p.at)
	}
	return v
}

// softness is the extra downwash per circulation of a strip that lowers its
// own lift slope to the section's.
func (l *Lattice) softness(st *Strip) float64 {
	s := &l.surfaces[st.Surface]
	arc := s.arc()
	_, _, _, i, w := s.at(math.Abs(st.Eta)*arc[len(arc)-1], arc)
	get := func(k float64) float64 {
		if k == 0 {
			return 1
		}
		return k
	}
	k := (1-w)*get(s.Stations[i].LiftSlope) + w*get(s.Stations[i+1].LiftSlope)
	return (1/k - 1) / (math.Pi * st.Chord)
}

// spin returns the velocity of the air past a point at r from the reference
// for a unit body rate, build axes.
func spin(m Motion, r r3.Vec) r3.Vec {
	switch m {
	case MoveP: // omega = (-1, 0, 0)
		return r3.Vec{Y: -r.Z, Z: r.Y}
	case MoveQ: // omega = (0, 1, 0)
		return r3.Vec{X: -r.Z, Z: r.X}
	default: // omega = (0, 0, -1)
		return r3.Vec{X: -r.Y, Y: r.X}
	}
}

// stream returns the velocity of the air past a point for a unit motion.
func stream(m Motion, r r3.Vec) r3.Vec {
	switch m {
	case MoveX:
		return r3.Vec{X: 1}
	case MoveY:
		return r3.Vec{Y: -1}
	case MoveZ:
		return r3.Vec{Z: 1}
	}
	return spin(m, r)
}

// solve fills in the circulations.
func (l *Lattice) solve() error {
	np := len(l.panels)
	l.gamma = make([][]float64, l.cases())
	l.lean = make([][]float64, l.cases())
	for i := range l.gamma {
		l.gamma[i] = make([]float64, np)
	}
	if !l.Halved {
		all := make([]int, np)
		for i := range all {
			all[i] = i
		}
		right, _ := l.assemble(all, true)
		lean := l.leaning()
		return l.factor(right, all, func(Case) bool { return true }, func(c Case) []float64 {
			if !symmetric(c) {
				return nil
			}
			return lean(l.gamma[c], 0)
		})
	}
	all := make([]int, np)
	var outer []int // without the plane of symmetry
	for i := range all {
		all[i] = i
		if !l.Strips[l.panels[i].strip].Central {
			outer = append(outer, i)
		}
	}
	own, other := l.assemble(all, false)
	no := len(outer)
	if no > 0 {
		sym := make([]float64, no*no)
		for i, pi := range outer {
			for j, pj := range outer {
				sym[i*no+j] = own[pi*np+pj] + other[pi*np+pj]
			}
		}
		if err := l.factor(sym, outer, symmetric, nil); err != nil {
			return err
		}
	}
	for i := range own {
		own[i] -= other[i]
	}
	lean := l.leaning()
	return l.factor(own, all, func(c Case) bool { return !symmetric(c) }, func(c Case) []float64 {
		if !symmetric(c) {
			return nil
		}
		return lean(l.gamma[c], 1)
	})
}

// assemble returns the normal wash at every panel (rows) from every panel,
// and from every panel's mirror image across the plane of symmetry (zero for
// panels on it, which are their own image).
func (l *Lattice) assemble(all []int, whole bool) (own, other []float64) {
	np := len(all)
	own = make([]float64, np*np)
	if !whole {
		other = make([]float64, np*np)
	}
	w := newWasher(l)
	grounded := !math.IsInf(l.ground, -1)
	for i := range l.panels {
		p := &l.panels[i]
		st := &l.Strips[p.strip]
		row := own[i*np : (i+1)*np]
		w.add(row, p.point, st.Normal, st.Surface, 1)
		if grounded {
			w.add(row, l.sunk(p.point), drop(st.Normal), -1, 1)
		}
		if s := l.softness(st); s != 0 {
			for j := range st.count {
				row[st.first+j] -= s
			}
		}
		if whole {
			continue
		}
		row = other[i*np : (i+1)*np]
		w.add(row, flip(p.point), flip(st.Normal), st.Surface, 1)
		if grounded {
			w.add(row, l.sunk(flip(p.point)), drop(flip(st.Normal)), -1, 1)
		}
		for j := range l.panels {
			if l.Strips[l.panels[j].strip].Central {
				row[j] = 0
			}
		}
	}
	return own, other
}

// sunk mirrors a point in the ground.
func (l *Lattice) sunk(v r3.Vec) r3.Vec { v.Z = 2*l.ground - v.Z; return v }

func drop(v r3.Vec) r3.Vec { v.Z = -v.Z; return v }

// factor solves the cases that want says for the panels in rows.
func (l *Lattice) factor(a []float64, rows []int, want func(Case) bool, lean func(Case) []float64) error {
	n := len(rows)
	m := blas64.General{Rows: n, Cols: n, Stride: n, Data: a}
	piv := make([]int, n)
	if !lapack64.Getrf(m, piv) {
		return errors.New("the lattice is singular: surfaces coincide")
	}
	if l.sym.piv == nil {
		l.sym = factored{m, piv, rows}
	}
	var list []Case
	for c := Case(0); int(c) < l.cases(); c++ {
		if want(c) {
			list = append(list, c)
		}
	}
	b := blas64.General{Rows: n, Cols: len(list), Stride: len(list), Data: make([]float64, n*len(list))}
	for i, pi := range rows {
		for j, c := range list {
			b.Data[i*b.Stride+j] = l.tangency(&l.panels[pi], c)
		}
	}
	lapack64.Getrs(blas.NoTrans, m, b, piv)
	for i, pi := range rows {
		for j, c := range list {
			v := b.Data[i*b.Stride+j]
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return errors.New("the lattice has no finite solution: surfaces coincide")
			}
			l.gamma[c][pi] = v
		}
	}
	if lean == nil {
		return nil
	}
	// The wake leaning with sideslip: second-order columns.
	list = list[:0]
	var cols [][]float64
	for c := Case(0); int(c) < l.cases(); c++ {
		if d := lean(c); d != nil {
			list, cols = append(list, c), append(cols, d)
		}
	}
	b = blas64.General{Rows: n, Cols: len(list), Stride: len(list), Data: make([]float64, n*len(list))}
	for i, pi := range rows {
		for j := range list {
			b.Data[i*b.Stride+j] = -cols[j][pi]
		}
	}
	lapack64.Getrs(blas.NoTrans, m, b, piv)
	for j, c := range list {
		g := make([]float64, len(l.panels))
		for i, pi := range rows {
			g[pi] = b.Data[i*b.Stride+j]
		}
		l.lean[c] = g
	}
	return nil
}
