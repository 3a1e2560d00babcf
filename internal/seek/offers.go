package seek

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// offer is a change that a room computes, so that it need not be searched for;
// it is proved like any other.
type offer struct {
	steps []step  // from the smallest up: the first that passes is shown
	cost  float64 // on the scale of [Lever]
	last  bool    // adds weight or a purchase: only where nothing else is proved
}

// step is one setting of an offer.
type step struct {
	say  string
	sets []string
}

// kinds of the fit's judgements that make up each of its findings.
var fitted = map[string][]string{"fit": {"inside.", "plug.", "through.", "clash.", "route.", "heat."}, "clearances": {"apart."}}

// offers lists what the rooms offer for a finding of these results; parts is
// the number of parts in the build file.
func offers(r *assess.Results, f *verdict.Finding, parts int) []offer {
	if r == nil {
		return nil
	}
	ac := r.Aircraft
	var out []offer
	one := func(cost float64, say, set string) {
		out = append(out, offer{steps: []step{{say, []string{set}}}, cost: cost})
	}
	// more offers so many times a tested strength, rounded up: what is judged is
	// in proportion to it.
	more := func(path, say, unitName string, now, round, times float64) {
		if !(now > 0) || !(times > 0) || math.IsInf(times, 0) {
			return
		}
		o := offer{cost: 12}
		for _, k := range []float64{1, 1.1} {
			v := math.Ceil(k*now*times/round-1e-9) * round
			text := fmt.Sprintf("%.4g %s", v, unitName)
			o.steps = append(o.steps, step{fmt.Sprintf(say, text), []string{path + "=" + text}})
		}
		out = append(out, o)
	}
	switch {
	case fitted[f.ID] != nil:
		if s, cost, ok := cured(r, f.ID); ok {
			out = append(out, offer{steps: []step{s}, cost: cost})
		}
	case f.ID == "launch-odds":
		// Where the hook is what gives way, a stronger one is the remedy of both.
		for i := range r.Strength {
			if h := &r.Strength[i]; h.ID == "hook" && !(h.Value >= h.Min) && ac.HookPad.Holds > 0 {
				low, _ := h.Interval()
				more("strength.hook.holds", hookHolds, "N", ac.HookPad.Holds, 5, h.Min/low)
			}
		}
	case f.ID == "motor-direction":
		to := "clockwise"
		if ac.Power.Motor.Turns == to {
			to = "counter-clockwise"
		}
		one(1, "swap any two of the motor's three leads, and try it without the propeller", "power.motor.turns="+to)
	case f.ID == "balance":
		out = append(out, ballast(r, parts)...)
	case f.ID == "lateral-balance":
		if o, ok := sideBallast(r, f, parts); ok {
			out = append(out, o)
		}
	case f.ID == "approach-path":
		if ac.Power.Place != "" && ac.Landing.Propeller == "stopped" {
			one(1, "let the propeller windmill on the approach", "landing.propeller=windmilling")
		}
	case f.ID == "stake":
		more("launch.bungee.stake_holds", "a stake that stands a pull of %s: longer, two in line, or harder ground; pull on it with a scale", "N", ac.Launch.Bungee.StakeHolds, 5, f.Limit.Min/f.Value.Low)
	case f.ID == "hook":
		more("strength.hook.holds", hookHolds, "N", ac.HookPad.Holds, 5, f.Limit.Min/f.Value.Low)
		if n := max(1, ac.Launch.Bungee.HookCount); n < 2 {
			out = append(out, offer{steps: []step{{"two hooks side by side, each with its own pad", []string{"launch.bungee.hook.count=2"}}}, cost: 14, last: true})
		}
	case f.ID == "spar" || f.ID == "joiner":
		s := &ac.Spar
		if f.ID == "joiner" {
			s = &ac.Joiner
		}
		more("strength."+f.ID+".moment", "a "+f.ID+" that stands a proof load of %s", "N m", s.Moment, 0.1, f.Limit.Min/f.Value.Low)
		if s.Moment == 0 && s.Kind != "" && s.Material != "carbon" {
			one(20, "a "+f.ID+" of carbon, of the same size", "strength."+f.ID+".material=carbon")
		}
	case f.ID == "wire":
		o := offer{cost: 10}
		for g := ac.Power.Wiring.Gauge - 2; g >= max(6, ac.Power.Wiring.Gauge-8); g -= 2 {
			o.steps = append(o.steps, step{fmt.Sprintf("a battery lead of %d AWG", g), []string{fmt.Sprintf("power.wiring.gauge=%d", g)}})
		}
		out = append(out, o)
	case strings.HasPrefix(f.ID, "rod.") || strings.HasPrefix(f.ID, "rod-stall."):
		for i := range ac.Linkages {
			if l := &ac.Linkages[i]; l.RodMaterial != "" && l.RodMaterial != "steel" && strings.HasSuffix(f.ID, "."+strings.ReplaceAll(l.Control, "_", "-")) {
				one(8, "a rod of steel for the "+l.Control, "linkages."+build.PathKey(l.Control)+".rod_material=steel")
			}
		}
	}
	return out
}

const hookHolds = "a hook that stands a proof pull of %s: a longer pad or a doubler under it"

// cured joins the first cure of every judgement of a fit finding that fails;
// ok is false where one has none that can be written into the build.
func cured(r *assess.Results, id string) (s step, cost float64, ok bool) {
	if r.Fit == nil {
		return s, 0, false
	}
	var say []string
	for i := range r.Fit.Results {
		k := &r.Fit.Results[i]
		mine := false
		for _, w := range fitted[id] {
			mine = mine || strings.HasPrefix(k.ID, w)
		}
		if !mine || !k.Failed() {
			continue
		}
		found := false
		for _, c := range k.Cures {
			if len(c.Set) == 0 {
				continue
			}
			found = true
			if joined := joinSets(s.sets, c.Set); len(joined) > len(s.sets) || len(say) == 0 { // a twin says the same
				s.sets = joined
				say = append(say, c.What)
				cost += 2 + 300*c.By // a metre is out of the question
			}
			break
		}
		if !found {
			return s, 0, false
		}
	}
	s.say = strings.Join(say, " and ")
	return s, cost, len(s.sets) > 0
}

