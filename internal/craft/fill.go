package craft

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/air"
	"fledge/internal/build"
	"fledge/internal/power/typical"
	"fledge/internal/tune"
	"fledge/internal/unit"
)

const (
	deg      = math.Pi / 180
	absolute = 273.15
)

// put is num with a pointer into the aircraft: field picks the number.
func (m *maker) put(v build.Value, path, label, dim, how string, kind Kind, low, high float64, need bool, f *fill, field func(*Aircraft) *float64) float64 {
	return m.num(slot{v: v, path: path, label: label, dim: dim, how: how, kind: kind, low: low, high: high, need: need, assume: f,
		set: func(a *Aircraft, x float64) { *field(a) = x }})
}

func (m *maker) day() {
	d := m.b.Day
	if d.METAR.Given {
		m.metar(&d)
	}
	m.put(d.Wind, "day.wind", "wind", "speed", "wind meter at arm's length, two minutes", Ignorance, 0, 60, false, guess(2, 1, "no wind given: a light one is taken"), func(a *Aircraft) *float64 { return &a.Day.Wind })
	m.ac.Day.WindHeight = 2
	if d.WindHeight.Given {
		m.ac.Day.WindHeight = d.WindHeight.Value
	}
	m.put(d.Gust, "day.gust", "gust", "speed", "wind meter: the highest of two minutes", Ignorance, 0, 80, false, guess(1.5*m.ac.Day.Wind, 0.2*m.ac.Day.Wind, "no gust given: one and a half times the wind"), func(a *Aircraft) *float64 { return &a.Day.Gust })
	m.put(d.OffAxis, "day.off_axis", "wind off the launch direction", "angle", "streamer on the stake", Ignorance, -math.Pi, math.Pi, false, guess(0, 10*deg, "launched into the wind"), func(a *Aircraft) *float64 { return &a.Day.OffAxis })
	m.put(d.Temperature, "day.temperature", "air temperature", "temperature", "thermometer in the shade", Ignorance, 200, 340, false, guess(15+absolute, 5, "the standard day"), func(a *Aircraft) *float64 { return &a.Day.Temperature })
	m.put(d.Height, "day.height", "field height", "length", "map", Ignorance, -450, 6000, false, guess(0, 50, "taken at sea level"), func(a *Aircraft) *float64 { return &a.Day.Height })
	m.put(d.Humidity, "day.humidity", "humidity", "ratio", "hygrometer", Ignorance, 0, 1, false, guess(0.6, 0.15, "of little weight"), func(a *Aircraft) *float64 { return &a.Day.Humidity })
	qnh := 101325.0
	set := func(a *Aircraft, q float64) { a.Day.Pressure = air.StationPressure(q, a.Day.Height) }
	m.num(slot{v: d.Pressure, path: "day.pressure", label: "pressure reduced to sea level", dim: "pressure", how: "weather report", low: 80000, high: 110000, assume: guess(qnh, 1000, "the standard day"), set: set})
	m.ac.Day.Surface = d.Surface.S
	if !d.Surface.Given {
		m.ac.Day.Surface = "short grass"
		m.say("day.surface", "ground", "short grass", "no surface given", "our-choice")
	}
	m.ac.Day.Slope = d.Slope.Value
}

func (m *maker) say(path, label, value, why, ref string) {
	m.ac.Assumed = append(m.ac.Assumed, Assumption{Path: path, Label: label, Value: value, Why: why, Ref: ref})
}

// metar fills what the day does not say itself from a weather report.
func (m *maker) metar(d *build.Day) {
	rep, faults := air.ReadMETAR(d.METAR.S)
	for _, f := range faults {
		m.errorf(d.METAR.Span, "metar", "paste the report as issued", "weather report not understood: %v", f)
	}
	fill := func(v *build.Value, x float64) {
		if !v.Given && !math.IsNaN(x) {
			v.Value, v.Given, v.Span = x, true, d.METAR.Span
			v.Word = "measured"
		}
	}
	fill(&d.Wind, rep.WindSpeed)
	if !math.IsNaN(rep.WindSpeed) && !d.WindHeight.Given {
		d.WindHeight.Value, d.WindHeight.Given = 10, true
	}
	fill(&d.Gust, rep.Gust)
	fill(&d.Temperature, rep.T)
	fill(&d.Pressure, rep.QNH)
	fill(&d.Humidity, rep.RH())
	if d.Launch.Given && !math.IsNaN(rep.WindFrom) {
		fill(&d.OffAxis, math.Remainder(rep.WindFrom-d.Launch.Value, 2*math.Pi))
	}
}

