package strength

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// tern is an invented 1 kg model on a bungee.
func tern() *craft.Aircraft {
	return &craft.Aircraft{
		Name: "Tern",
		Surfaces: []craft.Surface{{
			Name: "wing", Mirrored: true,
			Stations: []craft.Station{{LE: r3.Vec{X: 0.25}, Chord: 0.20}, {LE: r3.Vec{X: 0.28, Y: 0.5}, Chord: 0.14}},
			Controls: []craft.Control{{Name: "aileron", From: 0.25, To: 0.48, ChordShare: 0.22, Roll: 1, ThrowUp: 0.26, ThrowDown: 0.17, Mass: 0.012, Balance: 0.012}},
		}, {
			Name: "tail", Mirrored: true,
			Stations: []craft.Station{{LE: r3.Vec{X: 0.7}, Chord: 0.11}, {LE: r3.Vec{X: 0.72, Y: 0.15, Z: 0.1}, Chord: 0.08}},
			Controls: []craft.Control{{Name: "ruddervator", From: 0.01, To: 0.15, ChordShare: 0.3, Pitch: 1, Yaw: 1, ThrowUp: 0.3, ThrowDown: 0.3}},
		}},
		Parts: []craft.Part{{Name: "wing shell", Kind: "structure", Mass: 0.26}, {Name: "servo right", Kind: "servo", Mass: 0.01}, {Name: "servo left", Kind: "servo", Mass: 0.01, Twin: true}},
		Linkages: []craft.Linkage{{
			Control: "aileron", Servo: "servo right", Torque: 0.18, Speed: 10, Travel: 0.8, Arm: 9e-3, Horn: 13e-3, Rod: 45e-3, RodDiameter: 1.2e-3,
			RodMaterial: "steel", HornMaterial: "GRP", HornRoot: 9e-3, HornWidth: 1.5e-3, Play: 0.4 * deg, Known: true,
		}},
		Spar:    craft.Spar{Kind: "tube", Material: "carbon", Outer: 10e-3, Inner: 8e-3},
		HookPad: craft.HookPad{Known: true, Material: "steel wire", Diameter: 2.5e-3, Proud: 8e-3, PadLong: 30e-3, PadWide: 20e-3},
		Power: craft.Power{
			Place: "tractor", Controller: craft.Controller{Limit: 60}, Motor: craft.Motor{Limit: 45}, Battery: craft.Battery{Limit: 80},
			Wiring: craft.Wiring{Gauge: 14, Length: 0.18},
		},
		Launch: craft.Launch{By: "bungee", Bungee: craft.Bungee{StakeHolds: 200, HookCount: 1}},
		Limits: craft.Limits{ServoShare: 0.5, SafetyFactor: 1.5, LoadFactor: 8},
		Day:    craft.Day{Wind: 3, Gust: 6, Temperature: 288},
		Ref:    craft.Reference{Wing: 0, Area: 0.17, Span: 1.0, Chord: 0.172},
		Mass:   craft.Mass{Total: 1.0},
	}
}

func loadsOf() Loads {
	return Loads{TopSpeed: 50, TopSigma: 2, StallSpeed: 11, LaunchTension: 50, TensionSigma: 5, LaunchBelow: 0.2, MaxCurrent: 42, CurrentSigma: 3, TouchdownSpeed: 12}
}

func find(t *testing.T, list []Result, id string) Result {
	t.Helper()
	for _, r := range list {
		if r.ID == id {
			return r
		}
	}
	t.Fatalf("no result %q", id)
	return Result{}
}

