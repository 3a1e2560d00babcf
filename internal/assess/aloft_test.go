package assess

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"testing"

	"fledge/internal/craft"
	"fledge/internal/perform"
	"fledge/internal/radio"
)

func chainOf(t testing.TB, name string) *Chain {
	t.Helper()
	c, err := NewChain(example(t, name))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// linksOf are the links of a changed aircraft.
func linksOf(t *testing.T, c *Chain, sets ...Change) *Results {
	t.Helper()
	ac := c.Aircraft
	for _, s := range sets {
		var ok bool
		if ac, ok = ac.Turn(s.Path, s.Value); !ok {
			t.Fatalf("no number %s", s.Path)
		}
	}
	k, err := c.For(ac)
	if err != nil {
		t.Fatal(err)
	}
	r, err := k.LinksAlone(context.Background(), Options{Seed: 1, Draws: 32, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestLinks(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	base := linksOf(t, c)
	if len(base.Links) != 2 || base.WorstLink() == nil {
		t.Fatalf("links %+v", base.Links)
	}
	for i := range base.Links {
		l := &base.Links[i]
		if l.Margin.Status != "" || !(l.Margin.Low < l.Margin.Value && l.Margin.Value < l.Margin.High) || l.Where == "" {
			t.Errorf("%s: %+v", l.Name, l.Margin)
		}
		if worst := math.Min(l.Circuit.Value, l.Approach.Value); worst != l.Margin.Value {
			t.Errorf("%s: worst %g, parts %g and %g", l.Name, l.Margin.Value, l.Circuit.Value, l.Approach.Value)
		}
	}
	// Twice the power is 3.01 dB, at the worst place and in the whole interval.
	video := &c.Aircraft.Radios[1]
	more := linksOf(t, c, Change{"radio.video.power", 2 * video.Power})
	a, b := base.Links[1].Margin, more.Links[1].Margin
	if d := b.Value - a.Value; math.Abs(d-10*math.Log10(2)) > 1e-9 {
		t.Errorf("twice the power: %g dB", d)
	}
	if base.Links[0].Margin != more.Links[0].Margin {
		t.Error("the control link feels the power of the video")
	}
	// One worker or two, the same bytes.
	one, err := c.LinksAlone(context.Background(), Options{Seed: 1, Draws: 32, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(one.Links, base.Links) {
		t.Error("one worker and two differ")
	}
	// A bank of earth across the approach: the worst place is behind it.
	ac := *c.Aircraft
	ac.Obstacles = []craft.Obstacle{{Name: "dyke", At: craft.Mark{Ahead: -20}, Height: 6, Width: 400}}
	k, err := c.For(&ac)
	if err != nil {
		t.Fatal(err)
	}
	r, err := k.LinksAlone(context.Background(), Options{Seed: 1, Draws: 2})
	if err != nil {
		t.Fatal(err)
	}
	if l := r.Links[1]; l.Budget.Behind != "dyke" || l.Margin.Value > base.Links[1].Margin.Value-8 || l.Approach.Value != l.Margin.Value {
		t.Errorf("behind a dyke: %+v, %s", l.Margin, l.Where)
	}
	// What is missing is said.
	ac = *c.Aircraft
	ac.Radios = append([]craft.Radio(nil), ac.Radios...)
	ac.Radios[0].Missing = "its power is not given"
	if k, err = c.For(&ac); err != nil {
		t.Fatal(err)
	}
	if r, err = k.LinksAlone(context.Background(), Options{Seed: 1, Draws: 2}); err != nil {
		t.Fatal(err)
	}
	if l := r.WorstLink(); l.Name != "control" || l.Margin.Status != "its power is not given" || !math.IsNaN(l.Margin.Value) {
		t.Errorf("an unknown power: %+v", l.Margin)
	}
}

// The circuit that is made up where none is described reaches as far as is
// said and closes.
func TestMadeUpRound(t *testing.T) {
	c := chainOf(t, "heron.yaml")
	d := c.Nominal()
	for _, far := range []float64{150, 300, 400, 1000} {
		ac := *c.Aircraft
		ac.Circuit = craft.Circuit{}
		ac.Flight.Radius, ac.Flight.Height = far, 40
		d.Aircraft = &ac
		r := c.Round(&d, 15)
		r.Nodes(2)
		if r.Given || r.Assumption == "" || r.Open > 1e-6 || math.Abs(r.Radius-far) > 0.02*far {
			t.Errorf("far %g: reaches %g, open %g, %q", far, r.Radius, r.Open, r.Assumption)
		}
	}
}

func TestSortie(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	run := func(c *Chain, workers int) *Results {
		r, err := c.Run(context.Background(), Options{Seed: 1, Launches: 128, Draws: 8, Workers: workers, Sortie: true})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := run(c, 2)
	s := r.Sortie
	if s == nil || s.N != 128 {
		t.Fatalf("%+v", s)
	}
	sum := s.Chance.Value
	for _, k := range s.Parts {
		sum += k.First
		if !k.Asked || k.IfSure < s.Chance.Value-1e-12 || s.Chance.Value > k.Chance+1e-12 {
			t.Errorf("%s: %+v of %g", k.Stage, k, s.Chance.Value)
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("whole and first failures add up to %g", sum)
	}
	hits := 0
	for i := range s.N {
		if r.Launch.Outcome.Success[i] {
			hits++
		}
	}
	if got := s.Parts[Launching].Chance; math.Abs(got-float64(hits)/float64(s.N)) > 1e-12 {
		t.Errorf("launches that went well: %g, counted %d of %d", got, hits, s.N)
	}
	if one := run(c, 1).Sortie; fmt.Sprint(*one) != fmt.Sprint(*s) { // NaN is NaN here
		t.Errorf("one worker %+v, two %+v", one, s)
	}
	// Nothing known to judge by: sure, and said to be.
	ac := *c.Aircraft
	ac.Launch, ac.Radios, ac.Flight.Time, ac.Landing.Length = craft.Launch{}, nil, 0, 0
	ac.Inputs = nil
	k, err := c.For(&ac)
	if err != nil {
		t.Fatal(err)
	}
	all := run(k, 1).Sortie
	if all.Chance.Value != 1 || all.Parts[Landed].Asked || all.Parts[Launching].Asked {
		t.Errorf("nothing to judge: %+v", all)
	}
}

// Common causes: where one doubt spoils two stages in the same worlds, the
// whole is likelier than the product.
func TestSortieCommonCause(t *testing.T) {
	var s Sortie
	ok := make([][stages]bool, 100)
	for i := range ok {
		good := i%2 == 0
		ok[i] = [stages]bool{good, true, true, good}
	}
	s.count(ok)
	if s.Chance.Value != 0.5 || math.Abs(s.Product-0.25) > 1e-12 || s.Parts[Launching].IfSure != 0.5 || s.Parts[Launching].First != 0.5 || s.Parts[Landed].First != 0 {
		t.Errorf("%+v", s)
	}
}

func TestBrakes(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	d := c.Nominal()
	p := c.Plane(&d)
	v := 1.3 * p.Stall
	list := c.Brakes(&d, v)
	known := map[string]Brake{}
	for _, b := range list {
		known[b.Say] = b
		if b.Known && !(b.Area > 0 && b.Area < 0.05) || !b.Known && b.Why == "" {
			t.Errorf("%+v", b)
		}
	}
	if b := known["both ailerons up, full throw"]; !b.Known || b.Lift >= 0 || math.Abs(b.Angle-14*math.Pi/180) > 1e-9 {
		t.Errorf("ailerons up: %+v", b)
	}
	slow := c.Slowing(&d, p, v, 20/3.6, list)
	for i := 1; i < len(slow); i++ {
		if slow[i].Distance < slow[i-1].Distance {
			t.Errorf("not in order: %+v after %+v", slow[i], slow[i-1])
		}
	}
	if len(slow) < 5 || !(slow[0].Distance > 0) {
		t.Errorf("ways to slow down: %+v", slow)
	}
	// The trimmed drag of the balanced flight is that of the model's own trim.
	a := c.balanced(c.Aero, &d, v, 0, 0, false)
	want := c.trimmed(&d, v, d.Aircraft.Mass.Total*perform.Gravity)
	if !a.ok || math.Abs(a.cd-want.CD) > 1e-3*want.CD || math.Abs(a.alpha-want.Alpha) > 1e-4 {
		t.Errorf("balanced %+v, trimmed %+v", a, want)
	}
	// A braked propeller holds back no less than a stopped and no more than a
	// disc of half the stream.
	for _, v := range []float64{12, 20, 30, 45} {
		free, _ := c.Power.Windmill(v)
		if b := c.Braked(v); !(b > 0) || b > 3*math.Max(free, c.Power.Stopped(v)) {
			t.Errorf("%g m/s: braked %g N, free %g N, stopped %g N", v, b, free, c.Power.Stopped(v))
		}
	}
}

func TestOtherDays(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	d := c.Nominal()
	base := c.numbers(&d, Everything)
	same, ok := c.Changed(Change{"trial.mass", c.Aircraft.Trial.Mass})
	if !ok || same[TopSpeed] != base[TopSpeed] || same[StallSpeed] != base[StallSpeed] {
		t.Errorf("nothing changed: %+v, %+v", same[TopSpeed], base[TopSpeed])
	}
	warm, ok := c.Changed(Change{"day.temperature", c.Aircraft.Day.Temperature + 20})
	if !ok {
		t.Fatal("no temperature")
	}
	// Thinner air: stall and approach go as the root of the density, but that a
	// Reynolds number 12 % lower takes 1 % of the sections' highest lift.
	want := base[StallSpeed].V * math.Sqrt((c.Aircraft.Day.Temperature+20)/c.Aircraft.Day.Temperature)
	if got := warm[StallSpeed].V; math.Abs(got-want) > 0.01*want {
		t.Errorf("20 K warmer: stall %g m/s, want %g", got, want)
	}
	if _, ok := c.Changed(Change{"no.such", 1}); ok {
		t.Error("a number that is not there was changed")
	}
	days, draws, err := c.Effects(t.Context(), Options{Seed: 1, Draws: 12}, c.Days())
	if err != nil || len(draws) != 12 {
		t.Fatal(err, len(draws))
	}
	for j, e := range days {
		for _, k := range draws {
			// The same draw on both sides: the change of the stall speed by the
			// air's density scatters by far less than the speed itself.
			if math.Abs(k[j].Stall-e.Stall) > 0.25*math.Abs(e.Stall)+1e-9 {
				t.Errorf("%s: stall speed changes by %g m/s in a draw, by %g m/s as is", e.Say, k[j].Stall, e.Stall)
			}
		}
		if e.Say == "3 m/s more wind and gust" && !(e.Landing < 0) {
			t.Errorf("more wind: %+v", e)
		}
		if e.Say == "a field 1000 m higher" && !(e.Stall > 0.02 && e.Landing > 0) {
			t.Errorf("a higher field: %+v", e)
		}
	}
}

// The trial: a level entry of the length it says reaches 99 %; a dive adds
// what energy allows at most; more passes narrow the result.
func TestTrial(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	r := &Results{}
	a := c.Trial(r)
	if a.Status != perform.OK || math.Abs(a.Start/a.Top-0.99) > 0.002 || a.Passes < 1 || !(a.Sigma > 0) {
		t.Fatalf("%+v", a)
	}
	if math.Abs(a.TwoWay-(a.Out+a.Back)/2) > 1e-12 || a.Harmonic > a.TwoWay {
		t.Errorf("means %g and %g", a.TwoWay, a.Harmonic)
	}
	ac := *c.Aircraft
	ac.Course.Dive, ac.Course.Passes = 30, 16
	k := *c
	k.Aircraft = &ac
	b := k.Trial(r)
	free := math.Sqrt(a.Start*a.Start+2*perform.Gravity*30) - a.Start
	if !(b.DiveGain > 0 && b.DiveGain < free) || b.Sigma >= a.Sigma {
		t.Errorf("dive gains %g of %g at most; sigma %g, was %g", b.DiveGain, free, b.Sigma, a.Sigma)
	}
}

// What becomes of her when a signal goes: the glide ends where geometry says.
func TestLost(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	d := c.Nominal()
	d.Aircraft.Day.Wind = 0
	n := c.numbers(&d, Everything)
	w, ok := c.Way(&d, &n, 5)
	if !ok || w.Landing == 0 {
		t.Fatal("no way")
	}
	for _, how := range []string{"", "straight down", "circle down", "return home"} {
		ac := *d.Aircraft
		ac.Flight.Home.Link, ac.Flight.Home.Picture = how, ""
		e := d
		e.Aircraft = &ac
		list, assumed := c.Lost(&e, &n, &w)
		if len(list) != 4 || (assumed == "") != (how != "") {
			t.Fatalf("%q: %d places, %q", how, len(list), assumed)
		}
		for _, l := range list {
			moved := math.Hypot(l.EndAhead-l.At.Pos.X, l.EndRight-l.At.Pos.Y)
			switch how {
			case "circle down":
				if moved > 1e-9 {
					t.Errorf("circles down %g m away in still air", moved)
				}
			case "return home":
				if l.EndAhead != 0 || l.EndRight != 0 {
					t.Errorf("home is at %g, %g", l.EndAhead, l.EndRight)
				}
			default:
				g := c.Plane(&d).GlideAt(n[CruiseSpeed].V)
				if want := l.At.Pos.Z / math.Tan(g.Angle); math.Abs(moved-want) > 1e-9*want {
					t.Errorf("glides %g m, want %g", moved, want)
				}
			}
		}
	}
}

// Work of one draw of performance, landing and links together.
func BenchmarkAloft(b *testing.B) {
	c, err := NewChain(example(b, "tern.yaml"))
	if err != nil {
		b.Fatal(err)
	}
	d := c.Nominal()
	n := c.numbers(&d, Everything)
	w, _ := c.Way(&d, &n, coarseStep)
	for b.Loop() {
		c.numbers(&d, Everything)
		links, _ := radio.FromAircraft(d.Aircraft)
		for i := range links {
			links[i].Worst(w.Places)
		}
	}
	b.ReportMetric(256*b.Elapsed().Seconds()/float64(b.N), "s/256-draws")
}
