package build

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// The layouts Starter knows.
const (
	Conventional = "conventional"
	VTail        = "v-tail"
	Swept        = "swept" // tailless, swept wing with tip fins
	Canard       = "canard"
)

// Layouts lists them.
func Layouts() []string { return []string{Conventional, VTail, Swept, Canard} }

// Answers are what a user says about a new aeroplane. Whatever is left zero
// is assumed, and said to be in the file.
type Answers struct {
	Name        string
	Layout      string        // one of Layouts; conventional when empty
	Span        unit.Quantity // 0.3 to 3 m
	Mass        unit.Quantity // ready to fly, 0.015 to 10 kg
	Cells       int           // in series
	Capacity    unit.Quantity
	BatteryMass unit.Quantity
	KV          unit.Quantity
	MotorMass   unit.Quantity
	Diameter    unit.Quantity // of the propeller
	Pitch       unit.Quantity
	Place       string // tractor or pusher
	Launch      string // bungee or hand
}

// Starting values, our choice unless a source is named: they make a sound
// file to start from, not a design.
const (
	starterAspect = 6.0  // aspect ratio of the wing
	starterTaper  = 0.6  // tip over root chord
	tailAspect    = 4.0  // of a tail plane
	tailTaper     = 0.7  //
	tailVolume    = 0.50 // Raymer, Aircraft design, table 6.4, home-built (from memory)
	finVolume     = 0.04 // the same
	canardShare   = 0.16 // foreplane area over wing area
	startMargin   = 0.10 // static margin aimed at; 0.07 for a swept tailless one
	sweptMargin   = 0.07
	bodyShift     = 0.03               // of the mean chord, by which a slender body brings the neutral point forward
	tailWake      = 0.90               // dynamic pressure at a tail behind the wing; a V stands clear of its wake
	sweptAngle    = 24 * math.Pi / 180 // sweep of the leading edge
)

// Starter writes a commented starting file: the answers as given, the rest
// assumed and marked so. Geometry follows tail-volume rules, and the battery
// and wing are placed so that the centre of gravity lies at a first estimate
// of the right place (lifting slopes after Helmbold and Polhamus, downwash of
// an elliptic wing); it is an estimate only, which "fledge balance" then
// replaces. The file parses without errors. Answers that contradict each
// other come back as diagnostics, and no text.
func Starter(a Answers) ([]byte, diag.List) {
	var l diag.List
	bad := func(key, hint, format string, args ...any) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "bad-answer", Message: key + ": " + fmt.Sprintf(format, args...), Hint: hint})
	}
	oneOf := func(key string, s *string, words ...string) {
		if *s == "" {
			*s = words[0]
		}
		if !contains(words, *s) {
			bad(key, diag.DidYouMean(*s, words, "one of: "+strings.Join(words, ", ")), "%s is not known", diag.Quote(*s))
		}
	}
	oneOf("layout", &a.Layout, Layouts()...)
	place := a.Place
	if place == "" && (a.Layout == Swept || a.Layout == Canard) {
		a.Place = "pusher"
	}
	oneOf("place", &a.Place, "tractor", "pusher")
	oneOf("launch", &a.Launch, "bungee", "hand")
	within := func(key string, q unit.Quantity, low, high float64, dim unit.Dim) {
		if q.Dim != unit.None && (q.Value < low || q.Value > high) {
			bad(key, fmt.Sprintf("from %s to %s", unit.Format(low, dim, unit.Metric), unit.Format(high, dim, unit.Metric)), "%s is out of range", q.Text)
		}
	}
	within("span", a.Span, 0.2, 3, unit.Length)
	within("mass", a.Mass, 0.015, 10, unit.Mass)
	within("capacity", a.Capacity, 20*3.6, 30000*3.6, unit.Charge)
	within("battery mass", a.BatteryMass, 0.001, 5, unit.Mass)
	within("kv", a.KV, unit.Of(50, "rpm/V", unit.MotorConstant), unit.Of(20000, "rpm/V", unit.MotorConstant), unit.MotorConstant)
	within("motor mass", a.MotorMass, 0.001, 2, unit.Mass)
	within("diameter", a.Diameter, 0.03, 0.6, unit.Length)
	within("pitch", a.Pitch, 0.01, 0.6, unit.Length)
	if a.Cells < 0 || a.Cells > 12 {
		bad("cells", "from 1 to 12", "%d is out of range", a.Cells)
	}
	if len(a.Name) > 100 {
		bad("name", "", "it is too long")
	}
	if l.HasErrors() {
		return nil, l
	}
	s := starter{a: a}
	s.choose()
	if s.structure < 0.2*s.mass {
		bad("mass", "give the lighter battery or motor their own masses, or a larger mass", "%s leaves %s for the airframe once battery, motor and small parts are in", unit.Format(s.mass, unit.Mass, unit.Metric), unit.Format(math.Max(0, s.structure), unit.Mass, unit.Metric))
		return nil, l
	}
	s.shape()
	return s.write(), nil
}

