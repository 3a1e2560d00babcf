package assess

import (
	"context"
	"math"

	"fledge/internal/doubt"
	"fledge/internal/power"
	"fledge/internal/strength"
)

// Loads is what flight and launch of these results ask of the airframe.
func (c *Chain) Loads(r *Results) strength.Loads { return c.loads(r) }

// drive fills in what the drive asks of its parts and of their screws.
func (c *Chain) drive(r *Results, l *strength.Loads) {
	if c.Power == nil {
		return
	}
	l.BurstTime, l.Heat = burst, r.Heat
	if t := r.Get(StaticThrust); t.Status == "" {
		d := c.Nominal()
		l.Thrust, l.ThrustSigma = t.Value, (t.High-t.Low)/(2*1.6449)
		pt := c.Power.At(0, c.Aircraft.Power.Throttle, &d.PowerK)
		l.Torque = pt.Torque
		cells, one := c.Power.WeakestCell(pt)
		l.Cell, l.CellLeast = cells, c.Power.Train.Pack.Cutoff
		l.CellSigma = math.Hypot(one*c.Power.DefaultSpread().CellResistance*pt.Current, one*l.CurrentSigma)
	}
}

// burst is how long full throttle is held for the temperatures, s.
const burst = 30

// heatDraws bounds the draws that give the temperatures their doubt.
const heatDraws = 32

// warmth fills in how warm the drive gets at full throttle, level at top
// speed (or, when there is none, standing), over what is not known of the
// drive; and when it would be too warm standing. The doubt of the heat
// resistances comes on top.
func (c *Chain) warmth(ctx context.Context, r *Results, o Options) error {
	if c.Power == nil {
		return nil
	}
	v := 0.0
	if top := r.Get(TopSpeed); top.Status == "" {
		v = top.Value
	}
	charge := c.Aircraft.Power.Battery.Charge
	at := func(d *Drawn, v float64) []power.Warmth {
		return c.Power.Heat(c.Power.Solve(v, d.Aircraft.Power.Throttle, charge, &d.PowerK), v, charge, burst, &d.PowerK)
	}
	nominal := c.Nominal()
	flying := at(&nominal, v)
	var standing []power.Warmth
	if v > 0 {
		standing = at(&nominal, 0)
	}
	space, index, err := c.space(false)
	if err != nil {
		return err
	}
	sampler := doubt.NewSampler(space, o.Seed, 1)
	n := min(o.Draws, heatDraws)
	all := make([][]power.Warmth, n)
	if err := each(ctx, n, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		return func(i int) {
			sampler.Draw(i, ign, sca)
			d := c.Draw(index[doubt.Ignorance], ign)
			all[i] = at(&d, v)
		}
	}, nil); err != nil {
		return err
	}
	for i, w := range flying {
		k := strength.Warmth{Part: w.Part, Start: w.Start, After: w.After, Steady: w.Steady, Sigma: w.Sigma, Standing: math.NaN()}
		if standing != nil {
			k.Standing = standing[i].Time
		}
		sum, sq := 0.0, 0.0
		for _, x := range all {
			y := math.Log(math.Max(1e-6, (x[i].After-x[i].Start)/math.Max(1e-6, w.After-w.Start)))
			sum, sq = sum+y, sq+y*y
		}
		if m := float64(n); n > 1 {
			k.Sigma = math.Hypot(k.Sigma, math.Sqrt(math.Max(0, (sq-sum*sum/m)/(m-1))))
		}
		r.Heat = append(r.Heat, k)
	}
	return nil
}
