// Package learn turns evidence into learned factors: what flights, bench rows,
// pull tests and the record of launches say of drag, lift, propeller, motor,
// battery, bungee, hook and hand, with the doubt that is left.
//
// Prior: the doubts of the build and of the models as an untaught check has
// them. Posterior: normal around the most probable values (Gauss-Newton on
// whitened parameters). Each kind of reading carries a share that the model
// itself may be off by, common to all readings of the kind, so that a hundred
// passes do not make a drag known to a thousandth.
//
// Four things are refused, with the reason: factors that the data do not
// tell, data that contradict each other, data that contradict the aeroplane,
// and readings that say nothing (a motor that was off in a speed run). A
// single bad reading is set aside by name when it is plain which one it is.
//
// The order of the readings does not matter: the same set gives the same
// bytes. No reading gives the prior back exactly.
package learn

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"fledge/internal/num"
	"fledge/internal/tune"
)

// Param is one unknown with its prior.
type Param struct {
	Key, Label string
	Mean, SD   float64
	// Log: the logarithm is normal around log Mean with standard deviation SD.
	Log bool
	// Nuisance: takes its share of the doubt and is not reported.
	Nuisance bool
}

// at is the value at standard score z.
func (p *Param) at(z float64) float64 {
	if p.Log {
		return p.Mean * math.Exp(p.SD*z)
	}
	return p.Mean + p.SD*z
}

// spread is the standard deviation of the value at score z and spread s of it.
func (p *Param) spread(z, s float64) float64 {
	if p.Log {
		return p.at(z) * p.SD * s
	}
	return p.SD * s
}

// Datum is one number read, with its standard deviation.
type Datum struct {
	Key       string // what it is, unique for what is a reading of its own
	Value, SD float64
}

// Problem is a fit.
type Problem struct {
	Params []Param
	// Corr is the prior correlation of the parameters; nil: none.
	Corr [][]float64
	Data []Datum
	// Predict fills y with what the model says of each datum at parameter
	// values x; NaN where it has no answer. It must not keep x or y.
	Predict func(x, y []float64)
	// Step of the differences, in standard deviations of the prior; 0: 0.02.
	Step float64
}

// The gates of the fit. Our choices, with the reason.
const (
	// toldShare is the share of a factor's variance that the data must take
	// away before the data and not the prior are said to tell it: 0.6 leaves
	// 63 % of the prior spread. One reading cannot tell two factors so.
	toldShare = 0.6
	// strange is the standardised leave-one-out residual past which a single
	// reading is looked at: passed by chance by 1 reading in 2000.
	strange = 3.5
	// unlikely is the chance below which the data as a whole contradict.
	unlikely = 0.002
	// plain is by how much the sum of squares without the bad reading must
	// beat that without any other: a likelihood ratio of exp(3) = 20.
	plain = 6.0
	// asideShare of the readings may be set aside, and one always.
	asideShare = 0.2
)

// Word says how a fit ended.
type Word string

// The ends of a fit.
const (
	Learned  Word = "learned"
	Nothing  Word = "no evidence"
	Untold   Word = "not told"    // the data tell no factor
	Quarrel  Word = "contradicts" // each other
	Stranger Word = "other"       // they agree with each other, not with this aeroplane
	Failed   Word = "failed"      // the search did not converge
)

// Aside is a reading that was set aside.
type Aside struct {
	Datum    int
	Expected float64 // what the others say
	SD       float64 // of the difference
	Why      string
}

// Post is the posterior. Indices of data are those of the problem given.
type Post struct {
	Word   Word
	Why    string // of a refusal
	Params []Param
	Z      []float64   // most probable standard scores
	Cov    [][]float64 // of the scores; the prior's correlation when nothing was learned
	Told   []float64   // share of each variance that the data took away
	Used   []int
	Aside  []Aside
	Chi2   float64 // sum of squares, priors in it
	P      float64 // chance of a sum as large when model and doubts are right
	Fit    []float64
	Score  []float64 // leave-one-out residual of each used datum, standardised
	// Moved[i][k]: how far datum Used[i] moved the score of parameter k, and
	// Shrunk[i][k] by how much its going would widen it, both by linearisation.
	Moved, Shrunk [][]float64
	// FitSD is the standard deviation of what the model says of each used datum
	// now, PriorSD before, both by the slopes at the most probable values; the
	// share that the model itself may be off by is in them, the reading's own
	// error is not.
	FitSD, PriorSD []float64
	slope          *mat.Dense
}

// Value and SD of parameter k.
func (p *Post) Value(k int) float64 { return p.Params[k].at(p.Z[k]) }

// SD is the posterior standard deviation of parameter k.
func (p *Post) SD(k int) float64 {
	return p.Params[k].spread(p.Z[k], math.Sqrt(p.Cov[k][k]))
}

