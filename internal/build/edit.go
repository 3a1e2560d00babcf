package build

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"

	yaml "go.yaml.in/yaml/v4"

	"fledge/internal/diag"
)

// Setting is one "path=value".
type Setting struct{ Path, Value string }

// String is "path=value".
func (s Setting) String() string { return s.Path + "=" + s.Value }

// ParseSetting reads "path=value"; an equals sign inside quotes belongs to
// the path.
func ParseSetting(text string) (Setting, diag.List) {
	quoted := false
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '\\':
			if quoted {
				i++
			}
		case '"':
			quoted = !quoted
		case '=':
			if !quoted {
				return Setting{strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+1:])}, nil
			}
		}
	}
	return Setting{}, diag.List{pathError(1, 0, runes(text), diag.Quote(text)+" has no =", `write it as "parts.battery.at.x=150 mm"`)}
}

// Set changes one scalar of a build file and leaves every other byte, all
// comments and spaces included, as it is. The value is written as in the
// file ("185 g weighed"). A key or block that is missing is added, in the
// style of its surroundings; a list grows by addressing the item after its
// last one by number. Items are not created by name, so that a misspelt name
// is an error. The new text is read again and compared with the old one.
//
// What is wrong with path, value or file comes back as diagnostics, and the
// text unchanged. Set judges the value alone; whether the whole build still
// hangs together is for Parse to say.
func Set(text []byte, path, value string) ([]byte, diag.List) {
	return SetAll(text, []Setting{{path, value}})
}

// SetAll applies settings in turn: all of them, or, when one cannot be
// applied, none. Spans in [SetFile] have the number of the setting, from 1,
// as their line.
func SetAll(text []byte, settings []Setting) ([]byte, diag.List) {
	var l diag.List
	out := text
	for i, s := range settings {
		s.Value = strings.TrimSpace(s.Value)
		out = set(out, s, i+1, &l)
	}
	if l.HasErrors() {
		return text, l
	}
	return out, l
}

func set(text []byte, s Setting, line int, l *diag.List) []byte {
	var loading diag.List
	d := newDecoder("", &loading)
	root := d.load(text)
	if root == nil {
		*l = append(*l, loading...)
		return text
	}
	e := editor{decoder: &d, line: line, setting: s, out: l}
	from, to, insert, ok := e.plan(root)
	if !ok {
		return text
	}
	src := d.src.text
	edited := slicesConcat(text[:d.src.bom], src[:from], []byte(insert), src[to:])
	if !e.verify(root, edited) {
		return text
	}
	return edited
}

