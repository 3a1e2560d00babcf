package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"fledge/internal/app"
	"fledge/internal/diag"
	"fledge/internal/unit"
)

// console is where a verb reads and writes.
type console struct {
	in        io.Reader
	out, talk io.Writer
}

// terminal says whether w is one, and how wide.
func terminal(w any) (width int, ok bool) {
	f, is := w.(*os.File)
	if !is || !term.IsTerminal(int(f.Fd())) {
		return 0, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width < 20 {
		width = 80
	}
	return width, true
}

// progress gives a callback that keeps one line of the terminal up to date,
// and what clears it. Without a terminal there is none.
func (c *console) progress() (func(stage string, done, total int), func()) {
	width, ok := terminal(c.talk)
	if !ok {
		return nil, func() {}
	}
	var lock sync.Mutex
	var last time.Time
	shown := 0
	return func(stage string, done, total int) {
			lock.Lock()
			defer lock.Unlock()
			now := time.Now()
			if now.Sub(last) < 100*time.Millisecond {
				return
			}
			last = now
			line := stage
			if total > 0 {
				line = fmt.Sprintf("%s: %d of %d", stage, done, total)
			}
			if r := []rune(line); len(r) > width-1 {
				line = string(r[:width-1])
			}
			n := len([]rune(line))
			fmt.Fprintf(c.talk, "\r%s%s", line, strings.Repeat(" ", max(0, shown-n)))
			shown = n
		}, func() {
			lock.Lock()
			defer lock.Unlock()
			if shown > 0 {
				fmt.Fprintf(c.talk, "\r%s\r", strings.Repeat(" ", shown))
				shown = 0
			}
		}
}

// look holds the flags that say how an answer is shown.
type look struct {
	json  bool
	plot  string
	units string
}

func (l *look) flags(cmd *cobra.Command, plot string) {
	f := cmd.Flags()
	f.BoolVar(&l.json, "json", false, "print JSON (docs/json.md)")
	f.StringVar(&l.units, "units", "metric", "metric or imperial, for pages")
	must(cmd.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"metric", "imperial"}, cobra.ShellCompDirectiveNoFileComp)))
	if plot != "" {
		f.StringVar(&l.plot, "plot", "", "`FILE.svg` to draw: "+plot)
	}
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// check refuses what cannot be shown, before any work.
func (l *look) check(paths ...string) (unit.System, error) {
	s, ok := unit.SystemNamed(l.units)
	if !ok {
		return s, app.Bad("units", diag.DidYouMean(l.units, []string{"metric", "imperial"}, "metric or imperial"), fmt.Sprintf("--units %s is not known", diag.Quote(l.units)))
	}
	if l.plot != "" && !strings.HasSuffix(strings.ToLower(l.plot), ".svg") {
		return s, app.Bad("file-name", "end the name in .svg", fmt.Sprintf("--plot %s: charts are drawn as SVG", diag.Quote(l.plot)))
	}
	for _, p := range paths {
		if l.plot != "" && p == l.plot {
			return s, app.Bad("file-name", "choose another name", fmt.Sprintf("--plot %s would be written over what is read", diag.Quote(l.plot)))
		}
	}
	return s, nil
}

// print shows an answer: warnings to the talk, files to the disk, the result
// to the output.
func (l *look) print(c *console, a *app.Answer) error {
	fmt.Fprint(c.talk, printable(a.Notes))
	if l.plot != "" {
		if a.Chart == nil {
			return app.Bad("nothing-to-draw", "leave --plot out", "there is nothing to draw here")
		}
		a.Files = append(a.Files, app.File{Name: l.plot, Text: a.SVG(), Over: true})
	}
	if err := a.Write(); err != nil {
		return err
	}
	if l.json {
		b, err := a.JSON()
		if err != nil {
			return err
		}
		if _, err := c.out.Write(b); err != nil {
			return err
		}
	} else {
		text := a.Text()
		if _, raw := a.Body.([]byte); !raw { // a kept file is printed as it is
			text = printable(text)
		}
		if _, err := io.WriteString(c.out, text); err != nil {
			return err
		}
	}
	if a.Held {
		return errHeld
	}
	return nil
}

// printable puts a mark for what a terminal would obey and not show: controls,
// and marks that turn the direction of writing. Names of files and what is
// read out of logs may hold any of them.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unprintable(r) {
			return '\ufffd'
		}
		return r
	}, text)
}

func unprintable(r rune) bool {
	return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
}

// common holds the flags every verb on a build has.
type common struct {
	look
	q       app.Request
	noCache bool
}

func (v *common) flags(cmd *cobra.Command, plot string) {
	f := cmd.Flags()
	f.Uint64Var(&v.q.Seed, "seed", 1, "seed of all draws")
	f.StringVar(&v.q.DayFile, "day", "", "`FILE` with a day: block, over the build's")
	f.StringVar(&v.q.METAR, "metar", "", "aerodrome weather `REPORT` of the day")
	f.StringArrayVar(&v.q.Sets, "set", nil, "`PATH=VALUE`: change any value of the build, repeatable")
	f.BoolVar(&v.q.Untaught, "untaught", false, "as if nothing had been learned in the hangar")
	f.BoolVar(&v.noCache, "no-cache", false, "compute everything anew, keep nothing")
	v.look.flags(cmd, plot)
}

