package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fledge/internal/assess"
)

// CardCode is what the symbol on a flight card carries: the build, the seed
// and the settings, so that a filled card can be tied to the logbook. SI; NaN
// where there is nothing.
type CardCode struct {
	Hash            string // of build and attachments, hexadecimal
	Seed            uint64
	By              string // "bungee", "hand", ""
	Stretch         float64
	Stick           float64 // share of full up stick
	NoseUp          float64 // rad
	MotorDelay      float64
	Wind, Gust      float64
	OffAxis         float64
	Odds, Low, High float64
	Top, TopL, TopH float64
}

// cardFields is the order and scale of the numbers: key letter, unit of one
// in SI, decimals.
var cardFields = []struct {
	key   string
	scale float64
	dec   int
	of    func(*CardCode) *float64
}{
	{"L", 1, 2, func(c *CardCode) *float64 { return &c.Stretch }},
	{"P", 0.01, 0, func(c *CardCode) *float64 { return &c.Stick }},
	{"N", math.Pi / 180, 1, func(c *CardCode) *float64 { return &c.NoseUp }},
	{"M", 1, 2, func(c *CardCode) *float64 { return &c.MotorDelay }},
	{"W", 1, 1, func(c *CardCode) *float64 { return &c.Wind }},
	{"G", 1, 1, func(c *CardCode) *float64 { return &c.Gust }},
	{"A", math.Pi / 180, 0, func(c *CardCode) *float64 { return &c.OffAxis }},
	{"O", 0.01, 1, func(c *CardCode) *float64 { return &c.Odds }},
	{"OL", 0.01, 1, func(c *CardCode) *float64 { return &c.Low }},
	{"OH", 0.01, 1, func(c *CardCode) *float64 { return &c.High }},
	{"V", 1, 1, func(c *CardCode) *float64 { return &c.Top }},
	{"VL", 1, 1, func(c *CardCode) *float64 { return &c.TopL }},
	{"VH", 1, 1, func(c *CardCode) *float64 { return &c.TopH }},
}

const cardHead = "FLEDGE-CARD-1"

// String writes the code in the capitals, digits and signs of the symbol's
// alphanumeric mode, two check digits last (the remainder by 97, as in ISO/IEC
// 7064), so that it can also be typed.
func (c CardCode) String() string {
	parts := []string{cardHead, "H" + strings.ToUpper(c.Hash), "S" + strconv.FormatUint(c.Seed, 10)}
	if c.By != "" {
		parts = append(parts, "B"+strings.ToUpper(c.By))
	}
	for _, f := range cardFields {
		if v := *f.of(&c); !math.IsNaN(v) && !math.IsInf(v, 0) {
			t := strconv.FormatFloat(v/f.scale, 'f', f.dec, 64)
			if strings.Trim(t, "-0.") == "" {
				t = "0"
			}
			parts = append(parts, f.key+t)
		}
	}
	s := strings.Join(parts, ":") + ":"
	return s + fmt.Sprintf("%02d", cardSum(s))
}

func cardSum(s string) (sum int) {
	for _, b := range []byte(s) {
		sum = (sum*10 + int(b)) % 97
	}
	return sum
}

// ParseCardCode reads a code, typed or scanned: spaces and case do not matter.
// The error says what is wrong with it.
func ParseCardCode(text string) (CardCode, error) {
	c := CardCode{}
	for _, f := range cardFields {
		*f.of(&c) = math.NaN()
	}
	s := strings.ToUpper(strings.Join(strings.Fields(text), ""))
	at := strings.LastIndexByte(s, ':')
	if !strings.HasPrefix(s, cardHead+":") || at < len(cardHead) {
		return c, fmt.Errorf("it does not begin with %s", cardHead)
	}
	if got, err := strconv.Atoi(s[at+1:]); err != nil || len(s)-at != 3 || got != cardSum(s[:at+1]) {
		return c, fmt.Errorf("its last two digits do not fit the rest: a sign is missing or misread")
	}
	seen := map[string]bool{}
	for _, part := range strings.Split(s[len(cardHead)+1:at], ":") {
		key := strings.TrimRight(part, "0123456789.-")
		if len(part) > 0 && (part[0] == 'H' || part[0] == 'B') {
			key = part[:1]
		}
		val := strings.TrimPrefix(part, key)
		if key == "" || val == "" || seen[key] {
			return c, fmt.Errorf("%q cannot be read", part)
		}
		seen[key] = true
		switch key {
		case "H":
			if strings.Trim(val, "0123456789ABCDEF") != "" || len(val) > 64 {
				return c, fmt.Errorf("%q is no hash of a build", val)
			}
			c.Hash = strings.ToLower(val)
			continue
		case "B":
			if val != "BUNGEE" && val != "HAND" {
				return c, fmt.Errorf("%q is no way to launch", val)
			}
			c.By = strings.ToLower(val)
			continue
		case "S":
			n, err := strconv.ParseUint(val, 10, 64)
			if err != nil {
				return c, fmt.Errorf("%q is no seed", val)
			}
			c.Seed = n
			continue
		}
		known := false
		for _, f := range cardFields {
			if f.key != key {
				continue
			}
			v, err := strconv.ParseFloat(val, 64)
			if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
				return c, fmt.Errorf("%q is no number", val)
			}
			*f.of(&c), known = v*f.scale, true
		}
		if !known {
			return c, fmt.Errorf("%q is not known", part)
		}
	}
	if c.Hash == "" {
		return c, fmt.Errorf("it names no build")
	}
	return c, nil
}

func (c *CardIn) code() CardCode {
	r := c.Results
	ac := r.Aircraft
	nan := math.NaN()
	out := CardCode{Hash: r.Hash, Seed: r.Seed, By: ac.Launch.By, Stretch: nan, Stick: nan, NoseUp: nan, MotorDelay: nan,
		Wind: ac.Day.Wind, Gust: ac.Day.Gust, OffAxis: ac.Day.OffAxis, Odds: nan, Low: nan, High: nan, Top: nan, TopL: nan, TopH: nan}
	if l := &ac.Launch; l.By != "" {
		out.Stick, out.NoseUp = l.StickPitch, l.Held.NoseUp
		if !l.MotorOff {
			out.MotorDelay = l.MotorDelay
		}
		if l.By == "bungee" {
			out.Stretch = l.Bungee.Stretch
		}
	}
	if q := r.Launch.Odds; r.Launch.Asked && q.Status == "" {
		out.Odds, out.Low, out.High = q.Value, q.Low, q.High
	}
	if q := r.Get(assess.TopSpeed); q.Status == "" {
		out.Top, out.TopL, out.TopH = q.Value, q.Low, q.High
	}
	return out
}
