// Package odds repeats a phase (a launch, a landing) over draws of its
// uncertain inputs and counts: the odds of success with sampling error, the
// range that ignorance spans, the share of each way to fail, the spread of
// the numbers each run reports, and which unknown the odds hang on. It knows
// no aerodynamics: the phase is a function.
//
// Draw i is the same whatever the number of workers, and results are summed
// in draw order, so the outcome has the same bits on one core and on many.
//
// # The range that ignorance spans
//
// Let P(w) be the odds in world w, that is with the ignorance inputs held at
// one draw and only scatter left. The interval asked for holds 90 % of P over
// worlds. Each of the N runs that the odds are counted from is another world:
// at equal number that is a fifth to a third more accurate than to run each
// world twice (measured on real launches). P of a world comes from a response
// surface: a logistic regression of success on the normal scores of the
// inputs that show (second order), averaged over scatter for each of many
// worlds, with the spread that the noise of its coefficients adds taken out
// ([doubt.Worlds]). A second, assumption-free estimate of the variance of P
// comes from running the first worlds once more with other scatter
// ([Plan.Again]): the mean product of two runs of a world less the square of
// the mean. Where the two disagree by more than chance (2.6 standard errors),
// the surface has missed something and a beta distribution with that variance
// is used instead; so it is, with the variance that makes the range widest,
// when there are too few failures or successes for either. The tests check the
// coverage of the interval on synthetic worlds of known odds.
//
// # Sampling error
//
// [Outcome.SE] is the standard error of the odds, from the runs themselves:
// they are cut into blocks that are each an even sample, whose odds scatter
// about their mean by what evenness leaves. Its square is never taken below a
// quarter of that of plain draws nor above it.
package odds

import (
	"context"
	"fmt"
	"math"
	"sync"
	"sync/atomic"

	"fledge/internal/doubt"
)

// Draw is what a phase is given for one run. The slices belong to the worker
// and are overwritten by its next run.
type Draw struct {
	Index     int       // number of the draw, names its random streams
	Worker    int       // 0 .. Workers-1: which workspace to use
	Ignorance []float64 // values, in the order of Space.Inputs(Ignorance)
	Scatter   []float64 // values, in the order of Space.Inputs(Scatter)
	Values    []float64 // Plan.Values numbers for the phase to fill; NaN when there is none
}

// Result is how one run ended.
type Result struct {
	Success bool
	Class   string // failure class; empty for a success
}

// Phase runs once. It must depend on the draw alone (not on the worker or on
// earlier runs) and be safe to call from several goroutines with different
// workers.
type Phase func(ctx context.Context, d Draw) Result

// Plan says how to repeat.
type Plan struct {
	N       int    // runs, each another world; powers of two are best
	Again   int    // of these worlds, run once more for the range of ignorance; default N/4, below 0 none
	Seed    uint64 // of all draws
	Workers int    // default 1
	Values  int    // numbers each run reports
	// Confidence of all intervals, default 0.90.
	Confidence float64
	// Still holds every scatter input at its nominal value and runs no world
	// again: for quantities of steady flight, whose interval is that of
	// ignorance alone.
	Still bool
	// Count leaves the range of ignorance and the unknowns out (Method is then
	// ByCount): odds, failures and reported numbers only, for searches.
	Count bool
	// Brief leaves out what the odds hang on ([Outcome.Unknowns]).
	Brief bool
	// Progress, when set, is told now and then how many runs are done; calls
	// come one at a time, from any worker.
	Progress func(done, total int)
}

// Share is one failure class.
type Share struct {
	Class     string
	Count     int
	Share     float64
	Low, High float64 // sampling interval (Wilson)
}

// Method says where the range of ignorance comes from.
type Method string

const (
	// ByResponse: the response surface.
	ByResponse Method = "response surface"
	// ByPairs: beta distribution matched to pairs of repeats; the response
	// surface disagreed with them.
	ByPairs Method = "pairs of repeats"
	// ByCount: Plan.Count; the range is that of the sampling.
	ByCount Method = "count alone"
	// ByBound: too few successes or failures to tell worlds apart; the range is
	// the widest that any share of ignorance in them would give.
	ByBound Method = "widest range that so few can mean"
	// NoIgnorance: nothing is unknown.
	NoIgnorance Method = "no ignorance"
)

