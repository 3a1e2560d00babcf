package control

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What building leaves open moves pulses by as much as PulseSigma says of the
// neutral's, to the scatter of 400 draws (4 %, three of them allowed), and
// nothing that is commanded; a control without a linkage stays.
func TestBuilt(t *testing.T) {
	stream := rand.New(rand.NewPCG(1, 1))
	theta := 0.3
	sigma := Hobby.PerRad * math.Hypot(builtAngle, builtSlope*theta)
	var squares float64
	const n = 400
	for range n {
		sh := Sheet{Controls: []ControlSheet{
			{Name: "a", Described: true, State: OK, Pulse: Hobby, Stops: []Stop{{Name: "neutral", Delta: 0.2, Edge: 3e-3, Servo: theta, Pulse: Hobby.Pulse(theta)}}},
			{Name: "b", Stops: []Stop{{Name: "neutral", Servo: nan, Pulse: nan}}},
		}}
		sh.Built(stream.NormFloat64)
		s := sh.Controls[0].Stops[0]
		squares += math.Pow(s.Pulse-Hobby.Pulse(theta), 2)
		if s.Delta != 0.2 || s.Edge != 3e-3 {
			t.Fatalf("commanded values moved: %+v", s)
		}
		if u := sh.Controls[1].Stops[0]; !math.IsNaN(u.Pulse) {
			t.Fatalf("no linkage, but a pulse: %+v", u)
		}
	}
	if got := math.Sqrt(squares / n); math.Abs(got/sigma-1) > 0.12 {
		t.Errorf("pulse ± %.3g s, said %.3g", got, sigma)
	}
}
