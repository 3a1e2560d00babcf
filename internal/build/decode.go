package build

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	yaml "go.yaml.in/yaml/v4"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// Current is the version of the file format this package writes.
const Current = 1

// MaxSize is the largest build file read, in bytes.
const MaxSize = 1 << 20

// Parse reads a build file. file is the name for messages. It reports every
// problem it finds in one pass, each with its place; the result is usable
// when the list has no errors, and nil when nothing at all could be read (not
// text, too large, not YAML, a newer format).
func Parse(file string, text []byte) (*Build, diag.List) {
	var l diag.List
	d := newDecoder(file, &l)
	root := d.load(text)
	if root == nil {
		l.Sort()
		return nil, l
	}
	if !d.version(root, true) {
		l.Sort()
		return nil, l
	}
	b := new(Build)
	d.mapping(root, reflect.ValueOf(b).Elem(), "")
	(&validator{decoder: &d, b: b}).all()
	l.Sort()
	return b, l
}

// decoder walks YAML nodes into the structs of this package.
type decoder struct {
	file  string
	src   *source
	diags *diag.List
	// unread holds pointers to fields whose value was there but wrong, so
	// that it is not called missing as well.
	unread map[any]bool
	// items holds the places of list items by "list[i]".
	items map[string]diag.Span
	// called is what is read, for messages.
	called string
}

func newDecoder(file string, l *diag.List) decoder {
	return decoder{file: file, diags: l, unread: map[any]bool{}, items: map[string]diag.Span{}, called: "a build file"}
}

// itemSpan is the place of an item of a list.
func (d *decoder) itemSpan(list string, i int) diag.Span {
	return d.items[fmt.Sprintf("%s[%d]", list, i)]
}

// mostProblems is where a report ends: such a file is something else.
const mostProblems = 500

func (d *decoder) full() bool { return len(*d.diags) >= mostProblems }

func (d *decoder) add(sev diag.Severity, code string, at diag.Span, hint, format string, args ...any) {
	if d.full() {
		return
	}
	d.diags.Add(diag.Diagnostic{Severity: sev, Code: code, Span: at, Message: fmt.Sprintf(format, args...), Hint: hint})
}

func (d *decoder) fail(code string, at diag.Span, hint, format string, args ...any) {
	d.add(diag.Error, code, at, hint, format, args...)
}

// load turns the text into the root mapping, or reports why it cannot.
func (d *decoder) load(text []byte) *yaml.Node {
	top := diag.Span{File: d.file, Line: 1, Col: 1, Len: 1}
	if len(text) > MaxSize {
		d.fail("too-large", diag.Span{File: d.file}, "is this the right file?", "the file has %s, %s has at most 1 MiB", sizeText(len(text)), d.called)
		return nil
	}
	d.src = newSource(text)
	if at, why := d.src.notText(); why != "" {
		at.File = d.file
		d.fail("not-text", at, d.called+" is UTF-8 text; is this the right file?", "the file is not text: %s", why)
		return nil
	}
	if len(bytes.TrimSpace(d.src.text)) == 0 {
		d.fail("empty", top, "start one with: fledge new", "the file is empty")
		return nil
	}
	var doc yaml.Node
	if err := yaml.Load(d.src.text, &doc); err != nil {
		d.syntax(err)
		return nil
	}
	root := &doc
	if root.Kind == yaml.DocumentNode {
		if len(root.Content) == 0 {
			d.fail("empty", top, "start one with: fledge new", "the file holds nothing but comments")
			return nil
		}
		root = root.Content[0]
	}
	if !d.plain(root) {
		return nil
	}
	if root.Kind != yaml.MappingNode {
		d.fail("not-a-build", d.span(root), `it starts with "fledge: 1"`, "this is not %s: keys with values are expected at the top", d.called)
		return nil
	}
	return root
}

