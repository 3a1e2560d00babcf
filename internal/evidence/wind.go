package evidence

import (
	"fmt"
	"math"
	"slices"

	"fledge/internal/track"
)

// WindFit is a wind found from a path. East and North are where it blows to.
type WindFit struct {
	T0, T1      float64 // s of the window
	East, North float64 // m/s
	Cov         [2][2]float64
	Airspeed    float64 // mean, m/s
	Scale       float64 // true over logged airspeed; NaN when the log has none
	ScaleSD     float64
	RMS         float64 // of the airspeed residuals, m/s
	N           int
	Spread      float64 // of the headings, rad
	Gust        float64 // sd of 3 s means of the residuals, m/s
	Method      string
	free        float64 // degrees of freedom left
	steady      bool    // windows agree within their own doubts
}

// Speed is the wind's speed, m/s.
func (w *WindFit) Speed() float64 { return math.Hypot(w.East, w.North) }

// FromDeg is where it blows from, degrees in [0, 360).
func (w *WindFit) FromDeg() float64 { return FromDirection(w.East, w.North) * 180 / math.Pi }

// SpeedSD and FromSD are standard deviations, m/s and degrees.
func (w *WindFit) SpeedSD() float64 {
	s := w.Speed()
	if s < 1e-6 {
		return math.Sqrt((w.Cov[0][0] + w.Cov[1][1]) / 2)
	}
	u := [2]float64{w.East / s, w.North / s}
	return math.Sqrt(math.Max(0, quadratic(w.Cov, u)))
}

// FromSD is the doubt of the direction, degrees.
func (w *WindFit) FromSD() float64 {
	s := w.Speed()
	if s < 1e-6 {
		return 180
	}
	u := [2]float64{-w.North / s, w.East / s}
	// a weak wind may lie on the other side of nothing
	side := math.Sqrt(math.Max(0, quadratic(w.Cov, u)))
	return math.Atan2(side, math.Max(0, s-w.SpeedSD())) * 180 / math.Pi
}

// along is the standard deviation of the wind's component along a direction.
func (w *WindFit) along(e, n float64) float64 {
	return math.Sqrt(math.Max(0, quadratic(w.Cov, [2]float64{e, n})))
}

func quadratic(c [2][2]float64, u [2]float64) float64 {
	return u[0]*u[0]*c[0][0] + 2*u[0]*u[1]*c[0][1] + u[1]*u[1]*c[1][1]
}

// obs is a ground velocity for wind fits.
type obs struct {
	t, e, n, up float64
	tas         float64 // NaN when not logged
	sd          float64
	side        float64 // sideways acceleration, m/s²
}

// windObs picks the samples a wind may be told from: flying, used, and
// neither climbing nor diving hard; thinned to about 5 Hz.
func windObs(p *track.Path, level bool) []obs {
	top := 0.0
	for i := range p.Samples {
		s := &p.Samples[i]
		if s.Used && s.SpeedSD < 3 {
			top = math.Max(top, s.Speed())
		}
	}
	slow := math.Max(5, 0.25*top)
	var out []obs
	last := math.Inf(-1)
	for i := range p.Samples {
		s := &p.Samples[i]
		if !s.Used || s.SpeedSD > 3 || s.Speed() < slow || s.T-last < 0.19 {
			continue
		}
		up := s.Vel[2]
		if !known(up) {
			up = 0
		}
		if level && math.Abs(up) > 3 {
			continue
		}
		// positions too far apart to show a turn say nothing of its velocities
		if level && !p.Doppler && math.Abs(s.TurnRate())*p.Step > 0.5 {
			continue
		}
		last = s.T
		f := &p.Log.Fixes[s.Fix]
		out = append(out, obs{s.T, s.Vel[0], s.Vel[1], up, f.Airspeed, s.SpeedSD, math.Abs(s.TurnRate()) * s.Speed()})
	}
	return out
}

// headingSpread is 2π less the largest gap between air headings.
func headingSpread(o []obs, e, n float64) float64 {
	if len(o) < 2 {
		return 0
	}
	h := make([]float64, len(o))
	for i, v := range o {
		h[i] = math.Atan2(v.e-e, v.n-n)
	}
	slices.Sort(h)
	gap := h[0] + 2*math.Pi - h[len(h)-1]
	for i := 1; i < len(h); i++ {
		gap = math.Max(gap, h[i]-h[i-1])
	}
	return 2*math.Pi - gap
}

