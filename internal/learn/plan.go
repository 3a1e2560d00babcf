package learn

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/craft"
	"fledge/internal/num"
	"fledge/internal/perform"
)

// Aim is a number that the verdict hangs on, with its limits.
type Aim struct {
	ID, Label string
	Value, SD float64 // of everything not known
	Min, Max  float64 // NaN: none
	// Of gives the number at learnable values x.
	Of func(x []float64) float64
	// Shares, for a number that has no quick model: the share of its variance
	// by input path. Used when Of is nil.
	Shares map[string]float64
}

// Card is one flight or bench test to do, as a card to work from.
type Card struct {
	Name     string
	Where    string // "bench" or "flight"
	Steps    []string
	Readings []Reading // what it would give, with the doubts to expect
	Halves   string    // instead: path of an input whose spread it halves
	Gain     []Gain    // by aim
	Wrong    float64   // expected number of findings on the wrong side, after it
	Factors  []string  // what it tells, by label
}

// Gain is what a card does to one number.
type Gain struct {
	Aim           int
	SDNow, SDThen float64
	WrongNow      float64 // chance that the number is on the other side of its limit
	WrongThen     float64 // the same, expected after the test
}

// Plan ranks the cards by how much they are expected to take from the chance
// that a finding is on the wrong side of its limit, summed over the aims; and
// where nothing is in doubt, by how much they narrow the first aim.
//
// For each card its readings are added to the posterior by linearisation:
// C' = (C⁻¹ + JᵀJ)⁻¹, which does not hang on what will be read. A number with
// gradient g then has the variance V' = V − gᵀ(C − C')g. Before the test its
// posterior mean is normal around today's with the variance V − V'; the chance
// to be wrong is averaged over it (preposterior analysis, Raiffa and Schlaifer
// 1961) over 41 points of equal chance.
func (m *Model) Plan(r *Result, aims []Aim, cards []Card) []Card {
	n := len(m.learn)
	out := slices.Clone(cards)
	x := make([]float64, n)
	for k := range x {
		x[k] = r.post.Params[k].at(r.post.Z[k])
	}
	grad := make([][]float64, len(aims))
	for a := range aims {
		grad[a] = m.gradient(r, &aims[a], x)
	}
	for c := range out {
		card := &out[c]
		before, after := m.preposterior(r, card.Readings)
		if after == nil {
			if card.Halves == "" {
				continue
			}
			before = r.block(len(m.learn))
			after = before
		}
		for k := range m.learn {
			if b := before[k][k]; b > 0 && 1-after[k][k]/b > 0.3 {
				card.Factors = append(card.Factors, m.learn[k].Label)
			}
		}
		for a := range aims {
			aim := &aims[a]
			less := 0.0
			if aim.Of != nil {
				for i := range n {
					for j := range n {
						less += grad[a][i] * grad[a][j] * (before[i][j] - after[i][j])
					}
				}
			} else {
				for k := range m.learn {
					path := m.Aircraft.Inputs[m.learn[k].at].Path
					if b := before[k][k]; b > 0 {
						less += aim.Shares[path] * (1 - after[k][k]/b) * aim.SD * aim.SD
					}
				}
				less += 0.75 * aim.Shares[card.Halves] * aim.SD * aim.SD
			}
			v := aim.SD * aim.SD
			less = math.Min(math.Max(less, 0), 0.999*v)
			g := Gain{Aim: a, SDNow: aim.SD, SDThen: math.Sqrt(v - less), WrongNow: wrong(aim, aim.Value, aim.SD)}
			g.WrongThen = expectedWrong(aim, math.Sqrt(less), g.SDThen)
			card.Gain = append(card.Gain, g)
			card.Wrong += g.WrongThen
		}
	}
	narrow := func(c *Card) float64 {
		if len(c.Gain) == 0 {
			return 1
		}
		return c.Gain[0].SDThen / c.Gain[0].SDNow
	}
	doubtful := 0.0
	for a := range aims {
		doubtful += wrong(&aims[a], aims[a].Value, aims[a].SD)
	}
	slices.SortStableFunc(out, func(a, b Card) int {
		if doubtful > 0.01 {
			if d := cmp.Compare(math.Round(1e4*a.Wrong), math.Round(1e4*b.Wrong)); d != 0 {
				return d
			}
		}
		return cmp.Compare(narrow(&a), narrow(&b))
	})
	return slices.DeleteFunc(out, func(c Card) bool {
		for _, g := range c.Gain {
			if g.SDThen < 0.98*g.SDNow || g.WrongThen < g.WrongNow-0.005 {
				return false
			}
		}
		return true
	})
}

