package section

import (
	"math"
	"testing"
)

func TestDoubtLaws(t *testing.T) {
	s := must(t, "2412")
	hi, lo := Doubt(s, 4e5), Doubt(s, 6e4)
	if !(lo.CdRel > 2*hi.CdRel && lo.Cl > hi.Cl && hi.CdRel <= 0.06) {
		t.Errorf("%+v %+v", hi, lo)
	}
	if thin := Doubt(must(t, "0007"), 4e5); thin.ClMax <= hi.ClMax {
		t.Error("thin nose without wider doubt")
	}
	if g := Doubt(Unknown(0.1, 0.3), 4e5); g.ClMax < 0.2 || g.CdRel < 0.25 {
		t.Errorf("unknown section: %+v", g)
	}
	if f := Doubt(s.WithFlap(0.75, 0.2), 4e5); f.Cl <= hi.Cl {
		t.Error("flap without wider doubt")
	}
}

// Doubt of points: that of the section where the flow is attached, wider
// towards the stall and past it, none where there is no number.
func TestDoubtOf(t *testing.T) {
	sh := must(t, "2412")
	p := Polar{Cond: Condition{Re: 2e5}, ClMax: 1.2, AlphaMax: 0.2, ClMin: -0.8, AlphaMin: -0.15, Points: []Point{
		{Alpha: -0.2, Cl: -0.7, Cd: 0.05, Status: OK},
		{Alpha: 0, Cl: 0.3, Cd: 0.01, Cm: -0.05, Ch: -0.1, Status: OK},
		{Alpha: 0.19, Cl: 1.19, Cd: 0.03, Status: OK},
		{Alpha: 0.25, Cl: 1.1, Cd: 0.08, Status: OK},
		{Alpha: 0.3, Status: NotConverged},
	}}
	k, top, at := DoubtOf(sh, p)
	d := Doubt(sh, 2e5)
	if k[1] != (PointDoubt{d.Cl, 0.01 * d.CdRel, d.Cm, 0.1 * d.ChRel}) {
		t.Errorf("attached: %+v", k[1])
	}
	if !(k[2].Cl > k[1].Cl && k[2].Cd/0.03 > d.CdRel && k[3].Cl > k[2].Cl && k[0].Cl == k[3].Cl) {
		t.Errorf("towards the stall: %+v", k)
	}
	if !math.IsNaN(k[4].Cl) || top != d.ClMax || !(at > 0) {
		t.Errorf("%+v %g %g", k[4], top, at)
	}
}
