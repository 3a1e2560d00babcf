package evidence

import (
	"math"
	"testing"
)

// A fast aeroplane that comes home into the wind is slower over the ground, at
// fifty metres, than it taxies on another day: the landing is where it comes
// to rest, not where it slows down.
func TestApproachIntoTheWind(t *testing.T) {
	still := whole(0, 0)
	last := still.vel[len(still.vel)-900] // on the approach
	h := math.Hypot(last[0], last[1])
	tr := whole(-6*last[0]/h, -6*last[1]/h)
	raw := asNMEA(receive(newRand(5), tr, receiver{rate: 10, speedSD: 0.1, placeSD: 0.05, drift: 1, driftT: 30, heightSD: 0.2}))
	d, err := debriefOf(raw, Options{})
	if err != nil {
		t.Fatal(err)
	}
	e := d.LandingPhase
	if e == nil {
		t.Fatal("no landing found")
	}
	// 11 m/s of airspeed at touchdown, 6 m/s of wind
	if math.Abs(e.Touchdown.Value-5) > 1 || e.Slide < 1 || e.Slide > 12 {
		t.Errorf("touchdown %.1f m/s, slide %.0f m; flown: 5 m/s and 4 to 9 m", e.Touchdown.Value, e.Slide)
	}
	for _, p := range d.Phases {
		if p.Kind == Landed && p.Rise != nil && *p.Rise < -5 {
			t.Errorf("lost %.0f m after the landing", -*p.Rise)
		}
	}
}
