package section

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// Our bars for a section method on tunnel data, set before it was written:
// beyond them a section would change the choice between two aeroplanes.
const (
	barLift = "our bar of attached lift, 0.05"
	barMost = "our bar of maximum lift, 0.12"
	barZero = "our bar of zero lift, 0.4 degrees"
)

// run is one measured sweep.
type run struct {
	re            float64
	alpha, cl, cd []float64
	low, high, cm []float64
	up            int // points of the rising sweep
}

func runs(t testing.TB, file, kind string) []run {
	var out []run
	last := ""
	for _, r := range check.CSV(t, check.RefFile(file)) {
		if r["kind"] != kind {
			continue
		}
		re := check.Number(t, r, "Re")
		key := r["run"]
		if kind == "drag" {
			key = fmt.Sprintf("%.1g", re)
		}
		if key != last {
			out = append(out, run{re: re})
			last = key
		}
		q := &out[len(out)-1]
		q.alpha = append(q.alpha, check.Number(t, r, "alpha_deg"))
		q.cl = append(q.cl, check.Number(t, r, "cl"))
		if kind == "lift" && r["cm_c4"] != "" {
			q.cm = append(q.cm, check.Number(t, r, "cm_c4"))
		}
		if kind == "drag" {
			q.cd = append(q.cd, check.Number(t, r, "cd"))
			q.low = append(q.low, check.Number(t, r, "cd_min"))
			q.high = append(q.high, check.Number(t, r, "cd_max"))
		}
	}
	for i := range out {
		q := &out[i]
		for q.up = 1; q.up < len(q.alpha) && q.alpha[q.up] > q.alpha[q.up-1]-1; q.up++ {
		}
	}
	return out
}

func degrees(from, to, step float64) []float64 {
	var out []float64
	for a := from; a <= to+1e-9; a += step {
		out = append(out, a*deg)
	}
	return out
}

// lookup interpolates in the rising part of a polar.
func lookup(x, y []float64, at float64) float64 {
	for i := 1; i < len(x); i++ {
		if (at-x[i-1])*(at-x[i]) <= 0 && x[i] != x[i-1] {
			return y[i-1] + (y[i]-y[i-1])*(at-x[i-1])/(x[i]-x[i-1])
		}
	}
	return math.NaN()
}

// attached returns the converged points of a polar up to maximum lift.
func attached(p Polar) (al, cl, cd []float64) {
	for _, q := range p.Points {
		if q.Status == OK && (math.IsNaN(p.AlphaMax) || q.Alpha <= p.AlphaMax+0.01) {
			al, cl, cd = append(al, q.Alpha), append(cl, q.Cl), append(cd, q.Cd)
		}
	}
	return al, cl, cd
}

