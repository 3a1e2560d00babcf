package unit

import (
	"errors"
	"regexp"
	"testing"

	"pgregory.net/rapid"
)

func TestPattern(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, d := anyText(t)
		if q, err := Parse(text, d); err == nil {
			for _, s := range []string{text, FormatQuantity(q)} {
				if !regexp.MustCompile(Pattern(d, true)).MatchString(s) {
					t.Fatalf("%q does not match the pattern of %s", s, d)
				}
			}
		} else if e := new(Error); !errors.As(err, &e) || e.Code != "out-of-range" {
			t.Fatal(err)
		}
	})
	for _, c := range []struct {
		text string
		d    Dim
		want bool
	}{
		{"38", Mass, false},
		{"38 mm", Mass, false},
		{"-38 g", Mass, false},
		{"38 g", Mass, true},
		{"38 ± 1 g", Mass, true},
		{"38 g ± 1 g weighed", Mass, true},
		{"heavy", Mass, false},
		{"0.25", Ratio, true},
		{"24 %", Ratio, true},
		{"24 mm", Ratio, false},
		{"2.1 kg·cm", Torque, true},
		{"15 dm²", Area, true},
		{"€12", Money, true},
	} {
		if got := regexp.MustCompile(Pattern(c.d, true)).MatchString(c.text); got != c.want {
			t.Errorf("%q as %s: %v", c.text, c.d, got)
		}
	}
	r := regexp.MustCompile(RangePattern(Length))
	if !r.MatchString("120 mm to 200 mm") || !r.MatchString("120 to 200 mm") || r.MatchString("120 mm") || r.MatchString("1 g to 2 g") {
		t.Error("range pattern")
	}
}
