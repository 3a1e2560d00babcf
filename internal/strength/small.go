package strength

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
)

// shearShare is the shear strength of a screw over its tensile strength: a
// ductile metal or plastic by the distortion-energy rule.
const shearShare = 0.577

// Together is how many times a pull and a shear at once may grow before a
// screw that holds pull alone or shear alone gives way: the ellipse
// (t/T)² + (s/S)² = 1 of fastener practice.
func Together(pull, holdsPull, shear, holdsShear float64) float64 {
	return 1 / math.Hypot(pull/holdsPull, shear/holdsShear)
}

// small judges the screws of servos and motor, and what holds the controls
// along their hinge lines.
func (a *assessor) small() {
	for i := range a.ac.Bolts {
		switch b := &a.ac.Bolts[i]; b.Holds {
		case "servo":
			a.servoScrews(b)
		case "motor":
			a.motorScrews(b)
		}
	}
	a.alongHinges()
}

// screws is the common part of a set of screws: what one of them holds in
// pull and in shear. ok is false when nothing is said of them.
func (a *assessor) screws(b *craft.Bolt, what, how string) (r Result, pull, shear float64, say string, ok bool) {
	own, thread, seat, refs := a.hold(b)
	v, goes := weakest(own, thread, seat)
	r = Result{
		ID: "bolts." + b.Holds, Label: "strength of the screws of " + what + " over their load", Unit: "1", Value: nan, Min: a.factor(), Max: nan, Safety: true,
		Caution: proofFirst, How: how, Refs: append([]cite.Ref{factorRef, cite.Shigley.At("shear 0.577 of tension; pull and shear as an ellipse", cite.Memory)}, refs...),
	}
	if math.IsInf(v, 1) || !(b.Diameter > 0) {
		r.Status, r.Because, r.How = control.Unknown, "Diameter and material of the screws, or what they are screwed into, are not given.", "give diameter, material, into, engaged"
		return r, 0, 0, "", false
	}
	shear = math.Inf(1)
	if !math.IsInf(own, 1) {
		shear = shearShare * own
	}
	say = fmt.Sprintf("each holds %.0f N before %s", v, goes)
	// Side load bears on what the thread sits in, over the length engaged.
	if m, found := Find(b.Into); found && b.Engaged > 0 {
		s, wood := seats[b.Into]
		if !wood {
			s = m.Compression * m.Workmanship * m.Warm(a.l.Temperature+sunK)
		}
		if x := s * b.Diameter * b.Engaged; x < shear {
			shear = x
			say += fmt.Sprintf(" and %.0f N sideways before its hole is crushed", x)
		}
	}
	return r, v, shear, say, true
}

// A servo's arm stands above its lugs, and its case is as long as this, m,
// where the spacing of its screws is not given: small servos, common practice.
const (
	armHeight = 12e-3
	lugs      = 28e-3
)

func (a *assessor) servoScrews(b *craft.Bolt) {
	r, pull, shear, say, ok := a.screws(b, "the servos", "longer or more screws, hardwood or plywood under them, glue on the case as well, a weaker servo setting")
	if !ok {
		a.add(r)
		return
	}
	if !(a.most.force > 0) {
		r.Status, r.Because = control.Unknown, "No linkage with a known force is described; "+say+"."
		a.add(r)
		return
	}
	lever, note := b.Lever, ""
	if !(lever > 0) {
		lever, note = lugs, " The spacing of the screws is not given; 28 mm is taken."
	}
	n := float64(max(2, b.Count))
	f := a.most.force
	up, side := f*armHeight/lever/(n/2), f/n
	r.Value = Together(up, pull, side, shear)
	r.Sigma = 0.35 * r.Value
	r.Because = fmt.Sprintf("%.0f N in the rod of %s (%s), %.0f mm above the lugs, pries each of %.0f screws with %.1f N and shears it with %.1f N; %s.%s", f, a.most.control, a.most.from, armHeight*1e3, n, up, side, say, note)
	a.add(r)
}

