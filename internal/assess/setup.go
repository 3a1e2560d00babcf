package assess

import "fledge/internal/control"

// setup judges linkages and throws on the nominal aircraft: a few
// milliseconds, once a run.
func (c *Chain) setup(r *Results) []control.Result {
	w := control.Wish{Brief: true}
	if v := r.Get(StallSpeed); v.Status == "" {
		w.StallSpeed = v.Value
	}
	d := c.Nominal()
	return control.Assess(c.Aircraft, control.Of(c.Aero, c.Aircraft, d.Air.Rho, d.Air.Mu, &d.AeroK), w).Results
}
