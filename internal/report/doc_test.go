package report

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// No line of any document is longer than the page, unless one word is.
func TestWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-zµ°]{1,14}`)
		text := func(n int) string { return strings.Join(rapid.SliceOfN(word, 1, n).Draw(t, "words"), " ") }
		d := Doc{Headline: "NO-GO", Title: text(3), Lead: []string{text(40)}, Sections: []Section{{
			Title: text(4), Blocks: []Block{{Para: text(60)}, {List: []string{text(30), text(3)}}, {Table: &Table{
				Head: []string{"", "what", "value"}, Wrap: 1,
				Rows: [][]string{{"ok", text(20), "12.3 m/s"}, {"FAIL", text(2), "1"}},
			}}},
		}}}
		for _, line := range strings.Split(d.Text(), "\n") {
			if utf8.RuneCountInString(line) > Width {
				t.Fatalf("%d columns: %q", utf8.RuneCountInString(line), line)
			}
			if strings.TrimRight(line, " ") != line {
				t.Fatalf("trailing space: %q", line)
			}
		}
	})
}

// Wrapping keeps every word in order.
func TestWrapKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := strings.Join(rapid.SliceOfN(rapid.StringMatching(`[a-z]{1,30}`), 0, 50).Draw(t, "words"), " ")
		got := strings.Join(strings.Fields(wrap(s, "", "", 40)), " ")
		if got != s {
			t.Fatalf("%q became %q", s, got)
		}
	})
}

// What is not a number is null in JSON, never a broken body.
func TestFloat(t *testing.T) {
	for _, r := range []struct {
		v    float64
		want string
	}{{1.5, "1.5"}, {math.NaN(), "null"}, {math.Inf(1), "null"}, {0, "0"}} {
		b, err := json.Marshal(Float(r.v))
		if err != nil || string(b) != r.want {
			t.Errorf("%g: %s, %v", r.v, b, err)
		}
	}
}
