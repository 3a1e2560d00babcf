package track

import (
	"fmt"
	"math"

	"fledge/internal/geo"
)

// Noise is the stated noise model of a path. Everything is one standard
// deviation.
//
// An axis has position, velocity, acceleration and a slow position error.
// The acceleration is a first-order Gauss-Markov process (AccSD, AccTime):
// the aeroplane turns and pulls, but for a while only; its strength follows
// the aeroplane's own, found in a first pass (at least a few m/s² in straight
// flight, what the turn takes in a turn). A position is the true
// one plus the slow error (first-order, Drift and DriftTime) plus white noise
// (Place). A measured velocity is the velocity Latency earlier plus white
// noise (Speed). The numbers are fitted to the log by the likelihood of its
// own innovations, with weak priors at common practice's values.
type Noise struct {
	AccSD, AccTime   float64
	Place            float64
	Drift, DriftTime float64
	Speed            float64
	Latency          float64 // s by which the measured velocity is late; 0 when not found
	LatencySD        float64
	UpAcc, UpPlace   float64
	UpDrift          float64
	UpRate           float64
	Method           string
}

// Sample is the path at one fix. Velocities are over the ground, in the
// local frame: east, north, up.
type Sample struct {
	T        float64
	Pos      [3]float64 // m
	Vel      [3]float64 // m/s
	Acc      [3]float64 // m/s²
	PosSD    float64    // one sigma of each horizontal axis, slow error included
	SpeedSD  float64    // of each horizontal axis
	AccSD    float64
	HeightSD float64 // slow error included
	ClimbSD  float64
	Measured float64 // ground speed as logged and not rejected; NaN
	ByPlace  float64 // ground speed from this and the fix before; NaN
	Fix      int     // index in Log.Fixes
	Section  int32
	Used     bool // the fix itself had a usable position or velocity
}

// Speed is the ground speed, m/s.
func (s *Sample) Speed() float64 { return math.Hypot(s.Vel[0], s.Vel[1]) }

// Course is the direction of the ground speed, rad in [0, 2π).
func (s *Sample) Course() float64 {
	return math.Mod(math.Atan2(s.Vel[0], s.Vel[1])+2*math.Pi, 2*math.Pi)
}

// Along is the acceleration along the ground track, m/s².
func (s *Sample) Along() float64 {
	v := s.Speed()
	if v < 1e-9 {
		return 0
	}
	return (s.Acc[0]*s.Vel[0] + s.Acc[1]*s.Vel[1]) / v
}

// TurnRate is the rate of the ground course, rad/s, positive to the right.
func (s *Sample) TurnRate() float64 {
	v2 := s.Vel[0]*s.Vel[0] + s.Vel[1]*s.Vel[1]
	if v2 < 1 {
		return 0
	}
	return (s.Vel[1]*s.Acc[0] - s.Vel[0]*s.Acc[1]) / v2
}

// Path is a cleaned and smoothed log.
type Path struct {
	Log      *Log
	Frame    geo.Frame
	Samples  []Sample
	Noise    Noise
	Step     float64 // median step, s
	Doppler  bool    // the receiver measured speeds
	Placed   bool    // there are positions
	Heights  string  // source of heights; "" none
	Height0  float64 // the height in the log that is zero in the frame; NaN none
	RawPeak  float64 // the largest speed in the log before anything was rejected; NaN
	Softened int     // measurements given less weight because they disagreed
}

