package app

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/report"
)

// The same card twice has the same bytes; its settings lie within their own
// tolerances, and the best change of a wind beats what is set.
func TestCardTwice(t *testing.T) {
	q := CardRequest{Request: Request{Path: filepath.Join("..", "..", "examples", "tern-corrected.yaml"), Seed: 1, Launches: 64, Draws: 32, Fast: true}, Looks: 32, Sheet: "wall.pdf"}
	one, err := Card(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	two, err := Card(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	if len(one.Files) != 2 || one.Files[0].Name != "tern-corrected-card.pdf" || one.Files[1].Name != "wall.pdf" {
		t.Fatalf("%d files", len(one.Files))
	}
	for i := range one.Files {
		if !bytes.Equal(one.Files[i].Text, two.Files[i].Text) {
			t.Errorf("%s differs on repeat", one.Files[i].Name)
		}
	}
	shown := one.Drawn.([]Picture)
	if len(shown) != bytes.Count(one.Files[0].Text, []byte("/Type /Page\n")) || shown[0].File != "tern-corrected-card.pdf" {
		t.Errorf("%d pages shown of %s", len(shown), shown[0].File)
	}
	for _, p := range shown { // well formed, nothing from outside, and the words of the card on it
		for d := xml.NewDecoder(strings.NewReader(p.SVG)); ; {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if strings.Contains(p.SVG, "href") || strings.Contains(p.SVG, "<style") {
			t.Error("the picture takes something from elsewhere")
		}
	}
	for _, w := range []string{"Before the flight, in this order", "Cautions", "Speeds"} {
		if !strings.Contains(shown[0].SVG, ">"+strings.ToUpper(w)+"<") {
			t.Errorf("%q is not on the picture", w)
		}
	}
	body := one.Body.(report.CardJSON)
	if len(body.Settings) < 5 || len(body.Winds) < 6 {
		t.Fatalf("%d settings, %d winds", len(body.Settings), len(body.Winds))
	}
	for _, s := range body.Settings {
		if !(s.Low <= s.Now && s.Now <= s.High) {
			t.Errorf("%s: %g lies not in %g..%g", s.Path, float64(s.Now), float64(s.Low), float64(s.High))
		}
	}
	for i, w := range body.Winds {
		if i > 0 && w.Wind <= body.Winds[i-1].Wind {
			t.Errorf("winds out of order: %v", body.Winds)
		}
		if !(w.Low <= w.Odds && w.Odds <= w.High && w.Low < w.High) || len(w.Set) > 0 && !(w.ThenLow <= w.Then && w.Then <= w.ThenHigh) {
			t.Errorf("at %g m/s: odds %g in %g..%g, then %g in %g..%g", float64(w.Wind), float64(w.Odds), float64(w.Low), float64(w.High), float64(w.Then), float64(w.ThenLow), float64(w.ThenHigh))
		}
		if len(w.Set) > 0 && w.Then <= w.Odds {
			t.Errorf("at %g m/s: %v makes %g of %g", float64(w.Wind), w.Set, float64(w.Then), float64(w.Odds))
		}
	}
	code, err := report.ParseCardCode(body.Code)
	if err != nil || code.Hash != body.Hash || code.Stretch != 10 {
		t.Errorf("%+v, %v", code, err)
	}
}

// Walking from a good setting finds the edge of the odds, on the good side and
// within a step.
func TestStrays(t *testing.T) {
	odds := func(edge float64) func(float64) (float64, error) {
		return func(v float64) (float64, error) {
			if v <= edge {
				return 0.95, nil
			}
			return 0.5, nil
		}
	}
	for _, edge := range []float64{0.001, 0.34, 0.5, 0.77, 0.999} {
		got, free, err := strays(0, 1, 0.01, 0.9, odds(edge))
		if err != nil || free || got > edge || got < edge-0.035 {
			t.Errorf("edge %g: %g, %v, %v", edge, got, free, err)
		}
	}
	if got, free, _ := strays(0, 1, 0.01, 0.9, odds(2)); got != 1 || !free {
		t.Errorf("no edge: %g, %v", got, free)
	}
	if got, free, _ := strays(0.3, 0.3, 0.01, 0.9, odds(2)); got != 0.3 || !free {
		t.Errorf("no range: %g, %v", got, free)
	}
}

// Every example prints, and what cannot be made says why.
func TestPrintExamples(t *testing.T) {
	for _, name := range []string{"tern", "wren", "swift"} {
		q := PrintRequest{Request: Request{Path: filepath.Join("..", "..", "examples", name+".yaml"), Seed: 1, Draws: 16}}
		a, err := Print(context.Background(), q)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		body := a.Body.(report.PrintJSON)
		made := 0
		files := map[string]bool{}
		for _, f := range a.Files {
			if files[f.Name] || len(f.Text) < 500 {
				t.Errorf("%s: %s, %d bytes", name, f.Name, len(f.Text))
			}
			files[f.Name] = true
		}
		for _, i := range body.Items {
			if i.Made {
				made++
			}
			if i.Made == (i.Why != "") || i.Made != (len(i.Files) > 0) {
				t.Errorf("%s: %+v", name, i)
			}
			for _, f := range i.Files {
				if !files[f] {
					t.Errorf("%s: %s is told and not written", name, f)
				}
			}
			t.Log(name, i.What, i.Name, i.Say, i.Why)
		}
		if made < 4 {
			t.Errorf("%s: only %d things made", name, made)
		}
	}
}

func TestPlainName(t *testing.T) {
	for in, want := range map[string]string{"tail servo": "tail-servo", "Höhenruder": "höhenruder", "../../etc": "etc", "a/b\\c": "a-b-c", strings.Repeat("x", 90): strings.Repeat("x", 40), "鳥": "鳥"} {
		if got := plainName(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
