// Package geo is the shape of the ground under a flight: the WGS-84
// ellipsoid and its exact conversions between latitude and longitude, earth
// centred coordinates and a local east-north-up frame.
//
// Angles are radians, lengths metres, azimuths clockwise from true north.
// Accuracy: 1e-8 m there and back; its tests hold it against the shortest
// line on the ellipsoid, which they hold against the published set.
package geo

import "math"

// The WGS-84 ellipsoid (NIMA TR 8350.2).
const (
	A   = 6378137.0         // equatorial radius, m
	F   = 1 / 298.257223563 // flattening
	B   = A * (1 - F)       // polar radius, m
	e2  = F * (2 - F)       // first eccentricity squared
	ep2 = e2 / (1 - e2)     // second eccentricity squared
)

// Point is a place on or above the ellipsoid: latitude and longitude in
// radians, height above the ellipsoid in metres.
type Point struct{ Lat, Lon, Height float64 }

// LatDeg and LonDeg are the coordinates in degrees.
func (p Point) LatDeg() float64 { return p.Lat * 180 / math.Pi }

// LonDeg is the longitude in degrees.
func (p Point) LonDeg() float64 { return p.Lon * 180 / math.Pi }

// Valid reports whether the point is finite with a latitude within ±90° and
// a longitude within ±360°.
func (p Point) Valid() bool {
	return math.Abs(p.Lat) <= math.Pi/2+1e-12 && math.Abs(p.Lon) <= 2*math.Pi+1e-12 && !math.IsNaN(p.Height) && !math.IsInf(p.Height, 0)
}

// Radii returns the radii of curvature at a latitude, m: along the meridian
// M = a(1−e²)/(1−e²sin²φ)^1.5 and across it N = a/√(1−e²sin²φ).
func Radii(lat float64) (meridian, across float64) {
	s := math.Sin(lat)
	w := 1 - e2*s*s
	return A * (1 - e2) / (w * math.Sqrt(w)), A / math.Sqrt(w)
}

// ECEF is the point in earth centred, earth fixed axes, m: x through the
// crossing of equator and prime meridian, z through the north pole.
func (p Point) ECEF() [3]float64 {
	_, n := Radii(p.Lat)
	sl, cl := math.Sincos(p.Lat)
	so, co := math.Sincos(p.Lon)
	return [3]float64{(n + p.Height) * cl * co, (n + p.Height) * cl * so, (n*(1-e2) + p.Height) * sl}
}

// FromECEF is the inverse of [Point.ECEF], for any point more than 43 km from
// the earth's centre. Bowring's formula iterated on the reduced latitude;
// accuracy better than 1e-8 m below 100 km of height (round trip).
func FromECEF(x [3]float64) Point {
	p := math.Hypot(x[0], x[1])
	lon := math.Atan2(x[1], x[0])
	sb, cb := unit(x[2], p*(1-F)) // reduced latitude of the first guess
	var lat float64
	for i := 0; i < 6; i++ {
		next := math.Atan2(x[2]+ep2*B*sb*sb*sb, p-e2*A*cb*cb*cb)
		done := math.Abs(next-lat) < 1e-16 && i > 0
		lat = next
		if done {
			break
		}
		s, c := math.Sincos(lat)
		sb, cb = unit((1-F)*s, c)
	}
	s, c := math.Sincos(lat)
	_, n := Radii(lat)
	// height along the normal, well conditioned everywhere
	h := p*c + x[2]*s - n*(1-e2*s*s)
	return Point{lat, lon, h}
}

// Frame is a local east, north, up frame tangent to the ellipsoid's normal at
// its origin.
type Frame struct {
	Origin Point
	at     [3]float64
	r      [3][3]float64 // rows: east, north, up
}

// NewFrame sets a frame at an origin.
func NewFrame(o Point) Frame {
	sl, cl := math.Sincos(o.Lat)
	so, co := math.Sincos(o.Lon)
	return Frame{Origin: o, at: o.ECEF(), r: [3][3]float64{
		{-so, co, 0},
		{-sl * co, -sl * so, cl},
		{cl * co, cl * so, sl},
	}}
}

// ENU is the point east, north and up of the origin, m. Exact.
func (f Frame) ENU(p Point) [3]float64 {
	x := p.ECEF()
	d := [3]float64{x[0] - f.at[0], x[1] - f.at[1], x[2] - f.at[2]}
	var out [3]float64
	for i, row := range f.r {
		out[i] = row[0]*d[0] + row[1]*d[1] + row[2]*d[2]
	}
	return out
}

// Point is the inverse of [Frame.ENU].
func (f Frame) Point(enu [3]float64) Point {
	x := f.at
	for i, row := range f.r {
		for j := range x {
			x[j] += row[j] * enu[i]
		}
	}
	return FromECEF(x)
}

// Ground is the frame's map for speeds: east and north along the ellipsoid's
// surface by its radii at the origin, up by the difference of heights. Unlike
// the tangent plane it does not lose height with distance; against the
// geodesic it is good to 3e-4 of the distance at 1.6 km, and better nearer.
func (f Frame) Ground(p Point) [3]float64 {
	m, n := Radii(f.Origin.Lat)
	dl := math.Remainder(p.Lon-f.Origin.Lon, 2*math.Pi)
	mid := (p.Lat + f.Origin.Lat) / 2
	return [3]float64{(n + f.Origin.Height) * math.Cos(mid) * dl, (m + f.Origin.Height) * (p.Lat - f.Origin.Lat), p.Height - f.Origin.Height}
}

// FromGround is the inverse of [Frame.Ground].
func (f Frame) FromGround(enu [3]float64) Point {
	m, n := Radii(f.Origin.Lat)
	lat := f.Origin.Lat + enu[1]/(m+f.Origin.Height)
	mid := (lat + f.Origin.Lat) / 2
	return Point{lat, f.Origin.Lon + enu[0]/((n+f.Origin.Height)*math.Cos(mid)), f.Origin.Height + enu[2]}
}

// unit scales (s, c) to unit length.
func unit(s, c float64) (float64, float64) {
	h := math.Hypot(s, c)
	if h == 0 {
		return 0, 1
	}
	return s / h, c / h
}
