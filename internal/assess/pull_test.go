package assess

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
)

// The moment of a pull about the balance point is r x F in the tilted line,
// none when the line goes through it, and down-thrust of a tractor is
// nose-down.
func TestPullMoment(t *testing.T) {
	ac := example(t, "tern.yaml")
	with := func(f func(*craft.Aircraft)) *craft.Aircraft {
		c := *ac
		f(&c)
		return &c
	}
	cg := ac.Mass.CG
	row := func(name string) check.Row {
		return check.Row{Topic: "thrust line", Name: name, Source: cite.Choice.At("moment r x F", cite.Derived)}
	}
	through := with(func(a *craft.Aircraft) {
		a.Power.Propeller.At.X, a.Power.Propeller.At.Z = cg.X-0.2, cg.Z+0.2*math.Tan(0.1)
		a.Power.Down = 0.1 // from above in front, down: past the balance point
	})
	row("line that meets the vertical through the balance point above it").Near(t, pullMoment(through, 10), -10*2*0.2*math.Sin(0.1), check.Model(1e-12, "closed form: both arms the same"))
	through.Power.Down = -0.1 // climbs away
	row("line through the balance point").Near(t, pullMoment(through, 10), 0, check.ModelAbs(1e-12, "closed form"))
	high := with(func(a *craft.Aircraft) {
		a.Power.Propeller.At.X, a.Power.Propeller.At.Z, a.Power.Down = cg.X-0.2, cg.Z+0.03, 0
	})
	row("30 mm above the balance point").Near(t, pullMoment(high, 10), -0.3, check.Model(1e-12, "closed form: nose down"))
}

// Opening the throttle moves the stick: nose up is asked for by down-thrust in
// front, and about as much by a line set higher that gives the same moment.
func TestThrottleTrim(t *testing.T) {
	stick := func(change func(*craft.Aircraft)) (cruise, throttle float64) {
		ac := example(t, "tern.yaml")
		c := *ac
		change(&c)
		chain, err := NewChain(&c)
		if err != nil {
			t.Fatal(err)
		}
		d := chain.Nominal()
		n := chain.numbers(&d, Everything)
		if !n[TrimCruise].Known() || !n[TrimThrottle].Known() {
			t.Fatal(n[TrimCruise].Status, n[TrimThrottle].Status)
		}
		return n[TrimCruise].V, n[TrimThrottle].V
	}
	c0, t0 := stick(func(*craft.Aircraft) {})
	c1, t1 := stick(func(a *craft.Aircraft) { a.Power.Down += 0.05 })
	arm := 0.0
	c2, t2 := stick(func(a *craft.Aircraft) {
		arm = a.Mass.CG.X - a.Power.Propeller.At.X
		a.Power.Propeller.At.Z += arm * math.Tan(0.05)
	})
	t.Logf("arm %.3f m: stick %+.4f %+.4f, down %+.4f %+.4f, high %+.4f %+.4f", arm, c0, t0, c1, t1, c2, t2)
	if arm > 0 && !(t1 > t0+0.002 && c1 > c0) {
		t.Errorf("down-thrust in front does not ask for up: %g against %g", t1, t0)
	}
	if d := (t2 - t0) / (t1 - t0); d < 0.8 || d > 1.2 {
		t.Errorf("the same moment by height asks for %.2f of the stick", d)
	}
}
