// Command docs writes the generated pages of docs/: json.md (every key of
// every body), limits.md (every limit with its reason) and format.md (the
// build file). Run it from the root of the module: go run ./cmd/docs docs
package main

import (
	"fmt"
	"os"
	"path/filepath"
)

// pages are the generated pages by name.
var pages = map[string]func() (string, error){
	"json.md":   jsonPage,
	"limits.md": func() (string, error) { return limitsPage(), nil },
	"format.md": formatPage,
	"parts.md":  partsPage,
	// beside docs/: the types of the workshop's page
	"../ui/src/api.ts": apiTypes,
	"../README.md":     readme, // the session in it
	"credibility.md":   func() (string, error) { return credibility(), nil },
}

func main() {
	dir := "docs"
	if len(os.Args) > 1 {
		dir = os.Args[1]
	}
	for name, make := range pages {
		text, err := make()
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, "docs:", err)
			os.Exit(1)
		}
	}
}
