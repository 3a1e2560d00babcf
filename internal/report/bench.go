package report

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/prop"
	"fledge/internal/section"
	"fledge/internal/unit"
	"fledge/internal/wing"
)

// PolarJSON is the body of `polar`.
type PolarJSON struct {
	Schema int `json:"schema"`
	section.Report
	Thickness  Float    `json:"thickness"`
	Camber     Float    `json:"camber"`
	Turbulence Float    `json:"turbulence"`
	Notes      []string `json:"notes"`
}

// PolarBody is the JSON of section polars.
func PolarBody(p Polars) PolarJSON {
	t, _ := p.Shape.Thickness()
	m, _ := p.Shape.Camber()
	return PolarJSON{Schema, section.NewReport(p.Shape, p.Polars), Float(t), Float(m), Float(p.Turbulence), strs(p.Notes)}
}

// Lattice is what the lifting-surface page shows.
type Lattice struct {
	Aircraft  *craft.Aircraft
	Units     unit.System
	CG        r3.Vec
	Speed     float64 // at which the stability table is
	Derive    wing.Derivatives
	Stability aero.Stability
	Traits    aero.Traits
	Strips    int                // of horseshoe vortices along the spans
	Spread    []aero.StationLoad // in level flight at Speed
	Notes     []string
	Doubt     aero.Factors // one standard deviation of the model's factors
	// Drawn over all that is not known, balance included.
	Neutral, Margin assess.Quantity
	Stall           Stall
}

// named lists the derivatives with their stable names; per radian.
func (l *Lattice) named() []struct {
	Key, Label   string
	Lattice, Fly float64
} {
	d, s := &l.Derive, &l.Stability
	n := math.NaN()
	return []struct {
		Key, Label   string
		Lattice, Fly float64
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
	}
}

// LatticePage is the page of the lifting surfaces.
func LatticePage(l Lattice) *Doc {
	ac := l.Aircraft
	s := Subject{Units: l.Units}
	d := &Doc{Title: ac.Name + ": lifting surfaces"}
	d.Lead = append(d.Lead, fmt.Sprintf("%d strips of horseshoe vortices; moments about the balance point x = %s; reference area %s, span %s, mean chord %s.",
		l.Strips, s.fmt(l.CG.X, unit.Length), s.fmt(ac.Ref.Area, unit.Area), s.fmt(ac.Ref.Span, unit.Length), s.fmt(ac.Ref.Chord, unit.Length)))
	d.Lead = append(d.Lead, taughtLines(ac)...)
	t := &l.Traits
	d.Sections = append(d.Sections, Section{Title: "In short", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
		{"neutral point x, lattice alone", s.fmt(l.Derive.NeutralPoint, unit.Length)},
		{"neutral point x, with the body", s.fmt(t.NeutralPoint, unit.Length)},
		{"static margin", s.fmt(t.StaticMargin, unit.Ratio)},
		{"lift at no angle", col(l.Derive.CL0, 3)},
		{"moment at no angle, about the reference point", col(l.Derive.Cm0, 4)},
		{"span efficiency", col(l.Derive.SpanEfficiency, 3)},
		{"highest lift, trimmed", col(t.CLMaxTrimmed, 2)},
		{"drag = CD0 + K CL2, trimmed", polarLine(t)},
		{"best lift over drag, propeller apart", bestLine(t)},
	}}}}})
	d.Sections = append(d.Sections, l.Stall.section(s))
	tab := &Table{Head: []string{"per radian", "lattice", "whole, at " + s.fmt(l.Speed, unit.Speed)}, Wrap: 0, Right: rights(3, 0)}
	for _, k := range l.named() {
		tab.Rows = append(tab.Rows, []string{k.Label, col(k.Lattice, 4), col(k.Fly, 4)})
	}
	d.Sections = append(d.Sections, Section{Title: "Derivatives", Blocks: []Block{{Table: tab},
		para("Rates are pb/2V, qc/2V, rb/2V. The lattice's pitching moments are about the quarter point of the mean chord, the whole aeroplane's about its balance point. Body axes: roll right, nose up, nose right positive. \"Whole\" holds body, sections and drag besides.")}})
	if len(l.Derive.Control) > 0 {
		c := &Table{Head: []string{"control, per radian", "lift", "pitch", "side", "roll", "yaw", "hinge"}, Wrap: 0, Right: rights(7, 0)}
		for _, k := range l.Derive.Control {
			c.Rows = append(c.Rows, []string{k.Name, col(k.CL, 3), col(k.Cm, 3), col(k.CY, 3), col(k.Cl, 3), col(k.Cn, 4), col(k.Hinge, 3)})
		}
		d.Sections = append(d.Sections, Section{Title: "Controls, inviscid", Blocks: []Block{{Table: c}, para("Lift and pitch: both sides trailing edge down. Side, roll, yaw: right down, left up. Hinge: moment over dynamic pressure, flap area and flap chord.")}})
	}
	if len(l.Spread) > 0 {
		sp := &Table{Head: []string{"surface", "along the half span", "lift coefficient", "parts at", "in hand"}, Wrap: 0, Right: rights(5, 0)}
		for _, k := range l.Spread {
			if k.Left {
				continue
			}
			sp.Rows = append(sp.Rows, []string{ac.Surfaces[k.Surface].Name, share(k.Eta), col(k.Cl, 3), col(k.Start, 3), col(k.Room, 3)})
		}
		d.Sections = append(d.Sections, Section{Title: "Along the span, level at " + s.fmt(l.Speed, unit.Speed), Blocks: []Block{{Table: sp}}})
	}
	d.Sections = append(d.Sections, noteSection(l.Notes))
	return d
}

