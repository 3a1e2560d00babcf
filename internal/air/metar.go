package air

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Report is what an aerodrome weather report (METAR, WMO FM 15) says about
// the air. Numbers that were not reported or not available are NaN.
type Report struct {
	Station           string // four letters, empty when absent
	Day, Hour, Minute int    // UTC; valid when HasTime
	HasTime           bool
	Auto              bool

	WindFrom     float64 // rad from true north; NaN when calm, variable or missing
	WindSpeed    float64 // m/s, mean of ten minutes at 10 m
	Gust         float64 // m/s; NaN also when none was reported
	Variable     bool    // direction reported as variable (VRB)
	Calm         bool    // reported as calm (00000)
	Above        bool    // speed reported as "more than"
	VaryLo, Vary float64 // direction varied clockwise from VaryLo to Vary, rad; NaN when not reported

	T, Dew float64 // K
	QNH    float64 // Pa
	// Precise: T and Dew come from the tenths in the remarks (T group).
	Precise bool
}

// RH is the relative humidity (0..1; reports round, so it is held at 1) or
// NaN.
func (r *Report) RH() float64 { return math.Min(1, Humidity(r.T, r.Dew)) }

// Fault is something wrong in a report, at a byte offset of its text.
type Fault struct {
	Offset int
	Group  string
	Say    string
}

func (f Fault) Error() string { return fmt.Sprintf("%q: %s", f.Group, f.Say) }

// Units of reports.
const (
	knot      = 0.514444 // m/s
	inchHg    = 3386.389 // Pa
	degree    = math.Pi / 180
	metarMost = 4096 // bytes
)

// ReadMETAR reads one report: the groups of wind, temperature and pressure in
// the body, and the tenths of temperature in the remarks; trend forecasts and
// all other groups are skipped. It never fails whole: what could be read is in
// the report, what was wrong in faults, what was missing is NaN. A text in
// which nothing was found at all is a fault.
func ReadMETAR(text string) (Report, []Fault) {
	nan := math.NaN()
	r := Report{WindFrom: nan, WindSpeed: nan, Gust: nan, VaryLo: nan, Vary: nan, T: nan, Dew: nan, QNH: nan}
	var faults []Fault
	if len(text) > metarMost {
		return r, []Fault{{metarMost, text[metarMost-16 : metarMost], fmt.Sprintf("a report has at most some hundred characters, this text has %d", len(text))}}
	}
	var wind, vary, temp, press, found bool
	part := body
	for _, g := range groups(text) {
		bad := func(say string, args ...any) {
			faults = append(faults, Fault{g.at, g.text, fmt.Sprintf(say, args...)})
		}
		s := g.text
		switch {
		case s == "RMK":
			part = remarks
			continue
		case part != remarks && (s == "NOSIG" || s == "BECMG" || s == "TEMPO" || s == "INTER"):
			part = trend
			continue
		}
		if part == remarks {
			if t, d, ok := tenths(s); ok && !r.Precise {
				if !math.IsNaN(r.T) && math.Abs(t-r.T) > 1.5 {
					bad("the tenths of temperature in the remarks do not belong to the temperature in the report")
					continue
				}
				if t < 180 || t > 335 || d < 180 || d > 335 {
					bad("the tenths in the remarks are not a temperature of the air")
					continue
				}
				if math.IsNaN(d) {
					d = r.Dew
				}
				if d > t+0.5 { // each is rounded on its own
					bad("the dew point is above the temperature in the remarks")
					continue
				}
				r.T, r.Dew, r.Precise, found = t, d, true, true
			}
			continue
		}
		if part == trend {
			continue
		}
		switch {
		case s == "METAR" || s == "SPECI" || s == "COR" || s == "NIL":
		case s == "AUTO":
			r.Auto = true
		case r.Station == "" && !wind && !r.HasTime && len(s) == 4 && letters(s):
			r.Station = s
		case !r.HasTime && len(s) == 7 && s[6] == 'Z' && digits(s[:6]):
			d, h, m := two(s), two(s[2:]), two(s[4:])
			if d < 1 || d > 31 || h > 23 || m > 59 {
				bad("no such day and time (day, hour and minute, UTC)")
				continue
			}
			r.Day, r.Hour, r.Minute, r.HasTime, found = d, h, m, true, true
		case isWind(s):
			if wind {
				continue
			}
			wind, found = true, true
			readWind(s, &r, bad)
		case len(s) == 7 && s[3] == 'V' && digits(s[:3]) && digits(s[4:]):
			if vary {
				continue
			}
			a, b := three(s), three(s[4:])
			if a > 360 || b > 360 {
				bad("directions go from 000 to 360")
				continue
			}
			vary = true
			r.VaryLo, r.Vary = float64(a)*degree, float64(b)*degree
		case isTemperature(s):
			if temp {
				continue
			}
			temp, found = true, true
			i := strings.IndexByte(s, '/')
			if strings.HasPrefix(s, "//") {
				i = 2
			}
			r.T, r.Dew = celsius(s[:i]), celsius(s[i+1:])
			if r.T < 180 || r.T > 335 || r.Dew < 180 || r.Dew > 335 {
				bad("not a temperature of the air")
				r.T, r.Dew = nan, nan
			} else if r.Dew > r.T+0.5 {
				bad("the dew point is above the temperature")
				r.Dew = nan
			}
		case len(s) == 5 && (s[0] == 'Q' || s[0] == 'A') && (digits(s[1:]) || s[1:] == "////"):
			if press {
				continue
			}
			found = true
			if s[1] == '/' {
				continue
			}
			p := float64(two(s[1:])*100+two(s[3:])) * 100
			if s[0] == 'A' {
				p = p / 1e4 * inchHg
			}
			if p < 85000 || p > 110000 {
				bad("%.0f hPa is not a pressure at sea level", p/100)
				continue
			}
			press = true
			r.QNH = p
		}
	}
	if !found {
		end := min(len(text), 16)
		faults = append(faults, Fault{0, text[:end], "no weather report was recognised here: expected something like EGXX 121350Z 27008KT 9999 SCT030 14/08 Q1013"})
	}
	return r, faults
}

