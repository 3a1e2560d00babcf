package seek

import (
	"context"
	"math"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/launch"
)

// made is a look at a made-up launch: launch i of n succeeds when its share
// (i+½)/n lies under odds, a smooth hill over stretch and stick with its top at
// (9.5 m, 0.3) and height top; nothing else matters.
func made(top float64) Look {
	return func(_ context.Context, ac *craft.Aircraft, ask assess.Ask) (assess.Glance, error) {
		n := ask.N
		if ask.Draws != nil {
			n = len(ask.Draws)
		}
		p := hill(ac.Launch.Bungee.Stretch, ac.Launch.StickPitch, top)
		g := assess.Glance{N: n, Score: p, Success: make([]bool, n), Scores: make([]float64, n)}
		for i := range n {
			u := (float64(i) + 0.5) / float64(n)
			if ask.Draws != nil {
				u = (float64(ask.Draws[i]) + 0.5) / hardFrom
			}
			g.Scores[i] = p - u
			if u < p {
				g.Success[i] = true
				g.Hits++
			}
		}
		g.Odds = float64(g.Hits) / float64(n)
		return g, nil
	}
}

func hill(stretch, stick, top float64) float64 {
	a, b := (stretch-9.5)/2, (stick-0.3)/0.2
	return top * math.Exp(-0.5*(a*a+b*b))
}

func fullOf(top float64) Full {
	return func(_ context.Context, ac *craft.Aircraft) (assess.Quantity, error) {
		v := hill(ac.Launch.Bungee.Stretch, ac.Launch.StickPitch, top)
		return assess.Quantity{Value: v, Low: v, High: v, Unit: "1"}, nil
	}
}

func madeLevers(ac *craft.Aircraft) []Lever {
	return SettingLevers(ac, []launch.Lever{
		{Path: "launch.stick.pitch", Low: -0.2, High: 0.8},
		{Path: "launch.held.nose_up", Low: 0, High: 0.5},
		{Path: "launch.bungee.stretch", Low: 2, High: 13},
	}, Bounds{})
}

// The top of a known hill is found on the levers' steps, settings that do not
// matter are left as they are, and the tolerances are those of the hill.
func TestFindBest(t *testing.T) {
	ac := tern(t)
	const top = 0.98
	b, err := FindBest(context.Background(), ac, madeLevers(ac), made(top), fullOf(top), BestPlan{Seed: 1, Limit: 0.9, Look: 512})
	if err != nil {
		t.Fatal(err)
	}
	// setting back gives up half a hundredth, the search and its steps as much
	if b.Held || b.Odds.Value < top-0.01 {
		t.Fatalf("odds %.4f of %.2f", b.Odds.Value, top)
	}
	for i := range b.Settings {
		s := &b.Settings[i]
		l := s.Setting.Lever
		if r := math.Abs(math.Remainder(s.Setting.Value, l.Step)); s.Changes() && r > 1e-9 {
			t.Errorf("%s = %g is off its step", l.Path, s.Setting.Value)
		}
		var mid, sigma float64
		switch l.Path {
		case "launch.held.nose_up":
			if s.Changes() || !s.FreeLow || !s.FreeHigh {
				t.Errorf("what does not matter was changed: %+v", s)
			}
			continue
		case "launch.bungee.stretch":
			mid, sigma = 9.5, 2
		case "launch.stick.pitch":
			mid, sigma = 0.3, 0.2
		}
		// odds fall to Least at sqrt(2 ln(odds/least)) deviations; the halving
		// ends a 64th of the range or a step short, the draws count in 1/1024.
		want := sigma * math.Sqrt(2*math.Log(b.Odds.Value/b.Least))
		tol := math.Max(l.Step, (l.High-l.Low)/32) + 0.02*sigma
		if math.Abs(mid+want-s.High) > tol || math.Abs(mid-want-s.Low) > tol {
			t.Errorf("%s: %g to %g, the hill says %g ± %g", l.Path, s.Low, s.High, mid, want)
		}
	}
	again, err := FindBest(context.Background(), ac, madeLevers(ac), made(top), fullOf(top), BestPlan{Seed: 1, Limit: 0.9, Look: 512})
	if err != nil {
		t.Fatal(err)
	}
	for i := range b.Settings {
		if again.Settings[i].Setting.Value != b.Settings[i].Setting.Value || again.Settings[i].Low != b.Settings[i].Low {
			t.Error("the search does not repeat")
		}
	}
}

