package report

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/unit"
	"fledge/internal/wing"
)

// Lifting are the lifting surfaces' numbers, nominal or of one draw of what
// is not known.
type Lifting struct {
	Derive    wing.Derivatives
	Stability aero.Stability
	Traits    aero.Traits
	Spread    []aero.StationLoad // in level flight
	Fine      []aero.StripLoad   // the same flight, strip by strip
	Stall     Stall
}

// Lattice is what the lifting-surface page shows.
type Lattice struct {
	Lifting
	Aircraft *craft.Aircraft
	Units    unit.System
	CG       r3.Vec
	Speed    float64 // at which the stability table and Spread are
	Strips   int     // of horseshoe vortices along the spans
	Notes    []string
	// Drawn over all that is not known, balance included.
	Neutral, Margin assess.Quantity
	tables          *latticeTables // with their intervals; nil until Doubted
}

// derivative is one derivative, per radian, by the lattice alone and of the
// whole aeroplane.
type derivative struct {
	Key      string
	Label    string
	Alone    Float `json:"alone"`
	Whole    Float `json:"whole"`
	Interval Spans
}

// named lists the derivatives with their stable names; per radian.
func (l *Lifting) named() []derivative {
	d, s := &l.Derive, &l.Stability
	n := math.NaN()
	var out []derivative
	for _, k := range []struct {
		key, label   string
		lattice, fly float64
	}{
		{"cl_alpha", "lift by angle of attack", d.CLAlpha, s.CLAlpha},
		{"cm_alpha", "pitching moment by angle of attack", d.CmAlpha, s.CmAlpha},
		{"cd_alpha", "drag by angle of attack", n, s.CDAlpha},
		{"cl_q", "lift by pitch rate", d.CLQ, s.CLQ},
		{"cm_q", "pitch damping", d.CmQ, s.CmQ},
		{"cm_alpha_rate", "pitching moment by change of angle", n, s.CmAlphaDot},
		{"cy_beta", "side force by sideslip", d.CYBeta, s.CYBeta},
		{"croll_beta", "rolling moment by sideslip (dihedral)", d.ClBeta, s.ClBeta},
		{"cn_beta", "yawing moment by sideslip (weathercock)", d.CnBeta, s.CnBeta},
		{"cy_p", "side force by roll rate", d.CYP, s.CYP},
		{"croll_p", "roll damping", d.ClP, s.ClP},
		{"cn_p", "yawing moment by roll rate", d.CnP, s.CnP},
		{"cy_r", "side force by yaw rate", d.CYR, s.CYR},
		{"croll_r", "rolling moment by yaw rate", d.ClR, s.ClR},
		{"cn_r", "yaw damping", d.CnR, s.CnR},
		{"cl_pitch", "lift by pitch control, nose up", n, s.CLPitch},
		{"cm_pitch", "pitching moment by pitch control", n, s.CmPitch},
		{"croll_roll", "rolling moment by roll control", n, s.ClRoll},
		{"cn_roll", "yawing moment by roll control", n, s.CnRoll},
		{"cy_yaw", "side force by yaw control", n, s.CYYaw},
		{"croll_yaw", "rolling moment by yaw control", n, s.ClYaw},
		{"cn_yaw", "yawing moment by yaw control", n, s.CnYaw},
	} {
		out = append(out, derivative{Key: k.key, Label: k.label, Alone: Float(k.lattice), Whole: Float(k.fly)})
	}
	return out
}

// traitRow are the summary's numbers.
type traitRow struct {
	CL0        Float `json:"cl_0"`
	Cm0        Float `json:"cm_0"`
	Neutral    Float `json:"neutral_point_x"`
	Efficiency Float `json:"span_efficiency"`
	CD0        Float `json:"cd_0"`
	K          Float `json:"cd_by_cl2"`
	CLMax      Float `json:"cl_max_trimmed"`
	Best       Float `json:"best_lift_over_drag"`
	BestAt     Float `json:"cl_of_best"`
	Interval   Spans
}