func (m *maker) power() {
	p, a := &m.b.Power, m.ac
	present := p.Place.Given || p.Motor.KV.Given || p.Propeller.Diameter.Given || p.Battery.Cells.Given
	if !present {
		return
	}
	a.Power.Place = p.Place.S
	if !p.Place.Given {
		a.Power.Place = "tractor"
		m.say("power.place", "place of the motor", "tractor", "not said", "our-choice")
	}
	// Battery.
	b := &p.Battery
	if !b.Cells.Given {
		m.errorf(b.Cells.Span, "missing", "add power.battery.cells", "the number of cells (power.battery.cells) is missing and has no honest default")
	}
	a.Power.Battery.Part, a.Power.Battery.Cells = b.Part.S, b.Cells.N
	a.Power.Battery.Parallel = max(1, b.Parallel.N)
	a.Power.Battery.Chemistry = b.Chemistry.S
	if !b.Chemistry.Given {
		a.Power.Battery.Chemistry = "LiPo"
	}
	cell := b.CellResistance
	if len(b.Each) > 0 && len(b.Each) == b.Cells.N {
		bat := &a.Power.Battery
		bat.Read = nil
		for i := range b.Each {
			bat.Read = append(bat.Read, b.Each[i].Resistance.Value)
		}
		mean, worst, times := typical.Cells(bat.Read)
		if !math.IsNaN(mean.Value) {
			side := float64(bat.Parallel) // a reading is of the cells side by side
			cell = b.Each[worst].Resistance
			cell.Given, cell.Stated = true, true
			cell.Value, cell.Sigma = mean.Value*side, mean.Sigma*side
			bat.Worst = times
		}
	}
	cell, capacity := m.emptied(cell, b.Capacity)
	m.put(capacity, "power.battery.capacity", "battery capacity", "charge", "charger: what goes in after a flight to cut-off", Ignorance, 1, 1e6, true, nil, func(a *Aircraft) *float64 { return &a.Power.Battery.Capacity })
	f := fill{}
	if a.Power.Battery.Capacity > 0 {
		f = usual(typical.CellResistance(a.Power.Battery.Capacity/float64(a.Power.Battery.Parallel), a.Power.Battery.Chemistry))
	}
	m.put(cell, "power.battery.cell_resistance", "resistance of one cell", "resistance", "charger's resistance reading, or volts at two currents", Ignorance, positive, 10, false, &f, func(a *Aircraft) *float64 { return &a.Power.Battery.CellResistance })
	m.put(m.b.Power.Throttle, "power.throttle", "most throttle", "ratio", "transmitter's display", Ignorance, 0.05, 1, false, guess(1, 0, "full throttle is used"), func(a *Aircraft) *float64 { return &a.Power.Throttle })
	m.put(b.Charge, "power.battery.charge", "charge at launch", "ratio", "charger or cell voltage", Ignorance, 0.05, 1, false, guess(1, 0, "launched with a full pack"), func(a *Aircraft) *float64 { return &a.Power.Battery.Charge })
	m.put(b.Reserve, "power.battery.reserve", "charge kept in reserve", "ratio", "decide it", Ignorance, 0, 0.9, false, guess(0.2, 0, "a fifth is kept, a usual rule"), func(a *Aircraft) *float64 { return &a.Power.Battery.Reserve })
	m.put(b.Temperature, "power.battery.temperature", "battery temperature", "temperature", "thermometer", Ignorance, 230, 340, false, guess(math.Max(a.Day.Temperature, 15+absolute), 5, "taken as the air, not colder than 15 degC"), func(a *Aircraft) *float64 { return &a.Power.Battery.Temperature })
	m.put(b.Cutoff, "power.battery.cutoff", "cell voltage at which to land", "voltage", "decide it", Ignorance, 2, 4.2, false, guess(3.4, 0, "under load, a usual rule"), func(a *Aircraft) *float64 { return &a.Power.Battery.Cutoff })
	a.Power.Battery.Limit = b.Limit.Value
	// Motor.
	mo := &p.Motor
	a.Power.Motor.Part, a.Power.Motor.Limit = mo.Part.S, mo.Limit.Value
	a.Power.Motor.Poles, a.Power.Motor.Turns = mo.Poles.N, mo.Turns.S
	if !mo.Poles.Given {
		a.Power.Motor.Poles = 14
	}
	if i := a.PartNamed(mo.Part.S); i >= 0 {
		a.Power.Motor.Mass = a.Parts[i].Mass
	}
	// A label's doubt is in the factor for label motor constants.
	label := mo.KV.Given && !mo.KV.Stated && mo.KV.Word != unit.Measured
	m.num(slot{v: mo.KV, path: "power.motor.kv", label: "motor constant", dim: "motor constant", how: "tachometer and voltmeter, propeller off", low: positive, high: 1e4, need: true, exact: label, set: func(a *Aircraft, x float64) { a.Power.Motor.KV = x }})
	f = fill{}
	if a.Power.Motor.KV > 0 {
		f = usual(typical.MotorResistance(a.Power.Motor.KV, a.Power.Motor.Mass))
	}
	m.put(mo.Resistance, "power.motor.resistance", "motor resistance", "resistance", "a known current through two terminals, volts read", Ignorance, positive, 100, false, &f, func(a *Aircraft) *float64 { return &a.Power.Motor.Resistance })
	f = fill{}
	if a.Power.Motor.KV > 0 {
		f = usual(typical.IdleCurrent(a.Power.Motor.KV, a.Power.Motor.Mass))
	}
	m.put(mo.IdleCurrent, "power.motor.idle_current", "idle current", "current", "wattmeter, propeller off", Ignorance, positive, 100, false, &f, func(a *Aircraft) *float64 { return &a.Power.Motor.IdleCurrent })
	a.Power.Motor.IdleVoltage = mo.IdleVoltage.Value
	if !mo.IdleVoltage.Given {
		a.Power.Motor.IdleVoltage = 10
	}
	// Controller and wiring.
	a.Power.Controller.Part, a.Power.Controller.Limit = p.Controller.Part.S, p.Controller.Limit.Value
	f = fill{}
	f = usual(typical.ControllerResistance(a.Power.Controller.Limit))
	m.put(p.Controller.Resistance, "power.controller.resistance", "controller resistance", "resistance", "hardly worth it", Ignorance, 0, 1, false, &f, func(a *Aircraft) *float64 { return &a.Power.Controller.Resistance })
	a.Power.Controller.Supply = p.Controller.Supply.Value
	for _, r := range []struct {
		v           build.Value
		path, label string
		field       func(*Aircraft) *float64
	}{
		{p.Battery.Limit, "power.battery.limit", "current the pack may carry", func(a *Aircraft) *float64 { return &a.Power.Battery.Limit }},
		{p.Motor.Limit, "power.motor.limit", "current the motor may carry", func(a *Aircraft) *float64 { return &a.Power.Motor.Limit }},
		{p.Controller.Limit, "power.controller.limit", "current the controller may carry", func(a *Aircraft) *float64 { return &a.Power.Controller.Limit }},
		{p.Controller.Supply, "power.controller.supply", "current the receiver's supply may carry", func(a *Aircraft) *float64 { return &a.Power.Controller.Supply }},
		{p.Wiring.Limit, "power.wiring.limit", "current the connectors may carry", func(a *Aircraft) *float64 { return &a.Power.Wiring.Limit }},
	} {
		m.knob(r.v, r.path, r.label, "current", 0.1, 1000, r.field)
	}
	a.Power.Wiring.Gauge = p.Wiring.Gauge.N
	if !p.Wiring.Gauge.Given {
		a.Power.Wiring.Gauge = 14
		m.say("power.wiring.gauge", "battery lead", "14 AWG", "not said", "our-choice")
	}
	m.put(p.Wiring.Length, "power.wiring.length", "battery lead, one way", "length", rule, Ignorance, 0, 5, false, guess(0.18, 0.05, "a usual lead"), func(a *Aircraft) *float64 { return &a.Power.Wiring.Length })
	m.put(p.Wiring.Connector, "power.wiring.connector", "resistance of the connectors", "resistance", "volts across it at a known current", Ignorance, 0, 0.1, false, guess(0.0008, 0.0004, "two clean pairs"), func(a *Aircraft) *float64 { return &a.Power.Wiring.Connector })
	a.Power.Wiring.Limit = p.Wiring.Limit.Value
	if p.Down.Given {
		m.put(p.Down, "power.down_thrust", "down-thrust", "angle", "incidence gauge on the propeller's disc, or shims and their spacing", Ignorance, -0.35, 0.35, false, nil, func(a *Aircraft) *float64 { return &a.Power.Down })
	}
	if p.Right.Given {
		m.put(p.Right, "power.right_thrust", "right-thrust", "angle", "square on the propeller's disc, against the centre line", Ignorance, -0.35, 0.35, false, nil, func(a *Aircraft) *float64 { return &a.Power.Right })
	}
	m.propeller()
	m.unlikely()
	for _, r := range p.Bench {
		a.Power.Bench = append(a.Power.Bench, BenchRow{Volts: r.Volts.Value, Amps: r.Amps.Value, Omega: r.RPM.Value, Pull: r.Pull.Value, Throttle: r.Throttle.Value, Bare: r.Propeller.S == "off"})
	}
}

