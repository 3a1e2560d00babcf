package section

import "math"

// link holds how the eliminated unknowns of a station depend on those of the
// station before and on mass defect and speed at both:
// constant, c before, theta before, m before, u before, m here, u here.
type link struct {
	c, t [7]float64
}

// rows of an eliminated unknown: dc = c[m] + c[:m].q and so on, q the signed
// defects of all stations.

// firstRows sets the rows of the station next to the stagnation point.
func (p *couple) firstRows(side int) {
	m := p.m
	i, j := p.at(side, 0), p.at(1-side, 0)
	th := math.Sqrt(stagnation.k / (p.re * p.rate()))
	s := p.st[i]
	slope := -th / (2 * math.Max(s.u+p.st[j].u, 1e-3))
	clear(p.c1)
	clear(p.t1)
	ei, ej := p.w.e[i*m:(i+1)*m], p.w.e[j*m:(j+1)*m]
	axpy(slope*p.sigma(i), ei, p.t1)
	axpy(slope*p.sigma(j), ej, p.t1)
	p.t1[m] = th - s.th + slope*(p.res[i]+p.res[j])
	// dm - h (u dt + th du) = h th u - m
	row := p.mat[i*m : (i+1)*m]
	clear(row)
	k := stagnation.h
	axpy(-k*s.u, p.t1[:m], row)
	axpy(-k*s.th*p.sigma(i), ei, row)
	row[i] += p.tauSign(i)
	p.rhs[i] = k*s.th*s.u - s.m + k*(s.u*p.t1[m]+s.th*p.res[i])
	scale := 1 / (k * s.th * math.Max(s.u, 0.01))
	for c := range row {
		row[c] *= scale
	}
	p.rhs[i] *= scale
}

// eliminate turns the three equations between a and b into the rows of the
// eliminated unknowns at b and one row of the dense system.
func (p *couple) eliminate(side, a, b int) {
	m := p.m
	ea, eb := p.end(p.st[a], 0, p.dead[a]), p.end(p.st[b], 4, p.dead[b])
	ds := fix(p.gapOf(a, b))
	var r residuals
	if p.kind[b] == changing {
		r, p.tau[side] = p.flow.split(ea, eb, ds, p.tripIn(side, a, b))
		p.tran[side] = p.o.x[a] + p.tau[side]*(p.o.x[b]-p.o.x[a])
	} else {
		r = p.interval(p.kind[b], ea, eb, ds, p.dead[a], p.dead[b])
	}
	// [c2 t2] from momentum (0) and third equation (2).
	m00, m01 := r[0].d[4], r[0].d[5]
	m10, m11 := r[2].d[4], r[2].d[5]
	det := m00*m11 - m01*m10
	if math.Abs(det) < 1e-30 {
		det = math.Copysign(1e-30, det)
	}
	var k link
	in := func(x, z float64, out int) {
		k.c[out] = -(x*m11 - z*m01) / det
		k.t[out] = -(m00*z - m10*x) / det
	}
	in(r[0].v, r[2].v, 0)
	for c := range 4 {
		in(r[0].d[c], r[2].d[c], c+1)
	}
	in(r[0].d[6], r[2].d[6], 5)
	in(r[0].d[7], r[2].d[7], 6)
	p.links[b] = k

	// Shape equation with them put in.
	var s [7]float64
	own := [7]float64{r[1].v, r[1].d[0], r[1].d[1], r[1].d[2], r[1].d[3], r[1].d[6], r[1].d[7]}
	for c := range s {
		s[c] = own[c] + r[1].d[4]*k.c[c] + r[1].d[5]*k.t[c]
	}
	sa, sb := p.sigma(a), p.sigma(b)
	if side == 2 {
		sa, sb = 1, 1
	}
	va, vb := p.w.e[a*m:(a+1)*m], p.w.e[b*m:(b+1)*m]
	row := p.mat[b*m : (b+1)*m]
	c1, t1, c2, t2 := p.c1[:m], p.t1[:m], p.c2[:m], p.t2[:m]
	va, vb = va[:len(row)], vb[:len(row)]
	s4, s6 := s[4]*sa, s[6]*sb
	k4, k6, l4, l6 := k.c[4]*sa, k.c[6]*sb, k.t[4]*sa, k.t[6]*sb
	for j := range row {
		x, y, e, f := c1[j], t1[j], va[j], vb[j]
		row[j] = s[1]*x + s[2]*y + s4*e + s6*f
		c2[j] = k.c[1]*x + k.c[2]*y + k4*e + k6*f
		t2[j] = k.t[1]*x + k.t[2]*y + l4*e + l6*f
	}
	ra, rb, x, y := p.res[a], p.res[b], p.c1[m], p.t1[m]
	ta, tb := p.tauSign(a), p.tauSign(b)
	row[a] += s[3] * ta
	row[b] += s[5] * tb
	c2[a] += k.c[3] * ta
	c2[b] += k.c[5] * tb
	t2[a] += k.t[3] * ta
	t2[b] += k.t[5] * tb
	p.rhs[b] = -(s[0] + s[1]*x + s[2]*y + s[4]*ra + s[6]*rb)
	p.c2[m] = k.c[0] + k.c[1]*x + k.c[2]*y + k.c[4]*ra + k.c[6]*rb
	p.t2[m] = k.t[0] + k.t[1]*x + k.t[2]*y + k.t[4]*ra + k.t[6]*rb
	p.c1, p.c2 = p.c2, p.c1
	p.t1, p.t2 = p.t2, p.t1
}

