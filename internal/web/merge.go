package web

import (
	"bytes"
	"strings"

	"fledge/internal/build"
)

// change is one value of a build file that differs between two texts of it.
type change struct{ path, before, after string }

// changes lists the values that differ between two texts. ok is false when
// one of them cannot be read as a build file at all.
func changes(before, after []byte) (list []change, ok bool) {
	a, _ := build.Parse("", before)
	b, _ := build.Parse("", after)
	if a == nil || b == nil {
		return nil, false
	}
	was := map[string]string{}
	for _, l := range build.Leaves(a) {
		was[l.Path] = l.Text()
	}
	for _, l := range build.Leaves(b) {
		old := was[l.Path]
		delete(was, l.Path)
		if old != l.Text() {
			list = append(list, change{l.Path, old, l.Text()})
		}
	}
	for _, l := range build.Leaves(a) {
		if old, gone := was[l.Path]; gone {
			list = append(list, change{l.Path, old, ""})
		}
	}
	return list, true
}

// lists is the length of every list of a text, by its path: a path with a
// number in it means the same value in two texts only when its list is as
// long in both.
func lengths(text []byte) map[string]int {
	out := map[string]int{}
	if b, _ := build.Parse("", text); b != nil {
		_, all := build.Every(b)
		for _, l := range all {
			out[l.Path] = len(l.Items)
		}
	}
	return out
}

// canonical is the path by which the build lists a value, or the path itself.
func canonical(b *build.Build, path string) string {
	if b != nil {
		if l, ds := build.Get(b, path); !ds.HasErrors() {
			return l.Path
		}
	}
	return path
}

// clashes finds which settings concern a value that theirs changed since the
// text they were meant for.
func clashes(base, theirs []byte, settings []build.Setting) (clash []ConflictPath, merged []change, ok bool) {
	list, ok := changes(base, theirs)
	if !ok {
		return nil, nil, false
	}
	b, _ := build.Parse("", base)
	before, after := lengths(base), lengths(theirs)
	changed := map[string]change{}
	for _, c := range list {
		changed[c.path] = c
	}
	for _, s := range settings {
		path := canonical(b, s.Path)
		if c, hit := changed[path]; hit {
			if c.after != s.Value { // both want the same: no clash
				clash = append(clash, ConflictPath{path, c.before, c.after, s.Value})
			}
			continue
		}
		for i := strings.IndexByte(path, '['); i >= 0; {
			if before[path[:i]] != after[path[:i]] {
				clash = append(clash, ConflictPath{path, "", "the list has another length now", s.Value})
				break
			}
			n := strings.IndexByte(path[i+1:], '[')
			if n < 0 {
				break
			}
			i += 1 + n
		}
	}
	return clash, list, true
}

// merge3 is the text that holds what both mine and theirs changed of base, by
// whole lines. ok is false where both changed the same or adjoining lines in
// different ways.
func merge3(base, mine, theirs []byte) (out []byte, ok bool) {
	b, m, t := lines(base), lines(mine), lines(theirs)
	dm, okM := differ(b, m)
	dt, okT := differ(b, t)
	if !okM || !okT {
		return nil, false
	}
	at := 0
	for len(dm) > 0 || len(dt) > 0 {
		var h hunk
		switch {
		case len(dt) == 0 || len(dm) > 0 && dm[0].to < dt[0].from:
			h, dm = dm[0], dm[1:]
		case len(dm) == 0 || dt[0].to < dm[0].from:
			h, dt = dt[0], dt[1:]
		case dm[0].same(dt[0]):
			h, dm, dt = dm[0], dm[1:], dt[1:]
		default:
			return nil, false
		}
		if h.from < at {
			return nil, false
		}
		for ; at < h.from; at++ {
			out = append(out, b[at]...)
		}
		for _, l := range h.lines {
			out = append(out, l...)
		}
		at = h.to
	}
	for ; at < len(b); at++ {
		out = append(out, b[at]...)
	}
	return out, true
}

// hunk puts lines in place of base[from:to].
type hunk struct {
	from, to int
	lines    [][]byte
}

func (h hunk) same(o hunk) bool {
	if h.from != o.from || h.to != o.to || len(h.lines) != len(o.lines) {
		return false
	}
	for i := range h.lines {
		if !bytes.Equal(h.lines[i], o.lines[i]) {
			return false
		}
	}
	return true
}

func lines(text []byte) [][]byte {
	if len(text) == 0 {
		return nil
	}
	out := bytes.SplitAfter(text, []byte("\n"))
	if len(out[len(out)-1]) == 0 {
		out = out[:len(out)-1]
	}
	return out
}

// mostCells bounds the table of a line comparison.
const mostCells = 16 << 20

// differ lists what makes b of a, by the longest common row of lines; ok is
// false for texts too large and too different to compare.
func differ(a, b [][]byte) (out []hunk, ok bool) {
	lo := 0
	for lo < len(a) && lo < len(b) && bytes.Equal(a[lo], b[lo]) {
		lo++
	}
	ea, eb := len(a), len(b)
	for ea > lo && eb > lo && bytes.Equal(a[ea-1], b[eb-1]) {
		ea, eb = ea-1, eb-1
	}
	n, m := ea-lo, eb-lo
	if n*m > mostCells {
		return nil, false
	}
	// best[i][j]: common lines of a[lo+i:ea] and b[lo+j:eb].
	best := make([][]int32, n+1)
	for i := range best {
		best[i] = make([]int32, m+1)
	}
	for i := n - 1; i >= 0; i-- {
		for j := m - 1; j >= 0; j-- {
			if bytes.Equal(a[lo+i], b[lo+j]) {
				best[i][j] = best[i+1][j+1] + 1
			} else {
				best[i][j] = max(best[i+1][j], best[i][j+1])
			}
		}
	}
	i, j := 0, 0
	for i < n || j < m {
		if i < n && j < m && bytes.Equal(a[lo+i], b[lo+j]) {
			i, j = i+1, j+1
			continue
		}
		h := hunk{from: lo + i}
		for i < n || j < m {
			if i < n && j < m && bytes.Equal(a[lo+i], b[lo+j]) {
				break
			}
			if j < m && (i == n || best[i][j+1] >= best[i+1][j]) {
				h.lines = append(h.lines, b[lo+j])
				j++
			} else {
				i++
			}
		}
		h.to = lo + i
		out = append(out, h)
	}
	return out, true
}
