package seek

import (
	"context"
	"math"
	"sort"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/verdict"
)

// atOnce is how many changes are asked of a person at one time (our choice: a
// list longer than a hand's fingers is another aeroplane).
const atOnce = 5

// worth is the share of the way to the limit that a set of changes must cover
// to be named at all when it does not reach it (our choice).
const worth = 0.15

// several turns the levers together, where none does alone and no two do: each
// in turn is set to the best of a few places over its range, all others as
// they then are, twice round; then what does not pay is set back, and the rest
// brought as near to now as the finding allows. It gives the fewest changes
// found that pass or, when none do, those that come nearest; nil when nothing
// comes nearer by a share worth saying.
func several(ctx context.Context, ac *craft.Aircraft, levers []Lever, f, base *verdict.Finding, eval Eval, p Plan) (*candidate, error) {
	w := &ascent{ctx: ctx, ac: ac, levers: levers, f: f, eval: eval, fly: p.Look, slack: slack * gap(base)}
	w.now, w.at = make([]float64, len(levers)), make([]float64, len(levers))
	for i, l := range levers {
		k, _ := ac.Knob(l.Path)
		w.now[i], w.at[i] = k.Value, k.Value
	}
	var err error
	if w.top, err = w.look(w.at); err != nil {
		return nil, err
	}
	start := w.top
	for range 2 {
		before := w.top
		for i := range levers {
			if err := w.turn(i); err != nil {
				return nil, err
			}
			if w.passes {
				break
			}
		}
		if w.passes || w.top <= before+w.slack {
			break
		}
	}
	if !w.passes && w.top-start < worth*math.Max(gap(base), 1e-9) {
		return nil, nil
	}
	if err := w.fewer(); err != nil {
		return nil, err
	}
	if w.passes {
		if err := w.nearer(); err != nil {
			return nil, err
		}
	}
	c := &candidate{}
	for i, l := range levers {
		if w.at[i] != w.now[i] {
			c.settings = append(c.settings, Setting{l, w.at[i]})
			c.cost += l.Cost + l.PerSpan*math.Abs((w.at[i]-w.now[i])/(l.High-l.Low))
		}
	}
	if len(c.settings) == 0 {
		return nil, nil
	}
	return c, nil
}

// gap is how far a finding, with its doubtful end, is from its limit.
func gap(f *verdict.Finding) float64 { return math.Max(0, -score(f)) }

// slack is the share of the way to the limit that is not worth a change (our
// choice): a finding may be of odds, metres or newtons.
const slack = 0.01

// flown is how many launches a look takes, all under the same draws.
const flown = 128

// ascent is the state of several.
type ascent struct {
	ctx     context.Context
	ac      *craft.Aircraft
	levers  []Lever
	f       *verdict.Finding
	eval    Eval
	fly     Look
	slack   float64 // in the grade's unit
	now, at []float64
	top     float64
	passes  bool
}

// set is the aircraft with the levers at x.
func (w *ascent) set(x []float64) (*craft.Aircraft, bool) {
	c, ok := w.ac, true
	for i, l := range w.levers {
		if x[i] != w.now[i] {
			if c, ok = (Setting{l, x[i]}).turn(c); !ok {
				return nil, false
			}
		}
	}
	return c, true
}

// look grades a setting by its margin, launches by what the best settings are
// sought with, which tells where all fail; minus infinity where the numbers
// exclude each other.
func (w *ascent) look(x []float64) (float64, error) {
	c, ok := w.set(x)
	if !ok {
		return math.Inf(-1), nil
	}
	if w.fly != nil && w.f.ID == "launch-odds" {
		g, err := w.fly(w.ctx, c, assess.Ask{N: flown})
		return merit(&g), err
	}
	g, err := w.eval(w.ctx, c, w.f.ID)
	if err != nil {
		return 0, err
	}
	if s := score(&g); !math.IsNaN(s) {
		return s, nil
	}
	return math.Inf(-1), nil
}

func (w *ascent) pass(x []float64) (bool, error) {
	c, ok := w.set(x)
	if !ok {
		return false, nil
	}
	g, err := w.eval(w.ctx, c, w.f.ID)
	return err == nil && passes(&g), err
}

