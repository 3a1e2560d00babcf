package main

import (
	"bytes"
	"strings"
	"testing"

	"fledge/internal/app"
)

// TestAsk answers as a person does: a slip is asked again, Enter leaves a
// thing open, the end of the input ends the questions.
func TestAsk(t *testing.T) {
	var talk bytes.Buffer
	in := strings.NewReader("Dunlin\nvtail\nv-tail\n900\n900 mm\n\n4\n")
	questions := app.Questions()
	var a app.Answers
	ask(&console{in: in, talk: &talk}, questions, make([]string, len(questions)), &a)
	if a.Name != "Dunlin" || a.Layout != "v-tail" || a.Span.Value != 0.9 || a.Mass.Value != 0 || a.Cells != 4 || a.Launch != "" {
		t.Errorf("answers %+v", a)
	}
	for _, want := range []string{`did you mean "v-tail"?`, "has no unit", "Mass ready to fly"} {
		if !strings.Contains(talk.String(), want) {
			t.Errorf("nothing says %q:\n%s", want, talk.String())
		}
	}
	if n := strings.Count(talk.String(), "Which layout"); n != 2 {
		t.Errorf("the layout was asked %d times, not twice", n)
	}
}
