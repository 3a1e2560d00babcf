package evidence

import (
	"fmt"
	"math"

	"fledge/internal/track"
)

// The gates of level flight. Source: evidence notes, section 8, point 4; for
// slow aeroplanes the limits fall with the speed (our choice: a path of a
// degree and a half).
const (
	levelClimb  = 2.0   // |dh/dt|, m/s, at most; and 0.3 + 0.025 V
	levelPower  = 3.0   // |specific excess power|, m/s, at most; and 0.5 + 0.035 V
	straightAcc = 5.0   // sideways, m/s²: half a g
	slowestLog  = 2.5   // s between samples beyond which a level run cannot be told from a swoop
	baseLength  = 200   // m, the sporting code's base for radio control
	entryLength = 100   // m, its entry
	pairWithin  = 1800  // s
	dopplerBias = 0.015 // m/s that does not average out; our choice within the centimetres a second of static tests
)

// flight is a path with its wind, airspeed and energy.
type flight struct {
	p       *track.Path
	s       []track.Sample
	wind    WindFit
	windows []WindFit
	windy   bool // the wind is known
	refused string
	driven  bool      // something on the ground, see driven
	air     []float64 // airspeed, m/s; ground speed when the wind is unknown
	energy  []float64 // energy height, m; NaN without heights
	dist    []float64 // along the ground, m
	ground  float64   // height of the ground in the path's frame; NaN unknown
	side    []float64 // sideways acceleration, m/s²
	flying  []bool
	speed   []float64 // over the ground
	q       sums
}

func newFlight(p *track.Path, ground float64) *flight {
	f := &flight{p: p, s: p.Samples, ground: ground}
	f.driven = driven(p)
	f.wind, f.windows, f.refused = winds(p)
	if f.driven {
		f.refused = onTheGround
	}
	f.windy = f.refused == ""
	n := len(f.s)
	f.speed = make([]float64, n)
	f.air, f.energy, f.dist, f.side, f.flying = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]bool, n)
	for i := range f.s {
		s := &f.s[i]
		v := s.Speed()
		f.speed[i] = v
		up := s.Vel[2]
		if !known(up) {
			up = 0
		}
		if f.windy {
			w := windAt(s.T, f.wind, f.windows)
			v = math.Sqrt(sq(s.Vel[0]-w.East) + sq(s.Vel[1]-w.North) + up*up)
		} else {
			v = math.Hypot(v, up)
		}
		f.air[i] = v
		f.energy[i] = EnergyHeight(s.Pos[2], v)
		if i > 0 && f.s[i-1].Section == s.Section {
			dt := s.T - f.s[i-1].T
			f.dist[i] = f.dist[i-1] + dt*(s.Speed()+f.s[i-1].Speed())/2
		} else if i > 0 {
			f.dist[i] = f.dist[i-1]
		}
	}
	for i := range f.s {
		f.side[i] = f.sideways(i)
	}
	f.total()
	// still at the start: that is the ground
	if !known(f.ground) && n > 3 {
		k, sum := 0, 0.0
		for i := 0; i < n && f.s[i].T-f.s[0].T < 60; i++ {
			if f.s[i].Speed() > 3 || !known(f.s[i].Pos[2]) {
				break
			}
			sum += f.s[i].Pos[2]
			k++
		}
		if k >= 3 {
			f.ground = sum / float64(k)
		}
	}
	top := 0.0
	for i := range f.s {
		if f.s[i].SpeedSD < 3 {
			top = math.Max(top, f.s[i].Speed())
		}
	}
	slow := math.Max(4, 0.15*top)
	for i := range f.s {
		f.flying[i] = f.speed[i] > slow
	}
	f.aloft()
	return f
}

