package track

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"strconv"
	"time"

	"fledge/internal/diag"
)

const knot = 1852.0 / 3600

// epoch is what the sentences of one instant say together.
type epoch struct {
	tod              float64 // s of day; NaN none yet
	rmc, gga         bool
	void, ggaVoid    bool
	day              int64 // unix day; −1 unknown
	f                Fix
	line             int
	vtgSpeed, vtgCrs float64
}

type nmeaReader struct {
	g          *gather
	e          epoch
	day        int64 // last known date, unix days
	rmcVoid    int
	ggaVoid    int
	prevTod    float64
	prevDay    int64 // running day
	running    bool
	vtgFirst   bool
	pendSpeed  float64
	pendCourse float64
	unsummed   int
	hdop       float64
}

func (n *nmeaReader) reset() {
	n.e = epoch{tod: nan, day: -1, f: empty(), vtgSpeed: nan, vtgCrs: nan}
}

// readNMEA reads NMEA 0183 sentences: RMC, GGA, VTG, GSA and ZDA of any
// satellite talker; the sentences of one instant make one fix.
func readNMEA(br *bufio.Reader, g *gather) error {
	n := &nmeaReader{g: g, day: -1, prevTod: nan, pendSpeed: nan, pendCourse: nan, hdop: nan}
	n.reset()
	err := g.lines(br, func(line []byte) {
		if len(line) == 0 || line[0] == '#' {
			return
		}
		start := bytes.IndexByte(line, '$')
		if start < 0 {
			g.log.drop(Torn, g.line, string(line))
			return
		}
		line = line[start:]
		for len(line) > 0 { // two sentences glued on one line
			next := bytes.IndexByte(line[1:], '$')
			one := line
			if next >= 0 {
				one, line = line[:next+1], line[next+1:]
			} else {
				line = nil
			}
			n.sentence(bytes.TrimSpace(one))
		}
	})
	n.flush()
	if v := max(n.rmcVoid, n.ggaVoid); v > 0 {
		g.log.dropN(Void, v, 0, "")
	}
	if n.unsummed > 0 {
		g.log.note(diag.Warning, "no-checksum", 0, fmt.Sprintf("%d sentences without a checksum were taken as asked", n.unsummed), "")
	}
	return err
}

// Checksum is the exclusive or of the bytes between "$" and "*".
func Checksum(body []byte) byte {
	var c byte
	for _, b := range body {
		c ^= b
	}
	return c
}

func (n *nmeaReader) sentence(s []byte) {
	l := n.g.log
	if len(s) < 2 {
		return
	}
	star := bytes.LastIndexByte(s, '*')
	if star < 0 || len(s)-star != 3 {
		if star >= 0 && len(s)-star > 3 { // something after the two digits
			if want, ok := hexByte(s[star+1 : star+3]); ok && want == Checksum(s[1:star]) {
				s = s[:star+3]
			} else {
				l.drop(BadSum, n.g.line, string(s))
				return
			}
		} else if n.g.opt.NoChecksum && star < 0 {
			n.unsummed++
			n.parse(s[1:])
			return
		} else {
			l.drop(NoSum, n.g.line, string(s))
			return
		}
	}
	want, ok := hexByte(s[star+1 : star+3])
	if !ok || want != Checksum(s[1:star]) {
		l.drop(BadSum, n.g.line, string(s))
		return
	}
	n.parse(s[1:star])
}

func hexByte(b []byte) (byte, bool) {
	v, err := strconv.ParseUint(string(b), 16, 8)
	return byte(v), err == nil && len(b) == 2
}

// parse takes the body of a good sentence.
func (n *nmeaReader) parse(body []byte) {
	f := bytes.Split(body, []byte(","))
	name := f[0]
	if len(name) != 5 || name[0] == 'P' || !(name[0] == 'G' || name[0] == 'B' || name[0] == 'Q') {
		n.g.log.Ignored++
		return
	}
	field := func(i int) []byte {
		if i < len(f) {
			return bytes.TrimSpace(f[i])
		}
		return nil
	}
	switch string(name[2:]) {
	case "RMC":
		n.rmc(field, body)
	case "GGA":
		n.gga(field, body)
	case "VTG":
		n.vtg(field)
	case "GSA":
		if v := number(field(16)); v > 0 && v < 99 {
			n.hdop = v
		}
	case "ZDA":
		d, m, y := number(field(2)), number(field(3)), number(field(4))
		if known(d) && known(m) && known(y) && y > 1979 && y < 2200 {
			if day, ok := dayOf(int(y), int(m), int(d)); ok {
				n.day = day
				if t, ok := timeOfDay(field(1)); ok && t == n.e.tod && n.e.day < 0 {
					n.e.day = day
				}
			}
		}
	default:
		n.g.log.Ignored++
	}
}

