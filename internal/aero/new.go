package aero

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/section"
	"fledge/internal/wing"
)

// Sections gives the traits of a station's section at a Reynolds number; ok
// false leaves the station to the handbook.
type Sections interface {
	Traits(surface, station int, re float64) (t section.Traits, ok bool)
}

// Options of [New].
type Options struct {
	Sections Sections // nil: handbook values everywhere
	// Panels of the main wing's half, spanwise and chordwise; 0 means 24
	// and 8. Coarse models for differences take 12 and 4.
	Spanwise, Chordwise int

	foils map[string]*foil
	plain bool // no ground
}

// New builds the model of an aircraft in the given air (density and
// viscosity set the reference Reynolds numbers only; each Flow brings its
// own). It fails when a surface is impossible or a section cannot be read.
func New(ac *craft.Aircraft, st air.State, o Options) (*Model, error) {
	if len(ac.Surfaces) == 0 {
		return nil, fmt.Errorf("no lifting surface")
	}
	if ac.Ref.Wing < 0 || ac.Ref.Wing >= len(ac.Surfaces) || !(ac.Ref.Area > 0) || !(ac.Ref.Chord > 0) || !(ac.Ref.Span > 0) {
		return nil, fmt.Errorf("the reference wing is not set")
	}
	if o.Spanwise == 0 {
		o.Spanwise = 24
	}
	if o.Chordwise == 0 {
		o.Chordwise = 8
	}
	m := &Model{Area: ac.Ref.Area, Span: ac.Ref.Span, Chord: ac.Ref.Chord, point: ac.Ref.Point}
	m.air.rho, m.air.mu = st.Rho, st.Mu
	if !(m.air.rho > 0) || !(m.air.mu > 0) {
		s, _ := air.Standard(0)
		m.air.rho, m.air.mu = s.Rho, s.Mu
	}
	// The reference speed: half as much again as a stall at CL 1.
	mass := math.Max(ac.Mass.Total, 0.05)
	m.vRef = 1.5 * math.Sqrt(2*mass*9.80665/(m.air.rho*m.Area))
	re := func(v float64) float64 { return m.air.rho * v * m.Chord / m.air.mu }
	m.re0 = re(0.25 * m.vRef)
	m.perRe0 = 1 / m.re0

	if o.foils == nil {
		o.foils = map[string]*foil{}
	}
	m.foils, m.opt = o.foils, o
	b := &builder{m: m, ac: ac, o: o}
	if err := b.traits(); err != nil {
		return nil, err
	}
	if err := b.lattice(); err != nil {
		return nil, err
	}
	b.group()
	b.rest()
	if !o.plain {
		b.grounds()
	}
	b.bodies()
	b.drag()
	b.controls()
	b.propeller()
	root := ac.Surfaces[ac.Ref.Wing].Stations
	first, last := root[0], root[len(root)-1]
	m.wake.taper = math.Min(last.Chord/first.Chord, 1)
	m.wake.sweep = math.Atan((last.LE.X + last.Chord/4 - first.LE.X - first.Chord/4) / math.Max(last.LE.Y-first.LE.Y, 1e-6))
	m.np = m.neutral()
	if !o.plain {
		b.doubts()
	}
	return m, nil
}

// foil is a section with its handbook traits on a grid of Reynolds numbers:
// the handbook is slow beside a lattice.
type foil struct {
	shape  *section.Shape
	plate  float64 // normal force at 90 degrees, two-dimensional
	traits [foilNodes]section.Traits
}

const (
	foilNodes = 6
	foilLow   = 2e4
	foilHigh  = 2e6
)

func (b *builder) foil(st craft.Station) (*foil, error) {
	key := fmt.Sprintf("%s|%g|%g|%d", st.Section, st.Thickness, st.ThickAt, len(st.Text))
	if len(st.Text) > 0 {
		key += string(st.Text)
	}
	if f, ok := b.o.foils[key]; ok {
		return f, nil
	}
	sh, err := shapeOf(st)
	if err != nil {
		return nil, err
	}
	f := &foil{shape: sh, plate: section.PlateFor(sh, 0).Normal90}
	for i := range f.traits {
		f.traits[i] = section.Handbook(sh, foilLow*math.Pow(foilHigh/foilLow, float64(i)/(foilNodes-1)))
	}
	b.o.foils[key] = f
	return f, nil
}

