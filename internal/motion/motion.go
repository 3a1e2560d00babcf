// Package motion moves a rigid body with six degrees of freedom over a flat
// earth. It knows no aerodynamics: forces are asked through [Forces].
//
// Axes: earth axes north, east, down (NED), flat and not rotating; body axes
// x forward, y right, z down with the origin in the centre of gravity. SI,
// radians. The attitude is a unit quaternion, scalar first, that turns body
// vectors into earth vectors: v_earth = q v_body q*; its rate is
// q' = 1/2 q (0, w) with w the body-axis rates. The right-hand side divides by
// |q| wherever it uses q, so that a drift of the norm (of the order of the
// integrator's tolerance) cannot act on the motion; states handed out carry
// the renormalised quaternion.
//
//	m v' = R f + m g,   I w' = M - w x (I w),   p' = v
//
// with the full inertia tensor. Two constraints that launches need are solved
// in closed form inside the right-hand side: a [Tether], a line whose end has
// inertia of its own, and a [Guide], a straight rail.
//
// A run ends in exactly one [End] with its reason. The [Ledger] integrates
// the power of every force beside the motion; kinetic plus potential energy
// less the ledger is constant to the integrator's tolerance.
package motion

import (
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// StandardGravity is the conventional acceleration of free fall, m/s².
const StandardGravity = 9.80665

// State is the motion of the body at one instant.
type State struct {
	Pos  r3.Vec      // of the centre of gravity, NED, m
	Vel  r3.Vec      // of the centre of gravity over ground, NED, m/s
	Att  quat.Number // body to earth, unit
	Rate r3.Vec      // p, q, r: angular velocity over ground in body axes, rad/s
}

// Attitude gives the quaternion of the 3-2-1 Euler angles (yaw first, then
// pitch, then roll), rad.
func Attitude(roll, pitch, yaw float64) quat.Number {
	sr, cr := math.Sincos(roll / 2)
	sp, cp := math.Sincos(pitch / 2)
	sy, cy := math.Sincos(yaw / 2)
	return quat.Number{
		Real: cr*cp*cy + sr*sp*sy,
		Imag: sr*cp*cy - cr*sp*sy,
		Jmag: cr*sp*cy + sr*cp*sy,
		Kmag: cr*cp*sy - sr*sp*cy,
	}
}

// Euler gives roll and yaw in (-pi, pi] and pitch in [-pi/2, pi/2] of the
// state's attitude. At pitch ±90° roll and yaw are not unique: their sum or
// difference is right.
func (s *State) Euler() (roll, pitch, yaw float64) {
	f := FrameOf(s.Att)
	roll = math.Atan2(f[2][1], f[2][2])
	pitch = math.Asin(max(-1, min(1, -f[2][0])))
	yaw = math.Atan2(f[1][0], f[0][0])
	return
}

// PathAngle is the climb angle of the velocity over ground, rad, positive up;
// 0 at rest.
func (s *State) PathAngle() float64 {
	h := math.Hypot(s.Vel.X, s.Vel.Y)
	if h == 0 && s.Vel.Z == 0 {
		return 0
	}
	return math.Atan2(-s.Vel.Z, h)
}

// Frame is the rotation matrix that turns body vectors into earth vectors:
// its columns are the body axes in earth axes.
type Frame [3][3]float64

// FrameOf gives the rotation of a quaternion of any norm but zero.
func FrameOf(q quat.Number) (f Frame) {
	f.set(&q)
	return f
}

func (f *Frame) set(q *quat.Number) {
	w, x, y, z := q.Real, q.Imag, q.Jmag, q.Kmag
	n := 2 / (w*w + x*x + y*y + z*z)
	nx, ny, nz := n*x, n*y, n*z
	xx, yy, zz := nx*x, ny*y, nz*z
	xy, xz, yz := nx*y, nx*z, ny*z
	wx, wy, wz := nx*w, ny*w, nz*w
	f[0] = [3]float64{1 - yy - zz, xy - wz, xz + wy}
	f[1] = [3]float64{xy + wz, 1 - xx - zz, yz - wx}
	f[2] = [3]float64{xz - wy, yz + wx, 1 - xx - yy}
}

// Earth turns a body vector into earth axes.
func (f *Frame) Earth(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: f[0][0]*v.X + f[0][1]*v.Y + f[0][2]*v.Z,
		Y: f[1][0]*v.X + f[1][1]*v.Y + f[1][2]*v.Z,
		Z: f[2][0]*v.X + f[2][1]*v.Y + f[2][2]*v.Z,
	}
}

// Body turns an earth vector into body axes.
func (f *Frame) Body(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: f[0][0]*v.X + f[1][0]*v.Y + f[2][0]*v.Z,
		Y: f[0][1]*v.X + f[1][1]*v.Y + f[2][1]*v.Z,
		Z: f[0][2]*v.X + f[1][2]*v.Y + f[2][2]*v.Z,
	}
}

// Down is the axis of gravity in body axes (unit).
func (f *Frame) Down() r3.Vec { return r3.Vec{X: f[2][0], Y: f[2][1], Z: f[2][2]} }

// Body is the rigid body: mass, kg, and inertia tensor about the centre of
// gravity in body axes, kg m² (the off-diagonals are minus the products of
// inertia). Made by [NewBody].
type Body struct {
	Mass    float64
	Inertia [3][3]float64
	inverse [3][3]float64
}

// NewBody makes a body. ok is false when mass or tensor are not those of a
// real body: mass not positive, tensor not symmetric or not positive
// definite, or a principal moment larger than the sum of the other two (by
// more than 0.1 %, the rounding of measured values).
func NewBody(mass float64, inertia [3][3]float64) (b Body, ok bool) {
	b = Body{Mass: mass, Inertia: inertia}
	m := &inertia
	scale := m[0][0] + m[1][1] + m[2][2]
	sym := math.Abs(m[0][1]-m[1][0])+math.Abs(m[0][2]-m[2][0])+math.Abs(m[1][2]-m[2][1]) <= 1e-9*scale
	c00 := m[1][1]*m[2][2] - m[1][2]*m[2][1]
	c01 := m[1][2]*m[2][0] - m[1][0]*m[2][2]
	c02 := m[1][0]*m[2][1] - m[1][1]*m[2][0]
	det := m[0][0]*c00 + m[0][1]*c01 + m[0][2]*c02
	b.inverse = [3][3]float64{
		{c00 / det, (m[0][2]*m[2][1] - m[0][1]*m[2][2]) / det, (m[0][1]*m[1][2] - m[0][2]*m[1][1]) / det},
		{c01 / det, (m[0][0]*m[2][2] - m[0][2]*m[2][0]) / det, (m[0][2]*m[1][0] - m[0][0]*m[1][2]) / det},
		{c02 / det, (m[0][1]*m[2][0] - m[0][0]*m[2][1]) / det, (m[0][0]*m[1][1] - m[0][1]*m[1][0]) / det},
	}
	// A tensor of real mass is I = tr(J) 1 - J with J (the second moments of
	// mass) positive semidefinite: J = tr(I)/2 1 - I.
	h := scale / 2
	j := [3][3]float64{{h - m[0][0], -m[0][1], -m[0][2]}, {-m[1][0], h - m[1][1], -m[1][2]}, {-m[2][0], -m[2][1], h - m[2][2]}}
	e := 1e-3 * scale
	semi := j[0][0] >= -e && j[1][1] >= -e && j[2][2] >= -e &&
		(j[0][0]+e)*(j[1][1]+e)-j[0][1]*j[0][1] >= 0 &&
		(j[0][0]+e)*(j[2][2]+e)-j[0][2]*j[0][2] >= 0 &&
		(j[1][1]+e)*(j[2][2]+e)-j[1][2]*j[1][2] >= 0
	ok = mass > 0 && !math.IsInf(mass, 0) && sym && m[0][0] > 0 && m[0][0]*m[1][1]-m[0][1]*m[1][0] > 0 && det > 0 && semi
	return b, ok
}

func times(m *[3][3]float64, v r3.Vec) r3.Vec {
	return r3.Vec{
		X: m[0][0]*v.X + m[0][1]*v.Y + m[0][2]*v.Z,
		Y: m[1][0]*v.X + m[1][1]*v.Y + m[1][2]*v.Z,
		Z: m[2][0]*v.X + m[2][1]*v.Y + m[2][2]*v.Z,
	}
}

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

func dot(a, b r3.Vec) float64 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Momentum is the angular momentum about the centre of gravity, body axes.
func (b *Body) Momentum(rate r3.Vec) r3.Vec { return times(&b.Inertia, rate) }

// Turn is the angular acceleration that a moment gives at the given rates,
// rad/s²: I^-1 (M - w x I w).
func (b *Body) Turn(moment, rate r3.Vec) r3.Vec {
	h := times(&b.Inertia, rate)
	return times(&b.inverse, r3.Sub(moment, cross(rate, h)))
}

// Kinetic is the kinetic energy, J, of translation and rotation.
func (b *Body) Kinetic(s *State) float64 {
	return 0.5*b.Mass*dot(s.Vel, s.Vel) + 0.5*dot(s.Rate, times(&b.Inertia, s.Rate))
}

// Accounts is the number of accounts of the energy ledger.
const Accounts = 4

// Load is what acts on the body at one instant. [Forces] fills it; the fields
// under Results are filled by the equations of motion.
type Load struct {
	F r3.Vec // force without gravity and without tether, body axes, N
	M r3.Vec // moment about the centre of gravity, body axes, N m
	// Power put into the body by each account, W. It is for Forces to say
	// which force goes to which account; what no account names is lost from
	// the ledger. The tether's power is added to account TetherAccount, the
	// guide's friction to GuideAccount.
	Power  [Accounts]float64
	Tether Tether
	Guide  Guide

	// Results.
	Tension float64 // N, >= 0 when Tether.OneWay
	Accel   r3.Vec  // of the centre of gravity, earth axes, m/s²
	Turn    r3.Vec  // angular acceleration, body axes, rad/s²
	Normal  float64 // force on the guide, N
}

// Accounts of the ledger that the equations of motion fill themselves.
const (
	TetherAccount = 2
	GuideAccount  = 3
)

// Tether is a straight line from the point At of the body to a fixed anchor,
// pulled with the force Pull and carrying the inertia Mass of its moving end
// (a third of a stretched cord, the whole of a line). With L the distance
// from point to anchor and B = e.(inverse mass of the body at the point).e,
// its tension T follows in closed form from the acceleration of the point:
//
//	L'' = A - T B,  T = Pull + Mass L''  =>  T = (Pull + Mass A)/(1 + Mass B)
//
// where A is L” without the line, centripetal term included.
type Tether struct {
	On     bool
	OneWay bool    // pulls only
	At     r3.Vec  // body axes from the centre of gravity, m
	Dir    r3.Vec  // from the point to the anchor, earth axes, unit
	Length float64 // distance to the anchor, m
	Pull   float64 // N
	Mass   float64 // kg
}

// Guide is a straight frictional rail along which the body slides without
// turning, forward only: it stays where it is while the forces do not move it.
type Guide struct {
	On       bool
	Dir      r3.Vec // earth axes, unit
	Friction float64
}

// Forces fills l with what acts on a body in state s at time t; f is the
// frame of s. It must be a smooth function between the instants at which its
// owner switches it (see internal/num), and must not keep s, f or l.
type Forces interface {
	Forces(t float64, s *State, f *Frame, l *Load)
}

// accelerate solves the equations of motion for one instant.
func accelerate(b *Body, gravity float64, s *State, f *Frame, l *Load) {
	im := 1 / b.Mass
	if l.Guide.On {
		slide(b, gravity, s, f, l)
		return
	}
	acc := f.Earth(l.F)
	acc = r3.Vec{X: acc.X * im, Y: acc.Y * im, Z: acc.Z*im + gravity}
	turn := b.Turn(l.M, s.Rate)
	l.Tension, l.Normal = 0, 0
	if t := &l.Tether; t.On {
		e := f.Body(t.Dir)
		arm := cross(t.At, e)
		give := times(&b.inverse, arm)
		spin := cross(s.Rate, cross(s.Rate, t.At))
		// acceleration of the point, towards the anchor, without the line
		toward := dot(t.Dir, acc) + dot(e, r3.Add(cross(turn, t.At), spin))
		vp := r3.Add(s.Vel, f.Earth(cross(s.Rate, t.At)))
		along := dot(t.Dir, vp)
		across2 := max(0, dot(vp, vp)-along*along)
		bb := im + dot(arm, give)
		a := across2/max(t.Length, 1e-6) - toward
		T := (t.Pull + t.Mass*a) / (1 + t.Mass*bb)
		if t.OneWay && T < 0 {
			T = 0
		}
		l.Tension = T
		acc = r3.Add(acc, r3.Scale(T*im, t.Dir))
		turn = r3.Add(turn, r3.Scale(T, give))
		l.Power[TetherAccount] += T * along
	}
	l.Accel, l.Turn = acc, turn
}

// slide is accelerate on a guide.
func slide(b *Body, gravity float64, s *State, f *Frame, l *Load) {
	d := l.Guide.Dir
	fe := f.Earth(l.F)
	fe.Z += b.Mass * gravity
	speed := dot(s.Vel, d)
	meff := b.Mass
	T := 0.0
	l.Normal = 0
	var along, cd float64
	t := &l.Tether
	if t.On {
		cd = dot(d, t.Dir)
		along = speed * cd
		// friction needs the side load, which needs the tension: two passes
		T = t.Pull
		for range 2 {
			all := r3.Add(fe, r3.Scale(T, t.Dir))
			n := r3.Norm(r3.Sub(all, r3.Scale(dot(all, d), d)))
			toward := cd * (dot(fe, d) - l.Guide.Friction*n) / meff
			a := speed*speed*(1-cd*cd)/max(t.Length, 1e-6) - toward
			T = (t.Pull + t.Mass*a) / (1 + t.Mass*cd*cd/meff)
			if t.OneWay && T < 0 {
				T = 0
			}
		}
		fe = r3.Add(fe, r3.Scale(T, t.Dir))
	}
	push := dot(fe, d)
	l.Normal = r3.Norm(r3.Sub(fe, r3.Scale(push, d)))
	net := push - l.Guide.Friction*l.Normal
	if speed <= 0 && net < 0 {
		net, speed = 0, 0
	}
	l.Tension = T
	l.Accel = r3.Scale(net/meff, d)
	l.Turn = r3.Vec{}
	l.Power[TetherAccount] += T * along
	l.Power[GuideAccount] -= l.Guide.Friction * l.Normal * speed
}
