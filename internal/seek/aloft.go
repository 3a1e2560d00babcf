package seek

import (
	"math"

	"fledge/internal/build"
	"fledge/internal/craft"
)

// aloft gives the levers of the flight and of coming home; false when the
// finding is none of these.
func aloft(ac *craft.Aircraft, add func(Lever), finding string) bool {
	f, l := &ac.Flight, &ac.Landing
	const deg = math.Pi / 180
	cruise := func() {
		add(Lever{Path: "flight.cruise", Noun: "cruise", Up: "fly at %s", Down: "fly at %s", Low: 0.6 * f.Cruise, High: f.Cruise, Step: 0.5, Unit: "m/s", Scale: 1, Cost: 1, PerSpan: 2})
	}
	switch finding {
	case "reserve":
		add(Lever{Path: "flight.time", Noun: "time", Down: "land after %s", Low: 0.3 * f.Time, High: f.Time, Step: 15, Unit: "min", Scale: 60, Cost: 1, PerSpan: 2})
		cruise()
		if c := ac.Power.Battery.Charge; c < 1 {
			add(Lever{Path: "power.battery.charge", Noun: "charge", Up: "launch with %s of charge", Low: c, High: 1, Step: 0.01, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 1})
		}
	case "link-margin":
		for i := range ac.Radios {
			r := &ac.Radios[i]
			if r.Missing != "" || r.Use == "telemetry" {
				continue
			}
			path := "radio." + build.PathKey(r.Name)
			add(Lever{Path: path + ".ground_height", Noun: "ground antenna", Up: "hold the ground antenna of " + r.Name + " %s high", Down: "hold the ground antenna of " + r.Name + " %s high", Low: 1, High: 4, Step: 0.1, Unit: "m", Scale: 1, Cost: 2, PerSpan: 3})
			add(Lever{Path: path + ".ground_gain", Noun: "ground antenna", Up: "a ground antenna of %s for " + r.Name, Low: r.GroundGain, High: math.Max(r.GroundGain, 14), Step: 0.5, Unit: "dBi", Scale: 1, Cost: 8, PerSpan: 8})
			add(Lever{Path: path + ".power", Noun: "power", Up: "set " + r.Name + " to %s, where local law allows it", Low: r.Power, High: 40 * r.Power, Step: 0.005, Unit: "mW", Scale: 0.001, Cost: 4, PerSpan: 8})
		}
		if len(ac.Circuit.Legs) == 0 && f.Radius > 0 {
			add(Lever{Path: "flight.radius", Noun: "circuit", Down: "stay within %s", Low: 0.2 * f.Radius, High: f.Radius, Step: 5, Unit: "m", Scale: 1, Cost: 1, PerSpan: 3})
		}
	case "loiter":
		add(Lever{Path: "flight.bank", Noun: "bank", Up: "bank %s in the circle", Down: "bank %s in the circle", Low: f.Bank, High: math.Max(f.Bank, 60*deg), Step: deg, Unit: "deg", Scale: deg, Cost: 1, PerSpan: 2})
		cruise()
		add(Lever{Path: "flight.loiter", Noun: "circle", Up: "set a circle of %s", Low: f.Loiter, High: 10 * f.Loiter, Step: 5, Unit: "m", Scale: 1, Cost: 2, PerSpan: 3})
	case "landing":
		add(Lever{Path: "landing.margin", Noun: "approach margin", Up: "approach at %s of stall speed", Down: "approach at %s of stall speed", Low: 1.2, High: 1.5, Step: 0.01, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 1})
		add(Lever{Path: "landing.length", Noun: "field", Up: "land where there are %s", Low: l.Length, High: 6 * l.Length, Step: 5, Unit: "m", Scale: 1, Cost: 8, PerSpan: 4})
		add(Lever{Path: "trial.mass", Noun: "mass", Down: "shed mass (%s)", Low: -0.25 * ac.Mass.Total, High: 0, Step: 0.005, Unit: "g", Scale: 0.001, Cost: 10, PerSpan: 20})
	case "approach-path":
		add(Lever{Path: "landing.path", Noun: "path", Down: "come down at %s", Low: 0.2 * l.Path, High: l.Path, Step: 0.25 * deg, Unit: "deg", Scale: deg, Cost: 1, PerSpan: 2})
	case "go-round":
		add(Lever{Path: "power.battery.reserve", Noun: "reserve", Up: "keep %s of the charge", Low: ac.Power.Battery.Reserve, High: 0.5, Step: 0.01, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 2})
		add(Lever{Path: "trial.mass", Noun: "mass", Down: "shed mass (%s)", Low: -0.25 * ac.Mass.Total, High: 0, Step: 0.005, Unit: "g", Scale: 0.001, Cost: 10, PerSpan: 20})
	default:
		return false
	}
	return true
}