func (a *assessor) motorScrews(b *craft.Bolt) {
	r, pull, shear, say, ok := a.screws(b, "the motor", "longer or more screws, a wider mount, a metal or plywood mount, thread lock")
	if !ok {
		a.add(r)
		return
	}
	ac, l := a.ac, &a.l
	if ac.Power.Place == "" || !(l.Thrust > 0) {
		r.Status, r.Because = control.Unknown, "The propeller's pull is not known; "+say+"."
		a.add(r)
		return
	}
	mass, long := 0.0, 0.0
	for i := range ac.Parts {
		if p := &ac.Parts[i]; p.Kind == "motor" {
			mass, long = p.Mass, p.Size.X
		}
	}
	note := ""
	if !(long > 0) {
		long, note = 25e-3, " The motor's length is not given; 25 mm is taken."
	}
	circle := b.Lever
	if !(circle > 0) {
		circle = 16e-3
		note += " The circle of its screws is not given; 16 mm is taken."
	}
	n := float64(max(2, b.Count))
	g := l.LoadFactor
	if m := ac.Mass.Total; m > 0 && ac.Ref.Area > 0 {
		v := l.Descent
		if !(v > 0) {
			v = Descent(m * gravity / ac.Ref.Area)
		}
		g = math.Max(g, LandingLoad(v, l.Crush))
	}
	weight := mass * g * gravity
	axial := l.Thrust / n
	if ac.Power.Place == "pusher" {
		axial = 0 // it pushes the motor onto its mount
	}
	// The motor hangs beyond its mount: half of the screws pull over the circle.
	bend := weight * long / 2 / circle / (n / 2)
	side := weight/n + l.Torque/(circle/2)/n
	r.Value = Together(axial+bend, pull, side, shear)
	r.Sigma = r.Value * math.Hypot(0.3, l.ThrustSigma/l.Thrust)
	r.Because = fmt.Sprintf("%.1f N of thrust, %.3f N m of torque and %.0f g of motor at %.1f times the weight pull each of %.0f screws with %.1f N and shear it with %.1f N; %s.%s", l.Thrust, l.Torque, mass*1e3, g, n, axial+bend, side, say, note)
	r.Caution = "A motor that tears loose takes the wires and a turning propeller with it: pull on it by hand before every flight. " + proofFirst
	a.add(r)
}

// alongHinges says what the hinges of each weighed control must hold along
// their line: 12 times its weight, 24 on upright surfaces, and what of the
// pushrod's pull lies that way.
func (a *assessor) alongHinges() {
	for si := range a.ac.Surfaces {
		s := &a.ac.Surfaces[si]
		for ci := range s.Controls {
			c := &s.Controls[ci]
			f, why := control.FlapOf(s, c)
			if why != "" {
				continue
			}
			m, from := c.Mass, "as weighed"
			if !(m > 0) {
				m, from = flapDensity*f.Span*f.Chord, "at 0.9 kg/m², not weighed"
			}
			if !(m > 0) {
				continue
			}
			up := math.Abs(math.Sin(f.Dihedral)) > 0.5 // a V-tail counts as upright
			load, times := AlongHinge(m, up), 12.0
			if up {
				times = 24
			}
			a.add(Result{
				ID: "hinge_line." + c.Name, Label: "load that the hinges of " + c.Name + " must hold along their line", Unit: "N", Value: load, Sigma: 0.15 * load, Min: nan, Max: nan, Status: control.Information,
				Because: fmt.Sprintf("%.0f times the weight of %.0f g (%s); with the factor of a plain hinge's bearing, 6.67, it should take %.1f N. Pull on the control along its hinge with a scale.", times, m*1e3, from, 6.67*load),
				Refs:    []cite.Ref{cite.FAR23Hinge.At("12 W, 24 W upright; 6.67 on the bearing", cite.Seen)},
			})
		}
	}
}
