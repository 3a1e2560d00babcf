package launch

import (
	"math"

	"fledge/internal/air"
	"fledge/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// double is a plain aeroplane for tests of the launch itself: attached lift
// line blended into flat-plate forces, constant moment slopes. It is not an
// aerodynamic model.
type double struct {
	S, b, c                float64
	CL0, CLa, CLp, stall   float64 // CLp: lift of pitch control; stall: angle where the blend is half
	CD0, K                 float64
	Cm0, Cma, Cmd, Cmq     float64
	CYb, Clb, Clp, Clr     float64
	Clda, Cnb, Cnr, Cndr   float64
	throw, neutral, rollTh float64
}

func plainDouble() *double {
	return &double{S: 0.145, b: 0.96, c: 0.155, CL0: 0.22, CLa: 4.7, CLp: 0.35, stall: 15 * degree,
		CD0: 0.032, K: 0.06, Cm0: 0.0, Cma: -0.55, Cmd: 0.9, Cmq: -9,
		CYb: -0.35, Clb: -0.06, Clp: -0.45, Clr: 0.12, Clda: 0.25, Cnb: 0.06, Cnr: -0.09, Cndr: 0.05,
		throw: 20 * degree, neutral: 1 * degree, rollTh: 18 * degree}
}

func (d *double) Stick(p, r, y float64) (float64, float64, float64) {
	return d.neutral + p*d.throw, r * d.rollTh, y * d.throw
}

func (d *double) Eval(f *Flow, k *AeroFactors, out *Loads) {
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	q := 0.5 * f.Rho * f.V * f.V
	w := 1 / (1 + math.Exp((math.Abs(f.Alpha)-d.stall*k.ClMax)/(1.5*degree))) // 1 attached
	att := (d.CL0 + k.CL0 + d.CLa*f.Alpha) * k.Lift
	plate := 2 * sa * math.Abs(sa) * ca * 0.9
	CL := w*att + (1-w)*plate*1.1 - d.CLp*f.Pitch*k.Control*ca
	CD := (d.CD0*k.Drag + w*d.K*att*att + (1-w)*1.8*sa*sa) + k.DragArea/d.S
	if f.Height < 1e6 { // a little ground effect
		CD -= w * d.K * att * att * 0.4 * math.Exp(-4*f.Height/d.b)
	}
	// wind axes: drag along -airspeed, lift normal
	X := -CD*ca*cb + CL*sa
	Z := -CD*sa*cb - CL*ca
	Y := d.CYb*f.Beta - CD*sb
	hv := f.V * f.Rho * d.S * 0.25 // q/(2V) rho-weighted: rate terms
	Cm := d.Cm0 + k.Cm0 + w*d.Cma*f.Alpha + (1-w)*(-0.55*sa) + d.Cmd*f.Pitch*k.Control*ca
	out.F = r3.Scale(q*d.S, r3.Vec{X: X, Y: Y, Z: Z})
	out.M = r3.Vec{
		X: q*d.S*d.b*(d.Clb*f.Beta+d.Clda*f.Roll*k.Control) + hv*d.b*d.b*(d.Clp*f.P+d.Clr*f.R)*k.Damping,
		Y: q*d.S*d.c*Cm + hv*d.c*d.c*d.Cmq*f.Q*k.Damping,
		Z: q*d.S*d.b*(d.Cnb*f.Beta+d.Cndr*f.Yaw*k.Control) + hv*d.b*d.b*d.Cnr*f.R*k.Damping,
	}
	if w < 0.5 {
		out.Flag = 1
	} else {
		out.Flag = 0
	}
}

// drive is a plain motor and propeller.
type drive struct{ static, vmax, omega, torque float64 }

func (d *drive) At(v, throttle float64, k *PowerFactors) Point {
	t := throttle * throttle * d.static * (1 - v/d.vmax) * k.Thrust
	return Point{Thrust: t, Torque: d.torque * throttle * throttle, Omega: d.omega * throttle, Throttle: throttle}
}
func (d *drive) Stopped(v float64) float64 { return 0.5 * 1.225 * v * v * 0.002 }

const mm = 1e-3

func r3Vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// trainer is a V-tail of about 1 kg on a bungee: our own scenario.
func trainer() Setup {
	s := Defaults()
	s.Mass = 1.0
	s.Inertia = [3][3]float64{{0.022, 0, -0.001}, {0, 0.035, 0}, {-0.001, 0, 0.055}}
	s.CG = r3.Vec{X: 0.325, Z: 0}
	s.Reference = r3.Vec{X: 0.333, Z: 0.012}
	s.Corners = []r3.Vec{
		{X: 0}, {X: 0.12, Z: -0.035}, {X: 0.42, Z: -0.031}, {X: 0.79, Z: -0.012},
		{X: 0.30, Y: 0.48, Z: 0.02}, {X: 0.30, Y: -0.48, Z: 0.02}, {X: 0.395, Y: 0.48, Z: 0.02}, {X: 0.395, Y: -0.48, Z: 0.02},
		{X: 0.79, Y: 0.15, Z: 0.118}, {X: 0.79, Y: -0.15, Z: 0.118},
	}
	s.Tail = []r3.Vec{{X: 0.79, Z: 0.015}, {X: 0.79, Y: 0.15, Z: 0.118}, {X: 0.79, Y: -0.15, Z: 0.118}}
	s.Aero = plainDouble()
	s.Motor = &drive{static: 11, vmax: 48, omega: 2000, torque: 0.09}
	s.Prop = Propeller{At: r3.Vec{X: 0.01}, Radius: 0.076, Turn: 1, Inertia: 1.5e-5}
	s.MotorDelay = 0.6
	s.Height, s.NoseUp = 1.4, 10*degree
	c, ok := CordFromPull([]float64{2, 6, 10}, []float64{18, 45, 66}, 10, 0.5)
	if !ok {
		panic("cord")
	}
	s.Cord = &c
	s.Stretch = 9
	s.LineLength, s.LineDiameter, s.LineMass, s.StakeHeight = 18, 0.001, 0.021, 0.05
	s.Hook = Hook{At: r3.Vec{X: 0.285, Z: -0.04}, Rake: 35 * degree, Friction: 0.25, Depth: 0.008}
	s.StickPitch = 0.25
	w, err := air.NewWind(3, 10, 0, 0.02)
	if err != nil {
		panic(err)
	}
	s.Wind = w
	return s
}

var _ motion.Forces = (*Workspace)(nil)

func windOf(v float64) air.Wind {
	w, err := air.NewWind(v, 10, 0, 0.02)
	if err != nil {
		panic(err)
	}
	return w
}
