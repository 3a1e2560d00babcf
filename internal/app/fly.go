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
	pull := pl.LevelPull(p.DragSpeed, 1)
	if pl.Stream != nil {
		row := report.DragRow{Item: aero.Item{
			Name: "propeller's stream", DragArea: pl.Stream(p.DragSpeed, 1, pull) / rho,
			Why: "what its stream adds to the drag of all that it meets, retrimmed (momentum theory)",
		}, Force: pl.Stream(p.DragSpeed, 1, pull), Buys: math.NaN()}
		without := *pl
		without.Stream = nil
		if t := without.TopSpeed(); top.Status == "" && t.Known() {
			row.Buys = t.V - top.Value
		}
		p.Drags = append(p.Drags, row)
		free += row.Force
	}
	p.Lift = pull - free
	if chain.Power != nil && top.Status == "" {
		pt := chain.Power.Solve(top.Value, o.Aircraft.Power.Throttle, o.Aircraft.Power.Battery.Charge, &d.PowerK)
		p.Limits = chain.Power.Limits(pt)
		p.Heat = chain.Power.Heat(pt, top.Value, o.Aircraft.Power.Battery.Charge, p.HeatTime, &d.PowerK)
		if c := s.Results.Get(assess.CruiseSpeed); c.Status == "" {
			if run, _, st := pl.RunIn(c.Value, 0.98); st == perform.OK {
				p.RunIn = run
			}
		}
	}
	p.Aloft = aloft(s.Results, chain, &d, pl, end)
	a := &Answer{Doc: report.Fly(p), Body: report.FlyBody(p), Chart: report.FlyChart(p), Notes: o.RenderNotes()}
	if c := report.EnvelopeChart(p); c != nil {
		a.More = append(a.More, c)
	}
	return a, nil
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

// aloft is circuit, circles, load factors, power and what changes buy, all at
// nominal values; top is the highest airspeed shown.
func aloft(r *assess.Results, chain *assess.Chain, d *assess.Drawn, pl *perform.Plane, top float64) report.Aloft {
	ac := d.Aircraft
	n := chain.Numbers(d)
	bank := assess.Bank(ac)
	a := report.Aloft{Limit: ac.Limits.LoadFactor, Gust: math.Max(3, ac.Day.Gust-ac.Day.Wind), Density: r.DensityAltitude}
	speeds := make([]float64, 25)
	for i := range speeds {
		speeds[i] = pl.Stall + (top-pl.Stall)*float64(i)/float64(len(speeds)-1)
	}
	a.Envelope = pl.Envelope(speeds, a.Gust, chain.LiftSlope(), ac.Ref.Chord, a.Limit)
	for _, b := range []float64{30, 45, 60} {
		t := pl.TurnAt(1, b*math.Pi/180)
		t.Speed = pl.StallAt(t.Load)
		a.Stalls = append(a.Stalls, t)
	}
	if cruise := n[assess.CruiseSpeed]; cruise.Known() {
		for _, v := range []float64{1.5 * pl.Stall, (1.5*pl.Stall + cruise.V) / 2, cruise.V} {
			for _, b := range []float64{20, 30, 45, 60} {
				a.Holds = append(a.Holds, pl.HoldAt(v, b*math.Pi/180))
			}
		}
		if a.Wanted = ac.Flight.Loiter; a.Wanted == 0 {
			a.Wanted = ac.Flight.Home.Radius
		}
		if a.Wanted > 0 {
			a.WantBank, a.WantFast = perform.BankFor(cruise.V, a.Wanted), perform.SpeedFor(bank, a.Wanted)
		}
		a.Round = chain.Round(d, cruise.V)
		a.Round.Nodes(10)
		a.Lap = pl.LapAt(a.Round.Legs, (pl.Charge+pl.Reserve)/2)
	}
	a.LandBy = chain.LandBy(d, &n)
	if chain.Power != nil {
		row := func(name string, v, thrust float64) {
			pt, _ := chain.Power.ThrottleFor(v, thrust, pl.Charge, &d.PowerK)
			a.Powers = append(a.Powers, report.PowerRow{Name: name, Speed: v, Chain: chain.Power.Chain(pt, v, pl.Charge, &d.PowerK)})
		}
		if v := n[assess.CruiseSpeed]; v.Known() {
			row("cruise", v.V, pl.LevelPull(v.V, 1))
		}
		if v := n[assess.TopSpeed]; v.Known() {
			pt := chain.Power.Solve(v.V, ac.Power.Throttle, pl.Charge, &d.PowerK)
			a.Powers = append(a.Powers, report.PowerRow{Name: "top speed", Speed: v.V, Chain: chain.Power.Chain(pt, v.V, pl.Charge, &d.PowerK)})
		}
	}
	a.Buys, a.Days = chain.Buys(), chain.Days()
	if w, ok := assess.Wind(ac); ok {
		u20 := w.At(6.096)
		for _, h := range []float64{2, 10, 30, 60, 100} {
			dr, _ := air.DrydenAt(h, u20)
			k := 0.0
			if ac.Day.Gust > ac.Day.Wind && u20 > 0 {
				k = air.GustScale(ac.Day.Wind, ac.Day.Gust, u20, ac.Day.WindHeight)
			}
			dr.SigmaU, dr.SigmaV, dr.SigmaW = k*dr.SigmaU, k*dr.SigmaV, k*dr.SigmaW
			a.Winds = append(a.Winds, report.WindRow{Height: h, Wind: w.At(h), Rho: d.Air.RhoAt(h), Dryden: dr})
		}
	}
	return a
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
	return &Answer{Doc: report.Trial(p), Body: report.TrialBody(p), Chart: report.TrialChart(p), Notes: o.RenderNotes()}, nil
}
