package evidence

import (
	"bytes"
	"fmt"
	"math"
	"testing"
	"time"

	"fledge/internal/track"
)

// asIGC writes whole seconds and thousandths of minutes.
func asIGC(rs []record) []byte {
	var b bytes.Buffer
	b.WriteString("AXXX\r\nHFDTE210625\r\n")
	for _, r := range rs {
		at := epoch0.Add(time.Duration(math.Round(r.t*1000)) * time.Millisecond)
		f := func(x float64, w int) string {
			x = math.Abs(x) / deg
			d := math.Floor(x)
			return fmt.Sprintf("%0*d%05d", w, int(d), min(59999, int(math.Round((x-d)*60000))))
		}
		fmt.Fprintf(&b, "B%s%sN%sEA%05d%05d\r\n", at.Format("150405"), f(r.p.Lat, 2), f(r.p.Lon, 3), int(math.Round(r.p.Height)), int(math.Round(r.p.Height)))
	}
	return b.Bytes()
}

// asTelemetry has an airspeed 5 % low with half a metre a second of noise.
func asTelemetry(seed uint64, tr *truth, rs []record) []byte {
	rnd := newRand(seed)
	var b bytes.Buffer
	b.WriteString("t_s,lat_deg,lon_deg,alt_m,gs_mps,course_deg,airspeed_mps,throttle_pct\n")
	for _, r := range rs {
		i := min(len(tr.air)-1, int(math.Round(r.t*100)))
		fmt.Fprintf(&b, "%.2f,%.7f,%.7f,%.2f,%.3f,%.2f,%.2f,100\n", r.t, r.p.LatDeg(), r.p.LonDeg(), r.p.Height, r.speed, r.crs/deg, tr.air[i]/1.05+0.5*rnd.NormFloat64())
	}
	return b.Bytes()
}

// asSpeedOnly has no course, and km/h without saying so.
func asSpeedOnly(rs []record) []byte {
	var b bytes.Buffer
	b.WriteString("time,lat,lon,alt,speed\n")
	for _, r := range rs {
		fmt.Fprintf(&b, "%.2f,%.7f,%.7f,%.2f,%.3f\n", r.t, r.p.LatDeg(), r.p.LonDeg(), r.p.Height, r.speed*3.6)
	}
	return b.Bytes()
}

