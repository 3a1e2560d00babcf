package main

import (
	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// addLaunchMore gives the launch verb its flags for best settings, map, levers
// and ring.
func addLaunchMore(cmd *cobra.Command, q *app.LaunchMoreRequest) {
	f := cmd.Flags()
	f.StringVar(&q.Map, "map", "", "`PATH,PATH`: the two settings of the odds map (stretch and stick)")
	f.StringVar(&q.MapAt, "map-at", "best", "`best` or now: what all other settings of the map are")
	f.StringVar(&q.MapFile, "plot-map", "", "`FILE.svg` for the odds map")
}
