package learn

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/tune"
)

// Refused is a reading that was not used.
type Refused struct {
	Reading Reading
	Why     string
	// Expected is what the others say, with the standard deviation of the
	// difference; NaN when it was refused before the fit.
	Expected, SD float64
}

// Move is how far one reading moved a factor, in standard deviations of its
// prior, and by how much wider the factor would be without it.
type Move struct {
	Reading int // index in Result.Readings
	By      float64
	Widens  float64 // of the posterior's standard deviation, as a share
}

// Factor is one factor before and after.
type Factor struct {
	Name, Label, Component string
	Shift                  bool
	// As multipliers on what the build or the model says (shifts: as they are).
	Before, BeforeSD float64
	After, AfterSD   float64
	Share            float64 // of its variance that the data took away
	Told             bool
	Moves            []Move // the three readings that moved it most
	Path             string
	scatter          float64
}

// Used is a reading in the fit.
type Used struct {
	Reading
	Predicted, Was float64 // by the model as learned, and untaught
	PredictedSD    float64 // what is not known of the model then; 0: not told
	WasSD          float64
	Score          float64 // against what the others say, in standard deviations
}

// Result is what one look at the evidence gives.
type Result struct {
	Word     Word
	Why      string // of a refusal, or ""
	Factors  []Factor
	Readings []Used
	Refused  []Refused
	Chi2, P  float64
	// Bundle is the one combination of factors that the data do tell, when they
	// tell none by itself: their labels; nil otherwise.
	Bundle []string
	// Lesson is what may be kept; nil when nothing was learned.
	Lesson *tune.Lesson

	post    *Post
	problem *Problem
	model   *Model
}

// Learn fits the factors of the model to the readings.
func (m *Model) Learn(list []Reading) *Result {
	r := &Result{model: m}
	var good []Reading
	for _, x := range Sorted(list) {
		if why := m.refuse(&x); why != "" {
			r.Refused = append(r.Refused, Refused{Reading: x, Why: why, Expected: math.NaN(), SD: math.NaN()})
			continue
		}
		good = append(good, x)
	}
	q := m.problem(good)
	p := q.Solve()
	r.post, r.problem = p, q
	r.Word, r.Why, r.Chi2, r.P = p.Word, p.Why, p.Chi2, p.P
	if len(good) == 0 && len(list) > 0 {
		r.Word = Untold
		r.Why = "none of the readings can be used"
		if len(list) == 1 {
			r.Why = "the only reading cannot be used: " + r.Refused[0].Why
		}
	}
	was := make([]float64, len(q.Data))
	x := make([]float64, len(q.Params))
	for k := range x {
		x[k] = q.Params[k].at(0)
		if q.Params[k].Nuisance {
			x[k] = 0
		}
	}
	q.Predict(x, was)
	for i, d := range p.Used {
		u := Used{Reading: good[d], Predicted: math.NaN(), Was: was[d], Score: math.NaN()}
		if p.Word == Learned || p.Word == Untold {
			u.Predicted, u.Score = p.Fit[i], p.Score[i]
			u.PredictedSD, u.WasSD = p.FitSD[i], p.PriorSD[i]
		} else if p.Score != nil {
			u.Score = p.Score[i]
		}
		r.Readings = append(r.Readings, u)
	}
	for _, a := range p.Aside {
		r.Refused = append(r.Refused, Refused{Reading: good[a.Datum], Why: a.Why, Expected: a.Expected, SD: a.SD})
	}
	for k := range m.learn {
		r.Factors = append(r.Factors, r.factor(k))
	}
	switch r.Word {
	case Untold:
		r.untold(len(good))
	case Learned:
		r.teach()
	}
	return r
}

// factor describes learnable k before and after.
func (r *Result) factor(k int) Factor {
	l, p := &r.model.learn[k], r.post
	scale := 1.0
	if l.param.Log {
		scale = l.build
	}
	f := Factor{
		Name: l.Name, Label: l.Label, Component: l.part, Path: r.model.Aircraft.Inputs[l.at].Path, scatter: l.keep,
		Before: l.param.at(0) / scale, BeforeSD: l.param.spread(0, 1) / scale,
		After: p.Value(k) / scale, AfterSD: p.SD(k) / scale,
		Share: p.Told[k], Told: r.Word == Learned && p.Told[k] >= toldShare,
	}
	f.Shift = l.Name == "neutral-point" || l.Name == "pitch-trim"
	if p.Moved == nil {
		return f
	}
	for i := range p.Used {
		wide := math.Sqrt(p.Cov[k][k])
		f.Moves = append(f.Moves, Move{Reading: i, By: p.Moved[i][k], Widens: p.Shrunk[i][k] / wide})
	}
	sort.SliceStable(f.Moves, func(a, b int) bool {
		return math.Abs(f.Moves[a].By)+f.Moves[a].Widens > math.Abs(f.Moves[b].By)+f.Moves[b].Widens
	})
	f.Moves = f.Moves[:min(3, len(f.Moves))]
	return f
}

