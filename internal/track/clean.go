package track

import (
	"fmt"
	"math"
	"slices"

	"fledge/internal/diag"
	"fledge/internal/geo"
)

// Limits of what an aeroplane of this class can do; common practice, no
// source: 30 m/s² along its path, 150 m/s² across it (turns of fifteen g),
// 60 m/s up or down beyond which a height is not believed.
const (
	alongMost  = 30.0
	acrossMost = 150.0
	climbMost  = 90.0
	speedMost  = 300.0
	spikeLast  = 0.5 // s: what lasts longer is a step, not a spike
)

// scene is a log laid out in its local frame, with what was found false
// turned into NaN.
type scene struct {
	log     *Log
	frame   geo.Frame
	t       []float64
	e, n, u []float64 // positions, m
	ve, vn  []float64 // measured ground velocity, m/s
	ve0     []float64 // the same as recorded, when a delay was taken out
	vn0     []float64
	speed   []float64 // measured ground speed
	climb   []float64
	section []int32
	dt      float64 // median step, s
	white   float64 // guessed white noise of positions, m
	flagged []bool  // counted as dropped already: a record is counted once
	hSource string  // where u comes from
	h0      float64 // the height that is zero
}

// lay puts a log into its local frame. Heights are relative to the first one.
func lay(l *Log) *scene {
	n := len(l.Fixes)
	s := &scene{log: l, dt: medianStep(l.Fixes)}
	for _, p := range []*[]float64{&s.t, &s.e, &s.n, &s.u, &s.ve, &s.vn, &s.speed, &s.climb} {
		*p = make([]float64, n)
	}
	s.section = make([]int32, n)
	s.flagged = make([]bool, n)
	origin := geo.Point{Lat: nan}
	press, gnss := 0, 0
	pLo, pHi := math.Inf(1), math.Inf(-1)
	for i := range l.Fixes {
		f := &l.Fixes[i]
		if math.IsNaN(origin.Lat) && f.hasPlace() {
			h := f.Height
			if !known(h) {
				h = 0
			}
			origin = geo.Point{Lat: f.Lat, Lon: f.Lon, Height: h}
		}
		if known(f.PressureHeight) {
			press++
			pLo, pHi = math.Min(pLo, f.PressureHeight), math.Max(pHi, f.PressureHeight)
		}
		if known(f.Height) {
			gnss++
		}
	}
	if math.IsNaN(origin.Lat) {
		origin = geo.Point{}
	}
	s.frame = geo.NewFrame(origin)
	usePress := press > n/2 && pHi > pLo
	s.hSource = "satellite height"
	if usePress {
		s.hSource = "pressure height"
	}
	if !usePress && gnss == 0 {
		s.hSource = ""
	}
	h0 := nan
	for i := range l.Fixes {
		f := &l.Fixes[i]
		s.t[i], s.section[i] = f.T, f.Section
		s.e[i], s.n[i] = nan, nan
		if f.hasPlace() {
			g := s.frame.Ground(geo.Point{Lat: f.Lat, Lon: f.Lon, Height: origin.Height})
			s.e[i], s.n[i] = g[0], g[1]
		}
		h := f.Height
		if usePress {
			h = f.PressureHeight
		}
		if known(h) && !known(h0) {
			h0 = h
		}
		s.u[i] = h - h0
		s.h0 = h0
		s.speed[i], s.climb[i] = f.Speed, f.Climb
		s.ve[i], s.vn[i] = nan, nan
		if known(f.Speed) && known(f.Course) {
			sn, cs := math.Sincos(f.Course)
			s.ve[i], s.vn[i] = f.Speed*sn, f.Speed*cs
		}
	}
	return s
}

// clean finds repeats, spikes and jumps and takes them out, counting each.
func (s *scene) clean() {
	s.repeats()
	s.white = s.whiteNoise()
	s.speedSpikes()
	s.jumps()
	s.crossCheck()
	s.heights()
}

// repeats drops positions that stand still while the aeroplane moves: a
// slower receiver written at a faster rate.
func (s *scene) repeats() {
	last := -1
	for i := range s.t {
		if !known(s.e[i]) {
			continue
		}
		if last >= 0 && s.section[i] == s.section[last] && s.e[i] == s.e[last] && s.n[i] == s.n[last] {
			moving := known(s.speed[i]) && s.speed[i] > 2
			if !known(s.speed[i]) { // does it move before and after?
				j := i + 1
				for j < len(s.t) && j < i+50 && (!known(s.e[j]) || (s.e[j] == s.e[i] && s.n[j] == s.n[i])) {
					j++
				}
				if j < len(s.t) && j < i+50 && known(s.e[j]) {
					moving = math.Hypot(s.e[j]-s.e[last], s.n[j]-s.n[last])/(s.t[j]-s.t[last]) > 3
				}
			}
			if moving {
				same := !known(s.speed[i]) || (s.speed[i] == s.log.Fixes[last].Speed && (s.ve[i] == s.ve[last] || !known(s.ve[i])))
				s.log.drop(Repeated, int(s.log.Fixes[i].Line), "")
				s.e[i], s.n[i] = nan, nan
				if same {
					s.ve[i], s.vn[i], s.speed[i] = nan, nan, nan
				}
				continue
			}
		}
		last = i
	}
}

