package launch

import (
	"fledge/internal/air"
)

// field is a frozen turbulence field along the launch: Dryden turbulence at a
// height of 10 ft (where the model begins) sampled every half metre of air,
// joined by Catmull-Rom cubics (C1, so that the integrator meets no kinks).
// Sampling at 0.5 m keeps 95 % of the vertical and 99 % of the horizontal
// variance. It reaches from 2 m behind the start to 198 m ahead and is held
// beyond: nothing drifts further back with a wind from behind before it is off. Samples are drawn in order as the flight comes to them, so that the
// field does not depend on how it is asked.
type field struct {
	on   bool
	gen  air.Turbulence
	wind air.Wind
	made int
	n    [fieldNodes][3]float64
}

const (
	fieldNodes = 401
	fieldStep  = 0.5
	fieldFrom  = -2.0
)

func (f *field) make(t *Turbulence, wind *air.Wind) {
	f.on = t.On && t.U20 > 0 && t.Scale != 0 && finite(t.U20, t.Scale)
	f.made = 0
	if !f.on {
		return
	}
	f.gen = air.StartTurbulence(t.Seed, t.Sample, t.U20, 3.048)
	f.gen.Scale = t.Scale
	if t.Guided {
		f.gen.Guide(&t.Even)
	}
	f.wind = *wind
}

func (f *field) draw(upTo int) {
	for ; f.made <= upTo; f.made++ {
		a, r, d := f.gen.Now()
		x, y, z := f.wind.Turn(a, r, d)
		f.n[f.made] = [3]float64{x, y, z}
		f.gen.Step(fieldStep, 1, 3.048)
	}
}

// at is the disturbance x metres of air ahead of the start, NED.
func (f *field) at(x float64) (n, e, d float64) {
	s := (x - fieldFrom) / fieldStep
	if !(s > 1) { // also not a number
		s = 1
	}
	s = min(s, fieldNodes-2)
	i := min(int(s), fieldNodes-3)
	if i+2 >= f.made {
		f.draw(i + 2)
	}
	t := s - float64(i)
	p0, p1, p2, p3 := &f.n[i-1], &f.n[i], &f.n[i+1], &f.n[i+2]
	t2, t3 := t*t, t*t*t
	c0 := -0.5*t3 + t2 - 0.5*t
	c1 := 1.5*t3 - 2.5*t2 + 1
	c2 := -1.5*t3 + 2*t2 + 0.5*t
	c3 := 0.5*t3 - 0.5*t2
	return c0*p0[0] + c1*p1[0] + c2*p2[0] + c3*p3[0],
		c0*p0[1] + c1*p1[1] + c2*p2[1] + c3*p3[1],
		c0*p0[2] + c1*p1[2] + c2*p2[2] + c3*p3[2]
}
