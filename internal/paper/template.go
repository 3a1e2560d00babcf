package paper

import (
	"fmt"
	"math"

	"fledge/internal/chart"
	"fledge/internal/prints"
)

// Template is one drawing in true size, W by H mm; pages too small for it are
// tiled, with overlap marks.
type Template struct {
	Title string
	Marks []string // what it is for: build, angle, hash; one line each
	How   []string // how to use it
	W, H  float64
	draw  func(k *ink, x, y float64)
}

const (
	overlap  = 10.0 // of two tiles, mm
	tileHead = 32.0
	tileFoot = 33.0
)

func drawTemplates(title string, list []Template, cautions []string, size Size, imperial bool) *ink {
	k := newInk(title)
	for i := range list {
		k.template(&list[i], cautions, size, imperial)
	}
	return k
}

// tiles is how many tiles a length takes on pages of a room.
func tiles(length, room float64) int {
	if length <= room {
		return 1
	}
	return int(math.Ceil((length - overlap) / (room - overlap)))
}

func (k *ink) template(t *Template, cautions []string, size Size, imperial bool) {
	// Upright or across: what takes fewer sheets, upright when equal.
	best, nx, ny := math.MaxInt, 1, 1
	w, h := size.W, size.H
	for _, s := range [][2]float64{{size.W, size.H}, {size.H, size.W}} {
		a, b := tiles(t.W, s[0]-2*ground), tiles(t.H, s[1]-2*ground-tileHead-tileFoot)
		if a*b < best {
			best, nx, ny, w, h = a*b, a, b, s[0], s[1]
		}
	}
	room := column{ground, ground + tileHead, w - 2*ground, h - 2*ground - tileHead - tileFoot}
	for j := range ny {
		for i := range nx {
			k.page(w, h)
			k.base = 8.5
			y := ground + k.fit(ground, ground-2, room.w, 14, true, t.Title)
			for _, m := range t.Marks {
				for _, l := range k.lines(8, false, room.w, m) {
					k.text(ground, y+1.6, 8, false, chart.Start, l)
					y += 3.6
				}
			}
			k.print(ground, y+2.4, room.w, t.How)
			ox, oy := room.x, room.y
			if nx == 1 {
				ox += (room.w - t.W) / 2
			}
			ox -= float64(i) * (room.w - overlap)
			oy -= float64(j) * (room.h - overlap)
			k.f.ClipRect(room.x-0.5, room.y-0.5, room.w+1, room.h+1, false)
			t.draw(k, ox, oy)
			k.f.ClipEnd()
			if nx*ny > 1 {
				k.overlaps(t, room, i, j, nx, ny)
				k.text(w-ground, ground+3, 9, true, chart.End, fmt.Sprintf("sheet %s of %s", tileName(i, j), tileName(nx-1, ny-1)))
			}
			foot := h - ground - tileFoot + 8
			k.bar(ground, foot, imperial)
			k.small(ground, foot+6, w-2*ground, cautions)
			if n := k.absentNote(); n != "" {
				k.text(ground, h-ground+2, 5.6, false, chart.Start, n)
			}
		}
	}
}

func tileName(i, j int) string { return fmt.Sprintf("%c%d", 'A'+j, i+1) }

