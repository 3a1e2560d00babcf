// Command fledge answers whether a small electric model aeroplane will go.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"

	"github.com/spf13/cobra"

	"fledge/internal/app"
	"fledge/internal/report"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Exit codes of design §5.
const (
	exitOK       = 0
	exitInternal = 1
	exitBad      = 2
	exitNot      = 3
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// verdictError carries a HOLD or NO-GO to the exit code.
type verdictError struct{ word verdict.Word }

func (v verdictError) Error() string { return string(v.word) }

// common holds the flags every verb on a build has.
type common struct {
	q     app.Request
	json  bool
	units string
}

func (c *common) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&c.json, "json", false, "print JSON (docs/json.md)")
	f.Uint64Var(&c.q.Seed, "seed", 1, "seed of all draws")
	f.StringVar(&c.q.DayFile, "day", "", "file with a day: block")
	f.StringVar(&c.q.METAR, "metar", "", "aerodrome weather report")
	f.StringArrayVar(&c.q.Sets, "set", nil, "path=value: change any value of the build, repeatable")
	f.StringVar(&c.units, "units", "metric", "metric or imperial")
}

func (c *common) ready(path string) error {
	s, ok := unit.SystemNamed(c.units)
	if !ok {
		return fmt.Errorf("--units is %q: use metric or imperial", c.units)
	}
	c.q.Units, c.q.Path = s, path
	return nil
}

func run(args []string, out, talk io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	root := &cobra.Command{
		Use: "fledge", Short: "Will it go? Launch, speed, landing of a small electric model, from one build file.",
		SilenceUsage: true, SilenceErrors: true,
	}
	root.SetOut(out)
	root.SetErr(talk)
	root.SetArgs(args)
	root.AddCommand(checkCommand(out, talk))
	err := root.ExecuteContext(ctx)
	var v verdictError
	var bad *app.BadInput
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &v):
		return exitNot
	case errors.As(err, &bad):
		fmt.Fprint(talk, bad.Render())
		return exitBad
	}
	fmt.Fprintln(talk, "fledge:", err)
	return exitInternal
}

func checkCommand(out, talk io.Writer) *cobra.Command {
	var c common
	cmd := &cobra.Command{
		Use: "check BUILD", Short: "the main job: all questions, findings, remedies, verdict", Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := c.ready(args[0]); err != nil {
				return err
			}
			done, opened, err := app.Check(cmd.Context(), c.q)
			if err != nil {
				return err
			}
			fmt.Fprint(talk, opened.RenderNotes())
			if c.json {
				e := json.NewEncoder(out)
				e.SetIndent("", "  ")
				if err := e.Encode(report.CheckBody(*done)); err != nil {
					return err
				}
			} else {
				fmt.Fprint(out, report.Check(*done).Text())
			}
			if done.Verdict.Word != verdict.Go {
				return verdictError{done.Verdict.Word}
			}
			return nil
		},
	}
	c.flags(cmd)
	cmd.Flags().BoolVar(&c.q.Fast, "quick", false, "findings and verdict only, no remedies")
	cmd.Flags().IntVar(&c.q.Launches, "launches", 0, "launches to fly for the odds (1024)")
	return cmd
}
