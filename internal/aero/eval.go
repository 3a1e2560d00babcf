package aero

import (
	"math"
	"math/bits"
)

// lane is one side of a group in a flow: velocity forward and against the
// normal, forward along the swept span's normal plane (u + t s), speed, lift
// over the speed (circulation times width), effective angle of the deflection,
// and attached profile drag over the velocity (before: the lift coefficient).
type lane struct{ u, n, us, v, lift, de, d float64 }

// pair is a group in a flow: its two sides, the left one idle where there is
// none, the limits of lift, and the surface's drag at the Reynolds number.
// Before the sides are known, lift holds what is alike in both (right) and
// opposed (left), u of the right one the stream's speed.
type pair struct {
	right, left  lane
	hi, lo, drag float64
}

// batch is how many groups go through the passes of Eval together: what a pass
// works out for one does not wait for another, so roots, quotients and table
// look-ups overlap in the processor. Each pass is a function of its own, whose
// numbers all find room in registers.
const batch = 6

// Eval writes the loads of a flow to out. Pure, parallel-safe, without
// allocation; continuous in every argument at any attitude. Factors must not
// be nil. Places in the stream of a turning propeller (a tractor's over wing,
// body and tail, a pusher's over a tail behind it, and what it draws in ahead)
// feel a higher forward speed: what
// follows the axis of the aeroplane (incidence, twist, deflections) grows with
// its square, what follows the angle of attack with its first power (momentum
// theory, along the axis, grown as far as a tube of ring vortices has it; its
// swirl is left out). A flow that is not finite gives zero loads and the flag NotFinite.
// Accuracy: the lattice's in attached flow (3 % of lift with the right
// section slopes), 0.1 of the maximum lift, 15 % of the normal force above
// 30 degrees, 25 % of the drag before calibration.
func (m *Model) Eval(f *Flow, k *Factors, out *Loads) {
	sa, ca, sb, cb := attitude(f.Alpha, f.Beta)
	u, v, w := f.V*ca*cb, f.V*sb, f.V*sa*cb
	if z := ((u + v) + (w + f.P)) + ((f.Q + f.R) + (f.Pitch + f.Roll)) + ((f.Yaw + f.Brake) + (f.Rho + f.Mu)); z-z != 0 {
		*out = Loads{Flag: NotFinite}
		return
	}
	p, q, r := f.P, f.Q, f.R
	var flag Flag

	// Reynolds number: one place in the grid serves all surfaces.
	re := f.V * m.Chord * f.Rho / f.Mu
	if re < 40000 {
		flag |= LowRe
	} else if re > 3e6 {
		flag |= HighRe
	}
	node, x := reynolds(re * m.perRe0)
	bent := x + 0.344*x*(1-x) // nearly the logarithm
	bent *= bent * (3 - 2*bent)

	dp, dr, dy, db := bend(f.Pitch), bend(f.Roll), bend(f.Yaw), 0.0
	if f.Brake != 0 {
		db = bend(f.Brake)
	}
	kc, kl := k.Control, k.Lift
	kd, ku := kl*k.Damping, kl*kc*u
	c0, c1, c2, c3, c4 := kl*u, kl*w, kd*q, ku*dp, ku*db
	v0, v1, v2, v3, v4 := kl*v, kd*p, kd*r, ku*dr, ku*dy

	ge, gd := 0.0, 0.0
	if f.Height < m.groundHi {
		ge, gd = m.near(f.Height)
	}

	load := 0.0   // thrust over q and disc area
	stream := 0.0 // square of the stream's speed at a standstill
	if f.PropOn && m.prop.area > 0 {
		t := max(0, f.Thrust) / (f.Rho * m.prop.area)
		if t-t != 0 {
			*out = Loads{Flag: NotFinite}
			return
		}
		load = t / (0.5*f.V*f.V + 0.1)
		if m.prop.slip {
			stream = 2 * t
		}
	}

	// What the groups' places miss of the lattice's moments.
	restMy := (m.restMy[0]*c0 + m.restMy[1]*c1) + (m.restMy[2]*c2 + m.restMy[3]*c3) + m.restMy[4]*c4
	restMx := (m.restMx[0]*v0 + m.restMx[1]*v1) + (m.restMx[2]*v2 + m.restMx[3]*v3) + m.restMx[4]*v4
	restMz := (m.restMz[0]*v0 + m.restMz[1]*v1) + (m.restMz[2]*v2 + m.restMz[3]*v3) + m.restMz[4]*v4
	restFy := (m.restFy[0]*v0 + m.restFy[1]*v1) + (m.restFy[2]*v2 + m.restFy[3]*v3) + m.restFy[4]*v4
	// Induced drag, and the yaw it makes.
	di := quad(&m.drag, c0, c1, c2, c3) + quad(&m.dragA, v0, v1, v2, v3)
	if ge != 0 {
		di += gd * quad(&m.dragG, c0, c1, c2, c3)
	}
	y := &m.yaw
	yaw := c0*(y[0]*v0+y[1]*v1+y[2]*v2+y[3]*v3) + c1*(y[4]*v0+y[5]*v1+y[6]*v2+y[7]*v3) +
		c3*(y[8]*v0+y[9]*v1+y[10]*v2+y[11]*v3)

	var sum sums
	var split float64 // separated share of the main wing
	var pairs [batch]pair
	for base := 0; base < len(m.groups); base += batch {
		part := m.groups[base:]
		if len(part) > batch {
			part = part[:batch]
		}
		ps := pairs[:len(part)]
		m.limits(part, ps, node, x, k.ClMax, k.Drag)
		deflections(part, ps, kc*f.Pitch, kc*f.Brake, kc*f.Roll, kc*f.Yaw)
		circulation(part, ps, c0, c1, c2, c3, v0, v1, v2, v3, v4)
		if c4 != 0 {
			for i := range part {
				ps[i].right.lift += part[i].b * part[i].gs[4] * c4
			}
		}
		if ge != 0 {
			for i := range part {
				g := &part[i]
				ps[i].right.lift += g.b * ge * ((g.eg[0]*c0 + g.eg[1]*c1) + (g.eg[2]*c2 + g.eg[3]*c3) + g.eg[4]*c4)
			}
		}
		if stream != 0 {
			for i := range part {
				g := &part[i]
				if g.slip == 0 {
					continue
				}
				uS := u + q*g.z
				du := inStream(uS, stream*g.slip) - uS
				o := &m.own[base+i]
				ps[i].right.u = du
				ps[i].right.lift += g.b * kl * du * (o[0] + kc*(o[1]*dp+o[2]*db))
				ps[i].left.lift += g.b * kl * du * kc * (o[3]*dr + o[4]*dy)
			}
		}
		apart := sides(part, ps, u, v, w, p, q, r)
		profiles(part, ps, node, bent)
		forces(part, ps, apart, &sum)
		for ; apart != 0; apart &= apart - 1 {
			i := bits.TrailingZeros(apart)
			split += stalled(&part[i], &ps[i], &sum, &flag)
		}
	}
	fx, fy, fz, mx, my, mz := sum.fx, sum.fy, sum.fz, sum.mx, sum.my, sum.mz
	fa := 1 - split
	if split > 1./3 {
		flag = flag&^TipStall | Stalled
	}
	// The lattice's rest and the induced drag act on what is attached.
	my += u * fa * restMy
	mx += u * fa * restMx
	mz += fa * (u*restMz + k.Induced*yaw)
	fy += u * fa * restFy
	fx -= fa * k.Induced * di
	// Sections, doubts of trim and neutral point.
	uf := 0.5 * u * math.Abs(u) * fa
	my += uf * (m.cm0 + k.Cm0*m.Area*m.Chord)
	fz -= uf * k.CL0 * m.Area
	if k.NP != 0 {
		my -= 0.5 * u * w * fa * m.Area * m.clAlpha * k.NP
	}
	mx += 0.5 * u * v * fa * m.Area * m.Span * k.Dihedral
	// Body.
	my += u * w * m.munkY
	mz += u * v * m.munkZ
	side := m.bodyY * f.V * v
	fy += side
	mz += m.bodyAt.X * side
	mx -= m.bodyAt.Z * side
	a, b := &m.cross[0], &m.cross[1]
	ay, az := v+r*a.x-p*a.z, w-q*a.x
	by, bz := v+r*b.x-p*b.z, w-q*b.x
	va, vb := math.Sqrt(ay*ay+az*az+1e-9), math.Sqrt(by*by+bz*bz+1e-9)
	ay, az = a.side*va*ay, a.plan*va*az
	by, bz = b.side*vb*by, b.plan*vb*bz
	fy -= ay + by
	fz -= az + bz
	mx += a.z*ay + b.z*by
	my += a.x*az + b.x*bz
	mz -= a.x*ay + b.x*by
	if f.PropOn && m.prop.area > 0 {
		// The propeller's force across its axis.
		d := &m.prop
		s := 0.5 * d.area * d.side * inflow(load) * math.Sqrt(u*u+v*v+w*w+1e-9)
		gy := -s * (v - u*d.right + r*d.at.X - p*d.at.Z)
		gz := -s * (w*d.up - u*d.down - q*d.at.X + p*d.at.Y)
		fy += gy
		fz += gz
		// The stream along the body.
		gx := -0.5 * d.scrub * k.Drag * stream
		fx += gx
		mx += d.at.Y*gz - d.at.Z*gy
		my += d.at.Z*gx - d.at.X*gz
		mz += d.at.X*gy - d.at.Y*gx
	}
	// Drag without lift: body and friction, small parts, deflections.
	area := (m.body.at(node, x)+m.fixed)*k.Drag + k.DragArea +
		m.young[0]*dp*dp + m.young[1]*dr*dr + m.young[2]*dy*dy + m.young[3]*db*db
	h := -0.5 * f.V * area
	gx, gy, gz := h*u, h*v, h*w
	fx += gx
	fy += gy
	fz += gz
	mx += m.fixedAt.Y*gz - m.fixedAt.Z*gy
	my += m.fixedAt.Z*gx - m.fixedAt.X*gz
	mz += m.fixedAt.X*gy - m.fixedAt.Y*gx

	if ca*cb < 0.90630779 && (ca < 0.90630779) {
		flag |= BeyondAlpha
	}
	if math.Abs(sb) > 0.34202014 || cb < 0 {
		flag |= BeyondBeta
	}
	if math.Abs(f.Pitch) > 0.611 || math.Abs(f.Roll) > 0.611 || math.Abs(f.Yaw) > 0.611 || math.Abs(f.Brake) > 0.611 {
		flag |= BeyondControl
	}
	rho := f.Rho
	out.F.X, out.F.Y, out.F.Z = rho*fx, rho*fy, rho*fz
	out.M.X, out.M.Y, out.M.Z = rho*mx, rho*my, rho*mz
	out.Flag = flag
}

