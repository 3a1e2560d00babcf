package typical

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/cite"
)

// Voltage of one cell at rest, 25 degC, by charge 0, 0.05, 0.1, 0.2 .. 1.
// LiPo: common practice, 0.03 V. LiHV: the same curve stretched to 4.35 V at
// the top. LiIon: round cells with a nickel-rich cathode. LiFe: iron phosphate.
var restCharge = []float64{0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

var restVoltage = map[string][]float64{
	LiPo:  {3.27, 3.55, 3.66, 3.72, 3.76, 3.79, 3.83, 3.87, 3.92, 3.98, 4.08, 4.20},
	LiHV:  {3.27, 3.55, 3.67, 3.74, 3.79, 3.84, 3.90, 3.97, 4.05, 4.14, 4.24, 4.35},
	LiIon: {2.80, 3.20, 3.36, 3.48, 3.56, 3.62, 3.69, 3.78, 3.88, 3.98, 4.07, 4.18},
	LiFe:  {2.60, 3.05, 3.18, 3.23, 3.26, 3.28, 3.29, 3.30, 3.31, 3.33, 3.34, 3.45},
}

// RestVoltage is the open-circuit voltage (V) of one cell at the share of
// charge, held at 0 and 1; monotone, 0.03 V (common practice, no source). An
// unknown chemistry counts as LiPo.
func RestVoltage(chemistry string, charge float64) float64 {
	c, _ := Chemistry(chemistry)
	v := restVoltage[c]
	if !(charge > 0) {
		return v[0]
	}
	for i := 1; i < len(v); i++ {
		if charge <= restCharge[i] {
			t := (charge - restCharge[i-1]) / (restCharge[i] - restCharge[i-1])
			return v[i-1] + t*(v[i]-v[i-1])
		}
	}
	return v[len(v)-1]
}

// ChenCell is the 850 mAh polymer cell of Chen and Rincon-Mora (2006):
// open-circuit voltage, series resistance and the two relaxations, by charge.
func ChenCell(s float64) (voc, r0, rs, cs, rl, cl float64) {
	return -1.031*math.Exp(-35*s) + 3.685 + 0.2156*s - 0.1178*s*s + 0.3201*s*s*s,
		0.1562*math.Exp(-24.37*s) + 0.07446,
		0.3208*math.Exp(-29.14*s) + 0.04669,
		-752.9*math.Exp(-13.51*s) + 703.6,
		6.603*math.Exp(-155.2*s) + 0.04984,
		-6056*math.Exp(-27.12*s) + 4475
}

// ResistanceByCharge is the resistance of a cell over that at half charge:
// flat, rising as the cell empties, after the shape of Chen and Rincon-Mora's
// three resistances together, and a little at the full end (Ecker 2015).
func ResistanceByCharge(s float64) float64 {
	s = math.Min(math.Max(s, 0), 1)
	_, a, b, _, c, _ := ChenCell(math.Max(s, 0.02))
	_, a5, b5, _, c5, _ := ChenCell(0.5)
	r := (a + b + c) / (a5 + b5 + c5)
	if s > 0.7 {
		r *= 1 + 0.2*(s-0.7)/0.3
	}
	return math.Min(r, 6)
}

// Relaxation of a cell: after a change of current a further share of the
// resistance builds up with a time constant.
const (
	RelaxShare = 0.3
	RelaxTime  = 15.0 // s
)

// RestShift is how far (V) one cell's rest voltage lies off that of its
// chemistry: level, tilt and bend over the charge, by three numbers in volt.
func RestShift(c [3]float64, charge float64) float64 {
	x := 2*math.Min(math.Max(charge, 0), 1) - 1
	return c[0] + c[1]*x + c[2]*(x*x-1.0/3)
}

// Reading is one of a pack while a steady current empties it: A (0: at rest),
// C out of the full pack until then, V of the whole pack.
type Reading struct{ Amps, Taken, Volts float64 }

// Emptied is what readings of a discharge say of a pack: the quick resistance
// of one cell at half charge and 25 degC, the pack's capacity, and how its rest
// voltage lies ([RestShift]). RMS is what it leaves, V per cell, weighted. OK is false
// when there is no reading, or none of the curves tried comes within a tenth of
// a volt of them.
type Emptied struct {
	Resistance, Capacity Value
	Shift                [3]float64
	RMS                  float64
	OK                   bool
}

// How well rows are read and the laws hold between them, V per cell; and how
// far cells' rest voltages lie off their chemistry's: level, tilt and bend.
const (
	readCell   = 0.015
	readCharge = 0.01 // of the capacity
)

var offRest = [3]float64{0.05, 0.03, 0.03}

// FromDischarge fits a pack of cells in series (side: cells side by side) to
// readings taken at room temperature: least squares with what was known of
// resistance and capacity before as priors. Readings at one current alone tell
// level and resistance together and little of either; two currents, one some
// times the other, tell the resistance to some 10 %.
func FromDischarge(rows []Reading, cells, side int, chemistry string, resistance, capacity Value) Emptied {
	e := Emptied{Resistance: resistance, Capacity: capacity}
	if len(rows) == 0 || cells < 1 || !known(resistance.Value) || !known(capacity.Value) || !known(resistance.Sigma) || !known(capacity.Sigma) {
		return e
	}
	n := float64(cells)
	sig := [5]float64{resistance.Sigma / resistance.Value, capacity.Sigma / capacity.Value, offRest[0], offRest[1], offRest[2]}
	volts := func(p *[5]float64, q Reading) float64 { // of one cell
		s := 1 - q.Taken/(capacity.Value*math.Exp(p[1]))
		v := RestVoltage(chemistry, s) + RestShift([3]float64{p[2], p[3], p[4]}, s)
		if q.Amps > 0 {
			lag := RelaxShare * -math.Expm1(-q.Taken/q.Amps/RelaxTime)
			v -= q.Amps / float64(max(side, 1)) * resistance.Value * math.Exp(p[0]) * ResistanceByCharge(s) * (1 + lag)
		}
		return v
	}
	// Marquardt's damped steps; a row weighs by how well it is read and by the
	// slope there of the voltage over the charge, which near empty is a wall.
	var p [5]float64
	for _, q := range rows { // begin where the last reading still has charge: below none there is no slope
		p[1] = math.Max(p[1], math.Log(q.Taken/(0.97*capacity.Value)))
	}
	slopes := func(q Reading) (g [5]float64, weight float64) {
		for i := range g {
			const h = 1e-5
			up, down := p, p
			up[i] += h
			down[i] -= h
			g[i] = (volts(&up, q) - volts(&down, q)) / (2 * h)
		}
		return g, 1 / (readCell*readCell + readCharge*readCharge*g[1]*g[1])
	}
	var inverse mat.Dense
	damp := 1e-3
	for range 80 {
		a, b := mat.NewSymDense(5, nil), mat.NewVecDense(5, nil)
		for i := range sig {
			a.SetSym(i, i, 1/(sig[i]*sig[i]))
			b.SetVec(i, -p[i]/(sig[i]*sig[i]))
		}
		weights := make([]float64, len(rows))
		for k, q := range rows {
			g, w := slopes(q)
			weights[k] = w
			r := q.Volts/n - volts(&p, q)
			for i := range g {
				b.SetVec(i, b.AtVec(i)+g[i]*r*w)
				for j := range i + 1 {
					a.SetSym(i, j, a.At(i, j)+g[i]*g[j]*w)
				}
			}
		}
		cost := func(x *[5]float64) (c float64) {
			for i := range sig {
				c += x[i] * x[i] / (sig[i] * sig[i])
			}
			for k, q := range rows {
				r := q.Volts/n - volts(x, q)
				c += r * r * weights[k]
			}
			return c
		}
		if inverse.Inverse(a) != nil {
			return e
		}
		was, moved := cost(&p), 0.0
		for range 12 {
			h := mat.NewSymDense(5, nil)
			h.CopySym(a)
			for i := range sig {
				h.SetSym(i, i, a.At(i, i)*(1+damp))
			}
			var step mat.VecDense
			if step.SolveVec(h, b) != nil {
				return e
			}
			x := p
			moved = 0
			for i := range x {
				x[i] += step.AtVec(i)
				moved = math.Max(moved, math.Abs(step.AtVec(i))/sig[i])
			}
			if cost(&x) <= was {
				p, damp = x, damp/5
				break
			}
			damp *= 5
		}
		if moved < 1e-5 {
			break
		}
	}
	sum, all := 0.0, 0.0
	for _, q := range rows {
		r := q.Volts/n - volts(&p, q)
		_, w := slopes(q)
		sum += r * r * w
		all += w
	}
	e.RMS = math.Sqrt(sum / all)
	grow := math.Max(1, e.RMS/readCell) // rows that do not agree widen
	for s := 0.0; s < 1; s += 0.05 {    // a rest voltage falls with the charge
		c := [3]float64{p[2], p[3], p[4]}
		if RestVoltage(chemistry, s+0.05)+RestShift(c, s+0.05) <= RestVoltage(chemistry, s)+RestShift(c, s) {
			return e
		}
	}
	if !(e.RMS < 0.1) {
		return e
	}
	const why = "fitted to the readings of its discharge"
	r, c := resistance.Value*math.Exp(p[0]), capacity.Value*math.Exp(p[1])
	e.Resistance = Value{r, r * math.Min(math.Max(math.Sqrt(inverse.At(0, 0))*grow, 0.05), sig[0]), why, cite.Choice.Key}
	e.Capacity = Value{c, c * math.Min(math.Max(math.Sqrt(inverse.At(1, 1))*grow, 0.01), sig[1]), why, cite.Choice.Key}
	e.Shift = [3]float64{p[2], p[3], p[4]}
	e.OK = true
	return e
}
