package unit

import (
	"testing"
)

// Factors: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 lbf = 4.4482216 N (NIST SP 811, appendix B).
func TestRetell(t *testing.T) {
	for _, k := range []struct{ metric, want string }{
		{"324 m away at 30 m height", "1063 ft away at 98 ft height"},
		{"near 254, 163, 116 m at the circuit's height", "near 833, 535, 381 ft at the circuit's height"},
		{"nose-down, 0.2 m up; at 1.14 s she met", "nose-down, 7.9 in up; at 1.14 s she met"},
		{"speed in the dive 63.6 m/s (57.7 to 69.6), said", "speed in the dive 142 mph (129 to 156), said"},
		{"25 N (a thumb) at 12 mm bends it to 35.1 MPa", "5.6 lbf (a thumb) at 12 mm bends it to 5091 psi"},
		{"turns with 0.062 N m; holds 0.167 N m", "turns with 8.8 oz in; holds 23.6 oz in"},
		{"4.57 N m/rad and 6 g of flap", "4.57 N m/rad and 0.21 oz of flap"},
		{"warms 2.5 K a second, to 65 °C", "warms 4.5 degF a second, to 149 degF"},
		{"--set launch.bungee.stretch=8 m or stretch=10m", "--set launch.bungee.stretch=8 m or stretch=10m"},
		{"NACA 2409 missing, M3 screws, 5 m² of cloth, 3 mA", "NACA 2409 missing, M3 screws, 5 m² of cloth, 3 mA"},
		{"50 g less; +50 g; 50 kg", "1.8 oz less; +1.8 oz; 110 lb"},
		{"its base of 2.8 cm², 20 cm2 more", "its base of 0.43 in^2, 3.1 in^2 more"},
		{"a field 1000 m higher, 15 K warmer, -10 °C", "a field 3281 ft higher, 27 degF warmer, 14 degF"},
		{"10 to 15 m or 3 m/s^2", "33 to 49 ft or 9.8 ft/s^2"},
		{"at 53 m/s", "at 119 mph"},
		{"no number in it", "no number in it"},
		{"flown 2026-11-28 at 3 min", "flown 2026-11-28 at 3 min"},
	} {
		if got := Retell(k.metric, Imperial); got != k.want {
			t.Errorf("%q: %q, want %q", k.metric, got, k.want)
		}
		if got := Retell(k.metric, Metric); got != k.metric {
			t.Errorf("metric changed: %q", got)
		}
	}
}

// Any text goes in and comes out; told twice it stays.
func FuzzRetell(f *testing.F) {
	for _, s := range []string{"3 m", "3, 4 m/s (2 to 5)", "=3 m", "−5 °C", "0.0 g", "1/2 m", "9999999999999999999999999 km", "3 m²"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		once := Retell(s, Imperial)
		if twice := Retell(once, Imperial); twice != once && !metricLeft(once) {
			t.Errorf("%q: told twice %q, then %q", s, once, twice)
		}
	})
}

// metricLeft tells whether something metric still stands in a text: pieces
// that came together only after the first telling.
func metricLeft(s string) bool { return quantityX.MatchString(s) }
