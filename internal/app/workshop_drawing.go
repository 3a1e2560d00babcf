package app

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/report"
	"fledge/internal/section"
)

// Drawing is everything needed to draw an aeroplane to scale from above (x, y)
// and from the side (x, z), in build axes, m. Outlines are closed: the first
// point is not repeated.
type Drawing struct {
	Schema    int            `json:"schema"`
	File      string         `json:"file"`
	ETag      string         `json:"etag"`
	Hash      string         `json:"hash"`
	Rough     bool           `json:"rough"` // balance by handbook sections: a better one follows
	Name      string         `json:"name"`
	Datum     string         `json:"datum"`
	Box       BoxView        `json:"box"`
	Span      report.Float   `json:"span"`
	Chord     report.Float   `json:"chord"`
	XLE       report.Float   `json:"xle"`
	Area      report.Float   `json:"area"`
	Surfaces  []SurfaceView  `json:"surfaces"`
	Body      *BodyView      `json:"body"`
	Parts     []PartView     `json:"parts"`
	Extras    []ExtraView    `json:"extras"`
	Propeller *PropellerView `json:"propeller"`
	Hook      *HookView      `json:"hook"`
	Radios    []RadioView    `json:"radios"`
	Balance   *BalanceView   `json:"balance"` // null while it is yet to be worked out
	Anchors   []AnchorView   `json:"anchors"`
}

// Point2 and Point3 are places in build axes, m.
type (
	Point2 [2]report.Float
	Point3 [3]report.Float
)

// BoxView is the room that everything drawn fills.
type BoxView struct {
	Min Point3 `json:"min"`
	Max Point3 `json:"max"`
}

// SideView is one half of a surface or control.
type SideView struct {
	Plan []Point2 `json:"plan"` // x, y
	Side []Point2 `json:"side"` // x, z
}

// SurfaceView is one lifting surface.
type SurfaceView struct {
	Name     string        `json:"name"`
	Path     string        `json:"path"`
	Upright  bool          `json:"upright"`
	Sides    []SideView    `json:"sides"`
	Stations []StationView `json:"stations"`
	Controls []ControlView `json:"controls"`
}

// StationView is one section, its outline seen from the side.
type StationView struct {
	Path    string       `json:"path"`
	At      Point3       `json:"at"` // of the leading edge
	Chord   report.Float `json:"chord"`
	Twist   report.Float `json:"twist_deg"`
	Section string       `json:"section"`
	Outline []Point2     `json:"outline"` // x, z
}

// ControlView is one control surface.
type ControlView struct {
	Name  string     `json:"name"`
	Path  string     `json:"path"`
	Moves []string   `json:"moves"`
	Sides []SideView `json:"sides"`
}

// BodyView is the body.
type BodyView struct {
	Plan     []Point2          `json:"plan"`
	Side     []Point2          `json:"side"`
	Stations []BodyStationView `json:"stations"`
}

// BodyStationView is one cross section.
type BodyStationView struct {
	Path   string       `json:"path"`
	X      report.Float `json:"x"`
	Z      report.Float `json:"z"`
	Width  report.Float `json:"width"`
	Height report.Float `json:"height"`
}

// PartView is a part as a box about its centre.
type PartView struct {
	Name      string       `json:"name"`
	Path      string       `json:"path"`
	Kind      string       `json:"kind"`
	Twin      bool         `json:"twin"` // the mirrored one
	Mass      report.Float `json:"mass"`
	At        Point3       `json:"at"`
	Size      Point3       `json:"size"`
	SizeKnown bool         `json:"size_known"`
	Movable   bool         `json:"movable"`
	Min       Point3       `json:"min"`
	Max       Point3       `json:"max"`
	Moves     []MoveView   `json:"moves"`
}

// MoveView is one way in which a thing may be moved: set path to a length
// from low to high.
type MoveView struct {
	Axis string       `json:"axis" words:"x|y|z"`
	Path string       `json:"path"`
	Low  report.Float `json:"low"`
	High report.Float `json:"high"`
}

