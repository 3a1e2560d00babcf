package app

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/perform"
	"fledge/internal/report"
)

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
	g := gridOf(s.Results, chain, &d, pl)
	p = flown(chain, &d, g)
	p.Subject = s
	steps := chain.Buys()
	buys := len(steps)
	opt := assess.Options{Seed: q.Seed, Draws: tableDraws, Workers: workers()}
	few := opt
	few.Draws = effectDraws
	effects, over, err := chain.Effects(ctx, few, append(steps, chain.Days()...))
	if err != nil {
		return nil, err
	}
	// Steps the build cannot take are left out: count those that are buys.
	taken := 0
	for taken < len(effects) && taken < buys && effects[taken].Say == steps[taken].Say {
		taken++
	}
	draws := make([]report.Flight, opt.Draws)
	err = chain.Draws(ctx, opt, func(i int, d *assess.Drawn) {
		draws[i] = flown(chain, d, g)
	})
	if err != nil {
		return nil, err
	}
	p.Aloft.Buys, p.Aloft.Days = effects[:taken], effects[taken:]
	changed := make([]report.Flight, len(over))
	for i := range over {
		changed[i].Aloft.Buys, changed[i].Aloft.Days = over[i][:taken], over[i][taken:]
	}
	p.Doubted(draws, changed)
	a := &Answer{Doc: report.Fly(p), Body: report.FlyBody(p), Chart: report.FlyChart(p), Notes: o.RenderNotes()}
	if c := report.EnvelopeChart(p); c != nil {
		a.More = append(a.More, c)
	}
	return a, nil
}

// tableDraws is how many draws give the tables of a page their intervals: the
// ends are known to some 15 % of their distance.
const tableDraws = 64

// effectDraws is how many show what a change does: each is a whole flight for
// every change, and the difference scatters less than its ends.
const effectDraws = 24

// grid is where the tables of the page are computed, the same for every draw.
type grid struct {
	speeds, loads []float64 // m/s, of level flight and of the load factors
	drag          float64   // m/s, of the drag piece by piece
	circles       []float64 // m/s
	cruise        float64   // NaN for none
	flat          bool      // there is a top speed
}

func gridOf(r *assess.Results, chain *assess.Chain, d *assess.Drawn, pl *perform.Plane) grid {
	top, cruise := r.Get(assess.TopSpeed), r.Get(assess.CruiseSpeed)
	g := grid{drag: 2 * pl.Stall, cruise: math.NaN(), flat: top.Status == ""}
	end := 3 * pl.Stall
	if g.flat {
		end, g.drag = 1.15*top.Value, top.Value
	}
	const rows, loads = 15, 25
	for i := range rows {
		g.speeds = append(g.speeds, pl.Stall*1.05*math.Pow(end/(pl.Stall*1.05), float64(i)/(rows-1)))
	}
	for i := range loads {
		g.loads = append(g.loads, pl.Stall+(end-pl.Stall)*float64(i)/(loads-1))
	}
	if cruise.Status == "" {
		g.cruise = cruise.Value
		g.circles = []float64{1.5 * pl.Stall, (1.5*pl.Stall + g.cruise) / 2, g.cruise}
	}
	return g
}

// heatTime is how long full throttle is held for the temperatures, s.
const heatTime = 30

