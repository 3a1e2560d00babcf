package assess

import (
	"reflect"

	"fledge/internal/craft"
)

// What an edit leaves as it was. Each question copies both aircraft, blanks
// what the answer does not hang on and compares all the rest: what a later
// change adds to an aircraft counts as a difference until it is blanked here.

// sameFrame tells whether the aerodynamic models of two aircraft, with what
// each input of the shape does to them, are the same.
func sameFrame(a, b *craft.Aircraft) bool {
	frame := func(ac *craft.Aircraft) craft.Aircraft {
		x := bare(ac)
		x.Mass = craft.Mass{Total: ac.Mass.Total}
		x.Parts = nil
		for _, l := range ac.Linkages {
			x.Linkages = append(x.Linkages, craft.Linkage{Control: l.Control, Horn: l.Horn})
		}
		x.HookPad.Diameter, x.HookPad.Proud = ac.HookPad.Diameter, ac.HookPad.Proud
		x.Launch = craft.Launch{By: ac.Launch.By}
		x.Launch.Bungee.Hook, x.Launch.Bungee.HookCount = ac.Launch.Bungee.Hook, ac.Launch.Bungee.HookCount
		x.Power.Throttle = 0
		x.Limits, x.Day, x.Trial = craft.Limits{}, craft.Day{}, craft.Trial{}
		return x
	}
	x, y := frame(a), frame(b)
	return sameInputs(a, b, (*craft.Input).Shape, true) && reflect.DeepEqual(x, y)
}

// sameLaunches tells whether the drawn launches of two chains are the same.
func (c *Chain) sameLaunches(o *Chain) bool {
	if c.Aero != o.Aero || c.Power != o.Power || c.Air != o.Air || !reflect.DeepEqual(c.bench, o.bench) {
		return false
	}
	feels := func(ac *craft.Aircraft) craft.Aircraft {
		x := bare(ac)
		x.HookPad.Holds = ac.HookPad.Holds
		x.Limits = craft.Limits{LoadFactor: ac.Limits.LoadFactor}
		return x
	}
	a, b := c.Aircraft, o.Aircraft
	x, y := feels(a), feels(b)
	return sameInputs(a, b, func(in *craft.Input) bool { return !unfelt(in.Path) }, false) && reflect.DeepEqual(x, y)
}

// bare is an aircraft without what neither airframe nor launch can feel.
func bare(ac *craft.Aircraft) craft.Aircraft {
	x := *ac
	x.Linkages, x.Spar, x.Joiner, x.HookPad, x.Bolts, x.WingTest = nil, craft.Spar{}, craft.Spar{}, craft.HookPad{}, nil, craft.WingTest{}
	x.Radios, x.Circuit, x.Course, x.Obstacles, x.Flight, x.Landing = nil, craft.Circuit{}, craft.Course{}, nil, craft.Flight{}, craft.Landing{}
	x.Claims, x.Inside, x.Weighing, x.Ballast, x.Deviations = nil, craft.Inside{}, craft.Weighing{}, nil, nil
	x.Inputs, x.Knobs, x.Assumed, x.Hash = nil, nil, nil, ""
	x.Surfaces = append([]craft.Surface(nil), ac.Surfaces...)
	for i := range x.Surfaces {
		s := &x.Surfaces[i]
		s.Controls = append([]craft.Control(nil), s.Controls...)
		for j := range s.Controls {
			s.Controls[j].Heights = craft.Heights{} // a ruler's readings, NaN where not taken
		}
	}
	return x
}

// sameInputs compares the inputs that count; with order, all must also have
// the same places.
func sameInputs(a, b *craft.Aircraft, counts func(*craft.Input) bool, order bool) bool {
	type input struct {
		place                    int
		path                     string
		kind                     craft.Kind
		nominal, sigma, low, top float64
	}
	list := func(ac *craft.Aircraft) (out []input) {
		for i := range ac.Inputs {
			in := &ac.Inputs[i]
			if !counts(in) {
				continue
			}
			k := input{path: in.Path, kind: in.Kind, nominal: in.Nominal, sigma: in.Sigma, low: in.Low, top: in.High}
			if order {
				k.place = i
			}
			out = append(out, k)
		}
		return out
	}
	return (!order || len(a.Inputs) == len(b.Inputs)) && reflect.DeepEqual(list(a), list(b))
}
