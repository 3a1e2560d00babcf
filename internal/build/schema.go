package build

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"

	"fledge/internal/unit"
)

// Schema is the JSON Schema (draft 2020-12) of the build file, from the same
// tags the reader uses: editors complete and check with it. It is a little
// more lenient than Parse (a quantity is checked by a pattern, and nothing
// is compared with anything else), and stricter in spelling (words in the
// case they are listed in).
func Schema() []byte {
	s := schemaOf(reflect.TypeFor[Build]())
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["$id"] = "urn:fledge:build:1"
	s["title"] = "Fledge build file"
	s["description"] = "One aeroplane, its launch gear and its day. Lengths from the datum: x aft, y right, z up. " +
		"A quantity has a unit and may carry a doubt and its origin: 38 g, 38 g ± 1 g, 38 g weighed."
	s["required"] = []string{"fledge", "surfaces"}
	out, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		panic(err)
	}
	return append(out, '\n')
}

type object = map[string]any

func schemaOf(t reflect.Type) object {
	props := object{}
	var required []string
	for _, f := range fieldsOf(t) {
		props[f.key] = fieldSchema(f)
		if f.name && (t == reflect.TypeFor[Surface]() || t == reflect.TypeFor[Part]()) {
			required = append(required, f.key)
		}
	}
	if t == reflect.TypeFor[Station]() {
		required = []string{"x", "chord"}
	}
	s := object{"type": "object", "properties": props, "additionalProperties": false}
	if required != nil {
		s["required"] = required
	}
	return s
}

func fieldSchema(f field) object {
	s := leafSchema(f)
	if s == nil {
		if f.typ.Kind() == reflect.Slice {
			s = object{"type": "array", "items": schemaOf(f.typ.Elem())}
			if f.typ.Elem() == reflect.TypeFor[Station]() {
				s["minItems"] = 2
			}
		} else {
			s = schemaOf(f.typ)
		}
	}
	doc := f.doc
	if f.typ == valueType || f.typ == rangeType {
		d := dimOf(f)
		if doc != "" {
			doc += "; "
		}
		example := d.Example()
		if f.typ == rangeType {
			doc += "a range of " + d.String() + ", as 120 mm to 200 mm"
		} else {
			doc += d.Article() + ", as " + example
		}
	}
	if doc != "" {
		s["description"] = doc
	}
	return s
}

func leafSchema(f field) object {
	switch f.typ {
	case textType:
		if f.oneof != "" {
			return object{"type": "string", "enum": strings.Split(f.oneof, "|")}
		}
		// A bare number or truth word is a text, too: "name: 7".
		return object{"type": []string{"string", "number", "boolean"}, "minLength": 1, "maxLength": 500}
	case countType:
		s := object{"type": "integer"}
		addBounds(s, f)
		return s
	case flagType:
		return object{"enum": []any{true, false, "yes", "no", "on", "off"}}
	case delayType:
		time := strings.TrimSuffix(unit.Pattern(unit.Time, true), "$")
		return object{"type": []string{"string", "boolean"}, "pattern": time + `(?:after release|before release)? *$|^ *(?:off|on|before release|at release) *$`}
	case rangeType:
		return object{"type": "string", "pattern": unit.RangePattern(dimOf(f))}
	case valueType:
		d := dimOf(f)
		text := object{"type": "string", "pattern": unit.Pattern(d, f.is != "" && parseBounds(f.is).low >= 0)}
		if d != unit.Ratio && d != unit.Any {
			return text
		}
		num := object{"type": "number"}
		addBounds(num, f)
		return object{"anyOf": []any{num, text}}
	}
	return nil
}

func addBounds(s object, f field) {
	if f.is == "" {
		return
	}
	b := parseBounds(f.is)
	if !math.IsInf(b.low, 0) {
		if b.openLow {
			s["exclusiveMinimum"] = b.low
		} else {
			s["minimum"] = b.low
		}
	}
	if !math.IsInf(b.high, 0) {
		if b.openHigh {
			s["exclusiveMaximum"] = b.high
		} else {
			s["maximum"] = b.high
		}
	}
}
