package assess

import "fledge/internal/strength"

// Loads is what flight and launch of these results ask of the airframe.
func (c *Chain) Loads(r *Results) strength.Loads { return c.loads(r) }
