// Package diag holds located diagnostics: severity, span, message and hint.
// A wrong file or wish of the user becomes a [Diagnostic]; several are
// collected in a [List], sorted by place, and printed with the source line
// and a caret, or as JSON.
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Span is a place in a text: line and column count from 1, in characters.
// The zero Span is nowhere.
type Span struct {
	File      string
	Line, Col int
	Len       int
}

// String prints "file:line:col", leaving out what is not known.
func (s Span) String() string {
	switch {
	case s.Line == 0:
		return s.File
	case s.File == "":
		return fmt.Sprintf("%d:%d", s.Line, s.Col)
	}
	return fmt.Sprintf("%s:%d:%d", s.File, s.Line, s.Col)
}

// Severity says how bad it is.
type Severity uint8

// The severities. An Error makes the input unusable; a Warning is something
// the user should look at; a Note tells what the tool did.
const (
	Error Severity = iota
	Warning
	Note
)

// String is "error", "warning" or "note".
func (s Severity) String() string {
	switch s {
	case Error:
		return "error"
	case Warning:
		return "warning"
	case Note:
		return "note"
	}
	panic("diag: no such severity")
}

// Diagnostic is one remark about the user's input. Code is a stable short
// word ("unknown-key") for tests and scripts; Message is a whole sentence
// without its full stop; Hint says what to do about it and may be empty.
type Diagnostic struct {
	Severity Severity
	Code     string
	Span     Span
	Message  string
	Hint     string
}

// String prints it on one line, without excerpt.
func (d Diagnostic) String() string {
	var b strings.Builder
	if at := d.Span.String(); at != "" {
		b.WriteString(at + ": ")
	}
	b.WriteString(d.Severity.String() + ": " + d.Message)
	if d.Hint != "" {
		b.WriteString(" (" + d.Hint + ")")
	}
	return b.String()
}

// List is a collection of diagnostics.
type List []Diagnostic

// Add appends one diagnostic.
func (l *List) Add(d Diagnostic) { *l = append(*l, d) }

// Errorf appends an error without a hint.
func (l *List) Errorf(code string, at Span, format string, args ...any) {
	l.Add(Diagnostic{Error, code, at, fmt.Sprintf(format, args...), ""})
}

// HasErrors says whether the list holds an error.
func (l List) HasErrors() bool { return l.Count(Error) > 0 }

// Count counts the diagnostics of one severity.
func (l List) Count(s Severity) int {
	n := 0
	for _, d := range l {
		if d.Severity == s {
			n++
		}
	}
	return n
}

// Sort orders by file, line, column, then severity; it is stable, and drops
// exact repeats.
func (l *List) Sort() {
	slices.SortStableFunc(*l, func(a, b Diagnostic) int {
		return cmp.Or(
			cmp.Compare(a.Span.File, b.Span.File),
			cmp.Compare(a.Span.Line, b.Span.Line),
			cmp.Compare(a.Span.Col, b.Span.Col),
			cmp.Compare(a.Severity, b.Severity),
		)
	})
	*l = slices.Compact(*l)
}

// Err is nil when there is no error, else an error whose text is the list,
// one line each.
func (l List) Err() error {
	if !l.HasErrors() {
		return nil
	}
	return listError{l}
}

type listError struct{ l List }

func (e listError) Error() string {
	var lines []string
	for _, d := range e.l {
		lines = append(lines, d.String())
	}
	return strings.Join(lines, "\n")
}

// Width is the width in characters that [List.Render] keeps to.
const Width = 80

// Shown is how many diagnostics [List.Render] prints before it only counts.
const Shown = 50

