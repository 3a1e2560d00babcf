package num

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// FitStatus says how a least-squares fit ended.
type FitStatus int

const (
	// FitGood: converged at a minimum where every parameter is determined.
	FitGood FitStatus = iota
	// FitPoor: the search came to rest, but not at a trustworthy minimum: the
	// parameters run away or cannot be told apart (the Jacobian is nearly
	// singular there), or the residuals are far larger than FitOptions.Sigma
	// allows. Parameters are where it stopped; do not use them.
	FitPoor
	// FitUnfinished: the iteration limit was reached first.
	FitUnfinished
	// FitNotFinite: the residuals are not finite at the start.
	FitNotFinite
)

// FitOptions sets a fit; zero values mean the defaults.
type FitOptions struct {
	MaxIter int // default 500
	// Tol is the relative change of parameters and of the predicted sum of
	// squares at which the search rests, default 1e-12.
	Tol float64
	// Sigma, when positive, is the known standard deviation of a residual (1
	// when residuals are already divided by theirs). It then scales the
	// covariance, and a fit whose chi-square exceeds its mean by more than 6
	// standard deviations is poor. When zero the scale is estimated from the
	// residuals.
	Sigma float64
	// Scale is the typical size of each parameter, used for difference steps
	// near zero and for telling a parameter that runs away (beyond 1e6 times
	// its size); default |start| or 1.
	Scale []float64
	// Jacobian fills j (m x n, dr_i/dp_k); default central differences.
	Jacobian func(p []float64, j *mat.Dense)
}

// FitResult is the outcome of [Fit].
type FitResult struct {
	Status FitStatus
	Why    string // words for a poor or unfinished fit
	P      []float64
	// Sigma is the standard deviation of each parameter, Cov their covariance
	// (n x n); NaN and nil when the Jacobian has no full rank or there are no
	// degrees of freedom.
	Sigma []float64
	Cov   *mat.SymDense
	RSS   float64 // residual sum of squares
	DOF   int     // residuals less parameters
	// Condition of the Jacobian with columns scaled to unit length: near 1
	// when parameters are told apart well, above 1e8 hardly at all.
	Condition float64
	Evals     int // evaluations of the residuals, those of differences included
}

// Fit minimises the sum of squares of m residuals over parameters p from a
// start, by the Levenberg-Marquardt method: each step solves the damped
// linear problem min |J d + r|^2 + lambda |D d|^2 by QR of the stacked system
// (Levenberg 1944, Marquardt 1963; column scaling D as Moré 1978), the
// damping follows the ratio of actual to predicted reduction (Nielsen 1999).
// residual fills r (length m) at p; non-finite residuals count as a refused
// step. m >= len(start) >= 1, else panic.
//
// Accuracy: checked on NIST reference sets to 6 digits of the certified
// parameters and 5 of their deviations.
func Fit(residual func(p, r []float64), start []float64, m int, opt FitOptions) FitResult {
	n := len(start)
	if n < 1 || m < n {
		panic(fmt.Sprintf("num: fit of %d parameters to %d residuals", n, m))
	}
	if opt.MaxIter == 0 {
		opt.MaxIter = 500
	}
	if opt.Tol == 0 {
		opt.Tol = 1e-12
	}
	f := &fitter{n: n, m: m, residual: residual, opt: opt}
	return f.run(start)
}

type fitter struct {
	n, m     int
	residual func(p, r []float64)
	opt      FitOptions
	evals    int
	scale    []float64
}

func (f *fitter) at(p, r []float64) float64 {
	f.evals++
	f.residual(p, r)
	var s float64
	for _, v := range r {
		s += v * v
	}
	if math.IsNaN(s) {
		return math.Inf(1)
	}
	return s
}

// jacobian by central differences, step (eps)^(1/3) of the parameter's size.
func (f *fitter) jacobian(p []float64, j *mat.Dense, ra, rb []float64) {
	if f.opt.Jacobian != nil {
		f.opt.Jacobian(p, j)
		return
	}
	for k := range f.n {
		keep := p[k]
		h := 6e-6 * math.Max(math.Abs(keep), 1e-4*f.scale[k])
		p[k] = keep + h
		hi := p[k]
		f.at(p, ra)
		p[k] = keep - h
		lo := p[k]
		f.at(p, rb)
		p[k] = keep
		for i := range f.m {
			d := (ra[i] - rb[i]) / (hi - lo)
			if math.IsNaN(d) || math.IsInf(d, 0) {
				d = 0
			}
			j.Set(i, k, d)
		}
	}
}

