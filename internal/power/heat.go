package power

import (
	"math"

	"fledge/internal/power/typical"
	"fledge/internal/prop"
)

// Chain is where the power goes at a point, W. Source = Battery + Wiring +
// Controller + Ripple + Copper + Iron + Slip + Thrust within rounding of the solution.
type Chain struct {
	Source     float64 // chemical: rest voltage times current
	Pack       float64 // delivered by the pack
	Battery    float64 // lost in the pack
	Wiring     float64 // lost in wires and contacts
	Controller float64 // lost in the controller, chopping and its own use
	Ripple     float64 // lost in the motor because the current is chopped
	Copper     float64
	Iron       float64 // iron and friction
	Shaft      float64
	Slip       float64 // lost by the propeller
	Thrust     float64 // thrust times airspeed
	Motor      float64 // current in the motor, A
	// Efficiencies: of controller with wiring, motor, propeller, and whole
	// (thrust power over pack power); 0 where there is no power.
	EtaController, EtaMotor, EtaPropeller, EtaWhole float64
}

// Chain takes a point of [Model.Solve] at the same airspeed, charge and
// factors apart.
func (m *Model) Chain(p Point, v, charge float64, k *Factors) Chain {
	if k == nil {
		k = &neutral
	}
	d := m.drive(math.Min(math.Max(charge, 0), 1), k)
	i := math.Max(p.Torque*d.kv+d.iron(p.Omega), 0)
	if p.Flag&Off != 0 {
		i = 0
	}
	ib := p.Current
	vc := d.voc - d.rb*ib // at the controller
	c := Chain{Source: d.voc * ib, Pack: p.Voltage * ib, Motor: i}
	c.Battery = d.pack * ib * ib
	c.Wiring = (d.rb - d.pack) * ib * ib
	rc := m.Train.Controller.Resistance * k.Resistance
	o := d.open(p.Throttle)
	c.Ripple = vc * o.heap * i * i
	c.Controller = vc*i*d.chop*(1-o.duty) + vc*d.idle + rc*i*i
	if i == 0 {
		c.Controller = vc * ib
	}
	c.Copper = (d.rm - rc + d.lag*p.Omega) * i * i
	if i > 0 {
		c.Iron = d.iron(p.Omega) * p.Omega / d.kv
		c.Shaft = p.Torque * p.Omega
	}
	c.Thrust = p.Thrust * v
	c.Slip = c.Shaft - c.Thrust
	ratio := func(a, b float64) float64 {
		if b > 0 && a > 0 {
			return a / b
		}
		return 0
	}
	in := c.Shaft + c.Iron + c.Copper + c.Ripple
	c.EtaController = ratio(in, c.Pack)
	c.EtaMotor = ratio(c.Shaft, in)
	c.EtaPropeller = ratio(c.Thrust, c.Shaft)
	c.EtaWhole = ratio(c.Thrust, c.Pack)
	return c
}

// Warmth is one part's temperature in steady work.
type Warmth struct {
	Part   string  // "winding", "magnets", "controller", "battery"
	Start  float64 // K
	Limit  float64 // K
	After  float64 // K, after the time asked for
	Steady float64 // K, +Inf when it runs away
	Time   float64 // s to the limit, +Inf when never reached
	Sigma  float64 // relative, of the rise
}

// Nodes of a motor's heat: the winding with its part of the stator, and the
// rest with bell and magnets.
const (
	windingShare  = 0.3  // of the mass
	copperHeat    = 385. // J/(kg K), of the winding
	ironHeat      = 450. // J/(kg K), of the rest
	insideShare   = 0.25 // of the heat resistance, winding to bell
	ironToWinding = 0.4  // of the iron loss that heats the winding's node
)

