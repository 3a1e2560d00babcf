package craft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/build"
)

// The field is seen from where the pilot stands: ahead is the launch
// direction, right is to the right of it, up is up.

// Radio is one link between pilot and aeroplane. Levels in dBm, gains and
// losses in dB; angles in rad.
type Radio struct {
	Name, Use          string // Use: "control", "video", "telemetry"
	Missing            string // what is not known and has no honest default; "" when it can be computed
	Frequency          float64
	Power, Intended    float64 // W; Intended 0 when not said
	Antenna, Aim       string
	Left, GroundLeft   bool
	AirGain            float64
	At                 r3.Vec
	GroundAntenna      string
	GroundAim          string
	GroundGain         float64
	GroundHeight       float64
	Bearing, Elevation float64 // of a beam
	Sensitivity        float64
	Loss               float64
	Signal             string
}

// Mark is a place on the field.
type Mark struct{ Ahead, Right float64 }

// Circuit is what is flown, lap after lap; no Legs when it is not described.
type Circuit struct {
	From            Mark
	Heading, Height float64
	Legs            []Leg
}

// Leg is one straight (Turn 0) or one turn. Speed 0: as cruise; Bank and
// Radius 0: as flight.bank.
type Leg struct {
	Name                                       string
	Straight, Turn, Bank, Radius, Speed, Climb float64
}

// Obstacle is an upright wall.
type Obstacle struct {
	Name                          string
	At                            Mark
	Height, Width, Turned, Leaves float64
}

// Course is the base of a speed trial.
type Course struct {
	Described                           bool
	Base, Heading, Ahead, Height, Entry float64 // Entry NaN: as needed
	Passes                              int
	Timing, Ends                        float64 // one standard deviation
	Dive                                float64
}

// Landing is how it comes down.
type Landing struct {
	Surface        string
	Length, Margin float64
	Path           float64 // wanted, rad below level; 0: the glide's own
	Friction       float64
	Touch          Mark
	Heading        float64
	Propeller      string // "stopped", "windmilling", "braked"
}

// friction of a belly: no published measurement of a model's belly on grass
// was found; these are priors, to be replaced by a measured slide.
var frictions = map[string]struct {
	value, sigma float64
	why          string
}{
	"short grass": {0.40, 0.10, "an unverified prior, 0.2 to 0.6"},
	"long grass":  {0.60, 0.15, "an unverified prior; long grass also catches wing tips"},
	"crop":        {0.9, 0.3, "an unverified prior; a crop stops and turns the aeroplane"},
	"concrete":    {0.35, 0.10, "film or glass sliding on concrete, an unverified prior"},
	"dirt":        {0.50, 0.15, "an unverified prior"},
	"sand":        {0.60, 0.15, "an unverified prior"},
	"snow":        {0.10, 0.05, "an unverified prior"},
	"water":       {0.5, 0.25, "not modelled: an unverified prior"},
}

// signals are the thresholds of generic receivers (dBm): noise of the
// bandwidth at 290 K, noise figure and the ratio wanted.
var signals = map[string]struct {
	bandwidth, figure, needs float64
	why                      string
}{
	"analogue video":       {18e6, 7, 10, "18 MHz wide, noise figure 7 dB, FM threshold 10 dB: common practice"},
	"digital video":        {20e6, 6, 5, "20 MHz wide, noise figure 6 dB, robust mode at 5 dB: common practice"},
	"spread spectrum":      {125e3, 6, -7.5, "chirps over 125 kHz, noise figure 6 dB, -7.5 dB wanted: from memory"},
	"wide spread spectrum": {500e3, 6, -10, "chirps over 500 kHz, noise figure 6 dB, -10 dB wanted: from memory"},
	"narrow":               {1e6, 6, 12, "1 MHz wide, noise figure 6 dB, 12 dB wanted: common practice"},
}

// threshold of a receiver, dBm: kTB at 290 K is -173.975 dBm in 1 Hz.
func threshold(bandwidth, figure, needs float64) float64 {
	return -173.975 + 10*math.Log10(bandwidth) + figure + needs
}

func (m *maker) radios() {
	for j := range m.b.Radio {
		m.radio(j)
	}
	for i := range m.b.Obstacles {
		b := &m.b.Obstacles[i]
		path := at("obstacles", b.Name.S, i)
		o := func(a *Aircraft) *Obstacle { return &a.Obstacles[i] }
		name := b.Name.S
		if name == "" {
			name = fmt.Sprintf("obstacle %d", i+1)
		}
		m.ac.Obstacles = append(m.ac.Obstacles, Obstacle{Name: name, At: Mark{b.At.Ahead.Value, b.At.Right.Value}, Turned: b.Turned.Value, Width: b.Width.Value, Leaves: b.Leaves.Value})
		if !b.Width.Given {
			o(m.ac).Width = 50
			m.say(path+".width", "length of the "+name, "50 m", "not said", "our-choice")
		}
		m.put(b.Height, path+".height", "height of the "+name, "length", "its shadow against that of a stick", Ignorance, 0.1, 300, true, nil, func(a *Aircraft) *float64 { return &o(a).Height })
	}
}

