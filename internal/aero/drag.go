package aero

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
	"fledge/internal/section"
	"fledge/internal/wing"
)

// Item is one contribution to the drag without lift.
type Item struct {
	Name     string
	DragArea float64 // m², at the speed asked for
	Why      string  // the formula in words, with its source
}

// item keeps the curve behind an Item.
type item struct {
	name, why string
	skin      *curve  // follows friction, by Reynolds number
	fixed     float64 // m²
	surface   int     // profile drag of a surface when >= 0 and skin is nil
}

const bodyFriction = "body, friction"

// Allowances, our choice inside the band of practice (interference 5 to
// 10 %, roughness and gaps 10 to 20 %; from memory).
const (
	interference = 0.075
	roughness    = 0.15
)

// SpheroidInertia returns k2 - k1, the difference of the inertia factors
// across and along a prolate spheroid of a fineness ratio (length over
// diameter, above 1): Lamb's closed form. 0 for a ball, 1 in the limit of a
// needle.
func SpheroidInertia(fineness float64) float64 {
	if !(fineness > 1.0001) {
		return 0
	}
	e2 := 1 - 1/(fineness*fineness)
	e := math.Sqrt(e2)
	l := math.Log((1+e)/(1-e)) / 2
	a0 := 2 * (1 - e2) / (e * e2) * (l - e)
	b0 := 1/e2 - (1-e2)/(e*e2)*l
	return b0/(2-b0) - a0/(2-a0)
}

// BodyFormFactor is 1 + 1.5/f^1.5 + 7/f^3 (Hoerner), f length over diameter.
func BodyFormFactor(f float64) float64 { return 1 + 1.5/math.Pow(f, 1.5) + 7/(f*f*f) }

// BaseDrag is the drag coefficient, on the base area, of a blunt end of a
// body: 0.029/sqrt(cf), cf the friction drag ahead of it on the base area
// (Hoerner).
func BaseDrag(cf float64) float64 { return 0.029 / math.Sqrt(math.Max(cf, 1e-4)) }

// RodDrag is the drag coefficient, on diameter times length, of a round rod
// across the stream at Reynolds number re on the diameter: 1.4 at 1e2, 1.0
// at 1e3, 1.15 from 1e4 to 2e5, 0.3 past the drag crisis at 5e5
// (Wieselsberger, after Hoerner), straight lines in log re between.
func RodDrag(re float64) float64 {
	return logTable(re, []float64{1e1, 1e2, 1e3, 1e4, 2e5, 5e5}, []float64{3, 1.4, 1.0, 1.15, 1.15, 0.3})
}

// StrutDrag is the drag coefficient, on thickness times length, of a
// streamlined strut: 0.06 above Re 1e5 on its chord, 0.25 at 2e4 (Hoerner).
func StrutDrag(re float64) float64 {
	return logTable(re, []float64{1e4, 2e4, 1e5}, []float64{0.35, 0.25, 0.06})
}

func logTable(x float64, xs, ys []float64) float64 {
	l := math.Log(math.Max(x, 1e-9))
	if l <= math.Log(xs[0]) {
		return ys[0]
	}
	for i := 1; i < len(xs); i++ {
		if a, b := math.Log(xs[i-1]), math.Log(xs[i]); l <= b {
			return ys[i-1] + (ys[i]-ys[i-1])*(l-a)/(b-a)
		}
	}
	return ys[len(ys)-1]
}

// bodyAt interpolates the body's cross section.
func bodyAt(b []craft.BodyStation, x float64) (w, h, z float64) {
	for i := 1; i < len(b); i++ {
		if x <= b[i].X || i == len(b)-1 {
			d := b[i].X - b[i-1].X
			t := 0.0
			if d > 0 {
				t = math.Min(math.Max((x-b[i-1].X)/d, 0), 1)
			}
			lerp := func(a, c float64) float64 { return a + t*(c-a) }
			return lerp(b[i-1].Width, b[i].Width), lerp(b[i-1].Height, b[i].Height), lerp(b[i-1].Z, b[i].Z)
		}
	}
	return 0, 0, 0
}

// Hull is what the body's shape amounts to.
type Hull struct {
	Length, Volume, Wetted, Frontal, Base float64
	Diameter                              float64 // of the circle of equal frontal area
}

