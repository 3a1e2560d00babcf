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
	"github.com/spf13/pflag"

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
	version, _, _ := strings.Cut(app.Version().Plain, ",")
	if err := manTree(root, man, fmt.Sprintf(`"%s" "%s" "Fledge manual"`, date.Format("2006-01-02"), version)); err != nil {
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

// manTree writes a page for the command and each verb below it.
func manTree(cmd *cobra.Command, dir, foot string) error {
	for _, k := range cmd.Commands() {
		if k.IsAvailableCommand() && !k.IsAdditionalHelpTopicCommand() {
			if err := manTree(k, dir, foot); err != nil {
				return err
			}
		}
	}
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	return os.WriteFile(filepath.Join(dir, name+".1"), []byte(manPage(cmd, name, foot)), 0o644)
}

// roff makes plain text of a manual page's: nothing in it is a request.
var roff = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`)

// manPage is one page, with the options as the help has them: what each takes
// stands in capitals.
func manPage(cmd *cobra.Command, name, foot string) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line(`.TH "%s" "1" %s`, strings.ToUpper(roff.Replace(name)), foot)
	line(".SH NAME\n%s \\- %s", roff.Replace(name), roff.Replace(cmd.Short))
	line(".SH SYNOPSIS\n\\fB%s\\fR%s", roff.Replace(cmd.CommandPath()), roff.Replace(strings.TrimPrefix(cmd.UseLine(), cmd.CommandPath())))
	long := cmd.Long
	if long == "" {
		long = cmd.Short + "."
	}
	line(".SH DESCRIPTION\n%s", strings.ReplaceAll(roff.Replace(long), "\n\n", "\n.PP\n"))
	first := true
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		if first {
			line(".SH OPTIONS")
			first = false
		}
		takes, say := pflag.UnquoteUsage(f)
		head := `\fB\-\-` + roff.Replace(f.Name) + `\fR`
		if f.Shorthand != "" {
			head = `\fB\-` + f.Shorthand + `\fR, ` + head
		}
		if takes != "" {
			head += ` \fI` + roff.Replace(takes) + `\fR`
		}
		if d := f.DefValue; f.Value.Type() != "bool" && d != "" && d != "[]" && d != "0" {
			say += " (" + d + ")"
		}
		line(".TP\n%s\n%s", head, roff.Replace(strings.ReplaceAll(say, "\n", " ")))
	})
	if cmd.Example != "" {
		line(".SH EXAMPLES\n.nf\n%s\n.fi", roff.Replace(cmd.Example))
	}
	if cmd.HasParent() && cmd.Name() == "check" {
		line(".SH EXIT STATUS\n0 for a GO, 3 for a HOLD or a NO\\-GO, 2 for a file or an option that cannot be read, 1 for a fault inside.")
	} else {
		line(".SH EXIT STATUS\n0; 2 for a file or an option that cannot be read, 1 for a fault inside.")
	}
	line(".SH CAUTION\nA GO is advice: local law, licensed practice and the pilot in command decide.")
	var also []string
	if cmd.HasParent() {
		also = append(also, strings.ReplaceAll(cmd.Parent().CommandPath(), " ", "-"))
	}
	for _, k := range cmd.Commands() {
		if k.IsAvailableCommand() {
			also = append(also, strings.ReplaceAll(k.CommandPath(), " ", "-"))
		}
	}
	for i := range also {
		also[i] = `\fB` + roff.Replace(also[i]) + `\fR(1)`
	}
	line(".SH SEE ALSO\n%s", strings.Join(also, ",\n"))
	return b.String()
}
