package evidence

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"fledge/internal/geo"
	"fledge/internal/track"
)

// truth is a flight made up for a test.
type truth struct {
	windE, windN float64 // towards, m/s
	v            float64 // level airspeed
	dt           float64 // of the fine samples
	pos          [][3]float64
	vel          [][3]float64
	air          []float64
	level        []bool
}

type leg struct {
	secs, turnDeg, climb float64 // climb: m/s during the leg
	dV                   float64 // airspeed gained over the leg
}

// fly runs legs at fine steps: airspeed v held, heading so that straight
// legs keep their track.
func fly(rnd *rand.Rand, v, windE, windN, track0, gust float64, legs []leg) *truth {
	tr := &truth{windE: windE, windN: windN, v: v, dt: 0.01}
	crs := track0
	pos := [3]float64{0, 0, 0}
	av := v
	ge, gn, fe, fn := 0.0, 0.0, 0.0, 0.0
	sumE, sumN := 0.0, 0.0
	for _, l := range legs {
		n := int(l.secs / tr.dt)
		for i := 0; i < n; i++ {
			if gust > 0 { // first-order gusts over 3 s
				a := math.Exp(-tr.dt / 3)
				s := gust * math.Sqrt(1-a*a)
				fe, fn = a*fe+s*rnd.NormFloat64(), a*fn+s*rnd.NormFloat64()
				b := math.Exp(-tr.dt / 0.5) // an aeroplane's own smoothing
				ge, gn = b*ge+(1-b)*fe, b*gn+(1-b)*fn
				sumE, sumN = sumE+ge, sumN+gn
			}
			we, wn := windE+ge, windN+gn
			av += l.dV * tr.dt / l.secs
			h := math.Sqrt(av*av - l.climb*l.climb)
			var ve, vn float64
			if l.turnDeg == 0 { // ground track held
				s, c := math.Sincos(crs)
				cross := we*c - wn*s
				g := math.Sqrt(h*h-cross*cross) + we*s + wn*c
				ve, vn = g*s, g*c
			} else { // the course over the ground turns evenly
				crs += l.turnDeg * math.Pi / 180 * tr.dt / l.secs
				s, c := math.Sincos(crs)
				cross := we*c - wn*s
				g := math.Sqrt(h*h-cross*cross) + we*s + wn*c
				ve, vn = g*s, g*c
			}
			pos[0] += ve * tr.dt
			pos[1] += vn * tr.dt
			pos[2] += l.climb * tr.dt
			tr.pos = append(tr.pos, pos)
			tr.vel = append(tr.vel, [3]float64{ve, vn, l.climb})
			tr.air = append(tr.air, av)
			tr.level = append(tr.level, l.climb == 0 && l.dV == 0)
		}
	}
	tr.windE += sumE / float64(len(tr.pos))
	tr.windN += sumN / float64(len(tr.pos))
	return tr
}

type receiver struct {
	rate                    float64
	speedSD, placeSD, drift float64
	driftT                  float64
	heightSD                float64
	latency                 float64
	doppler                 bool
}

type record struct {
	t          float64
	p          geo.Point
	speed, crs float64
}

