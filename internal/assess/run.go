package assess

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/launch"
	"fledge/internal/odds"
	"fledge/internal/perform"
	"fledge/internal/section"
	"fledge/internal/strength"
)

// Options says how much work to do. The zero value means the defaults.
type Options struct {
	Seed     uint64 // of all draws
	Launches int    // launches for the odds, default 1024
	Draws    int    // of ignorance for intervals, default 128
	Workers  int    // default 1
	Progress func(stage string, done, total int)
	// OnlyLaunch skips everything but the launch: for searches.
	OnlyLaunch bool
	// Cheap leaves out every scalar but mass, balance and static margin, and
	// links and set-up; as does the scope Weights.
	Cheap bool
	// Scope names the scalars that are wanted. A narrow one also leaves out links
	// and set-up: for searches and proofs about other things.
	Scope Scope
	// NoHeat leaves out how warm the drive gets.
	NoHeat bool
	// After is a whole run of like launches and seed whose launches are taken
	// over where nothing that a launch feels has changed since, and whose scalars,
	// links and heat (with no fewer draws) where nothing of these has.
	After *After
	// Brief leaves out what the odds hang on.
	Brief bool
	// Count takes the odds as counted, without the range of ignorance.
	Count bool
	// NoFit leaves out whether the parts go in: for searches about other things.
	NoFit bool
	// NoLaunch skips the launch.
	NoLaunch bool
	// Sortie also asks for the chance of the whole sortie.
	Sortie bool
}

// After is a chain with its results.
type After struct {
	Chain   *Chain
	Results *Results
}

// flown tells whether the results hold every scalar.
func (r *Results) flown() bool {
	return r.Get(Mass).Value > 0 && r.Get(StallSpeed).Status != string(perform.NotDescribed)
}

func (o Options) filled() Options {
	if o.Launches == 0 {
		o.Launches = 1024
	}
	if o.Draws == 0 {
		o.Draws = 128
	}
	if o.Workers == 0 {
		o.Workers = 1
	}
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	if o.Cheap {
		o.Scope = Weights
	}
	return o
}

// Run assesses the chain's aircraft.
func (c *Chain) Run(ctx context.Context, o Options) (*Results, error) {
	o = o.filled()
	r := &Results{
		Aircraft: c.Aircraft, Hash: c.Aircraft.Hash, Seed: o.Seed, Draws: o.Draws, Launches: o.Launches,
		Air: c.Air, DensityAltitude: air.DensityAltitude(c.Air.Rho),
	}
	flown := false
	if a := o.After; a != nil && o.Scope == Everything && a.Results.Seed == o.Seed && a.Results.Draws >= o.Draws && a.Results.flown() && c.sameFlights(a.Chain) {
		flown = true
		r.Draws, r.Numbers, r.Links, r.Way, r.Heat = a.Results.Draws, a.Results.Numbers, a.Results.Links, a.Results.Way, a.Results.Heat
		r.Slowest = a.Results.Slowest
	}
	if !o.OnlyLaunch && !flown {
		space, index, err := c.space(false)
		if err != nil {
			return nil, err
		}
		if err := c.scalars(ctx, r, space, index, o); err != nil {
			return nil, err
		}
		if o.Scope == Everything {
			if err := c.links(ctx, r, space, index, o); err != nil {
				return nil, err
			}
		}
	}
	if !o.NoLaunch {
		space, index, err := c.space(true)
		if err != nil {
			return nil, err
		}
		if a := o.After; a != nil && a.Results.Seed == o.Seed && a.Results.Launches == o.Launches && c.sameLaunches(a.Chain) {
			r.Launch = a.Results.Launch
		} else if err := c.launch(ctx, r, space, index, o); err != nil {
			return nil, err
		}
		if o.Sortie {
			if err := c.sortie(ctx, r, space, index, o); err != nil {
				return nil, err
			}
		}
	}
	if !o.OnlyLaunch {
		if !o.NoHeat && !flown {
			if err := c.warmth(ctx, r, o); err != nil {
				return nil, err
			}
		}
		r.Strength = strength.Assess(c.Aircraft, c.loads(r))
		if !o.NoFit {
			r.Fit = c.Fit()
		}
		if o.Scope == Everything {
			r.Setup = c.setup(r)
		}
	}
	r.Notes = c.notes(r)
	return r, nil
}

