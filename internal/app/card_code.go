package app

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fledge/internal/diag"
	"fledge/internal/report"
)

// CardArgs adds what the code of a flight card says to the words of a logbook
// flight: settings, wind, forecast. What is said by hand stands. The note says
// so when the build named is not the one of the card.
func CardArgs(code string, q AddRequest) (args []string, note string, err error) {
	c, bad := report.ParseCardCode(code)
	if bad != nil {
		return nil, "", Bad("card-code", "scan the symbol again, or type all of the line at the card's foot", fmt.Sprintf("--card %s: %v", diag.Quote(code), bad))
	}
	if q.Kind != "flight" {
		return nil, "", Bad("misplaced", "fledge logbook add flight --card CODE", "a card belongs to a flight")
	}
	said := map[string]string{}
	for _, a := range q.Args {
		k, v, _ := strings.Cut(strings.TrimSpace(a), "=")
		said[strings.TrimSpace(k)] = strings.TrimSpace(v)
	}
	add := func(key string, v float64, unit string) {
		if _, ok := said[key]; !ok && !math.IsNaN(v) {
			args = append(args, key+"="+strings.TrimSpace(strconv.FormatFloat(v, 'g', 8, 64)+" "+unit))
		}
	}
	const deg = math.Pi / 180
	if _, ok := said["launch_by"]; !ok && c.By != "" {
		args = append(args, "launch_by="+c.By)
	}
	add("stretch", c.Stretch, "m")
	add("stick_pitch", c.Stick*100, "%")
	add("nose_up", c.NoseUp/deg, "deg")
	add("motor_delay", c.MotorDelay, "s")
	add("wind", c.Wind, "m/s")
	add("gust", c.Gust, "m/s")
	add("off_axis", c.OffAxis/deg, "deg")
	add("forecast_odds", c.Odds*100, "%")
	add("forecast_odds_low", c.Low*100, "%")
	add("forecast_odds_high", c.High*100, "%")
	add("forecast_speed", c.Top, "m/s")
	add("forecast_speed_low", c.TopL, "m/s")
	add("forecast_speed_high", c.TopH, "m/s")
	if _, ok := said["forecast_by"]; !ok {
		args = append(args, fmt.Sprintf("forecast_by=%s, seed %d", c.Hash, c.Seed))
	}
	if path := said["build"]; path != "" {
		if o, err := Open(Request{Path: strings.Trim(path, `"`), Sets: q.Sets}); err == nil && o.Aircraft.Hash != c.Hash {
			note = fmt.Sprintf("the card was made of build %s, %s is %s now: the settings kept are the card's", c.Hash, path, o.Aircraft.Hash)
		}
	}
	return append(args, q.Args...), note, nil
}
