package assess

import (
	"context"
	"testing"
)

// A limit of the throttle asks less of everything that full throttle asks,
// leaves what does not depend on it, and keeps the drive's model.
func TestThrottleLimit(t *testing.T) {
	ac := example(t, "tern.yaml")
	full, err := NewChain(ac)
	if err != nil {
		t.Fatal(err)
	}
	turned, ok := ac.Turn("power.throttle", 0.7)
	if !ok {
		t.Fatal("no number power.throttle")
	}
	less, err := full.For(turned)
	if err != nil {
		t.Fatal(err)
	}
	if less.Power != full.Power {
		t.Error("the drive's model was built anew")
	}
	o := Options{Seed: 1, Draws: 8, NoLaunch: true, NoFit: true}
	a, err := full.Run(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	b, err := less.Run(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []ID{TopSpeed, DiveSpeed, ClimbRate, StaticThrust, CurrentMax} {
		if x, y := a.Get(id).Value, b.Get(id).Value; !(y < 0.97*x && y > 0.2*x) {
			t.Errorf("%s %g at full throttle, %g at 70 %%", id.Key(), x, y)
		}
	}
	for _, id := range []ID{Mass, StaticMargin, StallSpeed, CurrentCruise, Touchdown} {
		if x, y := a.Get(id).Value, b.Get(id).Value; x != y {
			t.Errorf("%s %g at full throttle, %g at 70 %%", id.Key(), x, y)
		}
	}
}
