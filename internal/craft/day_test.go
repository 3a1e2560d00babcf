package craft

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/build"
)

// A report given after the block stands in its place; what the report does not
// tell stays, and what was said with it stands.
func TestReported(t *testing.T) {
	const day = `
day: {wind: 2 m/s, gust: 4 m/s, wind_height: 2 m, off_axis: 10 deg, temperature: 15 degC, pressure: 1013 hPa, height: 100 m, launch_heading: 270 deg, metar: "%s"}
`
	read := func(report string, said map[string]bool) build.Day {
		t.Helper()
		d, ds := build.ParseDay("day.yaml", []byte("fledge: 1\n"+fmt.Sprintf(day, report)))
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		return Reported(&build.Build{Day: d}, said).Day
	}
	full := "METAR LOWI 121120Z 27015KT 9999 FEW040 12/04 Q1018"
	d := read(full, nil)
	for _, v := range []build.Value{d.Wind, d.Gust, d.WindHeight, d.OffAxis, d.Temperature, d.Pressure} {
		if v.Given {
			t.Errorf("stands over the report: %q", v.Text)
		}
	}
	if !d.Height.Given {
		t.Error("the report says nothing of the field's height, yet it is gone")
	}
	// No temperature in it: the block's stays.
	if d := read("METAR XXXX 121350Z AUTO 24004KT 9999 NCD Q1013", nil); !d.Temperature.Given || d.Wind.Given || d.Pressure.Given {
		t.Errorf("temperature kept %v, wind %v, pressure %v", d.Temperature.Given, d.Wind.Given, d.Pressure.Given)
	}
	// A variable wind has no direction to hold against the launch.
	if d := read("METAR XXXX 121350Z AUTO VRB04KT 9999 NCD Q1013", nil); !d.OffAxis.Given {
		t.Error("off_axis is gone, and the report knows no direction")
	}
	if d := read(full, map[string]bool{"wind": true}); math.Abs(d.Wind.Value-2) > 1e-12 || !d.Gust.Given || !d.WindHeight.Given || d.Temperature.Given {
		t.Errorf("wind said with the report: %+v", d.Wind)
	}
	if d := read("fine weather", nil); !d.Wind.Given {
		t.Error("an unreadable report changed the day")
	}
}
