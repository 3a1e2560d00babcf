package paper

import (
	"fmt"

	"fledge/internal/chart"
	"fledge/internal/report"
)

// Pages sets a document on as many pages as it takes, the drawing first, charts
// last;
// every page carries title, number and, at its foot, the first caution.
func Pages(d *report.Doc, draw *report.Drawing, charts []*chart.Chart, size Size) []byte {
	k := newInk(d.Title)
	var b []block
	for _, p := range d.Lead {
		b = append(b, words(p, false))
	}
	if draw != nil {
		b = append(b, gap(0.5), block{lay: func(k *ink, x, y, w float64, put bool) float64 { return k.plan(*draw, x, y, w, 80, put) }})
	}
	for _, s := range d.Sections {
		if len(s.Blocks) == 0 {
			continue
		}
		b = append(b, gap(0.6), heading(s.Title))
		for _, g := range s.Blocks {
			switch {
			case g.Table != nil:
				b = append(b, table(g.Table)...)
				b = append(b, gap(0.3))
			case g.List != nil:
				for _, l := range g.List {
					b = append(b, item(l, false))
				}
			default:
				b = append(b, words(g.Para, false))
			}
		}
	}
	for _, c := range charts {
		b = append(b, gap(0.8), block{lay: func(k *ink, x, y, w float64, put bool) float64 {
			if put {
				k.chart(c, x, y, w, 0.5*w)
			}
			return 0.5 * w
		}})
	}
	foot := ""
	for _, s := range d.Sections {
		if s.Title == "Cautions" && len(s.Blocks) > 0 && len(s.Blocks[0].List) > 0 {
			foot = s.Blocks[0].List[0]
		}
	}
	k.base = 9
	for n := 1; len(b) > 0; n++ {
		k.page(size.W, size.H)
		y := ground
		y += k.fit(ground, ground-1, size.W-2*ground-25, 15, true, d.Title)
		k.text(size.W-ground, ground+4, 8, false, chart.End, fmt.Sprintf("page %d", n))
		k.pen(0.5)
		k.line(ground, y+1, size.W-ground, y+1)
		y += 3.5
		c := []column{{ground, y, size.W - 2*ground, size.H - ground - 7 - y}}
		done := 0
		for k.base = 9; k.base >= 5; k.base -= 0.5 { // smaller only for a piece that fills a page
			if done = k.flow(c, b, false); done > 0 {
				break
			}
		}
		if done == 0 {
			panic("paper: a line of a document is taller than a page")
		}
		k.flow(c, b, true)
		b = b[done:]
		k.base = 9
		last := foot
		if n := k.absentNote(); n != "" {
			last = n
		}
		k.text(ground, size.H-ground+2, 6.5, false, chart.Start, last)
	}
	return k.bytes()
}
