package app

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/control"
	"fledge/internal/report"
)

// Linkages is every control's linkage over its whole travel, and what each
// stick asks of it: to be drawn as the stick moves.
type Linkages struct {
	Schema   int              `json:"schema"`
	Hash     string           `json:"hash"`
	Controls []ControlLinkage `json:"controls"`
}

// ControlLinkage is one control's, its right side. Places are in a frame of
// its own, m: origin at the servo's shaft, x aft, y right, z up.
type ControlLinkage struct {
	Name    string         `json:"name"`
	Surface string         `json:"surface"`
	Status  string         `json:"status"`  // "ok", "not described", or why it cannot be drawn
	Guessed bool           `json:"guessed"` // its rod's length is assumed
	Shaft   Point3         `json:"shaft"`
	Hinge   Point3         `json:"hinge"`
	Chord   report.Float   `json:"chord"` // behind the hinge
	Travel  report.Float   `json:"travel_deg"`
	Trim    report.Float   `json:"trim_deg"` // neutral as set, edge up positive
	Steps   []LinkageStep  `json:"steps"`    // over the servo's travel, even steps
	Sticks  []StickLinkage `json:"sticks"`   // what full and part stick ask, one axis at a time
}

// LinkageStep is one position of servo, rod and edge.
type LinkageStep struct {
	Servo  report.Float `json:"servo_deg"`
	Edge   report.Float `json:"edge_deg"` // trailing edge up positive
	Pulse  report.Float `json:"pulse_us"`
	Ratio  report.Float `json:"edge_per_servo"`
	AtArm  report.Float `json:"angle_at_arm_deg"` // between rod and arm, 0: dead centre
	AtHorn report.Float `json:"angle_at_horn_deg"`
	Arm    Point3       `json:"arm"`  // the rod's end at the servo
	Horn   Point3       `json:"horn"` // its end at the control
}

// StickLinkage is one stick position and what it asks of both sides.
type StickLinkage struct {
	Axis  string       `json:"axis" words:"pitch|roll|yaw"`
	Stick report.Float `json:"stick"` // -1..1: up, right, nose right positive
	Right StickSide    `json:"right"`
	Left  StickSide    `json:"left"`
}

// StickSide is one side at a stick position; servo and pulse are null where
// the linkage does not reach.
type StickSide struct {
	Edge  report.Float `json:"edge_deg"`
	Servo report.Float `json:"servo_deg"`
	Pulse report.Float `json:"pulse_us"`
}

const (
	linkageSteps = 48 // of the servo's travel
	stickSteps   = 20 // from end to end
)

// Linkages computes the linkages of a build: the kinematics of the setup
// sheet, in finer steps.
func (w *Warm) Linkages() *Linkages {
	ac := w.Aircraft
	out := &Linkages{Schema: report.Schema, Hash: ac.Hash, Controls: []ControlLinkage{}}
	deg := func(v float64) report.Float { return report.Float(v * 180 / math.Pi) }
	for _, cs := range w.chain.Sheet(&assess.Results{}, true).Controls {
		nan := report.Float(math.NaN())
		c := ControlLinkage{Name: cs.Name, Surface: ac.Surfaces[cs.Surface].Name, Status: "ok", Guessed: cs.Guessed, Chord: report.Float(cs.Flap.Chord), Travel: deg(cs.ServoTravel), Trim: deg(cs.Mix.Pitch.Trim), Steps: []LinkageStep{}, Sticks: []StickLinkage{}}
		var k control.Linkage
		linked := false
		for i := range ac.Linkages {
			if ac.Linkages[i].Control == cs.Name {
				var st control.Status
				k, _, st = control.LinkageOf(&ac.Linkages[i], cs.Flap)
				linked = st == control.OK
				if !linked {
					c.Status = st.String()
				}
			}
		}
		if !cs.Described {
			c.Status = "not described"
		}
		if linked {
			c.Hinge = p3(k.Hinge)
			for i := range linkageSteps + 1 {
				theta := cs.ServoTravel * (2*float64(i)/linkageSteps - 1)
				p, st := k.At(theta)
				if st != control.OK {
					continue // beyond a dead centre, where no servo goes
				}
				c.Steps = append(c.Steps, LinkageStep{deg(theta), deg(p.Delta), report.Float(1e6 * cs.Pulse.Pulse(theta)), report.Float(p.Ratio), deg(p.AtArm), deg(p.AtHorn), p3(p.ArmPin), p3(p.HornPin)})
			}
		}
		side := func(edge float64) StickSide {
			s := StickSide{deg(edge), nan, nan}
			if !linked {
				return s
			}
			if p, st := k.ThetaFor(edge, math.Pi/2); st == control.OK && math.Abs(p.Theta) <= cs.ServoTravel*(1+1e-9) {
				s.Servo, s.Pulse = deg(p.Theta), report.Float(1e6*cs.Pulse.Pulse(p.Theta))
			}
			return s
		}
		for _, axis := range []struct {
			name string
			t    control.Throws
			at   r3.Vec
		}{{"pitch", cs.Mix.Pitch, r3.Vec{X: 1}}, {"roll", cs.Mix.Roll, r3.Vec{Y: 1}}, {"yaw", cs.Mix.Yaw, r3.Vec{Z: 1}}} {
			if axis.t.Up == 0 && axis.t.Down == 0 {
				continue
			}
			for i := range stickSteps + 1 {
				x := 2*float64(i)/stickSteps - 1
				pair := cs.Mix.Surfaces(x*axis.at.X, x*axis.at.Y, x*axis.at.Z)
				c.Sticks = append(c.Sticks, StickLinkage{axis.name, report.Float(x), side(pair.Right), side(pair.Left)})
			}
		}
		out.Controls = append(out.Controls, c)
	}
	return out
}
