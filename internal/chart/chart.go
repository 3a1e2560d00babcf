// Package chart draws charts, ink on paper, from one description to SVG and,
// through the [Canvas] interface, to PDF. Curves are told apart by dash and
// mark and named where they end, so that they read in black and white, in
// sunlight and by colour-blind eyes. It computes nothing: data are drawn as
// given, gaps (NaN) stay gaps.
package chart

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Kind is how a series is drawn.
type Kind uint8

// The kinds of curve.
const (
	Line Kind = iota
	Dots
	Band // Y to Y2, filled lightly
	Thin // one of many lines, faint
)

// Series is one set of points; X and Y (and Y2 for a Band) have equal length.
type Series struct {
	Name string
	Kind Kind
	X, Y []float64
	Y2   []float64
	Ink  int  // 0.. : which of the inks and dashes; equal Ink, equal look
	Fail bool // drawn in the warning ink, with a cross at its end
}

// Note is a word at a place of the chart.
type Note struct {
	X, Y float64
	Text string
}

// Axis is one axis; Min = Max = 0 fits the data. Names, on the upright axis
// only, stand for the ticks: the i-th at y = -i, read downwards.
type Axis struct {
	Label    string
	Min, Max float64
	Names    []string
}

// margin is the room left of the frame, in points, for the ticks' words.
func (a Axis) margin() float64 {
	long := 0
	for _, n := range a.Names {
		long = max(long, len([]rune(n)))
	}
	return math.Max(52, 24+4.7*float64(long))
}

// Chart is one chart.
type Chart struct {
	Title   string
	X, Y    Axis
	Series  []Series
	Notes   []Note
	Grid    *Grid // cells under the series; nil for none
	Equal   bool  // one metre across is one metre up
	Ground  bool  // draw the ground line at y = 0
	Caption string
}

// Pen is how a path is drawn. Ink -1 is the frame, -2 the warning ink.
type Pen struct {
	Ink   int
	Width float64
	Dash  []float64
	Faint bool
}

// Canvas takes the drawing, in points from the upper left corner.
type Canvas interface {
	Path(x, y []float64, pen Pen)
	Fill(x, y []float64, ink int)
	Text(x, y, size float64, anchor Anchor, turned bool, s string)
}

// Anchor is where a text's place is.
type Anchor uint8

// Which part of a text stands at its place.
const (
	Start Anchor = iota
	Middle
	End
)

var dashes = [][]float64{nil, {6, 3}, {2, 2.5}, {9, 3, 2, 3}, {12, 4}}

// Ticks returns round values covering [lo, hi] in steps of 1, 2 or 5 times a
// power of ten, at most n+1 of them, and the number of decimals they need.
func Ticks(lo, hi float64, n int) (at []float64, decimals int) {
	if !(hi > lo) || math.IsInf(hi-lo, 0) {
		return []float64{lo}, 0
	}
	raw := (hi - lo) / float64(n)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	steps := []float64{10 * p, 5 * p, 2 * p, p}
	k := 0
	for k+1 < len(steps) && steps[k+1] >= raw*(1-1e-9) {
		k++
	}
	for ; ; k++ { // a short span may lie between two ticks: then finer
		step := steps[k]
		decimals = max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
		for i := math.Ceil(lo/step - 1e-9); i*step <= hi+1e-9*step; i++ {
			at = append(at, i*step+0) // no -0
		}
		if len(at) > 0 || k+1 == len(steps) {
			return at, decimals
		}
	}
}

