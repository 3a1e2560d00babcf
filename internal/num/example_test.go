package num_test

import (
	"fmt"

	"fledge/internal/num"
)

// A ball thrown up bounces twice: the ground is a terminal event, at which the
// state is changed and the run goes on.
func ExampleIntegrator() {
	fall := func(_ float64, y, dydt []float64) { dydt[0], dydt[1] = y[1], -9.80665 }
	events := []num.Event{
		{Value: func(_ float64, y []float64) float64 { return y[0] }, Direction: -1, Terminal: true}, // ground
		{Value: func(_ float64, y []float64) float64 { return y[1] }, Direction: -1},                 // top
	}
	names := []string{"ground", "top"}
	in := num.NewIntegrator(2)
	in.Start(fall, 0, []float64{1.5, 4}, num.Tolerance{Rel: 1e-8, Abs: []float64{1e-6}})
	for bounce := 0; bounce < 2; bounce++ {
		stop := in.Run(10, events, nil, func(e int, t float64, y []float64) {
			fmt.Printf("%s at %.3f s, height %.2f m\n", names[e], t, y[0]+1e-6)
		})
		if stop.Why != num.Stopped {
			fmt.Println(stop.Why)
			return
		}
		in.Y()[0], in.Y()[1] = 0, -0.6*in.Y()[1]
		in.Resume(0)
	}
	// Output:
	// top at 0.408 s, height 2.32 m
	// ground at 1.095 s, height 0.00 m
	// top at 1.507 s, height 0.83 m
	// ground at 1.920 s, height 0.00 m
}
