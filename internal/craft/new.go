package craft

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/build"
	"fledge/internal/diag"
	"fledge/internal/section"
	"fledge/internal/unit"
)

// New makes the aircraft of a build. files holds the attachments by the name
// the build gives them. What is impossible, or needed and without an honest
// default, is a located diagnostic; the rest is filled in and listed in
// Assumed. The returned Aircraft is nil when there are errors.
func New(b *build.Build, files map[string][]byte) (*Aircraft, diag.List) {
	m := &maker{b: b, files: files, ac: &Aircraft{Name: b.Aeroplane.Name.S}}
	if m.ac.Name == "" {
		m.ac.Name = "unnamed"
	}
	m.surfaces()
	m.body()
	m.parts()
	m.day()
	m.power()
	m.linkages()
	m.strength()
	m.radios()
	m.launch()
	m.rest()
	m.limits()
	m.inside()
	m.factors()
	if m.ds.HasErrors() {
		return nil, m.ds
	}
	ac := m.ac
	ac.Ref = reference(ac.Surfaces)
	if ac.Ref.Wing < 0 {
		m.errorf(diag.Span{}, "no-wing", "give at least one surface with two stations of different y", "no lifting surface with area")
		return nil, m.ds
	}
	ac.Mass = massOf(ac.Parts, ac.Trial.Mass)
	if ac.Mass.Total <= 0 || !possible(ac.Mass.Inertia) {
		m.errorf(diag.Span{}, "no-mass", "list the parts with their mass, place and size", "the parts have no possible mass and inertia")
		return nil, m.ds
	}
	ac.Hash = hash(b, files)
	return ac, m.ds
}

// hash is the content hash of a build (as printed) and its attachments.
func hash(b *build.Build, files map[string][]byte) string {
	h := sha256.New()
	h.Write(build.Print(b))
	names := make([]string, 0, len(files))
	for n := range files {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		fmt.Fprintf(h, "\x00%s\x00%d\x00", n, len(files[n]))
		h.Write(files[n])
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// maker carries the work of New.
type maker struct {
	b     *build.Build
	files map[string][]byte
	ac    *Aircraft
	ds    diag.List
}

func (m *maker) errorf(at diag.Span, code, hint, format string, args ...any) {
	m.ds.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Span: at, Message: fmt.Sprintf(format, args...), Hint: hint})
}

func (m *maker) warnf(at diag.Span, code, hint, format string, args ...any) {
	m.ds.Add(diag.Diagnostic{Severity: diag.Warning, Code: code, Span: at, Message: fmt.Sprintf(format, args...), Hint: hint})
}

// slot describes one number: where it stands, what it is called, what to
// assume when it is not given (assume nil: it is required, and absence is an
// error when need is set, else 0), and how a draw writes it back.
type slot struct {
	v      build.Value
	path   string
	label  string
	dim    string
	kind   Kind
	how    string
	low    float64
	high   float64
	need   bool
	exact  bool // no doubt: a place on the plane of symmetry
	assume *fill
	set    func(*Aircraft, float64)
}

// fill is an assumed value.
type fill struct {
	value, sigma float64
	why, ref     string
}

func guess(value, sigma float64, why string) *fill {
	return &fill{value: value, sigma: sigma, why: why, ref: "our-choice"}
}

// widest is the largest ± (two standard deviations) of a place or an angle that
// has no bounds of its own; our choice: a place on a model is measured or
// guessed nearer than half a metre, and an angle nearer than 60 degrees.
var widest = map[string]float64{"length": 0.5, "angle": math.Pi / 3}