// prior is the posterior of no data: the prior, bit for bit.
func (q *Problem) prior() *Post {
	n := len(q.Params)
	p := &Post{Word: Nothing, Params: q.Params, Z: make([]float64, n), Told: make([]float64, n), Cov: identity(n), P: 1}
	if q.Corr != nil {
		for i := range q.Corr {
			copy(p.Cov[i], q.Corr[i])
		}
	}
	return p
}

func identity(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		m[i][i] = 1
	}
	return m
}

// fitting is one search over some of the data, in the order of the problem.
type fitting struct {
	q    *Problem
	root [][]float64
	use  []int
	x, y []float64
}

func (f *fitting) score(u, z []float64) {
	for i := range z {
		z[i] = 0
		if f.root == nil {
			z[i] = u[i]
			continue
		}
		for j := 0; j <= i; j++ {
			z[i] += f.root[i][j] * u[j]
		}
	}
}

// residual: data first, then the whitened parameters themselves.
func (f *fitting) residual(u, r []float64) {
	z := make([]float64, len(u))
	f.score(u, z)
	for k := range z {
		f.x[k] = f.q.Params[k].at(z[k])
	}
	f.q.Predict(f.x, f.y)
	for i, d := range f.use {
		r[i] = (f.y[d] - f.q.Data[d].Value) / f.q.Data[d].SD
	}
	copy(r[len(f.use):], u)
}

func (f *fitting) slopes(u []float64, j *mat.Dense) {
	m, n := len(f.use), len(u)
	step := f.q.Step
	if step == 0 {
		step = 0.02
	}
	up, down := make([]float64, m+n), make([]float64, m+n)
	for k := range u {
		keep := u[k]
		u[k] = keep + step
		f.residual(u, up)
		u[k] = keep - step
		f.residual(u, down)
		u[k] = keep
		for i := range m {
			s := (up[i] - down[i]) / (2 * step)
			if math.IsNaN(s) || math.IsInf(s, 0) {
				s = 0
			}
			j.Set(i, k, s)
		}
		for i := range n {
			j.Set(m+i, k, 0)
		}
		j.Set(m+k, k, 1)
	}
}

// solved is a finished search in whitened coordinates.
type solved struct {
	ok    bool
	u     []float64
	chi2  float64
	p     float64
	cov   *mat.SymDense
	slope *mat.Dense // of the used data
	r     []float64
	t     []float64 // leave-one-out scores
	lever []float64
}

func (f *fitting) solve(start []float64) *solved {
	m, n := len(f.use), len(f.q.Params)
	opt := num.FitOptions{Sigma: 1, Tol: 1e-9, MaxIter: 80, Scale: ones(n), Jacobian: f.slopes}
	res := num.Fit(f.residual, start, m+n, opt)
	s := &solved{u: res.P, chi2: res.RSS, cov: res.Cov}
	// A large sum of squares is judged below, with its reason; here only
	// whether the search came to rest at a place with a covariance.
	s.ok = res.Cov != nil && res.Status != num.FitUnfinished && res.Status != num.FitNotFinite
	if !s.ok {
		return s
	}
	s.p = distuv.ChiSquared{K: float64(m)}.Survival(s.chi2)
	full := mat.NewDense(m+n, n, nil)
	f.slopes(s.u, full)
	s.slope = mat.DenseCopyOf(full.Slice(0, m, 0, n))
	all := make([]float64, m+n)
	f.residual(s.u, all)
	s.r = all[:m]
	s.t, s.lever = make([]float64, m), make([]float64, m)
	for i := range m {
		row := s.slope.RowView(i)
		s.lever[i] = math.Min(mat.Inner(row, s.cov, row), 1-1e-12)
		s.t[i] = s.r[i] / math.Sqrt(1-s.lever[i])
	}
	return s
}

func ones(n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = 1
	}
	return s
}

