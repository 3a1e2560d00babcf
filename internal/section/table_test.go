package section

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"fledge/internal/check"
	"fledge/internal/cite"
)

type mapMemo map[string][]byte

func (m mapMemo) Get(k string) ([]byte, bool) { v, ok := m[k]; return v, ok }
func (m mapMemo) Put(k string, v []byte)      { m[k] = v }

func smallSpec() Spec {
	return Spec{Re: []float64{1e5, 3e5}, Flaps: []float64{-5 * deg, 0, 5 * deg}, Hinge: 0.75, AlphaFrom: -8 * deg, AlphaTo: 14 * deg, AlphaStep: 2 * deg, Cond: Condition{Panels: 80}, Workers: 2}
}

func TestTable(t *testing.T) {
	sh := must(t, "NACA 2409")
	memo := mapMemo{}
	calls := 0
	spec := smallSpec()
	spec.Progress = func(done, total int) {
		calls++
		if total != 6 || done != calls {
			t.Errorf("progress %d of %d", done, total)
		}
	}
	a, err := Build(context.Background(), sh, spec, memo)
	if err != nil {
		t.Fatal(err)
	}
	if len(memo) != 1 || calls != 6 {
		t.Errorf("memo %d entries, %d calls", len(memo), calls)
	}
	b, err := Build(context.Background(), sh, spec, memo)
	if err != nil {
		t.Fatal(err)
	}
	spec.Workers = 1
	spec.Progress = nil
	c, err := Build(context.Background(), sh, spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	// The same bits from the memo and on one worker.
	if string(a.encode()) != string(b.encode()) || string(a.encode()) != string(c.encode()) {
		t.Error("tables differ between workers or through the memo")
	}
	cl, cd, cm, _, st := a.At(2*deg, 2e5, 0)
	if st != OK || cl < 0.3 || cl > 0.6 || cd < 0.005 || cd > 0.02 || cm > -0.02 {
		t.Errorf("2 degrees: %g %g %g %s", cl, cd, cm, st)
	}
	up, _, _, chUp, _ := a.At(2*deg, 2e5, 5*deg)
	down, _, _, chDown, _ := a.At(2*deg, 2e5, -5*deg)
	if !(up > cl+0.15 && down < cl-0.15 && chUp < chDown) {
		t.Errorf("flap: %g %g %g, hinge %g %g", down, cl, up, chDown, chUp)
	}
	if _, _, _, _, st := a.At(0, 5e4, 0); st != Outside {
		t.Error("Reynolds number below the table not said")
	}
	if _, _, _, _, st := a.At(0, 2e5, 10*deg); st != Outside {
		t.Error("flap outside the table not said")
	}
	if _, _, _, _, st := a.At(60*deg, 2e5, 0); st != PastStall {
		t.Errorf("60 degrees: %s", st)
	}
	if v, _, _, _, st := a.At(math.NaN(), 2e5, 0); st != BadInput || !math.IsNaN(v) {
		t.Error("NaN angle")
	}
	if m := a.ClMax(2e5, 0); m.Cl < 0.9 || m.Cl > 1.4 {
		t.Errorf("maximum lift %+v", m)
	}
	spec.Cond.Turbulence = 0.003
	if spec.Key(sh) == a.Key() || spec.Key(must(t, "2408")) == spec.Key(sh) {
		t.Error("key misses an input")
	}
	for cut := 0; cut < 400; cut += 7 {
		raw := memo[a.Key()]
		if decode(raw[:len(raw)-1-cut]) != nil || decode(raw[:cut]) != nil {
			t.Fatal("a torn entry was taken")
		}
	}
}

// No jumps and no kinks beyond those of linear interpolation, all the way
// round.
func TestTableSmooth(t *testing.T) {
	spec := smallSpec()
	tb, err := Build(context.Background(), must(t, "2409"), spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	const step = 1e-4
	n := math.NaN()
	last := [4]float64{n, n, n, n}
	for a := -math.Pi - 0.1; a < math.Pi+0.1; a += step {
		cl, cd, cm, ch, _ := tb.At(a, 2.2e5, 1*deg)
		v := [4]float64{cl, cd, cm, ch}
		for k := range v {
			if math.Abs(v[k]-last[k]) > 15*step {
				t.Fatalf("quantity %d jumps at %g degrees: %g to %g", k, a/deg, last[k], v[k])
			}
		}
		if cd <= 0 {
			t.Fatalf("drag %g at %g degrees", cd, a/deg)
		}
		last = v
	}
	prev := math.NaN()
	for re := 5e4; re < 6e5; re *= 1.001 {
		cl, _, _, _, _ := tb.At(5*deg, re, 0)
		if math.Abs(cl-prev) > 0.002 {
			t.Fatalf("jump at Re %g", re)
		}
		prev = cl
	}
}

func TestTableCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Build(ctx, must(t, "2409"), smallSpec(), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
	bad := smallSpec()
	bad.Hinge = 0
	if _, err := Build(context.Background(), must(t, "2409"), bad, nil); err == nil {
		t.Error("flaps without a hinge accepted")
	}
	bad = smallSpec()
	bad.Re = []float64{2e5, 1e5}
	if _, err := Build(context.Background(), must(t, "2409"), bad, nil); err == nil {
		t.Error("falling Reynolds numbers accepted")
	}
}

func TestPostStall(t *testing.T) {
	row := check.Row{Topic: "post stall", Source: cite.SAND802114.At("0015, all Reynolds numbers above 27 degrees", cite.Seen)}
	plate := PlateFor(must(t, "0015"), 0)
	seen := map[string]bool{}
	for _, r := range check.CSV(t, check.RefFile("aerodynamics-naca0015-fullrange.csv")) {
		a := check.Number(t, r, "alpha_deg")
		if a < 30 || a > 175 || seen[r["alpha_deg"]] {
			continue
		}
		seen[r["alpha_deg"]] = true
		sn, cs := math.Sincos(a * deg)
		want := check.Number(t, r, "cl")*cs + check.Number(t, r, "cd")*sn
		cl, cd, _, _ := plate.At(a * deg)
		row.Name = fmt.Sprintf("0015 normal force at %g deg", a)
		row.Near(t, cl*cs+cd*sn, want, check.Model(0.15, "stated tolerance of the case: flat-plate law, and its lobe with the trailing edge foremost"))
	}
	flat := check.Row{Topic: "post stall", Source: cite.SectionPlateLift.At("normal force of a plate", cite.Derived)}
	for _, r := range []struct{ ar, a, cn float64 }{
		{1, 90, 1.168}, {5, 20, 0.685}, {5, 30, 0.877}, {5, 45, 1.052}, {5, 90, 1.195}, {10, 90, 1.317}, {20, 90, 1.515}, {0, 30, 1.269}, {0, 45, 1.607}, {0, 90, 1.98},
	} {
		flat.Name = fmt.Sprintf("plate CN, aspect ratio %g, %g deg", r.ar, r.a)
		flat.Near(t, Plate{Normal90: 1.98, AspectRatio: r.ar}.Normal(r.a*deg), r.cn, check.Tol{Abs: 0.0006, Why: "last printed digit"})
	}
	v := MatchViterna(5, 12*deg, 0.9, 0.04)
	vi := check.Row{Topic: "post stall", Source: cite.SectionPostStall.At("worked case AR 5", cite.Derived)}
	vi.Name = "Viterna A2"
	vi.Near(t, v.A2, 0.14254, check.Printed(0.00001))
	vi.Name = "Viterna B2"
	vi.Near(t, v.B2, -0.01214, check.Printed(0.00001))
	for _, r := range []struct{ a, cl, cd float64 }{{15, .8139, .0687}, {20, .7537, .1290}, {30, .7334, .2895}, {45, .7008, .5914}, {60, .5608, .8939}, {90, 0, 1.2}} {
		cl, cd := v.At(r.a * deg)
		vi.Name = fmt.Sprintf("Viterna cl at %g", r.a)
		vi.Near(t, cl, r.cl, check.Printed(0.0001))
		vi.Name = fmt.Sprintf("Viterna cd at %g", r.a)
		vi.Near(t, cd, r.cd, check.Printed(0.0001))
	}
}

func TestPostStallTable(t *testing.T) {
	row := check.Row{Topic: "post stall", Source: cite.SAND802114.At("0015, Re 3.6e5", cite.Seen)}
	tb, err := Build(context.Background(), must(t, "0015"), Spec{Re: []float64{3.6e5}, AlphaFrom: -4 * deg, AlphaTo: 20 * deg, AlphaStep: deg, Cond: Condition{Panels: 120}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range check.CSV(t, check.RefFile("aerodynamics-naca0015-fullrange.csv")) {
		a, re := check.Number(t, r, "alpha_deg"), check.Number(t, r, "Re")
		if re != 360000 || a < 22 || a > 30 {
			continue
		}
		cl, _, _, _, _ := tb.At(a*deg, re, 0)
		row.Name = fmt.Sprintf("0015 table cl at %g deg", a)
		row.Near(t, cl, check.Number(t, r, "cl"), check.ModelAbs(0.15, "stated tolerance of the case, 15 to 30 degrees"))
	}
}

func TestFromMeasured(t *testing.T) {
	var b strings.Builder
	b.WriteString("# a tunnel\nre,alpha_deg,cl,cd,cm\n")
	for _, re := range []float64{1e5, 2e5} {
		for a := -4.0; a <= 12; a += 2 {
			fmt.Fprintf(&b, "%g,%g,%.3f,%.4f,-0.05\n", re, a, 0.1*(a+2)*(1-0.02*math.Max(a-8, 0)), 0.01+0.0001*a*a)
		}
	}
	tb, err := FromMeasured("tunnel.csv", []byte(b.String()), must(t, "2412"), 0)
	if err != nil {
		t.Fatal(err)
	}
	cl, cd, cm, _, st := tb.At(4*deg, 1e5, 0)
	if st != Measured || math.Abs(cl-0.6) > 1e-9 || math.Abs(cd-0.0116) > 1e-9 || math.Abs(cm+0.05) > 1e-9 {
		t.Errorf("%g %g %g %s", cl, cd, cm, st)
	}
	for name, r := range map[string]struct {
		text string
		line int
	}{
		"empty":   {"", 0},
		"columns": {"re,alpha,cl\n", 1},
		"cells":   {"re,alpha_deg,cl,cd\n1e5,0,0.1\n", 2},
		"word":    {"re,alpha_deg,cl,cd\n1e5,0,x,0.1\n", 2},
		"drag":    {"re,alpha_deg,cl,cd\n1e5,0,0,-0.1\n", 2},
		"few":     {"re,alpha_deg,cl,cd\n1e5,0,0,0.1\n", 2},
		"twice":   {"re,alpha,alpha_deg,cl,cd\n", 1},
		"re":      {"re,alpha_deg,cl,cd\n0.2,0,0,0.1\n", 2},
	} {
		_, err := FromMeasured(name, []byte(r.text), nil, 0)
		var ce *CoordError
		if !errors.As(err, &ce) || ce.Line != r.line {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzMeasured(f *testing.F) {
	f.Add([]byte("re,alpha_deg,cl,cd\n1e5,0,0,0.01\n1e5,2,0.2,0.01\n1e5,4,0.4,0.01\n1e5,6,0.6,0.02\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		tb, err := FromMeasured("fuzz", text, nil, 0)
		if err == nil {
			if cl, _, _, _, _ := tb.At(0.1, 1e5, 0); math.IsNaN(cl) {
				t.Error("NaN lift")
			}
		}
	})
}

func TestHandbookTable(t *testing.T) {
	spec := smallSpec()
	tb, err := FromHandbook(must(t, "2409"), spec)
	if err != nil {
		t.Fatal(err)
	}
	cl, cd, _, _, st := tb.At(3*deg, 2e5, 0)
	if st != Trend || cl < 0.35 || cl > 0.65 || cd > 0.02 {
		t.Errorf("%g %g %s", cl, cd, st)
	}
}

func TestReport(t *testing.T) {
	sh := must(t, "2409")
	p := Solve(sh, Condition{Re: 2e5, Panels: 80}, degrees(-2, 4, 2))
	q := Solve(sh, Condition{Re: 5}, degrees(0, 2, 2))
	raw, err := json.Marshal(NewReport(sh, []Polar{p, q}))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"section":"NACA 2409"`, `"alpha_deg":-2`, `"transition_upper"`, `"status":"ok"`, `"cl":null`, `"clmax":null`} {
		if !strings.Contains(string(raw), want) {
			t.Errorf("no %s in %s", want, raw)
		}
	}
}

func BenchmarkTableAt(b *testing.B) {
	tb, err := FromHandbook(must(b, "2409"), Spec{Flaps: []float64{-0.2, -0.1, 0, 0.1, 0.2}, Hinge: 0.75})
	if err != nil {
		b.Fatal(err)
	}
	sum := 0.0
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		cl, cd, _, _, _ := tb.At(0.001*float64(i%300), 1e5+float64(i%1000)*300, 0.05)
		sum += cl + cd
	}
	_ = sum
}

// A full table, 12 Reynolds numbers x 41 angles x 5 flap angles: cold on two
// workers, and again from its memo.
func BenchmarkFullTable(b *testing.B) {
	spec := Spec{Flaps: []float64{-0.2, -0.1, 0, 0.1, 0.2}, Hinge: 0.75, Workers: 2}
	var cached time.Duration
	for i := 0; i < b.N; i++ {
		memo := mapMemo{}
		tb, err := Build(context.Background(), must(b, "2409"), spec, memo)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(tb.NotConverged()), "failed")
		start := time.Now()
		if _, err := Build(context.Background(), must(b, "2409"), spec, memo); err != nil {
			b.Fatal(err)
		}
		cached += time.Since(start)
	}
	b.ReportMetric(cached.Seconds()*1e3/float64(b.N), "ms-cached")
}
