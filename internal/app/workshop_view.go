package app

import (
	"math"
	"strconv"
	"strings"

	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/doubt"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/unit"
)

// ValueView is one scalar of a build file, for reading and changing it.
type ValueView struct {
	Path    string        `json:"path"`
	Label   string        `json:"label"`
	Doc     string        `json:"doc"`
	Block   string        `json:"block"` // path of the item or block it belongs to
	Kind    string        `json:"kind" words:"quantity|range|text|count|flag|delay"`
	State   string        `json:"state" words:"given|assumed|open"`
	Text    string        `json:"text"`  // as in the file, "" when not given
	Shown   string        `json:"shown"` // for reading
	Dim     string        `json:"dim,omitempty"`
	Example string        `json:"example,omitempty"`
	Value   *report.Float `json:"value,omitempty"` // SI; low and high: its 90 % interval
	Low     *report.Float `json:"low,omitempty"`
	High    *report.Float `json:"high,omitempty"`
	Unit    string        `json:"unit,omitempty"`
	Word    string        `json:"word,omitempty"`
	Doubt   string        `json:"doubt,omitempty"`
	Why     string        `json:"why,omitempty"`
	How     string        `json:"how,omitempty"`
	Ref     string        `json:"ref,omitempty"`
	OneOf   []string      `json:"one_of,omitempty"`
	Min     *report.Float `json:"min,omitempty"`
	Max     *report.Float `json:"max,omitempty"`
	MinOpen bool          `json:"min_open,omitempty"`
	MaxOpen bool          `json:"max_open,omitempty"`
	Line    int           `json:"line,omitempty"`
}

// ListView is one list of a build file.
type ListView struct {
	Path  string         `json:"path"`
	Doc   string         `json:"doc"`
	Items []ListItemView `json:"items"`
	Next  string         `json:"next"` // path by which an item is added
	Keys  []KeyView      `json:"keys"` // what an item holds
}

// ListItemView is one item.
type ListItemView struct {
	Path string `json:"path"`
	Name string `json:"name"`
}

// KeyView is one thing that an item may hold.
type KeyView struct {
	Key     string   `json:"key"`
	Doc     string   `json:"doc"`
	Kind    string   `json:"kind" words:"quantity|range|text|count|flag|delay"`
	Dim     string   `json:"dim,omitempty"`
	Example string   `json:"example,omitempty"`
	OneOf   []string `json:"one_of,omitempty"`
}

// Values lists the scalars of a build. ac may be nil, for a file that makes no
// aeroplane; open adds what could be given and is not.
func Values(b *build.Build, ac *craft.Aircraft, open bool, s unit.System) ([]ValueView, []ListView) {
	v := viewer{units: s, assumed: map[string]*craft.Assumption{}, knobs: map[string]*craft.Knob{}, inputs: map[string]*craft.Input{}}
	if ac != nil {
		for i := range ac.Assumed {
			v.assumed[ac.Assumed[i].Path] = &ac.Assumed[i]
		}
		for i := range ac.Knobs {
			v.knobs[ac.Knobs[i].Path] = &ac.Knobs[i]
		}
		for i := range ac.Inputs {
			v.inputs[ac.Inputs[i].Path] = &ac.Inputs[i]
		}
	}
	leaves, lists := build.Every(b)
	values := []ValueView{}
	for i := range leaves {
		l := &leaves[i]
		if _, filled := v.assumed[l.Path]; l.Given() || filled || open {
			values = append(values, v.value(l))
		}
	}
	views := []ListView{}
	for _, l := range lists {
		out := ListView{Path: l.Path, Doc: l.Doc, Items: []ListItemView{}, Next: l.Next, Keys: []KeyView{}}
		for _, i := range l.Items {
			out.Items = append(out.Items, ListItemView(i))
		}
		for i := range l.Keys {
			k := &l.Keys[i]
			out.Keys = append(out.Keys, KeyView{k.Path, k.Doc, kindOf(k), dimName(k.Dim), example(k), k.OneOf})
		}
		views = append(views, out)
	}
	return values, views
}