// aloft counts as flying what is slow over the ground but still well above the
// place where it comes to rest, and the stop that follows: an approach into the
// wind is slower than a fast aeroplane's taxiing. Only where heights are known
// and a rest follows in the same stretch of the record.
func (f *flight) aloft() {
	if f.p.Heights == "" || f.driven {
		return
	}
	const rest = 2.5 // m/s
	above := math.Max(1.5, 2*f.p.Noise.UpPlace)
	for i := 1; i < len(f.s); i++ {
		if f.flying[i] || !f.flying[i-1] || f.s[i].Section != f.s[i-1].Section {
			continue
		}
		end, k := i, -1 // of the slow stretch; where it rests
		for ; end < len(f.s) && !f.flying[end] && f.s[end].Section == f.s[i].Section; end++ {
			if k < 0 && f.speed[end] < rest {
				k = end
			} else if k >= 0 && f.speed[end] >= rest && f.s[end].T-f.s[k].T < 2 {
				k = -1
			}
		}
		if k < 0 || f.s[end-1].T-f.s[k].T < 2 {
			i = end - 1
			continue
		}
		sum, m := 0.0, 0.0
		for j := k; j < end && f.s[j].T-f.s[k].T < 5; j++ {
			if known(f.s[j].Pos[2]) {
				sum, m = sum+f.s[j].Pos[2], m+1
			}
		}
		j := i
		for j < k && m > 0 && f.s[j].Pos[2]-sum/m > above {
			f.flying[j] = true
			j++
		}
		if j > i {
			for v := f.speed[j]; j < k && f.speed[j] > math.Max(rest, v/2); j++ {
				f.flying[j] = true
			}
		}
		i = end - 1
	}
}

// sideways is the acceleration across the ground track over a second or so.
func (f *flight) sideways(i int) float64 {
	a, b := i, i
	for a > 0 && f.s[a-1].Section == f.s[i].Section && f.s[i].T-f.s[a].T < 0.45 {
		a--
	}
	for b+1 < len(f.s) && f.s[b+1].Section == f.s[i].Section && f.s[b].T-f.s[i].T < 0.45 {
		b++
	}
	dt := f.s[b].T - f.s[a].T
	v := f.s[i].Speed()
	if dt <= 0 || v < 0.5 {
		return 0
	}
	de, dn := f.s[b].Vel[0]-f.s[a].Vel[0], f.s[b].Vel[1]-f.s[a].Vel[1]
	x := math.Abs(f.s[i].Vel[0]*dn-f.s[i].Vel[1]*de) / v / dt
	noise := math.Sqrt2 * f.s[i].SpeedSD / dt
	return math.Max(0, x-2*math.Min(noise, 2))
}

// Window is a stretch of a flight and what it was like.
type Window struct {
	T0         float64 `json:"from_s"`
	T1         float64 `json:"to_s"`
	Ground     float64 `json:"ground_speed_m_s"`
	Air        float64 `json:"airspeed_m_s"`
	Climb      float64 `json:"climb_m_s"`
	Excess     float64 `json:"excess_power_m_s"`
	Height     float64 `json:"height_m"` // mean, above the ground when that is known, else above the first fix
	CourseDeg  float64 `json:"course_deg"`
	Length     float64 `json:"length_m"`
	MostSide   float64 `json:"side_acceleration_m_s2"`
	Throttle   float64 `json:"-"` // mean; NaN unknown
	groundSD   float64
	gustSD     float64
	airSD      float64
	i0, i1     int
	climbSD    float64
	excessSD   float64
	accelerate float64 // along, m/s²
	In         Spans   `json:"interval,omitempty"`
}

// sums are running totals over the samples, so that a window costs the same
// whatever its length.
type sums struct {
	t, tt, h, th, e, te []float64 // for least squares on time
	ve, vn, air, ground []float64 // integrals over time, by the trapezium
	used, thr, thrN     []float64
}

