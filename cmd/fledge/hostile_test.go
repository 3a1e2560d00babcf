package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestHostileText gives an aeroplane, a part and a log names that try to be
// markup, a formula or a terminal's command, and looks at all that comes out:
// pages, charts, logs in open formats, tables. Each file is still what it says
// it is and holds no script; no cell is a formula; nothing reaches the
// terminal but text and line ends.
func TestHostileText(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", cache)
	t.Setenv("HOME", cache)
	folder(t)
	const evil = `=cmd|' /C calc'!A1 <script>alert(1)</script> ]]> &amp; <img src=x onerror=alert(1)>`
	text, err := os.ReadFile("tern.yaml")
	if err != nil {
		t.Fatal(err)
	}
	name := strings.ReplaceAll(evil, `"`, `\"`)
	build := strings.Replace(string(text), "name: Tern", `name: "`+name+`"`, 1)
	build = strings.Replace(build, "{name: wires and hardware,", `{name: "`+name+`",`, 1)
	if build == string(text) {
		t.Fatal("nothing was replaced")
	}
	if err := os.WriteFile("evil.yaml", []byte(build), 0o644); err != nil {
		t.Fatal(err)
	}
	log := "=1+1<script>\x1b[2J\u202e.csv"
	if err := os.Rename("flight.csv", log); err != nil {
		t.Fatal(err)
	}
	var out, talk bytes.Buffer
	clears := strings.Replace(string(text), "name: Tern", `name: "\e[2J"`, 1)
	if err := os.WriteFile("clears.yaml", []byte(clears), 0o644); err != nil {
		t.Fatal(err)
	}
	if code := run([]string{"balance", "clears.yaml"}, nil, &out, &talk); code != exitBad || !strings.Contains(talk.String(), "control character U+001B") {
		t.Errorf("a name that clears the screen: %d %s", code, talk.String())
	}
	for _, args := range [][]string{
		{"balance", "evil.yaml", "--quick", "--plot", "balance.svg"},
		{"fit", "evil.yaml", "--plot", "fit.svg"},
		{"fly", "evil.yaml", "--plot", "fly.svg"},
		{"launch", "evil.yaml", "--quick", "--launches", "64", "--plot", "launch.svg", "--trajectory", "launch.csv"},
		{"debrief", log, "--build", "evil.yaml", "--quick", "--pack", "pack", "--plot", "debrief.svg", "--note", evil},
		{"logbook", "add", "flight", "build=evil.yaml", "place=" + evil, "note=" + evil, "outcome=airborne"},
		{"logbook", "list", "flight"},
		{"logbook", "show", "flight", "1"},
		{"logbook", "export", "flight", "--to", "flights.csv"},
		{"logbook", "search", "<script>"},
		{"balance", "evil.yaml", "--quick", "--json"},
	} {
		var out, talk bytes.Buffer
		if code := run(args, strings.NewReader(""), &out, &talk); code != exitOK {
			t.Errorf("%q: exit code %d: %s", args, code, talk.String())
		}
		for _, s := range []string{out.String(), talk.String()} {
			if i := strings.IndexFunc(s, unprintable); i >= 0 && args[len(args)-1] != "--json" {
				t.Errorf("%q sends %q to the terminal", args, s[max(0, i-30):min(len(s), i+10)])
			}
		}
		if args[len(args)-1] == "--json" && !json.Valid(out.Bytes()) {
			t.Errorf("%q is not JSON", args)
		}
	}
	looked := map[string]int{}
	err = filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || p == log || p == "today.csv" || p == "blade.csv" || p == "flight.gpx" {
			return err
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		ext := strings.ToLower(filepath.Ext(p))
		looked[ext]++
		switch ext {
		case ".svg", ".gpx", ".kml", ".html":
			inert(t, p, text)
		case ".csv":
			r := csv.NewReader(bytes.NewReader(text))
			r.FieldsPerRecord = -1
			cells, err := r.ReadAll()
			if err != nil {
				t.Errorf("%s: %v", p, err)
			}
			for _, line := range cells {
				for _, c := range line {
					if _, err := strconv.ParseFloat(c, 64); err != nil && c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
						t.Errorf("%s: a table program would run %q", p, c)
					}
				}
			}
		case ".json", ".geojson":
			if !json.Valid(text) {
				t.Errorf("%s is not JSON", p)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, ext := range []string{".svg", ".gpx", ".kml", ".csv", ".geojson"} {
		if looked[ext] == 0 {
			t.Errorf("no %s was written: %v", ext, looked)
		}
	}
}

// inert holds a file to be whole XML without a script, an embedded page, a
// handler or an address of elsewhere but the names of its namespaces.
func inert(t *testing.T, name string, text []byte) {
	t.Helper()
	if strings.HasSuffix(name, ".html") { // where a browser shows a control as nothing
		text = []byte(printable(string(text)))
	}
	d := xml.NewDecoder(bytes.NewReader(text))
	if strings.HasSuffix(name, ".html") {
		d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Errorf("%s is not whole: %v", name, err)
			return
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		switch strings.ToLower(e.Name.Local) {
		case "script", "foreignobject", "iframe", "object", "embed", "img":
			t.Errorf("%s holds <%s>", name, e.Name.Local)
		}
		for _, a := range e.Attr {
			n := strings.ToLower(a.Name.Local)
			if strings.HasPrefix(n, "on") || n == "href" && !strings.HasPrefix(a.Value, "#") {
				t.Errorf("%s holds %s=%q", name, n, a.Value)
			}
		}
	}
}
