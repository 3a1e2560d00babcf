package unit

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestParseGood(t *testing.T) {
	for _, c := range []struct {
		text  string
		dim   Dim
		value float64
		sigma float64
		word  Word
	}{
		{"38 g", Mass, 0.038, -1, ""},
		{"38g", Mass, 0.038, -1, ""},
		{"38 g ± 1 g", Mass, 0.038, 0.0005, ""},
		{"38 ± 1 g", Mass, 0.038, 0.0005, ""},
		{"38 g ± 5 %", Mass, 0.038, 0.00095, ""},
		{"38 g +/- 1 g weighed", Mass, 0.038, 0.0005, Weighed},
		{"38 g +- 0.001 kg", Mass, 0.038, 0.0005, ""},
		{"38 g weighed", Mass, 0.038, -1, Weighed},
		{"38 g Guess", Mass, 0.038, -1, Guess},
		{"1800 mAh label", Charge, 6480, -1, Label},
		{"4.5 oz", Mass, 4.5 * 0.45359237 / 16, -1, ""},
		{"12 km/h", Speed, 12 / 3.6, -1, ""},
		{"12 kt", Speed, 12 * 1852.0 / 3600, -1, ""},
		{"780 mm", Length, 0.78, -1, ""},
		{`6"`, Length, 0.1524, -1, ""},
		{"6 in", Length, 0.1524, -1, ""},
		{"6 x 1", None, 0, 0, ""},
		{"−0.5 deg", Angle, -0.5 * math.Pi / 180, -1, ""},
		{"1°", Angle, math.Pi / 180, -1, ""},
		{"45 mΩ", Resistance, 0.045, -1, ""},
		{"45 mΩ", Resistance, 0.045, -1, ""},
		{"45 mohm", Resistance, 0.045, -1, ""},
		{"3 Mohm", Resistance, 3e6, -1, ""},
		{"5 µA", Current, 5e-6, -1, ""},
		{"5 μA", Current, 5e-6, -1, ""},
		{"5 uA", Current, 5e-6, -1, ""},
		{"1700 rpm/V label", MotorConstant, 1700 * 2 * math.Pi / 60, -1, Label},
		{"1700 kv", MotorConstant, 1700 * 2 * math.Pi / 60, -1, ""},
		{"19800 rpm", Rotation, 19800 * 2 * math.Pi / 60, -1, ""},
		{"2.1 kg cm", Torque, 2.1 * 9.80665 / 100, -1, ""},
		{"2.1 kg·cm", Torque, 2.1 * 9.80665 / 100, -1, ""},
		{"2.1 kg-cm", Torque, 2.1 * 9.80665 / 100, -1, ""},
		{"30 oz in", Torque, 30 * 0.45359237 / 16 * 9.80665 * 0.0254, -1, ""},
		{"0.2 N*m", Torque, 0.2, -1, ""},
		{"20 Ncm", Torque, 0.2, -1, ""},
		{"12 degC", Temperature, 285.15, -1, ""},
		{"12 °C ± 2 °C", Temperature, 285.15, 1, ""},
		{"12 degC ± 2 K", Temperature, 285.15, 1, ""},
		{"53.6 degF", Temperature, 285.15, -1, ""},
		{"1013.25 hPa", Pressure, 101325, -1, ""},
		{"1013.25 mbar", Pressure, 101325, -1, ""},
		{"24 %", Ratio, 0.24, -1, ""},
		{"24% ± 2 %", Ratio, 0.24, 0.01, ""},
		{"0.25 guess", Ratio, 0.25, -1, Guess},
		{"0.25 ± 10 %", Ratio, 0.25, 0.0125, ""},
		{"0.25 ± 0.05", Ratio, 0.25, 0.025, ""},
		{"0.90", Ratio, 0.9, -1, ""},
		{"1e3 g", Mass, 1, -1, ""},
		{".5 m", Length, 0.5, -1, ""},
		{"0.12 s/60deg", AngularRate, 60 * math.Pi / 180 / 0.12, -1, ""},
		{"0.12 sec/60°", AngularRate, 60 * math.Pi / 180 / 0.12, -1, ""},
		{"-105 dBm", Level, -105, -1, ""},
		{"2.15 dBi", Gain, 2.15, -1, ""},
		{"25 mW", Power, 0.025, -1, ""},
		{"2.4 GHz", Frequency, 2.4e9, -1, ""},
		{"868 MHz", Frequency, 868e6, -1, ""},
		{"15 dm²", Area, 0.15, -1, ""},
		{"60 g/dm^2", AreaLoad, 6, -1, ""},
		{"12 EUR", Money, 12, -1, ""},
		{"€12.50", Money, 12.5, -1, ""},
		{"3 kg m/s^2", Force, 3, -1, ""},
		{"200 g m/s^2", Force, 0.2, -1, ""},
		{"215 km/h", Any, 215 / 3.6, -1, ""},
		{"1.2 kgf", Force, 1.2 * 9.80665, -1, ""},
		{"  38 g  ", Mass, 0.038, -1, ""},
	} {
		if c.dim == None {
			continue
		}
		q, err := Parse(c.text, c.dim)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if math.Abs(q.Value-c.value) > 4e-16*math.Abs(c.value) {
			t.Errorf("%q = %.17g, want %.17g", c.text, q.Value, c.value)
		}
		if q.Stated != (c.sigma >= 0) || q.Stated && math.Abs(q.Sigma-c.sigma) > 1e-15*c.sigma {
			t.Errorf("%q: sigma %g (stated %v), want %g", c.text, q.Sigma, q.Stated, c.sigma)
		}
		if q.Word != c.word {
			t.Errorf("%q: word %q", c.text, q.Word)
		}
	}
}

