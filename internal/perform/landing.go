package perform

import "math"

// Ground is how a surface brakes a belly.
type Ground struct {
	Friction, Sigma float64
	Why             string
}

// grounds: no published measurement of a model's belly on grass was found;
// these are priors, to be replaced by a measured slide.
var grounds = map[string]Ground{
	"short grass": {0.40, 0.10, "an unverified prior, 0.2 to 0.6"},
	"long grass":  {0.60, 0.15, "an unverified prior; long grass also catches wing tips"},
	"crop":        {0.9, 0.3, "an unverified prior; a crop stops and turns the aeroplane"},
	"concrete":    {0.35, 0.10, "film or glass sliding on concrete, an unverified prior"},
	"dirt":        {0.50, 0.15, "an unverified prior"},
	"sand":        {0.60, 0.15, "an unverified prior"},
	"snow":        {0.10, 0.05, "an unverified prior"},
	"water":       {0.5, 0.3, "not modelled: an unverified prior"},
}

// GroundOf returns the friction of a surface word; the word is checked by build.
func GroundOf(surface string) Ground {
	g, found := grounds[surface]
	if !found {
		return Ground{0.40, 0.15, "surface not known"}
	}
	return g
}

// Landing is an approach from height h with the motor off, a flare and a slide.
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
	SinkTouchdown float64 // m/s, after the flare
	Status        Status
}

// Land computes a landing: approach at margin × Vs with the propeller idle,
// from height h (m) over the edge of the field, headwind w (m/s, negative for
// a tail wind), a flare as a circular arc of load factor 1.2, touchdown at
// 1.1 Vs, a slide with friction mu.
//
//	approach: s = h (v cos γ − w)/(v sin γ)
//	flare:    R = v²/(g (n−1)), height R (1−cos γ), run R sin γ
//	slide:    s = m/(2B) ln(1 + B v²/(μ m g)), B = ρ S (CD − μ CL)/2
//
// The slide takes half the touchdown lift and the drag at that lift.
// Source: reference flight 4 (derived closed forms).
func (p *Plane) Land(h, w, margin, mu float64) Landing {
	v := margin * p.Stall
	g := p.GlideAt(v)
	l := Landing{Approach: v, Angle: g.Angle, Touchdown: 1.1 * p.Stall, Status: OK}
	if g.Angle <= 0 {
		l.Status = NeverDescends
		return l
	}
	r, fh, run := FlareArc(v, g.Angle, 1.2)
	_ = r
	fh = math.Min(fh, h)
	along := func(d float64) float64 { return d * (v*math.Cos(g.Angle) - w) / (v * math.Cos(g.Angle)) }
	l.ApproachRun = (h - fh) * (v*math.Cos(g.Angle) - w) / (v * math.Sin(g.Angle))
	// The flare also bleeds the speed from v to touchdown: the time of that at
	// the drag of level flight, over the ground.
	bleed := 0.0
	if v > l.Touchdown {
		d := p.glideDrag((v+l.Touchdown)/2, 1)
		t := p.Mass * (v - l.Touchdown) / d
		bleed = t * ((v+l.Touchdown)/2 - w)
	}
	l.FlareRun = math.Max(0, along(run)) + math.Max(0, bleed)
	l.GroundSpeed = math.Max(0, l.Touchdown-w)
	q := 0.5 * p.Rho * l.Touchdown * l.Touchdown
	cl := 0.5 * p.Weight() / (q * p.Area)
	cd := p.glideDrag(l.Touchdown, 0.5) / (q * p.Area)
	l.Slide, l.SlideTime = Slide(p.Mass, p.Area, mu, cl, cd, p.Rho, l.Touchdown, w)
	l.SinkTouchdown = 0.3 * v * math.Sin(g.Angle)
	l.Distance = l.ApproachRun + l.FlareRun + l.Slide
	if l.Slide > 0 {
		l.Deceleration = l.GroundSpeed * l.GroundSpeed / (2 * l.Slide)
	}
	return l
}

// FlareArc is a flare as a circular arc from a path of angle γ below level at
// load factor n: radius, height and run, m.
func FlareArc(v, gamma, n float64) (radius, height, run float64) {
	radius = v * v / (Gravity * (n - 1))
	return radius, radius * (1 - math.Cos(gamma)), radius * math.Sin(gamma)
}

// ApproachRun is the ground distance from height h at airspeed v, glide angle
// γ and headwind w.
func ApproachRun(h, v, gamma, w float64) float64 {
	return h * (v*math.Cos(gamma) - w) / (v * math.Sin(gamma))
}

// Slide integrates dv/dt = −[μ(m g − L) + D]/m from touchdown airspeed v with
// headwind w until the ground speed is nil; CL and CD are constant, friction
// acts on the ground, L and D on the airspeed. Fixed-step RK4 on 2000 steps of
// ground speed. Returns metres and seconds.
func Slide(m, area, mu, cl, cd, rho, v, w float64) (distance, time float64) {
	g0 := v - w
	if g0 <= 0 {
		return 0, 0
	}
	// ds/du = u/a(u), dt/du = 1/a(u) with u the ground speed.
	a := func(u float64) float64 {
		q := 0.5 * rho * (u + w) * (u + w) * area
		return (mu*math.Max(0, m*Gravity-q*cl) + q*cd) / m
	}
	const n = 2000
	h := g0 / n
	for i := range n {
		u0, u1, u2 := float64(i)*h, (float64(i)+0.5)*h, float64(i+1)*h
		distance += h / 6 * (u0/a(u0) + 4*u1/a(u1) + u2/a(u2))
		time += h / 6 * (1/a(u0) + 4/a(u1) + 1/a(u2))
	}
	return distance, time
}
