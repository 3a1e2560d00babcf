package web

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/store"
)

// Of a damaged logbook the readable part is gone on with, when asked for: the
// damaged file stays beside it. A sound one is left as it is.
func TestRescue(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	get[LogbookReply](b, 201, "POST", "/api/logbook/pack", `{"args":["name=old pack","cells=3","capacity=1300 mAh"]}`)
	file := filepath.Join(b.dir, store.LogbookName)
	was, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if r := get[LogbookReply](b, 200, "POST", "/api/logbook/rescue", "{}"); strings.Contains(r.Plain, "new one") {
		t.Errorf("a sound book was set aside: %s", r.Plain)
	}
	for _, end := range []string{"-wal", "-shm"} {
		os.Remove(file + end)
	}
	if err := os.WriteFile(file, append([]byte(strings.Repeat("junk ", 40)), was[200:]...), 0o644); err != nil {
		t.Fatal(err)
	}
	if resp, text := b.ask("GET", "/api/logbook/check", ""); resp.StatusCode != 422 || !strings.Contains(string(text), `"damaged"`) {
		t.Fatalf("%d %s", resp.StatusCode, text)
	}
	r := get[LogbookReply](b, 200, "POST", "/api/logbook/rescue", "{}")
	if !strings.Contains(r.Plain, "in a new one") || strings.Contains(r.Plain, b.dir) {
		t.Errorf("%s", r.Plain)
	}
	get[LogbookReply](b, 200, "GET", "/api/logbook/check", "")
	kept, _ := filepath.Glob(filepath.Join(b.dir, "*"))
	whole := false
	for _, f := range kept {
		text, _ := os.ReadFile(f)
		whole = whole || strings.HasPrefix(string(text), "junk ")
	}
	if !whole {
		t.Errorf("the damaged file is gone: %q", kept)
	}
}

// The launch as a file of rows, and a blade's measured coefficients beside it.
func TestFilesOfVerbs(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	send := func(name, text string) string { return b.send(name, text) }
	for _, form := range []string{"csv", "json"} {
		j := b.job(JobRequest{Verb: "launch", File: "wren.yaml", Quick: true, Options: map[string]any{"trajectory": form, "launches": 64.0}})
		if j.State != "done" {
			t.Fatalf("%s: %s %+v", form, j.State, j.Refusal)
		}
		found := false
		for _, f := range j.Answer.Files {
			if f.Name == "wren-launch."+form {
				found = true
				resp, text := b.ask("GET", f.URL, "")
				if resp.StatusCode != 200 || len(text) < 500 {
					t.Errorf("%s: %d, %d bytes", f.Name, resp.StatusCode, len(text))
				}
			}
		}
		if !found {
			t.Errorf("no file of the launch as %s: %+v", form, j.Answer.Files)
		}
	}
	blade := send("blade.csv", "r_over_R,c_over_R,beta_deg\n0.2,0.13,38\n0.4,0.16,27\n0.6,0.15,20\n0.8,0.12,15.5\n1,0.06,12.5\n")
	ask := JobRequest{Verb: "prop", Uploads: []string{blade}, Options: map[string]any{"diameter": "9 in", "blades": 2.0, "rpm": "8000", "advance": "0:0.6:0.1"}}
	plain := b.job(ask)
	ask.Options = map[string]any{"diameter": "9 in", "blades": 2.0, "rpm": "8000", "advance": "0:0.6:0.1",
		"measured": send("measured.csv", "rpm,advance_ratio,ct,cp\n8000,0,0.1,0.05\n8000,0.2,0.09,0.05\n8000,0.4,0.07,0.045\n8000,0.6,0.04,0.035\n")}
	told := b.job(ask)
	if plain.State != "done" || told.State != "done" {
		t.Fatalf("%+v, %+v", plain.Refusal, told.Refusal)
	}
	if plain.Answer.Plain == told.Answer.Plain {
		t.Error("the measured coefficients changed nothing")
	}
	if resp, _ := b.ask("POST", "/api/jobs", `{"verb":"prop","options":{"measured":"/etc/passwd"}}`, "Content-Type: application/json"); resp.StatusCode != 404 {
		t.Errorf("a path for an upload: %d", resp.StatusCode)
	}
}