func fitScale(o []obs, fixed bool) WindFit {
	w := WindFit{Scale: 1, N: len(o), Method: "ground velocity against logged airspeed, its scale fitted"}
	if fixed {
		w.Method = "ground velocity against logged airspeed taken as true"
	}
	if len(o) < 8 {
		w.East, w.North, w.Scale = math.NaN(), math.NaN(), math.NaN()
		return w
	}
	w.T0, w.T1 = o[0].t, o[len(o)-1].t
	res := make([]float64, len(o))
	var jtj [3][3]float64
	for it := 0; it < 60; it++ {
		jtj = [3][3]float64{}
		var g [3]float64
		for i, v := range o {
			u, x := v.e-w.East, v.n-w.North
			d := math.Hypot(u, x)
			if d < 1e-9 {
				continue
			}
			j := [3]float64{-u / d, -x / d, -v.tas}
			if fixed {
				j[2] = 0
			}
			r := d - w.Scale*v.tas
			res[i] = r
			for a := 0; a < 3; a++ {
				g[a] += j[a] * r
				for b := 0; b < 3; b++ {
					jtj[a][b] += j[a] * j[b]
				}
			}
		}
		if fixed {
			jtj[2][2] = 1
		}
		inv, ok := inverse3(jtj)
		if !ok {
			w.East = math.NaN()
			return w
		}
		size := 0.0
		var st [3]float64
		for a := 0; a < 3; a++ {
			for b := 0; b < 3; b++ {
				st[a] -= inv[a][b] * g[b]
			}
			size += math.Abs(st[a])
		}
		w.East += st[0]
		w.North += st[1]
		w.Scale += st[2]
		if size < 1e-12 {
			break
		}
	}
	ss, v := 0.0, 0.0
	for i, x := range o {
		res[i] = math.Hypot(x.e-w.East, x.n-w.North) - w.Scale*x.tas
		ss += sq(res[i])
		v += w.Scale * x.tas
	}
	w.RMS = math.Sqrt(ss / float64(len(o)))
	w.Airspeed = v / float64(len(o))
	w.Spread = headingSpread(o, w.East, w.North)
	inv, ok := inverse3(jtj)
	if !ok {
		w.East = math.NaN()
		return w
	}
	f := inflation(o, res)
	w.free = float64(len(o) - 3)
	s2 := ss / float64(max(1, len(o)-3)) * f
	w.Cov = [2][2]float64{{s2 * inv[0][0], s2 * inv[0][1]}, {s2 * inv[1][0], s2 * inv[1][1]}}
	w.ScaleSD = math.Sqrt(s2 * inv[2][2])
	w.Gust = blockSD(o, res, 3)
	if fixed {
		w.ScaleSD = 0
	}
	return w
}

// inflation is the factor by which correlation in time widens a variance: one
// plus twice the sum of the residuals' autocorrelation up to its first zero.
func inflation(o []obs, res []float64) float64 {
	n := len(res)
	if n < 10 {
		return 1
	}
	var v float64
	for _, r := range res {
		v += r * r
	}
	if v == 0 {
		return 1
	}
	f := 1.0
	for lag := 1; lag < n/3 && lag < 200; lag++ {
		c, m := 0.0, 0
		for i := lag; i < n; i++ {
			c += res[i] * res[i-lag]
			m++
		}
		c = c / float64(m) / (v / float64(n))
		if c < 0.05 {
			break
		}
		f += 2 * c
	}
	return math.Max(1, f)
}

// blockSD is the standard deviation of the means of the residuals over
// blocks of the given length, s.
func blockSD(o []obs, res []float64, length float64) float64 {
	var ms []float64
	for i := 0; i < len(o); {
		j, s := i, 0.0
		for j < len(o) && o[j].t-o[i].t < length {
			s += res[j]
			j++
		}
		ms = append(ms, s/float64(j-i))
		i = j
	}
	if len(ms) < 3 {
		return math.NaN()
	}
	s := 0.0
	for _, m := range ms {
		s += m * m
	}
	return math.Sqrt(s / float64(len(ms)))
}

