package evidence

import (
	"fmt"
	"math"
	"strings"
)

// Reading is one thing a person typed: a number off a screen, a time between
// marks, frames of a film, volts. Exactly one of the parts is filled.
type Reading struct {
	Speed   *SpeedReading
	Pass    *TimedPass
	Battery *PackReading
	Value   *Item  // anything measured by hand: a weighing, hours, a pull
	Outcome string // what happened, in words
}

// SpeedReading is a speed read off a screen (a receiver's, in flight or the
// peak kept afterwards).
type SpeedReading struct {
	Speed     float64  // m/s
	Digit     float64  // m/s, the size of the last digit; 0: 1 km/h
	CourseDeg *float64 // flown, when known
	Way       Way      // else with or against the wind
	Peak      bool     // the largest of a flight, not a steady reading
	Level     *bool    // seen to be level
	WindAlong *float64 // m/s, tail wind positive, when known
}

// TimedPass is a passing between two marks, timed by hand or by the frames of
// a film.
type TimedPass struct {
	Base      float64 // m between the marks
	BaseSD    float64 // m; 0: 0.5 %
	Seconds   float64 // by a watch; 0 when by film
	SecondsSD float64 // 0: 0.15 s for one hand-held watch, see Watches
	Watches   int     // timekeepers whose mean it is
	Frames    float64 // between the marks on film
	FrameRate float64 // frames a second, nominal
	CourseDeg *float64
	Way       Way
	Level     *bool
	Aside     float64 // m by which the aeroplane passed beyond the marks as seen by the eye; 0 none
	ToMarks   float64 // m from the eye or camera to the line of the marks, with Aside
}

// PackReading is a battery before and after.
type PackReading struct {
	VoltsBefore, VoltsAfter float64 // at rest, whole pack; 0 unknown
	Cells                   int
	PutBack                 float64 // A s charged afterwards; 0 unknown
	Capacity                float64 // A s nominal; 0 unknown
	Seconds                 float64 // flown; 0 unknown
	MeanVolts               float64 // under load; 0 unknown
}

// Doubts of readings without their own; common practice, no source.
const (
	watchSD   = 0.15  // s, a hand-held watch started and stopped by the eye
	baseSDRel = 0.005 // a paced or taped base
	frameSD   = 0.41  // frames: the two instants each within one frame, 1/√6
	rateSDRel = 0.002 // a film's real frame rate against the nominal
	windSD    = 3.0   // m/s along the track when nobody measured it
	diveSD    = 4.0   // m/s a peak may owe to a dive nobody saw
	spikeSD   = 3.0   // m/s a kept peak may owe to the receiver's noise
)

// Speed of a timed pass and its standard uncertainty, m/s.
func (p TimedPass) Speed() (v, u float64) {
	v, time, base, rate := p.parts()
	return v, v * math.Sqrt(sq(time)+sq(base)+sq(rate))
}

