package prints

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/section"
)

// The gauge's own edge, its clearance taken off, is the section as published:
// ordinates of the NACA 0012 in per cent of the chord.
func TestGaugeOrdinates(t *testing.T) {
	sh, err := section.Parse("NACA 0012")
	if err != nil {
		t.Fatal(err)
	}
	const chord = 0.2
	r, _, err := Gauge{Shape: sh, Chord: chord, Hinge: 0.75, Thick: 0.005}.Outline()
	if err != nil {
		t.Fatal(err)
	}
	// Height of the inner edge above the chord at x: the outline's ring begins at
	// the trailing edge and runs forward along the top.
	height := func(x float64) float64 {
		for i := 1; i < len(r.Outer); i++ {
			a, b := r.Outer[i-1], r.Outer[i]
			if a.X >= x && b.X < x {
				return a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
			}
		}
		return math.NaN()
	}
	source := cite.NACATR460.At("thickness law of the four-digit sections, ordinates of 0012", cite.Memory)
	for _, o := range []struct{ x, y float64 }{{0.1, 0.04683}, {0.2, 0.05738}, {0.3, 0.06002}, {0.4, 0.05803}, {0.5, 0.05294}, {0.6, 0.04563}} {
		// The clearance is square to the skin; its slope there is small: cos 7 deg at most.
		got := (height(o.x*chord) - gaugeClear) / chord
		check.Row{Topic: "gauges", Name: "upper edge over the chord, NACA 0012", Source: source}.Near(t, got, o.y, check.ModelAbs(2e-4, "8 um of thinning, the clearance square to a slope of up to 7 degrees, 0.2 m of chord"))
	}
}
