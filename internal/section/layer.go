package section

import "math"

// regime says which equations hold between two stations.
type regime uint8

const (
	laminar  regime = iota
	changing        // transition lies between the stations
	turbulent
	inWake
)

// station is the state of the layer at one node. c is the amplification
// exponent where laminar, the square root of the shear-stress coefficient
// where turbulent.
type station struct {
	c, th, m, u float64
}

// end is a station with derivatives: displacement thickness d, shape factor
// without the dead air behind a blunt base, Reynolds number.
type end struct {
	c, th, d, u, h, r jet
}

// flow holds the constants of one case.
type flow struct {
	re    float64
	nCrit float64
}

const (
	minShape          = 1.25 // laminar, at the steepest acceleration
	minShapeTurbulent = 1.05
	minShapeWake      = 1.00005
)

func (f flow) end(s station, k int, dead float64) end {
	e := end{c: seed(s.c, k), th: seed(s.th, k+1), u: seed(s.u, k+3)}
	e.d = seed(s.m, k+2).over(e.u)
	return f.finish(e, dead)
}

// finish derives shape factor and Reynolds number.
func (f flow) finish(e end, dead float64) end {
	e.h = e.d.shift(-dead).over(e.th)
	if e.h.v < minShapeWake {
		e.h = fix(minShapeWake)
	}
	e.r = e.u.times(e.th).scale(f.re)
	return e
}

// betweenAt is the state at weight w from a to b.
func (f flow) betweenAt(a, b end, w jet, dead float64) end {
	return f.finish(end{c: a.c.mix(b.c, w), th: a.th.mix(b.th, w), d: a.d.mix(b.d, w), u: a.u.mix(b.u, w)}, dead)
}

// residuals of momentum, shape and third equation.
type residuals [3]jet

// weight moves the point where the closures are evaluated from the middle of
// the interval to its downstream end where the shape changes fast, as
// implicit schemes for stiff equations need.
func weight(a, b end) jet {
	if a.h.v < 1.0001 || b.h.v < 1.0001 {
		return fix(1)
	}
	q := b.h.shift(-1).over(a.h.shift(-1)).log()
	return q.over(b.h).square().scale(-5).exp().scale(-0.5).shift(1)
}

// interval returns the residuals between stations a and b, ds apart.
//
//	d ln(theta) + (H+2) d ln(u) - (cf/2) ds/theta = 0
//	d ln(H*) + (1-H) d ln(u) + (cf/2 - 2 CD/H*) ds/theta = 0
//
// with amplification where laminar and Green's lag equation where turbulent.
func (f flow) interval(k regime, a, b end, ds jet, deadA, deadB float64) residuals {
	w := weight(a, b)
	mid := f.betweenAt(a, b, w, deadA+w.v*(deadB-deadA))
	dlnu := b.u.over(a.u).log()
	step := ds.over(mid.th)
	full := mid.d.over(mid.th)

	var cf2, diss, hsa, hsb jet
	var third jet
	if k == laminar {
		hsa = energyLaminar(a.h.v).jet(&a.h, &a.r)
		hsb = energyLaminar(b.h.v).jet(&b.h, &b.r)
		cf2 = frictionLaminar(mid.h.v, mid.r.v).jet(&mid.h, &mid.r)
		diss = dissipationLaminar(mid.h.v, mid.r.v).jet(&mid.h, &mid.r)
		// Growth at the rate of the upstream station, here and in the interval
		// of transition alike: any other rule has two answers, or none, when
		// transition falls on a station.
		third = b.c.minus(a.c).minus(amplification(a.h.v, a.r.v).jet(&a.h, &a.r).times(ds).over(a.th))
	} else {
		hsa = energyTurbulent(a.h.v, a.r.v).jet(&a.h, &a.r)
		hsb = energyTurbulent(b.h.v, b.r.v).jet(&b.h, &b.r)
		t := f.turbulent(mid, k == inWake)
		cf2, diss = t.cf2, t.diss
		// Green's lag on the shear stress, with the departure from the
		// equilibrium pressure gradient (R&M 3791).
		pull := fix(lagRate).over(t.us.shift(1)).times(t.equal.minus(mid.c.scale(t.length))).times(ds).over(t.thick)
		third = b.c.over(a.c).log().scale(2).minus(pull).minus(t.slope.times(ds).minus(dlnu).scale(2))
	}
	return residuals{
		b.th.over(a.th).log().plus(full.shift(2).times(dlnu)).minus(cf2.times(step)),
		hsb.over(hsa).log().minus(full.shift(-1).times(dlnu)).plus(cf2.minus(diss).times(step)),
		third,
	}
}

