package perform

import "math"

// Approach says how a landing is flown.
type Approach struct {
	Height   float64 // m over the edge of the field, or over an obstacle there
	Wind     float64 // headwind, m/s; negative from behind
	Margin   float64 // approach speed over stall speed
	Touch    float64 // touchdown speed over stall speed; 0: 1.1
	Friction float64
	Slope    float64                 // of the ground, rad, rising in the direction of the landing
	Path     float64                 // wanted, rad below level in still air; 0: the glide's own
	Weave    float64                 // S-turns: the heading swings so far to each side, rad; 0: straight
	Extra    func(v float64) float64 // N of drag beside the glide's, of a brake or a slip; nil: none
}

// Landing is an approach, a flare and a slide.
type Landing struct {
	Approach      float64 // airspeed of the approach, m/s
	Angle         float64 // of the approach below level, in still air, rad
	Touchdown     float64 // airspeed at touchdown
	GroundSpeed   float64 // over the ground at touchdown
	ApproachRun   float64 // ground distance from height h to the flare, m
	FlareRun      float64 // m
	Slide         float64 // m
	SlideTime     float64 // s
	Distance      float64 // all three
	Deceleration  float64 // mean of the slide, m/s²
	SinkTouchdown float64 // m/s, after the flare, square to the ground
	Thrust        float64 // N held on the approach, when its path is flatter than the glide
	Status        Status
}

// States of a landing.
const (
	TooSteep Status = "steeper than it glides at this speed: it would gain speed"
	NoReach  Status = "the wind is stronger than the approach is fast: it does not come down to the field"
)

// Land is LandAs over level ground with nothing special: from height h (m),
// headwind w (m/s), approach at margin times the stall speed, friction mu.
func (p *Plane) Land(h, w, margin, mu float64) Landing {
	return p.LandAs(Approach{Height: h, Wind: w, Margin: margin, Friction: mu})
}

// LandAs computes a landing with the motor off: a steady approach from a height
// over the edge of the field, a flare as a circular arc of load factor 1.2 and
// a float that bleeds the rest of the speed, touchdown, a slide.
//
//	approach: s = h (v cos γ − w)/(v sin γ), γ against the ground's slope
//	flare:    R = v²/(g (n−1)), height R (1−cos γ), run R sin γ
//	slide:    dv/dt = −[μ (m g cos θ − L) + D]/m − g sin θ
//
// The slide takes half the touchdown lift and the drag at that lift. A path
// flatter than the glide is held with thrust; a steeper one is TooSteep.
// Source: reference flight 4 (derived closed forms).
func (p *Plane) LandAs(a Approach) Landing {
	touch := a.Touch
	if touch == 0 {
		touch = 1.1
	}
	v := a.Margin * p.Stall
	drag := p.glideDrag
	if a.Extra != nil {
		drag = func(v, n float64) float64 { return p.glideDrag(v, n) + a.Extra(v) }
	}
	angle := glideAngle(drag, v, p.Weight())
	l := Landing{Approach: v, Angle: angle, Touchdown: math.Min(touch, a.Margin) * p.Stall, Status: OK}
	if angle <= 0 {
		l.Status = NeverDescends
		return l
	}
	if a.Path > 0 {
		l.Angle = a.Path
		l.Thrust = p.against(v, math.Cos(a.Path), drag(v, math.Cos(a.Path))-p.Weight()*math.Sin(a.Path))
		if l.Thrust < -1e-9*p.Weight() {
			l.Status = TooSteep
		}
	}
	g := l.Angle
	// A heading that swings as a sine makes good J0 of the swing along the line.
	over := v*math.Cos(g)*math.J0(a.Weave) - a.Wind // speed over the ground
	if over <= 0 {
		l.Status = NoReach
		l.ApproachRun, l.FlareRun, l.Slide, l.Distance, l.Deceleration = math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()
		return l
	}
	down := math.Atan2(v*math.Sin(g), over) + a.Slope // against the ground
	if down <= 0 {
		l.Status = NeverDescends
		return l
	}
	rel := math.Max(0, g+a.Slope) // turned by the flare
	_, fh, run := FlareArc(v, rel, 1.2)
	fh = math.Min(fh, a.Height)
	l.ApproachRun = (a.Height - fh) / math.Tan(down)
	// The flare also bleeds the speed from v to touchdown: the time of that at
	// the drag of level flight, over the ground.
	bleed := 0.0
	if v > l.Touchdown {
		d := drag((v+l.Touchdown)/2, 1) + p.Weight()*math.Sin(a.Slope)
		if d <= 0 {
			l.Status = NeverDescends
			return l
		}
		t := p.Mass * (v - l.Touchdown) / d
		bleed = t * ((v+l.Touchdown)/2 - a.Wind)
	}
	l.FlareRun = math.Max(0, run*(1-a.Wind/(v*math.Cos(g)))) + math.Max(0, bleed)
	l.GroundSpeed = math.Max(0, l.Touchdown-a.Wind)
	q := 0.5 * p.Rho * l.Touchdown * l.Touchdown
	cl := 0.5 * p.Weight() / (q * p.Area)
	cd := p.glideDrag(l.Touchdown, 0.5) / (q * p.Area)
	l.Slide, l.SlideTime = SlideOn(p.Mass, p.Area, a.Friction, cl, cd, p.Rho, l.Touchdown, a.Wind, a.Slope)
	l.SinkTouchdown = 0.3 * v * math.Sin(rel)
	l.Distance = l.ApproachRun + l.FlareRun + l.Slide
	if l.Slide > 0 {
		l.Deceleration = l.GroundSpeed * l.GroundSpeed / (2 * l.Slide)
	}
	return l
}

