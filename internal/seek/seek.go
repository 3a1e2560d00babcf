// Package seek finds the smallest single changes that make a failing or
// doubtful finding pass, among the levers the person has, and pairs where no
// single one suffices. It knows no physics: it turns numbers of an aircraft
// and asks assess and verdict, given as a function value, with the same seed
// throughout (common random numbers). What it proposes is verified by a full
// rerun of the edited build file.
package seek

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"sort"
	"strings"
	"sync"
	"sync/atomic"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Lever is a number of the build that the person can change.
type Lever struct {
	Path      string
	Say       string // "hook %s forward|aft"; see words
	Low, High float64
	Step      float64 // what a person can set: 1 mm, 1 %
	Unit      string  // as written in --set
	Scale     float64 // SI of one Unit
	Cost      float64 // of using it at all: 1 is a moment at the field, 10 an evening at the bench, 30 a purchase
	PerSpan   float64 // cost added at the end of the range
	Up, Down  string  // words for a change upwards and downwards; empty: only the new value is said
	Noun      string
	With      string      // a second number kept in proportion (the gust with the wind); empty for none
	Word      string      // of a choice: 0 is as it is, 1 is this word; Up says it whole
	Also      string      // a choice that goes with it and costs nothing more ("path=word"); empty for none
	Units     unit.System // of its words; --set strings stay as Unit says
}

// Setting is one lever at a value.
type Setting struct {
	Lever Lever
	Value float64 // SI, on the lever's step
}

// Set is the --set string.
func (s Setting) Set() string { return s.Lever.Path + "=" + s.text() }

func (s Setting) text() string {
	if s.Lever.Word != "" {
		return s.Lever.Word
	}
	v := s.Value / s.Lever.Scale
	if s.Lever.Path == "launch.motor_delay" { // a sign says too little of what comes first
		when := "after"
		if s.Value < 0 {
			when = "before"
		}
		return fmt.Sprintf("%.1f s %s release", math.Abs(s.Value), when)
	}
	dec := max(0, int(math.Ceil(-math.Log10(s.Lever.Step/s.Lever.Scale)-1e-9)))
	if s.Lever.Unit == "" {
		return fmt.Sprintf("%.*f", dec, v)
	}
	return fmt.Sprintf("%.*f %s", dec, v, s.Lever.Unit)
}

// Sets lists the --set strings of a setting on this aircraft, with what goes along.
func (s Setting) Sets(ac *craft.Aircraft) []string {
	out := []string{s.Set()}
	if s.Lever.With != "" {
		with := s
		with.Lever.Path = s.Lever.With
		with.Value = s.along(ac)
		out = append(out, with.Set())
	}
	if s.Lever.Also != "" {
		out = append(out, s.Lever.Also)
	}
	return out
}

// along is the value of the second number.
func (s Setting) along(ac *craft.Aircraft) float64 {
	k, _ := ac.Knob(s.Lever.Path)
	w, _ := ac.Knob(s.Lever.With)
	if k.Value <= 0 {
		return w.Value
	}
	return w.Value * s.Value / k.Value
}

// turn sets the lever on the aircraft.
func (s Setting) turn(ac *craft.Aircraft) (*craft.Aircraft, bool) {
	c, ok := ac.Turn(s.Lever.Path, s.Value)
	if ok && s.Lever.With != "" {
		c, ok = c.Turn(s.Lever.With, s.along(ac))
	}
	if path, _, also := strings.Cut(s.Lever.Also, "="); ok && also {
		c, ok = c.Turn(path, 1)
	}
	return c, ok
}

// spoken gives a lever's unit in words of the other system: name, SI of one,
// decimals that tell two steps apart.
var spoken = map[string]struct {
	name     string
	scale    float64
	decimals int
}{"mm": {"in", 0.0254, 2}, "m": {"ft", 0.3048, 1}, "g": {"oz", 0.028349523125, 2}, "m/s": {"mph", 0.44704, 1}}

// toldIn is the unit of its words where that is another than of its --set
// strings. Hardware stays in mm, as the trade sells it.
func (l *Lever) toldIn() (name string, scale float64, decimals int, ok bool) {
	if l.Units != unit.Imperial || l.Unit == "mm" && (strings.HasPrefix(l.Path, "linkages.") || strings.HasPrefix(l.Path, "strength.")) {
		return "", 0, 0, false
	}
	u, ok := spoken[l.Unit]
	return u.name, u.scale, u.decimals, ok
}

// said is the value in words, in the units asked for.
func (s Setting) said() string {
	if name, scale, decimals, ok := s.Lever.toldIn(); ok {
		return fmt.Sprintf("%.*f %s", decimals, s.Value/scale, name)
	}
	return s.text()
}

// Words says the change from now.
func (s Setting) Words(now float64) string {
	if s.Lever.Word != "" {
		return s.Lever.Up
	}
	d := s.Value - now
	dec := max(0, int(math.Ceil(-math.Log10(s.Lever.Step/s.Lever.Scale)-1e-9)))
	name, scale := s.Lever.Unit, s.Lever.Scale
	if n, k, d, ok := s.Lever.toldIn(); ok {
		name, scale, dec = n, k, d
	}
	way := s.Lever.Up
	if d < 0 {
		way = s.Lever.Down
	}
	if way == "" {
		return fmt.Sprintf("%s %s", s.Lever.Noun, s.said())
	}
	if strings.Contains(way, "%s") {
		return fmt.Sprintf(way, s.said())
	}
	return fmt.Sprintf("%s %.*f %s %s (to %s)", s.Lever.Noun, dec, math.Abs(d)/scale, name, way, s.said())
}

