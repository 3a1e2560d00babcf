package main

import (
	"strings"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

func printVerb(c *console) *cobra.Command {
	var v common
	var q app.PrintRequest
	var forms string
	cmd := &cobra.Command{
		Use: "print BUILD [WHAT...]", GroupID: "main", Short: "gauges, templates, horns in true size",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return oneBuild(cmd, args)
			}
			return nil
		},
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
			}
			return app.Printables, cobra.ShellCompDirectiveNoFileComp
		},
		Long: "Things to cut out and to print: gauge (reflex gauge that clips on the wing),\n" +
			"throws, balance, rod, bay, hook as pages in true size; gauge and horn as 3MF and\n" +
			"STL, too. Without a WHAT, all that the build can give. A horn is sized by the load\n" +
			"of its control and carries its proof load.",
		Example: "  fledge print tern.yaml\n  fledge print tern.yaml gauge --only ruddervator --station 85mm\n  fledge print tern.yaml horn --material PETG --form 3mf",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			r := q
			r.Request, r.What = v.q, args[1:]
			if forms != "" {
				r.Forms = strings.Split(forms, ",")
			}
			return v.show(c, &r.Progress, func() (*app.Answer, error) { return app.Print(cmd.Context(), r) })
		},
	}
	v.flags(cmd, "")
	f := cmd.Flags()
	f.StringVar(&q.Only, "only", "", "`NAME` of one control or part")
	f.StringVar(&q.Station, "station", "", "`LENGTH` along the span for gauges (the control's middle)")
	f.StringVar(&q.Angle, "angle", "", "neutral `ANGLE` to gauge, edge up positive (the one wanted for trim)")
	f.StringVar(&q.Material, "material", "", "`MATERIAL` of horns (the linkage's, else PETG)")
	f.StringVar(&q.Folder, "out", "", "`FOLDER` to write into (the build's name with -prints)")
	f.StringVar(&q.Paper, "paper", "", "a4 or letter (a4; letter with imperial units)")
	f.StringVar(&forms, "form", "", "`FORMS` of file: pdf,3mf,stl (all)")
	return cmd
}
