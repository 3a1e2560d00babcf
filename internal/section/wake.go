package section

import (
	"math"
	"sort"
)

// response fills the vorticity response of the surface nodes to the signed
// displacement defect of the surface nodes. Defect is speed times
// displacement thickness, signed by the direction of the arc length; its
// rise along the surface is the source strength, linear between the middles
// of the panels.
func (o *outline) response() {
	if o.resp != nil {
		return
	}
	n := o.n
	b := make([]float64, (n+1)*n)
	for j := 0; j+1 < n; j++ {
		mx, my := (o.x[j]+o.x[j+1])/2, (o.y[j]+o.y[j+1])/2
		first := o.sourceAngles(o.x[j], o.y[j], mx, my, j+1)
		last := o.sourceAngles(mx, my, o.x[j+1], o.y[j+1], j+1)
		for i := range n {
			row := b[i*n : (i+1)*n]
			o.slope(row, j, first[2*i], first[2*i+1]+last[2*i], last[2*i+1])
		}
	}
	for i := range n * n {
		b[i] = -b[i]
	}
	if o.sharp {
		clear(b[(n-1)*n : n*n])
	}
	o.solve(b, n)
	o.resp = b[:n*n]
}

// slope adds to row the influence of panel j whose source strength has the
// weights wa at node j, wm at its middle, wb at node j+1.
func (o *outline) slope(row []float64, j int, wa, wm, wb float64) {
	mid := func(k int, w float64) {
		d := o.s[k+1] - o.s[k]
		row[k+1] += w / d
		row[k] -= w / d
	}
	mid(j, wm)
	node := func(k int, w float64) {
		switch {
		case k == 0:
			mid(0, w)
		case k == o.n-1:
			mid(o.n-2, w)
		default: // by distance between the middles of its neighbours
			h0, h1 := o.s[k]-o.s[k-1], o.s[k+1]-o.s[k]
			mid(k-1, w*h1/(h0+h1))
			mid(k, w*h0/(h0+h1))
		}
	}
	node(j, wa)
	node(j+1, wb)
}

// curve returns the curvature of a wake of direction phi, positive where it
// bends upwards, at its nodes: the turning of the inviscid streamline
// averaged over reach either way.
func (w *wake) curve(phi, out []float64, reach float64) {
	at := func(s float64) float64 {
		k := sort.SearchFloat64s(w.s, s)
		if k == 0 {
			return phi[0]
		}
		if k == w.nw {
			return phi[k-1]
		}
		return phi[k-1] + (phi[k]-phi[k-1])*(s-w.s[k-1])/(w.s[k]-w.s[k-1])
	}
	for k := range w.nw {
		r := math.Max(reach, w.s[max(k, 1)]-w.s[max(k, 1)-1])
		lo, hi := math.Max(w.s[k]-r, 0), w.s[k]+r
		out[k] = (at(hi) - at(lo)) / (hi - lo)
	}
}

// wakeStep is the angle, in radians, to whose multiples the geometry of the
// wake is rounded: it hardly matters and makes results independent of the
// path of a sweep.
const wakeStep = 2 * math.Pi / 180

// wakeFor returns the wake for an angle of attack, at the nearest multiple
// of wakeStep.
func (o *outline) wakeFor(alpha float64) *wake {
	return o.wakeAt(int(math.Round(alpha / wakeStep)))
}

func (o *outline) wakeAt(key int) *wake {
	o.mu.Lock()
	defer o.mu.Unlock()
	if w, ok := o.wakes[key]; ok {
		return w
	}
	w := o.newWake(float64(key) * wakeStep)
	o.wakes[key] = w
	return w
}

// wakeDirection returns the direction of the wake along its nodes, linear
// in the angle of attack between the multiples of wakeStep.
func (o *outline) wakeDirection(alpha float64, out []float64) []float64 {
	f := math.Floor(alpha / wakeStep)
	a := o.wakeAt(int(f))
	out = append(out[:0], a.phi...)
	if w := alpha/wakeStep - f; w > 1e-9 {
		b := o.wakeAt(int(f) + 1)
		for k := range out {
			out[k] += w * (b.phi[k] - out[k])
		}
	}
	return out
}

