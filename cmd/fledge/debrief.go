package main

import (
	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// debriefs are the verbs after the flight.
func debriefs(c *console) []*cobra.Command {
	var v common
	var q app.DebriefRequest
	var columns, keep []string
	cmd := &cobra.Command{
		Use: "debrief [LOG...]", GroupID: "after", Short: "what really happened, claims judged, why a launch failed",
		Args: cobra.ArbitraryArgs,
		Long: "Reads flight logs (GPX, NMEA, IGC, CSV), WAV recordings of a fly-by and what was\n" +
			"typed, and says what they show and what they do not: wind, level and two-way\n" +
			"speed with their doubt, launch and landing as flown, energy used. With a build it\n" +
			"judges the claims, sets predicted beside measured, and says why a launch failed.",
		Example: "  fledge debrief flight.csv --build tern.yaml --plot speed.svg\n" +
			"  fledge debrief --reading \"base=60 m time=0.94 s direction=240 level=yes\"\n" +
			"  fledge debrief --build tern.yaml --outcome \"ground strike before release\"\n" +
			"  fledge debrief flight.gpx --build tern.yaml --pack for-review",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(); err != nil {
				return err
			}
			var err error
			if q.Columns, q.ColumnsOf, err = app.ColumnFiles("--columns", columns, args); err != nil {
				return err
			}
			if q.SaveColumns, q.SaveOf, err = app.ColumnFiles("--save-columns", keep, args); err != nil {
				return err
			}
			reads := append(append([]string(nil), args...), q.Columns, q.ReadingFile, q.Path)
			for _, f := range q.ColumnsOf {
				reads = append(reads, f)
			}
			if _, err := v.look.check(reads...); err != nil {
				return err
			}
			build := q.Path
			q.Request = v.q
			q.Path, q.Logs = build, args
			if build == "" && len(q.Sets) > 0 {
				return app.Bad("no-build", "name the build with --build", "--set changes a build, and none is given")
			}
			return v.show(c, &q.Progress, func() (*app.Answer, error) { return app.Debrief(cmd.Context(), q) })
		},
	}
	v.flags(cmd, "speed with its doubt, the path, energy height")
	f := cmd.Flags()
	f.StringVar(&q.Path, "build", "", "`BUILD` whose claims are judged")
	f.StringArrayVar(&columns, "columns", nil, "`FILE` with the column map of CSV logs, kept earlier; LOG=FILE: of one\nlog, repeatable")
	f.StringArrayVar(&keep, "save-columns", nil, "`FILE` to keep the column map in; LOG=FILE: of one log, repeatable")
	f.StringArrayVar(&q.Readings, "reading", nil, "`\"speed=74 m/s direction=240\"`: read off a screen, a watch, a film, a\nmeter (docs/debrief.md), repeatable")
	f.StringVar(&q.ReadingFile, "readings", "", "`FILE` of readings, YAML list or CSV")
	f.StringVar(&q.Outcome, "outcome", "", "how the launch ended, in `WORDS`")
	f.StringArrayVar(&q.Seen, "seen", nil, "`SIGN` seen at the launch, as \"nose low at release\", repeatable")
	f.StringArrayVar(&q.NotSeen, "not-seen", nil, "`SIGN` surely not seen, repeatable")
	f.BoolVar(&q.FlewBefore, "flew-before", false, "the same settings flew the time before")
	f.StringSliceVar(&q.State, "state", nil, "`LIST` of full-throttle or part-throttle, claimed-parts or\nother-parts, sound or repaired")
	f.BoolVar(&q.Opposite, "opposite", false, "the two recordings are of passes in opposite directions")
	f.StringVar(&q.Base, "base", "", "marked course, `\"52.1234,13.5678 azimuth=270 length=200 m\"`")
	f.StringVar(&q.FieldHeight, "field-height", "", "`HEIGHT` of the field in the log's own heights")
	f.StringVar(&q.HeightLimit, "height-limit", "", "`HEIGHT` above the start not to be passed")
	f.StringVar(&q.FarLimit, "far-limit", "", "`DISTANCE` from the start not to be passed")
	f.BoolVar(&q.NoModel, "quick", false, "no prediction, no launch model")
	f.StringVar(&q.Pack, "pack", "", "new `FOLDER` for an evidence sheet others can check")
	f.StringVar(&q.Obtained, "obtained", "", "how the aeroplane was come by: `bought, lent, given`")
	f.StringVar(&q.Flown, "flown", "", "`WHERE` and by whom")
	f.StringVar(&q.Note, "note", "", "`STATE` of the aeroplane and its repairs")
	return []*cobra.Command{cmd}
}
