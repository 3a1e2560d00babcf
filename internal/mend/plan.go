package mend

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/cite"
	"fledge/internal/craft"
)

// Break is one thing that breaks in a crash.
type Break struct {
	Key, Say string
	Part     string // "wing", "body", "hook", "" when no load is known
	Joint    Kind   // usual repair
	WriteOff string // why it is not repaired, "" when it may be
	Look     string // what else to look at
}

// Breaks is the list that a person picks from.
var Breaks = []Break{
	{"wing-skin", "wing skin or foam torn", "wing", Double, "", "the spar under it: bend the wing by hand and listen"},
	{"spar", "spar broken or cracked", "wing", Sleeve, "", "both ends of the break for splinters that run further than they show"},
	{"wing-root", "wing root, bolts or dowels torn out", "wing", Lap, "", "the seat in the body"},
	{"nose", "nose broken", "body", Lap, "", "motor or battery mount, wires, the balance"},
	{"boom", "tail boom or rear body broken", "body", Sleeve, "", "tail set square to the wing, rods free"},
	{"tail", "tail surface broken", "wing", Lap, "", "hinges and horns"},
	{"control", "control surface or hinge torn", "", Lap, "", "play and travel, again by gauge"},
	{"hook-pad", "hook or its pad torn out", "hook", Lap, "", "the balance and the hook's place before the next launch"},
	{"mount", "motor mount or firewall", "", Lap, "", "thrust line, screws, motor bell true"},
	{"horn", "horn or rod broken", "", Butt, "a horn or rod is replaced, never glued: the control hangs on it alone", "the servo's gears"},
	{"servo", "servo stripped", "", Butt, "a servo that took a blow is replaced", "its twin on the other side"},
	{"propeller", "propeller nicked or cracked", "", Butt, "a propeller is never repaired: a blade that lets go can blind", "the shaft, by turning it slowly"},
	{"pack", "battery pack dented", "", Butt, "a dented or swollen lithium pack is not used again: fire, hours later; keep it outdoors, away from anything that burns, and bring it to disposal", "leads and plug"},
	{"antenna", "antenna broken", "", Butt, "an antenna of the wrong length loses the link: replace it", "range, on the ground, before flight"},
}

// Find looks a break up by its key.
func Find(key string) (Break, bool) {
	for _, b := range Breaks {
		if b.Key == key {
			return b, true
		}
	}
	return Break{}, false
}

// EllipticMoment is the bending moment (N m) at y of a wing half of semispan
// s under a total lift spread elliptically; 0 beyond the tip.
//
//	M(t) = 2Ls/π [(1-t²)^(3/2)/3 - t(π/2 - asin t - t√(1-t²))/2],  t = y/s
func EllipticMoment(lift, s, y float64) float64 {
	t := math.Abs(y) / s
	if t >= 1 {
		return 0
	}
	w := math.Sqrt(1 - t*t)
	return 2 * lift * s / math.Pi * (w*w*w/3 - t*(math.Pi/2-math.Asin(t)-t*w)/2)
}

// Proof is the load to hold before the next flight.
type Proof struct {
	Moment float64 // at the break, N m; 0 when it is a plain force
	Force  float64 // to be put on, N
	Say    string
	Refs   []cite.Ref
}

const gravity = 9.80665

// ProofOf is the proof load of a repair at a place of an aircraft: its limit
// load, once, for ten seconds (14 CFR 23.305 asks that limit load leave no
// lasting deformation). n is the load factor; pull the launch line's tension
// for a hook. The wing's own weight is not counted against its lift, which
// makes the proof a little harder than flight. ok is false where no load is
// known.
func ProofOf(ac *craft.Aircraft, part string, at r3.Vec, n, pull float64) (p Proof, ok bool) {
	ref := cite.FAR23Proof.At("limit load", cite.Memory)
	switch part {
	case "wing":
		s := ac.Ref.Span / 2
		if !(s > 0) || math.Abs(at.Y) > 0.97*s {
			return Proof{}, false
		}
		lift := n * ac.Mass.Total * gravity
		p.Moment = EllipticMoment(lift, s, at.Y)
		p.Force = 2 * p.Moment / (s - math.Abs(at.Y))
		p.Say = fmt.Sprintf("hold it by both wing tips and load it at the balance point with %.2g kg above its own weight, once, for ten seconds: that is %.3g times its weight of lift at the break. No creak, no lasting bend", math.Max(0, p.Force/gravity-ac.Mass.Total), n)
		p.Refs = []cite.Ref{ref, cite.Ours.At("elliptic lift; a beam held at its tips", cite.Derived)}
	case "body":
		var fore, aft, tip, end float64
		tip, end = math.Inf(1), math.Inf(-1)
		for _, q := range ac.Parts {
			if q.At.X < at.X {
				fore += q.Mass * (at.X - q.At.X)
			} else {
				aft += q.Mass * (q.At.X - at.X)
			}
			tip, end = math.Min(tip, q.At.X), math.Max(end, q.At.X)
		}
		for _, b := range ac.Body {
			tip, end = math.Min(tip, b.X), math.Max(end, b.X)
		}
		first := at.X < ac.Mass.CG.X
		m, arm, where := fore, at.X-tip, "nose"
		if !first {
			m, arm, where = aft, end-at.X, "tail"
		}
		if !(arm > 0.02) || m == 0 {
			return Proof{}, false
		}
		p.Moment = n * gravity * m
		p.Force = p.Moment / arm
		p.Say = fmt.Sprintf("hold the body at the wing and press on the %s with %.2g kg, down and to each side, once, for ten seconds: that is what lies beyond the break at %.3g times its weight", where, p.Force/gravity, n)
		p.Refs = []cite.Ref{ref, cite.Ours.At("mass beyond the break times its arm", cite.Derived)}
	case "hook":
		if !(pull > 0) {
			return Proof{}, false
		}
		p.Force = 1.5 * pull
		p.Say = fmt.Sprintf("pull on the hook along the line with %.3g kg, once, for ten seconds: one and a half times the largest pull of the launch", p.Force/gravity)
		p.Refs = []cite.Ref{cite.FAR23Factor.At("factor of safety 1.5", cite.Seen)}
	default:
		return Proof{}, false
	}
	return p, true
}
