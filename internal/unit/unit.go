// Package unit parses and prints quantities ("780 mm", "4.5 oz", "12 km/h",
// "38 g ± 1 g", "38 g weighed"). Inside, a quantity is an SI float64.
//
// A quantity is written as
//
//	number unit [± spread] [word]
//
// where the spread is a number with the same or another unit, or a share in
// percent, and the word says where the number comes from: weighed, measured,
// label, guess or maker. "+/-" and "+-" read as "±". The unit may be left
// out only where a ratio is wanted. "38 ± 1 g" is read as "38 g ± 1 g".
//
// "±" is an expanded uncertainty with coverage factor 2: two standard
// deviations (JCGM 100:2008, the GUM, 6.3.3). "30 % ± 5 %" of a ratio
// written in percent means five percentage points.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Dim is the dimension of a quantity.
type Dim uint8

// The dimensions. SI inside; the exceptions are Gain (dB), Level (dBm) and
// Money (whatever currency Quantity.Unit names).
const (
	None          Dim = iota // the zero Dim: nothing was parsed
	Any                      // wanted: whatever the unit says
	Ratio                    // plain number or percent
	Length                   // m
	Mass                     // kg
	Time                     // s
	Speed                    // m/s
	Acceleration             // m/s²
	Angle                    // rad
	AngularRate              // rad/s
	Force                    // N
	Torque                   // N m
	Current                  // A
	Voltage                  // V
	Resistance               // Ω
	Charge                   // C
	Energy                   // J
	Power                    // W
	Temperature              // K
	Pressure                 // Pa
	MotorConstant            // rad/s per V
	Rotation                 // rad/s
	Area                     // m²
	Density                  // kg/m³
	AreaLoad                 // kg/m²
	Frequency                // Hz
	Gain                     // dB
	Level                    // dBm
	Money                    // currency as written
	Stiffness                // N m/rad, of a turn
	dims
)

// Word is a provenance word: how the number was come by.
type Word string

// The provenance words.
const (
	Unmarked Word = ""
	Weighed  Word = "weighed"
	Measured Word = "measured"
	Label    Word = "label"
	Guess    Word = "guess"
	Maker    Word = "maker"
)

// Words lists the words a quantity may end with.
func Words() []Word { return []Word{Weighed, Measured, Label, Guess, Maker} }

// Quantity is a number in SI with what the user said of its doubt. "±" is an
// expanded uncertainty, two standard deviations (GUM, k = 2).
type Quantity struct {
	Value  float64 // SI
	Sigma  float64 // one standard deviation, SI; meaningful when Stated
	Stated bool    // the user gave a "±"
	Word   Word
	Dim    Dim
	Unit   string // the unit as this package spells it, "" for a plain ratio
	Text   string // as written
}

// dimInfo is what is known of a dimension: its name in tags and messages,
// an example, the largest absolute SI value that is not absurd for a small
// aeroplane and its field, and its exponents (m kg s A K rad).
type dimInfo struct {
	name, article, example string
	most                   float64
	exp                    exponents
	composite              bool // may be written as a product of units
}

type exponents [6]int8