// overlaps marks where sheets lie over each other: a dashed line to cut or
// see through to, and crosses that must meet.
func (k *ink) overlaps(t *Template, r column, i, j, nx, ny int) {
	cross := func(x, y float64, say string) {
		a, dx := chart.Start, 2.2
		if x > r.x+r.w/2 {
			a, dx = chart.End, -2.2
		}
		k.pen(0.2)
		k.line(x-3, y, x+3, y)
		k.line(x, y-3, x, y+3)
		k.ring(x, y, 1.4)
		k.text(x+dx, y-1, 6, false, a, say)
	}
	edge := func(x1, y1, x2, y2 float64) {
		k.pen(0.15, 2, 1.5)
		k.line(x1, y1, x2, y2)
	}
	high := math.Min(r.h, t.H-float64(j)*(r.h-overlap))
	wide := math.Min(r.w, t.W-float64(i)*(r.w-overlap))
	for n, x := range []float64{r.x, r.x + r.w - overlap} {
		if n == 0 && i == 0 || n == 1 && i == nx-1 {
			continue
		}
		a, b := tileName(i, j), tileName(i+2*n-1, j)
		edge(x+overlap*float64(1-n), r.y, x+overlap*float64(1-n), r.y+high)
		for _, f := range []float64{0.12, 0.88} {
			cross(x+overlap/2, r.y+f*high, a+" on "+b)
		}
	}
	for n, y := range []float64{r.y, r.y + r.h - overlap} {
		if n == 0 && j == 0 || n == 1 && j == ny-1 {
			continue
		}
		a, b := tileName(i, j), tileName(i, j+2*n-1)
		edge(r.x, y+overlap*float64(1-n), r.x+wide, y+overlap*float64(1-n))
		for _, f := range []float64{0.12, 0.88} {
			cross(r.x+f*wide, y+overlap/2, a+" on "+b)
		}
	}
}

// print sets short lines downwards; small sets cautions as small as must be.
func (k *ink) print(x, y, w float64, list []string) {
	for _, s := range list {
		for _, l := range k.lines(7.5, false, w, s) {
			k.text(x, y, 7.5, false, chart.Start, l)
			y += 3.4
		}
	}
}

func (k *ink) small(x, y, w float64, list []string) {
	size := 7.0
	room := tileFoot - 15
	all := func() (out []string) {
		for _, s := range list {
			out = append(out, k.lines(size, false, w, s)...)
		}
		return out
	}
	lines := all()
	for size > 4.5 && float64(len(lines))*size*pt*1.18 > room {
		size -= 0.2
		lines = all()
	}
	for _, l := range lines {
		k.text(x, y, size, false, chart.Start, l)
		y += size * pt * 1.18
	}
}

// region draws an outline in true size, y up; (x, y) is the page's place of its
// lower left corner.
func (k *ink) region(r prints.Region, x, y float64) {
	ring := func(p []prints.Pt) {
		xs, ys := make([]float64, len(p)), make([]float64, len(p))
		for i, q := range p {
			xs[i], ys[i] = x+q.X*1e3, y-q.Y*1e3
		}
		k.path(xs, ys, true)
	}
	ring(r.Outer)
	for _, h := range r.Holes {
		ring(h)
	}
}

// ruler prints a length as it is read off a ruler or callipers.
func ruler(m float64, imperial bool) string {
	if imperial {
		return fmt.Sprintf("%.3f in", m/0.0254)
	}
	return fmt.Sprintf("%.1f mm", m*1e3)
}

func boxOf(r prints.Region) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range r.Outer {
		x0, y0 = math.Min(x0, p.X*1e3), math.Min(y0, p.Y*1e3)
		x1, y1 = math.Max(x1, p.X*1e3), math.Max(y1, p.Y*1e3)
	}
	return
}