// InputShare is what one input contributes to the doubt of the odds.
type InputShare struct {
	Input doubt.Input
	// First is the share of the variance of the odds over worlds that goes
	// away on average when this input is measured exactly; Total the share that
	// would stay if all others were.
	First, Total float64
	// Stands: the effect stands out of chance. With few failures the shares of
	// others are noise.
	Stands bool
}

// Outcome is the result of repeating a phase.
type Outcome struct {
	N, Hits    int
	Again      int // worlds run once more
	Seed       uint64
	Confidence float64
	P          float64 // odds: hits/n
	// SE is the standard error of P by sampling, evenness of the draws counted;
	// SamplingLow..High the score interval of as many plain draws as would have
	// it.
	SE                        float64
	SamplingLow, SamplingHigh float64
	// IgnoranceLow..High holds the share Confidence of the odds of worlds.
	IgnoranceLow, IgnoranceHigh float64
	IgnoranceSD                 float64 // standard deviation of the odds over worlds
	// PairSD is the same from worlds run twice alone, with the standard error of
	// its square (PairVarSE); NaN without ignorance or such worlds.
	PairSD, PairVarSE float64
	Method            Method
	// Odds holds both: value P, interval of ignorance and sampling together.
	Odds     doubt.Range
	Failures []Share // most frequent first
	// Unknowns lists what the odds hang on by the response surface, largest
	// first; nil when there is none.
	Unknowns []InputShare
	// Values[j] holds reported number j of every run, in draw order, and
	// Success whether that run succeeded.
	Values  [][]float64
	Success []bool

	brief bool
	again []bool // success of the worlds run once more

	space   *doubt.Space
	sampler *doubt.Sampler
}

// Interval is the central interval of reported number j over the runs where
// it is a number, with their median; n is how many there are (0: NaNs).
func (o *Outcome) Interval(j int) (r doubt.Range, n int) {
	var v []float64
	for _, x := range o.Values[j] {
		if !math.IsNaN(x) {
			v = append(v, x)
		}
	}
	if len(v) == 0 {
		return doubt.Range{Value: math.NaN(), Low: math.NaN(), High: math.NaN()}, 0
	}
	lo, hi := doubt.Interval(v, o.Confidence)
	mid, _ := doubt.Interval(v, 0)
	return doubt.Range{Value: mid, Low: lo, High: hi}, len(v)
}

// Run repeats the phase over the space. It returns the context's error when
// cancelled, and nothing else; a panic of the phase comes out here.
func Run(ctx context.Context, space *doubt.Space, plan Plan, phase Phase) (*Outcome, error) {
	if plan.N < 1 {
		panic(fmt.Sprintf("odds: %d runs", plan.N))
	}
	if plan.Again == 0 {
		plan.Again = plan.N / 4
	}
	if plan.Still || plan.Count {
		plan.Again = 0
	}
	plan.Again = min(max(0, plan.Again), plan.N)
	if plan.Still {
		for _, in := range space.Inputs(doubt.Scatter) {
			space = space.With(in.Path, doubt.Exactly(in.Dist.Nominal()))
		}
	}
	if plan.Workers == 0 {
		plan.Workers = 1
	}
	if plan.Confidence == 0 {
		plan.Confidence = 0.90
	}
	sampler := doubt.NewSampler(space, plan.Seed, 1)
	twice := doubt.NewSampler(space, plan.Seed, 2)
	if twice.Repeats < 2 { // not enough dimensions
		plan.Again = 0
	}
	total := plan.N + plan.Again
	draw := func(i int, ignorance, scatter []float64) {
		if i < plan.N {
			sampler.Draw(i, ignorance, scatter)
		} else {
			twice.Draw(2*(i-plan.N)+1, ignorance, scatter)
		}
	}
	results := make([]Result, total)
	values := make([]float64, total*plan.Values)
	if err := work(ctx, space, draw, plan, phase, results, values); err != nil {
		return nil, err
	}
	o := &Outcome{N: plan.N, Again: plan.Again, Seed: plan.Seed, Confidence: plan.Confidence}
	o.space, o.sampler = space, sampler
	o.Success = make([]bool, plan.N)
	o.Values = make([][]float64, plan.Values)
	for j := range o.Values {
		o.Values[j] = make([]float64, plan.N)
		for i := range o.Values[j] {
			o.Values[j][i] = values[i*plan.Values+j]
		}
	}
	for _, r := range results[plan.N:] {
		o.again = append(o.again, r.Success)
	}
	results = results[:plan.N]
	o.count(results)
	if plan.Count {
		o.Method = ByCount
		o.IgnoranceLow, o.IgnoranceHigh = o.SamplingLow, o.SamplingHigh
		o.PairSD, o.PairVarSE = math.NaN(), math.NaN()
		o.together()
	} else {
		o.brief = plan.Brief
		o.ignorance()
	}
	return o, nil
}