var dimTable = [dims]dimInfo{
	None:          {name: "none"},
	Any:           {name: "any", article: "a quantity", example: "215 km/h"},
	Ratio:         {name: "ratio", article: "a ratio", example: "24 % or 0.24", most: 1e6},
	Length:        {name: "length", article: "a length", example: "780 mm", most: 1e7, exp: exponents{1}, composite: true},
	Mass:          {name: "mass", article: "a mass", example: "38 g", most: 1e5, exp: exponents{0, 1}, composite: true},
	Time:          {name: "time", article: "a time", example: "0.6 s", most: 1e9, exp: exponents{0, 0, 1}, composite: true},
	Speed:         {name: "speed", article: "a speed", example: "12 m/s or 43 km/h", most: 1e4, exp: exponents{1, 0, -1}, composite: true},
	Acceleration:  {name: "acceleration", article: "an acceleration", example: "9.81 m/s^2", most: 1e6, exp: exponents{1, 0, -2}, composite: true},
	Angle:         {name: "angle", article: "an angle", example: "1.5 deg", most: 1e3, exp: exponents{0, 0, 0, 0, 0, 1}, composite: true},
	AngularRate:   {name: "angular rate", article: "an angular rate", example: "60 deg/s or 0.12 s/60deg", most: 1e6, exp: exponents{0, 0, -1, 0, 0, 1}, composite: true},
	Force:         {name: "force", article: "a force", example: "12 N or 1.2 kgf", most: 1e6, exp: exponents{1, 1, -2}, composite: true},
	Torque:        {name: "torque", article: "a torque", example: "2.1 kg cm or 0.2 N m", most: 1e6, exp: exponents{2, 1, -2}, composite: true},
	Current:       {name: "current", article: "a current", example: "40 A", most: 1e5, exp: exponents{0, 0, 0, 1}, composite: true},
	Voltage:       {name: "voltage", article: "a voltage", example: "14.8 V", most: 1e6, exp: exponents{2, 1, -3, -1}, composite: true},
	Resistance:    {name: "resistance", article: "a resistance", example: "45 mohm", most: 1e12, exp: exponents{2, 1, -3, -2}, composite: true},
	Charge:        {name: "charge", article: "a charge", example: "1800 mAh", most: 1e8, exp: exponents{0, 0, 1, 1}, composite: true},
	Energy:        {name: "energy", article: "an energy", example: "25 Wh", most: 1e12, exp: exponents{2, 1, -2}, composite: true},
	Power:         {name: "power", article: "a power", example: "350 W or 25 mW", most: 1e7, exp: exponents{2, 1, -3}, composite: true},
	Temperature:   {name: "temperature", article: "a temperature", example: "12 degC", most: 2000},
	Pressure:      {name: "pressure", article: "a pressure", example: "1013 hPa", most: 1e12, exp: exponents{-1, 1, -2}, composite: true},
	MotorConstant: {name: "motor constant", article: "a motor constant", example: "1700 rpm/V", most: 1e5, exp: exponents{-2, -1, 2, 1, 0, 1}, composite: true},
	Rotation:      {name: "rotation", article: "a speed of rotation", example: "19800 rpm", most: 1e6, exp: exponents{0, 0, -1, 0, 0, 1}, composite: true},
	Area:          {name: "area", article: "an area", example: "15 dm^2", most: 1e8, exp: exponents{2}, composite: true},
	Density:       {name: "density", article: "a density", example: "1.2 kg/m^3", most: 1e5, exp: exponents{-3, 1}, composite: true},
	AreaLoad:      {name: "area load", article: "an area load", example: "60 g/dm^2", most: 1e5, exp: exponents{-2, 1}, composite: true},
	Frequency:     {name: "frequency", article: "a frequency", example: "2.4 GHz", most: 1e13, exp: exponents{0, 0, -1}, composite: true},
	Gain:          {name: "gain", article: "a gain", example: "2 dBi", most: 1e3},
	Level:         {name: "level", article: "a level", example: "-105 dBm", most: 1e3},
	Money:         {name: "money", article: "an amount of money", example: "12 EUR", most: 1e9},
	Stiffness:     {name: "rotational stiffness", article: "a rotational stiffness", example: "4 N m/rad", most: 1e9, exp: exponents{2, 1, -2, 0, 0, -1}, composite: true},
}

// String is the dimension's name as in the tags of the build file.
func (d Dim) String() string {
	if d >= dims {
		panic("unit: no such dimension")
	}
	return dimTable[d].name
}

// Example is a well-written quantity of the dimension.
func (d Dim) Example() string { return dimTable[d].example }

// Article is the dimension with its article, "an area".
func (d Dim) Article() string { return dimTable[d].article }

