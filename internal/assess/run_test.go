package assess

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/launch"
)

func example(t testing.TB, name string, sets ...string) *craft.Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", name))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sets {
		set, ds := build.ParseSetting(s)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		if text, ds = build.Set(text, set.Path, set.Value); ds.HasErrors() {
			t.Fatal(s, ds)
		}
	}
	b, ds := build.Parse(name, text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	ac, ds := craft.New(b, nil)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	return ac
}

func run(t testing.TB, ac *craft.Aircraft, o Options) *Results {
	t.Helper()
	r, err := Run(context.Background(), ac, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The same build and seed give the same bits on one worker and on two, and
// again.
func TestSameOnOneAndTwo(t *testing.T) {
	ac := example(t, "tern.yaml")
	o := Options{Seed: 7, Launches: 128, Draws: 16}
	one := run(t, ac, o)
	o.Workers = 2
	for range 2 {
		two := run(t, ac, o)
		if !reflect.DeepEqual(bits(one), bits(two)) {
			t.Fatal("results depend on the number of workers")
		}
	}
}

// bits flattens what matters, NaN made comparable.
func bits(r *Results) []uint64 {
	var out []uint64
	add := func(q Quantity) {
		out = append(out, math.Float64bits(q.Value), math.Float64bits(q.Low), math.Float64bits(q.High))
	}
	for _, q := range r.Numbers {
		add(q)
	}
	l := &r.Launch
	for _, q := range []Quantity{l.Odds, l.Speed, l.Pitch, l.Height, l.Tension} {
		add(q)
	}
	for _, f := range l.Outcome.Failures {
		out = append(out, uint64(f.Count))
	}
	for _, s := range r.Strength {
		out = append(out, math.Float64bits(s.Value), math.Float64bits(s.Sigma))
	}
	return out
}

// Without doubt the odds are the deterministic launch, and every interval is
// its value.
func TestNoDoubt(t *testing.T) {
	for _, hook := range []string{"282 mm", "326 mm"} {
		ac := example(t, "tern.yaml", "launch.bungee.hook.x="+hook, "day.gust=2.5 m/s")
		for i := range ac.Inputs {
			ac.Inputs[i].Sigma = 0
		}
		r := run(t, ac, Options{Seed: 1, Launches: 64, Draws: 8})
		want := 0.0
		if r.Launch.Nominal.Success {
			want = 1
		}
		if r.Launch.Odds.Value != want {
			t.Errorf("hook %s: odds %g, the launch itself: %v", hook, r.Launch.Odds.Value, r.Launch.Nominal.Class)
		}
		for _, id := range IDs() {
			if q := r.Get(id); q.Status == "" && (math.Abs(q.Low-q.Value) > 1e-12*math.Abs(q.Value) || math.Abs(q.High-q.Value) > 1e-12*math.Abs(q.Value)) {
				t.Errorf("%s: %g (%g to %g) without doubt", id.Key(), q.Value, q.Low, q.High)
			}
		}
	}
}

// A draw against a full rebuild: mass properties exactly; stall, neutral
// point and top speed within a third of the spread the draws give them.
func TestDrawsAgainstRebuilds(t *testing.T) {
	base := example(t, "tern.yaml")
	c, err := NewChain(base)
	if err != nil {
		t.Fatal(err)
	}
	spread := run(t, base, Options{Seed: 1, Draws: 64, NoLaunch: true})
	stream := rand.New(rand.NewPCG(3, 1))
	var index []int
	for i := range base.Inputs {
		index = append(index, i)
	}
	n := 6
	if testing.Short() {
		n = 2
	}
	for k := range n {
		value := make([]float64, len(index))
		for j, i := range index {
			in := base.Inputs[i]
			value[j] = math.Min(in.High, math.Max(in.Low, in.Nominal+0.7*in.Sigma*stream.NormFloat64()))
		}
		d := c.Draw(index, value)
		cheap := c.numbers(&d, Everything)
		full, err := NewChain(base.With(index, value))
		if err != nil {
			t.Fatal(err)
		}
		// The rebuilt aircraft carries its own drawn factors; its shape is its own.
		f := full.Nominal()
		exact := full.numbers(&f, Everything)
		for _, r := range []struct {
			id    ID
			share float64 // of the spread
		}{{Mass, 1e-9}, {BalanceX, 1e-9}, {NeutralX, 0.35}, {StallSpeed, 0.35}, {TopSpeed, 0.35}, {StaticThrust, 0.35}} {
			q := spread.Get(r.id)
			if diff, allowed := math.Abs(cheap[r.id].V-exact[r.id].V), r.share*(q.High-q.Low)/2+1e-12; diff > allowed {
				t.Errorf("draw %d: %s %.6g, rebuilt %.6g: off by %.3g, allowed %.3g", k, r.id.Key(), cheap[r.id].V, exact[r.id].V, diff, allowed)
			}
		}
	}
}

// Mirrored inputs give mirrored odds: wind, bank and aim from the other side
// with the propeller turning the other way.
func TestMirroredOdds(t *testing.T) {
	common := []string{"launch.held.roll=6 deg ± 4 deg", "day.off_axis=20 deg ± 4 deg"}
	mirror := []string{"launch.held.roll=-6 deg ± 4 deg", "day.off_axis=-20 deg ± 4 deg", "power.propeller.turns=left"}
	n := 1024
	a := run(t, example(t, "tern.yaml", common...), Options{Seed: 5, OnlyLaunch: true, Launches: n, Count: true, Workers: 2})
	b := run(t, example(t, "tern.yaml", mirror...), Options{Seed: 5, OnlyLaunch: true, Launches: n, Count: true, Workers: 2})
	p := a.Launch.Odds.Value
	// Draws of the two sides are not each other's mirror, so the counts differ
	// by sampling: three standard errors of the difference of two counts.
	if tol := 3 * math.Sqrt(2*math.Max(p*(1-p), 0.01)/float64(n)); math.Abs(p-b.Launch.Odds.Value) > tol {
		t.Errorf("odds %g and mirrored %g, allowed %g apart", p, b.Launch.Odds.Value, tol)
	}
}

// The drag grid against the trim it stands for.
func TestPolarGrid(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	d := c.Nominal()
	p := c.Plane(&d)
	w := p.Weight()
	for _, v := range []float64{10.5, 14, 21, 33, 47, 61} {
		for _, n := range []float64{0.3, 1, 1.2} {
			if v < p.StallAt(n)*1.08 {
				continue // the last step before the stall bends too fast for any grid
			}
			exact := c.trimmed(&d, v, n*w).Drag
			if got := p.Drag(v, n); math.Abs(got-exact) > 0.015*exact {
				t.Errorf("drag at %g m/s, n %g: %g, trim gives %g", v, n, got, exact)
			}
		}
	}
}

// Physical sense: what each knob does to speeds and margin.
func TestKnobs(t *testing.T) {
	base := run(t, example(t, "tern.yaml"), Options{Seed: 1, Draws: 2, NoLaunch: true})
	for _, r := range []struct {
		name, set string
		id        ID
		sign      float64
	}{
		{"heavier stalls faster", "trial.mass=150 g", StallSpeed, 1},
		// No heavier, slower: flat out the sections work below the lift of their
		// least drag, and a little more of it may cost nothing.
		{"heavier climbs less", "trial.mass=150 g", ClimbRate, -1},
		{"battery forward, more margin", "parts.battery.at.x=180 mm", StaticMargin, 1},
		{"drag slows", "trial.drag_area=5 cm^2", TopSpeed, -1},
		{"drag shortens the glide", "trial.drag_area=5 cm^2", GlideRatio, -1},
		{"thin warm air stalls faster", "day.temperature=35 degC", StallSpeed, 1},
		{"high field, less pull", "day.height=1500 m", StaticThrust, -1},
		{"more volts, faster", "power.battery.cells=5", TopSpeed, 1},
		{"bigger pack, longer", "power.battery.capacity=2400 mAh", EnduranceTime, 1},
		{"finer pitch, slower", "power.propeller.pitch=4.5 in", TopSpeed, -1},
		{"headwind shortens the landing", "day.wind=4 m/s", LandingRun, -1},
		{"long grass shortens the slide", "day.surface=long grass", LandingRun, -1},
		{"soft cells, less pull", "power.battery.cell_resistance=12 mohm", StaticThrust, -1},
	} {
		b := run(t, example(t, "tern.yaml", r.set), Options{Seed: 1, Draws: 2, NoLaunch: true})
		if d := b.Get(r.id).Value - base.Get(r.id).Value; d*r.sign <= 0 || math.IsNaN(d) {
			t.Errorf("%s: %s went from %g to %g", r.name, r.id.Key(), base.Get(r.id).Value, b.Get(r.id).Value)
		}
	}
}

// The fan flies the same draws as the odds.
func TestFan(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Seed: 4, Launches: 64, OnlyLaunch: true, Count: true, Workers: 2}
	r, err := c.Run(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	fan, err := c.Fan(context.Background(), o, 24, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range fan {
		if f.Outcome.Success != r.Launch.Outcome.Success[i] || launch.Class(r.Launch.Outcome.Values[class][i]) != f.Outcome.Class {
			t.Errorf("launch %d: fan %v, odds %v", i, f.Outcome.Class, r.Launch.Outcome.Success[i])
		}
		if len(f.Rows) < 2 {
			t.Errorf("launch %d has %d rows", i, len(f.Rows))
		}
	}
}

// Cancelling stops the work and says so.
func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Run(ctx, example(t, "tern.yaml"), Options{}); err == nil {
		t.Error("a cancelled run gave results")
	}
}

// Measured polars beside the build are preferred to computed ones: a wing
// measured at twice the drag flies slower.
func TestMeasuredPolars(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "wren.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	top := func(cd float64) float64 {
		edited := text
		for _, st := range []string{"0", "1"} {
			out, ds := build.Set(edited, "surfaces.wing.stations["+st+"].polar", "wing.csv")
			if ds.HasErrors() {
				t.Fatal(ds)
			}
			edited = out
		}
		b, ds := build.Parse("wren.yaml", edited)
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		csv := "re,alpha_deg,cl,cd,cm\n"
		for _, re := range []float64{6e4, 1.5e5, 4e5} {
			for a := -8.0; a <= 14; a++ {
				cl := 0.22 + 0.105*a
				if a > 11 {
					cl = 0.22 + 0.105*11 - 0.05*(a-11)
				}
				if a < -6 {
					cl = 0.22 - 0.105*6 - 0.05*(a+6)*-1
				}
				csv += fmt.Sprintf("%g,%g,%.4f,%.5f,-0.05\n", re, a, cl, cd+0.012*(cl-0.25)*(cl-0.25))
			}
		}
		ac, ds := craft.New(b, map[string][]byte{"wing.csv": []byte(csv)})
		if ds.HasErrors() {
			t.Fatal(ds)
		}
		c, err := NewChainWith(context.Background(), ac, Setting{Solve: true, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		d := c.Nominal()
		return c.numbers(&d, Everything)[TopSpeed].V
	}
	clean, dirty := top(0.012), top(0.024)
	if !(dirty < 0.97*clean) {
		t.Errorf("top speed %g with measured drag 0.012, %g with 0.024", clean, dirty)
	}
}

// Run is the whole chain: models, nominal results, intervals over what is not
// known, launch odds, strength under the loads found. It errs on models that
// cannot be built and on a cancelled context.
func Run(ctx context.Context, ac *craft.Aircraft, o Options) (*Results, error) {
	c, err := NewChain(ac)
	if err != nil {
		return nil, err
	}
	return c.Run(ctx, o)
}
