package paper

import (
	"math"

	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/report"
)

// view places build axes on the page: x aft is down the page, y right to the
// right; s mm of paper a metre.
type view struct {
	k      *ink
	x0, y0 float64 // page place of (0, 0)
	s      float64
}

func (v *view) at(x, y float64) (px, py float64) { return v.x0 + y*v.s, v.y0 + x*v.s }

func (v *view) path(closed bool, p ...[2]float64) {
	var xs, ys []float64
	for _, q := range p {
		x, y := v.at(q[0], q[1])
		xs, ys = append(xs, x), append(ys, y)
	}
	v.k.path(xs, ys, closed)
}

// extent is the box of an aeroplane seen from above, build axes.
func extent(ac *craft.Aircraft) (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	take := func(x, y float64) {
		x0, x1, y0, y1 = math.Min(x0, x), math.Max(x1, x), math.Min(y0, y), math.Max(y1, y)
	}
	for i := range ac.Surfaces {
		s := &ac.Surfaces[i]
		for _, t := range s.Stations {
			take(t.LE.X, t.LE.Y)
			take(t.LE.X+t.Chord, t.LE.Y)
			if s.Mirrored {
				take(t.LE.X, -t.LE.Y)
			}
		}
	}
	for _, b := range ac.Body {
		take(b.X, b.Width/2)
		take(b.X, -b.Width/2)
	}
	if d := ac.Power.Propeller.Diameter; ac.Power.Place != "" && d > 0 {
		take(ac.Power.Propeller.At.X, d/2)
		take(ac.Power.Propeller.At.X, -d/2)
	}
	return
}

// plan draws the aeroplane from above, nose up the page, as large as fits the
// box, with balance point, its band, hook, battery and where to hold. It
// returns the height used.
func (k *ink) plan(d report.Drawing, x, y, w, h float64, put bool) float64 {
	ac := d.Aircraft
	x0, x1, y0, y1 := extent(ac)
	if !(x1 > x0 && y1 > y0) {
		return 0
	}
	pad := 3.5
	s := math.Min((w-2*pad)/(y1-y0), (h-2*pad)/(x1-x0))
	used := (x1-x0)*s + 2*pad
	if !put {
		return used
	}
	v := &view{k: k, s: s, x0: x + w/2 - (y0+y1)/2*s, y0: y + pad - x0*s}
	for i := range ac.Surfaces {
		su := &ac.Surfaces[i]
		for _, m := range sides(su) {
			var p [][2]float64
			for _, t := range su.Stations {
				p = append(p, [2]float64{t.LE.X, m * t.LE.Y})
			}
			for j := len(su.Stations) - 1; j >= 0; j-- {
				t := su.Stations[j]
				p = append(p, [2]float64{t.LE.X + t.Chord, m * t.LE.Y})
			}
			k.pen(0.3)
			v.path(true, p...)
			k.pen(0.2, 1.2, 0.8)
			for _, c := range su.Controls {
				if a, b, ok := hinge(su, &c); ok {
					v.path(false, [2]float64{a[0], m * a[1]}, [2]float64{b[0], m * b[1]})
				}
			}
		}
	}
	if len(ac.Body) > 1 {
		var p [][2]float64
		for _, b := range ac.Body {
			p = append(p, [2]float64{b.X, b.Width / 2})
		}
		for j := len(ac.Body) - 1; j >= 0; j-- {
			p = append(p, [2]float64{ac.Body[j].X, -ac.Body[j].Width / 2})
		}
		var xs, ys []float64
		for _, q := range p {
			a, b := v.at(q[0], q[1])
			xs, ys = append(xs, a), append(ys, b)
		}
		k.area(xs, ys, true)
		k.pen(0.3)
		k.path(xs, ys, true)
	}
	if dia := ac.Power.Propeller.Diameter; ac.Power.Place != "" && dia > 0 {
		k.pen(0.3, 2, 1)
		px := ac.Power.Propeller.At.X
		v.path(false, [2]float64{px, -dia / 2}, [2]float64{px, dia / 2})
	}
	k.pen(0.18)
	for i := range ac.Parts {
		if p := &ac.Parts[i]; p.Kind == "battery" && p.Size.X > 0 {
			a, b := p.Size.X/2, math.Max(p.Size.Y/2, 0.004)
			v.path(true, [2]float64{p.At.X - a, p.At.Y - b}, [2]float64{p.At.X - a, p.At.Y + b}, [2]float64{p.At.X + a, p.At.Y + b}, [2]float64{p.At.X + a, p.At.Y - b})
		}
	}
	size := k.base * 0.86
	name := func(px, py float64, a chart.Anchor, say string) {
		w := k.width(size, false, say) + 0.8
		l := px - 0.4
		if a == chart.End {
			l = px - w + 0.4
		}
		k.area([]float64{l, l + w, l + w, l}, []float64{py - size*pt*0.5, py - size*pt*0.5, py + size*pt*0.5, py + size*pt*0.5}, true)
		k.text(px, py+size*pt*0.35, size, false, a, say)
	}
	half := 0.5 * ac.Ref.Chord
	if !math.IsNaN(d.BandLow) {
		k.pen(0.18)
		a, b := v.at(d.BandLow, -half)
		c, e := v.at(d.BandAft, half)
		k.hatch([]float64{a, c, c, a}, []float64{b, b, e, e}, 1)
		k.pen(0.18)
		k.box(a, b, c-a, e-b)
	}
	if !math.IsNaN(d.HoldEdge) {
		for _, m := range []float64{1, -1} {
			px, py := v.at(d.Balance, m*d.HoldY)
			k.pen(0.5)
			k.line(px-1.6, py, px+1.6, py)
			k.line(px, py-1, px, py+1)
		}
	}
	bx, by := v.at(d.Balance, ac.Mass.CG.Y)
	k.balanceMark(bx, by, 1.7)
	nx, ny := v.at(d.Balance, half)
	name(nx+2.2, ny, chart.Start, "balance")
	if !math.IsNaN(d.HookX) {
		hx, hy := v.at(d.HookX, 0)
		k.area([]float64{hx - 1, hx + 1, hx}, []float64{hy - 0.8, hy - 0.8, hy + 1.2}, false)
		qx, qy := v.at(d.HookX, -half)
		k.pen(0.15)
		k.line(hx-1.2, hy, qx, qy)
		name(qx-1, qy, chart.End, "hook")
	}
	return used
}

func sides(s *craft.Surface) []float64 {
	if s.Mirrored {
		return []float64{1, -1}
	}
	return []float64{1}
}

// hinge is the ends of a control's hinge line seen from above, x and y.
func hinge(s *craft.Surface, c *craft.Control) (a, b [2]float64, ok bool) {
	at := func(y float64) ([2]float64, bool) {
		for i := 1; i < len(s.Stations); i++ {
			p, q := &s.Stations[i-1], &s.Stations[i]
			if q.LE.Y <= p.LE.Y || y < p.LE.Y-1e-9 || y > q.LE.Y+1e-9 {
				continue
			}
			t := (y - p.LE.Y) / (q.LE.Y - p.LE.Y)
			return [2]float64{p.LE.X + t*(q.LE.X-p.LE.X) + (1-c.ChordShare)*(p.Chord+t*(q.Chord-p.Chord)), y}, true
		}
		return [2]float64{}, false
	}
	a, ok1 := at(c.From)
	b, ok2 := at(c.To)
	return a, b, ok1 && ok2
}
