package aero

import "math"

// Eval writes the loads of a flow to out. Pure, parallel-safe, without
// allocation; continuous in every argument at any attitude. Factors must not
// be nil. A flow that is not finite gives zero loads and the flag NotFinite.
// Accuracy: the lattice's in attached flow (3 % of lift with the right
// section slopes), 0.1 of the maximum lift, 15 % of the normal force above
// 30 degrees, 25 % of the drag before calibration.
func (m *Model) Eval(f *Flow, k *Factors, out *Loads) {
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
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

	dp, dr, dy, db := bend(f.Pitch), bend(f.Roll), bend(f.Yaw), bend(f.Brake)
	kc := k.Control
	cs := [nSym]float64{u, w, q * k.Damping, u * dp * kc, u * db * kc}
	cn := [nAnti]float64{v, p * k.Damping, r * k.Damping, u * dr * kc, u * dy * kc}

	ge := 0.0
	if f.Height < m.groundHi {
		ge = m.near(f.Height)
	}

	var fx, fy, fz, mx, my, mz float64
	var split float64 // separated share of the main wing
	surface := -1
	var up, low, drag float64
	v0, v1, v2, v3, v4 := v, cn[1], cn[2], cn[3], cn[4]
	c0, c1, c2, c3, c4 := u, w, cs[2], cs[3], cs[4]
	for i := range m.groups {
		g := &m.groups[i]
		if g.surface != surface {
			surface = g.surface
			s := &m.skins[surface]
			up, low, drag = s.up.at(node, x)*k.ClMax, s.low.at(node, x)*k.ClMax, s.drag.at(node, x)*k.Drag
		}
		gs := (g.gs[0]*c0 + g.gs[1]*c1) + (g.gs[2]*c2 + g.gs[3]*c3) + g.gs[4]*c4
		ga := (g.ga[0]*v0 + g.ga[1]*v1) + (g.ga[2]*v2 + g.ga[3]*v3) + g.ga[4]*v4
		if ge != 0 {
			gs += ge * ((g.eg[0]*c0 + g.eg[1]*c1) + (g.eg[2]*c2 + g.eg[3]*c3) + g.eg[4]*c4)
		}
		gs *= k.Lift
		ga *= k.Lift
		// Velocities of the place: alike and opposed parts, forward, against
		// the normal, outward along the span.
		uS, uA := u+q*g.z, -r*g.y
		wS, wA := w-q*g.x, p*g.y
		vA := v + (r*g.x - p*g.z)
		nS, nA := g.nz*wS, g.nz*wA-g.ny*vA
		sS, sA := g.ny*wS, g.nz*vA+g.ny*wA
		dS := kc * (g.dp*f.Pitch + g.db*f.Brake)
		dA := kc * (g.dr*f.Roll + g.dy*f.Yaw)
		hi, lo := g.hi*up, g.lo*low
		cd0, cdk := g.cd0*drag, g.cdk*drag

		// Right, then left: sums and differences of the normal, forward and
		// outward forces and of the moment of the plate about its quarter.
		ux, wn, vs := uS+uA, nS+nA, sS+sA
		gam, de := gs+ga, dS+dA
		var fnS, ffS, fsS, cpS, fnA, ffA, fsA, cpA float64
		for left := false; ; left = true {
			speed := math.Sqrt(ux*ux + wn*wn + 1e-6)
			inv := 1 / speed
			cl := g.per * gam * inv
			c := ux * inv
			x := cl - 0.5*g.dcl*de
			half := g.hs * speed
			dq := cl - g.clcd
			var fn, ff, fs, cp float64
			if x <= hi && x >= lo && c >= 0.8 {
				d := half * (cd0 + cdk*dq*dq)
				l := g.b * gam
				lw := l * wn
				fn = l*(ux+g.t*vs) + d*wn
				ff = lw - d*ux
				fs = lw*g.t - half*cd0*vs
			} else {
				at := 1.0
				if x > hi {
					at -= smooth((x - hi) * g.hwi)
				} else if x < lo {
					at -= smooth((lo - x) * g.lwi)
				}
				if c < 0.8 { // flow from the side or behind
					at *= 1 - smooth((0.8-c)*(1/0.3))
				}
				d := half * (cd0 + at*cdk*dq*dq)
				if at == 0 {
					d = half * cd0
				}
				l := g.b * gam * at
				lw := l * wn
				bent := g.phi + 0.7*de
				wp := wn + ux*bent
				n := half * (1 - at) * wp * g.plate * (1/(0.56+0.44*math.Abs(wp)*inv) - g.plateAR)
				fn = l*(ux+g.t*vs) + d*wn + n
				ff = lw - d*ux - n*bent
				fs = lw*g.t - half*cd0*vs
				cp = n * g.c * (0.25 - 0.13*c)
				if g.main {
					split += (1 - at) * g.half
					if g.tip && at < 0.5 {
						flag |= TipStall
					}
				} else if at < 0.5 {
					flag |= TailStalled
				}
			}
			if left {
				fnS, ffS, fsS, cpS, fnA, ffA, fsA, cpA = fnS+fn, ffS+ff, fsS+fs, cpS+cp, fnS-fn, ffS-ff, fsS-fs, cpS-cp
				break
			}
			fnS, ffS, fsS, cpS = fn, ff, fs, cp
			if !g.twin {
				break
			}
			ux, wn, vs = uS-uA, nS-nA, sS-sA
			gam, de = gs-ga, dS-dA
		}
		if g.twin {
			byA := fnA*g.ny + fsA*g.nz
			bzS, bzA := fsS*g.ny-fnS*g.nz, fsA*g.ny-fnA*g.nz
			fx += ffS
			fy += byA
			fz += bzS
			mx += g.y*bzA - g.z*byA
			my += (g.z*ffS - g.x*bzS) - cpS*g.nz
			mz += (g.x*byA - g.y*ffA) - cpA*g.ny
		} else {
			by, bz := fnS*g.ny+fsS*g.nz, fsS*g.ny-fnS*g.nz
			fx += ffS
			fy += by
			fz += bz
			mx += g.y*bz - g.z*by
			my += (g.z*ffS - g.x*bz) - cpS*g.nz
			mz += (g.x*by - g.y*ffS) - cpS*g.ny
		}
	}
	fa := 1 - split
	if split > 1./3 {
		flag = flag&^TipStall | Stalled
	}
	// What the groups' places miss of the lattice's moments.
	ku := u * fa * k.Lift
	my += ku * ((m.restMy[0]*c0 + m.restMy[1]*c1) + (m.restMy[2]*c2 + m.restMy[3]*c3) + m.restMy[4]*c4)
	mx += ku * ((m.restMx[0]*v0 + m.restMx[1]*v1) + (m.restMx[2]*v2 + m.restMx[3]*v3) + m.restMx[4]*v4)
	mz += ku * ((m.restMz[0]*v0 + m.restMz[1]*v1) + (m.restMz[2]*v2 + m.restMz[3]*v3) + m.restMz[4]*v4)
	fy += ku * ((m.restFy[0]*v0 + m.restFy[1]*v1) + (m.restFy[2]*v2 + m.restFy[3]*v3) + m.restFy[4]*v4)
	// Induced drag, and the yaw it makes.
	if fa > 0 {
		di := quad(&m.drag, &cs) + quad(&m.dragA, &cn)
		if ge != 0 {
			di += ge * quad(&m.dragG, &cs)
		}
		yaw := 0.0
		for i := range m.yaw {
			y := &m.yaw[i]
			yaw += cs[i] * (y[0]*cn[0] + y[1]*cn[1] + y[2]*cn[2] + y[3]*cn[3] + y[4]*cn[4])
		}
		ki := fa * k.Induced * k.Lift * k.Lift
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

// near is the share of the ground's effect at a height: 1 at a fifth of the
// span, where the image lattice was solved.
func (m *Model) near(h float64) float64 {
	t := h / m.groundHi
	const n = 15 // intervals of m.ground
	x := math.Max(t, 0) * n
	i := min(int(x), n-1)
	x -= float64(i)
	p1, p2 := m.ground[i], m.ground[i+1]
	p0, p3 := p1, p2
	if i > 0 {
		p0 = m.ground[i-1]
	}
	if i+2 <= n {
		p3 = m.ground[i+2]
	}
	m1, m2 := (p2-p0)/2, (p3-p1)/2
	d := p2 - p1
	return p1 + x*(m1+x*(3*d-2*m1-m2+x*(m1+m2-2*d)))
}

// quad is the quadratic form with the packed upper triangle q.
func quad(q *[15]float64, v *[5]float64) float64 {
	return v[0]*(q[0]*v[0]+q[1]*v[1]+q[2]*v[2]+q[3]*v[3]+q[4]*v[4]) +
		v[1]*(q[5]*v[1]+q[6]*v[2]+q[7]*v[3]+q[8]*v[4]) +
		v[2]*(q[9]*v[2]+q[10]*v[3]+q[11]*v[4]) +
		v[3]*(q[12]*v[3]+q[13]*v[4]) +
		v[4]*q[14]*v[4]
}
