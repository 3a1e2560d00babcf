package web

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"fledge/internal/app"
	"fledge/internal/report"
)

// The drawing shows the aeroplane to scale, and its balance is that of the
// balance verb.
func TestDrawing(t *testing.T) {
	b := open(t, Config{}, "wren.yaml", "tern.yaml")
	for _, file := range []string{"wren.yaml", "tern.yaml"} {
		rough := get[app.Drawing](b, 200, "GET", "/api/builds/"+file+"/drawing", "")
		if !rough.Rough {
			t.Errorf("%s: the first look at a cold build is not said to be rough", file)
		}
		get[app.Fan](b, 200, "POST", "/api/builds/"+file+"/fan", `{"sets":[],"from":0,"n":0}`) // warms it
		d := get[app.Drawing](b, 200, "GET", "/api/builds/"+file+"/drawing", "")
		if d.Rough || d.File != file || d.ETag == "" {
			t.Errorf("%s: rough %v, etag %q", file, d.Rough, d.ETag)
		}
		if m, w := rough.Balance.NeutralPoint.Value, d.Balance.NeutralPoint.Value; math.Abs(float64(m-w)) > 0.1*float64(d.Chord) {
			t.Errorf("%s: neutral point %v at first, then %v", file, m, w)
		}
		// The outline's span is the reference span; all lies in the box.
		wide := 0.0
		for _, s := range d.Surfaces {
			for _, side := range s.Sides {
				if len(side.Plan) != len(side.Side) || len(side.Plan) < 4 {
					t.Errorf("%s: %s has %d and %d points", file, s.Name, len(side.Plan), len(side.Side))
				}
				for i, p := range side.Plan {
					wide = math.Max(wide, math.Abs(float64(p[1])))
					if float64(p[0]) < float64(d.Box.Min[0])-1e-3 || float64(p[0]) > float64(d.Box.Max[0])+1e-3 || float64(side.Side[i][1]) > float64(d.Box.Max[2])+1e-3 {
						t.Errorf("%s: %s leaves the box at %v", file, s.Name, p)
					}
				}
			}
			for _, c := range s.Controls {
				if len(c.Sides) != len(s.Sides) {
					t.Errorf("%s: control %s has %d halves of %d", file, c.Name, len(c.Sides), len(s.Sides))
				}
			}
		}
		if math.Abs(2*wide-float64(d.Span)) > 1e-9 {
			t.Errorf("%s: drawn %v wide, span %v", file, 2*wide, d.Span)
		}
		if len(d.Anchors) < 10 || len(d.Parts) < 5 || d.Body == nil || d.Propeller == nil {
			t.Errorf("%s: %d anchors, %d parts, body %v, propeller %v", file, len(d.Anchors), len(d.Parts), d.Body != nil, d.Propeller != nil)
		}
		want, err := app.Balance(context.Background(), app.Request{Path: filepath.Join(b.dir, file), Seed: 1, Cached: true})
		if err != nil {
			t.Fatal(err)
		}
		body := want.Body.(report.BalanceJSON)
		if body.NeutralPoint.Value != d.Balance.NeutralPoint.Value || body.CGX.Value != d.Balance.CGX.Value || body.Band != [2]report.Float{d.Balance.Band.Low, d.Balance.Band.High} {
			t.Errorf("%s: drawing %+v, balance verb %+v %+v %+v", file, d.Balance, body.NeutralPoint, body.CGX, body.Band)
		}
	}
}

