package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// unit is one row of the table: SI = (number + offset)·factor/div, or
// factor/number when recip. Factor and div are whole numbers wherever the
// unit allows it, so that 38 g is the float64 nearest to 0.038.
type unit struct {
	symbol      string // as we spell it
	dim         Dim
	factor, div float64
	offset      float64
	recip       bool
}

// step is a difference of n units, in SI.
func (u *unit) step(n float64) float64 { return n * u.factor / u.div }

func (u *unit) toSI(n float64) float64 {
	if u.recip {
		return u.factor / n
	}
	if u.offset != 0 {
		n += u.offset
	}
	return n * u.factor / u.div
}

func (u *unit) fromSI(v float64) float64 {
	if u.recip {
		return u.factor / v
	}
	n := v * u.div / u.factor
	if u.offset != 0 {
		n -= u.offset
	}
	return n
}

// Exact or conventional factors: NIST SP 811 (2008) appendix B.8 and the SI
// brochure. The nautical mile is 1852 m, the pound 0.453 592 37 kg, the inch
// 25.4 mm and standard gravity 9.806 65 m/s², all exactly.
const (
	inch    = 0.0254
	foot    = 12 * inch
	pound   = 0.45359237
	ounce   = pound / 16
	gravity = 9.80665
	mile    = 5280 * foot
	degree  = math.Pi / 180
	rpm     = 2 * math.Pi / 60
)

var (
	table    = map[string][]*unit{}
	listed   [dims][]string // symbols of each dimension, for suggestions
	prefixes = []struct {
		symbol string
		factor float64
	}{{"n", 1e-9}, {"µ", 1e-6}, {"u", 1e-6}, {"m", 1e-3}, {"c", 1e-2}, {"d", 1e-1}, {"h", 1e2}, {"k", 1e3}, {"M", 1e6}, {"G", 1e9}}
)

// put lists a unit under its symbols, the first being ours.
func put(d Dim, factor float64, symbols ...string) *unit {
	num, div := fraction(factor)
	u := &unit{symbol: symbols[0], dim: d, factor: num, div: div}
	for _, s := range symbols {
		key := normal(s)
		for _, other := range table[key] {
			if other.dim == d {
				panic("unit: listed twice: " + s)
			}
		}
		table[key] = append(table[key], u)
		listed[d] = append(listed[d], s)
	}
	return u
}

// fraction writes a factor as a fraction of whole numbers if it is one with a
// decimal denominator, or one times 36.
func fraction(f float64) (num, div float64) {
	for _, first := range []float64{1, 36} {
		for d := first; d <= 1e12; d *= 10 {
			n := math.Round(f * d)
			if n >= 1 && n < 1<<53 && n/d == f {
				return n, d
			}
		}
	}
	return f, 1
}

// putPrefixed lists a unit with the given prefixes ("-" is none).
func putPrefixed(d Dim, factor float64, with string, symbols ...string) {
	for _, w := range strings.Fields(with) {
		if w == "-" {
			put(d, factor, symbols...)
			continue
		}
		for _, p := range prefixes {
			if p.symbol != w {
				continue
			}
			var names []string
			for _, s := range symbols {
				names = append(names, p.symbol+s)
				if p.symbol == "µ" {
					names = append(names, "u"+s)
				}
			}
			// Dividing by the reciprocal keeps 1e-3 steps correctly rounded.
			f := factor * p.factor
			if p.factor < 1 {
				f = factor / math.Round(1/p.factor)
			}
			put(d, f, names...)
		}
	}
}

