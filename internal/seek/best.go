package seek

import (
	"context"
	"math"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/launch"
	"fledge/internal/num"
)

// Look flies launches of a changed aircraft: launch i always under the same draw.
type Look func(ctx context.Context, ac *craft.Aircraft, ask assess.Ask) (assess.Glance, error)

// Full is the launch odds of a changed aircraft with the range of ignorance,
// from the draws of a full check.
type Full func(ctx context.Context, ac *craft.Aircraft) (assess.Quantity, error)

// Bounds is what gear and structure allow beyond the launch's own ranges.
type Bounds struct {
	// Stretch is the longest stretch, m, that hook and stake stand with their
	// factors; 0: not known. StretchBy says which decides.
	Stretch   float64
	StretchBy string
	// BatteryBy says what the balance does to the place of the battery; empty:
	// nothing that needs saying.
	BatteryBy string
	// Battery is the places that keep the static margin within its limits, m;
	// equal: the battery stays where it is.
	Battery [2]float64
}

// SettingLevers lists what the search for the best settings turns: stretch,
// stick, nose-up angle, height of the hand, motor delay, place of the
// battery (and the climb of a throw), each within the limits of gear,
// structure and balance. from is the launch's own list ([launch.Setup.Levers]).
func SettingLevers(ac *craft.Aircraft, from []launch.Lever, b Bounds) []Lever {
	const deg = math.Pi / 180
	var out []Lever
	add := func(l Lever) {
		if _, ok := ac.Knob(l.Path); ok && l.High-l.Low > 0.5*l.Step {
			out = append(out, l)
		}
	}
	for _, f := range from {
		l := Lever{Path: f.Path, Noun: f.Label, Low: f.Low, High: f.High, Scale: 1}
		switch f.Path {
		case "launch.stick.pitch":
			l.Noun, l.Up, l.Step, l.Unit, l.Scale = "up stick", "hold %s up stick", 0.01, "%", 0.01
		case "launch.held.nose_up":
			l.Noun, l.Up, l.Step, l.Unit, l.Scale = "nose-up angle", "hold her %s nose-up", deg, "deg", deg
			l.High = math.Max(l.High, 40*deg) // as the remedies do
		case "launch.held.height":
			l.Noun, l.Up, l.Step, l.Unit = "height of the hand", "hold her %s high", 0.05, "m"
		case "launch.motor_delay":
			l.Noun, l.Up, l.Step, l.Unit = "motor delay", "start the motor %s", 0.1, "s"
		case "launch.bungee.stretch":
			l.Noun, l.Up, l.Step, l.Unit = "stretch", "pull back to %s", 0.1, "m"
			if b.Stretch > 0 && b.Stretch < l.High {
				l.High = b.Stretch
			}
		case "launch.throw.path_up":
			l.Noun, l.Up, l.Step, l.Unit, l.Scale = "climb of the throw", "throw %s upwards", deg, "deg", deg
		default:
			continue
		}
		l.Down = l.Up
		add(l)
	}
	if l, ok := batteryLever(ac); ok && b.Battery[1] > b.Battery[0] {
		l.Low, l.High = math.Max(l.Low, b.Battery[0]), math.Min(l.High, b.Battery[1])
		add(l)
	}
	return out
}

// batteryLever is the place of the battery, if it may move.
func batteryLever(ac *craft.Aircraft) (Lever, bool) {
	for i := range ac.Parts {
		p := &ac.Parts[i]
		if p.Kind == "battery" && p.Movable && !p.Twin && p.MaxAt.X > p.MinAt.X {
			return Lever{Path: "parts." + build.PathKey(p.Name) + ".at.x", Noun: "place of the " + p.Name, Up: p.Name + " at %s from the datum", Down: p.Name + " at %s from the datum",
				Low: p.MinAt.X, High: p.MaxAt.X, Step: 0.001, Unit: "mm", Scale: 0.001}, true
		}
	}
	return Lever{}, false
}

// Tolerance is how far one setting may stray, all others at their best.
type Tolerance struct {
	Setting Setting
	Now     float64
	// Low..High holds the values with odds of Least or more.
	Low, High float64
	// FreeLow, FreeHigh: the odds hold to the end of the range searched.
	FreeLow, FreeHigh bool
	// EvenLow..EvenHigh holds the values looked at whose odds the launches of a
	// look do not tell from those of the best: short of it by no more than 1.645
	// standard errors of the pairing. At their ends it is not known how much
	// farther they might go; EvenEndLow, EvenEndHigh: to the end of the range.
	EvenLow, EvenHigh       float64
	EvenEndLow, EvenEndHigh bool
}