// DimNamed finds a dimension by its name.
func DimNamed(name string) (Dim, bool) {
	for d := Any; d < dims; d++ {
		if dimTable[d].name == name {
			return d, true
		}
	}
	return None, false
}

// Error says what is wrong with a text, and where: Offset and Len count
// characters in the text given to Parse.
type Error struct {
	Code        string // "no-unit", "wrong-unit", "unknown-unit", "no-number", "out-of-range", "bad-spread", "bad-word", "too-long"
	Offset, Len int
	Message     string
	Hint        string // may be empty
}

// Error prints message and hint.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + " (" + e.Hint + ")"
}

// longest is the longest text taken for a quantity, in characters.
const longest = 200

// piece is a part of the text with its place.
type piece struct {
	r  []rune
	at int
}

func (p piece) trim() piece {
	for len(p.r) > 0 && unicode.IsSpace(p.r[0]) {
		p.r, p.at = p.r[1:], p.at+1
	}
	for len(p.r) > 0 && unicode.IsSpace(p.r[len(p.r)-1]) {
		p.r = p.r[:len(p.r)-1]
	}
	return p
}

func (p piece) String() string { return string(p.r) }

func (p piece) fail(code, message, hint string) *Error {
	return &Error{Code: code, Offset: p.at, Len: max(1, len(p.r)), Message: message, Hint: hint}
}

// index finds a word between spaces.
func (p piece) index(word string) int {
	w := []rune(word)
	for i := 0; i+len(w) <= len(p.r); i++ {
		if string(p.r[i:i+len(w)]) == word {
			return i
		}
	}
	return -1
}

// Parse reads a quantity of the dimension wanted (Any: whatever the unit
// says; a number alone is then a ratio). The error, if any, is an *Error.
// Values that are not finite, below absolute zero or absurdly large for a
// small aeroplane and its field are errors.
func Parse(text string, want Dim) (Quantity, error) {
	if want == None || want >= dims {
		panic("unit: Parse wants a dimension")
	}
	whole := piece{r: []rune(text)}
	q, err := parse(whole, want, "")
	if err != nil {
		return Quantity{}, err
	}
	return q, nil
}

// ParseRange reads "120 mm to 200 mm" (or "120 to 200 mm"): two quantities of
// the same dimension, the low one first. The error, if any, is an *Error.
func ParseRange(text string, want Dim) (low, high Quantity, err error) {
	whole := piece{r: []rune(text)}
	if len(whole.r) > longest {
		return low, high, whole.fail("too-long", "a range cannot be this long", "")
	}
	i := whole.index(" to ")
	if i < 0 {
		return low, high, whole.trim().fail("no-range", fmt.Sprintf("a range of %s is needed", want), `write it as "120 mm to 200 mm"`)
	}
	a, b := piece{whole.r[:i], 0}, piece{whole.r[i+4:], i + 4}
	high, e := parse(b, want, "")
	if e != nil {
		return Quantity{}, Quantity{}, e
	}
	low, e = parse(a, want, high.Unit)
	if e != nil {
		return Quantity{}, Quantity{}, e
	}
	if low.Dim != high.Dim {
		return Quantity{}, Quantity{}, whole.trim().fail("wrong-unit", fmt.Sprintf("a range from %s to %s", low.Dim.Article(), high.Dim.Article()), "both ends need the same kind of unit")
	}
	if low.Value > high.Value {
		return Quantity{}, Quantity{}, whole.trim().fail("out-of-range", "the range ends below its start", "write the lower value first")
	}
	return low, high, nil
}

