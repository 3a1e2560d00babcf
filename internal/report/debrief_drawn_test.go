package report

import (
	"math"
	"testing"

	"fledge/internal/evidence"
	"fledge/internal/track"
)

// A hole in the record breaks every curve, and no peak is lost in thinning.
func TestDrawnLog(t *testing.T) {
	p := &track.Path{Step: 0.1, Placed: true, Heights: "air pressure"}
	var energy []float64
	for i := range 5000 {
		at := 0.1 * float64(i)
		if i >= 3000 {
			at += 60
		}
		v := 20.0
		if i == 4321 {
			v = 71
		}
		p.Samples = append(p.Samples, track.Sample{T: at, Pos: [3]float64{at, 2 * at, 30}, Vel: [3]float64{v, 0, 0}, SpeedSD: 0.5})
		energy = append(energy, 50)
	}
	d := evidence.Debrief{Name: "a.csv", Path: p, Energy: energy, BestPair: -1}
	l := DrawnLogs(Debriefed{Logs: []evidence.Debrief{d, {Name: "a.wav", BestPair: -1}}})
	if len(l) != 2 || len(l[1].Time) != 0 {
		t.Fatalf("a log without a path has curves: %+v", l)
	}
	c, top, holes := l[0], 0.0, 0
	for i, g := range c.Ground {
		if math.IsNaN(float64(g)) {
			holes++
			if !math.IsNaN(float64(c.East[i])) || !math.IsNaN(float64(c.Height[i])) || math.IsNaN(float64(c.Time[i])) {
				t.Error("a hole is not one in every curve, or has no time")
			}
			continue
		}
		if !(c.Low[i] < g && g < c.High[i]) {
			t.Fatalf("speed %v is not within %v to %v", g, c.Low[i], c.High[i])
		}
		top = math.Max(top, float64(g))
	}
	n := len(c.Time)
	if holes != 1 || top != 71 || n > mostPoints+2 || len(c.North) != n || len(c.Height) != n || len(c.Energy) != n || len(c.Air) != 0 {
		t.Errorf("%d holes, top %v, %d points, heights %d, airspeeds %d", holes, top, n, len(c.Height), len(c.Air))
	}
}
