package prop

import "math"

// Disc is the actuator disc's answer: the least power any propeller of that
// size can give the thrust with.
type Disc struct {
	Induced float64 // speed added at the disc, m/s
	Wake    float64 // speed far behind, m/s
	Power   float64 // W
	Eta     float64 // thrust times flight speed over power
	Narrow  float64 // diameter of the wake over that of the disc
}

// IdealDisc solves momentum theory for thrust (N, >= 0), diameter (m), axial
// speed (m/s, >= 0) and density: v = -V/2 + sqrt(V²/4 + T/(2 rho A)),
// P = T (V+v), eta = V/(V+v) (Glauert 1935). Exact; outside the range NaN.
func IdealDisc(thrust, diameter, v, rho float64) Disc {
	if !(thrust >= 0 && diameter > 0 && v >= 0 && rho > 0) {
		n := math.NaN()
		return Disc{n, n, n, n, n}
	}
	a := math.Pi / 4 * diameter * diameter
	q := thrust / (2 * rho * a)
	var i float64
	if v > 0 {
		i = q / (v/2 + math.Sqrt(v*v/4+q)) // without cancellation
	} else {
		i = math.Sqrt(q)
	}
	d := Disc{Induced: i, Wake: v + 2*i, Power: thrust * (v + i)}
	if v+i > 0 {
		d.Eta = v / (v + i)
		d.Narrow = math.Sqrt((v + i) / (v + 2*i))
	}
	return d
}
