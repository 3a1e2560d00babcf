package air

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
)

const (
	topicISA   = "standard atmosphere"
	topicMoist = "moist air"
)

func TestStandardTable(t *testing.T) {
	src := cite.ISO2533.At("defining equations, double precision", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("flight-isa.csv")) {
		h, z := check.Number(t, r, "H_geopotential_m"), check.Number(t, r, "Z_geometric_m")
		s, ok := Standard(h)
		if !ok {
			t.Errorf("%g m is outside", h)
		}
		near := func(name, col, unit string, got float64, tol check.Tol) {
			t.Helper()
			check.Row{Topic: topicISA, Name: name, Unit: unit, Source: src}.Near(t, got, check.Number(t, r, col), tol)
		}
		near("temperature", "T_K", "K", s.T, check.ModelAbs(1e-3, "stated tolerance of the table"))
		near("pressure", "p_Pa", "Pa", s.P, check.Model(1e-6, "printed to 0.01 Pa and height to 1 mm"))
		near("density", "rho_kg_m3", "kg/m3", s.Rho, check.Model(1e-6, "printed to 1e-6"))
		near("speed of sound", "a_m_s", "m/s", s.A, check.Model(1e-6, "printed to 1e-4 m/s"))
		near("viscosity", "mu_Pa_s", "Pa s", s.Mu, check.Model(1e-5, "six printed digits"))
		near("kinematic viscosity", "nu_m2_s", "m2/s", s.Nu, check.Model(1e-5, "six printed digits"))
		near("gravity", "g_m_s2", "m/s2", Gravity(z), check.Printed(1e-5))
		near("geopotential height", "H_geopotential_m", "m", Geopotential(z), check.Printed(2e-3))
		near("geometric height", "Z_geometric_m", "m", Geometric(h), check.Printed(2e-3))
	}
	if _, ok := Standard(12000); ok {
		t.Error("12 km is in the troposphere")
	}
}

func TestStandardPrinted(t *testing.T) {
	src := cite.MechEngHandbook4.At("p. 12", cite.Seen)
	for _, r := range [][7]float64{{0, 0, 288.15, 1.0133, 1.2250, 9.8067, 340.3}, {1000, 1000, 281.65, 0.8988, 1.1117, 9.8036, 336.4}, {2000, 1999, 275.15, 0.7950, 1.0066, 9.8005, 332.5}, {3000, 2999, 268.66, 0.7012, 0.9093, 9.7974, 328.6}} {
		s, _ := Standard(Geopotential(r[0]))
		row := func(name, unit string, got, want, digit float64) {
			t.Helper()
			check.Row{Topic: topicISA, Name: name, Unit: unit, Source: src}.Near(t, got, want, check.Tol{Abs: digit, Why: "one unit of the last printed digit: old tables truncate or round"})
		}
		row("geopotential height", "m", Geopotential(r[0]), r[1], 1)
		row("temperature", "K", s.T, r[2], 0.01)
		row("pressure", "bar", s.P/1e5, r[3], 1e-4)
		row("density", "kg/m3", s.Rho, r[4], 1e-4)
		row("gravity", "m/s2", Gravity(r[0]), r[5], 1e-4)
		row("speed of sound", "m/s", s.A, r[6], 0.1)
	}
	// The table's heights must be geometric feet: at 10000 ft the geopotential
	// reading gives 23.34 F, the geometric one the printed 23.36 F.
	src = cite.AtmosphereFPS.At("taken as geometric feet", cite.Seen)
	const psi, slugft3, lbsft2 = 6894.757, 515.3788, 47.88026
	for _, r := range [][5]float64{{-5000, 76.84, 17.554, 27.45e-4, 3.836e-7}, {5000, 41.17, 12.228, 20.48e-4, 3.637e-7}, {10000, 23.36, 10.108, 17.56e-4, 3.534e-7}} {
		s, _ := Standard(Geopotential(r[0] * 0.3048))
		why := "last printed digit +-1"
		check.Row{Topic: topicISA, Name: "temperature", Unit: "F", Source: src}.Near(t, (s.T-273.15)*1.8+32, r[1], check.Tol{Abs: 0.01, Why: why})
		check.Row{Topic: topicISA, Name: "pressure", Unit: "psi", Source: src}.Near(t, s.P/psi, r[2], check.Tol{Abs: 1e-3, Why: why})
		check.Row{Topic: topicISA, Name: "density", Unit: "slug/ft3", Source: src}.Near(t, s.Rho/slugft3, r[3], check.Tol{Abs: 1e-6, Why: why})
		check.Row{Topic: topicISA, Name: "viscosity", Unit: "lb s/ft2", Source: src}.Near(t, s.Mu/lbsft2, r[4], check.Tol{Abs: 1e-10, Why: why})
	}
	src = cite.ISO2533.At("Sutherland's formula and speed of sound", cite.Derived)
	for _, r := range [][3]float64{{253.15, 1.61533e-5, 318.958}, {273.15, 1.71608e-5, 331.318}, {293.15, 1.81341e-5, 343.234}, {313.15, 1.90757e-5, 354.749}} {
		s := Moist(r[0], 1e5, 0)
		check.Row{Topic: topicISA, Name: "viscosity", Unit: "Pa s", Source: src}.Near(t, s.Mu, r[1], check.Printed(1e-10))
		check.Row{Topic: topicISA, Name: "speed of sound", Unit: "m/s", Source: src}.Near(t, s.A, r[2], check.Printed(1e-3))
	}
}

