package assess

import (
	"context"
	"math"
	"sort"
	"strings"

	"fledge/internal/doubt"
	"fledge/internal/launch"
)

// Read is a number read of a launch with its standard deviation; a Read with
// SD 0 was not read.
type Read struct{ Value, SD float64 }

// Told is a sign of a launch, seen or surely not seen (see [LaunchSigns]).
type Told struct {
	Name  string
	Seen  bool
	Trust float64 // 0.5 worthless to 1 certain
}

// Ending is what is known of a launch that failed.
type Ending struct {
	Classes    []launch.Class // the ways it may have ended; empty: any but airborne
	Speed      Read           // airspeed at release, m/s
	Pitch      Read           // nose up at release, rad
	Time       Read           // from letting go to release, s
	Signs      []Told
	FlewBefore bool // the same settings flew the time before
}

// Shift says how an input lies in the launches that end so.
type Shift struct {
	Path, Label, How string
	Unit             string  // a unit.Dim name; empty: a bare number
	Meant            float64 // nominal
	Mean, SD         float64 // in the launches that end so
	By               float64 // mean less that of all launches, in standard deviations of all
	Scatter          bool    // differs with each launch
}

// Reason is one cause with the model's odds that it was the one.
type Reason struct {
	Key  string
	Name string
	// ButFor is the share of the launches that ended so which would have
	// flown, had this been as the build says, all else as it was. Shares of
	// several causes need not add up to one: a launch may need two faults.
	ButFor Quantity
	// Other is the setting of this cause which, changed alone, would have saved
	// the most of them; nil when none of its settings was tried.
	Other *Different
	Main  []Shift            // its inputs, by the size of their shift
	Signs map[string]float64 // share of those launches that showed each sign
	Check string             // what tells, at home or at the field
}

// Explains is the larger of what it would have saved as meant and as set
// otherwise: the odds it is ranked by.
func (r *Reason) Explains() Quantity {
	if r.Other != nil && r.Other.Saves.Value > r.ButFor.Value {
		return r.Other.Saves
	}
	return r.ButFor
}

// Different is a setting of the build that, changed alone, would have saved
// some of these launches.
type Different struct {
	Path, Label, Dim string
	From, To         float64
	Saves            Quantity
}

// PostMortem is what the launch model says of a launch that failed.
type PostMortem struct {
	N        int      // launches flown by the model
	Odds     float64  // share of them that flew
	Flew     Quantity // the same, with the interval of counting
	Share    Quantity // share that ended so
	Matching float64  // effective number of launches that match what was seen
	Before   Quantity // with FlewBefore: share of failures so, after a success; else NaN
	Changed  float64  // share that fly with the worst fifth of the first cause's first input
	Meant    bool     // with everything as the build says it flies
	Reasons  []Reason // by what they explain, the largest first
	Settings []Different
	Signs    map[string]float64 // of the matching launches
	Classes  map[string]float64 // how the matching launches ended
	Typical  string             // the most fitting launch, in a sentence
	Status   string             // not empty: why there is no answer
}

// What the post-mortem flies; our choices. Enough launches that a way to fail
// of one in a hundred shows 30 times, and a share of a half is told to ±0.13.
const (
	postMost   = 4096 // launches at most
	postBatch  = 512
	postEnough = 48 // matching launches taken apart
	postLeast  = 6  // effective number below which nothing is said
)