// join holds the derivatives of the first wake station's c by the two sides.
type join struct {
	c  [2]float64 // by c of the side
	t  [2]float64 // by theta of the side
	c0 float64
	t0 float64
}

// wakeRows adds the rows of the trailing edge of one side to the first wake
// station; wakeClose completes them with the defect equation.
func (p *couple) wakeRows(i int) {
	m := p.m
	side := 0
	if i != 0 {
		side = 1
	}
	s, w := p.st[i], p.st[p.n]
	total := p.st[0].th + p.st[p.n-1].th
	target := (p.stressAt(0)*p.st[0].th + p.stressAt(p.n-1)*p.st[p.n-1].th) / total
	j := &p.joint
	j.c[side] = s.th / total
	if p.kind[i] == laminar {
		j.c[side] = 0
	}
	j.t[side] = (p.stressAt(i) - target) / total
	j.c0, j.t0 = target-w.c, total-w.th
	if side == 0 {
		clear(p.cw)
		clear(p.tw)
		p.cw[m], p.tw[m] = j.c0, j.t0
	}
	axpy(j.c[side], p.c1, p.cw)
	axpy(j.t[side], p.t1, p.cw)
	axpy(1, p.t1, p.tw)
}

func (p *couple) wakeClose() {
	m, n := p.m, p.n
	row := p.mat[n*m : (n+1)*m]
	clear(row)
	w := p.st[n]
	total := w.m / w.u
	r := total - p.o.gap
	add := func(i int, sign float64) {
		s := p.st[i]
		f := sign / (total * s.u)
		row[i] += f * p.tauSign(i)
		axpy(-f*s.m/s.u*p.sigma(i), p.w.e[i*m:(i+1)*m], row)
		p.rhs[n] += f * s.m / s.u * p.res[i]
	}
	p.rhs[n] = 0
	add(n, 1)
	add(0, -1)
	add(n-1, -1)
	r -= p.st[0].m/p.st[0].u + p.st[n-1].m/p.st[n-1].u
	p.rhs[n] -= r / total
	p.c1, p.cw = p.cw, p.c1
	p.t1, p.tw = p.tw, p.t1
}