// fitTurns fits a wind to ground velocities alone: |G−W| is the airspeed, and
// the airspeed may change. It is a line through values a second apart that
// stray from a common mean as a first-order Gauss-Markov process, by an amount
// and for a time found from the flight itself; and turns may bleed speed in
// proportion to the square of their sideways acceleration, the same in all of
// them. When the airspeed held this is the circle fit; when it did not the
// doubt grows. Far residuals lose weight by
// Tukey's rule.
func fitTurns(o []obs) WindFit {
	w := WindFit{Scale: math.NaN(), N: len(o), Method: "ground velocities in turns; airspeed free to change, turns free to bleed it"}
	none := func() WindFit {
		w.East = math.NaN()
		return w
	}
	if len(o) < 8 {
		return none()
	}
	w.T0, w.T1 = o[0].t, o[len(o)-1].t
	x, y := make([]float64, len(o)), make([]float64, len(o))
	var steps []float64
	for i, v := range o {
		x[i], y[i] = v.e, v.n
		if i > 0 {
			steps = append(steps, v.t-o[i-1].t)
		}
	}
	c := FitCircle(x, y, Geometric)
	if !known(c.X) || !known(c.R) || math.Hypot(c.X, c.Y) > c.R {
		c = FitCircle(x, y, Taubin)
	}
	if !known(c.X) || !known(c.R) {
		return none()
	}
	// nodes of the airspeed, where there are observations; stretches without
	// are bridged by one long step
	each := math.Max(1, 1.2*median(steps))
	var at []float64
	for _, v := range o {
		if n := len(at); n == 0 {
			at = append(at, v.t)
		} else if gap := v.t - at[n-1]; gap > each {
			if gap > 3*each { // a hole: a node on either side
				at = append(at, v.t)
			} else {
				at = append(at, at[n-1]+each)
			}
		}
	}
	at = append(at, w.T1+1e-6)
	nb := len(at)
	left, frac := make([]int, len(o)), make([]float64, len(o))
	for i, k := 0, 0; i < len(o); i++ {
		for k+2 < nb && o[i].t > at[k+1] {
			k++
		}
		left[i] = k
		frac[i] = clamp((o[i].t-at[k])/math.Max(1e-6, at[k+1]-at[k]), 0, 1)
	}
	// between nodes: time, and the turn's share
	dt, turn := make([]float64, nb), make([]float64, nb) // [k]: from k to k+1
	cnt := make([]float64, nb)
	for i, v := range o {
		turn[left[i]] += v.side * v.side
		cnt[left[i]]++
	}
	turning := make([]bool, nb)
	for k := 0; k+1 < nb; k++ {
		dt[k] = math.Max(1e-3, at[k+1]-at[k])
		if cnt[k] > 0 {
			turn[k] *= dt[k] / cnt[k]
		}
		turning[k] = turn[k]/dt[k] > 64
	}
	const bleedSD = 2.0 / (60 * 60) // m/s² per (m/s²)²: two in a turn of six g; our choice
	we, wn, beta, v0 := c.X, c.Y, 0.0, c.R
	v := make([]float64, nb) // what the airspeed differs from its mean
	stray, lasts := math.Max(0.3, math.Min(c.RMS, 10)), 5.0
	res, wt := make([]float64, len(o)), make([]float64, len(o))
	for i := range wt {
		wt[i] = 1
	}
	noise := math.Max(0.1, math.Min(c.RMS, 0.5))
	s := newArrow(nb)
	ownSD := median(sdOf(o))
	for it := 0; it < 60; it++ {
		s.clear()
		s.a[2][2] += 1 / (bleedSD * bleedSD)
		s.g[2] += beta / (bleedSD * bleedSD)
		for i, q := range o {
			if wt[i] == 0 {
				continue
			}
			d := math.Hypot(q.e-we, q.n-wn)
			if d < 1e-9 {
				continue
			}
			ue, un := airHeading(q, we, wn, v0)
			k, f := left[i], frac[i]
			r := d - v0 - (1-f)*v[k] - f*v[k+1]
			kk := wt[i] / (noise*noise + q.sd*q.sd)
			s.observe(kk, -ue, -un, k, -(1 - f), -f, r)
		}
		s.anchor(1/(stray*stray), v[0])
		for k := 0; k+1 < nb; k++ {
			phi := math.Exp(-dt[k] / lasts)
			if dt[k] >= 3*each { // what it did in between was not level flight: it starts anew
				phi = 0
			}
			e := v[k+1] - phi*v[k] + beta*turn[k]
			q := stray * stray * math.Max(1e-9, 1-phi*phi)
			tail := 1.0 // steps have long tails (Student's t, four degrees of freedom): mostly it holds, now and then it changes
			if it > 2 && phi > 0 {
				tail = 5 / (4 + e*e/q)
			}
			s.link(tail/q, k, phi, turn[k], e)
		}
		if !s.solve() {
			return none()
		}
		size := math.Abs(s.dp[0]) + math.Abs(s.dp[1])
		we -= clamp(s.dp[0], -5, 5)
		wn -= clamp(s.dp[1], -5, 5)
		beta -= s.dp[2]
		v0 -= clamp(s.dp[3], -10, 10)
		for k := range v {
			v[k] -= clamp(s.dv[k], -30, 30)
		}
		abs := make([]float64, len(o))
		for i, q := range o {
			k, f := left[i], frac[i]
			res[i] = math.Hypot(q.e-we, q.n-wn) - v0 - (1-f)*v[k] - f*v[k+1]
			abs[i] = math.Abs(res[i])
		}
		noise = math.Sqrt(math.Max(sq(0.03), sq(1.4826*median(abs))-sq(ownSD)))
		for i, r := range res {
			wt[i] = 0
			lim := math.Max(4.685*math.Hypot(noise, o[i].sd), 0.3)
			if a := math.Abs(r) / lim; a < 1 {
				wt[i] = sq(1 - a*a)
			}
		}
		if it%3 == 2 && it < 50 { // how far and how fast the airspeed really strays
			sum, n := 0.0, 0.0
			var steps []float64
			for k := range v {
				if cnt[k] == 0 {
					continue
				}
				sum += v[k] * v[k]
				n++
				if k+1 < nb && cnt[k+1] > 0 && dt[k] < 3*each {
					steps = append(steps, math.Abs(v[k+1]-v[k]+beta*turn[k]))
				}
			}
			if n >= 5 && len(steps) >= 4 {
				own := (noise*noise + ownSD*ownSD) / math.Max(1, float64(len(o))/n)
				stray = clamp(math.Sqrt(math.Max(0, sum/n-own)), 0.02, 15)
				d2 := math.Max(sq(0.01), sq(1.4826*median(steps))-own)
				lasts = each / -math.Log(clamp(1-d2/(2*stray*stray), 0.3, 1-1e-5))
			}
			continue
		}
		if size < 1e-6 && it > 50 {
			break
		}
	}
	w.East, w.North = we, wn
	ss, sw, chi := 0.0, 0.0, 0.0
	var kept []obs
	var keptRes []float64
	for i, r := range res {
		ss += wt[i] * r * r
		chi += wt[i] * r * r / (noise*noise + sq(o[i].sd))
		sw += wt[i]
		w.Airspeed += wt[i] * (v0 + (1-frac[i])*v[left[i]] + frac[i]*v[left[i]+1])
		if wt[i] > 0.05 {
			kept = append(kept, o[i])
			keptRes = append(keptRes, r)
		}
	}
	if sw < 6 {
		return none()
	}
	w.Airspeed /= sw
	w.RMS = math.Sqrt(ss / sw)
	w.Spread = headingSpread(kept, w.East, w.North)
	// gusts: what the airspeed does over three seconds in straight flight
	w.Gust = blockSD(kept, keptRes, 3)
	var jumps, sds []float64
	for k := 0; k < nb; k++ {
		straight := true
		j := k
		for j+1 < nb && at[j]-at[k] < 3-1e-9 {
			straight = straight && !turning[j] && dt[j] < 3*each
			j++
		}
		if straight && at[j]-at[k] >= 3-1e-9 && at[j]-at[k] < 6*each {
			jumps = append(jumps, math.Abs(v[j]-v[k]))
		}
	}
	for _, q := range kept {
		sds = append(sds, q.sd)
	}
	if known(w.Gust) {
		if len(jumps) > 3 { // neighbouring stretches share a part of a gust: 1.2
			w.Gust = math.Hypot(w.Gust, 1.2*1.4826*median(jumps)/math.Sqrt2)
		} else { // no straight flight to tell them from
			w.Gust = math.Hypot(w.Gust, stray)
		}
		// less the samples' own doubt, which holds together for half a second or so
		w.Gust = math.Sqrt(math.Max(0, sq(w.Gust)-sq(0.7*median(sds))))
	}
	w.free = sw - 4 - s.taken(o, left, frac, wt, noise, we, wn)
	if w.free < 5 {
		return w
	}
	f := inflation(kept, keptRes) * math.Max(0.5, chi/w.free)
	w.Cov = [2][2]float64{{f * s.inv[0][0], f * s.inv[0][1]}, {f * s.inv[0][1], f * s.inv[1][1]}}
	// how speed bleeds and strays is a model: a twentieth of the straying stays in doubt
	w.Cov[0][0] += sq(stray / 20)
	w.Cov[1][1] += sq(stray / 20)
	if known(w.Gust) { // gusts seen from all sides: two components from one radius, six seconds a gust
		g := 2 * sq(w.Gust) * 6 / math.Max(6, seconds(kept))
		w.Cov[0][0] += g
		w.Cov[1][1] += g
	}
	return w
}