// latticeTables are the rows of the page's tables, nominal or of a draw.
type latticeTables struct {
	Traits   traitRow
	Named    []derivative
	Controls []ControlDerivativesJSON
	Stations []StationJSON
	Stall    stallRow
}

// rows lists the rows of the tables.
func (l *Lifting) rows() latticeTables {
	d, t := &l.Derive, &l.Traits
	best, at := t.BestLD, t.BestLDCL
	if !(best > 0) {
		best, at = math.NaN(), math.NaN()
	}
	out := latticeTables{
		Traits: traitRow{CL0: Float(d.CL0), Cm0: Float(d.Cm0), Neutral: Float(d.NeutralPoint), Efficiency: Float(d.SpanEfficiency), CD0: Float(t.CD0), K: Float(t.K), CLMax: Float(t.CLMaxTrimmed), Best: Float(best), BestAt: Float(at)},
		Named:  l.named(), Controls: []ControlDerivativesJSON{}, Stations: stations(l.Spread), Stall: l.Stall.row(),
	}
	for _, k := range d.Control {
		out.Controls = append(out.Controls, ControlDerivativesJSON{Name: k.Name, CL: Float(k.CL), Cm: Float(k.Cm), CY: Float(k.CY), Croll: Float(k.Cl), Cn: Float(k.Cn), Hinge: Float(k.Hinge)})
	}
	return out
}

// stations are the rows along the spans.
func stations(list []aero.StationLoad) []StationJSON {
	out := []StationJSON{}
	for _, k := range list {
		out = append(out, StationJSON{Eta: Float(k.Eta), Left: k.Left, Cl: Float(k.Cl), Start: Float(k.Start), Room: Float(k.Room)})
	}
	return out
}

// Doubted gives every number of the page its interval, by the same numbers
// over draws of what is not known.
func (l *Lattice) Doubted(draws []Lifting) {
	t := l.rows()
	all := make([]latticeTables, len(draws))
	for i := range draws {
		all[i] = draws[i].rows()
	}
	Doubt(&t, all)
	l.tables = &t
}

// tabled are the rows with their intervals, where there are any.
func (l *Lattice) tabled() *latticeTables {
	if l.tables == nil {
		t := l.rows()
		l.tables = &t
	}
	return l.tables
}

