// Package paper draws pages: the flight card, the build sheet, and templates
// in true size. Black ink, one typeface in two weights, no grey that a poor
// printer would lose; the same input gives the same bytes. It computes nothing:
// what it shows is made by report and by the rooms whose shapes it draws.
//
// Letters that the typeface has not are shown as an empty box each and named
// in a note at the foot of the page; nothing is left out silently.
package paper

import (
	"bytes"
	"fmt"
	"math"
	"sort"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	plain "github.com/go-fonts/dejavu/dejavusanscondensed"
	bold "github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/bidi"

	"fledge/internal/chart"
)

// Size is a sheet of paper, upright, mm.
type Size struct {
	Name string
	W, H float64
}

// The sheets: ISO 216 and ANSI.
var (
	A4     = Size{"A4", 210, 297}
	Letter = Size{"letter", 215.9, 279.4}
)

// SizeNamed finds a sheet by its name.
func SizeNamed(name string) (Size, bool) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "", "a4":
		return A4, true
	case "letter":
		return Letter, true
	}
	return Size{}, false
}

const (
	face   = "fledge"
	pt     = 25.4 / 72 // mm
	ground = 9.0       // margin that every desk printer can print within, mm
	absent = '▯'
)

// ink is a pen on the pages of one document; lengths in mm from the upper left
// corner of the page, type in points.
type ink struct {
	f       *both
	font    *sfnt.Font
	buf     sfnt.Buffer
	known   map[rune]bool // which letters the typeface has
	missing map[rune]bool // on this page
	base    float64       // size of running text, pt
	picture float64       // height of a card's drawing over its width
	scaleX  float64       // of the canvas in use, mm per point
	offX    float64
	offY    float64
}

// newInk opens a document without pages.
func newInk(title string) *ink {
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: A4.W, Ht: A4.H}})
	stamp := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // no clock here: the same bytes always
	f.SetCreationDate(stamp)
	f.SetModificationDate(stamp)
	f.SetCatalogSort(true)
	f.SetProducer("Fledge", false)
	f.SetTitle(title, true)
	f.SetLang("en")
	f.SetMargins(0, 0, 0)
	f.SetCellMargin(0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(face, "", plain.TTF)
	f.AddUTF8FontFromBytes(face, "B", bold.TTF)
	f.SetLineCapStyle("round")
	f.SetLineJoinStyle("round")
	font, err := sfnt.Parse(plain.TTF)
	if err != nil {
		panic("paper: " + err.Error()) // the typeface is compiled in
	}
	return &ink{f: &both{Fpdf: f}, font: font, known: map[rune]bool{}, missing: map[rune]bool{}, base: 9}
}

// page starts a page.
func (k *ink) page(w, h float64) {
	o := "P"
	if w > h {
		o = "L"
		w, h = h, w
	}
	k.f.AddPageFormat(o, fpdf.SizeType{Wd: w, Ht: h})
	k.missing = map[rune]bool{}
}

// bytes is the finished document.
func (k *ink) bytes() []byte {
	var b bytes.Buffer
	if err := k.f.Output(&b); err != nil {
		panic("paper: " + err.Error()) // wrong use of the drawing calls
	}
	return b.Bytes()
}

// has says whether the typeface has a letter.
func (k *ink) has(r rune) bool {
	if r > 0xFFFF {
		return false // beyond what the document's encoding holds
	}
	if h, ok := k.known[r]; ok {
		return h
	}
	g, err := k.font.GlyphIndex(&k.buf, r)
	k.known[r] = err == nil && g != 0
	return k.known[r]
}

// say makes a text printable: boxes for letters that are missing, spaces for
// control characters, words of scripts that run from the right turned round.
func (k *ink) say(s string) string {
	rtl := false
	out := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == '\u200b', r == '\ufeff', unicode.Is(unicode.Cf, r):
			return -1
		}
		if !k.has(r) {
			k.missing[r] = true
			return absent
		}
		if p, _ := bidi.LookupRune(r); p.Class() == bidi.R || p.Class() == bidi.AL {
			rtl = true
		}
		return r
	}, strings.ToValidUTF8(s, string(absent)))
	if !rtl {
		return out
	}
	var p bidi.Paragraph
	if _, err := p.SetString(out); err != nil {
		return out
	}
	o, err := p.Order()
	if err != nil {
		return out
	}
	var b strings.Builder
	for i := range o.NumRuns() {
		run := o.Run(i)
		if t := run.String(); run.Direction() == bidi.RightToLeft {
			b.WriteString(bidi.ReverseString(t))
		} else {
			b.WriteString(t)
		}
	}
	return b.String()
}

