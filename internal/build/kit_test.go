package build

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"fledge/internal/diag"
)

// dozen answers the core steps of an intake.
func dozen(layout string) map[string]string {
	a := map[string]string{"layout": layout}
	for _, s := range KitSteps() {
		if s.Core && s.Key != "layout" {
			a[s.Key] = s.Example
		}
	}
	return a
}

func TestKit(t *testing.T) {
	core := 0
	for _, s := range KitSteps() {
		if s.Core {
			core++
		}
		if s.Ask == "" || s.Example == "" {
			t.Errorf("%s asks nothing", s.Key)
		}
		if _, d := s.Read(s.Example); d != nil {
			t.Errorf("the example of %s is refused: %v", s.Key, d)
		}
	}
	if core < 12 || core > 17 {
		t.Errorf("%d make no dozen", core)
	}
	for _, layout := range Layouts() {
		text, open, l := KitFile(Kit{Answers: dozen(layout)})
		if l.HasErrors() {
			t.Fatalf("%s: %v", layout, l)
		}
		b, ds := Parse("kit", text)
		if ds.HasErrors() {
			t.Fatalf("%s: %v\n%s", layout, ds, text)
		}
		if len(open) == 0 || open[0].Core {
			t.Errorf("%s: open %v", layout, open[0].Key)
		}
		for i := range b.Parts {
			if p := &b.Parts[i]; p.Name.S == "battery" && (p.Mass.Text != "196 g weighed" || p.At.X.Text != "234 mm measured") {
				t.Errorf("%s: battery %s at %s", layout, p.Mass.Text, p.At.X.Text)
			}
		}
	}
	// Everything answered, with deviations.
	all := Kit{Answers: map[string]string{}, Deviations: []KitDeviation{{What: "launch hook", Manual: "on the keel plate", Built: "20 mm forward: on a pad", Why: "no wood there"}}}
	for _, s := range KitSteps() {
		all.Answers[s.Key] = s.Example
	}
	text, open, l := KitFile(all)
	if l.HasErrors() {
		t.Fatal(l)
	}
	if len(open) != 0 {
		t.Errorf("open: %v", open)
	}
	b, ds := Parse("kit", text)
	if ds.HasErrors() {
		t.Fatalf("%v\n%s", ds, text)
	}
	if b.Limits.TakeoffMass.Text != "1.1 kg maker" || !b.Limits.Balance.Given || len(b.Claims) != 2 || len(b.Deviations) != 1 || len(b.Weighing.Scales) != 2 {
		t.Errorf("%+v %+v %+v", b.Limits, b.Claims, b.Weighing)
	}
	if b.Deviations[0].Built.S != "20 mm forward: on a pad" {
		t.Errorf("%+v", b.Deviations)
	}
	// The bare aeroplane balances where the scales say.
	m, mx := 0.0, 0.0
	for i := range b.Parts {
		p := &b.Parts[i]
		if p.Name.S == "battery" {
			continue
		}
		n := 1.0
		if p.Mirrored.On {
			n = 2
		}
		m += n * p.Mass.Value
		mx += n * p.Mass.Value * p.At.X.Value
	}
	if want := (610*255 + 182*635) / 792. / 1e3; math.Abs(mx/m-want) > 1e-3 {
		t.Errorf("balances at %.4f, weighed %.4f", mx/m, want)
	}
}

func TestKitBad(t *testing.T) {
	read := func(text string) diag.List {
		_, l := ParseKit("a", []byte(text))
		return l
	}
	for _, c := range []struct{ text, code string }{
		{"span: 1040\n", "bad-answer"},
		{"span: 1040 g\n", "bad-answer"},
		{"span: [1 m]\n", "wrong-kind"},
		{"spam: 1 m\n", "unknown-key"},
		{"layout: biplane\n", "bad-answer"},
		{"cells: many\n", "bad-answer"},
		{"mass.wing: -2 g\n", "bad-answer"},
		{"span:\n", "empty"},
		{"span: 1 m\nspan: 2 m\n", "duplicate-key"},
		{"span: 1 m\ndeviations: [{wat: x}]\n", "unknown-key"},
	} {
		l := read(c.text)
		if len(l) != 1 || l[0].Code != c.code || l[0].Span.File != "a" || l[0].Span.Line < 1 {
			t.Errorf("%q: %v", c.text, l)
		}
	}
	// Scales and parts that differ by more than a fifth, a balance outside the body.
	a := dozen(VTail)
	a["balance.front_reads"] = "1200 g"
	_, _, l := KitFile(Kit{Answers: a})
	if l.HasErrors() || len(l) != 1 || !strings.Contains(l[0].Message, "one of the two is wrong") {
		t.Error(l)
	}
	// The sheet is an answers file that answers nothing.
	sheet := KitSheet("")
	if l := read(string(sheet)); len(l) != 1 || l[0].Code != "empty" {
		t.Error(l)
	}
	for _, s := range KitSteps() {
		if !bytes.Contains(sheet, []byte("\n"+s.Key+":\n")) {
			t.Errorf("the sheet lacks %s", s.Key)
		}
	}
}

func FuzzKit(f *testing.F) {
	f.Add([]byte("layout: canard\nspan: 1 m\nmass.wing: 100 g\n"))
	f.Add([]byte("battery.from: 1 m\nat.battery: 2 m\ntail.tip_side: 9 m\nbody.length: 1 mm\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		k, l := ParseKit("a", text)
		if l.HasErrors() {
			return
		}
		out, _, l := KitFile(k)
		if l.HasErrors() {
			return
		}
		if _, ds := Parse("kit", out); ds.HasErrors() {
			t.Fatalf("%v\n%s", ds, out)
		}
	})
}
