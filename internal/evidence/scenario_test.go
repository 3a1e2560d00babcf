package evidence

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"fledge/internal/track"
)

// whole is a whole flight: rest, launch, climb-out, passes, a dive, a loiter,
// a glide, an approach and a landing.
func whole(windE, windN float64) *truth {
	tr := &truth{windE: windE, windN: windN, dt: 0.01, v: 60}
	pos := [3]float64{}
	add := func(ve, vn, up float64) {
		pos[0] += ve * tr.dt
		pos[1] += vn * tr.dt
		pos[2] += up * tr.dt
		tr.pos = append(tr.pos, pos)
		tr.vel = append(tr.vel, [3]float64{ve, vn, up})
		tr.air = append(tr.air, math.Sqrt(sq(ve-windE)+sq(vn-windN)+up*up))
		tr.level = append(tr.level, up == 0)
	}
	crs := 0.0
	av := 0.0
	// phases: seconds, turn, climb, airspeed at the end
	seg := func(secs, turn, up, to float64) {
		n := int(secs / tr.dt)
		from := av
		for i := 0; i < n; i++ {
			av = from + (to-from)*float64(i+1)/float64(n)
			crs += turn * deg * tr.dt / secs
			s, c := math.Sincos(crs)
			h := math.Sqrt(math.Max(0, av*av-up*up))
			cross := windE*c - windN*s
			along := windE*s + windN*c
			g := math.Sqrt(math.Max(0, h*h-cross*cross)) + along
			if av < 3 {
				g = av
			}
			add(g*s, g*c, up)
		}
	}
	seg(6, 0, 0, 0)
	seg(1.2, 0, 0, 16) // launch
	seg(2, 0, 2, 20)
	seg(5, 0, 6, 25) // climb-out
	seg(4, 180, 0, 50)
	seg(5, 0, 0, 60)
	seg(12, 0, 0, 60) // pass 1
	seg(4, 180, 0, 60)
	seg(14, 0, 0, 60) // pass 2
	seg(4, 180, 5, 55)
	seg(6, 0, 6, 50)  // up
	seg(5, 0, -9, 70) // dive
	seg(4, 180, 0, 60)
	seg(12, 0, 0, 60)
	for k := 0; k < 3; k++ {
		seg(14, 360, 0, 35) // loiter
	}
	seg(20, 0, -1.2, 16) // glide, then approach
	seg(3, 180, -0.5, 15)
	seg(8, 0, -1.3, 13)
	h := pos[2]
	seg(6, 0, -h/6, 11)
	seg(1.6, 0, 0, 0) // slide
	seg(6, 0, 0, 0)
	return tr
}

