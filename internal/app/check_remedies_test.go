package app

import (
	"context"
	"math"
	"reflect"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/verdict"
)

// What a proof takes over from the check (models, launches, scalars) has the
// bits of a run of the edited file from nothing.
func TestProofTakesOver(t *testing.T) {
	ctx := context.Background()
	q := Request{Path: "../../examples/tern.yaml", Seed: 3, Launches: 64, Draws: 16}
	o, err := Open(q)
	if err != nil {
		t.Fatal(err)
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		t.Fatal(err)
	}
	opt := assess.Options{Seed: q.Seed, Launches: q.Launches, Draws: q.Draws, Workers: workers(), Brief: true}
	base, err := chain.Run(ctx, opt)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		set                        string
		aero, power, launch, flies bool // taken over
	}{
		{"launch.bungee.hook.x=300 mm", false, true, false, false}, // the hook stands in the air
		{"launch.held.nose_up=12 deg", true, true, false, true},
		{"parts.battery.at.x=180 mm", true, true, false, false},
		{"linkages.aileron.arm=7 mm", true, true, true, true},
		{"linkages.aileron.horn=20 mm", false, true, false, false}, // as does a horn
		{"power.throttle=60 %", true, false, false, false},
		{"power.propeller.diameter=6.5 in", false, false, false, false},
		{"landing.length=150 m", true, true, true, true},
		{"landing.margin=125 %", true, true, true, false},
		{"limits.load_factor=4", true, true, false, false},
		{"day.wind=1 m/s", true, true, false, false},
		{"trial.mass=-30 g", false, true, false, false},
		{"surfaces.tail.controls.ruddervator.trim=1 deg", false, true, false, false},
	} {
		e := q
		e.memo, e.Sets = o.memo, []string{c.set}
		edited, err := Open(e)
		if err != nil {
			t.Fatalf("%s: %v", c.set, err)
		}
		fresh, err := models(ctx, edited, e)
		if err != nil {
			t.Fatal(err)
		}
		again, err := chain.Renew(ctx, edited.Aircraft)
		if err != nil {
			t.Fatal(err)
		}
		want, err := fresh.Run(ctx, opt)
		if err != nil {
			t.Fatal(err)
		}
		with := opt
		with.After = &assess.After{Chain: chain, Results: base}
		got, err := again.Run(ctx, with)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := verdict.Of(got), verdict.Of(want); !sameFindings(a.Findings, b.Findings) || a.Word != b.Word || a.Because != b.Because {
			for i := range a.Findings {
				if !sameFindings(a.Findings[i:i+1], b.Findings[i:i+1]) {
					t.Errorf("%s: taken over\n%+v\nfrom nothing\n%+v", c.set, a.Findings[i], b.Findings[i])
				}
			}
		}
		if k := got.Launch.Outcome == base.Launch.Outcome; k != c.launch {
			t.Errorf("%s: launches taken over: %v", c.set, k)
		}
		if k := again.Aero == chain.Aero; k != c.aero {
			t.Errorf("%s: airframe taken over: %v", c.set, k)
		}
		if k := again.Power == chain.Power; k != c.power {
			t.Errorf("%s: drive taken over: %v", c.set, k)
		}
		if k := reflect.DeepEqual(got.Heat, base.Heat) && len(got.Heat) > 0 && &got.Heat[0] == &base.Heat[0]; k != c.flies {
			t.Errorf("%s: scalars taken over: %v", c.set, k)
		}
	}
}

// sameFindings compares bit for bit; a value that is not a number equals
// another.
func sameFindings(a, b []verdict.Finding) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		x, y := a[i], b[i]
		for _, p := range [][2]*float64{
			{&x.Value.Value, &y.Value.Value}, {&x.Value.Low, &y.Value.Low}, {&x.Value.High, &y.Value.High}, {&x.Limit.Min, &y.Limit.Min}, {&x.Limit.Max, &y.Limit.Max},
		} {
			if *p[0] != *p[0] && *p[1] != *p[1] {
				*p[0], *p[1] = 0, 0
			}
		}
		if !reflect.DeepEqual(x, y) {
			return false
		}
	}
	return true
}

// The odds a look asks for: by the normal scale the doubt of now, carried to
// the limit; a limit nobody is near to falls back on the way to certainty.
func TestLeastOdds(t *testing.T) {
	for _, c := range []struct {
		what            string
		limit, now, low float64
		want, tol       float64 // by hand from the table of the normal distribution
	}{
		{"known exactly would be the limit", 0.9, 0.73, 0.7299999, 0.9, 1e-6},
		{"one standard deviation between value and low end", 0.841345, 0.5, 0.158655, 0.977250, 1e-5},
		{"nothing succeeds now", 0.9, 0, 0, 0.96, 1e-12},
		{"the low end is at nothing", 0.9, 0.3, 0, 0.96, 1e-12},
	} {
		got := leastOdds(c.limit, assess.Quantity{Value: c.now, Low: c.low, High: 1})
		if math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %.6f, want %.6f", c.what, got, c.want)
		}
	}
}
