package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the units people read.
type System uint8

// The systems.
const (
	Metric System = iota
	Imperial
)

// SystemNamed reads "metric" or "imperial".
func SystemNamed(s string) (System, bool) {
	switch s {
	case "metric":
		return Metric, true
	case "imperial":
		return Imperial, true
	}
	return Metric, false
}

// String is "metric" or "imperial".
func (s System) String() string {
	if s == Imperial {
		return "imperial"
	}
	return "metric"
}

// choice is a unit to print in, from a size upwards.
type choice struct {
	from   float64 // smallest |SI| for it
	symbol string
	places int // most decimal places
}

var people = map[Dim][2][]choice{
	Ratio:         {{{0, "%", 1}}, {{0, "%", 1}}},
	Length:        {{{0, "mm", 1}, {2, "m", 2}, {2000, "km", 2}}, {{0, "in", 2}, {2, "ft", 1}, {2000, "mi", 2}}},
	Mass:          {{{0, "g", 1}, {2, "kg", 3}}, {{0, "oz", 2}, {2, "lb", 2}}},
	Time:          {{{0, "s", 2}, {180, "min", 1}, {3 * 3600, "h", 2}}, {{0, "s", 2}, {180, "min", 1}, {3 * 3600, "h", 2}}},
	Speed:         {{{0, "m/s", 1}}, {{0, "mph", 1}}},
	Acceleration:  {{{0, "m/s^2", 2}}, {{0, "ft/s^2", 1}}},
	Angle:         {{{0, "deg", 1}}, {{0, "deg", 1}}},
	AngularRate:   {{{0, "deg/s", 1}}, {{0, "deg/s", 1}}},
	Force:         {{{0, "N", 2}}, {{0, "ozf", 1}, {8.896443, "lbf", 2}}},
	Torque:        {{{0, "N cm", 2}, {1, "N m", 2}}, {{0, "oz in", 2}, {1, "lb ft", 2}}},
	Current:       {{{0, "mA", 0}, {1, "A", 2}}, {{0, "mA", 0}, {1, "A", 2}}},
	Voltage:       {{{0, "mV", 0}, {1, "V", 2}}, {{0, "mV", 0}, {1, "V", 2}}},
	Resistance:    {{{0, "mohm", 2}, {1, "ohm", 2}, {1e4, "kohm", 1}}, {{0, "mohm", 2}, {1, "ohm", 2}, {1e4, "kohm", 1}}},
	Charge:        {{{0, "mAh", 0}, {36000, "Ah", 2}}, {{0, "mAh", 0}, {36000, "Ah", 2}}},
	Energy:        {{{0, "J", 2}, {3600, "Wh", 2}}, {{0, "J", 2}, {3600, "Wh", 2}}},
	Power:         {{{0, "mW", 1}, {1, "W", 1}}, {{0, "mW", 1}, {1, "W", 1}}},
	Temperature:   {{{0, "degC", 1}}, {{0, "degF", 1}}},
	Pressure:      {{{0, "Pa", 1}, {5000, "hPa", 1}, {1e6, "MPa", 1}, {1e9, "GPa", 2}}, {{0, "Pa", 1}, {5000, "inHg", 2}, {1e6, "psi", 0}}},
	MotorConstant: {{{0, "rpm/V", 0}}, {{0, "rpm/V", 0}}},
	Rotation:      {{{0, "rpm", 0}}, {{0, "rpm", 0}}},
	Area:          {{{0, "cm^2", 1}, {0.03, "dm^2", 2}, {10, "m^2", 1}}, {{0, "in^2", 1}}},
	Density:       {{{0, "kg/m^3", 3}}, {{0, "kg/m^3", 3}}},
	AreaLoad:      {{{0, "g/dm^2", 1}}, {{0, "oz/ft^2", 1}}},
	Frequency:     {{{0, "Hz", 1}, {1e4, "kHz", 1}, {1e6, "MHz", 1}, {1e9, "GHz", 3}}, {{0, "Hz", 1}, {1e4, "kHz", 1}, {1e6, "MHz", 1}, {1e9, "GHz", 3}}},
	Gain:          {{{0, "dB", 1}}, {{0, "dB", 1}}},
	Level:         {{{0, "dBm", 1}}, {{0, "dBm", 1}}},
	Money:         {{{0, "", 2}}, {{0, "", 2}}},
	Stiffness:     {{{0, "N m/rad", 2}}, {{0, "N m/rad", 2}}},
}

// Format prints an SI value for people: in a unit that fits its size, with
// three significant digits (four above 1000) and no more decimal places than
// the thing deserves. NaN prints as "unknown", infinities as "unlimited".
// The text is for reading; to write a value into a build file use
// [FormatQuantity].
func Format(v float64, d Dim, s System) string {
	return FormatIn(v, d, PeopleUnit(v, d, s), -1)
}

// PeopleUnit is the symbol of the unit that Format prints the value in.
func PeopleUnit(v float64, d Dim, s System) string {
	list := people[d][s]
	if list == nil {
		panic("unit: no unit to print " + d.String() + " in")
	}
	best := list[0].symbol
	for _, c := range list {
		if math.Abs(v) >= c.from {
			best = c.symbol
		}
	}
	return best
}

// FormatIn prints an SI value in the unit named, with the decimal places
// given, or, when places is negative, with three significant digits.
// It panics when the unit is not one of the dimension.
func FormatIn(v float64, d Dim, symbol string, places int) string {
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.IsInf(v, 1):
		return "unlimited"
	case math.IsInf(v, -1):
		return "-unlimited"
	}
	n := In(v, d, symbol)
	if places < 0 {
		most := 3
		for _, list := range people[d] {
			for _, c := range list {
				if c.symbol == symbol {
					most = c.places
				}
			}
		}
		places = most
		if a := math.Abs(n); a >= 1 {
			places = min(most, max(0, 2-int(math.Floor(math.Log10(a)*(1+1e-12)))))
		}
	}
	text := strconv.FormatFloat(n, 'f', places, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	if symbol == "" {
		return text
	}
	return text + " " + symbol
}