func parse(whole piece, want Dim, lent string) (Quantity, *Error) {
	if len(whole.r) > longest {
		return Quantity{}, whole.fail("too-long", "a quantity cannot be this long", "write it like "+strconv.Quote(want.Example()))
	}
	body := whole.trim()
	q := Quantity{Text: body.String(), Dim: want}
	if len(body.r) == 0 {
		return q, whole.fail("no-number", "nothing is written here, "+want.Article()+" is needed", "write it like "+strconv.Quote(want.Example()))
	}
	if i := body.index(" to "); i > 0 {
		return q, body.fail("no-number", "a range stands where one value is needed", "write it like "+strconv.Quote(want.Example()))
	}

	value, spread, hasSpread, e := splitSpread(body)
	if e != nil {
		return q, e
	}
	if hasSpread {
		spread, q.Word = cutWord(spread)
	}
	if v, w := cutWord(value); w != Unmarked {
		if q.Word != Unmarked {
			return q, body.fail("bad-word", "two words say where the number comes from", "keep one of them")
		}
		value, q.Word = v, w
	}

	num, unitText, e := number(value, want)
	if e != nil {
		return q, e
	}
	var snum float64
	var sunit piece
	if hasSpread {
		if snum, sunit, e = number(spread, want); e != nil {
			return q, e
		}
		if len(unitText.r) == 0 && len(sunit.r) > 0 && want != Ratio && sunit.String() != "%" {
			unitText = sunit
			unitText.at = value.at + len(value.r)
		}
	}
	if len(unitText.r) == 0 && lent != "" {
		unitText.r = []rune(lent)
	}
	u, e := findUnit(unitText, value, want)
	if e != nil {
		return q, e
	}
	q.Dim, q.Unit = u.dim, u.symbol
	q.Value = u.toSI(num)
	if e := sane(q.Value, u.dim, value); e != nil {
		return q, e
	}
	if hasSpread {
		q.Stated = true
		half, e := spreadSI(snum, sunit, spread, num, u)
		if e != nil {
			return q, e
		}
		q.Sigma = half / 2
		if e := sane(half, u.dim, spread); e != nil {
			return q, e
		}
	}
	return q, nil
}

// splitSpread cuts at "±".
func splitSpread(body piece) (value, spread piece, has bool, e *Error) {
	at, width := -1, 0
	for i := 0; i < len(body.r); i++ {
		w := 0
		switch {
		case body.r[i] == '±':
			w = 1
		case strings.HasPrefix(string(body.r[i:min(len(body.r), i+3)]), "+/-"):
			w = 3
		case strings.HasPrefix(string(body.r[i:min(len(body.r), i+2)]), "+-"):
			w = 2
		}
		if w == 0 {
			continue
		}
		if at >= 0 {
			return value, spread, false, piece{body.r[i : i+w], body.at + i}.fail("bad-spread", "a second ±", "give one spread")
		}
		at, width = i, w
		i += w - 1
	}
	if at < 0 {
		return body, spread, false, nil
	}
	value = piece{body.r[:at], body.at}.trim()
	spread = piece{body.r[at+width:], body.at + at + width}.trim()
	if len(value.r) == 0 {
		return value, spread, false, piece{body.r[at : at+width], body.at + at}.fail("no-number", "no number before the ±", "")
	}
	if len(spread.r) == 0 {
		return value, spread, false, piece{body.r[at : at+width], body.at + at}.fail("bad-spread", "no number after the ±", "")
	}
	return value, spread, true, nil
}

// cutWord takes a provenance word off the end.
func cutWord(p piece) (piece, Word) {
	for _, w := range Words() {
		n := len(p.r) - len(w)
		if n > 0 && strings.EqualFold(string(p.r[n:]), string(w)) && !unicode.IsLetter(p.r[n-1]) {
			return piece{p.r[:n], p.at}.trim(), w
		}
	}
	return p, Unmarked
}

