package evidence

import "math"

// ThrottleOver is the mean of the logged throttle (0..1) from t0 to t1 s; ok is
// false when the log has none there.
func (d *Debrief) ThrottleOver(t0, t1 float64) (mean float64, ok bool) {
	if d.Path == nil {
		return math.NaN(), false
	}
	n := 0
	for i := range d.Path.Samples {
		s := &d.Path.Samples[i]
		if s.T < t0 || s.T > t1 {
			continue
		}
		if v := d.Path.Log.Fixes[s.Fix].Throttle; known(v) {
			mean += v
			n++
		}
	}
	if n == 0 {
		return math.NaN(), false
	}
	return mean / float64(n), true
}
