package radio

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"
)

// Place is the aeroplane at one moment. Pos is from where the pilot stands: x
// ahead (the launch direction), y to the right of it, z up, m. Heading is to
// the right of ahead, Pitch nose up, Bank right wing down, rad.
type Place struct {
	Pos                  r3.Vec
	Heading, Pitch, Bank float64
	Name                 string  // of the leg it belongs to
	Along                float64 // m flown, for plots
}

// Obstacle is an upright wall: a hedge, a bank, a row of trees, a house.
type Obstacle struct {
	Name          string
	Ahead, Right  float64 // middle of its foot
	Width, Height float64
	Turned        float64 // its length runs so far to the right of square to ahead, rad
	Depth         float64 // of leaves that let some of the wave through; 0: lets nothing through
}

// Box shades: a battery or a motor, in the aeroplane's own axes (x aft, y
// right, z up, the build's).
type Box struct {
	Name     string
	At, Size r3.Vec
}

// Link is one radio link between the pilot's place and the aeroplane.
type Link struct {
	Name, Use string
	Frequency float64
	Power     float64 // dBm into the sender's antenna
	Up        bool    // the ground sends
	Threshold float64 // dBm, weakest usable level
	Loss      float64 // dB, leads, connectors, mounting

	Air     Antenna // axis in the aeroplane's axes
	AirAt   r3.Vec  // of it, in the aeroplane's axes
	Station Antenna // axis in the field's axes; not used when Follow
	Follow  bool    // the station's beam is kept on the aeroplane
	Height  float64 // of the station's antenna over the ground, m

	Ground    Ground
	Obstacles []Obstacle
	Boxes     []Box
}

// Budget is a link at one moment, dB and dBm.
type Budget struct {
	Distance float64 // slant, m
	Free     float64 // free-space loss
	Air      float64 // gain of the aeroplane's antenna in that direction, its fill included
	Station  float64 // of the station's
	Mismatch float64 // loss by polarisation
	Ground   float64 // what the ground adds (positive) or takes
	Edge     float64 // loss behind an obstacle
	Behind   string  // the obstacle, "" when none
	Body     float64 // loss behind the aeroplane's own parts
	Shade    string  // the part
	Level    float64 // at the receiver
	Margin   float64 // over its threshold
	Clear    float64 // clearance of the line over the worst obstacle, in first Fresnel radii; +Inf with none
	Grazing  float64 // angle of the reflected ray, rad
}

// Filled is the share of its best gain that a built antenna sends in its
// nulls and in the wrong polarisation: -20 dB (15 to 25 dB: common practice).
const Filled = 0.01

// body turns a vector of the aeroplane's axes (x aft) into the field's.
func (p *Place) body() (fwd, right, up r3.Vec) {
	sp, cp := math.Sincos(p.Heading)
	st, ct := math.Sincos(p.Pitch)
	sb, cb := math.Sincos(p.Bank)
	fwd = r3.Vec{X: ct * cp, Y: ct * sp, Z: st}
	r0 := r3.Vec{X: -sp, Y: cp}
	u0 := r3.Vec{X: -st * cp, Y: -st * sp, Z: ct}
	right = r3.Sub(r3.Scale(cb, r0), r3.Scale(sb, u0))
	up = r3.Add(r3.Scale(cb, u0), r3.Scale(sb, r0))
	return fwd, right, up
}

// Ready prepares the antennas once, so that [Link.At] need not; whoever
// changes their gain or kind calls it again on a fresh link.
func (l *Link) Ready() { l.Air.ready(); l.Station.ready() }

