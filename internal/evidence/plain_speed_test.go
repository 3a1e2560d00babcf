package evidence

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// A log of a screen's speeds alone, with one spike: the largest speed is told
// as what it is, no more; without a unit it is not told at all.
func TestSpeedsWithoutPlaces(t *testing.T) {
	log := func(head string) []byte {
		var b strings.Builder
		b.WriteString(head + "\n")
		for i := range 600 {
			v := 0.0
			if i > 100 && i < 500 {
				v = 150 + 60*math.Sin(float64(i)/40)
			}
			if i == 300 {
				v = 480
			}
			fmt.Fprintf(&b, "%.1f,%.1f,%.0f\n", float64(i)/5, v, 20+10*math.Sin(float64(i)/50))
		}
		return []byte(b.String())
	}
	d, err := debriefOf(log("time (s),speed (km/h),alt (m)"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(d.WindRefused, "neither positions nor courses") {
		t.Errorf("refused: %s", d.WindRefused)
	}
	found := false
	for _, i := range d.Items {
		if i.What == "peak ground speed" {
			found = math.Abs(i.Value-210/3.6) < 0.5
		}
		if i.What == "time in the air" && math.Abs(i.Value-79.6) > 1 {
			t.Errorf("in the air %.1f s, flown 79.6 s", i.Value)
		}
	}
	if !found {
		t.Errorf("items: %+v", d.Items)
	}
	d, err = debriefOf(log("time (s),speed,alt (m)"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range d.Items {
		if i.What == "peak ground speed" {
			t.Errorf("a speed of no unit was told: %+v", i)
		}
	}
	if r := strings.Join(d.Remarks, " "); !strings.Contains(r, "the unit of the column speed is not said") {
		t.Errorf("remarks: %s", r)
	}
}
