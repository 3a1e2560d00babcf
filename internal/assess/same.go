package assess

import (
	"reflect"
	"strings"

	"fledge/internal/aero"
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
	return sameInputs(a, b, (*craft.Input).Shape) && reflect.DeepEqual(x, y)
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
	return sameInputs(a, b, func(in *craft.Input) bool { return !unfelt(in.Path) }) && reflect.DeepEqual(x, y)
}

// sameFlights tells whether the scalars, links and heat of two chains are the
// same.
func (c *Chain) sameFlights(o *Chain) bool {
	if c.Aero != o.Aero || c.Power != o.Power || c.Air != o.Air || !reflect.DeepEqual(c.bench, o.bench) {
		return false
	}
	flies := func(ac *craft.Aircraft) craft.Aircraft {
		x := bare(ac)
		x.Limits, x.Launch = ac.Limits, craft.Launch{}
		x.Radios, x.Circuit, x.Obstacles, x.Flight, x.Landing = ac.Radios, ac.Circuit, ac.Obstacles, ac.Flight, ac.Landing
		x.Limits.FieldLength, x.Landing.Length = 0, 0 // judged, not flown
		return x
	}
	a, b := c.Aircraft, o.Aircraft
	x, y := flies(a), flies(b)
	counts := func(in *craft.Input) bool {
		return !strings.HasPrefix(in.Path, "linkages.") && !strings.HasPrefix(in.Path, "strength.") && !strings.HasPrefix(in.Path, "launch.")
	}
	return sameInputs(a, b, counts) && reflect.DeepEqual(x, y)
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

// sameInputs compares the inputs that count.
func sameInputs(a, b *craft.Aircraft, counts func(*craft.Input) bool) bool {
	type input struct {
		path                     string
		kind                     craft.Kind
		nominal, sigma, low, top float64
	}
	list := func(ac *craft.Aircraft) (out []input) {
		for i := range ac.Inputs {
			if in := &ac.Inputs[i]; counts(in) {
				out = append(out, input{in.Path, in.Kind, in.Nominal, in.Sigma, in.Low, in.High})
			}
		}
		return out
	}
	return reflect.DeepEqual(list(a), list(b))
}

// shiftsFor are the shifts of another aircraft's inputs, whose shape is the
// same though there may be more or fewer others.
func (c *Chain) shiftsFor(ac *craft.Aircraft) []aero.Shift {
	known := make(map[string]aero.Shift, len(c.shifts))
	for _, s := range c.shifts {
		known[s.Path] = s
	}
	out := make([]aero.Shift, len(ac.Inputs))
	for i := range out {
		out[i] = known[ac.Inputs[i].Path]
		out[i].Path = ac.Inputs[i].Path
	}
	return out
}