// Smooth cleans a log by physics, fits the noise model and runs a Kalman
// filter with the Rauch-Tung-Striebel backward pass (AIAA J. 3, 1965) over
// each section, in blocks: beyond the result, memory grows with the block and
// not with the log. The log's drop counts grow by what physics rejects.
func Smooth(l *Log) *Path {
	s := lay(l)
	p := &Path{Log: l, Frame: s.frame, Step: s.dt, Heights: s.hSource, Height0: s.h0, RawPeak: nan}
	for i := range s.t {
		if known(s.speed[i]) && !(s.speed[i] <= p.RawPeak) {
			p.RawPeak = s.speed[i]
		}
	}
	if math.IsNaN(p.RawPeak) {
		p.RawPeak = s.fastestStep()
	}
	s.clean()
	nPlace, nVel, nSpeed := 0, 0, 0
	for i := range s.t {
		if known(s.e[i]) {
			nPlace++
		}
		if known(s.ve[i]) {
			nVel++
		} else if known(s.speed[i]) && s.speed[i] > 1 {
			nSpeed++
		}
	}
	p.Placed = nPlace > 1
	p.Samples = make([]Sample, len(s.t))
	for i := range p.Samples {
		q := &p.Samples[i]
		q.T, q.Fix, q.Section = s.t[i], i, s.section[i]
		q.Used = known(s.e[i]) || known(s.ve[i])
	}
	n := Noise{AccSD: 8, AccTime: 1.5, Place: math.Max(0.2, s.white), Drift: 1.5, DriftTime: 30, Speed: 0.15,
		UpAcc: 4, UpPlace: 0.4, UpDrift: 1.2, UpRate: 0.3}
	if nSpeed*10 > nVel && nPlace > 4 {
		s.aim(n) // speeds without courses: give them the direction of the path
		nVel = 0
		for i := range s.ve {
			if known(s.ve[i]) {
				nVel++
			}
		}
	}
	p.Doppler = nVel > 4 && nVel*5 > nPlace
	if p.Doppler {
		n.Speed = s.whiteSpeed()
		// found, taken out, and looked for once more
		n.Latency, n.LatencySD = s.latency()
		for k := 0; k < 3 && n.Latency != 0; k++ {
			s.shift(n.Latency)
			rest, sd := s.latency()
			n.LatencySD = sd
			if rest == 0 {
				break
			}
			s.unshift()
			n.Latency += rest
			if k == 2 {
				s.shift(n.Latency)
			}
		}
	}
	hz := &axes{t: s.t, section: s.section, z: [2][]float64{s.e, s.n}, v: [2][]float64{s.ve, s.vn}, k: 2}
	up := &axes{t: s.t, section: s.section, z: [2][]float64{s.u}, v: [2][]float64{s.climb}, k: 1}
	hz.busy = s.activity(hz, n)
	n = fit(hz, up, n, p.Doppler)
	p.Noise = n
	soft := hz.run(n.horizontal(), func(i int, x *[2][4]float64, c *cov) {
		q := &p.Samples[i]
		for a := 0; a < 2; a++ {
			q.Pos[a], q.Vel[a], q.Acc[a] = x[a][0], x[a][1], x[a][2]
		}
		q.PosSD = math.Sqrt(math.Max(0, c[0][0]))
		q.SpeedSD = math.Sqrt(math.Max(0, c[1][1]))
		q.AccSD = math.Sqrt(math.Max(0, c[2][2]))
	})
	p.Softened = soft
	if p.Heights != "" {
		up.run(n.vertical(), func(i int, x *[2][4]float64, c *cov) {
			q := &p.Samples[i]
			q.Pos[2], q.Vel[2], q.Acc[2] = x[0][0], x[0][1], x[0][2]
			q.HeightSD = math.Sqrt(math.Max(0, c[0][0]))
			q.ClimbSD = math.Sqrt(math.Max(0, c[1][1]))
		})
	} else {
		for i := range p.Samples {
			q := &p.Samples[i]
			q.Pos[2], q.Vel[2], q.Acc[2], q.HeightSD, q.ClimbSD = nan, nan, nan, nan, nan
		}
	}
	last := -1
	for i := range p.Samples {
		q := &p.Samples[i]
		q.Measured, q.ByPlace = s.speed[i], nan
		if known(s.e[i]) {
			if last >= 0 && s.section[last] == s.section[i] {
				q.ByPlace = math.Hypot(s.e[i]-s.e[last], s.n[i]-s.n[last]) / (s.t[i] - s.t[last])
			}
			last = i
		}
	}
	for i := range l.Fixes {
		l.Fixes[i].Section = s.section[i]
	}
	return p
}

