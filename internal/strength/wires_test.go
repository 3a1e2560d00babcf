package strength

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestWireTable(t *testing.T) {
	ref := cite.ASTMB258.At("geometric law, copper at 20 °C", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("strength-awg.csv")) {
		awg, err := strconv.Atoi(r["awg"])
		if err != nil {
			t.Fatal(err)
		}
		n := func(c string) float64 { return check.Number(t, r, c) }
		for _, x := range []struct {
			col string
			got float64
		}{{"diameter_mm", WireDiameter(awg) * 1e3}, {"area_mm2", WireArea(awg) * 1e6}, {"resistance_20C_mohm_per_m", WireResistance(awg, 293.15) * 1e3}} {
			check.Row{Topic: "wires", Name: fmt.Sprintf("gauge %d, %s", awg, x.col), Source: ref}.Near(t, x.got, n(x.col), six(0))
		}
	}
	for _, a := range Ampacities {
		got := WireResistance(a.AWG, 293.15) * 304.8
		// Tolerance +28/-3 % on the table over the law: its middle.
		check.Row{Topic: "wires", Name: fmt.Sprintf("gauge %d, table over solid copper", a.AWG), Source: cite.AC4313.At("table 11-9", cite.Seen)}.
			Near(t, a.Ohm1000ft/got, 1.125, check.ModelAbs(0.155, "stranded tinned maximum: up to 28 % more, 3 % less"))
	}
	if FreeAir(14) != 31.2 || !math.IsNaN(FreeAir(13)) || Bundle(5) != 0.76 || !math.IsNaN(Bundle(6)) {
		t.Error("free-air table")
	}
}

func TestDropAndFusing(t *testing.T) {
	row := func(ref cite.Ref, name, unit string, got, want float64, tol check.Tol) {
		t.Helper()
		check.Row{Topic: "wires", Name: name, Unit: unit, Source: ref}.Near(t, got, want, tol)
	}
	r, v, w := Drop(14, 0.25, 60, 293.15)
	row(own, "lead resistance", "mΩ", r*1e3, 4.143, check.Printed(1e-3))
	row(own, "lead drop", "V", v, 0.2486, check.Printed(1e-4))
	row(own, "lead heat", "W", w, 14.9, check.Printed(0.1))
	row(own, "adiabatic rise, 60 A in 14", "K/s", AdiabaticRise(14, 60), 4.15, check.Printed(0.01))
	pre := cite.Preece1884.At("printed fuse table", cite.Seen)
	for _, x := range [][2]float64{{0.0156, 20}, {0.0248, 40}, {0.0457, 100}} {
		row(pre, fmt.Sprintf("fusing current of %g in", x[0]), "A", Preece(x[0]*0.0254, PreeceCopper), x[1], check.Model(0.01, "diameters printed to three digits"))
	}
	cmil := math.Pi / 4 * 0.0254e-3 * 0.0254e-3
	row(cite.Onderdonk.At("2581 cmil, 25 °C, 5 s", cite.Derived), "short-time fusing current", "A", Onderdonk(2581*cmil, 5, 298.15), 168.9, check.Printed(0.1))
}

func TestRegulators(t *testing.T) {
	row := func(name, unit string, got, want float64, tol check.Tol) {
		t.Helper()
		check.Row{Topic: "supply", Name: name, Unit: unit, Source: own}.Near(t, got, want, tol)
	}
	heat, eff := Linear(16.8, 5, 1.5)
	row("linear regulator, heat", "W", heat, 17.7, check.Exact(100))
	row("linear regulator, efficiency", "%", eff*100, 29.8, check.Printed(0.1))
	in, h := Switching(16.8, 5, 1.5, 0.88)
	row("switching regulator, input", "A", in, 0.507, check.Printed(1e-3))
	row("switching regulator, heat", "W", h, 1.02, check.Printed(0.01))
	mean, peak := Budget([]Consumer{{"servos", 4, 0.25, 1.2}, {"receiver", 1, 0.1, 0.1}, {"camera and transmitter", 1, 0.8, 0.8}})
	row("budget, mean", "A", mean, 1.9, check.Exact(100))
	row("budget, peak", "A", peak, 5.7, check.Exact(100))
	l := PairInductance(0.814e-3, 3.5e-3)
	row("pair inductance", "µH/m", l*1e6, 0.683, check.Printed(1e-3))
	s := LeadSurge(40, l*0.30, 470e-6)
	row("surge of a 40 A step", "V", s, 0.835, check.Printed(1e-3))
	row("twice the lead", "", LeadSurge(40, l*0.60, 470e-6)/s, 1.414, check.Printed(1e-3))
	row("inrush energy", "J", 0.5*470e-6*25.2*25.2, 0.149, check.Printed(1e-3))
	// More current than its square when convection were linear; hotter than an
	// aircraft would allow by no more than the rating's own margin.
	if a, b := WireRise(14, 20, 293), WireRise(14, 30, 293); !(a > 5 && b > a*1.8 && b < a*2.6) || !math.IsInf(WireRise(20, 100, 293), 1) || WireRise(14, 0, 293) != 0 {
		t.Errorf("rises %g %g", a, b)
	}
	for _, g := range []int{18, 14, 12, 10, 8} {
		if r := WireRise(g, FreeAir(g), 330); r < 25 || r > 75 {
			t.Errorf("gauge %d at its free-air current rises %g K: ratings of 105 °C wire leave about 50", g, r)
		}
	}
}
