package assess

import "context"

// Flights flies the drawn launches of the given numbers, with their
// trajectories every step seconds (0: none): launch i of one seed is the same
// one as in the odds, whatever other launches are asked for.
func (c *Chain) Flights(ctx context.Context, o Options, draws []int, step float64) ([]Flown, error) {
	o = o.filled()
	space, index, err := c.space(true)
	if err != nil || c.Aircraft.Launch.By == "" {
		return nil, err
	}
	return c.fly(ctx, o, space, index, draws, step)
}
