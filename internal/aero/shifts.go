package aero

import (
	"math"
	"slices"
	"strings"

	"fledge/internal/air"
	"fledge/internal/craft"
)

// Shift is what one unit of a geometry input does to the aerodynamics, so
// that a draw needs no new lattice. The zero Shift does nothing.
type Shift struct {
	Path                    string
	CL0, Cm0, NP            float64 // per unit of the input; NP in m
	Lift, ClMax, Damp, Ctrl float64 // relative, per unit
	DragArea                float64 // m² per unit
	Dihedral                float64 // Cl per rad of sideslip, per unit
}

// Shifts differences coarse models (12 x 4 panels) over one standard
// deviation of each input: only inputs of surfaces, body, extras and the
// trial drag move the aerodynamics, the others get the zero Shift. Reference
// lengths stay those of the model's aircraft. Inputs whose change is
// impossible (or too small to difference) get the zero Shift too.
func (m *Model) Shifts(ac *craft.Aircraft, inputs []craft.Input) []Shift {
	out := make([]Shift, len(inputs))
	var base *probe
	for i, in := range inputs {
		out[i].Path = in.Path
		if !moves(in) || !(in.Sigma > 0) || (in.Nominal == 0 && strings.HasSuffix(in.Path, ".y")) {
			// What stands on the plane of symmetry stays there.
			continue
		}
		if base == nil {
			base = m.probe(ac)
			if base == nil {
				return out
			}
		}
		h := in.Sigma
		if in.Nominal+h > in.High {
			h = -h
		}
		c := clone(ac)
		in.Set(c, in.Nominal+h)
		c.Ref = ac.Ref
		p := m.probe(c)
		if p == nil {
			continue
		}
		d := 1 / h
		out[i].CL0, out[i].Cm0, out[i].NP = (p.cl0-base.cl0)*d, (p.cm0-base.cm0)*d, (p.np-base.np)*d
		out[i].Lift, out[i].ClMax = (p.slope/base.slope-1)*d, (p.max/base.max-1)*d
		out[i].Damp = (p.damp/base.damp/(p.slope/base.slope) - 1) * d
		if base.control != 0 {
			out[i].Ctrl = (p.control/base.control/(p.slope/base.slope) - 1) * d
		}
		out[i].DragArea = (p.drag - base.drag) * d
		out[i].Dihedral = (p.dihedral - base.dihedral) * d
	}
	return out
}

// Apply adds a change of the input (in its unit, from nominal) to factors.
func (s *Shift) Apply(k *Factors, change float64) {
	k.CL0 += s.CL0 * change
	k.Cm0 += s.Cm0 * change
	k.NP += s.NP * change
	k.DragArea += s.DragArea * change
	k.Dihedral += s.Dihedral * change
	k.Lift *= bounded(s.Lift * change)
	k.ClMax *= bounded(s.ClMax * change)
	k.Damping *= bounded(s.Damp * change)
	k.Control *= bounded(s.Ctrl * change)
}

// bounded is 1 + x, kept positive far out in a tail.
func bounded(x float64) float64 { return math.Exp(math.Max(-1, math.Min(1, x))) }

// moves reports whether an input changes the shape to the wind.
func moves(in craft.Input) bool {
	for _, p := range []string{"surfaces.", "body.", "extras.", "trial.drag_area"} {
		if strings.HasPrefix(in.Path, p) {
			return !strings.HasSuffix(in.Path, ".mass") && !strings.HasSuffix(in.Path, ".balance") && !strings.Contains(in.Path, ".throw_")
		}
	}
	return false
}

// clone copies what Set of a geometry input may write.
func clone(ac *craft.Aircraft) *craft.Aircraft {
	c := *ac
	c.Surfaces = slices.Clone(ac.Surfaces)
	for i := range c.Surfaces {
		c.Surfaces[i].Stations = slices.Clone(c.Surfaces[i].Stations)
		c.Surfaces[i].Controls = slices.Clone(c.Surfaces[i].Controls)
	}
	c.Body = slices.Clone(ac.Body)
	c.Extras = slices.Clone(ac.Extras)
	c.Parts = slices.Clone(ac.Parts)
	c.Linkages = slices.Clone(ac.Linkages)
	return &c
}

// probe is what shifts are differences of.
type probe struct{ cl0, cm0, np, slope, max, damp, control, drag, dihedral float64 }

func (m *Model) probe(ac *craft.Aircraft) *probe {
	o := Options{Sections: m.opt.Sections, Spanwise: 12, Chordwise: 4, foils: m.foils, plain: true}
	c, err := New(ac, air.State{Rho: m.air.rho, Mu: m.air.mu}, o)
	if err != nil {
		return nil
	}
	k := Neutral()
	f := c.Still(m.vRef)
	f.Pitch = c.throws.trim // a reflex set otherwise counts as a change of Cm0 and CL0
	at, _ := c.Coefficients(&f, &k, ac.Ref.Point)
	s := c.Stability(f, &k, ac.Ref.Point)
	p := &probe{cl0: at.CL, cm0: at.Cm, np: c.np, slope: s.CLAlpha, damp: s.CmQ, drag: c.ZeroLiftDragArea(m.vRef), dihedral: s.ClBeta}
	p.control = s.CmPitch
	for i := range 60 {
		f.Alpha = 0.25 * float64(i+20) * math.Pi / 180
		at, _ := c.Coefficients(&f, &k, ac.Ref.Point)
		p.max = math.Max(p.max, at.CL)
	}
	return p
}