// syntax reports errors of the YAML reader in our words.
func (d *decoder) syntax(err error) {
	seen := false
	if line := d.src.secondDocument(); line > 0 && strings.Contains(err.Error(), "single document") {
		d.fail("syntax", diag.Span{File: d.file, Line: line, Col: 1, Len: 3}, `one aeroplane per file: remove the line "---"`, "a second document starts here")
		return
	}
	report := func(e *yaml.LoadError) {
		at := diag.Span{File: d.file, Line: max(1, e.Mark.Line), Col: max(1, e.Mark.Column), Len: 1}
		if line, col := d.src.last(); at.Line > line { // behind the end: show the end
			at.Line, at.Col = line, col
		}
		hint := ""
		msg := strings.TrimSpace(e.Message)
		switch {
		case strings.Contains(msg, "tab"), strings.Contains(msg, "cannot start any token") && d.src.at(at.Line, at.Col) == '\t':
			hint = "indent with spaces, not tabs"
		case strings.Contains(msg, "mapping values are not allowed"):
			hint = `a second ": " on one line; put a text that holds ": " into quotes`
		case strings.Contains(msg, "flow"), strings.Contains(msg, "did not find expected ',' or"):
			hint = "a bracket { or [ is not closed, or a comma is missing"
		case strings.Contains(msg, "could not find expected ':'"), strings.Contains(msg, "did not find expected key"):
			hint = "check the indentation and the colon of this line and the one before"
		}
		if strings.Contains(msg, "anchor") || strings.Contains(msg, "alias") {
			hint = "* and & mean something in YAML: put the text into quotes"
		}
		d.fail("syntax", at, hint, "this is not readable YAML: %s", clean(msg))
		seen = true
	}
	var many *yaml.LoadErrors
	var one *yaml.LoadError
	switch {
	case errors.As(err, &many):
		for _, e := range many.Errors {
			report(e)
		}
	case errors.As(err, &one):
		report(one)
	}
	if !seen {
		d.fail("syntax", diag.Span{File: d.file, Line: 1, Col: 1, Len: 1}, "", "this is not readable YAML: %s", clean(err.Error()))
	}
}

// clean keeps a foreign message to one short printable line.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == utf8.RuneError {
			return ' '
		}
		return r
	}, strings.TrimPrefix(s, "yaml: "))
	if r := []rune(s); len(r) > 200 {
		s = string(r[:200]) + "…"
	}
	return s
}

// plain refuses aliases, anchors and tags anywhere: a build file is written
// out, so that an edit changes one value only and nothing can be multiplied.
func (d *decoder) plain(n *yaml.Node) bool {
	ok := true
	switch {
	case n.Kind == yaml.AliasNode:
		d.fail("alias", d.span(n), "write the value out", "a reference (*%s) is not allowed in %s", clean(n.Value), d.called)
		return false
	case n.Anchor != "":
		d.fail("alias", d.span(n), "remove it; a text that starts with & or * needs quotes", "an anchor (&%s) is not allowed in %s", clean(n.Anchor), d.called)
		ok = false
	case n.Style&yaml.TaggedStyle != 0:
		d.fail("tag", d.span(n), "remove it; a text that starts with ! needs quotes", "a type tag (%s) is not allowed in %s", clean(n.Tag), d.called)
		ok = false
	}
	for _, c := range n.Content {
		ok = d.plain(c) && ok
	}
	return ok
}

// span is the place of a node; a scalar's reaches over its source text.
func (d *decoder) span(n *yaml.Node) diag.Span {
	s := diag.Span{File: d.file, Line: n.Line, Col: n.Column, Len: 1}
	if n.Kind == yaml.ScalarNode {
		if from, to, ok := d.src.extent(n); ok {
			s.Len = max(1, utf8.RuneCount(d.src.firstLine(from, to)))
		} else {
			s.Len = max(1, utf8.RuneCountInString(strings.SplitN(n.Value, "\n", 2)[0]))
		}
	}
	return s
}

// version looks at "fledge:" before anything else.
func (d *decoder) version(root *yaml.Node, needed bool) bool {
	for i := 0; i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value != "fledge" {
			continue
		}
		v := root.Content[i+1]
		// One that is no whole number is reported like any other such value.
		if n, err := strconv.Atoi(v.Value); err == nil && n > Current {
			d.fail("version", d.span(v), fmt.Sprintf("this Fledge reads formats up to %d: use a newer Fledge", Current), "the file has format %d, which is newer than this program", n)
			return false
		}
		return true
	}
	if needed {
		d.fail("version", diag.Span{File: d.file, Line: 1, Col: 1, Len: 1}, fmt.Sprintf(`make "fledge: %d" the first line`, Current), `the format version is missing`)
	}
	return true
}

