package control

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/craft"
)

// lesser is the smaller of two numbers; a missing one does not count.
func lesser(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

// shares are what to enter for each axis of a mixed control so that each
// alone gives its own throw, the servo's full travel being what the pulse
// range and the linkage give to the nearer side.
func (cs *ControlSheet) shares(k Linkage, up, down, trim float64) {
	m := &cs.Mix
	var axes []string
	for _, a := range []struct {
		name string
		t    Throws
	}{{"pitch", m.Pitch}, {"roll", m.Roll}, {"yaw", m.Yaw}} {
		if a.t.Up != 0 || a.t.Down != 0 {
			axes = append(axes, a.name)
		}
	}
	if len(axes) != 2 {
		return
	}
	full := math.Inf(1)
	for _, p := range []float64{cs.Pulse.Min, cs.Pulse.Max} {
		q, st := k.At(math.Max(-cs.ServoTravel, math.Min(cs.ServoTravel, cs.Pulse.Angle(p))))
		if st != OK {
			return
		}
		full = math.Min(full, math.Abs(q.Delta-trim))
	}
	throw := math.Max(up, down)
	a, b, over := Shares(throw, throw, full)
	cs.Shares, cs.Over = []MixShare{{axes[0], a}, {axes[1], b}}, over
}

// measured goes from heights at the ruler back to what is set. With one side
// read, the other is not known: its throws and the unevenness are NaN.
func measured(h *craft.Heights) (Found, string) {
	if !(h.Chord > 0) {
		return Found{}, ""
	}
	side := func(up, mid, down float64) bool { return finite(up, mid, down) }
	r, l := side(h.RightUp, h.RightMid, h.RightDown), side(h.LeftUp, h.LeftMid, h.LeftDown)
	in := Reading{Chord: h.Chord, Sigma: h.Sigma, RightUp: h.RightUp, RightMid: h.RightMid, RightDown: h.RightDown, LeftUp: h.LeftUp, LeftMid: h.LeftMid, LeftDown: h.LeftDown}
	say := "both sides"
	switch {
	case r && !l:
		in.LeftUp, in.LeftMid, in.LeftDown, say = in.RightUp, in.RightMid, in.RightDown, "right side"
	case l && !r:
		in.RightUp, in.RightMid, in.RightDown, say = in.LeftUp, in.LeftMid, in.LeftDown, "left side"
	case !r && !l:
		return Found{}, ""
	}
	f, ok := in.Read()
	if !ok {
		return Found{}, ""
	}
	switch say {
	case "right side":
		f.LeftUp, f.LeftDown, f.Uneven, f.RollAsked = nan, nan, nan, nan
	case "left side":
		f.RightUp, f.RightDown, f.Uneven, f.RollAsked = nan, nan, nan, nan
	}
	return f, say
}

// judgeRoom adds what is judged of dead centres, binding, clearance and
// measured heights.
func (sh *Sheet) judgeRoom(ac *craft.Aircraft, cs *ControlSheet) {
	if len(cs.Locks) > 0 {
		k := cs.Locks[0]
		for _, l := range cs.Locks {
			if math.Abs(l.Theta) < math.Abs(k.Theta) {
				k = l
			}
		}
		r := Result{
			ID: "setup.lock." + cs.Name, Label: "servo angle at which the linkage of " + cs.Name + " " + k.Kind.String(), Unit: "rad", Value: math.Abs(k.Theta), Sigma: math.Pi / 180, Min: cs.ServoTravel, Max: nan, Safety: true,
			Because: fmt.Sprintf("It %s at %+.0f° of servo, with the edge at %+.0f°; the servo may travel %.0f° to either side.", k.Kind, k.Theta*180/math.Pi, k.Delta*180/math.Pi, cs.ServoTravel*180/math.Pi),
			Caution: "A servo driven past a dead centre jams the surface hard over: set the end points before the rod goes on.",
			How:     "a longer horn or a shorter arm; end points limited in the transmitter, and that travel given (travel)", Refs: []cite.Ref{cite.NortonMachinery.At("dead centres of a four-bar", cite.Memory), cite.Ours.At("constant rod length in space", cite.Derived)},
		}
		if cs.TravelGuessed {
			r.Because += " That travel is assumed."
		}
		sh.Results = append(sh.Results, r.Judge())
	}
	lean := Result{
		ID: "setup.lean." + cs.Name, Label: "lean of the rod out of the plane of arm or horn, " + cs.Name, Unit: "rad", Value: cs.Travel.MostSide, Sigma: math.Pi / 180, Min: nan, Max: Find(Limits, "setup.lean").Value,
		Because: fmt.Sprintf("The hinge line lies %.0f° askew of the servo's shaft; a fork binds and twists its pins beyond the limit.", cs.Skew*180/math.Pi), How: "a ball end, a servo turned to the hinge line, a longer rod", Refs: []cite.Ref{Find(Limits, "setup.lean").Ref},
	}
	sh.Results = append(sh.Results, lean.Judge())
	if cs.RoomKnown {
		r := Result{
			ID: "setup.clearance." + cs.Name, Label: "clearance of arm and rod to the skin, " + cs.Name, Unit: "m", Value: cs.Room, Sigma: roomSigma, Min: Find(Limits, "setup.clearance").Value, Max: nan,
			Because: fmt.Sprintf("Over the whole servo travel the arm's hole stands %.1f to %.1f mm over the shaft.", cs.Travel.ArmLow*1e3, cs.Travel.ArmHigh*1e3), How: "a shorter arm, a servo set deeper, a slot farther forward, less travel", Refs: []cite.Ref{Find(Limits, "setup.clearance").Ref},
		}
		if r.Value < 0 {
			r.Because += " It fouls the skin: thin shells crack when they are cut for it."
		}
		sh.Results = append(sh.Results, r.Judge())
	}
	if cs.FoundState != "" {
		c := cs.Found
		r := Result{
			ID: "setup.heights." + cs.Name, Label: "neutral of " + cs.Name + " as measured against what trim wants", Unit: "rad", Value: math.Abs(c.Reflex - cs.WantPitch), Sigma: c.Sigma, Min: nan, Max: Find(Limits, "setup.heights").Value,
			How: "set the neutral to what is wanted, both sides alike", Refs: []cite.Ref{Find(Limits, "setup.heights").Ref},
		}
		if math.IsNaN(cs.WantPitch) {
			r.Value = math.Abs(c.Reflex - cs.Mix.Pitch.Trim)
			r.Label = "neutral of " + cs.Name + " as measured against the build"
		}
		r.Because = fmt.Sprintf("By the ruler (%s) it stands at %+.1f° ± %.1f°.", cs.FoundState, c.Reflex*180/math.Pi, 2*c.Sigma*180/math.Pi)
		if finite(c.Uneven) {
			r.Because += fmt.Sprintf(" The right side stands %+.1f° over the left, as if %.1f° of roll were held.", c.Uneven*180/math.Pi, math.Abs(c.RollAsked)*180/math.Pi)
		}
		want := cs.WantPitch
		if math.IsNaN(want) {
			want = cs.Mix.Pitch.Trim
		}
		if turn := want - c.Reflex; finite(turn) && math.Abs(turn) > 1e-4 {
			way := "up"
			if turn < 0 {
				way = "down"
			}
			r.How = fmt.Sprintf("move the neutral %.1f° %s: the edge %.1f mm", math.Abs(turn)*180/math.Pi, way, math.Abs(EdgeHeight(cs.Flap.Widest, want)-EdgeHeight(cs.Flap.Widest, c.Reflex))*1e3)
			if cs.Described && cs.State == OK {
				a, b := cs.stopFor(ac, "", c.Reflex), cs.stopFor(ac, "", want)
				if a.Status == OK && b.Status == OK {
					r.How += fmt.Sprintf(", the servo's midpoint %+.0f µs", (b.Pulse-a.Pulse)*1e6)
				}
			}
			r.How += ", both sides alike"
		}
		sh.Results = append(sh.Results, r.Judge())
	}
}

// lost sets the sticks to store for a lost link when nothing flies it home:
// motor off, the pitch that trims 1.3 times the stall speed, a tenth of the
// turning stick; for a steep descent, full up and full turn.
func (sh *Sheet) lost(ac *craft.Aircraft, air Airframe, w Wish) {
	turn := 1
	pitchUp, pitched := 0.0, false
	for i := range sh.Controls {
		c := &ac.Surfaces[sh.Controls[i].Surface].Controls[sh.Controls[i].Index]
		if c.Yaw != 0 {
			turn = 2
		}
		if c.Pitch != 0 && !pitched {
			pitched, pitchUp = true, c.ThrowUp
			want := nan
			if air != nil && w.StallSpeed > 0 {
				if t := Level(air, ac.Mass.Total*gravity, 1.3*w.StallSpeed, 1); t.Why == "" {
					want = t.Pitch
				}
			}
			if sign := senseOf(ac, sh.Controls[i].Surface, sh.Controls[i].Index); finite(want) && pitchUp > 0 {
				x := (want - sign*c.Trim) / pitchUp
				sh.LostSigma /= pitchUp
				if math.Abs(x) > 1 {
					sh.Notes = append(sh.Notes, fmt.Sprintf("the glide at 1.3 times the stall speed wants %.0f %% of the pitch stick: full stick is stored, and it will glide at another speed", 100*x))
					x = math.Copysign(1, x)
				}
				sh.LostSticks[0] = x
			}
		}
	}
	sh.LostSticks[turn] = 0.1
	if ac.Flight.Home.Link == "straight down" {
		sh.LostSticks = [3]float64{1, 0, 0}
		sh.LostSticks[turn] = 1
	}
	sh.Lost = sh.rows(ac, sh.LostSticks)
}

// Wanted are the failsafes for what the build wants of a lost signal.
func Wanted(home bool, w craft.Home) []Failsafe {
	out := Failsafes(home && (w.Link == "" || w.Link == "return home"))
	switch w.Link {
	case "return home":
		if !home {
			out[0].Why += "; return-home is wanted but no autopilot stands among the parts"
		}
	case "straight down":
		out[0].Surfaces = "full up and full turn: a steep spiral"
		out[0].Why = "it must not leave the field; it will be damaged"
	}
	switch w.Picture {
	case "return home":
		out[1].Surfaces = "centre the sticks, switch return-home on"
		if !home {
			out[1].Why = "return-home is wanted but no autopilot stands among the parts: hold it by the spotter's word"
		}
	case "hold":
		out[1].Surfaces = "hold height and heading by the spotter's word"
	}
	return out
}

// stopFor is one setting of the control's right side.
func (cs *ControlSheet) stopFor(ac *craft.Aircraft, name string, delta float64) Stop {
	s := Stop{Name: name, Delta: delta, Edge: EdgeHeight(cs.Flap.Widest, delta), Servo: nan, Pulse: nan}
	lk := linkageFor(ac, cs.Name)
	if lk == nil || cs.State != OK {
		return s
	}
	k, _, st := LinkageOf(lk, cs.Flap)
	if st != OK {
		return s
	}
	p, st := k.ThetaFor(delta, math.Pi/2)
	s.Status = st
	if st == OK {
		s.Servo, s.Pulse = p.Theta, cs.Pulse.Pulse(p.Theta)
		s.Within = cs.Pulse.Within(s.Pulse) && math.Abs(p.Theta) <= cs.ServoTravel*(1+1e-9)
	}
	return s
}
