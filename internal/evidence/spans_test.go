package evidence

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// The intervals of phases, runs and passes hold the truth of made-up flights
// nine times in ten or more.
func TestSpansCover(t *testing.T) {
	kinds := []struct {
		name string
		r    receiver
		gust float64
		enc  func([]record) []byte
	}{
		{"10 Hz with speeds", receiver{rate: 10, speedSD: 0.10, placeSD: 0.05, drift: 1, driftT: 20, heightSD: 0.3, doppler: true}, 0, asNMEA},
		{"5 Hz with speeds, gusts", receiver{rate: 5, speedSD: 0.15, placeSD: 0.2, drift: 1.5, driftT: 30, heightSD: 0.4, doppler: true}, 0.6, asCSV},
		{"5 Hz positions only", receiver{rate: 5, placeSD: 0.15, drift: 0.6, driftT: 40, heightSD: 0.4}, 0, asGPX},
	}
	for ki, k := range kinds {
		hit, all := map[string]int{}, map[string]int{}
		for n := range 8 {
			rnd := newRand(uint64(5000*ki + n))
			v := 30 + 30*rnd.Float64()
			w := 6 * rnd.Float64()
			from := 2 * math.Pi * rnd.Float64()
			legs := circuit(2, 600/v+4*rnd.Float64(), math.Pi*(60+35*rnd.Float64())/v, n%2 == 0)
			legs = append(legs, leg{secs: 6, climb: 8}, leg{secs: 6, climb: -8}, leg{secs: 5})
			tr := fly(rnd, v, -w*math.Sin(from), -w*math.Cos(from), 2*math.Pi*rnd.Float64(), k.gust, legs)
			d, err := debriefOf(k.enc(receive(rnd, tr, k.r)), Options{})
			if err != nil {
				t.Fatal(err)
			}
			ground := make([]float64, len(tr.vel))
			for i, u := range tr.vel {
				ground[i] = math.Hypot(u[0], u[1])
			}
			at := func(s float64) int { return max(0, min(len(tr.vel)-1, int(math.Round(s/tr.dt)))) }
			see := func(what string, s Spans, key string, want float64) {
				v, ok := s[key]
				if !ok {
					return
				}
				all[what]++
				if v[0] <= want && want <= v[1] {
					hit[what]++
				}
			}
			turned := func(a, b int) (sum float64) {
				for i := a + 1; i <= b; i++ {
					sum += math.Remainder(math.Atan2(tr.vel[i][0], tr.vel[i][1])-math.Atan2(tr.vel[i-1][0], tr.vel[i-1][1]), 2*math.Pi)
				}
				return sum * toDeg
			}
			for i := range d.Phases {
				p := &d.Phases[i]
				a, b := at(p.T0), at(p.T1)
				if p.T1-p.T0 < 1 {
					continue
				}
				top := 0.0
				for j := a; j <= b; j++ {
					top = math.Max(top, ground[j])
				}
				see("mean ground speed", p.In, "mean_ground_speed_m_s", meanOver(ground, tr.dt, p.T0, p.T1))
				if p.Air != nil {
					see("mean airspeed", p.In, "mean_airspeed_m_s", meanOver(tr.air, tr.dt, p.T0, p.T1))
				}
				see("fastest", p.In, "top_ground_speed_m_s", top)
				see("end", p.In, "end_ground_speed_m_s", ground[b])
				see("length", p.In, "length_m", meanOver(ground, tr.dt, p.T0, p.T1)*(p.T1-p.T0))
				see("height change", p.In, "height_change_m", tr.pos[b][2]-tr.pos[a][2])
				see("climb", p.In, "climb_m_s", (tr.pos[b][2]-tr.pos[a][2])/(p.T1-p.T0))
				see("turned", p.In, "turned_deg", turned(a, b))
			}
			for i := range d.Runs {
				r := &d.Runs[i]
				a, b := at(r.T0), at(r.T1)
				see("run, ground speed", r.In, "ground_speed_m_s", meanOver(ground, tr.dt, r.T0, r.T1))
				see("run, length", r.In, "length_m", meanOver(ground, tr.dt, r.T0, r.T1)*(r.T1-r.T0))
				// the best line's slope, as it is measured
				var st, stt, sh, sth, m float64
				for j := a; j <= b; j++ {
					x, h := float64(j-(a+b)/2)*tr.dt, tr.pos[j][2]
					st, stt, sh, sth, m = st+x, stt+x*x, sh+h, sth+x*h, m+1
				}
				see("run, climb", r.In, "climb_m_s", (sth-st*sh/m)/(stt-st*st/m))
			}
			for i := range d.Pairs {
				p := &d.Pairs[i]
				a, b := &p.Passes[0], &p.Passes[1]
				see("wind along", p.In, "wind_along_m_s", (meanOver(ground, tr.dt, a.T0, a.T1)-meanOver(ground, tr.dt, b.T0, b.T1))/2)
			}
		}
		for what, n := range all {
			share := float64(hit[what]) / float64(n)
			t.Logf("%-26s %-20s %3d of %3d  %.2f", k.name, what, hit[what], n, share)
			if n >= 10 && share < 0.90-3*math.Sqrt(0.09/float64(n)) {
				t.Errorf("%s: the interval of %s holds the truth in %d of %d", k.name, what, hit[what], n)
			}
		}
	}
}

// An interval whose end is not known is null there, and what can only be
// positive is not doubted below nothing.
func TestSpansJSON(t *testing.T) {
	s := Spans{"a": {1, math.Inf(1)}}
	s.put("slide_m", 0.2, 1)
	s.put("none", 1, 0)
	s.put("unknown", math.NaN(), 1)
	s.atLeast(0, "slide_m", "a")
	b, err := json.Marshal(s)
	if err != nil || !strings.Contains(string(b), `"a":[1,null]`) || !strings.Contains(string(b), `"slide_m":[0,1.8`) || len(s) != 2 {
		t.Errorf("%s, %v", b, err)
	}
}
