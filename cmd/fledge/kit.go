package main

import (
	"bufio"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// kitFlags are those of `new --kit`.
type kitFlags struct {
	on, sheet bool
	answers   string
	sets      []string
}

func (k *kitFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&k.on, "kit", false, "guided weighing and measuring of a kit and its parts")
	f.BoolVar(&k.sheet, "sheet", false, "print the intake as a sheet to fill in (with --kit)")
	f.StringVar(&k.answers, "answers", "", "`FILE` of answers, the sheet filled in (with --kit)")
	f.StringArrayVar(&k.sets, "set", nil, "`KEY=VALUE`: one answer, repeatable (with --kit)")
}

// misplaced refuses what belongs to --kit without it, and the other way round.
func (k *kitFlags) misplaced(cmd *cobra.Command, own []string) error {
	for _, name := range []string{"sheet", "answers", "set"} {
		if !k.on && cmd.Flags().Changed(name) {
			return app.Bad("missing", "as in fledge new --kit --"+name, fmt.Sprintf("--%s belongs to --kit", name))
		}
	}
	for _, name := range own {
		if k.on && cmd.Flags().Changed(name) && !(k.sheet && name == "layout") {
			return app.Bad("too-many", fmt.Sprintf(`write --set "%s=..." (fledge new --kit --sheet lists the keys)`, name), fmt.Sprintf("--%s belongs to fledge new without --kit", name))
		}
	}
	return nil
}

// run is the intake: at a terminal it asks, step by step.
func (k *kitFlags) run(c *console, l *look, file, layout string) error {
	q := app.KitRequest{File: file, Answers: k.answers, Sets: k.sets, Sheet: k.sheet, Layout: layout}
	if _, ok := terminal(c.in); ok && !l.json && !k.sheet {
		k.ask(c, &q)
	}
	a, err := app.Kit(q)
	if err != nil {
		return err
	}
	return l.print(c, a)
}

func (k *kitFlags) ask(c *console, q *app.KitRequest) {
	in := bufio.NewScanner(c.in)
	line := func(prompt string) (string, bool) {
		fmt.Fprint(c.talk, prompt)
		if !in.Scan() {
			return "", false
		}
		return in.Text(), true
	}
	fmt.Fprint(c.talk, fold("Weighing and measuring, one tool after the other. Enter leaves a thing open; the ones marked * are the dozen that a useful answer needs. A unit goes with every number; \"± 2 g\" or a word (weighed, measured, label, guess) says how sure it is.")+"\n")
	q.Say = func(s string) { fmt.Fprint(c.talk, s) }
	q.Ask = func(s app.KitStep, at, of int) (string, bool) {
		mark := " "
		if s.Core {
			mark = "*"
		}
		say := fmt.Sprintf("%s%d/%d %s", mark, at, of, s.Ask)
		if s.How != "" {
			say += "\n     " + s.How
		}
		hint := "as " + s.Example
		if len(s.Words) > 0 {
			hint = strings.Join(s.Words, ", ")
		} else if s.Word != "" {
			hint += ", taken as " + s.Word
		}
		return line(fmt.Sprintf("%s\n     (%s): ", say, hint))
	}
	q.Deviate = func(n int) (app.KitDeviation, bool) {
		if n == 1 {
			fmt.Fprint(c.talk, "\nWhat is built otherwise than the manual says? Enter when nothing (more).\n")
		}
		var d app.KitDeviation
		for _, ask := range []struct {
			say string
			to  *string
		}{{"what: ", &d.What}, {"the manual says: ", &d.Manual}, {"as built: ", &d.Built}, {"why: ", &d.Why}} {
			s, ok := line(ask.say)
			if !ok || strings.TrimSpace(d.What+s) == "" {
				return d, false
			}
			*ask.to = s
		}
		return d, true
	}
}
