package fit

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// CarverNeed is the least width b of a rectangle a x b that takes a
// rectangle p x q (p >= q) lying askew when p > a:
// [2pqa + (p²-q²)√(p²+q²-a²)]/(p²+q²) (Carver 1957). When p <= a it simply is q.
// +Inf when q > a: then no width helps. NaN for sides that are not positive.
func CarverNeed(p, q, a float64) float64 {
	if !(p > 0 && q > 0 && a > 0) || math.IsInf(p+q+a, 0) {
		return math.NaN()
	}
	if p < q {
		p, q = q, p
	}
	if p <= a {
		return q
	}
	if q > a {
		return math.Inf(1)
	}
	return (2*p*q*a + (p*p-q*q)*math.Sqrt(p*p+q*q-a*a)) / (p*p + q*q)
}

// Rectangle says whether a rectangle p x q goes into a x b, straight or
// askew; askew is true when only askew. It does not matter in which order the
// sides of each are given.
func Rectangle(p, q, a, b float64) (fits, askew bool) {
	if p < q {
		p, q = q, p
	}
	if a < b {
		a, b = b, a
	}
	if !(p > 0 && q > 0 && b > 0) {
		return false, false
	}
	if p <= a && q <= b {
		return true, false
	}
	if q > b {
		return false, false
	}
	if CarverNeed(p, q, a) <= b {
		return true, true
	}
	return false, false
}

func axes(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

// Way is one way of putting a part into a bay.
type Way struct {
	// Along[i] is the part's axis (0, 1, 2) that lies along the bay's axis i.
	Along [3]int
	// Over[i] is by how much the part is too long along the bay's axis i; negative: room left.
	Over [3]float64
	// Askew is the bay's axis about which it is turned out of square to go in, -1 when straight.
	Askew int
	Fits  bool
}

// Miss is the largest excess, 0 or less when it fits straight.
func (w Way) Miss() float64 { return math.Max(w.Over[0], math.Max(w.Over[1], w.Over[2])) }

var orders = [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

// Into tries the six ways of laying a box of the given size into a bay with a
// clearance all round, straight and then turned about one axis (Carver). The
// ways come best first: those that fit, then by the least miss. Nil for sizes
// that are not positive.
func Into(size, bay r3.Vec, clearance float64) []Way {
	s, b := axes(size), axes(bay)
	for i := range 3 {
		b[i] -= 2 * clearance
		if !(s[i] > 0) || math.IsInf(s[i], 0) || math.IsNaN(b[i]) {
			return nil
		}
	}
	var out []Way
	for _, o := range orders {
		w := Way{Along: o, Askew: -1, Fits: true}
		for i := range 3 {
			w.Over[i] = s[o[i]] - b[i]
			w.Fits = w.Fits && w.Over[i] <= 0
		}
		if !w.Fits {
			for i := range 3 { // turned about the bay's axis i
				j, k := (i+1)%3, (i+2)%3
				if w.Over[i] > 0 {
					continue
				}
				if ok, _ := Rectangle(s[o[j]], s[o[k]], b[j], b[k]); ok {
					w.Fits, w.Askew = true, i
					break
				}
			}
		}
		out = append(out, w)
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.Fits != b.Fits {
			return a.Fits
		}
		if (a.Askew < 0) != (b.Askew < 0) && a.Fits {
			return a.Askew < 0
		}
		return a.Miss() < b.Miss()
	})
	return out
}

// Cure is one change that makes it fit.
type Cure struct {
	What    string
	By      float64  // m
	Weakens string   // "" when nothing is
	Set     []string // "path=value" that make it in the build, when some do
}

// Solid is a box in its place, in build axes.
type Solid struct {
	Name     string
	At, Size r3.Vec
}

// Clash is two boxes that overlap, with the least push that parts them.
type Clash struct {
	A, B string
	Axis int     // 0, 1, 2: along x, y, z
	By   float64 // m
}

// Clashes lists the overlapping pairs, worst first. Boxes that only touch do
// not clash.
func Clashes(list []Solid) []Clash {
	var out []Clash
	for i := range list {
		for j := i + 1; j < len(list); j++ {
			d := axes(r3.Sub(list[i].At, list[j].At))
			s := axes(r3.Add(list[i].Size, list[j].Size))
			c := Clash{A: list[i].Name, B: list[j].Name, By: math.Inf(1)}
			for k := range 3 {
				o := s[k]/2 - math.Abs(d[k])
				if !(o > 1e-9) {
					c.By = 0
					break
				}
				if o < c.By {
					c.Axis, c.By = k, o
				}
			}
			if c.By > 0 && !math.IsInf(c.By, 0) {
				out = append(out, c)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].By > out[j].By })
	return out
}

// Gap is the least distance between two boxes, 0 when they touch or overlap.
func Gap(a, b Solid) float64 {
	d, s := axes(r3.Sub(a.At, b.At)), axes(r3.Add(a.Size, b.Size))
	var sum float64
	for k := range 3 {
		g := math.Max(0, math.Abs(d[k])-s[k]/2)
		sum += g * g
	}
	return math.Sqrt(sum)
}

// Section is one cross section of a shell, an ellipse, its outside.
type Section struct{ X, Z, Width, Height float64 }

// rim is the unit circle in 48 steps.
var rim = func() (out [48][2]float64) {
	for i := range out {
		out[i][1], out[i][0] = math.Sincos(2 * math.Pi * float64(i) / float64(len(out)))
	}
	return
}()

// corner is the unit square.
var corner = [][2]float64{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}}

