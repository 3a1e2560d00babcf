package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestImports reads the imports of every package of the module.
func TestImports(t *testing.T) {
	rules := map[string]Rule{}
	for _, r := range Rules {
		if _, twice := rules[r.Room]; twice {
			t.Errorf("room %s ruled twice", r.Room)
		}
		rules[r.Room] = r
	}
	root := filepath.Join("..", "..")
	seen := 0
	for _, top := range []string{"internal", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(p string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && (d.Name() == "testdata" || d.Name() == "node_modules") {
				return filepath.SkipDir
			}
			if !strings.HasSuffix(p, ".go") {
				return nil
			}
			room := path.Base(path.Dir(filepath.ToSlash(p)))
			rule, ok := rules[room]
			if !ok {
				t.Errorf("%s: room %q has no rule", p, room)
				return nil
			}
			f, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.ImportsOnly|parser.ParseComments)
			if err != nil {
				return nil // the compiler will say so
			}
			seen++
			test := strings.HasSuffix(p, "_test.go")
			for _, imp := range f.Imports {
				held(t, p, rule, strings.Trim(imp.Path.Value, `"`), test)
			}
			_ = ast.Node(f)
			return nil
		})
		if err != nil && !strings.Contains(err.Error(), "no such file") {
			t.Fatal(err)
		}
	}
	if seen < 10 {
		t.Fatalf("only %d files read", seen)
	}
}

func held(t *testing.T, file string, rule Rule, imp string, test bool) {
	t.Helper()
	if in, ok := strings.CutPrefix(imp, "fledge/"); ok {
		room := path.Base(in)
		if room == rule.Room || slices.Contains(rule.May, room) || slices.Contains(rule.May, "*") {
			return
		}
		if test {
			return // tests may set up what they need
		}
		t.Errorf("%s: room %s may not import %s", file, rule.Room, room)
		return
	}
	if test || Outer[rule.Room] {
		return
	}
	for _, n := range Never {
		if imp == n.Import {
			t.Errorf("%s: %s imported: %s", file, imp, n.Why)
		}
	}
}

// TestOneWay refuses cycles among the rules themselves.
func TestOneWay(t *testing.T) {
	may := map[string][]string{}
	for _, r := range Rules {
		may[r.Room] = r.May
	}
	state := map[string]int{}
	var visit func(string, []string)
	visit = func(room string, way []string) {
		if state[room] == 2 {
			return
		}
		if state[room] == 1 {
			t.Fatalf("cycle: %v", append(way, room))
		}
		state[room] = 1
		for _, n := range may[room] {
			if n != "*" {
				visit(n, append(way, room))
			}
		}
		state[room] = 2
	}
	for _, r := range Rules {
		visit(r.Room, nil)
	}
}
