package fit

import (
	"fmt"
	"math"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Skin gives the outsides (build z) of a surface's lower and upper skin at a
// place along its span, over build x; ok is false off the surface or its
// chord. Passed in, because sections belong to another room.
type Skin func(surface int, y, x float64) (low, high float64, ok bool)

// Cavity is a bay made ready: what may stand in it, with clearance and, for a
// surface, wall taken off.
type Cavity struct {
	Name  string
	bay   *craft.Bay // nil: the body's shell
	shell []Section
	gap   float64 // taken off all round, m
	wall  float64 // skin of a surface
	skin  Skin
	sigma float64 // standard deviation of one of its sides
}

// Out is by how much a solid stands out of a cavity: Miss, negative for the
// room left; along Axis (0, 1, 2; -1 across the section); what a free choice of height or
// place would leave it at, Best, and the shift dz that reaches it.
type Out struct {
	Miss  float64
	Axis  int
	At    r3.Vec
	Best  float64
	Shift r3.Vec
	OK    bool // false when there is nothing to stand in
}

// BodyCavity is the inside of the body's shell, elliptic sections.
func BodyCavity(ac *craft.Aircraft) Cavity {
	c := Cavity{Name: "body", gap: ac.Inside.Wall, sigma: 1e-3}
	for _, b := range ac.Body {
		c.shell = append(c.shell, Section{b.X, b.Z, b.Width, b.Height})
	}
	return c
}

// BayCavity is the inside of a bay.
func BayCavity(ac *craft.Aircraft, i int, skin Skin) Cavity {
	b := &ac.Inside.Bays[i]
	c := Cavity{Name: b.Name, bay: b, gap: ac.Inside.Clearance, wall: ac.Inside.Wall, skin: skin, sigma: b.Sigma}
	if b.Kind == craft.ShellBay {
		for _, s := range b.Sections {
			c.shell = append(c.shell, Section{s.X, s.Z, s.Width, s.Height})
		}
	}
	if b.Kind == craft.BoxBay {
		c.sigma = math.Max(b.Box.SizeSigma.X, math.Max(b.Box.SizeSigma.Y, b.Box.SizeSigma.Z))
	}
	return c
}

// Stands says by how much a solid stands out of the cavity, in its place.
// round is its cylinder axis, 0 for a box. Exact for boxes and for shells of
// straight lines; a surface is looked at at nine places along and three across
// the part, which for sections of usual nose radius is within 0.1 mm.
func (c *Cavity) Stands(s Solid, round int) Out {
	switch {
	case c.bay == nil || c.bay.Kind == craft.ShellBay:
		return c.inShell(s, round)
	case c.bay.Kind == craft.SurfaceBay:
		return c.inSurface(s)
	}
	d, h, b := axes(r3.Sub(s.At, c.bay.Box.At)), axes(s.Size), axes(c.bay.Box.Size)
	o := Out{Miss: math.Inf(-1), Best: math.Inf(-1), OK: true}
	var shift [3]float64
	for k := range 3 {
		free := h[k]/2 + c.gap - b[k]/2
		if m := math.Abs(d[k]) + free; m > o.Miss {
			o.Miss, o.Axis = m, k
			o.At = s.At
		}
		o.Best = math.Max(o.Best, free)
		if m := math.Abs(d[k]) + free; m > 0 {
			shift[k] = -math.Copysign(math.Min(m, math.Abs(d[k])), d[k])
		}
	}
	o.Shift = r3.Vec{X: shift[0], Y: shift[1], Z: shift[2]}
	return o
}

func (c *Cavity) inShell(s Solid, round int) Out {
	square := c.bay != nil && c.bay.Square
	miss, at, ok := inShell(s, c.shell, c.gap, square, round == 1)
	o := Out{Miss: miss, Axis: -1, At: at, Best: miss, OK: ok}
	if !ok {
		return o
	}
	if x0, x1 := s.At.X-s.Size.X/2, s.At.X+s.Size.X/2; x0 < c.shell[0].X || x1 > c.shell[len(c.shell)-1].X {
		o.Axis = 0
	}
	if miss <= 0 {
		return o
	}
	// The nearest place along x, and by height, that lets it in.
	for d := 0.5e-3; d <= 0.25; d += 0.5e-3 {
		for _, v := range []r3.Vec{{Z: d}, {Z: -d}, {X: d}, {X: -d}} {
			if v.Z != 0 && d > 0.05 {
				continue
			}
			t := s
			t.At = r3.Add(s.At, v)
			if m, _, ok := inShell(t, c.shell, c.gap, square, round == 1); ok && m <= 0 {
				o.Best, o.Shift = m, v
				return o
			}
		}
	}
	return o
}

func (c *Cavity) inSurface(s Solid) Out {
	b := c.bay
	if c.skin == nil {
		return Out{}
	}
	low, high := math.Inf(-1), math.Inf(1)
	at := s.At
	half := s.Size.Y / 2
	for _, y := range []float64{math.Abs(s.At.Y) - half, math.Abs(s.At.Y), math.Abs(s.At.Y) + half} {
		for i := range 9 {
			x := s.At.X + s.Size.X*(float64(i)/8-0.5)
			l, h, ok := c.skin(b.Surface, y, x)
			if !ok {
				return Out{Miss: math.Max(s.Size.Z, 1e-3), Axis: 0, At: r3.Vec{X: x, Y: y, Z: s.At.Z}, Best: math.Max(s.Size.Z, 1e-3), OK: true}
			}
			if l > low {
				low = l
			}
			if h < high {
				high, at = h, r3.Vec{X: x, Y: y}
			}
		}
	}
	low, high = low+c.wall+c.gap, high-c.wall-c.gap
	o := Out{Axis: 2, At: at, OK: true}
	o.Miss = math.Max(s.At.Z+s.Size.Z/2-high, low-s.At.Z+s.Size.Z/2)
	o.Best = (s.Size.Z - (high - low)) / 2
	o.Shift.Z = (low+high)/2 - s.At.Z
	o.At.Z = s.At.Z
	if m := math.Max(b.From-(s.At.X-s.Size.X/2), s.At.X+s.Size.X/2-b.To) + c.gap; m > o.Miss {
		o.Miss, o.Axis = m, 0
		o.Best = math.Max(o.Best, (s.Size.X-(b.To-b.From))/2+c.gap)
		o.Shift = r3.Vec{X: (b.From+b.To)/2 - s.At.X}
	}
	if b.Wide > 0 {
		if m := math.Abs(math.Abs(s.At.Y)-b.Y) + s.Size.Y/2 - b.Wide/2 + c.gap; m > o.Miss {
			o.Miss, o.Axis = m, 1
			o.Best = math.Max(o.Best, (s.Size.Y-b.Wide)/2+c.gap)
			o.Shift = r3.Vec{Y: b.Y - math.Abs(s.At.Y)}
		}
	}
	return o
}

// Least is the depth and height of the cavity where a part stands, for words.
func (c *Cavity) word() string {
	switch {
	case c.bay == nil:
		return fmt.Sprintf("the body (elliptic sections less %.1f mm of wall)", c.gap*1e3)
	case c.bay.Kind == craft.SurfaceBay:
		return fmt.Sprintf("the bay %s (true section less %.1f mm of skin and %.1f mm of clearance)", c.Name, c.wall*1e3, c.gap*1e3)
	}
	return fmt.Sprintf("the bay %s (less %.1f mm of clearance)", c.Name, c.gap*1e3)
}