// ReflexGauge is the gauge to cut from card or ply, with the section inside.
// hinge and edge are points of the section, m from its leading edge.
func ReflexGauge(title string, marks []string, r prints.Region, sectionX, sectionY []float64, hinge, edge prints.Pt, words []string) Template {
	x0, y0, x1, y1 := boxOf(r)
	pad := 6.0
	return Template{
		Title: title, Marks: marks, W: x1 - x0 + 2*pad, H: y1 - y0 + 2*pad + 16,
		How: []string{"Cut along the heavy line; stick it on card, 1 to 3 mm.", "Slide it over the leading edge; the trailing edge must meet the tip of the arm."},
		draw: func(k *ink, x, y float64) {
			ox, oy := x+pad-x0, y+pad+y1
			k.pen(0.5)
			k.region(r, ox, oy)
			xs, ys := make([]float64, len(sectionX)), make([]float64, len(sectionX))
			for i := range sectionX {
				xs[i], ys[i] = ox+sectionX[i]*1e3, oy-sectionY[i]*1e3
			}
			k.pen(0.13, 1.5, 1)
			k.path(xs, ys, true)
			hx, hy := ox+hinge.X*1e3, oy-hinge.Y*1e3
			k.pen(0.2)
			k.ring(hx, hy, 0.8)
			k.line(hx, hy+1, hx, hy+9)
			k.text(hx, hy+12, 7, false, chart.Middle, "hinge")
			ex, ey := ox+edge.X*1e3, oy-edge.Y*1e3
			k.line(ex, ey+1, ex, ey+9)
			k.text(ex, ey+12, 7, false, chart.End, "trailing edge")
			for i, w := range words {
				size := 8.0
				for size > 4 && k.width(size, true, w) > x1-x0-10 {
					size -= 0.25
				}
				k.text(ox+x0+4.5, oy-y1+4.6+4.2*float64(i), size, true, chart.Start, w)
			}
		},
	}
}

// HornSheet is a horn to cut from sheet, beside its 3-D file.
func HornSheet(title string, marks []string, r prints.Region, how, words []string) Template {
	x0, y0, x1, y1 := boxOf(r)
	pad := 8.0
	return Template{
		Title: title, Marks: marks, W: math.Max(x1-x0+2*pad, 60), H: y1 - y0 + 2*pad, How: how,
		draw: func(k *ink, x, y float64) {
			k.pen(0.3)
			k.region(r, x+pad-x0, y+pad+y1)
			for i, w := range words { // on the tag, the lowest part
				n := float64(len(words) - i)
				k.text(x+pad+2, y+pad+y1-y0-2.2-4.2*(n-1), 7.5, true, chart.Start, w)
			}
		},
	}
}

// Stop is one setting on a throw card: rad, trailing edge up positive.
type Stop struct {
	Name  string
	Delta float64
}

