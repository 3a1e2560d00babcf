package air

import (
	"fmt"
	"math"
)

// MetHeight is the height (m) at which weather services report wind.
const MetHeight = 10.0

// Conditions is what is known of a day at a field, in SI; NaN where nothing
// is known. Make one with [Unknown], not as a zero value: zero kelvin is not
// the same as unknown.
type Conditions struct {
	T    float64 // air temperature, K
	P    float64 // pressure at the field, Pa
	QNH  float64 // altimeter setting, Pa; used when P is unknown
	RH   float64 // relative humidity, 0..1
	Dew  float64 // dew point, K; used when RH is unknown
	Elev float64 // height of the field above sea level, m

	Wind       float64 // mean speed, m/s
	WindHeight float64 // height at which it was measured, m
	WindFrom   float64 // rad from true north
	Gust       float64 // largest gust at WindHeight, m/s
	Z0         float64 // roughness length, m
}

// Unknown is a day of which nothing is known.
func Unknown() Conditions {
	n := math.NaN()
	return Conditions{n, n, n, n, n, n, n, n, n, n, n}
}

// FromReport is what a report says about a field at height elev (m): wind at
// 10 m; the temperature is taken over as it is, whatever the station's height.
func FromReport(r Report, elev float64) Conditions {
	c := Unknown()
	c.T, c.Dew, c.QNH, c.Elev = r.T, r.Dew, r.QNH, elev
	c.Wind, c.Gust, c.WindFrom, c.WindHeight = r.WindSpeed, r.Gust, r.WindFrom, MetHeight
	return c
}

// Merge returns c with what is unknown in it taken from other.
func (c Conditions) Merge(other Conditions) Conditions {
	pick := func(a *float64, b float64) {
		if math.IsNaN(*a) {
			*a = b
		}
	}
	if math.IsNaN(c.P) && math.IsNaN(c.QNH) {
		c.P, c.QNH = other.P, other.QNH
	}
	if math.IsNaN(c.RH) && math.IsNaN(c.Dew) {
		c.RH, c.Dew = other.RH, other.Dew
	}
	if math.IsNaN(c.Wind) {
		c.Wind, c.WindHeight, c.Gust = other.Wind, other.WindHeight, other.Gust
	}
	pick(&c.T, other.T)
	pick(&c.Elev, other.Elev)
	pick(&c.WindFrom, other.WindFrom)
	pick(&c.Gust, other.Gust)
	pick(&c.WindHeight, other.WindHeight)
	pick(&c.Z0, other.Z0)
	return c
}

// Wrong is an impossible condition.
type Wrong struct {
	Name string // field of Conditions in words: "temperature", "wind", ...
	Say  string
}

func (w Wrong) Error() string { return w.Name + ": " + w.Say }

// Check lists what is impossible in the conditions; unknown values are never
// wrong. Ranges: what has been observed where people fly.
func (c Conditions) Check() []Wrong {
	var out []Wrong
	in := func(name string, v, lo, hi, show float64, unit string, off float64) {
		if !math.IsNaN(v) && !(v >= lo && v <= hi) {
			out = append(out, Wrong{name, fmt.Sprintf("%.4g %s is outside %.4g to %.4g %s", (v-off)/show, unit, (lo-off)/show, (hi-off)/show, unit)})
		}
	}
	in("temperature", c.T, Celsius-60, Celsius+60, 1, "degC", Celsius)
	in("pressure", c.P, 50000, 110000, 100, "hPa", 0)
	in("altimeter setting", c.QNH, 85000, 110000, 100, "hPa", 0)
	in("humidity", c.RH, 0, 1, 0.01, "%", 0)
	in("dew point", c.Dew, Celsius-80, Celsius+40, 1, "degC", Celsius)
	in("height", c.Elev, -450, 6000, 1, "m", 0)
	in("wind", c.Wind, 0, 60, 1, "m/s", 0)
	in("gust", c.Gust, 0, 80, 1, "m/s", 0)
	in("height of the wind measurement", c.WindHeight, 0.5, 200, 1, "m", 0)
	in("roughness length", c.Z0, 1e-5, 3, 1, "m", 0)
	if math.IsInf(c.WindFrom, 0) {
		out = append(out, Wrong{"wind direction", "not finite"})
	}
	if c.Gust < c.Wind {
		out = append(out, Wrong{"gust", fmt.Sprintf("%.4g m/s is below the mean wind of %.4g m/s", c.Gust, c.Wind)})
	}
	if c.Dew > c.T+0.5 {
		out = append(out, Wrong{"dew point", "above the temperature"})
	}
	if c.WindHeight <= 2*c.Z0 {
		out = append(out, Wrong{"wind", fmt.Sprintf("measured at %.3g m, within the roughness of the surface (%.3g m)", c.WindHeight, c.Z0)})
	}
	return out
}

