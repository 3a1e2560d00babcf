package main

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"

	"fledge/internal/build"
	"fledge/internal/unit"
)

// formatPage walks the tags that the reader itself uses.
func formatPage() (string, error) {
	var b strings.Builder
	b.WriteString("# The build file\n\n" + generated)
	b.WriteString(`One aeroplane a file, in YAML; the first key is ` + "`fledge: 1`" + `. Comments and order are kept when Fledge edits it. ` +
		"`fledge new`" + ` writes one to start from, ` + "`fledge schema`" + ` prints the JSON Schema that gives an editor completion.

**Quantities** are text with a unit: ` + "`780 mm`, `1.1 kg`, `12 km/h`, `4.5 oz`, `14 degC`" + `. A share may be ` + "`24 %` or `0.24`" + `. After it may stand

- a doubt: ` + "`38 g ± 1 g`, `38 g ± 5 %`" + ` (also ` + "`+-`" + `), two standard deviations;
- or a word for where it comes from, each with a usual spread: `)
	for i, w := range unit.Words() {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString("`" + string(w) + "`")
	}
	b.WriteString(`.

Leave out what you do not know: it is assumed, said to be, and widens the doubt. Unknown keys, missing units and impossible values are errors with their line.

**Places** are from the datum you name: x aft, y right, z up. A mirrored surface or part is given by its right side.

**Paths** for ` + "`--set`" + `: keys joined by dots, list items by their name or number: ` + "`parts.battery.at.x=150 mm`, `surfaces.wing.stations[1].twist=-1 deg`, `linkages.aileron.horn=14 mm`" + `. A name with a dot or space in it goes in double quotes.

**Files** named in a build (sections, blades, propeller tables) lie beside it; their names are relative and lead nowhere else.

`)
	var doc struct {
		Required []string `json:"required"`
	}
	if err := json.Unmarshal(build.Schema(), &doc); err != nil {
		return "", err
	}
	fmt.Fprintf(&b, "Needed: `%s`. All else may be left out.\n", strings.Join(doc.Required, "`, `"))
	spreadTable(&b)
	root := reflect.TypeFor[build.Build]()
	b.WriteString("\n## The blocks\n\n| key | what |\n|---|---|\n")
	for i := range root.NumField() {
		f := root.Field(i)
		fmt.Fprintf(&b, "| `%s` | %s |\n", f.Tag.Get("key"), cell(f.Tag.Get("doc")))
	}
	for i := range root.NumField() {
		f := root.Field(i)
		if isValue(f.Type) {
			continue
		}
		fmt.Fprintf(&b, "\n## %s\n", f.Tag.Get("key"))
		if d := f.Tag.Get("doc"); d != "" {
			fmt.Fprintf(&b, "\n%s.\n", strings.ToUpper(d[:1])+d[1:])
		}
		b.WriteString("\n| key | value | what |\n|---|---|---|\n")
		rows(&b, f.Type, f.Tag.Get("key"))
	}
	return b.String(), nil
}

// spreadTable lists what each word is taken to mean.
func spreadTable(b *strings.Builder) {
	b.WriteString("\n## What a word stands for\n\nTwo standard deviations, unless the file gives its own after `±`. A dimension without a row of its own takes the row of anything else.\n\n| of | word | ± | why | source |\n|---|---|---|---|---|\n")
	for _, d := range unit.Spreads() {
		name, word := "anything else", string(d.Word)
		if d.Dim != unit.None {
			name = d.Dim.String()
		}
		if word == "" {
			word = "(none)"
		}
		if !math.IsInf(d.Upto, 1) {
			name += ", below " + unit.Format(d.Upto, d.Dim, unit.Metric)
		}
		var parts []string
		if d.Abs > 0 {
			parts = append(parts, step(2*d.Abs, d.Dim))
		}
		if d.Rel > 0 {
			parts = append(parts, fmt.Sprintf("%.3g %%", 200*d.Rel))
		}
		source := "our choice"
		if d.Source.Key != "" {
			source = d.Source.String()
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s |\n", cell(name), word, strings.Join(parts, " and "), cell(d.Why), cell(source))
	}
}

// step prints a difference: a temperature's has no zero point.
func step(v float64, d unit.Dim) string {
	if d == unit.Temperature {
		return fmt.Sprintf("%.3g K", v)
	}
	return unit.Format(v, d, unit.Metric)
}

// isValue says whether a field is one scalar of the file.
func isValue(t reflect.Type) bool {
	for _, v := range []reflect.Type{reflect.TypeFor[build.Value](), reflect.TypeFor[build.Text](), reflect.TypeFor[build.Count](), reflect.TypeFor[build.Flag](), reflect.TypeFor[build.Range](), reflect.TypeFor[build.Delay]()} {
		if t == v {
			return true
		}
	}
	return false
}

func rows(b *strings.Builder, t reflect.Type, path string) {
	if t.Kind() == reflect.Slice {
		t = t.Elem()
		path += "[]"
	}
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		at := path + "." + key
		if isValue(f.Type) {
			fmt.Fprintf(b, "| `%s` | %s | %s |\n", at, cell(wants(f)), cell(f.Tag.Get("doc")))
			continue
		}
		rows(b, f.Type, at)
	}
}

// wants says what a field takes.
func wants(f reflect.StructField) string {
	out := ""
	switch f.Type {
	case reflect.TypeFor[build.Text]():
		out = "text"
		if o := f.Tag.Get("oneof"); o != "" {
			return "one of: " + strings.ReplaceAll(o, "|", ", ")
		}
	case reflect.TypeFor[build.Count]():
		out = "whole number"
	case reflect.TypeFor[build.Flag]():
		return "true or false"
	case reflect.TypeFor[build.Delay]():
		return "time, or off"
	case reflect.TypeFor[build.Range]():
		out = "range of " + f.Tag.Get("dim")
	default:
		out = f.Tag.Get("dim")
		if d, ok := unit.DimNamed(out); ok {
			out += ", as `" + d.Example() + "`"
		}
	}
	if is := f.Tag.Get("is"); is != "" {
		out += ", " + bounds(is, f.Tag.Get("dim"))
	}
	return out
}

// bounds says an interval of SI numbers in words.
func bounds(is, dim string) string {
	inner := is[1 : len(is)-1]
	lo, hi, _ := strings.Cut(inner, ",")
	lo, hi = strings.TrimSpace(lo), strings.TrimSpace(hi)
	d, _ := unit.DimNamed(dim)
	say := func(s string) string {
		var v float64
		if _, err := fmt.Sscan(s, &v); err != nil || dim == "" || v == 0 {
			return s
		}
		if d == unit.Ratio {
			return s
		}
		return unit.Format(v, d, unit.Metric)
	}
	var parts []string
	if lo != "" {
		w := "from "
		if is[0] == '(' {
			w = "more than "
		}
		parts = append(parts, w+say(lo))
	}
	if hi != "" {
		w := "up to "
		if is[len(is)-1] == ')' {
			w = "less than "
		}
		parts = append(parts, w+say(hi))
	}
	return strings.Join(parts, ", ")
}