// ThrowCard shows degrees round the hinge and millimetres at the edge, with
// the settings of one control; chord is from the hinge to the edge where it is
// widest, m.
func ThrowCard(title string, marks []string, chord float64, stops []Stop, imperial bool) Template {
	c := chord * 1e3
	arm := math.Max(c+12, 95)
	most := 5.0
	for _, s := range stops {
		most = math.Max(most, math.Abs(s.Delta)*180/math.Pi)
	}
	most = math.Min(60, 5*math.Ceil((most+4)/5))
	rise := arm * math.Sin(most*math.Pi/180)
	w, h := arm+78, 2*rise+22
	return Template{
		Title: title, Marks: marks, W: w, H: h,
		How: []string{"Cut it out. Hold it beside the control, the cross on the hinge, the base line along the section's middle; read degrees at the arc, the edge's height at the ruler."},
		draw: func(k *ink, x, y float64) {
			ox, oy := x+14, y+h/2
			at := func(r, deg float64) (float64, float64) {
				s, c := math.Sincos(deg * math.Pi / 180)
				return ox + r*c, oy - r*s
			}
			k.pen(0.3)
			k.line(ox-12, oy, ox+arm, oy)
			k.ring(ox, oy, 1.5)
			k.line(ox, oy-4, ox, oy+4)
			k.text(ox-2, oy-5, 7, false, chart.Middle, "hinge")
			for d := -most; d <= most; d++ {
				long := 2.0
				if math.Mod(d, 5) == 0 {
					long = 4
					lx, ly := at(arm-4.6, d)
					say := fmt.Sprintf("%+.0f°", d)
					if d == 0 {
						say = ""
					}
					k.text(lx, ly-0.6, 6.5, false, chart.End, say)
				}
				a, b := at(arm-long, d)
				e, f := at(arm, d)
				k.pen(0.15)
				k.line(a, b, e, f)
			}
			var xs, ys []float64
			for d := -most; d <= most+1e-9; d += 0.5 {
				a, b := at(arm, d)
				xs, ys = append(xs, a), append(ys, b)
			}
			k.pen(0.25)
			k.path(xs, ys, false)
			// The ruler at the edge's own radius: heights are chord times the sine.
			k.pen(0.15, 0.8, 0.8)
			xs, ys = nil, nil
			for d := -most; d <= most+1e-9; d += 0.5 {
				a, b := at(c, d)
				xs, ys = append(xs, a), append(ys, b)
			}
			k.path(xs, ys, false)
			step, unit, dec := 1.0, "mm", 0
			if imperial {
				step, unit, dec = 25.4/16, "in", 3
			}
			n := int(c * math.Sin(most*math.Pi/180) / step)
			rx := ox + c*math.Cos(most*math.Pi/180) - 4
			for i := -n; i <= n; i++ {
				long := 1.5
				major := i%5 == 0
				if imperial {
					major = i%4 == 0
				}
				if major {
					long = 3
				}
				k.pen(0.13)
				k.line(rx-long, oy-float64(i)*step, rx, oy-float64(i)*step)
				if major && i != 0 {
					v := float64(i) * step
					if imperial {
						v /= 25.4
					}
					k.text(rx-long-0.6, oy-float64(i)*step+0.8, 5, false, chart.End, fmt.Sprintf("%+.*f", dec, v))
				}
			}
			k.text(rx, oy+float64(n)*step+4.5, 6, false, chart.Middle, unit+" at the edge")
			last := math.Inf(-1)
			lift := 0.0
			for _, s := range stops {
				d := s.Delta * 180 / math.Pi
				a, b := at(6, d)
				e, f := at(arm+12, d)
				k.pen(0.4, 3, 1)
				k.line(a, b, e, f)
				ly := f + 1
				if math.Abs(ly-last) < 3.6 {
					lift += 3.6
				} else {
					lift = 0
				}
				last = ly
				edge := fmt.Sprintf("%+.1f mm", c*math.Sin(s.Delta))
				if imperial {
					edge = fmt.Sprintf("%+.2f in", c*math.Sin(s.Delta)/25.4)
				}
				k.text(e+1, ly+lift, 7.5, true, chart.Start, fmt.Sprintf("%s %+.1f° = %s", s.Name, d+0, edge))
			}
		},
	}
}

// BalanceStrip is laid against the wing's leading edge at the place of the
// fingers or the stand: marks of the balance point and the band it may lie
// in, m behind that edge.
func BalanceStrip(title string, marks []string, at, low, aft float64, where string, imperial bool) Template {
	end := math.Max(at, aft)
	if math.IsNaN(end) {
		end = at
	}
	w, h := 60.0, end*1e3+45
	return Template{
		Title: title, Marks: marks, W: w + 60, H: h,
		How: []string{"Cut two. Lay the thick line on the leading edge " + where + ", the strip along the flight direction; stand the wing on the marks."},
		draw: func(k *ink, x, y float64) {
			k.pen(0.2)
			k.box(x, y, w, h-6)
			oy := y + 14
			k.pen(1)
			k.line(x, oy, x+w, oy)
			k.text(x+w/2, oy-2, 8, true, chart.Middle, "leading edge on this line")
			if !math.IsNaN(low) {
				a, b := oy+low*1e3, oy+aft*1e3
				k.hatch([]float64{x, x + w, x + w, x}, []float64{a, a, b, b}, 2)
				k.pen(0.3)
				k.line(x, a, x+w, a)
				k.line(x, b, x+w, b)
				k.text(x+w+3, a+1, 8, false, chart.Start, "foremost "+ruler(low, imperial))
				k.text(x+w+3, b+1, 8, false, chart.Start, "rearmost "+ruler(aft, imperial))
			}
			py := oy + at*1e3
			k.pen(0.6)
			k.line(x-3, py, x+w+2, py)
			k.balanceMark(x+w/2, py, 4)
			k.text(x+w+3, py+1, 9, true, chart.Start, "balance "+ruler(at, imperial))
		},
	}
}

