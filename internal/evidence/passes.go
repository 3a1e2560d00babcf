package evidence

import (
	"fmt"
	"math"
	"strings"
)

// Run is a straight stretch of flight.
type Run struct {
	Window
	Level   bool   `json:"level"`
	Because string `json:"because,omitempty"` // why it is not level
}

// Pass is one crossing of a base.
type Pass struct {
	Run       int      `json:"run"` // index in runs
	T0        float64  `json:"from_s"`
	T1        float64  `json:"to_s"`
	Ground    Quantity `json:"ground_speed"`
	Timed     float64  `json:"timed_speed_m_s"` // base over the time between the planes, positions smoothed
	CourseDeg float64  `json:"course_deg"`
	Height    float64  `json:"height_m"`
	Climb     float64  `json:"climb_m_s"`
	Excess    float64  `json:"excess_power_m_s"`
	Entry     float64  `json:"entry_m"`           // level flight before the base
	Aside     float64  `json:"off_line_m"`        // of the base's line
	Accepted  bool     `json:"accepted"`          // level over the base
	Because   string   `json:"because,omitempty"` // why not
	Remarks   []string `json:"remarks,omitempty"` // what a timekeeper would note
	In        Spans    `json:"interval,omitempty"`
	u         float64
	i0, i1    int
	drift     float64 // over the ground across the base's line, to the left of the way flown, m/s
}

// Term is one line of an uncertainty budget, standard deviations in m/s.
type Term struct {
	What  string  `json:"what"`
	Sigma float64 `json:"sigma_m_s"`
}

// Pair is two passes over one base in opposite directions.
type Pair struct {
	Passes     [2]Pass    `json:"passes"`
	Base       float64    `json:"base_m"`
	Centre     [2]float64 `json:"centre_deg"` // latitude, longitude
	AzimuthDeg float64    `json:"azimuth_deg"`
	Mean       Quantity   `json:"two_way_speed"`     // arithmetic mean of the speeds
	MeanTime   float64    `json:"mean_of_times_m_s"` // both bases over both times
	Airspeed   Quantity   `json:"two_way_airspeed"`
	AlongWind  float64    `json:"wind_along_m_s"` // half the difference
	Budget     []Term     `json:"budget"`
	AirBudget  []Term     `json:"airspeed_budget"`
	Files      bool       `json:"of_two_files"`
	ByCode     bool       `json:"as_the_code"` // base, heights, entry and half hour as the sporting code asks
	Remarks    []string   `json:"remarks,omitempty"`
	In         Spans      `json:"interval,omitempty"`
}

// Base is a marked course: the middle of the base line and its azimuth, rad.
type Base struct {
	Lat, Lon, Azimuth float64
	Length            float64 // 0: 200 m
}

func (f *flight) runs() []Run {
	var out []Run
	for _, r := range f.straights() {
		w := f.look(r[0], r[1])
		w.In = f.spans(&w)
		run := Run{Window: w}
		run.Because = w.notLevel(f.p.Heights != "")
		run.Level = run.Because == ""
		out = append(out, run)
	}
	return out
}

// crossing finds when the run passes the plane s along direction d from c.
func (f *flight) crossing(i0, i1 int, c, d [2]float64, s float64) (float64, int) {
	at := func(i int) float64 {
		return (f.s[i].Pos[0]-c[0])*d[0] + (f.s[i].Pos[1]-c[1])*d[1] - s
	}
	// along a run the coordinate rises: bisect
	lo, hi := i0, i1
	if at(lo) > 0 || at(hi) < 0 {
		return math.NaN(), -1
	}
	for hi-lo > 1 {
		m := (lo + hi) / 2
		if at(m) <= 0 {
			lo = m
		} else {
			hi = m
		}
	}
	// cubic between the samples, from positions and velocities
	t0, t1 := f.s[lo].T, f.s[hi].T
	h := t1 - t0
	p0, p1 := at(lo), at(hi)
	v0 := (f.s[lo].Vel[0]*d[0] + f.s[lo].Vel[1]*d[1]) * h
	v1 := (f.s[hi].Vel[0]*d[0] + f.s[hi].Vel[1]*d[1]) * h
	x := 0.5
	if p1 != p0 {
		x = -p0 / (p1 - p0)
	}
	for k := 0; k < 20; k++ {
		y := p0*(1+2*x)*(1-x)*(1-x) + v0*x*(1-x)*(1-x) + p1*x*x*(3-2*x) - v1*x*x*(1-x)
		g := (p1-p0)*6*x*(1-x) + v0*(1-x)*(1-3*x) + v1*x*(3*x-2)
		if math.Abs(g) < 1e-9 {
			break
		}
		st := y / g
		x -= st
		if math.Abs(st) < 1e-12 {
			break
		}
	}
	x = clamp(x, 0, 1)
	return t0 + x*h, lo
}

