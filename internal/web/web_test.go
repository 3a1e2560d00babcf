package web

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fledge/examples"
)

// TestMain gives all workshops of the tests one cache of solved sections, a
// fresh one, so that each section is solved once.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "fledge-web-test-")
	if err != nil {
		panic(err)
	}
	os.Setenv("XDG_CACHE_HOME", dir)
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// bench is a workshop on the loopback address with a hangar of its own.
type bench struct {
	*testing.T
	s    *Server
	web  *httptest.Server
	dir  string
	talk *dialogue
}

// dialogue collects what is told to the terminal.
type dialogue struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *dialogue) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *dialogue) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// open starts a workshop; builds are copied from the examples.
func open(t *testing.T, conf Config, builds ...string) *bench {
	t.Helper()
	dir := t.TempDir()
	for _, n := range builds {
		text, err := fs.ReadFile(examples.Files, n)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, n), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b := &bench{T: t, dir: dir, talk: &dialogue{}}
	conf.Dir, conf.Talk, conf.Cached = dir, b.talk, true
	if conf.Poll == 0 {
		conf.Poll = 20 * time.Millisecond
	}
	s, err := New(conf)
	if err != nil {
		t.Fatal(err)
	}
	b.s = s
	b.web = httptest.NewServer(s.Handler())
	t.Cleanup(func() {
		b.web.CloseClientConnections()
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		b.web.Close()
		if strings.Contains(b.talk.String(), "fault") {
			t.Errorf("faults: %s", b.talk.String())
		}
	})
	return b
}

// ask sends a request; head holds "Name: value" lines.
func (b *bench) ask(method, path, body string, head ...string) (*http.Response, []byte) {
	b.Helper()
	r, err := http.NewRequest(method, b.web.URL+path, strings.NewReader(body))
	if err != nil {
		b.Fatal(err)
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, h := range head {
		name, value, _ := strings.Cut(h, ": ")
		if name == "Host" {
			r.Host = value
			continue
		}
		r.Header.Set(name, value)
	}
	resp, err := b.web.Client().Do(r)
	if err != nil {
		b.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		b.Fatal(err)
	}
	if bytes.Contains(text, []byte(b.dir)) || bytes.Contains(text, []byte(b.s.temp)) {
		b.Errorf("%s %s tells where the hangar is: %.300s", method, path, text)
	}
	return resp, text
}

// get asks and decodes an answer of the wanted status.
func get[T any](b *bench, want int, method, path, body string) T {
	b.Helper()
	resp, text := b.ask(method, path, body)
	if resp.StatusCode != want {
		b.Fatalf("%s %s: %d %.400s", method, path, resp.StatusCode, text)
	}
	var out T
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&out); err != nil {
		b.Fatalf("%s %s: %v in %.400s", method, path, err, text)
	}
	return out
}

