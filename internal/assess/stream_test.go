package assess

import (
	"math"
	"testing"

	"fledge/internal/aero"
)

// Flight under power sees the stream that the launch sees: the drag of a pull
// is that of a trim with the propeller turning, at full throttle and in level
// flight; without the stream she would be faster, and every example pays.
func TestStreamOfTheChain(t *testing.T) {
	for _, name := range []string{"tern.yaml", "swift.yaml", "wren.yaml", "heron.yaml"} {
		c, err := NewChain(example(t, name))
		if err != nil {
			t.Fatal(err)
		}
		d := c.Nominal()
		p := c.Plane(&d)
		if !c.Aero.Blown() {
			t.Logf("%s: the stream meets nothing", name)
			continue
		}
		w := p.Weight()
		exact := func(v, n, pull float64) float64 {
			on := c.Aero.Trim(aero.Balance{V: v, Rho: d.Air.Rho, Mu: d.Air.Mu, Lift: n * w, CG: d.Aircraft.Mass.CG, Moment: pullMoment(d.Aircraft, pull), PropOn: true, Thrust: pull}, &d.AeroK)
			return on.Drag - c.trimmed(&d, v, n*w).Drag
		}
		for _, v := range []float64{1.2, 1.6, 2.2, 3} {
			for _, n := range []float64{0.5, 1, 1.3} {
				if n > 0.8*v*v {
					continue
				}
				v := v * p.Stall
				for _, pull := range []float64{p.Thrust(v), p.LevelPull(v, n)} {
					if pull <= 0 {
						continue
					}
					got, want := p.Stream(v, n, pull)/pull, exact(v, n, pull)/pull
					// Of the pull: a fifth of the doubt of the propeller's thrust.
					if !(math.Abs(got-want) < 0.01) {
						t.Errorf("%s at %.1f m/s, n %g, pull %.2f N: %.4f of it, trimmed under it %.4f", name, v, n, pull, got, want)
					}
				}
			}
		}
		still := *p
		still.Stream = nil
		a, b := p.TopSpeed(), still.TopSpeed()
		up, up0 := p.BestClimb().Rate, still.BestClimb().Rate
		pull := p.Thrust(a.V)
		t.Logf("%s: top speed %.2f m/s, without the stream %.2f; climb %.2f and %.2f m/s; stream at top speed %.4f of the pull", name, a.V, b.V, up, up0, p.Stream(a.V, 1, pull)/pull)
		if !(a.V < b.V) || !(a.V > 0.9*b.V) {
			t.Errorf("%s: top speed %g m/s with the stream, %g without", name, a.V, b.V)
		}
	}
}
