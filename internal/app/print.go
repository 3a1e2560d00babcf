package app

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/paper"
	"fledge/internal/prints"
	"fledge/internal/report"
	"fledge/internal/section"
	"fledge/internal/strength"
	"fledge/internal/unit"
)

// Printables are the things that can be printed, by their words.
var Printables = []string{"gauge", "throws", "balance", "rod", "bay", "hook", "horn"}

// PrintRequest asks for templates and parts.
type PrintRequest struct {
	Request
	What     []string // of Printables; empty: all that the build can give
	Only     string   // a control or part by name; empty: all
	Station  string   // a length along the span, for gauges; empty: the middle of the control
	Angle    string   // neutral to gauge; empty: the one wanted for trim, or the one set
	Material string   // of horns; empty: the linkage's, or PETG
	Folder   string   // to write into; empty: the build's name with -prints
	Paper    string
	Forms    []string // "pdf", "3mf", "stl"; empty: all
}

// printer makes things of one build.
type printer struct {
	shown   []Picture // pages of the PDFs
	q       PrintRequest
	ac      *craft.Aircraft
	sheet   *control.Sheet
	loads   strength.Loads
	draw    report.Drawing
	size    paper.Size
	folder  string
	items   []report.PrintItem
	files   []File
	names   map[string]bool
	station float64 // NaN: not asked
	angle   float64 // NaN: not asked
}