func polarLine(t *aero.Traits) string {
	if math.IsNaN(t.CD0 + t.K) {
		return "none: it cannot be trimmed"
	}
	return fmt.Sprintf("%.4f + %.4f CL2", t.CD0, t.K)
}

func bestLine(t *aero.Traits) string {
	if !(t.BestLD > 0) {
		return "none: it cannot be trimmed"
	}
	return fmt.Sprintf("%.1f at lift coefficient %.2f", t.BestLD, t.BestLDCL)
}

// StationJSON is one spanwise station.
type StationJSON struct {
	Surface string `json:"surface"`
	Eta     Float  `json:"eta"`
	Left    bool   `json:"left"`
	Cl      Float  `json:"cl"`
	Start   Float  `json:"cl_separates"`
}

// ControlDerivativesJSON is one control, per radian.
type ControlDerivativesJSON struct {
	Name  string `json:"name"`
	CL    Float  `json:"cl"`
	Cm    Float  `json:"cm"`
	CY    Float  `json:"cy"`
	Croll Float  `json:"croll"`
	Cn    Float  `json:"cn"`
	Hinge Float  `json:"hinge"`
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
	Stall        *StallJSON               `json:"stall"`
	Area         Float                    `json:"area_m2"`
	Span         Float                    `json:"span_m"`
	Chord        Float                    `json:"mean_chord_m"`
	CG           [3]Float                 `json:"cg_m"`
	About        [3]Float                 `json:"reference_point_m"`
	Strips       int                      `json:"strips"`
	Derivatives  map[string]Float         `json:"derivatives"`
	Whole        map[string]Float         `json:"derivatives_whole"`
	WholeSpeed   Float                    `json:"derivatives_whole_at_m_s"`
	Controls     []ControlDerivativesJSON `json:"controls"`
	Stations     []StationJSON            `json:"stations"`
	Notes        []string                 `json:"notes"`
}

// LatticeBody is the JSON of the lifting surfaces.
func LatticeBody(l Lattice) LatticeJSON {
	ac, t := l.Aircraft, &l.Traits
	// 90 % intervals from the model's own doubt, as relative or absolute deviation.
	about := func(v, rel, abs float64, u string) Quantity {
		q := known(v, u, "not found")
		if h := 1.6449 * math.Hypot(v*rel, abs); q.Status == "" {
			q.Low, q.High = Float(v-h), Float(v+h)
		}
		return q
	}
	f := &l.Doubt
	vec := func(v r3.Vec) [3]Float { return [3]Float{Float(v.X), Float(v.Y), Float(v.Z)} }
	out := LatticeJSON{Schema: Schema, Build: ac.Name, Hash: ac.Hash,
		CLAlpha: about(l.Derive.CLAlpha, f.Lift, 0, "1/rad"), CmAlpha: about(l.Derive.CmAlpha, f.Lift, l.Derive.CLAlpha*f.NP/ac.Ref.Chord, "1/rad"), CL0: about(l.Derive.CL0, f.Lift, f.CL0, "1"), Cm0: about(l.Derive.Cm0, 0, f.Cm0, "1"),
		NeutralPoint: about(l.Derive.NeutralPoint, 0, f.NP, "m"), WithBody: Q(l.Neutral), StaticMargin: Q(l.Margin), Efficiency: about(l.Derive.SpanEfficiency, f.Induced, 0, "1"),
		CD0: about(t.CD0, f.Drag, 0, "1"), K: about(t.K, f.Induced, 0, "1"), CLMax: about(t.CLMaxTrimmed, 0, l.Stall.Doubt.CLMax, "1"), Stall: l.Stall.body(),
		Area: Float(ac.Ref.Area), Span: Float(ac.Ref.Span), Chord: Float(ac.Ref.Chord), CG: vec(l.CG), About: vec(ac.Ref.Point), Strips: l.Strips,
		Derivatives: map[string]Float{}, Whole: map[string]Float{}, WholeSpeed: Float(l.Speed), Controls: []ControlDerivativesJSON{}, Stations: []StationJSON{}, Notes: strs(l.Notes)}
	for _, k := range l.named() {
		if !math.IsNaN(k.Lattice) {
			out.Derivatives[k.Key] = Float(k.Lattice)
		}
		out.Whole[k.Key] = Float(k.Fly)
	}
	for _, k := range l.Derive.Control {
		out.Controls = append(out.Controls, ControlDerivativesJSON{k.Name, Float(k.CL), Float(k.Cm), Float(k.CY), Float(k.Cl), Float(k.Cn), Float(k.Hinge)})
	}
	for _, k := range l.Spread {
		out.Stations = append(out.Stations, StationJSON{ac.Surfaces[k.Surface].Name, Float(k.Eta), k.Left, Float(k.Cl), Float(k.Start)})
	}
	return out
}

