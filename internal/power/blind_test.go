package power

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/air"
	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/power/typical"
)

// invented is a motor, pack and propeller of known truth and what their labels
// say of them.
type invented struct {
	truth, label *Model
	k            Factors // the true propeller's, on both models' blades
	volts        float64
}

// invent makes one between 8 and 200 g, two to six cells, with a motor
// constant up to 15 % under its label, resistance and idle current a third off
// what its size suggests, a propeller that pulls and takes a tenth more or
// less than its size does.
func invent(t testing.TB, r *rand.Rand) (in invented) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	mass := math.Exp(between(math.Log(0.008), math.Log(0.2)))
	cells := 2 + int(math.Min(4, 12*math.Sqrt(mass)*r.Float64()))
	d := 0.0254 * between(3, 4) * math.Cbrt(mass/0.008)
	pitch := d * between(0.45, 0.95)
	in.volts = 3.7 * float64(cells)
	kv := between(80, 130) / (d / 2) / (0.8 * in.volts)
	blades := 2 + r.IntN(2)
	make := func(kv, ohm, idle float64) *Model {
		ac := sample()
		ac.Body = nil
		p := &ac.Power
		p.Battery.Cells = cells
		p.Motor = craft.Motor{KV: kv, Resistance: ohm, IdleCurrent: idle, IdleVoltage: 10, Mass: mass, Poles: 14}
		p.Propeller = craft.Propeller{Diameter: d, Pitch: pitch, Blades: blades, Style: "sport", Right: true}
		m, err := NewWith(ac, air.Moist(293.15, 101000, 0.4), Options{Plain: true})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	in.truth = make(kv, typical.MotorResistance(kv, mass).Value*math.Exp(0.3*r.NormFloat64()), typical.IdleCurrent(kv, mass).Value*math.Exp(0.3*r.NormFloat64()))
	said := kv / between(0.85, 1.07) * typical.KVTrue().Value
	in.label = make(said, typical.MotorResistance(said, mass).Value, typical.IdleCurrent(said, mass).Value)
	in.k = Neutral()
	in.k.Thrust, in.k.Torque = math.Exp(0.10*r.NormFloat64()), math.Exp(0.12*r.NormFloat64())
	return in
}

// read is a row of the truth as a hobbyist's instruments give it: tachometer
// 0.7 %, wattmeter and scale 2 %, one standard deviation.
func (in *invented) read(r *rand.Rand, volts float64) craft.BenchRow {
	q := in.truth.OnBench(craft.BenchRow{Volts: volts}, &in.k)
	q.Volts, q.Throttle = volts, 0
	q.Omega *= 1 + 0.007*r.NormFloat64()
	q.Amps *= 1 + 0.02*r.NormFloat64()
	q.Pull *= 1 + 0.02*r.NormFloat64()
	return q
}

