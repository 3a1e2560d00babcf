package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func (b *bench) file(name string) string {
	b.Helper()
	text, err := os.ReadFile(filepath.Join(b.dir, name))
	if err != nil {
		b.Fatal(err)
	}
	return string(text)
}

// outside changes a file as another program would.
func (b *bench) outside(name, from, to string) {
	b.Helper()
	text := b.file(name)
	if !strings.Contains(text, from) {
		b.Fatalf("%s holds no %q", name, from)
	}
	if err := os.WriteFile(filepath.Join(b.dir, name), []byte(strings.Replace(text, from, to, 1)), 0o644); err != nil {
		b.Fatal(err)
	}
}

func (b *bench) tag(name string) string {
	b.Helper()
	return get[BuildView](b, 200, "GET", "/api/builds/"+name, "").ETag
}

func (b *bench) edit(want int, name, base string, sets ...string) Edited {
	b.Helper()
	return get[Edited](b, want, "POST", "/api/builds/"+name+"/edit", toJSON(EditRequest{Base: base, Sets: sets}))
}

// clash sends an edit that must be refused with a conflict.
func (b *bench) clash(path, body string) Conflict {
	b.Helper()
	resp, text := b.ask("POST", path, body)
	var r Refusal
	if err := json.Unmarshal(text, &r); err != nil || resp.StatusCode != 409 || r.Code != "changed" || r.Conflict == nil {
		b.Fatalf("%d %.300s", resp.StatusCode, text)
	}
	return *r.Conflict
}

// One value changes, every other byte stays; undo and redo give the very
// bytes back.
func TestEditUndoRedo(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	before := b.file("tern.yaml")
	e := b.edit(200, "tern.yaml", b.tag("tern.yaml"), "parts.receiver.at.x=270 mm")
	after := b.file("tern.yaml")
	if want := strings.Replace(before, "at: {x: 268 mm", "at: {x: 270 mm", 1); after != want || want == before {
		t.Fatal("more or less than the one value changed")
	}
	if e.History.Undo != 1 || e.ETag != etag([]byte(after)) || !e.OK || e.Hash == "" || e.History.UndoSay == "" {
		t.Errorf("%+v", e)
	}
	turn := func(way, base string) Edited {
		t.Helper()
		return get[Edited](b, 200, "POST", "/api/builds/tern.yaml/"+way, toJSON(BaseRequest{base}))
	}
	u := turn("undo", e.ETag)
	if b.file("tern.yaml") != before || u.History.Redo != 1 || u.History.Undo != 0 {
		t.Errorf("undone: %+v", u.History)
	}
	r := turn("redo", u.ETag)
	if b.file("tern.yaml") != after || r.History.Undo != 1 || r.History.Redo != 0 {
		t.Errorf("done again: %+v", r.History)
	}
	// A new edit ends what could be done again.
	u = turn("undo", r.ETag)
	e = b.edit(200, "tern.yaml", u.ETag, "day.wind=3 m/s")
	if e.History.Redo != 0 {
		t.Errorf("after an edit: %+v", e.History)
	}
	// An edit that changes nothing is no step.
	if e = b.edit(200, "tern.yaml", e.ETag, "day.wind=3 m/s"); e.History.Undo != 1 {
		t.Errorf("nothing changed: %+v", e.History)
	}
	// A base that is not what is there.
	b.clash("/api/builds/tern.yaml/undo", `{"base":"old"}`)
}