// number parses a plain finite decimal; NaN otherwise.
func number(b []byte) float64 {
	if len(b) == 0 || len(b) > 40 {
		return nan
	}
	for _, c := range b {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return nan
		}
	}
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil || math.IsInf(v, 0) {
		return nan
	}
	return v
}

// timeOfDay reads hhmmss.ss; a leap second's 60 is taken.
func timeOfDay(b []byte) (float64, bool) {
	if len(b) < 6 || !allDigits(b[:6]) {
		return nan, false
	}
	h, m := int(b[0]-'0')*10+int(b[1]-'0'), int(b[2]-'0')*10+int(b[3]-'0')
	s := number(b[4:])
	if h > 23 || m > 59 || !(s >= 0 && s < 61) {
		return nan, false
	}
	return float64(h*3600+m*60) + s, true
}

// dayOf is the unix day of a date that exists.
func dayOf(y, m, d int) (int64, bool) {
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Year() != y || int(t.Month()) != m || t.Day() != d {
		return 0, false
	}
	return t.Unix() / 86400, true
}

// ddmmyy reads a six digit date: years 80 to 99 are 19xx, else 20xx.
func ddmmyy(b []byte) (int64, bool) {
	if len(b) != 6 || !allDigits(b) {
		return 0, false
	}
	d, m, y := int(b[0]-'0')*10+int(b[1]-'0'), int(b[2]-'0')*10+int(b[3]-'0'), int(b[4]-'0')*10+int(b[5]-'0')
	if y >= 80 {
		y += 1900
	} else {
		y += 2000
	}
	return dayOf(y, m, d)
}

// angle reads (d)ddmm.mmmm with its hemisphere, in radians.
func angle(b, hemi []byte, degDigits int, neg byte, pos byte) (float64, bool) {
	if len(b) < degDigits+2 || !allDigits(b[:degDigits+2]) || len(hemi) != 1 {
		return nan, false
	}
	d := number(b[:degDigits])
	m := number(b[degDigits:])
	limit := 180.0
	if degDigits == 2 {
		limit = 90
	}
	v := d + m/60
	if !(m <= 60) || !(v <= limit) { // 60.000 is a writer's rounding, carried and flagged by the caller
		return nan, false
	}
	switch hemi[0] {
	case pos:
	case neg:
		v = -v
	default:
		return nan, false
	}
	return v * math.Pi / 180, true
}

// carried flags minutes written as 60.000: the degree was not carried.
func (n *nmeaReader) carried(lat, lon []byte) {
	if len(lat) > 4 && string(lat[2:4]) == "60" || len(lon) > 5 && string(lon[3:5]) == "60" {
		n.g.log.note(diag.Note, "minutes-sixty", n.g.line, "sixty minutes are written where the next degree is meant; taken as that", "")
	}
}

// open makes the current epoch one of the given time, flushing another.
func (n *nmeaReader) open(tod float64, second bool) {
	if known(n.e.tod) && (math.Abs(n.e.tod-tod) > 1e-4 || second) {
		n.flush()
	}
	if !known(n.e.tod) {
		n.e.tod, n.e.line = tod, n.g.line
	}
}

func (n *nmeaReader) rmc(field func(int) []byte, body []byte) {
	l := n.g.log
	void := len(field(2)) != 1 || field(2)[0] != 'A'
	tod, okT := timeOfDay(field(1))
	if void {
		n.rmcVoid++
		if okT {
			n.open(tod, n.e.rmc)
			n.e.rmc, n.e.void = true, true
		} else {
			n.flush()
		}
		return
	}
	lat, ok1 := angle(field(3), field(4), 2, 'S', 'N')
	lon, ok2 := angle(field(5), field(6), 3, 'W', 'E')
	if !okT {
		l.drop(NoTime, n.g.line, string(body))
		return
	}
	if !ok1 || !ok2 {
		l.drop(OutOfRange, n.g.line, string(body))
		return
	}
	n.carried(field(3), field(5))
	n.open(tod, n.e.rmc)
	e := &n.e
	e.rmc = true
	e.f.Lat, e.f.Lon = lat, lon
	if v := number(field(7)); v >= 0 && v < 2000 {
		e.f.Speed = v * knot
	}
	if v := number(field(8)); v >= 0 && v <= 360 {
		e.f.Course = v * math.Pi / 180
	}
	if day, ok := ddmmyy(field(9)); ok {
		e.day, n.day = day, day
	}
}

