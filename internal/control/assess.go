package control

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wish is how it should fly. Zero takes the value said at the field.
type Wish struct {
	Speed      float64  // at which hands-off trim is wanted, m/s; 0: the speed the build says it is trimmed for, then its cruise, then 1.5 times the stall speed
	StallSpeed float64  // level, at this mass, m/s; 0: not known
	StallSigma float64  // its standard deviation
	PitchLoad  float64  // load factor at full up stick at that speed; 0: the build's, then 3 (our choice)
	RollHelix  float64  // pb/2V at full roll stick; 0: the build's roll rate, then 0.07, the full-size criterion of NACA TR-715
	Pulse      Pulse    // zero: Hobby
	Around     []Varied // the same aeroplane with one doubt at a time put at one standard deviation: for the doubt of the trim
	Brief      bool     // leave out the arm and horn that would suit and the positions at launch and lost link: most of the time goes there
	Drawn      bool     // a draw of another sheet: leave out the arm and horn that would suit and what is judged
	Sigma      float64  // standard deviation of the aerodynamics' control moments, relative; 0: 0.15
}

// Varied is an aeroplane a little different.
type Varied struct {
	Air    Airframe
	Weight float64 // N
}

// Stop is one setting of one control: what is commanded and what it takes.
type Stop struct {
	Name   string  // "neutral", "full up", ...
	Delta  float64 // rad, trailing edge up positive
	Edge   float64 // height of the trailing edge at its widest place, m
	Servo  float64 // arm angle from pulse centre, rad
	Pulse  float64 // s
	Status Status  // why there is none
	Within bool    // the transmitter can send it
}

// corner is a stop of two sticks at once.
func (s *Stop) corner() bool { return strings.HasSuffix(s.Name, "(mixed)") }

// jams says whether a dead centre lies within the pulses the transmitter sends.
func (cs *ControlSheet) jams() bool {
	for _, k := range cs.Locks {
		if cs.Pulse.Within(cs.Pulse.Pulse(k.Theta)) {
			return true
		}
	}
	return false
}

// ControlSheet is the set-up of one control, its right side.
type ControlSheet struct {
	Name             string
	Surface, Index   int
	Flap             Flap
	Upright          bool // a fin's: read up as to the left, down as to the right
	Described        bool // a linkage is described
	Guessed          bool // its rod's length is assumed
	State            Status
	Neutral          Position
	Travel           Sweep
	Stops            []Stop
	Mix              Mix
	Table            []MixRow
	Step             float64 // surface movement of one pulse step at neutral, rad; 0 without a linkage
	StepMost         float64 // the same where it is coarsest within the travel
	Play             float64 // rad, total
	PlayKnown        bool
	PlayMeasured     bool // at the surface; else from the clearances of rod and servo, worst case
	Pulse            Pulse
	PulseGiven       bool       // centre and slope are this servo's own
	PulseSigma       float64    // one standard deviation of the neutral's pulse, s: arm square to a degree, slope to 10 % (measured 2 %)
	Ends             [2]float64 // shortest and longest pulse of the stops within the pulse range, s; NaN without
	Locks            []Lock     // dead centres of the whole turn
	ServoTravel      float64    // to one side, rad
	TravelGuessed    bool       // it is assumed
	Skew             float64    // of the hinge line against the servo's shaft, rad
	Room             float64    // least distance to the skin, m
	RoomKnown        bool
	Shares           []MixShare // of a mixed control
	Over             float64    // what the corners ask beyond the servo's travel, share
	Found            Found      // what measured heights say is set
	FoundState       string     // "": nothing measured; "both sides", "right side", "left side"
	Differential     float64
	Want             Stop    // the wanted neutral: edge, servo, pulse; zero Name when not known
	WantPitch        float64 // neutral wanted for trim, rad; NaN when not known
	Suggest          Planar  // arm rake and horn that give the furthest throws at full servo travel
	SuggestState     Status
	WantUp, WantDown float64 // throws wanted from the wanted neutral, rad; NaN when not known
}

