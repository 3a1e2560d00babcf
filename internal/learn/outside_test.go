package learn

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/doubt"
)

// flat is a prior so wide that it says nothing: the certified fits know none.
func flat(start []float64) []Param {
	out := make([]Param, len(start))
	for i, v := range start {
		out[i] = Param{Key: fmt.Sprint("b", i+1), Label: fmt.Sprint("b", i+1), Mean: v, SD: 1e4 * math.Abs(v)}
	}
	return out
}

// TestCertified: with a prior that says nothing and the residual deviation
// known, the posterior is the certified least-squares fit.
func TestCertified(t *testing.T) {
	for _, set := range []struct {
		name  string
		model func(b []float64, x float64) float64
		start []float64
		b, s  []float64
		rss   float64
	}{
		{"misra1a", func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) }, []float64{250, 0.0005},
			[]float64{238.94212918, 5.5015643181e-4}, []float64{2.7070075241, 7.2668688436e-6}, 0.12455138894},
		{"thurber", func(b []float64, x float64) float64 {
			return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
		}, []float64{1300, 1500, 500, 75, 1, .4, .05},
			[]float64{1288.1396800, 1491.0792535, 583.23836877, 75.416644291, 0.96629502864, 0.39797285797, 0.049727297349},
			[]float64{4.6647963344, 39.571156086, 28.698696102, 5.5675370270, 0.031333340687, 0.014984928198, 0.0065842344623}, 5642.7082397},
		{"mgh09", func(b []float64, x float64) float64 { return b[0] * (x*x + b[1]*x) / (x*x + b[2]*x + b[3]) }, []float64{.25, .39, .415, .39},
			[]float64{0.19280693458, 0.19128232873, 0.12305650693, 0.13606233068}, []float64{0.011435312227, 0.19633220911, 0.080842031232, 0.090025542308}, 3.0750560385e-4},
	} {
		rows := check.CSV(t, check.RefFile("flight-nist-"+set.name+".csv"))
		q := &Problem{Params: flat(set.start), Step: 1e-9}
		sd := math.Sqrt(set.rss / float64(len(rows)-len(set.b)))
		var x []float64
		for i, r := range rows {
			x = append(x, check.Number(t, r, "x"))
			q.Data = append(q.Data, Datum{Key: fmt.Sprintf("row %03d", i), Value: check.Number(t, r, "y"), SD: sd})
		}
		q.Predict = func(b, y []float64) {
			for i := range x {
				y[i] = set.model(b, x[i])
			}
		}
		p := q.Solve()
		if p.Word != Learned {
			t.Errorf("%s: %s %s", set.name, p.Word, p.Why)
			continue
		}
		src := cite.NISTStRD.At(set.name, cite.Seen)
		for k := range set.b {
			check.Row{Topic: "learning: certified fits", Name: set.name + " parameter", Source: src}.Near(t, p.Value(k), set.b[k], check.Model(1e-5, "the prior, ten thousand times as wide as the parameter, still pulls by a hundred-thousandth"))
			check.Row{Topic: "learning: certified fits", Name: set.name + " deviation", Source: src}.Near(t, p.SD(k), set.s[k], check.Model(1e-4, "differences at a step of 1e-5 of the parameter"))
		}
	}
}