func init() {
	put(Ratio, 1.0/100, "%", "percent")
	putPrefixed(Length, 1, "- µ m c d k", "m")
	put(Length, inch, "in", "inch", "inches", `"`, "″")
	put(Length, foot, "ft", "feet", "foot")
	put(Length, 3*foot, "yd", "yard", "yards")
	put(Length, mile, "mi", "mile", "miles")
	put(Length, 1852, "nmi")
	put(Length, inch/1000, "mil", "thou")
	put(Length, 1, "metre", "metres", "meter", "meters")
	put(Mass, 1, "kg", "Kg", "kilogram")
	put(Mass, 1.0/1000, "g", "gram", "grams")
	put(Mass, 1e-6, "mg")
	put(Mass, ounce, "oz", "ounce", "ounces")
	put(Mass, pound, "lb", "lbs", "pound", "pounds")
	putPrefixed(Time, 1, "- µ m", "s", "sec")
	put(Time, 1, "second", "seconds")
	put(Time, 60, "min", "minute", "minutes")
	put(Time, 3600, "h", "hr", "hour", "hours")
	put(Speed, 1, "m/s", "mps")
	put(Speed, 1/3.6, "km/h", "kph", "kmh", "km/hr")
	put(Speed, mile/3600, "mph", "mi/h")
	put(Speed, 1852.0/3600, "kt", "kts", "kn", "knot", "knots")
	put(Speed, foot, "ft/s", "fps")
	put(Speed, foot/60, "ft/min", "fpm")
	put(Speed, 1.0/100, "cm/s")
	put(Speed, 1000, "km/s")
	put(Acceleration, 1, "m/s^2", "m/s/s")
	put(Acceleration, foot, "ft/s^2")
	put(Acceleration, gravity, "gn")
	put(Angle, degree, "deg", "°", "degree", "degrees")
	put(Angle, 1, "rad")
	put(Angle, 1.0/1000, "mrad")
	put(Angle, degree/60, "arcmin", "′")
	put(Angle, 2*math.Pi, "turn", "turns", "rev")
	for _, d := range []Dim{AngularRate, Rotation} {
		put(d, rpm, "rpm", "RPM", "r/min", "rev/min")
		put(d, 1, "rad/s")
		put(d, degree, "deg/s", "°/s")
		put(d, 2*math.Pi, "rev/s", "r/s", "rps")
	}
	servo := put(AngularRate, 60*degree, "s/60deg", "s/60°", "s/60 deg", "s/60 °", "sec/60deg", "sec/60°", "sec/60 deg", "sec/60 °")
	servo.recip = true
	putPrefixed(Force, 1, "- m c k", "N")
	put(Force, gravity, "kgf", "kg force", "kp")
	put(Force, gravity/1000, "gf", "g force")
	put(Force, pound*gravity, "lbf", "lb force")
	put(Force, ounce*gravity, "ozf", "oz force")
	put(Torque, 1, "N m", "Nm")
	put(Torque, 1.0/100, "N cm", "Ncm")
	put(Torque, 1.0/1000, "N mm", "Nmm", "mN m", "mNm")
	put(Torque, gravity/100, "kg cm", "kgcm", "kgf cm", "kgfcm")
	put(Torque, gravity, "kg m", "kgf m")
	put(Torque, gravity/1000, "kg mm", "kgf mm")
	put(Torque, gravity/1e5, "g cm", "gcm", "gf cm")
	put(Torque, ounce*gravity*inch, "oz in", "ozin", "ozf in")
	put(Torque, pound*gravity*inch, "lb in", "lbin", "in lb", "lbf in")
	put(Torque, pound*gravity*foot, "lb ft", "ft lb", "lbf ft")
	putPrefixed(Current, 1, "- µ m k", "A")
	put(Current, 1, "amp", "amps")
	putPrefixed(Voltage, 1, "- µ m k", "V")
	put(Voltage, 1, "volt", "volts")
	putPrefixed(Resistance, 1, "- µ m k M", "ohm", "Ω")
	put(Resistance, 1, "ohms")
	putPrefixed(Charge, 3600, "- m", "Ah")
	put(Charge, 1, "C")
	put(Charge, 1, "A s", "As")
	putPrefixed(Energy, 1, "- m k M", "J")
	putPrefixed(Energy, 3600, "- m k", "Wh")
	put(Energy, 1, "W s", "Ws")
	put(Energy, pound*gravity*foot, "ft lbf")
	putPrefixed(Power, 1, "- n µ m k", "W")
	put(Power, 1, "watt", "watts")
	put(Power, 550*foot*pound*gravity, "hp")
	put(Temperature, 1, "K", "kelvin")
	put(Temperature, 1, "degC", "°C", "℃", "deg C", "C", "celsius").offset = 273.15
	put(Temperature, 5.0/9, "degF", "°F", "deg F", "F", "fahrenheit").offset = 459.67
	putPrefixed(Pressure, 1, "- h k M G", "Pa")
	put(Pressure, 100, "mbar")
	put(Pressure, 1e5, "bar")
	put(Pressure, 101325, "atm")
	put(Pressure, 3386.389, "inHg", "in Hg") // NIST SP 811: inch of mercury, conventional
	put(Pressure, 133.3224, "mmHg", "mm Hg") // NIST SP 811
	put(Pressure, pound*gravity/(inch*inch), "psi")
	put(MotorConstant, rpm, "rpm/V", "RPM/V", "kv", "KV", "Kv", "rpm/volt", "r/min/V", "1/min/V")
	put(MotorConstant, 1, "rad/s/V", "rad/V/s")
	put(Area, 1, "m^2", "sqm")
	put(Area, 1.0/100, "dm^2")
	put(Area, 1e-4, "cm^2", "sqcm")
	put(Area, 1e-6, "mm^2")
	put(Area, inch*inch, "in^2", "sq in", "sqin")
	put(Area, foot*foot, "ft^2", "sq ft", "sqft")
	put(Density, 1, "kg/m^3", "g/l")
	put(Density, 1000, "g/cm^3", "kg/l")
	put(AreaLoad, 1, "kg/m^2")
	put(AreaLoad, 0.1, "g/dm^2")
	put(AreaLoad, 1.0/1000, "g/m^2", "gsm")
	put(AreaLoad, ounce/(foot*foot), "oz/ft^2", "oz/sq ft", "oz/sqft")
	putPrefixed(Frequency, 1, "- k M G", "Hz")
	put(Gain, 1, "dB", "dBi")
	put(Gain, 1, "dBd").offset = 2.15 // a half-wave dipole has 2.15 dBi
	put(Level, 1, "dBm")
	put(Level, 1, "dBW").offset = 30
	put(Stiffness, 1, "N m/rad", "Nm/rad")
	put(Stiffness, 1/degree, "N m/deg", "Nm/deg", "N m/°")
	put(Stiffness, 1/(100*degree), "N cm/deg", "Ncm/deg", "N cm/°")
	for _, c := range []string{"EUR", "USD", "GBP", "CHF", "JPY", "CNY", "AUD", "CAD", "NZD", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "ZAR", "INR", "BRL", "KRW"} {
		put(Money, 1, c)
	}
	put(Money, 1, "€")
	put(Money, 1, "$")
	put(Money, 1, "£")
}

