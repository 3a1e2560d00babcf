package prop

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/diag"
)

func someBlade(t *rapid.T) *Blade {
	d := rapid.Float64Range(0.08, 0.5).Draw(t, "diameter")
	pd := rapid.Float64Range(0.3, 1.4).Draw(t, "pitch over diameter")
	b, l := Family(d, d*pd, rapid.IntRange(2, 5).Draw(t, "blades"), rapid.SampledFrom(Styles()).Draw(t, "style"))
	if b == nil {
		t.Fatal(l.Err())
	}
	return b
}

// Whatever is asked: finite forces, no efficiency above the actuator disc's,
// no more power out of the wind than Betz allows.
func TestBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := someBlade(t)
		r := New(b, Options{})
		tip := rapid.Float64Range(1, 280).Draw(t, "tip speed")
		v := rapid.Float64Range(0, 90).Draw(t, "airspeed")
		w := tip / (b.Diameter / 2)
		l := r.At(v, w, lab)
		if math.IsNaN(l.Thrust+l.Torque) || math.IsInf(l.Thrust+l.Torque, 0) {
			t.Fatalf("%+v", l)
		}
		if l.Thrust > 0 {
			ideal := IdealDisc(l.Thrust, b.Diameter, v, lab.Rho)
			if p := l.Torque * w; p < ideal.Power*0.999 {
				t.Fatalf("thrust %g N at %g m/s for %g W, the disc needs %g W", l.Thrust, v, p, ideal.Power)
			}
			if l.Eta > ideal.Eta {
				t.Fatalf("efficiency %g above %g", l.Eta, ideal.Eta)
			}
		}
		if l.Torque < 0 {
			area := math.Pi / 4 * b.Diameter * b.Diameter
			if got, most := -l.Torque*w, 16.0/27*0.5*lab.Rho*v*v*v*area; got > most {
				t.Fatalf("%g W out of the wind, Betz allows %g", got, most)
			}
			if l.Thrust > 0 {
				t.Fatalf("pulls with %g N and gives power too", l.Thrust)
			}
		}
	})
}

// The static case is the limit of slow flight, the stopped one of slow turning.
func TestLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := New(someBlade(t), Options{})
		w := rapid.Float64Range(20, 150).Draw(t, "tip speed") / (r.Blade.Diameter / 2)
		a, b := r.At(0, w, lab), r.At(1e-4, w, lab)
		if math.Abs(a.CT-b.CT) > 2e-3*math.Abs(a.CT)+1e-5 || math.Abs(a.CP-b.CP) > 2e-3*a.CP+1e-5 {
			t.Fatalf("rest %g %g, nearly rest %g %g", a.CT, a.CP, b.CT, b.CP)
		}
		v := rapid.Float64Range(3, 60).Draw(t, "airspeed")
		c, d := r.At(v, 0, lab), r.At(v, 1e-4, lab)
		if c.Status&Stopped == 0 || c.Thrust >= 0 {
			t.Fatalf("stopped: %+v", c)
		}
		if math.Abs(c.Thrust-d.Thrust) > 0.02*math.Abs(c.Thrust) {
			t.Fatalf("stopped %g N, nearly stopped %g N", c.Thrust, d.Thrust)
		}
	})
}

func TestMoreOfEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := someBlade(t)
		r := New(b, Options{})
		tip := rapid.Float64Range(40, 150).Draw(t, "tip speed")
		w := tip / (b.Diameter / 2)
		if x, y := r.At(0, w, lab), r.At(0, 1.1*w, lab); y.Thrust <= x.Thrust || y.Torque <= x.Torque {
			t.Fatalf("faster gives less: %g to %g N", x.Thrust, y.Thrust)
		}
		more := *b
		more.Blades++
		if x, y := r.At(0, w, lab), New(&more, Options{}).At(0, w, lab); y.Thrust <= x.Thrust {
			t.Fatalf("one blade more gives less: %g to %g N", x.Thrust, y.Thrust)
		}
		thin := lab
		thin.Rho *= 0.8
		thin.Mu *= 0.8 // same Reynolds number
		if x, y := r.At(10, w, lab), r.At(10, w, thin); math.Abs(y.Thrust-0.8*x.Thrust) > 1e-9*math.Abs(x.Thrust)+1e-12 {
			t.Fatalf("thrust does not follow density: %g to %g", x.Thrust, y.Thrust)
		}
	})
}