type viewer struct {
	units   unit.System
	assumed map[string]*craft.Assumption
	knobs   map[string]*craft.Knob
	inputs  map[string]*craft.Input
}

func kindOf(l *build.Leaf) string {
	switch l.Any.(type) {
	case build.Value:
		return "quantity"
	case build.Range:
		return "range"
	case build.Count:
		return "count"
	case build.Flag:
		return "flag"
	case build.Delay:
		return "delay"
	}
	return "text"
}

func dimName(d unit.Dim) string {
	if d == unit.None {
		return ""
	}
	return d.String()
}

// example is how a value of a leaf is written.
func example(l *build.Leaf) string {
	switch l.Any.(type) {
	case build.Delay:
		return "0.6 s after release"
	case build.Range:
		return "120 mm to 200 mm" // ranges are of lengths
	}
	if l.Dim == unit.None {
		return ""
	}
	return l.Dim.Example()
}

// block is the path without its last key, or keys that only group (at.x).
func block(path string) string {
	for _, group := range []string{".at.", ".size.", ".may_move."} {
		if i := strings.LastIndex(path, group); i > 0 {
			return path[:i]
		}
	}
	if i := strings.LastIndexByte(path, '.'); i > 0 {
		return path[:i]
	}
	return path
}

func (v *viewer) value(l *build.Leaf) ValueView {
	out := ValueView{Path: l.Path, Label: plainLabel(l.Path), Doc: l.Doc, Block: block(l.Path), Kind: kindOf(l), State: "open", Text: l.Text(), Shown: l.Text(), Dim: dimName(l.Dim), Example: example(l), OneOf: l.OneOf, Line: l.Span().Line}
	if k := v.knobs[l.Path]; k != nil && k.Label != "" {
		out.Label = k.Label
	}
	if in := v.inputs[l.Path]; in != nil {
		out.How = in.How
	}
	b := l.Bounds()
	if !math.IsInf(b.Low, 0) {
		out.Min, out.MinOpen = number(b.Low), b.OpenLow
	}
	if !math.IsInf(b.High, 0) {
		out.Max, out.MaxOpen = number(b.High), b.OpenHigh
	}
	switch x := l.Any.(type) {
	case build.Value:
		if l.Given() {
			out.State = "given"
			v.quantity(&out, x.Quantity)
		}
	case build.Delay:
		if l.Given() {
			out.State = "given"
			if !x.Off {
				shown := out.Shown
				v.quantity(&out, x.Quantity)
				out.Shown = shown
			}
		}
	default:
		if l.Given() {
			out.State = "given"
		}
	}
	if a := v.assumed[l.Path]; a != nil && !l.Given() {
		out.State, out.Why, out.Ref, out.Shown = "assumed", a.Why, a.Ref, a.Value
		if k := v.knobs[l.Path]; k != nil {
			if d, ok := unit.DimNamed(k.Dim); ok {
				sigma := 0.0
				if in := v.inputs[l.Path]; in != nil {
					sigma = in.Sigma
				}
				v.number(&out, k.Value, sigma, d)
				out.Doubt = "assumed"
			}
		}
	}
	return out
}

// quantity fills the number of a given quantity.
func (v *viewer) quantity(out *ValueView, q unit.Quantity) {
	if q.Dim == unit.None || q.Dim == unit.Any {
		return
	}
	sigma, why := q.Doubt()
	if strings.HasPrefix(out.Path, "claims") && !q.Stated {
		sigma = 0 // what somebody says is said exactly; whether it is so is judged
	}
	out.Word, out.Doubt = string(q.Word), why
	v.number(out, q.Value, sigma, q.Dim)
}

