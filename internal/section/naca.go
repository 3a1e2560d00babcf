package section

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// ParseError says why a designation can't be read, where (byte offset from
// zero) and what would be accepted.
type ParseError struct {
	Text string
	At   int
	Msg  string
	Hint string
}

// Error prints message and hint in one line.
func (e *ParseError) Error() string {
	return fmt.Sprintf("section %q: %s (%s)", e.Text, e.Msg, e.Hint)
}

var (
	designation = regexp.MustCompile(`(?i)^\s*(?:NACA[\s-]*)?([0-9]{4,6})\s*`)
	change      = regexp.MustCompile(`(?i)^(?:[,;]|\s|\band\b|\bat\b|\bwith\b)*([0-9]+(?:[.,][0-9]+)?)\s*%\s*(thick(?:ness)?|camber(?:ed)?)\s*`)
)

const parseHint = `write for example "NACA 2412", "NACA 23112" or "NACA 2412 at 9 % thick, 1.5 % camber"; for any other section name a two-column coordinate file`

// Parse reads a four- or five-digit designation, reflexed mean lines
// included, with an optional change of thickness and camber:
// "NACA 2412", "naca23012", "NACA 2412 at 9 % thick and 1.5 % camber".
// The error is a [*ParseError].
// Accuracy: coordinates within 1e-5 of the closed form.
// Sources: NACA TR-460 (1933), four digits; NACA TR-537 (1935), five digits.
func Parse(text string) (*Shape, error) {
	if len(text) > 200 {
		return nil, &ParseError{text[:40] + "…", 0, "too long for a designation", parseHint}
	}
	bad := func(at int, format string, a ...any) (*Shape, error) {
		return nil, &ParseError{text, at, fmt.Sprintf(format, a...), parseHint}
	}
	m := designation.FindStringSubmatchIndex(text)
	if m == nil {
		return bad(0, "not a four- or five-digit designation")
	}
	digits := text[m[2]:m[3]]
	var line func(x float64) (z, d float64)
	switch len(digits) {
	case 4:
		c, p := float64(digits[0]-'0')/100, float64(digits[1]-'0')/10
		if (c == 0) != (p == 0) {
			return bad(m[2], "camber %q and its place %q contradict each other", digits[:1], digits[1:2])
		}
		line = fourDigitLine(c, p)
	case 5:
		var ok bool
		if line, ok = fiveDigitLine(digits); !ok {
			return bad(m[2], "no mean line %s in the five-digit family", digits[:3])
		}
	default:
		return bad(m[2], "six digits: the laminar families have no closed form")
	}
	thick, _ := strconv.ParseFloat(digits[len(digits)-2:], 64)
	thick /= 100
	if thick == 0 {
		return bad(m[2], "no thickness")
	}
	if thick > 0.4 {
		return bad(m[2], "thickness %g %% is above 40 %%", thick*100)
	}
	name := "NACA " + digits
	rest, at := text[m[1]:], m[1]
	camber := math.NaN()
	for strings.TrimSpace(rest) != "" {
		c := change.FindStringSubmatchIndex(rest)
		if c == nil {
			return bad(at, "can't read %q", strings.TrimSpace(rest))
		}
		v, err := strconv.ParseFloat(strings.Replace(rest[c[2]:c[3]], ",", ".", 1), 64)
		if err != nil {
			return bad(at+c[2], "can't read the number %q", rest[c[2]:c[3]])
		}
		if kind := strings.ToLower(rest[c[4]:c[5]]); strings.HasPrefix(kind, "t") {
			if v < 1 || v > 40 {
				return bad(at+c[2], "thickness %g %% is outside 1 to 40 %%", v)
			}
			thick = v / 100
			name += fmt.Sprintf(" at %g %% thick", v)
		} else {
			if v > 15 {
				return bad(at+c[2], "camber %g %% is above 15 %%", v)
			}
			camber = v / 100
			name += fmt.Sprintf(" at %g %% camber", v)
		}
		rest, at = rest[c[1]:], at+c[1]
	}
	if !math.IsNaN(camber) {
		top := 0.0
		for i := 1; i < 1000; i++ {
			z, _ := line(float64(i) / 1000)
			top = math.Max(top, z)
		}
		if top == 0 {
			line = fourDigitLine(camber, 0.4)
		} else {
			old, k := line, camber/top
			line = func(x float64) (float64, float64) { z, d := old(x); return k * z, k * d }
		}
	}
	s := fromLines(name, line, fourDigitHalf(thick))
	return s, nil
}

