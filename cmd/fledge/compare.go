package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

func compare(c *console) *cobra.Command {
	var v common
	var groups []string
	var parts string
	var looks int
	cmd := &cobra.Command{
		Use: "compare BUILD...", GroupID: "main", Short: "builds, settings of one, or parts to put in, side by side", ValidArgsFunction: builds,
		Args: atLeastOne("a build file", `fledge compare tern.yaml --set-group "launch.bungee.stretch=8 m"`),
		Long: "Several builds, or one under several groups of settings, side by side: verdict,\nmass, margin, odds, speeds, endurance, landing. All fly the same draws.\n\n" +
			"With --parts, one build and a file of the parts you own or could buy: the swaps\nthat reach GO for the least money, each proved by a full check; what every other\nchoice trades; the best propeller for speed, time and launch; what carrying each\nset of equipment costs.",
		Example: `  fledge compare tern.yaml heron.yaml` + "\n" + `  fledge compare tern.yaml --set-group "launch.bungee.stretch=8 m;day.wind=3 m/s"` + "\n" + `  fledge compare tern.yaml --parts drawer.yaml --plot choices.svg`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args...); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			if parts == "" {
				if cmd.Flags().Changed("looks") {
					return app.Bad("missing", "as in --parts drawer.yaml", "--looks belongs to --parts")
				}
				return v.show(c, &v.q.Progress, func() (*app.Answer, error) {
					return app.Compare(cmd.Context(), app.CompareRequest{Request: v.q, Paths: args, Groups: groups})
				})
			}
			switch {
			case len(args) > 1:
				return app.Bad("too-many", "one build, and its parts file", fmt.Sprintf("--parts looks at one build, not %d", len(args)))
			case len(groups) > 0:
				return app.Bad("too-many", "use --set for the day and the rest", "--parts and --set-group are two different comparisons")
			case looks < 1 || looks > 2000:
				return app.Bad("range", "from 1 to 2000; left out, 60", fmt.Sprintf("--looks %d is out of range", looks))
			case v.plot != "" && v.plot == parts:
				return app.Bad("file-name", "choose another name", "--plot would be written over what is read")
			}
			return v.show(c, &v.q.Progress, func() (*app.Answer, error) {
				return app.Parts(cmd.Context(), app.PartsRequest{Request: v.q, Parts: parts, Looks: looks})
			})
		},
	}
	v.flags(cmd, "money against launch odds of the choices (with --parts)")
	launches(cmd, &v.q)
	cmd.Flags().StringArrayVar(&groups, "set-group", nil, "`\"a=1;b=2\"`: one more column with these settings, repeatable")
	cmd.Flags().StringVar(&parts, "parts", "", "`FILE` of parts owned or on offer, to choose from")
	cmd.Flags().IntVar(&looks, "looks", 60, "at most `N` choices to look at (with --parts)")
	return cmd
}