// A preview is what the edited file would give, and writes nothing.
func TestPreview(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	before, _ := os.ReadFile(filepath.Join(b.dir, "tern.yaml"))
	get[app.Fan](b, 200, "POST", "/api/builds/tern.yaml/fan", `{"sets":[],"from":0,"n":0}`)
	for _, set := range []string{"parts.battery.at.x=150 mm", "launch.bungee.hook.x=0.3 m", "surfaces.wing.stations[0].chord=200 mm"} {
		p := get[Preview](b, 200, "POST", "/api/builds/tern.yaml/preview", toJSON(PreviewRequest{Sets: []string{set}}))
		want, err := app.Balance(context.Background(), app.Request{Path: filepath.Join(b.dir, "tern.yaml"), Sets: []string{set}, Seed: 1, Cached: true})
		if err != nil {
			t.Fatal(err)
		}
		body := want.Body.(report.BalanceJSON)
		if math.Abs(float64(p.Balance.NeutralPoint.Value-body.NeutralPoint.Value)) > 1e-9 || p.Balance.CGX.Value != body.CGX.Value || p.Rough {
			t.Errorf("%s: preview %+v, balance verb %+v %+v, rough %v", set, p.Balance, body.NeutralPoint, body.CGX, p.Rough)
		}
		if set == "launch.bungee.hook.x=0.3 m" && (p.Hook == nil || p.Hook[0] != 0.3) {
			t.Errorf("the hook is at %v", p.Hook)
		}
	}
	if after, _ := os.ReadFile(filepath.Join(b.dir, "tern.yaml")); string(after) != string(before) {
		t.Error("a preview wrote the file")
	}
}

