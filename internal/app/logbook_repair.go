package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/mend"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/strength"
	"fledge/internal/unit"
)

// RepairRequest is a thing that broke and how it is to be mended.
type RepairRequest struct {
	Path     string // build
	Sets     []string
	Broken   string   // key of mend.Breaks
	Args     []string // key=value, see RepairKeys
	DryRun   bool     // write neither file nor logbook
	NoOdds   bool     // leave odds and speed out
	Seed     uint64
	Progress func(stage string, done, total int)
}

// RepairKey is one thing that can be said of a repair.
type RepairKey struct {
	Key string
	Dim unit.Dim // None: a word
	Doc string
}

// RepairKeys lists what may be said of a repair.
var RepairKeys = []RepairKey{
	{"x", unit.Length, "where it broke, from the datum: aft"},
	{"y", unit.Length, "right"},
	{"z", unit.Length, "up"},
	{"mass", unit.Mass, "what the repair adds, best weighed; else it is estimated"},
	{"joint", unit.None, "butt, lap, double, scarf, sleeve"},
	{"width", unit.Length, "length of the seam; of a tube, once around"},
	{"thickness", unit.Length, "of the skin or the wall that broke"},
	{"material", unit.None, "that broke, by its word in the build file"},
	{"overlap", unit.Length, "of strap or sleeve, on each side of the break"},
	{"slope", unit.Ratio, "of a scarf: 10 for 1 in 10"},
	{"strap", unit.Length, "thickness of strap or sleeve"},
	{"strap_material", unit.None, "its material; that of the part when left out"},
	{"glue", unit.None, "epoxy when left out"},
	{"surface", unit.None, "roughened (when left out) or smooth"},
	{"height", unit.Length, "of the scar above the skin; strap and glue when left out"},
	{"drag_area", unit.Area, "of the scar, when known"},
	{"pull", unit.Force, "largest pull of the launch line, for a hook"},
	{"load_factor", unit.Ratio, "limit load factor for the proof load; the build's when left out"},
	{"flight", unit.None, "number of the flight that broke it"},
	{"day", unit.None, "2026-05-03; today when left out"},
	{"note", unit.None, ""},
}

// State is mass, balance, odds and speed of one build.
type State struct {
	Mass    float64         `json:"mass_kg"`
	CG      [3]float64      `json:"cg_m"`
	Inertia [3][3]float64   `json:"inertia_kgm2"`
	Odds    report.Quantity `json:"odds"`
	Speed   report.Quantity `json:"top_speed"`
}

// ShareJSON is a number with its 90 % interval.
type ShareJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Unit  string  `json:"unit"`
}

// ProofJSON is a load to be held before flight.
type ProofJSON struct {
	Force  float64 `json:"force_n"`
	Moment float64 `json:"moment_nm"`
	Say    string  `json:"say"`
}

// Repaired is what a repair does.
type Repaired struct {
	Schema    int        `json:"schema"`
	Build     string     `json:"build"`
	Broken    string     `json:"broken"`
	What      string     `json:"what"`
	WriteOff  string     `json:"write_off,omitempty"`
	Look      string     `json:"look,omitempty"`
	At        [3]float64 `json:"at_m"`
	Mass      *ShareJSON `json:"mass,omitempty"`
	MassFrom  string     `json:"mass_from,omitempty"` // "given" or "estimated"
	DragArea  *ShareJSON `json:"drag_area,omitempty"`
	Joint     string     `json:"joint,omitempty"`
	Regained  *ShareJSON `json:"regained,omitempty"`
	Governs   string     `json:"governs,omitempty"`
	Remarks   []string   `json:"remarks"`
	Proof     *ProofJSON `json:"proof,omitempty"`
	Before    *State     `json:"before,omitempty"`
	After     *State     `json:"after,omitempty"`
	File      string     `json:"file,omitempty"` // the repaired revision
	Entry     int64      `json:"repair,omitempty"`
	Sources   []string   `json:"sources"`
	Cautions  []string   `json:"cautions"`
	DryRun    bool       `json:"dry_run"`
	massSigma float64
}

