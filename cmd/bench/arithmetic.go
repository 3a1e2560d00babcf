package main

import (
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// worked is what a launch calls: every floating-point operation in these
// packages is counted where it stands, as often as it was run.
var worked = []string{"fledge/internal/launch", "fledge/internal/motion", "fledge/internal/aero", "fledge/internal/power", "fledge/internal/num", "fledge/internal/air", "gonum.org/v1/gonum/spatial/r3", "math"}

// arithmetic holds one launch with real models against the time that its
// floating-point operations alone would take in a plain loop of
// multiply-adds: each waiting for the one before, and eight side by side.
func arithmetic(string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	ops, err := operations(dir)
	if err != nil {
		return nil, err
	}
	took, chained, abreast := 1e9, 1e9, 1e9 // s; the least of each, in turns
	sum := 0.0                              // or the loops would be left out
	for range 3 {
		out, err := exec.Command("go", "test", "-run", "^$", "-bench", "^BenchmarkReal$", "-benchtime", "300x", "./internal/launch").Output()
		if err != nil {
			return nil, fmt.Errorf("launch: %w\n%s", err, out)
		}
		ns, ok := parse(string(out))["Real"]["ns-quiet"]
		if !ok {
			return nil, fmt.Errorf("launch: no time in %s", out)
		}
		took = min(took, ns*1e-9)
		for range 20 {
			start := time.Now()
			sum += chain(int(ops / 2))
			mid := time.Now()
			sum += side(int(ops / 2))
			chained, abreast = min(chained, mid.Sub(start).Seconds()), min(abreast, time.Since(mid).Seconds())
		}
	}
	if !(sum > 0) {
		return nil, fmt.Errorf("the loops came to %g", sum)
	}
	note := func(s float64) string {
		return fmt.Sprintf("  (%s over %s, %.2f million operations)", human(took), human(s), ops/1e6)
	}
	return []row{
		{what: "a launch over its arithmetic, each operation after the other", got: took / chained, aim: 1, note: note(chained)},
		{what: "the same, eight multiply-adds side by side", got: took / abreast, aim: 4, note: note(abreast)},
	}, nil
}

// chain does n multiply-adds, each of which needs the one before.
func chain(n int) float64 {
	x := 0.5
	for range n {
		x = x*0.999999 + 1e-7
	}
	return x
}

// side does n multiply-adds in eight chains that need nothing of each other.
func side(n int) float64 {
	const a, b = 0.999999, 1e-7
	p, q, r, s, t, u, v, w := 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8
	for range n / 8 {
		p, q, r, s = p*a+b, q*a+b, r*a+b, s*a+b
		t, u, v, w = t*a+b, u*a+b, v*a+b, w*a+b
	}
	return p + q + r + s + t + u + v + w
}

// block is a run of statements and how often it was run.
type block struct {
	from, to [2]int // line, column
	runs     float64
}

// operations counts the floating-point additions, subtractions,
// multiplications and divisions of one launch: those written in the source of
// what it calls, times the runs of the statement they stand in, which the
// compiler's coverage counts. Two runs of different length leave one launch
// without what precedes it. What assembly does (roots, some functions of math)
// is left out: it is a floor.
func operations(dir string) (float64, error) {
	counted := func(n int) (map[string][]block, error) {
		file := filepath.Join(dir, fmt.Sprint(n, ".out"))
		out, err := exec.Command("go", "test", "-run", "^$", "-bench", "^BenchmarkReal$", "-benchtime", fmt.Sprint(n, "x"), "-covermode", "count", "-coverpkg", strings.Join(worked, ","), "-coverprofile", file, "./internal/launch").CombinedOutput()
		if err != nil {
			return nil, fmt.Errorf("counting: %w\n%s", err, out)
		}
		text, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		return blocks(string(text))
	}
	const launches = 20
	few, err := counted(launches)
	if err != nil {
		return 0, err
	}
	many, err := counted(2 * launches)
	if err != nil {
		return 0, err
	}
	total := 0.0
	for _, side := range []struct {
		of   map[string][]block
		sign float64
	}{{many, 1}, {few, -1}} {
		n, err := written(side.of)
		if err != nil {
			return 0, err
		}
		total += side.sign * n
	}
	return total / launches, nil
}

// blocks reads a coverage profile: "file:line.col,line.col statements runs".
func blocks(text string) (map[string][]block, error) {
	all := map[string][]block{}
	for line := range strings.Lines(text) {
		file, rest, ok := strings.Cut(strings.TrimSpace(line), ":")
		if !ok || file == "mode" {
			continue
		}
		var b block
		var statements int
		if _, err := fmt.Sscanf(rest, "%d.%d,%d.%d %d %f", &b.from[0], &b.from[1], &b.to[0], &b.to[1], &statements, &b.runs); err != nil {
			return nil, fmt.Errorf("coverage %q: %w", line, err)
		}
		if b.runs > 0 {
			all[file] = append(all[file], b)
		}
	}
	return all, nil
}

// written sums the operations in the source, each times its block's runs.
func written(runs map[string][]block) (float64, error) {
	args := append([]string{"list", "-export", "-deps", "-f", "{{.ImportPath}}\t{{.Dir}}\t{{.Export}}\t{{range .GoFiles}}{{.}} {{end}}"}, worked...)
	out, err := exec.Command("go", args...).Output()
	if err != nil {
		return 0, fmt.Errorf("go list: %w", err)
	}
	exported := map[string]string{}
	type source struct {
		dir   string
		files []string
	}
	sources := map[string]source{}
	for line := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		exported[f[0]], sources[f[0]] = f[2], source{f[1], strings.Fields(f[3])}
	}
	total := 0.0
	for _, path := range worked {
		fset := token.NewFileSet()
		var files []*ast.File
		for _, name := range sources[path].files {
			f, err := parser.ParseFile(fset, filepath.Join(sources[path].dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				return 0, err
			}
			files = append(files, f)
		}
		info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		conf := types.Config{Importer: importer.ForCompiler(fset, "gc", func(p string) (io.ReadCloser, error) { return os.Open(exported[p]) })}
		if _, err := conf.Check(path, fset, files, info); err != nil {
			return 0, err
		}
		for i, f := range files {
			of := runs[path+"/"+sources[path].files[i]]
			ast.Inspect(f, func(n ast.Node) bool {
				var x ast.Expr
				var op token.Token
				switch n := n.(type) {
				case *ast.BinaryExpr:
					x, op = n, n.Op
				case *ast.AssignStmt:
					x, op = n.Lhs[0], n.Tok
				}
				switch op {
				case token.ADD, token.SUB, token.MUL, token.QUO, token.ADD_ASSIGN, token.SUB_ASSIGN, token.MUL_ASSIGN, token.QUO_ASSIGN:
				default:
					return true
				}
				if tv := info.Types[x]; tv.Value == nil && tv.Type != nil && isFloat(tv.Type) {
					p := fset.Position(n.Pos())
					total += within(of, [2]int{p.Line, p.Column})
				}
				return true
			})
		}
	}
	return total, nil
}

func isFloat(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsFloat != 0
}

// within is how often the statement at a place was run: that of the smallest
// block around it, function literals lying within others.
func within(all []block, at [2]int) float64 {
	before := func(a, b [2]int) bool { return a[0] < b[0] || a[0] == b[0] && a[1] < b[1] }
	var best *block
	for i := range all {
		b := &all[i]
		if !before(at, b.from) && before(at, b.to) && (best == nil || before(best.from, b.from)) {
			best = b
		}
	}
	if best == nil {
		return 0
	}
	return best.runs
}