// Print makes the templates in true size and the plastic parts of a build.
func Print(ctx context.Context, q PrintRequest) (*Answer, error) {
	p := &printer{q: q, names: map[string]bool{}, station: math.NaN(), angle: math.NaN()}
	if err := p.ready(); err != nil {
		return nil, err
	}
	s, o, chain, err := subject(ctx, q.Request, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	p.ac, p.loads = o.Aircraft, chain.Loads(s.Results)
	p.sheet = chain.Sheet(s.Results, false)
	in := &report.CardIn{Checked: report.Checked{Results: s.Results, Verdict: s.Verdict, Units: q.Units}}
	p.draw = in.Drawing()
	if err := p.wished(o); err != nil {
		return nil, err
	}
	for _, w := range p.q.What {
		switch w {
		case "gauge":
			err = p.gauges(o)
		case "throws":
			p.throws()
		case "balance":
			p.balance()
		case "rod":
			p.rods()
		case "bay":
			p.bays()
		case "hook":
			p.hook()
		case "horn":
			err = p.horns()
		}
		if err != nil {
			return nil, err
		}
	}
	page := report.Printed{Subject: s, Items: p.items, Folder: p.folder, Paper: p.size.Name}
	a := &Answer{Doc: report.Print(page), Body: report.PrintBody(page), Notes: o.RenderNotes(), Files: p.files, Drawn: p.shown}
	if len(a.Files) > 0 {
		a.Folder = p.folder
	}
	return a, nil
}

// ready reads the wishes that need no build.
func (p *printer) ready() error {
	q := &p.q
	var err error
	if p.size, err = sheetOf(q.Paper, q.Units); err != nil {
		return err
	}
	for _, w := range q.What {
		if !slices.Contains(Printables, w) {
			return Bad("what", diag.DidYouMean(w, Printables, "one of "+strings.Join(Printables, ", ")), fmt.Sprintf("there is no %s to print", diag.Quote(w)))
		}
	}
	if len(q.What) == 0 {
		q.What = Printables
	}
	for i, f := range q.Forms {
		q.Forms[i] = strings.ToLower(strings.TrimSpace(f))
		if !slices.Contains([]string{"pdf", "3mf", "stl"}, q.Forms[i]) {
			return Bad("form", diag.DidYouMean(f, []string{"pdf", "3mf", "stl"}, "pdf, 3mf or stl"), fmt.Sprintf("--form %s is not known", diag.Quote(f)))
		}
	}
	if len(q.Forms) == 0 {
		q.Forms = []string{"pdf", "3mf", "stl"}
	}
	read := func(flag, text string, d unit.Dim, to *float64) error {
		if text == "" {
			return nil
		}
		v, err := unit.Parse(text, d)
		if err != nil {
			return Bad("quantity", "as in "+d.Example(), fmt.Sprintf("%s %s: %v", flag, diag.Quote(text), err))
		}
		*to = v.Value
		return nil
	}
	if err := read("--station", q.Station, unit.Length, &p.station); err != nil {
		return err
	}
	if err := read("--angle", q.Angle, unit.Angle, &p.angle); err != nil {
		return err
	}
	if math.Abs(p.angle) > 45*math.Pi/180 {
		return Bad("range", "from -45 to 45 degrees", fmt.Sprintf("--angle %s is no neutral setting", diag.Quote(q.Angle)))
	}
	if q.Material != "" {
		if _, ok := strength.Find(q.Material); !ok {
			return Bad("material", diag.DidYouMean(q.Material, strength.HornMaterials, "one of "+strings.Join(strength.HornMaterials, ", ")), fmt.Sprintf("--material %s is not one of the table", diag.Quote(q.Material)))
		}
	}
	p.folder = q.Folder
	if p.folder == "" {
		base := filepath.Base(q.Path)
		p.folder = strings.TrimSuffix(base, filepath.Ext(base)) + "-prints"
	}
	return nil
}

// wished checks the name asked for against what the build has.
func (p *printer) wished(o *Opened) error {
	if p.q.Only == "" {
		return nil
	}
	var names []string
	for i := range p.ac.Surfaces {
		for _, c := range p.ac.Surfaces[i].Controls {
			names = append(names, c.Name)
		}
	}
	for i := range p.ac.Parts {
		names = append(names, p.ac.Parts[i].Name)
	}
	for i := range p.ac.Inside.Hatches {
		names = append(names, p.ac.Inside.Hatches[i].Name)
	}
	if slices.Contains(names, p.q.Only) {
		return nil
	}
	d := diag.Diagnostic{Severity: diag.Error, Code: "unknown-name", Span: diag.Span{File: o.Loaded.Path}, Message: fmt.Sprintf("the build has no control or part named %s", diag.Quote(p.q.Only)), Hint: diag.DidYouMean(p.q.Only, names, "it has "+strings.Join(names, ", "))}
	return &BadInput{List: diag.List{d}, Text: o.excerpt}
}

func (p *printer) wanted(name string) bool { return p.q.Only == "" || p.q.Only == name }

func (p *printer) form(f string) bool { return slices.Contains(p.q.Forms, f) }

// short is the first eight letters of the hash: enough to tell builds apart.
func (p *printer) short() string { return p.ac.Hash[:min(8, len(p.ac.Hash))] }

// marks are the lines that stand on every template.
func (p *printer) marks(more ...string) []string {
	return append(more, fmt.Sprintf("%s, build %s", p.ac.Name, p.short()))
}

// file adds a file under a name of its own.
func (p *printer) file(what, name, ending string, text []byte) string {
	base := what
	if name != "" {
		base += "-" + plainName(name)
	}
	f := base + ending
	for n := 2; p.names[f]; n++ {
		f = fmt.Sprintf("%s-%d%s", base, n, ending)
	}
	p.names[f] = true
	f = filepath.Join(p.folder, f)
	p.files = append(p.files, File{Name: f, Text: text, Over: true})
	return f
}

// plainName makes a file's name of any words: letters and digits stay.
func plainName(s string) string {
	out := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r > 127 && r != 0xFFFD:
			return r
		}
		return '-'
	}, s)
	r := []rune(strings.Trim(out, "-"))
	return string(r[:min(40, len(r))])
}

func (p *printer) pdf(what, name string, t paper.Template) []string {
	if !p.form("pdf") {
		return nil
	}
	shown := paper.TemplatesShown(p.ac.Name+": "+what, []paper.Template{t}, report.PrintCautions(), p.size, p.q.Units == unit.Imperial)
	file := p.file(what, name, ".pdf", shown.PDF)
	p.shown = append(p.shown, pictures(file, shown)...)
	return []string{file}
}

// solids adds 3MF and STL files.
func (p *printer) solids(what, name string, list ...*prints.Solid) (out []string) {
	if p.form("3mf") {
		out = append(out, p.file(what, name, ".3mf", prints.ThreeMF(list...)))
	}
	if p.form("stl") {
		for i, s := range list {
			n := name
			if len(list) > 1 {
				n += []string{"-right", "-left"}[i%2]
			}
			out = append(out, p.file(what, n, ".stl", s.STL()))
		}
	}
	return out
}

