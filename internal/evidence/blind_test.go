package evidence

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"fledge/internal/track"
)

// A generator of its own, by the aeroplane's heading and bank on a spherical
// earth, with a wind that grows with height and gusts: nothing of it is shared
// with the other made-up flights of this package.

type moment struct {
	t, lat, lon, h   float64 // s, degrees, m above the field
	vn, ve, up       float64 // over the ground, m/s
	tas, hdg, thr    float64 // m/s, degrees, 0..1
	volts, amps, mah float64
}

type order struct {
	secs  float64
	turn  float64 // degrees of heading
	climb float64 // m/s
	speed float64 // airspeed at the end; 0 keeps
	thr   float64
}

type air2 struct {
	from, speed float64 // degrees, m/s at 10 m
	power       float64 // of the growth with height
	gust        float64 // m/s
}

// wind is where the air goes, north and east.
func (a air2) wind(h float64) (n, e float64) {
	k := math.Pow(math.Max(h, 2)/10, a.power)
	s, c := math.Sincos((a.from + 180) * deg)
	return a.speed * k * c, a.speed * k * s
}

func sortie(seed uint64, lat0, lon0, hdg0, v0 float64, w air2, orders []order) []moment {
	rnd := rand.New(rand.NewPCG(seed, 99))
	const dt, radius = 0.02, 6371000.0
	m := moment{lat: lat0, lon: lon0, tas: v0, hdg: hdg0, volts: 16.4}
	gn, ge := 0.0, 0.0
	var out []moment
	for _, o := range orders {
		n := int(o.secs / dt)
		from := m.tas
		for i := range n {
			x := (float64(i) + 1) / float64(n)
			if o.speed > 0 {
				m.tas = from + (o.speed-from)*x
			}
			m.hdg = math.Mod(m.hdg+o.turn/float64(n)+360, 360)
			m.thr = o.thr
			a := math.Exp(-dt / 2)
			gn = a*gn + w.gust*math.Sqrt(1-a*a)*rnd.NormFloat64()
			ge = a*ge + w.gust*math.Sqrt(1-a*a)*rnd.NormFloat64()
			wn, we := w.wind(m.h)
			flat := math.Sqrt(math.Max(0, m.tas*m.tas-o.climb*o.climb))
			s, c := math.Sincos(m.hdg * deg)
			m.vn, m.ve, m.up = flat*c+wn+gn, flat*s+we+ge, o.climb
			if m.tas < 3 { // in the hand, or stopped
				m.vn, m.ve, m.up = m.tas*c, m.tas*s, 0
			}
			m.lat += m.vn * dt / radius / deg
			m.lon += m.ve * dt / radius / deg / math.Cos(m.lat*deg)
			m.h += m.up * dt
			m.amps = 2 + 55*o.thr*o.thr
			m.mah += m.amps * dt / 3.6
			m.volts = 16.6 - 0.02*m.amps - 1.2*m.mah/1800
			m.t += dt
			out = append(out, m)
		}
	}
	return out
}

// box: from rest, launched, flown in long passes with turns, and landed.
func flight2(v float64) []order {
	list := []order{{8, 0, 0, 0.1, 0}, {1, 0, 0, 14, 0}, {6, 0, 5, 24, 1}, {5, 180, 3, 40, 1}, {8, 0, 0, v, 1}}
	for k := range 4 {
		t := 180.0
		if k%2 == 1 {
			t = -180
		}
		list = append(list, order{12, 0, 0, v, 1}, order{math.Pi * 60 / v, t, 0, v, 1})
	}
	list = append(list, order{10, 0, 0, v, 1}, order{10, 360, 0, 30, 0.3}, order{10, 360, 0, 30, 0.3}, order{22, 0, -2, 17, 0}, order{12, 180, -0.6, 15, 0}, order{7, 0, -2.9, 12, 0}, order{2, 0, 0, 0.1, 0}, order{8, 0, 0, 0.1, 0})
	return list
}