// TestMeasuredPolars compares whole polars with the tunnel. Drag counts from
// zero lift to 85 % of the measured maximum, outside the spread of the
// tunnel's own span stations.
func TestMeasuredPolars(t *testing.T) {
	var found [len(Gaps)]Gap // the largest of each band
	for _, sec := range []struct {
		name, file string
		src        cite.Source
	}{
		{"Clark Y", "clarky", cite.LSATVol3},
		{"SD7003", "sd7003", cite.LSATVol1},
	} {
		sh := refShape(t, "aerodynamics-"+sec.file+"-coordinates.csv")
		csv := "aerodynamics-" + sec.file + "-polars.csv"
		lifts := runs(t, csv, "lift")
		for _, r := range runs(t, csv, "drag") {
			if len(r.cl) < 5 {
				continue // a single repeat point
			}
			p := Solve(sh, Condition{Re: r.re, Panels: 120}, degrees(-6, 17, 1))
			al, cl, cd := attached(p)
			var lr run
			for _, q := range lifts {
				if math.Abs(q.re/r.re-1) < 0.05 {
					lr = q
				}
			}
			top, topAt := 0.0, 0.0
			for i := range lr.up {
				if lr.cl[i] > top {
					top, topAt = lr.cl[i], lr.alpha[i]
				}
			}
			row := check.Row{Topic: fmt.Sprintf("section polars: %s, Re %.0f", sec.name, r.re), Source: sec.src.At("clean model", cite.Seen)}

			bar, aim, worstAllowed := 0.15, 0.08, 0.15
			switch {
			case r.re < 8e4:
				bar, aim, worstAllowed = 0.40, 0.30, 0.40
			case r.re < 1.5e5:
				bar, aim, worstAllowed = 0.25, 0.18, 0.35
			}
			sum, worst, n := 0.0, 0.0, 0.0
			for i, c := range r.cl {
				if c < -0.01 || c > 0.85*top {
					continue
				}
				got := lookup(cl, cd, c)
				e := math.Abs(got/r.cd[i] - 1)
				sum += e
				n++
				worst = math.Max(worst, e)
				spread := r.high[i] - r.cd[i]
				if got < r.cd[i] {
					spread = r.cd[i] - r.low[i]
				}
				row.Name = fmt.Sprintf("cd at cl %.3f", c)
				row.Near(t, got, r.cd[i], check.Measured(bar*r.cd[i]+spread, fmt.Sprintf("our bar of drag, %.0f %% at this Reynolds number, beyond the span stations' spread", bar*100)))
			}
			t.Logf("%s Re %.0f: drag mean %.1f %% worst %.1f %%, maximum lift %.3f at %.1f (measured %.3f at %.1f)", sec.name, r.re, sum/n*100, worst*100, p.ClMax, p.AlphaMax/deg, top, topAt)
			row.Headline = true
			row.Name, row.Unit = "mean drag error", "%"
			row.Near(t, sum/n*100, 0, check.ModelAbs(aim*100, "closures; below 150,000 the tunnel's own span scatter is 10 to 30 %"))
			row.Name = "worst drag error"
			row.Near(t, worst*100, 0, check.ModelAbs(100*worstAllowed, "the points' own bars, with the scatter between span stations"))
			row.Name, row.Unit = "maximum lift", ""
			row.Near(t, p.ClMax, top, check.ModelAbs(0.12, barMost))
			for i, g := range Gaps {
				if r.re >= g.ReFrom && r.re < g.ReTo {
					f := &found[i]
					f.DragMean, f.DragWorst = math.Max(f.DragMean, sum/n), math.Max(f.DragWorst, worst)
					f.ClMax = math.Max(f.ClMax, math.Abs(p.ClMax-top))
				}
			}
			row.Name, row.Unit = "angle of maximum lift", "deg"
			why, allow := "our bar of the stall's angle, 2 degrees: the top of a lift curve is flat", 2.0
			if sec.file == "clarky" {
				// Not well posed: TestTrailingEdgeParts holds what is.
				why, allow = "known gap: measured lift is level, the angle of its maximum hangs on 0.001 to 0.014 of lift where two runs differ by 0.018 (topic section stall holds what is well posed); 3.3 degrees and 0.3 for the panels", 3.6
			}
			row.Near(t, p.AlphaMax/deg, topAt, check.ModelAbs(allow, why))
			row.Unit = ""
			lift, why := 0.055, barLift+", and 0.005 for the balance; worst where a side turns laminar to its end half a degree early, at -3 or 0 degrees"
			if r.re < 1.5e5 {
				// Neither a calmer stream (exponents up to 13.4) nor half the stress
				// behind transition takes it away at all angles: see stallLift.
				lift, why = 0.13, barLift+", and 0.03 by which two runs of the tunnel differ; below 150,000 attached lift of the Clark Y is 0.04 to 0.06 higher still: known gap"
			}
			worst, sum, n = 0, 0, 0
			for i := range lr.up {
				if lr.alpha[i] > -3 && lr.alpha[i] < 8 {
					d := lookup(al, cl, lr.alpha[i]*deg) - lr.cl[i]
					sum, n = sum+math.Abs(d), n+1
					if math.Abs(d) > math.Abs(worst) || math.IsNaN(d) {
						worst = d
					}
				}
			}
			row.Name = "mean lift difference, -3 to 8 degrees"
			row.Near(t, sum/n, 0, check.ModelAbs(lift, why))
			row.Name = "worst lift difference, -3 to 8 degrees"
			row.Near(t, worst, 0, check.ModelAbs(lift, why))
			row.Headline = false
			if r.re < 8e4 {
				continue
			}
			if len(lr.cm) == len(lr.cl) {
				var ca, cm []float64
				for _, q := range p.Points {
					if q.Status == OK {
						ca, cm = append(ca, q.Alpha), append(cm, q.Cm)
					}
				}
				worst = 0
				for i := range lr.up {
					if lr.alpha[i] > 0 && lr.alpha[i] < 8 {
						if d := lookup(ca, cm, lr.alpha[i]*deg) - lr.cm[i]; math.Abs(d) > math.Abs(worst) || math.IsNaN(d) {
							worst = d
						}
					}
				}
				row.Name = "worst moment difference, 0 to 8 degrees"
				row.Near(t, worst, 0, check.ModelAbs(0.015, "0.05 of lift at 0.3 chord; above 8 degrees the computed trailing edge separates early"))
			}
			if r.re > 1.5e5 {
				row.Name, row.Unit = "angle of zero lift", "deg"
				var ma, mc []float64
				for i := range lr.up {
					ma, mc = append(ma, lr.alpha[i]), append(mc, lr.cl[i])
				}
				row.Near(t, lookup(cl, al, 0)/deg, lookup(mc, ma, 0), check.ModelAbs(0.4, barZero))
			}
		}
	}
	// What every verdict says of the method is what was found here: not less,
	// and not more than two points of drag or 0.02 of lift beyond.
	for i, g := range Gaps {
		f := found[i]
		hold := func(what string, said, got, over float64) {
			if !(got <= said && said <= got+over) {
				t.Errorf("Re %.0f to %.0f: %s %.4f found, %.4f said", g.ReFrom, g.ReTo, what, got, said)
			}
		}
		hold("mean drag error", g.DragMean, f.DragMean, 0.02)
		hold("worst drag error", g.DragWorst, f.DragWorst, 0.02)
		hold("maximum lift", g.ClMax, f.ClMax, 0.02)
	}
}

