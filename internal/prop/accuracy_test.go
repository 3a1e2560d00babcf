package prop

import (
	"fmt"
	"math"
	"os"
	"sort"
	"strings"
	"testing"

	"fledge/internal/check"
)

var lab = Gas{Rho: 1.225, Mu: 1.5e-5 * 1.225, A: 340.3}

type tested struct {
	code   string
	blades int
	d      float64
	rpm, j []float64
	ct, cp []float64
}

func loadTested(t testing.TB) map[string]*tested {
	out := map[string]*tested{}
	for _, r := range check.CSV(t, check.RefFile("propulsion-prop-performance.csv")) {
		c := r["prop_code"]
		if out[c] == nil {
			out[c] = &tested{code: c, blades: int(check.Number(t, r, "blades")), d: check.Number(t, r, "diameter_in") * 0.0254}
		}
		p := out[c]
		p.rpm = append(p.rpm, check.Number(t, r, "rpm"))
		p.j = append(p.j, check.Number(t, r, "J"))
		p.ct = append(p.ct, check.Number(t, r, "CT"))
		p.cp = append(p.cp, check.Number(t, r, "CP"))
	}
	return out
}

func loadBlade(t testing.TB, code string, d float64, blades int) *Blade {
	geo := code[:strings.LastIndex(code, "_B")]
	text := "r_over_R,c_over_R,beta_deg\n"
	n := 0
	for _, r := range check.CSV(t, check.RefFile("propulsion-prop-geometry.csv")) {
		if r["blade_code"] == geo {
			text += r["r_over_R"] + "," + r["c_over_R"] + "," + r["beta_deg"] + "\n"
			n++
		}
	}
	if n == 0 {
		return nil
	}
	b, l := ReadBlade(geo, []byte(text), d, blades)
	if b == nil {
		t.Fatal(l.Err())
	}
	return b
}

func TestExplore(t *testing.T) {
	if os.Getenv("EXPLORE") == "" {
		t.Skip()
	}
	ps := loadTested(t)
	var codes []string
	for c := range ps {
		codes = append(codes, c)
	}
	sort.Strings(codes)
	for _, c := range codes {
		p := ps[c]
		b := loadBlade(t, c, p.d, p.blades)
		if b == nil {
			continue
		}
		if os.Getenv("TIE") != "" {
			want := map[string]float64{"da4002_5.0x3.75_B2": .874, "da4002_5.0x1.58_B2": .497, "da4022_5.0x3.75_B2": .827, "da4022_5.0x3.75_B3": .818, "da4022_5.0x3.75_B4": .807, "da4002_9.0x6.75_B2": .891, "da4022_9.0x6.75_B2": .806, "da4022_9.0x6.75_B3": .784, "apcff_4.2x4.0_B2": 1.031, "nr640_9x5.68_B2": .674, "nr640_9x5.68_B4": .669}[c]
			top := 0.0
			for i := range p.rpm {
				if p.j[i] > 0 && p.rpm[i] > top {
					top = p.rpm[i]
				}
			}
			z := 0.0
			for range 8 {
				b.Zero = make([]float64, len(b.X))
				for i := range b.Zero {
					b.Zero[i] = z*deg + GenericZero
				}
				j := zeroThrust(New(b, Options{}), top)
				z -= (want - j) * 18
			}
			fmt.Printf("z %.2f ", z)
		}
		r := New(b, Options{})
		type acc struct{ n, ect, ecp, sct, scp, at, ap float64 }
		var adv, hi, st acc
		for i := range p.rpm {
			om := p.rpm[i] / 60 * 2 * math.Pi
			v := p.j[i] * p.rpm[i] / 60 * p.d
			l := r.At(v, om, lab)
			a := &adv
			if p.j[i] == 0 {
				a = &st
			}
			upd := func(a *acc) {
				a.n++
				a.ect += math.Abs(l.CT - p.ct[i])
				a.ecp += math.Abs(l.CP - p.cp[i])
				a.sct += l.CT - p.ct[i]
				a.scp += l.CP - p.cp[i]
				a.at += math.Abs(p.ct[i])
				a.ap += p.cp[i]
			}
			upd(a)
			if p.j[i] > 0 && l.Re75 >= 40e3 {
				upd(&hi)
			}
		}
		pr := func(a acc) string {
			return fmt.Sprintf("n%3.0f CT %5.1f%% (%+5.1f) CP %5.1f%% (%+5.1f)", a.n, 100*a.ect/a.at, 100*a.sct/a.at, 100*a.ecp/a.ap, 100*a.scp/a.ap)
		}
		// J0
		top := 0.0
		for i := range p.rpm {
			if p.j[i] > 0 && p.rpm[i] > top {
				top = p.rpm[i]
			}
		}
		j0 := zeroThrust(r, top)
		fmt.Printf("%-22s static %s | adv %s | Re>40k %s | J0 %.3f @%v\n", c, pr(st), pr(adv), pr(hi), j0, top)
	}
}

func zeroThrust(r *Rotor, rpm float64) float64 {
	om := rpm / 60 * 2 * math.Pi
	lo, hi := 0.1, 3.0
	for range 50 {
		m := (lo + hi) / 2
		if r.At(m*rpm/60*r.Blade.Diameter, om, lab).CT > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

func BenchmarkPoint(b *testing.B) {
	bl, _ := Family(0.127, 0.1, 2, "sport")
	r := New(bl, Options{})
	for b.Loop() {
		r.At(30, 2500, lab)
	}
}