// LatticePage is the page of the lifting surfaces.
func LatticePage(l Lattice) *Doc {
	ac := l.Aircraft
	s := Subject{Units: l.Units}
	d := &Doc{Title: ac.Name + ": lifting surfaces"}
	d.Lead = append(d.Lead, fmt.Sprintf("%d strips of horseshoe vortices; moments about the balance point x = %s; reference area %s, span %s, mean chord %s.",
		l.Strips, s.fmt(l.CG.X, unit.Length), s.fmt(ac.Ref.Area, unit.Area), s.fmt(ac.Ref.Span, unit.Length), s.fmt(ac.Ref.Chord, unit.Length)))
	d.Lead = append(d.Lead, taughtLines(ac)...)
	t := l.tabled()
	in := t.Traits.Interval
	given := func(key string, v Float, places int) string {
		return col(float64(v), places) + in.ends(key, 1, places)
	}
	d.Sections = append(d.Sections, Section{Title: "In short", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
		{"neutral point x, lattice alone", s.show(in.quantity("neutral_point_x", float64(t.Traits.Neutral), "m"), unit.Length)},
		{"neutral point x, with the body", s.show(l.Neutral, unit.Length)},
		{"static margin", s.show(l.Margin, unit.Ratio)},
		{"lift at no angle", given("cl_0", t.Traits.CL0, 3)},
		{"moment at no angle, reference point", given("cm_0", t.Traits.Cm0, 4)},
		{"span efficiency", given("span_efficiency", t.Traits.Efficiency, 3)},
		{"highest lift, trimmed", given("cl_max_trimmed", t.Traits.CLMax, 2)},
		{"drag without lift, CD0, trimmed", trimmedOr(t.Traits.CD0, given("cd_0", t.Traits.CD0, 4))},
		{"drag by lift squared, K, trimmed", trimmedOr(t.Traits.K, given("cd_by_cl2", t.Traits.K, 4))},
		{"best lift over drag, propeller apart", trimmedOr(t.Traits.Best, given("best_lift_over_drag", t.Traits.Best, 1))},
		{"lift coefficient of it", trimmedOr(t.Traits.BestAt, given("cl_of_best", t.Traits.BestAt, 2))},
	}}}, para("In brackets the 90 %% interval of all that is not known, balance and weight included.")}})
	d.Sections = append(d.Sections, l.Stall.section(s, &t.Stall))
	tab := &Table{Head: []string{"per radian", "lattice", "±", "whole", "±"}, Wrap: 0, Right: rights(5, 0)}
	for _, k := range t.Named {
		tab.Rows = append(tab.Rows, []string{k.Label, col(float64(k.Alone), 4), unsigned(k.Interval.give("alone", 1, 4)), col(float64(k.Whole), 4), unsigned(k.Interval.give("whole", 1, 4))})
	}
	d.Sections = append(d.Sections, Section{Title: "Derivatives, the whole at " + s.fmt(l.Speed, unit.Speed), Blocks: []Block{{Table: tab},
		para("Rates are pb/2V, qc/2V, rb/2V. The lattice's pitching moments are about the quarter point of the mean chord, the whole aeroplane's about its balance point. Body axes: roll right, nose up, nose right positive. \"Whole\" holds body, sections and drag besides. " + plusMinus)}})
	if len(t.Controls) > 0 {
		c := &Table{Head: []string{"control, per radian", "lift", "pitch", "side", "roll", "yaw", "hinge"}, Wrap: 0, Right: rights(7, 0)}
		for _, k := range t.Controls {
			c.Rows = append(c.Rows, []string{k.Name, col(float64(k.CL), 3), col(float64(k.Cm), 3), col(float64(k.CY), 3), col(float64(k.Croll), 3), col(float64(k.Cn), 4), col(float64(k.Hinge), 3)})
			if row, ok := k.Interval.under("", cell{"cl", 1, 3}, cell{"cm", 1, 3}, cell{"cy", 1, 3}, cell{"croll", 1, 3}, cell{"cn", 1, 4}, cell{}); ok {
				c.Rows = append(c.Rows, row)
			}
		}
		d.Sections = append(d.Sections, Section{Title: "Controls, inviscid", Blocks: []Block{{Table: c}, para("Lift and pitch: both sides trailing edge down. Side, roll, yaw: right down, left up. Hinge: moment over dynamic pressure, flap area and flap chord; of it measured flaps have half to all (0.75 ± 0.30 at small Reynolds numbers, see strength).")}})
	}
	if len(l.Spread) > 0 {
		sp := &Table{Head: []string{"surface", "along", "lift coefficient", "±", "parts at", "±", "in hand", "±"}, Wrap: 0, Least: 8, Right: rights(8, 0)}
		for i, k := range l.Spread {
			if k.Left {
				continue
			}
			d := t.Stations[i].Interval
			sp.Rows = append(sp.Rows, []string{ac.Surfaces[k.Surface].Name, share(k.Eta), col(k.Cl, 3), unsigned(d.give("cl", 1, 3)), col(k.Start, 3), unsigned(d.give("cl_separates", 1, 3)), col(k.Room, 3), unsigned(d.give("in_hand", 1, 3))})
		}
		d.Sections = append(d.Sections, Section{Title: "Along the half span, level at " + s.fmt(l.Speed, unit.Speed), Blocks: []Block{{Table: sp}}})
	}
	d.Sections = append(d.Sections, noteSection(l.Notes))
	return d
}

// trimmedOr says why a number of the trimmed polar is not there.
func trimmedOr(v Float, s string) string {
	if math.IsNaN(float64(v)) {
		return "none: it cannot be trimmed"
	}
	return s
}