// launchSigns are what a bystander, a film or a log may show of a launch.
var launchSigns = []struct {
	name string
	of   func(o *launch.Outcome, start float64) bool
}{
	{"slow at release", func(o *launch.Outcome, _ float64) bool { return last(o).StallRatio < 1.4 }},
	{"nose high at release", func(o *launch.Outcome, _ float64) bool { return last(o).Pitch > 18*math.Pi/180 }},
	{"nose low at release", func(o *launch.Outcome, _ float64) bool { return last(o).Pitch < 0 }},
	{"banked at the end", func(o *launch.Outcome, _ float64) bool { return math.Abs(o.AtEnd.Bank) > 25*math.Pi/180 }},
	{"turned off the line", func(o *launch.Outcome, _ float64) bool { return math.Abs(o.AtEnd.Heading) > 20*math.Pi/180 }},
	{"line slack on the hook", func(o *launch.Outcome, _ float64) bool { return o.SlackAt > 0 }},
	{"climbed above 3 m first", func(o *launch.Outcome, _ float64) bool { return o.MaxHeight > 3 }},
	{"sank below the start", func(o *launch.Outcome, start float64) bool { return o.AtEnd.Height < start-0.5 }},
	{"never got faster than at release", func(o *launch.Outcome, _ float64) bool { return o.Released && o.MaxSpeed < o.AtRelease.Speed+2 }},
}

// last is the moment of release, or of the end for one that never was.
func last(o *launch.Outcome) *launch.Moment {
	if o.Released {
		return &o.AtRelease
	}
	return &o.AtEnd
}

// LaunchSigns names the signs the model can speak of, in a fixed order.
func LaunchSigns() []string {
	out := make([]string, len(launchSigns))
	for i, s := range launchSigns {
		out[i] = s.name
	}
	return out
}

// group sorts an input of the launch into a cause.
func group(path string) (key, name string) {
	for _, g := range []struct{ key, name, prefixes string }{
		{"gust", "wind and gust", "gust. day.wind day.gust day.off_axis"},
		{"air", "density of the air", "day."},
		{"stretch", "stretch of the bungee", "launch.bungee.stretch"},
		{"hook", "the hook: its place, droop and friction", "launch.bungee.hook."},
		{"cord", "the cord and line: pull, length, mass", "launch.bungee."},
		{"hand", "the hand: nose, bank, aim, height, throw", "launch.held. launch.hand. launch.throw."},
		{"stick", "the stick held", "launch.stick."},
		{"motor", "motor and propeller: delay and thrust", "launch.motor launch.throttle power. factor.thrust factor.advance factor.kv factor.torque"},
		{"balance", "mass and balance", "parts. trial.mass"},
		{"trim", "trim of the airframe: moments, controls, shape", "factor.neutral-point factor.pitch-trim factor.control factor.damping surfaces. body. extras."},
		{"wing", "lift and drag of the airframe", "factor. trial."},
	} {
		for _, p := range strings.Fields(g.prefixes) {
			if strings.HasPrefix(path, p) {
				return g.key, g.name
			}
		}
	}
	return "rest", "the rest of the launch"
}

