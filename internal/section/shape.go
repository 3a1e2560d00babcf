package section

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"sync"
)

// Shape is a wing section of unit chord: leading edge near (0, 0), middle
// of the trailing edge at (1, 0), x aft, y up. It is immutable; the methods
// that change something return a new one.
type Shape struct {
	name string
	x, y []float64 // trailing edge, upper side, nose, lower side, trailing edge
	c    *curve
	nose float64 // arc length of the foremost point

	mean    func(x float64) (z, slope float64) // analytic mean line, or nil
	flap    Flap
	base    *Shape // the shape before the flap was set, or nil
	guessed bool   // only thickness and its place were measured
	coarse  bool   // fewer points than the nose needs

	thick func() [2]float64 // largest thickness and place, kept
	bent  func() [2]float64
	thin  func() ThinAirfoil
}

// Flap is a plain flap, elevon or hinged control: Hinge is the place of the
// hinge in chords from the leading edge, Angle its deflection in radians,
// trailing edge down positive. The zero value is no flap.
type Flap struct {
	Hinge, Angle float64
}

func newShape(name string, x, y []float64) *Shape {
	s := &Shape{name: name, x: x, y: y, c: newCurve(x, y)}
	s.nose = s.c.nose()
	s.thick = sync.OnceValue(func() [2]float64 {
		t, at := s.peak(func(x float64) float64 { return s.Upper(x) - s.Lower(x) })
		return [2]float64{t, at}
	})
	s.bent = sync.OnceValue(s.findCamber)
	s.thin = sync.OnceValue(s.findThin)
	return s
}

// Name returns the designation or the name of the coordinate file, with the
// changes made since.
func (s *Shape) Name() string { return s.name }

// Points returns copies of the coordinates, from the trailing edge over the
// upper side and the nose to the lower side and the trailing edge.
func (s *Shape) Points() (x, y []float64) {
	return append([]float64(nil), s.x...), append([]float64(nil), s.y...)
}

// FlapSet returns the flap of the shape, the zero Flap when it has none.
func (s *Shape) FlapSet() Flap { return s.flap }

// Guessed reports whether the shape comes from [Unknown]: results carry a
// wider doubt.
func (s *Shape) Guessed() bool { return s.guessed }

// Coarse reports whether the shape was given by so few points that its nose
// is largely the spline's guess: results carry a wider doubt.
func (s *Shape) Coarse() bool { return s.coarse }

// Upper returns y of the upper side at x (0 to 1; beyond, the end point).
func (s *Shape) Upper(x float64) float64 {
	p, _, _ := s.c.at(s.c.find(x, 0, s.nose))
	return p[1]
}

// Lower returns y of the lower side at x (0 to 1; beyond, the end point).
func (s *Shape) Lower(x float64) float64 {
	p, _, _ := s.c.at(s.c.find(x, s.nose, s.c.end()))
	return p[1]
}

// Thickness returns the largest thickness measured across the chord line,
// and its place, both in chords.
func (s *Shape) Thickness() (thickness, place float64) {
	r := s.thick()
	return r[0], r[1]
}

// Camber returns the height of the mean line where it is farthest from the
// chord line (negative below), and its place, both in chords.
func (s *Shape) Camber() (camber, place float64) {
	r := s.bent()
	return r[0], r[1]
}

func (s *Shape) findCamber() [2]float64 {
	f := s.meanLine()
	_, place := s.peak(func(x float64) float64 { z, _ := f(x); return math.Abs(z) })
	camber, _ := f(place)
	if math.Abs(camber) < 1e-9 {
		return [2]float64{}
	}
	return [2]float64{camber, place}
}

