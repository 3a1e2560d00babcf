package power

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fledge/internal/craft"
	"fledge/internal/num"
	"fledge/internal/power/typical"

	"gonum.org/v1/gonum/floats"
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

// DefaultSpread is the doubt of the factors before any bench row: by what is
// known of the propeller, and for motor and cells by what the build states of
// them (a measured constant stands as measured); labels' where it does not.
func (m *Model) DefaultSpread() Spread { return m.key.doubt }

// Least doubt of a motor's numbers about the working drive, however well they
// were read apart from it: magnets' and copper's warmth, controller timing.
const (
	leastKV    = 0.01
	leastOther = 0.10
)

// doubtOf is the doubt of the factors as the aircraft states it.
func doubtOf(ac *craft.Aircraft) Spread {
	p := &ac.Power
	k := typical.PropellerDoubt(p.Propeller.Known())
	s := Spread{k.Thrust.Sigma, k.Torque.Sigma, typical.KVTrue().Sigma, 0.45, 0.35, 0.05, 0.4}
	if len(ac.Inputs) == 0 {
		return s
	}
	rel := map[string]float64{}
	for i := range ac.Inputs {
		if in := &ac.Inputs[i]; strings.HasPrefix(in.Path, "power.") || strings.HasPrefix(in.Path, "factor.") {
			rel[in.Path] = math.Abs(in.Sigma / in.Nominal)
		}
	}
	s.KV = math.Max(math.Hypot(rel["factor.kv"], rel["power.motor.kv"]), leastKV)
	r, c := p.Motor.Resistance, p.Controller.Resistance
	s.Resistance = math.Max(math.Hypot(rel["power.motor.resistance"]*r, rel["power.controller.resistance"]*c)/(r+c), leastOther)
	s.CellResistance = math.Max(rel["power.battery.cell_resistance"], leastOther)
	s.Idle = math.Max(rel["power.motor.idle_current"], leastOther)
	s.Capacity = math.Max(rel["power.battery.capacity"], 0.02)
	return s
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
	// KV (rad/s per volt, magnets warm) and Resistance (ohm, motor and
	// controller, cold) with the factors, for people to read.
	KV, Resistance float64
	OK             bool // converged
	// Aside are the rows (rising) left out because all others, or with fewer
	// than three the parts as described, agree without them and not with them.
	// Doubted: the rows do not agree with one another
	// or with the parts, and it cannot be told which is wrong; the doubt is
	// wider for it. Dumb are the rows without a reading that could teach.
	Aside, Dumb []int
	Doubted     bool
	// Far names a factor that the rows move by more than three of its
	// deviations: another part than the one described, or a wrong reading.
	Far  string
	pull [fitN]float64 // how far each factor was moved, in its deviations
}

// disagree is the root mean square of the misfits, in reading errors, above
// which bench rows do not fit together; agree is what the rest must come under
// for a row to be set aside, and at least by the factor better. The rows of
// one stand, motor and propeller (TestBenchFit) come to 0.5 to 1.5.
const (
	disagree = 3.0
	agree    = 2.0
	better   = 2.5
	far      = 3.0
	hopeless = 10.0 // misfit of the only row beyond which the parts are believed
)

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
	train := &m.Train
	mm := train.Motor.Mass
	if !(mm > 0) {
		mm = 0.03
	}
	if row.Bare {
		// Little current, a cold winding.
		d.rm = (train.Motor.Resistance*(1+copperPerK*(m.airT-room)) + train.Controller.Resistance) * k.Resistance
		w := m.alone(&d, th)
		i := d.iron(w)
		o := d.open(th)
		ib := i*(o.gain+o.heap*i) + d.idle
		return craft.BenchRow{Volts: d.voc - d.pack*ib, Amps: ib, Omega: w, Throttle: th, Bare: true}
	}
	var p Point
	rise := 20.0
	for range 3 {
		hot := train.Motor.Resistance * (1 + copperPerK*(m.airT+rise-room))
		d.rm = (hot + train.Controller.Resistance) * k.Resistance
		d.heat = d.ripple * d.rm / d.voc
		p = m.solve(&d, 0, th)
		i := math.Max(p.Torque*d.kv+d.iron(p.Omega), 0)
		rise = math.Min(benchWarm*0.030/mm*i*i*train.Motor.Resistance*k.Resistance, 90)
	}
	return craft.BenchRow{Volts: p.Voltage, Amps: p.Current, Omega: p.Omega, Pull: p.Thrust, Throttle: th}
}