// space is the named space of everything with doubt: the inputs of the
// aircraft and the gusts of the day. index gives, for each input of a kind in
// the order of the draws, its place in Aircraft.Inputs, or −1−k for gust k.
// For the launch, what no launch can feel is left out.
func (c *Chain) space(launch bool) (*doubt.Space, [2][]int, error) {
	var list []doubt.Input
	var index [2][]int
	ac := c.Aircraft
	for i := range ac.Inputs {
		in := &ac.Inputs[i]
		d, err := doubt.Truncated(in.Nominal, c.sigma(in), in.Low, in.High)
		if err != nil {
			return nil, index, &BadDoubt{Path: in.Path, Why: impossible(in, c.sigma(in))}
		}
		if in.Shape() && !c.matters(i) || launch && unfelt(in.Path) {
			continue
		}
		kind := doubt.Ignorance
		if in.Kind == craft.Scatter {
			kind = doubt.Scatter
		}
		list = append(list, doubt.Input{Path: in.Path, Label: in.Label, Kind: kind, Dist: d, How: in.How})
		index[kind] = append(index[kind], i)
	}
	if launch && ac.Launch.By != "" {
		d, err := doubt.Normal(0, 1)
		if err != nil {
			return nil, index, err
		}
		for k, g := range gusts {
			list = append(list, doubt.Input{Path: g.path, Label: g.label, Kind: doubt.Scatter, Dist: d})
			index[doubt.Scatter] = append(index[doubt.Scatter], -1-k)
		}
	}
	list, index = ordered(list, index)
	s, err := doubt.NewSpace(list)
	return s, index, err
}

// unfelt names inputs that do not enter the launch: strength, servos, the
// pack's and wires' share of the voltage in its first seconds.
func unfelt(path string) bool {
	for _, p := range []string{"linkages.", "strength.", "landing.", "flight.", "radio.", "obstacles.", "power.battery.", "power.wiring.", "power.controller.", "day.humidity"} {
		if strings.HasPrefix(path, p) {
			return true
		}
	}
	return false
}

// BadDoubt is a spread that cannot be, with the path of the value.
type BadDoubt struct{ Path, Why string }

func (b *BadDoubt) Error() string { return b.Path + ": " + b.Why }

// gusts names the even part of the turbulence that a drawn launch flies
// through, one standard normal score each: where it starts, and how it changes
// over each next piece of air. The day's gust says how strong it is
// ([air.GustSigma]); a gust no higher than the wind is smooth air.
var gusts = func() (list []struct {
	path, label string
	put         func(*air.Even) *float64
}) {
	add := func(path, label string, put func(*air.Even) *float64) {
		list = append(list, struct {
			path, label string
			put         func(*air.Even) *float64
		}{path, label, put})
	}
	for i, name := range []string{"along", "across", "across-turning", "up", "up-turning"} {
		add("gust.start."+name, "gust at the start, "+strings.ReplaceAll(name, "-", ", "), func(e *air.Even) *float64 { return &e.Start[i] })
	}
	for b := range air.EvenBlocks {
		for axis, name := range []string{"along", "across", "up"} {
			add(fmt.Sprintf("gust.%s.%02d", name, b+1), fmt.Sprintf("change of the gust %s in the %s piece of air ahead", name, ordinal(b+1)), func(e *air.Even) *float64 { return &e.Shocks[axis][b] })
		}
	}
	return list
}()