// StationJSON is one spanwise station.
type StationJSON struct {
	Surface  string `json:"surface"`
	Eta      Float  `json:"eta"`
	Left     bool   `json:"left"`
	Cl       Float  `json:"cl"`
	Start    Float  `json:"cl_separates"`
	Room     Float  `json:"in_hand"`
	Interval Spans  `json:"interval,omitempty"`
}

// ControlDerivativesJSON is one control, per radian.
type ControlDerivativesJSON struct {
	Name     string `json:"name"`
	CL       Float  `json:"cl"`
	Cm       Float  `json:"cm"`
	CY       Float  `json:"cy"`
	Croll    Float  `json:"croll"`
	Cn       Float  `json:"cn"`
	Hinge    Float  `json:"hinge"`
	Interval Spans  `json:"interval,omitempty"`
}

// LatticeJSON is the body of `lattice`.
type LatticeJSON struct {
	Schema       int                      `json:"schema"`
	Build        string                   `json:"build"`
	Hash         string                   `json:"hash"`
	CLAlpha      Quantity                 `json:"cl_alpha"`
	CmAlpha      Quantity                 `json:"cm_alpha"`
	CL0          Quantity                 `json:"cl_0"`
	Cm0          Quantity                 `json:"cm_0"`
	NeutralPoint Quantity                 `json:"neutral_point_x"`
	WithBody     Quantity                 `json:"neutral_point_with_body_x"`
	StaticMargin Quantity                 `json:"static_margin"`
	Efficiency   Quantity                 `json:"span_efficiency"`
	CD0          Quantity                 `json:"cd_0"`
	K            Quantity                 `json:"cd_by_cl2"`
	CLMax        Quantity                 `json:"cl_max_trimmed"`
	Best         Quantity                 `json:"best_lift_over_drag"`
	BestAt       Quantity                 `json:"best_lift_over_drag_at_cl"`
	Stall        *StallJSON               `json:"stall"`
	Area         Float                    `json:"area_m2"`
	Span         Float                    `json:"span_m"`
	Chord        Float                    `json:"mean_chord_m"`
	CG           [3]Float                 `json:"cg_m"`
	About        [3]Float                 `json:"reference_point_m"`
	Strips       int                      `json:"strips"`
	Derivatives  map[string]Float         `json:"derivatives"`
	Alone        Spans                    `json:"derivatives_interval"`
	Whole        map[string]Float         `json:"derivatives_whole"`
	WholeSpan    Spans                    `json:"derivatives_whole_interval"`
	WholeSpeed   Float                    `json:"derivatives_whole_at_m_s"`
	Controls     []ControlDerivativesJSON `json:"controls"`
	Stations     []StationJSON            `json:"stations"`
	Notes        []string                 `json:"notes"`
}

// LatticeBody is the JSON of the lifting surfaces.
func LatticeBody(l Lattice) LatticeJSON {
	ac, t := l.Aircraft, l.tabled()
	in := t.Traits.Interval
	q := func(key string, v Float, u string) Quantity { return Q(in.quantity(key, float64(v), u)) }
	vec := func(v r3.Vec) [3]Float { return [3]Float{Float(v.X), Float(v.Y), Float(v.Z)} }
	k := &t.Traits
	out := LatticeJSON{Schema: Schema, Build: ac.Name, Hash: ac.Hash,
		CL0: q("cl_0", k.CL0, "1"), Cm0: q("cm_0", k.Cm0, "1"),
		NeutralPoint: q("neutral_point_x", k.Neutral, "m"), WithBody: Q(l.Neutral), StaticMargin: Q(l.Margin), Efficiency: q("span_efficiency", k.Efficiency, "1"),
		CD0: q("cd_0", k.CD0, "1"), K: q("cd_by_cl2", k.K, "1"), CLMax: q("cl_max_trimmed", k.CLMax, "1"), Best: q("best_lift_over_drag", k.Best, "1"), BestAt: q("cl_of_best", k.BestAt, "1"), Stall: l.Stall.body(&t.Stall),
		Area: Float(ac.Ref.Area), Span: Float(ac.Ref.Span), Chord: Float(ac.Ref.Chord), CG: vec(l.CG), About: vec(ac.Ref.Point), Strips: l.Strips,
		Derivatives: map[string]Float{}, Alone: Spans{}, Whole: map[string]Float{}, WholeSpan: Spans{}, WholeSpeed: Float(l.Speed), Controls: t.Controls, Stations: []StationJSON{}, Notes: strs(l.Notes)}
	for _, k := range t.Named {
		if !math.IsNaN(float64(k.Alone)) {
			out.Derivatives[k.Key] = k.Alone
		}
		out.Whole[k.Key] = k.Whole
		if v, ok := k.Interval["alone"]; ok {
			out.Alone[k.Key] = v
		}
		if v, ok := k.Interval["whole"]; ok {
			out.WholeSpan[k.Key] = v
		}
		switch k.Key {
		case "cl_alpha":
			out.CLAlpha = Q(k.Interval.quantity("alone", float64(k.Alone), "1/rad"))
		case "cm_alpha":
			out.CmAlpha = Q(k.Interval.quantity("alone", float64(k.Alone), "1/rad"))
		}
	}
	for i, k := range t.Stations {
		k.Surface = ac.Surfaces[l.Spread[i].Surface].Name
		out.Stations = append(out.Stations, k)
	}
	return out
}

