package app

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/perform"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/store"
	"fledge/internal/verdict"
)

// PartsRequest asks which of the parts owned or on offer to put in.
type PartsRequest struct {
	Request
	Parts string // the parts file
	Looks int    // choices to look at, at most; 0: 60
}

const (
	quickLaunches = 256 // of a quick look
	quickDraws    = 24
	fullLooks     = 12  // full checks of what may be the cheapest way, at most
	pairLaunches  = 512 // for small differences, paired
)

// market is the work of choosing parts.
type market struct {
	q       PartsRequest
	opened  *Opened
	base    *craft.Aircraft
	neutral float64 // of the build as it is
	offers  *build.Offers
	files   map[string][]byte
	places  []string // name of each place
}

// Parts answers which parts to put in: the swaps that reach GO for the least
// money, each finalist by a full check; the trade-offs; the best propeller;
// what carrying each set of equipment costs.
func Parts(ctx context.Context, q PartsRequest) (*Answer, error) {
	if q.Looks == 0 {
		q.Looks = 60
	}
	offers, files, text, l := store.LoadOffers(q.Parts)
	excerpt := func(file string) []byte {
		if file == q.Parts {
			return text
		}
		return nil
	}
	if l.HasErrors() || offers == nil {
		return nil, &BadInput{List: l, Text: excerpt}
	}
	o, err := Open(q.Request)
	if err != nil {
		return nil, err
	}
	m := &market{q: q, opened: o, base: o.Aircraft, offers: offers, files: files}
	places, list := m.find()
	l = append(l, list...)
	if l.HasErrors() {
		return nil, &BadInput{List: l, Text: excerpt}
	}
	now, _, err := m.full(ctx, nil)
	if err != nil {
		return nil, err
	}
	m.neutral = now.Results.Get(assess.NeutralX).Value
	p := report.Chosen{Now: *now, Currency: offers.Currency(), Units: q.Units, File: q.Parts}
	for i := range offers.Parts {
		of := &offers.Parts[i]
		p.Offers = append(p.Offers, report.Offered{Name: of.Name.S, Kind: of.Kind.S, Own: of.Own.On, Cost: of.Cost(o.Build), For: m.places[placeOf(places, i)]})
	}
	all, left, err := seek.Trades(ctx, seek.Market{Places: places, Most: q.Looks, Look: m.look, Cost: func(i int) float64 { return offers.Parts[i].Cost(o.Build) }}, q.Progress)
	if err != nil {
		return nil, err
	}
	p.Trades, p.Left = all, left
	if err := m.finalists(ctx, &p); err != nil {
		return nil, err
	}
	if err := m.propellers(ctx, &p); err != nil {
		return nil, err
	}
	if p.Carried, err = m.equipment(ctx, now); err != nil {
		return nil, err
	}
	return &Answer{Doc: report.Parts(p), Body: report.PartsBody(p), Chart: report.PartsChart(p), Notes: o.RenderNotes() + l.Render(excerpt)}, nil
}

func placeOf(places [][]int, offer int) int {
	for i, p := range places {
		for _, o := range p {
			if o == offer {
				return i
			}
		}
	}
	panic("app: an offer for no place")
}

// find sorts the offers by the place each takes.
func (m *market) find() (places [][]int, l diag.List) {
	index := map[string]int{}
	for i := range m.offers.Parts {
		of := &m.offers.Parts[i]
		part, why := of.Takes(m.opened.Build)
		if why != "" {
			at := of.Name.Span
			if of.For.Given {
				at = of.For.Span
			}
			var names []string
			for k := range m.opened.Build.Parts {
				names = append(names, m.opened.Build.Parts[k].Name.S)
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "no-place", Span: at, Message: fmt.Sprintf("%s finds no place: %s", of.Name.S, why), Hint: diag.DidYouMean(of.For.S, names, `say which part it takes the place of: "for:"`)})
			continue
		}
		key := "propeller"
		if part >= 0 {
			key = m.opened.Build.Parts[part].Name.S
		}
		n, ok := index[key]
		if !ok {
			n = len(places)
			index[key] = n
			places = append(places, nil)
			m.places = append(m.places, key)
		}
		places[n] = append(places[n], i)
	}
	return places, l
}

// variant is the build with offers put in and the movable part moved so that
// the balance stays, or comes into the band where it was out.
type variant struct {
	build *build.Build
	files map[string][]byte
	craft *craft.Aircraft
	moved string // the setting that moves a part; "" when none
	why   string
}