func (o *outline) newWake(alpha float64) *wake {
	o.response()
	n := o.n
	nw := n/8 + 4
	w := &wake{nw: nw, x: make([]float64, nw), y: make([]float64, nw), s: make([]float64, nw)}
	// Geometric growth from the panel at the trailing edge to one chord.
	first := (o.s[1] - o.s[0] + o.s[n-1] - o.s[n-2]) / 2
	lo, hi := 1.0001, 3.0
	for range 60 {
		r := (lo + hi) / 2
		if first*(math.Pow(r, float64(nw-1))-1)/(r-1) > 1 {
			hi = r
		} else {
			lo = r
		}
	}
	ratio := (lo + hi) / 2
	gam := o.vorticity(alpha)
	sn, cs := math.Sincos(alpha)
	w.x[0], w.y[0] = (o.x[0]+o.x[n-1])/2, (o.y[0]+o.y[n-1])/2
	tx, ty := o.bis[0], o.bis[1]
	step := first
	tang := make([][2]float64, nw)
	tang[0] = [2]float64{tx, ty}
	for k := 1; k < nw; k++ {
		w.x[k], w.y[k] = w.x[k-1]+step*tx, w.y[k-1]+step*ty
		w.s[k] = w.s[k-1] + step
		u, v := o.speedAt(w.x[k], w.y[k], cs, sn, gam)
		tx, ty = unitOf(u, v)
		tang[k] = [2]float64{tx, ty}
		step *= ratio
	}

	m := n + nw
	// Sources of the wake act on the stream function of the surface...
	bw := make([]float64, (n+1)*nw)
	for j := 0; j+1 < nw; j++ {
		mx, my := (w.x[j]+w.x[j+1])/2, (w.y[j]+w.y[j+1])/2
		a := o.sourceAngles(w.x[j], w.y[j], mx, my, 0)
		b := o.sourceAngles(mx, my, w.x[j+1], w.y[j+1], 0)
		for i := range n {
			w.slope(bw[i*nw:(i+1)*nw], j, a[2*i], a[2*i+1]+b[2*i], b[2*i+1])
		}
	}
	for i := range bw {
		bw[i] = -bw[i]
	}
	if o.sharp {
		clear(bw[(n-1)*nw : n*nw])
	}
	o.solve(bw, nw)
	w.e = make([]float64, m*m)
	for i := range n {
		copy(w.e[i*m:], o.resp[i*n:(i+1)*n])
		copy(w.e[i*m+n:], bw[i*nw:(i+1)*nw])
	}
	w.unit[0], w.unit[1] = make([]float64, m), make([]float64, m)
	copy(w.unit[0], o.unit[0])
	copy(w.unit[1], o.unit[1])

	// Curved wake: the deficit of momentum of a layer bent with curvature k
	// leaves a jump of speed -k u (d* + theta) across it, a vortex sheet.
	w.phi = make([]float64, nw)
	for k := range w.phi {
		d := math.Atan2(tang[k][1], tang[k][0])
		w.phi[k] = w.phi[max(k-1, 0)]
		w.phi[k] += math.Remainder(d-w.phi[k], 2*math.Pi)
	}
	gv := make([]float64, (n+1)*nw)
	for j := 0; j+1 < nw; j++ {
		for i := range n {
			pa, pb := vortexPsi(w.x[j], w.y[j], w.x[j+1], w.y[j+1], o.x[i], o.y[i])
			gv[i*nw+j] -= pa
			gv[i*nw+j+1] -= pb
		}
	}
	if o.sharp {
		clear(gv[(n-1)*nw : n*nw])
	}
	gv[n*nw] = 1 // both sides leave with the jump of the sheet
	o.solve(gv, nw)
	w.sheet = make([]float64, m*nw)
	copy(w.sheet, gv[:n*nw])

	// ...and vorticity and all sources on the speed along the wake.
	gw := make([]float64, n)
	for k := 1; k < nw; k++ {
		row := w.e[(n+k)*m : (n+k+1)*m]
		px, py := w.x[k], w.y[k]
		tx, ty := tang[k][0], tang[k][1]
		clear(gw)
		for j := 0; j+1 < n; j++ {
			ua, va, ub, vb := vortexSpeed(o.x[j], o.y[j], o.x[j+1], o.y[j+1], px, py)
			gw[j] += ua*tx + va*ty
			gw[j+1] += ub*tx + vb*ty
		}
		bu, bv := o.baseSpeed(px, py)
		gw[0] += 0.5 * (bu*tx + bv*ty)
		gw[n-1] -= 0.5 * (bu*tx + bv*ty)
		sheet := w.sheet[(n+k)*nw : (n+k+1)*nw]
		for j := 0; j+1 < nw; j++ {
			ua, va, ub, vb := vortexSpeed(w.x[j], w.y[j], w.x[j+1], w.y[j+1], px, py)
			sheet[j] += ua*tx + va*ty
			sheet[j+1] += ub*tx + vb*ty
		}
		for j := range n {
			axpy(gw[j], w.sheet[j*nw:(j+1)*nw], sheet)
			axpy(gw[j], w.e[j*m:(j+1)*m], row)
			w.unit[0][n+k] += gw[j] * o.unit[0][j]
			w.unit[1][n+k] += gw[j] * o.unit[1][j]
		}
		w.unit[0][n+k] += tx
		w.unit[1][n+k] += ty
		for j := 0; j+1 < n; j++ {
			mx, my := (o.x[j]+o.x[j+1])/2, (o.y[j]+o.y[j+1])/2
			a, b := halves(o.x[j], o.y[j], mx, my, o.x[j+1], o.y[j+1], px, py, tx, ty)
			o.slope(row[:n], j, a[0], a[1]+b[0], b[1])
		}
		for j := 0; j+1 < nw; j++ {
			mx, my := (w.x[j]+w.x[j+1])/2, (w.y[j]+w.y[j+1])/2
			a, b := halves(w.x[j], w.y[j], mx, my, w.x[j+1], w.y[j+1], px, py, tx, ty)
			w.slope(row[n:], j, a[0], a[1]+b[0], b[1])
		}
	}
	// The wake starts at the mean of the speeds of both sides; both count
	// downstream, the vorticity of the lower side is negative.
	row := w.e[n*m : (n+1)*m]
	axpy(0.5, w.e[0:m], row)
	axpy(-0.5, w.e[(n-1)*m:n*m], row)
	first0 := w.sheet[n*nw : (n+1)*nw]
	axpy(0.5, w.sheet[0:nw], first0)
	axpy(-0.5, w.sheet[(n-1)*nw:n*nw], first0)
	for k := range w.unit {
		w.unit[k][n] = (w.unit[k][0] - w.unit[k][n-1]) / 2
	}
	return w
}