// sums are forces and moments per unit density.
type sums struct{ fx, fy, fz, mx, my, mz float64 }

// circulation starts the pairs: lift over the speed, of the nine columns that
// are seldom zero.
func circulation(gs []group, ps []pair, c0, c1, c2, c3, v0, v1, v2, v3, v4 float64) {
	ps = ps[:len(gs)]
	for i := range gs {
		c, l := &gs[i].lift, &ps[i]
		l.right.lift = (c[0]*c0 + c[1]*c1) + (c[2]*c2 + c[3]*c3)
		l.left.lift = (c[4]*v0 + c[5]*v1) + (c[6]*v2 + c[7]*v3) + c[8]*v4
		l.right.u = 0
	}
}

// limits is the lift at which separation starts and the drag of the surfaces.
func (m *Model) limits(gs []group, ps []pair, node int, x, most, drag float64) {
	ps = ps[:len(gs)]
	surface := -1
	var up, low, d float64
	for i := range gs {
		g, l := &gs[i], &ps[i]
		if g.surface != surface {
			surface = g.surface
			s := &m.skins[surface]
			up, low, d = s.up.at(node, x)*most, s.low.at(node, x)*most, s.drag.at(node, x)*drag
		}
		l.hi, l.lo, l.drag = g.hi*up, g.lo*low, d
	}
}

