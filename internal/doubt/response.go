package doubt

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/num"
)

// Response is a smooth description of how a result depends on its inputs,
// fitted to draws already made: a polynomial of second order in the normal
// scores of the inputs, with squares of all inputs and products of the
// strongest ones. For a yes-or-no result the polynomial is the log odds
// (logistic regression), else the value itself. Cheap to evaluate, it stands
// in for the real thing where that would be too slow: sensitivity from given
// draws, and the odds that go with a fixed ignorance.
type Response struct {
	Logistic bool
	R2       float64 // share of the variance of the draws it explains, corrected for its terms
	Rank     int     // terms
	dim, ni  int
	active   []int    // inputs that vary
	squares  []int    // inputs with a square, as indices into active
	pairs    [][2]int // products, as indices into active
	coef     []float64
	cov      *mat.SymDense // of the coefficients
	mean     float64
	stands   []bool // by input
}

// Stands tells whether the effect of input k stands out of chance by itself:
// one input in two hundred without any effect would.
func (r *Response) Stands(k int) bool { return r.stands[k] }

// standing: the statistic of an input without effect is Rayleigh distributed.
const standing = 3.3

// FitResponse fits uniform points u[i] (in (0, 1), all of equal length) to
// results y[i]; logistic for results that are 0 or 1 only. Inputs that are
// the same in all draws are left out. It needs at least 8 draws per input
// and 64 in all, and both outcomes at least 5 times when logistic: else nil.
//
// The first ni inputs are ignorance, the rest scatter. How large coefficients
// are is learned from the draws by kind (linear, squares and products, of
// ignorance, scatter or both): each kind has a normal prior whose width
// maximises the evidence (MacKay 1992), so that terms without effect add no
// noise and real ones are hardly drawn in.
func FitResponse(u [][]float64, y []float64, ni int, logistic bool) *Response {
	n := len(y)
	if len(u) != n || n == 0 {
		panic("doubt: response to nothing")
	}
	r := &Response{Logistic: logistic, dim: len(u[0]), ni: ni}
	for k := range r.dim {
		for i := range u {
			if u[i][k] != u[0][k] {
				r.active = append(r.active, k)
				break
			}
		}
	}
	if n < 64 || n < 8*len(r.active) {
		return nil
	}
	var ones float64
	for _, v := range y {
		if logistic && v != 0 && v != 1 {
			panic("doubt: a logistic response to a value that is not 0 or 1")
		}
		ones += v
	}
	r.mean = ones / float64(n)
	if logistic && (ones < 5 || float64(n)-ones < 5) {
		return nil
	}
	// What there is to learn from: for a yes or no, the rarer of the two.
	events := float64(n)
	if logistic {
		events = math.Min(ones, float64(n)-ones)
	}
	r.screen(u, y, events)
	z := make([][]float64, n)
	for i := range z {
		z[i] = make([]float64, len(r.active))
		r.scores(u[i], z[i])
	}
	if !r.fit(z, y, 40) {
		return nil
	}
	return r
}

// screen keeps the inputs that show in the draws, strongest first by how the
// result goes with their score and its square, and chooses the terms: a line
// for as many inputs as there are three events each, a square for an eighth
// of the events, products among the strongest few. A term more costs more by
// its noise than it explains (tested on real and synthetic launches).
func (r *Response) screen(u [][]float64, y []float64, events float64) {
	n := float64(len(y))
	stat := make([]float64, r.dim)
	r.stands = make([]bool, r.dim)
	unit := 0.0 // deviation of a statistic by chance
	for _, v := range y {
		unit += (v - r.mean) * (v - r.mean)
	}
	unit = math.Sqrt(unit) / n
	for _, k := range r.active {
		var lin, sq float64
		for i := range u {
			z := num.NormalQuantile(u[i][k])
			lin += (y[i] - r.mean) * z
			sq += (y[i] - r.mean) * (z*z - 1) * (math.Sqrt2 / 2)
		}
		stat[k] = math.Hypot(lin, sq) / n
		r.stands[k] = stat[k] > standing*unit
	}
	sort.SliceStable(r.active, func(a, b int) bool { return stat[r.active[a]] > stat[r.active[b]] })
	r.active = r.active[:min(len(r.active), most, max(fewest, int(events/3)))]
	strong := append([]int(nil), r.active...)
	sort.Ints(r.active)
	place := map[int]int{}
	for j, k := range r.active {
		place[k] = j
	}
	for _, k := range strong[:min(len(strong), mostSquares, max(fewest/2, int(events/8)))] {
		r.squares = append(r.squares, place[k])
	}
	sort.Ints(r.squares)
	few := strong[:min(len(strong), strongest, max(2, int(math.Sqrt(events/4))))]
	for q := range few {
		for p := range q {
			a, b := place[few[p]], place[few[q]]
			r.pairs = append(r.pairs, [2]int{min(a, b), max(a, b)})
		}
	}
}

