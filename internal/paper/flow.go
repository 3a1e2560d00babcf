package paper

import (
	"math"
	"strings"

	"fledge/internal/chart"
	"fledge/internal/report"
)

// block is a piece of a page that is not torn apart. lay returns its height in
// a column of width w and, when put is true, draws it with its upper left corner
// at (x, y).
type block struct {
	lay  func(k *ink, x, y, w float64, put bool) float64
	keep bool   // stays with the block after it
	head *block // set above it once more where it begins a column: the head of its table
}

// area is a column of a page.
type column struct{ x, y, w, h float64 }

// em is the line distance of running text, mm.
func (k *ink) em() float64 { return k.base * pt * 1.22 }

// flow sets blocks into columns one after the other; it returns how many were
// placed. Without put nothing is drawn.
func (k *ink) flow(cols []column, blocks []block, put bool) int {
	at := 0
	for _, c := range cols {
		y := c.y
		for at < len(blocks) {
			need, n := 0.0, at
			head := blocks[at].head
			if y > c.y {
				head = nil
			}
			if head != nil {
				need = head.lay(k, c.x, 0, c.w, false)
			}
			for {
				need += blocks[n].lay(k, c.x, 0, c.w, false)
				n++
				if n == len(blocks) || !blocks[n-1].keep {
					break
				}
			}
			if y+need > c.y+c.h+1e-6 && y > c.y {
				break
			}
			if y+need > c.y+c.h+1e-6 {
				return at // taller than a whole column
			}
			if head != nil {
				y += head.lay(k, c.x, y, c.w, put)
			}
			for ; at < n; at++ {
				h := blocks[at].lay(k, c.x, y, c.w, false)
				if put {
					blocks[at].lay(k, c.x, y, c.w, true)
				}
				y += h
			}
		}
	}
	return at
}

// pictures are the heights of a card's drawing over its width, largest first.
var pictures = []float64{0.66, 0.55, 0.45}

// fitAll finds the largest type, between the two sizes, at which all blocks
// find room. Down to a size that is read with gloves on at arm's length the
// drawing keeps its size; then it gives way before the type gets smaller.
func (k *ink) fitAll(cols []column, blocks []block, most, least float64) bool {
	const good = 8.4
	for i, from := range []float64{most, good, good} {
		k.picture = pictures[i]
		to := good
		if i == len(pictures)-1 {
			to = least
		}
		for k.base = from; k.base >= to-1e-9; k.base -= 0.1 {
			if k.flow(cols, blocks, false) == len(blocks) {
				return true
			}
		}
	}
	k.base = least
	return false
}

func heading(s string) block {
	return block{keep: true, lay: func(k *ink, x, y, w float64, put bool) float64 {
		e := k.em()
		if put {
			t := strings.ToUpper(s)
			size := k.base * 0.94
			k.text(x, y+0.92*e, size, true, chart.Start, t)
			if at := x + k.width(size, true, t) + 2; at < x+w-2 {
				k.pen(0.35)
				k.line(at, y+0.6*e, x+w, y+0.6*e)
			}
		}
		return 1.5 * e
	}}
}

func gap(share float64) block {
	return block{lay: func(k *ink, _, _, _ float64, _ bool) float64 { return share * k.em() }}
}

// words is a paragraph.
func words(s string, heavy bool) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		e := k.em()
		list := k.lines(k.base, heavy, w, s)
		if put {
			for i, l := range list {
				k.text(x, y+float64(i)*e+0.8*e, k.base, heavy, chart.Start, l)
			}
		}
		return float64(len(list)) * e
	}}
}

// item is a line of a list, with a dash before it; small sets it smaller.
func item(s string, small bool) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		size := k.base
		if small {
			size *= 0.86
		}
		e := size * pt * 1.2
		list := k.lines(size, false, w-2.4, s)
		if put {
			k.pen(0.3)
			k.line(x, y+0.5*e, x+1.2, y+0.5*e)
			for i, l := range list {
				k.text(x+2.4, y+float64(i)*e+0.8*e, size, false, chart.Start, l)
			}
		}
		return float64(len(list))*e + 0.12*e
	}}
}

// tick is a check with its box; the reason in smaller type.
func tick(t report.Tick) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		e := k.em()
		b := 0.78 * e
		s := t.Do
		if t.Why != "" {
			s += " (" + t.Why + ")"
		}
		list := k.lines(k.base, false, w-b-1.5, s)
		if put {
			k.pen(0.3)
			k.box(x, y+0.12*e, b, b)
			for i, l := range list {
				k.text(x+b+1.5, y+float64(i)*e+0.8*e, k.base, false, chart.Start, l)
			}
		}
		return float64(len(list))*e + 0.28*e
	}}
}