// ExtraView is a small thing in the air stream.
type ExtraView struct {
	Name  string `json:"name"`
	Path  string `json:"path"`
	Kind  string `json:"kind"`
	At    Point3 `json:"at"`
	Size  Point3 `json:"size"`
	Count int    `json:"count"`
}

// PropellerView is the propeller.
type PropellerView struct {
	At       Point3       `json:"at"`
	Diameter report.Float `json:"diameter"`
	Place    string       `json:"place"` // "tractor", "pusher"
}

// HookView is the launch hook.
type HookView struct {
	At    Point3       `json:"at"`
	Rake  report.Float `json:"rake_deg"`
	Path  string       `json:"path"`
	Moves []MoveView   `json:"moves"`
}

// RadioView is one aerial.
type RadioView struct {
	Name string `json:"name"`
	At   Point3 `json:"at"`
}

// AnchorView is the place that a finding concerns.
type AnchorView struct {
	ID   string `json:"id"`
	At   Point3 `json:"at"`
	View string `json:"view" words:"plan|side"` // where it is seen best
}

func p3(v r3.Vec) Point3 { return Point3{report.Float(v.X), report.Float(v.Y), report.Float(v.Z)} }
func p2(x, y float64) Point2 {
	return Point2{report.Float(x), report.Float(y)}
}

// Draw draws an opened build; balance is what Balance of it gave.
func (w *Warm) Draw(balance *BalanceView) *Drawing {
	d := draw(w.Build, w.Aircraft)
	d.Balance = balance
	return d
}

// Draw draws what was read, without its balance: there at once, for it takes
// no models. Nil when it makes no aeroplane.
func (r *Reading) Draw() *Drawing {
	if r.Aircraft == nil {
		return nil
	}
	d := draw(r.Loaded.Build, r.Aircraft)
	d.Rough = true
	return d
}

func draw(b *build.Build, ac *craft.Aircraft) *Drawing {
	d := &Drawing{
		Schema: report.Schema, Hash: ac.Hash, Name: ac.Name, Datum: b.Aeroplane.Datum.S,
		Span: report.Float(ac.Ref.Span), Chord: report.Float(ac.Ref.Chord), XLE: report.Float(ac.Ref.XLE), Area: report.Float(ac.Ref.Area),
		Surfaces: []SurfaceView{}, Parts: partViews(ac), Extras: []ExtraView{}, Radios: []RadioView{},
	}
	for i := range ac.Surfaces {
		d.Surfaces = append(d.Surfaces, surfaceView(&ac.Surfaces[i], b.Surfaces[i].SpanAxis() == "z", itemPath("surfaces", ac.Surfaces[i].Name, i)))
	}
	if len(ac.Body) > 1 {
		d.Body = bodyView(ac.Body)
	}
	for i := range ac.Extras {
		e := &ac.Extras[i]
		d.Extras = append(d.Extras, ExtraView{e.Name, itemPath("extras", e.Name, i), e.Kind, p3(e.At), Point3{report.Float(e.Length), report.Float(e.Width), report.Float(e.Height)}, max(1, e.Count)})
	}
	for i := range ac.Radios {
		d.Radios = append(d.Radios, RadioView{ac.Radios[i].Name, p3(ac.Radios[i].At)})
	}
	if ac.Power.Place != "" {
		d.Propeller = &PropellerView{p3(ac.Power.Propeller.At), report.Float(ac.Power.Propeller.Diameter), ac.Power.Place}
	}
	lo, hi := box(ac)
	d.Box = BoxView{p3(lo), p3(hi)}
	if ac.Launch.By == "bungee" {
		l := &ac.Launch.Bungee
		d.Hook = &HookView{p3(l.Hook), report.Float(l.Rake * 180 / math.Pi), "launch.bungee.hook", []MoveView{}}
		if len(ac.Body) > 1 {
			d.Hook.Moves = append(d.Hook.Moves, MoveView{"x", "launch.bungee.hook.x", report.Float(ac.Body[0].X), report.Float(ac.Body[len(ac.Body)-1].X)})
		}
	}
	d.Anchors = anchors(ac, d)
	return d
}