// starter holds the numbers of one starting file, SI.
type starter struct {
	a                                                       Answers
	span, mass, capacity, battery, kv, motor, prop          float64
	diameter, pitch                                         float64
	cells                                                   int
	controller, receiver, servo, servos                     float64
	structure, wingMass, bodyMass, tailMass                 float64
	area, mac, root, tip, sweep                             float64 // wing; sweep is the shift of the tip's leading edge
	length, width, height                                   float64 // body
	small                                                   float64 // what fittings shrink by below a span of 0.8 m
	wingX, tailX, batteryX, cg, np, margin                  float64
	tailArea, tailSpan, tailRoot, tailTip, tailDihedral     float64
	finArea, finHeight, finRoot, finTip, finX, motorX       float64
	controllerX, receiverX, servoX, batteryLow, batteryHigh float64
}

func given(q unit.Quantity, otherwise float64) float64 {
	if q.Dim != unit.None {
		return q.Value
	}
	return otherwise
}

// choose settles the numbers that need no geometry.
func (s *starter) choose() {
	a := s.a
	switch {
	case a.Span.Dim != unit.None && a.Mass.Dim == unit.None:
		s.span = a.Span.Value
		s.mass = coarse(massFor(s.span), 0.01)
	case a.Span.Dim == unit.None && a.Mass.Dim != unit.None:
		s.mass = a.Mass.Value
		s.span = math.Max(round(spanFor(s.mass), 0.01), 0.2)
	default:
		s.span, s.mass = given(a.Span, 1), given(a.Mass, 1)
	}
	s.small = math.Min(1, s.span/0.8)
	s.cells = a.Cells
	if s.cells == 0 {
		switch {
		case s.mass < 0.08:
			s.cells = 1
		case s.mass < 0.25:
			s.cells = 2
		case s.mass < 0.9:
			s.cells = 3
		case s.mass < 2.5:
			s.cells = 4
		case s.mass < 5:
			s.cells = 6
		default:
			s.cells = 8
		}
	}
	// Packs weigh about 27 g per cell and Ah with their leads; a fifth of the
	// mass for the pack.
	const packMass = 0.027 / 3600
	s.capacity = given(a.Capacity, 3.6*math.Max(20, coarse(0.19*s.mass/(packMass*float64(s.cells))/3.6, 100)))
	s.battery = given(a.BatteryMass, gram(packMass*float64(s.cells)*s.capacity))
	s.motor = given(a.MotorMass, gram(0.07*s.mass))
	s.controller = gram(math.Max(0.0008, 0.035*s.mass))
	s.prop = gram(math.Max(0.0003, 0.009*s.mass))
	s.receiver = gram(math.Max(0.001, math.Min(0.006, 0.025*s.mass)))
	// A servo of 9 g for 800 g; the smallest made weigh some 1.7 g.
	s.servo = gram(math.Min(0.06, math.Max(0.011*s.mass, math.Max(math.Min(0.0017, 0.05*s.mass), math.Min(0.004, 0.03*s.mass)))))
	s.servos = 2
	if a.Layout != Swept {
		s.servos = 3
	}
	if a.Layout == VTail {
		s.servos = 4
	}
	const inch = 0.0254
	s.diameter = given(a.Diameter, inch*coarse(6*math.Max(math.Cbrt(s.mass), math.Sqrt(s.mass)), 0.5))
	s.pitch = given(a.Pitch, inch*coarse(0.8*s.diameter/inch, 0.5))
	// Pitch speed of 32 m/s at 0.8 of the nominal voltage times kv, less for the
	// lightly loaded as their speeds are less.
	quick := 32 * math.Min(1, math.Sqrt(s.mass/(s.span*s.span)))
	s.kv = given(a.KV, unit.Of(math.Min(20000, math.Max(50, round(quick/s.pitch*60/(0.8*3.7*float64(s.cells)), 50))), "rpm/V", unit.MotorConstant))
	s.structure = s.mass - s.battery - s.motor - s.controller - s.prop - s.receiver - s.servos*s.servo
	s.wingMass, s.bodyMass, s.tailMass = 0.52*s.structure, 0.34*s.structure, 0.14*s.structure
	if s.a.Layout == Swept {
		s.wingMass, s.bodyMass, s.tailMass = 0.68*s.structure, 0.26*s.structure, 0.06*s.structure
	}
}

// massFor is the mass assumed of a span: a wing loading of 60 g/dm² from 1 m
// upwards, below that as the span, so that bodies of one shape keep one density.
func massFor(span float64) float64 { return 6 * span * span / starterAspect * math.Min(1, span) }

// spanFor is its inverse.
func spanFor(mass float64) float64 { return math.Max(math.Sqrt(mass*starterAspect/6), math.Cbrt(mass)) }

func round(v, step float64) float64 { return math.Round(v/step) * step }

