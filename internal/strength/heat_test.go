package strength

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// A body warms towards Q R with the time constant R C, and the time to a rise
// undoes the rise at a time.
func TestLumped(t *testing.T) {
	b := Lumped{Heat: 2, Resistance: 12, Capacity: 5}
	if got, want := b.Rise(60), 24*(1-math.Exp(-1)); math.Abs(got-want) > 1e-12 {
		t.Errorf("after one time constant %g, want %g", got, want)
	}
	if got := b.Rise(1e-3) / 1e-3; math.Abs(got-2.0/5) > 1e-4 {
		t.Errorf("begins with %g K/s, want Q/C = 0.4", got)
	}
	for _, rise := range []float64{0.1, 5, 20, 23.9} {
		if got := b.Rise(b.Until(rise)); math.Abs(got-rise) > 1e-9 {
			t.Errorf("rise %g: %g", rise, got)
		}
	}
	if !math.IsInf(b.Until(24), 1) || b.Until(0) != 0 || b.Until(-3) != 0 {
		t.Error("a rise that is never, or already, reached")
	}
}

// The doubt of a warm part never reaches below the air, holds the value, and
// decides the status.
func TestWarm(t *testing.T) {
	at := func(after, sigma float64) Result {
		a := assessor{ac: new(craft.Aircraft), l: Loads{TopSpeed: 50, BurstTime: 30, Heat: []Warmth{{Part: "magnets", Start: 288.15, After: 288.15 + after, Steady: 288.15 + 2*after, Sigma: sigma, Standing: 12}}}}
		a.warm()
		if len(a.out) != 1 {
			t.Fatal(a.out)
		}
		return a.out[0]
	}
	for _, k := range []struct {
		after, sigma float64
		want         control.Judgement
	}{{20, 0.3, control.Pass}, {50, 0.3, control.Doubtful}, {80, 0.3, control.Fail}, {50, 0, control.Pass}, {20, 3, control.Doubtful}} {
		r := at(k.after, k.sigma)
		low, high := r.Interval()
		if r.Status != k.want || low < 15 || low > r.Value || high < r.Value {
			t.Errorf("%g K ± %g: %s, %g to %g", k.after, k.sigma, r.Status, low, high)
		}
		if !strings.Contains(r.Because, "12 s") {
			t.Error(r.Because)
		}
	}
	// Running away is said, not printed as a number.
	a := assessor{ac: new(craft.Aircraft), l: Loads{BurstTime: 30, Heat: []Warmth{{Part: "winding", Start: 288, After: 500, Steady: math.Inf(1), Sigma: 0.3, Standing: nan}}}}
	a.warm()
	if s := a.out[0].Because; !strings.Contains(s, "never settles") || strings.Contains(s, "Inf") || strings.Contains(s, "NaN") {
		t.Error(s)
	}
}

// A pair of plugs whose resistance has grown tenfold is too hot.
func TestPlugs(t *testing.T) {
	for _, k := range []struct {
		ohm  float64
		want control.Judgement
	}{{0.4e-3, control.Pass}, {8e-3, control.Fail}} {
		ac := craft.Aircraft{}
		ac.Power.Wiring.Connector = k.ohm
		a := assessor{ac: &ac, l: Loads{BurstTime: 30, MaxCurrent: 50, CurrentSigma: 5, Temperature: 288.15}}
		a.plugs()
		if r := a.out[0]; r.Status != k.want || r.Unit != "degC" {
			t.Errorf("%g ohm: %+v", k.ohm, r)
		}
	}
}