// RepairCautions stand on every repair.
var RepairCautions = []string{
	"A glued or printed load-bearing part flies only after its proof load, and where people could be hurt, after a competent eye has seen it. The rules here are for good joints; yours is known by its proof load alone.",
	"Dust and splinters of glass and carbon: mask, gloves, wet sanding. Propeller off at the bench.",
	"A pack that was in a crash may burn hours later: keep it outdoors and watch it before it is charged again.",
	"The pilot in command decides; local law and the field's rules come first.",
}

type repairArgs struct {
	q     map[string]unit.Quantity
	word  map[string]string
	line  map[string]int
	given []string
}

func (a *repairArgs) num(key string) (float64, bool) { q, ok := a.q[key]; return q.Value, ok }

func parseRepair(args []string) (*repairArgs, diag.List) {
	a := &repairArgs{map[string]unit.Quantity{}, map[string]string{}, map[string]int{}, args}
	var l diag.List
	var keys []string
	for _, k := range RepairKeys {
		keys = append(keys, k.Key)
	}
	for i, arg := range args {
		at := diag.Span{File: store.EntryFile, Line: i + 1, Col: 1, Len: max(1, utf8.RuneCountInString(arg))}
		key, value, ok := strings.Cut(arg, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		if !ok {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "no-value", Span: at, Message: diag.Quote(arg) + " has no =", Hint: `write it as key=value, for example "x=80 mm"`})
			continue
		}
		var k *RepairKey
		for j := range RepairKeys {
			if RepairKeys[j].Key == key {
				k = &RepairKeys[j]
			}
		}
		if k == nil {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "unknown-key", Span: at, Message: "a repair has no " + diag.Quote(key), Hint: diag.DidYouMean(key, keys, "it may have: "+strings.Join(keys, ", "))})
			continue
		}
		if _, twice := a.line[key]; twice {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "twice", Span: at, Message: diag.Quote(key) + " is given twice"})
			continue
		}
		a.line[key] = i + 1
		if k.Dim == unit.None {
			a.word[key] = value
			continue
		}
		q, err := unit.Parse(value, k.Dim)
		var ue *unit.Error
		if errors.As(err, &ue) {
			at.Col, at.Len = utf8.RuneCountInString(key)+2+ue.Offset, max(1, ue.Len)
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: ue.Code, Span: at, Message: key + ": " + ue.Message, Hint: ue.Hint})
			continue
		}
		switch key {
		case "x", "y", "z":
		default:
			if !(q.Value > 0) && !(key == "drag_area" && q.Value == 0) {
				at.Col = utf8.RuneCountInString(key) + 2
				l.Add(diag.Diagnostic{Severity: diag.Error, Code: "out-of-range", Span: at, Message: key + ": must be more than 0"})
				continue
			}
		}
		a.q[key] = q
	}
	return a, l
}

func (a *repairArgs) bad(key, code, hint, format string, args ...any) error {
	at := diag.Span{File: store.EntryFile}
	if n := a.line[key]; n > 0 {
		at.Line, at.Col = n, len(key)+2
		at.Len = max(1, len(a.word[key]))
	}
	return &BadInput{List: diag.List{{Severity: diag.Error, Code: code, Span: at, Message: fmt.Sprintf(format, args...), Hint: hint}}, Text: argText(a.given)}
}

func (a *repairArgs) material(key string) (strength.Material, error) {
	m, ok := strength.Find(a.word[key])
	if !ok {
		var names []string
		for _, x := range strength.Materials {
			names = append(names, x.Name)
		}
		return m, a.bad(key, "bad-word", diag.DidYouMean(a.word[key], names, "use one of: "+strings.Join(names, ", ")), "%s: %s is not a material of the build file", key, diag.Quote(a.word[key]))
	}
	return m, nil
}