// Render prints the list for people: for each diagnostic a headline, the
// source line with a caret under the place, and the hint. text gives the
// content of a file named in a span; nil, or a nil result, means no excerpt.
// Long source lines are cut around the caret so that no line is longer than
// [Width] characters (words longer than that excepted).
func (l List) Render(text func(file string) []byte) string {
	var b strings.Builder
	for i, d := range l {
		if i == Shown {
			fmt.Fprintf(&b, "… and %d more\n", len(l)-Shown)
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		head := d.Severity.String() + ": " + d.Message
		if at := d.Span.String(); at != "" {
			head = at + ": " + head
		}
		b.WriteString(wrap(head, "", "    "))
		if text != nil && d.Span.Line > 0 {
			b.WriteString(excerpt(text(d.Span.File), d.Span))
		}
		if d.Hint != "" {
			b.WriteString(wrap("hint: "+d.Hint, "  ", "        "))
		}
	}
	return b.String()
}

// excerpt prints the line of the span with a caret under it, cut to Width.
func excerpt(text []byte, s Span) string {
	line, ok := lineOf(text, s.Line)
	if !ok {
		return ""
	}
	chars := []rune(line)
	for i, c := range chars {
		if c == '\t' || c < ' ' || c == utf8.RuneError || c == 0x7f || (c >= 0x80 && c < 0xa0) {
			chars[i] = ' '
		}
	}
	gutter := fmt.Sprintf("%5d | ", s.Line)
	room := Width - len(gutter)
	col := min(max(s.Col, 1), len(chars)+1)
	length := max(s.Len, 1)
	length = min(length, max(len(chars)-(col-1), 1))
	from := 0
	if len(chars) > room {
		// Keep the caret's start in view, with a third of the line before it.
		from = min(max(0, col-1-room/3), len(chars)-room)
		cut := chars[from : from+room]
		cut = slices.Clone(cut)
		if from > 0 {
			cut[0] = '…'
		}
		if from+room < len(chars) {
			cut[room-1] = '…'
		}
		chars = cut
	}
	length = max(1, min(length, room-(col-1-from)))
	var b strings.Builder
	b.WriteString(gutter + strings.TrimRight(string(chars), " ") + "\n")
	b.WriteString(strings.Repeat(" ", len(gutter)-2) + "| " + strings.Repeat(" ", col-1-from) + strings.Repeat("^", length) + "\n")
	return b.String()
}

// lineOf returns line n (from 1) without its line end.
func lineOf(text []byte, n int) (string, bool) {
	s := strings.TrimPrefix(string(text), "\ufeff")
	for ; n > 1; n-- {
		i := strings.IndexByte(s, '\n')
		if i < 0 {
			return "", false
		}
		s = s[i+1:]
	}
	if s == "" {
		return "", false
	}
	if i := strings.IndexByte(s, '\n'); i >= 0 {
		s = s[:i]
	}
	return strings.TrimSuffix(s, "\r"), true
}

// wrap breaks a text at spaces so that no line is longer than Width.
func wrap(s, first, rest string) string {
	var b strings.Builder
	line, n := first, utf8.RuneCountInString(first)
	empty := true
	for _, w := range strings.Fields(s) {
		wn := utf8.RuneCountInString(w)
		if !empty && n+1+wn > Width {
			b.WriteString(line + "\n")
			line, n, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, n = line+" ", n+1
		}
		line, n, empty = line+w, n+wn, false
	}
	b.WriteString(line + "\n")
	return b.String()
}

// JSON is the stable form of a diagnostic in the command's and the
// workshop's JSON.
type JSON struct {
	Severity string `json:"severity"`
	Code     string `json:"code"`
	File     string `json:"file,omitempty"`
	Line     int    `json:"line,omitempty"`
	Column   int    `json:"column,omitempty"`
	Length   int    `json:"length,omitempty"`
	Message  string `json:"message"`
	Hint     string `json:"hint,omitempty"`
}

// JSON converts the list; it is never nil.
func (l List) JSON() []JSON {
	out := make([]JSON, 0, len(l))
	for _, d := range l {
		out = append(out, JSON{
			Severity: d.Severity.String(), Code: d.Code,
			File: d.Span.File, Line: d.Span.Line, Column: d.Span.Col, Length: d.Span.Len,
			Message: d.Message, Hint: d.Hint,
		})
	}
	return out
}