// adding takes a lever into a list, if the build has its number and its range
// is not empty.
type adding func(Lever)

func adder(ac *craft.Aircraft, out *[]Lever) adding {
	return func(l Lever) {
		k, ok := ac.Knob(l.Path)
		if !ok || !(l.High > l.Low) {
			return
		}
		if k.Value < l.Low {
			l.Low = k.Value
		}
		if k.Value > l.High {
			l.High = k.Value
		}
		*out = append(*out, l)
	}
}

// Levers lists what can be turned on this aircraft for a finding, within the
// allowed ranges. A lever whose number the build does not have is left out.
func Levers(ac *craft.Aircraft, finding string) []Lever {
	var out []Lever
	add := adder(ac, &out)
	mm := func(path, noun, up, down string, low, high, cost float64) {
		add(Lever{Path: path, Noun: noun, Up: up, Down: down, Low: low, High: high, Step: 0.001, Unit: "mm", Scale: 0.001, Cost: cost, PerSpan: cost})
	}
	balance := func() {
		for i := range ac.Parts {
			p := &ac.Parts[i]
			if p.Movable && !p.Twin && p.MaxAt.X > p.MinAt.X {
				mm("parts."+build.PathKey(p.Name)+".at.x", p.Name, "aft", "forward", p.MinAt.X, p.MaxAt.X, 2)
			}
		}
	}
	switch {
	case finding == "launch-odds":
		balance()
		l := &ac.Launch
		add(Lever{Path: "launch.stick.pitch", Noun: "stick", Up: "hold %s up", Down: "hold %s up", Low: 0, High: 0.6, Step: 0.01, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 1})
		add(Lever{Path: "launch.held.height", Noun: "hand", Up: "hold her %s high", Down: "hold her %s high", Low: 0.3, High: 2.1, Step: 0.05, Unit: "m", Scale: 1, Cost: 1, PerSpan: 2})
		add(Lever{Path: "launch.held.nose_up", Noun: "aim", Up: "aim %s nose-up", Down: "aim %s nose-up", Low: 0, High: 40 * math.Pi / 180, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 1, PerSpan: 2})
		if !l.MotorOff {
			add(Lever{Path: "launch.throttle", Noun: "throttle", Up: "give %s of the throttle at launch", Down: "give %s of the throttle at launch", Low: 0.4, High: 1, Step: 0.05, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 2})
			add(Lever{Path: "launch.motor_delay", Noun: "motor", Up: "start the motor %s", Down: "start the motor %s", Low: 0, High: 2, Step: 0.1, Unit: "s", Scale: 1, Cost: 2, PerSpan: 1})
		}
		if l.By == "bungee" {
			b := &l.Bungee
			most := 1.3 * b.Stretch
			if n := len(b.PullStretch); n > 0 {
				most = 1.1 * b.PullStretch[n-1]
			}
			add(Lever{Path: "launch.bungee.stretch", Noun: "stretch", Up: "pull back to %s", Down: "pull back only to %s", Low: 0.4 * b.Stretch, High: math.Max(most, b.Stretch), Step: 0.1, Unit: "m", Scale: 1, Cost: 1, PerSpan: 1})
			mm("launch.bungee.hook.x", "hook", "aft", "forward", b.Hook.X-0.08, math.Max(b.Hook.X, ac.Mass.CG.X), 6)
		} else {
			add(Lever{Path: "launch.throw.path_up", Noun: "throw", Up: "throw %s upwards", Down: "throw %s upwards", Low: 0, High: 35 * math.Pi / 180, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 1, PerSpan: 2})
			add(Lever{Path: "launch.throw.speed", Noun: "throw", Up: "throw at %s", Down: "throw at %s", Low: 5, High: 12, Step: 0.5, Unit: "m/s", Scale: 1, Cost: 4, PerSpan: 6})
		}
		add(Lever{Path: "day.wind", Noun: "wind", Up: "wait for a wind of %s", Down: "wait for a wind of %s", Low: 0.5, High: 8, Step: 0.5, Unit: "m/s", Scale: 1, Cost: 8, PerSpan: 8, With: "day.gust"})
		add(Lever{Path: "trial.mass", Noun: "mass", Up: "add %s at the balance point", Down: "shed mass (%s)", Low: -0.25 * ac.Mass.Total, High: 0, Step: 0.005, Unit: "g", Scale: 0.001, Cost: 10, PerSpan: 20})
	case finding == "balance" || finding == "maker-balance" || finding == "trim":
		balance()
		controlsOf(ac, add, finding == "trim")
	case finding == "fit" || finding == "clearances":
		balance()
	case finding == "setup.pitch":
		add.throws(assess.PitchThrows(ac), false)
	case finding == "setup.roll":
		add.throws(assess.RollThrows(ac), false)
	case finding == "control-power":
		balance()
		controlsOf(ac, add, true)
		add.throws(assess.PitchThrows(ac), true)
	case finding == "takeoff-mass":
		add(Lever{Path: "trial.mass", Noun: "mass", Down: "shed mass (%s)", Low: -0.4 * ac.Mass.Total, High: 0, Step: 0.001, Unit: "g", Scale: 0.001, Cost: 10, PerSpan: 20})
	case aloft(ac, add, finding):
	default:
		servo(ac, add, finding)
		holds(ac, add, finding)
		electric(ac, add, finding)
		if strings.HasPrefix(finding, "flutter.") || strings.HasPrefix(finding, "servo.") {
			slower(ac, add)
		}
	}
	return out
}

