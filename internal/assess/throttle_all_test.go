package assess

import "testing"

// A limit of the throttle caps every answer at full throttle: no climb out of
// a broken-off landing is better than the best climb, and the pack lasts
// longer for it.
func TestThrottleCapsAll(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	at := func(throttle float64) Numbers {
		d := c.Nominal()
		ac := *d.Aircraft
		ac.Power.Throttle = throttle
		d.Aircraft = &ac
		return c.Numbers(&d)
	}
	full, half := at(1), at(0.55)
	if half[GoRoundClimb].V > half[ClimbRate].V || half[GoRoundClimb].V > 0.8*full[GoRoundClimb].V {
		t.Errorf("going round climbs %.2f m/s at 55 %%, %.2f m/s at full; the best climb %.2f m/s", half[GoRoundClimb].V, full[GoRoundClimb].V, half[ClimbRate].V)
	}
	if half[FastEndurance].V < 1.3*full[FastEndurance].V {
		t.Errorf("the pack lasts %.0f s at 55 %%, %.0f s at full", half[FastEndurance].V, full[FastEndurance].V)
	}
}