// LatticeChart is the lift coefficient along each half span and where the
// flow would leave.
func LatticeChart(l Lattice) *chart.Chart {
	c := &chart.Chart{Title: l.Aircraft.Name + ": lift along the span", X: chart.Axis{Label: "along the half span, %"}, Y: chart.Axis{Label: "lift coefficient"},
		Caption: fmt.Sprintf("level at %.0f m/s", l.Speed)}
	for i := range l.Aircraft.Surfaces {
		var x, y, top []float64
		for _, k := range l.Spread {
			if k.Surface == i && !k.Left {
				x, y, top = append(x, 100*k.Eta), append(y, k.Cl), append(top, k.Start)
			}
		}
		if len(x) < 2 {
			continue
		}
		name := l.Aircraft.Surfaces[i].Name
		c.Series = append(c.Series, chart.Series{Name: name, X: x, Y: y, Ink: i})
		if i == l.Aircraft.Ref.Wing {
			c.Series = append(c.Series, chart.Series{Name: name + " parts", X: x, Y: top, Ink: 4})
		}
	}
	return c
}

// Propeller is what the propeller page shows.
type Propeller struct {
	Name string
	prop.Report
	Units unit.System
	Drive *Drive // of a build; nil: a blade by itself
}

// Prop is the page of a propeller.
func Prop(p Propeller) *Doc {
	s := Subject{Units: p.Units}
	d := &Doc{Title: "Propeller of " + p.Name}
	blades := "blades"
	if p.Blades == 1 {
		blades = "blade"
	}
	d.Lead = append(d.Lead, fmt.Sprintf("%d %s, %s across, from its %s: thrust known to %.0f %%, power to %.0f %%, the advance ratio at which it stops pulling to %.1f %% (one standard deviation).",
		p.Blades, blades, s.fmt(p.Diameter, unit.Length), p.Source, 100*p.Doubt.CT, 100*p.Doubt.CP, 100*p.Doubt.J0))
	var t *Table
	last := math.NaN()
	for i, k := range p.Points {
		if float64(k.RPM) != last {
			last = float64(k.RPM)
			t = &Table{Head: []string{"advance", "airspeed", "thrust", "power", "CT", "CP", "efficiency", "ideal", ""}, Wrap: 8, Right: rights(9, 8)}
			d.Sections = append(d.Sections, Section{Title: p.heading(i), Blocks: []Block{{Table: t}}})
		}
		say := k.Status
		if say == "ok" {
			say = ""
		}
		t.Rows = append(t.Rows, []string{col(float64(k.Advance), 2), p.print(float64(k.Airspeed), unit.Speed), p.print(float64(k.Thrust), unit.Force), p.print(float64(k.Power), unit.Power),
			col(float64(k.CT), 4), col(float64(k.CP), 4), share(float64(k.Efficiency)), share(float64(k.Ideal)), say})
	}
	if p.Drive != nil {
		d.Sections = append(d.Sections, p.Drive.section(&p)...)
	}
	more := []string{"Each number's 90 % interval stands in --json and on the plot."}
	if p.Source == "geometry" || p.Source == "family" {
		more = append(more, "What its angles do not tell is where its sections begin to lift: one reading of airspeed and rpm at which it neither pulls nor brakes (--zero-thrust beside --blade, power.propeller.zero_thrust in a build) halves the doubt in flight.")
	}
	stalled, braking := math.Inf(-1), false
	for _, k := range p.Points {
		if strings.Contains(k.Note, "stalled") {
			stalled = math.Max(stalled, float64(k.Advance))
		}
		braking = braking || strings.Contains(k.Note, "braking")
	}
	if !math.IsInf(stalled, -1) {
		more = append(more, fmt.Sprintf("Up to advance %.2f most of the blade is stalled.", stalled))
	}
	if braking {
		more = append(more, "Thrust below zero brakes; power below zero is what the air gives to the shaft.")
	}
	d.Sections = append(d.Sections, Section{Title: "How to read it", Blocks: []Block{{List: append([]string{
		"Advance is airspeed over (turns a second x diameter); CT = thrust / (density n2 D4), CP = power / (density n3 D5).",
		"Ideal is the efficiency of a loss-free disc at that thrust: no propeller of this diameter is better.",
	}, more...)}}}, cautionSection(careful("propeller")))
	return d
}