// PostMortem flies the launches of the seed, keeps those that end as told,
// weighed by what was read of them, and asks of every cause: would they have
// flown, had it been as meant? It is deterministic: the same chain, seed and
// ending give the same bits. Numbers read at release are compared with 5 % of
// doubt in the model's speeds (published launch models meet measured ones
// within 4 to 9 %), 5 degrees in its pitch and 0.1 s in its times. A launch is
// the same aeroplane, cord and hook as the one beside it in the draws (two
// launches a world), which is how FlewBefore is taken into account exactly.
func (c *Chain) PostMortem(ctx context.Context, o Options, e Ending) (*PostMortem, error) {
	o = o.filled()
	nan := math.NaN()
	p := &PostMortem{Before: Quantity{nan, nan, nan, "1", "not asked"}}
	if c.Aircraft.Launch.By == "" {
		p.Status = "the build describes no launch"
		return p, nil
	}
	space, index, err := c.space(true)
	if err != nil {
		return nil, err
	}
	var paths []doubt.Input
	paths = append(append(paths, space.Inputs(doubt.Ignorance)...), space.Inputs(doubt.Scatter)...)
	ni := space.Len(doubt.Ignorance)
	sampler := doubt.NewSampler(space, o.Seed, 2)
	if sampler.Repeats < 2 && e.FlewBefore {
		p.Status = "too many doubtful inputs to fly each world twice"
		return p, nil
	}
	n := c.Nominal()
	nominal := c.Setup(&n)
	start := nominal.Height
	var values [][]float64
	var outs []launch.Outcome
	var weights []float64
	effective := func() float64 {
		s, q := 0.0, 0.0
		for _, w := range weights {
			s, q = s+w, q+w*w
		}
		if q == 0 {
			return 0
		}
		return s * s / q
	}
	for len(outs) < postMost && (len(outs) < 2*postBatch || effective() < postEnough) {
		from := len(outs)
		outs = append(outs, make([]launch.Outcome, postBatch)...)
		values = append(values, make([][]float64, postBatch)...)
		err := each(ctx, postBatch, o.Workers, func(int) func(int) {
			k := c.desk()
			return func(j int) {
				v := make([]float64, len(paths))
				sampler.Draw(from+j, v[:ni], v[ni:])
				k.set(c, index, o.Seed, from+j, v[:ni], v[ni:])
				values[from+j], outs[from+j] = v, launch.Run(&k.s, k.w)
			}
		}, func(done int) { o.Progress("launches", from+done, postMost) })
		if err != nil {
			return nil, err
		}
		for i := from; i < len(outs); i++ {
			w := e.weight(&outs[i], start)
			if e.FlewBefore && !outs[i^1].Success {
				w = 0
			}
			weights = append(weights, w)
		}
	}
	p.N = len(outs)
	flew, ended, before, after := 0, 0, 0, 0
	for i := range outs {
		if outs[i].Success {
			flew++
		}
		hit := e.ends(&outs[i])
		if hit {
			ended++
		}
		if e.FlewBefore && outs[i^1].Success {
			before++
			if hit {
				after++
			}
		}
	}
	p.Flew = share(float64(flew), float64(p.N))
	p.Odds = p.Flew.Value
	p.Share = share(float64(ended), float64(p.N))
	if e.FlewBefore && before > 0 {
		p.Before = share(float64(after), float64(before))
	}
	p.Matching = effective()
	if p.Matching < postLeast {
		p.Status = "the model hardly ever ends so with this build, day and what was seen: something is other than the build says, or was seen otherwise"
		return p, nil
	}
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	p.Signs, p.Classes = map[string]float64{}, map[string]float64{}
	best := 0
	for i, w := range weights {
		if w > weights[best] {
			best = i
		}
		if w == 0 {
			continue
		}
		p.Classes[outs[i].Class.Key()] += w / sum
		for _, s := range launchSigns {
			if s.of(&outs[i], start) {
				p.Signs[s.name] += w / sum
			}
		}
	}
	p.Typical = outs[best].Sentence()
	// Taken apart: an even pick by weight.
	var pick []int
	at, step := 0.0, sum/postEnough
	want := step / 2
	for i, w := range weights {
		if at += w; at > want {
			pick = append(pick, i)
			for at > want {
				want += step
			}
		}
	}
	shifts := make([]Shift, len(paths))
	for j, in := range paths {
		shifts[j] = shiftOf(in, j, values, weights, sum)
		shifts[j].Scatter = j >= ni
		if k := c.input(in.Path); k >= 0 {
			shifts[j].Unit = c.Aircraft.Inputs[k].Unit
		}
	}
	if err := c.reasons(ctx, p, o, index, ni, paths, shifts, values, outs, pick, start); err != nil {
		return nil, err
	}
	if err := c.different(ctx, p, o, pick); err != nil {
		return nil, err
	}
	for i := range p.Reasons {
		r := &p.Reasons[i]
		for k := range p.Settings {
			if key, _ := group(p.Settings[k].Path); key == r.Key && r.Other == nil {
				r.Other = &p.Settings[k]
			}
		}
	}
	sort.SliceStable(p.Reasons, func(a, b int) bool {
		x, y := p.Reasons[a], p.Reasons[b]
		if v, w := x.Explains().Value, y.Explains().Value; v != w {
			return v > w
		}
		return x.ButFor.Value > y.ButFor.Value
	})
	p.Changed = worstFifth(p.Reasons[0].Main[0], paths, values, outs)
	p.Meant = launch.Run(&nominal, launch.NewWorkspace()).Success
	return p, nil
}