// untold says what the data do tell when they tell no factor by itself: the
// direction of the largest loss of variance among the factors.
func (r *Result) untold(n int) {
	if n == 0 {
		return
	}
	m := len(r.model.learn)
	loss := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			before := 0.0
			if i == j {
				before = 1
			}
			if r.model.corr != nil {
				before = r.model.corr[i][j]
			}
			loss.SetSym(i, j, before-r.post.Cov[i][j])
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(loss, true) {
		return
	}
	top := eig.Values(nil)[m-1]
	var vec mat.Dense
	eig.VectorsTo(&vec)
	type part struct {
		label string
		size  float64
	}
	var parts []part
	for k := range m {
		if s := math.Abs(vec.At(k, m-1)); s > 0.3 {
			parts = append(parts, part{r.model.learn[k].Label, s})
		}
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].size > parts[b].size })
	for _, p := range parts {
		r.Bundle = append(r.Bundle, p.label)
	}
	what := "1 reading"
	if n > 1 {
		what = fmt.Sprintf("%d readings", n)
	}
	switch {
	case r.Why != "":
	case top >= toldShare && len(r.Bundle) > 1:
		r.Why = fmt.Sprintf("%s cannot part %s: only what they do together is told", what, strings.Join(r.Bundle, ", "))
	default:
		r.Why = what + " of such doubt do not narrow any factor enough to be told from the prior"
	}
}

// trifle is the share of the variance below which a factor is left out of the
// lesson: it stays as it was.
const trifle = 0.02

// teach makes the lesson: all factors that the data touched, with their
// correlations, so that what is known only together stays known together.
func (r *Result) teach() {
	l := &tune.Lesson{Aeroplane: r.model.Aircraft.Name, Heirs: r.model.Heirs}
	var at []int
	for k := range r.Factors {
		f := &r.Factors[k]
		if f.Share < trifle && math.Abs(r.post.Z[k]) < 0.1 {
			continue
		}
		sd := f.AfterSD
		if f.scatter > 0 {
			sd = math.Hypot(sd, f.scatter*f.After)
		}
		at = append(at, k)
		l.Factors = append(l.Factors, tune.Factor{Name: f.Name, Component: f.Component, Value: f.After, Sigma: sd, Shift: f.Shift, Label: f.Label})
	}
	for _, i := range at {
		row := make([]float64, len(at))
		for b, j := range at {
			row[b] = r.post.Cov[i][j] / math.Sqrt(r.post.Cov[i][i]*r.post.Cov[j][j])
		}
		l.Corr = append(l.Corr, row)
	}
	for i := range l.Corr {
		l.Corr[i][i] = 1
	}
	for _, u := range r.Readings {
		if u.Print != "" && !slices.Contains(l.From, u.Print) {
			l.From = append(l.From, u.Print)
		}
	}
	sort.Strings(l.From)
	l.Say = r.say()
	for i := range l.Factors {
		l.Factors[i].Why = "learned from " + l.Say
		if !r.Factors[at[i]].Told {
			l.Factors[i].Why = tune.Carried + l.Factors[i].Why
		}
	}
	r.Lesson = l
}

// say counts the readings in words: "3 level speeds, 2 bench rows".
func (r *Result) say() string {
	n := map[Kind]int{}
	rows := map[string]bool{}
	for _, u := range r.Readings {
		switch u.Kind {
		case BenchRevs, BenchAmps, BenchPull:
			rows[u.From+fmt.Sprint(u.Row)] = true
		default:
			n[u.Kind]++
		}
	}
	var out []string
	for _, k := range []struct {
		kind      Kind
		one, many string
	}{
		{LevelSpeed, "level speed", "level speeds"}, {LevelRevs, "reading of revs in flight", "readings of revs in flight"},
		{LevelAmps, "current in flight", "currents in flight"}, {GlideSink, "glide", "glides"}, {Stall, "stall", "stalls"},
		{Trim, "trim", "trims"}, {Attitude, "angle of attack", "angles of attack"}, {CordPull, "pull of the cord", "pulls of the cord"},
		{Release, "release speed", "release speeds"}, {RingAngle, "ring test", "ring tests"}, {PackOhms, "pack resistance", "pack resistances"},
	} {
		switch c := n[k.kind]; {
		case c == 1:
			out = append(out, "1 "+k.one)
		case c > 1:
			out = append(out, fmt.Sprintf("%d %s", c, k.many))
		}
	}
	switch c := len(rows); {
	case c == 1:
		out = append(out, "1 bench row")
	case c > 1:
		out = append(out, fmt.Sprintf("%d bench rows", c))
	}
	return strings.Join(out, ", ")
}