// absentNote is the note on letters the typeface has not; empty without any.
func (k *ink) absentNote() string {
	if len(k.missing) == 0 {
		return ""
	}
	var list []rune
	for r := range k.missing {
		list = append(list, r)
	}
	sort.Slice(list, func(i, j int) bool { return list[i] < list[j] })
	var s []string
	for i, r := range list {
		if i == 12 {
			s = append(s, "...")
			break
		}
		s = append(s, fmt.Sprintf("U+%04X", r))
	}
	return string(absent) + " stands for a letter this typeface has not: " + strings.Join(s, ", ") + "."
}

func (k *ink) set(size float64, heavy bool) {
	style := ""
	if heavy {
		style = "B"
	}
	k.f.SetFont(face, style, size)
	k.f.SetTextColor(0, 0, 0)
}

// width is how wide a text is, mm.
func (k *ink) width(size float64, heavy bool, s string) float64 {
	k.set(size, heavy)
	return k.f.GetStringWidth(k.say(s))
}

// text sets one line, its base line at y.
func (k *ink) text(x, y, size float64, heavy bool, a chart.Anchor, s string) {
	t := k.say(s)
	k.set(size, heavy)
	switch w := k.f.GetStringWidth(t); a {
	case chart.Middle:
		x -= w / 2
	case chart.End:
		x -= w
	}
	k.f.Text(x, y, t)
}

// fit sets one line no wider than w: smaller type if need be, down to two
// thirds, then folded. It returns the height used.
func (k *ink) fit(x, y, w, size float64, heavy bool, s string) float64 {
	for p := size; p >= size*2/3; p -= 0.25 {
		if k.width(p, heavy, s) <= w {
			k.text(x, y+p*pt*0.9, p, heavy, chart.Start, s)
			return size * pt * 1.15
		}
	}
	p := size * 2 / 3
	h := 0.0
	for _, l := range k.lines(p, heavy, w, s) {
		k.text(x, y+h+p*pt*0.9, p, heavy, chart.Start, l)
		h += p * pt * 1.15
	}
	return h
}

// lines folds a text to a width; a word wider than the line is broken.
func (k *ink) lines(size float64, heavy bool, w float64, s string) []string {
	k.set(size, heavy)
	wide := func(t string) float64 { return k.f.GetStringWidth(k.say(t)) }
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		try := word
		if line != "" {
			try = line + " " + word
		}
		if wide(try) <= w {
			line = try
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		line = ""
		for wide(word) > w {
			r := []rune(word)
			n := len(r) - 1
			for n > 1 && wide(string(r[:n])) > w {
				n--
			}
			if n < 1 {
				break
			}
			out = append(out, string(r[:n]))
			word = string(r[n:])
		}
		line = word
	}
	if line != "" || len(out) == 0 {
		out = append(out, line)
	}
	return out
}

// pen sets width (mm) and dash of lines to come, in black.
func (k *ink) pen(w float64, dash ...float64) {
	k.f.SetDrawColor(0, 0, 0)
	k.f.SetLineWidth(w)
	if dash == nil {
		dash = []float64{}
	}
	k.f.SetDashPattern(dash, 0)
}

func (k *ink) line(x1, y1, x2, y2 float64) { k.f.Line(x1, y1, x2, y2) }

// path strokes a line through points.
func (k *ink) path(x, y []float64, closed bool) {
	if len(x) < 2 {
		return
	}
	k.f.MoveTo(x[0], y[0])
	for i := 1; i < len(x); i++ {
		k.f.LineTo(x[i], y[i])
	}
	if closed {
		k.f.LineTo(x[0], y[0])
	}
	k.f.DrawPath("D")
}

// area fills a ring in black (or white) without a border.
func (k *ink) area(x, y []float64, white bool) {
	p := make([]fpdf.PointType, len(x))
	for i := range x {
		p[i] = fpdf.PointType{X: x[i], Y: y[i]}
	}
	if white {
		k.f.SetFillColor(255, 255, 255)
	} else {
		k.f.SetFillColor(0, 0, 0)
	}
	k.f.Polygon(p, "F")
}

func (k *ink) box(x, y, w, h float64) { k.f.Rect(x, y, w, h, "D") }

func (k *ink) ring(x, y, r float64) { k.f.Circle(x, y, r, "D") }

