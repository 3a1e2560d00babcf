package main

import (
	"bufio"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// starts are the verbs around the file and the tool itself.
func starts(c *console) []*cobra.Command {
	plain := func(name, group, short, example string, work func() *app.Answer) *cobra.Command {
		var l look
		cmd := &cobra.Command{Use: name, GroupID: group, Short: short, Example: "  " + example, Args: noArgs,
			RunE: func(*cobra.Command, []string) error {
				if _, err := l.check(); err != nil {
					return err
				}
				return l.print(c, work())
			}}
		l.flags(cmd, "")
		return cmd
	}
	return []*cobra.Command{
		newVerb(c),
		plain("schema", "start", "JSON Schema of the build file, for editors", "fledge schema > fledge.schema.json", app.Schema),
		plain("sources", "other", "what the numbers rest on", "fledge sources", app.Sources),
		plain("version", "other", "which Fledge this is", "fledge version --json", app.Version),
	}
}

func newVerb(c *console) *cobra.Command {
	var l look
	questions := app.Questions()
	said := make([]string, len(questions))
	var kit kitFlags
	cmd := &cobra.Command{
		Use: "new [FILE]", GroupID: "start", Short: "start a build file from a few answers",
		Long:    "Writes a commented build file: what you say, and the rest assumed and marked so.\nOn a terminal it asks what the flags leave open; Enter leaves a thing open. It\nnever writes over a file; FILE - prints it instead.\n\nWith --kit it guides the weighing and measuring of a bare kit and its parts:\nwhich dozen numbers, in which order, with which tool and doubt; the maker's\nmanual becomes limits and claims, and what is built otherwise is noted. It asks\nat a terminal, or takes --answers and --set; --sheet prints the list to fill in.",
		Example: "  fledge new plover.yaml --layout v-tail --span 1050mm --mass 980g --cells 4" + "\n" + `  fledge new --kit --sheet --layout v-tail > sheet.yaml` + "\n" + `  fledge new --kit dunlin.yaml --answers sheet.yaml --set "mass.battery=196 g"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return app.Bad("too-many", "put a text with spaces in quotes", fmt.Sprintf("fledge new writes one file, and %q was given besides", args[1]))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if _, err := l.check(); err != nil {
				return err
			}
			var own []string
			layout := ""
			for i := range questions {
				own = append(own, questions[i].Flag)
				if questions[i].Flag == "layout" {
					layout = said[i]
				}
			}
			if err := kit.misplaced(cmd, own); err != nil {
				return err
			}
			if kit.on {
				file := ""
				if len(args) == 1 {
					file = args[0]
				}
				return kit.run(c, &l, file, layout)
			}
			var a app.Answers
			any := false
			var bad *app.BadInput
			for i := range questions {
				any = any || said[i] != ""
				if b := questions[i].Put(&a, said[i]); b != nil {
					if bad == nil {
						bad = &app.BadInput{}
					}
					bad.List = append(bad.List, b.List...)
				}
			}
			if bad != nil {
				return bad
			}
			if _, ok := terminal(c.in); ok && !l.json {
				ask(c, questions, said, &a)
			} else if !any {
				return app.Bad("missing", "as in --span 1050mm --mass 980g; fledge help new lists the rest", "fledge new needs at least one answer when nobody is there to ask")
			}
			file := ""
			if len(args) == 1 {
				file = args[0]
			}
			answer, err := app.New(a, file)
			if err != nil {
				return err
			}
			return l.print(c, answer)
		},
	}
	l.flags(cmd, "")
	kit.add(cmd)
	for i := range questions {
		q := &questions[i]
		what := strings.ToLower(q.Ask[:1]) + q.Ask[1:]
		use := what + ", as in `" + q.Example + "`"
		if q.Words != nil {
			use = what + ": `" + q.Words[0] + "`, " + strings.Join(q.Words[1:], ", ")
		}
		cmd.Flags().StringVar(&said[i], q.Flag, "", use)
		if q.Words != nil {
			must(cmd.RegisterFlagCompletionFunc(q.Flag, cobra.FixedCompletions(q.Words, cobra.ShellCompDirectiveNoFileComp)))
		}
	}
	return cmd
}

// ask puts the open questions to the person, again when an answer cannot be read.
func ask(c *console, questions []app.Question, said []string, a *app.Answers) {
	in := bufio.NewScanner(c.in)
	fmt.Fprintln(c.talk, "What you know of it; Enter where you do not.")
	for i := range questions {
		q := &questions[i]
		if said[i] != "" {
			continue
		}
		for {
			example := q.Example
			if q.Words != nil {
				example = strings.Join(q.Words, ", ")
			}
			fmt.Fprintf(c.talk, "%s (%s): ", q.Ask, example)
			if !in.Scan() {
				return
			}
			bad := q.Put(a, in.Text())
			if bad == nil {
				break
			}
			fmt.Fprint(c.talk, bad.Render())
		}
	}
}
