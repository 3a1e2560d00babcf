package assess

import (
	"context"
	"math"
	"testing"

	"fledge/internal/section"
)

// A section is solved up to where its widest chord flies at the fastest, and
// no further: a big fast one carries no held drag, a small one pays nothing.
func TestSolvedAsFarAsFlown(t *testing.T) {
	for reach, most := range map[float64]float64{0: 6e5, 6.5e5: 6e5, 7e5: 1e6, 1.2e6: 1.8e6, 2.5e6: 3e6, 9e6: 3e6} {
		if re := checkSpec(reach, 1).Re; re[0] != 6e4 || re[len(re)-1] != most {
			t.Errorf("flown up to %.0f: solved at %.0f", reach, re)
		}
	}
	// Level at full throttle by the whole chain: no faster than reckoned with, but for the
	// tenth that the nodes leave.
	for _, name := range []string{"tern.yaml", "swift.yaml", "heron.yaml", "wren.yaml"} {
		c := chainOf(t, name)
		d := c.Nominal()
		top, reckoned := c.Plane(&d).TopSpeed().V, reach(c.Aircraft)*c.Air.Mu/c.Air.Rho
		if !(reckoned > 0.9*top && reckoned < 1.7*top) {
			t.Errorf("%s: %.1f m/s, reckoned with %.1f", name, top, reckoned)
		}
	}

	fast := example(t, "swift.yaml")
	fast.Surfaces = fast.Surfaces[:1]
	for j := range fast.Surfaces[0].Stations {
		st := &fast.Surfaces[0].Stations[j]
		st.Chord, st.Section = 0.3, "NACA 0009"
	}
	fast.Mass.Total = 2
	c := &Chain{Aircraft: fast, Air: airOf(fast)}
	var err error
	if c.sections, c.solved, err = solveSections(context.Background(), fast, nil, 2); err != nil {
		t.Fatal(err)
	}
	if re, end := c.beyond(60); re != 0 {
		t.Errorf("2 kg, 0.3 m of chord, 60 m/s: %.0f, solved to %.0f", re, end)
	}
	if re, end := c.beyond(150); !(re > 2.5e6) || end != 1.8e6 {
		t.Errorf("at 150 m/s: %.0f, solved to %.0f", re, end)
	}
	if low, high := c.solvedAt(); low != 6e4 || high != 1.8e6 {
		t.Errorf("solved at %g to %g", low, high)
	}
	// Between the nodes, as solved there: within 3 %.
	tb := c.sections.Of(0, 0)
	spec := checkSpec(0, 1)
	spec.Re = []float64{7.7e5}
	sh, err := section.Parse("NACA 0009")
	if err != nil {
		t.Fatal(err)
	}
	one, err := section.Build(context.Background(), sh, spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []float64{0, 2, 4} {
		a *= math.Pi / 180
		_, got, _, _, _ := tb.At(a, 7.7e5, 0)
		_, want, _, _, _ := one.At(a, 7.7e5, 0)
		if e := got/want - 1; math.Abs(e) > 0.03 {
			t.Errorf("drag at %.0f deg between the nodes: %.5f, solved %.5f", a*180/math.Pi, got, want)
		}
	}

	// A faster drive is another reach, one that is hardly faster is not.
	quick, ok := fast.Turn("power.propeller.pitch", 2*fast.Power.Propeller.Pitch)
	if !ok || sameReach(quick, fast) {
		t.Errorf("twice the pitch reaches no further (turns: %v)", ok)
	}
	if same, ok := fast.Turn("power.propeller.pitch", 1.01*fast.Power.Propeller.Pitch); !ok || !sameReach(same, fast) {
		t.Errorf("a hundredth more pitch reaches further (turns: %v)", ok)
	}
}
