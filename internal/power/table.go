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
	x := num.Span(0, m.vTop, 91)
	y := num.Span(minThrottle, 1, 61)
	g := num.NewGrid2(x, y, 8, func(v, th float64, out []float64) {
		p := m.solve(&m.base, v, th)
		w := p.Omega
		h := math.Max(0.02*w, 1)
		ta, qa, _ := m.Prop.At(v, math.Max(w-h, 0))
		t0, q0, _ := m.Prop.At(v, w)
		tb, qb, _ := m.Prop.At(v, w+h)
		hb := h
		if w < h { // at rest: one-sided
			hb = h
			ta, qa = 2*t0-tb, 2*q0-qb
		}
		out[0], out[1], out[2] = w, t0, q0
		out[3] = (tb - ta) / (2 * hb)
		out[4] = (tb - 2*t0 + ta) / (2 * hb * hb)
		out[5] = (qb - qa) / (2 * hb)
		out[6] = (qb - 2*q0 + qa) / (2 * hb * hb)
	})
	var all [8]float64
	m.grid = num.NewGrid2(x, y, 3, func(v, th float64, out []float64) {
		g.At(v, th, all[:])
		copy(out, all[:3])
	})
	m.slope = num.NewGrid2(x, y, 4, func(v, th float64, out []float64) {
		g.At(v, th, all[:])
		copy(out, all[3:7])
	})
	m.off = num.NewGrid1(num.Span(0, m.vTop, 121), 2, func(v float64, out []float64) {
		p := m.coast(&m.base, v, 0)
		out[0], out[1] = p.Thrust, p.Omega
	})
}

// At is [Model.Solve] at the launch charge from a table: within 0.3 % of the
// full-throttle values with neutral factors, 0.5 % with factors that move the
// speed of rotation by up to 10 %. Beyond the table's airspeed it solves
// directly. Pure, no allocation. k nil: neutral.
func (m *Model) At(v, throttle float64, k *Factors) Point {
	if !(v >= 0 && v <= m.vTop && throttle >= 0 && throttle <= 1) || m.grid == nil {
		return m.Solve(v, throttle, m.Charge, k)
	}
	if throttle < minThrottle {
		return m.coasting(v, throttle, k)
	}
	var o [3]float64
	m.grid.At(v, throttle, o[:])
	w, t, q := o[0], o[1], o[2]
	d := &m.base
	if k == nil || *k == neutral {
		i := q*d.kv + d.iron(w)
		if i < 1e-3 {
			i = 0
		}
		op := d.open(throttle)
		return m.point(d, &op, v, throttle, w, t, q, i)
	}
	var s [4]float64
	m.slope.Linear(v, throttle, s[:])
	c := m.driveAtLaunch(k)
	op := c.open(throttle)
	// (i - i0(w+x))/kv = tau (q + q1 x + q2 x²), the current linear in x.
	kt := 1 / c.kv
	i, di := c.current(&op, w)
	x := quadratic(kt*c.i2+c.tau*s[3], kt*(c.i1+2*w*c.i2-di)+c.tau*s[2], kt*(i-c.iron(w))-c.tau*q, w)
	w += x
	t = c.thrust * (t + x*(s[0]+x*s[1]))
	q = c.tau * (q + x*(s[2]+x*s[3]))
	if i = q*c.kv + c.iron(w); i < 1e-3 {
		i = 0
	}
	return m.point(&c, &op, v, throttle, w, t, q, i)
}

// quadratic solves c = b x + a x² for the root next to zero, kept within
// half of w.
func quadratic(a, b, c, w float64) float64 {
	if b <= 0 {
		return 0
	}
	d := b*b + 4*a*c
	if d < 0 {
		d = 0
	}
	x := 2 * c / (b + math.Sqrt(d))
	return math.Min(math.Max(x, -0.5*w), 0.5*w)
}

// driveAtLaunch is drive at the launch charge from the base.
func (m *Model) driveAtLaunch(k *Factors) drive {
	c := m.base
	wire := c.rb - c.pack
	c.pack *= k.CellResistance
	c.rb = c.pack + wire
	c.rm *= k.Resistance
	c.kv *= k.KV
	c.i0 *= k.Idle
	c.i1 *= k.Idle
	c.i2 *= k.Idle
	c.thrust, c.tau = k.Thrust*k.Rho, k.Torque*k.Rho
	return c
}

func (m *Model) coasting(v, throttle float64, k *Factors) Point {
	d := &m.base
	var o [2]float64
	m.off.At(v, o[:])
	p := Point{Thrust: o[0], Omega: math.Max(o[1], 0), Current: d.idle, Voltage: d.voc - d.pack*d.idle, Throttle: throttle, Flag: Off | NotTurning}
	if k != nil {
		p.Thrust *= k.Thrust * k.Rho
	}
	if p.Omega > 0 {
		p.Torque = -d.iron(p.Omega) / d.kv
		p.Flag = Off | Windmilling
	}
	return p
}