// at interpolates the traits in the logarithm of the Reynolds number; beyond
// the grid the end's traits stand.
func (f *foil) at(re float64) section.Traits {
	x := math.Log(re/foilLow) / math.Log(foilHigh/foilLow) * (foilNodes - 1)
	x = math.Min(math.Max(x, 0), foilNodes-1)
	i := min(int(x), foilNodes-2)
	x -= float64(i)
	a, c := &f.traits[i], &f.traits[i+1]
	mix := func(p, q float64) float64 { return p + x*(q-p) }
	return section.Traits{
		Re: re, AlphaL0: mix(a.AlphaL0, c.AlphaL0), ClAlpha: mix(a.ClAlpha, c.ClAlpha), Cm0: mix(a.Cm0, c.Cm0),
		ClMax: mix(a.ClMax, c.ClMax), ClMin: mix(a.ClMin, c.ClMin), AlphaStall: mix(a.AlphaStall, c.AlphaStall), AlphaLow: mix(a.AlphaLow, c.AlphaLow),
		Cd0: mix(a.Cd0, c.Cd0), CdK: mix(a.CdK, c.CdK), ClCd0: mix(a.ClCd0, c.ClCd0), Doubt: a.Doubt, Status: a.Status,
	}
}

func shapeOf(st craft.Station) (*section.Shape, error) {
	var sh *section.Shape
	var err error
	switch {
	case len(st.Text) > 0:
		sh, _, err = section.FromCoordinates(st.Section, st.Text)
	case st.Section == "":
		t := st.Thickness
		if t == 0 {
			t = 0.09
		}
		at := st.ThickAt
		if at == 0 {
			at = 0.3
		}
		return section.Unknown(math.Min(math.Max(t, 0.02), 0.3), math.Min(math.Max(at, 0.1), 0.6)), nil
	default:
		sh, err = section.Parse(st.Section)
	}
	if err != nil {
		return nil, err
	}
	if st.Thickness > 0.01 && st.Thickness < 0.5 {
		if t, _ := sh.Thickness(); math.Abs(t-st.Thickness) > 1e-4 {
			sh = sh.WithThickness(st.Thickness)
		}
	}
	return sh, nil
}

type builder struct {
	m     *Model
	ac    *craft.Aircraft
	o     Options
	foils [][]*foil
	// traits by surface, station, node; ref at the reference speed
	tr  [][][nRe]traits
	ref [][]section.Traits

	// circulation of the columns by strip
	sym, anti [5][]float64
}

// traits of a section, solved or measured, or the handbook's.
type traits struct {
	section.Traits
	solved bool
}

func (b *builder) trait(i, j int, re float64) traits {
	if b.o.Sections != nil {
		if t, ok := b.o.Sections.Traits(i, j, re); ok {
			t.Re = re
			return traits{t, true}
		}
	}
	return traits{b.foils[i][j].at(re), false}
}

func (b *builder) traits() error {
	m := b.m
	b.tr = make([][][nRe]traits, len(b.ac.Surfaces))
	b.ref = make([][]section.Traits, len(b.ac.Surfaces))
	b.foils = make([][]*foil, len(b.ac.Surfaces))
	for i, s := range b.ac.Surfaces {
		b.tr[i] = make([][nRe]traits, len(s.Stations))
		b.ref[i] = make([]section.Traits, len(s.Stations))
		for j, st := range s.Stations {
			if !(st.Chord > 0) {
				return fmt.Errorf("surface %q, station %d: chord %g m", s.Name, j, st.Chord)
			}
			f, err := b.foil(st)
			if err != nil {
				return fmt.Errorf("surface %q, station %d: %w", s.Name, j, err)
			}
			b.foils[i] = append(b.foils[i], f)
			scale := st.Chord / m.Chord
			for n := range nRe {
				b.tr[i][j][n] = b.trait(i, j, m.re0*math.Exp2(float64(n))*scale)
			}
			b.ref[i][j] = b.trait(i, j, m.air.rho*m.vRef*st.Chord/m.air.mu).Traits
		}
	}
	return nil
}