func toJSON(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Everything that is refused, each with its status and code.
func TestRefusals(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	outside := filepath.Join(t.TempDir(), "secret.yaml")
	if err := os.WriteFile(outside, []byte("fledge: 1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(b.dir, "link.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(b.dir, "folder.yaml"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.dir, "huge.yaml"), bytes.Repeat([]byte("# x\n"), 1<<19), 0o644); err != nil {
		t.Fatal(err)
	}
	big := `{"base":"` + strings.Repeat("x", mostRequest) + `"}`
	many := `{"base":"x","sets":[` + strings.TrimSuffix(strings.Repeat(`"day.wind=1 m/s",`, mostSets+1), ",") + `]}`
	job := func(rest string) string { return `{"verb":"launch","file":"wren.yaml"` + rest + `}` }
	for _, c := range []struct {
		name, method, path, body string
		head                     string
		status                   int
		code                     string
	}{
		{"foreign host", "GET", "/api/hello", "", "Host: evil.example", 421, "wrong-host"},
		{"foreign host with port", "GET", "/", "", "Host: evil.example:80", 421, "wrong-host"},
		{"no host", "GET", "/", "", "Host: .", 421, "wrong-host"},
		{"address of the network", "GET", "/", "", "Host: 192.168.1.5", 421, "wrong-host"},
		{"foreign origin", "POST", "/api/hangar/example", `{"name":"tern"}`, "Origin: http://evil.example", 403, "cross-site"},
		{"foreign origin reads", "GET", "/api/hangar", "", "Origin: http://evil.example", 403, "cross-site"},
		{"origin null", "GET", "/api/hangar", "", "Origin: null", 403, "cross-site"},
		{"origin of another port", "GET", "/api/hangar", "", "Origin: http://127.0.0.1:1", 403, "cross-site"},
		{"cross-site", "GET", "/api/hangar", "", "Sec-Fetch-Site: cross-site", 403, "cross-site"},
		{"same site, other origin", "POST", "/api/hangar/example", `{"name":"tern"}`, "Sec-Fetch-Site: same-site", 403, "cross-site"},
		{"image of another site", "GET", "/", "", "Sec-Fetch-Site: cross-site", 403, "cross-site"},
		{"form", "POST", "/api/hangar/example", "name=tern", "Content-Type: application/x-www-form-urlencoded", 415, "media-type"},
		{"plain text", "POST", "/api/hangar/example", `{"name":"tern"}`, "Content-Type: text/plain", 415, "media-type"},
		{"unknown key", "POST", "/api/hangar/example", `{"name":"tern","x":1}`, "", 400, "bad-request"},
		{"not JSON", "POST", "/api/hangar/example", `{"name"`, "", 400, "bad-request"},
		{"two bodies", "POST", "/api/hangar/example", `{"name":"tern"}{}`, "", 400, "bad-request"},
		{"wrong type", "POST", "/api/hangar/example", `{"name":3}`, "", 400, "bad-request"},
		{"too large", "POST", "/api/builds/wren.yaml/edit", big, "", 413, "too-large"},
		{"too many settings", "POST", "/api/builds/wren.yaml/edit", many, "", 413, "too-large"},
		{"no route", "GET", "/api/nothing", "", "", 404, "no-route"},
		{"no asset", "GET", "/nothing.js", "", "", 404, "no-route"},
		{"hidden asset", "GET", "/.gitkeep", "", "", 404, "no-route"},
		{"up from the assets", "GET", "/../server.go", "", "", 404, "no-route"},
		{"wrong method", "DELETE", "/api/hangar", "", "", 405, "method"},
		{"wrong method on the page", "POST", "/", `{}`, "", 405, "method"},
		{"no build", "GET", "/api/builds/none.yaml", "", "", 404, "no-build"},
		{"a folder", "GET", "/api/builds/folder.yaml", "", "", 404, "no-build"},
		{"up", "GET", "/api/builds/..%2f..%2fetc%2fpasswd", "", "", 403, "outside"},
		{"up with an ending", "GET", "/api/builds/..%2fsecret.yaml", "", "", 403, "outside"},
		{"up, windows", "GET", "/api/builds/..%5csecret.yaml", "", "", 403, "outside"},
		{"absolute", "GET", "/api/builds/%2fetc%2fpasswd.yaml", "", "", 403, "outside"},
		{"drive", "GET", "/api/builds/c:secret.yaml", "", "", 403, "outside"},
		{"NUL", "GET", "/api/builds/wren.yaml%00", "", "", 403, "outside"},
		{"NUL inside", "GET", "/api/builds/a%00b.yaml", "", "", 403, "outside"},
		{"line break", "GET", "/api/builds/a%0ab.yaml", "", "", 403, "outside"},
		{"not text", "GET", "/api/builds/%ff.yaml", "", "", 403, "outside"},
		{"hidden", "GET", "/api/builds/.wren.yaml", "", "", 403, "outside"},
		{"another kind of file", "GET", "/api/builds/logbook.sqlite", "", "", 403, "outside"},
		{"long", "GET", "/api/builds/" + strings.Repeat("x", 300) + ".yaml", "", "", 403, "outside"},
		{"link that leads out", "GET", "/api/builds/link.yaml", "", "", 403, "outside"},
		{"link that leads out, edited", "POST", "/api/builds/link.yaml/edit", `{"base":"x","sets":["day.wind=1 m/s"]}`, "", 403, "outside"},
		{"too large a build", "GET", "/api/builds/huge.yaml", "", "", 413, "too-large"},
		{"copy outside", "POST", "/api/builds/wren.yaml/copy", `{"to":"../x.yaml"}`, "", 403, "outside"},
		{"copy over", "POST", "/api/builds/wren.yaml/copy", `{"to":"wren.yaml"}`, "", 409, "exists"},
		{"copy over a link", "POST", "/api/builds/wren.yaml/copy", `{"to":"link.yaml"}`, "", 409, "exists"},
		{"new outside", "POST", "/api/hangar/new", `{"answers":{"name":"X"},"file":"/tmp/x.yaml"}`, "", 403, "outside"},
		{"new, unknown question", "POST", "/api/hangar/new", `{"answers":{"colour":"red"}}`, "", 400, "bad-request"},
		{"new, bad answer", "POST", "/api/hangar/new", `{"answers":{"span":"red"}}`, "", 422, "bad-input"},
		{"no example", "POST", "/api/hangar/example", `{"name":"../../tern"}`, "", 404, "no-build"},
		{"unknown units", "GET", "/api/builds/wren.yaml?units=furlongs", "", "", 400, "bad-request"},
		{"edit without sets", "POST", "/api/builds/wren.yaml/edit", `{"base":"x","sets":[]}`, "", 400, "bad-request"},
		{"edit to nothing", "POST", "/api/builds/wren.yaml/edit", `{"base":"x","sets":["day.wind="]}`, "", 400, "bad-request"},
		{"edit of an unknown text", "POST", "/api/builds/wren.yaml/edit", `{"base":"x","sets":["day.wind=1 m/s"]}`, "", 409, "changed"},
		{"nothing to undo", "POST", "/api/builds/wren.yaml/undo", `{"base":"x"}`, "", 409, "nothing-to-undo"},
		{"preview of a misspelt path", "POST", "/api/builds/wren.yaml/preview", `{"sets":["parts.nothing.mass=1 g"]}`, "", 422, "bad-input"},
		{"preview of an impossible value", "POST", "/api/builds/wren.yaml/preview", `{"sets":["surfaces.wing.stations[0].chord=-1 mm"]}`, "", 422, "bad-input"},
		{"fan of too many", "POST", "/api/builds/wren.yaml/fan", `{"sets":[],"from":0,"n":100000}`, "", 400, "bad-request"},
		{"fan from below", "POST", "/api/builds/wren.yaml/fan", `{"sets":[],"from":-1,"n":1}`, "", 400, "bad-request"},
		{"no verb", "POST", "/api/jobs", `{"verb":"fly-away"}`, "", 404, "no-verb"},
		{"verb without its build", "POST", "/api/jobs", `{"verb":"balance"}`, "", 400, "bad-request"},
		{"job on a build outside", "POST", "/api/jobs", `{"verb":"balance","file":"../x.yaml"}`, "", 403, "outside"},
		{"job with a day outside", "POST", "/api/jobs", job(`,"day":"../day.yaml"`), "", 403, "outside"},
		{"compare with a build outside", "POST", "/api/jobs", `{"verb":"compare","file":"wren.yaml","files":["/etc/x.yaml"]}`, "", 403, "outside"},
		{"unknown option", "POST", "/api/jobs", job(`,"options":{"trajectory":"/tmp/x.csv"}`), "", 400, "bad-request"},
		{"option of another kind", "POST", "/api/jobs", job(`,"options":{"launches":"many"}`), "", 400, "bad-request"},
		{"option out of range", "POST", "/api/jobs", job(`,"options":{"launches":5}`), "", 400, "bad-request"},
		{"option not of its words", "POST", "/api/jobs", job(`,"options":{"map_at":"worst"}`), "", 400, "bad-request"},
		{"job with no such upload", "POST", "/api/jobs", `{"verb":"debrief","uploads":["../../etc/passwd"]}`, "", 404, "no-upload"},
		{"no job", "GET", "/api/jobs/j1", "", "", 404, "no-job"},
		{"upload of another kind", "POST", "/api/uploads?name=a.csv", `x`, "", 415, "media-type"},
		{"upload without a name", "POST", "/api/uploads?name=..%2f", `x`, "Content-Type: application/octet-stream", 400, "bad-request"},
		{"logbook of an unknown kind", "POST", "/api/logbook/secret", `{"args":["x=1"]}`, "", 404, "no-entry"},
		{"logbook keeps no file of the machine", "POST", "/api/logbook/log", `{"args":["file=/etc/passwd"]}`, "", 404, "no-upload"},
		{"logbook keeps no build of elsewhere", "POST", "/api/logbook/flight", `{"args":["build=../../x.yaml"]}`, "", 403, "outside"},
		{"import of no upload", "POST", "/api/logbook/import", `{"upload":"/etc/passwd"}`, "", 404, "no-upload"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := &bench{T: t, s: b.s, web: b.web, dir: b.dir, talk: b.talk}
			var head []string
			if c.head != "" {
				head = append(head, c.head)
			}
			resp, text := b.ask(c.method, c.path, c.body, head...)
			var r Refusal
			if err := json.Unmarshal(text, &r); err != nil {
				t.Fatalf("%d %.200s: %v", resp.StatusCode, text, err)
			}
			if resp.StatusCode != c.status || r.Code != c.code {
				t.Errorf("%d %s (%s), want %d %s", resp.StatusCode, r.Code, r.Message, c.status, c.code)
			}
			if r.Message == "" || r.Schema != 1 {
				t.Errorf("says nothing: %s", text)
			}
		})
	}
	if text, err := os.ReadFile(outside); err != nil || string(text) != "fledge: 1\n" {
		t.Errorf("the file outside was touched: %q %v", text, err)
	}
	if list, _ := os.ReadDir(b.dir); len(list) != 4 {
		t.Errorf("the hangar holds %d files after nothing but refusals", len(list))
	}
}

// Every answer, refusals too, carries the policy; the page is not stored as
// new and nothing else is stored at all.
func TestHeaders(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	for _, path := range []string{"/", "/api/hello", "/api/nothing", "/api/builds/wren.yaml", "/nothing"} {
		resp, _ := b.ask("GET", path, "")
		h := resp.Header
		for _, want := range []string{"default-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'", "object-src 'none'"} {
			if !strings.Contains(h.Get("Content-Security-Policy"), want) {
				t.Errorf("%s: policy lacks %s", path, want)
			}
		}
		if strings.Contains(h.Get("Content-Security-Policy"), "unsafe") {
			t.Errorf("%s: an unsafe policy", path)
		}
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin"} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q", path, name, h.Get(name))
			}
		}
		want := "no-store"
		if path == "/" {
			want = "no-cache"
		}
		if got := h.Get("Cache-Control"); got != want {
			t.Errorf("%s: Cache-Control %q, want %q", path, got, want)
		}
	}
	if resp, _ := b.ask("DELETE", "/api/hangar", ""); resp.Header.Get("Allow") != "GET" {
		t.Errorf("Allow: %q", resp.Header.Get("Allow"))
	}
	// A link from elsewhere may open the page itself.
	if resp, _ := b.ask("GET", "/", "", "Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: navigate"); resp.StatusCode != 200 {
		t.Errorf("a link to the page: %d", resp.StatusCode)
	}
}