// airHeading is where the nose points on a ground course at the mean airspeed:
// from the course alone, not the speed. A gust changes the ground speed, and a
// derivative taken at the gusty speed would lean with the residual it
// multiplies, which makes winds too strong.
func airHeading(q obs, we, wn, v0 float64) (e, n float64) {
	g := math.Hypot(q.e, q.n)
	ce, cn := q.e/math.Max(g, 1e-9), q.n/math.Max(g, 1e-9)
	along, across2 := ce*we+cn*wn, we*we+wn*wn
	x := along*along - across2 + v0*v0
	if x <= 0 || g < 1e-9 {
		d := math.Hypot(q.e-we, q.n-wn)
		return (q.e - we) / d, (q.n - wn) / d
	}
	s := along + math.Sqrt(x)
	e, n = ce*s-we, cn*s-wn
	d := math.Hypot(e, n)
	return e / d, n / d
}

// sdOf lists the samples' own doubts.
func sdOf(o []obs) []float64 {
	out := make([]float64, len(o))
	for i := range o {
		out[i] = o[i].sd
	}
	return out
}

// arrow is the normal matrix of four common unknowns (wind east and north,
// bleed, mean airspeed) and a chain of others
// each tied to its neighbours: solved in a time that grows with the chain.
type arrow struct {
	n    int
	a    [4][4]float64
	g    [4]float64
	b    [][4]float64 // common × chain
	d, e []float64    // chain: diagonal, and to the next
	h    []float64    // right side of the chain
	dp   [4]float64
	dv   []float64
	inv  [4][4]float64
	x    [][5]float64
	piv  []float64
}

