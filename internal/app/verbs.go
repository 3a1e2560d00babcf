package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/cite"
	"fledge/internal/fit"
	"fledge/internal/launch"
	"fledge/internal/perform"
	"fledge/internal/power"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/strength"
	"fledge/internal/verdict"
)

// subject opens a build, runs the chain as far as the options ask, and judges.
func subject(ctx context.Context, q Request, opt assess.Options) (report.Subject, *Opened, *assess.Chain, error) {
	none := report.Subject{}
	o, err := Open(q)
	if err != nil {
		return none, nil, nil, err
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		return none, nil, nil, located(o, err)
	}
	opt.Seed, opt.Workers, opt.Progress = q.Seed, workers(), q.Progress
	if opt.Launches == 0 {
		opt.Launches = q.Launches
	}
	if opt.Draws == 0 {
		opt.Draws = q.Draws
	}
	r, err := chain.Run(ctx, opt)
	if err != nil {
		return none, nil, nil, located(o, err)
	}
	return report.Subject{Results: r, Verdict: verdict.Of(r), Units: q.Units}, o, chain, nil
}

// CheckAnswer is the main job.
func CheckAnswer(ctx context.Context, q Request) (*Answer, error) {
	c, o, err := Check(ctx, q)
	if err != nil {
		return nil, err
	}
	return checked(c, o), nil
}

// Balance answers the second question.
func Balance(ctx context.Context, q Request) (*Answer, error) {
	s, o, _, err := subject(ctx, q, assess.Options{NoLaunch: true, Cheap: true})
	if err != nil {
		return nil, err
	}
	p := report.Balanced{Subject: s}
	return &Answer{Doc: report.Balance(p), Body: report.BalanceBody(p), Chart: report.BalanceChart(p), Notes: o.RenderNotes()}, nil
}

// Setup answers the third question.
func Setup(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	sheet := chain.Sheet(s.Results, false)
	p := report.SetUp{Subject: s, Sheet: sheet}
	return &Answer{Doc: report.Setup(p), Body: report.SetupBody(p), Notes: o.RenderNotes()}, nil
}

// Strength answers the fourth question.
func Strength(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{Brief: true})
	if err != nil {
		return nil, err
	}
	l := chain.Loads(s.Results)
	p := report.Strong{Subject: s, Loads: l}
	top := l.TopSpeed
	if !(top > 0) {
		top = 3 * l.StallSpeed
	}
	if top > 0 {
		ac := o.Aircraft
		low := math.Max(l.StallSpeed, 0.2*top)
		speeds := make([]float64, 5)
		for i := range speeds {
			speeds[i] = low + (1.2*top-low)*float64(i)/4
		}
		for si := range ac.Surfaces {
			for ci := range ac.Surfaces[si].Controls {
				h := report.HingeTable{Control: ac.Surfaces[si].Controls[ci].Name, Rows: strength.HingeRange(ac, si, ci, l, speeds)}
				for _, k := range ac.Linkages {
					if k.Control == h.Control && k.Known {
						h.Torque = k.Torque
					}
				}
				if len(h.Rows) > 0 {
					p.Hinge = append(p.Hinge, h)
				}
			}
		}
	}
	return &Answer{Doc: report.Strength(p), Body: report.StrengthBody(p), Chart: report.StrengthChart(p), Notes: o.RenderNotes()}, nil
}

// LaunchRequest is a Request with what only the launch verb has.
type LaunchRequest struct {
	Request
	Trajectory string // file for the nominal launch, .csv or .json
	Fan        int    // launches to draw; 0: none
}