// whiteNoise guesses the independent part of the position error from third
// differences, whose standard deviation is √20 of it; manoeuvres add, so the
// median is taken.
func (s *scene) whiteNoise() float64 {
	var d []float64
	idx := make([]int, 0, 4)
	stride := 1 + len(s.t)/40000
	for i := 0; i < len(s.t); i++ {
		if !known(s.e[i]) {
			continue
		}
		if len(idx) > 0 && (s.section[i] != s.section[idx[0]] || s.t[i]-s.t[idx[len(idx)-1]] > 1.5*s.dt) {
			idx = idx[:0]
		}
		idx = append(idx, i)
		if len(idx) == 4 {
			a, b, c, e := idx[0], idx[1], idx[2], idx[3]
			d = append(d, math.Abs(s.e[e]-3*s.e[c]+3*s.e[b]-s.e[a]), math.Abs(s.n[e]-3*s.n[c]+3*s.n[b]-s.n[a]))
			copy(idx, idx[1:])
			idx = idx[:3]
			if stride > 1 {
				idx = idx[:0]
				i += stride
			}
		}
	}
	if len(d) < 8 {
		return 1
	}
	return math.Max(0.1, math.Min(5, 1.4826*median(d)/math.Sqrt(20)))
}

// speedSpikes rejects measured speeds that need more than the possible
// acceleration to reach and to leave, and are gone within half a second (or
// one sample). Source of the rule: evidence notes, section 3.
func (s *scene) speedSpikes() {
	const sigma = 0.25
	last := -1
	for i := 0; i < len(s.t); i++ {
		if !known(s.speed[i]) {
			continue
		}
		if s.speed[i] > speedMost {
			s.badSpeed(i)
			continue
		}
		if last < 0 || s.section[last] != s.section[i] {
			// the first of a section: judged by the two after it
			if j := s.nextSpeed(i); j > 0 {
				if k := s.nextSpeed(j); k > 0 && s.tooFast(i, j, sigma) && s.tooFast(i, k, sigma) && !s.tooFast(j, k, sigma) {
					s.badSpeed(i)
					continue
				}
			}
			last = i
			continue
		}
		if !s.tooFast(last, i, sigma) {
			last = i
			continue
		}
		// where does it agree again?
		back := -1
		for j := s.nextSpeed(i); j > 0; j = s.nextSpeed(j) {
			if !s.tooFast(last, j, sigma) {
				back = j
				break
			}
			if s.t[j]-s.t[i] > spikeLast {
				break
			}
		}
		if back > 0 && (s.t[back]-s.t[i] <= spikeLast || s.nextSpeed(i) == back) {
			for k := i; k < back; k++ {
				if known(s.speed[k]) {
					s.badSpeed(k)
				}
			}
			last = back
			i = back
			continue
		}
		last = i
	}
}

// count counts a record as dropped, once.
func (s *scene) count(i int, r Reason) {
	if !s.flagged[i] {
		s.flagged[i] = true
		s.log.drop(r, int(s.log.Fixes[i].Line), "")
	}
}

func (s *scene) badSpeed(i int) {
	s.count(i, SpeedSpike)
	s.speed[i], s.ve[i], s.vn[i] = nan, nan, nan
}

// nextSpeed is the next sample of the same section with a speed; −1 none.
func (s *scene) nextSpeed(i int) int {
	for j := i + 1; j < len(s.t) && s.section[j] == s.section[i]; j++ {
		if known(s.speed[j]) {
			return j
		}
	}
	return -1
}

// tooFast: no aeroplane gets from the one velocity to the other in the time.
func (s *scene) tooFast(i, j int, sigma float64) bool {
	dt := math.Abs(s.t[j] - s.t[i])
	if math.Abs(s.speed[j]-s.speed[i]) > alongMost*dt+4*math.Sqrt2*sigma {
		return true
	}
	if known(s.ve[i]) && known(s.ve[j]) {
		return math.Hypot(s.ve[j]-s.ve[i], s.vn[j]-s.vn[i]) > acrossMost*dt+4*math.Sqrt2*sigma+2
	}
	return false
}

