package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fledge/internal/web"
)

// Opening it to the network is said in plain words, with the code beside the
// addresses and in none of them; without --phone there is neither.
func TestGreet(t *testing.T) {
	say := func(conf web.Config) string {
		var out, talk bytes.Buffer
		if own := greet(&console{out: &out, talk: &talk}, conf, 8300, "abcd-2345"); own != "http://127.0.0.1:8300" {
			t.Errorf("own address %s", own)
		}
		return out.String() + talk.String()
	}
	got := say(web.Config{Phone: true, Hosts: []string{"192.0.2.7", "bench", "bench.local"}})
	for _, want := range []string{"http://127.0.0.1:8300/", "On the phone:  http://192.0.2.7:8300/\n", "not encrypted", "Pairing code, for one device, within the hour:  abcd-2345"} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q:\n%s", want, got)
		}
	}
	for line := range strings.Lines(got) {
		if strings.Contains(line, "http://") && strings.Contains(line, "abcd") {
			t.Errorf("the code stands in an address: %s", line)
		}
	}
	if got := say(web.Config{}); strings.Contains(got, "abcd") || strings.Contains(got, "network") {
		t.Errorf("a workshop for this machine alone says\n%s", got)
	}
}

// docs/workshop.md says of every verb and flag where on the page it is; one
// that lands in the command alone fails here.
func TestWorkshopPage(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "docs", "workshop.md"))
	if err != nil {
		t.Fatal(err)
	}
	code := map[string]bool{} // words between backticks
	for i, span := range strings.Split(string(text), "`") {
		if i%2 == 1 {
			for _, w := range strings.FieldsFunc(span, func(r rune) bool { return r == ' ' || r == ',' }) {
				code[w] = true
			}
		}
	}
	verbs, flags := commandWords()
	for i := range verbs { // of "logbook add" the page says "add"
		verbs[i] = verbs[i][strings.LastIndex(verbs[i], " ")+1:]
	}
	for _, w := range slices.Concat(verbs, flags) {
		if !code[w] && !code["--"+w] {
			t.Errorf("docs/workshop.md does not say where %s is", w)
		}
	}
	if strings.Contains(string(text), "the command alone") {
		t.Error("docs/workshop.md leaves something to the command")
	}
}