// Launch answers the fifth question.
func Launch(ctx context.Context, q LaunchRequest) (*Answer, error) {
	format := ""
	if q.Trajectory != "" {
		switch {
		case strings.HasSuffix(strings.ToLower(q.Trajectory), ".csv"):
			format = "csv"
		case strings.HasSuffix(strings.ToLower(q.Trajectory), ".json"):
			format = "json"
		default:
			return nil, Bad("file-name", "end the name in .csv or .json", fmt.Sprintf("--trajectory %q: the ending says the format", q.Trajectory))
		}
	}
	s, o, chain, err := subject(ctx, q.Request, assess.Options{OnlyLaunch: true})
	if err != nil {
		return nil, err
	}
	p := report.Launched{Subject: s}
	p.Measure = seek.MeasureNext(s.Results)
	asked := s.Results.Launch.Asked
	if asked && !q.Fast {
		only := verdict.Verdict{}
		for _, f := range s.Verdict.Findings {
			if f.ID == "launch-odds" {
				only.Findings = append(only.Findings, f)
			}
		}
		find := &search{chain: chain, opened: o, query: q.Request}
		if err := seek.Remedies(ctx, o.Aircraft, &only, find.eval, find.rerun, seek.Plan{Progress: q.Progress}); err != nil {
			return nil, err
		}
		for i := range p.Verdict.Findings {
			if p.Verdict.Findings[i].ID == "launch-odds" && len(only.Findings) > 0 {
				p.Verdict.Findings[i] = only.Findings[0]
			}
		}
	}
	a := &Answer{Notes: o.RenderNotes()}
	if asked && q.Fan > 0 {
		if p.Fan, err = chain.Fan(ctx, assess.Options{Seed: q.Seed, Workers: workers()}, q.Fan, 0.05); err != nil {
			return nil, err
		}
		a.Chart = report.LaunchChart(p)
	}
	if asked && format != "" {
		d := chain.Nominal()
		setup := chain.Setup(&d)
		setup.Accuracy, setup.Record = launch.Fine, 0.01
		w := launch.NewWorkspace()
		launch.Run(&setup, w)
		rows := w.Trajectory().Rows
		var b bytes.Buffer
		write := launch.WriteCSV
		if format == "json" {
			write = launch.WriteJSON
		}
		if err := write(&b, rows); err != nil {
			return nil, err
		}
		a.Files = append(a.Files, File{Name: q.Trajectory, Text: b.Bytes(), Over: true})
	}
	if !asked && (format != "" || q.Fan > 0) {
		return nil, Bad("no-launch", "write a launch: block (by: bungee or hand)", "no launch is described, so there is nothing to draw")
	}
	a.Doc, a.Body = report.LaunchPage(p), report.LaunchBody(p)
	return a, nil
}

// Fly answers the sixth question.
func Fly(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	d := chain.Nominal()
	pl := chain.Plane(&d)
	p := report.Flight{Subject: s, RunIn: math.NaN(), HeatTime: 30}
	if !(pl.Stall > 0) {
		return &Answer{Doc: report.Fly(p), Body: report.FlyBody(p), Notes: o.RenderNotes()}, nil
	}
	top := s.Results.Get(assess.TopSpeed)
	end := 3 * pl.Stall
	p.DragSpeed = 2 * pl.Stall
	if top.Status == "" {
		end, p.DragSpeed = 1.15*top.Value, top.Value
	}
	const rows = 15
	for i := range rows {
		v := pl.Stall * 1.05 * math.Pow(end/(pl.Stall*1.05), float64(i)/(rows-1))
		p.Rows = append(p.Rows, speedRow(pl, chain.Aero, &d, v))
	}
	if err := bands(ctx, chain, q, p.Rows); err != nil {
		return nil, err
	}
	rho := 0.5 * d.Air.Rho * p.DragSpeed * p.DragSpeed
	free := 0.0
	for _, it := range chain.Aero.DragBreakdown(p.DragSpeed) {
		f := it.DragArea * rho * d.AeroK.Drag
		free += f
		without := *pl
		without.Drag = func(v, n float64) float64 {
			return pl.Drag(v, n) - 0.5*d.Air.Rho*v*v*it.DragArea*d.AeroK.Drag
		}
		row := report.DragRow{Item: it, Force: f, Buys: math.NaN()}
		if t := without.TopSpeed(); top.Status == "" && t.Known() {
			row.Buys = t.V - top.Value
		}
		p.Drags = append(p.Drags, row)
	}
	if a := d.AeroK.DragArea; a != 0 {
		p.Drags = append(p.Drags, report.DragRow{Item: aero.Item{Name: "trial.drag_area", DragArea: a, Why: "added by the build"}, Force: a * rho})
		free += a * rho
	}
	p.Lift = pl.Drag(p.DragSpeed, 1) - free
	if chain.Power != nil && top.Status == "" {
		pt := chain.Power.Solve(top.Value, 1, o.Aircraft.Power.Battery.Charge, &d.PowerK)
		p.Limits = chain.Power.Limits(pt)
		p.Heat = chain.Power.Heat(pt, top.Value, o.Aircraft.Power.Battery.Charge, p.HeatTime, &d.PowerK)
		if c := s.Results.Get(assess.CruiseSpeed); c.Status == "" {
			if run, _, st := pl.RunIn(c.Value, 0.98); st == perform.OK {
				p.RunIn = run
			}
		}
	}
	return &Answer{Doc: report.Fly(p), Body: report.FlyBody(p), Chart: report.FlyChart(p), Notes: o.RenderNotes()}, nil
}

