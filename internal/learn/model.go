package learn

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/launch"
	"fledge/internal/num"
	"fledge/internal/perform"
	"fledge/internal/power"
	"fledge/internal/tune"
)

// Model binds the aircraft's models to the fit. Make it with [NewModel] from
// an untaught aircraft.
type Model struct {
	Aircraft *craft.Aircraft // untaught, without its bench rows
	Chain    *assess.Chain
	learn    []learnable
	corr     [][]float64 // prior correlation of learn; nil: none
	Heirs    []string    // aeroplanes whose lessons are the prior
}

// learnable is a factor with its input.
type learnable struct {
	craft.Learnable
	at    int // index in Inputs
	param Param
	keep  float64 // standard deviation of scatter from launch to launch, as a share
	build float64 // what the build says, before anything was taught
	part  string  // the component, by name
}

// meanOfThrow is the share of a throw's variance that is not knowing the
// thrower; the rest is the throw itself. Our choice.
const meanOfThrow = 0.5

// NewModel builds the models of an untaught aircraft. Lessons of other
// aeroplanes are its prior where they speak of its components. Bench rows of
// the build are left out: they come back as readings.
func NewModel(ctx context.Context, ac *craft.Aircraft, set assess.Setting, others []tune.Lesson) (*Model, error) {
	bare := *ac
	bare.Power.Bench = nil
	start := bare.Teach(others)
	chain, err := assess.NewChainWith(ctx, start, set)
	if err != nil {
		return nil, err
	}
	m := &Model{Aircraft: start, Chain: chain}
	for i := range craft.Learnables {
		l := &craft.Learnables[i]
		at := start.InputOf(l)
		if at < 0 || ac.Component(l.Part) == "" {
			continue
		}
		in := &start.Inputs[at]
		sd := chain.Doubt(at)
		if !(sd > 0) {
			continue
		}
		x := learnable{Learnable: *l, at: at, build: ac.Inputs[at].Nominal, part: ac.Component(l.Part)}
		x.param = Param{Key: l.Name, Label: l.Label, Mean: in.Nominal, SD: sd}
		if !in.Model {
			// A number of the build: its logarithm, so that it stays above zero.
			s := sd / math.Abs(in.Nominal)
			if l.Name == "throw" && !in.Taught {
				x.keep = s * math.Sqrt(1-meanOfThrow)
				s *= math.Sqrt(meanOfThrow)
			}
			x.param.SD, x.param.Log = s, true
		}
		m.learn = append(m.learn, x)
	}
	m.priorCorr(others)
	return m, nil
}

// priorCorr takes over how the errors of taught factors hang together.
func (m *Model) priorCorr(others []tune.Lesson) {
	n := len(m.learn)
	for i := range others {
		l := &others[i]
		where := map[string]int{}
		for k, f := range l.Factors {
			for j := range m.learn {
				x := &m.learn[j]
				if x.Name != f.Name {
					continue
				}
				for _, t := range m.Aircraft.Taught {
					if t.Name == f.Name && t.Component == f.Component {
						where[f.Name] = k
					}
				}
			}
		}
		if len(where) == 0 {
			continue
		}
		if l.Aeroplane != "" && !slices.Contains(m.Heirs, l.Aeroplane) {
			m.Heirs = append(m.Heirs, l.Aeroplane)
		}
		for _, h := range l.Heirs {
			if !slices.Contains(m.Heirs, h) {
				m.Heirs = append(m.Heirs, h)
			}
		}
		if m.corr == nil {
			m.corr = identity(n)
		}
		for a := range m.learn {
			for b := range m.learn {
				i, ok := where[m.learn[a].Name]
				j, ok2 := where[m.learn[b].Name]
				if ok && ok2 {
					m.corr[a][b] = l.Rho(i, j)
				}
			}
		}
	}
	sort.Strings(m.Heirs)
}

// drawn is the aircraft with learnable values x and perhaps one other input.
func (m *Model) drawn(x []float64, extra int, value float64) assess.Drawn {
	index, v := make([]int, 0, len(x)+1), make([]float64, 0, len(x)+1)
	for k := range m.learn {
		index, v = append(index, m.learn[k].at), append(v, x[k])
	}
	if extra >= 0 {
		index, v = append(index, extra), append(v, value)
	}
	return m.Chain.DrawPlain(index, v)
}

