package evidence

import (
	"math"
)

// PhaseKind is what the aeroplane was doing.
type PhaseKind string

// The phases of a flight.
const (
	Waiting  PhaseKind = "waiting"
	Launch   PhaseKind = "launch"
	ClimbOut PhaseKind = "climb-out"
	RunPhase PhaseKind = "run"
	Turn     PhaseKind = "turn"
	Loiter   PhaseKind = "loiter"
	Climb    PhaseKind = "climb"
	Dive     PhaseKind = "dive"
	Glide    PhaseKind = "glide"
	Approach PhaseKind = "approach"
	Landing  PhaseKind = "landing"
	Landed   PhaseKind = "landed"
	Cruise   PhaseKind = "cruise"
)

// Phase is one stretch of a flight and its numbers.
type Phase struct {
	Kind    PhaseKind `json:"kind"`
	T0      float64   `json:"from_s"`
	T1      float64   `json:"to_s"`
	Speed   float64   `json:"mean_ground_speed_m_s"`
	Air     *float64  `json:"mean_airspeed_m_s"` // null when the wind is unknown
	Top     float64   `json:"top_ground_speed_m_s"`
	End     float64   `json:"end_ground_speed_m_s"`
	Rise    *float64  `json:"height_change_m"` // null without heights
	Climb   *float64  `json:"climb_m_s"`
	Length  float64   `json:"length_m"`
	TurnDeg float64   `json:"turned_deg"`         // right positive
	Radius  *float64  `json:"radius_m,omitempty"` // turns and loiters: ground track
	BankDeg *float64  `json:"bank_deg,omitempty"` // steady turn at that rate and airspeed
	Ratio   *float64  `json:"glide_ratio,omitempty"`
	In      Spans     `json:"interval,omitempty"`
	i0, i1  int
}