func (m *maker) propeller() {
	p, a := &m.b.Power.Propeller, m.ac
	m.put(p.Diameter, "power.propeller.diameter", "propeller diameter", "length", rule, Ignorance, 0.02, 2, true, nil, func(a *Aircraft) *float64 { return &a.Power.Propeller.Diameter })
	m.put(p.Pitch, "power.propeller.pitch", "propeller pitch", "length", "pitch gauge at three quarters of the radius", Ignorance, -2, 3, true, nil, func(a *Aircraft) *float64 { return &a.Power.Propeller.Pitch })
	pr := &a.Power.Propeller
	m.knob(p.Ends, "power.propeller.zero_thrust", "advance ratio at which the propeller stops pulling", "ratio", 0.05, 4, func(a *Aircraft) *float64 { return &a.Power.Propeller.ZeroThrust })
	pr.Blades, pr.Style, pr.Right, pr.Limit = p.Blades.N, p.Style.S, p.Turns.S != "left", p.Limit.Value
	if !p.Blades.Given {
		pr.Blades = 2
		m.say("power.propeller.blades", "blades", "2", "not said", "our-choice")
	}
	if !p.Style.Given {
		pr.Style = "sport"
	}
	attach := func(t build.Text) []byte {
		if !t.Given {
			return nil
		}
		text, ok := m.files[t.S]
		if !ok {
			m.errorf(t.Span, "attachment", "put the file beside the build file", "file %q is not there", t.S)
		}
		return text
	}
	pr.Geometry, pr.Measured = attach(p.Geometry), attach(p.Measured)
	motor := a.PartNamed(a.Power.Motor.Part)
	switch {
	case p.At.X.Given:
		pr.At = place(p.At)
	case motor >= 0:
		pr.At = a.Parts[motor].At
		ahead := -1.0
		if a.Power.Place == "pusher" {
			ahead = 1
		}
		pr.At.X += ahead * (a.Parts[motor].Size.X/2 + 0.01)
		m.say("power.propeller.at", "place of the propeller disc", fmt.Sprintf("x = %.0f mm", pr.At.X*1000), "a centimetre off the motor", "our-choice")
	default:
		m.errorf(m.b.Power.Motor.Part.Span, "missing", "name the motor's part, or give power.propeller.at", "the propeller has no place: power.motor.part names no part")
	}
	for i := range a.Parts {
		if a.Parts[i].Kind == "propeller" {
			pr.Mass = a.Parts[i].Mass
			return // its mass stands among the parts
		}
	}
	if pr.Diameter <= 0 {
		return
	}
	k := len(a.Parts)
	a.Parts = append(a.Parts, Part{Name: "propeller", Kind: "propeller", At: pr.At, MinAt: pr.At, MaxAt: pr.At, Size: r3.Vec{X: 0.01, Y: pr.Diameter, Z: 0.01}, Index: len(m.b.Parts)})
	v := 0.004 * math.Pow(pr.Diameter/0.127, 2.5)
	m.put(p.Mass, "power.propeller.mass", "mass of the propeller", "mass", scale, Ignorance, positive, 1, false, guess(v, 0.35*v, "scaled from 4 g at 5 inches"), func(a *Aircraft) *float64 { return &a.Parts[k].Mass })
	pr.Mass = a.Parts[k].Mass
}

