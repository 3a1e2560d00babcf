package assess

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	usual "fledge/internal/power/typical"
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

// Thrust and torque err together: over draws the efficiency keeps the doubt
// that measured propellers have, and hardly one turns more power into thrust
// than momentum allows. Each by itself is as doubtful as it was.
func TestPropellersWithinMomentum(t *testing.T) {
	ac := example(t, "swift.yaml")
	c, err := NewChain(ac)
	if err != nil {
		t.Fatal(err)
	}
	var index []int
	for i := range ac.Inputs {
		if p := ac.Inputs[i].Path; p == "factor.thrust" || p == "factor.torque" {
			index = append(index, i)
		}
	}
	if len(index) != 2 || c.joint == nil {
		t.Fatalf("inputs %v, joint %v", index, c.joint)
	}
	const n = 2000
	speed := 0.0
	ideal, eta := 0.0, 0.0
	for _, r := range c.Power.Against(1, c.Power.Charge, []float64{20, 25, 30, 35, 40, 45, 50}, nil) {
		if r.Thrust > 0 && r.Propeller > eta {
			speed, ideal, eta = r.Airspeed, r.Ideal, r.Propeller
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	over := [2]float64{}
	var thrust, torque, ratio [2]float64 // mean squares of the logarithms
	for range n {
		z := []float64{0, 0}
		for k, i := range index {
			z[k] = ac.Inputs[i].Nominal + c.sigma(&ac.Inputs[i])*rng.NormFloat64()
		}
		for k, d := range []Drawn{c.DrawPlain(index, z), c.Draw(index, z)} {
			a, b := math.Log(d.PowerK.Thrust), math.Log(d.PowerK.Torque)
			thrust[k] += a * a / n
			torque[k] += b * b / n
			ratio[k] += (a - b) * (a - b) / n
			if eta*d.PowerK.Thrust/d.PowerK.Torque > ideal {
				over[k] += 1.0 / n
			}
		}
	}
	t.Logf("at %.0f m/s efficiency %.3f of %.3f: %.1f %% of draws above momentum's when apart, %.1f %% together", speed, eta, ideal, 100*over[0], 100*over[1])
	spread := usual.PropellerDoubt(ac.Power.Propeller.Known())
	row := check.Row{Topic: "drive", Source: cite.DetersSelig2014.At("eleven blades, by the spread of their efficiencies (power, measured propellers, intervals)", cite.Seen)}
	row.Name = "spread of the propeller's efficiency over draws, relative, over that of measured ones at an efficiency of 0.65"
	row.Near(t, math.Sqrt(ratio[1])/(spread.Efficiency.Sigma/0.65), 1, check.ModelAbs(0.08, "2000 draws, known to 1.6 %, and logarithms for the spread of 13 and 15 % as given"))
	row.Source = cite.Ours.At("law", cite.Derived)
	row.Name = "spread of thrust, together over apart"
	row.Near(t, math.Sqrt(thrust[1]/thrust[0]), 1, check.ModelAbs(1e-12, "the first of the two is drawn as it was"))
	row.Name = "spread of torque, together over apart"
	row.Near(t, math.Sqrt(torque[1]/torque[0]), 1, check.ModelAbs(0.07, "two samples of 2000, known to 1.6 % each, with the tail of the logarithm"))
	if over[1] > 0.05 || !(over[1] < over[0]/2) {
		t.Errorf("%.3f of draws above momentum, %.3f apart", over[1], over[0])
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