// HullOf integrates the body: elliptic cross sections for volume and area,
// half way between ellipse and rectangle for the perimeter.
func HullOf(b []craft.BodyStation) (h Hull) {
	if len(b) < 2 {
		return h
	}
	x0, x1 := b[0].X, b[len(b)-1].X
	h.Length = x1 - x0
	const n = 200
	for i := range n {
		w, t, _ := bodyAt(b, x0+h.Length*(float64(i)+0.5)/n)
		a := math.Pi / 4 * w * t
		h.Volume += a * h.Length / n
		h.Wetted += (math.Pi/2 + 2) / 2 * (w + t) * h.Length / n
		h.Frontal = math.Max(h.Frontal, a)
	}
	end := b[len(b)-1]
	h.Base = math.Pi / 4 * end.Width * end.Height
	h.Diameter = math.Sqrt(4 / math.Pi * h.Frontal)
	return h
}

const bodyPoints = 40

// bluffness is the drag area of a flat nose and of an after body that closes
// too fast for the flow to follow.
func bluffness(b []craft.BodyStation, hull Hull) (nose, steep float64) {
	area := func(s craft.BodyStation) float64 { return math.Pi / 4 * s.Width * s.Height }
	if a := area(b[0]); a > 0.05*hull.Frontal {
		nose = 0.2 * a
	}
	for i := 1; i < len(b); i++ {
		d := area(b[i-1]) - area(b[i])
		dx := b[i].X - b[i-1].X
		if d <= 0 || dx < 0 {
			continue
		}
		r := (b[i-1].Width + b[i-1].Height - b[i].Width - b[i].Height) / 4
		steep += 0.3 * d * smooth((math.Atan2(r, dx)-15*math.Pi/180)/(20*math.Pi/180))
	}
	return nose, steep
}

// bodyMoment is the unstable moment of a slender body per unit of density,
// forward speed and cross speed, (pi/4) int w² (d beta/d alpha) dx: Multhopp's
// form, which is Munk's twice the volume over two when the local angle is the
// whole's and the sections are round; tall takes the heights for sideslip.
func bodyMoment(body []craft.BodyStation, tall bool, local func(i int) float64) float64 {
	const n = bodyPoints
	x0 := body[0].X
	dx := (body[len(body)-1].X - x0) / n
	sum := 0.0
	for i := range n {
		x := x0 + dx*(float64(i)+0.5)
		w, h, _ := bodyAt(body, x)
		if tall {
			w = h
		}
		sum += w * w * local(i) * dx
	}
	return math.Pi / 4 * sum
}

// bodies fills in the body's moment, side force and cross-flow.
func (b *builder) bodies() {
	m := b.m
	body := b.ac.Body
	if len(body) < 2 {
		return
	}
	hull := HullOf(body)
	if hull.Length <= 0 || hull.Diameter <= 0 {
		return
	}
	k := SpheroidInertia(math.Max(hull.Length/hull.Diameter, 1))
	// The root of the main wing: no moment of the body there (Multhopp).
	root := b.ac.Surfaces[b.ac.Ref.Wing].Stations[0]
	for _, st := range b.ac.Surfaces[b.ac.Ref.Wing].Stations {
		if math.Abs(st.LE.Y) < math.Abs(root.LE.Y) {
			root = st
		}
	}
	onWing := func(x float64) bool { return x >= root.LE.X && x <= root.LE.X+root.Chord }
	// Upwash ahead of the wing, downwash behind it, at 40 points.
	var points [bodyPoints]r3.Vec
	for i := range points {
		x := body[0].X + hull.Length*(float64(i)+0.5)/bodyPoints
		_, _, z := bodyAt(body, x)
		points[i] = r3.Vec{X: x, Y: 1e-4, Z: z}
	}
	wash := m.lattice.Wash(wing.Plunge, points[:]...)
	m.munkY = k * bodyMoment(body, false, func(i int) float64 {
		if onWing(points[i].X) {
			return 0
		}
		return math.Max(-0.5, math.Min(1+wash[i].Z, 2.5))
	})
	// In sideslip the flow leaves the after body: about two thirds of the
	// potential moment remain (practice; Hoerner, Fluid-Dynamic Lift).
	m.munkZ = -0.65 * k * bodyMoment(body, true, func(int) float64 { return 1 })
	const n, parts = 60, len(m.cross)
	var side, plan [parts]float64
	dx := hull.Length / n
	for i := range n {
		x := body[0].X + dx*(float64(i)+0.5)
		w, h, _ := bodyAt(body, x)
		if !onWing(x) {
			plan[i*parts/n] += w * dx
		}
		side[i*parts/n] += h * dx
	}
	// Potential side force lost in separation behind the thickest part:
	// slender-body lift of 0.8 of the frontal area.
	m.bodyY = -0.8 * k * hull.Frontal
	_, _, zm := bodyAt(body, body[0].X+0.45*hull.Length)
	m.bodyAt = r3.Vec{X: m.point.X - (body[0].X + 0.45*hull.Length), Z: m.point.Z - zm}
	// Cross-flow drag coefficient 1.2 times 0.65 for finite length (Allen).
	const cdc = 1.2 * 0.65
	for p := range parts {
		x := body[0].X + hull.Length*(float64(p)+0.5)/float64(parts)
		_, _, z := bodyAt(body, x)
		m.cross[p] = cross{x: m.point.X - x, z: m.point.Z - z, side: 0.5 * cdc * side[p], plan: 0.5 * cdc * plan[p]}
	}
}

