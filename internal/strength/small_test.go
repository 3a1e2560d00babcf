package strength

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// Pull and shear at once: the ellipse has its axes, its diagonal, and never
// allows more than either alone.
func TestTogether(t *testing.T) {
	if v := Together(100, 200, 0, 100); v != 2 {
		t.Error(v)
	}
	if v := Together(0, 200, 50, 100); v != 2 {
		t.Error(v)
	}
	if v := Together(100, 200, 50, 100); math.Abs(v-math.Sqrt2) > 1e-12 {
		t.Error(v)
	}
	if v := Together(100, math.Inf(1), 50, 100); v != 2 {
		t.Error("a rigid pull does not count", v)
	}
}

// Screws of servos and motor: judged by the largest rod force and the drive;
// without a known load or size they are unknown with a reason.
func TestSmallScrews(t *testing.T) {
	ac := tern()
	ac.Bolts = []craft.Bolt{
		{Holds: "servo", Diameter: 2e-3, Material: "steel", Into: "plywood", Engaged: 6e-3, Count: 2, Lever: 28e-3},
		{Holds: "motor", Diameter: 3e-3, Material: "steel", Into: "PETG", Engaged: 5e-3, Count: 4, Lever: 16e-3},
	}
	ac.Parts = append(ac.Parts, craft.Part{Name: "motor", Kind: "motor", Mass: 0.09})
	l := loadsOf()
	l.Thrust, l.ThrustSigma, l.Torque = 14, 2, 0.12
	list := Assess(ac, l)
	servo, motor := find(t, list, "bolts.servo"), find(t, list, "bolts.motor")
	for _, r := range []Result{servo, motor} {
		if !(r.Value > 0) || math.IsInf(r.Value, 0) || r.Sigma <= 0 || !strings.Contains(r.Because, "each holds") || len(r.Refs) == 0 {
			t.Errorf("%+v", r)
		}
	}
	// Half the thread in, about half as strong where the thread goes first.
	ac.Bolts[0].Engaged = 3e-3
	if r := find(t, Assess(ac, l), "bolts.servo"); !(r.Value < 0.75*servo.Value) {
		t.Errorf("%g after %g", r.Value, servo.Value)
	}
	// A pusher presses its motor on, so its screws have less to pull.
	ac.Power.Place = "pusher"
	if r := find(t, Assess(ac, l), "bolts.motor"); !(r.Value > motor.Value) {
		t.Errorf("pusher %g, tractor %g", r.Value, motor.Value)
	}
	ac.Bolts[1].Diameter = 0
	l.Thrust = 0
	if r := find(t, Assess(ac, l), "bolts.motor"); r.Status != control.Unknown || r.How == "" {
		t.Errorf("%+v", r)
	}
	ac.Linkages = nil
	if r := find(t, Assess(ac, l), "bolts.servo"); r.Status != control.Unknown {
		t.Errorf("%+v", r)
	}
}

// 14 CFR 23.393: 12 times the weight along the hinge, 24 on upright surfaces.
func TestAlongHinges(t *testing.T) {
	ac := tern()
	list := Assess(ac, loadsOf())
	if r := find(t, list, "hinge_line.aileron"); math.Abs(r.Value-12*0.012*gravity) > 1e-12 {
		t.Error(r.Value)
	}
	f, _ := control.FlapOf(&ac.Surfaces[1], &ac.Surfaces[1].Controls[0])
	if r := find(t, list, "hinge_line.ruddervator"); math.Abs(r.Value-24*0.9*f.Span*f.Chord*gravity) > 1e-12 {
		t.Error(r.Value)
	}
}

// The wing's own mass relieves the spar by its share of the whole.
func TestRelieved(t *testing.T) {
	list := Assess(tern(), loadsOf())
	if a, b := find(t, list, "spar"), find(t, list, "spar_relieved"); math.Abs(b.Value-a.Value/(1-0.26)) > 1e-9 {
		t.Error(a.Value, b.Value)
	}
}
