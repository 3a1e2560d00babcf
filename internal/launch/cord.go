package launch

import (
	"math"

	"fledge/internal/num"
)

// Cord is the rubber part of the bungee: its pull against stretch on first
// extension. Made by [CordFromPull] or [CordFromSize]; immutable.
//
// The curve is held as a table of energy, pull and stiffness joined by
// fifth-degree Hermite polynomials of the energy, so that pull is exactly the
// slope of energy and is itself smooth (C1).
type Cord struct {
	Slack float64 // unstretched length, m
	Mass  float64 // of the rubber, kg
	// Tested is the largest stretch (extension, m) at which the pull was
	// measured; beyond it the curve follows the rubber's own shape. +Inf for
	// a cord known by its size.
	Tested float64
	// Doubt is one standard deviation of the pull, relative: how far the
	// readings bend away from the shape of rubber (at least 3 %, a luggage
	// scale), or 15 % for a cord known by its size only (our choice: moduli
	// of unfilled natural rubber differ that much between makes).
	Doubt float64

	step          float64
	w, f, k       []float64
	stretch, pull []float64 // the readings it was made from
}

const cordNodes = 97

// CordFromSize makes a cord from its dimensions, m: strands tubes or strips
// of round rubber (bore 0: solid), of unstretched length slack. mass 0 takes
// the mass from the size at [RubberDensity].
// ok is false when no cord has such a size.
//
// Accuracy: within 12 % of Treloar's measured rubber (see NaturalRubber);
// other makes differ by more: pull-test it.
func CordFromSize(outer, bore, slack float64, strands int, mass float64, r Rubber) (c Cord, ok bool) {
	if !(outer > 0 && bore >= 0 && bore < outer && slack > 0 && strands >= 1 && mass >= 0) || math.IsInf(outer+slack+mass, 0) {
		return c, false
	}
	area := float64(strands) * math.Pi / 4 * (outer*outer - bore*bore)
	if mass == 0 {
		mass = RubberDensity * area * slack
	}
	c = Cord{Slack: slack, Mass: mass, Tested: math.Inf(1), Doubt: 0.15}
	c.fill((BreakingStretch-1)*slack, func(x float64) (w, f, k float64) {
		l := 1 + x/slack
		p, dp := r.Stress(l)
		return r.Energy(l) * area * slack, p * area, dp * area / slack
	})
	return c, true
}