// High Reynolds numbers: a tripped section and the classic summary.
func TestHighReynolds(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	row := check.Row{Topic: "section polars: 0012, Re 6e6 tripped", Source: cite.NASATM4074.At("80 grit", cite.Seen)}
	p := Solve(must(t, "0012"), Condition{Re: 6e6, TripUpper: 0.05, TripLower: 0.05, Panels: 120}, degrees(0, 10, 1))
	al, cl, cd := attached(p)
	for _, r := range check.CSV(t, check.RefFile("aerodynamics-naca0012-ladson.csv")) {
		a := check.Number(t, r, "alpha_deg")
		if r["grit"] != "80 grit" || a < 0 || a > 9 {
			continue
		}
		row.Name = fmt.Sprintf("cl at %g deg", a)
		row.Near(t, lookup(al, cl, a*deg), check.Number(t, r, "cl"), check.ModelAbs(0.05, barLift))
		row.Name = fmt.Sprintf("cd at %g deg", a)
		row.Near(t, lookup(al, cd, a*deg), check.Number(t, r, "cd"), check.Model(0.15, "our bar of drag from Re 200,000, 15 %"))
	}
	for _, r := range []struct {
		name                    string
		l0, cm, slope, max, gap float64
	}{
		{"2412", -2.0, -0.047, 0.105, 1.68, 0.12},
		{"4412", -3.8, -0.093, 0.105, 1.67, 0.12},
		{"4415", -4.3, -0.093, 0.105, 1.64, 0.12},
		{"23012", -1.4, -0.014, 0.107, 1.79, 0.12},
		{"0009", 0, 0, 0.109, 1.32, 0.12},
		{"0012", 0, 0, 0.106, 1.59, 0.12},
	} {
		row := check.Row{Topic: "section polars: four and five digits, Re 9e6 smooth", Source: cite.NACATR824.At(r.name, cite.Memory)}
		p := Solve(must(t, r.name), Condition{Re: 9e6, Panels: 120}, degrees(-6, 20, 1))
		al, cl, _ := attached(p)
		row.Name, row.Headline = r.name+" maximum lift", true
		row.Near(t, p.ClMax, r.max, check.ModelAbs(r.gap, barMost))
		row.Headline = false
		row.Name, row.Unit = r.name+" angle of zero lift", "deg"
		row.Near(t, lookup(cl, al, 0)/deg, r.l0, check.ModelAbs(0.4, barZero))
		row.Name, row.Unit = r.name+" lift slope", "1/deg"
		row.Near(t, (lookup(al, cl, 6*deg)-lookup(al, cl, 0))/6, r.slope, check.Model(0.06, barLift+" over 8 degrees"))
		row.Name, row.Unit = r.name+" cm near zero lift", ""
		for _, q := range p.Points {
			if math.Abs(q.Alpha/deg-math.Round(r.l0)) < 0.1 {
				row.Near(t, q.Cm, r.cm, check.ModelAbs(0.015, "closures; thin-airfoil value is 12 % higher"))
			}
		}
	}
}