// seen samples what a receiver writes.
func seen(seed uint64, ms []moment, hz, speedSD, placeSD, heightSD, late float64) []moment {
	rnd := rand.New(rand.NewPCG(seed, 7))
	step := int(math.Round(50 / hz))
	bn, be, bh := 1.2*rnd.NormFloat64(), 1.2*rnd.NormFloat64(), 1.5*rnd.NormFloat64()
	var out []moment
	lag := int(late * 50)
	for i := lag; i < len(ms); i += step {
		m := ms[i]
		a := math.Exp(-float64(step) * 0.02 / 40)
		g := math.Sqrt(1 - a*a)
		bn, be, bh = a*bn+1.2*g*rnd.NormFloat64(), a*be+1.2*g*rnd.NormFloat64(), a*bh+1.5*g*rnd.NormFloat64()
		m.lat += (bn + placeSD*rnd.NormFloat64()) / 6371000 / deg
		m.lon += (be + placeSD*rnd.NormFloat64()) / 6371000 / deg / math.Cos(m.lat*deg)
		m.h += bh + heightSD*rnd.NormFloat64()
		m.vn, m.ve = ms[i-lag].vn+speedSD*rnd.NormFloat64(), ms[i-lag].ve+speedSD*rnd.NormFloat64()
		out = append(out, m)
	}
	return out
}

func (m moment) gs() float64 { return math.Hypot(m.vn, m.ve) }
func (m moment) cog() float64 {
	return math.Mod(math.Atan2(m.ve, m.vn)/deg+360, 360)
}

var began = time.Date(2026, 3, 28, 23, 58, 50, 0, time.UTC) // over midnight

func (m moment) at() time.Time {
	return began.Add(time.Duration(math.Round(m.t*1000)) * time.Millisecond)
}

