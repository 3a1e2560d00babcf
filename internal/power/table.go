package power

import (
	"math"

	"fledge/internal/num"
)

// tables prepares At: speed, thrust and torque over airspeed and throttle at
// the launch charge, and the propeller's first and second derivatives by
// omega there, from which changed factors are solved.
func (m *Model) tables(o Options) {
	full := m.solve(&m.base, 0, 1)
	m.spool = 0.15
	if full.Torque > 0 {
		m.spool += 0.5 * m.inertia * full.Omega / full.Torque
	}
	m.vTop = o.VTop
	if m.vTop == 0 {
		// Somewhat beyond the speed at which the unloaded propeller stops pulling.
		w := m.base.open(1).e * m.base.kv
		m.vTop = 30
		for m.vTop < 300 {
			if t, _, _ := m.Prop.At(m.vTop, w); t < 0 {
				break
			}
			m.vTop *= 1.1
		}
		m.vTop = math.Min(m.vTop*1.35, 250)
	}
	if o.Plain {
		return
	}
	m.sheet = newSheet(0, m.vTop, 91, minThrottle, 1, 61, func(v, th float64, out *[7]float64) {
		p := m.solve(&m.base, v, th)
		w := p.Omega
		h := math.Max(0.02*w, 1)
		ta, qa, _ := m.Prop.At(v, math.Max(w-h, 0))
		t0, q0, _ := m.Prop.At(v, w)
		tb, qb, _ := m.Prop.At(v, w+h)
		if w < h { // at rest: one-sided
			ta, qa = 2*t0-tb, 2*q0-qb
		}
		*out = [7]float64{
			w, t0, q0,
			(tb - ta) / (2 * h), (tb - 2*t0 + ta) / (2 * h * h),
			(qb - qa) / (2 * h), (qb - 2*q0 + qa) / (2 * h * h),
		}
	})
	m.still = num.NewGrid1(num.Span(0, m.vTop, 201), 1, func(v float64, out []float64) {
		v = math.Max(v, 0.1)
		t, _, _ := m.Prop.At(v, 0)
		out[0] = -t / (v * v)
	})
	m.off = num.NewGrid1(num.Span(0, m.vTop, 401), 2, func(v float64, out []float64) {
		p := m.coast(&m.base, v, 0)
		out[0], out[1] = p.Thrust, p.Omega
	})
}

// Around is the model with its tables made about the factors of a bench fit
// (motor constant, resistances, idle current, torque) instead of about
// neutral, for draws that lie around those; factors still count from the
// parts as they were. m itself when the factors move the speed of rotation by
// less than 3 %.
func (m *Model) Around(k *Factors) *Model {
	at := Neutral()
	at.KV, at.Resistance, at.CellResistance, at.Idle, at.Torque = k.KV, k.Resistance, k.CellResistance, k.Idle, k.Torque
	was, is := m.Solve(0, 1, m.Charge, nil), m.Solve(0, 1, m.Charge, &at)
	if math.Abs(is.Omega-was.Omega) < 0.03*was.Omega {
		return m
	}
	c := *m
	c.base, c.moved = m.drive(m.Charge, &at), true
	c.per = Factors{KV: 1 / at.KV, Resistance: 1 / at.Resistance, CellResistance: 1 / at.CellResistance, Idle: 1 / at.Idle}
	c.tables(Options{Plain: m.sheet == nil})
	return &c
}