// parts of a timed pass: its speed, m/s, and the relative doubts of the time,
// of the base and of the film's frame rate.
func (p TimedPass) parts() (v, time, base, rate float64) {
	length := p.Base
	ub := p.BaseSD
	if ub <= 0 {
		ub = baseSDRel * length
	}
	base = ub / length
	if p.Aside != 0 && p.ToMarks > 0 { // seen against marks nearer than the aeroplane
		length *= 1 + p.Aside/p.ToMarks
	}
	t, ut := p.Seconds, p.SecondsSD
	if p.Frames > 0 && p.FrameRate > 0 {
		t = p.Frames / p.FrameRate
		ut, rate = frameSD/p.FrameRate, rateSDRel
	} else if ut <= 0 {
		ut = watchSD / math.Sqrt(math.Max(1, float64(p.Watches)))
	}
	if t <= 0 || length <= 0 {
		return math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	return length / t, ut / t, base, rate
}

// Readings turns what was typed into evidence with honest doubt, pairs speeds
// typed in opposite directions, and says what could not be used.
func Readings(rs []Reading) (items []Item, pairs []TypedPair, remarks []string) {
	var passes []oneWay
	for i, r := range rs {
		switch {
		case r.Speed != nil:
			it, ok := r.Speed.item()
			if !ok {
				remarks = append(remarks, fmt.Sprintf("reading %d: a speed of %g m/s is not believed", i+1, r.Speed.Speed))
				continue
			}
			items = append(items, it)
			if w := r.Speed.oneWay(i + 1); !r.Speed.Peak && w.v > 1 {
				passes = append(passes, w)
			} else if r.Speed.Peak && (r.Speed.CourseDeg != nil || r.Speed.Way != WayUnknown) {
				remarks = append(remarks, fmt.Sprintf("reading %d is not paired: a kept peak may be a dive, or one wrong sample, of any moment of the flight", i+1))
			}
		case r.Pass != nil:
			v, u := r.Pass.Speed()
			if !(v > 1 && v < 250) {
				remarks = append(remarks, fmt.Sprintf("reading %d: a pass of %g m cannot be timed so", i+1, r.Pass.Base))
				continue
			}
			w := r.Pass.oneWay(i + 1)
			items = append(items, Item{What: "timed speed", Value: v, Sigma: u, Unit: "m/s", Method: w.How, Remark: direction(w.CourseDeg, w.way)})
			passes = append(passes, w)
		case r.Battery != nil:
			its, rem := r.Battery.items()
			items = append(items, its...)
			remarks = append(remarks, rem...)
		case r.Value != nil:
			it := *r.Value
			if it.Method == "" {
				it.Method = "measured by hand"
			}
			if !known(it.Value) {
				remarks = append(remarks, fmt.Sprintf("reading %d: %q is no number", i+1, it.What))
				continue
			}
			items = append(items, it)
		case r.Outcome == "":
			remarks = append(remarks, fmt.Sprintf("reading %d is empty", i+1))
		}
	}
	pairs, unpaired := pairTyped(passes)
	for i := range pairs {
		if pairs[i].Best {
			items = append(items, pairs[i].item())
		}
	}
	return items, pairs, append(remarks, unpaired...)
}

// TwoWayOf is the mean of two speeds over the ground in opposite directions:
// the wind along the track cancels; a cross wind of an unknown 3 m/s takes
// w²/2V, which is in the doubt.
func TwoWayOf(v1, u1, v2, u2 float64) Item {
	m := (v1 + v2) / 2
	return Item{What: "two-way speed", Value: m, Sigma: math.Sqrt(sq(u1)/4 + sq(u2)/4 + sq(windSD*windSD/(2*m))), Unit: "m/s", Method: "arithmetic mean of two directions"}
}

// TwoFlybys is the two-way speed of two sounds.
func TwoFlybys(a, b *FlybyResult) Item {
	it := TwoWayOf(a.Speed.Value, a.Speed.SD(), b.Speed.Value, b.Speed.SD())
	it.What, it.Method = "two-way fly-by speed", "Doppler curves of two passings in opposite directions"
	return it
}

func direction(c *float64, w Way) string {
	switch {
	case c != nil:
		return fmt.Sprintf("course %.0f°", *c)
	case w != WayUnknown:
		return w.String()
	}
	return "direction unknown"
}

// oneWay is the pass as it may be paired; reading counts from 1.
func (p TimedPass) oneWay(reading int) oneWay {
	v, time, base, rate := p.parts()
	_, u := p.Speed()
	how, what := "timed by watch", "timing by hand"
	if p.Frames > 0 {
		how, what = "frames of a film", "the film's frames"
	}
	return oneWay{
		TypedPass: TypedPass{Reading: reading, Ground: about(v, u, "m/s"), CourseDeg: p.CourseDeg, Way: p.Way.String(), How: fmt.Sprintf("%s over %.4g m", how, p.Base)},
		v:         v, way: p.Way, level: p.Level != nil && *p.Level, timed: true,
		own: v * time, ownWhat: what, base: base, baseID: [3]float64{p.Base, p.BaseSD, p.ToMarks}, rate: rate,
	}
}

// screenSD is what a receiver's own speed is uncertain by, m/s. Common
// practice, no source.
const screenSD = 0.2

// oneWay is the reading as it may be paired; reading counts from 1.
func (s SpeedReading) oneWay(reading int) oneWay {
	u := math.Hypot(s.digit()/math.Sqrt(12), screenSD)
	return oneWay{
		TypedPass: TypedPass{Reading: reading, Ground: about(s.Speed, u, "m/s"), CourseDeg: s.CourseDeg, Way: s.Way.String(), How: "read off a screen"},
		v:         s.Speed, way: s.Way, level: s.Level != nil && *s.Level, own: u, ownWhat: "the screen and its last digit", tailWind: s.WindAlong,
	}
}

// digit is the size of the screen's last digit, m/s.
func (s SpeedReading) digit() float64 {
	if s.Digit > 0 {
		return s.Digit
	}
	return 1 / 3.6
}

// item of a speed off a screen. Without direction, wind and level known the
// doubt holds what each may have given; such a number shows nothing alone.
func (s SpeedReading) item() (Item, bool) {
	if !(s.Speed >= 0 && s.Speed < 250) {
		return Item{}, false
	}
	v := s.Speed
	u := sq(s.digit()) / 12
	var lacks []string
	if s.CourseDeg == nil && s.Way == WayUnknown {
		lacks = append(lacks, "direction")
	}
	if s.WindAlong != nil {
		v -= *s.WindAlong
		u += 1
	} else {
		u += windSD * windSD
		lacks = append(lacks, "wind")
	}
	if s.Level == nil || !*s.Level {
		u += diveSD * diveSD
		lacks = append(lacks, "level")
	}
	if s.Peak {
		u += spikeSD * spikeSD
		lacks = append(lacks, "window (a kept peak may be one sample)")
	}
	u += sq(screenSD)
	return Item{What: "speed read", Value: v, Sigma: math.Sqrt(u), Unit: "m/s", Method: "read off a screen", Remark: strings.Join(lacks, ", ")}, true
}

func (p PackReading) items() (items []Item, remarks []string) {
	if p.PutBack > 0 {
		items = append(items, Item{What: "charge used", Value: p.PutBack, Sigma: 0.03 * p.PutBack, Unit: "A s", Method: "charge put back by the charger", Remark: "a charger's count is good to a few per cent"})
		if p.MeanVolts > 0 {
			e := p.PutBack * p.MeanVolts
			items = append(items, Item{What: "energy used", Value: e, Sigma: 0.035 * e, Unit: "J", Method: "charge put back times mean voltage"})
			if p.Seconds > 0 {
				items = append(items, Item{What: "mean power", Value: e / p.Seconds, Sigma: 0.035 * e / p.Seconds, Unit: "W", Method: "energy over time"})
			}
		}
		if p.Seconds > 0 {
			items = append(items, Item{What: "mean current", Value: p.PutBack / p.Seconds, Sigma: 0.03 * p.PutBack / p.Seconds, Unit: "A", Method: "charge over time"})
		}
		if p.Capacity > 0 && p.PutBack > 0.85*p.Capacity {
			remarks = append(remarks, fmt.Sprintf("%.0f %% of the pack's capacity was used: land earlier", 100*p.PutBack/p.Capacity))
		}
	} else if p.VoltsBefore > 0 && p.VoltsAfter > 0 && p.Cells > 0 {
		a, ua := stateOfCharge(p.VoltsBefore / float64(p.Cells))
		b, ub := stateOfCharge(p.VoltsAfter / float64(p.Cells))
		if p.Capacity > 0 {
			items = append(items, Item{What: "charge used", Value: (a - b) * p.Capacity, Sigma: math.Hypot(ua, ub) * p.Capacity, Unit: "A s", Method: "resting voltages", Remark: "a poor gauge: between 3.70 and 3.85 V a cell lies about 40 % of the charge"})
		}
		remarks = append(remarks, "resting voltage is a poor gauge of charge; note what the charger puts back")
	}
	if p.VoltsAfter > 0 && p.Cells > 0 && p.VoltsAfter/float64(p.Cells) < 3.5 {
		remarks = append(remarks, fmt.Sprintf("%.2f V a cell at rest afterwards: the pack was run too low", p.VoltsAfter/float64(p.Cells)))
	}
	return items, remarks
}

// stateOfCharge of a lithium cell at rest and its doubt; common practice, no
// source: the plateau from 3.70 to 3.85 V holds about 40 %.
func stateOfCharge(v float64) (soc, sd float64) {
	table := [][2]float64{{3.3, 0}, {3.5, 0.04}, {3.6, 0.08}, {3.7, 0.2}, {3.75, 0.33}, {3.8, 0.46}, {3.85, 0.6}, {3.95, 0.75}, {4.05, 0.87}, {4.2, 1}}
	if v <= table[0][0] {
		return 0, 0.05
	}
	for i := 1; i < len(table); i++ {
		if v <= table[i][0] {
			a, b := table[i-1], table[i]
			slope := (b[1] - a[1]) / (b[0] - a[0])
			return a[1] + slope*(v-a[0]), math.Hypot(0.05, slope*0.02)
		}
	}
	return 1, 0.03
}
