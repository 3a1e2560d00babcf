package strength

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
)

// flutterCaution is the plain warning of the screen.
const flutterCaution = "A screen without stiffness data clears nothing: flutter breaks an aeroplane in a second. Open the speed up in steps, in shallow dives at most, listen for buzz and watch the tips; land at once after any. Nobody under or near the line of flight."

// slow is the speed below which 1.2 times top speed raises no question of a
// control whose linkage is not described: 45 m/s, our choice; control flutter
// of small models is a matter of fast ones.
const slow = 45.0

// servoWindup is the angle a small servo's output winds up at its stall
// torque: gears, arm and case together. 3°, half to twice (90 %): our estimate; a
// frequency goes as its root.
const servoWindup = 3 * math.Pi / 180

// flapDensity is the mass of a control per area when it is not weighed:
// 0.9 kg/m², a sheeted or moulded flap of this size, half to twice (90 %): our
// estimate.
const flapDensity = 0.9

func (a *assessor) flutter() {
	ac, l := a.ac, &a.l
	if !(l.TopSpeed > 0) {
		a.add(Result{ID: "flutter", Label: "flutter screen", Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true, Because: "The top speed is not known.", Caution: flutterCaution})
		return
	}
	for si := range ac.Surfaces {
		s := &ac.Surfaces[si]
		for ci := range s.Controls {
			if f, why := control.FlapOf(s, &s.Controls[ci]); why == "" {
				a.screen(s, &s.Controls[ci], f)
			}
		}
	}
	a.rational()
}