// fastestStep is the fastest step between positions before cleaning.
func (s *scene) fastestStep() float64 {
	top, last := nan, -1
	for i := range s.t {
		if !known(s.e[i]) {
			continue
		}
		if last >= 0 && s.section[last] == s.section[i] && s.t[i] > s.t[last] {
			if v := math.Hypot(s.e[i]-s.e[last], s.n[i]-s.n[last]) / (s.t[i] - s.t[last]); !(v <= top) {
				top = v
			}
		}
		last = i
	}
	return top
}

// aim gives measured speeds the direction of the path from positions alone.
func (s *scene) aim(n Noise) {
	a := &axes{t: s.t, section: s.section, z: [2][]float64{s.e, s.n}, v: [2][]float64{none(len(s.t)), none(len(s.t))}, k: 2}
	a.run(n.horizontal(), func(i int, x *[2][4]float64, _ *cov) {
		if known(s.ve[i]) || !known(s.speed[i]) {
			return
		}
		h := math.Hypot(x[0][1], x[1][1])
		if h < 0.5 {
			return
		}
		s.ve[i], s.vn[i] = s.speed[i]*x[0][1]/h, s.speed[i]*x[1][1]/h
	})
}

// whiteSpeed guesses the white noise of the measured velocity from its third
// differences, as whiteNoise does for positions; logs slower than 3 Hz say
// nothing of it, and common practice's 0.15 m/s stands.
func (s *scene) whiteSpeed() float64 {
	if s.dt > 0.34 {
		return 0.15
	}
	var d []float64
	run := 0
	for i := range s.t {
		if !known(s.ve[i]) || (i > 0 && (s.section[i] != s.section[i-1] || s.t[i]-s.t[i-1] > 1.5*s.dt)) {
			run = 0
			continue
		}
		if run++; run >= 4 && math.Hypot(s.ve[i], s.vn[i]) > 3 {
			d = append(d, math.Abs(s.ve[i]-3*s.ve[i-1]+3*s.ve[i-2]-s.ve[i-3]), math.Abs(s.vn[i]-3*s.vn[i-1]+3*s.vn[i-2]-s.vn[i-3]))
		}
		if len(d) > 100_000 {
			break
		}
	}
	if len(d) < 50 {
		return 0.1
	}
	return math.Max(0.01, math.Min(0.5, 1.4826*median(d)/math.Sqrt(20)))
}

// calm is the acceleration allowed for in straight flight, m/s²: gusts and a
// pilot's corrections.
const calm = 2.5

// activity is the square of the local acceleration over AccSD, from a first
// pass: the root mean square within 0.7 s, not under calm.
func (s *scene) activity(a *axes, n Noise) []float64 {
	count := len(s.t)
	acc := make([]float64, count)
	n.AccSD = 20
	a.run(n.horizontal(), func(i int, x *[2][4]float64, _ *cov) {
		acc[i] = x[0][2]*x[0][2] + x[1][2]*x[1][2]
	})
	out := make([]float64, count)
	lo, hi := 0, 0
	sum := 0.0
	for i := range out {
		for hi < count && s.t[hi] <= s.t[i]+0.7 {
			sum += acc[hi]
			hi++
		}
		for lo < i && s.t[lo] < s.t[i]-0.7 {
			sum -= acc[lo]
			lo++
		}
		out[i] = math.Max(calm*calm, sum/float64(hi-lo)/2) / (8 * 8)
	}
	return out
}

func none(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = nan
	}
	return v
}

