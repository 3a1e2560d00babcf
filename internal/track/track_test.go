package track

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"fledge/internal/check"
	"fledge/internal/cite"
)

const kmh = 1 / 3.6

func load(t testing.TB, name string) *Log {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "logs", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	l, err := Read(f, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func text(t testing.TB, s string, o Options) *Log {
	t.Helper()
	l, err := Read(strings.NewReader(s), o)
	if err != nil && !errors.Is(err, ErrNoFixes) {
		t.Fatal(err)
	}
	return l
}

func near(t *testing.T, r check.Row, got, want, tol float64, why string) {
	t.Helper()
	r.Near(t, got, want, check.ModelAbs(tol, why))
}

func count(t *testing.T, r check.Row, got, want int) {
	t.Helper()
	r.Near(t, float64(got), float64(want), check.Tol{Abs: 0, Why: "a count"})
}

func TestNMEA(t *testing.T) {
	src := cite.NMEA0183.At("textbook sentences", cite.Memory)
	r := func(n, u string) check.Row {
		return check.Row{Topic: "log formats: NMEA 0183", Name: n, Unit: u, Source: src}
	}
	l := text(t, "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n", Options{})
	f := l.Fixes[0]
	near(t, r("latitude", "deg"), f.Lat/degree, 48.1173, 5e-8, "last printed digit")
	near(t, r("longitude", "deg"), f.Lon/degree, 11.516667, 5e-7, "last printed digit")
	near(t, r("speed", "m/s"), f.Speed, 11.523556, 5e-7, "last printed digit")
	near(t, r("course", "deg"), f.Course/degree, 84.4, 1e-12, "decimal of the sentence")
	near(t, r("height above sea level", "m"), f.Height, 545.4, 1e-9, "decimal of the sentence")
	near(t, r("height above the ellipsoid", "m"), f.Height+f.Geoid, 592.3, 1e-9, "sum of two decimals")
	count(t, r("satellites", ""), int(f.Sats), 8)
	near(t, r("dilution of precision", ""), f.HDOP, 0.9, 1e-12, "decimal of the sentence")
	if want := time.Date(1994, 3, 23, 12, 35, 19, 0, time.UTC); !l.Start.Equal(want) || len(l.Fixes) != 1 {
		t.Errorf("start %v with %d fixes, want %v with one", l.Start, len(l.Fixes), want)
	}
	for _, s := range []string{"$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48", "$GPZDA,201530.00,04,07,2002,00,00*60", "$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68"} {
		l := text(t, s, Options{})
		count(t, r("checksum of "+s[:6]+" accepted", ""), l.Count(BadSum)+l.Count(NoSum), 0)
	}
	// midnight and new year
	l = text(t, "$GNRMC,235959.90,A,5000.1234567,N,01000.7654321,E,148.00,271.30,311224,,,A*41\n$GNRMC,000000.00,A,5000.1234567,N,01000.7600000,E,148.20,271.35,010125,,,A*4F\n$GPRMC,,V,,,,,,,,,,N*53\n", Options{})
	near(t, r("step across midnight and year", "s"), l.Fixes[1].T-l.Fixes[0].T, 0.10, 1e-9, "double precision of seconds")
	count(t, r("void sentence counted", ""), l.Count(Void), 1)
	// what must be rejected or flagged
	sum := func(body string) string { return fmt.Sprintf("$%s*%02X\n", body, Checksum([]byte(body))) }
	good := "GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,,"
	for n, k := range map[string]struct {
		s string
		r Reason
	}{
		"wrong checksum":  {"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6B\n", BadSum},
		"no checksum":     {"$" + good + "\n", NoSum},
		"latitude 91":     {sum("GPRMC,123519,A,9100.0,N,01131.000,E,022.4,084.4,230394,,"), OutOfRange},
		"minutes 61":      {sum("GPRMC,123519,A,4861.0,N,01131.000,E,022.4,084.4,230394,,"), OutOfRange},
		"letter in digit": {sum("GPRMC,123519,A,48O7.038,N,01131.000,E,022.4,084.4,230394,,"), OutOfRange},
		"hour 25":         {sum("GPRMC,253519,A,4807.038,N,01131.000,E,022.4,084.4,230394,,"), NoTime},
	} {
		l := text(t, k.s+sum(good), Options{})
		count(t, r("rejects "+n, ""), l.Count(k.r), 1)
		count(t, r("goes on after "+n, ""), len(l.Fixes), 1)
	}
	if l := text(t, sum("GPRMC,123519,A,4807.038,N,01131.000,E,,084.4,230394,,"), Options{}); !math.IsNaN(l.Fixes[0].Speed) {
		t.Error("an empty speed is not unknown")
	}
	if l := text(t, "$"+good+"\n", Options{NoChecksum: true}); len(l.Fixes) != 1 || len(l.Notes) == 0 {
		t.Error("a sentence without a checksum is not taken and flagged when asked")
	}
	for _, talker := range []string{"GP", "GN", "GL", "GA", "GB", "BD", "GQ"} {
		if l := text(t, strings.ToLower(sum(talker + good[2:]))[0:0]+sum(talker+good[2:]), Options{}); len(l.Fixes) != 1 {
			t.Errorf("talker %s is not read", talker)
		}
	}
	lower := "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6a"
	if l := text(t, lower, Options{}); len(l.Fixes) != 1 {
		t.Error("lower case checksum is not read")
	}
	glued := strings.TrimSpace(sum(good)) + sum("GPRMC,123520,A,4807.038,N,01131.000,E,022.4,084.4,230394,,")
	if l := text(t, glued, Options{}); len(l.Fixes) != 2 {
		t.Errorf("glued sentences gave %d fixes", len(l.Fixes))
	}
	// leap second
	if l := text(t, sum("GPRMC,235959,A,4807.038,N,01131.000,E,1,0,311216,,")+sum("GPRMC,235960,A,4807.038,N,01131.000,E,1,0,311216,,")+sum("GPRMC,000001,A,4807.038,N,01131.000,E,1,0,010117,,"), Options{}); len(l.Fixes) < 2 {
		t.Error("the leap second is not read")
	}
	// GGA alone across midnight: no date, time goes on
	l = text(t, sum("GPGGA,235959.5,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,")+sum("GPGGA,000000.0,4807.039,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,"), Options{})
	if l.DateKnown || math.Abs(l.Fixes[1].T-l.Fixes[0].T-0.5) > 1e-9 {
		t.Errorf("GGA alone over midnight: step %g", l.Fixes[1].T-l.Fixes[0].T)
	}
}

func TestIGC(t *testing.T) {
	src := cite.IGCSpec.At("B and I records", cite.Memory)
	r := func(n, u string) check.Row {
		return check.Row{Topic: "log formats: IGC", Name: n, Unit: u, Source: src}
	}
	l := text(t, "AXXX\r\nHFDTE020911\r\nI073638FXA3941ENL4246TAS4751GSP5254TRT5559VAT6063OAT\r\nB1016435346296N02025184EA00122001220070190000000000338000080200\r\n", Options{})
	f := l.Fixes[0]
	near(t, r("latitude", "deg"), f.Lat/degree, 53.771600, 5e-7, "last printed digit")
	near(t, r("longitude", "deg"), f.Lon/degree, 20.419733, 5e-7, "last printed digit")
	near(t, r("pressure height", "m"), f.PressureHeight, 122, 0, "whole metres")
	near(t, r("satellite height", "m"), f.Height, 122, 0, "whole metres")
	near(t, r("course", "deg"), f.Course/degree, 338, 1e-9, "whole degrees")
	near(t, r("airspeed", "m/s"), f.Airspeed, 0, 0, "zero")
	if want := time.Date(2011, 9, 2, 10, 16, 43, 0, time.UTC); !l.Start.Equal(want) {
		t.Errorf("start %v, want %v", l.Start, want)
	}
	l = text(t, "HFDTEDATE:020911,01\nI033638FXA3941ENL4247REX\nB1336576104081N02309954EA0017800129045025060001\n", Options{})
	near(t, r("second maker: latitude", "deg"), l.Fixes[0].Lat/degree, 61.068017, 5e-7, "last printed digit")
	near(t, r("second maker: longitude", "deg"), l.Fixes[0].Lon/degree, 23.165900, 5e-7, "last printed digit")
	near(t, r("second maker: heights", "m"), l.Fixes[0].PressureHeight-l.Fixes[0].Height, 178-129, 0, "whole metres")
	if y := text(t, "HFDTEDATE: 030418\nB1336576104081N02309954EA0017800129\n", Options{}).Start; y.Year() != 2018 || y.Month() != 4 || y.Day() != 3 {
		t.Errorf("date %v, want 2018-04-03", y)
	}
	l = text(t, "HFDTE311224\nB2359595346296N02025184EA-001200122\nB0000015346296N02025184EA-001200122\n", Options{})
	near(t, r("step over midnight", "s"), l.Fixes[1].T-l.Fixes[0].T, 2, 0, "whole seconds")
	near(t, r("negative height", "m"), l.Fixes[0].PressureHeight, -12, 0, "whole metres")
	good := "B1016445346296N02025184EA0012200122\n"
	for n, k := range map[string]struct {
		s string
		r Reason
	}{
		"short line":    {"B1016435346296N02025184EA001220012\n", Torn},
		"validity X":    {"B1016435346296N02025184EX0012200122\n", Torn},
		"minutes 60000": {"B1016435360000N02025184EA0012200122\n", OutOfRange},
		"letter":        {"B10164353462X6N02025184EA0012200122\n", Torn},
	} {
		l := text(t, "HFDTE020911\n"+k.s+good+good[:6]+"5"+good[7:], Options{})
		count(t, r("rejects "+n, ""), l.Count(k.r), 1)
		count(t, r("goes on after "+n, ""), len(l.Fixes), 2)
	}
	if l := text(t, good+good[:6]+"5"+good[7:], Options{}); l.DateKnown || len(l.Notes) == 0 {
		t.Error("a file without a date does not say so")
	}
}

const gpxGood = `<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>
<trkpt lat="50.0" lon="10.0"><ele>300</ele><time>2025-06-21T12:30:00.0Z</time></trkpt>
<trkpt lat="50.0" lon="10.001"><ele>300</ele><time>2025-06-21T12:30:01.0Z</time></trkpt>
</trkseg></trk></gpx>`

func TestGPX(t *testing.T) {
	src := cite.GPX11.At("track points", cite.Memory)
	l := text(t, gpxGood, Options{})
	p := Smooth(l)
	near(t, check.Row{Topic: "log formats: GPX", Name: "step of a thousandth of a degree", Unit: "m", Source: src}, p.Samples[1].ByPlace, 71.6958*(1+300/6390702.0), 5e-4, "four decimals; the frame is at 300 m")
	l = text(t, strings.Replace(gpxGood, "2025-06-21T12:30:01.0Z", "2015-12-11T15:43:13.000+01:00", 1), Options{})
	if len(l.Fixes) < 1 {
		t.Error("time with an offset is not read")
	}
	if ts, ok := parseTime("2015-12-11T15:43:13.000+01:00"); !ok || ts.Format(time.RFC3339) != "2015-12-11T14:43:13Z" {
		t.Errorf("offset time read as %v", ts)
	}
	if l := text(t, strings.Replace(gpxGood, ` lat="50.0" lon="10.001"`, ` lon="10.001"`, 1), Options{}); l.Count(OutOfRange) != 1 || len(l.Fixes) != 1 {
		t.Errorf("a point without latitude: %v", l.Dropped)
	}
	if l := text(t, strings.Replace(gpxGood, `lat="50.0" lon="10.001"`, `lat="90.5" lon="10.001"`, 1), Options{}); l.Count(OutOfRange) != 1 {
		t.Errorf("latitude over 90: %v", l.Dropped)
	}
	if l := text(t, strings.Replace(gpxGood, "GPX/1/1", "GPX/1/0", 1), Options{}); len(l.Fixes) != 2 || len(l.Notes) == 0 {
		t.Error("the other version's namespace is not taken with a warning")
	}
	if l := text(t, gpxGood[:len(gpxGood)-20], Options{}); len(l.Fixes) != 2 || l.Count(Torn) != 1 {
		t.Errorf("an unclosed file: %d fixes, %v", len(l.Fixes), l.Dropped)
	}
	v10 := `<gpx version="1.0" creator="t" xmlns="http://www.topografix.com/GPX/1/0"><trk><trkseg><trkpt lat="50" lon="10"><time>2025-06-21T12:30:00Z</time><course>90</course><speed>1.2</speed></trkpt></trkseg></trk></gpx>`
	if l := text(t, v10, Options{}); math.Abs(l.Fixes[0].Speed-1.2) > 1e-12 || math.Abs(l.Fixes[0].Course-math.Pi/2) > 1e-12 {
		t.Errorf("1.0 speed %v", l.Fixes[0].Speed)
	}
	bomb := `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>` + gpxGood
	for n, s := range map[string]string{
		"entity bomb":     bomb,
		"unknown entity":  strings.Replace(gpxGood, "300</ele>", "&x;</ele>", 1),
		"deep nesting":    "<gpx>" + strings.Repeat("<a>", 100000),
		"no gpx":          "<svg/>",
		"no points":       `<gpx version="1.1"></gpx>`,
		"no times":        strings.NewReplacer("<time>2025-06-21T12:30:00.0Z</time>", "", "<time>2025-06-21T12:30:01.0Z</time>", "").Replace(gpxGood),
		"endless text":    "<gpx><trk><name>" + strings.Repeat("x", 3<<20),
		"endless attr":    `<gpx a="` + strings.Repeat("x", 3<<20),
		"odd charset":     `<?xml version="1.0" encoding="x-nonsense"?>` + gpxGood,
		"only a bracket":  "<",
		"a comment bomb":  "<gpx><!--" + strings.Repeat("-x", 2<<20),
		"processing bomb": "<?" + strings.Repeat("x", 3<<20),
	} {
		l, err := Read(strings.NewReader(s), Options{})
		if err == nil || len(l.Fixes) != 0 {
			t.Errorf("%s: taken", n)
		} else if len(err.Error()) > 500 {
			t.Errorf("%s: message of %d bytes", n, len(err.Error()))
		}
	}
	// latin-1 names do no harm
	l1 := `<?xml version="1.0" encoding="ISO-8859-1"?>` + strings.Replace(gpxGood, "<trk>", "<trk><name>M\xfcritz</name>", 1)
	if l := text(t, l1, Options{}); len(l.Fixes) != 2 {
		t.Error("an ISO 8859-1 file is not read")
	}
}

func TestCSV(t *testing.T) {
	src := cite.RFC4180.At("section 2", cite.Memory)
	f, ok := splitRecord(`a,"b,""c""",`, ',', nil)
	r := check.Row{Topic: "log formats: CSV", Name: "fields of a quoted record", Source: src}
	count(t, r, len(f), 3)
	if !ok || f[0] != "a" || f[1] != `b,"c"` || f[2] != "" {
		t.Errorf("fields %q", f)
	}
	head := "Time (s),Lat,Lon,Alt(m),Speed (km/h),Throttle %,Voltage (V),Current (A),RPM,Airspeed [m/s],Comment\r\n"
	body := ""
	for i := 0; i < 40; i++ {
		body += fmt.Sprintf("%.1f,%.7f,%.7f,%d,%.2f,%d,%.2f,%.1f,%d,%.1f,\"a \"\"b\"\"\nc\"\r\n", float64(i)/5, 50+1e-4*float64(i), 10.0, 100+i, 200.0, 50, 15.5, 20.0, 12000, 55.0)
	}
	l := text(t, "\xef\xbb\xbf"+head+body, Options{})
	if len(l.Fixes) != 40 {
		t.Fatalf("%d fixes, %v %v", len(l.Fixes), l.Dropped, l.Notes)
	}
	x := l.Fixes[7]
	for n, k := range map[string][2]float64{"speed": {x.Speed, 200 * kmh}, "throttle": {x.Throttle, 0.5}, "volts": {x.Volts, 15.5}, "amps": {x.Amps, 20}, "rpm": {x.RPM, 12000 * math.Pi / 30}, "airspeed": {x.Airspeed, 55}, "height": {x.Height, 107}, "latitude": {x.Lat, (50 + 7e-4) * degree}, "time": {x.T, 1.4}} {
		if math.Abs(k[0]-k[1]) > 1e-9 {
			t.Errorf("%s %g, want %g", n, k[0], k[1])
		}
	}
	// a saved map reads the same
	raw, err := json.Marshal(l.Columns)
	if err != nil {
		t.Fatal(err)
	}
	var m ColumnMap
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	again := text(t, "\xef\xbb\xbf"+head+body, Options{Columns: &m})
	if len(again.Fixes) != 40 || again.Fixes[7] != x {
		if fmt.Sprint(again.Fixes[7]) != fmt.Sprint(x) {
			t.Error("the saved map reads another thing")
		}
	}
	// units from contents: km/h without a label, ms, ten-millionths, decimal commas, a units row
	var b strings.Builder
	b.WriteString("timestamp;lat;lon;speed;alt\n")
	for i := 0; i < 60; i++ {
		b.WriteString(strings.ReplaceAll(fmt.Sprintf("%d;%d;%d;%.2f;%.1f\n", 1000+200*i, 500000000+int(1e7*float64(i)*0.2*50/111229), 100000000, 180.0, 30.5), ".", ","))
	}
	l = text(t, b.String(), Options{})
	if len(l.Fixes) != 60 || math.Abs(l.Fixes[5].Speed-50) > 0.1 || math.Abs(l.Fixes[5].T-l.Fixes[4].T-0.2) > 1e-6 || math.Abs(l.Fixes[0].Lat-50*degree) > 1e-9 || math.Abs(l.Fixes[0].Height-30.5) > 1e-9 {
		t.Errorf("guessed units: %+v; %+v", l.Fixes[5], l.Columns)
	}
	b.Reset()
	b.WriteString("time,latitude,longitude,gps speed\ns,deg,deg,kn\n")
	for i := 0; i < 20; i++ {
		fmt.Fprintf(&b, "%d,%.6f,%.6f,%d\n", i, 50+0.0003*float64(i), 10.0, 65)
	}
	if l = text(t, b.String(), Options{}); len(l.Fixes) != 20 || math.Abs(l.Fixes[3].Speed-65*knot) > 1e-9 {
		t.Errorf("units row: %+v", l.Columns)
	}
	// date and clock in two columns, place in one cell, over midnight
	b.Reset()
	b.WriteString("Date,Time,GPS,GSpd(kmh),VSpd(m/s),Hdg(°)\n")
	for i := 0; i < 20; i++ {
		at := time.Date(2025, 6, 21, 23, 59, 55, 0, time.UTC).Add(time.Duration(i) * 500 * time.Millisecond)
		fmt.Fprintf(&b, "%s,%s,%.6f %.6f,%d,0.0,0\n", at.Format("2006-01-02"), at.Format("15:04:05.000"), 50+0.00015*float64(i), 10.0, 120)
	}
	l = text(t, b.String(), Options{})
	if len(l.Fixes) != 20 || math.Abs(l.Duration()-9.5) > 1e-6 || !l.DateKnown || l.Start.Hour() != 23 || !l.Fixes[3].hasPlace() {
		t.Errorf("clock columns: %d fixes, %g s, start %v, %+v", len(l.Fixes), l.Duration(), l.Start, l.Columns)
	}
	// whole seconds at five rows a second
	b.Reset()
	b.WriteString("time,lat,lon,speed_mps\n")
	for i := 0; i < 100; i++ {
		fmt.Fprintf(&b, "12:30:%02d,%.7f,10,50\n", i/5, 50+1e-4*float64(i))
	}
	if l = text(t, b.String(), Options{}); len(l.Fixes) != 100 || math.Abs(l.Fixes[7].T-l.Fixes[0].T-1.4) > 1e-6 {
		t.Errorf("whole seconds: %d fixes, %v", len(l.Fixes), l.Dropped)
	}
	// no header
	b.Reset()
	for i := 0; i < 30; i++ {
		fmt.Fprintf(&b, "%.1f,%.7f,%.7f,%d\n", float64(i)*0.2, 50.1+1e-4*float64(i), 10.2+1e-5*float64(i), 30)
	}
	if l = text(t, b.String(), Options{}); len(l.Fixes) != 30 || !l.Fixes[3].hasPlace() {
		t.Errorf("no header: %d fixes, %+v", len(l.Fixes), l.Columns)
	}
	// torn and odd cells
	l = text(t, "t,lat,lon,speed\n0,50,10,20\n1,50.0002,10,nan\n2,50.0004\n3,50.0006,10,inf\n4,50.0008,10,1e999\n5,NaN,NaN,20\nx,50,10,20\n6,50.0012,10,20\n7,200,10,3\n8,50.002,10,20\n9,\"unclosed,10,20\n10,50.0022,10,20\n", Options{})
	if l.Total() < 2 || len(l.Fixes) < 6 {
		t.Errorf("torn: %d fixes, %v", len(l.Fixes), l.Dropped)
	}
	quoted := false
	for _, n := range l.Notes {
		quoted = quoted || n.Code == "csv-quote" && n.Span.Line == 12
	}
	if !quoted {
		t.Errorf("the open quote is not pointed at: %v", l.Notes)
	}
}

func TestRecorded(t *testing.T) {
	row := func(s cite.Source, n, u string) check.Row {
		return check.Row{Topic: "recorded logs", Name: n, Unit: u, Source: s.At("decoded by an independent plain reader", cite.Derived)}
	}
	top := func(l *Log) (v float64, at time.Time) {
		for _, f := range l.Fixes {
			if f.Speed > v {
				v, at = f.Speed, l.Start.Add(time.Duration(math.Round(f.T*1000))*time.Millisecond)
			}
		}
		return
	}
	// sailplane
	l := load(t, "evidence-real-glider-tas-wind.igc")
	s := cite.RecordedGlider
	count(t, row(s, "sailplane: fixes", ""), l.Records, 2469)
	count(t, row(s, "sailplane: recorder's winds", ""), len(l.Wind), 95)
	near(t, row(s, "sailplane: duration", "s"), l.Duration(), 17759, 0, "whole seconds")
	v, at := top(l)
	near(t, row(s, "sailplane: largest ground speed", "km/h"), v*3.6, 202.95, 1e-9, "two decimals recorded")
	near(t, row(s, "sailplane: its time of day", "s"), float64(at.Hour()*3600+at.Minute()*60+at.Second()), 54602, 0, "whole seconds")
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, f := range l.Fixes {
		lo, hi = math.Min(lo, f.PressureHeight), math.Max(hi, f.PressureHeight)
		if f.Speed == v {
			near(t, row(s, "sailplane: airspeed at that time", "km/h"), f.Airspeed*3.6, 195.05, 1e-9, "two decimals recorded")
		}
	}
	near(t, row(s, "sailplane: lowest pressure height", "m"), lo, 122, 0, "whole metres")
	near(t, row(s, "sailplane: highest pressure height", "m"), hi, 1416, 0, "whole metres")
	near(t, row(s, "sailplane: typical interval", "s"), medianStep(l.Fixes), 8, 0, "whole seconds")
	k := text(t, "HFDTE020911\nJ020810WDI1115WVE\nB1020265346296N02025184EA0012200122\nK10202730201930\nB1020285346296N02025184EA0012200122\n", Options{}).Wind
	near(t, row(cite.IGCSpec, "K record: wind from", "deg"), k[0].From/degree, 302, 1e-9, "whole degrees")
	near(t, row(cite.IGCSpec, "K record: wind speed", "km/h"), k[0].Speed*3.6, 19.30, 1e-9, "two decimals recorded")
	// stuck clock
	l = load(t, "evidence-real-stuck-clock.igc")
	s = cite.RecordedStuck
	count(t, row(s, "stuck clock: fixes", ""), l.Records, 200)
	count(t, row(s, "stuck clock: repeated times", ""), l.Count(SameTime), 50)
	p := Smooth(l)
	most, step := 0.0, 0.0
	for i := 1; i < len(p.Samples); i++ {
		step = math.Max(step, p.Samples[i].T-p.Samples[i-1].T)
		if x := p.Samples[i].ByPlace; x > most {
			most = x
		}
	}
	near(t, row(s, "stuck clock: largest step", "s"), step, 8, 0, "whole seconds")
	near(t, row(s, "stuck clock: fastest step", "km/h"), most*3.6, 145.9, 0.6, "the reference measured on a sphere, up to 0.3 % off")
	// carrier phase
	l = load(t, "evidence-real-rtk-10hz.nmea")
	s = cite.RecordedRTK
	count(t, row(s, "carrier phase: fixes", ""), l.Records, 122)
	count(t, row(s, "carrier phase: bad sentences", ""), l.Total(), 0)
	v, at = top(l)
	near(t, row(s, "carrier phase: largest speed", "m/s"), v, 1.67297, 5e-6, "last printed digit")
	near(t, row(s, "carrier phase: its time", "s"), float64(at.Second())+float64(at.Nanosecond())*1e-9, 20.60, 1e-3, "milliseconds")
	lo, hi, n := math.Inf(1), 0.0, 0
	for _, f := range l.Fixes {
		if f.T > 100 {
			lo, hi, n = math.Min(lo, f.Speed), math.Max(hi, f.Speed), n+1
		}
	}
	near(t, row(s, "carrier phase: least speed at rest", "m/s"), lo, 0.0010, 5e-5, "last printed digit")
	near(t, row(s, "carrier phase: largest speed at rest", "m/s"), hi, 0.0103, 5e-5, "last printed digit")
	count(t, row(s, "carrier phase: samples at rest", ""), n, 18)
	// car
	l = load(t, "evidence-real-car-60kmh.nmea")
	s = cite.RecordedCarNMEA
	withSpeed := 0
	for _, f := range l.Fixes {
		if known(f.Speed) {
			withSpeed++
		}
	}
	count(t, row(s, "car: fixes with speed (valid RMC)", ""), withSpeed, 13)
	count(t, row(s, "car: void instants", ""), l.Count(Void), 4)
	v, _ = top(l)
	near(t, row(s, "car: largest speed", "m/s"), v, 16.60265, 2e-5, "last printed digit")
	if l.Fixes[len(l.Fixes)-1].Section == l.Fixes[0].Section {
		t.Error("the two clusters of time are joined")
	}
	// rollover
	l = load(t, "evidence-real-rollover-badsum.nmea")
	s = cite.RecordedRollover
	raw, err := os.ReadFile("testdata/logs/evidence-real-rollover-badsum.nmea")
	if err != nil {
		t.Fatal(err)
	}
	good, bad, without := 0, 0, 0
	for _, line := range strings.Split(string(raw), "\n") {
		line = strings.TrimSpace(line)
		if !strings.HasPrefix(line, "$") {
			continue
		}
		star := strings.LastIndexByte(line, '*')
		if star < 0 || len(line)-star < 3 {
			without++
		} else if w, ok := hexByte([]byte(line[star+1 : star+3])); ok && w == Checksum([]byte(line[1:star])) {
			good++
		} else {
			bad++
		}
	}
	count(t, row(s, "rollover: good lines", ""), good, 86)
	count(t, row(s, "rollover: bad checksums, by line", ""), bad, 41)
	count(t, row(s, "rollover: without checksum, by line", ""), without, 5)
	valid := 0
	for _, f := range l.Fixes {
		if l.Start.Add(time.Duration(f.T*float64(time.Second))).Second() == 45 {
			valid++
		}
	}
	count(t, row(s, "rollover: fixes by RMC", ""), valid, 1)
	if l.Records != 2 { // and one by GGA alone, two seconds before
		t.Errorf("rollover: %d fixes", l.Records)
	}
	// split at every "$", 44 bad or unfinished sentences remain, and two sentences glued to torn ones are saved
	if b := l.Count(BadSum) + l.Count(NoSum); b < 40 || b > 60 {
		t.Errorf("rollover: %d bad sentences after splitting", b)
	}
	// car, GPX
	l = load(t, "evidence-real-car.gpx")
	s = cite.RecordedCarGPX
	count(t, row(s, "car GPX: points", ""), l.Records, 104)
	near(t, row(s, "car GPX: duration", "s"), l.Duration(), 514, 0, "whole seconds")
	length, fastest := 0.0, 0.0
	short, long := math.Inf(1), 0.0
	for i := 1; i < len(l.Fixes); i++ {
		a, b := l.Fixes[i-1], l.Fixes[i]
		d := 2 * 6371008.8 * math.Asin(math.Sqrt(sq(math.Sin((b.Lat-a.Lat)/2))+math.Cos(a.Lat)*math.Cos(b.Lat)*sq(math.Sin((b.Lon-a.Lon)/2))))
		length += d
		fastest = math.Max(fastest, d/(b.T-a.T))
		short, long = math.Min(short, b.T-a.T), math.Max(long, b.T-a.T)
	}
	near(t, row(s, "car GPX: length on the sphere", "m"), length, 2733, 0.5, "last printed digit")
	near(t, row(s, "car GPX: fastest step on the sphere", "m/s"), fastest, 25.99, 0.005, "last printed digit")
	near(t, row(s, "car GPX: shortest step", "s"), short, 1, 0, "whole seconds")
	near(t, row(s, "car GPX: median step", "s"), medianStep(l.Fixes), 1, 0, "whole seconds")
	near(t, row(s, "car GPX: longest step", "s"), long, 49, 0, "whole seconds")
	// segments and the spike
	l = load(t, "evidence-real-segments.gpx")
	s = cite.RecordedSegments
	count(t, row(s, "segments: points", ""), l.Records, 296)
	count(t, row(s, "segments: way points", ""), l.Landmarks, 7)
	p = Smooth(l)
	near(t, row(s, "segments: raw largest step", "m/s"), p.RawPeak, 91.85, 0.1, "the reference measured on a sphere")
	most = 0
	for i := range p.Samples {
		if x := p.Samples[i].ByPlace; x > most {
			most = x
		}
	}
	near(t, row(s, "segments: fastest step without the spike", "m/s"), most, 11.5, 0.05, "last printed digit; sphere")
	count(t, row(s, "segments: fixes set aside", ""), l.Total(), 1)
}

func TestSynthetic(t *testing.T) {
	l := load(t, "evidence-synth-run1.nmea")
	p := Smooth(l)
	row := func(n, u string) check.Row {
		return check.Row{Topic: "smoothing", Name: "synthetic flight: " + n, Unit: u, Source: cite.Ours.At("evidence-synth-run1.nmea, truth stated", cite.Derived)}
	}
	count(t, row("records", ""), l.Records, 726)
	count(t, row("repeated records", ""), l.Count(SameTime), 2)
	count(t, row("gaps", ""), len(l.Gaps), 1)
	count(t, row("spikes", ""), l.Count(SpeedSpike)+l.Count(PosSpike), 2)
	near(t, row("largest raw speed", "m/s"), p.RawPeak, 125.60, 0.005, "last printed digit")
	most, level := 0.0, 0.0
	for i := range p.Samples {
		s := &p.Samples[i]
		if s.Used {
			most = math.Max(most, s.Speed())
			if math.Abs(s.Vel[2]) < 2 && s.T < 60 {
				level = math.Max(level, s.Speed())
			}
		}
	}
	near(t, row("cleaned peak", "m/s"), most, 82.2, 0.5, "the reference's own tolerance")
	near(t, row("cleaned level peak", "m/s"), level, 78.0, 0.4, "the reference's own tolerance")
	near(t, row("white noise of the velocity found", "m/s"), p.Noise.Speed, 0.10, 0.03, "a fit to 720 samples, of which the turns say little")
}

func TestWave(t *testing.T) {
	raw, err := os.ReadFile("testdata/logs/evidence-flyby1.wav")
	if err != nil {
		t.Fatal(err)
	}
	s, err := ReadWAV(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	r := func(n string) check.Row {
		return check.Row{Topic: "log formats: WAVE", Name: n, Source: cite.RIFFWave.At("fmt and data chunks", cite.Memory)}
	}
	count(t, r("samples"), len(s.Samples), 24000)
	count(t, r("rate"), int(s.Rate), 8000)
	count(t, r("bits"), s.Bits, 16)
	count(t, r("bytes of the file"), len(raw), 48044)
	for i := 0; i < len(raw) && i < 400; i++ {
		if s, err := ReadWAV(bytes.NewReader(raw[:i])); err == nil && len(s.Samples) > 200 {
			t.Errorf("cut at %d: %d samples", i, len(s.Samples))
		}
	}
	huge := bytes.Clone(raw[:100])
	copy(huge[40:], []byte{0xf0, 0xff, 0xff, 0x7f})
	if s, err := ReadWAV(bytes.NewReader(huge)); err != nil || !s.Torn || len(s.Samples) != 28 {
		t.Errorf("a header that claims 2 GB: %v", err)
	}
	for bits, want := range map[int]float64{8: -1, 24: -1, 32: -1} {
		b := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x40\x1f\x00\x00\x00\x00\x00\x00")
		b = append(b, byte(bits/8), 0, byte(bits), 0)
		b = append(b, "data\x04\x00\x00\x00"...)
		switch bits {
		case 8:
			b = append(b, 0, 0x80, 0x80, 0x80)
		case 24:
			b = append(b, 0, 0, 0x80, 0)
		case 32:
			b = append(b, 0, 0, 0, 0x80)
		}
		s, err := ReadWAV(bytes.NewReader(b))
		if err != nil || math.Abs(float64(s.Samples[0])-want) > 1e-6 {
			t.Errorf("%d bits: %v %v", bits, s, err)
		}
	}
}

// Hostile input: a clear message, bounded memory, no panic.
func TestHostile(t *testing.T) {
	for n, s := range map[string]string{
		"empty": "", "newline": "\n", "binary": string([]byte{0, 1, 2, 3, 0xff, 0xfe, 0, 0, 7}), "words": "hello world, this is no log\n",
		"one column": "1\n2\n3\n", "header only": "time,lat,lon\n", "nuls": strings.Repeat("\x00", 5000), "numbers": "1e308,1e308,1e308\n2e308,-1e308,0\n",
		"quote": "\"", "gnss void": "$GPRMC,,V,,,,,,,,,,N*53\n", "dollar": "$$$$$$$\n", "igc no fix": "AXXX\nHFDTE010203\nLXXX\n", "semi": ";;;;\n;;;;\n",
	} {
		l, err := Read(strings.NewReader(s), Options{})
		if err == nil || !errors.Is(err, ErrNoFixes) || l == nil || !l.Notes.HasErrors() {
			t.Errorf("%s: err %v", n, err)
		}
	}
	// rows without end
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	row := &endless{head: "t,lat,lon,speed\n", n: 400000}
	l, err := Read(row, Options{MaxFixes: 20000})
	if err != nil || len(l.Fixes) > 20000 || len(l.Fixes) < 9000 || l.Records != 400000 {
		t.Errorf("endless rows: %v, %d fixes, %v", err, len(l.Fixes), l.Dropped)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 64<<20 {
		t.Errorf("endless rows hold %d MB", grown>>20)
	}
	runtime.KeepAlive(l)
	// a line without end
	long := io.LimitReader(&repeat{b: 'x'}, 50<<20)
	if _, err := Read(io.MultiReader(strings.NewReader("t,lat,lon\n0,50,10\n1,50.1,10\n"), long), Options{}); err != nil {
		t.Errorf("endless line: %v", err)
	}
	// huge and odd numbers are kept out, the smoother lives
	l = text(t, "t,lat,lon,speed,alt\n0,50,10,20,1e9\n1,50.0002,10,20,-1e8\n1e12,50,10,20,0\n2,50.0004,10,1e8,5\n3,50.0006,10.5,20,5\n4,-50.0008,10,20,5\n5,50.001,10,20,5\n", Options{})
	p := Smooth(l)
	for _, s := range p.Samples {
		if !known(s.Pos[0]) || !known(s.Vel[0]) {
			t.Error("the smoother gave a number that is none")
		}
	}
}

type endless struct {
	head string
	i, n int
	buf  []byte
}

func (e *endless) Read(p []byte) (int, error) {
	if e.head != "" {
		n := copy(p, e.head)
		e.head = e.head[n:]
		return n, nil
	}
	if len(e.buf) == 0 {
		if e.i >= e.n {
			return 0, io.EOF
		}
		e.buf = fmt.Appendf(nil, "%.2f,%.7f,10.0000000,50\n", float64(e.i)*0.04, 50+1e-6*float64(e.i))
		e.i++
	}
	n := copy(p, e.buf)
	e.buf = e.buf[n:]
	return n, nil
}

type repeat struct{ b byte }

func (r *repeat) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = r.b
	}
	return len(p), nil
}

// The smoother in blocks is the smoother in one piece.
func TestBlocks(t *testing.T) {
	n := 20000
	a := &axes{t: make([]float64, n), section: make([]int32, n), z: [2][]float64{make([]float64, n), make([]float64, n)}, v: [2][]float64{none(n), none(n)}, k: 2}
	for i := range a.t {
		a.t[i] = float64(i) * 0.1
		a.z[0][i] = 30*a.t[i] + 3*math.Sin(a.t[i]*3) + math.Sin(float64(i)*17.3)
		a.z[1][i] = 50 * math.Cos(a.t[i]*0.7)
	}
	m := Noise{AccSD: 8, AccTime: 1.5, Place: 0.5, Drift: 1.5, DriftTime: 30, Speed: 0.15}.horizontal()
	got := make([][2][4]float64, n)
	a.run(m, func(i int, x *[2][4]float64, _ *cov) { got[i] = *x })
	// plain: everything kept
	f := &filter{m: &m, k: 2}
	ks := make([]kept, n)
	for i := range a.t {
		if i == 0 {
			f.start([2]float64{a.z[0][0], a.z[1][0]}, [2]float64{})
		} else {
			f.predict(a.t[i]-a.t[i-1], 1)
		}
		f.measure(a, i)
		ks[i] = kept{x: f.x, p: f.p}
	}
	xs := ks[n-1].x
	worst := 0.0
	for i := n - 2; i >= 0; i-- {
		tr := transition{dt: -1}
		m.over(a.t[i+1]-a.t[i], &tr)
		pp, fp := tr.covariance(&ks[i].p, 1)
		inv, _ := invert(&pp)
		var next [2][4]float64
		for ax := 0; ax < 2; ax++ {
			pr := tr.state(&ks[i].x[ax])
			for r := 0; r < 4; r++ {
				next[ax][r] = ks[i].x[ax][r]
				for q := 0; q < 4; q++ {
					g := 0.0
					for k := 0; k < 4; k++ {
						g += fp[k][r] * inv[k][q]
					}
					next[ax][r] += g * (xs[ax][q] - pr[q])
				}
			}
		}
		xs = next
		for ax := 0; ax < 2; ax++ {
			for r := 0; r < 3; r++ {
				worst = math.Max(worst, math.Abs(xs[ax][r]-got[i][ax][r]))
			}
		}
	}
	if worst > 1e-4 {
		t.Errorf("blocks differ from one piece by %g", worst)
	}
	t.Logf("blocks differ from one piece by %.2g", worst)
}

// A receiver that is late is found out.
func TestLatency(t *testing.T) {
	for _, lag := range []float64{0, 0.2, 0.5} {
		var b strings.Builder
		b.WriteString("time_s,east_m,north_m,v_east [m/s],v_north [m/s],alt [m]\n")
		for i := 0; i < 900; i++ {
			x := float64(i) * 0.1
			w := 0.8
			r := 60.0
			px, py := r*math.Sin(w*x), r*math.Cos(w*x)
			y := x - lag
			vx, vy := r*w*math.Cos(w*y), -r*w*math.Sin(w*y)
			n := func(k int) float64 { return 0.05 * math.Sin(float64(i*k)*12.9898) }
			fmt.Fprintf(&b, "%.1f,%.4f,%.4f,%.4f,%.4f,50\n", x, px+n(1), py+n(2), vx+n(3), vy+n(5))
		}
		p := Smooth(text(t, b.String(), Options{}))
		if math.Abs(p.Noise.Latency-lag) > 0.03 {
			t.Errorf("latency %.3f ± %.3f, want %.1f", p.Noise.Latency, p.Noise.LatencySD, lag)
		}
		// and the velocity is put where it belongs
		s := p.Samples[450]
		if want := 60 * 0.8 * math.Cos(0.8*s.T); math.Abs(s.Vel[0]-want) > 0.8 {
			t.Errorf("lag %.1f: velocity %.2f, want %.2f", lag, s.Vel[0], want)
		}
	}
}

// What is written is read again.
func TestExports(t *testing.T) {
	p := Smooth(load(t, "evidence-synth-run1.nmea"))
	var gpx, kml, gj, cs bytes.Buffer
	if err := p.WriteGPX(&gpx, `a <"name"> & co`); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteKML(&kml, "flight"); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteGeoJSON(&gj, "flight"); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteCSV(&cs, map[string][]float64{"airspeed_mps": make([]float64, len(p.Samples))}, []string{"airspeed_mps"}); err != nil {
		t.Fatal(err)
	}
	used := 0
	for _, s := range p.Samples {
		if s.Used {
			used++
		}
	}
	for n, b := range map[string][]byte{"gpx": gpx.Bytes(), "csv": cs.Bytes()} {
		l, err := Read(bytes.NewReader(b), Options{})
		if err != nil {
			t.Fatal(n, err)
		}
		if len(l.Fixes) < used {
			t.Errorf("%s: %d of %d fixes come back", n, len(l.Fixes), used)
		}
		i := 300
		d := math.Hypot(l.Fixes[i].Lat-p.Log.Fixes[i].Lat, l.Fixes[i].Lon-p.Log.Fixes[i].Lon) * 6.4e6
		if d > 40 {
			t.Errorf("%s: fix 300 is %.1f m off", n, d)
		}
	}
	var fc struct {
		Type     string
		Features []struct {
			Geometry struct {
				Type        string
				Coordinates [][]float64
			}
			Properties struct{ Times []string }
		}
	}
	if err := json.Unmarshal(gj.Bytes(), &fc); err != nil {
		t.Fatal(err)
	}
	c := fc.Features[0].Geometry.Coordinates[0]
	if fc.Type != "FeatureCollection" || math.Abs(c[0]-9.994) > 0.01 || math.Abs(c[1]-50) > 0.01 || len(fc.Features[0].Properties.Times) != len(fc.Features[0].Geometry.Coordinates) {
		t.Errorf("GeoJSON: %v", c)
	}
	if !strings.Contains(kml.String(), "<altitudeMode>absolute</altitudeMode>") || strings.Count(kml.String(), "\n") < used {
		t.Error("KML is short")
	}
}

// Week rollover: dates 1024 weeks apart.
func TestRollover(t *testing.T) {
	src := cite.ISGPS200.At("ten-bit week count", cite.Memory)
	for _, k := range []struct{ utc, back string }{{"1999-08-22", "1980-01-06"}, {"2019-04-07", "1999-08-22"}, {"2016-12-31", "1997-05-17"}, {"2017-01-01", "1997-05-18"}, {"2024-05-12", "2004-09-26"}} {
		a, _ := time.Parse("2006-01-02", k.utc)
		b, _ := time.Parse("2006-01-02", k.back)
		near(t, check.Row{Topic: "time", Name: "days from " + k.back + " to " + k.utc, Unit: "d", Source: src}, a.Sub(b).Hours()/24, rollover/86400, 0, "whole days")
	}
	for _, k := range []struct {
		utc       string
		sec       int64
		week, tow int
		back      string
	}{
		{"1999-08-22T00:00:00Z", 619315213, 1024, 13, "1980-01-06"}, {"2019-04-07T00:00:00Z", 1238630418, 2048, 18, "1999-08-22"},
		{"2016-12-31T23:59:59Z", 1167264016, 1930, 16, "1997-05-17"}, {"2017-01-01T00:00:00Z", 1167264018, 1930, 18, "1997-05-18"},
		{"2024-05-12T10:00:00Z", 1399543218, 2314, 36018, "2004-09-26"},
	} {
		u, err := time.Parse(time.RFC3339, k.utc)
		if err != nil {
			t.Fatal(err)
		}
		sec, week, tow := GPSTime(u)
		r := func(n, unit string) check.Row {
			return check.Row{Topic: "time", Name: k.utc + ": " + n, Unit: unit, Source: src}
		}
		near(t, r("GPS seconds", "s"), float64(sec), float64(k.sec), 0, "whole seconds")
		near(t, r("GPS week", ""), float64(week), float64(k.week), 0, "whole weeks")
		near(t, r("second of the week", "s"), float64(tow), float64(k.tow), 0, "whole seconds")
		if got := RolledBack(u).Format("2006-01-02"); got != k.back {
			t.Errorf("%s shown as %s, want %s", k.utc, got, k.back)
		}
	}
	sum := func(body string) string { return fmt.Sprintf("$%s*%02X\n", body, Checksum([]byte(body))) }
	l := text(t, sum("GPRMC,100000,A,4807.038,N,01131.000,E,1,0,260904,,")+sum("GPRMC,100001,A,4807.038,N,01131.000,E,1,0,260904,,")+sum("GPRMC,100002,A,4807.038,N,01131.000,E,1,0,120524,,")+sum("GPRMC,100003,A,4807.038,N,01131.000,E,1,0,120524,,"), Options{})
	said := false
	for _, n := range l.Notes {
		said = said || strings.Contains(n.Hint, "rolled over")
	}
	if !said || len(l.Fixes) != 4 || l.Duration() > 10 || l.Fixes[3].Section != 1 {
		t.Errorf("rollover: %v, duration %g", l.Notes, l.Duration())
	}
}

// A walker's log: a false point and a jump no aeroplane's limit would catch.
func TestKinks(t *testing.T) {
	var b strings.Builder
	b.WriteString("t,lat,lon\n")
	x := 0.0
	for i := 0; i < 200; i++ {
		x += 1.4
		e := 0.3 * math.Sin(float64(i)*2.1)
		y := e
		if i == 60 {
			y += 22
		}
		if i >= 120 {
			y += 30 // a new fix after the receiver lost itself
		}
		fmt.Fprintf(&b, "%d,%.8f,%.8f\n", i, 50+x/111229.0640, 10+y/71695.7536)
	}
	l := text(t, b.String(), Options{})
	p := Smooth(l)
	if l.Count(PosSpike) != 1 {
		t.Errorf("dropped %v", l.Dropped)
	}
	top := 0.0
	for _, s := range p.Samples {
		if s.Used {
			top = math.Max(top, s.Speed())
		}
		if s.ByPlace > 4 {
			t.Errorf("a step of %.1f m/s at %g s is left", s.ByPlace, s.T)
		}
	}
	if top > 2.5 {
		t.Errorf("a walker at %.1f m/s", top)
	}
	if p.Samples[119].Section == p.Samples[120].Section {
		t.Error("the jump is bridged")
	}
}

// Logs made to cost time: four times the records take about four times as
// long, not sixteen.
func TestCost(t *testing.T) {
	for n, line := range map[string]func(i int) string{
		"false places without end":    func(i int) string { return fmt.Sprintf("%.1f,%.6f,10\n", float64(i)*0.1, 50+float64(i%2)*0.01) },
		"places leaping about":        func(i int) string { return fmt.Sprintf("%.1f,%.6f,10\n", float64(i)*0.1, 50+float64(i*7919%101)*0.01) },
		"a hundred thousand a second": func(i int) string { return fmt.Sprintf("%.6f,%.8f,10\n", float64(i)*1e-5, 50+float64(i)*1e-9) },
		"a month between records":     func(i int) string { return fmt.Sprintf("%d,%.6f,10\n", i*29*86400, 50+float64(i)*1e-5) },
	} {
		cost := func(rows int) float64 {
			var b strings.Builder
			b.WriteString("t,lat,lon\n")
			for i := 0; i < rows; i++ {
				b.WriteString(line(i))
			}
			best := math.Inf(1)
			for k := 0; k < 3; k++ {
				from := time.Now()
				l, err := Read(strings.NewReader(b.String()), Options{})
				if err != nil {
					t.Fatalf("%s: %v", n, err)
				}
				Smooth(l)
				best = math.Min(best, time.Since(from).Seconds())
			}
			return best
		}
		if r := cost(40000) / cost(10000); r > 10 {
			t.Errorf("%s: four times the records take %.1f times as long", n, r)
		} else {
			t.Logf("%s: %.1f", n, r)
		}
	}
}
