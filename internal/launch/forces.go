package launch

import (
	"math"

	"fledge/internal/air"
	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// wind is the velocity of the air, NED, at a place over ground.
func (w *Workspace) wind(t float64, p r3.Vec, h float64) r3.Vec {
	s := w.set
	n, e, d := s.Wind.NED(h)
	if s.Gust.Length > 0 || w.turb.on {
		x := p.X - w.drift*t
		if g := &s.Gust; g.Length > 0 {
			if b := (air.OneMinusCosine{Peak: 1, H: g.Length / 2}).At(x - g.Start); b > 0 {
				n -= b * g.Head
				e += b * g.Right
				d -= b * g.Up
			}
		}
		if w.turb.on {
			a, b, c := w.turb.at(x)
			n, e, d = n+a, e+b, d+c
		}
	}
	return r3.Vec{X: n, Y: e, Z: d}
}

// airspeed in body axes, and the height of the c.g. over ground.
func (w *Workspace) airspeed(t float64, s *motion.State, f *motion.Frame) (vb r3.Vec, h float64) {
	h = -s.Pos.Z - s.Pos.X*w.tanSlope
	w.air = w.wind(t, s.Pos, h)
	return f.Body(r3.Sub(s.Vel, w.air)), h
}

// arcsin is math.Asin held inside its range, by its series (error below
// 1e-12) where the angle is small.
func arcsin(x float64) float64 {
	if math.Abs(x) < 0.05 {
		y := x * x
		return x * (1 + y*(1.0/6+y*(3.0/40+y*(15.0/336+y*(105.0/3456)))))
	}
	return math.Asin(max(-1, min(1, x)))
}

// flowOf fills the flow without stick.
func (w *Workspace) flowOf(vb r3.Vec, s *motion.State, f *motion.Frame, h float64) *Flow {
	fl := &w.flow
	v := math.Sqrt(dot(vb, vb))
	fl.V, fl.Alpha, fl.Beta = v, 0, 0
	fl.P, fl.Q, fl.R = s.Rate.X, s.Rate.Y, s.Rate.Z
	fl.Brake, fl.Rho, fl.Mu = 0, w.set.Rho, w.set.Mu
	if v > 1e-9 {
		fl.Alpha = math.Atan2(vb.Z, vb.X)
		fl.Beta = arcsin(vb.Y / v)
	}
	fl.Height = max(0, h-(f[2][0]*w.ref.X+f[2][1]*w.ref.Y+f[2][2]*w.ref.Z))
	return fl
}

// Forces is for the equations of motion (see motion.Forces).
func (w *Workspace) Forces(t float64, s *motion.State, f *motion.Frame, l *motion.Load) {
	st := w.set
	vb, h := w.airspeed(t, s, f)
	vg := f.Body(s.Vel) // over ground

	// motor
	thrust := 0.0
	if st.Motor != nil {
		u := max(0, dot(vb, w.axis))
		var F, M r3.Vec
		if !w.turning {
			thrust = -st.Motor.Stopped(u)
			F = r3.Scale(thrust, w.axis)
		} else {
			x := 1.0
			dx := 0.0
			if st.Spool > 0 {
				if z := (t - w.started) / st.Spool; z < 1 {
					z = max(0, z)
					x = z * z * (3 - 2*z)
					dx = 6 * z * (1 - z) / st.Spool
				}
			}
			p := st.Motor.At(u, st.Throttle*max(x, 1e-3), &st.MotorK)
			blend := min(1, 4*x)
			thrust = p.Thrust
			if blend < 1 {
				thrust = blend*p.Thrust - (1-blend)*st.Motor.Stopped(u)
			}
			turn := st.Prop.Turn
			spin := p.Omega * blend
			accel := 0.0
			if x < 1 {
				accel = p.Omega / max(x, 0.05) * dx // speed follows the throttle about in proportion
			}
			F = r3.Scale(thrust, w.axis)
			M = r3.Scale(-turn*(blend*p.Torque+st.Prop.Inertia*accel), w.axis)
			M = r3.Sub(M, cross(s.Rate, r3.Scale(turn*st.Prop.Inertia*spin, w.axis)))
		}
		l.F = F
		l.M = r3.Add(M, cross(w.prop, F))
		l.Power[1] = dot(F, vg) + dot(l.M, s.Rate)
	}
	w.thrust = thrust

	// air
	if st.Aero != nil {
		fl := w.flowOf(vb, s, f, h)
		fl.Pitch, fl.Roll, fl.Yaw = w.dPitch, w.dRoll, w.dYaw
		if st.Damper != 0 || w.flying {
			sp, sr, sy := 0.0, 0.0, 0.0
			if w.held {
				sp, sr, sy = st.StickPitch, st.StickRoll, st.StickYaw
			}
			if w.flying {
				sp, sr, sy = w.pilot(t, s, f, sp, sr, sy)
			}
			fl.Pitch, fl.Roll, fl.Yaw = st.Aero.Stick(clip(sp-st.Damper*s.Rate.Y), clip(sr-st.Damper*s.Rate.X), clip(sy-st.Damper*s.Rate.Z))
		}
		fl.PropOn, fl.Thrust = st.Motor != nil && w.turning, max(0, thrust)
		st.Aero.Eval(fl, &st.AeroK, &w.loads)
		M := r3.Add(w.loads.M, cross(w.ref, w.loads.F))
		l.F = r3.Add(l.F, w.loads.F)
		l.M = r3.Add(l.M, M)
		l.Power[0] = dot(w.loads.F, vg) + dot(M, s.Rate)
	}

	if w.grass {
		w.contact(s, f, l)
	}
	if w.guided {
		l.Guide = motion.Guide{On: true, Dir: w.guide, Friction: st.RampFriction}
	}
	if w.phase == taut {
		he := f.Earth(w.hook)
		to := r3.Sub(w.stake, r3.Add(s.Pos, he))
		L := math.Sqrt(dot(to, to))
		dir := r3.Scale(1/L, to)
		// The branch is held beyond the slack point, odd, so that the step that
		// finds it sees a smooth force; the guard ends it there.
		x := L - w.full
		F, W, _ := st.Cord.At(math.Abs(x))
		pull := math.Copysign(Recoil(F*st.CordFactor, W*st.CordFactor, w.top, st.Returned), x)
		// line and flag run with the hook towards the stake through the air
		vp := r3.Add(s.Vel, f.Earth(cross(s.Rate, w.hook)))
		run := dot(dir, r3.Sub(vp, w.air))
		pull -= 0.5 * st.Rho * w.dragArea * run * math.Abs(run)
		l.Tether = motion.Tether{On: true, OneWay: x > 0, At: w.hook, Dir: dir, Length: L, Pull: pull, Mass: w.lineMass}
	}
	if st.Lag != 0 && st.Aero != nil && !w.guided {
		w.lag(s, f, l, vb)
	}
}

// lag adds what the downwash of a moment ago does to the tail: a moment in
// proportion to the acceleration across the wing, as the forces so far have it
// (the line's own mass aside), in attached flow; it fades between 11 and 26
// degrees from the axis.
func (w *Workspace) lag(s *motion.State, f *motion.Frame, l *motion.Load, vb r3.Vec) {
	st := w.set
	v := math.Sqrt(dot(vb, vb))
	if !(vb.X > 0.9*v) {
		return
	}
	z := l.F.Z
	if l.Tether.On && l.Tether.Pull > 0 {
		z += l.Tether.Pull * f.Body(l.Tether.Dir).Z
	}
	vg := f.Body(s.Vel)
	change := z/st.Mass + st.Gravity*f[2][2] + s.Rate.Y*vg.X - s.Rate.X*vg.Y
	share := min(1, (vb.X/v-0.9)/0.08)
	m := st.Lag * st.AeroK.Damping * share * share * (3 - 2*share) * change
	l.M.Y += m
	l.Power[0] += m * s.Rate.Y
}

// pilot blends the stick from what is held to what the pilot does: wings level,
// nose to the climb. Only the frame's elements are used, so that it is smooth
// at any attitude but exactly inverted.
func (w *Workspace) pilot(t float64, s *motion.State, f *motion.Frame, sp, sr, sy float64) (p, r, y float64) {
	k := &w.set.Pilot
	x := 1.0
	if k.Ease > 0 {
		x = min(1, (t-w.pilotAt)/k.Ease)
	}
	b := x * x * (3 - 2*x)
	soft := func(v float64) float64 { return v / math.Sqrt(1+v*v) }
	nose := math.Sin(k.Climb) + f[2][0]
	p = soft(k.Pitch*nose*f[2][2] - k.Rate*s.Rate.Y)
	r = soft(-k.Roll*2*f[2][1]/math.Sqrt(2*(1+f[2][2])+0.02) - k.Rate*s.Rate.X)
	return sp + b*(p-sp), sr + b*(r-sr), sy * (1 - b)
}

// contact adds the ground's push and grip on sunken corners: springs in which
// the weight sinks 8 mm, damped (Hunt and Crossley's form), and dry friction
// smoothed over 0.1 m/s.
func (w *Workspace) contact(s *motion.State, f *motion.Frame, l *motion.Load) {
	for _, c := range w.corner {
		e := f.Earth(c)
		p := r3.Add(s.Pos, e)
		sink := p.Z + p.X*w.tanSlope
		if sink <= 0 {
			continue
		}
		v := r3.Add(s.Vel, f.Earth(cross(s.Rate, c)))
		down := v.Z + v.X*w.tanSlope
		n := w.contactK * sink * (1 + 3*down)
		if n <= 0 {
			continue
		}
		g := w.set.GrassGrip * n / math.Sqrt(v.X*v.X+v.Y*v.Y+0.01)
		fe := r3.Vec{X: -n*w.tanSlope - g*v.X, Y: -g * v.Y, Z: -n}
		fb := f.Body(fe)
		l.F = r3.Add(l.F, fb)
		l.M = r3.Add(l.M, cross(c, fb))
		l.Power[3] += dot(fe, v)
	}
}