// num reads one number, registers its doubt and writes it through set.
func (m *maker) num(s slot) float64 {
	if s.low == 0 && s.high == 0 {
		s.low, s.high = math.Inf(-1), math.Inf(1)
	}
	v, sigma := s.v.Value, 0.0
	switch {
	case s.v.Given:
		if s.v.Stated {
			sigma = s.v.Sigma
			if s.low >= 0 && v > 0 && sigma > v/2 {
				m.errorf(s.v.Span, "doubt", "give a smaller ±, or a word: weighed, measured, label, guess", "%s: a ± of more than the value itself is no measurement", s.path)
			}
			if most, free := widest[s.dim]; free && math.IsInf(s.low, -1) && math.IsInf(s.high, 1) && 2*sigma > most {
				m.errorf(s.v.Span, "doubt", "give a smaller ±, or a word: measured, guess", "%s: a ± of more than %s is no measurement of a model aeroplane", s.path, unit.Format(most, dimOf(s.dim), unit.Metric))
			}
		} else {
			sigma, _ = unit.Spread(s.v.Dim, s.v.Word, v)
		}
	case s.assume != nil:
		v, sigma = s.assume.value, s.assume.sigma
		m.ac.Assumed = append(m.ac.Assumed, Assumption{
			Path: s.path, Label: s.label, Why: s.assume.why, Ref: s.assume.ref,
			Value: unit.Format(v, dimOf(s.dim), unit.Metric),
		})
	default:
		if s.need {
			m.errorf(s.v.Span, "missing", "add it: "+s.how, "%s (%s) is missing and has no honest default", s.label, s.path)
		}
		return 0
	}
	if s.set != nil {
		s.set(m.ac, v)
		m.ac.Knobs = append(m.ac.Knobs, Knob{Path: s.path, Label: s.label, Dim: s.dim, Value: v, Given: s.v.Given, Low: s.low, High: s.high, set: s.set})
		if sigma > 0 && !s.exact {
			m.ac.Inputs = append(m.ac.Inputs, Input{
				Path: s.path, Label: s.label, Nominal: v, Sigma: sigma, Low: s.low, High: s.high,
				Kind: s.kind, How: s.how, Unit: s.dim, Set: s.set,
				shape: strings.HasPrefix(s.path, "surfaces.") || strings.HasPrefix(s.path, "body."),
			})
		}
	}
	return v
}

// at is the path of a list item: by name, or by its index when it has none.
func at(list, name string, i int) string {
	if name == "" {
		return fmt.Sprintf("%s[%d]", list, i)
	}
	return list + "." + build.PathKey(name)
}

const (
	rule     = "ruler or callipers"
	scale    = "kitchen scale"
	luggage  = "luggage scale"
	positive = 1e-9
)

func (m *maker) surfaces() {
	for i := range m.b.Surfaces {
		bs := &m.b.Surfaces[i]
		path := at("surfaces", bs.Name.S, i)
		m.ac.Surfaces = append(m.ac.Surfaces, Surface{Name: bs.Name.S, Mirrored: bs.Mirrored.On})
		s := &m.ac.Surfaces[i]
		s.Stations = make([]Station, len(bs.Stations))
		s.Controls = make([]Control, len(bs.Controls))
		for j := range bs.Stations {
			m.station(i, j, fmt.Sprintf("%s.stations[%d]", path, j), bs)
		}
		if len(bs.Stations) < 2 {
			m.errorf(bs.Name.Span, "stations", "give the root and the tip at least", "surface %q has %d station(s), two are needed", bs.Name.S, len(bs.Stations))
			continue
		}
		for j := range bs.Controls {
			m.control(i, j, at(path+".controls", bs.Controls[j].Name.S, j), bs)
		}
	}
	if len(m.b.Surfaces) == 0 {
		m.errorf(diag.Span{}, "no-surfaces", "add a surfaces: block with the wing", "the build has no surfaces")
	}
}

