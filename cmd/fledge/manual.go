//go:build manual

// With the tag manual the command gains one verb that writes its own manual
// pages and completion scripts; `make release` runs it so. The released
// program carries none of it. SOURCE_DATE_EPOCH dates the pages.
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"fledge/internal/app"
)

func init() { groups = append(groups, manuals) }

func manuals(c *console) []*cobra.Command {
	return []*cobra.Command{{
		Use: "manual DIR", Short: "write manual pages and completion scripts", Hidden: true, Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return writeManual(cmd.Root(), args[0]) },
	}}
}

// writeManual writes man/*.1 and completion/* under dir, the same bytes for
// the same date.
func writeManual(root *cobra.Command, dir string) error {
	man, completion := filepath.Join(dir, "man"), filepath.Join(dir, "completion")
	for _, d := range []string{man, completion} {
		if err := os.MkdirAll(d, 0o755); err != nil {
			return err
		}
	}
	root.DisableAutoGenTag = true
	for _, k := range root.Commands() {
		if k.Name() == "completion" || k.Name() == "help" {
			k.Hidden = true
		}
	}
	seconds, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64)
	if err != nil {
		return fmt.Errorf("SOURCE_DATE_EPOCH: %w", err)
	}
	date := time.Unix(seconds, 0).UTC()
	version := strings.TrimSpace(strings.SplitN(app.Version().Plain, ",", 2)[0])
	if err := doc.GenManTree(root, &doc.GenManHeader{Title: "FLEDGE", Section: "1", Source: version, Manual: "Fledge", Date: &date}, man); err != nil {
		return err
	}
	for name, write := range map[string]func(string) error{
		"fledge.bash": func(p string) error { return root.GenBashCompletionFileV2(p, true) },
		"_fledge":     root.GenZshCompletionFile,
		"fledge.fish": func(p string) error { return root.GenFishCompletionFile(p, true) },
		"fledge.ps1":  root.GenPowerShellCompletionFileWithDesc,
	} {
		if err := write(filepath.Join(completion, name)); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}