// phases parts the flight.
func (f *flight) phases() []Phase {
	n := len(f.s)
	if n < 4 {
		return nil
	}
	heights := f.p.Heights != ""
	kind := make([]PhaseKind, n)
	// throttle, where logged
	thr := func(i int) float64 { return f.p.Log.Fixes[f.s[i].Fix].Throttle }
	climbed := func(i int) float64 { // over ±1 s
		a, b := i, i
		for a > 0 && f.s[a-1].Section == f.s[i].Section && f.s[i].T-f.s[a].T < 1 {
			a--
		}
		for b+1 < n && f.s[b+1].Section == f.s[i].Section && f.s[b].T-f.s[i].T < 1 {
			b++
		}
		if b == a {
			return 0
		}
		return (f.s[b].Pos[2] - f.s[a].Pos[2]) / (f.s[b].T - f.s[a].T)
	}
	first, last := -1, -1
	for i := 0; i < n; i++ {
		if f.flying[i] {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	for i := 0; i < n; i++ {
		switch {
		case first < 0 || i < first:
			kind[i] = Waiting
			continue
		case i > last:
			kind[i] = Landed
			continue
		case !f.flying[i]:
			kind[i] = Waiting
			continue
		}
		up := 0.0
		if heights {
			up = climbed(i)
		}
		steep := math.Max(2.5, 0.06*f.s[i].Speed())
		switch {
		case f.side[i] > straightAcc:
			kind[i] = Turn
		case up > steep:
			kind[i] = Climb
		case up < -steep:
			kind[i] = Dive
		case up < -0.4 && known(thr(i)) && thr(i) < 0.05:
			kind[i] = Glide
		case up < -0.7 && f.s[i].Speed() > 0 && !known(thr(i)) && f.glideLike(i, up):
			kind[i] = Glide
		default:
			kind[i] = RunPhase
		}
	}
	// flicker: a stretch shorter than 0.7 s joins what is before it
	for i := 0; i < n; {
		j := i
		for j+1 < n && kind[j+1] == kind[i] {
			j++
		}
		if i > 0 && f.s[j].T-f.s[i].T < 0.7 && kind[i] != Waiting && kind[i-1] != Waiting && kind[i] != Landed {
			for k := i; k <= j; k++ {
				kind[k] = kind[i-1]
			}
		}
		i = j + 1
	}
	// each start from rest is a launch, then the climb-out; each end an
	// approach and a landing (not of what is on wheels, and not past a hole)
	if !f.driven {
		for _, o := range f.outings() {
			a, b := o[0], o[1]
			rested := a == 0 && f.s[0].Speed() < 3 || a > 0 && f.s[a-1].Section == f.s[a].Section && (f.s[a].T-f.s[0].T > 1 || f.s[0].Speed() < 3)
			if rested {
				f.markStart(kind, a, climbed)
			}
			if b < n-2 && (b == last || f.s[b+1].Section == f.s[b].Section) {
				f.markEnd(kind, b, heights)
			}
		}
	}
	var out []Phase
	for i := 0; i < n; {
		j := i
		for j+1 < n && kind[j+1] == kind[i] && f.s[j+1].Section == f.s[i].Section {
			j++
		}
		out = append(out, f.phase(kind[i], i, j))
		i = j + 1
	}
	return mergeLoiters(f, out)
}

// outings are the flights of the record, from the first to the last sample of
// each in motion: between two it is slow for five seconds or more.
func (f *flight) outings() [][2]int {
	var out [][2]int
	for i := range f.s {
		if !f.flying[i] {
			continue
		}
		if k := len(out) - 1; k >= 0 && f.s[i].T-f.s[out[k][1]].T < 5 {
			out[k][1] = i
			continue
		}
		out = append(out, [2]int{i, i})
	}
	return out
}

// glideLike: descending while energy height falls about as fast, for seconds.
func (f *flight) glideLike(i int, up float64) bool {
	b := i
	for b+1 < len(f.s) && f.s[b+1].Section == f.s[i].Section && f.s[b].T-f.s[i].T < 2 {
		b++
	}
	dt := f.s[b].T - f.s[i].T
	if dt < 1 {
		return false
	}
	ps := (f.energy[b] - f.energy[i]) / dt
	return ps < -0.7 && math.Abs(f.air[b]-f.air[i])/dt < 1.5
}

// markStart names the launch (to 1.5 s after flying speed, or while it still
// speeds up) and the climb-out (while it climbs, at most 30 s).
func (f *flight) markStart(kind []PhaseKind, first int, climbed func(int) float64) {
	n := len(f.s)
	a := first
	for a > 0 && f.s[a-1].Section == f.s[first].Section && f.s[first].T-f.s[a].T < 3 && f.s[a].Speed() > 1 {
		a--
	}
	b := first
	for b+1 < n && f.s[b+1].Section == f.s[first].Section && (f.s[b].T-f.s[first].T < 1.5 || f.s[b].T-f.s[first].T < 4 && f.s[b].Along() > 2) {
		b++
	}
	for k := a; k <= b; k++ {
		kind[k] = Launch
	}
	c := b
	for c+1 < n && f.s[c+1].Section == f.s[b].Section && f.s[c].T-f.s[b].T < 30 && climbed(c) > 0.7 {
		c++
	}
	if f.s[c].T-f.s[b].T > 1 {
		for k := b + 1; k <= c; k++ {
			kind[k] = ClimbOut
		}
	}
}

// markEnd names the landing (from 1.5 m up, or the last 2 s) and the approach
// (the last steady descent, at most 40 s).
func (f *flight) markEnd(kind []PhaseKind, last int, heights bool) {
	a := last
	stop := f.s[last].Pos[2]
	if heights {
		end := min(last+3, len(f.s)-1)
		stop = f.s[end].Pos[2]
	}
	for a > 0 && f.s[a-1].Section == f.s[last].Section && f.s[last].T-f.s[a].T < 8 {
		if heights && f.s[a].Pos[2]-stop > 1.5 || !heights && f.s[last].T-f.s[a].T > 2 {
			break
		}
		a--
	}
	for k := a; k < len(kind) && kind[k] != Landed && (k <= last || kind[k] != Waiting); k++ {
		kind[k] = Landing
	}
	if !heights {
		return
	}
	b := a
	high := f.s[a].Pos[2]
	for b > 0 && f.s[b-1].Section == f.s[a].Section && f.s[a].T-f.s[b].T < 40 && f.s[b-1].Pos[2] > high-0.5 && kind[b-1] != Turn {
		b--
		high = math.Max(high, f.s[b].Pos[2])
	}
	if f.s[a].T-f.s[b].T > 1.5 && f.s[b].Pos[2]-f.s[a].Pos[2] > 2 {
		for k := b; k < a; k++ {
			kind[k] = Approach
		}
	}
}

func (f *flight) phase(k PhaseKind, i, j int) Phase {
	p := Phase{Kind: k, T0: f.s[i].T, T1: f.s[j].T, i0: i, i1: j}
	f.measure(&p)
	return p
}

func (f *flight) measure(p *Phase) {
	i, j := p.i0, p.i1
	p.Length = f.dist[j] - f.dist[i]
	p.End = f.s[j].Speed()
	w, top := f.glance(i, j), i
	for k := i; k <= j; k++ {
		v := f.s[k].Speed()
		if v > p.Top {
			p.Top, top = v, k
		}
		if k > i {
			p.TurnDeg += math.Remainder(f.s[k].Course()-f.s[k-1].Course(), 2*math.Pi) * 180 / math.Pi * b2f(v > 2)
		}
	}
	p.Speed = w.Ground
	T := p.T1 - p.T0
	if f.windy {
		a := w.Air
		p.Air = &a
	}
	if f.p.Heights != "" {
		r := f.s[j].Pos[2] - f.s[i].Pos[2]
		p.Rise = &r
		if T > 0 {
			c := r / T
			p.Climb = &c
			if (p.Kind == Glide || p.Kind == Approach) && r < -1 {
				g := -p.Length / r
				p.Ratio = &g
			}
		}
	}
	if (p.Kind == Turn || p.Kind == Loiter) && T > 0 && math.Abs(p.TurnDeg) > 20 {
		rate := math.Abs(p.TurnDeg) * math.Pi / 180 / T
		r := p.Speed / rate
		p.Radius = &r
		b := math.Atan(w.Air*rate/Gravity) * 180 / math.Pi
		p.BankDeg = &b
	}
	f.doubt(p, &w, top)
}

// mergeLoiters joins turns the same way round, with what lies between, when
// they make a full circle.
func mergeLoiters(f *flight, in []Phase) []Phase {
	var out []Phase
	for i := 0; i < len(in); {
		k := in[i]
		if k.Kind != Turn && k.Kind != RunPhase {
			out = append(out, k)
			i++
			continue
		}
		sum, best := 0.0, -1
		sign := 0.0
		for j := i; j < len(in) && j < i+200; j++ { // a longer loiter is told in parts
			p := in[j]
			if p.Kind != Turn && p.Kind != RunPhase {
				break
			}
			if sign == 0 && math.Abs(p.TurnDeg) > 30 {
				sign = math.Copysign(1, p.TurnDeg)
			}
			if p.TurnDeg*sign < -20 {
				break
			}
			// a straight leg ends a loiter
			if p.Kind == RunPhase && p.T1-p.T0 > 3 && math.Abs(p.TurnDeg) < 20 {
				break
			}
			if f.s[p.i0].Section != f.s[k.i0].Section {
				break
			}
			sum += p.TurnDeg
			if math.Abs(sum) >= 360 {
				best = j
			}
		}
		if best < 0 {
			out = append(out, k)
			i++
			continue
		}
		p := Phase{Kind: Loiter, T0: k.T0, T1: in[best].T1, i0: k.i0, i1: in[best].i1}
		f.measure(&p)
		out = append(out, p)
		i = best + 1
	}
	return out
}
