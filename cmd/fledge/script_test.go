package main

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) { testscript.Main(m, map[string]func(){"fledge": main}) }

// TestScripts runs the command as a person does. FLEDGE_UPDATE=1 rewrites what
// cmp compares with.
func TestScripts(t *testing.T) {
	examples, err := filepath.Abs(filepath.Join("..", "..", "examples"))
	if err != nil {
		t.Fatal(err)
	}
	logs, err := filepath.Abs(filepath.Join("..", "..", "internal", "track", "testdata", "logs"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           filepath.Join("testdata", "script"),
		UpdateScripts: os.Getenv("FLEDGE_UPDATE") != "",
		Setup: func(e *testscript.Env) error {
			e.Setenv("NO_COLOR", "1")
			e.Setenv("EXAMPLES", examples)
			e.Setenv("LOGS", logs)
			e.Setenv("XDG_CACHE_HOME", filepath.Join(e.WorkDir, ".cache"))
			e.Setenv("HOME", e.WorkDir)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "keys": keys, "value": value, "fill": fill, "plain": plain, "files": files,
		},
	})
}

// exits runs the command and holds it to an exit code: exits 2 fledge check x.yaml.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE command...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	err = ts.Exec(args[1], args[2:]...)
	var e *exec.ExitError
	if errors.As(err, &e) {
		got = e.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, not %d:\n%s\n%s", got, want, ts.ReadFile("stdout"), ts.ReadFile("stderr"))
	}
}

// parsed is the last standard output as JSON.
func parsed(ts *testscript.TestScript) map[string]any {
	var v map[string]any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &v); err != nil {
		ts.Fatalf("not JSON: %v\n%.500s", err, ts.ReadFile("stdout"))
	}
	return v
}

// keys holds the last output to a JSON object with these keys, which may lead
// inwards: keys schema at_release.speed.value findings.0.id.
func keys(ts *testscript.TestScript, neg bool, args []string) {
	v := parsed(ts)
	for _, path := range args {
		if _, ok := lookUp(v, path); ok == neg {
			ts.Fatalf("key %s: there %v", path, ok)
		}
	}
}

// value holds one number or text of the last output between two bounds, or to
// a text: value mass.value 0.9 1.1, value verdict no-go.
func value(ts *testscript.TestScript, neg bool, args []string) {
	got, ok := lookUp(parsed(ts), args[0])
	if !ok {
		ts.Fatalf("no key %s", args[0])
	}
	good := false
	switch len(args) {
	case 2:
		s, isText := got.(string)
		good = isText && s == args[1] || got == nil && args[1] == "null" || got == true && args[1] == "true" || got == false && args[1] == "false"
	case 3:
		lo, err := strconv.ParseFloat(args[1], 64)
		ts.Check(err)
		hi, err := strconv.ParseFloat(args[2], 64)
		ts.Check(err)
		x, isNumber := got.(float64)
		good = isNumber && x >= lo && x <= hi
	default:
		ts.Fatalf("usage: value KEY TEXT, or value KEY LOW HIGH")
	}
	if good == neg {
		ts.Fatalf("%s is %v", args[0], got)
	}
}

func lookUp(v any, path string) (any, bool) {
	for _, k := range strings.Split(path, ".") {
		switch x := v.(type) {
		case map[string]any:
			in, ok := x[k]
			if !ok {
				return nil, false
			}
			v = in
		case []any:
			i, err := strconv.Atoi(k)
			if err != nil || i < 0 || i >= len(x) {
				return nil, false
			}
			v = x[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// fill makes a file of n bytes: fill FILE N [zero].
func fill(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	line := "# a comment line that goes on and on\n"
	if len(args) > 2 {
		line = "\x00\x01\xff\xfe"
	}
	text := strings.Repeat(line, n/len(line)+1)[:n]
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o644))
}

// plain refuses, in the last output and talk, what no message should hold:
// the innards of the program, lines wider than 80 characters in the output.
func plain(ts *testscript.TestScript, _ bool, args []string) {
	out, talk := ts.ReadFile("stdout"), ts.ReadFile("stderr")
	for _, bad := range []string{"strconv", "panic", "goroutine", "pflag", "%!", "NaN", "+Inf", "<nil>", "runtime error"} {
		if strings.Contains(out, bad) || strings.Contains(talk, bad) {
			ts.Fatalf("%q in the output:\n%s\n%s", bad, out, talk)
		}
	}
	wide := 80
	if len(args) > 0 {
		w, err := strconv.Atoi(args[0])
		ts.Check(err)
		wide = w
	}
	for _, text := range []string{out, talk} {
		for _, l := range strings.Split(text, "\n") {
			if n := len([]rune(l)); n > wide {
				ts.Fatalf("a line of %d characters: %s", n, l)
			}
		}
	}
}

// files holds the folder to exactly these files: that nothing was written.
func files(ts *testscript.TestScript, _ bool, args []string) {
	var got []string
	root := ts.MkAbs(".")
	ts.Check(filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root, p)
		if d.IsDir() {
			if strings.HasPrefix(rel, ".") && rel != "." || rel == "tmp" || rel == ".tmp" {
				return fs.SkipDir
			}
			return nil
		}
		got = append(got, filepath.ToSlash(rel))
		return nil
	}))
	slices.Sort(got)
	slices.Sort(args)
	if !slices.Equal(got, args) {
		ts.Fatalf("files %v, not %v", got, args)
	}
}