// receive samples a truth with a receiver's errors.
func receive(rnd *rand.Rand, tr *truth, r receiver) []record {
	f := geo.NewFrame(geo.Point{Lat: 50 * math.Pi / 180, Lon: 10 * math.Pi / 180, Height: 300})
	var out []record
	step := int(math.Round(1 / r.rate / tr.dt))
	be, bn, bu := r.drift*rnd.NormFloat64(), r.drift*rnd.NormFloat64(), 1.0*rnd.NormFloat64()
	dt := float64(step) * tr.dt
	a := math.Exp(-dt / r.driftT)
	s := r.drift * math.Sqrt(1-a*a)
	su := 1.0 * math.Sqrt(1-a*a)
	lag := int(math.Round(r.latency / tr.dt))
	for i := lag; i < len(tr.pos); i += step {
		be, bn, bu = a*be+s*rnd.NormFloat64(), a*bn+s*rnd.NormFloat64(), a*bu+su*rnd.NormFloat64()
		p := tr.pos[i]
		v := tr.vel[i-lag]
		ve, vn := v[0]+r.speedSD*rnd.NormFloat64(), v[1]+r.speedSD*rnd.NormFloat64()
		g := f.FromGround([3]float64{p[0] + be + r.placeSD*rnd.NormFloat64(), p[1] + bn + r.placeSD*rnd.NormFloat64(), p[2] + bu + r.heightSD*rnd.NormFloat64()})
		out = append(out, record{t: float64(i) * tr.dt, p: g, speed: math.Hypot(ve, vn), crs: math.Mod(math.Atan2(ve, vn)+2*math.Pi, 2*math.Pi)})
	}
	return out
}

var epoch0 = time.Date(2025, 6, 21, 12, 30, 0, 0, time.UTC)

func sentence(b *bytes.Buffer, body string) {
	fmt.Fprintf(b, "$%s*%02X\r\n", body, track.Checksum([]byte(body)))
}

func dm(x float64, w int) string {
	x = math.Abs(x) * 180 / math.Pi
	d := math.Floor(x)
	return fmt.Sprintf("%0*d%09.6f", w, int(d), math.Min((x-d)*60, 59.999999))
}

func asNMEA(rs []record) []byte {
	var b bytes.Buffer
	for _, r := range rs {
		at := epoch0.Add(time.Duration(math.Round(r.t*1000)) * time.Millisecond)
		h := at.Format("150405.000")
		sentence(&b, fmt.Sprintf("GNGGA,%s,%s,N,%s,E,1,14,0.8,%.2f,M,45.0,M,,", h, dm(r.p.Lat, 2), dm(r.p.Lon, 3), r.p.Height))
		sentence(&b, fmt.Sprintf("GNRMC,%s,A,%s,N,%s,E,%.3f,%.2f,%s,,,A", h, dm(r.p.Lat, 2), dm(r.p.Lon, 3), r.speed/(1852.0/3600), r.crs*180/math.Pi, at.Format("020106")))
	}
	return b.Bytes()
}

func asGPX(rs []record) []byte {
	var b bytes.Buffer
	b.WriteString(`<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>` + "\n")
	for _, r := range rs {
		fmt.Fprintf(&b, `<trkpt lat="%.8f" lon="%.8f"><ele>%.2f</ele><time>%s</time></trkpt>`+"\n", r.p.LatDeg(), r.p.LonDeg(), r.p.Height, epoch0.Add(time.Duration(math.Round(r.t*1000))*time.Millisecond).Format("2006-01-02T15:04:05.000Z"))
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return b.Bytes()
}

func asCSV(rs []record) []byte {
	var b bytes.Buffer
	b.WriteString("time_ms,latitude,longitude,altitude [m],ground speed [km/h],course [deg]\n")
	for _, r := range rs {
		fmt.Fprintf(&b, "%.0f,%.8f,%.8f,%.2f,%.3f,%.2f\n", r.t*1000, r.p.LatDeg(), r.p.LonDeg(), r.p.Height, r.speed*3.6, r.crs*180/math.Pi)
	}
	return b.Bytes()
}

func debriefOf(raw []byte, o Options) (Debrief, error) {
	l, err := track.Read(bytes.NewReader(raw), track.Options{})
	if err != nil {
		return Debrief{}, err
	}
	return Of(track.Smooth(l), o), nil
}

// circuit is n passes each way with turns between.
func circuit(n int, secs, turnSecs float64, alternate bool) []leg {
	var out []leg
	for i := 0; i < 2*n; i++ {
		sign := 180.0
		if alternate && i%2 == 1 {
			sign = -sign
		}
		out = append(out, leg{secs: secs}, leg{secs: turnSecs, turnDeg: sign})
	}
	return append(out, leg{secs: secs})
}
