package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/chart"
	"fledge/internal/prop"
	"fledge/internal/section"
	"fledge/internal/unit"
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
		p.Blades, blades, s.fmt(p.Diameter, unit.Length), strings.Replace(p.Source, "family", "size and style", 1), 100*p.Doubt.CT, 100*p.Doubt.CP, 100*p.Doubt.J0))
	var t *Table
	var force asked
	v, fine := s.in(1, unit.Speed), 0
	give := func(x, low, high prop.Number, k float64, places int) string {
		return col(k*float64(x), places) + giveSpan([2]float64{float64(low), float64(high)}, k, places)
	}
	last := math.NaN()
	for i, k := range p.Points {
		if float64(k.RPM) != last {
			last = float64(k.RPM)
			force, fine = p.scale(i)
			t = &Table{Head: []string{"advance", v.name, "thrust, " + force.name, "power, W", "CT", "CP", "effic., %", "ideal, %", ""}, Wrap: 8, Least: 14, Right: rights(9, 8)}
			d.Sections = append(d.Sections, Section{Title: p.heading(i), Blocks: []Block{{Table: t}}})
		}
		say := k.Status
		if say == "ok" {
			say = ""
		}
		t.Rows = append(t.Rows, []string{col(float64(k.Advance), 2), col(v.k*float64(k.Airspeed), 1), give(k.Thrust, k.TLow, k.THigh, force.k, fine), give(k.Power, k.PLow, k.PHigh, 1, 0),
			col(float64(k.CT), 4), col(float64(k.CP), 4), give(k.Efficiency, k.EtaLow, k.EtaHigh, 100, 0), give(k.Ideal, k.IdealLow, k.IdealHigh, 100, 0), say})
	}
	if p.Drive != nil {
		d.Sections = append(d.Sections, p.Drive.section(&p)...)
	}
	more := []string{"± is two standard deviations; CT has that of the thrust in the same proportion, CP that of the power. --json and the plot have the 90 % intervals."}
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

// scale is the unit in which the thrusts of the speed of rotation that begins
// at point i are printed, and with how many places: three digits of the largest.
func (p *Propeller) scale(i int) (asked, int) {
	most := 0.0
	for rpm := p.Points[i].RPM; i < len(p.Points) && p.Points[i].RPM == rpm; i++ {
		most = math.Max(most, math.Abs(float64(p.Points[i].Thrust)))
	}
	s := Subject{Units: p.Units}
	f := s.in(most, unit.Force)
	return f, places(most, f.k)
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
