package launch

import (
	"math"

	"fledge/internal/air"
)

// field is a frozen turbulence field along the launch: Dryden turbulence at a
// height of 10 ft (where the model begins) sampled every half metre of air,
// joined by Catmull-Rom cubics (C1, so that the integrator meets no kinks).
// Sampling at 0.5 m keeps 95 % of the vertical and 99 % of the horizontal
// variance. It reaches from 20 m behind the start to 180 m ahead and is held
// beyond.
type field struct {
	on bool
	n  [fieldNodes][3]float64
}

const (
	fieldNodes = 401
	fieldStep  = 0.5
	fieldFrom  = -20.0
)

func (f *field) make(t *Turbulence, wind *air.Wind) {
	f.on = t.On && t.U20 > 0
	if !f.on {
		return
	}
	g := air.StartTurbulence(t.Seed, t.Sample, t.U20, 3.048)
	g.Scale = t.Scale
	a, r, d := g.Now()
	for i := range f.n {
		x, y, z := wind.Turn(a, r, d)
		f.n[i] = [3]float64{x, y, z}
		a, r, d = g.Step(fieldStep, 1, 3.048)
	}
}

// at is the disturbance x metres of air ahead of the start, NED.
func (f *field) at(x float64) (n, e, d float64) {
	s := (x - fieldFrom) / fieldStep
	s = math.Max(1, math.Min(fieldNodes-3, s))
	i := int(s)
	if i > fieldNodes-3 {
		i = fieldNodes - 3
	}
	t := s - float64(i)
	p0, p1, p2, p3 := &f.n[i-1], &f.n[i], &f.n[i+1], &f.n[min(i+2, fieldNodes-1)]
	t2, t3 := t*t, t*t*t
	c0 := -0.5*t3 + t2 - 0.5*t
	c1 := 1.5*t3 - 2.5*t2 + 1
	c2 := -1.5*t3 + 2*t2 + 0.5*t
	c3 := 0.5*t3 - 0.5*t2
	return c0*p0[0] + c1*p1[0] + c2*p2[0] + c3*p3[0],
		c0*p0[1] + c1*p1[1] + c2*p2[1] + c3*p3[1],
		c0*p0[2] + c1*p1[2] + c2*p2[2] + c3*p3[2]
}