func slicesConcat(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// editor plans one edit.
type editor struct {
	*decoder
	line    int
	setting Setting
	out     *diag.List
	target  string // raw path of the scalar, lists by number
}

func (e *editor) fail(d diag.Diagnostic) (int, int, string, bool) {
	e.out.Add(d)
	return 0, 0, "", false
}

func (e *editor) cannot(why string) (int, int, string, bool) {
	d := pathError(e.line, 0, runes(e.setting.Path), why, "edit the file by hand")
	d.Code = "cannot-edit"
	return e.fail(d)
}

// plan finds what to write where: src[from:to] becomes insert.
func (e *editor) plan(root *yaml.Node) (from, to int, insert string, ok bool) {
	steps, bad, why := splitPath(e.setting.Path)
	if bad >= 0 {
		return e.fail(pathError(e.line, bad, 1, why, `a path looks like "parts.battery.at.x" or "surfaces.wing.stations[1].twist"`))
	}
	// Walk types to the end, nodes as far as they go.
	t := reflect.TypeFor[Build]()
	var f field
	node, parent, key := root, (*yaml.Node)(nil), (*yaml.Node)(nil)
	inFlow := false
	var missing []newStep
	path := "" // for people
	raw := ""
	for _, s := range steps {
		if node != nil && isNull(node) {
			// "day:" without value: everything below is missing.
			if len(missing) == 0 {
				parent, node = node, nil
			}
		}
		switch {
		case isLeaf(t):
			return e.fail(pathError(e.line, s.at, s.len, path+" is one value, nothing is below it", ""))
		case t.Kind() == reflect.Slice:
			n, hint := -1, "the list is empty: its first item is [0]"
			have := 0
			if node != nil {
				if node.Kind != yaml.SequenceNode {
					return e.cannot(path + " is not a list in the file")
				}
				n, hint = findItem(node, t.Elem(), s)
				have = len(node.Content)
			} else if s.index >= 0 {
				n = s.index
			}
			if n < 0 || n > have {
				return e.fail(pathError(e.line, s.at, s.len, fmt.Sprintf("%s has no item %s", path, s), hint))
			}
			t = t.Elem()
			if n == have {
				if node != nil {
					inFlow = inFlow || node.Style&yaml.FlowStyle != 0
					parent, node, key = node, nil, nil
				}
				missing = append(missing, newStep{item: true})
			} else {
				inFlow = inFlow || node.Style&yaml.FlowStyle != 0
				parent, node, key = node, node.Content[n], nil
			}
			if s.index < 0 {
				path += "."
			}
			path += s.String()
			raw = fmt.Sprintf("%s[%d]", raw, n)
		default:
			if s.index >= 0 {
				return e.fail(pathError(e.line, s.at, s.len, where(path)+" is not a list", ""))
			}
			var known bool
			if f, known = fieldNamed(t, s.name); !known {
				return e.fail(keyError(e.line, s, path, t))
			}
			t = f.typ
			path, raw = join(path, f.key), join(raw, f.key)
			if node == nil {
				missing = append(missing, newStep{key: f.key})
				continue
			}
			if node.Kind != yaml.MappingNode {
				return e.cannot(where(path) + " is not a block in the file")
			}
			inFlow = inFlow || node.Style&yaml.FlowStyle != 0
			parent, key = node, nil
			node = nil
			for i := 0; i+1 < len(parent.Content); i += 2 {
				if parent.Content[i].Value == f.key {
					key, node = parent.Content[i], parent.Content[i+1]
					break
				}
			}
			if node == nil {
				missing = append(missing, newStep{key: f.key})
			}
		}
	}
	if !isLeaf(t) {
		return e.fail(pathError(e.line, 0, runes(e.setting.Path), path+" is not one value", "below it: "+strings.Join(keysOf(element(t)), ", ")))
	}
	if !e.judge(f, path) {
		return 0, 0, "", false
	}
	e.target = raw
	switch {
	case len(missing) > 0:
		return e.add(root, parent, key, missing, inFlow)
	case isNull(node) && node.Value == "":
		at, ok := e.afterColon(key)
		if !ok {
			return e.cannot("the empty value of " + path + " cannot be found again")
		}
		return at, at, " " + scalar(e.setting.Value, inFlow), true
	case node.Kind != yaml.ScalarNode:
		return e.cannot(path + " is not one value in the file")
	}
	from, to, ok = e.src.extent(node)
	if !ok {
		return e.cannot(path + " is written over several lines")
	}
	return from, to, scalar(e.setting.Value, inFlow), true
}

// newStep is a key or a list item that has to be made.
type newStep struct {
	key  string
	item bool
}

// findItem finds a list item in the nodes; n is -1 with a hint when the name
// is not there, and may be the list's length for a number.
func findItem(list *yaml.Node, t reflect.Type, s step) (n int, hint string) {
	nf, named := nameField(t)
	var names []string
	found, times := -1, 0
	for i, c := range list.Content {
		for j := 0; named && j+1 < len(c.Content); j += 2 {
			if c.Content[j].Value == nf.key && c.Kind == yaml.MappingNode {
				name := strings.TrimSpace(c.Content[j+1].Value)
				names = append(names, name)
				if name == s.name {
					found, times = i, times+1
				}
			}
		}
	}
	last := len(list.Content) - 1
	hint = fmt.Sprintf("its items are [0] to [%d]; [%d] adds one", last, last+1)
	if s.index >= 0 {
		if s.index > last+1 {
			return -1, hint
		}
		return s.index, ""
	}
	if times > 1 {
		return -1, "the name stands several times: use [0] and so on"
	}
	if len(names) > 0 {
		hint = diag.DidYouMean(s.name, names, "it has: "+strings.Join(names, ", "))
	}
	return found, hint
}

// judge reads the value as the field would.
func (e *editor) judge(f field, path string) bool {
	var l diag.List
	d := newDecoder(SetFile, &l)
	d.src = newSource([]byte(e.setting.Value))
	if _, why := d.src.notText(); why != "" || len(e.setting.Value) > 2000 || strings.ContainsAny(e.setting.Value, "\n\r") {
		if why == "" {
			why = "more than one line, or too long"
		}
		at := diag.Span{File: SetFile, Line: e.line, Col: runes(e.setting.Path) + 2, Len: 1}
		e.out.Add(diag.Diagnostic{Severity: diag.Error, Code: "not-text", Span: at, Message: "the value is not one line of text: " + why})
		return false
	}
	n := &yaml.Node{Kind: yaml.ScalarNode, Value: e.setting.Value, Line: 1, Column: 1}
	if strings.TrimSpace(e.setting.Value) == "" {
		e.out.Add(diag.Diagnostic{Severity: diag.Error, Code: "no-value", Span: diag.Span{File: SetFile, Line: e.line, Col: runes(e.setting.Path) + 1, Len: 1}, Message: "no value after the ="})
		return false
	}
	d.leaf(n, reflect.New(f.typ).Elem(), f, path)
	for _, x := range l {
		x.Span.Line = e.line
		x.Span.Col += runes(e.setting.Path) + 1
		e.out.Add(x)
	}
	return !l.HasErrors()
}

// afterColon is the place just behind a key's colon.
func (e *editor) afterColon(key *yaml.Node) (int, bool) {
	if key == nil {
		return 0, false
	}
	_, to, ok := e.src.extent(key)
	if !ok {
		return 0, false
	}
	for to < len(e.src.text) && (e.src.text[to] == ' ' || e.src.text[to] == '\t') {
		to++
	}
	if to >= len(e.src.text) || e.src.text[to] != ':' {
		return 0, false
	}
	return to + 1, true
}

// add writes the missing steps into the container they belong to.
func (e *editor) add(root, parent, key *yaml.Node, missing []newStep, inFlow bool) (int, int, string, bool) {
	src := e.src
	if isNull(parent) { // "day:" or "day: ~"; the key that holds it is looked up
		holder := keyOf(root, parent)
		text := flowText(missing, e.setting.Value)
		if parent.Value != "" {
			if from, to, ok := src.extent(parent); ok {
				return from, to, text, true
			}
		}
		at, ok := e.afterColon(holder)
		if !ok {
			return e.cannot("the empty block cannot be found again")
		}
		return at, at, " " + text, true
	}
	if inFlow {
		open := src.offset(parent.Line, parent.Column)
		if open < 0 || open >= len(src.text) || src.text[open] != '{' && src.text[open] != '[' {
			return e.cannot("the block is written in a way that cannot be added to")
		}
		text := flowText(missing, e.setting.Value)
		text = text[1 : len(text)-1] // without its own brackets
		if len(parent.Content) == 0 {
			return open + 1, open + 1, text, true
		}
		last := parent.Content[len(parent.Content)-1]
		if end, ok := e.end(last, nil); ok && !isNull(last) {
			return end, end, ", " + text, true
		}
		return open + 1, open + 1, text + ", ", true
	}
	// A block mapping or list: a new line behind its last entry.
	if len(parent.Content) == 0 {
		return e.cannot("the block is written in a way that cannot be added to")
	}
	lastKey := (*yaml.Node)(nil)
	last := parent.Content[len(parent.Content)-1]
	column := parent.Column
	if parent.Kind == yaml.MappingNode {
		lastKey = parent.Content[len(parent.Content)-2]
		column = parent.Content[0].Column
		if k := parent.Content[0]; src.at(k.Line, k.Column) == 0 {
			return e.cannot("the block is written in a way that cannot be added to")
		}
	}
	end, ok := e.end(last, lastKey)
	if !ok {
		return e.cannot("the end of the block cannot be found")
	}
	newline := "\n"
	if bytes.Contains(src.text, []byte("\r\n")) {
		newline = "\r\n"
	}
	text := e.blockText(missing, column-1, newline)
	at := len(src.text)
	if i := bytes.IndexByte(src.text[end:], '\n'); i >= 0 {
		at = end + i + 1
	} else {
		text = newline + strings.TrimSuffix(text, newline)
	}
	return at, at, text, true
}

// keyOf finds the key whose value is the node.
func keyOf(root, value *yaml.Node) *yaml.Node {
	if root.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(root.Content); i += 2 {
			if root.Content[i+1] == value {
				return root.Content[i]
			}
		}
	}
	for _, c := range root.Content {
		if k := keyOf(c, value); k != nil {
			return k
		}
	}
	return nil
}