const (
	body = iota
	trend
	remarks
)

type group struct {
	text string
	at   int
}

// groups splits at white space up to the end sign "=".
func groups(text string) []group {
	var out []group
	if i := strings.IndexByte(text, '='); i >= 0 {
		text = text[:i]
	}
	for i := 0; i < len(text); {
		if text[i] <= ' ' {
			i++
			continue
		}
		j := i
		for j < len(text) && text[j] > ' ' {
			j++
		}
		out = append(out, group{strings.ToUpper(text[i:j]), i})
		i = j
	}
	return out
}

func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

func letters(s string) bool {
	for i := range len(s) {
		if (s[i] < 'A' || s[i] > 'Z') && (i == 0 || s[i] < '0' || s[i] > '9') {
			return false
		}
	}
	return true
}

func two(s string) int   { return int(s[0]-'0')*10 + int(s[1]-'0') }
func three(s string) int { return two(s)*10 + int(s[2]-'0') }

// windUnit splits the unit off a wind group.
func windUnit(s string) (rest string, unit float64) {
	for _, u := range []struct {
		name string
		size float64
	}{{"KT", knot}, {"MPS", 1}, {"KMH", 1 / 3.6}} {
		if strings.HasSuffix(s, u.name) {
			return s[:len(s)-len(u.name)], u.size
		}
	}
	return "", 0
}

// isWind: dddff, dddfff, VRBff, with P before a speed, G and a gust after it,
// any part as slashes, and a unit.
func isWind(s string) bool {
	s, unit := windUnit(s)
	if unit == 0 || len(s) < 5 || !(digits(s[:3]) || s[:3] == "VRB" || s[:3] == "///") {
		return false
	}
	s = s[3:]
	gust := ""
	if i := strings.IndexByte(s, 'G'); i >= 0 {
		s, gust = s[:i], s[i+1:]
		if !speedText(gust) {
			return false
		}
	}
	return speedText(s)
}

func speedText(s string) bool {
	s = strings.TrimPrefix(s, "P")
	return s == "//" || s == "///" || (len(s) == 2 || len(s) == 3) && digits(s)
}

func readWind(s string, r *Report, bad func(string, ...any)) {
	s, unit := windUnit(s)
	speed := func(s string) (v float64, above bool) {
		t := strings.TrimPrefix(s, "P")
		if t[0] == '/' {
			return math.NaN(), false
		}
		n, _ := strconv.Atoi(t)
		return float64(n) * unit, t != s
	}
	dir, ff, gust, has := s[:3], s[3:], "", false
	if i := strings.IndexByte(ff, 'G'); i >= 0 {
		ff, gust, has = ff[:i], ff[i+1:], true
	}
	r.WindSpeed, r.Above = speed(ff)
	if has {
		r.Gust, _ = speed(gust)
	}
	if r.WindSpeed > 100 || r.Gust > 130 {
		bad("no such wind near the ground")
		r.WindSpeed, r.Gust, r.Above = math.NaN(), math.NaN(), false
		return
	}
	if r.Gust < r.WindSpeed {
		bad("the gust is below the mean wind")
		r.Gust = math.NaN()
	}
	switch {
	case dir == "VRB":
		r.Variable = true
	case dir == "///":
	case dir == "000" && r.WindSpeed == 0 && !has:
		r.Calm = true
	case three(dir) > 360:
		bad("directions go from 000 to 360")
	default:
		r.WindFrom = float64(three(dir)%360) * degree
	}
}

// isTemperature: tt/dd with M for minus, either part as two slashes or the
// second one empty.
func isTemperature(s string) bool {
	cut := strings.IndexByte(s, '/')
	if strings.HasPrefix(s, "//") {
		cut = 2
	}
	if cut < 0 || cut >= len(s) || s[cut] != '/' {
		return false
	}
	ok := func(t string) bool {
		u := strings.TrimPrefix(t, "M")
		return len(u) == 2 && digits(u) || t == "//"
	}
	a, b := s[:cut], s[cut+1:]
	return ok(a) && (ok(b) || b == "" && a != "//")
}

func celsius(s string) float64 {
	if s == "" || s[0] == '/' {
		return math.NaN()
	}
	if s[0] == 'M' {
		return Celsius - float64(two(s[1:]))
	}
	return Celsius + float64(two(s))
}

// tenths reads the remark TsnT'T'T'(snT'dT'dT'd): sign digit and tenths of a
// degree.
func tenths(s string) (t, dew float64, ok bool) {
	if (len(s) != 9 && len(s) != 5) || s[0] != 'T' || !digits(s[1:]) {
		return 0, 0, false
	}
	get := func(s string) (float64, bool) {
		v := float64(three(s[1:])) / 10
		if s[0] == '1' {
			v = -v
		}
		return Celsius + v, s[0] <= '1' && v > -80 && v < 60
	}
	t, ok = get(s[1:5])
	dew = math.NaN()
	if ok && len(s) == 9 {
		dew, ok = get(s[5:9])
	}
	return t, dew, ok
}