// Thin noses let go before the trailing edge does, at an angle that does not
// depend on the panels.
func TestNoseLetsGo(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	for _, r := range []struct {
		name string
		max  float64
	}{{"0006", 0.92}, {"0009", 1.32}, {"1408", 1.35}} {
		var got [2]Polar
		for i, n := range []int{120, 200} {
			got[i] = Solve(must(t, r.name), Condition{Re: 9e6, Panels: n}, degrees(-4, 16, 1))
		}
		row := check.Row{Topic: "section polars: thin noses, Re 9e6 smooth", Name: r.name + " maximum lift", Headline: true, Source: cite.NACATR824.At(r.name, cite.Memory)}
		row.Near(t, got[1].ClMax, r.max, check.ModelAbs(0.12, barMost))
		if a, b := got[0], got[1]; !(math.Abs(a.ClMax-b.ClMax) < 0.05) || b.MaxStatus != OK {
			t.Errorf("%s: maximum lift %.3f with 120 panels, %.3f with 200 (%s)", r.name, a.ClMax, b.ClMax, b.MaxStatus)
		}
		// The points beyond say that they are stalled, those before have numbers.
		for _, q := range got[1].Points {
			if want := q.Alpha < got[1].AlphaMax; (q.Status == OK) != want && q.Alpha > 0 {
				t.Errorf("%s at %.0f degrees: %s, lets go at %.1f", r.name, q.Alpha/deg, q.Status, got[1].AlphaMax/deg)
			}
		}
		// Both sides alike where the shape is.
		if p := Solve(must(t, r.name), Condition{Re: 9e6, Panels: 120}, degrees(-14, 14, 1)); r.name[:2] == "00" && !(math.Abs(p.ClMax+p.ClMin) < 0.01) {
			t.Errorf("%s: lift from %.3f to %.3f", r.name, p.ClMin, p.ClMax)
		}
	}
	// A table ends its attached flow there too.
	tb, err := Build(t.Context(), must(t, "0009"), Spec{Re: []float64{3e6}, AlphaFrom: 0, AlphaTo: 16 * deg, AlphaStep: deg}, nil)
	if err != nil {
		t.Fatal(err)
	}
	top := tb.ClMax(3e6, 0)
	cl, _, _, _, _ := tb.At(top.Alpha, 3e6, 0)
	if !(math.Abs(cl-top.Cl) < 0.02) || top.Status != OK {
		t.Errorf("table: %.3f at the angle of its maximum, %.3f (%s)", cl, top.Cl, top.Status)
	}
	if _, _, _, _, st := tb.At(5*deg, 3e6, 0); st != OK {
		t.Errorf("table at 5 degrees: %s", st)
	}
}