// MixShare is one axis of a mix: the share of the transmitter's travel to
// enter for it.
type MixShare struct {
	Axis  string
	Share float64
}

// LaunchRow is what to hold or program for the launch.
type LaunchRow struct {
	Control        string
	Right, Left    float64 // deflections, rad
	PulseR, PulseL float64 // s; NaN without a linkage; the left servo is taken as mirrored
}

// Sheet is everything to set.
type Sheet struct {
	Speed     float64
	SpeedFrom string // what that speed is
	Trims     []Trim // hands off over the speed range
	Trim      Trim
	// Standard deviations by [Wish.Around], 0 when not asked for, rad: of the
	// trim's pitch deflection and incidence, of the throw from there to the
	// wanted load factor, of the roll throw wanted, of the pitch stick stored
	// for a lost link (share of full).
	TrimSigma, AlphaSigma, PullSigma, RollSigma, LostSigma float64
	Full                                                   Trim    // at the wanted load factor
	RollThrow                                              float64 // roll-axis deflection wanted, rad; NaN when not known
	Controls                                               []ControlSheet
	Sticks                                                 [3]float64 // transmitter pulses at the launch: pitch, roll, yaw, s
	Launch                                                 []LaunchRow
	Home                                                   Home
	HomeKnown                                              bool
	Failsafe                                               []Failsafe
	// What to store in the receiver for a lost link when nothing flies it home.
	LostSticks [3]float64 // shares: pitch, roll, yaw
	Lost       []LaunchRow
	Notes      []string
	Results    []Result
}

var nan = math.NaN()