func ordinal(n int) string {
	if n <= 3 {
		return [...]string{"first", "second", "third"}[n-1]
	}
	return fmt.Sprintf("%dth", n)
}

// scalars fills the nominal numbers and their intervals over ignorance.
func (c *Chain) scalars(ctx context.Context, r *Results, space *doubt.Space, index [2][]int, o Options) error {
	nominal := c.Nominal()
	base := c.numbers(&nominal, o.Scope)
	if o.Scope != Weights {
		r.Slowest = c.slowest(&nominal)
	}
	sampler := doubt.NewSampler(space, o.Seed, 1)
	n := o.Draws
	all := make([]Numbers, n)
	err := each(ctx, n, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		return func(i int) {
			sampler.Draw(i, ign, sca)
			d := c.Draw(index[doubt.Ignorance], ign)
			all[i] = c.numbers(&d, o.Scope)
		}
	}, func(done int) { o.Progress("performance", done, n) })
	if err != nil {
		return err
	}
	for id := range idCount {
		r.Numbers[id] = quantity(base[id], id, all)
	}
	return nil
}

// quantity is a nominal value with its interval. Draws in which the number
// does not exist make the side towards which they fail open: they count as
// the worst, and when more than one in twenty fail the interval says so.
func quantity(v perform.Value, id ID, all []Numbers) Quantity {
	q := Quantity{Value: v.V, Low: v.V, High: v.V, Unit: id.Unit()}
	if !v.Known() {
		q.Status = string(v.Status)
		q.Value, q.Low, q.High = math.NaN(), math.NaN(), math.NaN()
		return q
	}
	var xs []float64
	for i := range all {
		if x := all[i][id]; x.Known() {
			xs = append(xs, x.V)
		}
	}
	if len(xs) < len(all)*19/20 {
		q.Low, q.High = math.Inf(-1), math.Inf(1)
		return q
	}
	if len(xs) > 1 {
		q.Low, q.High = doubt.Interval(xs, 0.90)
		// The nominal value need not be the median; the interval holds it.
		q.Low, q.High = math.Min(q.Low, v.V), math.Max(q.High, v.V)
	}
	return q
}

// The numbers each launch reports.
const (
	atSpeed = iota
	atStall
	atTrim
	atPitch
	atHeight
	atPath
	pull
	load
	class
	reported
)

// launch flies the launches.
func (c *Chain) launch(ctx context.Context, r *Results, space *doubt.Space, index [2][]int, o Options) error {
	ac := c.Aircraft
	if ac.Launch.By == "" {
		return nil
	}
	l := &r.Launch
	l.Asked, l.By = true, ac.Launch.By
	nominal := c.Nominal()
	setup := c.Setup(&nominal)
	setup.Accuracy = launch.Fine
	l.Nominal = launch.Run(&setup, launch.NewWorkspace())
	for _, n := range setup.Check() {
		l.Warnings = append(l.Warnings, n.Say)
		l.Grave = l.Grave || n.Grave
	}
	phase := c.phase(space, index, o.Seed, o.Workers)
	out, err := odds.Run(ctx, space, odds.Plan{
		N: o.Launches, Seed: o.Seed, Workers: o.Workers, Values: reported, Count: o.Count, Brief: o.Brief,
		Progress: func(done, total int) { o.Progress("launches", done, total) },
	}, phase)
	if err != nil {
		return err
	}
	l.Outcome, l.N = out, out.N
	l.Odds = Quantity{Value: out.Odds.Value, Low: out.Odds.Low, High: out.Odds.High, Unit: "1"}
	l.Sampling = [2]float64{out.SamplingLow, out.SamplingHigh}
	if i, found := typical(out); found {
		fl, err := c.fly(ctx, o, space, index, []int{i}, 0)
		if err != nil {
			return err
		}
		l.Typical = &fl[0].Outcome
	}
	take := func(j int, unit string) Quantity {
		q, n := out.Interval(j)
		if n == 0 {
			return Quantity{Value: math.NaN(), Low: math.NaN(), High: math.NaN(), Unit: unit, Status: "no launch got that far"}
		}
		return Quantity{Value: q.Value, Low: q.Low, High: q.High, Unit: unit}
	}
	l.Speed, l.StallRatio, l.TrimRatio = take(atSpeed, "m/s"), take(atStall, "1"), take(atTrim, "1")
	l.Pitch, l.Height, l.Path = take(atPitch, "rad"), take(atHeight, "m"), take(atPath, "rad")
	l.Tension, l.LoadFactor = take(pull, "N"), take(load, "1")
	return nil
}

