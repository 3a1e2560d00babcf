package launch

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/air"
	"fledge/internal/craft"
	"fledge/internal/motion"
	"fledge/internal/power"

	"gonum.org/v1/gonum/spatial/r3"
)

// warmRef is the temperature at which a cord known by its size has the
// tabulated modulus, K (Treloar measured at 20 °C, from memory).
const warmRef = 293.15

// FromAircraft makes the launch that the build describes, in the air st, with
// nothing scattered and no gust. model and drive may be nil (drive is for a
// glider). What the build does not say stays at the neutral values of
// [Defaults]; craft fills in the rest.
func FromAircraft(ac *craft.Aircraft, model *aero.Model, drive *power.Model, st air.State) Setup {
	s := Defaults()
	s.Refill(ac, model, drive, st)
	return s
}

// Prepare finds once where the search of the stall begins, so that each run
// need not: worth a few percent when one setup is flown many times or copied
// into draws.
func (s *Setup) Prepare() {
	w := NewWorkspace()
	var first motion.State
	s.StallAngle = 0
	if w.begin(s, &first) && !math.IsInf(w.alphaStall, 1) {
		s.StallAngle = w.alphaStall
	}
}

// Refill is FromAircraft into an existing setup: for draws. It writes all that
// comes from the aircraft, the drive and the air, keeps factors, the start of
// the stall search, gust, turbulence, rule, accuracy and recording, and reuses slices that belong to
// s alone.
func (s *Setup) Refill(ac *craft.Aircraft, model *aero.Model, drive *power.Model, st air.State) {
	l := &ac.Launch
	s.Way = Bungee
	if l.By == "hand" {
		s.Way = Hand
	}
	s.Mass, s.Inertia, s.CG = ac.Mass.Total, ac.Mass.Inertia, ac.Mass.CG
	s.Reference = ac.Ref.Point
	s.Aero, s.Lag = nil, 0
	if model != nil {
		s.Aero, s.Lag = model, model.Lag(st.Rho, ac.Mass.CG)
	}
	if len(ac.Surfaces) == 0 || s.shape != &ac.Surfaces[0] || len(s.Corners) == 0 { // craft copies the surfaces when their shape changes
		s.Corners = hull(s.Corners[:0], ac.Corners())
		s.Tail = tail(s.Tail[:0], ac)
		s.shape = nil
		if len(ac.Surfaces) > 0 {
			s.shape = &ac.Surfaces[0]
		}
	}

	s.Motor, s.MotorOff = nil, true
	if drive != nil {
		p := &ac.Power.Propeller
		s.Motor, s.MotorOff = drive, l.MotorOff
		s.Prop = Propeller{At: p.At, Radius: p.Diameter / 2, Turn: drive.Turn(), Inertia: drive.RotorInertia(),
			Down: ac.Power.Down, Right: ac.Power.Right, Pusher: ac.Power.Place == "pusher"}
		s.Spool = drive.SpoolTime()
	}
	s.MotorDelay, s.Throttle = l.MotorDelay, l.Throttle
	if most := ac.Power.Throttle; most > 0 {
		s.Throttle = math.Min(s.Throttle, most)
	}

	s.StickPitch, s.StickRoll, s.StickYaw = l.StickPitch, l.StickRoll, l.StickYaw
	s.StickUntil, s.Damper = l.StickUntil, l.Damper
	s.TakeOver = Reaction

	switch h := &l.Held; h.By {
	case "grass":
		s.Hold = OnGrass
	case "cradle":
		s.Hold = InCradle
	case "ramp":
		s.Hold = OnRamp
	default:
		s.Hold = ByHand
	}
	s.Height, s.NoseUp, s.Roll, s.Aim, s.Ramp = l.Held.Height, l.Held.NoseUp, l.Held.Roll, l.Held.Aim, l.Held.Ramp
	s.RampFriction = 0.3 // foam or film on wood: our choice
	s.Speed, s.PathUp = l.Throw.Speed, l.Throw.PathUp
	s.RateP, s.RateQ, s.RateR = l.Throw.RateP, l.Throw.RateQ, l.Throw.RateR

	if s.Way == Bungee {
		b := &l.Bungee
		s.setCord(b, st.T)
		s.Returned, s.Stretch = b.Returned, b.Stretch
		s.LineLength, s.LineDiameter, s.LineMass, s.FlagDrag = b.LineLength, b.LineDiameter, b.LineMass, b.FlagDrag
		s.RingMass = math.Min(0.005, b.LineMass)
		s.StakeHeight = b.StakeHeight
		s.Hook.At, s.Hook.Rake, s.Hook.Friction, s.Hook.Depth, s.Hook.Burr = b.Hook, b.Rake, b.Friction, b.Depth, b.Burr
		s.MaxTension = 0
		for _, h := range [...]float64{b.Limit, b.StakeHolds, ac.HookPad.Holds * float64(max(1, b.HookCount))} {
			if h > 0 && (s.MaxTension == 0 || h < s.MaxTension) {
				s.MaxTension = h
			}
		}
	}
	s.MaxLoad = ac.Limits.LoadFactor

	s.Rho, s.Mu = st.Rho, st.Mu
	z0 := air.DefaultZ0
	if r, ok := air.Surface(ac.Day.Surface); ok {
		z0 = r.Z0
	}
	s.Wind = air.Wind{}
	if w, err := air.NewWind(ac.Day.Wind, ac.Day.WindHeight, ac.Day.OffAxis, z0); err == nil {
		s.Wind = w
	}
	s.Slope = ac.Day.Slope
	s.GrassGrip = grip(ac.Day.Surface)
}

