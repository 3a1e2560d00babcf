package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// logbooks is the logbook with its own verbs.
func logbooks(c *console) []*cobra.Command { return []*cobra.Command{logbookCommand(c)} }

func logbookCommand(c *console) *cobra.Command {
	root := &cobra.Command{
		Use: "logbook", GroupID: "after", Short: "flights, repairs, packs, parts: what happened",
		Long: "What happened, in one file in the hangar folder beside the builds: flights with\n" +
			"the build as it was, logs, readings, repairs, packs, parts, money and hours.\n" +
			"Alone it shows an overview.",
		Example: "  fledge logbook add pack name=blue cells=4\n" +
			"  fledge logbook add flight build=tern.yaml pack=blue --forecast\n" +
			"  fledge logbook amend flight last outcome=airborne duration=6min\n" +
			"  fledge logbook add log flight=last file=today.csv\n" +
			"  fledge logbook repair tern.yaml nose x=80mm \"mass=14 g weighed\"\n" +
			"  fledge logbook score --plot odds.svg",
	}
	h := &app.Hangar{Dir: "."}
	root.PersistentFlags().StringVar(&h.Dir, "hangar", ".", "`FOLDER` of the builds and the logbook")
	add := func(cmd *cobra.Command, plot string, run func(cmd *cobra.Command, args []string, l *look) (*app.Answer, error)) *cobra.Command {
		l := &look{}
		l.flags(cmd, plot)
		cmd.RunE = func(cmd *cobra.Command, args []string) error {
			s, err := l.check()
			if err != nil {
				return err
			}
			h.Units = s
			a, err := run(cmd, args, l)
			if err != nil {
				return err
			}
			return l.print(c, a)
		}
		if cmd != root {
			root.AddCommand(cmd)
		}
		return cmd
	}

	root.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return unknownVerb(cmd, args[0])
	}
	overview := func(cmd *cobra.Command, _ []string, _ *look) (*app.Answer, error) {
		o, err := h.Overview(cmd.Context())
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: o.Text(h.Units), Body: o}, nil
	}
	add(root, "", overview)

	var q app.AddRequest
	var keys bool
	var card string
	addCmd := add(&cobra.Command{
		Use: "add KIND [KEY=VALUE...]", Short: "note something down",
		Long: "Notes one entry. A flight keeps its build as it is now, with all that the build\n" +
			"names, and takes the launch settings from it. --keys lists what a kind may hold.",
		Example: "  fledge logbook add pack name=blue cells=3 \"capacity=2200 mAh\"\n" +
			"  fledge logbook add cycle pack=blue \"cell_resistance=4.2 mohm\" \"temperature=20 degC\"\n" +
			"  fledge logbook add flight build=tern.yaml pack=blue outcome=line-snag",
	}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		if keys || len(args) == 0 {
			kind := ""
			if len(args) > 0 {
				kind = args[0]
			}
			text, err := app.KeysText(kind)
			return &app.Answer{Plain: text, Body: app.KeysBody(kind)}, err
		}
		q.Kind, q.Args = args[0], args[1:]
		note := ""
		if card != "" {
			var err error
			if q.Args, note, err = app.CardArgs(card, q); err != nil {
				return nil, err
			}
		}
		tick, clear := c.progress()
		q.Progress = tick
		a, err := h.Add(cmd.Context(), q)
		clear()
		if err != nil {
			return nil, err
		}
		if note != "" {
			a.Notes = append(a.Notes, note)
		}
		return &app.Answer{Plain: a.Text(h.Units), Body: a}, nil
	})
	f := addCmd.Flags()
	f.StringVar(&card, "card", "", "`CODE` of the flight card flown by: its settings and forecast")
	f.StringArrayVar(&q.Sets, "set", nil, "`PATH=VALUE`: how the build was set for this flight, repeatable")
	f.StringArrayVar(&q.Logs, "log", nil, "`FILE` recorded on this flight, kept whole, repeatable")
	f.BoolVar(&q.Forecast, "forecast", false, "forecast odds and top speed now, to be scored later")
	f.Uint64Var(&q.Seed, "seed", 1, "seed of the forecast's draws")
	f.BoolVar(&keys, "keys", false, "list what an entry of this kind may hold")

	var all bool
	list := add(&cobra.Command{Use: "list [KIND]", Short: "all entries of a kind; without one, an overview", Example: "  fledge logbook list flight --all", Args: cobra.MaximumNArgs(1)}, "", func(cmd *cobra.Command, args []string, l *look) (*app.Answer, error) {
		if len(args) == 0 {
			return overview(cmd, args, l)
		}
		got, err := h.List(cmd.Context(), args[0], all)
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(h.Units), Body: got}, nil
	})
	list.Flags().BoolVar(&all, "all", false, "struck entries, too")

	add(&cobra.Command{Use: "show KIND NUMBER", Short: "one entry with all that belongs to it", Example: "  fledge logbook show flight 1\n  fledge logbook show pack last --json", Args: exactly(2, "a kind and a number or last", "fledge logbook show flight 3")}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		got, err := h.Show(cmd.Context(), args[0], args[1])
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(h.Units), Body: got}, nil
	})

	add(&cobra.Command{Use: "strike KIND NUMBER WHY", Short: "an entry counts no more; it stays to be read", Example: `  fledge logbook strike flight 1 "entered twice"`, Args: exactly(3, "a kind, a number and why", `fledge logbook strike flight 3 "entered twice"`)}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		got, err := h.Strike(cmd.Context(), args[0], args[1], args[2])
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(h.Units), Body: got}, nil
	})

	add(&cobra.Command{
		Use: "amend KIND NUMBER KEY=VALUE...", Short: "add to an entry, or put it right",
		Long:    "Changes what is given, leaves the rest; \"key=\" alone takes a value out.",
		Example: "  fledge logbook amend flight last outcome=airborne \"duration=6 min\"\n  fledge logbook amend repair 1 proofed=yes",
		Args:    atLeast(3, "a kind, a number and what to change", "fledge logbook amend flight last outcome=airborne"),
	}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		got, err := h.Amend(cmd.Context(), args[0], args[1], args[2:])
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(h.Units), Body: got}, nil
	})

	add(&cobra.Command{Use: "search WORDS", Short: "entries that hold all the words", Example: "  fledge logbook search line snag", Args: atLeastOne("words", "fledge logbook search wet grass")}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		got, err := h.Search(cmd.Context(), strings.Join(args, " "))
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(), Body: got}, nil
	})

	var to string
	var dump bool
	export := add(&cobra.Command{
		Use: "export [KIND [NUMBER]]", Short: "a table, everything, or a kept file",
		Long: "With a kind: its entries as CSV (--json: as JSON), numbers in SI. With log or\n" +
			"build and a number: the kept file as it was. With --dump: the whole logbook as\n" +
			"text, to be restored by import. To the output, or to a new file with --to.",
		Example: "  fledge logbook export flight --to flights.csv\n  fledge logbook export --dump --to hangar.jsonl\n  fledge logbook export build 2 --to tern-as-flown.yaml",
		Args:    cobra.MaximumNArgs(2),
	}, "", func(cmd *cobra.Command, args []string, l *look) (*app.Answer, error) {
		var write func(io.Writer) error
		switch {
		case dump && len(args) == 0:
			write = func(w io.Writer) error { return h.Dump(cmd.Context(), w) }
		case dump || len(args) == 0:
			return nil, app.Bad("missing", "as in fledge logbook export flight, or fledge logbook export --dump", "export one kind, or everything with --dump")
		case len(args) == 2:
			write = func(w io.Writer) error { return h.Kept(cmd.Context(), args[0], args[1], w) }
		case l.json:
			got, err := h.List(cmd.Context(), args[0], true)
			return &app.Answer{Body: got}, err
		default:
			write = func(w io.Writer) error { return h.Export(cmd.Context(), args[0], w) }
		}
		var b strings.Builder
		if err := write(&b); err != nil {
			return nil, err
		}
		if to == "" {
			return &app.Answer{Plain: b.String(), Body: []byte(b.String())}, nil
		}
		return &app.Answer{Plain: fmt.Sprintf("Written: %s, %d bytes.\n", filepath.ToSlash(to), b.Len()), Body: app.ExportedBody(to, b.Len()), Files: []app.File{{Name: to, Text: []byte(b.String())}}}, nil
	})
	export.Flags().StringVar(&to, "to", "", "new `FILE` to write")
	export.Flags().BoolVar(&dump, "dump", false, "everything, as text")

	var kind string
	imp := add(&cobra.Command{
		Use: "import FILE", Short: "restore a dump, or take in a table",
		Long:    "A dump into an empty logbook restores it exactly; into another it adds what is\nnot there yet. A CSV table adds its lines: heads as exported (plain SI) or as typed\n(values with units). All or nothing, and nothing twice.",
		Example: "  fledge logbook import hangar.jsonl\n  fledge logbook import flights.csv --kind flight",
		Args:    exactly(1, "a file", "fledge logbook import flights.csv"),
	}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		got, err := h.Import(cmd.Context(), args[0], kind)
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(), Body: got}, nil
	})
	imp.Flags().StringVar(&kind, "kind", "", "`KIND` of entry that the table holds")

	var rescue bool
	check := add(&cobra.Command{
		Use: "check", Short: "read everything against its checksums", Example: "  fledge logbook check", Args: noArgs,
		Long: "Reads every row against its checksum and every kept file against its hash. Of a\ndamaged logbook the readable part is saved beside it; --rescue then sets the damaged\nfile aside and goes on with what was saved.",
	}, "", func(cmd *cobra.Command, _ []string, _ *look) (*app.Answer, error) {
		got, err := h.CheckLogbook(cmd.Context(), rescue)
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(), Body: got}, nil
	})
	check.Flags().BoolVar(&rescue, "rescue", false, "set a damaged logbook aside and go on with its readable part")

	var seed uint64
	sc := add(&cobra.Command{
		Use: "score", Short: "our own forecasts against what happened", Example: "  fledge logbook score --plot odds.svg", Args: noArgs,
		Long: "Odds forecast against launches achieved, speeds forecast against measured: the\nreliability table, the score, and what right forecasts would have scored. Few\nlaunches say little, and it says so.",
	}, "odds forecast against launches achieved", func(cmd *cobra.Command, _ []string, _ *look) (*app.Answer, error) {
		got, err := h.Score(cmd.Context(), seed)
		if err != nil {
			return nil, err
		}
		a := &app.Answer{Plain: got.Text(h.Units), Body: got.JSON()}
		if got.Odds.N > 0 {
			a.Chart = got.Odds.Plot()
		}
		return a, nil
	})
	sc.Flags().Uint64Var(&seed, "seed", 1, "seed of the resamples")

	var rq app.RepairRequest
	repair := add(&cobra.Command{
		Use: "repair BUILD BREAK [KEY=VALUE...]", Short: "after a crash: mend it, on paper first",
		Long: "What a repair adds and where, balance and inertia after, the drag of its scar, the\n" +
			"strength it gives back by published rules with their doubt, the proof load to hold\n" +
			"before flight, odds and speed before and after. Writes the repaired revision as a\n" +
			"new build file; the old one is kept. Alone it lists what may break.",
		Example: "  fledge logbook repair tern.yaml nose \"x=80 mm\" \"mass=14 g weighed\"\n" +
			"  fledge logbook repair tern.yaml spar \"x=190 mm\" \"y=120 mm\" material=carbon \"thickness=1 mm\" \"width=25 mm\" \"overlap=40 mm\" \"strap=1 mm\"",
	}, "", func(cmd *cobra.Command, args []string, _ *look) (*app.Answer, error) {
		if len(args) < 2 {
			return &app.Answer{Plain: app.BreaksText(), Body: app.BreaksBody()}, nil
		}
		rq.Path, rq.Broken, rq.Args = args[0], args[1], args[2:]
		if !cmd.Flags().Changed("hangar") {
			h.Dir = filepath.Dir(args[0])
		}
		tick, clear := c.progress()
		rq.Progress = tick
		got, err := h.Repair(cmd.Context(), rq)
		clear()
		if err != nil {
			return nil, err
		}
		return &app.Answer{Plain: got.Text(h.Units), Body: got}, nil
	})
	f = repair.Flags()
	f.StringArrayVar(&rq.Sets, "set", nil, "`PATH=VALUE`: change a value of the build first, repeatable")
	f.BoolVar(&rq.DryRun, "dry-run", false, "work it out, write nothing")
	f.BoolVar(&rq.NoOdds, "no-odds", false, "leave launch odds and speed out: quicker")
	f.Uint64Var(&rq.Seed, "seed", 1, "seed of all draws")
	return root
}

// atLeast is the argument rule of verbs with so many words or more.
func atLeast(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return app.Bad("missing", "as in "+example, "fledge logbook "+cmd.Name()+" needs "+what)
		}
		return nil
	}
}

// exactly is the argument rule of verbs with a fixed number of words.
func exactly(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < n:
			return app.Bad("missing", "as in "+example, "fledge logbook "+cmd.Name()+" needs "+what)
		case len(args) > n:
			return app.Bad("too-many", "put words with spaces in quotes, as in "+example, fmt.Sprintf("fledge logbook %s takes %d words, not %d", cmd.Name(), n, len(args)))
		}
		return nil
	}
}