// At computes the link with the aeroplane at p: the direct ray and the one by
// the ground, each with the two antennas' fields in its own directions, so that
// attitude, pattern and polarisation come together; behind each obstacle the
// loss of its edge (or of its leaves, whichever lets more through); behind the
// aeroplane's own parts theirs. What the ground scatters and what antennas send
// in their nulls is added without phase. An aeroplane on the ground counts as
// 5 cm above it. Reciprocal: the same for both directions of the link.
func (l *Link) At(p *Place) (b Budget) {
	h1, h2 := math.Max(l.Height, 0.05), math.Max(p.Pos.Z, 0.05)
	station := r3.Vec{Z: h1}
	fwd, right, up := p.body()
	out := func(v r3.Vec) r3.Vec { // aeroplane's axes to the field's
		return r3.Add(r3.Scale(-v.X, fwd), r3.Add(r3.Scale(v.Y, right), r3.Scale(v.Z, up)))
	}
	in := func(v r3.Vec) r3.Vec {
		return r3.Vec{X: -r3.Dot(v, fwd), Y: r3.Dot(v, right), Z: r3.Dot(v, up)}
	}
	at := r3.Vec{X: p.Pos.X, Y: p.Pos.Y, Z: h2}
	line := r3.Sub(station, at) // aeroplane to station
	s1 := r3.Norm(line)
	if s1 < 1 {
		s1 = 1 // nearer than a metre is no far field
	}
	u := r3.Scale(1/s1, line)
	d := math.Hypot(at.X, at.Y)
	b.Distance, b.Free = s1, FreeSpace(l.Frequency, s1)

	air := l.Air
	air.Axis = out(l.Air.Axis)
	air.ready()
	ground := l.Station
	if l.Follow {
		ground.Axis = r3.Scale(-1, u)
	}
	ground.ready()
	et, er := air.Towards(u), ground.Towards(r3.Scale(-1, u))
	pt, pr := et.Power(), er.Power()
	b.Air, b.Station = gain(pt+air.floor), gain(pr+ground.floor)

	k := 2 * math.Pi / Wavelength(l.Frequency)
	edge, behind, clear := l.past(at, h1, h2, d, false)
	b.Edge, b.Behind, b.Clear = edge, behind, clear
	cut := 1.0
	if edge > 0 {
		cut = math.Pow(10, -edge/20)
	}
	direct := dot(&et, &er) * complex(cut/s1, 0)
	fill := (air.floor*(pr+ground.floor) + pt*ground.floor) * cut * cut / (s1 * s1)
	total := direct
	scatter := fill
	if d > 0.5 {
		// The ray by the ground: down from the aeroplane, up to the station.
		s2 := math.Sqrt(d*d + (h1+h2)*(h1+h2))
		sin, cos := (h1+h2)/s2, d/s2
		flat := r3.Vec{X: -at.X / d, Y: -at.Y / d} // aeroplane towards station
		down := r3.Vec{X: flat.X * cos, Y: flat.Y * cos, Z: -sin}
		rise := r3.Vec{X: flat.X * cos, Y: flat.Y * cos, Z: sin}
		side := r3.Vec{X: -flat.Y, Y: flat.X}
		vi := r3.Vec{X: flat.X * sin, Y: flat.Y * sin, Z: cos}
		vr := r3.Vec{X: -flat.X * sin, Y: -flat.Y * sin, Z: cos}
		e2, r2 := air.Towards(down), ground.Towards(r3.Scale(-1, rise))
		gh, gv := l.Ground.reflect(l.Frequency, sin)
		smooth := l.Ground.smooth(l.Frequency, sin)
		amp := gh*part(&e2, side)*part(&r2, side) + gv*part(&e2, vi)*part(&r2, vr)
		low, _, _ := l.past(at, h1, h2, d, true)
		amp *= complex(1/s2, 0)
		if low > 0 {
			amp *= complex(math.Pow(10, -low/20), 0)
		}
		diff := 4 * h1 * h2 / (s1 + s2)
		total += amp * complex(smooth, 0) * cmplx.Exp(complex(0, -k*diff))
		a := cmplx.Abs(amp)
		scatter += a * a * (1 - smooth*smooth)
		b.Grazing = math.Asin(sin)
	}
	whole := sq(total) + scatter
	alone := sq(direct) + fill
	b.Ground = 10 * math.Log10(whole/alone)
	b.Mismatch = -10 * math.Log10(math.Min(1, alone/(cut*cut)*s1*s1/((pt+air.floor)*(pr+ground.floor))))
	b.Body, b.Shade = l.shade(in(u))
	b.Level = l.Power - l.Loss - b.Body + 20*math.Log10(Wavelength(l.Frequency)/(4*math.Pi)) + 10*math.Log10(whole)
	b.Margin = b.Level - l.Threshold
	return b
}

func sq(c complex128) float64 { return real(c)*real(c) + imag(c)*imag(c) }

func gain(p float64) float64 { return 10 * math.Log10(p) }

// part is the amplitude of a field along a unit vector.
func part(e *Field, v r3.Vec) complex128 {
	return e[0]*complex(v.X, 0) + e[1]*complex(v.Y, 0) + e[2]*complex(v.Z, 0)
}

// past is the loss behind the obstacles between station and aeroplane, of the
// direct ray or of the one by the ground: the worst of them, for single edges
// one behind the other are no sum of both.
func (l *Link) past(at r3.Vec, h1, h2, d float64, byGround bool) (loss float64, behind string, clear float64) {
	clear = math.Inf(1)
	for i := range l.Obstacles {
		o := &l.Obstacles[i]
		share, ok := o.crosses(at)
		if !ok {
			continue
		}
		d1, d2 := share*d, (1-share)*d
		if d1 < 0.5 || d2 < 0.5 {
			continue
		}
		ray := h1 + (h2-h1)*share
		if byGround {
			bounce := h1 / (h1 + h2)
			ray = h1 * (1 - share/bounce)
			if share > bounce {
				ray = h2 * (share - bounce) / (1 - bounce)
			}
		}
		above := o.Height - ray
		j := KnifeEdge(EdgeNumber(l.Frequency, above, d1, d2))
		if o.Depth > 0 && above > 0 {
			low, high := Foliage(l.Frequency, o.Depth)
			// Over the top and through the leaves add up, in no fixed phase.
			j = -10 * math.Log10(math.Min(1, math.Pow(10, -j/10)+math.Pow(10, -(low+high)/20)))
		}
		if c := -above / Fresnel(l.Frequency, 1, d1, d2); c < clear {
			clear = c
		}
		if j > loss {
			loss, behind = j, o.Name
		}
	}
	return loss, behind, clear
}