// deflections is the effective angle of the flaps.
func deflections(gs []group, ps []pair, pitch, brake, roll, yaw float64) {
	ps = ps[:len(gs)]
	for i := range gs {
		g, l := &gs[i], &ps[i]
		l.right.de, l.left.de = 0, 0
		if g.flapped {
			s, a := g.dp*pitch+g.db*brake, g.dr*roll+g.dy*yaw
			l.right.de, l.left.de = s+a, s-a
		}
	}
}

// sides is how each side moves, and its lift. It returns as bits the groups
// whose flow is not attached on both sides.
func sides(gs []group, ps []pair, u, v, w, p, q, r float64) (apart uint) {
	ps = ps[:len(gs)]
	for i := range gs {
		g, l := &gs[i], &ps[i]
		a, b := &l.right, &l.left
		uS, uA := u+q*g.z+a.u, r*g.y
		wx, vx := w-q*g.x, v+r*g.x
		nS, nA := g.nz*wx, g.np*p-g.ny*vx
		sS, sA := g.tny*wx, g.tnz*vx-g.tnq*p // outward, times t
		uR, uL, nR, nL := uS-uA, uS+uA, nS+nA, nS-nA
		a.u, a.n, a.us = uR, nR, uR+(sS+sA)
		b.u, b.n, b.us = uL, nL, uL+(sS-sA)
		vR, vL := math.Sqrt(uR*uR+nR*nR+1e-6), math.Sqrt(uL*uL+nL*nL+1e-6)
		inv := g.per / (vR * vL)
		a.v, b.v = vR, vL
		gR, gL := a.lift+b.lift, a.lift-b.lift
		a.lift, b.lift = gR, gL
		clR, clL := gR*(inv*vL), gL*(inv*vR)
		a.d, b.d = clR, clL
		xR, xL := clR-g.half1*a.de, clL-g.half1*b.de
		if !g.twin {
			b.lift, b.d = 0, 0
			xL, uL = xR, vL
		}
		if !(xR <= l.hi && xR >= l.lo && xL <= l.hi && xL >= l.lo && uR >= 0.8*vR && uL >= 0.8*vL) {
			apart |= 1 << i
		}
	}
	return apart
}

