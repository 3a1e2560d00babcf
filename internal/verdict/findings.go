package verdict

import (
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/unit"
)

// bench answers questions 1 to 4.
func (j *judged) bench() {
	j.fit()
	j.mass()
	j.balance()
	j.weighed()
	j.controlPower()
	j.setup()
	j.strong()
}

func (j *judged) mass() {
	r, ac := j.r, j.r.Aircraft
	m := r.Get(assess.Mass)
	f := Finding{ID: "takeoff-mass", Stage: "bench", Question: 2, Label: "take-off mass", Value: m, Dim: unit.Mass, Limit: Limit{math.NaN(), math.NaN()}}
	f.Because = "the parts add up to " + j.say(m, unit.Mass)
	if l := ac.Limits.TakeoffMass; l > 0 {
		f.Safety, f.Limit = true, atMost(l)
		f.Sources = []string{"our-choice"}
		f.Because = sayf("the parts add up to %s; the maker allows %s", j.say(m, unit.Mass), unit.Format(l, unit.Mass, j.units))
		f.Release = "weigh the whole aeroplane"
	}
	j.add(f)
}

func (j *judged) balance() {
	r, ac := j.r, j.r.Aircraft
	sm := r.Get(assess.StaticMargin)
	cg := ac.Mass.CG
	f := Finding{
		ID: "balance", Stage: "bench", Question: 2, Safety: true, Label: "static margin", Value: sm, Dim: unit.Ratio,
		Limit:   Limit{ac.Limits.StaticMarginMin, ac.Limits.StaticMarginMax},
		Sources: []string{"nickel-wohlfahrt"}, Place: &cg, Release: "weigh it on two scales (weighing sheet)",
	}
	np := r.Get(assess.NeutralX)
	f.Because = sayf("the balance point is at %s, the neutral point at %s", j.say(r.Get(assess.BalanceX), unit.Length), j.say(np, unit.Length))
	if r.Fit != nil {
		if list, own, why := r.Ballast(false); len(list) > 0 {
			var at []string
			for _, k := range list {
				where := "at the " + k.Spot.Name
				if own {
					where = "in the place " + k.Spot.Name
				}
				at = append(at, sayf("%s %s (x = %s)", unit.Format(k.Mass, unit.Mass, j.units), where, unit.Format(k.Spot.X, unit.Length, j.units)))
			}
			if why != "" {
				why = "; " + why
			}
			f.Release = "ballast of " + strings.Join(at, " and ") + why + ", or parts moved that way (fledge balance lists how far); then " + f.Release
		}
	}
	switch s := Judge(sm, f.Limit); {
	case s == Fail && sm.Value < f.Limit.Min:
		f.Because = sayf("tail-heavy: static margin %s, %s wanted; %s", j.say(sm, unit.Ratio), unit.Format(f.Limit.Min, unit.Ratio, j.units), f.Because)
	case s == Fail:
		f.Because = sayf("nose-heavy: static margin %s, at most %s wanted; %s", j.say(sm, unit.Ratio), unit.Format(f.Limit.Max, unit.Ratio, j.units), f.Because)
	}
	j.add(f)
	if ac.Limits.BalanceMax > ac.Limits.BalanceMin {
		b := r.Get(assess.BalanceX)
		j.add(Finding{
			ID: "maker-balance", Stage: "bench", Question: 2, Safety: true, Label: "balance point against the maker's range", Value: b, Dim: unit.Length,
			Limit: Limit{ac.Limits.BalanceMin, ac.Limits.BalanceMax}, Place: &cg, Sources: []string{"our-choice"},
			Because: sayf("the balance point is at %s; the maker says %s to %s", j.say(b, unit.Length), unit.Format(ac.Limits.BalanceMin, unit.Length, j.units), unit.Format(ac.Limits.BalanceMax, unit.Length, j.units)),
			Release: "weigh it on two scales (weighing sheet)",
		})
	}
}

// controlPower asks whether the stick trims the approach with a fifth of the
// travel to spare, and cruise near the middle.
func (j *judged) controlPower() {
	a := j.r.Get(assess.TrimApproach)
	f := Finding{
		ID: "control-power", Stage: "bench", Question: 3, Safety: true, Label: "pitch stick that trims the approach", Value: a, Dim: unit.Ratio,
		Limit: Limit{-0.8, 0.8}, Sources: []string{"our-choice"}, Release: "measure the throws with a gauge",
		Because: sayf("the approach at %s needs %s of the pitch stick", j.say(j.r.Get(assess.ApproachSpeed), unit.Speed), j.say(a, unit.Ratio)),
	}
	if a.Status != "" {
		f.Because = "the pitch control cannot trim the approach: " + a.Status
		f.Status = Fail
	}
	j.add(f)
	c := j.r.Get(assess.TrimCruise)
	if c.Status == "" {
		j.add(Finding{
			ID: "trim", Stage: "bench", Question: 3, Label: "pitch stick that trims cruise", Value: c, Dim: unit.Ratio,
			Limit: Limit{-0.4, 0.4}, Sources: []string{"our-choice"}, Release: "set the neutral of the pitch control (reflex) by the set-up table",
			Because: sayf("level flight at %s needs %s of the pitch stick", j.say(j.r.Get(assess.CruiseSpeed), unit.Speed), j.say(c, unit.Ratio)),
		})
	}
}

// field answers questions 5 to 7.
func (j *judged) field() {
	j.launch()
	j.speeds()
	j.home()
}

func (j *judged) launch() {
	l := j.r.Launch
	if !l.Asked {
		j.ask("launch-odds", "field", 5, "launch odds", "no launch is described")
		return
	}
	ac := j.r.Aircraft
	f := Finding{
		ID: "launch-odds", Stage: "field", Question: 5, Safety: true, Label: "launch odds", Value: l.Odds, Dim: unit.Ratio,
		Limit: atLeast(ac.Limits.LaunchOdds), Sources: []string{"our-choice"}, Caution: "launch",
	}
	if ac.Launch.By == "bungee" {
		h := ac.Launch.Bungee.Hook
		f.Place = &h
	}
	f.Because = l.Say()
	j.add(f)
	for _, w := range l.Warnings {
		j.add(Finding{ID: "launch-warning", Stage: "field", Question: 5, Label: "launch", Status: Doubtful, Because: w, Value: assess.Quantity{Value: math.NaN()}, Limit: Limit{math.NaN(), math.NaN()}})
	}
}

// debrief answers questions 8 and 9, as far as a check without logs can.
func (j *judged) debrief() {
	for _, c := range j.r.Aircraft.Claims {
		j.ask("claim: "+c.What, "debrief", 8, "claim by "+c.By+": "+c.What+" "+c.Text, "judged by what was measured: fledge debrief")
	}
}
