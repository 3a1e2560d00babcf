package learn

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fledge/internal/evidence"
	"fledge/internal/perform"
)

// Told is what the pilot says of a flight that its log does not.
type Told struct {
	FullThrottle *bool
	Name         string // of the flight, for people
	Print        string
	Rho          float64 // kg/m³; 0 unknown
}

// steadyGlide is the least time of a stretch with the motor off that is read
// as a glide, s, and mostGlides how many of a log are taken, the longest.
// Our choices: over 3 s the noise of heights is worth less than 0.2 m/s.
const (
	steadyGlide = 3.0
	mostGlides  = 8
	motorOff    = 0.03 // of the throttle channel, and below
)

// OfDebrief is what a debriefed log has to say: its best level or two-way
// airspeed, glides with the motor off, release speed, pack resistance. What
// is missing to use a number stands in Suspicious.
func OfDebrief(d *evidence.Debrief, t Told) []Reading {
	var out []Reading
	add := func(r Reading) {
		r.From, r.Print, r.Rho = t.Name, t.Print, t.Rho
		out = append(out, r)
	}
	speed := func(q *evidence.Quantity, t0, t1 float64) {
		r := Reading{Kind: LevelSpeed, Value: q.Value, SD: q.SD()}
		th, logged := d.ThrottleOver(t0, t1)
		switch {
		case logged && th <= motorOff:
			r.Suspicious = "the motor was off: a speed in a dive or a glide, not one that lasts"
		case logged:
			r.Throttle = math.Min(th, 1)
			if th > 0.97 {
				r.Throttle = 1
			}
		case t.FullThrottle != nil && *t.FullThrottle:
			r.Throttle = 1
		case t.FullThrottle != nil:
			r.Suspicious = "it was flown at part throttle, and the log does not say which"
		default:
			r.Suspicious = "the log has no throttle: say --state full-throttle if it was"
		}
		add(r)
	}
	switch {
	case d.TwoWayAir != nil && d.BestPair >= 0:
		p := d.Pairs[d.BestPair].Passes
		speed(d.TwoWayAir, p[0].T0, p[1].T1)
		if th, ok := d.ThrottleOver(p[0].T0, p[0].T1); ok {
			if back, ok := d.ThrottleOver(p[1].T0, p[1].T1); ok {
				r := &out[len(out)-1]
				r.Throttle, r.Suspicious = math.Min(1, (th+back)/2), ""
				if th > 0.97 && back > 0.97 {
					r.Throttle = 1
				}
				if th <= motorOff || back <= motorOff {
					r.Suspicious = "the motor was off over one of the passes"
				} else if math.Abs(th-back) > 0.05 {
					r.Suspicious = fmt.Sprintf("the two passes were flown at %.0f and %.0f %% throttle", 100*th, 100*back)
				}
			}
		}
	case d.LevelSpeed != nil:
		l := d.LevelSpeed
		if !l.InTurn {
			speed(&l.Quantity, l.FromS, l.FromS+l.WindowS)
		}
	}
	for i, g := range glides(d) {
		g.From = fmt.Sprintf("%s, glide %d", t.Name, i+1)
		g.Print, g.Rho = t.Print, t.Rho
		out = append(out, g)
	}
	if s := d.LaunchPhase; s != nil && s.HeadWind != nil {
		add(Reading{Kind: Release, Value: s.Speed.Value + *s.HeadWind, SD: math.Hypot(s.Speed.SD(), 0.7)})
	}
	if b := d.Battery; b != nil && b.Resistance != nil && b.Resistance.Value > 0 {
		add(Reading{Kind: PackOhms, Value: b.Resistance.Value, SD: math.Max(b.Resistance.SD(), 0.03*b.Resistance.Value)})
	}
	return out
}

// glides are the longest straight stretches with the motor off: sink at
// constant airspeed is the loss of energy height, so a glide that slows down
// or speeds up counts as well. The first second after the motor stops is left
// out, and a stretch that turns or changes its speed by a quarter.
func glides(d *evidence.Debrief) []Reading {
	p := d.Path
	if p == nil || d.Wind == nil || p.Heights == "" {
		return nil
	}
	off := func(i int) bool {
		th := p.Log.Fixes[p.Samples[i].Fix].Throttle
		return th <= motorOff && d.Air[i] > 3 // false where the throttle is not known
	}
	course := func(i int) float64 { return math.Atan2(p.Samples[i].Vel[0], p.Samples[i].Vel[1]) }
	type found struct {
		r    Reading
		time float64
	}
	var list []found
	for i := 0; i < len(p.Samples); {
		if !off(i) {
			i++
			continue
		}
		start := i
		for i < len(p.Samples) && off(i) && p.Samples[i].Section == p.Samples[start].Section {
			i++
		}
		a := start
		for a < i && p.Samples[a].T < p.Samples[start].T+1 {
			a++
		}
		b := a
		for b+1 < i && math.Abs(math.Remainder(course(b+1)-course(a), 2*math.Pi)) < 20*math.Pi/180 {
			b++
		}
		if b <= a+2 || p.Samples[b].T-p.Samples[a].T < steadyGlide {
			continue
		}
		if r, ok := glide(d, a, b); ok {
			list = append(list, found{r, p.Samples[b].T - p.Samples[a].T})
		}
	}
	slices.SortStableFunc(list, func(x, y found) int { return cmp.Compare(y.time, x.time) })
	list = list[:min(mostGlides, len(list))]
	out := make([]Reading, len(list))
	for i := range list {
		out[i] = list[i].r
	}
	return out
}

// glide is the least-squares slope of the energy height over samples a to b at
// their mean airspeed, with the doubt that the log's noise leaves.
func glide(d *evidence.Debrief, a, b int) (Reading, bool) {
	p := d.Path
	n := float64(b - a + 1)
	T := p.Samples[b].T - p.Samples[a].T
	mid := (p.Samples[a].T + p.Samples[b].T) / 2
	var st, stt, se, ste, air, least, most float64
	least = math.Inf(1)
	for i := a; i <= b; i++ {
		t := p.Samples[i].T - mid
		st, stt, se, ste = st+t, stt+t*t, se+d.Energy[i], ste+t*d.Energy[i]
		air += d.Air[i] / n
		least, most = math.Min(least, d.Air[i]), math.Max(most, d.Air[i])
	}
	spread := stt - st*st/n
	sink := -(ste - st*se/n) / spread
	if !(sink > 0) || most > 1.25*least {
		return Reading{}, false
	}
	nz := p.Noise
	// Heights: white noise and the slow error over the stretch; speed noise goes
	// into the energy by V/g; a wrong wind into the airspeed, and so twice into
	// the sink, which grows about as its square.
	up := math.Sqrt(nz.UpPlace*nz.UpPlace/spread + 2*nz.UpDrift*nz.UpDrift*(1-math.Exp(-T/nz.DriftTime))/(T*T))
	sd := math.Hypot(up, air/perform.Gravity*nz.Speed/math.Sqrt(spread))
	sd = math.Hypot(sd, 2*sink*d.Wind.Speed.SD()/air)
	return Reading{Kind: GlideSink, At: air, Value: sink, SD: sd}, true
}
