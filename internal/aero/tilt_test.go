package aero

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// A disc tilted down by an angle meets the stream as a straight one does at
// so much less angle of attack, and a disc turned right as one does in so much
// sideslip: its force across the axis is the same, to the square of the tilt.
func TestTiltedDisc(t *testing.T) {
	const deg = math.Pi / 180
	force := func(down, right, alpha, beta float64) (y, z float64) {
		tl := tailless()
		tl.Power.Propeller = craft.Propeller{Diameter: 0.15, Pitch: 0.12, Blades: 2, At: r3.Vec{X: 0.33}}
		tl.Power.Down, tl.Power.Right = down, right
		m := model(t, tl)
		for i := range m.groups {
			m.groups[i].slip = 0
		}
		m.prop.scrub = 0
		k := Neutral()
		f := m.Still(15)
		f.Alpha, f.Beta = alpha, beta
		var off, on Loads
		m.Eval(&f, &k, &off)
		f.PropOn, f.Thrust = true, 4
		m.Eval(&f, &k, &on)
		return on.F.Y - off.F.Y, on.F.Z - off.F.Z
	}
	_, level := force(0, 0, 3*deg, 0)
	if !(level < 0) {
		t.Fatalf("at 3 degrees the disc pulls %g N down", level)
	}
	tl := tailless()
	tl.Power.Propeller = craft.Propeller{Diameter: 0.15, Pitch: 0.12, Blades: 2, At: r3.Vec{X: 0.33}}
	up := model(t, tl).prop.up // the wing's upwash is part of the angle there
	if _, z := force(3*deg*up, 0, 3*deg, 0); math.Abs(z) > 0.01*math.Abs(level) {
		t.Errorf("tilted down by the angle of the flow it pulls %g N across, straight %g N", z, level)
	}
	if _, z := force(-3*deg*up, 0, 3*deg, 0); math.Abs(z-2*level) > 0.01*math.Abs(level) {
		t.Errorf("tilted up as much it pulls %g N across, straight %g N", z, level)
	}
	y0, _ := force(0, 0, 0, 3*deg)
	if !(y0 < 0) {
		t.Fatalf("in wind from the right the disc pulls %g N to the right", y0)
	}
	if y, _ := force(0, 3*deg, 0, 3*deg); math.Abs(y) > 0.01*math.Abs(y0) {
		t.Errorf("turned into the wind it pulls %g N across, straight %g N", y, y0)
	}
}