// number fills value, interval and the text for reading.
func (v *viewer) number(out *ValueView, value, sigma float64, d unit.Dim) {
	low, high := value-1.6449*sigma, value+1.6449*sigma
	if in := v.inputs[out.Path]; in != nil { // as drawn, within its hard bounds
		if dist, err := doubt.Truncated(value, sigma, in.Low, in.High); err == nil {
			low, high = dist.Interval(0.9)
		}
	}
	out.Value, out.Low, out.High = number(value), number(low), number(high)
	out.Unit = unit.PeopleUnit(value, d, v.units)
	out.Shown = PlusMinus(value, sigma, d, v.units)
}

// PlusMinus prints a value with its expanded uncertainty, two standard
// deviations to two digits: "196 g ± 2.0 g".
func PlusMinus(value, sigma float64, d unit.Dim, s unit.System) string {
	head := unit.Format(value, d, s)
	if !(sigma > 0) || math.IsInf(sigma, 0) {
		return head
	}
	symbol := unit.PeopleUnit(value, d, s)
	wide := math.Abs(unit.In(value+2*sigma, d, symbol) - unit.In(value, d, symbol)) // of a temperature, without its zero
	places := max(0, 1-int(math.Floor(math.Log10(wide))))
	text := strconv.FormatFloat(wide, 'f', min(places, 6), 64)
	if symbol != "" {
		text += " " + symbol
	}
	return head + " ± " + text
}

func number(v float64) *report.Float {
	f := report.Float(v)
	return &f
}

// plainLabel is a name for a value that has none: its last keys in words.
func plainLabel(path string) string {
	at := strings.TrimPrefix(path[len(block(path)):], ".")
	if at == "" {
		at = path
	}
	return strings.ReplaceAll(strings.ReplaceAll(at, "_", " "), ".", " ")
}

// Reading is a build file as far as it can be read.
type Reading struct {
	Loaded   store.Loaded
	Aircraft *craft.Aircraft // nil when it makes none
	List     diag.List       // what is wrong or odd
}

// ReadBuild reads the text of a build file of a name, which need not be on the
// disk yet; the files it names are.
func ReadBuild(name string, text []byte) Reading {
	loaded, list := store.Assemble(name, text)
	r := Reading{Loaded: loaded, List: list}
	if list.HasErrors() || loaded.Build == nil {
		return r
	}
	ac, ds := craft.New(loaded.Build, loaded.Files)
	r.List = append(r.List, ds...)
	if !ds.HasErrors() {
		r.Aircraft = ac
	}
	return r
}

// Err is what keeps it from being an aeroplane, nil when nothing does.
func (r *Reading) Err() error {
	if r.Aircraft != nil {
		return nil
	}
	return &BadInput{List: r.List, Text: r.Loaded.Excerpts()}
}

// JSON is what is wrong or odd, with excerpts.
func (r *Reading) JSON() []ExcerptJSON { return Excerpts(r.List, r.Loaded.Excerpts()) }

// ExcerptJSON is a diagnostic with the line it points at.
type ExcerptJSON struct {
	diag.JSON
	Excerpt string `json:"excerpt,omitempty"`
}

// Excerpts are the diagnostics of a list, with the lines they point at.
func Excerpts(list diag.List, text func(file string) []byte) []ExcerptJSON {
	out := []ExcerptJSON{}
	for i, d := range list.JSON() {
		e := ExcerptJSON{JSON: d}
		if text != nil && list[i].Span.Line > 0 {
			e.Excerpt = lineOf(text(list[i].Span.File), list[i].Span.Line)
		}
		out = append(out, e)
	}
	return out
}

func lineOf(text []byte, n int) string {
	for i, l := range strings.Split(string(text), "\n") {
		if i == n-1 {
			if len(l) > 400 {
				l = l[:400]
			}
			return strings.ToValidUTF8(strings.TrimRight(l, "\r"), "?")
		}
	}
	return ""
}

// NotesJSON is the warnings of an opened build with their excerpts.
func (o *Opened) NotesJSON() []ExcerptJSON { return Excerpts(o.Notes, o.excerpt) }

// JSONExcerpts are the diagnostics of a bad input with their excerpts.
func (b *BadInput) JSONExcerpts() []ExcerptJSON { return Excerpts(b.List, b.Text) }
