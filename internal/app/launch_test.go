package app

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fledge/internal/report"
	"fledge/internal/verdict"
)

const examples = "../../examples/"

// Bad input of a launch, through the main job: a located message or a finding
// that says so, never a panic and never a GO.
func TestBadLaunchInput(t *testing.T) {
	once := shared(Request{})
	for _, c := range []struct {
		name    string
		sets    []string
		located string   // code of the warning; "*": refused, with place, excerpt and hint; empty: none needed
		found   []string // words that some finding's reason or a note must hold; any one
	}{
		{"slack longer than the pull", []string{"launch.bungee.stretch=-1 m"}, "*", nil},
		{"no pull at all", []string{"launch.bungee.stretch=0 m"}, "*", nil},
		{"beyond the rubber's limit", []string{"launch.bungee.stretch=40 m"}, "over-stretched", []string{"natural rubber breaks"}},
		{"beyond the pull test", []string{"launch.bungee.stretch=14 m"}, "beyond-test", []string{"pulled further than the pull test"}},
		{"slack longer than all the cord gives", []string{"launch.bungee.cord.slack=0.5 m"}, "over-stretched", []string{"natural rubber"}},
		{"hook behind the balance point", []string{"launch.bungee.hook.x=420 mm"}, "hook-aft", []string{"behind the centre of gravity"}},
		{"no friction", []string{"launch.bungee.hook.friction=0"}, "", []string{"no ring slides without friction"}},
		{"a gale", []string{"day.wind=30 m/s", "day.gust=35 m/s"}, "", []string{"more wind than a small model"}},
		{"a hook that holds nothing", []string{"launch.bungee.hook.rake=90 deg", "launch.bungee.hook.friction=0.01"}, "", []string{"launch odds 0.0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := Request{Path: examples + "tern.yaml", Seed: 1, Sets: c.sets, Fast: true, Launches: 64, Draws: 16, memo: once}
			got, o, err := Check(context.Background(), q)
			var bad *BadInput
			if errors.As(err, &bad) {
				text := bad.Render()
				set := strings.SplitN(c.sets[0], "=", 2)
				if c.located != "*" || !strings.Contains(text, set[0]) || !strings.Contains(text, set[1]) || !strings.Contains(text, "^") || !strings.Contains(text, "hint") {
					t.Fatalf("refused: %s", text)
				}
				return
			}
			if c.located == "*" {
				t.Fatal("not refused")
			}
			if err != nil {
				t.Fatal(err)
			}
			if got.Verdict.Word == verdict.Go {
				t.Error("GO")
			}
			if c.located != "" {
				at := false
				for _, d := range o.Notes {
					at = at || d.Code == c.located
				}
				if !at {
					t.Errorf("no note %q: %s", c.located, o.RenderNotes())
				}
			}
			text := report.Check(*got).Text()
			flat := strings.Join(strings.Fields(text), " ")
			hit := len(c.found) == 0
			for _, w := range c.found {
				hit = hit || strings.Contains(strings.ToLower(flat), strings.ToLower(w))
			}
			if !hit {
				t.Errorf("nothing says any of %q:\n%s", c.found, text)
			}
			if odds := got.Results.Launch.Odds; math.IsNaN(odds.Value) || odds.Value < 0 || odds.Value > 1 {
				t.Errorf("odds %v", odds)
			}
		})
	}
}

func TestLaunchMoreRefuses(t *testing.T) {
	once := shared(Request{})
	for _, q := range []LaunchMoreRequest{
		{MapFile: "map.png"},
		{MapAt: "nowhere"},
		{Only: true, MapFile: "map.svg"},
		{Map: "launch.bungee.stretch,"},
		{Map: "launch.stick.pitch"},
		{Map: "launch.stick.pitch,launch.stick.pitch"},
		{Map: "launch.stick.pitch,parts.sofa.at.x"},
	} {
		q.Path, q.Seed, q.Launches, q.Fast = examples+"tern.yaml", 1, 64, true
		q.memo = once
		_, err := LaunchMore(context.Background(), q)
		var bad *BadInput
		if !errors.As(err, &bad) || len(bad.List) == 0 || bad.List[0].Hint == "" {
			t.Errorf("%+v: %v", q, err)
		}
	}
}

