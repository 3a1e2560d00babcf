package report

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func drawCode(t *rapid.T) CardCode {
	f := func(name string, lo, hi float64) float64 {
		if rapid.Bool().Draw(t, name+" known") {
			return rapid.Float64Range(lo, hi).Draw(t, name)
		}
		return math.NaN()
	}
	return CardCode{
		Hash: rapid.StringMatching("[0-9a-f]{16}").Draw(t, "hash"), Seed: rapid.Uint64().Draw(t, "seed"), By: rapid.SampledFrom([]string{"", "hand", "bungee"}).Draw(t, "by"),
		Stretch: f("stretch", 0, 50), Stick: f("stick", -1, 1), NoseUp: f("nose", -1, 1), MotorDelay: f("delay", -5, 20), Wind: f("wind", 0, 30), Gust: f("gust", 0, 40), OffAxis: f("off", -3, 3),
		Odds: f("odds", 0, 1), Low: f("low", 0, 1), High: f("high", 0, 1), Top: f("top", 0, 100), TopL: f("topl", 0, 100), TopH: f("toph", 0, 100),
	}
}

// What is written is read back to the digits printed, in any case and spacing,
// and keeps to the letters of the symbol's alphanumeric mode.
func TestCardCode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCode(t)
		s := c.String()
		if strings.Trim(s, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:") != "" {
			t.Fatalf("%q", s)
		}
		got, err := ParseCardCode(" " + strings.ToLower(s[:len(s)/2]) + "\n" + s[len(s)/2:])
		if err != nil {
			t.Fatal(err)
		}
		if got.Hash != c.Hash || got.Seed != c.Seed || got.By != c.By {
			t.Fatalf("%+v", got)
		}
		for _, f := range cardFields {
			a, b := *f.of(&c), *f.of(&got)
			if math.IsNaN(a) != math.IsNaN(b) || math.Abs(a-b) > 0.5001*f.scale*math.Pow(10, -float64(f.dec)) {
				t.Fatalf("%s: %g became %g", f.key, a, b)
			}
		}
		if again := got.String(); again != s {
			t.Fatalf("%q became %q", s, again)
		}
	})
}

// The check digits find every wrong sign and every two neighbours swapped.
func TestCardCodeSlips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := []byte(drawCode(t).String())
		i := rapid.IntRange(len(cardHead)+1, len(s)-1).Draw(t, "at")
		bad := append([]byte(nil), s...)
		if rapid.Bool().Draw(t, "swap") && i+1 < len(s) {
			bad[i], bad[i+1] = bad[i+1], bad[i]
		} else {
			bad[i] = rapid.SampledFrom([]byte("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-.:")).Draw(t, "sign")
		}
		if string(bad) == string(s) {
			return
		}
		if _, err := ParseCardCode(string(bad)); err == nil {
			t.Fatalf("%q reads though it was %q", bad, s)
		}
	})
}

func FuzzParseCardCode(f *testing.F) {
	f.Add("FLEDGE-CARD-1:H0123:S1:BHAND:L1e9:12")
	f.Add("FLEDGE-CARD-1::::00")
	f.Add(CardCode{Hash: "ab", By: "hand"}.String())
	f.Fuzz(func(t *testing.T, s string) {
		if c, err := ParseCardCode(s); err == nil && c.Hash == "" {
			t.Errorf("%q names no build", s)
		}
	})
}
