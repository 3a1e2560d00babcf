package unit

import (
	"math"

	"fledge/internal/cite"
)

// Doubt is one row of the table of default spreads: one standard deviation
// is the root of the squares of Abs (SI) and Rel times the value.
type Doubt struct {
	Dim    Dim
	Word   Word
	Upto   float64 // the row holds for absolute values below; +Inf when it has no end
	Abs    float64
	Rel    float64
	Why    string
	Source cite.Ref // zero: our choice, for the reason in Why
}

// half turns "±x" as people say it (two standard deviations) into one.
const half = 0.5

// any end
var inf = math.Inf(1)

// gum marks a spread that follows from the step of a reading: a rectangular
// distribution of half-width a has a standard deviation of a/√3.
var gum = cite.GUM.At("4.3.7, rectangular distribution", cite.Memory)

// spreads is the table. A row is looked up by dimension and word; a
// dimension without a row for the word takes the row of None for that word.
// All are our choice, for the reason beside, unless a source is named; they
// are starting points that a "±" in the file overrules.
var spreads = []Doubt{
	// Whatever has no row of its own.
	{Dim: None, Word: Guess, Upto: inf, Rel: 0.30 * half, Why: "a guess is good to about 30 %"},
	{Dim: None, Word: Label, Upto: inf, Rel: 0.10 * half, Why: "labels are good to about 10 %"},
	{Dim: None, Word: Maker, Upto: inf, Rel: 0.10 * half, Why: "a maker's figure is good to about 10 %"},
	{Dim: None, Word: Measured, Upto: inf, Rel: 0.03 * half, Why: "workshop measurements are good to about 3 %"},
	{Dim: None, Word: Weighed, Upto: inf, Rel: 0.03 * half, Why: "workshop measurements are good to about 3 %"},
	{Dim: None, Word: Unmarked, Upto: inf, Rel: 0.06 * half, Why: "a number without a word: read off something, twice the doubt of a measurement"},

	{Dim: Mass, Word: Weighed, Upto: 5, Abs: 1e-3 * half, Rel: 0.002, Why: "kitchen scale in steps of 1 g, read to ±1 g, gain good to 0.2 %", Source: gum},
	{Dim: Mass, Word: Weighed, Upto: inf, Abs: 20e-3 * half, Rel: 0.005, Why: "luggage scale, read to ±20 g, gain good to 0.5 %"},
	{Dim: Mass, Word: Measured, Upto: inf, Abs: 1e-3 * half, Rel: 0.002, Why: "as weighed"},
	{Dim: Mass, Word: Label, Upto: inf, Rel: 0.08 * half, Why: "labels leave out leads and plugs: about 8 %"},
	{Dim: Mass, Word: Maker, Upto: inf, Rel: 0.08 * half, Why: "a maker's mass is without leads, paint and glue: about 8 %"},
	{Dim: Mass, Word: Unmarked, Upto: inf, Abs: 1e-3 * half, Rel: 0.04 * half, Why: "a mass without a word may come from a scale or from a label: about 4 %"},

	{Dim: Length, Word: Measured, Upto: 0.15, Abs: 0.2e-3 * half, Rel: 0.002, Why: "callipers on a soft edge, ±0.2 mm"},
	{Dim: Length, Word: Measured, Upto: 2, Abs: 1e-3 * half, Rel: 0.001, Why: "steel ruler, ±1 mm", Source: gum},
	{Dim: Length, Word: Measured, Upto: inf, Abs: 10e-3 * half, Rel: 0.005, Why: "tape on the ground, ±10 mm and 0.5 % of sag and slope"},
	{Dim: Length, Word: Unmarked, Upto: 2, Abs: 2e-3 * half, Rel: 0.01 * half, Why: "a length without a word: ruler, drawing or photograph, ±2 mm and 1 %"},
	{Dim: Length, Word: Unmarked, Upto: inf, Abs: 50e-3 * half, Rel: 0.04 * half, Why: "paced or read off a marked line: ±5 cm and 4 %"},
	{Dim: Length, Word: Label, Upto: inf, Abs: 0.5e-3 * half, Rel: 0.01 * half, Why: "nominal sizes are good to 1 %"},
	{Dim: Length, Word: Maker, Upto: inf, Abs: 1e-3 * half, Rel: 0.01 * half, Why: "a maker's drawing is good to 1 %"},

	{Dim: Angle, Word: Measured, Upto: inf, Abs: 0.5 * degree * half, Why: "digital level or throw gauge on a curved skin, ±0.5 deg"},
	{Dim: Angle, Word: Unmarked, Upto: inf, Abs: 1 * degree * half, Rel: 0.05 * half, Why: "an angle without a word: ±1 deg and 5 %"},
	{Dim: Angle, Word: Label, Upto: inf, Abs: 1 * degree * half, Rel: 0.05 * half, Why: "as without a word"},
	{Dim: Angle, Word: Maker, Upto: inf, Abs: 1 * degree * half, Rel: 0.05 * half, Why: "as without a word"},
	{Dim: Angle, Word: Guess, Upto: inf, Abs: 3 * degree * half, Rel: 0.30 * half, Why: "the eye is good to 3 deg, and 30 % of large angles"},

	{Dim: Force, Word: Measured, Upto: inf, Abs: 0.5 * half, Rel: 0.03 * half, Why: "luggage scale held in the hand, ±0.5 N and 3 %"},
	{Dim: Force, Word: Weighed, Upto: inf, Abs: 0.5 * half, Rel: 0.03 * half, Why: "luggage scale held in the hand, ±0.5 N and 3 %"},
	{Dim: Force, Word: Unmarked, Upto: inf, Abs: 0.5 * half, Rel: 0.06 * half, Why: "a pull without a word: ±0.5 N and 6 %"},

	{Dim: Torque, Word: Label, Upto: inf, Rel: 0.25 * half, Why: "stall torque on servo labels: about 25 %, at the named voltage only"},
	{Dim: Torque, Word: Maker, Upto: inf, Rel: 0.25 * half, Why: "as on the label"},
	{Dim: Torque, Word: Unmarked, Upto: inf, Rel: 0.25 * half, Why: "most likely from the label"},
	{Dim: AngularRate, Word: Label, Upto: inf, Rel: 0.20 * half, Why: "no-load speed on servo labels: about 20 %"},
	{Dim: AngularRate, Word: Maker, Upto: inf, Rel: 0.20 * half, Why: "as on the label"},
	{Dim: AngularRate, Word: Unmarked, Upto: inf, Rel: 0.20 * half, Why: "most likely from the label"},

	{Dim: MotorConstant, Word: Label, Upto: inf, Rel: 0.08 * half, Why: "winding and magnet scatter, rounding on the label: ±8 %"},
	{Dim: MotorConstant, Word: Maker, Upto: inf, Rel: 0.08 * half, Why: "as on the label"},
	{Dim: MotorConstant, Word: Unmarked, Upto: inf, Rel: 0.08 * half, Why: "most likely from the label"},
	{Dim: MotorConstant, Word: Measured, Upto: inf, Rel: 0.02 * half, Why: "turned by a drill, voltage and speed read: ±2 %"},
	{Dim: Resistance, Word: Label, Upto: inf, Rel: 0.30 * half, Why: "resistances on labels are rarely of this specimen, and for cold windings: ±30 %"},
	{Dim: Resistance, Word: Maker, Upto: inf, Rel: 0.30 * half, Why: "as on the label"},
	{Dim: Resistance, Word: Unmarked, Upto: inf, Rel: 0.30 * half, Why: "most likely from a label"},
	{Dim: Resistance, Word: Measured, Upto: inf, Rel: 0.10 * half, Why: "voltage drop at a known current, warm or cold: ±10 %"},
	{Dim: Resistance, Word: Guess, Upto: inf, Rel: 0.60 * half, Why: "a guessed resistance: ±60 %, ageing and temperature change it that much"},
	{Dim: Charge, Word: Label, Upto: inf, Rel: 0.12 * half, Why: "usable against printed capacity, new against used packs: ±12 %"},
	{Dim: Charge, Word: Maker, Upto: inf, Rel: 0.12 * half, Why: "as on the label"},
	{Dim: Charge, Word: Unmarked, Upto: inf, Rel: 0.12 * half, Why: "most likely from the label"},
	{Dim: Charge, Word: Measured, Upto: inf, Rel: 0.04 * half, Why: "charger's count, ±4 %"},
	{Dim: Voltage, Word: Measured, Upto: inf, Abs: 0.02 * half, Rel: 0.01 * half, Why: "hand multimeter, ±1 % and two steps"},
	{Dim: Voltage, Word: Unmarked, Upto: inf, Abs: 0.05 * half, Rel: 0.02 * half, Why: "a voltage without a word: ±2 %"},
	{Dim: Current, Word: Measured, Upto: inf, Abs: 0.1 * half, Rel: 0.04 * half, Why: "clamp meter or shunt logger, ±4 %"},
	{Dim: Current, Word: Unmarked, Upto: inf, Abs: 0.2 * half, Rel: 0.08 * half, Why: "a current without a word: ±8 %"},
	{Dim: Rotation, Word: Measured, Upto: inf, Rel: 0.01 * half, Why: "optical or phase counter, ±1 %"},
	{Dim: Rotation, Word: Unmarked, Upto: inf, Rel: 0.02 * half, Why: "a speed of rotation without a word: ±2 %"},

	{Dim: Speed, Word: Measured, Upto: inf, Abs: 0.3 * half, Rel: 0.05 * half, Why: "hand anemometer or satellite receiver, ±0.3 m/s and 5 %"},
	{Dim: Speed, Word: Unmarked, Upto: inf, Abs: 0.5 * half, Rel: 0.20 * half, Why: "a wind or a throw as people tell it: ±0.5 m/s and 20 %"},
	{Dim: Speed, Word: Guess, Upto: inf, Abs: 1 * half, Rel: 0.40 * half, Why: "a guessed wind or throw: ±1 m/s and 40 %"},
	{Dim: Time, Word: Unmarked, Upto: inf, Abs: 0.2 * half, Rel: 0.05 * half, Why: "a reaction of the hand, ±0.2 s"},
	{Dim: Temperature, Word: Measured, Upto: inf, Abs: 1 * half, Why: "thermometer in the shade, ±1 K"},
	{Dim: Temperature, Word: Unmarked, Upto: inf, Abs: 3 * half, Why: "forecast or car thermometer, ±3 K"},
	{Dim: Temperature, Word: Label, Upto: inf, Abs: 3 * half, Why: "as without a word"},
	{Dim: Temperature, Word: Maker, Upto: inf, Abs: 3 * half, Why: "as without a word"},
	{Dim: Temperature, Word: Guess, Upto: inf, Abs: 6 * half, Why: "as it feels, ±6 K"},
	{Dim: Pressure, Word: Measured, Upto: inf, Abs: 100 * half, Why: "telephone's sensor, ±1 hPa"},
	{Dim: Pressure, Word: Unmarked, Upto: inf, Abs: 300 * half, Why: "forecast, ±3 hPa"},
	{Dim: Pressure, Word: Guess, Upto: inf, Abs: 2000 * half, Why: "the usual range of weather, ±20 hPa"},
	{Dim: Frequency, Word: Unmarked, Upto: inf, Rel: 0.001, Why: "the channel within the band"},
	{Dim: Frequency, Word: Measured, Upto: inf, Rel: 0.001, Why: "the channel within the band"},
	{Dim: Frequency, Word: Label, Upto: inf, Rel: 0.001, Why: "the channel within the band"},
	{Dim: Frequency, Word: Maker, Upto: inf, Rel: 0.001, Why: "the channel within the band"},
	{Dim: Gain, Word: Unmarked, Upto: inf, Abs: 2 * half, Why: "antenna gains vary by ±2 dB with mounting"},
	{Dim: Gain, Word: Label, Upto: inf, Abs: 2 * half, Why: "antenna gains vary by ±2 dB with mounting"},
	{Dim: Gain, Word: Maker, Upto: inf, Abs: 2 * half, Why: "antenna gains vary by ±2 dB with mounting"},
	{Dim: Gain, Word: Measured, Upto: inf, Abs: 1 * half, Why: "±1 dB"},
	{Dim: Gain, Word: Guess, Upto: inf, Abs: 4 * half, Why: "±4 dB"},
	{Dim: Level, Word: Unmarked, Upto: inf, Abs: 3 * half, Why: "sensitivities vary by ±3 dB"},
	{Dim: Level, Word: Label, Upto: inf, Abs: 3 * half, Why: "sensitivities vary by ±3 dB"},
	{Dim: Level, Word: Maker, Upto: inf, Abs: 3 * half, Why: "sensitivities vary by ±3 dB"},
	{Dim: Level, Word: Measured, Upto: inf, Abs: 2 * half, Why: "±2 dB"},
	{Dim: Level, Word: Guess, Upto: inf, Abs: 6 * half, Why: "±6 dB"},
	{Dim: Money, Word: Unmarked, Upto: inf, Why: "a price is what it is"},
	{Dim: Money, Word: Measured, Upto: inf, Why: "a price is what it is"},
	{Dim: Money, Word: Weighed, Upto: inf, Why: "a price is what it is"},
	{Dim: Money, Word: Label, Upto: inf, Why: "a price is what it is"},
	{Dim: Money, Word: Maker, Upto: inf, Why: "a price is what it is"},
}

