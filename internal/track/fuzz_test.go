package track

import (
	"bytes"
	"math"
	"os"
	"testing"
)

// oddities: whatever the bytes, the reader and the smoother give finite,
// ordered results and never panic.
func sane(t *testing.T, raw []byte) {
	if len(raw) > 1<<16 {
		return
	}
	l, err := Read(bytes.NewReader(raw), Options{MaxFixes: 2000})
	if l == nil {
		t.Fatal("no log")
	}
	if (err == nil) != (len(l.Fixes) > 0) {
		t.Fatalf("%d fixes with error %v", len(l.Fixes), err)
	}
	last := math.Inf(-1)
	var section int32
	for i := range l.Fixes {
		f := &l.Fixes[i]
		if !(f.T > last) || math.IsInf(f.T, 0) {
			t.Fatalf("time %g after %g", f.T, last)
		}
		last = f.T
		if f.Section < section {
			t.Fatalf("section %d after %d", f.Section, section)
		}
		section = f.Section
		if f.hasPlace() && (math.Abs(f.Lat) > math.Pi/2+1e-9 || math.Abs(f.Lon) > 2*math.Pi+1e-9) {
			t.Fatalf("place %g %g", f.Lat, f.Lon)
		}
	}
	for _, d := range l.Dropped {
		if d.Count <= 0 || d.Reason == "" {
			t.Fatalf("drop %+v", d)
		}
	}
	if len(l.Fixes) == 0 {
		return
	}
	p := Smooth(l)
	for i := range p.Samples {
		s := &p.Samples[i]
		if !known(s.Pos[0]) || !known(s.Vel[1]) || math.IsNaN(s.SpeedSD) {
			t.Fatalf("sample %d: %+v", i, *s)
		}
	}
	var b bytes.Buffer
	if err := p.WriteGPX(&b, "f"); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteGeoJSON(&b, "f"); err != nil {
		t.Fatal(err)
	}
}

func seed(f *testing.F, names ...string) {
	for _, n := range names {
		raw, err := os.ReadFile("testdata/logs/" + n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw[:min(len(raw), 900)])
	}
}

func FuzzNMEA(f *testing.F) {
	seed(f, "evidence-real-rollover-badsum.nmea", "evidence-real-rtk-10hz.nmea", "evidence-real-car-60kmh.nmea")
	f.Fuzz(func(t *testing.T, raw []byte) { sane(t, raw) })
}

func FuzzIGC(f *testing.F) {
	seed(f, "evidence-real-stuck-clock.igc", "evidence-real-glider-tas-wind.igc")
	f.Fuzz(func(t *testing.T, raw []byte) { sane(t, raw) })
}

func FuzzGPX(f *testing.F) {
	f.Add([]byte(gpxGood))
	seed(f, "evidence-real-car.gpx", "evidence-real-segments.gpx")
	f.Fuzz(func(t *testing.T, raw []byte) { sane(t, raw) })
}

func FuzzCSV(f *testing.F) {
	f.Add([]byte("time,lat,lon,speed\n0,50,10,20\n1,50.1,10,20\n2,50.2,10,20\n"))
	f.Add([]byte("t;GPS;Spd(kmh)\n0,1;50,1 10,2;3\n\"a\n\n1;2;3\n"))
	f.Add([]byte("Date,Time,east_m,north_m,vbat\n2025-01-01,10:00:00,1,2,3\n2025-01-01,10:00:01,2,2,3\n"))
	f.Fuzz(func(t *testing.T, raw []byte) { sane(t, raw) })
}

func FuzzWAV(f *testing.F) {
	raw, err := os.ReadFile("testdata/logs/evidence-flyby1.wav")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(raw[:400])
	f.Fuzz(func(t *testing.T, raw []byte) {
		s, err := ReadWAV(bytes.NewReader(raw))
		if err == nil && (len(s.Samples) == 0 || s.Rate <= 0) {
			t.Fatalf("%+v", s)
		}
	})
}