// setCord keeps the cord when only its scale changed: readings that are
// those it was made from times one factor.
func (s *Setup) setCord(b *craft.Bungee, T float64) {
	if n := len(b.PullForce); n > 0 {
		s.CordFactor = 1
		if c := s.Cord; c != nil && len(c.pull) == n && c.Slack == b.Slack {
			k := b.PullForce[0] / c.pull[0]
			same := k > 0
			for i := range c.pull {
				same = same && c.stretch[i] == b.PullStretch[i] && math.Abs(b.PullForce[i]-k*c.pull[i]) <= 1e-9*b.PullForce[i]
			}
			if same {
				s.CordFactor = k
				if c.Mass != b.CordMass {
					d := *c
					d.Mass = b.CordMass
					s.Cord = &d
				}
				return
			}
		}
		s.Cord = nil
		if c, ok := CordFromPull(b.PullStretch, b.PullForce, b.Slack, b.CordMass); ok {
			s.Cord = &c
		}
		return
	}
	s.Cord = nil
	if c, ok := CordFromSize(b.Outer, b.Bore, b.Slack, max(1, b.Strands), b.CordMass, NaturalRubber); ok {
		s.Cord = &c
	}
	s.CordFactor = 1
	if T > 0 {
		s.CordFactor = Warmth(T, warmRef)
	}
}

// SetGust sets a gust of the given rise over the mean wind, m/s, blowing along
// the mean wind (against the launch in calm air), 25 m of air long. phase
// 0..1 slides it over the launch: at 0 it has just passed the start, at 1 it
// begins 60 m of air further on.
func (s *Setup) SetGust(rise, phase float64) {
	const length, path = 25.0, 60.0
	sn, cs := math.Sincos(s.Wind.From)
	s.Gust = Gust{Head: rise * cs, Right: -rise * sn, Length: length, Start: -length + phase*(length+path)}
}

// grip is the friction of a belly on the ground: foam or film on grass 0.3 to
// 0.6 (reference flight 4, assumption); other surfaces our choice.
func grip(surface string) float64 {
	switch surface {
	case "tarmac", "sand", "mud":
		return 0.5
	case "snow":
		return 0.15
	case "long grass", "low crops", "high crops", "bushes":
		return 0.6
	}
	return 0.45
}

// hull keeps of a cloud of points those that can be the lowest in some
// attitude: the extreme ones in 98 directions over the sphere.
func hull(out, pts []r3.Vec) []r3.Vec {
	if len(pts) <= 14 {
		return append(out, pts...)
	}
	keep := make([]bool, len(pts))
	for i := range 7 {
		el := (float64(i)/6 - 0.5) * math.Pi
		for j := range 14 {
			az := float64(j) / 14 * 2 * math.Pi
			d := r3.Vec{X: math.Cos(el) * math.Cos(az), Y: math.Cos(el) * math.Sin(az), Z: math.Sin(el)}
			best, k := math.Inf(-1), -1
			for p := range pts {
				if v := dot(pts[p], d); v > best+1e-12 {
					best, k = v, p
				}
			}
			if k >= 0 {
				keep[k] = true
			}
		}
	}
	for p := range pts {
		if keep[p] {
			out = append(out, pts[p])
		}
	}
	return out
}

// tail is the corners of all surfaces but the main wing behind it, which a
// line pulling backwards may foul.
func tail(out []r3.Vec, ac *craft.Aircraft) []r3.Vec {
	for i := range ac.Surfaces {
		sf := &ac.Surfaces[i]
		if i == ac.Ref.Wing || len(sf.Stations) == 0 || sf.Stations[0].LE.X < ac.Ref.XLE {
			continue
		}
		for _, j := range [...]int{0, len(sf.Stations) - 1} {
			p := sf.Stations[j].LE
			out = append(out, p)
			if sf.Mirrored {
				out = append(out, r3.Vec{X: p.X, Y: -p.Y, Z: p.Z})
			}
		}
	}
	return out
}