// The forms a log may come in.
var forms = []struct {
	name  string
	hz    float64
	write func(ms []moment) string
}{
	{"GPX 1.0 with speed and course", 1, func(ms []moment) string {
		var b strings.Builder
		b.WriteString(`<?xml version="1.0" encoding="ISO-8859-1"?><gpx version="1.0" creator="x" xmlns="http://www.topografix.com/GPX/1/0"><trk><name>flight</name><trkseg>`)
		for _, m := range ms {
			fmt.Fprintf(&b, `<trkpt lat="%.7f" lon="%.7f"><ele>%.1f</ele><time>%s</time><course>%.1f</course><speed>%.2f</speed><fix>3d</fix><sat>11</sat></trkpt>`, m.lat, m.lon, m.h+412, m.at().Format("2006-01-02T15:04:05Z"), m.cog(), m.gs())
		}
		return b.String() + "</trkseg></trk></gpx>"
	}},
	{"GPX 1.1 with local time zone", 5, func(ms []moment) string {
		var b strings.Builder
		b.WriteString(`<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1" xmlns:q="http://example.org/q"><trk><trkseg>` + "\n")
		zone := time.FixedZone("", 5400)
		for _, m := range ms {
			fmt.Fprintf(&b, "<trkpt lat=\"%.8f\" lon=\"%.8f\"><ele>%.2f</ele><time>%s</time><extensions><q:speed>%.3f</q:speed><q:course>%.2f</q:course></extensions></trkpt>\n", m.lat, m.lon, m.h+412, m.at().In(zone).Format("2006-01-02T15:04:05.000-07:00"), m.gs(), m.cog())
		}
		return b.String() + "</trkseg></trk></gpx>"
	}},
	{"IGC with extensions", 1, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("AXXXabc\r\nHFDTEDATE:280326,01\r\nHFFXA010\r\nHOPLTPILOT:\r\nI043638FXA3940SIU4143GSP4446TRT\r\n")
		dms := func(x float64, w int, plus, minus string) string {
			s := plus
			if x < 0 {
				s, x = minus, -x
			}
			d := math.Floor(x)
			return fmt.Sprintf("%0*d%05d%s", w, int(d), min(59999, int(math.Round((x-d)*60000))), s)
		}
		for _, m := range ms {
			fmt.Fprintf(&b, "B%s%s%sA%05d%05d00912%03d%03d\r\n", m.at().Format("150405"), dms(m.lat, 2, "N", "S"), dms(m.lon, 3, "E", "W"), int(m.h+395), int(m.h+412), int(math.Round(m.gs()*3.6)), int(m.cog()))
		}
		return b.String() + "GXXXXX\r\n"
	}},
	{"NMEA of several talkers", 10, func(ms []moment) string {
		var b bytes.Buffer
		for i, m := range ms {
			at := m.at()
			h := at.Format("150405.00")
			talk := []string{"GN", "GL", "GP"}[i/300%3]
			lat, ns, lon, ew := math.Abs(m.lat), "N", math.Abs(m.lon), "E"
			if m.lat < 0 {
				ns = "S"
			}
			if m.lon < 0 {
				ew = "W"
			}
			la := fmt.Sprintf("%02d%08.5f,%s", int(lat), math.Min(59.99999, (lat-math.Floor(lat))*60), ns)
			lo := fmt.Sprintf("%03d%08.5f,%s", int(lon), math.Min(59.99999, (lon-math.Floor(lon))*60), ew)
			sentence(&b, fmt.Sprintf("%sRMC,%s,A,%s,%s,%.2f,%.1f,%s,,,D,V", talk, h, la, lo, m.gs()/(1852.0/3600), m.cog(), at.Format("020106")))
			sentence(&b, fmt.Sprintf("%sVTG,%.1f,T,,M,%.2f,N,%.2f,K,D", talk, m.cog(), m.gs()/(1852.0/3600), m.gs()*3.6))
			sentence(&b, fmt.Sprintf("%sGGA,%s,%s,%s,2,17,0.71,%.1f,M,47.1,M,,0000", talk, h, la, lo, m.h+412))
			if i%10 == 0 {
				sentence(&b, "GPGSV,3,1,12,01,40,083,46,02,17,308,41,12,07,344,39,14,22,228,45")
				b.WriteString("$PXYZ,unknown,1,2,3\r\n")
			}
			if i%97 == 5 {
				b.WriteString("$GNRMC,12") // torn
				b.WriteString("\r\n")
			}
		}
		return b.String()
	}},
	{"telemetry: date and time apart, place in one cell, km/h", 5, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("Date,Time,1RSS(dB),VFAS(V),Curr(A),Capa(mAh),GPS,GSpd(kmh),Hdg(°),GAlt(m),Thr,Rud\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%s,%s,87,%.2f,%.1f,%.0f,%.6f %.6f,%.1f,%.1f,%.1f,%.0f,-3\n", m.at().Format("2006-01-02"), m.at().Format("15:04:05.000"), m.volts, m.amps, m.mah, m.lat, m.lon, m.gs()*3.6, m.cog(), m.h+412, -1024+2048*m.thr)
		}
		return b.String()
	}},
	{"flight controller: microseconds, degrees e7, cm/s", 10, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("loopIteration,time (us),vbatLatest (V),amperageLatest (A),GPS_numSat,GPS_coord[0],GPS_coord[1],GPS_altitude (m),GPS_speed (cm/s),GPS_ground_course (deg)\n")
		for i, m := range ms {
			fmt.Fprintf(&b, "%d,%d,%.2f,%.2f,14,%.7f,%.7f,%.0f,%.0f,%.1f\n", i*64, int(m.t*1e6)+8123456, m.volts, m.amps, m.lat, m.lon, m.h+412, m.gs()*100, m.cog())
		}
		return b.String()
	}},
	{"semicolons and decimal commas", 5, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("# recorded at the field\r\nZeit [s];Latitude;Longitude;Altitude [m];Speed [km/h];Course [°];Voltage [V]\r\n")
		for _, m := range ms {
			row := fmt.Sprintf("%.2f;%.7f;%.7f;%.1f;%.2f;%.1f;%.2f\r\n", m.t, m.lat, m.lon, m.h+412, m.gs()*3.6, m.cog(), m.volts)
			b.WriteString(strings.ReplaceAll(row, ".", ","))
		}
		return b.String()
	}},
	{"miles an hour and feet, clock of the day", 5, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("UTC time,Lat,Lng,Alt (ft),Speed (mph),Heading (deg)\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%s,%.6f,%.6f,%.1f,%.2f,%.0f\n", m.at().Format("15:04:05.00"), m.lat, m.lon, (m.h+412)/0.3048, m.gs()/0.44704, m.cog())
		}
		return b.String()
	}},
	{"knots, tabs, unix time, columns turned round", 4, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("sog_kn\tcog_deg\theight_m\tlongitude\tlatitude\ttimestamp\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%.3f\t%.1f\t%.1f\t%.7f\t%.7f\t%.3f\n", m.gs()/(1852.0/3600), m.cog(), m.h+412, m.lon, m.lat, float64(m.at().UnixMilli())/1000)
		}
		return b.String()
	}},
	{"velocities north, east, down", 10, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("TimeUS,Lat,Lng,Alt,VN,VE,VD\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%d,%.7f,%.7f,%.2f,%.3f,%.3f,%.3f\n", int(m.t*1e6), m.lat, m.lon, m.h+412, m.vn, m.ve, -m.up)
		}
		return b.String()
	}},
	{"positions and heights alone", 5, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("t,lat,lon,alt\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%.2f,%.7f,%.7f,%.2f\n", m.t, m.lat, m.lon, m.h)
		}
		return b.String()
	}},
	{"airspeed and attitude, milliseconds", 10, func(ms []moment) string {
		var b strings.Builder
		b.WriteString("time_ms,latitude,longitude,altitude_m,groundspeed_mps,airspeed_mps,yaw_deg,throttle_pct\n")
		for _, m := range ms {
			fmt.Fprintf(&b, "%.0f,%.7f,%.7f,%.2f,%.2f,%.2f,%.1f,%.0f\n", m.t*1000, m.lat, m.lon, m.h+412, m.gs(), m.tas*0.96, m.hdg, 100*m.thr)
		}
		return b.String()
	}},
}

