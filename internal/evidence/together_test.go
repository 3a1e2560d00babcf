package evidence

import (
	"math"
	"strings"
	"testing"
)

// A recorder that begins a new file with every pass: each file alone has one
// direction, together they give the two-way speed and the wind.
func TestTogether(t *testing.T) {
	rnd := newRand(21)
	const v, we, wn = 62.0, 4.0, -2.0
	tr := fly(rnd, v, we, wn, 1.2, 0, []leg{{secs: 14}, {secs: 4, turnDeg: 180}, {secs: 14}, {secs: 4, turnDeg: 180}, {secs: 14}})
	rs := receive(rnd, tr, receiver{rate: 10, speedSD: 0.1, placeSD: 0.1, drift: 1, driftT: 30, heightSD: 0.3})
	cut := func(a, b float64) (out []record) {
		for _, r := range rs {
			if r.t >= a && r.t < b {
				out = append(out, r)
			}
		}
		return
	}
	of := func(rs []record) *Debrief {
		t.Helper()
		d, err := debriefOf(asNMEA(rs), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return &d
	}
	a, b := of(cut(0, 16)), of(cut(17, 34))
	if a.TwoWay != nil || b.TwoWay != nil {
		t.Fatal("a file alone has both ways")
	}
	for _, list := range [][]*Debrief{{a, b}, {b, a}} { // in any order
		d, why := Together(list, Options{Claims: []Claim{{What: "top speed", Value: 60, Unit: "m/s"}}})
		if d == nil {
			t.Fatal("not paired: " + why)
		}
		_, _, want, _ := TwoWay(v, we*math.Sin(1.2)+wn*math.Cos(1.2), we*math.Cos(1.2)-wn*math.Sin(1.2))
		t.Logf("two-way %.2f ± %.2f, truth %.2f; air %.2f ± %.2f, truth %g", d.TwoWay.Value, d.TwoWay.SD(), want, d.TwoWayAir.Value, d.TwoWayAir.SD(), v)
		if math.Abs(d.TwoWay.Value-want) > 3.5*d.TwoWay.SD()+0.05 {
			t.Errorf("two-way %.2f ± %.2f, want %.2f", d.TwoWay.Value, d.TwoWay.SD(), want)
		}
		if math.Abs(d.TwoWayAir.Value-v) > 3.5*d.TwoWayAir.SD()+0.1 {
			t.Errorf("two-way airspeed %.2f ± %.2f, want %g", d.TwoWayAir.Value, d.TwoWayAir.SD(), v)
		}
		p := d.Pairs[d.BestPair]
		if !p.Files || p.ByCode || !strings.Contains(strings.Join(p.Remarks, " "), "two files") {
			t.Errorf("%+v", p)
		}
		if c := d.Claims[0]; c.Status != Shown || !strings.Contains(c.Because, "two files") {
			t.Errorf("%+v", c)
		}
		if d.Samples != a.Samples+b.Samples || len(a.Path.Log.Parts) != 0 {
			t.Error("the files were changed or miscounted")
		}
	}
	// the whole in one file needs no joining; the same file twice overlaps
	if d, _ := Together([]*Debrief{of(rs), a}, Options{}); d != nil {
		t.Error("joined without need")
	}
	if d, why := Together([]*Debrief{a, a}, Options{}); d != nil || !strings.Contains(why, "overlap") {
		t.Error(why)
	}
	// without dates it is not known when the other was flown
	c, err := debriefOf(asCSV(cut(17, 34)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d, why := Together([]*Debrief{a, &c}, Options{}); d != nil || !strings.Contains(why, "no date") {
		t.Error(why)
	}
}
