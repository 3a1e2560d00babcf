package track

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fledge/internal/diag"
)

// Channel is what a CSV column holds.
type Channel string

// The channels, and beside them the SI unit they are kept in.
const (
	ChTime     Channel = "time"     // s
	ChDate     Channel = "date"     // day, beside a time of day
	ChLat      Channel = "latitude" // rad
	ChLon      Channel = "longitude"
	ChNS       Channel = "north or south" // the letter of the latitude
	ChEW       Channel = "east or west"
	ChPlace    Channel = "latitude and longitude" // both in one cell
	ChEast     Channel = "east"                   // m of some origin
	ChNorth    Channel = "north"
	ChHeight   Channel = "height"          // m
	ChPressure Channel = "pressure height" // m
	ChSpeed    Channel = "ground speed"    // m/s
	ChCourse   Channel = "course"          // rad
	ChVelE     Channel = "speed east"
	ChVelN     Channel = "speed north"
	ChClimb    Channel = "climb rate" // m/s up
	ChSink     Channel = "speed down" // m/s down
	ChAirspeed Channel = "airspeed"
	ChThrottle Channel = "throttle" // 0..1
	ChVolts    Channel = "voltage"
	ChAmps     Channel = "current"
	ChCharge   Channel = "charge used" // A s
	ChRPM      Channel = "shaft speed" // rad/s
	ChRoll     Channel = "roll"
	ChPitch    Channel = "pitch"
	ChHeading  Channel = "heading"
	ChHDOP     Channel = "dilution of precision"
	ChSats     Channel = "satellites"
	ChNone     Channel = ""
)

// Channels lists the channels a column map may name.
func Channels() []Channel {
	return []Channel{ChTime, ChDate, ChLat, ChLon, ChNS, ChEW, ChPlace, ChEast, ChNorth, ChHeight, ChPressure, ChSpeed, ChCourse, ChVelE, ChVelN, ChClimb, ChSink,
		ChAirspeed, ChThrottle, ChVolts, ChAmps, ChCharge, ChRPM, ChRoll, ChPitch, ChHeading, ChHDOP, ChSats, ChNone}
}

// Column is one mapped column: SI value = number × Factor + Offset.
type Column struct {
	Index   int     `json:"index"`
	Name    string  `json:"name"`
	Channel Channel `json:"channel"`
	Unit    string  `json:"unit,omitempty"`
	Factor  float64 `json:"factor"`
	Offset  float64 `json:"offset,omitempty"`
	Because string  `json:"because"`
}

// ColumnMap is how a CSV file is read. It may be shown, saved as JSON and
// given back in Options.
type ColumnMap struct {
	Delimiter    string   `json:"delimiter"`
	DecimalComma bool     `json:"decimal_comma,omitempty"`
	HeaderLines  int      `json:"header_lines"` // records before the first data row
	TimeForm     string   `json:"time_form"`    // "seconds", "clock", "date and clock", "unix"
	Columns      []Column `json:"columns"`
	Unused       []string `json:"unused,omitempty"`
}

// Of returns the column of a channel.
func (m *ColumnMap) Of(c Channel) (Column, bool) {
	if m != nil {
		for _, k := range m.Columns {
			if k.Channel == c {
				return k, true
			}
		}
	}
	return Column{}, false
}

type kindOf uint8

const (
	kTime kindOf = iota
	kAngle
	kLength
	kSpeed
	kShare
	kVolt
	kAmp
	kCharge
	kTurn
	kPlain
)

var chKind = map[Channel]kindOf{ChTime: kTime, ChLat: kAngle, ChLon: kAngle, ChEast: kLength, ChNorth: kLength, ChHeight: kLength,
	ChPressure: kLength, ChSpeed: kSpeed, ChCourse: kAngle, ChVelE: kSpeed, ChVelN: kSpeed, ChClimb: kSpeed, ChSink: kSpeed, ChAirspeed: kSpeed,
	ChThrottle: kShare, ChVolts: kVolt, ChAmps: kAmp, ChCharge: kCharge, ChRPM: kTurn, ChRoll: kAngle, ChPitch: kAngle, ChHeading: kAngle,
	ChHDOP: kPlain, ChSats: kPlain}

const degree = math.Pi / 180

// csvUnits: spelling → (kind, factor to SI).
var csvUnits = map[string]struct {
	k kindOf
	f float64
}{
	"s": {kTime, 1}, "sec": {kTime, 1}, "secs": {kTime, 1}, "seconds": {kTime, 1}, "ms": {kTime, 1e-3}, "msec": {kTime, 1e-3}, "us": {kTime, 1e-6}, "µs": {kTime, 1e-6}, "usec": {kTime, 1e-6}, "ns": {kTime, 1e-9}, "min": {kTime, 60}, "h": {kTime, 3600},
	"deg": {kAngle, degree}, "°": {kAngle, degree}, "degrees": {kAngle, degree}, "rad": {kAngle, 1}, "dege7": {kAngle, degree * 1e-7}, "1e7deg": {kAngle, degree * 1e-7}, "dege-7": {kAngle, degree * 1e-7}, "cdeg": {kAngle, degree / 100}, "centideg": {kAngle, degree / 100},
	"m": {kLength, 1}, "metres": {kLength, 1}, "meters": {kLength, 1}, "cm": {kLength, 0.01}, "mm": {kLength, 1e-3}, "ft": {kLength, 0.3048}, "feet": {kLength, 0.3048}, "km": {kLength, 1000}, "dm": {kLength, 0.1},
	"m/s": {kSpeed, 1}, "ms-1": {kSpeed, 1}, "mps": {kSpeed, 1}, "km/h": {kSpeed, 1 / 3.6}, "kmh": {kSpeed, 1 / 3.6}, "kph": {kSpeed, 1 / 3.6}, "mph": {kSpeed, 0.44704}, "kn": {kSpeed, knot}, "kt": {kSpeed, knot}, "kts": {kSpeed, knot}, "knots": {kSpeed, knot}, "knot": {kSpeed, knot}, "cm/s": {kSpeed, 0.01}, "mm/s": {kSpeed, 1e-3}, "ft/s": {kSpeed, 0.3048}, "fps": {kSpeed, 0.3048}, "ft/min": {kSpeed, 0.3048 / 60}, "fpm": {kSpeed, 0.3048 / 60},
	"%": {kShare, 0.01}, "percent": {kShare, 0.01}, "pct": {kShare, 0.01},
	"v": {kVolt, 1}, "mv": {kVolt, 1e-3}, "volts": {kVolt, 1}, "volt": {kVolt, 1}, "a": {kAmp, 1}, "ma": {kAmp, 1e-3}, "amps": {kAmp, 1}, "ca": {kAmp, 0.01}, "mah": {kCharge, 3.6}, "ah": {kCharge, 3600}, "as": {kCharge, 1},
	"rpm": {kTurn, math.Pi / 30}, "1/min": {kTurn, math.Pi / 30}, "r/min": {kTurn, math.Pi / 30}, "hz": {kTurn, 2 * math.Pi}, "rps": {kTurn, 2 * math.Pi}, "rad/s": {kTurn, 1},
}