// The doubt said of measured polars covers what the tunnel's own numbers
// scatter by: drag over the span stations (four; the range over 2.059 is a
// standard deviation, half of that the standard error of the mean), and lift
// between the run that measured it alone and the one that measured drag.
func TestMeasuredDoubt(t *testing.T) {
	for _, file := range []string{"clarky", "sd7003"} {
		csv := "aerodynamics-" + file + "-polars.csv"
		lifts := runs(t, csv, "lift")
		for _, r := range runs(t, csv, "drag") {
			if len(r.cl) < 5 {
				continue
			}
			said := (&Table{}).Doubt(r.re)
			se := 0.0
			for i := range r.cd {
				se += (r.high[i] - r.low[i]) / 2.059 / 2 / r.cd[i] / float64(len(r.cd))
			}
			if !(se < said.CdRel && se > said.CdRel/5) {
				t.Errorf("%s Re %.0f: drag over the span %.3f, said %.3f", file, r.re, se, said.CdRel)
			}
			sum, n := 0.0, 0.0
			for _, l := range lifts {
				if math.Abs(l.re/r.re-1) > 0.05 {
					continue
				}
				for i, a := range r.alpha {
					if d := lookup(l.alpha[:l.up], l.cl[:l.up], a) - r.cl[i]; a > -3 && a < 8 && d == d {
						sum, n = sum+d*d, n+1
					}
				}
			}
			if rms := math.Sqrt(sum / n); !(n > 4 && rms < 1.1*said.Cl) {
				t.Errorf("%s Re %.0f: lift of two runs differs by %.4f in %g points, said %.4f", file, r.re, rms, n, said.Cl)
			}
		}
	}
}

// The bubble of the SD7003 at 4 degrees and Re 60,000.
func TestBubble(t *testing.T) {
	p := Solve(refShape(t, "aerodynamics-sd7003-coordinates.csv"), Condition{Re: 6e4, Turbulence: 0.0008}, degrees(2, 5, 1))
	for _, q := range p.Points {
		if math.Abs(q.Alpha/deg-4) > 0.1 {
			continue
		}
		row := check.Row{Topic: "laminar separation bubble", Unit: "chord", Source: cite.Radespiel2007.At("SD7003, 4 deg, Re 60,000, several facilities", cite.Memory)}
		row.Name = "separation"
		row.Near(t, q.Upper.BubbleFrom, 0.255, check.Measured(0.06, "facilities give 0.21 to 0.30"))
		row.Name = "transition"
		row.Near(t, q.Upper.Transition, 0.55, check.Measured(0.06, "facilities give 0.53 to 0.57; turbulence of each differs"))
		row.Name = "reattachment"
		row.Near(t, q.Upper.BubbleTo, 0.63, check.Measured(0.06, "facilities give 0.58 to 0.68"))
		return
	}
	t.Error("no point at 4 degrees")
}

func TestGregory(t *testing.T) {
	p := newSolver(must(t, "0012"), Condition{Re: 2.88e6}.filled())
	row := check.Row{Topic: "viscous pressures", Source: cite.RM3726.At("0012, 10 deg, upper side, digitised", cite.Seen)}
	q := p.start(6 * deg)
	if q == nil {
		t.Fatal("no start")
	}
	if q = p.reach(q, 6*deg, 10*deg); q == nil {
		t.Fatal("10 degrees not reached")
	}
	g := make([]float64, q.n)
	for i := range g {
		g[i] = q.sigma(i) * q.st[i].u
	}
	for _, r := range check.CSV(t, check.RefFile("aerodynamics-naca0012-cp-gregory.csv")) {
		x := check.Number(t, r, "x_c")
		if r["alpha_deg"] != "10" || x < 0.02 || x > 0.95 {
			continue
		}
		row.Name = fmt.Sprintf("0012 Cp at x %.3f, 10 deg", x)
		row.Near(t, cpNear(q.o, g, x, q.o.sh.Upper(x)), check.Number(t, r, "cp_upper"), check.Tol{Abs: 0.1, Rel: 0.05, Why: "digitised, 0.02 to 0.05, and the lift 2 % high"})
	}
}

