package aero

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/section"
	"fledge/internal/wing"
)

// bucket is a made-up measured polar: flat between lifts of 0.1 and 0.6, steep
// beyond, and a hump that drifts and fades with the Reynolds number.
func bucket(cl, re float64) float64 {
	hi, lo := math.Max(0, cl-0.6), math.Max(0, 0.1-cl)
	hump := 0.004 * math.Exp(-(re-6e4)/1e5) * math.Exp(-sq((cl-0.35)/0.15))
	return 0.010*math.Pow(1e5/re, 0.5) + 0.08*hi*hi + 0.03*lo*lo + hump
}

func bucketTable(t testing.TB) *section.Table {
	t.Helper()
	text := "re,alpha_deg,cl,cd,cm\n"
	for re := 3e4; re < 4e6; re *= math.Sqrt2 {
		for a := -10.0; a <= 16; a += 0.5 {
			cl := math.Max(-0.8, math.Min(5.7*(a+2)*deg, 1.3-0.02*math.Max(a-10, 0)))
			text += fmt.Sprintf("%g,%g,%.6f,%.7f,%.4f\n", re, a, cl, bucket(cl, re), -0.05)
		}
	}
	tb, err := section.FromMeasured("made up", []byte(text), nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	return tb
}

// The groups' polars are the sections', bucket, hump and Reynolds number: the
// whole model's profile drag against the sum over the lattice's strips, each
// at its own lift and Reynolds number. Four groups a side see their mean lift,
// so the oracle is met closely where the loading is even.
func TestBucket(t *testing.T) {
	tb := bucketTable(t)
	ac := trapeze(8, 0.8, 0, 0, "NACA 2410")
	m, err := New(ac, standard(), Options{Sections: &Tables{Of: func(int, int) *section.Table { return tb }}})
	if err != nil {
		t.Fatal(err)
	}
	bare := *m
	bare.groups = append([]group(nil), m.groups...)
	evenDrag(&bare, 0)
	k := Neutral()
	shape, plunge := m.lattice.Circulation(wing.Shape), m.lattice.Circulation(wing.Plunge)
	worst, parabola := 0.0, 0.0
	for _, v := range []float64{0.7, 1, 1.2, 1.41, 1.8, 2.5, 4} {
		for a := -2.0; a <= 6; a += 0.25 {
			f := m.Still(v * m.vRef)
			f.Alpha = a * deg
			var l, l0 Loads
			m.Eval(&f, &k, &l)
			bare.Eval(&f, &k, &l0)
			u, w := f.V*math.Cos(f.Alpha), f.V*math.Sin(f.Alpha)
			got := ((l0.F.X-l.F.X)*u + (l0.F.Z-l.F.Z)*w) / (0.5 * f.Rho * f.V * f.V * f.V)
			want, old := 0.0, 0.0
			for j := range m.lattice.Strips {
				st := &m.lattice.Strips[j]
				cl := 2 * (shape[j]*u + plunge[j]*w) / (st.Chord * f.V)
				re := f.Rho * f.V * st.Chord / f.Mu
				want += 2 * st.Area() * bucket(cl, re)
				tr, _ := FitTraits(tb, re)
				old += 2 * st.Area() * (tr.Cd0 + tr.CdK*sq(cl-tr.ClCd0))
			}
			worst = math.Max(worst, math.Abs(got/want-1))
			parabola = math.Max(parabola, math.Abs(old/want-1))
		}
	}
	check.Row{Topic: "whole model", Name: "profile drag over lift and speed, largest relative error against the sum over strips", Source: ours("made-up polar with bucket and hump")}.
		Near(t, worst, 0, check.ModelAbs(0.04, "groups see the mean lift of their strips, Reynolds nodes an octave apart; a parabola of the same polar is off by more than a tenth"))
	if parabola < 0.1 {
		t.Errorf("a parabola does as well (%g): the polar proves nothing", parabola)
	}
}

// The polar has no kink: value and slope are continuous in lift across the
// bins' edges and beyond both ends, and in the Reynolds number across nodes.
func TestPolarIsSmooth(t *testing.T) {
	tb := bucketTable(t)
	m, err := New(trapeze(8, 0.6, 10, 2, "NACA 2410"), standard(), Options{Sections: &Tables{Of: func(int, int) *section.Table { return tb }}})
	if err != nil {
		t.Fatal(err)
	}
	for gi := range m.groups {
		g := &m.groups[gi]
		most := 0.0
		for n := range nRe - 1 {
			for i := range bins {
				most = math.Max(most, math.Abs(g.polar[n][i].a1))
			}
		}
		for n := range nRe - 1 {
			for i := 1; i < bins; i++ {
				l, r := &g.polar[n][i-1], &g.polar[n][i]
				if d := math.Abs(l.a0 + l.a1 + l.a2 - r.a0); d > 1e-15 {
					t.Fatalf("group %d node %d bin %d: jump %g", gi, n, i, d)
				}
				if d := math.Abs(l.a1 + 2*l.a2 - r.a1); d > 1e-12*most {
					t.Fatalf("group %d node %d bin %d: kink %g", gi, n, i, d)
				}
				if n > 0 {
					p := &g.polar[n-1][i]
					if d := math.Abs(p.a0 + p.b0 - r.a0); d > 1e-15 {
						t.Fatalf("group %d node %d bin %d: jump %g over the Reynolds number", gi, n, i, d)
					}
				}
			}
			if g.polar[n][0].a2 > 1e-12*most || g.polar[n][bins-1].a2 > 1e-12*most {
				t.Errorf("group %d node %d: the ends are bent", gi, n)
			}
		}
		for cl := -4.0; cl < 5; cl += 0.01 {
			if d := g.profile(cl, 2, 0.3); !(d > 0.5*g.d0) {
				t.Errorf("group %d: drag %g at lift %g, least %g", gi, d, cl, g.d0)
			}
		}
		if d := g.profile(math.NaN(), 0, 0); d == d {
			t.Errorf("no lift, drag %g", d)
		}
	}
}

// Strip by strip or group by group, a surface carries the same.
func TestStripsAreTheGroups(t *testing.T) {
	k := Neutral()
	k.Lift, k.Control, k.Damping = 1.04, 0.9, 1.2
	for _, ac := range fleet() {
		m := model(t, ac)
		f := m.Still(18)
		f.Alpha, f.Pitch, f.Brake = 4*deg, 0.1, 0.2
		strips, groups := map[int]float64{}, map[int]float64{}
		n := 0
		fine := m.Strips(&f, &k)
		for _, s := range m.lattice.Strips {
			if s.Central || s.Eta < 0 {
				continue
			}
			strips[s.Surface] += fine[n].Cl * s.Area()
			n++
		}
		if n != len(fine) || n < 20 {
			t.Fatalf("%s: %d strips, %d listed", ac.Name, n, len(fine))
		}
		i := 0
		for _, g := range m.Spread(&f, &k) {
			if !g.Left {
				if m.groups[i].twin {
					groups[g.Surface] += g.Cl * m.groups[i].s
				}
				i++
			}
		}
		for s, want := range groups {
			if got := strips[s]; math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
				t.Errorf("%s, surface %d: %g m² of lift by strips, %g by groups", ac.Name, s, got, want)
			}
		}
	}
}
