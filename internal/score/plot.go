package score

import (
	"fmt"

	"fledge/internal/chart"
)

// Plot draws the reliability table: forecast across, achieved up, the exact
// interval of each row as a bar, and the line of right forecasts.
func (o Odds) Plot() *chart.Chart {
	c := &chart.Chart{
		Title: "Odds forecast and launches achieved",
		X:     chart.Axis{Label: "forecast", Min: 0, Max: 1}, Y: chart.Axis{Label: "achieved", Min: 0, Max: 1.05},
		Series:  []chart.Series{{Name: "right forecasts", Kind: chart.Line, X: []float64{0, 1}, Y: []float64{0, 1}, Ink: 1}},
		Caption: fmt.Sprintf("%d launches. Bars: exact 90 %% intervals.", o.N),
	}
	if o.N < Few {
		c.Caption += " Too few to judge by."
	}
	var x, y []float64
	for _, b := range o.Bins {
		c.Series = append(c.Series, chart.Series{Kind: chart.Line, X: []float64{b.Mean, b.Mean}, Y: []float64{b.Low, b.High}})
		x, y = append(x, b.Mean), append(y, b.Rate)
		c.Notes = append(c.Notes, chart.Note{X: b.Mean, Y: b.Rate, Text: fmt.Sprintf("%d of %d", b.Hits, b.N)})
	}
	if len(x) > 0 {
		c.Series = append(c.Series, chart.Series{Kind: chart.Dots, X: x, Y: y})
	}
	return c
}