// profiles is the profile drag over the velocity.
func profiles(gs []group, ps []pair, node int, bent float64) {
	ps = ps[:len(gs)]
	for i := range gs {
		g, l := &gs[i], &ps[i]
		l.right.d = l.drag * l.right.v * g.profile(l.right.d, node, bent)
		if g.twin {
			l.left.d = l.drag * l.left.v * g.profile(l.left.d, node, bent)
		}
	}
}

// forces adds the groups whose flow is attached on both sides.
func forces(gs []group, ps []pair, apart uint, t *sums) {
	ps = ps[:len(gs)]
	var fx, fy, fz, mx, my, mz float64
	for i := range gs {
		g, l := &gs[i], &ps[i]
		a, b := &l.right, &l.left
		if apart&(1<<i) != 0 {
			continue
		}
		// Sums and differences of the normal, forward and outward forces.
		wR, wL := a.lift*a.n, b.lift*b.n
		fnR, fnL := a.lift*a.us+a.d*a.n, b.lift*b.us+b.d*b.n
		ffR, ffL := wR-a.d*a.u, wL-b.d*b.u
		fnS, ffS, wS := fnR+fnL, ffR+ffL, wR+wL
		fnA, ffA, wA := fnR-fnL, ffR-ffL, wR-wL
		gy, gz := fnA*g.ny+wA*g.tnz, wS*g.tny-fnS*g.nz
		fx += ffS
		fy += gy
		fz += gz
		mx -= fnA*g.np + wA*g.tnq
		my += g.z*ffS - g.x*gz
		mz += g.x*gy - g.y*ffA
	}
	t.fx += fx
	t.fy += fy
	t.fz += fz
	t.mx += mx
	t.my += my
	t.mz += mz
}

// stalled adds a group of which a side is separated, or about to be, and
// returns its separated share of the main wing.
func stalled(g *group, l *pair, t *sums, flag *Flag) (split float64) {
	fnR, ffR, wR, cpR, atR := g.side(&l.right, l.hi, l.lo, l.drag)
	var fnL, ffL, wL, cpL float64
	atL := 1.0
	if g.twin {
		fnL, ffL, wL, cpL, atL = g.side(&l.left, l.hi, l.lo, l.drag)
	}
	if g.main {
		split = (1 - atR) * g.half
		if g.twin {
			split += (1 - atL) * g.half
		}
		if g.tip && g.twin && (atR < 0.5 || atL < 0.5) {
			*flag |= TipStall
		}
	} else if atR < 0.5 || atL < 0.5 {
		*flag |= TailStalled
	}
	fnS, ffS, wS := fnR+fnL, ffR+ffL, wR+wL
	fnA, ffA, wA := fnR-fnL, ffR-ffL, wR-wL
	gy, gz := fnA*g.ny+wA*g.tnz, wS*g.tny-fnS*g.nz
	t.fx += ffS
	t.fy += gy
	t.fz += gz
	t.mx -= fnA*g.np + wA*g.tnq
	t.my += g.z*ffS - g.x*gz - (cpR+cpL)*g.nz
	t.mz += g.x*gy - g.y*ffA - (cpR-cpL)*g.ny
	return split
}