func newArrow(n int) *arrow {
	return &arrow{n: n, b: make([][4]float64, n), d: make([]float64, n), e: make([]float64, n), h: make([]float64, n), dv: make([]float64, n), x: make([][5]float64, n), piv: make([]float64, n)}
}

func (s *arrow) clear() {
	s.a, s.g = [4][4]float64{}, [4]float64{}
	clear(s.b)
	clear(s.d)
	clear(s.e)
	clear(s.h)
}

// observe adds a residual r with derivatives je, jn to the wind, −1 to the
// mean airspeed and j0, j1 to chain members k, k+1.
func (s *arrow) observe(w, je, jn float64, k int, j0, j1, r float64) {
	j := [4]float64{je, jn, 0, -1}
	for a := range j {
		s.g[a] += w * j[a] * r
		for b := range j {
			s.a[a][b] += w * j[a] * j[b]
		}
		s.b[k][a] += w * j[a] * j0
		s.b[k+1][a] += w * j[a] * j1
	}
	s.d[k] += w * j0 * j0
	s.d[k+1] += w * j1 * j1
	s.e[k] += w * j0 * j1
	s.h[k] += w * j0 * r
	s.h[k+1] += w * j1 * r
}

// anchor adds the residual v of the first chain member.
func (s *arrow) anchor(w, v float64) {
	s.d[0] += w
	s.h[0] += w * v
}

// link adds the residual r of v[k+1] − φ v[k] + β t.
func (s *arrow) link(w float64, k int, phi, t, r float64) {
	s.d[k] += w * phi * phi
	s.d[k+1] += w
	s.e[k] -= w * phi
	s.h[k] -= w * phi * r
	s.h[k+1] += w * r
	s.b[k][2] -= w * phi * t
	s.b[k+1][2] += w * t
	s.a[2][2] += w * t * t
	s.g[2] += w * t * r
}