// At is [Model.Solve] at the launch charge from a table: within 0.3 % of the
// full-throttle values with neutral factors, 0.5 % with factors that move the
// speed of rotation by up to 10 %. Beyond the table's airspeed, and where the
// factors move the speed of rotation by more than 15 %, it solves directly.
// Pure, no allocation. k nil: neutral.
func (m *Model) At(v, throttle float64, k *Factors) (p Point) {
	if v < 0 && !math.IsInf(v, 0) {
		p = m.At(0, throttle, k)
		p.Flag |= AirFromBehind
		return p
	}
	if !(v >= 0 && v <= m.vTop && throttle >= 0 && throttle <= 1) || m.sheet == nil {
		return m.Solve(v, throttle, m.Charge, k)
	}
	if throttle < minThrottle {
		return m.coasting(v, throttle, k)
	}
	d := &m.base
	if k == nil {
		k = &neutral
	}
	if !m.moved && (k == &neutral || *k == neutral) {
		w, t, q := m.sheet.smooth(v, throttle)
		i := q*d.kv + d.iron(w)
		if i < 1e-3 {
			i = 0
		}
		duty := d.start + (1-d.start)*throttle
		off := 1 - duty
		ib := i*(duty+d.chop*off+d.heat*off*i) + d.idle
		p.Throttle, p.Omega, p.Thrust, p.Torque = throttle, w, t, q
		m.settle(v, i, duty, ib, d.voc-d.pack*ib, &p)
		return p
	}
	vp := v
	if k.Advance != 1 {
		if vp = v / k.Advance; !(vp <= m.vTop) {
			return m.Solve(v, throttle, m.Charge, k)
		}
	}
	// The base drive with the factors, written out: this is the inner loop of
	// every draw. The table first, so that nothing is kept over the calls.
	s0, s1, s2, s3 := m.sheet.slopes(vp, throttle)
	w, t, q := m.sheet.smooth(vp, throttle)
	ohm := k.Resistance * m.per.Resistance
	kv := d.kv * k.KV * m.per.KV
	kt := 1 / kv
	pack := d.pack * k.CellResistance * m.per.CellResistance
	rb := d.rb - d.pack + pack
	duty := d.start + (1-d.start)*throttle
	off := 1 - duty
	voc := d.voc * k.Rest
	gain, heap := duty+d.chop*off, d.heat*ohm*off
	if k.Rest != 1 {
		heap /= k.Rest
	}
	r := d.rm*ohm + duty*gain*rb
	ir := 1 / r
	bend := duty * rb * heap
	idle := k.Idle * m.per.Idle
	i0, i1, i2 := d.i0*idle, d.i1*idle, d.i2*idle
	tau := k.Torque * k.Rho * k.Advance
	if d.lag != 0 {
		r += d.lag * ohm * w
		ir = 1 / r
	}
	// The motor current at the table's speed and its slope; below zero the
	// line that no controller follows, to expand about.
	c := duty*(voc-rb*d.idle) - w*kt
	i, di := c*ir, -kt*ir
	if y := bend * c * ir * ir; y > 0.05 {
		z := math.Sqrt(1 + 4*y)
		i *= 2 / (1 + z)
		di /= z
	} else if y > 0 { // the series of the same, to 1e-4
		y2 := y * y
		i *= (1 - y) + y2*(2-5*y)
		di *= (1 - 2*y) + y2*(6-20*y)
	}
	if d.lag != 0 {
		di *= 1 + d.lag*ohm*i*kv
	}
	// (i - i0(w+x))/kv = tau (q + q1 x + q2 x²), the current linear in x.
	iron := i0 + w*(i1+w*i2)
	i1 += 2 * w * i2
	aa := kt*i2 + tau*s3
	x := root(aa, kt*(i1-di)+tau*s2, kt*(i-iron)-tau*q, w)
	if i+di*x < 0 { // the air drives
		x = root(aa, kt*i1+tau*s2, -kt*iron-tau*q, w)
	}
	if x > 0.15*w || x < -0.15*w {
		return m.Solve(v, throttle, m.Charge, k) // too far to expand
	}
	q = tau * (q + x*(s2+x*s3))
	if i = q*kv + iron + x*(i1+x*i2); i < 1e-3 {
		i = 0
	}
	ib := i*(gain+heap*i) + d.idle
	p.Throttle, p.Omega, p.Thrust, p.Torque = throttle, w+x, k.Thrust*k.Rho*(t+x*(s0+x*s1)), q
	m.settle(v, i, duty, ib, voc-pack*ib, &p)
	return p
}

// root solves c = b x + a x² for the root next to zero, kept within half of w.
func root(a, b, c, w float64) float64 {
	if b <= 0 {
		return 0
	}
	ib := 1 / b
	x := c * ib
	if y := a * x * ib; y > -0.05 && y < 0.05 {
		x *= (1 - y) + y*y*(2-5*y) // the series of the root, to 1e-5
	} else {
		x = 2 * c / (b + math.Sqrt(max(b*b+4*a*c, 0)))
	}
	return min(max(x, -0.5*w), 0.5*w)
}

// driveAtLaunch is drive at the launch charge from the base.
func (m *Model) driveAtLaunch(k *Factors) drive {
	c := m.base
	wire := c.rb - c.pack
	ohm, idle := k.Resistance*m.per.Resistance, k.Idle*m.per.Idle
	c.pack *= k.CellResistance * m.per.CellResistance
	c.rb = c.pack + wire
	c.rm *= ohm
	c.heat *= ohm / k.Rest
	c.voc *= k.Rest
	c.lag *= ohm
	c.kv *= k.KV * m.per.KV
	c.i0 *= idle
	c.i1 *= idle
	c.i2 *= idle
	c.thrust, c.tau, c.adv = k.Thrust*k.Rho, k.Torque*k.Rho*k.Advance, k.Advance
	return c
}

func (m *Model) coasting(v, throttle float64, k *Factors) Point {
	d := &m.base
	var o [2]float64
	if k != nil {
		v /= k.Advance
	}
	m.off.At(v, o[:])
	p := Point{Thrust: o[0], Omega: math.Max(o[1], 0), Current: d.idle, Voltage: d.voc - d.pack*d.idle, Throttle: throttle, Flag: Off | NotTurning}
	if k != nil {
		p.Thrust *= k.Thrust * k.Rho
		p.Voltage = d.voc*k.Rest - d.pack*k.CellResistance*m.per.CellResistance*d.idle
	}
	if p.Omega > 0 {
		p.Torque = -d.iron(p.Omega) / d.kv
		p.Flag = Off | Windmilling
	}
	return p
}

// sheet is a table over two axes: three values by biquadratic splines through
// the stations (C1, third order), four further ones bilinear. Either kind of a
// station fills half a cache line.
type sheet struct {
	x0, ix, y0, iy float64
	nx, ny         int
	c              [][4]float64 // nx rows of ny: spline coefficients in 0..2
	g              [][4]float64 // as many: values
}