// Day is everything about the air of a day, in SI. It is a value: cheap to
// make (well under a microsecond) and to copy, for draws.
type Day struct {
	Elev float64 // height of the field above sea level, m
	Air  State   // at the field, launch height
	Wind Wind    // mean wind
	Gust float64 // largest gust at Wind.Ref, m/s; NaN when none is known
	// GustScale is the factor on the turbulence that makes its ten-minute peak
	// the reported gust; 1 when no gust is known.
	GustScale float64
}

// Defaults for what is not known; each is "our choice" but the standard
// atmosphere.
const (
	DefaultRH         = 0.5  // mid-latitude daytime
	DefaultZ0         = 0.03 // open grass with few obstacles
	DefaultWindHeight = MetHeight
)

// Day completes the conditions and makes the day. assumed names in words what
// was not known and filled in: temperature and pressure of the standard
// atmosphere at the field's height, height 0, humidity 50 %, open grass, calm
// wind from north, wind measured at 10 m. Conditions that Check finds wrong
// are misuse and panic.
func (c Conditions) Day() (d Day, assumed []string) {
	d, mask := c.Quick()
	for i, name := range assumable {
		if mask&(1<<i) != 0 {
			assumed = append(assumed, name)
		}
	}
	return d, assumed
}

var assumable = []string{"height of the field", "temperature", "pressure", "humidity", "wind", "wind direction", "height of the wind measurement", "surface"}

// Quick is [Conditions.Day] without words and without allocating, for draws;
// bit i of assumed stands for the i-th kind of filled-in value.
func (c Conditions) Quick() (d Day, assumed uint) {
	fill := func(v *float64, with float64, bit uint) {
		if math.IsNaN(*v) {
			*v = with
			assumed |= 1 << bit
		}
	}
	fill(&c.Elev, 0, 0)
	fill(&c.T, T0-Lapse*c.Elev, 1)
	if math.IsNaN(c.P) {
		if math.IsNaN(c.QNH) {
			c.QNH = P0
			assumed |= 1 << 2
		}
		c.P = StationPressure(c.QNH, c.Elev)
	}
	if math.IsNaN(c.RH) {
		if !math.IsNaN(c.Dew) {
			c.RH = math.Min(1, Humidity(c.T, c.Dew))
		}
		fill(&c.RH, DefaultRH, 3)
	}
	fill(&c.Wind, 0, 4)
	if c.Wind > 0 {
		fill(&c.WindFrom, 0, 5)
		fill(&c.WindHeight, DefaultWindHeight, 6)
		fill(&c.Z0, DefaultZ0, 7)
	} else {
		for _, f := range []struct {
			v *float64
			w float64
		}{{&c.WindFrom, 0}, {&c.WindHeight, DefaultWindHeight}, {&c.Z0, DefaultZ0}} {
			if math.IsNaN(*f.v) {
				*f.v = f.w
			}
		}
	}
	w, err := NewWind(c.Wind, c.WindHeight, c.WindFrom, c.Z0)
	if err != nil {
		panic("air: unchecked conditions: " + err.Error())
	}
	d = Day{Elev: c.Elev, Air: Moist(c.T, c.P, c.RH), Wind: w, Gust: c.Gust, GustScale: 1}
	if !math.IsNaN(c.Gust) && c.Wind > 0 {
		d.GustScale = GustScale(c.Wind, c.Gust, w.At(20*foot), c.WindHeight)
	}
	return d, assumed
}

// Density is the air density (kg/m3) at height z (m) above the launch place,
// with temperature falling at the standard lapse rate: rho (1 - L z/T)^4.256
// by its series to third order, better than 1e-6 up to 1000 m.
func (d *Day) Density(z float64) float64 {
	const n = pressureN - 1
	u := Lapse * z / d.Air.T
	return d.Air.Rho * (1 - n*u*(1-(n-1)/2*u*(1-(n-2)/3*u)))
}

// DensityAltitude of the field, m.
func (d *Day) DensityAltitude() float64 { return DensityAltitude(d.Air.Rho) }

// Turbulence starts the turbulence of sample i of a run with the given seed,
// at height h (m): Dryden for this wind, scaled to the reported gust.
func (d *Day) Turbulence(seed, sample uint64, h float64) Turbulence {
	t := StartTurbulence(seed, sample, d.Wind.At(20*foot), h)
	t.Scale = d.GustScale
	return t
}