// inShell says by how much a box stands out of a shell of elliptic cross
// sections joined by straight lines, with skin thickness and clearance taken
// off: the largest outward excess of its corners along the ray from the
// section's middle, m; negative is room left. Corners are looked at at the
// box's ends and at each station between: exact for straight lines. ok is false
// when there is no shell. The sections may be square, the box a cylinder that
// lies along x.
func inShell(s Solid, shell []Section, wall float64, square, round bool) (miss float64, at r3.Vec, ok bool) {
	if len(shell) < 2 {
		return 0, r3.Vec{}, false
	}
	x0, x1 := s.At.X-s.Size.X/2, s.At.X+s.Size.X/2
	miss = math.Inf(-1)
	edge := corner
	if round {
		edge = edge[:0:0]
		for _, p := range rim {
			edge = append(edge, p)
		}
	}
	see := func(x float64, c Section) {
		a, b := c.Width/2-wall, c.Height/2-wall
		for _, e := range edge {
			p := r3.Vec{X: x, Y: s.At.Y + e[0]*s.Size.Y/2, Z: s.At.Z + e[1]*s.Size.Z/2}
			dy, dz := p.Y, p.Z-c.Z
			r := math.Hypot(dy, dz)
			var m float64
			switch {
			case square:
				m = math.Max(math.Abs(dy)-a, math.Abs(dz)-b)
			case a <= 0 || b <= 0:
				m = r + math.Max(-a, -b)
			case r == 0:
				m = -math.Min(a, b)
			default:
				m = r - r/math.Hypot(dy/a, dz/b)
			}
			if m > miss {
				miss, at = m, p
			}
		}
	}
	first, last := shell[0], shell[len(shell)-1]
	if x0 < first.X {
		return first.X - x0, r3.Vec{X: x0, Y: s.At.Y, Z: s.At.Z}, true
	}
	if x1 > last.X {
		return x1 - last.X, r3.Vec{X: x1, Y: s.At.Y, Z: s.At.Z}, true
	}
	for _, x := range []float64{x0, x1} {
		for i := 1; i < len(shell); i++ {
			p, q := shell[i-1], shell[i]
			if x >= p.X && x <= q.X {
				k := 0.0
				if q.X > p.X {
					k = (x - p.X) / (q.X - p.X)
				}
				mix := func(a, b float64) float64 { return a + k*(b-a) }
				see(x, Section{x, mix(p.Z, q.Z), mix(p.Width, q.Width), mix(p.Height, q.Height)})
				break
			}
		}
	}
	for _, c := range shell {
		if c.X > x0 && c.X < x1 {
			see(c.X, c)
		}
	}
	return miss, at, true
}