// predict asks the models for one reading.
func (m *Model) predict(d *assess.Drawn, r *Reading, w *work) float64 {
	ac := d.Aircraft
	rho, mu := d.Air.Rho, d.Air.Mu
	pk := d.PowerK
	if r.Rho > 0 {
		pk.Rho *= r.Rho / rho
		rho = r.Rho
	}
	weight := ac.Mass.Total * perform.Gravity
	trim := func(v, lift float64) aero.Trimmed {
		return m.Chain.Aero.Trim(aero.Balance{V: v, Rho: rho, Mu: mu, Lift: lift, CG: ac.Mass.CG}, &d.AeroK)
	}
	nan := math.NaN()
	switch r.Kind {
	case LevelSpeed, LevelRevs, LevelAmps:
		if m.Chain.Power == nil {
			return nan
		}
		th := r.Throttle
		if th == 0 {
			th = 1
		}
		v, ok := w.speeds[[2]float64{th, rho}]
		if !ok {
			v = m.level(func(v float64) float64 {
				pull := m.Chain.Power.At(v, th, &pk).Thrust
				under := m.Chain.Aero.Trim(aero.Balance{
					V: v, Rho: rho, Mu: mu, Lift: weight, CG: ac.Mass.CG, PropOn: true, Thrust: math.Max(0, pull),
				}, &d.AeroK)
				return pull - under.Drag
			})
			w.speeds[[2]float64{th, rho}] = v
		}
		if math.IsNaN(v) {
			return nan
		}
		switch r.Kind {
		case LevelRevs:
			return m.Chain.Power.At(v, th, &pk).Omega
		case LevelAmps:
			return m.Chain.Power.At(v, th, &pk).Current
		}
		return v
	case GlideSink:
		idle := func(float64) float64 { return 0 }
		if m.Chain.Power != nil {
			idle = m.Chain.Power.Stopped
		}
		n := 1.0
		s := 0.0
		for range 12 {
			t := trim(r.At, n*weight)
			if !t.OK {
				return nan
			}
			s = (t.Drag + idle(r.At)) / weight
			if s >= 1 {
				return nan
			}
			next := math.Sqrt(1 - s*s)
			if math.Abs(next-n) < 1e-10 {
				break
			}
			n = next
		}
		return r.At * s
	case Stall:
		key := [2]float64{-1, rho}
		v, ok := w.speeds[key]
		if !ok {
			v = m.Chain.Aero.StallSpeed(ac.Mass.Total, ac.Mass.CG, rho, mu, &d.AeroK)
			w.speeds[key] = v
		}
		return v
	case Trim, Attitude:
		t := trim(r.At, weight)
		switch {
		case !t.OK:
			return nan
		case r.Kind == Trim:
			return t.Stick
		}
		return t.Alpha
	case BenchRevs, BenchAmps, BenchPull:
		if m.Chain.Power == nil {
			return nan
		}
		q, ok := w.rows[r.Row]
		if !ok {
			q = m.onBench(r.Row, &pk)
			w.rows[r.Row] = q
		}
		return map[Kind]float64{BenchRevs: q.Omega, BenchAmps: q.Amps, BenchPull: q.Pull}[r.Kind]
	case CordPull:
		s := m.Chain.Setup(d)
		if s.Cord == nil {
			return nan
		}
		f, _, _ := s.Cord.At(r.At)
		return f * s.CordFactor
	case Release:
		s := m.Chain.Setup(d)
		if s.Way == launch.Bungee && r.Stretch > 0 {
			s.Stretch = r.Stretch
		}
		if w.flight == nil {
			w.flight = launch.NewWorkspace()
		}
		out := launch.Run(&s, w.flight)
		if !out.Released {
			return nan
		}
		return out.AtRelease.Speed
	case RingAngle:
		if ac.Launch.By != "bungee" {
			return nan
		}
		return math.Atan(ac.Launch.Bungee.Friction) + ac.Launch.Bungee.Burr
	case PackOhms:
		if m.Chain.Power == nil {
			return nan
		}
		p := &m.Chain.Power.Train.Pack
		return p.Steady(ac.Power.Battery.Charge) * d.PowerK.CellResistance
	}
	panic("learn: no kind " + string(r.Kind))
}