// flown are the tables of the page for one draw; what hangs on changes of the
// build is left open.
func flown(chain *assess.Chain, d *assess.Drawn, g grid) report.Flight {
	pl := chain.Plane(d)
	p := report.Flight{RunIn: math.NaN(), HeatTime: heatTime, DragSpeed: g.drag}
	if !(pl.Stall > 0) {
		return p
	}
	for _, v := range g.speeds {
		p.Rows = append(p.Rows, speedRow(pl, chain.Aero, d, v))
	}
	top := math.NaN()
	if g.flat {
		if t := pl.TopSpeed(); t.Known() {
			top = t.V
		}
	}
	rho := 0.5 * d.Air.Rho * p.DragSpeed * p.DragSpeed
	free := 0.0
	buys := func(without *perform.Plane) float64 {
		if math.IsNaN(top) {
			return top
		}
		if t := without.TopSpeed(); t.Known() {
			return t.V - top
		}
		return math.NaN()
	}
	for _, it := range chain.Aero.DragBreakdown(p.DragSpeed) {
		f := it.DragArea * rho * d.AeroK.Drag
		free += f
		without := *pl
		bare := it.DragArea * d.AeroK.Drag
		without.Drag = func(v, n float64) float64 {
			return pl.Drag(v, n) - 0.5*d.Air.Rho*v*v*bare
		}
		it.DragArea *= d.AeroK.Drag
		p.Drags = append(p.Drags, report.DragRow{Item: it, Force: f, Buys: buys(&without)})
	}
	if a := d.AeroK.DragArea; a != 0 {
		p.Drags = append(p.Drags, report.DragRow{Item: aero.Item{Name: "trial.drag_area", DragArea: a, Why: "added by the build"}, Force: a * rho, Buys: math.NaN()})
		free += a * rho
	}
	pull := pl.LevelPull(p.DragSpeed, 1)
	if pl.Stream != nil {
		row := report.DragRow{Item: aero.Item{
			Name: "propeller's stream", DragArea: pl.Stream(p.DragSpeed, 1, pull) / rho,
			Why: "what its stream adds to the drag of all that it meets, retrimmed (momentum theory)",
		}, Force: pl.Stream(p.DragSpeed, 1, pull)}
		without := *pl
		without.Stream = nil
		row.Buys = buys(&without)
		p.Drags = append(p.Drags, row)
		free += row.Force
	}
	p.Lift = pull - free
	if chain.Power != nil {
		k, b := &chain.Power.Train.Pack, &d.Aircraft.Power.Battery
		one := k.Cell * d.PowerK.CellResistance
		p.Pack = report.PackSag{Typed: one, Steady: k.Steady(b.Charge) * d.PowerK.CellResistance, Cells: k.Cells}
		p.Pack.Over = p.Pack.Steady / (one * float64(k.Cells) / float64(max(k.Parallel, 1)))
	}
	if chain.Power != nil && g.flat && !math.IsNaN(top) {
		b := &d.Aircraft.Power.Battery
		pt := chain.Power.Solve(top, d.Aircraft.Power.Throttle, b.Charge, &d.PowerK)
		p.Limits = chain.Power.Limits(pt)
		p.Heat = chain.Power.Heat(pt, top, b.Charge, p.HeatTime, &d.PowerK)
		if run, _, st := pl.RunIn(g.cruise, 0.98); st == perform.OK {
			p.RunIn = run
		}
	}
	p.Aloft = aloft(chain, d, pl, g, top)
	p.Aloft.Density, p.Aloft.Winds = air.DensityAltitude(d.Air.Rho), winds(d)
	return p
}

