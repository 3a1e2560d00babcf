package build

import (
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/unit"
)

func q(t testing.TB, text string, d unit.Dim) unit.Quantity {
	t.Helper()
	v, err := unit.Parse(text, d)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// balance is the mass and centre of gravity of the parts as written.
func balance(b *Build) (mass, x float64) {
	for _, p := range b.Parts {
		m := p.Mass.Value
		if p.Mirrored.On {
			m *= 2
		}
		mass += m
		x += m * p.At.X.Value
	}
	return mass, x / mass
}

func TestStarter(t *testing.T) {
	for _, layout := range Layouts() {
		for _, launch := range []string{"bungee", "hand"} {
			a := Answers{
				Name: "Dipper: 2nd", Layout: layout, Launch: launch, Span: q(t, "92 cm measured", unit.Length), Mass: q(t, "0.85 kg", unit.Mass),
				Cells: 3, Capacity: q(t, "1300 mAh label", unit.Charge), KV: q(t, "1900 rpm/V label", unit.MotorConstant), MotorMass: q(t, "56 g weighed", unit.Mass),
				Diameter: q(t, "6 in", unit.Length), Pitch: q(t, "5 in", unit.Length),
			}
			text, l := Starter(a)
			if len(l) > 0 {
				t.Fatal(l)
			}
			if dir := os.Getenv("STARTERS"); dir != "" { // to look at them
				os.WriteFile(dir+"/"+layout+"-"+launch+".yaml", text, 0o644)
			}
			b, l := Parse(layout, text)
			if len(l) > 0 {
				t.Fatalf("%s\n%s", text, l.Render(func(string) []byte { return text }))
			}
			if err := compiled().Validate(generic(t, string(text))); err != nil {
				t.Errorf("%s: %v", layout, err)
			}
			for _, want := range []string{"capacity: 1300 mAh label", "kv: 1900 rpm/V label", "mass: 56 g weighed", "diameter: 6 in, pitch: 5 in", `name: "Dipper: 2nd"`, "assumed"} {
				if !strings.Contains(string(text), want) {
					t.Errorf("%s: %q is not in it", layout, want)
				}
			}
			mass, _ := balance(b)
			if math.Abs(mass-0.85) > 0.004 {
				t.Errorf("%s: the parts weigh %.3f kg", layout, mass)
			}
			if tip := b.Surfaces[0].Stations[1].Y.Value; layout != Canard && math.Abs(tip-0.46) > 1e-9 {
				t.Errorf("%s: half span %g", layout, tip)
			}
		}
	}
}

// From 30 g to 6 kg the assumed parts scale with the aeroplane: the file parses,
// its parts weigh what was said, airframe included, and it balances as it says.
func TestStarterSizes(t *testing.T) {
	for _, layout := range Layouts() {
		for _, launch := range []string{"bungee", "hand"} {
			for _, g := range []float64{30, 38, 60, 100, 150, 300, 700, 1000, 2500, 6000} {
				a := Answers{Layout: layout, Launch: launch, Mass: unit.Quantity{Value: g / 1000, Dim: unit.Mass, Text: "given"}}
				text, l := Starter(a)
				if l.HasErrors() {
					t.Errorf("%s, %g g: %v", layout, g, l)
					continue
				}
				b, l := Parse("", text)
				if len(l) > 0 {
					t.Fatalf("%s, %g g: %s", layout, g, l.Render(func(string) []byte { return text }))
				}
				mass, x := balance(b)
				if math.Abs(mass-g/1000) > 0.03*g/1000 { // parts are written to a tenth of a gram, and a gram from 10 g
					t.Errorf("%s, %g g: the parts weigh %.1f g", layout, g, 1000*mass)
				}
				structure := 0.0
				for _, p := range b.Parts {
					if p.Kind.S == "structure" {
						structure += p.Mass.Value
					}
				}
				if share := structure / mass; share < 0.35 || share > 0.7 {
					t.Errorf("%s, %g g: %.0f %% of it is airframe", layout, g, 100*share)
				}
				last := b.Body.Stations[len(b.Body.Stations)-1]
				if x < 0.1*last.X.Value || x > 0.9*last.X.Value {
					t.Errorf("%s, %g g: balances at %.0f mm", layout, g, 1000*x)
				}
			}
		}
	}
}

func TestStarterRefuses(t *testing.T) {
	for _, c := range []struct {
		a    Answers
		says string
	}{
		{Answers{Layout: "vtail"}, `layout: "vtail" is not known (did you mean "v-tail"?)`},
		{Answers{Launch: "rocket"}, `launch: "rocket" is not known (one of: bungee, hand)`},
		{Answers{Span: q(t, "12 m", unit.Length)}, `span: 12 m is out of range (from 200 mm to 3.00 m)`},
		{Answers{Cells: 40}, "cells: 40 is out of range (from 1 to 12)"},
		{Answers{Mass: q(t, "300 g", unit.Mass), BatteryMass: q(t, "280 g", unit.Mass)}, "leaves 0.0 g for the airframe"},
	} {
		text, l := Starter(c.a)
		if text != nil || len(l) != 1 || !strings.Contains(l[0].String(), c.says) {
			t.Errorf("%v", l)
		}
	}
}

// Whatever sensible answers are given, the file parses, weighs what was said
// and balances where it says it does.
func TestStarterProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Answers{
			Layout: rapid.SampledFrom(Layouts()).Draw(t, "layout"),
			Place:  rapid.SampledFrom([]string{"", "tractor", "pusher"}).Draw(t, "place"),
			Launch: rapid.SampledFrom([]string{"bungee", "hand"}).Draw(t, "launch"),
		}
		some := func(name string, low, high float64, d unit.Dim, symbol string) unit.Quantity {
			if !rapid.Bool().Draw(t, name+" given") {
				return unit.Quantity{}
			}
			v := unit.Of(math.Round(rapid.Float64Range(low, high).Draw(t, name)), symbol, d)
			return unit.Quantity{Value: v, Dim: d, Unit: symbol}
		}
		a.Span = some("span", 400, 1500, unit.Length, "mm")
		a.Mass = some("mass", 200, 2500, unit.Mass, "g")
		if rapid.Bool().Draw(t, "cells given") {
			a.Cells = rapid.IntRange(2, 6).Draw(t, "cells")
		}
		a.Diameter = some("diameter", 4, 10, unit.Length, "in")
		text, l := Starter(a)
		if len(l) > 0 {
			t.Fatal(l)
		}
		b, l := Parse("", text)
		if len(l) > 0 {
			t.Fatalf("%s\n%s", text, l.Render(func(string) []byte { return text }))
		}
		mass, x := balance(b)
		if a.Mass.Dim != unit.None && math.Abs(mass/a.Mass.Value-1) > 0.02 {
			t.Fatalf("weighs %.3f", mass)
		}
		wing := b.Surfaces[0]
		for _, s := range b.Surfaces {
			if s.Name.S == "wing" {
				wing = s
			}
		}
		_, said, _ := strings.Cut(string(text), "centre of gravity at ")
		at := q2(said)
		if math.Abs(x-at) > 0.03*wing.Stations[0].Chord.Value {
			t.Fatalf("c.g. at %.4f, said %.4f\n%s", x, at, text)
		}
	})
}

func q2(s string) float64 {
	v, err := unit.Parse(s[:strings.Index(s, " (")], unit.Length)
	if err != nil {
		return math.NaN()
	}
	return v.Value
}
