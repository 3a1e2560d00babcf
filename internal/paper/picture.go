package paper

import (
	"encoding/xml"
	"fmt"
	"math"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"fledge/internal/report"
)

// Shown is a document with its pages as pictures: what a screen shows before
// anything is printed.
type Shown struct {
	PDF   []byte
	Pages []string // SVG, one a page, in mm; black on white, nothing from outside
}

func (k *ink) shown() Shown { return Shown{k.bytes(), k.f.svg()} }

// CardShown is the flight card, a PDF of one page and its picture. The error
// says that the code is too long for its symbol.
func CardShown(c *report.Card, o Options) (Shown, error) {
	k, err := drawCard(c, o)
	if err != nil {
		return Shown{}, err
	}
	return k.shown(), nil
}

// TemplatesShown sets templates page by page, a PDF and its pictures; the
// cautions stand on each.
func TemplatesShown(title string, list []Template, cautions []string, size Size, imperial bool) Shown {
	return drawTemplates(title, list, cautions, size, imperial).shown()
}

// both draws on the document and, with the same strokes, a picture of each
// page. Letters are spread to the width they have in print, whatever face the
// screen sets them in.
type both struct {
	*fpdf.Fpdf
	pages []*seen
	pen   string // stroke attributes
	width float64
	dash  []float64
	fill  string
	ink   string // of letters
	size  float64
	heavy bool
}

// seen is one page.
type seen struct {
	w, h float64
	b    strings.Builder
	clip int
	path strings.Builder
}

func (t *both) on() *seen { return t.pages[len(t.pages)-1] }

func num(v float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func (p *seen) put(format string, a ...any) { fmt.Fprintf(&p.b, format+"\n", a...) }

func hue(r, g, b int) string { return fmt.Sprintf("#%02x%02x%02x", r, g, b) }

func (t *both) AddPageFormat(o string, s fpdf.SizeType) {
	t.Fpdf.AddPageFormat(o, s)
	w, h := s.Wd, s.Ht
	if o == "L" {
		w, h = h, w
	}
	t.pages = append(t.pages, &seen{w: w, h: h})
}

func (t *both) SetDrawColor(r, g, b int) { t.Fpdf.SetDrawColor(r, g, b); t.pen = hue(r, g, b) }
func (t *both) SetFillColor(r, g, b int) { t.Fpdf.SetFillColor(r, g, b); t.fill = hue(r, g, b) }
func (t *both) SetTextColor(r, g, b int) { t.Fpdf.SetTextColor(r, g, b); t.ink = hue(r, g, b) }
func (t *both) SetLineWidth(w float64)   { t.Fpdf.SetLineWidth(w); t.width = w }

func (t *both) SetDashPattern(d []float64, phase float64) {
	t.Fpdf.SetDashPattern(d, phase)
	t.dash = append([]float64(nil), d...)
}

func (t *both) SetFont(family, style string, size float64) {
	t.Fpdf.SetFont(family, style, size)
	t.size, t.heavy = size, style == "B"
}

// how says how a shape is put on: "D" its outline, "F" filled.
func (t *both) how(style string) string {
	if style == "F" {
		return fmt.Sprintf(`fill="%s"`, t.fill)
	}
	s := fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s"`, t.pen, num(t.width))
	if len(t.dash) > 0 {
		var d []string
		for _, v := range t.dash {
			d = append(d, num(v))
		}
		s += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(d, " "))
	}
	return s
}

func (t *both) Line(x1, y1, x2, y2 float64) {
	t.Fpdf.Line(x1, y1, x2, y2)
	t.on().put(`<path d="M%s %sL%s %s" %s/>`, num(x1), num(y1), num(x2), num(y2), t.how("D"))
}

func (t *both) MoveTo(x, y float64) {
	t.Fpdf.MoveTo(x, y)
	fmt.Fprintf(&t.on().path, "M%s %s", num(x), num(y))
}