// latency estimates by how much the measured velocity is behind the one the
// positions show: least squares of v(positions) − v(measured) on the
// acceleration, where that is more than 4 m/s². It returns zero when the
// result is not three standard errors from zero or the log is slower than
// 2 Hz.
func (s *scene) latency() (lag, sd float64) {
	if s.dt > 0.55 {
		return 0, 0.2
	}
	type row struct{ ae, an, de, dn float64 }
	var rows []row
	saa, sad := 0.0, 0.0
	for i := 1; i+1 < len(s.t); i++ {
		a, b := i-1, i+1
		h := s.t[b] - s.t[a]
		if s.section[a] != s.section[b] || h > 2.6*s.dt || h <= 0 {
			continue
		}
		if !known(s.e[a]) || !known(s.e[b]) || !known(s.ve[a]) || !known(s.ve[b]) || !known(s.ve[i]) {
			continue
		}
		ae, an := (s.ve[b]-s.ve[a])/h, (s.vn[b]-s.vn[a])/h
		if math.Hypot(ae, an) < 4 {
			continue
		}
		r := row{ae, an, (s.e[b]-s.e[a])/h - s.ve[i], (s.n[b]-s.n[a])/h - s.vn[i]}
		rows = append(rows, r)
		if len(rows) >= 20000 {
			break
		}
	}
	if len(rows) < 30 {
		return 0, 0.2
	}
	for pass := 0; pass < 3; pass++ { // with the far residuals held back
		saa, sad = 0, 0
		ss, m := 0.0, 0
		for _, r := range rows {
			re, rn := r.de-lag*r.ae, r.dn-lag*r.an
			w := 1.0
			if d := math.Hypot(re, rn); pass > 0 && d > 3*sd {
				w = 3 * sd / d
			}
			saa += w * (r.ae*r.ae + r.an*r.an)
			sad += w * (r.ae*r.de + r.an*r.dn)
			ss += w * w * (re*re + rn*rn)
			m++
		}
		lag = sad / saa
		sd = math.Sqrt(ss / float64(m))
	}
	// neighbouring central differences share errors: four samples count as one
	se := sd / math.Sqrt(saa) * 2
	if math.Abs(lag) < 3*se || math.Abs(lag) < 0.02 || lag > 1.5 || lag < -0.5 {
		return 0, math.Max(se, 0.02)
	}
	return lag, se
}

// shift moves the measured velocities earlier by lag: at each fix the value
// recorded lag later, by four-point interpolation.
func (s *scene) shift(lag float64) {
	s.ve0, s.vn0 = s.ve, s.vn
	ve, vn := none(len(s.t)), none(len(s.t))
	j := 0
	for i := range s.t {
		at := s.t[i] + lag
		for j > 0 && s.t[j] > at {
			j--
		}
		for j+1 < len(s.t) && s.t[j+1] <= at {
			j++
		}
		if s.t[j] > at || s.section[j] != s.section[i] || !known(s.ve0[j]) {
			continue
		}
		if s.t[j] == at {
			ve[i], vn[i] = s.ve0[j], s.vn0[j]
			continue
		}
		ok := func(k int) bool {
			return k >= 0 && k < len(s.t) && s.section[k] == s.section[j] && known(s.ve0[k]) && math.Abs(s.t[k]-s.t[j]) < 2.6*s.dt
		}
		if !ok(j + 1) {
			continue
		}
		pts := []int{j, j + 1}
		if ok(j-1) && ok(j+2) {
			pts = []int{j - 1, j, j + 1, j + 2}
		}
		x, y := 0.0, 0.0
		for _, a := range pts {
			w := 1.0
			for _, b := range pts {
				if a != b {
					w *= (at - s.t[b]) / (s.t[a] - s.t[b])
				}
			}
			x += w * s.ve0[a]
			y += w * s.vn0[a]
		}
		ve[i], vn[i] = x, y
	}
	s.ve, s.vn = ve, vn
}

// unshift puts the velocities back where they were recorded.
func (s *scene) unshift() { s.ve, s.vn = s.ve0, s.vn0 }

// params is the model of one group of axes.
type params struct{ acc, accT, place, drift, driftT, rate float64 }

func (n Noise) horizontal() params {
	return params{n.AccSD, n.AccTime, n.Place, n.Drift, n.DriftTime, n.Speed}
}
func (n Noise) vertical() params {
	return params{n.UpAcc, n.AccTime, n.UpPlace, n.UpDrift, n.DriftTime, n.UpRate}
}

type cov [4][4]float64

// axes are one or two axes with the same noise and the same gains.
type axes struct {
	t       []float64
	section []int32
	z, v    [2][]float64 // positions and velocities; NaN when missing
	k       int
	busy    []float64 // factor on the acceleration's variance for the step into each sample; nil: 1
}