// Solve fits. It panics on a datum without a positive spread or a parameter
// that is no number; everything else is said in Word and Why.
//
// Method: Gauss-Newton with damping (internal/num, checked on the NIST
// reference sets) on the sum of squares of whitened residuals and priors. Its
// minimum is, for a linear model, the squared distance of the data from what
// the prior predicts and so has the chi-square law with as many degrees of
// freedom as there are data: the posterior predictive check. A sum with a
// chance below 0.002, or one reading more than 3.5 of its own doubts from
// what the others say, is looked into: if leaving one reading out mends it,
// and no other would do as well, that reading is set aside by name; if not,
// nothing is learned.
func (q *Problem) Solve() *Post {
	for _, d := range q.Data {
		if !(d.SD > 0) || math.IsNaN(d.Value) || math.IsInf(d.Value, 0) {
			panic(fmt.Sprintf("learn: datum %q: %g ± %g", d.Key, d.Value, d.SD))
		}
	}
	for _, p := range q.Params {
		if !(p.SD > 0) || p.Log && !(p.Mean > 0) {
			panic(fmt.Sprintf("learn: parameter %q: %g ± %g", p.Key, p.Mean, p.SD))
		}
	}
	p := q.prior()
	f := &fitting{q: q, x: make([]float64, len(q.Params)), y: make([]float64, len(q.Data))}
	if q.Corr != nil {
		root, ok := tune.Root(q.Corr)
		if !ok {
			panic("learn: an impossible prior correlation")
		}
		f.root = root
	}
	// Canonical order: the same set, the same bytes.
	order := make([]int, len(q.Data))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &q.Data[a], &q.Data[b]
		return cmp.Or(cmp.Compare(x.Key, y.Key), cmp.Compare(x.Value, y.Value), cmp.Compare(x.SD, y.SD))
	})
	zero := make([]float64, len(q.Params))
	for k := range zero {
		f.x[k] = q.Params[k].at(0)
	}
	q.Predict(f.x, f.y)
	for _, d := range order {
		if math.IsNaN(f.y[d]) || math.IsInf(f.y[d], 0) {
			p.Aside = append(p.Aside, Aside{Datum: d, Expected: math.NaN(), SD: math.NaN(), Why: "the model has no answer for it"})
			continue
		}
		f.use = append(f.use, d)
	}
	if len(f.use) == 0 {
		if len(q.Data) > 0 {
			p.Word, p.Why = Untold, "the model has an answer for none of the readings"
		}
		return p
	}
	s := f.solve(zero)
	most := max(1, int(asideShare*float64(len(f.use))))
	for len(p.Aside) < most && s.ok && !s.calm() {
		best := f.without(s)
		if best < 0 {
			break
		}
		d := f.use[best]
		others := fitting{q: q, root: f.root, x: f.x, y: f.y, use: slices.Delete(slices.Clone(f.use), best, best+1)}
		next := others.solve(zero)
		if !next.ok {
			break
		}
		a := Aside{Datum: d}
		a.Expected, a.SD = others.expects(next, d)
		a.Why = "fits neither the other readings nor what the build says"
		p.Aside = append(p.Aside, a)
		*f, s = others, next
	}
	p.Used = f.use
	if !s.ok {
		p.Word, p.Why = Failed, "the search for the most probable factors did not come to rest"
		return p
	}
	p.Chi2, p.P = s.chi2, s.p
	f.fill(p, s)
	if !s.calm() {
		f.refuse(p, s)
		return p
	}
	told := false
	for k := range p.Params {
		told = told || !p.Params[k].Nuisance && p.Told[k] >= toldShare
	}
	p.Word = Learned
	if !told {
		p.Word = Untold
	}
	return p
}

// calm says whether the data are what the model and its doubts allow.
func (s *solved) calm() bool {
	if s.p < unlikely {
		return false
	}
	for _, t := range s.t {
		if math.Abs(t) > strange {
			return false
		}
	}
	return true
}

// without names the reading (its place in use) that alone is bad, −1 when
// none is plainly so. By linearisation, leaving out i lowers the sum of
// squares by t_i²; all that come near are tried.
func (f *fitting) without(s *solved) int {
	if len(f.use) < 3 {
		return -1
	}
	place := make([]int, len(f.use))
	for i := range place {
		place[i] = i
	}
	slices.SortStableFunc(place, func(a, b int) int { return cmp.Compare(math.Abs(s.t[b]), math.Abs(s.t[a])) })
	type tried struct {
		at   int
		chi2 float64
		calm bool
	}
	var list []tried
	zero := make([]float64, len(f.q.Params))
	for _, at := range place[:min(3, len(place))] {
		g := fitting{q: f.q, root: f.root, x: f.x, y: f.y, use: slices.Delete(slices.Clone(f.use), at, at+1)}
		if r := g.solve(zero); r.ok {
			list = append(list, tried{at, r.chi2, r.calm()})
		}
	}
	slices.SortStableFunc(list, func(a, b tried) int { return cmp.Compare(a.chi2, b.chi2) })
	if len(list) < 2 || list[1].chi2-list[0].chi2 < plain {
		return -1
	}
	return list[0].at
}

// expects is what a solved fit says of a datum that is not in it, and the
// standard deviation of the difference.
func (f *fitting) expects(s *solved, datum int) (value, sd float64) {
	g := fitting{q: f.q, root: f.root, x: f.x, y: f.y, use: []int{datum}}
	n := len(f.q.Params)
	j := mat.NewDense(1+n, n, nil)
	u := slices.Clone(s.u)
	g.slopes(u, j)
	r := make([]float64, 1+n)
	g.residual(u, r)
	row := j.RowView(0)
	one := f.q.Data[datum].SD
	return f.q.Data[datum].Value + r[0]*one, one * math.Sqrt(1+mat.Inner(row, s.cov, row))
}

