package app

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/perform"
	"fledge/internal/report"
	"fledge/internal/strength"
	"fledge/internal/wing"
)

// Lattice is the lifting-surface table of a build.
func Lattice(ctx context.Context, q Request) (*Answer, error) {
	o, err := Open(q)
	if err != nil {
		return nil, err
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		return nil, located(o, err)
	}
	ac, m := o.Aircraft, chain.Aero
	d := chain.Nominal()
	l := report.Lattice{Aircraft: ac, Units: q.Units, CG: ac.Mass.CG, Notes: m.Notes(), Strips: len(m.Lattice().Strips), Speed: ac.Flight.Cruise}
	if !(l.Speed > 0) {
		l.Speed = m.ReferenceSpeed()
	}
	if slow := m.Stall(ac.Mass.Total, ac.Mass.CG, d.Air.Rho, d.Air.Mu, &d.AeroK).Speed; l.Speed < 1.1*slow {
		asked := l.Speed
		l.Speed = 1.3 * slow
		l.Notes = append(slices.Clone(l.Notes), fmt.Sprintf("She cannot be held level at %.1f m/s, nor far above it: her slowest flight is %.1f m/s. Derivatives of the whole and lift along the span are for 1.3 times that, %.1f m/s.", asked, slow, l.Speed))
	}
	base := m.Lattice().Derivatives()
	l.Lifting = lifting(chain, &d, base, l.Speed)
	draws := make([]report.Lifting, latticeDraws)
	opt := assess.Options{Seed: q.Seed, Draws: latticeDraws, Workers: workers()}
	if err := chain.Draws(ctx, opt, func(i int, d *assess.Drawn) {
		draws[i] = drawnLifting(chain, d, base, l.Speed, rand.New(rand.NewPCG(q.Seed, uint64(i))))
	}); err != nil {
		return nil, located(o, err)
	}
	l.Doubted(draws)
	r, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Draws: q.Draws, Workers: workers(), NoLaunch: true, NoFit: true, Cheap: true})
	if err != nil {
		return nil, located(o, err)
	}
	l.Neutral, l.Margin = r.Get(assess.NeutralX), r.Get(assess.StaticMargin)
	return &Answer{Doc: report.LatticePage(l), Body: report.LatticeBody(l), Chart: report.LatticeChart(l), Notes: o.RenderNotes()}, nil
}

// latticeDraws give the page its intervals; one takes 2 to 3 ms.
const latticeDraws = 32

// What cheap draws do not see of two small derivatives that hang on where along
// the span the lift lies: one standard deviation over the rolling moment by the
// same cause, as rebuilds of the tern differ from its draws (see
// TestLatticeDrawsAgainstRebuilds).
const (
	unmetCnRoll = 0.003 // yaw by roll control over its roll
	unmetCYP    = 0.012 // side force by roll rate over roll damping
)

// lifting are the numbers of a draw, in level flight at a speed and at the
// stall; base are the lattice's own.
func lifting(chain *assess.Chain, d *assess.Drawn, base wing.Derivatives, v float64) report.Lifting {
	ac, m, k := d.Aircraft, chain.Aero, &d.AeroK
	cg, rho, mu := ac.Mass.CG, d.Air.Rho, d.Air.Mu
	l := report.Lifting{Derive: base}
	f := aero.Flow{V: v, Height: math.Inf(1), Rho: rho, Mu: mu}
	t := m.Trim(aero.Balance{V: v, Rho: rho, Mu: mu, Lift: ac.Mass.Total * perform.Gravity, CG: cg}, k)
	f.Alpha, f.Pitch = t.Alpha, t.Pitch
	l.Stability, l.Spread = m.Stability(f, k, cg), m.Spread(&f, k)
	l.Fine = m.Strips(&f, k)
	st := &l.Stall
	st.StallPoint = m.Stall(ac.Mass.Total, cg, rho, mu, k)
	st.Main, st.Chord = ac.Ref.Wing, ac.Surfaces[ac.Ref.Wing].Name
	st.Stick, _ = m.StickFor(st.Pitch)
	f.V, f.Alpha, f.Pitch = st.Speed, st.Alpha, st.Pitch
	st.Spread = m.Spread(&f, k)
	l.Traits = m.TraitsAt(&st.StallPoint, cg, k)
	return l
}

// drawnLifting are the numbers of a draw of what is not known, with what the
// airframe's model says of its own doubt besides (see [aero.Model.Doubts]):
// lift at no angle, induced drag, dihedral, the body's part in sideslip, the
// downwash's lag. The lattice's own numbers carry the factors of lift, damping,
// control and trim as the whole aeroplane's do; its hinge moments the measured
// flaps' share of theory.
func drawnLifting(chain *assess.Chain, d *assess.Drawn, base wing.Derivatives, v float64, rng *rand.Rand) report.Lifting {
	m, own, k := chain.Aero, chain.Aero.Doubts(), d.AeroK
	k.CL0 += own.CL0 * rng.NormFloat64()
	k.Induced *= 1 + own.Induced*rng.NormFloat64()
	k.Dihedral += own.Dihedral * rng.NormFloat64()
	varied := *d
	varied.AeroK = k
	base.Control = append([]wing.ControlDerivatives(nil), base.Control...)
	l := lifting(chain, &varied, base, v)
	cy, cn := m.SlipDoubts()
	l.Stability.CYBeta += cy * rng.NormFloat64()
	l.Stability.CnBeta += cn * rng.NormFloat64()
	l.Stability.CnRoll += unmetCnRoll * l.Stability.ClRoll * rng.NormFloat64()
	l.Stability.CYP += unmetCYP * l.Stability.ClP * rng.NormFloat64()
	l.Stability.CmAlphaDot *= k.Lift * (1 + aero.WashDoubt*rng.NormFloat64())

	a, c := &l.Derive, d.Aircraft.Ref.Chord
	scale := func(by float64, list ...*float64) {
		for _, p := range list {
			*p *= by
		}
	}
	a.CL0, a.Cm0 = a.CL0*k.Lift+k.CL0, a.Cm0*k.Lift+k.Cm0
	a.CmAlpha -= a.CLAlpha * k.NP / c
	a.NeutralPoint += k.NP
	a.SpanEfficiency /= k.Induced
	scale(k.Lift, &a.CLAlpha, &a.CmAlpha, &a.CYBeta, &a.ClBeta, &a.CnBeta)
	a.ClBeta += k.Dihedral
	scale(k.Lift*k.Damping, &a.CLQ, &a.CmQ, &a.CYP, &a.ClP, &a.CnP, &a.CYR, &a.ClR, &a.CnR)
	mean, sigma := strength.HingeFactor(0)
	for i := range a.Control {
		h := &a.Control[i]
		scale(k.Lift*k.Control, &h.CL, &h.Cm, &h.CY, &h.Cl, &h.Cn)
		scale(mean+sigma*rng.NormFloat64(), &h.Hinge)
	}
	return l
}
