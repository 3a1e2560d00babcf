package track

import (
	"bufio"
	"bytes"
	"math"
	"strings"

	"fledge/internal/diag"
)

// column is an extension of the B or K record: bytes [from, to) counted
// from 0.
type column struct {
	from, to int
	code     string
}

// readIGC reads B, K, I, J and H records of the gliding recorder format.
func readIGC(br *bufio.Reader, g *gather) error {
	l := g.log
	var bCols, kCols []column
	var day int64 = -1
	var firstDay int64
	started := false
	prev := nan
	twoD := 0
	var winds []RecordedWind
	clock := func(b []byte) (float64, bool) {
		if len(b) < 6 || !allDigits(b[:6]) {
			return nan, false
		}
		return timeOfDay(b[:6])
	}
	err := g.lines(br, func(line []byte) {
		line = bytes.TrimRight(line, " ")
		if len(line) == 0 {
			return
		}
		switch line[0] {
		case 'B':
			f, tod, reason := bRecord(line, bCols, clock)
			if reason != "" {
				l.drop(reason, g.line, string(line))
				return
			}
			if line[24] == 'V' {
				twoD++
			}
			if !started {
				started = true
				if day >= 0 {
					firstDay = day
					l.DateKnown = true
				}
			} else if tod < prev-43200 {
				firstDay++ // past midnight: the header's date is the first fix's
			}
			prev = tod
			f.T = g.at(firstDay*86400+int64(tod), 0)
			g.add(f)
		case 'K':
			tod, ok := clock(line[1:])
			if !ok || !started {
				return
			}
			w := RecordedWind{T: tod, Speed: nan, From: nan}
			for _, c := range kCols {
				if c.to > len(line) {
					continue
				}
				v := number(line[c.from:c.to])
				switch c.code {
				case "WDI":
					w.From = v * math.Pi / 180
				case "WVE":
					w.Speed = scaled(v, c) / 3.6
				}
			}
			if known(w.Speed) && known(w.From) && len(winds) < 1_000_000 {
				w.T = g.at(firstDay*86400+int64(tod), 0)
				winds = append(winds, w)
			}
		case 'I':
			bCols = extensions(line)
		case 'J':
			kCols = extensions(line)
		case 'H':
			s := strings.ToUpper(string(line))
			if len(s) >= 5 && s[2:5] == "DTE" {
				digits := s[5:]
				if i := strings.IndexAny(digits, "0123456789"); i >= 0 && len(digits) >= i+6 {
					if d, ok := ddmmyy([]byte(digits[i : i+6])); ok {
						if day < 0 && started {
							g.base += d * 86400
							firstDay += d
							l.DateKnown = true
						}
						day = d
					}
				}
			} else {
				l.Ignored++
			}
		case 'A', 'C', 'D', 'E', 'F', 'G', 'L', 'M', 'N', 'O', 'P':
			l.Ignored++
		default:
			l.drop(Torn, g.line, string(line))
		}
	})
	l.Wind = winds
	if started && !l.DateKnown {
		l.note(diag.Note, "no-date", 0, "the log has no date: times of day only", "")
	}
	if twoD > 0 {
		l.note(diag.Note, "two-dimensional", 0, "some fixes are marked as without satellite height; their pressure height is used", "")
	}
	return err
}

func extensions(line []byte) []column {
	if len(line) < 3 || !allDigits(line[1:3]) {
		return nil
	}
	n := int(line[1]-'0')*10 + int(line[2]-'0')
	var out []column
	for i := 0; i < n && len(line) >= 3+7*(i+1); i++ {
		p := line[3+7*i:]
		if !allDigits(p[:4]) {
			continue
		}
		c := column{int(p[0]-'0')*10 + int(p[1]-'0') - 1, int(p[2]-'0')*10 + int(p[3]-'0'), strings.ToUpper(string(p[4:7]))}
		if c.from >= 0 && c.to > c.from {
			out = append(out, c)
		}
	}
	return out
}

// scaled gives km/h: five digit fields carry two decimals, three digit ones
// none (appendix A, table of codes: "as needed"; five is what is recorded).
func scaled(v float64, c column) float64 {
	if c.to-c.from >= 5 {
		return v / 100
	}
	return v
}

// bRecord decodes one fix; reason is "" when it is good.
func bRecord(b []byte, cols []column, clock func([]byte) (float64, bool)) (Fix, float64, Reason) {
	f := empty()
	if len(b) < 35 {
		return f, nan, Torn
	}
	tod, ok := clock(b[1:7])
	if !ok || !allDigits(b[7:14]) || !allDigits(b[15:23]) {
		return f, nan, Torn
	}
	minutes := func(p []byte) float64 { return number(p) / 1000 }
	latD, latM := number(b[7:9]), minutes(b[9:14])
	lonD, lonM := number(b[15:18]), minutes(b[18:23])
	if latM >= 60 || lonM >= 60 || latD+latM/60 > 90 || lonD+lonM/60 > 180 {
		return f, nan, OutOfRange
	}
	lat, lon := (latD+latM/60)*math.Pi/180, (lonD+lonM/60)*math.Pi/180
	switch b[14] {
	case 'N':
	case 'S':
		lat = -lat
	default:
		return f, nan, Torn
	}
	switch b[23] {
	case 'E':
	case 'W':
		lon = -lon
	default:
		return f, nan, Torn
	}
	ph, gh := number(b[25:30]), number(b[30:35])
	switch b[24] {
	case 'A':
		f.Height = gh
	case 'V':
		if latD == 0 && lonD == 0 && latM == 0 && lonM == 0 {
			return f, nan, Void
		}
	default:
		return f, nan, Torn
	}
	if !known(ph) || !known(gh) {
		return f, nan, Torn
	}
	f.Lat, f.Lon, f.PressureHeight = lat, lon, ph
	for _, c := range cols {
		if c.to > len(b) {
			continue
		}
		v := number(b[c.from:c.to])
		if !known(v) {
			continue
		}
		switch c.code {
		case "TAS":
			f.Airspeed = scaled(v, c) / 3.6
		case "IAS":
			if !known(f.Airspeed) {
				f.Airspeed = scaled(v, c) / 3.6
			}
		case "GSP":
			f.Speed = scaled(v, c) / 3.6
		case "TRT":
			if v <= 360 {
				f.Course = v * math.Pi / 180
			}
		case "HDT":
			if v <= 360 {
				f.Heading = v * math.Pi / 180
			}
		case "SIU":
			if v < 1000 {
				f.Sats = int16(v)
			}
		}
	}
	return f, tod, ""
}
