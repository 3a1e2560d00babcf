package build

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	yaml "go.yaml.in/yaml/v4"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// Print writes a build as a file that Parse reads back to the same build
// (spans apart). Only given values are written, in the order of the format;
// comments are not part of a Build: to change a user's file use [Set].
func Print(b *Build) []byte {
	p := printer{}
	p.block(reflect.ValueOf(b).Elem(), 0, false)
	return []byte(p.b.String())
}

// flowWidth is the longest line a block is put on as {…}.
const flowWidth = 160

type printer struct{ b strings.Builder }

// block prints the given fields of a struct, one per line. The first line is
// not indented when it follows "- ".
func (p *printer) block(v reflect.Value, indent int, afterDash bool) {
	pad := func() {
		if !afterDash {
			p.b.WriteString(strings.Repeat("  ", indent))
		}
		afterDash = false
	}
	for _, f := range fieldsOf(v.Type()) {
		x := v.Field(f.index)
		if isEmpty(x) {
			continue
		}
		pad()
		switch {
		case isLeaf(f.typ):
			p.b.WriteString(f.key + ": " + scalar(leafText(x.Interface()), false) + "\n")
		case f.typ.Kind() == reflect.Slice:
			p.b.WriteString(f.key + ":\n")
			for i := range x.Len() {
				p.b.WriteString(strings.Repeat("  ", indent+1) + "- ")
				if s, ok := flow(x.Index(i)); ok {
					p.b.WriteString(s + "\n")
				} else {
					p.block(x.Index(i), indent+2, true)
				}
			}
		default:
			if s, ok := flow(x); ok && indent > 0 {
				p.b.WriteString(f.key + ": " + s + "\n")
			} else {
				p.b.WriteString(f.key + ":\n")
				p.block(x, indent+1, false)
			}
		}
	}
}

// flow prints a struct as {…} if it holds no lists and is short.
func flow(v reflect.Value) (string, bool) {
	var items []string
	for _, f := range fieldsOf(v.Type()) {
		x := v.Field(f.index)
		if isEmpty(x) {
			continue
		}
		switch {
		case isLeaf(f.typ):
			items = append(items, f.key+": "+scalar(leafText(x.Interface()), true))
		case f.typ.Kind() == reflect.Slice:
			return "", false
		default:
			s, ok := flow(x)
			if !ok {
				return "", false
			}
			items = append(items, f.key+": "+s)
		}
	}
	s := "{" + strings.Join(items, ", ") + "}"
	return s, len(s) <= flowWidth
}

// isEmpty says whether nothing below is given.
func isEmpty(v reflect.Value) bool {
	t := v.Type()
	if isLeaf(t) {
		return !v.FieldByName("Given").Bool()
	}
	if t.Kind() == reflect.Slice {
		return v.Len() == 0
	}
	for _, f := range fieldsOf(t) {
		if !isEmpty(v.Field(f.index)) {
			return false
		}
	}
	return true
}

// leafText is the text of a given leaf value as it stands, or would stand, in
// a file.
func leafText(leaf any) string {
	switch x := leaf.(type) {
	case Value:
		return quantityText(x.Quantity)
	case Range:
		return quantityText(x.Low) + " to " + quantityText(x.High)
	case Text:
		return x.S
	case Count:
		return strconv.Itoa(x.N)
	case Flag:
		return strconv.FormatBool(x.On)
	case Delay:
		return x.text()
	}
	panic(fmt.Sprintf("build: %T is not a leaf", leaf))
}

// quantityText keeps what the user wrote as long as it says the value.
func quantityText(q unit.Quantity) string {
	if q.Text != "" {
		if r, err := unit.Parse(q.Text, q.Dim); err != nil || sameQuantity(r, q) {
			// An error: "120" of "120 to 200 mm", which borrows the other unit.
			return q.Text
		}
	}
	return unit.FormatQuantity(q)
}

func sameQuantity(a, b unit.Quantity) bool {
	return a.Value == b.Value && a.Sigma == b.Sigma && a.Stated == b.Stated && a.Word == b.Word && a.Dim == b.Dim
}

// text keeps what the user wrote as long as it says the delay.
func (x Delay) text() string {
	if x.Text != "" {
		var l diag.List
		d := newDecoder("", &l)
		d.src = newSource([]byte(x.Text))
		y, ok := d.delay(&yaml.Node{Kind: yaml.ScalarNode, Value: x.Text, Line: 1, Column: 1}, diag.Span{}, "")
		if ok && sameQuantity(x.Quantity, y.Quantity) && x.Off == y.Off && x.Before == y.Before {
			return x.Text
		}
	}
	switch {
	case x.Off:
		return "off"
	}
	q := x.Quantity
	q.Text = ""
	tail := " after release"
	if x.Before {
		q.Value, tail = -q.Value, " before release"
	}
	return unit.FormatQuantity(q) + tail
}

// scalar writes a text as a YAML scalar: plain if that is safe (inside {…} or
// […] when flow is true), else in double quotes.
func scalar(s string, flow bool) string {
	if isPlain(s, flow) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < ' ':
			fmt.Fprintf(&b, `\x%02x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// isPlain is on the safe side: some texts it sends to quotes need none.
func isPlain(s string, flow bool) bool {
	if s == "" || s != strings.TrimSpace(s) {
		return false
	}
	switch strings.ToLower(s) {
	case "~", "null":
		return false
	}
	r := []rune(s)
	first := r[0]
	if !unicode.IsLetter(first) && !unicode.IsDigit(first) && !strings.ContainsRune("./(°µ€$£±+−", first) {
		if first != '-' || len(r) < 2 || !unicode.IsDigit(r[1]) && r[1] != '.' {
			return false
		}
	}
	if strings.HasPrefix(s, "...") {
		return false
	}
	for i, c := range r {
		switch {
		case c < ' ', c == '"' && flow:
			return false
		case c == ':' && (i+1 == len(r) || r[i+1] == ' ' || flow):
			return false
		case c == '#' && i > 0 && r[i-1] == ' ':
			return false
		case flow && strings.ContainsRune(",[]{}", c):
			return false
		case unicode.IsSpace(c) && c != ' ':
			return false
		case c == ' ' && i > 0 && r[i-1] == ' ':
			return false // a reader may fold it
		}
	}
	return true
}