// Heat computes the warming of motor (two nodes), controller and battery at a
// constant point, from the air's temperature (the battery from its own), for
// a run of the given length (s): temperatures after it, in the end, and the
// time to the limit of winding (130 degC), magnets (80 degC), controller (105
// degC) and cells (60 degC). The copper's resistance grows with its
// temperature. Doubt of the rise 25 to 35 %: the heat resistances are common
// practice for a part in the slipstream.
func (m *Model) Heat(p Point, v, charge, run float64, k *Factors) []Warmth {
	if k == nil {
		k = &neutral
	}
	c := m.Chain(p, v, charge, k)
	air := m.airT
	train := &m.Train
	mm := train.Motor.Mass
	if !(mm > 0) {
		mm = 0.03
	}
	rth := typical.MotorThermal(mm)
	cool := m.cooling(p, v)
	g1 := 1 / (insideShare * rth.Value)
	g2 := cool / ((1 - insideShare) * rth.Value)
	c1 := windingShare * mm * copperHeat
	c2 := (1 - windingShare) * mm * ironHeat
	r20 := train.Motor.Resistance * k.Resistance
	cm := train.Controller.Mass
	if !(cm > 0) {
		cm = 0.03
	}
	gc := cool / (7 * math.Pow(0.030/cm, 2.0/3)) // 7 K/W at 30 g in moving air
	cc := 800 * cm
	bm := train.Pack.Mass
	if !(bm > 0) {
		bm = train.Pack.Capacity / 3600 * 0.028 * float64(train.Pack.Cells)
	}
	// A pack inside a body: 8 K/W at 150 g.
	gb := 1 / (8 * math.Pow(0.150/bm, 2.0/3))
	cb := 1000 * bm
	heat := [4]float64{0, c.Iron*(1-ironToWinding) + c.Ripple*0.5, c.Controller, c.Battery}
	rate := func(x, dx *[4]float64) {
		cu := c.Motor*c.Motor*r20*(1+copperPerK*(x[0]-room)) + c.Iron*ironToWinding + c.Ripple*0.5
		dx[0] = (cu - g1*(x[0]-x[1])) / c1
		dx[1] = (heat[1] + g1*(x[0]-x[1]) - g2*(x[1]-air)) / c2
		dx[2] = (heat[2] - gc*(x[2]-air)) / cc
		dx[3] = (heat[3] - gb*(x[3]-air)) / cb
	}
	w := []Warmth{
		{Part: "winding", Start: air, Limit: typical.WindingLimit().Value, Sigma: 0.25},
		{Part: "magnets", Start: air, Limit: typical.MagnetLimit().Value, Sigma: 0.30},
		{Part: "controller", Start: air, Limit: 273.15 + 105, Sigma: 0.35},
		{Part: "battery", Start: train.Pack.Temperature, Limit: 273.15 + 60, Sigma: 0.25},
	}
	var x [4]float64
	for i := range w {
		x[i] = w[i].Start
		w[i].Time, w[i].After = math.Inf(1), math.NaN()
	}
	// The fastest node (the winding: some seconds) bounds the step.
	h := math.Min(0.1*c1/(g1+g2), 0.5)
	var a, b [4]float64
	at := 0.0
	for n := 0; n < 40000; n++ {
		for i := range w {
			if math.IsInf(w[i].Time, 1) && x[i] >= w[i].Limit {
				w[i].Time = at
			}
			if math.IsNaN(w[i].After) && at >= run {
				w[i].After = x[i]
			}
		}
		if at > math.Max(run, 4*cb/gb) || x[0] > 2000 {
			break
		}
		// Midpoint rule.
		rate(&x, &a)
		dt := h
		if at < run && at+h > run {
			dt = run - at
		}
		y := x
		for i := range y {
			y[i] += dt / 2 * a[i]
		}
		rate(&y, &b)
		for i := range x {
			x[i] += dt * b[i]
		}
		at += dt
		if at > run && at > 60 && h < 2 {
			h = math.Min(h*1.02, 0.4*c1/(g1+g2))
		}
	}
	for i := range w {
		w[i].Steady = x[i]
		if math.IsNaN(w[i].After) {
			w[i].After = x[i]
		}
		if x[0] > 2000 && i < 2 {
			w[i].Steady = math.Inf(1)
		}
	}
	return w
}

// cooling is the heat transfer to the air over that at 20 m/s, where the heat
// resistances are given: with the 0.6th power of the speed through the disc,
// as forced convection goes; not under 5 m/s.
func (m *Model) cooling(p Point, v float64) float64 {
	u := math.Max(v, 0)
	if p.Thrust > 0 {
		u += prop.IdealDisc(p.Thrust, m.Blade.Diameter, u, m.Gas.Rho).Induced
	}
	return math.Pow(math.Max(u, 5)/20, 0.6)
}

// Loads compares currents and speed at a point with the parts' limits.
type Loads struct {
	Part         string // "motor", "controller", "battery", "wiring", "propeller speed", "cell voltage" or "voltage of the weakest cell"
	Value, Limit float64
	Unit         string
	Over         bool
}

// Limits lists the parts' limits at a point; a part without a known limit is
// left out.
func (m *Model) Limits(p Point) []Loads {
	train := &m.Train
	var out []Loads
	add := func(part string, value, limit float64, unit string) {
		if limit > 0 {
			out = append(out, Loads{part, value, limit, unit, value > limit})
		}
	}
	add("motor", p.Current, train.Motor.Limit, "A")
	add("controller", p.Current, train.Controller.Limit, "A")
	add("battery", p.Current, train.PackLimit, "A")
	add("wiring", p.Current, train.WireLimit, "A")
	add("propeller speed", p.Omega, train.SpeedLimit, "rad/s")
	cell, _ := m.WeakestCell(p)
	name := "cell voltage"
	if m.lim.weak > 0 {
		name = "voltage of the weakest cell"
	}
	out = append(out, Loads{name, cell, train.Pack.Cutoff, "V", cell < train.Pack.Cutoff})
	return out
}

// WeakestCell is the voltage of the weakest cell at a point, and the quick
// resistance (ohm) behind it.
func (m *Model) WeakestCell(p Point) (volts, resistance float64) {
	n := float64(m.Train.Pack.Cells)
	return (p.Voltage - m.lim.weak*p.Current) / n, (m.Train.Pack.Resistance(m.Charge) + m.lim.weak) / n
}

// Endure flies at airspeed v with the thrust (N) until the reserve, the
// cut-off voltage, the pack or the drive ends it.
func (m *Model) Endure(v, thrust float64, k *Factors) Discharge {
	return m.EndureAlong(func(float64, float64) (float64, float64) { return v, thrust }, math.Inf(1), k)
}

// EndureAlong is Endure with airspeed and thrust wanted given by time (s) and
// charge, for at most limit seconds.
func (m *Model) EndureAlong(demand func(t, charge float64) (v, thrust float64), limit float64, k *Factors) Discharge {
	if k == nil {
		k = &neutral
	}
	p := m.Train.Pack
	p.Capacity *= k.Capacity
	p.Cell *= k.CellResistance
	cannot := false
	d := p.run(m.Charge, m.reserve, limit, func(t, s, _, _ float64) (float64, bool) {
		v, thrust := demand(t, s)
		q, f := m.ThrottleFor(v, thrust, s, k)
		if f&CannotReach != 0 && q.Flag&Off == 0 {
			cannot = true
			return q.Current, false
		}
		return q.Current, true
	})
	if cannot {
		d.End = CannotThrust
	}
	return d
}