// What something else changed meanwhile is merged where it concerns other
// values, asked about where it concerns the same, and never written over.
func TestChangedOnDisk(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	base := b.tag("tern.yaml")
	b.outside("tern.yaml", "friction: 0.2 guess", "friction: 0.3 measured")
	b.outside("tern.yaml", "\nstrength:\n", "\nstrength:   # my note\n")
	e := b.edit(200, "tern.yaml", base, "parts.receiver.at.x=270 mm")
	if len(e.Merged) != 1 || e.Merged[0].Path != "launch.bungee.hook.friction" || e.Merged[0].Theirs != "0.3 measured" {
		t.Errorf("merged: %+v", e.Merged)
	}
	if f := b.file("tern.yaml"); !strings.Contains(f, "friction: 0.3 measured") || !strings.Contains(f, "strength:   # my note") || !strings.Contains(f, "at: {x: 270 mm") {
		t.Error("one of the two changes is lost")
	}
	// The same value: asked, nothing written.
	b.outside("tern.yaml", "friction: 0.3 measured", "friction: 0.4 measured")
	now := b.file("tern.yaml")
	c := b.clash("/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: e.ETag, Sets: []string{"launch.bungee.hook.friction=0.1"}}))
	if len(c.Paths) != 1 || c.Paths[0].Base != "0.3 measured" || c.Paths[0].Theirs != "0.4 measured" || c.Paths[0].Mine != "0.1" || c.Text != now || c.ETag != etag([]byte(now)) {
		t.Errorf("conflict: %+v", c.Paths)
	}
	if b.file("tern.yaml") != now {
		t.Error("a refused edit wrote")
	}
	// Keep mine: sent again with the base of what is there.
	b.edit(200, "tern.yaml", c.ETag, "launch.bungee.hook.friction=0.1")
	// Both want the same: no clash.
	base = b.tag("tern.yaml")
	b.outside("tern.yaml", "friction: 0.1", "friction: 0.5")
	b.edit(200, "tern.yaml", base, "launch.bungee.hook.friction=0.5")
	// A list that became longer: a numbered path may mean another item now.
	base = b.tag("tern.yaml")
	b.outside("tern.yaml", "    pull_test: [{stretch: 2 m, pull: 14 N}", "    pull_test: [{stretch: 1 m, pull: 8 N}, {stretch: 2 m, pull: 14 N}")
	c = b.clash("/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: base, Sets: []string{"launch.bungee.pull_test[0].pull=15 N"}}))
	if len(c.Paths) != 1 {
		t.Errorf("a list that grew: %+v", c.Paths)
	}
}

// Undo takes back our own step alone, what others wrote since stays; where
// both concern the same lines it asks.
func TestUndoAfterOthers(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	b.edit(200, "tern.yaml", b.tag("tern.yaml"), "parts.receiver.at.x=270 mm")
	b.outside("tern.yaml", "friction: 0.2 guess", "friction: 0.3 measured")
	get[Edited](b, 200, "POST", "/api/builds/tern.yaml/undo", toJSON(BaseRequest{b.tag("tern.yaml")}))
	if f := b.file("tern.yaml"); !strings.Contains(f, "friction: 0.3 measured") || !strings.Contains(f, "at: {x: 268 mm") {
		t.Error("not our own step alone")
	}
	b.edit(200, "tern.yaml", b.tag("tern.yaml"), "parts.receiver.at.x=271 mm")
	b.outside("tern.yaml", "at: {x: 271 mm", "at: {x: 280 mm")
	now := b.file("tern.yaml")
	b.clash("/api/builds/tern.yaml/undo", toJSON(BaseRequest{b.tag("tern.yaml")}))
	if b.file("tern.yaml") != now {
		t.Error("a refused undo wrote")
	}
}

// A file that would make no aeroplane is not written, unless asked for.
func TestImpossibleEdit(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	before, base := b.file("tern.yaml"), b.tag("tern.yaml")
	for _, set := range []string{"surfaces.wing.stations[0].section=NACA 99", "parts.battery.mass=heavy", "nothing.at=1", "surfaces.wing.stations[0].section=../../secret.dat"} {
		resp, text := b.ask("POST", "/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: base, Sets: []string{set}}))
		var r Refusal
		if err := json.Unmarshal(text, &r); err != nil || resp.StatusCode != 422 || len(r.Diagnostics) == 0 {
			t.Errorf("%s: %d %.200s", set, resp.StatusCode, text)
		}
	}
	if b.file("tern.yaml") != before {
		t.Fatal("written all the same")
	}
	e := get[Edited](b, 200, "POST", "/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: base, Sets: []string{"surfaces.wing.stations[0].section=NACA 99"}, Anyway: true}))
	if e.OK || e.Hash != "" || len(e.Diagnostics) == 0 {
		t.Errorf("%+v", e)
	}
	u := get[Edited](b, 200, "POST", "/api/builds/tern.yaml/undo", toJSON(BaseRequest{e.ETag}))
	if !u.OK || b.file("tern.yaml") != before {
		t.Error("a broken file cannot be undone")
	}
}

// The whole text can be put, on what is there alone.
func TestPutText(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	v := get[BuildView](b, 200, "GET", "/api/builds/tern.yaml", "")
	text := strings.Replace(v.Text, "# Tern:", "# My Tern:", 1)
	e := get[Edited](b, 200, "PUT", "/api/builds/tern.yaml/text", toJSON(TextRequest{Base: v.ETag, Text: text}))
	if b.file("tern.yaml") != text || e.History.Undo != 1 {
		t.Error("not put")
	}
	resp, _ := b.ask("PUT", "/api/builds/tern.yaml/text", toJSON(TextRequest{Base: v.ETag, Text: "x"}))
	if resp.StatusCode != 409 {
		t.Errorf("on an old base: %d", resp.StatusCode)
	}
	resp, _ = b.ask("PUT", "/api/builds/tern.yaml/text", toJSON(TextRequest{Base: e.ETag, Text: "fledge: 99\n"}))
	if resp.StatusCode != 422 || b.file("tern.yaml") != text {
		t.Errorf("of a newer format: %d", resp.StatusCode)
	}
}

// Many tabs at once: every change that was accepted is in the file.
func TestManyTabs(t *testing.T) {
	b := open(t, Config{}, "tern.yaml")
	base := b.tag("tern.yaml")
	sets := []string{"parts.receiver.at.x=%d mm", "parts.camera.at.x=%d mm", "parts.controller.at.x=%d mm", "trial.mass=%d g", "launch.held.nose_up=%d deg"}
	var wg sync.WaitGroup
	for tab, set := range sets {
		wg.Go(func() {
			for i := range 4 {
				resp, text := b.ask("POST", "/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: base, Sets: []string{fmt.Sprintf(set, 10+i)}}))
				if i == 0 && resp.StatusCode != 200 {
					t.Errorf("tab %d: %d %.200s", tab, resp.StatusCode, text)
				}
				if resp.StatusCode != 200 { // its own earlier change: it knows, and goes on from there
					var r Refusal
					if err := json.Unmarshal(text, &r); err != nil || r.Conflict == nil {
						t.Errorf("tab %d: %s", tab, text)
						return
					}
					resp, text = b.ask("POST", "/api/builds/tern.yaml/edit", toJSON(EditRequest{Base: r.Conflict.ETag, Sets: []string{fmt.Sprintf(set, 10+i)}}))
					if resp.StatusCode != 200 {
						t.Errorf("tab %d, again: %d %.300s", tab, resp.StatusCode, text)
					}
				}
			}
		})
	}
	wg.Wait()
	v := get[BuildView](b, 200, "GET", "/api/builds/tern.yaml", "")
	texts := map[string]string{}
	for _, x := range v.Values {
		texts[x.Path] = x.Text
	}
	for _, set := range sets {
		path, want, _ := strings.Cut(fmt.Sprintf(set, 13), "=")
		if texts[path] != want {
			t.Errorf("%s is %q, its tab left it at %q", path, texts[path], want)
		}
	}
}

// Laws of a merge, and that nothing anybody wrote is lost silently.
func TestMerge3(t *testing.T) {
	for _, c := range []struct{ name, base, mine, theirs, want string }{
		{"nothing", "a\nb\n", "a\nb\n", "a\nb\n", "a\nb\n"},
		{"mine", "a\nb\nc\n", "a\nX\nc\n", "a\nb\nc\n", "a\nX\nc\n"},
		{"both, apart", "a\nb\nc\nd\ne\n", "X\nb\nc\nd\ne\n", "a\nb\nc\nd\nY\n", "X\nb\nc\nd\nY\n"},
		{"both the same", "a\nb\n", "a\nX\n", "a\nX\n", "a\nX\n"},
		{"no last break", "a\nb\nc", "X\nb\nc", "a\nb\nY", "X\nb\nY"},
		{"lines added at both ends", "a\nb\nc\n", "0\na\nb\nc\n", "a\nb\nc\nd\n", "0\na\nb\nc\nd\n"},
		{"lines taken", "a\nb\nc\nd\n", "a\nc\nd\n", "a\nb\nc\n", "a\nc\n"},
	} {
		got, ok := merge3([]byte(c.base), []byte(c.mine), []byte(c.theirs))
		if !ok || string(got) != c.want {
			t.Errorf("%s: %q %v, want %q", c.name, got, ok, c.want)
		}
	}
	for _, c := range [][3]string{
		{"a\nb\nc\n", "a\nX\nc\n", "a\nY\nc\n"},
		{"a\nb\nc\n", "a\nX\nc\n", "a\nb\nY\n"},
		{"a\n", "", "a\nb\n"},
	} {
		if got, ok := merge3([]byte(c[0]), []byte(c[1]), []byte(c[2])); ok {
			t.Errorf("%q: merged to %q", c, got)
		}
	}
}

func FuzzMerge3(f *testing.F) {
	f.Add("a\nb\nc\n", "a\nX\nc\n", "a\nb\nY\n")
	f.Add("", "a", "b\n")
	f.Fuzz(func(t *testing.T, base, mine, theirs string) {
		if len(base)+len(mine)+len(theirs) > 4000 {
			return
		}
		b, m, h := []byte(base), []byte(mine), []byte(theirs)
		if got, ok := merge3(b, b, h); !ok || !bytes.Equal(got, h) {
			t.Fatalf("mine unchanged: %q %v, want theirs %q", got, ok, h)
		}
		if got, ok := merge3(b, m, b); !ok || !bytes.Equal(got, m) {
			t.Fatalf("theirs unchanged: %q %v, want mine %q", got, ok, m)
		}
		if got, ok := merge3(b, m, m); !ok || !bytes.Equal(got, m) {
			t.Fatalf("both the same: %q %v, want %q", got, ok, m)
		}
		x, okX := merge3(b, m, h)
		y, okY := merge3(b, h, m)
		if okX != okY || !bytes.Equal(x, y) {
			t.Fatalf("not the same from both sides: %q %v, %q %v", x, okX, y, okY)
		}
	})
}

// No name leads out of the hangar.
func FuzzName(f *testing.F) {
	for _, s := range []string{"tern.yaml", "../x.yaml", "a/b.yaml", `a\b.yaml`, "c:x.yaml", "\x00.yaml", "con.yaml", ".x.yaml", "/etc/x.yaml", "..yaml", "\u202e.yaml"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if plainName(name) == nil {
			if filepath.Base(name) != name || !filepath.IsLocal(name) || filepath.Dir(filepath.Join("/hangar", name)) != "/hangar" {
				t.Fatalf("%q was taken", name)
			}
		}
		if n := baseName(name); n != "" && (filepath.Base(n) != n || !filepath.IsLocal(n) || len(n) > mostName+5) {
			t.Fatalf("%q became %q", name, n)
		}
	})
}

// Settings from outside never panic, and what is refused writes nothing.
func FuzzSets(f *testing.F) {
	for _, s := range []string{"day.wind=1 m/s", "parts[99].name=x", "a=b", "=", `parts."x".mass=1 g`, "surfaces.wing.stations[0].section=/etc/passwd", "aeroplane.note=a\nb: c", "aeroplane.name=\"}\""} {
		f.Add(s)
	}
	b := openFuzz(f)
	f.Fuzz(func(t *testing.T, set string) {
		b := &bench{T: t, s: b.s, web: b.web, dir: b.dir, talk: b.talk}
		before := b.file("wren.yaml")
		resp, text := b.ask("POST", "/api/builds/wren.yaml/edit", toJSON(EditRequest{Base: etag([]byte(before)), Sets: []string{set}}))
		switch {
		case resp.StatusCode >= 500:
			t.Fatalf("%q: %d %s", set, resp.StatusCode, text)
		case resp.StatusCode != 200 && b.file("wren.yaml") != before:
			t.Fatalf("%q was refused and written", set)
		case resp.StatusCode == 200 && b.file("wren.yaml") != before:
			if r := get[Edited](b, 200, "POST", "/api/builds/wren.yaml/undo", toJSON(BaseRequest{b.tag("wren.yaml")})); !r.OK || b.file("wren.yaml") != before {
				t.Fatalf("%q cannot be undone", set)
			}
		}
	})
}