// CordFromPull makes a cord from a pull test: pull (N) at rising stretch (m of
// extension beyond the unstretched length slack). Between and beyond the
// readings the curve is the rubber's own shape times a smooth monotone
// correction through them; where that would not rise (readings that do not
// look like rubber), a monotone curve straight through the readings.
// ok is false when the readings do not rise from zero or slack or mass is not
// that of a cord.
func CordFromPull(stretch, pull []float64, slack, mass float64) (c Cord, ok bool) {
	n := len(stretch)
	if n == 0 || len(pull) != n || !(slack > 0) || !(mass >= 0) || math.IsInf(slack+mass, 0) {
		return c, false
	}
	x0, f0 := 0.0, 0.0
	for i := range stretch {
		if !(stretch[i] > x0 && pull[i] > f0) || math.IsInf(stretch[i]+pull[i], 0) {
			return c, false
		}
		x0, f0 = stretch[i], pull[i]
	}
	c = Cord{Slack: slack, Mass: mass, Tested: stretch[n-1], stretch: append([]float64(nil), stretch...), pull: append([]float64(nil), pull...)}
	shape := func(x float64) (f, k float64) { // workingRubber without powers
		l := 1 + x/slack
		a, b := workingRubber.Mu[0], -workingRubber.Mu[1]
		i := 1 / l
		i2 := i * i
		return a*(l-i2) + b*(1-i2*i), (a*(1+2*i2*i) + 3*b*i2*i2) / slack
	}
	// ratio of pull to shape at the readings, constant before and after
	xs, rs := []float64{0}, []float64{0}
	mean := 0.0
	for i := range stretch {
		p, _ := shape(stretch[i])
		r := pull[i] / p
		xs, rs = append(xs, stretch[i]), append(rs, r)
		mean += math.Log(r) / float64(n)
	}
	rs[0] = rs[1]
	xs, rs = append(xs, 1.5*stretch[n-1]), append(rs, rs[n])
	c.Doubt = 0.03
	for _, r := range rs[1 : n+1] {
		c.Doubt += math.Pow(math.Log(r)-mean, 2) / float64(n) // small: adds in squares below
	}
	c.Doubt = math.Sqrt(0.03*0.03 + (c.Doubt - 0.03))
	ratio, err := num.Monotone(xs, rs)
	if err != nil {
		return c, false
	}
	last := xs[len(xs)-1]
	reach := math.Max((BreakingStretch-1)*slack, 1.5*stretch[n-1])
	law := func(x float64) (f, k float64) {
		p, dp := shape(x)
		if x >= last {
			return rs[n] * p, rs[n] * dp
		}
		r, dr, _ := ratio.At(x)
		return r * p, r*dp + dr*p
	}
	rises := true
	for i := 0; i <= 150; i++ {
		if _, k := law(float64(i) / 150 * reach); !(k > 0) {
			rises = false
			break
		}
	}
	if !rises {
		xs, fs := append([]float64{0}, stretch...), append([]float64{0}, pull...)
		plain, err := num.Monotone(xs, fs)
		if err != nil {
			return c, false
		}
		p, _ := shape(stretch[n-1])
		law = func(x float64) (f, k float64) {
			if x > stretch[n-1] { // rubber's shape from the last reading on
				q, dq := shape(x)
				return pull[n-1] * q / p, pull[n-1] * dq / p
			}
			f, k, _ = plain.At(x)
			return f, k
		}
	}
	c.fillForce(reach, law)
	return c, true
}

func (c *Cord) room(reach float64) {
	c.step = reach / (cordNodes - 1)
	buf := make([]float64, 3*cordNodes)
	c.w, c.f, c.k = buf[:cordNodes:cordNodes], buf[cordNodes:2*cordNodes:2*cordNodes], buf[2*cordNodes:]
}

func (c *Cord) fill(reach float64, law func(x float64) (w, f, k float64)) {
	c.room(reach)
	for i := range c.w {
		c.w[i], c.f[i], c.k[i] = law(float64(i) * c.step)
	}
}

// fillForce tabulates a law known by its pull: the energy is its integral by
// three-point Gauss quadrature on both halves of each cell.
func (c *Cord) fillForce(reach float64, law func(x float64) (f, k float64)) {
	c.room(reach)
	g := math.Sqrt(0.6) / 2
	for i := range c.w {
		x := float64(i) * c.step
		c.f[i], c.k[i] = law(x)
		if i == 0 {
			continue
		}
		h := c.step / 2
		sum := 0.0
		for j := range 2 {
			m := x - c.step + (float64(j)+0.5)*h
			a, _ := law(m - g*h)
			b, _ := law(m)
			d, _ := law(m + g*h)
			sum += h * (5*a + 8*b + 5*d) / 18
		}
		c.w[i] = c.w[i-1] + sum
	}
}

// At gives the pull F, N, the stored energy W, J, and the stiffness K, N/m, on
// first extension to the stretch x, m. A slack cord (x <= 0) pulls nothing.
// Beyond the last node (stretch ratio 7.6, where rubber breaks) the pull goes
// on straight.
func (c *Cord) At(x float64) (F, W, K float64) {
	if x <= 0 {
		return 0, 0, 0
	}
	s := x / c.step
	if !(s < cordNodes-1) { // also not a number
		const i = cordNodes - 1
		d := x - float64(i)*c.step
		return c.f[i] + c.k[i]*d, c.w[i] + c.f[i]*d + 0.5*c.k[i]*d*d, c.k[i]
	}
	i := int(s)
	t := s - float64(i)
	h := c.step
	// fifth-degree Hermite polynomial of W with its first two derivatives
	w0, w1 := c.w[i], c.w[i+1]
	d0, d1 := c.f[i]*h, c.f[i+1]*h
	e0, e1 := 0.5*c.k[i]*h*h, 0.5*c.k[i+1]*h*h
	// W = w0 + t(d0 + t(e0 + t(a + t(b + t g))))
	q := w1 - w0 - d0 - e0
	p := d1 - d0 - 2*e0
	r := e1 - e0
	a := 10*q - 4*p + r
	b := -15*q + 7*p - 2*r
	g := 6*q - 3*p + r
	W = w0 + t*(d0+t*(e0+t*(a+t*(b+t*g))))
	F = (d0 + t*(2*e0+t*(3*a+t*(4*b+t*5*g)))) / h
	K = (2*e0 + t*(6*a+t*(12*b+t*20*g))) / (h * h)
	return F, W, K
}