func (m *maker) linkages() {
	for j := range m.b.Linkages {
		b := &m.b.Linkages[j]
		m.ac.Linkages = append(m.ac.Linkages, Linkage{
			Control: b.Control.S, Servo: b.Servo.S, RodMaterial: b.RodMaterial.S, HornMaterial: b.HornMaterial.S,
			Known: b.Torque.Given,
		})
		path := at("linkages", b.Control.S, j)
		lk := func(a *Aircraft) *Linkage { return &a.Linkages[j] }
		if b.Torque.Given {
			m.put(b.Torque, path+".torque", "stall torque of the servo on "+b.Control.S, "torque", "luggage scale on the servo arm", Ignorance, positive, 10, false, nil, func(a *Aircraft) *float64 { return &lk(a).Torque })
		}
		m.put(b.Arm, path+".arm", "servo arm on "+b.Control.S, "length", rule, Ignorance, 0.001, 0.1, false, guess(0.010, 0.002, "a usual arm"), func(a *Aircraft) *float64 { return &lk(a).Arm })
		for _, k := range []struct {
			v     build.Value
			key   string
			label string
			field func(*Linkage) *float64
		}{
			{b.Rod, "rod", "length of the rod of ", func(l *Linkage) *float64 { return &l.Rod }},
			{b.RodDiameter, "rod_diameter", "diameter of the rod of ", func(l *Linkage) *float64 { return &l.RodDiameter }},
			{b.HornRoot, "horn_root", "root of the horn of ", func(l *Linkage) *float64 { return &l.HornRoot }},
			{b.HornWidth, "horn_width", "thickness of the horn of ", func(l *Linkage) *float64 { return &l.HornWidth }},
		} {
			m.put(k.v, path+"."+k.key, k.label+b.Control.S, "length", rule, Ignorance, 1e-4, 2, false, nil, func(a *Aircraft) *float64 { return k.field(lk(a)) })
		}
		m.put(b.Horn, path+".horn", "horn on "+b.Control.S, "length", rule, Ignorance, 0.001, 0.1, false, guess(0.012, 0.002, "a usual horn"), func(a *Aircraft) *float64 { return &lk(a).Horn })
		m.linkage(j, path, b)
		if b.HornMaterial.Given {
			m.choice(path+".print", "layers of the printed horn of "+b.Control.S, "along", func(a *Aircraft) *string { return &lk(a).Print })
			m.choice(path+".horn_material", "material of the horn of "+b.Control.S, "GRP", func(a *Aircraft) *string { return &lk(a).HornMaterial })
		}
	}
	m.heights()
}

