package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"fledge/internal/app"
	"fledge/internal/report"
)

// readme is the README with its session as the command prints it today: what
// stands between the fences after "$ fledge check FILE | head -N".
func readme() (string, error) {
	root := "."
	if _, err := os.Stat("README.md"); err != nil {
		root = filepath.Join("..", "..") // of the test
	}
	whole, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		return "", err
	}
	const mark = "```\n$ fledge check "
	before, rest, ok := strings.Cut(string(whole), mark)
	line, rest, ok2 := strings.Cut(rest, "\n")
	_, after, ok3 := strings.Cut(rest, "\n```\n")
	file, count, ok4 := strings.Cut(line, " | head -")
	n, err := strconv.Atoi(count)
	if !ok || !ok2 || !ok3 || !ok4 || err != nil {
		return "", fmt.Errorf("README.md has no session %q... | head -N", mark)
	}
	c, _, err := app.Check(context.Background(), app.Request{Path: filepath.Join(root, file), Seed: 1})
	if err != nil {
		return "", err
	}
	said := strings.SplitAfterN(report.Check(*c).Text(), "\n", n+1)
	return before + mark + line + "\n" + strings.TrimSuffix(strings.Join(said[:min(n, len(said))], ""), "\n") + "\n```\n" + after, nil
}
