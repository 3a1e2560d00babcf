package section

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// couple is one case being solved: the layer of all stations and the flow
// round the displaced section. Unknown are the signed mass defects; momentum
// and third equation are eliminated along each side, the shape equation
// gives one row each of the dense system that Newton's method solves.
type couple struct {
	flow
	o    *outline
	w    *wake
	n, m int       // surface nodes, all stations
	base []float64 // inviscid vorticity (surface) and wake speed
	st   []station
	kind []regime  // of the interval that ends at the station
	dead []float64 // dead air behind the base, wake stations
	trip [2]float64
	stag int // last node of the upper side; the lower begins at stag+1
	tau  [2]float64
	tran [2]float64 // transition place, chords; NaN when in the wake

	// work space
	mat, rhs         []float64
	c1, t1, c2, t2   []float64
	res              []float64
	dc, dt, dm, du   []float64
	phi, sheet, bend []float64
	cw, tw           []float64
	links            []link
	joint            join
	relax, cap       float64
	worst            int
	piv              []int
}

func newCouple(o *outline) *couple {
	return &couple{o: o, n: o.n, cap: 1}
}

// set prepares the case for an angle of attack; the layer is kept.
func (p *couple) set(alpha float64, f flow, trip [2]float64) {
	p.flow = f
	p.trip = trip
	p.w = p.o.wakeFor(alpha)
	p.phi = p.o.wakeDirection(alpha, nil)
	m := p.n + p.w.nw
	if m != p.m {
		p.m = m
		p.base = make([]float64, m)
		p.st = make([]station, m)
		p.kind = make([]regime, m)
		p.dead = make([]float64, m)
		p.mat, p.rhs = make([]float64, m*m), make([]float64, m)
		p.c1, p.t1 = make([]float64, m+1), make([]float64, m+1)
		p.c2, p.t2 = make([]float64, m+1), make([]float64, m+1)
		p.res = make([]float64, m)
		p.dc, p.dt, p.dm, p.du = make([]float64, m), make([]float64, m), make([]float64, m), make([]float64, m)
		p.cw, p.tw = make([]float64, m+1), make([]float64, m+1)
		p.links = make([]link, m)
		p.sheet, p.bend = make([]float64, p.w.nw), make([]float64, p.w.nw)
		p.piv = make([]int, m)
		// Dead air closes within 2.5 base heights, smoothly.
		if l := 2.5 * p.o.gap; l > 0 {
			for k := range p.w.nw {
				z := 1 - p.w.s[k]/l
				if z > 0 {
					p.dead[p.n+k] = p.o.gap * z * z * (3 - 2*z)
				}
			}
		}
	}
	sn, cs := math.Sincos(alpha)
	for i := range p.base {
		p.base[i] = cs*p.w.unit[0][i] + sn*p.w.unit[1][i]
	}
}

// sides lists the station order of one side from the stagnation point.
func (p *couple) at(side, k int) int {
	if side == 0 {
		return p.stag - k
	}
	return p.stag + 1 + k
}

func (p *couple) count(side int) int {
	if side == 0 {
		return p.stag + 1
	}
	return p.n - p.stag - 1
}

// sign of the speed against vorticity, and of the mass defect against the
// direction of the arc length.
func (p *couple) sigma(i int) float64 {
	if i < p.n && i > p.stag {
		return -1
	}
	return 1
}

func (p *couple) tauSign(i int) float64 {
	if i <= p.stag {
		return -1
	}
	return 1
}

// Laminar stagnation flow: theta^2 = K nu/B and H, from the closures.
var stagnation = func() (r struct{ k, h float64 }) {
	// (H+2) = (cf/2) x/theta, (1-H) + (cf/2 - 2CD/H*) x/theta = 0.
	lo, hi := 2.0, 2.5
	for range 60 {
		h := (lo + hi) / 2
		f, d := frictionLaminar(h, 1).v, dissipationLaminar(h, 1).v
		if (1-h)*f+(f-d)*(h+2) > 0 {
			lo = h
		} else {
			hi = h
		}
	}
	r.h = (lo + hi) / 2
	r.k = frictionLaminar(r.h, 1).v / (r.h + 2)
	return r
}()

