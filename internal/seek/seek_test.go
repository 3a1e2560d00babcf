package seek

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/verdict"
)

func tern(t *testing.T) *craft.Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	b, ds := build.Parse("tern.yaml", text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	ac, ds := craft.New(b, nil)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	return ac
}

// world is a made-up finding whose value is known in closed form.
type world struct {
	f     func(hook, stick float64) float64
	calls int
	out   *testing.T
	ac    *craft.Aircraft
}

func (w *world) judge(ac *craft.Aircraft) verdict.Finding {
	w.calls++
	for _, l := range Levers(w.ac, "launch-odds") {
		k, _ := ac.Knob(l.Path)
		if k.Value < l.Low-1e-9 || k.Value > l.High+1e-9 {
			w.out.Errorf("%s = %g left its range %g to %g", l.Path, k.Value, l.Low, l.High)
		}
	}
	v := w.f(ac.Launch.Bungee.Hook.X, ac.Launch.StickPitch)
	f := verdict.Finding{ID: "launch-odds", Safety: true, Value: assess.Quantity{Value: v, Low: v, High: v}, Limit: verdict.Limit{Min: 0.9, Max: math.NaN()}}
	f.Status = verdict.Judge(f.Value, f.Limit)
	return f
}

func (w *world) run(t *testing.T) verdict.Finding {
	ac := w.ac
	v := verdict.Verdict{Findings: []verdict.Finding{w.judge(ac)}}
	eval := func(_ context.Context, c *craft.Aircraft, _ string) (verdict.Finding, error) { return w.judge(c), nil }
	rerun := func(_ context.Context, _ string, sets []string) (Proof, error) {
		text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range sets {
			set, ds := build.ParseSetting(s)
			if ds.HasErrors() {
				t.Fatalf("%s: %v", s, ds)
			}
			if text, ds = build.Set(text, set.Path, set.Value); ds.HasErrors() {
				t.Fatalf("%s: %v", s, ds)
			}
		}
		b, ds := build.Parse("edited", text)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		c, ds := craft.New(b, nil)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		return Proof{Finding: w.judge(c)}, nil
	}
	if err := Remedies(context.Background(), ac, &v, eval, rerun, Plan{}); err != nil {
		t.Fatal(err)
	}
	return v.Findings[0]
}

// The smallest change is found on the lever's steps, said, and proved by the
// edited file: odds rise by 1/40 for each millimetre the hook goes forward.
func TestSmallestChange(t *testing.T) {
	ac := tern(t)
	x0 := ac.Launch.Bungee.Hook.X
	w := &world{out: t, ac: ac, f: func(hook, _ float64) float64 { return 0.6 + 25*(x0-hook) }}
	f := w.run(t)
	if len(f.Remedies) != 1 {
		t.Fatalf("remedies: %+v", f.Remedies)
	}
	r := f.Remedies[0]
	if !r.Verified || len(r.Set) != 1 || !strings.HasPrefix(r.Set[0], "launch.bungee.hook.x=") || r.ValueAfter < 0.9 {
		t.Errorf("remedy: %+v", r)
	}
	// 0.9 needs 12 mm; the search may end a step of its halving further.
	moved := (r.ValueAfter - 0.6) / 25 * 1000
	if moved < 12-1e-6 || moved > 14+1e-6 {
		t.Errorf("moved %g mm, 12 needed", moved)
	}
	if w.calls > 200 {
		t.Errorf("%d evaluations", w.calls)
	}
}

// Where no single change suffices, a pair is offered.
func TestPairs(t *testing.T) {
	ac := tern(t)
	x0 := ac.Launch.Bungee.Hook.X
	w := &world{out: t, ac: ac, f: func(hook, stick float64) float64 {
		return 0.5 + math.Min(0.25, 10*math.Max(0, x0-hook)) + math.Min(0.25, math.Max(0, stick))
	}}
	f := w.run(t)
	if len(f.Remedies) == 0 || len(f.Remedies[0].Set) != 2 || !f.Remedies[0].Verified {
		t.Fatalf("remedies: %+v", f.Remedies)
	}
}

// Where nothing helps, nothing is offered.
func TestNoRemedy(t *testing.T) {
	w := &world{out: t, ac: tern(t), f: func(_, _ float64) float64 { return 0.2 }}
	if f := w.run(t); len(f.Remedies) != 0 {
		t.Errorf("remedies: %+v", f.Remedies)
	}
}

// Every setting's text is read back by the build file as the value meant.
func TestSettingText(t *testing.T) {
	ac := tern(t)
	for _, id := range []string{"launch-odds", "balance", "control-power", "trim", "takeoff-mass", "landing", "servo.aileron", "rod.ruddervator", "horn.aileron", "current"} {
		for _, l := range Levers(ac, id) {
			k, _ := ac.Knob(l.Path)
			for _, v := range []float64{l.Low, k.Value, l.High} {
				s := Setting{l, snap(v, l)}
				if s.Value < l.Low-1e-9 || s.Value > l.High+1e-9 {
					t.Errorf("%s: %g left %g to %g", l.Path, s.Value, l.Low, l.High)
				}
				if strings.Contains(s.Words(k.Value), "%!") {
					t.Errorf("%s: %s", l.Path, s.Words(k.Value))
				}
			}
		}
	}
}

// Once enough cheap changes are proved, levers that can only be dearer are not
// looked at.
func TestDearLeversAreLeft(t *testing.T) {
	ac := tern(t)
	knob := func(ac *craft.Aircraft, path string) float64 {
		k, ok := ac.Knob(path)
		if !ok {
			t.Fatalf("no number %s", path)
		}
		return k.Value
	}
	cheap := []string{"launch.stick.pitch", "launch.held.height", "launch.held.nose_up"}
	judge := func(c *craft.Aircraft) verdict.Finding {
		if knob(c, "trial.mass") != knob(ac, "trial.mass") {
			t.Errorf("mass was tried")
		}
		v := 0.5
		for _, path := range cheap {
			if knob(c, path) != knob(ac, path) {
				v = 0.95
			}
		}
		f := verdict.Finding{ID: "launch-odds", Safety: true, Value: assess.Quantity{Value: v, Low: v, High: v}, Limit: verdict.Limit{Min: 0.9, Max: math.NaN()}}
		f.Status = verdict.Judge(f.Value, f.Limit)
		return f
	}
	v := verdict.Verdict{Findings: []verdict.Finding{judge(ac)}}
	turned := map[string]int{}
	eval := func(_ context.Context, c *craft.Aircraft, _ string) (verdict.Finding, error) { return judge(c), nil }
	rerun := func(_ context.Context, _ string, sets []string) (Proof, error) {
		path, _, _ := strings.Cut(sets[0], "=")
		turned[path]++
		return Proof{Finding: verdict.Finding{Status: verdict.Pass}}, nil
	}
	looked, all := 0, 0
	tell := func(_ string, done, total int) { looked, all = done, total }
	if err := Remedies(context.Background(), ac, &v, eval, rerun, Plan{Progress: tell}); err != nil {
		t.Fatal(err)
	}
	if len(v.Findings[0].Remedies) != 3 {
		t.Errorf("remedies: %+v", v.Findings[0].Remedies)
	}
	for _, path := range cheap {
		if turned[path] != 1 {
			t.Errorf("%s proved %d times", path, turned[path])
		}
	}
	if looked != all || all != len(Levers(ac, "launch-odds")) {
		t.Errorf("progress ends at %d of %d", looked, all)
	}
}
