package air

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestMETAR(t *testing.T) {
	nan := math.NaN()
	wide := cite.WMOFM15.At("widely printed example", cite.Memory)
	navy := cite.NavyMET.At("wind groups", cite.Seen)
	form := cite.WMOFM15.At("code form", cite.Seen)
	for _, r := range []struct {
		name, text                                   string
		src                                          cite.Ref
		day, hour, minute                            int
		from, speed, gust, lo, hi, c, dew, hPa, relh float64
		variable, calm, precise                      bool
	}{
		{"M1", "METAR LBBG 041600Z 12012MPS 090V150 1400 R04/P1500N R22/P1500U +SN BKN022 OVC050 M04/M07 Q1020 NOSIG 8849//91=", wide,
			4, 16, 0, 120, 12, nan, 90, 150, -4, -7, 1020, 79.6, false, false, false},
		{"M2", "METAR KTTN 051853Z 04011KT 1/2SM VCTS SN FZFG BKN003 OVC010 M02/M02 A3006 RMK AO2 TSB40 SLP176 P0002 T10171017=", wide,
			5, 18, 53, 40, 5.659, nan, nan, nan, -1.7, -1.7, 1017.95, 100, false, false, true},
		{"M3", "METAR XXXX 121350Z AUTO VRB04KT 9999 NCD 21/08 Q1013", navy,
			12, 13, 50, nan, 2.058, nan, nan, nan, 21, 8, 1013, 43.2, true, false, false},
		{"M4", "METAR XXXX 121350Z 27025G40KT 6000 SCT012 09/06 Q0987", navy,
			12, 13, 50, 270, 12.861, 20.578, nan, nan, 9, 6, 987, nan, false, false, false},
		{"M5", "METAR XXXX 121350Z 21012KT 160V250 CAVOK 18/M00 A2985", navy,
			12, 13, 50, 210, 12 * knot, nan, 160, 250, 18, 0, 1010.84, nan, false, false, false},
		{"M6", "METAR XXXX 121350Z 00000KT CAVOK 05/M02 Q1031", form,
			12, 13, 50, nan, 0, nan, nan, nan, 5, -2, 1031, nan, false, true, false},
		{"M7", "METAR XXXX 121350Z /////KT //// // ///// Q////", form,
			12, 13, 50, nan, nan, nan, nan, nan, nan, nan, nan, nan, false, false, false},
	} {
		got, faults := ReadMETAR(r.text)
		if len(faults) > 0 {
			t.Errorf("%s: %v", r.name, faults)
		}
		if got.Day != r.day || got.Hour != r.hour || got.Minute != r.minute || !got.HasTime || got.Variable != r.variable || got.Calm != r.calm || got.Precise != r.precise {
			t.Errorf("%s: %+v", r.name, got)
		}
		near := func(name, unit string, got, want, tol float64) {
			t.Helper()
			if math.IsNaN(want) {
				if !math.IsNaN(got) && name != "humidity" {
					t.Errorf("%s: %s is %g, was not reported", r.name, name, got)
				}
				return
			}
			check.Row{Topic: "weather reports", Name: r.name + " " + name, Unit: unit, Source: r.src}.Near(t, got, want, check.ModelAbs(tol, "last printed digit of the expected value"))
		}
		near("wind from", "deg", got.WindFrom/degree, r.from, 1e-9)
		near("wind", "m/s", got.WindSpeed, r.speed, 6e-4)
		near("gust", "m/s", got.Gust, r.gust, 6e-4)
		near("varying from", "deg", got.VaryLo/degree, r.lo, 1e-9)
		near("varying to", "deg", got.Vary/degree, r.hi, 1e-9)
		near("temperature", "degC", got.T-Celsius, r.c, 1e-9)
		near("dew point", "degC", got.Dew-Celsius, r.dew, 1e-9)
		near("QNH", "hPa", got.QNH/100, r.hPa, 6e-3)
		near("humidity", "%", 100*got.RH(), r.relh, 0.06)
	}
}