// bands fills the 90 % intervals of drag and pull at each row's airspeed.
func bands(ctx context.Context, chain *assess.Chain, q Request, rows []report.SpeedRow) error {
	speeds := make([]float64, len(rows))
	for i := range rows {
		speeds[i] = rows[i].Speed
	}
	drag, pull, err := chain.Bands(ctx, assess.Options{Seed: q.Seed, Draws: 64, Workers: workers()}, speeds)
	if err != nil {
		return err
	}
	for i := range rows {
		r := &rows[i]
		r.DragLow, r.DragHigh = math.Min(drag[i][0], r.Drag), math.Max(drag[i][1], r.Drag)
		r.ThrustLow, r.ThrustHigh = math.Min(pull[i][0], r.Thrust), math.Max(pull[i][1], r.Thrust)
	}
	return nil
}

// speedRow is level flight at one airspeed.
func speedRow(pl *perform.Plane, m *aero.Model, d *assess.Drawn, v float64) report.SpeedRow {
	n := math.NaN()
	r := report.SpeedRow{Speed: v, Drag: pl.Drag(v, 1), Thrust: n, Throttle: n, Current: n, Time: n, Distance: n, Climb: n, Radius: n}
	r.Profile = 0.5*d.Air.Rho*v*v*m.ZeroLiftDragArea(v)*d.AeroK.Drag + 0.5*d.Air.Rho*v*v*d.AeroK.DragArea
	r.Induced = r.Drag - r.Profile
	g := pl.GlideAt(v)
	r.Glide, r.Sink = g.Ratio, g.Sink
	r.StallBank = math.Acos(math.Min(1, pl.Stall*pl.Stall/(v*v)))
	if pl.Thrust == nil {
		return r
	}
	r.Thrust = pl.Thrust(v)
	r.Climb, _ = pl.ClimbAt(v)
	if nz := pl.Sustained(v); nz > 1 {
		r.Radius = v * v / (perform.Gravity * math.Sqrt(nz*nz-1))
	}
	e := pl.EnduranceAt(v, 1)
	if e.Status == perform.OK || e.Status == perform.BatteryTooWeak {
		r.Throttle, r.Current, r.Time, r.Distance = e.Throttle, e.Current, e.Time, e.Distance
	}
	if e.Status != perform.OK {
		r.Status = string(e.Status)
	}
	return r
}

