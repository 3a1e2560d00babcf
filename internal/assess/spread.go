package assess

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/unit"
)

// Draws calls do with each of o.Draws draws of what is not known, on o.Workers
// goroutines: draw i is the same on one worker and on many, and the same as
// that of the scalar results. What do writes by i needs no lock.
func (c *Chain) Draws(ctx context.Context, o Options, do func(i int, d *Drawn)) error {
	o = o.filled()
	space, index, err := c.space(false)
	if err != nil {
		return err
	}
	sampler := doubt.NewSampler(space, o.Seed, 1)
	return each(ctx, o.Draws, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		return func(i int) {
			sampler.Draw(i, ign, sca)
			d := c.Draw(index[doubt.Ignorance], ign)
			do(i, &d)
		}
	}, func(int) {})
}

// Interval90 is the 90 % interval of a number over draws, about its nominal
// value, which it holds. Where more than one draw in twenty has no such number
// (NaN) it is open: minus to plus infinity. No nominal value, no interval.
func Interval90(nominal float64, draws []float64) (low, high float64) {
	if math.IsNaN(nominal) {
		return nominal, nominal
	}
	known := make([]float64, 0, len(draws))
	for _, x := range draws {
		if !math.IsNaN(x) {
			known = append(known, x)
		}
	}
	if len(known) < len(draws)*19/20 {
		return math.Inf(-1), math.Inf(1)
	}
	if len(known) < 2 {
		return nominal, nominal
	}
	low, high = doubt.Interval(known, 0.90)
	return math.Min(low, nominal), math.Max(high, nominal)
}

// impossible says in people's units why an input's doubt makes no distribution.
func impossible(in *craft.Input, sigma float64) string {
	dim, _ := unit.DimNamed(in.Unit)
	say := func(v float64) string {
		if math.IsInf(v, 0) {
			return "any value"
		}
		return unit.Format(v, dim, unit.Metric)
	}
	if sigma < 0 || math.IsNaN(sigma) || math.IsInf(sigma, 0) {
		return "its spread is no number that a spread can be"
	}
	if in.Nominal < in.Low || in.Nominal > in.High {
		return fmt.Sprintf("%s is not between %s and %s", say(in.Nominal), say(in.Low), say(in.High))
	}
	return fmt.Sprintf("a spread of ± %s around %s leaves mostly impossible values (it lies from %s to %s)", say(2*sigma), say(in.Nominal), say(in.Low), say(in.High))
}