func (m *market) variant(picks []int) (variant, error) {
	q := m.q.Request
	o, err := Open(q)
	if err != nil {
		return variant{}, err
	}
	v := variant{build: o.Build, files: map[string][]byte{}}
	for n, t := range o.Loaded.Files {
		v.files[n] = t
	}
	for n, t := range m.files {
		v.files[n] = t
	}
	for _, i := range picks {
		m.offers.Parts[i].Swap(v.build)
	}
	if !m.make(&v) {
		return v, nil
	}
	if len(picks) > 0 && !math.IsNaN(m.neutral) {
		if k, x, ok := rebalance(v.craft, m.target()); ok {
			b := &v.build.Parts[v.craft.Parts[k].Index]
			b.At.X.Quantity.Value, b.At.X.Quantity.Text = x, fmt.Sprintf("%.0f mm", x*1e3)
			b.At.X.Unit = "mm"
			v.moved = fmt.Sprintf("%s.at.x=%.0f mm", v.craft.Parts[k].Path(), x*1e3)
			m.make(&v)
		}
	}
	return v, nil
}

func (m *market) make(v *variant) bool {
	ac, ds := craft.New(v.build, v.files)
	if ac == nil || ds.HasErrors() {
		v.why = ds.Err().Error()
		v.craft = nil
		return false
	}
	v.craft = ac.Aligned(m.base)
	return true
}

// target is where the balance point should be: where it is, or just inside the
// band when it is out of it.
func (m *market) target() float64 {
	return inBand(m.base, m.neutral)
}

func inBand(ac *craft.Aircraft, neutral float64) float64 {
	fore := neutral - ac.Limits.StaticMarginMax*ac.Ref.Chord
	aft := neutral - ac.Limits.StaticMarginMin*ac.Ref.Chord
	in := 0.25 * (aft - fore)
	cg := ac.Mass.CG.X
	if cg < fore || cg > aft {
		return math.Min(math.Max(cg, fore+in), aft-in)
	}
	return cg
}

// rebalance moves the heaviest part that may move, within its room and by
// whole millimetres, so that the balance point comes nearest to target.
func rebalance(ac *craft.Aircraft, target float64) (part int, x float64, ok bool) {
	part = -1
	for i := range ac.Parts {
		p := &ac.Parts[i]
		if p.MaxAt.X > p.MinAt.X && !p.Twin && (part < 0 || p.Mass > ac.Parts[part].Mass) {
			part = i
		}
	}
	if part < 0 {
		return -1, 0, false
	}
	d, can := ac.MoveFor(part, target)
	if !can || math.IsNaN(d) {
		return -1, 0, false
	}
	p := &ac.Parts[part]
	x = math.Round(math.Min(math.Max(p.At.X+d, p.MinAt.X), p.MaxAt.X)*1e3) / 1e3
	return part, x, math.Abs(x-p.At.X) > 0.4e-3
}

// chain builds the models of a variant; sections are shared.
func (m *market) chain(ctx context.Context, ac *craft.Aircraft) (*assess.Chain, error) {
	return models(ctx, &Opened{Build: m.opened.Build, Aircraft: ac, memo: m.opened.memo}, m.q.Request)
}

// full is the whole check of a choice.
func (m *market) full(ctx context.Context, picks []int) (*report.Checked, variant, error) {
	v, err := m.variant(picks)
	if err != nil || v.craft == nil {
		return nil, v, err
	}
	o := *m.opened
	o.Aircraft, o.Build = v.craft, v.build
	q := m.q.Request
	q.Fast, q.Progress = true, nil
	c, err := check(ctx, &o, q)
	m.opened.memo = o.memo
	return c, v, err
}

// look is a quick look at a choice: fewer launches and draws, odds as counted.
// For a verdict that a full check is likely to bear out the odds must lie well
// inside their limit, as for remedies.
func (m *market) look(ctx context.Context, picks []int) (seek.Trade, error) {
	none := math.NaN()
	t := seek.Trade{Mass: none, Odds: none, TopSpeed: none, Endurance: none}
	v, err := m.variant(picks)
	if err != nil {
		return t, err
	}
	if v.craft == nil {
		t.Why = v.why
		return t, nil
	}
	chain, err := m.chain(ctx, v.craft)
	if err != nil {
		t.Why = err.Error()
		return t, ctx.Err()
	}
	r, err := chain.Run(ctx, assess.Options{Seed: m.q.Seed, Workers: workers(), Launches: min(quickLaunches, m.q.pairs()), Draws: quickDraws, Count: true, Brief: true})
	if err != nil {
		return t, err
	}
	fill(&t, r, verdict.Of(r))
	return t, nil
}

