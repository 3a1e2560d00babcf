package assess

import (
	"math"
	"strings"
)

// Slowest is what sets the slowest level flight: the wing's own stall, or the
// pitch throw, when full up stick comes first and more throw would fly slower.
type Slowest struct {
	ByThrow bool
	More    float64 // rad of up throw past which no more is gained; NaN unless ByThrow
	Then    float64 // m/s, slowest flight then; NaN with More
}

// slowest looks at one draw. More throw acts here as a stronger control does,
// in proportion: a deflection past some 20 degrees does less (a rerun with
// the throw says how much).
func (c *Chain) slowest(d *Drawn) Slowest {
	s := Slowest{More: math.NaN(), Then: math.NaN()}
	ac := d.Aircraft
	at := func(k float64) (limit string, speed float64) {
		f := d.AeroK
		f.Control *= k
		p := c.Aero.Stall(ac.Mass.Total, ac.Mass.CG, d.Air.Rho, d.Air.Mu, &f)
		return p.Limit, p.Speed
	}
	limit, now := at(1)
	up, _, _ := c.Aero.Stick(1, 0, 0)
	if limit != "control" || !(up > 0) {
		return s
	}
	const (
		step = math.Pi / 180
		most = 15 * step
		gain = 0.99 // of the speed: less than that is no reason
	)
	_, least := at(1 + most/up)
	if !(least < gain*now) {
		return s
	}
	s.ByThrow, s.More, s.Then = true, most, least
	for more := step; more < most; more += step {
		if _, v := at(1 + more/up); v < least+0.1*(now-least) {
			s.More, s.Then = more, v
			break
		}
	}
	return s
}

// Label names the slowest level flight.
func (s Slowest) Label() string {
	if s.ByThrow {
		return "slowest flight, by the pitch throw"
	}
	return "stall speed"
}

// By is "wing" or "pitch throw".
func (s Slowest) By() string {
	if s.ByThrow {
		return "pitch throw"
	}
	return "wing"
}

var notStalled = strings.NewReplacer(
	"times the stall speed", "times the slowest flight", "times stall speed", "times the slowest flight", "times the stall", "times the slowest flight",
	"over the stall speed", "over the slowest flight", "over stall speed", "over the slowest flight", "over the stall", "over the slowest flight", "over stall", "over slowest",
	"of stall speed", "of the slowest flight", "the stall speed", "the slowest flight", "Stall speed", "Slowest flight", "stall speed", "slowest flight",
)

// Tell is a sentence with the slowest flight called what it is: where the
// pitch throw sets it, nothing stalls.
func (s Slowest) Tell(text string) string {
	if !s.ByThrow {
		return text
	}
	return notStalled.Replace(text)
}