func (f *fitter) run(start []float64) FitResult {
	n, m := f.n, f.m
	p := append([]float64(nil), start...)
	f.scale = make([]float64, n)
	for k := range p {
		f.scale[k] = math.Abs(p[k])
		if f.opt.Scale != nil {
			f.scale[k] = f.opt.Scale[k]
		}
		if f.scale[k] == 0 {
			f.scale[k] = 1
		}
	}
	size := append([]float64(nil), f.scale...)
	r, rn, ra, rb := make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
	s := f.at(p, r)
	res := FitResult{P: p, DOF: m - n}
	if math.IsInf(s, 1) {
		res.Status, res.Why, res.RSS, res.Evals = FitNotFinite, "residuals are not finite at the start", math.NaN(), f.evals
		res.Sigma = nans(n)
		return res
	}
	j := mat.NewDense(m, n, nil)
	d := make([]float64, n) // column scale
	pn := make([]float64, n)
	stack := mat.NewDense(m+n, n, nil)
	rhs := mat.NewVecDense(m+n, nil)
	step := mat.NewVecDense(n, nil)
	lambda, nu := 1e-3, 2.0
	status := FitUnfinished
	fresh := false
	for it := 0; it < f.opt.MaxIter; it++ {
		if !fresh {
			f.jacobian(p, j, ra, rb)
			for k := range n {
				// the column's length, never forgotten entirely (Moré)
				c := mat.Norm(j.ColView(k), 2)
				d[k] = math.Max(c, 0.1*d[k])
				if d[k] == 0 {
					d[k] = 1
				}
			}
			fresh = true
		}
		for i := range m {
			copy(stack.RawRowView(i), j.RawRowView(i))
			rhs.SetVec(i, -r[i])
		}
		q := math.Sqrt(lambda)
		for k := range n {
			row := stack.RawRowView(m + k)
			clear(row)
			row[k] = q * d[k]
			rhs.SetVec(m+k, 0)
		}
		var qr mat.QR
		qr.Factorize(stack)
		if err := qr.SolveVecTo(step, false, rhs); err != nil {
			if _, cond := err.(mat.Condition); !cond {
				lambda *= nu
				nu *= 2
				continue
			}
		}
		var rel, pred float64
		for k := range n {
			st := step.AtVec(k)
			pn[k] = p[k] + st
			rel = math.Max(rel, math.Abs(st)/(math.Abs(p[k])+1e-3*f.scale[k]))
		}
		// predicted reduction |r|^2 - |r + J step|^2
		for i := range m {
			v := r[i]
			row := j.RawRowView(i)
			for k := range n {
				v += row[k] * step.AtVec(k)
			}
			pred += (r[i] - v) * (r[i] + v)
		}
		sn := f.at(pn, rn)
		gain := (s - sn) / pred
		small := rel <= f.opt.Tol || pred <= f.opt.Tol*f.opt.Tol*s || s == 0
		if sn <= s && !(gain <= 1e-4 && !small) {
			copy(p, pn)
			r, rn = rn, r
			s = sn
			fresh = false
			g := 2*gain - 1
			lambda *= math.Max(1.0/3, 1-g*g*g)
			lambda = math.Max(lambda, 1e-18)
			nu = 2
		} else {
			lambda *= nu
			nu *= 2
		}
		if small {
			status = FitGood
			break
		}
		if lambda > 1e40 {
			status = FitGood // no direction improves: at rest; judged below
			break
		}
	}
	res.RSS, res.Status = s, status
	f.finish(&res, p, size, j, ra, rb)
	res.Evals = f.evals
	return res
}

// finish computes the covariance and judges the fit.
func (f *fitter) finish(res *FitResult, p, size []float64, j *mat.Dense, ra, rb []float64) {
	n, m := f.n, f.m
	f.jacobian(p, j, ra, rb)
	col := make([]float64, n)
	unit := mat.NewDense(m, n, nil)
	for k := range n {
		col[k] = mat.Norm(j.ColView(k), 2)
		for i := range m {
			if col[k] > 0 {
				unit.Set(i, k, j.At(i, k)/col[k])
			}
		}
	}
	var svd mat.SVD
	res.Sigma = nans(n)
	res.Condition = math.Inf(1)
	if svd.Factorize(unit, mat.SVDThin) {
		w := svd.Values(nil)
		if w[n-1] > 0 {
			res.Condition = w[0] / w[n-1]
		}
		if res.Condition < 1e13 && (res.DOF > 0 || f.opt.Sigma > 0) {
			var v mat.Dense
			svd.VTo(&v)
			s2 := f.opt.Sigma * f.opt.Sigma
			if s2 == 0 {
				s2 = res.RSS / float64(res.DOF)
			}
			res.Cov = mat.NewSymDense(n, nil)
			for a := range n {
				for b := a; b < n; b++ {
					var c float64
					for q := range n {
						c += v.At(a, q) * v.At(b, q) / (w[q] * w[q])
					}
					res.Cov.SetSym(a, b, c*s2/(col[a]*col[b]))
				}
				res.Sigma[a] = math.Sqrt(res.Cov.At(a, a))
			}
		}
	}
	if res.Status == FitUnfinished {
		res.Why = fmt.Sprintf("not at rest after %d iterations", f.opt.MaxIter)
	}
	poor := func(why string) {
		if res.Status != FitUnfinished || res.Why == "" {
			res.Status = FitPoor
		}
		res.Why = why
		res.Status = FitPoor
	}
	switch {
	case res.Condition > 1e8:
		poor(fmt.Sprintf("the data do not tell the parameters apart (condition %.1e)", res.Condition))
	default:
		for k := range n {
			if math.Abs(p[k]) > 1e6*size[k] {
				poor(fmt.Sprintf("parameter %d runs away (%.3g from a start of size %.3g)", k+1, p[k], size[k]))
				return
			}
		}
		if s := f.opt.Sigma; s > 0 && res.DOF > 0 {
			chi := res.RSS / (s * s)
			if z := (chi - float64(res.DOF)) / math.Sqrt(2*float64(res.DOF)); z > 6 {
				poor(fmt.Sprintf("residuals %.1f times their known spread", math.Sqrt(chi/float64(res.DOF))))
			}
		}
	}
}

func nans(n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = math.NaN()
	}
	return s
}
