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
	dim      int
	active   []int    // inputs that vary
	pairs    [][2]int // products, as indices into active
	coef     []float64
	cov      *mat.SymDense // of the coefficients
	mean     float64
}

// FitResponse fits uniform points u[i] (in (0, 1), all of equal length) to
// results y[i]; logistic for results that are 0 or 1 only. Inputs that are
// the same in all draws are left out. It needs at least 8 draws per input
// and 64 in all, and both outcomes at least 5 times when logistic: else nil.
func FitResponse(u [][]float64, y []float64, logistic bool) *Response {
	n := len(y)
	if len(u) != n || n == 0 {
		panic("doubt: response to nothing")
	}
	r := &Response{Logistic: logistic, dim: len(u[0])}
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
	z := make([][]float64, n)
	for i := range z {
		z[i] = make([]float64, len(r.active))
		r.scores(u[i], z[i])
	}
	r.fit(z, y)
	if room := min(n/10, 150) - len(r.coef); room > 0 && len(r.active) > 1 {
		// products of the strongest inputs, as many as there is room for
		order := make([]int, len(r.active))
		for k := range order {
			order[k] = k
		}
		a := len(r.active)
		strength := func(k int) float64 { return math.Hypot(r.coef[1+k], r.coef[1+a+k]) }
		sort.SliceStable(order, func(p, q int) bool { return strength(order[p]) > strength(order[q]) })
		for q := 1; q < min(a, strongest) && room > 0; q++ {
			for p := 0; p < q && room > 0; p++ {
				r.pairs = append(r.pairs, [2]int{order[p], order[q]})
				room--
			}
		}
		r.fit(z, y)
	}
	return r
}

func (r *Response) scores(u, z []float64) {
	for j, k := range r.active {
		z[j] = num.NormalQuantile(u[k])
	}
}

func (r *Response) terms() int { return 1 + 2*len(r.active) + len(r.pairs) }

// basis: constant, linear, Hermite squares, products; unit variance each.
func (r *Response) basis(z, b []float64) {
	a := len(r.active)
	b[0] = 1
	for k, v := range z {
		b[1+k] = v
		b[1+a+k] = (v*v - 1) * (math.Sqrt2 / 2)
	}
	for k, p := range r.pairs {
		b[1+2*a+k] = z[p[0]] * z[p[1]]
	}
}

// strongest is the number of inputs among which products are taken.
const strongest = 7

// ridge is the weight of the prior on all terms but the constant: a standard
// deviation of about 3 in log odds, which keeps a separable fit finite.
const ridge = 0.1

func (r *Response) fit(z [][]float64, y []float64) {
	n, t := len(y), r.terms()
	coef := make([]float64, t)
	copy(coef, r.coef)
	if r.coef == nil && r.Logistic {
		coef[0] = math.Log(r.mean / (1 - r.mean))
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
	iters := 1
	if r.Logistic {
		iters = 30
	}
	for range iters {
		clear(hd)
		clear(g)
		for i := range y {
			x := X[i*t : (i+1)*t]
			eta := 0.0
			for k, v := range x {
				eta += v * coef[k]
			}
			w, res := 1.0, y[i]-eta
			if r.Logistic {
				p := logistic(eta)
				w, res = math.Max(p*(1-p), 1e-9), y[i]-p
			}
			for a, va := range x {
				g[a] += res * va
				wa := w * va
				row := hd[a*t : a*t+t]
				for b := a; b < t; b++ {
					row[b] += wa * x[b]
				}
			}
		}
		lam := ridge
		if !r.Logistic {
			lam = 1e-9 * float64(n)
		}
		for a := 1; a < t; a++ {
			hd[a*t+a] += lam
			g[a] -= lam * coef[a]
		}
		if !chol.Factorize(h) {
			for a := range t {
				hd[a*t+a] *= 1 + 1e-6
				hd[a*t+a] += 1e-9
			}
			if !chol.Factorize(h) {
				break
			}
		}
		if err := chol.SolveVecTo(step, mat.NewVecDense(t, g)); err != nil {
			if _, ok := err.(mat.Condition); !ok {
				break
			}
		}
		most := 0.0
		for a := range t {
			most = math.Max(most, math.Abs(step.AtVec(a)))
		}
		damp := 1.0
		if r.Logistic && most > 5 {
			damp = 5 / most
		}
		for a := range t {
			coef[a] += damp * step.AtVec(a)
		}
		if most < 1e-5 {
			break
		}
	}
	r.coef, r.Rank = coef, t
	r.cov = mat.NewSymDense(t, nil)
	_ = chol.InverseTo(r.cov)
	// explained share, corrected for the number of terms
	var ss, tot float64
	for i := range y {
		eta := 0.0
		for k, v := range X[i*t : (i+1)*t] {
			eta += v * coef[k]
		}
		p := eta
		if r.Logistic {
			p = logistic(eta)
		}
		ss += (y[i] - p) * (y[i] - p)
		tot += (y[i] - r.mean) * (y[i] - r.mean)
	}
	r.R2 = 1 - ss/tot*float64(n-1)/float64(max(1, n-t))
	if !r.Logistic {
		s2 := ss / float64(max(1, n-t))
		r.cov.ScaleSym(s2, r.cov)
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
	SD     float64 // corrected for the noise of the fit
	Raw    float64 // standard deviation before the correction
	shrink float64
	r      *Response
	ni     int
	inner  []float64 // scores of the scatter points, flat
	ns     int
}

// Worlds evaluates the response in m worlds, each averaged over s scatter
// points (the same for all). The first ni inputs are ignorance. The noise of
// the fitted coefficients widens the spread of the worlds; its expected part
// is computed from their covariance and taken out by drawing the worlds
// together.
func (r *Response) Worlds(ni, m, s int, seed uint64) Worlds {
	w := Worlds{r: r, ni: ni, ns: s, shrink: 1}
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
		w.shrink = math.Sqrt(math.Max(0, 1-noise/v))
	}
	w.SD = w.Raw * w.shrink
	for j := range vals {
		vals[j] = w.pull(vals[j])
	}
	sort.Float64s(vals)
	w.Values = vals
	return w
}

// pull draws a world's value towards the mean by the noise correction; odds
// on the scale of log odds, so that they stay between 0 and 1.
func (w *Worlds) pull(v float64) float64 {
	if !w.r.Logistic {
		return w.Mean + w.shrink*(v-w.Mean)
	}
	if v <= 0 || v >= 1 || w.Mean <= 0 || w.Mean >= 1 {
		return v
	}
	lm := math.Log(w.Mean / (1 - w.Mean))
	return logistic(lm + w.shrink*(math.Log(v/(1-v))-lm))
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
	z, b := make([]float64, len(r.active)), make([]float64, r.terms())
	first := 0
	for first < len(r.active) && r.active[first] < w.ni {
		first++
	}
	return Indices(w.ni, n, seed, func(u []float64) float64 {
		for j := range first {
			z[j] = num.NormalQuantile(u[r.active[j]])
		}
		return w.world(z, b, nil)
	})
}