// update carries the solution q of the dense system back to all unknowns,
// limits the step and applies it. It returns the rms of relative changes.
func (p *couple) update(q []float64) float64 {
	m, n := p.m, p.n
	for i := range m {
		p.dm[i] = p.tauSign(i) * q[i]
		p.du[i] = p.res[i] + p.sigma(i)*dot(p.w.e[i*m:(i+1)*m], q)
	}
	for side := range 2 {
		i, j := p.at(side, 0), p.at(1-side, 0)
		th := math.Sqrt(stagnation.k / (p.re * p.rate()))
		slope := -th / (2 * math.Max(p.st[i].u+p.st[j].u, 1e-3))
		p.dc[i] = 0
		p.dt[i] = th - p.st[i].th + slope*(p.du[i]+p.du[j])
		for k := 1; k < p.count(side); k++ {
			p.carry(p.at(side, k-1), p.at(side, k))
		}
	}
	j := &p.joint
	p.dt[n] = j.t0 + p.dt[0] + p.dt[n-1]
	p.dc[n] = j.c0 + j.c[0]*p.dc[0] + j.c[1]*p.dc[n-1] + j.t[0]*p.dt[0] + j.t[1]*p.dt[n-1]
	for i := n + 1; i < m; i++ {
		p.carry(i-1, i)
	}

	// Largest step that keeps every change within bounds.
	relax, sum, count, big := 1.0, 0.0, 0.0, 0.0
	here := 0
	bound := func(rel, up, down float64) {
		if math.Abs(rel) > big {
			big, p.worst = math.Abs(rel), here
		}
		sum += rel * rel
		count++
		if rel*relax > up {
			relax = up / rel
		} else if rel*relax < -down {
			relax = -down / rel
		}
	}
	for i := range m {
		s := p.st[i]
		d := s.m / s.u
		here = i
		bound(p.dt[i]/s.th, 1.2, 0.5)
		bound((p.dm[i]-d*p.du[i])/s.u/d, 1.2, 0.5)
		bound(p.du[i], 0.3, 0.3)
		if p.kind[i] != laminar {
			bound(p.dc[i]/math.Max(s.c, 0.01), 1.5, 0.6)
		}
	}
	p.relax = relax
	if math.IsNaN(sum) {
		return math.NaN()
	}
	// One bad station must not hold up all others: below a floor the step
	// is cut station by station.
	relax = math.Min(math.Max(relax, 0.15), p.cap)
	for i := range m {
		s := &p.st[i]
		d := s.m / s.u
		d += between(relax*(p.dm[i]-d*p.du[i])/s.u, -0.4*d, 0.8*d)
		s.c += relax * p.dc[i]
		s.th += between(relax*p.dt[i], -0.4*s.th, 0.8*s.th)
		s.u += between(relax*p.du[i], -0.2, 0.2)
		low := minShapeWake
		if i < n {
			low = minShape
			if p.kind[i] != laminar {
				low = minShapeTurbulent
			}
		}
		if p.kind[i] != laminar {
			s.c = between(s.c, 0.004, 0.5)
		}
		if first := i == p.stag || i == p.stag+1; s.u < 0.005 && !first {
			s.u = 0.005
		}
		d = math.Max(d, low*s.th+p.dead[i])
		s.m = d * s.u
	}
	p.moveStag()
	return math.Sqrt(sum / count)
}

func between(v, lo, hi float64) float64 { return math.Min(math.Max(v, lo), hi) }

// carry computes the eliminated unknowns at b from those at a.
func (p *couple) carry(a, b int) {
	k := &p.links[b]
	p.dc[b] = k.c[0] + k.c[1]*p.dc[a] + k.c[2]*p.dt[a] + k.c[3]*p.dm[a] + k.c[4]*p.du[a] + k.c[5]*p.dm[b] + k.c[6]*p.du[b]
	p.dt[b] = k.t[0] + k.t[1]*p.dc[a] + k.t[2]*p.dt[a] + k.t[3]*p.dm[a] + k.t[4]*p.du[a] + k.t[5]*p.dm[b] + k.t[6]*p.du[b]
}

// moveStag shifts the stagnation point where the speed of a station next to
// it has turned round, and keeps the layer there sound.
func (p *couple) moveStag() {
	moved := false
	for range p.n {
		a, b := p.stag, p.stag+1
		if p.st[a].u <= 0 && a > 3 && p.st[b].u > p.st[a].u {
			p.st[a].u = math.Max(-p.st[a].u, 1e-3)
			p.stag--
			moved = true
		} else if p.st[b].u <= 0 && b < p.n-4 {
			p.st[b].u = math.Max(-p.st[b].u, 1e-3)
			p.stag++
			moved = true
		} else {
			break
		}
	}
	for _, i := range []int{p.stag, p.stag + 1} {
		p.st[i].u = math.Max(p.st[i].u, 1e-4)
		if moved {
			th := math.Sqrt(stagnation.k / (p.re * p.rate()))
			p.st[i].th, p.st[i].m, p.st[i].c = th, stagnation.h*th*p.st[i].u, 0
			p.kind[i] = laminar
		}
		p.st[i].m = math.Max(p.st[i].m, 1e-9*p.st[i].u)
	}
}
