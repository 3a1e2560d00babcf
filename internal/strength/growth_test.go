package strength

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// The p-k roots lose their damping where the exact crossings are.
func TestGrowthAgainstCrossings(t *testing.T) {
	for name, s := range map[string]Section{"rig": conner(), "T3": elevon(0.012, 90), "T1": elevon(0.012, 35), "HP": Typical(1, 1, -0.2, 0.1, 0.24, 20*math.Pi, 0.4, 1)} {
		fl, ok := s.Solve(Options{}).Flutter()
		if !ok {
			t.Fatal(name)
		}
		var speeds []float64
		const n = 400
		for i := 1; i <= n; i++ {
			speeds = append(speeds, fl.V*1.3*float64(i)/n)
		}
		rows := s.Growth(speeds)
		onset, freq := math.NaN(), math.NaN()
		for i := 1; i < len(rows) && math.IsNaN(onset); i++ {
			for m := range rows[i] {
				a, b := rows[i-1][m].Damping, rows[i][m].Damping
				if speeds[i] > 0.2*fl.V && a > 0 && b <= 0 {
					onset = speeds[i-1] + (speeds[i]-speeds[i-1])*a/(a-b)
					freq = rows[i][m].Omega
				}
			}
		}
		check.Row{Topic: "flutter", Name: "onset of " + name + " by the p-k method, over the exact one", Source: cite.Ours.At("two methods", cite.Derived)}.Near(t, onset/fl.V, 1, check.Model(2e-3, "straight line between speeds 0.3 % apart"))
		if math.Abs(freq/fl.Omega-1) > 0.01 {
			t.Errorf("%s: frequency %g, want %g", name, freq, fl.Omega)
		}
	}
	if (Section{}).Growth([]float64{1}) != nil {
		t.Error("grew out of nothing")
	}
}
