package assess

import "fmt"

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
			if x.got > 0 && (x.got > 1.08*x.want || x.got < x.want/1.08) {
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
