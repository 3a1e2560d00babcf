package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fledge/internal/app"
)

// checks are the main job and the comparison.
func checks(c *console) []*cobra.Command {
	var v common
	check := &cobra.Command{
		Use: "check BUILD", GroupID: "main", Short: "all questions, findings, remedies, verdict", Args: oneBuild, ValidArgsFunction: builds,
		Example: "  fledge check tern.yaml\n  fledge check tern.yaml --day calm-evening.yaml --quick\n  fledge check tern.yaml --set launch.bungee.stretch=8m --json",
		Long:    "All nine questions on one build: what is found, with its doubt, the verdict, and\nfor what fails the smallest changes that make it go, each proved by running it\nagain. Exit code 0 for GO, 3 for HOLD or NO-GO, 2 for a file that cannot be used.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			return v.show(c, &v.q.Progress, func() (*app.Answer, error) { return app.CheckAnswer(cmd.Context(), v.q) })
		},
	}
	v.flags(check, "")
	check.Flags().BoolVar(&v.q.Fast, "quick", false, "findings and verdict only, no remedies")
	launches(check, &v.q)
	return []*cobra.Command{check, compare(c)}
}

func launches(cmd *cobra.Command, q *app.Request) {
	cmd.Flags().IntVar(&q.Launches, "launches", 0, "`N` launches to fly for the odds (1024)")
}

// sane refuses numbers of launches that make no odds.
func sane(q *app.Request) error {
	if q.Launches < 0 || q.Launches > 0 && q.Launches < 16 || q.Launches > 1<<20 {
		return app.Bad("range", "from 16 to 1048576; left out, 1024", fmt.Sprintf("--launches %d makes no odds", q.Launches))
	}
	return nil
}

// question is a verb that answers one question about one build.
func question(c *console, name, short, long, plot string, work func(context.Context, app.Request) (*app.Answer, error)) *cobra.Command {
	var v common
	cmd := &cobra.Command{
		Use: name + " BUILD", GroupID: "one", Short: short, Long: long, Args: oneBuild, ValidArgsFunction: builds,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			return v.show(c, &v.q.Progress, func() (*app.Answer, error) { return work(cmd.Context(), v.q) })
		},
	}
	cmd.Example = "  fledge " + name + " tern.yaml\n  fledge " + name + ` tern.yaml --set "parts.battery.at.x=200 mm" `
	if plot != "" {
		cmd.Example += "--plot " + name + ".svg"
	} else {
		cmd.Example += "--json"
	}
	v.flags(cmd, plot)
	if name == "balance" {
		cmd.Flags().BoolVar(&v.q.Fast, "quick", false, "no launches flown: leave out what each gram costs")
		launches(cmd, &v.q)
	}
	if name == "strength" || name == "sortie" {
		launches(cmd, &v.q)
	}
	return cmd
}

// questions are the verbs that answer one question each.
func questions(c *console) []*cobra.Command {
	return []*cobra.Command{
		question(c, "fit", "do the parts fit, and which wires to cut", "Each part in its bay or the body's shell: does it go in, through which opening,\nby how much it misses, what cures it and what that weakens; clashes, distances,\nthe room of servo arms in the true section, heat in closed bays; the wires to\ncut, what goes in first, which way the motor must turn.", "parts, bays and wires from above and from the side", app.Fit),
		question(c, "balance", "mass, balance point, what moves it, weighing sheet", "Mass, balance point and inertia; the neutral point, the band the balance point\nmay lie in and why; where each movable part has to sit, the least ballast; what\neach gram costs, and where, in launch odds and speed; repairs and tape; a sheet\nfor two or three scales, and what scales and swing tests showed.", "the aeroplane from above with its balance", app.Balance),
		question(c, "setup", "neutral settings, throws, linkages, pulses, failsafe", "What to set: neutral of each control, throws in degrees and at the edge, servo\nangles and pulses, mixing, what to hold at the launch, return-home, failsafe.", "", app.Setup),
		question(c, "strength", "loads against what servo, horn, rod, spar, hook can take", "Every load against what bears it: hinge moments, servos, horns, rods, spar, hook,\nlanding, flutter screen, currents and heat, with the hinge moments over speed.", "servo load over airspeed", app.Strength),
		launchVerb(c),
	}
}

func launchVerb(c *console) *cobra.Command {
	var v common
	var trajectory string
	var more app.LaunchMoreRequest
	cmd := &cobra.Command{
		Use: "launch BUILD", GroupID: "one", Short: "launch odds, how it fails, the release, what to change", Args: oneBuild, ValidArgsFunction: builds,
		Example: "  fledge launch tern.yaml --plot launches.svg\n  fledge launch tern.yaml --metar \"EDXX 031250Z 24008KT 14/08 Q1018\" --quick\n  fledge launch tern.yaml --map day.wind,launch.stick.pitch --plot-map map.svg",
		Long:    "Flies the launch many times over gusts, hand and all that is not known: the odds,\nhow the failed ones end, the moment of release, the settings as flown, what the\nodds hang on, the smallest changes that would do; then the best settings found\nwith how far each may stray, what one step of each lever does, a map of the\nodds over two settings, and the ring with its bench test.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			if err := sane(&v.q); err != nil {
				return err
			}
			if trajectory != "" && (trajectory == args[0] || trajectory == v.plot) {
				return app.Bad("file-name", "choose another name", "--trajectory would write over another file of this run")
			}
			if more.MapFile != "" && more.MapFile == v.plot {
				return app.Bad("file-name", "choose another name", "--plot and --plot-map name the same file")
			}
			r := more
			r.Request, r.Trajectory, r.Only = v.q, trajectory, v.q.Fast
			if v.plot != "" {
				r.Fan = 60
			}
			return v.show(c, &r.Progress, func() (*app.Answer, error) { return app.LaunchMore(cmd.Context(), r) })
		},
	}
	v.flags(cmd, "60 launches from the side, the failed ones to where they end")
	launches(cmd, &v.q)
	cmd.Flags().BoolVar(&v.q.Fast, "quick", false, "odds only: no remedies, best settings, levers, map, ring")
	addLaunchMore(cmd, &more)
	cmd.Flags().StringVar(&trajectory, "trajectory", "", "`FILE.csv` or .json for the launch with everything at its nominal value")
	return cmd
}

