package control

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// swift is an invented swept tailless pusher.
func swift() *craft.Aircraft {
	return &craft.Aircraft{
		Name: "Swift",
		Surfaces: []craft.Surface{{
			Name: "wing", Mirrored: true,
			Stations: []craft.Station{{LE: r3.Vec{X: 0.1}, Chord: 0.22}, {LE: r3.Vec{X: 0.32, Y: 0.5}, Chord: 0.14}},
			Controls: []craft.Control{{Name: "elevon", From: 0.2, To: 0.48, ChordShare: 0.2, Pitch: 1, Roll: 1, ThrowUp: 9 * deg, ThrowDown: 9 * deg, Trim: 2 * deg}},
		}},
		Parts:    []craft.Part{{Name: "autopilot", Kind: "autopilot"}},
		Linkages: []craft.Linkage{{Control: "elevon", Torque: 0.2, Travel: 45 * deg, Arm: 8e-3, Horn: 11e-3, Rod: 25e-3, Known: true}},
		Launch:   craft.Launch{By: "bungee", StickPitch: 0.3},
		Flight:   craft.Flight{Cruise: 22, Bank: 35 * deg, Height: 80},
		Ref:      craft.Reference{Area: 0.2, Span: 1.2, Chord: 0.16},
		Mass:     craft.Mass{Total: 1.0, CG: r3.Vec{X: 0.26}},
	}
}

func result(t *testing.T, sh *Sheet, id string) Result {
	t.Helper()
	for _, r := range sh.Results {
		if r.ID == id {
			return r
		}
	}
	t.Fatalf("no result %q", id)
	return Result{}
}

func TestSheet(t *testing.T) {
	air, exact := linear(0)
	sh := Assess(swift(), air, Wish{StallSpeed: 11})
	_, want := exact(22, 1)
	if math.Abs(sh.Trim.Pitch-want) > 1e-8 || sh.Speed != 22 {
		t.Errorf("trim %g at %g, want %g", sh.Trim.Pitch, sh.Speed, want)
	}
	cs := sh.Controls[0]
	if math.Abs(cs.WantPitch-want) > 1e-8 {
		t.Errorf("wanted reflex %g", cs.WantPitch)
	}
	if len(cs.Stops) != 5 { // neutral, up, down, and the mixed corners
		t.Errorf("stops %+v", cs.Stops)
	}
	for _, s := range cs.Stops {
		if s.Status != OK {
			t.Errorf("%s: %v", s.Name, s.Status)
		}
		// The pulse leads back to the deflection.
		k, _, _ := LinkageOf(&swift().Linkages[0], cs.Flap)
		if q, _ := k.At(Hobby.Angle(s.Pulse)); math.Abs(q.Delta-s.Delta) > 1e-9 {
			t.Errorf("%s: pulse %g gives %g, want %g", s.Name, s.Pulse, q.Delta, s.Delta)
		}
	}
	if math.Abs(cs.Flap.Sweep-math.Atan2(0.22+0.8*(0.14-0.22), 0.5)) > 1e-12 {
		t.Errorf("hinge sweep %g", cs.Flap.Sweep/deg)
	}
	if math.Abs(sh.Sticks[0]-1650e-6) > 1e-12 {
		t.Errorf("launch stick %g", sh.Sticks[0])
	}
	if r := sh.Launch[0]; math.Abs(r.Right-(2+0.3*9)*deg) > 1e-12 || r.Right != r.Left || !(r.PulseR > 1500e-6) {
		t.Errorf("launch %+v", r)
	}
	if !sh.HomeKnown || sh.Home.Bank != 35*deg || sh.Home.Height != 80 || len(sh.Failsafe) != 4 {
		t.Errorf("home %+v", sh.Home)
	}
	for _, r := range sh.Results {
		if r.Label == "" || r.Because == "" || strings.Contains(r.Because, "NaN") || strings.Contains(r.Because, "%!") {
			t.Errorf("%+v", r)
		}
		for _, ref := range r.Refs {
			if _, ok := cite.Lookup(ref.Key); !ok {
				t.Errorf("no source %q", ref.Key)
			}
		}
		t.Logf("%-24s %-10s %8.3g ± %.2g %s", r.ID, r.Status, r.Value, r.Sigma, r.Because)
	}
	// Without aerodynamics the rest is still there.
	bare := Assess(swift(), nil, Wish{})
	if result(t, bare, "setup.trim").Status != Unknown || result(t, bare, "setup.linkage.elevon").Status == Unknown || len(bare.Controls) != 1 {
		t.Errorf("%+v", bare.Results)
	}
}