func fill(t *seek.Trade, r *assess.Results, v verdict.Verdict) {
	t.Mass = r.Get(assess.Mass).Value
	t.TopSpeed, t.Endurance = had(r.Get(assess.TopSpeed)), had(r.Get(assess.EnduranceTime))
	t.Odds = math.NaN()
	if r.Launch.Asked {
		t.Odds = r.Launch.Odds.Value
	}
	t.Word = v.Word
	for i := range v.Findings {
		switch f := &v.Findings[i]; {
		case f.Status == verdict.Fail:
			t.Failing = append(t.Failing, f.ID)
		case f.Safety && (f.Status == verdict.Doubtful || f.Status == verdict.Unknown):
			t.Open = append(t.Open, f.ID)
		}
	}
}

func had(q assess.Quantity) float64 {
	if q.Status != "" {
		return math.NaN()
	}
	return q.Value
}

// finalists checks in full, in the order of money, what may reach GO until one
// does; and what the trade-off list shows.
func (m *market) finalists(ctx context.Context, p *report.Chosen) error {
	tried := map[int]*report.Final{}
	full := func(i int) (*report.Final, error) {
		if f, ok := tried[i]; ok {
			return f, nil
		}
		c, v, err := m.full(ctx, p.Trades[i].Picks)
		if err != nil {
			return nil, err
		}
		f := &report.Final{Trade: i, Checked: c, Moved: v.moved}
		f.Set, f.Leave = m.typed(p.Trades[i].Picks, v)
		tried[i] = f
		if m.q.Progress != nil {
			m.q.Progress("full checks", len(tried), 0)
		}
		if c != nil {
			t := &p.Trades[i]
			t.Failing, t.Open = nil, nil
			fill(t, c.Results, c.Verdict)
		}
		return f, nil
	}
	// What failed in full for its launch odds alone rules out all of the same
	// draws with no better odds.
	ruled, checks := math.Inf(-1), 0
	for _, i := range seek.ByCost(p.Trades) {
		if p.Trades[i].Odds <= ruled {
			continue
		}
		if checks == fullLooks {
			p.Unchecked++
			continue
		}
		checks++
		quick := p.Trades[i].Odds
		f, err := full(i)
		if err != nil {
			return err
		}
		if f.Checked == nil {
			continue
		}
		if f.Checked.Verdict.Word == verdict.Go {
			break
		}
		if t := &p.Trades[i]; len(t.Failing)+len(t.Open) == 1 && (len(t.Failing) == 1 && t.Failing[0] == "launch-odds" || len(t.Open) == 1 && t.Open[0] == "launch-odds") {
			ruled = math.Max(ruled, quick)
		}
	}
	p.Front = seek.Front(p.Trades)
	if len(p.Front) > 8 { // too many to read: the ones nearest to GO, and the build as it is
		sort.SliceStable(p.Front, func(a, b int) bool {
			x, y := &p.Trades[p.Front[a]], &p.Trades[p.Front[b]]
			return len(x.Failing) < len(y.Failing) || len(x.Failing) == len(y.Failing) && x.Odds > y.Odds
		})
		p.Hidden = len(p.Front) - 8
		p.Front = p.Front[:8]
		sort.SliceStable(p.Front, func(a, b int) bool { return p.Trades[p.Front[a]].Cost < p.Trades[p.Front[b]].Cost })
	}
	for _, i := range p.Front {
		if _, err := full(i); err != nil {
			return err
		}
	}
	p.Cheapest, p.Nearest = -1, -1
	for _, i := range seek.ByCost(p.Trades) {
		if f, ok := tried[i]; ok && f.Checked != nil && f.Checked.Verdict.Word == verdict.Go {
			p.Cheapest = i
			break
		}
	}
	if p.Cheapest < 0 {
		if p.Nearest = seek.Nearest(p.Trades); p.Nearest >= 0 {
			if _, err := full(p.Nearest); err != nil {
				return err
			}
		}
	}
	p.Finals = map[int]report.Final{}
	for i, f := range tried {
		p.Finals[i] = *f
	}
	return nil
}

// typed is what to type, or write, to make a choice the build's own, and what to
// leave out of it.
func (m *market) typed(picks []int, v variant) (set, leave []string) {
	o, err := Open(m.q.Request)
	if err != nil {
		return nil, nil
	}
	for _, i := range picks {
		for _, c := range m.offers.Parts[i].Swap(o.Build) {
			if c.Text == "" {
				leave = append(leave, c.Path)
			} else {
				set = append(set, c.Path+"="+c.Text)
			}
		}
	}
	if v.moved != "" {
		set = append(set, v.moved)
	}
	return set, leave
}

