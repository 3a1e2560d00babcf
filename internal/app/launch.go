package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/verdict"
)

// LaunchMoreRequest is a LaunchRequest with what to search besides.
type LaunchMoreRequest struct {
	LaunchRequest
	Only    bool   // the odds alone: no settings, levers, map, ring
	Map     string // two paths, comma between; empty: stretch and stick
	MapAt   string // "best" (default) or "now": what all other settings are
	MapFile string // SVG of the map

	work *launchWork // nil: launchFull
}

// launchWork is how much the searches do: launches a look, looks, cells.
type launchWork struct {
	evals, look, levers, ring, cell, side int
}

// launchFull is what a person gets: some 45 000 launches for the settings, 30 000
// for the rest.
var launchFull = launchWork{evals: 0, look: 0, levers: 512, ring: 256, cell: 128, side: 9}

// LaunchMore answers the fifth question in full: odds, and with them the best
// settings with their tolerances, the levers ranked, the map of odds over two
// settings and what the ring does.
func LaunchMore(ctx context.Context, q LaunchMoreRequest) (*Answer, error) {
	if q.MapFile != "" && !strings.HasSuffix(strings.ToLower(q.MapFile), ".svg") {
		return nil, Bad("file-name", "end the name in .svg", fmt.Sprintf("the map is drawn as SVG, not %q", q.MapFile))
	}
	switch q.MapAt {
	case "", "best", "now":
	default:
		return nil, Bad("map-at", "best or now", fmt.Sprintf("--map-at %q", q.MapAt))
	}
	if q.Only && (q.Map != "" || q.MapFile != "") {
		return nil, Bad("no-map", "leave --quick out", "the quick answer has no odds map")
	}
	if q.MapFile != "" && q.MapFile == q.Trajectory {
		return nil, Bad("file-name", "choose another name", "--plot-map and --trajectory name the same file")
	}
	q.memo = shared(q.Request) // one set of solved sections for all that follows
	a, err := Launch(ctx, q.LaunchRequest)
	if err != nil {
		return nil, err
	}
	body, ok := a.Body.(report.LaunchJSON)
	if !ok {
		panic("app: the launch's body is no LaunchJSON")
	}
	if q.Only || body.By == "" {
		a.Body = report.LaunchMoreBody(body, nil, report.LaunchMore{})
		if q.Map != "" || q.MapFile != "" {
			return nil, Bad("no-launch", "write a launch: block (by: bungee or hand)", "no launch is described, so there is no map of it")
		}
		return a, nil
	}
	m, s, err := SearchLaunch(ctx, q)
	if err != nil {
		return nil, err
	}
	report.AddLaunchMore(a.Doc, *s, *m)
	a.Body = report.LaunchMoreBody(body, s.Results.Aircraft, *m)
	if m.Map != nil {
		a.Besides = append(a.Besides, report.LaunchMapChart(*s, m.Map))
	}
	if q.MapFile != "" && m.Map == nil {
		return nil, Bad("map", "name two settings: --map launch.stick.pitch,launch.held.height", "this launch has no stretch and stick to map")
	}
	if q.MapFile != "" {
		a.Files = append(a.Files, File{Name: q.MapFile, Text: report.LaunchMapChart(*s, m.Map).SVG(720, 460), Over: true})
	}
	return a, nil
}

// shared is the request's memo, or a new one.
func shared(q Request) *memo {
	if q.memo != nil {
		return q.memo
	}
	return &memo{kept: map[string][]byte{}, disk: openCache(q.Cached)}
}

// launcher answers the searches' questions about the launch of one build.
type launcher struct {
	chain *assess.Chain
	seed  uint64
}

func (l *launcher) look(ctx context.Context, ac *craft.Aircraft, ask assess.Ask) (assess.Glance, error) {
	c, err := l.chain.For(ac)
	if err != nil {
		return assess.Glance{}, err
	}
	return c.Glance(ctx, assess.Options{Seed: l.seed, Workers: workers()}, ask)
}

func (l *launcher) full(ctx context.Context, ac *craft.Aircraft) (assess.Quantity, error) {
	c, err := l.chain.For(ac)
	if err != nil {
		return assess.Quantity{}, err
	}
	r, err := c.Run(ctx, assess.Options{Seed: l.seed, Workers: workers(), OnlyLaunch: true, Brief: true})
	if err != nil {
		return assess.Quantity{}, err
	}
	return r.Launch.Odds, nil
}