// alone is the speed (rad/s) of the motor without a propeller.
func (m *Model) alone(d *drive, throttle float64) float64 {
	o := d.open(throttle)
	top := o.e * d.kv
	s := num.Root(func(w float64) float64 {
		i, _ := d.current(&o, w)
		return i - d.iron(w)
	}, 0, top, 1e-9*top)
	return s.X
}

// full says whether the row tells of the motor by itself: volts, amps and
// omega read at full throttle.
func full(row craft.BenchRow) bool {
	return row.Volts > 0 && row.Amps > 0 && row.Omega > 0 && !(row.Throttle > 0 && row.Throttle < 0.97)
}

// atReading is the model beside a row, for a fit.
//
// A full row is taken apart: omega from the volts and amps read, through the
// motor alone; amps and pull from the omega read, through the propeller. So a
// wrong propeller (or several on one motor) does not spoil the motor's part.
// A stick at part throttle says little of the duty: there the throttle is
// found from omega, or from the amps when no omega was read; used names the
// reading so spent ('w', 'i', 0).
func (m *Model) atReading(row craft.BenchRow, k *Factors) (q craft.BenchRow, used byte) {
	if full(row) {
		d := m.driveAtLaunch(k)
		train := &m.Train
		mm := train.Motor.Mass
		if !(mm > 0) {
			mm = 0.03
		}
		i := math.Max(row.Amps-d.idle, 0)
		rise := math.Min(benchWarm*0.030/mm*i*i*train.Motor.Resistance*k.Resistance, 90)
		hot := train.Motor.Resistance*(1+copperPerK*(m.airT+rise-room)) + train.Controller.Resistance
		thrust, torque, _ := m.Prop.At(0, row.Omega)
		if row.Bare {
			thrust, torque = 0, 0
		}
		return craft.BenchRow{
			Volts: row.Volts, Throttle: 1, Bare: row.Bare,
			Omega: d.kv * (row.Volts - i*(hot*k.Resistance+d.lag*row.Omega)),
			Amps:  torque*d.tau*d.kv + d.iron(row.Omega) + d.idle,
			Pull:  thrust * d.thrust,
		}, 0
	}
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

// FitBench fits the factors to the build's bench rows with [Model.Fit] about
// the prior expectation (motor constants fall short of their labels), and sets
// a row aside that contradicts all others: with three rows or more, at most a
// quarter of them (one, of three), and only where the others agree without it;
// of two the one that alone goes against the parts as described; the only one
// when nothing between it and the parts can be found.
// Misfit and Readings are then of the rows kept, Predicted of all.
func (m *Model) FitBench(about *Factors) Bench {
	b := m.fit(m.rows, m.DefaultSpread(), about)
	var dumb []int
	for i, r := range m.rows {
		if !(r.Amps > 0 || r.Omega > 0 || r.Pull > 0) || r.Throttle > 0 && r.Throttle < 0.97 && !(r.Pull > 0) && (r.Amps > 0) != (r.Omega > 0) {
			dumb = append(dumb, i)
		}
	}
	b.Dumb = dumb
	var aside []int
	chi := b.Chi
	for (b.Chi > disagree || !b.OK) && len(m.rows) >= 3 && len(aside) < max(1, len(m.rows)/4) {
		kept := func(without int) (rows []craft.BenchRow) {
			for i, r := range m.rows {
				if i != without && !slices.Contains(aside, i) {
					rows = append(rows, r)
				}
			}
			return
		}
		// The rows that fit worst are tried first: a wrong row draws the fit to
		// itself, yet seldom past all of three others.
		worst := m.rowMisfit(&b.Factors)
		order := make([]int, 0, len(worst))
		for i := range worst {
			if !slices.Contains(aside, i) && !slices.Contains(dumb, i) {
				order = append(order, i)
			}
		}
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(worst[j], worst[i]) })
		var best Bench
		out := -1
		for _, i := range order[:min(4, len(order))] {
			c := m.fit(kept(i), m.DefaultSpread(), about)
			if c.OK && c.Readings > 0 && (out < 0 || c.Chi < best.Chi) {
				best, out = c, i
			}
		}
		last := len(aside)+1 == max(1, len(m.rows)/4)
		if out < 0 || last && (best.Chi > agree || best.Chi*better > chi) {
			break
		}
		aside = append(aside, out)
		b = best
	}
	if (b.Chi > disagree || !b.OK) && len(aside) > 0 { // setting aside did not clear it
		b, aside = m.fit(m.rows, m.DefaultSpread(), about), nil
	}
	if b.Chi > disagree || !b.OK || b.most() > 2*far {
		// One or two rows: the parts as described are the only other witness.
		var live []int
		for i := range m.rows {
			if !slices.Contains(dumb, i) {
				live = append(live, i)
			}
		}
		switch len(live) {
		case 1:
			if b.Chi > hopeless || b.most() > 2*far {
				b, aside = m.fit(nil, m.DefaultSpread(), about), live
			}
		case 2:
			one, two := m.fit(m.rows[live[0]:live[0]+1], m.DefaultSpread(), about), m.fit(m.rows[live[1]:live[1]+1], m.DefaultSpread(), about)
			if one.sound() && !two.sound() {
				b, aside = one, live[1:]
			} else if two.sound() && !one.sound() {
				b, aside = two, live[:1]
			}
		}
	}
	slices.Sort(aside)
	b.Aside, b.Dumb, b.Doubted = aside, dumb, b.OK && b.Chi > disagree || !b.OK
	for j, name := range []string{"pull", "power", "motor constant", "resistance", "idle current", "cell resistance"} {
		if b.Far == "" && b.OK && math.Abs(b.pull[j]) > far {
			b.Far = fmt.Sprintf("the %s %.2g times what was expected", name, []float64{b.Factors.Thrust, b.Factors.Torque, b.Factors.KV, b.Factors.Resistance, b.Factors.Idle, b.Factors.CellResistance}[j])
		}
	}
	b.Predicted = nil
	for i := range m.rows {
		b.Predicted = append(b.Predicted, m.OnBench(m.rows[i], &b.Factors))
	}
	return b
}