func TestWindmill(t *testing.T) {
	b, _ := Family(6*inch, 6*inch, 2, "thin")
	m := NewMap(New(b, Options{}), b.Diameter, lab)
	stopped, _, _ := m.At(20, 0)
	drag, w := m.Windmill(20, func(float64) float64 { return 1e-4 })
	if !(w > 0) || !(drag > 0) {
		t.Fatalf("does not windmill: %g N, %g rad/s", drag, w)
	}
	// Free-wheeling advance ratio: beyond zero thrust, within 1.05 to 1.6 of it.
	j := 20 / (w / (2 * math.Pi) * b.Diameter)
	j0 := zeroThrust(New(b, Options{}), 5000)
	check.Row{Topic: "windmilling", Name: "free-wheeling advance ratio over that of zero thrust", Source: cite.Common.At("", cite.Practice)}.
		Near(t, j/j0, 1.3, check.ModelAbs(0.3, "common practice: somewhat beyond zero thrust"))
	// A free-wheeling propeller brakes less than 1.1 of the disc's area at
	// drag coefficient 1, a stopped one about its blades' plate area.
	area := math.Pi / 4 * b.Diameter * b.Diameter
	q := 0.5 * lab.Rho * 400
	if drag > q*area {
		t.Errorf("windmilling drag %g N over that of a plate of the disc, %g", drag, q*area)
	}
	blade := 0.0
	for x := 0.155; x < 1; x += 0.01 {
		c, _, _ := b.At(x)
		blade += 2 * c * 0.01 * b.Diameter * b.Diameter / 4
	}
	check.Row{Topic: "windmilling", Name: "drag area of the stopped propeller over its blade area", Source: cite.Common.At("plate at right angles 1.1 to 1.3 times cos² of the blade angle", cite.Practice)}.
		Near(t, -stopped/q/blade, 0.9, check.ModelAbs(0.35, "blade angles 20 to 45 deg turn part of the plate out of the wind"))
	if d, w := m.Windmill(20, func(float64) float64 { return 1 }); w != 0 || math.Abs(d+stopped) > 1e-12 {
		t.Errorf("a locked shaft turns at %g rad/s", w)
	}
}

func TestMapAgainstRotor(t *testing.T) {
	for _, st := range Styles() {
		b, _ := Family(0.15, 0.12, 2, st)
		r := New(b, Options{})
		m := NewMap(r, b.Diameter, lab)
		worst := 0.0
		for i := range 400 {
			v := 60 * math.Mod(float64(i)*0.618034, 1)
			w := 200 + 2600*math.Mod(float64(i)*0.414214, 1)
			l := r.At(v, w, lab)
			th, q, _ := m.At(v, w)
			still := r.At(0, w, lab)
			if l.J > 3 {
				continue
			}
			worst = math.Max(worst, math.Max(math.Abs(th-l.Thrust)/still.Thrust, math.Abs(q-l.Torque)/still.Torque))
		}
		check.Row{Topic: "propeller map", Name: st + ": worst deviation from blade elements over static values", Source: cite.Ours.At("oracle", cite.Derived)}.
			Near(t, worst, 0, check.ModelAbs(0.02, "cubic table"))
		t.Logf("%s: worst %.2f %%", st, 100*worst)
	}
}

