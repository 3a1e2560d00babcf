package evidence

import (
	"fmt"
	"math"
	"slices"

	"fledge/internal/track"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// SoundOptions of a fly-by.
type SoundOptions struct {
	Temperature   float64 // K of the air; 0: 288.15 with 8 K of doubt
	TemperatureSD float64 // K; 0 with a temperature given: 2 K
	Blades        int     // of the propeller; 0 unknown
}

// FlybyResult is one passing in a sound recording.
type FlybyResult struct {
	Speed    Quantity     `json:"speed"`    // over the ground relative to the listener
	Distance Quantity     `json:"distance"` // closest, slant
	Tone     Quantity     `json:"tone"`     // Hz at the source: the lowest of the harmonic row
	At       float64      `json:"at_s"`     // in the recording, of the closest emission
	Approach float64      `json:"approach_tone_hz"`
	Recede   float64      `json:"receding_tone_hz"`
	Lines    []float64    `json:"lines_hz"` // source tones found
	Shafts   []ShaftGuess `json:"shaft"`    // what the tone means for a propeller
	Residual float64      `json:"residual_hz"`
	Points   int          `json:"points"`
	Curve    [][2]float64 `json:"curve"` // time, Hz: the strongest line as heard
	Budget   []Term       `json:"budget"`
	Remarks  []string     `json:"remarks,omitempty"`
	In       Spans        `json:"interval,omitempty"`
}

// ShaftGuess is a shaft speed for a number of blades.
type ShaftGuess struct {
	Blades int     `json:"blades"`
	RPM    float64 `json:"rpm"`
	In     Spans   `json:"interval,omitempty"`
}

// spectra of a stretch of sound.
type spectra struct {
	t    []float64 // centre of each frame
	mag  [][]float64
	df   float64     // Hz a bin
	logs [][]float32 // whitened, on a logarithmic frequency axis, unit norm
	x0   float64     // ln of the first bin's frequency
	dx   float64
}

const (
	loTone, hiTone = 120.0, 3600.0
	logStep        = 0.003
)

// Flyby finds the speed of an aeroplane from the sound of its passing: the
// whole Doppler curve of its propeller's tone and harmonics is fitted (speed,
// distance, time, tone), not only the two ends, which a near listener never
// hears. The loudest passing in the recording is taken. Source of the curve:
// a source on a straight level path in still air. Accuracy on synthetic
// sounds: see the tests. An error says why no passing could be read.
func Flyby(s *track.Sound, o SoundOptions) (*FlybyResult, error) {
	T, uT := o.Temperature, o.TemperatureSD
	var remarks []string
	switch {
	case T <= 0:
		T, uT = 288.15, 8
		remarks = append(remarks, "the air's temperature was not given: 15 °C ± 8 °C is assumed")
	case uT <= 0:
		uT = 2
	}
	c := SoundSpeed(T)
	x, rate := decimate(s.Samples, s.Rate, 9000)
	if float64(len(x)) < 0.6*rate {
		return nil, fmt.Errorf("the recording of %.2g s is too short for a passing", float64(len(x))/rate)
	}
	centre := loudest(x, rate)
	from := max(0, int((centre-3.5)*rate))
	to := min(len(x), int((centre+3.5)*rate))
	sp := analyse(x[from:to], rate, float64(from)/rate)
	if len(sp.t) < 12 {
		return nil, fmt.Errorf("the recording is too short for a passing")
	}
	v, d, t0 := sp.search(c, centre)
	if sp.standsOut(c, v, d, t0) < leastTone {
		// in loud wind the loudest moment need not be the aeroplane's
		if again := sp.tonal(); math.Abs(again-centre) > 0.5 {
			v, d, t0 = sp.search(c, again)
		}
	}
	if sp.standsOut(c, v, d, t0) < leastTone {
		return nil, fmt.Errorf("no tone that falls as a passing aeroplane's does was found")
	}
	r, err := sp.ridge(c, v, d, t0)
	if err != nil {
		return nil, err
	}
	r.Remarks = append(remarks, r.Remarks...)
	// doubt: the fit's own, the speed of sound, the straight still-air path
	vv := r.Speed.Value
	uc := vv * uT / (2 * T)
	um := 0.004 * vv
	fit := r.Speed.SD()
	r.Budget = []Term{{"fit of the curve", fit}, {"speed of sound (temperature)", uc}, {"straight path, still air", um}}
	r.Speed = about(vv, math.Sqrt(fit*fit+uc*uc+um*um), "m/s")
	du := math.Sqrt(sq(r.Distance.SD()) + sq(0.02*r.Distance.Value))
	r.Distance = about(r.Distance.Value, du, "m")
	r.Approach, r.Recede = r.Tone.Value/(1-vv/c), r.Tone.Value/(1+vv/c)
	// What was heard hangs on the fit alone; taken as if its tone and speed erred
	// apart.
	for k, s := range map[string]float64{"approach_tone_hz": 1 - vv/c, "receding_tone_hz": 1 + vv/c} {
		r.In.put(k, r.Tone.Value/s, math.Hypot(r.Tone.SD()/s, r.Tone.Value/(s*s)*fit/c))
	}
	if s.Clipped > max(s.Read, len(s.Samples))/1000 {
		r.Remarks = append(r.Remarks, "the recording is overdriven in places")
	}
	if s.Torn {
		r.Remarks = append(r.Remarks, "the recording ends before its header says")
	}
	blades := []int{2, 3, 4}
	if o.Blades > 0 {
		blades = []int{o.Blades}
	} else {
		r.Remarks = append(r.Remarks, "the same tone fits several numbers of blades: give the blade count for the shaft speed")
	}
	for _, b := range blades {
		g := ShaftGuess{b, 60 * r.Tone.Value / float64(b), Spans{}}
		g.In.put("rpm", g.RPM, 60*r.Tone.SD()/float64(b))
		r.Shafts = append(r.Shafts, g)
	}
	r.Remarks = append(r.Remarks, "the speed is over the ground along the path; which way the wind blew is not in the sound")
	return r, nil
}

// Flybys looks for several passings in one recording: the loudest stretches at
// least four seconds apart, at most twelve. Those that give no speed are left
// out; the error is the first one's when none does. In order of time.
func Flybys(s *track.Sound, o SoundOptions) ([]*FlybyResult, error) {
	const each, most = 4.0, 12
	total := float64(len(s.Samples)) / s.Rate
	if total < 2*each {
		r, err := Flyby(s, o)
		if err != nil {
			return nil, err
		}
		return []*FlybyResult{r}, nil
	}
	// loudness by tenths of a second
	w := max(1, int(s.Rate/10))
	var loud []float64
	for i := 0; i+w <= len(s.Samples); i += w {
		e := 0.0
		for j := i + 1; j < i+w; j++ {
			e += sq(float64(s.Samples[j] - s.Samples[j-1]))
		}
		loud = append(loud, e)
	}
	floor := median(loud)
	var first error
	var out []*FlybyResult
	for n := 0; n < most; n++ {
		at := -1
		for i, e := range loud {
			if e > 0 && (at < 0 || e > loud[at]) {
				at = i
			}
		}
		if at < 0 || n > 0 && loud[at] < 1.5*floor {
			break
		}
		from, to := max(0, (at-40)*w), min(len(s.Samples), (at+40)*w)
		part := *s
		part.Samples = s.Samples[from:to]
		r, err := Flyby(&part, o)
		if err == nil {
			off := float64(from) / s.Rate
			r.At += off
			for i := range r.Curve {
				r.Curve[i][0] += off
			}
			twin := false
			for _, x := range out {
				twin = twin || math.Abs(x.At-r.At) < 2
			}
			if !twin {
				out = append(out, r)
			}
		} else if first == nil {
			first = err
		}
		for i := max(0, at-int(each*10)); i < min(len(loud), at+int(each*10)); i++ {
			loud[i] = 0
		}
	}
	if len(out) == 0 {
		return nil, first
	}
	slices.SortFunc(out, func(a, b *FlybyResult) int {
		if a.At < b.At {
			return -1
		}
		return 1
	})
	return out, nil
}

// Item is the fly-by as evidence.
func (r *FlybyResult) Item() Item {
	return Item{What: "fly-by speed", Value: r.Speed.Value, Sigma: r.Speed.SD(), Unit: "m/s", Window: [2]float64{r.At, r.At}, Method: "Doppler curve of the propeller's sound", Remark: "one direction, over the ground"}
}

// decimate low-passes and thins to about the wanted rate.
func decimate(in []float32, rate, want float64) ([]float64, float64) {
	k := int(rate / want)
	if k < 1 {
		k = 1
	}
	out := make([]float64, 0, len(in)/k+1)
	if k == 1 {
		for _, v := range in {
			out = append(out, float64(v))
		}
		return out, rate
	}
	// windowed sinc, cut at 0.45 of the new rate
	half := 8 * k
	h := make([]float64, 2*half+1)
	sum := 0.0
	for i := range h {
		x := float64(i - half)
		w := 0.54 + 0.46*math.Cos(math.Pi*x/float64(half))
		fc := 0.45 / float64(k)
		if x == 0 {
			h[i] = 2 * fc
		} else {
			h[i] = math.Sin(2*math.Pi*fc*x) / (math.Pi * x)
		}
		h[i] *= w
		sum += h[i]
	}
	for i := half; i+half < len(in); i += k {
		s := 0.0
		for j, w := range h {
			s += w * float64(in[i-half+j])
		}
		out = append(out, s/sum)
	}
	return out, rate / float64(k)
}

// loudest is the time of the loudest half second, s.
func loudest(x []float64, rate float64) float64 {
	w := int(rate / 4)
	best, at := -1.0, 0
	sum := 0.0
	prev := 0.0
	e := make([]float64, len(x))
	for i, v := range x { // first differences: rumble of wind counts little
		e[i] = sq(v - prev)
		prev = v
		sum += e[i]
		if i >= 2*w {
			sum -= e[i-2*w]
		}
		if i >= 2*w-1 && sum > best {
			best, at = sum, i-w
		}
	}
	if best < 0 {
		at = len(x) / 2
	}
	return float64(at) / rate
}

// analyse makes spectra 64 ms wide, 16 ms apart.
func analyse(x []float64, rate, start float64) *spectra {
	n := int(0.064*rate) &^ 1
	hop := int(0.016 * rate)
	pad := 1
	for pad < 4*n {
		pad *= 2
	}
	sp := &spectra{df: rate / float64(pad), x0: math.Log(loTone), dx: logStep}
	hi := math.Min(hiTone, 0.45*rate)
	bins := int((math.Log(hi) - sp.x0) / logStep)
	if bins < 50 {
		return sp
	}
	fft := fourier.NewFFT(pad)
	buf := make([]float64, pad)
	win := make([]float64, n)
	for i := range win {
		win[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	var co []complex128
	for i := 0; i+n <= len(x); i += hop {
		clear(buf)
		for j := 0; j < n; j++ {
			buf[j] = x[i+j] * win[j]
		}
		co = fft.Coefficients(co, buf)
		m := make([]float64, int(hi/sp.df)+3)
		for k := range m {
			m[k] = math.Hypot(real(co[k]), imag(co[k]))
		}
		sp.mag = append(sp.mag, m)
		sp.t = append(sp.t, start+(float64(i)+float64(n)/2)/rate)
		// log axis, log size, less the local mean: lines stay
		l := make([]float64, bins)
		for b := range l {
			f := math.Exp(sp.x0+sp.dx*float64(b)) / sp.df
			k := int(f)
			l[b] = math.Log(1e-9 + m[k] + (f-float64(k))*(m[k+1]-m[k]))
		}
		const side = 25 // ±7.5 %
		out := make([]float32, bins)
		norm := 0.0
		sum := 0.0
		cnt := 0
		a, z := 0, 0
		for b := range l {
			for z < bins && z <= b+side {
				sum += l[z]
				cnt++
				z++
			}
			for a < b-side {
				sum -= l[a]
				cnt--
				a++
			}
			v := l[b] - sum/float64(cnt) - 0.5
			if v > 0 {
				v = math.Min(v, 4)
				out[b] = float32(v)
				norm += v * v
			}
		}
		if norm > 0 {
			k := float32(1 / math.Sqrt(norm))
			for b := range out {
				out[b] *= k
			}
		}
		sp.logs = append(sp.logs, out)
	}
	return sp
}

// sharpness is how well the frames line up when the Doppler curve is taken
// out: one when they are strangers.
func (sp *spectra) sharpness(c, v, d, t0 float64, stride int, acc []float32) float64 {
	n := len(sp.logs[0])
	clear(acc)
	frames := 0
	for i := 0; i < len(sp.t); i += stride {
		shift := math.Log(FlybyTone(sp.t[i]-t0, v, d, 1, c)) / sp.dx
		k := int(math.Floor(shift))
		w := float32(shift - float64(k))
		l := sp.logs[i]
		lo, hi := max(0, -k), min(n, n-k-1)
		for b := lo; b < hi; b++ {
			acc[b] += l[b+k]*(1-w) + l[b+k+1]*w
		}
		frames++
	}
	s := 0.0
	for _, a := range acc[:n] {
		s += float64(a) * float64(a)
	}
	// linear interpolation blurs by the fraction; its mean loss is a constant
	return s / float64(frames)
}

// leastTone is what standsOut must reach: noise alone, searched for the best
// curve, gives 1 to 3.5; a passing that a person hears clearly 10 and more.
const leastTone = 6

// standsOut is how far the strongest tone rises over the rest of the spectrum
// when the curve is taken out, in robust standard deviations of that rest.
func (sp *spectra) standsOut(c, v, d, t0 float64) float64 {
	acc := make([]float32, len(sp.logs[0]))
	sp.sharpness(c, v, d, t0, 1, acc)
	a := make([]float64, len(acc))
	for i, x := range acc {
		a[i] = float64(x)
	}
	mid, top := median(a), 0.0
	for i, x := range a {
		top = math.Max(top, x-mid)
		a[i] = math.Abs(x - mid)
	}
	if top == 0 {
		return 0
	}
	return top / (1.4826 * median(a)) // +Inf: nothing but tones
}

// tonal is the time at which the spectrum stays most like itself from one
// window to the next: where a tone is clearest.
func (sp *spectra) tonal() float64 {
	const apart, around = 5, 12 // frames: windows that share no sound; ± a fifth of a second
	n := len(sp.logs) - apart
	if n < 1 {
		return sp.t[len(sp.t)/2]
	}
	like := make([]float64, n)
	for i := range like {
		for b, x := range sp.logs[i] {
			like[i] += float64(x) * float64(sp.logs[i+apart][b])
		}
	}
	best, at, sum := -1.0, 0, 0.0
	for i := range like {
		sum += like[i]
		if i >= 2*around {
			sum -= like[i-2*around]
		}
		if i >= 2*around-1 && sum > best {
			best, at = sum, i-around
		}
	}
	return sp.t[at+apart/2]
}

// search tries speeds, distances and times, coarse then fine.
func (sp *spectra) search(c, centre float64) (v, d, t0 float64) {
	acc := make([]float32, len(sp.logs[0]))
	best := math.Inf(-1)
	stride := max(1, len(sp.t)/45)
	lo, hi := math.Max(sp.t[0]+0.2, centre-1.6), math.Min(sp.t[len(sp.t)-1]-0.2, centre+1.2)
	for vv := 16.0; vv <= 130; vv *= 1.11 {
		for tau := 0.04; tau < 1.7; tau *= 2 {
			for t := lo; t <= hi; t += math.Max(0.11, tau/2.5) {
				s := sp.sharpness(c, vv, vv*tau, t, stride, acc)
				if s > best {
					best, v, d, t0 = s, vv, vv*tau, t
				}
			}
		}
	}
	p := optimize.Problem{Func: func(x []float64) float64 {
		vv, dd := math.Exp(x[0]), math.Exp(x[1])
		if vv > 0.6*c || vv < 5 || dd < 0.3 || dd > 500 {
			return 0
		}
		return -sp.sharpness(c, vv, dd, x[2], 1, acc)
	}}
	m := &optimize.NelderMead{SimplexSize: 0.06}
	res, err := optimize.Minimize(p, []float64{math.Log(v), math.Log(d), t0}, &optimize.Settings{MajorIterations: 90}, m)
	if err == nil && res != nil {
		v, d, t0 = math.Exp(res.X[0]), math.Exp(res.X[1]), res.X[2]
	}
	return v, d, t0
}

// ridge follows the strongest lines frame by frame and fits the curve to
// their frequencies by least squares.
func (sp *spectra) ridge(c, v, d, t0 float64) (*FlybyResult, error) {
	acc := make([]float32, len(sp.logs[0]))
	sp.sharpness(c, v, d, t0, 1, acc)
	type peak struct{ f, h float64 }
	var peaks []peak
	for b := 2; b+2 < len(acc); b++ {
		if acc[b] > acc[b-1] && acc[b] >= acc[b+1] && acc[b] > acc[b-2] && acc[b] >= acc[b+2] {
			den := acc[b-1] - 2*acc[b] + acc[b+1]
			off := 0.0
			if den != 0 {
				off = clamp(float64(0.5*(acc[b-1]-acc[b+1])/den), -0.5, 0.5)
			}
			peaks = append(peaks, peak{math.Exp(sp.x0 + sp.dx*(float64(b)+off)), float64(acc[b])})
		}
	}
	slices.SortFunc(peaks, func(a, b peak) int {
		switch {
		case a.h > b.h:
			return -1
		case a.h < b.h:
			return 1
		}
		return 0
	})
	if len(peaks) == 0 {
		return nil, fmt.Errorf("no steady tone was found in the sound")
	}
	var lines []float64
	for _, p := range peaks {
		if p.h < 0.35*peaks[0].h || len(lines) >= 6 {
			break
		}
		lines = append(lines, p.f)
	}
	par := append([]float64{v, d, t0}, lines...)
	var used, last int
	var rms float64
	var cov *mat.SymDense
	var curve [][2]float64
	for pass := 0; pass < 6; pass++ {
		type meas struct {
			line int
			t, f float64
			w    float64
		}
		var ms []meas
		width := 0.035
		if pass > 1 {
			width = 0.02
		}
		curve = curve[:0]
		for i, t := range sp.t {
			dop := FlybyTone(t-par[2], par[0], par[1], 1, c)
			slope := math.Abs(FlybyTone(t+0.032-par[2], par[0], par[1], 1, c) - FlybyTone(t-0.032-par[2], par[0], par[1], 1, c))
			for k := 3; k < len(par); k++ {
				want := par[k] * dop
				f, snr := sp.line(i, want, math.Max(width*want, 1.5*sp.df))
				if !known(f) || snr < 3 {
					continue
				}
				// σ: a quarter bin of a 64 ms window, more in noise and when the tone slides
				sd := 2.0 + 8/snr + 0.35*slope*par[k]
				ms = append(ms, meas{k, t, f, 1 / (sd * sd)})
				if k == 3 {
					curve = append(curve, [2]float64{t, f})
				}
			}
		}
		if len(ms) < 20 {
			return nil, fmt.Errorf("the tone is lost in the noise for most of the passing")
		}
		np := len(par)
		scale := 1.0
		for it := 0; it < 30; it++ {
			jtj := mat.NewSymDense(np, nil)
			g := mat.NewVecDense(np, nil)
			var zs []float64
			grad := make([]float64, np)
			for _, m := range ms {
				f0 := par[m.line]
				base := FlybyTone(m.t-par[2], par[0], par[1], f0, c)
				r := m.f - base
				z := math.Abs(r) * math.Sqrt(m.w)
				zs = append(zs, z)
				w := m.w
				if u := z / (4 * scale); u < 1 {
					w *= sq(1 - u*u)
				} else {
					continue
				}
				clear(grad)
				grad[0] = (FlybyTone(m.t-par[2], par[0]+1e-4, par[1], f0, c) - base) / 1e-4
				grad[1] = (FlybyTone(m.t-par[2], par[0], par[1]+1e-4, f0, c) - base) / 1e-4
				grad[2] = (FlybyTone(m.t-par[2]-1e-5, par[0], par[1], f0, c) - base) / 1e-5
				grad[m.line] = base / f0
				for a := 0; a < np; a++ {
					if grad[a] == 0 {
						continue
					}
					g.SetVec(a, g.AtVec(a)+w*grad[a]*r)
					for b := a; b < np; b++ {
						jtj.SetSym(a, b, jtj.At(a, b)+w*grad[a]*grad[b])
					}
				}
			}
			for a := 0; a < np; a++ {
				jtj.SetSym(a, a, jtj.At(a, a)*(1+1e-8)+1e-9)
			}
			var ch mat.Cholesky
			if !ch.Factorize(jtj) {
				return nil, fmt.Errorf("the tone does not change enough to tell a speed")
			}
			var st mat.VecDense
			if ch.SolveVecTo(&st, g) != nil {
				return nil, fmt.Errorf("the tone does not change enough to tell a speed")
			}
			lim := []float64{8, 0.5 * par[1], 0.2}
			size := 0.0
			for a := 0; a < np; a++ {
				x := st.AtVec(a)
				if a < 3 {
					x = clamp(x, -lim[a], lim[a])
				}
				par[a] += x
				if a < 3 {
					size += math.Abs(x)
				}
			}
			par[0] = clamp(par[0], 5, 0.6*c)
			par[1] = clamp(par[1], 0.3, 500)
			slices.Sort(zs)
			scale = math.Max(0.05, 1.4826*zs[len(zs)/2])
			if size < 1e-7 {
				cov = mat.NewSymDense(np, nil)
				_ = ch.InverseTo(cov)
				break
			}
			if it == 29 {
				cov = mat.NewSymDense(np, nil)
				_ = ch.InverseTo(cov)
			}
		}
		// residuals, good points
		used = 0
		ss, sz := 0.0, 0.0
		for _, m := range ms {
			r := m.f - FlybyTone(m.t-par[2], par[0], par[1], par[m.line], c)
			if z := math.Abs(r) * math.Sqrt(m.w); z < 4*scale {
				used++
				ss += r * r
				sz += z * z
			}
		}
		rms = math.Sqrt(ss / float64(max(1, used)))
		// overlapping windows share three quarters of their sound
		f := sz / float64(max(1, used-len(par))) * 5
		for a := 0; a < len(par); a++ {
			for b := a; b < len(par); b++ {
				if cov != nil {
					cov.SetSym(a, b, cov.At(a, b)*f)
				}
			}
		}
		if used == last {
			break
		}
		last = used
	}
	if cov == nil || used < 15 {
		return nil, fmt.Errorf("the tone is lost in the noise for most of the passing")
	}
	t0 = par[2]
	if t0 < sp.t[0] || t0 > sp.t[len(sp.t)-1] {
		return nil, fmt.Errorf("the closest point lies outside the recording")
	}
	// a constant tone is no passing
	if uv := math.Sqrt(cov.At(0, 0)); par[0] < 8 || uv > 0.2*par[0] {
		return nil, fmt.Errorf("the tone does not change enough to tell a speed (%.0f ± %.0f m/s)", par[0], 2*uv)
	}
	r := &FlybyResult{At: t0, Residual: rms, Points: used, Curve: curve, In: Spans{}}
	r.In.put("at_s", t0, math.Sqrt(cov.At(2, 2)))
	r.Speed = about(par[0], math.Sqrt(cov.At(0, 0)), "m/s")
	r.Distance = about(par[1], math.Sqrt(cov.At(1, 1)), "m")
	r.Lines = slices.Clone(par[3:])
	slices.Sort(r.Lines)
	tone, which := fundamental(par[3:])
	utone := math.Sqrt(cov.At(which+3, which+3)) * tone / par[which+3]
	r.Tone = about(tone, utone, "Hz")
	before, after := t0-sp.t[0], sp.t[len(sp.t)-1]-t0
	if tau := par[1] / par[0]; before < 3*tau || after < 3*tau {
		r.Remarks = append(r.Remarks, fmt.Sprintf("the recording holds only %.1f s before and %.1f s after the passing", before, after))
	}
	return r, nil
}

// line finds the spectral peak nearest a wanted frequency: its frequency and
// its height over the mean around it.
func (sp *spectra) line(i int, want, half float64) (f, snr float64) {
	m := sp.mag[i]
	a, b := int((want-half)/sp.df), int((want+half)/sp.df)+1
	if a < 2 || b+2 >= len(m) || want < loTone*0.8 {
		return math.NaN(), 0
	}
	k := a
	for j := a; j <= b; j++ {
		if m[j] > m[k] {
			k = j
		}
	}
	if k == a || k == b {
		return math.NaN(), 0
	}
	x, y, z := math.Log(m[k-1]+1e-12), math.Log(m[k]+1e-12), math.Log(m[k+1]+1e-12)
	off := 0.0
	if den := x - 2*y + z; den < 0 {
		off = clamp(0.5*(x-z)/den, -0.5, 0.5)
	}
	// the floor: median of the bins around, outside the line's own width
	var around []float64
	w := int(40/sp.df) + 2
	for j := max(1, k-4*w); j < min(len(m), k+4*w); j++ {
		if j < k-w || j > k+w {
			around = append(around, m[j])
		}
	}
	return (float64(k) + off) * sp.df, m[k] / (median(around) + 1e-12)
}

// fundamental is the largest tone of which all lines (ordered by strength)
// are multiples within 1 %, at least a third of the strongest; else the
// strongest line itself. It returns the tone and the line it is taken from.
func fundamental(lines []float64) (float64, int) {
	for div := 1; div <= 3; div++ {
		for i, l := range lines {
			f := l / float64(div)
			if f < loTone*0.8 {
				continue
			}
			ok := true
			for _, x := range lines {
				k := math.Round(x / f)
				if k < 1 || math.Abs(x/f-k) > 0.012*k {
					ok = false
				}
			}
			if ok {
				return f, i
			}
		}
	}
	// stray lines: the one with most multiples
	best, at, score := lines[0], 0, 0
	for i, l := range lines {
		n := 0
		for _, x := range lines {
			k := math.Round(x / l)
			if k >= 1 && math.Abs(x/l-k) < 0.012*k {
				n++
			}
		}
		if n > score {
			best, at, score = l, i, n
		}
	}
	return best, at
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