// controlsOf gives the neutral setting of the pitch controls.
func controlsOf(ac *craft.Aircraft, add func(Lever), wanted bool) {
	if !wanted {
		return
	}
	for i := range ac.Surfaces {
		for _, c := range ac.Surfaces[i].Controls {
			if c.Pitch > 0 {
				path := "surfaces." + build.PathKey(ac.Surfaces[i].Name) + ".controls." + build.PathKey(c.Name) + ".trim"
				add(Lever{Path: path, Noun: "neutral", Up: "set the neutral of the " + c.Name + " to %s", Down: "set the neutral of the " + c.Name + " to %s", Low: -10 * math.Pi / 180, High: 12 * math.Pi / 180, Step: 0.5 * math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 3, PerSpan: 3})
			}
		}
	}
}

// throws gives the throws of these ways of the controls, as far as hinge, servo
// and linkage allow; less than now too where less may help.
func (add adding) throws(list []assess.Throw, less bool) {
	for _, t := range list {
		key, low := "up", t.Now
		if t.Down {
			key = "down"
		}
		if less {
			low = math.Min(low, 5*math.Pi/180)
		}
		say := "give the " + t.Control + " %s " + key
		path := "surfaces." + build.PathKey(t.Surface) + ".controls." + build.PathKey(t.Control) + ".throw_" + key
		add(Lever{Path: path, Noun: "throw", Up: say, Down: say, Low: low, High: t.Most, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 3, PerSpan: 3})
	}
}

// servo gives the levers of one control's linkage, when the finding names it.
func servo(ac *craft.Aircraft, add func(Lever), finding string) {
	kind := finding[:strings.IndexByte(finding+".", '.')]
	if kind == "setup" {
		rest := finding[len(kind):]
		kind += rest[:max(1, strings.LastIndexByte(rest, '.'))]
	}
	for i := range ac.Linkages {
		l := &ac.Linkages[i]
		if !strings.HasSuffix(finding, "."+strings.ReplaceAll(l.Control, "_", "-")) {
			continue
		}
		p := "linkages." + build.PathKey(l.Control)
		mm := func(key, noun string, now, least, most, cost float64) {
			if now > 0 {
				add(Lever{Path: p + "." + key, Noun: noun, Up: noun + " of %s on the " + l.Control, Down: noun + " of %s on the " + l.Control, Low: least * now, High: most * now, Step: 0.0005, Unit: "mm", Scale: 0.001, Cost: cost, PerSpan: cost})
			}
		}
		rod := func() { mm("rod_diameter", "a rod", l.RodDiameter, 1, 3, 8) }
		torque := func() {
			add(Lever{Path: p + ".torque", Noun: "servo", Up: "fit a servo of %s on the " + l.Control, Down: "fit a servo of %s on the " + l.Control, Low: l.Torque, High: 4 * l.Torque, Step: 0.00980665, Unit: "kg cm", Scale: 0.0980665, Cost: 30, PerSpan: 20})
		}
		ratio := func() {
			add(Lever{Path: p + ".horn", Noun: "horn", Up: "move the rod out to %s on the " + l.Control + "'s horn", Down: "move the rod in to %s on the " + l.Control + "'s horn", Low: 0.6 * l.Horn, High: 2 * l.Horn, Step: 0.001, Unit: "mm", Scale: 0.001, Cost: 6, PerSpan: 6})
			add(Lever{Path: p + ".arm", Noun: "arm", Up: "move the rod out to %s on the servo arm of the " + l.Control, Down: "move the rod in to %s on the servo arm of the " + l.Control, Low: 0.5 * l.Arm, High: 1.5 * l.Arm, Step: 0.001, Unit: "mm", Scale: 0.001, Cost: 5, PerSpan: 6})
		}
		printed, weaker := assess.HornMaterials(l.HornMaterial)
		choice := func(key, word, say string, cost float64) {
			add(Lever{Path: p + "." + key, Word: word, Up: say, High: 1, Step: 1, Scale: 1, Cost: cost})
		}
		lying := printed && kind == "horn" && l.Print != "along"
		if lying {
			choice("print", "along", "print the horn of the "+l.Control+" lying, its layers along it", 5)
		}
		if weaker && (kind == "horn" || kind == "horn-hole") {
			choice("horn_material", "GRP", "cut the horn of the "+l.Control+" from GRP plate", 7)
		}
		switch kind {
		case "rod", "rod-stall":
			rod()
		case "horn", "horn-hole":
			size := func(key, noun, lies string, now, most float64) {
				say, also := noun+" of %s on the "+l.Control, ""
				if lying { // printed anew, it is printed the right way round
					say, also = "print the horn of the "+l.Control+" lying, "+lies, p+".print=along"
				}
				if now > 0 {
					add(Lever{Path: p + "." + key, Noun: noun, Up: say, Down: say, Low: now, High: most * now, Step: 0.0005, Unit: "mm", Scale: 0.001, Cost: 8, PerSpan: 8, Also: also})
				}
			}
			size("horn_width", "a horn thickness", "%s thick", l.HornWidth, 3)
			size("horn_root", "a horn root", "its root %s deep", l.HornRoot, 2)
		case "horn-length":
			mm("horn", "a horn", l.Horn, 1, 4, 6)
		case "servo-time":
			torque()
			add(Lever{Path: p + ".speed", Noun: "servo", Up: "fit a servo of %s on the " + l.Control, Down: "fit a servo of %s on the " + l.Control, Low: l.Speed, High: 4 * l.Speed, Step: math.Pi / 18, Unit: "deg/s", Scale: math.Pi / 180, Cost: 30, PerSpan: 20})
			ratio()
		case "play":
			add(Lever{Path: p + ".play", Noun: "play", Up: "play of %s on the " + l.Control, Down: "take up the play of the " + l.Control + " to %s", Low: 0.05 * l.Play, High: l.Play, Step: math.Pi / 1800, Unit: "deg", Scale: math.Pi / 180, Cost: 8, PerSpan: 8})
			mm("hole_play", "a clearance of rod in hole", l.HolePlay, 0.1, 1, 6)
		case "flutter":
			torque()
			ratio()
			rod()
		case "setup.linkage", "setup.travel", "setup.lock":
			ratio()
			add(Lever{Path: p + ".travel", Noun: "travel", Up: "limit the servo of the " + l.Control + " to %s either way", Down: "limit the servo of the " + l.Control + " to %s either way", Low: 0.3 * l.Travel, High: l.Travel, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 2, PerSpan: 2})
			throwsOf(ac, add, l.Control)
		case "setup.clearance":
			ratio()
			add(Lever{Path: p + ".skin.above", Noun: "servo", Up: "set the servo of the " + l.Control + " %s under the upper skin", Down: "set the servo of the " + l.Control + " %s under the upper skin", Low: l.Skin.Above, High: l.Skin.Above + 0.008, Step: 0.0005, Unit: "mm", Scale: 0.001, Cost: 12, PerSpan: 6})
		case "setup.lean":
			mm("rod", "a rod length", l.Rod, 1, 3, 8)
			add(Lever{Path: p + ".place.skew", Noun: "servo", Up: "turn the servo of the " + l.Control + " to %s of the hinge line", Down: "turn the servo of the " + l.Control + " to %s of the hinge line", Low: -math.Pi / 6, High: math.Pi / 6, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 12, PerSpan: 6})
		default:
			torque()
			ratio()
			throwsOf(ac, add, l.Control)
		}
	}
}