func TestImpossible(t *testing.T) {
	b, _ := Family(0.127, 0.1, 2, "")
	r := New(b, Options{})
	for _, c := range []struct {
		name string
		l    Load
		want Status
	}{
		{"air from behind", r.At(-1, 1000, lab), Reverse},
		{"backwards", r.At(1, -1000, lab), Backwards},
		{"not a number", r.At(math.NaN(), 1000, lab), Bad},
		{"infinite", r.At(1, math.Inf(1), lab), Bad},
		{"no air", r.At(1, 1000, Gas{}), Bad},
		{"all still", r.At(0, 0, lab), Stopped},
		{"supersonic", r.At(0, 8000, lab), Transonic},
		{"very slow", r.At(0, 50, lab), LowRe},
		{"past zero thrust", r.At(60, 1500, lab), Braking},
	} {
		if c.l.Status&c.want == 0 || c.l.Status.String() == "ok" {
			t.Errorf("%s: status %q", c.name, c.l.Status)
		}
		if c.want&(Reverse|Backwards|Bad) != 0 && !math.IsNaN(c.l.CT) {
			t.Errorf("%s: invented CT %g", c.name, c.l.CT)
		}
	}
	for _, c := range []struct {
		d, p   float64
		blades int
		style  string
		code   string
	}{{0.127, 0, 2, "", "propeller-pitch"}, {0.127, -0.1, 2, "", "propeller-pitch"}, {0.127, 1, 2, "", "propeller-pitch"}, {0, 0.1, 2, "", "propeller-diameter"}, {0.127, 0.1, 0, "", "propeller-blades"}, {0.127, 0.1, 2, "wide", "propeller-style"}, {0.127, math.NaN(), 2, "", "propeller-pitch"}, {math.NaN(), 0.1, 2, "", "propeller-diameter"}} {
		b, l := Family(c.d, c.p, c.blades, c.style)
		if b != nil || !l.HasErrors() || l[0].Code != c.code {
			t.Errorf("Family(%v): %v, %v", c, b, l)
		}
	}
}

func TestBlockage(t *testing.T) {
	b, _ := Family(6*inch, 6*inch, 2, "thin")
	w := 20000 * 2 * math.Pi / 60
	free := New(b, Options{}).At(40, w, lab)
	tractor := New(b, Options{Blockage: Blockage{Body: 0.4, Gap: 0.8}}).At(40, w, lab)
	pusher := New(b, Options{Blockage: Blockage{Body: 0.4, Pusher: true, WakeLoss: 0.1}}).At(40, w, lab)
	none := New(b, Options{Blockage: Blockage{Body: 0.4, Pusher: true}}).At(40, w, lab)
	// Slower air at the disc: more thrust and torque at the same speed.
	if !(tractor.Thrust > free.Thrust && pusher.Thrust > free.Thrust && tractor.Torque > free.Torque) || none != free {
		t.Errorf("thrust %g free, %g before a body, %g behind one", free.Thrust, tractor.Thrust, pusher.Thrust)
	}
	if tractor.Thrust > 1.15*free.Thrust {
		t.Errorf("the body changes thrust by %g", tractor.Thrust/free.Thrust)
	}
	spin := New(b, Options{Blockage: Blockage{Spinner: 0.3}}).At(0, w, lab)
	if s := New(b, Options{}).At(0, w, lab); spin.Thrust >= s.Thrust || spin.Thrust < 0.85*s.Thrust {
		t.Errorf("spinner: %g against %g N", spin.Thrust, s.Thrust)
	}
}