// The launch in full: settings that raise the odds and are proved by a rerun
// of the edited file; the ring; the levers with weight among them; the map;
// the JSON and the drawing of it. And again the same bytes.
func TestLaunchMore(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute")
	}
	dir := t.TempDir()
	q := LaunchMoreRequest{MapFile: filepath.Join(dir, "map.svg")}
	q.Path, q.Seed, q.Fast = examples+"tern.yaml", 1, true
	a, err := LaunchMore(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	body := a.Body.(report.LaunchMoreJSON)
	b := body.BestSettings
	if b == nil || float64(b.After.Value) < float64(b.Before.Value)+0.2 || float64(b.After.Low) < float64(b.Before.Low) || len(b.Set) == 0 || len(b.Spoils) != 0 {
		t.Fatalf("best settings: %+v", b)
	}
	if b.Verified != (b.After.Low >= 0.9) {
		t.Errorf("odds %v to %v after the rerun, verified %v", b.After.Low, b.After.High, b.Verified)
	}
	for _, s := range b.Settings {
		if s.Low > s.Value+1e-9 || s.High < s.Value-1e-9 {
			t.Errorf("%s: %g not within %g to %g", s.Path, s.Value, s.Low, s.High)
		}
	}
	weight := -1
	for i, l := range body.Levers {
		if l.Path == "trial.mass" {
			weight = i
			if l.Down.Change <= 0 || l.Up.Change >= 0 {
				t.Errorf("lighter is no better: %+v", l)
			}
		}
	}
	if weight < 0 || len(body.Levers) < 6 {
		t.Errorf("%d levers, weight is number %d", len(body.Levers), weight)
	}
	if body.Map == nil || len(body.Map.Odds) != len(body.Map.Y.Values) || len(body.Map.Odds[0]) != len(body.Map.X.Values) {
		t.Errorf("map: %+v", body.Map)
	}
	if r := body.StuckRing; r == nil || len(r.Bench) == 0 || len(r.WhatIf) == 0 {
		t.Errorf("ring: %+v", r)
	}
	text, err := a.JSON()
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if set, ok := back["best_settings"].(map[string]any); !ok || set["set"] == nil {
		t.Errorf("best_settings: %v", back["best_settings"])
	}
	for _, key := range []string{"odds", "sampling", "n", "failures", "at_release", "settings", "map", "levers", "stuck_ring", "cautions"} {
		if back[key] == nil {
			t.Errorf("no %s", key)
		}
	}
	if len(a.Files) != 1 {
		t.Fatalf("%d files", len(a.Files))
	}
	d := xml.NewDecoder(bytes.NewReader(a.Files[0].Text))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	page := a.Text()
	for _, w := range []string{"Best settings found", "What one step of each lever does", "The ring on the hook", "stay within", "Odds over stretch and up stick", "eye protection"} {
		if !strings.Contains(page, w) {
			t.Errorf("the page lacks %q", w)
		}
	}
	for i, line := range strings.Split(page, "\n") {
		if n := len([]rune(line)); n > report.Width {
			t.Errorf("line %d is %d wide: %s", i+1, n, line)
		}
	}
}

// One core or two, the same settings, tolerances, map, levers and ring are found.
func TestSearchRepeats(t *testing.T) {
	once := shared(Request{})
	for _, name := range []string{"wren.yaml", "swift.yaml"} {
		q := LaunchMoreRequest{work: &launchWork{evals: 40, look: 32, levers: 32, ring: 32, cell: 32, side: 3}}
		q.Path, q.Seed, q.memo = examples+name, 3, once
		var got [2][]byte
		for i, n := range []int{1, 2} {
			undo := workersFor(n)
			m, s, err := SearchLaunch(context.Background(), q)
			undo()
			if err != nil {
				t.Fatal(err)
			}
			if (m.Ring == nil) != (name == "wren.yaml") {
				t.Errorf("%s: ring %v", name, m.Ring)
			}
			got[i], err = json.Marshal(report.LaunchMoreBody(report.LaunchJSON{}, s.Results.Aircraft, *m))
			if err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(got[0], got[1]) {
			t.Errorf("%s: one core and two find different settings", name)
		}
	}
}

func BenchmarkBestSettings(b *testing.B) {
	q := LaunchMoreRequest{}
	q.Path, q.Seed = examples+"tern.yaml", 1
	for b.Loop() {
		if _, _, err := SearchLaunch(context.Background(), q); err != nil {
			b.Fatal(err)
		}
	}
}

// workersFor sets the number of cores and gives back what undoes it.
func workersFor(n int) (undo func()) {
	was := runtime.GOMAXPROCS(n)
	return func() { runtime.GOMAXPROCS(was) }
}