// ends says whether an outcome is one of those told.
func (e *Ending) ends(o *launch.Outcome) bool {
	if o.Class == launch.NoResult {
		return false
	}
	if len(e.Classes) == 0 {
		return !o.Success
	}
	for _, k := range e.Classes {
		if o.Class == k {
			return true
		}
	}
	return false
}

// weight is how well an outcome fits what was told, 0 to 1.
func (e *Ending) weight(o *launch.Outcome, start float64) float64 {
	if !e.ends(o) {
		return 0
	}
	w := 1.0
	m := last(o)
	fit := func(r Read, v, model float64) {
		if r.SD <= 0 {
			return
		}
		if math.IsNaN(v) {
			w = 0
			return
		}
		s := math.Hypot(r.SD, model)
		w *= math.Exp(-(v - r.Value) * (v - r.Value) / (2 * s * s))
	}
	fit(e.Speed, m.Speed, 0.05*m.Speed)
	fit(e.Pitch, m.Pitch, 5*math.Pi/180)
	fit(e.Time, m.T, 0.1)
	for _, t := range e.Signs {
		for _, s := range launchSigns {
			if s.name == t.Name {
				trust := math.Min(1, math.Max(0.5, t.Trust))
				if s.of(o, start) == t.Seen {
					w *= trust
				} else {
					w *= 1 - trust
				}
			}
		}
	}
	return w
}

func (c *Chain) input(path string) int {
	for i := range c.Aircraft.Inputs {
		if c.Aircraft.Inputs[i].Path == path {
			return i
		}
	}
	return -1
}

func shiftOf(in doubt.Input, j int, values [][]float64, weights []float64, sum float64) Shift {
	s := Shift{Path: in.Path, Label: in.Label, How: in.How, Meant: in.Dist.Nominal()}
	n := float64(len(values))
	mean, sq := 0.0, 0.0
	for _, v := range values {
		mean += v[j] / n
	}
	for i, v := range values {
		sq += (v[j] - mean) * (v[j] - mean) / n
		s.Mean += v[j] * weights[i] / sum
	}
	for i, v := range values {
		s.SD += (v[j] - s.Mean) * (v[j] - s.Mean) * weights[i] / sum
	}
	s.SD = math.Sqrt(s.SD)
	if sq > 0 {
		s.By = (s.Mean - mean) / math.Sqrt(sq)
	}
	return s
}

// reasons flies the picked launches again, one cause at a time as meant.
func (c *Chain) reasons(ctx context.Context, p *PostMortem, o Options, index [2][]int, ni int, paths []doubt.Input, shifts []Shift, values [][]float64, outs []launch.Outcome, pick []int, start float64) error {
	var list []Reason
	var members [][]int
	at := map[string]int{}
	for j, in := range paths {
		if in.Dist.Fixed() {
			continue
		}
		key, name := group(in.Path)
		k, ok := at[key]
		if !ok {
			k = len(list)
			at[key] = k
			list, members = append(list, Reason{Key: key, Name: name, Signs: map[string]float64{}}), append(members, nil)
		}
		members[k] = append(members[k], j)
	}
	saved := make([]bool, len(list)*len(pick))
	err := each(ctx, len(saved), o.Workers, func(int) func(int) {
		k := c.desk()
		v := make([]float64, len(paths))
		return func(i int) {
			g := i / len(pick)
			copy(v, values[pick[i%len(pick)]])
			for _, j := range members[g] {
				v[j] = shifts[j].Meant
			}
			k.set(c, index, o.Seed, pick[i%len(pick)], v[:ni], v[ni:])
			if list[g].Key == "gust" {
				k.s.Turbulence.On = false // its fast part has no input
			}
			saved[i] = launch.Run(&k.s, k.w).Success
		}
	}, func(done int) { o.Progress("causes", done, len(saved)) })
	if err != nil {
		return err
	}
	for g := range list {
		r := &list[g]
		hits := 0.0
		for i, d := range pick {
			if !saved[g*len(pick)+i] {
				continue
			}
			hits++
			for _, s := range launchSigns {
				if s.of(&outs[d], start) {
					r.Signs[s.name]++
				}
			}
		}
		for _, s := range launchSigns { // with the matching launches' own share as two launches' worth
			r.Signs[s.name] = (r.Signs[s.name] + 2*p.Signs[s.name]) / (hits + 2)
		}
		r.ButFor = share(hits, float64(len(pick)))
		for _, j := range members[g] {
			r.Main = append(r.Main, shifts[j])
		}
		sort.SliceStable(r.Main, func(a, b int) bool { return math.Abs(r.Main[a].By) > math.Abs(r.Main[b].By) })
		r.Main = r.Main[:min(3, len(r.Main))]
		for _, m := range r.Main {
			if r.Check == "" {
				r.Check = m.How
			}
		}
	}
	p.Reasons = list
	return nil
}