// Flights of many kinds: what the debrief says is within 3.5 of its own
// standard deviations (and a tenth of a metre a second) of the truth, or
// refused with a reason.
func TestVariety(t *testing.T) {
	good := receiver{rate: 10, speedSD: 0.1, placeSD: 0.1, drift: 1, driftT: 30, heightSD: 0.3}
	late, coarse, bad, slow := good, good, good, good
	late.rate, late.latency = 5, 0.3
	coarse.heightSD = 1.5
	bad.speedSD, bad.placeSD, bad.drift = 0.5, 2, 3
	slow.rate = 1
	circ := func(v float64) []leg { return circuit(2, 900/v, math.Pi*70/v, true) }
	repeat := func(n int, ls ...leg) (out []leg) {
		for i := 0; i < n; i++ {
			out = append(out, ls...)
		}
		return out
	}
	bleed := repeat(2, leg{secs: 4, dV: 8}, leg{secs: 9}, leg{secs: 4, turnDeg: 180, dV: -8}, leg{secs: 4, dV: 8}, leg{secs: 9}, leg{secs: 4, turnDeg: -180, dV: -8})
	for _, gust := range []float64{0, 1.2} {
		for _, k := range []struct {
			name          string
			v, we, wn     float64
			legs          []leg
			enc           func(tr *truth, rs []record) []byte
			r             receiver
			top           float64 // level airspeed that was held
			wind, two, lv bool    // must be there
		}{
			{"slow in wind", 20, 6, -4, circuit(3, 25, 8, true), nil, good, 20, true, true, true},
			{"strong wind", 70, 8, 8, circ(70), nil, good, 70, true, true, true},
			{"calm", 70, 0, 0, circ(70), nil, good, 70, true, true, true},
			{"speed without course", 70, 3, 0, circ(70), func(_ *truth, rs []record) []byte { return asSpeedOnly(rs) }, good, 70, true, true, true},
			{"airspeed 5 % low", 65, 5, 0, circ(65), func(tr *truth, rs []record) []byte { return asTelemetry(5, tr, rs) }, good, 65, true, true, true},
			{"whole seconds, coarse places", 65, 5, 0, circ(65), func(_ *truth, rs []record) []byte { return asIGC(rs) }, slow, 65, false, true, false},
			{"late receiver", 65, 5, 0, circ(65), nil, late, 65, true, true, true},
			{"coarse heights", 65, 5, 0, circ(65), nil, coarse, 65, true, true, true},
			{"bad receiver", 65, 5, 0, circ(65), nil, bad, 65, true, true, true},
			{"throttle changed", 55, 4, -3, repeat(2, leg{secs: 12}, leg{secs: 4, turnDeg: 180}, leg{secs: 3, dV: 8}, leg{secs: 10}, leg{secs: 4, turnDeg: 180}, leg{secs: 12}, leg{secs: 4, turnDeg: 180}, leg{secs: 3, dV: -8}, leg{secs: 10}, leg{secs: 4, turnDeg: 180}), nil, good, 63, true, true, true},
			{"speed bled in turns", 55, 4, -3, bleed, nil, good, 63, true, true, true},
			{"half-reversals", 60, 4, -3, repeat(6, leg{secs: 3, climb: 8, dV: -6}, leg{secs: 3, turnDeg: -45}, leg{secs: 5, turnDeg: 225}, leg{secs: 3, climb: -8, dV: 6}, leg{secs: 8}), nil, good, 60, true, true, true},
			{"loiter only", 30, 4, -3, repeat(6, leg{secs: 15, turnDeg: 360}), nil, good, 30, true, false, true},
			{"only dives", 60, 4, -3, repeat(3, leg{secs: 5, climb: 10, dV: -10}, leg{secs: 4, turnDeg: 180}, leg{secs: 6, climb: -8.33, dV: 10}, leg{secs: 4, turnDeg: 180}), nil, good, 60, false, false, false},
			{"one line", 60, 4, -3, []leg{{secs: 60}}, nil, good, 60, false, false, false},
			{"one turn", 60, 4, -3, []leg{{secs: 20}, {secs: 3, turnDeg: 180}, {secs: 20}}, nil, good, 60, true, true, true},
		} {
			rnd := newRand(77)
			tr := fly(rnd, k.v, k.we, k.wn, 1.2, gust, k.legs)
			rs := receive(rnd, tr, k.r)
			raw := asNMEA(rs)
			if k.enc != nil {
				raw = k.enc(tr, rs)
			}
			l, err := track.Read(bytes.NewReader(raw), track.Options{})
			if err != nil {
				t.Fatal(k.name, err)
			}
			d := Of(track.Smooth(l), Options{})
			name := fmt.Sprintf("%s, gusts %g", k.name, gust)
			cmp := func(what string, q *Quantity, want float64, must bool, why string) {
				switch {
				case q == nil && must:
					t.Errorf("%s: no %s: %s", name, what, why)
				case q == nil && why == "":
					t.Errorf("%s: no %s and no reason", name, what)
				case q != nil && math.Abs(q.Value-want) > 3.5*q.SD()+0.1:
					t.Errorf("%s: %s %.2f ± %.2f, want %.2f", name, what, q.Value, q.SD(), want)
				case q != nil:
					t.Logf("%s: %s %.2f ± %.2f, truth %.2f", name, what, q.Value, q.SD(), want)
				}
			}
			var w, lv *Quantity
			if d.Wind != nil {
				w = &d.Wind.Speed
				if dir := math.Remainder(d.Wind.FromDeg-FromDirection(tr.windE, tr.windN)/deg, 360); math.Hypot(k.we, k.wn) > 1 && math.Abs(dir) > 3.5*d.Wind.FromSD+1 {
					t.Errorf("%s: wind from %.0f ± %.0f, want %.0f", name, d.Wind.FromDeg, d.Wind.FromSD, FromDirection(tr.windE, tr.windN)/deg)
				}
			}
			if d.LevelSpeed != nil {
				lv = &d.LevelSpeed.Quantity
			}
			cmp("wind", w, math.Hypot(tr.windE, tr.windN), k.wind && gust == 0, d.WindRefused)
			cmp("level airspeed", lv, k.top, k.lv && gust == 0, d.Refused)
			cmp("two-way airspeed", d.TwoWayAir, k.top, k.two, d.TwoWayRefused)
			if !k.two && d.TwoWay != nil {
				t.Errorf("%s: a two-way speed of %.2f is not refused", name, d.TwoWay.Value)
			}
		}
	}
}
