package craft

import (
	"math"

	"fledge/internal/build"
	"fledge/internal/unit"
)

// linkage takes the rest of a linkage: pulse, place, room, stiffness, play.
// Nothing here has a default: what uses it says so. A search may turn these
// numbers but they are not drawn: nothing that is drawn hangs on them, and the
// rooms that use them carry their doubt.
func (m *maker) linkage(j int, path string, b *build.Linkage) {
	lk := func(a *Aircraft) *Linkage { return &a.Linkages[j] }
	l := lk(m.ac)
	of := " of " + b.Control.S
	take := func(v build.Value, key, label, dim string, low, high float64, field func(*Linkage) *float64) {
		m.knob(v, path+"."+key, label+of, dim, low, high, func(a *Aircraft) *float64 { return field(lk(a)) })
	}
	take(b.Speed, "speed", "no-load speed of the servo", "angular rate", positive, 100, func(l *Linkage) *float64 { return &l.Speed })
	take(b.Travel, "travel", "servo travel", "angle", positive, math.Pi/2, func(l *Linkage) *float64 { return &l.Travel })
	take(b.Play, "play", "free play", "angle", 0, 0.5, func(l *Linkage) *float64 { return &l.Play })
	take(b.HolePlay, "hole_play", "clearance of the rod's ends", "length", 0, 0.01, func(l *Linkage) *float64 { return &l.HolePlay })
	take(b.ServoPlay, "servo_play", "free play of the servo", "angle", 0, 0.5, func(l *Linkage) *float64 { return &l.ServoPlay })
	take(b.Pulse.Centre, "pulse.centre", "pulse at the arm's neutral", "time", 5e-4, 25e-4, func(l *Linkage) *float64 { return &l.Pulse.Centre })
	take(b.Place.ArmLean, "place.arm_lean", "lean of the servo arm", "angle", -1.4, 1.4, func(l *Linkage) *float64 { return &l.Place.ArmLean })
	take(b.Place.HornLean, "place.horn_lean", "lean of the horn", "angle", -1.4, 1.4, func(l *Linkage) *float64 { return &l.Place.HornLean })
	take(b.Place.Drop, "place.drop", "hinge line below the servo's shaft", "length", -0.1, 0.1, func(l *Linkage) *float64 { return &l.Place.Drop })
	take(b.Place.Aside, "place.aside", "horn outboard of the servo arm", "length", -0.2, 0.2, func(l *Linkage) *float64 { return &l.Place.Aside })
	take(b.Place.Reach, "place.reach", "servo shaft to hinge line", "length", positive, 2, func(l *Linkage) *float64 { return &l.Place.Reach })
	l.Place.Skewed = b.Place.Skew.Given
	take(b.Place.Skew, "place.skew", "skew of the hinge line", "angle", -1.4, 1.4, func(l *Linkage) *float64 { return &l.Place.Skew })
	take(b.Skin.Above, "skin.above", "room above the servo's shaft", "length", positive, 0.2, func(l *Linkage) *float64 { return &l.Skin.Above })
	take(b.Skin.Below, "skin.below", "room below the servo's shaft", "length", positive, 0.2, func(l *Linkage) *float64 { return &l.Skin.Below })
	p := b.Pulse
	l.Pulse.PerRad, l.Pulse.Low, l.Pulse.High, l.Pulse.Step = p.PerDegree.Value/deg, p.Low.Value, p.High.Value, p.Step.Value
	l.Skin.Slot = b.Skin.Slot.Value
	l.StallCurrent, l.Print, l.HornHeat, l.HornCycles = b.StallCurrent.Value, b.Print.S, b.HornHeat.Value, b.HornCycles.N
	switch t := b.PushTest; {
	case b.Stiffness.Given:
		l.StiffnessDoubt = relative(b.Stiffness)
		take(b.Stiffness, "stiffness", "stiffness", "rotational stiffness", positive, 1e5, func(l *Linkage) *float64 { return &l.Stiffness })
	case t.Push.Given || t.Behind.Given || t.Moves.Given:
		for _, v := range []struct {
			v    build.Value
			name string
		}{{t.Push, "push"}, {t.Behind, "behind"}, {t.Moves, "moves"}} {
			if !v.v.Given {
				m.errorf(b.Control.Span, "missing", "a push test is a push, how far behind the hinge, and how far that place moves", "the push test%s has no %s", of, v.name)
				return
			}
		}
		l.StiffnessDoubt = math.Sqrt(math.Pow(relative(t.Push), 2) + math.Pow(relative(t.Behind), 2) + math.Pow(relative(t.Moves), 2))
		// Moment over angle.
		l.Stiffness = t.Push.Value * t.Behind.Value / math.Atan(t.Moves.Value/t.Behind.Value)
	}
}