func TestAssessWhole(t *testing.T) {
	list := Assess(tern(), loadsOf())
	seen := map[string]bool{}
	for _, r := range list {
		if seen[r.ID] {
			t.Errorf("%s twice", r.ID)
		}
		seen[r.ID] = true
		if r.Label == "" || r.Because == "" {
			t.Errorf("%s says nothing: %+v", r.ID, r)
		}
		for _, ref := range r.Refs {
			if _, ok := cite.Lookup(ref.Key); !ok {
				t.Errorf("%s: no source %q", r.ID, ref.Key)
			}
		}
		if strings.Contains(r.Because, "NaN") || strings.Contains(r.Because, "%!") {
			t.Errorf("%s: %s", r.ID, r.Because)
		}
		t.Logf("%-20s %-10s %9.4g ± %.2g [%g %g] %s %s", r.ID, r.Status, r.Value, r.Sigma, r.Min, r.Max, r.Unit, r.Because)
	}
	// Hand sums.
	if got := find(t, list, "spar"); math.Abs(got.Value-850e6*0.8*TubeZ(10e-3, 8e-3)/(2*8*gravity*0.5/(3*math.Pi))) > 1e-9 {
		t.Errorf("spar %g", got.Value)
	}
	ail := find(t, list, "servo.aileron")
	if ail.Status != control.Pass || !(ail.Value > 0.02 && ail.Value < 0.5) {
		t.Errorf("servo: %+v", ail)
	}
	if r := find(t, list, "hinge.ruddervator"); r.Status != control.Information || !(r.Value > 0) {
		t.Errorf("hinge: %+v", r)
	}
	if r := find(t, list, "flutter.ruddervator"); r.Status != control.Unknown {
		t.Errorf("a fast control whose linkage nobody described: %+v", r)
	}
}