func (a *axes) factor(i int) float64 {
	if a.busy == nil {
		return 1
	}
	return a.busy[i]
}

// transition is the model over one step.
type transition struct {
	dt         float64
	c1, c2, fa float64 // a → p, a → v, a → a
	fb         float64
	q          [3][3]float64
	qb         float64
}

func (m *params) over(dt float64, tr *transition) {
	if tr.dt == dt {
		return
	}
	al := 1 / m.accT
	tr.dt = dt
	g := func(s float64) (c1, c2, f float64) {
		x := al * s
		f = math.Exp(-x)
		if x < 1e-3 {
			return s * s / 2 * (1 - x/3 + x*x/12), s * (1 - x/2 + x*x/6), f
		}
		c2 = (1 - f) / al
		return (s - c2) / al, c2, f
	}
	tr.c1, tr.c2, tr.fa = g(dt)
	tr.fb = math.Exp(-dt / m.driftT)
	tr.qb = m.drift * m.drift * (1 - tr.fb*tr.fb)
	q := 2 * m.acc * m.acc * al
	tr.q = [3][3]float64{}
	for i, x := range gl6x {
		s := dt * (1 + x) / 2
		a, b, c := g(s)
		w := gl6w[i] * dt / 2 * q
		tr.q[0][0] += w * a * a
		tr.q[0][1] += w * a * b
		tr.q[0][2] += w * a * c
		tr.q[1][1] += w * b * b
		tr.q[1][2] += w * b * c
		tr.q[2][2] += w * c * c
	}
	tr.q[1][0], tr.q[2][0], tr.q[2][1] = tr.q[0][1], tr.q[0][2], tr.q[1][2]
}

// six-point Gauss-Legendre
var gl6x = [6]float64{-0.932469514203152, -0.661209386466265, -0.238619186083197, 0.238619186083197, 0.661209386466265, 0.932469514203152}
var gl6w = [6]float64{0.171324492379170, 0.360761573048139, 0.467913934572691, 0.467913934572691, 0.360761573048139, 0.171324492379170}

func (tr *transition) state(x *[4]float64) [4]float64 {
	return [4]float64{x[0] + tr.dt*x[1] + tr.c1*x[2], x[1] + tr.c2*x[2], tr.fa * x[2], tr.fb * x[3]}
}

// fp is F·P.
func (tr *transition) fp(p *cov) (o cov) {
	for j := 0; j < 4; j++ {
		o[0][j] = p[0][j] + tr.dt*p[1][j] + tr.c1*p[2][j]
		o[1][j] = p[1][j] + tr.c2*p[2][j]
		o[2][j] = tr.fa * p[2][j]
		o[3][j] = tr.fb * p[3][j]
	}
	return
}

// covariance is F·P·Fᵀ + Q with the acceleration's part scaled by busy; fp
// is returned too (its transpose is P·Fᵀ).
func (tr *transition) covariance(p *cov, busy float64) (o, fp cov) {
	fp = tr.fp(p)
	for i := 0; i < 4; i++ {
		r := &fp[i]
		o[i][0] = r[0] + tr.dt*r[1] + tr.c1*r[2]
		o[i][1] = r[1] + tr.c2*r[2]
		o[i][2] = tr.fa * r[2]
		o[i][3] = tr.fb * r[3]
	}
	for i := 0; i < 3; i++ {
		for j := 0; j < 3; j++ {
			o[i][j] += busy * tr.q[i][j]
		}
	}
	o[3][3] += tr.qb
	return
}

// kept is a forward step kept for the way back.
type kept struct {
	x    [2][4]float64
	p    cov
	dt   float64 // to the next
	busy float64
}

// gate is how many standard deviations a measurement may be off before it
// loses weight.
const gate = 4.0

// filter is the running state.
type filter struct {
	m    *params
	k    int
	x    [2][4]float64
	p    cov
	tr   transition
	like float64
	soft int
}