// pass measures a run over a base with middle c and direction d.
func (f *flight) pass(k int, r *Run, c, d [2]float64, length float64) (Pass, bool) {
	t0, a := f.crossing(r.i0, r.i1, c, d, -length/2)
	t1, b := f.crossing(r.i0, r.i1, c, d, length/2)
	if a < 0 || b < 0 || !(t1 > t0) {
		return Pass{}, false
	}
	i0, i1 := a+1, b
	if i1-i0 < 2 {
		i0, i1 = a, min(b+1, r.i1)
	}
	if i1 <= i0 {
		return Pass{}, false
	}
	w := f.glance(i0, i1)
	p := Pass{Run: k, T0: t0, T1: t1, Timed: length / (t1 - t0), CourseDeg: w.CourseDeg, Height: w.Height, Climb: w.Climb, Excess: w.Excess, i0: i0, i1: i1}
	p.u = w.groundSD
	p.Because = w.notLevel(f.p.Heights != "")
	if p.Because == "" && f.broken(a, min(b+1, r.i1)) {
		p.Because = "the record has a hole over the base"
	}
	p.Accepted = p.Because == ""
	mid := (i0 + i1) / 2
	p.Aside = (f.s[mid].Pos[0]-c[0])*-d[1] + (f.s[mid].Pos[1]-c[1])*d[0]
	// the smoothed positions follow the receiver's velocities where it has them
	p.Ground = about(p.Timed, p.u, "m/s")
	// level flight before the base
	j := i0
	for j > r.i0 && math.Abs(f.s[j-1].Vel[2]) < levelClimb+1 {
		j--
	}
	p.Entry = f.dist[i0] - f.dist[j]
	for i := i0; i <= i1; i++ {
		p.drift += (f.s[i].Vel[1]*d[0] - f.s[i].Vel[0]*d[1]) / float64(i1-i0+1)
	}
	if p.Entry < entryLength {
		p.Remarks = append(p.Remarks, fmt.Sprintf("only %.0f m of level entry before the base; the code asks for %d m", p.Entry, entryLength))
	}
	if known(f.ground) {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := j; i <= i1; i++ {
			h := f.s[i].Pos[2] - f.ground
			lo, hi = math.Min(lo, h), math.Max(hi, h)
		}
		if lo < 5 || hi > 35 {
			p.Remarks = append(p.Remarks, fmt.Sprintf("height %.0f to %.0f m above the start; the code asks for 5 to 35 m", lo, hi))
		}
	} else {
		p.Remarks = append(p.Remarks, "height above the start is not known")
	}
	f.doubtOf(&p, &w)
	return p, true
}