// propellers compares those owned and on offer with the one that is fitted.
func (m *market) propellers(ctx context.Context, p *report.Chosen) error {
	var list [][]int
	for i := range m.offers.Parts {
		if m.offers.Parts[i].Kind.S == "propeller" {
			list = append(list, []int{i})
		}
	}
	if len(list) == 0 {
		return nil
	}
	for _, picks := range append([][]int{nil}, list...) {
		v, err := m.variant(picks)
		if err != nil {
			return err
		}
		row := report.Blade{Name: "as fitted", Own: true}
		if len(picks) > 0 {
			of := &m.offers.Parts[picks[0]]
			row.Name, row.Own, row.Cost = of.Name.S, of.Own.On, of.Cost(m.opened.Build)
		}
		if v.craft == nil {
			continue
		}
		chain, err := m.chain(ctx, v.craft)
		if err != nil {
			row.Why = err.Error()
			p.Blades = append(p.Blades, row)
			continue
		}
		r, err := chain.Run(ctx, assess.Options{Seed: m.q.Seed, Workers: workers(), Launches: m.q.pairs(), Draws: 64, Brief: true})
		if err != nil {
			return err
		}
		row.TopSpeed, row.Endurance, row.Thrust, row.Current = r.Get(assess.TopSpeed), r.Get(assess.EnduranceTime), r.Get(assess.StaticThrust), r.Get(assess.CurrentMax)
		row.Odds = assess.Quantity{Value: math.NaN(), Low: math.NaN(), High: math.NaN(), Unit: "1", Status: "no launch is described"}
		if r.Launch.Asked {
			row.Odds = r.Launch.Odds
		}
		vd := verdict.Of(r)
		for i := range vd.Findings {
			if f := &vd.Findings[i]; f.Status == verdict.Fail && f.Safety && strings.HasPrefix(f.ID, "current.") {
				row.Over = append(row.Over, f.Label)
			}
		}
		p.Blades = append(p.Blades, row)
		if m.q.Progress != nil {
			m.q.Progress("propellers", len(p.Blades), len(list)+1)
		}
	}
	return nil
}

// equipment is what carrying each set costs: the same aeroplane without it, its
// balance held where a movable part can hold it, on the same launches.
func (m *market) equipment(ctx context.Context, now *report.Checked) ([]report.Carried, error) {
	sets := map[string][]string{}
	var names []string
	for i := range m.base.Parts {
		p := &m.base.Parts[i]
		if p.Equipment == "" || p.Twin {
			continue
		}
		if _, ok := sets[p.Equipment]; !ok {
			names = append(names, p.Equipment)
		}
		sets[p.Equipment] = append(sets[p.Equipment], p.Name)
	}
	if len(names) == 0 {
		return nil, nil
	}
	base, err := m.chain(ctx, m.base)
	if err != nil {
		return nil, err
	}
	with, err := differ(ctx, base, m.base, nil, &m.q.Request)
	if err != nil {
		return nil, err
	}
	var out []report.Carried
	var without []*compared
	for _, name := range names {
		bare := m.base.Without(func(p *craft.Part) bool { return p.Equipment == name })
		c := report.Carried{Set: name, Parts: sets[name], Mass: m.base.Mass.Total - bare.Mass.Total}
		c.Balance = bare.Mass.CG.X - m.base.Mass.CG.X
		if k, x, ok := rebalance(bare, m.base.Mass.CG.X); ok {
			if t, done := bare.Turn(bare.Parts[k].Path()+".at.x", x); done {
				c.Moved = fmt.Sprintf("%s at x = %.0f mm", bare.Parts[k].Name, x*1e3)
				bare = t
				c.Balance = bare.Mass.CG.X - m.base.Mass.CG.X
			}
		}
		less, err := differ(ctx, base, bare, with, &m.q.Request)
		if err != nil {
			return nil, err
		}
		without = append(without, less)
		out = append(out, c)
	}
	if err := paired(ctx, with, without, true, &m.q.Request); err != nil {
		return nil, err
	}
	for i := range out {
		out[i].Effect = without[i].Effect.Reverse()
	}
	return out, nil
}