// A device must show the code once; a code works once; wrong codes are few,
// slow and end in a new code.
func TestPairing(t *testing.T) {
	now := time.Now()
	var mu sync.Mutex
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); return now }
	pass := func(d time.Duration) { mu.Lock(); now = now.Add(d); mu.Unlock() }
	b := open(t, Config{Phone: true, PairAll: true, Now: clock}, "wren.yaml")
	if h := get[Hello](b, 200, "GET", "/api/hello", ""); h.Paired || h.Hangar != "" || len(h.Verbs) > 0 {
		t.Errorf("an unpaired device is told %+v", h)
	}
	if resp, _ := b.ask("GET", "/api/hangar", ""); resp.StatusCode != 401 {
		t.Errorf("unpaired: %d", resp.StatusCode)
	}
	code := b.s.Code()
	if resp, _ := b.ask("POST", "/api/pair", `{"code":"wrong"}`); resp.StatusCode != 403 {
		t.Errorf("wrong code: %d", resp.StatusCode)
	}
	if resp, _ := b.ask("POST", "/api/pair", toJSON(Pairing{code})); resp.StatusCode != 429 || resp.Header.Get("Retry-After") == "" {
		t.Errorf("two tries in a second: %d", resp.StatusCode)
	}
	for range 4 {
		pass(2 * time.Second)
		b.ask("POST", "/api/pair", `{"code":"wrong"}`)
	}
	pass(2 * time.Second)
	if resp, _ := b.ask("POST", "/api/pair", toJSON(Pairing{code})); resp.StatusCode != 403 {
		t.Errorf("the old code after five wrong ones: %d", resp.StatusCode)
	}
	pass(2 * time.Second)
	code = b.s.Code()
	resp, _ := b.ask("POST", "/api/pair", toJSON(Pairing{strings.ToUpper(code)}))
	if resp.StatusCode != 204 || len(resp.Cookies()) != 1 {
		t.Fatalf("the right code: %d", resp.StatusCode)
	}
	c := resp.Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || len(c.Value) < 32 {
		t.Errorf("the cookie is %+v", c)
	}
	if resp, _ := b.ask("GET", "/api/hangar", "", "Cookie: "+c.Name+"="+c.Value); resp.StatusCode != 200 {
		t.Errorf("paired: %d", resp.StatusCode)
	}
	if resp, _ := b.ask("GET", "/api/hangar", "", "Cookie: "+c.Name+"=guess"); resp.StatusCode != 401 {
		t.Errorf("a guessed key: %d", resp.StatusCode)
	}
	pass(2 * time.Second)
	if resp, _ := b.ask("POST", "/api/pair", toJSON(Pairing{code})); resp.StatusCode != 403 {
		t.Errorf("a code used twice: %d", resp.StatusCode)
	}
	pass(codeLife + time.Second)
	code = b.s.Code()
	if resp, body := b.ask("POST", "/api/pair", toJSON(Pairing{code})); resp.StatusCode != 403 || !strings.Contains(string(body), "old-code") {
		t.Errorf("a code of an hour ago: %d %s", resp.StatusCode, body)
	}
	if b.s.Code() == code {
		t.Error("the old code was not replaced")
	}
	if resp, _ := b.ask("GET", "/api/hangar", "", "Cookie: "+c.Name+"="+c.Value); resp.StatusCode != 200 {
		t.Errorf("paired an hour ago: %d", resp.StatusCode)
	}
	pass(deviceLife)
	if resp, _ := b.ask("GET", "/api/hangar", "", "Cookie: "+c.Name+"="+c.Value); resp.StatusCode != 401 {
		t.Errorf("paired over a day ago: %d", resp.StatusCode)
	}
	if h := b.talk.String(); !strings.Contains(h, "was paired") {
		t.Errorf("the terminal was not told: %q", h)
	}
}

