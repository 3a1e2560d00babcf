package control

import (
	"math"

	"fledge/internal/craft"
)

// ThrowRoom is how far a control may be thrown from its neutral, rad, up and
// down: as far as its servo turns within its travel and its pulses while the
// transmission angles at arm and horn stay above [Limits]. ok is false where no
// linkage that closes is described. Accurate to a 36th of the servo's travel,
// on the near side.
func ThrowRoom(ac *craft.Aircraft, surface, index int) (up, down float64, ok bool) {
	c := &ac.Surfaces[surface].Controls[index]
	lk := linkageFor(ac, c.Name)
	f, why := FlapOf(&ac.Surfaces[surface], c)
	if lk == nil || why != "" {
		return 0, 0, false
	}
	k, _, st := LinkageOf(lk, f)
	if st != OK {
		return 0, 0, false
	}
	travel, _ := ServoTravel(lk)
	travel = math.Min(travel, math.Pi)
	w, st := k.Travel(travel, travel, 72)
	if st != OK {
		return 0, 0, false
	}
	p, _ := PulseOf(lk, Hobby)
	least := Find(Limits, "setup.linkage").Value
	// Outwards from neutral: past the first place that is not allowed, nothing is.
	for _, way := range []float64{1, -1} {
		far := 0.0
		for i := range w.Rows {
			q := &w.Rows[i]
			if way < 0 {
				q = &w.Rows[len(w.Rows)-1-i]
			}
			if way*q.Theta < -1e-9 {
				continue
			}
			if !p.Within(p.Pulse(q.Theta)) || math.Min(q.AtArm, q.AtHorn) < least {
				break
			}
			far = q.Delta
		}
		up, down = math.Max(up, far-c.Trim), math.Max(down, c.Trim-far)
	}
	return up, down, true
}

// NoseUp is +1 when a surface's trailing edge goes up for nose up, -1 on a
// foreplane ahead of the centre of gravity.
func NoseUp(ac *craft.Aircraft, surface int) float64 { return senseOf(ac, surface, 0) }
