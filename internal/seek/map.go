package seek

import (
	"context"
	"math"

	"fledge/internal/assess"
	"fledge/internal/craft"
)

// What the other settings of a map are.
const (
	AtBest = "at the best settings"
	AsSet  = "as set now"
)

// Map is the launch odds over two settings, all others held.
type Map struct {
	X, Y   Lever
	XS, YS []float64   // values, SI
	Odds   [][]float64 // Odds[j][i] at XS[i], YS[j]; NaN where no launch can come of it
	N      int         // launches a cell, the same draws in each
	At     [2]float64  // where the settings stand
	Base   string      // what the other settings are: AtBest or AsSet
}

// FindMap looks at odds over nx by ny values of two levers, n launches a cell.
func FindMap(ctx context.Context, ac *craft.Aircraft, x, y Lever, nx, ny, n int, look Look, progress func(stage string, done, total int)) (*Map, error) {
	m := &Map{X: x, Y: y, N: n}
	kx, _ := ac.Knob(x.Path)
	ky, _ := ac.Knob(y.Path)
	m.At = [2]float64{kx.Value, ky.Value}
	m.XS, m.YS = steps(x, nx), steps(y, ny)
	for j, vy := range m.YS {
		row := make([]float64, len(m.XS))
		for i, vx := range m.XS {
			c, ok := Setting{x, vx}.turn(ac)
			if ok {
				c, ok = Setting{y, vy}.turn(c)
			}
			if !ok {
				panic("seek: no numbers " + x.Path + ", " + y.Path)
			}
			g, err := look(ctx, c, assess.Ask{N: n})
			if err != nil {
				return nil, err
			}
			row[i] = g.Odds
			if g.Grave {
				row[i] = math.NaN()
			}
			if progress != nil {
				progress("odds map", j*len(m.XS)+i+1, len(m.XS)*len(m.YS))
			}
		}
		m.Odds = append(m.Odds, row)
	}
	return m, nil
}

// steps are n values from end to end of a lever's range, on its steps.
func steps(l Lever, n int) []float64 {
	out := make([]float64, 0, n)
	for i := range n {
		v := snap(l.Low+(l.High-l.Low)*float64(i)/float64(max(1, n-1)), l)
		if len(out) == 0 || v > out[len(out)-1]+0.5*l.Step {
			out = append(out, v)
		}
	}
	return out
}

// MapLever finds the lever of a path for a map: one of the settings, else one
// of the launch's remedies (wind, mass, hook), else nothing.
func MapLever(ac *craft.Aircraft, settings []Lever, path string) (Lever, bool) {
	for _, l := range settings {
		if l.Path == path {
			return l, true
		}
	}
	for _, l := range Levers(ac, "launch-odds") {
		if l.Path == path {
			return l, true
		}
	}
	return Lever{}, false
}

// MapPaths lists the paths that a map takes.
func MapPaths(ac *craft.Aircraft, settings []Lever) []string {
	var out []string
	seen := map[string]bool{}
	for _, l := range append(append([]Lever(nil), settings...), Levers(ac, "launch-odds")...) {
		if !seen[l.Path] {
			seen[l.Path] = true
			out = append(out, l.Path)
		}
	}
	return out
}