// cipm is the density of moist air after CIPM-2007, the oracle for Moist:
// p in Pa, c in degC, h relative humidity, 400 ppm carbon dioxide.
func cipm(p, c, h float64) (psv, f, xv, z, rho float64) {
	t := c + 273.15
	psv = math.Exp(1.2378847e-5*t*t - 1.9121316e-2*t + 33.93711047 - 6343.1645/t)
	f = 1.00062 + 3.14e-8*p + 5.6e-7*c*c
	xv = h * f * psv / p
	z = 1 - p/t*(1.58123e-6-2.9331e-8*c+1.1043e-10*c*c+(5.707e-6-2.051e-8*c)*xv+(1.9898e-4-2.376e-6*c)*xv*xv) + p*p/(t*t)*(1.83e-11-0.765e-8*xv*xv)
	return psv, f, xv, z, 3.483740e-3 * p / (z * t) * (1 - 0.3780*xv)
}

func TestMoistDensity(t *testing.T) {
	oracle := cite.CIPM2007.At("coefficients as transcribed", cite.Derived)
	for _, r := range []struct{ p, c, h, psv, f, xv, z, rho, ideal float64 }{
		{101325, 20, 0.50, 2339.163, 1.0040256, 0.01158934, 0.99961477, 1.199314, 1.198853},
		{101325, 15, 0, 1705.669, 1.0039276, 0, 0.99959221, 1.225521, 1.225000},
		{100000, 30, 0.80, 4246.799, 1.0042640, 0.03411926, 0.99963056, 1.134778, 1.134402},
		{95000, 5, 0.30, 872.534, 1.0036170, 0.00276534, 0.99950543, 1.189189, 1.188585},
	} {
		psv, f, xv, z, rho := cipm(r.p, r.c, r.h)
		for _, q := range []struct {
			name      string
			got, want float64
			tol       check.Tol
		}{{"CIPM-2007 saturation pressure", psv, r.psv, check.Printed(1e-3)}, {"CIPM-2007 enhancement", f, r.f, check.Printed(1e-7)}, {"CIPM-2007 vapour fraction", xv, r.xv, check.Printed(1e-8)}, {"CIPM-2007 compressibility", z, r.z, check.Printed(1e-8)}, {"CIPM-2007 density", rho, r.rho, check.Model(1e-6, "the oracle itself")}} {
			check.Row{Topic: topicMoist, Name: q.name + " (oracle)", Source: oracle}.Near(t, q.got, q.want, q.tol)
		}
		got := Moist(r.c+Celsius, r.p, r.h).Rho
		check.Row{Topic: topicMoist, Name: "density, ideal mixture against CIPM-2007", Unit: "kg/m3", Source: cite.CIPM2007.At("density", cite.Derived)}.Near(t, got, r.rho, check.Model(6e-4, "ideal gas: no compressibility, no enhancement; a fifth of a kelvin"))
		check.Row{Topic: topicMoist, Name: "density, ideal mixture", Unit: "kg/m3", Source: cite.Ours.At("(p - 0.378 e)/(R T)", cite.Derived)}.Near(t, got, r.ideal, check.Model(1e-4, "Magnus against the CIPM-2007 saturation pressure, at most 0.3 % of e"))
	}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(-20, 40).Draw(t, "c")
		p := rapid.Float64Range(80000, 105000).Draw(t, "p")
		h := rapid.Float64Range(0, 1).Draw(t, "h")
		_, _, _, _, want := cipm(p, c, h)
		if got := Moist(c+Celsius, p, h).Rho; math.Abs(got/want-1) > 1e-3 {
			t.Errorf("%g degC %g Pa %g: %g, CIPM-2007 %g", c, p, h, got, want)
		}
	})
}

