package air

import (
	"math"

	"fledge/internal/num"
)

const foot = 0.3048

// Dryden holds scale lengths (m) and standard deviations (m/s) of the
// low-altitude turbulence model of MIL-F-8785C 3.7.3.4 (the same as
// MIL-HDBK-1797): u along the mean wind, v across, w vertical.
type Dryden struct {
	Lu, Lv, Lw             float64
	SigmaU, SigmaV, SigmaW float64
}

// DrydenAt gives the parameters at height h (m) above the ground for a mean
// wind u20 (m/s) at 20 ft (6.1 m): Lw = h, Lu = Lv = h/(0.177+0.000823h)^1.2,
// sigma_w = 0.1 u20, sigma_u = sigma_v = sigma_w/(0.177+0.000823h)^0.4, h in
// feet inside. The model covers 10 to 1000 ft: below 10 ft the values of 10 ft
// are held (ours: a launch begins there), above 1000 ft inside is false.
func DrydenAt(h, u20 float64) (d Dryden, inside bool) {
	f := h / foot
	inside = f <= 1000
	f = math.Min(math.Max(f, 10), 1000)
	k := 0.177 + 0.000823*f
	d.Lw = f * foot
	d.Lu = d.Lw / math.Pow(k, 1.2)
	d.Lv = d.Lu
	d.SigmaW = 0.1 * u20
	d.SigmaU = d.SigmaW / math.Pow(k, 0.4)
	d.SigmaV = d.SigmaU
	return d, inside
}

// Turbulence makes Dryden turbulence along a flight, step by step, by the
// exact discrete equivalents of the shaping filters (no discretisation error
// for any step, for constant speed within it). It starts in the stationary
// distribution. The random stream of each axis is seeded by a hash of (run
// seed, sample, axis): sample i has the same bits alone or among thousands.
//
// It is a value without pointers: no allocation, safe to copy; a copy
// continues identically. Scale multiplies all deviations.
type Turbulence struct {
	Scale float64
	u20   float64

	u      float64    // unit-variance state of the along-wind filter
	v, w   [2]float64 // states of the two-pole filters
	ru     num.Stream
	rv, rw num.Stream

	guided bool
	even   Even
	block  int // the present block, counted from 0
	step   int // steps made in it
	shock  [3][mostSteps]float64

	hMemo  float64
	d      Dryden
	cu     [2]float64 // decay, noise of u
	cv, cw pole2
	keyV   float64 // V dt the coefficients belong to
}

// pole2 steps the pair x1' = -x1/tau + white, x2' = (x1-x2)/tau exactly.
type pole2 struct{ e, eh, l11, l21, l22 float64 }

// StartTurbulence starts the turbulence of one sample of a run: wind u20
// (m/s at 6.1 m), first height h (m).
func StartTurbulence(seed, sample uint64, u20, h float64) Turbulence {
	t := Turbulence{Scale: 1, u20: u20, hMemo: math.NaN(), keyV: math.NaN()}
	t.ru = num.NewStream(num.Hash(seed, sample, 0))
	t.rv = num.NewStream(num.Hash(seed, sample, 1))
	t.rw = num.NewStream(num.Hash(seed, sample, 2))
	t.begin([5]float64{t.ru.Normal(), t.rv.Normal(), t.rv.Normal(), t.rw.Normal(), t.rw.Normal()})
	t.place(h)
	return t
}

// EvenBlocks is the number of blocks of an axis that [Even] speaks of, and
// evenSteps the steps of each: short ones first, where a launch is slow and
// near the ground; later ones, which it crosses fast, long. The last goes on
// for all further blocks.
const EvenBlocks = 12

var evenSteps = [EvenBlocks]int{2, 2, 3, 3, 4, 4, 6, 6, 8, 8, 12, mostSteps}

const mostSteps = 12

// Even is the part of a turbulence that is taken from even draws instead of
// its own streams, as standard normal scores: the start (along, across twice,
// vertical twice) and, for each of the first blocks of steps of each axis, the
// sum of the shocks of the block over the root of their number. That is the
// slow part of the turbulence, which decides what a short flight makes of it;
// the rest keeps its own streams.
type Even struct {
	Start  [5]float64
	Shocks [3][EvenBlocks]float64 // along, right, down
}

// Guide begins anew from the even part e. With scores that are independent and
// standard normal the turbulence has exactly the distribution that it has
// without: the shocks of a block are given the mean asked for, which is
// independent of their deviations from it.
func (t *Turbulence) Guide(e *Even) {
	t.guided, t.even, t.block, t.step = true, *e, 0, 0
	t.begin(e.Start)
}

// shocks draws the shocks of the present block, n in number.
func (t *Turbulence) shocks(axis, n int, r *num.Stream) {
	b := t.shock[axis][:n]
	mean := 0.0
	for i := range b {
		b[i] = r.Normal()
		mean += b[i] / float64(n)
	}
	if !t.guided || t.block >= EvenBlocks {
		return
	}
	by := t.even.Shocks[axis][t.block]/math.Sqrt(float64(n)) - mean
	for i := range b {
		b[i] += by
	}
}

// begin: stationary covariance of a two-pole filter is [[1, 1/2], [1/2, 1/2]].
func (t *Turbulence) begin(z [5]float64) {
	t.u = z[0]
	t.v = [2]float64{z[1], 0.5*z[1] + 0.5*z[2]}
	t.w = [2]float64{z[3], 0.5*z[3] + 0.5*z[4]}
}