// jumps rejects single false positions, and parts the path where the
// position jumps and stays.
func (s *scene) jumps() {
	n := len(s.t)
	// indices of good positions, walked with two before and one after
	idx := make([]int, 0, n)
	for i := range s.t {
		if known(s.e[i]) {
			idx = append(idx, i)
		}
	}
	step := func(a, b int) (float64, float64) {
		dt := s.t[b] - s.t[a]
		return math.Hypot(s.e[b]-s.e[a], s.n[b]-s.n[a]) / dt, dt
	}
	impossible := func(v, dt, near, ndt float64) bool {
		su := s.white * math.Sqrt2 * math.Sqrt(1/(dt*dt)+1/(ndt*ndt))
		return v > near+alongMost*(dt+ndt)/2+4*su+2
	}
	cut := make(map[int]bool)
	good := idx[:0:0] // the positions kept so far; the last of them is a
	for k := 0; k < len(idx); {
		b := idx[k]
		m := len(good)
		if m == 0 || s.section[good[m-1]] != s.section[b] {
			good = append(good, b)
			k++
			continue
		}
		a := good[m-1]
		before := m >= 2 && s.section[good[m-2]] == s.section[a] && !cut[a]
		after := k+1 < len(idx) && s.section[idx[k+1]] == s.section[b]
		v, dt := step(a, b)
		// the speed this step should have: the steps beside it and the receiver's own
		near, ndt := math.Inf(-1), dt
		if before {
			near, ndt = step(good[m-2], a)
		}
		if after {
			// past b, or past the bad point b
			w, d := step(b, idx[k+1])
			if w2, d2 := step(a, idx[k+1]); w2 < w {
				w, d = w2, d2
			}
			if math.IsInf(near, -1) || w > near {
				near, ndt = w, d
			}
		}
		if known(s.speed[a]) || known(s.speed[b]) {
			near, ndt = math.Max(orZero(s.speed[a]), orZero(s.speed[b])), dt
		}
		if math.IsInf(near, -1) || !impossible(v, dt, near, ndt) {
			good = append(good, b)
			k++
			continue
		}
		// the false point may be a, the one before: it fell short, then jumped
		if before {
			w, d := step(good[m-2], b)
			if back, _ := step(good[m-2], a); !impossible(w, d, near, ndt) && math.Abs(w-near) < math.Abs(back-near) {
				mended := true // and b goes on well from there
				if after {
					next, nd := step(b, idx[k+1])
					mended = !impossible(next, nd, w, d)
				}
				if mended {
					s.badPlace(a)
					good = good[:m-1]
					continue
				}
			}
		}
		if !after { // the last of its section
			s.badPlace(b)
			k++
			continue
		}
		// a single false point, b, when leaving it out mends the path
		w, d := step(a, idx[k+1])
		if on, _ := step(b, idx[k+1]); !impossible(w, d, near, ndt) && on > near {
			s.badPlace(b)
			k++
			continue
		}
		// a short burst of false points
		burst := -1
		for j := k + 1; j < len(idx) && j < k+100 && s.section[idx[j]] == s.section[a] && s.t[idx[j]]-s.t[b] <= spikeLast; j++ {
			if w, d := step(a, idx[j]); !impossible(w, d, near, ndt) {
				burst = j
				break
			}
		}
		if burst > 0 {
			for ; k < burst; k++ {
				s.badPlace(idx[k])
			}
			continue
		}
		cut[b] = true
		good = append(good, b)
		k++
	}
	idx = good
	s.kinks(idx, cut)
	if len(cut) == 0 {
		return
	}
	// part the sections at the jumps, and drop a fix left alone
	old := slices.Clone(s.section)
	var cur int32
	for i := range s.section {
		if i > 0 && (old[i] != old[i-1] || cut[i]) {
			cur++
		}
		if cut[i] {
			s.log.note(diag.Note, "position-jump", int(s.log.Fixes[i].Line), fmt.Sprintf("the position jumps at %.1f s; the path is parted there", s.t[i]), "")
		}
		s.section[i] = cur
	}
	alone := func(i int, before, after bool) bool {
		far := math.Max(10, 2.5*s.dt)
		if i > 0 && old[i-1] == old[i] && before && s.t[i]-s.t[i-1] <= far {
			return false
		}
		return i+1 >= n || !after || old[i+1] != old[i] || s.t[i+1]-s.t[i] > far
	}
	for i := range s.section {
		after := i+1 < n && cut[i+1] // a jump follows
		if (cut[i] || after) && known(s.e[i]) && alone(i, !cut[i], !after) {
			s.count(i, Lone)
			s.e[i], s.n[i], s.ve[i], s.vn[i], s.speed[i] = nan, nan, nan, nan, nan
		}
	}
}

