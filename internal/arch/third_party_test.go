package arch

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// THIRD_PARTY.md lists every module that go.mod requires directly.
func TestThirdParty(t *testing.T) {
	root := filepath.Join("..", "..")
	mod, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(root, "THIRD_PARTY.md"))
	if err != nil {
		t.Fatal(err)
	}
	direct := 0
	for _, m := range regexp.MustCompile(`(?m)^\t(\S+) v\S+(.*)$`).FindAllStringSubmatch(string(mod), -1) {
		if strings.Contains(m[2], "// indirect") {
			continue
		}
		direct++
		if !strings.Contains(string(page), "| `"+m[1]+"` | ") {
			t.Errorf("%s is required and not listed", m[1])
		}
	}
	if direct < 5 {
		t.Errorf("only %d direct requirements read", direct)
	}
}