// bounds fits an axis to the data with a little room.
func (c *Chart) bounds() (x0, x1, y0, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	take := func(xs, ys []float64) {
		for i := range xs {
			if i >= len(ys) || math.IsNaN(xs[i]+ys[i]) || math.IsInf(xs[i]+ys[i], 0) {
				continue
			}
			x0, x1 = math.Min(x0, xs[i]), math.Max(x1, xs[i])
			y0, y1 = math.Min(y0, ys[i]), math.Max(y1, ys[i])
		}
	}
	for _, s := range c.Series {
		take(s.X, s.Y)
		if s.Kind == Band {
			take(s.X, s.Y2)
		}
	}
	if c.Grid != nil { // its edges, without room
		ex, ey := edges(c.Grid.X), edges(c.Grid.Y)
		return ex[0], ex[len(ex)-1], ey[0], ey[len(ey)-1]
	}
	if x0 > x1 {
		x0, x1, y0, y1 = 0, 1, 0, 1
	}
	if c.Ground {
		y0 = math.Min(y0, 0)
		if n := c.underground(); n > 0 { // room for names below
			y0 = math.Min(y0, -(y1-y0)*0.045*float64(n+1))
		}
	}
	room := func(lo, hi *float64, a Axis) {
		if a.Max > a.Min {
			*lo, *hi = a.Min, a.Max
			return
		}
		d := (*hi - *lo) * 0.04
		if d == 0 {
			d = math.Max(math.Abs(*hi)*0.05, 0.5)
		}
		*lo, *hi = *lo-d, *hi+d
	}
	room(&x0, &x1, c.X)
	room(&y0, &y1, c.Y)
	return x0, x1, y0, y1
}

// underground counts the names that go below the ground line: those of
// failures, which mostly end on it.
func (c *Chart) underground() (n int) {
	for i := range c.Series {
		if s := &c.Series[i]; s.Fail && s.Name != "" {
			n++
		}
	}
	return n
}

// Draw draws the chart on a canvas of the given size in points.
func (c *Chart) Draw(to Canvas, w, h float64) {
	const right, top, foot = 84.0, 30.0, 40.0
	left := c.Y.margin()
	x0, x1, y0, y1 := c.bounds()
	pw, ph := w-left-right, h-top-foot
	if c.Equal {
		sx, sy := pw/(x1-x0), ph/(y1-y0)
		switch {
		case sx < sy && c.Ground: // more room upwards than needed
			y1 = y0 + ph/sx
		case sx < sy:
			mid := (y0 + y1) / 2
			y0, y1 = mid-ph/sx/2, mid+ph/sx/2
		default:
			mid := (x0 + x1) / 2
			x0, x1 = mid-pw/sy/2, mid+pw/sy/2
		}
	}
	px := func(x float64) float64 { return left + pw*(x-x0)/(x1-x0) }
	py := func(y float64) float64 { return top + ph*(1-(y-y0)/(y1-y0)) }
	frame := Pen{Ink: -1, Width: 0.8}
	to.Path([]float64{left, left, left + pw}, []float64{top, top + ph, top + ph}, frame)
	at, dec := Ticks(x0, x1, max(3, int(pw/70)))
	for _, v := range at {
		to.Path([]float64{px(v), px(v)}, []float64{top + ph, top + ph + 4}, frame)
		to.Text(px(v), top+ph+15, 9, Middle, false, strconv.FormatFloat(v, 'f', dec, 64))
	}
	for i, n := range c.Y.Names {
		to.Path([]float64{left - 4, left}, []float64{py(-float64(i)), py(-float64(i))}, frame)
		to.Text(left-7, py(-float64(i))+3, 9, End, false, n)
	}
	at = nil
	if len(c.Y.Names) == 0 {
		at, dec = Ticks(y0, y1, max(3, int(ph/40)))
	}
	for _, v := range at {
		to.Path([]float64{left - 4, left}, []float64{py(v), py(v)}, frame)
		to.Text(left-7, py(v)+3, 9, End, false, strconv.FormatFloat(v, 'f', dec, 64))
	}
	to.Text(left+pw/2, h-8, 10, Middle, false, c.X.Label)
	to.Text(13, top+ph/2, 10, Middle, true, c.Y.Label)
	to.Text(left, 17, 12, Start, false, c.Title)
	if c.Caption != "" {
		to.Text(left+pw, 17, 9, End, false, c.Caption)
	}
	if c.Ground {
		to.Path([]float64{left, left + pw}, []float64{py(0), py(0)}, Pen{Ink: -1, Width: 1.6})
	}
	if c.Grid != nil {
		c.Grid.draw(to, px, py)
	}
	var labels []label
	for _, s := range c.Series {
		labels = append(labels, c.series(to, s, px, py, [4]float64{x0, x1, y0, y1})...)
	}
	for _, n := range c.Notes {
		to.Text(px(n.X)+4, py(n.Y)-4, 9, Start, false, n.Text)
	}
	// Names of failures below the ground, with a leader to where the named one ends.
	if c.Ground {
		up, row := labels[:0:0], 0
		for _, l := range labels {
			if !l.fail {
				up = append(up, l)
				continue
			}
			y := py(0) + 14 + 11*float64(row)
			row++
			to.Path([]float64{l.x, l.x, l.x + 5}, []float64{l.y + 4, y - 3, y - 3}, Pen{Ink: -2, Width: 0.6})
			to.Text(l.x+8, y, 9, Start, false, l.text)
		}
		labels = up
	}
	// Names at the curves' ends, pushed apart.
	for i := range labels {
		for j := range i {
			if math.Abs(labels[i].y-labels[j].y) < 11 && math.Abs(labels[i].x-labels[j].x) < 80 {
				labels[i].y = labels[j].y + 11
			}
		}
		to.Text(labels[i].x+4, labels[i].y+3, 9, Start, false, labels[i].text)
	}
}