// Land answers the seventh question.
func Land(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	ac := o.Aircraft
	d := chain.Nominal()
	pl := chain.Plane(&d)
	ground := perform.GroundOf(ac.Landing.Surface)
	wind := ac.Day.Wind * math.Cos(ac.Day.OffAxis)
	p := report.Landed{Subject: s, Height: 10, Ground: ground}
	if !(pl.Stall > 0) {
		n := math.NaN()
		p.Nominal = perform.Landing{Approach: n, Angle: n, Touchdown: n, GroundSpeed: n, ApproachRun: n, FlareRun: n, Slide: n, SlideTime: n, Distance: n, Deceleration: n, SinkTouchdown: n,
			Status: "no stall speed was found: the pitch control cannot hold the wing at its highest lift"}
		return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Notes: o.RenderNotes()}, nil
	}
	p.Nominal = pl.Land(p.Height, wind, ac.Landing.Margin, ground.Friction)
	p.Best = pl.BestGlide()
	way := func(say string, margin, w float64) {
		p.Ways = append(p.Ways, report.LandRow{Say: say, Margin: margin, Wind: w, Landing: pl.Land(p.Height, w, margin, ground.Friction)})
	}
	way("as planned", ac.Landing.Margin, wind)
	for _, m := range []float64{1.2, 1.3, 1.5} {
		if math.Abs(m-ac.Landing.Margin) > 1e-9 {
			way(fmt.Sprintf("at %.1f times the stall", m), m, wind)
		}
	}
	way("in still air", ac.Landing.Margin, 0)
	way("with the wind", ac.Landing.Margin, -wind)
	way("3 m/s more wind, into it", ac.Landing.Margin, wind+3)
	if pl.Drag != nil {
		braked := *pl
		base := pl.Drag
		const extra = 0.002 // m2: a hand's breadth of brake
		braked.Drag = func(v, n float64) float64 { return base(v, n) + 0.5*d.Air.Rho*v*v*extra }
		p.Ways = append(p.Ways, report.LandRow{Say: "20 cm2 more drag (a brake)", Margin: ac.Landing.Margin, Wind: wind, Landing: braked.Land(p.Height, wind, ac.Landing.Margin, ground.Friction)})
	}
	return &Answer{Doc: report.Land(p), Body: report.LandBody(p), Chart: report.LandChart(p), Notes: o.RenderNotes()}, nil
}

// CompareRequest is several builds, or settings, side by side.
type CompareRequest struct {
	Request
	Paths  []string
	Groups []string // "a=1;b=2" each
}

// MaxColumns is how many columns a comparison has at most.
const MaxColumns = 12

// Compare puts builds side by side: each build as it is and, when groups are
// given, under each of them.
func Compare(ctx context.Context, q CompareRequest) (*Answer, error) {
	type column struct {
		path string
		sets []string
	}
	groups := [][]string{nil}
	for _, g := range q.Groups {
		var sets []string
		for _, s := range splitGroup(g) {
			if s = strings.TrimSpace(s); s != "" {
				sets = append(sets, s)
			}
		}
		if len(sets) == 0 {
			return nil, Bad("empty-group", `write it as "launch.bungee.stretch=8 m;day.wind=3 m/s"`, fmt.Sprintf("--set-group %q sets nothing", g))
		}
		groups = append(groups, sets)
	}
	var cols []column
	for _, p := range q.Paths {
		for _, g := range groups {
			cols = append(cols, column{p, g})
		}
	}
	if len(cols) < 2 {
		return nil, Bad("one-column", `name a second build, or give --set-group "path=value;path=value"`, "one build under one setting is nothing to compare")
	}
	if len(cols) > MaxColumns {
		return nil, Bad("too-many", fmt.Sprintf("at most %d", MaxColumns), fmt.Sprintf("%d columns are too many to read side by side", len(cols)))
	}
	out := report.Comparison{Units: q.Units}
	notes := ""
	seen := map[string]bool{}
	// Look at all inputs before the long work: all that is wrong at once.
	var bad *BadInput
	for _, c := range cols {
		one := q.Request
		one.Path, one.Sets = c.path, append(append([]string(nil), q.Sets...), c.sets...)
		if _, err := Open(one); err != nil {
			var b *BadInput
			if !errors.As(err, &b) {
				return nil, err
			}
			if bad == nil {
				bad = &BadInput{Text: b.Text}
			}
			for _, d := range b.List {
				if k := d.String(); !seen[k] {
					seen[k] = true
					bad.List = append(bad.List, d)
				}
			}
		}
	}
	if bad != nil {
		return nil, bad
	}
	for i, c := range cols {
		one := q.Request
		one.Path, one.Sets, one.Fast = c.path, append(append([]string(nil), q.Sets...), c.sets...), true
		if q.Progress != nil {
			one.Progress = func(stage string, done, total int) {
				q.Progress(fmt.Sprintf("column %d of %d: %s", i+1, len(cols), stage), done, total)
			}
		}
		r, o, err := Check(ctx, one)
		if err != nil {
			return nil, err
		}
		if n := o.RenderNotes(); !seen[n] {
			seen[n] = true
			notes += n
		}
		out.Columns = append(out.Columns, report.Compared{Path: c.path, Sets: c.sets, Checked: *r})
	}
	return &Answer{Doc: report.Compare(out), Body: report.CompareBody(out), Notes: notes}, nil
}