// throwsOf gives the throws of one control, downwards from now.
func throwsOf(ac *craft.Aircraft, add func(Lever), name string) {
	for i := range ac.Surfaces {
		for _, c := range ac.Surfaces[i].Controls {
			if c.Name != name {
				continue
			}
			path := "surfaces." + build.PathKey(ac.Surfaces[i].Name) + ".controls." + build.PathKey(c.Name)
			for _, t := range []struct {
				key, way string
				now      float64
			}{{"throw_up", "up", c.ThrowUp}, {"throw_down", "down", c.ThrowDown}} {
				say := "limit the " + c.Name + " to %s " + t.way
				add(Lever{Path: path + "." + t.key, Noun: "throw", Up: say, Down: say, Low: 0.4 * t.now, High: t.now, Step: math.Pi / 180, Unit: "deg", Scale: math.Pi / 180, Cost: 4, PerSpan: 5})
			}
		}
	}
}

// holds gives the levers of what bears load: spar, joiner, hook, bolts.
func holds(ac *craft.Aircraft, add func(Lever), finding string) {
	mm := func(path, noun string, now, most, cost float64) {
		if now > 0 {
			add(Lever{Path: path, Noun: noun, Up: noun + " of %s", Down: noun + " of %s", Low: now, High: most * now, Step: 0.0005, Unit: "mm", Scale: 0.001, Cost: cost, PerSpan: cost})
		}
	}
	pull := func() {
		n := ac.Limits.LoadFactor
		add(Lever{Path: "limits.load_factor", Noun: "pull-up", Up: "allow pull-ups to %s times her weight", Down: "pull no more than %s times her weight: less up throw at speed", Low: math.Min(n, 3), High: n, Step: 0.5, Scale: 1, Cost: 5, PerSpan: 10})
	}
	stretch := func() {
		if s := ac.Launch.Bungee.Stretch; s > 0 {
			add(Lever{Path: "launch.bungee.stretch", Noun: "stretch", Up: "pull back to %s", Down: "pull back only to %s", Low: 0.4 * s, High: s, Step: 0.1, Unit: "m", Scale: 1, Cost: 1, PerSpan: 6})
		}
	}
	switch finding {
	case "spar", "joiner":
		s := &ac.Spar
		if finding == "joiner" {
			s = &ac.Joiner
		}
		mm("strength."+finding+".outer", "a "+finding, s.Outer, 2.5, 15)
		pull()
	case "hook":
		h := &ac.HookPad
		mm("strength.hook.pad_length", "a hook pad", h.PadLong, 3, 8)
		mm("strength.hook.pad_width", "a hook pad width", h.PadWide, 3, 8)
		mm("strength.hook.diameter", "a hook wire", h.Diameter, 2.5, 8)
		if h.Proud > 0 {
			add(Lever{Path: "strength.hook.proud", Noun: "hook", Down: "let the hook stand only %s off the skin", Low: math.Min(h.Proud, 0.004), High: h.Proud, Step: 0.0005, Unit: "mm", Scale: 0.001, Cost: 8, PerSpan: 8})
		}
		stretch()
	case "stake":
		stretch()
	case "bolts.wing", "bolts.hook", "bolts-tip.wing", "bolts.servo", "bolts.motor":
		name := finding[strings.IndexByte(finding, '.')+1:]
		for i := range ac.Bolts {
			if b := &ac.Bolts[i]; b.Holds == name {
				p := "strength.bolts." + name
				mm(p+".washer", "a washer", b.Washer, 3, 4)
				mm(p+".engaged", "a thread engaged", b.Engaged, 3, 6)
				mm(p+".diameter", "a bolt", b.Diameter, 2, 8)
			}
		}
		switch name {
		case "wing":
			pull()
		case "hook":
			stretch()
		}
	}
}