func (m *maker) station(i, j int, path string, bs *build.Surface) {
	b := &bs.Stations[j]
	st := func(a *Aircraft) *Station { return &a.Surfaces[i].Stations[j] }
	where := fmt.Sprintf("%s, station %d", bs.Name.S, j)
	m.num(slot{v: b.X, path: path + ".x", label: "leading edge of " + where, dim: "length", how: rule, need: true, set: func(a *Aircraft, x float64) { st(a).LE.X = x }})
	m.num(slot{v: b.Y, path: path + ".y", label: "span place of " + where, dim: "length", how: rule, need: true, exact: b.Y.Value == 0, set: func(a *Aircraft, x float64) { st(a).LE.Y = x }})
	m.num(slot{v: b.Z, path: path + ".z", label: "height of " + where, dim: "length", how: rule, assume: guess(0, 0.002, "taken level with the datum"), set: func(a *Aircraft, x float64) { st(a).LE.Z = x }})
	m.num(slot{v: b.Chord, path: path + ".chord", label: "chord of " + where, dim: "length", how: rule, need: true, low: 0.005, high: 5, set: func(a *Aircraft, x float64) { st(a).Chord = x }})
	m.num(slot{v: b.Twist, path: path + ".twist", label: "twist of " + where, dim: "angle", how: "incidence gauge, or heights of leading and trailing edge over a flat table", assume: guess(0, 0.5*math.Pi/180, "taken parallel to the datum line"), set: func(a *Aircraft, x float64) { st(a).Twist = x }})
	s := st(m.ac)
	s.Section = b.Section.S
	if text, ok := m.files[b.Section.S]; ok && b.Section.Given {
		s.Text = text
	}
	if b.Polar.Given {
		text, ok := m.files[b.Polar.S]
		if !ok {
			m.errorf(b.Polar.Span, "attachment", "put the file beside the build file", "file %q is not there", b.Polar.S)
		} else if _, err := section.FromMeasured(b.Polar.S, text, nil, 0); err != nil {
			m.errorf(b.Polar.Span, "polar", "columns: re,alpha_deg,cl,cd and optionally cm,ch,flap_deg", "measured polars: %v", err)
		}
		s.Polar = text
	}
	if b.Section.Given && len(s.Text) > 0 {
		if _, notices, err := section.FromCoordinates(b.Section.S, s.Text); err != nil {
			m.errorf(b.Section.Span, "section", "two columns, x and y, from the trailing edge round the nose", "section %q: %v", b.Section.S, err)
		} else {
			for _, n := range notices {
				m.warnf(b.Section.Span, "section", "", "section %q: %s", b.Section.S, n)
			}
		}
	} else if b.Section.Given && !build.IsFile(b.Section.S) {
		if _, err := section.Parse(b.Section.S); err != nil {
			hint := "a designation such as NACA 2409, or a coordinate file beside the build"
			var bad *section.ParseError
			if errors.As(err, &bad) {
				m.errorf(b.Section.Span, "section", hint, "section %q: %s", b.Section.S, bad.Msg)
			} else {
				m.errorf(b.Section.Span, "section", hint, "section %q: %v", b.Section.S, err)
			}
		}
	}
	if b.Thickness.Given || !b.Section.Given {
		m.num(slot{v: b.Thickness, path: path + ".thickness", label: "thickness of " + where, dim: "ratio", how: "callipers", low: 0.01, high: 0.4, assume: guess(0.09, 0.02, "section not given: a symmetric shape 9 % thick is taken"), set: func(a *Aircraft, x float64) { st(a).Thickness = x }})
	}
	switch {
	case !b.Section.Given:
		m.num(slot{v: b.ThickAt, path: path + ".thickness_at", label: "place of the thickness of " + where, dim: "ratio", how: "callipers along the chord", low: 0.1, high: 0.6, assume: guess(0.3, 0.05, "section not given: thickest at 30 % of the chord"), set: func(a *Aircraft, x float64) { st(a).ThickAt = x }})
	case b.ThickAt.Given:
		m.warnf(b.ThickAt.Span, "section", "leave section out when only its thickness was measured", "the place of the thickness is that of the section given")
	}
}

func (m *maker) control(i, j int, path string, bs *build.Surface) {
	b := &bs.Controls[j]
	ct := func(a *Aircraft) *Control { return &a.Surfaces[i].Controls[j] }
	c := ct(m.ac)
	c.Name = b.Name.S
	c.Sealed = b.Gap.S == "sealed"
	for _, w := range strings.Fields(strings.NewReplacer(",", " ", "+", " ").Replace(b.Moves.S)) {
		switch w {
		case "pitch":
			c.Pitch = 1
		case "roll":
			c.Roll = 1
		case "yaw":
			c.Yaw = 1
		case "brake":
			c.Brake = 1
		case "and":
		default:
			m.errorf(b.Moves.Span, "moves", "use pitch, roll, yaw, brake, joined by 'and'", "control %q moves %q: not known", c.Name, w)
		}
	}
	if c.Pitch+c.Roll+c.Yaw+c.Brake == 0 && !m.ds.HasErrors() {
		m.errorf(b.Name.Span, "moves", "add moves: pitch, roll, yaw or brake", "control %q does not say what it moves", c.Name)
	}
	first, last := bs.Stations[0], bs.Stations[len(bs.Stations)-1]
	from, to := first.Y.Value, last.Y.Value
	if math.Abs(to-from) < math.Abs(last.Z.Value-first.Z.Value)*0.2 {
		from, to = first.Z.Value, last.Z.Value
	}
	m.num(slot{v: b.From, path: path + ".from", label: "inner end of " + c.Name, dim: "length", how: rule, assume: guess(from, 0.003, "taken from the root"), set: func(a *Aircraft, x float64) { ct(a).From = x }})
	m.num(slot{v: b.To, path: path + ".to", label: "outer end of " + c.Name, dim: "length", how: rule, assume: guess(to, 0.003, "taken to the tip"), set: func(a *Aircraft, x float64) { ct(a).To = x }})
	m.num(slot{v: b.ChordShare, path: path + ".chord_share", label: "chord share of " + c.Name, dim: "ratio", how: rule, low: 0.02, high: 1, assume: guess(0.25, 0.04, "a usual share"), set: func(a *Aircraft, x float64) { ct(a).ChordShare = x }})
	throw := 15 * math.Pi / 180
	if c.Pitch > 0 {
		throw = 12 * math.Pi / 180
	}
	least := positive
	if c.Pitch+c.Roll+c.Yaw == 0 {
		least = 0 // a brake may go one way only
	}
	m.num(slot{v: b.ThrowUp, path: path + ".throw_up", label: "throw up of " + c.Name, dim: "angle", how: "throw gauge", low: least, high: 1.2, assume: guess(throw, 0.15*throw, "a usual throw"), set: func(a *Aircraft, x float64) { ct(a).ThrowUp = x }})
	m.num(slot{v: b.ThrowDown, path: path + ".throw_down", label: "throw down of " + c.Name, dim: "angle", how: "throw gauge", low: least, high: 1.2, assume: guess(c.ThrowUp, 0.15*throw, "taken equal to the throw up"), set: func(a *Aircraft, x float64) { ct(a).ThrowDown = x }})
	m.num(slot{v: b.Trim, path: path + ".trim", label: "neutral setting of " + c.Name, dim: "angle", how: "reflex gauge", assume: guess(0, 0.3*math.Pi/180, "taken in line with the section"), set: func(a *Aircraft, x float64) { ct(a).Trim = x }})
	c.Mass = b.Mass.Value
	c.Balance = b.Balance.Value
}