// First run: nothing there, the examples and the questions are offered.
func TestFirstRun(t *testing.T) {
	b := open(t, Config{})
	h := get[Hangar](b, 200, "GET", "/api/hangar", "")
	if len(h.Builds) != 0 || len(h.Examples) < 3 {
		t.Fatalf("%d builds, %d examples", len(h.Builds), len(h.Examples))
	}
	for _, e := range h.Examples {
		if e.Say == "" || e.Title == "" {
			t.Errorf("%s is not introduced", e.Name)
		}
		f := get[FileReply](b, 201, "POST", "/api/hangar/example", toJSON(NameRequest{e.Name}))
		v := get[BuildView](b, 200, "GET", "/api/builds/"+f.File, "")
		if !v.OK || v.Hash == "" || v.Text == "" || len(v.Values) < 50 {
			t.Errorf("%s: ok %v, %d values, %v", f.File, v.OK, len(v.Values), v.Diagnostics)
		}
	}
	n := 0
	for _, q := range get[Questions](b, 200, "GET", "/api/questions", "").Questions {
		if q.First {
			n++
		}
	}
	if n != 5 {
		t.Errorf("%d first questions, five are meant", n)
	}
	f := get[FileReply](b, 201, "POST", "/api/hangar/new", `{"answers":{"name":"Plover Two","layout":"v-tail","span":"1050 mm","mass":"980 g","launch":"bungee"}}`)
	if f.File != "plover-two.yaml" {
		t.Errorf("the new build is %s", f.File)
	}
	if v := get[BuildView](b, 200, "GET", "/api/builds/"+f.File, ""); !v.OK {
		t.Errorf("a new build makes no aeroplane: %v", v.Diagnostics)
	}
	steps := get[KitSteps](b, 200, "GET", "/api/kit?layout=v-tail", "")
	core, answers := 0, map[string]string{}
	for _, k := range steps.Steps {
		if k.Ask == "" || k.Tool == "" {
			t.Errorf("%s is not asked for in words", k.Key)
		}
		if k.Core {
			core++
			answers[k.Key] = k.Example
		}
	}
	if core < 8 || len(steps.Steps) < core+5 {
		t.Errorf("%d steps, %d of them of the dozen", len(steps.Steps), core)
	}
	answers["layout"], answers["name"] = "v-tail", "Kittiwake"
	look := get[KitMade](b, 200, "POST", "/api/hangar/kit", toJSON(KitRequest{Answers: map[string]string{"name": "Kittiwake", "layout": "v-tail"}, Look: true}))
	if look.File != "" || len(look.Open) < 5 {
		t.Errorf("a look: %+v", look)
	}
	made := get[KitMade](b, 201, "POST", "/api/hangar/kit", toJSON(KitRequest{Answers: answers}))
	if v := get[BuildView](b, 200, "GET", "/api/builds/"+made.File, ""); !v.OK || v.Name != "Kittiwake" {
		t.Errorf("the kit's build: %s, %v", v.Name, v.Diagnostics)
	}
	if err := os.Remove(filepath.Join(b.dir, made.File)); err != nil {
		t.Error(err)
	}
	get[FileReply](b, 201, "POST", "/api/builds/plover-two.yaml/copy", `{"to":"plover-three.yaml"}`)
	if h := get[Hangar](b, 200, "GET", "/api/hangar", ""); len(h.Builds) != len(h.Examples)+2 {
		t.Errorf("%d builds", len(h.Builds))
	}
}