// most is how far the most moved factor was moved, in its deviations.
func (b *Bench) most() (x float64) {
	for _, p := range b.pull {
		x = math.Max(x, math.Abs(p))
	}
	return x
}

// sound says whether the rows agree, and with the parts as described.
func (b *Bench) sound() bool { return b.OK && b.Chi <= agree && b.most() <= far }

// rowMisfit is the root of the sum of squares of each row's misfits.
func (m *Model) rowMisfit(k *Factors) []float64 {
	out := make([]float64, len(m.rows))
	for i, row := range m.rows {
		var r [3]float64
		n := m.misses(row, k, r[:])
		out[i] = floats.Norm(r[:n], 2)
	}
	return out
}

// Fit finds the factors that bring the model to the bench rows, least squares
// of the logarithms with the doubts as priors. Readings: omega 1 %, amps 3 %,
// pull 3 %; one of zero is none. A row at part throttle gives its omega (or
// amps) up for the duty. When the fit does not converge OK is false and the
// factors stay neutral. Idle and cell resistance take part with their priors;
// the cell resistance is only moved by rows without volts. No rows: neutral
// factors and the prior.
func (m *Model) Fit(rows []craft.BenchRow, prior Spread) Bench { return m.fit(rows, prior, nil) }

// miss is the logarithm of what the model gives over what was read, carried on
// straight below a twentieth, where a model far off may even turn backwards: a
// fit finds its way from there too.
func miss(got, want float64) float64 {
	const least = 0.05
	if x := got / want; x < least {
		return math.Log(least) + (x-least)/least
	}
	return math.Log(got / want)
}