// nameRules are tried in order on the words of a column's name; the first
// whose words are all present decides.
var nameRules = []struct {
	all  []string
	none []string
	ch   Channel
}{
	{[]string{"lat"}, nil, ChLat}, {[]string{"latitude"}, nil, ChLat},
	{[]string{"lon"}, nil, ChLon}, {[]string{"lng"}, nil, ChLon}, {[]string{"long"}, nil, ChLon}, {[]string{"longitude"}, nil, ChLon},
	{[]string{"pressure", "altitude"}, nil, ChPressure}, {[]string{"pressure", "height"}, nil, ChPressure}, {[]string{"baro", "alt"}, nil, ChPressure}, {[]string{"baro", "altitude"}, nil, ChPressure}, {[]string{"baro", "height"}, nil, ChPressure},
	{[]string{"ve"}, nil, ChVelE}, {[]string{"vel", "e"}, nil, ChVelE}, {[]string{"velocity", "east"}, nil, ChVelE}, {[]string{"speed", "east"}, nil, ChVelE}, {[]string{"v", "east"}, nil, ChVelE}, {[]string{"vel", "east"}, nil, ChVelE}, {[]string{"v", "e"}, nil, ChVelE},
	{[]string{"vn"}, nil, ChVelN}, {[]string{"vel", "n"}, nil, ChVelN}, {[]string{"velocity", "north"}, nil, ChVelN}, {[]string{"speed", "north"}, nil, ChVelN}, {[]string{"v", "north"}, nil, ChVelN}, {[]string{"vel", "north"}, nil, ChVelN}, {[]string{"v", "n"}, nil, ChVelN},
	{[]string{"vd"}, nil, ChSink}, {[]string{"vel", "d"}, nil, ChSink}, {[]string{"velocity", "down"}, nil, ChSink}, {[]string{"v", "down"}, nil, ChSink}, {[]string{"vel", "down"}, nil, ChSink},
	{[]string{"vu"}, nil, ChClimb}, {[]string{"vz"}, nil, ChClimb}, {[]string{"v", "up"}, nil, ChClimb}, {[]string{"vel", "up"}, nil, ChClimb}, {[]string{"climb"}, nil, ChClimb}, {[]string{"vario"}, nil, ChClimb}, {[]string{"vertical"}, nil, ChClimb}, {[]string{"vspeed"}, nil, ChClimb}, {[]string{"vspd"}, nil, ChClimb}, {[]string{"roc"}, nil, ChClimb},
	{[]string{"airspeed"}, nil, ChAirspeed}, {[]string{"air", "speed"}, nil, ChAirspeed}, {[]string{"tas"}, nil, ChAirspeed}, {[]string{"ias"}, nil, ChAirspeed}, {[]string{"aspd"}, nil, ChAirspeed}, {[]string{"pitot"}, nil, ChAirspeed},
	{[]string{"motor", "speed"}, nil, ChRPM}, {[]string{"rpm"}, nil, ChRPM}, {[]string{"revs"}, nil, ChRPM},
	{[]string{"wind"}, nil, ChNone},
	{[]string{"speed"}, []string{"accuracy", "acc", "sd", "err", "error", "vertical", "setpoint"}, ChSpeed}, {[]string{"gspd"}, nil, ChSpeed}, {[]string{"spd"}, nil, ChSpeed}, {[]string{"sog"}, nil, ChSpeed}, {[]string{"groundspeed"}, nil, ChSpeed}, {[]string{"gs"}, nil, ChSpeed}, {[]string{"vel"}, []string{"x", "y", "z", "acc"}, ChSpeed}, {[]string{"vg"}, nil, ChSpeed}, {[]string{"velocity"}, []string{"x", "y", "z"}, ChSpeed},
	{[]string{"course"}, nil, ChCourse}, {[]string{"cog"}, nil, ChCourse}, {[]string{"track"}, nil, ChCourse}, {[]string{"bearing"}, nil, ChCourse}, {[]string{"gps", "heading"}, nil, ChCourse}, {[]string{"gps", "hdg"}, nil, ChCourse},
	{[]string{"heading"}, nil, ChHeading}, {[]string{"hdg"}, nil, ChHeading}, {[]string{"yaw"}, nil, ChHeading},
	{[]string{"alt"}, nil, ChHeight}, {[]string{"altitude"}, nil, ChHeight}, {[]string{"height"}, nil, ChHeight}, {[]string{"elevation"}, nil, ChHeight}, {[]string{"ele"}, nil, ChHeight}, {[]string{"hmsl"}, nil, ChHeight}, {[]string{"galt"}, nil, ChHeight}, {[]string{"hgt"}, nil, ChHeight}, {[]string{"agl"}, nil, ChHeight}, {[]string{"msl"}, nil, ChHeight},
	{[]string{"throttle"}, nil, ChThrottle}, {[]string{"thr"}, nil, ChThrottle}, {[]string{"thrust", "cmd"}, nil, ChThrottle},
	{[]string{"volts"}, []string{"cell", "rx"}, ChVolts}, {[]string{"volt"}, []string{"cell", "rx"}, ChVolts}, {[]string{"voltage"}, []string{"cell", "rx"}, ChVolts}, {[]string{"vbat"}, nil, ChVolts}, {[]string{"vfas"}, nil, ChVolts}, {[]string{"batt", "v"}, nil, ChVolts}, {[]string{"battery", "v"}, nil, ChVolts},
	{[]string{"current"}, nil, ChAmps}, {[]string{"curr"}, nil, ChAmps}, {[]string{"amps"}, nil, ChAmps}, {[]string{"amp"}, nil, ChAmps},
	{[]string{"capacity"}, nil, ChCharge}, {[]string{"capa"}, nil, ChCharge}, {[]string{"consumption"}, nil, ChCharge}, {[]string{"consumed"}, nil, ChCharge}, {[]string{"charge"}, nil, ChCharge}, {[]string{"mah"}, nil, ChCharge}, {[]string{"fuel"}, []string{"%"}, ChNone},
	{[]string{"roll"}, nil, ChRoll}, {[]string{"bank"}, nil, ChRoll}, {[]string{"pitch"}, nil, ChPitch},
	{[]string{"hdop"}, nil, ChHDOP}, {[]string{"sats"}, nil, ChSats}, {[]string{"sat"}, nil, ChSats}, {[]string{"satellites"}, nil, ChSats}, {[]string{"numsv"}, nil, ChSats}, {[]string{"nsat"}, nil, ChSats},
	{[]string{"date"}, []string{"time"}, ChDate}, {[]string{"day"}, nil, ChDate},
	{[]string{"time"}, []string{"date", "delay", "of"}, ChTime}, {[]string{"timestamp"}, nil, ChTime}, {[]string{"t"}, nil, ChTime}, {[]string{"date", "time"}, nil, ChTime}, {[]string{"datetime"}, nil, ChTime}, {[]string{"utc"}, nil, ChTime}, {[]string{"elapsed"}, nil, ChTime}, {[]string{"time", "of"}, nil, ChTime},
	{[]string{"east"}, nil, ChEast}, {[]string{"easting"}, nil, ChEast}, {[]string{"e"}, nil, ChEast}, {[]string{"x"}, nil, ChEast},
	{[]string{"north"}, nil, ChNorth}, {[]string{"northing"}, nil, ChNorth}, {[]string{"n"}, nil, ChNorth}, {[]string{"y"}, nil, ChNorth},
	{[]string{"up"}, nil, ChHeight}, {[]string{"u"}, nil, ChHeight}, {[]string{"h"}, nil, ChHeight}, {[]string{"z"}, nil, ChHeight},
	{[]string{"gps"}, []string{"status", "fix", "state", "week"}, ChPlace},
}