func (m *maker) radio(j int) {
	b := &m.b.Radio[j]
	path := at("radio", b.Name.S, j)
	name := b.Name.S
	if name == "" {
		name = fmt.Sprintf("link %d", j+1)
	}
	r := Radio{
		Name: name, Use: b.Use.S, Antenna: b.Antenna.S, Aim: b.Aim.S, Left: b.Hand.S == "left", GroundLeft: b.GroundHand.S == "left",
		GroundAntenna: b.GroundAntenna.S, GroundAim: b.GroundAim.S, Bearing: b.Bearing.Value, Elevation: b.Elevation.Value,
		Frequency: b.Frequency.Value, Intended: b.Intended.Value, Signal: b.Signal.S,
	}
	word := func(t *string, given bool, key, label, use, why string) {
		if !given {
			*t = use
			m.say(path+"."+key, label+" of "+name, use, why, "our-choice")
		}
	}
	word(&r.Use, b.Use.Given, "use", "use", "control", "not said")
	word(&r.Antenna, b.Antenna.Given, "antenna", "antenna on the aeroplane", "whip", "not said: the usual piece of wire")
	word(&r.GroundAntenna, b.GroundAntenna.Given, "ground_antenna", "antenna on the ground", r.Antenna, "taken like the one on the aeroplane")
	if !b.Hand.Given && !b.GroundHand.Given {
		r.Left, r.GroundLeft = false, false
	} else if !b.GroundHand.Given {
		r.GroundLeft = r.Left
	} else if !b.Hand.Given {
		r.Left = r.GroundLeft
	}
	air, _ := AntennaOf(r.Antenna)
	ground, _ := AntennaOf(r.GroundAntenna)
	aim := "upright"
	if air.Beam {
		aim = "down"
	}
	word(&r.Aim, b.Aim.Given, "aim", "aim of the antenna on the aeroplane", aim, "not said")
	stand := "upright"
	if ground.Beam {
		stand = "ahead"
	}
	word(&r.GroundAim, b.GroundAim.Given, "ground_aim", "aim of the antenna on the ground", stand, "not said")
	switch {
	case !b.Frequency.Given:
		r.Missing = "its frequency is not given (" + path + ".frequency)"
	case !b.Power.Given:
		r.Missing = "its power is not given (" + path + ".power)"
	}
	m.ac.Radios = append(m.ac.Radios, r)
	it := func(a *Aircraft) *Radio { return &a.Radios[j] }
	m.put(b.Power, path+".power", "power of "+name, "power", "the transmitter's own menu; a power meter", Ignorance, 1e-6, 1000, false, nil, func(a *Aircraft) *float64 { return &it(a).Power })
	m.put(b.AirGain, path+".air_gain", "gain of the antenna on the aeroplane, "+name, "gain", "swap it for a known one and compare the level at one place", Ignorance, -30, 40, false, guess(air.Gain, air.Sigma, air.Why), func(a *Aircraft) *float64 { return &it(a).AirGain })
	m.put(b.GroundGain, path+".ground_gain", "gain of the antenna on the ground, "+name, "gain", "swap it for a known one and compare the level at one place", Ignorance, -30, 40, false, guess(ground.Gain, ground.Sigma, ground.Why), func(a *Aircraft) *float64 { return &it(a).GroundGain })
	m.put(b.GroundAt, path+".ground_height", "height of the ground antenna, "+name, "length", rule, Ignorance, 0.05, 100, false, guess(1.5, 0.2, "held or worn by a standing pilot"), func(a *Aircraft) *float64 { return &it(a).GroundHeight })
	m.put(b.Loss, path+".loss", "losses of "+name, "gain", "level at a known distance over open ground", Ignorance, 0, 60, false, guess(2, 1.5, "leads, connectors and mounting at both ends, and a power that is seldom what the label says"), func(a *Aircraft) *float64 { return &it(a).Loss })
	sense := func(a *Aircraft) *float64 { return &it(a).Sensitivity }
	how := "walk away at the lowest power until it fails, and note the level shown"
	switch {
	case b.Sensitivity.Given || b.Bandwidth.Given && b.NoiseFigure.Given && b.Needs.Given:
		v := b.Sensitivity
		f := guess(0, 0, "")
		if !v.Given {
			s := 0.0
			for _, x := range []build.Value{b.NoiseFigure, b.Needs} {
				d, _ := x.Doubt()
				s = math.Hypot(s, d)
			}
			f = guess(threshold(b.Bandwidth.Value, b.NoiseFigure.Value, b.Needs.Value), s, "from bandwidth, noise figure and the ratio it needs")
		}
		m.put(v, path+".sensitivity", "threshold of the receiver, "+name, "level", how, Ignorance, -200, 60, false, f, sense)
	default:
		kind := r.Signal
		why := ""
		if kind == "" {
			kind = map[string]string{"control": "narrow", "video": "analogue video", "telemetry": "narrow"}[r.Use]
			why = "signal not said: the least sensitive usual kind is taken; "
		}
		s := signals[kind]
		m.put(b.Sensitivity, path+".sensitivity", "threshold of the receiver, "+name, "level", how, Ignorance, -200, 60, false, guess(threshold(s.bandwidth, s.figure, s.needs), 2, why+s.why), sense)
	}
	m.radioPlace(j, path, name, b)
}

