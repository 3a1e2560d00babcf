package power

import (
	"math"

	"fledge/internal/craft"
	"fledge/internal/power/typical"

	"gonum.org/v1/gonum/mat"
)

// Reading errors of a bench row, relative, one standard deviation, with what
// the model itself leaves: tachometer, wattmeter, luggage scale.
const (
	readOmega = 0.010
	readAmps  = 0.030
	readPull  = 0.030
)

// benchWarm is the winding's rise (K) per watt of copper loss at 30 g in a
// bench test of some ten seconds: heat stored, little given off.
const benchWarm = 0.8

// Spread is the doubt (1 sigma of the logarithm) of the factors.
type Spread struct{ Thrust, Torque, KV, Resistance, CellResistance, Capacity, Idle float64 }

// DefaultSpread is the doubt of the factors when label values and nothing
// else is known, by what is known of the propeller.
func (m *Model) DefaultSpread() Spread {
	th, to := typical.PropellerDoubt(m.known.measured, m.known.geometry)
	return Spread{th.Sigma, to.Sigma, typical.KVTrue().Sigma, 0.45, 0.35, 0.05, 0.35}
}

// Bench is what a bench fit gives.
type Bench struct {
	Factors   Factors
	Spread    Spread              // doubt after the fit
	Predicted []craft.BenchRow    // model with the factors, at the rows' volts and throttle
	Misfit    []float64           // per reading, in standard deviations
	Chi       float64             // root of the mean square of Misfit, 0 with no reading
	Cov       [fitN][fitN]float64 // of the logarithms: thrust, torque, KV, resistance, idle, cell resistance
	Readings  int
	OK        bool // converged
}

const fitN = 6

func unpack(x []float64) Factors {
	k := Neutral()
	k.Thrust, k.Torque, k.KV = math.Exp(x[0]), math.Exp(x[1]), math.Exp(x[2])
	k.Resistance, k.Idle, k.CellResistance = math.Exp(x[3]), math.Exp(x[4]), math.Exp(x[5])
	return k
}

// OnBench predicts one bench row: at its volts (measured at the controller's
// input, under load) or, when none were read, from the pack at the launch
// charge; at its throttle (0: full). Volts, Amps, Omega and Pull are filled.
// The winding is taken as warm as its copper loss makes it in ten seconds.
func (m *Model) OnBench(row craft.BenchRow, k *Factors) craft.BenchRow {
	if k == nil {
		k = &neutral
	}
	d := m.driveAtLaunch(k)
	if row.Volts > 0 {
		d.voc, d.pack, d.rb = row.Volts, 0, 0
	}
	th := row.Throttle
	if !(th > 0) {
		th = 1
	}
	t := &m.Train
	mm := t.Motor.Mass
	if !(mm > 0) {
		mm = 0.03
	}
	var p Point
	rise := 20.0
	for range 3 {
		hot := t.Motor.Resistance * (1 + copperPerK*(m.airT+rise-room))
		d.rm = (hot + t.Controller.Resistance) * k.Resistance
		p = m.solve(&d, 0, th)
		i := math.Max(p.Torque*d.kv+d.iron(p.Omega), 0)
		rise = math.Min(benchWarm*0.030/mm*i*i*t.Motor.Resistance*k.Resistance, 90)
	}
	return craft.BenchRow{Volts: p.Voltage, Amps: p.Current, Omega: p.Omega, Pull: p.Thrust, Throttle: th}
}

// atReading is OnBench for a fit. A stick at part throttle says little of the
// duty: there the throttle is found from omega, or from the amps when no
// omega was read; used names the reading so spent ('w', 'i', 0).
func (m *Model) atReading(row craft.BenchRow, k *Factors) (q craft.BenchRow, used byte) {
	if !(row.Throttle > 0 && row.Throttle < 0.97) || !(row.Omega > 0 || row.Amps > 0) {
		return m.OnBench(row, k), 0
	}
	used = 'w'
	if !(row.Omega > 0) {
		used = 'i'
	}
	lo, hi := minThrottle, 1.0
	for range 24 {
		row2 := row
		row2.Throttle = (lo + hi) / 2
		q = m.OnBench(row2, k)
		if used == 'w' && q.Omega < row.Omega || used == 'i' && q.Amps < row.Amps {
			lo = row2.Throttle
		} else {
			hi = row2.Throttle
		}
	}
	return q, used
}

