package strength

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
)

// Result is one judged number; see [control.Result].
type Result = control.Result

// Loads is what flight, launch and landing ask of the airframe, SI. A zero is
// not known: what depends on it is then unknown or takes the value said at
// the field.
type Loads struct {
	TopSpeed, TopSigma          float64 // level top speed and its standard deviation, m/s
	StallSpeed, StallSigma      float64 // caps load factors at (V/Vs)²
	LoadFactor                  float64 // 0: the limit of the build
	LiftSlope                   float64 // per rad; 0: 4.5
	Rho, Mu                     float64 // 0: 1.225 kg/m³, 1.8e-5 Pa s
	Temperature                 float64 // of the air, K; 0: the day's
	GustSpeed                   float64 // derived gust velocity, m/s; 0: the day's gust over its wind
	LaunchTension, TensionSigma float64 // largest pull on the hook, N
	LaunchBelow                 float64 // angle of the line below the body axis at that pull, rad
	Thrust, ThrustSigma         float64 // largest pull or push of the propeller, N
	Torque                      float64 // of the motor's shaft then, N m
	MaxCurrent, CurrentSigma    float64 // at the pack, A
	Cell, CellSigma, CellLeast  float64 // voltage of the weakest cell then, and its cut-off, V; 0: not known
	BurstTime                   float64 // s at that current; 0: 30
	Heat                        []Warmth
	TouchdownSpeed, TouchSigma  float64 // m/s
	Descent                     float64 // m/s; 0: the codes' formula
	Crush                       float64 // stopping distance on the belly, m; 0: 10 mm
	Stiffness                   Stiffness
}

// Stiffness is what was measured of the wing and controls: a tap test, a
// twist test, finger-and-scale tests. Zero is not measured: then what the
// aircraft's build says is taken.
type Stiffness struct {
	BendHz, TwistHz float64            // first bending and torsion frequency of the wing half, Hz
	Axis, Balance   float64            // elastic axis and centre of mass at three quarters of the span, shares of the chord; 0: 0.37, 0.43
	PerSpan         float64            // mass of the wing there, kg/m; 0: the wing's mass over its span, times 0.7
	Radius2         float64            // radius of gyration² about the elastic axis, semichords²; 0: 0.25
	GJ              float64            // N m², for divergence
	Control         map[string]float64 // control stiffness by control name, N m/rad
	Doubt           map[string]float64 // its relative standard deviation
}

const (
	sunK  = 20.0 // a dark part in the sun over the air, K: our choice
	thumb = 10.0 // push of a thumb on a trailing edge when carried, N: our choice
	// A pushed surface turns its servo backwards at about this multiple of the
	// stall torque, gears' friction included: our choice.
	backDrive = 1.5
	playWarn  = 0.57 * math.Pi / 180
)

type assessor struct {
	ac   *craft.Aircraft
	l    Loads
	out  []Result
	most rodForce // the largest of any linkage
}

// rodForce is the largest force in a rod, N, and where it comes from.
type rodForce struct {
	force         float64
	control, from string
	arm           float64
}

func (a *assessor) add(r Result) { a.out = append(a.out, r.Judge()) }

var nan = math.NaN()

// Assess puts an aircraft and its loads through every check of the package.
// The results come in a fixed order; what cannot be computed is Unknown or
// NotAsked with its reason, never left out and never a panic.
func Assess(ac *craft.Aircraft, l Loads) []Result {
	a := assessor{ac: ac, l: l}
	def := func(p *float64, v float64) {
		if !(*p > 0) {
			*p = v
		}
	}
	def(&a.l.LiftSlope, 4.5)
	def(&a.l.Rho, rho0)
	def(&a.l.Mu, 1.8e-5)
	def(&a.l.Temperature, ac.Day.Temperature)
	def(&a.l.Temperature, 288.15)
	def(&a.l.LoadFactor, ac.Limits.LoadFactor)
	def(&a.l.LoadFactor, 8)
	def(&a.l.GustSpeed, math.Max(0, ac.Day.Gust-ac.Day.Wind))
	def(&a.l.BurstTime, 30)
	def(&a.l.Crush, 10e-3)
	a.measured()
	a.controls()
	a.wing()
	a.hook()
	a.landing()
	a.small()
	a.currents()
	a.flutter()
	return a.out
}

// factor is the factor of safety in force.
func (a *assessor) factor() float64 {
	if a.ac.Limits.SafetyFactor > 0 {
		return a.ac.Limits.SafetyFactor
	}
	return 1.5
}

var factorRef = cite.FAR23Factor.At("factor of safety 1.5", cite.Seen)

// proofFirst is the caution of printed, glued and repaired parts.
const proofFirst = "A printed, glued or repaired part that bears load needs a proof load first; where people could be hurt, a competent eye."

// linkageOf is the described linkage of a control, nil without one.
func linkageOf(ac *craft.Aircraft, name string) *craft.Linkage {
	for i := range ac.Linkages {
		if ac.Linkages[i].Control == name {
			return &ac.Linkages[i]
		}
	}
	return nil
}

// HingeRow is one line of the hinge-moment table of a control.
type HingeRow struct {
	Speed, Alpha, Delta float64 // m/s; rad; rad, trailing edge up positive
	Moment, Sigma       float64 // about the hinge, N m, positive when air pushes the edge up; one side
	Servo               float64 // torque at the servo arm, N m; NaN without a linkage
}