// desk is what one worker needs to fly drawn launches.
type desk struct {
	w     *launch.Workspace
	s     launch.Setup
	index []int
	value []float64
}

// desk makes a desk. Its setup begins with the nominal cord, which draws that
// only scale the pull keep: without it the cord of whichever draw came first
// would be scaled, and its rounding would show which worker flew what.
func (c *Chain) desk() desk {
	k := desk{w: launch.NewWorkspace(), s: launch.Defaults()}
	d := c.Nominal()
	k.s.Refill(d.Aircraft, c.Aero, c.Power, d.Air)
	return k
}

// set fills the desk's setup from the values of a draw; seed and draw name the
// fast part of its turbulence.
func (k *desk) set(c *Chain, index [2][]int, seed uint64, draw int, ignorance, scatter []float64) {
	k.index, k.value = k.index[:0], k.value[:0]
	even := &k.s.Turbulence.Even
	for j, i := range index[doubt.Ignorance] {
		k.index, k.value = append(k.index, i), append(k.value, ignorance[j])
	}
	for j, i := range index[doubt.Scatter] {
		if i < 0 {
			*gusts[-1-i].put(even) = scatter[j]
			continue
		}
		k.index, k.value = append(k.index, i), append(k.value, scatter[j])
	}
	drawn := c.Draw(k.index, k.value)
	k.s.Refill(drawn.Aircraft, c.Aero, c.Power, drawn.Air)
	k.s.AeroK, k.s.MotorK = drawn.AeroK, drawn.PowerK
	day := &drawn.Aircraft.Day
	t := launch.TurbulenceOf(air.GustSigma(day.Wind, day.Gust), seed, uint64(draw))
	t.Guided, t.Even = true, *even
	k.s.Turbulence = t
}

// Flown is one drawn launch flown again for its trajectory.
type Flown struct {
	Draw    int
	Outcome launch.Outcome
	Rows    []launch.Row
}

// Fan flies the first n drawn launches again with their trajectories, every
// step seconds: the same draws as the odds of the same seed.
func (c *Chain) Fan(ctx context.Context, o Options, n int, step float64) ([]Flown, error) {
	o = o.filled()
	space, index, err := c.space(true)
	if err != nil || c.Aircraft.Launch.By == "" {
		return nil, err
	}
	draws := make([]int, n)
	for i := range draws {
		draws[i] = i
	}
	return c.fly(ctx, o, space, index, draws, step)
}

// fly flies the given draws again.
func (c *Chain) fly(ctx context.Context, o Options, space *doubt.Space, index [2][]int, draws []int, step float64) ([]Flown, error) {
	sampler := doubt.NewSampler(space, o.Seed, 1) // as odds.Run
	out := make([]Flown, len(draws))
	err := each(ctx, len(draws), o.Workers, func(int) func(int) {
		k := c.desk()
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		return func(i int) {
			sampler.Draw(draws[i], ign, sca)
			k.set(c, index, o.Seed, draws[i], ign, sca)
			k.s.Record = step
			out[i] = Flown{Draw: draws[i], Outcome: launch.Run(&k.s, k.w)}
			if step > 0 {
				out[i].Rows = append([]launch.Row(nil), k.w.Trajectory().Rows...)
			}
		}
	}, nil)
	return out, err
}