// FitBench fits the factors to the build's bench rows; see [Model.Fit].
func (m *Model) FitBench() Bench { return m.Fit(m.rows, m.DefaultSpread()) }

// Fit finds the factors that bring the model to the bench rows, least squares
// of the logarithms with the doubts as priors (Gauss-Newton with a damped
// step). A row at part throttle gives its omega up for the duty. Readings: omega 1 %, amps 3 %, pull 3 %. A reading of zero is none.
// Idle and cell resistance take part with their priors; the cell resistance
// is only moved by rows without volts. No rows: neutral factors and the prior.
func (m *Model) Fit(rows []craft.BenchRow, prior Spread) Bench {
	sig := []float64{prior.Thrust, prior.Torque, prior.KV, prior.Resistance, prior.Idle, prior.CellResistance}
	x := make([]float64, fitN)
	resid := func(x []float64) []float64 {
		k := unpack(x)
		var r []float64
		for i := range rows {
			q, used := m.atReading(rows[i], &k)
			add := func(got, want, s float64) {
				if want > 0 {
					e := math.Log(math.Max(got, 1e-3*want)/want) / s
					r = append(r, e)
				}
			}
			if used != 'w' {
				add(q.Omega, rows[i].Omega, readOmega)
			}
			if used != 'i' {
				add(q.Amps, rows[i].Amps, readAmps)
			}
			add(q.Pull, rows[i].Pull, readPull)
		}
		return r
	}
	cost := func(r, x []float64) float64 {
		c := 0.0
		for _, v := range r {
			c += v * v
		}
		for i, v := range x {
			c += v * v / (sig[i] * sig[i])
		}
		return c
	}
	r := resid(x)
	n := len(r)
	b := Bench{Readings: n, OK: true}
	jac := mat.NewDense(max(n, 1), fitN, nil)
	normal := func() *mat.SymDense {
		h := mat.NewSymDense(fitN, nil)
		for i := range fitN {
			for j := i; j < fitN; j++ {
				s := 0.0
				for q := range n {
					s += jac.At(q, i) * jac.At(q, j)
				}
				if i == j {
					s += 1 / (sig[i] * sig[i])
				}
				h.SetSym(i, j, s)
			}
		}
		return h
	}
	slopes := func() {
		for j := range fitN {
			const h = 1e-4
			y := append([]float64{}, x...)
			y[j] += h
			up := resid(y)
			y[j] -= 2 * h
			dn := resid(y)
			for q := range n {
				jac.Set(q, j, (up[q]-dn[q])/(2*h))
			}
		}
	}
	c := cost(r, x)
	lambda := 1e-3
	for it := 0; it < 40 && n > 0; it++ {
		slopes()
		h := normal()
		g := mat.NewVecDense(fitN, nil)
		for j := range fitN {
			s := x[j] / (sig[j] * sig[j])
			for q := range n {
				s += jac.At(q, j) * r[q]
			}
			g.SetVec(j, -s)
		}
		better := false
		for range 12 {
			hl := mat.NewSymDense(fitN, nil)
			hl.CopySym(h)
			for j := range fitN {
				hl.SetSym(j, j, h.At(j, j)*(1+lambda))
			}
			var ch mat.Cholesky
			var step mat.VecDense
			if !ch.Factorize(hl) || ch.SolveVecTo(&step, g) != nil {
				lambda *= 10
				continue
			}
			y := make([]float64, fitN)
			size := 0.0
			for j := range y {
				s := math.Min(math.Max(step.AtVec(j), -0.7), 0.7)
				y[j] = x[j] + s
				size = math.Max(size, math.Abs(s))
			}
			ry := resid(y)
			cy := cost(ry, y)
			if cy < c {
				better = cy < c*(1-1e-10) && size > 1e-8
				x, r, c = y, ry, cy
				lambda = math.Max(lambda/5, 1e-9)
				break
			}
			lambda *= 4
		}
		if !better {
			break
		}
		b.OK = it < 39
	}
	if n > 0 {
		slopes()
	}
	var ch mat.Cholesky
	var inv mat.SymDense
	if ch.Factorize(normal()) && ch.InverseTo(&inv) == nil {
		for i := range fitN {
			for j := range fitN {
				b.Cov[i][j] = inv.At(i, j)
			}
		}
	} else {
		b.OK = false
	}
	// A poor fit widens the doubt.
	b.Misfit = r
	if n > 0 {
		s := 0.0
		for _, v := range r {
			s += v * v
		}
		b.Chi = math.Sqrt(s / float64(n))
	}
	grow := math.Max(1, b.Chi)
	sd := func(i int) float64 {
		return math.Min(math.Sqrt(b.Cov[i][i])*grow, math.Max(sig[i], math.Sqrt(b.Cov[i][i])))
	}
	b.Factors = unpack(x)
	b.Spread = Spread{Thrust: sd(0), Torque: sd(1), KV: sd(2), Resistance: sd(3), Idle: sd(4), CellResistance: sd(5), Capacity: prior.Capacity}
	for i := range rows {
		b.Predicted = append(b.Predicted, m.OnBench(rows[i], &b.Factors))
	}
	return b
}