// number reads the number at the start of a piece and returns the rest.
func number(p piece, want Dim) (float64, piece, *Error) {
	p = p.trim()
	r := p.r
	if (want == Money || want == Any) && len(r) > 1 && strings.ContainsRune("€$£", r[0]) {
		moved := append(append([]rune{}, r[1:]...), ' ', r[0])
		v, rest, e := number(piece{moved, p.at + 1}, Money)
		return v, rest, e
	}
	i := 0
	var b strings.Builder
	if i < len(r) && strings.ContainsRune("+-−–", r[i]) {
		if r[i] != '+' {
			b.WriteByte('-')
		}
		i++
	}
	digits := 0
	scan := func() {
		for i < len(r) && r[i] >= '0' && r[i] <= '9' {
			b.WriteRune(r[i])
			i++
			digits++
		}
	}
	scan()
	if i < len(r) && r[i] == '.' {
		b.WriteByte('.')
		i++
		scan()
	}
	if digits == 0 {
		low := strings.ToLower(strings.TrimLeft(p.String(), "+-−."))
		if strings.HasPrefix(low, "nan") || strings.HasPrefix(low, "inf") {
			return 0, p, p.fail("no-number", strconv.Quote(short(p.String()))+" is not a finite number", "leave the key out when the value is not known")
		}
		return 0, p, p.fail("no-number", strconv.Quote(short(p.String()))+" does not start with a number", "write it like "+strconv.Quote(want.Example()))
	}
	if i < len(r) && r[i] == ',' && i+1 < len(r) && r[i+1] >= '0' && r[i+1] <= '9' {
		return 0, p, piece{r[i : i+1], p.at + i}.fail("no-number", "a comma inside a number", "write a decimal point, and no thousands separators")
	}
	if i < len(r) && (r[i] == 'e' || r[i] == 'E') {
		j := i + 1
		sign := ""
		if j < len(r) && strings.ContainsRune("+-−", r[j]) {
			if r[j] != '+' {
				sign = "-"
			}
			j++
		}
		if j < len(r) && r[j] >= '0' && r[j] <= '9' {
			i = j
			b.WriteString("e" + sign)
			scan()
		}
	}
	v, err := strconv.ParseFloat(b.String(), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, p, piece{r[:i], p.at}.fail("out-of-range", "the number is too large", "")
	}
	rest := piece{r[i:], p.at + i}.trim()
	return v, rest, nil
}

// spreadSI turns what stands after the ± into SI.
func spreadSI(snum float64, sunit, spread piece, num float64, u *unit) (float64, *Error) {
	if snum < 0 || math.Signbit(snum) {
		return 0, spread.fail("bad-spread", "a negative spread", "")
	}
	if len(sunit.r) == 0 {
		if u.dim == Ratio && u.symbol == "" {
			return snum, nil
		}
		return 0, spread.fail("no-unit", "the spread has no unit", fmt.Sprintf("write \"± %s %s\" or \"± 5 %%\"", trimNum(snum), u.symbol))
	}
	if sunit.String() == "%" && u.symbol != "%" {
		if u.offset != 0 || u.dim == Temperature || u.dim == Gain || u.dim == Level {
			return 0, spread.fail("bad-spread", "a share of "+u.dim.Article()+" means nothing", "give the spread in "+u.symbol)
		}
		return math.Abs(u.toSI(num)) * (snum / 100), nil
	}
	su, e := findUnit(sunit, spread, u.dim)
	if e != nil {
		return 0, e
	}
	if u.recip != su.recip {
		return 0, spread.fail("bad-spread", "the spread needs the unit of the value", "")
	}
	if u.recip { // d(60°/t) = 60°/t² dt
		if num == 0 {
			return 0, spread.fail("bad-spread", "a spread of nothing", "")
		}
		return math.Abs(u.toSI(num)) * (snum / math.Abs(num)), nil
	}
	return su.step(snum), nil
}

// sane refuses what cannot be.
func sane(si float64, d Dim, p piece) *Error {
	info := dimTable[d]
	switch {
	case math.IsNaN(si) || math.IsInf(si, 0):
		return p.fail("out-of-range", "not a finite number", "")
	case d == Temperature && si < 0:
		return p.fail("out-of-range", "below absolute zero", "")
	case math.Abs(si) > info.most:
		return p.fail("out-of-range", strconv.Quote(short(p.String()))+" is absurdly large for "+info.article, "check the unit")
	}
	return nil
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:38]) + "…"
	}
	return s
}

func trimNum(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
