package track

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"

	"strings"
	"time"

	"fledge/internal/diag"
)

const (
	maxDepth = 64
	maxToken = 1 << 20 // bytes the decoder may read for one token
)

// rationed stops a reader that swallows too much for one token.
type rationed struct {
	r    io.Reader
	left int
}

var errToken = errors.New("one tag or text is longer than 1 MB")

func (x *rationed) Read(p []byte) (int, error) {
	if x.left <= 0 {
		return 0, errToken
	}
	if len(p) > 4096 {
		p = p[:4096]
	}
	n, err := x.r.Read(p)
	x.left -= n
	return n, err
}

// readGPX reads tracks and routes of GPX 1.0 and 1.1. Document types and
// entities are refused; depth and token sizes are bounded.
func readGPX(br io.Reader, g *gather) error {
	l := g.log
	ration := &rationed{r: br, left: maxToken}
	d := xml.NewDecoder(ration)
	d.Strict = true
	d.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		switch strings.ToLower(charset) {
		case "utf-8", "us-ascii", "ascii":
			return in, nil
		case "iso-8859-1", "latin1", "windows-1252":
			return &latin1{r: in}, nil
		}
		return nil, fmt.Errorf("character set %q is not read: save the file as UTF-8", charset)
	}
	var (
		depth, points   int
		inPoint, inTrk  bool
		f               Fix
		text            []byte
		name            string
		stack           []string
		version         = ""
		timed           time.Time
		haveTime, badTs bool
		timeless        int
		root            bool
	)
	g.section = -1
	for {
		ration.left = maxToken
		tok, err := d.Token()
		g.line, _ = d.InputPos()
		if err == io.EOF {
			if !root {
				return errors.New("the file is XML without a gpx element")
			}
			break
		}
		if err != nil {
			var se *xml.SyntaxError
			msg := err.Error()
			if errors.As(err, &se) {
				msg = fmt.Sprintf("the file is broken here: %s", se.Msg)
			}
			if g.kept > 0 {
				l.drop(Torn, g.line, "")
				l.note(diag.Warning, "gpx-broken", g.line, msg+"; what came before is kept", "")
				break
			}
			return errors.New(msg)
		}
		switch t := tok.(type) {
		case xml.Directive:
			return errors.New("the file has a document type declaration; such files are refused because they can be made to explode")
		case xml.StartElement:
			depth++
			if depth > maxDepth {
				return fmt.Errorf("the file nests deeper than %d elements", maxDepth)
			}
			name = t.Name.Local
			stack = append(stack, name)
			text = text[:0]
			switch name {
			case "gpx":
				if depth != 1 {
					break
				}
				root = true
				for _, a := range t.Attr {
					if a.Name.Local == "version" {
						version = a.Value
					}
				}
				if ns := t.Name.Space; strings.HasPrefix(ns, "http://www.topografix.com/GPX/1/") && version != "" && !strings.HasSuffix(ns, version[len(version)-1:]) {
					l.note(diag.Warning, "gpx-version", g.line, fmt.Sprintf("the file says version %q with the other version's namespace", version), "")
				}
			case "trkseg", "rte":
				g.section++
				inTrk = true
			case "wpt":
				if depth == 2 {
					l.Landmarks++
				}
			case "trkpt", "rtept":
				if inTrk && !inPoint {
					inPoint = true
					points++
					f = empty()
					haveTime, badTs = false, false
					for _, a := range t.Attr {
						switch a.Name.Local {
						case "lat":
							f.Lat = number([]byte(strings.TrimSpace(a.Value))) * math.Pi / 180
						case "lon":
							f.Lon = number([]byte(strings.TrimSpace(a.Value))) * math.Pi / 180
						}
					}
				}
			default:
				if depth == 1 {
					return fmt.Errorf("the file's root element is %q, not gpx", clean(name))
				}
			}
		case xml.CharData:
			if inPoint && len(text) < 256 {
				text = append(text, t[:min(len(t), 256)]...)
			}
		case xml.EndElement:
			depth--
			el := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if inPoint {
				s := bytes.TrimSpace(text)
				if p := stack[len(stack)-1]; p != "trkpt" && p != "rtept" && el != "speed" && el != "course" && el != "trkpt" && el != "rtept" {
					el = "" // a foreign element of the same name
				}
				switch el {
				case "ele":
					f.Height = number(s)
				case "time":
					ts, ok := parseTime(string(s))
					timed, haveTime, badTs = ts, ok, !ok
				case "speed":
					if v := number(s); v >= 0 && v < 1000 {
						f.Speed = v
					}
				case "course":
					if v := number(s); v >= 0 && v <= 360 {
						f.Course = v * math.Pi / 180
					}
				case "hdop":
					f.HDOP = number(s)
				case "sat":
					if v := number(s); v >= 0 && v < 1000 {
						f.Sats = int16(v)
					}
				case "trkpt", "rtept":
					inPoint = false
					switch {
					case !f.hasPlace() || math.Abs(f.Lat) > math.Pi/2 || math.Abs(f.Lon) > 2*math.Pi:
						l.drop(OutOfRange, g.line, "")
					case badTs:
						l.drop(NoTime, g.line, "")
					case !haveTime:
						timeless++
						l.drop(NoTime, g.line, "")
					default:
						l.DateKnown = true
						f.T = g.at(timed.Unix(), float64(timed.Nanosecond())*1e-9)
						g.add(f)
					}
				}
			}
			if el == "trkseg" || el == "rte" {
				inTrk = false
			}
			text = text[:0]
		}
	}
	if g.section < 0 {
		g.section = 0
	}
	if timeless > 0 && g.kept == 0 {
		return fmt.Errorf("none of the %d points has a time: the track shows where, not how fast", timeless)
	}
	if points == 0 {
		return errors.New("the file holds no track points" + map[bool]string{true: " (way points only)"}[l.Landmarks > 0])
	}
	return nil
}

// parseTime reads xsd:dateTime; without a zone it is taken as UTC, and 60 s
// as the leap second.
func parseTime(s string) (time.Time, bool) {
	if len(s) < 10 || len(s) > 40 {
		return time.Time{}, false
	}
	leap := strings.Contains(s, ":60")
	if leap {
		s = strings.Replace(s, ":60", ":59", 1)
	}
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05.999999999", "2006-01-02 15:04:05.999999999Z07:00", "2006-01-02 15:04:05.999999999"} {
		if t, err := time.Parse(layout, s); err == nil {
			if leap {
				t = t.Add(time.Second)
			}
			if y := t.Year(); y < 1970 || y > 2200 {
				return t, false
			}
			return t.UTC(), true
		}
	}
	return time.Time{}, false
}

// latin1 turns ISO 8859-1 into UTF-8.
type latin1 struct {
	r    io.Reader
	rest []byte
}

func (x *latin1) Read(p []byte) (int, error) {
	if len(x.rest) == 0 {
		var b [512]byte
		n, err := x.r.Read(b[:])
		for _, c := range b[:n] {
			x.rest = append(x.rest, string(rune(c))...)
		}
		if n == 0 {
			return 0, err
		}
	}
	n := copy(p, x.rest)
	x.rest = x.rest[n:]
	return n, nil
}