// newSheet tabulates f: out[:3] for the splines, out[3:7] bilinear.
func newSheet(x0, x1 float64, nx int, y0, y1 float64, ny int, f func(x, y float64, out *[7]float64)) *sheet {
	s := &sheet{x0: x0, y0: y0, nx: nx, ny: ny, ix: float64(nx-1) / (x1 - x0), iy: float64(ny-1) / (y1 - y0)}
	s.c, s.g = make([][4]float64, nx*ny), make([][4]float64, nx*ny)
	for i := range nx {
		for j := range ny {
			var out [7]float64
			f(x0+float64(i)/s.ix, y0+float64(j)/s.iy, &out)
			copy(s.c[i*ny+j][:3], out[:3])
			copy(s.g[i*ny+j][:], out[3:])
		}
	}
	for k := range 3 {
		for i := range nx {
			s.spline(i*ny, 1, ny, k)
		}
		for j := range ny {
			s.spline(j, ny, nx, k)
		}
	}
	return s
}

// spline turns values into coefficients of a quadratic spline with knots
// midway between the stations: (a + 6 b + c)/8 = value, the coefficients
// beyond the ends in a line with the last two.
func (s *sheet) spline(at, step, n, k int) {
	// The line beyond the ends makes the first and last coefficient the value.
	g := make([]float64, n)
	v := func(i int) *float64 { return &s.c[at+i*step][k] }
	// Thomas algorithm on 1..n-2.
	prev := 0.0
	for i := 1; i < n-1; i++ {
		d := 6 - prev
		g[i] = 1 / d
		rhs := 8 * *v(i)
		*v(i) = (rhs - *v(i - 1)) / d
		prev = g[i]
	}
	for i := n - 2; i >= 1; i-- {
		*v(i) -= g[i] * *v(i + 1)
	}
}

// smooth gives the first three values; x and y must be inside. Written out:
// this is the inner loop of a flight.
func (s *sheet) smooth(x, y float64) (a, b, c float64) {
	u, v := (x-s.x0)*s.ix, (y-s.y0)*s.iy
	// The nearest inner station; near the ends its parabola is used on.
	i := min(max(int(u+0.5), 1), s.nx-2)
	j := min(max(int(v+0.5), 1), s.ny-2)
	p0, p1, p2 := quad(u - float64(i))
	q0, q1, q2 := quad(v - float64(j))
	k := (i-1)*s.ny + j - 1
	e := (*[3][4]float64)(s.c[k:])
	f := (*[3][4]float64)(s.c[k+s.ny:])
	g := (*[3][4]float64)(s.c[k+2*s.ny:])
	a = p0*(q0*e[0][0]+q1*e[1][0]+q2*e[2][0]) + p1*(q0*f[0][0]+q1*f[1][0]+q2*f[2][0]) + p2*(q0*g[0][0]+q1*g[1][0]+q2*g[2][0])
	b = p0*(q0*e[0][1]+q1*e[1][1]+q2*e[2][1]) + p1*(q0*f[0][1]+q1*f[1][1]+q2*f[2][1]) + p2*(q0*g[0][1]+q1*g[1][1]+q2*g[2][1])
	c = p0*(q0*e[0][2]+q1*e[1][2]+q2*e[2][2]) + p1*(q0*f[0][2]+q1*f[1][2]+q2*f[2][2]) + p2*(q0*g[0][2]+q1*g[1][2]+q2*g[2][2])
	return a, b, c
}

// quad gives the spline's weights at t from the station; beyond half a step
// (only past the outermost knots) the line that the end condition means.
func quad(t float64) (w0, w1, w2 float64) {
	if t > 0.5 {
		return 0, 1 - t, t
	}
	if t < -0.5 {
		return -t, 1 + t, 0
	}
	return 0.5 * (0.5 - t) * (0.5 - t), 0.75 - t*t, 0.5 * (0.5 + t) * (0.5 + t)
}

// slopes gives the further four values.
func (s *sheet) slopes(x, y float64) (g0, g1, g2, g3 float64) {
	u, v := (x-s.x0)*s.ix, (y-s.y0)*s.iy
	i := min(max(int(u), 0), s.nx-2)
	j := min(max(int(v), 0), s.ny-2)
	t, r := u-float64(i), v-float64(j)
	a, b := (*[2][4]float64)(s.g[i*s.ny+j:]), (*[2][4]float64)(s.g[(i+1)*s.ny+j:])
	w0, w1, w2, w3 := (1-t)*(1-r), (1-t)*r, t*(1-r), t*r
	g0 = w0*a[0][0] + w1*a[1][0] + w2*b[0][0] + w3*b[1][0]
	g1 = w0*a[0][1] + w1*a[1][1] + w2*b[0][1] + w3*b[1][1]
	g2 = w0*a[0][2] + w1*a[1][2] + w2*b[0][2] + w3*b[1][2]
	g3 = w0*a[0][3] + w1*a[1][3] + w2*b[0][3] + w3*b[1][3]
	return g0, g1, g2, g3
}