func (f *filter) start(z, v [2]float64) {
	f.x = [2][4]float64{}
	f.p = cov{}
	f.p[0][0] = sq(f.m.place) + 1
	f.p[1][1] = 60 * 60
	f.p[2][2] = sq(f.m.acc)
	f.p[3][3] = sq(f.m.drift)
	for a := 0; a < f.k; a++ {
		if known(z[a]) {
			f.x[a][0] = z[a]
		} else {
			f.p[0][0] = 1e6
		}
	}
	f.tr.dt = -1
}

func (f *filter) predict(dt, busy float64) {
	f.m.over(dt, &f.tr)
	for a := 0; a < f.k; a++ {
		f.x[a] = f.tr.state(&f.x[a])
	}
	f.p, _ = f.tr.covariance(&f.p, busy)
}

// update takes one scalar measurement of every axis: y = h·x + noise(r).
func (f *filter) update(y *[2]float64, h *[4]float64, r float64) {
	var ph [4]float64
	s := r
	for i := 0; i < 4; i++ {
		ph[i] = f.p[i][0]*h[0] + f.p[i][1]*h[1] + f.p[i][2]*h[2] + f.p[i][3]*h[3]
	}
	for i := 0; i < 4; i++ {
		s += h[i] * ph[i]
	}
	var inn [2]float64
	d2 := 0.0
	for a := 0; a < f.k; a++ {
		x := &f.x[a]
		inn[a] = y[a] - (x[0]*h[0] + x[1]*h[1] + x[2]*h[2] + x[3]*h[3])
		d2 += inn[a] * inn[a]
	}
	d := math.Sqrt(d2 / s / float64(f.k))
	// beyond the gate the tail is exponential, and the weight falls with it
	if d > gate {
		f.like -= float64(f.k) * (0.5*math.Log(s) + gate*d - gate*gate/2)
		s *= d / gate
		f.soft++
	} else {
		f.like -= float64(f.k) * 0.5 * (math.Log(s) + d*d)
	}
	for a := 0; a < f.k; a++ {
		g := inn[a] / s
		for i := 0; i < 4; i++ {
			f.x[a][i] += ph[i] * g
		}
	}
	for i := 0; i < 4; i++ {
		for j := 0; j < 4; j++ {
			f.p[i][j] -= ph[i] * ph[j] / s
		}
	}
}

func sq(x float64) float64 { return x * x }

var hPlace, hRate = [4]float64{1, 0, 0, 1}, [4]float64{0, 1, 0, 0}

// measure takes the measurements of sample i.
func (f *filter) measure(a *axes, i int) {
	z := [2]float64{a.z[0][i]}
	v := [2]float64{a.v[0][i]}
	if a.k == 2 {
		z[1], v[1] = a.z[1][i], a.v[1][i]
	}
	if known(z[0]) && (a.k == 1 || known(z[1])) {
		f.update(&z, &hPlace, sq(f.m.place))
	}
	if known(v[0]) && (a.k == 1 || known(v[1])) {
		f.update(&v, &hRate, sq(f.m.rate))
	}
}

// block and overlap of the backward pass, samples; the overlap also spans at
// least 60 s, by when the gain of later samples has died away.
const block, overlap = 8192, 256