// pairs finds two-way passes. With a base given only that is used; else the
// base is laid where a pair of runs is best, 200 m long.
func (f *flight) pairs(runs []Run, given *Base) []Pair {
	var out []Pair
	for i := range runs {
		tried := 0
		for j := i + 1; j < len(runs) && tried < 6; j++ {
			a, b := &runs[i], &runs[j]
			if b.T0-a.T1 > pairWithin {
				break
			}
			if math.Abs(math.Remainder(a.CourseDeg-b.CourseDeg-180, 360)) > 20 {
				continue
			}
			if a.Length < baseLength || b.Length < baseLength {
				continue
			}
			tried++
			apart := f.p.Log.Part(a.T0) != f.p.Log.Part(b.T0)
			if !apart && f.landed(a.i1, b.i0) {
				break
			}
			if p, ok := f.pair(i, j, a, b, given); ok {
				if apart {
					p.Files = true
					p.ByCode = false
					p.Remarks = append(p.Remarks, fmt.Sprintf("the passes lie in two files, %.0f min apart: the code wants both in one flight", (b.T0-a.T1)/60))
				}
				out = append(out, p)
			}
		}
	}
	return out
}

// landed: it stood still for five seconds between.
func (f *flight) landed(i, j int) bool {
	from := math.NaN()
	for ; i <= j; i++ {
		if f.s[i].Used && f.s[i].Speed() < 2 {
			if math.IsNaN(from) {
				from = f.s[i].T
			}
			if f.s[i].T-from > 5 {
				return true
			}
		} else if f.s[i].Used {
			from = math.NaN()
		}
	}
	return false
}

func (f *flight) pair(i, j int, a, b *Run, given *Base) (Pair, bool) {
	length := float64(baseLength)
	mean := func(r *Run) (u [2]float64) {
		dx, dy := f.s[r.i1].Pos[0]-f.s[r.i0].Pos[0], f.s[r.i1].Pos[1]-f.s[r.i0].Pos[1]
		h := math.Hypot(dx, dy)
		return [2]float64{dx / h, dy / h}
	}
	ua, ub := mean(a), mean(b)
	d := [2]float64{ua[0] - ub[0], ua[1] - ub[1]}
	h := math.Hypot(d[0], d[1])
	d[0], d[1] = d[0]/h, d[1]/h
	o := f.s[a.i0].Pos
	along := func(k int) float64 { return (f.s[k].Pos[0]-o[0])*d[0] + (f.s[k].Pos[1]-o[1])*d[1] }
	across := func(k int) float64 { return (f.s[k].Pos[1]-o[1])*d[0] - (f.s[k].Pos[0]-o[0])*d[1] }
	mid := (across((a.i0+a.i1)/2) + across((b.i0+b.i1)/2)) / 2
	if given == nil && math.Abs(across((a.i0+a.i1)/2)-across((b.i0+b.i1)/2)) > 200 {
		return Pair{}, false
	}
	lo := math.Max(along(a.i0), along(b.i1)) + length/2
	hi := math.Min(along(a.i1), along(b.i0)) - length/2
	type place struct {
		c, d [2]float64
	}
	var places []place
	if given != nil {
		if given.Length > 0 {
			length = given.Length
		}
		g := f.p.Frame
		m := geoPoint(given.Lat, given.Lon, g.Origin.Height)
		e := g.Ground(m)
		s, c := math.Sincos(given.Azimuth)
		if s*d[0]+c*d[1] < 0 {
			s, c = -s, -c
		}
		places = []place{{[2]float64{e[0], e[1]}, [2]float64{s, c}}}
	} else {
		if hi < lo {
			return Pair{}, false
		}
		n := int((hi-lo)/10) + 1
		n = min(n, 40)
		for k := 0; k < n; k++ {
			s := (lo + hi) / 2
			if n > 1 {
				s = lo + (hi-lo)*float64(k)/float64(n-1)
			}
			places = append(places, place{[2]float64{o[0] + s*d[0] - mid*d[1], o[1] + s*d[1] + mid*d[0]}, d})
		}
	}
	// the best place with both passes level and entered level; of places as
	// good within the doubt, the middle one
	type tried struct {
		p, q  Pass
		pl    place
		score float64
	}
	var all []tried
	top := math.Inf(-1)
	for _, pl := range places {
		rev := [2]float64{-pl.d[0], -pl.d[1]}
		p, ok1 := f.pass(i, a, pl.c, pl.d, length)
		q, ok2 := f.pass(j, b, pl.c, rev, length)
		if !ok1 || !ok2 {
			continue
		}
		sc := (p.Timed+q.Timed)/2 + 1000*(b2f(p.Accepted)+b2f(q.Accepted)) +
			300*(math.Min(p.Entry, entryLength)+math.Min(q.Entry, entryLength))/(2*entryLength)
		all = append(all, tried{p, q, pl, sc})
		top = math.Max(top, sc)
	}
	if len(all) == 0 {
		return Pair{}, false
	}
	slack := math.Max(0.05, math.Hypot(all[0].p.u, all[0].q.u)) // twice the mean's doubt
	var like []tried
	for _, t := range all {
		if t.score >= top-slack {
			like = append(like, t)
		}
	}
	t := like[len(like)/2]
	best := Pair{Passes: [2]Pass{t.p, t.q}, Base: length}
	where := f.p.Frame.FromGround([3]float64{t.pl.c[0], t.pl.c[1], 0})
	best.Centre = [2]float64{where.LatDeg(), where.LonDeg()}
	best.AzimuthDeg = math.Mod(math.Atan2(t.pl.d[0], t.pl.d[1])*180/math.Pi+360, 360)
	f.finishPair(&best)
	return best, true
}