// draws are the factors that a fit leaves possible, as the check draws them.
func draws(b *Bench, r *rand.Rand, n int) (out []Factors) {
	sd := []float64{b.Spread.Thrust, b.Spread.Torque, b.Spread.KV, b.Spread.Resistance, b.Spread.Idle, b.Spread.CellResistance}
	c := mat.NewSymDense(fitN, nil)
	for i := range fitN {
		for j := range i + 1 {
			c.SetSym(i, j, sd[i]*sd[j]*b.Cov[i][j]/math.Sqrt(b.Cov[i][i]*b.Cov[j][j]))
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(c) {
		panic("a covariance that is none")
	}
	var l mat.TriDense
	ch.LTo(&l)
	mid := []float64{b.Factors.Thrust, b.Factors.Torque, b.Factors.KV, b.Factors.Resistance, b.Factors.Idle, b.Factors.CellResistance}
	for range n {
		var z, x [fitN]float64
		for i := range z {
			z[i] = r.NormFloat64()
		}
		for i := range x {
			x[i] = math.Log(mid[i])
			for j := range i + 1 {
				x[i] += l.At(i, j) * z[j]
			}
		}
		out = append(out, unpack(x[:]))
	}
	return out
}

// held says whether the true value lies in the 90 % interval of f over the draws.
func held(ks []Factors, truth float64, f func(k *Factors) float64) bool {
	var v []float64
	for i := range ks {
		v = append(v, f(&ks[i]))
	}
	slices.Sort(v)
	n := len(v)
	return truth >= v[n/20] && truth <= v[n-1-n/20]
}

// Bench rows of motors of known truth, blind: from wrong labels and noisy
// rows, what is foretold for other volts, half throttle and another propeller
// lies in its 90 % interval about nine times in ten, and nearer the truth than
// the labels say.
func TestBlindBench(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 9))
	const motors = 48
	in, of := map[string]float64{}, map[string]float64{}
	errs, before := map[string]float64{}, map[string]float64{}
	for range motors {
		one := invent(t, r)
		m := one.label
		for _, at := range []float64{0.65, 0.8, 1}[:2+r.IntN(2)] {
			m.rows = append(m.rows, one.read(r, at*one.volts))
		}
		b := m.FitBench(nil)
		if !b.OK || b.Doubted || b.Aside != nil {
			t.Errorf("honest rows are not believed: misfit %.1f, aside %v, %+v", b.Chi, b.Aside, b.Factors)
			continue
		}
		ks := draws(&b, r, 240)
		tell := func(what string, truth float64, f func(k *Factors) float64) {
			of[what]++
			if held(ks, truth, f) {
				in[what]++
			}
			errs[what] += math.Abs(f(&b.Factors)/truth-1) / motors
			before[what] += math.Abs(f(nil)/truth-1) / motors
		}
		for _, row := range []struct {
			name string
			craft.BenchRow
		}{{"higher volts", craft.BenchRow{Volts: 1.15 * one.volts}}, {"half throttle", craft.BenchRow{Volts: one.volts, Throttle: 0.5}}} {
			q := one.truth.OnBench(row.BenchRow, &one.k)
			tell(row.name+": rpm", q.Omega, func(k *Factors) float64 { return m.OnBench(row.BenchRow, k).Omega })
			tell(row.name+": current", q.Amps, func(k *Factors) float64 { return m.OnBench(row.BenchRow, k).Amps })
			tell(row.name+": pull", q.Pull, func(k *Factors) float64 { return m.OnBench(row.BenchRow, k).Pull })
		}
		// Another propeller on the motor, from its volts and amps alone.
		other := one.k
		other.Torque *= 0.7
		q := one.truth.OnBench(craft.BenchRow{Volts: one.volts}, &other)
		q.Throttle = 0
		tell("another propeller: rpm from volts and amps", q.Omega, func(k *Factors) float64 {
			if k == nil {
				k = &neutral
			}
			p, _ := m.atReading(q, k)
			return p.Omega
		})
	}
	var all, n float64
	for _, what := range []string{"higher volts: rpm", "higher volts: current", "higher volts: pull", "half throttle: rpm", "half throttle: current", "half throttle: pull", "another propeller: rpm from volts and amps"} {
		t.Logf("%-45s held %.2f, off by %.1f %% (%.1f %% from the labels)", what, in[what]/of[what], 100*errs[what], 100*before[what])
		all, n = all+in[what], n+of[what]
		check.Row{Topic: "invented motors, blind", Name: what + ", in its 90 % interval", Source: cite.Ours.At("motors of known truth, invented", cite.Derived)}.
			Near(t, in[what]/of[what], 0.90, check.ModelAbs(0.10, "48 motors: binomial standard error 0.043, and readings better than the 1 and 3 % held of them"))
		if errs[what] > 0.6*before[what] {
			t.Errorf("%s: off by %.1f %%, by the labels %.1f %%", what, 100*errs[what], 100*before[what])
		}
	}
	check.Row{Topic: "invented motors, blind", Name: "all that is foretold, in its 90 % interval", Source: cite.Ours.At("motors of known truth, invented", cite.Derived)}.
		Near(t, all/n, 0.93, check.ModelAbs(0.06, "readings better than the 1 and 3 % held of them"))
}