func TestMeasuredTable(t *testing.T) {
	ps := loadTested(t)
	p := ps["apcff_4.2x4.0_B2"]
	b, _ := Family(p.d, 4*inch, 2, "sport") // not its true shape
	r := New(b, Options{})
	text := "rpm,advance_ratio,ct,cp\n"
	for i := range p.rpm {
		if i%2 == 0 {
			text += txt(p.rpm[i]) + "," + txt(p.j[i]) + "," + txt(p.ct[i]) + "," + txt(p.cp[i]) + "\n"
		}
	}
	m, l := ReadMeasured("table.csv", []byte(text), r, lab)
	if m == nil {
		t.Fatal(l.Err())
	}
	var d deviations
	for i := range p.rpm {
		if i%2 == 1 {
			x := m.At(p.j[i]*p.rpm[i]/60*p.d, p.rpm[i]*2*math.Pi/60, lab)
			d.add(x.CT, x.CP, p.ct[i], p.cp[i])
		}
	}
	row := check.Row{Topic: "measured coefficient tables", Name: "points left out of the table: mean deviation of CT", Source: cite.DetersSelig2014.At("apcff_4.2x4.0", cite.Seen)}
	row.Near(t, d.CT(), 0, check.ModelAbs(0.02, "repeatability 1 to 2 %"))
	row.Name = "points left out of the table: mean deviation of CP"
	row.Near(t, d.CP(), 0, check.ModelAbs(0.03, "repeatability 2 to 3 %"))
	// Only static rows, only one row, far outside.
	for _, c := range []string{"rpm,advance_ratio,ct,cp\n5000,0,0.1,0.05\n9000,0,0.11,0.05\n", "rpm,advance_ratio,ct,cp\n5000,0.5,0.1,0.05\n"} {
		m, l := ReadMeasured("t", []byte(c), r, lab)
		if m == nil {
			t.Fatal(l.Err())
		}
		if x := m.At(40, 3000, lab); math.IsNaN(x.CT) || x.Status&Beyond == 0 {
			t.Errorf("%+v", x)
		}
	}
	one, _ := ReadMeasured("t", []byte("rpm,advance_ratio,ct,cp\n5000,0.5,0.1,0.05\n"), r, lab)
	x := one.At(0.5*5000/60*p.d, 5000*2*math.Pi/60, lab)
	check.Row{Topic: "measured coefficient tables", Name: "CT at a table point", Source: cite.Ours.At("passes through", cite.Derived)}.Near(t, x.CT, 0.1, check.ModelAbs(1e-9, "passes through its points"))
}

func txt(v float64) string { b, _ := json.Marshal(v); return string(b) }

func TestHostileTables(t *testing.T) {
	good := "r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n0.5,0.15,25\n1,0.05,14\n"
	if b, l := ReadBlade("b.csv", []byte(good), 0.127, 2); b == nil {
		t.Fatal(l.Err())
	}
	if b, _ := ReadBlade("b.csv", []byte("\ufeff# made by hand\r\nbeta_deg , c_over_R,r_over_R\r\n14,0.05,1\r\n40,0.1,0.15\r\n"), 0.127, 2); b == nil || b.X[0] != 0.15 {
		t.Errorf("order of rows and columns: %+v", b)
	}
	for _, c := range []struct{ text, code, at string }{
		{"", "csv-empty", "b.csv:1:1"},
		{"r_over_R,c_over_R\n1,2\n", "csv-column", "b.csv:1:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,x\n1,0.1,10\n", "csv-number", "b.csv:2:10"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,NaN\n", "csv-number", "b.csv:2:10"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n1,-0.1,10\n", "blade-chord", "b.csv:3:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n0.15,0.1,40\n1,0.1,20\n", "blade-radius", "b.csv:3:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n50,0.1,10\n", "blade-radius", "b.csv:3:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n0.5,0.1,10\n", "blade-tip", "b.csv:1:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15,0.1,140\n1,0.1,10\n", "blade-angle", "b.csv:2:1"},
		{"r_over_R,c_over_R,beta_deg\n0.15\n", "csv-cells", "b.csv:2:1"},
		{"r_over_R,c_over_R,beta_deg\n\"0.15,0.1,40\n", "csv", ""},
	} {
		b, l := ReadBlade("b.csv", []byte(c.text), 0.127, 2)
		if b != nil || len(l) == 0 || l[0].Code != c.code || !strings.HasPrefix(l[0].Span.String(), c.at) {
			t.Errorf("%q: %v %v", c.text, b, l)
		}
	}
	r := New(mustFamily(), Options{})
	for _, text := range []string{"", "rpm,advance_ratio,ct,cp\n", "rpm,advance_ratio,ct,cp\n-1,0,0,0\n", "rpm,advance_ratio,ct,cp\n5000,-0.5,0,0\n", "rpm,advance_ratio,ct,cp\n5000,0,99,0\n", "rpm,advance_ratio,ct,cp\n5000,0,inf,0\n"} {
		if m, l := ReadMeasured("m.csv", []byte(text), r, lab); m != nil || !l.HasErrors() || l[0].Span.Line == 0 {
			t.Errorf("%q: %v", text, l)
		}
	}
	if _, l := ReadBlade("b.csv", make([]byte, 5<<20), 0.127, 2); !l.HasErrors() {
		t.Error("a 5 MiB file passed")
	}
}