// field is one struct field by its YAML key.
type field struct {
	key, dim, doc, oneof, is string
	name                     bool
	index                    int
	typ                      reflect.Type
}

var fieldCache = map[reflect.Type][]field{}

func init() {
	collect(reflect.TypeFor[Build]())
	collect(reflect.TypeFor[dayText]())
}

// collect reads the tags of a struct and those below it, once.
func collect(t reflect.Type) {
	if _, done := fieldCache[t]; done {
		return
	}
	fieldCache[t] = nil
	var list []field
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		list = append(list, field{
			key: key, dim: f.Tag.Get("dim"), doc: f.Tag.Get("doc"), oneof: f.Tag.Get("oneof"), is: f.Tag.Get("is"),
			name: f.Tag.Get("name") != "", index: i, typ: f.Type,
		})
		switch f.Type {
		case valueType, rangeType:
			if _, ok := unit.DimNamed(f.Tag.Get("dim")); !ok {
				panic("build: field " + t.Name() + "." + f.Name + " has no dimension")
			}
		case textType, countType, flagType, delayType:
		default:
			e := f.Type
			if e.Kind() == reflect.Slice {
				e = e.Elem()
			}
			collect(e)
		}
	}
	fieldCache[t] = list
}

func fieldsOf(t reflect.Type) []field { return fieldCache[t] }

func keysOf(t reflect.Type) []string {
	var keys []string
	for _, f := range fieldsOf(t) {
		keys = append(keys, f.key)
	}
	return keys
}

func fieldNamed(t reflect.Type, key string) (field, bool) {
	for _, f := range fieldsOf(t) {
		if f.key == key {
			return f, true
		}
	}
	return field{}, false
}

var (
	valueType = reflect.TypeFor[Value]()
	rangeType = reflect.TypeFor[Range]()
	textType  = reflect.TypeFor[Text]()
	countType = reflect.TypeFor[Count]()
	flagType  = reflect.TypeFor[Flag]()
	delayType = reflect.TypeFor[Delay]()
)

// isLeaf says whether a field is one scalar of the file.
func isLeaf(t reflect.Type) bool {
	switch t {
	case valueType, rangeType, textType, countType, flagType, delayType:
		return true
	}
	return false
}

// mapping decodes a mapping node into a struct.
func (d *decoder) mapping(n *yaml.Node, into reflect.Value, path string) {
	t := into.Type()
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content) && !d.full(); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			d.fail("syntax", d.span(k), "", "a key must be a plain word")
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.fail("duplicate-key", d.span(k), "keep one of them", "%s stands twice here, first on line %d", diag.Quote(k.Value), first.Line)
			continue
		}
		seen[k.Value] = k
		f, ok := fieldNamed(t, k.Value)
		if !ok {
			d.fail("unknown-key", d.span(k), d.keyHint(k.Value, t), "%s has no key %s", d.where(path), diag.Quote(k.Value))
			continue
		}
		d.value(v, into.Field(f.index), f, join(path, f.key))
	}
}

// keyHint suggests a key: a near one here, else where the key belongs.
func (d *decoder) keyHint(key string, t reflect.Type) string {
	keys := keysOf(t)
	if w, ok := diag.Nearest(key, keys); ok {
		return "did you mean " + diag.Quote(w) + "?"
	}
	if p := homeOf(key); p != "" {
		return fmt.Sprintf("%q belongs under %s", key, p)
	}
	if len(keys) > 24 {
		keys = append(keys[:24:24], "…")
	}
	return "known here: " + strings.Join(keys, ", ")
}

// homeOf finds the only place of the whole format where a key is known.
func homeOf(key string) string {
	var found []string
	var walk func(t reflect.Type, path string)
	walk = func(t reflect.Type, path string) {
		for _, f := range fieldsOf(t) {
			if f.key == key && path != "" {
				found = append(found, path)
			}
			if e := element(f.typ); e != nil {
				walk(e, join(path, f.key))
			}
		}
	}
	walk(reflect.TypeFor[Build](), "")
	if len(found) == 1 {
		return found[0]
	}
	return ""
}