// Sizes of a response: inputs with a term at all, with a square, and with
// products among each other; at least so many.
const (
	most, mostSquares = 60, 16
	strongest, fewest = 7, 8
)

func (r *Response) scores(u, z []float64) {
	for j, k := range r.active {
		z[j] = num.NormalQuantile(u[k])
	}
}

func (r *Response) terms() int { return 1 + len(r.active) + len(r.squares) + len(r.pairs) }

// basis: constant, linear, Hermite squares, products; unit variance each.
func (r *Response) basis(z, b []float64) {
	b[0] = 1
	copy(b[1:], z)
	b = b[1+len(z):]
	for j, k := range r.squares {
		b[j] = (z[k]*z[k] - 1) * (math.Sqrt2 / 2)
	}
	b = b[len(r.squares):]
	for k, p := range r.pairs {
		b[k] = z[p[0]] * z[p[1]]
	}
}

// kinds sorts the terms into kinds that share a prior; 0 is the constant,
// which has none.
func (r *Response) kinds() (kind []int, n int) {
	a := len(r.active)
	known := func(k int) int { // 0 ignorance, 1 scatter
		if r.active[k] < r.ni {
			return 0
		}
		return 1
	}
	kind = make([]int, r.terms())
	for k := range a {
		kind[1+k] = 1 + known(k)
	}
	q := 1 + a
	for j, k := range r.squares {
		kind[q+j] = 3 + known(k)
	}
	q += len(r.squares)
	for j, p := range r.pairs {
		kind[q+j] = 5 + known(p[0]) + known(p[1])
	}
	return kind, 8
}

// Bounds on the precision of a prior (in log odds, or in standard deviations
// of the result): coefficients up to about 10, and down to 0.003.
const loosest, tightest = 0.01, 1e5