type label struct {
	x, y float64
	text string
	fail bool
}

func (c *Chart) series(to Canvas, s Series, px, py func(float64) float64, box [4]float64) []label {
	inside := func(x, y float64) bool {
		return x >= box[0] && x <= box[1] && y >= box[2] && y <= box[3]
	}
	pen := Pen{Ink: s.Ink, Width: 1.4, Dash: dashes[s.Ink%len(dashes)]}
	if s.Kind == Thin {
		pen = Pen{Ink: s.Ink, Width: 0.6, Faint: true}
	}
	if s.Fail {
		pen.Ink, pen.Dash = -2, []float64{4, 2}
	}
	if s.Kind == Band {
		var xs, ys []float64
		for i := range s.X {
			if !math.IsNaN(s.Y[i]) {
				xs, ys = append(xs, px(s.X[i])), append(ys, py(math.Min(math.Max(s.Y[i], box[2]), box[3])))
			}
		}
		for i := len(s.X) - 1; i >= 0; i-- {
			if !math.IsNaN(s.Y2[i]) {
				xs, ys = append(xs, px(s.X[i])), append(ys, py(math.Min(math.Max(s.Y2[i], box[2]), box[3])))
			}
		}
		to.Fill(xs, ys, s.Ink)
		return nil
	}
	var xs, ys []float64
	lastX, lastY := math.NaN(), math.NaN()
	flush := func() {
		if len(xs) > 1 && s.Kind != Dots {
			to.Path(xs, ys, pen)
		}
		xs, ys = nil, nil
	}
	for i := range s.X {
		if math.IsNaN(s.X[i]+s.Y[i]) || !inside(s.X[i], s.Y[i]) {
			flush()
			continue
		}
		x, y := px(s.X[i]), py(s.Y[i])
		lastX, lastY = x, y
		xs, ys = append(xs, x), append(ys, y)
		if s.Kind == Dots {
			mark(to, x, y, s.Ink)
		}
	}
	flush()
	if s.Fail && !math.IsNaN(lastX) {
		p := Pen{Ink: -2, Width: 1.2}
		to.Path([]float64{lastX - 3, lastX + 3}, []float64{lastY - 3, lastY + 3}, p)
		to.Path([]float64{lastX - 3, lastX + 3}, []float64{lastY + 3, lastY - 3}, p)
	}
	if s.Name == "" || math.IsNaN(lastX) {
		return nil
	}
	return []label{{lastX, lastY, s.Name, s.Fail}}
}