// itemPath is the path of a list's item.
func itemPath(list, name string, i int) string {
	if name == "" {
		return fmt.Sprintf("%s[%d]", list, i)
	}
	return list + "." + build.PathKey(name)
}

// partViews are the parts in their places.
func partViews(ac *craft.Aircraft) []PartView {
	out := []PartView{}
	for i := range ac.Parts {
		p := &ac.Parts[i]
		path := itemPath("parts", p.Name, p.Index)
		v := PartView{p.Name, path, p.Kind, p.Twin, report.Float(p.Mass), p3(p.At), p3(p.Size), p.SizeKnown, p.Movable, p3(p.MinAt), p3(p.MaxAt), []MoveView{}}
		if !p.Twin {
			for _, m := range []struct {
				axis    string
				low, up float64
			}{{"x", p.MinAt.X, p.MaxAt.X}, {"y", p.MinAt.Y, p.MaxAt.Y}, {"z", p.MinAt.Z, p.MaxAt.Z}} {
				if m.up > m.low {
					v.Moves = append(v.Moves, MoveView{m.axis, path + ".at." + m.axis, report.Float(m.low), report.Float(m.up)})
				}
			}
		}
		out = append(out, v)
	}
	return out
}

// edge is a place on a surface: along the leading edge, f chords aft.
func edge(t *craft.Station, f float64) r3.Vec {
	sin, cos := math.Sincos(t.Twist)
	return r3.Vec{X: t.LE.X + f*t.Chord*cos, Y: t.LE.Y, Z: t.LE.Z - f*t.Chord*sin}
}

// between interpolates two stations.
func between(a, b *craft.Station, k float64) craft.Station {
	mix := func(x, y float64) float64 { return x + k*(y-x) }
	return craft.Station{LE: r3.Vec{X: mix(a.LE.X, b.LE.X), Y: mix(a.LE.Y, b.LE.Y), Z: mix(a.LE.Z, b.LE.Z)}, Chord: mix(a.Chord, b.Chord), Twist: mix(a.Twist, b.Twist)}
}

// along cuts the surface's stations to the span from lo to hi (y, or z of an
// upright one).
func along(list []craft.Station, upright bool, lo, hi float64) []craft.Station {
	at := func(t *craft.Station) float64 {
		if upright {
			return t.LE.Z
		}
		return t.LE.Y
	}
	var out []craft.Station
	for i := 1; i < len(list); i++ {
		a, b := &list[i-1], &list[i]
		s, e := at(a), at(b)
		if s == e {
			continue
		}
		cut := func(v float64) float64 { return math.Min(1, math.Max(0, (v-s)/(e-s))) }
		k, l := cut(lo), cut(hi)
		if k > l {
			k, l = l, k
		}
		if l-k < 1e-9 {
			continue
		}
		if len(out) == 0 {
			out = append(out, between(a, b, k))
		}
		out = append(out, between(a, b, l))
	}
	return out
}

// panels makes the closed outline of a strip from f0 to f1 of the chord.
func panels(list []craft.Station, f0, f1, side float64) SideView {
	v := SideView{Plan: []Point2{}, Side: []Point2{}}
	add := func(p r3.Vec) {
		v.Plan = append(v.Plan, p2(p.X, side*p.Y))
		v.Side = append(v.Side, p2(p.X, p.Z))
	}
	for i := range list {
		add(edge(&list[i], f0))
	}
	for i := len(list) - 1; i >= 0; i-- {
		add(edge(&list[i], f1))
	}
	return v
}