// electric gives the levers of what carries the drive's current: less of it,
// or a part that carries more.
func electric(ac *craft.Aircraft, add func(Lever), finding string) {
	part := func(path, noun string, now, cost float64) {
		add(Lever{Path: path, Noun: noun, Up: "fit a " + noun + " for %s", Low: now, High: 4 * now, Step: 1, Unit: "A", Scale: 1, Cost: cost, PerSpan: cost})
	}
	p := &ac.Power
	switch finding {
	case "supply":
		add(Lever{Path: "power.controller.supply", Noun: "supply", Up: "fit a receiver supply of %s", Low: p.Controller.Supply, High: 6 * p.Controller.Supply, Step: 0.5, Unit: "A", Scale: 1, Cost: 15, PerSpan: 5})
		return
	case "never-exceed":
		slower(ac, add)
		return
	case "current.controller":
		part("power.controller.limit", "controller", p.Controller.Limit, 30)
	case "current.battery":
		part("power.battery.limit", "pack", p.Battery.Limit, 30)
	case "current.cells":
		now := p.Battery.CellResistance
		add(Lever{Path: "power.battery.cell_resistance", Noun: "cells", Down: "a pack of %s a cell", Low: 0.3 * now, High: now, Step: 1e-4, Unit: "mohm", Scale: 1e-3, Cost: 30, PerSpan: 30})
	case "current.motor":
		part("power.motor.limit", "motor", p.Motor.Limit, 40)
	case "current.connector":
		part("power.wiring.limit", "connector", p.Wiring.Limit, 10)
	case "connector":
		add(Lever{Path: "power.wiring.connector", Noun: "connectors", Down: "connectors of %s in all: larger, fewer, clean and fully soldered", Low: 0.2 * p.Wiring.Connector, High: p.Wiring.Connector, Step: 1e-4, Unit: "mohm", Scale: 1e-3, Cost: 8, PerSpan: 6})
	default:
		if !strings.HasPrefix(finding, "heat.") && finding != "wire" && finding != "connector" {
			return
		}
	}
	slower(ac, add)
}

// slower gives the levers that ask less of the drive: the throttle limited at
// the transmitter, which also limits the speed, and smaller propellers.
func slower(ac *craft.Aircraft, add func(Lever)) {
	p := &ac.Power
	add(Lever{Path: "power.throttle", Noun: "throttle", Up: "limit the throttle to %s", Down: "limit the throttle to %s", Low: 0.5 * p.Throttle, High: p.Throttle, Step: 0.01, Unit: "%", Scale: 0.01, Cost: 1, PerSpan: 12})
	const inch = 0.0254
	add(Lever{Path: "power.propeller.diameter", Noun: "propeller", Up: "a propeller of %s diameter", Down: "a propeller of %s diameter", Low: 0.7 * p.Propeller.Diameter, High: p.Propeller.Diameter, Step: 0.5 * inch, Unit: "in", Scale: inch, Cost: 12, PerSpan: 6})
	add(Lever{Path: "power.propeller.pitch", Noun: "pitch", Up: "a propeller of %s pitch", Down: "a propeller of %s pitch", Low: 0.5 * p.Propeller.Pitch, High: p.Propeller.Pitch, Step: 0.5 * inch, Unit: "in", Scale: inch, Cost: 12, PerSpan: 6})
}

// Eval judges one finding on a changed aircraft, quickly: few draws, always
// the same seed.
type Eval func(ctx context.Context, ac *craft.Aircraft, finding string) (verdict.Finding, error)

// Rerun checks the build file edited with the --set strings, from its text
// and with the draws of a full check: the proof of a remedy for a finding.
type Rerun func(ctx context.Context, finding string, sets []string) (Proof, error)

// Proof is what a rerun says.
type Proof struct {
	Finding verdict.Finding // the one the remedy is for
	Word    verdict.Word    // of the whole; "" when only the finding was judged
	Spoils  []string        // labels of safety findings that fail then and did not before
	Results *assess.Results // behind it; nil where they are not known
}