// surfaces turns craft's surfaces into the lattice's: sections enter by
// their measured or handbook angle of zero lift and lift slope, so that the
// lattice carries what the section really does; their moment is added apart.
func (b *builder) surfaces() []wing.Surface {
	var out []wing.Surface
	main := b.ac.Ref.Area
	for i, s := range b.ac.Surfaces {
		w := wing.Surface{Name: s.Name, Mirrored: s.Mirrored}
		area := 0.0
		for j, st := range s.Stations {
			t := b.ref[i][j]
			w.Stations = append(w.Stations, wing.Station{
				LE: st.LE, Chord: st.Chord,
				Twist: st.Twist - t.AlphaL0, LiftSlope: t.ClAlpha / (2 * math.Pi),
			})
			if j > 0 {
				d := r3.Sub(st.LE, s.Stations[j-1].LE)
				area += math.Hypot(d.Y, d.Z) * (st.Chord + s.Stations[j-1].Chord) / 2
			}
		}
		if s.Mirrored {
			area *= 2
		}
		if i != b.ac.Ref.Wing {
			w.Spanwise = max(6, min(b.o.Spanwise, int(math.Ceil(float64(b.o.Spanwise)*math.Sqrt(area/main)*0.8))))
			w.Chordwise = max(4, b.o.Chordwise*3/4)
			w.Chordwise = min(w.Chordwise, b.o.Chordwise)
		}
		for _, c := range s.Controls {
			w.Controls = append(w.Controls, wing.Control{Name: c.Name, From: c.From, To: c.To, ChordShare: c.ChordShare})
		}
		out = append(out, w)
	}
	return out
}

func (b *builder) lattice() error {
	m := b.m
	ref := wing.Reference{Area: m.Area, Span: m.Span, Chord: m.Chord, Point: m.point}
	l, err := wing.New(b.surfaces(), ref, wing.Options{Spanwise: b.o.Spanwise, Chordwise: b.o.Chordwise})
	if err != nil {
		return err
	}
	m.lattice, m.derive = l, l.Derivatives()
	m.clAlpha = m.derive.CLAlpha
	b.sym, b.anti = b.columns(l)
	m.columns = [2][5][]float64{b.sym, b.anti}
	m.drag, m.dragA, m.yaw = forms(l, b.sym, b.anti)
	return nil
}

// axis is how a control answers the four axis commands: factors on the
// deflection about its hinge, trailing edge down (towards the right for an
// upright one), of the right side; alike on both sides or opposed.
type axis struct{ pitch, brake, roll, yaw, works float64 }

// Effectiveness of plain flaps against thin-section theory: 0.7 to 0.85 with
// gap and boundary layer (DATCOM 6.1, Hoerner; from memory). The doubt of
// Factors.Control covers the band.
const (
	worksSealed = 0.82
	worksOpen   = 0.75
)

func (b *builder) axis(surface, control int) axis {
	s := &b.ac.Surfaces[surface]
	c := &s.Controls[control]
	a := axis{works: worksOpen}
	if c.Sealed {
		a.works = worksSealed
	}
	l := b.m.lattice
	k := b.flap(surface, control)
	f := &l.Controls[k]
	// Streamwise slope of a deflection about a swept hinge.
	a.works /= math.Sqrt(1 + f.Sweep*f.Sweep)
	var n, at r3.Vec
	for _, j := range f.Strips {
		n = r3.Add(n, l.Strips[j].Normal)
		at = r3.Add(at, l.Strips[j].Mid)
	}
	if len(f.Strips) > 0 {
		n, at = r3.Scale(1/float64(len(f.Strips)), n), r3.Scale(1/float64(len(f.Strips)), at)
	}
	sign := func(v float64) float64 {
		if v < 0 {
			return -1
		}
		return 1
	}
	if c.Pitch != 0 {
		// Trailing edge up raises the nose behind the reference point, a
		// foreplane's trailing edge goes down.
		a.pitch = -c.Pitch * sign(at.X+0.25*c.ChordShare*s.Stations[0].Chord-b.m.point.X)
		if surface == b.ac.Ref.Wing {
			a.pitch = -c.Pitch
		}
	}
	a.brake = c.Brake
	if c.Roll != 0 {
		a.roll = -c.Roll // right trailing edge up
		if !s.Mirrored {
			a.roll = -c.Roll * sign(at.Y)
		}
	}
	if c.Yaw != 0 {
		// Nose right: the deflection that pushes to the left behind the
		// reference point.
		a.yaw = -c.Yaw * sign(n.Y) * sign(at.X-b.m.point.X)
		if math.Abs(n.Y) < 0.05 {
			a.yaw = 0 // a flat surface makes no side force
		}
	}
	return a
}