func mustFamily() *Blade {
	b, l := Family(0.127, 0.1, 2, "")
	if b == nil {
		panic(l.Err())
	}
	return b
}

func FuzzReadBlade(f *testing.F) {
	f.Add([]byte("r_over_R,c_over_R,beta_deg\n0.15,0.1,40\n0.5,0.15,25\n1,0.05,14\n"))
	f.Add([]byte("r_over_R,c_over_R,beta_deg,t_over_c,zero_lift_deg\n0.15,0.1,40,0.1,-2\n1,0.05,14,0.1,-2\n"))
	f.Add([]byte("#\n\n\"a\",b\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		b, l := ReadBlade("f.csv", text, 0.127, 2)
		if (b == nil) != l.HasErrors() {
			t.Fatalf("%v %v", b, l)
		}
		if b != nil {
			x := New(b, Options{Elements: 6}).At(10, 1000, lab)
			if math.IsNaN(x.Thrust) {
				t.Fatalf("%+v gives %+v", b, x)
			}
		}
	})
}

func FuzzReadMeasured(f *testing.F) {
	f.Add([]byte("rpm,advance_ratio,ct,cp\n5000,0,0.1,0.05\n5000,0.5,0.08,0.05\n9000,0,0.1,0.05\n"))
	f.Add([]byte("rpm,advance_ratio,ct,cp\n5000,0.5,0.08,0.05\n5000,0.5,0.09,0.05\n"))
	r := New(mustFamily(), Options{Elements: 6})
	f.Fuzz(func(t *testing.T, text []byte) {
		m, l := ReadMeasured("f.csv", text, r, lab)
		if (m == nil) != l.HasErrors() {
			t.Fatalf("%v %v", m, l)
		}
		if m != nil {
			if x := m.At(10, 1000, lab); math.IsNaN(x.Thrust) {
				t.Fatalf("%+v", x)
			}
		}
	})
}

func FuzzRange(f *testing.F) {
	f.Add("0:0.9:0.05")
	f.Add("1,2,3")
	f.Add("1:0:0.1")
	f.Fuzz(func(t *testing.T, s string) {
		v, l := Range("advance", s)
		if (v == nil) != l.HasErrors() || len(v) > MaxPoints+1 && strings.Contains(s, ":") {
			t.Fatalf("%q: %d values, %v", s, len(v), l)
		}
	})
}

