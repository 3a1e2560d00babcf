package power

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/power/typical"
	"fledge/internal/prop"
)

// The 90 % intervals that a propeller's page states hold what was measured:
// of eleven tested blades, all points, static ones included, the mean share
// over blades; with chord and angle alone, and with each blade's own
// zero-thrust point (from the last advancing points, by a straight line).
func TestPropellerIntervals(t *testing.T) {
	type point struct{ rpm, j, ct, cp float64 }
	type tested struct {
		blades int
		d      float64
		p      []point
	}
	all := map[string]*tested{}
	var codes []string
	for _, r := range check.CSV(t, filepath.Join("..", "prop", check.RefFile("propulsion-prop-performance.csv"))) {
		c := r["prop_code"]
		if all[c] == nil {
			all[c] = &tested{blades: int(check.Number(t, r, "blades")), d: check.Number(t, r, "diameter_in") * 0.0254}
			codes = append(codes, c)
		}
		all[c].p = append(all[c].p, point{check.Number(t, r, "rpm"), check.Number(t, r, "J"), check.Number(t, r, "CT"), check.Number(t, r, "CP")})
	}
	shapes := map[string]string{}
	for _, r := range check.CSV(t, filepath.Join("..", "prop", check.RefFile("propulsion-prop-geometry.csv"))) {
		shapes[r["blade_code"]] += r["r_over_R"] + "," + r["c_over_R"] + "," + r["beta_deg"] + "\n"
	}
	air := prop.Gas{Rho: 1.225, Mu: 1.5e-5 * 1.225, A: 340.3}
	for _, known := range []typical.Knowledge{typical.Drawn, typical.Tied} {
		s := typical.PropellerDoubt(known)
		doubt := prop.Doubt{CT: s.Thrust.Sigma, CP: s.Torque.Sigma, J0: s.Advance.Sigma, Eta: s.Efficiency.Sigma}
		var ct, cp, eta, n float64
		var wide [2]float64 // thrust and power held at k = 2
		for _, code := range codes {
			p := all[code]
			shape := shapes[code[:strings.LastIndex(code, "_B")]]
			if shape == "" {
				continue
			}
			b, l := prop.ReadBlade(code, []byte("r_over_R,c_over_R,beta_deg\n"+shape), p.d, p.blades)
			if b == nil {
				t.Fatal(l.Err())
			}
			if known == typical.Tied {
				// The fastest run's two points next to no thrust.
				var a, z point
				for _, q := range p.p {
					if q.j == 0 || q.ct > 0.03 {
						continue
					}
					if a.rpm == 0 || math.Abs(q.ct) < math.Abs(a.ct) {
						a = q
					}
				}
				z.ct = math.Inf(1)
				for _, q := range p.p {
					if q.rpm > 0.98*a.rpm && q.rpm < 1.02*a.rpm && q.j < a.j-0.015 && math.Abs(q.ct) < math.Abs(z.ct) {
						z = q
					}
				}
				j0 := a.j + a.ct*(a.j-z.j)/(z.ct-a.ct)
				if b, l = b.Tie(j0, a.rpm*math.Pi/30, air, prop.Options{}); b == nil {
					t.Fatal(code, l.Err())
				}
			}
			r := prop.New(b, prop.Options{})
			var in [3]float64
			var two [2]float64
			for _, q := range p.p {
				x := prop.Table(r, p.d, p.blades, []float64{q.rpm}, []float64{q.j}, air, doubt)[0]
				holds := func(k int, v float64, lo, hi prop.Number) {
					if math.IsNaN(float64(lo)) || v >= float64(lo) && v <= float64(hi) {
						in[k]++
					}
				}
				for k, b := range [2][3]float64{{float64(x.CTLow), float64(x.CTHigh), q.ct}, {float64(x.CPLow), float64(x.CPHigh), q.cp}} {
					if math.Abs(b[2]-(b[0]+b[1])/2) <= (b[1]-b[0])/2*2/1.6449 {
						two[k]++
					}
				}
				holds(0, q.ct, x.CTLow, x.CTHigh)
				holds(1, q.cp, x.CPLow, x.CPHigh)
				holds(2, q.j*q.ct/q.cp, x.EtaLow, x.EtaHigh)
			}
			m := float64(len(p.p))
			ct, cp, eta, n = ct+in[0]/m, cp+in[1]/m, eta+in[2]/m, n+1
			wide[0], wide[1] = wide[0]+two[0]/m, wide[1]+two[1]/m
			t.Logf("%d %-20s %.2f %.2f %.2f; k=2 %.2f %.2f", known, code, in[0]/m, in[1]/m, in[2]/m, two[0]/m, two[1]/m)
		}
		if n < 11 {
			t.Fatalf("%g blades", n)
		}
		name := map[typical.Knowledge]string{typical.Drawn: "chord and angle known", typical.Tied: "zero thrust known besides"}[known]
		row := func(what string, got float64) {
			check.Row{Topic: "measured propellers, intervals", Name: what + " held by their 90 % intervals, " + name, Source: cite.DetersSelig2014.At("eleven blades, all points", cite.Seen)}.
				Near(t, got, 0.90, check.ModelAbs(0.05, "eleven blades, each right or wrong nearly as a whole: half of the standard error of 0.09"))
		}
		row("thrust coefficients", ct/n)
		row("power coefficients", cp/n)
		row("efficiencies", eta/n)
		for k, what := range []string{"thrust coefficients", "power coefficients"} {
			check.Row{Topic: "measured propellers, intervals", Name: what + " within two standard deviations, " + name, Source: cite.DetersSelig2014.At("eleven blades, all points", cite.Seen)}.
				Near(t, wide[k]/n, 0.95, check.ModelAbs(0.05, "eleven blades, each right or wrong nearly as a whole: standard error 0.07"))
		}
	}
}
