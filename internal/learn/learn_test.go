package learn

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/num"
	"fledge/internal/tune"
)

// aircraft is an example with settings.
func aircraft(t testing.TB, name string, sets ...string) *craft.Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", name))
	if err != nil {
		t.Fatal(err)
	}
	var list []build.Setting
	for _, s := range sets {
		one, ds := build.ParseSetting(s)
		if ds.HasErrors() {
			t.Fatal(s, ds)
		}
		list = append(list, one)
	}
	text, ds := build.SetAll(text, list)
	b, more := build.Parse(name, text)
	if ds.HasErrors() || more.HasErrors() {
		t.Fatal(sets, ds, more)
	}
	ac, ds := craft.New(b, nil)
	if ac == nil {
		t.Fatal(sets, ds)
	}
	return ac
}

func model(t testing.TB, name string, sets ...string) *Model {
	t.Helper()
	m, err := NewModel(context.Background(), aircraft(t, name, sets...), assess.Setting{Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// season is a season's worth of readings: what is read, with which doubt.
func season() []Reading {
	row := craft.BenchRow{Volts: 15.0, Amps: 1, Omega: 1, Pull: 1}
	var out []Reading
	out = append(out, OfRow(row, "bench", "bench x")...)
	for i := range 4 {
		out = append(out, Reading{Kind: LevelSpeed, SD: 0.015, From: "pass " + string(rune('1'+i))})
	}
	for i, v := range []float64{14, 17, 21, 26, 31} {
		out = append(out, Reading{Kind: GlideSink, At: v, SD: 0.05, From: "glide " + string(rune('1'+i))})
	}
	for i := range 2 {
		out = append(out, Reading{Kind: Stall, SD: 0.03, From: "stall " + string(rune('1'+i))})
	}
	out = append(out, Reading{Kind: CordPull, At: 8, SD: 0.03}, Reading{Kind: CordPull, At: 10, SD: 0.03, From: "again"}, Reading{Kind: RingAngle, SD: 0.06}, Reading{Kind: PackOhms, SD: 0.06},
		Reading{Kind: LevelRevs, SD: 0.005}, Reading{Kind: Trim, At: 20, SD: 0.02})
	return out
}

// simulate fills readings with what a true aeroplane, drawn from the prior
// with everything else that is not known, would show; SD of season is
// relative (trim: absolute). It returns the true standard scores of the
// factors.
func (m *Model) simulate(list []Reading, s *num.Stream) ([]Reading, []float64) {
	z := make([]float64, len(m.learn))
	var index []int
	var value []float64
	mine := map[int]bool{}
	for k := range z {
		z[k] = s.Normal()
		index, value = append(index, m.learn[k].at), append(value, m.learn[k].param.at(z[k]))
		mine[m.learn[k].at] = true
	}
	for j := range m.Aircraft.Inputs {
		in := &m.Aircraft.Inputs[j]
		if sd := m.Chain.Doubt(j); !mine[j] && in.Kind == craft.Ignorance && sd > 0 {
			index, value = append(index, j), append(value, math.Min(in.High, math.Max(in.Low, in.Nominal+sd*s.Normal())))
		}
	}
	off := map[Kind]float64{}
	out := make([]Reading, len(list))
	w := &work{speeds: map[[2]float64]float64{}, rows: map[craft.BenchRow]craft.BenchRow{}}
	d := m.Chain.DrawPlain(index, value)
	for i, r := range list {
		if _, ok := off[r.Kind]; !ok {
			off[r.Kind] = traits[r.Kind].off * s.Normal()
		}
		y := m.predict(&d, &r, w)
		if additive(r.Kind) {
			r.Value = y + off[r.Kind] + r.SD*s.Normal()
		} else {
			r.SD *= math.Abs(y)
			r.Value = y*(1+off[r.Kind]) + r.SD*s.Normal()
		}
		out[i] = r
	}
	return out, z
}

// TestLawsOfLearning: no evidence gives the prior back, order does not
// matter, and a lesson that was kept is the prior of another aeroplane.
func TestLawsOfLearning(t *testing.T) {
	m := model(t, "tern.yaml")
	none := m.Learn(nil)
	if none.Word != Nothing || none.Lesson != nil {
		t.Errorf("no evidence: %s", none.Word)
	}
	for _, f := range none.Factors {
		if f.After != f.Before || f.AfterSD != f.BeforeSD {
			t.Errorf("no evidence moves %s from %g ± %g to %g ± %g", f.Name, f.Before, f.BeforeSD, f.After, f.AfterSD)
		}
	}
	s := num.NewStream(3)
	list, _ := m.simulate(season(), &s)
	r := m.Learn(list)
	if r.Word != Learned {
		t.Fatal(r.Word, r.Why)
	}
	turned := slices.Clone(list)
	for i := range turned {
		j := s.IntN(i + 1)
		turned[i], turned[j] = turned[j], turned[i]
	}
	again := model(t, "tern.yaml").Learn(turned)
	if !reflect.DeepEqual(r.Lesson, again.Lesson) || !reflect.DeepEqual(r.Factors, again.Factors) {
		t.Error("another order, another result")
	}
	// Another aeroplane with the same propeller begins with what was learned.
	heron := aircraft(t, "tern.yaml", "aeroplane.name=Heron", "surfaces.wing.stations[0].chord=200 mm")
	other, err := NewModel(context.Background(), heron, assess.Setting{Workers: 1}, []tune.Lesson{*r.Lesson})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(other.Heirs, []string{"Tern"}) {
		t.Errorf("heirs %q", other.Heirs)
	}
	for k, f := range other.Learn(nil).Factors {
		was := r.Factors[k]
		shared := f.Name != "drag" && f.Name != "lift" && f.Name != "lift-max" && was.Component == f.Component && was.Told
		if shared && (math.Abs(f.Before-was.After) > 1e-12 || math.Abs(f.BeforeSD-was.AfterSD) > 1e-9) {
			t.Errorf("%s begins at %g ± %g, was learned as %g ± %g", f.Name, f.Before, f.BeforeSD, was.After, was.AfterSD)
		}
		if f.Name == "drag" && f.Before != 1 {
			t.Errorf("drag of another airframe begins at %g", f.Before)
		}
	}
}

func BenchmarkLearn(b *testing.B) {
	m := model(b, "tern.yaml")
	s := num.NewStream(3)
	list, _ := m.simulate(append(season(), season()...), &s)
	b.ReportMetric(float64(len(list)), "readings")
	for b.Loop() {
		m.Learn(list)
	}
}

// What is off in a row that the others contradict is left out, and no more.
func TestLeaveOut(t *testing.T) {
	rows := append(OfRow(craft.BenchRow{Volts: 11, Amps: 14, Omega: 1600, Pull: 6}, "bench row 1", "p"), OfRow(craft.BenchRow{Volts: 10, Amps: 19, Omega: 1200, Pull: 5}, "bench row 2", "p")...)
	LeaveOut(rows, []assess.BenchOff{{Row: 1, Revs: true, Amps: true, Say: "it is wrong"}})
	for _, r := range rows {
		if want := r.From == "bench row 2" && r.Kind != BenchPull; (r.Suspicious != "") != want {
			t.Errorf("%s: %q", r.Key(), r.Suspicious)
		}
	}
}