// normal spells a unit the way the table's keys are spelled.
func normal(s string) string {
	s = strings.NewReplacer(
		"μ", "µ", "Ω", "Ω", "²", "^2", "³", "^3",
		"⋅", " ", "·", " ", "*", " ", "×", " ", "º", "°",
		"per ", "/", " / ", "/", "/ ", "/", " /", "/",
	).Replace(strings.TrimSpace(s))
	s = strings.Join(strings.Fields(s), " ")
	// A hyphen or a full stop between letters multiplies: kg-cm, N.m
	r := []rune(s)
	for i := 1; i+1 < len(r); i++ {
		if (r[i] == '-' || r[i] == '.') && unicode.IsLetter(r[i-1]) && unicode.IsLetter(r[i+1]) {
			r[i] = ' '
		}
	}
	return string(r)
}

// compatible says whether a unit of dimension d may stand where want is
// wanted.
func compatible(d, want Dim) bool { return want == Any || d == want }

// plain is the unit of a bare ratio.
var plain = &unit{dim: Ratio, factor: 1, div: 1}

// findUnit looks a unit up. value is the piece the unit belongs to.
func findUnit(p, value piece, want Dim) (*unit, *Error) {
	text := p.String()
	if text == "" {
		if want == Ratio || want == Any {
			return plain, nil
		}
		return nil, &Error{Code: "no-unit", Offset: value.at, Len: len(value.r),
			Message: fmt.Sprintf("%s has no unit, %s is needed", strconv.Quote(short(value.String())), want.Article()),
			Hint:    "write it like " + strconv.Quote(want.Example())}
	}
	key := normal(text)
	found := table[key]
	for _, u := range found {
		if compatible(u.dim, want) {
			return u, nil
		}
	}
	if len(found) == 0 {
		if u := composite(key, want); u != nil {
			return u, nil
		}
	}
	if len(found) > 0 {
		return nil, p.fail("wrong-unit",
			fmt.Sprintf("%s is %s, %s is needed", strconv.Quote(text), found[0].dim.Article(), want.Article()),
			wrongHint(found[0].dim, want, value, text))
	}
	return nil, unknown(p, text, want)
}

// wrongHint explains the usual mix-ups.
func wrongHint(got, want Dim, value piece, text string) string {
	num := strings.TrimSpace(strings.TrimSuffix(value.String(), text))
	switch {
	case got == Mass && want == Force:
		return fmt.Sprintf("a pull read off a scale is written \"%s %sf\"", num, strings.TrimSuffix(text, "s"))
	case got == Force && want == Mass:
		return fmt.Sprintf("a mass is written \"%s %s\"", num, strings.TrimSuffix(text, "f"))
	case got == Length && want == MotorConstant, got == Voltage && want == MotorConstant:
		return fmt.Sprintf("a motor constant is written \"%s rpm/V\"", num)
	}
	return "write it like " + strconv.Quote(want.Example())
}