// TestHeldGlides: a polar fitted to every other noisy glide predicts the rest,
// and the truth lies within two standard deviations.
func TestHeldGlides(t *testing.T) {
	const m, area, rho, g = 0.7, 0.115, 1.2, 9.80665
	rows := check.CSV(t, check.RefFile("evidence-glide-noisy.csv"))
	sink := func(cd0, k, v float64) float64 {
		q := 0.5 * rho * v * v * area
		n := 1.0
		for range 30 {
			cl := m * g * n / q
			s := q * (cd0 + k*cl*cl) / (m * g)
			n = math.Sqrt(1 - s*s)
		}
		cl := m * g * n / q
		return v * q * (cd0 + k*cl*cl) / (m * g)
	}
	p := &Problem{Params: []Param{{Key: "cd0", Label: "drag at no lift", Mean: 0.03, SD: 0.5, Log: true}, {Key: "k", Label: "induced drag", Mean: 0.1, SD: 0.5, Log: true}}}
	var v, held, heldV []float64
	for i, r := range rows {
		speed, w := check.Number(t, r, "V_m_s"), check.Number(t, r, "sink_m_s")
		if i%2 == 1 {
			held, heldV = append(held, w), append(heldV, speed)
			continue
		}
		v = append(v, speed)
		p.Data = append(p.Data, Datum{Key: fmt.Sprintf("glide %02d", i), Value: w, SD: 0.08})
	}
	p.Predict = func(x, y []float64) {
		for i := range v {
			y[i] = sink(x[0], x[1], v[i])
		}
	}
	r := p.Solve()
	if r.Word != Learned {
		t.Fatal(r.Word, r.Why)
	}
	src := cite.Ours.At("reference evidence 6, noisy glides", cite.Derived)
	for k, want := range []float64{0.021, 0.085} {
		check.Row{Topic: "learning: glides", Name: r.Params[k].Label, Source: src}.Near(t, r.Value(k), want, check.ModelAbs(2*r.SD(k), "two of its own standard deviations"))
	}
	chi := 0.0
	for i := range held {
		e := (sink(r.Value(0), r.Value(1), heldV[i]) - held[i]) / 0.08
		chi += e * e
	}
	// 16 glides held back: chi-square beyond 32 has a chance of 0.01.
	if chi > 32 {
		t.Errorf("held-back glides are off by %.1f of chi-square for %d", chi, len(held))
	}
}

// TestHeldMotors: motors learned on four propellers predict the revs on the
// four held back, no worse than plain least squares does (reference propulsion
// 3.3). The prior is what is taken of a label untaught.
func TestHeldMotors(t *testing.T) {
	worst := map[string]float64{"a": 0.010, "b": 0.013, "c": 0.015, "d": 0.029, "e": 0.040, "f": 0.025, "g": 0.021, "h": 0.050}
	label := map[string]float64{"a": 2600, "b": 2500, "c": 2450, "d": 2300, "e": 2400, "f": 2350, "g": 2000, "h": 2400}
	// Resistance grows by 0.3 % per watt of copper loss, some ten seconds into a
	// run at 30 g: the power room's own figure.
	warm := func(r, i float64) float64 { return r * (1 + 0.003*i*i*r) }
	rows := check.CSV(t, check.RefFile("propulsion-bench-fullthrottle.csv"))
	for _, motor := range []string{"a", "b", "c", "d", "e", "f", "g", "h"} {
		type row struct{ v, i, rpm float64 }
		var fit, held []row
		for _, r := range rows {
			if r["motor"] != motor {
				continue
			}
			x := row{check.Number(t, r, "voltage_V"), check.Number(t, r, "current_A"), check.Number(t, r, "rpm")}
			switch r["prop"] {
			case "P1", "P3", "P5", "P7":
				fit = append(fit, x)
			default:
				held = append(held, x)
			}
		}
		p := &Problem{Params: []Param{
			{Key: "kv", Label: "motor constant", Mean: 0.97 * label[motor], SD: 0.06 * label[motor]},
			{Key: "r", Label: "resistance", Mean: 0.16 * (2400 / label[motor]) * (2400 / label[motor]), SD: 0.45, Log: true},
			{Key: "off", Label: "revs altogether", SD: 1, Nuisance: true},
		}}
		for k, x := range fit {
			// What a winding that heats up leaves, beside half a per cent of the tachometer.
			p.Data = append(p.Data, Datum{Key: fmt.Sprintf("row %02d", k), Value: x.rpm, SD: 0.012 * x.rpm})
		}
		p.Predict = func(b, y []float64) {
			for k, x := range fit {
				y[k] = b[0] * (x.v - x.i*warm(b[1], x.i)) * (1 + 0.002*b[2])
			}
		}
		r := p.Solve()
		if r.Word != Learned {
			t.Errorf("motor %s: %s %s", motor, r.Word, r.Why)
			continue
		}
		most := 0.0
		for _, x := range held {
			most = math.Max(most, math.Abs(r.Value(0)*(x.v-x.i*warm(r.Value(1), x.i))/x.rpm-1))
		}
		check.Row{Topic: "learning: motors held back", Name: "motor " + motor + ", worst error of the revs on four other propellers", Source: cite.ThrustStand.At("full throttle", cite.Seen)}.
			Near(t, most, 0, check.ModelAbs(worst[motor]+0.005, "what plain least squares misses by, and half a per cent for the pull of the prior"))
	}
}