// A limit of gear is kept, and where nothing is better nothing is changed.
func TestBestKeepsLimits(t *testing.T) {
	ac := tern(t)
	levers := SettingLevers(ac, []launch.Lever{{Path: "launch.bungee.stretch", Low: 2, High: 13}, {Path: "launch.stick.pitch", Low: -0.2, High: 0.8}}, Bounds{Stretch: 8})
	asked := 0.0
	look := func(ctx context.Context, c *craft.Aircraft, ask assess.Ask) (assess.Glance, error) {
		if c.Launch.Bungee.Stretch != ac.Launch.Bungee.Stretch {
			asked = math.Max(asked, c.Launch.Bungee.Stretch)
		}
		return made(1)(ctx, c, ask)
	}
	b, err := FindBest(context.Background(), ac, levers, look, fullOf(1), BestPlan{Seed: 1, Limit: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	if asked > 8+1e-9 {
		t.Errorf("asked for %g m, 8 allowed", asked)
	}
	if s := b.Turn(ac).Launch.Bungee.Stretch; s > 8+1e-9 {
		t.Errorf("best stretch %g", s)
	}
	top, _ := ac.Turn("launch.stick.pitch", 0.3)
	top, _ = top.Turn("launch.bungee.stretch", 9.5)
	b, err = FindBest(context.Background(), top, madeLevers(top), made(1), fullOf(1), BestPlan{Seed: 1, Limit: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	if !b.Held || len(b.Sets()) != 0 {
		t.Errorf("the top was left: %v", b.Sets())
	}
}

// The map holds the hill, cell by cell, and the levers are ranked by what a
// practical step does, each with the sign of the slope.
func TestMapAndEffects(t *testing.T) {
	ac := tern(t)
	levers := madeLevers(ac)
	var pair [2]Lever
	for _, l := range levers {
		switch l.Path {
		case "launch.bungee.stretch":
			pair[0] = l
		case "launch.stick.pitch":
			pair[1] = l
		}
	}
	m, err := FindMap(context.Background(), ac, pair[0], pair[1], 7, 5, 256, made(0.9), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.XS) != 7 || len(m.YS) != 5 {
		t.Fatalf("%d by %d", len(m.XS), len(m.YS))
	}
	for j, y := range m.YS {
		for i, x := range m.XS {
			if d := m.Odds[j][i] - hill(x, y, 0.9); math.Abs(d) > 0.5/256+1e-9 {
				t.Errorf("%g m, %g: odds off by %g", x, y, d)
			}
		}
	}
	list, err := Effects(context.Background(), ac, 512, made(0.9), nil)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]Effect{}
	for i, e := range list {
		seen[e.Lever.Path] = e
		if i > 0 && e.Size > list[i-1].Size {
			t.Errorf("%s out of order", e.Say)
		}
	}
	for _, p := range []string{"trial.mass", "launch.stick.pitch", "launch.held.height", "launch.held.nose_up", "launch.bungee.hook.x", "day.wind"} {
		if _, ok := seen[p]; !ok {
			t.Errorf("%s is not among the levers", p)
		}
	}
	if e := seen["launch.stick.pitch"]; list[0].Lever.Path != "launch.stick.pitch" || e.Up.Change <= 0 || e.Better == "" {
		t.Errorf("stick at 0, best at 0.3: %+v", e)
	}
	if e := seen["trial.mass"]; e.Size != 0 || e.Better != "" {
		t.Errorf("mass does nothing here: %+v", e)
	}
}

// What is not told from the best ends before the first look that falls short of
// it by more than 1.645 standard errors of the pairing, on either side alone.
func TestEven(t *testing.T) {
	peak := assess.Glance{N: 100, Success: make([]bool, 100)}
	for i := range 90 {
		peak.Success[i] = true
	}
	short := func(by int) assess.Glance { // the same launches, so many spoiled
		g := assess.Glance{N: 100, Success: append([]bool(nil), peak.Success...)}
		for i := range by {
			g.Success[i] = false
		}
		return g
	}
	// 2 spoiled of 100: d -0.02, se 0.014: within. 5: d -0.05, se 0.0218: outside.
	seen := []glanced{{3, short(5)}, {1, short(0)}, {4, short(0)}, {2, short(2)}, {-1, short(5)}, {-2, short(0)}}
	if got := even(0, 1, seen, &peak); got != 2 {
		t.Errorf("above: %g, want 2", got)
	}
	if got := even(0, -1, seen, &peak); got != 0 {
		t.Errorf("below: %g, want the best itself", got)
	}
}