// What one measures narrows what is foretold and widens nothing: pull by a
// luggage scale, speed by a tachometer, current by a wattmeter, each alone, in
// pairs and together, against knowing nothing. The doubt is that of rpm,
// current and pull at the volts of the row and at fewer. With current and rpm
// both read a row is taken apart, so that a wrong propeller does not spoil the
// motor's part; the rpm then stands in two comparisons with one and the same
// error, and the covariance says so. A twentieth is left to 160 draws.
func TestEachReadingNarrows(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	names := [6]string{"pull", "rpm", "current", "pull at fewer volts", "rpm at fewer volts", "current at fewer volts"}
	var gain [8][6]float64
	const motors = 10
	for range motors {
		one := invent(t, r)
		m := one.label
		whole := one.read(r, one.volts)
		var doubt [8][6]float64
		for mask := range 8 {
			row := craft.BenchRow{Volts: one.volts}
			if mask&1 != 0 {
				row.Pull = whole.Pull
			}
			if mask&2 != 0 {
				row.Omega = whole.Omega
			}
			if mask&4 != 0 {
				row.Amps = whole.Amps
			}
			m.rows = []craft.BenchRow{row}
			b := m.FitBench(nil)
			var sum, square [6]float64
			const n = 160
			for _, k := range draws(&b, rand.New(rand.NewPCG(1, 1)), n) { // the same deviates for each
				hi, lo := m.OnBench(craft.BenchRow{Volts: one.volts}, &k), m.OnBench(craft.BenchRow{Volts: 0.7 * one.volts}, &k)
				for i, v := range [6]float64{hi.Pull, hi.Omega, hi.Amps, lo.Pull, lo.Omega, lo.Amps} {
					v = math.Log(v)
					sum[i] += v / n
					square[i] += v * v / n
				}
			}
			for i := range sum {
				doubt[mask][i] = math.Sqrt(square[i] - sum[i]*sum[i])
				gain[mask][i] += doubt[mask][i] / motors
			}
		}
		for mask := range 8 {
			for bit := 1; bit < 8; bit <<= 1 {
				for i := range names {
					if less, more := doubt[mask][i], doubt[mask|bit][i]; more > 1.05*less {
						t.Errorf("readings %03b to %03b: doubt of %s grows from %.4f to %.4f", mask, mask|bit, names[i], less, more)
					}
				}
			}
		}
	}
	for mask, word := range []string{"nothing read", "pull", "rpm", "pull, rpm", "current", "pull, current", "rpm, current", "pull, rpm, current"} {
		t.Logf("%-20s pull %4.1f %%, rpm %4.1f %%, current %4.1f %%; fewer volts %4.1f, %4.1f, %4.1f %%", word,
			100*gain[mask][0], 100*gain[mask][1], 100*gain[mask][2], 100*gain[mask][3], 100*gain[mask][4], 100*gain[mask][5])
	}
	for _, c := range []struct {
		mask, of int
		most     float64
	}{{1, 0, 0.04}, {2, 1, 0.015}, {4, 2, 0.04}, {7, 3, 0.045}, {7, 4, 0.015}, {7, 5, 0.05}} {
		if gain[c.mask][c.of] > c.most {
			t.Errorf("readings %03b leave %.3f of %s in doubt", c.mask, gain[c.mask][c.of], names[c.of])
		}
	}
}