// onBench predicts a bench row; at part throttle the duty is found from the
// revs, or the current, that were read.
func (m *Model) onBench(row craft.BenchRow, k *power.Factors) craft.BenchRow {
	p := m.Chain.Power
	if !(row.Throttle > 0 && row.Throttle < 0.97) || !(row.Omega > 0 || row.Amps > 0) {
		return p.OnBench(row, k)
	}
	lo, hi := 0.02, 1.0
	var q craft.BenchRow
	for range 40 {
		row.Throttle = (lo + hi) / 2
		q = p.OnBench(row, k)
		if row.Omega > 0 && q.Omega < row.Omega || !(row.Omega > 0) && q.Amps < row.Amps {
			lo = row.Throttle
		} else {
			hi = row.Throttle
		}
	}
	return q
}

// work keeps what the readings of one drawn aircraft share: passes in the
// same air at the same throttle fly at one speed, a bench row is run once.
type work struct {
	flight *launch.Workspace
	speeds map[[2]float64]float64 // by throttle (stall: −1) and density; NaN: none
	rows   map[craft.BenchRow]craft.BenchRow
}

// all predicts every reading for learnable values x and perhaps one other
// input (extra < 0: none).
func (m *Model) all(list []Reading, x []float64, extra int, value float64, w *work, y []float64) {
	w.speeds, w.rows = map[[2]float64]float64{}, map[craft.BenchRow]craft.BenchRow{}
	d := m.drawn(x, extra, value)
	for i := range list {
		y[i] = m.predict(&d, &list[i], w)
	}
}

// level finds the largest airspeed at which the excess of thrust vanishes; NaN
// when there is none. It starts above any speed that can be and comes down in
// steps of 12 %, then closes the bracket: pure, whatever was asked before.
func (m *Model) level(excess func(float64) float64) float64 {
	ref := m.Chain.Aero.ReferenceSpeed()
	hi := 8 * ref
	for excess(hi) > 0 { // faster still
		if hi *= 1.5; hi > 340 {
			return math.NaN()
		}
	}
	for hi > 0.5*ref {
		lo := hi / 1.12
		if excess(lo) > 0 {
			if at := num.Root(excess, lo, hi, 1e-9*hi); at.OK {
				return at.X
			}
			return math.NaN()
		}
		hi = lo
	}
	return math.NaN()
}

// Problem makes the fit of readings that may be used; refused lists the
// others with the reason. The readings must be sorted ([Sorted]).
func (m *Model) problem(list []Reading) *Problem {
	n := len(m.learn)
	q := &Problem{}
	for k := range m.learn {
		q.Params = append(q.Params, m.learn[k].param)
	}
	centre := make([]float64, n)
	for k := range centre {
		centre[k] = m.learn[k].param.Mean
	}
	w := &work{}
	base := make([]float64, len(list))
	m.all(list, centre, -1, 0, w, base)
	sd := make([]float64, len(list))
	for i := range list {
		r := &list[i]
		sd[i] = math.Hypot(r.SD, traits[r.Kind].least*math.Abs(r.Value))
		if r.Kind == Release {
			sd[i] = math.Hypot(sd[i], m.releaseScatter(r)*r.Value)
		}
	}
	// What is unknown besides: each input's effect on each reading, once, by
	// one difference of a standard deviation.
	type effect struct {
		param Param
		by    []float64 // relative for multiplied kinds
	}
	var effects []effect
	varied := make([]float64, len(list))
	ac := m.Aircraft
	learned := map[int]bool{}
	for k := range m.learn {
		learned[m.learn[k].at] = true
	}
	for j := range ac.Inputs {
		in := &ac.Inputs[j]
		s := m.Chain.Doubt(j)
		if learned[j] || in.Kind == craft.Scatter || !(s > 0) {
			continue
		}
		v := in.Nominal + s
		if v > in.High {
			v = in.Nominal - s
		}
		m.all(list, centre, j, v, w, varied)
		e := effect{param: Param{Key: in.Path, Label: in.Label, SD: 1, Nuisance: true}, by: make([]float64, len(list))}
		matters := false
		for i := range list {
			diff := (varied[i] - base[i]) * (s / (v - in.Nominal))
			if math.IsNaN(diff) {
				continue
			}
			matters = matters || math.Abs(diff) > 0.05*sd[i]
			e.by[i] = diff
			if !additive(list[i].Kind) {
				e.by[i] = diff / base[i]
			}
		}
		if matters {
			effects = append(effects, e)
		}
	}
	// The share by which the model itself is off, common to a kind.
	kinds := map[Kind]bool{}
	for i := range list {
		kinds[list[i].Kind] = true
	}
	var names []string
	for k := range kinds {
		names = append(names, string(k))
	}
	sort.Strings(names)
	for _, k := range names {
		e := effect{param: Param{Key: "model of " + k, Label: "the model of the " + k, SD: 1, Nuisance: true}, by: make([]float64, len(list))}
		for i := range list {
			if string(list[i].Kind) == k {
				e.by[i] = traits[Kind(k)].off
			}
		}
		effects = append(effects, e)
	}
	for _, e := range effects {
		q.Params = append(q.Params, e.param)
	}
	if m.corr != nil {
		q.Corr = identity(len(q.Params))
		for i := range m.corr {
			copy(q.Corr[i], m.corr[i])
		}
	}
	for i := range list {
		q.Data = append(q.Data, Datum{Key: list[i].Key(), Value: list[i].Value, SD: sd[i]})
	}
	// Predictions are kept for the learnable values last asked for: a step
	// along what is only nuisance costs nothing.
	last, kept := make([]float64, n), make([]float64, len(list))
	known := false
	q.Predict = func(x, y []float64) {
		if !known || !slices.Equal(last, x[:n]) {
			m.all(list, x[:n], -1, 0, w, kept)
			copy(last, x[:n])
			known = true
		}
		for i := range list {
			y[i] = kept[i]
			share := 0.0
			for k := range effects {
				share += effects[k].by[i] * x[n+k]
			}
			if additive(list[i].Kind) {
				y[i] += share
			} else {
				y[i] *= 1 + share
			}
		}
	}
	return q
}