func (f *flight) total() {
	n := len(f.s) + 1
	q := &f.q
	for _, p := range []*[]float64{&q.t, &q.tt, &q.h, &q.th, &q.e, &q.te, &q.used, &q.thr, &q.thrN} {
		*p = make([]float64, n)
	}
	for _, p := range []*[]float64{&q.ve, &q.vn, &q.air, &q.ground} {
		*p = make([]float64, n-1)
	}
	for i := range f.s {
		s := &f.s[i]
		h, e := s.Pos[2], f.energy[i]
		if f.p.Heights == "" {
			h, e = 0, 0
		}
		q.t[i+1] = q.t[i] + s.T
		q.tt[i+1] = q.tt[i] + s.T*s.T
		q.h[i+1] = q.h[i] + h
		q.th[i+1] = q.th[i] + s.T*h
		q.e[i+1] = q.e[i] + e
		q.te[i+1] = q.te[i] + s.T*e
		q.used[i+1] = q.used[i] + b2f(s.Used)
		q.thr[i+1], q.thrN[i+1] = q.thr[i], q.thrN[i]
		if x := f.p.Log.Fixes[s.Fix].Throttle; known(x) {
			q.thr[i+1] += x
			q.thrN[i+1]++
		}
		if i > 0 {
			p := &f.s[i-1]
			dt := (s.T - p.T) / 2
			q.ve[i] = q.ve[i-1] + dt*(s.Vel[0]+p.Vel[0])
			q.vn[i] = q.vn[i-1] + dt*(s.Vel[1]+p.Vel[1])
			q.air[i] = q.air[i-1] + dt*(f.air[i]+f.air[i-1])
			q.ground[i] = q.ground[i-1] + dt*(f.speed[i]+f.speed[i-1])
		}
	}
}

// look measures the samples i0..i1 (both included).
func (f *flight) look(i0, i1 int) Window {
	w := f.glance(i0, i1)
	for i := i0; i <= i1; i++ {
		w.MostSide = math.Max(w.MostSide, f.side[i])
	}
	return w
}

