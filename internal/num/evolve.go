package num

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// EvolveOptions sets a search by [Evolve]; zero values mean the defaults.
type EvolveOptions struct {
	// Lower and Upper bound each coordinate; nil means none. With bounds the
	// search runs in coordinates scaled to the box, folded back at its walls
	// (a place beyond a wall is its mirror image inside): f is never asked
	// outside, and a minimum on a wall is found there.
	Lower, Upper []float64
	// Sigma is the first standard deviation: of x itself without bounds
	// (default 0.5), as a share of the box with them (default 0.25).
	Sigma    float64
	Lambda   int     // population, default 4 + floor(3 ln n)
	Seed     uint64  // of the random stream
	MaxEvals int     // default 1000 (n+1)^2, at least 2000
	Target   float64 // stop once f < Target; used when HasTarget
	// HasTarget switches Target on (a target of zero is a real one).
	HasTarget bool
	// Tol stops when the search distribution is narrower than this in every
	// coordinate (as a share of Sigma's unit) and the values of a generation
	// agree; default 1e-9.
	Tol float64
	// Restarts begins anew from start after coming to rest, each time with
	// twice the population and a fresh stream, and keeps the best: against
	// local minima. Default none. MaxEvals then bounds each search alone.
	Restarts int
	// Batch, when set, evaluates a whole generation at once instead of f
	// (places as rows); values must not depend on order.
	Batch func(places [][]float64, values []float64)
}

// Evolved is the outcome of [Evolve].
type Evolved struct {
	X     []float64 // best place asked
	F     float64
	Evals int
	OK    bool   // reached Target or came to rest; false when MaxEvals ran out or all values were NaN
	Why   string // in words
}

// Evolve minimises f by covariance matrix adaptation, the evolution strategy
// of Hansen & Ostermeier with weighted recombination, rank-one and rank-mu
// update and cumulative step-length adaptation, with the standard parameters
// published in Hansen's tutorial. For 1 to some 30 smooth or rough, not
// separable variables. NaN counts as the worst value. Repeatable: the same
// seed gives the same bits.
//
// Like every local method it may rest in a local minimum (Rosenbrock's
// function of five variables has one at f = 3.9308, found by about one seed
// in twenty): where that would hurt, use Restarts.
func Evolve(f func(x []float64) float64, start []float64, opt EvolveOptions) Evolved {
	best := evolve(f, start, opt)
	lambda := opt.Lambda
	if lambda == 0 {
		lambda = standardLambda(len(start))
	}
	for k := 1; k <= opt.Restarts && !(opt.HasTarget && best.F < opt.Target); k++ {
		o := opt
		o.Lambda = lambda << k
		o.Seed = Hash(opt.Seed, uint64(k))
		r := evolve(f, start, o)
		r.Evals += best.Evals
		if r.F < best.F {
			best = r
		} else {
			best.Evals = r.Evals
		}
	}
	return best
}

func standardLambda(n int) int { return max(2, 4+int(3*math.Log(float64(n)))) }

