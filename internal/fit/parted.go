package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// parted finds the smallest move of one of two things in one place (a part and
// another, or a solid of the airframe) that leaves both free of all others and
// inside its bay: along x as far as it may move, else along x or in height by
// up to 300 mm, in whole millimetres. ok is false when there is none.
func parted(ac *craft.Aircraft, all []placed, bays map[string]int, skin Skin, a, b string) (best Cure, ok bool) {
	best.By = math.Inf(1)
	for i := range all {
		q := &all[i]
		p := q.part
		if !q.sized || p.Twin || q.solid.Name != a && q.solid.Name != b {
			continue
		}
		free := func(t Solid) bool {
			for j := range all {
				if o := &all[j]; j != i && o.sized && len(Clashes([]Solid{t, o.solid})) > 0 {
					return false
				}
			}
			for _, s := range ac.Inside.Solids {
				if len(Clashes([]Solid{t, {s.Name, s.At, s.Size}})) > 0 {
					return false
				}
			}
			if at, given := bays[p.Bay]; given {
				c := BayCavity(ac, at, skin)
				o := c.Stands(t, p.Round)
				return o.OK && o.Miss <= 1e-9
			}
			return true
		}
		for _, axis := range []int{0, 2} {
			low, high := -0.3, 0.3
			if axis == 0 && p.MaxAt.X > p.MinAt.X {
				low, high = p.MinAt.X-p.At.X, p.MaxAt.X-p.At.X
			}
			now := axes(p.At)[axis]
			// Nothing goes through the airframe: a way ends at what it meets there.
			var ends [2]bool
			meets := func(t Solid) bool {
				for _, s := range ac.Inside.Solids {
					if s.Name != a && s.Name != b && len(Clashes([]Solid{t, {s.Name, s.At, s.Size}})) > 0 {
						return true
					}
				}
				return false
			}
			for mm := 1; mm <= 300 && float64(mm)*1e-3 < best.By; mm++ {
				for k, way := range []float64{1, -1} {
					to := math.Round((now+way*float64(mm)*1e-3)*1e3) / 1e3 // whole millimetres are written
					d := to - now
					if d < low-1e-9 || d > high+1e-9 || math.Abs(d) >= best.By {
						continue
					}
					t := q.solid
					if axis == 0 {
						t.At = r3.Add(t.At, r3.Vec{X: d})
					} else {
						t.At = r3.Add(t.At, r3.Vec{Z: d})
					}
					if ends[k] = ends[k] || meets(t); ends[k] {
						continue
					}
					if free(t) {
						name := [3]string{"x", "y", "z"}[axis]
						best = Cure{What: fmt.Sprintf("move %s to %s = %.0f mm", p.Name, name, to*1e3), By: math.Abs(d), Set: fmt.Sprintf("%s.at.%s=%.0f mm", p.Path(), name, to*1e3)}
						ok = true
					}
				}
			}
		}
	}
	return best, ok
}