// HingeRange tabulates the hinge moment of one control over speeds at full
// stick up, neutral and full stick down, at the incidence of level flight at
// that speed (no camber). Thin-section theory times the measured factor.
// Empty when the control's geometry is impossible.
func HingeRange(ac *craft.Aircraft, surface, index int, l Loads, speeds []float64) []HingeRow {
	s := &ac.Surfaces[surface]
	c := &s.Controls[index]
	f, why := control.FlapOf(s, c)
	if why != "" {
		return nil
	}
	if !(l.Rho > 0) {
		l.Rho = rho0
	}
	if !(l.Mu > 0) {
		l.Mu = 1.8e-5
	}
	if !(l.LiftSlope > 0) {
		l.LiftSlope = 4.5
	}
	lk := linkageOf(ac, c.Name)
	th := ThinFlap(c.ChordShare)
	var out []HingeRow
	for _, v := range speeds {
		q := 0.5 * l.Rho * v * v
		if !(q > 0) {
			continue
		}
		alpha := ac.Mass.Total * gravity / (q * ac.Ref.Area) / l.LiftSlope
		alpha = math.Min(alpha, 12*math.Pi/180)
		if surface != ac.Ref.Wing {
			alpha = 0 // a tail works near its own zero lift
		}
		m, sd := HingeFactor(l.Rho * v * f.Local / l.Mu)
		for _, d := range []float64{c.Trim + c.ThrowUp, c.Trim, c.Trim - c.ThrowDown} {
			// Thin-section values are trailing edge down positive.
			base := -(th.HingeAlpha*alpha + th.HingeDelta*-d) * q * f.Square
			r := HingeRow{Speed: v, Alpha: alpha, Delta: d, Moment: m * base, Sigma: sd * math.Abs(base), Servo: nan}
			if lk != nil {
				if k, _, st := control.LinkageOf(lk, f); st == control.OK {
					if p, st := k.ThetaFor(d, math.Pi/2); st == control.OK {
						r.Servo = math.Abs(r.Moment * p.Ratio)
					}
				}
			}
			out = append(out, r)
		}
	}
	return out
}

func (a *assessor) controls() {
	ac := a.ac
	seen := map[string]bool{}
	for si := range ac.Surfaces {
		s := &ac.Surfaces[si]
		for ci := range s.Controls {
			c := &s.Controls[ci]
			seen[c.Name] = true
			f, why := control.FlapOf(s, c)
			if why != "" {
				a.add(Result{ID: "control." + c.Name, Label: "geometry of " + c.Name, Value: nan, Min: nan, Max: nan, Status: control.Unknown, Because: why + ".", How: "correct its ends and chord share"})
				continue
			}
			a.control(si, ci, f)
		}
	}
	for i := range ac.Linkages {
		if n := ac.Linkages[i].Control; !seen[n] {
			a.add(Result{ID: "linkage." + n, Label: "linkage of " + n, Value: nan, Min: nan, Max: nan, Status: control.Unknown, Because: "No surface has a control of that name."})
		}
	}
}