// drag lists everything that drags without lifting.
func (b *builder) drag() {
	m, ac := b.m, b.ac
	var items []item
	var all [nRe]float64 // follows friction: body, surfaces
	for i, s := range ac.Surfaces {
		it := item{name: s.Name + ", sections", surface: i, why: "profile drag of the sections at their Reynolds numbers, lift of least drag"}
		for gi := range m.groups {
			if g := &m.groups[gi]; g.surface == i {
				it.fixed += pairs(g.twin) * g.s * g.cd0
			}
		}
		for n := range nRe {
			all[n] += it.fixed * m.skins[i].drag.node(n)
		}
		items = append(items, it)
	}
	var friction [nRe]float64
	hull := HullOf(ac.Body)
	if hull.Length > 0 && hull.Diameter > 0 {
		xt := 0.2
		if ac.Power.Place == "tractor" {
			xt = 0.08
		}
		ff := BodyFormFactor(math.Max(hull.Length/hull.Diameter, 1))
		var base [nRe]float64
		for n := range nRe {
			re := m.re0 * math.Exp2(float64(n)) * hull.Length / m.Chord
			friction[n] = section.PlateFriction(math.Max(re, 2e3), xt) * ff * hull.Wetted
			if hull.Base > 0.05*hull.Frontal {
				base[n] = BaseDrag(friction[n]/hull.Base) * hull.Base
			}
			all[n] += friction[n]
		}
		f := newCurve(friction)
		items = append(items, item{
			name: bodyFriction, skin: &f, surface: -1,
			why: fmt.Sprintf("plate friction with transition at %.0f %% of the length, form factor %.2f (Hoerner), %.0f cm² wetted", 100*xt, ff, hull.Wetted*1e4),
		})
		if nose, steep := bluffness(ac.Body, hull); nose > 0 || steep > 0 {
			if nose > 0 {
				items = append(items, item{name: "body, blunt nose", fixed: nose, surface: -1,
					why: "flat front with rounded edges, 0.2 on its area (Hoerner: 0.2 rounded, 0.8 sharp)"})
			}
			if steep > 0 {
				items = append(items, item{name: "body, steep after body", fixed: steep, surface: -1,
					why: "it closes faster than 15 degrees a side: flow leaves it, up to 0.3 on the area it closes (our choice after Hoerner)"})
			}
			m.fixed += nose + steep
		}
		if base[0] > 0 {
			items = append(items, item{
				name: "body, blunt end", skin: curveOf(base), surface: -1,
				why: fmt.Sprintf("base of %.1f cm² (Hoerner: 0.029 over the root of the friction ahead of it)", hull.Base*1e4),
			})
			for n := range nRe {
				friction[n] += base[n]
			}
		}
	}
	total := friction
	scaled := func(k float64) *curve {
		var c [nRe]float64
		for n := range nRe {
			c[n] = k * all[n]
			total[n] += c[n]
		}
		return curveOf(c)
	}
	items = append(items,
		item{name: "interference", skin: scaled(interference), surface: -1, why: "allowance of 7.5 % of wing, tail and body (practice: 5 to 10 %)"},
		item{name: "roughness", skin: scaled(roughness), surface: -1, why: "allowance of 15 % for film, joints, dust and bugs (practice: 10 to 20 %)"})
	m.body = newCurve(total)

	at := func(it item, r r3.Vec) {
		items = append(items, it)
		d := r3.Sub(r, m.point)
		m.fixed += it.fixed
		m.fixedAt = r3.Add(m.fixedAt, r3.Scale(it.fixed, r3.Vec{X: -d.X, Y: d.Y, Z: -d.Z}))
	}
	for i, s := range ac.Surfaces {
		k := 1.0
		if s.Mirrored {
			k = 2
		}
		for c, ctl := range s.Controls {
			f := &m.lattice.Controls[b.flap(i, c)]
			span, where := 0.0, r3.Vec{}
			for _, j := range f.Strips {
				st := &m.lattice.Strips[j]
				span += st.Width
				p := st.Mid
				if k == 2 {
					p.Y = 0
				}
				where = r3.Add(where, r3.Scale(st.Width, p))
			}
			if span == 0 {
				continue
			}
			gap := 0.3e-3
			why := "hinge taped or sealed: 0.3 mm of step, our choice"
			if !ctl.Sealed {
				gap, why = 1e-3, "open hinge gap of about 1 mm at 0.3 on its frontal area, our choice"
			}
			at(item{name: ctl.Name + ", gap", fixed: k * 0.3 * gap * span, surface: -1, why: why}, r3.Scale(1/span, where))
		}
	}
	nu := m.air.mu / m.air.rho
	for _, l := range ac.Linkages {
		if l.Horn <= 0 {
			continue
		}
		k, where := 1.0, m.point
		for i, s := range ac.Surfaces {
			for c, ctl := range s.Controls {
				if ctl.Name == l.Control {
					if s.Mirrored {
						k = 2
					}
					if f := &m.lattice.Controls[b.flap(i, c)]; len(f.Strips) > 0 {
						where = m.lattice.Strips[f.Strips[len(f.Strips)/2]].Mid
						where.Y = 0
					}
				}
			}
		}
		thick := math.Max(l.HornWidth, 1.5e-3)
		d := k * (l.Horn*thick*1.1 + l.Rod*math.Max(l.RodDiameter, 1e-3)*0.06)
		at(item{name: l.Control + ", horn and rod", fixed: d, surface: -1, why: "flat horn across the stream at 1.1, rod along it at 0.06 (Hoerner)"}, where)
	}
	if ac.Launch.By == "bungee" {
		d, proud := ac.HookPad.Diameter, ac.HookPad.Proud
		if d == 0 {
			d = 2e-3
		}
		if proud == 0 {
			proud = 12e-3
		}
		n := math.Max(1, float64(ac.Launch.Bungee.HookCount))
		at(item{name: "launch hook", fixed: n * d * proud * RodDrag(m.vRef*d/nu), surface: -1, why: "round pin across the stream (Wieselsberger)"}, ac.Launch.Bungee.Hook)
	}
	for _, e := range ac.Extras {
		at(m.extra(e), e.At)
	}
	// trial.drag_area is no item: it comes with the factors of a draw, so that a
	// what-if needs no new model, and would count twice here.
	if m.fixed > 0 {
		m.fixedAt = r3.Scale(1/(m.fixed+total[nRe/2]), m.fixedAt)
	}
	b.young()
	m.itemsRaw = items
}