// fit finds coefficients and priors in turn: Newton's steps to the largest
// posterior, each halved until it climbs, then the priors of greatest evidence
// for these coefficients. It reports whether it settled.
func (r *Response) fit(z [][]float64, y []float64, rounds int) bool {
	n, t := len(y), r.terms()
	coef := make([]float64, t)
	if r.Logistic {
		coef[0] = math.Log(r.mean / (1 - r.mean))
	} else {
		coef[0] = r.mean
	}
	X := make([]float64, n*t)
	for i := range z {
		r.basis(z[i], X[i*t:(i+1)*t])
	}
	h := mat.NewSymDense(t, nil)
	hd := h.RawSymmetric().Data
	g := make([]float64, t)
	var chol mat.Cholesky
	step := mat.NewVecDense(t, nil)
	kind, kinds := r.kinds()
	alpha := make([]float64, kinds)
	for k := range alpha {
		alpha[k] = 1
	}
	noise := 1.0 // variance of a residual when not logistic
	if !r.Logistic {
		var v float64
		for _, q := range y {
			v += (q - r.mean) * (q - r.mean) / float64(n)
		}
		noise = v
		if !(v > 0) {
			noise = 1
		}
		for k := range alpha {
			alpha[k] /= noise
		}
	}
	unit := noise // precision bounds are relative to the spread of the result
	weight, eta := make([]float64, n), make([]float64, n)
	var ss float64
	// climb is the logarithm of the posterior but for a constant; it fills eta.
	climb := func(c []float64) float64 {
		var l float64
		ss = 0
		for i := range y {
			var e float64
			for k, v := range X[i*t : (i+1)*t] {
				e += v * c[k]
			}
			eta[i] = e
			if r.Logistic {
				l += y[i]*e - softplus(e)
			} else {
				ss += (y[i] - e) * (y[i] - e)
			}
		}
		if !r.Logistic {
			l = -ss / (2 * noise)
		}
		for a := 1; a < t; a++ {
			l -= 0.5 * alpha[kind[a]] * c[a] * c[a]
		}
		return l
	}
	r.cov = mat.NewSymDense(t, nil)
	trial := make([]float64, t)
	now := climb(coef)
	for range rounds {
		clear(hd)
		clear(g)
		for i := range y {
			w, res := 1/noise, (y[i]-eta[i])/noise
			if r.Logistic {
				p := logistic(eta[i])
				w, res = math.Max(p*(1-p), 1e-9), y[i]-p
			}
			for a, va := range X[i*t : (i+1)*t] {
				g[a] += res * va
			}
			weight[i] = w
		}
		gram(hd, X, weight, t)
		for a := 1; a < t; a++ {
			hd[a*t+a] += alpha[kind[a]]
			g[a] -= alpha[kind[a]] * coef[a]
		}
		if !chol.Factorize(h) {
			return false
		}
		if err := chol.SolveVecTo(step, mat.NewVecDense(t, g)); err != nil {
			if _, ok := err.(mat.Condition); !ok {
				return false
			}
		}
		better := false
		for damp := 1.0; damp > 1e-3; damp /= 2 {
			for a := range t {
				trial[a] = coef[a] + damp*step.AtVec(a)
			}
			if l := climb(trial); l >= now-1e-9*math.Abs(now) {
				better = l > now+1e-4*math.Max(1, math.Abs(now)*1e-2)
				now = l
				copy(coef, trial)
				break
			}
		}
		if better {
			continue // not at the top for these priors yet
		}
		if err := chol.InverseTo(r.cov); err != nil {
			if _, ok := err.(mat.Condition); !ok {
				return false
			}
		}
		// evidence: precision of each kind, and the noise
		moved := 0.0
		known := make([]float64, kinds) // well-determined terms of each kind
		size := make([]float64, kinds)
		for a := 1; a < t; a++ {
			k := kind[a]
			known[k] += 1 - alpha[k]*r.cov.At(a, a)
			size[k] += coef[a] * coef[a]
		}
		all := 1.0
		for k := 1; k < kinds; k++ {
			all += known[k]
			if size[k] > 0 || known[k] > 0 {
				next := math.Min(math.Max(known[k]/math.Max(size[k], 1e-300), loosest/unit), tightest/unit)
				moved = math.Max(moved, math.Abs(math.Log(next/alpha[k])))
				alpha[k] = next
			}
		}
		if !r.Logistic {
			next := math.Max(ss/math.Max(1, float64(n)-all), 1e-18*unit)
			moved = math.Max(moved, math.Abs(math.Log(next/noise)))
			noise = next
		}
		if moved < 0.1 {
			break
		}
		now = climb(coef)
	}
	climb(coef)
	r.coef, r.Rank = coef, t
	// explained share, corrected for the number of terms
	var left, tot float64
	for i := range y {
		p := eta[i]
		if r.Logistic {
			p = logistic(p)
		}
		left += (y[i] - p) * (y[i] - p)
		tot += (y[i] - r.mean) * (y[i] - r.mean)
	}
	r.R2 = 1 - left/tot*float64(n-1)/float64(max(1, n-t))
	return true
}

// softplus is ln(1 + exp x).
func softplus(x float64) float64 {
	if x > 30 {
		return x
	}
	return math.Log1p(math.Exp(x))
}

