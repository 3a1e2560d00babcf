package arch

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestThreatsHeld: every test that docs/threats.md names as holding a guard is
// there.
func TestThreatsHeld(t *testing.T) {
	root := filepath.Join("..", "..")
	page, err := os.ReadFile(filepath.Join(root, "docs", "threats.md"))
	if err != nil {
		t.Fatal(err)
	}
	var tests strings.Builder
	for _, top := range []string{"internal", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(p string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(p, "_test.go") {
				return err
			}
			text, err := os.ReadFile(p)
			tests.Write(text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	all, named := tests.String(), 0
	for _, m := range regexp.MustCompile("`((?:Test|Fuzz)[A-Z][A-Za-z0-9]*)`").FindAllStringSubmatch(string(page), -1) {
		named++
		if !strings.Contains(all, "\nfunc "+m[1]+"(") {
			t.Errorf("docs/threats.md names %s, and there is none", m[1])
		}
	}
	for _, m := range regexp.MustCompile("`([a-z-]+\\.test\\.mjs)`").FindAllStringSubmatch(string(page), -1) {
		named++
		if _, err := os.Stat(filepath.Join(root, "ui", "test", "page", m[1])); err != nil {
			t.Errorf("docs/threats.md names %s, and there is none", m[1])
		}
	}
	if named < 20 {
		t.Errorf("only %d tests are named", named)
	}
}
