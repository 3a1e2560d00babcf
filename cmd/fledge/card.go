package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// papers are the verbs that make things to hold in the hand.
func papers(c *console) []*cobra.Command { return []*cobra.Command{cardVerb(c), printVerb(c)} }

func cardVerb(c *console) *cobra.Command {
	var v common
	var q app.CardRequest
	cmd := &cobra.Command{
		Use: "card BUILD", GroupID: "main", Short: "the flight card as a PDF", Args: oneBuild, ValidArgsFunction: builds,
		Long: "One page for the field, black on white: verdict and why, the day and what changes\n" +
			"it, weigh and balance, the launch with what each setting may stray and a table by\n" +
			"wind, speeds, land-by time and volts, radio powers, checks in order, cautions,\n" +
			"blanks; its symbol ties the filled card to the logbook.",
		Example: "  fledge card tern.yaml --out tern.pdf\n  fledge card tern.yaml --two-up --paper letter --units imperial\n  fledge card tern.yaml --build-sheet wall.pdf",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			for _, name := range []string{q.Out, q.Sheet} {
				if name != "" && name == args[0] {
					return app.Bad("file-name", "choose another name", "the page would be written over the build")
				}
			}
			if q.Looks < 16 || q.Looks > 1<<16 {
				return app.Bad("range", "from 16 to 65536; left out, 128", fmt.Sprintf("--looks %d tells nothing", q.Looks))
			}
			r := q
			r.Request = v.q
			return v.show(c, &r.Progress, func() (*app.Answer, error) { return app.Card(cmd.Context(), r) })
		},
	}
	v.flags(cmd, "")
	launches(cmd, &v.q)
	f := cmd.Flags()
	f.BoolVar(&v.q.Fast, "quick", false, "no remedies on the card")
	f.StringVar(&q.Out, "out", "", "`FILE.pdf` to write (the build's name with -card.pdf)")
	f.StringVar(&q.Sheet, "build-sheet", "", "`FILE.pdf` of the sheet for the workshop wall, besides")
	f.StringVar(&q.Paper, "paper", "", "a4 or letter (a4; letter with imperial units)")
	f.BoolVar(&q.TwoUp, "two-up", false, "two halves of a sheet, to fold or cut")
	f.IntVar(&q.Looks, "looks", 128, "`N` launches for each look at a tolerance or wind")
	f.StringVar(&q.Screen, "screen", "", "`UNIT` of speed on the pilot's screen: km/h, m/s, mph, kn, ft/s")
	must(cmd.RegisterFlagCompletionFunc("paper", cobra.FixedCompletions([]string{"a4", "letter"}, cobra.ShellCompDirectiveNoFileComp)))
	return cmd
}
