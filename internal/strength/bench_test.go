package strength

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// A steel M4 without a mark holds what ISO 898-1 says of class 4.6; a nylon
// one 60 MPa on its stress area (recalled).
func TestHold(t *testing.T) {
	a := assessor{ac: tern(), l: Loads{Temperature: 288}}
	own, _, _, _ := a.hold(&craft.Bolt{Material: "steel", Diameter: 4e-3})
	if math.Abs(own-3510) > 0.01*3510 {
		t.Errorf("M4 of class 4.6 holds %g N, ISO 898-1 says 3510", own)
	}
	own, _, _, _ = a.hold(&craft.Bolt{Material: "nylon", Diameter: 4e-3})
	if math.Abs(own-527) > 5 {
		t.Errorf("nylon M4 holds %g N", own)
	}
	_, thread, seat, _ := a.hold(&craft.Bolt{Material: "steel", Diameter: 4e-3, Into: "plywood", Engaged: 6e-3, Seat: "spruce", Washer: 12e-3})
	if want := 0.6 * math.Pi * 4e-3 * 6e-3 * 6e6 * 0.6; math.Abs(thread-want) > 1e-9*want {
		t.Errorf("thread in plywood %g, want %g", thread, want)
	}
	if want := math.Pi / 4 * (144e-6 - 16e-6) * 4e6; math.Abs(seat-want) > 1e-9*want {
		t.Errorf("seat on spruce %g, want %g", seat, want)
	}
}

func TestBolts(t *testing.T) {
	with := func(b craft.Bolt, id string) Result {
		ac := tern()
		ac.Bolts = []craft.Bolt{b}
		return find(t, Assess(ac, loadsOf()), id)
	}
	good := craft.Bolt{Holds: "wing", Material: "nylon", Diameter: 5e-3, Count: 2, Lever: 60e-3, Into: "nut", Washer: 16e-3, Seat: "plywood"}
	if r := with(good, "bolts.wing"); r.Status != control.Pass || !(r.Value > 5) {
		t.Errorf("%+v", r)
	}
	if r := with(good, "bolts_tip.wing"); r.Value < 1 || strings.Contains(r.Because, "first") {
		t.Errorf("%+v", r)
	}
	// A steel bolt in a short thread in balsa is torn out by a landing.
	poor := craft.Bolt{Holds: "wing", Material: "steel", Diameter: 4e-3, Count: 1, Lever: 40e-3, Into: "balsa", Engaged: 8e-3}
	if r := with(poor, "bolts_tip.wing"); r.Status != control.Fail || !strings.Contains(r.Because, "strips out") {
		t.Errorf("%+v", r)
	}
	if r := with(craft.Bolt{Holds: "wing"}, "bolts.wing"); r.Status != control.Unknown {
		t.Errorf("%+v", r)
	}
	if r := with(craft.Bolt{Holds: "hook", Material: "steel", Diameter: 3e-3, Count: 2, Lever: 25e-3, Into: "plywood", Engaged: 6e-3}, "bolts.hook"); !(r.Value > 1) || !r.Safety {
		t.Errorf("%+v", r)
	}
}