// side is one side of a group, stalled or not: normal and forward force, the
// circulation's part of the forward force and the moment of the plate about
// the quarter chord, per unit density, and the attached share.
func (g *group) side(l *lane, hi, lo, drag float64) (fn, ff, lean, cp, at float64) {
	ux, wn, speed := l.u, l.n, l.v
	plate := g.phi + 0.7*l.de
	iv := 1 / l.v
	x := g.per*l.lift*iv - g.half1*l.de
	c := ux * iv
	if c <= 0.5 || x >= hi+g.hw || x <= lo-g.lw {
		// All separated: no lift of circulation.
		wp := wn + ux*plate
		k := g.hs * wp * g.plate * (speed/(0.56*speed+0.44*math.Abs(wp)) - g.plateAR)
		n := k * speed
		d := speed * drag * g.d0
		return d*wn + n, -d*ux - n*plate, 0, g.c * (0.25*n - 0.13*k*ux), 0
	}
	at = 1
	if x > hi {
		at -= smooth((x - hi) * g.hwi)
	} else if x < lo {
		at -= smooth((lo - x) * g.lwi)
	}
	if c < 0.8 { // flow from the side or behind
		at *= 1 - smooth((0.8-c)*(1/0.3))
	}
	d := l.d
	w := l.lift * at
	fn = w * l.us
	ff = w * wn
	lean = ff
	n := 0.0
	if at < 1 {
		least := speed * drag * g.d0
		d = least + at*(d-least)
		wp := wn + ux*plate
		n = g.hs * speed * (1 - at) * wp * g.plate * (1/(0.56+0.44*math.Abs(wp)*iv) - g.plateAR)
		cp = n * g.c * (0.25 - 0.13*c)
	}
	return fn + d*wn + n, ff - d*ux - n*plate, lean, cp, at
}

// inStream is the forward speed of a place in the stream: by momentum theory
// the square of the speed far behind a disc is that ahead of it plus
// 2T/(rho A); a is that term, times the share of the area that is covered. It
// is finite at a standstill, where the stream is all there is, and goes over
// smoothly (continuous slope) into the flow alone when the aeroplane moves
// backwards through its own stream, which it leaves.
func inStream(u, a float64) float64 {
	s := math.Sqrt(u*u + a)
	if u < 0 {
		return (a - u*u) / s
	}
	return s
}

// near is the size of the ground's effect on lift and on induced drag at a
// height, over that at the middle of the tables.
func (m *Model) near(h float64) (lift, drag float64) {
	h = math.Max(h, 0)
	const n = groundNodes - 1
	x := n * (1 + m.groundBend/m.groundHi) * h / (h + m.groundBend)
	i := min(int(x), n-1)
	x -= float64(i)
	return hermite(&m.ground, i, x), hermite(&m.groundDrag, i, x)
}

// hermite is Catmull-Rom interpolation, level at both ends.
func hermite(v *[groundNodes]float64, i int, x float64) float64 {
	p1, p2 := v[i], v[i+1]
	m1, m2 := 0.0, 0.0
	if i > 0 {
		m1 = (p2 - v[i-1]) / 2
	}
	if i+2 < groundNodes {
		m2 = (v[i+2] - p1) / 2
	}
	d := p2 - p1
	return p1 + x*(m1+x*(3*d-2*m1-m2+x*(m1+m2-2*d)))
}

// quad is the quadratic form with the packed upper triangle q.
func quad(q *[10]float64, a, b, c, d float64) float64 {
	return (a*(q[0]*a+q[1]*b+q[2]*c+q[3]*d) + b*(q[4]*b+q[5]*c+q[6]*d)) + (c*(q[7]*c+q[8]*d) + q[9]*d*d)
}

// attitude is sine and cosine of two angles, by the series to the 15th power
// within an eighth of a turn (error below 1e-14), where they are needed most
// often and the library takes a tenth of the whole evaluation; terms in pairs,
// which wait less for each other.
func attitude(a, b float64) (sa, ca, sb, cb float64) {
	if !(a <= math.Pi/4 && a >= -math.Pi/4 && b <= math.Pi/4 && b >= -math.Pi/4) {
		sa, ca = math.Sincos(a)
		sb, cb = math.Sincos(b)
		return sa, ca, sb, cb
	}
	z := a * a
	y := z * z
	sa = a * (((1 - z*(1./6)) + y*(1./120-z*(1./5040))) + y*y*((1./362880-z*(1./39916800))+y*(1./6227020800-z*(1./1307674368000))))
	ca = ((1 - z*(1./2)) + y*(1./24-z*(1./720))) + y*y*((1./40320-z*(1./3628800))+y*(1./479001600-z*(1./87178291200)))
	z = b * b
	y = z * z
	sb = b * (((1 - z*(1./6)) + y*(1./120-z*(1./5040))) + y*y*((1./362880-z*(1./39916800))+y*(1./6227020800-z*(1./1307674368000))))
	cb = ((1 - z*(1./2)) + y*(1./24-z*(1./720))) + y*y*((1./40320-z*(1./3628800))+y*(1./479001600-z*(1./87178291200)))
	return sa, ca, sb, cb
}