// fourDigitHalf is the half thickness of NACA TR-460, open trailing edge.
func fourDigitHalf(t float64) func(x float64) float64 {
	return func(x float64) float64 {
		return 5 * t * (0.2969*math.Sqrt(x) + x*(-0.1260+x*(-0.3516+x*(0.2843-x*0.1015))))
	}
}

// fourDigitLine is the mean line of NACA TR-460: peak m at p.
func fourDigitLine(m, p float64) func(x float64) (z, d float64) {
	if m == 0 {
		return func(float64) (float64, float64) { return 0, 0 }
	}
	return func(x float64) (float64, float64) {
		if x < p {
			return m / (p * p) * (2*p*x - x*x), 2 * m / (p * p) * (p - x)
		}
		q := (1 - p) * (1 - p)
		return m / q * (1 - 2*p + 2*p*x - x*x), 2 * m / q * (p - x)
	}
}

// fiveDigitLines holds r, k1 and k2/k1 of NACA TR-537 for design lift 0.3;
// k2/k1 = 0 marks the simple lines.
var fiveDigitLines = map[string][3]float64{
	"10": {0.0580, 361.400, 0}, "20": {0.1260, 51.640, 0}, "30": {0.2025, 15.957, 0},
	"40": {0.2900, 6.643, 0}, "50": {0.3910, 3.230, 0},
	"21": {0.1300, 51.990, 0.000764}, "31": {0.2170, 15.793, 0.00677},
	"41": {0.3180, 6.520, 0.0303}, "51": {0.4410, 3.191, 0.1355},
}

func fiveDigitLine(digits string) (func(x float64) (z, d float64), bool) {
	c, ok := fiveDigitLines[digits[1:3]]
	if !ok || digits[0] == '0' {
		return nil, false
	}
	r, ratio := c[0], c[2]
	k := c[1] * float64(digits[0]-'0') / 2 // the first digit is 20/3 of the design lift
	if ratio == 0 {
		return func(x float64) (float64, float64) {
			if x < r {
				return k / 6 * x * (x*x - 3*r*x + r*r*(3-r)), k / 6 * (3*x*x - 6*r*x + r*r*(3-r))
			}
			return k / 6 * r * r * r * (1 - x), -k / 6 * r * r * r
		}, true
	}
	cube := func(v float64) float64 { return v * v * v }
	lin := -ratio*cube(1-r) - cube(r)
	return func(x float64) (float64, float64) {
		w := 1.0
		if x >= r {
			w = ratio
		}
		return k / 6 * (w*cube(x-r) + lin*x + cube(r)), k / 6 * (3*w*(x-r)*(x-r) + lin)
	}, true
}

// fromLines lays half thickness at right angles to the mean line.
func fromLines(name string, line func(x float64) (z, d float64), half func(x float64) float64) *Shape {
	const n = 110
	x, y := make([]float64, 2*n+1), make([]float64, 2*n+1)
	for i := 0; i <= n; i++ {
		xi := (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		z, d := line(xi)
		t := half(xi)
		a := math.Atan(d)
		x[n-i], y[n-i] = xi-t*math.Sin(a), z+t*math.Cos(a)
		x[n+i], y[n+i] = xi+t*math.Sin(a), z-t*math.Cos(a)
	}
	s := newShape(name, x, y)
	s.mean = line
	return s
}

// Unknown returns a stand-in for a section of which only the largest
// thickness (chords, 0.02 to 0.3) and its place (chords, 0.1 to 0.6) were
// measured: the four-digit thickness form, stretched so that the peak falls
// there, without camber. [Shape.Guessed] is true and the doubts in [Traits]
// are wider. Panics outside the ranges.
func Unknown(thickness, place float64) *Shape {
	if !(thickness >= 0.02 && thickness <= 0.3) || !(place >= 0.1 && place <= 0.6) {
		panic(fmt.Sprintf("section: thickness %g at %g", thickness, place))
	}
	// x -> a x/(1 + (a-1) x) keeps the ends and the round nose.
	a := 0.3 * (1 - place) / (0.7 * place)
	form := fourDigitHalf(thickness)
	s := fromLines(fmt.Sprintf("unknown section, %.3g %% thick at %.3g %%", thickness*100, place*100),
		func(float64) (float64, float64) { return 0, 0 },
		func(x float64) float64 { return form(a * x / (1 + (a-1)*x)) })
	s.guessed = true
	return s
}