// control judges servo, rod and horn of one control.
func (a *assessor) control(si, ci int, f control.Flap) {
	ac, l := a.ac, &a.l
	c := &ac.Surfaces[si].Controls[ci]
	name := c.Name
	lk := linkageOf(ac, name)
	refs := []cite.Ref{cite.TR496.At("steady hinge moments", cite.Derived), cite.TR721.At("measured flaps against theory", cite.Memory)}
	if !(l.TopSpeed > 0) {
		a.add(Result{ID: "servo." + name, Label: "hinge load on the servo of " + name, Unit: "1", Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true, Because: "The top speed is not known."})
	}
	// The worst hinge moment over the flight range lies at top speed.
	var worst HingeRow
	if l.TopSpeed > 0 {
		for _, r := range HingeRange(ac, si, ci, *l, []float64{l.TopSpeed}) {
			if math.Abs(r.Moment) >= math.Abs(worst.Moment) {
				worst = r
			}
		}
	}
	moment, rel := math.Abs(worst.Moment), 0.0
	if moment > 0 {
		rel = math.Hypot(worst.Sigma/moment, 2*l.TopSigma/math.Max(l.TopSpeed, 1e-9))
	}
	if lk == nil {
		if l.TopSpeed > 0 {
			a.add(Result{
				ID: "hinge." + name, Label: "hinge moment of " + name + " at top speed and full stick", Unit: "N m", Value: moment, Sigma: rel * moment, Min: nan, Max: nan, Status: control.Information,
				Because: fmt.Sprintf("No linkage is described. With equal arm and horn the servo needs a stall torque of at least %.3f N m (%.2f kgf cm).", moment*(1+1.64*rel)/a.servoShare(), moment*(1+1.64*rel)/a.servoShare()/0.0980665),
				How:     "describe servo, arm, rod and horn under linkages", Refs: refs,
			})
		}
		return
	}
	k, guessed, st := control.LinkageOf(lk, f)
	if st != control.OK {
		a.add(Result{
			ID: "linkage." + name, Label: "linkage of " + name, Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true,
			Because: "The linkage " + st.String() + ": arm, horn and rod do not go together.", How: "measure arm, horn and rod between the pin centres",
		})
		return
	}
	hole := lk.RodDiameter
	if hole > 0 && lk.Horn <= hole {
		a.add(Result{
			ID: "horn_length." + name, Label: "length of the horn of " + name, Unit: "m", Value: lk.Horn, Min: limit("horn_length") * hole, Max: nan, Safety: true,
			Because: "The horn is no longer than its hole is wide: there is nothing around the rod.", How: "a longer horn", Refs: []cite.Ref{cite.Choice.At("a hole needs its own width of material around it", cite.Practice)},
		})
		return
	}
	rodNote := ""
	if guessed {
		rodNote = " The rod's length is not given; 60 mm is assumed."
	}

	// Servo torque.
	travel, _ := control.ServoTravel(lk)
	reach, rs := k.ThetaFor(worst.Delta, math.Pi/2)
	switch {
	case !lk.Known || !(lk.Torque > 0):
		a.add(Result{
			ID: "servo." + name, Label: "hinge load on the servo of " + name, Unit: "1", Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true,
			Because: fmt.Sprintf("The servo's torque is not given; the air asks %.3f N m at the hinge.", moment), How: "pull on the arm with a luggage scale until the servo stalls: torque is force times arm", Refs: refs,
		})
	case rs != control.OK:
		a.add(Result{
			ID: "servo." + name, Label: "hinge load on the servo of " + name, Unit: "1", Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true,
			Because: fmt.Sprintf("The linkage %s before the surface reaches its full throw of %.0f°.", rs, worst.Delta*180/math.Pi), How: "a longer arm, a shorter horn or less throw",
		})
	case l.TopSpeed > 0:
		// The largest ratio on the way counts: the servo must get there.
		ratio := math.Abs(reach.Ratio)
		torque := moment * ratio
		r := Result{
			ID: "servo." + name, Label: "hinge load over the stall torque of the servo of " + name, Unit: "1", Value: torque / lk.Torque, Min: nan, Max: a.servoShare(), Safety: true,
			Because: fmt.Sprintf("At %.0f m/s and full stick (%.0f°) air turns the hinge with %.3f N m; through a ratio of %.2f the servo holds %.3f N m of its %.3f N m.%s", worst.Speed, worst.Delta*180/math.Pi, moment, ratio, torque, lk.Torque, rodNote),
			How:     "a shorter arm or longer horn, less throw at speed, a stronger servo", Refs: refs,
		}
		r.Sigma = r.Value * math.Hypot(rel, 0.15)
		a.add(r)
		if lk.Speed > 0 {
			rate := control.ServoRate(lk.Torque, lk.Speed, 1, 1, torque)
			t := math.Inf(1)
			if rate > 0 {
				t = math.Abs(reach.Theta) / rate
			}
			v := Result{
				ID: "servo_time." + name, Label: "time to full throw at top speed, " + name, Unit: "s", Value: t, Min: nan, Max: limit("servo_time"),
				Because: fmt.Sprintf("Under that load the servo turns at %.0f of its %.0f °/s; its arm has %.0f° to go.", math.Max(0, rate)*180/math.Pi, lk.Speed*180/math.Pi, math.Abs(reach.Theta)*180/math.Pi),
				How:     "a faster or stronger servo, less throw", Refs: []cite.Ref{cite.Choice.At("0.3 s: slower than that a fast model is flown behind its servos", cite.Practice), cite.Ours.At("linear torque-speed line", cite.Derived)},
			}
			if !math.IsInf(t, 0) {
				v.Sigma = 0.2 * t
			}
			a.add(v)
		}
	}

	// Forces in rod and horn: air, the servo against a stop, a thumb on the edge.
	sweep, _ := k.Travel(travel, travel, 24)
	lever := math.Inf(1)
	for _, p := range sweep.Rows {
		lever = math.Min(lever, p.Lever)
	}
	neutral, _ := k.Neutral()
	air := moment / math.Max(reachLever(reach, neutral), 1e-9)
	hand := thumb * f.Widest / math.Max(neutral.Lever, 1e-9)
	stall := 0.0
	if lk.Torque > 0 {
		stall = lk.Torque / (lk.Arm * math.Max(math.Sin(neutral.AtArm), 1e-3))
	}
	if stall > 0 {
		hand = math.Min(hand, backDrive*stall)
	}
	force, from := air, "air at top speed"
	if stall > force {
		force, from = stall, "the servo stalled against a blocked surface"
	}
	if hand > force {
		force, from = hand, "a thumb on the trailing edge"
	}
	if force > a.most.force {
		a.most = rodForce{force, name, from, lk.Arm}
	}
	a.rod(name, lk, air, stall, rodNote)
	a.horn(name, lk, force, from, air)
	a.hole(name, lk, force, from)
}

// hole judges the rod's bearing in the horn's hole.
func (a *assessor) hole(name string, lk *craft.Linkage, force float64, from string) {
	m, ok := Find(lk.HornMaterial)
	if lk.RodDiameter <= 0 || lk.HornWidth <= 0 || !ok {
		return // the horn's own result says what is missing
	}
	p := force / (lk.RodDiameter * lk.HornWidth)
	heat := a.l.Temperature + sunK
	if lk.HornHeat > 0 {
		heat = lk.HornHeat
	}
	v := m.Compression * m.Workmanship * m.Warm(heat) / p
	a.add(Result{
		ID: "horn_hole." + name, Label: "bearing strength of the horn's hole over its load, " + name, Unit: "1", Value: v, Sigma: v * math.Hypot(m.Doubt, 0.1), Min: limit("horn_hole"), Max: nan,
		Because: fmt.Sprintf("%.0f N (%s) presses a %.1f mm rod on %.1f mm of %s with %.0f MPa: a hole that wears is play.", force, from, lk.RodDiameter*1e3, lk.HornWidth*1e3, m.Name, p/1e6),
		How:     "a thicker horn, a bushing, a thicker rod", Refs: append([]cite.Ref{control.Find(Limits, "horn_hole").Ref}, m.Refs...),
	})
}

func reachLever(reach, neutral control.Position) float64 {
	if reach.Lever > 0 {
		return reach.Lever
	}
	return neutral.Lever
}

func (a *assessor) servoShare() float64 {
	if a.ac.Limits.ServoShare > 0 {
		return a.ac.Limits.ServoShare
	}
	return 0.5
}