func TestSheetFindings(t *testing.T) {
	air, _ := linear(0)
	for _, r := range []struct {
		id     string
		want   Judgement
		change func(*craft.Aircraft)
	}{
		{"setup.linkage.elevon", Fail, func(a *craft.Aircraft) { a.Linkages[0].Arm = 2e-3 }},
		{"setup.linkage.elevon", Unknown, func(a *craft.Aircraft) { a.Linkages[0].Rod = 1e-3 }},
		{"setup.linkage.elevon", NotAsked, func(a *craft.Aircraft) { a.Linkages = nil }},
		{"setup.control.elevon", Unknown, func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].ChordShare = 0 }},
		{"setup.control.elevon", Unknown, func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].From = 0.6; a.Surfaces[0].Controls[0].To = 0.7 }},
		{"setup.travel.elevon", Fail, func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].ThrowUp = 36 * deg }},
		{"setup.roll", Fail, func(a *craft.Aircraft) {
			c := &a.Surfaces[0].Controls[0]
			c.ThrowUp, c.ThrowDown = 1*deg, 1*deg
		}},
		{"setup.trim", Fail, func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].Trim = -12 * deg }},
		{"setup.pitch", NotAsked, func(a *craft.Aircraft) { a.Surfaces[0].Controls[0].Pitch = 0 }},
	} {
		ac := swift()
		r.change(ac)
		if got := result(t, Assess(ac, air, Wish{StallSpeed: 11}), r.id); got.Status != r.want {
			t.Errorf("%s: %v, want %v: %+v", r.id, got.Status, r.want, got)
		}
	}
}

func TestFlapGeometry(t *testing.T) {
	// A straight, untapered panel: everything in the head.
	s := craft.Surface{Name: "tail", Mirrored: true, Stations: []craft.Station{{Chord: 0.1}, {LE: r3.Vec{Y: 0.3, Z: 0.4}, Chord: 0.1}}}
	f, why := FlapOf(&s, &craft.Control{Name: "c", From: 0, To: 0.3, ChordShare: 0.3})
	if why != "" || math.Abs(f.Span-0.5) > 1e-12 || math.Abs(f.Chord-0.03) > 1e-12 || math.Abs(f.Square-0.5*0.03*0.03) > 1e-12 || f.Outer != 1 || math.Abs(f.Dihedral-math.Atan2(4, 3)) > 1e-12 || f.Sides != 2 {
		t.Errorf("%+v %s", f, why)
	}
	fin := craft.Surface{Name: "fin", Stations: []craft.Station{{Chord: 0.1}, {LE: r3.Vec{X: 0.02, Z: 0.1}, Chord: 0.08}}}
	if f, why := FlapOf(&fin, &craft.Control{Name: "rudder", From: 0, To: 0.1, ChordShare: 0.4}); why != "" || math.Abs(f.Span-0.1) > 1e-12 || f.Sides != 1 {
		t.Errorf("%+v %s", f, why)
	}
	for _, c := range []craft.Control{{From: 0, To: 0.31, ChordShare: 0.3}, {From: 0.1, To: 0.1, ChordShare: 0.3}, {From: 0, To: 0.3, ChordShare: 1.1}, {From: 0, To: 0.3}, {From: math.NaN(), To: 0.3, ChordShare: 0.3}} {
		if _, why := FlapOf(&s, &c); why == "" {
			t.Errorf("measured an impossible control %+v", c)
		}
	}
}