// Assess makes the set-up sheet of an aircraft. air may be nil: trim and
// throws are then unknown and the rest is still computed.
func Assess(ac *craft.Aircraft, air Airframe, w Wish) *Sheet {
	if w.Pulse == (Pulse{}) {
		w.Pulse = Hobby
	}
	def := func(p *float64, v float64) {
		if !(*p > 0) {
			*p = v
		}
	}
	def(&w.Speed, ac.Flight.Speed)
	def(&w.PitchLoad, ac.Flight.Pull)
	def(&w.PitchLoad, 3)
	def(&w.Sigma, 0.15)
	def(&w.Speed, ac.Flight.Cruise)
	def(&w.Speed, 1.5*w.StallSpeed)
	if ac.Flight.RollRate > 0 && w.Speed > 0 {
		def(&w.RollHelix, ac.Flight.RollRate*ac.Ref.Span/(2*w.Speed))
	}
	def(&w.RollHelix, 0.07)
	sh := &Sheet{Speed: w.Speed, RollThrow: nan, SpeedFrom: "1.5 times the stall speed, as neither flight.speed nor flight.cruise is given"}
	switch w.Speed {
	case ac.Flight.Speed:
		sh.SpeedFrom = "the speed it shall be trimmed for"
	case ac.Flight.Cruise:
		sh.SpeedFrom = "its cruise, as flight.speed is not given"
	}
	weight := ac.Mass.Total * gravity
	load := w.PitchLoad
	if w.StallSpeed > 0 && w.Speed > 0 {
		load = math.Min(load, 0.9*w.Speed*w.Speed/(w.StallSpeed*w.StallSpeed))
	}
	known := air != nil && w.Speed > 0 && weight > 0
	if known {
		for _, v := range []float64{1.3 * w.StallSpeed, w.Speed, 1.5 * w.Speed, 2 * w.Speed} {
			if n := len(sh.Trims); v > 0 && (n == 0 || v > 1.05*sh.Trims[n-1].V) {
				sh.Trims = append(sh.Trims, Level(air, weight, v, 1))
			}
		}
		sh.Trim = Level(air, weight, w.Speed, 1)
		if load > 1 {
			sh.Full = Level(air, weight, w.Speed, load)
		} else {
			sh.Full = Trim{Why: "the speed wanted is too near the stall to pull"}
		}
		if ac.Ref.Span > 0 {
			if d, ok := RollThrow(air, w.Speed, sh.Trim.Alpha, w.RollHelix*2*w.Speed/ac.Ref.Span); ok {
				sh.RollThrow = d
			}
		}
		sh.doubts(ac, w, load)
	} else {
		sh.Trim.Why, sh.Full.Why = "no aerodynamics or speed to trim at", "no aerodynamics or speed to trim at"
	}

	var pitch, roll float64 // throws available on the axes
	var neutral float64
	pitched := false
	for si := range ac.Surfaces {
		s := &ac.Surfaces[si]
		for ci := range s.Controls {
			c := &s.Controls[ci]
			cs, why := sheetOf(ac, si, ci, w)
			if why != "" {
				sh.Results = append(sh.Results, Result{ID: "setup.control." + c.Name, Label: "geometry of " + c.Name, Value: nan, Min: nan, Max: nan, Status: Unknown, Because: why + "."}.Judge())
				continue
			}
			cs.WantPitch, cs.WantUp, cs.WantDown = nan, nan, nan
			sign := senseOf(ac, si, ci)
			if c.Pitch != 0 {
				pitched = true
				neutral = sign * c.Trim
				if sign > 0 {
					pitch = math.Max(pitch, c.ThrowUp)
				} else {
					pitch = math.Max(pitch, c.ThrowDown)
				}
				if sh.Trim.Why == "" {
					cs.WantPitch = sign * sh.Trim.Pitch
					if sh.Full.Why == "" {
						d := math.Abs(sh.Full.Pitch - sh.Trim.Pitch)
						cs.WantUp, cs.WantDown = d, d
					}
				}
			}
			if c.Roll != 0 {
				roll = math.Max(roll, (c.ThrowUp+c.ThrowDown)/2)
				if finite(sh.RollThrow) {
					up := math.Abs(sh.RollThrow)
					if math.IsNaN(cs.WantUp) || up > cs.WantUp {
						cs.WantUp, cs.WantDown = up, up
					}
				}
			}
			if !math.IsNaN(cs.WantPitch) {
				cs.Want = cs.stopFor(ac, "wanted neutral", cs.WantPitch)
			}
			sh.Controls = append(sh.Controls, cs)
			if !w.Drawn {
				sh.judgeLinkage(ac, &sh.Controls[len(sh.Controls)-1], c, w)
			}
		}
	}
	sh.judgeAxes(pitched, pitch, roll, neutral, load, w, known)
	if !w.Brief {
		sh.launch(ac, w)
	}
	fl := &ac.Flight
	sh.Home, sh.HomeKnown = PlanHome(firstOf(fl.Home.Speed, fl.Cruise, w.Speed), w.StallSpeed, firstOf(fl.Home.Bank, fl.Bank), firstOf(fl.Home.Radius, fl.Loiter), firstOf(fl.Home.Height, fl.Height))
	home := false
	for i := range ac.Parts {
		home = home || ac.Parts[i].Kind == "autopilot"
	}
	if sh.HomeKnown && w.StallSpeed > 0 {
		// with the stall speed one standard deviation higher and lower
		up, _ := PlanHome(firstOf(fl.Home.Speed, fl.Cruise, w.Speed), w.StallSpeed+w.StallSigma, firstOf(fl.Home.Bank, fl.Bank), firstOf(fl.Home.Radius, fl.Loiter), firstOf(fl.Home.Height, fl.Height))
		sh.Home.RadiusSigma = math.Abs(up.Radius - sh.Home.Radius)
		sh.Home.MarginSigma = sh.Home.StallMargin * w.StallSigma / w.StallSpeed
	}
	sh.Failsafe = Wanted(home, fl.Home)
	if !w.Brief {
		sh.lost(ac, air, w)
	}
	sh.notes(ac)
	return sh
}

