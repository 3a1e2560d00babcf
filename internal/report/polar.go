package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/chart"
	"fledge/internal/section"
)

// Polars is what the section page shows.
type Polars struct {
	Shape      *section.Shape
	Turbulence float64
	Polars     []section.Polar
	Notes      []string // what the reader of a coordinate file had to say
}

// setting says what was asked of the section beyond its shape.
func (p Polars) setting() string {
	out := fmt.Sprintf("turbulence of the stream %.2g %%", 100*p.Turbulence)
	if f := p.Shape.FlapSet(); f.Hinge != 0 {
		way := "down"
		if f.Angle < 0 {
			way = "up"
		}
		out += fmt.Sprintf("; flap from %.0f %% of the chord, %.3g deg %s", 100*f.Hinge, math.Abs(deg(f.Angle)), way)
	}
	if len(p.Polars) > 0 {
		if c := p.Polars[0].Cond; c.TripUpper > 0 || c.TripLower > 0 {
			out += "; the layer tripped at " + tripped(c.TripUpper) + " above, " + tripped(c.TripLower) + " below"
		}
	}
	return out
}

func tripped(x float64) string {
	if x == 0 {
		return "no place"
	}
	return fmt.Sprintf("%.3g %%", 100*x)
}

// Polar is the page of section polars.
func Polar(p Polars) *Doc {
	t, at := p.Shape.Thickness()
	m, mat := p.Shape.Camber()
	flapped := p.Shape.FlapSet().Hinge != 0
	d := &Doc{Title: "Section " + p.Shape.Name()}
	if flapped {
		t, at = p.Shape.WithoutFlap().Thickness()
		m, mat = p.Shape.WithoutFlap().Camber()
	}
	d.Lead = append(d.Lead, fmt.Sprintf("Thickness %.1f %% at %.0f %% of the chord, camber %.1f %% at %.0f %%; %s.", 100*t, 100*at, 100*m, 100*mat, p.setting()))
	stalled := false
	for _, q := range p.Polars {
		s := Section{Title: fmt.Sprintf("Reynolds number %.0f", q.Cond.Re)}
		doubt, top, topAt := section.DoubtOf(p.Shape, q)
		switch {
		case math.IsNaN(q.ClMax):
			s.Blocks = append(s.Blocks, para("Highest lift not reached: %s.", q.MaxStatus))
		case q.MaxStatus != section.OK:
			s.Blocks = append(s.Blocks, para("Highest lift at least %.2f, at %.1f deg: beside it, %s.", q.ClMax, deg(q.AlphaMax), q.MaxStatus))
		default:
			s.Blocks = append(s.Blocks, para("Highest lift coefficient %.2f ± %.2f, at %.0f ± %.0f deg.", q.ClMax, 2*top, deg(q.AlphaMax), math.Ceil(2*deg(topAt))))
		}
		tab := &Table{Head: []string{"angle, deg", "lift", "±", "drag", "±", "moment", "turbulent from", "parts at", ""}, Wrap: 8, Right: rights(9, 8)}
		if flapped {
			tab.Head[7] = "hinge"
		}
		for i, k := range q.Points {
			if k.Status != section.OK {
				say := string(k.Status)
				if k.Status == section.Stalled {
					stalled, say = true, "stalled"
				}
				tab.Rows = append(tab.Rows, []string{col(deg(k.Alpha), 1), "-", "-", "-", "-", "-", "-", "-", say})
				continue
			}
			last := "-"
			if x := k.Upper.Separation; x < 1 {
				last = col(100*x, 0)
			}
			if flapped {
				last = col(k.Ch, 3)
			}
			tab.Rows = append(tab.Rows, []string{col(deg(k.Alpha), 1), col(k.Cl, 3), col(2*doubt[i].Cl, 2), col(k.Cd, 4), col(2*doubt[i].Cd, 4), col(k.Cm, 3),
				col(100*k.Upper.Transition, 0) + ", " + col(100*k.Lower.Transition, 0), last, ""})
		}
		s.Blocks = append(s.Blocks, Block{Table: tab})
		d.Sections = append(d.Sections, s)
	}
	read := []string{
		"Moment is about the quarter chord, nose up positive. \"Turbulent from\" is where the boundary layer turns turbulent, upper and lower side, \"parts at\" where the upper flow leaves for good, in per cent of the chord.",
		"± is two standard deviations of the method, from its distance to wind tunnels: " + section.Accuracy() + ".",
		"A point that did not converge is left empty, never filled in; near and past the stall the method is at its limit.",
	}
	if flapped {
		read[0] = strings.Replace(read[0], ", \"parts at\" where the upper flow leaves for good,", ",", 1)
		read = append(read, "Hinge moment over dynamic pressure and the square of the flap's chord, trailing edge down positive, of a sealed flap: one with a gap has 20 to 30 % less.")
	}
	if stalled {
		read = append(read, "Stalled: the flow was giving way at the last angle, and no steady one was found past it.")
	}
	d.Sections = append(d.Sections, Section{Title: "How to read it", Blocks: []Block{{List: append(read, p.Notes...)}}})
	return d
}

// pastShown is how far past the extremes of lift the plot goes, radians:
// farther on the drag of the stall dwarfs all that a wing flies at.
const pastShown = 1.5 * math.Pi / 180

// PolarChart is drag over lift to just past the stall, one curve a Reynolds
// number, with a band of two standard deviations of drag at each.
func PolarChart(p Polars) *chart.Chart {
	c := &chart.Chart{Title: "Section " + p.Shape.Name(), X: chart.Axis{Label: "lift coefficient"}, Y: chart.Axis{Label: "drag coefficient"}}
	var bands, lines []chart.Series
	for i, q := range p.Polars {
		doubt, _, _ := section.DoubtOf(p.Shape, q)
		var x, y, lo, hi []float64
		for k, pt := range q.Points {
			// Past the extremes of lift the curve turns back: the band would
			// cover itself.
			past := pt.Status != section.OK || pt.Alpha > q.AlphaMax || pt.Alpha < q.AlphaMin
			if pt.Status != section.OK || pt.Alpha > q.AlphaMax+pastShown || pt.Alpha < q.AlphaMin-pastShown {
				x, y, lo, hi = append(x, math.NaN()), append(y, math.NaN()), append(lo, math.NaN()), append(hi, math.NaN())
				continue
			}
			x, y = append(x, pt.Cl), append(y, pt.Cd)
			if past {
				lo, hi = append(lo, math.NaN()), append(hi, math.NaN())
			} else {
				lo, hi = append(lo, pt.Cd-2*doubt[k].Cd), append(hi, pt.Cd+2*doubt[k].Cd)
			}
		}
		name := fmt.Sprintf("Re %.0f", q.Cond.Re)
		bands = append(bands, chart.Series{Name: name + ", ±", Kind: chart.Band, X: x, Y: lo, Y2: hi, Ink: i})
		lines = append(lines, chart.Series{Name: name, X: x, Y: y, Ink: i})
	}
	c.Series = append(bands, lines...)
	return c
}
