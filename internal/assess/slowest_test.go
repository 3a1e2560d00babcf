package assess

import (
	"math"
	"testing"
)

// With little up throw full stick sets the slowest flight, and the throw it
// asks for brings it down about as far as it says; with plenty the wing's own
// stall sets it.
func TestSlowest(t *testing.T) {
	const deg = math.Pi / 180
	c := chainOf(t, "tern.yaml")
	with := func(up float64) (Slowest, float64) {
		ac, ok := c.Aircraft.Turn("surfaces.tail.controls.ruddervator.throw_up", up)
		if ok { // balanced as it should be, so that the throw is needed
			ac, ok = ac.Turn("parts.battery.at.x", 0.12)
		}
		if !ok {
			t.Fatal("no such numbers")
		}
		k, err := c.For(ac)
		if err != nil {
			t.Fatal(err)
		}
		d := k.Nominal()
		return k.slowest(&d), k.stall(&d)
	}
	if s, v := with(14 * deg); s.ByThrow || s.Label() != "stall speed" || s.By() != "wing" || s.Tell("1.2 times the stall") != "1.2 times the stall" {
		t.Errorf("14 deg of throw: %+v at %g m/s", s, v)
	}
	s, v := with(2 * deg)
	if !s.ByThrow || s.Label() != "slowest flight, by the pitch throw" || s.By() != "pitch throw" || !(s.More > 0) || !(s.Then < 0.99*v) {
		t.Fatalf("2 deg of throw: %+v at %g m/s", s, v)
	}
	if got := s.Tell("at 1.2 times the stall, 1.5 times stall speed"); got != "at 1.2 times the slowest flight, 1.5 times the slowest flight" {
		t.Error(got)
	}
	// A plain flap does less past ten degrees: 2 % of the speed.
	after, w := with(2*deg + s.More)
	if math.Abs(w-s.Then) > 0.02*w || after.ByThrow && after.Then < 0.95*w {
		t.Errorf("with %.0f deg more: %g m/s, %g said; then %+v", s.More/deg, w, s.Then, after)
	}
}