// peak finds the maximum of f over 0 to 1 by a scan and golden section.
func (s *Shape) peak(f func(x float64) float64) (value, at float64) {
	const n = 100
	k, best := 0, math.Inf(-1)
	for i := 1; i < n; i++ {
		if v := f(float64(i) / n); v > best {
			k, best = i, v
		}
	}
	lo, hi := float64(k-1)/n, float64(k+1)/n
	const g = 0.6180339887498949
	for range 40 {
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		if f(a) > f(b) {
			hi = b
		} else {
			lo = a
		}
	}
	at = (lo + hi) / 2
	return f(at), at
}

// LeadingEdgeRadius returns the radius of curvature of the nose in chords:
// the mean of the curvature over the foremost 0.1 % of chord of both sides.
func (s *Shape) LeadingEdgeRadius() float64 {
	k := math.Abs(s.c.curvature(s.nose))
	if k == 0 {
		return 0
	}
	// Least-squares of y^2 = 2 r x + b x^2 about the nose on both sides is
	// steadier than the curvature of a spline through printed digits.
	_, d, _ := s.c.at(s.nose)
	p0, _, _ := s.c.at(s.nose)
	h := math.Hypot(d[0], d[1])
	nx, ny := -d[1]/h, d[0]/h // inward or outward normal
	reach := math.Min(0.6/k, 0.02)
	var a11, a12, a22, b1, b2 float64
	for i := -20; i <= 20; i++ {
		if i == 0 {
			continue
		}
		p, _, _ := s.c.at(s.nose + reach*float64(i)/20)
		dx, dy := p[0]-p0[0], p[1]-p0[1]
		u := math.Abs(dx*nx + dy*ny)
		v := dx*d[0]/h + dy*d[1]/h
		w := 2 * u
		a11 += w * w
		a12 += w * u * u
		a22 += u * u * u * u
		b1 += w * v * v
		b2 += u * u * v * v
	}
	det := a11*a22 - a12*a12
	if det == 0 {
		return 1 / k
	}
	return math.Abs((b1*a22 - b2*a12) / det)
}

// TrailingEdge returns the gap between the ends of the two sides in chords
// and the angle between them in radians.
func (s *Shape) TrailingEdge() (gap, angle float64) {
	n := len(s.x)
	gap = math.Hypot(s.x[0]-s.x[n-1], s.y[0]-s.y[n-1])
	_, u, _ := s.c.at(0)
	_, l, _ := s.c.at(s.c.end())
	angle = math.Abs(math.Atan2(u[1], -u[0]) + math.Atan2(l[1], l[0]))
	return gap, angle
}

// Area returns the enclosed area in square chords.
func (s *Shape) Area() float64 {
	a := 0.0
	for i, n := 0, len(s.x); i < n; i++ {
		j := (i + 1) % n
		a += s.x[i]*s.y[j] - s.x[j]*s.y[i]
	}
	return math.Abs(a) / 2
}

// meanLine returns the mean line: analytic when the designation defines it
// and no flap bends it, else half way between the sides.
func (s *Shape) meanLine() func(x float64) (z, slope float64) {
	if s.mean != nil {
		return s.mean
	}
	at := func(x float64) float64 { return (s.Upper(x) + s.Lower(x)) / 2 }
	return func(x float64) (float64, float64) {
		h := math.Min(1e-4, math.Min(x, math.Min(s.x[0], s.x[len(s.x)-1])-x)/2)
		if h <= 0 {
			return at(x), 0
		}
		return at(x), (at(x+h) - at(x-h)) / (2 * h)
	}
}

// ThinAirfoil holds the results of thin-airfoil theory for a mean line:
// angle of zero lift, moment about the quarter chord (constant), angle and
// lift at which the flow meets the nose smoothly. Radians.
type ThinAirfoil struct {
	AlphaL0, Cm0, IdealAlpha, IdealCl float64
}

// Thin integrates thin-airfoil theory over the mean line:
//
//	alpha_L0 = -(1/pi) int z'(cos t - 1) dt,  A_n = (2/pi) int z' cos(nt) dt
//	cm_c/4 = (pi/4)(A2 - A1), alpha_i = (1/pi) int z' dt, x = (1 - cos t)/2
//
// by the midpoint rule in t with 2000 intervals (exact to about 1e-6 for
// the lines of the 4- and 5-digit families).
// Source: Glauert, The Elements of Aerofoil and Airscrew Theory, ch. VII.
func (s *Shape) Thin() ThinAirfoil { return s.thin() }

