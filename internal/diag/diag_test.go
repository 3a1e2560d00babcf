package diag

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestRender(t *testing.T) {
	text := "fledge: 1\r\nparts:\r\n  - {name: \"Ωµ\", mass: 38 mm}\r\n" + strings.Repeat("x", 200) + "y\n\tz\n"
	for _, c := range []struct {
		d    Diagnostic
		want string
	}{
		{Diagnostic{Error, "wrong-unit", Span{"a.yaml", 3, 28, 2}, `"mm" is a length, a mass is needed`, `write it like "38 g"`},
			"a.yaml:3:28: error: \"mm\" is a length, a mass is needed\n" +
				"    3 |   - {name: \"Ωµ\", mass: 38 mm}\n" +
				"      |                            ^^\n" +
				"  hint: write it like \"38 g\"\n"},
		{Diagnostic{Warning, "x", Span{"a.yaml", 4, 201, 1}, "far right", ""},
			"a.yaml:4:201: warning: far right\n" +
				"    4 | …" + strings.Repeat("x", 70) + "y\n" +
				"      | " + strings.Repeat(" ", 71) + "^\n"},
		{Diagnostic{Note, "x", Span{"a.yaml", 4, 1, 500}, "far left", ""},
			"a.yaml:4:1: note: far left\n" +
				"    4 | " + strings.Repeat("x", 71) + "…\n" +
				"      | " + strings.Repeat("^", 72) + "\n"},
		{Diagnostic{Error, "x", Span{"a.yaml", 5, 2, 1}, "behind a tab", ""},
			"a.yaml:5:2: error: behind a tab\n    5 |  z\n      |  ^\n"},
		{Diagnostic{Error, "x", Span{"a.yaml", 99, 2, 1}, "behind the end", ""}, "a.yaml:99:2: error: behind the end\n"},
		{Diagnostic{Error, "x", Span{File: "a.yaml"}, "the whole file", ""}, "a.yaml: error: the whole file\n"},
		{Diagnostic{Error, "x", Span{}, "nowhere", ""}, "error: nowhere\n"},
	} {
		got := List{c.d}.Render(func(string) []byte { return []byte(text) })
		if got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
}

// No line is wider than Width as long as no single word is.
func TestRenderWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("ab {}:,µ\t\n")), 0, 400, -1).Draw(t, "text")
		d := Diagnostic{
			Severity: Severity(rapid.IntRange(0, 2).Draw(t, "severity")),
			Span:     Span{"f", rapid.IntRange(0, 5).Draw(t, "line"), rapid.IntRange(0, 300).Draw(t, "col"), rapid.IntRange(-1, 300).Draw(t, "len")},
			Message:  strings.Repeat("word ", rapid.IntRange(1, 60).Draw(t, "words")),
			Hint:     strings.Repeat("hint ", rapid.IntRange(0, 60).Draw(t, "hints")),
		}
		for _, line := range strings.Split(List{d}.Render(func(string) []byte { return []byte(text) }), "\n") {
			if utf8.RuneCountInString(line) > Width {
				t.Fatalf("%d characters: %q", utf8.RuneCountInString(line), line)
			}
		}
	})
}

func TestList(t *testing.T) {
	var l List
	if l.HasErrors() || l.Err() != nil || len(l.JSON()) != 0 || l.JSON() == nil {
		t.Error("the empty list")
	}
	l.Add(Diagnostic{Warning, "w", Span{"b", 1, 1, 1}, "later file", ""})
	if l.HasErrors() {
		t.Error("a warning is no error")
	}
	l.Errorf("e", Span{"a", 2, 5, 1}, "number %d", 2)
	l.Errorf("e", Span{"a", 2, 1, 1}, "number %d", 1)
	l.Errorf("e", Span{"a", 2, 1, 1}, "number %d", 1)
	l.Sort()
	if got := l.Err().Error(); got != "a:2:1: error: number 1\na:2:5: error: number 2\nb:1:1: warning: later file" {
		t.Error(got)
	}
	raw, err := json.Marshal(l.JSON()[:1])
	if err != nil || string(raw) != `[{"severity":"error","code":"e","file":"a","line":2,"column":1,"length":1,"message":"number 1"}]` {
		t.Errorf("%s %v", raw, err)
	}
	var many List
	for range Shown + 3 {
		many.Errorf("e", Span{}, "x")
	}
	if got := many.Render(nil); !strings.HasSuffix(got, "… and 3 more\n") {
		t.Error(got)
	}
}

func TestNearest(t *testing.T) {
	words := []string{"mass", "name", "size", "may_move", "capacity", "x", "y"}
	for got, want := range map[string]string{
		"mas": "mass", "Mass": "mass", "masss": "mass", "nmae": "name", "capcity": "capacity", "capasity": "capacity",
		"may-move": "may_move", "weight": "", "": "", "z": "", "X": "x", strings.Repeat("a", 500): "",
	} {
		if w, _ := Nearest(got, words); w != want {
			t.Errorf("%q: %q, want %q", got, w, want)
		}
	}
	if DidYouMean("mas", words, "none") != `did you mean "mass"?` || DidYouMean("weight", words, "none") != "none" {
		t.Error("did you mean")
	}
}

// The distance is a distance: symmetric, zero for equal words only, and one
// for one typing slip.
func TestDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SliceOfN(rapid.RuneFrom([]rune("abc")), 0, 8)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if distance(a, b) != distance(b, a) || (distance(a, b) == 0) != (string(a) == string(b)) {
			t.Fatal(distance(a, b), distance(b, a))
		}
		i := rapid.IntRange(0, len(a)).Draw(t, "at")
		longer := append(append(append([]rune{}, a[:i]...), 'z'), a[i:]...)
		if distance(a, longer) != 1 {
			t.Fatal(string(a), string(longer))
		}
		if i > 0 && i < len(a) && a[i-1] != a[i] {
			swapped := append([]rune{}, a...)
			swapped[i-1], swapped[i] = swapped[i], swapped[i-1]
			if distance(a, swapped) != 1 {
				t.Fatal(string(a), string(swapped))
			}
		}
	})
}
