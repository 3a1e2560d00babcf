package evidence

import (
	"math"
	"testing"
)

// The stated 90 % intervals hold the truth in 85 to 95 of a hundred flights.
func TestCoverage(t *testing.T) {
	type kind struct {
		name string
		r    receiver
		gust float64
		enc  func([]record) []byte
	}
	kinds := []kind{
		{"10 Hz with speeds", receiver{rate: 10, speedSD: 0.10, placeSD: 0.05, drift: 1, driftT: 20, heightSD: 0.3, doppler: true}, 0, asNMEA},
		{"5 Hz with speeds, gusts", receiver{rate: 5, speedSD: 0.15, placeSD: 0.2, drift: 1.5, driftT: 30, heightSD: 0.4, doppler: true}, 0.6, asCSV},
		{"5 Hz positions only", receiver{rate: 5, placeSD: 0.15, drift: 0.6, driftT: 40, heightSD: 0.4}, 0, asGPX},
		{"1 Hz positions only", receiver{rate: 1, placeSD: 0.3, drift: 0.8, driftT: 30, heightSD: 0.4}, 0, asGPX},
	}
	total := map[string][2]int{}
	refused := map[string]int{}
	z := map[string]float64{}
	for ki, k := range kinds {
		flights := coverFlights
		for n := 0; n < flights; n++ {
			rnd := newRand(uint64(1000*ki + n))
			v := 35 + 45*rnd.Float64()
			w := 7 * rnd.Float64()
			from := 2 * math.Pi * rnd.Float64()
			we, wn := -w*math.Sin(from), -w*math.Cos(from)
			crs := 2 * math.Pi * rnd.Float64()
			legs := circuit(2, 700/v+4*rnd.Float64(), math.Pi*(60+35*rnd.Float64())/v, n%2 == 0)
			tr := fly(rnd, v, we, wn, crs, k.gust, legs)
			d, err := debriefOf(k.enc(receive(rnd, tr, k.r)), Options{})
			if err != nil {
				t.Fatal(err)
			}
			mark := func(what string, q *Quantity, want float64) {
				c := total[k.name+": "+what]
				if q == nil {
					refused[k.name+": "+what]++
				} else {
					c[1]++
				}
				if q != nil && q.Low <= want && want <= q.High {
					c[0]++
				}
				if q == nil {
				} else if s := q.SD(); s > 0 {
					z[k.name+": "+what] += sq((q.Value - want) / s)
				}
				total[k.name+": "+what] = c
			}
			if d.Wind != nil {
				mark("wind", &d.Wind.Speed, math.Hypot(tr.windE, tr.windN))
				dir := math.Remainder(d.Wind.FromDeg-FromDirection(tr.windE, tr.windN)/deg, 360)
				q := about(dir, d.Wind.FromSD, "deg")
				mark("direction", &q, 0)
			} else {
				mark("wind", nil, w)
			}
			var lv *Quantity
			lt := v
			if d.LevelSpeed != nil {
				lv = &d.LevelSpeed.Quantity
				lt = meanOver(tr.air, tr.dt, d.LevelSpeed.FromS, d.LevelSpeed.FromS+d.LevelSpeed.WindowS)
			}
			mark("level airspeed", lv, lt)
			var tw float64
			if d.BestPair >= 0 {
				for _, p := range d.Pairs[d.BestPair].Passes {
					g := make([]float64, len(tr.vel))
					for i, u := range tr.vel {
						g[i] = math.Hypot(u[0], u[1])
					}
					tw += meanOver(g, tr.dt, p.T0, p.T1) / 2
				}
			}
			mark("two-way ground", d.TwoWay, tw)
			mark("two-way air", d.TwoWayAir, v)
			top := 0.0
			for _, u := range tr.vel {
				top = math.Max(top, math.Hypot(u[0], u[1]))
			}
			mark("peak", d.PeakGround, top)
		}
	}
	for _, k := range kinds {
		pool := [2]int{}
		for _, what := range []string{"wind", "direction", "level airspeed", "two-way ground", "two-way air", "peak"} {
			c := total[k.name+": "+what]
			share := float64(c[0]) / float64(max(1, c[1]))
			no := refused[k.name+": "+what]
			t.Logf("%-26s %-15s %3d of %3d  %.2f  rms z %.2f, refused %d", k.name, what, c[0], c[1], share, math.Sqrt(z[k.name+": "+what]/float64(max(1, c[1]))), no)
			pool[0] += c[0]
			pool[1] += c[1]
			// of so few flights a true 0.90 may well show as three sigma less
			if n := float64(c[1]); n > 10 && share < 0.90-3*math.Sqrt(0.09/n)-0.02 {
				t.Errorf("%s: the interval of %s holds the truth in %d of %d", k.name, what, c[0], c[1])
			}
			if k.r.rate > 2 && no > coverFlights/10 {
				t.Errorf("%s: %s refused in %d of %d", k.name, what, no, coverFlights)
			}
		}
		share := float64(pool[0]) / float64(pool[1])
		t.Logf("%-26s all %.3f", k.name, share)
		if share < 0.84 || share > 0.975 {
			t.Errorf("%s: 90 %% intervals hold the truth in %.3f", k.name, share)
		}
	}
}

var coverFlights = 30

func meanOver(x []float64, dt, t0, t1 float64) float64 {
	a, b := max(0, int(math.Round(t0/dt))), min(len(x)-1, int(math.Round(t1/dt)))
	s := 0.0
	for i := a; i <= b; i++ {
		s += x[i]
	}
	return s / float64(b-a+1)
}
