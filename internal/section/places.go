package section

import "math"

// result reads the converged case.
func (p *couple) result(alpha float64) Point {
	g := make([]float64, p.n)
	for i := range g {
		g[i] = p.sigma(i) * p.st[i].u
	}
	r := Point{Alpha: alpha, Re: p.re, Status: OK}
	r.Cl, r.Cm, r.Ch = p.o.loads(g, alpha)
	w := p.st[p.m-1]
	h := w.m / w.u / w.th
	// Squire and Young, from the end of the computed wake to far behind.
	r.Cd = 2 * w.th * math.Pow(w.u, (5+h)/2)
	var f0, f1 float64
	r.Upper, f0 = p.places(0, alpha)
	r.Lower, f1 = p.places(1, alpha)
	r.Friction = f0 + f1
	return r
}

// places finds transition, bubble and separation of one side, and its
// friction drag.
func (p *couple) places(side int, alpha float64) (SidePlaces, float64) {
	r := SidePlaces{1, 1, 1, 1}
	if t := p.tran[side]; !math.IsNaN(t) {
		r.Transition = between(t, 0, 1)
	}
	sn, cs := math.Sincos(alpha)
	drag, last := 0.0, math.NaN()
	open := false
	for k := range p.count(side) {
		i := p.at(side, k)
		s := p.st[i]
		h, rt := s.m/s.u/s.th, s.u*s.th*p.re
		var cf float64
		if p.kind[i] == laminar {
			cf = 2 * frictionLaminar(h, rt).v
		} else {
			cf = 2 * frictionTurbulent(h, rt).v
		}
		x := between(p.o.x[i], 0, 1)
		switch back := cf < 0; {
		case back && !open && p.kind[i] == laminar:
			open, r.BubbleFrom = true, x
		case back && !open:
			open, r.Separation = true, x
		case !back && open:
			open = false
			if r.Separation < 1 {
				r.Separation = 1 // a patch that closes again
			} else {
				r.BubbleTo = x
			}
		}
		tau := cf * s.u * s.u
		if k > 0 {
			j := p.at(side, k-1)
			along := (p.o.x[i]-p.o.x[j])*cs + (p.o.y[i]-p.o.y[j])*sn
			drag += (tau + last) / 2 * along
		}
		last = tau
	}
	if open && r.Separation == 1 {
		r.Separation, r.BubbleFrom = r.BubbleFrom, 1 // never reattached
	}
	return r, drag
}

// peaks finds largest and least lift by a parabola through the best point
// and its neighbours.
func (p *Polar) peaks() {
	find := func(sign float64) (cl, a float64, st Status) {
		edge := p.edge[0]
		if sign < 0 {
			edge = p.edge[1]
		}
		k := -1
		for i, q := range p.Points {
			if q.Status == OK && (k < 0 || sign*q.Cl > sign*p.Points[k].Cl) {
				k = i
			}
		}
		if k < 0 {
			return math.NaN(), math.NaN(), NotConverged
		}
		if edge.Status == OK && sign*edge.Cl >= sign*p.Points[k].Cl {
			return edge.Cl, edge.Alpha, OK
		}
		if k == 0 || k == len(p.Points)-1 {
			return math.NaN(), math.NaN(), "not within the angles asked for"
		}
		// Where the top is flat, the angle where lift first stops rising.
		for i, n := 1, len(p.Points); i < n-1; i++ {
			j := i
			if sign < 0 {
				j = n - 1 - i
			}
			a, b, c := p.Points[j-1], p.Points[j], p.Points[j+1]
			if a.Status == OK && b.Status == OK && c.Status == OK && sign*b.Cl > 0 && sign*b.Cl >= sign*a.Cl && sign*b.Cl >= sign*c.Cl && b.Cl/p.Points[k].Cl > 0.998 {
				k = j
				break
			}
		}
		m := p.Points[k]
		l, r := p.Points[k-1], p.Points[k+1]
		if sign*m.Cl > 0 && (sign > 0 && r.Status == Stalled && l.Status == OK || sign < 0 && l.Status == Stalled && r.Status == OK) {
			return m.Cl, m.Alpha, OK // the last steady flow; the next angle has none
		}
		if l.Status != OK || r.Status != OK {
			// The highest point that converged, its neighbour did not.
			return m.Cl, m.Alpha, NotConverged
		}
		h0, h1 := m.Alpha-l.Alpha, r.Alpha-m.Alpha
		d0, d1 := (m.Cl-l.Cl)/h0, (r.Cl-m.Cl)/h1
		curve := (d1 - d0) / (h0 + h1)
		slope := (d0*h1 + d1*h0) / (h0 + h1)
		if curve*sign >= 0 {
			return m.Cl, m.Alpha, OK
		}
		x := between(-slope/(2*curve), -h0, h1)
		return m.Cl + x*(slope+curve*x), m.Alpha + x, OK
	}
	p.ClMax, p.AlphaMax, p.MaxStatus = find(1)
	p.ClMin, p.AlphaMin, p.MinStatus = find(-1)
}