// plainLetters takes the marks off letters of European languages.
var plainLetters = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "ae", "Ö", "oe", "Ü", "ue", "ß", "ss", "é", "e", "è", "e", "ê", "e", "à", "a", "â", "a", "ô", "o", "ó", "o", "í", "i", "ú", "u", "ñ", "n", "ç", "c")

// translated maps words of other languages to those of the rules.
var translated = map[string]string{
	"zeit": "time", "datum": "date", "breite": "latitude", "breitengrad": "latitude", "laenge": "longitude", "laengengrad": "longitude", "hoehe": "height", "geschwindigkeit": "speed", "kurs": "course", "spannung": "voltage", "strom": "current", "drehzahl": "rpm", "steigen": "climb",
	"temps": "time", "heure": "time", "vitesse": "speed", "cap": "course", "hauteur": "height", "tension": "voltage", "courant": "current",
	"tiempo": "time", "hora": "time", "fecha": "date", "latitud": "latitude", "longitud": "longitude", "altitud": "altitude", "altura": "height", "velocidad": "speed", "rumbo": "course", "corriente": "current",
	"tempo": "time", "data": "date", "latitudine": "latitude", "longitudine": "longitude", "quota": "altitude", "velocita": "speed", "rotta": "course", "tensione": "voltage", "corrente": "current",
	"tijd": "time", "snelheid": "speed", "hoogte": "height", "koers": "course", "breedtegraad": "latitude", "lengtegraad": "longitude",
}

// splitName parts a column name into lower-case words and a unit, if one is
// there: "Alt(m)", "ground speed [km/h]", "volts_V", "groundSpeedKmh".
func splitName(name string) (words []string, unit string) {
	s := strings.TrimSpace(name)
	if i := strings.LastIndexAny(s, "([{"); i >= 0 {
		if j := strings.IndexAny(s[i:], ")]}"); j > 0 {
			u := strings.ToLower(strings.TrimSpace(s[i+1 : i+j]))
			u = strings.NewReplacer("²", "2", "@", "", " ", "").Replace(u)
			if _, ok := csvUnits[u]; ok {
				unit = u
			}
			s = s[:i] + " " + s[i+j+1:]
		}
	}
	s = plainLetters.Replace(s)
	// words: letters together, split at case changes and signs
	var b strings.Builder
	prev := rune(0)
	for _, c := range s {
		switch {
		case c >= 'A' && c <= 'Z':
			if prev >= 'a' && prev <= 'z' {
				b.WriteByte(' ')
			}
			b.WriteRune(c + 'a' - 'A')
		case c >= 'a' && c <= 'z' || c == '%' || c == '/' || c == 'µ' || c == '°':
			b.WriteRune(c)
		case c >= '0' && c <= '9':
			if prev == '/' || prev >= '0' && prev <= '9' {
				b.WriteByte(' ')
			}
		default:
			b.WriteByte(' ')
		}
		prev = c
	}
	words = strings.Fields(b.String())
	for i, w := range words {
		if e, ok := translated[w]; ok {
			words[i] = e
		}
	}
	if unit == "" && len(words) > 1 {
		for n := 2; n >= 1; n-- {
			if len(words) <= n {
				continue
			}
			tail := strings.Join(words[len(words)-n:], "")
			try := tail
			if n == 2 {
				try = words[len(words)-2] + "/" + words[len(words)-1] // speed_m_s
			}
			if _, ok := csvUnits[try]; ok {
				unit, words = try, words[:len(words)-n]
				break
			}
		}
	}
	if unit == "" && len(words) == 1 {
		switch words[0] {
		case "rpm":
			unit = "rpm"
		case "mah":
			unit = "mah"
		case "amps":
			unit = "a"
		}
	}
	return words, unit
}

func channelOf(words []string, unit string) (Channel, string) {
	has := func(list []string) bool {
		for _, w := range list {
			if !slices.Contains(words, w) {
				return false
			}
		}
		return true
	}
	for _, r := range nameRules {
		if !has(r.all) {
			continue
		}
		if slices.ContainsFunc(r.none, func(w string) bool { return slices.Contains(words, w) }) {
			continue
		}
		ch := r.ch
		if unit != "" && ch != ChNone && ch != ChDate && ch != ChPlace {
			if k, ok := chKind[ch]; ok && csvUnits[unit].k != k {
				// "speed [rpm]" is a shaft; "t [°C]" is nothing we keep
				switch csvUnits[unit].k {
				case kTurn:
					ch = ChRPM
				case kSpeed:
					if ch == ChHeading || ch == ChTime || ch == ChVolts || ch == ChThrottle {
						continue
					}
					switch ch {
					case ChEast:
						ch = ChVelE
					case ChNorth:
						ch = ChVelN
					case ChHeight:
						ch = ChClimb
					}
				case kAmp:
					ch = ChAmps
				case kVolt:
					ch = ChVolts
				case kCharge:
					ch = ChCharge
				default:
					continue
				}
			}
		}
		return ch, strings.Join(r.all, " ")
	}
	if unit != "" && csvUnits[unit].k == kSpeed && len(words) == 1 && words[0] == "v" {
		return ChSpeed, "v, in a unit of speed"
	}
	switch csvUnits[unit].k {
	case kVolt:
		if unit != "" && len(words) <= 1 {
			return ChVolts, "its unit"
		}
	case kAmp:
		if unit != "" {
			return ChAmps, "its unit"
		}
	}
	return ChNone, ""
}

// cell parses a number with the file's decimal sign.
func cell(s string, comma bool) float64 {
	s = strings.TrimSpace(s)
	if comma {
		s = strings.Replace(s, ",", ".", 1)
	}
	return number([]byte(s))
}

// place parses a number, or degrees with a letter of the compass before or
// behind, perhaps with minutes and seconds: "N48.1372", "48°08'14\"N".
func place(s string, comma bool) float64 {
	if v := cell(s, comma); known(v) {
		return v
	}
	s = strings.ToUpper(strings.TrimSpace(s))
	if len(s) < 3 || len(s) > 40 {
		return nan
	}
	sign := 1.0
	letter := func(c byte) bool {
		switch c {
		case 'S', 'W':
			sign = -1
			return true
		case 'N', 'E':
			return true
		}
		return false
	}
	switch {
	case letter(s[0]):
		s = s[1:]
	case letter(s[len(s)-1]):
		s = s[:len(s)-1]
	case !strings.Contains(s, "°"):
		return nan
	}
	parts := strings.FieldsFunc(s, func(c rune) bool { return strings.ContainsRune("°º'’′\"”″ ", c) })
	if len(parts) < 1 || len(parts) > 3 {
		return nan
	}
	v, unit := 0.0, 1.0
	for i, p := range parts {
		x := cell(p, comma)
		if !known(x) || i > 0 && !(x >= 0 && x < 60) {
			return nan
		}
		if x < 0 {
			sign, x = -sign, -x
		}
		v, unit = v+x*unit, unit/60
	}
	return sign * v
}