// radioPlace is where the antenna sits: as given, else at the part it belongs
// to, else at the balance point's place of the body.
func (m *maker) radioPlace(j int, path, name string, b *build.Radio) {
	r := &m.ac.Radios[j]
	given := b.At.X.Given || b.At.Y.Given || b.At.Z.Given
	if given {
		r.At = place(b.At)
	} else {
		kind := "receiver"
		if r.Use != "control" {
			kind = "video transmitter"
		}
		where := "the datum"
		for _, k := range []string{"antenna", kind} {
			for i := range m.ac.Parts {
				if p := &m.ac.Parts[i]; p.Kind == k && where == "the datum" {
					r.At, where = p.At, p.Name
				}
			}
		}
		m.say(path+".at", "place of the antenna of "+name, where, "not said", "our-choice")
	}
	for _, k := range []struct {
		v     build.Value
		key   string
		field func(*Radio) *float64
	}{{b.At.X, "x", func(r *Radio) *float64 { return &r.At.X }}, {b.At.Y, "y", func(r *Radio) *float64 { return &r.At.Y }}, {b.At.Z, "z", func(r *Radio) *float64 { return &r.At.Z }}} {
		// No doubt is drawn: a few millimetres change nothing.
		set := func(a *Aircraft, x float64) { *k.field(&a.Radios[j]) = x }
		m.ac.Knobs = append(m.ac.Knobs, Knob{Path: path + ".at." + k.key, Label: "place of the antenna of " + name, Dim: "length", Value: *k.field(r), Given: k.v.Given, Low: -3, High: 3, set: set})
	}
}