// element is the struct below a field: of a block, or of a list's items; nil
// for a leaf.
func element(t reflect.Type) reflect.Type {
	if isLeaf(t) {
		return nil
	}
	if t.Kind() == reflect.Slice {
		return t.Elem()
	}
	return t
}

func (d *decoder) where(path string) string {
	if path == "" {
		return d.called
	}
	return where(path)
}

func where(path string) string {
	if path == "" {
		return "a build file"
	}
	return path
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null"
}

// value decodes one node into one field.
func (d *decoder) value(n *yaml.Node, into reflect.Value, f field, path string) {
	if isNull(n) {
		at := d.span(n)
		d.add(diag.Warning, "no-value", at, "give it a value or delete the key", "%s has no value: taken as left out", path)
		return
	}
	if !isLeaf(f.typ) {
		if f.typ.Kind() == reflect.Slice {
			d.list(n, into, f, path)
			return
		}
		if n.Kind != yaml.MappingNode {
			d.fail("wrong-kind", d.span(n), "known here: "+strings.Join(keysOf(f.typ), ", "), "%s needs keys with values", path)
			return
		}
		d.mapping(n, into, path)
		return
	}
	if n.Kind != yaml.ScalarNode {
		d.fail("wrong-kind", d.span(n), "", "%s is one value, not a list or a block", path)
		d.unread[into.Addr().Interface()] = true
		return
	}
	if !d.leaf(n, into, f, path) {
		d.unread[into.Addr().Interface()] = true
	}
}

func (d *decoder) list(n *yaml.Node, into reflect.Value, f field, path string) {
	if n.Kind != yaml.SequenceNode {
		d.fail("wrong-kind", d.span(n), `start each item with "- "`, "%s is a list", path)
		return
	}
	items := reflect.MakeSlice(f.typ, len(n.Content), len(n.Content))
	for i, c := range n.Content {
		at := fmt.Sprintf("%s[%d]", path, i)
		d.items[at] = d.span(c)
		if c.Kind != yaml.MappingNode {
			d.fail("wrong-kind", d.span(c), "known here: "+strings.Join(keysOf(f.typ.Elem()), ", "), "%s needs keys with values", at)
			continue
		}
		d.mapping(c, items.Index(i), itemPath(c, f, path, i))
	}
	into.Set(items)
}

// itemPath addresses a list item by its name if it has one, for messages.
func itemPath(c *yaml.Node, f field, path string, i int) string {
	for _, nf := range fieldsOf(f.typ.Elem()) {
		if !nf.name {
			continue
		}
		for j := 0; j+1 < len(c.Content); j += 2 {
			if c.Content[j].Value == nf.key && c.Content[j+1].Kind == yaml.ScalarNode && !isNull(c.Content[j+1]) {
				return path + "." + quoteName(c.Content[j+1].Value)
			}
		}
	}
	return fmt.Sprintf("%s[%d]", path, i)
}

// leaf decodes a scalar and says whether it could be read.
func (d *decoder) leaf(n *yaml.Node, into reflect.Value, f field, path string) bool {
	at := d.span(n)
	switch f.typ {
	case valueType:
		v, ok := d.quantity(n, at, f, path)
		into.Set(reflect.ValueOf(v))
		return ok
	case rangeType:
		lo, hi, err := unit.ParseRange(n.Value, dimOf(f))
		if err != nil {
			d.unitError(err, n, at)
			return false
		}
		into.Set(reflect.ValueOf(Range{Low: lo, High: hi, Span: at, Given: true}))
	case textType:
		v, ok := d.text(n, at, f, path)
		into.Set(reflect.ValueOf(v))
		return ok
	case countType:
		v, err := strconv.Atoi(n.Value)
		if err != nil || v < -1_000_000 || v > 1_000_000 {
			d.fail("not-whole", at, "write a number without unit, point or words", "%s is a whole number, %s is not", path, diag.Quote(n.Value))
			return false
		}
		into.Set(reflect.ValueOf(Count{N: v, Span: at, Given: true}))
		return d.bounds(float64(v), f, at, path, n.Value)
	case flagType:
		switch strings.ToLower(n.Value) {
		case "true", "yes", "on":
			into.Set(reflect.ValueOf(Flag{On: true, Span: at, Given: true}))
		case "false", "no", "off":
			into.Set(reflect.ValueOf(Flag{On: false, Span: at, Given: true}))
		default:
			d.fail("not-a-flag", at, "write true or false", "%s is true or false, not %s", path, diag.Quote(n.Value))
			return false
		}
	case delayType:
		v, ok := d.delay(n, at, path)
		into.Set(reflect.ValueOf(v))
		return ok
	default:
		panic("build: not a leaf")
	}
	return true
}