// readCSV reads a table of samples, one a line, in the manner of RFC 4180.
func readCSV(br *bufio.Reader, g *gather) error {
	l := g.log
	head, _ := br.Peek(32 << 10)
	delim, comma := delimiter(head)
	if g.opt.Columns != nil && len(g.opt.Columns.Delimiter) == 1 {
		delim, comma = rune(g.opt.Columns.Delimiter[0]), g.opt.Columns.DecimalComma
	}
	var (
		sample [][]string
		lines  []int
		enough = 400 // rows of the sample
		fields []string
		r      *rows
		fail   error
		quotes int

		sampled int // bytes
	)
	settle := func() {
		if r != nil || fail != nil {
			return
		}
		if len(sample) == 0 {
			fail = errors.New("the file holds no rows")
			return
		}
		m := g.opt.Columns
		if m == nil {
			m = guess(sample, delim, comma)
		}
		l.Columns = m
		if r, fail = newRows(m, g); fail != nil {
			return
		}
		now := g.line
		for i, rec := range sample {
			if i >= m.HeaderLines {
				g.line = lines[i]
				r.take(rec)
			}
		}
		g.line, sample = now, nil
	}
	record := func(rec []string) {
		if fail != nil {
			return
		}
		if len(rec) > 2000 {
			l.drop(Torn, g.line, "")
			return
		}
		if r == nil {
			sample, lines = append(sample, slices.Clone(rec)), append(lines, g.line)
			for _, c := range rec {
				sampled += len(c) + 16
			}
			if len(sample) >= enough {
				// units are told by sizes: wait for the aeroplane to move
				if enough *= 2; enough > mostRows || g.opt.Columns != nil || sampled > mostSample || lively(guess(sample, delim, comma), sample, comma) {
					settle()
				}
			}
			return
		}
		r.take(rec)
	}
	// a quoted field may hold line breaks: lines wait until the quote closes
	var open []string
	var openAt int
	var line func(s string)
	line = func(s string) {
		if len(open) > 0 {
			open = append(open, s)
			var ok bool
			if fields, ok = splitRecord(strings.Join(open, "\n"), delim, fields); ok {
				open = nil
				record(fields)
				return
			}
			if len(open) < 20 {
				return
			}
			rest := open[1:]
			l.drop(Torn, openAt, open[0])
			if quotes++; quotes <= 5 {
				l.note(diag.Warning, "csv-quote", openAt, "a quote is opened and not closed", "inside a quoted field a quote is doubled")
			}
			open = nil
			for _, s := range rest {
				if strings.IndexByte(s, '"') < 0 {
					line(s)
				} else {
					l.drop(Torn, openAt+1, s)
				}
			}
			return
		}
		if s == "" || s[0] == '#' {
			return
		}
		var ok bool
		if fields, ok = splitRecord(s, delim, fields); ok {
			record(fields)
			return
		}
		open, openAt = []string{s}, g.line
	}
	err := g.lines(br, func(b []byte) { line(string(b)) })
	if len(open) > 0 {
		l.drop(Torn, openAt, open[0])
		l.note(diag.Warning, "csv-quote", openAt, "a quote is opened and not closed before the file ends", "inside a quoted field a quote is doubled")
		rest := open[1:]
		open = nil
		for _, s := range rest {
			if strings.IndexByte(s, '"') < 0 {
				line(s)
			} else {
				l.drop(Torn, openAt+1, s)
			}
		}
	}
	settle()
	if fail != nil {
		return fail
	}
	r.end()
	return err
}

// mostSample bounds the rows held back to guess their columns, bytes.
const mostSample = 16 << 20

// mostRows is when the guess must do, moved or not: an hour at 7 Hz.
const mostRows = 25_600

// lively reports whether the sample shows the aeroplane move, so that sizes
// tell units: by position when there is one, else by speed or current.
func lively(m *ColumnMap, sample [][]string, comma bool) bool {
	spread := func(ch Channel) (float64, bool) {
		c, ok := m.Of(ch)
		if !ok {
			return 0, false
		}
		var v []float64
		for _, r := range sample[min(m.HeaderLines, len(sample)):] {
			if c.Index >= len(r) {
				continue
			}
			x := place(r[c.Index], comma)
			if ch == ChPlace {
				x, _, _ = pair(r[c.Index])
			}
			if known(x) && x != 0 {
				v = append(v, x*c.Factor)
			}
		}
		if len(v) < 20 {
			return 0, true
		}
		slices.Sort(v)
		return v[len(v)*9/10] - v[len(v)/10], true
	}
	placed := false
	for _, k := range []struct {
		ch  Channel
		far float64
	}{{ChLat, 50 / 6.4e6}, {ChLon, 50 / 6.4e6}, {ChPlace, 50 / 1.1e5}, {ChEast, 50}, {ChNorth, 50}} {
		d, ok := spread(k.ch)
		placed = placed || ok
		if d > k.far {
			return true
		}
	}
	if placed {
		return false
	}
	for _, ch := range []Channel{ChSpeed, ChAirspeed, ChVelE, ChVelN, ChAmps, ChHeight} {
		if d, _ := spread(ch); d > 5 {
			return true
		}
	}
	return false
}

// splitRecord parts a record into fields (RFC 4180: quotes doubled inside
// quotes); false when a quote is left open. With a space between the fields,
// several count as one.
func splitRecord(s string, delim rune, buf []string) ([]string, bool) {
	buf = buf[:0]
	d := byte(delim)
	for {
		if d == ' ' {
			s = strings.TrimLeft(s, " ")
		}
		if t := strings.TrimLeft(s, " "); len(t) > 0 && t[0] == '"' {
			t = t[1:]
			var b strings.Builder
			for {
				k := strings.IndexByte(t, '"')
				if k < 0 {
					return buf, false
				}
				b.WriteString(t[:k])
				t = t[k+1:]
				if len(t) == 0 || t[0] != '"' {
					break
				}
				b.WriteByte('"')
				t = t[1:]
			}
			buf = append(buf, b.String())
			k := strings.IndexByte(t, d)
			if k < 0 {
				return buf, true
			}
			s = t[k+1:]
			continue
		}
		k := strings.IndexByte(s, d)
		if k < 0 {
			if d != ' ' || s != "" {
				buf = append(buf, s)
			}
			return buf, true
		}
		buf = append(buf, s[:k])
		s = s[k+1:]
	}
}