func (p *printer) add(i report.PrintItem) {
	i.Made = i.Why == "" && len(i.Files) > 0
	if !i.Made && i.Why == "" {
		i.Why = "none of the forms asked for holds it"
	}
	p.items = append(p.items, i)
}

func (p *printer) cannot(what, name, why string) {
	p.items = append(p.items, report.PrintItem{What: what, Name: name, Why: why})
}

// wingPlace is a surface cut at one place along its span.
type wingPlace struct {
	shape *section.Shape
	chord float64
	sweep float64 // tangent of the leading edge's sweep along the panel
}

// wingAt finds the section at a place along the span: the shapes of the stations
// beside it, blended in proportion. ok is false outside the surface.
func wingAt(s *craft.Surface, at float64) (wingPlace, bool, error) {
	along := func(st *craft.Station) float64 { return st.LE.Y }
	upright := true
	for i := range s.Stations {
		if math.Abs(s.Stations[i].LE.Y-s.Stations[0].LE.Y) > 1e-6 {
			upright = false
		}
	}
	if upright {
		along = func(st *craft.Station) float64 { return st.LE.Z }
	}
	for i := 1; i < len(s.Stations); i++ {
		a, b := &s.Stations[i-1], &s.Stations[i]
		lo, hi := along(a), along(b)
		if hi <= lo || at < lo-1e-9 || at > hi+1e-9 {
			continue
		}
		t := (at - lo) / (hi - lo)
		p := wingPlace{chord: a.Chord + t*(b.Chord-a.Chord)}
		p.sweep = (b.LE.X - a.LE.X) / math.Hypot(b.LE.Y-a.LE.Y, b.LE.Z-a.LE.Z)
		sa, err := aero.ShapeOf(*a)
		if err != nil {
			return p, true, err
		}
		sb, err := aero.ShapeOf(*b)
		if err != nil {
			return p, true, err
		}
		if sa.Hash() == sb.Hash() {
			p.shape = sa
			return p, true, nil
		}
		var text strings.Builder
		const n = 80
		y := func(f func(*section.Shape, float64) float64, x float64) float64 {
			return (1-t)*f(sa, x) + t*f(sb, x)
		}
		for i := range n + 1 {
			x := (1 + math.Cos(math.Pi*float64(i)/n)) / 2
			fmt.Fprintf(&text, "%.9f %.9f\n", x, y((*section.Shape).Upper, x))
		}
		for i := 1; i <= n; i++ {
			x := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
			fmt.Fprintf(&text, "%.9f %.9f\n", x, y((*section.Shape).Lower, x))
		}
		p.shape, _, err = section.FromCoordinates(sa.Name()+" to "+sb.Name(), []byte(text.String()))
		return p, true, err
	}
	return wingPlace{}, false, nil
}

// gauges makes a reflex gauge for each control.
func (p *printer) gauges(o *Opened) error {
	any := false
	for i := range p.sheet.Controls {
		cs := &p.sheet.Controls[i]
		s := &p.ac.Surfaces[cs.Surface]
		c := &s.Controls[cs.Index]
		if !p.wanted(c.Name) {
			continue
		}
		any = true
		at := p.station
		if math.IsNaN(at) {
			at = (c.From + c.To) / 2
		}
		at = math.Abs(at)
		if at < c.From-1e-9 || at > c.To+1e-9 {
			why := fmt.Sprintf("the station at %s lies outside the %s, which goes from %s to %s", p.fmt(at), c.Name, p.fmt(c.From), p.fmt(c.To))
			if p.q.Only != c.Name && len(p.q.What) != 1 {
				p.cannot("gauge", c.Name, why)
				continue
			}
			if p.q.Only != c.Name && p.elsewhere(at) {
				p.cannot("gauge", c.Name, why)
				continue
			}
			d := diag.Diagnostic{Severity: diag.Error, Code: "station", Span: diag.Span{File: o.Loaded.Path}, Message: why, Hint: "--station within the control, or leave it out"}
			if leaf, ds := build.Get(o.Build, "surfaces."+build.PathKey(s.Name)+".controls."+build.PathKey(c.Name)+".from"); !ds.HasErrors() && leaf.Span().Line > 0 {
				d.Span = leaf.Span()
			}
			return &BadInput{List: diag.List{d}, Text: o.excerpt}
		}
		p.gauge(cs, s, c, at)
	}
	if !any {
		p.cannot("gauge", either(p.q.Only, "the build"), "there is no control of that name")
	}
	return nil
}

