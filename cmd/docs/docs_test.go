package main

import (
	"os"
	"path/filepath"
	"testing"
)

// TestCurrent holds the pages in docs/ to what the code says.
func TestCurrent(t *testing.T) {
	for name, page := range pages {
		want, err := page()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, err := os.ReadFile(filepath.Join("..", "..", "docs", name))
		if err != nil {
			t.Errorf("%s: %v: write it with: go run ./cmd/docs docs", name, err)
			continue
		}
		if string(got) != want {
			t.Errorf("docs/%s is not current: go run ./cmd/docs docs", name)
		}
	}
}