// finishPair averages two passes and adds up the doubt.
func (f *flight) finishPair(p *Pair) {
	a, b := &p.Passes[0], &p.Passes[1]
	p.AlongWind = (a.Timed - b.Timed) / 2
	mean := (a.Timed + b.Timed) / 2
	p.MeanTime = 2 / (1/a.Timed + 1/b.Timed)
	nz := f.p.Noise
	n := float64(a.i1 - a.i0 + 1)
	T := a.T1 - a.T0
	byPlace := math.Sqrt(2*sq(nz.Place)+2*sq(nz.Drift)*(1-math.Exp(-T/nz.DriftTime))) / T / math.Sqrt2
	if f.p.Doppler {
		p.Budget = append(p.Budget, Term{"receiver's velocity noise over both passes, with the positions", math.Sqrt(sq(a.u)+sq(b.u)) / 2})
		_ = n
	} else {
		p.Budget = append(p.Budget, Term{"positions at the ends of the base", byPlace})
	}
	acc := 0.0
	for _, q := range []*Pass{a, b} {
		w := f.look(q.i0, q.i1)
		acc += sq(nz.LatencySD * w.accelerate / 2)
	}
	if acc > 0 && f.p.Doppler {
		p.Budget = append(p.Budget, Term{"receiver's delay while the speed changes", math.Sqrt(acc)})
	}
	p.Budget = append(p.Budget, Term{"base line (laid by positions, errors shared by both ends)", mean * 1e-5})
	u := 0.0
	for _, t := range p.Budget {
		u += sq(t.Sigma)
	}
	u = math.Sqrt(u)
	p.Mean = about(mean, u, "m/s")
	p.In = Spans{}
	p.In.put("mean_of_times_m_s", p.MeanTime, u)
	p.In.put("wind_along_m_s", p.AlongWind, u) // half a difference has the doubt of half a sum
	// airspeed: put back what the cross wind takes (all of it when the track
	// was held, nothing when the aeroplane was let drift), allow for wind that
	// changed between. Left of the way flown on the first pass is positive.
	wc, uwc := 0.0, 0.0
	g := f.gust(math.Min(a.T1-a.T0, b.T1-b.T0)) / math.Sqrt2
	if f.windy {
		wf := windAt((a.T0+b.T1)/2, f.wind, f.windows)
		s, c := math.Sincos(p.AzimuthDeg * math.Pi / 180)
		w := wf.North*s - wf.East*c
		wc = math.Sqrt((sq(w-a.drift) + sq(w+b.drift)) / 2)
		uwc = wf.along(c, -s)
	} else {
		// the cross wind is not known: taken as strong as the along-wind part, or 2 m/s
		uwc = math.Max(2, math.Abs(p.AlongWind))
		p.Remarks = append(p.Remarks, "the cross wind is not known; what it takes from the mean is in the doubt")
		g = 0.5
	}
	v := math.Sqrt(mean*mean + wc*wc)
	cross := wc * uwc / v
	if !f.windy {
		cross = uwc * uwc / (2 * v)
	}
	power := 0.0
	for _, q := range []*Pass{a, b} {
		// what is still to be gained or lost: V³ goes as the power, half of the
		// thrust's work being drag at an assumed drag over weight of a half
		power += q.Excess / 0.5 / 3 / 2
	}
	p.AirBudget = []Term{
		{"two-way ground speed", u},
		{"cross wind put back", cross},
		{"gusts and change of wind between the passes", g},
	}
	ua := 0.0
	for _, t := range p.AirBudget {
		ua += sq(t.Sigma)
	}
	p.Airspeed = about(v, math.Sqrt(ua), "m/s")
	if math.Abs(power) > 0.5 {
		p.Remarks = append(p.Remarks, fmt.Sprintf("energy height changes by %.1f and %.1f m/s over the base: the steady speed may differ by about %.1f m/s", a.Excess, b.Excess, math.Abs(power)))
	}
	p.ByCode = a.Accepted && b.Accepted && len(a.Remarks) == 0 && len(b.Remarks) == 0
}