func TestParseBad(t *testing.T) {
	for _, c := range []struct {
		text   string
		dim    Dim
		code   string
		offset int
		hint   string
	}{
		{"", Mass, "no-number", 0, `write it like "38 g"`},
		{"38", Mass, "no-unit", 0, `write it like "38 g"`},
		{"38 mm", Mass, "wrong-unit", 3, `write it like "38 g"`},
		{"1.2 kg", Force, "wrong-unit", 4, `a pull read off a scale is written "1.2 kgf"`},
		{"38 G", Mass, "unknown-unit", 3, `did you mean "g"?`},
		{"38 gramm", Mass, "unknown-unit", 3, `did you mean "g"?`},
		{"1800 mAH", Charge, "unknown-unit", 5, `did you mean "mAh"?`},
		{"38 g ± 1", Mass, "no-unit", 7, `write "± 1 g" or "± 5 %"`},
		{"38 g ± -1 g", Mass, "bad-spread", 7, ""},
		{"38 g ± 1 g ± 2 g", Mass, "bad-spread", 11, "give one spread"},
		{"38 g ±", Mass, "bad-spread", 5, ""},
		{"38 g ± 1 mm", Mass, "wrong-unit", 9, `write it like "38 g"`},
		{"12 degC ± 5 %", Temperature, "bad-spread", 10, "give the spread in degC"},
		{"38 g guessed", Mass, "bad-word", 5, `did you mean "guess"?`},
		{"38 g wieghed", Mass, "bad-word", 5, `did you mean "weighed"?`},
		{"38 g each", Mass, "bad-word", 5, "a quantity may end with weighed, measured, label, guess or maker; a remark goes behind a #"},
		{"0,5 kg", Mass, "no-number", 1, "write a decimal point, and no thousands separators"},
		{"1 013 hPa", Pressure, "no-number", 2, "write one number without spaces, then the unit"},
		{"NaN g", Mass, "no-number", 0, "leave the key out when the value is not known"},
		{"-inf g", Mass, "no-number", 0, "leave the key out when the value is not known"},
		{"1e999 g", Mass, "out-of-range", 0, ""},
		{"1e12 g", Mass, "out-of-range", 0, "check the unit"},
		{"-300 degC", Temperature, "out-of-range", 0, ""},
		{"heavy", Mass, "no-number", 0, `write it like "38 g"`},
		{"120 mm to 200 mm", Length, "no-number", 0, `write it like "780 mm"`},
		{"120-200 mm", Length, "unknown-unit", 3, `a range is written "120 mm to 200 mm", where one is wanted`},
		{"1700", MotorConstant, "no-unit", 0, `write it like "1700 rpm/V"`},
		{"  38 mm", Mass, "wrong-unit", 5, `write it like "38 g"`},
		{"0 s/60deg", AngularRate, "out-of-range", 0, ""},
	} {
		_, err := Parse(c.text, c.dim)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%q: no error", c.text)
			continue
		}
		if e.Code != c.code || e.Offset != c.offset || e.Hint != c.hint {
			t.Errorf("%q: %s at %d, %s (%s); want %s at %d (%s)", c.text, e.Code, e.Offset, e.Message, e.Hint, c.code, c.offset, c.hint)
		}
	}
}

func TestParseRange(t *testing.T) {
	lo, hi, err := ParseRange("120 mm to 200 mm", Length)
	if err != nil || lo.Value != 0.12 || hi.Value != 0.2 {
		t.Errorf("%v %v %v", lo, hi, err)
	}
	lo, hi, err = ParseRange("120 to 200 mm", Length)
	if err != nil || lo.Value != 0.12 || hi.Value != 0.2 {
		t.Errorf("%v %v %v", lo, hi, err)
	}
	for text, offset := range map[string]int{"120 mm": 0, "200 mm to 120 mm": 0, "120 mm to 200 g": 14, "120 g to 200 mm": 4, "x to 3 mm": 0} {
		_, _, err := ParseRange(text, Length)
		var e *Error
		if !errors.As(err, &e) || e.Offset != offset {
			t.Errorf("%q: %+v", text, err)
		}
	}
}