func TestReport(t *testing.T) {
	adv, l := Range("advance", "-0.2:1.0:0.2")
	if l != nil || len(adv) != 7 || adv[1] != 0 {
		t.Fatalf("%v %v", adv, l)
	}
	rep, l := Bench{BladeName: "b.csv", BladeText: []byte(bladeText(t, "da4002_9.0x6.75")), Diameter: 9 * inch, Blades: 2, RPM: []float64{5000, 0}, Advance: adv, Gas: lab, Doubt: Doubt{0.1, 0.11, 0.045, 0.03}}.Run()
	if rep == nil {
		t.Fatal(l.Err())
	}
	raw, err := json.Marshal(rep)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		Points []map[string]any `json:"points"`
	}
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	for i, p := range back.Points {
		for _, k := range []string{"rpm", "advance_ratio", "ct", "cp", "efficiency", "status"} {
			if _, ok := p[k]; !ok {
				t.Fatalf("point %d has no %s", i, k)
			}
		}
	}
	if p := back.Points[0]; p["ct"] != nil || p["status"] == "ok" {
		t.Errorf("a negative advance ratio gave %v", p)
	}
	if p := back.Points[2]; p["ct"] == nil || p["status"] != "ok" {
		t.Errorf("J=0.2 gave %v", p)
	}
	if p := back.Points[6]; p["ct"] == nil || p["status"] != "ok" || p["note"] != "braking; driven by the air" || p["efficiency"] != nil {
		t.Errorf("J=1 gave %v", p)
	}
	// Every number has its 90 % interval about it, or none where it has none;
	// the efficiency's is held under the loss-free disc's.
	for i, p := range back.Points {
		for k, unit := range map[string]string{"ct": "", "cp": "", "efficiency": "", "thrust": "_n", "power": "_w", "torque": "_nm", "ideal_efficiency": ""} {
			lo, a := p[k+"_low"+unit].(float64)
			hi, b := p[k+"_high"+unit].(float64)
			v, c := p[k+unit].(float64)
			if a != c || b != c || c && (!(lo <= v) || !(v <= hi) || v != 0 && !strings.HasSuffix(k, "efficiency") && hi-lo < 0.3*math.Abs(v)) {
				t.Errorf("point %d: %s %v (%v to %v)", i, k, v, lo, hi)
			}
		}
		if lo, ok := p["ideal_efficiency_low"].(float64); ok && p["advance_ratio"] != 0.0 && p["ideal_efficiency_high"].(float64)-lo < 1e-3 {
			t.Errorf("point %d: the bound of efficiency without the thrust's doubt: %v", i, p)
		}
		if hi, ok := p["efficiency_high"].(float64); ok && hi > 1 {
			t.Errorf("point %d: efficiency up to %g", i, hi)
		}
	}
	// The band of the thrust is the coefficient's.
	if p := back.Points[3]; math.Abs(p["thrust_low_n"].(float64)/p["thrust_n"].(float64)-p["ct_low"].(float64)/p["ct"].(float64)) > 1e-12 ||
		math.Abs(p["power_high_w"].(float64)/p["power_w"].(float64)-p["cp_high"].(float64)/p["cp"].(float64)) > 1e-12 {
		t.Errorf("intervals of thrust and coefficient differ: %v", p)
	}
	fast, _ := Bench{BladeName: "b.csv", BladeText: []byte(bladeText(t, "da4002_9.0x6.75")), Diameter: 9 * inch, Blades: 2, RPM: []float64{40000}, Advance: []float64{0.2}, Gas: lab}.Run()
	if p := fast.Points[0]; !math.IsNaN(float64(p.CT)) || !strings.Contains(p.Status, "faster than sound") || !(p.TipMach > 1) {
		t.Errorf("tips at 40000 rpm: %+v", p)
	}
	if p := back.Points[7]; p["ct"] != nil || p["status"] == "ok" {
		t.Errorf("rpm 0 gave %v", p)
	}
	if rep, l := (Bench{Diameter: 0.127, Blades: 2, RPM: adv, Advance: adv, Gas: lab}).Run(); rep != nil || !l.HasErrors() {
		t.Error("zero pitch passed")
	}
}

// A table with its head alone, or one station, is refused and not a fault.
func TestBladeEmpty(t *testing.T) {
	for _, text := range []string{"r_over_R,c_over_R,beta_deg\n", "r_over_R,c_over_R,beta_deg\n1,0.1,10\n", ""} {
		if b, l := ReadBlade("b.csv", []byte(text), 0.2, 2); b != nil || !l.HasErrors() || l[0].Span.File != "b.csv" {
			t.Errorf("%q: %v %v", text, b, l)
		}
	}
}

// A blade may end in a point; one whose angles cannot be degrees is remarked on.
func TestBladeEnds(t *testing.T) {
	const head = "r_over_R,c_over_R,beta_deg\n"
	b, l := ReadBlade("p.csv", []byte(head+"0.2,0.15,30\n0.5,0.14,20\n1,0,12\n"), 0.2, 2)
	if b == nil || len(l) != 0 {
		t.Fatalf("a pointed tip: %v", l)
	}
	if ld := New(b, Options{}).At(5, 600, lab); !(ld.Thrust > 0) {
		t.Errorf("a pointed blade: %+v", ld)
	}
	if b, _ := ReadBlade("p.csv", []byte(head+"0.2,0.15,30\n0.5,0,20\n1,0.1,12\n"), 0.2, 2); b != nil {
		t.Error("no chord within the blade passed")
	}
	b, l = ReadBlade("p.csv", []byte(head+"0.2,0.15,0.52\n0.5,0.14,0.35\n1,0.1,0.2\n"), 0.2, 2)
	if b == nil || len(l) != 1 || l[0].Severity != diag.Warning || !strings.Contains(l[0].Message, "hardly pulls") {
		t.Errorf("angles in radians: %v", l)
	}
}