// doubts trims and rolls the aeroplanes that differ by one doubt each.
func (sh *Sheet) doubts(ac *craft.Aircraft, w Wish, load float64) {
	add := func(sd *float64, v, nominal float64) {
		if finite(v, nominal) {
			*sd = math.Hypot(*sd, v-nominal)
		}
	}
	for _, o := range w.Around {
		if w.StallSpeed > 0 && sh.Trims[0].Why == "" { // the first is at 1.3 times the stall speed
			if t := Level(o.Air, o.Weight, sh.Trims[0].V, 1); t.Why == "" {
				add(&sh.LostSigma, t.Pitch, sh.Trims[0].Pitch)
			}
		}
		if sh.Trim.Why == "" {
			t := Level(o.Air, o.Weight, w.Speed, 1)
			if t.Why == "" {
				add(&sh.TrimSigma, t.Pitch, sh.Trim.Pitch)
				add(&sh.AlphaSigma, t.Alpha, sh.Trim.Alpha)
				if f := Level(o.Air, o.Weight, w.Speed, load); f.Why == "" && sh.Full.Why == "" {
					add(&sh.PullSigma, f.Pitch-t.Pitch, sh.Full.Pitch-sh.Trim.Pitch)
				}
			}
		}
		if ac.Ref.Span > 0 && finite(sh.RollThrow) {
			if d, ok := RollThrow(o.Air, w.Speed, sh.Trim.Alpha, w.RollHelix*2*w.Speed/ac.Ref.Span); ok {
				add(&sh.RollSigma, d, sh.RollThrow)
			}
		}
	}
}

func (sh *Sheet) notes(ac *craft.Aircraft) {
	say := func(format string, args ...any) { sh.Notes = append(sh.Notes, fmt.Sprintf(format, args...)) }
	for i := range sh.Controls {
		cs := &sh.Controls[i]
		c := &ac.Surfaces[cs.Surface].Controls[cs.Index]
		switch {
		case c.Pitch != 0 && c.Roll != 0 && math.Abs(cs.Differential) > 0.05:
			say("%s moves pitch and roll: its differential of %.0f %% trims the nose with every roll; none is wanted there", cs.Name, cs.Differential*100)
		case c.Roll != 0 && c.Pitch == 0 && cs.Differential < 0.2 && c.ThrowUp > 15*math.Pi/180:
			say("%s has little differential: at low speed the side going down drags the nose out of the turn; 30 to 50 %% is usual (common practice, no source)", cs.Name)
		}
		if cs.Described && cs.State == OK && cs.SuggestState == OK && cs.Travel.LeastAtArm > 0 {
			say("%s: its arm of %.1f mm, %.0f° off square to the rod, and a horn of %.1f mm, square to it at neutral, use the whole servo travel for the furthest throws", cs.Name, cs.Suggest.Arm*1e3, math.Abs(cs.Suggest.ArmAngle-math.Pi/2)*180/math.Pi, cs.Suggest.Horn*1e3)
		}
	}
	if len(sh.Controls) > 0 {
		say("stand behind it, propeller off: stick back, edges behind the balance point go up; stick right, the right edge goes up and the left one down")
	}
}

func firstOf(v ...float64) float64 {
	for _, x := range v {
		if x > 0 {
			return x
		}
	}
	return 0
}

// senseOf is +1 when the control's trailing edge goes up for nose up, -1 on
// a foreplane ahead of the centre of gravity.
func senseOf(ac *craft.Aircraft, si, ci int) float64 {
	s := &ac.Surfaces[si]
	if si == ac.Ref.Wing {
		return 1
	}
	var x, n float64
	for _, st := range s.Stations {
		x += st.LE.X + st.Chord/4
		n++
	}
	if n > 0 && x/n < ac.Ref.Point.X {
		return -1
	}
	return 1
}

func linkageFor(ac *craft.Aircraft, control string) *craft.Linkage {
	for i := range ac.Linkages {
		if ac.Linkages[i].Control == control {
			return &ac.Linkages[i]
		}
	}
	return nil
}

