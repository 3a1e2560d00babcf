package check

import (
	"os"
	"path/filepath"
	"testing"
)

// Plot gives a room's section of docs/accuracy.md a picture of its own, beside
// the one of its deviations: an SVG and the words under it. Name is a file
// name's stem, unique in the room. It does nothing unless FLEDGE_ACCURACY
// names a folder.
func Plot(t testing.TB, name, caption string, svg []byte) {
	dir := os.Getenv("FLEDGE_ACCURACY")
	if dir == "" {
		return
	}
	wd, err := os.Getwd()
	if err != nil {
		t.Errorf("check: %v", err)
		return
	}
	stem := filepath.Join(dir, filepath.Base(wd)+"-"+name)
	for end, b := range map[string][]byte{".svg": svg, ".txt": []byte(caption)} {
		if err := os.WriteFile(stem+end, b, 0o644); err != nil {
			t.Errorf("check: %v", err)
		}
	}
}