// delimiter finds the sign that parts the most lines alike, and whether
// numbers have decimal commas.
func delimiter(head []byte) (rune, bool) {
	lines := bytes.Split(head, []byte("\n"))
	if len(lines) > 1 {
		lines = lines[:len(lines)-1]
	}
	if len(lines) > 40 {
		lines = lines[:40]
	}
	best, score := ',', -1.0
	for _, d := range []rune{',', ';', '\t', '|', ' '} {
		counts := map[int]int{}
		for _, ln := range lines {
			ln = bytes.TrimSpace(ln)
			if len(ln) == 0 || ln[0] == '#' {
				continue
			}
			n := 0
			quoted := false
			for _, c := range string(ln) {
				if c == '"' {
					quoted = !quoted
				} else if c == d && !quoted {
					n++
				}
			}
			counts[n]++
		}
		for n, k := range counts {
			s := float64(k) * math.Min(float64(n), 3)
			if d == ' ' {
				s *= 0.3
			}
			if d == ';' || d == '\t' {
				s *= 1.5 // a comma beside it is then a decimal sign
			}
			if n > 0 && s > score {
				best, score = d, s
			}
		}
	}
	comma := false
	if best == ',' { // decimal commas can only stand inside quotes
		dots, commas := 0, 0
		for _, ln := range lines {
			f, ok := splitRecord(string(bytes.TrimRight(ln, "\r")), ',', nil)
			if !ok {
				continue
			}
			for _, c := range f {
				switch {
				case strings.Count(c, ",") == 1 && known(cell(c, true)):
					commas++
				case strings.Count(c, ".") == 1 && known(cell(c, false)):
					dots++
				}
			}
		}
		comma = commas > dots
	}
	if best != ',' {
		dots, commas := 0, 0
		for _, ln := range lines {
			for i := 1; i+1 < len(ln); i++ {
				if ln[i-1] >= '0' && ln[i-1] <= '9' && ln[i+1] >= '0' && ln[i+1] <= '9' {
					switch ln[i] {
					case '.':
						dots++
					case ',':
						commas++
					}
				}
			}
		}
		comma = commas > dots
	}
	return best, comma
}

// guess builds a column map from names and contents.
func guess(sample [][]string, delim rune, comma bool) *ColumnMap {
	m := &ColumnMap{Delimiter: string(delim), DecimalComma: comma, TimeForm: "seconds"}
	numeric := func(rec []string) float64 {
		n, k := 0, 0
		for _, c := range rec {
			c = strings.TrimSpace(c)
			if c == "" {
				continue
			}
			k++
			if known(place(c, comma)) {
				n++
			} else if _, _, ok := clockCell(c); ok {
				n++
			} else if _, _, ok := pair(c); ok {
				n++
			}
		}
		if k == 0 {
			return 0
		}
		return float64(n) / float64(k)
	}
	header := -1
	for i := 0; i < len(sample) && i < 30; i++ {
		if numeric(sample[i]) >= 0.6 {
			m.HeaderLines = i
			break
		}
		if header < 0 || len(sample[i]) >= len(sample[header]) {
			header = i
		}
		m.HeaderLines = i + 1
	}
	if header >= m.HeaderLines {
		header = -1
	}
	data := sample[min(m.HeaderLines, len(sample)):]
	width := 0
	for _, r := range data {
		width = max(width, len(r))
	}
	units := -1 // a row of units under the names
	if header >= 0 && m.HeaderLines-1 > header {
		units = m.HeaderLines - 1
	}
	// a units row may come last while the names' row is as long: prefer the first
	if header > 0 && len(sample[header-1]) == len(sample[header]) {
		nUnits := 0
		for _, c := range sample[header] {
			if _, ok := csvUnits[strings.ToLower(strings.Trim(strings.TrimSpace(c), "[]()"))]; ok {
				nUnits++
			}
		}
		if nUnits*2 >= len(sample[header]) {
			header, units = header-1, header
		}
	}
	col := func(j int) []float64 {
		out := make([]float64, 0, len(data))
		for _, r := range data {
			if j < len(r) {
				if v := place(r[j], comma); known(v) {
					out = append(out, v)
				}
			}
		}
		return out
	}
	used := map[Channel]int{}
	take := func(j int, ch Channel, unit, why, name string) {
		m.Columns = append(m.Columns, Column{Index: j, Name: name, Channel: ch, Unit: unit, Because: why})
		used[ch] = j + 1
	}
	mapped := make([]bool, width)
	if header >= 0 {
		for j := 0; j < width && j < len(sample[header]); j++ {
			name := strings.TrimSpace(sample[header][j])
			words, unit := splitName(name)
			if units >= 0 && j < len(sample[units]) && unit == "" {
				u := strings.ToLower(strings.Trim(strings.TrimSpace(sample[units][j]), "[]()"))
				if _, ok := csvUnits[u]; ok {
					unit = u
				}
			}
			ch, why := channelOf(words, unit)
			if ch == ChNone || (ch != ChPlace && len(col(j)) == 0 && ch != ChTime && ch != ChDate) {
				continue
			}
			if ch == ChPlace {
				ok := 0
				for _, r := range data {
					if j < len(r) {
						if _, _, good := pair(r[j]); good {
							ok++
						}
					}
				}
				if ok*2 < len(data) {
					continue
				}
			}
			if used[ch] > 0 {
				// the second column of a kind: a satellite one beats another
				old := slices.IndexFunc(m.Columns, func(c Column) bool { return c.Channel == ch })
				oldWords, _ := splitName(m.Columns[old].Name)
				if (ch == ChSpeed || ch == ChHeight || ch == ChTime) && slices.Contains(words, "gps") && !slices.Contains(oldWords, "gps") && len(col(j)) > 0 {
					mapped[m.Columns[old].Index] = false
					m.Columns = slices.Delete(m.Columns, old, old+1)
				} else {
					continue
				}
			}
			take(j, ch, unit, "named so ("+why+")", name)
			mapped[j] = true
		}
	}
	name := func(j int) string {
		if header >= 0 && j < len(sample[header]) && strings.TrimSpace(sample[header][j]) != "" {
			return strings.TrimSpace(sample[header][j])
		}
		return fmt.Sprintf("column %d", j+1)
	}
	// by contents: time rises; a latitude and a longitude stay within a degree
	if used[ChTime] == 0 {
		for j := 0; j < width && used[ChTime] == 0; j++ {
			if mapped[j] {
				continue
			}
			v := col(j)
			rising := 0
			for i := 1; i < len(v); i++ {
				if v[i] > v[i-1] {
					rising++
				}
			}
			clocks := 0
			for _, r := range data {
				if j < len(r) {
					if _, _, ok := clockCell(r[j]); ok {
						clocks++
					}
				}
			}
			if (len(v) > 2 && len(v)*10 >= len(data)*9 && rising*20 >= (len(v)-1)*19) || clocks*10 >= len(data)*9 {
				take(j, ChTime, "", "its values rise with every row", name(j))
				mapped[j] = true
			}
		}
	}
	if used[ChLat] == 0 && used[ChPlace] == 0 && used[ChEast] == 0 {
		for j := 0; j+1 < width; j++ {
			if mapped[j] || mapped[j+1] {
				continue
			}
			a, b := col(j), col(j+1)
			if looksGeographic(a, 90) && looksGeographic(b, 180) && decimals(data, j) >= 4 && decimals(data, j+1) >= 4 {
				take(j, ChLat, "deg", "its values look like a latitude", name(j))
				take(j+1, ChLon, "deg", "its values look like a longitude", name(j+1))
				mapped[j], mapped[j+1] = true, true
				break
			}
		}
	}
	if used[ChLat] > 0 && used[ChLon] > 0 {
		for j := 0; j < width; j++ {
			if mapped[j] {
				continue
			}
			if letters(data, j, "N", "S") && used[ChNS] == 0 {
				take(j, ChNS, "", "its cells are N and S", name(j))
				mapped[j] = true
			} else if letters(data, j, "E", "W") && used[ChEW] == 0 {
				take(j, ChEW, "", "its cells are E and W", name(j))
				mapped[j] = true
			}
		}
	}
	if used[ChLat] == 0 && used[ChPlace] == 0 && used[ChEast] == 0 {
		for j := 0; j < width; j++ {
			if !mapped[j] && pairs(data, j) {
				take(j, ChPlace, "", "its cells are pairs that look like a place", name(j))
				mapped[j] = true
				break
			}
		}
	}
	// A voltage by its unit alone: the highest of them is the flight pack's.
	if used[ChVolts] == 0 && header >= 0 {
		best, most := -1, 0.0
		for j := 0; j < width && j < len(sample[header]); j++ {
			words, unit := splitName(sample[header][j])
			if mapped[j] || unit == "" || csvUnits[unit].k != kVolt || slices.Contains(words, "cell") {
				continue
			}
			if v := col(j); len(v) > 0 {
				if x := slices.Max(v) * csvUnits[unit].f; x > most {
					best, most = j, x
				}
			}
		}
		if best >= 0 {
			_, unit := splitName(sample[header][best])
			take(best, ChVolts, unit, "its unit; the highest voltage of the log", name(best))
			mapped[best] = true
		}
	}
	for j := 0; j < width; j++ {
		if !mapped[j] {
			m.Unused = append(m.Unused, name(j))
		}
	}
	settleUnits(m, data, comma, col)
	return m
}