// RodBend is a push rod with a bend at each end: pin to pin, diameter and the
// step of the bend, m.
func RodBend(title string, marks []string, long, dia, step float64, imperial bool) Template {
	const pad, tail = 12.0, 6.0
	l, d, s := long*1e3, dia*1e3, step*1e3
	return Template{
		Title: title, Marks: marks, W: l + 2*pad + 2*tail, H: s + 40,
		How: []string{"Lay the wire on the lines and bend it at the crosses; the distance counts from pin to pin."},
		draw: func(k *ink, x, y float64) {
			ox, oy := x+pad+tail, y+22+s
			for _, side := range []float64{-d / 2, d / 2} {
				k.pen(0.2)
				k.path([]float64{ox - tail, ox - side, ox - side, ox + l + side, ox + l + side, ox + l + tail},
					[]float64{oy - s + side, oy - s + side, oy + side, oy + side, oy - s + side, oy - s + side}, false)
			}
			k.pen(0.13, 4, 1, 1, 1)
			for _, px := range []float64{ox, ox + l} {
				k.line(px, oy-s-8, px, oy+9)
				k.pen(0.2)
				k.line(px-2, oy-s/2, px+2, oy-s/2)
			}
			k.pen(0.2)
			k.line(ox, oy+7, ox+l, oy+7)
			for _, e := range [][2]float64{{ox, 1}, {ox + l, -1}} {
				k.line(e[0], oy+7, e[0]+2*e[1], oy+6.3)
				k.line(e[0], oy+7, e[0]+2*e[1], oy+7.7)
			}
			say := ruler(long, imperial) + " pin to pin, wire " + ruler(dia, imperial)
			for at := ox + math.Min(l/2, 80); at < ox+l; at += 150 {
				k.text(at, oy+11, 8, true, chart.Middle, say)
			}
		},
	}
}

// Cutout is an opening for a part: long and wide with its clearance, m; nose
// points to the top of the page.
func Cutout(title string, marks []string, long, wide, centreX float64, imperial bool) Template {
	l, w := long*1e3, wide*1e3
	const pad = 14.0
	return Template{
		Title: title, Marks: marks, W: math.Max(w+2*pad, 70), H: l + 2*pad,
		How: []string{"Stick it on, nose arrow forward, the cross on the part's middle; cut inside the line first."},
		draw: func(k *ink, x, y float64) {
			cx, cy := x+math.Max(w+2*pad, 70)/2, y+pad+l/2
			r := math.Min(2, math.Min(l, w)/4)
			var xs, ys []float64
			for q := range 4 {
				sx, sy := []float64{1, -1, -1, 1}[q], []float64{-1, -1, 1, 1}[q]
				for i := range 7 {
					a := float64(q)*math.Pi/2 + float64(i)*math.Pi/12
					s, c := math.Sincos(a)
					xs = append(xs, cx+sx*(w/2-r)+r*c)
					ys = append(ys, cy+sy*(l/2-r)-r*s)
				}
			}
			k.pen(0.35)
			k.path(xs, ys, true)
			k.pen(0.13, 4, 1, 1, 1)
			k.line(cx, cy-l/2-8, cx, cy+l/2+8)
			k.line(cx-w/2-8, cy, cx+w/2+8, cy)
			k.area([]float64{cx - 2, cx + 2, cx}, []float64{cy - l/2 - 6, cy - l/2 - 6, cy - l/2 - 11}, false)
			k.text(cx+3, cy-l/2-7, 7, false, chart.Start, "nose")
			k.text(cx+1, cy-1, 6.5, false, chart.Start, "x = "+ruler(centreX, imperial))
			k.text(cx+1, cy+3.2, 6.5, false, chart.Start, ruler(long, imperial)+" x "+ruler(wide, imperial))
		},
	}
}

