package prop

import (
	"math"

	"fledge/internal/num"
)

// Map is a propeller tabulated for one air: thrust and torque over the angle
// between axial and tip speed (0 at rest, 90 deg when stopped) and the
// helical tip speed, which carries Reynolds and Mach number. It covers every
// forward state without a seam. Against the [Source]: 0.6 % of the static
// thrust and torque of that speed of rotation at worst, 0.3 % as a rule.
// Immutable, allocation-free.
type Map struct {
	Radius float64
	Gas    Gas
	grid   *num.Grid2
	kt, kq float64
}

// Range of the helical tip speed of a [Map], m/s; outside it the nearest
// speed's coefficients are used (LowSpeed) or the point is flagged
// [Transonic].
const (
	mapLow  = 3.0
	mapHigh = 330.0
)

const mapBend = 0.35 // finer towards rest

// mapSpeed is the place of a tip speed: its logarithm for the Reynolds number
// and itself for the Mach number.
func mapSpeed(s float64) float64 { return math.Log(s/mapLow) + s/80 }

func mapUnspeed(p float64) float64 {
	s := mapHigh
	for range 30 { // Newton on a concave rising function, from above
		s = math.Max(s-(mapSpeed(s)-p)/(1/s+1.0/80), 0.5*mapLow)
	}
	return s
}

func mapPlace(theta float64) float64 { return theta / (theta + mapBend) }

// NewMap tabulates a source of the given diameter.
func NewMap(s Source, diameter float64, g Gas) *Map {
	m := &Map{Radius: diameter / 2, Gas: g}
	m.kt = g.Rho * m.Radius * m.Radius
	m.kq = m.kt * m.Radius
	x := num.Span(mapSpeed(mapLow), mapSpeed(mapHigh), 14)
	y := num.Span(0, mapPlace(math.Pi/2), 57)
	m.grid = num.NewGrid2(x, y, 2, func(place, p float64, out []float64) {
		sp := mapUnspeed(place)
		theta := math.Min(mapBend*p/(1-p), math.Pi/2)
		v, w := sp*math.Sin(theta), sp*math.Cos(theta)
		if theta > math.Pi/2-1e-9 {
			v, w = sp, 0
		}
		l := s.At(v, w/m.Radius, g)
		out[0] = l.Thrust / (m.kt * sp * sp)
		out[1] = l.Torque / (m.kq * sp * sp)
	})
	return m
}

// At is thrust (N) and torque (N m) at axial speed v >= 0 and omega >= 0. The
// flag is false where the tip passes the table's end (330 m/s).
func (m *Map) At(v, omega float64) (thrust, torque float64, inside bool) {
	w := omega * m.Radius
	s2 := v*v + w*w
	if s2 == 0 {
		return 0, 0, true
	}
	var out [2]float64
	s := math.Sqrt(s2)
	m.grid.At(mapSpeed(s), mapPlace(math.Atan2(v, w)), out[:])
	return out[0] * m.kt * s2, out[1] * m.kq * s2, s2 <= mapHigh*mapHigh
}

// Windmill is the speed (rad/s) at which the air drives the propeller against
// a friction torque (N m) at airspeed v, and the drag (N) then. When the air
// cannot turn it, omega is 0 and the drag that of the stopped propeller.
func (m *Map) Windmill(v float64, friction func(omega float64) float64) (drag, omega float64) {
	if !(v > 0) {
		return 0, 0
	}
	net := func(w float64) float64 { // > 0: needs drive
		_, q, _ := m.At(v, w)
		return q + friction(w)
	}
	// From the fast side down: the first place where the air drives.
	hi := v / m.Radius * 6
	const n = 48
	a := hi
	for i := n - 1; i >= 0; i-- {
		b := hi * float64(i) / n
		if net(b) < 0 {
			f := num.Root(net, b, a, 1e-6*hi)
			t, _, _ := m.At(v, f.X)
			return -t, f.X
		}
		a = b
	}
	t, _, _ := m.At(v, 0)
	return -t, 0
}