func sheetOf(ac *craft.Aircraft, si, ci int, w Wish) (ControlSheet, string) {
	s := &ac.Surfaces[si]
	c := &s.Controls[ci]
	f, why := FlapOf(s, c)
	if why != "" {
		return ControlSheet{}, why
	}
	cs := ControlSheet{Name: c.Name, Surface: si, Index: ci, Flap: f, Differential: Differential(c.ThrowUp, c.ThrowDown), Ends: [2]float64{nan, nan}}
	cs.Found, cs.FoundState = measured(&c.Heights)
	sign := senseOf(ac, si, ci)
	up, down := c.ThrowUp, c.ThrowDown
	set := func(share float64) Throws {
		if share == 0 {
			return Throws{}
		}
		return Throws{Up: up, Down: down}
	}
	cs.Mix = Mix{Pitch: set(c.Pitch), Roll: set(c.Roll), Yaw: set(c.Yaw), YawSign: -1}
	if sign < 0 && c.Pitch != 0 { // a foreplane goes down for nose up
		cs.Mix.Pitch = Throws{Up: -down, Down: -up}
	}
	cs.Mix.Pitch.Trim = c.Trim
	if f.Dihedral < 0 {
		cs.Mix.YawSign = 1
	}
	cs.Table = cs.Mix.Table()
	if f.Sides == 1 {
		for i := range cs.Table {
			cs.Table[i].Left = nan // there is no other side
		}
	}
	stop := func(name string, d float64) {
		cs.Stops = append(cs.Stops, Stop{Name: name, Delta: d, Edge: EdgeHeight(f.Widest, d), Servo: nan, Pulse: nan})
	}
	most, least := cs.Mix.Extremes()
	cs.Upright = math.Abs(f.Dihedral) > 80*math.Pi/180
	ends := [2]string{"full up", "full down"}
	if cs.Upright {
		ends = [2]string{"full left", "full right"}
	}
	stop("neutral", c.Trim)
	stop(ends[0], c.Trim+up)
	stop(ends[1], c.Trim-down)
	if most > c.Trim+up+1e-9 {
		stop("furthest up (mixed)", most)
	}
	if least > down-c.Trim+1e-9 {
		stop("furthest down (mixed)", -least)
	}
	lk := linkageFor(ac, c.Name)
	if lk == nil {
		return cs, ""
	}
	cs.Described = true
	cs.Pulse, cs.PulseGiven = PulseOf(lk, w.Pulse)
	w.Pulse = cs.Pulse
	k, guessed, st := LinkageOf(lk, f)
	cs.Guessed, cs.State = guessed, st
	if st != OK {
		return cs, ""
	}
	travel, assumed := ServoTravel(lk)
	travel = math.Min(travel, math.Pi)
	cs.ServoTravel, cs.TravelGuessed = travel, assumed
	cs.Neutral, _ = k.Neutral()
	cs.Travel, cs.State = k.Travel(travel, travel, 36)
	cs.Step = math.Abs(cs.Neutral.Ratio) * w.Pulse.Step / w.Pulse.PerRad
	cs.StepMost = cs.Travel.MostRatio * w.Pulse.Step / w.Pulse.PerRad
	cs.Play, cs.PlayMeasured, cs.PlayKnown = PlayOf(lk, cs.Neutral.Ratio)
	cs.Room, cs.RoomKnown = Room(lk, cs.Travel)
	cs.Skew = math.Asin(math.Min(1, r3.Norm(r3.Cross(r3.Unit(k.HingeAxis), r3.Unit(k.ServoAxis)))))
	cs.Locks, _ = k.Locks(math.Pi)
	cs.shares(k, up, down, c.Trim)
	if cs.SuggestState = Open; w.Brief || w.Drawn {
		return cs.stopped(k, travel), ""
	}
	cs.Suggest, cs.SuggestState = Suggest(lk.Arm, r3.Norm(r3.Sub(cs.Neutral.HornPin, cs.Neutral.ArmPin)), travel, most-c.Trim, least+c.Trim)
	return cs.stopped(k, travel), ""
}

