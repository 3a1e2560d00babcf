package assess

import (
	"fmt"
	"math"
	"slices"

	"fledge/internal/tune"
)

// joint is how the errors of the drive's numbers hang together: a propeller's
// thrust and torque err in company, and after a bench fit what a row tells is
// a sum (speed for volts and amps: motor constant and resistance) and not its
// parts; drawn apart they would make the very readings doubtful again.
type joint struct {
	input [6]int // of Aircraft.Inputs, −1: none
	sigma [6]float64
	root  [][]float64
}

// jointOf takes the correlations of the bench fit, of the propeller's spread
// without one.
func (c *Chain) jointOf() *joint {
	together := func(a, b int) float64 {
		return c.bench.Cov[a][b] / math.Sqrt(c.bench.Cov[a][a]*c.bench.Cov[b][b])
	}
	if !c.bench.OK || c.bench.Readings == 0 {
		prior := c.Aircraft.Power.Propeller.Together()
		together = func(a, b int) float64 {
			if a+b == 1 { // thrust and torque
				return prior
			}
			return 0
		}
	}
	j := &joint{}
	for k, paths := range [6][]string{{"factor.thrust"}, {"factor.torque"}, {"factor.kv", "power.motor.kv"}, {"power.motor.resistance"}, {"power.motor.idle_current"}, {"power.battery.cell_resistance"}} {
		j.input[k] = -1
		for i := range c.Aircraft.Inputs {
			for _, p := range paths {
				if in := &c.Aircraft.Inputs[i]; in.Path == p && j.input[k] < 0 && !in.Taught {
					j.input[k], j.sigma[k] = i, c.sigma(in)
				}
			}
		}
	}
	corr := make([][]float64, 6)
	for a := range corr {
		corr[a] = make([]float64, 6)
		for b := range corr[a] {
			switch {
			case a == b:
				corr[a][b] = 1
			case j.input[a] >= 0 && j.input[b] >= 0:
				corr[a][b] = together(a, b)
			}
		}
	}
	var ok bool
	if j.root, ok = tune.Root(corr); !ok {
		return nil
	}
	return j
}

// mixed turns values drawn independently into values whose errors hang
// together as the bench rows leave them; each keeps its spread.
func (j *joint) mixed(c *Chain, index []int, value []float64) []float64 {
	if j == nil || len(index) == 0 {
		return value
	}
	var z [6]float64
	var place [6]int
	any := false
	for k, i := range j.input {
		place[k] = -1
		if i < 0 || !(j.sigma[k] > 0) {
			continue
		}
		for n, at := range index {
			if at == i {
				place[k], z[k], any = n, (value[n]-c.Aircraft.Inputs[i].Nominal)/j.sigma[k], true
				break
			}
		}
	}
	if !any {
		return value
	}
	out := append([]float64(nil), value...)
	for k, i := range j.input {
		if place[k] < 0 {
			continue
		}
		s := 0.0
		for q := 0; q <= k; q++ {
			s += j.root[k][q] * z[q]
		}
		in := &c.Aircraft.Inputs[i]
		out[place[k]] = math.Max(in.Low, math.Min(in.High, in.Nominal+j.sigma[k]*s))
	}
	return out
}

// BenchRemark is what the fit has to say of the build's bench rows: of one
// row, or of all (Row < 0).
type BenchRemark struct {
	Row       int // of power.bench, from 0
	Say, Hint string
}

