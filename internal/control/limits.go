package control

import (
	"math"

	"fledge/internal/cite"
)

// Limit is one number that results of this room or of strength are held
// against and that the build file does not set, with its reason: for
// docs/limits.md.
type Limit struct {
	ID    string // of the results, before the name of the control
	What  string
	Value float64 // SI; temperatures of parts in degC
	Unit  string
	Least bool // the value must be at least this, else at most
	Why   string
	Ref   cite.Ref
}

// Find returns the limit with an id; it panics when there is none.
func Find(list []Limit, id string) Limit {
	for _, l := range list {
		if l.ID == id {
			return l
		}
	}
	panic("control: no limit " + id)
}

// Limits are this room's.
var Limits = []Limit{
	{"setup.linkage", "transmission angle over the travel used", 0.6981317007977318, "rad", true, "below 40° small errors and slop grow and the rod bends its pins", cite.NortonMachinery.At("40° to 45°", cite.Memory)},
	{"setup.travel", "servo travel used", 1, "1", false, "the transmitter sends no more", cite.Common.At("1000 to 2000 µs", cite.Practice)},
	{"setup.lean", "lean of the rod out of the plane of arm or horn", 20 * math.Pi / 180, "rad", false, "a fork on a flat horn binds at about 20°; a ball end takes 30°", cite.Choice.At("20°", cite.Practice)},
	{"setup.clearance", "clearance of arm and rod to the skin", 0.5e-3, "m", true, "skins flex and servos sit a little askew", cite.Choice.At("0.5 mm", cite.Practice)},
	{"setup.heights", "measured neutral against the one wanted", 1 * math.Pi / 180, "rad", false, "one degree of the pitch controls is felt as stick at once", cite.Choice.At("1°", cite.Practice)},
	{"setup.trim", "share of the pitch throw that trims", 0.5, "1", false, "half of the throw is left to fly with", cite.Choice.At("half", cite.Practice)},
	{"setup.pitch", "pitch throw over the throw wanted", 1, "1", true, "3 times the weight at the wanted speed, or nine tenths of what the wing can pull", cite.Choice.At("3 g", cite.Practice)},
	{"setup.roll", "roll throw over the throw wanted", 1, "1", true, "a roll helix angle pb/2V of 0.07 at full stick", cite.RollHelix.At("0.07", cite.Memory)},
}