// stopped fills servo angles and pulses of the stops.
func (cs ControlSheet) stopped(k Linkage, travel float64) ControlSheet {
	for i := range cs.Stops {
		p, st := k.ThetaFor(cs.Stops[i].Delta, math.Pi/2)
		cs.Stops[i].Status = st
		if st == OK {
			cs.Stops[i].Servo = p.Theta
			if cs.Stops[i].Name == "neutral" {
				slope := 0.10
				if cs.PulseGiven {
					slope = 0.02
				}
				cs.PulseSigma = cs.Pulse.PerRad * math.Hypot(math.Pi/180, slope*p.Theta)
			}
			cs.Stops[i].Pulse = cs.Pulse.Pulse(p.Theta)
			cs.Stops[i].Within = cs.Pulse.Within(cs.Stops[i].Pulse) && math.Abs(p.Theta) <= travel*(1+1e-9)
			if cs.Stops[i].Within {
				cs.Ends[0] = lesser(cs.Ends[0], cs.Stops[i].Pulse)
				cs.Ends[1] = -lesser(-cs.Ends[1], -cs.Stops[i].Pulse)
			}
		}
	}
	return cs
}

func (sh *Sheet) judgeLinkage(ac *craft.Aircraft, cs *ControlSheet, c *craft.Control, w Wish) {
	id := "setup.linkage." + c.Name
	ref := []cite.Ref{cite.NortonMachinery.At("keep the transmission angle above 40°", cite.Memory), cite.Ours.At("constant rod length in space", cite.Derived)}
	r := Result{
		ID: id, Label: "smallest transmission angle of the linkage of " + c.Name, Unit: "rad", Value: nan, Min: Find(Limits, "setup.linkage").Value, Max: nan, Refs: ref,
		How: "arm and horn at right angles to the rod at neutral, a longer rod, less servo travel",
	}
	switch {
	case !cs.Described:
		r.Status, r.Because = NotAsked, "No linkage is described."
	case cs.State != OK:
		r.Status, r.Because, r.Safety = Unknown, fmt.Sprintf("The linkage %s: arm, horn and rod do not go together.", cs.State), true
	default:
		r.Value = math.Inf(1)
		// Only the travel that the throws use counts.
		lo, hi := 0.0, 0.0
		for _, s := range cs.Stops {
			if s.Status != OK && s.corner() && !cs.jams() {
				continue // the servo's end comes before it: the corner is cut off
			}
			if s.Status != OK {
				r.Status, r.Safety = Fail, true
				r.Value = 0
				r.Because = fmt.Sprintf("It %s before %s (%.1f°) is reached.", s.Status, s.Name, s.Delta*180/math.Pi)
				r.How = "a longer arm, a shorter horn, less throw"
				sh.Results = append(sh.Results, r.Judge())
				return
			}
			lo, hi = math.Min(lo, s.Servo), math.Max(hi, s.Servo)
		}
		// The transmitter turns the servo no further than its pulses and travel.
		lo, hi = math.Max(lo, math.Max(-cs.ServoTravel, cs.Pulse.Angle(cs.Pulse.Min))), math.Min(hi, math.Min(cs.ServoTravel, cs.Pulse.Angle(cs.Pulse.Max)))
		for _, p := range cs.Travel.Rows {
			if p.Theta >= lo-1e-9 && p.Theta <= hi+1e-9 {
				r.Value = math.Min(r.Value, math.Min(p.AtArm, p.AtHorn))
			}
		}
		if math.IsInf(r.Value, 1) {
			r.Value = math.Min(cs.Neutral.AtArm, cs.Neutral.AtHorn)
		}
		r.Sigma = math.Pi / 180 // building
		r.Because = fmt.Sprintf("Over the servo travel used, %.0f° to %.0f°; the rod leans up to %.0f° out of an arm's plane.", lo*180/math.Pi, hi*180/math.Pi, cs.Travel.MostSide*180/math.Pi)
		if cs.Guessed {
			r.Because += " The rod's length is assumed."
		}
	}
	sh.Results = append(sh.Results, r.Judge())
	if cs.Described && cs.State == OK {
		e := Result{ID: "setup.travel." + c.Name, Label: "servo travel used for full throw of " + c.Name, Unit: "1", Value: 0, Min: nan, Max: Find(Limits, "setup.travel").Value, How: "a longer arm or a shorter horn, less throw", Refs: []cite.Ref{cite.Common.At("1000 to 2000 µs, 10 µs a degree", cite.Practice)}}
		for _, s := range cs.Stops {
			if s.Status == OK && !s.corner() {
				p := &cs.Pulse
				if s.Pulse >= p.Centre {
					e.Value = math.Max(e.Value, (s.Pulse-p.Centre)/(p.Max-p.Centre))
				} else {
					e.Value = math.Max(e.Value, (p.Centre-s.Pulse)/(p.Centre-p.Min))
				}
			}
		}
		e.Sigma = 0.1 * e.Value
		if cs.Over > 0 {
			e.Because = fmt.Sprintf("Both sticks in a corner ask %.0f %% more than the servo has and are cut off there. ", 100*cs.Over)
		}
		e.Because += fmt.Sprintf("One step of the pulse moves the surface %.3f°.", cs.Step*180/math.Pi)
		if cs.PulseGiven {
			e.Sigma = 0.02 * e.Value
		} else {
			e.Because += " The servo's centre and slope are assumed (1500 µs, 10 µs a degree): measure them with a servo tester."
		}
		sh.Results = append(sh.Results, e.Judge())
		sh.judgeRoom(ac, cs)
	}
}