// fill carries a solution from whitened coordinates into the posterior.
func (f *fitting) fill(p *Post, s *solved) {
	n, m := len(p.Params), len(f.use)
	f.score(s.u, p.Z)
	root := f.root
	if root == nil {
		root = identity(n)
	}
	l := mat.NewDense(n, n, nil)
	for i := range root {
		l.SetRow(i, root[i])
	}
	var c, lc mat.Dense
	lc.Mul(l, s.cov)
	c.Mul(&lc, l.T())
	for i := range n {
		for j := range n {
			p.Cov[i][j] = (c.At(i, j) + c.At(j, i)) / 2
		}
		before := 1.0
		if f.q.Corr != nil {
			before = f.q.Corr[i][i]
		}
		p.Told[i] = 1 - p.Cov[i][i]/before
	}
	p.Score = s.t
	p.Fit, p.FitSD, p.PriorSD = make([]float64, m), make([]float64, m), make([]float64, m)
	p.Moved, p.Shrunk = make([][]float64, m), make([][]float64, m)
	for i, d := range f.use {
		p.Fit[i] = f.q.Data[d].Value + s.r[i]*f.q.Data[d].SD
		p.FitSD[i] = math.Sqrt(math.Max(0, s.lever[i])) * f.q.Data[d].SD
		p.PriorSD[i] = mat.Norm(s.slope.RowView(i), 2) * f.q.Data[d].SD // whitened: the prior has unit spread
		// Without datum i the whitened solution moves by C Jᵢ rᵢ/(1−hᵢ) and its
		// covariance grows by C Jᵢᵀ Jᵢ C/(1−hᵢ).
		var g mat.VecDense
		g.MulVec(&lc, s.slope.RowView(i))
		p.Moved[i], p.Shrunk[i] = make([]float64, n), make([]float64, n)
		for k := range n {
			p.Moved[i][k] = -g.AtVec(k) * s.r[i] / (1 - s.lever[i])
			grown := p.Cov[k][k] + g.AtVec(k)*g.AtVec(k)/(1-s.lever[i])
			p.Shrunk[i][k] = math.Sqrt(grown) - math.Sqrt(p.Cov[k][k])
		}
	}
	p.slope = s.slope
}

// refuse says why nothing is learned. The prior is widened five times: data
// that agree then agree with each other and not with this aeroplane.
func (f *fitting) refuse(p *Post, s *solved) {
	wide := *f.q
	wide.Params = slices.Clone(f.q.Params)
	for k := range wide.Params {
		if !wide.Params[k].Nuisance {
			wide.Params[k].SD *= 5
		}
	}
	wide.Step = f.q.Step / 5
	if f.q.Step == 0 {
		wide.Step = 0.004
	}
	g := fitting{q: &wide, root: f.root, use: f.use, x: make([]float64, len(f.x)), y: make([]float64, len(f.y))}
	w := g.solve(make([]float64, len(f.x)))
	z := make([]float64, len(f.x))
	if w.ok {
		g.score(w.u, z)
	}
	far, much := -1, 0.0
	for k := range z {
		if v := math.Abs(5 * z[k]); !wide.Params[k].Nuisance && v > much {
			far, much = k, v
		}
	}
	if w.ok && w.calm() && far >= 0 {
		p.Word = Stranger
		was := &f.q.Params[far]
		p.Why = fmt.Sprintf("the readings agree with each other but not with this aeroplane: %s would have to be %.3g where %.3g ± %.2g is expected. Is it another aeroplane, propeller or pack, or is the build file wrong?",
			was.Label, wide.Params[far].at(z[far]), was.Mean, 2*was.spread(0, 1))
	} else {
		p.Word = Quarrel
		worst := 0
		for i := range s.t {
			if math.Abs(s.t[i]) > math.Abs(s.t[worst]) {
				worst = i
			}
		}
		d := &f.q.Data[f.use[worst]]
		p.Why = fmt.Sprintf("the readings contradict each other, and nothing tells which is wrong: %s reads %.4g where the others say %.4g", d.Key, d.Value, d.Value+s.r[worst]/(1-s.lever[worst])*d.SD)
	}
	// What was found on the way is not the posterior.
	copyOf := f.q.prior()
	p.Z, p.Cov, p.Told = copyOf.Z, copyOf.Cov, copyOf.Told
	p.Moved, p.Shrunk, p.slope = nil, nil, nil
}