// What the build says of a horn and a wing moves the results as it should.
func TestBenchKeys(t *testing.T) {
	get := func(id string, change func(*craft.Aircraft)) Result {
		ac := tern()
		change(ac)
		return find(t, Assess(ac, loadsOf()), id)
	}
	printed := func(ac *craft.Aircraft) { ac.Linkages[0].HornMaterial = "PETG" }
	base := get("horn.aileron", printed)
	along := get("horn.aileron", func(ac *craft.Aircraft) { printed(ac); ac.Linkages[0].Print = "along" })
	hot := get("horn.aileron", func(ac *craft.Aircraft) { printed(ac); ac.Linkages[0].HornHeat = 335 })
	if r := along.Value / base.Value; math.Abs(r-2.5) > 1e-9 {
		t.Errorf("printed lying is %g times printed standing, want 1/0.4", r)
	}
	if !(hot.Value < 0.5*base.Value) || !strings.Contains(base.Because, "not said") || strings.Contains(along.Because, "not said") {
		t.Errorf("%+v\n%+v", base, hot)
	}
	few := get("horn.aileron", func(ac *craft.Aircraft) { printed(ac); ac.Linkages[0].HornCycles = 100; ac.Linkages[0].Print = "along" })
	if few.Value < along.Value {
		t.Errorf("fewer cycles weaken: %g, %g", few.Value, along.Value)
	}
	j := get("joiner", func(ac *craft.Aircraft) {
		ac.Joiner = craft.Spar{Kind: "rod", Material: "carbon", Outer: 6e-3}
	})
	if !j.Safety || !(j.Value > 0) || !strings.Contains(j.Label, "joiner") {
		t.Errorf("%+v", j)
	}
	s := get("supply", func(ac *craft.Aircraft) { ac.Power.Controller.Supply = 1 })
	if s.Status != control.Fail || !s.Safety {
		t.Errorf("%+v", s)
	}
	if r := get("play.aileron", func(ac *craft.Aircraft) {
		l := &ac.Linkages[0]
		l.Play, l.HolePlay, l.ServoPlay = 0, 0.1e-3, 0.3*deg
	}); math.Abs(r.Value-(2*0.1/13+0.3*deg*9/13.)) > 0.05*r.Value {
		t.Errorf("%+v", r)
	}
	// A push test, a tap test and a twist test in the build bring the rational side.
	st := get("flutter.aileron", func(ac *craft.Aircraft) { ac.Linkages[0].Stiffness = 4 })
	if !strings.Contains(st.Because, "measured") {
		t.Errorf("%+v", st)
	}
	tap := func(ac *craft.Aircraft) {
		ac.WingTest = craft.WingTest{Bend: 12, Twist: 60, Couple: 1, Angle: 1 * deg}
	}
	if r := get("flutter.wing", tap); r.Status == control.NotAsked || r.Status == control.Unknown {
		t.Errorf("%+v", r)
	}
	d := get("divergence", tap)
	gj := 1 * 0.5 / (1 * deg)
	if want := DivergenceSpeed(gj, rho0, 0.12*0.172, 0.172, 0.5, 4.5) / 50; math.Abs(d.Value-want) > 1e-9*want {
		t.Errorf("divergence %g, want %g", d.Value, want)
	}
}

// A bend and a twist test of a uniform half give the frequencies of the
// uniform cantilever: 3.516 √(EI/m)/L² and (π/2L) √(GJ/I).
func TestTunedByTests(t *testing.T) {
	ac := tern()
	w := &ac.Surfaces[0]
	for i := range w.Stations {
		w.Stations[i].Chord = 0.17
	}
	w.Controls = nil
	ac.WingTest = craft.WingTest{HalfMass: 0.1, Load: 5, Moves: 20e-3, Couple: 0.5, Angle: 1 * deg}
	a := assessor{ac: ac, l: loadsOf()}
	a.l.Rho = rho0
	h, _ := a.half(0.5)
	_, bend, twist, how := a.tuned(h)
	ei, gj := 5*math.Pow(0.5, 3)/(3*20e-3), 0.5*0.5/(1*deg)
	m := 0.1 / 0.5
	i := m * 0.17 * 0.17 / 4 * 0.25
	if want := 3.516 * math.Sqrt(ei/m) / 0.25 / (2 * math.Pi); math.Abs(bend/want-1) > 0.01 {
		t.Errorf("bending %g Hz, want %g", bend, want)
	}
	if want := TorsionFrequency(gj, i, 0.5) / (2 * math.Pi); math.Abs(twist/want-1) > 0.01 {
		t.Errorf("torsion %g Hz, want %g", twist, want)
	}
	if !strings.Contains(how, "bend and twist") {
		t.Error(how)
	}
	// The published rule and the flutter speed are then both judged.
	list := Assess(ac, loadsOf())
	if r := find(t, list, "flutter.wing"); r.Status == control.NotAsked || r.Status == control.Unknown {
		t.Errorf("%+v", r)
	}
	r := find(t, list, "rigidity")
	if want := FlexibilityLimit(60) / TorsionalFlexibility(gj, 0.172, 0.5); math.Abs(r.Value/want-1) > 1e-9 {
		t.Errorf("rigidity %g, want %g", r.Value, want)
	}
}