// choice makes a word of the build a knob between what it says (0) and another
// word (1).
func (m *maker) choice(path, label, word string, field func(*Aircraft) *string) {
	now := *field(m.ac)
	m.ac.Knobs = append(m.ac.Knobs, Knob{Path: path, Label: label, Low: 0, High: 1, Word: word, set: func(a *Aircraft, v float64) {
		if *field(a) = now; v >= 0.5 {
			*field(a) = word
		}
	}})
}

func (m *maker) rest() {
	m.aloft()
	for _, c := range m.b.Claims {
		m.ac.Claims = append(m.ac.Claims, Claim{What: c.What.S, By: c.By.S, Text: c.Value.Text, Value: c.Value.Value})
	}
	t := &m.b.Trial
	for _, k := range []slot{
		{v: t.Mass, path: "trial.mass", label: "mass added at the balance point", dim: "mass", low: -5, high: 20, set: func(a *Aircraft, x float64) { a.Trial.Mass = x }},
		{v: t.DragArea, path: "trial.drag_area", label: "drag area added", dim: "area", low: -0.1, high: 1, set: func(a *Aircraft, x float64) { a.Trial.DragArea = x }},
	} {
		k.set(m.ac, k.v.Value) // a what-if has no doubt
		m.ac.Knobs = append(m.ac.Knobs, Knob{Path: k.path, Label: k.label, Dim: k.dim, Value: k.v.Value, Given: k.v.Given, Low: k.low, High: k.high, set: k.set})
	}
}