func TestWholeFlight(t *testing.T) {
	tr := whole(3, -2)
	rnd := newRand(11)
	raw := asNMEA(receive(rnd, tr, receiver{rate: 10, speedSD: 0.1, placeSD: 0.05, drift: 1, driftT: 30, heightSD: 0.2}))
	d, err := debriefOf(raw, Options{HeightLimit: 30, FarLimit: 5000})
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[PhaseKind]int{}
	for _, p := range d.Phases {
		kinds[p.Kind]++
		t.Logf("%-10s %6.1f-%6.1f v %5.1f turn %5.0f", p.Kind, p.T0, p.T1, p.Speed, p.TurnDeg)
	}
	for _, k := range []PhaseKind{Waiting, Launch, ClimbOut, RunPhase, Turn, Climb, Dive, Loiter, Glide, Approach, Landing, Landed} {
		if kinds[k] == 0 {
			t.Errorf("no %s found", k)
		}
	}
	if d.Wind == nil || math.Abs(d.Wind.Speed.Value-math.Hypot(3, 2)) > 0.4 {
		t.Errorf("wind %+v %s", d.Wind, d.WindRefused)
	}
	if d.LevelSpeed == nil {
		t.Fatalf("no level speed: %s", d.Refused)
	}
	t.Logf("level %.2f over %.1f s at %.1f; peak %.2f %s: %s", d.LevelSpeed.Value, d.LevelSpeed.WindowS, d.LevelSpeed.FromS, d.PeakGround.Value, d.Peak.Kind, d.Peak.Say)
	if math.Abs(d.LevelSpeed.Value-60) > 0.5 {
		t.Errorf("level speed %.2f, want 60 (what is left of the dive is not level)", d.LevelSpeed.Value)
	}
	if d.TwoWay == nil || math.Abs(d.TwoWayAir.Value-60) > 0.5 {
		t.Errorf("two-way %+v %s", d.TwoWayAir, d.TwoWayRefused)
	} else {
		t.Logf("two-way %.2f air %.2f of %d pairs", d.TwoWay.Value, d.TwoWayAir.Value, len(d.Pairs))
	}
	if d.Peak.Kind != "dive" {
		t.Errorf("peak is %s, want dive", d.Peak.Kind)
	}
	if s := d.LaunchPhase; s == nil || math.Abs(s.Speed.Value-18) > 6 {
		t.Errorf("launch %+v", s)
	} else {
		t.Logf("launch %+v", *s)
	}
	if e := d.LandingPhase; e == nil || e.Touchdown.Value < 8 || e.Touchdown.Value > 16 || e.Slide < 3 || e.Slide > 25 {
		t.Errorf("landing %+v", e)
	} else {
		t.Logf("landing %+v", *e)
	}
	if len(d.Reach.Over) != 1 || !strings.Contains(d.Reach.Over[0], "height") {
		t.Errorf("limits %v", d.Reach)
	}
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"samples", "dropped", "duration", "peak_ground_speed", "wind", "level_speed", "two_way_speed", "two_way_airspeed", "claims"} {
		if _, ok := back[k]; !ok {
			t.Errorf("the JSON lacks %q", k)
		}
	}
	lv := back["level_speed"].(map[string]any)
	for _, k := range []string{"value", "low", "high", "unit", "window_s"} {
		if _, ok := lv[k]; !ok {
			t.Errorf("level_speed lacks %q", k)
		}
	}
	w := back["wind"].(map[string]any)
	if _, ok := w["from_deg"].(float64); !ok {
		t.Error("wind.from_deg is not a number")
	}
	if _, ok := w["speed"].(map[string]any)["value"].(float64); !ok {
		t.Error("wind.speed is not a quantity")
	}
}

// An hour at 25 Hz, from bytes to result.
func BenchmarkHour(b *testing.B) {
	rnd := newRand(5)
	var legs []leg
	for len(legs) < 440 {
		legs = append(legs, leg{secs: 12}, leg{secs: 4, turnDeg: 180}, leg{secs: 14}, leg{secs: 4, turnDeg: 180})
	}
	tr := fly(rnd, 60, 3, 2, 1, 0.3, legs)
	tr.pos, tr.vel, tr.air = tr.pos[:360000], tr.vel[:360000], tr.air[:360000]
	raw := asCSV(receive(rnd, tr, receiver{rate: 25, speedSD: 0.1, placeSD: 0.05, drift: 1, driftT: 20, heightSD: 0.3}))
	nm := asNMEA(receive(rnd, tr, receiver{rate: 25, speedSD: 0.1, placeSD: 0.05, drift: 1, driftT: 20, heightSD: 0.3}))
	b.Run("csv", func(b *testing.B) {
		for b.Loop() {
			if d, err := debriefOf(raw, Options{}); err != nil || d.TwoWay == nil {
				b.Fatal(err, d.TwoWayRefused)
			}
		}
	})
	b.Run("nmea", func(b *testing.B) {
		for b.Loop() {
			if d, err := debriefOf(nm, Options{}); err != nil || d.TwoWay == nil {
				b.Fatal(err, d.TwoWayRefused)
			}
		}
	})
	_ = track.CSV
}
