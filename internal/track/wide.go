package track

import (
	"bufio"
	"unicode/utf16"
	"unicode/utf8"
)

// wide turns UTF-16, as spreadsheets export it, into UTF-8.
type wide struct {
	r    *bufio.Reader
	big  bool
	rest []byte
}

func (w *wide) unit() (rune, error) {
	a, err := w.r.ReadByte()
	if err != nil {
		return 0, err
	}
	b, err := w.r.ReadByte()
	if err != nil {
		return 0, err // half a unit at the end
	}
	if w.big {
		return rune(a)<<8 | rune(b), nil
	}
	return rune(b)<<8 | rune(a), nil
}

func (w *wide) Read(p []byte) (int, error) {
	for len(w.rest) < len(p) {
		c, err := w.unit()
		if err != nil {
			if len(w.rest) > 0 {
				break
			}
			return 0, err
		}
		if utf16.IsSurrogate(c) {
			d, err := w.unit()
			if err != nil {
				c = utf8.RuneError
			} else {
				c = utf16.DecodeRune(c, d)
			}
		}
		w.rest = utf8.AppendRune(w.rest, c)
	}
	n := copy(p, w.rest)
	w.rest = w.rest[:copy(w.rest, w.rest[n:])]
	return n, nil
}