func mark(to Canvas, x, y float64, ink int) {
	p := Pen{Ink: ink, Width: 1}
	const r = 2.6
	switch ink % 4 {
	case 0:
		to.Path([]float64{x - r, x, x + r, x, x - r}, []float64{y, y - r, y, y + r, y}, p)
	case 1:
		to.Path([]float64{x - r, x + r, x + r, x - r, x - r}, []float64{y - r, y - r, y + r, y + r, y - r}, p)
	case 2:
		to.Path([]float64{x - r, x + r, x, x - r}, []float64{y + r, y + r, y - r, y + r}, p)
	default:
		to.Path([]float64{x - r, x + r}, []float64{y - r, y + r}, p)
		to.Path([]float64{x - r, x + r}, []float64{y + r, y - r}, p)
	}
}

// SVG renders the chart; the bytes depend on the chart alone.
func (c *Chart) SVG(w, h float64) []byte {
	s := &svg{}
	fmt.Fprintf(&s.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-label="%s" font-family="Georgia, 'DejaVu Serif', serif">`, num(w), num(h), num(w), num(h), escape(c.Title))
	s.b.WriteString("\n" + dark + "\n")
	fmt.Fprintf(&s.b, `<rect width="%s" height="%s" fill="#fbf8f0" class="paper"/>`+"\n", num(w), num(h))
	c.Draw(s, w, h)
	s.b.WriteString("</svg>\n")
	return s.b.Bytes()
}

type svg struct{ b bytes.Buffer }

// inks are the colours on paper, as attributes that every viewer knows; the
// style sheet turns them over where the reader's screen is dark.
var inks = []string{"#1d3c57", "#6b4a1f", "#3f5a2a", "#5a2f55", "#444444"}

const (
	black = "#22261f"
	bad   = "#9c2b1c"
	dark  = "<style>@media(prefers-color-scheme:dark){.paper{fill:#1b1d1a}.s0{stroke:#a9c6e3}.s1{stroke:#dcb684}.s2{stroke:#b4d19b}.s3{stroke:#d7a9d1}.s4{stroke:#bbb}.sf{stroke:#e8e3d3}.sb{stroke:#f2917f}.f0{fill:#a9c6e3}.f1{fill:#dcb684}.f2{fill:#b4d19b}.f3{fill:#d7a9d1}.f4{fill:#bbb}.ff{fill:#e8e3d3}.fb{fill:#f2917f}}</style>"
)

// ink gives the colour and the last letter of its class.
func ink(i int) (colour, class string) {
	switch {
	case i == -1:
		return black, "f"
	case i == -2:
		return bad, "b"
	}
	return inks[i%len(inks)], strconv.Itoa(i % len(inks))
}

func num(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

func escape(s string) string {
	var b bytes.Buffer
	if xml.EscapeText(&b, []byte(s)) != nil {
		return ""
	}
	return b.String()
}

func points(x, y []float64) string {
	var b strings.Builder
	for i := range x {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(num(x[i]) + "," + num(y[i]))
	}
	return b.String()
}

func (s *svg) Path(x, y []float64, p Pen) {
	dash := ""
	if len(p.Dash) > 0 {
		parts := make([]string, len(p.Dash))
		for i, d := range p.Dash {
			parts[i] = num(d)
		}
		dash = ` stroke-dasharray="` + strings.Join(parts, " ") + `"`
	}
	if p.Faint {
		dash += ` stroke-opacity="0.35"`
	}
	colour, class := ink(p.Ink)
	fmt.Fprintf(&s.b, `<polyline points="%s" fill="none" stroke="%s" class="s%s" stroke-width="%s"%s/>`+"\n", points(x, y), colour, class, num(p.Width), dash)
}

func (s *svg) Fill(x, y []float64, i int) {
	colour, class := ink(i)
	fmt.Fprintf(&s.b, `<polygon points="%s" fill="%s" class="f%s" fill-opacity="0.16"/>`+"\n", points(x, y), colour, class)
}

func (s *svg) Text(x, y, size float64, a Anchor, turned bool, t string) {
	turn := ""
	if turned {
		turn = fmt.Sprintf(` transform="rotate(-90 %s %s)"`, num(x), num(y))
	}
	fmt.Fprintf(&s.b, `<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s" class="ff"%s>%s</text>`+"\n", num(x), num(y), num(size), [...]string{"start", "middle", "end"}[a], black, turn, escape(t))
}
