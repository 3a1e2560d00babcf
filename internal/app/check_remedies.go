package app

import (
	"context"
	"errors"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/seek"
	"fledge/internal/verdict"

	"gonum.org/v1/gonum/stat/distuv"
)

// search answers seek's questions.
type search struct {
	chain  *assess.Chain
	opened *Opened
	query  Request
	base   *assess.Results  // of the aircraft as opened
	now    *verdict.Verdict // of base
}

// remedies fills in the remedies of the findings in v.
func (s *search) remedies(ctx context.Context, v *verdict.Verdict) error {
	return seek.Remedies(ctx, s.opened.Aircraft, v, s.eval, s.prove, seek.Plan{
		Look: (&launcher{chain: s.chain, seed: s.query.Seed}).look, Units: s.query.Units, Workers: workers(), Progress: s.query.Progress,
		Results: s.base, Parts: len(s.opened.Build.Parts),
	})
}

// Sizes of a quick look and of a proof.
const (
	lookLaunches = 256
	lookDraws    = 24
	proofDraws   = 64
)

// eval judges one finding on a changed aircraft, quickly: with few draws, and
// of the scalars only those that the finding hangs on.
func (s *search) eval(ctx context.Context, ac *craft.Aircraft, id string) (verdict.Finding, error) {
	if id == "launch-odds" {
		return s.evalLaunch(ctx, ac)
	}
	opt := assess.Options{
		Seed: s.query.Seed, Workers: workers(), Launches: lookLaunches, Draws: lookDraws, Count: true,
		NoLaunch: !needsLaunch(id), NoFit: !aboutFit(id), NoHeat: !strings.HasPrefix(id, "heat."), Scope: scopeOf(id),
	}
	chain, err := s.chain.For(ac)
	if err != nil {
		return verdict.Finding{}, err
	}
	var r *assess.Results
	switch {
	case s.chain.Rigged(ac):
		r = chain.Rig(s.base)
	case id == "link-margin":
		r, err = chain.LinksAlone(ctx, opt)
	default:
		r, err = chain.Run(ctx, opt)
	}
	if err != nil {
		return verdict.Finding{}, err
	}
	v := verdict.Of(r)
	if f := find(&v, id); f != nil {
		return *f, nil
	}
	return verdict.Finding{ID: id, Status: verdict.Unknown}, nil
}

// evalLaunch counts the odds on 256 launches, without the range of ignorance.
// A setting that can no longer pass by them is not flown to the end.
func (s *search) evalLaunch(ctx context.Context, ac *craft.Aircraft) (verdict.Finding, error) {
	f := verdict.Finding{ID: "launch-odds", Status: verdict.Unknown}
	if now := find(s.now, f.ID); now != nil {
		f = *now
	}
	chain, err := s.chain.For(ac)
	if err != nil {
		return f, err
	}
	least := leastOdds(f.Limit.Min, f.Value)
	most := math.Round(lookLaunches * (1 - least)) // failures
	g, err := chain.Glance(ctx, assess.Options{Seed: s.query.Seed, Workers: workers()}, assess.Ask{
		N: lookLaunches, Enough: func(_, failed int) bool { return float64(failed) > most },
	})
	if err != nil {
		return f, err
	}
	f.Value = assess.Quantity{Value: g.Odds, Low: f.Limit.Min + g.Odds - (1 - most/lookLaunches), High: g.Odds, Unit: "1"}
	f.Status = verdict.Judge(f.Value, f.Limit)
	return f, nil
}

// leastOdds is where the odds must lie for the low end of their range to reach
// the limit as well. What is not known is taken to move the odds by as much on
// the scale of the normal distribution as it does now; where all or no launches
// succeed now that tells nothing, and the odds must lie inside the limit by six
// tenths of the way to certainty: our choice, between a limit met by the value
// alone (none) and by a doubt nobody has (all); the proof decides.
func leastOdds(limit float64, now assess.Quantity) float64 {
	guess := limit + 0.6*(1-limit)
	if !(now.Low > 0 && now.Low < now.Value && now.Value < 1 && limit > 0 && limit < 1) {
		return guess
	}
	normal := distuv.UnitNormal
	return normal.CDF(normal.Quantile(limit) + normal.Quantile(now.Value) - normal.Quantile(now.Low))
}

// find is the finding of that id; nil when there is none.
func find(v *verdict.Verdict, id string) *verdict.Finding {
	for i := range v.Findings {
		if v.Findings[i].ID == id {
			return &v.Findings[i]
		}
	}
	return nil
}

// scopeOf is what a finding hangs on; everything, unless it is known to be
// less.
func scopeOf(id string) assess.Scope {
	switch id {
	case "fit", "clearances", "balance", "maker-balance", "takeoff-mass":
		return assess.Weights
	case "landing", "approach-path":
		return assess.Homecoming
	case "spar", "joiner", "hook", "stake", "wire", "connector", "supply":
		return assess.Loading
	}
	switch id[:max(0, strings.IndexByte(id, '.'))] {
	case "servo", "servo-time", "rod", "rod-stall", "horn", "horn-hole", "horn-length", "play", "flutter", "bolts", "bolts-tip", "current", "heat":
		return assess.Loading
	}
	return assess.Everything
}

// aboutFit tells findings that need to know whether the parts go in.
func aboutFit(id string) bool {
	for _, p := range []string{"fit", "clearances", "motor-direction", "weigh", "lateral-balance", "repair"} {
		if strings.HasPrefix(id, p) {
			return true
		}
	}
	return false
}

// needsLaunch tells findings whose load comes from the launch.
func needsLaunch(id string) bool {
	return id == "hook" || id == "stake" || id == "bolts.hook"
}

// prove checks the edited file from its text, all questions, with the launches
// of a full check. Models that the edit leaves as they were are taken over from
// the check, and so are the launches where none would feel it: both give the
// same bits (tested).
func (s *search) prove(ctx context.Context, id string, sets []string) (seek.Proof, error) {
	q := s.query
	q.memo = s.opened.memo
	q.Sets = append(append([]string(nil), q.Sets...), sets...)
	none := seek.Proof{Finding: verdict.Finding{ID: id, Status: verdict.Unknown, Value: assess.Quantity{Value: math.NaN()}}}
	o, err := Open(q)
	var bad *BadInput
	if errors.As(err, &bad) {
		return none, nil // the edit makes an impossible file: not a remedy
	}
	if err != nil {
		return none, err
	}
	chain, err := s.chain.Renew(ctx, o.Aircraft)
	if err != nil {
		return none, err
	}
	r, err := chain.Run(ctx, assess.Options{
		Seed: q.Seed, Launches: q.Launches, Draws: proofDraws, Workers: workers(), Brief: true,
		After: &assess.After{Chain: s.chain, Results: s.base},
	})
	if err != nil {
		return none, err
	}
	v := verdict.Of(r)
	p := seek.Proved(s.now, &v, id)
	p.Results = r
	return p, nil
}
