package mend

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
)

const (
	psi  = 6894.757293168
	inch = 0.0254
)

// Joint rules against the tables and sums they come from.
func TestPublishedJoints(t *testing.T) {
	// Shigley's worked double lap: aluminium straps 0.150 in, steel 0.100 in
	// between, epoxy 0.020 in of 0.2 Mpsi, 1 in long and wide, 2000 lbf.
	omega, peak := ShearLag(inch, 0.2e6*psi, 0.020*inch, 30e6*psi, 0.100*inch, 10e6*psi, 0.150*inch, true)
	lap := func(place string) cite.Ref { return cite.ShigleyLap.At(place, cite.Memory) }
	check.Row{Topic: "glued joints", Name: "double lap, aluminium on steel: omega", Unit: "1/in", Source: lap("worked double lap, balanced")}.
		Near(t, omega*inch, 3.65, check.Printed(0.01))
	// Mean 2000/(2·1·1) psi; the load's part of the end stress.
	check.Row{Topic: "glued joints", Name: "double lap, aluminium on steel: end shear from the load", Unit: "psi", Source: cite.Ours.At("omega P/4b coth(omega l/2) with the printed omega 3.65", cite.Derived)}.
		Near(t, 1000*peak, 3.65*2000/4/math.Tanh(3.65/2), check.Model(1e-3, "omega printed to three digits"))
	for _, r := range []struct{ slope, share float64 }{{5, 0.65}, {8, 0.80}, {10, 0.85}, {12, 0.90}} {
		got, ok := WoodScarf(r.slope)
		if !ok {
			t.Fatal(r)
		}
		src := cite.Bulletin.At("joint factors of plain scarfs", cite.Memory)
		check.Row{Topic: "glued joints", Name: "plain scarf in wood, table", Source: src}.Near(t, got, r.share, check.Exact(2))
		// The rule for any material, with the mean strengths of clear spruce,
		// against the same table: an independent look at both.
		tau, _ := ScarfStress(r.slope)
		check.Row{Topic: "glued joints", Name: "plain scarf, uniform stress in spruce (8 MPa shear, 70 MPa tension)", Source: src}.
			Near(t, math.Min(1, 8/(tau*70)), r.share, check.Model(0.18, "mean strengths of clear wood; the table is for laminating stock and keeps a reserve"))
	}
	if _, ok := WoodScarf(4); ok {
		t.Error("a factor for 1 in 4, which the table does not have")
	}
	check.Row{Topic: "glued joints", Name: "single lap: bending factor, long and highly loaded", Source: cite.GolandLap.At("limit for a flexible member", cite.Memory)}.
		Near(t, LapBending(400e6, 10e9, 0.3, 0.001, 5), 0.26, check.Printed(0.01))
	check.Row{Topic: "glued joints", Name: "single lap: bending factor, no load", Source: cite.GolandLap.At("rigid member", cite.Memory)}.
		Near(t, LapBending(0, 10e9, 0.3, 0.001, 0.02), 1, check.Exact(1))
}

func TestScarfLaws(t *testing.T) {
	s, n := ScarfStress(1) // 45°
	if s != 0.5 || n != 0.5 {
		t.Errorf("45 degrees: %g %g", s, n)
	}
	for k := 2.0; k < 100; k *= 1.5 {
		s, n := ScarfStress(k)
		if math.Abs(s*s+n*n-n) > 1e-15 { // traction² = σ² sin²
			t.Errorf("slope %g: the traction is not the stress on the cut", k)
		}
	}
}