// rate is the strain rate at the stagnation point.
func (p *couple) rate() float64 {
	h := p.o.s[p.stag+1] - p.o.s[p.stag]
	return math.Max(p.st[p.stag].u+p.st[p.stag+1].u, 1e-3) / h
}

// march fills the layer for the speeds of st, station by station; where the
// layer would separate, the shape factor is held and the speed given up.
func (p *couple) march() {
	th := math.Sqrt(stagnation.k / (p.re * p.rate()))
	for side := range 2 {
		i := p.at(side, 0)
		p.st[i] = station{0, th, stagnation.h * th * p.st[i].u, p.st[i].u}
		p.kind[i] = laminar
		state := laminar
		for k := 1; k < p.count(side); k++ {
			a, b := p.at(side, k-1), p.at(side, k)
			state = p.advance(side, a, b, state)
		}
		if state == laminar { // the wake is turbulent
			i := p.at(side, p.count(side)-1)
			_ = i
		}
	}
	p.joinWake()
	for i := p.n + 1; i < p.m; i++ {
		p.advance(2, i-1, i, inWake)
	}
}

// advance marches from a to b and returns the regime behind b.
func (p *couple) advance(side, a, b int, state regime) regime {
	ds := p.gapOf(a, b)
	s := p.st[a]
	u := p.st[b].u
	next := station{s.c, s.th, s.m / s.u * u, u}
	kind := state
	trip := 2.0
	if state == laminar {
		trip = p.tripIn(side, a, b)
		if trip < 1 {
			kind = changing
			next.c = 0.05
		}
	}
	hold := 3.6
	if state != laminar {
		hold = 2.3
	}
	for pass := range 2 {
		ok := p.local(&next, s, kind, ds, trip, p.dead[a], p.dead[b], hold, u)
		if !ok {
			next = station{s.c, s.th, s.m / s.u * u, u}
		}
		if kind == laminar && next.c > p.nCrit && pass == 0 {
			kind = changing
			next = station{0.05, s.th, s.m / s.u * u, u}
			continue
		}
		break
	}
	p.kind[b] = kind
	p.st[b] = next
	if kind == changing {
		return turbulent
	}
	return kind
}

// gapOf is the arc length between neighbouring stations.
func (p *couple) gapOf(a, b int) float64 {
	if b > p.n {
		return p.w.s[b-p.n] - p.w.s[a-p.n]
	}
	return math.Abs(p.o.s[b] - p.o.s[a])
}

// tripIn returns the fraction of the interval where a trip lies: above one
// when behind it, a small fraction when it lies ahead.
func (p *couple) tripIn(side, a, b int) float64 {
	x := p.trip[side]
	if x >= 1 {
		return 2
	}
	xa, xb := p.o.x[a], p.o.x[b]
	if xb < x || xb <= xa {
		return 2
	}
	return math.Max((x-xa)/(xb-xa), 0)
}