// LatticeChart is the lift coefficient along each half span and where the
// flow would leave, each with its 90 % band.
func LatticeChart(l Lattice) *chart.Chart {
	c := &chart.Chart{Title: l.Aircraft.Name + ": lift along the span", X: chart.Axis{Label: "along the half span, %"}, Y: chart.Axis{Label: "lift coefficient"},
		Caption: fmt.Sprintf("level at %.0f m/s", l.Speed)}
	t := l.tabled()
	for i := range l.Aircraft.Surfaces {
		main := i == l.Aircraft.Ref.Wing
		var x []float64
		var lift, parts [3][]float64 // value, low, high
		add := func(to *[3][]float64, v float64, key string, in Spans) {
			low, high, ok := in.Span(key)
			if !ok || math.IsInf(high-low, 0) {
				low, high = v, v
			}
			to[0], to[1], to[2] = append(to[0], v), append(to[1], low), append(to[2], high)
		}
		for n, k := range l.Spread {
			if k.Surface == i && !k.Left {
				x = append(x, 100*k.Eta)
				add(&lift, k.Cl, "cl", t.Stations[n].Interval)
				add(&parts, k.Start, "cl_separates", t.Stations[n].Interval)
			}
		}
		// Strips draw the line; the groups' intervals go along with it.
		var at []float64
		var line [3][]float64
		for _, k := range l.Fine {
			if k.Surface != i || len(x) == 0 {
				continue
			}
			at = append(at, 100*k.Eta)
			line[0] = append(line[0], k.Cl)
			for side := 1; side <= 2; side++ {
				line[side] = append(line[side], k.Cl+along(x, lift[side], 100*k.Eta)-along(x, lift[0], 100*k.Eta))
			}
		}
		if len(at) < 2 {
			continue
		}
		name := l.Aircraft.Surfaces[i].Name
		if main {
			c.Series = append(c.Series, chart.Series{Name: name + ", 90 %", Kind: chart.Band, X: at, Y: line[1], Y2: line[2], Ink: i},
				chart.Series{Name: name + " parts, 90 %", Kind: chart.Band, X: x, Y: parts[1], Y2: parts[2], Ink: 4})
		}
		c.Series = append(c.Series, chart.Series{Name: name, X: at, Y: line[0], Ink: i})
		if main {
			c.Series = append(c.Series, chart.Series{Name: name + " parts", X: x, Y: parts[0], Ink: 4})
		}
	}
	return c
}

// along is y at a place between the places x, held at its ends.
func along(x, y []float64, at float64) float64 {
	if at <= x[0] {
		return y[0]
	}
	for i := 1; i < len(x); i++ {
		if at <= x[i] {
			return y[i-1] + (y[i]-y[i-1])*(at-x[i-1])/(x[i]-x[i-1])
		}
	}
	return y[len(y)-1]
}