// unknown is the error for a unit that is not in the table.
func unknown(p piece, text string, want Dim) *Error {
	hint := "write it like " + strconv.Quote(want.Example())
	if r := []rune(text); r[0] >= '0' && r[0] <= '9' {
		return p.fail("no-number", "a second number "+strconv.Quote(short(text))+" follows the first", "write one number without spaces, then the unit")
	}
	if strings.ContainsAny(text[:1], "-–") {
		return p.fail("unknown-unit", strconv.Quote(short(text))+" is not a unit", `a range is written "120 mm to 200 mm", where one is wanted`)
	}
	if w, ok := nearWord(lastField(text)); ok {
		last := []rune(lastField(text))
		at := piece{last, p.at + len(p.r) - len(last)}
		return at.fail("bad-word", strconv.Quote(short(string(last)))+" does not say where a number comes from", "did you mean "+strconv.Quote(string(w))+"?")
	}
	if s, ok := nearUnit(text, want); ok {
		hint = "did you mean " + strconv.Quote(s) + "?"
	} else if f := strings.Fields(text); len(f) > 1 {
		if us := table[normal(f[0])]; len(us) > 0 && compatible(us[0].dim, want) {
			rest := []rune(strings.TrimSpace(strings.TrimPrefix(text, f[0])))
			at := piece{rest, p.at + len(p.r) - len(rest)}
			return at.fail("bad-word", strconv.Quote(short(string(rest)))+" cannot follow a quantity", "a quantity may end with weighed, measured, label, guess or maker; a remark goes behind a #")
		}
	}
	kind := "a known unit"
	if want != Any {
		kind = "a unit of " + want.String()
	}
	return p.fail("unknown-unit", strconv.Quote(short(text))+" is not "+kind, hint)
}

func lastField(s string) string {
	f := strings.Fields(s)
	if len(f) == 0 {
		return ""
	}
	return f[len(f)-1]
}

// nearWord finds the provenance word meant by a misspelt or kindred one.
func nearWord(s string) (Word, bool) {
	s = strings.ToLower(s)
	switch s {
	case "guessed", "estimate", "estimated", "about", "assumed", "approx":
		return Guess, true
	case "labelled", "labeled", "printed", "nominal", "rated":
		return Label, true
	case "manufacturer", "spec", "datasheet":
		return Maker, true
	case "measure":
		return Measured, true
	case "weight", "weighted", "weigh":
		return Weighed, true
	}
	if len(s) < 4 {
		return "", false
	}
	for _, w := range Words() {
		if oneEdit(s, string(w)) {
			return w, true
		}
	}
	return "", false
}

// nearUnit finds the unit of the wanted dimension that was probably meant:
// the same letters in other case, or one typing slip away.
func nearUnit(s string, want Dim) (string, bool) {
	n := normal(s)
	for pass := range 2 {
		for d := Any; d < dims; d++ {
			if !compatible(d, want) {
				continue
			}
			for _, have := range listed[d] {
				h := normal(have)
				if pass == 0 && strings.EqualFold(h, n) || pass == 1 && len(n) > 2 && len(h) > 1 && oneEdit(strings.ToLower(n), strings.ToLower(h)) {
					return table[h][indexOf(table[h], d)].symbol, true
				}
			}
		}
	}
	return "", false
}

func indexOf(us []*unit, d Dim) int {
	for i, u := range us {
		if u.dim == d {
			return i
		}
	}
	panic("unit: table out of step")
}

// oneEdit says whether one insertion, deletion, replacement or swap of
// neighbours turns a into b.
func oneEdit(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(y)-len(x) > 1 {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	if len(x) < len(y) {
		return string(x[i:]) == string(y[i+1:])
	}
	if i == len(x) {
		return true
	}
	if string(x[i+1:]) == string(y[i+1:]) {
		return true
	}
	return i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && string(x[i+2:]) == string(y[i+2:])
}

// composite reads a product of units such as "kg m/s^2" and returns nil when
// it is none or has not the wanted dimension.
func composite(key string, want Dim) *unit {
	if want == Any || !dimTable[want].composite || !strings.ContainsAny(key, " /^") {
		return nil
	}
	factor, exp := 1.0, exponents{}
	symbol := key
	sign := int8(1)
	for key != "" {
		i := strings.IndexAny(key, " /")
		term, sep := key, byte(0)
		if i >= 0 {
			term, sep = key[:i], key[i]
			key = key[i+1:]
			if key == "" {
				return nil
			}
		} else {
			key = ""
		}
		power := int8(1)
		if base, p, has := strings.Cut(term, "^"); has {
			n, err := strconv.ParseInt(p, 10, 8)
			if err != nil || n < -4 || n > 4 || n == 0 {
				return nil
			}
			term, power = base, int8(n)
		}
		var u *unit
		for _, c := range table[term] {
			if dimTable[c.dim].composite && c.offset == 0 && !c.recip {
				u = c
				break
			}
		}
		if u == nil {
			return nil
		}
		factor *= math.Pow(u.factor/u.div, float64(sign*power))
		for j := range exp {
			n := int(exp[j]) + int(sign)*int(power)*int(dimTable[u.dim].exp[j])
			if n > 20 || n < -20 {
				return nil
			}
			exp[j] = int8(n)
		}
		sign = 1
		if sep == '/' {
			sign = -1
		}
	}
	if exp != dimTable[want].exp {
		return nil
	}
	num, div := fraction(factor)
	return &unit{symbol: symbol, dim: want, factor: num, div: div}
}