func (a *assessor) rod(name string, lk *craft.Linkage, air, stall float64, note string) {
	refs := []cite.Ref{cite.Shigley.At("Euler and Johnson columns", cite.Derived), control.Find(Limits, "rod").Ref}
	how := "a thicker or shorter rod, or a tube over it"
	r := Result{ID: "rod." + name, Label: "buckling load of the rod of " + name + " over the air's load", Unit: "1", Min: limit("rod"), Max: nan, Value: nan, Safety: true, How: how, Refs: refs}
	if lk.RodDiameter <= 0 || lk.Rod <= 0 {
		r.Status, r.Because, r.How = control.NotAsked, "The rod's length and diameter are not given.", "give rod and rod_diameter"
		a.add(r)
		return
	}
	word := or(lk.RodMaterial, "steel")
	m, ok := Find(word)
	if !ok {
		r.Status, r.Because = control.Unknown, "The rod's material is not one of the table."
		a.add(r)
		return
	}
	c := Buckling(lk.RodDiameter, 0, lk.Rod, 1, m.E, m.Compression)
	form := "Euler"
	if c.Johnson {
		form = "Johnson"
	}
	rod := fmt.Sprintf("%.1f N (%s, %s rod %.1f x %.0f mm, pinned)", c.Critical, form, word, lk.RodDiameter*1e3, lk.Rod*1e3)
	if air > 0 {
		r.Value = c.Critical / air
		r.Sigma = 0.25 * r.Value
		r.Because = fmt.Sprintf("The air pushes with %.1f N at top speed and full stick; it buckles at %s.%s", air, rod, note)
	} else {
		r.Status, r.Because = control.Unknown, fmt.Sprintf("The air's load is not known; the rod buckles at %s.", rod)
	}
	a.add(r)
	if stall > 0 {
		a.add(Result{
			ID: "rod_stall." + name, Label: "buckling load of the rod of " + name + " over the stalled servo's force", Unit: "1", Value: c.Critical / stall, Sigma: 0.2 * c.Critical / stall, Min: limit("rod_stall"), Max: nan, How: how, Refs: refs,
			Because: fmt.Sprintf("A servo stalled against a blocked surface pushes with %.0f N; the rod buckles at %s.", stall, rod),
		})
	}
}

func (a *assessor) horn(name string, lk *craft.Linkage, force float64, from string, air float64) {
	r := Result{
		ID: "horn." + name, Label: "strength of the horn's root over its load, " + name, Unit: "1", Min: a.factor(), Max: nan, Value: nan, Safety: true, Caution: proofFirst,
		How: "a deeper or wider root, a fillet, a material laid along the load, a shorter horn, a weaker servo setting",
	}
	if lk.HornRoot <= 0 || lk.HornWidth <= 0 {
		r.Status, r.Because = control.NotAsked, "The horn's root is not described."
		r.How = "give horn_root, horn_width and horn_material"
		a.add(r)
		return
	}
	m, ok := Find(lk.HornMaterial)
	if !ok {
		r.Status, r.Because, r.How = control.Unknown, "The horn's material is not given.", "give horn_material"
		a.add(r)
		return
	}
	const kt = 1.873 // a fillet of a tenth of the depth
	printed := m.Across < 1
	if lk.Print == "along" {
		m.Across = 1
	}
	heat := a.l.Temperature + sunK
	if lk.HornHeat > 0 {
		heat = lk.HornHeat
	}
	cycles := 1e5
	if lk.HornCycles > 0 {
		cycles = float64(lk.HornCycles)
	}
	warm := m.Warm(heat)
	along := HornRoot(force, lk.Horn, lk.HornRoot, lk.HornWidth) * kt
	static := m.Tension * m.Workmanship * m.Across * warm / along
	tired := math.Inf(1)
	if printed {
		if s := HornRoot(air, lk.Horn, lk.HornRoot, lk.HornWidth) * kt; s > 0 {
			tired = m.Tension * m.Across * warm * Cycles(cycles) / s
		}
	}
	r.Value = math.Min(static, tired)
	r.Sigma = r.Value * math.Hypot(m.Doubt, 0.15)
	r.Refs = append([]cite.Ref{factorRef, cite.Peterson.At("fillet r/d 0.1", cite.Memory)}, m.Refs...)
	say := fmt.Sprintf("%.0f N (%s) at %.0f mm bends the %s root (%.1f x %.1f mm) to %.1f MPa with a small fillet", force, from, lk.Horn*1e3, m.Name, lk.HornRoot*1e3, lk.HornWidth*1e3, along/1e6)
	if printed {
		switch lk.Print {
		case "along":
			say += "; printed lying, its layers run along it"
		case "across":
			say += fmt.Sprintf("; printed standing, the load pulls its layers apart (%.0f %% of the strength)", m.Across*100)
		default:
			say += fmt.Sprintf("; how it was printed is not said: layers are taken across the load (%.0f %% of the strength; printed lying down it is %.1f times stronger)", m.Across*100, 1/m.Across)
		}
		say += fmt.Sprintf(", at %.0f °C (%.0f %% left)", heat-273.15, warm*100)
		if tired < static {
			say += fmt.Sprintf(", and flight loads over %.0f cycles govern (%.0f %% of the strength)", cycles, 100*Cycles(cycles))
		}
	}
	if warm == 0 {
		r.How = "a plastic that stands the heat, metal or glass; paint it white"
	}
	r.Because = say + "."
	a.add(r)
}

// bendingLoad is the governing load factor and why.
func (a *assessor) bendingLoad() (n float64, why string) {
	l := &a.l
	n, why = l.LoadFactor, fmt.Sprintf("a pull-up to %.1f times the weight", l.LoadFactor)
	if l.TopSpeed > 0 && a.ac.Ref.Area > 0 {
		g := GustLoad(a.ac.Mass.Total*gravity/a.ac.Ref.Area, l.TopSpeed, l.GustSpeed, a.ac.Ref.Chord, l.LiftSlope, l.Rho)
		if g.Up > n {
			n, why = g.Up, fmt.Sprintf("a gust of %.1f m/s at top speed", l.GustSpeed)
		}
		if l.StallSpeed > 0 {
			if c := Capped(n, l.TopSpeed, l.StallSpeed); c < n {
				n, why = c, "all that the wing can lift at top speed"
			}
		}
	}
	return n, why
}