func evolve(f func(x []float64) float64, start []float64, opt EvolveOptions) Evolved {
	n := len(start)
	if n < 1 {
		panic("num: Evolve without variables")
	}
	box := opt.Lower != nil || opt.Upper != nil
	if box && (len(opt.Lower) != n || len(opt.Upper) != n) {
		panic(fmt.Sprintf("num: Evolve: %d variables, bounds %d and %d", n, len(opt.Lower), len(opt.Upper)))
	}
	N := float64(n)
	lambda := opt.Lambda
	if lambda == 0 {
		lambda = standardLambda(n)
	}
	lambda = max(2, lambda)
	if opt.Sigma == 0 {
		opt.Sigma = 0.5
		if box {
			opt.Sigma = 0.25
		}
	}
	if opt.MaxEvals == 0 {
		opt.MaxEvals = max(2000, 1000*(n+1)*(n+1))
	}
	if opt.Tol == 0 {
		opt.Tol = 1e-9
	}

	// Weights and learning rates (tutorial, table 1, positive weights).
	mu := lambda / 2
	w := make([]float64, mu)
	var sw, sw2 float64
	for i := range w {
		w[i] = math.Log(float64(lambda+1)/2) - math.Log(float64(i+1))
		sw += w[i]
	}
	for i := range w {
		w[i] /= sw
		sw2 += w[i] * w[i]
	}
	mueff := 1 / sw2
	cs := (mueff + 2) / (N + mueff + 5)
	ds := 1 + 2*math.Max(0, math.Sqrt((mueff-1)/(N+1))-1) + cs
	cc := (4 + mueff/N) / (N + 4 + 2*mueff/N)
	c1 := 2 / ((N+1.3)*(N+1.3) + mueff)
	cmu := math.Min(1-c1, 2*(mueff-2+1/mueff)/((N+2)*(N+2)+mueff))
	chi := math.Sqrt(N) * (1 - 1/(4*N) + 1/(21*N*N))

	m := append([]float64(nil), start...)
	if box {
		for i := range m {
			if width := opt.Upper[i] - opt.Lower[i]; width > 0 {
				m[i] = math.Min(1, math.Max(0, (m[i]-opt.Lower[i])/width))
			} else if width == 0 {
				m[i] = 0
			} else {
				panic(fmt.Sprintf("num: Evolve: empty range [%g, %g]", opt.Lower[i], opt.Upper[i]))
			}
		}
	}
	unfold := func(u, x []float64) {
		for i := range u {
			if !box {
				x[i] = u[i]
				continue
			}
			v := math.Mod(math.Abs(u[i]), 2)
			if v > 1 {
				v = 2 - v
			}
			x[i] = opt.Lower[i] + v*(opt.Upper[i]-opt.Lower[i])
		}
	}
	sigma := opt.Sigma
	C := mat.NewSymDense(n, nil)
	B := mat.NewDense(n, n, nil)
	D := make([]float64, n)
	for i := range n {
		C.SetSym(i, i, 1)
		B.Set(i, i, 1)
		D[i] = 1
	}
	ps, pc := make([]float64, n), make([]float64, n)
	u := make([][]float64, lambda) // search coordinates
	yv := make([][]float64, lambda)
	xs := make([][]float64, lambda)
	for i := range u {
		u[i], yv[i], xs[i] = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	fv := make([]float64, lambda)
	order := make([]int, lambda)
	yw, z := make([]float64, n), make([]float64, n)
	rnd := NewStream(Hash(opt.Seed, 0xc3a))
	out := Evolved{X: make([]float64, n), F: math.Inf(1)}
	unfold(m, out.X)
	eigenAt, gen := 0, 0
	var past []float64 // best of the last generations
	for out.Evals+lambda <= opt.MaxEvals {
		gen++
		for k := range u {
			for i := range z {
				z[i] = D[i] * rnd.Normal()
			}
			for i := range n {
				var s float64
				for j := range n {
					s += B.At(i, j) * z[j]
				}
				yv[k][i] = s
				u[k][i] = m[i] + sigma*s
			}
			unfold(u[k], xs[k])
		}
		if opt.Batch != nil {
			opt.Batch(xs, fv)
		} else {
			for k := range xs {
				fv[k] = f(xs[k])
			}
		}
		out.Evals += lambda
		for k := range fv {
			if math.IsNaN(fv[k]) {
				fv[k] = math.Inf(1)
			}
			order[k] = k
		}
		sort.SliceStable(order, func(a, b int) bool { return fv[order[a]] < fv[order[b]] })
		best, worst := fv[order[0]], fv[order[lambda-1]]
		if best < out.F {
			out.F = best
			copy(out.X, xs[order[0]])
		}
		if opt.HasTarget && out.F < opt.Target {
			out.OK, out.Why = true, "target reached"
			return out
		}
		// mean and paths
		clear(yw)
		for r := range mu {
			y := yv[order[r]]
			for i := range yw {
				yw[i] += w[r] * y[i]
			}
		}
		for i := range m {
			m[i] += sigma * yw[i]
		}
		// C^-1/2 yw = B D^-1 B' yw
		for j := range n {
			var s float64
			for i := range n {
				s += B.At(i, j) * yw[i]
			}
			z[j] = s / D[j]
		}
		var ps2 float64
		fs := math.Sqrt(cs * (2 - cs) * mueff)
		for i := range ps {
			var s float64
			for j := range n {
				s += B.At(i, j) * z[j]
			}
			ps[i] = (1-cs)*ps[i] + fs*s
			ps2 += ps[i] * ps[i]
		}
		norm := math.Sqrt(ps2)
		h := 0.0
		if norm/math.Sqrt(1-math.Pow(1-cs, 2*float64(gen))) < (1.4+2/(N+1))*chi {
			h = 1
		}
		fc := h * math.Sqrt(cc*(2-cc)*mueff)
		for i := range pc {
			pc[i] = (1-cc)*pc[i] + fc*yw[i]
		}
		for i := range n {
			for j := i; j < n; j++ {
				c := (1-c1-cmu+c1*(1-h)*cc*(2-cc))*C.At(i, j) + c1*pc[i]*pc[j]
				for r := range mu {
					y := yv[order[r]]
					c += cmu * w[r] * y[i] * y[j]
				}
				C.SetSym(i, j, c)
			}
		}
		sigma *= math.Exp(math.Min(1, cs/ds*(norm/chi-1)))

		if float64(out.Evals-eigenAt) > float64(lambda)/(c1+cmu)/N/10 {
			eigenAt = out.Evals
			var e mat.EigenSym
			if !e.Factorize(C, true) {
				out.Why = "the covariance matrix broke down"
				return out
			}
			e.Values(D)
			e.VectorsTo(B)
			for i := range D {
				D[i] = math.Sqrt(math.Max(D[i], 1e-300))
			}
		}
		// at rest?
		wide := 0.0
		for i := range n {
			wide = math.Max(wide, sigma*math.Max(math.Abs(pc[i]), math.Sqrt(C.At(i, i))))
		}
		past = append(past, best)
		window := 10 + 30*n/lambda
		if len(past) > window {
			past = past[1:]
		}
		if wide < opt.Tol*opt.Sigma {
			out.OK, out.Why = !math.IsInf(out.F, 1), "came to rest"
			break
		}
		if len(past) == window && worst == best && flat(past) {
			out.OK, out.Why = !math.IsInf(out.F, 1), "no difference between places"
			break
		}
		if dmax, dmin := maxOf(D), minOf(D); dmax > 1e7*dmin {
			out.OK, out.Why = !math.IsInf(out.F, 1), "the valley is too narrow to go on"
			break
		}
	}
	if out.Why == "" {
		out.Why = fmt.Sprintf("not at rest after %d evaluations", out.Evals)
	}
	return out
}

func flat(v []float64) bool { return minOf(v) == maxOf(v) }

func minOf(v []float64) float64 {
	m := math.Inf(1)
	for _, x := range v {
		m = math.Min(m, x)
	}
	return m
}

func maxOf(v []float64) float64 {
	m := math.Inf(-1)
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}
