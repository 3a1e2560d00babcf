package prints

import (
	"math"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// The letters are strokes that never touch: each stroke is a body of its own
// on the plate, so that a word needs no union. A stroke is points of two digits,
// x (0 to 8) and y (0 to c); "o" at its end closes it.
var strokes = map[rune]string{
	'A': "00 08 3c 5c 88 80,34 54", 'B': "0c 6c 8a 68 08 o,05 65 83 82 60 00 o", 'C': "8a 6c 2c 0a 02 20 60 82", 'D': "0c 5c 89 83 50 00 o",
	'E': "8c 0c 00 80,36 66", 'F': "8c 0c 00,36 66", 'G': "8a 6c 2c 0a 02 20 60 82 85 55", 'H': "0c 00,8c 80,36 56",
	'I': "4c 40", 'J': "8c 82 60 20 02", 'K': "0c 00,8c 36 80", 'L': "0c 00 80", 'M': "00 0c 45 8c 80", 'N': "00 0c 80 8c",
	'O': "2c 6c 8a 82 60 20 02 0a o", 'P': "00 0c 6c 8a 88 66 36", 'Q': "2c 6c 8a 85 63 23 05 0a o,40 80", 'R': "00 0c 6c 8a 88 66 36,53 80",
	'S': "8a 6c 2c 0a 08 26 66 84 82 60 20 02", 'T': "0c 8c,49 40", 'U': "0c 02 20 60 82 8c", 'V': "0c 40 8c", 'W': "0c 20 47 60 8c",
	'X': "0c 48 8c,00 44 80", 'Y': "0c 47 8c,43 40", 'Z': "0c 8c 00 80",
	'0': "3c 5c 7a 72 50 30 12 1a o", '1': "1a 4c 40", '2': "0a 2c 6c 8a 88 00 80", '3': "0a 2c 6c 8a 88 66 84 82 60 20 02",
	'4': "4c 05 45,7c 70", '5': "8c 0c 07 67 85 82 60 20 02", '6': "8a 6c 2c 0a 02 20 60 82 84 66 36", '7': "0c 8c 30",
	'8': "2c 6c 8a 68 28 0a o,25 65 83 82 60 20 02 03 o", '9': "02 20 60 82 8a 6c 2c 0a 08 26 56",
	'-': "26 66", '+': "16 76,49 4b,43 41", '.': "40 41", ',': "31 40", ':': "43 44,48 49", '/': "00 8c", '°': "3c 5c 59 39 o",
	'=': "14 74,18 78", '(': "5c 39 33 50", ')': "3c 59 53 30", '?': "0a 2c 6c 8a 88 46 44,40 41", '_': "00 80", '\'': "4c 4a", '%': "00 8c,2a 2b,61 62",
}

// none is the body of a letter there is no stroke for.
const none = "0c 8c 80 00 o"

// pen is the width of a stroke over the height of a letter, advance the
// distance of two letters; narrow ones stand closer.
const (
	pen     = 1.6 / 12
	advance = 11.0 / 12
)

// Letters sets one line of raised letters of height h, its lower left corner
// at (x, y). Small letters become capitals, accents go; the letters that have no
// stroke show as empty boxes and are listed in missing, each once.
func Letters(text string, x, y, h float64) (out []Region, width float64, missing []rune) {
	at := 0.0
	for _, r := range plain(text) {
		if r == ' ' {
			at += 0.6 * advance
			continue
		}
		code, ok := strokes[r]
		if !ok {
			code = none
			if !strings.ContainsRune(string(missing), r) {
				missing = append(missing, r)
			}
		}
		low, high := 8, 0
		parts := strings.Split(code, ",")
		for _, s := range parts {
			for _, p := range strings.Fields(s) {
				if p != "o" {
					low, high = min(low, digit(p[0])), max(high, digit(p[0]))
				}
			}
		}
		for _, s := range parts {
			out = append(out, stroke(s, x+(at-float64(low)/12)*h, y, h))
		}
		at += float64(high-low)/12 + 3.2/12
	}
	return out, math.Max(0, (at-3.2/12)*h), missing
}

// plain is the text in capitals, taken apart and without accents.
func plain(text string) []rune {
	var out []rune
	for _, r := range norm.NFD.String(strings.ToUpper(text)) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == '−' || r == '–' || r == '—':
			out = append(out, '-')
		case r == 'Ø':
			out = append(out, 'O')
		case unicode.IsSpace(r):
			out = append(out, ' ')
		default:
			out = append(out, r)
		}
	}
	return out
}

func digit(c byte) int {
	if c >= 'a' {
		return int(c-'a') + 10
	}
	return int(c - '0')
}

// stroke widens one line by half a pen to both sides.
func stroke(s string, x, y, h float64) Region {
	var line []Pt
	closed := false
	for _, p := range strings.Fields(s) {
		if p == "o" {
			closed = true
			continue
		}
		line = append(line, Pt{x + float64(digit(p[0]))/12*h, y + float64(digit(p[1]))/12*h})
	}
	w := pen * h / 2
	if closed {
		return Region{Outer: beside(line, w, true), Holes: [][]Pt{beside(line, -w, true)}}
	}
	left, right := beside(line, w, false), beside(line, -w, false)
	for i := len(right) - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return Region{Outer: left}
}

// beside is the line moved d to its left; outer corners sharper than about 60
// degrees are cut.
func beside(line []Pt, d float64, closed bool) []Pt {
	n := len(line)
	dir := func(i int) (ux, uy float64) {
		a, b := line[i%n], line[(i+1)%n]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		return (b.X - a.X) / l, (b.Y - a.Y) / l
	}
	var out []Pt
	for i, p := range line {
		if !closed && (i == 0 || i == n-1) {
			ux, uy := dir(max(0, min(i, n-2)))
			out = append(out, Pt{p.X - d*uy, p.Y + d*ux})
			continue
		}
		ax, ay := dir((i + n - 1) % n)
		bx, by := dir(i)
		cos := ax*bx + ay*by
		turn := ax*by - ay*bx
		k := d / (1 + cos)
		if turn*d < 0 && cos < -0.2 { // the outside of a sharp corner
			out = append(out, Pt{p.X + d*(-ay+0.5*ax), p.Y + d*(ax+0.5*ay)}, Pt{p.X + d*(-by-0.5*bx), p.Y + d*(bx-0.5*by)})
			continue
		}
		out = append(out, Pt{p.X + k*(-ay-by), p.Y + k*(ax+bx)})
	}
	return out
}