// bench are the expert's verbs.
func bench(c *console) []*cobra.Command {
	return []*cobra.Command{polar(c), lattice(c), propeller(c)}
}

func polar(c *console) *cobra.Command {
	var l look
	var q app.PolarRequest
	cmd := &cobra.Command{
		Use: "polar SECTION", GroupID: "bench", Short: "lift, drag, moment of a wing section",
		Args:    atLeastOne("a section", `fledge polar "NACA 2409"`),
		Long:    "Lift, drag, moment and where the boundary layer turns, of a section by its\ndesignation or by a two-column file of coordinates, at each Reynolds number.",
		Example: `  fledge polar "NACA 2409" --re 60000,120000 --alpha -4:12:1`,
		RunE: func(cmd *cobra.Command, args []string) error {
			s, err := l.check(args...)
			if err != nil {
				return err
			}
			q.Section, q.Units = strings.Join(args, " "), s
			return l.show(c, &q.Progress, func() (*app.Answer, error) { return app.Polar(cmd.Context(), q) })
		},
	}
	l.flags(cmd, "drag over lift")
	f := cmd.Flags()
	f.StringVar(&q.Re, "re", "100000,200000", "Reynolds `NUMBERS`: a list, or from:to:step")
	f.StringVar(&q.Alpha, "alpha", "-4:12:1", "`FROM:TO:STEP` angles of attack, degrees")
	f.StringVar(&q.Turbulence, "turbulence", "0.1", "turbulence of the stream in `PERCENT` of its speed")
	f.StringVar(&q.Flap, "flap", "", "`DEGREES` the flap is down (up: below zero)")
	f.StringVar(&q.Hinge, "hinge", "75", "place of its hinge in `PERCENT` of the chord")
	f.StringVar(&q.Trip, "trip", "", "`PERCENT` of the chord where the layer is made turbulent, as by insects: one for both sides or upper,lower")
	return cmd
}

func lattice(c *console) *cobra.Command {
	var v common
	cmd := &cobra.Command{
		Use: "lattice BUILD", GroupID: "bench", Short: "lifting surfaces: slopes, neutral point, derivatives", Args: oneBuild, ValidArgsFunction: builds,
		Example: "  fledge lattice tern.yaml --plot lift.svg",
		Long:    "The vortex lattice of all surfaces on its own: lift and moment slope, neutral\npoint, span efficiency, derivatives, controls, lift along the span.",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args[0]); err != nil {
				return err
			}
			return v.show(c, &v.q.Progress, func() (*app.Answer, error) { return app.Lattice(cmd.Context(), v.q) })
		},
	}
	v.flags(cmd, "lift along the span")
	return cmd
}

func propeller(c *console) *cobra.Command {
	var v common
	var q app.PropRequest
	cmd := &cobra.Command{
		Use: "prop [BUILD]", GroupID: "bench", Short: "thrust, power, efficiency of a propeller", ValidArgsFunction: builds,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return oneBuild(cmd, args)
			}
			return nil
		},
		Long:    "The table of a propeller over advance ratio: of a build, of a blade given by its\ngeometry (columns r_over_R,c_over_R,beta_deg; where the section is known also\nt_over_c and zero_lift_deg, the angle of zero lift against the chord line), or of\none of which only diameter, pitch and style are known.",
		Example: "  fledge prop tern.yaml --rpm 12000:18000:2000\n  fledge prop --blade blade.csv --diameter 9in --blades 2 --rpm 6000\n  fledge prop --diameter 9in --pitch 6in --style thin --rpm 6000",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := v.ready(args...); err != nil {
				return err
			}
			q.Request = v.q
			return v.show(c, &q.Progress, func() (*app.Answer, error) { return app.Prop(cmd.Context(), q) })
		},
	}
	v.flags(cmd, "efficiency over advance ratio")
	f := cmd.Flags()
	f.StringVar(&q.Blade, "blade", "", "`FILE.csv` of the blade's geometry, instead of a build")
	f.StringVar(&q.Pitch, "pitch", "", "`LENGTH` of its nominal pitch, as in 6in, instead of a file")
	f.StringVar(&q.Style, "style", "", "`STYLE` of a blade known by its pitch: sport, thin, slow or folding (default sport)")
	f.StringVar(&q.Diameter, "diameter", "", "`LENGTH` of it, as in 9in (with --blade or --pitch)")
	f.IntVar(&q.Blades, "blades", 2, "how `MANY` blades (with --blade or --pitch)")
	f.StringVar(&q.RPM, "rpm", "", "`RPM`: a list, or from:to:step (a build's: at rest, full throttle)")
	f.StringVar(&q.ZeroThrust, "zero-thrust", "", "measured advance `RATIO` at which it stops pulling (with --blade or --pitch)")
	f.StringVar(&q.Measured, "measured", "", "`FILE.csv` of measured coefficients, preferred to computed ones (with --blade or --pitch)")
	f.StringVar(&q.Advance, "advance", "0:1:0.05", "`FROM:TO:STEP` of the advance ratio")
	return cmd
}
