package build

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	yaml "go.yaml.in/yaml/v4"

	"fledge/internal/diag"
)

// source is the text of a file with an index of its lines.
type source struct {
	bom   int    // bytes of byte-order mark in front of text
	text  []byte // without the mark
	lines []int  // byte offset of the start of each line
}

var mark = []byte("\ufeff")

func newSource(text []byte) *source {
	s := &source{text: text}
	if bytes.HasPrefix(text, mark) {
		s.bom, s.text = len(mark), text[len(mark):]
	}
	s.lines = []int{0}
	for i, c := range s.text {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// notText finds the first thing that does not belong into a text.
func (s *source) notText() (diag.Span, string) {
	line, col := 1, 1
	for i := 0; i < len(s.text); {
		r, n := utf8.DecodeRune(s.text[i:])
		at := diag.Span{Line: line, Col: col, Len: 1}
		switch {
		case r == utf8.RuneError && n == 1:
			return at, fmt.Sprintf("byte 0x%02x is not UTF-8", s.text[i])
		case r == '\r':
			if i+1 >= len(s.text) || s.text[i+1] != '\n' {
				return at, "a carriage return without a line feed"
			}
		case r < ' ' && r != '\t' && r != '\n', r >= 0x7f && r < 0xa0, r == '\u2028', r == '\u2029', r == '\ufeff', r == '\ufffe', r == '\uffff':
			return at, fmt.Sprintf("control character U+%04X", r)
		}
		col++
		if r == '\n' {
			line, col = line+1, 1
		}
		i += n
	}
	return diag.Span{}, ""
}

// offset is the byte offset of a line and column, both from 1; -1 outside.
func (s *source) offset(line, col int) int {
	if line < 1 || line > len(s.lines) || col < 1 {
		return -1
	}
	i := s.lines[line-1]
	for ; col > 1; col-- {
		if i >= len(s.text) || s.text[i] == '\n' {
			return -1
		}
		_, n := utf8.DecodeRune(s.text[i:])
		i += n
	}
	return i
}

// at is the character at a line and column, 0 outside.
func (s *source) at(line, col int) rune {
	i := s.offset(line, col)
	if i < 0 || i >= len(s.text) {
		return 0
	}
	r, _ := utf8.DecodeRune(s.text[i:])
	return r
}

// firstLine is the part of text[from:to] on its first line.
func (s *source) firstLine(from, to int) []byte {
	part := s.text[from:to]
	if i := bytes.IndexByte(part, '\n'); i >= 0 {
		part = part[:i]
	}
	return bytes.TrimRight(part, "\r ")
}

// last is the place just behind the last text that is not blank.
func (s *source) last() (line, col int) {
	for i := len(s.lines) - 1; i >= 0; i-- {
		to := len(s.text)
		if i+1 < len(s.lines) {
			to = s.lines[i+1]
		}
		if text := bytes.TrimRight(s.text[s.lines[i]:to], " \t\r\n"); len(text) > 0 {
			return i + 1, utf8.RuneCount(text) + 1
		}
	}
	return 1, 1
}

// secondDocument is the line of a "---" behind some content, 0 if there is none.
func (s *source) secondDocument() int {
	content := false
	for i, line := range bytes.Split(s.text, []byte("\n")) {
		line = bytes.TrimSpace(line)
		switch {
		case bytes.HasPrefix(line, []byte("---")) && content:
			return i + 1
		case len(line) > 0 && line[0] != '#' && line[0] != '%' && !bytes.HasPrefix(line, []byte("---")):
			content = true
		}
	}
	return 0
}

// extent finds the bytes of a scalar in the source, quotes included. ok is
// false for block scalars (| and >) and for an empty value.
func (s *source) extent(n *yaml.Node) (from, to int, ok bool) {
	from = s.offset(n.Line, n.Column)
	if from < 0 || from >= len(s.text) {
		return 0, 0, false
	}
	switch n.Style &^ yaml.TaggedStyle {
	case yaml.SingleQuotedStyle:
		if s.text[from] != '\'' {
			return 0, 0, false
		}
		for i := from + 1; i < len(s.text); i++ {
			if s.text[i] != '\'' {
				continue
			}
			if i+1 < len(s.text) && s.text[i+1] == '\'' {
				i++
				continue
			}
			return from, i + 1, true
		}
	case yaml.DoubleQuotedStyle:
		if s.text[from] != '"' {
			return 0, 0, false
		}
		for i := from + 1; i < len(s.text); i++ {
			switch s.text[i] {
			case '\\':
				i++
			case '"':
				return from, i + 1, true
			}
		}
	case yaml.LiteralStyle, yaml.FoldedStyle:
	default:
		if n.Value == "" {
			return 0, 0, false
		}
		// A plain scalar; folded over lines, its words are separated by any
		// white space.
		i := from
		for k, w := range strings.Fields(n.Value) {
			if k > 0 {
				for i < len(s.text) && strings.IndexByte(" \t\r\n", s.text[i]) >= 0 {
					i++
				}
			}
			if !bytes.HasPrefix(s.text[i:], []byte(w)) {
				return 0, 0, false
			}
			i += len(w)
		}
		return from, i, true
	}
	return 0, 0, false
}