// ShearLag against the differential equation solved by brute force.
func TestShearLagOracle(t *testing.T) {
	for _, c := range []struct {
		l, g, h, e1, t1, e2, t2 float64
		double                  bool
	}{
		{0.02, 1e9, 0.2e-3, 17e9, 0.5e-3, 17e9, 0.5e-3, false},
		{0.01, 1e9, 0.2e-3, 130e9, 1e-3, 17e9, 0.3e-3, false},
		{0.008, 0.8e9, 0.1e-3, 10e9, 3e-3, 9e9, 0.8e-3, true},
		{0.01, 1e9, 0.3e-3, 9e9, 0.8e-3, 69e9, 1e-3, true},
	} {
		// A chain of n springs: member nodes u, strap nodes w, glue between.
		// P enters at the member's left end and leaves at the strap's right.
		straps := 1.0
		if c.double {
			straps = 2
		}
		const n = 20000
		dx := c.l / n
		// Shooting, linear in the unknown start value of shear (short laps only:
		// it grows like exp(omega l)).
		run := func(tau0 float64) (f float64, peak, mean float64) {
			member, strap, tau := 1.0, 0.0, tau0
			for range n {
				// half step in forces, for second order
				m := member - straps*tau*dx/2
				s := strap + tau*dx/2
				tauNext := tau + c.g/c.h*(s/(c.e2*c.t2)-m/(c.e1*c.t1))*dx
				mid := (tau + tauNext) / 2
				member -= straps * mid * dx
				strap += mid * dx
				peak = math.Max(peak, math.Max(tau, tauNext))
				mean += mid / n
				tau = tauNext
			}
			return member, peak, mean
		}
		a, _, _ := run(0)
		b, _, _ := run(1)
		tau0 := a / (a - b)
		_, peak, mean := run(tau0)
		_, got := ShearLag(c.l, c.g, c.h, c.e1, c.t1, c.e2, c.t2, c.double)
		if math.Abs(got-peak/mean) > 2e-3*got {
			t.Errorf("%+v: %.5f, by integration %.5f", c, got, peak/mean)
		}
	}
}

var (
	epoxy  = Glue{Name: "epoxy", Low: 10.3e6, High: 27.6e6}
	spruce = Member{Material: "spruce", E: 10e9, Strength: 70e6, Shear: 8e6, T: 0.005, Doubt: 0.2, Wood: true}
	grp    = Member{Material: "GRP", E: 17e9, Strength: 275e6, Shear: 32e6, T: 0.4e-3, Doubt: 0.25}
)

