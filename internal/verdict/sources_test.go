package verdict

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/tune"
)

// Every cite key that a limit, an assumed value, a fitted factor or a finding
// points at is a listed source: those of the tables by value, those written
// in the rooms' code by reading it.
func TestEveryKeyIsListed(t *testing.T) {
	listed := func(key, where string) {
		if _, ok := cite.Lookup(key); !ok {
			t.Errorf("%s: %q is no listed source", where, key)
		}
	}
	for _, l := range craft.DefaultLimits() {
		listed(l.Ref, "limit "+l.Key)
	}
	for _, f := range tune.Prior() {
		listed(f.Ref, "factor "+f.Name)
	}
	read := 0
	text := func(x ast.Expr, where string) {
		if b, ok := x.(*ast.BasicLit); ok && b.Kind == token.STRING {
			s, _ := strconv.Unquote(b.Value)
			listed(s, where)
			read++
		}
	}
	for _, dir := range []string{".", "../craft"} {
		files, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		set := token.NewFileSet()
		for _, e := range files {
			if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
				continue
			}
			f, err := parser.ParseFile(set, dir+"/"+e.Name(), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.KeyValueExpr:
					k, ok := n.Key.(*ast.Ident)
					if !ok {
						break
					}
					at := set.Position(n.Pos()).String()
					switch k.Name {
					case "ref", "Ref":
						text(n.Value, at)
					case "Sources":
						if list, ok := n.Value.(*ast.CompositeLit); ok {
							for _, x := range list.Elts {
								text(x, at)
							}
						}
					}
				case *ast.AssignStmt:
					if s, ok := n.Lhs[0].(*ast.SelectorExpr); ok && s.Sel.Name == "Sources" {
						if list, ok := n.Rhs[0].(*ast.CompositeLit); ok {
							for _, x := range list.Elts {
								text(x, set.Position(n.Pos()).String())
							}
						}
					}
				}
				return true
			})
		}
	}
	if read < 10 {
		t.Errorf("only %d keys found in the code: the reader of this test is out of date", read)
	}
}