// pairs reports a column of latitude and longitude in one cell, which change
// by less than a degree.
func pairs(data [][]string, j int) bool {
	n, k := 0, 0
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range data {
		if j >= len(r) || strings.TrimSpace(r[j]) == "" {
			continue
		}
		k++
		if lat, _, ok := pair(r[j]); ok {
			n++
			if lat != 0 {
				lo, hi = math.Min(lo, lat), math.Max(hi, lat)
			}
		}
	}
	return n > 2 && n*10 >= k*9 && hi-lo < 1
}

// letters reports a column of nothing but two letters.
func letters(data [][]string, j int, a, b string) bool {
	n := 0
	for _, r := range data {
		if j >= len(r) {
			continue
		}
		switch c := strings.ToUpper(strings.TrimSpace(r[j])); c {
		case a, b:
			n++
		case "":
		default:
			return false
		}
	}
	return n > 2
}

func looksGeographic(v []float64, limit float64) bool {
	if len(v) < 3 {
		return false
	}
	lo, hi := slices.Min(v), slices.Max(v)
	return hi-lo < 1 && hi > lo && math.Abs(lo) <= limit && math.Abs(hi) <= limit && math.Abs(hi) > 0.5
}

func decimals(data [][]string, j int) int {
	most := 0
	for _, r := range data {
		if j < len(r) {
			if i := strings.IndexAny(r[j], ".,"); i >= 0 {
				most = max(most, len(strings.TrimSpace(r[j]))-i-1)
			}
		}
	}
	return most
}

// settleUnits fixes each column's factor: by the unit said, else by contents.
func settleUnits(m *ColumnMap, data [][]string, comma bool, col func(int) []float64) {
	for i := range m.Columns {
		c := &m.Columns[i]
		if c.Unit != "" {
			c.Factor = csvUnits[c.Unit].f
			if c.Channel == ChTime {
				m.TimeForm = timeForm(data, c.Index, comma)
			}
			if c.Channel == ChLat || c.Channel == ChLon { // "deg" said, ten-millionths given
				if v := col(c.Index); len(v) > 0 && c.Unit == "deg" && math.Abs(median(v)) > 1000 {
					c.Factor, c.Unit, c.Because = degree*1e-7, "dege7", c.Because+"; too large for degrees, so ten-millionths"
				}
			}
			continue
		}
		c.Factor = 1
		v := col(c.Index)
		top := 0.0
		for _, x := range v {
			top = math.Max(top, math.Abs(x))
		}
		set := func(unit, why string) {
			c.Unit, c.Factor = unit, csvUnits[unit].f
			c.Because += "; " + why
		}
		switch c.Channel {
		case ChTime:
			m.TimeForm = timeForm(data, c.Index, comma)
			if m.TimeForm != "seconds" && m.TimeForm != "unix" {
				break
			}
			steps := make([]float64, 0, len(v))
			for k := 1; k < len(v); k++ {
				if d := v[k] - v[k-1]; d > 0 {
					steps = append(steps, d)
				}
			}
			d := median(steps)
			switch {
			case top > 1e17:
				set("ns", "too large for anything else")
			case top > 1e14 || (top < 1e8 || top > 1e14) && d >= 2e4:
				set("us", "steps too long for anything else")
			case top > 1e11 || (top < 1e8 || top > 1e11) && d >= 20:
				set("ms", "steps too long for seconds")
			default:
				set("s", "steps fit seconds")
			}
		case ChLat, ChLon:
			if math.Abs(median(v)) > 1000 {
				set("dege7", "too large for degrees")
			} else {
				set("deg", "degrees assumed")
			}
		case ChCourse, ChHeading:
			switch {
			case top > 720:
				set("cdeg", "hundredths of a degree by size")
			case top > 2*math.Pi+0.01:
				set("deg", "degrees by size")
			default:
				set("rad", "radians by size")
			}
		case ChRoll, ChPitch:
			if top > 3.3 {
				set("deg", "degrees by size")
			} else {
				set("rad", "radians by size")
			}
		case ChThrottle:
			lo := top
			for _, x := range v {
				lo = math.Min(lo, x)
			}
			switch {
			case top > 300 && lo > 700:
				c.Factor, c.Offset, c.Unit = 1.0/1000, -1, "us"
				c.Because += "; a pulse width by size"
			case top > 300:
				c.Factor, c.Offset, c.Unit = 1.0/2048, 0.5, "stick counts"
				c.Because += "; stick counts about a centre by size"
			case top > 1.05:
				set("%", "per cent by size")
			default:
				c.Unit = "share"
			}
		case ChVolts:
			if top > 1000 {
				set("mv", "millivolts by size")
			} else {
				set("v", "volts by size")
			}
		case ChAmps:
			if top > 2000 {
				set("ma", "milliamperes by size")
			} else {
				set("a", "amperes by size")
			}
		case ChCharge:
			set("mah", "milliampere hours assumed")
		case ChRPM:
			set("rpm", "revolutions a minute assumed")
		case ChHeight, ChPressure, ChEast, ChNorth:
			set("m", "metres assumed")
		case ChSpeed, ChVelE, ChVelN, ChClimb, ChSink, ChAirspeed:
			set("m/s", "metres a second assumed")
		default:
			c.Unit = ""
		}
	}
	compareSpeed(m, data, comma)
}