// HookJig is the place of the launch hook seen from below, nose up the page:
// pad and pin holes, the leading edge of the wing's root and the balance point
// as lines to lay it by, and the droop of the pin from the side. m and rad;
// NaN or 0 for what is not known.
func HookJig(title string, marks []string, hookX, edgeX, balanceX, padLong, padWide, pin, rake float64, count int, imperial bool) Template {
	const side = 30.0
	top, bottom := hookX-0.02, hookX+0.02
	for _, v := range []float64{edgeX, balanceX, hookX - padLong/2, hookX + padLong/2} {
		if !math.IsNaN(v) && math.Abs(v-hookX) < 0.12 {
			top, bottom = math.Min(top, v), math.Max(bottom, v)
		}
	}
	h := (bottom-top)*1e3 + 30
	return Template{
		Title: title, Marks: marks, W: 186, H: math.Max(h, 70),
		How: []string{"Lay it under the body, nose arrow forward, its lines on leading edge and balance point; punch the centres, then drill."},
		draw: func(k *ink, x, y float64) {
			cx, oy := x+side+10, y+15-top*1e3
			at := func(v float64) float64 { return oy + v*1e3 }
			k.pen(0.13, 4, 1, 1, 1)
			k.line(cx, y, cx, y+h)
			k.area([]float64{cx - 2, cx + 2, cx}, []float64{y + 6, y + 6, y + 1}, false)
			k.text(cx+3, y+5, 7, false, chart.Start, "nose")
			line := func(v float64, say string) {
				if math.IsNaN(v) || math.Abs(v-hookX) >= 0.12 {
					return
				}
				k.pen(0.3)
				k.line(cx-side, at(v), cx+side, at(v))
				k.text(cx+side+2, at(v)+0.8, 7, false, chart.Start, fmt.Sprintf("%s, %s %s the hook", say, ruler(math.Abs(hookX-v), imperial), map[bool]string{true: "ahead of", false: "behind"}[v < hookX]))
			}
			line(edgeX, "leading edge, root")
			line(balanceX, "balance point")
			if padLong > 0 && padWide > 0 {
				k.pen(0.3)
				k.box(cx-padWide*500, at(hookX)-padLong*500, padWide*1e3, padLong*1e3)
			}
			r := math.Max(pin, 1e-3) * 500
			for i := range max(1, count) {
				px := cx
				if count == 2 {
					px = cx + []float64{-1, 1}[i]*math.Max(padWide*250, 8)
				}
				k.pen(0.25)
				k.ring(px, at(hookX), r)
				k.line(px-r-2.5, at(hookX), px+r+2.5, at(hookX))
				k.line(px, at(hookX)-r-2.5, px, at(hookX)+r+2.5)
			}
			k.text(cx+side+2, at(hookX)+0.8, 7.5, true, chart.Start, "hook, hole "+ruler(pin, imperial))
			k.pen(0.13, 1, 1)
			k.line(cx+r+3, at(hookX), cx+side+1, at(hookX))
			// From the side.
			sx, sy := cx+side+80, y+16.0
			k.pen(0.3)
			k.line(sx-8, sy, sx+30, sy)
			s, c := math.Sincos(rake)
			k.pen(0.7)
			k.path([]float64{sx, sx, sx + 14*c}, []float64{sy, sy + 7, sy + 7 + 14*s}, false)
			k.pen(0.13, 1, 1)
			k.line(sx, sy+7, sx+20, sy+7)
			k.text(sx-8, sy-2, 7, false, chart.Start, "from the right side, nose left")
			k.text(sx, sy+30, 7, false, chart.Start, fmt.Sprintf("free end droops %.0f° aft", rake*180/math.Pi))
		},
	}
}