func TestRegained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom([]Member{spruce, grp}).Draw(t, "member")
		k := rapid.SampledFrom(Kinds()).Draw(t, "kind")
		j := Joint{Kind: k, Length: rapid.Float64Range(0.001, 0.2).Draw(t, "length"), Slope: rapid.Float64Range(1, 50).Draw(t, "slope")}
		s, err := Of(m, j, epoxy)
		if err != nil {
			t.Fatal(err)
		}
		r := s.Regained
		if !(r.Low >= 0 && r.Low <= r.Value && r.Value <= r.High && r.High <= 1) || s.Governs == "" || s.Peak < 1 {
			t.Fatalf("%+v %+v: %+v", m, j, s)
		}
		// Longer and flatter is never weaker, better glue neither.
		long := j
		long.Length, long.Slope = 1.5*j.Length, 1.5*j.Slope
		if b, _ := Of(m, long, epoxy); b.Regained.Value < r.Value*(1-1e-9) {
			t.Fatalf("longer is weaker: %+v %g %g", j, r.Value, b.Regained.Value)
		}
		if b, _ := Of(m, j, Glue{Name: "better", Low: 20e6, High: 41e6}); b.Regained.Value < r.Value*(1-1e-9) {
			t.Fatalf("better glue is weaker: %+v", j)
		}
	})
	for _, bad := range []Joint{{Kind: Lap}, {Kind: Scarf}, {Kind: "weld"}, {Kind: Sleeve}} {
		if _, err := Of(spruce, bad, epoxy); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

func TestEllipticMoment(t *testing.T) {
	// strength reference 4.1: 0.6 kg at 20 g, span 0.90 m.
	for _, r := range []struct{ t, m float64 }{{0, 11.2376}, {0.25, 5.6661}, {0.5, 2.1226}, {0.75, 0.3865}} {
		check.Row{Topic: "glued joints", Name: "bending moment of elliptic lift, for the proof load", Unit: "N m", Source: cite.Ours.At("integrated elliptic lift", cite.Derived)}.
			Near(t, EllipticMoment(117.680, 0.45, r.t*0.45), r.m, check.Printed(1e-4))
		l0 := 2 * 117.680 / (math.Pi * 0.45)
		want := quad.Fixed(func(y float64) float64 {
			return l0 * math.Sqrt(math.Max(0, 1-y*y/(0.45*0.45))) * (y - r.t*0.45)
		}, r.t*0.45, 0.45, 4000, nil, 0)
		if got := EllipticMoment(117.680, 0.45, r.t*0.45); math.Abs(got-want) > 1e-4*want {
			t.Errorf("%g: %g, by quadrature %g", r.t, got, want)
		}
	}
}

func TestProof(t *testing.T) {
	ac := &craft.Aircraft{
		Parts: []craft.Part{{Name: "battery", Mass: 0.2, At: r3.Vec{X: 0.1}}, {Name: "motor", Mass: 0.06, At: r3.Vec{X: 0.02}}, {Name: "wing", Mass: 0.3, At: r3.Vec{X: 0.3}}},
		Body:  []craft.BodyStation{{X: 0}, {X: 0.8}}, Ref: craft.Reference{Span: 0.9},
		Mass: craft.Mass{Total: 0.56, CG: r3.Vec{X: 0.2}},
	}
	p, ok := ProofOf(ac, "wing", r3.Vec{Y: 0.1}, 10, 0)
	if want := EllipticMoment(10*0.56*9.80665, 0.45, 0.1); !ok || math.Abs(p.Force/2*(0.45-0.1)-want) > 1e-12 {
		t.Errorf("%+v %v", p, ok)
	}
	if p, ok = ProofOf(ac, "body", r3.Vec{X: 0.15}, 8, 0); !ok || math.Abs(p.Moment-8*9.80665*(0.2*0.05+0.06*0.13)) > 1e-12 || math.Abs(p.Force*0.15-p.Moment) > 1e-12 {
		t.Errorf("%+v %v", p, ok)
	}
	if p, ok = ProofOf(ac, "hook", r3.Vec{}, 0, 40); !ok || p.Force != 60 {
		t.Errorf("%+v %v", p, ok)
	}
	for _, part := range []string{"hook", "", "servo"} {
		if _, ok := ProofOf(ac, part, r3.Vec{}, 5, 0); ok {
			t.Errorf("a proof load for %q without a load", part)
		}
	}
}

func TestScarDrag(t *testing.T) {
	s := Scar{Height: 0.5e-3, Width: 0.04, Behind: 0.05, Chord: 0.18, Speed: 25, Nu: 1.46e-5, Laminar: 0.5}
	d, err := s.Drag()
	if err != nil || !(d.Low < d.Value && d.Value < d.High) {
		t.Fatal(d, err)
	}
	// The plate formulas at Re 1e5 against the usual table.
	check.Row{Topic: "scars", Name: "laminar plate, Re 1e5", Source: cite.PlateFlow.At("1.328/sqrt(Re)", cite.Memory)}.
		Near(t, plate(1, 1.46, 1.46e-5, true), 0.00420, check.Printed(1e-5))
	check.Row{Topic: "scars", Name: "turbulent plate, Re 1e6", Source: cite.PlateFlow.At("0.074/Re^0.2", cite.Memory)}.
		Near(t, plate(1, 14.6, 1.46e-5, false), 0.00467, check.Printed(1e-5))
	// Higher and wider drag more; without a laminar run nothing is tripped.
	up, wide, none := s, s, s
	up.Height *= 2
	wide.Width *= 2
	none.Laminar = 0
	a, _ := up.Drag()
	b, _ := wide.Drag()
	c, _ := none.Drag()
	if !(a.Value > d.Value && b.Value > d.Value && c.Value < d.Value && c.Value > 0) {
		t.Errorf("%v %v %v %v", d, a, b, c)
	}
	// A sanded scar still trips.
	flat := s
	flat.Height = 0
	if e, err := flat.Drag(); err != nil || !(e.Value > 0) {
		t.Errorf("%v %v", e, err)
	}
	if _, err := (Scar{}).Drag(); err == nil {
		t.Error("an empty scar was taken")
	}
}

func TestAdded(t *testing.T) {
	m, sd := Added(grp, Joint{Kind: Double, Length: 0.03, Strap: Member{T: 0.2e-3}}, 0.1, 1750)
	want := 4 * 0.03 * 0.1 * (0.2e-3*1750 + 0.2e-3*1150*1.5)
	if math.Abs(m-want) > 1e-15 || sd != 0.3*m {
		t.Errorf("%g, want %g", m, want)
	}
}

func TestBreaks(t *testing.T) {
	seen := map[string]bool{}
	for _, b := range Breaks {
		if seen[b.Key] || b.Say == "" || b.Look == "" {
			t.Errorf("%+v", b)
		}
		seen[b.Key] = true
		if got, ok := Find(b.Key); !ok || got != b {
			t.Errorf("%s", b.Key)
		}
	}
}