// Proved is the proof by a whole verdict of a finding, against the verdict
// before the change.
func Proved(before, after *verdict.Verdict, finding string) Proof {
	p := Proof{Finding: verdict.Finding{ID: finding, Status: verdict.Unknown}, Word: after.Word}
	for i := range after.Findings {
		f := &after.Findings[i]
		if f.ID == finding {
			p.Finding = *f
			continue
		}
		if !f.Safety || f.Status != verdict.Fail {
			continue
		}
		for j := range before.Findings {
			if g := &before.Findings[j]; g.ID == f.ID && g.Label == f.Label && g.Status != verdict.Fail {
				p.Spoils = append(p.Spoils, f.Label)
			}
		}
	}
	return p
}

// Plan bounds the work.
type Plan struct {
	Most     int         // remedies a finding, default 4
	Scan     int         // points of the first look along a lever to each side, default 5
	Look     Look        // flies launches, to lead the search of several levers where all fail; nil: by the margin
	Units    unit.System // of the words
	Workers  int         // findings looked at side by side, default 1: the answers are the same
	Progress func(stage string, done, total int)
	// Of the check: the rooms' own offers come from it; nil: none are made.
	Results *assess.Results
	Parts   int // in the build file
}

// Remedies fills in the remedies of every failing or doubtful safety finding
// and of other failing ones. Eval and rerun must be safe to call from Workers
// goroutines.
func Remedies(ctx context.Context, ac *craft.Aircraft, v *verdict.Verdict, eval Eval, rerun Rerun, p Plan) error {
	if p.Most == 0 {
		p.Most = 4
	}
	if p.Scan == 0 {
		p.Scan = 5
	}
	var open []*verdict.Finding
	for _, f := range v.ByWeight() { // the launch first: it takes longest
		if f.Status == verdict.Fail || f.Safety && f.Status == verdict.Doubtful {
			open = append(open, f)
		}
	}
	p.tell(ac, open)
	return sideBySide(ctx, len(open), p.Workers, func(ctx context.Context, i int) error {
		if strings.HasPrefix(open[i].ID, "setup.heights.") {
			return neutral(ctx, ac, open[i], rerun)
		}
		return remedy(ctx, ac, open[i], eval, rerun, p)
	})
}

// tell makes Progress speak of all levers of all findings together: those
// looked at, one call at a time.
func (p *Plan) tell(ac *craft.Aircraft, open []*verdict.Finding) {
	tell := p.Progress
	p.Progress = func(string, int, int) {}
	if tell == nil {
		return
	}
	var mu sync.Mutex
	done, total := 0, 0
	for _, f := range open {
		total += len(p.levers(ac, f.ID))
	}
	p.Progress = func(stage string, step, _ int) {
		mu.Lock()
		defer mu.Unlock()
		done += step
		tell(stage, done, total)
	}
}

// sideBySide does n jobs on so many workers and gives the first error in
// their order; one error ends the rest.
func sideBySide(ctx context.Context, n, workers int, job func(ctx context.Context, i int) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	errs := make([]error, n)
	var next atomic.Int64
	var wg sync.WaitGroup
	var broke atomic.Value
	for range max(1, min(workers, n)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			defer func() {
				if r := recover(); r != nil {
					broke.CompareAndSwap(nil, fmt.Sprint(r, "\n", string(debug.Stack())))
					stop()
				}
			}()
			for {
				i := int(next.Add(1)) - 1
				if i >= n || ctx.Err() != nil {
					return
				}
				if errs[i] = job(ctx, i); errs[i] != nil {
					stop()
				}
			}
		}()
	}
	wg.Wait()
	if r := broke.Load(); r != nil {
		panic(r)
	}
	var cancelled error
	for _, err := range errs {
		if err != nil && !errors.Is(err, context.Canceled) {
			return err
		}
		if cancelled == nil {
			cancelled = err
		}
	}
	if cancelled == nil && int(next.Load()) < n {
		cancelled = ctx.Err()
	}
	return cancelled
}

// candidate is a setting that passed the quick look.
type candidate struct {
	settings []Setting
	cost     float64
}

func remedy(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, eval Eval, rerun Rerun, p Plan) error {
	list := offers(p.Results, f, p.Parts)
	for _, o := range list {
		if !o.last {
			if err := p.propose(ctx, f, o, rerun); err != nil {
				return err
			}
		}
	}
	if err := levered(ctx, ac, f, eval, rerun, p); err != nil {
		return err
	}
	for _, o := range list {
		if o.last && verified(f.Remedies) == 0 {
			if err := p.propose(ctx, f, o, rerun); err != nil {
				return err
			}
		}
	}
	f.Remedies = proved(f.Remedies)
	sort.SliceStable(f.Remedies, func(i, j int) bool {
		a, b := &f.Remedies[i], &f.Remedies[j]
		if a.Verified != b.Verified {
			return a.Verified
		}
		if sa, sb := len(a.Spoils) > 0, len(b.Spoils) > 0; sa != sb {
			return sb // what spoils nothing else comes first
		}
		return a.Cost < b.Cost
	})
	return nil
}