// wingMass is the mass of the wing as weighed by halves, or of the structure
// parts whose name says wing, kg; 0 when neither is there.
func (a *assessor) wingMass() float64 {
	ac, m := a.ac, 2*a.ac.WingTest.HalfMass
	if m > 0 {
		return m
	}
	for i := range ac.Parts {
		if p := &ac.Parts[i]; p.Kind == "structure" && strings.Contains(strings.ToLower(p.Name), "wing") {
			m += p.Mass
		}
	}
	return m
}

func (a *assessor) wing() {
	ac, l := a.ac, &a.l
	if l.TopSpeed > 0 && ac.Ref.Area > 0 && ac.Ref.Chord > 0 {
		g := GustLoad(ac.Mass.Total*gravity/ac.Ref.Area, l.TopSpeed, l.GustSpeed, ac.Ref.Chord, l.LiftSlope, l.Rho)
		say := fmt.Sprintf("A gust of %.1f m/s at %.0f m/s: mass ratio %.1f, alleviation %.2f; downwards %.1f.", l.GustSpeed, l.TopSpeed, g.Mu, g.Kg, g.Down)
		up := g.Up
		if l.StallSpeed > 0 {
			if c := Capped(up, l.TopSpeed, l.StallSpeed); c < up {
				up = c
				say += " Capped at what the wing can lift."
			}
		}
		a.add(Result{
			ID: "gust_load", Label: "load factor in the gust at top speed", Unit: "1", Value: up, Sigma: 0.3 * math.Abs(up-1), Min: nan, Max: nan, Status: control.Information, Because: say,
			Refs: []cite.Ref{cite.FAR23Gust.At("formula in metres; full-size, 30 % at a model's mass ratio", cite.Seen)},
		})
	}
	a.spar("spar", &ac.Spar)
	if j := &ac.Joiner; j.Kind != "" || j.Moment > 0 {
		a.spar("joiner", j)
	}
	a.bolts()
	wing, semi := a.wingMass(), ac.Ref.Span/2
	// A tip that catches: what a single bolt would see.
	if wing > 0 {
		half := wing / 2
		_, mo, bolt := TipCatch(half, 0.4*semi, 30, 40e-3)
		a.add(Result{
			ID: "tip_catch", Label: "pull on a wing bolt when a tip catches", Unit: "N", Value: bolt, Sigma: 0.5 * bolt, Min: nan, Max: nan, Status: control.Information,
			Because: fmt.Sprintf("A wing half of %.0f g stopped with 30 times its weight at 40 %% of the half span turns with %.1f N m about a bolt 40 mm from its dowel. Nylon M4 holds about 500 N, M3 300 N; a seat in print or wood crushes first: it needs %.0f mm² at 4 MPa.", half*1e3, mo, bolt/4e6*1e6),
			Caution: "Let a nylon bolt or a rubber band break before the wing does.", Refs: []cite.Ref{cite.Ours.At("couple of bolt and dowel; 30 g and 40 mm are our choice", cite.Derived)},
		})
	}
}

// spar judges the spar, or the joiner, in bending.
func (a *assessor) spar(name string, s *craft.Spar) {
	ac := a.ac
	n, why := a.bendingLoad()
	lift := n * ac.Mass.Total * gravity
	semi := ac.Ref.Span / 2
	at := 0.0
	if s.Along > 0 && semi > 0 {
		at = s.Along / semi
	}
	m := EllipticMoment(lift, semi, at)
	wing := a.wingMass()
	relief := ""
	if wing > 0 && ac.Mass.Total > 0 {
		relief = fmt.Sprintf(" The wing's own mass would relieve it by up to %.0f %%, which is left as reserve.", 100*Relief(wing, ac.Mass.Total))
	}
	r := Result{
		ID: name, Label: "strength of the " + name + " over its load", Unit: "1", Min: a.factor(), Max: nan, Value: nan, Safety: true, Caution: proofFirst,
		How: "a stouter spar, caps or a sleeve at the joint, less load factor (less up throw at speed), a proof load", Refs: []cite.Ref{cite.Ours.At("elliptic lift on a cantilever", cite.Derived), factorRef},
	}
	load := fmt.Sprintf("%.2f N m at %.0f %% of the half span in %s, elliptic lift.", m, at*100, why)
	switch {
	case math.IsNaN(m) || !(m > 0):
		r.Status, r.Because = control.Unknown, "The place of the "+name+" lies outside the wing, or the wing has no span."
	case s.Moment > 0:
		r.Value, r.Sigma, r.Min = s.Moment/m, 0.1*s.Moment/m, limit("proof")
		r.Label = "proof moment of the " + name + " over its load"
		r.Because = fmt.Sprintf("It was proof-loaded to %.2f N m against %s A proof shows the limit load is held; it says nothing of the last half of strength.%s", s.Moment, load, relief)
	case s.Kind == "" || s.Material == "":
		r.Status, r.Because = control.NotAsked, "The "+name+" is not described; the wing must carry "+load
		r.How = "describe the spar or joiner under strength, or load the wing upside down with sandbags and enter the proof moment"
	default:
		mat, ok := Find(s.Material)
		if !ok {
			r.Status, r.Because = control.Unknown, "The "+name+"'s material is not one of the table."
			break
		}
		z := nan
		switch s.Kind {
		case "tube", "rod":
			inner := s.Inner
			if s.Kind == "rod" {
				inner = 0
			}
			z = TubeZ(s.Outer, inner)
		case "strip":
			z = StripZ(s.Outer, s.Width)
		case "skin":
			if s.Inner >= 0 && s.Inner < s.Outer && s.Width > 0 {
				z = s.Width * (s.Outer*s.Outer*s.Outer - s.Inner*s.Inner*s.Inner) / (6 * s.Outer)
			}
		}
		if !(z > 0) {
			r.Status, r.Because, r.How = control.Unknown, "The "+name+"'s dimensions are missing or impossible.", "give outer, and inner or width"
			break
		}
		strength := math.Min(mat.Tension, mat.Compression) * mat.Workmanship
		r.Value = strength * z / m
		r.Sigma = r.Value * math.Hypot(mat.Doubt, 0.1)
		r.Refs = append(r.Refs, mat.Refs...)
		a.relieved(name, r, wing)
		r.Because = fmt.Sprintf("%s The %s %s alone is stressed to %.0f MPa; %.0f MPa is what its weaker side takes, made by hand.%s", load, s.Material, s.Kind, m/z/1e6, strength/1e6, relief)
	}
	a.add(r)
}

