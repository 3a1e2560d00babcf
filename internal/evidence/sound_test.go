package evidence

import (
	"bytes"
	"math"
	"os"
	"testing"
	"time"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/track"
)

func TestFlybyFile(t *testing.T) {
	raw, err := os.ReadFile(logFile("evidence-flyby1.wav"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := track.ReadWAV(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	t0 := time.Now()
	r, err := Flyby(s, SoundOptions{Temperature: 293.15})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%v %+v", time.Since(t0), *r)
	row := func(n, u string) check.Row {
		return check.Row{Topic: "fly-by sound", Name: "synthetic recording: " + n, Unit: u, Source: cite.Ours.At("evidence-flyby1.wav, truth stated", cite.Derived)}
	}
	why := "the reference's own tolerance (window resolution)"
	row("speed", "m/s").Near(t, r.Speed.Value, 72, check.ModelAbs(1.5, why))
	row("distance", "m").Near(t, r.Distance.Value, 15, check.ModelAbs(1.5, why))
	row("tone", "Hz").Near(t, r.Tone.Value, 520, check.ModelAbs(3, why))
	row("tone before", "Hz").Near(t, r.Approach, 658.036, check.ModelAbs(4, why))
	row("tone after", "Hz").Near(t, r.Recede, 429.834, check.ModelAbs(3, why))
	row("closest emission", "s").Near(t, r.At, 1.5, check.ModelAbs(0.05, why))
}

// synthSound makes the sound of a passing: harmonics, distance decay, noise.
func synthSound(v, d, f0, kelvin, at, length, rate, noise float64, harmonics []float64, seed uint64) *track.Sound {
	c := SoundSpeed(kelvin)
	rnd := newRand(seed)
	n := int(length * rate)
	s := &track.Sound{Rate: rate, Samples: make([]float32, n), Bits: 16, Kinds: 1}
	for i := range s.Samples {
		te := emission(float64(i)/rate-at, v, d, c)
		r := math.Hypot(d, v*te)
		a := 0.0
		for h, g := range harmonics {
			a += g * math.Sin(2*math.Pi*f0*float64(h+1)*te+float64(h))
		}
		s.Samples[i] = float32(0.2*a*d/r + noise*0.2*rnd.NormFloat64())
	}
	return s
}

// The speed is within its interval and within 2.5 % over the range of the
// class: slow and fast, near and far, noise, missing fundamental, 8 to 48 kHz.
func TestFlybySynthetic(t *testing.T) {
	cases := []struct {
		v, d, f0, T, at, len, rate, noise float64
		h                                 []float64
	}{
		{72, 15, 520, 293.15, 1.5, 3, 8000, 0.05, []float64{1, 0.6, 0.4}},
		{45, 30, 350, 283.15, 2.5, 5, 22050, 0.2, []float64{0.5, 1, 0.7, 0.3}},
		{95, 10, 900, 298.15, 1.2, 2.6, 44100, 0.1, []float64{1, 0.5}},
		{60, 40, 650, 288.15, 3, 6, 16000, 0.3, []float64{1, 0.8, 0.5, 0.3}},
		{83, 20, 1050, 290.15, 2, 4, 48000, 0.5, []float64{1, 0.3}},
		{28, 12, 260, 288.15, 2, 5, 8000, 0.1, []float64{1, 1, 1, 0.5}},
		{72, 60, 520, 293.15, 2.5, 5, 11025, 0.1, []float64{1, 0.6, 0.4}},
		{75, 18, 450, 300.15, 20, 40, 8000, 0.1, []float64{1, 0.7, 0.2}},
		{65, 15, 700, 288.15, 1.0, 2.0, 8000, 0.1, []float64{1}},
	}
	in := 0
	for i, k := range cases {
		s := synthSound(k.v, k.d, k.f0, k.T, k.at, k.len, k.rate, k.noise, k.h, uint64(i))
		r, err := Flyby(s, SoundOptions{Temperature: k.T, TemperatureSD: 1})
		if err != nil {
			t.Errorf("case %d: %v", i, err)
			continue
		}
		t.Logf("case %d: %.2f (%.2f..%.2f) want %g; d %.1f want %g; tone %.1f want %g, lines %.0f", i, r.Speed.Value, r.Speed.Low, r.Speed.High, k.v, r.Distance.Value, k.d, r.Tone.Value, k.f0, r.Lines)
		if math.Abs(r.Speed.Value-k.v) > 0.025*k.v {
			t.Errorf("case %d: speed %.2f, want %g", i, r.Speed.Value, k.v)
		}
		if q := r.Tone.Value / k.f0; math.Abs(q-math.Round(q)) > 0.012*q && math.Abs(1/q-math.Round(1/q)) > 0.012/q {
			t.Errorf("case %d: tone %.1f is no harmonic of %g", i, r.Tone.Value, k.f0)
		}
		if r.Speed.Low <= k.v && k.v <= r.Speed.High {
			in++
		}
	}
	if in < len(cases)-2 {
		t.Errorf("the 90 %% interval holds the truth in %d of %d", in, len(cases))
	}
}

// Two passings in one recording, and a claim that one of them does not show.
func TestTwoFlybys(t *testing.T) {
	a := synthSound(70, 15, 600, 288.15, 5, 10, 8000, 0.1, []float64{1, 0.5}, 1)
	b := synthSound(62, 18, 590, 288.15, 6, 12, 8000, 0.1, []float64{1, 0.5}, 2)
	s := *a
	s.Samples = append(append([]float32{}, a.Samples...), b.Samples...)
	rs, err := Flybys(&s, SoundOptions{Temperature: 288.15})
	if err != nil || len(rs) != 2 {
		t.Fatalf("%d passings, %v", len(rs), err)
	}
	if math.Abs(rs[0].Speed.Value-70) > 1 || math.Abs(rs[1].Speed.Value-62) > 1 || math.Abs(rs[1].At-16) > 0.1 {
		t.Errorf("%.2f at %.2f, %.2f at %.2f", rs[0].Speed.Value, rs[0].At, rs[1].Speed.Value, rs[1].At)
	}
	c := Claim{What: "top speed", Value: 60, Unit: "m/s"}
	d := OfSound(&s, rs, nil, Options{Claims: []Claim{c}})
	if d.Claims[0].Status != NotShown {
		t.Errorf("one direction shows a claim: %+v", d.Claims[0])
	}
	d = OfSound(&s, rs, nil, Options{Claims: []Claim{c}, Facts: []Item{TwoFlybys(rs[0], rs[1])}})
	if d.Claims[0].Status != Shown {
		t.Errorf("two directions do not: %+v", d.Claims[0])
	}
}

func TestFlybyRefuses(t *testing.T) {
	rnd := newRand(3)
	white := &track.Sound{Rate: 8000, Samples: make([]float32, 24000)}
	hum := &track.Sound{Rate: 8000, Samples: make([]float32, 24000)}
	silent := &track.Sound{Rate: 8000, Samples: make([]float32, 24000)}
	for i := range white.Samples {
		white.Samples[i] = float32(rnd.NormFloat64() * 0.1)
		hum.Samples[i] = float32(0.3 * math.Sin(2*math.Pi*440*float64(i)/8000))
	}
	for n, s := range map[string]*track.Sound{"noise": white, "hum": hum, "silence": silent, "short": {Rate: 8000, Samples: make([]float32, 100)}} {
		if r, err := Flyby(s, SoundOptions{}); err == nil {
			t.Errorf("%s gave a speed of %.1f ± %.1f m/s", n, r.Speed.Value, r.Speed.SD())
		}
	}
}