// Best is the outcome of a search for the best settings.
type Best struct {
	Settings []Tolerance     // what to set, in the order of the levers
	Odds     assess.Quantity // at those settings, held under doubt
	Before   assess.Quantity // as it is now
	Least    float64         // odds that the tolerances keep
	LookN    int             // launches of each look for tolerances
	Evals    int             // looks taken
	Launches int             // launches flown for them
	Verified bool            // by a full rerun of the edited file; see app
	After    assess.Quantity // odds of that rerun
	// Spoils names safety findings that would fail with these settings and do not now.
	Spoils []string
	// Limit says what holds the stretch back; empty when the rubber's own range does.
	Limit string
	// Balance is what the balance does to the place of the battery, in words.
	Balance string
	// Held is true when nothing found beats what is set now.
	Held bool
}

// Sets lists the --set strings of the settings that change.
func (b *Best) Sets() []string {
	var out []string
	for i := range b.Settings {
		if s := &b.Settings[i]; s.Changes() {
			out = append(out, s.Setting.Set())
		}
	}
	return out
}

// Changes tells whether the setting differs from now.
func (t *Tolerance) Changes() bool {
	return math.Abs(t.Setting.Value-t.Now) > 0.25*t.Setting.Lever.Step
}

// Turn is the aircraft with the settings.
func (b *Best) Turn(ac *craft.Aircraft) *craft.Aircraft {
	for i := range b.Settings {
		if s := &b.Settings[i]; s.Changes() {
			if c, ok := s.Setting.turn(ac); ok {
				ac = c
			}
		}
	}
	return ac
}

// BestPlan bounds the work.
type BestPlan struct {
	Seed     uint64
	Evals    int     // looks of the search, default 45 a lever, at most 260
	Look     int     // launches a look, default 96
	Limit    float64 // odds wanted
	Progress func(stage string, done, total int)
}

// slope is how much of the score is mixed into the odds: enough to lead the
// search out of ground where all odds are zero and, where they are all one,
// towards clearance and speed in hand; a hundredth of the odds outweighs any
// difference of score that it goes with (our choice).
const slope = 0.1

// hardFrom is how many launches the hardest are picked from.
const hardFrom = 1024

// hardest lists the n draws with the lowest scores, in their order.
func hardest(scores []float64, n int) []int {
	at := make([]int, len(scores))
	for i := range at {
		at[i] = i
	}
	sort.SliceStable(at, func(a, b int) bool { return scores[at[a]] < scores[at[b]] })
	at = at[:min(n, len(at))]
	sort.Ints(at)
	return at
}

// merit is what the search raises.
func merit(g *assess.Glance) float64 { return g.Odds + slope*g.Score }