// screen judges one control without knowing the wing's stiffness.
func (a *assessor) screen(s *craft.Surface, c *craft.Control, f control.Flap) {
	ac, l := a.ac, &a.l
	lk := linkageOf(ac, c.Name)
	neutral := control.Position{Ratio: nan}
	if lk != nil {
		if k, _, st := control.LinkageOf(lk, f); st == control.OK {
			neutral, _ = k.Neutral()
		}
	}
	if play, measured, known := playOf(lk, neutral.Ratio); known {
		doubt, how := 0.1, ""
		if !measured {
			doubt, how = 0.3, " Summed from the clearances of rod and servo, the worst case."
		}
		r := Result{
			ID: "play." + c.Name, Label: "free play of " + c.Name, Unit: "rad", Value: play, Sigma: doubt * play, Min: nan, Max: limit("play"), Safety: true, Caution: flutterCaution,
			Because: fmt.Sprintf("%.2f° from stop to stop.%s Above 0.57° look for the cause, above 1.15° do not fly. A full-size military code allows %.2f° for a control that reaches to %.0f %% of the half span; small models commonly exceed that.", play*180/math.Pi, how, PlayLimit(f.Outer, c.ChordShare >= 1)*180/math.Pi, f.Outer*100),
			How:     "holes that fit the rod, a longer horn with a longer arm, a servo with less play", Refs: []cite.Ref{cite.ControlPlay.At("free-play limits", cite.Memory), cite.AC4313.At("par. 4-36: measure it with a small load up and down", cite.Seen)},
		}.Judge()
		if r.Status == control.Pass && play > playWarn {
			r.Status = control.Doubtful
		}
		a.out = append(a.out, r)
	}
	r := Result{
		ID: "flutter." + c.Name, Label: "flutter screen of " + c.Name + ": its reduced frequency at 1.2 times top speed", Unit: "1", Value: nan, Min: limit("flutter"), Max: nan, Safety: true, Caution: flutterCaution,
		How:  "mass-balance it, a stiffer or shorter rod, a longer horn, a stronger servo; weigh the control and find its balance behind the hinge",
		Refs: []cite.Ref{control.Find(Limits, "flutter").Ref, cite.Report45.At("mass balance and rigidity", cite.Seen), cite.FAR23Flutter.At("to 1.2 times the design dive speed", cite.Seen)},
	}
	v := 1.2 * l.TopSpeed
	mass, weighed := c.Mass, c.Mass > 0
	if !weighed {
		mass = flapDensity * f.Chord * f.Span
	}
	inertia := PlateInertia(mass, f.Chord)
	balanced := c.BalanceKnown && c.Balance <= 0
	if weighed && c.Balance > 0 {
		// Measured centre of mass: the plate's inertia scaled by its square.
		inertia *= 4 * c.Balance * c.Balance / (f.Chord * f.Chord)
	}
	k, measured := l.Stiffness.Control[c.Name]
	rel := 0.15
	say := "measured stiffness"
	if measured && !(k > 0) {
		r.Value, r.Because = 0, "The control has no stiffness at all: a free surface of this kind flutters or flaps."
		a.add(r)
		return
	}
	if d := l.Stiffness.Doubt[c.Name]; measured && d > 0 {
		rel = math.Hypot(d/2, 0.07) // a frequency goes as the root; the inertia's own
	}
	if !measured {
		rel, say = 0.21, "stiffness estimated from the servo's torque (3° of wind-up at stall) and the rod"
		if lk == nil || !(lk.Torque > 0) {
			if v <= slow {
				r.Status, r.Because = control.NotAsked, fmt.Sprintf("No linkage is described, and 1.2 times top speed is only %.0f m/s.", v)
			} else {
				r.Status, r.Because = control.Unknown, fmt.Sprintf("No linkage with a servo's torque is described, and 1.2 times top speed is %.0f m/s: fast enough for a loose control to flutter.", v)
				r.How = "describe its servo's torque, arm, horn and rod under linkages"
			}
			a.add(r)
			return
		}
		ratio := math.Abs(neutral.Ratio)
		if !(ratio > 0) {
			ratio = lk.Arm / lk.Horn
		}
		rod := math.Inf(1)
		if lk.Rod > 0 && lk.RodDiameter > 0 {
			if m, ok := Find(or(lk.RodMaterial, "steel")); ok {
				rod = m.E * math.Pi / 4 * lk.RodDiameter * lk.RodDiameter / lk.Rod
			}
		}
		k = ControlStiffness(lk.Torque/servoWindup, ratio, rod, lk.Horn)
	}
	if !weighed {
		rel = math.Hypot(rel, 0.21)
	}
	if !(k > 0) || !(inertia > 0) {
		r.Value, r.Because = 0, "The control has no stiffness: arm, horn or rod are impossible."
		a.add(r)
		return
	}
	w := SurfaceFrequency(k, inertia)
	r.Value = w * f.Local / 2 / v
	r.Sigma = rel * r.Value
	r.Because = fmt.Sprintf("%.2f N m/rad (%s) and %.0f g of flap give %.0f Hz; reduced frequency at %.0f m/s.", k, say, mass*1e3, w/(2*math.Pi), v)
	if balanced {
		r.Min = limit("flutter.balanced")
		r.Because += " It is mass-balanced, which removes part of the coupling: less is asked."
	} else {
		if c.BalanceKnown {
			r.Because += " It is not mass-balanced."
		} else {
			r.Because += " Where it balances is not given (balance): it is taken as not mass-balanced."
		}
	}
	a.add(r)
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// rational is flutter and divergence of the wing from a tap test.
func (a *assessor) rational() {
	ac, l := a.ac, &a.l
	st := &l.Stiffness
	semi := ac.Ref.Span / 2
	v := 1.2 * l.TopSpeed
	r := Result{
		ID: "flutter.wing", Label: "flutter speed of the wing over top speed", Unit: "1", Value: nan, Min: limit("flutter.wing"), Max: nan, Safety: true, Caution: flutterCaution,
		How:  "a stiffer skin or a torsion tube, mass forward (tip weights ahead of the elastic axis), stiffer linkages, less speed",
		Refs: []cite.Ref{cite.TR496.At("strip theory with unsteady loads", cite.Derived), cite.FAR23Flutter.At("to 1.2 times the design dive speed", cite.Seen), cite.Conner1997.At("such theory meets a tunnel within 15 to 20 %", cite.Memory)},
	}
	gj := nan
	if semi > 0 && ac.Ref.Chord > 0 {
		// GJ that Report 45 asks for: c² s²/(2 GJ) <= 200/V².
		const ft, lbf = 0.3048, 4.4482216152605
		c, s := ac.Ref.Chord/ft, semi/ft
		gj = c * c * s * s / (2 * FlexibilityLimit(v)) * lbf * ft * ft
	}
	bent := ac.WingTest.Load > 0 && ac.WingTest.Moves > 0
	if st.TwistHz == 0 && st.BendHz == 0 && st.GJ == 0 && !bent {
		r.Status = control.NotAsked
		if gj > 0 {
			r.Because = fmt.Sprintf("No tap or twist test is given. As a published rigidity rule for light aeroplanes has it (recalled), the wing half should not twist more than %.1f° at the tip under 1 N m there.", semi/gj*180/math.Pi)
		}
		r.How = "hold the root, twist the tip with a known couple and read the angle; tap the wing and read bending and torsion frequency off a sound recording"
		a.add(r)
		return
	}
	if st.GJ > 0 || st.GJ < 0 {
		d := Result{ID: "divergence", Label: "divergence speed of the wing over top speed", Unit: "1", Min: limit("flutter.wing"), Max: nan, Value: nan, Safety: true, Caution: flutterCaution, How: "a stiffer wing in torsion", Refs: []cite.Ref{cite.Megson.At("uniform wing", cite.Seen)}}
		vd := DivergenceSpeed(st.GJ, l.Rho, (axisShare(st)-0.25)*ac.Ref.Chord, ac.Ref.Chord, semi, l.LiftSlope)
		switch {
		case math.IsInf(vd, 1):
			d.Status, d.Because = control.NotAsked, "The elastic axis is not behind the aerodynamic centre: it does not diverge."
		case math.IsNaN(vd):
			d.Value, d.Because = 0, "A torsional stiffness of zero or less: the wing would diverge at any speed."
		default:
			d.Value, d.Sigma = vd/l.TopSpeed, 0.15*vd/l.TopSpeed
			d.How = fmt.Sprintf("a wing of %.1f times the torsional stiffness, or ", math.Max(1, math.Pow(limit("flutter.wing")*(1+z90*0.15)*l.TopSpeed/vd, 2))) + slower(vd, 0.15)
			d.Because = fmt.Sprintf("%.0f m/s by strip theory for a uniform, unswept wing; aft sweep raises it, forward sweep lowers it.", vd)
		}
		a.add(d)
	}
	if st.GJ > 0 && gj > 0 {
		// Report 45's flexibility goes as 1/GJ.
		g := Result{
			ID: "rigidity", Label: "torsional stiffness of the wing over a published rule for light aeroplanes", Unit: "1", Value: st.GJ / gj, Sigma: 0.15 * st.GJ / gj, Min: limit("rigidity"), Max: nan, Caution: flutterCaution,
			Because: fmt.Sprintf("%.1f N m² by the twist test; the rule asks %.1f at %.0f m/s, 1.2 times top speed.", st.GJ, gj, v), How: "a stiffer skin, diagonal cloth, a torsion tube, less speed", Refs: []cite.Ref{control.Find(Limits, "rigidity").Ref},
		}.Judge()
		if g.Status == control.Fail {
			g.Status = control.Doubtful // a rule of thumb, recalled: the flutter speed decides
		}
		a.out = append(a.out, g)
	}
	half, names := a.half(semi)
	half, bend, twist, how := a.tuned(half)
	if !(twist > 0) || !(bend > 0) {
		if !(twist > 0) && !(bend > 0) {
			r.Status = control.NotAsked
			r.Because = "No test of bending and torsion is given."
		} else {
			r.Status, r.Because = control.Unknown, "Only one of bending and torsion is known: both are needed, each by a tap or by a load."
		}
		a.add(r)
		return
	}
	sol := half.Tuned(bend, twist, 2).Solve(2, Options{Damping: 0.02, Fastest: 5 * v})
	fl, found := sol.Flutter()
	div := sol.Divergence
	switch {
	case sol.Outcome == Unsound:
		r.Status, r.Because = control.Unknown, "Masses and frequencies are not those of a wing; read them again."
	case !found && !(div < 5*v):
		r.Status, r.Value, r.Sigma = control.Pass, 5*1.2, 1
		r.Because = fmt.Sprintf("No flutter or divergence below %.0f m/s; five times the speed looked for is shown.%s", 5*v, names)
	default:
		first, what := fl.V, fmt.Sprintf("flutter at %.0f m/s and %.0f Hz", fl.V, fl.Omega/(2*math.Pi))
		if !found || div < first {
			first, what = div, fmt.Sprintf("divergence at %.0f m/s", div)
		}
		r.Value, r.Sigma = first/l.TopSpeed, 0.18*first/l.TopSpeed
		r.How = slower(first, r.Sigma/r.Value) + ", or " + r.How
		if found && first == fl.V && r.Value < r.Min {
			if hz := a.stiffer(half, bend, twist, first, v); hz > twist {
				r.How = fmt.Sprintf("a wing that twists at %.0f Hz instead of %.0f; ", hz, twist) + r.How
			}
		}
		r.Because = fmt.Sprintf("By strip theory in two bending and two torsion shapes, %.0f Hz and %.0f Hz %s, 1 %% structural damping: %s.%s", bend, twist, how, what, names)
	}
	a.add(r)
}

// slower says how fast may be flown below a speed that must not be met, with
// its relative doubt: what a throttle limit or a mark on the speed has to hold.
func slower(speed, doubt float64) string {
	return fmt.Sprintf("no faster than %.0f m/s, dives as well", speed*(1-z90*doubt)/limit("flutter.wing"))
}

// stiffer finds a torsion frequency, Hz, at which the wing flutters only
// beyond a speed with its doubt: the flutter speed goes about as that
// frequency, so it is scaled, tried, and scaled again; NaN when three tries are
// not enough.
func (a *assessor) stiffer(half Half, bend, twist, first, v float64) float64 {
	want := v * (1 + z90*0.18)
	hz := twist
	for range 3 {
		hz *= 1.05 * want / first
		s := half.Tuned(bend, hz, 2).Solve(2, Options{Damping: 0.02, Fastest: 1.2 * want})
		fl, found := s.Flutter()
		if !(found && fl.V < want) && !(s.Divergence < want) {
			return hz
		}
		first = math.Min(want, s.Divergence)
		if found {
			first = math.Min(first, fl.V)
		}
	}
	return nan
}

// tuned scales the half's stiffness to the bend and twist tests and gives the
// frequencies, Hz: those tapped, else those that follow from the tests and the
// masses; NaN where neither is there. How is how they were come by.
func (a *assessor) tuned(h Half) (out Half, bend, twist float64, how string) {
	st, w := &a.l.Stiffness, &a.ac.WingTest
	out = h
	out.Slices = append([]Slice(nil), h.Slices...)
	place := func(at float64) float64 {
		if at > 0 {
			return math.Min(at, h.Span)
		}
		return h.Span
	}
	bent, twisted := w.Load > 0 && w.Moves > 0, w.Couple > 0 && w.Angle > 0
	var give, turn float64 // of the unscaled half: moves over load, angle over couple
	for _, s := range h.Slices {
		if d := place(w.LoadAt) - s.Y; d > 0 {
			give += d * d / s.EI * s.Width
		}
		if s.Y < place(w.CoupleAt) {
			turn += s.Width / s.GJ
		}
	}
	for i := range out.Slices {
		if bent {
			out.Slices[i].EI *= give * w.Load / w.Moves
		}
		if twisted {
			out.Slices[i].GJ *= turn * w.Couple / w.Angle
		}
	}
	b, t := out.Still(2)
	bend, twist = nan, nan
	tapped := 0
	if st.BendHz > 0 {
		bend, tapped = st.BendHz, 1
	} else if bent {
		bend = b / (2 * math.Pi)
	}
	if st.TwistHz > 0 {
		twist, tapped = st.TwistHz, tapped+1
	} else if twisted {
		twist = t / (2 * math.Pi)
	}
	return out, bend, twist, [...]string{"by the bend and twist test", "by tap and load", "by the tap test"}[tapped]
}

func axisShare(st *Stiffness) float64 {
	if st.Axis > 0 {
		return st.Axis
	}
	return 0.37
}

// half is the main wing's right half: mass spread like the chord, stiffness
// like its cube until tuned, and the outermost control with a measured
// stiffness. The string says what was taken.
func (a *assessor) half(semi float64) (Half, string) {
	ac, st := a.ac, &a.l.Stiffness
	if ac.Ref.Wing < 0 || ac.Ref.Wing >= len(ac.Surfaces) || !(semi > 0) {
		return Half{}, ""
	}
	w := &ac.Surfaces[ac.Ref.Wing]
	chordAt := func(y float64) float64 {
		for i := 1; i < len(w.Stations); i++ {
			p, q := w.Stations[i-1], w.Stations[i]
			if p.LE.Y <= y && y <= q.LE.Y && q.LE.Y > p.LE.Y {
				return p.Chord + (y-p.LE.Y)/(q.LE.Y-p.LE.Y)*(q.Chord-p.Chord)
			}
		}
		return ac.Ref.Chord
	}
	bal, r2 := st.Balance, st.Radius2
	if !(bal > 0) {
		bal = 0.43
	}
	if !(r2 > 0) {
		r2 = 0.25
	}
	say := " The root is held: a light tailless body that pitches with the wing can flutter earlier. Sweep is left out."
	const n = 24
	h := Half{Span: semi, Rho: a.l.Rho}
	area := 0.0
	for i := range n {
		y := semi * (float64(i) + 0.5) / n
		c := chordAt(y)
		area += c * semi / n
		h.Slices = append(h.Slices, Slice{Y: y, Width: semi / n, Chord: c, Axis: axisShare(st), Balance: bal, EI: c * c * c, GJ: c * c * c})
	}
	perArea := st.PerSpan / chordAt(0.75*semi)
	if !(st.PerSpan > 0) {
		wing := a.wingMass()
		if !(wing > 0) {
			wing = 0.3 * ac.Mass.Total
			say += " The wing's mass is taken as 30 % of the whole."
		}
		perArea = wing / 2 / area
	}
	for i := range h.Slices {
		s := &h.Slices[i]
		s.PerSpan = perArea * s.Chord
		s.Inertia = s.PerSpan * s.Chord * s.Chord / 4 * r2
	}
	for ci := len(w.Controls) - 1; ci >= 0; ci-- {
		c := &w.Controls[ci]
		f, why := control.FlapOf(w, c)
		k := st.Control[c.Name]
		if why != "" || !(k > 0) || c.ChordShare >= 1 {
			continue
		}
		mass, back := c.Mass, c.Balance
		if !(mass > 0) {
			mass, back = flapDensity*f.Chord*f.Span, f.Chord/2
		}
		lo, hi := math.Min(c.From, c.To), math.Max(c.From, c.To)
		hit := 0
		for i := range h.Slices {
			if s := &h.Slices[i]; s.Y >= lo && s.Y <= hi {
				s.Flap, s.SBeta, s.IBeta = c.ChordShare, mass*back/f.Span, PlateInertia(mass, f.Chord)/f.Span
				hit++
			}
		}
		if hit > 0 {
			h.KBeta = k
			say += " With " + c.Name + " on its measured stiffness."
			break
		}
	}
	return h, say
}
