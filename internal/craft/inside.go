package craft

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/build"
)

// Length is a measured length with its standard deviation, m.
type Length struct{ Value, Sigma float64 }

// Box is a place and size with the standard deviations of both, build axes, m.
type Box struct{ At, Size, AtSigma, SizeSigma r3.Vec }

// Inside is the room inside the aeroplane; see build.Inside. It takes part in
// no draw: the judgements carry the doubt of their own sizes.
type Inside struct {
	Clearance, Wall float64
	Bays            []Bay
	Hatches         []Hatch
	Solids          []SolidBlock
	Routes          []Route
}

// BayKind says how a bay is described.
type BayKind uint8

const (
	// BoxBay is a box.
	BoxBay BayKind = iota
	// ShellBay is a row of inside cross sections.
	ShellBay
	// SurfaceBay is the thickness of a surface.
	SurfaceBay
)

// Bay is a place for parts.
type Bay struct {
	Name     string
	Kind     BayKind
	Box      Box           // a box bay
	Sections []BodyStation // of a shell, its inside
	Sigma    float64       // of one side of its sections, m
	Square   bool          // square sections
	Surface  int           // index, of a surface bay
	Y, Wide  float64       // along the span; Wide 0 when not said
	From, To float64       // x
	Closed   bool
	Foam     float64
}

// Hatch is an opening of a bay; Bay is an index.
type Hatch struct {
	Name, Side string
	Bay        int
	Long, Wide Length
	At         r3.Vec
	Depth      float64 // 0: the bay's own
}

// SolidBlock is a spar, frame or rib.
type SolidBlock struct {
	Name, Material string
	At, Size       r3.Vec
}

// Route is how a lead runs; numbers are 0 where not said, Slack -1.
type Route struct {
	Lead, From, To, Ends string
	Via                  []r3.Vec
	Wires, Gauge         int // Gauge -1 where not said
	Current, Slack       float64
	Hole, Plug, Bend     float64
}

// Scale is one scale under the aeroplane.
type Scale struct {
	At                       r3.Vec
	Reads, Sigma, PlaceSigma float64
}

// Swing is one swing test.
type Swing struct {
	About                  string
	Lines                  int
	Length, Radius, Period Length // Radius: half the spacing; Period in s
	Mass                   Length // kg; 0 when not said
	PlateMass, PlatePeriod Length // 0 without a plate
	HasPlate               bool
}

// Weighing is what scales and swings showed.
type Weighing struct {
	Scales, Tilted []Scale
	NoseUp         float64
	Without        []string
	Swings         []Swing
}

// BallastSpot is a place for ballast; Most 0 when not said.
type BallastSpot struct {
	Name string
	At   r3.Vec
	Most float64
}

// Deviation is where it is not built as the manual says.
type Deviation struct{ What, Manual, Built, Why string }

func lengthOf(v build.Value) Length {
	if !v.Given {
		return Length{}
	}
	s, _ := v.Doubt()
	return Length{v.Value, s}
}

func boxOf(at, size build.Place) Box {
	s := func(v build.Value) float64 { return lengthOf(v).Sigma }
	return Box{At: place(at), Size: place(size),
		AtSigma:   r3.Vec{X: s(at.X), Y: s(at.Y), Z: s(at.Z)},
		SizeSigma: r3.Vec{X: s(size.X), Y: s(size.Y), Z: s(size.Z)}}
}

