package assess

import (
	"math"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// Throw is one way of one control, set at the transmitter.
type Throw struct {
	Surface, Control string
	Down             bool    // the way down, else up
	Now, Most        float64 // rad from its neutral: set, and what may be set
}

// What a usual hinge gives, rad: common practice, no source.
const (
	mostPitch = 25 * math.Pi / 180
	mostRoll  = 30 * math.Pi / 180
)

// PitchThrows lists the throws that raise the nose (down on a foreplane),
// RollThrows the upward ones that roll: each as far as a usual hinge gives, its
// servo turns and its rod stands well; never less than now.
func PitchThrows(ac *craft.Aircraft) []Throw {
	return throws(ac, mostPitch, func(c *craft.Control) bool { return c.Pitch > 0 }, true)
}

// RollThrows are described with [PitchThrows].
func RollThrows(ac *craft.Aircraft) []Throw {
	return throws(ac, mostRoll, func(c *craft.Control) bool { return c.Roll > 0 }, false)
}

func throws(ac *craft.Aircraft, most float64, mine func(*craft.Control) bool, nose bool) []Throw {
	var out []Throw
	for si := range ac.Surfaces {
		for ci := range ac.Surfaces[si].Controls {
			c := &ac.Surfaces[si].Controls[ci]
			if !mine(c) {
				continue
			}
			t := Throw{Surface: ac.Surfaces[si].Name, Control: c.Name, Now: c.ThrowUp, Most: most}
			up, down, ok := control.ThrowRoom(ac, si, ci)
			if nose && control.NoseUp(ac, si) < 0 {
				t.Down, t.Now, up = true, c.ThrowDown, down
			}
			if ok {
				t.Most = math.Min(most, up)
			}
			t.Most = math.Max(t.Most, t.Now)
			out = append(out, t)
		}
	}
	return out
}
