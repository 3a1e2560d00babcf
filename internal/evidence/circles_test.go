package evidence

import (
	"math"
	"testing"
)

// Three circles at a loiter's pace, then fast passes: the circles tell the wind
// and keep their promise for the passes minutes later, also in gusts.
func TestCirclesThenPasses(t *testing.T) {
	legs := []leg{{secs: 6}}
	for range 3 {
		legs = append(legs, leg{secs: 18, turnDeg: 360})
	}
	legs = append(legs, leg{secs: 8, dV: 34}, leg{secs: 6})
	for range 2 {
		legs = append(legs, leg{secs: 5, turnDeg: 180}, leg{secs: 10})
		legs = append(legs, leg{secs: 5, turnDeg: -180}, leg{secs: 10})
	}
	for _, gust := range []float64{0, 0.8} {
		const flights = 12
		inWind, inLevel, told := 0, 0, 0
		width := 0.0
		for k := range flights {
			rnd := newRand(uint64(100*gust) + uint64(k))
			w, from := 6*rnd.Float64(), 2*math.Pi*rnd.Float64()
			tr := fly(rnd, 28, w*math.Sin(from), w*math.Cos(from), 2*math.Pi*rnd.Float64(), gust, legs)
			rate := []float64{1, 5, 10}[k%3]
			raw := asNMEA(receive(rnd, tr, receiver{rate: rate, speedSD: 0.12, placeSD: 0.05, drift: 1, driftT: 30, heightSD: 0.2}))
			d, err := debriefOf(raw, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if d.Wind == nil {
				t.Errorf("gust %g, flight %d at %g Hz: no wind: %s", gust, k, rate, d.WindRefused)
				continue
			}
			told++
			sin, cos := math.Sincos(d.Wind.FromDeg * math.Pi / 180)
			off := math.Hypot(-d.Wind.Speed.Value*sin-tr.windE, -d.Wind.Speed.Value*cos-tr.windN)
			half := d.Wind.Speed.High - d.Wind.Speed.Value
			width += half
			if off < 1.3*half { // the interval is of one component: 90 % of the plane is 2.15 sigma, of a line 1.645
				inWind++
			}
			if d.LevelSpeed != nil && math.Abs(d.LevelSpeed.Value-62) < math.Max(d.LevelSpeed.High-d.LevelSpeed.Value, 0.3)+gust/2 {
				inLevel++
			}
		}
		t.Logf("gust %g: wind in %d of %d, level in %d, mean half width %.2f m/s", gust, inWind, told, inLevel, width/float64(told))
		if inWind < flights*4/5 || inLevel < flights*4/5 {
			t.Errorf("gust %g: wind kept its interval in %d and level speed in %d of %d flights", gust, inWind, inLevel, told)
		}
		if gust == 0 && width/float64(told) > 0.8 {
			t.Errorf("in steady air three circles leave the wind doubtful by %.2f m/s", width/float64(told))
		}
	}
}