func (t *both) LineTo(x, y float64) {
	t.Fpdf.LineTo(x, y)
	fmt.Fprintf(&t.on().path, "L%s %s", num(x), num(y))
}

func (t *both) DrawPath(style string) {
	t.Fpdf.DrawPath(style)
	p := t.on()
	p.put(`<path d="%s" %s/>`, p.path.String(), t.how(style))
	p.path.Reset()
}

func points(list []fpdf.PointType) string {
	var b strings.Builder
	for i, q := range list {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(num(q.X) + "," + num(q.Y))
	}
	return b.String()
}

func (t *both) Polygon(list []fpdf.PointType, style string) {
	t.Fpdf.Polygon(list, style)
	t.on().put(`<polygon points="%s" %s/>`, points(list), t.how(style))
}

func (t *both) Rect(x, y, w, h float64, style string) {
	t.Fpdf.Rect(x, y, w, h, style)
	t.on().put(`<rect x="%s" y="%s" width="%s" height="%s" %s/>`, num(x), num(y), num(w), num(h), t.how(style))
}

func (t *both) Circle(x, y, r float64, style string) {
	t.Fpdf.Circle(x, y, r, style)
	t.on().put(`<circle cx="%s" cy="%s" r="%s" %s/>`, num(x), num(y), num(r), t.how(style))
}

func (t *both) clipped(shape string) {
	p := t.on()
	p.clip++
	p.put(`<clipPath id="c%d-%d">%s</clipPath><g clip-path="url(#c%d-%d)">`, len(t.pages), p.clip, shape, len(t.pages), p.clip)
}

func (t *both) ClipPolygon(list []fpdf.PointType, outline bool) {
	t.Fpdf.ClipPolygon(list, outline)
	t.clipped(fmt.Sprintf(`<polygon points="%s"/>`, points(list)))
}

func (t *both) ClipRect(x, y, w, h float64, outline bool) {
	t.Fpdf.ClipRect(x, y, w, h, outline)
	t.clipped(fmt.Sprintf(`<rect x="%s" y="%s" width="%s" height="%s"/>`, num(x), num(y), num(w), num(h)))
}

func (t *both) ClipEnd() { t.Fpdf.ClipEnd(); t.on().put("</g>") }

func (t *both) TransformRotate(angle, x, y float64) {
	t.Fpdf.TransformRotate(angle, x, y)
	t.on().put(`<g transform="rotate(%s %s %s)">`, num(-angle), num(x), num(y))
}

func (t *both) TransformEnd() { t.Fpdf.TransformEnd(); t.on().put("</g>") }

func (t *both) Text(x, y float64, s string) {
	t.Fpdf.Text(x, y, s)
	if strings.TrimSpace(s) == "" {
		return
	}
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder takes everything
	weight, long := "", ""
	if t.heavy {
		weight = ` font-weight="bold"`
	}
	if w := t.GetStringWidth(s); w > 0 && !math.IsInf(w, 0) {
		long = fmt.Sprintf(` textLength="%s" lengthAdjust="spacingAndGlyphs"`, num(w))
	}
	t.on().put(`<text x="%s" y="%s" font-size="%s"%s fill="%s"%s>%s</text>`, num(x), num(y), num(t.size*pt), weight, t.ink, long, b.String())
}

// svg is the pages drawn so far.
func (t *both) svg() []string {
	out := make([]string, len(t.pages))
	for i, p := range t.pages {
		out[i] = fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%smm" height="%smm" font-family="'DejaVu Sans Condensed', 'Arial Narrow', sans-serif" stroke-linecap="round" stroke-linejoin="round" xml:space="preserve">`, num(p.w), num(p.h), num(p.w), num(p.h)) +
			fmt.Sprintf("\n<rect width=\"%s\" height=\"%s\" fill=\"#ffffff\"/>\n", num(p.w), num(p.h)) + p.b.String() + "</svg>\n"
	}
	return out
}