// extra is the drag area of a small part, by its kind.
func (m *Model) extra(e craft.Extra) item {
	nu := m.air.mu / m.air.rho
	n := math.Max(1, float64(e.Count))
	it := item{name: e.Name, surface: -1}
	if e.DragArea > 0 {
		it.fixed, it.why = n*e.DragArea, "given"
		return it
	}
	w, h, l := e.Width, e.Height, e.Length
	if h == 0 {
		h = w
	}
	if w == 0 {
		w = h
	}
	switch e.Kind {
	case "rod":
		re := m.vRef * w / nu
		cd := RodDrag(re)
		it.fixed, it.why = n*l*w*cd, fmt.Sprintf("round rod across the stream at Re %.0f: %.2f (Wieselsberger)", re, cd)
	case "strut":
		re := m.vRef * 4 * w / nu
		cd := StrutDrag(re)
		it.fixed, it.why = n*l*w*cd, fmt.Sprintf("streamlined strut on its thickness: %.2f (Hoerner)", cd)
	case "box":
		it.fixed, it.why = n*w*h*1.05, "box face-on, 1.05 on its front (Hoerner)"
	case "rounded box":
		it.fixed, it.why = n*w*h*0.7, "box with rounded edges, 0.7 on its front (Hoerner: 0.6 to 0.8)"
	case "disc":
		it.fixed, it.why = n*math.Pi/4*w*h*1.17, "disc face-on, 1.17 (Hoerner)"
	case "hemisphere":
		it.fixed, it.why = n*math.Pi/4*w*h*0.42, "hemisphere, round side forward, 0.42 (Hoerner)"
	case "hole":
		// Momentum: swallowed at 0.4 V, let out at 0.5 V: 2 x 0.4 x 0.5.
		it.fixed, it.why = n*w*h*0.4, "air swallowed at 0.4 of the speed and let out at half of it (momentum)"
	case "gap":
		it.fixed, it.why = n*l*w*0.3, "gap across the stream, 0.3 on length by width (our choice)"
	case "tape", "scar":
		it.fixed, it.why = n*l*h*0.3, "step in the boundary layer, 0.3 on length by height (our choice)"
	case "bolt":
		it.fixed, it.why = n*w*h*0.8, "bolt head, 0.8 on its front (our choice)"
	default:
		it.fixed, it.why = n*w*h*1.0, "unknown kind: 1.0 on its front"
	}
	return it
}