// splitGroup parts a group at semicolons outside quotes.
func splitGroup(s string) []string {
	var out []string
	from, quoted := 0, false
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '"':
			quoted = !quoted
		case s[i] == ';' && !quoted:
			out, from = append(out, s[from:i]), i+1
		}
	}
	return append(out, s[from:])
}

// Fit answers the first question, as far as sizes are given.
func Fit(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true, Cheap: true})
	if err != nil {
		return nil, err
	}
	ac := o.Aircraft
	current := 0.0
	if chain.Power != nil {
		k := power.Neutral()
		current = chain.Power.At(0, 1, &k).Current
	}
	wire := func(gauge int) (float64, float64) {
		return strength.WireArea(gauge), strength.WireResistance(gauge, ac.Day.Temperature)
	}
	p := report.Fitted{Subject: s, Sheet: fit.Assess(ac, current, wire)}
	return &Answer{Doc: report.Fit(p), Body: report.FitBody(p), Notes: o.RenderNotes()}, nil
}

// Lattice is the lifting-surface table of a build.
func Lattice(ctx context.Context, q Request) (*Answer, error) {
	o, err := Open(q)
	if err != nil {
		return nil, err
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		return nil, located(o, err)
	}
	ac := o.Aircraft
	d := chain.Nominal()
	m := chain.Aero
	l := report.Lattice{Aircraft: ac, Units: q.Units, CG: ac.Mass.CG, Derive: m.Lattice().Derivatives(), Notes: m.Notes()}
	l.Strips = len(m.Lattice().Strips)
	l.Traits = m.Traits(ac.Mass.Total, ac.Mass.CG, &d.AeroK)
	l.Speed = ac.Flight.Cruise
	if !(l.Speed > 0) {
		l.Speed = m.ReferenceSpeed()
	}
	f := m.Still(l.Speed)
	t := m.Trim(aero.Balance{V: l.Speed, Rho: f.Rho, Mu: f.Mu, Lift: ac.Mass.Total * perform.Gravity, CG: ac.Mass.CG}, &d.AeroK)
	f.Alpha, f.Pitch = t.Alpha, t.Pitch
	l.Stability = m.Stability(f, &d.AeroK, ac.Mass.CG)
	l.Spread = m.Spread(&f, &d.AeroK)
	return &Answer{Doc: report.LatticePage(l), Body: report.LatticeBody(l), Chart: report.LatticeChart(l), Notes: o.RenderNotes()}, nil
}

// Sources lists all sources.
func Sources() *Answer {
	list := cite.All()
	return &Answer{Doc: report.Sources(list), Body: report.SourcesBody(list)}
}

// Radio says that the radio room is not built yet.
func Radio(_ context.Context, q Request) (*Answer, error) {
	if _, err := Open(q); err != nil {
		return nil, err
	}
	return nil, Bad("not-built", "range-test on the ground by the maker's procedure before you fly", "the radio room is not built yet: Fledge computes no link margin, and shows no number it has not computed")
}