// levered turns the levers.
func levered(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, eval Eval, rerun Rerun, p Plan) error {
	levers := p.levers(ac, f.ID)
	if len(levers) == 0 {
		return nil
	}
	base, err := eval(ctx, ac, f.ID)
	if err != nil {
		return err
	}
	var found []candidate
	var best []half // how far each lever gets alone
	tried := 0      // of found, in the order of their cost
	// try proves what was found at no more than this cost; done tells that no
	// more is wanted.
	try := func(cost float64) (done bool, err error) {
		sort.SliceStable(found[tried:], func(i, j int) bool { return found[tried+i].cost < found[tried+j].cost })
		for tried < len(found) && found[tried].cost <= cost {
			if tried == p.Most || useful(f.Remedies) == enough {
				return true, nil
			}
			r, err := farEnough(ctx, ac, f, found[tried], rerun)
			if err != nil {
				return false, err
			}
			f.Remedies = append(f.Remedies, r)
			tried++
		}
		return tried == p.Most || useful(f.Remedies) == enough, nil
	}
	// Cheap levers first: what can only be dearer than enough proved ones is
	// not looked for.
	queue := append([]Lever(nil), levers...)
	sort.SliceStable(queue, func(i, j int) bool { return queue[i].Cost < queue[j].Cost })
	for i, l := range queue {
		done, err := try(l.Cost)
		if err != nil {
			return err
		}
		if done {
			p.Progress("remedies", len(queue)-i, 0)
			break
		}
		c, h, err := along(ctx, ac, l, f, &base, eval, p.Scan)
		if err != nil {
			return err
		}
		if c != nil {
			found = append(found, *c)
		} else if h.gain > 0 {
			best = append(best, h)
		}
		p.Progress("remedies", 1, 0)
	}
	if len(found) == 0 && len(best) > 1 {
		if found, err = pair(ctx, ac, best, f, eval); err != nil {
			return err
		}
	}
	if len(found) == 0 {
		c, err := several(ctx, ac, levers, f, &base, eval, p)
		if err != nil {
			return err
		}
		if c != nil {
			found = append(found, *c)
		}
	}
	if _, err := try(math.Inf(1)); err != nil {
		return err
	}
	return together(ctx, ac, f, found, rerun)
}

// levers are those of a finding and, where the pitch throw and not the wing
// sets the slowest flight, the throw for what hangs on it.
func (p *Plan) levers(ac *craft.Aircraft, finding string) []Lever {
	out := Levers(ac, finding)
	if (finding == "landing" || finding == "launch-odds") && p.Results != nil && p.Results.Slowest.ByThrow {
		adder(ac, &out).throws(assess.PitchThrows(ac), false)
	}
	for i := range out {
		out[i].Units = p.Units
	}
	return out
}

// farEnough proves a candidate; where it leaves the finding doubtful it goes
// further the same way: a tenth, then half as far again. The steps are our
// choice: a look is taken with fewer draws than a proof, and misses by little
// (a tenth) or by a doubt that hardly shrinks as the value grows (a half); so is
// the guess by which a look asks for odds where none are known (six tenths of
// the way to certainty, in app). What is shown is proved either way, so that a wrong step costs a rerun or a change
// larger than need be, never a wrong answer.
func farEnough(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, c candidate, rerun Rerun) (verdict.Remedy, error) {
	r, now, err := prove(ctx, ac, f, c, rerun)
	if err != nil {
		return r, err
	}
	for _, times := range []float64{1.1, 1.5} {
		if r.Verified || r.StatusAfter != verdict.Doubtful {
			break
		}
		next, ok := c.further(ac, times)
		if !ok {
			break
		}
		n, then, err := prove(ctx, ac, f, next, rerun)
		if err != nil {
			return r, err
		}
		if then <= now {
			break
		}
		c, r, now = next, n, then
	}
	return r, nil
}

// enough verified remedies of one finding: no more are proved.
const enough = 3

// useful counts the proved ones that spoil nothing else.
func useful(list []verdict.Remedy) (n int) {
	for i := range list {
		if list[i].Verified && len(list[i].Spoils) == 0 {
			n++
		}
	}
	return n
}

// verified counts the proved ones.
func verified(list []verdict.Remedy) (n int) {
	for i := range list {
		if list[i].Verified {
			n++
		}
	}
	return n
}

// proved leaves out what is not verified where something is.
func proved(list []verdict.Remedy) []verdict.Remedy {
	if verified(list) == 0 {
		return list
	}
	var out []verdict.Remedy
	for _, r := range list {
		if r.Verified {
			out = append(out, r)
		}
	}
	return out
}

// together tries pairs of the changes that help most when none of them alone
// passes with its whole interval; at most three pairs, the first that passes
// is kept.
func together(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, found []candidate, rerun Rerun) error {
	if verified(f.Remedies) > 0 {
		return nil
	}
	tries := 0
	for j := 1; j < len(found); j++ {
		for i := 0; i < j; i++ {
			a, b := found[i], found[j]
			if tries == 3 || len(a.settings) > 1 || len(b.settings) > 1 {
				return nil
			}
			tries++
			r, _, err := prove(ctx, ac, f, candidate{append(append([]Setting(nil), a.settings...), b.settings...), a.cost + b.cost}, rerun)
			if err != nil {
				return err
			}
			if r.Verified {
				f.Remedies = append(f.Remedies, r)
				return nil
			}
		}
	}
	return nil
}