// kinks finds false positions that the acceleration limit of an aeroplane
// lets pass in a slower thing's log, or by sideways: each position is held
// against the middle of its neighbours. One false point leaves −½, 1, −½ of
// its error in three such residuals, a jump ∓½ in two; a turn leaves a row of
// residuals of one direction, whatever their size.
func (s *scene) kinks(idx []int, cut map[int]bool) {
	n := len(idx)
	if n < 8 {
		return
	}
	re, rn := make([]float64, n), make([]float64, n)
	var size []float64
	for k := 1; k+1 < n; k++ {
		a, b, c := idx[k-1], idx[k], idx[k+1]
		re[k], rn[k] = nan, nan
		if s.section[a] != s.section[c] || cut[b] || cut[c] {
			continue
		}
		h := s.t[c] - s.t[a]
		f := (s.t[b] - s.t[a]) / h
		if f < 0.25 || f > 0.75 || h > 6*s.dt {
			continue
		}
		re[k] = s.e[b] - s.e[a] - f*(s.e[c]-s.e[a])
		rn[k] = s.n[b] - s.n[a] - f*(s.n[c]-s.n[a])
		size = append(size, math.Hypot(re[k], rn[k]))
	}
	re[0], rn[0], re[n-1], rn[n-1] = nan, nan, nan, nan
	if len(size) < 6 {
		return
	}
	m := median(size)
	far := math.Max(5, 10*m)
	for k := 2; k+2 < n; k++ {
		r := re[k]*re[k] + rn[k]*rn[k]
		if !(r > far*far) {
			continue
		}
		before := (re[k-1]*re[k] + rn[k-1]*rn[k]) / r
		after := (re[k+1]*re[k] + rn[k+1]*rn[k]) / r
		switch {
		case before < -0.3 && before > -0.75 && after < -0.3 && after > -0.75:
			s.badPlace(idx[k])
			re[k+1], rn[k+1] = nan, nan
		case after < -0.8 && after > -1.25 && math.Abs(before) < 0.2 && k+3 < n:
			next := (re[k+2]*re[k] + rn[k+2]*rn[k]) / r
			if math.Abs(next) < 0.2 && r > 2.25*far*far {
				cut[idx[k+1]] = true
			}
		}
	}
}

func (s *scene) badPlace(i int) {
	s.count(i, PosSpike)
	s.e[i], s.n[i] = nan, nan
}

func orZero(x float64) float64 {
	if known(x) {
		return x
	}
	return 0
}

// crossCheck rejects a measured speed that both position steps beside it
// contradict while they agree with each other: what the acceleration limit
// cannot see in a slow log.
func (s *scene) crossCheck() {
	if s.dt < 0.4 {
		return
	}
	for i := 1; i+1 < len(s.t); i++ {
		if !known(s.speed[i]) || s.section[i-1] != s.section[i] || s.section[i+1] != s.section[i] {
			continue
		}
		if !known(s.e[i-1]) || !known(s.e[i]) || !known(s.e[i+1]) || s.t[i+1]-s.t[i-1] > 4 {
			continue
		}
		a := math.Hypot(s.e[i]-s.e[i-1], s.n[i]-s.n[i-1]) / (s.t[i] - s.t[i-1])
		b := math.Hypot(s.e[i+1]-s.e[i], s.n[i+1]-s.n[i]) / (s.t[i+1] - s.t[i])
		top := math.Max(a, b) + math.Max(8, 0.25*math.Max(a, b)) + math.Abs(a-b)
		neighbours := math.Max(orZero(s.speed[i-1]), orZero(s.speed[i+1]))
		if s.speed[i] > top && s.speed[i] > neighbours+8 && known(s.speed[i-1]) && known(s.speed[i+1]) {
			s.badSpeed(i)
		}
	}
}

// heights rejects single heights no climb or dive can reach and leave.
func (s *scene) heights() {
	last := -1
	for i := range s.t {
		if !known(s.u[i]) {
			continue
		}
		if last >= 0 && s.section[last] == s.section[i] {
			lim := climbMost*(s.t[i]-s.t[last]) + 8
			if math.Abs(s.u[i]-s.u[last]) > lim {
				j := i + 1
				for j < len(s.t) && !known(s.u[j]) {
					j++
				}
				if j < len(s.t) && s.section[j] == s.section[i] && math.Abs(s.u[j]-s.u[last]) <= climbMost*(s.t[j]-s.t[last])+8 {
					s.count(i, HeightSpike)
					s.u[i] = nan
					continue
				}
			}
		}
		last = i
	}
}