// factors registers the model factors as inputs.
func (m *maker) factors() {
	m.ac.Factors = Factors{}
	m.ac.Tune = m.priors()
	for i, f := range m.ac.Tune {
		m.ac.Factors[i] = f.Value
		if f.Sigma == 0 {
			continue
		}
		m.ac.Inputs = append(m.ac.Inputs, Input{
			Path: "factor." + f.Name, Label: f.Label, Nominal: f.Value, Sigma: f.Sigma,
			Low: f.Neutral() - 6*f.Sigma, High: f.Neutral() + 6*f.Sigma, Kind: Ignorance, How: f.How, Unit: "ratio", Model: true,
			Set: func(a *Aircraft, x float64) { a.Factors[i] = x },
		})
	}
}

// usual makes a fill of a typical value.
func usual(v typical.Value) fill {
	return fill{value: v.Value, sigma: v.Sigma, why: v.Why, ref: v.Cite}
}

// Known says how well the propeller is known.
func (p *Propeller) Known() typical.Knowledge {
	switch {
	case p.Measured != nil:
		return typical.Tabled
	case p.ZeroThrust > 0:
		return typical.Tied
	case p.Geometry != nil:
		return typical.Drawn
	}
	return typical.Sized
}

// Together is the correlation of the errors of its thrust and torque, as long
// as neither was read.
func (p *Propeller) Together() float64 { return typical.PropellerDoubt(p.Known()).Together() }

// priors is the untaught set with what this build's drive says of itself: the
// propeller's doubt by how well it is known, and the optimism of label motor
// constants.
func (m *maker) priors() tune.Set {
	set := tune.Prior()
	p := &m.ac.Power
	if p.Place == "" {
		return set
	}
	spread := typical.PropellerDoubt(p.Propeller.Known())
	if k := p.Propeller.Known(); k == typical.Drawn || k == typical.Sized {
		spread = spread.At(p.Propeller.Pitch / p.Propeller.Diameter) // a geometry without a pitch: as it is
	}
	if e := m.b.Power.Propeller.Ends; p.Propeller.Known() == typical.Tied {
		// Not better than what a reading carries over to other speeds.
		spread.Advance.Sigma = math.Max(spread.Advance.Sigma, relative(e))
	}
	put := func(name string, v typical.Value) {
		for i := range set {
			if set[i].Name == name {
				set[i].Value, set[i].Sigma, set[i].Why, set[i].Ref = v.Value, v.Sigma, v.Why, v.Cite
			}
		}
	}
	put("thrust", spread.Thrust)
	put("torque", spread.Torque)
	put("advance", spread.Advance)
	if kv := m.b.Power.Motor.KV; kv.Given && !kv.Stated && kv.Word != unit.Measured {
		t := typical.KVTrue()
		put("kv", t)
		m.say("power.motor.kv", "true motor constant", fmt.Sprintf("%.2f of the label's", t.Value), t.Why, t.Cite)
	}
	return set
}
