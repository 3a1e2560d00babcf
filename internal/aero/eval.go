package aero

import "math"

// lane is the velocity of a group's right and left place: forward, against
// the normal, their size and its inverse; du is what the slipstream adds
// forward.
type lane struct{ uR, uL, nR, nL, vR, vL, iR, iL, du float64 }

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

	var fx, fy, fz, mx, my, mz float64
	var split float64 // separated share of the main wing
	surface := -1
	var up, low, drag float64
	// The speeds of eight groups at a time, apart from what depends on them:
	// roots and quotients then overlap in the processor.
	var lanes [8]lane
	for base := 0; base < len(m.groups); base += len(lanes) {
		part := m.groups[base:min(base+len(lanes), len(m.groups))]
		for i := range part {
			g, t := &part[i], &lanes[i&7]
			uS, uA := u+q*g.z, -r*g.y
			nS, nA := g.nz*w-g.nzx*q, g.np*p-(g.ny*v+g.nyx*r)
			t.du = 0
			if stream != 0 && g.slip != 0 {
				t.du = inStream(uS, stream*g.slip) - uS
				uS += t.du
			}
			uR, uL, nR, nL := uS+uA, uS-uA, nS+nA, nS-nA
			vR, vL := math.Sqrt(uR*uR+nR*nR+1e-6), math.Sqrt(uL*uL+nL*nL+1e-6)
			inv := 1 / (vR * vL)
			t.uR, t.uL, t.nR, t.nL, t.vR, t.vL, t.iR, t.iL = uR, uL, nR, nL, vR, vL, inv*vL, inv*vR
		}
		for i := range part {
			g, t := &part[i], &lanes[i&7]
			if g.surface != surface {
				surface = g.surface
				s := &m.skins[surface]
				up, low, drag = s.up.at(node, x)*k.ClMax, s.low.at(node, x)*k.ClMax, s.drag.at(node, x)*k.Drag
			}
			gs := (g.gs[0]*c0 + g.gs[1]*c1) + (g.gs[2]*c2 + g.gs[3]*c3)
			ga := (g.ga[0]*v0 + g.ga[1]*v1) + (g.ga[2]*v2 + g.ga[3]*v3) + g.ga[4]*v4
			if c4 != 0 {
				gs += g.gs[4] * c4
			}
			if ge != 0 {
				gs += ge * ((g.eg[0]*c0 + g.eg[1]*c1) + (g.eg[2]*c2 + g.eg[3]*c3) + g.eg[4]*c4)
			}
			if t.du != 0 {
				o := &m.own[base+i]
				gs += kl * t.du * (o[0] + kc*(o[1]*dp+o[2]*db))
				ga += kl * t.du * kc * (o[3]*dr + o[4]*dy)
			}
			uR, uL, nR, nL := t.uR, t.uL, t.nR, t.nL
			// Outward along the span, alike and opposed.
			sS, sA := g.ny*(w-q*g.x), g.nz*(v+(r*g.x-p*g.z))+g.ny*(p*g.y)
			var dS, dA float64 // effective angle of the deflection
			if g.flapped {
				dS = kc * (g.dp*f.Pitch + g.db*f.Brake)
				dA = kc * (g.dr*f.Roll + g.dy*f.Yaw)
			}
			hi, lo := g.hi*up, g.lo*low

			if !g.twin {
				fn, ff, fs, cp, at := g.side(gs+ga, uR, nR, sS+sA, t.vR, t.iR, dS+dA, hi, lo, drag, node, bent)
				if at < 0.5 {
					flag |= TailStalled
				}
				if g.main {
					split += (1 - at) * g.half
				}
				by, bz := fn*g.ny+fs*g.nz, fs*g.ny-fn*g.nz
				fx += ff
				fy += by
				fz += bz
				mx += g.y*bz - g.z*by
				my += (g.z*ff - g.x*bz) - cp*g.nz
				mz += (g.x*by - g.y*ff) - cp*g.ny
				continue
			}
			// Right and left together: sums and differences of the normal,
			// forward and outward forces and of the plate's moment about its
			// quarter chord.
			sR, sL := sS+sA, sS-sA
			gR, gL, dR, dL := gs+ga, gs-ga, dS+dA, dS-dA
			vR, vL, iR, iL := t.vR, t.vL, t.iR, t.iL
			clR, clL := g.per*gR*iR, g.per*gL*iL
			xR, xL := clR-0.5*g.dcl*dR, clL-0.5*g.dcl*dL
			var fnS, ffS, fsS, cpS, fnA, ffA, fsA, cpA float64
			if xR <= hi && xR >= lo && xL <= hi && xL >= lo && uR*iR >= 0.8 && uL*iL >= 0.8 {
				bR, bL := vR*(drag*g.profile(clR, node, bent)), vL*(drag*g.profile(clL, node, bent))
				lR, lL := g.b*gR, g.b*gL
				wR, wL := lR*nR, lL*nL
				fnR, fnL := lR*(uR+g.t*sR)+bR*nR, lL*(uL+g.t*sL)+bL*nL
				ffR, ffL := wR-bR*uR, wL-bL*uL
				fnS, ffS, fsS = fnR+fnL, ffR+ffL, g.t*(wR+wL)
				fnA, ffA, fsA = fnR-fnL, ffR-ffL, g.t*(wR-wL)
			} else {
				fnR, ffR, fsR, cpR, atR := g.side(gR, uR, nR, sR, vR, iR, dR, hi, lo, drag, node, bent)
				fnL, ffL, fsL, cpL, atL := g.side(gL, uL, nL, sL, vL, iL, dL, hi, lo, drag, node, bent)
				fnS, ffS, fsS, cpS = fnR+fnL, ffR+ffL, fsR+fsL, cpR+cpL
				fnA, ffA, fsA, cpA = fnR-fnL, ffR-ffL, fsR-fsL, cpR-cpL
				if g.main {
					split += ((1 - atR) + (1 - atL)) * g.half
					if g.tip && (atR < 0.5 || atL < 0.5) {
						flag |= TipStall
					}
				} else if atR < 0.5 || atL < 0.5 {
					flag |= TailStalled
				}
			}
			byA := fnA*g.ny + fsA*g.nz
			bzS, bzA := fsS*g.ny-fnS*g.nz, fsA*g.ny-fnA*g.nz
			fx += ffS
			fy += byA
			fz += bzS
			mx += g.y*bzA - g.z*byA
			my += (g.z*ffS - g.x*bzS) - cpS*g.nz
			mz += (g.x*byA - g.y*ffA) - cpA*g.ny
		}
	}
	fa := 1 - split
	if split > 1./3 {
		flag = flag&^TipStall | Stalled
	}
	// What the groups' places miss of the lattice's moments.
	ku = u * fa
	my += ku * ((m.restMy[0]*c0 + m.restMy[1]*c1) + (m.restMy[2]*c2 + m.restMy[3]*c3) + m.restMy[4]*c4)
	mx += ku * ((m.restMx[0]*v0 + m.restMx[1]*v1) + (m.restMx[2]*v2 + m.restMx[3]*v3) + m.restMx[4]*v4)
	mz += ku * ((m.restMz[0]*v0 + m.restMz[1]*v1) + (m.restMz[2]*v2 + m.restMz[3]*v3) + m.restMz[4]*v4)
	fy += ku * ((m.restFy[0]*v0 + m.restFy[1]*v1) + (m.restFy[2]*v2 + m.restFy[3]*v3) + m.restFy[4]*v4)
	// Induced drag, and the yaw it makes.
	if fa > 0 {
		di := quad(&m.drag, c0, c1, c2, c3) + quad(&m.dragA, v0, v1, v2, v3)
		if ge != 0 {
			di += gd * quad(&m.dragG, c0, c1, c2, c3)
		}
		y := &m.yaw
		yaw := c0*(y[0]*v0+y[1]*v1+y[2]*v2+y[3]*v3) + c1*(y[4]*v0+y[5]*v1+y[6]*v2+y[7]*v3) +
			c3*(y[8]*v0+y[9]*v1+y[10]*v2+y[11]*v3)
		ki := fa * k.Induced
		fx -= ki * di
		mz += ki * yaw
	}
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
		gy := -s * (v + r*d.at.X - p*d.at.Z)
		gz := -s * (w*d.up - q*d.at.X + p*d.at.Y)
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
func (g *group) side(gam, ux, wn, vs, speed, inv, de, hi, lo, drag float64, node int, bent float64) (fn, ff, fs, cp, at float64) {
	plate := g.phi + 0.7*de
	lift := g.per*gam - 0.5*g.dcl*de*speed
	if ux <= 0.5*speed || lift >= (hi+g.hw)*speed || lift <= (lo-g.lw)*speed {
		// All separated: no lift of circulation.
		wp := wn + ux*plate
		k := g.hs * wp * g.plate * (speed/(0.56*speed+0.44*math.Abs(wp)) - g.plateAR)
		n := k * speed
		d := speed * drag * g.d0
		return d*wn + n, -d*ux - n*plate, 0, g.c * (0.25*n - 0.13*k*ux), 0
	}
	cl := g.per * gam * inv
	c := ux * inv
	x := cl - 0.5*g.dcl*de
	if x <= hi && x >= lo && c >= 0.8 {
		d := speed * (drag * g.profile(cl, node, bent))
		l := g.b * gam
		w := l * wn
		return l*(ux+g.t*vs) + d*wn, w - d*ux, w * g.t, 0, 1
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
	d := speed * drag * g.d0
	n := 0.0
	if at > 0 {
		d += at * (speed*(drag*g.profile(cl, node, bent)) - d)
		l := g.b * gam * at
		fn = l * (ux + g.t*vs)
		ff = l * wn
		fs = ff * g.t
	}
	if at < 1 {
		wp := wn + ux*plate
		n = g.hs * speed * (1 - at) * wp * g.plate * (1/(0.56+0.44*math.Abs(wp)*inv) - g.plateAR)
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
// takes a tenth of the whole evaluation.
func sincos(x float64) (s, c float64) {
	if x > math.Pi/4 || x < -math.Pi/4 {
		return math.Sincos(x)
	}
	z := x * x
	s = x * (1 + z*(-1./6+z*(1./120+z*(-1./5040+z*(1./362880+z*(-1./39916800+z*(1./6227020800-z*(1./1307674368000))))))))
	c = 1 + z*(-1./2+z*(1./24+z*(-1./720+z*(1./40320+z*(-1./3628800+z*(1./479001600-z*(1./87178291200)))))))
	return s, c
}
