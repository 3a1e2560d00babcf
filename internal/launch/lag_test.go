package launch

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/motion"
)

// lifting is an airframe that lifts and nothing else.
type lifting struct{ up float64 }

func (a lifting) Eval(_ *Flow, _ *AeroFactors, out *Loads) { *out = Loads{F: r3.Vec{Z: -a.up}} }
func (lifting) Stick(_, _, _ float64) (p, r, y float64)    { return 0, 0, 0 }

// The downwash's lag is a moment against the change of the velocity across
// the wing: what the wing does not carry, and what the line and the rotation
// do; nothing in steady flight, nothing far from the axis.
func TestLag(t *testing.T) {
	w := NewWorkspace()
	s := Defaults()
	s.Way, s.Speed, s.Height = Hand, 10, 50
	s.Mass, s.Inertia = 0.6, [3][3]float64{{0.01, 0, 0}, {0, 0.01, 0}, {0, 0, 0.015}}
	s.Rho, s.Mu, s.Lag = 1.2, 1.8e-5, -0.004
	s.Wind.Speed = 0
	s.TakeOver = math.Inf(1)
	src := cite.Ours.At("M = Lag (Z/m + g + q u), by hand", cite.Derived)
	at := func(lift, rate, up float64) float64 {
		s.Aero = lifting{lift}
		// Air comes from below at the angle up.
		st := motion.State{Att: motion.Attitude(0, 0, 0), Pos: r3.Vec{Z: -50}, Vel: r3.Vec{X: 10 * math.Cos(up), Z: 10 * math.Sin(up)}, Rate: r3.Vec{Y: rate}}
		return loadAt(&s, w, st, 1).M.Y
	}
	row := func(name string, got, want float64) {
		check.Row{Topic: "whole model", Name: name, Unit: "N m", Source: src}.Near(t, got, want, check.Printed(1e-7))
	}
	row("lag of the downwash, half the weight carried", at(3, 0, 0), -0.004*(9.80665-3/0.6))
	row("lag of the downwash, a steady pull-up", at(0.6*(9.80665+10*2), 2, 0), 0)
	row("lag of the downwash, pitching with the weight carried", at(0.6*9.80665, 2, 0), -0.004*20)
	if m := at(3, 0, 40*degree); m != 0 {
		t.Errorf("at 40 degrees: %g N m", m)
	}
	last := at(3, 0, 8*degree)
	for a := 8.0; a < 30; a += 0.05 {
		m := at(3, 0, a*degree)
		if math.Abs(m-last) > 0.0005 {
			t.Fatalf("jump of %g N m at %g degrees", m-last, a)
		}
		last = m
	}
}
