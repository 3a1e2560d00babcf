package assess

import (
	"context"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
)

// The linear intervals of the drive against drawn ones: pull and current at
// rest of a whole run.
func TestDriveAlong(t *testing.T) {
	c, err := NewChain(example(t, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := c.Run(context.Background(), Options{Seed: 1, Draws: 400, Launches: 64})
	if err != nil {
		t.Fatal(err)
	}
	row := c.DriveAlong(c.Aircraft.Power.Throttle, []float64{0})[0]
	for _, k := range []struct {
		name      string
		id        ID
		low, high float64
	}{{"pull at rest", StaticThrust, row.ThrustLow, row.ThrustHigh}, {"current at rest", CurrentMax, row.CurrentLow, row.CurrentHigh}} {
		q := r.Get(k.id)
		check.Row{Topic: "drive", Name: "width of the interval of the " + k.name + ", linear over drawn", Source: cite.Ours.At("two ways", cite.Derived)}.
			Near(t, (k.high-k.low)/(q.High-q.Low), 1, check.ModelAbs(0.15, "linear, and a 90 % range of 400 draws, itself known to 6 %"))
	}
}

// After a bench fit the readings themselves stay known: the doubts of motor
// constant and resistance, drawn as they hang together, give the rpm read back
// within its reading error, and not the sum of both as if they were apart.
func TestBenchTogether(t *testing.T) {
	ac := example(t, "tern.yaml")
	plain, err := NewChain(ac)
	if err != nil {
		t.Fatal(err)
	}
	b := *ac
	b.Power.Bench = nil
	for _, v := range []float64{14.5, 12.5, 10.5} {
		row := plain.Power.OnBench(craft.BenchRow{Volts: v}, nil)
		b.Power.Bench = append(b.Power.Bench, craft.BenchRow{Volts: v, Amps: row.Amps, Omega: row.Omega, Pull: row.Pull})
	}
	c, err := NewChain(&b)
	if err != nil {
		t.Fatal(err)
	}
	if c.joint == nil {
		t.Fatal("the bench fit joins nothing")
	}
	var index []int
	for i, j := range c.joint.input {
		if j >= 0 && c.joint.sigma[i] > 0 {
			index = append(index, j)
		}
	}
	spread := func(together bool) float64 {
		sum, sq, n := 0.0, 0.0, 0.0
		z := make([]float64, len(index))
		state := uint64(1)
		normal := func() float64 { // twelve uniforms
			s := -6.0
			for range 12 {
				state = state*6364136223846793005 + 1442695040888963407
				s += float64(state>>11) / (1 << 53)
			}
			return s
		}
		for range 600 {
			for k, i := range index {
				z[k] = b.Inputs[i].Nominal + c.sigma(&b.Inputs[i])*normal()
			}
			d := c.DrawPlain(index, z)
			if together {
				d = c.Draw(index, z)
			}
			w := c.Power.OnBench(craft.BenchRow{Volts: 12.5}, &d.PowerK).Omega
			sum, sq, n = sum+w, sq+w*w, n+1
		}
		m := sum / n
		return math.Sqrt(sq/n-m*m) / m
	}
	apart, joined := spread(false), spread(true)
	t.Logf("rpm of the middle row: %.2f %% apart, %.2f %% together", 100*apart, 100*joined)
	if !(joined < 0.012) || !(joined < 0.9*apart) {
		t.Errorf("spread %.4f together, %.4f apart", joined, apart)
	}
}