func TestMETARFaults(t *testing.T) {
	for _, r := range []struct{ name, text, group, word string }{
		{"direction", "XXXX 121350Z 41010KT 10/05 Q1013", "41010KT", "360"},
		{"gust below mean", "XXXX 121350Z 27025G10KT 10/05 Q1013", "27025G10KT", "below"},
		{"pressure", "XXXX 121350Z 27005KT 10/05 Q0013", "Q0013", "hPa"},
		{"dew point", "XXXX 121350Z 27005KT 10/15 Q1013", "10/15", "dew point"},
		{"hurricane", "XXXX 121350Z 270999KT 10/05 Q1013", "270999KT", "no such wind"},
		{"time", "XXXX 991350Z 27005KT 10/05 Q1013", "991350Z", "day and time"},
		{"nothing", "what a lovely day", "what a lovely da", "recognised"},
		{"empty", "", "", "recognised"},
		{"remark", "XXXX 121350Z 27005KT 10/05 Q1013 RMK T02000150", "T02000150", "belong"},
		{"novel", strings.Repeat("27005KT ", 1000), strings.Repeat("27005KT ", 2), "characters"},
	} {
		rep, faults := ReadMETAR(r.text)
		if len(faults) != 1 || faults[0].Group != r.group || !strings.Contains(faults[0].Say, r.word) {
			t.Errorf("%s: %v", r.name, faults)
		}
		if r.name == "pressure" && !math.IsNaN(rep.QNH) || r.name == "gust below mean" && (math.IsNaN(rep.WindSpeed) || !math.IsNaN(rep.Gust)) {
			t.Errorf("%s: %+v", r.name, rep)
		}
	}
	// a trend must not overwrite the observation
	rep, _ := ReadMETAR("EGXX 121350Z 27008KT 9999 12/06 Q1013 TEMPO 30025G40KT 08/07 Q0990")
	if math.Abs(rep.WindSpeed-8*knot) > 1e-9 || !math.IsNaN(rep.Gust) || rep.QNH != 101300 || rep.Station != "EGXX" {
		t.Errorf("trend taken for weather: %+v", rep)
	}
	if rep, _ := ReadMETAR("EGXX 121350Z 270P99KT 12/ Q1013"); !rep.Above || !math.IsNaN(rep.Dew) || rep.T != Celsius+12 {
		t.Errorf("%+v", rep)
	}
	if rep, _ := ReadMETAR("EGXX 121350Z 36018KMH 12/06"); math.Abs(rep.WindSpeed-5) > 1e-12 || rep.WindFrom != 0 {
		t.Errorf("km/h: %+v", rep)
	}
}

func FuzzMETAR(f *testing.F) {
	for _, s := range []string{"METAR LBBG 041600Z 12012MPS 090V150 1400 R04/P1500N M04/M07 Q1020 NOSIG=", "/////KT //// ///// Q////", "VRB04KT 21/08 A2992 RMK T10171017", "P99KT GKT // Q T1 000V000", "M/ 1/ /M00 M0/M0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, faults := ReadMETAR(s)
		for _, x := range faults {
			if x.Offset < 0 || x.Offset > len(s) || x.Say == "" {
				t.Errorf("%+v", x)
			}
		}
		in := func(v, lo, hi float64) {
			if !math.IsNaN(v) && !(v >= lo && v <= hi) {
				t.Errorf("%q: %g outside %g to %g: %+v", s, v, lo, hi, r)
			}
		}
		in(r.WindFrom, 0, 2*math.Pi)
		in(r.WindSpeed, 0, 100)
		in(r.Gust, 0, 130)
		in(r.T, 180, 335)
		in(r.Dew, 180, 335)
		in(r.QNH, 85000, 110000)
		if r.Gust < r.WindSpeed || r.Dew > r.T+1 {
			t.Errorf("%q: %+v", s, r)
		}
	})
}

// The pressure and the gusts of a report at a field 250 m up, and the density
// above it against the formula.
func TestReportAtField(t *testing.T) {
	r, _ := ReadMETAR("XXXX 121350Z 27025G40KT 6000 SCT012 09/06 Q0987")
	p := StationPressure(r.QNH, 250)
	check.Row{Topic: "altimeter law", Name: "pressure of the day at 250 m, QNH 987", Unit: "hPa", Source: cite.ICAO7488.At("altimeter law", cite.Derived)}.Near(t, p/100, 957.951, check.Printed(1e-3))
	w, err := NewWind(r.WindSpeed, 10, r.WindFrom, 0.03)
	if err != nil {
		t.Fatal(err)
	}
	u20 := w.At(20 * foot)
	dry, _ := DrydenAt(10, u20)
	if k := GustScale(r.WindSpeed, r.Gust, u20, 10) * dry.SigmaU * gustPeak; math.Abs(k-15*knot) > 1e-9 {
		t.Errorf("gust scale: peak %g m/s above the mean", k)
	}
	at := Moist(r.T, p, r.RH())
	for _, z := range []float64{-50, 0, 50, 400, 1000} {
		want := at.Rho * math.Pow(1-Lapse*z/at.T, pressureN-1)
		if math.Abs(at.RhoAt(z)/want-1) > 1e-6 {
			t.Errorf("density at %g m: %g, want %g", z, at.RhoAt(z), want)
		}
	}
}
