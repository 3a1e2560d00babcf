package evidence

import (
	"fmt"
	"io"
	"math"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"testing"
	"time"

	"fledge/internal/track"
)

// day is a recorder left on: rests on the field with a flight now and then,
// written row by row as it is read.
type day struct {
	seconds, every, rate float64 // length; a flight starts every so often
	fly                  float64 // s of each
	i                    int
	buf                  []byte
	x, y, v, crs         float64
}

func (d *day) Read(p []byte) (int, error) {
	for len(d.buf) < len(p) {
		t := float64(d.i) / d.rate
		if t > d.seconds {
			break
		}
		if d.i == 0 {
			d.buf = append(d.buf, "time [s],latitude,longitude,altitude [m],ground speed [m/s],course [deg]\n"...)
		}
		into := math.Mod(t, d.every)
		d.v, d.crs = 0, 0
		h := 0.0
		if into < d.fly { // a circuit of two straights in a wind of 5 m/s from the west
			const air, wind = 60.0, 5.0
			lap := math.Mod(into, 32)
			turn := math.Pi / 4 // rad/s over 4 s
			hdg := 0.0          // heading, from east
			switch {
			case lap < 12:
				hdg = 0
			case lap < 16:
				hdg = (lap - 12) * turn
			case lap < 28:
				hdg = math.Pi
			default:
				hdg = math.Pi + (lap-28)*turn
			}
			ve, vn := air*math.Cos(hdg)+wind, air*math.Sin(hdg)
			d.x, d.y = d.x+ve/d.rate, d.y+vn/d.rate
			d.v, d.crs = math.Hypot(ve, vn), math.Mod(math.Atan2(ve, vn)/deg+360, 360)
			h = 40 * math.Min(1, math.Min(into/8, (d.fly-into)/8))
		}
		d.buf = fmt.Appendf(d.buf, "%.2f,%.8f,%.8f,%.2f,%.2f,%.1f\n", t, 50+d.y/111229, 10+d.x/71695.75, 100+h, d.v, d.crs)
		d.i++
	}
	if len(d.buf) == 0 {
		return 0, io.EOF
	}
	n := copy(p, d.buf)
	d.buf = d.buf[:copy(d.buf, d.buf[n:])]
	return n, nil
}

// peakHeap is the most live memory while f runs, bytes above the start.
func peakHeap(f func()) float64 {
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	read := func() float64 {
		s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		metrics.Read(s)
		return float64(s[0].Value.Uint64())
	}
	runtime.GC()
	base, top := read(), 0.0
	stop, done := make(chan bool), make(chan bool)
	go func() {
		defer close(done)
		for {
			top = math.Max(top, read())
			select {
			case <-stop:
				return
			case <-time.After(time.Millisecond):
			}
		}
	}()
	f()
	close(stop)
	<-done
	return top - base
}

// Memory is bounded by what is kept at a time, not by the length of the file:
// eight times the log asks no more memory, and says the same of the flights.
func TestMemoryOfLongLogs(t *testing.T) {
	const kept = 12000
	look := func(hours float64) (d Debrief, bytes float64) {
		bytes = peakHeap(func() {
			l, err := track.Read(&day{seconds: hours * 3600, every: hours * 1800, rate: 10, fly: 240}, track.Options{MaxFixes: kept})
			if err != nil {
				t.Fatal(err)
			}
			d = Of(track.Smooth(l), Options{})
		})
		return d, bytes
	}
	short, a := look(0.5) // 18 000 records
	long, b := look(4)    // 144 000
	t.Logf("half an hour %.1f MB, four hours %.1f MB: ratio %.2f", a/1e6, b/1e6, b/a)
	if b > 1.3*a {
		t.Errorf("eight times the log takes %.2f times the memory", b/a)
	}
	for _, d := range []Debrief{short, long} {
		if d.Wind == nil || math.Abs(d.Wind.Speed.Value-5) > 0.3 || math.Abs(math.Remainder(d.Wind.FromDeg-270, 360)) > 4 {
			t.Errorf("wind %+v %s", d.Wind, d.WindRefused)
		}
		if d.LevelSpeed == nil || math.Abs(d.LevelSpeed.Value-60) > 0.5 {
			t.Errorf("level speed %+v %s", d.LevelSpeed, d.Refused)
		}
		if d.TwoWay == nil || math.Abs(d.TwoWay.Value-60) > 0.5 {
			t.Errorf("two-way speed %+v %s", d.TwoWay, d.TwoWayRefused)
		}
	}
	if long.Samples != 144001 || long.Gaps != 0 {
		t.Errorf("%d samples, %d gaps", long.Samples, long.Gaps)
	}
	// in the air all the time: thinned evenly, and said
	all, c := Debrief{}, 0.0
	c = peakHeap(func() {
		l, err := track.Read(&day{seconds: 4 * 3600, every: 4 * 3600, rate: 10, fly: 4 * 3600}, track.Options{MaxFixes: kept})
		if err != nil {
			t.Fatal(err)
		}
		all = Of(track.Smooth(l), Options{})
	})
	t.Logf("four hours in the air %.1f MB", c/1e6)
	if c > 1.5*a || all.Wind == nil || math.Abs(all.Wind.Speed.Value-5) > 0.5 {
		t.Errorf("%.1f MB, wind %+v %s", c/1e6, all.Wind, all.WindRefused)
	}
}

// What four times the log takes of memory, both longer than is kept at a time.
func BenchmarkLongLog(b *testing.B) {
	look := func(hours float64) float64 {
		return peakHeap(func() {
			l, err := track.Read(&day{seconds: hours * 3600, every: 1800, rate: 25, fly: 600}, track.Options{MaxFixes: 50_000})
			if err != nil {
				b.Fatal(err)
			}
			_ = Of(track.Smooth(l), Options{})
		})
	}
	for b.Loop() {
		b.ReportMetric(look(4)/look(1), "memory/quarter")
	}
}
