package unit

import (
	"regexp"
	"sort"
	"strings"
)

// Pattern is a regular expression (the common subset of ECMA-262 and Go) for
// the texts Parse takes for a dimension, for a JSON Schema. It is a little
// more lenient than Parse (sizes are not checked, products of units only by
// their look) and takes the usual spellings only. With nonNegative a leading
// minus does not match.
func Pattern(d Dim, nonNegative bool) string {
	sign := `[-+−–]?`
	if nonNegative {
		sign = `[+]?`
	}
	const digits = `(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+−]?[0-9]+)?`
	units := unitPattern(d)
	// A unit may be missing from a ratio, and from "38" in "38 ± 1 g".
	first := `(?: *` + units + `)`
	spread := `(?: *(?:±|\+/-|\+-) *` + digits + `(?: *(?:%|` + units + `)))?`
	word := `(?: +(?:[Ww]eighed|[Mm]easured|[Ll]abel|[Gg]uess|[Mm]aker))?`
	body := first + spread
	switch d {
	case Ratio:
		body = `(?: *(?:%|percent))?(?: *(?:±|\+/-|\+-) *` + digits + `(?: *(?:%|percent))?)?`
	case Any:
		body = `(?: *[^0-9 ].*)?`
	default:
		body = `(?:` + body + `| *(?:±|\+/-|\+-) *` + digits + ` *` + units + `)`
	}
	out := ` *` + sign + digits + body + word + ` *`
	if d == Money {
		out = `(?:` + out + `|[€$£] *` + digits + `)`
	}
	return `^` + out + `$`
}

// RangePattern is Pattern for ParseRange.
func RangePattern(d Dim) string {
	one := strings.TrimSuffix(strings.TrimPrefix(Pattern(d, false), "^"), "$")
	return `^(?:` + one + `| *[-+−–]?[0-9.]+) to ` + one + `$`
}

// unitPattern matches the units of a dimension.
func unitPattern(d Dim) string {
	var alts []string
	seen := map[string]bool{}
	for _, s := range listed[d] {
		r := regexp.QuoteMeta(normal(s))
		r = strings.ReplaceAll(r, ` `, `[ ·*.-]`)
		r = strings.ReplaceAll(r, `/`, ` ?/ ?`)
		r = strings.ReplaceAll(r, `\^2`, `(?:\^2|²)`)
		r = strings.ReplaceAll(r, `\^3`, `(?:\^3|³)`)
		r = strings.ReplaceAll(r, `µ`, `[µμ]`)
		r = strings.ReplaceAll(r, `Ω`, `[ΩΩ]`)
		if !seen[r] {
			seen[r] = true
			alts = append(alts, r)
		}
	}
	sort.SliceStable(alts, func(i, j int) bool { return len(alts[i]) > len(alts[j]) })
	if dimTable[d].composite {
		alts = append(alts, `[A-Za-zµμΩ°]+(?:\^?[0-9²³])?(?:[ ·*/][A-Za-zµμΩ°]+(?:\^?[0-9²³])?)+`)
	}
	return `(?:` + strings.Join(alts, `|`) + `)`
}