// crosses is the share of the way from the station at which the line to the
// aeroplane passes over the obstacle's foot.
func (o *Obstacle) crosses(at r3.Vec) (share float64, ok bool) {
	s, c := math.Sincos(o.Turned)
	// The wall runs along (-s, c): square to ahead when not turned.
	wx, wy := -s, c
	det := at.X*wy - at.Y*wx
	if det == 0 {
		return 0, false
	}
	share = (o.Ahead*wy - o.Right*wx) / det
	along := (o.Ahead*at.Y - o.Right*at.X) / det // minus the place along the wall
	return share, share > 0 && share < 1 && math.Abs(along) <= o.Width/2
}

// shade is the loss behind the aeroplane's own parts in the direction u (its
// axes): for each box on the way the knife edge of its nearest rim, the
// distance to it as d1 and the station far away.
func (l *Link) shade(u r3.Vec) (loss float64, by string) {
	for i := range l.Boxes {
		x := &l.Boxes[i]
		v := r3.Sub(x.At, l.AirAt)
		d1 := r3.Dot(v, u)
		if d1 < 0.01 {
			continue
		}
		off := r3.Sub(v, r3.Scale(d1, u)) // from the ray to the box's middle
		// Half widths of its shadow along two directions square to the ray.
		p := r3.Vec{Z: 1}
		if math.Abs(u.Z) > 0.8 {
			p = r3.Vec{Y: 1}
		}
		a := r3.Unit(square(p, u))
		c := r3.Cross(u, a)
		within := math.Inf(1)
		for _, w := range []r3.Vec{a, c} {
			half := (math.Abs(w.X)*x.Size.X + math.Abs(w.Y)*x.Size.Y + math.Abs(w.Z)*x.Size.Z) / 2
			within = math.Min(within, half-math.Abs(r3.Dot(off, w)))
		}
		if j := KnifeEdge(within * math.Sqrt(2/(Wavelength(l.Frequency)*d1))); j > loss {
			loss, by = j, x.Name
		}
	}
	return loss, by
}

// Worst goes along a path and gives the place of the least margin; -1 for an
// empty path.
func (l *Link) Worst(path []Place) (i int, b Budget) {
	i = -1
	for k := range path {
		if c := l.At(&path[k]); i < 0 || c.Margin < b.Margin {
			i, b = k, c
		}
	}
	return i, b
}

// Range is how far (m over the ground) the link keeps the margin wanted (dB)
// in level flight at height h straight ahead, the aeroplane flying across
// (wings level, broadside): the nearest place where it is first lost, on a scan
// in steps of 2 % from 20 m to most. ok is false when it is lost at 20 m
// already; reached is true when it holds to the end.
func (l *Link) Range(h, wanted, most float64) (d float64, ok, reached bool) {
	at := func(d float64) float64 {
		p := Place{Pos: r3.Vec{X: d, Z: h}, Heading: math.Pi / 2}
		b := l.At(&p)
		return b.Margin
	}
	last := 0.0
	for d = 20; d < most; d *= 1.02 {
		if at(d) < wanted {
			return last, last > 0, false
		}
		last = d
	}
	return most, true, true
}

// FreeSpaceRange is that distance in free space, both antennas at their best
// and turned to each other as well as their kinds allow: the closed form, less
// the polarisation that no attitude cures ([Link.Unmatched]).
func (l *Link) FreeSpaceRange(wanted float64) float64 {
	return FreeRange(l.Frequency, l.Power-l.Loss+l.Air.Gain+l.Station.Gain-l.Unmatched()-l.Threshold-wanted)
}

// Unmatched is the least loss (dB) by polarisation of the two kinds, whatever
// the attitude: 2 to 3 dB between a circular and a linear antenna, much
// between circular ones that turn against each other; two linear ones match.
func (l *Link) Unmatched() float64 {
	ratio := func(a *Antenna) float64 {
		if !a.Kind.Circular {
			return 0
		}
		r := math.Pow(10, -a.Kind.Axial/20)
		if a.Left {
			r = -r
		}
		return r
	}
	a, b := ratio(&l.Air), ratio(&l.Station)
	share := math.Max(Elliptic(a, b, 0), Elliptic(a, b, math.Pi/2))
	return -10 * math.Log10(math.Min(1, math.Max(share, Filled)))
}
