package track

import (
	"bufio"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"time"
)

// Exports of a cleaned track. Positions are the smoothed ones, so a viewer
// shows what the debrief used; samples whose own fix was rejected are left
// out. Times need a date: without one GPX and GeoJSON count from 1970.

// place gives a sample's longitude, latitude (degrees) and height in the
// log's own heights.
func (p *Path) place(s *Sample) (lon, lat, h float64) {
	g := p.Frame.FromGround([3]float64{s.Pos[0], s.Pos[1], 0})
	h = math.NaN()
	if p.Heights != "" {
		h = s.Pos[2] + p.Height0
	}
	return g.LonDeg(), g.LatDeg(), h
}

func (p *Path) stamp(s *Sample) string {
	start := p.Log.Start
	if !p.Log.DateKnown {
		start = time.Unix(0, 0).UTC()
	}
	return start.Add(time.Duration(math.Round(s.T*1000)) * time.Millisecond).UTC().Format("2006-01-02T15:04:05.000Z")
}

// WriteGPX writes GPX 1.1; sections are track segments.
func (p *Path) WriteGPX(w io.Writer, name string) error {
	b := bufio.NewWriter(w)
	fmt.Fprint(b, xml.Header, `<gpx version="1.1" creator="Fledge" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>`)
	if err := xml.EscapeText(b, []byte(name)); err != nil {
		return err
	}
	fmt.Fprint(b, "</name>\n")
	p.sections(func(int32) { fmt.Fprint(b, "<trkseg>\n") }, func() { fmt.Fprint(b, "</trkseg>\n") }, func(s *Sample) {
		lon, lat, h := p.place(s)
		fmt.Fprintf(b, `<trkpt lat="%.8f" lon="%.8f">`, lat, lon)
		if known(h) {
			fmt.Fprintf(b, "<ele>%.2f</ele>", h)
		}
		fmt.Fprintf(b, "<time>%s</time></trkpt>\n", p.stamp(s))
	})
	fmt.Fprint(b, "</trk></gpx>\n")
	return b.Flush()
}

// sections goes through the samples that are used, with what begins and what
// ends each unbroken section.
func (p *Path) sections(begin func(section int32), end func(), each func(*Sample)) {
	open := false
	var sec int32
	for i := range p.Samples {
		s := &p.Samples[i]
		if !s.Used {
			continue
		}
		if !open || s.Section != sec {
			if open {
				end()
			}
			begin(s.Section)
			open, sec = true, s.Section
		}
		each(s)
	}
	if open {
		end()
	}
}

// WriteKML writes KML 2.2: one line string a section, absolute heights where
// they are satellite heights, else clamped to the ground.
func (p *Path) WriteKML(w io.Writer, name string) error {
	b := bufio.NewWriter(w)
	fmt.Fprint(b, xml.Header, `<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>`)
	if err := xml.EscapeText(b, []byte(name)); err != nil {
		return err
	}
	fmt.Fprint(b, `</name><Style id="path"><LineStyle><color>ff2a2a8b</color><width>2</width></LineStyle></Style>`+"\n")
	mode := "clampToGround"
	if p.Heights == "satellite height" {
		mode = "absolute"
	}
	begin := func(section int32) {
		fmt.Fprintf(b, `<Placemark><name>section %d</name><styleUrl>#path</styleUrl><LineString><altitudeMode>%s</altitudeMode><coordinates>`+"\n", section+1, mode)
	}
	p.sections(begin, func() { fmt.Fprint(b, "</coordinates></LineString></Placemark>\n") }, func(s *Sample) {
		lon, lat, h := p.place(s)
		if !known(h) {
			h = 0
		}
		fmt.Fprintf(b, "%.8f,%.8f,%.2f\n", lon, lat, h)
	})
	fmt.Fprint(b, "</Document></kml>\n")
	return b.Flush()
}

// WriteGeoJSON writes RFC 7946: a line a section, with times, speeds and
// their doubt in parallel arrays of the properties.
func (p *Path) WriteGeoJSON(w io.Writer, name string) error {
	type feature struct {
		Type       string         `json:"type"`
		Properties map[string]any `json:"properties"`
		Geometry   map[string]any `json:"geometry"`
	}
	out := struct {
		Type     string    `json:"type"`
		Features []feature `json:"features"`
	}{Type: "FeatureCollection", Features: []feature{}}
	round := func(x, s float64) json.Number { return json.Number(formatFloat(math.Round(x*s)/s, int(math.Log10(s)))) }
	for i := 0; i < len(p.Samples); {
		sec := p.Samples[i].Section
		var coords [][]json.Number
		var times []string
		var speed, sd []json.Number
		for ; i < len(p.Samples) && p.Samples[i].Section == sec; i++ {
			s := &p.Samples[i]
			if !s.Used {
				continue
			}
			lon, lat, h := p.place(s)
			c := []json.Number{round(lon, 1e7), round(lat, 1e7)}
			if known(h) {
				c = append(c, round(h, 100))
			}
			coords = append(coords, c)
			times = append(times, p.stamp(s))
			speed, sd = append(speed, round(s.Speed(), 1000)), append(sd, round(s.SpeedSD, 1000))
		}
		if len(coords) == 0 {
			continue
		}
		geometry := map[string]any{"type": "LineString", "coordinates": coords}
		if len(coords) == 1 { // a line needs two
			geometry = map[string]any{"type": "Point", "coordinates": coords[0]}
		}
		out.Features = append(out.Features, feature{"Feature", map[string]any{
			"name": name, "section": sec + 1, "times": times, "ground_speed_m_s": speed, "ground_speed_sd_m_s": sd}, geometry})
	}
	return json.NewEncoder(w).Encode(out)
}

// WriteCSV writes one line a sample (RFC 4180). extra names further columns,
// each as long as the samples.
func (p *Path) WriteCSV(w io.Writer, extra map[string][]float64, order []string) error {
	b := bufio.NewWriter(w)
	fmt.Fprint(b, "time_s,latitude_deg,longitude_deg,height_m,east_m,north_m,up_m,ground_speed_mps,ground_speed_sd_mps,course_deg,climb_mps,climb_sd_mps,measured_speed_mps,speed_by_positions_mps,section,used")
	for _, n := range order {
		fmt.Fprint(b, ",", n)
	}
	fmt.Fprint(b, "\r\n")
	num := func(x float64, n int) string {
		if !known(x) {
			return ""
		}
		return formatFloat(x, n)
	}
	for i := range p.Samples {
		s := &p.Samples[i]
		lon, lat, h := p.place(s)
		fmt.Fprintf(b, "%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%d,%t", num(s.T, 3), num(lat, 8), num(lon, 8), num(h, 2),
			num(s.Pos[0], 3), num(s.Pos[1], 3), num(s.Pos[2], 3), num(s.Speed(), 3), num(s.SpeedSD, 3), num(s.Course()*180/math.Pi, 2),
			num(s.Vel[2], 3), num(s.ClimbSD, 3), num(s.Measured, 3), num(s.ByPlace, 3), s.Section+1, s.Used)
		for _, n := range order {
			x := math.NaN()
			if c := extra[n]; i < len(c) {
				x = c[i]
			}
			fmt.Fprint(b, ",", num(x, 3))
		}
		fmt.Fprint(b, "\r\n")
	}
	return b.Flush()
}