// pair is a name and its value; an empty value is a line to write on.
func pair(p report.Pair) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		e := k.em()
		left := k.width(k.base, false, p.Say)
		if p.Is == "" {
			if put {
				k.text(x, y+0.85*e, k.base, false, chart.Start, p.Say)
				k.pen(0.2)
				k.line(x+math.Min(left+1.5, 0.7*w), y+1.05*e, x+w, y+1.05*e)
			}
			return 1.25 * e
		}
		right := k.width(k.base, true, p.Is)
		if left+right+3 <= w {
			if put {
				k.text(x, y+0.8*e, k.base, false, chart.Start, p.Say)
				k.text(x+w, y+0.8*e, k.base, true, chart.End, p.Is)
				k.pen(0.15, 0.01, 1.1)
				k.line(x+left+1.2, y+0.8*e, x+w-right-1.2, y+0.8*e)
			}
			return e
		}
		lw, rw := 0.4*w, 0.57*w
		if right <= 0.5*w {
			lw, rw = w-right-3, right+0.1
		}
		a := k.lines(k.base, false, lw, p.Say)
		b := k.lines(k.base, true, rw, p.Is)
		if put {
			for i, l := range a {
				k.text(x, y+float64(i)*e+0.8*e, k.base, false, chart.Start, l)
			}
			for i, l := range b {
				k.text(x+w, y+float64(i)*e+0.8*e, k.base, true, chart.End, l)
			}
		}
		return float64(max(len(a), len(b))) * e
	}}
}

// blank is a name with a line to write on, tall enough for a cold hand.
func blank(s string) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		e := k.em()
		h := math.Max(1.75*e, 6)
		if put {
			k.text(x, y+h-0.35*e, k.base, false, chart.Start, s)
			k.pen(0.2)
			k.line(x+k.width(k.base, false, s)+1.5, y+h-0.2*e, x+w, y+h-0.2*e)
		}
		return h
	}}
}

// side puts two blocks beside each other.
func side(a, b block) block {
	return block{lay: func(k *ink, x, y, w float64, put bool) float64 {
		g := 3.0
		h := (w - g) / 2
		return math.Max(a.lay(k, x, y, h, put), b.lay(k, x+h+g, y, h, put))
	}}
}

// whole is how many rows a table may have not to be torn apart.
const whole = 9

// table sets a table row by row. A short one stays in one piece; of a longer
// one the first row stays with the second, the last with the one before, and
// its head is repeated where it goes on.
func table(t *report.Table) []block {
	if t == nil || len(t.Rows) == 0 {
		return nil
	}
	cols := len(t.Head)
	for _, r := range t.Rows {
		cols = max(cols, len(r))
	}
	head := false
	for _, h := range t.Head {
		head = head || h != ""
	}
	// Columns as wide as their widest cell; the one that wraps takes the rest,
	// and where that is too little all share what there is.
	widths := func(k *ink, w float64) []float64 {
		const g = 2.2
		out := make([]float64, cols)
		see := func(row []string, heavy bool) {
			for i, c := range row {
				out[i] = math.Max(out[i], k.width(k.base, heavy, c))
			}
		}
		for _, r := range t.Rows {
			see(r, false)
		}
		if head { // a head may fold
			for i, h := range t.Head {
				for _, word := range strings.Fields(h) {
					out[i] = math.Max(out[i], k.width(k.base*0.9, true, word))
				}
			}
		}
		sum := g * float64(cols-1)
		for _, v := range out {
			sum += v
		}
		if sum <= w {
			if t.Wrap == cols-1 || cols <= 3 { // the last takes the rest; a wide gap in the middle is hard to read across
				out[cols-1] += w - sum
			}
			return out
		}
		wrap := t.Wrap
		if wrap < 0 || wrap >= cols {
			wrap = 0
		}
		rest := w - (sum - out[wrap])
		if rest >= 0.22*w {
			out[wrap] = rest
			return out
		}
		scale := (w - g*float64(cols-1)) / (sum - g*float64(cols-1))
		for i := range out {
			out[i] *= scale
		}
		return out
	}
	row := func(cells []string, heavy, keep, rule bool) block {
		return block{keep: keep, lay: func(k *ink, x, y, w float64, put bool) float64 {
			e := k.em()
			size := k.base
			if heavy {
				size *= 0.9
			}
			wide := widths(k, w)
			n := 1
			folded := make([][]string, len(cells))
			for i, c := range cells {
				folded[i] = k.lines(size, heavy, wide[i]+0.01, c)
				n = max(n, len(folded[i]))
			}
			h := float64(n)*e*0.96 + 0.16*e
			if put {
				at := x
				for i := range cells {
					for j, l := range folded[i] {
						if i < len(t.Right) && t.Right[i] {
							k.text(at+wide[i], y+float64(j)*e*0.96+0.8*e, size, heavy, chart.End, l)
						} else {
							k.text(at, y+float64(j)*e*0.96+0.8*e, size, heavy, chart.Start, l)
						}
					}
					at += wide[i] + 2.2
				}
				if rule {
					k.pen(0.12)
					k.line(x, y+h-0.05*e, math.Min(at-2.2, x+w), y+h-0.05*e)
				}
			}
			return h
		}}
	}
	var out []block
	var top *block
	if head {
		h := row(t.Head, true, true, true)
		out, top = append(out, h), &h
	}
	n := len(t.Rows)
	for i, r := range t.Rows {
		b := row(r, false, i+1 < n && (n <= whole || i == 0 || i == n-2), true)
		if i > 0 {
			b.head = top
		}
		out = append(out, b)
	}
	return out
}
