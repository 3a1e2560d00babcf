package app

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A sound needs the air's temperature, and there may be no build to say it.
func TestDayWithoutBuild(t *testing.T) {
	file := filepath.Join(t.TempDir(), "day.yaml")
	if err := os.WriteFile(file, []byte("day: {temperature: 9 degC ± 2 degC}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		q         Request
		want, sig float64
	}{
		{Request{}, 0, 0},
		{Request{METAR: "EDXX 031250Z 24008KT 9999 14/08 Q1018"}, 287.15, 0},
		{Request{DayFile: file}, 282.15, 1},
		{Request{DayFile: file, METAR: "EDXX 031250Z 24008KT 9999 14/08 Q1018"}, 282.15, 1},
		{Request{METAR: "EDXX 031250Z 24008KT 9999 ///// Q1018"}, 0, 0},
	} {
		d := &debriefing{}
		d.q.Request = c.q
		if err := d.dayAlone(); err != nil || math.Abs(d.kelvin-c.want) > 1e-9 || math.Abs(d.kelvinSD-c.sig) > 1e-9 {
			t.Errorf("%+v: %g ± %g K, %v", c.q, d.kelvin, d.kelvinSD, err)
		}
	}
	d := &debriefing{}
	d.q.METAR = "tomorrow will be fine"
	var bad *BadInput
	if err := d.dayAlone(); !errors.As(err, &bad) {
		t.Errorf("nonsense: %v", err)
	}
}

// What a report does not tell is said, not taken over in silence.
func TestReportWithoutWind(t *testing.T) {
	for report, want := range map[string]string{
		"METAR XXXX 121350Z /////KT //// // ///// Q////":     "no wind, no temperature, no pressure",
		"METAR XXXX 121350Z 27008KT 9999 ///// Q1013":        "no temperature:",
		"METAR XXXX 121350Z 27008KT 9999 SCT030 14/08 Q1013": "",
	} {
		got := ""
		for _, d := range silent(report) {
			got += d.Message
		}
		if !strings.Contains(got, want) || want == "" && got != "" {
			t.Errorf("%s: %q", report, got)
		}
	}
}