// flowText writes missing steps as {a: {b: [{c: value}]}}.
func flowText(missing []newStep, value string) string {
	text := scalar(value, true)
	for i := len(missing) - 1; i >= 0; i-- {
		if missing[i].item {
			text = "[" + text + "]"
		} else {
			text = "{" + missing[i].key + ": " + text + "}"
		}
	}
	return text
}

// blockText writes missing steps as lines: a key per line, the last block
// and what is below a new list in brackets.
func (e *editor) blockText(missing []newStep, indent int, newline string) string {
	var b strings.Builder
	for i, s := range missing {
		b.WriteString(strings.Repeat(" ", indent))
		rest := missing[i+1:]
		if s.item {
			b.WriteString("- " + flowText(rest, e.setting.Value) + newline)
			return b.String()
		}
		switch {
		case len(rest) == 0:
			b.WriteString(s.key + ": " + scalar(e.setting.Value, false) + newline)
			return b.String()
		case len(rest) == 1 || rest[0].item:
			b.WriteString(s.key + ": " + flowText(rest, e.setting.Value) + newline)
			return b.String()
		}
		b.WriteString(s.key + ":" + newline)
		indent += 2
	}
	return b.String()
}

// end is the byte just behind a node; key is the key it belongs to, needed
// for an empty value.
func (e *editor) end(n, key *yaml.Node) (int, bool) {
	src := e.src
	switch n.Kind {
	case yaml.ScalarNode:
		if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
			if key == nil {
				return 0, false
			}
			return src.blockScalarEnd(n, key.Column), true
		}
		if n.Value == "" && n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) == 0 {
			return e.afterColon(key)
		}
		_, to, ok := src.extent(n)
		return to, ok
	case yaml.MappingNode, yaml.SequenceNode:
		var at int
		ok := false
		if k := len(n.Content); k > 0 {
			last, lastKey := n.Content[k-1], (*yaml.Node)(nil)
			if n.Kind == yaml.MappingNode {
				lastKey = n.Content[k-2]
			}
			if at, ok = e.end(last, lastKey); !ok {
				return 0, false
			}
		} else {
			at = src.offset(n.Line, n.Column)
			if at < 0 {
				return 0, false
			}
			at++
		}
		if n.Style&yaml.FlowStyle == 0 {
			return at, ok
		}
		return src.closing(at)
	}
	return 0, false
}