// inside takes bays, hatches, solid things, routes and weighings; Parse has
// looked at the names.
func (m *maker) inside() {
	b, a := &m.b.Inside, m.ac
	in := &a.Inside
	in.Clearance, in.Wall = 1e-3, 1.5e-3
	if b.Clearance.Given {
		in.Clearance = b.Clearance.Value
	}
	if b.Wall.Given {
		in.Wall = b.Wall.Value
	}
	index := map[string]int{}
	for i := range b.Bays {
		y := &b.Bays[i]
		k := Bay{Name: y.Name.S, Box: boxOf(y.At, y.Size), Square: y.Form.S == "square", Surface: -1,
			Y: y.Y.Value, Wide: y.Wide.Value, From: y.From.Value, To: y.To.Value, Closed: y.Closed.On, Foam: y.Foam.Value}
		switch {
		case y.Surface.Given:
			k.Kind = SurfaceBay
			for s := range a.Surfaces {
				if a.Surfaces[s].Name == y.Surface.S {
					k.Surface = s
				}
			}
			k.Sigma = lengthOf(y.From).Sigma
		case len(y.Sections) > 0:
			k.Kind = ShellBay
			for _, s := range y.Sections {
				k.Sections = append(k.Sections, BodyStation{s.X.Value, s.Z.Value, s.Width.Value, s.Height.Value})
				k.Sigma = math.Max(k.Sigma, math.Max(lengthOf(s.Width).Sigma, lengthOf(s.Height).Sigma))
			}
		}
		index[k.Name] = i
		in.Bays = append(in.Bays, k)
	}
	for i := range b.Hatches {
		h := &b.Hatches[i]
		k := Hatch{Name: h.Name.S, Side: h.Side.S, Bay: index[h.Bay.S], Long: lengthOf(h.Long), Wide: lengthOf(h.Wide), At: place(h.At), Depth: h.Depth.Value}
		if k.Side == "" {
			k.Side = "top"
		}
		if bay := &in.Bays[k.Bay]; !h.At.X.Given {
			k.At = bay.Middle()
		}
		in.Hatches = append(in.Hatches, k)
	}
	for i := range b.Solids {
		s := &b.Solids[i]
		k := SolidBlock{s.Name.S, s.Material.S, place(s.At), place(s.Size)}
		in.Solids = append(in.Solids, k)
		if s.Mirrored.On && k.At.Y != 0 {
			k.Name += " (left)"
			k.At.Y = -k.At.Y
			in.Solids = append(in.Solids, k)
		}
	}
	for i := range b.Routes {
		r := &b.Routes[i]
		k := Route{Lead: r.Lead.S, From: r.From.S, To: r.To.S, Ends: r.Ends.S, Wires: r.Wires.N, Gauge: -1,
			Current: r.Current.Value, Slack: -1, Hole: r.Hole.Value, Plug: r.Plug.Value, Bend: r.Bend.Value}
		if r.Gauge.Given {
			k.Gauge = r.Gauge.N
		}
		if r.Slack.Given {
			k.Slack = r.Slack.Value
		}
		for _, v := range r.Via {
			k.Via = append(k.Via, place(v))
		}
		in.Routes = append(in.Routes, k)
	}
	m.weighing()
	for i := range m.b.Ballast {
		s := &m.b.Ballast[i]
		a.Ballast = append(a.Ballast, BallastSpot{s.Name.S, place(s.At), s.Most.Value})
	}
	for _, d := range m.b.Deviations {
		a.Deviations = append(a.Deviations, Deviation{d.What.S, d.Manual.S, d.Built.S, d.Why.S})
	}
}

// Middle is the middle of a bay, as far as it can be told without the section
// of a surface.
func (b *Bay) Middle() r3.Vec {
	switch b.Kind {
	case ShellBay:
		f, l := b.Sections[0], b.Sections[len(b.Sections)-1]
		return r3.Vec{X: (f.X + l.X) / 2, Z: (f.Z + l.Z) / 2}
	case SurfaceBay:
		return r3.Vec{X: (b.From + b.To) / 2, Y: b.Y}
	}
	return b.Box.At
}

func (m *maker) weighing() {
	w, a := &m.b.Weighing, m.ac
	scales := func(rows []build.ScaleRow) []Scale {
		var out []Scale
		for _, r := range rows {
			reads := lengthOf(r.Reads)
			place0 := lengthOf(r.At.X)
			out = append(out, Scale{At: place(r.At), Reads: reads.Value, Sigma: reads.Sigma, PlaceSigma: place0.Sigma})
		}
		return out
	}
	a.Weighing.Scales, a.Weighing.Tilted, a.Weighing.NoseUp = scales(w.Scales), scales(w.Tilted.Scales), w.Tilted.NoseUp.Value
	for _, p := range w.Without {
		a.Weighing.Without = append(a.Weighing.Without, p.Part.S)
	}
	for i := range w.Swings {
		s := &w.Swings[i]
		n := float64(max(1, s.Swings.N))
		per := func(v build.Value) Length { l := lengthOf(v); return Length{l.Value / n, l.Sigma / n} }
		half := lengthOf(s.Spacing)
		k := Swing{About: s.About.S, Lines: s.Lines.N, Length: lengthOf(s.Length), Radius: Length{half.Value / 2, half.Sigma / 2}, Period: per(s.Time),
			Mass: lengthOf(s.Mass), PlateMass: lengthOf(s.Plate), PlatePeriod: per(s.Bare), HasPlate: s.Plate.Given && s.Bare.Given}
		if k.Lines == 0 {
			k.Lines = 2
		}
		a.Weighing.Swings = append(a.Weighing.Swings, k)
	}
}