// anyQuantity draws a quantity as a user might write it.
func anyText(t *rapid.T) (string, Dim) {
	d := Dim(rapid.IntRange(int(Ratio), int(dims)-1).Draw(t, "dim"))
	symbols := listed[d]
	s := rapid.SampledFrom(symbols).Draw(t, "symbol")
	num := tidy(rapid.Float64Range(0.001, 900).Draw(t, "number"))
	if rapid.Bool().Draw(t, "round") {
		num = tidy(math.Round(rapid.Float64Range(1, 5000).Draw(t, "n")) / 100)
	}
	text := num + " " + s
	if rapid.Bool().Draw(t, "stated") {
		text += " ± " + tidy(rapid.Float64Range(0, 20).Draw(t, "spread")) + " " + s
	}
	return text + " " + string(rapid.SampledFrom(append(Words(), "")).Draw(t, "word")), d
}

func TestFormatQuantityIsParsedBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, d := anyText(t)
		q, err := Parse(text, d)
		var e *Error
		if errors.As(err, &e) && e.Code == "out-of-range" {
			return // 900 tonnes
		}
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		printed := FormatQuantity(q)
		r, err := Parse(printed, d)
		if err != nil {
			t.Fatalf("%q printed as %q: %v", text, printed, err)
		}
		r.Text, q.Text = "", ""
		r.Unit, q.Unit = "", ""
		if r != q {
			t.Fatalf("%q printed as %q: %+v, was %+v", text, printed, r, q)
		}
	})
}

// Any float64 can be printed and read back, not only those that came from a text.
func TestFormatQuantityOfAnyNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Dim(rapid.IntRange(int(Ratio), int(dims)-1).Draw(t, "dim"))
		v := rapid.Float64Range(-dimTable[d].most, dimTable[d].most).Draw(t, "value")
		if d == Temperature {
			v = math.Abs(v)
		}
		q := Quantity{Value: v, Dim: d, Unit: rapid.SampledFrom(listed[d]).Draw(t, "unit")}
		if rapid.Bool().Draw(t, "stated") {
			q.Stated, q.Sigma = true, rapid.Float64Range(0, dimTable[d].most/2).Draw(t, "sigma")
		}
		printed := FormatQuantity(q)
		r, err := Parse(printed, d)
		if err != nil {
			t.Fatalf("%v printed as %q: %v", q, printed, err)
		}
		if r.Value != v || r.Sigma != q.Sigma {
			t.Fatalf("%+v printed as %q read %+v", q, printed, r)
		}
	})
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		v    float64
		d    Dim
		s    System
		want string
	}{
		{0.78, Length, Metric, "780 mm"},
		{0.0254, Length, Imperial, "1.00 in"},
		{10, Length, Metric, "10.0 m"},
		{1.0504, Mass, Metric, "1050 g"},
		{2.3456, Mass, Metric, "2.35 kg"},
		{0.0385, Mass, Metric, "38.5 g"},
		{59.72, Speed, Metric, "59.7 m/s"},
		{0.243, Ratio, Metric, "24.3 %"},
		{285.15, Temperature, Metric, "12.0 degC"},
		{285.15, Temperature, Imperial, "53.6 degF"},
		{6480, Charge, Metric, "1800 mAh"},
		{-1e-9, Angle, Metric, "0.0 deg"},
		{math.NaN(), Mass, Metric, "unknown"},
		{math.Inf(1), Time, Metric, "unlimited"},
		{1700 * rpm, MotorConstant, Metric, "1700 rpm/V"},
	} {
		if got := Format(c.v, c.d, c.s); got != c.want {
			t.Errorf("Format(%g, %s) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
	if got := FormatInterval(41.2, 38, 44.9, Speed, Metric); got != "41.2 m/s (38.0 to 44.9)" {
		t.Error(got)
	}
	for d := Ratio; d < dims; d++ {
		for _, s := range []System{Metric, Imperial} {
			for _, c := range people[d][s] {
				if c.symbol != "" {
					In(1, d, c.symbol) // panics for a unit that is not listed
				}
			}
		}
		if _, err := Parse(d.Example(), d); err != nil && d != Ratio && d != Speed && d != Power && d != AngularRate && d != Force && d != Torque {
			t.Errorf("example of %s: %v", d, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"38 g ± 1 g weighed", "0.12 s/60deg", "€12", "1e3 kg m/s^2", "−0.5 °", "+/- 3", "5 %"} {
		f.Add(s, uint8(Mass))
	}
	f.Fuzz(func(t *testing.T, s string, d uint8) {
		want := Dim(1 + int(d)%(int(dims)-1))
		q, err := Parse(s, want)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Offset < 0 || e.Offset > len([]rune(s)) || e.Len < 1 || e.Message == "" {
				t.Fatalf("%q: %#v", s, err)
			}
			return
		}
		if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || math.IsNaN(q.Sigma) || math.IsInf(q.Sigma, 0) || q.Sigma < 0 {
			t.Fatalf("%q: %+v", s, q)
		}
		r, err := Parse(FormatQuantity(q), q.Dim)
		if err != nil || r.Value != q.Value || r.Sigma != q.Sigma || r.Stated != q.Stated || r.Word != q.Word {
			t.Fatalf("%q printed %q: %+v %v, was %+v", s, FormatQuantity(q), r, err, q)
		}
	})
}