// relative is the doubt of a given value, one standard deviation over it.
func relative(v build.Value) float64 {
	s := v.Sigma
	if !v.Stated {
		s, _ = unit.Spread(v.Dim, v.Word, v.Value)
	}
	return math.Abs(s / v.Value)
}

// heights takes the ruler behind the controls.
func (m *maker) heights() {
	for i := range m.b.Surfaces {
		for j := range m.b.Surfaces[i].Controls {
			if i >= len(m.ac.Surfaces) || j >= len(m.ac.Surfaces[i].Controls) {
				continue
			}
			b := &m.b.Surfaces[i].Controls[j].Heights
			h := &m.ac.Surfaces[i].Controls[j].Heights
			m.ac.Surfaces[i].Controls[j].BalanceKnown = m.b.Surfaces[i].Controls[j].Balance.Given
			read := func(v build.Value) float64 {
				if !v.Given {
					return math.NaN()
				}
				h.Sigma = math.Max(h.Sigma, v.Sigma)
				if b.Chord.Given && math.Abs(v.Value) >= b.Chord.Value {
					m.errorf(v.Span, "impossible", "heights are off the chord line, the chord is hinge to trailing edge", "an edge stands %s off a chord of %s", v.Text, b.Chord.Text)
				}
				return v.Value
			}
			h.RightUp, h.RightMid, h.RightDown = read(b.RightUp), read(b.RightMid), read(b.RightDown)
			h.LeftUp, h.LeftMid, h.LeftDown = read(b.LeftUp), read(b.LeftMid), read(b.LeftDown)
			h.Chord = b.Chord.Value
			any := b.RightUp.Given || b.RightMid.Given || b.RightDown.Given || b.LeftUp.Given || b.LeftMid.Given || b.LeftDown.Given
			if any && !b.Chord.Given {
				for _, v := range []build.Value{b.RightUp, b.RightMid, b.RightDown, b.LeftUp, b.LeftMid, b.LeftDown} {
					if v.Given {
						m.errorf(v.Span, "missing", `add "chord:", hinge to trailing edge where the ruler stands`, "heights of %s without the chord there", m.ac.Surfaces[i].Controls[j].Name)
						break
					}
				}
			}
			if h.Sigma == 0 {
				h.Sigma = 0.25e-3 // a ruler held in the hand, ±0.5 mm: our choice
			}
		}
	}
}