// More forms: what spreadsheets, other languages and older recorders make.
func init() {
	letter := func(x float64, plus, minus string) (float64, string) {
		if x < 0 {
			return -x, minus
		}
		return x, plus
	}
	rows := func(head string, row func(m moment) string) func([]moment) string {
		return func(ms []moment) string {
			var b strings.Builder
			b.WriteString(head + "\n")
			for _, m := range ms {
				b.WriteString(row(m) + "\n")
			}
			return b.String()
		}
	}
	type form = struct {
		name  string
		hz    float64
		write func(ms []moment) string
	}
	forms = append(forms,
		form{"month first, am and pm", 5, rows("Date,Time,Lat,Lon,Alt(m),Speed(mph)", func(m moment) string {
			return fmt.Sprintf("%s,%s,%.6f,%.6f,%.1f,%.2f", m.at().Format("01/02/2006"), m.at().Format("3:04:05.00 PM"), m.lat, m.lon, m.h+412, m.gs()/0.44704)
		})},
		form{"day first, dots", 5, rows("datetime;lat;lon;alt_m;spd_kmh", func(m moment) string {
			return fmt.Sprintf("%s;%.6f;%.6f;%.1f;%.1f", m.at().Format("02.01.2006 15:04:05.000"), m.lat, m.lon, m.h+412, m.gs()*3.6)
		})},
		form{"decimal commas in quotes, German", 5, rows(`"Zeit","Breite","Länge","Höhe [m]","Geschwindigkeit [km/h]"`, func(m moment) string {
			var c []string
			for _, v := range []float64{m.t, m.lat, m.lon, m.h + 412, m.gs() * 3.6} {
				c = append(c, `"`+strings.Replace(fmt.Sprintf("%.6f", v), ".", ",", 1)+`"`)
			}
			return strings.Join(c, ",")
		})},
		form{"letters of the compass before", 5, rows("time,lat,lon,alt,speed", func(m moment) string {
			la, ns := letter(m.lat, "N", "S")
			lo, ew := letter(m.lon, "E", "W")
			return fmt.Sprintf("%.2f,%s%.6f,%s%.6f,%.1f,%.2f", m.t, ns, la, ew, lo, m.h+412, m.gs())
		})},
		form{"letters of the compass in columns of their own", 5, rows("time,latitude,N/S,longitude,E/W,alt,speed", func(m moment) string {
			la, ns := letter(m.lat, "N", "S")
			lo, ew := letter(m.lon, "E", "W")
			return fmt.Sprintf("%.2f,%.7f,%s,%.7f,%s,%.1f,%.2f", m.t, la, ns, lo, ew, m.h+412, m.gs())
		})},
		form{"degrees, minutes and seconds; minutes of time", 5, rows("elapsed;position lat;position lon;alt;speed", func(m moment) string {
			dms := func(x float64, plus, minus string) string {
				x, l := letter(x, plus, minus)
				d := math.Floor(x)
				mm := math.Floor((x - d) * 60)
				return fmt.Sprintf("%.0f°%02.0f'%08.5f\"%s", d, mm, ((x-d)*60-mm)*60, l)
			}
			return fmt.Sprintf("%d:%05.2f;%s;%s;%.1f;%.2f", int(m.t/60), math.Mod(m.t, 60), dms(m.lat, "N", "S"), dms(m.lon, "E", "W"), m.h+412, m.gs())
		})},
		form{"sixteen bit letters", 5, func(ms []moment) string {
			text := rows("Time,Latitude,Longitude,Altitude,Speed,Course\ns,deg,deg,m,km/h,deg", func(m moment) string {
				return fmt.Sprintf("%.2f,%.7f,%.7f,%.1f,%.2f,%.1f", m.t, m.lat, m.lon, m.h+412, m.gs()*3.6, m.cog())
			})(ms)
			b := []byte{0xff, 0xfe}
			for _, c := range []byte(text) {
				b = append(b, c, 0)
			}
			return string(b)
		}},
		form{"two minutes of rest first, nothing says its unit", 10, func(ms []moment) string {
			row := func(t float64, m moment) string {
				course, speed := m.cog(), m.gs()*3.6
				if m.gs() < 1 {
					course, speed = 0, 0
				}
				return fmt.Sprintf("%.1f,%.7f,%.7f,%.1f,%.2f,%.1f,%.0f", t, m.lat, m.lon, m.h+412, speed, course, 100*m.thr)
			}
			out := []string{"time,lat,lon,alt,speed,course,throttle"}
			for i := range 1200 {
				out = append(out, row(float64(i)/10-120, ms[0]))
			}
			for _, m := range ms {
				out = append(out, row(m.t, m))
			}
			return strings.Join(out, "\n")
		}},
	)
}