// compareSpeed checks an unlabelled speed against the positions.
func compareSpeed(m *ColumnMap, data [][]string, comma bool) {
	si := slices.IndexFunc(m.Columns, func(c Column) bool {
		return c.Channel == ChSpeed && strings.Contains(c.Because, "assumed")
	})
	if si < 0 {
		return
	}
	g := &gather{log: &Log{}, opt: Options{MaxFixes: len(data)}}
	rows, err := newRows(m, g)
	if err != nil {
		return
	}
	for _, r := range data {
		rows.take(r)
	}
	rows.end()
	f := g.all()
	var ratio []float64
	last := -1
	for i := range f {
		if !f[i].hasPlace() {
			continue
		}
		if last >= 0 && f[i].T > f[last].T && (f[i].Lat != f[last].Lat || f[i].Lon != f[last].Lon) {
			d := math.Hypot(f[i].Lat-f[last].Lat, (f[i].Lon-f[last].Lon)*math.Cos(f[i].Lat)) * 6.371e6
			if v := d / (f[i].T - f[last].T); v > 3 && f[i].Speed > 0 {
				ratio = append(ratio, v/f[i].Speed)
			}
		}
		if last < 0 || f[i].Lat != f[last].Lat || f[i].Lon != f[last].Lon {
			last = i
		}
	}
	if len(ratio) < 5 {
		return
	}
	r := median(ratio)
	best, gap := "m/s", math.Inf(1)
	for _, u := range []string{"m/s", "km/h", "kn", "mph", "cm/s", "mm/s", "ft/s"} {
		if d := math.Abs(math.Log(r / csvUnits[u].f)); d < gap {
			best, gap = u, d
		}
	}
	c := &m.Columns[si]
	c.Because = strings.Split(c.Because, ";")[0]
	if gap < 0.12 {
		c.Unit, c.Factor = best, csvUnits[best].f
		c.Because += "; " + best + " fits the positions"
		for i := range m.Columns { // the file's other unlabelled speeds follow
			k := &m.Columns[i]
			if chKind[k.Channel] == kSpeed && k.Channel != ChClimb && k.Channel != ChSink && strings.Contains(k.Because, "assumed") {
				k.Unit, k.Factor = best, csvUnits[best].f
				k.Because = strings.Split(k.Because, ";")[0] + "; as the ground speed"
			}
		}
	} else {
		c.Because += "; metres a second assumed, though the positions do not agree"
	}
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return nan
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

// clockCell reads hh:mm:ss[.s], mm:ss[.s], either with am or pm, or a date
// with a time (year first, or day and month parted by dots; with strokes the
// month first, as only that order is written so with am and pm). dated: the
// result is unix seconds.
func clockCell(s string) (sec float64, dated, ok bool) {
	s = strings.TrimSpace(s)
	if n := len(s); n > 3 && n <= 40 && (s[n-1] == 'm' || s[n-1] == 'M') {
		half := 0.0
		switch s[n-2] {
		case 'p', 'P':
			half = 43200
		case 'a', 'A':
		default:
			return nan, false, false
		}
		sec, dated, ok = clockCell(s[:n-2])
		day := math.Floor(sec/86400) * 86400
		if h := sec - day; ok && h >= 43200 && h < 46800 {
			sec -= 43200 // twelve is nought
		}
		return sec + half, dated, ok
	}
	if d, rest, found := strings.Cut(s, " "); found && len(s) <= 40 && strings.Count(rest, ":") >= 1 {
		if day, good := dayCell(d); good {
			if t, d2, good := clockCell(rest); good && !d2 {
				return float64(day) + t, true, true
			}
		}
	}
	if strings.Count(s, ":") >= 1 && len(s) <= 40 {
		if t, good := parseTime(strings.Replace(s, "/", "-", 2)); good {
			return float64(t.Unix()) + float64(t.Nanosecond())*1e-9, true, true
		}
		p := strings.Split(s, ":")
		if len(p) >= 2 && len(p) <= 3 {
			h, m, sc := number([]byte(p[0])), number([]byte(p[1])), 0.0
			if len(p) == 3 {
				sc = cell(p[2], true)
			} else if m, sc = h, cell(p[1], true); m >= 0 { // minutes and seconds
				h = math.Floor(m / 60)
				m -= 60 * h
			}
			if h >= 0 && h < 48 && m >= 0 && m < 60 && sc >= 0 && sc < 61 {
				return h*3600 + m*60 + sc, false, true
			}
		}
	}
	return nan, false, false
}

func timeForm(data [][]string, j int, comma bool) string {
	var clocks, dated, unix int
	for _, r := range data {
		if j >= len(r) {
			continue
		}
		if _, d, ok := clockCell(r[j]); ok {
			clocks++
			if d {
				dated++
			}
		} else if v := cell(r[j], comma); v > 1e9 {
			unix++
		}
	}
	switch {
	case dated*2 > len(data):
		return "date and clock"
	case clocks*2 > len(data):
		return "clock"
	case unix*2 > len(data):
		return "unix"
	}
	return "seconds"
}

// pair reads "lat lon" or "lat,lon" in one cell, in degrees.
func pair(s string) (lat, lon float64, ok bool) {
	p := strings.FieldsFunc(s, func(c rune) bool { return c == ' ' || c == ',' || c == '/' })
	if len(p) != 2 {
		return nan, nan, false
	}
	lat, lon = number([]byte(p[0])), number([]byte(p[1]))
	if !(math.Abs(lat) <= 90 && math.Abs(lon) <= 180) || !strings.Contains(p[0], ".") {
		return nan, nan, false
	}
	return lat, lon, true
}

// rows turns records into fixes by a map.
type rows struct {
	m       *ColumnMap
	g       *gather
	comma   bool
	timeCol int
	dateCol int
	factor  float64
	prevTod float64
	days    int64
	local   bool
}

func newRows(m *ColumnMap, g *gather) (*rows, error) {
	r := &rows{m: m, g: g, comma: m.DecimalComma, timeCol: -1, dateCol: -1, prevTod: nan, factor: 1}
	for _, c := range m.Columns {
		if c.Index < 0 {
			return nil, fmt.Errorf("the column map puts %q at column %d", c.Channel, c.Index)
		}
		switch c.Channel {
		case ChTime:
			r.timeCol, r.factor = c.Index, c.Factor
		case ChDate:
			r.dateCol = c.Index
		}
	}
	if r.timeCol < 0 {
		return nil, errors.New("no column looks like a time (named time or t, or rising with every row)")
	}
	for _, c := range []Channel{ChLat, ChPlace, ChEast, ChSpeed, ChAirspeed, ChHeight, ChPressure, ChVolts, ChAmps, ChVelE} {
		if _, ok := m.Of(c); ok {
			return r, nil
		}
	}
	return nil, errors.New("no column looks like a position, a speed, a height or a voltage; rename the columns (latitude, longitude, height, speed, airspeed, voltage, current)")
}

// dayCell reads a date as unix seconds of its midnight.
func dayCell(s string) (int64, bool) {
	s = strings.TrimSpace(s)
	if len(s) < 8 || len(s) > 10 {
		return 0, false
	}
	for _, lay := range dateLayouts {
		if d, err := time.Parse(lay, s); err == nil && d.Year() > 1970 && d.Year() < 2200 {
			return d.Unix(), true
		}
	}
	return 0, false
}

var dateLayouts = []string{"2006-01-02", "2006/01/02", "02.01.2006", "2.1.2006", "20060102", "02-01-2006", "01/02/2006", "02/01/2006", "1/2/2006", "2/1/2006", "02.01.06", "01/02/06"}

func (r *rows) take(rec []string) bool {
	g := r.g
	if r.timeCol >= len(rec) {
		if len(rec) > 1 || strings.TrimSpace(rec[0]) != "" {
			g.log.drop(Torn, g.line, strings.Join(rec, ","))
		}
		return true
	}
	f := empty()
	ts := strings.TrimSpace(rec[r.timeCol])
	sec, dated, isClock := clockCell(ts)
	switch {
	case isClock && dated:
		g.log.DateKnown = true
	case isClock:
		if r.dateCol >= 0 && r.dateCol < len(rec) {
			if d, ok := dayCell(rec[r.dateCol]); ok {
				sec += float64(d)
				g.log.DateKnown = true
				dated = true
			}
		}
		if !dated {
			if known(r.prevTod) && sec < r.prevTod-43200 {
				r.days++
			}
			r.prevTod = sec
			sec += float64(r.days) * 86400
		}
	default:
		sec = cell(ts, r.comma) * r.factor
		if r.m.TimeForm == "unix" && sec > 1e8 {
			g.log.DateKnown = true
		}
	}
	if !known(sec) || math.Abs(sec) > 1e11 {
		g.log.drop(NoTime, g.line, strings.Join(rec, ","))
		return true
	}
	whole := math.Floor(sec)
	f.T = g.at(int64(whole), sec-whole)
	velE, velN := nan, nan
	east, north := nan, nan
	bad := false
	any := false
	south, west := false, false
	for _, c := range r.m.Columns {
		if c.Channel == ChTime || c.Channel == ChDate || c.Index >= len(rec) {
			continue
		}
		if c.Channel == ChPlace {
			if la, lo, ok := pair(rec[c.Index]); ok && (la != 0 || lo != 0) {
				f.Lat, f.Lon = la*degree, lo*degree
				any = true
			}
			continue
		}
		text := rec[c.Index]
		var v float64
		switch c.Channel {
		case ChLat, ChLon:
			v = place(text, r.comma)
		case ChNS, ChEW:
			switch strings.ToUpper(strings.TrimSpace(text)) {
			case "S":
				south = true
			case "W":
				west = true
			}
			continue
		default:
			v = cell(text, r.comma)
		}
		if !known(v) {
			if t := strings.TrimSpace(text); t != "" && !strings.EqualFold(t, "nan") && t != "-" && t != "--" {
				bad = true
			}
			continue
		}
		v = v*c.Factor + c.Offset
		if math.Abs(v) > 1e9 {
			bad = true
			continue
		}
		any = true
		switch c.Channel {
		case ChLat:
			f.Lat = v
		case ChLon:
			f.Lon = v
		case ChEast:
			east = v
		case ChNorth:
			north = v
		case ChHeight:
			f.Height = v
		case ChPressure:
			f.PressureHeight = v
		case ChSpeed:
			if v >= 0 && v < 1000 {
				f.Speed = v
			} else {
				bad = true
			}
		case ChCourse:
			f.Course = v
		case ChVelE:
			velE = v
		case ChVelN:
			velN = v
		case ChClimb:
			f.Climb = v
		case ChSink:
			f.Climb = -v
		case ChAirspeed:
			if math.Abs(v) < 1000 {
				f.Airspeed = v
			}
		case ChThrottle:
			f.Throttle = math.Min(1, math.Max(0, v))
		case ChVolts:
			f.Volts = v
		case ChAmps:
			f.Amps = v
		case ChCharge:
			f.Charge = v
		case ChRPM:
			f.RPM = v
		case ChRoll:
			f.Roll = v
		case ChPitch:
			f.Pitch = v
		case ChHeading:
			f.Heading = v
		case ChHDOP:
			f.HDOP = v
		case ChSats:
			f.Sats = int16(math.Min(math.Max(v, 0), 999))
		}
	}
	if south {
		f.Lat = -math.Abs(f.Lat)
	}
	if west {
		f.Lon = -math.Abs(f.Lon)
	}
	if known(velE) && known(velN) && math.Hypot(velE, velN) < 1000 {
		f.Speed = math.Hypot(velE, velN)
		f.Course = math.Mod(math.Atan2(velE, velN)+2*math.Pi, 2*math.Pi)
	}
	if known(east) && known(north) && !f.hasPlace() {
		// a local frame: laid at the equator, where a metre is a metre both ways
		f.Lon, f.Lat = east/6378137, north/6335439.3273
		r.local = true
	}
	if f.hasPlace() && (math.Abs(f.Lat) > math.Pi/2 || math.Abs(f.Lon) > 2*math.Pi) {
		g.log.drop(OutOfRange, g.line, strings.Join(rec, ","))
		return true
	}
	if f.hasPlace() && f.Lat == 0 && f.Lon == 0 && !r.local {
		f.Lat, f.Lon = nan, nan // no fix yet
		if !known(f.Airspeed) && !known(f.Volts) {
			g.log.drop(Void, g.line, "")
			return true
		}
	}
	if bad && !any {
		g.log.drop(Torn, g.line, strings.Join(rec, ","))
		return true
	}
	if !any {
		g.log.drop(Void, g.line, "")
		return true
	}
	if bad {
		g.log.note(diag.Note, "csv-cell", g.line, "a cell of this line is not a number; the rest of the line is used", "")
	}
	g.add(f)
	return true
}

func (r *rows) end() {
	r.spread()
	if r.local {
		r.g.log.note(diag.Note, "local-frame", 0, "positions are east and north of an unknown origin: shapes and speeds hold, the place on earth does not", "")
	}
}

// spread parts the rows of one second evenly when the clock is written in
// whole seconds but the rows come several a second, about as many in each.
func (r *rows) spread() {
	f := r.g.all()
	if len(f) < 10 {
		return
	}
	var sizes []float64
	for i := 0; i < len(f); {
		j := i
		for j < len(f) && f[j].T == f[i].T {
			j++
		}
		if f[i].T != math.Floor(f[i].T) {
			return
		}
		sizes = append(sizes, float64(j-i))
		i = j
	}
	k := median(sizes)
	if k < 2 || k > 100 || len(sizes) < 4 {
		return
	}
	even := 0
	for _, s := range sizes[1 : len(sizes)-1] {
		if math.Abs(s-k) <= math.Max(1, 0.2*k) {
			even++
		}
	}
	if even*10 < (len(sizes)-2)*8 {
		return
	}
	for i := 0; i < len(f); {
		j := i
		for j < len(f) && f[j].T == f[i].T {
			j++
		}
		n := math.Max(k, float64(j-i))
		t, first := f[i].T, 0.0
		if i == 0 { // the first second may have begun before the record
			first = math.Max(0, k-float64(j-i))
		}
		for m := i; m < j; m++ {
			f[m].T = t + (first+float64(m-i))/n
		}
		i = j
	}
	r.g.log.note(diag.Note, "whole-seconds", 0, fmt.Sprintf("the clock is written in whole seconds with about %.0f rows in each: the rows are spread evenly", k), "")
}

// Local says that the CSV's positions were metres of an unknown origin.
func (l *Log) Local() bool { _, ok := l.Columns.Of(ChEast); return ok }

// formatFloat prints with up to n decimals, without trailing noise.
func formatFloat(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }
