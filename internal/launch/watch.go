package launch

import (
	"math"

	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// lowest is the least height of any corner over ground; a lower bound when
// that is enough to know it is clear.
func (w *Workspace) lowest(s *motion.State, f *motion.Frame, exact bool) float64 {
	h := -s.Pos.Z - s.Pos.X*w.tanSlope
	if clear := h - w.reach*(1+math.Abs(w.tanSlope)); !exact && clear > 0.5 {
		return clear
	}
	ax, ay, az := f[2][0]+w.tanSlope*f[0][0], f[2][1]+w.tanSlope*f[0][1], f[2][2]+w.tanSlope*f[0][2]
	low := math.Inf(1)
	for i := range w.corner {
		c := &w.corner[i]
		if v := h - (ax*c.X + ay*c.Y + az*c.Z); v < low {
			low = v
		}
	}
	if len(w.corner) == 0 {
		return h
	}
	return low
}

// line gives the vector from the hook to the stake, earth axes, and its length.
func (w *Workspace) line(s *motion.State, f *motion.Frame) (to r3.Vec, length float64) {
	to = r3.Sub(w.stake, r3.Add(s.Pos, f.Earth(w.hook)))
	return to, math.Sqrt(dot(to, to))
}

// hold is the margin, as a sine, by which the hook holds the ring of a taut line.
func (w *Workspace) hold(s *motion.State) float64 {
	f := motion.FrameOf(s.Att)
	to, L := w.line(s, &f)
	return w.sinGrip - dot(f.Body(to), w.pin)/L
}

// ringPull is what acts on a ring on a slack line, as an acceleration in body
// axes: its weight with that of the line that hangs from it, and the drag of
// line and flag, which blows it aft.
func (w *Workspace) ringPull(s *motion.State, f *motion.Frame) r3.Vec {
	st := w.set
	h := -s.Pos.Z - s.Pos.X*w.tanSlope
	hang := 0.0
	if st.LineLength > 0 {
		hang = min(1, max(0, h)/st.LineLength) * max(0, st.LineMass-st.RingMass)
	}
	m := max(st.RingMass, 1e-4) + hang
	g := r3.Scale(st.Gravity, f.Down())
	vb, _ := w.airspeed(w.sim.T(), s, f)
	return r3.Sub(g, r3.Scale(0.5*st.Rho*w.dragArea*r3.Norm(vb)/m, vb))
}

// Guard is for the equations of motion (see motion.Guard).
func (w *Workspace) Guard(_ float64, s *motion.State, f *motion.Frame) (float64, int) {
	m, which := math.Inf(1), gNone
	try := func(v float64, k int) {
		if v < m {
			m, which = v, k
		}
	}
	if w.grass {
		low := w.lowest(s, f, true)
		try(0.02-low, gLift)
		try(low+0.08, gDig)
	} else if !w.guided {
		try(w.lowest(s, f, false), gGround)
	} else {
		try(w.set.Ramp-dot(r3.Add(s.Pos, r3.Vec{Z: w.startHeight}), w.guide), gRail)
	}
	switch w.phase {
	case taut:
		to, L := w.line(s, f)
		try(L-w.full, gSlack)
		try(w.sinGrip-dot(f.Body(to), w.pin)/L, gSlide)
		if !w.passed {
			try(w.stake.X+w.rule.Passed-s.Pos.X, gStake)
		}
	case slack:
		_, L := w.line(s, f)
		try(w.full-L+1e-9, gTaut)
		if !w.falling {
			p := w.ringPull(s, f)
			try(w.sinGrip*r3.Norm(p)-dot(p, w.pin), gFall)
		}
		if !w.passed {
			try(w.stake.X+w.rule.Passed-s.Pos.X, gStake)
		}
	}
	return m, which
}

// observe is called after each step.
func (w *Workspace) observe(m *motion.Sim) bool {
	w.steps++
	o, st := &w.out, w.set
	l := m.Load()
	if w.phase == taut && l.Tension > o.MaxTension {
		o.MaxTension = l.Tension
	}
	if !w.grass && !w.guided {
		// load factor along body z from the felt acceleration
		fr := m.Frame()
		n := -(fr[0][2]*l.Accel.X + fr[1][2]*l.Accel.Y + fr[2][2]*(l.Accel.Z-st.Gravity)) / st.Gravity
		if math.Abs(n) > math.Abs(o.MaxLoad) {
			o.MaxLoad = n
		}
	}
	from, to := m.Span()
	if (st.MaxTension > 0 && o.MaxTension > st.MaxTension) || (st.MaxLoad > 0 && math.Abs(o.MaxLoad) > st.MaxLoad) {
		w.finish(OverStress)
		return false
	}
	for ; w.nextLook <= to; w.nextLook += look {
		if w.nextLook < from {
			continue
		}
		w.record(from, w.nextLook)
		m.At(w.nextLook, &w.s)
		if w.inspect(w.nextLook, &w.s) {
			return false
		}
	}
	w.record(from, to)
	return true
}

// record writes the rows due up to t, inside the last step.
func (w *Workspace) record(from, t float64) {
	if w.set.Record <= 0 {
		return
	}
	for ; w.nextRow <= t+1e-12; w.nextRow += w.set.Record {
		if w.nextRow >= from {
			w.sim.At(w.nextRow, &w.rs)
			w.row(w.nextRow, &w.rs)
		}
	}
}

// inspect looks at one instant of the regular grid; true when the launch is
// decided.
func (w *Workspace) inspect(t float64, s *motion.State) bool {
	o, st := &w.out, w.set
	f := motion.FrameOf(s.Att)
	vb, h := w.airspeed(t, s, &f)
	V := math.Sqrt(dot(vb, vb))
	o.MaxSpeed = max(o.MaxSpeed, V)
	o.MaxHeight = max(o.MaxHeight, h)
	if w.loads.Flag&^plainStall != 0 && V > 0.7*w.stall {
		o.Status |= AirBeyond
	}
	if w.phase == taut {
		to, L := w.line(s, &f)
		vp := r3.Add(s.Vel, f.Earth(cross(s.Rate, w.hook)))
		o.MaxLine = max(o.MaxLine, dot(to, vp)/L)
		if w.snag(f.Body(r3.Scale(1/L, to)), L) {
			w.decide(LineSnag, t, s)
			return true
		}
	}
	if (w.grass || w.guided) && t > 0.5 && dot(s.Vel, s.Vel) < 0.0025 {
		w.decide(NeverLeft, t, s)
		return true
	}
	// While the line still pulls her along, an angle of attack beyond the stall
	// passes as she gains speed; from then on it is a departure.
	if st.Aero != nil && w.phase != taut {
		if math.Atan2(vb.Z, vb.X) > w.alphaStall && s.Vel.Z > 0 {
			w.stalledFor += look
			if w.stalledFor > w.rule.Stalled+1e-9 {
				w.decide(Departure, t, s)
				return true
			}
		} else {
			w.stalledFor = 0
		}
	}
	if math.IsNaN(w.released) {
		return false
	}
	o.Clearance = min(o.Clearance, w.lowest(s, &f, true))
	since := t - w.released
	least := w.rule.Least
	if !math.IsInf(w.started, 1) {
		least = max(least, min(w.started-w.released+0.5, w.rule.After))
	}
	w.flown += r3.Norm(r3.Sub(s.Pos, w.lastPos))
	w.lastPos = s.Pos
	far := w.flown >= w.rule.Distance
	if since < least || !(far || since >= w.rule.After) {
		return false
	}
	bank := math.Atan2(f[2][1], f[2][2])
	if h > w.startHeight && V >= w.rule.Stall*w.stall && math.Abs(bank) < w.rule.Bank && w.stalledFor == 0 && s.PathAngle() > -w.rule.Dive {
		w.decide(Airborne, t, s)
		return true
	}
	return false
}

// decide ends the launch at an instant inside the last step.
func (w *Workspace) decide(c Class, t float64, s *motion.State) {
	w.out.Class, w.out.Success = c, c == Airborne
	at := *s
	w.finishAt(t, &at)
}

// snag tells whether the taut line (direction d from the hook to the stake in
// body axes, length L) runs through the propeller's disc or over the tail.
func (w *Workspace) snag(d r3.Vec, L float64) bool {
	st := w.set
	if R := st.Prop.Radius; R > 0 && math.Abs(d.X) > 1e-6 {
		if k := (w.prop.X - w.hook.X) / d.X; k > 0 && k < L {
			y, z := w.hook.Y+k*d.Y-w.prop.Y, w.hook.Z+k*d.Z-w.prop.Z
			if y*y+z*z < R*R {
				if w.turning || st.Prop.Pusher {
					return true
				}
				w.out.Status |= LineThroughDisc
			}
		}
	}
	if d.X < -1e-6 { // pulling backwards: over any corner of the tail it fouls
		for i := range w.tail {
			c := &w.tail[i]
			k := (c.X - w.hook.X) / d.X
			if k <= 0 || k > L {
				continue
			}
			if z := w.hook.Z + k*d.Z; z < c.Z && math.Abs(w.hook.Y+k*d.Y) < math.Abs(c.Y)+0.02 {
				return true
			}
		}
	}
	return false
}

// ask evaluates the forces outside the motion's own count.
func (w *Workspace) ask(t float64, s *motion.State) *motion.Load {
	n := w.sim.Evals
	l := w.sim.Ask(t, s)
	w.sim.Evals = n
	w.extra++
	return l
}

// moment fills m for the state at t.
func (w *Workspace) moment(t float64, s *motion.State, m *Moment) {
	f := motion.FrameOf(s.Att)
	vb, h := w.airspeed(t, s, &f)
	roll, pitch, yaw := s.Euler()
	V := r3.Norm(vb)
	*m = Moment{T: t, Speed: V, Pitch: pitch, Bank: roll, Heading: yaw, Path: s.PathAngle(), Height: h, Along: s.Pos.X,
		StallRatio: V / w.stall, TrimRatio: math.NaN(), LineShort: math.NaN(), LineAngle: math.NaN()}
	if V > 1e-9 {
		m.Alpha = math.Atan2(vb.Z, vb.X)
	}
	if w.set.Way == Bungee {
		to, L := w.line(s, &f)
		d := f.Body(r3.Scale(1/L, to))
		m.Stretch = max(0, L-w.full)
		if w.phase == taut {
			m.LineAngle = math.Atan2(d.Z, d.X)
			m.LineShort = w.set.Hook.Short(d)
			m.Tension = w.ask(t, s).Tension
		}
	}
	if w.set.Aero == nil || m == &w.out.AtEnd && w.out.Released {
		return // the trim of the launch is that at release
	}
	if v, ok := w.trimSpeed(); ok {
		w.out.TrimSpeed = v
		m.TrimRatio = V / v
	} else {
		w.out.Status |= NoTrim
	}
}
