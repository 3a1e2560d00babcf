package arch

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestThirdParty holds THIRD_PARTY.md to what is really there: the modules
// that the command links in on any system, the modules that only tests and
// checks need, and the packages of the page and of its building; each with the
// licence that its own files name.
func TestThirdParty(t *testing.T) {
	root := filepath.Join("..", "..")
	page, err := os.ReadFile(filepath.Join(root, "THIRD_PARTY.md"))
	if err != nil {
		t.Fatal(err)
	}
	said := tables(string(page))
	linked := map[string]string{}
	for _, system := range []string{"linux", "darwin", "windows"} {
		for name, dir := range modules(t, root, "GOOS="+system, "CGO_ENABLED=0", "./cmd/fledge") {
			if linked[name] == "" {
				linked[name] = dir
			}
		}
	}
	agree(t, said["Linked into the command"], linked, "linked into the command", licenceOf)
	others := map[string]string{}
	for name, dir := range modules(t, root, "-test", "./...") {
		if _, in := linked[name]; !in {
			others[name] = dir
		}
	}
	for name, dir := range modules(t, root, "-tags=manual", "./cmd/fledge") {
		if _, in := linked[name]; !in {
			others[name] = dir
		}
	}
	for name, dir := range modules(t, root, "honnef.co/go/tools/cmd/staticcheck") {
		if _, in := linked[name]; !in {
			others[name] = dir
		}
	}
	agree(t, said["Needed for tests, checks and manual pages only"], others, "needed for tests, checks or manual pages", licenceOf)

	raw, err := os.ReadFile(filepath.Join(root, "ui", "package-lock.json"))
	if err != nil {
		t.Fatal(err)
	}
	var lock struct {
		Packages map[string]struct {
			License                    string
			Dev, DevOptional, Optional bool
		}
	}
	if err := json.Unmarshal(raw, &lock); err != nil {
		t.Fatal(err)
	}
	shipped, tools := map[string]string{}, map[string]string{}
	for path, p := range lock.Packages {
		_, name, ok := strings.Cut(path, "node_modules/")
		switch {
		case !ok:
		case p.Dev || p.DevOptional:
			if p.Optional { // one of many builds for other systems, under its package's licence
				continue
			}
			tools[name] = p.License
		default:
			shipped[name] = p.License
		}
	}
	lockSays := func(licence string) string { return licence }
	agree(t, said["In the workshop's page"], shipped, "in the workshop's page", lockSays)
	agree(t, said["For building and testing the page only"], tools, "needed to build or test the page", lockSays)
}

// tables reads the page: heading, name, licence.
func tables(page string) map[string]map[string]string {
	all := map[string]map[string]string{}
	section := ""
	row := regexp.MustCompile("^\\| `([^`]+)` \\| ([^|;]+)")
	for line := range strings.Lines(page) {
		if h, ok := strings.CutPrefix(line, "## "); ok {
			section, _, _ = strings.Cut(strings.TrimSpace(h), " (")
			all[section] = map[string]string{}
		}
		if m := row.FindStringSubmatch(line); m != nil {
			all[section][m[1]] = strings.TrimSpace(m[2])
		}
	}
	return all
}

// agree compares a table with what is there.
func agree(t *testing.T, said, there map[string]string, where string, licence func(string) string) {
	t.Helper()
	if len(there) < 3 {
		t.Errorf("only %d found that are %s", len(there), where)
	}
	var names []string
	for name := range there {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		want := licence(there[name])
		if got, ok := said[name]; !ok {
			t.Errorf("%s is %s and not listed: | `%s` | %s |", name, where, name, want)
		} else if got != want {
			t.Errorf("%s: its own files say %s, the page %s", name, want, got)
		}
	}
	for name := range said {
		if _, ok := there[name]; !ok {
			t.Errorf("%s is listed as %s, and is not", name, where)
		}
	}
}

// modules lists the modules that packages come from, with their folders. Words
// with a capital before an equals sign are for the environment.
func modules(t *testing.T, root string, words ...string) map[string]string {
	t.Helper()
	args, env := []string{"list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}"}, os.Environ()
	for _, w := range words {
		if regexp.MustCompile(`^[A-Z_]+=`).MatchString(w) {
			env = append(env, w)
		} else {
			args = append(args, w)
		}
	}
	cmd := exec.Command("go", args...)
	var talk bytes.Buffer
	cmd.Dir, cmd.Env, cmd.Stderr = root, env, &talk
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %v: %s", cmd.Args, err, talk.String())
	}
	all := map[string]string{}
	for line := range strings.Lines(string(out)) {
		if name, dir, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
			all[name] = dir
		}
	}
	return all
}

// licenceOf tells the licence of a module as a whole from the text in its
// folder, by the sentences that only it has.
func licenceOf(dir string) string {
	all := ""
	for _, name := range []string{"LICENSE", "LICENSE.md", "LICENSE.txt", "License", "COPYING"} {
		if text, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			all = strings.Join(strings.Fields(string(text)), " ")
			break
		}
	}
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(all, w) })
	}
	var found []string
	if has("Permission is hereby granted, free of charge") {
		found = append(found, "MIT")
	}
	if has("Permission to use, copy, modify, and/or distribute") {
		found = append(found, "ISC")
	}
	if has("Redistribution and use in source and binary forms") {
		if has("Neither the name", "may not be used to endorse") {
			found = append(found, "BSD-3-Clause")
		} else {
			found = append(found, "BSD-2-Clause")
		}
	}
	if has("Apache License Version 2.0", "Apache License, Version 2.0") {
		found = append(found, "Apache-2.0")
	}
	if has("Mozilla Public License Version 2.0", "Mozilla Public License, version 2.0") {
		found = append(found, "MPL-2.0")
	}
	return strings.Join(found, " and ")
}