func TestSolveLaws(t *testing.T) {
	// Symmetry: a symmetric section mirrors.
	p := Solve(must(t, "0010"), Condition{Re: 2e5, Panels: 120}, degrees(-6, 6, 3))
	n := len(p.Points)
	for i := range n {
		a, b := p.Points[i], p.Points[n-1-i]
		if a.Status != OK || math.Abs(a.Cl+b.Cl) > 2e-3 || math.Abs(a.Cd/b.Cd-1) > 5e-3 {
			t.Errorf("%g: cl %g and %g, cd %g and %g, %s", a.Alpha/deg, a.Cl, b.Cl, a.Cd, b.Cd, a.Status)
		}
	}
	// Roughness costs drag; the trip shows as the place of transition.
	clean := Solve(must(t, "2409"), Condition{Re: 4e5, Panels: 120}, degrees(1, 3, 1)).Points[1]
	rough := Solve(must(t, "2409"), Condition{Re: 4e5, Panels: 120}.Rough(), degrees(1, 3, 1)).Points[1]
	if !(rough.Cd > 1.15*clean.Cd) || math.Abs(rough.Upper.Transition-0.05) > 0.01 {
		t.Errorf("rough cd %g, clean %g, transition %g", rough.Cd, clean.Cd, rough.Upper.Transition)
	}
	if !(clean.Friction > 0.3*clean.Cd && clean.Friction < clean.Cd) {
		t.Errorf("friction %g of %g", clean.Friction, clean.Cd)
	}
	// The answer hardly depends on the panels.
	fine := Solve(must(t, "2409"), Condition{Re: 4e5, Panels: 240}, degrees(1, 3, 1)).Points[1]
	if math.Abs(fine.Cl-clean.Cl) > 0.01 || math.Abs(fine.Cd/clean.Cd-1) > 0.03 {
		t.Errorf("panels: cl %g %g, cd %g %g", clean.Cl, fine.Cl, clean.Cd, fine.Cd)
	}
	// More turbulence, earlier transition.
	noisy := Solve(must(t, "2409"), Condition{Re: 4e5, Panels: 120, Turbulence: 0.01}, degrees(1, 3, 1)).Points[1]
	if !(noisy.Upper.Transition < clean.Upper.Transition) {
		t.Errorf("transition %g noisy, %g clean", noisy.Upper.Transition, clean.Upper.Transition)
	}
}

// A fine sweep has no jumps: the rounding of the wake's geometry does not
// show.
func TestSweepSmooth(t *testing.T) {
	p := Solve(must(t, "2409"), Condition{Re: 2e5, Panels: 120}, degrees(2.2, 3.6, 0.1))
	for i := 2; i < len(p.Points); i++ {
		a, b, c := p.Points[i-2], p.Points[i-1], p.Points[i]
		if c.Status != OK {
			t.Fatalf("%g: %s", c.Alpha/deg, c.Status)
		}
		if d := c.Cl - 2*b.Cl + a.Cl; math.Abs(d) > 5e-4 {
			t.Errorf("lift bends by %g at %g degrees", d, b.Alpha/deg)
		}
		if d := c.Cd/b.Cd - 1; math.Abs(d) > 0.03 {
			t.Errorf("drag steps by %g at %g degrees", d, b.Alpha/deg)
		}
	}
}

func TestSolveHostile(t *testing.T) {
	s := must(t, "2409")
	for name, p := range map[string]Polar{
		"tiny Re":  Solve(s, Condition{Re: 10}, degrees(0, 2, 1)),
		"huge Re":  Solve(s, Condition{Re: 1e12}, degrees(0, 2, 1)),
		"NaN Re":   Solve(s, Condition{Re: math.NaN()}, degrees(0, 2, 1)),
		"angles":   Solve(s, Condition{Re: 2e5, Panels: 60}, []float64{1.2, -1.5}),
		"trip":     Solve(s, Condition{Re: 2e5, TripUpper: 3}, degrees(0, 2, 1)),
		"no angle": Solve(s, Condition{Re: 2e5, Panels: 60}, nil),
	} {
		for _, q := range p.Points {
			if q.Status == OK || q.Status == "" {
				t.Errorf("%s: status %q", name, q.Status)
			}
		}
	}
	for name, sh := range map[string]*Shape{
		"thin":   s.WithThickness(0.01),
		"thick":  must(t, "0012").WithThickness(0.4),
		"camber": s.WithCamber(0.12),
		"flap":   s.WithFlap(0.6, 50*deg),
	} {
		p := Solve(sh, Condition{Re: 1.5e5, Panels: 80}, degrees(0, 4, 2))
		for _, q := range p.Points {
			if q.Status == OK && !(q.Cd > 0 && q.Cd < 1 && math.Abs(q.Cl) < 4) {
				t.Errorf("%s: %+v", name, q)
			}
		}
	}
}