// local solves one interval for its downstream station, first with the speed
// given, then with the shape factor held at most hold.
func (p *couple) local(b *station, a station, kind regime, ds, trip, deadA, deadB, hold, u float64) bool {
	start := *b
	for _, inverse := range []bool{false, true} {
		*b = start
		for iter := range 25 {
			ea, eb := p.end(a, 0, deadA), p.end(*b, 4, deadB)
			var r residuals
			if kind == changing {
				r, _ = p.flow.split(ea, eb, fix(ds), trip)
			} else {
				r = p.interval(kind, ea, eb, fix(ds), deadA, deadB)
			}
			var mat [4][5]float64
			for i := range 3 {
				copy(mat[i][:4], r[i].d[4:8])
				mat[i][4] = -r[i].v
			}
			if inverse {
				copy(mat[3][:4], eb.h.d[4:8])
				mat[3][4] = hold - eb.h.v
			} else {
				mat[3][3] = 1
				mat[3][4] = u - b.u
			}
			d, ok := gauss4(&mat)
			if !ok {
				return false
			}
			scale := math.Max(math.Abs(d[1])/b.th, math.Max(math.Abs(d[2])/b.m, math.Abs(d[3])/b.u))
			if kind != laminar {
				scale = math.Max(scale, math.Abs(d[0])/math.Max(b.c, 0.01))
			}
			relax := 1.0
			if scale > 0.3 {
				relax = 0.3 / scale
			}
			b.c += relax * d[0]
			b.th += relax * d[1]
			b.m += relax * d[2]
			b.u += relax * d[3]
			if kind != laminar {
				b.c = math.Min(math.Max(b.c, 1e-4), 0.6)
			}
			h := (b.m/b.u - deadB) / b.th
			if !(b.th > 0 && b.u > 0 && b.m > 0) {
				break
			}
			low := minShapeWake
			if kind != inWake {
				low = minShapeTurbulent
			}
			if h < low {
				b.m = (low*b.th + deadB) * b.u
			}
			if scale < 1e-6 {
				if !inverse && h > hold {
					break
				}
				return true
			}
			if !inverse && iter > 8 && h > hold*1.3 {
				break
			}
		}
	}
	return !math.IsNaN(b.c+b.th+b.m+b.u) && b.th > 0 && b.m > 0 && b.u > 0
}

// gauss4 solves a 4x4 system with partial pivoting.
func gauss4(a *[4][5]float64) (x [4]float64, ok bool) {
	for i := range 4 {
		k := i
		for r := i + 1; r < 4; r++ {
			if math.Abs(a[r][i]) > math.Abs(a[k][i]) {
				k = r
			}
		}
		if !(math.Abs(a[k][i]) > 1e-300) {
			return x, false
		}
		a[i], a[k] = a[k], a[i]
		for r := i + 1; r < 4; r++ {
			f := a[r][i] / a[i][i]
			for c := i; c < 5; c++ {
				a[r][c] -= f * a[i][c]
			}
		}
	}
	for i := 3; i >= 0; i-- {
		v := a[i][4]
		for c := i + 1; c < 4; c++ {
			v -= a[i][c] * x[c]
		}
		x[i] = v / a[i][i]
	}
	return x, true
}

// stressAt is the square root of shear stress a side hands to the wake.
func (p *couple) stressAt(i int) float64 {
	if p.kind[i] == laminar {
		return math.Max(p.startStress(p.end(p.st[i], 0, 0)).v, 1e-3)
	}
	return p.st[i].c
}

// joinWake merges both sides and the base into the first wake station.
func (p *couple) joinWake() {
	a, b := p.st[0], p.st[p.n-1]
	w := &p.st[p.n]
	w.th = a.th + b.th
	w.m = (a.m/a.u + b.m/b.u + p.o.gap) * w.u
	w.c = (p.stressAt(0)*a.th + p.stressAt(p.n-1)*b.th) / w.th
	p.kind[p.n] = inWake
}

// begin sets speeds from the inviscid flow and marches.
func (p *couple) begin() {
	p.stag = p.findStag(p.base)
	for i := range p.st {
		p.st[i] = station{u: math.Max(p.sigma(i)*p.base[i], 0.02)}
	}
	p.march()
}

// findStag returns the node after which the vorticity turns negative.
func (p *couple) findStag(g []float64) int {
	for i := 1; i+2 < p.n; i++ {
		if g[i] > 0 && g[i+1] <= 0 && p.o.x[i] < 0.5 {
			return i
		}
	}
	return -1
}

