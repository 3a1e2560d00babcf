package control

import "math"

// Throws are one control's deflections at full stick, trailing edge up
// positive: neutral trim, and what each axis adds at full stick. Up and
// Down are both positive.
type Throws struct{ Trim, Up, Down float64 }

// Mix is how one pair of surfaces takes its commands. Shares are 0 or 1.
type Mix struct {
	Pitch, Roll, Yaw Throws
	// YawSign is +1 when nose right wants the right surface trailing edge
	// up, as on a V-tail standing below the body, -1 on one standing above.
	YawSign float64
}

// Pair is the right and the left surface.
type Pair struct{ Right, Left float64 }

// Surfaces gives the deflections, rad, for stick positions -1..1 (up, right
// wing down, nose right positive). Axis commands add; the throw of each
// axis is taken on the side it moves to (differential). Trim is added once.
func (m Mix) Surfaces(pitch, roll, yaw float64) Pair {
	side := func(t Throws, s float64) float64 {
		if s >= 0 {
			return s * t.Up
		}
		return s * t.Down
	}
	base := m.Pitch.Trim + side(m.Pitch, pitch)
	return Pair{
		Right: base + side(m.Roll, roll) + side(m.Yaw, yaw*m.YawSign),
		Left:  base + side(m.Roll, -roll) + side(m.Yaw, -yaw*m.YawSign),
	}
}

// MixRow is one line of a mixing table.
type MixRow struct {
	Stick            string
	Pitch, Roll, Yaw float64
	Pair
}

// Table lists the stick positions that set the ends of the servos' travel:
// centre, full each way, and the corners. Rows for an axis without throws are
// left out.
func (m Mix) Table() []MixRow {
	out := []MixRow{{Stick: "centre"}}
	add := func(name string, p, r, y float64) { out = append(out, MixRow{Stick: name, Pitch: p, Roll: r, Yaw: y}) }
	has := func(t Throws) bool { return t.Up != 0 || t.Down != 0 }
	p, r, y := has(m.Pitch), has(m.Roll), has(m.Yaw)
	if p {
		add("full up", 1, 0, 0)
		add("full down", -1, 0, 0)
	}
	if r {
		add("full right roll", 0, 1, 0)
		add("full left roll", 0, -1, 0)
	}
	if y {
		add("full nose right", 0, 0, 1)
		add("full nose left", 0, 0, -1)
	}
	if p && r {
		add("up and right roll", 1, 1, 0)
		add("down and right roll", -1, 1, 0)
	}
	if p && y {
		add("up and nose right", 1, 0, 1)
		add("down and nose right", -1, 0, 1)
	}
	for i := range out {
		out[i].Pair = m.Surfaces(out[i].Pitch, out[i].Roll, out[i].Yaw)
	}
	return out
}

// Extremes are the largest deflections up and down (both positive) over all
// stick positions: what linkage and servo must reach.
func (m Mix) Extremes() (up, down float64) {
	for _, p := range []float64{-1, 0, 1} {
		for _, r := range []float64{-1, 0, 1} {
			for _, y := range []float64{-1, 0, 1} {
				s := m.Surfaces(p, r, y)
				up = math.Max(up, math.Max(s.Right, s.Left))
				down = math.Max(down, -math.Min(s.Right, s.Left))
			}
		}
	}
	return up, down
}

// Shares splits a transmitter's servo travel among two mixed axes: the
// percentages (0..1) to enter so that each axis alone moves its own
// deflection when full travel of the servo gives full, rad. over says by how
// much the corners ask for more than the servo has (0: they fit): they are
// then cut off unless both are reduced.
func Shares(a, b, full float64) (first, second, over float64) {
	if !(full > 0) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	first, second = a/full, b/full
	return first, second, math.Max(0, first+second-1)
}

// Differential is how much less a control goes down than up: 0 for equal
// throws, 1 when it goes up only. NaN when up is not positive.
func Differential(up, down float64) float64 {
	if !(up > 0) {
		return math.NaN()
	}
	return 1 - down/up
}

// EdgeHeight is how far the trailing edge stands off its neutral, square to
// the chord: m, from the control's chord behind the hinge (m) and deflection (rad).
func EdgeHeight(chord, delta float64) float64 { return chord * math.Sin(delta) }

// FromHeight turns a measured height of the trailing edge back into a
// deflection with its standard deviation: height and sigma in m over the
// control's chord at the place of the ruler. ok is false when the height is
// more than the chord.
func FromHeight(chord, height, sigma float64) (delta, sd float64, ok bool) {
	if !(chord > 0) || !(math.Abs(height) < chord) {
		return 0, 0, false
	}
	delta = math.Asin(height / chord)
	return delta, math.Abs(sigma) / math.Sqrt(chord*chord-height*height), true
}

// Reading is trailing-edge heights off the chord line at one pair of
// surfaces, m, up positive, at stick centre and both ends of one axis.
type Reading struct {
	Chord                        float64 // behind the hinge at the ruler
	Sigma                        float64 // of one height
	RightUp, RightMid, RightDown float64
	LeftUp, LeftMid, LeftDown    float64
}

// Found is what a reading says is set.
type Found struct {
	Reflex, Uneven, Sigma float64 // mean of the two neutrals; right less left; standard deviation of one angle
	RightUp, RightDown    float64 // throws from neutral, both positive
	LeftUp, LeftDown      float64
	Differential          float64 // mean of both sides
	RollAsked             float64 // roll-axis deflection set by the unevenness: half the difference
}

// Read goes from measured heights back to what is set. ok is false when a
// height exceeds the chord.
func (r Reading) Read() (Found, bool) {
	var f Found
	var a [6]float64
	for i, h := range []float64{r.RightUp, r.RightMid, r.RightDown, r.LeftUp, r.LeftMid, r.LeftDown} {
		d, sd, ok := FromHeight(r.Chord, h, r.Sigma)
		if !ok {
			return f, false
		}
		a[i], f.Sigma = d, math.Max(f.Sigma, sd)
	}
	f.Reflex, f.Uneven = (a[1]+a[4])/2, a[1]-a[4]
	f.RightUp, f.RightDown, f.LeftUp, f.LeftDown = a[0]-a[1], a[1]-a[2], a[3]-a[4], a[4]-a[5]
	f.Differential = Differential(f.RightUp+f.LeftUp, f.RightDown+f.LeftDown)
	f.RollAsked = f.Uneven / 2
	return f, true
}
