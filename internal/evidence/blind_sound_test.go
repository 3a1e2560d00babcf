package evidence

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fledge/internal/track"
)

// pass2 is one passing of a made-up recording: a propeller's row of blade
// tones and its shaft tone on a straight path, heard straight and off the
// ground, with its phase kept by retarded time solved by iteration (nothing
// shared with the fitted curve).
type pass2 struct {
	at, v, d, up float64 // s, m/s, m aside, m up
	blades, rpm  float64
}

func listen(seed uint64, secs, rate, kelvin, hiss, rumble float64, passes []pass2) []float64 {
	rnd := rand.New(rand.NewPCG(seed, 3))
	c := 331.3 * math.Sqrt(kelvin/273.15)
	out := make([]float64, int(secs*rate))
	brown, hum := 0.0, 0.0
	late := make([]float64, 2*len(passes)) // s on the way, of the sample before
	for i := range out {
		t := float64(i) / rate
		x := 0.0
		for k, p := range passes {
			for j, ear := range []float64{1.2, -1.2} { // and its image in the ground
				te := t - late[2*k+j]
				r := 0.0
				for range 4 {
					along := p.v * (te - p.at)
					r = math.Sqrt(along*along + p.d*p.d + (p.up-ear)*(p.up-ear))
					te = t - r/c
				}
				late[2*k+j] = t - te
				g := 8 / r
				if ear < 0 {
					g *= 0.4
				}
				shaft := 2 * math.Pi * p.rpm / 60 * (te - p.at)
				b := p.blades * shaft
				x += g * (0.25*math.Sin(shaft) + math.Sin(b) + 0.55*math.Sin(2*b+1) + 0.3*math.Sin(3*b+2) + 0.15*math.Sin(4*b+0.5))
				// blown air, louder near
				x += g * 0.12 * rnd.NormFloat64()
			}
		}
		brown = 0.999*brown + 0.03*rnd.NormFloat64()
		hum = 0.97*hum + 0.1*rnd.NormFloat64()
		out[i] = 0.15*x + hiss*rnd.NormFloat64() + rumble*(brown+0.3*hum)
	}
	return out
}

// wav writes samples in one of the forms recorders use.
func wav(x []float64, rate, bits, channels int, float bool) []byte {
	var b bytes.Buffer
	le := binary.LittleEndian
	put := func(v ...any) {
		for _, k := range v {
			switch k := k.(type) {
			case string:
				b.WriteString(k)
			default:
				_ = binary.Write(&b, le, k)
			}
		}
	}
	form := uint16(1)
	if float {
		form = 3
	}
	align := bits / 8 * channels
	put("RIFF", uint32(0), "WAVE", "LIST", uint32(6), "INFOab", "fmt ", uint32(16), form, uint16(channels), uint32(rate), uint32(rate*align), uint16(align), uint16(bits), "data", uint32(len(x)*align))
	for _, v := range x {
		v = math.Max(-0.999, math.Min(0.999, v))
		for ch := range channels {
			u := v
			if ch == 1 {
				u *= 0.5 // the far microphone
			}
			switch {
			case float && bits == 32:
				put(float32(u))
			case float:
				put(u)
			case bits == 8:
				put(uint8(math.Round(u*127) + 128))
			case bits == 16:
				put(int16(u * 32767))
			case bits == 24:
				k := int32(u * 8388607)
				put(uint8(k), uint8(k>>8), uint8(k>>16))
			default:
				put(int32(u * 2147483647))
			}
		}
	}
	return b.Bytes()
}

// Every form of recording, quiet and windy, one or several passings: each
// found speed is within 3.5 of its own standard deviations, and none that is
// near enough is missed.
func TestBlindSound(t *testing.T) {
	one := []pass2{{3, 66, 14, 12, 2, 26000}}
	cases := []struct {
		name                 string
		secs, kelvin         float64
		rate, bits, channels int
		float                bool
		hiss, rumble         float64
		passes               []pass2
		blades               int
	}{
		{"16 bit, 44.1 kHz, stereo", 6, 288, 44100, 16, 2, false, 0.01, 0.05, one, 2},
		{"24 bit, 48 kHz", 6, 295, 48000, 24, 1, false, 0.02, 0.1, []pass2{{2.5, 81, 25, 20, 3, 21000}}, 3},
		{"8 bit, 11 kHz", 6, 283, 11025, 8, 1, false, 0.01, 0.02, []pass2{{3, 48, 10, 8, 2, 18000}}, 2},
		{"float, 96 kHz, stereo", 5, 290, 96000, 32, 2, true, 0.01, 0.05, one, 2},
		{"double, 16 kHz", 6, 288, 16000, 64, 1, true, 0.01, 0.05, one, 0},
		{"32 bit, 22 kHz", 6, 278, 22050, 32, 1, false, 0.01, 0.3, []pass2{{3, 58, 30, 15, 2, 23500}}, 2},
		{"wind over everything", 6, 288, 44100, 16, 1, false, 0.05, 0.5, one, 2},
		{"slow", 9, 288, 22050, 16, 1, false, 0.01, 0.05, []pass2{{4.5, 22, 9, 6, 2, 9500}}, 2},
		{"two passings", 26, 293, 22050, 16, 1, false, 0.02, 0.1, []pass2{{6, 70, 15, 12, 2, 27000}, {19, 63, 18, 12, 2, 26200}}, 2},
		{"near the end", 7, 288, 22050, 16, 1, false, 0.01, 0.05, []pass2{{5.6, 60, 15, 10, 2, 24000}}, 2},
		{"close and low", 5, 288, 44100, 16, 1, false, 0.01, 0.05, []pass2{{2.5, 75, 4, 3, 2, 28000}}, 2},
	}
	z, n := 0.0, 0
	for i, k := range cases {
		raw := wav(listen(uint64(i), k.secs, float64(k.rate), k.kelvin, k.hiss, k.rumble, k.passes), k.rate, k.bits, k.channels, k.float)
		s, err := track.ReadWAV(bytes.NewReader(raw))
		if err != nil {
			t.Errorf("%s: %v", k.name, err)
			continue
		}
		rs, err := Flybys(s, SoundOptions{Temperature: k.kelvin, Blades: k.blades})
		if err != nil || len(rs) != len(k.passes) {
			t.Errorf("%s: %d passings, want %d: %v", k.name, len(rs), len(k.passes), err)
			continue
		}
		for j, r := range rs {
			p := k.passes[j]
			z, n = z+sq((r.Speed.Value-p.v)/r.Speed.SD()), n+1
			say := fmt.Sprintf("%s: %.2f ± %.2f, truth %g; %.1f m, truth %.1f; tone %.0f, truth %.0f", k.name, r.Speed.Value, r.Speed.SD(), p.v, r.Distance.Value, math.Hypot(p.d, p.up-1.2), r.Tone.Value, p.blades*p.rpm/60)
			t.Log(say)
			if math.Abs(r.Speed.Value-p.v) > 3.5*r.Speed.SD() || r.Speed.SD() > 0.06*p.v {
				t.Error(say)
			}
			if math.Abs(r.At-p.at) > 0.15 {
				t.Errorf("%s: passed at %.2f s, truth %g", k.name, r.At, p.at)
			}
		}
	}
	t.Logf("mean square of the errors in their doubts: %.2f over %d", z/float64(n), n)
}
