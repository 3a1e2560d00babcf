package diag

import "strings"

// Nearest returns the word of the list that the user most likely meant by
// got: the one at the smallest edit distance (insert, delete, replace and
// swap of neighbours each count one, letter case nothing), if that distance
// is at most a third of got's length, rounded; one is always allowed. ok is false when
// none is near enough. Ties go to the word listed first.
func Nearest(got string, words []string) (best string, ok bool) {
	g := []rune(strings.ToLower(got))
	if len(g) == 0 || len(g) > 60 {
		return "", false
	}
	limit := max(1, (len(g)+1)/3)
	if len(g) == 1 {
		limit = 0
	}
	bestD := limit + 1
	for _, w := range words {
		if d := distance(g, []rune(strings.ToLower(w))); d < bestD {
			best, bestD = w, d
		}
	}
	return best, bestD <= limit
}

// DidYouMean is `did you mean "x"?`, or the fallback when nothing is near.
func DidYouMean(got string, words []string, fallback string) string {
	if w, ok := Nearest(got, words); ok {
		return "did you mean " + Quote(w) + "?"
	}
	return fallback
}

// Quote puts a word into double quotes, shortened when it is very long.
func Quote(s string) string {
	r := []rune(s)
	if len(r) > 40 {
		s = string(r[:38]) + "…"
	}
	return `"` + strings.Map(func(c rune) rune {
		if c < ' ' {
			return ' '
		}
		return c
	}, s) + `"`
}

// distance is the optimal-string-alignment distance: insertions, deletions,
// replacements and swaps of neighbours (Damerau 1964, restricted form).
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	prev := make([]int, len(b)+1)
	cur := make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}