// lagRate is K(1 + Us) of the lag equation: K = 5.6 at Us = 1/3, Drela 1989.
const lagRate = 5.6 * 4 / 3

// Equilibrium locus G = locusA sqrt(1 + locusB beta): Drela and Giles 1987.
const (
	locusA = 6.7
	locusB = 0.75
)

type shear struct {
	cf2, diss jet
	us        jet // equivalent slip speed
	equal     jet // equilibrium square root of shear stress
	slope     jet // equilibrium d ln(u)/ds
	thick     jet // layer thickness
	length    float64
}

// turbulent evaluates the closures of Drela and Giles 1987 (outer layer,
// slip speed, equilibrium stress) with the low-Reynolds-number terms of
// Drela 1989.
func (f flow) turbulent(e end, wake bool) shear {
	var s shear
	hs := energyTurbulent(e.h.v, e.r.v).jet(&e.h, &e.r)
	h1 := e.h.shift(-1)
	s.us = hs.scale(0.5).times(fix(1).minus(h1.over(e.h).scale(1 / locusB)))
	core := h1
	s.length = 0.9
	top := 0.99995
	if !wake {
		s.length, top = 1, 0.95
		core = core.minus(fix(18).over(e.r))
		if core.v < 0.01 {
			core = fix(0.01)
		}
		s.cf2 = frictionTurbulent(e.h.v, e.r.v).jet(&e.h, &e.r)
		if lam := frictionLaminar(e.h.v, e.r.v); lam.v > s.cf2.v {
			s.cf2 = lam.jet(&e.h, &e.r) // viscosity alone gives more
		}
	}
	if s.us.v > top {
		s.us = fix(top)
	}
	slip := fix(1).minus(s.us)
	const stress = 0.5 / (locusA * locusA * locusB)
	s.equal = hs.scale(stress).times(h1).times(core.square()).over(slip.times(e.h.square().times(e.h))).sqrt()
	lead := core.over(e.h).scale(1 / locusA).square()
	s.slope = s.cf2.minus(lead).over(e.d).scale(1 / locusB)
	s.thick = e.th.times(fix(3.15).plus(fix(1.72).over(h1))).plus(e.d)
	if limit := e.th.scale(12); s.thick.v > limit.v {
		s.thick = limit
	}
	// 2 CD/H*: wall layer, outer layer, viscous stress of the outer layer.
	outer := e.c.square().times(fix(0.995).minus(s.us)).scale(2).over(hs)
	visc := fix(0.995).minus(s.us).square().scale(0.3).over(e.r).over(hs)
	if wake {
		s.diss = outer.plus(visc).scale(2) // two shear layers
		return s
	}
	wall := s.cf2.times(s.us).scale(2).over(hs)
	s.diss = wall.plus(outer).plus(visc)
	if lam := dissipationLaminar(e.h.v, e.r.v); lam.v > s.diss.v {
		s.diss = lam.jet(&e.h, &e.r)
	}
	return s
}

// startStress is the square root of the shear stress just behind
// transition: the equilibrium value times a factor that falls for the thin
// layers of attached transition (Drela 1989) and never exceeds that of Drela
// and Giles 1987, 0.7 of the equilibrium stress.
func (f flow) startStress(e end) jet {
	t := f.turbulent(e, false)
	k := fix(-3.3).over(e.h.shift(-1)).exp().scale(1.8)
	if most := math.Sqrt(0.7); k.v > most {
		k = fix(most)
	}
	return t.equal.times(k)
}

// split solves an interval in which transition happens at the fraction tau
// of it: laminar up to there, turbulent behind.
// forced is the fraction of a trip in the interval, or above one.
func (f flow) split(a, b end, ds jet, forced float64) (residuals, float64) {
	// Growth at the rate of the upstream station: the downstream one is
	// turbulent and has none.
	rate := amplification(a.h.v, a.r.v).jet(&a.h, &a.r).over(a.th).times(ds)
	tau, where := 1.0, fix(1)
	if rate.v > 0 {
		where = fix(f.nCrit).minus(a.c).over(rate)
		tau = where.v
	}
	if tau > math.Min(forced, 1) {
		tau = math.Min(forced, 1)
		where = fix(tau)
	}
	tau = math.Min(math.Max(tau, 1e-3), 0.999)
	where.v = tau
	at := f.betweenAt(a, b, where, 0)
	first := f.interval(laminar, a, at, ds.times(where), 0, 0)
	at.c = f.startStress(at)
	second := f.interval(turbulent, at, b, ds.times(fix(1).minus(where)), 0, 0)
	return residuals{first[0].plus(second[0]), first[1].plus(second[1]), second[2]}, tau
}