func TestSaturation(t *testing.T) {
	for _, r := range []struct{ c, ref, magnus float64 }{{0, 611.21, 611.20}, {10, 1228.11, 1226.03}, {20, 2339.19, 2332.60}, {30, 4246.92, 4233.72}, {40, 7385.11, 7367.46}} {
		got := Saturation(r.c + Celsius)
		check.Row{Topic: topicMoist, Name: "saturation vapour pressure (Magnus)", Unit: "Pa", Source: cite.WMO8.At("Magnus form", cite.Derived)}.Near(t, got, r.magnus, check.ModelAbs(0.01, "printed to 0.01 Pa"))
		check.Row{Topic: topicMoist, Name: "saturation vapour pressure against the reference equation", Unit: "Pa", Source: cite.WagnerPruss.At("saturation equation", cite.Derived)}.Near(t, got, r.ref, check.Model(5e-3, "accuracy of the Magnus form over 0 to 40 degC"))
	}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(243, 318).Draw(t, "T")
		rh := rapid.Float64Range(0.01, 1).Draw(t, "RH")
		if got := Humidity(k, DewPoint(k, rh)); math.Abs(got-rh) > 1e-12 {
			t.Errorf("T %g RH %g comes back as %g", k, rh, got)
		}
	})
}

func TestDensityAltitude(t *testing.T) {
	exact := cite.Ours.At("ideal mixture, Magnus vapour pressure, inverse standard density", cite.Derived)
	for _, r := range []struct{ c, hPa, dew, nws, rho, m float64 }{{30, 1013.25, 20, 2035.9, 1.154254, 615.3}, {35, 850, 10, 8255.1, 0.955698, 2511.9}, {0, 1030, -5, -2333.8, 1.311598, -717.2}} {
		k := r.c + Celsius
		s := Moist(k, r.hPa*100, Humidity(k, r.dew+Celsius))
		check.Row{Topic: topicMoist, Name: "density at the field", Unit: "kg/m3", Source: exact}.Near(t, s.Rho, r.rho, check.Printed(1e-6))
		da := DensityAltitude(s.Rho)
		check.Row{Topic: "density altitude", Name: "exact form", Unit: "m", Source: exact}.Near(t, da, r.m, check.Printed(0.1))
		check.Row{Topic: "density altitude", Name: "against the weather service's form", Unit: "ft", Source: cite.NWSDensity.At("formula", cite.Seen)}.Near(t, da/0.3048, r.nws, check.ModelAbs(25, "the sheet's rounded constants: +18 ft at sea level"))
	}
	if da := DensityAltitude(Rho0); math.Abs(da) > 1e-9 {
		t.Errorf("the standard density lies at %g m", da)
	}
	src := cite.ICAO7488.At("altimeter law", cite.Derived)
	for _, r := range [][3]float64{{1020, 500, 961.040}, {987, 250, 957.951}, {1008, 35, 1003.820}} {
		p := StationPressure(r[0]*100, r[1])
		check.Row{Topic: "altimeter law", Name: "station pressure", Unit: "hPa", Source: src}.Near(t, p/100, r[2], check.Printed(1e-3))
		if q := QNH(p, r[1]); math.Abs(q-r[0]*100) > 1e-6 {
			t.Errorf("QNH comes back as %g", q)
		}
	}
}

func TestMoistLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(243, 318).Draw(t, "T")
		p := rapid.Float64Range(80000, 105000).Draw(t, "p")
		h := rapid.Float64Range(0, 1).Draw(t, "RH")
		dry, wet := Moist(k, p, 0), Moist(k, p, h)
		if wet.Rho > dry.Rho || wet.A < dry.A {
			t.Errorf("moist air is heavier or slower to sound: %+v %+v", dry, wet)
		}
		if d := Moist(k, p, math.NaN()); d != dry && !(math.IsNaN(d.RH)) {
			if d.Rho != dry.Rho {
				t.Error("unknown humidity is not dry")
			}
		}
	})
}