// regimes walks both sides: recomputes the amplification of the laminar
// stretch, finds the interval of transition, and gives fresh stations of a
// regime a sound third variable.
func (p *couple) regimes() {
	for side := range 2 {
		prev := p.at(side, 0)
		p.st[prev].c = 0
		p.kind[prev] = laminar
		state := laminar
		lag := 0
		for k := 1; k < p.count(side); k++ {
			i := p.at(side, k)
			was := p.kind[i]
			if state == laminar {
				a, b := p.end(p.st[prev], 0, 0), p.end(p.st[i], 4, 0)
				if was != laminar {
					lag++
				}
				n := p.st[prev].c + amplification(a.h.v, a.r.v).v*p.gapOf(prev, i)/a.th.v
				if trip := p.tripIn(side, prev, i); trip < 1 || n > p.nCrit || lag > maxRetreat {
					p.kind[i] = changing
					state = turbulent
					if was == laminar {
						p.st[i].c = math.Min(math.Max(p.startStress(b).v, 0.01), 0.2)
					}
				} else {
					if was == turbulent || was == changing && p.tau[side] < 0.8 {
						p.trimLaminar(prev, i)
					}
					p.kind[i] = laminar
					p.st[i].c = n
				}
			} else {
				p.kind[i] = turbulent
				if was == laminar {
					b := p.end(p.st[i], 4, 0)
					p.st[i].c = math.Min(math.Max(p.turbulent(b, false).equal.v, 0.01), 0.2)
				}
			}
			prev = i
		}
	}
}

// maxRetreat is how many stations transition may move downstream in one
// iteration.
const maxRetreat = 1

// trimLaminar gives a station that transition has just passed on its way
// downstream a laminar profile: the turbulent one it held would stop the
// growth of disturbances and hide transition altogether.
func (p *couple) trimLaminar(prev, i int) {
	a, s := p.st[prev], &p.st[i]
	s.th = a.th * between(math.Pow(a.u/s.u, 2), 1, 1.1)
	s.m = a.m / a.u / a.th * s.th * s.u
}

// newton does one iteration and returns the root mean square of the relative
// changes, NaN when it broke down.
func (p *couple) newton() float64 {
	m := p.m
	p.regimes()
	// Speeds that the present defects induce.
	q := p.rhs
	for i := range m {
		q[i] = p.tauSign(i) * p.st[i].m
	}
	p.bendWake()
	nw := p.w.nw
	for i := range m {
		row := p.w.e[i*m : (i+1)*m]
		p.res[i] = p.sigma(i)*(p.base[i]+dot(p.w.sheet[i*nw:(i+1)*nw], p.sheet)+dot(row, q)) - p.st[i].u
	}
	clear(p.rhs)
	p.tran = [2]float64{math.NaN(), math.NaN()}
	for side := range 2 {
		p.firstRows(side)
		for k := 1; k < p.count(side); k++ {
			a, b := p.at(side, k-1), p.at(side, k)
			p.eliminate(side, a, b)
		}
		// Keep the rows of the trailing edge for the wake.
		if side == 0 {
			p.wakeRows(0)
		} else {
			p.wakeRows(p.n - 1)
		}
	}
	p.wakeClose()
	for i := p.n + 1; i < m; i++ {
		p.eliminate(2, i-1, i)
	}
	lu := blas64.General{Rows: m, Cols: m, Stride: m, Data: p.mat}
	if !lapack64.Getrf(lu, p.piv) {
		return math.NaN()
	}
	substitute(p.mat, p.piv, p.rhs)
	return p.update(p.rhs)
}

// substitute solves for one right-hand side from the factors.
func substitute(lu []float64, piv []int, b []float64) {
	m := len(b)
	for i, j := range piv {
		b[i], b[j] = b[j], b[i]
	}
	for i := 1; i < m; i++ {
		b[i] -= dot(lu[i*m:i*m+i], b[:i])
	}
	for i := m - 1; i >= 0; i-- {
		b[i] = (b[i] - dot(lu[i*m+i+1:(i+1)*m], b[i+1:])) / lu[i*m+i]
	}
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}
