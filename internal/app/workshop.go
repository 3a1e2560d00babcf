package app

import (
	"context"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"sync"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/launch"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/verdict"
)

// Desk keeps the models of the builds that somebody works on, so that a drag
// or a slider is answered at once. It is for one process and safe for use by
// many at a time; what it gives is the same as without it.
type Desk struct {
	mu     sync.Mutex
	memo   *memo
	warm   []*Warm // latest first
	rough  *Warm   // on handbook sections, for a first look
	making map[string]chan struct{}
}

// mostWarm is how many models are kept: a build, what it is compared with and
// the last few shapes tried.
const mostWarm = 8

// NewDesk makes a desk; cached keeps solved sections in the user's cache
// folder, too.
func NewDesk(cached bool) *Desk {
	return &Desk{memo: &memo{kept: map[string][]byte{}, disk: openCache(cached)}, making: map[string]chan struct{}{}}
}

// Lend gives a request the desk's solved sections.
func (d *Desk) Lend(q Request) Request {
	q.memo = d.memo
	return q
}

// Warm is an opened build with its models.
type Warm struct {
	*Opened
	chain *assess.Chain
	model string // what the models were made from
}

// Open opens a build under settings with its models, those of an earlier call
// where only what they do not depend on has changed: places and masses of
// parts, launch gear, wind. (Hook, rods and mass act on the air's model, too,
// by less than its own doubt; the searches let it stay, and so does this.)
func (d *Desk) Open(ctx context.Context, q Request) (*Warm, error) {
	o, err := Open(q)
	if err != nil {
		return nil, err
	}
	o.memo = d.memo
	model := modelKey(o)
	for {
		d.mu.Lock()
		if base := d.find(model); base != nil {
			d.mu.Unlock()
			chain, err := base.chain.For(o.Aircraft)
			if err != nil {
				return nil, located(o, err)
			}
			return &Warm{o, chain, model}, nil
		}
		busy, ok := d.making[model]
		if !ok {
			break
		}
		d.mu.Unlock()
		select { // somebody makes the same models already
		case <-busy:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	done := make(chan struct{})
	d.making[model] = done
	d.mu.Unlock()
	defer func() {
		d.mu.Lock()
		delete(d.making, model)
		d.mu.Unlock()
		close(done)
	}()
	chain, err := models(ctx, o, Request{memo: d.memo})
	if err != nil {
		return nil, located(o, err)
	}
	w := &Warm{o, chain, model}
	d.mu.Lock()
	d.warm = append([]*Warm{w}, d.warm[:min(len(d.warm), mostWarm-1)]...)
	d.mu.Unlock()
	return w, nil
}

// Look is Open for a first look: where there are no models yet, it takes
// handbook trends for the sections, which are there at once, and says so.
func (d *Desk) Look(ctx context.Context, q Request) (w *Warm, rough bool, err error) {
	o, err := Open(q)
	if err != nil {
		return nil, false, err
	}
	o.memo = d.memo
	model := modelKey(o)
	d.mu.Lock()
	base := d.find(model)
	if base == nil && d.rough != nil && d.rough.model == model {
		base, rough = d.rough, true
	}
	d.mu.Unlock()
	if base == nil {
		chain, err := assess.NewChain(o.Aircraft)
		if err != nil {
			return nil, false, located(o, err)
		}
		w := &Warm{o, chain, model}
		d.mu.Lock()
		d.rough = w
		d.mu.Unlock()
		return w, true, nil
	}
	chain, err := base.chain.For(o.Aircraft)
	if err != nil {
		return nil, false, located(o, err)
	}
	return &Warm{o, chain, model}, rough, nil
}

// Ready says whether the models of a build are made.
func (d *Desk) Ready(q Request) bool {
	o, err := Open(q)
	if err != nil {
		return false
	}
	model := modelKey(o)
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.find(model) != nil
}

// find looks for models, and moves them to the front. The lock is held.
func (d *Desk) find(model string) *Warm {
	for i, w := range d.warm {
		if w.model == model {
			d.warm = append([]*Warm{w}, slices.Delete(slices.Clone(d.warm), i, i+1)...)
			return w
		}
	}
	return nil
}

// modelKey is everything that the models of a build depend on, as text: shape,
// drive, what stands in the air stream, the air, and the doubts that the
// lattice's differences are counted by.
func modelKey(o *Opened) string {
	var b strings.Builder
	for _, l := range build.Leaves(o.Build) {
		root, _, _ := strings.Cut(l.Path, ".")
		root, _, _ = strings.Cut(root, "[")
		switch root {
		case "surfaces", "body", "extras", "power":
		case "day":
			switch l.Path {
			case "day.wind", "day.gust", "day.off_axis", "day.wind_height", "day.surface", "day.slope", "day.launch_heading":
				continue
			}
		default:
			continue
		}
		b.WriteString(l.Path + "=" + l.Text() + "\n")
	}
	for _, in := range o.Aircraft.Inputs { // differences are kept by number
		if in.Shape() {
			b.WriteString(in.Path + "\n")
		}
	}
	b.WriteString(o.Aircraft.Launch.By)
	files := make([]string, 0, len(o.Loaded.Files))
	for name := range o.Loaded.Files {
		files = append(files, name)
	}
	slices.Sort(files)
	for _, name := range files {
		b.WriteString("\x00" + name + "\x00")
		b.Write(o.Loaded.Files[name])
	}
	return b.String()
}

// BalanceView is where a build balances and where it may.
type BalanceView struct {
	Mass         report.Quantity `json:"mass"`
	CGX          report.Quantity `json:"cg_x"`
	CG           [3]report.Float `json:"cg"`
	NeutralPoint report.Quantity `json:"neutral_point_x"`
	StaticMargin report.Quantity `json:"static_margin"`
	Band         BandView        `json:"band"`
	MakerBand    *BandView       `json:"maker_band,omitempty"`
	Status       string          `json:"status" words:"pass|doubtful|fail|unknown|not-asked"`
}

// BandView is a range of places of the balance point along x, m.
type BandView struct {
	Low  report.Float `json:"low"`
	High report.Float `json:"high"`
	By   string       `json:"by"`
}

// previewDraws is how many draws the intervals of a preview rest on: enough
// for a band on a drawing, the balance page draws more.
const previewDraws = 48

// Balance computes mass, balance and margin with their intervals.
func (w *Warm) Balance(ctx context.Context, seed uint64) (*BalanceView, error) {
	r, err := w.chain.Run(ctx, assess.Options{Seed: seed, NoLaunch: true, Cheap: true, NoFit: true, Draws: previewDraws, Workers: workers()})
	if err != nil {
		return nil, located(w.Opened, err)
	}
	ac := w.Aircraft
	np := r.Get(assess.NeutralX)
	f := func(v float64) report.Float { return report.Float(v) }
	out := &BalanceView{
		Mass: report.Q(r.Get(assess.Mass)), CGX: report.Q(r.Get(assess.BalanceX)), NeutralPoint: report.Q(np), StaticMargin: report.Q(r.Get(assess.StaticMargin)),
		CG:   [3]report.Float{f(ac.Mass.CG.X), f(ac.Mass.CG.Y), f(ac.Mass.CG.Z)},
		Band: BandView{f(np.Value - ac.Limits.StaticMarginMax*ac.Ref.Chord), f(np.Value - ac.Limits.StaticMarginMin*ac.Ref.Chord), "static margin"},
	}
	if ac.Limits.BalanceMax > ac.Limits.BalanceMin {
		out.MakerBand = &BandView{f(ac.Limits.BalanceMin), f(ac.Limits.BalanceMax), "maker"}
	}
	out.Status = string(verdict.Unknown)
	for _, g := range verdict.Of(r).Findings {
		if g.ID == "balance" {
			out.Status = string(g.Status)
		}
	}
	return out, nil
}

// Fan is drawn launches from the side.
type Fan struct {
	Schema   int          `json:"schema"`
	Hash     string       `json:"hash"`
	Seed     uint64       `json:"seed"`
	From     int          `json:"from"`
	N        int          `json:"n"`
	Hits     int          `json:"hits"`
	Odds     report.Float `json:"odds"` // null when none was flown
	By       string       `json:"by"`   // "bungee", "hand", "" when no launch is described
	Failures []FanFailure `json:"failures"`
	Launches []FanLaunch  `json:"launches"`
	Nominal  *FanLaunch   `json:"nominal,omitempty"`
	Stake    *FanStake    `json:"stake,omitempty"`
	Notes    []FanNote    `json:"notes"`
	Status   string       `json:"status,omitempty"`
	Limit    report.Float `json:"limit"` // odds wanted
	Settings []FanSetting `json:"settings"`
}

// FanFailure is one way to fail.
type FanFailure struct {
	Class string `json:"class"`
	Say   string `json:"say"`
	Count int    `json:"count"`
}

// FanLaunch is one launch, drawn up to where it ends: x m along the launch from
// the hand, h m of the balance point over the ground.
type FanLaunch struct {
	I     int            `json:"i"`
	OK    bool           `json:"ok"`
	Class string         `json:"class"`
	Say   string         `json:"say"`
	X     []report.Float `json:"x"`
	H     []report.Float `json:"h"`
	T     report.Float   `json:"t_end"`
	Speed report.Float   `json:"release_speed"` // null when it was never released
}

// FanStake is where the bungee is pegged.
type FanStake struct {
	X report.Float `json:"x"`
	H report.Float `json:"h"`
}

// FanNote is something odd about the setup; grave: no launch can come of it.
type FanNote struct {
	Path  string `json:"path"`
	Say   string `json:"say"`
	Grave bool   `json:"grave"`
}

// FanSetting is one setting a slider may turn, with its honest range.
type FanSetting struct {
	Path  string       `json:"path"`
	Label string       `json:"label"`
	Value report.Float `json:"value"`
	Low   report.Float `json:"low"`
	High  report.Float `json:"high"`
	Dim   string       `json:"dim"`
	Unit  string       `json:"unit"`  // people's unit, as a set spells it
	Scale float64      `json:"scale"` // SI value of one of that unit
	Step  report.Float `json:"step"`
}

// nominal adds the launch with everything at its nominal value, the stake and
// what a slider may turn.
func (f *Fan) nominal(w *Warm, d assess.Drawn) {
	setup := w.chain.Setup(&d)
	ac := w.Aircraft
	for _, l := range fanLevers(ac, &setup) {
		k, ok := ac.Knob(l.Path)
		if !ok {
			continue
		}
		f.Settings = append(f.Settings, FanSetting{l.Path, l.Noun, report.Float(k.Value), report.Float(l.Low), report.Float(l.High), k.Dim, l.Unit, l.Scale, report.Float(l.Step)})
	}
	if setup.Way == launch.Bungee && setup.Cord != nil {
		// Straight line, slack and stretch, seen from the side.
		reach := setup.LineLength + setup.Cord.Slack + setup.Stretch
		drop := setup.Height - setup.StakeHeight
		if reach > math.Abs(drop) {
			f.Stake = &FanStake{report.Float(math.Sqrt(reach*reach - drop*drop)), report.Float(setup.StakeHeight)}
		}
	}
	setup.Record = fanStep
	one := assess.Flown{Draw: -1, Outcome: launch.Outcome{}}
	desk := launch.NewWorkspace()
	one.Outcome = launch.Run(&setup, desk)
	one.Rows = desk.Trajectory().Rows
	l := drawnLaunch(&one)
	f.Nominal = &l
}

// fanLevers are the settings worth a slider: those a person sets at the field,
// and what the day brings.
func fanLevers(ac *craft.Aircraft, setup *launch.Setup) []seek.Lever {
	const deg = math.Pi / 180
	out := seek.SettingLevers(ac, setup.Levers(2), seek.Bounds{})
	return append(out,
		seek.Lever{Path: "trial.mass", Noun: "mass added", Low: 0, High: 0.3 * ac.Mass.Total, Step: 0.005, Unit: "g", Scale: 1e-3},
		seek.Lever{Path: "launch.held.aim", Noun: "nose right of the line", Low: -20 * deg, High: 20 * deg, Step: deg, Unit: "deg", Scale: deg},
		seek.Lever{Path: "launch.stick.roll", Noun: "right stick", Low: -0.5, High: 0.5, Step: 0.01, Unit: "%", Scale: 0.01},
		seek.Lever{Path: "day.wind", Noun: "wind", Low: 0, High: 12, Step: 0.5, Unit: "m/s", Scale: 1},
		seek.Lever{Path: "day.gust", Noun: "gusts to", Low: 0, High: 18, Step: 0.5, Unit: "m/s", Scale: 1},
		seek.Lever{Path: "day.off_axis", Noun: "wind from the right of the line", Low: -90 * deg, High: 90 * deg, Step: 5 * deg, Unit: "deg", Scale: deg},
	)
}

func drawnLaunch(f *assess.Flown) FanLaunch {
	o := &f.Outcome
	l := FanLaunch{I: f.Draw, OK: o.Success, Class: o.Class.Key(), Say: o.Sentence(), X: make([]report.Float, len(f.Rows)), H: make([]report.Float, len(f.Rows)), T: report.Float(o.T), Speed: report.Float(math.NaN())}
	if o.Released {
		l.Speed = report.Float(o.AtRelease.Speed)
	}
	mm := func(v float64) report.Float { return report.Float(math.Round(v*1e3) / 1e3) } // a millimetre is enough to draw
	for i := range f.Rows {
		l.X[i], l.H[i] = mm(f.Rows[i].Pos.X), mm(f.Rows[i].Height)
	}
	return l
}

// MostFan is how many launches one call flies at most.
const MostFan = 256

// fanStep is the step of the drawn paths, s.
const fanStep = 0.05

// Fan flies the drawn launches from, from+1, ... of the seed; with from 0 the
// nominal one besides.
func (w *Warm) Fan(ctx context.Context, seed uint64, from, n int) (*Fan, error) {
	ac := w.Aircraft
	out := &Fan{Schema: report.Schema, Hash: ac.Hash, Seed: seed, From: from, N: n, Odds: report.Float(math.NaN()), By: ac.Launch.By,
		Failures: []FanFailure{}, Launches: []FanLaunch{}, Notes: []FanNote{}, Limit: report.Float(ac.Limits.LaunchOdds), Settings: []FanSetting{}}
	if ac.Launch.By == "" {
		out.Status = "no launch is described: write a launch: block (by: bungee or hand)"
		return out, nil
	}
	opt := assess.Options{Seed: seed, Workers: workers()}
	d := w.chain.Nominal()
	setup := w.chain.Setup(&d)
	for _, k := range setup.Check() {
		out.Notes = append(out.Notes, FanNote{k.Path, k.Say, k.Grave})
	}
	if from == 0 {
		out.nominal(w, d)
	}
	if n == 0 {
		return out, nil
	}
	draws := make([]int, n)
	for i := range draws {
		draws[i] = from + i
	}
	flown, err := w.chain.Flights(ctx, opt, draws, fanStep)
	if err != nil {
		return nil, located(w.Opened, err)
	}
	at := map[string]int{}
	for i := range flown {
		l := drawnLaunch(&flown[i])
		out.Launches = append(out.Launches, l)
		if l.OK {
			out.Hits++
			continue
		}
		k, ok := at[l.Class]
		if !ok {
			k = len(out.Failures)
			at[l.Class] = k
			out.Failures = append(out.Failures, FanFailure{Class: l.Class, Say: flown[i].Outcome.Class.String()})
		}
		out.Failures[k].Count++
	}
	slices.SortStableFunc(out.Failures, func(a, b FanFailure) int { return b.Count - a.Count })
	out.Odds = report.Float(float64(out.Hits) / float64(n))
	return out, nil
}

// Diagnostics are the diagnostics of an error, nil when it is none of a file.
func Diagnostics(err error) diag.List {
	var bad *BadInput
	if errors.As(err, &bad) {
		return bad.List
	}
	return nil
}

// NamesFile says whether the name of a section means a file: one that looks
// like one, or one that is there.
func NamesFile(section string) bool {
	info, err := os.Stat(section)
	return build.IsFile(section) || err == nil && !info.IsDir()
}