// wrong is the chance that a number whose estimate is v ± sd lies on the other
// side of its limit than the estimate does.
func wrong(a *Aim, v, sd float64) float64 {
	m := math.Inf(1)
	for _, d := range []float64{v - a.Min, a.Max - v} {
		if !math.IsNaN(d) {
			m = math.Min(m, math.Abs(d))
		}
	}
	if math.IsInf(m, 1) || sd == 0 {
		return 0
	}
	return 0.5 * math.Erfc(m/sd/math.Sqrt2)
}

// expectedWrong averages wrong over where the estimate may move.
func expectedWrong(a *Aim, moves, sd float64) float64 {
	if moves == 0 {
		return wrong(a, a.Value, sd)
	}
	const points = 41 // midpoints of equal chance: smooth enough for 1e-3
	s := 0.0
	for i := range points {
		z := num.NormalQuantile((float64(i) + 0.5) / points)
		s += wrong(a, a.Value+moves*z, sd)
	}
	return s / points
}

// gradient is the change of an aim by one unit of each standard score.
func (m *Model) gradient(r *Result, a *Aim, x []float64) []float64 {
	g := make([]float64, len(m.learn))
	if a.Of == nil {
		return g
	}
	const h = 0.1
	for k := range g {
		keep := x[k]
		x[k] = r.post.Params[k].at(r.post.Z[k] + h)
		up := a.Of(x)
		x[k] = r.post.Params[k].at(r.post.Z[k] - h)
		down := a.Of(x)
		x[k] = keep
		if d := (up - down) / (2 * h); !math.IsNaN(d) && !math.IsInf(d, 0) {
			g[k] = d
		}
	}
	return g
}

// block is the posterior covariance of the first n scores.
func (r *Result) block(n int) [][]float64 {
	out := make([][]float64, n)
	for i := range n {
		out[i] = r.post.Cov[i][:n]
	}
	return out
}