// typical picks the failed launch that stands for the most frequent way to
// fail: the one whose speed at release is nearest to that class's median (or
// the first, when none was released).
func typical(o *odds.Outcome) (draw int, ok bool) {
	if len(o.Failures) == 0 {
		return 0, false
	}
	var at []int
	var speeds []float64
	for i, v := range o.Values[class] {
		if launch.Class(v).Key() == o.Failures[0].Class {
			at = append(at, i)
			if s := o.Values[atSpeed][i]; !math.IsNaN(s) {
				speeds = append(speeds, s)
			}
		}
	}
	if len(at) == 0 {
		return 0, false
	}
	if len(speeds) == 0 {
		return at[0], true
	}
	mid, _ := doubt.Interval(speeds, 0)
	best, gap := at[0], math.Inf(1)
	for _, i := range at {
		if d := math.Abs(o.Values[atSpeed][i] - mid); d < gap {
			best, gap = i, d
		}
	}
	return best, true
}

// phase flies one drawn launch.
func (c *Chain) phase(space *doubt.Space, index [2][]int, seed uint64, workers int) odds.Phase {
	// Each worker makes its own desk, so that what two of them write to lies on
	// different lines of memory.
	desks := make([]*desk, workers)
	return func(_ context.Context, d odds.Draw) odds.Result {
		k := desks[d.Worker]
		if k == nil {
			k = new(desk)
			*k = c.desk()
			desks[d.Worker] = k
		}
		k.set(c, index, seed, d.Index, d.Ignorance, d.Scatter)
		out := launch.Run(&k.s, k.w)
		d.Values[class] = float64(out.Class)
		d.Values[pull], d.Values[load] = out.MaxTension, math.Abs(out.MaxLoad)
		if out.Released {
			m := &out.AtRelease
			d.Values[atSpeed], d.Values[atStall], d.Values[atTrim] = m.Speed, m.StallRatio, m.TrimRatio
			d.Values[atPitch], d.Values[atHeight], d.Values[atPath] = m.Pitch, m.Height, m.Path
		}
		return odds.Result{Success: out.Success, Class: out.Class.Key()}
	}
}

// loads is what flight and launch ask of the airframe.
func (c *Chain) loads(r *Results) strength.Loads {
	sd := func(q Quantity) float64 {
		if s := (q.High - q.Low) / (2 * 1.6449); s >= 0 && !math.IsInf(s, 0) {
			return s
		}
		return 0
	}
	get := func(id ID) (float64, float64) {
		q := r.Get(id)
		if q.Status != "" {
			return 0, 0
		}
		return q.Value, sd(q)
	}
	l := strength.Loads{Rho: c.Air.Rho, Mu: c.Air.Mu, Temperature: c.Air.T, LiftSlope: c.slope}
	l.TopSpeed, l.TopSigma = get(TopSpeed)
	l.StallSpeed, l.StallSigma = get(StallSpeed)
	l.MaxCurrent, l.CurrentSigma = get(CurrentMax)
	l.TouchdownSpeed, l.TouchSigma = get(Touchdown)
	if r.Launch.Asked && r.Launch.By == "bungee" && r.Launch.Tension.Status == "" {
		l.LaunchTension, l.TensionSigma = r.Launch.Tension.Value, sd(r.Launch.Tension)
	}
	c.drive(r, &l)
	return l
}

// solvedAt is the lowest and the highest Reynolds number that a section was
// solved at.
func (c *Chain) solvedAt() (low, high float64) {
	all := checkSpec(0, 1).Re
	low, high = all[0], all[len(all)-1]
	per := reach(c.Aircraft)
	for _, s := range c.Aircraft.Surfaces {
		for _, st := range s.Stations {
			if st.Section != "" && st.Polar == nil {
				all = checkSpec(per*st.Chord, 1).Re
				high = math.Max(high, all[len(all)-1])
			}
		}
	}
	return low, high
}