// strength takes what is known of the load-bearing parts. Sizes may be
// turned by a search but are not drawn: the room's own doubt of strength is
// far wider than a calliper's.
func (m *maker) strength() {
	s := &m.b.Strength
	spar := func(b *build.SparBlock, path, label string, at func(*Aircraft) *Spar) {
		*at(m.ac) = Spar{Kind: b.Kind.S, Material: b.Material.S, Along: b.At.Value, Moment: b.Moment.Value}
		m.knob(b.Outer, path+".outer", "outer size of the "+label, "length", 0, 1, func(a *Aircraft) *float64 { return &at(a).Outer })
		m.knob(b.Inner, path+".inner", "inside of the "+label, "length", 0, 1, func(a *Aircraft) *float64 { return &at(a).Inner })
		m.knob(b.Width, path+".width", "width of the "+label, "length", 0, 1, func(a *Aircraft) *float64 { return &at(a).Width })
	}
	spar(&s.Spar, "strength.spar", "spar", func(a *Aircraft) *Spar { return &a.Spar })
	spar(&s.Joiner, "strength.joiner", "joiner", func(a *Aircraft) *Spar { return &a.Joiner })
	h := &s.Hook
	m.ac.HookPad = HookPad{Known: h.Material.Given || h.Holds.Given, Material: h.Material.S, Holds: h.Holds.Value}
	m.knob(h.Diameter, "strength.hook.diameter", "diameter of the hook's wire", "length", 0, 1, func(a *Aircraft) *float64 { return &a.HookPad.Diameter })
	m.knob(h.Proud, "strength.hook.proud", "stand-off of the hook", "length", 0, 1, func(a *Aircraft) *float64 { return &a.HookPad.Proud })
	m.knob(h.PadLong, "strength.hook.pad_length", "length of the hook's pad", "length", 0, 1, func(a *Aircraft) *float64 { return &a.HookPad.PadLong })
	m.knob(h.PadWide, "strength.hook.pad_width", "width of the hook's pad", "length", 0, 1, func(a *Aircraft) *float64 { return &a.HookPad.PadWide })
	for i := range s.Bolts {
		b := &s.Bolts[i]
		m.ac.Bolts = append(m.ac.Bolts, Bolt{Holds: b.Holds.S, Material: b.Material.S, Into: b.Into.S, Seat: b.Seat.S, Count: max(1, b.Count.N)})
		path := at("strength.bolts", b.Holds.S, i)
		bolt := func(a *Aircraft) *Bolt { return &a.Bolts[i] }
		m.knob(b.Diameter, path+".diameter", "diameter of the bolts of the "+b.Holds.S, "length", 0, 1, func(a *Aircraft) *float64 { return &bolt(a).Diameter })
		m.knob(b.Engaged, path+".engaged", "thread engaged, bolts of the "+b.Holds.S, "length", 0, 1, func(a *Aircraft) *float64 { return &bolt(a).Engaged })
		m.knob(b.Washer, path+".washer", "washer of the bolts of the "+b.Holds.S, "length", 0, 1, func(a *Aircraft) *float64 { return &bolt(a).Washer })
		m.knob(b.Lever, path+".lever", "lever of the bolts of the "+b.Holds.S, "length", 0, 1, func(a *Aircraft) *float64 { return &bolt(a).Lever })
	}
	w := &s.Wing
	m.ac.WingTest = WingTest{
		Bend: w.Bend.Value, Twist: w.Twist.Value, Axis: w.Axis.Value, Balance: w.Balance.Value, HalfMass: w.HalfMass.Value,
		Couple: w.TwistTest.Couple.Value, Angle: w.TwistTest.Angle.Value, CoupleAt: w.TwistTest.At.Value,
		Load: w.BendTest.Load.Value, Moves: w.BendTest.Moves.Value, LoadAt: w.BendTest.At.Value,
	}
	pair := func(a, b build.Value, what, hint string) {
		if a.Given == b.Given {
			return
		}
		span := a.Span
		if b.Given {
			span = b.Span
		}
		m.errorf(span, "missing", hint, "%s", what)
	}
	pair(w.TwistTest.Couple, w.TwistTest.Angle, "the twist test lacks its couple or its angle", "a twist test is a couple and the angle it gives")
	pair(w.BendTest.Load, w.BendTest.Moves, "the bend test lacks its load or how far it moves", "a bend test is a load and how far its place gives way")
}

// knob takes a number that a search may turn and that is not drawn.
func (m *maker) knob(v build.Value, path, label, dim string, low, high float64, field func(*Aircraft) *float64) {
	if !v.Given {
		return
	}
	set := func(a *Aircraft, x float64) { *field(a) = x }
	set(m.ac, v.Value)
	m.ac.Knobs = append(m.ac.Knobs, Knob{Path: path, Label: label, Dim: dim, Value: v.Value, Given: true, Low: low, High: high, set: set})
}
