package evidence

import (
	"fledge/internal/track"
	"strings"
	"testing"
)

// Recorded cars are no flights; recorded sailplanes and made-up models, thrown
// or in the air from the first record, are.
func TestDriven(t *testing.T) {
	for name, want := range map[string]bool{
		"evidence-real-car.gpx": true, "evidence-real-car-60kmh.nmea": false, /* thirteen fixes, none of them a start */
		"evidence-real-glider-tas-wind.igc": false, "evidence-real-stuck-clock.igc": false, "evidence-synth-run1.nmea": false,
	} {
		d := Of(track.Smooth(loadLog(t, name)), Options{})
		got := strings.Contains(strings.Join(d.Remarks, " "), onTheGround)
		if got != want {
			t.Errorf("%s: on the ground %v, want %v", name, got, want)
		}
		if d.LaunchPhase != nil && strings.Contains(name, "car") {
			t.Errorf("%s: a launch at %.0f s", name, d.LaunchPhase.At)
		}
		if want {
			if d.Wind != nil || d.LaunchPhase != nil || d.LandingPhase != nil || d.LevelSpeed != nil || d.WindRefused == "" || d.PeakGround == nil {
				t.Errorf("%s: %+v %+v %+v", name, d.Wind, d.LaunchPhase, d.LandingPhase)
			}
			for _, p := range d.Phases {
				if p.Kind == Launch || p.Kind == Landing || p.Kind == ClimbOut {
					t.Errorf("%s: %s at %.0f s", name, p.Kind, p.T0)
				}
			}
		}
	}
	tr := whole(3, -2)
	for _, rate := range []float64{1, 5, 10} {
		d, err := debriefOf(asNMEA(receive(newRand(4), tr, receiver{rate: rate, speedSD: 0.1, placeSD: 0.2, drift: 1, driftT: 30, heightSD: 0.3})), Options{})
		if err != nil || d.LaunchPhase == nil || strings.Contains(strings.Join(d.Remarks, " "), onTheGround) {
			t.Errorf("%g Hz: %v %v", rate, err, d.Remarks)
		}
	}
	// a sailplane towed off slowly, with and without a thermal
	tow := []order{{8, 0, 0, 0.1, 0}, {14, 0, 0, 28, 0}, {120, 0, 2.6, 30, 0}}
	for k, more := range [][]order{{{60, 1080, 1.5, 25, 0}, {90, 0, -1, 27, 0}}, {{90, 170, -1, 27, 0}}} {
		ms := sortie(uint64(k), 47, 9, 20, 0.1, air2{250, 4, 0, 0}, append(append(append([]order{}, tow...), more...), order{30, 0, -2, 25, 0}, order{15, 0, 0, 0.1, 0}, order{8, 0, 0, 0.1, 0}))
		d, err := debriefOf([]byte(forms[2].write(seen(1, ms, 1, 0.1, 1, 0.5, 0))), Options{})
		if err != nil || strings.Contains(strings.Join(d.Remarks, " "), onTheGround) {
			t.Errorf("tow %d: %v %v", k, err, d.Remarks)
		}
	}
}