// BenchRemarks tells which bench rows were not believed, or could not teach,
// and whether they hang together. Nil when all is well.
func (c *Chain) BenchRemarks() (out []BenchRemark) {
	if c.Power == nil || len(c.Aircraft.Power.Bench) == 0 || c.Aircraft.BenchTaught {
		return nil
	}
	b := &c.bench
	const rpm = 0.10471975511965977
	for _, i := range b.Aside {
		row, p := c.Aircraft.Power.Bench[i], b.Predicted[i]
		say := fmt.Sprintf("bench row %d is left out: the others agree without it, and not with it", i+1)
		if len(c.Aircraft.Power.Bench)-len(b.Dumb) < 3 {
			say = fmt.Sprintf("bench row %d is left out: it goes against these parts", i+1)
		}
		for _, x := range []struct {
			what, read string
			got, want  float64
		}{{"rotation", "%.0f rpm, expected %.0f", row.Omega / rpm, p.Omega / rpm}, {"current", "%.4g A, expected %.3g", row.Amps, p.Amps}, {"pull", "%.3g N, expected %.3g", row.Pull, p.Pull}} {
			if x.got > 0 && (x.got > (1+offShare)*x.want || x.got < x.want/(1+offShare)) {
				say += "; " + x.what + " read " + fmt.Sprintf(x.read, x.got, x.want)
			}
		}
		out = append(out, BenchRemark{i, say, "read it again, or take the row out"})
	}
	for _, i := range b.Dumb {
		out = append(out, BenchRemark{i, fmt.Sprintf("bench row %d teaches nothing: it has no current, rotation or pull to compare", i+1), "amps, rpm or pull; at part throttle two of them"})
	}
	switch {
	case !b.OK:
		out = append(out, BenchRemark{-1, "the bench rows could not be fitted: the labels are used", "read them again, one full-throttle row with volts, amps, rpm and pull first"})
	case b.Doubted && len(c.Aircraft.Power.Bench) == 1:
		out = append(out, BenchRemark{-1, fmt.Sprintf("the bench row does not go with these parts (%.0f reading errors off): its doubt is wider for it", b.Chi), "is it this motor, propeller and supply? read it again"})
	case b.Doubted:
		out = append(out, BenchRemark{-1, fmt.Sprintf("the bench rows do not agree with one another or with the parts (%.0f reading errors apart): their doubt is wider for it", b.Chi), "one more row tells which is wrong; is it this motor and propeller in all of them?"})
	case b.Far != "":
		out = append(out, BenchRemark{-1, "the bench rows make " + b.Far, "is it this motor and propeller, and read in these units?"})
	}
	if v, ok := c.beyondIdeal(); ok {
		out = append(out, BenchRemark{-1, fmt.Sprintf("the bench rows make the propeller better than a loss-free disc at %.0f m/s, which none is: speeds and currents in flight are too good", v), "read amps and pull again; is it this propeller?"})
	}
	return out
}

// offShare is the share by which a reading of a row left out is said to be off.
const offShare = 0.08

// BenchOff is a bench row that was left out, and which of its readings are off.
type BenchOff struct {
	Row              int // of power.bench, from 0
	Revs, Amps, Pull bool
	Say              string
}

// BenchOff lists the bench rows that were left out.
func (c *Chain) BenchOff() (out []BenchOff) {
	if c.Power == nil || len(c.bench.Predicted) != len(c.Aircraft.Power.Bench) {
		return nil
	}
	off := func(got, want float64) bool { return got > 0 && (got > (1+offShare)*want || got < want/(1+offShare)) }
	for _, r := range c.BenchRemarks() {
		if r.Row < 0 || !slices.Contains(c.bench.Aside, r.Row) {
			continue
		}
		row, p := c.Aircraft.Power.Bench[r.Row], c.bench.Predicted[r.Row]
		out = append(out, BenchOff{r.Row, off(row.Omega, p.Omega), off(row.Amps, p.Amps), off(row.Pull, p.Pull), r.Say})
	}
	return out
}

// beyondIdeal is the lowest airspeed of a scan at which the fitted propeller,
// at full throttle, does more than momentum allows.
func (c *Chain) beyondIdeal() (float64, bool) {
	b := &c.bench
	if !b.OK || b.Readings == 0 {
		return 0, false
	}
	k := b.Factors
	var speeds []float64
	for v := 5.0; v <= 100; v += 5 {
		speeds = append(speeds, v)
	}
	for _, r := range c.Power.Against(1, c.Power.Charge, speeds, &k) {
		if r.Thrust > 0 && r.Propeller > r.Ideal {
			return r.Airspeed, true
		}
	}
	return 0, false
}