// bench fills what the fit asks of a part.
func (p *Part) bench(b *build.Part) {
	p.SizeSigma = boxOf(b.At, b.Size).SizeSigma
	p.AtSigma = boxOf(b.At, b.Size).AtSigma
	p.Lugs, p.Plug = place(b.Lugs), place(b.Plug)
	p.CutLugs, p.Bend = b.CutLugs.On, b.Bend.Value
	p.Round = 0
	if b.Round.Given {
		p.Round = 1 + strings.Index("xyz", b.Round.S)
	}
	p.Bay, p.Equipment = b.Bay.S, b.Equipment.S
	p.DragArea, p.Heat = b.DragArea.Value, b.Heat.Value
	p.Price, p.Priced = b.Price.Value, b.Price.Given
}

// Added returns a copy with one more part, for what-ifs. Its index is its own.
func (a *Aircraft) Added(p Part) *Aircraft {
	c := a.copied(true)
	for i := range c.Parts {
		p.Index = max(p.Index, c.Parts[i].Index+1)
	}
	p.MinAt, p.MaxAt = p.At, p.At
	c.Trial.DragArea += p.DragArea
	c.Parts = append(append([]Part(nil), c.Parts...), p)
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c
}

// Without returns a copy in which the parts that drop accepts weigh nothing
// and are in nobody's way, for what-ifs; what they add in the air stream by
// drag_area goes with them. Draws of all other numbers stay what they were.
func (a *Aircraft) Without(drop func(*Part) bool) *Aircraft {
	c := a.copied(true)
	c.Parts = append([]Part(nil), c.Parts...)
	gone := map[string]bool{}
	for i := range c.Parts {
		if drop(&c.Parts[i]) {
			c.Parts[i].Mass = 0
			c.Trial.DragArea -= c.Parts[i].DragArea
			gone[c.Parts[i].Name] = true
		}
	}
	c.Inputs = append([]Input(nil), a.Inputs...)
	for i := range c.Inputs { // the draws of all others stay the same
		for name := range gone {
			if strings.HasPrefix(c.Inputs[i].Path, "parts."+build.PathKey(name)+".") {
				c.Inputs[i].Set = func(*Aircraft, float64) {}
			}
		}
	}
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c
}

// Path is where the build describes the part, as settings address it.
func (p *Part) Path() string { return "parts." + build.PathKey(p.Name) }

// Path is where the bay stands in the build file.
func (b *Bay) Path() string { return "inside.bays." + build.PathKey(b.Name) }

// Path is where the hatch stands in the build file.
func (h *Hatch) Path() string { return "inside.hatches." + build.PathKey(h.Name) }

// Aligned returns a copy whose inputs stand in the order of another aircraft's,
// so that draw i of one seed gives both the same luck: an input that only the
// other has leaves its place empty, one that only this has takes an empty place
// of its kind, or the end.
func (a *Aircraft) Aligned(to *Aircraft) *Aircraft {
	c := a.copied(true)
	mine := map[string]int{}
	for i := range a.Inputs {
		mine[a.Inputs[i].Path] = i
	}
	known := map[string]bool{}
	var out []Input
	var empty []int
	for _, in := range to.Inputs {
		known[in.Path] = true
		if i, ok := mine[in.Path]; ok && a.Inputs[i].Kind == in.Kind {
			out = append(out, a.Inputs[i])
			continue
		}
		empty = append(empty, len(out))
		in.Path, in.Set, in.shape = "none."+in.Path, func(*Aircraft, float64) {}, false
		out = append(out, in)
	}
	have := map[string]bool{}
	for i := range out {
		have[out[i].Path] = true
	}
	for i := range a.Inputs {
		in := a.Inputs[i]
		if have[in.Path] {
			continue
		}
		put := false
		for n, e := range empty {
			if out[e].Kind == in.Kind {
				out[e] = in
				empty = append(empty[:n:n], empty[n+1:]...)
				put = true
				break
			}
		}
		if !put {
			out = append(out, in)
		}
	}
	c.Inputs = out
	return c
}
