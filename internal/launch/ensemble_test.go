package launch

import (
	"fledge/internal/num"
)

// shake varies a setup by what changes from launch to launch: u in (0,1).
func shake(s *Setup, u []float64) {
	n := func(i int, sd float64) float64 { return sd * num.NormalQuantile(u[i]) }
	s.Height += n(0, 0.12)
	s.NoseUp += n(1, 4*degree)
	s.Roll += n(2, 4*degree)
	s.Aim += n(3, 3*degree)
	s.Stretch += n(4, 0.3)
	s.RateP += n(5, 15*degree)
	s.RateQ += n(6, 10*degree)
	s.Gust = Gust{Head: n(7, 1), Up: n(8, 0.5), Start: 25 * (u[9] - 0.5), Length: 25}
	s.MotorDelay += n(10, 0.15)
	s.Hook.Friction *= 1 + n(11, 0.2)
}

const shaken = 12

// share is the share of successes of n shaken launches, and of each class.
func share(base Setup, n int, seed uint64) (odds float64, classes [Classes]int) {
	w := NewWorkspace()
	sob := num.NewSobol(shaken, seed)
	u := make([]float64, shaken)
	for i := range n {
		sob.Point(uint64(i), u)
		s := base
		shake(&s, u)
		o := Run(&s, w)
		classes[o.Class]++
	}
	return float64(classes[Airborne]) / float64(n), classes
}
