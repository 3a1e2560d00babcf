package power

// lineN is the number of stations of a [Line].
const lineN = 91

// Line is the drive over airspeed at one throttle, with one draw's factors
// folded in: what a flight that looks up thousands of times at a steady
// throttle makes once ([Model.Hold]). Its lookup costs less than
// [Model.At] with neutral factors. It holds no pointers but the model's and
// may be used again for the next draw; the zero Line is not held.
type Line struct {
	m                    *Model
	k                    Factors
	d                    drive
	throttle             float64
	duty, gain, heap     float64
	top, step            float64 // m/s; stations per m/s
	omega, thrust, shaft [lineN]float64
}

// Held says whether the line is for this model, throttle and these factors.
func (l *Line) Held(m *Model, throttle float64, k *Factors) bool {
	return l.m == m && m != nil && l.throttle == throttle && l.k == *k
}

// Hold makes l the drive at the launch charge, the throttle (0..1) and the
// factors (nil: neutral). No allocation; as long as some ninety lookups with
// factors.
func (m *Model) Hold(l *Line, throttle float64, k *Factors) {
	if k == nil {
		k = &neutral
	}
	l.m, l.k, l.throttle, l.top = m, *k, throttle, -1
	if m.sheet == nil || !(throttle >= minThrottle && throttle <= 1) {
		return // At asks the model
	}
	l.d = m.driveAtLaunch(k)
	l.duty = l.d.start + (1-l.d.start)*throttle
	off := 1 - l.duty
	l.gain, l.heap = l.duty+l.d.chop*off, l.d.heat*off
	l.top = m.vTop * min(1, k.Advance)
	l.step = (lineN - 1) / l.top
	for i := range lineN {
		p := m.At(l.top*float64(i)/(lineN-1), throttle, k)
		l.omega[i], l.thrust[i], l.shaft[i] = p.Omega, p.Thrust, p.Torque
	}
	// Values into coefficients of a quadratic spline, as in sheet.spline.
	var g [lineN]float64
	for i := 1; i < lineN-1; i++ {
		g[i] = 1 / (6 - g[i-1])
	}
	for _, c := range [...]*[lineN]float64{&l.omega, &l.thrust, &l.shaft} {
		for i := 1; i < lineN-1; i++ {
			c[i] = (8*c[i] - c[i-1]) * g[i]
		}
		for i := lineN - 2; i >= 1; i-- {
			c[i] -= g[i] * c[i+1]
		}
	}
}

// At is [Model.At] at the line's throttle and factors: within 0.3 % of the
// full-throttle values of it (0.03 % but for where the air takes over from the
// motor) and 0.5 % of the direct solution. Beyond the table's airspeed, below
// zero and for a throttle that does not turn the motor it asks the model. Pure, no allocation.
func (l *Line) At(v float64) (p Point) {
	if !(v >= 0 && v <= l.top) {
		return l.m.At(v, l.throttle, &l.k)
	}
	u := v * l.step
	i := min(max(int(u+0.5), 1), lineN-2)
	w0, w1, w2 := quad(u - float64(i))
	w := w0*l.omega[i-1] + w1*l.omega[i] + w2*l.omega[i+1]
	t := w0*l.thrust[i-1] + w1*l.thrust[i] + w2*l.thrust[i+1]
	q := w0*l.shaft[i-1] + w1*l.shaft[i] + w2*l.shaft[i+1]
	c := q*l.d.kv + l.d.iron(w)
	if c < 1e-3 {
		c = 0
	}
	ib := c*(l.gain+l.heap*c) + l.d.idle
	p.Throttle, p.Omega, p.Thrust, p.Torque = l.throttle, w, t, q
	l.m.settle(v, c, l.duty, ib, l.d.voc-l.d.pack*ib, &p)
	return p
}