// A broken file is shown as far as it can be read, with the place of what is
// wrong.
func TestBrokenBuild(t *testing.T) {
	b := open(t, Config{})
	if err := os.WriteFile(filepath.Join(b.dir, "bad.yaml"), []byte("fledge: 1\naeroplane: {name: Bad}\nparts:\n  - {name: x, mass: 3 apples}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	v := get[BuildView](b, 200, "GET", "/api/builds/bad.yaml", "")
	if v.OK || v.Name != "Bad" || len(v.Diagnostics) == 0 || v.Diagnostics[0].Line != 4 || !strings.Contains(v.Diagnostics[0].Excerpt, "apples") {
		t.Errorf("%+v", v.Diagnostics)
	}
	if h := get[Hangar](b, 200, "GET", "/api/hangar", ""); len(h.Builds) != 1 || h.Builds[0].OK || h.Builds[0].Problem == "" {
		t.Errorf("%+v", h.Builds)
	}
}

// stream listens to the events of a workshop.
func (b *bench) stream() (next func(name string) string, stop func()) {
	b.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	r, _ := http.NewRequestWithContext(ctx, "GET", b.web.URL+"/api/events", nil)
	resp, err := b.web.Client().Do(r)
	if err != nil {
		b.Fatal(err)
	}
	type got struct{ name, data string }
	list := make(chan got, 100)
	go func() {
		defer close(list)
		s := bufio.NewScanner(resp.Body)
		s.Buffer(nil, 1<<20)
		name := ""
		for s.Scan() {
			if n, ok := strings.CutPrefix(s.Text(), "event: "); ok {
				name = n
			}
			if d, ok := strings.CutPrefix(s.Text(), "data: "); ok {
				list <- got{name, d}
			}
		}
	}()
	return func(name string) string {
			b.Helper()
			late := time.After(20 * time.Second)
			for {
				select {
				case g, ok := <-list:
					if !ok {
						b.Fatalf("the stream ended before %s", name)
					}
					if g.name == name {
						return g.data
					}
				case <-late:
					b.Fatalf("no event %s", name)
				}
			}
		}, func() {
			cancel()
			resp.Body.Close()
		}
}

// What another program does to a file is told: changed, gone, a new one.
func TestWatch(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	next, stop := b.stream()
	defer stop()
	next("hello")
	v := get[BuildView](b, 200, "GET", "/api/builds/wren.yaml", "")
	file := filepath.Join(b.dir, "wren.yaml")
	text, _ := os.ReadFile(file)
	time.Sleep(60 * time.Millisecond) // the watcher has looked
	if err := os.WriteFile(file, append(text, []byte("# seen\n")...), 0o644); err != nil {
		t.Fatal(err)
	}
	var e BuildEvent
	if err := json.Unmarshal([]byte(next("build")), &e); err != nil || e.Why != "disk" || e.File != "wren.yaml" || e.ETag == v.ETag || !e.OK {
		t.Errorf("%+v %v", e, err)
	}
	if err := os.WriteFile(filepath.Join(b.dir, "other.yaml"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	next("hangar")
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(next("build")), &e); err != nil || e.Why != "gone" {
		t.Errorf("%+v %v", e, err)
	}
	if err := os.WriteFile(file, text, 0o644); err != nil { // some programs write so: away, then there again
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(next("build")), &e); err != nil || e.Why != "disk" || e.ETag != v.ETag {
		t.Errorf("back: %+v %v", e, err)
	}
}

// A change that keeps size and time is told all the same, and an edit on the
// old text is merged or refused, never written over it.
func TestWatchContent(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	next, stop := b.stream()
	defer stop()
	next("hello")
	v := get[BuildView](b, 200, "GET", "/api/builds/wren.yaml", "")
	file := filepath.Join(b.dir, "wren.yaml")
	long := time.Now().Add(-time.Hour)
	if err := os.Chtimes(file, long, long); err != nil {
		t.Fatal(err)
	}
	time.Sleep(200 * time.Millisecond) // the watcher knows this time
	text, _ := os.ReadFile(file)
	other := bytes.Replace(text, []byte("# "), []byte("#-"), 1)
	if bytes.Equal(text, other) {
		t.Fatal("nothing to change in the example")
	}
	if err := os.WriteFile(file, other, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(file, long, long); err != nil {
		t.Fatal(err)
	}
	var e BuildEvent
	if err := json.Unmarshal([]byte(next("build")), &e); err != nil || e.Why != "disk" || e.ETag == v.ETag {
		t.Errorf("%+v %v", e, err)
	}
	b.edit(200, "wren.yaml", v.ETag, "aeroplane.name=Wren two")
	if now, _ := os.ReadFile(file); !bytes.Contains(now, []byte("#-")) || !bytes.Contains(now, []byte("Wren two")) {
		t.Error("one of the two changes is lost")
	}
}

// The route table and the contract name the same routes.
func TestContract(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "docs", "workshop-api.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range (&Server{}).table() {
		path := strings.TrimPrefix(r.path, "/api/builds/{file}")
		want := r.method + " " + r.path
		if !strings.Contains(string(text), want) && !(path != r.path && strings.Contains(string(text), "…"+path)) {
			t.Errorf("docs/workshop-api.md does not tell of %s", want)
		}
	}
}

// Serve ends when its context does, streams included, and soon.
func TestServeEnds(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	l := httptest.NewUnstartedServer(nil).Listener
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- b.s.Serve(ctx, l) }()
	resp, err := http.Get("http://" + l.Addr().String() + "/api/events")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	cancel()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it does not end")
	}
	if _, err := io.ReadAll(resp.Body); err != nil {
		t.Logf("the stream broke off: %v", err)
	}
	if _, err := http.Get("http://" + l.Addr().String() + "/"); err == nil {
		t.Error("it still answers")
	}
}

// openFuzz is open for a fuzz target, which outlives its runs.
func openFuzz(f testing.TB) *bench {
	f.Helper()
	dir := f.TempDir()
	text, err := fs.ReadFile(examples.Files, "wren.yaml")
	if err != nil {
		f.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "wren.yaml"), text, 0o644); err != nil {
		f.Fatal(err)
	}
	s, err := New(Config{Dir: dir, Cached: true})
	if err != nil {
		f.Fatal(err)
	}
	b := &bench{s: s, dir: dir, talk: &dialogue{}, web: httptest.NewServer(s.Handler())}
	f.Cleanup(func() { b.web.Close(); s.Close() })
	return b
}