// Packs of known truth, blind: a few readings of two discharges typed off a
// charger's display, noisy, of a pack whose resistance, capacity and rest
// voltage are all off its label, foretell a third current: the voltage within
// what they say, better than the label does, and the truth of resistance and
// capacity in its interval about nine times in ten.
func TestBlindDischarge(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 33))
	var worst, mean, guess, n, packs float64
	var in [2]float64
	for range 60 {
		cells := 2 + r.IntN(5)
		label := (0.4 + 6*r.Float64()) * 3600
		usual := typical.CellResistance(label, typical.LiPo)
		capacity := label * (1 + 0.05*r.NormFloat64())
		truth := Pack{
			Chemistry: typical.LiPo, Cells: cells, Capacity: capacity, Cell: usual.Value * math.Exp(0.35*r.NormFloat64()), Age: 1, Temperature: 298.15, Cutoff: 3.0,
			Shift: [3]float64{0.04 * r.NormFloat64(), 0.02 * r.NormFloat64(), 0.015 * r.NormFloat64()},
		}
		var rows []typical.Reading
		for _, c := range []float64{1 + r.Float64(), 8 + 6*r.Float64()} {
			i := c * capacity / 3600
			d := truth.Constant(i, 1, 0.05)
			for k := 1; k <= 5; k++ {
				at := k * (len(d.Volts) - 1) / 5
				rows = append(rows, typical.Reading{Amps: i * (1 + 0.01*r.NormFloat64()), Taken: (1 - d.Charge[at]) * capacity, Volts: d.Volts[at] + 0.01*float64(cells)*r.NormFloat64()})
			}
		}
		e := typical.FromDischarge(rows, cells, 1, typical.LiPo, usual, typical.Value{Value: label, Sigma: 0.05 * label})
		if !e.OK {
			t.Errorf("readings of an honest pack fit none: %+v", e)
			continue
		}
		packs++
		if math.Abs(e.Resistance.Value-truth.Cell) < 1.645*e.Resistance.Sigma {
			in[0]++
		}
		if math.Abs(e.Capacity.Value-capacity) < 1.645*e.Capacity.Sigma {
			in[1]++
		}
		fitted, plain := truth, truth
		fitted.Cell, fitted.Capacity, fitted.Shift = e.Resistance.Value, e.Capacity.Value, e.Shift
		plain.Cell, plain.Capacity, plain.Shift = usual.Value, label, [3]float64{}
		i := 5 * capacity / 3600
		for q := 0.1; q < 0.81; q += 0.05 {
			volts := func(p *Pack) float64 {
				s := 1 - q*capacity/p.Capacity
				return (p.Rest(s) - i*p.Steady(s)) / float64(cells)
			}
			miss := math.Abs(volts(&fitted) - volts(&truth))
			worst, mean, guess, n = math.Max(worst, miss), mean+miss, guess+math.Abs(volts(&plain)-volts(&truth)), n+1
		}
	}
	t.Logf("third current: mean %.4f V a cell, worst %.4f; by the label %.4f; resistance held %.2f, capacity %.2f", mean/n, worst, guess/n, in[0]/packs, in[1]/packs)
	row := check.Row{Topic: "invented packs, blind", Unit: "V", Source: cite.Ours.At("packs of known truth, invented", cite.Derived)}
	row.Name = "a third current from ten readings of two, mean of a cell"
	row.Near(t, mean/n, 0, check.ModelAbs(0.012, "readings of 10 mV a cell"))
	row.Name = "the same, worst"
	row.Near(t, worst, 0, check.ModelAbs(0.05, "sixty packs: three standard deviations of 15 mV"))
	row.Unit = ""
	for k, what := range []string{"resistance", "capacity"} {
		row.Name = what + " in its 90 % interval"
		row.Near(t, in[k]/packs, 0.93, check.ModelAbs(0.07, "sixty packs: binomial standard error 0.04, and readings better than the 15 mV held of them"))
	}
	if mean > 0.5*guess {
		t.Errorf("discharges teach little: %.4f V, by the label %.4f V", mean/n, guess/n)
	}
}
