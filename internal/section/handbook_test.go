package section

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestPlateFriction(t *testing.T) {
	src := cite.SchlichtingLayer.At("plate drag laws", cite.Memory)
	row := func(name string) check.Row { return check.Row{Topic: "plate friction", Name: name, Source: src} }
	for _, r := range []struct{ re, lam, tur float64 }{
		{1e5, 0.00420, 0.00716}, {2e5, 0.00297, 0.00615}, {5e5, 0.00188, 0.00511}, {1e6, 0.00133, 0.00447}, {5e6, 0.00059, 0.00336},
	} {
		row(fmt.Sprintf("laminar, Re %g", r.re)).Near(t, plateLaminar(r.re), r.lam, check.Printed(0.00001))
		row(fmt.Sprintf("turbulent, Re %g", r.re)).Near(t, plateTurbulent(r.re), r.tur, check.Tol{Abs: 0.8e-5, Why: "last printed digit"})
	}
	for _, r := range []struct{ xt, want float64 }{{0.1, 0.004889}, {0.3, 0.004200}, {0.5, 0.003525}} {
		row(fmt.Sprintf("mixed, Re 487062, transition at %g", r.xt)).Near(t, PlateFriction(487062, r.xt), r.want, check.Model(0.01, "stated tolerance of the case"))
	}
	form := check.Row{Topic: "plate friction", Source: cite.HoernerDrag.At("form factor", cite.Memory)}
	for _, r := range []struct{ t, h, to float64 }{{0.08, 1.16246, 1.22010}, {0.10, 1.20600, 1.28000}, {0.12, 1.25244, 1.34474}} {
		form.Name = fmt.Sprintf("form factor Hoerner, t/c %g", r.t)
		form.Near(t, FormFactor(r.t), r.h, check.Printed(0.00001))
		form.Name, form.Source = fmt.Sprintf("form factor Torenbeek, t/c %g", r.t), cite.TorenbeekSynthesis.At("form factor", cite.Memory)
		form.Near(t, FormFactorTorenbeek(r.t), r.to, check.Printed(0.00001))
	}
}

// The trends against the measurements they should follow, at their own doubt.
func TestHandbookTrends(t *testing.T) {
	for _, r := range []struct {
		name             string
		sh               *Shape
		re, clmax, cdmin float64
		src              cite.Source
	}{
		{"SD7003", refShape(t, "aerodynamics-sd7003-coordinates.csv"), 61e3, 1.029, 0.0127, cite.LSATVol1},
		{"SD7003", refShape(t, "aerodynamics-sd7003-coordinates.csv"), 202e3, 1.110, 0.0076, cite.LSATVol1},
		{"SD7003", refShape(t, "aerodynamics-sd7003-coordinates.csv"), 303e3, 1.131, 0.0071, cite.LSATVol1},
		{"Clark Y", refShape(t, "aerodynamics-clarky-coordinates.csv"), 200e3, 1.325, 0.0107, cite.LSATVol3},
		{"Clark Y", refShape(t, "aerodynamics-clarky-coordinates.csv"), 400e3, 1.350, 0.0075, cite.LSATVol3},
		{"0009", must(t, "0009"), 9e6, 1.32, 0, cite.NACATR824},
		{"0012", must(t, "0012"), 9e6, 1.59, 0, cite.NACATR824},
		{"2412", must(t, "2412"), 9e6, 1.68, 0, cite.NACATR824},
		{"4412", must(t, "4412"), 9e6, 1.67, 0, cite.NACATR824},
		{"23012", must(t, "23012"), 9e6, 1.79, 0, cite.NACATR824},
	} {
		tr := Handbook(r.sh, r.re)
		row := check.Row{Topic: "section trends (handbook fallback)", Source: r.src.At("polar", cite.Seen)}
		if r.src.Key == cite.NACATR824.Key {
			row.Source.Mark = cite.Memory
		}
		row.Name = fmt.Sprintf("%s Re %g maximum lift", r.name, r.re)
		row.Near(t, tr.ClMax, r.clmax, check.ModelAbs(2*tr.Doubt.ClMax, "two standard deviations of the trend"))
		if r.cdmin > 0 {
			row.Name = fmt.Sprintf("%s Re %g least drag", r.name, r.re)
			row.Near(t, tr.Cd0, r.cdmin, check.ModelAbs(2*tr.Doubt.Cd0, "two standard deviations of the trend"))
		}
	}
}

func TestHandbookLaws(t *testing.T) {
	s := must(t, "2412")
	last := Handbook(s, 3e4)
	for re := 4e4; re < 9e6; re *= 1.3 {
		tr := Handbook(s, re)
		if tr.ClMax < last.ClMax || tr.Cd0 > last.Cd0 || tr.Status != "ok" {
			t.Errorf("Re %g: %+v after %+v", re, tr, last)
		}
		last = tr
	}
	if Handbook(s, 100).Status == "ok" || Handbook(s, 1e9).Status == "ok" {
		t.Error("outside the range and not said")
	}
	up, down := Handbook(s.WithFlap(0.75, 8*deg), 2e5), Handbook(s.WithFlap(0.75, -8*deg), 2e5)
	flat := Handbook(s, 2e5)
	if !(up.AlphaL0 < flat.AlphaL0 && flat.AlphaL0 < down.AlphaL0 && up.ClMax > flat.ClMax && up.Cm0 < flat.Cm0 && up.Cd0 > flat.Cd0) {
		t.Errorf("flap: %+v %+v", up, down)
	}
	sym := Handbook(must(t, "0010"), 2e5)
	if math.Abs(sym.AlphaL0) > 1e-12 || math.Abs(sym.Cm0) > 1e-12 {
		t.Errorf("symmetric: %+v", sym)
	}
	if g := Handbook(Unknown(0.1, 0.3), 2e5); g.Doubt.ClMax <= sym.Doubt.ClMax {
		t.Error("unknown section without wider doubt")
	}
}