func (n *nmeaReader) gga(field func(int) []byte, body []byte) {
	l := n.g.log
	q := number(field(6))
	tod, okT := timeOfDay(field(1))
	if !(q > 0) {
		n.ggaVoid++
		if okT {
			n.open(tod, n.e.gga)
			n.e.gga, n.e.ggaVoid = true, true
		} else {
			n.flush()
		}
		return
	}
	lat, ok1 := angle(field(2), field(3), 2, 'S', 'N')
	lon, ok2 := angle(field(4), field(5), 3, 'W', 'E')
	if !okT {
		l.drop(NoTime, n.g.line, string(body))
		return
	}
	if !ok1 || !ok2 {
		l.drop(OutOfRange, n.g.line, string(body))
		return
	}
	n.open(tod, n.e.gga)
	e := &n.e
	e.gga = true
	if !e.f.hasPlace() {
		e.f.Lat, e.f.Lon = lat, lon
	}
	if h := number(field(9)); math.Abs(h) < 1e5 {
		e.f.Height = h
		if s := number(field(11)); math.Abs(s) < 200 {
			e.f.Geoid = s
		}
	}
	if v := number(field(7)); v >= 0 && v < 1000 {
		e.f.Sats = int16(v)
	}
	if v := number(field(8)); v > 0 && v < 99 {
		e.f.HDOP = v
	}
}

func (n *nmeaReader) vtg(field func(int) []byte) {
	sp, cr := number(field(5))*knot, number(field(1))*math.Pi/180
	if !known(sp) {
		sp = number(field(7)) / 3.6
	}
	if len(field(9)) == 1 && field(9)[0] == 'N' {
		return
	}
	if !known(n.e.tod) || n.vtgFirst {
		n.vtgFirst = true // this receiver says VTG before the time of its instant
		n.pendSpeed, n.pendCourse = sp, cr
		return
	}
	n.e.vtgSpeed, n.e.vtgCrs = sp, cr
}

// flush ends the current epoch and keeps its fix.
func (n *nmeaReader) flush() {
	e := n.e
	n.reset()
	if !known(e.tod) || e.void || (e.ggaVoid && !e.f.hasPlace()) || !e.f.hasPlace() {
		return
	}
	f := e.f
	if n.vtgFirst {
		e.vtgSpeed, e.vtgCrs = n.pendSpeed, n.pendCourse
		n.pendSpeed, n.pendCourse = nan, nan
	}
	if !known(f.Speed) && !e.rmc && e.vtgSpeed >= 0 && e.vtgSpeed < 1000 {
		f.Speed = e.vtgSpeed
		f.Course = e.vtgCrs
	}
	if !known(f.HDOP) {
		f.HDOP = n.hdop
	}
	day := e.day
	if day < 0 {
		day = n.day
	}
	if !n.running {
		n.running = true
		if day < 0 {
			n.prevDay = 0
		} else {
			n.prevDay = day
			n.g.log.DateKnown = true
		}
	} else {
		guess := n.prevDay // the day that goes on from the fix before
		if e.tod < n.prevTod-43200 {
			guess++
		}
		switch {
		case e.day < 0: // no date of its own (GGA alone)
			day = guess
		case !n.g.log.DateKnown: // first date: everything before was relative
			n.shiftDays(day - guess)
			n.g.log.DateKnown = true
		default:
			day = e.day
		}
		n.prevDay = day
	}
	n.prevTod = e.tod
	whole := math.Floor(e.tod)
	f.T = n.g.at(n.prevDay*86400+int64(whole), e.tod-whole)
	save := n.g.line
	n.g.line = e.line
	n.g.add(f)
	n.g.line = save
}

// shiftDays dates the fixes read before the first date.
func (n *nmeaReader) shiftDays(d int64) {
	n.prevDay += d
	n.g.base += d * 86400
}