// preposterior gives the covariance of the learnable scores now and after
// readings of such doubts; nil when the model has no answer for any of them.
func (m *Model) preposterior(r *Result, list []Reading) (before, after [][]float64) {
	n := len(m.learn)
	x := make([]float64, n)
	for k := range x {
		x[k] = r.post.Params[k].at(r.post.Z[k])
	}
	// Readings carry relative doubts until the model has said their value.
	w := &work{}
	y := make([]float64, len(list))
	m.all(list, x, -1, 0, w, y)
	var plan []Reading
	for i := range list {
		v := list[i]
		if math.IsNaN(y[i]) || !additive(v.Kind) && !(y[i] > 0) {
			continue
		}
		v.Value = y[i]
		if !additive(v.Kind) {
			v.SD *= y[i]
		}
		plan = append(plan, v)
	}
	if len(plan) == 0 {
		return nil, nil
	}
	plan = Sorted(plan)
	q := m.problem(plan)
	all := len(q.Params)
	// Prior of this step: today's posterior of the learnable scores; nuisance
	// fresh (its share in past readings is in the posterior already).
	prior := mat.NewSymDense(all, nil)
	for i := range all {
		prior.SetSym(i, i, 1)
	}
	for i := range n {
		for j := i; j < n; j++ {
			prior.SetSym(i, j, r.post.Cov[i][j])
		}
	}
	slope := mat.NewDense(len(plan), all, nil)
	at := make([]float64, all)
	up, down := make([]float64, len(plan)), make([]float64, len(plan))
	score := func(k int) float64 {
		if k < n {
			return r.post.Z[k]
		}
		return 0
	}
	for k := range all {
		at[k] = q.Params[k].at(score(k))
	}
	const h = 0.05
	for k := range all {
		keep := at[k]
		at[k] = q.Params[k].at(score(k) + h)
		q.Predict(at, up)
		at[k] = q.Params[k].at(score(k) - h)
		q.Predict(at, down)
		at[k] = keep
		for i := range plan {
			if s := (up[i] - down[i]) / (2 * h) / q.Data[i].SD; !math.IsNaN(s) && !math.IsInf(s, 0) {
				slope.Set(i, k, s)
			}
		}
	}
	// C' = C − C Jᵀ (I + J C Jᵀ)⁻¹ J C.
	var jc, s, gain, c mat.Dense
	jc.Mul(slope, prior)
	s.Mul(&jc, slope.T())
	for i := range plan {
		s.Set(i, i, s.At(i, i)+1)
	}
	if err := gain.Solve(&s, &jc); err != nil {
		if _, bad := err.(mat.Condition); !bad {
			return nil, nil
		}
	}
	c.Mul(jc.T(), &gain)
	before, after = make([][]float64, n), make([][]float64, n)
	for i := range n {
		before[i], after[i] = make([]float64, n), make([]float64, n)
		for j := range n {
			before[i][j] = r.post.Cov[i][j]
			after[i][j] = r.post.Cov[i][j] - (c.At(i, j)+c.At(j, i))/2
		}
	}
	return before, after
}

