// Package report turns findings and results into a neutral document, which
// text, web and paper render alike. It computes nothing and rounds once.
package report

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fledge/internal/assess"
	"fledge/internal/unit"
)

// Doc is a document: a headline, a lead and sections.
type Doc struct {
	Headline string // "NO-GO"
	Title    string // "Tern"
	Lead     []string
	Sections []Section
}

// Section is a titled list of blocks.
type Section struct {
	Title  string
	Blocks []Block
}

// Block is one of paragraph, list or table.
type Block struct {
	Para  string
	List  []string
	Table *Table
}

// Table has a header and rows of equal length. Right marks right-aligned columns.
type Table struct {
	Head  []string
	Rows  [][]string
	Right []bool
	Wrap  int // the column that takes the room left and wraps; -1 for none
	Least int // its least width in characters; 0: 16
}

func para(format string, args ...any) Block { return Block{Para: fmt.Sprintf(format, args...)} }

// Width is the text page in characters.
const Width = 80

// Text renders the document for a terminal of [Width] columns. Headline and
// marks are plain words: colour is the caller's, and never the only sign.
func (d *Doc) Text() string {
	var b strings.Builder
	head := d.Title
	if d.Headline != "" {
		head = d.Headline + "  " + d.Title
	}
	if head != "" {
		b.WriteString(head + "\n" + strings.Repeat("=", min(Width, utf8.RuneCountInString(head))) + "\n")
	}
	for _, p := range d.Lead {
		for _, line := range strings.Split(p, "\n") {
			b.WriteString(wrap(line, "", "", Width) + "\n")
		}
	}
	for _, s := range d.Sections {
		if len(s.Blocks) == 0 {
			continue
		}
		b.WriteString("\n" + s.Title + "\n" + strings.Repeat("-", utf8.RuneCountInString(s.Title)) + "\n")
		for _, k := range s.Blocks {
			switch {
			case k.Table != nil:
				b.WriteString(k.Table.text(Width))
			case k.List != nil:
				for _, l := range k.List {
					b.WriteString(wrap(l, " - ", "   ", Width) + "\n")
				}
			default:
				b.WriteString(wrap(k.Para, "", "", Width) + "\n")
			}
		}
	}
	return b.String()
}

// told turns the page's sentences and cells into the units asked for, and calls
// the slowest flight what it is.
func (d *Doc) told(units unit.System, slow assess.Slowest) {
	if d == nil || units == unit.Metric && !slow.ByThrow {
		return
	}
	say := func(s *string) { *s = slow.Tell(unit.Retell(*s, units)) }
	all := func(list []string) {
		for i := range list {
			say(&list[i])
		}
	}
	say(&d.Headline)
	all(d.Lead)
	for i := range d.Sections {
		s := &d.Sections[i]
		say(&s.Title)
		for j := range s.Blocks {
			b := &s.Blocks[j]
			say(&b.Para)
			if b.List != nil { // may be shared: the cautions of verdict
				b.List = append([]string(nil), b.List...)
				all(b.List)
			}
			if b.Table != nil {
				all(b.Table.Head)
				for _, r := range b.Table.Rows {
					all(r)
				}
			}
		}
	}
}

// wrap folds s at width, the first line after first, the others after next.
func wrap(s, first, next string, width int) string {
	var out strings.Builder
	line, col := first, utf8.RuneCountInString(first)
	empty := true
	for _, w := range strings.Fields(s) {
		n := utf8.RuneCountInString(w)
		if !empty && col+1+n > width {
			out.WriteString(strings.TrimRight(line, " ") + "\n")
			line, col, empty = next, utf8.RuneCountInString(next), true
		}
		if !empty {
			line += " "
			col++
		}
		line += w
		col += n
		empty = false
	}
	out.WriteString(strings.TrimRight(line, " "))
	return out.String()
}

func (t *Table) least() int {
	if t.Least > 0 {
		return t.Least
	}
	return 16
}

// text lays the table out: columns as wide as their widest cell, two spaces
// between, the Wrap column folded into what is left.
func (t *Table) text(width int) string {
	cols := len(t.Head)
	for _, r := range t.Rows {
		cols = max(cols, len(r))
	}
	wide := make([]int, cols)
	see := func(row []string) {
		for i, c := range row {
			wide[i] = max(wide[i], utf8.RuneCountInString(c))
		}
	}
	see(t.Head)
	for _, r := range t.Rows {
		see(r)
	}
	// A head wider than the page is folded at its spaces.
	total := 2 * (cols - 1)
	for _, w := range wide {
		total += w
	}
	foldHead := total > width && t.Wrap < 0
	if foldHead {
		clear(wide)
		for i, h := range t.Head {
			for _, w := range strings.Fields(h) {
				wide[i] = max(wide[i], utf8.RuneCountInString(w))
			}
		}
		for _, r := range t.Rows {
			see(r)
		}
	}
	if t.Wrap >= 0 && t.Wrap < cols {
		rest := width - 2*(cols-1)
		for i, w := range wide {
			if i != t.Wrap {
				rest -= w
			}
		}
		wide[t.Wrap] = min(wide[t.Wrap], max(rest, t.least()))
	}
	var b strings.Builder
	line := func(cells []string, fold bool) {
		folded := make([][]string, cols)
		rows := 1
		for i, c := range cells {
			folded[i] = []string{c}
			if i == t.Wrap || fold {
				folded[i] = strings.Split(wrap(c, "", "", wide[i]), "\n")
			}
			rows = max(rows, len(folded[i]))
		}
		for k := range rows {
			var l strings.Builder
			for i := range cols {
				c := ""
				if k < len(folded[i]) {
					c = folded[i][k]
				}
				pad := strings.Repeat(" ", max(0, wide[i]-utf8.RuneCountInString(c)))
				if i < len(t.Right) && t.Right[i] {
					l.WriteString(pad + c)
				} else {
					l.WriteString(c + pad)
				}
				if i < cols-1 {
					l.WriteString("  ")
				}
			}
			b.WriteString(strings.TrimRight(l.String(), " ") + "\n")
		}
	}
	some := false
	for _, h := range t.Head {
		some = some || h != ""
	}
	if some {
		line(t.Head, foldHead)
	}
	for _, r := range t.Rows {
		line(r, false)
	}
	return b.String()
}
