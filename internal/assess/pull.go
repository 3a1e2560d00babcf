package assess

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/craft"
	"fledge/internal/perform"
)

// pullMoment is the nose-up moment (N m) about the balance point of a pull
// (N) along the thrust line: its height above the balance point, and its
// down-thrust at the distance of the disc. Body axes, so with the pull's own
// tilt exact.
func pullMoment(ac *craft.Aircraft, pull float64) float64 {
	at, cg := ac.Power.Propeller.At, ac.Mass.CG
	s, c := math.Sincos(ac.Power.Down)
	return pull * ((at.X-cg.X)*s - (at.Z-cg.Z)*c)
}

// pulled is level flight at v with a pull along the thrust line: its moment is
// trimmed out, and what of it lifts is taken off the wing. Given the trim
// without it, to start from.
func (c *Chain) pulled(d *Drawn, v, pull float64, t aero.Trimmed) aero.Trimmed {
	ac := d.Aircraft
	weight := ac.Mass.Total * perform.Gravity
	for range 3 { // the angle changes by a tenth of a degree
		t = c.Aero.Trim(aero.Balance{V: v, Rho: d.Air.Rho, Mu: d.Air.Mu, CG: ac.Mass.CG,
			Lift: weight - pull*math.Sin(t.Alpha-ac.Power.Down), Moment: pullMoment(ac, pull), PropOn: true, Thrust: pull}, &d.AeroK)
		if !t.OK {
			return t
		}
	}
	return t
}

// trimPulled is the pitch stick that holds level flight at v under power, and
// how far opening the throttle from nothing to full moves it there.
func (c *Chain) trimPulled(n *Numbers, v float64, d *Drawn) {
	free := c.trimmed(d, v, d.Aircraft.Mass.Total*perform.Gravity)
	none := perform.Value{V: math.NaN(), Status: "no position of the pitch control balances it"}
	n[TrimCruise], n[TrimThrottle] = none, none
	if !free.OK {
		return
	}
	if t := c.pulled(d, v, free.Drag, free); t.OK {
		n[TrimCruise] = perform.Value{V: t.Stick, Status: perform.OK}
	}
	full := c.Power.At(v, d.Aircraft.Power.Throttle, &d.PowerK).Thrust
	if t := c.pulled(d, v, full, free); t.OK {
		n[TrimThrottle] = perform.Value{V: t.Stick - free.Stick, Status: perform.OK}
	}
}