func (m *maker) body() {
	for j := range m.b.Body.Stations {
		b := &m.b.Body.Stations[j]
		m.ac.Body = append(m.ac.Body, BodyStation{})
		st := func(a *Aircraft) *BodyStation { return &a.Body[j] }
		path := fmt.Sprintf("body.stations[%d]", j)
		where := fmt.Sprintf("body, station %d", j)
		m.num(slot{v: b.X, path: path + ".x", label: "place of " + where, dim: "length", how: rule, need: true, set: func(a *Aircraft, x float64) { st(a).X = x }})
		if b.Z.Given {
			m.num(slot{v: b.Z, path: path + ".z", label: "height of " + where, dim: "length", how: rule, set: func(a *Aircraft, x float64) { st(a).Z = x }})
		}
		m.num(slot{v: b.Width, path: path + ".width", label: "width of " + where, dim: "length", how: rule, need: true, set: func(a *Aircraft, x float64) { st(a).Width = x }})
		m.num(slot{v: b.Height, path: path + ".height", label: "depth of " + where, dim: "length", how: rule, assume: guess(b.Width.Value, 0.1*b.Width.Value, "taken round"), set: func(a *Aircraft, x float64) { st(a).Height = x }})
	}
	for j := range m.b.Extras {
		b := &m.b.Extras[j]
		e := Extra{
			Name: b.Name.S, Kind: b.Kind.S, At: place(b.At), Length: b.Length.Value, Width: b.Width.Value,
			Height: b.Height.Value, DragArea: b.DragArea.Value, Count: max(1, b.Count.N),
		}
		m.ac.Extras = append(m.ac.Extras, e)
	}
}

func place(p build.Place) r3.Vec { return r3.Vec{X: p.X.Value, Y: p.Y.Value, Z: p.Z.Value} }

func (m *maker) parts() {
	dust := []string{}
	for j := range m.b.Parts {
		m.part(j, &dust)
	}
	if len(dust) > 0 {
		m.ac.Assumed = append(m.ac.Assumed, Assumption{
			Path: "parts", Label: "sizes of " + strings.Join(dust, ", "),
			Value: "cubes of 1500 kg/m3", Why: "only their own small inertia hangs on it", Ref: "our-choice",
		})
	}
}