func dimOf(f field) unit.Dim {
	dim, ok := unit.DimNamed(f.dim)
	if !ok {
		panic("build: no dimension " + f.dim)
	}
	return dim
}

func (d *decoder) quantity(n *yaml.Node, at diag.Span, f field, path string) (Value, bool) {
	q, err := unit.Parse(n.Value, dimOf(f))
	if err != nil {
		d.unitError(err, n, at)
		return Value{}, false
	}
	return Value{Quantity: q, Span: at, Given: true}, d.bounds(q.Value, f, at, path, n.Value)
}

// unitError places an error of the unit parser inside the scalar.
func (d *decoder) unitError(err error, n *yaml.Node, at diag.Span) {
	var e *unit.Error
	if !errors.As(err, &e) {
		panic(err)
	}
	d.diags.Add(diag.Diagnostic{Severity: diag.Error, Code: e.Code, Span: d.inside(n, at, e.Offset, e.Len), Message: e.Message, Hint: e.Hint})
}

// inside is the place of characters [offset, offset+length) of a scalar's
// value. Quoted and plain one-line scalars keep their columns; for others
// (escapes, folded lines) the whole scalar is the place.
func (d *decoder) inside(n *yaml.Node, at diag.Span, offset, length int) diag.Span {
	from, to, ok := d.src.extent(n)
	if !ok {
		return at
	}
	raw := string(d.src.text[from:to])
	shift := 0
	switch n.Style &^ yaml.TaggedStyle {
	case yaml.SingleQuotedStyle, yaml.DoubleQuotedStyle:
		shift = 1
		if raw[1:len(raw)-1] != n.Value {
			return at
		}
	default:
		if raw != n.Value {
			return at
		}
	}
	at.Col += offset + shift
	at.Len = length
	return at
}

// bounds checks a number against the field's "is" tag.
func (d *decoder) bounds(v float64, f field, at diag.Span, path, written string) bool {
	if f.is == "" {
		return true
	}
	b := parseBounds(f.is)
	if b.holds(v) {
		return true
	}
	d.fail("impossible", at, b.hint(f.dim), "%s cannot be %s", path, diag.Quote(written))
	return false
}

// bounds of an "is" tag: "(0,1)", "[0,1]", "(0,)", "[1,6]"; a round bracket
// excludes the end.
type bounds struct {
	low, high         float64
	openLow, openHigh bool
}

func parseBounds(tag string) bounds {
	b := bounds{low: math.Inf(-1), high: math.Inf(1)}
	a, c, ok := strings.Cut(tag[1:len(tag)-1], ",")
	if !ok {
		panic("build: bad bounds " + tag)
	}
	b.openLow, b.openHigh = tag[0] == '(', tag[len(tag)-1] == ')'
	if a != "" {
		b.low = mustFloat(a)
	}
	if c != "" {
		b.high = mustFloat(c)
	}
	return b
}

func mustFloat(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("build: bad bound " + s)
	}
	return v
}

func (b bounds) holds(v float64) bool {
	return (v > b.low || v == b.low && !b.openLow) && (v < b.high || v == b.high && !b.openHigh)
}