// gram rounds a mass to a gram, below 10 g to a tenth: as it is written.
func gram(kg float64) float64 {
	if kg < 0.01 {
		return round(kg, 0.0001)
	}
	return round(kg, 0.001)
}

// coarse rounds to a step, and to a fifth of it where a step would be felt.
func coarse(v, step float64) float64 {
	if v < 8*step {
		step /= 5
	}
	return round(v, step)
}

// liftSlope is the lift-curve slope of a plane wing per radian (Helmbold's
// form with Polhamus's sweep term, section slope 2π).
func liftSlope(aspect, tanSweep float64) float64 {
	return 2 * math.Pi * aspect / (2 + math.Sqrt(4+aspect*aspect*(1+tanSweep*tanSweep)))
}

// shape settles the geometry: the wing is moved along the body until the
// centre of gravity, with the battery in its place, meets the neutral point
// less the margin.
func (s *starter) shape() {
	s.area = s.span * s.span / starterAspect
	s.root = round(2*s.area/(s.span*(1+starterTaper)), 0.001)
	s.tip = round(starterTaper*s.root, 0.001)
	t := s.tip / s.root
	s.mac = 2. / 3 * s.root * (1 + t + t*t) / (1 + t)
	s.area = s.span * (s.root + s.tip) / 2
	s.margin = startMargin
	s.sweep = round(0.12*s.root, 0.001)
	s.length = round(0.78*s.span, 0.005)
	switch s.a.Layout {
	case Swept:
		s.margin = sweptMargin
		s.sweep = round(math.Tan(sweptAngle)*s.span/2, 0.001)
		s.length = round(0.5*s.span, 0.005)
	case Canard:
		s.sweep = round(0.35*s.root, 0.001)
		s.length = round(0.8*s.span, 0.005)
	}
	s.width = round(math.Max(0.012, 0.055*math.Cbrt(s.mass)), 0.001)
	s.height = round(1.15*s.width, 0.001)
	if s.a.Place == "tractor" {
		s.motorX = 0.03 * s.length
	} else {
		s.motorX = 0.97 * s.length
	}
	// Walk the wing from the nose backwards; the first place where the
	// centre of gravity is no longer behind where it should be.
	low, high := 0.0, s.length-s.root
	if s.surplus(low) < 0 || s.surplus(high) > 0 {
		// The wing cannot do it alone; the battery makes up what is left.
		if s.surplus(low) < 0 {
			high = low
		} else {
			low = high
		}
	}
	for range 60 {
		mid := (low + high) / 2
		if s.surplus(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	s.surplus(round((low+high)/2, 0.001))
	// Round to millimetres, then let the battery take up the rest.
	s.batteryX = round(s.batteryX+(s.np-s.margin*s.mac-s.cg)*s.mass/s.battery, 0.001)
	s.surplus(s.wingX)
	s.batteryX = math.Max(0.05*s.length, math.Min(0.95*s.length, s.batteryX))
	room := round(math.Min(0.04*s.length, math.Min(s.batteryX, s.length-s.batteryX)), 0.005)
	s.batteryLow, s.batteryHigh = s.batteryX-room, s.batteryX+room
}

// surplus is how far the centre of gravity lies behind its place with the
// wing's root leading edge at x; it falls as the wing goes back. It settles
// everything that depends on x.
func (s *starter) surplus(x float64) float64 {
	s.wingX = x
	tanLE := s.sweep / (s.span / 2)
	t := s.tip / s.root
	ybar := s.span / 6 * (1 + 2*t) / (1 + t)
	quarter := x + ybar*tanLE + 0.25*s.mac
	tan4 := tanLE - (1-t)*s.root/(2*s.span) // of the quarter-chord line
	aw := liftSlope(starterAspect, tan4)
	chordOf := func(area, aspect, taper float64) (span, root, tip float64) {
		span = math.Sqrt(area * aspect)
		root = 2 * area / (span * (1 + taper))
		return round(span, 0.002), round(root, 0.001), round(taper*root, 0.001)
	}
	// Chord of the rearmost tail, iterated once for its arm.
	switch s.a.Layout {
	case Conventional, VTail:
		end := 0.97 * s.length
		if s.a.Place == "pusher" {
			end = 0.9 * s.length
		}
		chord := 0.5 * s.root
		for range 8 {
			arm := math.Max(0.3*s.length*0.3, end-0.75*chord-quarter)
			s.tailArea = math.Min(0.5*s.area, tailVolume*s.area*s.mac/arm)
			s.finArea = math.Min(0.3*s.area, finVolume*s.area*s.span/arm)
			total := s.tailArea
			if s.a.Layout == VTail {
				total += s.finArea
			}
			s.tailSpan, s.tailRoot, s.tailTip = chordOf(total, tailAspect, tailTaper)
			chord = s.tailRoot
		}
		s.tailX = round(end-s.tailRoot, 0.001)
		s.finRoot = s.tailRoot
		s.finTip = round(0.6*s.finRoot, 0.001)
		s.finHeight = round(2*s.finArea/(s.finRoot+s.finTip), 0.001)
		s.finX = s.tailX
		tailQuarter := s.tailX + 0.3*s.tailRoot
		at := liftSlope(tailAspect, 0)
		if s.a.Layout == VTail {
			s.tailDihedral = math.Atan(math.Sqrt(s.finArea / s.tailArea))
		}
		down := 2 * aw / (math.Pi * starterAspect)
		k := at / aw * s.tailArea / s.area * (1 - down)
		if s.a.Layout == Conventional {
			k *= tailWake
		}
		s.np = (quarter + k*tailQuarter) / (1 + k)
	case Swept:
		s.np = quarter
		arm := math.Max(0.2*s.length, s.sweep+0.6*s.tip-(ybar*tanLE+0.25*s.mac))
		s.finArea = math.Min(0.16*s.area, 0.6*finVolume*s.area*s.span/arm) / 2
		s.finRoot = round(0.9*s.tip, 0.001)
		s.finTip = round(0.6*s.tip, 0.001)
		s.finHeight = round(2*s.finArea/(s.finRoot+s.finTip), 0.001)
		s.finX = round(x+s.sweep+0.1*s.tip, 0.001)
	case Canard:
		s.tailArea = canardShare * s.area
		s.tailSpan, s.tailRoot, s.tailTip = chordOf(s.tailArea, tailAspect, tailTaper)
		s.tailX = round(0.04*s.length, 0.001)
		tailQuarter := s.tailX + 0.3*s.tailRoot
		ac := liftSlope(tailAspect, 0)
		// The inner wing flies in the foreplane's downwash.
		k := ac / aw * s.tailArea / s.area
		loss := 0.5 * 2 * ac / (math.Pi * tailAspect) * s.tailSpan / s.span
		s.np = ((1-loss)*quarter + k*tailQuarter) / (1 - loss + k)
		arm := math.Max(0.15*s.length, x+s.sweep+0.5*s.tip-s.np)
		s.finArea = math.Min(0.2*s.area, finVolume*s.area*s.span/arm) / 2
		s.finRoot = round(0.95*s.tip, 0.001)
		s.finTip = round(0.6*s.tip, 0.001)
		s.finHeight = round(2*s.finArea/(s.finRoot+s.finTip), 0.001)
		s.finX = round(x+s.sweep+0.05*s.tip, 0.001)
	}
	s.np -= bodyShift * s.mac
	if s.batteryX == 0 {
		switch {
		case s.a.Place == "tractor":
			s.batteryX = round(0.2*s.length, 0.001)
		default:
			s.batteryX = round(0.16*s.length, 0.001)
		}
	}
	s.controllerX = round(s.motorX+(0.5*s.length-s.motorX)*0.2, 0.001)
	s.receiverX = round(0.45*s.length, 0.001)
	s.servoX = s.wingX + ybar*tanLE + 0.4*s.mac
	finsX := s.finX + 0.4*s.finRoot
	moment := s.wingMass*s.wingShellX() + s.bodyMass*0.48*s.length + s.tailMass*s.tailShellX(finsX) +
		s.motor*s.motorX + s.prop*s.propX() + s.controller*s.controllerX + s.battery*s.batteryX + s.receiver*s.receiverX
	for i := range int(s.servos) {
		moment += s.servo * s.servoAt(i)
	}
	s.cg = moment / s.mass
	return s.cg - (s.np - s.margin*s.mac)
}

func (s *starter) wingShellX() float64 {
	t := s.tip / s.root
	return s.wingX + s.span/6*(1+2*t)/(1+t)*s.sweep/(s.span/2) + 0.42*s.mac
}

func (s *starter) tailShellX(fins float64) float64 {
	switch s.a.Layout {
	case Swept:
		return fins
	case Canard:
		return 0.4*(s.tailX+0.45*s.tailRoot) + 0.6*fins
	}
	return s.tailX + 0.45*s.tailRoot
}

func (s *starter) propX() float64 {
	if s.a.Place == "tractor" {
		return 0
	}
	return s.length
}

// servoAt is where servo i stands: two in the wing, the others at the body.
func (s *starter) servoAt(i int) float64 {
	if i < 2 {
		return s.servoX
	}
	if s.a.Layout == Canard {
		return 0.15 * s.length
	}
	return 0.6 * s.length
}

// pen writes lines with what was assumed behind them.
type pen struct {
	b strings.Builder
	s *starter
}

func (p *pen) line(format string, args ...any) { fmt.Fprintf(&p.b, format+"\n", args...) }

// or is the user's text if there is one, else the assumed value and its mark.
func or(q unit.Quantity, assumed string) (text, mark string) {
	if q.Dim != unit.None {
		return scalar(quantityText(q), true), ""
	}
	return assumed, " # assumed"
}

func mmText(v float64) string { return fmt.Sprintf("%.0f mm", v*1000) }

func gText(v float64) string {
	g := v * 1000
	if g < 10 {
		return fmt.Sprintf("%.1f g", g)
	}
	return fmt.Sprintf("%.0f g", g)
}

func (s *starter) write() []byte {
	p := &pen{s: s}
	a := s.a
	name := a.Name
	if name == "" {
		name = "unnamed"
	}
	p.line("# A starting file for a %s aeroplane. Every line marked \"assumed\" is a guess", layoutText(a.Layout))
	p.line("# by simple rules: measure, weigh, and write your own value in its place, with a")
	p.line("# word for where it comes from (weighed, measured, label, guess, maker) or ± a")
	p.line("# doubt: \"182 g weighed\", \"9 m ± 0.5 m\". Delete what you do not know.")
	p.line("fledge: 1")
	p.line("aeroplane:")
	p.line("  name: %s", scalar(strings.TrimSpace(name), false))
	p.line("  datum: nose tip              # all x are from here: x aft, y right, z up")
	p.line("")
	p.line("surfaces:")
	if a.Layout == Canard {
		p.foreplane()
	}
	p.wing()
	switch a.Layout {
	case Conventional:
		p.tail()
		p.fin()
	case VTail:
		p.vtail()
	default:
		p.tipFins()
	}
	p.line("")
	p.line("body:                          # assumed throughout")
	p.line("  stations:")
	p.line("    - {x: 0 mm, width: %s, height: %s}", mmText(0.3*s.width), mmText(0.3*s.height))
	p.line("    - {x: %s, width: %s, height: %s}", mmText(0.18*s.length), mmText(s.width), mmText(s.height))
	p.line("    - {x: %s, width: %s, height: %s}", mmText(0.6*s.length), mmText(s.width), mmText(s.height))
	p.line("    - {x: %s, width: %s, height: %s}", mmText(s.length), mmText(0.45*s.width), mmText(0.45*s.height))
	p.line("")
	p.parts()
	p.linkages()
	p.power()
	p.launch()
	p.rest()
	return []byte(p.b.String())
}

func layoutText(l string) string {
	if l == Swept {
		return "tailless swept-wing"
	}
	return l
}

func (p *pen) wing() {
	s := p.s
	spanMark := ""
	if s.a.Span.Dim == unit.None {
		spanMark = ", and the span"
	}
	twist, section, control := "-1 deg", "NACA 2409", "aileron"
	throws, from, moves := "throw_up: 14 deg, throw_down: 10 deg", 0.45, "roll"
	z := 0.0
	if s.a.Layout == Swept {
		twist, section, control = "-3 deg", "NACA 1409", "elevon"
		throws, from, moves = "throw_up: 14 deg, throw_down: 12 deg, trim: 4 deg", 0.4, "pitch and roll"
	}
	half := s.span / 2
	p.line("  - name: wing")
	p.line("    mirrored: true             # right half given, root first")
	p.line("    stations:                  # assumed: chords, sweep, section, twist%s", spanMark)
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, twist: 0 deg, section: %s}", mmText(s.wingX), mmText(z), mmText(s.root), section)
	halfText := mmText(half)
	if s.a.Span.Dim != unit.None {
		halfText = fmt.Sprintf("%.4g mm", half*1000)
	}
	p.line("      - {x: %s, y: %s, z: %s, chord: %s, twist: %s, section: %s}", mmText(s.wingX+s.sweep), halfText, mmText(0.04*half), mmText(s.tip), twist, section)
	p.line("    controls:                  # assumed")
	p.line("      - {name: %s, from: %s, to: %s, chord_share: 24 %%, moves: %s, %s}", control, mmText(from*half), mmText(0.95*half), moves, throws)
}

func (p *pen) tail() {
	s := p.s
	p.line("  - name: tail")
	p.line("    mirrored: true")
	p.line("    stations:                  # assumed, from a tail volume of %.2f", tailVolume)
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.tailX), mmText(0.01*s.small), mmText(s.tailRoot))
	p.line("      - {x: %s, y: %s, z: %s, chord: %s, section: NACA 0008}", mmText(s.tailX+0.5*(s.tailRoot-s.tailTip)), mmText(s.tailSpan/2), mmText(0.01*s.small), mmText(s.tailTip))
	p.line("    controls:                  # assumed")
	p.line("      - {name: elevator, from: %s, to: %s, chord_share: 30 %%, moves: pitch, throw_up: 12 deg, throw_down: 10 deg}", mmText(0.008*s.small), mmText(0.95*s.tailSpan/2))
}