// flap is the lattice's number of a control.
func (b *builder) flap(surface, control int) int {
	k := 0
	for i := range surface {
		k += len(b.ac.Surfaces[i].Controls)
	}
	return k + control
}

// columns gathers the circulation of strips per unit of the ten columns.
func (b *builder) columns(l *wing.Lattice) (sym, anti [5][]float64) {
	n := len(l.Strips)
	for i := range 5 {
		sym[i], anti[i] = make([]float64, n), make([]float64, n)
	}
	add := func(to []float64, k float64, g []float64) {
		for j := range to {
			to[j] += k * g[j]
		}
	}
	add(sym[0], 1, l.Circulation(wing.Shape))
	add(sym[1], 1, l.Circulation(wing.Plunge))
	add(sym[2], 1, l.Circulation(wing.PitchRate))
	add(anti[0], 1, l.Circulation(wing.Slip))
	add(anti[1], 1, l.Circulation(wing.RollRate))
	add(anti[2], 1, l.Circulation(wing.YawRate))
	for i, s := range b.ac.Surfaces {
		for c := range s.Controls {
			a := b.axis(i, c)
			k := b.flap(i, c)
			alike, opposed := l.Circulation(l.Alike(k)), l.Circulation(l.Opposed(k))
			add(sym[3], a.pitch*a.works, alike)
			add(sym[4], a.brake*a.works, alike)
			add(anti[3], a.roll*a.works, opposed)
			add(anti[4], a.yaw*a.works, opposed)
		}
	}
	return sym, anti
}

// induced is half the far-wake wash against the normal, per column.
func induced(l *wing.Lattice, alike bool, g [5][]float64) (out [5][]float64) {
	w := l.Downwash(alike)
	for c := range out {
		out[c] = make([]float64, len(l.Strips))
		for i := range w {
			for j := range w[i] {
				out[c][i] -= 0.5 * w[i][j] * g[c][j]
			}
		}
	}
	return out
}

// forms packs the far-wake induced drag into quadratic forms of the first
// four columns, and the yawing moment of alike and opposed loading together
// (strip by strip, the wash of the wake taken at the lifting line: Munk's
// stagger theorem holds for the whole, so for the yaw of swept wings it is an
// estimate).
func forms(l *wing.Lattice, sym, anti [5][]float64) (ds, da [10]float64, yaw [12]float64) {
	ws, wa := induced(l, true, sym), induced(l, false, anti)
	for j, st := range l.Strips {
		k := pairs(l.Halved && !st.Central)
		n := 0
		for a := range 4 {
			for c := a; c < 4; c++ {
				vs := sym[a][j]*ws[c][j] + sym[c][j]*ws[a][j]
				va := anti[a][j]*wa[c][j] + anti[c][j]*wa[a][j]
				if a == c {
					vs, va = vs/2, va/2
				}
				ds[n] += k * vs * st.Width
				da[n] += k * va * st.Width
				n++
			}
		}
		for row, a := range []int{0, 1, 3} {
			for c := range 4 {
				yaw[4*row+c] += k * st.Mid.Y * st.Width * (sym[a][j]*wa[c][j] + anti[c][j]*ws[a][j])
			}
		}
	}
	return ds, da, yaw
}

// between is the station inboard of a strip on its surface and how far the
// strip is from it to the next.
func (b *builder) between(st *wing.Strip) (station int, w float64) {
	s := b.ac.Surfaces[st.Surface].Stations
	arc := make([]float64, len(s))
	for j := 1; j < len(s); j++ {
		d := r3.Sub(s[j].LE, s[j-1].LE)
		arc[j] = arc[j-1] + math.Hypot(d.Y, d.Z)
	}
	pos := math.Abs(st.Eta) * arc[len(arc)-1]
	for j := 1; j < len(arc); j++ {
		if pos <= arc[j] || j == len(arc)-1 {
			return j - 1, (pos - arc[j-1]) / (arc[j] - arc[j-1])
		}
	}
	return 0, 0
}

// along interpolates one trait over the span of a strip's surface.
func (b *builder) along(st *wing.Strip, f func(surface, station int) float64) float64 {
	j, w := b.between(st)
	if w == 0 {
		return f(st.Surface, j)
	}
	return (1-w)*f(st.Surface, j) + w*f(st.Surface, j+1)
}