// Knobs turn the results the way they should.
func TestAssessKnobs(t *testing.T) {
	base := Assess(tern(), loadsOf())
	value := func(id string, change func(*craft.Aircraft, *Loads)) Result {
		ac, l := tern(), loadsOf()
		change(ac, &l)
		return find(t, Assess(ac, l), id)
	}
	lower := func(id, what string, change func(*craft.Aircraft, *Loads)) {
		t.Helper()
		if a, b := find(t, base, id).Value, value(id, change).Value; !(b < a) {
			t.Errorf("%s: %s should lower %g, gives %g", id, what, a, b)
		}
	}
	lower("servo.aileron", "a stronger servo", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Torque = 0.3 })
	lower("servo.aileron", "less speed", func(a *craft.Aircraft, l *Loads) { l.TopSpeed = 30 })
	lower("servo.aileron", "a shorter arm", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Arm = 7e-3 })
	lower("rod.aileron", "a longer rod", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Rod = 120e-3 })
	lower("horn.aileron", "a stronger servo", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Torque = 0.3 })
	lower("horn.aileron", "a printed horn", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].HornMaterial = "PLA" })
	lower("spar", "more weight", func(a *craft.Aircraft, l *Loads) { a.Mass.Total = 1.3 })
	lower("hook", "more pull", func(a *craft.Aircraft, l *Loads) { l.LaunchTension = 90 })
	lower("stake", "more pull", func(a *craft.Aircraft, l *Loads) { l.LaunchTension = 90 })
	lower("wire", "less current", func(a *craft.Aircraft, l *Loads) { l.MaxCurrent = 20 })
	lower("gust_load", "a calm day", func(a *craft.Aircraft, l *Loads) { a.Day.Gust = 4 })
	lower("flutter.aileron", "more speed", func(a *craft.Aircraft, l *Loads) { l.TopSpeed = 70 })
	lower("flutter.aileron", "a weak servo", func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Torque = 0.08 })

	for _, r := range []struct {
		id     string
		want   control.Judgement
		change func(*craft.Aircraft, *Loads)
	}{
		{"current.motor", control.Fail, func(a *craft.Aircraft, l *Loads) { l.MaxCurrent = 60 }},
		{"current.motor", control.Doubtful, func(a *craft.Aircraft, l *Loads) { l.MaxCurrent = 44 }},
		{"current.connector", control.NotAsked, func(a *craft.Aircraft, l *Loads) {}},
		{"hook", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.HookPad = craft.HookPad{} }},
		{"hook", control.NotAsked, func(a *craft.Aircraft, l *Loads) { a.Launch.By = "hand" }},
		{"hook", control.Pass, func(a *craft.Aircraft, l *Loads) { a.HookPad = craft.HookPad{Known: true, Holds: 120} }},
		{"hook", control.Fail, func(a *craft.Aircraft, l *Loads) { a.HookPad = craft.HookPad{Known: true, Holds: 50} }},
		{"spar", control.NotAsked, func(a *craft.Aircraft, l *Loads) { a.Spar = craft.Spar{} }},
		{"spar", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Spar.Inner = 11e-3 }},
		{"spar", control.Pass, func(a *craft.Aircraft, l *Loads) { a.Spar.Moment = 12 }},
		{"play.aileron", control.Fail, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Play = 2 * deg }},
		{"play.aileron", control.Doubtful, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Play = 0.8 * deg }},
		{"flutter.aileron", control.Fail, func(a *craft.Aircraft, l *Loads) { l.Stiffness.Control = map[string]float64{"aileron": 0} }},
		{"flutter.wing", control.NotAsked, func(a *craft.Aircraft, l *Loads) {}},
		{"flutter.wing", control.Unknown, func(a *craft.Aircraft, l *Loads) { l.Stiffness.TwistHz = 60 }},
		{"flutter.wing", control.Fail, func(a *craft.Aircraft, l *Loads) { l.Stiffness.BendHz, l.Stiffness.TwistHz = 12, 20 }},
		{"flutter.wing", control.Pass, func(a *craft.Aircraft, l *Loads) { l.Stiffness.BendHz, l.Stiffness.TwistHz = 15, 120 }},
		{"divergence", control.Fail, func(a *craft.Aircraft, l *Loads) { l.Stiffness.GJ = -1 }},
		{"horn_length.aileron", control.Fail, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Horn = 1e-3; a.Linkages[0].Arm = 1e-3 }},
		{"linkage.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Rod = 3e-3 }},
		{"control.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Surfaces[0].Controls[0].ChordShare = 1.2 }},
		{"control.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Surfaces[0].Controls[0].To = 0.7 }},
		{"servo.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Known = false }},
		{"servo.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { l.TopSpeed = 0 }},
		{"servo.aileron", control.Unknown, func(a *craft.Aircraft, l *Loads) { a.Linkages[0].Arm = 3e-3; a.Linkages[0].Horn = 30e-3 }},
	} {
		if got := value(r.id, r.change); got.Status != r.want {
			t.Errorf("%s: %s, want %s: %+v", r.id, got.Status, r.want, got)
		}
	}
}

// Hinge moments go as the square of speed at a fixed incidence.
func TestHingeRange(t *testing.T) {
	ac := tern()
	ac.Mass.Total = 1e-9 // no lift, no incidence
	l := loadsOf()
	l.Mu = 1e-9 // one Reynolds regime
	rows := HingeRange(ac, 0, 0, l, []float64{20, 40})
	if len(rows) != 6 {
		t.Fatal(len(rows))
	}
	if r := rows[3].Moment / rows[0].Moment; math.Abs(r-4) > 1e-6 {
		t.Errorf("twice the speed gives %g times the moment", r)
	}
	if !(rows[0].Moment < 0 && rows[2].Moment > 0) {
		t.Errorf("air should push a deflected edge back: %g %g", rows[0].Moment, rows[2].Moment)
	}
	if !(rows[0].Servo > 0) || math.IsNaN(rows[2].Servo) {
		t.Errorf("servo torque %+v", rows[0])
	}
}

// Nothing a wrong file could hold makes Assess panic.
func TestAssessHostile(t *testing.T) {
	Assess(&craft.Aircraft{}, Loads{})
	Assess(&craft.Aircraft{}, loadsOf())
	bare := loadsOf()
	bare.Stiffness = Stiffness{BendHz: 10, TwistHz: 30, GJ: 5}
	Assess(&craft.Aircraft{Ref: craft.Reference{Wing: -1}}, bare)
	rapid.Check(t, func(t *rapid.T) {
		ac, l := tern(), loadsOf()
		odd := rapid.SampledFrom([]float64{0, -1, 1e-12, 1e12, math.NaN(), math.Inf(1), math.Inf(-1), 0.01, 5})
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			root := []any{ac, &l, &ac.Linkages[0], &ac.Spar, &ac.HookPad, &ac.Surfaces[0].Controls[0], &ac.Surfaces[1].Stations[1], &ac.Ref, &ac.Mass, &ac.Limits, &ac.Power.Wiring, &ac.Launch.Bungee, &l.Stiffness, &ac.Day}
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
		for _, r := range Assess(ac, l) {
			if r.Status == control.Pass && (math.IsNaN(r.Value) || math.IsNaN(r.Sigma)) {
				t.Errorf("passes without a value: %+v", r)
			}
		}
	})
}

func BenchmarkAssess(b *testing.B) {
	ac, l := tern(), loadsOf()
	for b.Loop() {
		Assess(ac, l)
	}
}
