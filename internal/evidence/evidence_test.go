package evidence

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/track"
)

func loadLog(t testing.TB, name string) *track.Log {
	t.Helper()
	f, err := os.Open(logFile(name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	l, err := track.Read(f, track.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Wind and airspeed scale of the recorded sailplane: the plain least squares
// of the reference, whole and in windows, and the recorder's own wind.
func TestRecordedWind(t *testing.T) {
	l := loadLog(t, "evidence-real-glider-tas-wind.igc")
	src := cite.RecordedGlider.At("least squares of the reference", cite.Derived)
	row := func(n, u string) check.Row {
		return check.Row{Topic: "wind from airspeed", Name: n, Unit: u, Source: src}
	}
	var tt, e, n, a []float64
	for _, f := range l.Fixes {
		if f.Speed > 40*kmh && f.Airspeed > 40*kmh {
			s, c := math.Sincos(f.Course)
			tt, e, n, a = append(tt, f.T), append(e, f.Speed*s), append(n, f.Speed*c), append(a, f.Airspeed)
		}
	}
	row("fixes used", "").Near(t, float64(len(tt)), 2418, check.Tol{Abs: 0, Why: "a count"})
	w := WindByAirspeed(tt, e, n, a, false)
	row("whole flight: wind", "km/h").Near(t, w.Speed()*3.6, 16.589, check.Printed(1e-3))
	row("whole flight: from", "deg").Near(t, w.FromDeg(), 286.53, check.Printed(1e-2))
	row("whole flight: scale", "").Near(t, w.Scale, 1.06217, check.Printed(1e-5))
	row("whole flight: rms", "m/s").Near(t, w.RMS, 1.604, check.Printed(1e-3))
	near, all := 0, 0
	for _, k := range check.CSV(t, logFile("evidence-real-glider-wind-windows.csv")) {
		t0 := check.Number(t, k, "t_start_s")
		var pt, pe, pn, pa []float64
		for i := range tt {
			if tt[i] >= t0 && tt[i] < t0+900 {
				pt, pe, pn, pa = append(pt, tt[i]), append(pe, e[i]), append(pn, n[i]), append(pa, a[i])
			}
		}
		name := fmt.Sprintf("window at %.0f s: ", t0)
		row(name+"fixes", "").Near(t, float64(len(pt)), check.Number(t, k, "n"), check.Tol{Abs: 0, Why: "a count"})
		w := WindByAirspeed(pt, pe, pn, pa, false)
		row(name+"wind", "km/h").Near(t, w.Speed()*3.6, check.Number(t, k, "wind_fit3_kmh"), check.Printed(0.01))
		row(name+"from", "deg").Near(t, w.FromDeg(), check.Number(t, k, "from_fit3_deg"), check.Printed(0.1))
		row(name+"scale", "").Near(t, w.Scale, check.Number(t, k, "k_fit3"), check.Printed(1e-4))
		row(name+"rms", "m/s").Near(t, w.RMS, check.Number(t, k, "rms_fit3_m_s"), check.Printed(1e-3))
		f := WindByAirspeed(pt, pe, pn, pa, true)
		row(name+"wind, scale held at one", "km/h").Near(t, f.Speed()*3.6, check.Number(t, k, "wind_fit2_kmh"), check.Printed(0.01))
		row(name+"rms, scale held at one", "m/s").Near(t, f.RMS, check.Number(t, k, "rms_fit2_m_s"), check.Printed(1e-3))
		if f.RMS < w.RMS {
			t.Errorf("%s: a held scale fits better", name)
		}
		all++
		if math.Abs(w.Speed()*3.6-check.Number(t, k, "recorder_wind_kmh")) < 6 && math.Abs(math.Remainder(w.FromDeg()-check.Number(t, k, "recorder_from_deg"), 360)) < 16 {
			near++
		}
	}
	if near*10 < all*6 {
		t.Errorf("the recorder's own wind agrees in %d of %d windows", near, all)
	}
	t.Logf("the recorder's own wind agrees in %d of %d windows", near, all)
	// through the whole debrief, smoothed
	d := Of(track.Smooth(l), Options{Claims: []Claim{{What: "top speed", Value: 200 * kmh, Unit: "m/s"}}})
	mdl := func(n, u string) check.Row {
		return check.Row{Topic: "debrief of recorded logs", Name: "sailplane: " + n, Unit: u, Source: src}
	}
	mdl("wind", "km/h").Near(t, d.Wind.Speed.Value*3.6, 16.589, check.ModelAbs(1, "smoothed velocities instead of raw ones"))
	mdl("from", "deg").Near(t, d.Wind.FromDeg, 286.53, check.ModelAbs(3, "smoothed velocities instead of raw ones"))
	mdl("scale", "").Near(t, d.Wind.Scale.Value, 1.06217, check.ModelAbs(0.005, "smoothed velocities instead of raw ones"))
	mdl("peak", "km/h").Near(t, d.PeakGround.Value*3.6, 202.95, check.ModelAbs(0.5, "smoothed, bias of picking removed"))
	if d.LevelSpeed != nil || d.Refused == "" || d.TwoWay != nil {
		t.Errorf("a level speed of a dive is not refused: %+v", d.LevelSpeed)
	}
	if d.Peak.Kind != "dive" || d.Claims[0].Status != NotShown {
		t.Errorf("peak %s, claim %+v", d.Peak.Kind, d.Claims[0])
	}
}

func TestSyntheticFlight(t *testing.T) {
	l := loadLog(t, "evidence-synth-run1.nmea")
	p := track.Smooth(l)
	base := &Base{Lat: 50 * deg, Lon: 10 * deg, Azimuth: 90 * deg}
	d := Of(p, Options{Base: base})
	row := func(n, u string) check.Row {
		return check.Row{Topic: "debrief of the synthetic flight", Name: n, Unit: u, Source: cite.Ours.At("evidence-synth-run1.nmea, truth stated", cite.Derived)}
	}
	why := "the reference's own tolerance"
	row("samples", "").Near(t, float64(d.Samples), 726, check.Tol{Abs: 0, Why: "a count"})
	row("dropped: two repeats and two spikes", "").Near(t, float64(d.Dropped), 4, check.Tol{Abs: 0, Why: "a count"})
	row("gaps", "").Near(t, float64(d.Gaps), 1, check.Tol{Abs: 0, Why: "a count"})
	row("peak", "m/s").Near(t, d.PeakGround.Value, 82.163, check.ModelAbs(0.5, why))
	row("wind", "m/s").Near(t, d.Wind.Speed.Value, 6, check.ModelAbs(0.2, why))
	row("wind from", "deg").Near(t, d.Wind.FromDeg, 250, check.ModelAbs(2, why))
	row("level airspeed", "m/s").Near(t, d.LevelSpeed.Value, 72, check.ModelAbs(0.15, why))
	row("two-way speed", "m/s").Near(t, d.TwoWay.Value, 71.9707, check.ModelAbs(0.15, why))
	row("two-way airspeed", "m/s").Near(t, d.TwoWayAir.Value, 72, check.ModelAbs(0.15, "as the two-way speed"))
	if d.Peak.Kind != "dive" {
		t.Errorf("the peak is %q, not a dive", d.Peak.Kind)
	}
	truth := [][2]float64{{4.510, 7.087}, {20.072, 23.087}, {35.706, 38.283}, {51.268, 54.283}}
	g := []float64{77.6089, 66.3326, 77.6089, 66.3326}
	seen := map[int]bool{}
	for _, pr := range d.Pairs {
		for _, ps := range pr.Passes {
			for k, w := range truth {
				if math.Abs(ps.T0-w[0]) < 0.3 && !seen[k] {
					seen[k] = true
					row(fmt.Sprintf("pass %d: in", k+1), "s").Near(t, ps.T0, w[0], check.ModelAbs(0.05, "positions carry 1 m of slow error: 0.015 s, three sigma"))
					row(fmt.Sprintf("pass %d: out", k+1), "s").Near(t, ps.T1, w[1], check.ModelAbs(0.05, "as above"))
					row(fmt.Sprintf("pass %d: ground speed", k+1), "m/s").Near(t, ps.Timed, g[k], check.ModelAbs(0.15, why))
					if !ps.Accepted {
						t.Errorf("pass %d is refused: %s", k+1, ps.Because)
					}
				}
			}
			if math.Abs(ps.T0-67.073) < 0.4 && ps.Accepted {
				t.Error("the spoiled fifth pass is accepted")
			}
		}
	}
	if len(seen) != 4 {
		t.Errorf("passes found: %v", seen)
	}
	// without being told the base
	free := Of(p, Options{})
	row("two-way speed, base not given", "m/s").Near(t, free.TwoWay.Value, 71.9707, check.ModelAbs(0.15, why))
	// by positions alone
	only := loadLog(t, "evidence-synth-run1.nmea")
	for i := range only.Fixes {
		only.Fixes[i].Speed, only.Fixes[i].Course = math.NaN(), math.NaN()
	}
	dp := Of(track.Smooth(only), Options{Base: base})
	row("two-way speed by positions", "m/s").Near(t, dp.TwoWay.Value, 71.9707, check.ModelAbs(0.6, why))
	t.Logf("by positions: two-way %.3f ± %.3f, wind %.2f from %.1f", dp.TwoWay.Value, dp.TwoWay.SD(), dp.Wind.Speed.Value, dp.Wind.FromDeg)
}

func TestBattery(t *testing.T) {
	r := ours("battery", "sums by hand")
	var tt, a, v []float64
	for i := 0; i <= 240; i++ {
		tt = append(tt, float64(i))
		amps, volts := 40.0, 14.8
		if i > 60 {
			amps, volts = 12, 15.6
		}
		a, v = append(a, amps), append(v, volts)
	}
	// a step has no width: the trapezium across it is half of each
	q, e, _ := Coulombs(tt, a, v, 5)
	r("charge of two steps", "A h").Near(t, (q-(12-40)*0.5)/3600, 1.26667+40.0/3600-40.0/3600, check.ModelAbs(1e-5+28.0/3600, "one second's step lies in either stretch"))
	ex := 0.0
	ex += 60 * 40
	ex += 180 * 12
	r("charge by hand", "A h").Near(t, ex/3600, 1.26667, check.Printed(1e-5))
	r("charge, with the step's own second", "A s").Near(t, q, 60*40+0.5*(40+12)+179*12, check.Exact(1e4))
	r("energy, with the step's own second", "W h").Near(t, e/3600, (60*40*14.8+0.5*(40*14.8+12*15.6)+179*12*15.6)/3600, check.Exact(1e4))
	r("energy by hand", "W h").Near(t, (60*40*14.8+180*12*15.6)/3600, 19.2267, check.Printed(1e-4))
	r("sag taken out", "V").Near(t, OpenVoltage(14, 60, 0.020)-14, 1.2, check.Exact(1e4))
	its, _ := PackReading{PutBack: 1.6 * 3600, MeanVolts: 15, Seconds: 310}.items()
	for _, it := range its {
		switch it.What {
		case "energy used":
			r("energy of 1.6 A h at 15 V", "W h").Near(t, it.Value/3600, 24.0, check.Exact(1e3))
		case "mean power":
			r("mean power over 310 s", "W").Near(t, it.Value, 278.7, check.Printed(0.1))
		}
	}
	// a log with sag: the resistance is found
	var b strings.Builder
	b.WriteString("t [s],volts [V],amps [A],throttle [%]\n")
	q = 0
	for i := 0; i < 1500; i++ {
		x := float64(i) * 0.2
		amps := 20 + 15*math.Sin(x*0.9)
		q += amps * 0.2
		fmt.Fprintf(&b, "%.1f,%.3f,%.2f,%d\n", x, 16.6-q/6000*1.6-amps*0.022, amps, 50)
	}
	l, err := track.Read(strings.NewReader(b.String()), track.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := Of(track.Smooth(l), Options{})
	if d.Battery == nil || d.Battery.Resistance == nil {
		t.Fatalf("battery %+v", d.Battery)
	}
	r("pack resistance of a made-up log", "ohm").Near(t, d.Battery.Resistance.Value, 0.022, check.ModelAbs(1e-4, "millivolt digits"))
	r("charge of a made-up log", "A s").Near(t, d.Battery.Charge.Value, q, check.Model(0.002, "trapezium against steps"))
	if _, err := json.Marshal(d); err != nil {
		t.Fatal(err)
	}
}

func TestClaims(t *testing.T) {
	r := func(n string) check.Row {
		return check.Row{Topic: "claims", Name: n, Source: cite.JCGM106.At("conformity probability Φ((v−C)/u)", cite.Memory)}
	}
	r("v 256, C 262, u 4").Near(t, Conformity(256, 4, 262), 0.0668, check.Printed(1e-4))
	r("v 243, C 262, u 3").Near(t, Conformity(243, 3, 262), 1.2e-10, check.Model(0.05, "two digits printed"))
	r("v 267, C 262, u 3").Near(t, Conformity(267, 3, 262), 0.9522, check.Printed(1e-4))
	r("least estimate that shows 262 with u 3").Near(t, Accept(262, 3), 262+1.645*3, check.ModelAbs(1e-3, "1.645 printed"))
	yes := true
	d := func(v, u float64) *Debrief {
		return &Debrief{BestPair: -1, Items: []Item{{What: "level airspeed", Value: v * kmh, Sigma: u * kmh, Unit: "m/s"}}}
	}
	c := Claim{What: "top speed", Value: 262 * kmh, Unit: "m/s"}
	full := Options{State: FlightState{FullThrottle: &yes, ClaimedParts: &yes, SoundAirframe: &yes}}
	for _, k := range []struct {
		v, u float64
		o    Options
		want Status
	}{
		{267, 3, Options{}, Shown}, {256, 4, full, NotShown}, {243, 3, full, Refuted}, {243, 3, Options{}, NotShown},
	} {
		j := Judge(c, d(k.v, k.u), k.o)
		if j.Status != k.want || j.Because == "" {
			t.Errorf("%g ± %g: %s, want %s (%s)", k.v, k.u, j.Status, k.want, j.Because)
		}
		if j.Status != Refuted && j.Status != Shown && j.Settle == "" {
			t.Errorf("%g: nothing is said to settle it", k.v)
		}
	}
	// the scenario: three numbers off a screen show nothing and refute nothing
	var rs []Reading
	for _, v := range []float64{240, 274, 261} {
		rs = append(rs, Reading{Speed: &SpeedReading{Speed: v * kmh, Peak: true}})
	}
	for _, claim := range []float64{150, 220, 290, 400} {
		s := OfReadings(rs, Options{Claims: []Claim{{What: "top speed", Value: claim * kmh, Unit: "m/s"}}, State: full.State})
		if j := s.Claims[0]; j.Status != NotShown || j.Settle == "" {
			t.Errorf("readings against %g km/h: %s (%s)", claim, j.Status, j.Because)
		}
		if _, err := json.Marshal(s); err != nil {
			t.Fatal(err)
		}
	}
	// other claims
	facts := []Item{{What: "take-off mass", Value: 0.74, Sigma: 0.002, Unit: "kg", Method: "kitchen scales"}, {What: "build time", Value: 41 * 3600, Sigma: 3600, Unit: "s", Method: "diary"}, {What: "time in the air", Value: 250, Sigma: 1, Unit: "s"}}
	for _, k := range []struct {
		c    Claim
		want Status
	}{
		{Claim{What: "take-off mass", Value: 0.70, Unit: "kg"}, Refuted},
		{Claim{What: "takeoff mass", Value: 0.75, Unit: "kg"}, Shown},
		{Claim{What: "build hours", Value: 8 * 3600, Unit: "s"}, Refuted},
		{Claim{What: "endurance", Value: 240, Unit: "s"}, Shown},
		{Claim{What: "endurance", Value: 600, Unit: "s"}, NotShown},
		{Claim{What: "colour", Value: 1}, NotShown},
		{Claim{What: "stall speed", Value: 9, Unit: "m/s"}, NotShown},
	} {
		x := bare("readings", Options{})
		x.Items = facts
		if j := Judge(k.c, &x, Options{}); j.Status != k.want {
			t.Errorf("%s %g: %s, want %s (%s)", k.c.What, k.c.Value, j.Status, k.want, j.Because)
		}
	}
}

func TestReadings(t *testing.T) {
	east, west := 90.0, 268.0
	yes := true
	items, _, rem := Readings([]Reading{
		{Pass: &TimedPass{Base: 200, BaseSD: 0.5, Seconds: 2.6667, SecondsSD: 0.05, CourseDeg: &east, Level: &yes}},
		{Pass: &TimedPass{Base: 200, BaseSD: 0.5, Frames: 75, FrameRate: 25, CourseDeg: &west, Level: &yes}},
		{Pass: &TimedPass{Base: 0, Seconds: 3}},
		{Speed: &SpeedReading{Speed: math.NaN()}},
		{Battery: &PackReading{VoltsBefore: 16.8, VoltsAfter: 15.0, Cells: 4, Capacity: 1.8 * 3600}},
		{Value: &Item{What: "take-off mass", Value: 0.7, Sigma: 0.001, Unit: "kg"}},
		{Outcome: "nose over on landing"},
		{},
	})
	found := map[string]Item{}
	for _, it := range items {
		found[it.What] = it
	}
	r := ours("readings", "base over time")
	tw := found["timed two-way speed"]
	r("two timed passes", "m/s").Near(t, tw.Value, (200/2.6667+200/3.0)/2, check.Exact(1e4))
	r("its doubt", "m/s").Near(t, tw.Sigma, math.Sqrt(sq(1.406/2)+sq(200/3.0*frameSD/75/2)+sq(0.5/200*70.83)+sq(200/3.0*rateSDRel/2)+sq(gustShare*math.Hypot(4.17, 4.17)/math.Sqrt2)), check.Model(0.02, "the cross wind's small part is left out here"))
	if len(rem) != 4 {
		t.Errorf("remarks %q", rem)
	}
	if q := found["charge used"]; !(q.Value > 0.6*1.8*3600 && q.Value < 1.8*3600) || q.Sigma < 0.03*1.8*3600 {
		t.Errorf("charge by voltage %+v", q)
	}
	if found["take-off mass"].Method == "" {
		t.Error("no method")
	}
}

func TestPostMortem(t *testing.T) {
	causes := []Cause{
		{"too slow at release", 0.06, map[string]float64{"sank below the start": 0.9, "rolled off": 0.3}, "pull test of the cord"},
		{"torque roll", 0.03, map[string]float64{"sank below the start": 0.5, "rolled off": 0.95, "motor ran": 1}, "film from behind"},
		{"pitched up and stalled", 0.01, map[string]float64{"sank below the start": 0.4, "nose high": 0.95}, "balance"},
	}
	rank, next := PostMortem(causes, []Sign{{Name: "rolled off", Seen: true, Trust: 0.95}, {Name: "sank below the start", Seen: true}})
	// by hand, first against second: 0.06·(.95·.3+.05·.7)·(.9·.9+.1·.1) : 0.03·(.95·.95+.05·.05)·(.9·.5+.1·.5)
	a := 0.06 * (0.95*0.3 + 0.05*0.7) * (0.9*0.9 + 0.1*0.1)
	b := 0.03 * (0.95*0.95 + 0.05*0.05) * (0.9*0.5 + 0.1*0.5)
	var pa, pb float64
	sum := 0.0
	for _, e := range rank {
		sum += e.Odds.Value
		switch e.Name {
		case "too slow at release":
			pa = e.Odds.Value
		case "torque roll":
			pb = e.Odds.Value
		}
		if !(e.Odds.Low <= e.Odds.Value && e.Odds.Value <= e.Odds.High) {
			t.Errorf("%+v", e)
		}
	}
	r := ours("launch post-mortem", "Bayes' rule by hand")
	r("ratio of two causes", "").Near(t, pa/pb, a/b, check.Exact(1e4))
	r("sum of the odds", "").Near(t, sum, 1, check.Exact(10))
	if len(next) == 0 || next[0].Bits < 0 {
		t.Errorf("what to look for: %+v", next)
	}
	if l, c, s := SameSettings(0.5, 0.1, 0.3); math.Abs(l+c-1) > 1e-12 || l < c || s == "" {
		t.Errorf("same settings: %g %g %s", l, c, s)
	}
	if l, c, _ := SameSettings(0.995, 0.2, 0.3); c < l {
		t.Errorf("a sure launch that failed is chance %g", l)
	}
	if r, _ := PostMortem(nil, nil); len(r) != 0 {
		t.Error("causes from nothing")
	}
}

func TestSheet(t *testing.T) {
	l := loadLog(t, "evidence-synth-run1.nmea")
	d := Of(track.Smooth(l), Options{Claims: []Claim{{What: "top speed", Value: 255 * kmh, Unit: "m/s", By: "maker"}}, Predicted: []Item{{What: "top speed", Value: 73, Sigma: 2, Unit: "m/s"}}, Hash: "abc"})
	if j := d.Claims[0]; j.Status != Shown || j.Predicted == nil || j.Measured == nil {
		t.Errorf("claim %+v", j)
	}
	s := NewSheet("run 1", &d, []Item{{What: "level airspeed", Value: 73, Sigma: 2, Unit: "m/s"}, {What: "glide ratio", Value: 9, Sigma: 1}}, Provenance{Obtained: "lent"})
	names := map[string]bool{}
	for _, p := range s.Plots {
		names[p.Name] = true
		if len(p.X) != len(p.Y) || len(p.X) == 0 {
			t.Errorf("plot %s: %d and %d", p.Name, len(p.X), len(p.Y))
		}
	}
	for _, n := range []string{"speed over the ground", "airspeed", "path over the field", "energy height", "pass 1 over the base"} {
		if !names[n] {
			t.Errorf("no plot %q", n)
		}
	}
	if len(s.Budgets) != 2 || math.Abs(s.Budgets[0].K2-2*s.Budgets[0].Total) > 1e-12 || s.Lines[0].Status != Shown {
		t.Errorf("sheet %+v", s.Budgets)
	}
	if _, err := json.Marshal(s); err != nil {
		t.Fatal(err)
	}
}

// A log without heights, without turns, without anything: refused with a
// reason, and the JSON stands.
func TestRefusals(t *testing.T) {
	var line, flat strings.Builder
	line.WriteString("t,lat,lon,alt,speed\n")
	flat.WriteString("t,lat,lon,speed\n")
	for i := 0; i < 300; i++ {
		x := float64(i) * 0.2
		fmt.Fprintf(&line, "%.1f,%.7f,10,%d,50\n", x, 50+x*50/111229, 60)
		fmt.Fprintf(&flat, "%.1f,%.7f,%.7f,50\n", x, 50+0.001*math.Sin(x/4), 10+0.0015*math.Cos(x/4))
	}
	for n, s := range map[string]string{"a straight line": line.String(), "no heights": flat.String(), "two fixes": "t,lat,lon\n0,50,10\n1,50.0001,10\n", "one fix": "t,lat,lon\n0,50,10\n", "volts only": "t,volts\n0,16\n1,15.9\n2,15.8\n", "airspeed only": "t,airspeed\n0,16\n1,15.9\n2,15.8\n"} {
		d, err := debriefOf([]byte(s), Options{Claims: []Claim{{What: "top speed", Value: 40, Unit: "m/s"}}})
		if err != nil {
			t.Errorf("%s: %v", n, err)
			continue
		}
		if d.LevelSpeed != nil || d.Refused == "" || d.TwoWay != nil || d.TwoWayRefused == "" {
			t.Errorf("%s: level %+v %q, two-way %+v %q", n, d.LevelSpeed, d.Refused, d.TwoWay, d.TwoWayRefused)
		}
		if d.Claims[0].Status != NotShown {
			t.Errorf("%s: claim %s", n, d.Claims[0].Status)
		}
		if _, err := json.Marshal(d); err != nil {
			t.Errorf("%s: %v", n, err)
		}
	}
}