// place refreshes the parameters when the height has changed by more than
// 1 % (of at least 10 ft) since they were last computed.
func (t *Turbulence) place(h float64) {
	h = math.Max(h, 10*foot)
	if math.Abs(h-t.hMemo) <= 0.01*h {
		return
	}
	t.hMemo = h
	t.d, _ = DrydenAt(h, t.u20)
	t.keyV = math.NaN()
}

// Now is the disturbance at present, m/s: along the mean wind, to its right,
// and down.
func (t *Turbulence) Now() (along, right, down float64) {
	k := t.Scale
	const s3 = 1.7320508075688772
	// y = sigma/sqrt2 (sqrt3 x1 + (1-sqrt3) x2)
	return k * t.d.SigmaU * t.u,
		k * t.d.SigmaV * math.Sqrt2 / 2 * (s3*t.v[0] + (1-s3)*t.v[1]),
		k * t.d.SigmaW * math.Sqrt2 / 2 * (s3*t.w[0] + (1-s3)*t.w[1])
}

// Step moves on by a time dt (s) at airspeed v (m/s) and height h (m) and
// returns the disturbance there, as Now. The field is frozen: what counts is
// the distance v dt through the air; v below 1 m/s is taken as 1 m/s, since
// turbulence also drifts past a model at rest. Filter coefficients are renewed
// when v dt changes by more than 1 %.
func (t *Turbulence) Step(dt, v, h float64) (along, right, down float64) {
	t.place(h)
	x := math.Max(v, 1) * dt
	if !(math.Abs(x-t.keyV) <= 0.01*t.keyV) {
		t.keyV = x
		a := math.Exp(-x / t.d.Lu)
		t.cu = [2]float64{a, math.Sqrt(-math.Expm1(-2 * x / t.d.Lu))}
		t.cv = twoPole(x / t.d.Lv)
		t.cw = twoPole(x / t.d.Lw)
	}
	n := evenSteps[min(t.block, EvenBlocks-1)]
	i := t.step
	if i == 0 {
		t.shocks(0, n, &t.ru)
		t.shocks(1, n, &t.rv)
		t.shocks(2, n, &t.rw)
	}
	if t.step++; t.step == n {
		t.block, t.step = t.block+1, 0
	}
	t.u = t.cu[0]*t.u + t.cu[1]*t.shock[0][i]
	t.cv.step(&t.v, t.shock[1][i], t.rv.Normal())
	t.cw.step(&t.w, t.shock[2][i], t.rw.Normal())
	return t.Now()
}

func (p *pole2) step(x *[2]float64, a, b float64) {
	x[1] = p.e*x[1] + p.eh*x[0] + p.l21*a + p.l22*b
	x[0] = p.e*x[0] + p.l11*a
}

// twoPole computes the exact step of size h = dt/tau: transition
// exp(-h) [[1, 0], [h, 1]], noise covariance P - F P F' with P the stationary
// one. With x = 2h its entries are Q11 = q(1), Q12 = q(2)/2, Q22 = q(3)/2,
// q(n) = exp(-x) sum over k >= n of x^k/k!: sums of positive terms, exact for
// small steps too.
func twoPole(h float64) pole2 {
	x := 2 * h
	q := func(n int) float64 {
		term := math.Exp(-x)
		if x > 1 {
			s := term
			for k := 1; k < n; k++ {
				term *= x / float64(k)
				s += term
			}
			return 1 - s
		}
		for k := 1; k <= n; k++ {
			term *= x / float64(k)
		}
		s := 0.0
		for k := n + 1; term > 1e-18*s; k++ {
			s += term
			term *= x / float64(k)
		}
		return s
	}
	q11, q12, q22 := q(1), q(2)/2, q(3)/2
	var p pole2
	p.e = math.Exp(-h)
	p.eh = p.e * h
	p.l11 = math.Sqrt(q11)
	if q11 > 0 {
		p.l21 = q12 / p.l11
	}
	p.l22 = math.Sqrt(math.Max(0, q22-p.l21*p.l21))
	return p
}

// gustPeak: how many standard deviations the highest reading of a gust stands
// above the mean near the ground. Gust-factor theory gives about 2.6 for the
// largest 3-second mean of the ten minutes of a weather report and about 2.2
// for that of the two minutes a wind meter is held up (WMO/TD-No. 1555: over
// land the gust factors 1.66 and 1.55 at a turbulence intensity of 0.25; from
// memory, not confirmed). The figure does not say which it is: 2.2 is taken,
// which makes more of a report's gust than there is, never less.
const gustPeak = 2.2

// GustSigma is the standard deviation (m/s) of the wind along itself when the
// highest gust is gust and the mean speed (m/s): their difference over
// [gustPeak]; 0 when the gust is not above the mean or unknown (NaN).
func GustSigma(speed, gust float64) float64 {
	if !(gust > speed) {
		return 0
	}
	return (gust - speed) / gustPeak
}

// GustScale is the factor on the Dryden deviations at height h (m) that makes
// the deviation along the wind [GustSigma], u20 being the mean at 6.1 m. 1
// when the gust is unknown (NaN) or there is no wind to scale.
func GustScale(speed, gust, u20, h float64) float64 {
	d, _ := DrydenAt(h, u20)
	if math.IsNaN(gust) || !(d.SigmaU > 0) {
		return 1
	}
	return GustSigma(speed, gust) / d.SigmaU
}