// TestHeldTunnel: battery power of a whole power train, learned on every other
// row of both airspeeds, predicts the others within 5 % (reference propulsion
// 5.1 c).
func TestHeldTunnel(t *testing.T) {
	rows := check.CSV(t, check.RefFile("propulsion-tunnel-powertrain.csv"))
	type row struct{ n, x, i, p float64 }
	var fit, held []row
	for _, r := range rows {
		n := check.Number(t, r, "rpm") / 60
		x := row{n, check.Number(t, r, "airspeed_mps") / n, check.Number(t, r, "battery_A"), check.Number(t, r, "electric_power_W")}
		if x.p < 30 {
			continue // the reference leaves idling out
		}
		if len(fit) <= len(held) {
			fit = append(fit, x)
		} else {
			held = append(held, x)
		}
	}
	power := func(b []float64, x row) float64 {
		return x.n*x.n*x.n*1e-6*(b[0]+b[1]*1e2*x.x+b[2]*1e3*x.x*x.x) + b[3]*x.i*x.i
	}
	p := &Problem{Params: []Param{{Key: "c0", Label: "c0", Mean: 20, SD: 20}, {Key: "c1", Label: "c1", Mean: 4, SD: 8}, {Key: "c2", Label: "c2", Mean: -3, SD: 6}, {Key: "r", Label: "resistance", Mean: 0.1, SD: 0.5, Log: true}}}
	for k, x := range fit {
		p.Data = append(p.Data, Datum{Key: fmt.Sprintf("row %02d", k), Value: x.p, SD: 0.02 * x.p})
	}
	p.Predict = func(b, y []float64) {
		for k, x := range fit {
			y[k] = power(b, x)
		}
	}
	r := p.Solve()
	if r.Word != Learned {
		t.Fatal(r.Word, r.Why)
	}
	b := []float64{r.Value(0), r.Value(1), r.Value(2), r.Value(3)}
	for _, x := range held {
		check.Row{Topic: "learning: power train held back", Name: fmt.Sprintf("battery power at %.0f rpm, V/n %.3f", 60*x.n, x.x), Unit: "W", Source: cite.TunnelTrain.At("averaged rows", cite.Seen)}.
			Near(t, power(b, x), x.p, check.Model(0.05, "as the reference's own fit to all rows, 4 %, with half of them held back"))
	}
}

// TestBetaBinomial: the odds of launches to come, by the published forms.
func TestBetaBinomial(t *testing.T) {
	src := cite.Ours.At("beta-binomial, closed form; reference flight 5.2", cite.Derived)
	for _, c := range []struct {
		a, b, next float64
	}{{8, 4, 0.329670}, {9.5, 1.5, 0.668488}, {8, 5, 0.263736}, {16, 4, 0.529870}} {
		post := doubt.Beta{A: c.a, B: c.b}
		row := check.Row{Topic: "learning: launch record", Name: fmt.Sprintf("Beta(%g, %g): next three all fly", c.a, c.b), Source: src}
		row.Near(t, betaBinomial(post, 3, 3), c.next, check.Printed(1e-6))
		row.Near(t, post.NextAll(3), c.next, check.Printed(1e-6))
	}
	// Odds of 0.8 with the spread of Beta(12, 3), 4 of 5 flown: Beta(16, 4).
	sd := math.Sqrt(12.0 * 3 / (15 * 15 * 16))
	r := Odds(0.8, 0.8-1.6448536269514722*sd, 0.8+1.6448536269514722*sd, 5, 4)
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"mean", r.Value, 0.8}, {"low", r.Low, 0.640574}, {"high", r.High, 0.924706}, {"next three", r.NextThree, 0.529870}} {
		check.Row{Topic: "learning: launch record", Name: "0.8 as sure as 12 of 15, then 4 of 5: " + c.name, Source: src}.Near(t, c.got, c.want, check.Printed(1e-6))
	}
	sum := 0.0
	for j := range 11 {
		sum += betaBinomial(doubt.Beta{A: 3.3, B: 1.7}, j, 10)
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("chances of all records sum to %g", sum)
	}
	if none := Odds(0.7, 0.5, 0.9, 0, 0); none.Value != none.Prior.Mean() || math.Abs(none.Value-0.7) > 1e-12 || none.Odd {
		t.Errorf("no launch changes the odds: %+v", none)
	}
	if odd := Odds(0.95, 0.9, 0.99, 6, 1); !odd.Odd {
		t.Errorf("1 of 6 at odds of 0.95 is not odd: %+v", odd)
	}
}
