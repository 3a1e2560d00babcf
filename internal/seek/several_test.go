package seek

import (
	"context"
	"math"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Where neither one lever nor two do, several do together, each no further
// than it must; where even they do not, the nearest is given; where nothing
// helps, nothing. (Made-up worlds of known answer.)
func TestSeveral(t *testing.T) {
	ac := tern(t)
	levers := Levers(ac, "launch-odds")
	hook0, hand0 := ac.Launch.Bungee.Hook.X, ac.Launch.Held.Height
	ramp := func(x, full float64) float64 { return math.Min(1, math.Max(0, x/full)) }
	hook := func(a *craft.Aircraft) float64 { return ramp(hook0-a.Launch.Bungee.Hook.X, 0.04) }
	stick := func(a *craft.Aircraft) float64 { return ramp(a.Launch.StickPitch, 0.3) }
	hand := func(a *craft.Aircraft) float64 { return ramp(a.Launch.Held.Height-hand0, 0.4) }
	finding := func(v float64) verdict.Finding {
		f := verdict.Finding{ID: "launch-odds", Safety: true, Value: assess.Quantity{Value: v, Low: v, High: v}, Limit: verdict.Limit{Min: 0.9, Max: math.NaN()}}
		f.Status = verdict.Judge(f.Value, f.Limit)
		return f
	}
	for _, c := range []struct {
		name    string
		odds    func(a *craft.Aircraft) float64
		fly     Look
		changes int
		after   float64
	}{
		{"three each bring a third", func(a *craft.Aircraft) float64 { return 0.3 + 0.22*(hook(a)+stick(a)+hand(a)) }, nil, 3, 0.9},
		{"odds flat at nought until all three are right; the launches' score leads", func(a *craft.Aircraft) float64 {
			if hook(a)+stick(a)+hand(a) > 2.4 {
				return 0.95
			}
			return 0
		}, func(_ context.Context, a *craft.Aircraft, _ assess.Ask) (assess.Glance, error) {
			return assess.Glance{Score: hook(a) + stick(a) + hand(a)}, nil
		}, 3, 0.9},
		{"not enough, but nearer", func(a *craft.Aircraft) float64 { return 0.2 + 0.2*(hook(a)+stick(a)) }, nil, 2, 0.55},
		{"nothing helps", func(*craft.Aircraft) float64 { return 0.4 }, nil, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			calls := 0
			eval := func(_ context.Context, a *craft.Aircraft, _ string) (verdict.Finding, error) {
				calls++
				for _, l := range levers {
					if k, _ := a.Knob(l.Path); k.Value < l.Low-1e-9 || k.Value > l.High+1e-9 {
						t.Errorf("%s = %g left %g to %g", l.Path, k.Value, l.Low, l.High)
					}
				}
				return finding(c.odds(a)), nil
			}
			f := finding(c.odds(ac))
			got, err := several(context.Background(), ac, levers, &f, &f, eval, Plan{Look: c.fly})
			if err != nil {
				t.Fatal(err)
			}
			if c.changes == 0 {
				if got != nil {
					t.Errorf("%d changes offered", len(got.settings))
				}
				return
			}
			if got == nil || len(got.settings) != c.changes {
				t.Fatalf("changes: %+v, want %d", got, c.changes)
			}
			a := ac
			for _, s := range got.settings {
				a, _ = s.turn(a)
			}
			if v := c.odds(a); v < c.after {
				t.Errorf("then %g, at least %g wanted", v, c.after)
			}
			if calls > 250 {
				t.Errorf("%d evaluations", calls)
			}
		})
	}
}

// A finding in tenths of a millimetre is sought as one of odds is.
func TestSeveralSmallUnits(t *testing.T) {
	ac := tern(t)
	hand0 := ac.Launch.Held.Height
	finding := func(a *craft.Aircraft) verdict.Finding {
		v := -0.0006 + 0.0004*math.Min(1, math.Max(0, a.Launch.StickPitch/0.3)) + 0.0004*math.Min(1, math.Max(0, (a.Launch.Held.Height-hand0)/0.4))
		f := verdict.Finding{ID: "fit", Value: assess.Quantity{Value: v, Low: v, High: v}, Limit: verdict.Limit{Min: 0, Max: math.NaN()}}
		f.Status = verdict.Judge(f.Value, f.Limit)
		return f
	}
	base := finding(ac)
	got, err := several(context.Background(), ac, Levers(ac, "launch-odds"), &base, &base, func(_ context.Context, a *craft.Aircraft, _ string) (verdict.Finding, error) { return finding(a), nil }, Plan{})
	if err != nil || got == nil || len(got.settings) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
}

// In imperial units the words are inches and ounces; what is set stays to the
// step, in the unit of the build file.
func TestWordsInUnits(t *testing.T) {
	l := Lever{Path: "parts.battery.at.x", Noun: "battery", Up: "aft", Down: "forward", Step: 0.001, Unit: "mm", Scale: 0.001, Units: unit.Imperial}
	s := Setting{l, 0.176}
	if got := s.Words(0.234); got != "battery 2.28 in forward (to 6.93 in)" {
		t.Error(got)
	}
	if got := s.Set(); got != "parts.battery.at.x=176 mm" {
		t.Error(got)
	}
	s.Lever.Units = unit.Metric
	if got := s.Words(0.234); got != "battery 58 mm forward (to 176 mm)" {
		t.Error(got)
	}
}
