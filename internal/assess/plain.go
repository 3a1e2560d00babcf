package assess

// Doubt is the standard deviation of input i of the aircraft as the chain
// draws it: the models' own for the airframe's factors, narrowed by the bench
// rows for the drive's, the lesson's for what was learned.
func (c *Chain) Doubt(i int) float64 { return c.sigma(&c.Aircraft.Inputs[i]) }
