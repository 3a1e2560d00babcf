package power

import (
	"math"

	"fledge/internal/prop"
)

// SpeedRow is the drive at one airspeed, for tables and plots.
type SpeedRow struct {
	Airspeed   float64
	Throttle   float64
	Thrust     float64
	Omega      float64
	RPM        float64
	Torque     float64
	Current    float64
	Voltage    float64
	Power      float64 // out of the pack
	Shaft      float64
	Advance    float64 // 0 when not turning
	Controller float64
	Motor      float64
	Propeller  float64
	Whole      float64
	Ideal      float64 // of the actuator disc at that thrust, 0 without thrust
	Tone       float64
	Status     string
	Flag       Flag
}

// Against tabulates the drive at a throttle and charge over airspeeds, solved
// directly.
func (m *Model) Against(throttle, charge float64, speeds []float64, k *Factors) []SpeedRow {
	out := make([]SpeedRow, 0, len(speeds))
	for _, v := range speeds {
		out = append(out, m.row(m.Solve(v, throttle, charge, k), v, charge, k))
	}
	return out
}

// Row is one point with its chain of efficiencies.
func (m *Model) row(p Point, v, charge float64, k *Factors) SpeedRow {
	c := m.Chain(p, math.Max(v, 0), charge, k)
	r := SpeedRow{
		Airspeed: v, Throttle: p.Throttle, Thrust: p.Thrust, Omega: p.Omega, RPM: p.Omega * 60 / (2 * math.Pi), Torque: p.Torque,
		Current: p.Current, Voltage: p.Voltage, Power: c.Pack, Shaft: c.Shaft,
		Controller: c.EtaController, Motor: c.EtaMotor, Propeller: c.EtaPropeller, Whole: c.EtaWhole,
		Tone: prop.BladePass(m.Blade.Blades, p.Omega), Status: p.Flag.String(), Flag: p.Flag,
	}
	if p.Omega > 0 {
		r.Advance = v / (p.Omega / (2 * math.Pi) * m.Blade.Diameter)
	}
	if p.Thrust > 0 && v >= 0 {
		r.Ideal = prop.IdealDisc(p.Thrust, m.Blade.Diameter, v, m.Gas.Rho).Eta
	}
	return r
}

// Wanted tabulates what level flight costs: thrust wanted (N) at each
// airspeed, the throttle and current it takes.
func (m *Model) Wanted(speeds, thrust []float64, charge float64, k *Factors) []SpeedRow {
	if len(speeds) != len(thrust) {
		panic("power: speeds and thrusts of different length")
	}
	out := make([]SpeedRow, 0, len(speeds))
	for i, v := range speeds {
		p, _ := m.ThrottleFor(v, thrust[i], charge, k)
		out = append(out, m.row(p, v, charge, k))
	}
	return out
}

// StaticPull is the full-throttle pull (N) and current (A) at rest.
func (m *Model) StaticPull(charge float64, k *Factors) (pull, amps float64) {
	p := m.Solve(0, 1, charge, k)
	return p.Thrust, p.Current
}
