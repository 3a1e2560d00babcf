package aero

import "math"

// lane is one side of a group in a flow: velocity forward and against the
// normal, forward along the swept span's normal plane (u + t s), speed,
// circulation, effective angle of the deflection, lift coefficient without what
// the deflection adds at half its chord, and attached profile drag over the
// velocity (before: the lift coefficient).
type lane struct{ u, n, us, v, gam, de, x, d float64 }

// batch is how many groups go through the passes of Eval together: what a pass
// works out for one does not wait for another, so roots, quotients and table
// look-ups overlap in the processor.
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
	sa, ca := sincos(f.Alpha)
	sb, cb := sincos(f.Beta)
	u, v, w := f.V*ca*cb, f.V*sb, f.V*sa*cb
	if z := u + v + w + f.P + f.Q + f.R + f.Pitch + f.Roll + f.Yaw + f.Brake + f.Rho; z-z != 0 {
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
		t := math.Max(0, f.Thrust) / (f.Rho * m.prop.area)
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

	var fx, fy, fz, mx, my, mz float64
	var split float64 // separated share of the main wing
	surface := -1
	var up, low float64
	var lanes [batch][2]lane
	for base := 0; base < len(m.groups); base += batch {
		part := m.groups[base:]
		if len(part) > batch {
			part = part[:batch]
		}
		n := min(len(part), batch)
		// How each side moves, and its circulation.
		for i := range n {
			g, l := &part[i], &lanes[i]
			a, b := &l[0], &l[1]
			uS, uA := u+q*g.z, -r*g.y
			nS, nA := g.nz*w-g.nzx*q, g.np*p-(g.ny*v+g.nyx*r)
			sS, sA := g.t*(g.ny*w-g.nyx*q), g.t*((g.nz*v+g.nzx*r)-g.nq*p) // outward
			du := 0.0
			if stream != 0 && g.slip != 0 {
				du = inStream(uS, stream*g.slip) - uS
				uS += du
			}
			uR, uL, nR, nL := uS+uA, uS-uA, nS+nA, nS-nA
			vR, vL := math.Sqrt(uR*uR+nR*nR+1e-6), math.Sqrt(uL*uL+nL*nL+1e-6)
			inv := 1 / (vR * vL)
			a.u, a.n, a.us, a.v = uR, nR, uR+(sS+sA), vR
			b.u, b.n, b.us, b.v = uL, nL, uL+(sS-sA), vL
			gs := (g.gs[0]*c0 + g.gs[1]*c1) + (g.gs[2]*c2 + g.gs[3]*c3)
			ga := (g.ga[0]*v0 + g.ga[1]*v1) + (g.ga[2]*v2 + g.ga[3]*v3) + g.ga[4]*v4
			if c4 != 0 {
				gs += g.gs[4] * c4
			}
			if ge != 0 {
				gs += ge * ((g.eg[0]*c0 + g.eg[1]*c1) + (g.eg[2]*c2 + g.eg[3]*c3) + g.eg[4]*c4)
			}
			if du != 0 {
				o := &m.own[base+i]
				gs += kl * du * (o[0] + kc*(o[1]*dp+o[2]*db))
				ga += kl * du * kc * (o[3]*dr + o[4]*dy)
			}
			dS, dA := 0.0, 0.0
			if g.flapped {
				dS = kc * (g.dp*f.Pitch + g.db*f.Brake)
				dA = kc * (g.dr*f.Roll + g.dy*f.Yaw)
			}
			gR, gL := gs+ga, gs-ga
			eR, eL := dS+dA, dS-dA
			clR := g.per * gR * (inv * vL)
			a.gam, a.de, a.x, a.d = gR, eR, clR-g.half1*eR, clR
			if !g.twin {
				continue
			}
			clL := g.per * gL * (inv * vR)
			b.gam, b.de, b.x, b.d = gL, eL, clL-g.half1*eL, clL
		}
		// Profile drag.
		drag := 0.0
		for i := range n {
			g, l := &part[i], &lanes[i]
			a, b := &l[0], &l[1]
			if i == 0 || g.surface != part[i-1].surface {
				drag = m.skins[g.surface].drag.at(node, x) * k.Drag
			}
			a.d = drag * a.v * g.profile(a.d, node, bent)
			if g.twin {
				b.d = drag * b.v * g.profile(b.d, node, bent)
			}
		}
		// Forces and moments.
		for i := range n {
			g, l := &part[i], &lanes[i]
			a, b := &l[0], &l[1]
			if g.surface != surface {
				surface = g.surface
				sk := &m.skins[surface]
				up, low = sk.up.at(node, x)*k.ClMax, sk.low.at(node, x)*k.ClMax
				drag = sk.drag.at(node, x) * k.Drag
			}
			hi, lo := g.hi*up, g.lo*low
			if !g.twin {
				var fn, ff, fs, cp float64
				if a.x <= hi && a.x >= lo && a.u >= 0.8*a.v {
					lift := g.b * a.gam
					w := lift * a.n
					fn, ff, fs = lift*a.us+a.d*a.n, w-a.d*a.u, w*g.t
				} else {
					var at float64
					fn, ff, fs, cp, at = g.side(a, hi, lo, drag)
					if at < 0.5 {
						flag |= TailStalled
					}
					if g.main {
						split += (1 - at) * g.half
					}
				}
				fx += ff
				fy += fn*g.ny + fs*g.nz
				fz += fs*g.ny - fn*g.nz
				mx -= fn*g.np + fs*g.nq
				my += (g.z*ff - fs*g.nyx) + (fn*g.nzx - cp*g.nz)
				mz += (fn*g.nyx + fs*g.nzx) - (g.y*ff + cp*g.ny)
				continue
			}
			// Right and left together: sums and differences of the normal,
			// forward and outward forces.
			var fnS, ffS, fsS, fnA, ffA, fsA float64
			xR, xL := a.x, b.x
			if xR <= hi && xR >= lo && xL <= hi && xL >= lo && a.u >= 0.8*a.v && b.u >= 0.8*b.v {
				lR, lL := g.b*a.gam, g.b*b.gam
				wR, wL := lR*a.n, lL*b.n
				fnR, fnL := lR*a.us+a.d*a.n, lL*b.us+b.d*b.n
				ffR, ffL := wR-a.d*a.u, wL-b.d*b.u
				fnS, ffS, fsS = fnR+fnL, ffR+ffL, g.t*(wR+wL)
				fnA, ffA, fsA = fnR-fnL, ffR-ffL, g.t*(wR-wL)
			} else {
				fnR, ffR, fsR, cpR, atR := g.side(a, hi, lo, drag)
				fnL, ffL, fsL, cpL, atL := g.side(b, hi, lo, drag)
				fnS, ffS, fsS = fnR+fnL, ffR+ffL, fsR+fsL
				fnA, ffA, fsA = fnR-fnL, ffR-ffL, fsR-fsL
				my -= (cpR + cpL) * g.nz
				mz -= (cpR - cpL) * g.ny
				if g.main {
					split += ((1 - atR) + (1 - atL)) * g.half
					if g.tip && (atR < 0.5 || atL < 0.5) {
						flag |= TipStall
					}
				} else if atR < 0.5 || atL < 0.5 {
					flag |= TailStalled
				}
			}
			fx += ffS
			fy += fnA*g.ny + fsA*g.nz
			fz += fsS*g.ny - fnS*g.nz
			mx -= fnA*g.np + fsA*g.nq
			my += g.z*ffS + (fnS*g.nzx - fsS*g.nyx)
			mz += (fnA*g.nyx + fsA*g.nzx) - g.y*ffA
		}
	}
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
	by := m.bodyY * f.V * v
	fy += by
	mz += m.bodyAt.X * by
	mx -= m.bodyAt.Z * by
	for i := range m.cross {
		c := &m.cross[i]
		vy, vz := v+r*c.x-p*c.z, w-q*c.x
		s := math.Sqrt(vy*vy + vz*vz + 1e-9)
		gy, gz := -c.side*s*vy, -c.plan*s*vz
		fy += gy
		fz += gz
		mx -= c.z * gy
		my -= c.x * gz
		mz += c.x * gy
	}
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

// side is one side of a group, stalled or not: normal, forward and outward
// force and the moment of the plate about the quarter chord, per unit
// density, and the attached share.
func (g *group) side(l *lane, hi, lo, drag float64) (fn, ff, fs, cp, at float64) {
	ux, wn, speed := l.u, l.n, l.v
	plate := g.phi + 0.7*l.de
	x, iv := l.x, 1/l.v
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
	w := g.b * l.gam * at
	fn = w * l.us
	ff = w * wn
	fs = ff * g.t
	n := 0.0
	if at < 1 {
		least := speed * drag * g.d0
		d = least + at*(d-least)
		wp := wn + ux*plate
		n = g.hs * speed * (1 - at) * wp * g.plate * (1/(0.56+0.44*math.Abs(wp)*iv) - g.plateAR)
		cp = n * g.c * (0.25 - 0.13*c)
	}
	return fn + d*wn + n, ff - d*ux - n*plate, fs, cp, at
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

// sincos is math.Sincos, by the series to the 15th power within an eighth of
// a turn (error below 1e-14), where it is needed most often and the library
// takes a tenth of the whole evaluation; terms in pairs, which wait less for
// each other.
func sincos(x float64) (s, c float64) {
	if x > math.Pi/4 || x < -math.Pi/4 {
		return math.Sincos(x)
	}
	z := x * x
	y := z * z
	y2 := y * y
	s = ((1 - z*(1./6)) + y*(1./120-z*(1./5040))) + y2*((1./362880-z*(1./39916800))+y*(1./6227020800-z*(1./1307674368000)))
	c = ((1 - z*(1./2)) + y*(1./24-z*(1./720))) + y2*((1./40320-z*(1./3628800))+y*(1./479001600-z*(1./87178291200)))
	return x * s, c
}