// aloft takes how it is flown and landed.
func (m *maker) aloft() {
	f, l := &m.b.Flight, &m.b.Landing
	a := m.ac
	a.Flight = Flight{Speed: f.Speed.Value, Loiter: f.Loiter.Value, Radius: f.Radius.Value, Height: f.Height.Value,
		Pull: f.Pull.Value, RollRate: f.Roll.Value,
		Home: Home{Speed: f.Home.Speed.Value, Bank: f.Home.Bank.Value, Radius: f.Home.Radius.Value, Height: f.Home.Height.Value, Link: f.Home.Link.S, Picture: f.Home.Picture.S}}
	m.put(f.Cruise, "flight.cruise", "cruise speed", "speed", "mean airspeed of a log, or two-way ground speed", Ignorance, 1, 300, false, nil, func(a *Aircraft) *float64 { return &a.Flight.Cruise })
	m.put(f.Bank, "flight.bank", "bank of its turns", "angle", "attitude in a log, or a still from the film", Ignorance, 0.01, 1.55, false, nil, func(a *Aircraft) *float64 { return &a.Flight.Bank })
	m.knob(f.Time, "flight.time", "flight time planned", "time", 1, 1e5, func(a *Aircraft) *float64 { return &a.Flight.Time })
	m.knob(f.Loiter, "flight.loiter", "loiter radius set", "length", 1, 5000, func(a *Aircraft) *float64 { return &a.Flight.Loiter })
	m.knob(f.Radius, "flight.radius", "farthest point of the circuit", "length", 1, 20000, func(a *Aircraft) *float64 { return &a.Flight.Radius })
	m.knob(f.Height, "flight.height", "height of the circuit", "length", 1, 3000, func(a *Aircraft) *float64 { return &a.Flight.Height })

	a.Landing = Landing{Surface: l.Surface.S, Length: l.Length.Value, Path: l.Path.Value, Heading: l.Heading.Value, Propeller: l.Brake.S}
	if !l.Surface.Given {
		a.Landing.Surface = a.Day.Surface
	}
	if !l.Brake.Given {
		a.Landing.Propeller = "stopped"
	}
	a.Landing.Margin = 1.3
	margin := l.Margin
	if !margin.Given {
		margin.Value = 1.3
	}
	a.Landing.Margin = margin.Value
	a.Knobs = append(a.Knobs, Knob{Path: "landing.margin", Label: "approach speed over stall speed", Dim: "ratio", Value: margin.Value, Given: l.Margin.Given, Low: 1, High: 3, set: func(a *Aircraft, x float64) { a.Landing.Margin = x }})
	m.knob(l.Length, "landing.length", "length of the field", "length", 1, 10000, func(a *Aircraft) *float64 { return &a.Landing.Length })
	p, ok := frictions[a.Landing.Surface]
	if !ok {
		p = frictions["short grass"]
	}
	m.put(l.Friction, "landing.friction", "friction of the belly", "ratio", "a luggage scale that drags it over the ground; or the length of one slide", Ignorance, 0.02, 3, false, guess(p.value, p.sigma, p.why+" ("+a.Landing.Surface+")"), func(a *Aircraft) *float64 { return &a.Landing.Friction })
	a.Landing.Touch = Mark{l.Touch.Ahead.Value, l.Touch.Right.Value}
	if !l.Touch.Ahead.Given && !l.Touch.Right.Given {
		// Beside the pilot, square to the landing's direction: never over the head.
		s, c := math.Sincos(a.Landing.Heading)
		a.Landing.Touch = Mark{-20 * s, 20 * c}
		if len(a.Radios) > 0 {
			m.say("landing.touch", "where it touches down", "20 m to the right of the pilot", "not said", "our-choice")
		}
	}

	m.circuit()
	c := &m.b.Course
	a.Course = Course{
		Described: c.Base.Given || c.Height.Given || c.Heading.Given || c.Passes.Given || c.Ahead.Given,
		Base:      200, Heading: math.Pi / 2, Ahead: 50, Height: 20, Entry: math.NaN(), Passes: 4, Timing: 0.05, Ends: 0.5, Dive: c.Dive.Value,
	}
	for _, k := range []struct {
		v  build.Value
		to *float64
	}{{c.Base, &a.Course.Base}, {c.Heading, &a.Course.Heading}, {c.Ahead, &a.Course.Ahead}, {c.Height, &a.Course.Height}, {c.Entry, &a.Course.Entry}} {
		if k.v.Given {
			*k.to = k.v.Value
		}
	}
	if c.Timing.Given {
		a.Course.Timing = c.Timing.Value / 2
	}
	if c.Ends.Given {
		a.Course.Ends = c.Ends.Value / 2
	}
	if c.Passes.Given {
		a.Course.Passes = c.Passes.N
	}
}

func (m *maker) circuit() {
	c := &m.b.Circuit
	k := &m.ac.Circuit
	*k = Circuit{From: Mark{c.From.Ahead.Value, c.From.Right.Value}, Heading: c.Heading.Value, Height: m.ac.Flight.Height}
	if c.Height.Given {
		k.Height = c.Height.Value
	} else if k.Height == 0 && len(c.Legs) > 0 {
		k.Height = 50
		m.say("circuit.height", "height of the circuit", "50 m", "not said", "our-choice")
	}
	for i := range c.Legs {
		l := &c.Legs[i]
		g := Leg{Name: l.Name.S, Straight: l.Straight.Value, Turn: l.Turn.Value, Bank: l.Bank.Value, Radius: l.Radius.Value, Speed: l.Speed.Value, Climb: l.Climb.Value}
		if g.Name == "" {
			g.Name = fmt.Sprintf("straight %d", i+1)
			if g.Turn != 0 {
				g.Name = fmt.Sprintf("turn %d", i+1)
			}
		}
		k.Legs = append(k.Legs, g)
	}
	down := 0.0
	for i, l := range k.Legs {
		down += l.Climb
		if k.Height+down <= 0 {
			m.errorf(c.Legs[i].Climb.Span, "impossible", "begin higher (circuit.height), or descend less", "the circuit meets the ground on leg %d", i)
			break
		}
	}
}

// FrictionOn is the friction of a belly on a surface by its word, and why.
func (a *Aircraft) FrictionOn(surface string) (mu float64, why string) {
	p, ok := frictions[surface]
	if !ok {
		p = frictions["short grass"]
	}
	return p.value, p.why
}