// group collects strips.
func (b *builder) group() {
	m, l := b.m, b.m.lattice
	var spans [][2]int // from, to
	for i := 0; i < len(l.Strips); {
		j := i + 1
		same := func(a, c *wing.Strip) bool { return a.Surface == c.Surface && (a.Eta < 0) == (c.Eta < 0) }
		for j < len(l.Strips) && same(&l.Strips[i], &l.Strips[j]) {
			j++
		}
		n := 1
		if l.Strips[i].Surface == b.ac.Ref.Wing {
			n = 4
		}
		n = min(n, j-i)
		// Even shares of the span.
		at := i
		lo, hi := math.Abs(l.Strips[i].Eta), math.Abs(l.Strips[j-1].Eta)
		for g := range n {
			end := at + 1
			limit := lo + (hi-lo)*float64(g+1)/float64(n)
			for end < j && (math.Abs(l.Strips[end].Eta) <= limit+1e-9 || g == n-1) && j-end > n-1-g {
				end++
			}
			if g == n-1 {
				end = j
			}
			spans = append(spans, [2]int{at, end})
			at = end
		}
		i = j
	}
	m.skins = b.skins()
	aspect := m.Span * m.Span / m.Area
	for _, sp := range spans {
		first := &l.Strips[sp[0]]
		g := group{surface: first.Surface, main: first.Surface == b.ac.Ref.Wing, twin: l.Halved && !first.Central}
		probe := b.sym[1]
		if first.Central && l.Halved || math.Abs(first.Normal.Z) < 0.3 {
			probe = b.anti[0]
		}
		var weight, tw float64
		var eta float64
		for j := sp[0]; j < sp[1]; j++ {
			st := &l.Strips[j]
			area := st.Area()
			g.b += st.Width
			g.s += area
			w := math.Abs(probe[j])*st.Width + 1e-12
			weight += w
			r := r3.Sub(st.Mid, m.point)
			g.x -= w * r.X
			g.y += w * r.Y
			g.z -= w * r.Z
			g.ny += area * st.Normal.Y
			g.nz += area * st.Normal.Z
			eta += area * math.Abs(st.Eta)
			for c := range 5 {
				g.gs[c] += b.sym[c][j] * st.Width
				g.ga[c] += b.anti[c][j] * st.Width
			}
			t := b.sweepEffect(j)
			g.t += t * w
			tw += w
			g.phi += area * (st.Twist + b.along(st, func(i, k int) float64 { return b.ref[i][k].AlphaL0 }))
			clmax := b.along(st, func(i, k int) float64 { return b.ref[i][k].ClMax })
			clmin := b.along(st, func(i, k int) float64 { return b.ref[i][k].ClMin })
			cos2 := 1 / (1 + st.Sweep*st.Sweep)
			g.hi += area * clmax * cos2
			g.lo += area * clmin * cos2
			// Half width of the rounded top, as lift.
			round := b.along(st, func(i, k int) float64 {
				t := b.ref[i][k]
				return t.ClAlpha * math.Max(t.AlphaStall-(t.AlphaL0+t.ClMax/t.ClAlpha), 0)
			})
			roundLow := b.along(st, func(i, k int) float64 {
				t := b.ref[i][k]
				return t.ClAlpha * math.Max(t.AlphaL0+t.ClMin/t.ClAlpha-t.AlphaLow, 0)
			})
			g.hw += area * (0.35 + 2*round)
			g.lw += area * (0.35 + 2*roundLow)
			g.plate += area * b.along(st, func(i, k int) float64 { return b.foils[i][k].plate })
			m.cm0 += pairs(g.twin) * area * st.Chord * b.along(st, func(i, k int) float64 { return b.ref[i][k].Cm0 }) * st.Normal.Z
			for ci, c := range b.ac.Surfaces[st.Surface].Controls {
				f := &l.Controls[b.flap(st.Surface, ci)]
				if e := math.Abs(st.Eta); e > f.From && e < f.To {
					a := b.axis(st.Surface, ci)
					thin := wing.ThinFlap(c.ChordShare)
					g.dp += area * a.pitch * a.works * thin.Effect
					g.db += area * a.brake * a.works * thin.Effect
					g.dr += area * a.roll * a.works * thin.Effect
					g.dy += area * a.yaw * a.works * thin.Effect
				}
			}
		}
		g.x /= weight
		g.y /= weight
		g.z /= weight
		g.t /= tw
		norm := math.Hypot(g.ny, g.nz)
		g.ny, g.nz = g.ny/norm, g.nz/norm
		g.c = g.s / g.b
		for c := range 5 {
			g.gs[c] /= g.b
			g.ga[c] /= g.b
		}
		for _, p := range []*float64{&g.phi, &g.hi, &g.lo, &g.hw, &g.lw, &g.plate, &g.dp, &g.db, &g.dr, &g.dy, &eta} {
			*p /= g.s
		}
		g.eta = eta
		g.reach = math.Abs(math.Abs(l.Strips[sp[1]-1].Eta)-math.Abs(first.Eta))/2 + 1e-6
		if first.Central {
			// Left and right are alike to an upright surface.
			g.hi = (g.hi - g.lo) / 2
			g.lo = -g.hi
			g.hw = (g.hw + g.lw) / 2
			g.lw = g.hw
		}
		g.dcl = 2 * math.Pi * 0.95 // lift per effective radian
		ar := aspect
		if !g.main {
			ar = b.aspect(g.surface)
		}
		g.plateAR = 0.41 * (1 - math.Exp(-17/ar))
		g.half1 = 0.5 * g.dcl
		g.hwi, g.lwi = 1/g.hw, 1/g.lw
		g.solveStall()
		g.hs = g.s / 2
		g.flapped = g.dp != 0 || g.db != 0 || g.dr != 0 || g.dy != 0
		m.groups = append(m.groups, g)
	}
	b.polars(spans)
	b.sweeps()
	last, mainArea := 0.0, 0.0
	for i := range m.groups {
		if m.groups[i].main {
			last = math.Max(last, m.groups[i].eta)
			mainArea += pairs(m.groups[i].twin) * m.groups[i].s
		}
	}
	for i := range m.groups {
		g := &m.groups[i]
		g.half = g.s / mainArea
		g.tip = g.main && g.eta > last-0.05
		g.pack()
	}
}