// SearchLaunch finds best settings, levers, map and ring of a build.
func SearchLaunch(ctx context.Context, q LaunchMoreRequest) (*report.LaunchMore, *report.Subject, error) {
	q.memo = shared(q.Request)
	work := launchFull
	if q.work != nil {
		work = *q.work
	}
	o, err := Open(q.Request)
	if err != nil {
		return nil, nil, err
	}
	chain, err := models(ctx, o, q.Request)
	if err != nil {
		return nil, nil, located(o, err)
	}
	// Everything but fine odds: what the structure stands and the balance allows.
	r, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Launches: 128, Draws: 64, Workers: workers(), Count: true})
	if err != nil {
		return nil, nil, located(o, err)
	}
	s := &report.Subject{Results: r, Verdict: verdict.In(r, q.Units), Units: q.Units}
	m := &report.LaunchMore{}
	if !r.Launch.Asked {
		return m, s, nil
	}
	ac := o.Aircraft
	find := &launcher{chain, q.Seed}
	d := chain.Nominal()
	setup := chain.Setup(&d)
	bounds := bounds(chain, r, &s.Verdict)
	m.Settings = seek.SettingLevers(ac, setup.Levers(2), bounds)
	pair, err := mapPair(ac, m.Settings, q.Map)
	if err != nil {
		return nil, nil, err
	}
	if m.Best, err = seek.FindBest(ctx, ac, m.Settings, find.look, find.full, seek.BestPlan{Seed: q.Seed, Evals: work.evals, Look: work.look, Limit: ac.Limits.LaunchOdds, Progress: q.Progress}); err != nil {
		return nil, nil, err
	}
	m.Best.Limit, m.Best.Balance = bounds.StretchBy, bounds.BatteryBy
	if err := proveBest(ctx, q.Request, &s.Verdict, m.Best); err != nil {
		return nil, nil, err
	}
	best := m.Best.Turn(ac)
	if m.Levers, err = seek.Effects(ctx, ac, work.levers, find.look, q.Progress); err != nil {
		return nil, nil, err
	}
	m.LeversN = work.levers
	if pair != nil {
		at, base := best, seek.AtBest
		if q.MapAt == "now" || m.Best.Held {
			at, base = ac, seek.AsSet
		}
		if m.Map, err = seek.FindMap(ctx, at, pair[0], pair[1], work.side, work.side, work.cell, find.look, q.Progress); err != nil {
			return nil, nil, err
		}
		m.Map.Base = base
	}
	if m.Ring, err = seek.StuckRing(ctx, ac, work.ring, find.look); err != nil {
		return nil, nil, err
	}
	if m.Ring != nil && !m.Best.Held {
		if m.RingBest, err = seek.StuckRing(ctx, best, work.ring, find.look); err != nil {
			return nil, nil, err
		}
	}
	return m, s, nil
}

// bounds finds what hook, stake and balance allow. A finding that passes now
// must still pass under doubt; one that fails or is doubtful must at least not
// get worse, and its value must meet the limit.
func bounds(c *assess.Chain, r *assess.Results, v *verdict.Verdict) seek.Bounds {
	var b seek.Bounds
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.ID != "hook" && f.ID != "stake" || math.IsNaN(f.Value.Value) || !(f.Limit.Min > 0) || r.Launch.Tension.Status != "" {
			continue
		}
		share := f.Value.Low / f.Limit.Min
		if f.Status != verdict.Pass || !(share >= 1) {
			share = math.Min(1, f.Value.Value/f.Limit.Min)
		}
		// The largest pull of a launch follows the held pull nearly in proportion.
		most, ok := c.SafeStretch(share * c.HeldPull())
		if ok && (b.Stretch == 0 || most < b.Stretch) {
			b.Stretch = most
			b.StretchBy = fmt.Sprintf("the %s allows no more than %.1f m of stretch", f.ID, most)
		}
	}
	d := c.Nominal()
	if s := c.Setup(&d); s.Cord != nil {
		own := 0.0
		for _, l := range s.Levers(2) {
			if l.Path == "launch.bungee.stretch" {
				own = l.High
			}
		}
		if own > 0 && (b.Stretch == 0 || own <= b.Stretch) {
			b.StretchBy = fmt.Sprintf("the pull test, the rubber or the safe pull ends the search at %.1f m of stretch", own)
		}
	}
	b.Battery = batteryRange(c, r)
	for i := range c.Aircraft.Parts {
		p := &c.Aircraft.Parts[i]
		if p.Kind != "battery" || !p.Movable || p.Twin {
			continue
		}
		lo, hi := b.Battery[0], b.Battery[1]
		switch {
		case !(hi > lo):
			b.BatteryBy = "no place of the battery within its room is sure to balance her: it stays where it is"
		case p.At.X < lo-1e-9 || p.At.X > hi+1e-9:
			b.BatteryBy = fmt.Sprintf("the balance comes first: at %.0f mm the battery is outside the %.0f to %.0f mm that balance her for certain, so it moves, whatever the launch would like; with the balance point the hook wants to move too", 1e3*p.At.X, 1e3*lo, 1e3*hi)
		}
		break
	}
	return b
}

