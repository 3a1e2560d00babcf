package strength

import (
	"strings"
	"testing"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// A horn of the size found passes the checks it was sized for with its whole
// interval; half a millimetre less in depth does not.
func TestSizeHorn(t *testing.T) {
	ac := tern()
	l := Loads{TopSpeed: 55, TopSigma: 3, StallSpeed: 10}
	sized := 0
	for _, m := range HornMaterials {
		s := SizeHorn(ac, "aileron", l, m)
		if s.Why != "" {
			t.Logf("%s: %s", m, s.Why)
			continue
		}
		sized++
		judge := func(root float64) (horn, hole control.Judgement) {
			c := *ac
			c.Linkages = append([]craft.Linkage(nil), ac.Linkages...)
			k := &c.Linkages[0]
			k.HornMaterial, k.HornRoot, k.HornWidth, k.Print = m, root, s.Width, "along"
			for _, r := range Assess(&c, l) {
				switch r.ID {
				case "horn.aileron":
					horn = r.Status
					if s.Root == root && (r.Value/s.Factor < 0.999 || r.Value/s.Factor > 1.001) {
						t.Errorf("%s: factor %.4f, the check says %.4f", m, s.Factor, r.Value)
					}
				case "horn_hole.aileron":
					hole = r.Status
				}
			}
			return
		}
		if horn, hole := judge(s.Root); horn != control.Pass || hole != control.Pass {
			t.Errorf("%s: %.1f x %.1f mm: root %s, hole %s", m, s.Root*1e3, s.Width*1e3, horn, hole)
		}
		least := 2 * HornTip(s.Rod)
		if horn, _ := judge(s.Root - 0.5e-3); horn == control.Pass && s.Root-0.5e-3 >= least && s.Root > 6e-3 {
			t.Errorf("%s: %.1f mm would do", m, s.Root*1e3-0.5)
		}
		if s.Proof < s.Load || s.Root > 5*s.Width+1e-9 {
			t.Errorf("%s: %+v", m, s)
		}
	}
	if sized < 4 {
		t.Errorf("only %d materials carry it", sized)
	}
}

func TestSizeHornRefuses(t *testing.T) {
	ac := tern()
	l := Loads{TopSpeed: 55, TopSigma: 3, StallSpeed: 10}
	for _, c := range []struct{ control, material, want string }{
		{"aileron", "EPP", "no horn of EPP"}, {"ruddervator", "PETG", "no linkage"}, {"flap", "PETG", "no linkage"}, {"aileron", "cheese", "not one of the materials"},
	} {
		if s := SizeHorn(ac, c.control, l, c.material); !strings.Contains(s.Why, c.want) {
			t.Errorf("%s of %s: %q", c.control, c.material, s.Why)
		}
	}
	strong := *ac
	strong.Linkages = append([]craft.Linkage(nil), ac.Linkages...)
	strong.Linkages[0].Torque = 60
	for _, m := range HornMaterials {
		if s := SizeHorn(&strong, "aileron", l, m); s.Why == "" {
			t.Errorf("%s carries 60 N m", m)
		}
	}
	if s := SizeHorn(ac, "aileron", Loads{}, "PETG"); s.Why != "" && s.Load != 0 {
		t.Errorf("%+v", s)
	}
}
