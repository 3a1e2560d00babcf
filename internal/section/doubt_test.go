package section

import "testing"

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