func (sh *Sheet) judgeAxes(pitched bool, pitch, roll, neutral, load float64, w Wish, known bool) {
	tr := Result{ID: "setup.trim", Label: "share of the up or down throw needed to trim", Unit: "1", Value: nan, Min: nan, Max: Find(Limits, "setup.trim").Value, How: "set the neutral (reflex) to what is wanted, move the balance", Refs: []cite.Ref{cite.Choice.At("half of the throw is left to fly with", cite.Practice)}}
	switch {
	case !pitched:
		tr.Status, tr.Because = NotAsked, "No control moves pitch."
	case !known:
		tr.Status, tr.Because = Unknown, "No aerodynamics or speed to trim at."
	case sh.Trim.Why != "":
		tr.Status, tr.Because = Fail, fmt.Sprintf("At %.1f m/s %s.", w.Speed, sh.Trim.Why)
		tr.Value = 1
	case pitch > 0:
		tr.Value = math.Abs(sh.Trim.Pitch-neutral) / pitch
		tr.Sigma = w.Sigma*tr.Value + 0.5*math.Pi/180/pitch
		if sh.TrimSigma > 0 {
			tr.Sigma = sh.TrimSigma / pitch
		}
		tr.Because = fmt.Sprintf("At %.1f m/s it wants the pitch axis %s at an incidence of %.1f°; it stands %s.", w.Speed, updown(sh.Trim.Pitch), sh.Trim.Alpha*180/math.Pi, updown(neutral))
		tr.Caution = "First flights: a little more up than computed, half throws on a switch."
	default:
		tr.Status, tr.Because = Unknown, "The pitch throw is not given."
	}
	sh.Results = append(sh.Results, tr.Judge())

	p := Result{ID: "setup.pitch", Label: "pitch throw over the throw wanted", Unit: "1", Value: nan, Min: Find(Limits, "setup.pitch").Value, Max: nan, How: "more throw or a larger surface", Refs: []cite.Ref{cite.Choice.At("3 g at the wanted speed, or what the wing can pull", cite.Practice)}}
	switch {
	case !pitched:
		p.Status, p.Because = NotAsked, "No control moves pitch."
	case !known || sh.Trim.Why != "" || sh.Full.Why != "":
		p.Status, p.Because = Unknown, "There is no trimmed pull to compare with."
		if known && sh.Full.Why != "" {
			p.Because = fmt.Sprintf("At %.1f times the weight %s.", load, sh.Full.Why)
		}
	default:
		want := math.Abs(sh.Full.Pitch - sh.Trim.Pitch)
		p.Value = pitch / want
		p.Sigma = w.Sigma * p.Value
		p.Because = fmt.Sprintf("%.1f times the weight at %.1f m/s asks %.1f° from trim; full stick gives %.1f°.", load, w.Speed, want*180/math.Pi, pitch*180/math.Pi)
		if p.Value > 4 {
			p.Because += " That is a lot: soften it or fly on low rates."
			sh.Notes = append(sh.Notes, fmt.Sprintf("full pitch stick gives %.0f times what a pull of %.1f times the weight at %.0f m/s needs: soften it, or fly on low rates at speed", p.Value, load, w.Speed))
		}
	}
	sh.Results = append(sh.Results, p.Judge())

	r := Result{ID: "setup.roll", Label: "roll throw over the throw wanted", Unit: "1", Value: nan, Min: Find(Limits, "setup.roll").Value, Max: nan, How: "more throw, a longer or wider aileron", Refs: []cite.Ref{cite.RollHelix.At("pb/2V of 0.07 at full stick", cite.Memory)}}
	switch {
	case roll == 0:
		r.Status, r.Because = NotAsked, "No control moves roll."
	case !finite(sh.RollThrow):
		r.Status, r.Because = Unknown, "No aerodynamics or speed to roll at."
	default:
		r.Value = roll / math.Abs(sh.RollThrow)
		r.Sigma = w.Sigma * r.Value
		r.Because = fmt.Sprintf("A roll helix angle of %.2f asks %.1f° each way; full stick gives %.1f° on average.", w.RollHelix, math.Abs(sh.RollThrow)*180/math.Pi, roll*180/math.Pi)
	}
	sh.Results = append(sh.Results, r.Judge())
}