// Launch i of a fan is the same one however the fan is cut, warm or cold, and
// the odds verb flies the same launches.
func TestFan(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	ask := func(from, n int, sets ...string) app.Fan {
		return get[app.Fan](b, 200, "POST", "/api/builds/tern.yaml/fan", toJSON(FanRequest{Sets: append([]string{}, sets...), From: from, N: n}))
	}
	whole := ask(0, 48)
	parts := append(ask(0, 20).Launches, ask(20, 28).Launches...)
	if !reflect.DeepEqual(whole.Launches, parts) {
		t.Error("a fan cut in two flies other launches")
	}
	stretch := ask(0, 48, "launch.bungee.stretch=8 m")
	if reflect.DeepEqual(stretch.Launches, whole.Launches) {
		t.Error("the stretch changes nothing")
	}
	cold := open(t, Config{}, "tern.yaml")
	other := get[app.Fan](cold, 200, "POST", "/api/builds/tern.yaml/fan", toJSON(FanRequest{Sets: []string{"launch.bungee.stretch=8 m"}, N: 48}))
	if !reflect.DeepEqual(stretch.Launches, other.Launches) {
		t.Error("a warm fan and a cold one differ")
	}
	fails := 0
	for _, f := range whole.Failures {
		fails += f.Count
		if f.Say == "" {
			t.Errorf("%s is not named", f.Class)
		}
	}
	if fails+whole.Hits != 48 || whole.Nominal == nil || whole.Stake == nil || len(whole.Settings) < 6 {
		t.Errorf("%d hits, %d failures; nominal %v, stake %v, %d settings", whole.Hits, fails, whole.Nominal != nil, whole.Stake, len(whole.Settings))
	}
	for _, l := range whole.Launches {
		if len(l.X) != len(l.H) || len(l.X) < 2 {
			t.Fatalf("launch %d has %d and %d points", l.I, len(l.X), len(l.H))
		}
	}
	q := app.LaunchRequest{Request: app.Request{Path: filepath.Join(b.dir, "tern.yaml"), Seed: 1, Fast: true, Launches: 48, Cached: true}}
	a, err := app.Launch(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	text, _ := a.JSON()
	var body struct {
		Failures map[string]float64
	}
	if err := json.Unmarshal(text, &body); err != nil {
		t.Fatal(err)
	}
	for _, f := range whole.Failures {
		if math.Abs(body.Failures[f.Class]-float64(f.Count)/48) > 1e-9 {
			t.Errorf("%s: %d of 48 in the fan, share %v in the odds", f.Class, f.Count, body.Failures[f.Class])
		}
	}
}

// wait asks for a job until it has ended.
func (b *bench) wait(id string) Job {
	b.Helper()
	for range 2400 {
		j := get[Job](b, 200, "GET", "/api/jobs/"+id, "")
		switch j.State {
		case "done", "failed", "cancelled":
			return j
		}
		time.Sleep(25 * time.Millisecond)
	}
	b.Fatalf("job %s does not end", id)
	return Job{}
}

func (b *bench) job(q JobRequest) Job {
	b.Helper()
	return b.wait(get[Job](b, 202, "POST", "/api/jobs", toJSON(q)).ID)
}

// Every verb on a build answers with the command's own body, a page or text,
// and charts that the page's policy lets pass.
func TestVerbs(t *testing.T) {
	b := open(t, Config{}, "wren.yaml", "tern.yaml")
	for _, q := range []JobRequest{
		{Verb: "fit", File: "wren.yaml"}, {Verb: "balance", File: "wren.yaml"}, {Verb: "setup", File: "wren.yaml"}, {Verb: "lattice", File: "wren.yaml"},
		{Verb: "land", File: "wren.yaml"}, {Verb: "fly", File: "wren.yaml"}, {Verb: "launch", File: "wren.yaml", Quick: true, Options: map[string]any{"launches": 64}},
		{Verb: "strength", File: "wren.yaml", Options: map[string]any{"launches": 64}}, {Verb: "check", File: "wren.yaml", Quick: true, Options: map[string]any{"launches": 64}},
		{Verb: "prop", File: "wren.yaml"}, {Verb: "polar", Options: map[string]any{"section": "NACA 2409", "re": "200000", "alpha": "0:4:2"}},
		{Verb: "compare", File: "wren.yaml", Options: map[string]any{"launches": 64, "groups": []any{"day.wind=1 m/s"}}},
		{Verb: "try", File: "tern.yaml", Sets: []string{"parts.battery.at.x=150 mm"}, Options: map[string]any{"launches": 64}},
		{Verb: "debrief", File: "wren.yaml", Quick: true, Options: map[string]any{"readings": []any{"speed=22 m/s direction=240", "speed=26 m/s direction=60"}}},
		{Verb: "repair", File: "wren.yaml"}, {Verb: "sortie", File: "wren.yaml", Options: map[string]any{"launches": 64}},
		{Verb: "card", File: "wren.yaml", Quick: true, Options: map[string]any{"launches": 64, "looks": 16}}, {Verb: "print", File: "wren.yaml", Options: map[string]any{"what": []any{"balance"}, "forms": []any{"pdf"}}},
		{Verb: "learn", File: "wren.yaml", Quick: true, Options: map[string]any{"readings": []any{"glide_speed=12 m/s sink=1.4 m/s"}}},
	} {
		t.Run(q.Verb, func(t *testing.T) {
			b := &bench{T: t, s: b.s, web: b.web, dir: b.dir, talk: b.talk}
			j := b.job(q)
			if j.State != "done" || j.Answer == nil || j.Answer.Rough {
				t.Fatalf("%s: %s, %+v", q.Verb, j.State, j.Refusal)
			}
			a := j.Answer
			if a.Page == nil && a.Plain == "" || a.Body == nil {
				t.Errorf("%s says nothing", q.Verb)
			}
			i := -1
			for k := range verbs {
				if verbs[k].Name == q.Verb {
					i = k
				}
			}
			if verbs[i].Plot && len(a.Charts) == 0 && q.Verb != "debrief" && q.Verb != "learn" {
				t.Errorf("%s shows nothing", q.Verb)
			}
			if (q.Verb == "card" || q.Verb == "print") && len(a.Files) == 0 {
				t.Errorf("%s makes no file", q.Verb)
			}
			for _, f := range a.Files {
				resp, text := b.ask("GET", f.URL, "")
				if resp.StatusCode != 200 || len(text) != f.Bytes || !strings.Contains(resp.Header.Get("Content-Disposition"), f.Name) {
					t.Errorf("%s: %s: %d, %d bytes of %d", q.Verb, f.Name, resp.StatusCode, len(text), f.Bytes)
				}
			}
			if resp, text := b.ask("GET", "/api/jobs/"+j.ID+"/files", ""); len(a.Files) > 0 {
				z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
				if resp.StatusCode != 200 || err != nil || len(z.File) != len(a.Files) {
					t.Errorf("%s: the archive of %d files: %d, %v", q.Verb, len(a.Files), resp.StatusCode, err)
				}
			} else if resp.StatusCode != 404 {
				t.Errorf("%s has no file, its archive: %d", q.Verb, resp.StatusCode)
			}
			for n, c := range a.Charts {
				if strings.Contains(c.SVG, "<style") || strings.Contains(c.SVG, "style=") || strings.Contains(c.SVG, "<script") {
					t.Errorf("%s: chart %d has what the policy refuses", q.Verb, n)
				}
				resp, text := b.ask("GET", c.URL, "")
				if resp.StatusCode != 200 || resp.Header.Get("Content-Type") != "image/svg+xml" || !strings.HasPrefix(string(text), "<svg") {
					t.Errorf("%s: chart %d: %d %s", q.Verb, n, resp.StatusCode, resp.Header.Get("Content-Type"))
				}
			}
			get[Job](b, 200, "GET", "/api/jobs/"+j.ID, "")
			if resp, _ := b.ask("DELETE", "/api/jobs/"+j.ID, ""); resp.StatusCode != 204 {
				t.Errorf("it cannot be forgotten: %d", resp.StatusCode)
			}
			if resp, _ := b.ask("GET", "/api/jobs/"+j.ID, ""); resp.StatusCode != 404 {
				t.Errorf("forgotten, it is still there: %d", resp.StatusCode)
			}
		})
	}
}

// A body over the wire is the body of the command, to the bit.
func TestSameBody(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	j := b.job(JobRequest{Verb: "balance", File: "wren.yaml", Sets: []string{"trial.mass=20 g"}})
	a, err := app.Balance(context.Background(), app.Request{Path: filepath.Join(b.dir, "wren.yaml"), Sets: []string{"trial.mass=20 g"}, Seed: 1, Cached: true})
	if err != nil {
		t.Fatal(err)
	}
	text, _ := a.JSON()
	var want any
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(j.Answer.Body, want) {
		t.Errorf("over the wire\n%v\nby the command\n%v", j.Answer.Body, want)
	}
	if j.Answer.Plain != a.Text() {
		t.Error("the pages differ")
	}
}

// A wish that cannot be met ends the job with the place of what is wrong.
func TestFailedJob(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	j := b.job(JobRequest{Verb: "balance", File: "wren.yaml", Sets: []string{"parts.nothing.mass=3 g"}})
	if j.State != "failed" || j.Refusal == nil || j.Refusal.Code != "bad-input" || len(j.Refusal.Diagnostics) == 0 {
		t.Errorf("%+v %+v", j, j.Refusal)
	}
}

// The pool: two at a time, eight wait, then no more; what waits for the same
// tab, verb and file is replaced; a cancelled one ends; a fault ends its job
// alone.
func TestPool(t *testing.T) {
	hold := make(chan struct{})
	before := verbs
	verbs = append(append([]verb{}, verbs...),
		verb{Verb: Verb{Name: "hold", Options: []Option{}}, run: func(ctx context.Context, w *work) (*app.Answer, error) {
			w.progress("holding", 1, 2)
			select {
			case <-hold:
				return &app.Answer{Plain: "held", Body: map[string]int{"x": 1}}, nil
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}},
		verb{Verb: Verb{Name: "fall", Options: []Option{}}, run: func(ctx context.Context, w *work) (*app.Answer, error) { panic("on purpose") }})
	defer func() { verbs = before }()
	b := open(t, Config{}, "wren.yaml")
	next, stop := b.stream()
	defer stop()
	next("hello")
	ask := func(verb, tab string) (Job, *http.Response) {
		resp, text := b.ask("POST", "/api/jobs", toJSON(JobRequest{Verb: verb}), "Fledge-Tab: "+tab)
		var j Job
		_ = json.Unmarshal(text, &j)
		return j, resp
	}
	var ids []string
	for i := range mostRunning {
		j, _ := ask("hold", "t"+string(rune('a'+i)))
		ids = append(ids, j.ID)
	}
	running := func() (n int) {
		for _, j := range get[JobList](b, 200, "GET", "/api/jobs", "").Jobs {
			if j.State == "running" {
				n++
			}
		}
		return n
	}
	for range 200 {
		if running() == mostRunning {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	if running() != mostRunning {
		t.Fatalf("%d run", running())
	}
	var waits []string
	for i := range mostWaiting {
		j, resp := ask("hold", "w"+string(rune('a'+i)))
		if resp.StatusCode != 202 {
			t.Fatalf("the %d. that waits: %d", i+1, resp.StatusCode)
		}
		waits = append(waits, j.ID)
	}
	if _, resp := ask("hold", "more"); resp.StatusCode != 429 || resp.Header.Get("Retry-After") == "" {
		t.Errorf("one too many: %d", resp.StatusCode)
	}
	if j, resp := ask("hold", "wa"); resp.StatusCode != 202 {
		t.Errorf("one that replaces its own: %d", resp.StatusCode)
	} else if old := b.wait(waits[0]); old.State != "cancelled" || j.ID == waits[0] {
		t.Errorf("the replaced one: %s", old.State)
	}
	if resp, _ := b.ask("DELETE", "/api/jobs/"+ids[0], ""); resp.StatusCode != 204 {
		t.Errorf("cancel: %d", resp.StatusCode)
	}
	if j := b.wait(ids[0]); j.State != "cancelled" {
		t.Errorf("cancelled: %s", j.State)
	}
	close(hold)
	if j := b.wait(ids[1]); j.State != "done" || j.Answer.Plain != "held" {
		t.Errorf("%+v", j)
	}
	f, _ := ask("fall", "x")
	j := b.wait(f.ID)
	if j.State != "failed" || j.Refusal.Code != "fault" || strings.Contains(j.Refusal.Message, "purpose") {
		t.Errorf("a fault: %+v %+v", j, j.Refusal)
	}
	if !strings.Contains(b.talk.String(), "on purpose") {
		t.Error("the terminal was not told of the fault")
	}
	b.talk.mu.Lock()
	b.talk.b.Reset()
	b.talk.mu.Unlock()
	for range 100 {
		var k Job
		if err := json.Unmarshal([]byte(next("job")), &k); err != nil {
			t.Fatal(err)
		}
		if k.ID == f.ID && k.State == "failed" {
			return
		}
	}
	t.Error("the pages were not told")
}

// A slider that moves on stops the work it asked for.
func TestFanStops(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	get[app.Fan](b, 200, "POST", "/api/builds/tern.yaml/fan", `{"sets":[],"from":0,"n":0}`)
	ctx, cancel := context.WithCancel(context.Background())
	for i := range 12 {
		c, stop := context.WithTimeout(ctx, time.Duration(i)*2*time.Millisecond)
		r, _ := http.NewRequestWithContext(c, "POST", b.web.URL+"/api/builds/tern.yaml/fan", strings.NewReader(`{"sets":[],"from":0,"n":256}`))
		r.Header.Set("Content-Type", "application/json")
		if resp, err := b.web.Client().Do(r); err == nil {
			_, _ = io.Copy(io.Discard, resp.Body)
			resp.Body.Close()
		}
		stop()
	}
	cancel()
	for range 200 { // all places are free again
		if len(b.s.quick) == 0 {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d computations go on", len(b.s.quick))
}

// Uploads are kept under a name of ours and are gone when the workshop closes.
func TestUploads(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	resp, text := b.ask("POST", "/api/uploads?name=..%2F..%2Fflight%20one.csv", "a,b\n1,2\n", "Content-Type: application/octet-stream")
	var u Upload
	if err := json.Unmarshal(text, &u); err != nil || resp.StatusCode != 201 || u.Name != "flight one.csv" || u.Bytes != 8 || len(u.SHA256) != 64 {
		t.Fatalf("%d %s %v", resp.StatusCode, text, err)
	}
	f, err := b.s.uploads.find(u.ID)
	if err != nil || !strings.HasPrefix(f.path, b.s.temp+string(filepath.Separator)) {
		t.Errorf("kept at %s: %v", f.path, err)
	}
	j := b.job(JobRequest{Verb: "debrief", Uploads: []string{u.ID}})
	if j.State != "failed" || j.Refusal.Code != "bad-input" {
		t.Errorf("no log at all: %s %+v", j.State, j.Refusal)
	}
	c := open(t, Config{})
	_, text = c.ask("POST", "/api/uploads?name=x.csv", "x", "Content-Type: application/octet-stream")
	_ = json.Unmarshal(text, &u)
	f, _ = c.s.uploads.find(u.ID)
	if err := c.s.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(f.path); !os.IsNotExist(err) {
		t.Error("an upload outlives the workshop")
	}
}

// The logbook: written, read, amended, struck, searched, exported, and the
// pages are told.
func TestLogbook(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	for _, p := range []string{"/api/logbook", "/api/logbook/flight"} {
		if l := get[LogbookReply](b, 200, "GET", p, ""); l.Body != nil || l.Plain == "" {
			t.Errorf("%s of an empty hangar: %v %q", p, l.Body, l.Plain)
		}
	}
	next, stop := b.stream()
	defer stop()
	next("hello")
	post := func(path, body string) LogbookReply { return get[LogbookReply](b, 201, "POST", path, body) }
	post("/api/logbook/pack", `{"args":["name=blue"]}`)
	next("logbook")
	got := post("/api/logbook/flight", `{"args":["build=wren.yaml","outcome=airborne","duration=5 min"]}`)
	if got.Plain == "" {
		t.Error("an entry without a page")
	}
	get[LogbookReply](b, 200, "PATCH", "/api/logbook/flight/last", `{"args":["duration=6 min"]}`)
	if l := get[LogbookReply](b, 200, "GET", "/api/logbook/flight", ""); !strings.Contains(toJSON(l.Body), "360") {
		t.Errorf("amended: %s", toJSON(l.Body))
	}
	if l := get[LogbookReply](b, 200, "GET", "/api/logbook/search?words=blue", ""); !strings.Contains(l.Plain, "blue") {
		t.Errorf("search: %s", l.Plain)
	}
	get[LogbookReply](b, 200, "GET", "/api/logbook/flight/1", "")
	get[LogbookReply](b, 200, "GET", "/api/logbook", "")
	get[LogbookReply](b, 200, "GET", "/api/logbook/keys?kind=flight", "")
	if resp, text := b.ask("GET", "/api/logbook/flight/export", ""); resp.StatusCode != 200 || !strings.Contains(resp.Header.Get("Content-Disposition"), "flight.csv") || !strings.Contains(string(text), "airborne") {
		t.Errorf("export: %d %.100s", resp.StatusCode, text)
	}
	if resp, text := b.ask("GET", "/api/logbook/build/1/export", ""); resp.StatusCode != 200 || !strings.Contains(string(text), "Wren") {
		t.Errorf("the kept build: %d %.100s", resp.StatusCode, text)
	}
	if resp, text := b.ask("GET", "/api/logbook/everything/export", ""); resp.StatusCode != 200 || len(text) < 100 {
		t.Errorf("the whole logbook: %d, %d bytes", resp.StatusCode, len(text))
	}
	get[LogbookReply](b, 200, "POST", "/api/logbook/flight/1/strike", `{"why":"entered twice"}`)
	if resp, _ := b.ask("GET", "/api/logbook/flight/99", ""); resp.StatusCode != 404 {
		t.Errorf("an entry that is not there: %d", resp.StatusCode)
	}
}

// Terms, sources and the schema.
func TestWords(t *testing.T) {
	b := open(t, Config{})
	if x := get[Terms](b, 200, "GET", "/api/terms", ""); len(x.Terms) < 50 {
		t.Errorf("%d terms", len(x.Terms))
	}
	for _, p := range []string{"/api/sources", "/api/schema"} {
		if resp, text := b.ask("GET", p, ""); resp.StatusCode != 200 || !json.Valid(text) {
			t.Errorf("%s: %d", p, resp.StatusCode)
		}
	}
}

// The linkages are those of the setup sheet: a stop's servo angle lies on the
// drawn curve, the rod keeps its length, full stick asks the throw that is set.
func TestLinkages(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	x := get[app.Linkages](b, 200, "GET", "/api/builds/tern.yaml/linkages", "")
	if len(x.Controls) != 2 {
		t.Fatalf("%d controls", len(x.Controls))
	}
	for _, c := range x.Controls {
		if c.Status != "ok" || len(c.Steps) < 20 || len(c.Sticks) == 0 {
			t.Errorf("%s: %s, %d steps, %d sticks", c.Name, c.Status, len(c.Steps), len(c.Sticks))
			continue
		}
		rod := func(s app.LinkageStep) float64 {
			d := 0.0
			for i := range 3 {
				d += math.Pow(float64(s.Arm[i]-s.Horn[i]), 2)
			}
			return math.Sqrt(d)
		}
		for i, s := range c.Steps {
			if math.Abs(rod(s)-rod(c.Steps[0])) > 1e-9 {
				t.Errorf("%s: the rod is %v, then %v", c.Name, rod(c.Steps[0]), rod(s))
			}
			if i > 0 && s.Edge <= c.Steps[i-1].Edge {
				t.Errorf("%s: the edge turns back at %v", c.Name, s.Servo)
			}
		}
		for _, k := range c.Sticks {
			if math.IsNaN(float64(k.Right.Servo)) {
				continue
			}
			for i := 1; i < len(c.Steps); i++ { // between the two steps about it
				p, q := c.Steps[i-1], c.Steps[i]
				if p.Edge <= k.Right.Edge && k.Right.Edge <= q.Edge {
					f := (k.Right.Edge - p.Edge) / (q.Edge - p.Edge)
					if d := math.Abs(float64(p.Servo + f*(q.Servo-p.Servo) - k.Right.Servo)); d > 0.05 {
						t.Errorf("%s: stick %v asks servo %v, the curve says %v off", c.Name, k.Stick, k.Right.Servo, d)
					}
				}
			}
		}
	}
	roll := x.Controls[0].Sticks[len(x.Controls[0].Sticks)-1]
	if x.Controls[0].Name != "aileron" || roll.Axis != "roll" || roll.Stick != 1 || math.Abs(float64(roll.Right.Edge)-14) > 1e-9 || math.Abs(float64(roll.Left.Edge)+10) > 1e-9 {
		t.Errorf("full right stick: %+v", roll)
	}
}

// A check shows a rough verdict first, then the real one without remedies,
// then the whole; each is the same question on the same build.
func TestCheckRefines(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	next, stop := b.stream()
	defer stop()
	next("hello")
	id := get[Job](b, 202, "POST", "/api/jobs", toJSON(JobRequest{Verb: "check", File: "wren.yaml", Options: map[string]any{"launches": 256}})).ID
	launches := map[float64]bool{}
	for {
		var e Job
		if err := json.Unmarshal([]byte(next("job")), &e); err != nil {
			t.Fatal(err)
		}
		if e.ID != id || e.State == "waiting" {
			continue
		}
		j := get[Job](b, 200, "GET", "/api/jobs/"+id, "")
		if a := j.Answer; a != nil {
			body := a.Body.(map[string]any)
			if len(body["findings"].([]any)) < 10 || body["verdict"] == "" || a.Page == nil {
				t.Errorf("an answer that says nothing: %v", body["verdict"])
			}
			for _, n := range []float64{128, 256} {
				if strings.Contains(strings.Join(a.Page.Lead, " "), fmt.Sprintf("%v launches", n)) {
					launches[n] = true
				}
			}
			if a.Rough == (j.State == "done") {
				t.Errorf("rough %v when %s", a.Rough, j.State)
			}
		}
		if j.State == "failed" || j.State == "cancelled" {
			t.Fatalf("%s: %+v", j.State, j.Refusal)
		}
		if j.State == "done" {
			break
		}
	}
	if !launches[128] || !launches[256] {
		t.Errorf("answers seen by launches: %v", launches)
	}
}