// turn sets one lever to the best of five places over its range and two nearer
// ones, all others as they are.
func (w *ascent) turn(i int) error {
	if w.changed() == atOnce && w.at[i] == w.now[i] {
		return nil
	}
	l := w.levers[i]
	x := append([]float64(nil), w.at...)
	best, top := w.at[i], w.top
	try := func(v float64) error {
		if x[i] = snap(v, l); x[i] == w.at[i] || x[i] == best {
			return nil
		}
		g, err := w.look(x)
		if err == nil && g > top+w.slack {
			best, top = x[i], g
		}
		return err
	}
	span := l.High - l.Low
	for _, u := range []float64{0, 0.25, 0.5, 0.75, 1} {
		if err := try(l.Low + u*span); err != nil {
			return err
		}
	}
	mid := best
	for _, u := range []float64{-0.125, 0.125} {
		if err := try(math.Min(math.Max(mid+u*span, l.Low), l.High)); err != nil {
			return err
		}
	}
	if best == w.at[i] {
		return nil
	}
	w.at[i], w.top = best, top
	var err error
	w.passes, err = w.pass(w.at)
	return err
}

func (w *ascent) changed() (n int) {
	for i := range w.at {
		if w.at[i] != w.now[i] {
			n++
		}
	}
	return n
}

// dearest lists the changed levers, the dearest first.
func (w *ascent) dearest() []int {
	var out []int
	for i := range w.at {
		if w.at[i] != w.now[i] {
			out = append(out, i)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return w.levers[out[a]].Cost > w.levers[out[b]].Cost })
	return out
}

// kept tells whether a setting may stand for the one found: it passes as that
// does or, where that does not, is as good but for a trifle.
func (w *ascent) kept(x []float64) (bool, error) {
	if w.passes {
		return w.pass(x)
	}
	g, err := w.look(x)
	return g >= w.top-2*w.slack, err
}

// fewer sets back what need not change.
func (w *ascent) fewer() error {
	for _, i := range w.dearest() {
		x := append([]float64(nil), w.at...)
		x[i] = w.now[i]
		ok, err := w.kept(x)
		if err != nil {
			return err
		}
		if ok {
			w.at = x
		}
	}
	return nil
}

// nearer brings each change towards now as far as the finding passes.
func (w *ascent) nearer() error {
	for _, i := range w.dearest() {
		v, err := closer(func(v float64) (verdict.Finding, error) {
			x := append([]float64(nil), w.at...)
			x[i] = v
			c, ok := w.set(x)
			if !ok {
				return verdict.Finding{Status: verdict.Unknown}, nil
			}
			return w.eval(w.ctx, c, w.f.ID)
		}, w.now[i], w.at[i], w.levers[i])
		if err != nil {
			return err
		}
		w.at[i] = v
	}
	return nil
}

// less brings a pair that passes as near to now as passes still, both changes
// in the same proportion.
func less(ctx context.Context, ac *craft.Aircraft, a, b Setting, f *verdict.Finding, eval Eval) (candidate, error) {
	at := func(u float64) candidate {
		var c candidate
		for _, s := range []Setting{a, b} {
			k, _ := ac.Knob(s.Lever.Path)
			v := snap(k.Value+u*(s.Value-k.Value), s.Lever)
			c.settings = append(c.settings, Setting{s.Lever, v})
			c.cost += s.Lever.Cost + s.Lever.PerSpan*math.Abs((v-k.Value)/(s.Lever.High-s.Lever.Low))
		}
		return c
	}
	low, high := 0.0, 1.0
	for range 4 {
		mid := (low + high) / 2
		c, ok := ac, true
		for _, s := range at(mid).settings {
			if c, ok = s.turn(c); !ok {
				break
			}
		}
		g := verdict.Finding{Status: verdict.Unknown}
		if ok {
			var err error
			if g, err = eval(ctx, c, f.ID); err != nil {
				return candidate{}, err
			}
		}
		if passes(&g) {
			high = mid
		} else {
			low = mid
		}
	}
	return at(high), nil
}
