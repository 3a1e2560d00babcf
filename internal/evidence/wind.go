package evidence

import (
	"fmt"
	"math"
	"slices"

	"fledge/internal/track"

	"gonum.org/v1/gonum/mat"
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

// Speed is the wind's speed, FromDeg where it blows from, degrees in
// [0, 360).
func (w *WindFit) Speed() float64   { return math.Hypot(w.East, w.North) }
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
		out = append(out, obs{s.T, s.Vel[0], s.Vel[1], up, f.Airspeed, s.SpeedSD})
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

// WindByAirspeed fits wind and airspeed scale to ground velocities (east,
// north) and logged airspeeds: least squares of |G−W| − k·TAS, every sample
// alike. With fixed scale, k stays at 1. The covariance is from the residuals
// with their own correlation in time.
func WindByAirspeed(t, east, north, tas []float64, fixed bool) WindFit {
	o := make([]obs, len(t))
	for i := range t {
		o[i] = obs{t: t[i], e: east[i], n: north[i], tas: tas[i]}
	}
	return fitScale(o, fixed)
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

// bend is how much the airspeed may change from one five-second block to the
// next, m/s (one sigma): throttle and gentle climbs.
const bend = 1.5

// fitTurns fits a wind to ground velocities alone: the circle fit, with an
// airspeed that may drift from block to block. Far residuals (dives, pulls)
// lose weight by Tukey's rule.
func fitTurns(o []obs) WindFit {
	w := WindFit{Scale: math.NaN(), N: len(o), Method: "circle through the ground velocities of turns, airspeed free to drift"}
	if len(o) < 8 {
		w.East = math.NaN()
		return w
	}
	w.T0, w.T1 = o[0].t, o[len(o)-1].t
	x, y := make([]float64, len(o)), make([]float64, len(o))
	for i, v := range o {
		x[i], y[i] = v.e, v.n
	}
	c := FitCircle(x, y, Geometric)
	if !known(c.X) || !known(c.R) || math.Hypot(c.X, c.Y) > c.R {
		c = FitCircle(x, y, Taubin)
	}
	if !known(c.X) || !known(c.R) {
		w.East = math.NaN()
		return w
	}
	step := math.Max(5, (w.T1-w.T0)/120)
	blocks := int((w.T1-w.T0)/step) + 1
	bi := make([]int, len(o))
	used := make([]bool, blocks)
	for i, v := range o {
		bi[i] = min(int((v.t-w.T0)/step), blocks-1)
		used[bi[i]] = true
	}
	idx := make([]int, blocks) // the blocks with observations, numbered
	nb := 0
	when := []float64{}
	for b := range used {
		if used[b] {
			idx[b] = nb
			nb++
			when = append(when, float64(b))
		}
	}
	for i := range bi {
		bi[i] = idx[bi[i]]
	}
	dim := 2 + nb
	par := make([]float64, dim)
	par[0], par[1] = c.X, c.Y
	for b := 0; b < nb; b++ {
		par[2+b] = c.R
	}
	res := make([]float64, len(o))
	wt := make([]float64, len(o))
	for i := range wt {
		wt[i] = 1
	}
	noise := math.Max(0.1, math.Min(c.RMS, 2))
	var chol mat.Cholesky
	for it := 0; it < 40; it++ {
		jtj := mat.NewSymDense(dim, nil)
		g := mat.NewVecDense(dim, nil)
		for i, v := range o {
			u, q := v.e-par[0], v.n-par[1]
			d := math.Hypot(u, q)
			if d < 1e-9 {
				continue
			}
			b := 2 + bi[i]
			r := d - par[b]
			k := wt[i] / (noise*noise + v.sd*v.sd)
			je, jn := -u/d, -q/d
			jtj.SetSym(0, 0, jtj.At(0, 0)+k*je*je)
			jtj.SetSym(0, 1, jtj.At(0, 1)+k*je*jn)
			jtj.SetSym(1, 1, jtj.At(1, 1)+k*jn*jn)
			jtj.SetSym(0, b, jtj.At(0, b)-k*je)
			jtj.SetSym(1, b, jtj.At(1, b)-k*jn)
			jtj.SetSym(b, b, jtj.At(b, b)+k)
			g.SetVec(0, g.AtVec(0)+k*je*r)
			g.SetVec(1, g.AtVec(1)+k*jn*r)
			g.SetVec(b, g.AtVec(b)-k*r)
		}
		for b := 0; b+1 < nb; b++ {
			k := 1 / (bend * bend * math.Max(1, when[b+1]-when[b]) * step / 5)
			d := par[3+b] - par[2+b]
			jtj.SetSym(2+b, 2+b, jtj.At(2+b, 2+b)+k)
			jtj.SetSym(3+b, 3+b, jtj.At(3+b, 3+b)+k)
			jtj.SetSym(2+b, 3+b, jtj.At(2+b, 3+b)-k)
			g.SetVec(2+b, g.AtVec(2+b)-k*d)
			g.SetVec(3+b, g.AtVec(3+b)+k*d)
		}
		for a := 0; a < dim; a++ {
			jtj.SetSym(a, a, jtj.At(a, a)*(1+1e-9)+1e-12)
		}
		if !chol.Factorize(jtj) {
			w.East = math.NaN()
			return w
		}
		var st mat.VecDense
		if chol.SolveVecTo(&st, g) != nil {
			w.East = math.NaN()
			return w
		}
		size := 0.0
		for a := 0; a < dim; a++ {
			par[a] -= clamp(st.AtVec(a), -20, 20)
			if a < 2 {
				size += math.Abs(st.AtVec(a))
			}
		}
		for i, v := range o {
			res[i] = math.Hypot(v.e-par[0], v.n-par[1]) - par[2+bi[i]]
		}
		// the noise beyond each sample's own doubt
		abs := make([]float64, len(res))
		own := make([]float64, len(res))
		for i, r := range res {
			abs[i] = math.Abs(r)
			own[i] = o[i].sd
		}
		noise = math.Sqrt(math.Max(sq(0.03), sq(1.4826*median(abs))-sq(median(own))))
		for i, r := range res {
			wt[i] = 0
			lim := math.Max(4.685*math.Hypot(noise, o[i].sd), 0.3)
			if a := math.Abs(r) / lim; a < 1 {
				wt[i] = sq(1 - a*a)
			}
		}
		if size < 1e-7 && it > 4 {
			break
		}
	}
	w.East, w.North = par[0], par[1]
	ss, sw, chi := 0.0, 0.0, 0.0
	for i, r := range res {
		ss += wt[i] * r * r
		chi += wt[i] * r * r / (noise*noise + sq(o[i].sd))
		sw += wt[i]
		w.Airspeed += wt[i] * par[2+bi[i]]
	}
	if sw < 6 {
		w.East = math.NaN()
		return w
	}
	w.Airspeed /= sw
	w.RMS = math.Sqrt(ss / sw)
	var kept []obs
	var keptRes []float64
	for i := range o {
		if wt[i] > 0.05 {
			kept = append(kept, o[i])
			keptRes = append(keptRes, res[i])
		}
	}
	w.Spread = headingSpread(kept, w.East, w.North)
	// gusts: what is left over three seconds, and what the drifting airspeed took
	var jumps []float64
	for b := 0; b+1 < nb; b++ {
		jumps = append(jumps, math.Abs(par[3+b]-par[2+b]))
	}
	w.Gust = blockSD(kept, keptRes, 3)
	if len(jumps) > 2 && known(w.Gust) {
		// neighbouring blocks share a part of a gust: 1.2
		w.Gust = math.Hypot(w.Gust, 1.2*1.4826*median(jumps)/math.Sqrt2)
	}
	var sds []float64
	for _, v := range kept {
		sds = append(sds, v.sd)
	}
	if known(w.Gust) { // less the samples' own doubt, which holds together for half a second or so
		w.Gust = math.Sqrt(math.Max(0, sq(w.Gust)-sq(0.55*median(sds))))
	}
	var inv mat.SymDense
	if chol.InverseTo(&inv) != nil {
		w.East = math.NaN()
		return w
	}
	// the matrix is in units of noise²: put the residuals' own variance in, over
	// the degrees of freedom left by wind and drifting airspeed, and widen by
	// their correlation in time
	taken := 0.0
	for i, v := range o {
		u, q := v.e-w.East, v.n-w.North
		d := math.Hypot(u, q)
		if d < 1e-9 || wt[i] == 0 {
			continue
		}
		b := 2 + bi[i]
		je, jn := -u/d, -q/d
		taken += wt[i] / (noise*noise + v.sd*v.sd) * (je*je*inv.At(0, 0) + jn*jn*inv.At(1, 1) + inv.At(b, b) +
			2*je*jn*inv.At(0, 1) - 2*je*inv.At(0, b) - 2*jn*inv.At(1, b))
	}
	w.free = sw - taken
	if w.free < 5 {
		return w
	}
	f := inflation(kept, keptRes) * math.Max(0.5, chi/w.free)
	w.Cov = [2][2]float64{{f * inv.At(0, 0), f * inv.At(0, 1)}, {f * inv.At(0, 1), f * inv.At(1, 1)}}
	if known(w.Gust) { // gusts seen from all sides: two components from one radius, six seconds a gust
		g := 2 * sq(w.Gust) * 6 / math.Max(6, seconds(kept))
		w.Cov[0][0] += g
		w.Cov[1][1] += g
	}
	return w
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
	if len(windows) == 0 {
		w := fitTurns(thin(o, 4000))
		if r := w.bad(); r != "" {
			return w, nil, r
		}
		windows = []WindFit{w}
	}
	return combine(windows), windows, ""
}

// split parts observations into stretches of about the given length; a short
// rest joins the stretch before.
func split(o []obs, length float64) [][]obs {
	var out [][]obs
	total := o[len(o)-1].t - o[0].t
	n := max(1, int(math.Round(total/length)))
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
	e, n, _ := mean(0)
	// scatter beyond what the windows' own doubts explain
	extra := 0.0
	for it := 0; it < 30; it++ {
		e2, n2, _ := mean(extra)
		e, n = e2, n2
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
	var cov [2][2]float64
	e, n, cov = mean(extra)
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
