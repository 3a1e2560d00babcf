package evidence

import (
	"encoding/json"
	"math"
)

// Spans are the 90 % intervals of a row's numbers, by their keys. What is
// counted, chosen or read off as it stands has none.
type Spans map[string][2]float64

// MarshalJSON writes an end that is not known as null.
func (s Spans) MarshalJSON() ([]byte, error) {
	out := map[string][2]*float64{}
	for k, v := range s {
		out[k] = [2]*float64{finite(v[0]), finite(v[1])}
	}
	return json.Marshal(out)
}

// put keeps the interval of a value with a standard deviation, where both are
// known.
func (s Spans) put(key string, v, sd float64) {
	if known(v) && known(sd) && sd > 0 {
		s[key] = [2]float64{v - z90*sd, v + z90*sd}
	}
}

// atLeast moves the lower end of what cannot be less.
func (s Spans) atLeast(least float64, keys ...string) {
	for _, k := range keys {
		if v, ok := s[k]; ok && v[0] < least {
			s[k] = [2]float64{math.Min(least, v[1]), v[1]}
		}
	}
}

// Half is half the width of an interval as two standard deviations, what is
// printed after ±; ok is false without one.
func (s Spans) Half(key string) (half float64, ok bool) {
	v, ok := s[key]
	return (v[1] - v[0]) / z90, ok
}

// The doubts below are those of the smoothed log by its own noise model
// ([track.Noise]): what is white counts for each sample, the slow error of
// positions and heights for what it changes by over the time between.

// heightSD is the standard deviation of a difference in height of two samples.
func (f *flight) heightSD(i, j int) float64 {
	nz, T := f.p.Noise, math.Abs(f.s[j].T-f.s[i].T)
	white := 0.0
	for _, k := range []int{i, j} {
		white += math.Max(0, sq(f.s[k].HeightSD)-sq(nz.UpDrift))
	}
	return math.Sqrt(white + 2*sq(nz.UpDrift)*(1-math.Exp(-T/nz.DriftTime)))
}

// courseSD is that of a course, rad: half a turn at most.
func courseSD(speed, sd float64) float64 { return math.Min(math.Pi, sd/math.Max(speed, 1e-3)) }

// headedSD is that of the course at a sample: its velocity's, and what a turn
// that begins or ends there turns in half a step.
func (f *flight) headedSD(i int) float64 {
	rate := 0.0
	for k := max(0, i-1); k <= min(len(f.s)-1, i+1); k++ {
		rate = math.Max(rate, math.Abs(f.s[k].TurnRate()))
	}
	return math.Min(math.Pi, math.Hypot(courseSD(f.s[i].Speed(), f.s[i].SpeedSD), rate*math.Min(f.p.Step, 1)/2))
}

const toDeg = 180 / math.Pi

// doubt fills a phase's intervals. The fastest of many noisy samples stands
// high: its lower end allows for that.
func (f *flight) doubt(p *Phase, w *Window, top int) {
	i, j := p.i0, p.i1
	s := Spans{}
	T := p.T1 - p.T0
	s.put("mean_ground_speed_m_s", p.Speed, w.groundSD)
	if p.Air != nil {
		s.put("mean_airspeed_m_s", *p.Air, w.airSD)
	}
	hidden := dopplerBias
	if !f.p.Doppler { // what may happen between two positions
		hidden = 0.45 * math.Min(f.p.Step, 2)
	}
	sd := math.Hypot(f.s[top].SpeedSD, hidden)
	s.put("top_ground_speed_m_s", p.Top, sd)
	n := max(1, int(T/math.Max(0.3, f.p.Step))) // independent moments
	if v, ok := s["top_ground_speed_m_s"]; ok {
		s["top_ground_speed_m_s"] = [2]float64{v[0] - f.s[top].SpeedSD*PeakBias(n), v[1]}
	}
	s.put("end_ground_speed_m_s", p.End, math.Hypot(f.s[j].SpeedSD, hidden))
	s.put("length_m", p.Length, w.groundSD*T)
	turn := math.Hypot(f.headedSD(i), f.headedSD(j))
	if p.Speed > 2 {
		s.put("turned_deg", p.TurnDeg, turn*toDeg)
	}
	if p.Rise != nil {
		h := f.heightSD(i, j)
		s.put("height_change_m", *p.Rise, h)
		if p.Climb != nil {
			s.put("climb_m_s", *p.Climb, h/T)
		}
		if p.Ratio != nil {
			s.put("glide_ratio", *p.Ratio, *p.Ratio*math.Hypot(w.groundSD*T/math.Max(p.Length, 1e-9), h / *p.Rise))
		}
	}
	if t := math.Abs(p.TurnDeg) / toDeg; t > 0 && p.Radius != nil {
		s.put("radius_m", *p.Radius, *p.Radius*math.Hypot(w.groundSD/math.Max(p.Speed, 1e-9), turn/t))
		b := *p.BankDeg / toDeg
		s.put("bank_deg", *p.BankDeg, toDeg*math.Sin(b)*math.Cos(b)*math.Hypot(w.airSD/math.Max(w.Air, 1e-9), turn/t))
	}
	s.atLeast(0, "mean_ground_speed_m_s", "mean_airspeed_m_s", "top_ground_speed_m_s", "end_ground_speed_m_s", "length_m", "radius_m", "bank_deg", "glide_ratio")
	p.In = s
}

// spans are a stretch's intervals.
func (f *flight) spans(w *Window) Spans {
	s := Spans{}
	s.put("ground_speed_m_s", w.Ground, w.groundSD)
	s.put("airspeed_m_s", w.Air, w.airSD)
	s.put("climb_m_s", w.Climb, w.climbSD)
	s.put("excess_power_m_s", w.Excess, w.excessSD)
	nz := f.p.Noise
	n := math.Max(1, float64(w.i1-w.i0+1))
	s.put("height_m", w.Height, math.Sqrt(sq(nz.UpPlace)/n+2*sq(nz.UpDrift)))
	if w.Ground > 2 {
		s.put("course_deg", w.CourseDeg, toDeg*courseSD(w.Ground, w.groundSD))
	}
	s.put("length_m", w.Length, w.groundSD*(w.T1-w.T0))
	sd := 0.0
	for i := w.i0; i <= w.i1; i++ {
		sd = math.Max(sd, f.s[i].SpeedSD)
	}
	s.put("side_acceleration_m_s2", w.MostSide, math.Sqrt2*sd/0.9) // of two velocities some 0.9 s apart
	s.atLeast(0, "ground_speed_m_s", "airspeed_m_s", "length_m", "side_acceleration_m_s2")
	return s
}

// doubtOf fills the intervals of a pass.
func (f *flight) doubtOf(p *Pass, w *Window) {
	all := f.spans(w)
	s := Spans{}
	for _, k := range []string{"height_m", "climb_m_s", "excess_power_m_s", "course_deg"} {
		if v, ok := all[k]; ok {
			s[k] = v
		}
	}
	s.put("timed_speed_m_s", p.Timed, p.u)
	s.put("entry_m", p.Entry, p.Timed*f.p.Step/math.Sqrt(12)+p.u*p.Entry/p.Timed) // it begins at a sample
	s.put("off_line_m", p.Aside, f.s[(p.i0+p.i1)/2].PosSD)
	s.atLeast(0, "entry_m", "timed_speed_m_s")
	p.In = s
}
