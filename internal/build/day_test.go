package build

import (
	"testing"
)

func TestDay(t *testing.T) {
	for _, text := range []string{
		"day: {wind: 4 m/s, gust: 6 m/s, surface: crop}\n",
		"fledge: 1\nday:\n  wind: 4 m/s # from the west\n  gust: 6 m/s\n  surface: crop\n",
	} {
		day, l := ParseDay("d", []byte(text))
		if len(l) > 0 {
			t.Fatal(l.Render(nil))
		}
		b := mustParse(t, puffin(t))
		m := b.WithDay(day, nil)
		if m.Day.Wind.Value != 4 || m.Day.Surface.S != "crop" || m.Day.Pressure.Value != 101300 || b.Day.Wind.Value != 3 {
			t.Errorf("%+v", m.Day)
		}
	}
	for _, c := range []struct{ text, code, at string }{
		{"day: {wind: 4}\n", "no-unit", "d:1:13"},
		{"day: {wnd: 4 m/s}\n", "unknown-key", "d:1:7"},
		{"wind: 4 m/s\n", "unknown-key", "d:1:1"},
		{"fledge: 2\nday: {wind: 4 m/s}\n", "version", "d:1:9"},
		{"fledge: 1\n", "missing", "d:1:1"},
		{"day: {wind: 4 m/s, gust: 3 m/s}\n", "impossible", "d:1:26"},
		{"day: [1]\n", "wrong-kind", "d:1:6"},
		{"", "empty", "d:1:1"},
	} {
		_, l := ParseDay("d", []byte(c.text))
		if len(l) == 0 || l[0].Code != c.code || l[0].Span.String() != c.at {
			t.Errorf("%q: %v", c.text, l)
		}
	}
}