// Repair works a repair out: mass, balance, drag, strength, proof load, odds
// and speed before and after; and writes the repaired revision as a new build
// file beside the old one, with an entry in the logbook.
func (h Hangar) Repair(ctx context.Context, q RepairRequest) (*Repaired, error) {
	br, ok := mend.Find(q.Broken)
	if !ok {
		var keys []string
		for _, b := range mend.Breaks {
			keys = append(keys, b.Key)
		}
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "unknown-break", Span: diag.Span{File: store.EntryFile}, Message: diag.Quote(q.Broken) + " is not in the list of what breaks", Hint: diag.DidYouMean(q.Broken, keys, "use one of: "+strings.Join(keys, ", "))}}}
	}
	a, ds := parseRepair(q.Args)
	if ds.HasErrors() {
		return nil, &BadInput{List: ds, Text: argText(q.Args)}
	}
	o, err := Open(Request{Path: q.Path, Sets: q.Sets, Units: h.Units})
	if err != nil {
		return nil, err
	}
	out := &Repaired{Schema: report.Schema, Build: q.Path, Broken: br.Key, What: br.Say, WriteOff: br.WriteOff, Look: br.Look, Remarks: []string{}, Sources: []string{}, Cautions: RepairCautions, DryRun: q.DryRun}
	if br.WriteOff != "" {
		return out, nil
	}
	if _, ok := a.num("x"); !ok {
		return nil, a.bad("x", "missing", `add "x=80 mm"`, "a repair needs its place from the datum, at least x")
	}
	x, _ := a.num("x")
	y, _ := a.num("y")
	z, _ := a.num("z")
	at := r3.Vec{X: x, Y: y, Z: z}
	out.At = [3]float64{x, y, z}
	if err := out.work(a, br, o.Aircraft, at); err != nil {
		return nil, err
	}
	text, err := out.revise(o, a, at)
	if err != nil {
		return nil, err
	}
	name, err := revisionName(q.Path)
	if err != nil {
		return nil, err
	}
	b, ds := build.Parse(name, text)
	if b == nil || ds.HasErrors() {
		return nil, fmt.Errorf("the repaired build cannot be read: %w", ds.Err())
	}
	ac, ds := craft.New(b, o.Loaded.Files)
	if ac == nil || ds.HasErrors() {
		return nil, fmt.Errorf("the repaired build is no aircraft: %w", ds.Err())
	}
	after := &Opened{Loaded: store.Loaded{Build: b, Path: name, Text: text, Files: o.Loaded.Files}, Build: b, Aircraft: ac}
	for _, s := range []struct {
		to **State
		o  *Opened
		n  string
	}{{&out.Before, o, "before"}, {&out.After, after, "after"}} {
		if *s.to, err = state(ctx, s.o, q); err != nil {
			return nil, err
		}
	}
	if q.DryRun {
		return out, nil
	}
	return out, h.record(ctx, out, a, o, after)
}