func (sh *Sheet) launch(ac *craft.Aircraft, w Wish) {
	l := &ac.Launch
	half := w.Pulse.Max - w.Pulse.Centre
	sticks := [3]float64{l.StickPitch, l.StickRoll, l.StickYaw}
	for i, s := range sticks {
		sh.Sticks[i] = w.Pulse.Centre + half*s
	}
	sh.Launch = sh.rows(ac, sticks)
}

// rows are the positions of all controls at the sticks (pitch, roll, yaw;
// shares of full).
func (sh *Sheet) rows(ac *craft.Aircraft, sticks [3]float64) []LaunchRow {
	var out []LaunchRow
	for i := range sh.Controls {
		cs := &sh.Controls[i]
		p := cs.Mix.Surfaces(sticks[0], sticks[1], sticks[2])
		if cs.Flap.Sides == 1 {
			p.Left = nan
		}
		row := LaunchRow{Control: cs.Name, Right: p.Right, Left: p.Left, PulseR: nan, PulseL: nan}
		if lk := linkageFor(ac, cs.Name); lk != nil && cs.State == OK {
			if k, _, st := LinkageOf(lk, cs.Flap); st == OK {
				if q, st := k.ThetaFor(p.Right, math.Pi/2); st == OK {
					row.PulseR = cs.Pulse.Pulse(q.Theta)
				}
				if q, st := k.ThetaFor(p.Left, math.Pi/2); st == OK {
					row.PulseL = cs.Pulse.Pulse(q.Theta)
				}
			}
		}
		out = append(out, row)
	}
	return out
}

// updown says a pitch-axis deflection in words.
func updown(d float64) string {
	if d < 0 {
		return fmt.Sprintf("%.1f° nose down", -d*180/math.Pi)
	}
	return fmt.Sprintf("%.1f° nose up", d*180/math.Pi)
}
