package app

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/diag"
	"fledge/internal/learn"
)

// TestLearnLine: what a log gave is kept as a line that reads back as the same
// reading, to the digits of the line.
func TestLearnLine(t *testing.T) {
	o, err := Open(Request{Path: "../../examples/tern.yaml", Untaught: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []learn.Reading{
		{Kind: learn.LevelSpeed, Value: 52.123456789, SD: 0.7654321, Throttle: 0.6123, Rho: 1.2345, From: "a b.csv 12ab"},
		{Kind: learn.LevelSpeed, Value: 52.1, SD: 0.7, Throttle: 1, From: "x"},
		{Kind: learn.GlideSink, At: 17.98765, Value: 2.70301, SD: 0.2561, Rho: 1.2, From: "x, glide 3"},
		{Kind: learn.Release, Value: 13.3333, SD: 0.91, From: "x"},
		{Kind: learn.PackOhms, Value: 0.0234567, SD: 0.0011, From: "x"},
	} {
		var ds diag.List
		line := learnLine(&r)
		got := learnReading(&ds, diag.Span{}, "", line, o.Aircraft)
		if ds.HasErrors() || len(got) != 1 {
			t.Errorf("%q: %v %d", line, ds, len(got))
			continue
		}
		g := got[0]
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-5*math.Abs(b) }
		if g.Kind != r.Kind || g.From != r.From || g.Suspicious != "" || !near(g.Value, r.Value) || !near(g.SD, r.SD) || !near(g.At, r.At) || !near(g.Throttle, r.Throttle) || !near(g.Rho, r.Rho) {
			t.Errorf("%q reads back as %+v", line, g)
		}
	}
}

// FuzzLearnReading: whatever is typed gives readings that are numbers, or an
// error.
func FuzzLearnReading(f *testing.F) {
	for _, s := range []string{"", "level_speed=50 m/s throttle=100 %", "volts=15 V amps=30 A rpm=20000 rpm pull=9 N throttle=0.5", "glide_speed=NaN m/s sink=1 m/s", "stick=-200 % at_speed=1 m/s", "ring_angle=1e400 deg", "of=of=of", "cord_pull=1 N ± 9 N stretch=0 m", "pull=0 N", "density=-1 kg/m^3 stall_speed=9 m/s"} {
		f.Add(s)
	}
	o, err := Open(Request{Path: "../../examples/tern.yaml", Untaught: true})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, line string) {
		var ds diag.List
		got := learnReading(&ds, diag.Span{}, "--reading 1: ", line, o.Aircraft)
		if len(got) == 0 && !ds.HasErrors() {
			t.Fatalf("%q gives neither a reading nor an error", line)
		}
		for _, r := range got {
			if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || math.IsNaN(r.SD) || r.SD < 0 || math.IsNaN(r.Rho) || strings.ContainsAny(r.Key(), "\n\r") {
				t.Fatalf("%q: %+v", line, r)
			}
		}
	})
}