// pairs is how many launches small differences are paired on: 512, fewer when
// fewer are asked for.
func (q *Request) pairs() int {
	if q.Launches > 0 {
		return min(q.Launches, pairLaunches)
	}
	return pairLaunches
}

// compared is a look at small differences.
type compared struct {
	chain       *assess.Chain
	glance      assess.Glance
	speed, time float64
	Effect      report.Effect
}

// differ looks at an aircraft beside another: odds on paired launches, top
// speed and endurance with everything at its nominal value.
func differ(ctx context.Context, chain *assess.Chain, ac *craft.Aircraft, from *compared, q *Request) (*compared, error) {
	c, err := chain.For(ac)
	if err != nil {
		return nil, err
	}
	out := &compared{chain: c}
	o := assess.Options{Seed: q.Seed, Workers: workers(), Draws: 2}
	if ac.Launch.By != "" {
		if out.glance, err = c.Glance(ctx, o, assess.Ask{N: q.pairs()}); err != nil {
			return nil, err
		}
	}
	o.NoLaunch, o.Brief = true, true
	r, err := c.Run(ctx, o)
	if err != nil {
		return nil, err
	}
	out.speed, out.time = had(r.Get(assess.TopSpeed)), had(r.Get(assess.EnduranceTime))
	if from != nil {
		open := [2]float64{math.NaN(), math.NaN()}
		out.Effect = report.Effect{Odds: math.NaN(), OddsSE: math.NaN(), Speed: out.speed - from.speed, Time: out.time - from.time, SpeedSpan: open, TimeSpan: open, MassSpan: open, BalanceSpan: open, N: q.pairs()}
		if ac.Launch.By != "" {
			out.Effect.Odds, out.Effect.OddsSE = out.glance.Against(&from.glance)
		}
	}
	return out, nil
}

// paired gives the changes of mass, balance point, top speed and, when asked,
// of endurance their 90 % intervals, by both aeroplanes in the same draws of what is not known.
func paired(ctx context.Context, from *compared, list []*compared, time bool, q *Request) error {
	others := make([]*assess.Chain, len(list))
	for i, k := range list {
		others[i] = k.chain
	}
	const speeds, times, masses, places = 0, 1, 2, 3
	var over [4][][]float64 // by what, changed aeroplane and draw
	for what := range over {
		over[what] = make([][]float64, len(list))
		for j := range list {
			over[what][j] = make([]float64, pairDraws)
		}
	}
	opt := assess.Options{Seed: q.Seed, Draws: pairDraws, Workers: workers(), Progress: q.Progress}
	err := from.chain.Beside(ctx, opt, others, func(i int, drawn []assess.Drawn) {
		var base [2]float64
		for j := range drawn {
			c := from.chain
			if j > 0 {
				c = others[j-1]
			}
			v := [2]float64{math.NaN(), math.NaN()}
			if time {
				n := c.Numbers(&drawn[j])
				v = [2]float64{orNone(n[assess.TopSpeed]), orNone(n[assess.EnduranceTime])}
			} else {
				v[speeds] = orNone(c.Plane(&drawn[j]).TopSpeedNear(base[speeds])) // 0 at first: the whole scan
			}
			if j == 0 {
				base = v
				continue
			}
			over[speeds][j-1][i], over[times][j-1][i] = v[speeds]-base[speeds], v[times]-base[times]
			now, was := &drawn[j].Aircraft.Mass, &drawn[0].Aircraft.Mass
			over[masses][j-1][i], over[places][j-1][i] = now.Total-was.Total, now.CG.X-was.CG.X
		}
	})
	if err != nil {
		return err
	}
	for j, k := range list {
		e := &k.Effect
		e.SpeedSpan[0], e.SpeedSpan[1] = assess.Interval90(e.Speed, over[speeds][j])
		now, was := &k.chain.Aircraft.Mass, &from.chain.Aircraft.Mass
		e.MassSpan[0], e.MassSpan[1] = assess.Interval90(now.Total-was.Total, over[masses][j])
		e.BalanceSpan[0], e.BalanceSpan[1] = assess.Interval90(now.CG.X-was.CG.X, over[places][j])
		if time {
			e.TimeSpan[0], e.TimeSpan[1] = assess.Interval90(e.Time, over[times][j])
		}
	}
	return nil
}

// pairDraws is how many draws give small differences their intervals: two
// aeroplanes in the same draw differ by little more or less than in another.
const pairDraws = 24

// orNone is a number of a draw; NaN where there is none.
func orNone(v perform.Value) float64 {
	if v.Known() {
		return v.V
	}
	return math.NaN()
}
