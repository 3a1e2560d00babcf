package unit

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// measured is how a sentence's metric unit is told in the other system.
type measured struct {
	dim   Dim
	si    float64 // SI of one
	named string  // unit told in; "" for the one that fits the size
}

// told are the units that sentences are written in. What is not listed stays
// in both systems: mm, as the trade sizes hardware (rods, drills, screws, skin,
// servos) in it everywhere, servo torque in kg cm, propellers in inches, all of
// electricity, joules, inertia and density.
var told = map[string]measured{
	"m/s": {Speed, 1, ""}, "km/h": {Speed, 1 / 3.6, ""}, "m": {Length, 1, ""}, "km": {Length, 1000, "mi"}, "cm": {Length, 0.01, "in"},
	"g": {Mass, 1e-3, ""}, "kg": {Mass, 1, ""}, "N": {Force, 1, ""}, "N m": {Torque, 1, ""}, "N cm": {Torque, 0.01, ""},
	"m/s^2": {Acceleration, 1, ""}, "cm2": {Area, 1e-4, ""}, "cm²": {Area, 1e-4, ""}, "cm^2": {Area, 1e-4, ""}, "dm2": {Area, 1e-2, ""}, "dm^2": {Area, 1e-2, ""},
	"g/dm2": {AreaLoad, 0.1, ""}, "g/dm^2": {AreaLoad, 0.1, ""}, "MPa": {Pressure, 1e6, "psi"}, "hPa": {Pressure, 100, "inHg"},
	"degC": {Temperature, 1, ""}, "°C": {Temperature, 1, ""}, "K": {Temperature, 1, ""},
}

var (
	oneNumber = `[-+\x{2212}]?[0-9]+(?:\.[0-9]+)?`
	quantityX = regexp.MustCompile(`(?:` + oneNumber + `(?:, | to | and | or | x |/))*` + oneNumber + ` ?(?:m/s\^2|m/s|km/h|km|cm\^2|cm2|cm²|cm|dm\^2|dm2|g/dm\^2|g/dm2|kg|g|N m|N cm|N|MPa|hPa|degC|°C|K|m)`)
	numberX   = regexp.MustCompile(oneNumber)
	rangeX    = regexp.MustCompile(`^ \((` + oneNumber + `) to (` + oneNumber + `)\)`)
)

// Retell tells the metric quantities of a sentence in the units of a system,
// as exactly as they were told (two digits at least); lists and ranges before
// one unit, "3, 4 m" or "3 to 4 m", go together, and so does an interval in
// brackets behind it. Metric sentences and what looks like a setting
// (path=value) stay as they are.
func Retell(text string, s System) string {
	if s == Metric {
		return text
	}
	var b strings.Builder
	rest := text
	last := byte(' ')
	for {
		at := quantityX.FindStringIndex(rest)
		if at == nil {
			b.WriteString(rest)
			return b.String()
		}
		from, to := at[0], at[1]
		if from > 0 {
			last = rest[from-1]
		}
		if joined(last) || strings.HasPrefix(rest[to:], "²") || to < len(rest) && (letter(rest[to]) || rest[to] == '^' || rest[to] == '/' && to+1 < len(rest) && letter(rest[to+1])) {
			// Part of a word, a setting or another unit: go past its first number.
			n := numberX.FindStringIndex(rest[from:])
			b.WriteString(rest[:from+n[1]])
			last = rest[from+n[1]-1]
			rest = rest[from+n[1]:]
			continue
		}
		b.WriteString(rest[:from])
		more, tail := retold(rest[from:to], rest[to:])
		b.WriteString(more)
		rest = tail
		last = ' '
	}
}

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' }

// joined tells what a number may not stand behind.
func joined(c byte) bool { return letter(c) || strings.IndexByte("=._^/", c) >= 0 }

// retold is one quantity with its list, and the interval behind it.
func retold(q, after string) (string, string) {
	var unitOf string
	var m measured
	for _, at := range []int{4, 5, 6, 3, 2, 1} { // longest symbol first
		if at < len(q) {
			if k, ok := told[strings.TrimSpace(q[len(q)-at:])]; ok && len(strings.TrimSpace(q[len(q)-at:])) > len(unitOf) {
				unitOf, m = strings.TrimSpace(q[len(q)-at:]), k
			}
		}
	}
	head := strings.TrimSpace(strings.TrimSuffix(q, unitOf))
	size := 0.0
	for _, n := range numberX.FindAllString(head, -1) {
		size = math.Max(size, math.Abs(number64(n))*m.si)
	}
	name := m.named
	if name == "" {
		name = PeopleUnit(size, m.dim, Imperial)
	}
	turn := func(n string) string {
		v := number64(n)
		switch unitOf {
		case "K": // a difference
			v *= 1.8
		case "°C", "degC":
			v = In(v+273.15, m.dim, name)
		default:
			v = In(v*m.si, m.dim, name)
		}
		text := round(v, digits(n))
		if n[0] == '+' && text[0] != '-' {
			text = "+" + text
		}
		return text
	}
	out := numberX.ReplaceAllStringFunc(head, turn) + " " + name
	if r := rangeX.FindStringSubmatchIndex(after); r != nil {
		out += " (" + turn(after[r[2]:r[3]]) + " to " + turn(after[r[4]:r[5]]) + ")"
		after = after[r[1]:]
	}
	return out, after
}

func number64(s string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(s, "\u2212", "-", 1), 64)
	if err != nil {
		panic(err) // the expression lets no other text in
	}
	return v
}

// digits counts how exactly a number is told, two at least, three at most.
func digits(s string) int {
	s = strings.TrimLeft(strings.TrimLeft(s, "-+\u2212"), "0.")
	n := 0
	for _, c := range s {
		if c >= '0' && c <= '9' {
			n++
		}
	}
	return max(2, min(3, n))
}

// round prints v with so many significant digits, but whole above them.
func round(v float64, digits int) string {
	places := 0
	if a := math.Abs(v); a > 0 {
		places = max(0, digits-1-int(math.Floor(math.Log10(a))))
	}
	text := strconv.FormatFloat(v, 'f', min(places, 3), 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}
