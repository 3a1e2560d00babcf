package build

import (
	"fmt"
	"reflect"
	"strings"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// SetFile is the file name in the spans of diagnostics about a path or a
// setting; its text is "path" or "path=value", one setting per line.
const SetFile = "--set"

// Leaf is one scalar of a build, or the place where one could stand.
type Leaf struct {
	Path  string   // canonical: names where there are names
	Any   any      // Value, Range, Text, Count, Flag or Delay
	Dim   unit.Dim // of a Value or Range, else None
	Doc   string   // what the key means
	OneOf []string // the allowed words, if only some are
	is    string   // the bounds of a number
}

// Given says whether the file holds it.
func (l Leaf) Given() bool { return reflect.ValueOf(l.Any).FieldByName("Given").Bool() }

// Text is the value as it stands, or would stand, in the file; "" when it is
// not given.
func (l Leaf) Text() string {
	if !l.Given() {
		return ""
	}
	return leafText(l.Any)
}

// Span is its place in the file.
func (l Leaf) Span() diag.Span {
	return reflect.ValueOf(l.Any).FieldByName("Span").Interface().(diag.Span)
}

// Get finds the scalar at a path, given or not. The list says what is wrong
// with the path.
func Get(b *Build, path string) (Leaf, diag.List) {
	var l diag.List
	steps, bad, why := splitPath(path)
	if bad >= 0 {
		l.Add(pathError(1, bad, 1, why, `a path looks like "parts.battery.at.x" or "surfaces.wing.stations[1].twist"`))
		return Leaf{}, l
	}
	v := reflect.ValueOf(b).Elem()
	var f field
	canonical := ""
	for i := 0; i < len(steps); i++ {
		s := steps[i]
		switch {
		case isLeaf(v.Type()):
			l.Add(pathError(1, s.at, s.len, canonical+" is one value, nothing is below it", ""))
			return Leaf{}, l
		case v.Kind() == reflect.Slice:
			n := itemIndex(v, s)
			if n < 0 || n >= v.Len() {
				l.Add(pathError(1, s.at, s.len, fmt.Sprintf("%s has no item %s", canonical, s), itemHint(v, s)))
				return Leaf{}, l
			}
			v = v.Index(n)
			canonical = itemName(v, canonical, n)
		default:
			var ok bool
			if s.index >= 0 {
				l.Add(pathError(1, s.at, s.len, where(canonical)+" is not a list", ""))
				return Leaf{}, l
			}
			if f, ok = fieldNamed(v.Type(), s.name); !ok {
				l.Add(keyError(1, s, canonical, v.Type()))
				return Leaf{}, l
			}
			v = v.Field(f.index)
			canonical = join(canonical, f.key)
		}
	}
	if !isLeaf(v.Type()) {
		l.Add(pathError(1, 0, runes(path), canonical+" is not one value", below(v)))
		return Leaf{}, l
	}
	return leafOf(v, f, canonical), nil
}

func leafOf(v reflect.Value, f field, path string) Leaf {
	out := Leaf{Path: path, Any: v.Interface(), Doc: f.doc, is: f.is}
	switch {
	case f.typ == valueType || f.typ == rangeType:
		out.Dim = dimOf(f)
	case f.typ == delayType:
		out.Dim = unit.Time
	}
	if f.oneof != "" {
		out.OneOf = strings.Split(f.oneof, "|")
	}
	return out
}

func below(v reflect.Value) string {
	if v.Kind() == reflect.Slice {
		return itemHint(v, step{index: -1})
	}
	return "below it: " + strings.Join(keysOf(v.Type()), ", ")
}

func pathError(line, at, length int, message, hint string) diag.Diagnostic {
	return diag.Diagnostic{Severity: diag.Error, Code: "bad-path", Message: message, Hint: hint,
		Span: diag.Span{File: SetFile, Line: line, Col: at + 1, Len: max(1, length)}}
}

func keyError(line int, s step, path string, t reflect.Type) diag.Diagnostic {
	d := decoder{}
	e := pathError(line, s.at, s.len, where(path)+" has no key "+diag.Quote(s.name), d.keyHint(s.name, t))
	e.Code = "unknown-key"
	return e
}

// nameField is the field by which items of a list are addressed.
func nameField(t reflect.Type) (field, bool) {
	for _, f := range fieldsOf(t) {
		if f.name {
			return f, true
		}
	}
	return field{}, false
}

// nameOf is the name of a list's item, "" when it has none.
func nameOf(item reflect.Value) string {
	if f, ok := nameField(item.Type()); ok {
		return item.Field(f.index).Interface().(Text).S
	}
	return ""
}

// itemIndex finds an item by number or name, -1 if there is none; a name that
// stands twice finds none.
func itemIndex(list reflect.Value, s step) int {
	if s.index >= 0 {
		return s.index
	}
	found := -1
	for i := range list.Len() {
		if n := nameOf(list.Index(i)); n != "" && n == s.name {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

func itemHint(list reflect.Value, s step) string {
	if list.Len() == 0 {
		return "the list is empty"
	}
	var names []string
	for i := range list.Len() {
		if n := nameOf(list.Index(i)); n != "" {
			names = append(names, n)
		}
	}
	if len(names) == 0 {
		return fmt.Sprintf("its items are [0] to [%d]", list.Len()-1)
	}
	if s.index < 0 && s.name != "" {
		return diag.DidYouMean(s.name, names, "it has: "+strings.Join(names, ", "))
	}
	return "it has: " + strings.Join(names, ", ")
}

// itemName is the canonical path of a list's item.
func itemName(item reflect.Value, list string, i int) string {
	if n := nameOf(item); n != "" {
		return list + "." + quoteName(n)
	}
	return fmt.Sprintf("%s[%d]", list, i)
}

// Leaves lists every given scalar of a build in the order of the format.
func Leaves(b *Build) []Leaf {
	var out []Leaf
	var walk func(v reflect.Value, path string)
	walk = func(v reflect.Value, path string) {
		for _, f := range fieldsOf(v.Type()) {
			x := v.Field(f.index)
			at := join(path, f.key)
			switch {
			case isLeaf(f.typ):
				if x.FieldByName("Given").Bool() {
					out = append(out, leafOf(x, f, at))
				}
			case f.typ.Kind() == reflect.Slice:
				seen := map[string]int{}
				for i := range x.Len() {
					seen[nameOf(x.Index(i))]++
				}
				for i := range x.Len() {
					name := itemName(x.Index(i), at, i)
					if seen[nameOf(x.Index(i))] > 1 {
						name = fmt.Sprintf("%s[%d]", at, i)
					}
					walk(x.Index(i), name)
				}
			default:
				walk(x, at)
			}
		}
	}
	walk(reflect.ValueOf(b).Elem(), "")
	return out
}
