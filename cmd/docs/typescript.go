package main

import (
	"fmt"
	"reflect"
	"strings"

	"fledge/internal/app"
	"fledge/internal/report"
	"fledge/internal/web"
)

// apiTypes is ui/src/api.ts: the bodies of the workshop's contract as
// TypeScript, from the structs that the server sends and reads. A tag
// words:"a|b" of a text gives its words.
func apiTypes() (string, error) {
	t := tsWriter{done: map[string]reflect.Type{}}
	for _, v := range web.Wire() {
		if err := t.named(reflect.TypeOf(v)); err != nil {
			return "", err
		}
	}
	return "// Written by go run ./cmd/docs docs, from the structs of internal/web: do not edit.\n" +
		"// Numbers are SI (or degrees); null is a number that cannot be had. See docs/workshop-api.md.\n\n" +
		"/** A number, null when it is not a finite one. */\nexport type Num = number | null;\n" +
		"/** Places in build axes, m: [x, y] from above or [x, z] from the side, and [x aft, y right, z up]. */\n" +
		"export type Point2 = [number, number];\nexport type Point3 = [number, number, number];\n" + t.b.String(), nil
}

type tsWriter struct {
	b    strings.Builder
	done map[string]reflect.Type
}

// tsName is what a struct is called: its own name without the ending that
// says it is JSON or a view.
func tsName(t reflect.Type) string {
	return strings.TrimSuffix(strings.TrimSuffix(t.Name(), "JSON"), "View")
}

// named writes a struct and those it holds, each once.
func (w *tsWriter) named(t reflect.Type) error {
	name := tsName(t)
	if other, ok := w.done[name]; ok {
		if other != t {
			return fmt.Errorf("two types are called %s: %v and %v", name, other, t)
		}
		return nil
	}
	w.done[name] = t
	var b strings.Builder
	fmt.Fprintf(&b, "\nexport interface %s {\n", name)
	if err := w.fields(&b, t, map[string]bool{}); err != nil {
		return err
	}
	b.WriteString("}\n")
	w.b.WriteString(b.String())
	return nil
}

// fields writes the keys of a struct; those of an outer one hide an embedded
// one's.
func (w *tsWriter) fields(b *strings.Builder, t reflect.Type, taken map[string]bool) error {
	own := map[string]bool{}
	for k := range taken {
		own[k] = true
	}
	for i := range t.NumField() {
		if f := t.Field(i); !f.Anonymous {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			own[name] = true
		}
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-", !f.IsExported() && !f.Anonymous, taken[name] && name != "":
			continue
		case f.Anonymous && name == "":
			if err := w.fields(b, f.Type, own); err != nil {
				return err
			}
			continue
		case name == "":
			return fmt.Errorf("%v.%s has no JSON key", t, f.Name)
		}
		kind, err := w.kind(f.Type)
		if err != nil {
			return err
		}
		if words := f.Tag.Get("words"); words != "" {
			kind = `"` + strings.ReplaceAll(words, "|", `" | "`) + `"`
		}
		optional := ""
		if strings.Contains(opts, "omitempty") {
			optional = "?"
			kind = strings.TrimSuffix(kind, " | null")
			if f.Type == reflect.TypeFor[*report.Float]() { // it may be there and be null
				kind = "Num"
			}
		}
		fmt.Fprintf(b, "  %s%s: %s;\n", name, optional, kind)
	}
	return nil
}

func (w *tsWriter) kind(t reflect.Type) (string, error) {
	switch t {
	case reflect.TypeFor[report.Float]():
		return "Num", nil
	case reflect.TypeFor[app.Point2]():
		return "Point2", nil
	case reflect.TypeFor[app.Point3]():
		return "Point3", nil
	}
	switch t.Kind() {
	case reflect.Pointer:
		k, err := w.kind(t.Elem())
		return k + " | null", err
	case reflect.Slice:
		k, err := w.kind(t.Elem())
		if strings.Contains(k, " | ") {
			k = "(" + k + ")"
		}
		return k + "[]", err
	case reflect.Array:
		k, err := w.kind(t.Elem())
		return "[" + strings.TrimSuffix(strings.Repeat(k+", ", t.Len()), ", ") + "]", err
	case reflect.Map:
		k, err := w.kind(t.Elem())
		return "{ [key: string]: " + k + " }", err
	case reflect.Struct:
		return tsName(t), w.named(t)
	case reflect.String:
		return "string", nil
	case reflect.Bool:
		return "boolean", nil
	case reflect.Interface:
		return "unknown", nil
	case reflect.Int, reflect.Int64, reflect.Uint64, reflect.Float64:
		return "number", nil
	}
	return "", fmt.Errorf("no type for %v", t)
}
