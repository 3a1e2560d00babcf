package build

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	yaml "go.yaml.in/yaml/v4"
)

var compiled = sync.OnceValue(func() *jsonschema.Schema {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		panic(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:fledge:build:1", doc); err != nil {
		panic(err)
	}
	return c.MustCompile("urn:fledge:build:1")
})

func generic(t testing.TB, text string) any {
	t.Helper()
	var v any
	if err := yaml.Load([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

func TestSchema(t *testing.T) {
	s := compiled()
	for _, good := range []string{string(puffin(t)), sound, string(Print(mustParse(t, puffin(t))))} {
		if err := s.Validate(generic(t, good)); err != nil {
			t.Errorf("%v", err)
		}
	}
	for _, c := range []struct{ old, new string }{
		{"fledge: 1\n", ""},
		{"fledge: 1\n", "fledge: 0\n"},
		{"twist:", "twst:"},
		{"chord: 180 mm", "chord: -180 mm"},
		{"chord: 180 mm", "chord: 180"},
		{"chord: 180 mm", "chord: 180 g"},
		{"chord: 180 mm, ", ""},
		{"kind: motor", "kind: engine"},
		{"mass: 60 g", "mass: NaN g"},
		{"name: servo, ", ""},
		{"cells: 3", "cells: 0"},
		{"cells: 3", "cells: 3 cells"},
		{"by: bungee", "by: bungy"},
		{"25 %", "25 mm"},
		{"25 %", "1.5"},
		{"60 mm to 120 mm", "60 mm"},
		{"0.6 s after release", "soon"},
		{"{what:", "{wht:"},
		{"mirrored: true", "mirrored: perhaps"},
	} {
		bad := strings.Replace(sound, c.old, c.new, 1)
		if bad == sound {
			t.Fatalf("%q is not in the text", c.old)
		}
		if s.Validate(generic(t, bad)) == nil {
			t.Errorf("%q for %q passes the schema", c.new, c.old)
		}
		if _, l := Parse("", []byte(bad)); !l.HasErrors() {
			t.Errorf("%q for %q passes the reader", c.new, c.old)
		}
	}
}

func mustParse(t testing.TB, text []byte) *Build {
	t.Helper()
	b, l := Parse("build", text)
	if l.HasErrors() {
		t.Fatal(l.Render(func(string) []byte { return text }))
	}
	return b
}

// The bundled examples pass the reader, the schema, printing, and editing
// each scalar by itself.
func TestExamples(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.yaml")
	if len(files) == 0 {
		t.Fatal("no examples")
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		b, l := Parse(name, text)
		if len(l) > 0 {
			t.Errorf("%s", l.Render(func(string) []byte { return text }))
			continue
		}
		if err := compiled().Validate(generic(t, string(text))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if d := sameBuild(b, mustParse(t, Print(b))); d != "" {
			t.Errorf("%s: printed\n%s", name, d)
		}
		for i, leaf := range Leaves(b) {
			if i%7 != 0 {
				continue
			}
			if same, l := Set(text, leaf.Path, leaf.Text()); len(l) > 0 || !bytes.Equal(same, text) {
				t.Errorf("%s: setting %s to itself: %v", name, leaf.Path, l)
			}
		}
	}
	days, _ := filepath.Glob("../../examples/days/*.yaml")
	for _, name := range days {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, l := ParseDay(name, text); len(l) > 0 {
			t.Errorf("%s", l.Render(func(string) []byte { return text }))
		}
	}
}