// batteryRange is the places of the battery that keep the static margin's 90 %
// interval (or, where that is too wide, its value) within the limits, and the
// balance point within the maker's.
func batteryRange(c *assess.Chain, r *assess.Results) [2]float64 {
	ac := c.Aircraft
	none := [2]float64{}
	for i := range ac.Parts {
		p := &ac.Parts[i]
		if p.Kind != "battery" || !p.Movable || p.Twin || !(p.Mass > 0) {
			continue
		}
		q := r.Get(assess.StaticMargin)
		if q.Status != "" || math.IsNaN(q.Low) || math.IsInf(q.Low, 0) {
			return none
		}
		per := -p.Mass / ac.Mass.Total / ac.Ref.Chord // static margin per metre aft
		least, most := ac.Limits.StaticMarginMin, ac.Limits.StaticMarginMax
		down, up := q.Value-q.Low, q.High-q.Value
		if most-up <= least+down {
			down, up = 0, 0
		}
		lo, hi := p.At.X+(most-up-q.Value)/per, p.At.X+(least+down-q.Value)/per
		if ac.Limits.BalanceMax > ac.Limits.BalanceMin {
			k := p.Mass / ac.Mass.Total
			lo = math.Max(lo, p.At.X+(ac.Limits.BalanceMin-ac.Mass.CG.X)/k)
			hi = math.Min(hi, p.At.X+(ac.Limits.BalanceMax-ac.Mass.CG.X)/k)
		}
		lo, hi = math.Max(lo, p.MinAt.X), math.Min(hi, p.MaxAt.X)
		if hi > lo {
			return [2]float64{lo, hi}
		}
		return none
	}
	return none
}

// mapPair finds the two levers of the map; nil when the launch has none by
// default.
func mapPair(ac *craft.Aircraft, settings []seek.Lever, wish string) (*[2]seek.Lever, error) {
	paths := []string{"launch.bungee.stretch", "launch.stick.pitch"}
	if ac.Launch.By == "hand" {
		paths[0] = "launch.throw.speed"
	}
	if wish != "" {
		paths = strings.Split(wish, ",")
		if len(paths) != 2 {
			return nil, Bad("map", "two paths with a comma between: --map launch.bungee.stretch,launch.stick.pitch", fmt.Sprintf("--map %q names %d settings", wish, len(paths)))
		}
	}
	var out [2]seek.Lever
	for i, p := range paths {
		l, ok := seek.MapLever(ac, settings, strings.TrimSpace(p))
		if !ok {
			if wish == "" {
				return nil, nil
			}
			return nil, Bad("map", "one of "+strings.Join(seek.MapPaths(ac, settings), ", "), fmt.Sprintf("no map over %q", strings.TrimSpace(p)))
		}
		if l.Noun == "" {
			l.Noun = p
		}
		if l.Path == "launch.bungee.stretch" { // less than half the stretch launches nothing
			l.Low = math.Max(l.Low, l.High/2)
		}
		out[i] = l
	}
	if out[0].Path == out[1].Path {
		return nil, Bad("map", "two different settings", "--map names the same setting twice")
	}
	return &out, nil
}

// proveBest reruns the edited build from its text, all questions, and says
// whether the odds wanted are held and which safety findings got worse.
func proveBest(ctx context.Context, q Request, now *verdict.Verdict, b *seek.Best) error {
	sets := b.Sets()
	if len(sets) == 0 {
		return nil
	}
	q.Sets = append(append([]string(nil), q.Sets...), sets...)
	o, err := Open(q)
	var bad *BadInput
	if errors.As(err, &bad) {
		b.Spoils = append(b.Spoils, "the build file itself ("+bad.Error()+")")
		return nil
	}
	if err != nil {
		return err
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		return located(o, err)
	}
	r, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Draws: 64, Workers: workers(), Brief: true})
	if err != nil {
		return located(o, err)
	}
	b.After = r.Launch.Odds
	after := verdict.Of(r)
	proof := seek.Proved(now, &after, "launch-odds")
	b.Verified, b.Spoils = proof.Finding.Status == verdict.Pass, proof.Spoils
	return nil
}