func (p *pen) fin() {
	s := p.s
	p.line("  - name: fin                  # stands upright: y stays 0, z grows")
	p.line("    mirrored: false")
	p.line("    stations:                  # assumed, from a fin volume of %.2f", finVolume)
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.finX), mmText(0.012*s.small), mmText(s.finRoot))
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.finX+s.finRoot-s.finTip), mmText(0.012*s.small+s.finHeight), mmText(s.finTip))
}

func (p *pen) vtail() {
	s := p.s
	half := s.tailSpan / 2
	p.line("  - name: tail                 # V: the angle comes from y and z of its tip")
	p.line("    mirrored: true")
	p.line("    stations:                  # assumed, from tail volumes of %.2f and %.2f", tailVolume, finVolume)
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.tailX), mmText(0.01*s.small), mmText(s.tailRoot))
	p.line("      - {x: %s, y: %s, z: %s, chord: %s, section: NACA 0008}", mmText(s.tailX+0.5*(s.tailRoot-s.tailTip)),
		mmText(half*math.Cos(s.tailDihedral)), mmText(0.01*s.small+half*math.Sin(s.tailDihedral)), mmText(s.tailTip))
	p.line("    controls:                  # assumed")
	p.line("      - {name: ruddervator, from: %s, to: %s, chord_share: 30 %%, moves: pitch and yaw, throw_up: 12 deg, throw_down: 10 deg}", mmText(0.008*s.small), mmText(0.93*half*math.Cos(s.tailDihedral)))
}