// joinSets appends settings; one of a path that is there already replaces it.
func joinSets(a, b []string) []string {
	out := append([]string(nil), a...)
	for _, s := range b {
		path, _, _ := strings.Cut(s, "=")
		at := -1
		for i := range out {
			if p, _, _ := strings.Cut(out[i], "="); p == path {
				at = i
			}
		}
		if at >= 0 {
			out[at] = s
		} else {
			out = append(out, s)
		}
	}
	return out
}

// lead is the density of the ballast offered, kg/m³.
const lead = 11340

// part is the settings that add a lump of lead as part n of the file.
func part(n int, name string, mass, x, y, z float64) []string {
	p := fmt.Sprintf("parts[%d].", n)
	side := math.Ceil(1e4*math.Cbrt(mass/lead)) / 10 // mm
	set := []string{p + "name=" + name, p + "kind=ballast", fmt.Sprintf("%smass=%.0f g", p, mass*1e3)}
	for _, k := range []struct {
		key string
		at  float64
	}{{"x", x}, {"y", y}, {"z", z}} {
		if k.key == "x" || k.at != 0 {
			set = append(set, fmt.Sprintf("%sat.%s=%.0f mm", p, k.key, k.at*1e3))
		}
	}
	for _, k := range []string{"x", "y", "z"} {
		set = append(set, fmt.Sprintf("%ssize.%s=%.1f mm", p, k, side))
	}
	return set
}

// ballast is the least mass at the build's places for it, else at nose or
// tail, that takes the static margin inside its band with its whole interval.
func ballast(r *assess.Results, parts int) []offer {
	list, _, why := r.Ballast(true)
	if len(list) == 0 || why != "" {
		return nil
	}
	o := offer{cost: 12, last: true}
	for _, k := range []float64{1, 1.15, 1.4} {
		var s step
		var say []string
		n := parts
		for _, b := range list {
			var y, z float64
			for _, spot := range r.Aircraft.Ballast {
				if spot.Name == b.Spot.Name {
					y, z = spot.At.Y, spot.At.Z
					if m := spot.Most; m > 0 && k*b.Mass > m+1e-9 && k > 1 {
						return keepSteps(o)
					}
				}
			}
			m := math.Ceil(k*b.Mass*1e3-1e-6) / 1e3
			say = append(say, fmt.Sprintf("%.0f g of ballast at %s (x = %.0f mm)", m*1e3, b.Spot.Name, b.Spot.X*1e3))
			s.sets = append(s.sets, part(n, strings.TrimSpace(fmt.Sprintf("ballast %s", b.Spot.Name)), m, b.Spot.X, y, z)...)
			n++
		}
		s.say = strings.Join(say, " and ")
		o.steps = append(o.steps, s)
	}
	return keepSteps(o)
}

func keepSteps(o offer) []offer {
	if len(o.steps) == 0 {
		return nil
	}
	return []offer{o}
}

// sideBallast is what in the lighter tip brings the balance point to the
// middle. Weighed, only weighing again can show it: none is offered.
func sideBallast(r *assess.Results, f *verdict.Finding, parts int) (offer, bool) {
	ac := r.Aircraft
	if r.Fit == nil || r.Fit.Scales != nil && r.Fit.Scales.HasY || !(ac.Ref.Span > 0) {
		return offer{}, false
	}
	tip := -math.Copysign(0.48*ac.Ref.Span, f.Value.Value)
	m := math.Max(1e-3, math.Round(ac.Mass.Total*math.Abs(f.Value.Value/tip)*1e3)/1e3)
	side := "right"
	if tip < 0 {
		side = "left"
	}
	return offer{steps: []step{{fmt.Sprintf("%.0f g of ballast in the %s tip", m*1e3, side), part(parts, side+" tip ballast", m, ac.Mass.CG.X, tip, 0)}}, cost: 8}, true
}

// propose proves an offer: the first of its steps that passes. What parts in
// their places offer is followed for three rounds, since what one move frees
// another may need.
//
// Where none passes, what leaves it doubtful is still told.
func (p *Plan) propose(ctx context.Context, f *verdict.Finding, o offer, rerun Rerun) error {
	var near *verdict.Remedy
	for _, s := range o.steps {
		cost := o.cost
		for round := 0; ; round++ {
			proof, err := rerun(ctx, f.ID, s.sets)
			if err != nil {
				return err
			}
			g := &proof.Finding
			m := verdict.Remedy{
				Set: s.sets, Say: unit.Retell(s.say, p.Units), Verified: g.Status == verdict.Pass, ValueAfter: g.Value.Value, After: g.Value,
				StatusAfter: g.Status, WordAfter: proof.Word, Spoils: proof.Spoils, Cost: cost,
			}
			if m.Verified {
				f.Remedies = append(f.Remedies, m)
				return nil
			}
			if g.Status == verdict.Doubtful && f.Status == verdict.Fail {
				near = &m
			}
			if fitted[f.ID] == nil || round == 2 || proof.Results == nil {
				break
			}
			next, c, ok := cured(proof.Results, f.ID)
			if !ok {
				break
			}
			s.sets, s.say, cost = joinSets(s.sets, next.sets), s.say+" and "+next.say, cost+c
		}
	}
	if near != nil {
		f.Remedies = append(f.Remedies, *near)
	}
	return nil
}
