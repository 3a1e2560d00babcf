package main

import (
	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// aloft are the verbs of the flight and of coming home.
func aloft(c *console) []*cobra.Command {
	var v common
	var trial bool
	fly := &cobra.Command{
		Use: "fly BUILD", GroupID: "one", Short: "speeds, climb, turns, endurance, circuit, speed trial", Args: oneBuild, ValidArgsFunction: builds,
		Example: "  fledge fly tern.yaml --plot pull.svg\n  fledge fly tern.yaml --trial --plot course.svg",
		Long:    "Stall, cruise, top and dive speed, climb, turns, endurance and range; level flight\nat each airspeed; the circuit leg by leg and when to land; circles, load factors,\nwhere the power goes, what changes buy, what another day does; drag piece by\npiece, the drive's limits and heat. With --trial: a speed trial over the build's\ncourse, what its result would be worth and where to stand.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			return v.show(c, &v.q.Progress, func() (*app.Answer, error) {
				if trial {
					return app.Trial(cmd.Context(), v.q)
				}
				return app.Fly(cmd.Context(), v.q)
			})
		},
	}
	v.flags(fly, "pull against drag and the load factors; with --trial the course")
	fly.Flags().BoolVar(&trial, "trial", false, "plan a speed trial over the course: block")
	return []*cobra.Command{
		fly,
		question(c, "land", "glide, approach, touchdown, landing distance, ways to slow down", "The approach with the motor off, flare, touchdown, its scatter and the slide; what\nbrakes, slips, S-turns, wind, slope and another surface do; how to lose the last\nof the speed, in order of what works; going round; the field that suits.", "the approach from the side", app.Land),
		question(c, "radio", "margin of control and picture along the flight", "Each radio link along the planned circuit and down the approach: the margin over\nthe receiver's threshold by power, antennas, attitude, ground, obstacles and the\naeroplane's own parts; the worst place, how far it carries, what each change\nbuys, and where she ends when a signal goes.", "margins along the way, and the way from above", app.Radio),
		question(c, "sortie", "chance that she comes home whole, and what it costs", "Launch, link, reserve and landing in the same draws, so that what they have in\ncommon spoils them together: the chance of the whole, what goes wrong first,\nwhat would raise it most, flights per airframe and cost per flight.", "", app.Sortie),
	}
}