func (p *pen) foreplane() {
	s := p.s
	p.line("  - name: foreplane")
	p.line("    mirrored: true")
	p.line("    stations:                  # assumed, %.0f %% of the wing's area; set nose up so that it stalls first", 100*canardShare)
	p.line("      - {x: %s, y: 0 mm, z: %s, chord: %s, twist: 2.5 deg, section: NACA 2409}", mmText(s.tailX), mmText(0.015*s.small), mmText(s.tailRoot))
	p.line("      - {x: %s, y: %s, z: %s, chord: %s, twist: 2.5 deg, section: NACA 2409}", mmText(s.tailX+0.3*(s.tailRoot-s.tailTip)), mmText(s.tailSpan/2), mmText(0.015*s.small), mmText(s.tailTip))
	p.line("    controls:                  # assumed")
	p.line("      - {name: elevator, from: %s, to: %s, chord_share: 30 %%, moves: pitch, throw_up: 8 deg, throw_down: 10 deg}", mmText(0.02*s.small), mmText(0.95*s.tailSpan/2))
}

func (p *pen) tipFins() {
	s := p.s
	p.line("  - name: fins                 # one at each wing tip, upright")
	p.line("    mirrored: true")
	p.line("    stations:                  # assumed")
	half := s.span / 2
	p.line("      - {x: %s, y: %.4g mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.finX), half*1000, mmText(0.04*half), mmText(s.finRoot))
	p.line("      - {x: %s, y: %.4g mm, z: %s, chord: %s, section: NACA 0008}", mmText(s.finX+0.8*(s.finRoot-s.finTip)), half*1000, mmText(0.04*half+s.finHeight), mmText(s.finTip))
}

func (p *pen) parts() {
	s, a := p.s, p.s.a
	p.line("parts:                         # weigh each: all that is not weighed makes the odds wider")
	if a.Mass.Dim != unit.None {
		p.line("  # Together they weigh the %s you gave.", scalar(quantityText(a.Mass), false))
	} else {
		p.line("  # Together they weigh an assumed %s.", unit.Format(s.mass, unit.Mass, unit.Metric))
	}
	size := func(x, y, z float64) string {
		return fmt.Sprintf("size: {x: %s, y: %s, z: %s}", mmText(x), mmText(y), mmText(z))
	}
	p.line("  - {name: wing shell, kind: structure, mass: %s guess, at: {x: %s, z: %s}, %s} # assumed", gText(s.wingMass), mmText(s.wingShellX()), mmText(0.02*s.span/2), size(s.mac, s.span, 0.09*s.mac))
	p.line("  - {name: body shell, kind: structure, mass: %s guess, at: {x: %s}, %s} # assumed", gText(s.bodyMass), mmText(0.48*s.length), size(s.length, s.width, s.height))
	tail := "tail shell"
	switch a.Layout {
	case Swept:
		tail = "fin shells"
	case Canard:
		tail = "foreplane and fin shells"
	}
	tailSpan, tailChord := s.tailSpan, s.tailRoot
	if a.Layout == Swept {
		tailSpan, tailChord = s.span, s.finRoot
	}
	p.line("  - {name: %s, kind: structure, mass: %s guess, at: {x: %s, z: %s}, %s} # assumed", tail, gText(s.tailMass), mmText(s.tailShellX(s.finX+0.4*s.finRoot)), mmText(0.012*s.small), size(tailChord, tailSpan, 0.02*s.small))
	motor, mark := or(a.MotorMass, gText(s.motor)+" guess")
	motorSize := 0.03 * math.Cbrt(s.motor/0.06)
	p.line("  - {name: motor, kind: motor, mass: %s, at: {x: %s}, %s}%s", motor, mmText(s.motorX), size(motorSize, motorSize, motorSize), mark)
	p.line("  - {name: propeller, kind: propeller, mass: %s guess, at: {x: %s}} # assumed", gText(s.prop), mmText(s.propX()))
	p.line("  - {name: controller, kind: controller, mass: %s guess, at: {x: %s}} # assumed", gText(s.controller), mmText(s.controllerX))
	battery, mark := or(a.BatteryMass, gText(s.battery)+" guess")
	// About 2.1 kg per litre of pack, in the shape of a brick 1:0.47:0.37.
	long := math.Cbrt(s.battery / 2100 / (0.47 * 0.37))
	if mark == "" {
		mark = " # its place is assumed"
	}
	p.line("  - {name: battery, kind: battery, mass: %s, at: {x: %s}, %s, may_move: {x: %s to %s}}%s", battery, mmText(s.batteryX), size(long, 0.47*long, 0.37*long), mmText(s.batteryLow), mmText(s.batteryHigh), mark)
	p.line("  - {name: receiver, kind: receiver, mass: %s guess, at: {x: %s}} # assumed", gText(s.receiver), mmText(s.receiverX))
	y := 0.5 * s.span / 2
	p.line("  - {name: wing servo, kind: servo, mass: %s guess, at: {x: %s, y: %s}, mirrored: true} # assumed, one in each half", gText(s.servo), mmText(s.servoX), mmText(y))
	switch a.Layout {
	case VTail:
		p.line("  - {name: tail servo, kind: servo, mass: %s guess, at: {x: %s, y: %s}, mirrored: true} # assumed, two side by side", gText(s.servo), mmText(s.servoAt(2)), mmText(0.012*s.small))
	case Conventional, Canard:
		p.line("  - {name: tail servo, kind: servo, mass: %s guess, at: {x: %s}} # assumed", gText(s.servo), mmText(s.servoAt(2)))
	}
	p.line("  # First estimate: neutral point at %s, centre of gravity at %s (%.0f %% of the", mmText(s.np), mmText(s.cg), 100*s.margin)
	p.line("  # mean chord before it). \"fledge balance\" computes both.")
	p.line("")
}

func (p *pen) linkages() {
	s := p.s
	// A servo of 9 g pulls some 1.7 kg cm, one of 2 g 0.2, one of 60 g 20.
	torque := math.Max(0.05, coarse(1.7*math.Pow(s.servo/0.009, 4./3), 0.1))
	k := math.Cbrt(s.servo / 0.009)
	if s.servo >= 0.004 && s.servo <= 0.02 {
		k = 1 // these come with arms of one length
	}
	rod := 1.2
	switch {
	case k < 1:
		rod = 0.8
	case k > 1:
		rod = 2
	}
	p.line("linkages:                      # assumed throughout; read the torque off the servo's label")
	row := func(control, servo string) {
		p.line("  - {control: %s, servo: %s, torque: %.4g kg cm guess, speed: 0.12 s/60deg guess, travel: 45 deg, arm: %s, horn: %s, rod: %s, rod_diameter: %.1f mm, rod_material: steel, horn_material: GRP, horn_root: %s, horn_width: %.1f mm}",
			control, servo, torque, mmText(0.01*k), mmText(0.016*k), mmText(0.06*k), rod, mmText(0.01*k), round(1.5*math.Max(0.6, k), 0.1))
	}
	switch s.a.Layout {
	case Swept:
		row("elevon", "wing servo")
	case VTail:
		row("aileron", "wing servo")
		row("ruddervator", "tail servo")
	default:
		row("aileron", "wing servo")
		row("elevator", "tail servo")
	}
	p.line("")
}

func (p *pen) power() {
	s, a := p.s, p.s.a
	p.line("power:")
	p.line("  place: %s", a.Place)
	note := func(words ...string) string {
		if len(words) == 0 {
			return ""
		}
		return " # assumed: " + strings.Join(words, ", ")
	}
	var assumed []string
	if a.Cells == 0 {
		assumed = append(assumed, "cells")
	}
	capacity, m := or(a.Capacity, fmt.Sprintf("%.0f mAh guess", s.capacity/3.6))
	if m != "" {
		assumed = append(assumed, "capacity")
	}
	p.line("  battery: {part: battery, cells: %d, capacity: %s, cell_resistance: %.1f mohm guess}%s", s.cells, capacity, 6.5*3600/s.capacity, note(append(assumed, "cell resistance")...))
	assumed = nil
	kv, m := or(a.KV, fmt.Sprintf("%.0f rpm/V guess", unit.In(s.kv, unit.MotorConstant, "rpm/V")))
	if m != "" {
		assumed = append(assumed, "kv")
	}
	// Resistance so that the copper loss at the likely current is some 12 % of
	// the power; idle current some 3 % of that current.
	volts := 3.7 * float64(s.cells)
	amps := 170 * s.mass * 1.6 / volts
	p.line("  motor: {part: motor, kv: %s, resistance: %.3g mohm guess, idle_current: %.2g A guess}%s", kv, 0.12*volts/amps*1000, math.Max(0.05, math.Max(math.Min(0.2, 0.06*amps), 0.03*amps)), note(append(assumed, "resistance", "idle current")...))
	limit := math.Max(10, round(1.6*amps, 10))
	if a := 1.6 * amps; a < 9 {
		limit = math.Max(3, round(a+1, 1))
	}
	p.line("  controller: {part: controller, limit: %.0f A guess} # assumed", limit)
	assumed = nil
	diameter, m := or(a.Diameter, inchText(s.diameter))
	if m != "" {
		assumed = append(assumed, "diameter")
	}
	pitch, m := or(a.Pitch, inchText(s.pitch))
	if m != "" {
		assumed = append(assumed, "pitch")
	}
	p.line("  propeller: {diameter: %s, pitch: %s, blades: 2}%s", diameter, pitch, note(append(assumed, "blades")...))
	p.line("  # bench:                     # read off on the bench, if you can; it narrows the doubt most")
	p.line("  #   - {volts: %.1f V measured, amps: %.0f A measured, rpm: %.0f rpm measured, throttle: 100 %%}", volts, amps, round(0.75*volts*unit.In(s.kv, unit.MotorConstant, "rpm/V"), 100))
	p.line("")
}

func inchText(v float64) string { return fmt.Sprintf("%.3g in", v/0.0254) }

func (p *pen) launch() {
	s, a := p.s, p.s.a
	const g, rho = 9.80665, 1.225
	clmax := 1.0
	if a.Layout == "swept" {
		clmax = 0.8 // elevons up to trim
	}
	stall := math.Sqrt(2 * s.mass * g / (rho * s.area * clmax))
	p.line("launch:")
	p.line("  by: %s", a.Launch)
	if a.Launch == "bungee" {
		// Energy for 2.2 times the stall speed, a quarter of it lost, which
		// leaves some 1.8 times after the climb; the pull at full stretch 6
		// times the weight; the mean pull is some 0.62 of it. With that, a hook
		// 0.3 of the mean chord before the centre of gravity, 30 degrees of aim
		// and a quarter of up stick the four layouts launch more often than not
		// (our own runs of "fledge check", not a rule of the trade).
		energy := s.mass * (2.2 * stall) * (2.2 * stall) / 2 / 0.75
		most := 6 * s.mass * g
		stretch := round(math.Max(2, energy/(0.62*most)), 0.5)
		p.line("  bungee:                      # assumed throughout: pull your own cord with a luggage scale")
		p.line("    pull_test:")
		for _, r := range [][2]float64{{0.25, 0.36}, {0.6, 0.7}, {1.05, 1.04}} {
			p.line("      - {stretch: %.1f m, pull: %.1f N guess}", r[0]*stretch, r[1]*most)
		}
		p.line("    cord: {slack: %.1f m, mass: %.0f g guess}", math.Max(2, round(stretch*1.1, 0.5)), math.Max(5, coarse(270*s.mass, 10)))
		p.line("    line: {length: %.0f m, diameter: 1 mm}", math.Max(5, round(2*stretch, 1)))
		p.line("    stake_height: 5 cm")
		p.line("    stretch: %.1f m ± 0.5 m", stretch)
		p.line("    hook: {x: %s, z: %s, rake: 35 deg, friction: 0.25 guess}", mmText(s.cg-0.3*s.mac), mmText(-0.5*s.height))
		p.line("  held: {by: hand, height: 1.4 m ± 0.15 m, nose_up: 30 deg ± 4 deg, roll: 0 deg ± 4 deg} # assumed")
		p.line("  stick: {pitch: 25 %%}")
		p.line("  motor_delay: 0.6 s ± 0.15 s after release # assumed")
	} else {
		p.line("  throw: {speed: %.1f m/s ± 1.5 m/s, path_up: 10 deg ± 5 deg} # assumed", math.Min(11, math.Max(6, round(0.95*stall, 0.5))))
		p.line("  held: {by: hand, height: 1.8 m ± 0.15 m, nose_up: 10 deg ± 4 deg, roll: 0 deg ± 4 deg} # assumed")
		// The lighter, the sooner a throw is used up: some up stick, so that she
		// does not dive off the hand (our own runs of "fledge check").
		stick := int(round(60*(1-s.small), 5))
		if a.Layout == "swept" || a.Layout == "canard" {
			stick = max(stick, 25) // these are flown slow with the stick held back
		}
		p.line("  stick: {pitch: %d %%}", stick)
		if a.Place == "pusher" {
			p.line("  motor_delay: 0.5 s ± 0.2 s after release # assumed: the propeller passes the hand, so it starts after it")
		} else {
			p.line("  motor_delay: before release  # assumed")
		}
	}
	p.line("")
}

func (p *pen) rest() {
	p.line("day: {wind: 2 m/s, gust: 4 m/s, off_axis: 10 deg, temperature: 15 degC, pressure: 1013 hPa, height: 100 m, surface: short grass} # assumed")
	p.line("limits: {launch_odds: 0.90}")
}