// MotorFit is KV and whole-path resistance from full-throttle readings.
type MotorFit struct {
	KV, Resistance           float64 // rad/s per volt; ohm, motor + controller + leads, at room temperature when warm
	SigmaKV, SigmaResistance float64
	RMS                      float64 // V
	OK                       bool
}

// FitMotor fits V = omega/KV + I R (1 + warm I² R) by least squares in the
// volts to rows with volts, amps and omega read at full throttle; warm (1/W)
// is the growth of the resistance per watt of copper loss: 0 for the plain
// first-order fit, about 0.003/W for a motor of 30 g some ten seconds into a
// test. At least two rows at different load, else OK is false.
func FitMotor(rows []craft.BenchRow, warm float64) MotorFit {
	var f MotorFit
	r := 0.1
	var n int
	for it := 0; it < 60; it++ {
		// Linear in 1/KV and R with the warm factor of the last R.
		var a11, a12, a22, b1, b2 float64
		n = 0
		for _, q := range rows {
			if !(q.Volts > 0 && q.Amps > 0 && q.Omega > 0) {
				continue
			}
			n++
			g := q.Amps * (1 + warm*q.Amps*q.Amps*r)
			a11 += q.Omega * q.Omega
			a12 += q.Omega * g
			a22 += g * g
			b1 += q.Omega * q.Volts
			b2 += g * q.Volts
		}
		det := a11*a22 - a12*a12
		if n < 2 || !(det > 1e-9*a11*a22) {
			return MotorFit{}
		}
		inv := (b1*a22 - b2*a12) / det
		nr := (a11*b2 - a12*b1) / det
		if !(inv > 0) {
			return MotorFit{}
		}
		done := math.Abs(nr-r) < 1e-10
		r = nr
		f.KV, f.Resistance = 1/inv, r
		if done || warm == 0 {
			s := 0.0
			for _, q := range rows {
				if q.Volts > 0 && q.Amps > 0 && q.Omega > 0 {
					e := q.Volts - q.Omega*inv - q.Amps*r*(1+warm*q.Amps*q.Amps*r)
					s += e * e
				}
			}
			f.RMS = math.Sqrt(s / float64(n))
			v := s / math.Max(float64(n-2), 1)
			f.SigmaKV = math.Sqrt(v*a22/det) / (inv * inv)
			f.SigmaResistance = math.Sqrt(v * a11 / det)
			f.OK = true
			return f
		}
	}
	return f
}

// PredictOmega is the speed (rad/s) from volts and amps.
func (f MotorFit) PredictOmega(volts, amps, warm float64) float64 {
	return f.KV * (volts - amps*f.Resistance*(1+warm*amps*amps*f.Resistance))
}