// pack makes what Eval's passes read.
func (g *group) pack() {
	copy(g.lift[:4], g.gs[:4])
	copy(g.lift[4:], g.ga[:])
	for c := range g.lift {
		g.lift[c] *= g.b
	}
	g.np = g.nz*g.y + g.ny*g.z
	g.tny, g.tnz, g.tnq = g.t*g.ny, g.t*g.nz, g.t*(g.nz*g.z-g.ny*g.y)
	g.per = 2 / (g.b * g.c)
}

func pairs(twin bool) float64 {
	if twin {
		return 2
	}
	return 1
}

func (b *builder) aspect(surface int) float64 {
	area, span := 0.0, 0.0
	for _, st := range b.m.lattice.Strips {
		if st.Surface == surface {
			area += st.Area()
			span += st.Width
		}
	}
	k := 1.0
	if b.ac.Surfaces[surface].Mirrored && b.m.lattice.Halved {
		k = 2
	}
	return k * span * span / area
}

// sweepEffect is the tangent of the sweep that makes strip j feel sideslip
// under alpha's loading: its own, and the wake leaning. The pull on the
// chordwise legs, a pure rolling moment, is added by [builder.sweeps].
func (b *builder) sweepEffect(j int) float64 {
	l := b.m.lattice
	st := &l.Strips[j]
	g := b.sym[1][j]
	lean := l.LeanCirculation(wing.Plunge)
	if math.Abs(st.Normal.Z) < 0.3 || g == 0 || st.Central || lean == nil {
		return st.Sweep
	}
	return st.Sweep + math.Max(-1, math.Min(1, lean[j]/(g*st.Normal.Z)))
}

// sweeps adds to each surface's effective sweep what makes its rolling
// moment from sideslip under alpha's loading that of the lattice.
func (b *builder) sweeps() {
	m, l := b.m, b.m.lattice
	lean := l.LeanCirculation(wing.Plunge)
	if !l.Halved || lean == nil {
		return
	}
	for s := range b.ac.Surfaces {
		want := 0.0
		for j, st := range l.Strips {
			if st.Surface != s || st.Central || math.Abs(st.Normal.Z) < 0.3 {
				continue
			}
			want += l.StripLoad(j, wing.Plunge, wing.MoveY)[3]
			r := r3.Sub(st.Mid, m.point)
			n := lean[j] * st.Width
			want -= n * (r.Y*st.Normal.Z - r.Z*st.Normal.Y)
		}
		got, per := 0.0, 0.0
		for i := range m.groups {
			g := &m.groups[i]
			if g.surface != s || !g.twin || math.Abs(g.nz) < 0.3 {
				continue
			}
			// Roll per unit of t: y bz - z by of a normal force gs b nz.
			roll := -g.gs[1] * g.b * g.nz * (g.y*g.nz + g.z*g.ny)
			got += roll * g.t
			per += roll
		}
		if per == 0 || want == 0 {
			continue
		}
		d := math.Max(-1.5, math.Min(1.5, (want-got)/per))
		for i := range m.groups {
			if g := &m.groups[i]; g.surface == s && g.twin && math.Abs(g.nz) >= 0.3 {
				g.t += d
			}
		}
	}
}