// beyond is the highest Reynolds number at a speed of the main wing's chords
// that is more than a tenth above the end of its section's table, and that end; 0:
// none is.
func (c *Chain) beyond(v float64) (re, end float64) {
	w := c.Aircraft.Ref.Wing
	for j, st := range c.Aircraft.Surfaces[w].Stations {
		t := c.sections.Of(w, j)
		if t == nil {
			continue
		}
		_, most, _, _ := t.Range()
		if r := c.Air.Rho * v * st.Chord / c.Air.Mu; r > 1.1*most && r > re {
			re, end = r, most
		}
	}
	return re, end
}

func (c *Chain) notes(r *Results) []string {
	about := "Section drag and maximum lift are handbook trends: 10 to 20 % in drag, 0.1 in maximum lift."
	if c.sections != nil {
		one := "sections"
		if c.solved == 1 {
			one = "section"
		}
		low, high := c.solvedAt()
		if c.solved > 0 {
			about = fmt.Sprintf("%d %s solved at Reynolds numbers %.0f to %.0f; %s.", c.solved, one, low, high, section.Accuracy())
		}
		if slow := r.Get(StallSpeed); slow.Status == "" && slow.Value > 0 && c.Air.Rho*slow.Value*c.Aircraft.Ref.Chord/c.Air.Mu < low {
			about += fmt.Sprintf(" At %.1f m/s her mean chord is at a Reynolds number of %.0f, below what sections were solved or measured for: drag and lift at slow flight, and the launch with them, are less sure than said.", slow.Value, c.Air.Rho*slow.Value*c.Aircraft.Ref.Chord/c.Air.Mu)
		}
		if top := r.Get(TopSpeed); top.Status == "" {
			if re, most := c.beyond(top.Value); re > 0 {
				// Drag of sections falls with the power 0.15 to 0.35 of the Reynolds
				// number; half of all drag is theirs, and speed goes with its third root.
				over := math.Pow(re/most, 0.25) - 1
				about += fmt.Sprintf(" At %.1f m/s her widest chord is at a Reynolds number of %.0f, above what its section was solved or measured for: its drag there is taken as at %.0f, about %.0f %% too much, and top speed %.1f %% too low.", top.Value, 1e3*math.Round(re/1e3), most, 100*over, 100*over/6)
			}
		}
	}
	n := []string{
		about,
		"The cord is lumped (a third of its mass moves with the line); published launch models meet measured speeds within 4 to 9 %.",
	}
	if c.Power != nil && c.Aircraft.Power.Propeller.Geometry == nil && c.Aircraft.Power.Propeller.Measured == nil {
		n = append(n, "The propeller is known by diameter and pitch alone: thrust to 20 %, torque to 25 % at worst.")
	}
	if s := &r.Slowest; s.ByThrow {
		say := fmt.Sprintf("Full up stick comes before the wing's own stall: the pitch throw sets the slowest flight, %.1f m/s, and all that is told in it.", r.Get(StallSpeed).Value)
		say += fmt.Sprintf(" Some %.0f deg more up throw lowers it to about %.1f m/s, and approach, touchdown and landing with it.", s.More*180/math.Pi, s.Then)
		n = append(n, say)
	}
	for _, r := range c.BenchRemarks() {
		n = append(n, strings.ToUpper(r.Say[:1])+r.Say[1:]+" ("+r.Hint+").")
	}
	return n
}

// Say is why the odds are what they are, in one sentence.
func (l *Launch) Say() string {
	s := fmt.Sprintf("launch odds %.2f (%.2f to %.2f)", l.Odds.Value, l.Odds.Low, l.Odds.High)
	if l.Typical == nil {
		return s
	}
	f := l.Outcome.Failures[0]
	return fmt.Sprintf("%s; most failures (%.0f %% of launches) are like this: %s", s, 100*f.Share, l.Typical.Sentence())
}