// closing finds the bracket that ends a flow collection whose last item ends
// at a byte.
func (s *source) closing(i int) (int, bool) {
	for i < len(s.text) {
		switch c := s.text[i]; c {
		case ' ', '\t', '\r', '\n', ',', ':':
			i++
		case '#':
			for i < len(s.text) && s.text[i] != '\n' {
				i++
			}
		case '}', ']':
			return i + 1, true
		default:
			return 0, false
		}
	}
	return 0, false
}

// blockScalarEnd is the end of the last line of a | or > scalar under a key.
func (s *source) blockScalarEnd(n *yaml.Node, column int) int {
	end := s.offset(n.Line, n.Column)
	for line := n.Line; line < len(s.lines); line++ { // lines[line] is the one after
		from := s.lines[line]
		to := len(s.text)
		if line+1 < len(s.lines) {
			to = s.lines[line+1]
		}
		text := s.text[from:to]
		blank := len(bytes.TrimSpace(text)) == 0
		if !blank && len(text)-len(bytes.TrimLeft(text, " ")) < column {
			break
		}
		if !blank {
			end = from + len(bytes.TrimRight(text, "\r\n"))
		}
	}
	return end
}

// verify reads the edited text and compares: the target has the new value,
// everything else is as it was.
func (e *editor) verify(before *yaml.Node, edited []byte) bool {
	var l diag.List
	d := newDecoder("", &l)
	after := d.load(edited)
	if after != nil {
		was, is := flatten(before), flatten(after)
		ok := is[e.target] == e.setting.Value
		for k, x := range was {
			y, there := is[k]
			if k != e.target && (!there || x != y) && !(x == nothing && strings.HasPrefix(e.target, k)) {
				ok = false
			}
		}
		for k := range is {
			if _, there := was[k]; !there && k != e.target {
				ok = false
			}
		}
		if ok {
			return true
		}
	}
	e.cannot("the file is written in a way that this value cannot be changed safely")
	return false
}

// nothing stands for an empty value or empty collection in flatten.
const nothing = "\x00"

// flatten lists every scalar of a tree by its raw path.
func flatten(n *yaml.Node) map[string]string {
	out := map[string]string{}
	var walk func(n *yaml.Node, path string)
	walk = func(n *yaml.Node, path string) {
		switch {
		case isNull(n), n.Kind != yaml.ScalarNode && len(n.Content) == 0:
			out[path] = nothing
		case n.Kind == yaml.ScalarNode:
			out[path] = n.Value
		case n.Kind == yaml.SequenceNode:
			for i, c := range n.Content {
				walk(c, fmt.Sprintf("%s[%d]", path, i))
			}
		default:
			for i := 0; i+1 < len(n.Content); i += 2 {
				walk(n.Content[i+1], join(path, n.Content[i].Value))
			}
		}
	}
	walk(n, "")
	return out
}
