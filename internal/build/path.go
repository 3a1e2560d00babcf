package build

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A path addresses one value: keys joined by dots; an item of a list stands
// by its unique name or, in square brackets, by its number from 0. A name
// that could be mistaken (one that holds anything but letters, digits,
// spaces, hyphens, underscores and brackets inside) is put into double
// quotes, with a backslash before a quote or backslash inside:
//
//	parts.battery.at.x
//	surfaces.wing.stations[1].twist
//	parts.wing shell.mass
//	parts."servo 2.1".mass
//	claims."top speed".value

// quoteName spells a name as a step of a path.
func quoteName(name string) string {
	ok := name != "" && name == strings.TrimSpace(name)
	for _, r := range name {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(" -_", r) {
			ok = false
		}
	}
	if ok {
		return name
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(name) + `"`
}

// step is one step of a path: a key or name, or an index.
type step struct {
	name    string
	index   int // -1 for a name
	at, len int // place in the path, in characters
}

// splitPath takes a path apart. bad is the place of what is wrong, -1 when
// nothing is.
func splitPath(path string) (steps []step, bad int, why string) {
	r := []rune(path)
	i := 0
	if len(strings.TrimSpace(path)) == 0 {
		return nil, 0, "the path is empty"
	}
	if len(r) > 500 {
		return nil, 0, "the path is too long"
	}
	for i < len(r) {
		switch {
		case r[i] == '[':
			from := i
			i++
			start := i
			for i < len(r) && r[i] >= '0' && r[i] <= '9' {
				i++
			}
			n, err := strconv.Atoi(string(r[start:i]))
			if err != nil || i >= len(r) || r[i] != ']' {
				return nil, from, "square brackets hold a number from 0"
			}
			i++
			steps = append(steps, step{index: n, at: from, len: i - from})
		case r[i] == '"':
			from := i
			var b strings.Builder
			closed := false
			for i++; i < len(r); i++ {
				if r[i] == '\\' && i+1 < len(r) {
					i++
					b.WriteRune(r[i])
					continue
				}
				if r[i] == '"' {
					closed = true
					i++
					break
				}
				b.WriteRune(r[i])
			}
			if !closed {
				return nil, from, "the quote is not closed"
			}
			steps = append(steps, step{name: b.String(), index: -1, at: from, len: i - from})
		default:
			from := i
			for i < len(r) && r[i] != '.' && r[i] != '[' {
				i++
			}
			name := strings.TrimSpace(string(r[from:i]))
			if name == "" {
				return nil, from, "a name is missing"
			}
			steps = append(steps, step{name: name, index: -1, at: from, len: i - from})
		}
		if i == len(r) {
			break
		}
		switch r[i] {
		case '.':
			i++
			if i == len(r) {
				return nil, i - 1, "the path ends with a dot"
			}
		case '[':
		default:
			return nil, i, "a dot is missing"
		}
	}
	return steps, -1, ""
}

// String prints a step as it would be written.
func (s step) String() string {
	if s.index >= 0 {
		return "[" + strconv.Itoa(s.index) + "]"
	}
	return quoteName(s.name)
}

func runes(s string) int { return utf8.RuneCountInString(s) }

// PathKey is a list item's name as a step of a path, quoted where it must be.
func PathKey(name string) string { return quoteName(name) }