// Spread is the default doubt, one standard deviation in SI, of a value of
// the dimension that came by the way the word tells and carries no "±", with
// the reason. It is never negative, and a guess is never better than a number
// without a word. The table is [Spreads].
func Spread(d Dim, w Word, value float64) (sigma float64, why string) {
	row := doubt(d, w, math.Abs(value))
	sigma, why = math.Hypot(row.Abs, row.Rel*value), row.Why
	if w == Guess {
		if s, y := Spread(d, Unmarked, value); s > sigma {
			return s, y
		}
	}
	return sigma, why
}

func doubt(d Dim, w Word, size float64) Doubt {
	for _, from := range []Dim{d, None} {
		for _, row := range spreads {
			if row.Dim == from && row.Word == w && size < row.Upto {
				return row
			}
		}
	}
	panic("unit: no default spread for the word " + string(w))
}

// Spreads is the table of default spreads, for docs.
func Spreads() []Doubt { return append([]Doubt(nil), spreads...) }

// Doubt is the quantity's doubt, one standard deviation in SI, with the
// reason: what the user stated, or the default of its word.
func (q Quantity) Doubt() (sigma float64, why string) {
	if q.Stated {
		return q.Sigma, "as stated with ±, two standard deviations"
	}
	return Spread(q.Dim, q.Word, q.Value)
}