func (m *maker) part(j int, dust *[]string) {
	b := &m.b.Parts[j]
	path := at("parts", b.Name.S, j)
	label := b.Name.S
	var k []int // the one, or the two, in ac.Parts
	k = append(k, len(m.ac.Parts))
	m.ac.Parts = append(m.ac.Parts, Part{Name: b.Name.S, Kind: b.Kind.S, Index: j})
	if b.Mirrored.On {
		k = append(k, len(m.ac.Parts))
		m.ac.Parts = append(m.ac.Parts, Part{Name: b.Name.S, Kind: b.Kind.S, Index: j, Twin: true})
	}
	both := func(f func(p *Part, side float64, x float64)) func(*Aircraft, float64) {
		return func(a *Aircraft, x float64) {
			f(&a.Parts[k[0]], 1, x)
			if len(k) > 1 {
				f(&a.Parts[k[1]], -1, x)
			}
		}
	}
	if b.Mass.Given && b.Mass.Value <= 0 {
		m.errorf(b.Mass.Span, "mass", "weigh it", "mass of %q must be more than zero", b.Name.S)
	}
	m.num(slot{v: b.Mass, path: path + ".mass", label: "mass of " + label, dim: "mass", how: scale, need: true, low: positive, high: 50, assume: m.usualMass(b), set: both(func(p *Part, _, x float64) { p.Mass = x })})
	m.num(slot{v: b.At.X, path: path + ".at.x", label: "place of " + label, dim: "length", how: rule, need: true, set: both(func(p *Part, _, x float64) { p.At.X = x })})
	if b.At.Y.Given {
		m.num(slot{v: b.At.Y, path: path + ".at.y", label: "side place of " + label, dim: "length", how: rule, set: both(func(p *Part, s, x float64) { p.At.Y = s * x })})
	}
	if b.At.Z.Given {
		m.num(slot{v: b.At.Z, path: path + ".at.z", label: "height of " + label, dim: "length", how: rule, set: both(func(p *Part, _, x float64) { p.At.Z = x })})
	}
	side := math.Cbrt(math.Max(m.ac.Parts[k[0]].Mass, 0) / 1500)
	size := place(b.Size)
	known := b.Size.X.Given && b.Size.Y.Given && b.Size.Z.Given
	if !b.Size.X.Given {
		size.X = side
	}
	if !b.Size.Y.Given {
		size.Y = side
	}
	if !b.Size.Z.Given {
		size.Z = side
	}
	if !known {
		*dust = append(*dust, b.Name.S)
	}
	for n, i := range k {
		p := &m.ac.Parts[i]
		p.Size, p.SizeKnown = size, known
		p.bench(b)
		lo, hi := p.At, p.At
		if r := b.MayMove.X; r.Given {
			lo.X, hi.X, p.Movable = r.Low.Value, r.High.Value, true
		}
		if r := b.MayMove.Y; r.Given && n == 0 {
			lo.Y, hi.Y, p.Movable = r.Low.Value, r.High.Value, true
		}
		if r := b.MayMove.Z; r.Given {
			lo.Z, hi.Z, p.Movable = r.Low.Value, r.High.Value, true
		}
		p.MinAt, p.MaxAt = lo, hi
		if p.DragArea > 0 {
			m.ac.Extras = append(m.ac.Extras, Extra{Name: p.Name, Kind: "part", At: p.At, DragArea: p.DragArea, Count: 1})
		}
	}
}

// usualMass is what a part of this kind weighs when nobody weighed it; nil
// where no honest figure exists (structure, motor, ballast, repair, other).
func (m *maker) usualMass(b *build.Part) *fill {
	switch b.Kind.S {
	case "battery":
		bt := &m.b.Power.Battery
		if bt.Part.S == b.Name.S && bt.Cells.Given && bt.Capacity.Given {
			wh := float64(bt.Cells.N) * 3.7 * bt.Capacity.Value / 3600
			return guess(wh/145, 0.12*wh/145, "from its label energy at 145 Wh/kg, a usual figure for small high-current packs")
		}
	case "propeller":
		if d := m.b.Power.Propeller.Diameter; d.Given {
			v := 0.004 * math.Pow(d.Value/0.127, 2.5)
			return guess(v, 0.35*v, "scaled from 4 g at 5 inches")
		}
	case "receiver":
		return guess(0.006, 0.003, "a usual small receiver")
	case "servo":
		return guess(0.010, 0.004, "a usual small servo")
	case "antenna":
		return guess(0.003, 0.0015, "a usual antenna")
	case "controller":
		if l := m.b.Power.Controller.Limit; l.Given {
			v := 0.0006 * l.Value
			return guess(v, 0.3*v, "0.6 g per ampere, a usual figure")
		}
	}
	return nil
}

// dimOf is the dimension of a slot; a name unit does not know is a misuse.
func dimOf(name string) unit.Dim {
	d, ok := unit.DimNamed(name)
	if !ok {
		panic("craft: no dimension " + name)
	}
	return d
}