// Tests are the flights and bench tests that may be planned for the aircraft,
// as cards to work from. stall, cruise and top are its speeds (NaN unknown),
// runIn the length of the run-in to top speed, m. Doubts are relative, of one
// reading done with care; they are what docs/learn.md says.
func (m *Model) Tests(stall, cruise, top, runIn float64) []Card {
	ac := m.Aircraft
	var out []Card
	add := func(c Card) { out = append(out, c) }
	ms := func(v float64) string { return fmt.Sprintf("%.0f m/s (%.0f km/h)", v, 3.6*v) }
	powered := m.Chain.Power != nil
	into := "into the wind, then back with it, over the same ground"
	if powered {
		row := craft.BenchRow{Volts: 3.7 * float64(max(1, ac.Power.Battery.Cells)), Amps: 1, Omega: 1, Pull: 1}
		add(Card{Name: "static run with wattmeter, tachometer and luggage scale", Where: "bench",
			Steps:    []string{"aeroplane tied to the scale, propeller clear of everything, eye protection, nobody in its plane", "full throttle for 5 s with a full pack: note volts, amps, rpm and pull together", "twice, with a minute between"},
			Readings: append(OfRow(row, "a", ""), OfRow(row, "b", "")...)})
		add(Card{Name: "static pull with the luggage scale", Where: "bench",
			Steps:    []string{"aeroplane tied to the scale, propeller clear, eye protection, nobody in its plane", "full throttle for 5 s with a full pack: note the pull, twice"},
			Readings: []Reading{{Kind: BenchPull, SD: rowPull, From: "a"}, {Kind: BenchPull, SD: rowPull, From: "b"}}})
		add(Card{Name: "resistance of the pack", Where: "bench",
			Steps:    []string{"volts at the pack at rest and at half and full current, five seconds each", "the slope of volts over amps is the resistance"},
			Readings: []Reading{{Kind: PackOhms, SD: 0.06}}})
	}
	if powered && top > 0 {
		pass := func(n int) (out []Reading) {
			for i := range n / 2 {
				out = append(out, Reading{Kind: LevelSpeed, SD: 0.012, Throttle: 1, From: fmt.Sprint("pair ", i)})
			}
			return out
		}
		run := "run-in"
		if runIn > 0 {
			run = fmt.Sprintf("run-in of %.0f m", math.Ceil(runIn/50)*50)
		}
		height := "between 15 and 30 m, steady within 3 m"
		add(Card{Name: "level speed passes at full throttle", Where: "flight",
			Steps:    []string{fmt.Sprintf("%s level at full throttle, then 200 m: about %s", run, ms(top)), "height " + height, "direction: " + into, "throttle 100 % from the start of the run-in to the end of the pass", "4 passes: 2 pairs; log with height, ten samples a second"},
			Readings: pass(4)})
		add(Card{Name: "level speed passes with the revs logged", Where: "flight",
			Steps:    []string{fmt.Sprintf("%s level at full throttle, then 200 m: about %s", run, ms(top)), "height " + height, "direction: " + into, "throttle 100 %; revs and current from the controller in the log", "4 passes: 2 pairs"},
			Readings: append(pass(4), Reading{Kind: LevelRevs, SD: 0.005, Throttle: 1}, Reading{Kind: LevelAmps, SD: 0.03, Throttle: 1})})
		add(Card{Name: "level passes at 60 % throttle", Where: "flight",
			Steps:    []string{"600 m level with the stick held at 60 %, speed steady over the last 200 m", "height " + height, "direction: " + into, "4 passes: 2 pairs; log with height and throttle"},
			Readings: []Reading{{Kind: LevelSpeed, SD: 0.012, Throttle: 0.6, From: "a"}, {Kind: LevelSpeed, SD: 0.012, Throttle: 0.6, From: "b"}}})
	}
	if stall > 0 {
		var glides []Reading
		speeds := []float64{1.4 * stall, 1.8 * stall, 2.4 * stall}
		for _, v := range speeds {
			for i := range 2 {
				glides = append(glides, Reading{Kind: GlideSink, At: v, SD: 0.06, From: fmt.Sprint(i)})
			}
		}
		add(Card{Name: "glides with the motor off", Where: "flight",
			Steps:    []string{fmt.Sprintf("from 100 m or more, motor off, straight: at %s, %s and %s", ms(speeds[0]), ms(speeds[1]), ms(speeds[2])), "hold each speed for 8 s, trimmed, no control input; not below 30 m", "direction: " + into, "throttle 0 %; say whether the propeller folds, stops or turns", "6 glides: 2 at each speed; log with height, calm air"},
			Readings: glides})
		add(Card{Name: "stalls at height", Where: "flight",
			Steps:    []string{"at 80 m or more, motor idling, level: slow down by 1 m/s a second until it drops", "direction: into the wind", "throttle: just enough to turn, the same each time", "3 times; log with height"},
			Readings: []Reading{{Kind: Stall, SD: 0.04, From: "a"}, {Kind: Stall, SD: 0.04, From: "b"}, {Kind: Stall, SD: 0.04, From: "c"}}})
	}
	if cruise > 0 {
		add(Card{Name: "trim at cruise", Where: "flight",
			Steps:    []string{fmt.Sprintf("level at %s, hands off", ms(cruise)), "note the pitch trim and the stick, as a share of full stick", "2 directions; battery where the build has it"},
			Readings: []Reading{{Kind: Trim, At: cruise, SD: 0.02, From: "a"}, {Kind: Trim, At: cruise, SD: 0.02, From: "b"}}})
	}
	switch ac.Launch.By {
	case "bungee":
		full := ac.Launch.Bungee.Stretch
		add(Card{Name: "pull test of the bungee", Where: "bench",
			Steps:    []string{"eye protection; nobody in its line; pull by the line, not by the aeroplane", fmt.Sprintf("luggage scale at %.1f, %.1f and %.1f m of stretch, pulled out and held ten seconds", full/3, full*2/3, full), "on the day, with the cord as warm as it will be flown"},
			Readings: []Reading{{Kind: CordPull, At: full / 3, SD: 0.03}, {Kind: CordPull, At: full * 2 / 3, SD: 0.03}, {Kind: CordPull, At: full, SD: 0.03}}})
		add(Card{Name: "ring on the hook", Where: "bench",
			Steps:    []string{"hang the ring on the hook, tilt until it slides off, read the tilt of the pin", "5 times, wet and dry as it will be flown"},
			Readings: []Reading{{Kind: RingAngle, SD: 0.06}, {Kind: RingAngle, SD: 0.06, From: "b"}}})
		add(Card{Name: "release speed from a film", Where: "flight",
			Steps:    []string{"camera at right angles to the line, 120 frames a second, a known length in the picture", "3 launches at the settings of the build; note stretch and wind of each"},
			Readings: []Reading{{Kind: Release, SD: 0.05, Stretch: full, From: "a"}, {Kind: Release, SD: 0.05, Stretch: full, From: "b"}, {Kind: Release, SD: 0.05, Stretch: full, From: "c"}}})
	case "hand":
		add(Card{Name: "speed of the throw from a film", Where: "flight",
			Steps:    []string{"camera at right angles to the throw, 120 frames a second, a known length in the picture", "5 throws of the aeroplane into long grass with the motor off and the propeller folded or taken off, or launches"},
			Readings: []Reading{{Kind: Release, SD: 0.05, From: "a"}, {Kind: Release, SD: 0.05, From: "b"}, {Kind: Release, SD: 0.05, From: "c"}, {Kind: Release, SD: 0.05, From: "d"}, {Kind: Release, SD: 0.05, From: "e"}}})
	}
	return out
}