// halves returns the influence along (tx, ty) of both halves of a panel.
func halves(ax, ay, mx, my, bx, by, px, py, tx, ty float64) (a, b [2]float64) {
	ua, va, ub, vb := sourceSpeed(ax, ay, mx, my, px, py)
	a = [2]float64{ua*tx + va*ty, ub*tx + vb*ty}
	ua, va, ub, vb = sourceSpeed(mx, my, bx, by, px, py)
	return a, [2]float64{ua*tx + va*ty, ub*tx + vb*ty}
}

// slope is outline.slope for the wake.
func (w *wake) slope(row []float64, j int, wa, wm, wb float64) {
	mid := func(k int, f float64) {
		d := w.s[k+1] - w.s[k]
		row[k+1] += f / d
		row[k] -= f / d
	}
	mid(j, wm)
	node := func(k int, f float64) {
		switch {
		case k == 0:
			mid(0, f)
		case k == w.nw-1:
			mid(w.nw-2, f)
		default:
			h0, h1 := w.s[k]-w.s[k-1], w.s[k+1]-w.s[k]
			mid(k-1, f*h1/(h0+h1))
			mid(k, f*h0/(h0+h1))
		}
	}
	node(j, wa)
	node(j+1, wb)
}

// axpy adds a times x to y.
func axpy(a float64, x, y []float64) {
	y = y[:len(x)]
	for i, v := range x {
		y[i] += a * v
	}
}

// wakeReach is the length, in thicknesses of the wake at the trailing edge,
// over which the curvature of the wake is averaged either way: the outer
// flow does not follow bends shorter than the layer is thick. The one
// constant of the solver that is ours; the order of magnitude is all that
// theory gives, and within 0.35 to 1 maximum lift changes by 0.06. Set by
// the maximum lift of four- and five-digit sections at Re 9 million
// (TR-824), not by the model sections.
const wakeReach = 0.35

// bendWake sets the vorticity of the wake from the state of the layer, one
// iteration behind Newton's method.
//
// A layer bent with curvature k has a pressure difference across it smaller
// by k u^2 (d* + theta) than the flow without layer would have: the outer
// flow sees a vortex sheet -k u (d* + theta) on the wake. It takes 3 % off
// the lift at Re 9 million and 6 % at 200,000, more where the trailing edge
// has parted: too much there for a thick section at model Reynolds numbers
// (TestTrailingEdgeParts says why it is not taken side by side). The
// curvature is that of the inviscid streamline, less the
// turn that the growth of the layers has given the outer flow already ahead
// of the trailing edge.
// Source: Lock and Williams, Prog. Aerosp. Sci. 24 (1987); Green 1973.
func (p *couple) bendWake() {
	nw := p.w.nw
	edge := p.st[p.n]
	d := edge.m / edge.u
	thick := edge.th*(3.15+1.72/math.Max(d/edge.th-1, 0.1)) + d
	p.w.curve(p.phi, p.bend, math.Max(0.01, wakeReach*thick))
	rise := func(a, b int) float64 {
		return (p.st[a].m/p.st[a].u - p.st[b].m/p.st[b].u) / p.gapOf(b, a)
	}
	total := p.phi[nw-1] - p.phi[0]
	turned := (rise(2, 6) - rise(p.n-3, p.n-7)) / 2
	left := 0.0
	if total != 0 {
		left = between(1-turned/total, 0, 1)
	}
	for k := range nw {
		s := p.st[p.n+k]
		p.sheet[k] = -left * p.bend[k] * (s.u*s.th + s.m)
	}
}