// solve eliminates the chain (Thomas), then the four.
func (s *arrow) solve() bool {
	for k := 0; k < s.n; k++ {
		b := &s.b[k]
		s.x[k] = [5]float64{b[0], b[1], b[2], b[3], s.h[k]}
		s.piv[k] = s.d[k] + 1e-9
		if k > 0 {
			f := s.e[k-1] / s.piv[k-1]
			s.piv[k] -= f * s.e[k-1]
			for j := range s.x[k] {
				s.x[k][j] -= f * s.x[k-1][j]
			}
		}
		if !(s.piv[k] > 0) {
			return false
		}
	}
	for k := s.n - 1; k >= 0; k-- {
		for j := range s.x[k] {
			if k+1 < s.n {
				s.x[k][j] -= s.e[k] * s.x[k+1][j]
			}
			s.x[k][j] /= s.piv[k]
		}
	}
	m, g := s.a, s.g
	for k := 0; k < s.n; k++ {
		for i := range m {
			for j := range m {
				m[i][j] -= s.b[k][i] * s.x[k][j]
			}
			g[i] -= s.b[k][i] * s.x[k][4]
		}
	}
	inv, ok := inverse4(m)
	if !ok {
		return false
	}
	s.inv = inv
	for i := range inv {
		s.dp[i] = 0
		for j := range inv {
			s.dp[i] += inv[i][j] * g[j]
		}
	}
	for k := 0; k < s.n; k++ {
		x := &s.x[k]
		s.dv[k] = x[4] - x[0]*s.dp[0] - x[1]*s.dp[1] - x[2]*s.dp[2] - x[3]*s.dp[3]
	}
	return true
}

// inverse4 of a symmetric positive matrix, scaled by its diagonal first.
func inverse4(m [4][4]float64) (o [4][4]float64, ok bool) {
	var sc [4]float64
	for i := range sc {
		if !(m[i][i] > 0) {
			return o, false
		}
		sc[i] = 1 / math.Sqrt(m[i][i])
	}
	for i := range m {
		for j := range m {
			m[i][j] *= sc[i] * sc[j]
		}
		m[i][i] += 1e-10
		o[i][i] = 1
	}
	for c := range m { // Gauss-Jordan; a positive matrix needs no pivoting
		p := m[c][c]
		if !(p > 1e-13) {
			return o, false
		}
		for j := range m {
			m[c][j] /= p
			o[c][j] /= p
		}
		for r := range m {
			if r == c {
				continue
			}
			f := m[r][c]
			for j := range m {
				m[r][j] -= f * m[c][j]
				o[r][j] -= f * o[c][j]
			}
		}
	}
	for i := range o {
		for j := range o {
			o[i][j] *= sc[i] * sc[j]
		}
	}
	return o, true
}

// taken is how many degrees of freedom the chain takes: the trace of its part
// of the hat matrix, by the diagonal of the chain's inverse.
func (s *arrow) taken(o []obs, left []int, frac, wt []float64, noise, we, wn float64) float64 {
	// diagonal and next-to-diagonal of the inverse of the tridiagonal part
	diag, off := make([]float64, s.n), make([]float64, s.n)
	for k := s.n - 1; k >= 0; k-- {
		diag[k] = 1 / s.piv[k]
		if k+1 < s.n {
			f := s.e[k] / s.piv[k]
			off[k] = -f * diag[k+1]
			diag[k] += f * f * diag[k+1]
		}
	}
	t := 0.0
	for i := range o {
		k, f := left[i], frac[i]
		kk := wt[i] / (noise*noise + sq(o[i].sd))
		t += kk * (sq(1-f)*diag[k] + 2*f*(1-f)*off[k] + f*f*diag[k+1])
	}
	return t
}

// seconds is the time observations cover, holes left out.
func seconds(o []obs) float64 {
	t := 0.0
	for i := 1; i < len(o); i++ {
		t += math.Min(2, o[i].t-o[i-1].t)
	}
	return t
}

// halfTurn is the least spread of air headings a wind is quoted from. The rule
// is half a turn; a circuit flown to and fro with alternate turns covers a
// little less through the air when the wind is across, and its standard error
// decides.
const halfTurn = 165 * math.Pi / 180

// bad says why a fit is not to be quoted; "" when it is.
func (w *WindFit) bad() string {
	switch {
	case w.N < 8:
		return fmt.Sprintf("only %d usable samples in flight", w.N)
	case !known(w.East) || !known(w.North):
		return "the velocities do not make a circle"
	case w.Speed() > 0.9*w.Airspeed || w.Airspeed < 4:
		return "the velocities do not make a circle about a wind: hardly a turn was flown"
	case w.free < 5:
		return "too few samples for the turns flown"
	case w.Spread < halfTurn:
		return fmt.Sprintf("headings cover %.0f° only; about half a turn is needed", w.Spread*180/math.Pi)
	}
	worst := math.Sqrt(math.Max(w.Cov[0][0], w.Cov[1][1]))
	if worst > math.Max(2, 0.3*w.Speed()) {
		return fmt.Sprintf("the turns leave the wind doubtful by %.1f m/s", worst)
	}
	return ""
}

