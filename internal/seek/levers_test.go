package seek

import (
	"strings"
	"testing"

	"fledge/internal/craft"
)

// Every finding that can fail has its levers, none leaves its range, and each
// can be turned.
func TestLevers(t *testing.T) {
	ac := tern(t)
	for finding, want := range map[string]string{
		"launch-odds":          "launch.bungee.hook.x launch.bungee.stretch launch.stick.pitch launch.held.nose_up launch.held.height launch.motor_delay day.wind trial.mass parts.battery.at.x",
		"balance":              "parts.battery.at.x",
		"control-power":        "parts.battery.at.x",
		"current.controller":   "power.throttle power.propeller.diameter power.propeller.pitch power.controller.limit",
		"heat.motor-winding":   "power.throttle power.propeller.pitch",
		"wire":                 "power.throttle power.propeller.diameter",
		"never-exceed":         "power.throttle power.propeller.pitch",
		"flutter.ruddervator":  "linkages.ruddervator.torque linkages.ruddervator.horn linkages.ruddervator.arm linkages.ruddervator.rod_diameter power.throttle",
		"servo.ruddervator":    "linkages.ruddervator.torque linkages.ruddervator.horn linkages.ruddervator.arm power.throttle",
		"horn.ruddervator":     "linkages.ruddervator.horn_width linkages.ruddervator.horn_root",
		"setup.travel.aileron": "linkages.aileron.arm linkages.aileron.horn",
		"setup.pitch":          "surfaces.tail.controls.ruddervator.throw_up",
		"takeoff-mass":         "trial.mass",
	} {
		have := map[string]bool{}
		for _, l := range Levers(ac, finding) {
			have[l.Path] = true
			k, ok := ac.Knob(l.Path)
			if !ok || k.Value < l.Low || k.Value > l.High || !(l.Low < l.High) || !(l.Step > 0) || !(l.Cost > 0) {
				t.Errorf("%s: lever %+v at %g", finding, l, k.Value)
				continue
			}
			for _, x := range []float64{l.Low - l.High, l.Low, l.High, 2*l.High - l.Low} {
				s := Setting{l, snap(x, l)}
				if s.Value < l.Low-1e-9 || s.Value > l.High+1e-9 {
					t.Errorf("%s: %s leaves its range: %g of %g to %g", finding, l.Path, s.Value, l.Low, l.High)
				}
				if _, ok := s.turn(ac); !ok {
					t.Errorf("%s: %s cannot be turned to %g", finding, l.Path, s.Value)
				}
			}
		}
		for _, w := range strings.Fields(want) {
			if !have[w] {
				t.Errorf("%s: no lever %s", finding, w)
			}
		}
	}
	// A horn of print is cut from plate or printed the right way round; of glass
	// it is neither, lying already it is not printed lying again.
	for _, k := range []struct {
		material, print, want string
	}{
		{"PETG", "", "print horn_material horn_width+ horn_root+"}, {"PETG", "along", "horn_material horn_width horn_root"},
		{"GRP", "", "horn_width horn_root"}, {"plywood", "", "horn_material horn_width horn_root"}, {"aluminium", "", "horn_width horn_root"},
	} {
		made := *ac
		made.Linkages = append([]craft.Linkage(nil), ac.Linkages...)
		for i := range made.Linkages {
			made.Linkages[i].HornMaterial, made.Linkages[i].Print = k.material, k.print
		}
		var have []string
		for _, l := range Levers(&made, "horn.ruddervator") {
			name := l.Path[strings.LastIndex(l.Path, ".")+1:]
			if l.Also != "" {
				name += "+"
			}
			have = append(have, name)
			if s := (Setting{l, l.High}); l.Word != "" && s.Set() != l.Path+"="+l.Word {
				t.Errorf("a word is set by %q", s.Set())
			}
		}
		if got := strings.Join(have, " "); got != k.want {
			t.Errorf("horn of %s %s: %s, want %s", k.material, k.print, got, k.want)
		}
	}
	if l := Levers(&craft.Aircraft{}, "launch-odds"); len(l) != 0 {
		t.Errorf("levers of nothing: %v", l)
	}
}