// glance is look without the largest sideways acceleration, at a cost that
// does not grow with the window.
func (f *flight) glance(i0, i1 int) Window {
	w := Window{i0: i0, i1: i1, T0: f.s[i0].T, T1: f.s[i1].T, Throttle: math.NaN()}
	n := float64(i1 - i0 + 1)
	T := w.T1 - w.T0
	q := &f.q
	of := func(x []float64) float64 { return x[i1+1] - x[i0] }
	tm := (w.T0 + w.T1) / 2
	used := int(of(q.used))
	ve, vn, sa, sg := q.ve[i1]-q.ve[i0], q.vn[i1]-q.vn[i0], q.air[i1]-q.air[i0], q.ground[i1]-q.ground[i0]
	if T == 0 {
		T = 1
		ve, vn, sa, sg = f.s[i0].Vel[0], f.s[i0].Vel[1], f.air[i0], f.speed[i0]
	}
	w.Ground, w.Air = sg/T, sa/T
	w.Length = sg
	// sums about the window's middle
	st := of(q.t) - n*tm
	stt := of(q.tt) - 2*tm*of(q.t) + n*tm*tm
	sh, se := of(q.h), of(q.e)
	sth, ste := of(q.th)-tm*sh, of(q.te)-tm*se
	nt := of(q.thrN)
	thr := of(q.thr)
	den := stt - st*st/n
	w.Climb, w.Excess = math.NaN(), math.NaN()
	if den > 1e-9 && f.p.Heights != "" {
		w.Climb = (sth - st*sh/n) / den
		w.Excess = (ste - st*se/n) / den
	}
	w.Height = sh / n
	if f.p.Heights == "" {
		w.Height = math.NaN()
	} else if known(f.ground) {
		w.Height -= f.ground
	}
	w.CourseDeg = math.Mod(math.Atan2(ve, vn)*180/math.Pi+360, 360)
	if nt > 0 {
		w.Throttle = thr / nt
	}
	w.groundSD = f.meanSD(used, w.T1-w.T0)
	w.accelerate = (f.air[i1] - f.air[i0]) / T
	w.groundSD = math.Hypot(w.groundSD, f.p.Noise.LatencySD*math.Abs(w.accelerate)*b2f(f.p.Doppler))
	hn := f.p.Noise.UpPlace
	if den > 0 {
		// white heights, and the slow error over the window
		w.climbSD = math.Sqrt(hn*hn/math.Max(den, 1e-9) + 2*sq(f.p.Noise.UpDrift)*(1-math.Exp(-T/f.p.Noise.DriftTime))/(T*T))
		w.excessSD = math.Hypot(w.climbSD, w.Air/Gravity*f.p.Noise.Speed/math.Sqrt(den))
	}
	w.airSD = w.groundSD
	if f.windy {
		wf := windAt(tm, f.wind, f.windows)
		h := math.Hypot(ve/T-wf.East, vn/T-wf.North)
		if h > 0 {
			u := wf.along((ve/T-wf.East)/h, (vn/T-wf.North)/h)
			w.gustSD = f.gust(w.T1 - w.T0)
			w.airSD = math.Sqrt(sq(w.groundSD) + u*u + sq(w.gustSD))
		}
	}
	return w
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// gust is the standard deviation of the wind's mean over a stretch about the
// flight's mean wind.
func (f *flight) gust(length float64) float64 {
	g := f.wind.Gust
	if !known(g) {
		return 0.5
	}
	return g * math.Sqrt(3/math.Max(3, length))
}

// meanSD is the doubt of a mean ground speed over n samples and a time: the
// receiver's velocities averaged, joined with the positions at the ends.
func (f *flight) meanSD(n int, T float64) float64 {
	nz := f.p.Noise
	T = math.Max(T, f.p.Step)
	byPlace := math.Sqrt(2*sq(nz.Place)+2*sq(nz.Drift)*(1-math.Exp(-T/nz.DriftTime))) / T
	if !f.p.Placed {
		byPlace = math.Inf(1)
	}
	if !f.p.Doppler {
		return math.Hypot(byPlace, 0.02)
	}
	byDoppler := nz.Speed / math.Sqrt(math.Max(1, float64(n)))
	return math.Hypot(1/math.Sqrt(1/sq(byDoppler)+1/sq(byPlace)), dopplerBias)
}

// notLevel says why a window is not level flight; "" when it is.
func (w *Window) notLevel(heights bool) string {
	climb, power := math.Min(levelClimb, 0.3+0.025*w.Air), math.Min(levelPower, 0.5+0.035*w.Air)
	switch {
	case !heights || !known(w.Climb):
		return "the log has no height"
	case w.climbSD > levelClimb:
		return fmt.Sprintf("heights are too coarse to tell level from a dive (±%.1f m/s)", w.climbSD)
	case w.Climb <= -climb:
		return fmt.Sprintf("descending at %.1f m/s", -w.Climb)
	case w.Climb >= climb:
		return fmt.Sprintf("climbing at %.1f m/s", w.Climb)
	case w.Excess <= -power:
		return fmt.Sprintf("losing %.1f m of energy height a second: decaying from a dive or the throttle is back", -w.Excess)
	case w.Excess >= power:
		return fmt.Sprintf("still accelerating: energy height grows by %.1f m/s", w.Excess)
	}
	return ""
}

// broken reports a hole in the record inside i0..i1.
func (f *flight) broken(i0, i1 int) bool {
	if i1 <= i0 {
		return false
	}
	lim := math.Max(1, 3.5*f.p.Step)
	for i := i0 + 1; i <= i1; i++ {
		if f.s[i].Section != f.s[i0].Section || f.s[i].T-f.s[i-1].T > lim {
			return true
		}
	}
	return false
}

// straights finds the straight stretches of flight, at least 1.5 s and 60 m.
func (f *flight) straights() [][2]int {
	var out [][2]int
	n := len(f.s)
	lim := math.Max(1, 3.5*f.p.Step)
	for i := 0; i < n; {
		if !f.flying[i] || f.side[i] > straightAcc {
			i++
			continue
		}
		j := i
		for j+1 < n && f.flying[j+1] && f.side[j+1] <= straightAcc && f.s[j+1].Section == f.s[i].Section && f.s[j+1].T-f.s[j].T <= lim {
			j++
		}
		if f.s[j].T-f.s[i].T >= 1.5 && f.dist[j]-f.dist[i] >= 60 && j-i >= 3 {
			out = append(out, f.parts(i, j)...)
		}
		i = j + 1
	}
	return out
}

// parts cuts a stretch where its course has wandered by more than 25° from
// its start: a wide loiter is not a run.
func (f *flight) parts(i, j int) [][2]int {
	var out [][2]int
	from := i
	for k := i + 1; k <= j; k++ {
		d := math.Abs(math.Remainder(f.s[k].Course()-f.s[from].Course(), 2*math.Pi))
		if d > 25*math.Pi/180 {
			if f.s[k-1].T-f.s[from].T >= 1.5 && k-1-from >= 3 {
				out = append(out, [2]int{from, k - 1})
			}
			from = k
		}
	}
	if f.s[j].T-f.s[from].T >= 1.5 && j-from >= 3 {
		out = append(out, [2]int{from, j})
	}
	return out
}

// best finds the best sustained airspeed over a window of the given length
// that passes the gates. straight: only within straight stretches.
//
// n is how many disjoint windows could as well have been the best, scatter
// (m/s) how far those lie apart: what picking the best adds is no more than
// that, whatever the doubt of one (NaN with fewer than three).
func (f *flight) best(length float64, straight bool, airspeed bool) (best Window, n int, scatter float64, why string) {
	var ranges [][2]int
	if straight {
		ranges = f.straights()
	} else {
		for i := 0; i < len(f.s); {
			j := i
			for j+1 < len(f.s) && f.s[j+1].Section == f.s[i].Section {
				j++
			}
			if j-i >= 3 {
				ranges = append(ranges, [2]int{i, j})
			}
			i = j + 1
		}
	}
	value := func(w *Window) float64 {
		if airspeed {
			return w.Air
		}
		return w.Ground
	}
	best.T0 = math.NaN()
	var fast Window // the fastest that failed, and why
	var fastWhy string
	var good []Window
	for _, r := range ranges {
		j := r[0]
		for i := r[0]; i <= r[1]; i++ {
			for j < r[1] && f.s[j].T-f.s[i].T < length-1e-6 {
				j++
			}
			if f.s[j].T-f.s[i].T < length-1e-6 {
				break
			}
			if !f.flying[i] || f.broken(i, j) {
				continue
			}
			w := f.glance(i, j)
			if why := w.notLevel(f.p.Heights != ""); why != "" {
				if fastWhy == "" || value(&w) > value(&fast) {
					fast, fastWhy = w, why
				}
				continue
			}
			good = append(good, w)
			if math.IsNaN(best.T0) || value(&w) > value(&best) {
				best = w
			}
		}
	}
	if math.IsNaN(best.T0) {
		switch {
		case fastWhy != "":
			return best, 0, math.NaN(), fmt.Sprintf("no stretch of %.3g s is level; the fastest is %s", length, fastWhy)
		case straight:
			return best, 0, math.NaN(), fmt.Sprintf("no straight stretch of %.3g s", length)
		}
		return best, 0, math.NaN(), fmt.Sprintf("no unbroken stretch of %.3g s in flight", length)
	}
	best = f.look(best.i0, best.i1)
	// disjoint windows that could as well have been the best
	lastEnd := math.Inf(-1)
	sum, squares := 0.0, 0.0
	for _, w := range good {
		if w.T0 >= lastEnd && value(&w) > value(&best)-3*math.Hypot(w.groundSD, w.gustSD*b2f(airspeed)) {
			n++
			lastEnd = w.T1
			d := value(&best) - value(&w)
			sum, squares = sum+d, squares+d*d
		}
	}
	scatter = math.NaN()
	if k := float64(n); n > 2 {
		// few windows may lie close by chance: wider by one over their number
		scatter = math.Sqrt(math.Max(0, squares-sum*sum/k)/(k-1)) * (1 + 1/(k-1))
	}
	return best, max(n, 1), scatter, ""
}