// run filters and smooths, giving every sample to out in order.
func (a *axes) run(m params, out func(i int, x *[2][4]float64, p *cov)) int {
	n := len(a.t)
	store := make([]kept, 0, block+overlap)
	soft := 0
	for from := 0; from < n; {
		to := from + 1
		for to < n && a.section[to] == a.section[from] {
			to++
		}
		f := &filter{m: &m, k: a.k}
		resume := from
		var entry kept // state before sample resume is measured... after predict
		first := true
		for resume < to {
			// forward over the block and its overlap
			end := min(resume+block, to)
			far := min(end+overlap, to)
			for far < to && a.t[far]-a.t[end-1] < 60 && far-end < 4*block {
				far++
			}
			store = store[:0]
			if first {
				z := [2]float64{a.z[0][resume], 0}
				if a.k == 2 {
					z[1] = a.z[1][resume]
				}
				f.start(z, [2]float64{})
			} else {
				f.x, f.p = entry.x, entry.p
				f.tr.dt = -1
			}
			for i := resume; i < far; i++ {
				if i > resume {
					f.predict(a.t[i]-a.t[i-1], a.factor(i))
				}
				if i == end {
					entry = kept{x: f.x, p: f.p}
					soft += f.soft
					f.soft = 0
				}
				f.measure(a, i)
				k := kept{x: f.x, p: f.p}
				if i+1 < far {
					k.dt, k.busy = a.t[i+1]-a.t[i], a.factor(i+1)
				}
				store = append(store, k)
			}
			if end == far {
				soft += f.soft
			}
			f.soft = 0
			// backward
			xs, ps := store[len(store)-1].x, store[len(store)-1].p
			tr := transition{dt: -1}
			for j := len(store) - 2; j >= 0; j-- {
				k := &store[j]
				m.over(k.dt, &tr)
				pp, fp := tr.covariance(&k.p, k.busy)
				inv, ok := invert(&pp)
				if !ok {
					xs, ps = k.x, k.p
					continue
				}
				// gain C = P Fᵀ pp⁻¹; fpᵀ is P Fᵀ
				var c cov
				for r := 0; r < 4; r++ {
					for q := 0; q < 4; q++ {
						c[r][q] = fp[0][r]*inv[0][q] + fp[1][r]*inv[1][q] + fp[2][r]*inv[2][q] + fp[3][r]*inv[3][q]
					}
				}
				for ax := 0; ax < a.k; ax++ {
					pr := tr.state(&k.x[ax])
					var d [4]float64
					for r := 0; r < 4; r++ {
						d[r] = xs[ax][r] - pr[r]
					}
					for r := 0; r < 4; r++ {
						k.x[ax][r] += c[r][0]*d[0] + c[r][1]*d[1] + c[r][2]*d[2] + c[r][3]*d[3]
					}
				}
				var dp, t cov
				for r := 0; r < 4; r++ {
					for q := 0; q < 4; q++ {
						dp[r][q] = ps[r][q] - pp[r][q]
					}
				}
				for r := 0; r < 4; r++ {
					for q := 0; q < 4; q++ {
						t[r][q] = c[r][0]*dp[0][q] + c[r][1]*dp[1][q] + c[r][2]*dp[2][q] + c[r][3]*dp[3][q]
					}
				}
				for r := 0; r < 4; r++ {
					for q := r; q < 4; q++ {
						k.p[r][q] += t[r][0]*c[q][0] + t[r][1]*c[q][1] + t[r][2]*c[q][2] + t[r][3]*c[q][3]
						k.p[q][r] = k.p[r][q]
					}
				}
				xs, ps = k.x, k.p
			}
			for i := resume; i < end; i++ {
				out(i, &store[i-resume].x, &store[i-resume].p)
			}
			resume = end
			first = false
		}
		from = to
	}
	return soft
}