// gram adds sum over rows of w x x' to the upper half of h, four rows at a
// time: this is where the time of a fit goes.
func gram(h, X, w []float64, t int) {
	n := len(w)
	i := 0
	for ; i+4 <= n; i += 4 {
		x0, x1, x2, x3 := X[i*t:(i+1)*t], X[(i+1)*t:(i+2)*t], X[(i+2)*t:(i+3)*t], X[(i+3)*t:(i+4)*t]
		for a := range t {
			c0, c1, c2, c3 := w[i]*x0[a], w[i+1]*x1[a], w[i+2]*x2[a], w[i+3]*x3[a]
			row := h[a*t+a : a*t+t]
			y0, y1, y2, y3 := x0[a:], x1[a:], x2[a:], x3[a:]
			y0, y1, y2, y3 = y0[:len(row)], y1[:len(row)], y2[:len(row)], y3[:len(row)]
			for b := range row {
				row[b] += c0*y0[b] + c1*y1[b] + c2*y2[b] + c3*y3[b]
			}
		}
	}
	for ; i < n; i++ {
		x := X[i*t : (i+1)*t]
		for a := range t {
			for b := a; b < t; b++ {
				h[a*t+b] += w[i] * x[a] * x[b]
			}
		}
	}
}

func logistic(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// At is the response to uniform points u: the value, or the odds (0..1) when
// logistic.
func (r *Response) At(u []float64) float64 {
	if len(u) != r.dim {
		panic(fmt.Sprintf("doubt: %d inputs for a response to %d", len(u), r.dim))
	}
	z, b := make([]float64, len(r.active)), make([]float64, r.terms())
	r.scores(u, z)
	r.basis(z, b)
	return r.value(b)
}

func (r *Response) value(b []float64) float64 {
	var eta float64
	for k, v := range b {
		eta += v * r.coef[k]
	}
	if r.Logistic {
		return logistic(eta)
	}
	return eta
}

// Shares are the sensitivity indices of the response itself, over all of its
// inputs. Trust them as far as R2.
func (r *Response) Shares(n int, seed uint64) Sensitivity {
	return Indices(r.dim, n, seed, r.At)
}

// Worlds describes how the mean of the response over the scatter inputs
// varies with the ignorance inputs.
type Worlds struct {
	Values []float64 // mean response of each world, sorted
	Mean   float64
	SD     float64 // standard deviation, doubt of the coefficients included
	Raw    float64 // without the doubt of the coefficients
	widen  float64
	r      *Response
	ni     int
	inner  []float64 // scores of the scatter points, flat
	ns     int
}

// Worlds evaluates the response in m worlds, each averaged over s scatter
// points (the same for all). The fitted coefficients are drawn in a little by
// their priors, which lessens the spread of the worlds; by how much, on
// average, is what their covariance says, and the spread is widened by that.
func (r *Response) Worlds(m, s int, seed uint64) Worlds {
	w := Worlds{r: r, ni: r.ni, ns: s, widen: 1}
	a := len(r.active)
	// scatter scores
	w.inner = make([]float64, s*a)
	u := make([]float64, r.dim)
	seq := num.NewSobol(r.dim, num.Hash(seed, 5))
	for i := range s {
		seq.Point(uint64(i), u)
		r.scores(u, w.inner[i*a:(i+1)*a])
	}
	outer := num.NewSobol(r.dim, num.Hash(seed, 6))
	z, b := make([]float64, a), make([]float64, r.terms())
	t := r.terms()
	grads := make([]float64, m*t)
	gm := make([]float64, t)
	vals := make([]float64, m)
	for j := range m {
		outer.Point(uint64(j), u)
		r.scores(u, z)
		vals[j] = w.world(z, b, grads[j*t:(j+1)*t])
		w.Mean += vals[j] / float64(m)
		for k := range gm {
			gm[k] += grads[j*t+k] / float64(m)
		}
	}
	var v, noise float64
	d := mat.NewVecDense(t, nil)
	cd := mat.NewVecDense(t, nil)
	for j := range m {
		v += (vals[j] - w.Mean) * (vals[j] - w.Mean) / float64(m)
		for k := range gm {
			d.SetVec(k, grads[j*t+k]-gm[k])
		}
		cd.MulVec(r.cov, d)
		noise += mat.Dot(d, cd) / float64(m)
	}
	w.Raw = math.Sqrt(v)
	if v > 0 {
		w.widen = math.Sqrt(1 + noise/v)
	}
	w.SD = w.Raw * w.widen
	for j := range vals {
		vals[j] = w.pull(vals[j])
	}
	sort.Float64s(vals)
	w.Values = vals
	return w
}

// pull moves a world's value away from the mean by the correction; odds
// on the scale of log odds, so that they stay between 0 and 1.
func (w *Worlds) pull(v float64) float64 {
	if !w.r.Logistic {
		return w.Mean + w.widen*(v-w.Mean)
	}
	if v <= 0 || v >= 1 || w.Mean <= 0 || w.Mean >= 1 {
		return v
	}
	lm := math.Log(w.Mean / (1 - w.Mean))
	return logistic(lm + w.widen*(math.Log(v/(1-v))-lm))
}

// world averages over the scatter points with the ignorance scores in z;
// grad, when not nil, gets the derivative by the coefficients.
func (w *Worlds) world(z, b, grad []float64) float64 {
	r := w.r
	a := len(r.active)
	first := 0 // number of active ignorance inputs
	for first < a && r.active[first] < w.ni {
		first++
	}
	var sum float64
	for i := range w.ns {
		copy(z[first:], w.inner[i*a+first:(i+1)*a])
		r.basis(z, b)
		p := r.value(b)
		sum += p
		if grad != nil {
			d := 1.0
			if r.Logistic {
				d = p * (1 - p)
			}
			d /= float64(w.ns)
			for k, v := range b {
				grad[k] += d * v
			}
		}
	}
	return sum / float64(w.ns)
}

// Shares are the sensitivity indices of the world's mean over the ignorance
// inputs: which unknown the odds hang on. First predicts how much of the
// variance of the odds goes when that input is measured exactly.
func (w *Worlds) Shares(n int, seed uint64) Sensitivity {
	r := w.r
	a := len(r.active)
	first := 0 // number of active ignorance inputs
	for first < a && r.active[first] < w.ni {
		first++
	}
	// Terms of scatter alone are the same in every world; products of an
	// unknown with a scatter input act through one slope per scatter input.
	own := make([]float64, w.ns)
	pair := 1 + a + len(r.squares)
	for i := range own {
		s := w.inner[i*a : (i+1)*a]
		for k := first; k < a; k++ {
			own[i] += r.coef[1+k] * s[k]
		}
		for j, k := range r.squares {
			if k >= first {
				own[i] += r.coef[1+a+j] * (s[k]*s[k] - 1) * (math.Sqrt2 / 2)
			}
		}
		for j, p := range r.pairs {
			if p[0] >= first && p[1] >= first {
				own[i] += r.coef[pair+j] * s[p[0]] * s[p[1]]
			}
		}
	}
	z, slope := make([]float64, first), make([]float64, a)
	var mixed []int // scatter inputs with such products
	for k := first; k < a; k++ {
		for _, p := range r.pairs {
			if min(p[0], p[1]) < first && max(p[0], p[1]) == k {
				mixed = append(mixed, k)
				break
			}
		}
	}
	return Indices(w.ni, n, seed, func(u []float64) float64 {
		eta := r.coef[0]
		for k := range z {
			z[k] = num.NormalQuantile(u[r.active[k]])
			eta += r.coef[1+k] * z[k]
		}
		for j, k := range r.squares {
			if k < first {
				eta += r.coef[1+a+j] * (z[k]*z[k] - 1) * (math.Sqrt2 / 2)
			}
		}
		clear(slope)
		for j, p := range r.pairs {
			lo, hi := min(p[0], p[1]), max(p[0], p[1])
			switch c := r.coef[pair+j]; {
			case hi < first:
				eta += c * z[lo] * z[hi]
			case lo < first:
				slope[hi] += c * z[lo]
			}
		}
		var sum float64
		for i, o := range own {
			e := eta + o
			s := w.inner[i*a : (i+1)*a]
			for _, k := range mixed {
				e += slope[k] * s[k]
			}
			if r.Logistic {
				e = logistic(e)
			}
			sum += e
		}
		return sum / float64(w.ns)
	})
}