// TopAt is the level top speed at learnable values x: a quick model for [Aim].
func (m *Model) TopAt(x []float64) float64 {
	return m.one(x, Reading{Kind: LevelSpeed, Throttle: 1})
}

// TrimAt is the stick of level flight at airspeed v at learnable values x.
func (m *Model) TrimAt(x []float64, v float64) float64 {
	return m.one(x, Reading{Kind: Trim, At: v})
}

func (m *Model) one(x []float64, r Reading) float64 {
	y := []float64{0}
	m.all([]Reading{r}, x, -1, 0, &work{}, y)
	return y[0]
}

// TellsAlone names the card that would tell factor k best, "" when none
// narrows it by a third: what a refusal recommends.
func (m *Model) TellsAlone(r *Result, cards []Card) map[string]string {
	best := make([]float64, len(m.learn))
	out := map[string]string{}
	for c := range cards {
		before, after := m.preposterior(r, cards[c].Readings)
		if after == nil {
			continue
		}
		for k := range m.learn {
			if b := before[k][k]; b > 0 {
				if g := 1 - after[k][k]/b; g > best[k]+1e-9 && g > 0.3 {
					best[k] = g
					out[m.learn[k].Name] = cards[c].Name
				}
			}
		}
	}
	return out
}

// PlaneAt is the whole performance at learnable values x.
func (m *Model) PlaneAt(x []float64) *perform.Plane {
	d := m.drawn(x, -1, 0)
	return m.Chain.Plane(&d)
}

// Most returns the most probable learnable values of a result.
func (m *Model) Most(r *Result) []float64 {
	x := make([]float64, len(m.learn))
	for k := range x {
		x[k] = r.post.Params[k].at(r.post.Z[k])
	}
	return x
}

// ValueOf picks a factor's value out of learnable values; ok is false when it
// is not learnable here.
func (m *Model) ValueOf(name string, x []float64) (float64, bool) {
	for k := range m.learn {
		if m.learn[k].Name == name {
			return x[k], true
		}
	}
	return math.NaN(), false
}