// worstFifth is the share of launches that fly among those in which the input
// lies in the fifth on the side of its shift.
func worstFifth(s Shift, paths []doubt.Input, values [][]float64, outs []launch.Outcome) float64 {
	j := 0
	for i := range paths {
		if paths[i].Path == s.Path {
			j = i
		}
	}
	order := make([]int, len(outs))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return (values[order[a]][j] < values[order[b]][j]) == (s.By < 0) })
	n := max(1, len(order)/5)
	flew := 0
	for _, i := range order[:n] {
		if outs[i].Success {
			flew++
		}
	}
	return float64(flew) / float64(n)
}

// turns are the settings that a person might have chosen otherwise, and by
// how much a change is felt and can be made: our choice.
var turns = []struct {
	path string
	by   float64
	rel  bool
}{
	{"launch.bungee.stretch", 0.15, true},
	{"launch.bungee.hook.x", 0.02, false},
	{"launch.bungee.hook.friction", 0.5, true},
	{"launch.held.nose_up", 6 * math.Pi / 180, false},
	{"launch.held.height", 0.3, false},
	{"launch.stick.pitch", 0.15, false},
	{"launch.motor_delay", 0.25, false},
	{"launch.throw.speed", 0.15, true},
	{"parts.battery.at.x", 0.02, false},
	{"day.wind", 2, false},
}

// different tries other settings on the picked launches.
func (c *Chain) different(ctx context.Context, p *PostMortem, o Options, pick []int) error {
	for _, t := range turns {
		k, ok := c.Aircraft.Knob(t.path)
		if !ok {
			continue
		}
		var best Different
		for _, sign := range []float64{-1, 1} {
			to := k.Value + sign*t.by
			if t.rel {
				to = k.Value * (1 + sign*t.by)
			}
			to = math.Min(k.High, math.Max(k.Low, to))
			if to == k.Value || t.path == "day.wind" && to < 0 {
				continue
			}
			ac, ok := c.Aircraft.Turn(t.path, to)
			if !ok {
				continue
			}
			n, err := c.For(ac)
			if err != nil {
				return err
			}
			g, err := n.Glance(ctx, Options{Seed: o.Seed, Workers: o.Workers}, Ask{Draws: pick})
			if err != nil {
				return err
			}
			q := share(float64(g.Hits), float64(g.N))
			if best.Path == "" || q.Value > best.Saves.Value {
				best = Different{t.path, k.Label, k.Dim, k.Value, to, q}
			}
		}
		if best.Path != "" {
			p.Settings = append(p.Settings, best)
		}
	}
	sort.SliceStable(p.Settings, func(a, b int) bool { return p.Settings[a].Saves.Value > p.Settings[b].Saves.Value })
	return nil
}

// share is hits of n with the 90 % interval of Wilson (JASA 22, 1927).
func share(hits, n float64) Quantity {
	const z = 1.6448536269514722
	p := hits / n
	mid, half := (p+z*z/(2*n))/(1+z*z/n), z/(1+z*z/n)*math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return Quantity{Value: p, Low: math.Max(0, mid-half), High: math.Min(1, mid+half), Unit: "1"}
}