// heading names the points of one speed of rotation that begin at i.
func (p *Propeller) heading(i int) string {
	rpm := p.Points[i].RPM
	for ; i < len(p.Points) && p.Points[i].RPM == rpm; i++ {
		if k := p.Points[i]; !math.IsNaN(float64(k.TipMach)) {
			return fmt.Sprintf("%.0f rpm, tip at %.2f of the speed of sound, tone %.0f Hz", float64(rpm), float64(k.TipMach), float64(k.Tone))
		}
	}
	return fmt.Sprintf("%.0f rpm", float64(rpm))
}

func (p *Propeller) print(v float64, d unit.Dim) string {
	if math.IsNaN(v) {
		return "-"
	}
	return unit.Format(v, d, p.Units)
}

// PropJSON is the body of `prop`.
type PropJSON struct {
	Schema   int                `json:"schema"`
	Name     string             `json:"name"`
	Source   string             `json:"source"`
	Diameter Float              `json:"diameter_m"`
	Blades   int                `json:"blades"`
	Doubt    prop.Doubt         `json:"doubt"`
	Points   []prop.ReportPoint `json:"points"`
	Drive    *DriveJSON         `json:"drive"`
	Cautions []string           `json:"cautions"`
}

// PropBody is the JSON of a propeller.
func PropBody(p Propeller) PropJSON {
	return PropJSON{Schema, p.Name, p.Source, Float(p.Diameter), p.Blades, p.Doubt, p.Points, p.Drive.body(), careful("propeller")}
}

// PropChart is efficiency against advance, one curve a speed of rotation.
func PropChart(p Propeller) *chart.Chart {
	c := &chart.Chart{Title: "Propeller of " + p.Name, X: chart.Axis{Label: "advance ratio"}, Y: chart.Axis{Label: "efficiency; 10 x thrust coefficient"}}
	n := 0
	for i := 0; i < len(p.Points); {
		rpm := p.Points[i].RPM
		var x, eta, ct, etaLow, etaHigh, ctLow, ctHigh []float64
		for ; i < len(p.Points) && p.Points[i].RPM == rpm; i++ {
			k := p.Points[i]
			x, eta, ct = append(x, float64(k.Advance)), append(eta, float64(k.Efficiency)), append(ct, 10*float64(k.CT))
			etaLow, etaHigh = append(etaLow, float64(k.EtaLow)), append(etaHigh, float64(k.EtaHigh))
			ctLow, ctHigh = append(ctLow, 10*float64(k.CTLow)), append(ctHigh, 10*float64(k.CTHigh))
		}
		if n == 0 { // one speed's doubt is that of the others
			c.Series = append(c.Series, chart.Series{Name: "efficiency, 90 %", Kind: chart.Band, X: x, Y: etaLow, Y2: etaHigh, Ink: n},
				chart.Series{Name: "thrust, 90 %", Kind: chart.Band, X: x, Y: ctLow, Y2: ctHigh, Ink: 2})
		}
		c.Series = append(c.Series, chart.Series{Name: fmt.Sprintf("%.0f rpm", float64(rpm)), X: x, Y: eta, Ink: n})
		thrust := chart.Series{Name: "thrust", Kind: chart.Thin, X: x, Y: ct, Ink: n}
		if n == 0 {
			thrust.Kind, thrust.Ink = chart.Line, 2
		}
		c.Series = append(c.Series, thrust)
		n++
	}
	return c
}
