package radio

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// FromAircraft makes the links of an aircraft, in the order of the build; ok
// is false for those that miss something without an honest default.
func FromAircraft(ac *craft.Aircraft) (links []Link, ok []bool) {
	surface := ac.Day.Surface
	var boxes []Box
	for i := range ac.Parts {
		switch p := &ac.Parts[i]; p.Kind {
		case "battery", "motor", "controller", "autopilot":
			if p.SizeKnown {
				boxes = append(boxes, Box{Name: p.Name, At: p.At, Size: p.Size})
			}
		}
	}
	var walls []Obstacle
	for _, o := range ac.Obstacles {
		walls = append(walls, Obstacle{Name: o.Name, Ahead: o.At.Ahead, Right: o.At.Right, Width: o.Width, Height: o.Height, Turned: o.Turned, Depth: o.Leaves})
	}
	for i := range ac.Radios {
		r := &ac.Radios[i]
		air, _ := KindOf(r.Antenna)
		ground, _ := KindOf(r.GroundAntenna)
		l := Link{
			Name: r.Name, Use: r.Use, Frequency: r.Frequency, Power: DBm(r.Power), Up: r.Use == "control",
			Threshold: r.Sensitivity, Loss: r.Loss, AirAt: r.At, Height: r.GroundHeight,
			Air:     Antenna{Kind: air, Gain: r.AirGain, Axis: airAxis(r.Aim), Left: r.Left, Fill: Filled},
			Station: Antenna{Kind: ground, Gain: r.GroundGain, Axis: r3.Vec{Z: 1}, Left: r.GroundLeft, Fill: Filled},
			Ground:  GroundOf(surface), Obstacles: walls, Boxes: boxes,
		}
		switch r.GroundAim {
		case "across":
			l.Station.Axis = r3.Vec{Y: 1}
		case "ahead":
			sb, cb := math.Sincos(r.Bearing)
			se, ce := math.Sincos(r.Elevation)
			l.Station.Axis = r3.Vec{X: ce * cb, Y: ce * sb, Z: se}
		case "followed":
			l.Follow = ground.Beam
		}
		if !ground.Beam && r.GroundAim == "ahead" {
			l.Station.Axis = r3.Vec{X: 1}
		}
		l.Ready()
		links = append(links, l)
		ok = append(ok, r.Missing == "")
	}
	return links, ok
}

// airAxis is the direction of a wire or beam on the aeroplane (x aft, y right,
// z up) by its word.
func airAxis(aim string) r3.Vec {
	switch aim {
	case "along":
		return r3.Vec{X: -1}
	case "aft":
		return r3.Vec{X: 1}
	case "across":
		return r3.Vec{Y: 1}
	case "down":
		return r3.Vec{Z: -1}
	}
	return r3.Vec{Z: 1}
}
