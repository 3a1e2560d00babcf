package control

import (
	"math"
	"testing"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// The room of a throw is where the servo ends or the rod stands too slant: by
// hand for a parallelogram, which turns the surface as far as the servo.
func TestThrowRoom(t *testing.T) {
	const deg = math.Pi / 180
	made := func(travel, trim, horn float64) *craft.Aircraft {
		return &craft.Aircraft{
			Surfaces: []craft.Surface{{Name: "tail", Mirrored: true, Stations: []craft.Station{{LE: r3.Vec{}, Chord: 0.1}, {LE: r3.Vec{Y: 0.2}, Chord: 0.1}},
				Controls: []craft.Control{{Name: "elevator", From: 0, To: 0.2, ChordShare: 0.3, Pitch: 1, ThrowUp: 12 * deg, ThrowDown: 12 * deg, Trim: trim}}}},
			Linkages: []craft.Linkage{{Control: "elevator", Arm: 0.01, Horn: horn, Rod: 0.1, Travel: travel}},
		}
	}
	for _, k := range []struct {
		what               string
		travel, trim, horn float64
		up, down           float64
	}{
		{"the servo ends at 30 degrees", 30 * deg, 0, 0.01, 30 * deg, 30 * deg},
		{"a neutral 2 degrees up leaves 28 up and 32 down", 30 * deg, 2 * deg, 0.01, 28 * deg, 32 * deg},
		{"45 degrees of travel: an angle of 45 is left, more than 40", 45 * deg, 0, 0.01, 45 * deg, 45 * deg},
		{"60 degrees of travel: the pulses end at 50, and there 40 degrees are left", 60 * deg, 0, 0.01, 50 * deg, 50 * deg},
	} {
		up, down, ok := ThrowRoom(made(k.travel, k.trim, k.horn), 0, 0)
		step := 2 * k.travel / 72
		if !ok || up > k.up+1e-6 || up < k.up-step-1e-6 || down > k.down+1e-6 || down < k.down-step-1e-6 {
			t.Errorf("%s: %.2f up, %.2f down, %v", k.what, up/deg, down/deg, ok)
		}
	}
	// What the room allows, the set-up sheet passes: the servo gets there.
	ac := made(45*deg, 0, 0.014)
	up, _, _ := ThrowRoom(ac, 0, 0)
	ac.Surfaces[0].Controls[0].ThrowUp = up
	for _, r := range Assess(ac, nil, Wish{Brief: true}).Results {
		if (r.ID == "setup.linkage.elevator" || r.ID == "setup.travel.elevator") && r.Value > r.Max || r.Value < r.Min {
			t.Errorf("thrown as far as there is room, %s: %+v", r.ID, r)
		}
	}
	if _, _, ok := ThrowRoom(&craft.Aircraft{Surfaces: ac.Surfaces}, 0, 0); ok {
		t.Error("a room without a linkage")
	}
}