// Recoil is the pull on the way back from a largest stretch at which the
// energy top was stored, when the energy w would be stored on first
// extension and the pull there be f: rubber gives back the share returned of
// what was put in. The form is ours, after the pseudo-elastic idea of Ogden
// and Roxburgh (1999), unloading as first loading times a factor of the
// energy alone:
//
//	F_back = f (w/top)^(1/returned - 1),  stored = returned top (w/top)^(1/returned)
//
// It starts at the held pull, gives back exactly returned·top, and is 1 for
// returned = 1.
func Recoil(f, w, top, returned float64) float64 {
	if returned >= 1 || w >= top || top <= 0 {
		return f
	}
	if w <= 0 {
		return 0
	}
	return f * math.Exp((1/returned-1)*math.Log(w/top))
}

// StretchFor is the stretch, m, at which the pull is f, N; ok is false when
// even a cord at its breaking stretch pulls less.
func (c *Cord) StretchFor(f float64) (x float64, ok bool) {
	if f <= 0 {
		return 0, true
	}
	top := float64(cordNodes-1) * c.step
	if c.f[cordNodes-1] < f {
		return top, false
	}
	r := num.Root(func(x float64) float64 { v, _, _ := c.At(x); return v - f }, 0, top, 1e-9)
	return r.X, r.OK
}

// WaveSpeed is the speed, m/s, at which a jerk runs along the cord stretched
// to x, seen from the ground: l·sqrt(dP/dl/density). The lumped cord (a third
// of its mass at the moving end) loses its accuracy beyond about a third of
// it. +Inf for a cord without mass.
func (c *Cord) WaveSpeed(x float64) float64 {
	if c.Mass == 0 {
		return math.Inf(1)
	}
	_, _, k := c.At(math.Max(x, 1e-9*c.Slack))
	return (c.Slack + x) * math.Sqrt(k/c.Mass)
}

// RetractSpeed is the speed, m/s, at which the bare end of the cord comes back
// when let go from the stretch x: the integral of sqrt(dP/dl / density) over
// the stretch ratio. Nothing hung on it can be faster. +Inf without mass.
func (c *Cord) RetractSpeed(x float64) float64 {
	if c.Mass == 0 {
		return math.Inf(1)
	}
	const n = 200 // Simpson
	sum := 0.0
	for i := 0; i <= n; i++ {
		_, _, k := c.At(math.Max(x*float64(i)/n, 1e-9*c.Slack))
		v := math.Sqrt(math.Max(k, 0) / c.Mass)
		switch {
		case i == 0 || i == n:
			sum += v
		case i%2 == 1:
			sum += 4 * v
		default:
			sum += 2 * v
		}
	}
	return sum * x / (3 * n)
}

// SafePull is the largest stretch, m, at which the held pull stays within the
// weakest of the given holding forces, N (stake, hook, line; those of 0 are
// not known and left out), divided by the safety factor. ok is false when
// none is known. limit is which force decides.
func (c *Cord) SafePull(factor float64, holds ...float64) (stretch float64, limit int, ok bool) {
	least := math.Inf(1)
	for i, h := range holds {
		if h > 0 && h < least {
			least, limit = h, i
		}
	}
	if math.IsInf(least, 1) || !(factor > 0) {
		return 0, -1, false
	}
	stretch, _ = c.StretchFor(least / factor)
	return stretch, limit, true
}