// relieved gives, for information, the spar's strength when the wing carries
// its own mass where it is: spread like the lift.
func (a *assessor) relieved(name string, r Result, wing float64) {
	x := Relief(wing, a.ac.Mass.Total)
	if !(x > 0 && x < 1) {
		return
	}
	v := r.Value / (1 - x)
	a.add(Result{
		ID: name + "_relieved", Label: "strength of the " + name + " over its load, relieved by the wing's mass", Unit: "1", Value: v, Sigma: r.Sigma / (1 - x) * 1.1, Min: nan, Max: nan, Status: control.Information,
		Because: fmt.Sprintf("%.0f g of the %.0f g are wing and hang where the lift is: %.0f %% less bending at the root, when the wing's mass is spread like its lift.", wing*1e3, a.ac.Mass.Total*1e3, 100*x), Refs: []cite.Ref{cite.Ours.At("wing mass over total mass", cite.Derived)},
	})
}

func (a *assessor) hook() {
	ac, l := a.ac, &a.l
	r := Result{
		ID: "hook", Label: "strength of the launch hook over its load", Unit: "1", Min: a.factor(), Max: nan, Value: nan, Safety: true,
		Caution: "A hook or stake that lets go sends rubber at people: eye protection, nobody in line with the bungee, a proof pull before the first launch. " + proofFirst,
		How:     "a longer pad, a hook lower on the skin, two hooks, less stretch, a proof pull", Refs: []cite.Ref{factorRef},
	}
	if ac.Launch.By != "bungee" {
		r.Status, r.Because, r.Caution = control.NotAsked, "It is not launched by a bungee.", ""
		a.add(r)
		return
	}
	if !(l.LaunchTension > 0) {
		r.Status, r.Because = control.Unknown, "The pull of the launch is not known."
		a.add(r)
		return
	}
	t := l.LaunchTension
	rel := l.TensionSigma / t
	count := math.Max(1, float64(ac.Launch.Bungee.HookCount))
	each, h := t/count, &ac.HookPad
	switch {
	case !h.Known:
		r.Status, r.Because = control.Unknown, fmt.Sprintf("How the hook is held is not described; it must hold %.0f N.", t)
		r.How = fmt.Sprintf("pull on it with a luggage scale to %.0f N (%.1f kg) and enter hook: holds", a.factor()*t, a.factor()*t/gravity)
	case h.Holds > 0:
		r.Value = h.Holds / t
		r.Sigma = r.Value * math.Hypot(rel, 0.05)
		r.Because = fmt.Sprintf("It was proof-pulled to %.0f N; the launch pulls up to %.0f N.", h.Holds, t)
	default:
		value, say, doubt := math.Inf(1), "", 0.0
		if m, ok := Find(h.Material); ok && h.Diameter > 0 && h.Proud > 0 {
			st := m.Tension
			if h.Material == "steel wire" {
				st = 0.93 * WireStrength(h.Diameter) // yield over ultimate, music wire
			}
			stress := HookWire(each, h.Proud, h.Diameter)
			if v := st * m.Workmanship * m.Across * m.Warm(l.Temperature+sunK) / stress; v < value {
				value, doubt = v, m.Doubt
				say = fmt.Sprintf("%.0f N at %.0f mm bends the %.1f mm %s hook to %.0f MPa of %.0f MPa.", each, h.Proud*1e3, h.Diameter*1e3, h.Material, stress/1e6, st*m.Workmanship*m.Across/1e6)
			}
			r.Refs = append(r.Refs, m.Refs...)
		}
		if h.PadLong > 0 && h.PadWide > 0 && h.Proud > 0 {
			p := HookLoad(each, l.LaunchBelow, h.Proud, h.PadLong, h.PadWide)
			const glue, smooth = 19e6, 0.3 // epoxy, mean of its range; on smooth GRP
			// In tension across the joint take half the lap shear.
			v := glue * smooth / (2*p.Peel + p.Shear)
			if v < value {
				value, doubt = v, 0.35
				say = fmt.Sprintf("%.0f N at %.0f mm peels the %.0f x %.0f mm pad with %.2f MPa and shears it with %.2f MPa; epoxy on smooth skin takes about %.1f MPa in shear, half of that in peel.", each, h.Proud*1e3, h.PadLong*1e3, h.PadWide*1e3, p.Peel/1e6, p.Shear/1e6, glue*smooth/1e6)
			}
			r.Refs = append(r.Refs, cite.Shigley.At("lap shear of epoxy; 0.3 on smooth GRP is engineering judgement", cite.Seen))
		}
		if math.IsInf(value, 1) {
			r.Status, r.Because, r.How = control.Unknown, fmt.Sprintf("The hook's diameter, its stand-off or its pad are not given; it must hold %.0f N.", t), "measure them, or proof-pull it and enter hook: holds"
			break
		}
		r.Value, r.Sigma, r.Because = value, value*math.Hypot(rel, math.Hypot(doubt, 0.15)), say
	}
	a.add(r)

	b := &ac.Launch.Bungee
	s := Result{
		ID: "stake", Label: "holding force of the stake over the pull", Unit: "1", Min: limit("stake"), Max: nan, Value: nan, Safety: true, Caution: "A stake that comes out flies at the pilot: stand aside, eye protection, drive it leaning away from the pull.",
		How: "a longer stake, two in line, harder ground; pull on it with a scale", Refs: []cite.Ref{cite.Choice.At("2: ground is not the same at the next stake hole", cite.Practice)},
	}
	if b.StakeHolds > 0 {
		s.Value = b.StakeHolds / t
		s.Sigma = s.Value * math.Hypot(rel, 0.2)
		s.Because = fmt.Sprintf("It holds %.0f N; the launch pulls up to %.0f N.", b.StakeHolds, t)
	} else {
		s.Status, s.Because = control.NotAsked, fmt.Sprintf("What the stake holds is not given; it should hold %.0f N.", s.Min*t)
	}
	a.add(s)
}