// balanceMark is the trade's sign for a centre of gravity: a ring, two of its
// quarters black.
func (k *ink) balanceMark(x, y, r float64) {
	k.f.SetFillColor(255, 255, 255)
	k.f.Circle(x, y, r, "F")
	for _, from := range []float64{0, math.Pi} {
		xs, ys := []float64{x}, []float64{y}
		for i := range 13 {
			s, c := math.Sincos(from + float64(i)*math.Pi/24)
			xs, ys = append(xs, x+r*c), append(ys, y-r*s)
		}
		k.area(xs, ys, false)
	}
	k.pen(0.25)
	k.ring(x, y, r)
}

// bar draws a ruler of the given length with its name: what proves the scale
// of the print. In inches where asked.
func (k *ink) bar(x, y float64, imperial bool) {
	long, each, say := 100.0, 10.0, "This bar is 100.0 mm long. Measure it before you trust the page."
	if imperial {
		long, each, say = 101.6, 6.35, "This bar is 4.000 in long. Measure it before you trust the page."
	}
	k.pen(0.3)
	k.line(x, y, x+long, y)
	for i := 0; float64(i)*each <= long+1e-6; i++ {
		h := 1.6
		if i%5 == 0 && !imperial || i%4 == 0 && imperial {
			h = 3
		}
		k.line(x+float64(i)*each, y-h, x+float64(i)*each, y)
	}
	k.text(x+long+2.5, y, 7, false, chart.Start, "")
	k.text(x, y+3.2, 7, false, chart.Start, say)
}

// Path, Fill and Text make ink a [chart.Canvas]: a chart's points from the
// corner that canvas chose, in its scale.
func (k *ink) Path(x, y []float64, p chart.Pen) {
	dash := make([]float64, len(p.Dash))
	for i, d := range p.Dash {
		dash[i] = d * k.scaleX
	}
	w := p.Width
	if p.Faint {
		w *= 0.6
	}
	k.pen(w*k.scaleX, dash...)
	xs, ys := k.moved(x, y)
	k.path(xs, ys, false)
}

// Fill implements [chart.Canvas] with a fine hatch, which every printer keeps.
func (k *ink) Fill(x, y []float64, _ int) {
	xs, ys := k.moved(x, y)
	k.hatch(xs, ys, 1.2)
}

// Text implements [chart.Canvas].
func (k *ink) Text(x, y, size float64, a chart.Anchor, turned bool, s string) {
	px, py := k.offX+x*k.scaleX, k.offY+y*k.scaleX
	size *= k.scaleX / pt
	if turned {
		k.turned(px, py, size, a, s)
		return
	}
	k.text(px, py, size, false, a, s)
}

// turned sets a line that runs upwards.
func (k *ink) turned(x, y, size float64, a chart.Anchor, s string) {
	k.f.TransformBegin()
	k.f.TransformRotate(90, x, y)
	k.text(x, y, size, false, a, s)
	k.f.TransformEnd()
}

func (k *ink) moved(x, y []float64) (xs, ys []float64) {
	xs, ys = make([]float64, len(x)), make([]float64, len(y))
	for i := range x {
		xs[i], ys[i] = k.offX+x[i]*k.scaleX, k.offY+y[i]*k.scaleX
	}
	return xs, ys
}

// hatch strokes a ring at 45 degrees, d mm apart.
func (k *ink) hatch(x, y []float64, d float64) {
	if len(x) < 3 {
		return
	}
	p := make([]fpdf.PointType, len(x))
	lo, hi, bottom, top := math.Inf(1), math.Inf(-1), math.Inf(-1), math.Inf(1)
	for i := range x {
		p[i] = fpdf.PointType{X: x[i], Y: y[i]}
		lo, hi = math.Min(lo, x[i]), math.Max(hi, x[i])
		top, bottom = math.Min(top, y[i]), math.Max(bottom, y[i])
	}
	k.f.ClipPolygon(p, false)
	k.pen(0.12)
	h := bottom - top
	for s := math.Floor((lo-h)/d) * d; s < hi; s += d {
		k.line(s, bottom, s+h, top)
	}
	k.f.ClipEnd()
}

// chart draws a chart into a box of the page.
func (k *ink) chart(c *chart.Chart, x, y, w, h float64) {
	const points = 560 // wide enough for small letters beside the page's own
	k.scaleX, k.offX, k.offY = w/points, x, y
	c.Draw(k, points, points*h/w)
}