// state is what a build weighs and can do.
func state(ctx context.Context, o *Opened, q RepairRequest) (*State, error) {
	m := o.Aircraft.Mass
	nan := report.Float(math.NaN())
	s := &State{Mass: m.Total, CG: [3]float64{m.CG.X, m.CG.Y, m.CG.Z}, Inertia: m.Inertia, Odds: report.Quantity{Value: nan, Low: nan, High: nan, Unit: "1", Status: "not computed"}, Speed: report.Quantity{Value: nan, Low: nan, High: nan, Unit: "m/s", Status: "not computed"}}
	if q.NoOdds {
		return s, nil
	}
	c, err := check(ctx, o, Request{Seed: q.Seed, Fast: true, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	for i := range c.Verdict.Findings {
		if f := &c.Verdict.Findings[i]; f.ID == "launch-odds" {
			s.Odds = report.Q(f.Value)
		}
	}
	s.Speed = report.Q(c.Results.Get(assess.TopSpeed))
	return s, nil
}

// work fills in mass, strength, drag and proof load.
func (out *Repaired) work(a *repairArgs, br mend.Break, ac *craft.Aircraft, at r3.Vec) error {
	kind := br.Joint
	if w, ok := a.word["joint"]; ok {
		kind = mend.Kind(w)
		found := false
		var names []string
		for _, k := range mend.Kinds() {
			found = found || k == kind
			names = append(names, string(k))
		}
		if !found {
			return a.bad("joint", "bad-word", diag.DidYouMean(w, names, "use one of: "+strings.Join(names, ", ")), "joint: %s is no joint", diag.Quote(w))
		}
	}
	out.Joint = string(kind)
	j := mend.Joint{Kind: kind}
	j.Length, _ = a.num("overlap")
	j.Slope, _ = a.num("slope")
	switch w := a.word["surface"]; w {
	case "", "roughened":
	case "smooth":
		j.Prep = mend.Smooth
	default:
		return a.bad("surface", "bad-word", "use roughened or smooth", "surface: %s is neither", diag.Quote(w))
	}
	var m mend.Member
	density := 1750.0
	member := func(mat strength.Material, t float64) mend.Member {
		wood := mat.Name == "balsa" || mat.Name == "spruce" || mat.Name == "plywood"
		return mend.Member{Material: mat.Name, E: mat.E, Strength: mat.Tension * mat.Workmanship, Shear: mat.Shear, T: t, Doubt: mat.Doubt, Wood: wood}
	}
	t, haveT := a.num("thickness")
	if a.word["material"] != "" {
		mat, err := a.material("material")
		if err != nil {
			return err
		}
		m, density = member(mat, t), mat.Density
		for _, r := range mat.Refs {
			out.source(r.String())
		}
	}
	strapT, haveStrap := a.num("strap")
	if haveStrap {
		j.Strap = m
		j.Strap.T = strapT
		if a.word["strap_material"] != "" {
			mat, err := a.material("strap_material")
			if err != nil {
				return err
			}
			j.Strap, density = member(mat, strapT), mat.Density
		}
	} else if a.word["strap_material"] != "" {
		return a.bad("strap_material", "missing", `add "strap=0.2 mm"`, "a strap needs its thickness")
	}
	glueName := a.word["glue"]
	if glueName == "" {
		glueName = "epoxy"
	}
	var glue mend.Glue
	var glues []string
	for _, g := range strength.Adhesives {
		glues = append(glues, g.Name)
		if g.Name == glueName {
			glue = mend.Glue{Name: g.Name, Low: g.ShearLow, High: g.ShearHigh}
		}
	}
	if glue.Name == "" {
		return a.bad("glue", "bad-word", diag.DidYouMean(glueName, glues, "use one of: "+strings.Join(glues, ", ")), "glue: %s is not in the table", diag.Quote(glueName))
	}
	out.source("Shigley's Mechanical Engineering Design, table of adhesives: lap shear on steel [seen]")

	// Strength.
	needs := []string{}
	if !haveT {
		needs = append(needs, "thickness=")
	}
	if m.Material == "" {
		needs = append(needs, "material=")
	}
	if j.Length == 0 && (kind == mend.Lap || kind == mend.Double || kind == mend.Sleeve) {
		needs = append(needs, "overlap=")
	}
	if j.Slope == 0 && kind == mend.Scarf {
		needs = append(needs, "slope=")
	}
	if len(needs) == 0 {
		s, err := mend.Of(m, j, glue)
		if err != nil {
			return a.bad("joint", "bad-joint", "", "%s", err)
		}
		r := s.Regained
		out.Regained = &ShareJSON{r.Value, r.Low, r.High, "1"}
		out.Governs = s.Governs
		out.Remarks = append(out.Remarks, s.Say...)
		for _, ref := range s.Refs {
			out.source(ref.String())
		}
	} else {
		out.Remarks = append(out.Remarks, "the strength regained is not known: give "+strings.Join(needs, ", "))
	}

	// Mass.
	width, haveWidth := a.num("width")
	if mq, ok := a.q["mass"]; ok {
		sigma, _ := mq.Doubt()
		out.massSigma, out.MassFrom = sigma, "given"
		out.Mass = &ShareJSON{mq.Value, math.Max(0, mq.Value-1.645*sigma), mq.Value + 1.645*sigma, "kg"}
	} else {
		if !haveWidth || !haveT || len(needs) > 0 && (kind == mend.Lap || kind == mend.Double || kind == mend.Sleeve) && j.Length == 0 {
			return a.bad("mass", "missing", `weigh it: "mass=12 g weighed"; or have it estimated from width=, thickness= and overlap=`, "what does the repair add?")
		}
		v, sigma := mend.Added(mend.Member{T: t}, j, width, density)
		out.massSigma, out.MassFrom = sigma, "estimated"
		out.Mass = &ShareJSON{v, math.Max(0, v-1.645*sigma), v + 1.645*sigma, "kg"}
		out.Remarks = append(out.Remarks, "the mass is estimated from strap and glue; weigh the aeroplane before and after")
	}

	// Drag.
	if d, ok := a.num("drag_area"); ok {
		out.DragArea = &ShareJSON{d, d, d, "m2"}
	} else if haveWidth && br.Part != "hook" {
		v := ac.Flight.Speed
		if v == 0 {
			v = 25
			out.Remarks = append(out.Remarks, "the scar's drag is for 25 m/s: the build says no flight speed")
		}
		height, ok := a.num("height")
		if !ok {
			height = 0.2e-3
			if kind == mend.Lap || kind == mend.Double || kind == mend.Sleeve {
				height += math.Max(strapT, t)
				if haveStrap {
					height = 0.2e-3 + strapT
				}
			}
		}
		behind, chord, laminar := place(ac, br.Part, at)
		s := mend.Scar{Height: height, Width: width, Behind: behind, Chord: chord, Speed: v, Nu: 1.46e-5, Laminar: laminar}
		d, err := s.Drag()
		if err != nil {
			return a.bad("x", "bad-place", "", "%s", err)
		}
		out.DragArea = &ShareJSON{d.Value, d.Low, d.High, "m2"}
		out.source("S. F. Hoerner, Fluid-Dynamic Drag, chapter 5: ridges in a boundary layer [from memory, a factor of two]")
	} else {
		out.Remarks = append(out.Remarks, "the scar's drag is left out: give width= (and height=)")
	}

	// Proof load.
	n, ok := a.num("load_factor")
	if !ok {
		n = ac.Limits.LoadFactor
	}
	pull, _ := a.num("pull")
	if pull == 0 && len(ac.Launch.Bungee.PullForce) > 0 && ac.Launch.By == "bungee" {
		b := ac.Launch.Bungee
		pull = pullAt(b.PullStretch, b.PullForce, b.Stretch)
	}
	if n > 0 || br.Part == "hook" {
		if p, ok := mend.ProofOf(ac, br.Part, at, n, pull); ok {
			out.Proof = &ProofJSON{p.Force, p.Moment, upper(p.Say) + "."}
			for _, r := range p.Refs {
				out.source(r.String())
			}
		}
	}
	if out.Proof == nil {
		out.Remarks = append(out.Remarks, "no proof load is known for this place: load it by hand well beyond what it sees in flight, before flight")
	}
	return nil
}

// pullAt reads the pull test at a stretch: straight between its rows, from
// nothing at none, and on beyond the last row along its last piece.
func pullAt(stretch, force []float64, at float64) float64 {
	x0, f0 := 0.0, 0.0
	for i := range stretch {
		if at <= stretch[i] || i == len(stretch)-1 {
			if stretch[i] == x0 {
				return force[i]
			}
			return f0 + (force[i]-f0)*(at-x0)/(stretch[i]-x0)
		}
		x0, f0 = stretch[i], force[i]
	}
	return 0
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func (out *Repaired) source(s string) {
	for _, have := range out.Sources {
		if have == s {
			return
		}
	}
	out.Sources = append(out.Sources, s)
}

// place is how far behind the leading edge or nose a place lies, the length
// of what is there, and the laminar share taken of it.
func place(ac *craft.Aircraft, part string, at r3.Vec) (behind, chord, laminar float64) {
	if part == "wing" && ac.Ref.Wing >= 0 && ac.Ref.Wing < len(ac.Surfaces) {
		st := ac.Surfaces[ac.Ref.Wing].Stations
		y := math.Abs(at.Y)
		le, c := st[0].LE.X, st[0].Chord
		for i := 1; i < len(st); i++ {
			a, b := st[i-1], st[i]
			if y >= a.LE.Y && y <= b.LE.Y && b.LE.Y > a.LE.Y {
				f := (y - a.LE.Y) / (b.LE.Y - a.LE.Y)
				le, c = a.LE.X+f*(b.LE.X-a.LE.X), a.Chord+f*(b.Chord-a.Chord)
			} else if y > b.LE.Y {
				le, c = b.LE.X, b.Chord
			}
		}
		// Half the chord laminar: what a smooth wing has at this size.
		return math.Min(math.Max(at.X-le, 0.02*c), c), c, 0.5
	}
	nose, tail := math.Inf(1), math.Inf(-1)
	for _, b := range ac.Body {
		nose, tail = math.Min(nose, b.X), math.Max(tail, b.X)
	}
	if !(tail > nose) {
		return math.Max(at.X, 0.02), math.Max(at.X, 0.02), 0
	}
	return math.Max(at.X-nose, 0.02*(tail-nose)), tail - nose, 0
}

// revise writes the repair into the build's text as a part and a scar.
func (out *Repaired) revise(o *Opened, a *repairArgs, at r3.Vec) ([]byte, error) {
	n := 1
	name := func() string {
		if n == 1 {
			return out.Broken + " repair"
		}
		return fmt.Sprintf("%s repair %d", out.Broken, n)
	}
	for taken := true; taken; {
		taken = false
		for _, p := range o.Build.Parts {
			taken = taken || p.Name.S == name()
		}
		for _, e := range o.Build.Extras {
			taken = taken || e.Name.S == name()+" scar"
		}
		if taken {
			n++
		}
	}
	i := len(o.Build.Parts)
	mm := func(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/10, 'f', -1, 64) + " mm" }
	path := func(list string, i int, key string) string { return fmt.Sprintf("%s[%d].%s", list, i, key) }
	mass := fmt.Sprintf("%.3g g ± %.2g g", out.Mass.Value*1e3, 2*out.massSigma*1e3)
	if q, ok := a.q["mass"]; ok {
		mass = q.Text
	}
	sets := []build.Setting{
		{Path: path("parts", i, "kind"), Value: "repair"},
		{Path: path("parts", i, "mass"), Value: mass},
	}
	where := func(list string, i int) {
		for _, c := range []struct {
			key string
			v   float64
		}{{"x", at.X}, {"y", at.Y}, {"z", at.Z}} {
			if c.key == "x" || c.v != 0 {
				sets = append(sets, build.Setting{Path: path(list, i, "at."+c.key), Value: mm(c.v)})
			}
		}
	}
	where("parts", i)
	sets = append(sets, build.Setting{Path: path("parts", i, "name"), Value: name()})
	if d := out.DragArea; d != nil && d.Value > 0 {
		k := len(o.Build.Extras)
		area := strconv.FormatFloat(d.Value*1e6, 'g', 3, 64) + " mm^2"
		if d.High > d.Low {
			area += " ± " + strconv.FormatFloat(d.Value*1e6*0.7, 'g', 2, 64) + " mm^2"
		}
		sets = append(sets, build.Setting{Path: path("extras", k, "kind"), Value: "scar"}, build.Setting{Path: path("extras", k, "drag_area"), Value: area})
		where("extras", k)
		sets = append(sets, build.Setting{Path: path("extras", k, "name"), Value: name() + " scar"})
	}
	text, ds := build.SetAll(o.Loaded.Text, sets)
	if ds.HasErrors() {
		return nil, fmt.Errorf("the repair cannot be written into the build: %w", ds.Err())
	}
	return text, nil
}

var repairedName = regexp.MustCompile(`-repaired(-\d+)?$`)

// revisionName is the first free name of a repaired revision.
func revisionName(path string) (string, error) {
	ext := filepath.Ext(path)
	base := repairedName.ReplaceAllString(strings.TrimSuffix(path, ext), "")
	for n := 1; n < 1000; n++ {
		name := base + "-repaired" + ext
		if n > 1 {
			name = fmt.Sprintf("%s-repaired-%d%s", base, n, ext)
		}
		if _, err := os.Lstat(name); errors.Is(err, os.ErrNotExist) {
			return name, nil
		}
	}
	return "", &BadInput{List: diag.List{{Severity: diag.Error, Code: "exists", Span: diag.Span{File: path}, Message: "there are a thousand repaired revisions already"}}}
}

// record writes the new build file and the entry.
func (h Hangar) record(ctx context.Context, out *Repaired, a *repairArgs, before, after *Opened) error {
	l, err := h.Open(ctx, true)
	if err != nil {
		return err
	}
	defer l.Close()
	if l.ReadOnly() {
		return h.trouble(store.ErrReadOnly)
	}
	num := func(s *ShareJSON) *float64 {
		if s == nil {
			return nil
		}
		return &s.Value
	}
	x, y, z := out.At[0], out.At[1], out.At[2]
	row := &store.Repair{Day: a.word["day"], Aeroplane: before.Aircraft.Name, Broken: out.What, Done: out.Joint, Mass: num(out.Mass), X: &x, Y: &y, Z: &z, DragArea: num(out.DragArea), Regained: num(out.Regained), Note: a.word["note"]}
	if row.Day == "" {
		row.Day = h.now().Format("2006-01-02")
	}
	// The words given go through the same gate as typed entries.
	args := []string{"day=" + row.Day, "broken=x"}
	if w := a.word["flight"]; w != "" {
		args = append(args, "flight="+w)
	}
	if row.Note != "" {
		args = append(args, "note="+row.Note)
	}
	var fail error
	typed, ds := store.ParseEntry("repair", args, h.look(ctx, l, AddRequest{}, &pending{}, &fail))
	if ds.HasErrors() {
		return &BadInput{List: ds, Text: argText(args)}
	}
	row.Flight = typed.(*store.Repair).Flight
	if out.Regained != nil {
		row.RegainedLow = &out.Regained.Low
	}
	if p := out.Proof; p != nil {
		row.ProofLoad = &p.Force
		if p.Moment > 0 {
			row.ProofMoment = &p.Moment
		}
	}
	if err := create(after.Loaded.Path, after.Loaded.Text); err != nil {
		return err
	}
	err = l.Write(ctx, func(t *store.Tx) error {
		b, err := t.KeepBuild(before.Loaded)
		if err != nil {
			return err
		}
		c, err := t.KeepBuild(after.Loaded)
		if err != nil {
			return err
		}
		row.Before, row.After = b.ID, c.ID
		return t.Add(row)
	})
	if err != nil {
		os.Remove(after.Loaded.Path)
		return h.trouble(err)
	}
	out.File, out.Entry = after.Loaded.Path, row.ID
	return nil
}