// ready fills the request and refuses what cannot be shown.
func (v *common) ready(paths ...string) error {
	s, err := v.look.check(paths...)
	if err != nil {
		return err
	}
	v.q.Units = s
	v.q.Cached = !v.noCache
	if len(paths) > 0 {
		v.q.Path = paths[0]
	}
	return nil
}

// show runs one use case with progress and prints its answer.
func (l *look) show(c *console, progress *func(string, int, int), work func() (*app.Answer, error)) error {
	tick, clear := c.progress()
	*progress = tick
	a, err := work()
	clear()
	if err != nil {
		return err
	}
	return l.print(c, a)
}

// oneBuild is the argument rule of verbs on one build.
func oneBuild(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return app.Bad("missing", "as in fledge "+cmd.Name()+" tern.yaml", "fledge "+cmd.Name()+" needs a build file")
	}
	return app.Bad("too-many", "fledge compare takes several", fmt.Sprintf("fledge %s takes one build file, not %d", cmd.Name(), len(args)))
}

func atLeastOne(what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return app.Bad("missing", "as in "+example, "fledge "+cmd.Name()+" needs "+what)
		}
		return nil
	}
}

func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return app.Bad("too-many", "", fmt.Sprintf("fledge %s takes nothing more, and %s was given", cmd.Name(), diag.Quote(args[0])))
	}
	return nil
}

// builds completes build files.
func builds(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

// flagError turns what the flag reader says into a diagnostic.
func flagError(cmd *cobra.Command, err error) error {
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	path := cmd.CommandPath()
	seeHelp := strings.TrimSpace("fledge help "+strings.TrimPrefix(strings.TrimPrefix(path, "fledge"), " ")) + " lists them"
	var none *pflag.NotExistError
	var value *pflag.ValueRequiredError
	var wrong *pflag.InvalidValueError
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return err
	case errors.As(err, &none):
		got := "--" + none.GetSpecifiedName()
		if none.GetSpecifiedShortnames() != "" {
			got = "-" + none.GetSpecifiedName()
		}
		return app.Bad("unknown-flag", diag.DidYouMean(got, names, seeHelp), fmt.Sprintf("%s has no flag %s", path, got))
	case errors.As(err, &value):
		return app.Bad("missing", seeHelp, fmt.Sprintf("--%s needs a value", value.GetSpecifiedName()))
	case errors.As(err, &wrong):
		kind := map[string]string{"uint64": "a whole number", "int": "a whole number", "bool": "true or false", "float64": "a number"}[wrong.GetFlag().Value.Type()]
		if kind == "" {
			kind = "what is wanted here"
		}
		return app.Bad("bad-flag", seeHelp, fmt.Sprintf("--%s %s is not %s", wrong.GetFlag().Name, diag.Quote(wrong.GetValue()), kind))
	}
	return app.Bad("bad-flag", seeHelp, "the flags of "+path+" cannot be read")
}

// unknownVerb names the nearest verb.
func unknownVerb(root *cobra.Command, got string) error {
	var names []string
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return app.Bad("unknown-verb", diag.DidYouMean(got, names, "fledge help lists what it does"), fmt.Sprintf("fledge does not know %s", diag.Quote(got)))
}

func init() {
	cobra.AddTemplateFunc("fold", fold)
	cobra.AddTemplateFunc("flags", func(f *pflag.FlagSet) string { return strings.TrimRight(f.FlagUsagesWrapped(pageWidth), "\n") })
}

// pageWidth is how wide help is.
const pageWidth = 80

// fold sets a text anew in lines of at most pageWidth; blank lines stay.
func fold(text string) string {
	var paras []string
	for _, p := range strings.Split(text, "\n\n") {
		var b strings.Builder
		n := 0
		for _, w := range strings.Fields(p) {
			k := len([]rune(w))
			switch {
			case n == 0:
			case n+1+k > pageWidth:
				b.WriteByte('\n')
				n = 0
			default:
				b.WriteByte(' ')
				n++
			}
			b.WriteString(w)
			n += k
		}
		paras = append(paras, b.String())
	}
	return strings.Join(paras, "\n\n")
}

const help = `{{with (or .Long .Short)}}{{fold .}}{{end}}
{{.UsageString}}`

const usage = `{{if .HasParent}}
  {{.UseLine}}
{{end}}{{if .HasExample}}
For example
{{.Example}}
{{end}}{{if .HasAvailableSubCommands}}{{$all := .Commands}}{{range $g := .Groups}}
{{$g.Title}}{{range $all}}{{if and (eq .GroupID $g.ID) (or .IsAvailableCommand (eq .Name "help"))}}
  {{rpad .Name .NamePadding}}  {{.Short}}{{end}}{{end}}
{{end}}
fledge help VERB tells more. A GO is advice: the pilot in command decides.
{{end}}{{if and .HasParent .HasAvailableLocalFlags}}
{{flags .LocalFlags}}
{{end}}`