// skins relates each surface's limits to those at the reference Reynolds
// number; their drag comes with the polars.
func (b *builder) skins() []skin {
	out := make([]skin, len(b.ac.Surfaces))
	for i := range out {
		var ups, lows [nRe]float64
		for n := range nRe {
			var up, low, u0, l0 float64
			for j, st := range b.ac.Surfaces[i].Stations {
				t, r := b.tr[i][j][n], b.ref[i][j]
				up += st.Chord * t.ClMax
				low += st.Chord * t.ClMin
				u0 += st.Chord * r.ClMax
				l0 += st.Chord * r.ClMin
			}
			ups[n], lows[n] = up/u0, low/l0
		}
		if s := &b.ac.Surfaces[i]; !s.Mirrored && s.Stations[0].LE.Y == 0 {
			for n := range nRe { // an upright surface: left and right alike
				ups[n] = (ups[n] + lows[n]) / 2
			}
			lows = ups
		}
		out[i] = skin{up: newCurve(ups), low: newCurve(lows)}
	}
	return out
}

// solveStall sets where separation starts so that the largest lift of the
// blended section curve is the section's.
func (g *group) solveStall() {
	// The plate's lift at the angle where the attached lift would be x.
	const n, step = 160, 0.02
	var plate [n]float64
	for i := range plate {
		s, c := math.Sincos(math.Min(step*float64(i)/(2*math.Pi*0.93), 1.2))
		plate[i] = g.plate * (1/(0.56+0.44*s) - g.plateAR) * s * c
	}
	find := func(clmax, width float64) float64 {
		peak := func(start float64) float64 {
			best := start
			for i := max(int(start/step), 0); i < n && step*float64(i) < start+width; i++ {
				x := step * float64(i)
				at := 1 - smooth((x-start)/width)
				best = math.Max(best, at*x+(1-at)*plate[i])
			}
			return best
		}
		lo, hi := 0.2*clmax, clmax
		for range 24 {
			mid := (lo + hi) / 2
			if peak(mid) > clmax {
				hi = mid
			} else {
				lo = mid
			}
		}
		return (lo + hi) / 2
	}
	up, low := math.Max(g.hi, 0.15), math.Max(-g.lo, 0.15)
	g.hi, g.lo = find(up, g.hw), -find(low, g.lw)
}

// rest finds what the groups' places miss of the lattice's moments.
func (b *builder) rest() {
	m, l := b.m, b.m.lattice
	want := [2][5]wing.Six{}
	add := func(to *wing.Six, k float64, s wing.Six) {
		for i := range to {
			to[i] += k * s[i]
		}
	}
	for c, k := range []wing.Case{wing.Shape, wing.Plunge, wing.PitchRate} {
		add(&want[0][c], 1, l.Load(k, wing.MoveX))
	}
	for c, k := range []wing.Case{wing.Slip, wing.RollRate, wing.YawRate} {
		add(&want[1][c], 1, l.Load(k, wing.MoveX))
	}
	for i, s := range b.ac.Surfaces {
		for c := range s.Controls {
			a := b.axis(i, c)
			k := b.flap(i, c)
			al, op := l.Load(l.Alike(k), wing.MoveX), l.Load(l.Opposed(k), wing.MoveX)
			add(&want[0][3], a.pitch*a.works, al)
			add(&want[0][4], a.brake*a.works, al)
			add(&want[1][3], a.roll*a.works, op)
			add(&want[1][4], a.yaw*a.works, op)
		}
	}
	for i := range m.groups {
		g := &m.groups[i]
		for c := range 5 {
			for s := range 2 {
				gam := g.gs[c]
				if s == 1 {
					gam = g.ga[c]
				}
				n := g.b * gam // normal force per unit u
				fy, fz := n*g.ny, -n*g.nz
				mx, my, mz := g.y*fz-g.z*fy, -g.x*fz, g.x*fy
				k := 1.0
				if g.twin {
					k = 2
					if s == 0 {
						fy, mx, mz = 0, 0, 0
					} else {
						fz, my = 0, 0
					}
				}
				want[s][c][1] -= k * fy
				want[s][c][2] -= k * fz
				want[s][c][3] -= k * mx
				want[s][c][4] -= k * my
				want[s][c][5] -= k * mz
			}
		}
	}
	for c := range 5 {
		m.restMy[c] = want[0][c][4]
		m.restMx[c], m.restMz[c], m.restFy[c] = want[1][c][3], want[1][c][5], want[1][c][1]
	}
}

