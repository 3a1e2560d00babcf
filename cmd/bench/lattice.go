package main

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

// lapackLU gives the factors of a matrix by the LAPACK installed here, once;
// nil where the command was built without (make bench finds out).
var lapackLU func(a []float64, n int) error

// lattice holds the lattice with all its cases and derivatives against the
// factors of a full matrix of its order, by gonum and, where there is one, by
// LAPACK, and fits how it grows with its panels.
func lattice(string) ([]row, error) {
	surface := wing.Surface{Name: "wing", Mirrored: true, Stations: []wing.Station{
		{Chord: 0.2, Twist: 0.02}, {LE: r3.Vec{X: 0.1, Y: 0.5, Z: 0.03}, Chord: 0.12, Twist: -0.02},
	}, Controls: []wing.Control{{Name: "elevon", From: 0.1, To: 0.45, ChordShare: 0.25}}}
	ref := wing.Reference{Area: 0.16, Span: 1, Chord: 0.165, Point: r3.Vec{X: 0.09}}
	solve := func(chordwise, spanwise int) func() error {
		return func() error {
			l, err := wing.New([]wing.Surface{surface}, ref, wing.Options{Chordwise: chordwise, Spanwise: spanwise})
			if err == nil && !(l.Derivatives().CLAlpha > 0) {
				err = fmt.Errorf("no lift in the lattice")
			}
			return err
		}
	}
	const n = 2 * 8 * 24
	a := make([]float64, n*n)
	for i := range a {
		a[i] = math.Sin(float64(i))
	}
	for i := range n {
		a[i*n+i] = 20
	}
	ours, err := best(8, solve(8, 24))
	if err != nil {
		return nil, err
	}
	floor, err := best(8, func() error { var f mat.LU; f.Factorize(mat.NewDense(n, n, a)); return nil })
	if err != nil {
		return nil, err
	}
	rows := []row{{what: "lattice 8 x 24 a side, all derivatives, over gonum's LU", got: ours / floor, aim: 4, note: fmt.Sprintf("  (%.1f ms over %.1f ms)", ours*1e3, floor*1e3)}}
	if lapackLU == nil {
		rows = append(rows, row{what: "the same over LAPACK's LU", got: math.NaN(), note: "skipped: no LAPACK here (Debian: liblapack-dev, or libopenblas-dev)"})
	} else {
		floor, err := best(8, func() error { return lapackLU(append([]float64(nil), a...), n) })
		if err != nil {
			return nil, err
		}
		rows = append(rows, row{what: "the same over LAPACK's LU", got: ours / floor, aim: 8, note: fmt.Sprintf("  (%.1f ms over %.1f ms)", ours*1e3, floor*1e3)})
	}
	var panels, took []float64
	for _, k := range [][2]int{{4, 24}, {8, 24}, {8, 48}, {12, 64}} {
		s, err := least(4, spent, solve(k[0], k[1]))
		if err != nil {
			return nil, err
		}
		panels, took = append(panels, float64(k[0]*k[1])), append(took, s)
	}
	return append(rows, grows("lattice with panels, 96 to 768 a side", panels, took, 3)), nil
}

// grows is the row of an exponent fitted to times over sizes.
func grows(what string, size, took []float64, aim float64) row {
	return row{what: "growth of " + what + ": exponent", got: exponent(size, took), aim: aim, note: fmt.Sprintf("  (%s to %s)", human(took[0]), human(took[len(took)-1]))}
}

// exponent is the slope of a line laid through the logarithms.
func exponent(size, took []float64) float64 {
	var x, y, xx, xy float64
	n := float64(len(size))
	for i := range size {
		u, v := math.Log(size[i]), math.Log(took[i])
		x, y, xx, xy = x+u, y+v, xx+u*u, xy+u*v
	}
	return (n*xy - x*y) / (n*xx - x*x)
}

// human is a time in seconds as one reads it.
func human(s float64) string {
	switch {
	case s < 1e-3:
		return fmt.Sprintf("%.0f us", s*1e6)
	case s < 1:
		return fmt.Sprintf("%.1f ms", s*1e3)
	}
	return fmt.Sprintf("%.2f s", s)
}