func surfaceView(s *craft.Surface, upright bool, path string) SurfaceView {
	out := SurfaceView{Name: s.Name, Path: path, Upright: upright, Sides: []SideView{}, Stations: []StationView{}, Controls: []ControlView{}}
	halves := []float64{1}
	if s.Mirrored {
		halves = []float64{1, -1}
	}
	for _, side := range halves {
		out.Sides = append(out.Sides, panels(s.Stations, 0, 1, side))
	}
	for i := range s.Stations {
		t := &s.Stations[i]
		out.Stations = append(out.Stations, StationView{fmt.Sprintf("%s.stations[%d]", path, i), p3(t.LE), report.Float(t.Chord), report.Float(t.Twist * 180 / math.Pi), t.Section, profile(t, upright)})
	}
	for i := range s.Controls {
		c := &s.Controls[i]
		v := ControlView{Name: c.Name, Path: path + "." + itemPath("controls", c.Name, i), Moves: []string{}, Sides: []SideView{}}
		for _, m := range []struct {
			word  string
			share float64
		}{{"pitch", c.Pitch}, {"roll", c.Roll}, {"yaw", c.Yaw}, {"brake", c.Brake}} {
			if m.share != 0 {
				v.Moves = append(v.Moves, m.word)
			}
		}
		lo, hi := c.From, c.To
		if lo == hi { // the whole span
			lo, hi = math.Inf(-1), math.Inf(1)
		}
		if cut := along(s.Stations, upright, lo, hi); len(cut) > 1 {
			for _, side := range halves {
				v.Sides = append(v.Sides, panels(cut, 1-c.ChordShare, 1, side))
			}
		}
		out.Controls = append(out.Controls, v)
	}
	return out
}

// profile is the outline of a station's section from the side, some forty
// points; of an upright surface (seen from above) nothing.
func profile(t *craft.Station, upright bool) []Point2 {
	out := []Point2{}
	if upright {
		return out
	}
	var sh *section.Shape
	switch {
	case len(t.Text) > 0:
		sh, _, _ = section.FromCoordinates(t.Section, t.Text)
	case t.Section != "":
		sh, _ = section.Parse(t.Section)
	}
	if sh == nil {
		thick := t.Thickness
		if !(thick > 0) {
			thick = 0.09
		}
		at := t.ThickAt
		if at == 0 {
			at = 0.3
		}
		sh = section.Unknown(min(max(thick, 0.02), 0.3), min(max(at, 0.1), 0.6))
	}
	sin, cos := math.Sincos(t.Twist)
	const n = 20
	put := func(x, z float64) {
		out = append(out, p2(t.LE.X+t.Chord*(x*cos+z*sin), t.LE.Z+t.Chord*(z*cos-x*sin)))
	}
	for i := n; i > 0; i-- { // from the trailing edge over the top
		x := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		put(x, sh.Upper(x))
	}
	for i := range n + 1 {
		x := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		put(x, sh.Lower(x))
	}
	return slices.DeleteFunc(out, func(p Point2) bool { return math.IsNaN(float64(p[0] + p[1])) })
}

func bodyView(list []craft.BodyStation) *BodyView {
	v := &BodyView{Stations: []BodyStationView{}}
	for i, t := range list {
		v.Plan = append(v.Plan, p2(t.X, t.Width/2))
		v.Side = append(v.Side, p2(t.X, t.Z+t.Height/2))
		v.Stations = append(v.Stations, BodyStationView{fmt.Sprintf("body.stations[%d]", i), report.Float(t.X), report.Float(t.Z), report.Float(t.Width), report.Float(t.Height)})
	}
	for i := len(list) - 1; i >= 0; i-- {
		t := list[i]
		v.Plan = append(v.Plan, p2(t.X, -t.Width/2))
		v.Side = append(v.Side, p2(t.X, t.Z-t.Height/2))
	}
	return v
}