// grounds solves lattices with their image in the ground at eight heights.
// The shape of the effect along the span is that at a fifth of the span; its
// size follows alpha's lift and induced drag over the heights.
func (b *builder) grounds() {
	m := b.m
	m.groundHi, m.groundBend = 1.5*m.Span, 0.3*m.Span
	low := 0.0
	for _, st := range m.lattice.Strips {
		low = math.Max(low, m.point.Z-st.Mid.Z)
	}
	ref := wing.Reference{Area: m.Area, Span: m.Span, Chord: m.Chord, Point: m.point}
	surfaces := b.surfaces()
	solve := func(h float64) (*wing.Lattice, bool) {
		l, err := wing.New(surfaces, ref, wing.Options{Spanwise: max(10, b.o.Spanwise/2), Chordwise: 4, Ground: h})
		return l, err == nil
	}
	free, ok := solve(0)
	if !ok {
		m.notes = append(m.notes, "ground effect left out: the image lattice could not be solved")
		m.groundHi = 0
		return
	}
	fs, _ := b.columns(free)
	none := [5][]float64{zeros(free), zeros(free), zeros(free), zeros(free), zeros(free)}
	far, _, _ := forms(free, fs, none)
	lift := func(l *wing.Lattice) float64 { return -l.Load(wing.Plunge, wing.MoveX)[2] }
	var images [groundNodes]*wing.Lattice
	first := groundNodes - 1 // the lowest height with an image
	for n := groundNodes - 2; n >= 0; n-- {
		if h := m.groundHeight(float64(n)); h > low+0.02*m.Span {
			if l, ok := solve(h); ok {
				images[n], first = l, n
			}
		}
	}
	shape := max(4, first) // about a fifth of the span
	if images[shape] == nil {
		m.notes = append(m.notes, "ground effect left out: a surface hangs too far below the reference point")
		m.groundHi = 0
		return
	}
	gs, _ := b.columns(images[shape])
	near, _, _ := forms(images[shape], gs, none)
	for i := range near {
		m.dragG[i] = near[i] - far[i]
	}
	for n := range groundNodes - 1 {
		l := images[max(n, first)] // below the lowest one: held
		if l == nil {
			continue
		}
		cols, _ := b.columns(l)
		f, _, _ := forms(l, cols, none)
		m.ground[n] = (lift(l) - lift(free)) / (lift(images[shape]) - lift(free))
		m.groundDrag[n] = (f[4] - far[4]) / m.dragG[4]
	}
	for i := range m.groups {
		g := &m.groups[i]
		if !g.twin {
			continue
		}
		for c := range 5 {
			var a, f, wide float64
			for j, st := range free.Strips {
				if st.Surface != g.surface {
					continue
				}
				k := math.Exp(-sq((st.Eta - g.eta) / 0.12))
				a += k * gs[c][j] * st.Width
				f += k * fs[c][j] * st.Width
				wide += k * st.Width
			}
			if wide > 0 {
				g.eg[c] = (a - f) / wide
			}
		}
	}
}

// groundHeight is the height of a place x (0 to 8) in the ground tables.
func (m *Model) groundHeight(x float64) float64 {
	return m.groundBend * x / ((groundNodes-1)*(1+m.groundBend/m.groundHi) - x)
}

func zeros(l *wing.Lattice) []float64 { return make([]float64, len(l.Strips)) }

func sq(v float64) float64 { return v * v }

// ShapeOf is the section shape a station stands for: its file, its
// designation (thickened or thinned to the measured thickness), or a guess
// from the thickness alone.
func ShapeOf(st craft.Station) (*section.Shape, error) { return shapeOf(st) }