// young is the profile drag of deflected flaps, 0.9 E^1.38 sin² on the area
// they span (Young).
func (b *builder) young() {
	m := b.m
	for i, s := range b.ac.Surfaces {
		k := pairs(s.Mirrored && m.lattice.Halved)
		for c, ctl := range s.Controls {
			f := &m.lattice.Controls[b.flap(i, c)]
			a := b.axis(i, c)
			area := 0.0
			for _, j := range f.Strips {
				area += k * m.lattice.Strips[j].Area()
			}
			d := 0.9 * math.Pow(ctl.ChordShare, 1.38) * area
			m.young[0] += d * sq(a.pitch)
			m.young[1] += d * sq(a.roll)
			m.young[2] += d * sq(a.yaw)
			m.young[3] += d * sq(a.brake)
		}
	}
}

// DragBreakdown lists the drag areas without lift at a true airspeed (m/s) in
// the air the model was built for, in the order of the build. Their sum is
// [Model.ZeroLiftDragArea].
func (m *Model) DragBreakdown(v float64) []Item {
	i, t := m.place(v, m.air.rho, m.air.mu)
	var out []Item
	for _, it := range m.itemsRaw {
		d := it.fixed
		switch {
		case it.skin != nil:
			d = it.skin.at(i, t)
		case it.surface >= 0:
			d *= m.skins[it.surface].drag.at(i, t)
		}
		out = append(out, Item{Name: it.name, DragArea: d, Why: it.why})
	}
	return out
}

// ZeroLiftDragArea is the sum of [Model.DragBreakdown].
func (m *Model) ZeroLiftDragArea(v float64) float64 {
	s := 0.0
	for _, it := range m.DragBreakdown(v) {
		s += it.DragArea
	}
	return s
}

// place finds a speed in the Reynolds grid.
func (m *Model) place(v, rho, mu float64) (int, float64) {
	return reynolds(v * m.Chord * rho / mu * m.perRe0)
}

func curveOf(v [nRe]float64) *curve { c := newCurve(v); return &c }

// node is the value at node n.
func (c *curve) node(n int) float64 {
	if n == nRe-1 {
		return c.at(n-1, 1)
	}
	return c[n][0]
}
