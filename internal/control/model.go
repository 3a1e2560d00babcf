package control

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Of is the [Airframe] of an aerodynamic model in free air of density rho and
// viscosity mu, moments about the aircraft's centre of gravity. k is the draw's
// factors, nil for neutral ones. It is not ok where the wing or a tail is
// stalled.
func Of(m *aero.Model, ac *craft.Aircraft, rho, mu float64, k *aero.Factors) Airframe {
	if k == nil {
		n := aero.Neutral()
		k = &n
	}
	cg := ac.Mass.CG
	return func(f Flow) (r3.Vec, r3.Vec, bool) {
		q := aero.Flow{V: f.V, Alpha: f.Alpha, P: f.P, Q: f.Q, Pitch: f.Pitch, Roll: f.Roll, Height: math.Inf(1), Rho: rho, Mu: mu}
		var l aero.Loads
		m.Eval(&q, k, &l)
		l = m.About(l, cg)
		return l.F, l.M, l.Flag&(aero.Stalled|aero.TailStalled|aero.NotFinite) == 0
	}
}
