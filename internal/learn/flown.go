package learn

import (
	"fmt"
	"math"

	"fledge/internal/evidence"
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
	n := 0
	for i := range d.Runs {
		r := &d.Runs[i]
		th, ok := d.ThrottleOver(r.T0, r.T1)
		if !ok || th > motorOff || r.T1-r.T0 < steadyGlide || !(r.Excess < 0) || !(r.Air > 0) || d.Wind == nil || n == mostGlides {
			continue
		}
		n++
		air, excess := r.Doubts()
		// Sink at the airspeed read: what is wrong with that goes twice into it,
		// for drag times speed grows about as its square.
		add(Reading{Kind: GlideSink, At: r.Air, Value: -r.Excess, SD: math.Hypot(excess, 2*r.Excess*air/r.Air)})
	}
	if s := d.LaunchPhase; s != nil && s.HeadWind != nil {
		add(Reading{Kind: Release, Value: s.Speed.Value + *s.HeadWind, SD: math.Hypot(s.Speed.SD(), 0.7)})
	}
	if b := d.Battery; b != nil && b.Resistance != nil && b.Resistance.Value > 0 {
		add(Reading{Kind: PackOhms, Value: b.Resistance.Value, SD: math.Max(b.Resistance.SD(), 0.03*b.Resistance.Value)})
	}
	for i := range out { // several glides of one log are readings of their own
		if out[i].Kind == GlideSink {
			out[i].From = fmt.Sprintf("%s, glide %d", t.Name, i+1)
		}
	}
	return out
}