// releaseScatter is the relative spread of a release speed from launch to
// launch that the setting itself leaves: half the stretch's where it was
// noted for the launch, the throw's own.
func (m *Model) releaseScatter(r *Reading) float64 {
	ac := m.Aircraft
	for i := range ac.Inputs {
		in := &ac.Inputs[i]
		if in.Path == "launch.bungee.stretch" && in.Nominal > 0 {
			s := in.Sigma / in.Nominal
			if r.Stretch > 0 {
				s /= 2
			}
			return s
		}
	}
	for k := range m.learn {
		if m.learn[k].Name == "throw" {
			return m.learn[k].keep
		}
	}
	return 0
}

// refuse says why a reading tells nothing; "" when it may be used.
func (m *Model) refuse(r *Reading) string {
	t, ok := traits[r.Kind]
	switch {
	case r.Suspicious != "":
		return r.Suspicious
	case !ok:
		return "no such kind of reading"
	case math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || math.IsNaN(r.SD) || math.IsInf(r.SD, 0):
		return "it is no number"
	case !(r.SD > 0):
		return "its doubt is not stated"
	case !additive(r.Kind) && !(r.Value > 0):
		return "it is not above zero"
	case t.needsAt && !(r.At > 0):
		return "it does not say at which airspeed or stretch"
	case !additive(r.Kind) && r.SD > 0.5*r.Value:
		return fmt.Sprintf("it is doubtful by %.0f %%: it tells nothing", 100*r.SD/r.Value)
	}
	needPower := map[Kind]bool{LevelSpeed: true, LevelRevs: true, LevelAmps: true, BenchRevs: true, BenchAmps: true, BenchPull: true, PackOhms: true}
	switch {
	case needPower[r.Kind] && m.Chain.Power == nil:
		return "the build describes no motor"
	case (r.Kind == LevelSpeed || r.Kind == LevelRevs || r.Kind == LevelAmps) && r.Throttle > 0 && r.Throttle < 0.1:
		return "the motor was as good as off: a speed in a dive or a glide, not one that lasts. As a glide it would need its sink"
	case (r.Kind == BenchRevs || r.Kind == BenchAmps || r.Kind == BenchPull) && r.Row.Throttle > 0 && r.Row.Throttle < 0.1:
		return "the motor was as good as off"
	case (r.Kind == CordPull || r.Kind == RingAngle) && m.Aircraft.Launch.By != "bungee":
		return "the build describes no bungee"
	case r.Kind == Release && m.Aircraft.Launch.By == "":
		return "the build describes no launch"
	}
	return ""
}
