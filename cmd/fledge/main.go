// Command fledge answers whether a small electric model aeroplane will go.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// Exit codes of design §5.
const (
	exitOK       = 0
	exitInternal = 1
	exitBad      = 2
	exitNot      = 3
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// errHeld carries a HOLD or NO-GO to the exit code.
var errHeld = errors.New("hold or no-go")

// run is the whole command: results to out, talk to talk.
func run(args []string, in io.Reader, out, talk io.Writer) (code int) {
	defer func() { // a bug of ours is not the user's bad input: Go's own exit code would say so
		if r := recover(); r != nil {
			fmt.Fprintf(talk, "fledge: a fault inside: %v\n%s\nPlease report it with the build file.\n", r, debug.Stack())
			code = exitInternal
		}
	}()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	root := rootCommand(&console{in: in, out: out, talk: talk})
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(talk)
	err := root.ExecuteContext(ctx)
	var bad *app.BadInput
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errHeld):
		return exitNot
	case errors.As(err, &bad):
		if slices.Contains(args, "--json") || slices.Contains(args, "--json=true") {
			out.Write(bad.JSON())
		} else {
			fmt.Fprint(talk, printable(bad.Render()))
		}
		return exitBad
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(talk, "fledge: stopped, nothing written")
		return exitInternal
	}
	fmt.Fprintln(talk, "fledge:", err)
	return exitInternal
}

func rootCommand(c *console) *cobra.Command {
	root := &cobra.Command{
		Use:   "fledge",
		Short: "Will it go? Launch, speed and landing of a small electric model, from one build file.",
		Long: "Will it go? Fledge reads one file that describes a small electric model\n" +
			"aeroplane, its launch gear and the day, and answers before it leaves the bench:\n" +
			"does it fit, balance, hold, launch, fly and come home, how sure is that, and\n" +
			"what smallest change would make it go.",
		Example: "  fledge new --name Plover --span 1050mm --mass 980g\n" +
			"  fledge check plover.yaml\n" +
			"  fledge launch plover.yaml --set day.wind=3m/s --plot launches.svg",
		SilenceUsage: true, SilenceErrors: true, DisableSuggestions: true,
		Args: cobra.ArbitraryArgs,
	}
	root.Flags().Bool("version", false, "which Fledge this is")
	root.RunE = func(cmd *cobra.Command, args []string) error {
		if v, _ := cmd.Flags().GetBool("version"); v {
			_, err := io.WriteString(c.out, app.Version().Plain)
			return err
		}
		if len(args) > 0 {
			return unknownVerb(cmd, args[0])
		}
		return cmd.Help()
	}
	root.SetFlagErrorFunc(flagError)
	root.SetUsageTemplate(usage)
	root.SetHelpTemplate(help)
	root.AddGroup(
		&cobra.Group{ID: "start", Title: "To start"},
		&cobra.Group{ID: "main", Title: "The main job"},
		&cobra.Group{ID: "one", Title: "One question each, with its full tables"},
		&cobra.Group{ID: "after", Title: "After the flight"},
		&cobra.Group{ID: "bench", Title: "The expert's bench"},
		&cobra.Group{ID: "other", Title: "Besides"},
	)
	root.SetHelpCommandGroupID("other")
	root.SetCompletionCommandGroupID("other")
	for _, add := range groups {
		root.AddCommand(add(c)...)
	}
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	for _, k := range root.Commands() {
		switch k.Name() {
		case "help":
			k.Short = "more of one verb"
		case "completion":
			k.Short = "completion for your shell"
		}
	}
	return root
}

// groups makes the verbs; each file of this package adds its own.
var groups = []func(*console) []*cobra.Command{checks, questions, aloft, bench, starts, debriefs, logbooks, papers, workshop, learns}