func (a *assessor) landing() {
	ac, l := a.ac, &a.l
	m := ac.Mass.Total
	if ac.Ref.Area > 0 && m > 0 {
		v, from := l.Descent, "the approach computed"
		if !(v > 0) {
			v, from = Descent(m*gravity/ac.Ref.Area), "the codes' formula for this wing loading"
		}
		n := LandingLoad(v, l.Crush)
		a.add(Result{
			ID: "belly", Label: "load factor of the belly landing", Unit: "1", Value: n, Sigma: 0.4 * n, Min: nan, Max: nan, Status: control.Information,
			Because: fmt.Sprintf("A descent of %.2f m/s (%s) is %.2f J, stopped in %.0f mm. Everything inside must be held for it: a battery of 200 g pulls %.0f N.", v, from, 0.5*m*v*v, l.Crush*1e3, 0.2*n*gravity),
			How:     "a flatter flare, foam or grass under the belly, straps on the battery", Caution: "After a hard landing watch the pack outside, away from anything that burns.",
			Refs: []cite.Ref{cite.VLA473.At("0.51 (Mg/S)^¼, without the full-size floor", cite.Memory)},
		})
	}
	if l.TopSpeed > 0 || l.TouchdownSpeed > 0 {
		v := l.TouchdownSpeed
		at := "touchdown speed"
		if !(v > 0) {
			v, at = l.TopSpeed, "top speed"
		}
		e := 0.5 * m * v * v
		rel := 2 * l.TouchSigma / v
		if at == "top speed" {
			rel = 2 * l.TopSigma / v
		}
		a.add(Result{
			ID: "impact", Label: "energy of a nose impact at " + at, Unit: "J", Value: e, Sigma: math.Hypot(rel, 0.02) * e, Min: nan, Max: nan, Status: control.Information,
			Because: fmt.Sprintf("%.0f J at %.0f m/s; a thin glass skin is holed by 0.5 to 2 J (order of magnitude). Stopped in 0.1 m that is %.0f times the weight, in 0.5 m %.0f times: nothing survives by strength, only by missing.", e, v, LandingLoad(v, 0.1), LandingLoad(v, 0.5)),
			Caution: "Glass and carbon dust and splinters: gloves and a mask when clearing up. A crashed lithium pack goes outside and is watched.",
			Refs:    []cite.Ref{cite.Ours.At("kinetic energy over stopping distance", cite.Derived)},
		})
	}
}