// elsewhere says that some control has the station.
func (p *printer) elsewhere(at float64) bool {
	for i := range p.sheet.Controls {
		cs := &p.sheet.Controls[i]
		if c := &p.ac.Surfaces[cs.Surface].Controls[cs.Index]; at >= c.From-1e-9 && at <= c.To+1e-9 {
			return true
		}
	}
	return false
}

func either(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (p *printer) fmt(m float64) string {
	if p.q.Units == unit.Imperial {
		return fmt.Sprintf("%.2f in", m/0.0254)
	}
	return fmt.Sprintf("%.0f mm", m*1e3)
}

func (p *printer) gauge(cs *control.ControlSheet, s *craft.Surface, c *craft.Control, at float64) {
	angle, from := p.angle, "asked for"
	switch {
	case !math.IsNaN(angle):
	case !math.IsNaN(cs.WantPitch):
		angle, from = cs.WantPitch, "wanted for hands-off trim"
	default:
		angle, from = c.Trim, "as the build sets it"
	}
	pl, ok, err := wingAt(s, at)
	if err != nil || !ok {
		why := "the surface has no section there"
		if err != nil {
			why = err.Error()
		}
		p.cannot("gauge", c.Name, why)
		return
	}
	say := fmt.Sprintf("%+.1f°", angle*180/math.Pi+0)
	g := prints.Gauge{Shape: pl.shape, Chord: pl.chord, Hinge: 1 - c.ChordShare, Angle: angle, Thick: 5e-3,
		Lines: []string{p.ac.Name + " " + p.short(), fmt.Sprintf("%s %s AT %.0f MM", c.Name, say, at*1e3)}}
	name := p.ac.Name + " " + c.Name + " gauge"
	notes := []string{fmt.Sprintf("neutral %s deg, station %.1f mm, build %s", strings.TrimSuffix(say, "°"), at*1e3, p.ac.Hash)}
	item := report.PrintItem{What: "gauge", Name: c.Name, Say: fmt.Sprintf("neutral %s, %s, at %s, chord %s", say, from, p.fmt(at), p.fmt(pl.chord))}
	r, edge, err := g.Outline()
	if err != nil {
		p.cannot("gauge", c.Name, strings.TrimPrefix(err.Error(), "prints: "))
		return
	}
	bent := pl.shape.WithoutFlap()
	hinge := prints.Pt{X: g.Hinge * pl.chord, Y: (bent.Upper(g.Hinge) + bent.Lower(g.Hinge)) / 2 * pl.chord}
	if math.Abs(angle) > 1e-6 {
		bent = bent.WithFlap(g.Hinge, -angle)
	}
	xs, ys := bent.Repanel(200)
	for i := range xs {
		xs[i], ys[i] = xs[i]*pl.chord, ys[i]*pl.chord
	}
	t := paper.ReflexGauge("Reflex gauge: "+c.Name, p.marks(fmt.Sprintf("neutral %s (%s), at %s, section %s, chord %s", say, from, p.fmt(at), pl.shape.Name(), p.fmt(pl.chord))), r, xs, ys, hinge, edge, g.Lines)
	item.Files = p.pdf("gauge", c.Name, t)
	if p.form("3mf") || p.form("stl") {
		// The plate leans with the leading edge: right and left are mirror images.
		leans := []float64{-pl.sweep, pl.sweep}
		if !s.Mirrored || math.Abs(pl.sweep)*g.Thick < 0.2e-3 {
			leans = []float64{0}
		}
		var list []*prints.Solid
		for k, lean := range leans {
			g := g
			g.Lean = lean
			n := name
			if len(leans) > 1 {
				side := []string{"right", "left"}[k]
				n += ", " + side
				g.Lines = []string{g.Lines[0], g.Lines[1] + " " + side[:1]}
			}
			plate, missing, short, err := g.Plate(n, notes)
			var solid *prints.Solid
			if err == nil {
				solid, err = plate.Solid()
			}
			if err != nil {
				item.Notes = append(item.Notes, "no plastic one: "+strings.TrimPrefix(err.Error(), "prints: "))
				break
			}
			if k == 0 {
				item.Notes = append(item.Notes, lettersNote(missing, short)...)
			}
			list = append(list, solid)
		}
		if len(list) == len(leans) {
			item.Files = append(item.Files, p.solids("gauge", c.Name, list...)...)
			item.Notes = append(item.Notes, fmt.Sprintf("print it lying, %.0f mm thick; the lips spring over the leading edge", g.Thick*1e3))
		}
	}
	p.add(item)
}

func lettersNote(missing []rune, short []string) (out []string) {
	if len(missing) > 0 {
		out = append(out, fmt.Sprintf("letters that cannot be raised show as boxes: %s", string(missing)))
	}
	for _, s := range short {
		out = append(out, fmt.Sprintf("too long for the plate and cut there: %s", s))
	}
	return out
}

func (p *printer) throws() {
	for i := range p.sheet.Controls {
		cs := &p.sheet.Controls[i]
		c := &p.ac.Surfaces[cs.Surface].Controls[cs.Index]
		if !p.wanted(c.Name) {
			continue
		}
		if !(cs.Flap.Widest > 0) {
			p.cannot("throws", c.Name, "its geometry is not possible")
			continue
		}
		var stops []paper.Stop
		for _, k := range cs.Stops {
			if !strings.HasSuffix(k.Name, "(mixed)") {
				stops = append(stops, paper.Stop{Name: k.Name, Delta: k.Delta})
			}
		}
		if !math.IsNaN(cs.WantPitch) && math.Abs(cs.WantPitch-c.Trim) > 0.25*math.Pi/180 {
			stops = append(stops, paper.Stop{Name: "wanted neutral", Delta: cs.WantPitch})
		}
		t := paper.ThrowCard("Throw card: "+c.Name, p.marks(fmt.Sprintf("chord behind the hinge %.1f mm where it is widest; trailing edge up positive", cs.Flap.Widest*1e3)), cs.Flap.Widest, stops, p.q.Units == unit.Imperial)
		p.add(report.PrintItem{What: "throws", Name: c.Name, Say: fmt.Sprintf("%.0f° up, %.0f° down", c.ThrowUp*180/math.Pi, c.ThrowDown*180/math.Pi), Files: p.pdf("throws", c.Name, t)})
	}
}

func (p *printer) balance() {
	d := p.draw
	if math.IsNaN(d.HoldEdge) {
		p.cannot("balance", p.ac.Name, "the wing has no leading edge where it could stand")
		return
	}
	low, aft := d.BandLow-d.HoldEdge, d.BandAft-d.HoldEdge
	at := d.Balance - d.HoldEdge
	if at < 0 || !math.IsNaN(low) && low < -0.014 {
		p.cannot("balance", p.ac.Name, "the balance point lies ahead of the wing's leading edge there: mark it on the body")
		return
	}
	where := p.fmt(d.HoldY) + " off the middle"
	t := paper.BalanceStrip("Balance marks", p.marks("for the wing, "+where), at, math.Max(low, -0.013), aft, where, p.q.Units == unit.Imperial)
	p.add(report.PrintItem{What: "balance", Name: p.ac.Name, Say: p.fmt(at) + " behind the leading edge, " + where, Files: p.pdf("balance", "", t)})
}

func (p *printer) rods() {
	any := false
	for i := range p.ac.Linkages {
		k := &p.ac.Linkages[i]
		if !p.wanted(k.Control) {
			continue
		}
		any = true
		if !(k.Rod > 0) {
			p.cannot("rod", k.Control, "its rod's length is not given (linkages: rod)")
			continue
		}
		dia, note := k.RodDiameter, []string(nil)
		if !(dia > 0) {
			dia, note = 1.5e-3, []string{"its diameter is not given: drawn 1.5 mm thick"}
		}
		if k.RodMaterial == "carbon" || k.RodMaterial == "GRP" {
			note = append(note, "a "+k.RodMaterial+" rod is not bent: wire ends glued and bound in, to these pins")
		}
		t := paper.RodBend("Push rod: "+k.Control, p.marks(fmt.Sprintf("%s, %.1f mm pin to pin", either(k.RodMaterial, "wire"), k.Rod*1e3)), k.Rod, dia, math.Max(4e-3, 2.5*dia), p.q.Units == unit.Imperial)
		p.add(report.PrintItem{What: "rod", Name: k.Control, Say: p.fmt(k.Rod) + " pin to pin", Files: p.pdf("rod", k.Control, t), Notes: note})
	}
	if !any {
		p.cannot("rod", either(p.q.Only, "the build"), "no linkage is described (linkages)")
	}
}

// bays makes openings for parts that sit in a bay: boxes of known size, not
// the shells themselves.
func (p *printer) bays() {
	any := false
	for i := range p.ac.Parts {
		k := &p.ac.Parts[i]
		if k.Twin || !p.wanted(k.Name) || k.Kind == "structure" || k.Kind == "wiring" || k.Kind == "motor" || k.Kind == "propeller" {
			continue
		}
		if !k.SizeKnown {
			if p.q.Only != "" {
				p.cannot("bay", k.Name, "its size is not given (parts: size)")
				any = true
			}
			continue
		}
		any = true
		room := p.room()
		t := paper.Cutout("Cut-out: "+k.Name, p.marks(fmt.Sprintf("%.1f x %.1f mm and %.1f mm room in all", k.Size.X*1e3, k.Size.Y*1e3, room*1e3)), k.Size.X+room, k.Size.Y+room, k.At.X, p.q.Units == unit.Imperial)
		p.add(report.PrintItem{What: "bay", Name: k.Name, Say: p.fmt(k.Size.X) + " x " + p.fmt(k.Size.Y), Files: p.pdf("bay", k.Name, t)})
	}
	for i := range p.ac.Inside.Hatches {
		h := &p.ac.Inside.Hatches[i]
		if !p.wanted(h.Name) || !(h.Long.Value > 0 && h.Wide.Value > 0) {
			continue
		}
		any = true
		t := paper.Cutout("Opening: "+h.Name, p.marks(fmt.Sprintf("hatch, %s side, %.1f x %.1f mm", either(h.Side, "upper"), h.Long.Value*1e3, h.Wide.Value*1e3)), h.Long.Value, h.Wide.Value, h.At.X, p.q.Units == unit.Imperial)
		p.add(report.PrintItem{What: "bay", Name: h.Name, Say: p.fmt(h.Long.Value) + " x " + p.fmt(h.Wide.Value), Files: p.pdf("bay", h.Name, t)})
	}
	if !any {
		p.cannot("bay", either(p.q.Only, "the build"), "no part with a size is described (parts: size)")
	}
}

// room is what an opening is larger than its part, in all: the clearance the
// build asks for on both sides, else half a millimetre (our choice).
func (p *printer) room() float64 {
	if c := p.ac.Inside.Clearance; c > 0 {
		return 2 * c
	}
	return 1e-3
}

func (p *printer) hook() {
	if p.ac.Launch.By != "bungee" {
		p.cannot("hook", p.ac.Name, "no bungee launch is described, so there is no hook")
		return
	}
	g, pad := &p.ac.Launch.Bungee, &p.ac.HookPad
	pin, notes := pad.Diameter, []string(nil)
	if !(pin > 0) {
		pin, notes = 2e-3, []string{"the pin's diameter is not given: 2 mm is drawn (strength: hook: diameter)"}
	}
	edge := p.ac.Surfaces[p.ac.Ref.Wing].Stations[0].LE.X
	t := paper.HookJig("Hook drill jig", p.marks(fmt.Sprintf("hook at x = %.1f mm from the datum", g.Hook.X*1e3)), g.Hook.X, edge, p.ac.Mass.CG.X, pad.PadLong, pad.PadWide, pin, g.Rake, g.HookCount, p.q.Units == unit.Imperial)
	p.add(report.PrintItem{What: "hook", Name: p.ac.Name, Say: p.fmt(g.Hook.X) + " from the datum", Files: p.pdf("hook", "", t), Notes: notes})
}

// horns makes a replacement horn for each control with a linkage.
func (p *printer) horns() error {
	any := false
	for i := range p.ac.Linkages {
		lk := &p.ac.Linkages[i]
		if !p.wanted(lk.Control) {
			continue
		}
		any = true
		material := p.q.Material
		if material == "" {
			material = lk.HornMaterial
		}
		if material == "" || p.q.Material == "" && !printable(material) {
			material = "PETG"
		}
		h := strength.SizeHorn(p.ac, lk.Control, p.loads, material)
		if h.Why != "" {
			var can []string
			for _, m := range strength.HornMaterials {
				if m != material {
					if o := strength.SizeHorn(p.ac, lk.Control, p.loads, m); o.Why == "" {
						can = append(can, m)
					}
				}
			}
			why := h.Why
			switch {
			case len(can) > 0:
				why += "; these would do: " + strings.Join(can, ", ") + " (--material)"
			case h.Load > 0:
				why += "; none of the materials does: a longer arm with a longer horn, or a weaker servo"
			}
			p.cannot("horn", lk.Control, why)
			continue
		}
		hole := h.Rod + 0.1e-3
		horn := prints.Horn{Height: h.Height, Root: h.Root, Width: h.Width, Hole: hole, Tip: strength.HornTip(h.Rod),
			Lines: []string{p.ac.Name + " " + lk.Control, fmt.Sprintf("%s PROOF %.0f N", material, math.Ceil(h.Proof)), fmt.Sprintf("%.1f MM %s", h.Height*1e3, p.short())}}
		say := fmt.Sprintf("%s, root %.1f x %.1f mm, proof %.0f N", material, h.Root*1e3, h.Width*1e3, math.Ceil(h.Proof))
		item := report.PrintItem{What: "horn", Name: lk.Control, Say: say}
		item.Notes = append(item.Notes,
			fmt.Sprintf("holds %.1f times its load of %.0f N, %.1f with all doubt; hang %s on the hole, both ways, before flight", h.Factor, h.Load, h.FactorLow, p.weight(h.Proof)),
			map[bool]string{true: "print it lying, solid, so that the layers run along the load", false: "cut it from sheet, the fibres along the blade"}[printable(material)]+"; glue the tang into its slot through the holes")
		if h.RodGuessed {
			item.Notes = append(item.Notes, "the rod's diameter is not given: the hole is for 2 mm (linkages: rod_diameter)")
		}
		plate, missing, short, err := horn.Plate(p.ac.Name+" "+lk.Control+" horn", []string{fmt.Sprintf("%s, proof load %.0f N, build %s", material, math.Ceil(h.Proof), p.ac.Hash)})
		var solid *prints.Solid
		if err == nil {
			solid, err = plate.Solid()
		}
		if err != nil {
			p.cannot("horn", lk.Control, strings.TrimPrefix(err.Error(), "prints: "))
			continue
		}
		item.Notes = append(item.Notes, lettersNote(missing, short)...)
		r, _, _ := horn.Outline()
		t := paper.HornSheet("Horn: "+lk.Control, p.marks(say, "to cut from sheet, or to check a print by"), r, []string{h.Because, fmt.Sprintf("Proof load: %s on the hole, fore and aft, before flight.", p.weight(h.Proof))}, horn.Lines)
		item.Files = append(p.pdf("horn", lk.Control, t), p.solids("horn", lk.Control, solid)...)
		p.add(item)
	}
	if !any {
		p.cannot("horn", either(p.q.Only, "the build"), "no linkage is described, so nothing says what load a horn takes (linkages)")
	}
	return nil
}

// printable tells what a printer lays down from what is cut from sheet.
func printable(material string) bool {
	m, ok := strength.Find(material)
	return ok && (m.Across < 1 || m.Name == "nylon")
}

// weight is a force as what to hang on it.
func (p *printer) weight(n float64) string {
	if p.q.Units == unit.Imperial {
		return fmt.Sprintf("%.1f lb (%.0f N)", n/4.4482216, math.Ceil(n))
	}
	return fmt.Sprintf("%.1f kg (%.0f N)", n/9.80665, math.Ceil(n))
}
