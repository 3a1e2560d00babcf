package control

import "math"

// What building leaves open of a linkage, one standard deviation: an arm square
// to a degree, each other angle to a degree, the pulse's slope to a tenth, of a
// servo measured to a fiftieth (our choice, as [ControlSheet.PulseSigma]).
const (
	builtAngle    = math.Pi / 180
	builtSlope    = 0.10
	measuredSlope = 0.02
)

// Built disturbs the servo angles, pulses and linkage angles of the sheet of a
// draw by what building leaves open; z gives standard normal numbers. What is
// commanded, edges and throws, stays.
func (sh *Sheet) Built(z func() float64) {
	for i := range sh.Controls {
		cs := &sh.Controls[i]
		if !cs.Described || cs.State != OK {
			continue
		}
		share := builtSlope
		if cs.PulseGiven {
			share = measuredSlope
		}
		arm, slope := builtAngle*z(), share*z()
		set := func(s *Stop) {
			s.Pulse += cs.Pulse.PerRad * (arm + slope*s.Servo)
			s.Servo += arm
		}
		for k := range cs.Stops {
			set(&cs.Stops[k])
		}
		set(&cs.Want)
		for k, p := range cs.Ends {
			cs.Ends[k] += cs.Pulse.PerRad*arm + slope*(p-cs.Pulse.Centre)
		}
		atArm, atHorn, lean := builtAngle*z(), builtAngle*z(), builtAngle*z()
		t := &cs.Travel
		t.LeastAtArm, t.LeastAtHorn, t.MostSide = t.LeastAtArm+atArm, t.LeastAtHorn+atHorn, math.Abs(t.MostSide+lean)
		for k := range t.Rows {
			r := &t.Rows[k]
			r.Delta -= r.Ratio * arm
			r.AtArm, r.AtHorn = r.AtArm+atArm, r.AtHorn+atHorn
			r.SideArm, r.SideHorn = math.Abs(r.SideArm+lean), math.Abs(r.SideHorn+lean)
		}
		for k := range cs.Locks {
			cs.Locks[k].Theta += arm
		}
		cs.Skew = math.Abs(cs.Skew + builtAngle*z())
		left := [2]float64{builtAngle * z(), share * z()}
		for _, rows := range [][]LaunchRow{sh.Launch, sh.Lost} {
			for k := range rows {
				if r := &rows[k]; r.Control == cs.Name {
					r.PulseR += cs.Pulse.PerRad*arm + slope*(r.PulseR-cs.Pulse.Centre)
					r.PulseL += cs.Pulse.PerRad*left[0] + left[1]*(r.PulseL-cs.Pulse.Centre)
				}
			}
		}
		cs.Pulse.Centre += cs.Pulse.PerRad * arm
		cs.Pulse.PerRad *= 1 + slope
		cs.Room = math.Max(0, cs.Room+roomSigma*z())
	}
}

// roomSigma is one standard deviation of the clearance to the skin, m.
const roomSigma = 0.3e-3