func (a *assessor) currents() {
	ac, l := a.ac, &a.l
	p := &ac.Power
	if p.Place == "" {
		a.add(Result{ID: "current", Label: "currents", Value: nan, Min: nan, Max: nan, Status: control.NotAsked, Because: "There is no motor."})
		return
	}
	i := l.MaxCurrent
	if !(i > 0) {
		a.add(Result{ID: "current", Label: "currents", Unit: "A", Value: nan, Min: nan, Max: nan, Status: control.Unknown, Safety: true, Because: "The largest current is not known."})
		return
	}
	for _, x := range []struct {
		id, what string
		limit    float64
	}{
		{"current.controller", "the controller", p.Controller.Limit},
		{"current.motor", "the motor", p.Motor.Limit},
		{"current.battery", "the battery", p.Battery.Limit},
		{"current.connector", "the connectors", p.Wiring.Limit},
	} {
		r := Result{
			ID: x.id, Label: "largest current through " + x.what, Unit: "A", Value: i, Sigma: l.CurrentSigma, Min: nan, Max: x.limit, Safety: true,
			Because: fmt.Sprintf("%.0f A at full throttle against a limit of %.0f A.", i, x.limit), How: "a propeller of less pitch or diameter, less throttle, or a part of higher rating", Refs: []cite.Ref{cite.Common.At("the maker's continuous limit", cite.Practice)},
		}
		if !(x.limit > 0) {
			r.Max, r.Status, r.Because = nan, control.NotAsked, fmt.Sprintf("The limit of %s is not given; it carries %.0f A.", x.what, i)
			r.How = "read its label"
		}
		a.add(r)
	}
	if l.Cell != 0 && l.CellLeast > 0 {
		a.add(Result{
			ID: "current.cells", Label: "voltage of the weakest cell at that current", Unit: "V", Value: l.Cell, Sigma: l.CellSigma, Min: l.CellLeast, Max: nan, Safety: true,
			Because: fmt.Sprintf("Standing at full throttle with the pack as at launch a cell sags to %.2f V; at %.2f V one lands, and a controller may cut the motor or the receiver's supply fail.", l.Cell, l.CellLeast),
			How:     "a pack of less resistance or more capacity, warm before the launch, less throttle, a propeller of less pitch or diameter", Refs: []cite.Ref{cite.Common.At("3.3 to 3.5 V a cell under load, never under 3.0", cite.Practice)},
		})
	}
	// Gauge 0 with no length is a lead that is not described.
	if w := &p.Wiring; w.Gauge > 0 && w.Gauge <= 40 {
		amb := l.Temperature
		rate := AdiabaticRise(w.Gauge, i)
		steady := WireRise(w.Gauge, i, amb)
		// The lead warms towards its steady rise with the time constant of its own loss.
		rise := steady
		if !math.IsInf(steady, 1) && rate > 0 {
			rise = steady * (1 - math.Exp(-l.BurstTime*rate/steady))
		} else {
			rise = rate * l.BurstTime
		}
		_, drop, heat := Drop(w.Gauge, w.Length, i, amb)
		rel := math.Hypot(0.25, 2*l.CurrentSigma/i)
		f := math.Exp(z90 * rel)
		// One body: its end and its first slope.
		body := Lumped{Heat: steady, Resistance: 1, Capacity: steady / rate}
		if math.IsInf(steady, 1) {
			body = Lumped{Heat: 1e6, Resistance: 1, Capacity: 1e6 / rate}
		}
		say := fmt.Sprintf("Gauge %d at %.0f A warms %.1f K a second at first; after %.0f s of full throttle by %.0f K, to %.0f °C; %s. The lead loses %.2f V and %.1f W.", w.Gauge, i, rate, l.BurstTime, rise, amb+rise-zero, reach(fmt.Sprintf("%.0f K over the air", limit("wire")), body, limit("wire"), f), drop, heat)
		if f := FreeAir(w.Gauge); !math.IsNaN(f) {
			say += fmt.Sprintf(" Aircraft practice in free air is %.0f A; short model leads are run far above it.", f)
		}
		a.add(Result{
			ID: "wire", Label: "temperature rise of the battery lead", Unit: "K", Value: rise, Sigma: rel * rise, Ends: [2]float64{rise / f, rise * f}, Min: nan, Max: limit("wire"), Safety: true, Because: say, How: "a thicker lead, less current, cooling air",
			Refs: []cite.Ref{cite.ASTMB258.At("gauge law and copper", cite.Derived), cite.Morgan1975.At("natural convection", cite.Memory), cite.MILW5088.At("single wire in free air", cite.Seen), cite.Choice.At("100 K: solder and heat-shrink beside silicone wire stay whole", cite.Practice)},
		})
		a.add(Result{ID: "fuse", Label: "current that would melt the lead in 10 s over the largest", Unit: "1", Value: Onderdonk(WireArea(w.Gauge), 10, amb) / i, Sigma: Onderdonk(WireArea(w.Gauge), 10, amb) / i * l.CurrentSigma / i, Min: nan, Max: nan, Status: control.Information, Because: "Copper melted without cooling.", Refs: []cite.Ref{cite.Onderdonk.At("short-time fusing", cite.Derived)}})
	}
	a.plugs()
	a.warm()
	a.supply()
}

// supply judges the receiver's supply.
func (a *assessor) supply() {
	ac, p := a.ac, &a.ac.Power
	// The receiver's supply.
	servos := 0
	var mean, peak float64
	for k := range ac.Parts {
		if ac.Parts[k].Kind == "servo" {
			servos++
		}
	}
	if servos == 0 {
		for k := range ac.Linkages {
			n := 1
			for si := range ac.Surfaces {
				for ci := range ac.Surfaces[si].Controls {
					if ac.Surfaces[si].Controls[ci].Name == ac.Linkages[k].Control && ac.Surfaces[si].Mirrored {
						n = 2
					}
				}
			}
			servos += n
		}
	}
	if servos > 0 {
		stall, said := 1.2, "1.2 A stalled each (small servos, assumed)"
		for k := range ac.Linkages {
			if s := ac.Linkages[k].StallCurrent; s > 0 && (stall == 1.2 && said[0] == '1' || s > stall) {
				stall, said = s, fmt.Sprintf("%.1f A stalled each, the thirstiest given", s)
			}
		}
		list := []Consumer{{"servos", servos, math.Min(0.25, stall/3), stall}, {"receiver", 1, 0.1, 0.1}}
		for k := range ac.Parts {
			switch ac.Parts[k].Kind {
			case "camera", "video transmitter", "autopilot":
				list = append(list, Consumer{ac.Parts[k].Name, 1, 0.4, 0.4})
			}
		}
		mean, peak = Budget(list)
		need := math.Max(peak, mean/0.6)
		r := Result{
			ID: "supply", Label: "peak current of the receiver's supply", Unit: "A", Value: peak, Sigma: 0.3 * peak, Min: nan, Max: nan, Status: control.Information,
			Because: fmt.Sprintf("%d servos at %.2f A mean and %s, receiver and video: %.1f A mean, %.1f A peak. The regulator should carry the peak, and the mean at 60 %% of its rating: at least %.1f A.", servos, math.Min(0.25, stall/3), said, mean, peak, need),
			Caution: "A supply that browns out takes the controls with it: stall all servos at once on the bench, propeller off, and watch the receiver.", Refs: []cite.Ref{cite.Common.At("small servos' currents", cite.Practice)},
			How: "a separate supply, fewer or smaller servos, no linkage that binds",
		}
		r.How = fmt.Sprintf("a supply of at least %.1f A (a separate one, if need be), ", need*(1+z90*0.2)) + "fewer or smaller servos, no linkage that binds"
		if p.Controller.Supply > 0 {
			r.Status, r.Value, r.Sigma, r.Max, r.Safety = control.Pass, need, 0.2*need, p.Controller.Supply, true
			r.Label = "current asked of the receiver's supply"
		}
		a.add(r)
	}
}
