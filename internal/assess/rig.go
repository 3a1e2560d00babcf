package assess

import (
	"strings"

	"fledge/internal/craft"
	"fledge/internal/strength"
)

// Rigged tells whether ac differs from the chain's aircraft, by its knobs
// (see craft.Turn), in linkages, servos and strength parts alone.
func (c *Chain) Rigged(ac *craft.Aircraft) bool {
	if len(ac.Knobs) != len(c.Aircraft.Knobs) {
		return false
	}
	for i := range ac.Knobs {
		k := &ac.Knobs[i]
		if k.Value != c.Aircraft.Knobs[i].Value && !strings.HasPrefix(k.Path, "linkages.") && !strings.HasPrefix(k.Path, "strength.") {
			return false
		}
	}
	return true
}

// Rig judges anew what linkages, servos and strength parts change; speeds,
// currents, temperatures and the launch are those of base, a run of an aircraft
// that is [Chain.Rigged] alike. For searches: the drag of a longer horn is left
// out, a proof flies with it.
func (c *Chain) Rig(base *Results) *Results {
	r := *base
	r.Aircraft, r.Hash = c.Aircraft, c.Aircraft.Hash
	r.Strength = strength.Assess(c.Aircraft, c.loads(&r))
	r.Setup = c.setup(&r)
	return &r
}

// HornMaterials says of a horn's material whether it is printed in layers and
// whether a plate of glass would be the stronger horn.
func HornMaterials(material string) (printed, weaker bool) {
	m, ok := strength.Find(material)
	glass, _ := strength.Find("GRP")
	return ok && m.Across < 1, ok && m.Tension*m.Workmanship*m.Across < glass.Tension*glass.Workmanship
}