// further is the candidate with each change so many times as large, within
// the levers' ranges.
func (c candidate) further(ac *craft.Aircraft, times float64) (candidate, bool) {
	out := candidate{cost: c.cost}
	moved := false
	for _, s := range c.settings {
		k, _ := ac.Knob(s.Lever.Path)
		v := snap(k.Value+times*(s.Value-k.Value), s.Lever)
		moved = moved || v != s.Value
		out.cost += s.Lever.PerSpan * math.Abs((v-s.Value)/(s.Lever.High-s.Lever.Low))
		out.settings = append(out.settings, Setting{s.Lever, v})
	}
	return out, moved
}

// half is the best a lever does alone.
type half struct {
	at   Setting
	gain float64
}

// score is how good a finding is: its margin at the doubtful end when it has
// one, so that a pass scores at least 0.
func score(f *verdict.Finding) float64 {
	m := f.Limit.Margin(f.Value.Value)
	lo, hi := f.Limit.Margin(f.Value.Low), f.Limit.Margin(f.Value.High)
	return math.Min(m, math.Min(lo, hi))
}

func passes(f *verdict.Finding) bool { return f.Status == verdict.Pass }

// along looks for the smallest change of one lever that passes: a scan
// outwards from now, then halving between the last that failed and the first
// that passed, on the lever's steps.
func along(ctx context.Context, ac *craft.Aircraft, l Lever, f, base *verdict.Finding, eval Eval, scan int) (*candidate, half, error) {
	k, _ := ac.Knob(l.Path)
	now := k.Value
	try := func(v float64) (verdict.Finding, error) {
		c, ok := Setting{l, v}.turn(ac)
		if !ok {
			return verdict.Finding{}, fmt.Errorf("seek: no number %s", l.Path)
		}
		return eval(ctx, c, f.ID)
	}
	best := half{}
	var hit *candidate
	for _, end := range []float64{l.Low, l.High} {
		span := end - now
		if math.Abs(span) < 0.5*l.Step {
			continue
		}
		last := now
		for i := 1; i <= scan; i++ {
			v := snap(now+span*float64(i)/float64(scan), l)
			if v == last {
				continue
			}
			g, err := try(v)
			if err != nil {
				return nil, best, err
			}
			if passes(&g) {
				v, err = closer(try, last, v, l)
				if err != nil {
					return nil, best, err
				}
				c := candidate{[]Setting{{l, v}}, l.Cost + l.PerSpan*math.Abs((v-now)/(l.High-l.Low))}
				if hit == nil || c.cost < hit.cost {
					hit = &c
				}
				break
			}
			d := score(&g) - score(base)
			if d > best.gain {
				best = half{Setting{l, v}, d}
			}
			if worse := -0.05 * math.Abs(f.Value.Value); d < worse && i > 1 {
				break // twice further out and worse: the wrong way
			}
			last = v
		}
	}
	return hit, best, nil
}

func closer(try func(float64) (verdict.Finding, error), fail, pass float64, l Lever) (float64, error) {
	for range 4 {
		mid := snap((fail+pass)/2, l)
		if mid == fail || mid == pass {
			break
		}
		g, err := try(mid)
		if err != nil {
			return 0, err
		}
		if passes(&g) {
			pass = mid
		} else {
			fail = mid
		}
	}
	return pass, nil
}

func snap(v float64, l Lever) float64 {
	s := math.Round(v/l.Step) * l.Step
	if s < l.Low {
		s = math.Ceil(l.Low/l.Step-1e-9) * l.Step
	}
	if s > l.High {
		s = math.Floor(l.High/l.Step+1e-9) * l.Step
	}
	return s
}

// pair combines the levers that got furthest alone.
func pair(ctx context.Context, ac *craft.Aircraft, best []half, f *verdict.Finding, eval Eval) ([]candidate, error) {
	sort.SliceStable(best, func(i, j int) bool { return best[i].gain > best[j].gain })
	if len(best) > 4 {
		best = best[:4]
	}
	var out []candidate
	for i := range best {
		for j := range i {
			a, b := best[j].at, best[i].at
			c, ok := a.turn(ac)
			if !ok {
				continue
			}
			if c, ok = b.turn(c); !ok {
				continue
			}
			g, err := eval(ctx, c, f.ID)
			if err != nil {
				return nil, err
			}
			if passes(&g) {
				two, err := less(ctx, ac, a, b, f, eval)
				if err != nil {
					return nil, err
				}
				out = append(out, two)
			}
		}
	}
	return out, nil
}

// prove reruns the check on the edited file; good is the score of the finding
// then, against the limit it has then (a longer field is a lever too).
func prove(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, c candidate, rerun Rerun) (r verdict.Remedy, good float64, err error) {
	r = verdict.Remedy{Cost: c.cost, ValueAfter: math.NaN()}
	var words []string
	for _, s := range c.settings {
		k, _ := ac.Knob(s.Lever.Path)
		r.Set = append(r.Set, s.Sets(ac)...)
		words = append(words, s.Words(k.Value))
	}
	r.Say = strings.Join(words, " and ")
	proof, err := rerun(ctx, f.ID, r.Set)
	if err != nil {
		return r, math.Inf(-1), err
	}
	g := proof.Finding
	r.WordAfter, r.Spoils = proof.Word, proof.Spoils
	r.ValueAfter, r.StatusAfter, r.Verified = g.Value.Value, g.Status, g.Status == verdict.Pass
	r.After = g.Value
	return r, score(&g), nil
}
