package assess

import (
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/perform"
)

// Sheet is the set-up sheet of the nominal aircraft with the doubt of its
// trim: every input that is not known put at one standard deviation, one at a
// time. Brief leaves out the arm and horn that would suit.
func (c *Chain) Sheet(r *Results, brief bool) *control.Sheet {
	w := control.Wish{Brief: brief}
	if v := r.Get(StallSpeed); v.Status == "" {
		w.StallSpeed, w.StallSigma = v.Value, (v.High-v.Low)/(2*1.6449)
	}
	if !brief {
		for i := range c.Aircraft.Inputs {
			if in := &c.Aircraft.Inputs[i]; in.Kind == craft.Ignorance {
				d := c.Draw([]int{i}, []float64{in.Nominal + in.Sigma})
				w.Around = append(w.Around, control.Varied{Air: c.steered(&d), Weight: d.Aircraft.Mass.Total * perform.Gravity})
			}
		}
	}
	d := c.Nominal()
	return control.Assess(c.Aircraft, c.steered(&d), w)
}

// steered is the airframe of a draw as the set-up asks it.
func (c *Chain) steered(d *Drawn) control.Airframe {
	return control.Of(c.Aero, d.Aircraft, d.Air.Rho, d.Air.Mu, &d.AeroK)
}

// SheetOf is the set-up sheet of a draw at the speeds of the nominal sheet:
// what the same commands and speeds ask of an aeroplane that is a little
// different.
func (c *Chain) SheetOf(d *Drawn, nominal *control.Sheet, r *Results) *control.Sheet {
	w := control.Wish{Speed: nominal.Speed, Drawn: true}
	if v := r.Get(StallSpeed); v.Status == "" {
		w.StallSpeed = v.Value
	}
	return control.Assess(d.Aircraft, c.steered(d), w)
}

// setup judges linkages and throws: a few milliseconds, once a run.
func (c *Chain) setup(r *Results) []control.Result { return c.Sheet(r, true).Results }