// begin is the resistance's factor to start a fit from: the middle of what
// each full row says of it with the motor constant expected. 1 with no such row.
func (m *Model) begin(rows []craft.BenchRow, about *Factors) float64 {
	var list []float64
	train := &m.Train
	for _, q := range rows {
		if full(q) && !q.Bare {
			r := (q.Volts - q.Omega/(train.Motor.HotKV()*about.KV)) / q.Amps
			list = append(list, r/(train.Motor.Hot()+train.Controller.Resistance))
		}
	}
	if len(list) == 0 {
		return 1
	}
	slices.Sort(list)
	return math.Min(math.Max(list[len(list)/2], 0.1), 10)
}

// misses fills r with what the model misses of each reading of a row, in
// reading errors, and gives their number.
func (m *Model) misses(row craft.BenchRow, k *Factors, r []float64) (i int) {
	add := func(got, want, s float64) {
		if want > 0 {
			r[i] = miss(got, want) / s
			i++
		}
	}
	q, used := m.atReading(row, k)
	if used != 'w' {
		add(q.Omega, row.Omega, readOmega)
	}
	if used != 'i' {
		add(q.Amps, row.Amps, readAmps)
	}
	add(q.Pull, row.Pull, readPull)
	return i
}

// errors is how each of the n misses moves with one standard deviation of each
// reading at the factors of logarithms x, a column a reading. A row that is
// taken apart ([Model.atReading]) compares readings with readings: one wrong
// rpm moves its pull and current as well, and in the forecast it moves them
// back.
func (m *Model) errors(rows []craft.BenchRow, x []float64, n int) *mat.Dense {
	k := unpack(x)
	out := mat.NewDense(n, 3*len(rows), nil)
	var up, down [3]float64
	first := 0
	for i, row := range rows {
		got := 0
		for c, reading := range [3]struct {
			v *float64
			s float64
		}{{&row.Omega, readOmega}, {&row.Amps, readAmps}, {&row.Pull, readPull}} {
			if !(*reading.v > 0) {
				continue
			}
			const h = 0.1 // of the reading's error
			was := *reading.v
			*reading.v = was * math.Exp(h*reading.s)
			m.misses(row, &k, up[:])
			*reading.v = was * math.Exp(-h*reading.s)
			got = m.misses(row, &k, down[:])
			*reading.v = was
			for j := range got {
				out.Set(first+j, 3*i+c, (up[j]-down[j])/(2*h))
			}
		}
		first += got
	}
	return out
}

// spread is the covariance of the logarithms of the factors: what the errors
// of readings and of priors do to the least-squares solution. curve are the
// slopes of all misses, priors last, by the logarithms; errors those of the
// readings' misses by the readings; inverse over scale the inverse of
// curve'curve, which would be the covariance were each miss moved by a reading
// of its own.
func spread(curve, errors *mat.Dense, inverse *mat.SymDense, scale float64) (out [fitN][fitN]float64) {
	n, readings := errors.Dims()
	all := mat.NewDense(n+fitN, readings+fitN, nil)
	all.Slice(0, n, 0, readings).(*mat.Dense).Copy(errors)
	for j := range fitN {
		all.Set(n+j, readings+j, 1)
	}
	var moved, cov mat.Dense
	moved.Mul(curve.T(), all)
	moved.Mul(inverse, &moved)
	moved.Scale(1/scale, &moved)
	cov.Mul(&moved, moved.T())
	for i := range fitN {
		for j := range fitN {
			out[i][j] = (cov.At(i, j) + cov.At(j, i)) / 2
		}
	}
	return out
}