// codeRemarks adds what hangs on more than the pass itself.
func (p *Pair) codeRemarks(washout float64) {
	if p.Mean.Value > 300/3.6 {
		p.Remarks = append(p.Remarks, "above 300 km/h the code takes only automatic timing, good to 1/100 s and half a metre")
	}
	if washout > 0 {
		for _, q := range p.Passes {
			if q.Accepted && q.Entry < 2*washout {
				p.Remarks = append(p.Remarks, fmt.Sprintf("the level entry of %.0f m is less than twice the %.0f m over which the excess of a dive dies away", q.Entry, washout))
				break
			}
		}
	}
	if p.Base != baseLength {
		p.Remarks = append(p.Remarks, fmt.Sprintf("the base is %.0f m; the code's is %d m", p.Base, baseLength))
	}
}

// unpick takes from the best pair's airspeed what picking it among others as
// good has added: gusts differ from pass to pass.
func unpick(pairs []Pair, best int) {
	p := &pairs[best]
	u := p.Airspeed.SD()
	seen := map[int]bool{}
	for i := range pairs {
		q := &pairs[i]
		if q.Passes[0].Accepted && q.Passes[1].Accepted && q.Airspeed.Value > p.Airspeed.Value-3*u {
			seen[q.Passes[0].Run], seen[q.Passes[1].Run] = true, true
		}
	}
	g := 0.0
	for _, t := range p.AirBudget {
		if strings.HasPrefix(t.What, "gusts") {
			g = t.Sigma
		}
	}
	bias := g * PeakBias((len(seen)+1)/2)
	p.Airspeed.Value -= bias
	p.Airspeed.Low -= bias
	p.Airspeed.High -= bias
}

// bestPair is the accepted pair with the highest mean; −1 none, with the
// reason.
func bestPair(pairs []Pair, runs []Run) (int, string) {
	best := -1
	why := ""
	for i := range pairs {
		p := &pairs[i]
		if !p.Passes[0].Accepted || !p.Passes[1].Accepted {
			for k := range p.Passes {
				if !p.Passes[k].Accepted {
					why = p.Passes[k].Because
				}
			}
			continue
		}
		if best < 0 || p.Mean.Value > pairs[best].Mean.Value {
			best = i
		}
	}
	if best >= 0 {
		unpick(pairs, best)
		return best, ""
	}
	switch {
	case why != "":
		return -1, "passes both ways were found, but one is " + why
	case len(runs) == 0:
		return -1, "no straight run was flown"
	}
	long := 0
	for _, r := range runs {
		if r.Length >= baseLength {
			long++
		}
	}
	if long < 2 {
		return -1, fmt.Sprintf("%s straight run of %d m or more; two in opposite directions over one base are needed", [...]string{"there is no", "there is only one"}[long], baseLength)
	}
	return -1, "no two straight runs cover the same 200 m in opposite directions within half an hour"
}
