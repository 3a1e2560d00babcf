package paper

import (
	"fmt"
	"math"

	"fledge/internal/chart"
	"fledge/internal/report"
)

// Options say on what to print.
type Options struct {
	Paper Size
	TwoUp bool // two halves of a sheet beside each other, to cut or fold
}

func drawCard(c *report.Card, o Options) (*ink, error) {
	k := newInk(c.Name + ": flight card")
	w, h := o.Paper.W, o.Paper.H
	if o.TwoUp {
		w, h = h, w
	}
	most, least := 10.5, 5.2
	blocks := cardBlocks(c)
	for pass := 0; ; pass++ {
		k.page(w, h)
		cols, err := k.cardFrame(c, o, w, h)
		if err != nil {
			return nil, err
		}
		if k.fitAll(cols, blocks, most, least) {
			k.flow(cols, blocks, true)
			k.foot(w, h, c.Code)
			return k, nil
		}
		k.base, k.picture = least+1, pictures[len(pictures)-1]
		n := k.flow(cols, blocks, true)
		if n == 0 {
			return nil, fmt.Errorf("paper: a piece of the card finds no room on %s", o.Paper.Name)
		}
		k.foot(w, h, c.Code)
		blocks = blocks[n:]
	}
}

// cardFrame draws the head of the card and returns the columns below it.
func (k *ink) cardFrame(c *report.Card, o Options, w, h float64) ([]column, error) {
	m := ground
	head := w - 2*m
	half := w / 2
	if o.TwoUp {
		head = half - 2*m
		k.pen(0.15, 1, 1.5)
		k.line(half, 5, half, h-5)
	}
	const side = 27.0
	if err := k.symbol(m+head-side+2, m-2, side, c.Code); err != nil {
		return nil, err
	}
	y := m
	wide := head - side
	k.base = 9
	y += k.fit(m, y, wide, 19, true, c.Name)
	y += k.verdict(m, y, wide, c.Headline)
	for _, l := range k.lines(9, false, wide, c.Because) {
		k.text(m, y+3.1, 9, false, chart.Start, l)
		y += 3.9
	}
	k.text(m, y+2.8, 7, false, chart.Start, "Flight card: "+c.Made)
	y = math.Max(y+4.6, m+side-2)
	k.pen(0.5)
	k.line(m, y, m+head, y)
	y += 2
	foot := h - m - 6
	if o.TwoUp {
		return []column{{m, y, half - 2*m, foot - y}, {half + m, m, half - 2*m, foot - m}}, nil
	}
	g := 6.0
	cw := (head - g) / 2
	return []column{{m, y, cw, foot - y}, {m + cw + g, y, cw, foot - y}}, nil
}

// verdict sets the word so that it is told apart without colour: NO-GO white
// on black, HOLD in a hatched frame, GO in a plain one.
func (k *ink) verdict(x, y, w float64, word string) float64 {
	const h = 9.0
	wide := k.width(20, true, word) + 9
	xs, ys := []float64{x, x + wide, x + wide, x}, []float64{y, y, y + h, y + h}
	switch word {
	case "NO-GO":
		k.area(xs, ys, false)
		k.set(20, true)
		k.f.SetTextColor(255, 255, 255)
		k.f.Text(x+4.5, y+7.1, word)
		k.f.SetTextColor(0, 0, 0)
		return h + 1.5
	case "HOLD":
		k.hatch(xs, ys, 1.1)
		k.area([]float64{x + 2.2, x + wide - 2.2, x + wide - 2.2, x + 2.2}, []float64{y + 1.2, y + 1.2, y + h - 1.2, y + h - 1.2}, true)
	}
	k.pen(0.7)
	k.box(x, y, wide, h)
	k.text(x+4.5, y+7.1, 20, true, chart.Start, word)
	return h + 1.5
}

// foot sets code and note at the foot of the page.
func (k *ink) foot(w, h float64, code string) {
	y := h - ground + 1
	size := 5.6
	for size > 3.6 && k.width(size, false, code) > w-2*ground {
		size -= 0.1
	}
	k.text(ground, y, size, false, chart.Start, code)
	if n := k.absentNote(); n != "" {
		k.text(ground, y-2.8, 5.6, false, chart.Start, n)
	}
}

func cardBlocks(c *report.Card) []block {
	var b []block
	add := func(list ...block) { b = append(b, list...) }
	pairs := func(title string, list []report.Pair) {
		add(heading(title))
		for _, p := range list {
			add(pair(p))
		}
		add(gap(0.45))
	}
	if len(c.ToGo) > 0 {
		add(heading("What would make it go"))
		for _, s := range c.ToGo {
			add(item(s, false))
		}
		add(gap(0.45))
	}
	pairs("The day", c.Day)
	for _, s := range c.DayMore {
		add(item(s, false))
	}
	add(gap(0.3))
	add(heading("Weigh and balance"))
	add(block{lay: func(k *ink, x, y, w float64, put bool) float64 { return k.plan(c.Draw, x, y, w, k.picture*w, put) + 1 }})
	for _, p := range c.Balance {
		add(pair(p))
	}
	add(gap(0.45))
	add(heading("Launch"))
	add(table(c.Launch)...)
	for _, s := range c.LaunchSay {
		add(item(s, false))
	}
	if c.Launch == nil {
		for _, s := range []string{"stretch", "stick", "aim", "height of the hand", "motor delay"} {
			add(pair(report.Pair{Say: s}))
		}
	}
	add(gap(0.3))
	noted := func(title string, t *report.Table, note string) {
		add(heading(title))
		add(table(t)...)
		b[len(b)-1].keep = true // the note stays with its table
		add(item(note, true), gap(0.3))
	}
	if c.Wind != nil {
		noted("By wind", c.Wind, c.WindSay)
	}
	noted("Speeds", c.Speeds, c.SpeedSay)
	pairs("Land", c.Land)
	pairs("Radio and loiter", append(append([]report.Pair(nil), c.Radio...), c.Home...))
	add(heading("Before the flight, in this order"))
	for _, t := range c.Ticks {
		add(tick(t))
	}
	add(gap(0.4), heading("To fill in"))
	for i := 0; i < len(c.Blanks); i += 2 {
		if i+1 < len(c.Blanks) {
			add(side(blank(c.Blanks[i]), blank(c.Blanks[i+1])))
		} else {
			add(blank(c.Blanks[i]))
		}
	}
	add(gap(0.4), heading("Cautions"))
	for _, s := range c.Cautions {
		add(item(s, true))
	}
	return b
}
