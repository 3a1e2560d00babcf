package craft

import (
	"math"

	"fledge/internal/air"
	"fledge/internal/build"
)

// Reported returns a copy of the build in which the weather report of its day
// stands in place of what the day says itself: for a report that came later
// than the block, by a flag or with a day file. What the report is silent on
// stays, and so do the keys in given, which were said with the report. A wind
// takes its gust and its height along: no gust of another day goes with it. A
// report that cannot be read changes nothing; [New] says so.
func Reported(b *build.Build, given map[string]bool) *build.Build {
	d := &b.Day
	if !d.METAR.Given {
		return b
	}
	rep, faults := air.ReadMETAR(d.METAR.S)
	if len(faults) > 0 {
		return b
	}
	out := *b
	open := func(key string, v *build.Value, told float64) {
		if !given[key] && !math.IsNaN(told) {
			*v = build.Value{}
		}
	}
	open("wind", &out.Day.Wind, rep.WindSpeed)
	if !given["wind"] {
		open("wind_height", &out.Day.WindHeight, rep.WindSpeed)
		open("gust", &out.Day.Gust, rep.WindSpeed)
	}
	open("temperature", &out.Day.Temperature, rep.T)
	open("pressure", &out.Day.Pressure, rep.QNH)
	open("humidity", &out.Day.Humidity, rep.RH())
	if d.Launch.Given {
		open("off_axis", &out.Day.OffAxis, rep.WindFrom)
	}
	return &out
}
