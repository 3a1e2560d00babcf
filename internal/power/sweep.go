package power

import (
	"math"

	"fledge/internal/prop"
)

// SpeedRow is the drive at one airspeed, for tables and plots.
type SpeedRow struct {
	Airspeed   float64 `json:"airspeed"`
	Throttle   float64 `json:"throttle"`
	Thrust     float64 `json:"thrust"`
	Omega      float64 `json:"omega"`
	RPM        float64 `json:"rpm"`
	Torque     float64 `json:"torque"`
	Current    float64 `json:"current"`
	Voltage    float64 `json:"voltage"`
	Power      float64 `json:"power"` // out of the pack
	Shaft      float64 `json:"shaft_power"`
	Advance    float64 `json:"advance_ratio"` // 0 when not turning
	Controller float64 `json:"eta_controller"`
	Motor      float64 `json:"eta_motor"`
	Propeller  float64 `json:"eta_propeller"`
	Whole      float64 `json:"eta_whole"`
	Ideal      float64 `json:"eta_ideal"` // of the actuator disc at that thrust, 0 without thrust
	Tone       float64 `json:"blade_pass_hz"`
	Status     string  `json:"status"`
	Flag       Flag    `json:"-"`
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