// In is an SI value as a number of the unit named; it panics when the unit
// is not one of the dimension.
func In(v float64, d Dim, symbol string) float64 {
	if symbol == "" {
		return v
	}
	for _, u := range table[normal(symbol)] {
		if u.dim == d {
			return u.fromSI(v)
		}
	}
	panic("unit: " + symbol + " is no unit of " + d.String())
}

// Of is the SI value of a number of the unit named; it panics when the unit
// is not one of the dimension.
func Of(n float64, symbol string, d Dim) float64 {
	for _, u := range table[normal(symbol)] {
		if u.dim == d {
			return u.toSI(n)
		}
	}
	panic("unit: " + symbol + " is no unit of " + d.String())
}

// FormatInterval prints a value with its 90 % interval, all in one unit:
// "41.2 m/s (38.0 to 44.9)"; without the interval when it has no width.
func FormatInterval(v, low, high float64, d Dim, s System) string {
	head := Format(v, d, s)
	if !(low < high) {
		return head
	}
	symbol := PeopleUnit(v, d, s)
	bare := func(x float64) string { return strings.TrimSuffix(FormatIn(x, d, symbol, -1), " "+symbol) }
	return fmt.Sprintf("%s (%s to %s)", head, bare(low), bare(high))
}

// si is the unit of each dimension whose factor is one.
var si = [dims]string{
	Length: "m", Mass: "kg", Time: "s", Speed: "m/s", Acceleration: "m/s^2", Angle: "rad", AngularRate: "rad/s",
	Force: "N", Torque: "N m", Current: "A", Voltage: "V", Resistance: "ohm", Charge: "C", Energy: "J", Power: "W",
	Temperature: "K", Pressure: "Pa", MotorConstant: "rad/s/V", Rotation: "rad/s", Area: "m^2", Density: "kg/m^3",
	AreaLoad: "kg/m^2", Frequency: "Hz", Gain: "dB", Level: "dBm", Money: "EUR", Stiffness: "N m/rad",
}

// FormatQuantity prints a quantity so that Parse reads exactly the same
// value, spread, word and dimension back. It keeps q.Unit if a number of that
// unit gives the very same SI value, else it prints in SI.
func FormatQuantity(q Quantity) string {
	if q.Dim == None || q.Dim == Any || q.Dim >= dims {
		panic("unit: quantity without a dimension")
	}
	u := symbolOf(q.Unit, q.Dim)
	if u == nil {
		u = symbolOf(si[q.Dim], q.Dim)
	}
	num, ok := exactly(q.Value, u.fromSI(q.Value), u.toSI)
	if !ok {
		u = symbolOf(si[q.Dim], q.Dim)
		num, ok = exactly(q.Value, q.Value, u.toSI)
		if !ok {
			panic("unit: " + trimNum(q.Value) + " cannot be printed")
		}
	}
	b := num + tail(u)
	if q.Stated {
		half := 2 * q.Sigma
		if u.recip {
			n, _ := strconv.ParseFloat(num, 64)
			n = math.Abs(n)
			back := func(s float64) float64 { return math.Abs(u.toSI(n)) * (s / n) / 2 }
			if s, ok := exactly(q.Sigma, half/math.Abs(q.Value)*n, back); ok {
				b += " ± " + s + tail(u)
			} else {
				rad := symbolOf(si[q.Dim], q.Dim)
				b = trimNum(q.Value) + tail(rad) + " ± " + trimNum(half) + tail(rad)
			}
		} else if s, ok := exactly(q.Sigma, half*u.div/u.factor, func(s float64) float64 { return u.step(s) / 2 }); ok {
			b += " ± " + s + tail(u)
		} else if q.Dim == Ratio { // a bare spread only follows a bare value
			b = trimNum(q.Value) + " ± " + trimNum(half)
		} else {
			b += " ± " + trimNum(half) + tail(symbolOf(si[q.Dim], q.Dim))
		}
	}
	if q.Word != Unmarked {
		b += " " + string(q.Word)
	}
	return b
}

func tail(u *unit) string {
	if u.symbol == "" {
		return ""
	}
	return " " + u.symbol
}

// symbolOf finds the unit of a symbol and dimension; "" is the plain ratio.
func symbolOf(symbol string, d Dim) *unit {
	if symbol == "" {
		if d == Ratio {
			return plain
		}
		return nil
	}
	for _, u := range table[normal(symbol)] {
		if u.dim == d {
			return u
		}
	}
	return composite(normal(symbol), d)
}

// exactly finds the shortest decimal near n which back turns into v.
func exactly(v, n float64, back func(float64) float64) (string, bool) {
	if math.IsNaN(n) || math.IsInf(n, 0) {
		return "", false
	}
	for digits := 1; digits <= 17; digits++ {
		s := strconv.FormatFloat(n, 'g', digits, 64)
		if x, err := strconv.ParseFloat(s, 64); err == nil && back(x) == v {
			return tidy(x), true
		}
	}
	for _, way := range []float64{math.Inf(1), math.Inf(-1)} {
		x := n
		for range 4 {
			x = math.Nextafter(x, way)
			if back(x) == v {
				return tidy(x), true
			}
		}
	}
	return "", false
}

// tidy prints a number without an exponent as long as it is of everyday size.
func tidy(x float64) string {
	if a := math.Abs(x); a == 0 || a >= 1e-6 && a < 1e15 {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return trimNum(x)
}