func (s *Shape) findThin() ThinAirfoil {
	n := 2000
	if s.mean == nil {
		n = 400
	}
	f := s.meanLine()
	first, last := 0.0, 1.0
	if s.mean == nil { // the ends of both sides, where the mean is defined
		p, _, _ := s.c.at(s.nose)
		first, last = math.Max(p[0], 0), math.Min(s.x[0], s.x[len(s.x)-1])
	}
	var i0, i1, i2 float64
	for k := range n {
		t := math.Pi * (float64(k) + 0.5) / float64(n)
		_, d := f(first + (last-first)*(1-math.Cos(t))/2)
		i0 += d
		i1 += d * math.Cos(t)
		i2 += d * math.Cos(2*t)
	}
	h := math.Pi / float64(n)
	i0, i1, i2 = i0*h, i1*h, i2*h
	r := ThinAirfoil{
		AlphaL0:    -(i1 - i0) / math.Pi,
		Cm0:        (i2 - i1) / 2,
		IdealAlpha: i0 / math.Pi,
	}
	r.IdealCl = 2 * math.Pi * (r.IdealAlpha - r.AlphaL0)
	return r
}

// Hash returns a hexadecimal content hash of the coordinates (to 1e-12) and
// the flap: equal shapes have equal hashes.
func (s *Shape) Hash() string {
	h := sha256.New()
	var b [8]byte
	put := func(v float64) {
		binary.LittleEndian.PutUint64(b[:], uint64(int64(math.Round(v*1e12))))
		h.Write(b[:])
	}
	for i := range s.x {
		put(s.x[i])
		put(s.y[i])
	}
	put(s.flap.Hinge)
	put(s.flap.Angle)
	if s.guessed {
		h.Write([]byte("guessed"))
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

// split returns thickness-across-chord and mean height at the given x.
func (s *Shape) split(x float64) (half, mean float64) {
	u, l := s.Upper(x), s.Lower(x)
	return (u - l) / 2, (u + l) / 2
}

// rebuild makes a shape from half thickness and mean height per x station.
func (s *Shape) rebuild(name string, f func(x, half, mean float64) (float64, float64)) *Shape {
	const n = 90
	x, y := make([]float64, 2*n+1), make([]float64, 2*n+1)
	for i := 0; i <= n; i++ {
		xi := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		half, mean := 0.0, 0.0
		if i > 0 {
			half, mean = s.split(xi)
		} else {
			p, _, _ := s.c.at(s.nose)
			mean = p[1]
		}
		half, mean = f(xi, half, mean)
		x[n-i], x[n+i] = xi, xi
		y[n-i], y[n+i] = mean+half, mean-half
	}
	r := newShape(name, x, y)
	r.guessed, r.coarse = s.guessed, s.coarse
	return r
}

// WithThickness returns the shape with its thickness scaled so that its
// maximum is t (chords, 0.01 to 0.5, else panic); the mean line is kept.
func (s *Shape) WithThickness(t float64) *Shape {
	if !(t >= 0.01 && t <= 0.5) {
		panic(fmt.Sprintf("section: thickness %g", t))
	}
	old, _ := s.Thickness()
	k := t / old
	r := s.rebuild(fmt.Sprintf("%s at %.3g %% thick", s.name, t*100), func(_, half, mean float64) (float64, float64) {
		return k * half, mean
	})
	r.mean = s.mean
	return r
}

// WithCamber returns the shape with its mean line scaled so that the height
// of its peak is m (chords, -0.2 to 0.2, else panic); a shape without camber
// is returned unchanged when m is zero, and given a mean line of the
// four-digit family with its peak at 40 % otherwise.
func (s *Shape) WithCamber(m float64) *Shape {
	if !(math.Abs(m) <= 0.2) {
		panic(fmt.Sprintf("section: camber %g", m))
	}
	name := fmt.Sprintf("%s at %.3g %% camber", s.name, m*100)
	old, _ := s.Camber()
	if old == 0 {
		line := fourDigitLine(m, 0.4)
		r := s.rebuild(name, func(x, half, _ float64) (float64, float64) {
			z, _ := line(x)
			return half, z
		})
		r.mean = line
		return r
	}
	k := m / old
	r := s.rebuild(name, func(_, half, mean float64) (float64, float64) { return half, k * mean })
	if line := s.mean; line != nil {
		r.mean = func(x float64) (float64, float64) { z, d := line(x); return k * z, k * d }
	}
	return r
}

// Closed returns the shape with a sharp trailing edge: half the gap times
// x^4 is taken off each side, which for the four-digit thickness is the
// well-known change of its last coefficient.
func (s *Shape) Closed() *Shape {
	gap, _ := s.TrailingEdge()
	if gap == 0 {
		return s
	}
	n := len(s.x) - 1
	dx, dy := (s.x[0]-s.x[n])/2, (s.y[0]-s.y[n])/2
	x, y := s.Points()
	for i := range x {
		sign := 1.0
		if s.c.s[i] > s.nose {
			sign = -1
		}
		w := sign * math.Pow(math.Max(x[i], 0), 4)
		x[i] -= w * dx
		y[i] -= w * dy
	}
	r := newShape(s.name, x, y)
	r.mean, r.flap, r.base, r.guessed, r.coarse = s.mean, s.flap, s.base, s.guessed, s.coarse
	return r
}

// opened returns the shape with its trailing edge at least gap thick, both
// sides moved out by a share of x^8.
func (s *Shape) opened(gap float64) *Shape {
	n := len(s.x) - 1
	ux, uy := unitOf(s.x[0]-s.x[1], s.y[0]-s.y[1])
	lx, ly := unitOf(s.x[n]-s.x[n-1], s.y[n]-s.y[n-1])
	bx, by := unitOf(ux+lx, uy+ly)
	have := bx*(s.y[0]-s.y[n]) - by*(s.x[0]-s.x[n])
	if have >= gap {
		return s
	}
	x, y := s.Points()
	for i := range x {
		w := math.Pow(math.Max(x[i], 0), 8) * (gap - have) / 2
		if s.c.s[i] > s.nose {
			w = -w
		}
		x[i] -= w * by
		y[i] += w * bx
	}
	r := newShape(s.name, x, y)
	r.mean, r.flap, r.base, r.guessed, r.coarse = s.mean, s.flap, s.base, s.guessed, s.coarse
	return r
}

// WithFlap returns the shape with the part behind the hinge turned by angle
// (radians, trailing edge down positive) about the middle of the thickness
// at the hinge. The bend is spread smoothly over a short stretch, as a taped
// hinge does: half its length is the larger of 1 % of chord and three times
// half-thickness times angle. The chord and the axes stay those of the
// undeflected shape. Panics when the hinge is outside 0.05 to 0.98, the
// angle beyond 60 degrees, or the shape has a flap already.
func (s *Shape) WithFlap(hinge, angle float64) *Shape {
	switch {
	case !(hinge >= 0.05 && hinge <= 0.98):
		panic(fmt.Sprintf("section: hinge at %g chords", hinge))
	case !(math.Abs(angle) <= math.Pi/3):
		panic(fmt.Sprintf("section: flap angle %g rad", angle))
	case s.flap.Hinge != 0:
		panic("section: a second flap")
	}
	half, yh := s.split(hinge)
	w := math.Min(math.Max(0.01, 1.5*half*math.Abs(angle)), 0.9*(1-hinge))
	// Points dense enough for the bend.
	base := s.dense(hinge, w)
	x, y := base.Points()
	for i := range x {
		t := math.Min(math.Max((x[i]-hinge)/(2*w)+0.5, 0), 1)
		a := -angle * t * t * (3 - 2*t)
		dx, dy := x[i]-hinge, y[i]-yh
		sn, cs := math.Sincos(a)
		x[i], y[i] = hinge+dx*cs-dy*sn, yh+dx*sn+dy*cs
	}
	r := newShape(s.name, x, y)
	r.flap, r.base, r.guessed, r.coarse = Flap{hinge, angle}, s, s.guessed, s.coarse
	return r
}

// WithoutFlap returns the shape before [Shape.WithFlap], or the shape itself.
func (s *Shape) WithoutFlap() *Shape {
	if s.base != nil {
		return s.base
	}
	return s
}

// dense resamples the shape with extra points within 2w of the hinge.
func (s *Shape) dense(hinge, w float64) *Shape {
	density := func(st float64) float64 {
		p, _, _ := s.c.at(st)
		d := (p[0] - hinge) / (1.5 * w)
		return s.weight(st) + 25*math.Exp(-d*d)
	}
	x, y, _ := s.spread(300, density)
	r := newShape(s.name, x, y)
	r.guessed, r.coarse = s.guessed, s.coarse
	return r
}

// weight is the relative density of panel nodes at arc length st: even,
// finer towards both edges and where the surface bends.
func (s *Shape) weight(st float64) float64 {
	p, _, _ := s.c.at(st)
	k := math.Abs(s.c.curvature(st))
	te := math.Min(math.Abs(st), math.Abs(s.c.end()-st))
	_ = p
	return 1 + 0.9*math.Sqrt(math.Min(k, 300)) + 1.5*math.Exp(-te/0.04)
}

// spread places n+1 nodes so that each interval holds the same integral of
// the density, always with one at the nose, and returns x, y and arc length.
func (s *Shape) spread(n int, density func(st float64) float64) (x, y, at []float64) {
	const fine = 1200
	end := s.c.end()
	raw := make([]float64, fine+1)
	for i := range raw {
		raw[i] = density(end * float64(i) / fine)
	}
	// Smooth the density so that neighbouring panels differ little.
	for range 60 {
		prev := raw[0]
		for i := 1; i < fine; i++ {
			v := raw[i]
			raw[i] = (prev + 2*v + raw[i+1]) / 4
			prev = v
		}
	}
	// A nose sharper than the smoothing is long (sections below about 7 %)
	// keeps its panels: the peak of speed on it is no wider than its radius.
	if r := math.Max(s.LeadingEdgeRadius(), 0.0005); r < 0.005 {
		top := 0.9 * math.Sqrt(1/r)
		for i := range raw {
			d := (end*float64(i)/fine - s.nose) / (3*r + 0.002)
			raw[i] = math.Max(raw[i], top*math.Exp(-d*d))
		}
	}
	cum := make([]float64, fine+1)
	for i := 1; i <= fine; i++ {
		cum[i] = cum[i-1] + (raw[i]+raw[i-1])/2
	}
	x, y, at = make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	j := 0
	for i := range at {
		want := cum[fine] * float64(i) / float64(n)
		for j < fine-1 && cum[j+1] < want {
			j++
		}
		st := end * (float64(j) + (want-cum[j])/(cum[j+1]-cum[j])) / fine
		if i == 0 {
			st = 0
		} else if i == n {
			st = end
		}
		p, _, _ := s.c.at(st)
		x[i], y[i], at[i] = p[0], p[1], st
	}
	return x, y, at
}

// Repanel returns the coordinates of n+1 nodes (n panels, at least 20) on
// the spline through the shape, dense at the nose, the trailing edge and a
// flap's hinge.
func (s *Shape) Repanel(n int) (x, y []float64) {
	x, y, _ = s.spread(max(n, 20), s.weight)
	return x, y
}