// glideAngle is the steady glide's angle at airspeed v: sin γ = D/W, L = W cos γ.
func glideAngle(drag func(v, n float64) float64, v, weight float64) float64 {
	n, g := 1.0, 0.0
	for range 40 {
		s := drag(v, n) / weight
		if s >= 1 {
			return math.Pi / 2
		}
		g = math.Asin(s)
		next := math.Cos(g)
		if math.Abs(next-n) < 1e-12 {
			break
		}
		n += 0.7 * (next - n)
	}
	return g
}

// FlareArc is a flare as a circular arc from a path of angle γ below level at
// load factor n: radius, height and run, m.
func FlareArc(v, gamma, n float64) (radius, height, run float64) {
	radius = v * v / (Gravity * (n - 1))
	return radius, radius * (1 - math.Cos(gamma)), radius * math.Sin(gamma)
}

// SlideOn integrates dv/dt = −[μ(m g cos θ − L) + D]/m − g sin θ from touchdown
// airspeed v with headwind w up a slope θ until the ground speed is nil; CL and
// CD are constant, friction acts on the ground, L and D on the airspeed.
// Simpson's rule over 400 spans of ground speed. Returns metres and seconds;
// NaN on a slope that it never stops on.
func SlideOn(m, area, mu, cl, cd, rho, v, w, slope float64) (distance, time float64) {
	g0 := v - w
	if g0 <= 0 {
		return 0, 0
	}
	sin, cos := math.Sincos(slope)
	// ds/du = u/a(u), dt/du = 1/a(u) with u the ground speed.
	a := func(u float64) float64 {
		q := 0.5 * rho * (u + w) * (u + w) * area
		return (mu*math.Max(0, m*Gravity*cos-q*cl)+q*cd)/m + Gravity*sin
	}
	const n = 400
	h := g0 / n
	u0, a0 := 0.0, a(0)
	for i := range n {
		u1, u2 := (float64(i)+0.5)*h, float64(i+1)*h
		a1, a2 := a(u1), a(u2)
		if a0 <= 0 || a1 <= 0 || a2 <= 0 {
			return math.NaN(), math.NaN()
		}
		distance += h / 6 * (u0/a0 + 4*u1/a1 + u2/a2)
		time += h / 6 * (1/a0 + 4/a1 + 1/a2)
		u0, a0 = u2, a2
	}
	return distance, time
}

// GoRound is what is left when the landing is broken off.
type GoRound struct {
	Climb  float64 // m/s at the approach speed, full throttle
	Sunk   float64 // m lost until it climbs: the motor's run-up and the pull-up at load factor 1.3
	Angle  float64 // rad
	Status Status
}

// Again is a broken-off approach: full throttle at airspeed v from a path down
// by angle, with the thrust given and a motor that takes spool seconds to run up.
func (p *Plane) Again(v, angle, thrust, spool float64) GoRound {
	g := GoRound{Status: OK}
	s := (thrust - p.Powered(v, 1, thrust)) / p.Weight()
	g.Angle = math.Asin(math.Max(-1, math.Min(1, s)))
	g.Climb = v * math.Sin(g.Angle)
	_, pull, _ := FlareArc(v, math.Max(0, angle), 1.3)
	g.Sunk = v*math.Sin(angle)*spool + pull
	if g.Climb <= 0 {
		g.Status = NoLevelFlight
	}
	return g
}
