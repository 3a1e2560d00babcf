package geo

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Deg is the point at the given degrees and metres.
func Deg(lat, lon, height float64) Point {
	return Point{lat * math.Pi / 180, lon * math.Pi / 180, height}
}