// fit is Fit with the priors about the given factors; nil: neutral.
func (m *Model) fit(rows []craft.BenchRow, prior Spread, about *Factors) Bench {
	if about == nil {
		about = &neutral
	}
	center := []float64{math.Log(about.Thrust), math.Log(about.Torque), math.Log(about.KV), math.Log(about.Resistance), math.Log(about.Idle), math.Log(about.CellResistance)}
	sig := []float64{prior.Thrust, prior.Torque, prior.KV, prior.Resistance, prior.Idle, prior.CellResistance}
	x := slices.Clone(center)
	n := 0
	for _, q := range rows {
		for _, v := range []float64{q.Omega, q.Amps, q.Pull} {
			if v > 0 {
				n++
			}
		}
		if q.Throttle > 0 && q.Throttle < 0.97 && (q.Omega > 0 || q.Amps > 0) {
			n-- // one reading goes to the duty
		}
	}
	// Readings first, then one residual for each prior.
	residual := func(x, r []float64) {
		k := unpack(x)
		i := 0
		for _, row := range rows {
			i += m.misses(row, &k, r[i:])
		}
		for j := range sig {
			r[i+j] = (x[j] - center[j]) / sig[j]
		}
	}
	b := Bench{Readings: n, OK: true}
	for j := range sig {
		b.Cov[j][j] = sig[j] * sig[j]
	}
	if n > 0 {
		up, down := make([]float64, n+fitN), make([]float64, n+fitN)
		slopes := func(p []float64, j *mat.Dense) {
			const h = 1e-4 // well above the solution's rounding
			for k := range p {
				keep := p[k]
				p[k] = keep + h
				residual(p, up)
				p[k] = keep - h
				residual(p, down)
				p[k] = keep
				for i := range up {
					j.Set(i, k, (up[i]-down[i])/(2*h))
				}
			}
		}
		x[3] = math.Log(m.begin(rows, about))
		f := num.Fit(residual, x, n+fitN, num.FitOptions{Tol: 1e-7, MaxIter: 60, Scale: sig, Jacobian: slopes})
		b.OK = f.Status == num.FitGood && f.Cov != nil
		if b.OK {
			x = f.P
			curve := mat.NewDense(n+fitN, fitN, nil)
			slopes(slices.Clone(x), curve)
			b.Cov = spread(curve, m.errors(rows, x, n), f.Cov, f.RSS/float64(f.DOF))
		}
		all := make([]float64, n+fitN)
		residual(x, all)
		b.Misfit = all[:n]
		s := 0.0
		for _, v := range b.Misfit {
			s += v * v
		}
		b.Chi = math.Sqrt(s / float64(n))
	}
	// A poor fit widens the doubt.
	grow := math.Max(1, b.Chi)
	sd := func(i int) float64 {
		return math.Min(math.Sqrt(b.Cov[i][i])*grow, math.Max(sig[i], math.Sqrt(b.Cov[i][i])))
	}
	b.Factors = unpack(x)
	for j := range sig {
		b.pull[j] = (x[j] - center[j]) / sig[j]
	}
	b.KV = m.Train.Motor.HotKV() * b.Factors.KV
	b.Resistance = (m.Train.Motor.Resistance + m.Train.Controller.Resistance) * b.Factors.Resistance
	b.Spread = Spread{Thrust: sd(0), Torque: sd(1), KV: sd(2), Resistance: sd(3), Idle: sd(4), CellResistance: sd(5), Capacity: prior.Capacity}
	for i := range rows {
		b.Predicted = append(b.Predicted, m.OnBench(rows[i], &b.Factors))
	}
	return b
}