// Every form of every flight: wind, level airspeed and two-way speed lie within
// 3.5 of their own standard deviations and what gusts of that strength leave,
// or are refused with a reason; and most are not refused.
func TestBlind(t *testing.T) {
	places := [][2]float64{{48.2, 11.4}, {-33.9, 151.1}, {64.1, -21.9}, {-0.02, -0.01}}
	airs := []air2{{250, 0, 0, 0}, {310, 4, 0, 0}, {70, 6, 0.15, 0.6}, {180, 3, 0.2, 1.2}}
	told, asked := map[string]int{}, 0
	z2, n2 := 0.0, 0
	for fi, f := range forms {
		for ai, w := range airs {
			if (ai+fi)%2 == 1 {
				continue // half of the square, for the time
			}
			v := []float64{58, 72, 40, 64}[(ai+fi)%4]
			p := places[(ai+fi)%4]
			ms := sortie(uint64(10*fi+ai), p[0], p[1], float64(37*fi), 0.1, w, flight2(v))
			late := []float64{0, 0.2}[(ai+fi)%2]
			rec := seen(uint64(10*fi+ai), ms, f.hz, 0.12, 0.15, 0.3, late)
			name := fmt.Sprintf("%s, %g m/s, wind %g gusting %g", f.name, v, w.speed, w.gust)
			text := f.write(rec)
			l, err := track.Read(strings.NewReader(text), track.Options{})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			d := Of(track.Smooth(l), Options{})
			// the passes' height and wind there
			h, n := 0.0, 0.0
			for _, m := range ms {
				if m.thr == 1 && math.Abs(m.tas-v) < 0.1 {
					h, n = h+m.h, n+1
				}
			}
			wn, we := w.wind(h / n)
			speed, from := math.Hypot(wn, we), math.Mod(math.Atan2(-we, -wn)/deg+360, 360)
			asked++
			near := func(what string, q *Quantity, want, allow float64, why string) {
				if q == nil {
					if why == "" {
						t.Errorf("%s: no %s and no reason", name, what)
					} else {
						t.Logf("%s: no %s: %s", name, what, why)
					}
					return
				}
				told[what]++
				off := math.Abs(q.Value - want)
				z2, n2 = z2+sq(off/math.Hypot(q.SD(), allow/3)), n2+1
				if off > 3.5*q.SD()+allow {
					t.Errorf("%s: %s %.2f ± %.2f, truth %.2f", name, what, q.Value, q.SD(), want)
				}
			}
			var ws, lv *Quantity
			if d.Wind != nil {
				ws = &d.Wind.Speed
				if x := math.Abs(math.Remainder(d.Wind.FromDeg-from, 360)); speed > 2 && x > 3.5*d.Wind.FromSD+3 {
					t.Errorf("%s: wind from %.0f ± %.0f, truth %.0f", name, d.Wind.FromDeg, d.Wind.FromSD, from)
				}
			}
			if d.LevelSpeed != nil {
				lv = &d.LevelSpeed.Quantity
			}
			near("wind", ws, speed, 0.3+0.4*w.gust, d.WindRefused)
			near("level airspeed", lv, v, 0.2+0.3*w.gust, d.Refused)
			near("two-way airspeed", d.TwoWayAir, v, 0.1+0.3*w.gust, d.TwoWayRefused)
			// the peak over the ground as flown
			top := 0.0
			for _, m := range ms {
				top = math.Max(top, m.gs())
			}
			if d.PeakGround == nil || d.PeakGround.Value > top+3.5*d.PeakGround.SD()+0.3 || d.PeakGround.Value < top-3.5*d.PeakGround.SD()-0.5-1.5*w.gust {
				t.Errorf("%s: peak %+v, truth %.1f", name, d.PeakGround, top)
			}
			if d.LaunchPhase == nil || math.Abs(math.Remainder(d.LaunchPhase.At-8, 120)) > 3+1/f.hz {
				t.Errorf("%s: launch %+v", name, d.LaunchPhase)
			}
			if d.LandingPhase == nil {
				t.Errorf("%s: no landing", name)
			}
		}
	}
	t.Logf("of %d: %v; mean square of the errors in their doubts %.2f over %d", asked, told, z2/float64(n2), n2)
	for _, k := range []string{"wind", "level airspeed", "two-way airspeed"} {
		if told[k] < asked*3/4 {
			t.Errorf("%s told in %d of %d", k, told[k], asked)
		}
	}
}