// speedRow is level flight at one airspeed.
func speedRow(pl *perform.Plane, m *aero.Model, d *assess.Drawn, v float64) report.SpeedRow {
	n := math.NaN()
	r := report.SpeedRow{Speed: v, Drag: pl.LevelPull(v, 1), Thrust: n, Throttle: n, Current: n, Time: n, Distance: n, Climb: n, Radius: n}
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

// aloft is circuit, circles, load factors and power of one draw.
func aloft(chain *assess.Chain, d *assess.Drawn, pl *perform.Plane, g grid, top float64) report.Aloft {
	ac := d.Aircraft
	n := chain.Numbers(d)
	a := report.Aloft{Limit: ac.Limits.LoadFactor, Gust: math.Max(3, ac.Day.Gust-ac.Day.Wind)}
	a.Envelope = pl.Envelope(g.loads, a.Gust, chain.LiftSlope()*d.AeroK.Lift, ac.Ref.Chord, a.Limit)
	for _, b := range []float64{30, 45, 60} {
		t := pl.TurnAt(1, b*math.Pi/180)
		t.Speed = pl.StallAt(t.Load)
		a.Stalls = append(a.Stalls, t)
	}
	for _, v := range g.circles {
		for _, b := range []float64{20, 30, 45, 60} {
			a.Holds = append(a.Holds, pl.HoldAt(v, b*math.Pi/180))
		}
	}
	if cruise := n[assess.CruiseSpeed]; cruise.Known() {
		if a.Wanted = ac.Flight.Loiter; a.Wanted == 0 {
			a.Wanted = ac.Flight.Home.Radius
		}
		if a.Wanted > 0 {
			a.WantBank, a.WantFast = perform.BankFor(cruise.V, a.Wanted), perform.SpeedFor(assess.Bank(ac), a.Wanted)
		}
		a.Round = chain.Round(d, cruise.V)
		a.Round.Nodes(10)
		a.Lap = pl.LapAt(a.Round.Legs, (pl.Charge+pl.Reserve)/2)
	}
	a.LandBy = chain.LandBy(d, &n)
	if chain.Power != nil {
		if v := g.cruise; v > 0 {
			pt, _ := chain.Power.ThrottleFor(v, pl.LevelPull(v, 1), pl.Charge, &d.PowerK)
			a.Powers = append(a.Powers, report.PowerRow{Name: "cruise", Speed: v, Chain: chain.Power.Chain(pt, v, pl.Charge, &d.PowerK)})
		}
		if top > 0 {
			pt := chain.Power.Solve(top, ac.Power.Throttle, pl.Charge, &d.PowerK)
			a.Powers = append(a.Powers, report.PowerRow{Name: "top speed", Speed: top, Chain: chain.Power.Chain(pt, top, pl.Charge, &d.PowerK)})
		}
	}
	return a
}

// winds is the air of the day by height.
func winds(d *assess.Drawn) (out []report.WindRow) {
	ac := d.Aircraft
	w, ok := assess.Wind(ac)
	if !ok {
		return nil
	}
	u20 := w.At(6.096)
	for _, h := range []float64{2, 10, 30, 60, 100} {
		dr, _ := air.DrydenAt(h, u20)
		k := 0.0
		if ac.Day.Gust > ac.Day.Wind && u20 > 0 {
			k = air.GustScale(ac.Day.Wind, ac.Day.Gust, u20, ac.Day.WindHeight)
		}
		dr.SigmaU, dr.SigmaV, dr.SigmaW = k*dr.SigmaU, k*dr.SigmaV, k*dr.SigmaW
		out = append(out, report.WindRow{Height: h, Wind: w.At(h), Rho: d.Air.RhoAt(h), Dryden: dr})
	}
	return out
}

// Trial plans the speed trial of the build's course.
func Trial(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	if o.Aircraft.Power.Place == "" {
		return nil, Bad("no-motor", "describe the drive under power", "a speed trial in level flight needs a motor")
	}
	p := report.Tried{Subject: s, Trial: chain.Trial(s.Results)}
	t := &p.Trial
	if t.Status == perform.OK {
		top := s.Results.Get(assess.TopSpeed)
		sd := (top.High - top.Low) / (2 * 1.6449)
		for _, c := range o.Aircraft.Claims {
			if c.What != "top speed" || !(c.Value > 0) {
				continue
			}
			row := report.ClaimRow{By: c.By, Text: c.Text, Value: c.Value}
			// The result of the day lies about what is computed with the doubt of
			// both; it shows the claim when it lies 1.645 sigma above.
			z := (c.Value + 1.6449*t.Sigma - t.TwoWay) / math.Hypot(sd, t.Sigma)
			row.Chance = 0.5 * math.Erfc(z/math.Sqrt2)
			switch {
			case row.Chance > 0.9:
				row.Say = fmt.Sprintf("this trial would most likely show it (chance %.2f)", row.Chance)
			case row.Chance < 0.05:
				row.Say = fmt.Sprintf("this trial is not likely to show it (chance %.2f): %.1f m/s is to be expected, %.1f m/s is wanted", row.Chance, t.TwoWay, c.Value+1.6449*t.Sigma)
			default:
				row.Say = fmt.Sprintf("open: a chance of %.2f that this trial shows it", row.Chance)
			}
			p.Claims = append(p.Claims, row)
		}
	}
	if t.Status == perform.OK {
		opt := assess.Options{Seed: q.Seed, Draws: tableDraws, Workers: workers()}
		draws := make([]assess.Trial, opt.Draws)
		if err := chain.Draws(ctx, opt, func(i int, d *assess.Drawn) { draws[i] = chain.TrialOf(d, s.Results) }); err != nil {
			return nil, err
		}
		p.Doubted(draws)
	}
	return &Answer{Doc: report.Trial(p), Body: report.TrialBody(p), Chart: report.TrialChart(p), Notes: o.RenderNotes()}, nil
}