func TestSheetHostile(t *testing.T) {
	air, _ := linear(0)
	Assess(&craft.Aircraft{}, air, Wish{})
	rapid.Check(t, func(t *rapid.T) {
		ac := swift()
		odd := rapid.SampledFrom([]float64{0, -1, 1e-12, 1e12, math.NaN(), math.Inf(1), math.Inf(-1), 0.01, 5})
		for range rapid.IntRange(1, 5).Draw(t, "changes") {
			root := []any{&ac.Linkages[0], &ac.Surfaces[0].Controls[0], &ac.Surfaces[0].Stations[1], &ac.Ref, &ac.Mass, &ac.Flight, &ac.Launch}
			v := reflect.ValueOf(root[rapid.IntRange(0, len(root)-1).Draw(t, "where")]).Elem()
			var fields []int
			for i := range v.NumField() {
				if v.Field(i).Kind() == reflect.Float64 {
					fields = append(fields, i)
				}
			}
			if len(fields) > 0 {
				v.Field(fields[rapid.IntRange(0, len(fields)-1).Draw(t, "field")]).SetFloat(odd.Draw(t, "value"))
			}
		}
		for _, r := range Assess(ac, air, Wish{}).Results {
			if r.Status == Pass && math.IsNaN(r.Value) {
				t.Errorf("passes without a value: %+v", r)
			}
		}
	})
}

func TestJudge(t *testing.T) {
	for _, r := range []struct {
		v, s, lo, hi float64
		want         Judgement
	}{
		{2, 0.1, 1.5, nan, Pass},
		{1.6, 0.1, 1.5, nan, Doubtful},
		{1.4, 0.1, 1.5, nan, Fail},
		{2, 0.1, nan, 2.5, Pass},
		{2.4, 0.1, nan, 2.5, Doubtful},
		{2.6, 0, nan, 2.5, Fail},
		{2, 0, nan, nan, Information},
		{nan, 0, 1, nan, Unknown},
		{math.Inf(1), 0, nan, 1, Fail},
	} {
		got := Result{Value: r.v, Sigma: r.s, Min: r.lo, Max: r.hi}.Judge()
		if got.Status != r.want {
			t.Errorf("%+v: %v", r, got.Status)
		}
	}
	if m := (Result{Value: 3, Min: 1.5, Max: nan}).Judge().Margin; m != 1 {
		t.Errorf("margin %g", m)
	}
	check.Row{Topic: "linkages", Name: "transmission angle of case B at -45°: below the rule of 40° at the arm", Unit: "°", Source: cite.NortonMachinery.At("40° rule", cite.Memory)}.
		Near(t, func() float64 {
			q, _ := Planar{Arm: 8, Horn: 12, HingeX: 25, HingeY: 2, ArmAngle: math.Pi / 2, HornAngle: math.Pi / 2}.Linkage().At(-45 * deg)
			return q.AtArm / deg
		}(), 29.0337, check.ModelAbs(1e-4, "six digits printed"))
}

// A rudder's edge goes right for nose right.
func TestRudder(t *testing.T) {
	ac := swift()
	ac.Surfaces = append(ac.Surfaces, craft.Surface{
		Name: "fin", Stations: []craft.Station{{LE: r3.Vec{X: 0.5}, Chord: 0.1}, {LE: r3.Vec{X: 0.52, Z: 0.12}, Chord: 0.07}},
		Controls: []craft.Control{{Name: "rudder", From: 0, To: 0.12, ChordShare: 0.4, Yaw: 1, ThrowUp: 20 * deg, ThrowDown: 20 * deg}},
	})
	sh := Assess(ac, nil, Wish{})
	r := sh.Controls[1]
	if !r.Upright || r.Stops[1].Name != "full left" || r.Flap.Sides != 1 {
		t.Fatalf("%+v", r)
	}
	for _, row := range r.Table {
		if row.Stick == "full nose right" && row.Right != -20*deg {
			t.Errorf("nose right turns the edge to the left: %+v", row)
		}
	}
}