func BenchmarkPoint(b *testing.B) {
	bl := loadBlade(b, "da4002_9.0x6.75", 9*inch, 2)
	r := New(bl, Options{})
	for b.Loop() {
		r.At(15, 520, lab)
	}
}

func BenchmarkMapLookup(b *testing.B) {
	bl := mustFamily()
	m := NewMap(New(bl, Options{}), bl.Diameter, lab)
	for b.Loop() {
		m.At(15, 2000)
	}
}

func BenchmarkNewMap(b *testing.B) {
	bl := mustFamily()
	r := New(bl, Options{})
	for b.Loop() {
		NewMap(r, bl.Diameter, lab)
	}
}

func TestElements(t *testing.T) {
	for _, st := range Styles() {
		b, _ := Family(0.15, 0.12, 2, st)
		few, many := New(b, Options{}), New(b, Options{Elements: 300})
		for _, j := range []float64{0, 0.3, 0.6, 1.2} {
			x, y, still := at(few, j, 12000), at(many, j, 12000), at(many, 0, 12000)
			check.Row{Topic: "blade elements", Name: st + ": CT of 24 against 300 elements at J=" + txt(j), Source: cite.Ours.At("oracle", cite.Derived)}.
				Near(t, x.CT, y.CT, check.ModelAbs(0.005*still.CT, "half a per cent of the static value"))
			check.Row{Topic: "blade elements", Name: st + ": CP of 24 against 300 elements at J=" + txt(j), Source: cite.Ours.At("oracle", cite.Derived)}.
				Near(t, x.CP, y.CP, check.ModelAbs(0.005*still.CP, "half a per cent of the static value"))
		}
	}
}

// A blade tied to a zero-thrust point ends its thrust there, keeps its shape,
// and a point that is no such blade's is refused with where its pitch says.
func TestTie(t *testing.T) {
	b := loadBlade(t, "da4002_9.0x6.75", 9*inch, 2)
	w := 5028 * math.Pi / 30
	for _, j0 := range []float64{0.75, 0.891, 1.0} {
		q, l := b.Tie(j0, w, lab, Options{})
		if q == nil {
			t.Fatal(l.Err())
		}
		check.Row{Topic: "laws", Name: fmt.Sprintf("thrust of a blade tied at J = %g, there", j0), Source: cite.Choice.At("definition", cite.Derived)}.
			Near(t, New(q, Options{}).At(j0*5028/60*q.Diameter, w, lab).CT, 0, check.ModelAbs(1e-5, "the root's tolerance of 1e-5 rad"))
		if &q.Chord[0] != &b.Chord[0] || b.Zero != nil {
			t.Error("the blade it was made of was changed")
		}
		// A section given with the blade is turned, not replaced.
		own := *b
		own.Zero = make([]float64, len(b.X))
		for i := range own.Zero {
			own.Zero[i] = -0.004 * float64(i)
		}
		p, l := own.Tie(j0, w, lab, Options{})
		if p == nil {
			t.Fatal(l.Err())
		}
		if d := (p.Zero[3] - p.Zero[1]) - (own.Zero[3] - own.Zero[1]); math.Abs(d) > 1e-12 {
			t.Errorf("the sections' differences changed by %g", d)
		}
	}
	for _, j0 := range []float64{2.5, 0.2, 0, -1, math.NaN()} {
		if q, l := b.Tie(j0, w, lab, Options{}); q != nil || !l.HasErrors() {
			t.Errorf("J = %g passed", j0)
		}
	}
	if _, l := b.Tie(2.5, w, lab, Options{}); !strings.Contains(l.Err().Error(), "near 0.8") {
		t.Errorf("%v", l.Err())
	}
}