// winds finds the wind of a flight: windows of it and the whole.
func winds(p *track.Path) (whole WindFit, windows []WindFit, refused string) {
	whole.East = math.NaN()
	o := windObs(p, false)
	with := 0
	for _, v := range o {
		if known(v.tas) && v.tas > 5 {
			with++
		}
	}
	if with > 30 && with*2 > len(o) {
		var a []obs
		for _, v := range o {
			if known(v.tas) && v.tas > 5 {
				a = append(a, v)
			}
		}
		whole = fitScale(a, false)
		if b := whole.bad(); b == "" && whole.Scale > 0.5 && whole.Scale < 2 {
			// turns alone may tell the wind better than a noisy airspeed does
			if p.Step <= 2 {
				if t, ws, no := turnWinds(p); no == "" && t.Cov[0][0]+t.Cov[1][1] < 0.25*(whole.Cov[0][0]+whole.Cov[1][1]) {
					t.Scale, t.ScaleSD = whole.Scale, whole.ScaleSD
					t.Method += "; scale of the logged airspeed by least squares"
					return t, ws, ""
				}
			}
			for _, part := range split(a, 900) {
				if w := fitScale(part, false); w.bad() == "" && len(part) > 40 {
					windows = append(windows, w)
				}
			}
			return whole, windows, ""
		}
	}
	return turnWinds(p)
}

// turnWinds finds the wind from turns alone.
func turnWinds(p *track.Path) (whole WindFit, windows []WindFit, refused string) {
	whole.East = math.NaN()
	o := windObs(p, true)
	if len(o) < 8 {
		return whole, nil, "too few samples in level flight to tell a wind from"
	}
	if p.Step > 5 {
		return whole, nil, fmt.Sprintf("a sample every %.3g s is too slow to follow turns, and no airspeed is logged", p.Step)
	}
	for _, part := range split(o, 300) {
		w := fitTurns(part)
		if w.bad() != "" {
			continue
		}
		windows = append(windows, w)
	}
	why := ""
	if len(windows) == 0 {
		w := fitTurns(thin(o, 4000))
		if why = w.bad(); why == "" {
			windows = []WindFit{w}
		} else {
			whole = w
		}
	}
	if why == "" {
		whole = combine(windows)
	}
	// Whole circles at one airspeed tell more than a flight in which it changes
	// threefold.
	var rounds []WindFit
	for _, c := range circling(o) {
		if w := fitTurns(thin(c, 2000)); w.bad() == "" && w.Spread > 300*math.Pi/180 {
			rounds = append(rounds, w.elsewhere())
		}
	}
	if len(rounds) > 0 {
		r := combine(rounds)
		if why != "" || r.Cov[0][0]+r.Cov[1][1] < 0.5*(whole.Cov[0][0]+whole.Cov[1][1]) {
			r.Method = "ground velocities in full circles; airspeed free to change, turns free to bleed it"
			return r, rounds, ""
		}
	}
	return whole, windows, why
}

// elsewhere widens the wind of one stretch for use in the rest of the flight:
// by a tenth of a metre a second and 5 % of the wind each way, what a steady
// wind changes within minutes and tens of metres of height (our choice: half
// of what its gusts are).
func (w WindFit) elsewhere() WindFit {
	v := sq(0.1) + sq(0.05*w.Speed())
	w.Cov[0][0] += v
	w.Cov[1][1] += v
	return w
}

// circling picks the stretches in which the course turns one way by a full
// circle and more without a straight leg between; the first and last 10° are
// left out, where it rolls in and out.
func circling(o []obs) [][]obs {
	const step, lull, edge = math.Pi / 6, 8.0, math.Pi / 18 // 30° at least every 8 s
	turned := make([]float64, len(o))                       // since the first
	for j := 1; j < len(o); j++ {
		turned[j] = turned[j-1] + math.Remainder(math.Atan2(o[j].e, o[j].n)-math.Atan2(o[j-1].e, o[j-1].n), 2*math.Pi)
	}
	var out [][]obs
	for i := 0; i < len(o); {
		j, sign, most, at, from := i, 0.0, 0.0, 0.0, o[i].t
		for j+1 < len(o) && o[j+1].t-o[j].t < 3 {
			j++
			x := turned[j] - turned[i]
			if sign == 0 && math.Abs(x) > step {
				sign = math.Copysign(1, x)
			}
			x *= sign
			most = math.Max(most, x)
			if most-at > step {
				at, from = most, o[j].t
			}
			if sign != 0 && x < most-step || o[j].t-from > lull {
				break
			}
		}
		if most < 2*math.Pi {
			i = max(i+1, min(j, i+10))
			continue
		}
		a, z := i, j
		for (turned[a]-turned[i])*sign < edge {
			a++
		}
		for k := a; k <= j; k++ {
			if z = k; (turned[k]-turned[i])*sign > most-edge {
				break
			}
		}
		out = append(out, o[a:z+1])
		i = j + 1
	}
	return out
}

