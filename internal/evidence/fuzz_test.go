package evidence

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"testing"

	"fledge/internal/track"
)

// Whatever the log, the debrief ends, does not panic and is JSON.
func FuzzDebrief(f *testing.F) {
	for _, n := range []string{"evidence-synth-run1.nmea", "evidence-real-stuck-clock.igc", "evidence-real-segments.gpx"} {
		raw, err := os.ReadFile(logFile(n))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw[:min(len(raw), 1500)])
	}
	f.Add([]byte("time,lat,lon,alt,speed,course,volts,amps,airspeed,throttle\n0,50,10,1,20,0,16,2,20,1\n1,50.0002,10,1,20,0,16,2,20,1\n2,50.0004,10,1,20,0,16,2,20,1\n3,50.0006,10,1,20,0,16,2,20,1\n4,50.0008,10,1,20,0,16,2,20,1\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if len(raw) > 1<<15 {
			return
		}
		l, err := track.Read(bytes.NewReader(raw), track.Options{MaxFixes: 1000})
		if err != nil {
			if !errors.Is(err, track.ErrNoFixes) {
				t.Fatal(err)
			}
			return
		}
		d := Of(track.Smooth(l), Options{Claims: []Claim{{What: "top speed", Value: 70, Unit: "m/s"}, {What: "endurance", Value: 70, Unit: "s"}}, HeightLimit: 100, FarLimit: 100})
		if _, err := json.Marshal(d); err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(NewSheet("x", &d, nil, Provenance{})); err != nil {
			t.Fatal(err)
		}
	})
}

func FuzzSound(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6}, 8000.0)
	f.Fuzz(func(t *testing.T, raw []byte, rate float64) {
		if !(rate >= 1000 && rate < 1e6) || len(raw) > 1<<13 {
			return
		}
		s := &track.Sound{Rate: rate}
		for i := 0; i < 8; i++ {
			for _, b := range raw {
				s.Samples = append(s.Samples, float32(b)/128-1)
			}
		}
		rs, err := Flybys(s, SoundOptions{})
		for _, r := range rs {
			if math.IsNaN(r.Speed.Value) || r.Speed.Value <= 0 {
				t.Fatalf("%+v", r)
			}
		}
		if _, err := json.Marshal(OfSound(s, rs, err, Options{})); err != nil {
			t.Fatal(err)
		}
	})
}