// FindBest searches the levers for the settings with the highest odds over
// everything that scatters and everything unknown, drawn together with common
// random numbers: an evolution strategy on odds plus a tenth of the score,
// then the same on the launches that came off worst (the worlds in which doubt
// bites), then values set back one by one to what they are now where that costs
// nothing, then the higher lower end of the odds' 90 % range among the
// finalists. The search never leaves the levers' ranges. What it finds is the
// best found, not proved the best.
func FindBest(ctx context.Context, ac *craft.Aircraft, levers []Lever, look Look, full Full, p BestPlan) (*Best, error) {
	if p.Look == 0 {
		p.Look = 96
	}
	if p.Evals == 0 {
		p.Evals = min(260, 45*len(levers))
	}
	b := &Best{}
	now := make([]float64, len(levers))
	for i, l := range levers {
		k, _ := ac.Knob(l.Path)
		now[i] = k.Value
	}
	var failure error
	seen := func(x []float64, ask assess.Ask) assess.Glance {
		if failure != nil || ctx.Err() != nil {
			return assess.Glance{Odds: math.NaN(), Score: math.NaN()}
		}
		c := ac
		for i, l := range levers {
			if x[i] == now[i] {
				continue
			}
			var ok bool
			if c, ok = c.Turn(l.Path, x[i]); !ok {
				panic("seek: no number " + l.Path)
			}
		}
		g, err := look(ctx, c, ask)
		if err != nil {
			failure = err
		}
		b.Evals++
		b.Launches += g.N
		return g
	}
	at := func(x []float64, n int) assess.Glance { return seen(x, assess.Ask{N: n}) }
	told := 0
	tell := func(done, total int) {
		if p.Progress != nil && done > told {
			told = done
			p.Progress("best settings", min(done, total), total)
		}
	}
	var err error
	if b.Before, err = full(ctx, ac); err != nil {
		return nil, err
	}
	best := append([]float64(nil), now...)
	if len(levers) > 0 {
		lo, hi, start := make([]float64, len(levers)), make([]float64, len(levers)), make([]float64, len(levers))
		for i, l := range levers {
			lo[i], hi[i] = l.Low, l.High
			start[i] = math.Min(math.Max(now[i], l.Low), l.High)
		}
		// An eighth of the work looks over the whole box first, a quarter goes
		// into the hardest draws at the end.
		first, last := p.Evals/8, p.Evals/4
		points := num.NewSobol(len(levers), p.Seed)
		top := math.Inf(-1)
		u := make([]float64, len(levers))
		begin := start
		for k := 0; k <= first; k++ {
			x := append([]float64(nil), start...)
			if k > 0 {
				points.Point(uint64(k-1), u)
				for i := range x {
					x[i] = lo[i] + u[i]*(hi[i]-lo[i])
				}
			}
			g := at(x, p.Look)
			if m := merit(&g); m > top {
				top, begin = m, x
			}
			tell(b.Evals, p.Evals)
		}
		r := num.Evolve(func(x []float64) float64 {
			g := at(x, p.Look)
			tell(b.Evals, p.Evals)
			return -merit(&g)
		}, begin, num.EvolveOptions{Lower: lo, Upper: hi, MaxEvals: max(1, p.Evals-first-last), Seed: p.Seed, Tol: 2e-3, Sigma: 0.2})
		if failure != nil {
			return nil, failure
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if g := at(r.X, hardFrom); failure == nil && g.N > p.Look && g.Hits < g.N {
			hard := hardest(g.Scores, p.Look)
			h := num.Evolve(func(x []float64) float64 {
				g := seen(x, assess.Ask{Draws: hard})
				tell(b.Evals, p.Evals)
				return -merit(&g)
			}, r.X, num.EvolveOptions{Lower: lo, Upper: hi, MaxEvals: max(1, last), Seed: num.Hash(p.Seed, 1), Tol: 2e-3, Sigma: 0.1})
			// Only if the rest stays as good.
			if k := at(h.X, hardFrom); merit(&k) > merit(&g) {
				r.X = h.X
			}
		}
		if failure != nil {
			return nil, failure
		}
		for i, l := range levers {
			best[i] = snap(r.X[i], l)
		}
	}
	kept := b.simplify(levers, now, best, at, 4*p.Look)
	if failure != nil {
		return nil, failure
	}
	turned := func(x []float64) *craft.Aircraft {
		c := ac
		for i, l := range levers {
			if x[i] != now[i] {
				c, _ = c.Turn(l.Path, x[i])
			}
		}
		return c
	}
	finals := [][]float64{kept, best, now}
	var pick []float64
	for k, x := range finals {
		if k == 1 && same(x, kept) || k == 2 && !within(levers, now) {
			continue
		}
		q := b.Before
		if k < 2 {
			if q, err = full(ctx, turned(x)); err != nil {
				return nil, err
			}
		}
		// The simpler setting stands unless the other is better by a hundredth.
		if pick == nil || q.Low > b.Odds.Low+0.01 {
			pick, b.Odds = x, q
		}
	}
	b.Held = same(pick, now)
	b.Least = math.Min(p.Limit, b.Odds.Value-0.05)
	b.LookN = 2 * p.Look
	var peak assess.Glance
	if len(levers) > 0 {
		peak = at(pick, b.LookN)
	}
	for i, l := range levers {
		t := Tolerance{Setting: Setting{l, pick[i]}, Now: now[i]}
		var seen []glanced
		noted := func(x []float64, n int) assess.Glance {
			g := at(x, n)
			seen = append(seen, glanced{x[i], g})
			return g
		}
		t.Low, t.FreeLow = reach(pick, i, l, l.Low, b.Least, noted, b.LookN)
		t.EvenLow = even(pick[i], -1, seen, &peak)
		t.High, t.FreeHigh = reach(pick, i, l, l.High, b.Least, noted, b.LookN)
		t.EvenHigh = even(pick[i], 1, seen, &peak)
		t.EvenEndLow, t.EvenEndHigh = t.EvenLow <= l.Low+0.5*l.Step, t.EvenHigh >= l.High-0.5*l.Step
		b.Settings = append(b.Settings, t)
		if p.Progress != nil {
			p.Progress("tolerances", i+1, len(levers))
		}
	}
	if failure != nil {
		return nil, failure
	}
	return b, ctx.Err()
}

func same(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func within(levers []Lever, x []float64) bool {
	for i, l := range levers {
		if x[i] < l.Low-1e-9 || x[i] > l.High+1e-9 {
			return false
		}
	}
	return true
}

// simplify sets levers back to now, or half way, where the odds lose less than
// half a hundredth in all: what need not change stays as it is.
func (b *Best) simplify(levers []Lever, now, best []float64, at func([]float64, int) assess.Glance, n int) []float64 {
	x := append([]float64(nil), best...)
	g := at(x, n)
	top := g.Odds
	for i := len(levers) - 1; i >= 0; i-- { // the battery first, the stick last
		l := levers[i]
		to := now[i]
		if to < l.Low || to > l.High {
			to = snap(to, l)
		}
		for _, v := range []float64{to, snap((to+x[i])/2, l)} {
			was := x[i]
			if v == was {
				continue
			}
			x[i] = v
			if g := at(x, n); g.Odds >= top-0.005 {
				break
			}
			x[i] = was
		}
	}
	return x
}

// reach walks lever i from its best value towards end, as far as the odds stay
// at least least: a look at the end, at eighths of the way, then halving.
func reach(best []float64, i int, l Lever, end, least float64, at func([]float64, int) assess.Glance, n int) (v float64, free bool) {
	x := append([]float64(nil), best...)
	ok := func(v float64) bool {
		x[i] = v
		g := at(x, n)
		return g.Odds >= least
	}
	good := best[i]
	span := end - good
	if math.Abs(span) < 0.5*l.Step {
		return good, true
	}
	bad := end
	free = true
	for _, s := range []float64{1. / 16, 1. / 8, 1. / 4, 1. / 2, 3. / 4, 1} {
		v := best[i] + s*span
		if !ok(v) {
			bad, free = v, false
			break
		}
		good = v
	}
	if free {
		return end, true
	}
	for range 3 {
		if math.Abs(bad-good) < l.Step {
			break
		}
		if mid := (good + bad) / 2; ok(mid) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good, false
}

// glanced is a look at one value of a lever.
type glanced struct {
	v float64
	g assess.Glance
}

// even is the farthest value on one side of best (side -1: below, 1: above) up
// to which no look is told from the peak's.
func even(best, side float64, seen []glanced, peak *assess.Glance) float64 {
	sort.SliceStable(seen, func(a, b int) bool { return math.Abs(seen[a].v-best) < math.Abs(seen[b].v-best) })
	v := best
	for _, k := range seen {
		if (k.v-best)*side <= 0 {
			continue
		}
		if d, se := k.g.Against(peak); !(-d <= 1.6449*se) {
			break
		}
		v = k.v
	}
	return v
}

// Text is the setting's value as written in --set.
func (s Setting) Text() string { return s.text() }

// Say is the setting in words.
func (s Setting) Say() string {
	if strings.Contains(s.Lever.Up, "%s") {
		return strings.Replace(s.Lever.Up, "%s", s.text(), 1)
	}
	return s.Lever.Noun + " " + s.text()
}

// Room is how far the setting may stray to its nearer bound, SI; free when
// both sides hold to the end of the range.
func (t *Tolerance) Room() (room float64, free bool) {
	lo, hi := t.Setting.Value-t.Low, t.High-t.Setting.Value
	switch {
	case t.FreeLow && t.FreeHigh:
		return math.Max(lo, hi), true
	case t.FreeLow:
		return hi, false
	case t.FreeHigh:
		return lo, false
	}
	return math.Min(lo, hi), false
}