// split parts observations into stretches of about the given length; a short
// rest joins the stretch before.
func split(o []obs, length float64) [][]obs {
	var out [][]obs
	total := o[len(o)-1].t - o[0].t
	n := max(1, min(int(math.Round(math.Min(total/length, 1e6))), len(o)/20))
	each := total/float64(n) + 1e-9
	from := 0
	for k := 1; k <= n && from < len(o); k++ {
		to := from
		for to < len(o) && o[to].t <= o[0].t+each*float64(k) {
			to++
		}
		if k == n {
			to = len(o)
		}
		if to > from {
			out = append(out, o[from:to])
		}
		from = to
	}
	return out
}

func thin(o []obs, most int) []obs {
	if len(o) <= most {
		return o
	}
	k := (len(o) + most - 1) / most
	var out []obs
	for i := 0; i < len(o); i += k {
		out = append(out, o[i])
	}
	return out
}

// combine is the mean of windows weighed by their information, widened by
// their scatter.
func combine(ws []WindFit) WindFit {
	if len(ws) == 1 {
		ws[0].steady = true
		return ws[0]
	}
	out := ws[0]
	out.Method += fmt.Sprintf("; mean of %d windows", len(ws))
	mean := func(extra float64) (e, n float64, cov [2][2]float64) {
		var a [2][2]float64
		var b [2]float64
		for _, w := range ws {
			c := w.Cov
			c[0][0] += extra
			c[1][1] += extra
			det := c[0][0]*c[1][1] - c[0][1]*c[1][0]
			i := [2][2]float64{{c[1][1] / det, -c[0][1] / det}, {-c[0][1] / det, c[0][0] / det}}
			for r := 0; r < 2; r++ {
				for q := 0; q < 2; q++ {
					a[r][q] += i[r][q]
				}
				b[r] += i[r][0]*w.East + i[r][1]*w.North
			}
		}
		det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
		cov = [2][2]float64{{a[1][1] / det, -a[0][1] / det}, {-a[0][1] / det, a[0][0] / det}}
		return cov[0][0]*b[0] + cov[0][1]*b[1], cov[1][0]*b[0] + cov[1][1]*b[1], cov
	}
	// scatter beyond what the windows' own doubts explain
	extra := 0.0
	for it := 0; it < 30; it++ {
		e, n, _ := mean(extra)
		s, own := 0.0, 0.0
		for _, w := range ws {
			s += (sq(w.East-e) + sq(w.North-n)) / 2
			own += (w.Cov[0][0] + w.Cov[1][1]) / 2
		}
		k := float64(len(ws))
		next := math.Max(0, s/(k-1)-own/k)
		if math.Abs(next-extra) < 1e-9 {
			break
		}
		extra = next
	}
	e, n, cov := mean(extra)
	own := 0.0
	for _, w := range ws {
		own += (w.Cov[0][0] + w.Cov[1][1]) / 2 / float64(len(ws))
	}
	out.steady = extra < 0.3*own
	out.East, out.North, out.Cov = e, n, cov
	out.T0, out.T1 = ws[0].T0, ws[len(ws)-1].T1
	out.N, out.RMS, out.Airspeed, out.Gust = 0, 0, 0, 0
	k := 0.0
	for _, w := range ws {
		out.N += w.N
		out.RMS += w.RMS * w.RMS * float64(w.N)
		out.Airspeed += w.Airspeed * float64(w.N)
		out.Spread = math.Max(out.Spread, w.Spread)
		if known(w.Gust) {
			out.Gust += w.Gust * w.Gust
			k++
		}
	}
	out.RMS = math.Sqrt(out.RMS / float64(out.N))
	out.Airspeed /= float64(out.N)
	out.Gust = math.Sqrt(out.Gust / math.Max(1, k))
	return out
}

// windAt is the wind that holds at t: the whole flight's when the windows
// agree, else the nearest window's.
func windAt(t float64, whole WindFit, windows []WindFit) WindFit {
	if whole.steady {
		return whole
	}
	best, gap := whole, math.Inf(1)
	for _, w := range windows {
		g := math.Max(0, math.Max(w.T0-t, t-w.T1))
		if g < gap {
			best, gap = w, g
		}
	}
	return best
}