// hint says the bounds in the units people use for the dimension.
func (b bounds) hint(dim string) string {
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	if d, ok := unit.DimNamed(dim); ok && d != unit.Ratio && d != unit.Any {
		num = func(v float64) string { return unit.Format(v, d, unit.Metric) }
	}
	switch {
	case math.IsInf(b.high, 1) && b.low == 0 && b.openLow:
		return "it must be more than zero"
	case math.IsInf(b.high, 1) && b.low == 0:
		return "it must not be negative"
	case math.IsInf(b.high, 1) && b.openLow:
		return "it must be more than " + num(b.low)
	case math.IsInf(b.high, 1):
		return "it must be at least " + num(b.low)
	case b.openLow || b.openHigh:
		return "it must lie between " + num(b.low) + " and " + num(b.high)
	}
	return "it must be from " + num(b.low) + " to " + num(b.high)
}

func (d *decoder) text(n *yaml.Node, at diag.Span, f field, path string) (Text, bool) {
	s := strings.TrimSpace(n.Value)
	if s == "" {
		d.fail("no-value", at, "give it a value or delete the key", "%s is empty", path)
		return Text{}, false
	}
	if utf8.RuneCountInString(s) > 500 {
		d.fail("too-long", at, "a remark goes behind a #", "%s is longer than 500 characters", path)
		return Text{}, false
	}
	if i := strings.IndexFunc(s, unshown); i >= 0 { // written as an escape: no letter of the file shows it
		r, _ := utf8.DecodeRuneInString(s[i:])
		d.fail("bad-text", at, "leave it out", "%s holds the control character %U", path, r)
		return Text{}, false
	}
	if f.oneof != "" {
		words := strings.Split(f.oneof, "|")
		i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, s) })
		if i < 0 {
			d.fail("unknown-word", at, diag.DidYouMean(s, words, "one of: "+strings.Join(words, ", ")), "%s is not a word for %s", diag.Quote(s), path)
			return Text{}, false
		}
		s = words[i]
	}
	return Text{S: s, Span: at, Given: true}, true
}

// unshown is what is no letter and what terminals obey: controls but line
// ends and tabs, and marks that turn the direction of writing.
func unshown(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x2028 || r == 0x2029
}

// delay reads "0.6 s ± 0.15 s after release", "0.3 s before release",
// "before release", "at release" and "off".
func (d *decoder) delay(n *yaml.Node, at diag.Span, path string) (Delay, bool) {
	s := strings.TrimSpace(n.Value)
	out := Delay{After: "release"}
	out.Unit = "s"
	out.Span, out.Given = at, true
	out.Dim = unit.Time
	out.Text = n.Value
	switch strings.ToLower(s) {
	case "off", "false", "no":
		out.Off = true
		return out, true
	case "before release", "on":
		// Up to speed by then: a second is longer than any such motor takes.
		out.Before, out.Value.Value = true, -1
		return out, true
	case "at release":
		return out, true
	}
	amount, before := s, false
	for _, tail := range []string{"after release", "before release"} {
		if strings.HasSuffix(strings.ToLower(s), tail) {
			amount = strings.TrimRight(s[:len(s)-len(tail)], " \t\n")
			before = tail[0] == 'b'
		}
	}
	if amount != "" && (amount[0] < '0' || amount[0] > '9') && amount[0] != '.' && amount[0] != '-' && amount[0] != '+' {
		d.fail("bad-delay", at, `write "0.6 s after release", "before release" or "off"`, "%s is not a time for %s", diag.Quote(s), path)
		return Delay{}, false
	}
	q, err := unit.Parse(amount, unit.Time)
	if err != nil {
		d.unitError(err, n, at)
		return Delay{}, false
	}
	if q.Value < 0 {
		d.fail("impossible", at, `write "0.3 s before release"`, "%s cannot be %s", path, diag.Quote(n.Value))
		return Delay{}, false
	}
	q.Text = n.Value
	out.Quantity = q
	if before {
		out.Before = true
		out.Value.Value = -q.Value
	}
	return out, true
}

func sizeText(n int) string {
	if n >= 10<<20 {
		return fmt.Sprintf("%d MiB", n>>20)
	}
	return fmt.Sprintf("%.1f MiB", float64(n)/(1<<20))
}

var dayType = reflect.TypeFor[Day]()