// invert a symmetric positive 4×4 matrix by Cholesky, scaled by its diagonal.
func invert(a *cov) (cov, bool) {
	var sc [4]float64
	for i := range sc {
		if !(a[i][i] > 0) {
			return cov{}, false
		}
		sc[i] = 1 / math.Sqrt(a[i][i])
	}
	var l cov
	for i := 0; i < 4; i++ {
		for j := 0; j <= i; j++ {
			s := a[i][j] * sc[i] * sc[j]
			if i == j {
				s += 1e-14
			}
			for k := 0; k < j; k++ {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				if s <= 0 {
					return cov{}, false
				}
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	// inverse of l, then lᵀ⁻¹ l⁻¹
	var li cov
	for i := 0; i < 4; i++ {
		li[i][i] = 1 / l[i][i]
		for j := 0; j < i; j++ {
			s := 0.0
			for k := j; k < i; k++ {
				s -= l[i][k] * li[k][j]
			}
			li[i][j] = s / l[i][i]
		}
	}
	var o cov
	for i := 0; i < 4; i++ {
		for j := i; j < 4; j++ {
			s := 0.0
			for k := j; k < 4; k++ {
				s += li[k][i] * li[k][j]
			}
			o[i][j] = s * sc[i] * sc[j]
			o[j][i] = o[i][j]
		}
	}
	return o, true
}

// likelihood of the innovations over some stretches.
func (a *axes) likelihood(m params, stretches [][2]int) float64 {
	f := &filter{m: &m, k: a.k}
	total := 0.0
	for _, s := range stretches {
		begun := false
		warm := 0
		for i := s[0]; i < s[1]; i++ {
			if i > s[0] && a.section[i] != a.section[i-1] {
				begun = false
			}
			if !begun {
				z := [2]float64{a.z[0][i], 0}
				if a.k == 2 {
					z[1] = a.z[1][i]
				}
				if !known(z[0]) {
					continue
				}
				f.start(z, [2]float64{})
				begun, warm = true, 0
			} else {
				f.predict(a.t[i]-a.t[i-1], a.factor(i))
			}
			if warm++; warm <= 4 { // the start says nothing of the noise
				keep := f.like
				f.measure(a, i)
				f.like = keep
				continue
			}
			f.measure(a, i)
		}
	}
	total = f.like
	return total
}

// fit finds the noise numbers that make the log most likely, by a search
// along each in turn.
func fit(hz, up *axes, n Noise, doppler bool) Noise {
	var st [][2]int
	const each, most = 400, 5
	total := len(hz.t)
	if total <= each*most {
		st = [][2]int{{0, total}}
	} else {
		for k := 0; k < most; k++ {
			from := (total - each) * k / (most - 1)
			st = append(st, [2]int{from, from + each})
		}
	}
	prior := func(x, centre, width float64) float64 { return -0.5 * sq(math.Log(x/centre)/width) }
	type knob struct {
		p             *float64
		lo, hi, c, wd float64
	}
	search := func(knobs []knob, value func() float64) {
		score := func() float64 {
			v := value()
			for _, k := range knobs {
				v += prior(*k.p, k.c, k.wd)
			}
			return v
		}
		best := score()
		for _, factor := range []float64{2.5, 1.5, 1.2} {
			for round := 0; round < 3; round++ {
				moved := false
				for _, k := range knobs {
					for _, f := range []float64{factor, 1 / factor} {
						for {
							old := *k.p
							if x := old * f; x < k.lo || x > k.hi {
								break
							} else {
								*k.p = x
							}
							if s := score(); s > best+1e-6 {
								best, moved = s, true
							} else {
								*k.p = old
								break
							}
						}
					}
				}
				if !moved {
					break
				}
			}
		}
	}
	white := n.Place
	knobs := []knob{{&n.AccSD, 0.2, 120, 8, 1.2}, {&n.Place, 0.01, 15, white, 0.8}, {&n.Drift, 0.1, 8, 1.5, 0.5}}
	if doppler {
		knobs = append(knobs, knob{&n.Speed, 0.005, 3, n.Speed, 0.3})
	}
	search(knobs, func() float64 { return hz.likelihood(n.horizontal(), st) })
	if hasAny(up.z[0]) {
		ku := []knob{{&n.UpAcc, 0.1, 80, 4, 1.2}, {&n.UpPlace, 0.02, 15, 0.4, 0.8}, {&n.UpDrift, 0.1, 6, 1.2, 0.4}}
		if hasAny(up.v[0]) {
			ku = append(ku, knob{&n.UpRate, 0.02, 3, 0.3, 0.8})
		}
		search(ku, func() float64 { return up.likelihood(n.vertical(), st) })
	}
	n.Method = fmt.Sprintf("Kalman filter with backward pass; acceleration %.2g m/s² over %.2g s, positions %.2g m white and %.2g m slow over %.0f s", n.AccSD, n.AccTime, n.Place, n.Drift, n.DriftTime)
	if doppler {
		n.Method += fmt.Sprintf(", measured velocity %.2g m/s white", n.Speed)
		if n.Latency != 0 {
			n.Method += fmt.Sprintf(" and %.2g s late", n.Latency)
		}
	}
	return n
}

func hasAny(v []float64) bool {
	for _, x := range v {
		if known(x) {
			return true
		}
	}
	return false
}
