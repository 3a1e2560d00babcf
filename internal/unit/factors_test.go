package unit

import (
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// Conversion factors against the printed tables of NIST SP 811.
func TestFactors(t *testing.T) {
	for _, c := range []struct {
		text  string
		dim   Dim
		want  float64
		digit float64 // of the last printed place
	}{
		{"1 lbf", Force, 4.448222, 1e-6},
		{"1 ozf", Force, 2.780139e-1, 1e-7},
		{"1 kgf", Force, 9.80665, 1e-15},
		{"1 ozf in", Torque, 7.061552e-3, 1e-9},
		{"1 lbf ft", Torque, 1.355818, 1e-6},
		{"1 lbf in", Torque, 1.129848e-1, 1e-7},
		{"1 psi", Pressure, 6.894757e3, 1e-3},
		{"1 inHg", Pressure, 3.386389e3, 1e-3},
		{"1 mbar", Pressure, 100, 1e-12},
		{"1 mph", Speed, 4.4704e-1, 1e-15},
		{"1 kt", Speed, 5.144444e-1, 1e-7},
		{"1 km/h", Speed, 2.777778e-1, 1e-7},
		{"1 ft/min", Speed, 5.08e-3, 1e-17},
		{"1 rpm", Rotation, 1.047198e-1, 1e-7},
		{"1 deg", Angle, 1.745329e-2, 1e-8},
		{"1 hp", Power, 7.456999e2, 1e-4},
		{"1 oz", Mass, 2.834952e-2, 1e-8},
		{"1 lb", Mass, 4.535924e-1, 1e-7},
		{"1 in", Length, 2.54e-2, 1e-17},
		{"1 mi", Length, 1.609344e3, 1e-12},
		{"1 ft^2", Area, 9.290304e-2, 1e-17},
		{"1 oz/ft^2", AreaLoad, 3.051517e-1, 1e-7},
		{"1 g/cm^3", Density, 1000, 1e-12},
		{"1 Ah", Charge, 3600, 1e-12},
		{"1 Wh", Energy, 3600, 1e-12},
		{"32 degF", Temperature, 273.15, 1e-12},
		{"212 degF", Temperature, 373.15, 1e-12},
	} {
		q, err := Parse(c.text, c.dim)
		if err != nil {
			t.Error(err)
			continue
		}
		check.Row{Topic: "units", Name: c.text, Unit: si[c.dim], Source: cite.SP811.At("appendix B.8", cite.Memory)}.
			Near(t, q.Value, c.want, check.Printed(c.digit))
	}
}
