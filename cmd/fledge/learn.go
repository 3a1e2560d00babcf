package main

import (
	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// learns is the verb that turns evidence into learned factors.
func learns(c *console) []*cobra.Command {
	var v common
	var q app.LearnRequest
	var columns []string
	cmd := &cobra.Command{
		Use: "learn BUILD", GroupID: "after", Short: "factors from flights, bench rows and readings; what to fly next", Args: oneBuild, ValidArgsFunction: builds,
		Long: "Fits drag, lift, propeller, motor, battery, bungee, hook and hand to all that was\n" +
			"measured: the build's bench rows, logs, typed readings, and the logbook of its\n" +
			"folder. What is learned is kept there with its doubt and used by every verb.\n" +
			"Nothing is bent: what the data do not tell is left as it was, a single bad reading\n" +
			"is set aside by name, and data that contradict are refused with the reason.",
		Example: "  fledge learn tern.yaml --reading \"glide_speed=16 m/s sink=1.4 m/s ± 0.1 m/s\"\n" +
			"  fledge learn tern.yaml --log flight.csv --state full-throttle --look\n" +
			"  fledge learn tern.yaml --next",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			r := q
			r.Request = v.q
			var err error
			if r.Columns, r.ColumnsOf, err = app.ColumnFiles("--columns", columns, q.Logs); err != nil {
				return err
			}
			return v.show(c, &r.Progress, func() (*app.Answer, error) { return app.Learn(cmd.Context(), r) })
		},
	}
	v.flags(cmd, "")
	launches(cmd, &v.q)
	f := cmd.Flags()
	f.StringArrayVar(&q.Logs, "log", nil, "flight `LOG` (GPX, NMEA, IGC, CSV), repeatable")
	f.StringArrayVar(&columns, "columns", nil, "`FILE` with the column map of CSV logs (debrief keeps one); LOG=FILE: of\none log, repeatable")
	f.StringArrayVar(&q.Readings, "reading", nil, "`\"glide_speed=16 m/s sink=1.4 m/s\"`: what was read (docs/learn.md),\nrepeatable")
	f.StringSliceVar(&q.State, "state", nil, "`STATE` of the logged flights: full-throttle or part-throttle")
	f.BoolVar(&q.Next, "next", false, "plan the flight or bench test that would settle the most")
	f.BoolVar(&q.Look, "look", false, "look only: keep nothing")
	f.BoolVar(&q.Alone, "alone", false, "without the logbook: neither its evidence nor what was learned")
	f.BoolVar(&q.Forget, "forget", false, "what was learned of this aeroplane counts no more")
	f.BoolVar(&v.q.Fast, "quick", false, "the factors only: no forecasts before and after")
	return []*cobra.Command{cmd}
}