// chunk: runs a worker takes at a time.
const chunk = 4

func work(ctx context.Context, space *doubt.Space, draw func(i int, ignorance, scatter []float64), plan Plan, phase Phase, results []Result, values []float64) error {
	var next, done atomic.Int64
	var mu sync.Mutex // of progress and failure
	var failure any
	told := 0
	var wg sync.WaitGroup
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	one := func(worker int) {
		defer wg.Done()
		defer func() {
			if r := recover(); r != nil {
				mu.Lock()
				if failure == nil {
					failure = r
				}
				mu.Unlock()
				cancel()
			}
		}()
		d := Draw{Worker: worker, Ignorance: make([]float64, space.Len(doubt.Ignorance)), Scatter: make([]float64, space.Len(doubt.Scatter))}
		for {
			lo := int(next.Add(chunk)) - chunk
			if lo >= len(results) {
				return
			}
			hi := min(lo+chunk, len(results))
			for i := lo; i < hi; i++ {
				if ctx.Err() != nil {
					return
				}
				draw(i, d.Ignorance, d.Scatter)
				d.Index = i
				d.Values = values[i*plan.Values : (i+1)*plan.Values : (i+1)*plan.Values]
				for k := range d.Values {
					d.Values[k] = math.NaN()
				}
				results[i] = phase(ctx, d)
			}
			n := int(done.Add(int64(hi - lo)))
			if plan.Progress != nil {
				mu.Lock()
				if n > told && (n-told >= len(results)/100 || n == len(results)) {
					told = n
					plan.Progress(n, len(results))
				}
				mu.Unlock()
			}
		}
	}
	for w := range plan.Workers {
		wg.Add(1)
		go one(w)
	}
	wg.Wait()
	if failure != nil {
		panic(failure)
	}
	if int(done.Load()) < len(results) {
		return context.Cause(ctx)
	}
	return nil
}

// count fills hits, sampling interval and failure classes.
func (o *Outcome) count(results []Result) {
	classes := map[string]int{}
	for i, r := range results {
		o.Success[i] = r.Success
		if r.Success {
			o.Hits++
			continue
		}
		k, seen := classes[r.Class]
		if !seen {
			k = len(o.Failures)
			classes[r.Class] = k
			o.Failures = append(o.Failures, Share{Class: r.Class})
		}
		o.Failures[k].Count++
	}
	o.P = float64(o.Hits) / float64(o.N)
	o.sampling()
	for k := range o.Failures {
		f := &o.Failures[k]
		f.Share = float64(f.Count) / float64(o.N)
		f.Low, f.High = doubt.Wilson(f.Count, o.N, o.Confidence)
	}
	sortShares(o.Failures)
}

// sampling fills the standard error and the interval of sampling. A block of a
// power of two of the sequence is itself an even sample, and the odds of
// blocks scatter about their mean as those of so many even draws do; that the
// whole is more even than its blocks is not counted.
func (o *Outcome) sampling() {
	plain := o.P * (1 - o.P) / float64(o.N)
	v := plain
	if b := o.N / blocks; b >= 16 {
		var s float64
		for k := range blocks {
			hits := 0
			for _, ok := range o.Success[k*b : (k+1)*b] {
				if ok {
					hits++
				}
			}
			d := float64(hits)/float64(b) - o.P
			s += d * d / (blocks - 1)
		}
		v = math.Min(math.Max(s/blocks, plain/4), plain)
	}
	o.SE = math.Sqrt(v)
	// As plain draws of the number that would have this error. The share that
	// evenness saves is trusted only as far as there are successes and failures
	// to see it by.
	n := float64(o.N)
	if rare := float64(min(o.Hits, o.N-o.Hits)); v > 0 {
		trust := rare / (rare + blocks)
		n *= 1 + trust*(plain/v-1)
	}
	o.SamplingLow, o.SamplingHigh = doubt.Score(o.P, n, o.Confidence)
}

const blocks = 16

// sortShares: most frequent first, then by name, so that ties are stable.
func sortShares(s []Share) {
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && (s[j].Count > s[j-1].Count || s[j].Count == s[j-1].Count && s[j].Class < s[j-1].Class); j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}