// box is the room that everything drawn fills.
func box(ac *craft.Aircraft) (lo, hi r3.Vec) {
	inf := math.Inf(1)
	lo, hi = r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	see := func(p r3.Vec) {
		lo = r3.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y), Z: math.Min(lo.Z, p.Z)}
		hi = r3.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y), Z: math.Max(hi.Z, p.Z)}
	}
	for _, p := range ac.Corners() {
		see(p)
	}
	for i := range ac.Parts {
		p := &ac.Parts[i]
		see(r3.Sub(p.At, r3.Scale(0.5, p.Size)))
		see(r3.Add(p.At, r3.Scale(0.5, p.Size)))
	}
	if ac.Power.Place != "" {
		r := ac.Power.Propeller.Diameter / 2
		see(r3.Add(ac.Power.Propeller.At, r3.Vec{Y: r, Z: r}))
		see(r3.Sub(ac.Power.Propeller.At, r3.Vec{Y: r, Z: r}))
	}
	return lo, hi
}

// anchors says which place of the aeroplane a finding concerns: by its whole
// id, or, where the id of the anchor begins with a dot, by the end of it
// (".aileron" for "servo.aileron", "flutter.aileron"). What concerns nothing
// that can be pointed at has none.
func anchors(ac *craft.Aircraft, d *Drawing) []AnchorView {
	out := []AnchorView{}
	add := func(at r3.Vec, view string, ids ...string) {
		for _, id := range ids {
			out = append(out, AnchorView{id, p3(at), view})
		}
	}
	cg := ac.Mass.CG
	lo, _ := box(ac)
	pitch := cg
	for _, s := range d.Surfaces {
		for _, c := range s.Controls {
			if len(c.Sides) == 0 {
				continue
			}
			var at r3.Vec
			for i, p := range c.Sides[0].Plan {
				at = r3.Add(at, r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(c.Sides[0].Side[i][1])})
			}
			at = r3.Scale(1/float64(len(c.Sides[0].Plan)), at)
			if slices.Contains(c.Moves, "pitch") {
				pitch = at
			}
			add(at, "plan", "."+c.Name)
		}
	}
	add(cg, "side", "takeoff-mass", "balance", "maker-balance")
	add(pitch, "plan", "control-power", "trim", "setup.pitch")
	hook := cg
	if ac.Launch.By == "bungee" {
		hook = ac.Launch.Bungee.Hook
	}
	add(hook, "side", "launch-odds", "launch-warning", "hook", "stake", "bolts.hook")
	if ac.Ref.Wing >= 0 {
		st := ac.Surfaces[ac.Ref.Wing].Stations
		root := ac.Ref.Point
		root.Y = 0
		add(root, "plan", "spar", "joiner", "gust-load", "bolts.wing")
		add(edge(&st[len(st)-1], 0.25), "plan", "tip-catch", "flutter.wing", "stall-speed", "setup.roll")
	}
	add(r3.Vec{X: cg.X, Z: lo.Z}, "side", "belly", "landing", "touchdown")
	add(r3.Vec{X: lo.X}, "side", "impact", "top-speed", "never-exceed")
	for _, k := range []struct {
		kind string
		ids  []string
	}{
		{"motor", []string{".motor", ".motor-winding", ".motor-magnets"}},
		{"controller", []string{".controller"}},
		{"battery", []string{".battery", ".connector", "connector", "wire", "fuse", "reserve", "endurance"}},
		{"receiver", []string{"supply", "link-margin"}},
	} {
		for i := range ac.Parts {
			if p := &ac.Parts[i]; p.Kind == k.kind && !p.Twin {
				add(p.At, "side", k.ids...)
				break
			}
		}
	}
	return out
}

// Parts are the parts in their places.
func (w *Warm) Parts() []PartView { return partViews(w.Aircraft) }

// Hook is where the launch hook is, nil without one.
func (w *Warm) Hook() *Point3 {
	if w.Aircraft.Launch.By != "bungee" {
		return nil
	}
	at := p3(w.Aircraft.Launch.Bungee.Hook)
	return &at
}
