package evidence

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Cause is one way a launch can fail, with what the model says of it: its
// share among simulated failures and how likely each sign is when it is the
// cause. The debrief knows no launch model; whoever does fills this in.
type Cause struct {
	Name  string             `json:"name"`
	Prior float64            `json:"prior"` // share of it among the model's launches, success included
	Signs map[string]float64 `json:"signs"` // probability of seeing the sign, given the cause
	Check string             `json:"check"` // what on the bench or field would tell
}

// Sign is what was seen (or surely not seen) at the launch: from a log, a
// film or words.
type Sign struct {
	Name  string  `json:"name"`
	Seen  bool    `json:"seen"`
	Trust float64 `json:"trust"` // 0.5 worthless to 1 certain; 0: 0.9
}

// Explained is a cause with its odds after the signs.
type Explained struct {
	Name  string   `json:"name"`
	Odds  Quantity `json:"odds"`
	For   []string `json:"for,omitempty"`     // signs that speak for it
	Other []string `json:"against,omitempty"` // and against
	Check string   `json:"check,omitempty"`
}

// Telling is a sign nobody noted that would part the causes.
type Telling struct {
	Sign string  `json:"sign"`
	Bits float64 `json:"bits"` // of the doubt over the causes it would remove on average
}

// PostMortem ranks causes by Bayes' rule: prior odds of the model times the
// likelihood of each sign, a sign counting as far as it is trusted. A sign a
// cause does not list is taken as likely as it is over all the causes. It also
// ranks the signs not yet noted by what they would tell. The doubt of the
// odds is from halving and doubling every prior.
func PostMortem(causes []Cause, signs []Sign) (ranked []Explained, next []Telling) {
	if len(causes) == 0 {
		return []Explained{}, []Telling{}
	}
	names := map[string]bool{}
	for _, c := range causes {
		for s := range c.Signs {
			names[s] = true
		}
	}
	mean := map[string]float64{}
	for s := range names {
		w, sum := 0.0, 0.0
		for _, c := range causes {
			if p, ok := c.Signs[s]; ok {
				sum += math.Max(c.Prior, 1e-9) * p
				w += math.Max(c.Prior, 1e-9)
			}
		}
		mean[s] = sum / w
	}
	chance := func(c Cause, s string) float64 {
		p, ok := c.Signs[s]
		if !ok {
			p = mean[s]
		}
		return clamp(p, 0.01, 0.99) // no model is sure
	}
	likely := func(c Cause) float64 {
		l := 1.0
		for _, s := range signs {
			if !names[s.Name] {
				continue
			}
			p := chance(c, s.Name)
			t := s.Trust
			if t <= 0 {
				t = 0.9
			}
			t = clamp(t, 0.5, 1)
			if !s.Seen {
				p = 1 - p
			}
			l *= t*p + (1-t)*(1-p)
		}
		return l
	}
	odds := func(skew int, factor float64) []float64 {
		out := make([]float64, len(causes))
		sum := 0.0
		for i, c := range causes {
			p := math.Max(c.Prior, 1e-6)
			if i == skew {
				p *= factor
			}
			out[i] = p * likely(c)
			sum += out[i]
		}
		for i := range out {
			out[i] /= sum
		}
		return out
	}
	post := odds(-1, 1)
	for i, c := range causes {
		e := Explained{Name: c.Name, Check: c.Check, Odds: Quantity{post[i], odds(i, 0.5)[i], odds(i, 2)[i], ""}}
		for _, s := range signs {
			if !names[s.Name] {
				continue
			}
			p, m := chance(c, s.Name), mean[s.Name]
			if !s.Seen {
				p, m = 1-p, 1-m
			}
			word := s.Name
			if !s.Seen {
				word = "no " + s.Name
			}
			switch {
			case p > 1.5*m || p > m+0.25:
				e.For = append(e.For, word)
			case p < m/1.5 || p < m-0.25:
				e.Other = append(e.Other, word)
			}
		}
		ranked = append(ranked, e)
	}
	sort.SliceStable(ranked, func(i, j int) bool { return ranked[i].Odds.Value > ranked[j].Odds.Value })
	entropy := func(p []float64) float64 {
		h := 0.0
		for _, x := range p {
			if x > 0 {
				h -= x * math.Log2(x)
			}
		}
		return h
	}
	h0 := entropy(post)
	next = []Telling{}
	for s := range names {
		if slices.ContainsFunc(signs, func(x Sign) bool { return x.Name == s }) {
			continue
		}
		yes := 0.0
		for i, c := range causes {
			yes += post[i] * chance(c, s)
		}
		a, b := make([]float64, len(causes)), make([]float64, len(causes))
		for i, c := range causes {
			a[i] = post[i] * chance(c, s) / yes
			b[i] = post[i] * (1 - chance(c, s)) / (1 - yes)
		}
		next = append(next, Telling{s, h0 - yes*entropy(a) - (1-yes)*entropy(b)})
	}
	sort.Slice(next, func(i, j int) bool {
		if next[i].Bits != next[j].Bits {
			return next[i].Bits > next[j].Bits
		}
		return next[i].Sign < next[j].Sign
	})
	return ranked, next
}

// SameSettings says what a failure after a success with the same settings
// means: with the model's odds of success p, such a pair of outcomes has the
// probability 2p(1−p) in either order, and the settings need not be at fault.
// changed is the chance that something unseen (a joint, a battery, the cord)
// differs; both are given as shares of the explanation.
func SameSettings(p, changed, pAfterChange float64) (luck, change float64, say string) {
	a := (1 - changed) * (1 - p)
	b := changed * (1 - pAfterChange)
	luck, change = a/(a+b), b/(a+b)
	switch {
	case luck > 0.8:
		say = fmt.Sprintf("with odds of %.0f %% a failure now and then is what to expect: same settings, other gust or throw", 100*p)
	case change > 0.8:
		say = fmt.Sprintf("with odds of %.0f %% a failure is hardly chance: look for what changed (cord, pack, joints, balance, trim)", 100*p)
	default:
		say = "chance and an unseen change explain it about equally: check the cord's pull, the pack and the balance before the next"
	}
	return luck, change, say
}

// Signs reads from a debriefed log what the record itself shows of a launch.
func Signs(d *Debrief) []Sign {
	s := d.LaunchPhase
	if s == nil {
		return nil
	}
	var out []Sign
	add := func(name string, seen bool) { out = append(out, Sign{name, seen, 0.95}) }
	if s.Lowest != nil {
		add("sank below the start", *s.Lowest < -0.5)
	}
	add("short flight", d.AirTime.Value < 6)
	if d.PeakGround != nil {
		add("never got faster than at release", d.PeakGround.Value < s.Speed.Value+2)
	}
	if s.HeadWind != nil {
		add("tail wind", *s.HeadWind < -0.5)
	}
	return out
}
