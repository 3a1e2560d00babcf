package main

import (
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// TestOriginality holds docs/originality.md to the program: every name that a
// person meets stands there exactly once, as a term of the trade, an open
// standard's or ours, and nothing stands there that is gone.
func TestOriginality(t *testing.T) {
	root := filepath.Join("..", "..")
	said := classified(t, filepath.Join(root, "docs", "originality.md"))
	verbs, flags := commandWords()
	for _, l := range []struct {
		section string
		names   []string
	}{
		{"Verbs", verbs},
		{"Flags", flags},
		{"Keys of the build file", keysIn(t, filepath.Join(root, "docs", "format.md"))},
		{"Words of the build file", found(t, `oneof:"([^"]*)"`, filepath.Join(root, "internal", "build", "*.go"))},
		{"Keys and words of the logbook", found(t, `(?:json|oneof):"([^",]*)`, filepath.Join(root, "internal", "store", "kinds.go"))},
		{"Words in the JSON keys", wordsIn(t, filepath.Join(root, "docs", "json.md"))},
		{"Typed readings", found(t, `"([a-z_]+)": *\{unit\.`, filepath.Join(root, "internal", "app", "*_readings.go"))},
		{"Findings", found(t, `\bID: *"([a-z][a-z_-]*)"`, filepath.Join(root, "internal", "verdict", "*.go"), filepath.Join(root, "internal", "control", "limits.go"), filepath.Join(root, "internal", "strength", "limits.go"))},
		{"Sheets and details", found(t, `\b(?:id|name): "([a-z-]+)"`, filepath.Join(root, "ui", "src", "sheets", "*", "details.ts"), filepath.Join(root, "ui", "src", "sheets", "registry.ts"))},
		{"Colours, lines and marks", found(t, `(?m)(?:^|[ {;])(--[a-z0-9-]+):|\.((?:stamp|mark|act|strip)(?:-[a-z-]+)?)\b`, filepath.Join(root, "ui", "src", "ink", "ink.css"))},
	} {
		t.Run(l.section, func(t *testing.T) {
			if len(l.names) < 5 {
				t.Fatalf("only %d names found: the pattern no longer fits", len(l.names))
			}
			got, ok := said[l.section]
			if !ok {
				t.Fatalf("docs/originality.md has no section %q", l.section)
			}
			var missing, gone []string
			for _, n := range l.names {
				if got[n] == 0 {
					missing = append(missing, n)
				}
			}
			for n, times := range got {
				if !slices.Contains(l.names, n) {
					gone = append(gone, n)
				}
				if times > 1 {
					t.Errorf("%q is classified %d times", n, times)
				}
			}
			slices.Sort(gone)
			if len(missing) > 0 {
				t.Errorf("not classified in docs/originality.md, section %q: `%s`\nSay of each whether it is a trade term, an open standard's or ours; if it is none of these, change it.", l.section, strings.Join(missing, "`, `"))
			}
			if len(gone) > 0 {
				t.Errorf("classified, and no longer there: `%s`", strings.Join(gone, "`, `"))
			}
		})
	}
}

// classified reads the page: section, name, how often.
func classified(t *testing.T, file string) map[string]map[string]int {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	tick := regexp.MustCompile("`([^`]+)`")
	all := map[string]map[string]int{}
	section := ""
	for line := range strings.Lines(string(text)) {
		if s, ok := strings.CutPrefix(line, "## "); ok {
			section = strings.TrimSpace(s)
			continue
		}
		cells := strings.Split(line, "|")
		if len(cells) != 5 {
			continue
		}
		switch strings.TrimSpace(cells[1]) {
		case "trade term", "open standard", "ours":
		case "is", "---":
			continue
		default:
			t.Errorf("%s is none of the three classes", line)
		}
		if strings.TrimSpace(cells[3]) == "" {
			t.Errorf("no reason beside %s", line)
		}
		if all[section] == nil {
			all[section] = map[string]int{}
		}
		for _, m := range tick.FindAllStringSubmatch(cells[2], -1) {
			all[section][m[1]]++
		}
	}
	return all
}

// commandWords lists every verb, those of the logbook with its name before
// them, and every flag.
func commandWords() (verbs, flags []string) {
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		for _, set := range []*pflag.FlagSet{c.Flags(), c.PersistentFlags()} {
			set.VisitAll(func(f *pflag.Flag) { flags = append(flags, f.Name) })
		}
		for _, k := range c.Commands() {
			if c.Name() == "completion" { // a shell's name each
				continue
			}
			verbs = append(verbs, strings.TrimPrefix(k.CommandPath(), "fledge "))
			walk(k)
		}
	}
	walk(rootCommand(&console{out: io.Discard, talk: io.Discard}))
	return once(verbs), once(flags)
}

// keysIn lists the keys in the paths that a generated table names.
func keysIn(t *testing.T, file string) []string {
	t.Helper()
	var out []string
	for _, path := range found(t, "(?m)^\\| `([^`]+)`", file) {
		for _, k := range strings.Split(path, ".") {
			out = append(out, strings.TrimSuffix(k, "[]"))
		}
	}
	return once(out)
}

// wordsIn lists the words that the keys of a generated table are made of.
func wordsIn(t *testing.T, file string) []string {
	t.Helper()
	var out []string
	for _, k := range keysIn(t, file) {
		out = append(out, strings.Split(k, "_")...)
	}
	return once(out)
}

// found lists what a pattern's groups take from files; a bar parts words.
func found(t *testing.T, pattern string, globs ...string) []string {
	t.Helper()
	re := regexp.MustCompile(pattern)
	var out []string
	for _, g := range globs {
		files, err := filepath.Glob(g)
		if err != nil || len(files) == 0 {
			t.Fatalf("no file is %s: %v", g, err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range re.FindAllStringSubmatch(string(text), -1) {
				for _, s := range m[1:] {
					out = append(out, strings.Split(s, "|")...)
				}
			}
		}
	}
	return once(out)
}

// once sorts, drops doubles and what is empty.
func once(list []string) []string {
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(s string) bool { return strings.TrimSpace(s) == "" })
}
